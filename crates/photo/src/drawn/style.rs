//! How a photograph looks: everything that is not the section.
//!
//! A style is plain numbers. [`Preset::style`] draws them from a seed within the ranges that its table states; wild
//! numbers are brought into a range that can be drawn ([`Style::tamed`]), never refused.

use rand::Rng;
use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;

/// What the fusion line looks like, and which point of it is the truth.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Edge {
    /// A dark line of the stated width. Truth: its **centre**.
    DarkLine,
    /// No line, the level changes. Truth: where the change is **half done**.
    Step,
    /// A dark line outside the weld. Truth: its **weld-side edge**, where half its depth is reached.
    LineBeside,
}

/// What lies around the metal.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Mount {
    /// Black mounting resin.
    Dark,
    /// Bright resin with a thin shrinkage gap.
    Bright,
    /// No mount: a cloth out of focus.
    Cloth,
}

/// The picture's frame and the camera.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Frame {
    /// Columns, 64 to 8000.
    pub width: usize,
    /// Rows, 64 to 8000.
    pub height: usize,
    /// Pixels a millimetre; `None`: so that the weld and its plates fill the frame by `fill`.
    pub px_per_mm: Option<f64>,
    /// Share of the frame that weld and plates take.
    pub fill: f64,
    /// Turn of the camera, degrees.
    pub roll_deg: f64,
    /// Optical axis against the section's normal, degrees.
    pub tilt_deg: f64,
    /// Direction in which the section falls away, degrees from +x.
    pub tilt_towards_deg: f64,
    /// Distance of the camera, mm.
    pub distance_mm: f64,
    /// Lens term in the corner: 0.01 moves the corner by 1 % of its radius.
    pub lens: f64,
    /// The opposite cut face: left and right are swapped.
    pub mirrored: bool,
    /// What lies around the metal.
    pub mount: Mount,
    /// A rule with millimetre ticks in the section's plane.
    pub ruler: bool,
    /// A burned-in scale bar.
    pub bar: bool,
}

/// The fusion line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Line {
    /// Its profile, which says what the truth is.
    pub edge: Edge,
    /// Width of the dark line, mm.
    pub width_mm: f64,
    /// Darkness, 0 to 1.
    pub strength: f64,
    /// Share of its length where it fades out.
    pub interrupted: f64,
    /// Strength left where a later weld melted it again.
    pub remelted: f64,
}

/// Tones and grain.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Metal {
    /// Tone of the parent metal, 0 black to 1 white.
    pub parent: f64,
    /// Tone of the heat-affected zone.
    pub affected: f64,
    /// Tone of the fused zone.
    pub fused: f64,
    /// Parent grain, mm.
    pub grain_mm: f64,
    /// Grain beside the fusion line, mm.
    pub coarse_mm: f64,
    /// Width of the columnar grains, mm.
    pub column_mm: f64,
    /// Difference of tone between grains, 0 to 1.
    pub grain_contrast: f64,
    /// Difference of tone between columnar grains.
    pub column_contrast: f64,
    /// Darkness of grain boundaries.
    pub boundary: f64,
    /// Share of grains with twins.
    pub twins: f64,
    /// Softness of the heat-affected zone's outer edge, share of its width.
    pub outer_soft: f64,
    /// Darkness of a line on that outer edge: the trap.
    pub outer_line: f64,
    /// Rolling bands in the parent.
    pub bands: f64,
    /// Solidification bands along the fusion line.
    pub ripples: f64,
    /// Etch pits, share of places.
    pub pits: f64,
}

/// What went wrong on the way to the photograph.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Damage {
    /// Fine polishing lines.
    pub scratches: usize,
    /// Scratches that stand out.
    pub deep_scratches: usize,
    /// How strongly they show.
    pub scratch_strength: f64,
    /// Stains and drying edges, 0 to 1.
    pub stain: f64,
    /// Over-etched, 0 to 1; at 1 no fusion line is left.
    pub over_etch: f64,
    /// Etched at all, 0 to 1; at 0 polished only: no grain and no line.
    pub etch: f64,
    /// Rounding of the metal's edge by polishing, mm: it darkens, the edge itself stays.
    pub rounding_mm: f64,
    /// Roughness of the plates' surface, mm, with a mean of 0.
    pub rough_mm: f64,
}

/// Light and colour.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Light {
    /// Brightness.
    pub exposure: f64,
    /// Change from the middle to the frame's edge, share.
    pub gradient: f64,
    /// Direction in which it grows, degrees.
    pub towards_deg: f64,
    /// Loss in the corner, share.
    pub vignette: f64,
    /// A glare, share.
    pub glare: f64,
    /// Red, green, blue.
    pub cast: [f64; 3],
}

/// Lens focus and sensor.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sensor {
    /// Gaussian blur, px.
    pub blur_px: f64,
    /// Noise that grows with the root of the light, share at white.
    pub shot: f64,
    /// Noise that is there in the dark, share.
    pub read: f64,
    /// Colour noise over brightness noise.
    pub chroma: f64,
}

/// A style of photograph.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Style {
    /// Frame and camera.
    pub frame: Frame,
    /// The fusion line.
    pub line: Line,
    /// Tones and grain.
    pub metal: Metal,
    /// What went wrong.
    pub damage: Damage,
    /// Light and colour.
    pub light: Light,
    /// Focus and sensor.
    pub sensor: Sensor,
}

impl Style {
    /// Flat tones and clean edges: no grain, no noise, no uneven light. For tests of the drawer itself.
    #[must_use]
    pub const fn plain() -> Self {
        Self {
            frame: Frame {
                width: 1600,
                height: 1200,
                px_per_mm: None,
                fill: 0.8,
                roll_deg: 0.0,
                tilt_deg: 0.0,
                tilt_towards_deg: 0.0,
                distance_mm: 200.0,
                lens: 0.0,
                mirrored: false,
                mount: Mount::Dark,
                ruler: false,
                bar: false,
            },
            line: Line {
                edge: Edge::DarkLine,
                width_mm: 0.1,
                strength: 0.8,
                interrupted: 0.0,
                remelted: 0.5,
            },
            metal: Metal {
                parent: 0.7,
                affected: 0.7,
                fused: 0.7,
                grain_mm: 0.02,
                coarse_mm: 0.06,
                column_mm: 0.15,
                grain_contrast: 0.0,
                column_contrast: 0.0,
                boundary: 0.0,
                twins: 0.0,
                outer_soft: 0.2,
                outer_line: 0.0,
                bands: 0.0,
                ripples: 0.0,
                pits: 0.0,
            },
            damage: Damage {
                scratches: 0,
                deep_scratches: 0,
                scratch_strength: 0.0,
                stain: 0.0,
                over_etch: 0.0,
                etch: 1.0,
                rounding_mm: 0.0,
                rough_mm: 0.0,
            },
            light: Light {
                exposure: 1.0,
                gradient: 0.0,
                towards_deg: 0.0,
                vignette: 0.0,
                glare: 0.0,
                cast: [1.0; 3],
            },
            sensor: Sensor { blur_px: 0.0, shot: 0.0, read: 0.0, chroma: 0.0 },
        }
    }

    /// Every number brought into the range that can be drawn; what is no number becomes the range's lower end.
    #[must_use]
    pub fn tamed(&self) -> Self {
        let within =
            |v: f64, low: f64, high: f64| if v.is_nan() { low } else { v.clamp(low, high) };
        let share = |v: f64| within(v, 0.0, 1.0);
        let turn = |v: f64| if v.is_finite() { v % 360.0 } else { 0.0 };
        let (f, l, m, d, g, s) =
            (self.frame, self.line, self.metal, self.damage, self.light, self.sensor);
        Self {
            frame: Frame {
                width: f.width.clamp(64, 8000),
                height: f.height.clamp(64, 8000),
                px_per_mm: f.px_per_mm.map(|v| within(v, 1.0, 1000.0)),
                fill: within(f.fill, 0.05, 2.0),
                roll_deg: turn(f.roll_deg),
                tilt_deg: within(f.tilt_deg, -30.0, 30.0),
                tilt_towards_deg: turn(f.tilt_towards_deg),
                // Near enough for a strong perspective, never so near that the plane passes the pinhole in view.
                distance_mm: within(f.distance_mm, 60.0, 1e5),
                lens: within(f.lens, -0.1, 0.1),
                ..f
            },
            line: Line {
                width_mm: within(l.width_mm, 0.0, 1.0),
                strength: share(l.strength),
                interrupted: share(l.interrupted),
                remelted: share(l.remelted),
                ..l
            },
            metal: Metal {
                parent: share(m.parent),
                affected: share(m.affected),
                fused: share(m.fused),
                grain_mm: within(m.grain_mm, 0.002, 5.0),
                coarse_mm: within(m.coarse_mm, 0.002, 5.0),
                column_mm: within(m.column_mm, 0.01, 5.0),
                grain_contrast: share(m.grain_contrast),
                column_contrast: share(m.column_contrast),
                boundary: share(m.boundary),
                twins: share(m.twins),
                outer_soft: within(m.outer_soft, 0.01, 1.0),
                outer_line: share(m.outer_line),
                bands: share(m.bands),
                ripples: share(m.ripples),
                pits: share(m.pits),
            },
            damage: Damage {
                scratches: d.scratches.min(5000),
                deep_scratches: d.deep_scratches.min(500),
                scratch_strength: share(d.scratch_strength),
                stain: share(d.stain),
                over_etch: share(d.over_etch),
                etch: share(d.etch),
                rounding_mm: within(d.rounding_mm, 0.0, 1.0),
                rough_mm: within(d.rough_mm, 0.0, 0.2),
            },
            light: Light {
                exposure: within(g.exposure, 0.05, 4.0),
                gradient: within(g.gradient, -1.0, 1.0),
                towards_deg: turn(g.towards_deg),
                vignette: share(g.vignette),
                glare: share(g.glare),
                cast: g.cast.map(|v| within(v, 0.1, 2.0)),
            },
            sensor: Sensor {
                blur_px: within(s.blur_px, 0.0, 12.0),
                shot: share(s.shot),
                read: share(s.read),
                chroma: within(s.chroma, 0.0, 2.0),
            },
        }
    }
}

/// A nuisance stratum: styles drawn at random with one thing made hard.
///
/// All start from *clean*, drawn in these ranges (uniform): tones parent 0.52 to 0.66, heat-affected 0.06 to 0.16
/// darker, fused 0.09 below to 0.03 above the parent; parent grain 0.02 to 0.06 mm, beside the line 0.06 to 0.14 mm,
/// columns 0.10 to 0.24 mm; dark line 0.045 to 0.10 mm wide, strength 0.35 to 0.70, faded on 0 to 10 % of its length;
/// blur 0.5 to 0.9 px; noise 0.6 to 1.2 % at white; gradient up to 12 %, vignetting 5 to 20 %; turn up to 3 degrees,
/// tilt up to 1 degree; the edge profile is one of the three; mount, rule and bar by chance.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Preset {
    /// As above.
    Clean,
    /// Noise 3 to 7 % at white and 1 to 2.5 % in the dark.
    Noisy,
    /// Blur 1.8 to 3.5 px.
    Blurred,
    /// Gradient 35 to 65 %, glare up to 35 %, vignetting 15 to 35 %.
    TiltedLight,
    /// Parent grain 0.15 to 0.45 mm, columns 0.2 to 0.5 mm, grain contrast 0.35 to 0.6, twins.
    GrainHeavy,
    /// Line strength 0.12 to 0.25, faded on 15 to 35 % of its length.
    FaintLine,
    /// Stain 0.5 to 1.
    Stained,
    /// Tilt 4 to 12 degrees, turn up to 8, lens up to 1.5 %.
    TiltedCamera,
    /// 400 to 1200 polishing lines and 8 to 25 that stand out.
    Scratched,
    /// All tones within 0.05, grain contrast halved, line strength 0.2 to 0.4.
    LowContrast,
    /// Over-etched: dark, pitted, no fusion line.
    OverEtched,
    /// Polished only: no grain, no fusion line.
    Unetched,
}

impl Preset {
    /// All of them.
    pub const ALL: [Self; 12] = [
        Self::Clean,
        Self::Noisy,
        Self::Blurred,
        Self::TiltedLight,
        Self::GrainHeavy,
        Self::FaintLine,
        Self::Stained,
        Self::TiltedCamera,
        Self::Scratched,
        Self::LowContrast,
        Self::OverEtched,
        Self::Unetched,
    ];

    /// The word for it.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Clean => "clean",
            Self::Noisy => "noisy",
            Self::Blurred => "blurred",
            Self::TiltedLight => "tilted light",
            Self::GrainHeavy => "grain-heavy",
            Self::FaintLine => "faint line",
            Self::Stained => "stained",
            Self::TiltedCamera => "tilted camera",
            Self::Scratched => "scratched",
            Self::LowContrast => "low contrast",
            Self::OverEtched => "over-etched",
            Self::Unetched => "unetched",
        }
    }

    /// Is a fusion line to be seen at all?
    #[must_use]
    pub const fn shows_a_line(self) -> bool {
        !matches!(self, Self::OverEtched | Self::Unetched)
    }

    /// A style of this stratum.
    #[must_use]
    pub fn style(self, seed: u64) -> Style {
        let mut rng = ChaCha8Rng::seed_from_u64(seed);
        rng.set_stream(1);
        let r = &mut rng;
        let mut s = clean(r);
        match self {
            Self::Clean => {}
            Self::Noisy => {
                s.sensor.shot = r.random_range(0.03..0.07);
                s.sensor.read = r.random_range(0.01..0.025);
                s.sensor.chroma = r.random_range(0.3..0.8);
            }
            Self::Blurred => s.sensor.blur_px = r.random_range(1.8..3.5),
            Self::TiltedLight => {
                s.light.gradient = r.random_range(0.35..0.65);
                s.light.vignette = r.random_range(0.15..0.35);
                s.light.glare = r.random_range(0.0..0.35);
            }
            Self::GrainHeavy => {
                s.metal.grain_mm = r.random_range(0.15..0.45);
                s.metal.coarse_mm = s.metal.grain_mm * r.random_range(0.9..1.5);
                s.metal.column_mm = r.random_range(0.2..0.5);
                s.metal.grain_contrast = r.random_range(0.35..0.6);
                s.metal.column_contrast = r.random_range(0.35..0.6);
                s.metal.boundary = r.random_range(0.3..0.7);
                s.metal.twins = r.random_range(0.1..0.4);
            }
            Self::FaintLine => {
                s.line.strength = r.random_range(0.12..0.25);
                s.line.interrupted = r.random_range(0.15..0.35);
            }
            Self::Stained => s.damage.stain = r.random_range(0.5..1.0),
            Self::TiltedCamera => {
                s.frame.tilt_deg = r.random_range(4.0..12.0);
                s.frame.roll_deg = r.random_range(-8.0..8.0);
                s.frame.lens = r.random_range(-0.015..0.015);
                s.frame.distance_mm = r.random_range(90.0..250.0);
            }
            Self::Scratched => {
                s.damage.scratches = r.random_range(400..1200);
                s.damage.deep_scratches = r.random_range(8..25);
                s.damage.scratch_strength = r.random_range(0.5..0.9);
            }
            Self::LowContrast => {
                s.metal.affected = s.metal.parent - r.random_range(0.01..0.04);
                s.metal.fused = s.metal.parent - r.random_range(-0.01..0.04);
                s.metal.grain_contrast *= 0.5;
                s.metal.column_contrast *= 0.5;
                s.metal.bands *= 0.5;
                s.line.strength = r.random_range(0.2..0.4);
            }
            Self::OverEtched => s.damage.over_etch = 1.0,
            Self::Unetched => {
                s.damage.etch = 0.0;
                s.metal.parent = r.random_range(0.6..0.75);
                s.damage.scratches = r.random_range(30..150);
            }
        }
        s
    }
}

fn clean(r: &mut ChaCha8Rng) -> Style {
    let parent = r.random_range(0.52..0.66);
    let mut s = Style::plain();
    s.frame.fill = r.random_range(0.62..0.92);
    s.frame.roll_deg = r.random_range(-3.0..3.0);
    s.frame.tilt_deg = r.random_range(0.0..1.0);
    s.frame.tilt_towards_deg = r.random_range(0.0..360.0);
    s.frame.mount = match r.random_range(0..10) {
        0..6 => Mount::Dark,
        6..8 => Mount::Bright,
        _ => Mount::Cloth,
    };
    s.frame.ruler = r.random_bool(0.35);
    s.frame.bar = !s.frame.ruler && r.random_bool(0.5);
    s.line = Line {
        edge: match r.random_range(0..10) {
            0..5 => Edge::DarkLine,
            5..8 => Edge::LineBeside,
            _ => Edge::Step,
        },
        width_mm: r.random_range(0.045..0.10),
        strength: r.random_range(0.35..0.70),
        interrupted: r.random_range(0.0..0.10),
        remelted: 0.5,
    };
    s.metal = Metal {
        parent,
        affected: parent - r.random_range(0.06..0.16),
        fused: parent - r.random_range(-0.03..0.09),
        grain_mm: r.random_range(0.02..0.06),
        coarse_mm: r.random_range(0.06..0.14),
        column_mm: r.random_range(0.10..0.24),
        grain_contrast: r.random_range(0.15..0.35),
        column_contrast: r.random_range(0.18..0.40),
        boundary: r.random_range(0.15..0.4),
        twins: if r.random_bool(0.3) { r.random_range(0.05..0.3) } else { 0.0 },
        outer_soft: r.random_range(0.06..0.35),
        outer_line: if r.random_bool(0.5) { r.random_range(0.05..0.25) } else { 0.0 },
        bands: if r.random_bool(0.6) { r.random_range(0.1..0.5) } else { 0.0 },
        ripples: r.random_range(0.0..0.3),
        pits: r.random_range(0.05..0.3),
    };
    // A step with next to no change of level would be no line at all.
    if s.line.edge == Edge::Step {
        s.metal.fused = s.metal.affected + r.random_range(0.08..0.16);
    }
    s.damage.scratches = r.random_range(0..90);
    s.damage.deep_scratches = r.random_range(0..3);
    s.damage.scratch_strength = r.random_range(0.15..0.5);
    s.damage.stain = if r.random_bool(0.4) { r.random_range(0.0..0.25) } else { 0.0 };
    s.damage.rounding_mm = r.random_range(0.0..0.06);
    s.damage.rough_mm = r.random_range(0.0..0.012);
    let warm = r.random_range(-0.03..0.09);
    s.light = Light {
        exposure: r.random_range(0.85..1.12),
        gradient: r.random_range(0.0..0.12),
        towards_deg: r.random_range(0.0..360.0),
        vignette: r.random_range(0.05..0.20),
        glare: 0.0,
        cast: [1.0 + warm, 1.0, 1.0 - 1.2 * warm],
    };
    s.sensor = Sensor {
        blur_px: r.random_range(0.5..0.9),
        shot: r.random_range(0.006..0.012),
        read: r.random_range(0.002..0.005),
        chroma: r.random_range(0.2..0.5),
    };
    s
}

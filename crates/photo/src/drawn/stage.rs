//! The section set up before the camera: frame, distances, marks. Both drawers start from it.

use super::camera::Stand;
use super::distance::{Far, Near, Piece, near, signed};
use super::optics::{Lamp, develop};
use super::shape::{Shape, finite};
use super::stroke::Layer;
use super::style::Style;
use super::texture::cover;
use super::truth::{FusedTruth, LengthTruth, Truth, straight};
use super::{Camera, Drawn, Extra, Px};
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;
use weld::section::{Plates, Point, Section, Side};

/// How far from lost parent metal and from pores distances are known, px.
const LOST_BAND: f64 = 12.0;
const PORE_BAND: f64 = 8.0;

/// A rule lying in the section's plane.
pub(crate) struct Ruler {
    /// Sides of its body in ideal pixels.
    body: [[f64; 3]; 4],
    pub(crate) ink: Layer,
    /// White, or steel.
    pub(crate) white: bool,
    truth: LengthTruth,
}

impl Ruler {
    /// Share of the pixel that the rule covers.
    pub(crate) fn cover(&self, ideal: Px) -> f32 {
        let inside = self
            .body
            .iter()
            .map(|l| l[0] * ideal[0] + l[1] * ideal[1] + l[2])
            .fold(f64::INFINITY, f64::min);
        cover(inside as f32, 1.0)
    }
}

struct Bar {
    truth: LengthTruth,
    /// Left, right, top, bottom of the box; the bar inside it.
    frame: [f64; 4],
    bar: [f64; 4],
    ink: Layer,
}

/// How much of a pixel is what.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Share {
    /// Metal.
    pub(crate) metal: f32,
    /// Of the metal: fused.
    pub(crate) fused: f32,
    /// Distance into the metal, px.
    pub(crate) deep: f32,
    /// Which plate is nearest.
    pub(crate) plate: usize,
}

/// Everything that is the same whoever draws.
pub(crate) struct Stage {
    pub(crate) width: usize,
    pub(crate) height: usize,
    pub(crate) style: Style,
    pub(crate) extra: Extra,
    pub(crate) seed: u64,
    pub(crate) camera: Camera,
    /// Pixels a millimetre in the middle.
    pub(crate) px_per_mm: f32,
    pub(crate) lamp: Lamp,
    /// Signed distance to the fused zones; empty when there are none.
    pub(crate) fused: Vec<f32>,
    lost: Vec<f32>,
    pores: Vec<f32>,
    /// Pieces of fusion line and their far distances.
    pub(crate) seam: Vec<Piece>,
    pub(crate) far: Far,
    pub(crate) near: Near,
    plates: Vec<Vec<[f64; 3]>>,
    pub(crate) rolled: Vec<Point>,
    /// Cracks and lack of fusion.
    pub(crate) breaks: Layer,
    /// Where plates touch.
    pub(crate) contact: Layer,
    pub(crate) scratches: Layer,
    pub(crate) ruler: Option<Ruler>,
    bar: Option<Bar>,
    section: Section,
}

impl Stage {
    pub(crate) fn new(section: &Section, extra: &Extra, style: &Style, seed: u64) -> Self {
        let (style, extra) = (style.tamed(), extra.tamed());
        let (width, height) = (style.frame.width, style.frame.height);
        let mut rng = ChaCha8Rng::seed_from_u64(seed);
        let (stand, strip) = stand(section, &extra, &style, &mut rng);
        let camera = Camera::new(width, height, &stand);
        let centre = [0.5 * (width as f64 - 1.0), 0.5 * (height as f64 - 1.0)];
        let px_per_mm = 1.0 / camera.mm_per_px(centre);
        let to_px = |line: &Vec<Point>| {
            line.iter().map(|&p| camera.px_from_section(p)).collect::<Vec<Px>>()
        };

        let shape = Shape::new(section, &extra, style.line.remelted);
        let band = (16.0_f64).max(1.6 * style.line.width_mm * px_per_mm + 8.0);
        let outlines: Vec<Vec<Px>> = shape.zones.iter().map(|z| to_px(&z.outline)).collect();
        let fused = signed(&outlines, width, height, band);
        let lost =
            signed(&shape.lost.iter().map(to_px).collect::<Vec<_>>(), width, height, LOST_BAND);
        let pores: Vec<Vec<Px>> =
            section.pores.iter().filter(|p| p.len() > 2 && finite(p)).map(to_px).collect();
        let pores = signed(&pores, width, height, PORE_BAND);
        let mut seam = Vec::new();
        for (zone, px) in shape.zones.iter().zip(&outlines) {
            for (i, &strength) in zone.seam.iter().enumerate() {
                if strength > 0.0 {
                    seam.push(Piece { a: px[i], b: px[(i + 1) % px.len()], strength });
                }
            }
        }
        let near = near(&seam, width, height, band);
        let far = Far::new(&seam, width, height);
        let plates = shape
            .plates
            .iter()
            .map(|plate| plate.iter().map(|h| camera.line_in_ideal(h.n, h.c)).collect())
            .collect();

        let mut breaks = Layer::new(width, height);
        for line in section.cracks.iter().filter(|l| finite(l)) {
            let half = 0.5 * px_per_mm * rng.random_range(0.02..0.05);
            breaks.line(&to_px(line), half, true, 0.92);
        }
        for line in section.unfused.iter().filter(|l| finite(l)) {
            let half = 0.5 * px_per_mm * rng.random_range(0.02..0.06);
            breaks.line(&to_px(line), half, false, 0.92);
        }
        let mut contact = Layer::new(width, height);
        for [a, b] in shape.contact {
            let half = 0.5 * px_per_mm * rng.random_range(0.02..0.05);
            let n = 40;
            let points: Vec<Px> = (0..=n)
                .map(|i| camera.px_from_section(a.towards(b, f64::from(i) / f64::from(n))))
                .collect();
            contact.line(&points, half, false, 0.9);
        }
        let scratches = scratches(&style, width, height, &mut rng);
        let ruler = strip.map(|place| ruler(place, &camera, width, height, &mut rng));
        let bar = style.frame.bar.then(|| bar(px_per_mm, width, height));
        let spot = [rng.random_range(-0.8..0.8), rng.random_range(-0.8..0.8)];
        Self {
            width,
            height,
            style,
            extra,
            seed,
            camera,
            px_per_mm: px_per_mm as f32,
            lamp: Lamp::new(&style.light, width, height, spot),
            fused,
            lost,
            pores,
            seam,
            far,
            near,
            plates,
            rolled: shape.rolled,
            breaks,
            contact,
            scratches,
            ruler,
            bar,
            section: section.clone(),
        }
    }

    /// A 32-bit number for one use.
    pub(crate) fn salt(&self, use_: u32) -> u32 {
        (self.seed as u32 ^ (self.seed >> 32) as u32)
            .wrapping_mul(0x9E37_79B1)
            .wrapping_add(use_.wrapping_mul(0x632B_E5AB))
    }

    /// How much of pixel `k` is what; `bump` moves the plates' surface outwards, by `most` at most, `soft` is the edges'
    /// half-width, px.
    pub(crate) fn share(
        &self,
        k: usize,
        ideal: Px,
        soft: f32,
        most: f32,
        bump: impl Fn() -> f32,
    ) -> Share {
        let mut plates = 0.0;
        let (mut deep, mut which) = (f32::NEG_INFINITY, 0);
        for (i, plate) in self.plates.iter().enumerate() {
            let inside = plate
                .iter()
                .map(|l| l[0] * ideal[0] + l[1] * ideal[1] + l[2])
                .fold(f64::INFINITY, f64::min) as f32;
            let d = if most > 0.0 && inside.abs() < soft + most { inside + bump() } else { inside };
            plates += cover(d, soft);
            if d > deep {
                (deep, which) = (d, i);
            }
        }
        let mut metal = plates.min(1.0);
        if let Some(&lost) = self.lost.get(k) {
            metal *= 1.0 - cover(lost, soft);
            // At the band's end the distance is only known to be at least that.
            if lost > -LOST_BAND as f32 {
                deep = deep.min(-lost);
            }
        }
        let mut fused = 0.0;
        if let Some(&d) = self.fused.get(k) {
            fused = cover(d, soft);
            metal = metal.max(fused);
            deep = deep.max(if d < self.near.band { d } else { 4.0 * d });
        }
        if let Some(&pore) = self.pores.get(k) {
            metal *= 1.0 - cover(pore, soft);
            if pore > -PORE_BAND as f32 {
                deep = deep.min(-pore);
            }
        }
        // Where the rest of the pixel is air, what metal there is is the weld's.
        let fused = if metal > 0.0 { (fused / metal).min(1.0) } else { 0.0 };
        Share { metal, fused, deep, plate: which }
    }

    /// Is this pixel a pore's?
    pub(crate) fn in_pore(&self, k: usize) -> bool {
        self.pores.get(k).is_some_and(|&d| d > -1.5)
    }

    pub(crate) fn finish(self, light: Vec<f32>, power: f32) -> Drawn {
        let (width, height) = (self.width, self.height);
        let mut rgb = develop(light, width, height, &self.style.sensor, power, self.seed);
        if let Some(bar) = &self.bar {
            bar.burn(&mut rgb, width);
        }
        let camera = self.camera;
        let section = self.section;
        let to_px = |line: &Vec<Point>| {
            line.iter().map(|&p| camera.px_from_section(p)).collect::<Vec<Px>>()
        };
        let corners = match &section.plates {
            Plates::Tee(tee) => {
                let at = |x: f64| camera.px_from_section(Point::new(x, 0.0));
                let mut all = vec![(Side::Right, at(tee.right.x))];
                all.extend(tee.left.map(|l| (Side::Left, at(l.x))));
                all
            }
            _ => Vec::new(),
        };
        let (damage, line, metal) = (self.style.damage, self.style.line, self.style.metal);
        let told = line.strength > 0.0 && line.edge != super::style::Edge::Step
            || (metal.fused - metal.affected).abs() > 0.0;
        let centre = [0.5 * (width as f64 - 1.0), 0.5 * (height as f64 - 1.0)];
        let truth = Truth {
            camera,
            width: width as u32,
            height: height as u32,
            fused: section
                .fused
                .iter()
                .map(|f| FusedTruth { side: f.side, px: to_px(&f.outline) })
                .collect(),
            straight: straight(&section, &self.extra, &camera, [width, height]),
            corners,
            pores: section.pores.iter().map(to_px).collect(),
            cracks: section.cracks.iter().map(to_px).collect(),
            unfused: section.unfused.iter().map(to_px).collect(),
            ruler: self.ruler.map(|r| r.truth),
            bar: self.bar.map(|b| b.truth),
            mm_per_px: camera.mm_per_px(centre),
            edge: line.edge,
            shows_a_line: told && damage.etch > 0.0 && damage.over_etch < 1.0,
            affected_mm: self.extra.affected_mm,
            section,
        };
        Drawn { rgb, width: width as u32, height: height as u32, truth }
    }
}

/// Where a rule is to lie: its upper edge's left end, length in whole millimetres, height, turn.
struct Strip {
    at: Point,
    long: usize,
    high: f64,
    turn: f64,
}

/// Sets the camera up so that the weld, its plates and the rule are in the frame.
fn stand(
    section: &Section,
    extra: &Extra,
    style: &Style,
    rng: &mut ChaCha8Rng,
) -> (Stand, Option<Strip>) {
    let f = style.frame;
    let (mut low, mut high) = (
        Point::new(f64::INFINITY, f64::INFINITY),
        Point::new(f64::NEG_INFINITY, f64::NEG_INFINITY),
    );
    for p in section.fused.iter().flat_map(|f| &f.outline).filter(|p| finite(&[**p])) {
        low = Point::new(low.x.min(p.x), low.y.min(p.y));
        high = Point::new(high.x.max(p.x), high.y.max(p.y));
    }
    if low.x > high.x {
        (low, high) = (Point::new(-3.0, -3.0), Point::new(3.0, 1.0));
    }
    let bottom = match &section.plates {
        Plates::Bead => -extra.plate_mm,
        Plates::Butt(butt) => {
            butt.bottom.map_or(-extra.plate_mm, |b| b[0].height_at(0.0).min(b[1].height_at(0.0)))
        }
        Plates::Tee(tee) => -tee.base_thickness.unwrap_or(extra.plate_mm),
    };
    let bottom = if bottom.is_finite() { bottom.clamp(-300.0, 0.0) } else { -extra.plate_mm };
    // The far surface is in view when there is a rule beside it, and by chance.
    let all = rng.random_bool(0.5) || f.ruler;
    low.y = if all { low.y.min(bottom) } else { (low.y - 1.2).max(bottom).min(low.y) };
    let beside = match &section.plates {
        Plates::Tee(_) => {
            high.y += 1.2;
            1.5
        }
        _ => {
            high.y += 0.5;
            2.0
        }
    };
    low.x -= beside;
    high.x += beside;
    let (w, h) = (f.width as f64, f.height as f64);
    let tall_rule = 4.4;
    let rule_top = low.y - 0.6;
    if f.ruler {
        low.y = rule_top - tall_rule;
    }
    let (bw, bh) = ((high.x - low.x).clamp(1.0, 1e5), (high.y - low.y).clamp(1.0, 1e5));
    let scale = f.px_per_mm.unwrap_or_else(|| {
        let grain = w / 1600.0;
        (f.fill * (w / bw).min(h / bh)).clamp(20.0 * grain, 110.0 * grain)
    });
    let spare = |v: f64, n: f64| (0.25 * (n / scale - v)).clamp(0.0, 4.0);
    let (sx, sy) = (spare(bw, w), spare(bh, h));
    let middle = Point::new(
        0.5 * (low.x + high.x) + sx * rng.random_range(-1.0..1.0),
        0.5 * (low.y + high.y) + sy * rng.random_range(-1.0..1.0),
    );
    let strip = f.ruler.then(|| {
        let long = (0.72 * w / scale).clamp(5.0, 100.0) as usize;
        Strip {
            at: Point::new(middle.x - 0.5 * long as f64 + rng.random_range(-0.5..0.5), rule_top),
            long,
            high: tall_rule,
            turn: rng.random_range(-0.02..0.02),
        }
    });
    let stand = Stand {
        middle,
        px_per_mm: scale,
        roll: f.roll_deg.to_radians(),
        tilt: f.tilt_deg.to_radians(),
        towards: f.tilt_towards_deg.to_radians(),
        // The plane must stay well in front of the pinhole all over the frame.
        distance: f.distance_mm.max(1.2 * w.hypot(h) / scale),
        lens: f.lens,
        mirrored: f.mirrored,
    };
    (stand, strip)
}

fn scratches(style: &Style, width: usize, height: usize, rng: &mut ChaCha8Rng) -> Layer {
    let d = style.damage;
    let mut layer = Layer::new(width, height);
    let size = (width as f64).hypot(height as f64);
    let grain = width as f64 / 1600.0;
    let main = rng.random_range(0.0..std::f64::consts::PI);
    for i in 0..d.scratches + d.deep_scratches {
        let deep = i >= d.scratches;
        let angle = if deep || rng.random_bool(0.15) {
            rng.random_range(0.0..std::f64::consts::PI)
        } else {
            main + 0.06 * (rng.random_range(-1.0..1.0) + rng.random_range(-1.0..1.0))
        };
        let long =
            size * if deep { rng.random_range(0.1..0.6) } else { rng.random_range(0.03..0.35) };
        let at = [rng.random_range(0.0..width as f64), rng.random_range(0.0..height as f64)];
        let bend: f64 = rng.random_range(-0.03..0.03);
        let half =
            grain * if deep { rng.random_range(0.4..1.1) } else { rng.random_range(0.15..0.5) };
        let dark = rng.random_bool(0.7);
        let strong = d.scratch_strength
            * if deep { rng.random_range(0.25..0.6) } else { rng.random_range(0.05..0.25) };
        let value = if dark { -strong } else { 0.7 * strong };
        let n = 24;
        let (sin, cos) = angle.sin_cos();
        let points: Vec<Px> = (0..=n)
            .map(|k| {
                let t = f64::from(k) / f64::from(n) - 0.5;
                let (u, v) = (t * long, bend * long * t * t);
                [at[0] + u * cos - v * sin, at[1] + u * sin + v * cos]
            })
            .collect();
        layer.line(&points, half, true, value as f32);
    }
    layer
}

fn ruler(
    strip: Strip,
    camera: &Camera,
    width: usize,
    height: usize,
    rng: &mut ChaCha8Rng,
) -> Ruler {
    let (sin, cos) = strip.turn.sin_cos();
    let (along, down) = (Point::new(cos, sin), Point::new(sin, -cos));
    let place = |s: f64, d: f64| strip.at + along * s + down * d;
    let long = strip.long as f64;
    let half = |n: Point, through: Point| camera.line_in_ideal(n, n.dot(through));
    let body = [
        half(down, place(0.0, 0.0)),
        half(down * -1.0, place(0.0, strip.high)),
        half(along, place(-1.5, 0.0)),
        half(along * -1.0, place(long + 1.5, 0.0)),
    ];
    let white = rng.random_bool(0.6);
    let mut ink = Layer::new(width, height);
    let to_px = |s: f64, d: f64| camera.px_from_section(place(s, d));
    let px = |mm: f64, at: Px| mm / camera.mm_per_px(at);
    let first = rng.random_range(0..12) * 10;
    for i in 0..=strip.long {
        let s = i as f64;
        let length = if (first + i) % 10 == 0 {
            2.4
        } else if (first + i) % 5 == 0 {
            1.9
        } else {
            1.3
        };
        let (a, b) = (to_px(s, 0.0), to_px(s, length));
        let thick = 0.5 * px(0.11, a);
        ink.stroke(a, b, [thick, thick], 0.9);
        if (first + i) % 10 == 0 {
            let word = format!("{}", (first + i) / 10);
            let tall = 1.35;
            let left = s - 0.36 * tall * word.len() as f64;
            ink.write(&word, |x, y| to_px(left + tall * x, 4.1 - tall * y), 0.5 * px(0.14, a), 0.9);
        }
    }
    let truth = LengthTruth { px: [to_px(0.0, 0.0), to_px(long, 0.0)], mm: long };
    Ruler { body, ink, white, truth }
}

fn bar(px_per_mm: f64, width: usize, height: usize) -> Bar {
    let (w, h) = (width as f64, height as f64);
    let wanted = 0.18 * w / px_per_mm;
    let mm = [0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0]
        .into_iter()
        .rfind(|&v| v <= wanted)
        .unwrap_or(0.1);
    let long = mm * px_per_mm;
    let unit = h / 1200.0;
    let (left, low) = (0.03 * w, h - 0.03 * h);
    let frame = [left, left + long + 30.0 * unit, low - 70.0 * unit, low];
    let bar = [left + 15.0 * unit, left + 15.0 * unit + long, low - 22.0 * unit, low - 12.0 * unit];
    let mut ink = Layer::new(width, height);
    let word = if mm >= 1.0 { format!("{mm:.0} mm") } else { format!("{:.0} m", mm * 1000.0) };
    let tall = 26.0 * unit;
    let at = [bar[0], low - 32.0 * unit];
    // Below a millimetre the bar carries no unit sign that this alphabet lacks.
    let word = if mm >= 1.0 { word } else { String::new() };
    ink.write(&word, |x, y| [at[0] + tall * x, at[1] - tall * y], 1.5 * unit, 1.0);
    let middle = 0.5 * (bar[2] + bar[3]);
    Bar { truth: LengthTruth { px: [[bar[0], middle], [bar[1], middle]], mm }, frame, bar, ink }
}

impl Bar {
    fn burn(&self, rgb: &mut [u8], width: usize) {
        let share = |r: &[f64; 4], x: f64, y: f64| {
            let one =
                |a: f64, b: f64, v: f64| ((v + 0.5).min(b) - (v - 0.5).max(a)).clamp(0.0, 1.0);
            one(r[0], r[1], x) * one(r[2], r[3], y)
        };
        let (from, to) = (self.frame[2].max(1.0) as usize - 1, self.frame[3].max(0.0) as usize + 1);
        for y in from..=to {
            for x in 0..=(self.frame[1].max(0.0) as usize + 1).min(width - 1) {
                let k = y * width + x;
                let (fx, fy) = (x as f64, y as f64);
                let white = share(&self.frame, fx, fy);
                if white <= 0.0 || 3 * k + 2 >= rgb.len() {
                    continue;
                }
                let black = share(&self.bar, fx, fy)
                    .max(f64::from(self.ink.data.get(k).copied().unwrap_or(0.0)));
                for v in &mut rgb[3 * k..3 * k + 3] {
                    let lit = f64::from(*v) * (1.0 - white) + 250.0 * white;
                    *v = (lit * (1.0 - black) + 8.0 * black).round() as u8;
                }
            }
        }
    }
}

//! The first drawer: Voronoi grain, columns grown from the fusion line, a heat-affected band, a dark line.
//!
//! Tones are bytes over 255, so half-way between two tones is half-way in the bytes.

use super::mount::{mount, rule};
use super::stage::{Share, Stage};
use super::style::Edge;
use super::texture::{Grain, again, cover, grain, noise, ramp, rough, unit};
use rayon::prelude::*;

/// Half-width of the edges' own blur, px.
const SOFT: f32 = 1.0;

/// Tone and warmth of a place.
#[derive(Clone, Copy)]
struct Tone {
    /// 0 black to 1 white.
    grey: f32,
    /// Brown, or negative blue.
    warm: f32,
}

pub(crate) fn shade(stage: &Stage) -> Vec<f32> {
    let painter = Painter::new(stage);
    let mut out = vec![0.0_f32; 3 * stage.width * stage.height];
    out.par_chunks_mut(3 * stage.width).enumerate().for_each(|(row, line)| {
        for (column, rgb) in line.chunks_exact_mut(3).enumerate() {
            rgb.copy_from_slice(&painter.pixel(column, row));
        }
    });
    out
}

struct Painter<'a> {
    stage: &'a Stage,
    /// Arc length at the start of each piece of fusion line, mm.
    along: Vec<f32>,
    etch: f32,
    over: f32,
    px: f32,
    affected: f32,
}

impl<'a> Painter<'a> {
    fn new(stage: &'a Stage) -> Self {
        let px = stage.px_per_mm;
        let mut along = Vec::with_capacity(stage.seam.len());
        let mut sum = 0.0_f32;
        for piece in &stage.seam {
            along.push(sum);
            sum += ((piece.b[0] - piece.a[0]).hypot(piece.b[1] - piece.a[1])) as f32 / px;
        }
        let d = stage.style.damage;
        Self {
            stage,
            along,
            etch: (d.etch * (1.0 - d.over_etch)) as f32,
            over: (d.over_etch * d.etch.min(1.0)) as f32,
            px,
            affected: stage.extra.affected_mm as f32,
        }
    }

    fn pixel(&self, column: usize, row: usize) -> [f32; 3] {
        let stage = self.stage;
        let k = row * stage.width + column;
        let at = [column as f64, row as f64];
        let (x, y) = (column as f32, row as f32);
        let ideal = stage.camera.ideal_from_px(at);
        let [mx, my] = stage.camera.section_from_ideal(ideal);
        let (mx, my) = (mx as f32, my as f32);
        let most = 1.6 * stage.style.damage.rough_mm as f32 * self.px;
        let bump = || most * rough(mx * 5.0, my * 5.0, stage.salt(1), 3);
        let share = stage.share(k, ideal, SOFT, most, bump);
        let mut rgb = [0.0; 3];
        if share.metal < 1.0 {
            rgb = if stage.in_pore(k) {
                let t = 0.05 + 0.04 * noise(mx * 9.0, my * 9.0, stage.salt(2));
                [t; 3]
            } else {
                mount(stage, x, y, (-share.deep).max(0.0))
            };
        }
        if share.metal > 0.0 {
            let tone = self.metal(k, x, y, mx, my, &share);
            let metal = [
                tone.grey * (1.0 + 0.10 * tone.warm),
                tone.grey * (1.0 - 0.01 * tone.warm),
                tone.grey * (1.0 - 0.14 * tone.warm),
            ];
            for (v, m) in rgb.iter_mut().zip(metal) {
                *v += (m - *v) * share.metal;
            }
        }
        if let Some(ruler) = &stage.ruler {
            let c = ruler.cover(ideal);
            if c > 0.0 {
                let own = rule(stage, ruler.white, ruler.ink.data[k], x, y);
                for (v, o) in rgb.iter_mut().zip(own) {
                    *v += (o - *v) * c;
                }
            }
        }
        let (gain, glare) = stage.lamp.at(x, y);
        [0, 1, 2].map(|c| rgb[c] * gain[c] + glare * (0.3 + 0.7 * share.metal))
    }

    fn metal(&self, k: usize, x: f32, y: f32, mx: f32, my: f32, share: &Share) -> Tone {
        let stage = self.stage;
        let (m, damage) = (&stage.style.metal, &stage.style.damage);
        let etched = self.etch > 0.0;
        let parent = m.parent as f32;
        let mut tone = Tone { grey: parent, warm: 0.0 };
        let away = if stage.seam.is_empty() {
            1e6
        } else {
            stage.far.distance(f64::from(x), f64::from(y)) / self.px
        };
        if etched {
            let seam_here = share.fused > 0.0 && !stage.seam.is_empty();
            if share.fused < 1.0 {
                tone = self.plate(mx, my, away, share);
            }
            if seam_here {
                let fused = self.fused(x, y, mx, my);
                tone.grey += (fused.grey - tone.grey) * share.fused;
                tone.warm += (fused.warm - tone.warm) * share.fused;
            }
            tone.grey = parent + (tone.grey - parent) * self.etch;
            tone.warm *= self.etch;
            tone.grey *= 1.0 - self.line(k, mx, my) * self.etch;
        } else {
            tone.grey += 0.012 * noise(mx * 1.5, my * 1.5, stage.salt(3));
        }
        if self.over > 0.0 {
            let crust = rough(mx * 9.0, my * 9.0, stage.salt(4), 4);
            let smut = rough(mx * 0.35, my * 0.35, stage.salt(5), 3);
            let dark = 0.21 + 0.10 * crust + 0.07 * smut;
            tone.grey += (dark - tone.grey) * self.over;
            tone.warm += (0.6 + 1.2 * smut - tone.warm) * self.over;
        }
        if stage.style.metal.grain_contrast > 0.0 {
            tone.grey *= 1.0
                + 0.035 * noise(mx / 2.6, my / 2.6, stage.salt(7))
                + 0.02 * noise(mx / 0.8, my / 0.8, stage.salt(8));
        }
        tone.grey *= 1.0 - self.pits(mx, my);
        tone.grey += stage.scratches.data[k] * (0.35 + 0.65 * tone.grey);
        self.stain(&mut tone, mx, my);
        tone.grey *= 1.0 - stage.breaks.data[k];
        tone.grey *= 1.0
            - stage.contact.data[k]
                * (1.0 - share.fused)
                * (0.75 + 0.25 * noise(mx * 3.0, my * 3.0, stage.salt(6)));
        let round = damage.rounding_mm as f32 * self.px;
        if round > 0.0 {
            tone.grey *= 1.0 - 0.45 * (-share.deep.max(0.0) / round).exp();
        }
        tone.grey = tone.grey.max(0.0);
        tone
    }

    /// Parent metal and heat-affected zone.
    fn plate(&self, mx: f32, my: f32, away: f32, share: &Share) -> Tone {
        let stage = self.stage;
        let m = &stage.style.metal;
        let (parent, affected) = (m.parent as f32, m.affected as f32);
        // Far out nothing of the zone is left, whatever its edge does.
        let far = away > 3.0 * self.affected;
        let u = if far {
            3.0
        } else {
            let wander = noise(mx / 1.7, my / 1.7, stage.salt(10));
            let ragged = 0.05 * noise(mx / 0.16, my / 0.16, stage.salt(16));
            away / (self.affected * (1.0 + 0.24 * wander + ragged))
        };
        let soft = m.outer_soft as f32;
        let heat = if u > 2.0 { 0.0 } else { 1.0 - ramp(1.0 - soft, 1.0 + soft, u) };
        let mut tone = Tone { grey: parent, warm: 0.0 };
        if heat > 0.0 {
            // Coarse grain beside the fusion line, then a dark fine-grained band, then one that changed only in part.
            let shape = 0.55 + 0.45 * ramp(0.05, 0.45, u) - 0.35 * ramp(0.55, 0.8, u);
            let patch = 0.14 * noise(mx / 0.35, my / 0.35, stage.salt(17));
            tone.grey += (affected - parent) * (shape + patch) * heat;
            tone.warm += 0.25 * heat * shape;
        }
        let line = m.outer_line as f32;
        if line > 0.0 && u < 1.6 {
            let off = (u - 1.0) * self.affected / 0.05;
            let wane = 0.6 + 0.4 * noise(mx / 1.1, my / 1.1, stage.salt(11));
            tone.grey *= 1.0 - line * wane * (-off * off).exp();
        }
        let dither = if far { 0.0 } else { 0.12 * noise(mx / 0.2, my / 0.2, stage.salt(12)) };
        let size = if u + dither < 0.4 {
            m.coarse_mm
        } else if u + dither < 0.85 {
            0.6 * m.grain_mm
        } else {
            m.grain_mm
        } as f32;
        self.grains(&mut tone, mx, my, size, 13);
        let bands = m.bands as f32;
        if bands > 0.0 {
            let along = stage.rolled.get(share.plate).copied().unwrap_or_default();
            let (ax, ay) = (along.x as f32, along.y as f32);
            let (s, h) = (mx * ax + my * ay, my * ax - mx * ay);
            let band = noise(s / 2.5, h / 0.11, stage.salt(14))
                + 0.6 * noise(s / 1.2, h / 0.05, stage.salt(15));
            tone.grey += 0.07 * bands * (1.0 - 0.65 * heat) * band;
        }
        tone
    }

    /// Equiaxed grain laid over a tone.
    fn grains(&self, tone: &mut Tone, mx: f32, my: f32, size: f32, use_: u32) {
        let stage = self.stage;
        let m = &stage.style.metal;
        let contrast = m.grain_contrast as f32;
        let boundary = m.boundary as f32;
        if contrast <= 0.0 && boundary <= 0.0 {
            return;
        }
        let salt = stage.salt(use_);
        let on_picture = size * self.px;
        if on_picture < 2.2 {
            // Grains smaller than the picture resolves: a mottle.
            let a = noise(mx / size, my / size, salt);
            let b = noise(mx / (3.3 * size), my / (3.3 * size), salt ^ 77);
            tone.grey *= 1.0 + contrast * (0.26 * a + 0.20 * b) - 0.12 * boundary;
            return;
        }
        // Boundaries are not straight: bend the place a little.
        let (ux, uy) = (mx / size, my / size);
        let bend = 0.22;
        let gx = ux + bend * noise(1.9 * ux, 1.9 * uy, salt ^ 5);
        let gy = uy + bend * noise(1.9 * ux, 1.9 * uy, salt ^ 6);
        // Large grains that swallowed their neighbours, and small ones between them.
        let large = grain(0.42 * gx + 0.1, 0.42 * gy, salt ^ 21);
        let mut g = large;
        g.rim /= 0.42;
        if unit(again(large.id ^ 17)) > 0.38 {
            let small = grain(1.15 * gx, 1.15 * gy, salt);
            if small.rim / 1.15 < g.rim {
                (g.rim, g.between) = (small.rim / 1.15, small.between);
            }
            g.id = again(small.id ^ large.id);
        }
        let v = unit(g.id);
        // Most grains are bright, a few are attacked and turn brown.
        let attacked = ramp(0.78, 1.0, v);
        tone.grey *= 1.0 + contrast * (0.24 * (v - 0.40) - 0.55 * attacked);
        tone.warm += contrast * 1.5 * attacked;
        let h = again(g.id);
        if unit(h) < m.twins as f32 {
            let angle = std::f32::consts::PI * unit(again(h));
            let (sin, cos) = angle.sin_cos();
            let across = (ux * cos + uy * sin) * 3.1 + unit(h ^ 0xABCD) * 9.0;
            let stripe = cover((noise(0.8 * across, 0.5, salt ^ 8) - 0.1) * 0.9 * on_picture, 1.0);
            tone.grey *= 1.0 - 0.45 * contrast * stripe;
        }
        let s = unit(g.between);
        let half = 0.5 * (0.9 + 0.012 * self.px);
        let dark = cover(half - g.rim * on_picture, 0.9)
            * (0.25 + 0.75 * s * s)
            * (on_picture / 6.0).clamp(0.45, 1.0);
        tone.grey *= 1.0 - boundary * dark;
    }

    /// The fused zone: columns from the fusion line inwards, turning up as they grow.
    fn fused(&self, x: f32, y: f32, mx: f32, my: f32) -> Tone {
        let stage = self.stage;
        let m = &stage.style.metal;
        let mut tone = Tone { grey: m.fused as f32, warm: 0.15 };
        let contrast = m.column_contrast as f32;
        // More heat, wider columns.
        let column = m.column_mm as f32 * (0.8 + 0.4 * self.affected.min(3.0));
        let rough_away = stage.far.distance(f64::from(x), f64::from(y)) / self.px;
        // Where a grain that is here started: lower down and a little aside.
        let wave = column * (0.12 + 0.20 * (rough_away / column).min(5.0));
        let wx = wave * noise(mx / (7.0 * column), my / (7.0 * column), stage.salt(20));
        let wy = wave * noise(mx / (7.0 * column), my / (7.0 * column), stage.salt(21));
        let rise = 0.28 * rough_away;
        let shifted = [f64::from(x + wx * self.px), f64::from(y + (wy + rise) * self.px)];
        if contrast > 0.0
            && let Some((d, piece, t)) = stage.far.exact(&stage.seam, shifted[0], shifted[1])
        {
            let d = d as f32 / self.px;
            let p = &stage.seam[piece];
            let long = ((p.b[0] - p.a[0]).hypot(p.b[1] - p.a[1])) as f32 / self.px;
            let s = self.along.get(piece).copied().unwrap_or(0.0) + t as f32 * long;
            // Grains compete: fewer and wider further in.
            let (mut wide, mut salt) = (1.25 * column, stage.salt(23));
            let mut g = grain(s / wide, d / (11.0 * column), salt);
            let onset = column * (0.3 + 3.4 * unit(again(g.id ^ 9)));
            if d < onset {
                (wide, salt) = (0.7 * column, stage.salt(22));
                let small = grain(s / wide, d / (3.0 * column), salt);
                g = Grain { id: again(small.id ^ g.id), ..small };
            }
            let v = unit(g.id);
            let attacked = ramp(0.6, 1.0, v);
            tone.grey *= 1.0 + contrast * (0.50 * (v - 0.45) - 0.50 * attacked);
            tone.warm += contrast * (1.6 * attacked + 0.5 * (unit(again(g.id)) - 0.5));
            // Dendrites: fine lines along the column, each grain at its own small angle.
            let lean = 0.9 * (unit(again(g.id ^ 3)) - 0.5);
            let fine = (0.16 * column).max(1.6 / self.px);
            let brush = noise((s + lean * d) / fine, d / (9.0 * fine), salt ^ 4);
            tone.grey *= 1.0 + 0.10 * contrast * brush;
            let rim = g.rim * wide * self.px;
            let sharp = unit(g.between);
            let dark = cover(0.7 - rim, 0.9) * (0.2 + 0.8 * sharp * sharp);
            tone.grey *= 1.0 - 0.65 * m.boundary as f32 * dark;
        }
        let ripples = m.ripples as f32;
        if ripples > 0.0 && rough_away < 2.5 {
            let phase = rough_away / 0.16 + 1.5 * noise(mx / 0.8, my / 0.8, stage.salt(24));
            tone.grey *= 1.0
                + 0.16 * ripples * noise(phase, 0.5, stage.salt(25)) * (-rough_away / 0.9).exp();
        }
        let cloud = noise(mx / 0.9, my / 0.9, stage.salt(26));
        if m.column_contrast > 0.0 {
            tone.grey *= 1.0 + 0.05 * cloud;
        }
        tone
    }

    /// Darkness of the fusion line here, 0 to 1.
    fn line(&self, k: usize, mx: f32, my: f32) -> f32 {
        let stage = self.stage;
        let line = &stage.style.line;
        if line.edge == Edge::Step || stage.seam.is_empty() {
            return 0.0;
        }
        let d = stage.near.distance[k];
        if d >= stage.near.band {
            return 0.0;
        }
        let salt = stage.salt(30);
        let natural = stage.style.metal.grain_contrast > 0.0;
        // Its width changes along it, to both sides alike, so that the truth stays where it is.
        let thick = if natural { 0.85 + 0.45 * noise(mx / 0.45, my / 0.45, salt ^ 2) } else { 1.0 };
        let width = line.width_mm as f32 * self.px * thick;
        let weight = stage.near.strength[k];
        let soft = SOFT + 0.12 * width;
        let inside = stage.fused.get(k).copied().unwrap_or(-1.0) > 0.0;
        let profile = if line.edge == Edge::DarkLine || weight < 1.0 {
            band(d, 0.5 * width, soft)
        } else {
            // Beside: from the boundary outwards.
            let out = if inside { -d } else { d };
            band(out - 0.5 * width, 0.5 * width, soft)
        };
        if profile <= 0.0 {
            return 0.0;
        }
        let slow = rough(mx / 0.6, my / 0.6, salt, 3);
        let gone = line.interrupted as f32;
        let fade = if gone > 0.0 {
            // The share of places where this noise lies below -1 + 2 x is about x.
            ramp(-0.16, 0.16, rough(mx / 0.7, my / 0.7, salt ^ 1, 2) + 0.62 * (1.0 - 2.0 * gone))
        } else {
            1.0
        };
        let uneven = if natural { 0.9 + 0.55 * slow } else { 1.0 };
        (line.strength as f32 * weight * fade * uneven * profile).clamp(0.0, 1.0)
    }

    fn pits(&self, mx: f32, my: f32) -> f32 {
        let stage = self.stage;
        let share =
            (stage.style.metal.pits as f32 * (0.25 + 0.75 * self.etch) + 1.4 * self.over).min(1.0);
        if share <= 0.0 {
            return 0.0;
        }
        let cell = 0.07 + 1.2 / self.px;
        // Turned against the frame, so that the lattice does not show.
        let (gx, gy) = ((0.83 * mx + 0.56 * my) / cell, (0.83 * my - 0.56 * mx) / cell);
        let (ix, iy) = (gx.floor(), gy.floor());
        let h = super::texture::hash(ix as i32, iy as i32, stage.salt(40));
        if unit(h) > 0.22 * share {
            return 0.0;
        }
        let h = again(h);
        let (cx, cy) = (0.2 + 0.6 * unit(h), 0.2 + 0.6 * unit(again(h)));
        let r = 0.06 + 0.2 * unit(again(h ^ 11)).powi(3);
        let d = (gx - ix - cx).hypot(gy - iy - cy);
        cover((r - d) * cell * self.px, 0.8) * (0.35 + 0.5 * unit(h ^ 0x55))
    }

    fn stain(&self, tone: &mut Tone, mx: f32, my: f32) {
        let amount = self.stage.style.damage.stain as f32;
        if amount <= 0.0 {
            return;
        }
        let stage = self.stage;
        let v = rough(mx / 4.5, my / 4.5, stage.salt(50), 4) + 0.3 * (amount - 0.6);
        let film = ramp(-0.05, 0.45, v);
        let hue = noise(mx / 3.0, my / 3.0, stage.salt(51));
        tone.grey *= 1.0 - 0.42 * amount * film;
        tone.warm += amount * film * (1.6 + 2.6 * hue);
        // Drying edges: thin dark rings on level lines of the film.
        for (level, width) in [(0.0, 0.03), (0.22, 0.015)] {
            let off = (v - level) / width;
            tone.grey *= 1.0 - 0.30 * amount * amount * (-off * off).exp();
        }
    }
}

/// A dark band of half-width `half` about 0 with blurred edges: half its depth at its edges.
fn band(d: f32, half: f32, soft: f32) -> f32 {
    cover(half - d, soft) + cover(half + d, soft) - 1.0
}

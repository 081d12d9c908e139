//! The second drawer, held out: nothing of the first one's grain, columns or lines.
//!
//! Parent: ferrite veining and dark islands from bent noise; heat-affected: darkening that fades out without an edge;
//! fused: brushed dendrites with side arms; boundary: light changes as the error function of the distance, no line.
//! Light is mixed as light and becomes bytes by the power 1/2.2.
//!
//! From the style: frame, light, sensor, tones, grain size, damage; the line's strength is the change of light across
//! the boundary, twice its width the change's 10 to 90 % width. Truth: where the change of light is half done.
//! Not drawn here: [`Edge`](super::style::Edge), columns, twins, bands; a line that a later weld melted again.

use super::mount::{mount, rule};
use super::stage::{Share, Stage};
use super::style::Style;
use super::texture::{hash, noise, ramp, rough, unit};
use super::{Drawn, Extra};
use rayon::prelude::*;
use weld::section::Section;

/// Half-width of the edges' own blur, px.
const SOFT: f32 = 0.8;

/// Draws a section by the second drawer.
#[must_use]
pub fn second(section: &Section, extra: &Extra, style: &Style, seed: u64) -> Drawn {
    let stage = Stage::new(section, extra, style, seed);
    let mut light = vec![0.0_f32; 3 * stage.width * stage.height];
    let brush = Brush::new(&stage);
    light.par_chunks_mut(3 * stage.width).enumerate().for_each(|(row, line)| {
        for (column, rgb) in line.chunks_exact_mut(3).enumerate() {
            rgb.copy_from_slice(&brush.pixel(column, row));
        }
    });
    stage.finish(light, 1.0 / 2.2)
}

struct Brush<'a> {
    stage: &'a Stage,
    along: Vec<f32>,
    px: f32,
    /// Light of the fused zone over that beside it.
    jump: f32,
    /// Standard width of the change, px.
    sigma: f32,
    etch: f32,
    over: f32,
}

impl<'a> Brush<'a> {
    fn new(stage: &'a Stage) -> Self {
        let px = stage.px_per_mm;
        let mut sum = 0.0_f32;
        let along = stage
            .seam
            .iter()
            .map(|p| {
                let start = sum;
                sum += ((p.b[0] - p.a[0]).hypot(p.b[1] - p.a[1])) as f32 / px;
                start
            })
            .collect();
        let (line, damage) = (stage.style.line, stage.style.damage);
        let darker = unit(hash(1, 2, stage.salt(60))) < 0.7;
        let change = 0.14 + 0.5 * line.strength as f32;
        Self {
            stage,
            along,
            px,
            jump: if darker { 1.0 / (1.0 + change) } else { 1.0 + change },
            // From 10 to 90 % is 2.563 standard widths.
            sigma: (2.0 * line.width_mm as f32 * px / 2.563).max(0.4),
            etch: (damage.etch * (1.0 - damage.over_etch)) as f32,
            over: (damage.over_etch * damage.etch) as f32,
        }
    }

    fn pixel(&self, column: usize, row: usize) -> [f32; 3] {
        let stage = self.stage;
        let k = row * stage.width + column;
        let (x, y) = (column as f32, row as f32);
        let ideal = stage.camera.ideal_from_px([f64::from(x), f64::from(y)]);
        let [mx, my] = stage.camera.section_from_ideal(ideal).map(|v| v as f32);
        let share = stage.share(k, ideal, SOFT, 0.0, || 0.0);
        let mut rgb = [0.0; 3];
        if share.metal < 1.0 {
            let around = if stage.in_pore(k) {
                [0.06; 3]
            } else {
                mount(stage, x, y, (-share.deep).max(0.0))
            };
            rgb = around.map(|v| v.max(0.0).powf(2.2));
        }
        if share.metal > 0.0 {
            let (light, brown) = self.metal(k, x, y, mx, my, &share);
            let metal = [light * (1.0 + 0.25 * brown), light, light * (1.0 - 0.35 * brown)];
            for (v, m) in rgb.iter_mut().zip(metal) {
                *v += (m - *v) * share.metal;
            }
        }
        if let Some(ruler) = &stage.ruler {
            let c = ruler.cover(ideal);
            let own = rule(stage, ruler.white, ruler.ink.data[k], x, y);
            for (v, o) in rgb.iter_mut().zip(own) {
                *v += (o.max(0.0).powf(2.2) - *v) * c;
            }
        }
        let (gain, glare) = stage.lamp.at(x, y);
        [0, 1, 2].map(|c| rgb[c] * gain[c] + 0.6 * glare * share.metal)
    }

    /// Light and brownness.
    fn metal(&self, k: usize, x: f32, y: f32, mx: f32, my: f32, share: &Share) -> (f32, f32) {
        let stage = self.stage;
        let (m, damage) = (&stage.style.metal, &stage.style.damage);
        let parent = (m.parent as f32).powf(2.2);
        let mut light = parent;
        let mut brown = 0.0;
        if self.etch > 0.0 {
            let (fx, fy) = (f64::from(x), f64::from(y));
            let away =
                if stage.seam.is_empty() { 1e6 } else { stage.far.distance(fx, fy) / self.px };
            let affected = (m.affected as f32).powf(2.2);
            let wander = 0.30 * noise(mx / 2.2, my / 2.2, stage.salt(61))
                + 0.12 * rough(mx / 0.3, my / 0.3, stage.salt(69), 2);
            let u = away / (stage.extra.affected_mm as f32 * (1.0 + wander));
            let heat = 1.0 - ramp(0.15, 1.35, u);
            // The change belongs to the boundary alone: up to a third of the zone the level beside it is even.
            let outside =
                parent + (affected - parent) * (heat + (1.0 - heat) * (1.0 - ramp(0.3, 0.6, u)));
            // Along the face there is no change within the metal.
            let done = stage.fused.get(k).map_or(0.0, |&d| {
                if stage.near.distance[k] > d.abs() + 0.25 {
                    share.fused
                } else {
                    normal(d / self.sigma)
                }
            });
            light = outside + (affected * self.jump - outside) * done;
            let veins = if done < 1.0 { self.veins(mx, my, heat.clamp(0.0, 1.0)) } else { 1.0 };
            let arms = if done > 0.0 { self.arms(x, y, mx, my) } else { 1.0 };
            light *= veins + (arms - veins) * done;
            brown = 0.25 * done + 0.2 * rough(mx / 2.0, my / 2.0, stage.salt(62), 2);
            light = parent + (light - parent) * self.etch;
            brown *= self.etch;
        }
        if self.over > 0.0 {
            let crust = 0.05 + 0.05 * rough(mx * 12.0, my * 12.0, stage.salt(63), 4).abs();
            light += (crust - light) * self.over;
        }
        light *= 1.0 + 1.4 * stage.scratches.data[k];
        let stain = damage.stain as f32;
        if stain > 0.0 {
            let v = rough(mx / 3.5 + 9.0, my / 3.5, stage.salt(64), 3);
            let film = ramp(0.0, 0.5, v + 0.3 * stain - 0.2);
            light *= 1.0 - 0.55 * stain * film;
            brown += 0.9 * stain * film;
        }
        light *= 1.0 - stage.breaks.data[k];
        light *= 1.0 - stage.contact.data[k] * (1.0 - share.fused);
        let round = damage.rounding_mm as f32 * self.px;
        if round > 0.0 {
            light *= 1.0 - 0.6 * (-share.deep.max(0.0) / round).exp();
        }
        (light.max(0.0), brown)
    }

    /// Ferrite veins and dark islands, mean about 1.
    fn veins(&self, mx: f32, my: f32, heat: f32) -> f32 {
        let stage = self.stage;
        let m = &stage.style.metal;
        let contrast = m.grain_contrast as f32;
        if contrast <= 0.0 && m.boundary <= 0.0 {
            return 1.0;
        }
        let size = (m.grain_mm as f32).max(1.3 / self.px);
        let (ux, uy) = (mx / size, my / size);
        let (bx, by) = (
            ux + 0.7 * noise(0.6 * ux, 0.6 * uy, stage.salt(65)),
            uy + 0.7 * noise(0.6 * ux, 0.6 * uy, stage.salt(66)),
        );
        let vein = 1.0 - (noise(0.8 * bx, 0.8 * by, stage.salt(67)).abs() * 5.0).min(1.0);
        let island = ramp(0.15, 0.55, rough(0.45 * bx, 0.45 * by, stage.salt(68), 2));
        // Heat spreads the carbon of the islands.
        1.0 - 0.5 * m.boundary as f32 * vein - contrast * (0.7 - 0.35 * heat) * island
            + 0.25 * contrast
    }

    /// Dendrites brushed along the way they grew, with side arms.
    fn arms(&self, x: f32, y: f32, mx: f32, my: f32) -> f32 {
        let stage = self.stage;
        let m = &stage.style.metal;
        let contrast = m.column_contrast as f32;
        if contrast <= 0.0 {
            return 1.0;
        }
        let deep = stage.far.distance(f64::from(x), f64::from(y)) / self.px;
        let sway = (0.10 + 0.11 * deep.min(4.0)) * self.px;
        let sx = f64::from(x + sway * noise(mx * 0.9, my * 0.9, stage.salt(75)));
        let sy = f64::from(y + sway * noise(mx * 0.9, my * 0.9, stage.salt(76)));
        let Some((d, piece, t)) = stage.far.exact(&stage.seam, sx, sy) else { return 1.0 };
        let d = d as f32 / self.px;
        let p = &stage.seam[piece];
        let s = self.along.get(piece).copied().unwrap_or(0.0)
            + t as f32 * ((p.b[0] - p.a[0]).hypot(p.b[1] - p.a[1])) as f32 / self.px;
        let wide = m.column_mm as f32;
        let trunk = noise(s / (0.55 * wide), d / (7.0 * wide), stage.salt(77));
        let broad = noise(s / (2.1 * wide), d / (12.0 * wide), stage.salt(78));
        let side =
            noise((s + 0.8 * d) / (0.5 * wide), (d - 0.8 * s) / (0.22 * wide), stage.salt(79));
        1.0 + contrast * (0.30 * trunk + 0.45 * broad + 0.18 * side)
    }
}

/// Normal distribution function; error below 1.5e-7 (Abramowitz and Stegun 7.1.26, recalled), exactly one half at 0.
fn normal(v: f32) -> f32 {
    let z = f64::from(v.abs()) / std::f64::consts::SQRT_2;
    let t = 1.0 / (1.0 + 0.327_591_1 * z);
    let poly = t
        * (0.254_829_592
            + t * (-0.284_496_736
                + t * (1.421_413_741 + t * (-1.453_152_027 + t * 1.061_405_429))));
    let tail = 0.5 * poly * (-z * z).exp();
    if v == 0.0 {
        0.5
    } else if v > 0.0 {
        (1.0 - tail) as f32
    } else {
        tail as f32
    }
}

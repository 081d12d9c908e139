//! Depth of a keyhole: absorbed power against the heat that its wall loses, along the spot's own way.
//!
//! ```text
//!   T*  = Tm + phi (Tv - Tm)                  the heat that leaves for good is counted to T*, not to boiling
//!   a²  = (cA · mean beam radius over 0..h)² + cv P                       beam, and room for the vapour
//!   A   = cL · cone(A0, h / 2a)                                           absorbed share, Gouffé
//!   q'  = Th [ 1 / (1/g(Pe) + B') + n0 ],     Pe = vp a / 2α              loss per length of depth
//!   B   = ∫ dτ / (4π te) [ F e^(-ρ²/4αte) - e^(-(vp τ)²/4αte) ]           history: own preheat under wobble (+), heat leaving
//!   B'  = bh B where B > 0, else B                                        downwards (-);  te = τ + a²/2α, ρ way back after τ
//!   h   = Ls ln(1 + A P / (q' Ls)),           mean over the cycle's phases
//! ```
//!
//! `h = Ls ln(1 + ..)` is what `dP/dz = -q' - P/Ls` gives from `A P` to nothing: q' to the wall, a share lost in the channel.
//! Solved to 1e-4, by secant steps, half way where one leaps. Constants: [`Constants::CHOSEN`], one set for every metal and every source.
//!
//! **Range** it was checked in: steel, stainless, alloy 718; 200 W to 10 kW; 3 mm/s to 3 m/s; depth over diameter from 0.5;
//! without wobble: **no open data hold a wobble's width and frequency**. Below 3 mm/s depth stops growing in the shop and
//! goes on growing here. The spot's effect at walking speed is weak here and said to be stronger in the shop.
//! Guarantees: more power never gives less depth, faster travel never more; `A` at most `cL · 0.98`.
//! Source: [`SEAMPROOF_KEYHOLE`](weld::source::SEAMPROOF_KEYHOLE) (measured in docs/accuracy.md),
//! [`MOVING_CYLINDER`](weld::source::MOVING_CYLINDER), [`GOUFFE_1945`](weld::source::GOUFFE_1945).
//! Not covered: pulsed power, gaps (see [`melt`](crate::melt)), humping, porosity, flow in the melt.

use std::f64::consts::{PI, TAU};

use crate::cylinder;
use crate::special::erf_integral;
use crate::wobble::Wobble;

/// Constants of the law.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Constants {
    /// Share of the way from melting to boiling that the lost heat is counted to.
    pub phi: f64,
    /// Room for the vapour, m²/W.
    pub c_v: f64,
    /// Length over which the channel itself takes up power, m.
    pub l_s: f64,
    /// Loss radius over beam radius.
    pub c_a: f64,
    /// Loss by melt flow and at the ends, in parallel.
    pub n0: f64,
    /// Share of the beam's divergence left inside the channel.
    pub c_z: f64,
    /// Share of the cone's absorption that stays (plume, spatter, vapour).
    pub c_l: f64,
    /// Share of the wobble's own heat that helps; a calibration may lower it.
    pub b_h: f64,
}

impl Constants {
    /// The one set. Which sources took part in choosing it is said in docs/accuracy.md
    /// ([`SEAMPROOF_KEYHOLE`](weld::source::SEAMPROOF_KEYHOLE)); `l_s` is provisional.
    pub const CHOSEN: Self = Self {
        phi: 0.20,
        c_v: 2.0e-12,
        l_s: 0.015,
        c_a: 1.35,
        n0: 1.3,
        c_z: 0.40,
        c_l: 0.9,
        b_h: 1.0,
    };
}

/// How finely the cycle and its history are looked at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Resolution {
    /// Phases of a cycle.
    pub phases: usize,
    /// Steps back in time.
    pub steps: usize,
}

impl Resolution {
    /// Within 1 % of the converged depth; under a millisecond.
    pub const INTERACTIVE: Self = Self { phases: 4, steps: 32 };
    /// Within 0.2 %; some milliseconds.
    pub const REPORT: Self = Self { phases: 8, steps: 60 };
    /// For tests.
    pub const FINE: Self = Self { phases: 16, steps: 240 };
}

/// What the wall loses heat to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Medium {
    /// Integral of the conductivity from the plate's temperature to T*, W/m.
    pub flow: f64,
    /// That over the heat per volume, m²/s.
    pub diffusivity: f64,
}

/// How the beam is taken in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Absorbed {
    /// As a cone of melt with this absorptivity takes it.
    Cone(f64),
    /// The absorbed share is known (calorimetry).
    Share(f64),
}

/// A keyhole to be worked out. SI.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Case {
    /// Laser power, W.
    pub power: f64,
    /// Absorbed power that something else takes first (wire), W.
    pub diverted: f64,
    /// Waist radius to 1/e², m.
    pub waist: f64,
    /// Rayleigh length, m.
    pub rayleigh: f64,
    /// Place of the focus over the surface, m; negative below.
    pub focus: f64,
    /// Travel, m/s.
    pub travel: f64,
    /// The swing.
    pub wobble: Option<Wobble>,
    /// Plate thickness along the beam, m.
    pub thickness: f64,
    /// The plate.
    pub medium: Medium,
    /// Absorption.
    pub absorbed: Absorbed,
}

/// What comes out. SI.
#[derive(Clone, Debug, PartialEq)]
pub struct Solution {
    /// Depth, m; beyond the plate's thickness when the keyhole goes through.
    pub depth: f64,
    /// Absorbed share.
    pub absorbed: f64,
    /// Loss per length of depth, W/m, mean over the cycle.
    pub loss: f64,
    /// Radius that loses heat, m.
    pub radius: f64,
    /// Depth at each phase of the cycle, m.
    pub by_phase: Vec<f64>,
    /// Power leaving through the bottom of a plate that is pierced, W.
    pub escaping: f64,
    /// Passes until it stood still.
    pub passes: u32,
}

/// Three-point Gauss rule on 0..1.
const GAUSS: [(f64, f64); 3] = [
    (0.112_701_665_379_258_3, 5.0 / 18.0),
    (0.5, 8.0 / 18.0),
    (0.887_298_334_620_741_7, 5.0 / 18.0),
];

/// Absorption of a cone `depth / opening` deep whose wall absorbs `a0` at once ([`GOUFFE_1945`](weld::source::GOUFFE_1945)),
/// at most 0.98. From a depth of about half the opening: the form counts the opening itself as wall of a flat cone.
#[must_use]
pub fn cone(a0: f64, depth_over_opening: f64) -> f64 {
    let f = depth_over_opening.max(1e-9);
    let s = 1.0 / (1.0 + 2.0 * (f * f + 0.25).sqrt());
    let s0 = (0.25 / (f * f)).min(1.0);
    let g = 1.0 + (1.0 - a0) * (s - s0.min(s));
    (a0 * g / (a0 * (1.0 - s) + s)).min(0.98)
}

/// Share of a line source's heat, 0..h in a plate t thick with closed faces, that is at the depth of the source after te:
/// 1 at first, h/t when it has spread.
#[must_use]
pub fn stays(te: f64, diffusivity: f64, h: f64, t: f64) -> f64 {
    let s = (4.0 * diffusivity * te).sqrt();
    if s > 3.0 * t {
        return h / t;
    }
    // What the next images would add is below erfc(4.8) = 1e-11 of the whole.
    let images = (2.0 + 2.4 * s / t) as i32;
    let mut sum = 0.0;
    for m in -images..=images {
        let c = 2.0 * f64::from(m) * t;
        sum += erf_integral(c + h, s) - erf_integral(c, s) - erf_integral(c - h, s)
            + erf_integral(c - 2.0 * h, s);
    }
    sum / (2.0 * h)
}

/// The history integral B at each of equally spaced phases (one for a beam that does not swing).
///
/// SI: `radius`, `depth`, `thickness` in m, `travel` in m/s. `depth` at most `thickness`.
#[must_use]
pub fn history(
    wobble: Option<&Wobble>,
    travel: f64,
    diffusivity: f64,
    radius: f64,
    depth: f64,
    thickness: f64,
    resolution: Resolution,
) -> Vec<f64> {
    let phases: Vec<f64> = phases(wobble, resolution).collect();
    let start = radius * radius / (2.0 * diffusivity);
    let first = (1e-3 * start).ln();
    let travel_slow = travel.max(1e-4);
    let last = (60.0 * diffusivity / (travel_slow * travel_slow)).max(20.0 * start).min(200.0).ln();
    let step = (last - first) / resolution.steps as f64;
    let here: Vec<([f64; 2], f64)> = phases
        .iter()
        .map(|&p| match wobble {
            None => ([0.0, 0.0], travel),
            Some(o) => {
                let [x, y] = o.swing(p);
                (o.place(p), (x + travel).hypot(y))
            }
        })
        .collect();
    let turns: Vec<[f64; 2]> = phases.iter().map(|p| [p.sin(), p.cos()]).collect();
    let mut out = vec![0.0; phases.len()];
    let mut kernel = vec![0.0; phases.len()];
    for i in 0..resolution.steps {
        let tau = (first + step * (i as f64 + 0.5)).exp();
        let dt = tau * step;
        let te = tau + start;
        let s4 = 4.0 * diffusivity * te;
        let stays = stays(te, diffusivity, depth, thickness);
        match wobble {
            None => {
                let r = travel * tau;
                kernel[0] = (-(r * r / s4).min(700.0)).exp();
            }
            Some(o) => {
                // Where a step back in time is long against a cycle, the kernel is averaged over the step.
                let cycle = 1.0 / o.frequency.hz();
                let parts = if dt < cycle / 64.0 {
                    1
                } else {
                    ((dt / (cycle / 48.0)) as usize + 2).min(24)
                };
                let window = if parts >= 24 { dt.min(cycle) } else { dt };
                kernel.iter_mut().for_each(|k| *k = 0.0);
                for j in 0..parts {
                    let back = tau + window * ((j as f64 + 0.5) / parts as f64 - 0.5);
                    let (sin, cos) = (TAU * o.frequency.hz() * back).sin_cos();
                    for (k, (spot, turn)) in kernel.iter_mut().zip(here.iter().zip(&turns)) {
                        let [x0, y0] = spot.0;
                        // The phase then is the phase now less what has turned since.
                        let [x, y] = o.place_at([
                            turn[0] * cos - turn[1] * sin,
                            turn[1] * cos + turn[0] * sin,
                        ]);
                        let (dx, dy) = (x0 - x + travel * back, y0 - y);
                        let r = (dx * dx + dy * dy) / s4;
                        if r < 40.0 {
                            *k += (-r).exp();
                        }
                    }
                }
                kernel.iter_mut().for_each(|k| *k /= parts as f64);
            }
        }
        let weight = dt / (4.0 * PI * te);
        for ((b, k), (_, speed)) in out.iter_mut().zip(&kernel).zip(&here) {
            let r = speed * tau;
            *b += weight * (stays * k - (-(r * r / s4).min(700.0)).exp());
        }
    }
    out
}

fn phases(wobble: Option<&Wobble>, resolution: Resolution) -> impl Iterator<Item = f64> {
    let n = if wobble.is_some() { resolution.phases.max(1) } else { 1 };
    (0..n).map(move |i| TAU * (i as f64 + 0.5) / n as f64)
}

/// Mean beam radius over a depth, guided in part by the channel's wall.
#[must_use]
pub fn mean_radius(waist: f64, rayleigh: f64, focus: f64, c_z: f64, depth: f64) -> f64 {
    let at = |share: f64| {
        let off = (focus + c_z * depth * share) / rayleigh;
        waist * (1.0 + off * off).sqrt()
    };
    GAUSS.iter().map(|(share, weight)| weight * at(*share)).sum()
}

/// Radius that loses heat, and absorbed share, at a depth.
pub(crate) fn radius_and_share(case: &Case, c: &Constants, depth: f64) -> (f64, f64) {
    let beam = c.c_a * mean_radius(case.waist, case.rayleigh, case.focus, c.c_z, depth);
    let radius = (beam * beam + c.c_v * case.power).sqrt();
    let share = match case.absorbed {
        Absorbed::Cone(a0) => c.c_l * cone(a0, depth / (2.0 * radius)),
        Absorbed::Share(share) => share,
    };
    (radius, share)
}

/// Solves a case. Figures must be positive and finite; 0 W gives no depth.
#[must_use]
pub fn solve(case: &Case, c: &Constants, resolution: Resolution) -> Solution {
    let wobble = case.wobble.as_ref();
    let (flow, alpha, t) = (case.medium.flow, case.medium.diffusivity, case.thickness);
    let speeds: Vec<f64> = phases(wobble, resolution)
        .map(|p| match wobble {
            None => case.travel,
            Some(o) => {
                let [x, y] = o.swing(p);
                (x + case.travel).hypot(y)
            }
        })
        .collect();
    let mut depth = (1.5 * t).min(0.8 * case.power / (3.0 * flow)).max(1e-9);
    let mut by_phase = vec![0.0; speeds.len()];
    let mut before = None;
    let mut out = Solution {
        depth: 0.0,
        absorbed: 0.0,
        loss: 0.0,
        radius: 0.0,
        by_phase: Vec::new(),
        escaping: 0.0,
        passes: 0,
    };
    if case.power <= 0.0 {
        let (radius, _) = radius_and_share(case, c, 0.0);
        return Solution { radius, by_phase, ..out };
    }
    for pass in 1..=80 {
        let (radius, share) = radius_and_share(case, c, depth);
        let history = history(wobble, case.travel, alpha, radius, depth.min(t), t, resolution);
        let taken = (share * case.power - case.diverted).max(0.0);
        let mut loss = 0.0;
        for ((h, b), speed) in by_phase.iter_mut().zip(&history).zip(&speeds) {
            let b = if *b > 0.0 { c.b_h * b } else { *b };
            let g = cylinder::loss(speed * radius / (2.0 * alpha));
            let q = flow * (1.0 / (1.0 / g + b).max(0.002) + c.n0);
            loss += q;
            *h = c.l_s * (taken / (q * c.l_s)).ln_1p();
        }
        let n = by_phase.len() as f64;
        let next = by_phase.iter().sum::<f64>() / n;
        out = Solution { absorbed: share, loss: loss / n, radius, passes: pass, ..out };
        if taken <= 0.0 {
            depth = 0.0;
            break;
        }
        let off = next - depth;
        if off.abs() < 1e-4 * depth {
            depth = next;
            break;
        }
        // Secant on `next - depth`; where that leaps, half way.
        let secant = before.map(|(h, f): (f64, f64)| depth - off * (depth - h) / (off - f));
        before = Some((depth, off));
        depth = match secant {
            Some(h) if h > 0.5 * depth.min(next) && h < 1.5 * depth.max(next) => h,
            _ => 0.5 * (depth + next),
        };
    }
    if depth > t {
        let q_ls = out.loss * c.l_s;
        out.escaping = ((out.absorbed * case.power - case.diverted + q_ls) * (-t / c.l_s).exp()
            - q_ls)
            .max(0.0);
    }
    Solution { depth, by_phase, ..out }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use weld::quantity::{Frequency, Length};

    use super::*;
    use crate::metal::{self, Metal};
    use crate::wobble::Pattern;

    /// From 20 °C, as section 7 of physics-keyhole.md prints them: the law is tested here, the tables in `metal`.
    fn printed(metal: Metal) -> Medium {
        let (flow, diffusivity) = match metal {
            CS => (60_876.0, 5.258e-6),
            SS => (40_200.0, 4.100e-6),
            _ => (33_322.0, 3.683e-6),
        };
        Medium { flow, diffusivity }
    }

    fn medium(metal: Metal, t0: f64) -> Medium {
        let m = metal.thermal();
        let star = metal::loss_temperature(m, Constants::CHOSEN.phi);
        let flow = m.flow(star) - m.flow(t0);
        Medium { flow, diffusivity: flow / (m.heat(star) - m.heat(t0)) }
    }

    fn wobble(pattern: Pattern, mm: f64, hz: f64) -> Option<Wobble> {
        Some(Wobble { pattern, width: Length::from_mm(mm), frequency: Frequency::from_hz(hz) })
    }

    /// W, µm, mm/s, metal, mm thick, M², wobble.
    fn case(
        power: f64,
        spot: f64,
        travel: f64,
        metal: Metal,
        t: f64,
        m2: f64,
        wobble: Option<Wobble>,
    ) -> Case {
        let waist = 0.5e-6 * spot;
        Case {
            power,
            diverted: 0.0,
            waist,
            rayleigh: PI * waist * waist / (m2 * 1.07e-6),
            focus: 0.0,
            travel: 1e-3 * travel,
            wobble,
            thickness: 1e-3 * t,
            medium: printed(metal),
            absorbed: Absorbed::Cone(0.36),
        }
    }

    use Metal::{Austenitic as SS, CarbonSteel as CS, Nickel718 as IN};
    use Pattern::{Circle, Line};

    /// Physics-keyhole.md section 7, the prototype's independent figures: depth (mm), A, q' (W/mm), a (µm). 0.3 % at 16
    /// phases and 240 steps, 1 % at 4 and 32, as stated there.
    #[test]
    fn depths_are_the_prototypes() {
        let narrow = wobble(Line, 1.2, 20.0);
        let rows = [
            (case(1000.0, 100.0, 10.0, CS, 6.0, 3.0, None), 3.4047, 0.8761, 229.22, 83.77),
            (case(1500.0, 50.0, 4.0, CS, 12.0, 3.0, narrow), 4.9628, 0.8820, 225.23, 86.66),
            (case(2000.0, 50.0, 4.0, CS, 15.0, 3.0, narrow), 6.2184, 0.8820, 229.24, 101.52),
            (case(1500.0, 150.0, 4.0, CS, 12.0, 9.0, narrow), 4.5974, 0.8730, 243.80, 128.53),
            (
                case(3000.0, 200.0, 30.0, CS, 12.0, 10.0, wobble(Circle, 1.0, 150.0)),
                2.5972,
                0.8448,
                948.12,
                158.05,
            ),
            (
                case(800.0, 100.0, 15.0, SS, 3.0, 3.0, wobble(Line, 1.5, 100.0)),
                1.9277,
                0.8613,
                338.93,
                79.41,
            ),
            (case(400.0, 54.0, 1800.0, SS, 10.0, 1.2, None), 0.1191, 0.6567, 2196.1, 46.14),
            (case(285.0, 67.0, 960.0, IN, 10.0, 1.1, None), 0.1519, 0.6811, 1271.7, 51.14),
            (
                // Not printed from 300 °C: our table, whose latent heat is 1 % above the prototype's (its steps are coarse),
                // with the diffusivity raised by as much as from 20 °C.
                Case {
                    medium: Medium {
                        diffusivity: medium(IN, 573.15).diffusivity * 3.683e-6
                            / medium(IN, 293.15).diffusivity,
                        ..medium(IN, 573.15)
                    },
                    ..case(285.0, 67.0, 960.0, IN, 10.0, 1.1, None)
                },
                0.1786,
                0.7062,
                1119.9,
                51.14,
            ),
            (case(10_000.0, 200.0, 16.7, SS, 40.0, 12.0, None), 16.804, 0.8820, 284.64, 278.58),
            (case(4000.0, 600.0, 50.0, SS, 20.0, 24.0, None), 4.0442, 0.8132, 700.70, 416.18),
        ];
        for (case, h, a, q, radius) in rows {
            let fine = solve(&case, &Constants::CHOSEN, Resolution::FINE);
            for (found, expected) in [
                (fine.depth * 1e3, h),
                (fine.absorbed, a),
                (fine.loss * 1e-3, q),
                (fine.radius * 1e6, radius),
            ] {
                assert!((found / expected - 1.0).abs() <= 3e-3, "{case:?}: {found} {expected}");
            }
            let quick = solve(&case, &Constants::CHOSEN, Resolution::INTERACTIVE).depth * 1e3;
            // The prototype itself gives 2.57 for the circle at 4 phases (section 6, two decimals).
            let near = if h == 2.5972 {
                (quick - 2.57).abs() <= 0.5e-2
            } else {
                (quick / h - 1.0).abs() <= 1e-2
            };
            assert!(near, "{case:?}: {quick}");
        }
    }

    /// The same section: depth along the cycle, mm (three and four printed figures).
    #[test]
    fn depth_along_the_cycle() {
        for (case, least, greatest) in [
            (case(1500.0, 50.0, 4.0, CS, 12.0, 3.0, wobble(Line, 1.2, 20.0)), 4.754, 5.216),
            (case(3000.0, 200.0, 30.0, CS, 12.0, 10.0, wobble(Circle, 1.0, 150.0)), 1.843, 3.523),
        ] {
            let found = solve(&case, &Constants::CHOSEN, Resolution::FINE).by_phase;
            let low = found.iter().fold(f64::INFINITY, |m, h| m.min(*h)) * 1e3;
            let high = found.iter().fold(0.0_f64, |m, h| m.max(*h)) * 1e3;
            assert!(
                (low / least - 1.0).abs() <= 4e-3 && (high / greatest - 1.0).abs() <= 4e-3,
                "{low} {high}"
            );
        }
    }

    /// Setting phi 1, cv 0, Ls 1e9, cz 0.25, cA 0.95, n0 1 gives the older law, whose figures stand in physics.md section 7,
    /// case 6 (the prototype t1.py): 1 %.
    #[test]
    fn the_older_law_is_inside() {
        let old = Constants {
            phi: 1.0,
            c_v: 0.0,
            l_s: 1e9,
            c_z: 0.25,
            c_a: 0.95,
            n0: 1.0,
            ..Constants::CHOSEN
        };
        let boiling = |metal: Metal| {
            let m = metal.thermal();
            let flow = m.flow(m.boiling.value);
            Medium { flow, diffusivity: flow / m.heat(m.boiling.value) }
        };
        for (case, metal, h) in [
            (case(1000.0, 100.0, 10.0, CS, 6.0, 3.0, None), CS, 2.918),
            (case(1500.0, 50.0, 4.0, CS, 12.0, 3.0, wobble(Line, 1.2, 20.0)), CS, 4.675),
            (case(3000.0, 200.0, 30.0, CS, 12.0, 10.0, wobble(Circle, 1.0, 150.0)), CS, 2.186),
            (case(800.0, 100.0, 15.0, SS, 3.0, 3.0, wobble(Line, 1.5, 100.0)), SS, 1.431),
            (case(285.0, 67.0, 960.0, IN, 10.0, 1.1, None), IN, 0.134),
        ] {
            let case = Case { medium: boiling(metal), ..case };
            let found = solve(&case, &old, Resolution::FINE).depth * 1e3;
            assert!((found / h - 1.0).abs() <= 1e-2, "{found} {h}");
        }
    }

    /// Physics.md section 7, case 2: four printed decimals.
    #[test]
    fn absorption_of_a_cone() {
        for (f, a) in [
            (0.5, 0.5759),
            (1.0, 0.6698),
            (2.0, 0.8054),
            (5.0, 0.9058),
            (10.0, 0.9486),
            (20.0, 0.9730),
        ] {
            assert!((cone(0.36, f) - a).abs() <= 0.6e-4, "{f}: {}", cone(0.36, f));
        }
    }

    /// Physics.md section 7, case 3: five printed decimals.
    #[test]
    fn what_stays_of_a_line() {
        for (te, f) in [(0.01, 0.93692), (1.0, 0.44674), (100.0, 0.20000)] {
            assert!((stays(te, 5e-6, 2e-3, 10e-3) - f).abs() <= 0.6e-5, "{te}");
        }
    }

    /// Physics.md section 7, case 4 (the prototype t1.py), 0.002 as stated there.
    #[test]
    fn history_is_the_prototypes() {
        for (wobble, mean) in [
            (None, -0.0334),
            (wobble(Line, 1.2, 20.0), 0.1598),
            (wobble(Line, 1.2, 100.0), 0.2351),
            (wobble(Line, 3.0, 100.0), 0.1598),
        ] {
            let b = history(wobble.as_ref(), 5e-3, 5.3645e-6, 60e-6, 5e-3, 12e-3, Resolution::FINE);
            let found = b.iter().sum::<f64>() / b.len() as f64;
            assert!((found - mean).abs() <= 0.002, "{wobble:?}: {found}");
        }
    }

    /// Further check figures of physics-keyhole.md section 7.
    #[test]
    fn the_law_bends_as_measured() {
        let depth = |case: &Case| solve(case, &Constants::CHOSEN, Resolution::REPORT).depth;
        // A wobble of 1 µm is none: 0.02 %.
        let straight = depth(&case(1500.0, 50.0, 4.0, CS, 12.0, 3.0, None));
        let still = depth(&case(1500.0, 50.0, 4.0, CS, 12.0, 3.0, wobble(Line, 0.001, 20.0)));
        // Our coarser history (60 steps instead of 240) averages a few of its steps over the window: 0.05 %.
        assert!((still / straight - 1.0).abs() <= 5e-4, "{straight} {still}");
        // 20 Hz against 20.01 Hz: no jump.
        let at = |hz| depth(&case(1500.0, 50.0, 4.0, CS, 12.0, 3.0, wobble(Line, 1.2, hz)));
        assert!((at(20.0) / at(20.01) - 1.0).abs() < 1e-3);
        // 15 kW over 12 kW at 1 mm: at most 1.40 (published at most 1.33).
        let ratio = depth(&case(15_000.0, 1000.0, 16.7, SS, 40.0, 40.0, None))
            / depth(&case(12_000.0, 1000.0, 25.0, SS, 40.0, 40.0, None));
        assert!(ratio <= 1.40, "{ratio}");
        // A tight focus no longer pays without limit.
        let spot = |um| depth(&case(300.0, um, 1000.0, SS, 10.0, 1.2, None));
        assert!(spot(10.0) < 1.7 * spot(50.0), "{} {}", spot(10.0), spot(50.0));
        // Power exponent at the anchor between 0.75 and 0.9.
        let p = |w| depth(&case(w, 50.0, 4.0, CS, 15.0, 3.0, wobble(Line, 1.2, 20.0))).ln();
        let exponent = (p(1650.0) - p(1350.0)) / (1650.0_f64 / 1350.0).ln();
        assert!((0.75..=0.9).contains(&exponent), "{exponent}");
        // Preheat: 0.066 to 0.082 in ln depth for each 100 K (Chen 2020, abstract: 0.077), 100 µm, 350 W, 0.5 m/s.
        let warm = |t0| {
            let c =
                Case { medium: medium(IN, t0), ..case(350.0, 100.0, 500.0, IN, 10.0, 1.1, None) };
            depth(&c).ln()
        };
        let slope = (warm(773.15) - warm(373.15)) / 4.0;
        // 1.282 over 400 K in physics-keyhole.md: 0.0621 for this setting, the pooled slope is 0.074.
        assert!((slope - 1.282_f64.ln() / 4.0).abs() <= 0.002, "{slope}");
    }

    #[test]
    fn no_power_no_depth() {
        let none = solve(
            &case(0.0, 100.0, 10.0, CS, 6.0, 3.0, None),
            &Constants::CHOSEN,
            Resolution::INTERACTIVE,
        );
        assert!(none.depth == 0.0 && none.escaping == 0.0);
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(48))]
        /// More power is never shallower; faster travel, wider or quicker swing never deeper; a warmer plate never shallower.
        /// Solved to 1e-4, so compared to 4e-4.
        #[test]
        fn depth_follows_the_setting(
            p in 500.0..3000.0_f64, d in 40.0..300.0_f64, v in 2.0..50.0_f64, w in 0.4..3.5_f64, hz in 10.0..250.0_f64,
            m2 in 1.2..8.0_f64, t in 3.0..20.0_f64, swings in any::<bool>(),
        ) {
            let o = |w, hz| if swings { wobble(Line, w, hz) } else { None };
            let depth = |c: &Case| solve(c, &Constants::CHOSEN, Resolution::REPORT).depth;
            let base = depth(&case(p, d, v, CS, t, m2, o(w, hz)));
            prop_assert!(base > 0.0 && base.is_finite());
            let no_less = |other: f64| other >= base * (1.0 - 4e-4);
            prop_assert!(no_less(depth(&case(1.2 * p, d, v, CS, t, m2, o(w, hz)))));
            prop_assert!(depth(&case(p, d, 1.2 * v, CS, t, m2, o(w, hz))) <= base * (1.0 + 4e-4));
            let warm = Case { medium: medium(CS, 493.15), ..case(p, d, v, CS, t, m2, o(w, hz)) };
            prop_assert!(no_less(depth(&warm)));
            if swings {
                prop_assert!(depth(&case(p, d, v, CS, t, m2, o(1.2 * w, hz))) <= base * (1.0 + 4e-4));
                prop_assert!(depth(&case(p, d, v, CS, t, m2, o(w, 1.2 * hz))) <= base * (1.0 + 4e-4));
            }
        }

        /// What stays at the source's depth is between all of it and an even spread through the plate.
        #[test]
        fn a_plate_keeps_its_heat(h in 0.05..1.0_f64, ln_t in -7.0..6.0_f64) {
            let share = stays(ln_t.exp(), 6e-6, h * 8e-3, 8e-3);
            prop_assert!(share <= 1.0 + 1e-9 && share >= h - 1e-9, "{share} {h}");
        }

        /// The absorbed power is spent: what the wall loses and the channel takes is `A P`, and no share passes 0.882.
        #[test]
        fn energy_adds_up(p in 200.0..5000.0_f64, d in 40.0..600.0_f64, v in 2.0..1000.0_f64, t in 1.0..20.0_f64) {
            let c = Constants::CHOSEN;
            let s = solve(&case(p, d, v, SS, t, 3.0, None), &c, Resolution::INTERACTIVE);
            prop_assert!(s.absorbed <= 0.882 + 1e-12);
            let h = s.depth.min(t * 1e-3);
            // ∫ (q' + P/Ls) dz over the depth, by the law's own solution of P(z): 200 midpoints.
            let q_ls = s.loss * c.l_s;
            let at = |z: f64| ((s.absorbed * p + q_ls) * (-z / c.l_s).exp() - q_ls).max(0.0);
            let n = 200;
            let spent: f64 = (0..n)
                .map(|i| (s.loss + at(h * (f64::from(i) + 0.5) / f64::from(n)) / c.l_s) * h / f64::from(n))
                .sum();
            prop_assert!(spent + s.escaping <= s.absorbed * p * 1.002, "{spent} {} {}", s.escaping, s.absorbed * p);
            prop_assert!(s.escaping <= p);
        }
    }
}

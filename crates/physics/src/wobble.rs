//! The way of the beam's centre while it swings.
//!
//! ```text
//!      line            circle          figure of eight          ↑ across the seam (y), full travel W
//!       │               ╭─╮                 ╭╮
//!       │               │ │                 ╰╮╯                 → along the seam (x)
//!       │               ╰─╯                 ╰╯
//!   y = W/2 sin θ   x = W/2 cos θ      x = W/4 sin 2θ           θ = 2π f t, added to the travel
//! ```
//!
//! **Width is the full side-to-side travel of the beam's centre.** Papers that write 'amplitude' seldom say half or full,
//! and taking one for the other moves the depth by 16 to 42 %. Frequency counts full cycles. A mirror swings as a sine.
//!
//! Guarantees: speeds are the exact derivatives of the curve; means over a cycle are taken over 720 steps.
//! Source: geometry. One ripple for each cycle, pitch = travel / frequency: inferred.
//! Not covered: power modulated along the cycle, patterns that swing along the seam, lag of the mirror at its limit.

use std::f64::consts::TAU;

use weld::quantity::{Frequency, Length, LineEnergy, Power, Speed};

use crate::beam::{BeamError, figure};

/// The curve.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Pattern {
    /// Straight across the seam.
    Line,
    /// A circle.
    Circle,
    /// A figure of eight lying across the seam.
    Eight,
}

impl Pattern {
    /// The word in files.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Line => "line",
            Self::Circle => "circle",
            Self::Eight => "eight",
        }
    }
}

/// A wobble.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wobble {
    /// The curve.
    pub pattern: Pattern,
    /// Full travel of the beam's centre across the seam.
    pub width: Length,
    /// Full cycles in a second.
    pub frequency: Frequency,
}

/// Steps of a cycle for means.
const STEPS: u32 = 720;

impl Wobble {
    /// Checks the figures: 1 µm to 20 mm, 0.1 Hz to 5 kHz.
    ///
    /// # Errors
    ///
    /// Names the figure that is outside.
    pub fn check(&self) -> Result<(), BeamError> {
        figure("the wobble's width", self.width.mm(), "mm", 1e-3, 20.0)?;
        figure("the wobble's frequency", self.frequency.hz(), "Hz", 0.1, 5000.0)?;
        Ok(())
    }

    /// Place of the centre against the travelling middle, metres (along, across), at a phase in radians.
    #[must_use]
    pub fn place(&self, phase: f64) -> [f64; 2] {
        let (sin, cos) = phase.sin_cos();
        self.place_at([sin, cos])
    }

    /// The same from the phase's sine and cosine.
    pub(crate) fn place_at(&self, [sin, cos]: [f64; 2]) -> [f64; 2] {
        let half = 0.5 * self.width.m();
        match self.pattern {
            Pattern::Line => [0.0, half * sin],
            Pattern::Circle => [half * cos, half * sin],
            Pattern::Eight => [half * sin * cos, half * sin],
        }
    }

    /// Its speed against the travelling middle, m/s (along, across).
    #[must_use]
    pub fn swing(&self, phase: f64) -> [f64; 2] {
        let half = 0.5 * self.width.m();
        let omega = TAU * self.frequency.hz();
        let (sin, cos) = phase.sin_cos();
        match self.pattern {
            Pattern::Line => [0.0, half * omega * cos],
            Pattern::Circle => [-half * omega * sin, half * omega * cos],
            Pattern::Eight => [half * omega * (cos * cos - sin * sin), half * omega * cos],
        }
    }

    /// Speed of the spot over the plate at a phase.
    #[must_use]
    pub fn speed_at(&self, travel: Speed, phase: f64) -> Speed {
        let [x, y] = self.swing(phase);
        Speed::from_m_per_s((x + travel.m_per_s()).hypot(y))
    }

    fn phases() -> impl Iterator<Item = f64> {
        (0..STEPS).map(|i| TAU * (f64::from(i) + 0.5) / f64::from(STEPS))
    }

    /// Mean speed of the spot along its way.
    #[must_use]
    pub fn mean_speed(&self, travel: Speed) -> Speed {
        Self::phases().map(|p| self.speed_at(travel, p)).sum::<Speed>() / f64::from(STEPS)
    }

    /// Greatest speed of the spot along its way.
    #[must_use]
    pub fn greatest_speed(&self, travel: Speed) -> Speed {
        Self::phases().map(|p| self.speed_at(travel, p)).fold(Speed::ZERO, Speed::max)
    }

    /// Travel in one cycle.
    #[must_use]
    pub fn pitch(&self, travel: Speed) -> Length {
        travel / self.frequency
    }

    /// How much of the spot's diameter each cycle lies over the one before; negative: cycles that do not touch.
    #[must_use]
    pub fn overlap(&self, travel: Speed, spot: Length) -> f64 {
        1.0 - self.pitch(travel) / spot
    }

    /// Share of the time that the centre spends in each of equal strips across the full width.
    #[must_use]
    pub fn dwell(&self, strips: usize) -> Vec<f64> {
        let n = strips.max(1);
        // All three curves go across as a sine: the share to the left of y is 1/2 + asin(2y/W)/π.
        let left = |i: usize| 0.5 + (2.0 * i as f64 / n as f64 - 1.0).asin() / std::f64::consts::PI;
        (0..n).map(|i| left(i + 1) - left(i)).collect()
    }

    /// Part of the square of a Gaussian's 1/e² radius that the swing adds (along, across), m²: four times its variance.
    #[must_use]
    pub fn spread(&self) -> [f64; 2] {
        let w2 = self.width.m() * self.width.m();
        match self.pattern {
            Pattern::Line => [0.0, 0.5 * w2],
            Pattern::Circle => [0.5 * w2, 0.5 * w2],
            Pattern::Eight => [0.125 * w2, 0.5 * w2],
        }
    }
}

/// Energy that falls on each place of the seam, drawn to scale.
#[derive(Clone, Debug, PartialEq)]
pub struct EnergyMap {
    /// Step between places, both ways.
    pub step: Length,
    /// Places along the seam (one pitch of the wobble, or one step for a beam that does not swing).
    pub along: usize,
    /// Places across the seam.
    pub across: usize,
    /// J/mm² at each place, row by row along the seam.
    pub j_per_mm2: Vec<f64>,
}

/// Energy per area over one pitch, on places a given number to the spot's diameter (at most 400 x 400 places).
///
/// Energy falls as a Gaussian about the centre. The map repeats along the seam with the pitch.
#[must_use]
pub fn energy_map(
    power: Power,
    radius: Length,
    travel: Speed,
    wobble: Option<Wobble>,
    per_spot: u32,
) -> EnergyMap {
    let w = radius.mm();
    let v = travel.mm_per_s();
    let wide = wobble.map_or(0.0, |o| o.width.mm()) + 4.0 * w;
    let pitch = wobble.map_or(w, |o| o.pitch(travel).mm());
    let step = (2.0 * w / f64::from(per_spot.max(2))).max(wide.max(pitch) / 400.0);
    let across = (wide / step).ceil().max(1.0) as usize;
    let along = (pitch / step).ceil().max(1.0) as usize;
    let step_along = pitch / along as f64;
    let mut map = vec![0.0; along * across];
    // The cycle in steps so fine that the spot moves a quarter of its radius at most.
    let cycle = pitch / v;
    let way = wobble.map_or(v, |o| o.greatest_speed(travel).mm_per_s()) * cycle;
    let parts = ((way / (0.25 * w)).ceil() as usize).clamp(16, 20_000);
    let dt = cycle / parts as f64;
    for i in 0..parts {
        let share = (i as f64 + 0.5) / parts as f64;
        let [x, y] = wobble.map_or([0.0, 0.0], |o| o.place(TAU * share).map(|m| m * 1e3));
        let x = x + share * pitch;
        for a in 0..along {
            // The nearest of all copies along the seam, and as many beside it as reach here.
            let copies = (2.5 * w / pitch).ceil() as i64;
            let px = (a as f64 + 0.5) * step_along;
            let near = ((x - px) / pitch).round() as i64;
            let mut g = 0.0;
            for c in near - copies..=near + copies {
                let d = x - px - c as f64 * pitch;
                g += (-2.0 * d * d / (w * w)).exp();
            }
            if g < 1e-12 {
                continue;
            }
            for b in 0..across {
                let d = y - ((b as f64 + 0.5) * step - 0.5 * wide);
                let r = 2.0 * d * d / (w * w);
                if r < 30.0 {
                    map[a * across + b] += g * (-r).exp();
                }
            }
        }
    }
    let peak = 2.0 * power.w() / (std::f64::consts::PI * w * w) * dt;
    map.iter_mut().for_each(|e| *e *= peak);
    EnergyMap { step: Length::from_mm(step), along, across, j_per_mm2: map }
}

impl EnergyMap {
    /// Energy per length of seam that the map holds.
    #[must_use]
    pub fn line_energy(&self) -> LineEnergy {
        let rows = self.along.max(1) as f64;
        let sum: f64 = self.j_per_mm2.iter().sum();
        LineEnergy::from_j_per_mm(sum * self.step.mm() / rows)
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn wobble(pattern: Pattern) -> Wobble {
        Wobble { pattern, width: Length::from_mm(1.2), frequency: Frequency::from_hz(20.0) }
    }

    /// By construction: a circle at rest goes round π W f; a line there and back 2 W f in the mean and π W f at its fastest.
    #[test]
    fn speeds_along_the_way() {
        let rest = Speed::ZERO;
        let circle = wobble(Pattern::Circle);
        let pi = std::f64::consts::PI;
        assert!((circle.mean_speed(rest).mm_per_s() - pi * 24.0).abs() < 1e-9);
        assert!((circle.greatest_speed(rest).mm_per_s() - pi * 24.0).abs() < 1e-9);
        let line = wobble(Pattern::Line);
        // The mean over 720 midpoints of |cos|, to 1e-5.
        assert!((line.mean_speed(rest).mm_per_s() - 48.0).abs() < 48.0 * 1e-5);
        assert!((line.greatest_speed(rest).mm_per_s() - pi * 24.0).abs() < pi * 24.0 * 1e-4);
        assert!((line.pitch(Speed::from_mm_per_s(4.0)).mm() - 0.2).abs() < 1e-12);
        assert!(
            (line.overlap(Speed::from_mm_per_s(4.0), Length::from_mm(0.1)) + 1.0).abs() < 1e-12
        );
    }

    /// By construction: a sine spends a third of its time within half its swing, so the outer quarters have a third each.
    #[test]
    fn dwell_is_longest_at_the_turns() {
        let dwell = wobble(Pattern::Line).dwell(4);
        let third = 1.0 / 3.0;
        assert!((dwell[0] - third).abs() < 1e-12 && (dwell[3] - third).abs() < 1e-12, "{dwell:?}");
        assert!((dwell.iter().sum::<f64>() - 1.0).abs() < 1e-12);
    }

    /// Power over travel is what the map holds, but for the Gaussian's share beyond its edges (below 1e-4).
    #[test]
    fn the_map_holds_all_the_energy() {
        let (power, travel) = (Power::from_w(1500.0), Speed::from_mm_per_s(8.0));
        for o in [
            None,
            Some(wobble(Pattern::Line)),
            Some(wobble(Pattern::Circle)),
            Some(wobble(Pattern::Eight)),
        ] {
            let map = energy_map(power, Length::from_um(100.0), travel, o, 8);
            let share = map.line_energy() / (power / travel);
            assert!((share - 1.0).abs() < 2e-3, "{o:?}: {share}");
        }
    }

    proptest! {
        /// The speed is the curve's derivative.
        #[test]
        fn speed_is_the_derivative(phase in 0.0..TAU, which in 0..3_usize) {
            let o = wobble([Pattern::Line, Pattern::Circle, Pattern::Eight][which]);
            let h = 1e-6;
            let (a, b) = (o.place(phase - h), o.place(phase + h));
            for i in 0..2 {
                let slope = (b[i] - a[i]) / (2.0 * h) * TAU * o.frequency.hz();
                prop_assert!((slope - o.swing(phase)[i]).abs() < 1e-6);
            }
        }

        /// Dwell adds up to the whole time and is even about the middle.
        #[test]
        fn dwell_adds_up(strips in 1..40_usize) {
            let dwell = wobble(Pattern::Circle).dwell(strips);
            prop_assert!((dwell.iter().sum::<f64>() - 1.0).abs() < 1e-9);
            for i in 0..strips {
                prop_assert!((dwell[i] - dwell[strips - 1 - i]).abs() < 1e-9);
            }
        }
    }
}

//! How far a predicted depth may be off before the user's own coupons say more.
//!
//! | regime | 90 % factor, either way |
//! |---|---|
//! | straight, or swing to 1.2 mm and 25 Hz, at walking speed | 1.6 |
//! | swing of 2 mm and more, or from 50 Hz | 1.8 |
//! | the spot governs: v a / 2α from 1 | 2.2 |
//! | between (1.2 to 2 mm, 25 to 50 Hz, v a / 2α of 0.5 to 1) | between, never below what the source advises |
//! | below 3 mm/s, above 5 kW, within 1.3 of the switch to conduction, titanium, aluminium | none: said |
//! | a gap, plates above 500 °C, far from 1070 nm, a wobble that advances more than 1 mm a cycle, a beam that grazes a plate | none: said |
//!
//! Spread of the constants propagated through the law, rounded up for travel, focus and power by hand: a judgement.
//! No open data hold a wobble, so nothing proves the second line. Beyond 3 mm or 300 Hz nothing was propagated: none.
//! The source's factor steps at 2 mm, 50 Hz and v a / 2α of 1; a step would let two per cent more speed raise the high
//! end by a third, so the larger factor is reached by a ramp in its logarithm that ends at the step. The ramps' lengths
//! are a judgement.
//! Source: [`SEAMPROOF_KEYHOLE`](weld::source::SEAMPROOF_KEYHOLE).
//! Not covered: gaps, pulsed power; a fault of the machine.

use crate::metal::Metal;

/// A regime with a band.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Regime {
    /// Walking speed, straight or narrow and slow swing.
    Walking,
    /// Wide or quick swing, or on the way to it.
    Swinging,
    /// The spot governs, or begins to.
    Spot,
}

impl Regime {
    /// In words.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Walking => "walking speed, straight or narrow wobble",
            Self::Swinging => {
                "walking speed, wobble wider than 1.2 mm or above 25 Hz (no open data hold a wobble)"
            }
            Self::Spot => "fast travel, where the spot governs or begins to",
        }
    }
}

/// A band, or why there is none.
#[derive(Clone, Debug, PartialEq)]
pub enum Band {
    /// Ninety of a hundred depths lie within this factor, either way.
    Within {
        /// What it hangs on.
        regime: Regime,
        /// The 90 % factor.
        factor: f64,
    },
    /// Outside what was checked: no band.
    Outside(Vec<String>),
}

impl Band {
    /// The factor, where there is one.
    #[must_use]
    pub const fn factor(&self) -> Option<f64> {
        match self {
            Self::Within { factor, .. } => Some(*factor),
            Self::Outside(_) => None,
        }
    }
}

/// Focus diameters of the open data, m.
const SPOTS: [f64; 2] = [36e-6, 610e-6];
/// A gap that a beam's joint may have and count as closed, m. Common practice, no source.
pub const CLOSED: f64 = 0.1e-3;

/// Wavelengths of the open data's lasers, all near 1070 nm, m.
const WAVELENGTHS: [f64; 2] = [1.0e-6, 1.1e-6];
/// The hottest plates of the open data (nickel alloy 718 at 500 °C), K.
const HOTTEST: f64 = 773.15;
/// The most that a cycle of the wobble may advance, m: resolved heat flow scallops at 0.75 mm. A judgement.
const COARSEST: f64 = 1e-3;
/// Below this angle to a plate a beam's print grows without bound, and what it absorbs is another. A judgement, no source.
const LEAST_GRAZING: f64 = 20.0;

/// What a band hangs on. SI but where said.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Where {
    /// The metal.
    pub metal: Metal,
    /// Power, W.
    pub power: f64,
    /// Travel, m/s.
    pub travel: f64,
    /// Full width of the swing, m; 0 without.
    pub width: f64,
    /// Its frequency, Hz.
    pub frequency: f64,
    /// Travel Péclet number v a / 2α.
    pub peclet: f64,
    /// Surface temperature rise of the conduction solution over the rise to boiling: keyholes above 1.
    pub over_switch: f64,
    /// Depth over diameter of the keyhole, h / 2a.
    pub slenderness: f64,
    /// Focus diameter, m.
    pub spot: f64,
    /// Wavelength, m.
    pub wavelength: f64,
    /// Plates before welding, K.
    pub plates: f64,
    /// Gap between the plates, m.
    pub gap: f64,
    /// Least angle between the beam and a plate of a tee, degrees; 90 elsewhere.
    pub grazing: f64,
}

/// The band before own coupons.
#[must_use]
pub fn band(at: &Where) -> Band {
    let mut outside = Vec::new();
    if at.metal.calibrate_first() {
        outside.push(format!(
            "{}: calibrate first, the depth is not known to a factor of two",
            at.metal.word()
        ));
    }
    if at.travel < 3e-3 * (1.0 - 1e-9) {
        outside.push(format!(
            "travel of {:.1} mm/s, checked from 3 mm/s: real depth stops growing there, the model's does not",
            at.travel * 1e3
        ));
    }
    if at.travel > 3.0 {
        outside.push(format!("travel of {:.1} m/s, checked to 3 m/s", at.travel));
    }
    if at.power > 5000.0 * (1.0 + 1e-9) {
        outside.push(format!("{:.1} kW, checked to 5 kW", at.power * 1e-3));
    }
    if at.power < 200.0 * (1.0 - 1e-9) {
        outside.push(format!("{:.0} W, checked from 200 W", at.power));
    }
    if !(SPOTS[0]..=SPOTS[1]).contains(&at.spot) {
        outside.push(format!(
            "a spot of {:.0} µm, checked from {:.0} to {:.0} µm",
            at.spot * 1e6,
            SPOTS[0] * 1e6,
            SPOTS[1] * 1e6
        ));
    }
    if at.gap > CLOSED * (1.0 + 1e-9) {
        outside.push(format!(
            "a gap of {:.2} mm: nothing was checked with a gap, and a beam's joint is closed to {:.1} mm (common practice)",
            at.gap * 1e3,
            CLOSED * 1e3
        ));
    }
    if at.grazing < LEAST_GRAZING - 1e-9 {
        outside.push(format!(
            "the beam grazes a plate at {:.0}°, looked at from {LEAST_GRAZING:.0}°",
            at.grazing
        ));
    }
    if !(WAVELENGTHS[0]..=WAVELENGTHS[1]).contains(&at.wavelength) {
        outside.push(format!(
            "a wavelength of {:.0} nm, checked near 1070 nm: what a metal absorbs is another elsewhere",
            at.wavelength * 1e9
        ));
    }
    if at.plates > HOTTEST + 1e-6 {
        outside.push(format!(
            "plates at {:.0} °C, checked to {:.0} °C",
            at.plates - 273.15,
            HOTTEST - 273.15
        ));
    }
    if at.width > 0.0 && at.frequency > 0.0 && at.travel / at.frequency > COARSEST {
        outside.push(format!(
            "each cycle of the wobble advances {:.1} mm, looked at to {:.0} mm",
            at.travel / at.frequency * 1e3,
            COARSEST * 1e3
        ));
    }
    // What is no number belongs outside as well.
    if at.over_switch.is_nan() || at.over_switch <= 1.3 {
        outside.push(if at.over_switch < 1.0 / 1.3 {
            "conduction mode: depths of shallow melts at walking speed were not checked".to_owned()
        } else {
            format!(
                "near the switch between keyhole and conduction (surface at {:.2} of the rise to boiling, sure from 1.3)",
                at.over_switch
            )
        });
    } else if at.slenderness < 0.5 {
        outside.push(format!("a keyhole {:.2} diameters deep, checked from 0.5", at.slenderness));
    }
    if at.width > 3e-3 * (1.0 + 1e-9) {
        outside.push(format!("a wobble {:.1} mm wide, looked at to 3 mm", at.width * 1e3));
    }
    if at.width > 0.0 && at.frequency > 300.0 * (1.0 + 1e-9) {
        outside.push(format!("a wobble of {:.0} Hz, looked at to 300 Hz", at.frequency));
    }
    if !outside.is_empty() {
        return Band::Outside(outside);
    }
    within(at)
}

/// The factors of the source, and where each begins to give way to the next and has: width, frequency, Péclet number.
const FACTORS: [f64; 3] = [1.6, 1.8, 2.2];
const WIDER: [f64; 2] = [1.2e-3, 2e-3];
const QUICKER: [f64; 2] = [25.0, 50.0];
const FASTER: [f64; 2] = [0.5, 1.0];

fn within(at: &Where) -> Band {
    let share = |x: f64, [from, to]: [f64; 2]| ((x - from) / (to - from)).clamp(0.0, 1.0);
    let swing =
        if at.width > 0.0 { share(at.width, WIDER).max(share(at.frequency, QUICKER)) } else { 0.0 };
    let spot = share(at.peclet.ln(), FASTER.map(f64::ln));
    let toward = |from: f64, to: f64, share: f64| from * (to / from).powf(share);
    let [walking, swinging, governed] = FACTORS;
    Band::Within {
        regime: if spot > 0.0 {
            Regime::Spot
        } else if swing > 0.0 {
            Regime::Swinging
        } else {
            Regime::Walking
        },
        factor: toward(toward(walking, swinging, swing), governed, spot),
    }
}

/// Where the law was checked, in words.
pub const CHECKED_RANGE: &str = "carbon steel, austenitic stainless, nickel alloy 718; 200 W to 5 kW; 3 mm/s to 3 m/s; keyholes from half a diameter deep, 1.3 above the switch to conduction; straight tracks only: no open data hold a wobble (to 3 mm, 300 Hz by propagation)";

#[cfg(test)]
mod tests {
    use super::*;

    fn walking() -> Where {
        Where {
            spot: 120e-6,
            gap: 0.0,
            grazing: 90.0,
            wavelength: 1070e-9,
            plates: 293.15,
            metal: Metal::CarbonSteel,
            power: 1500.0,
            travel: 4e-3,
            width: 1.2e-3,
            frequency: 20.0,
            peclet: 0.03,
            over_switch: 5.0,
            slenderness: 20.0,
        }
    }

    /// Physics-keyhole.md section 4, advice: the factors by regime.
    #[test]
    fn factors_by_regime() {
        let factor = |at: Where| band(&at).factor().expect("inside");
        let near = |a: f64, b: f64| assert!((a - b).abs() < 1e-12, "{a} {b}");
        let narrow = walking();
        near(factor(narrow), 1.6); // 1.2 mm at 20 Hz, the source's own row
        near(factor(Where { width: 0.0, frequency: 0.0, ..walking() }), 1.6);
        near(factor(Where { width: 2e-3, ..walking() }), 1.8);
        near(factor(Where { frequency: 60.0, ..walking() }), 1.8);
        near(factor(Where { peclet: 1.2, ..walking() }), 2.2);
        // Between two regimes the middle of their logarithms: a geometric mean.
        near(factor(Where { width: 1.6e-3, ..narrow }), (1.6_f64 * 1.8).sqrt());
        near(factor(Where { peclet: 0.5_f64.sqrt(), ..narrow }), (1.6_f64 * 2.2).sqrt());
    }

    /// Nowhere below the source's steps, and no step of its own: a hundredth more speed or width adds less than 1 %.
    #[test]
    fn no_step_and_never_below_the_source() {
        let mut last = [0.0_f64; 3];
        for i in 0..500 {
            let grow = 1.01_f64.powi(i);
            let wide = Where { width: 0.02e-3 * grow, ..walking() };
            let quick = Where { frequency: 6.0 * grow, ..walking() };
            let fast = Where { peclet: 0.02 * grow, ..walking() };
            for (k, at) in [wide, quick, fast].into_iter().enumerate() {
                let Band::Within { factor: now, .. } = band(&at) else { continue };
                let advised = if at.peclet > 1.0 {
                    2.2
                } else if at.width >= 2e-3 || at.frequency > 50.0 {
                    1.8
                } else {
                    1.6
                };
                assert!(now >= advised, "{now} {advised} {at:?}");
                assert!(i == 0 || (1.0..1.01).contains(&(now / last[k])), "{now} {at:?}");
                last[k] = now;
            }
        }
    }

    #[test]
    fn outside_there_is_none_and_it_says_why() {
        for (at, word) in [
            (Where { spot: 10e-6, ..walking() }, "spot of 10"),
            (Where { gap: 0.2e-3, ..walking() }, "gap of 0.20 mm"),
            (Where { wavelength: 450e-9, ..walking() }, "wavelength of 450 nm"),
            (Where { plates: 873.15, ..walking() }, "plates at 600 °C"),
            (Where { travel: 40e-3, ..walking() }, "advances 2.0 mm"),
            (Where { grazing: 15.0, ..walking() }, "grazes a plate at 15°"),
            (Where { travel: 2.5e-3, ..walking() }, "2.5 mm/s"),
            (Where { power: 6000.0, ..walking() }, "6.0 kW"),
            (Where { over_switch: 1.2, ..walking() }, "switch"),
            (Where { over_switch: 0.5, ..walking() }, "conduction mode"),
            (Where { over_switch: f64::NAN, ..walking() }, "switch"),
            (Where { metal: Metal::Aluminium, ..walking() }, "calibrate first"),
            (Where { width: 4e-3, ..walking() }, "4.0 mm wide"),
            (Where { frequency: 400.0, ..walking() }, "400 Hz"),
        ] {
            let Band::Outside(why) = band(&at) else { panic!("{at:?}") };
            assert!(why.len() == 1 && why[0].contains(word), "{why:?}");
        }
    }
}

//! How much oxygen is left in a room that inert gas flows into.
//!
//! ```text
//!   fan that draws a fixed flow N V        C = C0 (1 - q / (N V)) + C0 q / (N V) e^(-N t)
//!   gas flow above that of the fan         C = C0 e^(-q t / V)
//!   a cylinder emptied at once             C = C0 (1 - Vg / V)
//!   what a cylinder holds                  Vg = 1.07 Vw p / (1 bar), Vw its water volume
//! ```
//!
//! q is all inert gas that comes in, shielding gas and leaks together. The fan is taken to draw its flow whatever comes
//! in: less fresh air follows then, which errs to the low side. The room is taken as **well mixed**, which does not:
//! argon is 1.38 times as heavy as air and gathers in pits, tanks, channels and behind kerbs, where nearly no oxygen
//! may be left while the room's mean is harmless. A figure from here says nothing about low places and vessels.
//!
//! Sources: [`OXYGEN_BALANCE`], [`OXFORD_S4_03`], [`SUDDEN_RELEASE`], [`OXYGEN_ALARMS`], all quoted; [`ARGON_DENSITY`],
//! recalled.
//!
//! A cylinder is named by its water volume: one of 50 l at 200 bar lets some ten cubic metres of gas out. Argon holds up
//! to 7 % more than volume times pressure, nitrogen and helium less ([`CYLINDER_CONTENT`], recalled).
//!
//! Not covered: carbon dioxide's own toxicity (alarm at 0.5 %, long before oxygen falls), gas cooler than the room,
//! what people breathe.

use crate::{OutOfRange, above_nothing, not_below_nothing};
use weld::quantity::{Duration, GasFlow, Share, Stress, Volume};
use weld::source::{
    ARGON_DENSITY, COMMON_PRACTICE, CYLINDER_CONTENT, LIQUEFIED_GASES, OXFORD_S4_03, OXYGEN_ALARMS,
    OXYGEN_BALANCE, SUDDEN_RELEASE, Source, Sourced,
};

/// Sources of the gas relations.
pub const SOURCES: [Source; 7] = [
    OXYGEN_BALANCE,
    OXFORD_S4_03,
    SUDDEN_RELEASE,
    OXYGEN_ALARMS,
    ARGON_DENSITY,
    CYLINDER_CONTENT,
    LIQUEFIED_GASES,
];

/// Oxygen in air.
pub const AIR: Sourced<Share> = Sourced { value: Share::from_percent(20.9), source: OXYGEN_ALARMS };
/// First alarm: leave the room, find out why.
pub const FIRST_ALARM: Sourced<Share> =
    Sourced { value: Share::from_percent(19.5), source: OXYGEN_ALARMS };
/// Second alarm: out at once; nobody enters without breathing apparatus.
pub const SECOND_ALARM: Sourced<Share> =
    Sourced { value: Share::from_percent(18.0), source: OXYGEN_ALARMS };
/// From Friday's last weld to Monday's first, with nobody there to open a door. Common practice, no source.
pub const WEEKEND: Sourced<Duration> =
    Sourced { value: Duration::from_h(64.0), source: COMMON_PRACTICE };
/// What a volume of liquid argon comes to as gas at 20 °C and 1 bar.
pub const ARGON_FROM_LIQUID: Sourced<f64> = Sourced { value: 840.0, source: LIQUEFIED_GASES };
/// What a volume of liquid nitrogen comes to.
pub const NITROGEN_FROM_LIQUID: Sourced<f64> = Sourced { value: 696.0, source: LIQUEFIED_GASES };
/// What a volume of liquid helium comes to.
pub const HELIUM_FROM_LIQUID: Sourced<f64> = Sourced { value: 757.0, source: LIQUEFIED_GASES };
/// Argon's weight against air's.
pub const ARGON_TO_AIR: Sourced<f64> = Sourced { value: 39.95 / 28.96, source: ARGON_DENSITY };
/// Nitrogen's weight against air's.
pub const NITROGEN_TO_AIR: Sourced<f64> = Sourced { value: 28.01 / 28.96, source: ARGON_DENSITY };
/// Helium's weight against air's.
pub const HELIUM_TO_AIR: Sourced<f64> = Sourced { value: 4.00 / 28.96, source: ARGON_DENSITY };

/// What a cylinder holds at most over its water volume times its pressure in bar.
pub const FULLER: Sourced<f64> = Sourced { value: 1.07, source: CYLINDER_CONTENT };
/// No cylinder's water volume is so great, and no gas that one lets out so little: a volume of gas from here up.
pub const LEAST_GAS: Sourced<Volume> =
    Sourced { value: Volume::from_m3(1.0), source: CYLINDER_CONTENT };

/// The gas that a cylinder of a water volume lets out from a pressure, at most.
///
/// # Errors
///
/// No volume or no pressure, or a volume that no cylinder has.
pub fn let_out(water: Volume, pressure: Stress) -> Result<Volume, OutOfRange> {
    let v = above_nothing(
        "the gas in the cylinder",
        water.m3(),
        water,
        "write the cylinder's water volume, as it is stamped: cylinder = \"50 l\"",
    )?;
    let bar = above_nothing(
        "the pressure in the cylinder",
        pressure.pa() / 1e5,
        pressure,
        "write the pressure of the full cylinder: cylinder_pressure = \"200 bar\"",
    )?;
    if water >= LEAST_GAS.value {
        return Err(OutOfRange {
            what: "the gas in the cylinder",
            given: water.to_string(),
            needed: "with a pressure it is a cylinder's water volume, which is less than 1 m³",
            advice: "write the water volume and the pressure, cylinder = \"50 l\" and cylinder_pressure = \"200 bar\", or the gas that it lets out alone, cylinder = \"10 m3\"",
        });
    }
    Ok(Volume::from_m3(FULLER.value * v * bar))
}

/// A room that inert gas flows into.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Room {
    /// Its volume.
    pub volume: Volume,
    /// Changes of air in an hour.
    pub changes_per_hour: f64,
    /// All inert gas that comes in.
    pub inflow: GasFlow,
}

/// Oxygen in a room over time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Oxygen {
    start: f64,
    steady: f64,
    /// By how much the way to the steady share shrinks, 1/s.
    rate: f64,
}

impl Room {
    /// Oxygen from the moment when the gas is turned on, starting at a share.
    ///
    /// # Errors
    ///
    /// A room without volume, a flow or changes below nothing.
    pub fn oxygen(&self, start: Share) -> Result<Oxygen, OutOfRange> {
        let v = above_nothing(
            "the room",
            self.volume.m3(),
            self.volume,
            "write the volume of the room: room = \"50 m3\"",
        )?;
        let q = not_below_nothing(
            "the gas flow",
            self.inflow.m3_per_h(),
            self.inflow,
            "write the flow of shielding gas: flow = \"20 l/min\"",
        )?;
        let n = not_below_nothing(
            "the number of air changes",
            self.changes_per_hour,
            self.changes_per_hour,
            "write the changes of air in an hour: air_changes = 0.4; a closed room has none",
        )?;
        let start = crate::distance::share("the oxygen at the beginning", start)?;
        let exhaust = n * v;
        // With neither gas nor fan nothing changes.
        let steady = if q == 0.0 {
            if n > 0.0 { AIR.value.fraction() } else { start }
        } else {
            AIR.value.fraction() * (1.0 - q / exhaust.max(q)).max(0.0)
        };
        Ok(Oxygen { start, steady, rate: n.max(q / v) / 3600.0 })
    }
}

impl Oxygen {
    /// The share after a time.
    #[must_use]
    pub fn after(&self, time: Duration) -> Share {
        let left = (-self.rate * time.s().max(0.0)).exp();
        Share::from_fraction(self.steady + (self.start - self.steady) * left)
    }

    /// What it comes to in the end.
    #[must_use]
    pub const fn steady(&self) -> Share {
        Share::from_fraction(self.steady)
    }

    /// When it falls to a level; `None` when it never does.
    #[must_use]
    pub fn falls_to(&self, level: Share) -> Option<Duration> {
        let level = level.fraction();
        if self.start <= level {
            return Some(Duration::ZERO);
        }
        if self.steady >= level || self.rate <= 0.0 {
            return None;
        }
        let left = (level - self.steady) / (self.start - self.steady);
        Some(Duration::from_s(-left.ln() / self.rate))
    }
}

/// Oxygen after a cylinder has emptied itself into a closed room, air of `air` before.
///
/// # Errors
///
/// A room without volume, or more gas than the room holds.
pub fn emptied(cylinder: Volume, room: Volume, air: Share) -> Result<Share, OutOfRange> {
    let v = above_nothing(
        "the room",
        room.m3(),
        room,
        "write the volume of the room: room = \"50 m3\"",
    )?;
    let gas = above_nothing(
        "the gas in the cylinder",
        cylinder.m3(),
        cylinder,
        "write the volume of gas that the cylinder lets out, not its water volume: cylinder = \"11 m3\"",
    )?;
    Ok(Share::from_fraction(air.fraction() * (1.0 - gas / v).max(0.0)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn near(found: f64, published: f64, half: f64) {
        assert!((found - published).abs() <= half, "{found} against {published}");
    }

    fn room(m3: f64, changes: f64, l_per_min: f64) -> Room {
        Room {
            volume: Volume::from_m3(m3),
            changes_per_hour: changes,
            inflow: GasFlow::from_l_per_min(l_per_min),
        }
    }

    /// [`OXFORD_S4_03`], quoted: 36 m³, 0.4 changes, 0.044 m³/h into air of 21 %: 0.06 % less.
    #[test]
    fn a_slow_release() {
        let room = Room { inflow: GasFlow::from_m3_per_h(0.044), ..room(36.0, 0.4, 0.0) };
        let lost = AIR.value.percent() - room.oxygen(AIR.value).unwrap().steady().percent();
        near(lost * 21.0 / 20.9, 0.0638, 0.0005);
    }

    /// [`SUDDEN_RELEASE`], quoted: 0.1 m³ of liquid x 696 in 180 m³: 12.9 % of 21 %. [`OXYGEN_ALARMS`], quoted size:
    /// 11.0 m³ of argon in 50 m³: 16.30 % of 20.9 % (check value 6.18).
    #[test]
    fn a_sudden_release() {
        let after = |gas, room, air| {
            emptied(Volume::from_m3(gas), Volume::from_m3(room), Share::from_percent(air)).unwrap()
        };
        near(after(69.6, 180.0, 21.0).percent(), 12.9, 0.05);
        near(after(11.0, 50.0, 20.9).percent(), 16.30, 0.005);
        assert_eq!(after(60.0, 50.0, 20.9), Share::ZERO);
    }

    /// By hand: 50 l at 200 bar are 10 m³ by volume times pressure; makers' tables state up to 10.7 m³ of argon
    /// ([`CYLINDER_CONTENT`], recalled). In 50 m³ that leaves 20.9 (1 - 10.7/50) = 16.43 %, not the 20.88 % of 50 l of gas.
    #[test]
    fn a_cylinder_by_its_water_volume() {
        let bar = |b: f64| Stress::from_mpa(b / 10.0);
        let gas = let_out(Volume::from_l(50.0), bar(200.0)).unwrap();
        near(gas.m3(), 10.7, 1e-9);
        let left = emptied(gas, Volume::from_m3(50.0), AIR.value).unwrap();
        near(left.percent(), 16.43, 0.005);
        assert!(let_out(Volume::from_m3(10.0), bar(200.0)).is_err());
        assert!(let_out(Volume::from_l(50.0), bar(0.0)).is_err());
    }

    /// Check value 6.19, mass balance of [`OXYGEN_BALANCE`]: 20 l/min, 50 m³, 0.4 changes: 19.646 % in the end. After an
    /// hour by the exponential: 19.646 + 1.254 e^-0.4.
    #[test]
    fn a_steady_flow() {
        let oxygen = room(50.0, 0.4, 20.0).oxygen(AIR.value).unwrap();
        near(oxygen.steady().percent(), 19.646, 0.0005);
        near(
            oxygen.after(Duration::from_h(1.0)).percent(),
            19.646 + 1.254 * (-0.4_f64).exp(),
            1e-9,
        );
        assert!(oxygen.falls_to(FIRST_ALARM.value).is_none());
    }

    /// Analytic: in a closed room the oxygen is carried off by the gas alone, C0 e^(-qt/V), and falls to a level at
    /// (V/q) ln(C0/C).
    #[test]
    fn a_closed_room() {
        let oxygen = room(50.0, 0.0, 20.0).oxygen(AIR.value).unwrap();
        assert_eq!(oxygen.steady(), Share::ZERO);
        near(oxygen.after(Duration::from_h(1.0)).percent(), 20.9 * (-1.2_f64 / 50.0).exp(), 1e-9);
        let when = oxygen.falls_to(FIRST_ALARM.value).unwrap().h();
        near(when, 50.0 / 1.2 * (20.9_f64 / 19.5).ln(), 1e-9);
    }

    #[test]
    fn rooms_that_cannot_be() {
        assert!(room(0.0, 0.4, 20.0).oxygen(AIR.value).is_err());
        assert!(room(50.0, -1.0, 20.0).oxygen(AIR.value).is_err());
        assert!(room(50.0, 0.4, f64::NAN).oxygen(AIR.value).is_err());
        let still = room(50.0, 0.0, 0.0).oxygen(AIR.value).unwrap();
        assert_eq!(still.after(Duration::from_h(9.0)), AIR.value);
    }

    proptest! {
        /// More gas, a smaller room, fewer changes, a longer time: never more oxygen.
        #[test]
        fn oxygen_never_gains(m3 in 5.0..500.0_f64, n in 0.0..10.0_f64, q in 0.1..200.0_f64, k in 1.0..5.0_f64, h in 0.0..20.0_f64) {
            let at = |m3, n, q, h| room(m3, n, q).oxygen(AIR.value).unwrap().after(Duration::from_h(h)).fraction();
            let now = at(m3, n, q, h);
            for worse in [at(m3, n, q * k, h), at(m3 / k, n, q, h), at(m3, n / k, q, h), at(m3, n, q, h * k)] {
                prop_assert!(worse <= now + 1e-12, "{now} became {worse}");
                prop_assert!((0.0..=0.209 + 1e-12).contains(&worse));
            }
        }
    }
}

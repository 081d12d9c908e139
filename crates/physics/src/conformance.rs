//! Laws that every process must obey, whatever its model.
//!
//! A new process joins by one line in the tests below.

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use weld::quantity::{Angle, Frequency, Length, Power, Speed, Temperature};

    use crate::arc;
    use crate::beam::Beam;
    use crate::deposit::{Feed, Wires};
    use crate::keyhole::Resolution;
    use crate::melt::{Calibration, Tier};
    use crate::metal::Metal;
    use crate::predict::{Outcome, predict};
    use crate::setting::{Laser, Plates, Work};
    use crate::wobble::{Pattern, Wobble};

    /// What a process says of one bead on plate.
    struct Said {
        depth_mm: f64,
        /// Parent metal melted, mm².
        melted_mm2: f64,
        /// The most of it at any end of the band.
        most_melted_mm2: f64,
        /// W that stay in the plate.
        heat: f64,
        /// W that come out of the torch.
        power: f64,
    }

    /// Bead on a plate 10 mm thick at a share of the full power, at a travel in mm/s.
    type Process = fn(share: f64, travel: f64) -> Option<Said>;

    fn laser(power: f64, travel: f64, wobble: bool, wire: bool, tier: Tier) -> Option<Said> {
        let setting = Laser {
            beam: Beam {
                power: Power::from_w(power),
                spot: Length::from_um(120.0),
                m2: 3.0,
                wavelength: Length::from_nm(1070.0),
                focus: Length::ZERO,
            },
            travel: Speed::from_mm_per_s(travel),
            wobble: wobble.then_some(Wobble {
                pattern: Pattern::Circle,
                width: Length::from_mm(1.5),
                frequency: Frequency::from_hz(60.0),
            }),
            torch_angle: Angle::from_deg(90.0),
            aim: Length::ZERO,
            wire: wire
                .then_some((Wires { count: 1, diameter: Length::from_mm(1.2) }, Feed::AsTravel)),
        };
        let work = Work {
            metal: Metal::CarbonSteel,
            temperature: Temperature::from_deg_c(20.0),
            joint: Plates::Bead { thickness: Length::from_mm(10.0) },
        };
        let said = predict(&setting, &work, tier, Calibration::NONE).ok()?;
        let melted = |o: &Outcome| o.sum(weld::reading::Reading::MeltedParentArea).unwrap_or(0.0);
        Some(Said {
            depth_mm: said.middle.depth,
            melted_mm2: melted(&said.middle),
            most_melted_mm2: said.band().map(melted).fold(0.0, f64::max),
            heat: said.melt.heat,
            power,
        })
    }

    fn arc(process: arc::Process, current: f64, travel: f64) -> Option<Said> {
        let setting = arc::Arc {
            process,
            current,
            voltage: if process == arc::Process::Tig { 13.0 } else { 28.0 },
            travel: Speed::from_mm_per_s(travel),
            wire: None,
        };
        let work = Work {
            metal: Metal::CarbonSteel,
            temperature: Temperature::from_deg_c(20.0),
            joint: Plates::Bead { thickness: Length::from_mm(10.0) },
        };
        let bead = setting.bead(&work).ok()?;
        let section = setting.section(&work).ok()?;
        let melted = section.map_or(0.0, |s| {
            let read = weld::section::read(&s).unwrap();
            read.welds[0].readings.get(weld::reading::Reading::MeltedParentArea).unwrap()
        });
        Some(Said {
            depth_mm: bead.depth,
            melted_mm2: melted,
            most_melted_mm2: melted,
            heat: bead.heat.w(),
            power: setting.power().w(),
        })
    }

    const KEYHOLE: Tier = Tier::Keyhole(Resolution::INTERACTIVE);

    const PROCESSES: [(&str, Process); 6] = [
        ("laser", |share, v| laser(2000.0 * share, v, false, false, KEYHOLE)),
        ("laser with wobble and wire", |share, v| laser(2000.0 * share, v, true, true, KEYHOLE)),
        ("laser, quick", |share, v| laser(2000.0 * share, v, false, false, Tier::Quick)),
        ("laser with wobble, quick", |share, v| laser(2000.0 * share, v, true, false, Tier::Quick)),
        ("GMAW", |share, v| arc(arc::Process::Mag, 300.0 * share, v)),
        ("GTAW", |share, v| arc(arc::Process::Tig, 250.0 * share, v)),
    ];

    /// J/mm³ from 20 °C to the liquidus, carbon steel (physics.md section 1: 10.0).
    const MELTING_HEAT: f64 = 10.0;

    #[test]
    fn no_power_no_fusion() {
        for (name, process) in PROCESSES {
            // A watt of beam is the least that is taken; it melts nothing. Jackson's arc goes with I^(4/3): 4 µm.
            let said = process(0.0005, 8.0).unwrap();
            assert!(
                said.depth_mm < 5e-3 && said.melted_mm2 < 1e-2,
                "{name}: {} {}",
                said.depth_mm,
                said.melted_mm2
            );
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(40))]
        #[test]
        fn the_laws_of_every_process(share in 0.2..1.0_f64, travel in 3.0..40.0_f64) {
            for (name, process) in PROCESSES {
                let Some(said) = process(share, travel) else { continue };
                let faster = process(share, 1.2 * travel).unwrap();
                let stronger = process((1.2 * share).min(1.0), travel).unwrap();
                // Depth is solved to 1e-4, the conduction solution to 1e-3 of its own.
                prop_assert!(faster.depth_mm <= said.depth_mm * 1.002, "{name}: faster is deeper, {} {}", said.depth_mm, faster.depth_mm);
                prop_assert!(stronger.depth_mm >= said.depth_mm * 0.998, "{name}: stronger is shallower");
                prop_assert!(said.heat <= said.power, "{name}: more heat than power");
                // What is melted needs its heat, and no more than the ceiling of the line source can be melt.
                let melting = said.melted_mm2 * travel * MELTING_HEAT;
                prop_assert!(melting <= 0.484 * said.heat * 1.01, "{name}: melts {melting} of {} W", said.heat);
                // At no end of a band more than all of the power could.
                let most = said.most_melted_mm2 * travel * MELTING_HEAT;
                prop_assert!(most <= 0.484 * said.power * 1.01, "{name}: at an end melts {most} of {} W", said.power);
            }
        }
    }
}

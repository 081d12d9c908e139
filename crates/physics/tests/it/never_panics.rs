//! Wild figures are answered or refused; nothing panics, and no throat is anything but a length.

use physics::strength::group::{self, Eccentric, Run};
use physics::strength::load::{Direction, Load};
use physics::strength::refusal::Effect;
use physics::strength::*;
use proptest::prelude::*;
use weld::materials::{Basis, Family, Filler, Grade};
use weld::quantity::{Angle, Force, Length, LineLoad, Stress};
use weld::section::Point;

/// Mostly sensible, often not.
fn wild(low: f64, high: f64) -> BoxedStrategy<f64> {
    prop_oneof![
        8 => low..high,
        1 => prop::num::f64::ANY,
        1 => prop::sample::select(vec![0.0, -0.0, -1.0, 1e-300, 1e300, f64::NAN, f64::INFINITY, f64::NEG_INFINITY]),
    ]
    .boxed()
}

fn metal() -> impl Strategy<Value = Metal> {
    let grade = prop::option::of(prop::sample::select(vec![
        Grade::S235,
        Grade::S355,
        Grade::S460M,
        Grade::A36,
    ]));
    let family = prop::sample::select(vec![
        Family::CarbonSteel,
        Family::CarbonSteel,
        Family::Stainless,
        Family::Aluminium,
    ]);
    (family, wild(100.0, 500.0), wild(300.0, 800.0), grade).prop_map(|(family, fy, fu, grade)| {
        Metal {
            name: "a metal".to_owned(),
            family,
            yield_strength: Stress::from_mpa(fy),
            ultimate: Stress::from_mpa(fu),
            grade,
            source: None,
        }
    })
}

fn part() -> impl Strategy<Value = Part> {
    (wild(1.0, 40.0), metal()).prop_map(|(t, metal)| Part { thickness: Length::from_mm(t), metal })
}

fn welds() -> impl Strategy<Value = Welds> {
    prop::sample::select(vec![
        Welds::Both,
        Welds::One(Restraint::Held),
        Welds::One(Restraint::FreeToRotate),
        Welds::One(Restraint::NotSaid),
    ])
}

fn filler() -> impl Strategy<Value = Option<Filler>> {
    prop::option::of(prop::sample::select(vec![Filler::E70, Filler::G42, Filler::G199LSi]))
}

prop_compose! {
    fn tee()(
        base in part(), upright in part(), degrees in wild(25.0, 155.0), gap in wild(0.0, 8.0), welds in welds(),
        length in wild(1.0, 3000.0), full_size_to_ends in any::<bool>(), leg in prop::option::of(wild(0.1, 30.0)),
        lap in prop::option::of((prop::option::of(wild(1.0, 5000.0)), any::<bool>())), filler in filler(),
    ) -> Joint {
        Joint::Tee(Tee {
            base, upright, angle: Angle::from_deg(degrees), gap: Length::from_mm(gap), welds,
            length: Length::from_mm(length), full_size_to_ends, leg: leg.map(Length::from_mm),
            lap: lap.map(|(along, along_an_edge)| Lap { along_the_force: along.map(Length::from_mm), along_an_edge }),
            filler,
        })
    }
}

prop_compose! {
    fn butt()(
        one in part(), other in part(), gap in wild(0.0, 8.0), welds in welds(), length in wild(1.0, 3000.0),
        full_size_to_ends in any::<bool>(), filler in filler(),
    ) -> Joint {
        Joint::Butt(Butt {
            parts: [one, other], gap: Length::from_mm(gap), welds, length: Length::from_mm(length), full_size_to_ends, filler,
        })
    }
}

fn joint() -> impl Strategy<Value = Joint> {
    prop_oneof![10 => tee(), 5 => butt(), 1 => Just(Joint::Bead)]
}

fn direction() -> impl Strategy<Value = Direction> {
    prop_oneof![
        Just(Direction::Along),
        Just(Direction::Across),
        Just(Direction::Upright),
        [wild(-1.0, 1.0), wild(-1.0, 1.0), wild(-1.0, 1.0)].prop_map(Direction::Parts),
    ]
}

fn load() -> impl Strategy<Value = Load> {
    prop_oneof![
        (wild(-1e6, 1e6), direction())
            .prop_map(|(n, direction)| Load::whole(Force::from_n(n), direction)),
        (wild(-3e3, 3e3), direction())
            .prop_map(|(n, direction)| Load::per_length(LineLoad::from_n_per_mm(n), direction)),
    ]
}

fn code() -> impl Strategy<Value = Code> {
    let method = prop::sample::select(vec![EnMethod::Directional, EnMethod::Simplified]);
    let design = prop::sample::select(vec![Design::Lrfd, Design::Asd]);
    prop_oneof![
        (method, wild(1.0, 2.0), prop::option::of(wild(1.0, 2.0)))
            .prop_map(|(method, gamma_m2, gamma_m0)| Code::En(En { method, gamma_m2, gamma_m0 })),
        (design, wild(300.0, 700.0), any::<bool>()).prop_map(|(design, fexx, directional)| {
            Code::Aisc(Aisc { design, electrode: Stress::from_mpa(fexx), directional })
        }),
        wild(300.0, 700.0)
            .prop_map(|fexx| Code::AwsD11(AwsD11 { electrode: Stress::from_mpa(fexx) })),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(10_000))]

    /// Anything goes in; what comes out is a refusal with its advice, or a length.
    #[test]
    fn needed_answers_or_refuses(joint in joint(), load in load(), code in code(), given in wild(0.0, 20.0)) {
        match needed(&joint, &load, &code) {
            Err(error) => prop_assert!(!error.to_string().is_empty() && !error.advice().is_empty()),
            Ok(need) => {
                let none = need.refusals.iter().any(|refusal| refusal.effect == Effect::NoResistance);
                prop_assert_eq!(none, need.throat.is_none());
                for length in [need.throat, need.specify, need.any_plane, need.effective_length].into_iter().flatten() {
                    prop_assert!(length.mm().is_finite() && length.mm() >= 0.0);
                }
                for fused in &need.fused {
                    prop_assert!(fused.least.mm().is_finite() && fused.least.mm() >= 0.0);
                }
                prop_assert!(need.plate_utilisation.is_finite());
                if let (Some(throat), Some(capacity)) = (need.throat, need.capacity) {
                    prop_assert!(capacity.utilisation(throat) <= 1.0 + 1e-9);
                    let resistance = capacity.line_resistance(Length::from_mm(given)).n_per_mm();
                    prop_assert!(resistance.is_finite() && resistance >= 0.0);
                    prop_assert!(!capacity.utilisation(Length::from_mm(given)).is_nan());
                }
            }
        }
    }

    /// Grades at any thickness.
    #[test]
    fn grades_answer_or_refuse(t in wild(0.5, 200.0)) {
        for basis in [Basis::ProductStandard, Basis::Table31] {
            for grade in [Grade::S235, Grade::S420M, Grade::A992] {
                if let Err(error) = Part::of(grade, Length::from_mm(t), basis) {
                    prop_assert!(!error.to_string().is_empty() && !error.advice().is_empty());
                }
            }
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2_000))]

    /// Groups of any welds under any load.
    #[test]
    fn groups_answer_or_refuse(
        places in prop::collection::vec([wild(-300.0, 300.0), wild(-300.0, 300.0), wild(-300.0, 300.0), wild(-300.0, 300.0)], 0..4),
        circle in prop::option::of(wild(1.0, 100.0)),
        force in [wild(-1e5, 1e5), wild(-1e5, 1e5), wild(-1e5, 1e5)],
        at in [wild(-500.0, 500.0), wild(-500.0, 500.0), wild(-500.0, 500.0)],
    ) {
        let mut runs: Vec<Run> = places
            .iter()
            .map(|p| Run::Line { from: Point::new(p[0], p[1]), to: Point::new(p[2], p[3]) })
            .collect();
        runs.extend(circle.map(|radius| Run::Circle { centre: Point::new(at[0], force[0]), radius }));
        match group::elastic(&runs, &Eccentric { force: force.map(Force::from_n), at }) {
            Err(error) => prop_assert!(!error.to_string().is_empty() && !error.advice().is_empty()),
            Ok(peak) => prop_assert!(peak.line_load.n_per_mm().is_finite()),
        }
        match centre::instantaneous(&runs, Point::new(at[0], at[1]), Point::new(force[0], force[1])) {
            Err(error) => prop_assert!(!error.to_string().is_empty() && !error.advice().is_empty()),
            Ok(turning) => prop_assert!(turning.effective_length.mm() > 0.0 && turning.effective_length.is_finite()),
        }
    }
}

//! Ways to write a section down in a test.

use weld::reading::Reading;
use weld::section::{
    Butt, Corner, Face, Fused, Plates, Point, Section, SectionReading, Side, Tee, WeldReading, read,
};

pub(crate) fn points(list: &[(f64, f64)]) -> Vec<Point> {
    list.iter().map(|&(x, y)| Point::new(x, y)).collect()
}

pub(crate) fn fused(side: Side, list: &[(f64, f64)]) -> Fused {
    Fused { side, outline: points(list), exact: true }
}

/// A tee at right angles, upright 5 mm thick, base not limited.
pub(crate) fn tee() -> Tee {
    tee_at(90.0)
}

pub(crate) fn tee_at(degrees: f64) -> Tee {
    Tee {
        right: Corner { x: 0.0, angle: degrees.to_radians() },
        left: None,
        upright_thickness: Some(5.0),
        base_thickness: None,
        gap: 0.0,
    }
}

pub(crate) fn one_sided(tee: Tee, outline: &[(f64, f64)]) -> Section {
    Section::exact(Plates::Tee(tee), vec![fused(Side::Only, outline)])
}

/// A square butt 6 mm thick, both plates level.
pub(crate) fn butt() -> Butt {
    Butt {
        top: [Face::level(0.0); 2],
        bottom: Some([Face::level(-6.0); 2]),
        joint_line: Some([Point::new(0.0, 0.0), Point::new(0.0, -6.0)]),
        gap: 0.0,
    }
}

pub(crate) fn reading(section: &Section) -> SectionReading {
    read(section).unwrap_or_else(|e| panic!("{e}"))
}

pub(crate) fn only(section: &Section) -> WeldReading {
    reading(section).welds.remove(0)
}

#[track_caller]
pub(crate) fn near(weld: &WeldReading, what: Reading, expected: f64, within: f64) {
    match weld.readings.slot(what) {
        Some(Ok(got)) => assert!(
            (got - expected).abs() <= within,
            "{}: {got} read, {expected} worked by hand (within {within})",
            what.field()
        ),
        other => panic!("{}: {other:?} instead of {expected}", what.field()),
    }
}

#[track_caller]
pub(crate) fn absent(weld: &WeldReading, what: Reading) -> String {
    match weld.readings.slot(what) {
        Some(Err(why)) => why.reason.clone(),
        other => panic!("{}: {other:?}, expected to be absent", what.field()),
    }
}

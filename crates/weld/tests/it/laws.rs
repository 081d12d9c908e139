//! Laws that hold for every section: which hand it is, how large, how finely drawn; and what more fusion may not do.

use crate::shapes::*;
use proptest::prelude::*;
use weld::reading::{Dimension, Reading, Readings};
use weld::section::{Corner, Plates, Section, Side, Tee, read};

/// A fillet with legs, root penetration, depth and a bulge or hollow, drawn as a polygon.
fn fillet(leg_base: f64, leg_upright: f64, root: f64, deep: f64, bulge: f64) -> Vec<(f64, f64)> {
    let middle = (0.5 * leg_base + bulge, 0.5 * leg_upright + bulge);
    vec![
        (leg_base, 0.0),
        middle,
        (0.0, leg_upright),
        (-0.5 * root - 0.1, 0.5 * leg_upright),
        (-root, 0.0),
        (-0.4 * root, -deep),
        (0.5 * leg_base, -deep),
    ]
}

fn plates() -> Tee {
    Tee {
        right: Corner { x: 0.0, angle: 90f64.to_radians() },
        left: Some(Corner { x: -8.0, angle: 90f64.to_radians() }),
        upright_thickness: Some(8.0),
        base_thickness: None,
        gap: 0.0,
    }
}

fn same(a: &Readings, b: &Readings, factor: f64) -> Result<(), TestCaseError> {
    for (reading, value) in a.iter() {
        let power = reading.dimension().power_of_scale();
        match (value, b.slot(reading)) {
            (Ok(x), Some(Ok(y))) => {
                let expected = x * factor.powi(power);
                // Both are the same few hundred additions and products in other numbers.
                let room = 1e-9 * (1.0 + expected.abs());
                prop_assert!(
                    (expected - y).abs() <= room,
                    "{}: {expected} and {y}",
                    reading.field()
                );
            }
            (Err(_), Some(Err(_))) => {}
            (x, y) => prop_assert!(false, "{}: {x:?} and {y:?}", reading.field()),
        }
        let _ = Dimension::Length;
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(500))]

    /// The left weld is the right one seen in a mirror.
    #[test]
    fn a_mirrored_weld_reads_the_same(
        base in 2.0..9.0_f64, upright in 2.0..9.0_f64, root in 0.1..3.0_f64, deep in 0.2..2.0_f64, bulge in -0.6..1.0_f64,
    ) {
        let right = fillet(base, upright, root, deep, bulge);
        let left: Vec<_> = right.iter().map(|&(x, y)| (-8.0 - x, y)).collect();
        let section = Section::exact(
            Plates::Tee(plates()),
            vec![fused(Side::Right, &right), fused(Side::Left, &left)],
        );
        let got = read(&section).map_err(|e| TestCaseError::fail(e.to_string()))?;
        same(&got.welds[0].readings, &got.welds[1].readings, 1.0)?;
    }

    /// Twice the picture, twice the lengths, four times the areas, the same ratios.
    #[test]
    fn readings_grow_with_the_scale(
        base in 2.0..9.0_f64, upright in 2.0..9.0_f64, root in 0.1..3.0_f64, deep in 0.2..2.0_f64,
        bulge in -0.6..1.0_f64, factor in 0.1..10.0_f64,
    ) {
        let outline = fillet(base, upright, root, deep, bulge);
        let grown: Vec<_> = outline.iter().map(|&(x, y)| (factor * x, factor * y)).collect();
        let mut big = tee();
        big.upright_thickness = Some(5.0 * factor);
        let (a, b) = (only(&one_sided(tee(), &outline)), only(&one_sided(big, &grown)));
        same(&a.readings, &b.readings, factor)?;
    }

    /// Points added along straight pieces, and another point to start from, change nothing; nor does the other way round.
    #[test]
    fn the_way_an_outline_is_written_down_does_not_matter(
        base in 2.0..9.0_f64, upright in 2.0..9.0_f64, root in 0.1..3.0_f64, deep in 0.2..2.0_f64,
        bulge in -0.6..1.0_f64, turn in 0usize..7, backwards in any::<bool>(),
    ) {
        let outline = fillet(base, upright, root, deep, bulge);
        let mut dense = Vec::new();
        for (i, &(x, y)) in outline.iter().enumerate() {
            let (u, v) = outline[(i + 1) % outline.len()];
            dense.extend((0..4).map(|k| {
                let t = f64::from(k) / 4.0;
                (x + t * (u - x), y + t * (v - y))
            }));
        }
        dense.rotate_left(turn * 4);
        if backwards {
            dense.reverse();
        }
        let (a, b) = (only(&one_sided(tee(), &outline)), only(&one_sided(tee(), &dense)));
        same(&a.readings, &b.readings, 1.0)?;
    }

    /// A root further along the joint line never thins a throat.
    #[test]
    fn deeper_fusion_never_thins_the_throat(
        base in 2.0..9.0_f64, upright in 2.0..9.0_f64, root in 0.0..2.0_f64, more in 0.0..2.0_f64, deep in 0.2..2.0_f64,
        bulge in -0.6..1.0_f64,
    ) {
        let weld = |root: f64| only(&one_sided(tee(), &fillet(base, upright, root + 0.01, deep, bulge)));
        let (shallow, deeper) = (weld(root), weld(root + more));
        for reading in [Reading::EffectiveThroat, Reading::PenetratedThroat, Reading::ActualThroat] {
            let (a, b) = (shallow.readings.get(reading), deeper.readings.get(reading));
            prop_assert!(b >= a.map(|a| a - 1e-9), "{}: {a:?} then {b:?}", reading.field());
        }
    }

    /// The effective throat counts no convexity and so is never above the actual one; without penetration beyond the leg
    /// the theoretical one is never above either; dilution is a share.
    #[test]
    fn throats_keep_their_order(
        base in 2.0..9.0_f64, upright in 2.0..9.0_f64, root in 0.0..3.0_f64, deep in 0.2..2.0_f64, bulge in -0.6..1.0_f64,
    ) {
        let weld = only(&one_sided(tee(), &fillet(base, upright, root + 0.01, deep, bulge)));
        let get = |r| weld.readings.get(r).unwrap_or(f64::NAN);
        prop_assert!(get(Reading::EffectiveThroat) <= get(Reading::ActualThroat) + 1e-9);
        prop_assert!(get(Reading::TheoreticalThroat) <= get(Reading::EffectiveThroat) + 1e-9);
        prop_assert!(get(Reading::IsoscelesThroat) <= get(Reading::TheoreticalThroat) + 1e-9);
        prop_assert!((0.0..=1.0).contains(&get(Reading::Dilution)));
        let sum = get(Reading::MeltedParentArea) + get(Reading::DepositedArea);
        prop_assert!((sum - get(Reading::FusedArea)).abs() < 1e-9);
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(10_000))]

    /// Whatever is outlined is read or refused; nothing panics.
    #[test]
    fn any_outline_is_read_or_refused(
        list in proptest::collection::vec((-8.0..8.0_f64, -8.0..8.0_f64), 0..9),
        crack in proptest::collection::vec((-8.0..8.0_f64, -8.0..8.0_f64), 0..4),
        kind in 0..4, wild in 0..40, doubt in 0.0..0.3_f64, gap in 0.0..0.6_f64,
    ) {
        let mut list: Vec<(f64, f64)> = if kind == 3 { list.iter().map(|&(x, y)| (x.round(), y.round())).collect() } else { list };
        if wild == 0 && !list.is_empty() {
            list[0].0 = f64::NAN;
        }
        let mut tee = plates();
        tee.gap = gap;
        let mut butt = butt();
        butt.gap = gap;
        let (side, plates) = match kind {
            0 => (Side::Only, Plates::Bead),
            1 => (Side::Bottom, Plates::Butt(butt)),
            2 => (Side::Left, Plates::Tee(tee)),
            _ => (Side::Only, Plates::Tee(tee)),
        };
        let mut section = Section::exact(plates, vec![fused(side, &list)]);
        section.doubt = doubt;
        section.cracks.push(points(&crack));
        section.pores.push(points(&crack));
        if let Ok(got) = read(&section) {
            for (reading, value) in got.welds[0].readings.iter() {
                if let Ok(value) = value {
                    prop_assert!(value.is_finite(), "{} is {value}", reading.field());
                }
            }
        }
    }
}

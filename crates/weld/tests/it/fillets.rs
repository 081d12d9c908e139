//! Fillets worked by hand: the textbook triangle first, then everything that is not one.
//!
//! Frame: corner C at (0, 0), base along +x, upright along +y, millimetres.

use crate::shapes::*;
use weld::reading::{Answer, Reading};
use weld::section::{Plates, Point, Section, Side, read};

/// Rounding of double arithmetic on numbers of this size, with room.
const EXACT: f64 = 1e-9;

/// Throat of unequal legs at 90 degrees, z1 z2 / sqrt(z1^2 + z2^2): 6 x 9 gives 54 / sqrt(117) = 4.9923, 3 x 4 gives
/// 12 / 5 = 2.4 (ISO 2553 / AWS A3.0 definition of the theoretical throat).
#[test]
fn a_triangle_of_unequal_legs_has_its_height_for_a_throat() {
    for (base, upright, throat) in [(6.0, 9.0, 54.0 / 117f64.sqrt()), (3.0, 4.0, 2.4)] {
        let weld = only(&one_sided(tee(), &[(0., 0.), (base, 0.), (0., upright)]));
        for what in [
            Reading::TheoreticalThroat,
            Reading::EffectiveThroat,
            Reading::ActualThroat,
            Reading::PenetratedThroat,
            Reading::CornerThroat,
        ] {
            near(&weld, what, throat, EXACT);
        }
        near(&weld, Reading::LegBase, base, EXACT);
        near(&weld, Reading::LegUpright, upright, EXACT);
        near(&weld, Reading::RootPenetration, 0.0, EXACT);
        near(&weld, Reading::FusedArea, 0.5 * base * upright, EXACT);
        near(&weld, Reading::DepositedArea, 0.5 * base * upright, EXACT);
        near(&weld, Reading::Dilution, 0.0, EXACT);
        assert!(weld.remarks.iter().any(|r| r.contains("touches the base")), "{:?}", weld.remarks);
    }
    assert!((54.0 / 117f64.sqrt() - 4.9923).abs() < 5e-5);
}

/// The largest isosceles triangle in a 6 x 9 one has legs of 6: throat 6 / sqrt 2.
#[test]
fn the_isosceles_throat_goes_by_the_shorter_leg() {
    let weld = only(&one_sided(tee(), &[(0., 0.), (6., 0.), (0., 9.)]));
    near(&weld, Reading::IsoscelesThroat, 6.0 / 2f64.sqrt(), EXACT);
}

/// Theoretical throat over leg at a dihedral angle psi, equal legs along the plates: cos(psi / 2), tabulated to three
/// places for 60 to 135 degrees (geometry of the ISO 2553 / AWS A3.0 definition); 6 x 6 at 60 degrees: 5.19615.
#[expect(clippy::approx_constant, reason = "the table prints four places")]
#[test]
fn skewed_triangles_follow_the_cosine_of_half_the_angle() {
    let table = [
        (60., 0.866),
        (75., 0.793),
        (80., 0.766),
        (90., 0.7071),
        (100., 0.643),
        (110., 0.574),
        (120., 0.500),
        (135., 0.383),
    ];
    for (degrees, factor) in table {
        let psi = f64::to_radians(degrees);
        let weld = only(&one_sided(
            tee_at(degrees),
            &[(0., 0.), (6., 0.), (6. * psi.cos(), 6. * psi.sin())],
        ));
        near(&weld, Reading::TheoreticalThroat, 6.0 * (0.5 * psi).cos(), EXACT);
        near(&weld, Reading::TheoreticalThroat, 6.0 * factor, 6.0 * 5.1e-4);
        near(&weld, Reading::EffectiveThroat, 6.0 * (0.5 * psi).cos(), EXACT);
        // The weld is a triangle, so the greatest triangle in it is the weld: sizes are the legs it was made with.
        near(&weld, Reading::SizeBase, 6.0, EXACT);
        near(&weld, Reading::SizeUpright, 6.0, EXACT);
    }
    let psi = f64::to_radians(60.0);
    let weld =
        only(&one_sided(tee_at(60.0), &[(0., 0.), (6., 0.), (6. * psi.cos(), 6. * psi.sin())]));
    near(&weld, Reading::TheoreticalThroat, 27f64.sqrt(), 5e-6);
}

/// Points of a circular face between the toes of a 6 x 6 fillet, bulging out (or, negative, in) by `rise` at its middle.
fn round_face(rise: f64, pieces: usize) -> Vec<(f64, f64)> {
    let half = 0.5 * 72f64.sqrt();
    let radius = (half * half + rise * rise) / (2.0 * rise.abs());
    let out = 1.0 / 2f64.sqrt();
    // Centre on the line x = y, inside for a bulge, outside for a hollow.
    let middle = 3.0 + (rise - radius * rise.signum()) * out;
    let half_angle = (half / radius).asin();
    (0..=pieces)
        .map(|i| {
            let a = -half_angle + 2.0 * half_angle * i as f64 / pieces as f64;
            // Along the chord from base toe to upright toe, and out along x = y.
            let along = radius * a.sin();
            let over = radius * a.cos() * rise.signum();
            (middle + over * out - along * out, middle + over * out + along * out)
        })
        .collect()
}

/// Convex fillet, legs 6, bulge 1.0: chord 8.4853, radius (4.2426^2 + 1) / 2 = 9.5 exactly, added area 5.7192 and
/// deposit 23.7192 mm2, throat unchanged 4.2426 (geometry; circular segment).
#[test]
fn a_bulging_face_adds_metal_but_no_throat() {
    let pieces = 2000;
    let mut outline = vec![(0., 0.)];
    outline.extend(round_face(1.0, pieces));
    let weld = only(&one_sided(tee(), &outline));
    // A chord of a circle of radius R and opening a lies R (1 - cos a/2) inside it: 9.5 x (0.93 / 2000)^2 / 8 = 2.6e-7.
    let sag = 3e-7;
    near(&weld, Reading::EffectiveThroat, 18f64.sqrt(), EXACT);
    near(&weld, Reading::TheoreticalThroat, 18f64.sqrt(), EXACT);
    near(&weld, Reading::ActualThroat, 18f64.sqrt() + 1.0, sag);
    near(&weld, Reading::Convexity, 1.0, sag);
    near(&weld, Reading::DepositedArea, 23.7192, 5e-5);
    // Toe angle in the air: 180 - 45 - half the opening, less what the chord over the first tenth turns back.
    let half_angle = (18f64.sqrt() / 9.5).asin().to_degrees();
    let tangent = 180.0 - 45.0 - half_angle;
    near(&weld, Reading::ToeAngleBase, tangent, 0.5 * 0.1 * 2.0 * half_angle + 0.1);
}

/// Hollow fillet, legs 6, hollow by 0.5: throat 4.2426 - 0.5 = 3.7426, equivalent flat leg 3.7426 x sqrt 2 = 5.2929.
#[test]
fn a_hollow_face_takes_throat_and_size_away() {
    let mut outline = vec![(0., 0.)];
    outline.extend(round_face(-0.5, 2000));
    let weld = only(&one_sided(tee(), &outline));
    for what in [Reading::EffectiveThroat, Reading::TheoreticalThroat, Reading::ActualThroat] {
        near(&weld, what, 3.742_64, 5e-6);
    }
    near(&weld, Reading::SizeBase, 5.292_89, 5e-6);
    near(&weld, Reading::SizeUpright, 5.292_89, 5e-6);
    near(&weld, Reading::LegBase, 6.0, EXACT);
    near(&weld, Reading::Convexity, -0.5, 3e-7);
}

/// Legs 6, root 2 mm beyond the corner. From P (-2, 0) to the line x + y = 6: 8 / sqrt 2 = 5.6569, foot at (2, 4),
/// between the toes; the triangle's 6 / sqrt 2 plus 2 sin 45 is the same.
const DEEP: &[(f64, f64)] = &[(6., 0.), (0., 6.), (-1.5, 3.), (-2., 0.), (-1.5, -1.5), (2., -1.)];

#[test]
fn penetration_adds_to_the_throat() {
    let weld = only(&one_sided(tee(), DEEP));
    near(&weld, Reading::RootPenetration, 2.0, EXACT);
    near(&weld, Reading::TheoreticalThroat, 6.0 / 2f64.sqrt(), EXACT);
    near(&weld, Reading::EffectiveThroat, 8.0 / 2f64.sqrt(), EXACT);
    near(&weld, Reading::PenetratedThroat, 8.0 / 2f64.sqrt(), EXACT);
    near(&weld, Reading::ActualThroat, 8.0 / 2f64.sqrt(), EXACT);
    near(&weld, Reading::FusionDepthBase, 1.5, EXACT);
    // Mid-leg y = 3 meets the vertex (-1.5, 3).
    near(&weld, Reading::FusionDepthUpright, 1.5, EXACT);
    near(&weld, Reading::FusedLengthBase, 8.0, EXACT);
    near(&weld, Reading::FusedLengthUpright, 7.5, EXACT);
    // Shoelace over DEEP, (6,0) (0,6) (-1.5,3) (-2,0) (-1.5,-1.5) (2,-1): 36 + 9 + 6 + 3 + 4.5 + 6 = 64.5, half 32.25.
    near(&weld, Reading::FusedArea, 32.25, EXACT);
    // Triangle (0,0) (6,0) (0,6) is deposit: 18. The rest, 14.25, is melted parent.
    near(&weld, Reading::DepositedArea, 18.0, EXACT);
    near(&weld, Reading::MeltedParentArea, 14.25, EXACT);
    near(&weld, Reading::Dilution, 14.25 / 32.25, EXACT);
}

/// Legs 2, root 3 mm in: more than the leg. The foot of the perpendicular from (-3, 0) on x + y = 2 is (-0.5, 2.5),
/// beyond the upright's toe, so the shortest way goes to the toe (0, 2): sqrt(9 + 4) = 3.6056; the codes' perpendicular
/// is 5 / sqrt 2 = 3.5355. Both are given and the remark says that a claim uses the smaller.
#[test]
fn penetration_beyond_the_leg_parts_the_two_throats() {
    let weld = only(&one_sided(
        tee(),
        &[(2., 0.), (0., 2.), (-1., 1.5), (-3., 0.), (-1.5, -1.), (1., -0.5)],
    ));
    near(&weld, Reading::RootPenetration, 3.0, EXACT);
    near(&weld, Reading::EffectiveThroat, 13f64.sqrt(), EXACT);
    near(&weld, Reading::PenetratedThroat, 5.0 / 2f64.sqrt(), EXACT);
    assert!(
        weld.remarks.iter().any(|r| r.contains("a claim uses the smaller")),
        "{:?}",
        weld.remarks
    );
}

/// Gap 0.5, both lips fused to s = 1. The upright's lip (-1, 0.5) is nearer the face x + y = 6:
/// (6 + 1 - 0.5) / sqrt 2 = 4.5962; the base's lip would give 7 / sqrt 2. The upright's leg is 6, 5.5 net of the gap.
#[test]
fn with_a_gap_the_root_is_on_the_lip_nearer_the_face() {
    let mut plates = tee();
    plates.gap = 0.5;
    let weld = only(&one_sided(
        plates,
        &[(6., 0.), (0., 6.), (-1., 2.), (-1., 0.5), (-1., 0.0), (-1., -0.5), (2., -1.)],
    ));
    near(&weld, Reading::RootPenetration, 1.0, EXACT);
    near(&weld, Reading::EffectiveThroat, 6.5 / 2f64.sqrt(), EXACT);
    // The codes' perpendicular starts at the same lip.
    near(&weld, Reading::PenetratedThroat, 6.5 / 2f64.sqrt(), EXACT);
    near(&weld, Reading::LegUpright, 6.0, EXACT);
    near(&weld, Reading::NetLegUpright, 5.5, EXACT);
    // Melted parent leaves the slot out. Whole: shoelace 36+6+1.5... see the clip: base part below y = 0 and upright
    // part above y = 0.5, left of x = 0.
    // Base: (6,0) (-1,0) (-1,-0.5) (2,-1): 0.5 x |0 + 0.5 + (1 + 1) + 6| = 4.25.
    // Upright: (0,0.5) (0,6) (-1,2) (-1,0.5): 0.5 x (1.5 + 5.5) x 1 = 3.5.
    near(&weld, Reading::MeltedParentArea, 7.75, EXACT);
}

/// Weld metal bridges the corner: fused from 1 mm on along both plates, the void's edge runs from (0, 1) to (1, 0).
/// No triangle, no root penetration; legs 5 fused of 6; throat between x + y = 1 and x + y = 6: 5 / sqrt 2.
#[test]
fn an_unfused_corner_is_neither_absent_nor_the_full_triangle() {
    let weld =
        only(&one_sided(tee(), &[(6., 0.), (0., 6.), (-0.5, 3.), (0., 1.), (1., 0.), (3., -0.5)]));
    near(&weld, Reading::UnfusedCornerBase, 1.0, EXACT);
    near(&weld, Reading::UnfusedCornerUpright, 1.0, EXACT);
    near(&weld, Reading::LegBase, 5.0, EXACT);
    near(&weld, Reading::LegUpright, 5.0, EXACT);
    near(&weld, Reading::EffectiveThroat, 5.0 / 2f64.sqrt(), EXACT);
    for what in [Reading::RootPenetration, Reading::TheoreticalThroat, Reading::PenetratedThroat] {
        assert_eq!(absent(&weld, what), "the corner is not fused");
    }
}

/// The same corner closed by weld metal but marked unfused along the base from C to 1.5 mm: the base's leg counts 4.5,
/// the throat runs from any point of that line; its nearest end (1.5, 0) lies (6 - 1.5) / sqrt 2 from the face.
#[test]
fn a_lack_of_fusion_line_along_a_leg_opens_the_corner() {
    let mut section = one_sided(tee(), DEEP);
    section.unfused.push(points(&[(0., 0.), (1.5, 0.)]));
    let weld = only(&section);
    near(&weld, Reading::UnfusedCornerBase, 1.5, EXACT);
    near(&weld, Reading::LegBase, 4.5, EXACT);
    near(&weld, Reading::EffectiveThroat, 4.5 / 2f64.sqrt(), EXACT);
    assert_eq!(absent(&weld, Reading::RootPenetration), "the corner is not fused");
}

/// Fused to 1 mm along the joint line, a notch to 1.4, fused again to 2.5: the root is at 1.
#[test]
fn fusion_broken_along_the_joint_line_ends_the_root_at_the_break() {
    let weld = only(&one_sided(
        tee(),
        &[
            (6., 0.),
            (0., 6.),
            (-2., 3.),
            (-2.5, 0.),
            (-2.4, -0.5),
            (-1.4, -0.4),
            (-1.4, 0.4),
            (-1., 0.4),
            (-1., -1.),
            (2., -1.),
        ],
    ));
    near(&weld, Reading::RootPenetration, 1.0, EXACT);
    near(&weld, Reading::EffectiveThroat, 7.0 / 2f64.sqrt(), EXACT);
}

/// A lack-of-fusion line on the joint line from 0.5 mm in leaves 0.5 mm of root; one from the corner leaves none.
#[test]
fn a_lack_of_fusion_line_along_the_joint_line_ends_the_root() {
    for (from, root) in [(-0.5, 0.5), (0.0, 0.0)] {
        let mut section = one_sided(tee(), DEEP);
        section.unfused.push(points(&[(from, 0.), (-3., 0.)]));
        let weld = only(&section);
        near(&weld, Reading::RootPenetration, root, EXACT);
        near(&weld, Reading::EffectiveThroat, (6.0 + root) / 2f64.sqrt(), EXACT);
    }
}

/// Only the base melted under the upright: its lip is not fused, so there is no root penetration however deep the zone.
#[test]
fn melting_the_base_alone_is_no_penetration() {
    let weld = only(&one_sided(
        tee(),
        &[(6., 0.), (0., 6.), (-0.3, 3.), (0., 0.), (-2., 0.), (-1.5, -1.5), (2., -1.)],
    ));
    near(&weld, Reading::RootPenetration, 0.0, EXACT);
    near(&weld, Reading::EffectiveThroat, 6.0 / 2f64.sqrt(), EXACT);
    near(&weld, Reading::FusionDepthBase, 1.5, EXACT);
}

/// Undercut at the base: a groove 0.8 wide and 0.3 deep beside the toe at 6: the toe stays at 6 (the weld's side of the
/// groove), lost metal 0.8 x 0.3 / 2 = 0.12.
#[test]
fn undercut_is_the_groove_beside_the_toe() {
    let weld = only(&one_sided(
        tee(),
        &[
            (6., 0.),
            (0., 6.),
            (-1.5, 3.),
            (-2., 0.),
            (-1.5, -1.5),
            (6., -1.),
            (6.8, 0.),
            (6.4, -0.3),
        ],
    ));
    near(&weld, Reading::LegBase, 6.0, EXACT);
    near(&weld, Reading::UndercutBase, 0.3, EXACT);
    near(&weld, Reading::UndercutUpright, 0.0, EXACT);
    near(&weld, Reading::Undercut, 0.3, EXACT);
    near(&weld, Reading::LostArea, 0.12, EXACT);
}

/// Legs 3, root 2: the face alone would give 5 / sqrt 2 = 3.5355. A groove in the upright runs from the toe (0, 3) to
/// (-1.5, 3.3); from (-2, 0) square to that wall, |1.5 x -3.3 - -0.3 x -0.5| / sqrt(1.5^2 + 0.3^2) = 5.1 / sqrt(2.34)
/// = 3.3340: the groove governs.
#[test]
fn a_deep_groove_governs_the_throat() {
    let weld = only(&one_sided(
        tee(),
        &[
            (3., 0.),
            (0., 3.),
            (-1.5, 3.3),
            (0., 3.6),
            (-1.8, 3.4),
            (-2., 0.),
            (-1., -1.),
            (1.5, -0.5),
        ],
    ));
    near(&weld, Reading::UndercutUpright, 1.5, EXACT);
    near(&weld, Reading::EffectiveThroat, 5.1 / 2.34f64.sqrt(), EXACT);
    near(&weld, Reading::TheoreticalThroat, 3.0 / 2f64.sqrt(), EXACT);
}

/// Metal lies on the base from 5 to 6.5 without entering it: the leg is 5, the overlap 1.5, and the throat goes by the
/// toes at 5 and 6: 30 / sqrt(61).
#[test]
fn overlap_counts_in_no_leg() {
    let weld = only(&one_sided(
        tee(),
        &[(5., 0.), (6.5, 0.), (6., 1.5), (0., 6.), (-0.5, 3.), (-0.5, -0.5), (2., -1.)],
    ));
    near(&weld, Reading::LegBase, 5.0, EXACT);
    near(&weld, Reading::OverlapToe, 1.5, EXACT);
    near(&weld, Reading::TheoreticalThroat, 30.0 / 61f64.sqrt(), EXACT);
    // The same metal, hanging 0.1 above the plate, is overlap as well.
    let hanging = only(&one_sided(
        tee(),
        &[(5., 0.), (6.5, 0.1), (6., 1.5), (0., 6.), (-0.5, 3.), (-0.5, -0.5), (2., -1.)],
    ));
    near(&hanging, Reading::LegBase, 5.0, EXACT);
    near(&hanging, Reading::OverlapToe, 1.5, EXACT);
}

/// A crack across the way from (-2, 0) to (2, 4) leaves no throat; one that stands beside it changes nothing.
#[test]
fn a_crack_across_the_way_leaves_no_throat() {
    let mut section = one_sided(tee(), DEEP);
    section.cracks.push(points(&[(0., 2.5), (1., 1.5)]));
    let weld = only(&section);
    for what in [Reading::EffectiveThroat, Reading::TheoreticalThroat, Reading::PenetratedThroat] {
        assert!(absent(&weld, what).contains("no throat"));
    }
    near(&weld, Reading::LegBase, 6.0, EXACT);
    let mut beside = one_sided(tee(), DEEP);
    beside.cracks.push(points(&[(4., 0.5), (4.5, 1.0)]));
    near(&only(&beside), Reading::EffectiveThroat, 8.0 / 2f64.sqrt(), EXACT);
}

/// A square pore of 0.5 mm stands square on the way from P to the face: 0.5 mm is taken off, and its share is
/// 0.25 / 32.25.
#[test]
fn a_pore_on_the_way_is_subtracted() {
    let mut section = one_sided(tee(), DEEP);
    let (along, across) =
        (Point::new(0.5f64.sqrt(), 0.5f64.sqrt()), Point::new(-(0.5f64.sqrt()), 0.5f64.sqrt()));
    let middle = Point::new(0.0, 2.0);
    let corner = |a: f64, b: f64| middle + along * a + across * b;
    section.pores.push(vec![
        corner(-0.25, -0.25),
        corner(0.25, -0.25),
        corner(0.25, 0.25),
        corner(-0.25, 0.25),
    ]);
    let weld = only(&section);
    near(&weld, Reading::EffectiveThroat, 8.0 / 2f64.sqrt() - 0.5, EXACT);
    near(&weld, Reading::PoreAreaShare, 0.25 / 32.25, EXACT);
    // Its diagonal.
    near(&weld, Reading::LargestPore, 0.5 * 2f64.sqrt(), EXACT);
    assert!(weld.remarks.iter().any(|r| r == "1 pore is marked in it, the largest 0.71 mm across"));
}

/// Lines count to the weld that they lie in or nearest to, with their whole length; where nothing is marked, nothing is read.
#[test]
fn cracks_and_lack_of_fusion_have_a_length_each_weld_its_own() {
    let mut section = both_sides(2.0);
    section.cracks.push(points(&[(2.0, 0.5), (2.3, 0.9)]));
    section.cracks.push(points(&[(1.0, 0.5), (1.0, 0.6)]));
    section.unfused.push(points(&[(-8.0, 1.0), (-8.0, 1.5), (-8.0, 2.5)]));
    let read = read(&section).unwrap();
    let (right, left) = (&read.welds[0], &read.welds[1]);
    assert_eq!((right.side, left.side), (Side::Right, Side::Left));
    near(right, Reading::CrackLength, 0.5 + 0.1, EXACT);
    near(left, Reading::LackOfFusionLength, 1.5, EXACT);
    for (weld, what) in [
        (left, Reading::CrackLength),
        (right, Reading::LackOfFusionLength),
        (right, Reading::LargestPore),
    ] {
        assert!(weld.readings.slot(what).is_none(), "{what:?}");
    }
}

/// A two-sided tee, t = 5, both sides fused 2 mm: land 1.0 = t / 5, throats 2 x 5.66 > 5: treated as full penetration
/// by EN 1993-1-8 4.7.3. At 1.9 mm a side the land is 1.2 and it is not.
fn both_sides(root: f64) -> Section {
    let mut plates = tee();
    plates.left = Some(weld::section::Corner { x: -5.0, angle: 90f64.to_radians() });
    let right = [(6., 0.), (0., 6.), (-0.5, 3.), (-root, 0.), (-0.5, -1.5), (2., -1.)];
    let left: Vec<(f64, f64)> = right.iter().map(|&(x, y)| (-5.0 - x, y)).collect();
    Section::exact(Plates::Tee(plates), vec![fused(Side::Right, &right), fused(Side::Left, &left)])
}

#[test]
fn the_land_of_a_two_sided_tee_is_what_both_leave() {
    for (root, land, answer) in [(2.0, 1.0, Answer::Yes), (1.9, 1.2, Answer::No)] {
        let got = reading(&both_sides(root));
        assert!((got.joint.unfused_land.unwrap() - land).abs() < EXACT);
        assert_eq!(got.joint.full_penetration_by_4_7_3, Some(answer));
        for weld in &got.welds {
            near(weld, Reading::RootPenetration, root, EXACT);
            near(weld, Reading::EffectiveThroat, (6.0 + root) / 2f64.sqrt(), EXACT);
        }
    }
}

/// Each side fused 3 mm of 5: the stretches share the middle millimetre, so the meeting point is at 2.5 and neither
/// root passes it. Land 0.
#[test]
fn two_sides_that_meet_leave_no_land_and_do_not_pass_each_other() {
    let got = reading(&both_sides(3.0));
    assert_eq!(got.joint.unfused_land, Some(0.0));
    assert_eq!(got.joint.full_penetration_by_4_7_3, Some(Answer::Yes));
    assert!(got.joint.remarks.iter().any(|r| r.contains("not added")));
    for weld in &got.welds {
        near(weld, Reading::RootPenetration, 2.5, EXACT);
        near(weld, Reading::EffectiveThroat, 8.5 / 2f64.sqrt(), EXACT);
    }
}

#[test]
fn what_cannot_be_a_fillet_is_refused_with_fact_and_advice() {
    let says = |section: &Section, fact: &str, advice: &str| {
        let error = read(section).unwrap_err();
        assert_eq!(error.to_string(), fact);
        assert!(error.advice().contains(advice), "{}", error.advice());
    };
    says(
        &one_sided(tee(), &[(1., 1.), (3., 1.), (1., 3.)]),
        "the fused outline (only) lies in the air: it touches no plate, the nearest one is 1.00 mm away",
        "plate lines",
    );
    says(
        &one_sided(tee(), &[(-1., -1.), (-3., -1.), (-1., -3.)]),
        "the corner of the plates lies 1.41 mm outside the fused outline (only) on its air side, so no root can be behind the face",
        "the weld's side",
    );
    says(
        &one_sided(tee(), &[(0., 0.), (6., 6.), (6., 0.), (0., 6.)]),
        "the fused outline (only) crosses itself near (3.000, 3.000) mm, between its points 0 and 2 (counted from 0)",
        "order",
    );
    says(
        &one_sided(tee(), &[(0., 0.), (6., 0.)]),
        "the fused outline (only) is open: it has 2 different point(s), and 3 are needed to enclose a zone",
        "three points",
    );
    says(
        &one_sided(tee_at(20.0), DEEP),
        "base and upright meet at 20.0 degrees, outside 30 to 150",
        "swapped",
    );
    let mut named = one_sided(tee(), DEEP);
    named.fused[0].side = Side::Top;
    says(&named, "a tee has no top weld", "left or right");
}

/// A traced outline that enters the base by less than its doubt shows no fusion to it, and so no leg and no throat;
/// a drawn one is taken as drawn.
#[test]
fn a_traced_outline_must_enter_the_plate_to_count() {
    let mut section =
        one_sided(tee(), &[(6., 0.), (0., 6.), (-1., 3.), (-0.5, -0.02), (0., -0.02)]);
    section.doubt = 0.05;
    near(&only(&section), Reading::LegBase, 6.0, 0.1);
    section.fused[0].exact = false;
    assert_eq!(
        absent(&only(&section), Reading::EffectiveThroat),
        "the outline does not enter the base by more than the reading's doubt of 0.05 mm, so no fusion to it is shown"
    );
}

/// A triangle that only touches both plates, nudged by up to 0.05 mm as a Monte Carlo draw does: floating here, dipping
/// there. It stays the outline it was: legs 6 and 9, and a throat within the nudge of 54 / sqrt 117.
#[test]
fn a_nudged_triangle_still_touches() {
    let mut section = one_sided(tee(), &[(0.0, 0.0), (6.0, 0.0), (0.0, 9.0)]);
    section.touching = weld::section::touching(&section).unwrap();
    assert_eq!(section.touching, [[true, true]]);
    section.doubt = 0.05;
    for nudged in [
        [(0.02, 0.05), (6.0, -0.05), (-0.03, 9.0)],
        [(-0.02, -0.05), (6.0, 0.05), (0.03, 9.0)],
        [(0.05, 0.05), (6.0, 0.05), (0.05, 9.0)],
    ] {
        section.fused = vec![fused(Side::Only, &nudged)];
        let weld = only(&section);
        near(&weld, Reading::LegBase, 6.0, EXACT);
        near(&weld, Reading::LegUpright, 9.0, EXACT);
        near(&weld, Reading::EffectiveThroat, 54.0 / 117f64.sqrt(), 0.08);
    }
}

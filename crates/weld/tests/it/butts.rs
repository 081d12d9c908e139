//! Beads and butt joints worked by hand. Frame: joint line x = 0, top surface y = 0, plates 6 mm, millimetres.

use crate::shapes::*;
use weld::reading::{Answer, Reading};
use weld::section::{Butt, Face, Plates, Point, Section, Side, read};

const EXACT: f64 = 1e-9;

fn welded(butt: Butt, welds: &[(Side, &[(f64, f64)])]) -> Section {
    Section::exact(
        Plates::Butt(butt),
        welds.iter().map(|(side, list)| fused(*side, list)).collect(),
    )
}

/// A trapezium 4 wide at the surface, 2 wide at 3 mm depth, with a roof 0.5 high.
/// Area below: (4 + 2) / 2 x 3 = 9, above: 4 x 0.5 / 2 = 1. Squareness 9 / (4 x 3) = 0.75. Width at half depth 3.
#[test]
fn a_bead_has_width_depth_height_and_areas() {
    let section = Section::exact(
        Plates::Bead,
        vec![fused(Side::Only, &[(-2., 0.), (-1., -3.), (1., -3.), (2., 0.), (0., 0.5)])],
    );
    let weld = only(&section);
    near(&weld, Reading::Penetration, 3.0, EXACT);
    near(&weld, Reading::Width, 4.0, EXACT);
    near(&weld, Reading::WidthSurface, 4.0, EXACT);
    near(&weld, Reading::WidthHalf, 3.0, EXACT);
    near(&weld, Reading::WidthDeep, 2.2, EXACT);
    near(&weld, Reading::Height, 0.5, EXACT);
    near(&weld, Reading::FusedArea, 10.0, EXACT);
    near(&weld, Reading::MeltedParentArea, 9.0, EXACT);
    near(&weld, Reading::DepositedArea, 1.0, EXACT);
    near(&weld, Reading::Dilution, 0.9, EXACT);
    near(&weld, Reading::Squareness, 0.75, EXACT);
    near(&weld, Reading::DepthToWidth, 0.75, EXACT);
}

/// Dilution by its definition (AWS A3.0): 6 of 15 mm2 is 40 %.
#[test]
fn six_of_fifteen_is_forty_per_cent() {
    let section = Section::exact(
        Plates::Bead,
        vec![fused(
            Side::Only,
            &[(-3., 0.), (-3., -1.), (3., -1.), (3., 0.), (3., 1.5), (-3., 1.5)],
        )],
    );
    near(&only(&section), Reading::Dilution, 0.4, EXACT);
}

#[test]
fn a_bead_in_the_air_and_a_zone_without_a_face_are_refused() {
    let air =
        Section::exact(Plates::Bead, vec![fused(Side::Only, &[(0., 1.), (2., 1.), (1., 2.)])]);
    assert!(read(&air).unwrap_err().to_string().contains("lies in the air"));
    let inside =
        Section::exact(Plates::Bead, vec![fused(Side::Only, &[(0., -1.), (2., -1.), (1., -2.)])]);
    assert_eq!(
        read(&inside).unwrap_err().to_string(),
        "the fused outline (only) lies wholly inside the metal: it has no face towards the air"
    );
}

/// A wedge 4 wide and 4 deep, point on the joint line: penetration 4 of 6, land 2, throat 4.
#[test]
fn a_one_sided_butt_leaves_its_land() {
    let section = welded(butt(), &[(Side::Only, &[(-2., 0.), (0., -4.), (2., 0.), (0., 0.6)])]);
    let got = reading(&section);
    near(&got.welds[0], Reading::Penetration, 4.0, EXACT);
    near(&got.welds[0], Reading::Height, 0.6, EXACT);
    near(&got.welds[0], Reading::AimOffset, 0.0, EXACT);
    assert!((got.joint.throat.unwrap() - 4.0).abs() < EXACT);
    assert!((got.joint.unfused_land.unwrap() - 2.0).abs() < EXACT);
    assert!((got.joint.overlap.unwrap() + 2.0).abs() < EXACT);
    assert_eq!(got.joint.complete_penetration, Some(Answer::No));
}

/// A zone 5 mm deep whose side is at x = 0.3: it never meets the joint line.
#[test]
fn a_missed_seam_has_depth_without_penetration() {
    let section = welded(
        butt(),
        &[(Side::Only, &[(0.3, 0.), (0.5, -5.), (1.5, -5.), (2.3, 0.), (1.3, 0.4)])],
    );
    let got = reading(&section);
    near(&got.welds[0], Reading::Depth, 5.0, EXACT);
    near(&got.welds[0], Reading::Penetration, 0.0, EXACT);
    assert!(got.welds[0].readings.get(Reading::AimOffset).unwrap() > 1.0);
    assert_eq!(got.joint.throat, Some(0.0));
    assert!(got.welds[0].remarks.iter().any(|r| r.starts_with("missed seam")));
}

/// Two tilted zones, each 4 mm deep in a 6 mm plate: their points pass each other, at x = 1 and x = -1, but on the
/// joint line each reaches only so far. Top zone: right side from (1.5, 0) to (1, -4), left side from (-1.5, 0) to
/// (1, -4); the left side meets x = 0 at depth 4 x 1.5 / 2.5 = 2.4. The bottom zone is the same turned by half a turn.
/// Land 6 - 2.4 - 2.4 = 1.2.
#[test]
fn tilted_zones_overlap_in_depth_and_leave_a_land_on_the_joint_line() {
    let section = welded(
        butt(),
        &[
            (Side::Top, &[(-1.5, 0.), (1., -4.), (1.5, 0.), (0., 0.5)]),
            (Side::Bottom, &[(1.5, -6.), (-1., -2.), (-1.5, -6.), (0., -6.5)]),
        ],
    );
    let got = reading(&section);
    for weld in &got.welds {
        near(weld, Reading::Depth, 4.0, EXACT);
        near(weld, Reading::Penetration, 2.4, EXACT);
    }
    assert!((got.joint.unfused_land.unwrap() - 1.2).abs() < EXACT);
    assert!((got.joint.overlap.unwrap() + 1.2).abs() < EXACT);
    assert!((got.joint.throat.unwrap() - 4.8).abs() < EXACT);
    assert_eq!(got.joint.complete_penetration, Some(Answer::No));
    assert!(
        got.joint.remarks.iter().any(|r| r.contains("from 2.40 to 3.60 mm below the top surface")),
        "{:?}",
        got.joint.remarks
    );
}

/// Two wedges of 4 mm on the joint line: they overlap by 2 and the throat is the plate, not the sum of 8.
#[test]
fn zones_that_meet_make_the_plate_and_no_more() {
    let section = welded(
        butt(),
        &[
            (Side::Top, &[(-2., 0.), (0., -4.), (2., 0.), (0., 0.5)]),
            (Side::Bottom, &[(2., -6.), (0., -2.), (-2., -6.), (0., -6.4)]),
        ],
    );
    let got = reading(&section);
    assert!((got.joint.overlap.unwrap() - 2.0).abs() < EXACT);
    assert_eq!(got.joint.unfused_land, Some(0.0));
    assert!((got.joint.throat.unwrap() - 6.0).abs() < EXACT);
    assert_eq!(got.joint.complete_penetration, Some(Answer::Yes));
    near(&got.welds[1], Reading::Height, 0.4, EXACT);
}

/// Right plate 1 mm higher: the plates share 5 of their 6 mm, from y = 0 to y = -5. A zone through all of it claims 5.
#[test]
fn misaligned_plates_share_less_than_their_thickness() {
    let mut plates = butt();
    plates.top[1] = Face::level(1.0);
    plates.bottom = Some([Face::level(-6.0), Face::level(-5.0)]);
    let section =
        welded(plates, &[(Side::Only, &[(-2., 0.), (-1., -6.2), (1., -6.2), (2., 1.), (0., 1.2)])]);
    let got = reading(&section);
    assert!((got.joint.misalignment.unwrap() - 1.0).abs() < EXACT);
    assert!((got.joint.throat.unwrap() - 5.0).abs() < EXACT);
    assert_eq!(got.joint.complete_penetration, Some(Answer::Yes));
}

/// The face lies 0.5 below the surface on the joint line: penetration counts from the surface (6), throat does not
/// count the hollow (5.5).
#[test]
fn underfill_is_taken_off_the_throat() {
    let section = welded(
        butt(),
        &[(Side::Only, &[(-2., 0.), (-1., -6.3), (1., -6.3), (2., 0.), (0., -0.5)])],
    );
    let got = reading(&section);
    near(&got.welds[0], Reading::Underfill, 0.5, EXACT);
    near(&got.welds[0], Reading::WidthSurface, 4.0, EXACT);
    near(&got.welds[0], Reading::RootExcess, 0.3, EXACT);
    near(&got.welds[0], Reading::Penetration, 6.0, EXACT);
    assert!((got.joint.throat.unwrap() - 5.5).abs() < EXACT);
}

/// The same hollow face with a right toe that was outlined 0.2 below the surface, so that no toe is in view there: the joint
/// line is fused from the face, 0.5 below the surface, to 4 all the same.
#[test]
fn a_hollow_face_without_a_toe_is_no_missed_seam() {
    let section = welded(
        butt(),
        &[(Side::Only, &[(-2., 0.), (-1., -4.), (1., -4.), (1.8, -0.2), (0., -0.5)])],
    );
    let got = reading(&section);
    near(&got.welds[0], Reading::Penetration, 4.0, EXACT);
    assert!((got.joint.throat.unwrap() - 3.5).abs() < EXACT);
    assert!(got.welds[0].readings.get(Reading::WidthSurface).is_none());
    // Beside the joint line it is a missed seam whatever its toes.
    let missed = welded(
        butt(),
        &[(Side::Only, &[(0.3, 0.), (0.5, -5.), (1.5, -5.), (2.3, -0.2), (1.3, -0.4)])],
    );
    near(&reading(&missed).welds[0], Reading::Penetration, 0.0, EXACT);
}

/// Gap 0.4: fused on both lips x = -0.2 and 0.2. A wedge from 2 mm at the surface to a point at -4 leaves the lips where
/// it is 0.4 wide: depth 4 x (1 - 0.2 / 2) = 3.6.
#[test]
fn a_gap_is_fused_where_both_lips_are() {
    let mut plates = butt();
    plates.gap = 0.4;
    let section = welded(plates, &[(Side::Only, &[(-2., 0.), (0., -4.), (2., 0.), (0., 0.6)])]);
    let got = reading(&section);
    near(&got.welds[0], Reading::Penetration, 3.6, EXACT);
    // Melted parent leaves the slot out: two wedges 1.8 wide and 3.6 deep.
    near(&got.welds[0], Reading::MeltedParentArea, 1.8 * 3.6, EXACT);
}

#[test]
fn a_butt_without_its_joint_line_cannot_say() {
    let mut plates = butt();
    plates.joint_line = None;
    let section =
        welded(plates, &[(Side::Only, &[(-2., 0.), (-1., -6.2), (1., -6.2), (2., 0.), (0., 0.5)])]);
    let got = reading(&section);
    assert!(absent(&got.welds[0], Reading::Penetration).contains("witness lines"));
    assert_eq!(got.joint.complete_penetration, Some(Answer::CannotSay));
    assert_eq!(got.joint.throat, None);
}

/// A lack-of-fusion line from 1 to 1.5 mm depth on the joint line leaves 1 mm; a crack there leaves no throat.
#[test]
fn breaks_on_the_joint_line_end_what_is_fused() {
    let zone: &[(f64, f64)] = &[(-2., 0.), (-1., -6.2), (1., -6.2), (2., 0.), (0., 0.5)];
    let mut section = welded(butt(), &[(Side::Only, zone)]);
    section.unfused.push(points(&[(0., -1.), (0., -1.5)]));
    let got = reading(&section);
    assert!((got.joint.throat.unwrap() - 1.0).abs() < EXACT);
    let mut cracked = welded(butt(), &[(Side::Only, zone)]);
    // A centreline crack need not lie on the joint line to cut the load path.
    cracked.cracks.push(points(&[(0.4, -2.), (0.4, -3.)]));
    let got = reading(&cracked);
    assert_eq!(got.joint.throat, None);
    assert!(
        got.joint.absent.iter().any(|(name, why)| *name == "throat_mm" && why.contains("crack"))
    );
}

#[test]
fn undercut_beside_a_butt_is_found_on_its_side() {
    let section = welded(
        butt(),
        &[(Side::Only, &[(-2., 0.), (0., -4.), (2.6, 0.), (2.3, -0.25), (2., 0.), (0., 0.6)])],
    );
    let weld = only(&section);
    near(&weld, Reading::Undercut, 0.25, EXACT);
    near(&weld, Reading::WidthSurface, 4.0, EXACT);
    near(&weld, Reading::LostArea, 0.5 * 0.6 * 0.25, EXACT);
}

/// Joint line tilted by 3 in 6: it runs from (0, 0) to (3, -6), length sqrt 45. A slab 2 deep fuses a third of it.
#[test]
fn a_tilted_joint_line_is_counted_along_itself() {
    let mut plates = butt();
    plates.joint_line = Some([Point::new(0.0, 0.0), Point::new(3.0, -6.0)]);
    let section =
        welded(plates, &[(Side::Only, &[(-3., 0.), (-3., -2.), (3., -2.), (3., 0.), (0., 0.4)])]);
    let got = reading(&section);
    near(&got.welds[0], Reading::Penetration, 45f64.sqrt() / 3.0, EXACT);
    assert!((got.joint.unfused_land.unwrap() - 45f64.sqrt() * 2.0 / 3.0).abs() < EXACT);
}

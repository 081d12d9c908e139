//! Readings of a tee, welded from one side or from both.
//!
//! ```text
//!   left weld (mirrored)      ┃upright┃      right weld
//!                          ╱●─┃       ┃─●╲
//!                         ●───┨=======┠───●     ==== unfused land = joint line less both penetrations
//!   ──────────────────────────┴───────┴──────── base
//! ```
//!
//! Each side is a fillet of its own and read apart. In a two-sided joint the weld root of one side never passes the
//! place where the two fused stretches meet; when they meet the joint is completely penetrated, the land is 0, and the
//! throats of the sides are not added.
//!
//! Full penetration by [`EN_1993_1_8_TEE_BUTT`](crate::source::EN_1993_1_8_TEE_BUTT): sum of throats at least the
//! upright's thickness and land at most min(t/5, 3 mm). The answer here is for the numbers as they stand; a reading
//! with an uncertainty answers 'cannot say' where that could turn it.
//!
//! Not covered: three-sided nodes, an upright that is cut at an angle along its length.

use super::area::{self, Areas};
use super::fillet::{Fillet, Track};
use super::groove;
use super::joint_line::JointLine;
use super::leg;
use super::outline::extent;
use super::throat::{self, Throat};
use super::{
    Corner, Dimensioned, Fused, JointReading, Point, Section, SectionError, SectionReading, Side,
    Tee, WeldReading,
};
use super::{depth, profile};
use crate::reading::{Answer, Reading, Readings};

/// Depth-to-width ratio above which centreline cracking is a concern (common practice, no source).
pub const DEEP_FOR_ITS_WIDTH: f64 = 2.0;

struct SideView<'a> {
    fused: &'a Fused,
    fillet: Fillet,
    /// Root penetration before the other side is looked at.
    reach: Option<f64>,
}

/// Reads a tee.
///
/// # Errors
///
/// When sides are named that do not fit, an outline lies in the air, or the corner lies outside the face.
pub fn read(section: &Section, tee: &Tee) -> Result<SectionReading, SectionError> {
    let mut sides = Vec::new();
    for (i, fused) in section.fused.iter().enumerate() {
        let fillet = fillet_of(section, tee, i, fused)?;
        let reach = root(&fillet);
        sides.push(SideView { fused, fillet, reach });
    }
    let (roots, joint) = meet(tee, &sides);
    let mut welds: Vec<WeldReading> =
        sides.iter().zip(&roots).map(|(side, root)| one_side(side, *root)).collect();
    let joint = judge(tee, &sides, &welds, joint);
    for weld in &mut welds {
        weld.remarks.dedup();
    }
    Ok(SectionReading { welds, joint })
}

fn fillet_of(
    section: &Section,
    tee: &Tee,
    i: usize,
    fused: &Fused,
) -> Result<Fillet, SectionError> {
    let (corner, mirrored) = corner_of(tee, fused.side, section.fused.len())?;
    let settled = section.touching.get(i).copied();
    if settled.is_none() {
        in_the_air(fused, tee, corner, mirrored)?;
    }
    Fillet::of(section, tee, corner, mirrored, fused, settled)
}

/// For each fused zone: does it only touch the base, the upright?
pub(super) fn touching(section: &Section, tee: &Tee) -> Result<Vec<[bool; 2]>, SectionError> {
    let only = |track: &Option<Track>| track.as_ref().is_some_and(|t| t.touching);
    section
        .fused
        .iter()
        .enumerate()
        .map(|(i, fused)| {
            let fillet = fillet_of(section, tee, i, fused)?;
            Ok([only(&fillet.base), only(&fillet.upright)])
        })
        .collect()
}

fn corner_of(tee: &Tee, side: Side, welds: usize) -> Result<(Corner, bool), SectionError> {
    match side {
        Side::Only if welds == 1 => Ok((tee.right, false)),
        Side::Right => Ok((tee.right, false)),
        Side::Left => tee.left.map(|corner| (corner, true)).ok_or_else(|| SectionError::Sides {
            found: "a left weld is outlined, but the upright's left face is not marked".to_owned(),
        }),
        Side::Only => Err(SectionError::Sides {
            found: format!("{welds} fused outlines are given and one of them names no side"),
        }),
        Side::Top | Side::Bottom => {
            Err(SectionError::Sides { found: format!("a tee has no {} weld", side.word()) })
        }
    }
}

/// An outline that touches neither plate is not a weld.
fn in_the_air(
    fused: &Fused,
    tee: &Tee,
    corner: Corner,
    mirrored: bool,
) -> Result<(), SectionError> {
    let sign = if mirrored { -1.0 } else { 1.0 };
    let (sin, cos) = corner.angle.sin_cos();
    let off = Point::new(sin, -cos);
    let slack = 1e-9 * extent(&fused.outline);
    let away = fused
        .outline
        .iter()
        .map(|p| {
            let p = Point::new(sign * (p.x - corner.x), p.y);
            let over_gap = p.y >= tee.gap;
            p.y.min(if over_gap { p.dot(off) } else { p.y })
        })
        .fold(f64::INFINITY, f64::min);
    if away > slack {
        return Err(SectionError::InTheAir { weld: fused.side.word(), away });
    }
    Ok(())
}

/// End of the joint line's stretch that is fused from this side's corner without a break.
fn root(fillet: &Fillet) -> Option<f64> {
    if !fillet.corner_fused {
        return None;
    }
    let view = |p: &Point| Point::new(-p.x, p.y);
    let outline: Vec<Point> = fillet.outline.iter().map(view).collect();
    let lines = |list: &[Vec<Point>]| -> Vec<Vec<Point>> {
        list.iter().map(|l| l.iter().map(view).collect()).collect()
    };
    let slack = 1e-9 * extent(&outline);
    let joint = JointLine {
        outline: &outline,
        breaks: &lines(&fillet.breaks),
        pores: &lines(&fillet.pores),
        low: 0.0,
        high: fillet.gap,
        length: fillet.joint_length.unwrap_or(f64::INFINITY),
        touching_below: fillet.exact && outline.iter().all(|p| p.y >= -slack),
        doubt: fillet.doubt,
    };
    Some(joint.root().unwrap_or(0.0))
}

/// Roots that do not pass the meeting point, the land, and whether the stretches meet.
fn meet(tee: &Tee, sides: &[SideView<'_>]) -> (Vec<Option<f64>>, JointReading) {
    let mut joint = JointReading::default();
    let roots: Vec<Option<f64>> = sides.iter().map(|s| s.reach).collect();
    let length = match (tee.left, tee.upright_thickness) {
        (Some(left), _) => Some(tee.right.x - left.x),
        (None, Some(_)) => sides.first().and_then(|s| s.fillet.joint_length),
        (None, None) => None,
    };
    let Some(length) = length else {
        joint.absent.push(("unfused_land_mm", "the upright's thickness is not given".to_owned()));
        return (roots, joint);
    };
    let reaches: Vec<f64> = roots.iter().map(|r| r.unwrap_or(0.0).min(length)).collect();
    let together: f64 = reaches.iter().sum();
    joint.unfused_land = Some((length - together).max(0.0));
    let roots = if sides.len() == 2 && together > length {
        // Each zone runs past the other; they share the middle of what both cover.
        let middle = 0.5 * (reaches[0] + length - reaches[1]);
        vec![roots[0].map(|_| middle), roots[1].map(|_| length - middle)]
    } else {
        roots.iter().zip(&reaches).map(|(r, reach)| r.map(|_| *reach)).collect()
    };
    (roots, joint)
}

fn judge(
    tee: &Tee,
    sides: &[SideView<'_>],
    welds: &[WeldReading],
    mut joint: JointReading,
) -> JointReading {
    const NAME: &str = "full_penetration_by_4_7_3";
    let thickness = tee
        .upright_thickness
        .or_else(|| tee.left.map(|left| (tee.right.x - left.x) * tee.right.angle.sin()));
    let (Some(t), Some(land)) = (thickness, joint.unfused_land) else {
        joint.absent.push((NAME, "the upright's thickness is not given".to_owned()));
        return joint;
    };
    if sides.len() < 2 {
        joint.absent.push((NAME, "the clause is about a tee welded from both sides".to_owned()));
        return joint;
    }
    let throats: Vec<f64> =
        welds.iter().filter_map(|w| w.readings.get(Reading::EffectiveThroat)).collect();
    if throats.len() < 2 {
        joint.absent.push((NAME, "one side has no throat".to_owned()));
        return joint;
    }
    let slack = 1e-9 * t;
    let holds = land <= slack
        || (throats.iter().sum::<f64>() >= t - slack && land <= (t / 5.0).min(3.0) + slack);
    joint.full_penetration_by_4_7_3 = Some(if holds { Answer::Yes } else { Answer::No });
    if land <= slack {
        joint.remarks.push(
            "the two fused stretches meet: the joint is completely penetrated, and the throats of its sides are not added"
                .to_owned(),
        );
    }
    joint
}

fn one_side(side: &SideView<'_>, root: Option<f64>) -> WeldReading {
    let fillet = &side.fillet;
    let mut r = Readings::default();
    let mut remarks = Vec::new();
    let mut dimensions = Vec::new();
    let mut dimension = |reading: Reading, from: Point, to: Point| {
        dimensions.push(Dimensioned { reading, from: fillet.back(from), to: fillet.back(to) });
    };

    areas(fillet, &mut r);
    r.set(Reading::FusionDepthBase, depth::in_base(fillet));

    let missing_toe = missing_toe(fillet);
    match (&fillet.base, &fillet.upright, &missing_toe) {
        (Some(base), Some(upright), None) => {
            legs(fillet, base, upright, &mut r, &mut remarks);
            let (tb, tu) = (Point::new(base.toe, 0.0), fillet.up * upright.toe);
            dimension(Reading::LegBase, Point::default(), tb);
            dimension(Reading::LegUpright, Point::default(), tu);
            shape(fillet, base, upright, &mut r, &mut remarks);
            let ways = throats(fillet, root, &mut r, &mut remarks);
            for (reading, way) in ways {
                dimension(reading, way.from, way.to);
            }
            lengths_fused(fillet, base, root, &mut r);
            if let (Some(p), true) = (root, fillet.corner_fused) {
                r.set(Reading::RootPenetration, p);
                dimension(Reading::RootPenetration, Point::default(), Point::new(-p, 0.0));
                let shorter = base.toe.min(upright.toe);
                if p > shorter {
                    remarks.push(format!(
                        "the root penetration ({p:.2} mm) exceeds the shorter leg ({shorter:.2} mm): effective throat and throat with penetration part, and a claim uses the smaller"
                    ));
                }
            }
        }
        _ => {
            let reason = missing_toe.unwrap_or_default();
            for &name in NEEDS_TOES {
                r.absent(name, reason.clone());
            }
        }
    }
    let degrees = fillet.angle.to_degrees();
    if !(60.0..=120.0).contains(&degrees) {
        remarks.push(format!(
            "the plates meet at {degrees:.0} degrees, outside the 60 to 120 in which EN 1993-1-8 4.3.2.1 takes a weld for a fillet (Recalled): below 60 it is designed as a partial-penetration butt weld, above 120 its throat needs tests"
        ));
    }
    WeldReading { side: side.fused.side, readings: r, dimensions, remarks }
}

const NEEDS_TOES: &[Reading] = &[
    Reading::LegBase,
    Reading::LegUpright,
    Reading::NetLegUpright,
    Reading::SizeBase,
    Reading::SizeUpright,
    Reading::TheoreticalThroat,
    Reading::IsoscelesThroat,
    Reading::CornerThroat,
    Reading::ActualThroat,
    Reading::EffectiveThroat,
    Reading::PenetratedThroat,
    Reading::RootPenetration,
    Reading::UnfusedCornerBase,
    Reading::UnfusedCornerUpright,
    Reading::FusionDepthUpright,
    Reading::FusedLengthBase,
    Reading::FusedLengthUpright,
    Reading::Convexity,
    Reading::ToeAngleBase,
    Reading::ToeAngleUpright,
    Reading::UndercutBase,
    Reading::UndercutUpright,
    Reading::Undercut,
    Reading::OverlapToe,
    Reading::DepthToWidth,
];

fn missing_toe(fillet: &Fillet) -> Option<String> {
    let plate = |name: &str| {
        if fillet.exact {
            format!("the outline does not reach the {name}'s surface, so there is no toe on it")
        } else {
            format!(
                "the outline does not enter the {name} by more than the reading's doubt of {:.2} mm, so no fusion to it is shown",
                fillet.doubt
            )
        }
    };
    match (&fillet.base, &fillet.upright) {
        (Some(_), Some(_)) => None,
        (None, Some(_)) => Some(plate("base")),
        (Some(_), None) => Some(plate("upright")),
        (None, None) => Some(plate("base and the upright")),
    }
}

fn areas(fillet: &Fillet, r: &mut Readings) {
    let outline = &fillet.outline;
    let in_base = area::in_base(outline, fillet.base_thickness);
    let in_upright =
        area::in_upright(outline, fillet.up, fillet.off, fillet.gap, fillet.upright_thickness);
    let lost = [
        (&fillet.base, Point::new(1.0, 0.0), Point::new(0.0, 1.0), true),
        (&fillet.upright, fillet.up, fillet.off, false),
    ]
    .into_iter()
    .filter_map(|(track, along, off, base)| {
        Some(groove::of_track(fillet, track.as_ref()?, along, off, base).lost)
    })
    .sum();
    Areas {
        fused: super::outline::area(outline),
        melted_parent: in_base + in_upright,
        lost,
        pores: area::pores_in(outline, &fillet.pores),
    }
    .enter(r);
}

fn legs(
    fillet: &Fillet,
    base: &Track,
    upright: &Track,
    r: &mut Readings,
    remarks: &mut Vec<String>,
) {
    r.set(Reading::LegBase, leg::leg(fillet, base));
    r.set(Reading::LegUpright, leg::leg(fillet, upright));
    r.set(Reading::NetLegUpright, leg::net_leg(fillet, upright));
    r.set(Reading::UnfusedCornerBase, base.open_corner);
    r.set(Reading::UnfusedCornerUpright, upright.open_corner);
    for (name, track) in [("base", base), ("upright", upright)] {
        if track.touching {
            remarks.push(format!(
                "the outline touches the {name} along its surface and enters it nowhere: taken as fused at depth 0, as drawn; mark lack of fusion with [[unfused]] where the metal only lies on the plate"
            ));
        }
        let pockets = track.fused.0.windows(2).map(|w| w[1].0 - w[0].1).sum::<f64>();
        if pockets > 0.0 {
            remarks.push(format!("{pockets:.2} mm of the leg on the {name} is not fused (a pocket under the weld metal)"));
        }
    }
    if !fillet.corner_fused {
        remarks.push(
            "the corner is not fused to both plates (incomplete root fusion): no root penetration, no triangle; each leg counts its fused stretch, and the effective throat runs from the unfused inner boundary"
                .to_owned(),
        );
    }
}

fn shape(
    fillet: &Fillet,
    base: &Track,
    upright: &Track,
    r: &mut Readings,
    remarks: &mut Vec<String>,
) {
    let plates = [
        ("base", base, Point::new(1.0, 0.0), Point::new(0.0, 1.0), true, Reading::UndercutBase),
        ("upright", upright, fillet.up, fillet.off, false, Reading::UndercutUpright),
    ];
    let mut deepest = 0.0_f64;
    for (name, track, along, off, is_base, reading) in plates {
        let groove = groove::of_track(fillet, track, along, off, is_base);
        r.set(reading, groove.depth);
        deepest = deepest.max(groove.depth);
        if groove.bulge > (3.0 * fillet.doubt).max(0.1) {
            remarks.push(format!(
                "beyond the toe on the {name} the outline runs {:.2} mm further out below the surface: read as a zone that widens inside the plate; if it is undercut, bring the outline up the far side of the groove to the surface",
                groove.bulge
            ));
        }
    }
    r.set(Reading::Undercut, deepest);
    if let Some((on_base, on_upright)) = profile::overlap(fillet) {
        r.set(Reading::OverlapToe, on_base.max(on_upright));
    }
    if let Some(c) = profile::convexity(fillet) {
        r.set(Reading::Convexity, c);
    }
    let mut reversed = fillet.face.clone();
    reversed.reverse();
    let angles = [
        (Reading::ToeAngleBase, profile::toe_angle(&fillet.face, Point::new(1.0, 0.0))),
        (Reading::ToeAngleUpright, profile::toe_angle(&reversed, fillet.up)),
    ];
    for (reading, angle) in angles {
        match angle {
            Some(degrees) => r.set(reading, degrees),
            None => r.absent(reading, "the face is too short to have a direction"),
        }
    }
    if let Some(ratio) = profile::depth_to_width(fillet) {
        r.set(Reading::DepthToWidth, ratio);
        if ratio > DEEP_FOR_ITS_WIDTH {
            remarks.push(format!(
                "the zone is {ratio:.1} times as deep as wide: above {DEEP_FOR_ITS_WIDTH:.0}, look for centreline cracks (common practice, no source)"
            ));
        }
    }
}

fn throats(
    fillet: &Fillet,
    root: Option<f64>,
    r: &mut Readings,
    remarks: &mut Vec<String>,
) -> Vec<(Reading, Throat)> {
    let not_fused = "the corner is not fused";
    let triangle = throat::greatest_triangle(fillet);
    let starts = throat::starts(fillet, root);
    let actual = throat::actual(fillet, &starts);
    let effective = throat::effective(fillet, &starts);
    let corner = throat::from_corner(fillet);

    let broken = [&effective, &actual, &corner]
        .into_iter()
        .flatten()
        .any(|way| throat::is_broken(fillet, way));
    if broken {
        let reason = "a crack or a lack-of-fusion line lies across the way of the throat: this side has no throat";
        for reading in [
            Reading::SizeBase,
            Reading::SizeUpright,
            Reading::TheoreticalThroat,
            Reading::IsoscelesThroat,
            Reading::CornerThroat,
            Reading::ActualThroat,
            Reading::EffectiveThroat,
            Reading::PenetratedThroat,
        ] {
            r.absent(reading, reason);
        }
        remarks.push(reason.to_owned());
        return Vec::new();
    }

    let mut ways = Vec::new();
    match &triangle {
        Some(t) => {
            r.set(Reading::SizeBase, t.base);
            r.set(Reading::SizeUpright, t.upright);
            r.set(Reading::TheoreticalThroat, t.height);
        }
        None => {
            for reading in [Reading::SizeBase, Reading::SizeUpright, Reading::TheoreticalThroat] {
                r.absent(reading, not_fused);
            }
        }
    }
    match (&triangle, root) {
        (Some(t), Some(_)) => {
            r.set(Reading::PenetratedThroat, throat::with_penetration(t, &starts))
        }
        _ => r.absent(Reading::PenetratedThroat, not_fused),
    }
    match throat::isosceles(fillet) {
        Some(a) => r.set(Reading::IsoscelesThroat, a),
        None => r.absent(Reading::IsoscelesThroat, not_fused),
    }
    if root.is_none() {
        r.absent(Reading::RootPenetration, not_fused);
    }
    for (reading, way) in [
        (Reading::CornerThroat, corner),
        (Reading::ActualThroat, actual),
        (Reading::EffectiveThroat, effective),
    ] {
        match way {
            Some(way) => {
                r.set(reading, way.length);
                ways.push((reading, way));
            }
            None => r.absent(reading, not_fused),
        }
    }
    ways
}

fn lengths_fused(fillet: &Fillet, base: &Track, root: Option<f64>, r: &mut Readings) {
    let upright = depth::in_upright(fillet);
    match upright {
        Some(d) => r.set(Reading::FusionDepthUpright, d),
        None => r.absent(Reading::FusionDepthUpright, "the upright is not fused at mid-leg"),
    }
    // Pockets in a leg carry nothing; penetration counts only where it is joined to the corner.
    r.set(Reading::FusedLengthBase, base.fused_length() + root.unwrap_or(0.0));
    if let Some(track) = &fillet.upright {
        r.set(Reading::FusedLengthUpright, track.fused_length() + upright.unwrap_or(0.0));
    }
}

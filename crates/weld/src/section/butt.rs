//! Readings of a butt joint, welded from one side or from both.
//!
//! ```text
//!        ╭──┬──╮ top weld
//!   ─────╲──│──╱─────          penetration: along the joint line, fused without a break from that surface
//!          ╲│╱                 greatest depth: anywhere; a missed seam has depth without penetration
//!           ┆  unfused land
//!          ╱│╲                 overlap: both penetrations less the length of the joint line; negative: land
//!   ─────╱──│──╲─────
//!        ╰──┴──╯ bottom weld
//! ```
//!
//! The joint line is counted only where both plates face each other: from the lower of the two top surfaces to the
//! higher of the two bottom surfaces. With a gap it is a slot, and fused means on both lips. Where the face lies below
//! the surface, the fused stretch begins at the face.
//!
//! Throat of the joint: what is fused of the joint line from the two surfaces without a break, excess weld metal not
//! counted; when the stretches do not meet, both carry and the land between them carries nothing.
//!
//! Cracks and lack-of-fusion lines inside a zone break the joint line over the height that they take up on it, for a
//! load across the joint does not pass beside them. A crack over the fused stretch leaves that side without a throat.
//!
//! Source of the words: [`AWS_A3_0_TERMS`](crate::source::AWS_A3_0_TERMS), number 507 of
//! [`ISO_6520_1`](crate::source::ISO_6520_1).
//! Not covered: bevels (the joint line is one straight line), a joint line that never was straight.

use super::area::{self, Areas};
use super::joint_line::JointLine;
use super::outline::{centroid, contains, crossing, extent};
use super::zone::Zone;
use super::{
    Butt, Dimensioned, Face, Fused, JointReading, Point, Section, SectionError, SectionReading,
    Side, WeldReading,
};
use crate::reading::{Answer, Reading, Readings};

/// The joint line where both plates face each other.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Shared {
    top: Point,
    down: Point,
    /// Known when the bottom surfaces are.
    length: Option<f64>,
}

/// A fused stretch of the joint line, from the surface of its own weld.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
struct Stretch {
    /// Where metal begins below the surface (an underfilled face).
    from: f64,
    /// The weld root.
    to: f64,
    /// A crack lies in the zone over this stretch.
    cracked: bool,
}

/// Reads a butt joint.
///
/// # Errors
///
/// When sides are named that do not fit, or an outline lies in the air.
pub fn read(section: &Section, butt: &Butt) -> Result<SectionReading, SectionError> {
    let welds = &section.fused;
    for fused in welds {
        let fits = match fused.side {
            Side::Only => welds.len() == 1,
            Side::Top | Side::Bottom => true,
            Side::Left | Side::Right => false,
        };
        if !fits {
            return Err(SectionError::Sides {
                found: format!(
                    "a butt joint with {} weld(s) has no '{}' weld",
                    welds.len(),
                    fused.side.word()
                ),
            });
        }
        if welds.iter().filter(|other| other.side == fused.side).count() > 1 {
            return Err(SectionError::Sides {
                found: format!("two fused outlines are given for the {} side", fused.side.word()),
            });
        }
        in_the_air(fused, butt)?;
    }
    if welds.iter().any(|f| f.side == Side::Bottom) && butt.bottom.is_none() {
        return Err(SectionError::Sides {
            found: "a bottom weld is outlined, but the bottom surface is not marked".to_owned(),
        });
    }
    let shared = shared_line(butt);
    let mut stretches = Vec::new();
    let mut out = Vec::new();
    for fused in welds {
        let (weld, stretch) = one_weld(section, butt, fused, shared);
        stretches.push((fused.side, stretch));
        out.push(weld);
    }
    let joint = judge(butt, shared, &stretches);
    Ok(SectionReading { welds: out, joint })
}

fn in_the_air(fused: &Fused, butt: &Butt) -> Result<(), SectionError> {
    let slack = 1e-9 * extent(&fused.outline);
    let above = |faces: &[Face; 2], sign: f64| {
        let over = |p: &Point| faces.map(|f| sign * f.along.cross(*p - f.at));
        fused.outline.iter().flat_map(over).fold(f64::INFINITY, f64::min)
    };
    let away = match (fused.side, &butt.bottom) {
        (Side::Bottom, Some(bottom)) => above(bottom, -1.0),
        _ => above(&butt.top, 1.0),
    };
    if away > slack {
        return Err(SectionError::InTheAir { weld: fused.side.word(), away });
    }
    Ok(())
}

fn shared_line(butt: &Butt) -> Option<Shared> {
    let [a, b] = butt.joint_line?;
    let down = (b - a).unit()?;
    let meets = |face: &Face| {
        let det = down.cross(face.along);
        (det.abs() > 1e-9).then(|| (face.at - a).cross(face.along) / det)
    };
    let of = |faces: &[Face; 2], pick: fn(f64, f64) -> f64| {
        Some(pick(meets(&faces[0])?, meets(&faces[1])?))
    };
    let from = of(&butt.top, f64::max)?;
    let length = butt.bottom.as_ref().and_then(|bottom| of(bottom, f64::min)).map(|to| to - from);
    Some(Shared { top: a + down * from, down, length })
}

fn one_weld(
    section: &Section,
    butt: &Butt,
    fused: &Fused,
    shared: Option<Shared>,
) -> (WeldReading, Option<Stretch>) {
    let turned = fused.side == Side::Bottom;
    // The far weld is turned over: y changes sign, and with it the faces.
    let flip = |p: Point| if turned { Point::new(p.x, -p.y) } else { p };
    let flip_face = |f: Face| Face { at: flip(f.at), along: flip(f.along) };
    let faces = match (turned, butt.bottom) {
        (true, Some(bottom)) => bottom.map(flip_face),
        _ => butt.top,
    };
    let outline: Vec<Point> = fused.outline.iter().map(|&p| flip(p)).collect();
    let start = shared.map(|s| match (turned, s.length) {
        (true, Some(length)) => flip(s.top + s.down * length),
        _ => s.top,
    });
    let down = shared.map(|s| if turned { flip(s.down * -1.0) } else { s.down });
    let zone = Zone::new(&outline, faces, start.map(|p| p.x), section.doubt);

    let (mut r, mut remarks) = (Readings::default(), Vec::new());
    let lost = zone.enter(&mut r, &mut remarks);
    Areas {
        fused: super::outline::area(&fused.outline),
        melted_parent: area::in_butt(&fused.outline, butt),
        lost,
        pores: area::pores_in(&fused.outline, &section.pores),
    }
    .enter(&mut r);
    root_excess(&mut r, butt, fused, turned);

    let mut dimensions = Vec::new();
    let stretch = match (start, down) {
        (Some(start), Some(down)) => {
            let stretch = fused_stretch(
                section,
                butt,
                &zone,
                flip,
                start,
                down,
                shared.and_then(|s| s.length),
            );
            let below = centroid(&zone.outline);
            let across = down.left();
            // Along the surface, positive towards +x of the section.
            r.set(Reading::AimOffset, (below - start).dot(across));
            match &stretch {
                Some(s) => {
                    r.set(Reading::Penetration, s.to);
                    dimensions.push(Dimensioned {
                        reading: Reading::Penetration,
                        from: flip(start),
                        to: flip(start + down * s.to),
                    });
                }
                None => {
                    r.set(Reading::Penetration, 0.0);
                    remarks.push(format!(
                        "missed seam: the zone is {:.2} mm deep, but the joint line is not fused from this surface",
                        zone.depth()
                    ));
                }
            }
            Some(stretch.unwrap_or_default())
        }
        _ => {
            let reason = "the joint line is not marked: a fully fused butt shows none, and witness lines scribed at a known offset before welding would give it";
            r.absent(Reading::Penetration, reason);
            r.absent(Reading::AimOffset, reason);
            None
        }
    };
    if let [Some(left), Some(right)] = zone.toes {
        dimensions.push(Dimensioned {
            reading: Reading::WidthSurface,
            from: flip(left.at),
            to: flip(right.at),
        });
    }
    (WeldReading { side: fused.side, readings: r, dimensions, remarks }, stretch)
}

/// How far a zone stands out of the far surface.
fn root_excess(r: &mut Readings, butt: &Butt, fused: &Fused, turned: bool) {
    let far = if turned { Some(butt.top) } else { butt.bottom };
    let Some(far) = far else {
        r.absent(Reading::RootExcess, "the far surface is not marked");
        return;
    };
    let sign = if turned { 1.0 } else { -1.0 };
    let out = |p: &Point| {
        let [a, b] = far.map(|f| sign * f.along.cross(*p - f.at));
        a.min(b)
    };
    r.set(Reading::RootExcess, fused.outline.iter().map(out).fold(0.0, f64::max));
}

/// The stretch of joint line fused from the weld's own surface, in the view where that surface is up.
fn fused_stretch(
    section: &Section,
    butt: &Butt,
    zone: &Zone,
    flip: impl Fn(Point) -> Point,
    start: Point,
    down: Point,
    length: Option<f64>,
) -> Option<Stretch> {
    let across = down.left();
    let view = |p: Point| Point::new((p - start).dot(down), (p - start).dot(across));
    let outline: Vec<Point> = zone.outline.iter().map(|&p| view(p)).collect();
    let lines = |list: &[Vec<Point>]| -> Vec<Vec<Point>> {
        list.iter().map(|l| l.iter().map(|&p| view(flip(p))).collect()).collect()
    };
    let inside = |line: &Vec<Point>| line.iter().any(|&p| contains(&outline, p, section.doubt));
    // A line inside the zone takes its height off the joint line, wherever across the zone it lies.
    let shadow = |line: &Vec<Point>| {
        let s = line.iter().map(|p| p.x);
        let (low, high) =
            (s.clone().fold(f64::INFINITY, f64::min), s.fold(f64::NEG_INFINITY, f64::max));
        vec![Point::new(low, 0.0), Point::new(high, 0.0)]
    };
    let cracks: Vec<Vec<Point>> = lines(&section.cracks).into_iter().filter(inside).collect();
    let mut breaks = lines(&section.unfused);
    breaks.extend(breaks.clone().iter().filter(|l| inside(l)).map(shadow));
    let mut with_cracks = breaks.clone();
    with_cracks.extend(cracks.iter().map(shadow));
    let pores = lines(&section.pores);
    let face: Vec<Point> = zone.face_or_top().into_iter().map(&view).collect();
    let end = length.unwrap_or(f64::INFINITY);
    // Where the face cuts the joint line: metal begins there when it is below the surface; in a gap on the deeper lip.
    let on = |height: f64| {
        let (from, to) = (Point::new(-1e6, height), Point::new(1e6, height));
        let cut =
            |w: &[Point]| crossing(from, to, w[0], w[1]).map(|(_, u)| w[0].towards(w[1], u).x);
        face.windows(2).filter_map(cut).fold(0.0, f64::max)
    };
    let begin = [-0.5, 0.0, 0.5].into_iter().map(|s| on(s * butt.gap)).fold(0.0, f64::max);
    let line = |breaks: &[Vec<Point>]| {
        let joint = JointLine {
            outline: &outline,
            breaks,
            pores: &pores,
            low: -0.5 * butt.gap,
            high: 0.5 * butt.gap,
            length: end,
            touching_below: false,
            doubt: section.doubt,
        };
        let slack = section.doubt.max(1e-9 * extent(&outline));
        joint.fused().holding(begin, slack).map(|(_, to)| to)
    };
    let whole = line(&breaks)?;
    let to = line(&with_cracks).unwrap_or(begin);
    Some(Stretch { from: begin, to, cracked: to < whole })
}

fn judge(
    butt: &Butt,
    shared: Option<Shared>,
    stretches: &[(Side, Option<Stretch>)],
) -> JointReading {
    let mut joint = JointReading::default();
    let [left, right] = butt.top;
    let at = shared.map_or(0.0, |s| s.top.x);
    let offset = |faces: &[Face; 2], x: f64| (faces[0].height_at(x) - faces[1].height_at(x)).abs();
    let top = offset(&[left, right], at);
    // Plates of two thicknesses are meant flush on one face, so the smaller offset is the fault.
    joint.misalignment = Some(butt.bottom.as_ref().map_or(top, |b| top.min(offset(b, at))));

    let stretches: Option<Vec<(Side, Stretch)>> =
        stretches.iter().map(|(side, s)| s.map(|s| (*side, s))).collect();
    let (Some(shared), Some(stretches)) = (shared, stretches) else {
        let reason = "the joint line is not marked";
        for name in ["throat_mm", "overlap_mm", "unfused_land_mm"] {
            joint.absent.push((name, reason.to_owned()));
        }
        joint.complete_penetration = Some(Answer::CannotSay);
        joint.remarks.push(
            "complete penetration: cannot say, for the joint line is not marked; witness lines scribed at a known offset before welding may give it"
                .to_owned(),
        );
        return joint;
    };
    let fused: f64 = stretches.iter().map(|(_, s)| s.to).sum();
    let lengths: f64 = stretches.iter().map(|(_, s)| s.to - s.from).sum();
    let hollow: f64 = stretches.iter().map(|(_, s)| s.from).sum();
    if stretches.iter().any(|(_, s)| s.cracked) {
        joint.absent.push((
            "throat_mm",
            "a crack lies in the zone over the fused joint line: there is no throat".to_owned(),
        ));
    } else {
        joint.throat = Some(shared.length.map_or(lengths, |l| lengths.min((l - hollow).max(0.0))));
    }
    match shared.length {
        Some(length) => {
            let overlap = fused - length;
            let slack = 1e-9 * length;
            joint.overlap = Some(overlap);
            joint.unfused_land = Some((-overlap).max(0.0));
            joint.complete_penetration =
                Some(if overlap >= -slack { Answer::Yes } else { Answer::No });
            if overlap < -slack {
                let upper = stretches
                    .iter()
                    .filter(|(side, _)| *side != Side::Bottom)
                    .map(|(_, s)| s.to)
                    .sum::<f64>();
                joint.remarks.push(format!(
                    "unfused land of {:.2} mm, from {upper:.2} to {:.2} mm below the top surface",
                    -overlap,
                    upper - overlap
                ));
            }
        }
        None => {
            let reason = "the bottom surface is not marked";
            joint.absent.push(("overlap_mm", reason.to_owned()));
            joint.absent.push(("unfused_land_mm", reason.to_owned()));
            joint.complete_penetration = Some(Answer::CannotSay);
        }
    }
    joint
}

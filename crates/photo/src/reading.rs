//! Reads a marked photograph: outlines traced, laid into the section's frame, measured, each with its uncertainty.
//!
//! ```text
//!   marks ── scale ──┐
//!         ── trace ──┼── lay ── weld::section::read ── values
//!         ── plates ─┘     └── 1000 draws (crate::doubt) ── u
//! ```
//!
//! The values come from the marks as they stand; the draws give the standard uncertainty u of each, and how often an
//! answer of yes or no would turn: an answer that holds in fewer than 97.5 % of the draws is 'cannot say'.
//! `u_shared` is the part of u that every photo of one scale has in common.
//!
//! Draws are numbered, and each has its own random stream, so the result does not depend on the number of threads.
//!
//! Source: [`JCGM_101`](weld::source::JCGM_101); see [`crate::doubt`] for what is drawn and what is not covered.

use crate::decode::Photo;
use crate::doubt::{Doubt, Loose, PLATE_POINT_PX, draw_plates, normals};
use crate::lay::{Frame, LayError, LinePx, lay};
use crate::marks::{Kind, Marks, OutlineMark, Px};
use crate::pyramid::{PictureError, Plane, Pyramid};
use crate::scale::{Scale, ScaleError, ScaleMark, combine, resampled_hint};
use crate::trace::{Along, Asked, Follow, Outline, Shape, TraceError, trace};
use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;
use rayon::prelude::*;
use weld::reading::{Answer, Reading, Readings};
use weld::section::{
    Dimensioned, JointReading, SectionError, SectionReading, Side, measure, read as read_section,
};

/// Draws of the Monte Carlo.
pub const DRAWS: usize = 1000;
/// How closely a hand sets a point of an outline that is taken as given, standard uncertainty in pixels. Common practice.
pub const HAND_POINT_PX: f64 = 1.5;
/// An answer is given when at least this share of the draws gives it.
const SURE: f64 = 0.975;

/// A value with its uncertainty, in the unit of its name.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Value {
    /// The value.
    pub value: f64,
    /// Standard uncertainty.
    pub u: f64,
    /// The part of it common to all photos of one scale.
    pub u_shared: f64,
}

/// An outline as read.
#[derive(Clone, Debug, PartialEq)]
pub struct OutlineRead {
    /// What it is of.
    pub kind: Kind,
    /// The weld it belongs to.
    pub side: Option<Side>,
    /// Its points on the photo, pixels.
    pub px: Vec<Px>,
    /// The same in the section's frame, mm (a left weld's not mirrored).
    pub mm: Vec<[f64; 2]>,
    /// Standard uncertainty of each point across the line, mm.
    pub u_mm: Vec<f64>,
}

/// What one weld shows.
#[derive(Clone, Debug, PartialEq)]
pub struct WeldRead {
    /// Which weld.
    pub side: Side,
    /// It is looked at mirrored, so that the weld lies right of the upright.
    pub mirrored: bool,
    /// Readings with their uncertainty, in printing order.
    pub values: Vec<(Reading, Value)>,
    /// Readings that are not there, and why.
    pub absent: Vec<(Reading, String)>,
    /// Where readings were taken.
    pub dimensions: Vec<Dimensioned>,
    /// Things the reader must know.
    pub remarks: Vec<String>,
}

/// What the joint shows.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct JointRead {
    /// Named lengths with their uncertainty, mm.
    pub values: Vec<(&'static str, Value)>,
    /// Named answers.
    pub answers: Vec<(&'static str, Answer)>,
    /// What is not there, and why.
    pub absent: Vec<(&'static str, String)>,
    /// Things the reader must know.
    pub remarks: Vec<String>,
}

/// A photograph read.
#[derive(Clone, Debug)]
pub struct Read {
    /// The scale and its parts.
    pub scale: Scale,
    /// The way from pixels to the section.
    pub frame: Frame,
    /// The outlines, in the order of the marks.
    pub outlines: Vec<OutlineRead>,
    /// One a weld.
    pub welds: Vec<WeldRead>,
    /// The joint as a whole.
    pub joint: JointRead,
    /// Remarks on photo, scale and outlines.
    pub remarks: Vec<String>,
}

/// Why a marked photograph cannot be read.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum ReadError {
    /// The picture is unusable.
    #[error("{0}")]
    Picture(#[from] PictureError),
    /// The scale is.
    #[error("{0}")]
    Scale(#[from] ScaleError),
    /// An outline is.
    #[error("{kind} outline number {number}: {error}")]
    Trace {
        /// What it is of.
        kind: &'static str,
        /// Which of its kind, from 1.
        number: usize,
        /// What is wrong.
        error: TraceError,
    },
    /// A plate point lies outside the photo.
    #[error(
        "plates.{field} has a point at ({x:.1}, {y:.1}), outside the photo of {width} x {height} pixels"
    )]
    PlateOutside {
        /// The field.
        field: &'static str,
        /// Column.
        x: f64,
        /// Row.
        y: f64,
        /// Columns of the photo.
        width: u32,
        /// Rows of the photo.
        height: u32,
    },
    /// A plate length cannot be.
    #[error("plates.{field} is {value} mm, which is not a usable length")]
    PlateLength {
        /// The field.
        field: &'static str,
        /// The value.
        value: f64,
    },
    /// The cut's angle is out of range.
    #[error("cut.{field} is {degrees} degrees, and a cut can be corrected up to 45")]
    CutAngle {
        /// The field.
        field: &'static str,
        /// The angle.
        degrees: f64,
    },
    /// The plates do not fit.
    #[error("{0}")]
    Lay(#[from] LayError),
    /// The section does not.
    #[error("{0}")]
    Section(#[from] SectionError),
}

impl ReadError {
    /// What to do about it.
    #[must_use]
    pub fn advice(&self) -> &'static str {
        match self {
            Self::Picture(e) => e.advice(),
            Self::Scale(e) => e.advice(),
            Self::Trace { error, .. } => error.advice(),
            Self::PlateOutside { .. } => {
                "set plate points inside the photo: x from the left, y from the top, counted from 0 after the EXIF turn"
            }
            Self::PlateLength { .. } => "give the measured length with its unit, such as \"5 mm\"",
            Self::CutAngle { .. } => {
                "cut a new section square to the seam, or give the angle measured on this one"
            }
            Self::Lay(e) => e.advice(),
            Self::Section(e) => e.advice(),
        }
    }
}

/// Reads a marked photograph. `seed` fixes the draws; take it from the photo's hash.
///
/// # Errors
///
/// When scale, outlines or plates do not make a section.
pub fn read(photo: &Photo, marks: &Marks, seed: u64) -> Result<Read, ReadError> {
    check_plates(photo, marks)?;
    let scale = combine(&marks.scale, photo.width, photo.height)?;
    let pyramid = Pyramid::new(Plane {
        width: photo.width as usize,
        height: photo.height as usize,
        px: photo.lightness.clone(),
    })?;
    let traced = trace_all(&pyramid, marks)?;
    let mut remarks = photo_remarks(photo, marks, &scale);
    for (mark, outline) in marks.outlines.iter().zip(&traced) {
        remarks
            .extend(outline.remarks.iter().map(|r| format!("{} outline: {r}", mark.kind.word())));
    }
    let lines: Vec<LinePx> =
        marks.outlines.iter().zip(&traced).map(|(mark, outline)| line_of(mark, outline)).collect();
    let doubt_mm = doubt_of(marks, &traced) * scale.mm_per_px;
    let laid = lay(marks, &marks.plates, &lines, scale.mm_per_px, doubt_mm)?;
    let nominal = read_section(&laid.section)?;

    let loose: Vec<Loose> = marks
        .outlines
        .iter()
        .zip(&traced)
        .zip(&lines)
        .map(|((mark, outline), line)| loosen(mark, outline, line))
        .collect();
    let draws = draw(marks, &loose, &scale, doubt_mm, seed, DRAWS);

    let outlines = lines
        .iter()
        .zip(&traced)
        .map(|(line, outline)| OutlineRead {
            kind: line.kind,
            side: line.side,
            mm: line
                .px
                .iter()
                .map(|&p| {
                    let q = laid.frame.section_from_px(p);
                    [q.x, q.y]
                })
                .collect(),
            u_mm: if line.exact {
                vec![HAND_POINT_PX * scale.mm_per_px; line.px.len()]
            } else {
                outline.u_px.iter().map(|u| u * scale.mm_per_px).collect()
            },
            px: line.px.clone(),
        })
        .collect();
    let fused_sides: Vec<Option<Side>> =
        lines.iter().filter(|l| l.kind == Kind::Fused).map(|l| l.side).collect();
    let welds = nominal
        .welds
        .iter()
        .enumerate()
        .map(|(i, weld)| WeldRead {
            side: fused_sides.get(i).copied().flatten().unwrap_or(weld.side),
            mirrored: laid.frame.mirrored != (weld.side == Side::Left),
            values: values(&weld.readings, &draws, i, &scale, marks.etched),
            absent: absent(&weld.readings, marks.etched),
            dimensions: weld.dimensions.clone(),
            remarks: weld_remarks(weld.remarks.clone(), &weld.readings, &draws, i),
        })
        .collect();
    Ok(Read {
        joint: joint(&nominal.joint, &draws, &scale, marks.etched),
        frame: laid.frame,
        scale,
        outlines,
        welds,
        remarks,
    })
}

/// What it takes to time the draws apart from the rest: see the benchmark.
pub mod bench {
    use super::*;

    /// Everything that one draw needs.
    pub struct Prepared {
        marks: Marks,
        loose: Vec<Loose>,
        scale: Scale,
        doubt_mm: f64,
    }

    /// Traces and prepares.
    ///
    /// # Errors
    ///
    /// As [`read`].
    pub fn prepare(photo: &Photo, marks: &Marks) -> Result<Prepared, ReadError> {
        let scale = combine(&marks.scale, photo.width, photo.height)?;
        let pyramid = Pyramid::new(Plane {
            width: photo.width as usize,
            height: photo.height as usize,
            px: photo.lightness.clone(),
        })?;
        let traced = trace_all(&pyramid, marks)?;
        let loose = marks
            .outlines
            .iter()
            .zip(&traced)
            .map(|(mark, outline)| loosen(mark, outline, &line_of(mark, outline)))
            .collect();
        let doubt_mm = doubt_of(marks, &traced) * scale.mm_per_px;
        Ok(Prepared { marks: marks.clone(), loose, scale, doubt_mm })
    }

    /// Draws so often; how many could be read.
    #[must_use]
    pub fn draws(prepared: &Prepared, count: usize) -> usize {
        draw(&prepared.marks, &prepared.loose, &prepared.scale, prepared.doubt_mm, 1, count).len()
    }
}

fn check_plates(photo: &Photo, marks: &Marks) -> Result<(), ReadError> {
    let (width, height) = (photo.width, photo.height);
    let p = &marks.plates;
    let metal: Vec<Px> = p.metal.into_iter().collect();
    for (field, points) in [
        ("surface", &p.surface),
        ("bottom", &p.bottom),
        ("joint_line", &p.joint_line),
        ("base", &p.base),
        ("upright", &p.upright),
        ("upright_left", &p.upright_left),
        ("upright_right", &p.upright_right),
        ("upright_far", &p.upright_far),
        ("metal", &metal),
    ] {
        for &[x, y] in points {
            let inside = |v: f64, side: u32| (-0.5..=f64::from(side) - 0.5).contains(&v);
            if !(inside(x, width) && inside(y, height)) {
                return Err(ReadError::PlateOutside { field, x, y, width, height });
            }
        }
    }
    for (field, value) in
        [("upright_thickness", p.upright_thickness_mm), ("base_thickness", p.base_thickness_mm)]
    {
        if let Some(value) = value
            && !(value.is_finite() && value > 0.0)
        {
            return Err(ReadError::PlateLength { field, value });
        }
    }
    if !(p.gap_mm.is_finite() && p.gap_mm >= 0.0) {
        return Err(ReadError::PlateLength { field: "gap", value: p.gap_mm });
    }
    for (field, degrees) in [
        ("yaw", Some(marks.cut.yaw_deg)),
        ("pitch", Some(marks.cut.pitch_deg)),
        ("yaw_within", marks.cut.yaw_within_deg),
    ] {
        if let Some(degrees) = degrees
            && !(degrees.abs() <= 45.0)
        {
            return Err(ReadError::CutAngle { field, degrees });
        }
    }
    Ok(())
}

fn photo_remarks(photo: &Photo, marks: &Marks, scale: &Scale) -> Vec<String> {
    let mut remarks = photo.remarks.clone();
    remarks.extend(scale.remarks.iter().cloned());
    // Only a value per pixel is void once a picture has been resampled; marked points go with it.
    if marks.scale.iter().any(|mark| matches!(mark, ScaleMark::PerPixel { .. })) {
        remarks.extend(resampled_hint(photo));
    }
    if !marks.etched {
        remarks.push(
            "the face is not etched: there is no fusion line to see, so nothing that lies inside the metal is read"
                .to_owned(),
        );
    }
    if let Some(within) = marks.cut.yaw_within_deg {
        remarks.push(format!(
            "the cut's yaw is only known to be within {within} degrees: distances across the seam are given at their low end (times {:.4})",
            within.to_radians().cos()
        ));
    }
    remarks
}

fn trace_all(pyramid: &Pyramid, marks: &Marks) -> Result<Vec<Outline>, ReadError> {
    let mut counted: Vec<(Kind, usize)> = Vec::new();
    let mut out = Vec::with_capacity(marks.outlines.len());
    for mark in &marks.outlines {
        let number = 1 + counted.iter().filter(|(kind, _)| *kind == mark.kind).count();
        counted.push((mark.kind, number));
        let asked = Asked {
            points: &mark.points,
            hold: &mark.hold,
            follow: mark.follow,
            along: Along::Middle,
            shape: if mark.kind.is_closed() { Shape::Closed } else { Shape::Open },
        };
        let outline = trace(pyramid, &asked).map_err(|error| ReadError::Trace {
            kind: mark.kind.word(),
            number,
            error,
        })?;
        out.push(outline);
    }
    Ok(out)
}

/// A straight outline is exact geometry: the set points and nothing between them.
fn line_of(mark: &OutlineMark, outline: &Outline) -> LinePx {
    let exact = mark.follow == Follow::Straight;
    let px = if exact { mark.points.clone() } else { outline.px.clone() };
    LinePx { kind: mark.kind, side: mark.side, px, exact }
}

fn loosen(mark: &OutlineMark, outline: &Outline, line: &LinePx) -> Loose {
    if line.exact {
        let n = line.px.len();
        let all: Vec<usize> = (0..n).collect();
        return Loose::new(
            line,
            &Doubt {
                u_px: &vec![HAND_POINT_PX; n],
                at_mount: &vec![true; n],
                corners: &all,
                half_width_px: 0.0,
                correlation_px: perimeter(&mark.points) / n.max(1) as f64,
            },
        );
    }
    Loose::new(
        line,
        &Doubt {
            u_px: &outline.u_px,
            at_mount: &outline.at_mount,
            corners: &outline.corners,
            half_width_px: outline.line_half_width_px.unwrap_or(0.0),
            correlation_px: 0.0,
        },
    )
}

fn perimeter(points: &[Px]) -> f64 {
    (0..points.len())
        .map(|i| {
            let (a, b) = (points[i], points[(i + 1) % points.len()]);
            (b[0] - a[0]).hypot(b[1] - a[1])
        })
        .sum()
}

/// How near two lines may be and still be told apart, pixels: twice the joint uncertainty of outline and plate.
fn doubt_of(marks: &Marks, traced: &[Outline]) -> f64 {
    let mut u: Vec<f64> = marks
        .outlines
        .iter()
        .zip(traced)
        .filter(|(mark, _)| mark.kind == Kind::Fused)
        .flat_map(|(mark, outline)| match mark.follow {
            Follow::Straight => vec![HAND_POINT_PX],
            Follow::Guided => outline.u_px.clone(),
        })
        .collect();
    u.sort_by(f64::total_cmp);
    let typical = u.get(u.len() / 2).copied().unwrap_or(HAND_POINT_PX);
    2.0 * typical.hypot(PLATE_POINT_PX)
}

fn draw(
    marks: &Marks,
    loose: &[Loose],
    scale: &Scale,
    doubt_mm: f64,
    seed: u64,
    count: usize,
) -> Vec<SectionReading> {
    (0..count as u64)
        .into_par_iter()
        .filter_map(|number| {
            let mut rng = ChaCha8Rng::seed_from_u64(seed);
            rng.set_stream(number);
            let [z, _] = normals(&mut rng);
            let mm_per_px = scale.mm_per_px * (1.0 + scale.u_rel * z);
            let plates = draw_plates(&marks.plates, &mut rng);
            let lines: Vec<LinePx> = loose.iter().map(|l| l.draw(&mut rng)).collect();
            let laid = lay(marks, &plates, &lines, mm_per_px, doubt_mm).ok()?;
            measure(&laid.section).ok()
        })
        .collect()
}

/// Standard deviation; `None` for fewer than two numbers.
fn spread(numbers: impl Iterator<Item = f64> + Clone) -> Option<f64> {
    let n = numbers.clone().count();
    if n < 2 {
        return None;
    }
    let mean = numbers.clone().sum::<f64>() / n as f64;
    Some((numbers.map(|x| (x - mean) * (x - mean)).sum::<f64>() / (n - 1) as f64).sqrt())
}

fn values(
    nominal: &Readings,
    draws: &[SectionReading],
    weld: usize,
    scale: &Scale,
    etched: bool,
) -> Vec<(Reading, Value)> {
    nominal
        .iter()
        .filter(|(reading, _)| etched || shows_unetched(*reading))
        .filter_map(|(reading, slot)| {
            let value = *slot.as_ref().ok()?;
            let of = draws.iter().filter_map(|d| d.welds.get(weld)?.readings.get(reading));
            let shared =
                value.abs() * scale.u_rel * f64::from(reading.dimension().power_of_scale());
            let u = spread(of).unwrap_or(0.0);
            Some((reading, Value { value, u: u.max(shared), u_shared: shared }))
        })
        .collect()
}

/// Readings that the outside of a weld shows, etched or not.
fn shows_unetched(reading: Reading) -> bool {
    matches!(
        reading,
        Reading::WidthSurface
            | Reading::Height
            | Reading::Underfill
            | Reading::LegBase
            | Reading::LegUpright
            | Reading::NetLegUpright
            | Reading::Convexity
            | Reading::ToeAngleBase
            | Reading::ToeAngleUpright
            | Reading::UndercutBase
            | Reading::UndercutUpright
            | Reading::Undercut
    )
}

fn absent(nominal: &Readings, etched: bool) -> Vec<(Reading, String)> {
    nominal
        .iter()
        .filter_map(|(reading, slot)| match slot {
            Err(why) => Some((reading, why.reason.clone())),
            Ok(_) if !etched && !shows_unetched(reading) => {
                Some((reading, "the face is not etched, so no fusion line is shown".to_owned()))
            }
            Ok(_) => None,
        })
        .collect()
}

fn weld_remarks(
    mut remarks: Vec<String>,
    nominal: &Readings,
    draws: &[SectionReading],
    weld: usize,
) -> Vec<String> {
    if draws.len() * 100 < DRAWS * 95 {
        remarks.push(format!(
            "only {} of {DRAWS} draws within the uncertainties could be read: the marks are near to no section at all",
            draws.len()
        ));
    }
    let key = if nominal.slot(Reading::EffectiveThroat).is_some() {
        Reading::EffectiveThroat
    } else {
        Reading::Penetration
    };
    for reading in [key, Reading::RootPenetration] {
        let Some(slot) = nominal.slot(reading) else { continue };
        let present = draws
            .iter()
            .filter(|d| d.welds.get(weld).is_some_and(|w| w.readings.get(reading).is_some()))
            .count();
        let share = present as f64 / draws.len().max(1) as f64;
        if slot.is_ok() && share < SURE {
            remarks.push(format!(
                "{} is absent in {:.0} % of the draws within the uncertainties",
                reading.words(),
                100.0 * (1.0 - share)
            ));
        } else if slot.is_err() && share > 1.0 - SURE {
            remarks.push(format!(
                "{} would be there in {:.0} % of the draws within the uncertainties",
                reading.words(),
                100.0 * share
            ));
        }
    }
    remarks
}

fn joint(
    nominal: &JointReading,
    draws: &[SectionReading],
    scale: &Scale,
    etched: bool,
) -> JointRead {
    let mut out = JointRead {
        absent: nominal.absent.clone(),
        remarks: nominal.remarks.clone(),
        ..JointRead::default()
    };
    type Length = fn(&JointReading) -> Option<f64>;
    let lengths: [(&'static str, Length, bool); 4] = [
        ("throat_mm", |j| j.throat, true),
        ("overlap_mm", |j| j.overlap, true),
        ("unfused_land_mm", |j| j.unfused_land, true),
        ("misalignment_mm", |j| j.misalignment, false),
    ];
    let unetched = "the face is not etched, so no fusion line is shown";
    for (name, get, inside) in lengths {
        let Some(value) = get(nominal) else { continue };
        if inside && !etched {
            out.absent.push((name, unetched.to_owned()));
            continue;
        }
        let shared = value.abs() * scale.u_rel;
        let u = spread(draws.iter().filter_map(|d| get(&d.joint))).unwrap_or(0.0);
        out.values.push((name, Value { value, u: u.max(shared), u_shared: shared }));
    }
    type Question = fn(&JointReading) -> Option<Answer>;
    let questions: [(&'static str, Question); 2] = [
        ("complete_penetration", |j| j.complete_penetration),
        ("full_penetration_by_4_7_3", |j| j.full_penetration_by_4_7_3),
    ];
    for (name, get) in questions {
        let Some(stands) = get(nominal) else { continue };
        let told = draws.iter().filter(|d| get(&d.joint) == Some(stands)).count();
        let sure = etched && told as f64 >= SURE * DRAWS as f64;
        out.answers.push((name, if sure { stands } else { Answer::CannotSay }));
    }
    out
}

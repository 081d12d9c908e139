//! Reads a marked photograph: outlines traced, laid into the section's frame, measured, each with its uncertainty.
//!
//! ```text
//!   marks ── scale, straighten ──┐
//!         ── trace ──────────────┼── lay ── weld::section::read ── values
//!         ── plates ─────────────┘     └── 1000 draws (crate::doubt) ── u, interval, what dominates
//! ```
//!
//! The values come from the marks as they stand; the draws give the standard uncertainty u of each, and how often an
//! answer of yes or no would turn: an answer that holds in fewer than 97.5 % of the draws is 'cannot say'.
//! `u_shared` is the part of u that every photo of one scale has in common.
//!
//! A guided outline follows a dark fusion line as a whole: how far beside its middle the boundary lies is weighed from the
//! line's own width and from where the person's points lie ([`crate::placing`]). A hand may count the line to the zone or not:
//! the one hand mask at hand lies on its steeper edge, drawn sections have their boundary in the middle.
//!
//! Draws are numbered, and each has its own random stream, so the result does not depend on the number of threads.
//!
//! Source: [`JCGM_101`](weld::source::JCGM_101); see [`crate::doubt`] for what is drawn and what is not covered.

use crate::astray;
use crate::decode::{Format, Photo};
use crate::doubt::{Contribution, Doubt, Geometry, Loose, PLATE_POINT_PX, Start, draw};
use crate::lay::{Laid, LayError, LinePx, View, lay};
use crate::marks::{Held, Kind, Marks, OutlineMark, PlateMarks, Px};
use crate::nested::{self, Beside};
use crate::placing;
use crate::pyramid::{
    PictureError, Plane, Pyramid, level_from_picture, picture_from_level, size_of_pixel,
};
use crate::scale::{PixelPoint, Scale, ScaleError, ScaleMark, combine, resampled_hint};
use crate::seen::{depth_in, judge};
use crate::straighten::{StraightenError, Straightened, straighten};
use crate::surface::{self, Instead};
use crate::toe;
use crate::trace::{Along, Asked, Follow, Outline, Remark, Shape, TraceError, trace};
use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;
use rayon::prelude::*;
use weld::quantity::show::given;
use weld::reading::{Answer, Reading, Readings};
use weld::section::outline;
use weld::section::{
    Dimensioned, Face, JointReading, Plates, Point, SectionError, SectionReading, Side,
    WeldReading, measure, read as read_section, touching,
};

/// Draws of the Monte Carlo.
pub const DRAWS: usize = 1000;
/// Draws with one contribution frozen, to find what dominates.
pub const FROZEN_DRAWS: usize = 200;
/// How closely a hand sets a point of an outline that is taken as given, standard uncertainty in pixels. Common practice.
pub const HAND_POINT_PX: f64 = 1.5;
/// Relative standard uncertainty of the size of a straightened rectangle (a printed card or a ruled frame). Common
/// practice; the placing of its corners is drawn apart.
pub const RECTANGLE_U: f64 = 0.001;
/// A reading is given when at least this share of the draws has one.
const LEAST_PRESENT: f64 = 0.5;
/// Which part of a dark fusion line an outline follows.
const ALONG: Along = Along::Middle;
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
    /// Interval that holds the truth with 95 %, as wide above the value as below, save that a length ends at nothing.
    pub interval: [f64; 2],
    /// What was taken off the value because a noisy line has extremes that are too far out.
    pub correction: f64,
    /// The contribution that dominates, when there is any.
    pub mostly: Option<Contribution>,
    /// Share of the draws in which there is such a reading at all, 0 to 1.
    pub present: f64,
}

impl Value {
    /// Is there such a reading whatever the marks might as well have been?
    #[must_use]
    pub fn is_established(&self) -> bool {
        self.present >= SURE
    }

    /// Is the interval lopsided, so that it must be given instead of an expanded uncertainty?
    #[must_use]
    pub fn is_skewed(&self) -> bool {
        let (down, up) = (self.value - self.interval[0], self.interval[1] - self.value);
        (up - down).abs() > 0.25 * (up + down)
    }

    /// Half the interval: the expanded uncertainty U, for 95 %.
    #[must_use]
    pub fn expanded(&self) -> f64 {
        0.5 * (self.interval[1] - self.interval[0])
    }
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
    /// Why nothing inside the metal is read, where the tool sees no fusion line although the face was etched.
    pub refused: Option<String>,
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
    /// The way between the photo and the section.
    pub frame: View,
    /// How the photo was taken, stated or told from its camera entry.
    pub held: Held,
    /// The outlines, in the order of the marks.
    pub outlines: Vec<OutlineRead>,
    /// Second lines beside guided fused outlines, which may be the fusion line as well.
    pub beside: Vec<Beside>,
    /// The section as it was read, which the readings are of.
    pub section: weld::section::Section,
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
    #[error("plates.{field} is {} mm, which is not a usable length", given(*value))]
    PlateLength {
        /// The field.
        field: &'static str,
        /// The value.
        value: f64,
    },
    /// The cut's angle is out of range.
    #[error("cut.{field} is {degrees:.1} degrees, and a cut can be corrected up to 45")]
    CutAngle {
        /// The field.
        field: &'static str,
        /// The angle.
        degrees: f64,
    },
    /// The marked corners do not straighten.
    #[error("{0}")]
    Straighten(#[from] StraightenError),
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
            Self::Straighten(e) => e.advice(),
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
    let ready = Ready::of(photo, marks)?;
    let nominal = read_section(&ready.section)?;
    let doubts = Doubts::draw(&ready, marks, seed);
    let lines = &ready.lines;
    let to_mm = |p: Px| {
        let q = ready.view.section_from_px(p);
        [q.x, q.y]
    };
    let outlines = lines
        .iter()
        .zip(&ready.traced)
        .map(|(line, outline)| OutlineRead {
            kind: line.kind,
            side: line.side,
            mm: line.px.iter().map(|&p| to_mm(p)).collect(),
            u_mm: if line.exact {
                vec![HAND_POINT_PX * ready.scale.mm_per_px; line.px.len()]
            } else {
                outline.u_px.iter().map(|u| u * ready.scale.mm_per_px).collect()
            },
            px: line.px.clone(),
        })
        .collect();
    let fused_sides: Vec<Option<Side>> =
        lines.iter().filter(|l| l.kind == Kind::Fused).map(|l| l.side).collect();
    let shown = ready.shown(marks);
    let all_shown = shown.iter().find(|s| s.is_err()).cloned().unwrap_or(Ok(()));
    let welds = nominal
        .welds
        .iter()
        .enumerate()
        .map(|(i, weld)| {
            let (mut values, mut absent) = (Vec::new(), Vec::new());
            for (reading, got) in measured(&weld.readings, &doubts, i, &ready, &shown[i]) {
                match got {
                    Ok(value) => values.push((reading, value)),
                    Err(why) => absent.push((reading, why)),
                }
            }
            WeldRead {
                side: fused_sides.get(i).copied().flatten().unwrap_or(weld.side),
                mirrored: ready.view.frame.mirrored != (weld.side == Side::Left),
                values,
                absent,
                dimensions: weld.dimensions.clone(),
                refused: shown[i].clone().err().filter(|_| marks.etched),
                remarks: weld_remarks(weld.remarks.clone(), &weld.readings, &doubts.all, i),
            }
        })
        .collect();
    let second = ready.second_lines(marks);
    let beside = second.iter().map(|(_, second)| second.clone()).collect();
    Ok(Read {
        beside,
        joint: joint(&nominal.joint, &doubts, &ready, &all_shown),
        frame: ready.view,
        held: ready.held,
        remarks: photo_remarks(photo, marks, &ready, &second),
        scale: ready.scale,
        section: ready.section,
        outlines,
        welds,
    })
}

const NOT_ETCHED: &str = "the face is not etched, so no fusion line is shown";

/// A photograph traced, scaled and laid: everything before the draws.
struct Ready {
    scale: Scale,
    scale_marks: Vec<(ScaleMark, f64)>,
    held: Held,
    geometry: Geometry,
    size: [f64; 2],
    pyramid: Pyramid,
    traced: Vec<Outline>,
    lines: Vec<LinePx>,
    loose: Vec<Loose>,
    view: View,
    section: weld::section::Section,
    touching: Vec<[bool; 2]>,
    doubt_mm: f64,
}

impl Ready {
    fn of(photo: &Photo, marks: &Marks) -> Result<Self, ReadError> {
        check_plates(photo, marks)?;
        let straight = match &marks.corners {
            Some(corners) => Some(straighten(corners, photo.width, photo.height)?),
            None => None,
        };
        let (scale, scale_marks) = scale_of(photo, marks, straight.as_ref())?;
        let pyramid = Pyramid::new(Plane {
            width: photo.width as usize,
            height: photo.height as usize,
            px: photo.lightness.clone(),
        })?;
        let settle = |traced: &[Outline]| -> Result<(Vec<LinePx>, f64, Laid), ReadError> {
            let lines: Vec<LinePx> = marks
                .outlines
                .iter()
                .zip(traced)
                .map(|(mark, outline)| line_of(mark, outline))
                .collect();
            let doubt_mm = doubt_of(marks, traced) * scale.mm_per_px;
            let (plates, plane) = on_plane(&marks.plates, &lines, straight.as_ref());
            let laid = lay(marks, &plates, &plane, scale.mm_per_px, doubt_mm)?;
            Ok((lines, doubt_mm, laid))
        };
        let mut traced = trace_all(&pyramid, &marks.outlines)?;
        let (mut lines, mut doubt_mm, mut laid) = settle(&traced)?;
        let view = View { straight, frame: laid.frame };
        if let Some(outlines) = with_toes(&pyramid, marks, &traced, &laid, &view) {
            let again = trace_again(&pyramid, &outlines, &marks.outlines, &traced);
            if let Ok(settled) = settle(&again) {
                traced = again;
                (lines, doubt_mm, laid) = settled;
            }
        }
        let loose = marks
            .outlines
            .iter()
            .zip(&traced)
            .zip(&lines)
            .map(|((mark, outline), line)| loosen(mark, outline, line))
            .collect();
        // Phones and cameras write JPEG and sign it; a signed TIFF comes from a microscope's camera.
        let by_hand = photo.camera.is_named() && photo.format == Format::Jpeg;
        let told = if by_hand { Held::Hand } else { Held::Microscope };
        let held = marks.taken.held.unwrap_or(told);
        Ok(Self {
            scale,
            scale_marks,
            held,
            geometry: Geometry::of(&marks.taken, held),
            size: [f64::from(photo.width), f64::from(photo.height)],
            pyramid,
            traced,
            lines,
            loose,
            view: View { straight, frame: laid.frame },
            touching: touching(&laid.section).unwrap_or_default(),
            section: laid.section,
            doubt_mm,
        })
    }

    /// Does a place of the photo lie in the plates as they were?
    fn in_metal(&self, p: Px) -> bool {
        depth_in(&self.section.plates, self.view.section_from_px(p)) > 0.0
    }

    /// For each weld, in order: does the face show a fusion line at all, and if not, why nothing inside is read. An outline
    /// set by hand is never refused.
    fn shown(&self, marks: &Marks) -> Vec<Result<(), String>> {
        self.lines
            .iter()
            .zip(&self.traced)
            .filter(|(line, _)| line.kind == Kind::Fused)
            .map(|(line, outline)| {
                if !marks.etched {
                    return Err(NOT_ETCHED.to_owned());
                }
                if line.exact {
                    return Ok(());
                }
                let seen = judge(&self.pyramid, outline, |p| self.in_metal(p));
                if seen.line { Ok(()) } else { Err(seen.why) }
            })
            .collect()
    }

    /// The second line beside each guided fused outline, with the outline's number.
    fn second_lines(&self, marks: &Marks) -> Vec<(usize, Beside)> {
        (0..self.traced.len())
            .filter(|&i| marks.etched && self.lines[i].kind == Kind::Fused && !self.lines[i].exact)
            // An outline of the other line was set by hand, so the person has seen both.
            .filter(|_| marks.outlines.iter().all(|o| o.kind != Kind::Affected))
            .filter_map(|i| {
                Some((i, nested::beside(&self.pyramid, &self.traced[i], |p| self.in_metal(p))?))
            })
            .collect()
    }

    fn start<'a>(&'a self, marks: &'a Marks) -> Start<'a> {
        Start {
            plates: &marks.plates,
            lines: &self.loose,
            scale: &self.scale_marks,
            scale_u: self.scale.u_rel,
            mm_per_px: self.scale.mm_per_px,
            corners: marks.corners.as_ref(),
            geometry: self.geometry,
            size: self.size,
        }
    }
}

/// Plates and lines carried over to the straightened plane.
fn on_plane(
    plates: &PlateMarks,
    lines: &[LinePx],
    straight: Option<&Straightened>,
) -> (PlateMarks, Vec<LinePx>) {
    let mut plates = plates.clone();
    let mut lines = lines.to_vec();
    if let Some(s) = straight {
        for p in plates.faces_mut().into_iter().flatten() {
            *p = s.to_plane.map(*p);
        }
        plates.metal = plates.metal.map(|p| s.to_plane.map(p));
        for p in lines.iter_mut().flat_map(|l| &mut l.px) {
            *p = s.to_plane.map(*p);
        }
    }
    (plates, lines)
}

/// The scale, from the marks and from the size of a straightened rectangle, compared; each mark with its share.
fn scale_of(
    photo: &Photo,
    marks: &Marks,
    straight: Option<&Straightened>,
) -> Result<(Scale, Vec<(ScaleMark, f64)>), ReadError> {
    let shares = |scale: &Scale| {
        marks
            .scale
            .iter()
            .zip(&scale.parts)
            .map(|(mark, part)| (*mark, part.weight.unwrap_or(1.0)))
            .collect()
    };
    let Some(s) = straight else {
        let scale = combine(&marks.scale, photo.width, photo.height)?;
        let shares = shares(&scale);
        return Ok((scale, shares));
    };
    if !marks.scale.is_empty() {
        // Points are checked where they were set, on the photo.
        combine(&marks.scale, photo.width, photo.height)?;
    }
    let mut on_plane = marks.scale.clone();
    for mark in &mut on_plane {
        if let ScaleMark::TwoPoints { from, to, .. } | ScaleMark::Thickness { from, to, .. } = mark
        {
            let [a, b] = [&*from, &*to].map(|p| s.to_plane.map([p.x_px, p.y_px]));
            // Only their distance counts; the plane has no frame to lie outside of.
            let low = [a[0].min(b[0]), a[1].min(b[1])];
            let point = |p: Px| PixelPoint { x_px: p[0] - low[0], y_px: p[1] - low[1] };
            (*from, *to) = (point(a), point(b));
        }
    }
    on_plane.push(ScaleMark::PerPixel { mm_per_px: s.mm_per_px, u_rel: Some(RECTANGLE_U) });
    let scale = combine(&on_plane, u32::MAX, u32::MAX)?;
    let shares = shares(&scale);
    Ok((scale, shares))
}

/// What the draws gave.
struct Doubts {
    /// All contributions loose.
    all: Vec<Option<SectionReading>>,
    /// The first draws again, with one contribution frozen.
    frozen: Vec<(Contribution, Vec<Option<SectionReading>>)>,
}

impl Doubts {
    fn draw(ready: &Ready, marks: &Marks, seed: u64) -> Self {
        let all = draws(ready, marks, seed, DRAWS, None);
        let active = |c: &Contribution| match c {
            Contribution::Scale | Contribution::Plates | Contribution::Outline => true,
            Contribution::Way => ready.traced.iter().any(|t| !t.others.is_empty()),
            Contribution::FusionLine => ready.lines.iter().any(|l| !l.exact),
            Contribution::Plane => ready.geometry.plane > 0.0,
            Contribution::Square => ready.geometry.square > 0.0 && marks.corners.is_none(),
            Contribution::Lens => ready.geometry.lens > 0.0,
            Contribution::Straightening => marks.corners.is_some(),
            Contribution::Rounding => ready.geometry.rounding_mm > 0.0,
        };
        let frozen = Contribution::ALL
            .into_iter()
            .filter(active)
            .map(|c| (c, draws(ready, marks, seed, FROZEN_DRAWS, Some(c))))
            .collect();
        Self { all, frozen }
    }
}

fn draws(
    ready: &Ready,
    marks: &Marks,
    seed: u64,
    count: usize,
    frozen: Option<Contribution>,
) -> Vec<Option<SectionReading>> {
    let start = ready.start(marks);
    (0..count as u64)
        .into_par_iter()
        .map(|number| {
            let mut rng = ChaCha8Rng::seed_from_u64(seed);
            rng.set_stream(number);
            let drawn = draw(&start, &mut rng, frozen);
            let mut laid =
                lay(marks, &drawn.plates, &drawn.lines, drawn.mm_per_px, ready.doubt_mm).ok()?;
            laid.section.touching.clone_from(&ready.touching);
            measure(&laid.section).ok()
        })
        .collect()
}

/// What it takes to time the draws apart from the rest: see the benchmark.
pub mod bench {
    use super::{Marks, Photo, ReadError, Ready, draws as draw_all};

    /// Everything that one draw needs.
    pub struct Prepared {
        marks: Marks,
        ready: Ready,
    }

    /// Traces and prepares.
    ///
    /// # Errors
    ///
    /// As [`super::read`].
    pub fn prepare(photo: &Photo, marks: &Marks) -> Result<Prepared, ReadError> {
        Ok(Prepared { marks: marks.clone(), ready: Ready::of(photo, marks)? })
    }

    /// Draws so often; how many could be read.
    #[must_use]
    pub fn draws(prepared: &Prepared, count: usize) -> usize {
        draw_all(&prepared.ready, &prepared.marks, 1, count, None).iter().flatten().count()
    }
}

fn check_plates(photo: &Photo, marks: &Marks) -> Result<(), ReadError> {
    let (width, height) = (photo.width, photo.height);
    let p = &marks.plates;
    let metal: Vec<Px> = p.metal.into_iter().collect();
    for (field, points) in p.faces().into_iter().chain([("metal", &metal)]) {
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
            && (degrees.is_nan() || degrees.abs() > 45.0)
        {
            return Err(ReadError::CutAngle { field, degrees });
        }
    }
    Ok(())
}

/// What is asked where a second line runs beside the fusion line.
pub const SAY_WHICH: &str = "say which is the fusion line";

fn photo_remarks(
    photo: &Photo,
    marks: &Marks,
    ready: &Ready,
    second: &[(usize, Beside)],
) -> Vec<String> {
    let mut remarks = photo.remarks.clone();
    remarks.extend(ready.scale.remarks.iter().cloned());
    // Only a value per pixel is void once a picture has been resampled; marked points go with it.
    if marks.scale.iter().any(|mark| matches!(mark, ScaleMark::PerPixel { .. })) {
        remarks.extend(resampled_hint(photo));
    }
    if let (Some(straight), Some(corners)) = (&ready.view.straight, &marks.corners) {
        remarks.push(format!(
            "straightened by four corners: over the rectangle, lengths on the photo differed by up to {:.1} %",
            100.0 * straight.unevenness(corners)
        ));
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
    remarks.extend(size_remark(ready));
    remarks.extend(thickness_remark(&marks.plates, &ready.section.plates));
    remarks.extend(leaning_remark(&marks.plates, &ready.section.plates));
    remarks.extend(faces_in_the_weld(marks, &ready.traced));
    for (field, points) in marks.plates.faces().into_iter().filter(|(f, _)| *f != "joint_line") {
        remarks.extend(surface::unseen(&ready.pyramid, points).into_iter().map(|(p, instead)| {
            let what = match instead {
                Instead::Mount => "dark on both sides, as the mount is",
                Instead::Metal => "alike on both sides",
            };
            format!(
                "plates.{field}: no surface is seen at the point ({:.0}, {:.0}), where it is {what}: is it set where the plate's surface is?",
                p[0], p[1]
            )
        }));
    }
    for (i, (mark, outline)) in marks.outlines.iter().zip(&ready.traced).enumerate() {
        remarks.extend(line_remarks(mark, outline, ready.scale.mm_per_px));
        if let Some((_, second)) = second.iter().find(|(of, _)| *of == i) {
            remarks.push(format!(
                "{}: a second line runs about {} mm {} it: {SAY_WHICH}; the outer one of two may be the edge of the heat-affected zone, and outlining it as that answers the question",
                name_of(mark),
                weld::quantity::show::significant(second.apart_px * ready.scale.mm_per_px, 1),
                if second.outside { "outside" } else { "inside" }
            ));
        }
    }
    remarks
}

/// A known thickness may differ from the marked faces by so much before it is told; common practice, no source.
pub const OTHER_THICKNESS: f64 = 0.15;

/// Where both faces of the upright are marked, they say where the joint line ends, and the typed thickness is what full
/// penetration is judged by: told where they contradict each other.
fn thickness_remark(marked: &PlateMarks, plates: &Plates) -> Option<String> {
    let (typed, Plates::Tee(tee)) = (marked.upright_thickness_mm?, plates) else { return None };
    let left = tee.left?;
    let seen = (left.x - tee.right.x).abs() * tee.right.angle.sin();
    ((seen / typed - 1.0).abs() > OTHER_THICKNESS).then(|| {
        format!(
            "plates.upright_thickness is {} mm, and the marked faces of the upright lie {seen:.2} mm apart: one of the two is wrong, and lengths along the joint line go by the faces",
            given(typed)
        )
    })
}

/// The two faces of one upright are alike in slope to within this, degrees: rolled and sawn plates are; common practice, no
/// source.
const PARALLEL_DEG: f64 = 1.0;

/// A face that was set askew: the upright would be thicker at one end. Of points that lie close together a hand cannot tell
/// the slope as well: two and a half of its standard deviations are let pass.
fn leaning_remark(marked: &PlateMarks, plates: &Plates) -> Option<String> {
    let Plates::Tee(tee) = plates else { return None };
    let length = |face: &[Px]| {
        let (a, b) = (face.first()?, face.last()?);
        Some((b[0] - a[0]).hypot(b[1] - a[1]).max(1.0))
    };
    let slopes = [&marked.upright_left, &marked.upright_right]
        .map(|face| length(face).map(|l| std::f64::consts::SQRT_2 * PLATE_POINT_PX / l));
    let hand = slopes[0]?.hypot(slopes[1]?).to_degrees();
    // Each is measured on its own weld's side: of parallel faces they make half a turn.
    let apart = (tee.right.angle + tee.left?.angle - std::f64::consts::PI).to_degrees();
    (apart.abs() > PARALLEL_DEG.max(2.5 * hand)).then(|| {
        format!(
            "plates: the marked faces of the upright are not parallel, they lean {:.1}° apart: is one of them set on the weld, or across it? Legs and root go by them",
            apart.abs()
        )
    })
}

/// A face is set on clean plate: a point well inside a fused zone is on the weld.
fn faces_in_the_weld(marks: &Marks, traced: &[Outline]) -> Vec<String> {
    const CLEAR_PX: f64 = 4.0;
    let zones: Vec<Vec<Point>> = marks
        .outlines
        .iter()
        .zip(traced)
        .filter(|(mark, _)| mark.kind == Kind::Fused)
        .map(|(_, line)| line.px.iter().map(|p| Point::new(p[0], p[1])).collect())
        .collect();
    let faces = marks.plates.faces();
    let faces = faces.into_iter().filter(|(field, _)| *field != "joint_line");
    let inside = |p: &Px| {
        let p = Point::new(p[0], p[1]);
        zones.iter().any(|z| outline::contains(z, p, 0.0) && outline::to_boundary(p, z) > CLEAR_PX)
    };
    faces
        .flat_map(|(field, points)| {
            points.iter().filter(|p| inside(p)).map(move |p| {
                format!(
                    "plates.{field}: the point ({:.0}, {:.0}) lies inside the fused zone: a face is set on clean plate, clear of the weld",
                    p[0], p[1]
                )
            })
        })
        .collect()
}

/// A fused zone beyond these is no weld of this trade's plates, mm. Common practice.
const USUAL_ZONE_MM: [f64; 2] = [0.3, 40.0];

/// A scale in the wrong unit shows in the size of the zone: 22 in for 22 mm makes it 25 times too large.
fn size_remark(ready: &Ready) -> Option<String> {
    let zones = ready.section.fused.iter().map(|f| weld::section::outline::extent(&f.outline));
    let greatest = zones.fold(0.0, f64::max);
    let [least, most] = USUAL_ZONE_MM;
    (!(least..=most).contains(&greatest)).then(|| {
        format!(
            "by this scale the fused zone is {} mm across, and welds in plate are {least} to {most} mm: are the length and the unit of the scale right?",
            weld::quantity::show::significant(greatest, 2)
        )
    })
}

fn name_of(mark: &OutlineMark) -> String {
    match mark.side {
        Some(side) => format!("{} {} outline", side.word(), mark.kind.word()),
        None => format!("{} outline", mark.kind.word()),
    }
}

fn line_remarks(mark: &OutlineMark, outline: &Outline, mm_per_px: f64) -> Vec<String> {
    let name = name_of(mark);
    let straight = mark.follow == Follow::Straight;
    let mut out: Vec<String> = outline
        .remarks
        .iter()
        .map(|remark| match remark {
            Remark::NoLineSeen { share } if straight => format!(
                "{name}: no line seen here by the tool along {:.0} %; it is taken as given, with the doubt of placing it by hand",
                100.0 * share
            ),
            other => format!("{name}: {other}"),
        })
        .collect();
    if straight || mark.kind != Kind::Fused {
        return out;
    }
    for [x, y] in astray::points(outline) {
        out.push(format!(
            "{name}: no line is seen about its point at ({x:.0}, {y:.0}): is it set on the fusion line?"
        ));
    }
    if let Some(([x, y], off)) = outline.farthest_other() {
        out.push(format!(
            "{name}: the line may also run {} mm off, near ({x:.0}, {y:.0}); both ways are in the uncertainty: set points on the right one there",
            weld::quantity::show::significant(off * mm_per_px, 1)
        ));
    }
    if outline.line_half_width_px.is_some() {
        out.push(format!(
            "{name}: follows the dark fusion line, placed as a whole from its middle and from where the set points lie, to within ± {} mm, which is in the uncertainty",
            weld::quantity::show::significant(2.0 * outline.placed_u_px * mm_per_px, 1)
        ));
    }
    out
}

/// How far beyond the crossing a toe is looked for, as a share of the zone's longer side.
const TOE_REACH: f64 = 0.35;
/// The part of a zone, of its depth from the surface, whose width tells where a hollow face's toe is looked for.
const UPPER_PART: f64 = 0.3;

/// The outlines with the toes that a guided path cut off as further set points; nothing when none was cut off.
fn with_toes(
    pyramid: &Pyramid,
    marks: &Marks,
    traced: &[Outline],
    laid: &Laid,
    view: &View,
) -> Option<Vec<OutlineMark>> {
    let section = read_section(&laid.section).ok()?;
    let fused: Vec<usize> =
        (0..traced.len()).filter(|&i| marks.outlines[i].kind == Kind::Fused).collect();
    let mut outlines = marks.outlines.clone();
    let mut found = false;
    for (number, (weld, &i)) in section.welds.iter().zip(&fused).enumerate() {
        let outline = &traced[i];
        if marks.outlines[i].follow == Follow::Straight {
            continue;
        }
        let span = |k: usize| {
            let v = outline.px.iter().map(|p| p[k]);
            v.clone().fold(f64::NEG_INFINITY, f64::max) - v.fold(f64::INFINITY, f64::min)
        };
        let plane = pyramid.level(outline.level);
        let reach = TOE_REACH * span(0).max(span(1)) / size_of_pixel(outline.level);
        let px = |p: Point| level_from_picture(outline.level, view.px_from_section(p));
        let step = |at: Point, d: Point| {
            let (a, b) = (px(at), px(at + d));
            let long = (b[0] - a[0]).hypot(b[1] - a[1]);
            [(b[0] - a[0]) / long, (b[1] - a[1]) / long]
        };
        let crossed = toes_of(weld);
        let hollow = hollow_toes(&laid.section, number, &crossed);
        let cut_off = crossed.iter().map(|&(at, along, off)| {
            toe::find(plane, px(at), step(at, along), step(at, off), reach)
        });
        let below = hollow.iter().map(|&(at, along, off)| {
            toe::find_below(plane, px(at), step(at, along), step(at, off), reach)
        });
        for toe in below.chain(cut_off).flatten() {
            insert(&mut outlines[i], outline, picture_from_level(outline.level, toe));
            found = true;
        }
    }
    found.then_some(outlines)
}

/// The places where a weld's outline crosses its plates, each with the unit step outward along the plate and off it.
fn toes_of(weld: &WeldReading) -> Vec<(Point, Point, Point)> {
    let dimension = |reading| weld.dimensions.iter().find(|d| d.reading == reading);
    let mut out = Vec::new();
    let mut add = |from: Point, to: Point, air: Point| {
        if let Some(along) = (to - from).unit() {
            let left = along.left();
            out.push((to, along, if left.dot(air) >= 0.0 { left } else { left * -1.0 }));
        }
    };
    if let (Some(base), Some(upright)) =
        (dimension(Reading::LegBase), dimension(Reading::LegUpright))
    {
        add(base.from, base.to, upright.to - upright.from);
        add(upright.from, upright.to, base.to - base.from);
    } else if let Some(width) = dimension(Reading::WidthSurface) {
        let air = Point::new(0.0, if weld.side == Side::Bottom { -1.0 } else { 1.0 });
        add(width.from, width.to, air);
        add(width.to, width.from, air);
    }
    out
}

/// Places on a butt's or bead's surface, outermost over the zone, from which the toe of a hollow face may be looked for;
/// each with the unit steps outward and off the metal. `crossed` are the places where the outline crosses the surface.
fn hollow_toes(
    section: &weld::section::Section,
    number: usize,
    crossed: &[(Point, Point, Point)],
) -> Vec<(Point, Point, Point)> {
    let Some(fused) = section.fused.get(number) else { return Vec::new() };
    let level = Face { at: Point::new(0.0, 0.0), along: Point::new(1.0, 0.0) };
    let (faces, up) = match &section.plates {
        Plates::Bead => ([level; 2], 1.0),
        Plates::Butt(butt) if fused.side == Side::Bottom => match butt.bottom {
            Some(bottom) => (bottom, -1.0),
            None => return Vec::new(),
        },
        Plates::Butt(butt) => (butt.top, 1.0),
        Plates::Tee(_) => return Vec::new(),
    };
    let place = |(side, face): (usize, &Face)| {
        let along = if side == 0 { face.along * -1.0 } else { face.along };
        let air = face.along.left() * up;
        let high = |p: Point| (p - face.at).dot(air);
        let out = |p: Point| (p - face.at).dot(along);
        let deepest = fused.outline.iter().map(|&p| high(p)).fold(0.0, f64::min);
        let upper =
            fused.outline.iter().filter(|p| high(**p) > UPPER_PART * deepest).map(|&p| out(p));
        let crossed = crossed.iter().filter(|c| c.1.dot(along) > 0.9).map(|c| out(c.0));
        let outermost = upper.chain(crossed).fold(f64::NEG_INFINITY, f64::max);
        outermost.is_finite().then(|| (face.at + along * outermost, along, air))
    };
    faces.iter().enumerate().filter_map(place).collect()
}

/// Sets a further point where it belongs in the order along the traced outline.
fn insert(mark: &mut OutlineMark, outline: &Outline, point: Px) {
    let n = outline.px.len();
    let nearest = |p: Px| {
        let d = |q: &Px| (q[0] - p[0]).powi(2) + (q[1] - p[1]).powi(2);
        (0..n).min_by(|&a, &b| d(&outline.px[a]).total_cmp(&d(&outline.px[b]))).unwrap_or(0)
    };
    let first = nearest(mark.points[0]);
    // Places along the outline counted from the first set point, in the direction of the second.
    let along = |p: Px| (nearest(p) + n - first) % n;
    let places: Vec<usize> = mark.points.iter().map(|&p| along(p)).collect();
    let forward = places.windows(2).filter(|w| w[1] > w[0]).count() * 2 >= places.len() - 1;
    let place = |v: usize| if forward || v == 0 { v } else { n - v };
    let mine = place(along(point));
    let at = places.iter().position(|&v| place(v) > mine).unwrap_or(places.len());
    mark.points.insert(at, point);
    for i in &mut mark.hold {
        *i += usize::from(*i >= at);
    }
}

fn trace_all(pyramid: &Pyramid, outlines: &[OutlineMark]) -> Result<Vec<Outline>, ReadError> {
    let mut counted: Vec<(Kind, usize)> = Vec::new();
    let mut out = Vec::with_capacity(outlines.len());
    for mark in outlines {
        let number = 1 + counted.iter().filter(|(kind, _)| *kind == mark.kind).count();
        counted.push((mark.kind, number));
        let outline = trace_one(pyramid, mark).map_err(|error| ReadError::Trace {
            kind: mark.kind.word(),
            number,
            error,
        })?;
        out.push(outline);
    }
    Ok(out)
}

fn trace_one(pyramid: &Pyramid, mark: &OutlineMark) -> Result<Outline, TraceError> {
    let asked = Asked {
        points: &mark.points,
        hold: &mark.hold,
        follow: mark.follow,
        along: ALONG,
        shape: if mark.kind.is_closed() { Shape::Closed } else { Shape::Open },
    };
    let outline = trace(pyramid, &asked)?;
    Ok(match asked {
        Asked { follow: Follow::Guided, shape: Shape::Closed, .. } => {
            placing::placed(outline, &mark.points, &mark.hold)
        }
        _ => outline,
    })
}

/// The outlines whose marks are other than before traced anew, the rest as they were; and as they were where a toe ties the
/// path into a knot, for then it is none.
fn trace_again(
    pyramid: &Pyramid,
    marks: &[OutlineMark],
    before: &[OutlineMark],
    traced: &[Outline],
) -> Vec<Outline> {
    let knotted = |outline: &Outline| outline.remarks.contains(&Remark::JoinedStraight);
    let anew = |((new, old), outline): ((&OutlineMark, &OutlineMark), &Outline)| {
        let again = (new != old).then(|| trace_one(pyramid, new).ok()).flatten();
        again.filter(|again| knotted(again) <= knotted(outline)).unwrap_or_else(|| outline.clone())
    };
    marks.iter().zip(before).zip(traced).map(anew).collect()
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
                placed_u_px: 0.0,
                correlation_px: perimeter(&mark.points) / n.max(1) as f64,
            },
        );
    }
    let others = outline
        .others
        .iter()
        .map(|other| {
            (other.likely, loosen(mark, other, &LinePx { px: other.px.clone(), ..line.clone() }))
        })
        .collect();
    Loose::new(
        line,
        &Doubt {
            u_px: &outline.u_px,
            at_mount: &outline.at_mount,
            corners: &outline.corners,
            // A shift of the whole line, and no noise along it, which would widen extremes.
            placed_u_px: outline.placed_u_px,
            correlation_px: 0.0,
        },
    )
    .or(others)
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

/// Standard deviation; `None` for fewer than two numbers.
fn spread(numbers: impl Iterator<Item = f64> + Clone) -> Option<f64> {
    let n = numbers.clone().count();
    if n < 2 {
        return None;
    }
    let mean = numbers.clone().sum::<f64>() / n as f64;
    Some((numbers.map(|x| (x - mean) * (x - mean)).sum::<f64>() / (n - 1) as f64).sqrt())
}

/// Mean; `None` for no numbers.
fn mean(numbers: impl Iterator<Item = f64> + Clone) -> Option<f64> {
    let n = numbers.clone().count();
    (n > 0).then(|| numbers.sum::<f64>() / n as f64)
}

/// The interval that holds 95 % of the numbers and leaves as many below as above ([`JCGM_101`](weld::source::JCGM_101), 5.3.4
/// and 7.7.2): a claim rests on the low end, so that end must hold by itself. The shortest one of a thousand draws is some
/// 7 % too short besides, for it is chosen by their scatter.
fn symmetric(mut numbers: Vec<f64>) -> Option<[f64; 2]> {
    let n = numbers.len();
    if n < 40 {
        return None;
    }
    numbers.sort_by(f64::total_cmp);
    let hold = (0.95 * n as f64).round() as usize;
    // 7.7.2: from the number of place r to that of place r + q.
    let r = (n - hold).div_ceil(2);
    Some([numbers[r - 1], numbers[(r + hold - 1).min(n - 1)]])
}

/// A value with everything that the draws say of it.
fn with_doubt(
    nominal: f64,
    power_of_scale: i32,
    doubts: &Doubts,
    ready: &Ready,
    get: impl Fn(&SectionReading) -> Option<f64>,
) -> Value {
    let of = |draws: &[Option<SectionReading>]| -> Vec<Option<f64>> {
        draws.iter().map(|d| d.as_ref().and_then(&get)).collect()
    };
    let all = of(&doubts.all);
    let there: Vec<f64> = all.iter().flatten().copied().collect();
    let present = there.len() as f64 / all.len().max(1) as f64;
    let shared = nominal.abs() * ready.scale.u_rel * f64::from(power_of_scale);
    let u = spread(there.iter().copied()).unwrap_or(0.0).max(shared);
    let first = &all[..FROZEN_DRAWS.min(all.len())];
    let (mut most, mut mostly, mut noise_bias) = (0.0, None, 0.0);
    for (contribution, draws) in &doubts.frozen {
        let without = of(draws);
        let pairs: Vec<(f64, f64)> =
            first.iter().zip(&without).filter_map(|(a, b)| Some(((*a)?, (*b)?))).collect();
        let spread_of =
            |pick: fn(&(f64, f64)) -> f64| spread(pairs.iter().map(pick)).unwrap_or(0.0);
        let explained = spread_of(|p| p.0).powi(2) - spread_of(|p| p.1).powi(2);
        if explained > most {
            (most, mostly) = (explained, Some(*contribution));
        }
        if *contribution == Contribution::Outline {
            noise_bias = mean(pairs.iter().map(|p| p.0 - p.1)).unwrap_or(0.0).clamp(-u, u);
        }
    }
    // A traced line carries its noise once, a draw of it twice; geometry as given carries none, a draw once.
    let traced = ready.lines.iter().any(|l| l.kind == Kind::Fused && !l.exact);
    // A correction may not turn nothing into something, nor a length into less than nothing.
    let usable = traced && (nominal - noise_bias).signum() == nominal.signum() && nominal != 0.0;
    let correction = if usable { noise_bias } else { 0.0 };
    let value = nominal - correction;
    let shift = noise_bias + correction;
    let [low, high] = symmetric(there.iter().map(|x| x - shift).collect())
        .unwrap_or([value - 2.0 * u, value + 2.0 * u]);
    // Draws about a value lean to one side where a reading is an extreme, or where another way of the line lies to one side.
    // As far as the marks are what erred, the truth lies on the other side of the value than the draws; as far as another way
    // is the truth, on the same. So the farther end holds on both sides, save below nothing where no draw comes there.
    let half = (value - low).max(high - value);
    let least = if there.iter().all(|x| *x >= 0.0) { value.min(0.0) } else { f64::NEG_INFINITY };
    let interval = [(value - half).max(least), value + half];
    Value { value, u, u_shared: shared, interval, correction, mostly, present }
}

/// What a weld shows, with its uncertainty or the reason why not, in printing order.
fn measured(
    nominal: &Readings,
    doubts: &Doubts,
    weld: usize,
    ready: &Ready,
    shown: &Result<(), String>,
) -> Vec<(Reading, Result<Value, String>)> {
    let one = |reading: Reading, slot: &Result<f64, weld::reading::Absent>| {
        let nominal = slot.as_ref().map_err(|why| why.reason.clone())?;
        if let (Err(why), false) = (shown, shows_unetched(reading)) {
            return Err(why.clone());
        }
        let power = reading.dimension().power_of_scale();
        let get = |d: &SectionReading| d.welds.get(weld)?.readings.get(reading);
        let value = with_doubt(*nominal, power, doubts, ready, get);
        if value.present < LEAST_PRESENT {
            return Err(format!(
                "not established: there is none in {:.0} % of the draws within the uncertainties",
                100.0 * (1.0 - value.present)
            ));
        }
        Ok(value)
    };
    nominal.iter().map(|(reading, slot)| (reading, one(reading, slot))).collect()
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

fn weld_remarks(
    mut remarks: Vec<String>,
    nominal: &Readings,
    all: &[Option<SectionReading>],
    weld: usize,
) -> Vec<String> {
    let draws: Vec<&SectionReading> = all.iter().flatten().collect();
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
    doubts: &Doubts,
    ready: &Ready,
    shown: &Result<(), String>,
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
    for (name, get, inside) in lengths {
        let Some(value) = get(nominal) else { continue };
        match shown {
            Err(why) if inside => out.absent.push((name, why.clone())),
            _ => out.values.push((name, with_doubt(value, 1, doubts, ready, |d| get(&d.joint)))),
        }
    }
    type Question = fn(&JointReading) -> Option<Answer>;
    let questions: [(&'static str, Question); 2] = [
        ("complete_penetration", |j| j.complete_penetration),
        ("full_penetration_by_4_7_3", |j| j.full_penetration_by_4_7_3),
    ];
    for (name, get) in questions {
        let Some(stands) = get(nominal) else { continue };
        let told = doubts.all.iter().flatten().filter(|d| get(&d.joint) == Some(stands)).count();
        let sure = shown.is_ok() && told as f64 >= SURE * DRAWS as f64;
        out.answers.push((name, if sure { stands } else { Answer::CannotSay }));
    }
    out
}

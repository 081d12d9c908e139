//! The one set of serde forms: files, `--json`, later the bench and export.
//!
//! Units are in the field names; lengths with a choice of unit are texts in shop notation. Unknown fields are refused.
//! Inner types have no serde: a form is turned into nouns here, and nouns into forms.

pub mod area;
pub mod claim_file;
pub mod joint;
pub mod marks_json;
pub mod predict;
pub mod setting;
pub mod study;

use crate::refusal::{Refusal, advice_for, line_of};
use photo::marks::{Cut, Held, Joint, Kind, Marks, OutlineMark, PlateMarks, Px, Taken};
use photo::scale::{CapReading, PixelPoint, ScaleMark};
use photo::straighten::Corners;
use photo::trace::Follow;
use serde::{Deserialize, Serialize};
use serde_json::{Map, Value};
use std::collections::BTreeMap;
use toml::Spanned;
use weld::quantity::kind::Quantity;
use weld::quantity::parse::QuantityError;
use weld::quantity::{Angle, Length, Share};
use weld::section::Side;

/// A reading file: one photo and what was marked on it.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ReadingForm {
    photo: Spanned<String>,
    joint: Spanned<String>,
    etched: bool,
    coupon: Option<Label>,
    section: Option<Label>,
    scale_id: Option<Label>,
    reading: Option<Label>,
    reader: Option<Label>,
    #[serde(default)]
    scale: Vec<Spanned<ScaleForm>>,
    plates: Option<Spanned<PlatesForm>>,
    #[serde(default)]
    fused: Vec<Spanned<OutlineForm>>,
    #[serde(default)]
    affected: Vec<Spanned<OutlineForm>>,
    #[serde(default)]
    pore: Vec<Spanned<OutlineForm>>,
    #[serde(default)]
    crack: Vec<Spanned<OutlineForm>>,
    #[serde(default)]
    unfused: Vec<Spanned<OutlineForm>>,
    cut: Option<Spanned<CutForm>>,
    straighten: Option<Spanned<StraightenForm>>,
    camera: Option<Spanned<CameraForm>>,
}

/// A label: text or a whole number.
#[derive(Clone, Debug, Deserialize)]
#[serde(untagged, expecting = "a label is a text or a whole number, and this is neither")]
enum Label {
    Text(String),
    Number(i64),
}

impl Label {
    fn text(&self) -> String {
        match self {
            Self::Text(text) => text.trim().to_owned(),
            Self::Number(n) => n.to_string(),
        }
    }
}

/// A point on the photo: two numbers, not one and not three. `[590,5, 450]`, a decimal comma, would else be read as
/// (590, 5).
#[derive(Clone, Copy, Debug)]
struct Dot(Px);

impl<'de> Deserialize<'de> for Dot {
    fn deserialize<D: serde::Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        let numbers = Vec::<f64>::deserialize(from)?;
        <Px>::try_from(numbers.as_slice()).map(Self).map_err(|_| {
            serde::de::Error::custom(format!(
                "a point has 2 numbers, x and y, and this one has {}",
                numbers.len()
            ))
        })
    }
}

/// A list of points, with its place.
type Dots = Option<Spanned<Vec<Dot>>>;

fn pixels(dots: &Dots) -> Vec<Px> {
    dots.iter().flat_map(|d| d.get_ref()).map(|d| d.0).collect()
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct ScaleForm {
    from: Option<Dot>,
    to: Option<Dot>,
    length: Option<Spanned<String>>,
    read: Option<Spanned<String>>,
    per_pixel: Option<Spanned<String>>,
    thickness: Option<Spanned<String>>,
    along: Option<Spanned<Vec<Dot>>>,
    u: Option<Spanned<String>>,
}

#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
struct PlatesForm {
    surface: Dots,
    bottom: Dots,
    joint_line: Dots,
    base: Dots,
    upright: Dots,
    upright_left: Dots,
    upright_right: Dots,
    upright_far: Dots,
    upright_thickness: Option<Spanned<String>>,
    base_thickness: Option<Spanned<String>>,
    gap: Option<Spanned<String>>,
    metal: Option<Spanned<Dot>>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct OutlineForm {
    side: Option<Spanned<String>>,
    points: Spanned<Vec<Dot>>,
    hold: Option<Spanned<Vec<i64>>>,
    trace: Option<Spanned<String>>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct CutForm {
    yaw: Option<Spanned<String>>,
    pitch: Option<Spanned<String>>,
    yaw_within: Option<Spanned<String>>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct StraightenForm {
    corners: Spanned<Vec<Dot>>,
    size: Spanned<Vec<Spanned<String>>>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct CameraForm {
    held: Option<Spanned<String>>,
    square_within: Option<Spanned<String>>,
    lens_within: Option<Spanned<String>>,
    plane_within: Option<Spanned<String>>,
    rounded_within: Option<Spanned<String>>,
}

/// A reading file turned into nouns, with the lines of its parts for later refusals.
#[derive(Clone, Debug)]
pub struct Asked {
    /// The photo's name, beside the file.
    pub photo: String,
    /// Line of the photo's name.
    pub photo_line: usize,
    /// What was marked.
    pub marks: Marks,
    /// Coupon label.
    pub coupon: Option<String>,
    /// Section label.
    pub section: Option<String>,
    /// Photos with the same one share a scale.
    pub scale_id: Option<String>,
    /// Which reading of this section.
    pub reading: Option<String>,
    /// Who read it.
    pub reader: Option<String>,
    /// Lines of the scales, of the plates, and of each outline with its kind.
    pub lines: Lines,
}

/// Where the parts of a reading file stand, lines from 1.
#[derive(Clone, Debug, Default)]
pub struct Lines {
    /// Each `[[scale]]`.
    pub scale: Vec<usize>,
    /// `[plates]`.
    pub plates: usize,
    /// Each field that stands in `[plates]`.
    pub plate_fields: Vec<(&'static str, usize)>,
    /// Each outline, in the order of the marks, and the line of its points.
    pub outlines: Vec<(Kind, usize)>,
    /// `[cut]`.
    pub cut: Option<usize>,
    /// `[straighten]`.
    pub straighten: Option<usize>,
}

impl Lines {
    /// The line of a field of `[plates]`, or of its header.
    #[must_use]
    pub fn plate(&self, field: &str) -> usize {
        self.plate_fields.iter().find(|(f, _)| *f == field).map_or(self.plates, |(_, line)| *line)
    }
}

/// The photo that a reading file names, and the line of its name. Whether anything can be read yet is not asked: marks that
/// are half set are understood all the same.
///
/// # Errors
///
/// When the text is no reading file, with line, field, fact and next action.
pub fn photo_of_draft(file: &str, text: &str) -> Result<(String, usize), Refusal> {
    let form: ReadingForm = toml::from_str(text).map_err(|e| Refusal::of_toml(file, text, &e))?;
    let line = line_of(text, form.photo.span().start);
    if form.photo.get_ref().trim().is_empty() {
        let refusal = Refusal::new("the photo has no name", advice_for("photo")).in_field("photo");
        return Err(refusal.in_file(file).at_line(Some(line)));
    }
    Ok((form.photo.into_inner(), line))
}

/// A label of a reading file whose marks may be half set; none where nothing stands, or no label.
#[must_use]
pub fn label_of_draft(text: &str, field: &str) -> Option<String> {
    let table: toml::Table = text.parse().ok()?;
    match table.get(field)? {
        toml::Value::String(label) => Some(label.clone()),
        toml::Value::Integer(label) => Some(label.to_string()),
        _ => None,
    }
}

/// The kind of joint that a word stands for.
pub(crate) fn read_joint(word: &str) -> Result<Joint, Refusal> {
    [Joint::Bead, Joint::Butt, Joint::Tee].into_iter().find(|j| j.word() == word).ok_or_else(|| {
        let fact = format!("'{word}' is no kind of joint that is read");
        Refusal::new(fact, "write \"bead\", \"butt\" or \"tee\"").in_field("joint")
    })
}

/// Turns the text of a reading file into nouns.
///
/// # Errors
///
/// Says line, field, fact and next action.
pub fn reading_from_toml(file: &str, text: &str) -> Result<Asked, Refusal> {
    let form: ReadingForm = toml::from_str(text).map_err(|e| Refusal::of_toml(file, text, &e))?;
    let at = |start: usize| line_of(text, start);
    let here = |refusal: Refusal, start: usize| refusal.in_file(file).at_line(Some(at(start)));
    let joint = read_joint(form.joint.get_ref()).map_err(|r| here(r, form.joint.span().start))?;
    if form.photo.get_ref().trim().is_empty() {
        let refusal = Refusal::new("the photo has no name", advice_for("photo")).in_field("photo");
        return Err(here(refusal, form.photo.span().start));
    }
    let Some(form_plates) = &form.plates else {
        let refusal = Refusal::new("the field 'plates' is missing", advice_for("plates"));
        return Err(refusal.in_file(file).in_field("plates").at_line(Some(1)));
    };
    let mut lines = Lines {
        plates: at(form_plates.span().start),
        plate_fields: form_plates.get_ref().places().map(|(f, start)| (f, at(start))).collect(),
        cut: form.cut.as_ref().map(|cut| at(cut.span().start)),
        straighten: form.straighten.as_ref().map(|form| at(form.span().start)),
        ..Lines::default()
    };
    if form.scale.is_empty() && form.straighten.is_none() {
        return Err(Refusal::new(
            "no [[scale]] is given, so pixels cannot be turned into millimetres",
            "add [[scale]] with from, to and length (a ruler or a burned-in bar), per_pixel, or a measured thickness",
        )
        .in_file(file)
        .in_field("scale"));
    }
    let mut scale = Vec::new();
    for form in &form.scale {
        lines.scale.push(at(form.span().start));
        scale.push(scale_mark(form.get_ref()).map_err(|r| {
            let line = r.line.map_or_else(|| at(form.span().start), at);
            Refusal { line: Some(line), ..r }.in_file(file)
        })?);
    }
    let plates = plates(form_plates.get_ref()).map_err(|r| {
        let line = r.line.map_or(lines.plates, at);
        Refusal { line: Some(line), ..r }.in_file(file)
    })?;
    let mut outlines = Vec::new();
    for (kind, forms) in [
        (Kind::Fused, &form.fused),
        (Kind::Affected, &form.affected),
        (Kind::Pore, &form.pore),
        (Kind::Crack, &form.crack),
        (Kind::Unfused, &form.unfused),
    ] {
        for form in forms {
            lines.outlines.push((kind, at(form.get_ref().points.span().start)));
            outlines.push(outline(kind, joint, form.get_ref()).map_err(|r| {
                let line = r.line.map_or_else(|| at(form.span().start), at);
                Refusal { line: Some(line), ..r }.in_file(file)
            })?);
        }
    }
    if form.fused.is_empty() {
        return Err(Refusal::new(
            "no [[fused]] zone is outlined, so there is nothing to read",
            "add [[fused]] with points = [[x, y], ...] set along the boundary of the fused zone, in order",
        )
        .in_file(file)
        .in_field("fused"));
    }
    sides_apart(joint, &form.fused).map_err(|r| {
        let line = r.line.map(at);
        Refusal { line, ..r }.in_file(file)
    })?;
    let cut = match &form.cut {
        None => Cut::default(),
        Some(cut) => cut_of(cut.get_ref()).map_err(|r| {
            let line = r.line.map(at).or(lines.cut);
            Refusal { line, ..r }.in_file(file)
        })?,
    };
    let corners = match &form.straighten {
        None => None,
        Some(form) => Some(corners_of(form.get_ref()).map_err(|r| {
            let line = r.line.map_or_else(|| at(form.span().start), at);
            Refusal { line: Some(line), ..r }.in_file(file)
        })?),
    };
    let taken = match &form.camera {
        None => Taken::default(),
        Some(form) => taken_of(form.get_ref()).map_err(|r| {
            let line = r.line.map_or_else(|| at(form.span().start), at);
            Refusal { line: Some(line), ..r }.in_file(file)
        })?,
    };
    let label = |l: &Option<Label>| l.as_ref().map(Label::text).filter(|t| !t.is_empty());
    Ok(Asked {
        photo: form.photo.get_ref().clone(),
        photo_line: at(form.photo.span().start),
        marks: Marks { joint, etched: form.etched, scale, plates, outlines, cut, corners, taken },
        coupon: label(&form.coupon),
        section: label(&form.section),
        scale_id: label(&form.scale_id),
        reading: label(&form.reading),
        reader: label(&form.reader),
        lines,
    })
}

/// Reads a quantity from a text with its place; the refusal carries the place as a byte offset in `line`.
fn quantity<Q: Quantity>(field: &str, text: &Spanned<String>) -> Result<Q, Refusal> {
    weld::quantity::parse::parse::<Q>(text.get_ref()).map_err(|e: QuantityError| Refusal {
        line: Some(text.span().start),
        ..Refusal::new(&e, e.advice()).in_field(field)
    })
}

fn word<'a, T>(field: &str, text: &'a Spanned<String>, known: &[(&'a str, T)]) -> Result<T, Refusal>
where
    T: Copy,
{
    let asked = text.get_ref().trim();
    known.iter().find(|(name, _)| *name == asked).map(|(_, value)| *value).ok_or_else(|| {
        let names: Vec<String> = known.iter().map(|(name, _)| format!("\"{name}\"")).collect();
        Refusal {
            line: Some(text.span().start),
            ..Refusal::new(
                format!("'{asked}' is not known here"),
                format!("write {}", names.join(" or ")),
            )
            .in_field(field)
        }
    })
}

fn scale_mark(form: &ScaleForm) -> Result<ScaleMark, Refusal> {
    let point = |Dot([x_px, y_px]): Dot| PixelPoint { x_px, y_px };
    let u_rel = match &form.u {
        Some(text) => Some(quantity::<Share>("scale.u", text)?.fraction()),
        None => None,
    };
    let ends = || -> Result<(PixelPoint, PixelPoint), Refusal> {
        match (form.from, form.to) {
            (Some(from), Some(to)) => Ok((point(from), point(to))),
            _ => Err(Refusal::new(
                "the scale lacks its two points",
                "give from = [x, y] and to = [x, y], the two ends in pixels",
            )
            .in_field("scale")),
        }
    };
    match (&form.length, &form.per_pixel, &form.thickness) {
        (Some(length), None, None) => {
            let (from, to) = ends()?;
            let length_mm = quantity::<Length>("scale.length", length)?.mm();
            Ok(match &form.read {
                None => ScaleMark::TwoPoints { from, to, length_mm, u_rel },
                Some(read) => {
                    let read = word(
                        "scale.read",
                        read,
                        &[
                            ("inside", CapReading::Inside),
                            ("centre", CapReading::Centre),
                            ("outside", CapReading::Outside),
                            ("unknown", CapReading::Unknown),
                        ],
                    )?;
                    ScaleMark::Bar { from, to, length_mm, read, u_rel }
                }
            })
        }
        (None, Some(per_pixel), None) => Ok(ScaleMark::PerPixel {
            mm_per_px: quantity::<Length>("scale.per_pixel", per_pixel)?.mm(),
            u_rel,
        }),
        (None, None, Some(thickness)) => {
            let (from, to) = ends()?;
            let along = match &form.along {
                None => None,
                Some(dots) => match dots.get_ref().as_slice() {
                    [a, b] => Some((point(*a), point(*b))),
                    dots_given => {
                        return Err(Refusal {
                            line: Some(dots.span().start),
                            ..Refusal::new(
                                format!("{} point(s) are given along the surface, and 2 are needed", dots_given.len()),
                                advice_for("along"),
                            )
                            .in_field("scale.along")
                        });
                    }
                },
            };
            Ok(ScaleMark::Thickness {
                from,
                to,
                along,
                thickness_mm: quantity::<Length>("scale.thickness", thickness)?.mm(),
                u_rel,
            })
        }
        (None, None, None) => Err(Refusal::new(
            "the scale says no length",
            "give length = \"10 mm\" between two points, per_pixel = \"2.5 um\", or thickness = \"5.02 mm\" (measured) across a plate",
        )
        .in_field("scale")),
        _ => Err(Refusal::new(
            "the scale says its length in more than one way",
            "give each way its own [[scale]]; they are then compared",
        )
        .in_field("scale")),
    }
}

impl PlatesForm {
    /// The fields that stand in the file, with their places.
    fn places(&self) -> impl Iterator<Item = (&'static str, usize)> {
        let dots = |dots: &Dots| dots.as_ref().map(|d| d.span().start);
        let text = |text: &Option<Spanned<String>>| text.as_ref().map(|t| t.span().start);
        [
            ("surface", dots(&self.surface)),
            ("bottom", dots(&self.bottom)),
            ("joint_line", dots(&self.joint_line)),
            ("base", dots(&self.base)),
            ("upright", dots(&self.upright)),
            ("upright_left", dots(&self.upright_left)),
            ("upright_right", dots(&self.upright_right)),
            ("upright_far", dots(&self.upright_far)),
            ("upright_thickness", text(&self.upright_thickness)),
            ("base_thickness", text(&self.base_thickness)),
            ("gap", text(&self.gap)),
            ("metal", self.metal.as_ref().map(|d| d.span().start)),
        ]
        .into_iter()
        .filter_map(|(field, start)| Some((field, start?)))
    }
}

fn plates(form: &PlatesForm) -> Result<PlateMarks, Refusal> {
    let length = |field: &str, text: &Option<Spanned<String>>| -> Result<Option<f64>, Refusal> {
        match text {
            Some(text) => Ok(Some(quantity::<Length>(field, text)?.mm())),
            None => Ok(None),
        }
    };
    Ok(PlateMarks {
        surface: pixels(&form.surface),
        bottom: pixels(&form.bottom),
        joint_line: pixels(&form.joint_line),
        base: pixels(&form.base),
        upright: pixels(&form.upright),
        upright_left: pixels(&form.upright_left),
        upright_right: pixels(&form.upright_right),
        upright_far: pixels(&form.upright_far),
        upright_thickness_mm: length("plates.upright_thickness", &form.upright_thickness)?,
        base_thickness_mm: length("plates.base_thickness", &form.base_thickness)?,
        gap_mm: length("plates.gap", &form.gap)?.unwrap_or(0.0),
        metal: form.metal.as_ref().map(|dot| dot.get_ref().0),
    })
}

fn outline(kind: Kind, joint: Joint, form: &OutlineForm) -> Result<OutlineMark, Refusal> {
    let field = |name: &str| format!("{}.{name}", kind.word());
    let side = match (&form.side, joint) {
        (None, _) => None,
        (Some(text), Joint::Tee) => {
            Some(word(&field("side"), text, &[("left", Side::Left), ("right", Side::Right)])?)
        }
        (Some(text), Joint::Butt) => {
            Some(word(&field("side"), text, &[("top", Side::Top), ("bottom", Side::Bottom)])?)
        }
        (Some(text), Joint::Bead) => {
            return Err(Refusal {
                line: Some(text.span().start),
                ..Refusal::new("a bead on plate has one side only", "leave the side out")
                    .in_field(field("side"))
            });
        }
    };
    let follow = match &form.trace {
        None => Follow::Guided,
        Some(text) => word(
            &field("trace"),
            text,
            &[("guided", Follow::Guided), ("straight", Follow::Straight)],
        )?,
    };
    let points: Vec<Px> = form.points.get_ref().iter().map(|dot| dot.0).collect();
    let mut hold = Vec::new();
    if let Some(held) = &form.hold {
        for &i in held.get_ref() {
            match usize::try_from(i) {
                Ok(i) if i < points.len() => hold.push(i),
                _ => {
                    return Err(Refusal {
                        line: Some(held.span().start),
                        ..Refusal::new(
                            format!(
                                "point {i} is to be held, and there are {} points, counted from 0",
                                points.len()
                            ),
                            advice_for("hold"),
                        )
                        .in_field(field("hold"))
                    });
                }
            }
        }
    }
    Ok(OutlineMark { kind, side, points, hold, follow })
}

/// Two fused zones are told apart by their sides. The refusal carries its place as a byte offset in `line`.
fn sides_apart(joint: Joint, fused: &[Spanned<OutlineForm>]) -> Result<(), Refusal> {
    let most = if joint == Joint::Bead { 1 } else { 2 };
    let count = fused.len();
    for (i, form) in fused.iter().enumerate().filter(|_| count > 1) {
        let side =
            |f: &Spanned<OutlineForm>| f.get_ref().side.as_ref().map(|s| s.get_ref().clone());
        let fact = match side(form) {
            _ if i >= most => format!(
                "{count} fused zones are outlined, and a {} has {most} at most",
                joint.word()
            ),
            // The first zone is looked at only when it is known that a second one may be.
            _ if most == 1 => continue,
            None => format!("{count} fused zones are outlined, and this one does not say its side"),
            Some(side_here) if fused[..i].iter().any(|f| side(f).as_ref() == Some(&side_here)) => {
                format!("two fused zones are outlined for the side '{side_here}'")
            }
            Some(_) => continue,
        };
        return Err(Refusal {
            line: Some(form.span().start),
            ..Refusal::new(
                fact,
                "give each fused zone its own side: tee: left or right; butt: top or bottom",
            )
            .in_field("fused.side")
        });
    }
    Ok(())
}

fn cut_of(form: &CutForm) -> Result<Cut, Refusal> {
    let angle = |field: &str, text: &Option<Spanned<String>>| -> Result<Option<f64>, Refusal> {
        match text {
            Some(text) => Ok(Some(quantity::<Angle>(field, text)?.deg())),
            None => Ok(None),
        }
    };
    let cut = Cut {
        yaw_deg: angle("cut.yaw", &form.yaw)?.unwrap_or(0.0),
        pitch_deg: angle("cut.pitch", &form.pitch)?.unwrap_or(0.0),
        yaw_within_deg: angle("cut.yaw_within", &form.yaw_within)?,
    };
    if form.yaw.is_some() && form.yaw_within.is_some() {
        return Err(Refusal::new(
            "the cut's yaw is given as an angle and as a bound",
            "give yaw when it was measured, yaw_within when it is only bounded",
        )
        .in_field("cut"));
    }
    Ok(cut)
}

fn corners_of(form: &StraightenForm) -> Result<Corners, Refusal> {
    let count = |field: &str, found: usize, needed: usize, start: usize| Refusal {
        line: Some(start),
        ..Refusal::new(format!("{found} are given, and {needed} are needed"), advice_for(field))
            .in_field(format!("straighten.{field}"))
    };
    let corners: Vec<Px> = form.corners.get_ref().iter().map(|dot| dot.0).collect();
    let px = <[Px; 4]>::try_from(corners.as_slice())
        .map_err(|_| count("corners", corners.len(), 4, form.corners.span().start))?;
    let [w, h] = form.size.get_ref().as_slice() else {
        return Err(count("size", form.size.get_ref().len(), 2, form.size.span().start));
    };
    let size_mm = [
        quantity::<Length>("straighten.size", w)?.mm(),
        quantity::<Length>("straighten.size", h)?.mm(),
    ];
    Ok(Corners { px, size_mm })
}

fn taken_of(form: &CameraForm) -> Result<Taken, Refusal> {
    let share =
        |field: &str, text: &Option<Spanned<String>>, most: f64| -> Result<Option<f64>, Refusal> {
            let Some(text) = text else { return Ok(None) };
            let value = quantity::<Share>(field, text)?.fraction();
            bounded(field, text, value, most)
        };
    let held = match &form.held {
        None => None,
        Some(text) => Some(word(
            "camera.held",
            text,
            &[("hand", Held::Hand), ("stand", Held::Stand), ("microscope", Held::Microscope)],
        )?),
    };
    let square_within_deg = match &form.square_within {
        None => None,
        Some(text) => {
            let value = quantity::<Angle>("camera.square_within", text)?.deg();
            bounded("camera.square_within", text, value, 30.0)?
        }
    };
    let rounded_within_mm = match &form.rounded_within {
        None => None,
        Some(text) => {
            let value = quantity::<Length>("camera.rounded_within", text)?.mm();
            bounded("camera.rounded_within", text, value, 1.0)?
        }
    };
    Ok(Taken {
        held,
        square_within_deg,
        lens_within: share("camera.lens_within", &form.lens_within, 0.2)?,
        plane_within: share("camera.plane_within", &form.plane_within, 0.2)?,
        rounded_within_mm,
    })
}

/// A bound from 0 to `most`.
fn bounded(
    field: &str,
    text: &Spanned<String>,
    value: f64,
    most: f64,
) -> Result<Option<f64>, Refusal> {
    if (0.0..=most).contains(&value) {
        return Ok(Some(value));
    }
    Err(Refusal {
        line: Some(text.span().start),
        ..Refusal::new(
            format!("'{}' is outside what a bound may be here (0 to {most} in degrees, millimetres or as a share)", text.get_ref()),
            "state how far it may be off: square_within = \"5 deg\", lens_within = \"1 %\", plane_within = \"0.5 %\", rounded_within = \"0.1 mm\"",
        )
        .in_field(field)
    })
}

/// A value in every usual unit.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct UnitsOut {
    /// The text as given.
    pub text: String,
    /// What kind of quantity it is.
    pub kind: String,
    /// Its value in each usual unit.
    pub values: Vec<ConvertedOut>,
    /// A note, such as the nearest 1/64 inch.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

/// One value in one unit.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ConvertedOut {
    /// The number.
    pub value: f64,
    /// Its unit.
    pub unit: String,
    /// Both, rounded for people.
    pub shown: String,
}

/// What a photograph shows.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct ReadOut {
    /// The reading file.
    pub file: String,
    /// The photo, beside it.
    pub photo: String,
    /// The kind of joint.
    pub joint_kind: String,
    /// Coupon label.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub coupon: Option<String>,
    /// Section label.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub section: Option<String>,
    /// Photos with the same one share a scale.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub scale_id: Option<String>,
    /// Which reading of this section.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reading: Option<String>,
    /// Who read it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reader: Option<String>,
    /// Millimetres per pixel.
    pub mm_per_px: f64,
    /// Its relative standard uncertainty.
    pub mm_per_px_u_rel: f64,
    /// Do two scales contradict each other?
    pub scale_clash: bool,
    /// Readings by weld: `only`, `left`, `right`, `top`, `bottom`.
    pub welds: Map<String, Value>,
    /// Readings of the joint as a whole.
    pub joint: Map<String, Value>,
    /// The outlines; a reading that is kept in a study is without them, since they come out of its section again.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub outlines: Vec<OutlineOut>,
    /// What the reader must know.
    pub remarks: Vec<String>,
    /// What is not there, and why.
    pub absent: Map<String, Value>,
}

/// An outline on the photo and in the section.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct OutlineOut {
    /// `fused`, `affected`, `pore`, `crack` or `unfused`.
    pub kind: String,
    /// The weld it belongs to.
    pub weld: String,
    /// Points, pixels.
    pub px: Vec<[f64; 2]>,
    /// The same in the section's frame, mm.
    pub mm: Vec<[f64; 2]>,
    /// Standard uncertainty of each point across the line, mm.
    pub u_mm: Vec<f64>,
}

/// Outlines proposed around a place.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ProposedOut {
    /// The photo.
    pub photo: String,
    /// The place, pixels.
    pub inside: [f64; 2],
    /// One, or two that are nested, the inner one first.
    pub outlines: Vec<ProposedOutlineOut>,
    /// What the person must know.
    pub caution: &'static str,
}

/// Plates proposed from a photo.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PlatesOut {
    /// The faces as in `[plates]`, each with its points, pixels.
    pub plates: BTreeMap<&'static str, Vec<[f64; 2]>>,
    /// What the person must know.
    pub caution: &'static str,
}

/// One outline that may be it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ProposedOutlineOut {
    /// Which line it is, in words.
    pub which: &'static str,
    /// The weld it belongs to: not known from the photo alone, so a joint with two welds asks for it.
    pub side: Option<&'static str>,
    /// Set points that give it, pixels.
    pub points: Vec<[f64; 2]>,
    /// Whether a line is seen along it, and why.
    pub seen: String,
}

/// How much throat may be claimed.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ClaimOut {
    /// The column that was claimed.
    pub value: String,
    /// Share of all sections.
    pub content: f64,
    /// Confidence.
    pub confidence: f64,
    /// The throat needed, mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub need_mm: Option<f64>,
    /// The claim: the statistical bound less the shared error, mm, unrounded.
    pub bound_mm: f64,
    /// The bound before the shared error, mm.
    pub statistical_bound_mm: f64,
    /// (mean - statistical bound) / s.
    pub k: f64,
    /// Sections with a value.
    pub n: usize,
    /// Coupons with a value.
    pub coupons: usize,
    /// Mean used by the method, mm.
    pub mean_mm: f64,
    /// Total standard deviation, mm.
    pub s_mm: f64,
    /// Standard deviation within coupons, mm.
    pub within_mm: Option<f64>,
    /// Standard deviation between coupons, mm.
    pub between_mm: Option<f64>,
    /// What the shared error takes away, mm.
    pub shared_mm: f64,
    /// Relative standard uncertainty common to all readings.
    pub shared_u: Option<f64>,
    /// How the bound was reached.
    pub method: String,
    /// `met`, `met within coupon`, `not met`, `cannot claim`, `in doubt`, `bound only` or `bound only within coupon`.
    pub verdict: String,
    /// The verdict as a sentence.
    pub sentence: String,
    /// Whether the claim speaks for the procedure.
    pub speaks_for_procedure: bool,
    /// What the claim speaks for.
    pub population: String,
    /// Whether the values look normal.
    pub normality: String,
    /// Sections without a value, and why.
    pub left_out: Vec<LeftOutOut>,
    /// Bounds of the sides, where they are bounded apart.
    pub sides: Vec<SideOut>,
    /// What more work would bring.
    pub more_sections: Option<MoreOut>,
    /// Repeat readings: standard deviation of one reading, mm.
    pub repeatability_mm: Option<f64>,
    /// What the reader of the claim must know.
    pub remarks: Vec<String>,
}

/// A section without a value.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct LeftOutOut {
    /// Its coupon.
    pub coupon: Option<String>,
    /// Its label.
    pub section: String,
    /// Its side.
    pub weld: Option<String>,
    /// Why.
    pub reason: String,
}

/// The bound of one side.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SideOut {
    /// The side.
    pub weld: String,
    /// Sections with a value.
    pub n: usize,
    /// Mean, mm.
    pub mean_mm: f64,
    /// Standard deviation, mm.
    pub s_mm: f64,
    /// Bound after the shared error, mm.
    pub bound_mm: f64,
}

/// What more work would bring.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct MoreOut {
    /// The chance aimed at.
    pub aimed_chance: f64,
    /// More sections from the same coupons.
    pub sections: ReachOut,
    /// More coupons.
    pub coupons: ReachOut,
    /// Sections cut from each further coupon.
    pub sections_per_coupon: usize,
    /// Median bound after ten more sections, mm.
    pub after_ten_sections_mm: Option<f64>,
    /// Median bound after one more coupon, mm.
    pub after_one_coupon_mm: Option<f64>,
}

/// How far one way of adding work goes.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ReachOut {
    /// How many more reach the need; none when no number that was tried does.
    pub more: Option<usize>,
    /// The most that was tried, where none reaches.
    pub tried: Option<usize>,
    /// The chance that the bound then meets the need.
    pub chance: Option<f64>,
    /// Why it is not told.
    pub why: Option<String>,
}

//! `read`: what does this etched section show, and how surely?

pub mod says;

use crate::files;
use crate::refusal::Refusal;
use crate::wire::{Asked, OutlineOut, ReadOut, reading_from_toml};
use photo::decode::{Photo, decode};
use photo::lay::LayError;
use photo::marks::{Marks, Px};
pub use photo::reading::SAY_WHICH;
use photo::reading::{OTHER_THICKNESS, Read, ReadError, Value, WeldRead, read as read_photo};
use photo::scale::ScaleError;
use serde_json::Map;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use weld::section::{Point, SectionError};

/// A photograph that was read.
#[derive(Clone, Debug)]
pub struct Done {
    /// The form of the answer.
    pub out: ReadOut,
    /// What was asked.
    pub asked: Asked,
    /// The reading, as nouns.
    pub read: Read,
    /// The photo, for an overlay.
    pub photo: Arc<Photo>,
    /// Where the photo lies, or its name in a study.
    pub photo_path: PathBuf,
    /// The BLAKE3 hash of the photo's bytes.
    pub photo_hash: [u8; 32],
    /// Fingerprint of the reading file and its photo.
    pub fingerprint: [u8; 32],
}

impl Done {
    /// Is any weld refused because its etched face shows no fusion line? Then the answer is no (exit code 1).
    #[must_use]
    pub fn refused(&self) -> bool {
        self.read.welds.iter().any(|weld| weld.refused.is_some())
    }

    /// Where readings are measured, on the photo.
    #[must_use]
    pub fn dimensions(&self) -> Vec<OnPhoto> {
        let frame = &self.read.frame;
        let of_weld = |weld: &WeldRead| -> Vec<OnPhoto> {
            weld.dimensions
                .iter()
                .map(|d| OnPhoto {
                    weld: weld.side.word(),
                    reading: d.reading.field(),
                    from: frame.px_from_section(d.from),
                    to: frame.px_from_section(d.to),
                })
                .collect()
        };
        self.read.welds.iter().flat_map(of_weld).collect()
    }

    /// Second lines that run beside the fused zones' outlines, in pixels: a person must say which is the fusion line.
    #[must_use]
    pub fn second_lines(&self) -> Vec<Vec<[f64; 2]>> {
        self.read.beside.iter().map(|second| second.px.clone()).collect()
    }
}

/// Where a reading is measured, on the photo.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OnPhoto {
    /// The weld's side.
    pub weld: &'static str,
    /// The reading's field.
    pub reading: &'static str,
    /// From here, in pixels.
    pub from: [f64; 2],
    /// To here.
    pub to: [f64; 2],
}

/// A photo that was decoded once, for as many readings as are wanted.
#[derive(Clone, Debug)]
pub struct Decoded {
    /// The photo.
    pub photo: Arc<Photo>,
    /// The BLAKE3 hash of the file's bytes.
    pub hash: [u8; 32],
}

/// Decodes the bytes of a photo file.
///
/// # Errors
///
/// When they are no photo that is read, with the fact and the next action.
pub fn decoded(bytes: &[u8]) -> Result<Decoded, Refusal> {
    let photo = decode(bytes).map_err(|e| Refusal::new(&e, e.advice()))?;
    Ok(Decoded { photo: Arc::new(photo), hash: *blake3::hash(bytes).as_bytes() })
}

/// Reads one reading file and its photo.
///
/// # Errors
///
/// Says file, line, field, fact and next action.
pub fn read(path: &Path) -> Result<Done, Refusal> {
    let file = path.display().to_string();
    let text = files::text(path)?;
    let asked = reading_from_toml(&file, &text)?;
    let photo_path = beside(path, &asked.photo);
    let told = |r: Refusal| of_photo(r, &photo_path, &file, &asked);
    let bytes = files::photo(&photo_path).map_err(told)?;
    let decoded = decoded(&bytes).map_err(told)?;
    marked(&file, &text, asked, photo_path, &decoded)
}

/// Reads a section from the text of its reading file and its photo, wherever they are kept. `file` is what the reading
/// file is called, `photo` what the photo is.
///
/// # Errors
///
/// As [`read`].
pub fn read_text(
    file: &str,
    text: &str,
    photo: PathBuf,
    decoded: &Decoded,
) -> Result<Done, Refusal> {
    let asked = reading_from_toml(file, text)?;
    marked(file, text, asked, photo, decoded)
}

/// A photo's own trouble, told where it is named.
pub(crate) fn of_photo(r: Refusal, photo: &Path, file: &str, asked: &Asked) -> Refusal {
    let named = r.file.clone().unwrap_or_else(|| photo.display().to_string());
    Refusal { fact: format!("{named}: {}", r.fact), ..r }
        .in_file(file)
        .at_line(Some(asked.photo_line))
        .in_field("photo")
}

fn marked(
    file: &str,
    text: &str,
    asked: Asked,
    photo_path: PathBuf,
    decoded: &Decoded,
) -> Result<Done, Refusal> {
    let Decoded { photo, hash } = decoded;
    // The draws are seeded from the photo, so that the same photo and marks always give the same figures.
    let seed = hash[..8].iter().fold(0_u64, |s, b| (s << 8) | u64::from(*b));
    let read =
        read_photo(photo, &asked.marks, seed).map_err(|e| place(&e, &asked).in_file(file))?;
    let mut out = form(file, &asked, &read);
    if let Some(remark) = lying_ending(&photo_path, photo) {
        out.remarks.insert(0, remark);
    }
    let mut both = blake3::Hasher::new();
    both.update(text.as_bytes()).update(hash);
    let fingerprint = *both.finalize().as_bytes();
    let photo = Arc::clone(photo);
    Ok(Done { out, asked, read, photo, photo_path, photo_hash: *hash, fingerprint })
}

/// A name in a file is meant beside that file.
pub(crate) fn beside(file: &Path, name: &str) -> PathBuf {
    file.parent().unwrap_or_else(|| Path::new("")).join(name)
}

fn lying_ending(path: &Path, photo: &Photo) -> Option<String> {
    let ending = path.extension()?.to_str()?.to_ascii_lowercase();
    let usual = photo.format.usual_endings();
    (!usual.contains(&ending.as_str())).then(|| {
        format!(
            "the name ends in .{ending}, but the content is a {}: read as what it is",
            photo.format.words()
        )
    })
}

/// Where in the file a refusal of the reader belongs.
fn place(error: &ReadError, asked: &Asked) -> Refusal {
    let refusal = Refusal::new(error, error.advice());
    let lines = &asked.lines;
    let in_plates = |refusal: Refusal, field: &str| {
        refusal.in_field(format!("plates.{field}")).at_line(Some(lines.plate(field)))
    };
    match error {
        ReadError::Scale(e) => {
            let mark = match e {
                ScaleError::BadLength { mark, .. }
                | ScaleError::BadUncertainty { mark, .. }
                | ScaleError::TooShort { mark, .. }
                | ScaleError::OutsidePhoto { mark, .. } => *mark,
                _ => 1,
            };
            let line = lines.scale.get(mark.wrapping_sub(1)).or(lines.scale.first());
            refusal.in_field("scale").at_line(line.copied())
        }
        ReadError::Trace { kind, number, error } => {
            let mut same = lines.outlines.iter().filter(|(k, _)| k.word() == *kind);
            let several = same.clone().count() > 1;
            let line = same.nth(number.saturating_sub(1)).map(|(_, line)| *line);
            let which = if several { format!("outline number {number}: ") } else { String::new() };
            Refusal::new(format!("{which}{error}"), error.advice())
                .in_field(format!("{kind}.points"))
                .at_line(line)
        }
        ReadError::PlateOutside { field, .. } | ReadError::PlateLength { field, .. } => {
            in_plates(refusal, field)
        }
        ReadError::Lay(e) => match e {
            LayError::Missing { field, .. }
            | LayError::NoDirection { field }
            | LayError::NoCorner { field, .. }
            | LayError::OtherFace { field } => in_plates(refusal, field),
            LayError::FlatJointLine { .. } => in_plates(refusal, "joint_line"),
            LayError::WhichSide => in_plates(refusal, "base"),
            LayError::WhichWayUp => in_plates(refusal, "surface"),
            LayError::NoThickness => in_plates(refusal, "upright_left"),
            _ => refusal.in_field("plates").at_line(Some(lines.plates)),
        },
        ReadError::Section(SectionError::Angle { .. }) => {
            refusal.in_field("plates").at_line(Some(lines.plates))
        }
        ReadError::Section(_) => {
            refusal.in_field("fused").at_line(lines.outlines.first().map(|(_, line)| *line))
        }
        ReadError::Straighten(_) => refusal.in_field("straighten").at_line(lines.straighten),
        ReadError::CutAngle { field, .. } => {
            refusal.in_field(format!("cut.{field}")).at_line(lines.cut)
        }
        _ => refusal.in_field("photo").at_line(Some(asked.photo_line)),
    }
}

fn number(value: f64) -> serde_json::Value {
    serde_json::Number::from_f64(value).map_or(serde_json::Value::Null, serde_json::Value::Number)
}

fn enter(map: &mut Map<String, serde_json::Value>, name: &str, value: &Value) {
    map.insert(name.to_owned(), number(value.value));
    map.insert(format!("{name}_u"), number(value.u));
    map.insert(format!("{name}_u_shared"), number(value.u_shared));
    map.insert(format!("{name}_interval"), value.interval.map(number).to_vec().into());
    if value.correction != 0.0 {
        map.insert(format!("{name}_correction"), number(value.correction));
    }
    if let Some(mostly) = value.mostly {
        map.insert(format!("{name}_mostly"), mostly.words().into());
    }
}

fn form(file: &str, asked: &Asked, read: &Read) -> ReadOut {
    let mut welds = Map::new();
    let mut absent = Map::new();
    let mut remarks = read.remarks.clone();
    let several = read.welds.len() > 1;
    for weld in &read.welds {
        let name = weld.side.word();
        let mut map = Map::new();
        for (reading, value) in &weld.values {
            enter(&mut map, reading.field(), value);
        }
        map.insert("mirrored".to_owned(), weld.mirrored.into());
        for (reading, why) in &weld.absent {
            let key = if several {
                format!("{name}.{}", reading.field())
            } else {
                reading.field().to_owned()
            };
            absent.insert(key, why.clone().into());
        }
        remarks.extend(
            weld.remarks.iter().map(|r| if several { format!("{name}: {r}") } else { r.clone() }),
        );
        welds.insert(name.to_owned(), map.into());
    }
    let mut joint = Map::new();
    for (name, value) in &read.joint.values {
        enter(&mut joint, name, value);
    }
    for (name, answer) in &read.joint.answers {
        joint.insert((*name).to_owned(), answer.word().into());
    }
    for (name, why) in &read.joint.absent {
        absent.insert((*name).to_owned(), why.clone().into());
    }
    remarks.extend(read.joint.remarks.iter().cloned());
    ReadOut {
        file: file.to_owned(),
        photo: asked.photo.clone(),
        joint_kind: asked.marks.joint.word().to_owned(),
        coupon: asked.coupon.clone(),
        section: asked.section.clone(),
        scale_id: asked.scale_id.clone(),
        reading: asked.reading.clone(),
        reader: asked.reader.clone(),
        mm_per_px: read.scale.mm_per_px,
        mm_per_px_u_rel: read.scale.u_rel,
        scale_clash: read.scale.clash.is_some(),
        welds,
        joint,
        outlines: read
            .outlines
            .iter()
            .map(|o| OutlineOut {
                kind: o.kind.word().to_owned(),
                weld: o.side.map_or("only", |s| s.word()).to_owned(),
                px: o.px.clone(),
                mm: o.mm.clone(),
                u_mm: o.u_mm.clone(),
            })
            .collect(),
        remarks,
        absent,
    }
}

/// The trade's words for a reading of the joint as a whole.
#[must_use]
pub fn joint_words(name: &str) -> &str {
    match name {
        "throat_mm" => "throat of the joint",
        "overlap_mm" => "overlap on the joint line",
        "unfused_land_mm" => "unfused land",
        "misalignment_mm" => "misalignment",
        "complete_penetration" => "complete penetration",
        "full_penetration_by_4_7_3" => "full penetration by EN 1993-1-8 4.7.3 (Recalled)",
        other => other,
    }
}

/// The reading as nouns, for doors that print it.
pub mod nouns {
    pub use photo::reading::{JointRead, Value, WeldRead};
}

/// A plate by the marked faces beside the same one by the joint: a check of the scale that costs nobody anything.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlateSeen {
    /// Which one.
    pub what: &'static str,
    /// By the photo's scale, mm.
    pub seen_mm: f64,
    /// By the joint, mm.
    pub known_mm: f64,
}

/// From so much on it is told that a plate and the joint differ: a scale that is off by one mark of a rule shows so, and
/// rolled plates may vary as much. A judgement, no source.
const WORTH_A_WORD: f64 = 0.03;

impl PlateSeen {
    /// The plate whose two faces are marked: how far they lie apart where their points are, since a face that is carried on
    /// to the corner carries the hand's error on with it. A typed thickness of the upright is held against the joint too.
    #[must_use]
    pub fn of(read: &Read, marks: &Marks, joint: &physics::strength::Joint) -> Option<Self> {
        use physics::strength::Joint;
        use weld::section::Plates;
        let p = &marks.plates;
        match (&read.section.plates, joint) {
            (Plates::Tee(tee), Joint::Tee(asked)) => {
                let between = apart(read, &p.upright_left, &p.upright_right);
                let seen_mm = between.or(tee.upright_thickness)?;
                let known_mm = asked.upright.thickness.mm();
                Some(Self { what: "the upright", seen_mm, known_mm })
            }
            // Of two thicknesses nobody says which plate lies on the left.
            (Plates::Butt(_), Joint::Butt(asked))
                if asked.parts[0].thickness == asked.parts[1].thickness =>
            {
                let seen_mm = apart(read, &p.surface, &p.bottom)?;
                let known_mm = asked.parts[0].thickness.mm();
                Some(Self { what: "the plate", seen_mm, known_mm })
            }
            _ => None,
        }
    }

    fn off(self) -> f64 {
        self.seen_mm / self.known_mm - 1.0
    }

    /// It cannot be the same plate: the scale is wrong, or the joint.
    #[must_use]
    pub fn is_another(self) -> bool {
        self.off().abs() > OTHER_THICKNESS
    }

    /// Worth a word, though plates vary.
    #[must_use]
    pub fn differs(self) -> bool {
        self.off().abs() > WORTH_A_WORD
    }

    /// As a sentence, with what to do where they differ. `name`: the joint's.
    #[must_use]
    pub fn words(self, name: &str) -> String {
        let Self { what, seen_mm, known_mm } = self;
        let seen = format!("by this scale and these faces {what} is {seen_mm:.2} mm thick");
        if !self.differs() {
            return format!("{seen}; {name} says {known_mm:.2} mm");
        }
        let off = format!(
            "{seen}, {:.0} % {} than the {known_mm:.2} mm that {name} says",
            100.0 * self.off().abs(),
            if self.off() > 0.0 { "more" } else { "less" }
        );
        if self.is_another() {
            format!(
                "{off}: are the length and the unit of the scale right, and do both faces lie on the plate?"
            )
        } else {
            format!(
                "{off}: measure the plate with a calliper, and look at the scale's points and length and at the faces again; every length here is off by as much as the scale"
            )
        }
    }
}

/// How far two faces of one plate lie apart, mm, square to the mean of their directions, between the middles of their points.
fn apart(read: &Read, one: &[Px], two: &[Px]) -> Option<f64> {
    let faces = [one, two].map(|points| {
        let mm: Vec<Point> = points.iter().map(|p| read.frame.section_from_px(*p)).collect();
        let pairs = mm.iter().flat_map(|a| mm.iter().map(move |b| *b - *a));
        let along = pairs.max_by(|a, b| a.norm().total_cmp(&b.norm()))?;
        let middle = mm.iter().fold(Point::default(), |sum, p| sum + *p) * (1.0 / mm.len() as f64);
        Some((middle, along.unit()?))
    });
    let [(a, along), (b, other)] = [faces[0]?, faces[1]?];
    let other = if along.dot(other) < 0.0 { other * -1.0 } else { other };
    Some((b - a).cross((along + other).unit()?).abs())
}

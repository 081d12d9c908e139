//! The setup file of a controlled area: the beam, the optics, the room, the gas, the curtains, the eyewear.
//!
//! Quantities are texts in shop notation, shares are numbers or percents, places are two lengths counted from the
//! room's lower left corner.

use super::claim_file::date;
use super::quantity;
use super::setting::{AskedProcess, setting_from_toml};
use crate::refusal::{Refusal, line_of};
use report::paper::Date;
use safety::OutOfRange;
use safety::barrier::Rated;
use safety::beam::{Beam, PulseData, Spread, WidthAt};
use safety::distance::Scatter;
use safety::exposure::{BLINK_TIME, UNSEEN_TIME};
use safety::eyewear::Marking;
use safety::fume::{Parent, Wire};
use safety::gas::{LEAST_GAS, let_out};
use safety::room::{Piece, Place};
use safety::shade::Arc;
use serde::{Deserialize, Serialize};
use std::ops::Range;
use toml::Spanned;
use weld::quantity::kind::Quantity;
use weld::quantity::show::{Rounding, show_in, significant};
use weld::quantity::{
    Angle, Duration, Frequency, GasFlow, Irradiance, Length, Power, Share, Speed, Stress, Volume,
};

type Text = Option<Spanned<String>>;

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct SetupForm {
    setting: Text,
    power: Text,
    wavelength: Text,
    divergence: Text,
    beam_diameter: Text,
    focal_length: Text,
    beam_at_lens: Text,
    widths_at: Text,
    exposure: Text,
    reflectance: Option<Spanned<ShareForm>>,
    viewing_angle: Text,
    diffuse_source: Text,
    torch_height: Text,
    fibre: Option<Spanned<FibreForm>>,
    pulse: Option<Spanned<PulseForm>>,
    pilot: Option<Spanned<PilotForm>>,
    work: Option<Spanned<WorkForm>>,
    eyewear: Option<Spanned<EyewearForm>>,
    arc: Option<Spanned<ArcForm>>,
    room: Option<Spanned<RoomForm>>,
    #[serde(default)]
    torch: Vec<Spanned<TorchForm>>,
    #[serde(default)]
    door: Vec<Spanned<DoorForm>>,
    #[serde(default)]
    window: Vec<Spanned<WindowForm>>,
    #[serde(default)]
    curtain: Vec<Spanned<CurtainForm>>,
    gas: Option<Spanned<GasForm>>,
    fume: Option<Spanned<FumeForm>>,
    signed: Option<Spanned<SignedForm>>,
    paper: Option<Spanned<PaperForm>>,
}

/// A share as a number or in percent.
#[derive(Debug, Deserialize)]
#[serde(untagged, expecting = "a share is a number such as 0.6 or a text such as \"60 %\"")]
enum ShareForm {
    Number(f64),
    Text(String),
}

/// A number of times in an hour.
#[derive(Debug, Deserialize)]
#[serde(untagged, expecting = "air changes are a number in an hour, such as 0.4 or \"0.4 /h\"")]
enum PerHourForm {
    Number(f64),
    Text(String),
}

/// A room's volume, or its three sides.
#[derive(Debug, Deserialize)]
#[serde(
    untagged,
    expecting = "a room is a volume such as \"50 m3\" or its sides [\"5 m\", \"4 m\", \"2.5 m\"]"
)]
enum VolumeForm {
    Text(String),
    Sides(Vec<String>),
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct FibreForm {
    na: Option<Spanned<f64>>,
    mode_field: Text,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct PulseForm {
    duration: Spanned<String>,
    frequency: Spanned<String>,
    peak_power: Text,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct PilotForm {
    power: Spanned<String>,
    wavelength: Spanned<String>,
    exposure: Text,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct WorkForm {
    mirrored: Option<Spanned<ShareForm>>,
    shape: Text,
    radius: Text,
    diameter: Text,
    beam_on_work: Text,
    m2: Option<Spanned<f64>>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct EyewearForm {
    marking: Text,
    spot: Text,
    at: Text,
    luminous_transmittance: Option<Spanned<ShareForm>>,
    confirmed: Text,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct ArcForm {
    process: Spanned<String>,
    current: Spanned<String>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct RoomForm {
    width: Spanned<String>,
    depth: Spanned<String>,
    height: Text,
    torch: Spanned<Vec<String>>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct TorchForm {
    at: Spanned<Vec<String>>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct DoorForm {
    name: Option<String>,
    from: Spanned<Vec<String>>,
    to: Spanned<Vec<String>>,
    interlocked: bool,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct WindowForm {
    name: Option<String>,
    from: Spanned<Vec<String>>,
    to: Spanned<Vec<String>>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct CurtainForm {
    name: Option<String>,
    from: Option<Spanned<Vec<String>>>,
    to: Option<Spanned<Vec<String>>>,
    distance: Text,
    height: Spanned<String>,
    bottom_gap: Text,
    #[serde(default)]
    rating: Vec<RatedForm>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct RatedForm {
    stands: Spanned<String>,
    time: Spanned<String>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct GasForm {
    kind: Text,
    flow: Text,
    leak: Text,
    room: Option<Spanned<VolumeForm>>,
    air_changes: Option<Spanned<PerHourForm>>,
    cylinder: Text,
    cylinder_pressure: Text,
    liquid: Text,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct FumeForm {
    parent: Spanned<String>,
    wire: Text,
    hood: Option<Spanned<Vec<String>>>,
    hood_distance: Text,
    #[serde(default)]
    flanged: bool,
    velocity: Text,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct SignedForm {
    by: Spanned<String>,
    date: Spanned<String>,
    fingerprint: Spanned<String>,
    setting: Option<String>,
    power: Text,
    wavelength: Text,
    divergence: Text,
    focal_length: Text,
    beam_at_lens: Text,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct PaperForm {
    site: Spanned<String>,
    author: Spanned<String>,
    officer: Option<String>,
    date: Text,
    title: Option<String>,
    #[serde(default)]
    invented: bool,
}

/// A setup file turned into nouns.
#[derive(Clone, Debug)]
pub struct Setup {
    /// The beam.
    pub beam: Beam,
    /// How it spreads, in each of the ways that the file gives.
    pub bare: Option<Spread>,
    /// Beyond the focus of the welding head.
    pub focused: Option<Spread>,
    /// From the fibre's end.
    pub fibre: Option<Spread>,
    /// Where widths and divergence are measured.
    pub widths_at: WidthAt,
    /// Nothing says where they are measured, and a distance rests on it.
    pub widths_unsaid: bool,
    /// The pulses as they were given.
    pub pulses: Option<PulseData>,
    /// How long somebody may be exposed.
    pub time: Duration,
    /// The work's diffuse reflection.
    pub scatter: Scatter,
    /// The torch above the floor.
    pub torch_height: Length,
    /// The visible beam that shows the way.
    pub pilot: Option<Pilot>,
    /// What the work mirrors.
    pub work: Work,
    /// The pair at hand, and where it may be struck.
    pub eyewear: Eyewear,
    /// An arc beside the beam, with its current in amperes.
    pub arc: Option<(Arc, f64)>,
    /// The room.
    pub room: Option<Room>,
    /// Curtains.
    pub curtains: Vec<Curtain>,
    /// Shielding gas.
    pub gas: Option<Gas>,
    /// It was said that none flows.
    pub no_gas: bool,
    /// Fume.
    pub fume: Option<Fume>,
    /// The plan that was signed.
    pub signed: Option<Signed>,
    /// What the plan says about itself.
    pub paper: Option<PaperAsked>,
    /// The beam in the words of its maker: as the setup says it, else as its setting does.
    pub beam_said: BeamSaid,
    /// The setting that the setup names.
    pub setting: Option<OfSetting>,
    /// What was taken because nothing was said.
    pub taken: Vec<String>,
    /// Lines of fields that a later refusal may name.
    lines: Vec<(String, usize)>,
}

/// Figures of a beam that a setting gives as well as a setup.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct BeamSaid {
    /// Power.
    pub power: Option<Power>,
    /// Wavelength.
    pub wavelength: Option<Length>,
    /// Full angle of the bare beam.
    pub divergence: Option<Angle>,
    /// Focal length of the last lens.
    pub focal_length: Option<Length>,
    /// Width of the beam on that lens.
    pub beam_at_lens: Option<Length>,
}

/// The names of [`BeamSaid`]'s figures, as files and pages have them.
pub const BEAM_FIELDS: [&str; 5] =
    ["power", "wavelength", "divergence", "focal_length", "beam_at_lens"];

impl BeamSaid {
    /// Each figure in the unit that people write it in, in the order of [`BEAM_FIELDS`]; none where nothing is said.
    #[must_use]
    pub fn texts(&self) -> [Option<String>; 5] {
        let text = |value: f64, unit: &str| format!("{} {unit}", significant(value, 6));
        [
            self.power.map(|p| text(p.w(), "W")),
            self.wavelength.map(|l| text(l.nm(), "nm")),
            self.divergence.map(|a| text(1e3 * a.rad(), "mrad")),
            self.focal_length.map(|l| text(l.mm(), "mm")),
            self.beam_at_lens.map(|l| text(l.mm(), "mm")),
        ]
    }

    /// The same as numbers.
    fn figures(&self) -> [Option<f64>; 5] {
        [
            self.power.map(Power::w),
            self.wavelength.map(Length::nm),
            self.divergence.map(Angle::rad),
            self.focal_length.map(Length::mm),
            self.beam_at_lens.map(Length::mm),
        ]
    }

    /// The figures that both say, and differently: field, this one, the other; what one of them leaves out is no difference.
    #[must_use]
    pub fn against(&self, other: &Self) -> Vec<[String; 3]> {
        self.apart(other)
            .filter_map(|i| {
                let (one, two) = (self.texts()[i].clone()?, other.texts()[i].clone()?);
                Some([BEAM_FIELDS[i].to_owned(), one, two])
            })
            .collect()
    }

    /// Every figure that is another one than before, as a sentence's part.
    #[must_use]
    pub fn changed_from(&self, before: &Self) -> Vec<String> {
        self.apart(before)
            .map(|i| {
                let said = |t: &Option<String>| t.clone().unwrap_or_else(|| "not said".to_owned());
                format!(
                    "{} was {}, is {}",
                    BEAM_FIELDS[i].replace('_', " "),
                    said(&before.texts()[i]),
                    said(&self.texts()[i])
                )
            })
            .collect()
    }

    fn apart(&self, other: &Self) -> impl Iterator<Item = usize> {
        let (one, two) = (self.figures(), other.figures());
        (0..BEAM_FIELDS.len()).filter(move |&i| match (one[i], two[i]) {
            (Some(a), Some(b)) => (a - b).abs() > 1e-6 * a.abs().max(b.abs()),
            (a, b) => a.is_some() != b.is_some(),
        })
    }
}

/// What a setting says of its beam, for the area about it. Its widths are at 1/e², as its spot is.
#[derive(Clone, Debug, PartialEq)]
pub struct OfSetting {
    /// The setting, as the setup names it.
    pub name: String,
    /// The beam.
    pub beam: BeamSaid,
    /// The setting does not say its wavelength.
    pub wavelength_taken: bool,
    /// Figures that the setup says itself and otherwise: field, the setup's, the setting's. A greater power is none: it is
    /// the greatest that the laser can give.
    pub clashes: Vec<[String; 3]>,
    /// Figures that the area takes from the setting.
    pub lent: Vec<&'static str>,
}

impl Setup {
    /// The figures of the beam that the setting lends, as texts.
    pub(crate) fn lent(&self) -> impl Iterator<Item = (&'static str, String)> {
        let texts = self.beam_said.texts();
        let lent = self.setting.as_ref().map(|s| s.lent.clone()).unwrap_or_default();
        BEAM_FIELDS
            .into_iter()
            .zip(texts)
            .filter(move |(field, _)| lent.contains(field))
            .filter_map(|(field, text)| Some((field, text?)))
    }
}

/// The text of a setting by the name that a setup gives it: a file beside it, or a record of its study.
pub type FindSetting<'a> = dyn Fn(&str) -> Result<String, Refusal> + 'a;

/// The pilot beam.
#[derive(Clone, Copy, Debug)]
pub struct Pilot {
    /// The beam.
    pub beam: Beam,
    /// How long one looks into it.
    pub time: Duration,
}

/// How the work mirrors.
#[derive(Clone, Copy, Debug)]
pub struct Work {
    /// Share that is mirrored.
    pub mirrored: Share,
    /// Its shape.
    pub shape: Shape,
    /// Width of the beam on it, at 1/e.
    pub beam_on_work: Length,
    /// Beam quality M², where it is known: how little a bulge can leave of the divergence.
    pub m2: Option<f64>,
}

/// The shape of a surface that mirrors.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Shape {
    /// Flat.
    Flat,
    /// A tube of a radius.
    Tube(Length),
    /// A ball of a radius.
    Ball(Length),
    /// Hollow: it may gather the beam.
    Hollow,
}

/// Eyewear at hand.
#[derive(Clone, Debug)]
pub struct Eyewear {
    /// Its marking, as typed and as read.
    pub marking: Option<(String, Marking)>,
    /// Width of the beam where it may be struck, at 1/e.
    pub spot: Length,
    /// That width was given.
    pub spot_said: bool,
    /// What its maker has stated of the beam that it stands.
    pub confirmed: Option<String>,
    /// How far from the work its wearer is, where that is said.
    pub at: Option<Length>,
    /// Its luminous transmittance.
    pub luminous: Option<Share>,
}

/// A room on the plan.
#[derive(Clone, Debug)]
pub struct Room {
    /// Its width.
    pub width: Length,
    /// Its depth.
    pub depth: Length,
    /// Its height, where it is given.
    pub height: Option<Length>,
    /// The places that the torch is carried to, the first one first.
    pub torches: Vec<Place>,
    /// Doors and windows: name, place, and whether it stops a beam.
    pub openings: Vec<Named>,
}

/// A door or a window.
#[derive(Clone, Debug)]
pub struct Named {
    /// Its name.
    pub name: String,
    /// Where.
    pub piece: Piece,
    /// Whether it is a window.
    pub window: bool,
    /// Whether it stops the beam.
    pub stops: bool,
}

/// A curtain.
#[derive(Clone, Debug)]
pub struct Curtain {
    /// Its name.
    pub name: String,
    /// Where on the plan.
    pub piece: Option<Piece>,
    /// Its distance from the torch.
    pub distance: Length,
    /// Its upper edge.
    pub top: Length,
    /// Its lower edge.
    pub gap: Length,
    /// The maker's rating.
    pub rating: Vec<Rated>,
    /// The line of its table.
    pub line: usize,
}

/// Shielding gas in a room.
#[derive(Clone, Copy, Debug)]
pub struct Gas {
    /// Which.
    pub kind: GasKind,
    /// Which it is was said.
    pub kind_said: bool,
    /// What flows while welding.
    pub flow: GasFlow,
    /// What leaks always.
    pub leak: GasFlow,
    /// The room.
    pub room: Volume,
    /// Changes of air in an hour.
    pub air_changes: f64,
    /// Somebody said how many.
    pub air_changes_said: bool,
    /// Somebody said whether a cylinder stands in the room.
    pub cylinder_said: bool,
    /// A flow or a leak is said, be it nothing.
    pub flows: bool,
    /// The gas that a cylinder lets out.
    pub cylinder: Option<Volume>,
    /// Its water volume, where it is named by that.
    pub water_volume: Option<Volume>,
    /// The liquid in a vessel.
    pub liquid: Option<Volume>,
    /// What the sides of the room come to, where they are given as well.
    pub sides: Option<Volume>,
}

/// A shielding gas.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum GasKind {
    /// Argon, or mostly argon.
    Argon,
    /// Nitrogen.
    Nitrogen,
    /// Helium.
    Helium,
}

impl GasKind {
    /// Its name.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Argon => "argon",
            Self::Nitrogen => "nitrogen",
            Self::Helium => "helium",
        }
    }

    /// What a liquid comes to as gas, times its own volume.
    const fn times_its_liquid(self) -> f64 {
        match self {
            Self::Argon => safety::gas::ARGON_FROM_LIQUID.value,
            Self::Nitrogen => safety::gas::NITROGEN_FROM_LIQUID.value,
            Self::Helium => safety::gas::HELIUM_FROM_LIQUID.value,
        }
    }
}

/// Fume and its hood.
#[derive(Clone, Debug)]
pub struct Fume {
    /// The parent metal, in words and as it is.
    pub parent: (&'static str, Parent),
    /// The wire.
    pub wire: (&'static str, Wire),
    /// The hood.
    pub hood: Option<Hood>,
}

/// A hood.
#[derive(Clone, Copy, Debug)]
pub struct Hood {
    /// Sides of its opening.
    pub sides: [Length; 2],
    /// From the opening to the weld.
    pub distance: Length,
    /// It has a flange.
    pub flanged: bool,
    /// The velocity wanted at the weld, where it is given.
    pub velocity: Option<Speed>,
}

/// The plan that was signed.
#[derive(Clone, Debug)]
pub struct Signed {
    /// By whom.
    pub by: String,
    /// When.
    pub date: Date,
    /// What stood under it.
    pub fingerprint: String,
    /// The setting that its beam came from.
    pub setting: Option<String>,
    /// The beam that it was worked out with, where it says so.
    pub beam: Option<BeamSaid>,
}

/// What the plan says about itself.
#[derive(Clone, Debug)]
pub struct PaperAsked {
    /// Where the area is.
    pub site: String,
    /// Who worked it out.
    pub author: String,
    /// The laser safety officer.
    pub officer: Option<String>,
    /// The date that it carries, unless the command says another.
    pub date: Option<Date>,
    /// Its title.
    pub title: Option<String>,
    /// The scenario is invented.
    pub invented: bool,
}

impl Setup {
    /// The line of a field.
    #[must_use]
    pub fn line(&self, field: &str) -> Option<usize> {
        self.lines.iter().find(|(name, _)| name == field).map(|(_, line)| *line)
    }

    /// A refusal of a formula, at the field that it is about.
    #[must_use]
    pub fn place(&self, error: &OutOfRange) -> Refusal {
        let field = field_of(error.what).unwrap_or("power");
        Refusal::new(error, error.advice()).in_field(field).at_line(self.line(field))
    }
}

/// The field of a setup file that a formula's words are about.
fn field_of(what: &str) -> Option<&'static str> {
    Some(match what {
        "the power" => "power",
        "the wavelength" => "wavelength",
        "the divergence" => "divergence",
        "the beam's width where it leaves" => "beam_diameter",
        "the focal length" => "focal_length",
        "the beam's width on the lens" => "beam_at_lens",
        "the numerical aperture" => "fibre.na",
        "the width of the mode field" => "fibre.mode_field",
        "the exposure" => "exposure",
        "the reflectance" => "reflectance",
        "the viewing angle" => "viewing_angle",
        "the size of the lit spot" => "diffuse_source",
        "the pulse frequency" | "the number of pulses in a second" => "pulse.frequency",
        "the pulse duration" | "the energy of a pulse" => "pulse.duration",
        "the peak power" => "pulse.peak_power",
        "the share that is mirrored" => "work.mirrored",
        "the beam's width on the work" => "work.beam_on_work",
        "the radius" => "work.radius",
        "the spot on the eyewear" => "eyewear.spot",
        "the distance" => "eyewear.at",
        "the current" => "arc.current",
        "the room's width" => "room.width",
        "the room's depth" => "room.depth",
        "the torch's place" => "room.torch",
        "another place of the torch" => "torch.at",
        "a door's or window's place" => "door",
        "a curtain's place" => "curtain",
        "the curtain's distance" => "curtain.distance",
        "the curtain's height" => "curtain.height",
        "the gap under the curtain" => "curtain.bottom_gap",
        "the torch's height" => "torch_height",
        "the room" => "gas.room",
        "the gas flow" => "gas.flow",
        "the number of air changes" => "gas.air_changes",
        "the gas in the cylinder" => "gas.cylinder",
        "the pressure in the cylinder" => "gas.cylinder_pressure",
        "the capture velocity" => "fume.velocity",
        "the hood's distance" => "fume.hood_distance",
        "the hood's opening" => "fume.hood",
        _ => return None,
    })
}

/// Turns the text of a setup file into nouns.
///
/// # Errors
///
/// Says line, field, fact and next action.
pub fn setup_from_toml(file: &str, text: &str, find: &FindSetting<'_>) -> Result<Setup, Refusal> {
    if let Some((what, advice)) = another_file(text) {
        return Err(Refusal::new(format!("this is {what}, not a setup"), advice).in_file(file));
    }
    let form: SetupForm = toml::from_str(text)
        .map_err(|e| Refusal::of_toml(file, text, &e).in_words_of(&TOP, own_advice))?;
    // Helpers carry the place as a byte offset in `line`.
    let placed =
        |r: Refusal| Refusal { line: r.line.map(|at| line_of(text, at)), ..r }.in_file(file);
    let setting = match &form.setting {
        None => None,
        Some(named) => Some(of_setting(named, find).map_err(placed)?),
    };
    let mut places = Vec::new();
    let mut setup = asked(&form, setting, text, &mut places).map_err(placed)?;
    setup.lines = places.into_iter().map(|(f, at)| (f, line_of(text, at))).collect();
    Ok(setup)
}

/// What another of our files this is, and what to do with it: told by a field that only that one has.
fn another_file(text: &str) -> Option<(&'static str, &'static str)> {
    let table: toml::Table = toml::from_str(text).ok()?;
    [
        (
            "process",
            "a setting",
            "write setting = \"laser.toml\" in a setup file, with its own name",
        ),
        (
            "photo",
            "a reading file",
            "give it to read; a setup file begins with power and wavelength",
        ),
        (
            "sections",
            "a claim file",
            "give it to claim; a setup file begins with power and wavelength",
        ),
        (
            "joint",
            "a joint file",
            "give it to start; a setup file begins with power and wavelength",
        ),
    ]
    .into_iter()
    .find(|(field, ..)| table.contains_key(*field))
    .map(|(_, what, advice)| (what, advice))
}

/// A refusal whose place is a byte offset in `line`.
fn here(span: Range<usize>, refusal: Refusal) -> Refusal {
    Refusal { line: Some(span.start), ..refusal }
}

fn missing(field: &str, advice: &str) -> Refusal {
    Refusal::new(format!("the field '{field}' is missing"), advice).in_field(field)
}

/// Reads fields, and remembers where they stand.
struct Reader<'a> {
    places: &'a mut Vec<(String, usize)>,
}

impl Reader<'_> {
    fn at(&mut self, field: &str, span: Range<usize>) {
        self.places.push((field.to_owned(), span.start));
    }

    fn of<Q: Quantity>(&mut self, field: &str, text: &Spanned<String>) -> Result<Q, Refusal> {
        self.at(field, text.span());
        let read: Q = quantity(field, text)?;
        if !read.si().is_finite() {
            let fact = format!("\"{}\" is too large to calculate with", text.get_ref());
            let refusal = Refusal::new(fact, own_advice(field).unwrap_or_default());
            return Err(here(text.span(), refusal.in_field(field)));
        }
        Ok(read)
    }

    fn maybe<Q: Quantity>(&mut self, field: &str, text: &Text) -> Result<Option<Q>, Refusal> {
        text.as_ref().map(|t| self.of(field, t)).transpose()
    }

    /// What must not be below nothing.
    fn not_below<Q: Quantity>(&mut self, field: &str, text: &Text) -> Result<Option<Q>, Refusal> {
        let read: Option<Q> = self.maybe(field, text)?;
        if let (Some(q), Some(t)) = (read, text)
            && q.si() < 0.0
        {
            let fact = format!("{} is less than nothing", t.get_ref().trim());
            let refusal = Refusal::new(fact, own_advice(field).unwrap_or_default());
            return Err(here(t.span(), refusal.in_field(field)));
        }
        Ok(read)
    }

    fn share(
        &mut self,
        field: &str,
        given: Option<&Spanned<ShareForm>>,
    ) -> Result<Option<Share>, Refusal> {
        let Some(given) = given else { return Ok(None) };
        self.at(field, given.span());
        let refuse = |r: Refusal| here(given.span(), r.in_field(field));
        let share = match given.get_ref() {
            ShareForm::Number(number) => Share::from_fraction(*number),
            ShareForm::Text(text) => {
                text.parse::<Share>().map_err(|e| refuse(Refusal::new(&e, e.advice())))?
            }
        };
        if (0.0..=1.0).contains(&share.fraction()) {
            return Ok(Some(share));
        }
        let fact = format!("a share of {share} is outside 0 to 100 %");
        Err(refuse(Refusal::new(fact, own_advice(field).unwrap_or_default())))
    }

    fn lengths<const N: usize>(
        &mut self,
        field: &str,
        given: &Spanned<Vec<String>>,
    ) -> Result<[Length; N], Refusal> {
        self.at(field, given.span());
        let refuse = |r: Refusal| here(given.span(), r.in_field(field));
        let read: Vec<Length> = given
            .get_ref()
            .iter()
            .map(|t| t.parse::<Length>().map_err(|e| refuse(Refusal::new(&e, e.advice()))))
            .collect::<Result<_, _>>()?;
        let count = read.len();
        <[Length; N]>::try_from(read)
            .ok()
            .filter(|all| all.iter().all(|l| l.is_finite()))
            .ok_or_else(|| {
                let fact = format!("{count} length(s) stand here, and {N} are needed");
                refuse(Refusal::new(fact, own_advice(field).unwrap_or_default()))
            })
    }

    fn piece(
        &mut self,
        table: &str,
        from: &Spanned<Vec<String>>,
        to: &Spanned<Vec<String>>,
    ) -> Result<Piece, Refusal> {
        let place = |[x, y]: [Length; 2]| Place { x, y };
        let piece = Piece {
            from: place(self.lengths(&format!("{table}.from"), from)?),
            to: place(self.lengths(&format!("{table}.to"), to)?),
        };
        if piece.from == piece.to {
            let refusal = Refusal::new(
                "both ends are one place",
                own_advice(&format!("{table}.from")).unwrap_or_default(),
            );
            return Err(here(to.span(), refusal.in_field(format!("{table}.to"))));
        }
        Ok(piece)
    }
}

/// The setting that a setup names, as far as an area asks for it.
fn of_setting(named: &Spanned<String>, find: &FindSetting<'_>) -> Result<OfSetting, Refusal> {
    let name = self::named("setting", named)?;
    let text = find(&name).map_err(|r| {
        // The setup's own field is what is to be corrected.
        here(named.span(), Refusal::new(r.fact, r.advice).in_field("setting"))
    })?;
    let asked = setting_from_toml(&name, &text).map_err(|r| {
        let at = r.line.map(|line| format!(", line {line}")).unwrap_or_default();
        let field = r.field.map(|f| format!("{f}: ")).unwrap_or_default();
        let fact = format!("the setting '{name}'{at}: {field}{}", r.fact);
        here(named.span(), Refusal::new(fact, r.advice).in_field("setting"))
    })?;
    let AskedProcess::Laser(laser) = asked.process else {
        let fact = format!("the setting '{name}' is an arc's, and has no beam");
        let refusal = Refusal::new(fact, "name a laser's setting, or write power and wavelength");
        return Err(here(named.span(), refusal.in_field("setting")));
    };
    let beam = BeamSaid {
        power: Some(laser.beam.power),
        wavelength: Some(laser.beam.wavelength),
        ..asked.head
    };
    if beam.figures().into_iter().flatten().any(|figure| !figure.is_finite()) {
        let fact = format!("a figure of the setting '{name}' is too large to calculate with");
        let refusal = Refusal::new(fact, "correct it there").in_field("setting");
        return Err(here(named.span(), refusal));
    }
    Ok(OfSetting {
        name,
        beam,
        wavelength_taken: asked.line("wavelength").is_none(),
        clashes: Vec::new(),
        lent: Vec::new(),
    })
}

fn asked(
    form: &SetupForm,
    setting: Option<OfSetting>,
    whole: &str,
    places: &mut Vec<(String, usize)>,
) -> Result<Setup, Refusal> {
    let mut read = Reader { places };
    let mut taken = Vec::new();
    let own = BeamSaid {
        power: read.maybe("power", &form.power)?,
        wavelength: read.maybe("wavelength", &form.wavelength)?,
        divergence: read.maybe("divergence", &form.divergence)?,
        focal_length: read.maybe("focal_length", &form.focal_length)?,
        beam_at_lens: read.maybe("beam_at_lens", &form.beam_at_lens)?,
    };
    let lent = setting.as_ref().map(|s| s.beam).unwrap_or_default();
    let beam_said = BeamSaid {
        power: own.power.or(lent.power),
        wavelength: own.wavelength.or(lent.wavelength),
        divergence: own.divergence.or(lent.divergence),
        focal_length: own.focal_length.or(lent.focal_length),
        beam_at_lens: own.beam_at_lens.or(lent.beam_at_lens),
    };
    let wanted = |field: &str| {
        let advice = own_advice(field).unwrap_or_default();
        missing(
            field,
            &format!("{advice}; or name a setting that has it: setting = \"setting.toml\""),
        )
    };
    let power = beam_said.power.ok_or_else(|| wanted("power"))?;
    let wavelength = beam_said.wavelength.ok_or_else(|| wanted("wavelength"))?;
    let setting = setting.map(|mut setting| {
        setting.clashes = own.against(&setting.beam);
        setting.clashes.retain(|[field, ..]| field != "power" || own.power < setting.beam.power);
        setting.lent = BEAM_FIELDS
            .into_iter()
            .zip(own.figures().into_iter().zip(setting.beam.figures()))
            .filter_map(|(field, (own, lent))| (own.is_none() && lent.is_some()).then_some(field))
            .collect();
        setting
    });
    if let Some(setting) = &setting {
        let name = &setting.name;
        if own.power.is_none() {
            taken.push(format!(
                "the power of the setting '{name}'; the laser may be set higher: write the greatest that it can give, and the plan holds for every setting"
            ));
        }
        if own.wavelength.is_none() && setting.wavelength_taken {
            taken.push(format!("wavelength 1070 nm, which the setting '{name}' does not say"));
        }
    }
    let pulse_data = match &form.pulse {
        None => None,
        Some(p) => {
            let p = p.get_ref();
            Some(PulseData {
                duration: read.of::<Duration>("pulse.duration", &p.duration)?,
                frequency: read.of::<Frequency>("pulse.frequency", &p.frequency)?,
                peak: read.maybe::<Power>("pulse.peak_power", &p.peak_power)?,
            })
        }
    };
    let beam = Beam::new(power, wavelength, pulse_data).map_err(|e| refused(&e, read.places))?;
    // A setting's widths are at 1/e², as its spot; what a setup itself says is at 1/e unless it says otherwise.
    let lends = |own: bool, lent: bool| !own && lent;
    let lent_divergence = lends(own.divergence.is_some(), lent.divergence.is_some());
    let lent_at_lens = lends(own.beam_at_lens.is_some(), lent.beam_at_lens.is_some());
    if lent_divergence || lent_at_lens {
        taken.push("widths and divergence of the setting at 1/e², as its spot".to_owned());
    }
    let all_lent = (own.divergence.is_none() && own.beam_at_lens.is_none())
        && (lent_divergence || lent_at_lens);
    let mut widths_unsaid = false;
    let widths_at = match &form.widths_at {
        None if all_lent => WidthAt::OneOverESquared,
        None => {
            widths_unsaid = own.divergence.is_some() || own.beam_at_lens.is_some();
            taken.push("widths and divergence at 1/e (63 % of the power), full angle; a maker's figures at 1/e² reach 1.41 times as far: widths_at = \"1/e2\"".to_owned());
            WidthAt::OneOverE
        }
        Some(text) => trade_word(
            "widths_at",
            text,
            &[
                ("1/e", &["63 %", "63%"], WidthAt::OneOverE),
                (
                    "1/e2",
                    &["1/e²", "1/e^2", "86 %", "86%", "86.5 %", "ISO 11146"],
                    WidthAt::OneOverESquared,
                ),
            ],
        )?,
    };
    let narrowed = widths_at.to_one_over_e();
    let narrow = |is_lent: bool| {
        if is_lent { WidthAt::OneOverESquared.to_one_over_e() } else { narrowed }
    };
    let bare = match beam_said.divergence {
        None => None,
        Some(divergence) => {
            let at_exit = match read.maybe::<Length>("beam_diameter", &form.beam_diameter)? {
                Some(width) => width * narrowed,
                None => {
                    taken.push(
                        "no width of the bare beam where it leaves: the safe side".to_owned(),
                    );
                    Length::ZERO
                }
            };
            Some(Spread::Bare { divergence: divergence * narrow(lent_divergence), at_exit })
        }
    };
    let focused = match (beam_said.focal_length, beam_said.beam_at_lens) {
        (Some(focal_length), Some(at_lens)) => {
            Some(Spread::Focused { focal_length, at_lens: at_lens * narrow(lent_at_lens) })
        }
        // A setting often says its lens alone: that is no optics, and no fault of the setup.
        (Some(_), None) if own.focal_length.is_none() => None,
        (None, Some(_)) if own.beam_at_lens.is_none() => None,
        (Some(_), None) => {
            return Err(missing(
                "beam_at_lens",
                "focal_length stands alone: write the width of the beam on the last lens, beam_at_lens = \"10 mm\"",
            ));
        }
        (None, Some(_)) => {
            return Err(missing(
                "focal_length",
                "beam_at_lens stands alone: write the focal length of the last lens, focal_length = \"150 mm\"",
            ));
        }
        (None, None) => None,
    };
    let fibre = match &form.fibre {
        None => None,
        Some(f) => {
            read.at("fibre", f.span());
            let form = f.get_ref();
            let mode_field = read.maybe::<Length>("fibre.mode_field", &form.mode_field)?;
            match (&form.na, mode_field) {
                (Some(na), None) => {
                    read.at("fibre.na", na.span());
                    Some(Spread::FibreEnd { na: *na.get_ref() })
                }
                (None, Some(mode_field)) => Some(Spread::SingleModeEnd { mode_field, wavelength }),
                (Some(na), Some(_)) => {
                    return Err(here(
                        na.span(),
                        Refusal::new(
                            "na and mode_field are both given, and a fibre has many modes or one",
                            "keep na for a multimode fibre, mode_field for a single-mode one",
                        )
                        .in_field("fibre.na"),
                    ));
                }
                (None, None) => {
                    return Err(here(
                        f.span(),
                        missing(
                            "fibre.na",
                            "write the numerical aperture: na = 0.12, or mode_field = \"20 um\" for a single-mode fibre",
                        ),
                    ));
                }
            }
        }
    };
    for spread in [&bare, &focused, &fibre].into_iter().flatten() {
        spread.width().map_err(|mut e| {
            // An angle is told in the unit that it was typed in.
            if let ("the divergence", Some(typed)) = (e.what, &form.divergence) {
                e.given = typed.get_ref().trim().to_owned();
            }
            refused(&e, read.places)
        })?;
    }
    let time = match read.maybe::<Duration>("exposure", &form.exposure)? {
        Some(time) => time,
        None => {
            taken.push("exposure 100 s, the worst case of an unintended exposure to a beam that is not seen".to_owned());
            UNSEEN_TIME.value
        }
    };
    let reflectance = match read.share("reflectance", form.reflectance.as_ref())? {
        Some(share) => share,
        None => {
            taken.push("the work throws all the light back, diffusely: the safe side".to_owned());
            Share::from_fraction(1.0)
        }
    };
    let scatter = Scatter {
        reflectance,
        viewing: read.maybe("viewing_angle", &form.viewing_angle)?.unwrap_or(Angle::ZERO),
        size: read.maybe("diffuse_source", &form.diffuse_source)?,
    };
    let torch_height = match read.not_below::<Length>("torch_height", &form.torch_height)? {
        Some(height) => height,
        None => {
            if !form.curtain.is_empty() {
                taken.push("torch 1 m above the floor".to_owned());
            }
            Length::from_m(1.0)
        }
    };
    let pilot = match &form.pilot {
        None => None,
        Some(p) => {
            read.at("pilot", p.span());
            let p = p.get_ref();
            let pilot_power = read.of("pilot.power", &p.power)?;
            let colour = read.of("pilot.wavelength", &p.wavelength)?;
            let beam = Beam::new(pilot_power, colour, None).map_err(|e| {
                let field = if e.what == "the power" { "pilot.power" } else { "pilot.wavelength" };
                at_field(field, &e, read.places)
            })?;
            let time = match read.maybe("pilot.exposure", &p.exposure)? {
                Some(time) => time,
                None if beam.light.is_visible() => {
                    taken.push("0.25 s into the pilot beam, until one turns away".to_owned());
                    BLINK_TIME.value
                }
                None => UNSEEN_TIME.value,
            };
            safety::distance::limits(&beam, time)
                .map_err(|e| at_field("pilot.exposure", &e, read.places))?;
            Some(Pilot { beam, time })
        }
    };
    let work = work(form.work.as_ref(), narrowed, &mut read, &mut taken)?;
    let eyewear = eyewear(form.eyewear.as_ref(), narrowed, &mut read, &mut taken)?;
    let arc = match &form.arc {
        None => None,
        Some(a) => Some(arc(a.get_ref(), &mut read)?),
    };
    let room = room(form, &mut read)?;
    if let (Some(room), Some(text)) = (&room, &form.torch_height) {
        below_ceiling(room, "torch_height", torch_height, text.span())?;
    }
    let curtains = form
        .curtain
        .iter()
        .enumerate()
        .map(|(i, c)| curtain(i, c, whole, room.as_ref(), &mut read))
        .collect::<Result<Vec<_>, _>>()?;
    let gas_said = match &form.gas {
        None => None,
        Some(g) => Some(gas(g, room.as_ref(), &mut read, &mut taken)?),
    };
    let (gas, no_gas) = (gas_said.flatten(), gas_said.is_some_and(|gas| gas.is_none()));
    let fume = match &form.fume {
        None => None,
        Some(f) => Some(fume(f.get_ref(), &mut read, &mut taken)?),
    };
    let signed = match &form.signed {
        None => None,
        Some(s) => {
            let s = s.get_ref();
            read.at("signed.fingerprint", s.fingerprint.span());
            let beam = BeamSaid {
                power: read.maybe("signed.power", &s.power)?,
                wavelength: read.maybe("signed.wavelength", &s.wavelength)?,
                divergence: read.maybe("signed.divergence", &s.divergence)?,
                focal_length: read.maybe("signed.focal_length", &s.focal_length)?,
                beam_at_lens: read.maybe("signed.beam_at_lens", &s.beam_at_lens)?,
            };
            Some(Signed {
                by: named("signed.by", &s.by)?,
                date: day("signed.date", &s.date)?,
                fingerprint: named("signed.fingerprint", &s.fingerprint)?,
                setting: s.setting.clone(),
                beam: Some(beam).filter(|b| *b != BeamSaid::default()),
            })
        }
    };
    let paper = match &form.paper {
        None => None,
        Some(p) => {
            read.at("paper", p.span());
            let p = p.get_ref();
            let told = |text: &Option<String>| text.clone().filter(|t| !t.trim().is_empty());
            Some(PaperAsked {
                site: named("paper.site", &p.site)?,
                author: named("paper.author", &p.author)?,
                officer: told(&p.officer),
                date: p.date.as_ref().map(|d| day("paper.date", d)).transpose()?,
                title: told(&p.title),
                invented: p.invented,
            })
        }
    };
    Ok(Setup {
        beam,
        bare,
        focused,
        fibre,
        widths_at,
        widths_unsaid,
        pulses: pulse_data,
        time,
        scatter,
        torch_height,
        pilot,
        work,
        eyewear,
        arc,
        room,
        curtains,
        gas,
        no_gas,
        fume,
        signed,
        paper,
        beam_said,
        setting,
        taken,
        lines: Vec::new(),
    })
}

/// A formula's refusal, at the field that it is about; the place is a byte offset.
fn refused(error: &OutOfRange, places: &[(String, usize)]) -> Refusal {
    at_field(field_of(error.what).unwrap_or("power"), error, places)
}

fn at_field(field: &str, error: &OutOfRange, places: &[(String, usize)]) -> Refusal {
    let at = places.iter().find(|(name, _)| name == field).map(|(_, at)| *at);
    Refusal { line: at, ..Refusal::new(error, error.advice()).in_field(field) }
}

fn named(field: &str, text: &Spanned<String>) -> Result<String, Refusal> {
    let given = text.get_ref().trim();
    if given.is_empty() {
        let refusal =
            Refusal::new("nothing is written here", own_advice(field).unwrap_or_default());
        return Err(here(text.span(), refusal.in_field(field)));
    }
    Ok(given.to_owned())
}

fn day(field: &str, text: &Spanned<String>) -> Result<Date, Refusal> {
    date(text.get_ref().trim()).ok_or_else(|| {
        let fact = format!("'{}' is not a day", text.get_ref());
        let refusal = Refusal::new(fact, own_advice(field).unwrap_or_default());
        here(text.span(), refusal.in_field(field))
    })
}

/// The date of a flag.
///
/// # Errors
///
/// When it is not a day.
pub fn date_from_flag(text: &str) -> Result<Date, Refusal> {
    date(text.trim()).ok_or_else(|| {
        Refusal::new(
            format!("'{text}' is not a day"),
            "give the plan's date as year, month and day: --date 2026-11-25",
        )
    })
}

fn work(
    form: Option<&Spanned<WorkForm>>,
    narrowed: f64,
    read: &mut Reader<'_>,
    taken: &mut Vec<String>,
) -> Result<Work, Refusal> {
    let all = Share::from_fraction(1.0);
    let Some(form) = form else {
        taken.push("the work mirrors all the light, and is flat; a hollow surface gathers it again, and a bulging one may throw it out level: both are worse: say which shape it has".to_owned());
        return Ok(Work {
            mirrored: all,
            shape: Shape::Flat,
            beam_on_work: Length::ZERO,
            m2: None,
        });
    };
    let form = form.get_ref();
    let mirrored = match read.share("work.mirrored", form.mirrored.as_ref())? {
        Some(share) => share,
        None => {
            taken.push("the work mirrors all the light: the safe side".to_owned());
            all
        }
    };
    #[derive(Clone, Copy, PartialEq)]
    enum Which {
        Flat,
        Tube,
        Ball,
        Hollow,
    }
    let which = match &form.shape {
        None => Which::Flat,
        Some(text) => {
            read.at("work.shape", text.span());
            trade_word(
                "work.shape",
                text,
                &[
                    ("flat", &["plate", "sheet"], Which::Flat),
                    ("tube", &["pipe", "round bar", "cylinder"], Which::Tube),
                    ("ball", &["sphere"], Which::Ball),
                    ("hollow", &["concave", "inside of a tube"], Which::Hollow),
                ],
            )?
        }
    };
    let radius = match (
        read.maybe::<Length>("work.radius", &form.radius)?,
        read.maybe::<Length>("work.diameter", &form.diameter)?,
    ) {
        (Some(_), Some(_)) => {
            let refusal = Refusal::new(
                "both a radius and a diameter are given",
                "write one of them: a tube is sold by its outside diameter",
            );
            let at = form.diameter.as_ref().map_or(0..0, Spanned::span);
            return Err(here(at, refusal.in_field("work.diameter")));
        }
        (radius, diameter) => radius.or(diameter.map(|d| d * 0.5)),
    };
    let shape = match (which, radius) {
        (Which::Flat, _) => Shape::Flat,
        (Which::Hollow, _) => Shape::Hollow,
        (Which::Tube, Some(r)) => Shape::Tube(r),
        (Which::Ball, Some(r)) => Shape::Ball(r),
        (Which::Tube | Which::Ball, None) => {
            return Err(missing(
                "work.radius",
                "write the outside radius of the tube or ball, radius = \"25 mm\", or its diameter, diameter = \"50 mm\"",
            ));
        }
    };
    let beam_on_work = match read.not_below::<Length>("work.beam_on_work", &form.beam_on_work)? {
        Some(width) => width * narrowed,
        None => {
            if matches!(shape, Shape::Tube(_) | Shape::Ball(_)) {
                taken.push("the focus lies on the work, so its bulge spreads nothing".to_owned());
            }
            Length::ZERO
        }
    };
    let m2 = match &form.m2 {
        None => None,
        Some(m2) => {
            read.at("work.m2", m2.span());
            let value = *m2.get_ref();
            if !(value.is_finite() && value >= 1.0) {
                let fact = format!("an M² of {value} is none: an ideal beam has 1");
                let refusal = Refusal::new(fact, own_advice("work.m2").unwrap_or_default());
                return Err(here(m2.span(), refusal.in_field("work.m2")));
            }
            Some(value)
        }
    };
    Ok(Work { mirrored, shape, beam_on_work, m2 })
}

fn eyewear(
    form: Option<&Spanned<EyewearForm>>,
    narrowed: f64,
    read: &mut Reader<'_>,
    taken: &mut Vec<String>,
) -> Result<Eyewear, Refusal> {
    let usual = Length::from_mm(5.0);
    let no_spot = "5 mm of beam on the eyewear; nearer the focus it is narrower, and there no eyewear stands it";
    let Some(form) = form else {
        taken.push(no_spot.to_owned());
        return Ok(Eyewear {
            marking: None,
            spot: usual,
            spot_said: false,
            confirmed: None,
            at: None,
            luminous: None,
        });
    };
    let form = form.get_ref();
    let marking = match &form.marking {
        None => None,
        Some(text) => {
            read.at("eyewear.marking", text.span());
            let marks = safety::eyewear::read(text.get_ref()).map_err(|e| {
                here(text.span(), Refusal::new(&e, e.advice()).in_field("eyewear.marking"))
            })?;
            Some((text.get_ref().trim().to_owned(), marks))
        }
    };
    let stated: Option<Length> = read.not_below("eyewear.spot", &form.spot)?;
    let spot = match stated {
        Some(spot) => spot * narrowed,
        None => {
            taken.push(match &form.at {
                None => no_spot.to_owned(),
                Some(_) => "5 mm of beam on the eyewear, or as wide as it is where the wearer is, whichever is less".to_owned(),
            });
            usual
        }
    };
    Ok(Eyewear {
        marking,
        spot,
        spot_said: stated.is_some(),
        confirmed: confirmed(form)?,
        at: read.maybe("eyewear.at", &form.at)?,
        luminous: read
            .share("eyewear.luminous_transmittance", form.luminous_transmittance.as_ref())?,
    })
}

/// What the maker has stated: a sentence, not a yes or a no.
fn confirmed(form: &EyewearForm) -> Result<Option<String>, Refusal> {
    let Some(said) = form.confirmed.as_ref() else { return Ok(None) };
    let text = said.get_ref().trim();
    if text.is_empty() {
        return Ok(None);
    }
    if text.chars().filter(|c| c.is_alphabetic()).count() < 6 {
        let fact = format!("'{text}' does not say what the maker has stated");
        let refusal = Refusal::new(fact, own_advice("confirmed").unwrap_or_default());
        return Err(here(said.span(), refusal.in_field("eyewear.confirmed")));
    }
    Ok(Some(text.to_owned()))
}

fn arc(form: &ArcForm, read: &mut Reader<'_>) -> Result<(Arc, f64), Refusal> {
    let process = trade_word("arc.process", &form.process, &ARCS)?;
    read.at("arc.current", form.current.span());
    let text = form.current.get_ref().trim();
    let number = text.strip_suffix(['A', 'a']).map(|n| n.trim().replace(',', "."));
    let amperes = number.and_then(|n| n.parse::<f64>().ok()).filter(|a| a.is_finite());
    let amperes = amperes.ok_or_else(|| {
        let fact = format!("\"{text}\" is no current");
        let refusal = Refusal::new(fact, own_advice("arc.current").unwrap_or_default());
        here(form.current.span(), refusal.in_field("arc.current"))
    })?;
    safety::shade::least(process, amperes).map_err(|e| refused(&e, read.places))?;
    Ok((process, amperes))
}

fn room(form: &SetupForm, read: &mut Reader<'_>) -> Result<Option<Room>, Refusal> {
    let Some(given) = &form.room else {
        let stray = form
            .door
            .iter()
            .map(|d| ("door", d.span()))
            .chain(form.window.iter().map(|w| ("window", w.span())))
            .chain(form.torch.iter().map(|t| ("torch", t.span())))
            .next();
        return match stray {
            None => Ok(None),
            Some((field, span)) => Err(here(
                span,
                Refusal::new(
                    format!("a {field} is given, and no room"),
                    own_advice("room").unwrap_or_default(),
                )
                .in_field(field),
            )),
        };
    };
    read.at("room", given.span());
    let r = given.get_ref();
    let place = |[x, y]: [Length; 2]| Place { x, y };
    let mut torches = vec![place(read.lengths("room.torch", &r.torch)?)];
    for t in &form.torch {
        read.at("torch.at", t.span());
        torches.push(place(read.lengths("torch.at", &t.get_ref().at)?));
    }
    let mut openings = Vec::new();
    for (i, d) in form.door.iter().enumerate() {
        read.at("door", d.span());
        let d = d.get_ref();
        openings.push(Named {
            name: name_of(&d.name, "door", i),
            piece: read.piece("door", &d.from, &d.to)?,
            window: false,
            stops: d.interlocked,
        });
    }
    for (i, w) in form.window.iter().enumerate() {
        read.at("window", w.span());
        let w = w.get_ref();
        openings.push(Named {
            name: name_of(&w.name, "window", i),
            piece: read.piece("window", &w.from, &w.to)?,
            window: true,
            stops: false,
        });
    }
    let room = Room {
        width: read.of("room.width", &r.width)?,
        depth: read.of("room.depth", &r.depth)?,
        height: read.maybe("room.height", &r.height)?,
        torches,
        openings,
    };
    for (i, torch) in room.torches.iter().enumerate() {
        room.plan(*torch, &[]).check().map_err(|mut e| {
            if i > 0 && e.what == "the torch's place" {
                e.what = "another place of the torch";
            }
            refused(&e, read.places)
        })?;
    }
    Ok(Some(room))
}

impl Room {
    /// Does a place lie in the room, its walls included?
    fn holds(&self, p: Place) -> bool {
        let slack = Length::from_mm(50.0);
        let within = |v: Length, most: Length| v >= Length::ZERO - slack && v <= most + slack;
        within(p.x, self.width) && within(p.y, self.depth)
    }

    /// How far the nearest wall is from the torch, in whichever of its places.
    #[must_use]
    pub fn nearest_wall(&self) -> Length {
        self.torches
            .iter()
            .flat_map(|t| [t.x, self.width - t.x, t.y, self.depth - t.y])
            .min_by(Length::total_cmp)
            .unwrap_or(Length::ZERO)
    }

    /// The plan that geometry works on, from one place of the torch; each curtain with its place and whether it stands
    /// the beam.
    #[must_use]
    pub fn plan(&self, torch: Place, curtains: &[(Piece, bool)]) -> safety::room::Plan {
        safety::room::Plan {
            width: self.width,
            depth: self.depth,
            torch,
            openings: self
                .openings
                .iter()
                .map(|o| safety::room::Opening { piece: o.piece, stops: o.stops })
                .collect(),
            curtains: curtains
                .iter()
                .map(|(piece, stops)| safety::room::Curtain { piece: *piece, stops: *stops })
                .collect(),
        }
    }
}

/// Nothing that stands in a room is higher than its ceiling.
fn below_ceiling(
    room: &Room,
    field: &str,
    height: Length,
    span: Range<usize>,
) -> Result<(), Refusal> {
    match room.height {
        Some(ceiling) if height > ceiling => {
            let m = |l: Length| show_in(l, Rounding::Nearest, 2, "m");
            let fact = format!("{} is above the room's ceiling at {}", m(height), m(ceiling));
            let refusal = Refusal::new(fact, own_advice(field).unwrap_or_default());
            Err(here(span, refusal.in_field(field)))
        }
        _ => Ok(()),
    }
}

fn name_of(name: &Option<String>, kind: &str, i: usize) -> String {
    match name.as_deref().map(str::trim).filter(|n| !n.is_empty()) {
        Some(name) => name.to_owned(),
        None => format!("{kind} {}", i + 1),
    }
}

fn curtain(
    i: usize,
    given: &Spanned<CurtainForm>,
    whole: &str,
    room: Option<&Room>,
    read: &mut Reader<'_>,
) -> Result<Curtain, Refusal> {
    read.at("curtain", given.span());
    let form = given.get_ref();
    let refuse = |fact: &str, advice: &str| {
        here(given.span(), Refusal::new(fact, advice).in_field("curtain"))
    };
    let piece = match (&form.from, &form.to) {
        (Some(from), Some(to)) => Some(read.piece("curtain", from, to)?),
        (None, None) => None,
        _ => {
            return Err(refuse(
                "a curtain has two ends, and one is given",
                "write from and to, or neither and its distance",
            ));
        }
    };
    let stated = read.maybe::<Length>("curtain.distance", &form.distance)?;
    let distance = match (stated, piece, room) {
        // From the nearest place of the torch: there the most is laid on it. A distance that is given beside the place may only
        // be less.
        (stated, Some(piece), Some(room)) => room
            .torches
            .iter()
            .map(|torch| safety::room::distance(*torch, &piece))
            .chain(stated)
            .min_by(Length::total_cmp)
            .unwrap_or(Length::ZERO),
        (Some(distance), _, _) => distance,
        (None, Some(_), None) => {
            return Err(refuse(
                "a curtain's place is given, and no room to count it from",
                "add [room] with width, depth and torch, or give the curtain's distance from the torch",
            ));
        }
        (None, None, _) => {
            return Err(refuse(
                "nothing says how far the curtain is from the torch",
                "write distance = \"2 m\", or from and to on the plan of [room]",
            ));
        }
    };
    let top = read.of("curtain.height", &form.height)?;
    if let Some(room) = room {
        below_ceiling(room, "curtain.height", top, form.height.span())?;
        if let (Some(piece), Some(to)) = (piece, &form.to)
            && let Some(outside) = [piece.from, piece.to].iter().find(|p| !room.holds(**p))
        {
            let m = |l: Length| show_in(l, Rounding::Nearest, 2, "m");
            let fact = format!(
                "{}, {} lies outside the room of {} by {}",
                m(outside.x),
                m(outside.y),
                m(room.width),
                m(room.depth)
            );
            let refusal = Refusal::new(fact, own_advice("curtain.from").unwrap_or_default());
            return Err(here(to.span(), refusal.in_field("curtain.to")));
        }
    }
    let gap = read.not_below("curtain.bottom_gap", &form.bottom_gap)?.unwrap_or(Length::ZERO);
    let rating = form
        .rating
        .iter()
        .map(|r| {
            let rated = Rated {
                stands: read.of::<Irradiance>("curtain.rating.stands", &r.stands)?,
                time: read.of::<Duration>("curtain.rating.time", &r.time)?,
            };
            if rated.stands.w_per_m2() > 0.0 && rated.time.s() > 0.0 {
                return Ok(rated);
            }
            let refusal = Refusal::new(
                "a rating of nothing says nothing",
                own_advice("rating").unwrap_or_default(),
            );
            Err(here(r.stands.span(), refusal.in_field("curtain.rating")))
        })
        .collect::<Result<Vec<_>, Refusal>>()?;
    let curtain = Curtain {
        name: name_of(&form.name, "curtain", i),
        piece,
        distance,
        top,
        gap,
        rating,
        line: line_of(whole, given.span().start),
    };
    let hangs = safety::barrier::Hangs { distance, top, gap };
    safety::barrier::passes(&hangs, Length::from_m(1.0)).map_err(|e| {
        let refusal = refused(&e, &[]);
        here(given.span(), refusal)
    })?;
    Ok(curtain)
}

fn gas(
    given: &Spanned<GasForm>,
    room: Option<&Room>,
    read: &mut Reader<'_>,
    taken: &mut Vec<String>,
) -> Result<Option<Gas>, Refusal> {
    read.at("gas", given.span());
    let form = given.get_ref();
    let kind = match &form.kind {
        None => {
            taken.push("the gas is argon".to_owned());
            GasKind::Argon
        }
        Some(text) if ["co2", "c1"].contains(&text.get_ref().trim().to_lowercase().as_str()) => {
            let refusal = Refusal::new(
                "carbon dioxide poisons long before it takes the oxygen away, so what is worked out here is not enough for it",
                "let whoever answers for the room's air judge it (its own limit and alarm); do not write none",
            );
            return Err(here(text.span(), refusal.in_field("gas.kind")));
        }
        Some(text) => match trade_word("gas.kind", text, &GASES)? {
            Some(kind) => kind,
            None if [&form.flow, &form.leak, &form.cylinder, &form.liquid]
                .into_iter()
                .all(Option::is_none) =>
            {
                return Ok(None);
            }
            None => {
                let refusal = Refusal::new(
                    "no gas is named, and a flow, a leak or a cylinder is",
                    own_advice("kind").unwrap_or_default(),
                );
                return Err(here(text.span(), refusal.in_field("gas.kind")));
            }
        },
    };
    let flow = read.not_below::<GasFlow>("gas.flow", &form.flow)?;
    let leak = read.not_below::<GasFlow>("gas.leak", &form.leak)?;
    if leak.is_none() {
        taken.push("no leak of gas over night".to_owned());
    }
    let (cylinder, water_volume) = cylinder(form, read)?;
    let liquid = read.not_below::<Volume>("gas.liquid", &form.liquid)?;
    if flow.is_none() && leak.is_none() && cylinder.is_none() && liquid.is_none() {
        return Err(here(
            given.span(),
            missing("gas.flow", "write the flow of shielding gas: flow = \"20 l/min\""),
        ));
    }
    let volume = match &form.room {
        Some(text) => {
            read.at("gas.room", text.span());
            volume(text)?
        }
        None => {
            let sides = room.and_then(|r| Some((r.width, r.depth, r.height?)));
            let Some((w, d, h)) = sides else {
                return Err(here(
                    given.span(),
                    missing(
                        "gas.room",
                        "write the volume of the room: room = \"50 m3\", or give [room] a height",
                    ),
                ));
            };
            w * d * h
        }
    };
    let air_changes = match &form.air_changes {
        None => {
            taken.push("no change of air in the room: the safe side".to_owned());
            0.0
        }
        Some(text) => {
            read.at("gas.air_changes", text.span());
            per_hour(text)?
        }
    };
    let gas = Gas {
        kind,
        kind_said: form.kind.is_some(),
        flows: flow.is_some() || leak.is_some(),
        flow: flow.unwrap_or(GasFlow::ZERO),
        leak: leak.unwrap_or(GasFlow::ZERO),
        room: volume,
        air_changes,
        air_changes_said: form.air_changes.is_some(),
        cylinder_said: form.cylinder.is_some() || liquid.is_some(),
        liquid,
        sides: room.and_then(|r| Some(r.width * r.depth * r.height?)),
        cylinder,
        water_volume,
    };
    gas.room_air(gas.flow + gas.leak)
        .oxygen(safety::gas::AIR.value)
        .map_err(|e| refused(&e, read.places))?;
    if let Some(most) = gas.most_at_once() {
        safety::gas::emptied(most, volume, safety::gas::AIR.value)
            .map_err(|e| refused(&e, read.places))?;
    }
    Ok(Some(gas))
}

/// The gas that a cylinder lets out, and its water volume where it is named by that.
fn cylinder(
    form: &GasForm,
    read: &mut Reader<'_>,
) -> Result<(Option<Volume>, Option<Volume>), Refusal> {
    let none = form.cylinder.as_ref().is_some_and(|c| c.get_ref().trim() == "none");
    let volume = if none { None } else { read.maybe::<Volume>("gas.cylinder", &form.cylinder)? };
    let advice = own_advice("cylinder").unwrap_or_default();
    let (Some(volume), Some(text)) = (volume, &form.cylinder) else {
        return match &form.cylinder_pressure {
            None => Ok((None, None)),
            Some(pressure) => Err(here(pressure.span(), missing("gas.cylinder", advice))),
        };
    };
    if let Some(pressure) = &form.cylinder_pressure {
        let pressure = of_pressure("gas.cylinder_pressure", pressure, read)?;
        let gas = let_out(volume, pressure).map_err(|e| refused(&e, read.places))?;
        return Ok((Some(gas), Some(volume)));
    }
    let in_litres = text.get_ref().trim().to_lowercase().ends_with('l');
    if volume < LEAST_GAS.value || in_litres {
        let said = text.get_ref().trim();
        let (fact, advice) = match let_out(volume, Stress::from_mpa(20.0)) {
            Ok(gas) => (
                format!(
                    "{said} has two readings: the water volume that is stamped on the cylinder, which lets some {} m³ of gas out from 200 bar, or that little gas",
                    significant(gas.m3(), 3)
                ),
                advice,
            ),
            Err(_) => (
                format!("{said} has two readings: so much liquid in a vessel, or so little gas"),
                "write the liquid, liquid = \"230 l\", or the gas that is let out, cylinder = \"10 m3\"",
            ),
        };
        return Err(here(text.span(), Refusal::new(fact, advice).in_field("gas.cylinder")));
    }
    Ok((Some(volume), None))
}

/// A pressure as cylinders carry it: bar, besides the units of a stress.
fn of_pressure(
    field: &str,
    text: &Spanned<String>,
    read: &mut Reader<'_>,
) -> Result<Stress, Refusal> {
    let given = text.get_ref().trim();
    let Some(number) = given.strip_suffix("bar") else { return read.of(field, text) };
    read.at(field, text.span());
    let bar = number.trim().replace(',', ".").parse::<f64>().ok().filter(|b| b.is_finite());
    bar.map(|b| Stress::from_mpa(0.1 * b)).ok_or_else(|| {
        let fact = format!("\"{given}\" is no pressure");
        let refusal = Refusal::new(fact, own_advice(field).unwrap_or_default());
        here(text.span(), refusal.in_field(field))
    })
}

impl Gas {
    /// The gas that the liquid in a vessel comes to.
    #[must_use]
    pub fn boiled(&self) -> Option<Volume> {
        self.liquid.map(|liquid| liquid * self.kind.times_its_liquid())
    }

    /// The most gas that one cylinder or vessel lets out.
    #[must_use]
    pub fn most_at_once(&self) -> Option<Volume> {
        self.cylinder.into_iter().chain(self.boiled()).max_by(Volume::total_cmp)
    }

    /// The room with so much gas coming in.
    #[must_use]
    pub fn room_air(&self, inflow: GasFlow) -> safety::gas::Room {
        safety::gas::Room { volume: self.room, changes_per_hour: self.air_changes, inflow }
    }
}

fn volume(given: &Spanned<VolumeForm>) -> Result<Volume, Refusal> {
    let refuse = |r: Refusal| here(given.span(), r.in_field("gas.room"));
    match given.get_ref() {
        VolumeForm::Text(text) => {
            // `5 m x 4 m x 2.5 m`, as a hall is written on a drawing.
            let sides: Vec<String> = text.split(['x', '×', '*']).map(str::to_owned).collect();
            if sides.len() > 1 {
                return volume(&Spanned::new(given.span(), VolumeForm::Sides(sides)));
            }
            text.parse().map_err(|e: weld::quantity::parse::QuantityError| {
                refuse(Refusal::new(&e, e.advice()))
            })
        }
        VolumeForm::Sides(sides) => {
            let read: Vec<Length> = sides
                .iter()
                .map(|t| {
                    t.parse().map_err(|e: weld::quantity::parse::QuantityError| {
                        refuse(Refusal::new(&e, e.advice()))
                    })
                })
                .collect::<Result<_, _>>()?;
            match read.as_slice() {
                [a, b, c] if [a, b, c].iter().all(|l| l.m() > 0.0) => Ok(*a * *b * *c),
                _ => Err(refuse(Refusal::new(
                    format!(
                        "{} side(s) stand here, and three above nothing are needed",
                        sides.len()
                    ),
                    own_advice("gas.room").unwrap_or_default(),
                ))),
            }
        }
    }
}

fn per_hour(given: &Spanned<PerHourForm>) -> Result<f64, Refusal> {
    let number = match given.get_ref() {
        PerHourForm::Number(number) => Some(*number),
        PerHourForm::Text(text) => {
            let text = text.trim();
            let bare = ["/h", "1/h", "per hour", "ach", "per h"]
                .iter()
                .find_map(|end| text.strip_suffix(end))
                .unwrap_or(text);
            // `0.4 1/h` leaves its 1 behind.
            let bare = bare.trim().strip_suffix(" 1").unwrap_or(bare).trim();
            bare.replace(',', ".").parse().ok()
        }
    };
    number.filter(|n| n.is_finite() && *n >= 0.0).ok_or_else(|| {
        let refusal = Refusal::new(
            "this is no number of air changes in an hour",
            own_advice("air_changes").unwrap_or_default(),
        );
        here(given.span(), refusal.in_field("gas.air_changes"))
    })
}

fn fume(form: &FumeForm, read: &mut Reader<'_>, taken: &mut Vec<String>) -> Result<Fume, Refusal> {
    let parents: Vec<_> = Parent::ALL
        .iter()
        .zip(PARENTS)
        .map(|((name, p), usual)| (*name, usual, (*name, *p)))
        .collect();
    let parent = trade_word("fume.parent", &form.parent, &parents)?;
    let wire = match &form.wire {
        None => ("none", Wire::None),
        Some(text) => {
            let wires: Vec<_> = Wire::ALL
                .iter()
                .zip(WIRES)
                .map(|((name, w), usual)| (*name, usual, (*name, *w)))
                .collect();
            trade_word("fume.wire", text, &wires)?
        }
    };
    let distance = read.not_below::<Length>("fume.hood_distance", &form.hood_distance)?;
    let hood = match (&form.hood, distance) {
        (None, _) => None,
        (Some(sides), Some(distance)) => {
            let hood = Hood {
                sides: read.lengths("fume.hood", sides)?,
                distance,
                flanged: form.flanged,
                velocity: read.maybe::<Speed>("fume.velocity", &form.velocity)?,
            };
            if hood.velocity.is_none() {
                taken.push("0.5 to 1 m/s of air at the weld".to_owned());
            }
            for side in hood.sides {
                if side.m() <= 0.0 {
                    let refusal = Refusal::new(
                        format!("a side of {side} is no opening"),
                        own_advice("fume.hood").unwrap_or_default(),
                    );
                    return Err(here(sides.span(), refusal.in_field("fume.hood")));
                }
            }
            Some(hood)
        }
        (Some(sides), None) => {
            return Err(here(
                sides.span(),
                missing(
                    "fume.hood_distance",
                    "write the distance from the hood's opening to the weld: hood_distance = \"0.3 m\"",
                ),
            ));
        }
    };
    if let Some(hood) = &hood {
        let velocity = hood.velocity.unwrap_or(safety::fume::CAPTURE[0].value);
        safety::fume::hood_flow(
            velocity,
            hood.distance,
            hood.sides[0] * hood.sides[1],
            hood.flanged,
        )
        .map_err(|e| refused(&e, read.places))?;
    }
    Ok(Fume { parent, wire, hood })
}

/// A word of the trade: as we print it, what else it is called, what it means.
type Word<'a, T> = (&'a str, &'a [&'a str], T);

/// Arcs beside the beam.
const ARCS: [Word<'_, Arc>; 3] = [
    ("GMAW", &["MAG", "MIG", "MIG/MAG", "FCAW", "MCAW", "131", "135", "136", "138"], Arc::Gmaw),
    ("GTAW", &["TIG", "WIG", "141", "142"], Arc::Gtaw),
    ("SMAW", &["MMA", "stick", "111"], Arc::Smaw),
];
/// Shielding gases, with the letters of ISO 14175; mixtures count as what most of them is.
const GASES: [Word<'_, Option<GasKind>>; 4] = [
    (
        "argon",
        &["Ar", "I1", "argon mix", "argon/CO2", "Ar/CO2", "M12", "M20", "M21"],
        Some(GasKind::Argon),
    ),
    ("nitrogen", &["N2", "N1"], Some(GasKind::Nitrogen)),
    ("helium", &["He", "I2"], Some(GasKind::Helium)),
    ("none", &["no gas", "compressed air", "air"], None),
];
/// What else the parent metals are called, in the order of [`Parent::ALL`].
const PARENTS: [&[&str]; 6] = [
    &["carbon steel", "mild steel", "low-carbon steel", "steel", "S235", "S275", "S355", "A36"],
    &["galvanized steel", "zinc-coated steel", "galvanised", "galvanized", "GI"],
    &[
        "stainless",
        "inox",
        "304",
        "304L",
        "316",
        "316L",
        "duplex",
        "1.4301",
        "1.4307",
        "1.4401",
        "1.4404",
    ],
    &["nickel", "Inconel", "Inconel 625", "625", "alloy 625", "Hastelloy", "Monel"],
    &["aluminum", "aluminium alloy", "aluminum alloy", "alu", "5083", "5754", "6061", "6082"],
    &["titanium alloy", "Ti", "grade 2", "grade 5", "Ti-6Al-4V"],
];
/// What else the wires are called, in the order of [`Wire::ALL`].
const WIRES: [&[&str]; 7] = [
    &["no wire", "without", "autogenous"],
    &[
        "carbon steel",
        "mild steel",
        "steel",
        "ER70S-2",
        "ER70S-3",
        "ER70S-6",
        "G3Si1",
        "G4Si1",
        "SG2",
        "SG3",
    ],
    &[
        "stainless",
        "ER308L",
        "ER308LSi",
        "ER309L",
        "ER309LSi",
        "ER316L",
        "ER316LSi",
        "ER347",
        "308L",
        "309L",
        "316L",
        "19 9 L",
        "19 12 3 L",
    ],
    &["E308LT", "E309LT", "E316LT", "E308LT1-1", "E309LT1-1", "E316LT1-1", "stainless FCAW"],
    &["nickel", "ERNiCr-3", "ERNiCrMo-3", "Inconel", "Inconel 82", "Inconel 625", "625"],
    &["aluminum", "ER4043", "ER4047", "ER5356", "ER5183", "4043", "4047", "5356", "5183"],
    &["Ti", "ERTi-1", "ERTi-2", "ERTi-5"],
];

/// The words for parent metals.
#[must_use]
pub fn parents() -> [&'static str; 6] {
    Parent::ALL.map(|(name, _)| name)
}

/// The words for wires.
#[must_use]
pub fn wires() -> [&'static str; 7] {
    Wire::ALL.map(|(name, _)| name)
}

/// Finds a word of the trade, however it is cased and joined; a refusal lists those that would do.
fn trade_word<T: Copy>(
    field: &str,
    text: &Spanned<String>,
    known: &[Word<'_, T>],
) -> Result<T, Refusal> {
    let plain = |t: &str| -> String {
        t.chars()
            .filter(|c| !c.is_whitespace() && !matches!(c, '-' | '_'))
            .flat_map(char::to_lowercase)
            .collect()
    };
    let asked = plain(text.get_ref());
    let found = known
        .iter()
        .find(|(name, usual, _)| plain(name) == asked || usual.iter().any(|u| plain(u) == asked));
    found.map(|(_, _, value)| *value).ok_or_else(|| {
        let said = |(name, usual, _): &Word<'_, T>| match usual {
            [] => format!("\"{name}\""),
            usual => format!("\"{name}\" ({})", usual.join(", ")),
        };
        let names: Vec<String> = known.iter().map(said).collect();
        let fact = format!("'{}' is not known here", text.get_ref().trim());
        let advice = format!("write {}", names.join(" or "));
        here(text.span(), Refusal::new(fact, advice).in_field(field))
    })
}

/// Fields that stand above every table.
const TOP: [&str; 13] = [
    "setting",
    "power",
    "wavelength",
    "divergence",
    "beam_diameter",
    "focal_length",
    "beam_at_lens",
    "widths_at",
    "exposure",
    "reflectance",
    "viewing_angle",
    "diffuse_source",
    "torch_height",
];

/// What a field of a setup file wants.
fn own_advice(field: &str) -> Option<&'static str> {
    let within = field.split('.').next()?;
    Some(match field.rsplit('.').next()? {
        "setting" => {
            "name a setting file beside this one, or a setting of the study: setting = \"setting.toml\""
        }
        "power" if within == "pilot" => "write the pilot beam's power: power = \"1 mW\"",
        "power" => "write the greatest power that the laser can give, as text: power = \"2 kW\"",
        "wavelength" if within == "pilot" => {
            "write the pilot beam's wavelength: wavelength = \"650 nm\""
        }
        "wavelength" => "write the wavelength as text: wavelength = \"1070 nm\"",
        "divergence" => "write the full angle of the bare beam as text: divergence = \"2 mrad\"",
        "beam_diameter" => "write the width of the beam where it leaves: beam_diameter = \"5 mm\"",
        "focal_length" => "write the focal length of the last lens: focal_length = \"150 mm\"",
        "beam_at_lens" => "write the width of the beam on the last lens: beam_at_lens = \"10 mm\"",
        "widths_at" => "write where widths are measured: widths_at = \"1/e\" or \"1/e2\"",
        "exposure" => "write how long somebody may be exposed: exposure = \"100 s\"",
        "reflectance" | "mirrored" | "luminous_transmittance" => {
            "write a share from 0 to 1, or as text: \"60 %\""
        }
        "viewing_angle" => "write an angle from the surface's normal: viewing_angle = \"0 deg\"",
        "diffuse_source" => "write the width of the lit spot: diffuse_source = \"3 mm\"",
        "torch_height" => "write the torch's height above the floor: torch_height = \"1 m\"",
        "na" => "write the numerical aperture as a number: na = 0.12",
        "mode_field" => "write the width of the mode field: mode_field = \"20 um\"",
        "duration" => "write how long one pulse lasts: duration = \"2 ms\", \"100 ns\"",
        "frequency" => "write how many pulses in a second: frequency = \"50 Hz\"",
        "peak_power" => "write the power within a pulse: peak_power = \"3 kW\"",
        "shape" => "write shape = \"flat\", \"tube\", \"ball\" or \"hollow\"",
        "radius" | "diameter" => {
            "write the radius of the bulging surface, radius = \"25 mm\", or its diameter, diameter = \"50 mm\""
        }
        "beam_on_work" => "write the width of the beam on the work: beam_on_work = \"2 mm\"",
        "marking" => "type the marking as printed on the pair: marking = \"900-1080 D LB7\"",
        "spot" => "write the width of the beam on the eyewear: spot = \"5 mm\"",
        "at" if within == "torch" => {
            "write another place that the torch is carried to: [[torch]] at = [\"3 m\", \"2 m\"]"
        }
        "at" => "write how far from the work the wearer is: at = \"0.5 m\"",
        "process" => "write process = \"GMAW\", \"GTAW\" or \"SMAW\"",
        "current" => "write the arc's current: current = \"180 A\"",
        "width" | "depth" => "write the inside of the room: width = \"6 m\", depth = \"4 m\"",
        "height" if within == "curtain" => {
            "write the height of the upper edge above the floor: height = \"2.2 m\""
        }
        "height" => "write the room's height: height = \"3 m\"",
        "confirmed" => {
            "write what the pair's maker has stated, and where: confirmed = \"letter of 2026-10-02: stands 2 kW on 5 mm for 5 s\""
        }
        "torch" => {
            "write the torch's place, counted from the room's lower left corner: torch = [\"2 m\", \"1.5 m\"]"
        }
        "from" | "to" => {
            "write a place, counted from the room's lower left corner: from = [\"6 m\", \"1 m\"]"
        }
        "interlocked" => {
            "answer whether opening the door switches the beam off: interlocked = true or false"
        }
        "distance" => "write how far it is from the torch: distance = \"2 m\"",
        "bottom_gap" => "write how far the lower edge is above the floor: bottom_gap = \"50 mm\"",
        "rating" | "stands" | "time" => {
            "copy the maker's rating, the power density that it stands and for how long: rating = [{ stands = \"120 W/cm2\", time = \"100 s\" }]; an AB number alone is not worked with here: ask the maker for both"
        }
        "kind" => {
            "write kind = \"argon\", \"nitrogen\", \"helium\" or, where no gas flows, \"none\""
        }
        "flow" | "leak" => "write a flow as text: flow = \"20 l/min\"",
        "room" if within == "gas" => {
            "write the room's volume, room = \"50 m3\", or its sides, room = [\"5 m\", \"4 m\", \"2.5 m\"]"
        }
        "room" => "add [room] with width, depth and torch",
        "air_changes" => "write the changes of air in an hour: air_changes = 0.4",
        "cylinder" => {
            "write the cylinder's water volume with its pressure, cylinder = \"50 l\" and cylinder_pressure = \"200 bar\", or the gas that it lets out, cylinder = \"10 m3\"; or cylinder = \"none\" where none stands in the room"
        }
        "liquid" => "write the volume of the liquid in its vessel: liquid = \"230 l\"",
        "cylinder_pressure" => {
            "write the pressure of the full cylinder: cylinder_pressure = \"200 bar\""
        }
        "m2" => "write the beam's quality as a number: m2 = 6; or leave it out",
        "parent" => "write the parent metal: parent = \"stainless steel\"",
        "wire" => "write the wire: wire = \"stainless steel\" or \"none\"",
        "hood" => "write the sides of the hood's opening: hood = [\"0.3 m\", \"0.3 m\"]",
        "hood_distance" => {
            "write the distance from the hood's opening to the weld: hood_distance = \"0.3 m\""
        }
        "flanged" | "invented" => "write true or false, without quotes",
        "velocity" => "write the air velocity wanted at the weld: velocity = \"0.5 m/s\"",
        "by" => "say who signed: by = \"...\"",
        "fingerprint" => "copy the fingerprint that stands on the signed plan",
        "site" => "say where the area is: site = \"...\"",
        "author" => "say who worked it out: author = \"...\"",
        "officer" | "title" | "name" => "write it as text, in double quotes",
        "date" => "give the date as text, year, month and day: date = \"2026-11-25\"",
        "paper" => "add [paper] with site, author and date",
        _ => return None,
    })
}

/// What `area` prints for machines. Figures are unrounded; the texts under `says` are what page and plan print.
#[derive(Clone, Debug, Serialize)]
pub struct AreaOut {
    /// The setup file.
    pub file: String,
    /// Mean power.
    pub power_w: f64,
    /// Wavelength.
    pub wavelength_nm: f64,
    /// Time of exposure.
    pub exposure_s: f64,
    /// What the eye may take.
    pub mpe_eye_w_per_m2: f64,
    /// What the skin may take, by the table.
    pub mpe_skin_w_per_m2: f64,
    /// The skin's limit that distances are worked out with.
    pub skin_limit_for_distance_w_per_m2: f64,
    /// Correction C4.
    pub c4: f64,
    /// Correction C7.
    pub c7: f64,
    /// Nominal ocular hazard distance of the bare beam; null when no divergence is given.
    pub nohd_m: Option<f64>,
    /// The same for the skin.
    pub nohd_skin_m: Option<f64>,
    /// Hazard distance beyond the focus; null when no optics are given.
    pub hazard_beyond_focus_m: Option<f64>,
    /// The same from the lens.
    pub hazard_from_lens_m: Option<f64>,
    /// The same for the skin, beyond the focus.
    pub skin_beyond_focus_m: Option<f64>,
    /// Hazard distance of the fibre's end.
    pub fibre_end_m: Option<f64>,
    /// The same for the skin.
    pub fibre_end_skin_m: Option<f64>,
    /// The longest of the direct distances, in front of the torch and on the far side of the joint alike.
    pub far_side_m: Option<f64>,
    /// Hazard distance of the mirrored beam, from the work; null for a hollow surface, which has none that is known.
    pub mirrored_m: Option<f64>,
    /// The same for the skin.
    pub mirrored_skin_m: Option<f64>,
    /// Hazard distance of the diffuse reflection.
    pub diffuse_hazard_m: f64,
    /// The same for the skin.
    pub diffuse_skin_m: f64,
    /// The pilot beam.
    pub pilot: Option<PilotOut>,
    /// Optical density for the whole beam through a pupil.
    pub needed_od_whole_beam: f64,
    /// Optical density where the wearer is, against the direct beam.
    pub needed_od_at_distance: Option<f64>,
    /// Optical density where the wearer is, against the diffuse reflection.
    pub needed_od_diffuse: Option<f64>,
    /// The same for whoever holds the torch, 0.3 m from the work.
    pub needed_od_diffuse_operator: f64,
    /// Width of the beam on the eyewear, at 1/e: what is given or 5 mm, or the beam's at the wearer's distance where that
    /// is less.
    pub eyewear_spot_mm: f64,
    /// Power density there.
    pub eyewear_power_density_w_per_m2: f64,
    /// EN 207 scale number in mode D: enough for power density and optical density.
    pub en207_scale: u8,
    /// By power density alone.
    pub en207_by_power_density: u8,
    /// By optical density alone.
    pub en207_by_optical_density: u8,
    /// In the pulses' mode.
    pub en207_pulsed: Option<PulsedOut>,
    /// After the correction for wide beams, glass; recalled.
    pub en207_wide_beam: u8,
    /// Whether EN 207 has such a number.
    pub en207_exists: bool,
    /// The pair at hand.
    pub eyewear: Option<EyewearOut>,
    /// Least welding shade for the arc beside the beam.
    pub shade_least: Option<u8>,
    /// Its luminous transmittance.
    pub shade_luminous_percent: Option<f64>,
    /// Curtains.
    pub curtains: Vec<CurtainOut>,
    /// Where the beam can leave the room; null when no room is given.
    pub ways_out: Option<Vec<WayOutOut>>,
    /// Oxygen in the end, while gas flows.
    pub oxygen_percent_steady: Option<f64>,
    /// Oxygen after an hour.
    pub oxygen_percent_after_1h: Option<f64>,
    /// When the first alarm (19.5 %) sounds; null: never.
    pub oxygen_first_alarm_after_s: Option<f64>,
    /// When the second alarm (18 %) sounds; null: never.
    pub oxygen_second_alarm_after_s: Option<f64>,
    /// Oxygen in the end with the leak alone, the air changing as while welding.
    pub oxygen_percent_leak_steady: Option<f64>,
    /// Oxygen after a weekend of 64 h with the leak alone, the room closed and its air standing.
    pub oxygen_percent_leak_weekend_closed: Option<f64>,
    /// Oxygen after a cylinder has emptied itself into the closed room.
    pub oxygen_percent_cylinder_emptied: Option<f64>,
    /// What the fume holds, with its limits.
    pub fume: Option<Vec<FumeOut>>,
    /// Least and most air that the hood must draw.
    pub hood_flow_m3_per_h: Option<[f64; 2]>,
    /// Stands on the plan; changes with anything that was worked out.
    pub fingerprint: String,
    /// The setting that the setup names, and which of its figures the setup leaves to it.
    pub setting: Option<AreaSettingOut>,
    /// Whether anything changed since the plan was signed; null: none was.
    pub changed_since_signed: Option<bool>,
    /// Which figures of the beam are others than on the signed plan.
    pub beam_changed: Vec<String>,
    /// What speaks against releasing the area as it is set up, what is missing included; empty: nothing in what was entered.
    pub against: Vec<String>,
    /// What was taken because nothing was said.
    pub taken: Vec<String>,
    /// The laser's class by its power.
    pub class: &'static str,
    /// What page and plan print.
    pub says: Says,
}

/// A setting that an area is worked out for.
#[derive(Clone, Debug, Serialize)]
pub struct AreaSettingOut {
    /// As the setup names it.
    pub name: String,
    /// Its power.
    pub power_w: f64,
    /// Its wavelength.
    pub wavelength_nm: f64,
    /// Figures of the beam that the area takes from it.
    pub taken: Vec<&'static str>,
}

/// The pilot beam, for machines.
#[derive(Clone, Debug, Serialize)]
pub struct PilotOut {
    /// Its power.
    pub power_w: f64,
    /// Its wavelength.
    pub wavelength_nm: f64,
    /// How long one looks.
    pub exposure_s: f64,
    /// What the eye may take.
    pub mpe_eye_w_per_m2: f64,
    /// What may enter a pupil of 7 mm by that; what does is at most `power_w`.
    pub permitted_through_pupil_w: f64,
    /// Hazard distance by the optics of the main beam; null when none are given.
    pub hazard_m: Option<f64>,
}

/// A scale number for pulses.
#[derive(Clone, Debug, Serialize)]
pub struct PulsedOut {
    /// I or R.
    pub mode: char,
    /// The number.
    pub scale: u8,
}

/// A pair held against the need.
#[derive(Clone, Debug, Serialize)]
pub struct EyewearOut {
    /// As printed on it.
    pub marking: String,
    /// Whether it carries what the published relation asks.
    pub holds: bool,
    /// Whether it carries what the correction for wide beams (recalled) asks as well.
    pub holds_wide_beam: bool,
    /// What else is printed on it and counts for nothing here.
    pub beside: Vec<String>,
    /// Why not.
    pub why: Vec<String>,
}

/// A curtain held against the beam.
#[derive(Clone, Debug, Serialize)]
pub struct CurtainOut {
    /// Its name.
    pub name: String,
    /// From the torch.
    pub distance_m: f64,
    /// Power density of the direct beam there; null when no spread is given.
    pub direct_w_per_m2: Option<f64>,
    /// Power density of the diffuse reflection there.
    pub diffuse_w_per_m2: f64,
    /// How long its rating lasts against the direct beam; null: it is rated for nothing so strong.
    pub lasts_s: Option<f64>,
    /// Whether that is long enough for somebody who watches to switch off.
    pub stands: bool,
    /// Whether the beam passes over it at the height of eyes.
    pub over_at_eye_height: bool,
    /// How far behind it the floor is struck from under it; null: the beam passes level.
    pub under_reaches_m: Option<f64>,
}

/// A way out of the room.
#[derive(Clone, Debug, Serialize)]
pub struct WayOutOut {
    /// Through which door or window.
    pub opening: String,
    /// The torch's place that it is seen from, from the room's lower left corner.
    pub torch_m: [f64; 2],
    /// From which direction, degrees from the plan's x towards its y.
    pub from_deg: f64,
    /// To which.
    pub to_deg: f64,
    /// How far the opening is from the torch.
    pub distance_m: f64,
    /// How far the beam is dangerous outside of it; null when no spread is given, or the work is hollow.
    pub beyond_m: Option<f64>,
}

/// Something in the fume.
#[derive(Clone, Debug, Serialize)]
pub struct FumeOut {
    /// What.
    pub what: &'static str,
    /// What it does.
    pub does: &'static str,
    /// Its limits.
    pub limits: Vec<FumeLimitOut>,
}

/// A limit of what is breathed.
#[derive(Clone, Debug, Serialize)]
pub struct FumeLimitOut {
    /// The limit.
    pub value: f64,
    /// Its unit.
    pub unit: &'static str,
    /// Of what part, over what time.
    pub kind: &'static str,
    /// Whose.
    pub jurisdiction: &'static str,
    /// Where it is from, and how that is known.
    pub source: String,
}

/// What page and plan print, to the last digit.
#[derive(Clone, Debug, Serialize)]
pub struct Says {
    /// Whether the plan that was signed still stands; none: none was.
    pub signed: Option<String>,
    /// Four questions answered in sentences.
    pub answers: Vec<[String; 2]>,
    /// The working, part by part.
    pub parts: Vec<PartOut>,
    /// The check list: topic, what must be so, source.
    pub checks: Vec<[String; 3]>,
    /// Etchants.
    pub etchants: Vec<EtchantOut>,
    /// What holds for all etching and cutting.
    pub etching_always: Vec<String>,
    /// Cautions that every way of reading this carries.
    pub cautions: Vec<String>,
}

/// A part of the working.
#[derive(Clone, Debug, Serialize)]
pub struct PartOut {
    /// Its title.
    pub title: String,
    /// What, how much, and where it is from.
    pub rows: Vec<RowOut>,
    /// Sentences.
    pub sentences: Vec<String>,
}

/// A row of the working.
#[derive(Clone, Debug, Serialize)]
pub struct RowOut {
    /// What.
    pub what: String,
    /// How much.
    pub value: String,
    /// Where the relation is from; 'Recalled' when from memory.
    pub from: String,
}

/// An etchant, for machines.
#[derive(Clone, Debug, Serialize)]
pub struct EtchantOut {
    /// Its name.
    pub name: &'static str,
    /// For which alloys.
    pub alloys: &'static str,
    /// Usual strength.
    pub strength: &'static str,
    /// What never to mix or store.
    pub never: &'static str,
    /// First aid.
    pub first_aid: &'static str,
    /// Only for persons trained for it.
    pub trained_only: bool,
    /// Where it is from.
    pub from: String,
}

//! The joint file: a joint, what it is made of, and the load it must carry.
//!
//! Lengths, loads and strengths are texts in shop notation. A material is one of the tables' grades, or the name of a
//! `[[metal]]` of the file with its own strengths.

use super::{quantity, word};
use crate::refusal::{Refusal, line_of};
use physics::strength::load::{Amount, Direction, Load};
use physics::strength::{
    Aisc, AwsD11, Butt, Code, Design, En, EnMethod, Joint, Lap, Metal, Part, Restraint, Tee, Welds,
};
use serde::{Deserialize, Serialize};
use toml::Spanned;
use weld::materials::{Basis, Family, Filler, Form, Grade};
use weld::quantity::parse::parse;
use weld::quantity::{Angle, Force, Length, LineLoad, Stress};
use weld::source::{Seen, Source};

type Text = Option<Spanned<String>>;

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct JointForm {
    joint: Spanned<String>,
    base: Text,
    upright: Text,
    plate: Text,
    other_plate: Text,
    angle: Text,
    gap: Text,
    material: Text,
    base_material: Text,
    upright_material: Text,
    other_material: Text,
    product: Text,
    filler: Text,
    sides: Text,
    restrained: Option<Spanned<bool>>,
    length: Text,
    full_size_to_ends: Option<bool>,
    leg: Text,
    lap_along_force: Text,
    along_an_edge: Option<Spanned<bool>>,
    #[serde(default)]
    metal: Vec<Spanned<MetalForm>>,
    need: Option<Spanned<NeedForm>>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct MetalForm {
    name: String,
    family: Spanned<String>,
    yield_strength: Spanned<String>,
    tensile_strength: Spanned<String>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct NeedForm {
    load: Spanned<String>,
    direction: Spanned<toml::Value>,
    code: Spanned<String>,
    method: Text,
    design: Text,
    electrode: Text,
    strengths: Text,
    gamma_m2: Option<f64>,
    gamma_m0: Option<f64>,
}

/// A joint file turned into nouns.
#[derive(Clone, Debug)]
pub struct AskedJoint {
    /// The word that the file uses: bead, butt, tee or lap.
    pub kind: &'static str,
    /// The joint.
    pub joint: Joint,
    /// The plate of a bead, when it is given: nothing is worked out for its strength, but a prediction wants it.
    pub bead: Option<Part>,
    /// Load and code, when a need is asked.
    pub need: Option<AskedNeed>,
    /// What was taken because nothing was said.
    pub taken: Vec<String>,
    /// What was taken as it stands and may have been meant otherwise.
    pub remarks: Vec<String>,
    /// Lines of fields that a later refusal may name.
    lines: Vec<(&'static str, usize)>,
}

/// The load and the code that a need is worked out by.
#[derive(Clone, Debug)]
pub struct AskedNeed {
    /// The load.
    pub load: Load,
    /// The code.
    pub code: Code,
    /// As the file writes it.
    pub code_name: &'static str,
    /// The load as the file writes it.
    pub load_text: String,
}

impl AskedJoint {
    /// The line of a field; `need.load` and the like for those of `[need]`.
    #[must_use]
    pub fn line(&self, field: &str) -> Option<usize> {
        self.lines.iter().find(|(name, _)| *name == field).map(|(_, line)| *line)
    }

    /// The load and which way it points, as a sentence has it.
    #[must_use]
    pub fn load_words(&self) -> Option<String> {
        let need = self.need.as_ref()?;
        let way = direction_words(&need.load.direction, Some(&self.joint));
        Some(format!("{} {way}", need.load_text))
    }

    /// Whether it has a weld on each side; none of a bead, and of a lap, whose two welds are two sections.
    #[must_use]
    pub const fn both_sides(&self) -> Option<bool> {
        match &self.joint {
            Joint::Tee(Tee { lap: None, welds, .. }) | Joint::Butt(Butt { welds, .. }) => {
                Some(matches!(welds, Welds::Both))
            }
            Joint::Tee(_) | Joint::Bead => None,
        }
    }
}

/// Which way a load points.
pub(crate) fn direction_words(direction: &Direction, joint: Option<&Joint>) -> String {
    let (across, upright) = match joint {
        Some(Joint::Butt(_)) => {
            ("across the weld, in the plane of the plates", "through the thickness, as shear")
        }
        _ => ("across the weld, in the plane of the base", "square to the base"),
    };
    match direction {
        Direction::Along => "along the weld".to_owned(),
        Direction::Across => across.to_owned(),
        Direction::Upright => upright.to_owned(),
        Direction::Parts([x, y, z]) => {
            format!("in parts {x} along, {y} across, {z} {upright}")
        }
    }
}

const KINDS: [&str; 4] = ["bead", "butt", "tee", "lap"];

/// Turns the text of a joint file into nouns.
///
/// # Errors
///
/// Says line, field, fact and next action.
pub fn joint_from_toml(file: &str, text: &str) -> Result<AskedJoint, Refusal> {
    let form: JointForm =
        toml::from_str(text).map_err(|e| joint_advice(Refusal::of_toml(file, text, &e)))?;
    let place =
        |r: Refusal| Refusal { line: r.line.map(|at| line_of(text, at)), ..r }.in_file(file);
    let asked = asked(&form).map_err(place)?;
    let lines = form.places().into_iter().map(|(f, at)| (f, line_of(text, at))).collect();
    Ok(AskedJoint { lines, ..asked })
}

/// Advice for fields whose name means something else in a reading file.
fn joint_advice(mut refusal: Refusal) -> Refusal {
    let advice = match refusal.field.as_deref() {
        Some("joint") => "say the kind of joint: joint = \"tee\", \"lap\", \"butt\" or \"bead\"",
        Some("base" | "upright" | "plate" | "other_plate") => {
            "give the plate's thickness with its unit as text, such as \"8 mm\""
        }
        Some("need.load") => "give the load with its unit: load = \"60 kN\" or \"0.6 kN/mm\"",
        Some("need.direction") => {
            "say which way it points: direction = \"along\", \"across\", \"upright\", or parts [x, y, z]"
        }
        Some("need.code") => "name the code: code = \"EN 1993-1-8\", \"AISC 360\" or \"AWS D1.1\"",
        Some("restrained") => "answer restrained = true or restrained = false",
        Some("metal") => {
            "name the plates' metal: material = \"S355\"; strengths of your own stand in a [[metal]] table"
        }
        _ => return refusal,
    };
    advice.clone_into(&mut refusal.advice);
    refusal
}

impl JointForm {
    /// Where the fields stand that a refusal of the room may be about.
    fn places(&self) -> Vec<(&'static str, usize)> {
        let at = |text: &Text| text.as_ref().map(|t| t.span().start);
        let mut out = vec![("joint", self.joint.span().start)];
        let mut add = |field, at: Option<usize>| out.extend(at.map(|at| (field, at)));
        add("base", at(&self.base));
        add("upright", at(&self.upright));
        add("plate", at(&self.plate));
        add("angle", at(&self.angle));
        add("gap", at(&self.gap));
        add("length", at(&self.length));
        add("leg", at(&self.leg));
        add("lap_along_force", at(&self.lap_along_force));
        add("restrained", self.restrained.as_ref().map(|r| r.span().start));
        add("sides", at(&self.sides));
        if let Some(need) = &self.need {
            add("need", Some(need.span().start));
            let need = need.get_ref();
            add("need.load", Some(need.load.span().start));
            add("need.direction", Some(need.direction.span().start));
            add("need.code", Some(need.code.span().start));
            add("need.electrode", at(&need.electrode));
        }
        out
    }
}

/// A refusal with its place as a byte offset.
fn at(start: usize, refusal: Refusal) -> Refusal {
    Refusal { line: Some(start), ..refusal }
}

fn missing(field: &str, advice: &str) -> Refusal {
    Refusal::new(format!("the field '{field}' is missing"), advice).in_field(field)
}

fn asked(form: &JointForm) -> Result<AskedJoint, Refusal> {
    let kind = form.joint.get_ref().trim();
    let Some(kind) = KINDS.into_iter().find(|k| *k == kind) else {
        return Err(at(
            form.joint.span().start,
            Refusal::new(
                format!("'{kind}' is no kind of joint whose need is worked out"),
                "write \"tee\", \"lap\", \"butt\" or \"bead\"; an inside corner is a \"tee\" welded on one side",
            )
            .in_field("joint"),
        ));
    };
    foreign(form, kind)?;
    let mut taken = Vec::new();
    let basis = match form.need.as_ref().and_then(|n| n.get_ref().strengths.as_ref()) {
        None => Basis::default(),
        Some(text) => word(
            "need.strengths",
            text,
            &[
                ("product standard", Basis::ProductStandard),
                ("EN 1993-1-1 Table 3.1", Basis::Table31),
            ],
        )?,
    };
    let product = match &form.product {
        None => Form::HotRolledPlate,
        Some(text) => word(
            "product",
            text,
            &[
                ("hot-rolled plate", Form::HotRolledPlate),
                ("hot-rolled strip", Form::HotRolledStrip),
                ("cold-rolled strip", Form::ColdRolledStrip),
            ],
        )?,
    };
    let metals = Metals { form, basis, product };
    let filler = match &form.filler {
        None => None,
        Some(text) => Some(word(
            "filler",
            text,
            &[
                ("E70", Filler::E70),
                ("ER70S-6", Filler::Er70s6),
                ("G 42", Filler::G42),
                ("19 9 L Si", Filler::G199LSi),
                ("19 12 3 L Si", Filler::G19123LSi),
            ],
        )?),
    };
    let length = |field: &'static str, text: &Text| -> Result<Option<Length>, Refusal> {
        text.as_ref().map(|t| positive(field, t)).transpose()
    };
    let needed = |field: &'static str, text: &Text| -> Result<Length, Refusal> {
        length(field, text)?.ok_or_else(|| {
            missing(field, &format!("give a length with its unit, such as {field} = \"100 mm\""))
        })
    };
    let gap = match &form.gap {
        None => Length::ZERO,
        Some(text) => {
            let gap: Length = quantity("gap", text)?;
            if gap.mm() < 0.0 {
                return Err(at(
                    text.span().start,
                    Refusal::new(
                        format!("{} is less than nothing", text.get_ref()),
                        "measure the gap between the plates; 0 mm where they touch",
                    )
                    .in_field("gap"),
                ));
            }
            gap
        }
    };
    let joint = match kind {
        "bead" => Joint::Bead,
        "butt" => {
            let first = metals.part("plate", &form.plate, "material", &form.material, kind)?;
            let second = match (&form.other_plate, &form.other_material) {
                (None, None) => first.clone(),
                (plate, material) => metals.part(
                    if plate.is_some() { "other_plate" } else { "plate" },
                    if plate.is_some() { plate } else { &form.plate },
                    if material.is_some() { "other_material" } else { "material" },
                    if material.is_some() { material } else { &form.material },
                    kind,
                )?,
            };
            Joint::Butt(Butt {
                parts: [first, second],
                gap,
                welds: welds(form)?,
                length: needed("length", &form.length)?,
                full_size_to_ends: form.full_size_to_ends.unwrap_or(false),
                filler,
            })
        }
        _ => {
            let own = |field, own: &Text| -> (&'static str, Text) {
                match own {
                    Some(text) => (field, Some(text.clone())),
                    None => ("material", form.material.clone()),
                }
            };
            let (base_field, base) = own("base_material", &form.base_material);
            let (upright_field, upright) = own("upright_material", &form.upright_material);
            let angle = match &form.angle {
                None => Angle::from_deg(90.0),
                Some(text) => quantity("angle", text)?,
            };
            Joint::Tee(Tee {
                base: metals.part("base", &form.base, base_field, &base, kind)?,
                upright: metals.part("upright", &form.upright, upright_field, &upright, kind)?,
                angle,
                gap,
                welds: welds(form)?,
                length: needed("length", &form.length)?,
                full_size_to_ends: form.full_size_to_ends.unwrap_or(false),
                leg: length("leg", &form.leg)?,
                lap: if kind == "lap" {
                    Some(Lap {
                        along_the_force: length("lap_along_force", &form.lap_along_force)?,
                        along_an_edge: form.along_an_edge.as_ref().is_none_or(|e| *e.get_ref()),
                    })
                } else {
                    None
                },
                filler,
            })
        }
    };
    let european =
        form.need.as_ref().is_some_and(|n| n.get_ref().code.get_ref().trim().starts_with("EN"));
    if form.gap.is_none() && kind != "bead" {
        taken.push("no gap".to_owned());
    } else if european && gap.mm() > 0.0 {
        taken.push("the gap does not change the need by EN 1993-1-8: show the throat net of it, on sections".to_owned());
    }
    if european && form.leg.is_some() {
        taken.push("the leg does not change the need by EN 1993-1-8: what it does not draw must come from depth, shown on sections".to_owned());
    }
    for own in &form.metal {
        let name = own.get_ref().name.trim();
        if metals.grade(name).is_some() {
            taken.push(format!("'{name}' with the strengths of [[metal]], not with the tables'"));
        }
        let named =
            [&form.material, &form.base_material, &form.upright_material, &form.other_material];
        if !named.into_iter().flatten().any(|t| t.get_ref().trim() == name) {
            return Err(at(
                own.span().start,
                Refusal::new(
                    format!("no part is made of '{name}'"),
                    "name it as material of a part, or leave the [[metal]] out",
                )
                .in_field("metal.name"),
            ));
        }
    }
    if form.full_size_to_ends.is_none() && kind != "bead" {
        taken.push(
            "the weld is not full size to its ends (full_size_to_ends = true if it is)".to_owned(),
        );
    }
    if metals.stainless() && form.product.is_none() {
        taken.push(
            "stainless steel as hot-rolled plate, the least strengths (product = ...)".to_owned(),
        );
    }
    let need =
        form.need.as_ref().map(|n| need(n.get_ref(), kind, filler, &mut taken)).transpose()?;
    if let (Some(text), false) = (&form.product, metals.stainless()) {
        return Err(at(
            text.span().start,
            Refusal::new(
                "'product' tells the products of a stainless grade of the tables apart, and no part is of one",
                "leave it out, or correct the material",
            )
            .in_field("product"),
        ));
    }
    let bead = match (kind, &form.plate, &form.material) {
        ("bead", Some(_), Some(_)) => {
            Some(metals.part("plate", &form.plate, "material", &form.material, kind)?)
        }
        _ => None,
    };
    Ok(AskedJoint { kind, joint, bead, need, taken, remarks: doubted(form), lines: Vec::new() })
}

/// Figures that can be read, and may have been meant otherwise.
fn doubted(form: &JointForm) -> Vec<String> {
    let need = form.need.as_ref().map(Spanned::get_ref);
    let mut out = Vec::new();
    let texts: [(&str, Option<&Text>); 6] = [
        ("base", Some(&form.base)),
        ("upright", Some(&form.upright)),
        ("plate", Some(&form.plate)),
        ("length", Some(&form.length)),
        ("leg", Some(&form.leg)),
        ("lap_along_force", Some(&form.lap_along_force)),
    ];
    let load = need.map(|n| ("need.load", &n.load));
    let given = texts.into_iter().filter_map(|(field, text)| Some((field, text?.as_ref()?)));
    for (field, text) in given.chain(load) {
        let text = text.get_ref().trim();
        if let Some(thousands) = as_thousands(text) {
            out.push(format!(
                "{field}: '{text}' is read with a decimal point, not as {thousands}: if thousands were meant, write {thousands}"
            ));
        }
    }
    if let Some(text) = need.and_then(|n| n.electrode.as_ref())
        && let Ok(strength) = text.get_ref().parse::<Stress>()
        && !(LEAST_ELECTRODE_MPA..=MOST_ELECTRODE_MPA).contains(&strength.mpa())
    {
        out.push(format!(
            "need.electrode: {} is no usual strength of a filler metal, which are classed from 60 to 120 ksi (414 to 827 MPa): is the unit right?",
            text.get_ref().trim()
        ));
    }
    out
}

/// Classes of filler metals, with some room about them. Common practice.
const LEAST_ELECTRODE_MPA: f64 = 350.0;
const MOST_ELECTRODE_MPA: f64 = 1000.0;

/// A figure of one to three digits, a point and three more, `60.000 N`, as those read it who write a point between
/// thousands: `60000 N`. A point is a decimal point (see the quantities), so this is asked about, not refused: drawings
/// and our own papers print three decimals of an inch.
fn as_thousands(text: &str) -> Option<String> {
    let end = text.find(|c: char| !(c.is_ascii_digit() || c == '.')).unwrap_or(text.len());
    let (figure, unit) = text.split_at(end);
    let (whole, rest) = figure.split_once('.')?;
    let group = rest.len() == 3 && rest.bytes().all(|b| b.is_ascii_digit());
    let begins = (1..=3).contains(&whole.len()) && !whole.starts_with('0');
    (group && begins).then(|| format!("{whole}{rest}{unit}"))
}

/// Refuses fields that belong to another kind of joint: ignored, they would mislead.
fn foreign(form: &JointForm, kind: &str) -> Result<(), Refusal> {
    let tee = kind == "tee" || kind == "lap";
    let fields: [(&str, &Text, bool); 11] = [
        ("base", &form.base, tee),
        ("upright", &form.upright, tee),
        ("angle", &form.angle, kind == "tee"),
        ("base_material", &form.base_material, tee),
        ("upright_material", &form.upright_material, tee),
        ("leg", &form.leg, tee),
        ("lap_along_force", &form.lap_along_force, kind == "lap"),
        ("plate", &form.plate, !tee),
        ("other_plate", &form.other_plate, kind == "butt"),
        ("other_material", &form.other_material, kind == "butt"),
        ("gap", &form.gap, kind != "bead"),
    ];
    let edge = form.along_an_edge.as_ref().map(Spanned::span);
    let places = fields
        .map(|(field, text, belongs)| (field, text.as_ref().map(Spanned::span), belongs))
        .into_iter()
        .chain([("along_an_edge", edge, kind == "lap")]);
    for (field, place, belongs) in places {
        if let (Some(place), false) = (place, belongs) {
            return Err(at(
                place.start,
                Refusal::new(
                    format!("'{field}' says nothing about a {kind}"),
                    if tee {
                        "a tee or lap has base and upright; leave this out"
                    } else {
                        "a butt or bead has plate; leave this out, or correct 'joint'"
                    },
                )
                .in_field(field),
            ));
        }
    }
    Ok(())
}

fn positive(field: &'static str, text: &Spanned<String>) -> Result<Length, Refusal> {
    let length: Length = quantity(field, text)?;
    if length.mm() > 0.0 {
        return Ok(length);
    }
    Err(at(
        text.span().start,
        Refusal::new(
            format!("{} is no length that a part can have", text.get_ref()),
            "give a length above nothing, such as \"8 mm\"",
        )
        .in_field(field),
    ))
}

fn welds(form: &JointForm) -> Result<Welds, Refusal> {
    let Some(sides) = &form.sides else {
        return Err(missing("sides", "say where it is welded from: sides = \"one\" or \"both\""));
    };
    let one = word("sides", sides, &[("one", true), ("both", false)])?;
    Ok(match (one, form.restrained.as_ref().map(|r| *r.get_ref())) {
        (false, _) => Welds::Both,
        (true, None) => Welds::One(Restraint::NotSaid),
        (true, Some(true)) => Welds::One(Restraint::Held),
        (true, Some(false)) => Welds::One(Restraint::FreeToRotate),
    })
}

/// What the file says of metals.
struct Metals<'a> {
    form: &'a JointForm,
    basis: Basis,
    product: Form,
}

/// Names of grades as people write them, besides the drawing's.
const GRADES: [(&str, Grade); 7] = [
    ("S235", Grade::S235),
    ("S275", Grade::S275),
    ("S355", Grade::S355),
    ("S420N", Grade::S420N),
    ("S420M", Grade::S420M),
    ("S460N", Grade::S460N),
    ("S460M", Grade::S460M),
];

impl Metals<'_> {
    fn grade(&self, name: &str) -> Option<Grade> {
        let bare: String =
            name.chars().filter(|c| !c.is_whitespace()).collect::<String>().to_ascii_uppercase();
        let bare = bare.strip_prefix("EN").unwrap_or(&bare);
        let bare = bare.strip_prefix("ASTM").unwrap_or(bare);
        if let Some((_, grade)) = GRADES.into_iter().find(|(name, _)| *name == bare) {
            return Some(grade);
        }
        Some(match bare {
            "1.4301" | "304" => Grade::En14301(self.product),
            "1.4307" | "304L" => Grade::En14307(self.product),
            "1.4404" | "316L" => Grade::En14404(self.product),
            "A36" => Grade::A36,
            "A572GRADE50" | "A572GR50" | "A572GR.50" | "A572-50" => Grade::A572Grade50,
            "A992" => Grade::A992,
            _ => return None,
        })
    }

    /// Is any of the named materials a stainless grade of the tables?
    fn stainless(&self) -> bool {
        let f = self.form;
        [&f.material, &f.base_material, &f.upright_material, &f.other_material]
            .into_iter()
            .flatten()
            .filter_map(|t| self.grade(t.get_ref()))
            .any(|g| g.family() == Family::Stainless)
    }

    fn part(
        &self,
        field: &'static str,
        thickness: &Text,
        material_field: &str,
        material: &Text,
        kind: &str,
    ) -> Result<Part, Refusal> {
        let Some(text) = thickness else {
            let advice = format!("give the thickness of the {kind}'s {field}: {field} = \"8 mm\"");
            return Err(missing(field, &advice));
        };
        let thickness = positive(field, text)?;
        let Some(material) = material else {
            return Err(missing(
                "material",
                "name the material: material = \"S355\" or \"1.4307\"",
            ));
        };
        let name = material.get_ref().trim();
        if let Some(own) = self.form.metal.iter().find(|m| m.get_ref().name.trim() == name) {
            return Ok(Part { thickness, metal: metal(own.get_ref())? });
        }
        let Some(grade) = self.grade(name) else {
            let known = "S235, S275, S355, S420N, S420M, S460N, S460M, 1.4301, 1.4307, 1.4404, A36, A572 Grade 50, A992";
            return Err(at(
                material.span().start,
                Refusal::new(
                    format!("the tables have no strengths for '{name}'"),
                    format!(
                        "known: {known}; for another add [[metal]] with name = \"{name}\", family, yield_strength and tensile_strength"
                    ),
                )
                .in_field(material_field),
            ));
        };
        Part::of(grade, thickness, self.basis)
            .map_err(|e| at(text.span().start, Refusal::new(e, e.advice()).in_field(field)))
    }
}

fn metal(form: &MetalForm) -> Result<Metal, Refusal> {
    Ok(Metal {
        name: form.name.trim().to_owned(),
        family: word(
            "metal.family",
            &form.family,
            &[
                (Family::CarbonSteel.word(), Family::CarbonSteel),
                (Family::Stainless.word(), Family::Stainless),
                ("aluminium", Family::Aluminium),
            ],
        )?,
        yield_strength: quantity::<Stress>("metal.yield_strength", &form.yield_strength)?,
        ultimate: quantity::<Stress>("metal.tensile_strength", &form.tensile_strength)?,
        grade: None,
        source: None,
    })
}

fn need(
    form: &NeedForm,
    kind: &str,
    filler: Option<Filler>,
    taken: &mut Vec<String>,
) -> Result<AskedNeed, Refusal> {
    let amount = amount(&form.load)?;
    let direction = direction(&form.direction, kind)?;
    let (code, code_name) = code(form, filler, taken)?;
    Ok(AskedNeed {
        load: Load { amount, direction },
        code,
        code_name,
        load_text: form.load.get_ref().trim().to_owned(),
    })
}

/// On the whole length, or per length of weld.
fn amount(text: &Spanned<String>) -> Result<Amount, Refusal> {
    if let Ok(force) = parse::<Force>(text.get_ref()) {
        return Ok(Amount::Whole(force));
    }
    match parse::<LineLoad>(text.get_ref()) {
        Ok(load) => Ok(Amount::PerLength(load)),
        // What is wrong with it as a force says more, unless it was meant per length.
        Err(e) if text.get_ref().contains('/') => {
            Err(at(text.span().start, Refusal::new(&e, e.advice()).in_field("need.load")))
        }
        Err(_) => quantity::<Force>("need.load", text).map(Amount::Whole).map_err(|r| Refusal {
            advice: "write a force on the whole length, such as \"60 kN\", or a load per length, such as \"0.6 kN/mm\""
                .to_owned(),
            ..r
        }),
    }
}

fn direction(value: &Spanned<toml::Value>, kind: &str) -> Result<Direction, Refusal> {
    let refuse = |fact: String| {
        at(
            value.span().start,
            Refusal::new(
                fact,
                "write \"along\" the weld, \"across\" it in the base plane, \"upright\" (butt: \"through\" the thickness), or its parts [x, y, z] along these three",
            )
            .in_field("need.direction"),
        )
    };
    match value.get_ref() {
        toml::Value::String(word) => match (word.trim(), kind) {
            ("along", _) => Ok(Direction::Along),
            ("across", _) => Ok(Direction::Across),
            ("upright", "tee" | "lap") | ("through", "butt" | "bead") => Ok(Direction::Upright),
            (other, _) => Err(refuse(format!("'{other}' is no direction of a {kind}'s load"))),
        },
        toml::Value::Array(parts) => {
            let numbers: Vec<f64> = parts
                .iter()
                .filter_map(|p| p.as_float().or_else(|| p.as_integer().map(|i| i as f64)))
                .collect();
            match <[f64; 3]>::try_from(numbers.as_slice()) {
                Ok(parts_) if parts.len() == 3 => Ok(Direction::Parts(parts_)),
                _ => {
                    Err(refuse(format!("{} number(s) stand here, and 3 are needed", numbers.len())))
                }
            }
        }
        _ => Err(refuse("a direction is a word or three numbers".to_owned())),
    }
}

fn code(
    form: &NeedForm,
    filler: Option<Filler>,
    taken: &mut Vec<String>,
) -> Result<(Code, &'static str), Refusal> {
    #[derive(Clone, Copy, PartialEq)]
    enum Which {
        En,
        Aisc,
        Aws,
    }
    let (which, name) = word(
        "need.code",
        &form.code,
        &[
            ("EN 1993-1-8", (Which::En, "EN 1993-1-8")),
            ("AISC 360", (Which::Aisc, "AISC 360")),
            ("AWS D1.1", (Which::Aws, "AWS D1.1")),
        ],
    )?;
    let not_here = |text: &Text, field: &str| match text {
        None => Ok(()),
        Some(text) => Err(at(
            text.span().start,
            Refusal::new(format!("'{field}' is nothing that {name} asks"), "leave it out")
                .in_field(format!("need.{field}")),
        )),
    };
    if which == Which::En {
        not_here(&form.design, "design")?;
        not_here(&form.electrode, "electrode")?;
        let method = match &form.method {
            None => EnMethod::Directional,
            Some(text) => word(
                "need.method",
                text,
                &[("directional", EnMethod::Directional), ("simplified", EnMethod::Simplified)],
            )?,
        };
        let gamma_m2 = form.gamma_m2.unwrap_or(En::RECOMMENDED.gamma_m2);
        if form.gamma_m2.is_none() {
            taken.push(
                "gamma_M2 1.25, the recommended value; a National Annex may change it".to_owned(),
            );
        }
        return Ok((Code::En(En { method, gamma_m2, gamma_m0: form.gamma_m0 }), name));
    }
    if form.gamma_m2.is_some() || form.gamma_m0.is_some() {
        return Err(Refusal::new(
            format!("partial factors are nothing that {name} asks"),
            "leave gamma_m2 and gamma_m0 out",
        )
        .in_field("need.gamma_m2"));
    }
    let electrode = match (&form.electrode, filler) {
        (Some(text), Some(filler @ (Filler::E70 | Filler::Er70s6)))
            if (quantity::<Stress>("need.electrode", text)?.ksi() - 70.0).abs() > 0.5 =>
        {
            return Err(at(
                text.span().start,
                Refusal::new(
                    format!(
                        "the electrode is given as {}, and {} is of the 70 ksi class",
                        text.get_ref(),
                        filler.name()
                    ),
                    "correct the one that is wrong",
                )
                .in_field("need.electrode"),
            ));
        }
        (Some(text), _) => quantity::<Stress>("need.electrode", text)?,
        (None, Some(filler @ (Filler::E70 | Filler::Er70s6))) => {
            taken.push(format!("electrode 70 ksi, the class of {}", filler.name()));
            Stress::from_ksi(70.0)
        }
        (None, _) => {
            return Err(missing(
                "need.electrode",
                "give the classification strength of the filler: electrode = \"70 ksi\"",
            ));
        }
    };
    if which == Which::Aws {
        not_here(&form.design, "design")?;
        not_here(&form.method, "method")?;
        return Ok((Code::AwsD11(AwsD11 { electrode }), name));
    }
    let Some(design) = &form.design else {
        return Err(missing(
            "need.design",
            "say how the load is given: design = \"LRFD\" (factored loads) or \"ASD\" (service loads)",
        ));
    };
    let design = word("need.design", design, &[("LRFD", Design::Lrfd), ("ASD", Design::Asd)])?;
    let directional = match &form.method {
        None => {
            taken.push(
                "no directional increase (method = \"directional\" where it may be used)"
                    .to_owned(),
            );
            false
        }
        Some(text) => {
            word("need.method", text, &[("directional", true), ("without increase", false)])?
        }
    };
    Ok((Code::Aisc(Aisc { design, electrode, directional }), name))
}

/// What `start` prints for machines.
#[derive(Clone, Debug, Serialize)]
pub struct StartOut {
    /// The joint file.
    pub file: String,
    /// bead, butt, tee or lap.
    pub joint_kind: &'static str,
    /// What the load needs; nothing when the file names no load.
    pub need: Option<NeedOut>,
    /// What was taken because nothing was said.
    pub taken: Vec<String>,
    /// What was taken as it stands and may have been meant otherwise.
    pub remarks: Vec<String>,
}

/// The need, for machines. Lengths are unrounded.
#[derive(Clone, Debug, Serialize)]
pub struct NeedOut {
    /// May the joint be as asked, conditions apart?
    pub allowed: bool,
    /// Throat of each weld that the load needs; null when no throat will do.
    pub throat_mm: Option<f64>,
    /// Least throat the code allows.
    pub least_throat_mm: Option<f64>,
    /// The greater of both: what a claim is compared with.
    pub specify_mm: Option<f64>,
    /// What a throat counted by depth is compared with: it need not lie at half the angle.
    pub any_plane_mm: Option<f64>,
    /// How many welds share the load.
    pub welds: u8,
    /// Length of each weld that counts.
    pub effective_length_mm: Option<f64>,
    /// Resistance of each weld per millimetre of its length at the needed throat, in the load's direction.
    pub resistance_n_per_mm: Option<f64>,
    /// The code, as asked.
    pub code: &'static str,
    /// The clause of the method.
    pub clause: ClauseOut,
    /// The method in words.
    pub method: String,
    /// Which loads it is compared with.
    pub loads: &'static str,
    /// Whether depth of fusion may be counted, by which clause, and on what condition.
    pub penetration_counts_by: CreditOut,
    /// The joint as full penetration.
    pub as_full_penetration: Option<FullOut>,
    /// Load over the resistance of the upright (butt: weaker plate) itself.
    pub plate_utilisation: f64,
    /// What each part is made of, with the strengths that were used.
    pub parts: Vec<PartOut>,
    /// Fused length each weld needs on each plate.
    pub fused: Vec<FusedOut>,
    /// What governs: weld, base or upright (their metal at the fusion face); null where no throat will do, and for butts.
    pub governs: Option<&'static str>,
    /// Does the code ask for a least leg that is not settled yet? For the text; machines find it among the refusals.
    #[serde(skip)]
    pub least_leg_asked: bool,
    /// What the code refuses however deep the fusion, heaviest first.
    pub refusals: Vec<RefusalOut>,
    /// What else must be checked.
    pub also_check: Vec<CheckOut>,
}

/// A clause and how we know what it says.
#[derive(Clone, Debug, Serialize)]
pub struct ClauseOut {
    /// Title, edition and year.
    pub title: &'static str,
    /// Clause, table or page.
    pub place: &'static str,
    /// read, recalled, or quoted by whom.
    pub seen: String,
}

impl From<Source> for ClauseOut {
    fn from(source: Source) -> Self {
        let seen = match source.seen {
            Seen::Read => "read".to_owned(),
            Seen::QuotedBy(who) => format!("quoted by {who}"),
            Seen::Recalled => "recalled".to_owned(),
        };
        Self { title: source.title, place: source.place, seen }
    }
}

/// Whether depth of fusion counts.
#[derive(Clone, Debug, Serialize)]
pub struct CreditOut {
    /// It may, on the condition.
    pub counts: bool,
    /// The clause.
    pub clause: ClauseOut,
    /// The condition.
    pub condition: &'static str,
}

/// The joint as full penetration.
#[derive(Clone, Debug, Serialize)]
pub struct FullOut {
    /// Least sum of the throats.
    pub least_sum_of_throats_mm: f64,
    /// Greatest unfused land.
    pub greatest_land_mm: f64,
    /// What the joint then carries.
    pub resistance_n_per_mm: f64,
    /// Load over that.
    pub utilisation: f64,
    /// The clause.
    pub clause: ClauseOut,
}

/// A part and the strengths that were used.
#[derive(Clone, Debug, Serialize)]
pub struct PartOut {
    /// base, upright, plate or other plate.
    pub part: &'static str,
    /// Its metal.
    pub metal: String,
    /// Its thickness.
    pub thickness_mm: f64,
    /// Nominal yield strength.
    pub yield_strength_mpa: f64,
    /// Nominal tensile strength.
    pub tensile_strength_mpa: f64,
    /// Where they are from; null when the file gives them.
    pub source: Option<ClauseOut>,
}

/// Fused length on one plate.
#[derive(Clone, Debug, Serialize)]
pub struct FusedOut {
    /// base or upright.
    pub plate: &'static str,
    /// At least so much.
    pub least_mm: f64,
    /// Does the code ask for it, or do we?
    pub asked_by_code: bool,
    /// The clause.
    pub clause: ClauseOut,
}

/// One thing that the code refuses.
#[derive(Clone, Debug, Serialize)]
pub struct RefusalOut {
    /// condition, not allowed, no resistance.
    pub effect: &'static str,
    /// The fact.
    pub fact: String,
    /// The next action.
    pub advice: String,
    /// The clause.
    pub clause: ClauseOut,
}

/// Something else to check.
#[derive(Clone, Debug, Serialize)]
pub struct CheckOut {
    /// What it is.
    pub what: &'static str,
    /// The fact.
    pub fact: String,
    /// The clause.
    pub clause: ClauseOut,
}

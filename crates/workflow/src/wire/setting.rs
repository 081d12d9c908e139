//! The setting file: what is set before a weld is made, by beam or by arc.
//!
//! One form for files and for the setting records of a study: `[wobble]` and `[wire]` may be written as tables, or flat as a
//! page's fields are (`wobble_width`, `wire`, `wires`, `wire_feed`, `travel_speed`), never both.

use super::area::BeamSaid;
use super::{quantity, word};
use crate::refusal::{Refusal, line_of, near_or_known};
use physics::arc::{Arc, Process};
use physics::beam::{Beam, m2_of_product, spot_of_fibre};
use physics::deposit::{Feed, Wires};
use physics::hardening::Composition;
use physics::metal::Metal;
use physics::setting::Laser;
use physics::wobble::{Pattern, Wobble};
use serde::Deserialize;
use toml::Spanned;
use weld::quantity::kind::Quantity;
use weld::quantity::{Angle, Frequency, GasFlow, Length, Power, Share, Speed, Temperature};

type Text = Option<Spanned<String>>;
type Number = Option<Spanned<f64>>;

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct SettingForm {
    #[serde(rename = "words")]
    _words: Option<String>,
    #[serde(rename = "note")]
    _note: Option<String>,
    process: Text,
    power: Text,
    spot: Text,
    optics: Option<Spanned<OpticsForm>>,
    m2: Number,
    bpp: Number,
    wavelength: Text,
    focus: Text,
    travel: Text,
    travel_speed: Text,
    torch_angle: Text,
    aim: Text,
    gas: Option<String>,
    gas_flow: Text,
    preheat: Text,
    metal: Text,
    current: Text,
    voltage: Text,
    divergence: Text,
    focal_length: Text,
    beam_at_lens: Text,
    wobble: Option<Spanned<WobbleForm>>,
    wobble_pattern: Text,
    wobble_width: Text,
    wobble_frequency: Text,
    // A diameter or a table: looked at by hand, so that a refusal can name the line.
    wire: Option<Spanned<toml::Value>>,
    wires: Option<Spanned<i64>>,
    wire_feed: Text,
    analysis: Option<Spanned<AnalysisForm>>,
    steel: Text,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct OpticsForm {
    fibre: Spanned<String>,
    collimator: Spanned<String>,
    lens: Spanned<String>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct WobbleForm {
    pattern: Text,
    width: Text,
    frequency: Text,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "lowercase")]
struct AnalysisForm {
    c: Text,
    si: Text,
    mn: Text,
    cr: Text,
    mo: Text,
    v: Text,
    ni: Text,
    cu: Text,
    b: Text,
    nb: Text,
}

/// Beam or arc.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum AskedProcess {
    /// A laser beam.
    Laser(Laser),
    /// An arc.
    Arc(Arc),
}

/// A setting file turned into nouns.
#[derive(Clone, Debug)]
pub struct AskedSetting {
    /// ISO 4063 number, as the file writes it or as it was taken.
    pub number: String,
    /// The setting. A torch angle that was not said is a tee's 45 degrees, or square to the plate elsewhere.
    pub process: AskedProcess,
    /// The torch angle was said.
    pub angle_said: bool,
    /// Plates before welding.
    pub preheat: Temperature,
    /// A metal whose heat is to be taken instead of that of the joint's grade.
    pub metal: Option<Metal>,
    /// Shielding gas.
    pub gas: Option<String>,
    /// Its flow.
    pub gas_flow: Option<GasFlow>,
    /// The steel's analysis.
    pub analysis: Option<Composition>,
    /// How the beam leaves the head, widths at 1/e²: the area about it asks, no prediction does. Its power and wavelength
    /// stay with the process.
    pub head: BeamSaid,
    /// What was taken because nothing was said.
    pub taken: Vec<String>,
    lines: Vec<(&'static str, usize)>,
}

impl AskedSetting {
    /// A laser of which nothing but its setting is known: plates at 20 °C, no gas, no analysis.
    #[must_use]
    pub(crate) fn of(process: AskedProcess) -> Self {
        Self {
            number: "521".to_owned(),
            process,
            angle_said: true,
            preheat: Temperature::from_deg_c(20.0),
            metal: None,
            gas: None,
            gas_flow: None,
            analysis: None,
            head: BeamSaid::default(),
            taken: Vec::new(),
            lines: Vec::new(),
        }
    }

    /// The line of a field.
    #[must_use]
    pub fn line(&self, field: &str) -> Option<usize> {
        self.lines.iter().find(|(name, _)| *name == field).map(|(_, line)| *line)
    }

    /// The field that a room's word for a figure stands in.
    #[must_use]
    pub fn field_of(what: &str) -> &'static str {
        match what {
            "the power" => "power",
            "the spot" => "spot",
            "M²" => "m2",
            "the wavelength" => "wavelength",
            "the focus offset" => "focus",
            "the travel speed" => "travel",
            "the torch angle" => "torch_angle",
            "the aim" => "aim",
            "the wobble's width" => "wobble.width",
            "the wobble's frequency" => "wobble.frequency",
            "the plate's temperature" => "preheat",
            "the number of wires" => "wire.count",
            "the wire's diameter" => "wire.diameter",
            "the wire feed" => "wire.feed",
            "the wire" => "wire",
            "the current" => "current",
            "the voltage" => "voltage",
            _ => "setting",
        }
    }
}

/// A setting file, as refusals show it.
const NEEDS: &str = "give power, spot and travel at least: power = \"1.6 kW\", spot = \"120 um\", travel = \"8 mm/s\"";

/// Turns the text of a setting file, or of a study's setting record, into nouns.
///
/// # Errors
///
/// Says line, field, fact and next action.
pub fn setting_from_toml(file: &str, text: &str) -> Result<AskedSetting, Refusal> {
    let form: SettingForm =
        toml::from_str(text).map_err(|e| advice(Refusal::of_toml(file, text, &e)))?;
    let place =
        |r: Refusal| Refusal { line: r.line.map(|at| line_of(text, at)), ..r }.in_file(file);
    let mut asked = asked(&form).map_err(place)?;
    for (_, at) in &mut asked.lines {
        *at = line_of(text, *at);
    }
    Ok(asked)
}

fn advice(mut refusal: Refusal) -> Refusal {
    let advice = match refusal.field.as_deref() {
        Some("m2" | "bpp") => "write a plain number: m2 = 3",
        Some("wires") => "write a whole number: wires = 2",
        Some("power") => "write power = \"1.6 kW\"",
        Some("spot") => "write the focus diameter to 1/e²: spot = \"120 um\"",
        Some("travel" | "travel_speed") => "write travel = \"8 mm/s\"",
        Some("process") => {
            "write the ISO 4063 number as text: process = \"521\" (laser), \"135\", \"131\", \"141\""
        }
        Some("wobble") => {
            "write [wobble] with pattern = \"line\", width = \"1.5 mm\", frequency = \"60 Hz\""
        }
        _ => return refusal,
    };
    advice.clone_into(&mut refusal.advice);
    refusal
}

fn at(start: usize, refusal: Refusal) -> Refusal {
    Refusal { line: Some(start), ..refusal }
}

fn missing(field: &'static str) -> Refusal {
    Refusal::new(format!("the field '{field}' is missing"), NEEDS).in_field(field)
}

/// Reads fields and keeps where they stand.
struct Reader {
    lines: Vec<(&'static str, usize)>,
    taken: Vec<String>,
}

impl Reader {
    fn get<Q: Quantity>(&mut self, field: &'static str, text: &Text) -> Result<Option<Q>, Refusal> {
        let Some(text) = text else { return Ok(None) };
        self.lines.push((field, text.span().start));
        quantity(field, text).map(Some)
    }

    /// One of two spellings of the same field.
    fn either<Q: Quantity>(
        &mut self,
        (field, text): (&'static str, &Text),
        (flat, other): (&'static str, &Text),
    ) -> Result<Option<Q>, Refusal> {
        if let (Some(_), Some(second)) = (text, other) {
            return Err(twice(flat, field, second.span().start));
        }
        match self.get(field, text)? {
            Some(q) => Ok(Some(q)),
            None => {
                let found = self.get(flat, other)?;
                // A later refusal names the field by its usual spelling.
                if let Some(text) = other {
                    self.lines.push((field, text.span().start));
                }
                Ok(found)
            }
        }
    }
}

fn twice(flat: &str, field: &str, start: usize) -> Refusal {
    at(
        start,
        Refusal::new(format!("'{flat}' says again what '{field}' says"), "keep one of the two")
            .in_field(flat),
    )
}

fn asked(form: &SettingForm) -> Result<AskedSetting, Refusal> {
    let mut read = Reader { lines: Vec::new(), taken: Vec::new() };
    let number = match &form.process {
        None => {
            read.taken.push("process 521, solid-state laser beam".to_owned());
            "521".to_owned()
        }
        Some(text) => {
            read.lines.push(("process", text.span().start));
            text.get_ref().trim().to_owned()
        }
    };
    let travel: Speed = read
        .either(("travel", &form.travel), ("travel_speed", &form.travel_speed))?
        .ok_or_else(|| missing("travel"))?;
    let wire = wire(form, &mut read)?;
    let (process, angle_said) = if let Some(process) = Process::of_number(&number) {
        (arc(form, process, travel, wire, &mut read)?, true)
    } else if ["52", "521", "522", "523"].contains(&number.as_str()) {
        laser(form, travel, wire, &mut read)?
    } else {
        let start = form.process.as_ref().map_or(0, |t| t.span().start);
        return Err(at(
            start,
            Refusal::new(
                format!("process '{number}' is not predicted here"),
                "write the ISO 4063 number: \"521\" laser beam, \"131\" MIG, \"135\" MAG, \"136\", \"138\" cored MAG, \"141\" TIG",
            )
            .in_field("process"),
        ));
    };
    let preheat = match read.get::<Temperature>("preheat", &form.preheat)? {
        Some(t) => t,
        None => {
            read.taken.push("plates at 20 °C (preheat = ...)".to_owned());
            Temperature::from_deg_c(20.0)
        }
    };
    let metal = match &form.metal {
        None => None,
        Some(text) => Some(word("metal", text, &Metal::ALL.map(|m| (m.word(), m)))?),
    };
    let gas_flow = read.get::<GasFlow>("gas_flow", &form.gas_flow)?;
    let analysis = match (&form.analysis, &form.steel) {
        (Some(_), Some(text)) => return Err(twice("steel", "analysis", text.span().start)),
        (Some(a), None) => Some(analysis(a.get_ref(), &mut read)?),
        (None, Some(text)) if text.get_ref().trim().is_empty() => None,
        (None, Some(text)) => {
            Some(steel(text.get_ref()).map_err(|r| at(text.span().start, r.in_field("steel")))?)
        }
        (None, None) => None,
    };
    if let Some(steel) = &analysis {
        could_be_steel(steel).map_err(|r| {
            let start = form.analysis.as_ref().map(|a| a.span().start);
            at(start.or(form.steel.as_ref().map(|s| s.span().start)).unwrap_or(0), r)
        })?;
    }
    let lens = match &form.optics {
        None => None,
        Some(o) => Some(quantity("optics.lens", &o.get_ref().lens)?),
    };
    let head = BeamSaid {
        power: None,
        wavelength: None,
        divergence: read.get("divergence", &form.divergence)?,
        focal_length: read.get("focal_length", &form.focal_length)?.or(lens),
        beam_at_lens: read.get("beam_at_lens", &form.beam_at_lens)?,
    };
    Ok(AskedSetting {
        number,
        process,
        angle_said,
        preheat,
        metal,
        gas: form.gas.as_ref().map(|g| g.trim().to_owned()).filter(|g| !g.is_empty()),
        gas_flow,
        analysis,
        head,
        taken: read.taken,
        lines: read.lines,
    })
}

fn analysis(form: &AnalysisForm, read: &mut Reader) -> Result<Composition, Refusal> {
    let mut share = |field: &'static str, text: &Text| -> Result<Share, Refusal> {
        Ok(read.get::<Share>(field, text)?.unwrap_or(Share::ZERO))
    };
    Ok(Composition {
        c: share("analysis.c", &form.c)?,
        si: share("analysis.si", &form.si)?,
        mn: share("analysis.mn", &form.mn)?,
        cr: share("analysis.cr", &form.cr)?,
        mo: share("analysis.mo", &form.mo)?,
        v: share("analysis.v", &form.v)?,
        ni: share("analysis.ni", &form.ni)?,
        cu: share("analysis.cu", &form.cu)?,
        b: share("analysis.b", &form.b)?,
        nb: share("analysis.nb", &form.nb)?,
    })
}

/// Refuses what no steel is: the relations of hardness and preheat would answer all the same.
fn could_be_steel(steel: &Composition) -> Result<(), Refusal> {
    let refuse = |fact: String| {
        Err(Refusal::new(fact, "write per cent of mass, as the certificate does: C 0.18, Mn 1.4")
            .in_field("steel"))
    };
    if steel.c.percent() > 2.1 {
        return refuse(format!("{:.2} % of carbon is cast iron, and no steel", steel.c.percent()));
    }
    let all = [
        steel.c, steel.si, steel.mn, steel.cr, steel.mo, steel.v, steel.ni, steel.cu, steel.b,
        steel.nb,
    ];
    let sum: f64 = all.iter().map(|s| s.percent()).sum();
    if sum > 50.0 {
        return refuse(format!("the analysis adds up to {sum:.0} % beside the iron"));
    }
    Ok(())
}

/// An analysis as a certificate lists it: `C 0.18, Si 0.3, Mn 1.4`, in per cent of mass.
fn steel(text: &str) -> Result<Composition, Refusal> {
    let mut made = Composition::default();
    let mut said: Vec<String> = Vec::new();
    let advice = "write elements with their per cent of mass, as the certificate lists them: C 0.18, Si 0.3, Mn 1.4";
    let chars: Vec<char> = text.chars().collect();
    let mut parts: Vec<String> = Vec::new();
    let mut last = ' ';
    for (i, &c) in chars.iter().enumerate() {
        // A comma between figures is a decimal one.
        let next = chars.get(i + 1).copied().unwrap_or(' ');
        let c = if c == ',' && last.is_ascii_digit() && next.is_ascii_digit() { '.' } else { c };
        let figure = |c: char| c.is_ascii_digit() || c == '.';
        if c.is_alphabetic() || figure(c) || c == '-' {
            match parts.last_mut() {
                Some(part)
                    if c.is_alphabetic() && last.is_alphabetic()
                        || figure(c) && (figure(last) || last == '-') =>
                {
                    part.push(c)
                }
                _ => parts.push(c.to_string()),
            }
        }
        last = c;
    }
    for pair in parts.chunks(2) {
        let [name, number] = pair else {
            let fact = format!("'{}' stands without its number", pair.concat());
            return Err(Refusal::new(fact, advice));
        };
        let percent =
            number.parse::<f64>().ok().filter(|p| (0.0..=100.0).contains(p)).ok_or_else(|| {
                Refusal::new(format!("'{number}' is no per cent of {name}"), advice)
            })?;
        let element = name.to_lowercase();
        if said.contains(&element) {
            return Err(Refusal::new(format!("{name} is given twice"), "give each element once"));
        }
        let share = Share::from_percent(percent);
        match element.as_str() {
            "c" => made.c = share,
            "si" => made.si = share,
            "mn" => made.mn = share,
            "cr" => made.cr = share,
            "mo" => made.mo = share,
            "v" => made.v = share,
            "ni" => made.ni = share,
            "cu" => made.cu = share,
            "b" => made.b = share,
            "nb" => made.nb = share,
            // On every certificate, and in none of the formulas.
            "p" | "s" | "al" | "n" | "ti" => {}
            _ => {
                return Err(Refusal::new(
                    format!("there is no element '{name}' in a steel's analysis here"),
                    advice,
                ));
            }
        }
        said.push(element);
    }
    if !said.iter().any(|e| e == "c") {
        return Err(Refusal::new("the analysis has no carbon", advice));
    }
    Ok(made)
}

/// Refuses fields of the other kind of process: ignored, they would mislead.
fn foreign(fields: &[(&'static str, Option<usize>)], process: &str) -> Result<(), Refusal> {
    for (field, start) in fields {
        if let Some(start) = start {
            return Err(at(
                *start,
                Refusal::new(
                    format!("'{field}' says nothing about process {process}"),
                    "leave it out, or correct 'process'",
                )
                .in_field(*field),
            ));
        }
    }
    Ok(())
}

fn start(text: &Text) -> Option<usize> {
    text.as_ref().map(|t| t.span().start)
}

fn arc(
    form: &SettingForm,
    process: Process,
    travel: Speed,
    wire: Option<(Wires, Feed)>,
    read: &mut Reader,
) -> Result<AskedProcess, Refusal> {
    foreign(
        &[
            ("power", start(&form.power)),
            ("spot", start(&form.spot)),
            ("focus", start(&form.focus)),
            ("m2", form.m2.as_ref().map(|n| n.span().start)),
            ("bpp", form.bpp.as_ref().map(|n| n.span().start)),
            ("optics", form.optics.as_ref().map(|o| o.span().start)),
            ("divergence", start(&form.divergence)),
            ("focal_length", start(&form.focal_length)),
            ("beam_at_lens", start(&form.beam_at_lens)),
            ("wobble", form.wobble.as_ref().map(|o| o.span().start)),
            ("wobble_width", start(&form.wobble_width)),
            ("wobble_frequency", start(&form.wobble_frequency)),
            ("wobble_pattern", start(&form.wobble_pattern)),
        ],
        process.number(),
    )?;
    let mut electric = |field: &'static str, text: &Text, unit: char, example: &str| {
        let advice = format!("write {field} = \"{example}\"");
        let Some(text) = text else {
            return Err(
                Refusal::new(format!("the field '{field}' is missing"), advice).in_field(field)
            );
        };
        read.lines.push((field, text.span().start));
        let given = text.get_ref().trim();
        let number = given
            .strip_suffix([unit, unit.to_ascii_lowercase()])
            .map(|n| n.trim().replace(',', "."))
            .and_then(|n| n.parse::<f64>().ok())
            .filter(|n| n.is_finite());
        number.ok_or_else(|| {
            at(
                text.span().start,
                Refusal::new(format!("'{given}' is no figure in {unit}"), advice.clone())
                    .in_field(field),
            )
        })
    };
    let current = electric("current", &form.current, 'A', "180 A")?;
    let voltage = electric("voltage", &form.voltage, 'V', "24 V")?;
    let arc = Arc { process, current, voltage, travel, wire };
    if process != Process::Tig && matches!(wire, None | Some((_, Feed::AsTravel))) {
        return Err(Refusal::new(
            format!("{} melts its own wire, and its feed is not given", process.word()),
            "add [wire] with diameter = \"1.0 mm\" and feed = \"9 m/min\"",
        )
        .in_field("wire.feed"));
    }
    arc.check().map_err(|e| Refusal::new(e, e.advice()))?;
    Ok(AskedProcess::Arc(arc))
}

fn laser(
    form: &SettingForm,
    travel: Speed,
    wire: Option<(Wires, Feed)>,
    read: &mut Reader,
) -> Result<(AskedProcess, bool), Refusal> {
    foreign(&[("current", start(&form.current)), ("voltage", start(&form.voltage))], "521")?;
    let power: Power = read.get("power", &form.power)?.ok_or_else(|| missing("power"))?;
    let wavelength = match read.get::<Length>("wavelength", &form.wavelength)? {
        Some(w) => w,
        None => {
            read.taken.push("wavelength 1070 nm".to_owned());
            Length::from_nm(1070.0)
        }
    };
    let optics = match &form.optics {
        None => None,
        Some(o) => {
            read.lines.push(("optics", o.span().start));
            let start = o.span().start;
            let o = o.get_ref();
            let spot = spot_of_fibre(
                quantity("optics.fibre", &o.fibre)?,
                quantity("optics.collimator", &o.collimator)?,
                quantity("optics.lens", &o.lens)?,
            );
            Some(spot.map_err(|e| at(start, Refusal::new(e, e.advice()).in_field("optics")))?)
        }
    };
    let spot = match (read.get::<Length>("spot", &form.spot)?, optics) {
        (Some(given), Some(image)) if (given / image - 1.0).abs() > 0.05 => {
            let start = start(&form.spot).unwrap_or(0);
            return Err(at(
                start,
                Refusal::new(
                    format!(
                        "the spot is {:.0} µm, and fibre and optics make {:.0} µm",
                        given.um(),
                        image.um()
                    ),
                    "keep the one that was measured",
                )
                .in_field("spot"),
            ));
        }
        (Some(given), _) => given,
        (None, Some(image)) => image,
        (None, None) => return Err(missing("spot")),
    };
    let m2 = match (&form.m2, &form.bpp) {
        (Some(_), Some(bpp)) => return Err(twice("bpp", "m2", bpp.span().start)),
        (Some(m2), None) => {
            read.lines.push(("m2", m2.span().start));
            *m2.get_ref()
        }
        (None, Some(bpp)) => {
            read.lines.push(("m2", bpp.span().start));
            m2_of_product(*bpp.get_ref(), wavelength)
        }
        (None, None) => {
            // The fibre's own product is what a spot of this size usually comes with.
            let m2 = (spot.um() / 16.7).clamp(1.1, 60.0);
            read.taken.push(format!(
                "M² {m2:.1}, usual for such a spot (common practice, no source; m2 = ...)"
            ));
            m2
        }
    };
    let focus = match read.get::<Length>("focus", &form.focus)? {
        Some(f) => f,
        None => {
            read.taken.push("focus on the surface".to_owned());
            Length::ZERO
        }
    };
    let angle = read.get::<Angle>("torch_angle", &form.torch_angle)?;
    let aim = read.get::<Length>("aim", &form.aim)?.unwrap_or(Length::ZERO);
    let wobble = wobble(form, read)?;
    let laser = Laser {
        beam: Beam { power, spot, m2, wavelength, focus },
        travel,
        wobble,
        torch_angle: angle.unwrap_or(Angle::from_deg(90.0)),
        aim,
        wire,
    };
    Ok((AskedProcess::Laser(laser), angle.is_some()))
}

const PATTERNS: [(&str, Option<Pattern>); 4] = [
    ("line", Some(Pattern::Line)),
    ("circle", Some(Pattern::Circle)),
    ("eight", Some(Pattern::Eight)),
    ("none", None),
];

fn wobble(form: &SettingForm, read: &mut Reader) -> Result<Option<Wobble>, Refusal> {
    let none = WobbleForm { pattern: None, width: None, frequency: None };
    let table = form.wobble.as_ref().map_or(&none, Spanned::get_ref);
    if let Some(w) = &form.wobble {
        read.lines.push(("wobble", w.span().start));
    }
    let pattern = match (&table.pattern, &form.wobble_pattern) {
        (Some(_), Some(flat)) => {
            return Err(twice("wobble_pattern", "wobble.pattern", flat.span().start));
        }
        (Some(text), None) => Some(word("wobble.pattern", text, &PATTERNS)?),
        (None, Some(text)) => Some(word("wobble_pattern", text, &PATTERNS)?),
        (None, None) => None,
    };
    let width: Option<Length> =
        read.either(("wobble.width", &table.width), ("wobble_width", &form.wobble_width))?;
    let frequency: Option<Frequency> = read.either(
        ("wobble.frequency", &table.frequency),
        ("wobble_frequency", &form.wobble_frequency),
    )?;
    if pattern == Some(None) {
        // A slip here would change the depth by a third: both cannot be meant.
        if width.is_some_and(|w| w.mm() > 0.0) || frequency.is_some_and(|f| f.hz() > 0.0) {
            return Err(Refusal::new(
                "the wobble's pattern is none, and a width or a frequency is given",
                "name the pattern (line, circle, eight), or leave width and frequency out",
            )
            .in_field(if form.wobble.is_some() { "wobble" } else { "wobble_pattern" }));
        }
        return Ok(None);
    }
    match (width, frequency) {
        (None, None) if pattern.is_none() => Ok(None),
        (Some(width), Some(frequency)) => {
            if pattern.is_none() {
                read.taken.push("wobble straight across (pattern = \"line\")".to_owned());
            }
            let pattern = pattern.flatten().unwrap_or(Pattern::Line);
            Ok(Some(Wobble { pattern, width, frequency }))
        }
        (width, _) => {
            let field = if width.is_none() { "wobble.width" } else { "wobble.frequency" };
            Err(Refusal::new(
                format!("the field '{field}' is missing"),
                "a wobble has its full side-to-side travel and its full cycles in a second: width = \"1.5 mm\", frequency = \"60 Hz\"; or pattern = \"none\"",
            )
            .in_field(field))
        }
    }
}

fn wire(form: &SettingForm, read: &mut Reader) -> Result<Option<(Wires, Feed)>, Refusal> {
    let Some(given) = &form.wire else {
        for (field, start) in [
            ("wires", form.wires.as_ref().map(|n| n.span().start)),
            ("wire_feed", start(&form.wire_feed)),
        ] {
            if let Some(start) = start {
                return Err(at(
                    start,
                    Refusal::new(
                        format!("'{field}' is given, and no wire"),
                        "add wire = \"1.6 mm\", or leave it out",
                    )
                    .in_field(field),
                ));
            }
        }
        return Ok(None);
    };
    let here = given.span().start;
    read.lines.push(("wire", here));
    for field in ["wire.diameter", "wire.count", "wire.feed"] {
        read.lines.push((field, here));
    }
    let refuse = |field: &str, fact: String, advice: &str| {
        at(here, Refusal::new(fact, advice.to_owned()).in_field(field))
    };
    const TABLE: &str =
        "write [wire] with diameter = \"1.6 mm\", count = 2, feed = \"travel\" or a speed";
    let (diameter, count, feed) = match given.get_ref() {
        toml::Value::String(diameter) => (
            Some(diameter.clone()),
            form.wires.as_ref().map(|n| *n.get_ref()),
            form.wire_feed.as_ref().map(|t| t.get_ref().clone()),
        ),
        toml::Value::Table(table) => {
            const KNOWN: [&str; 3] = ["diameter", "count", "feed"];
            if let Some(unknown) = table.keys().find(|k| !KNOWN.contains(&k.as_str())) {
                return Err(refuse(
                    &format!("wire.{unknown}"),
                    format!("there is no field 'wire.{unknown}'"),
                    &near_or_known(unknown, &KNOWN),
                ));
            }
            if let Some(flat) = &form.wires {
                return Err(twice("wires", "wire.count", flat.span().start));
            }
            if let Some(flat) = &form.wire_feed {
                return Err(twice("wire_feed", "wire.feed", flat.span().start));
            }
            let text = |key: &str| -> Result<Option<String>, Refusal> {
                match table.get(key) {
                    None => Ok(None),
                    Some(toml::Value::String(s)) => Ok(Some(s.clone())),
                    Some(_) => Err(refuse(
                        &format!("wire.{key}"),
                        "a text in double quotes belongs here".to_owned(),
                        TABLE,
                    )),
                }
            };
            let count = match table.get("count") {
                None => None,
                Some(toml::Value::Integer(n)) => Some(*n),
                Some(_) => {
                    return Err(refuse(
                        "wire.count",
                        "a whole number belongs here".to_owned(),
                        TABLE,
                    ));
                }
            };
            (text("diameter")?, count, text("feed")?)
        }
        _ => return Err(refuse("wire", "this is no wire".to_owned(), TABLE)),
    };
    let parsed =
        |field: &str, text: &str, e: &dyn std::fmt::Display, advice: &dyn std::fmt::Display| {
            refuse(field, format!("'{}': {e}", text.trim()), &advice.to_string())
        };
    let Some(diameter) = diameter else {
        return Err(refuse(
            "wire.diameter",
            "the field 'wire.diameter' is missing".to_owned(),
            TABLE,
        ));
    };
    let d = weld::quantity::parse::parse::<Length>(&diameter)
        .map_err(|e| parsed("wire.diameter", &diameter, &e, &e.advice()))?;
    let count = match count {
        None => {
            read.taken.push("one wire".to_owned());
            1
        }
        Some(n) => u8::try_from(n)
            .ok()
            .filter(|n| (1..=8).contains(n))
            .ok_or_else(|| refuse("wire.count", format!("{n} wires, outside 1 to 8"), TABLE))?,
    };
    let feed = match feed.as_deref().map(str::trim) {
        None => {
            read.taken.push(
                "the wire pushes the torch: feed = travel (common practice, no source)".to_owned(),
            );
            Feed::AsTravel
        }
        Some("travel") => Feed::AsTravel,
        Some(speed) => Feed::At(
            weld::quantity::parse::parse::<Speed>(speed)
                .map_err(|e| parsed("wire.feed", speed, &e, &e.advice()))?,
        ),
    };
    let wires = Wires { count, diameter: d };
    wires.area().map_err(|e| refuse("wire.diameter", e.to_string(), e.advice()))?;
    Ok(Some((wires, feed)))
}

/// Money: the user's own rates, in one currency.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Rates {
    /// Name of the currency.
    pub currency: String,
    /// The welder, for an hour.
    #[serde(default)]
    pub labour_per_h: f64,
    /// The machine, for an hour of welding.
    #[serde(default)]
    pub machine_per_h: f64,
    /// Electricity.
    #[serde(default)]
    pub energy_per_kwh: f64,
    /// Shielding gas.
    #[serde(default)]
    pub gas_per_m3: f64,
    /// Wire.
    #[serde(default)]
    pub wire_per_kg: f64,
}

/// Reads a rates file.
///
/// # Errors
///
/// Says line, field, fact and next action.
pub fn rates_from_toml(file: &str, text: &str) -> Result<Rates, Refusal> {
    let rates: Rates = toml::from_str(text).map_err(|e| {
        let mut refusal = Refusal::of_toml(file, text, &e);
        refusal.advice = "write currency = \"EUR\" and plain numbers: labour_per_h, machine_per_h, energy_per_kwh, gas_per_m3, wire_per_kg".to_owned();
        refusal
    })?;
    for (field, value) in [
        ("labour_per_h", rates.labour_per_h),
        ("machine_per_h", rates.machine_per_h),
        ("energy_per_kwh", rates.energy_per_kwh),
        ("gas_per_m3", rates.gas_per_m3),
        ("wire_per_kg", rates.wire_per_kg),
    ] {
        if !(0.0..=1e6).contains(&value) {
            return Err(Refusal::new(
                format!("{field} is {value}"),
                "give what it costs, 0 and more",
            )
            .in_field(field)
            .in_file(file));
        }
    }
    Ok(rates)
}

#[cfg(test)]
mod tests {
    use super::*;

    const FULL: &str = r#"process = "521"
power = "1.6 kW"
spot = "120 um"
m2 = 3
wavelength = "1070 nm"
focus = "0 mm"
travel = "8 mm/s"
torch_angle = "30 deg"
aim = "0 mm"
gas = "argon"
[wobble]
pattern = "line"
width = "1.5 mm"
frequency = "60 Hz"
[wire]
diameter = "1.6 mm"
count = 2
feed = "travel"
"#;

    fn laser(text: &str) -> Laser {
        match setting_from_toml("s.toml", text).unwrap().process {
            AskedProcess::Laser(laser) => laser,
            AskedProcess::Arc(_) => panic!("an arc"),
        }
    }

    /// By construction: one analysis as certificates write it, in a table, or with decimal commas.
    #[test]
    fn a_steel_is_read_as_its_certificate_lists_it() {
        let of = |line: &str| {
            setting_from_toml("s.toml", &format!("{line}\n{FULL}")).map(|s| s.analysis.unwrap())
        };
        let table = format!("{FULL}[analysis]\nc = \"0.18 %\"\nsi = \"0.3 %\"\nmn = \"1.4 %\"\n");
        let table = setting_from_toml("s.toml", &table).unwrap().analysis.unwrap();
        for text in [
            "C 0.18, Si 0.3, Mn 1.4",
            "C=0.18% Si=0.3% Mn=1.4% P=0.012%",
            "C 0,18, Si 0,3, Mn 1,4",
            "c0.18 si.3 mn1.4",
        ] {
            assert_eq!(of(&format!("steel = \"{text}\"")).unwrap(), table, "{text}");
        }
        for (text, fact) in [
            ("C 0.18, Xx 1", "no element 'Xx'"),
            ("C 0.18, Mn", "'Mn' stands without its number"),
            ("Mn 1.4", "no carbon"),
            ("C 0.18 C 0.2", "given twice"),
            ("C 180", "no per cent"),
            ("C 18", "no steel"),
            ("C 0.1 Cr 30 Ni 30", "adds up to 60 %"),
            ("C -1", "no per cent"),
            ("0.18 C", "no per cent"),
        ] {
            let said = of(&format!("steel = \"{text}\"")).unwrap_err();
            assert!(said.fact.contains(fact), "{text}: {}", said.fact);
            assert_eq!(said.field.as_deref(), Some("steel"));
        }
    }

    /// The file of the issue and the flat spelling of a study's page are one form.
    #[test]
    fn nested_and_flat_are_the_same() {
        let flat = "power = \"1.6 kW\"\nspot = \"120 um\"\nm2 = 3.0\ntravel_speed = \"8 mm/s\"\ntorch_angle = \"30 deg\"\n\
                    wobble_width = \"1.5 mm\"\nwobble_frequency = \"60 Hz\"\nwire = \"1.6 mm\"\nwires = 2\n";
        assert_eq!(laser(FULL), laser(flat));
    }

    #[test]
    fn refusals_name_line_and_field() {
        let no = |from: &str, to: &str| {
            setting_from_toml("s.toml", &FULL.replace(from, to)).unwrap_err().to_string()
        };
        assert_eq!(
            no("travel = \"8 mm/s\"\n", ""),
            format!("s.toml: travel: the field 'travel' is missing\n  next: {NEEDS}")
        );
        assert!(no("\"1.6 kW\"", "\"1.6\"").starts_with("s.toml:2: power: "));
        assert!(
            no("gas = \"argon\"", "wobble_width = \"2 mm\"")
                .contains("says again what 'wobble.width' says")
        );
        assert!(no("count = 2", "count = 20").contains("20 wires, outside 1 to 8"));
        assert!(no("count = 2", "number = 2").contains("wire.number"));
        assert!(no("\"521\"", "\"111\"").contains("process '111' is not predicted here"));
        assert!(
            no("gas = \"argon\"", "current = \"180 A\"").contains("says nothing about process 521")
        );
        assert!(no("frequency = \"60 Hz\"\n", "").contains("wobble.frequency"));
        assert!(no("\"line\"", "\"zigzag\"").contains("'zigzag' is not known here"));
    }

    #[test]
    fn an_arc_wants_current_voltage_and_wire() {
        let arc = "process = \"135\"\ncurrent = \"200 A\"\nvoltage = \"24 V\"\ntravel = \"5 mm/s\"\n[wire]\ndiameter = \"1.0 mm\"\nfeed = \"9 m/min\"\n";
        assert!(matches!(setting_from_toml("a.toml", arc).unwrap().process, AskedProcess::Arc(_)));
        let no = |from: &str, to: &str| {
            setting_from_toml("a.toml", &arc.replace(from, to)).unwrap_err().to_string()
        };
        assert!(no("current = \"200 A\"\n", "").contains("the field 'current' is missing"));
        assert!(no("feed = \"9 m/min\"\n", "").contains("its feed is not given"));
        assert!(
            no("travel", "spot = \"1 mm\"\ntravel")
                .contains("'spot' says nothing about process 135")
        );
        assert!(no("24 V", "24").contains("'24' is no figure in V"));
    }

    #[test]
    fn fibre_and_optics_make_the_spot() {
        let text = FULL.replace("spot = \"120 um\"\n", "")
            + "[optics]\nfibre = \"50 um\"\ncollimator = \"60 mm\"\nlens = \"120 mm\"\n";
        assert!((laser(&text).beam.spot.um() - 100.0).abs() < 1e-9);
        let clash = FULL.to_owned()
            + "[optics]\nfibre = \"50 um\"\ncollimator = \"60 mm\"\nlens = \"120 mm\"\n";
        assert!(
            setting_from_toml("s.toml", &clash)
                .unwrap_err()
                .fact
                .contains("fibre and optics make 100 µm")
        );
    }
}

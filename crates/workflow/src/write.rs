//! `write`: the report to the customer.
//!
//! Everything that the paper says is taken from the claim file, from what was read and from the claim; nothing is worked
//! out here. Same files, same bytes: the date comes in, and no clock is asked.

use crate::claim::file::{Claimed, SectionRead};
use crate::claim::{Outcome, Sides};
use crate::read::{beside, joint_words};
use crate::refusal::Refusal;
use crate::start::Started;
use crate::wire::claim_file::{From, PaperAsked};
use crate::wire::joint::AskedNeed;
use crate::wire::joint::direction_words;
use photo::doubt::Contribution;
use photo::marks::Kind;
use photo::reading::{DRAWS, WeldRead};
use photo::trace::Follow;
use physics::strength::refusal::{Effect, What};
use physics::strength::{Joint, Part, Restraint, Welds};
use report::figure::Svg;
use report::figure::joint::{JointFigure, JointPlates, joint_drawing};
use report::figure::photo::{Look, PhotoDimension, PhotoFigure, PhotoLine, Picture, photo_overlay};
use report::figure::png::to_png;
use report::figure::section::{SectionFigure, WeldFigure, section_drawing};
use report::figure::strip::{Strip, StripGroup, StripValue, strip_plot};
pub use report::paper::Paper;
pub use report::paper::customer::JointPage;
use report::paper::customer::{
    Answer, Caution, Customer, DRAWING_HEIGHT_MM, DRAWING_WIDTH_MM, Need, PICTURE_WIDTH_MM,
    Refused, SectionPage, WeldRows, customer_data, customer_report,
};
use std::fmt::Write as _;
use std::path::Path;
use trials::tolerance::rows::Counted;
use weld::claim::{Claim, Method, Normality, Verdict};
use weld::materials::Family;
use weld::measured::Measured;
use weld::quantity::Length;
use weld::quantity::kind::Quantity as _;
use weld::quantity::show::{Rounding, UnitSystem, show, show_on_paper, significant};
use weld::reading::Reading;
use weld::section::{Point, Side};
use weld::source::{self, Source};

/// Height of the whole photo: two sections stand on a page.
const WHOLE_HEIGHT_MM: f64 = 46.0;

/// Readings of each section that the paper prints, in this order.
const SHOWN: [Reading; 18] = [
    Reading::EffectiveThroat,
    Reading::PenetratedThroat,
    Reading::TheoreticalThroat,
    Reading::ActualThroat,
    Reading::RootPenetration,
    Reading::LegBase,
    Reading::LegUpright,
    Reading::Penetration,
    Reading::Depth,
    Reading::WidthSurface,
    Reading::Height,
    Reading::Underfill,
    Reading::RootExcess,
    Reading::AimOffset,
    Reading::Convexity,
    Reading::Undercut,
    Reading::OverlapToe,
    Reading::Dilution,
];
/// Readings that the table of all sections has room for, the first of them that are there.
const IN_TABLE: [Reading; 9] = [
    Reading::EffectiveThroat,
    Reading::PenetratedThroat,
    Reading::TheoreticalThroat,
    Reading::RootPenetration,
    Reading::LegBase,
    Reading::LegUpright,
    Reading::Penetration,
    Reading::Depth,
    Reading::WidthSurface,
];
/// Columns of that table.
const COLUMNS: usize = 5;
/// Readings whose place is drawn on the photo; the drawing beside it has the others, and the photo is not covered.
const ON_PHOTO: [Reading; 2] = [Reading::EffectiveThroat, Reading::Penetration];

/// Typesets the report to the customer.
///
/// # Errors
///
/// When the claim file lacks the question or what the paper says about itself.
pub fn report(claimed: &Claimed) -> Result<Paper, Refusal> {
    customer_report(&customer(claimed)?).map_err(|e| Refusal::new(&e, e.advice()))
}

/// What the report says, as the typesetter is given it, for machines.
///
/// # Errors
///
/// As [`report()`].
pub fn says(claimed: &Claimed) -> Result<serde_json::Value, Refusal> {
    let text = customer_data(&customer(claimed)?).map_err(|e| Refusal::new(&e, e.advice()))?;
    serde_json::from_str(&text).map_err(|e| {
        Refusal::new(format!("what the report says is no JSON: {e}"), "report this as a fault")
    })
}

fn customer(claimed: &Claimed) -> Result<Customer<'_>, Refusal> {
    let file = &claimed.file;
    let lacks = |field: &str, fact: &str, advice: &str| {
        Refusal::new(fact, advice).in_file(&claimed.path).in_field(field)
    };
    let question = file.question.clone().ok_or_else(|| {
        lacks(
            "question",
            "the report has no question to answer",
            "write the customer's question at the top of the file: question = \"Does it carry 60 kN?\"",
        )
        .at_line(file.line("question"))
    })?;
    let paper = file.paper.as_ref().ok_or_else(|| {
        lacks(
            "paper",
            "the report does not say for whom it is, by whom and of which day",
            "add a [paper] table with customer, author and date",
        )
    })?;
    let reading = Reading::from_field(&file.asked.value);
    let value_words = value_words(claimed);
    let claim = match &claimed.worked.outcome {
        Outcome::Claim(claim) => Some(claim.as_ref()),
        Outcome::No { .. } => None,
    };
    let name = Path::new(&claimed.path)
        .file_name()
        .map_or_else(|| claimed.path.clone(), |n| n.to_string_lossy().into_owned());
    let mut fingerprint = String::new();
    for byte in &claimed.fingerprint[..8] {
        let _ = write!(fingerprint, "{byte:02x}");
    }
    // As the claim calls it, else as the study itself is called, else by its file.
    let called = claimed.study.as_ref().map(|from| from.title.clone()).filter(|t| !t.is_empty());
    let mut study = paper.study.clone().or(called).unwrap_or(name);
    if let Some(from) = &claimed.study {
        let _ = write!(study, ", head {}", from.head);
    }
    Ok(Customer {
        title: paper.title.clone().unwrap_or_else(|| title(&value_words, claimed)),
        study: format!("{study}, fingerprint {fingerprint}"),
        edition: paper.edition.clone().unwrap_or_default(),
        customer: paper.customer.clone(),
        author: paper.author.clone(),
        date: paper.date,
        units: paper.units,
        invented: paper.invented,
        question,
        answer: match &claimed.worked.outcome {
            Outcome::Claim(claim) => Answer::Claim(claim),
            Outcome::No { sentence, advice } => {
                Answer::No { sentence: sentence.clone(), advice: advice.clone() }
            }
        },
        groups: groups(claimed, claim),
        joint: claimed.joint.as_ref().map(|j| joint_page(j, claimed.need_of_joint(), paper.units)),
        need: need(claimed),
        summary: if reading.is_some() { columns(claimed, reading) } else { Vec::new() },
        no_photos: match &file.from {
            From::Table(table, _) => format!(
                "This report rests on the table {table} alone. No photo came with it, so nobody can check from this paper what was read."
            ),
            From::Sections(_) => String::new(),
        },
        sections: claimed.sections.iter().map(|s| page(s, paper)).collect(),
        code: asked_need(claimed).map_or_else(String::new, |n| n.code_name.to_owned()),
        refusals: refusals(claimed),
        method: method(claimed, claim, reading),
        sources: sources(claimed, claim, reading),
        cautions: cautions(claimed, paper),
        value_words,
    })
}

/// The value that is claimed, in the trade's words.
#[must_use]
pub fn value_words(claimed: &Claimed) -> String {
    let value = &claimed.file.asked.value;
    match Reading::from_field(value) {
        Some(reading) => reading.words().to_owned(),
        None => joint_words(value).to_owned(),
    }
}

/// The values of a claim by coupon against the bound and the need; none where there is no value.
#[must_use]
pub fn chart(claimed: &Claimed, width_mm: f64) -> Option<Svg> {
    let claim = match &claimed.worked.outcome {
        Outcome::Claim(claim) => Some(claim.as_ref()),
        Outcome::No { .. } => None,
    };
    let groups = groups(claimed, claim);
    let words = value_words(claimed);
    let plot = Strip {
        words: &words,
        groups: &groups,
        bound_mm: claim.filter(|c| c.verdict != Verdict::CannotClaim).map(|c| c.bound_mm),
        need_mm: claim
            .and_then(|c| c.need_mm)
            .or_else(|| need(claimed).and_then(|n| n.throat).map(|t| t.mm())),
        units: claimed.file.asked.units,
        width_mm,
    };
    (!groups.is_empty()).then(|| strip_plot(&plot))
}

/// The values that a claim counts, to be listed a part at a time.
#[derive(Debug)]
pub struct Values {
    counted: Vec<Counted>,
    units: UnitSystem,
}

/// The values that a claim counts.
#[must_use]
pub fn values(claimed: &Claimed) -> Values {
    Values { counted: claimed.worked.values(), units: claimed.file.asked.units }
}

impl Values {
    /// How many there are.
    #[must_use]
    pub fn count(&self) -> usize {
        self.counted.len()
    }

    /// So many of them after the first `skip`: coupon, section, side, value, one standard uncertainty.
    #[must_use]
    pub fn part(&self, skip: usize, most: usize) -> Vec<[String; 5]> {
        let row = |v: &Counted| {
            let mm = |v: f64| Length::from_mm(v);
            let shown = weld::quantity::show::reading(
                Measured::new(mm(v.value_mm), mm(v.u_mm.unwrap_or(f64::NAN))),
                self.units,
            );
            [
                v.coupon.clone().unwrap_or_default(),
                v.section.clone(),
                v.side.clone().unwrap_or_default(),
                shown.value,
                shown.u.unwrap_or_default(),
            ]
        };
        self.counted.iter().skip(skip).take(most).map(row).collect()
    }
}

/// A figure as a picture for a page or a letter, so many pixels wide.
///
/// # Errors
///
/// When it would be wider than a picture can be.
pub fn picture(figure: &Svg, width_px: u32) -> Result<Vec<u8>, Refusal> {
    to_png(figure, width_px).map_err(|e| Refusal::new(&e, e.advice()))
}

fn asked_need(claimed: &Claimed) -> Option<&AskedNeed> {
    claimed.joint.as_ref()?.asked.need.as_ref()
}

/// What the load needs, or the need as the claim file gives it.
fn need(claimed: &Claimed) -> Option<Need> {
    let given = claimed.file.asked.need.as_ref().and_then(|text| text.parse::<Length>().ok());
    let joint = claimed.joint.as_ref();
    let worked = joint.and_then(|j| j.need.as_ref());
    if given.is_none() && worked.is_none() {
        return None;
    }
    Some(Need {
        throat: given.or_else(|| worked.and_then(|n| n.specify)),
        resistance: worked.and_then(|n| n.line_resistance),
        load: asked_need(claimed).map_or_else(String::new, |n| {
            format!(
                "{} {}, compared with {}",
                n.load_text,
                direction_words(&n.load.direction, joint.map(|j| &j.asked.joint)),
                n.code.loads()
            )
        }),
        penetration_counts_by: worked.map_or_else(String::new, |n| {
            let credit = n.penetration_counts_by;
            let counts = if credit.counts { "may count" } else { "does not count" };
            format!("it {counts}: {}", credit.condition)
        }),
        clauses: worked.map_or_else(Vec::new, |n| vec![n.clause, n.penetration_counts_by.clause]),
    })
}

/// What a joint is, line by line, and its drawing to scale.
#[must_use]
pub fn joint_page(joint: &Started, need: Option<Length>, units: UnitSystem) -> JointPage {
    let mm = |length: Length| show_on_paper(length, Rounding::Nearest, 1, units);
    let part = |p: &Part| format!("{}, {}", mm(p.thickness), p.metal.name);
    let sides = |welds: Welds| match welds {
        Welds::Both => "welded from both sides",
        Welds::One(Restraint::Held) => "welded from one side, held from turning about the weld",
        Welds::One(Restraint::FreeToRotate) => "welded from one side, free to turn about the weld",
        Welds::One(Restraint::NotSaid) => "welded from one side",
    };
    let mut facts: Vec<(String, String)> = Vec::new();
    let mut fact = |what: &str, of: String| facts.push((what.to_owned(), of));
    let kind = joint.asked.kind;
    let (plates, both_sides) = match &joint.asked.joint {
        Joint::Tee(tee) => {
            fact("joint", format!("{kind}, {}", sides(tee.welds)));
            fact("base", part(&tee.base));
            fact("upright", part(&tee.upright));
            fact("angle", show(tee.angle, Rounding::Nearest, 0, units));
            fact("gap", mm(tee.gap));
            fact("weld length", mm(tee.length));
            let plates = JointPlates::Tee {
                base: tee.base.thickness,
                upright: tee.upright.thickness,
                angle: tee.angle,
                gap: tee.gap,
            };
            // A lap is reckoned as a tee, and would be drawn wrong as one.
            (tee.lap.is_none().then_some(plates), tee.welds == Welds::Both)
        }
        Joint::Butt(butt) => {
            fact("joint", format!("{kind}, {}", sides(butt.welds)));
            let [one, other] = &butt.parts;
            fact("plate", part(one));
            if other != one {
                fact("other plate", part(other));
            }
            fact("gap", mm(butt.gap));
            fact("weld length", mm(butt.length));
            // Plates of two thicknesses have no drawing yet.
            let plates = JointPlates::Butt { plate: one.thickness, gap: butt.gap };
            ((one.thickness == other.thickness).then_some(plates), butt.welds == Welds::Both)
        }
        Joint::Bead => {
            fact("joint", "bead on plate: joins nothing".to_owned());
            (None, false)
        }
    };
    if let Some(full) = joint.need.as_ref().and_then(|n| n.as_full_penetration) {
        fact(
            "as full penetration",
            format!(
                "sum of throats at least {}, unfused land at most {} ({})",
                in_both(full.least_sum_of_throats, Rounding::Up, units),
                in_both(full.greatest_land, Rounding::Down, units),
                full.clause.place.split(':').next().unwrap_or(full.clause.place)
            ),
        );
    }
    if !joint.asked.taken.is_empty() {
        let taken: Vec<&str> = joint.asked.taken.iter().map(|t| without_field(t)).collect();
        fact("taken, as not said", taken.join("; "));
    }
    let drawing = plates.map(|plates| {
        joint_drawing(&JointFigure {
            plates,
            both_sides,
            need,
            units,
            width_mm: 86.0,
            height_mm: 66.0,
        })
    });
    JointPage { facts, drawing }
}

/// A bound or a need in both systems: 0.01 mm, 0.001 in.
fn in_both(length: Length, rounding: Rounding, units: UnitSystem) -> String {
    let [first, beside] =
        [units, units.other()].map(|u| show(length, rounding, Length::KIND.decimals(u), u));
    format!("{first} ({beside})")
}

/// What was taken, without the hint in brackets at the field of the joint file that would say otherwise.
fn without_field(text: &str) -> &str {
    match text.rsplit_once(" (") {
        Some((before, hint)) if hint.contains(" = ") => before,
        _ => text,
    }
}

/// What the code refuses of the joint, and what else it asks for.
fn refusals(claimed: &Claimed) -> Vec<Refused> {
    let Some(need) = claimed.joint.as_ref().and_then(|j| j.need.as_ref()) else {
        return Vec::new();
    };
    let refused = need.refusals.iter().map(|r| Refused {
        effect: match r.effect {
            Effect::Condition => "condition",
            Effect::NotAllowed => "not allowed",
            Effect::NoResistance => "no resistance",
        }
        .to_owned(),
        what: about(r.what).to_owned(),
        clause: r.clause,
        fact: r.fact.clone(),
        advice: r.advice.clone(),
    });
    let checks = need.also_check.iter().map(|c| Refused {
        effect: "to be checked".to_owned(),
        what: c.what.to_owned(),
        clause: c.clause,
        fact: c.fact.clone(),
        advice: "the engineer who accepts the throat checks it as well".to_owned(),
    });
    refused.chain(checks).collect()
}

const fn about(what: What) -> &'static str {
    match what {
        What::Metal => "metal",
        What::ThinPart => "thickness of a part",
        What::Angle => "angle between the plates",
        What::FreeToRotate => "free to turn about the weld",
        What::LeastThroat => "least throat",
        What::EffectiveLength => "effective length",
        What::LongLap => "long lap",
        What::LeastLeg => "least leg",
        What::GreatestLeg => "greatest leg",
        What::Gap => "gap",
        What::Filler => "filler",
        What::Plate => "the plate itself",
        What::NotEnough => "load",
        _ => "joint",
    }
}

fn title(value_words: &str, claimed: &Claimed) -> String {
    let mut letters = value_words.chars();
    let words = letters
        .next()
        .map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect());
    match claimed.file.from {
        From::Sections(_) => format!("{words}, read from etched sections"),
        From::Table(..) => format!("{words}, from a table of readings"),
    }
}

fn side_of(word: Option<&str>) -> Side {
    [Side::Left, Side::Right, Side::Top, Side::Bottom]
        .into_iter()
        .find(|side| Some(side.word()) == word)
        .unwrap_or(Side::Only)
}

/// The values that the claim counts, by coupon, and the sections without one.
fn groups(claimed: &Claimed, claim: Option<&Claim>) -> Vec<StripGroup> {
    let mut groups: Vec<StripGroup> = Vec::new();
    fn group<'a>(groups: &'a mut Vec<StripGroup>, coupon: Option<&str>) -> &'a mut StripGroup {
        let coupon = coupon.unwrap_or("not named");
        let at = groups.iter().position(|g| g.coupon == coupon).unwrap_or_else(|| {
            groups.push(StripGroup { coupon: coupon.to_owned(), ..StripGroup::default() });
            groups.len() - 1
        });
        &mut groups[at]
    }
    for value in claimed.worked.values() {
        group(&mut groups, value.coupon.as_deref()).values.push(StripValue {
            section: value.section,
            side: side_of(value.side.as_deref()),
            value: Measured::new(value.value_mm, value.u_mm.unwrap_or(f64::NAN)),
        });
    }
    for left_out in claim.into_iter().flat_map(|c| &c.left_out) {
        let label = match &left_out.side {
            Some(side) if claimed.file.asked.sides == Sides::Apart => {
                format!("{} {side}", left_out.section)
            }
            _ => left_out.section.clone(),
        };
        let of = &mut group(&mut groups, left_out.coupon.as_deref()).left_out;
        if !of.iter().any(|(l, _)| *l == label) {
            of.push((label, left_out.reason));
        }
    }
    groups
}

/// The readings that the table of all sections shows: the one that is claimed, and what fits beside it.
fn columns(claimed: &Claimed, reading: Option<Reading>) -> Vec<Reading> {
    let there = |reading: &Reading| {
        claimed
            .sections
            .iter()
            .flat_map(|s| &s.read.welds)
            .any(|w| w.values.iter().any(|(r, _)| r == reading))
    };
    let mut columns: Vec<Reading> = reading.into_iter().filter(there).collect();
    for reading in IN_TABLE.iter().filter(|r| there(r)) {
        if columns.len() < COLUMNS && !columns.contains(reading) {
            columns.push(*reading);
        }
    }
    columns
}

fn page(section: &SectionRead, paper: &PaperAsked) -> SectionPage {
    let read = &section.read;
    let label = |text: &Option<String>| text.clone().unwrap_or_default();
    let several = read.welds.len() > 1;
    let scale: Vec<String> = section.marks.scale.iter().map(|mark| mark.words()).collect();
    let mut remarks = vec![format!(
        "scale: {}; {} mm for a pixel of the photo, which is shown whole as it was taken",
        scale.join(", and "),
        significant(read.scale.mm_per_px, 4)
    )];
    remarks.extend(section.out.remarks.iter().cloned());
    for weld in &read.welds {
        remarks.extend(not_established(weld, several));
    }
    SectionPage {
        coupon: label(&section.out.coupon),
        section: label(&section.out.section),
        picture: section.picture.as_ref().map(|_| photo(section, paper, true)),
        no_picture: "The photo was not kept.".to_owned(),
        as_taken: section.picture.as_ref().map(|_| photo(section, paper, false)),
        drawing: Some(drawing(section, paper)),
        welds: in_order(&read.welds)
            .into_iter()
            .map(|weld| WeldRows {
                side: weld.side,
                values: SHOWN
                    .iter()
                    .filter_map(|reading| {
                        let (_, v) = weld.values.iter().find(|(r, _)| r == reading)?;
                        Some((*reading, Measured::new(v.value, v.u)))
                    })
                    .collect(),
                absent: weld.absent.iter().filter(|(r, _)| SHOWN.contains(r)).cloned().collect(),
            })
            .collect(),
        joint: read
            .joint
            .values
            .iter()
            .map(|(name, v)| {
                let length = Measured::new(Length::from_mm(v.value), Length::from_mm(v.u));
                (joint_words(name).to_owned(), length)
            })
            .collect(),
        answers: read
            .joint
            .answers
            .iter()
            .map(|(name, answer)| (joint_words(name).to_owned(), answer.word().to_owned()))
            .collect(),
        remarks,
    }
}

/// The section as it was read, drawn to scale.
fn drawing(section: &SectionRead, paper: &PaperAsked) -> report::figure::Svg {
    let read = &section.read;
    let welds: Vec<WeldFigure> = read
        .welds
        .iter()
        .map(|weld| WeldFigure {
            side: weld.side,
            values: weld
                .values
                .iter()
                .map(|(reading, v)| (*reading, Measured::new(v.value, v.u)))
                .collect(),
            dimensions: weld.dimensions.clone(),
        })
        .collect();
    let heat_affected: Vec<Vec<Point>> = read
        .outlines
        .iter()
        .filter(|outline| outline.kind == Kind::Affected)
        .map(|outline| outline.mm.iter().map(|[x, y]| Point::new(*x, *y)).collect())
        .collect();
    let land = read.joint.values.iter().find(|(name, _)| *name == "unfused_land_mm");
    section_drawing(&SectionFigure {
        section: &read.section,
        welds: &welds,
        land: land.map(|(_, v)| Measured::new(v.value, v.u)),
        heat_affected: &heat_affected,
        units: paper.units,
        width_mm: DRAWING_WIDTH_MM,
        height_mm: DRAWING_HEIGHT_MM,
    })
}

/// Welds as they lie on the drawing: left before right, top before bottom.
fn in_order(welds: &[WeldRead]) -> Vec<&WeldRead> {
    let place = |side: Side| match side {
        Side::Only | Side::Left | Side::Top => 0,
        Side::Right | Side::Bottom => 1,
    };
    let mut welds: Vec<&WeldRead> = welds.iter().collect();
    welds.sort_by_key(|w| place(w.side));
    welds
}

/// A throat that would not be there if the marks were set a little otherwise.
fn not_established(weld: &WeldRead, several: bool) -> Vec<String> {
    let whose = if several { format!("{}: ", weld.side.word()) } else { String::new() };
    weld.values
        .iter()
        .filter(|(reading, v)| SHOWN.contains(reading) && !v.is_established())
        .map(|(reading, v)| {
            format!(
                "{whose}{} is not established: within the uncertainties there is none in {:.0} % of the draws",
                reading.words(),
                100.0 * (1.0 - v.present)
            )
        })
        .collect()
}

/// The photo, with what was read drawn over the part that was marked; or whole, as it was taken.
fn photo(section: &SectionRead, paper: &PaperAsked, marked: bool) -> report::figure::Svg {
    let read = &section.read;
    let picture = section.picture.as_ref();
    let (from, size_px) = picture.map_or(([0.0; 2], [1, 1]), |p| {
        if marked { (p.part.from.map(f64::from), p.part.size) } else { ([0.0; 2], p.size) }
    });
    let in_part = |p: [f64; 2]| [p[0] - from[0], p[1] - from[1]];
    let mut lines = Vec::new();
    let mut dimensions = Vec::new();
    if marked {
        for (field, points) in section.marks.plates.faces() {
            lines.push(PhotoLine {
                px: points.iter().copied().map(in_part).collect(),
                look: if field == "joint_line" { Look::JointLine } else { Look::Plate },
            });
        }
        lines.extend(read.outlines.iter().map(|outline| PhotoLine {
            px: outline.px.iter().copied().map(in_part).collect(),
            look: match outline.kind {
                Kind::Fused => Look::Fused,
                Kind::Affected => Look::HeatAffected,
                Kind::Pore => Look::Pore,
                Kind::Crack => Look::Crack,
                Kind::Unfused => Look::LackOfFusion,
            },
        }));
        for weld in &read.welds {
            dimensions.extend(
                weld.dimensions.iter().filter(|d| ON_PHOTO.contains(&d.reading)).filter_map(|d| {
                    let (_, v) = weld.values.iter().find(|(r, _)| *r == d.reading)?;
                    Some(PhotoDimension {
                        reading: d.reading,
                        from: in_part(read.frame.px_from_section(d.from)),
                        to: in_part(read.frame.px_from_section(d.to)),
                        value: Measured::new(v.value, v.u),
                    })
                }),
            );
        }
    }
    photo_overlay(&PhotoFigure {
        size_px,
        picture: picture.map_or(Picture::None, |p| Picture::Embedded {
            bytes: if marked { &p.jpeg } else { &p.whole },
        }),
        lines: &lines,
        dimensions: &dimensions,
        // On a photo taken askew no one scale holds.
        mm_per_px: (marked && section.marks.corners.is_none()).then_some(read.scale.mm_per_px),
        units: paper.units,
        width_mm: if marked {
            PICTURE_WIDTH_MM
        } else {
            let [w, h] = size_px.map(f64::from);
            PICTURE_WIDTH_MM.min(WHOLE_HEIGHT_MM * w / h)
        },
    })
}

fn is_throat(reading: Option<Reading>) -> bool {
    reading == Some(Reading::EffectiveThroat)
}

fn method(claimed: &Claimed, claim: Option<&Claim>, reading: Option<Reading>) -> Vec<String> {
    let mut out = Vec::new();
    match &claimed.file.from {
        From::Table(table, _) => out.push(format!(
            "The readings stand in the table {table}, with their uncertainty where it is stated. How they were taken is not known to this report."
        )),
        From::Sections(_) => {
            out.extend(how_read(claimed));
            let contributions: Vec<&str> = Contribution::ALL.iter().map(|c| c.words()).collect();
            out.push(format!(
                "u is one standard uncertainty, from {DRAWS} draws of marks and photos that might as well have been: {}. The part of it that all photos of one scale share is kept apart, because it does not average out.",
                contributions.join(", ")
            ));
        }
    }
    if is_throat(reading) {
        out.push("The effective throat is the shortest way from the weld root to the free surface; convexity does not count, a hollow face and undercut do. Where the penetration exceeds the leg, the throat with penetration is taken where it is the smaller.".to_owned());
    }
    if claimed.worked.values().iter().any(|v| v.side.is_some()) {
        out.push("The sides of a weld are two populations: each is bounded by itself, and the lowest bound is the one claimed.".to_owned());
    } else if has_sides(claimed) {
        out.push(
            match claimed.file.asked.sides {
                Sides::Sum => "The two sides of each section are added; the claim is of their sum.",
                _ => "Of the two sides of each section the lesser counts.",
            }
            .to_owned(),
        );
    }
    if let Some(claim) = claim {
        out.push(format!(
            "The bound is a lower one-sided tolerance bound, {}: what {} is lowered by {}. The verdict is taken on unrounded figures; a bound is printed rounded down, a need rounded up.",
            claim.assurance,
            match claim.method {
                Method::OrderStatistic { .. } => "the lowest values show",
                _ => "mean and scatter of the sections allow",
            },
            match claim.shared_u {
                Some(_) => "the error that all readings share",
                None => "nothing, because no reading states a shared error",
            }
        ));
    }
    if let Some(joint) = &claimed.joint {
        if let Some(need) = &joint.need {
            out.push(format!(
                "The needed throat follows from the load and the joint: {}. Where depth of fusion counts, the throat need not lie at half the angle between the plates, so the greater of the code's needs is taken; never less than the code's least throat.",
                need.method
            ));
        }
    } else if claimed.file.asked.need.is_some() {
        out.push("The needed throat was given as it stands: the load and the joint behind it are not looked at in this report.".to_owned());
    }
    if let Some(from) = &claimed.study {
        out.push(format!(
            "The head beside the study, {}, is that of the chain in the study file: hash and count of all that had been written into it. 'seamproof study check FILE --head {}' shows whether this past is still in the file. A chain that somebody wrote anew from beginning to end shows only against this paper, or against a kept copy.",
            from.head, from.head
        ));
    }
    out.push("The fingerprint beside the study is that of the claim file and of all that it rests on, reading files and photos or the table (the first 16 digits of their BLAKE3 hash). The same files give the same figures; a file that was changed since gives another fingerprint.".to_owned());
    out
}

/// Whether the claim brings two sides together.
fn has_sides(claimed: &Claimed) -> bool {
    claimed.worked.row_sides() > 1
}

/// How the sections were read, counted from what was marked.
fn how_read(claimed: &Claimed) -> Vec<String> {
    let count = claimed.sections.len();
    let fused = || {
        claimed
            .sections
            .iter()
            .flat_map(|s| &s.marks.outlines)
            .filter(|outline| outline.kind == Kind::Fused)
    };
    let guided = fused().filter(|outline| outline.follow == Follow::Guided).count();
    let by_hand = fused().count() - guided;
    let mut readers: Vec<&str> = Vec::new();
    for reader in claimed.sections.iter().filter_map(|s| s.out.reader.as_deref()) {
        if !readers.contains(&reader) {
            readers.push(reader);
        }
    }
    let readers = match readers.as_slice() {
        [] => "a reader who is not named".to_owned(),
        readers => readers.join(", "),
    };
    let photos = if count == 1 { "1 photo was".to_owned() } else { format!("{count} photos were") };
    let mut outlines = Vec::new();
    if guided > 0 {
        outlines.push(format!(
            "{guided} outline(s) of fused zones follow the visible fusion line between the points that were set"
        ));
    }
    if by_hand > 0 {
        outlines.push(format!("{by_hand} are taken as they were set by hand"));
    }
    let not_etched = claimed.sections.iter().filter(|s| !s.marks.etched).count();
    let mut out = vec![format!(
        "{photos} read. Scale, plate surfaces and points along the fused zone were set by {readers}; {}. Each photo is shown twice, with what was read and as it was taken; beside it the section as it was read is drawn to scale.",
        outlines.join(", ")
    )];
    if not_etched > 0 {
        out.push(format!("{not_etched} of the faces were not etched and show no fusion line."));
    }
    out
}

fn sources(claimed: &Claimed, claim: Option<&Claim>, reading: Option<Reading>) -> Vec<Source> {
    let mut out = Vec::new();
    if is_throat(reading) {
        out.extend([source::AWS_A3_0_TERMS, source::EN_1993_1_8_THROAT]);
    }
    if !claimed.sections.is_empty() {
        if claimed
            .sections
            .iter()
            .any(|s| s.read.joint.answers.iter().any(|(n, _)| *n == "full_penetration_by_4_7_3"))
        {
            out.push(source::EN_1993_1_8_TEE_BUTT);
        }
        out.push(source::JCGM_101);
    }
    if let Some(claim) = claim {
        match claim.method {
            Method::RandomEffects => {
                out.extend([source::KRISHNAMOORTHY_MATHEW_2004, source::THOMAS_HULTQUIST_1978]);
            }
            Method::OrderStatistic { .. } => out.push(source::WILKS_1941),
            _ => out.push(source::ISO_16269_6),
        }
        if !matches!(claim.normality, Normality::TooFewToCheck { .. }) {
            out.push(source::STEPHENS_1974);
        }
    }
    if let Some(need) = claimed.joint.as_ref().and_then(|j| j.need.as_ref()) {
        for source in &need.sources {
            if !out.contains(source) {
                out.push(*source);
            }
        }
    }
    out
}

/// The metals of the joint's plates.
fn families(claimed: &Claimed) -> Vec<Family> {
    match claimed.joint.as_ref().map(|j| &j.asked.joint) {
        Some(Joint::Tee(tee)) => vec![tee.base.metal.family, tee.upright.metal.family],
        Some(Joint::Butt(butt)) => butt.parts.iter().map(|p| p.metal.family).collect(),
        _ => Vec::new(),
    }
}

fn cautions(claimed: &Claimed, paper: &PaperAsked) -> Vec<Caution> {
    let mut out = vec![
        Caution::StaticOnly,
        Caution::WhoAccepts,
        Caution::ByAgreement,
        Caution::Microcracks,
        Caution::ClassFourLaser,
        Caution::FumeAndGas,
    ];
    if paper.walked_on {
        out.push(Caution::WalkedOn);
    }
    let families = families(claimed);
    if families.contains(&Family::CarbonSteel) {
        out.push(Caution::Hardening);
    }
    if families.contains(&Family::Aluminium) {
        out.push(Caution::Aluminium);
    }
    // A table does not say whether anything was etched.
    if claimed.sections.is_empty() || claimed.sections.iter().any(|s| s.marks.etched) {
        out.push(Caution::EtchingAcids);
    }
    out
}

impl Claimed {
    /// Every file that the claim was read from: none of them is ever written over.
    #[must_use]
    pub fn inputs(&self) -> Vec<std::path::PathBuf> {
        if let Some(from) = &self.study {
            return vec![from.path.clone()];
        }
        let path = Path::new(&self.path);
        let mut out = vec![path.to_path_buf()];
        out.extend(self.file.joint.iter().map(|name| beside(path, name)));
        match &self.file.from {
            From::Table(name, _) => out.push(beside(path, name)),
            From::Sections(_) => {
                for section in &self.sections {
                    let reading_file = beside(path, &section.name);
                    out.push(beside(&reading_file, &section.out.photo));
                    out.push(reading_file);
                }
            }
        }
        out
    }
}

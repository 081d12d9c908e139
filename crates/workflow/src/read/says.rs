//! What a reading says, in words and rounded figures: the same at every door.

use super::{Done, joint_words};
use crate::wire::ReadOut;
use photo::reading::{JointRead, Value, WeldRead};
use serde::Serialize;
use serde_json::{Map, Value as Json};
use weld::measured::Measured;
use weld::quantity::show::{UnitSystem, reading as of_photo};
use weld::quantity::{Angle, Area, Length, Share};
use weld::reading::{Dimension, Reading};
use weld::section::Side;

/// Readings that a person looks for first.
const FIRST: [Reading; 8] = [
    Reading::EffectiveThroat,
    Reading::TheoreticalThroat,
    Reading::RootPenetration,
    Reading::Penetration,
    Reading::LegBase,
    Reading::LegUpright,
    Reading::FusedArea,
    Reading::Dilution,
];

/// One reading as it is printed.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Line {
    /// The weld's side, or `joint`.
    pub weld: &'static str,
    /// The reading's field, with its unit.
    pub reading: String,
    /// The trade's words for it.
    pub words: String,
    /// The value with its unit, rounded to its uncertainty.
    pub value: String,
    /// One standard uncertainty.
    pub u: String,
    /// The 95 % interval.
    pub within: String,
    /// What contributes most to it; empty where nothing does.
    pub mostly: &'static str,
    /// Whether a person looks for it first.
    pub main: bool,
}

/// The trade's words for a reading's field.
#[must_use]
pub fn words(field: &str) -> Option<&'static str> {
    Reading::from_field(field).map(Reading::words)
}

/// Every reading of a section as it is printed: weld by weld, then those of the joint as a whole.
#[must_use]
pub fn lines(done: &Done) -> Vec<Line> {
    let mut lines: Vec<Line> = done.read.welds.iter().flat_map(weld_lines).collect();
    lines.extend(joint_lines(&done.read.joint));
    lines
}

/// The readings of one weld.
#[must_use]
pub fn weld_lines(weld: &WeldRead) -> Vec<Line> {
    let line = |(of, v): &(Reading, Value)| {
        let (value, u) = reading(*of, v.value, v.u);
        Line {
            weld: weld.side.word(),
            reading: of.field().to_owned(),
            words: of.words().to_owned(),
            value,
            u,
            within: within(v, |x, u| reading(*of, x, u)),
            mostly: v.mostly.map_or("", |c| c.words()),
            main: FIRST.contains(of),
        }
    };
    weld.values.iter().map(line).collect()
}

/// The readings of the joint as a whole, and its questions that have an answer.
#[must_use]
pub fn joint_lines(joint: &JointRead) -> Vec<Line> {
    let line = |name: &str, value: String, u: String, within: String| Line {
        weld: "joint",
        reading: name.to_owned(),
        words: joint_words(name).to_owned(),
        value,
        u,
        within,
        mostly: "",
        main: true,
    };
    let values = joint.values.iter().map(|(name, v)| {
        let (shown, u) = value(Dimension::Length, v.value, v.u);
        line(name, shown, u, within(v, |x, u| value(Dimension::Length, x, u)))
    });
    let answers = joint
        .answers
        .iter()
        .map(|(name, answer)| line(name, answer.word().to_owned(), String::new(), String::new()));
    values.chain(answers).collect()
}

/// The figures that matter of a reading that was kept: each weld's throat or penetration, and the joint's throat.
#[must_use]
pub fn kept(out: &ReadOut) -> Vec<String> {
    let number = |map: &Map<String, Json>, name: &str| map.get(name).and_then(Json::as_f64);
    let say = |map: &Map<String, Json>, of: Reading| {
        let (v, u) = (number(map, of.field())?, number(map, &format!("{}_u", of.field()))?);
        let (shown, u) = reading(of, v, u);
        Some(format!("{} {shown} (u {u})", of.words()))
    };
    let several = out.welds.len() > 1;
    let of_weld = |(side, map): (&String, &Json)| {
        let map = map.as_object()?;
        let said = say(map, Reading::EffectiveThroat).or_else(|| say(map, Reading::Penetration));
        let said = said.unwrap_or_else(|| "no throat".to_owned());
        Some(if several { format!("{side}: {said}") } else { said })
    };
    let mut said: Vec<String> = out.welds.iter().filter_map(of_weld).collect();
    let throat = (number(&out.joint, "throat_mm"), number(&out.joint, "throat_mm_u"));
    if let (Some(v), Some(u)) = throat {
        let (shown, u) = value(Dimension::Length, v, u);
        said.push(format!("throat of the joint {shown} (u {u})"));
    }
    said
}

/// What is said of a section first: a sentence for each weld, then one for the joint.
#[must_use]
pub fn verdicts(done: &Done) -> Vec<String> {
    let mut said: Vec<String> = done.read.welds.iter().map(verdict).collect();
    said.extend(joint_verdict(&done.read.joint));
    said
}

/// A reading and its uncertainty, each with the unit, rounded to the uncertainty.
#[must_use]
pub fn reading(reading: Reading, v: f64, u: f64) -> (String, String) {
    match reading {
        // Shares of a whole are percents; a ratio of two lengths is a plain number.
        Reading::Dilution | Reading::PoreAreaShare => value(reading.dimension(), v, u),
        _ if reading.dimension() == Dimension::Ratio => {
            let (shown, u) = value(Dimension::Length, v, u);
            (shown.trim_end_matches(" mm").to_owned(), u.trim_end_matches(" mm").to_owned())
        }
        _ => value(reading.dimension(), v, u),
    }
}

/// A value and its uncertainty, each with the unit, rounded to the uncertainty.
#[must_use]
pub fn value(dimension: Dimension, value: f64, u: f64) -> (String, String) {
    let shown = match dimension {
        Dimension::Length => {
            of_photo(Measured::new(Length::from_mm(value), Length::from_mm(u)), UnitSystem::Metric)
        }
        Dimension::Area => {
            of_photo(Measured::new(Area::from_mm2(value), Area::from_mm2(u)), UnitSystem::Metric)
        }
        Dimension::Ratio => of_photo(
            Measured::new(Share::from_fraction(value), Share::from_fraction(u)),
            UnitSystem::Metric,
        ),
        Dimension::Angle => {
            of_photo(Measured::new(Angle::from_deg(value), Angle::from_deg(u)), UnitSystem::Metric)
        }
    };
    (shown.value, shown.u.unwrap_or_default())
}

/// The 95 % interval: one U for both sides, or both ends where it is lopsided.
fn within(v: &Value, show: impl Fn(f64, f64) -> (String, String)) -> String {
    if v.u == 0.0 {
        return "-".to_owned();
    }
    if !v.is_skewed() {
        return format!("\u{b1} {}", show(v.value, v.expanded()).1);
    }
    let [low, high] = v.interval.map(|x| show(x, v.u).0);
    let bare = low.split(' ').next().unwrap_or_default();
    format!("{bare} to {high}")
}

/// The reading that matters, as a sentence.
#[must_use]
pub fn verdict(weld: &WeldRead) -> String {
    let get = |r: Reading| weld.values.iter().find(|(name, _)| *name == r).map(|(_, v)| v);
    let say = |r: Reading| {
        get(r).map(|v| {
            let (shown, u) = reading(r, v.value, v.u);
            format!("{shown} (u {u})")
        })
    };
    let side = match weld.side {
        Side::Only => "the weld".to_owned(),
        side => format!("the {} weld", side.word()),
    };
    if let (Some(throat), Some(v)) = (say(Reading::EffectiveThroat), get(Reading::EffectiveThroat))
    {
        if !v.is_established() {
            return format!(
                "The throat of {side} is not established: as marked it is {throat}, but within the uncertainties there is none in {:.0} % of the draws.",
                100.0 * (1.0 - v.present)
            );
        }
        let rest = match say(Reading::RootPenetration) {
            Some(p) => format!(", its root lies {p} beyond the corner"),
            None => String::new(),
        };
        return format!("Effective throat of {side}: {throat}{rest}.");
    }
    if let Some((_, why)) = weld.absent.iter().find(|(r, _)| *r == Reading::EffectiveThroat) {
        return format!("No throat for {side}: {why}.");
    }
    match say(Reading::Penetration) {
        Some(p) => format!("Penetration of {side}: {p}."),
        None => format!("No penetration for {side}."),
    }
}

/// The throat of a butt as a sentence.
#[must_use]
pub fn joint_verdict(joint: &JointRead) -> Option<String> {
    let (_, throat) = joint.values.iter().find(|(name, _)| *name == "throat_mm")?;
    let (shown, u) = value(Dimension::Length, throat.value, throat.u);
    let complete = joint.answers.iter().find(|(name, _)| *name == "complete_penetration");
    let complete =
        complete.map_or_else(String::new, |(_, a)| format!("; complete penetration: {}", a.word()));
    Some(format!("Throat of the joint: {shown} (u {u}){complete}."))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn values_are_rounded_to_their_uncertainty() {
        // 0.043 rounds to one figure, 0.04, and the value follows; 0.13 keeps two.
        assert_eq!(value(Dimension::Length, 4.0614, 0.043), ("4.06 mm".into(), "0.04 mm".into()));
        assert_eq!(value(Dimension::Length, 4.0614, 0.13), ("4.06 mm".into(), "0.13 mm".into()));
    }
}

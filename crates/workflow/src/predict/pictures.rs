//! The pictures of a prediction: nouns handed to the drawer of figures.

use super::{Predicted, says};
use crate::refusal::Refusal;
use crate::start::Started;
use crate::wire::joint::NeedOut;
use crate::wire::predict::{ExpectedOut, SearchOut, SensitivityOut};
use physics::setting::{Laser, Plates as Before};
use physics::wobble::energy_map;
use report::figure::answers::{AnswersFigure, answers_drawing};
use report::figure::energy::{EnergyFigure, energy_drawing};
use report::figure::expected::{Banded, ExpectedFigure, expected_drawing};
use report::figure::joint::{JointFigure, JointPlates, joint_drawing};
use report::figure::{Svg, on_one_sheet};
use std::f64::consts::TAU;
use weld::quantity::Length;
use weld::quantity::show::UnitSystem;
use weld::reading::Reading;
use weld::section::{self, Point, Section, Side};

/// Places of the map to the spot's diameter: fine enough to see the turns, few enough for a page.
const PLACES: u32 = 4;
/// Steps of the way that the centre takes in one cycle.
const WAY: u32 = 48;
/// Widest that the expected section and the plots may be, mm of paper.
const WIDE: f64 = 128.0;
/// Widest that the joint beside it may be.
const BESIDE: f64 = 70.0;

/// The joint before welding, with the throat that is needed.
#[must_use]
pub fn joint(said: &Predicted) -> Svg {
    joint_of(&said.work.joint, said.out.need.as_ref())
}

fn joint_of(joint: &Before, need: Option<&NeedOut>) -> Svg {
    let (plates, both_sides) = match *joint {
        Before::Bead { thickness } => (JointPlates::Bead { plate: thickness }, false),
        Before::Butt { thickness, gap, both } => {
            (JointPlates::Butt { plate: thickness, gap }, both)
        }
        Before::Tee { base, upright, angle, gap, both } => {
            (JointPlates::Tee { base, upright, angle, gap }, both)
        }
    };
    let need = need.and_then(|n| n.any_plane_mm.or(n.specify_mm));
    joint_drawing(&JointFigure {
        plates,
        both_sides,
        need: need.map(Length::from_mm),
        units: UnitSystem::Metric,
        width_mm: BESIDE,
        height_mm: 80.0,
    })
}

/// The section to expect, with the ends of its band; none where none can be drawn.
#[must_use]
pub fn expected(said: &Predicted) -> Option<Svg> {
    drawn(&Drawn {
        section: said.section.as_ref()?,
        ends: said.ends.as_ref().map(|[low, high]| [low.as_ref(), high.as_ref()]),
        expected: &said.out.expected,
        laser: said.laser,
        joint: &said.work.joint,
        band: &says::band(&said.out),
    })
}

/// What is drawn of an expected section.
pub(crate) struct Drawn<'a> {
    pub(crate) section: &'a Section,
    pub(crate) ends: Option<[Option<&'a Section>; 2]>,
    pub(crate) expected: &'a ExpectedOut,
    pub(crate) laser: Option<Laser>,
    pub(crate) joint: &'a Before,
    /// The band in words.
    pub(crate) band: &'a str,
}

pub(crate) fn drawn(of: &Drawn<'_>) -> Option<Svg> {
    let section = of.section;
    let read = section::read(section).ok()?;
    // A tee's welds are alike: the right one is labelled.
    let weld = read.welds.iter().find(|w| w.side != Side::Left).or(read.welds.first())?;
    let e = of.expected;
    let band = |low: Option<f64>, high: Option<f64>| match (low, high) {
        (Some(_), Some(_)) => format!(" ({})", super::says::ends(low, high)),
        _ => " (no band)".to_owned(),
    };
    let labels = [
        (
            Reading::EffectiveThroat,
            e.effective_throat_mm,
            band(e.effective_throat_low_mm, e.effective_throat_high_mm),
        ),
        (
            Reading::RootPenetration,
            e.root_penetration_mm,
            band(e.root_penetration_low_mm, e.root_penetration_high_mm),
        ),
        (
            Reading::Penetration,
            Some(e.penetration_mm),
            band(e.penetration_low_mm, e.penetration_high_mm),
        ),
        (Reading::WidthSurface, Some(e.width_mm), band(e.width_low_mm, e.width_high_mm)),
    ];
    let readings: Vec<Banded> = labels
        .into_iter()
        .filter_map(|(reading, value, band)| {
            let at = weld.dimensions.iter().find(|d| d.reading == reading)?;
            Some(Banded { at: *at, words: format!("{} {:.1}{band}", reading.words(), value?) })
        })
        .collect();
    let beam = of.laser.map(|laser| (aim(&laser, of.joint), laser.torch_angle));
    Some(expected_drawing(&ExpectedFigure {
        section,
        ends: of.ends,
        readings: &readings,
        beam,
        band: of.band,
        width_mm: WIDE,
        height_mm: 90.0,
    }))
}

/// Where the beam's axis meets the plates: a tee's past the corner, up the upright; elsewhere beside the joint line.
fn aim(laser: &Laser, joint: &Before) -> Point {
    let aim = laser.aim.mm();
    match joint {
        Before::Tee { angle, .. } if aim > 0.0 => {
            let (sin, cos) = angle.rad().sin_cos();
            Point::new(aim * cos, aim * sin)
        }
        // Short of the corner it meets the base.
        Before::Tee { .. } => Point::new(-aim, 0.0),
        Before::Bead { .. } | Before::Butt { .. } => Point::new(aim, 0.0),
    }
}

/// The energy that the beam lays on each place of the seam; none for an arc.
#[must_use]
pub fn energy(said: &Predicted) -> Option<Svg> {
    let laser = said.laser?;
    let radius = laser.beam.radius_at(Length::ZERO);
    let map = energy_map(laser.beam.power, radius, laser.travel, laser.wobble, PLACES);
    let pitch = laser.wobble.map_or(radius, |w| w.pitch(laser.travel)).mm();
    let way: Vec<[f64; 2]> = (0..=WAY)
        .map(|i| {
            let share = f64::from(i) / f64::from(WAY);
            let [x, y] = laser.wobble.map_or([0.0, 0.0], |w| w.place(TAU * share));
            [1e3 * x + share * pitch, 1e3 * y]
        })
        .collect();
    Some(energy_drawing(&EnergyFigure {
        step_along_mm: pitch / map.along.max(1) as f64,
        step_across_mm: map.step.mm(),
        across: map.across,
        j_per_mm2: &map.j_per_mm2,
        way: &way,
        swing_mm: laser.wobble.map_or(0.0, |w| w.width.mm()),
        spot_mm: 2.0 * radius.mm(),
        width_mm: WIDE,
    }))
}

/// How the throat answers to each knob; none where nothing was asked of it.
#[must_use]
pub fn answers(said: &Predicted) -> Option<Svg> {
    let all = &said.out.sensitivity;
    (!all.is_empty()).then(|| answers_of(all))
}

/// The same of answers alone.
#[must_use]
pub fn answers_of(all: &[SensitivityOut]) -> Svg {
    answers_drawing(&AnswersFigure { bars: &says::answer_bars(all), width_mm: WIDE })
}

/// All of them on one sheet.
#[must_use]
pub fn sheet(said: &Predicted) -> Svg {
    let figures: Vec<Svg> = [Some(joint(said)), expected(said), energy(said), answers(said)]
        .into_iter()
        .flatten()
        .collect();
    on_one_sheet(
        &figures,
        BESIDE + WIDE + 10.0,
        "What is to be expected of a setting, drawn to scale",
    )
}

/// The joint, and of each choice of a search the section to expect with how its throat answers, on one sheet.
///
/// # Errors
///
/// When the joint is one that nothing can be predicted for.
pub fn choices_sheet(started: &Started, found: &SearchOut) -> Result<Svg, Refusal> {
    let (work, _) = super::work_of(&started.asked, None)?;
    let width = 2.0 * WIDE + 20.0;
    // A row each.
    let mut rows = vec![joint_of(&work.joint, started.out.need.as_ref())];
    for choice in &found.choices {
        let mut row = Vec::from_iter(choice.drawing.clone());
        row.push(answers_of(&choice.sensitivity));
        rows.push(on_one_sheet(&row, width, &says::best_for(&choice.best_for)));
    }
    // Too narrow for two of them beside each other.
    let widest = rows.iter().map(Svg::width_mm).fold(0.0, f64::max);
    let words =
        "The joint, and what is to be expected of each setting worth trying, drawn to scale";
    Ok(on_one_sheet(&rows, widest + 1.0, words))
}

//! Marks drawn pictures as a person would, and reads them. Shared by the coverage study and its short version in the tests.

use photo::decode::decode;
use photo::drawn::hand::{self, SHAKE_ON_AN_EDGE_PX};
use photo::drawn::scenes::{Kind as SceneKind, scene};
use photo::drawn::style::Preset;
use photo::drawn::truth::{Straight, Truth};
use photo::drawn::{draw, second};
use photo::marks::{Cut, Held, Joint, Kind, Marks, OutlineMark, PlateMarks, Taken};
use photo::reading::read;
use photo::scale::{CapReading, PixelPoint, ScaleMark};
use photo::trace::Follow;
use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;
use rayon::prelude::*;
use weld::reading::Reading;
use weld::section::{Plates, Side};

/// One picture to draw and to read.
#[derive(Clone, Debug)]
pub(crate) struct Case {
    /// The nuisance.
    pub(crate) preset: Preset,
    /// Its word.
    pub(crate) stratum: String,
    /// Joint and sides.
    pub(crate) kind: SceneKind,
    /// The joint.
    pub(crate) joint: &'static str,
    /// Which drawer.
    pub(crate) drawer: Drawer,
    /// Its seed.
    pub(crate) seed: u64,
}

/// Who draws.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Drawer {
    /// [`photo::drawn::draw`].
    First,
    /// [`photo::drawn::second`], which nothing was ever fitted to.
    #[allow(dead_code, reason = "drawn by the study, not by its short version in the tests")]
    HeldOut,
}

impl Drawer {
    pub(crate) fn word(self) -> &'static str {
        match self {
            Self::First => "first",
            Self::HeldOut => "held out",
        }
    }
}

/// How one value came out.
#[derive(Clone, Debug)]
pub(crate) struct Outcome {
    /// Which case.
    #[allow(dead_code, reason = "told by the study, not by its short version in the tests")]
    pub(crate) case: usize,
    /// Which weld.
    #[allow(dead_code, reason = "told by the study, not by its short version in the tests")]
    pub(crate) side: Side,
    /// Joined straight instead of guided.
    pub(crate) straight: bool,
    /// The true value, mm.
    pub(crate) truth: f64,
    /// The value read, when there is one.
    pub(crate) value: Option<f64>,
    /// Its standard uncertainty.
    pub(crate) u: f64,
    /// Its expanded uncertainty.
    pub(crate) expanded: f64,
    /// Does the interval hold the truth?
    pub(crate) inside: bool,
    /// Why there is no value.
    pub(crate) why: String,
}

/// Pictures by a drawer, spread evenly over nuisances and joints.
pub(crate) fn cases(pictures: usize, drawer: Drawer, seed: u64) -> Vec<Case> {
    let presets: Vec<Preset> = Preset::ALL.into_iter().filter(|p| p.shows_a_line()).collect();
    (0..pictures)
        .map(|i| {
            let preset = presets[i % presets.len()];
            let kind = SceneKind::ALL[(i / presets.len()) % SceneKind::ALL.len()];
            let joint = match kind {
                SceneKind::Bead => "bead",
                SceneKind::ButtOneSided | SceneKind::ButtTwoSided => "butt",
                SceneKind::TeeOneSided | SceneKind::TeeTwoSided => "tee",
            };
            Case {
                preset,
                stratum: preset.word().to_owned(),
                kind,
                joint,
                drawer,
                seed: seed.wrapping_mul(1_000_003).wrapping_add(i as u64),
            }
        })
        .collect()
}

/// Draws and reads every case, guided and straight.
pub(crate) fn outcomes(cases: &[Case]) -> Vec<Outcome> {
    cases.par_iter().enumerate().flat_map_iter(|(i, case)| outcome(i, case)).collect()
}

fn outcome(index: usize, case: &Case) -> Vec<Outcome> {
    let scene = scene(case.kind, false, case.seed);
    let style = case.preset.style(case.seed);
    let drawn = match case.drawer {
        Drawer::First => draw(&scene.section, &scene.extra, &style, case.seed),
        Drawer::HeldOut => second(&scene.section, &scene.extra, &style, case.seed),
    };
    let Ok(truth) = drawn.truth.readings() else { return Vec::new() };
    let Ok(bytes) = drawn.to_png() else { return Vec::new() };
    let Ok(photo) = decode(&bytes) else { return Vec::new() };
    let mut out = Vec::new();
    for straight in
        if std::env::var_os("QUICK").is_some() { vec![false] } else { vec![false, true] }
    {
        let marks = mark(case, &drawn.truth, straight);
        let got = read(&photo, &marks, case.seed);
        if let (Some(dir), Ok(got), false) = (std::env::var_os("DUMP"), &got, straight) {
            dump(&dir, case, &photo, &marks, got, &drawn.truth);
        }
        // Where two butt welds run into each other the line of the first is molten again: a photograph does not show how deep
        // it went, only that the joint is fused through.
        let fused_through = case.joint == "butt"
            && truth.welds.len() > 1
            && truth.joint.overlap.is_some_and(|o| o > 0.0);
        for weld in truth.welds.iter().filter(|_| !fused_through) {
            let reading =
                if case.joint == "tee" { Reading::EffectiveThroat } else { Reading::Penetration };
            // A true value of nothing (a missed seam) has no relative error and no share in the study.
            let Some(true_value) = weld.readings.get(reading).filter(|v| *v > 0.2) else {
                continue;
            };
            let mut outcome = Outcome {
                case: index,
                side: weld.side,
                straight,
                truth: true_value,
                value: None,
                u: 0.0,
                expanded: 0.0,
                inside: false,
                why: String::new(),
            };
            match &got {
                Err(e) => outcome.why = e.to_string(),
                Ok(got) => {
                    let mine =
                        got.welds.iter().find(|w| w.side == weld.side || got.welds.len() == 1);
                    let value = mine.and_then(|w| w.values.iter().find(|(r, _)| *r == reading));
                    match value {
                        Some((_, v)) => {
                            outcome.value = Some(v.value);
                            outcome.u = v.u;
                            outcome.expanded = v.expanded();
                            outcome.inside = (v.interval[0]..=v.interval[1]).contains(&true_value);
                            outcome.why = v.mostly.map_or("", |c| c.words()).to_owned();
                        }
                        None => {
                            outcome.why = mine
                                .and_then(|w| w.absent.iter().find(|(r, _)| *r == reading))
                                .map_or_else(String::new, |(_, why)| why.clone());
                        }
                    }
                }
            }
            out.push(outcome);
        }
    }
    out
}

/// Writes the picture with what was read and what is true on it, for looking at.
fn dump(
    dir: &std::ffi::OsStr,
    case: &Case,
    photo: &photo::decode::Photo,
    marks: &Marks,
    got: &photo::reading::Read,
    truth: &Truth,
) {
    use photo::overlay::{Foot, Look, Stroke, paint};
    let mut strokes = Vec::new();
    for f in &truth.fused {
        strokes.push(Stroke {
            px: f.px.clone(),
            closed: true,
            look: Look::Outline(Kind::Affected),
        });
    }
    for o in &got.outlines {
        strokes.push(Stroke { px: o.px.clone(), closed: true, look: Look::Outline(Kind::Fused) });
    }
    for (_, points) in marks.plates.faces() {
        if points.len() > 1 {
            strokes.push(Stroke { px: points.clone(), closed: false, look: Look::Plate });
        }
    }
    for w in &got.welds {
        for d in &w.dimensions {
            let px = vec![got.frame.px_from_section(d.from), got.frame.px_from_section(d.to)];
            strokes.push(Stroke { px, closed: false, look: Look::Dimension(d.reading) });
        }
    }
    for o in &marks.outlines {
        for p in &o.points {
            strokes.push(Stroke { px: vec![*p], closed: false, look: Look::SetPoint });
        }
    }
    let name = format!(
        "{}-{}-{}-{}.png",
        case.stratum.replace(' ', "_"),
        case.kind.word(),
        case.drawer.word().replace(' ', "_"),
        case.seed
    );
    if let Ok(png) = paint(photo, &strokes, &Foot::default()) {
        let _ = std::fs::write(std::path::Path::new(dir).join(name), png);
    }
}

/// Marks a picture as a person would who sees it.
pub(crate) fn mark(case: &Case, truth: &Truth, straight: bool) -> Marks {
    let mut rng = ChaCha8Rng::seed_from_u64(case.seed);
    rng.set_stream(77);
    let rng = &mut rng;
    let face = |what: &[Straight], rng: &mut ChaCha8Rng| -> Vec<[f64; 2]> {
        truth
            .straight
            .iter()
            .filter(|s| what.contains(&s.what))
            .flat_map(|s| s.px)
            .map(|p| hand::set(p, SHAKE_ON_AN_EDGE_PX, truth, rng))
            .collect()
    };
    let mut plates = PlateMarks::default();
    let two = truth.fused.len() > 1;
    match &truth.section.plates {
        Plates::Bead => plates.surface = face(&[Straight::TopLeft, Straight::TopRight], rng),
        Plates::Butt(butt) => {
            plates.surface = face(&[Straight::TopLeft, Straight::TopRight], rng);
            plates.bottom = face(&[Straight::BottomLeft, Straight::BottomRight], rng);
            plates.joint_line = face(&[Straight::JointLine], rng);
            plates.gap_mm = butt.gap;
        }
        Plates::Tee(tee) => {
            plates.gap_mm = tee.gap;
            plates.base = face(&[Straight::BaseRight], rng);
            if two {
                plates.base.extend(face(&[Straight::BaseLeft], rng));
                plates.upright_left = face(&[Straight::UprightLeft], rng);
                plates.upright_right = face(&[Straight::UprightRight], rng);
            } else {
                plates.upright = face(&[Straight::UprightRight], rng);
                plates.upright_thickness_mm = tee.upright_thickness;
            }
        }
    }
    let outlines = hand::outlines(truth, rng)
        .into_iter()
        .zip(&truth.fused)
        .map(|(points, fused)| OutlineMark {
            kind: Kind::Fused,
            side: two.then_some(fused.side),
            points,
            hold: Vec::new(),
            follow: if straight { Follow::Straight } else { Follow::Guided },
        })
        .collect();
    let point = |p: [f64; 2]| PixelPoint { x_px: p[0], y_px: p[1] };
    let mut scale = Vec::new();
    if let Some(bar) = &truth.bar {
        let [a, b] = bar.px.map(|p| point(hand::set(p, SHAKE_ON_AN_EDGE_PX, truth, rng)));
        scale.push(ScaleMark::Bar {
            from: a,
            to: b,
            length_mm: bar.mm,
            read: CapReading::Centre,
            u_rel: None,
        });
    } else if let Some(rule) = &truth.ruler {
        let [a, b] = rule.px.map(|p| point(hand::set(p, SHAKE_ON_AN_EDGE_PX, truth, rng)));
        scale.push(ScaleMark::TwoPoints { from: a, to: b, length_mm: rule.mm, u_rel: None });
    }
    if scale.is_empty() {
        let off = 1.0 + 0.003 * hand::shake(rng, 1.0)[0];
        scale.push(ScaleMark::PerPixel { mm_per_px: truth.mm_per_px * off, u_rel: Some(0.003) });
    }
    let held = if case.preset == Preset::TiltedCamera { Held::Hand } else { Held::Stand };
    Marks {
        joint: match case.joint {
            "bead" => Joint::Bead,
            "butt" => Joint::Butt,
            _ => Joint::Tee,
        },
        etched: true,
        scale,
        plates,
        outlines,
        cut: Cut::default(),
        corners: None,
        taken: Taken { held: Some(held), ..Taken::default() },
    }
}

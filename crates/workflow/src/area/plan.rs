//! The plan to be signed: the same words as the page, with the room drawn to scale.

use super::{Area, says};
use crate::refusal::Refusal;
use report::figure::Svg;
use report::figure::plan::{PieceKind, PlanCircle, PlanFigure, PlanPiece, PlanWay, plan_drawing};
use report::paper::area::{AreaEtchant, AreaPart, AreaPlan, TEXT_WIDTH_MM, area_plan};
use report::paper::{Date, Paper};
use safety::room::Piece;
use weld::quantity::Length;

/// Highest that the room's drawing may be, mm: it shares its page with the answers where it can.
const DRAWING_HEIGHT_MM: f64 = 150.0;

/// Typesets the plan.
///
/// # Errors
///
/// When the setup file does not say where the area is and who worked it out, when no date is given, or when nothing
/// says how the beam spreads.
pub fn plan(area: &Area, date: Option<Date>) -> Result<Paper, Refusal> {
    area_plan(&paper(area, date)?).map_err(|e| Refusal::new(&e, e.advice()))
}

/// The room from above, to scale; none without a room.
#[must_use]
pub fn drawing(area: &Area) -> Option<Svg> {
    let room = area.setup.room.as_ref()?;
    let ends = |piece: &Piece| {
        let xy = |p: safety::room::Place| [p.x, p.y];
        [xy(piece.from), xy(piece.to)]
    };
    let mut pieces: Vec<PlanPiece> = room
        .openings
        .iter()
        .map(|o| {
            let [from, to] = ends(&o.piece);
            let kind = match (o.window, o.stops) {
                (true, _) => PieceKind::Window,
                (false, true) => PieceKind::InterlockedDoor,
                (false, false) => PieceKind::Door,
            };
            PlanPiece { from, to, kind, name: o.name.clone() }
        })
        .collect();
    for (curtain, worked) in area.setup.curtains.iter().zip(&area.worked.curtains) {
        let Some(piece) = &curtain.piece else { continue };
        let [from, to] = ends(piece);
        let kind = if worked.stands() && !worked.passes.over_at_eye_height {
            PieceKind::Curtain
        } else {
            PieceKind::WeakCurtain
        };
        pieces.push(PlanPiece { from, to, kind, name: curtain.name.clone() });
    }
    let ways = area
        .worked
        .ways_out
        .iter()
        .flatten()
        .map(|(torch, w)| PlanWay {
            torch: [torch.x, torch.y],
            from: w.from,
            to: w.to,
            words: match area.worked.longest() {
                Some(far) => format!("to {}", says::far(far)),
                None => "as far as it is seen".to_owned(),
            },
        })
        .collect();
    let circle = |radius: Length, whose: &str, main| PlanCircle {
        radius,
        words: format!("diffuse, {whose}: {}", says::far(radius)),
        main,
    };
    Some(plan_drawing(&PlanFigure {
        width: room.width,
        depth: room.depth,
        torches: room.torches.iter().map(|t| [t.x, t.y]).collect(),
        pieces,
        ways,
        circles: vec![
            circle(area.worked.diffuse.skin, "skin", false),
            circle(area.worked.diffuse.eye, "eyes", true),
        ],
        width_mm: TEXT_WIDTH_MM,
        height_mm: DRAWING_HEIGHT_MM,
    }))
}

fn paper(area: &Area, date: Option<Date>) -> Result<AreaPlan, Refusal> {
    let (setup, out) = (&area.setup, &area.out);
    let lacks = |field: &str, fact: &str, advice: &str| {
        Refusal::new(fact, advice).in_file(&out.file).in_field(field).at_line(setup.line("paper"))
    };
    let Some(asked) = &setup.paper else {
        return Err(lacks(
            "paper",
            "nothing says where the area is and who worked it out",
            "add [paper] with site, author and date",
        ));
    };
    let Some(date) = date.or(asked.date) else {
        return Err(lacks(
            "paper.date",
            "the plan has no date",
            "write date = \"2026-11-25\" under [paper], or give --date",
        ));
    };
    if area.worked.widths.is_empty() {
        return Err(lacks(
            "divergence",
            "nothing says how the beam spreads, so how far it is dangerous is not known",
            "add divergence, or focal_length and beam_at_lens: without a distance there is no plan to sign",
        )
        .at_line(setup.line("power")));
    }
    let officer = asked.officer.clone().unwrap_or_default();
    let [power, wavelength] = says::laser(setup);
    let of = setup.setting.as_ref().map_or_else(String::new, |s| format!(", setting '{}'", s.name));
    Ok(AreaPlan {
        title: asked.title.clone().unwrap_or_else(|| "Plan of a laser-controlled area".to_owned()),
        site: asked.site.clone(),
        author: asked.author.clone(),
        laser: format!("{}, {power}, {wavelength}, handheld welding{of}", says::class(setup)),
        date,
        invented: asked.invented,
        fingerprint: out.fingerprint.clone(),
        against: out.against.clone(),
        answers: out.says.answers.clone(),
        plan: drawing(area),
        cautions: out.says.cautions.clone(),
        parts: out
            .says
            .parts
            .iter()
            .map(|p| AreaPart {
                title: p.title.clone(),
                rows: p
                    .rows
                    .iter()
                    .map(|r| [r.what.clone(), r.value.clone(), r.from.clone()])
                    .collect(),
                sentences: p.sentences.clone(),
            })
            .collect(),
        taken: out.taken.clone(),
        checks: out.says.checks.clone(),
        signatures: vec![
            ["laser safety officer: released".to_owned(), officer],
            ["in charge of the area".to_owned(), String::new()],
            ["operator".to_owned(), String::new()],
        ],
        etching_always: out.says.etching_always.clone(),
        etchants: out
            .says
            .etchants
            .iter()
            .map(|e| AreaEtchant {
                name: e.name.to_owned(),
                alloys: e.alloys.to_owned(),
                strength: e.strength.to_owned(),
                never: e.never.to_owned(),
                first_aid: e.first_aid.to_owned(),
                trained_only: e.trained_only,
                from: e.from.clone(),
            })
            .collect(),
        sources: says::sources(setup),
    })
}

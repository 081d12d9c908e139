//! `claim` and `write`: what may be claimed from the sections, and the report that says so.

use super::record::address;
use super::{by, file_name, found, from_of, keep_next, saved_or};
use crate::app::App;
use crate::failed::{Failed, told};
use crate::form::{Entry, Input, Posted, fields, from, merged, one};
use crate::job::{File, Made};
use crate::keep::Open;
use crate::leaf::Leaf;
use crate::pick::{Choice, Pick};
use crate::sheet;
use axum::Form;
use axum::extract::{Path, Query, State};
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};
use maud::{Markup, PreEscaped, html};
use serde_json::{Value, json};
use std::sync::Arc;
use workflow::claim::file::Claimed;
use workflow::claim::{Answer, says};
use workflow::clock::{By, Moment};
use workflow::refusal::Refusal;
use workflow::study::{Kind, Listed, Put, RecordId, Revision, Study};
use workflow::wire::marks_json::{to_json, to_text};
use workflow::write;

/// Values that a page lists.
const VALUES: usize = 100;
/// Pixels of a chart that is taken along: 160 mm at 300 dots to the inch.
const CHART_PX: u32 = 1890;
/// Width of the chart on a page, as on paper, mm.
const CHART_MM: f64 = 180.0;

fn entries(joints: &[Listed]) -> Vec<Entry> {
    let joints = joints.iter().map(|j| (j.name.clone(), j.name.clone())).collect();
    vec![
        Entry::new("question", "The customer's question")
            .hint("the report answers it, and is not written without one")
            .like("Do the two fillets carry 40 kN along the joint?")
            .of(Input::Long),
        Entry::new("joint", "Joint").hint("its load says what is needed").of(Input::Choice(joints)),
        Entry::new("value", "What is claimed").choice(&[
            ("effective_throat", "effective throat (fillet welds, with depth of fusion)"),
            ("theoretical_throat", "theoretical throat (fillet welds, without it)"),
            ("throat", "throat (butt)"),
            ("penetration", "penetration (bead, butt from one side)"),
        ]),
        Entry::new("sides", "Two sides of a section").hint("never pooled").choice(&[
            ("least", "the least side of each section"),
            ("apart", "each side bounded apart"),
            ("sum", "the sum of both sides"),
        ]),
        Entry::new("content", "Share of all sections").like("95 %"),
        Entry::new("confidence", "Confidence").like("95 %"),
        Entry::new("need", "Need, if it is not that of the joint's load").like("4 mm"),
        Entry::new("shared_u", "Standard uncertainty common to all photos")
            .hint("one scale, one camera")
            .like("0.5 %"),
        Entry::new("frozen", "Was the setting frozen before these coupons were welded?")
            .of(Input::Flag),
        Entry::new("population.operators", "Operators").like("R. Tan"),
        Entry::new("population.machine", "Machine").like("handheld laser 2 kW, shop number L-02"),
        Entry::new("population.material_heats", "Heats of plates and wire")
            .like("plates 4471-B, wire 88213"),
        Entry::new("population.position", "Position").like("PB"),
        Entry::new("population.setting", "Setting").like("frozen as S-07"),
        Entry::new("population.length", "Length it speaks for")
            .like("each weld less 25 mm at both ends"),
        Entry::new("paper.customer", "Report for")
            .hint("no report without it")
            .like("Hollin Ferry Works"),
        Entry::new("paper.author", "Report by").like("the welding shop"),
        Entry::new("paper.date", "Date on the report").hint("year-month-day").like("2026-11-25"),
        Entry::new("paper.units", "Units of the report")
            .choice(&[("mm", "millimetres"), ("in", "inches")]),
        Entry::new("paper.title", "Title of the report").like("Throat of the gangway step's welds"),
        Entry::new("paper.walked_on", "Is the part walked on?").of(Input::Flag),
    ]
}

/// What a claim may use, sections and joints, and what it does use, as `chosen` finds it.
async fn usable(
    open: &Arc<Open>,
    chosen: impl FnOnce(&Study, &Choice) -> Result<Pick, Refusal> + Send + 'static,
) -> Result<(Choice, Pick, Vec<Listed>), Failed> {
    open.look(move |study| {
        let choice = Choice::of(study)?;
        let pick = chosen(study, &choice)?.look_up(study, &choice)?;
        Ok((choice, pick, study.list(Kind::Joint)?))
    })
    .await
}

/// The form of a claim as it is being filled in.
struct Asked<'a> {
    claim: Option<&'a Revision>,
    /// The revision that the edit started from.
    number: i64,
    name: &'a str,
    choice: &'a Choice,
    joints: &'a [Listed],
    pick: &'a Pick,
    values: &'a Value,
    refused: Option<&'a Refusal>,
    /// The page of the values that the answer rests on.
    leaf: Leaf,
    /// Being filled in, so it is not folded away.
    open: bool,
}

/// All claims.
pub(crate) async fn list(State(app): State<App>, headers: HeaderMap) -> Result<Markup, Failed> {
    let about = sheet::about(&app, &headers).await?;
    let open = app.study()?;
    let claims = open
        .look(|study| {
            let listed = study.list(Kind::Claim)?;
            listed.into_iter().map(|l| study.last(l.record)).collect::<Result<Vec<_>, _>>()
        })
        .await?;
    let mut shown = Vec::new();
    for claim in &claims {
        shown.push((claim, answer_of(&open, claim).await?));
    }
    Ok(sheet::page(
        &about,
        "Claim",
        "claim",
        &html! {
            h1 { "Claim" }
            p { "How much throat may be claimed: with the stated confidence, at least the stated share of all sections made the same way has it or more." }
            @for (claim, answer) in &shown {
                section.card {
                    h2 { a href={ "/claim/" (claim.record.0) } { (claim.content.name) } }
                    @match answer {
                        Some(claimed) => p.verdict { (sentence(claimed)) },
                        None => form.inline method="post" action={ "/claim/" (claim.record.0) "/work" } { button { "Work it out" } },
                    }
                }
            }
            p { a.act href="/claim/new" { "Ask for a claim" } }
        },
    ))
}

/// The answer of a claim, if it was worked out for the study as it is.
async fn answer_of(open: &Arc<Open>, claim: &Revision) -> Result<Option<Arc<Claimed>>, Failed> {
    let head = open.look(|study| study.head_for_paper()).await?;
    Ok(open.answer(&(claim.record, claim.seq, head.to_string())))
}

fn sentence(claimed: &Claimed) -> String {
    match claimed.worked.answer(&claimed.file.asked) {
        Answer::Claim(out) => out.sentence,
        Answer::No { sentence, .. } => sentence,
    }
}

/// A blank form, filled in as far as the study says it.
pub(crate) async fn new_page(State(app): State<App>, headers: HeaderMap) -> Result<Markup, Failed> {
    let (choice, pick, joints) = usable(&app.study()?, |_, choice| Ok(Pick::all(choice))).await?;
    let about = sheet::about(&app, &headers).await?;
    let blank = json!({
        "joint": joints.last().map(|j| &j.name), "value": "effective_throat", "sides": "least",
        "content": "95 %", "confidence": "95 %",
        "paper": { "customer": about.customer, "author": about.who, "date": today(), "units": "mm" },
    });
    let asked = Asked {
        claim: None,
        number: 0,
        name: "claim.toml",
        choice: &choice,
        joints: &joints,
        pick: &pick,
        values: &blank,
        refused: None,
        leaf: Leaf::asked(&Posted::new(), VALUES),
        open: true,
    };
    asked.page(&app, &about).await
}

fn today() -> String {
    Moment::now().to_string().chars().take(10).collect()
}

/// One claim: its answer and chart, and the form.
pub(crate) async fn page(
    State(app): State<App>,
    headers: HeaderMap,
    Path(id): Path<i64>,
    Query(query): Query<Posted>,
) -> Result<Markup, Failed> {
    let open = app.study()?;
    let claim = found(&open, id, Kind::Claim).await?;
    let values = to_json(&claim.content.name, &claim.content.text)?;
    let names = values["sections"].clone();
    let (choice, pick, joints) = usable(&open, move |study, _| {
        Pick::named(study, names.as_array().into_iter().flatten().filter_map(Value::as_str))
    })
    .await?;
    let asked = Asked {
        claim: Some(&claim),
        number: claim.number,
        name: &claim.content.name,
        choice: &choice,
        joints: &joints,
        pick: &pick,
        values: &values,
        refused: None,
        leaf: Leaf::asked(&query, VALUES),
        open: false,
    };
    asked.page(&app, &sheet::about(&app, &headers).await?).await
}

impl Asked<'_> {
    async fn page(&self, app: &App, about: &sheet::About) -> Result<Markup, Failed> {
        let answer = match self.claim {
            Some(claim) => answer_of(&app.study()?, claim).await?,
            None => None,
        };
        let id = self.claim.map(|c| c.record.0);
        let action = id.map_or_else(|| "/claim/new".to_owned(), |id| format!("/claim/{id}"));
        let of_sections = self.refused.filter(|r| r.field.as_deref() == Some("sections"));
        let of_lost = self.refused.filter(|r| {
            r.field.as_deref().is_some_and(|f| f == "left_out" || f.starts_with("left_out."))
        });
        let of_others = self.refused.filter(|_| of_sections.is_none() && of_lost.is_none());
        Ok(sheet::page(
            about,
            "Claim",
            "claim",
            &html! {
                h1 { @match self.claim { Some(claim) => (claim.content.name), None => "A claim" } }
                @if let (Some(id), Some(claimed)) = (id, &answer) { (worked(id, claimed, self.leaf)) }
                @else if let Some(id) = id {
                    p { "The study or the claim was changed since, or it was never worked out." }
                    form method="post" action={ "/claim/" (id) "/work" } { button.act { "Work it out" } }
                }
                details open[self.open] {
                    summary { "What is asked" }
                    form method="post" action=(action) {
                        // What Enter in a field presses: the first button of a form.
                        button hidden tabindex="-1" { "Save" }
                        @match id {
                            Some(_) => (from(self.number)),
                            None => div.field { label for="name" { "Name" } input id="name" name="name" value=(self.name); },
                        }
                        div.columns { (fields(&entries(self.joints), self.values, of_others)) }
                        (self.pick.field(self.choice, "Sections it rests on", "All that were cut for this claim; leave none away because it is low. Sections that chose the setting do not claim it.", of_sections))
                        (lost_field(self.values, of_lost))
                        button.act { "Save" }
                        @if let Some(id) = id { " " a href={ "/record/" (id) } { "as text" } " " a href={ "/record/" (id) "/history" } { "history" } }
                    }
                }
            },
        ))
    }
}

/// Sections without a value, a line for each.
fn lost_field(values: &Value, refused: Option<&Refusal>) -> Markup {
    let text = match &values["left_out"] {
        // As it was sent.
        Value::String(sent) => sent.clone(),
        listed => {
            let line = |one: &Value| {
                ["coupon", "section", "weld", "reason"]
                    .iter()
                    .filter_map(|name| {
                        one[*name]
                            .as_str()
                            .map(str::to_owned)
                            .or_else(|| one[*name].as_i64().map(|n| n.to_string()))
                    })
                    .collect::<Vec<_>>()
                    .join(", ")
            };
            listed
                .as_array()
                .map(|all| all.iter().map(line).collect::<Vec<_>>().join("\n"))
                .unwrap_or_default()
        }
    };
    html! {
        div.field {
            label for="left_out" { "Sections that were cut and have no value" }
            textarea id="left_out" name="left_out" rows="3" placeholder="B, 3, cut lost" { (text) }
            p.hint { "one a line: coupon, section, and why: cut lost, etch failed, or planned exclusion; for one side only coupon, section, left, why" }
            @if let Some(refused) = refused { (told(refused)) }
        }
    }
}

/// The lines of sections without a value as the form sent them; none where the form has no such field.
fn lost_sent(posted: &Posted) -> Result<Option<Value>, Refusal> {
    if !posted.iter().any(|(name, _)| name == "left_out") {
        return Ok(None);
    }
    let lines = one(posted, "left_out").lines().map(str::trim).filter(|l| !l.is_empty());
    let read = |line: &str| {
        let parts: Vec<&str> = line.split([',', ';']).map(str::trim).collect();
        match parts.as_slice() {
            [coupon, section, reason] => {
                Ok(json!({ "coupon": coupon, "section": section, "reason": reason }))
            }
            [coupon, section, weld, reason] => {
                Ok(json!({ "coupon": coupon, "section": section, "weld": weld, "reason": reason }))
            }
            _ => Err(Refusal::new(
                format!("'{line}' is not a coupon, a section and a reason"),
                "write them with commas between, such as B, 3, cut lost",
            )
            .in_field("left_out")),
        }
    };
    Ok(Some(Value::Array(lines.map(read).collect::<Result<_, _>>()?)))
}

/// Takes them into the claim's values, as lines where they cannot be read.
fn take_lost(values: &mut Value, posted: &Posted) -> Result<(), Refusal> {
    match lost_sent(posted) {
        Ok(None) => {}
        Ok(Some(Value::Array(all))) if all.is_empty() => {
            drop(values.as_object_mut().and_then(|v| v.remove("left_out")));
        }
        Ok(Some(all)) => values["left_out"] = all,
        Err(refusal) => {
            values["left_out"] = one(posted, "left_out").into();
            return Err(refusal);
        }
    }
    Ok(())
}

/// The answer: sentence, chart, figures, values, and the papers that can be had.
fn worked(id: i64, claimed: &Claimed, leaf: Leaf) -> Markup {
    let answer = claimed.worked.answer(&claimed.file.asked);
    let units = claimed.file.asked.units;
    let against = claimed.against();
    let chart = write::chart(claimed, CHART_MM);
    let counted = write::values(claimed);
    html! {
        script type="module" src="/static/chart.js" {}
        p.verdict { (sentence(claimed)) }
        @if let Answer::No { advice, .. } = &answer { p { "Next: " (advice) "." } }
        @for fact in &against { p.verdict { "The code does not allow this joint as asked: " (fact) "." } }
        @if let Some(chart) = &chart {
            figure.chart #chart { (PreEscaped(chart.as_str()))
                figcaption { (write::value_words(claimed)) " by coupon, against the claim and the need; bars are two standard uncertainties each way. "
                    a href={ "/claim/" (id) "/chart.svg" } download { "SVG" } " " a href={ "/claim/" (id) "/chart.png" } download { "PNG" } } }
        }
        div.columns {
            @if let Answer::Claim(out) = &answer {
                section {
                    h2 { "Figures" }
                    table { @for [what, of] in says::rows(out, units) { tr { th scope="row" { (what) } td.num { (of) } } } }
                    @let sides = says::sides(out, units);
                    @if !sides.is_empty() {
                        h2 { "Sides, bounded apart" }
                        table { tr { th { "weld" } th { "sections" } th { "mean" } th { "s" } th { "bound" } }
                            @for row in sides { tr { @for cell in row { td.num { (cell) } } } } }
                    }
                }
            }
            (values(id, leaf, counted.count(), |skip, most| counted.part(skip, most)))
        }
        @if let Answer::Claim(out) = &answer {
            p.faint { "Method: " (out.method) }
            p.faint { (out.population) }
            p.faint { (out.normality) }
            @let left_out = says::left_out(out);
            p.faint { "Left out: " @if left_out.is_empty() { "nothing." } @else { (left_out.join("; ")) "." } }
            @let more = says::more(out);
            @if !more.is_empty() { h2 { "What more would help" } ul { @for m in more { li { (m) } } } }
            @if !out.remarks.is_empty() { h2 { "Remarks" } ul { @for r in &out.remarks { li { (r) } } } }
        }
        p.caution { (says::CAUTION) }
        form method="post" action={ "/claim/" (id) "/report" } { button.act { "Write the report" } " " span.faint { "PDF, for the customer" } }
    }
}

/// A page of the values that a claim counts; the report has them all. `part` gives so many of them after others.
fn values(
    id: i64,
    leaf: Leaf,
    total: usize,
    part: impl Fn(usize, usize) -> Vec<[String; 5]>,
) -> Markup {
    let leaf = leaf.within(total);
    let rows = part(leaf.skip(), leaf.most());
    html! {
        section #values {
            h2 { "Values" }
            @if total > rows.len() {
                p.faint { (leaf.skip() + 1) " to " (leaf.skip() + rows.len()) " of " (total) ". The report has them all." }
            }
            table.values {
                tr { th { "coupon" } th { "section" } th { "side" } th { "value" } th { "u" } }
                @for [coupon, section, side, value, u] in rows {
                    tr { td { (coupon) } td { (section) } td { (side) } td.num { (value) } td.num { (u) } }
                }
            }
            (leaf.links(total, &format!("/claim/{id}?"), "#values"))
        }
    }
}

/// Keeps a new claim, or turns the page of its sections.
pub(crate) async fn new(
    State(app): State<App>,
    headers: HeaderMap,
    Form(posted): Form<Posted>,
) -> Result<Response, Failed> {
    let open = app.study()?;
    let (choice, pick, joints) = usable(&open, sent(&posted)).await?;
    let about = sheet::about(&app, &headers).await?;
    let mut values = merged(json!({}), &entries(&joints), &posted);
    let lost = take_lost(&mut values, &posted).and_then(|()| asks(&values));
    let name = file_name(&posted, "claim.toml");
    let form = async |values: &Value, refused: Option<&Refusal>| {
        let asked = Asked {
            claim: None,
            number: 0,
            name: &name,
            choice: &choice,
            joints: &joints,
            pick: &pick,
            values,
            refused,
            leaf: Leaf::asked(&Posted::new(), VALUES),
            open: true,
        };
        asked.page(&app, &about).await
    };
    if !one(&posted, "turn").is_empty() {
        return Ok(form(&values, None).await?.into_response());
    }
    if let Err(refusal) = lost {
        let page = form(&values, Some(&refusal)).await?;
        return Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response());
    }
    if about.invented {
        values["paper"]["invented"] = true.into();
    }
    let text = text_of(&open, &mut values, &pick).await?;
    let by = by(&app, &headers, &posted)?;
    let kept_as = name.clone();
    let saved =
        open.write(move |study| study.put(Kind::Claim, &Put::new(&kept_as, &text), &by)).await;
    let then = |claim: Revision| work_on(&app, claim.record.0);
    saved_or(saved, then, async |refusal| form(&values, Some(&refusal)).await).await
}

/// Keeps the next revision of a claim, or turns the page of its sections.
pub(crate) async fn save(
    State(app): State<App>,
    headers: HeaderMap,
    Path(id): Path<i64>,
    Form(posted): Form<Posted>,
) -> Result<Response, Failed> {
    let open = app.study()?;
    let claim = found(&open, id, Kind::Claim).await?;
    let number = from_of(&posted)?;
    let (choice, pick, joints) = usable(&open, sent(&posted)).await?;
    let before = to_json(&claim.content.name, &claim.content.text)?;
    let mut values = merged(before, &entries(&joints), &posted);
    let lost = take_lost(&mut values, &posted).and_then(|()| asks(&values));
    let form = async |values: &Value, refused: Option<&Refusal>| {
        let asked = Asked {
            claim: Some(&claim),
            number,
            name: &claim.content.name,
            choice: &choice,
            joints: &joints,
            pick: &pick,
            values,
            refused,
            leaf: Leaf::asked(&Posted::new(), VALUES),
            open: true,
        };
        asked.page(&app, &sheet::about(&app, &headers).await?).await
    };
    if !one(&posted, "turn").is_empty() {
        return Ok(form(&values, None).await?.into_response());
    }
    if let Err(refusal) = lost {
        let page = form(&values, Some(&refusal)).await?;
        return Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response());
    }
    let text = text_of(&open, &mut values, &pick).await?;
    let by = by(&app, &headers, &posted)?;
    let saved = keep_next(&open, &claim, number, text, by).await;
    saved_or(saved, |_| work_on(&app, id), async |refusal| form(&values, Some(&refusal)).await)
        .await
}

/// A report answers a question: asked here, where somebody fills in a form, and not when the report is written.
fn asks(values: &Value) -> Result<(), Refusal> {
    if values["question"].as_str().is_some_and(|q| !q.trim().is_empty()) {
        return Ok(());
    }
    let refusal = Refusal::new(
        "nothing is asked, and the report answers the customer's question",
        "write it in their words: Do the welds of the step carry 60 kN?",
    );
    Err(refusal.in_field("question"))
}

/// The claim's file, with the sections that are ticked.
async fn text_of(open: &Arc<Open>, values: &mut Value, pick: &Pick) -> Result<String, Failed> {
    let pick = pick.clone();
    match open.look(move |study| pick.names(study)).await? {
        none if none.is_empty() => drop(values.as_object_mut().and_then(|v| v.remove("sections"))),
        names => values["sections"] = names.into(),
    }
    Ok(to_text(values)?)
}

/// The ticks as a form sent them.
fn sent(posted: &Posted) -> impl FnOnce(&Study, &Choice) -> Result<Pick, Refusal> + use<> {
    let posted = posted.clone();
    move |study, choice| Pick::sent(study, choice, &posted)
}

/// Works a claim out.
pub(crate) async fn work(State(app): State<App>, Path(id): Path<i64>) -> Result<Redirect, Failed> {
    found(&app.study()?, id, Kind::Claim).await?;
    Ok(work_on(&app, id))
}

fn work_on(app: &App, id: i64) -> Redirect {
    let bench = App::clone(app);
    app.jobs.start("The claim", &format!("/claim/{id}"), move |job| {
        let open = bench.study()?;
        worked_out(&open, id, job)?;
        Ok(Made::Page(format!("/claim/{id}")))
    })
}

/// Works a claim out and keeps its answer for the study as it is.
fn worked_out(open: &Open, id: i64, job: &crate::job::Job) -> Result<Arc<Claimed>, Failed> {
    let (claim, claimed) = open.look_now(|study| {
        let claim = study.last(RecordId(id))?;
        let claimed = study.claim(Some(&claim.content.name), true, job)?;
        Ok((claim, claimed))
    })?;
    let claimed = Arc::new(claimed);
    let head = claimed.study.as_ref().map_or_else(String::new, |s| s.head.clone());
    open.keep_answer((claim.record, claim.seq, head), Arc::clone(&claimed));
    Ok(claimed)
}

/// Writes the report, and keeps that it was handed out.
pub(crate) async fn report(
    State(app): State<App>,
    headers: HeaderMap,
    Path(id): Path<i64>,
) -> Result<Redirect, Failed> {
    let open = app.study()?;
    let claim = found(&open, id, Kind::Claim).await?;
    let known = answer_of(&open, &claim).await?;
    let by: By = by(&app, &headers, &Posted::new())?;
    Ok(app.jobs.start("The report", &format!("/claim/{id}"), move |job| {
        let claimed = match known {
            Some(claimed) => claimed,
            None => worked_out(&open, id, job)?,
        };
        let paper = write::report(&claimed)?;
        let words = format!("{} {} pages.", sentence(&claimed), paper.pages);
        let bytes = paper.pdf.clone();
        open.write_now(move |study| study.keep_paper(&claimed, &paper, &by))?;
        let stem = claim.content.name.trim_end_matches(".toml").replace('/', "-");
        let name = format!("{stem}-report.pdf");
        let back = format!("/claim/{id}");
        Ok(Made::File(Arc::new(File { name, mime: "application/pdf", bytes, words, back })))
    }))
}

async fn chart(app: &App, id: i64) -> Result<Arc<Claimed>, Failed> {
    let open = app.study()?;
    let claim = found(&open, id, Kind::Claim).await?;
    answer_of(&open, &claim).await?.ok_or_else(|| {
        Refusal::new("the claim is not worked out for the study as it is", "work it out first")
            .into()
    })
}

/// The chart as a drawing.
pub(crate) async fn chart_svg(
    State(app): State<App>,
    Path(id): Path<i64>,
) -> Result<Response, Failed> {
    let claimed = chart(&app, id).await?;
    let svg = write::chart(&claimed, CHART_MM).ok_or_else(|| Failed::not_there("value to draw"))?;
    Ok(([(header::CONTENT_TYPE, "image/svg+xml")], svg.into_string()).into_response())
}

/// The chart as a picture.
pub(crate) async fn chart_png(
    State(app): State<App>,
    Path(id): Path<i64>,
) -> Result<Response, Failed> {
    let claimed = chart(&app, id).await?;
    let made = app
        .study()?
        .heavy(move |_| match write::chart(&claimed, CHART_MM) {
            Some(svg) => write::picture(&svg, CHART_PX).map(Some),
            None => Ok(None),
        })
        .await?;
    let png = made.ok_or_else(|| Failed::not_there("value to draw"))?;
    Ok(([(header::CONTENT_TYPE, "image/png")], png).into_response())
}

/// Papers that were handed out.
pub(crate) async fn papers(State(app): State<App>, headers: HeaderMap) -> Result<Markup, Failed> {
    let about = sheet::about(&app, &headers).await?;
    let (papers, claims, areas) = app
        .study()?
        .look(|study| {
            let papers = study.list(Kind::Paper)?;
            let papers =
                papers.into_iter().map(|p| study.last(p.record)).collect::<Result<Vec<_>, _>>()?;
            let areas: Vec<_> =
                study.areas()?.iter().map(|plan| (plan.kept_as.record, plan.state())).collect();
            Ok((papers, study.list(Kind::Claim)?, areas))
        })
        .await?;
    Ok(sheet::page(
        &about,
        "Write",
        "write",
        &html! {
            h1 { "Write" }
            p { "The report answers the customer's question, and shows each section, the claim and how it was reached. It is written from a claim." }
            @for claim in &claims {
                form.inline method="post" action={ "/claim/" (claim.record.0) "/report" } {
                    button.act { "Report of " (claim.name) } " " a href=(address(Kind::Claim, claim.record)) { "look at the claim" }
                }
            }
            h2 { "Handed out" }
            @if papers.is_empty() { p.faint { "Nothing yet." } }
            @for paper in papers.iter().rev() {
                @let said: Value = serde_json::from_str(&paper.content.text).unwrap_or_default();
                section.card {
                    h3 { a href=(address(Kind::Paper, paper.record)) { (paper.content.name) } }
                    p { (said["sentence"].as_str().unwrap_or_default()) }
                    @for (_, (stands, state)) in areas.iter().filter(|(record, _)| *record == paper.record) {
                        p.bad-news[!stands] { (state) " " a href="/area" { "area" } }
                    }
                    p.faint { (paper.stamp.time) ", " (paper.stamp.author) " · head " span.hex { (said["head"].as_str().unwrap_or_default()) } " · PDF " span.hex { (said["pdf_blake3"].as_str().map_or("", |h| h.get(..16).unwrap_or(h))) } }
                }
            }
            p.faint { "Papers carry the date that the claim gives them; the same study and claim give the same paper to the last byte." }
        },
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 250 values by number: three pages, each with its own, and none twice.
    #[test]
    fn values_are_listed_a_page_at_a_time() {
        let part = |skip: usize, most: usize| {
            let row = |n: usize| {
                ["A".into(), format!("s{n}."), String::new(), "4.10 mm".into(), String::new()]
            };
            (1..=250).skip(skip).take(most).map(row).collect()
        };
        let page = |n: &str| {
            let asked = vec![("page".to_owned(), n.to_owned())];
            values(7, Leaf::asked(&asked, VALUES), 250, part).into_string()
        };
        for (n, first, last, rows) in
            [("1", 1, 100, 100), ("2", 101, 200, 100), ("3", 201, 250, 50)]
        {
            let page = page(n);
            assert_eq!(page.matches("4.10 mm").count(), rows, "page {n}");
            assert!(page.contains(&format!("{first} to {last} of 250")), "{page}");
            assert!(page.contains(&format!("<td>s{first}.</td>")), "{page}");
            assert!(page.contains(&format!("<td>s{last}.</td>")), "{page}");
        }
        assert!(page("1").contains("href=\"/claim/7?page=2#values\""));
    }
}

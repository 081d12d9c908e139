//! `read`: sections with their photos; the desk on which a section is marked and read.

use super::{by, found, from_of, keep_next, saved_or};
use crate::app::{App, too_large};
use crate::failed::{Failed, Told, told};
use crate::form::{Posted, from, one, seen, text, unseen};
use crate::keep::Open;
use crate::leaf::Leaf;
use crate::sheet;
use axum::extract::multipart::MultipartError;
use axum::extract::{Multipart, Path, Query, State};
use axum::http::{HeaderMap, StatusCode};
use axum::response::{IntoResponse, Redirect, Response};
use axum::{Form, Json};
use maud::{Markup, PreEscaped, html};
use serde::Deserialize;
use serde_json::{Value, json};
use std::sync::Arc;
use workflow::clock::By;
use workflow::read::{Done, PlateSeen, SAY_WHICH, decoded, joint_words, says};
use workflow::refusal::Refusal;
use workflow::sight::tile_levels;
use workflow::study::{
    Hash, Kind, Listed, Part, Put, RecordId, Revision, Study, Unsaved, section_kind,
};
use workflow::wire::joint::AskedJoint;
use workflow::wire::marks_json::{to_json, to_text};
use workflow::wire::photo_of_draft;

/// Sections that a page lists.
const PAGE: usize = 60;

/// All sections by coupon, with what was read from each.
pub(crate) async fn list(
    State(app): State<App>,
    headers: HeaderMap,
    Query(asked): Query<Posted>,
) -> Result<Markup, Failed> {
    let about = sheet::about(&app, &headers).await?;
    let mut leaf = Leaf::asked(&asked, PAGE);
    let (leaf, total, coupons, shown) = app
        .study()?
        .look(move |study| {
            let (total, shown) = leaf.look_up(study, Kind::Section)?;
            let coupons = study.list(Kind::Coupon)?;
            let mut rows = Vec::with_capacity(shown.len());
            for section in shown {
                let coupon = coupons.iter().find(|c| Some(c.record) == section.parent).cloned();
                rows.push((study.kept_of(&section)?, coupon, section));
            }
            Ok((leaf, total, coupons, rows))
        })
        .await?;
    // Neighbours of one coupon stand under one heading.
    let groups = shown.chunk_by(|(_, one, _), (_, other, _)| {
        one.as_ref().map(|c| c.record) == other.as_ref().map(|c| c.record)
    });
    Ok(sheet::page(
        &about,
        "Read",
        "read",
        &html! {
            h1 { "Read" }
            p { "Take in the photo of an etched section, set points along the fusion line, and see the throat with its uncertainty." }
            p { a.act href="/section/new" { "Take in a photo" } }
            @if total == 0 { p.faint { "No section yet." } }
            (leaf.choice(total, &coupons, "/read", &[]))
            div.sections {
                @for group in groups {
                    @if let Some((_, of, _)) = group.first() {
                        h2 { @match of { Some(c) => { "Coupon " a href={ "/record/" (c.record.0) } { (c.name) } }, None => "Without a coupon" } }
                    }
                    @for (kept, _, section) in group {
                    a.card href={ "/section/" (section.record.0) } {
                        @if let Some(photo) = section.photo { img loading="lazy" alt="" src={ "/section/" (section.record.0) "/paper?photo=" (photo) } width="160"; }
                        span { b { (short(&section.name)) } br;
                            @match kept {
                                Some(said) => @for line in said { (line) br; },
                                None => span.faint { "not read since it was marked last" },
                            }
                        }
                    }
                    }
                }
            }
            (leaf.links(total, "/read?", ""))
        },
    ))
}

/// Kinds of joint that are read, with their words.
const KINDS: [(&str, &str); 3] =
    [("tee", "tee (fillet welds)"), ("butt", "butt"), ("bead", "bead on plate")];

/// A section's name without its folder and ending.
fn short(name: &str) -> &str {
    let file = name.rsplit('/').next().unwrap_or(name);
    file.strip_suffix(".toml").unwrap_or(file)
}

/// A small picture of a section's photo.
pub(crate) async fn paper(State(app): State<App>, Path(id): Path<i64>) -> Result<Response, Failed> {
    let open = app.study()?;
    let (_, photo) = section_of(&open, id).await?;
    // The last level of a photo's tiles is one small picture; where it stands is known when the photo was decoded.
    let level = open.smallest(photo).await?;
    let tile = open.tile(photo, false, [level, 0, 0]).await?;
    let tile = tile.ok_or_else(|| Failed::not_there("such photo"))?;
    let headers = [
        (axum::http::header::CONTENT_TYPE, "image/jpeg"),
        (axum::http::header::CACHE_CONTROL, "private, max-age=86400"),
    ];
    Ok((headers, tile).into_response())
}

/// The form for a new section.
pub(crate) async fn new_page(
    State(app): State<App>,
    headers: HeaderMap,
    Query(asked): Query<Posted>,
) -> Result<Markup, Failed> {
    new_form(&app, &headers, &asked, None).await
}

async fn new_form(
    app: &App,
    headers: &HeaderMap,
    posted: &Posted,
    refused: Option<&Refusal>,
) -> Result<Markup, Failed> {
    let about = sheet::about(app, headers).await?;
    let (coupons, joints) = app
        .study()?
        .look(|study| {
            let kinds: Result<Vec<_>, _> = study
                .list(Kind::Joint)?
                .into_iter()
                .map(|joint| {
                    let text = study.last(joint.record)?.content.text;
                    Ok::<_, Refusal>((joint.record, joint.name, section_kind(&text)))
                })
                .collect();
            Ok((study.list(Kind::Coupon)?, kinds?))
        })
        .await?;
    // A coupon that is offered and not chosen would sooner or later get another's photo.
    let coupon = Some(one(posted, "coupon")).filter(|c| !c.is_empty());
    let section = Some(one(posted, "section")).filter(|s| !s.is_empty());
    // What was chosen; else the joint of this coupon; else the last one of the study.
    let known = coupons.iter().find(|c| Some(c.name.as_str()) == coupon);
    let welded = known.and_then(|c| c.parent);
    let welded = joints.iter().find(|(record, ..)| Some(*record) == welded).or(joints.last());
    let chosen = match (one(posted, "joint"), welded) {
        ("", Some((record, ..))) => record.0.to_string(),
        ("", None) => "tee".to_owned(),
        (said, _) => said.to_owned(),
    };
    let kinds = html! {
        @for (word, words) in KINDS { option value=(word) selected[word == chosen] { (words) } }
    };
    Ok(sheet::page(
        &about,
        "A photo",
        "read",
        &html! {
            h1 { "Take in a photo" }
            p { "Photograph the etched face square on, in even light, with a scale in its plane: a ruler, a printed label, or the plate thickness measured beside the weld." }
            @if let Some(refused) = refused { (told(refused)) }
            form method="post" action="/section/new" enctype="multipart/form-data" {
                div.field { label for="photo" { "Photo" } input id="photo" name="photo" type="file" accept="image/jpeg,image/png,image/tiff,image/webp";
                    p.hint { "JPEG, PNG, TIFF or WebP, up to 100 megapixels and 256 MB; the original, not one that a messenger made small" } }
                div.field.phone { label for="camera" { "or take it now" } input id="camera" name="photo" type="file" accept="image/jpeg,image/png" capture="environment"; }
                div.columns {
                    div.field { label for="coupon" { "Coupon" } input id="coupon" name="coupon" value=[coupon] list="coupons" placeholder="A" required;
                        datalist id="coupons" { @for c in &coupons { option value=(c.name); } } p.hint { "a new label begins a new coupon" } }
                    div.field { label for="section" { "Section" } input id="section" name="section" value=[section] placeholder="next"; p.hint { "the label of this cut; blank: the next number of its coupon" } }
                    div.field { label for="joint" { "Joint" } select id="joint" name="joint" {
                        @if joints.is_empty() { (kinds) } @else {
                            optgroup label="of this study" {
                                @for (record, name, kind) in &joints { option value=(record.0) selected[record.0.to_string() == chosen] { (name) " (" (kind) ")" } }
                            }
                            optgroup label="none of them, only its kind" { (kinds) }
                        }
                        } p.hint { "what the coupon was welded as: it says which plates and lines are marked" } }
                    div.field { label for="etched" { "Is the face etched?" } select id="etched" name="etched" { option value="yes" { "yes" } option value="no" { "no" } }
                        p.hint { "an unetched face shows no fusion line, and gives no penetration" } }
                    div.field { label for="held" { "How was the camera held?" } select id="held" name="held" {
                        option value="hand" { "by hand" } option value="stand" { "on a stand" } option value="microscope" { "on a microscope" } } }
                }
                button.act { "Take it in" }
            }
        },
    ))
}

/// What an upload brings.
#[derive(Default)]
struct Upload {
    fields: Posted,
    photo: Vec<u8>,
}

async fn uploaded(mut parts: Multipart) -> Result<Upload, (StatusCode, Refusal)> {
    let broken = |e: &MultipartError| {
        let refusal = if e.status() == StatusCode::PAYLOAD_TOO_LARGE {
            too_large()
        } else {
            Refusal::new("the photo did not arrive whole", "send it again").in_field("photo")
        };
        (e.status(), refusal)
    };
    let mut upload = Upload::default();
    while let Some(mut part) = parts.next_field().await.map_err(|e| broken(&e))? {
        let name = part.name().unwrap_or_default().to_owned();
        if name == "photo" {
            let mut bytes = Vec::new();
            while let Some(chunk) = part.chunk().await.map_err(|e| broken(&e))? {
                bytes.extend_from_slice(&chunk);
            }
            if !bytes.is_empty() {
                upload.photo = bytes;
            }
        } else {
            let text = part.text().await.map_err(|e| broken(&e))?;
            upload.fields.push((name, text));
        }
    }
    Ok(upload)
}

/// Takes in a photo with its section.
pub(crate) async fn new(
    State(app): State<App>,
    headers: HeaderMap,
    parts: Multipart,
) -> Result<Response, Failed> {
    let upload = match uploaded(parts).await {
        Ok(upload) => upload,
        Err((status, refusal)) => {
            let page = new_form(&app, &headers, &Posted::new(), Some(&refusal)).await?;
            return Ok((status, page).into_response());
        }
    };
    let fields = upload.fields.clone();
    let taken = match by(&app, &headers, &fields) {
        Ok(by) => take_in(&app, upload, by).await,
        Err(failed) => Err(failed),
    };
    let then = |(section, twin): (RecordId, Option<RecordId>)| {
        let twin = twin.map_or_else(String::new, |twin| format!("?twin={}", twin.0));
        Redirect::to(&format!("/section/{}{twin}", section.0))
    };
    saved_or(taken, then, async |refusal| new_form(&app, &headers, &fields, Some(&refusal)).await)
        .await
}

/// Whether a coupon or a section may be called so.
fn label(field: &str, text: &str) -> Result<(), Refusal> {
    if !text.trim().is_empty() && text.chars().count() <= 40 && !text.chars().any(unseen) {
        return Ok(());
    }
    let shown = seen(text, 40);
    Err(Refusal::new(
        format!("'{shown}' is no label"),
        "write up to 40 letters and figures, such as A or 1",
    )
    .in_field(field))
}

/// What a section's files are called.
fn slug(coupon: &str, section: &str) -> String {
    let letter = |c: char| if c.is_alphanumeric() { c } else { '-' };
    format!("{coupon}-{section}").to_lowercase().chars().map(letter).collect()
}

/// The next number of a coupon's cuts that is free, after so many of them.
fn next_cut(coupon: &str, cuts: usize, sections: &[Listed]) -> String {
    let free = |n: &usize| {
        let slug = slug(coupon, &n.to_string());
        !sections.iter().any(|taken| short(&taken.name) == slug)
    };
    (cuts + 1..).find(free).unwrap_or(cuts + 1).to_string()
}

/// Keeps photo and section; beside the section another one that was set on this very photo.
async fn take_in(
    app: &App,
    upload: Upload,
    by: By,
) -> Result<(RecordId, Option<RecordId>), Failed> {
    let Upload { fields, photo } = upload;
    let given = |name: &str| one(&fields, name).to_owned();
    if photo.is_empty() {
        return Err(Refusal::new("no photo came", "choose a picture file")
            .in_field("photo")
            .into());
    }
    let (coupon, section) = (given("coupon"), given("section"));
    label("coupon", &coupon)?;
    if !section.is_empty() {
        label("section", &section)?;
    }
    let open = app.study()?;
    // A joint of the study by its number, or only a kind.
    let asked = given("joint");
    let (of_joint, kind) = match asked.parse() {
        Ok(record) => {
            let joint = found(&open, record, Kind::Joint).await?;
            (Some(joint.record), section_kind(&joint.content.text))
        }
        Err(_) => match KINDS.iter().find(|(word, _)| *word == asked) {
            Some((word, _)) => (None, *word),
            None => {
                let fact = format!("'{asked}' is no kind of joint that is read");
                let advice = "choose a joint of the study, or tee, butt or bead";
                return Err(Refusal::new(fact, advice).in_field("joint").into());
            }
        },
    };
    let photo = Arc::new(photo);
    let bytes = Arc::clone(&photo);
    let decoded = open.decode(move || decoded(&bytes).map_err(|r| r.in_field("photo"))).await?;
    let ending = decoded.photo.format.usual_endings().first().copied().unwrap_or("jpg");
    let (etched, held) = (given("etched") != "no", given("held"));
    let hash = Hash(decoded.hash);
    open.write(move |study| -> Result<_, Unsaved> {
        let (sections, photos) = (study.list(Kind::Section)?, study.list(Kind::Photo)?);
        let coupons = study.list(Kind::Coupon)?;
        let known = coupons.iter().find(|c| c.name == coupon);
        // Found where it is taken: two phones may ask for the next one at once.
        let section = if section.is_empty() {
            let cuts = match known {
                Some(of) => study.count(Kind::Section, Some(of.record))?,
                None => 0,
            };
            next_cut(&coupon, cuts, &sections)
        } else {
            section
        };
        let slug = slug(&coupon, &section);
        let text = to_text(&json!({
            "photo": format!("{slug}.{ending}"),
            "joint": kind,
            "etched": etched,
            "coupon": coupon,
            "section": section,
            "reader": by.author,
            "camera": { "held": Some(held).filter(|h| !h.is_empty()) },
        }))?;
        let (name, photo_name) =
            (format!("sections/{slug}.toml"), format!("sections/{slug}.{ending}"));
        if sections.iter().any(|s| s.name == name) || photos.iter().any(|p| p.name == photo_name) {
            let fact = format!("coupon {coupon} has a section {section} already");
            return Err(Refusal::new(
                fact,
                "give this one another label, or take the other one out",
            )
            .in_field("section")
            .into());
        }
        let parent = match known {
            Some(known) => {
                let welded =
                    known.parent.filter(|_| of_joint.is_some_and(|j| known.parent != Some(j)));
                if let Some(other) = welded {
                    let fact = format!(
                        "coupon {coupon} was welded as {}",
                        study.last(other)?.content.name
                    );
                    return Err(Refusal::new(
                        fact,
                        "choose that joint, or give the coupon another label",
                    )
                    .in_field("joint")
                    .into());
                }
                // A coupon that nobody said the joint of is what its sections are.
                let first = Part {
                    kind: Kind::Section,
                    under: Some(known.record),
                    newest_first: false,
                    skip: 0,
                    most: 1,
                };
                if let Some(other) = study.part(&first)?.first() {
                    let there = section_kind(&study.last(other.record)?.content.text);
                    if there != kind {
                        return Err(Refusal::new(
                            format!("coupon {coupon} has {there} sections, and this one would be a {kind}"),
                            "choose the joint that the coupon was welded as, or give this one another label",
                        )
                        .in_field("joint")
                        .into());
                    }
                }
                known.record
            }
            None => {
                let put = Put { of: None, name: &coupon, parent: of_joint, text: "" };
                study.put(Kind::Coupon, &put, &by)?.record
            }
        };
        let twin = sections.iter().find(|s| s.photo == Some(hash)).map(|s| s.record);
        study.put_decoded(&Put::new(&photo_name, "").under(parent), &photo, &decoded, &by)?;
        Ok((study.put_section(&Put::new(&name, &text).under(parent), &by)?.record, twin))
    })
    .await
}

async fn section_of(open: &Arc<Open>, id: i64) -> Result<(Revision, Hash), Failed> {
    let section = found(open, id, Kind::Section).await?;
    let photo = section.content.photo.ok_or_else(|| Failed::not_there("photo of this section"))?;
    Ok((section, photo))
}

/// The desk: the photo, and everything that is marked on it. `twin`: another section that was set on this very photo.
pub(crate) async fn desk(
    State(app): State<App>,
    headers: HeaderMap,
    Path(id): Path<i64>,
    Query(asked): Query<Posted>,
) -> Result<Markup, Failed> {
    let about = sheet::about(&app, &headers).await?;
    let open = app.study()?;
    let (section, photo) = section_of(&open, id).await?;
    let sight = open.sight(photo).await?;
    let (width, height) = (sight.decoded.photo.width, sight.decoded.photo.height);
    let of = section.clone();
    let joint = open.look(move |study| study.joint_of(&of)).await?;
    let twin = match one(&asked, "twin").parse() {
        Ok(twin) => Some(found(&open, twin, Kind::Section).await?.content.name),
        Err(_) => None,
    };
    let both = joint.and_then(|(_, joint)| joint.both_sides()).map(|both| both.to_string());
    let content = &section.content;
    let marks = to_json(&content.name, &content.text)?;
    let head = html! {
        link rel="stylesheet" href="/static/desk.css";
        script type="module" src="/static/desk.js" {}
    };
    // A text that ends the script must not end it here.
    let marks = marks.to_string().replace("</", "<\\/");
    Ok(sheet::wide(
        &about,
        short(&content.name),
        "read",
        &head,
        &html! {
            main #desk data-section=(id) data-name=(content.name) data-revision=(section.number)
                data-author=(about.who) data-photo=(photo) data-width=(width) data-height=(height)
                data-levels=(tile_levels(width, height)) data-both=[both] data-twin=[twin.as_deref().map(short)] {
                script type="application/json" id="marks" { (PreEscaped(marks)) }
                noscript {
                    div.sheet {
                        p { "Without JavaScript the marks are written as text." }
                        p { a href={ "/section/" (id) "/text" } { "Write them" } }
                    }
                }
            }
        },
    ))
}

/// The marks as text, for those who write rather than point.
pub(crate) async fn text_page(
    State(app): State<App>,
    headers: HeaderMap,
    Path(id): Path<i64>,
) -> Result<Markup, Failed> {
    let open = app.study()?;
    let (section, photo) = section_of(&open, id).await?;
    let text = section.content.text.clone();
    text_form(&app, &headers, &section, photo, &text, None).await
}

async fn text_form(
    app: &App,
    headers: &HeaderMap,
    section: &Revision,
    photo: Hash,
    text: &str,
    refused: Option<&Refusal>,
) -> Result<Markup, Failed> {
    let about = sheet::about(app, headers).await?;
    let open = app.study()?;
    let name = section.content.name.clone();
    let sight = open.sight(photo).await?;
    let (of, marks) = (name.clone(), text.to_owned());
    let revision = section.clone();
    let joint = open.look(move |study| study.joint_of(&revision)).await?;
    let read = open.heavy(move |_| Study::read_marks(&of, &marks, &sight.decoded)).await;
    Ok(sheet::page(
        &about,
        &name,
        "read",
        &html! {
            h1 { (name) }
            p { a href={ "/section/" (section.record.0) } { "Mark it on the photo" } " · " a href={ "/photo/" (photo) } { "the photo" } " · " a href={ "/record/" (section.record.0) "/history" } { "history" } }
            @match &read {
                Err(failed) => (told(&failed.refusal())),
                Ok(done) => (readings(done, plate(done, joint.as_ref()))),
            }
            @if let Some(refused) = refused { (told(refused)) }
            form method="post" {
                (from(section.number))
                div.field { label for="text" { "Marks, in pixels: x to the right, y down" } textarea.text id="text" name="text" rows="30" spellcheck="false" { (text) } }
                button.act { "Save and read" }
            }
        },
    ))
}

/// The plate that the section's joint knows the thickness of, as it is seen, and the words for it.
fn plate(done: &Done, joint: Option<&(String, AskedJoint)>) -> Option<(PlateSeen, String)> {
    let (name, joint) = joint?;
    let seen = PlateSeen::of(&done.read, &done.asked.marks, &joint.joint)?;
    Some((seen, seen.words(name)))
}

/// What was read, as sentences and a table; the plate's check of the scale stands under the throat.
fn readings(done: &Done, plate: Option<(PlateSeen, String)>) -> Markup {
    html! {
        @for sentence in says::verdicts(done) { p.verdict { (sentence) } }
        @if let Some((seen, words)) = plate { @if seen.differs() { p.caution { (words) } } @else { p.faint { (words) } } }
        table {
            tr { th { "weld" } th { "reading" } th { "value" } th { "u" } th { "95 %" } th { "mostly by" } }
            @for line in says::lines(done) {
                tr { td { (line.weld) } td { (line.words) } td.num { (line.value) } td.num { (line.u) } td.num { (line.within) } td { (line.mostly) } }
            }
        }
        @for remark in &done.out.remarks { p.faint { (remark) } }
        p.faint { "A macro section does not show microcracks. Static strength only; u is one standard uncertainty." }
    }
}

/// Keeps the marks as text.
pub(crate) async fn save_text(
    State(app): State<App>,
    headers: HeaderMap,
    Path(id): Path<i64>,
    Form(posted): Form<Posted>,
) -> Result<Response, Failed> {
    let open = app.study()?;
    let (section, photo) = section_of(&open, id).await?;
    let number = from_of(&posted)?;
    let by = by(&app, &headers, &posted)?;
    let marks = text(&posted, "text");
    let saved = keep(&open, &section, number, marks.clone(), by).await;
    let then = |_| Redirect::to(&format!("/section/{id}/text"));
    saved_or(saved, then, async |refusal| {
        text_form(&app, &headers, &section, photo, &marks, Some(&refusal)).await
    })
    .await
}

/// Saves a section, and keeps what is read from it once something is.
async fn keep(
    open: &Arc<Open>,
    section: &Revision,
    number: i64,
    text: String,
    by: By,
) -> Result<Revision, Failed> {
    let author = by.author.clone();
    let saved = keep_next(open, section, number, text, by).await?;
    let (open, revision) = (Arc::clone(open), saved.clone());
    // What is read is kept after the answer: the person need not wait for it.
    tokio::spawn(async move {
        let Some(photo) = revision.content.photo else { return };
        let Ok(sight) = open.sight(photo).await else { return };
        let (record, number, content) =
            (revision.record, revision.number, revision.content.clone());
        let read = open
            .heavy(move |open| {
                // Saved again meanwhile: that revision is read, and this one by nobody.
                if open.look_now(|study| study.last(record))?.number != number {
                    return Ok(None);
                }
                Study::read_marks(&content.name, &content.text, &sight.decoded).map(Some)
            })
            .await;
        if let Ok(Some(done)) = read {
            let by = By::now(author);
            drop(open.write(move |study| study.keep_reading(&revision, &done, &by)).await);
        }
    });
    Ok(saved)
}

/// Marks that are to be saved.
#[derive(Debug, Deserialize)]
pub(crate) struct Saving {
    from: i64,
    marks: Value,
    #[serde(default)]
    reason: String,
}

/// Keeps the marks.
pub(crate) async fn save(
    State(app): State<App>,
    headers: HeaderMap,
    Path(id): Path<i64>,
    Json(saving): Json<Saving>,
) -> Result<Json<Value>, Told> {
    let open = app.study()?;
    let (section, _) = section_of(&open, id).await?;
    // A mark that nobody gave a label has none; one that was given has to be one.
    for field in ["coupon", "section", "scale_id", "reading", "reader"] {
        if let Some(text) = saving.marks[field].as_str() {
            label(field, text)?;
        }
    }
    let text = to_text(&saving.marks)?;
    let reason = vec![("reason".to_owned(), saving.reason)];
    let by = by(&app, &headers, &reason)?;
    let saved = keep(&open, &section, saving.from, text, by).await?;
    Ok(Json(json!({ "revision": saved.number, "saved": saved.stamp.time })))
}

/// Reads marks that are not saved.
pub(crate) async fn read(
    State(app): State<App>,
    Path(id): Path<i64>,
    Json(marks): Json<Value>,
) -> Result<Json<Value>, Told> {
    let open = app.study()?;
    let (section, photo) = section_of(&open, id).await?;
    let text = to_text(&marks)?;
    let of = section.clone();
    let joint = open.look(move |study| study.joint_of(&of)).await?;
    let name = section.content.name;
    // The photo is that of the section, whatever the marks call it.
    photo_of_draft(&name, &text)?;
    let sight = open.sight(photo).await?;
    let done = open
        .heavy(move |_| {
            let done = Study::read_marks(&name, &text, &sight.decoded)?;
            let plate = plate(&done, joint.as_ref());
            Ok(answer(&done, plate))
        })
        .await?;
    Ok(Json(done))
}

/// What a page is told of a reading: sentences, figures as they are printed, and where to draw them.
fn answer(done: &Done, plate: Option<(PlateSeen, String)>) -> Value {
    let lines = says::lines(done);
    let text_of = |weld: &str, reading: &str| {
        let line = lines.iter().find(|l| l.weld == weld && l.reading == reading);
        line.map_or_else(String::new, |l| l.value.clone())
    };
    let dims: Vec<Value> = done
        .dimensions()
        .into_iter()
        .map(|d| {
            json!({
                "weld": d.weld, "reading": d.reading, "text": text_of(d.weld, d.reading),
                "from": d.from, "to": d.to,
            })
        })
        .collect();
    let outlines: Vec<Value> = done
        .out
        .outlines
        .iter()
        .map(|o| {
            let closed = !["crack", "unfused"].contains(&o.kind.as_str());
            json!({ "kind": o.kind, "weld": o.weld, "px": o.px, "closed": closed })
        })
        .collect();
    let absent: Vec<Value> = done
        .out
        .absent
        .iter()
        .map(|(name, why)| {
            let field = name.rsplit('.').next().unwrap_or(name);
            json!({ "words": says::words(field).unwrap_or_else(|| joint_words(name)), "weld": name.split_once('.').map(|(w, _)| w), "why": why })
        })
        .collect();
    // What differs stands under the throat; what agrees is a check that was made.
    let differs = plate.as_ref().filter(|(seen, _)| seen.differs()).map(|(_, words)| words);
    let agrees = plate.as_ref().filter(|(seen, _)| !seen.differs()).map(|(_, words)| words);
    // So does what the faces' own marks say of each other.
    let (open, rest): (Vec<&String>, Vec<&String>) =
        done.out.remarks.iter().partition(|r| r.contains(SAY_WHICH) || r.starts_with("plates"));
    let doubts: Vec<&String> = differs.into_iter().chain(open).collect();
    let remarks: Vec<&String> = agrees.into_iter().chain(rest).collect();
    json!({
        "verdicts": says::verdicts(done),
        "rows": lines,
        "dims": dims,
        "outlines": outlines,
        "beside": done.second_lines(),
        "absent": absent,
        "remarks": remarks,
        "doubts": doubts,
        "mm_per_px": done.out.mm_per_px,
        "refused": done.refused(),
    })
}

//! `study`: what is in it, who wrote it, and is it as it was saved?

use super::record::address;
use crate::app::App;
use crate::failed::{Failed, told};
use crate::form::{Posted, one};
use crate::job::{File, Made, download};
use crate::leaf::Leaf;
use crate::sheet;
use axum::Form;
use axum::extract::{Query, State};
use axum::http::HeaderMap;
use axum::response::{IntoResponse, Redirect, Response};
use maud::{Markup, html};
use std::sync::Arc;
use workflow::progress::Quiet;
use workflow::study::{self, Kind};

/// Records that a page lists.
const PAGE: usize = 100;
/// Kinds of which a coupon has several.
const OF_COUPONS: [Kind; 3] = [Kind::Cut, Kind::Photo, Kind::Section];

/// Everything in the study, kind by kind.
pub(crate) async fn page(
    State(app): State<App>,
    headers: HeaderMap,
    Query(asked): Query<Posted>,
) -> Result<Markup, Failed> {
    let about = sheet::about(&app, &headers).await?;
    let kind = Kind::from_word(one(&asked, "kind"));
    let mut leaf = Leaf::asked(&asked, PAGE);
    let (counts, coupons, listed, now) = app
        .study()?
        .look(move |study| {
            let counts = study.counts()?;
            let now = study.head()?.to_string();
            let Some(kind) = kind else { return Ok((counts, Vec::new(), None, now)) };
            let coupons =
                if OF_COUPONS.contains(&kind) { study.list(Kind::Coupon)? } else { Vec::new() };
            let (total, listed) = leaf.look_up(study, kind)?;
            Ok((counts, coupons, Some((kind, leaf, total, listed)), now))
        })
        .await?;
    Ok(sheet::page(
        &about,
        "Study",
        "study",
        &html! {
            h1 { "Study" }
            p { "One file, " code { (about.file) } ". Nothing in it is overwritten; each revision is hashed with the one before it. Papers print the head that they rest on." }
            p { "Head now: " b.hex { (now) } @if now != about.head { " (papers and readings rest on " span.hex { (about.head) } ")" } }
            div.columns {
                section {
                    h2 { "What is in it" }
                    table {
                        @for of in Kind::ALL {
                            tr { th scope="row" { a href={ "/study?kind=" (of.word()) } { (of.word()) } } td.num { (counts.get(&of).unwrap_or(&0)) } }
                        }
                    }
                    p {
                        a href="/record/coupon/new" { "New coupon" } " · " a href="/record/setting/new" { "new setting" } " · "
                        a href="/record/1" { "title and customer" }
                    }
                }
                section {
                    h2 { "Is it as it was saved?" }
                    form method="post" action="/study/check" {
                        div.field { label for="head" { "A head printed on a paper (may stay blank)" } input id="head" name="head" placeholder="0123456789abcdef-57"; }
                        button { "Check every entry" }
                    }
                    p.faint { "A chain that somebody wrote anew from beginning to end fits in itself: it shows only against a head on a paper or a kept copy." }
                    h2 { "Take along" }
                    ul {
                        li { a href="/study/readings.csv" { "readings as a table (CSV)" } }
                        li { a href="/study/readings.xlsx" { "readings as a spreadsheet (XLSX)" } }
                        li { form.inline method="post" action="/study/backup" { button { "a copy of the whole study" } } }
                    }
                }
            }
            @if let Some((kind, leaf, total, listed)) = &listed {
                h2 #list { (kind.word()) }
                (leaf.choice(*total, &coupons, "/study#list", &[("kind", kind.word())]))
                table {
                    tr { th { "name" } th { "revision" } th { "by" } th { "when" } th { "why" } }
                    @for l in listed {
                        tr { td { a href=(address(*kind, l.record)) { (l.name) } } td.num { (l.number) } td { (l.stamp.author) } td { (l.stamp.time) } td { (l.stamp.reason) } }
                    }
                }
                (leaf.links(*total, &format!("/study?kind={}&", kind.word()), "#list"))
            }
        },
    ))
}

/// Checks every row and photo.
pub(crate) async fn check(
    State(app): State<App>,
    headers: HeaderMap,
    Form(posted): Form<Posted>,
) -> Result<Markup, Failed> {
    let about = sheet::about(&app, &headers).await?;
    let open = app.study()?;
    let head = Some(one(&posted, "head").to_owned()).filter(|h| !h.is_empty());
    let out = open.heavy(move |open| study::check(open.path(), head.as_deref(), &Quiet)).await;
    Ok(sheet::page(
        &about,
        "Check",
        "study",
        &html! {
            h1 { "Is the study as it was saved?" }
            @match &out {
                Err(failed) => (told(&failed.refusal())),
                Ok(out) => {
                    p.verdict { (out.sentence) }
                    @if !out.faults.is_empty() { ul { @for fault in &out.faults { li { (fault) } } } }
                    @if let Some(next) = &out.next { p { "Next: " (next) "." } }
                    table {
                        tr { th scope="row" { "head" } td.hex { (out.head) } }
                        tr { th scope="row" { "entries" } td.num { (out.entries) } }
                        tr { th scope="row" { "records" } td.num { (out.records) } }
                        tr { th scope="row" { "photos" } td.num { (out.photos) } }
                    }
                }
            }
            p { a href="/study" { "Back" } }
        },
    ))
}

/// A copy of the study, to take along.
pub(crate) async fn backup(State(app): State<App>) -> Result<Redirect, Failed> {
    let open = app.study()?;
    Ok(app.jobs.start("A copy of the study", "/study", move |job| {
        let stem = open.path().file_stem().map_or_else(|| "study".into(), |s| s.to_string_lossy());
        let name = format!("{stem}-copy.{}", study::ENDING);
        let to = open.path().with_file_name(format!(".{name}.{}", std::process::id()));
        let to = to.with_extension(study::ENDING);
        let made = open.look_now(|study| {
            let head = study.backup(&to, job)?;
            let bytes = std::fs::read(&to).map_err(|e| {
                workflow::refusal::Refusal::new(
                    format!("the copy cannot be read: {e}"),
                    "copy it on the machine that runs the bench: seamproof study backup",
                )
            })?;
            Ok((head, bytes))
        });
        drop(std::fs::remove_file(&to));
        let (head, bytes) = made?;
        let words = format!("The study up to head {head}.");
        let mime = "application/octet-stream";
        Ok(Made::File(Arc::new(File { name, mime, bytes, words, back: "/study".to_owned() })))
    }))
}

/// The readings as a table.
pub(crate) async fn readings_csv(State(app): State<App>) -> Result<Response, Failed> {
    let bytes = app.study()?.look(study::readings_csv).await?;
    Ok(download("readings.csv", "text/csv; charset=utf-8", bytes).into_response())
}

/// The readings as a spreadsheet.
pub(crate) async fn readings_xlsx(State(app): State<App>) -> Result<Response, Failed> {
    let bytes = app.study()?.look(study::readings_xlsx).await?;
    let mime = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet";
    Ok(download("readings.xlsx", mime, bytes).into_response())
}

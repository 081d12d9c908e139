//! A photo for a page: its tiles, the ways along its lines, outlines that it might have.

use crate::app::App;
use crate::failed::{Failed, Told};
use crate::form::{Posted, one};
use crate::keep::Open;
use axum::Json;
use axum::extract::{Path, Query, State};
use axum::http::header;
use axum::response::{IntoResponse, Response};
use serde::Deserialize;
use serde_json::{Value, json};
use std::collections::BTreeMap;
use workflow::propose::Proposed;
use workflow::refusal::Refusal;
use workflow::study::Hash;
use workflow::wire::PlatesOut;

/// What is named by its content never changes.
const FOREVER: &str = "private, max-age=31536000, immutable";

pub(crate) fn hash(text: &str) -> Result<Hash, Failed> {
    text.parse().map_err(|()| Failed::not_there("such photo"))
}

/// The photo as it was taken in.
pub(crate) async fn photo(
    State(app): State<App>,
    Path(name): Path<String>,
) -> Result<Response, Failed> {
    let photo = hash(&name)?;
    let bytes = app.study()?.look(move |study| Ok(study.photo(photo).ok())).await?;
    let bytes = bytes.ok_or_else(|| Failed::not_there("such photo"))?;
    let kind = match bytes.as_slice() {
        [0xff, 0xd8, ..] => "image/jpeg",
        [0x89, b'P', ..] => "image/png",
        [b'R', b'I', b'F', b'F', ..] => "image/webp",
        _ => "image/tiff",
    };
    Ok(([(header::CONTENT_TYPE, kind), (header::CACHE_CONTROL, FOREVER)], bytes).into_response())
}

/// One tile.
pub(crate) async fn tile(
    State(app): State<App>,
    Path((name, level, x, y)): Path<(String, u32, u32, u32)>,
    Query(asked): Query<Posted>,
) -> Result<Response, Failed> {
    let local = one(&asked, "view") == "local";
    let tile = app.study()?.tile(hash(&name)?, local, [level, x, y]).await?;
    let tile = tile.ok_or_else(|| Failed::not_there("such tile"))?;
    let headers = [(header::CONTENT_TYPE, "image/jpeg"), (header::CACHE_CONTROL, FOREVER)];
    Ok((headers, tile).into_response())
}

/// A place on a photo.
#[derive(Clone, Copy, Debug, Deserialize)]
pub(crate) struct Place {
    x: f64,
    y: f64,
    #[serde(default)]
    reach: f64,
}

/// The ways along visible lines to a set point.
pub(crate) async fn path(
    State(app): State<App>,
    Path(name): Path<String>,
    Query(place): Query<Place>,
) -> Result<Response, Told> {
    let open = app.study()?;
    let sight = open.sight(hash(&name)?).await?;
    let ways = open.heavy(move |_| sight.ways([place.x, place.y], place.reach)).await?;
    let headers = [
        (header::CONTENT_TYPE, "application/octet-stream"),
        (header::CACHE_CONTROL, "private, max-age=600"),
    ];
    Ok((headers, ways).into_response())
}

/// What is asked about plates.
#[derive(Debug, Deserialize)]
pub(crate) struct Plates {
    joint: String,
    #[serde(default)]
    both: bool,
    #[serde(default)]
    rules: Vec<[[f64; 2]; 2]>,
    #[serde(default)]
    marked: Option<BTreeMap<String, Vec<[f64; 2]>>>,
}

/// Plates that the photo might show.
pub(crate) async fn plates(
    State(app): State<App>,
    Path(name): Path<String>,
    Json(asked): Json<Plates>,
) -> Result<Json<PlatesOut>, Told> {
    let open = app.study()?;
    let sight = open.sight(hash(&name)?).await?;
    let work =
        move |_: &Open| sight.plates(&asked.joint, asked.both, &asked.rules, asked.marked.as_ref());
    Ok(Json(open.heavy(work).await?))
}

/// Outlines that the fused zone around a place might have.
pub(crate) async fn inside(
    State(app): State<App>,
    Path(name): Path<String>,
    Json(place): Json<Place>,
) -> Result<Json<Value>, Told> {
    let open = app.study()?;
    let sight = open.sight(hash(&name)?).await?;
    let proposed = open.heavy(move |_| sight.inside("the photo", [place.x, place.y])).await?;
    match proposed {
        Proposed::Outlines { out, .. } => {
            Ok(Json(json!({ "outlines": out.outlines, "caution": out.caution })))
        }
        Proposed::Nothing { sentence, advice } => Err(Refusal::new(sentence, advice).into()),
    }
}

//! What all pages share, and which page is where.

use crate::failed::Failed;
use crate::job::{self, Jobs};
use crate::keep::Open;
use crate::pages::{
    area, choices, claim, compare, expect, home, record, section, sight, start, study,
};
use crate::{sheet, shop};
use axum::Router;
use axum::extract::DefaultBodyLimit;
use axum::http::header::{
    CACHE_CONTROL, CONTENT_SECURITY_POLICY, REFERRER_POLICY, X_CONTENT_TYPE_OPTIONS,
};
use axum::http::{HeaderName, HeaderValue};
use axum::middleware::from_fn_with_state;
use axum::routing::{get, post};
use std::path::PathBuf;
use std::sync::{Arc, PoisonError, RwLock};
use tower_http::catch_panic::CatchPanicLayer;
use tower_http::compression::CompressionLayer;
use tower_http::set_header::SetResponseHeaderLayer;
use workflow::refusal::Refusal;

/// The largest photo that is taken in, and with it the largest request.
pub(crate) const MOST_UPLOAD: usize = 256 << 20;

/// Said of a larger one.
pub(crate) fn too_large() -> Refusal {
    Refusal::new(
        format!("the photo is larger than {} MB", MOST_UPLOAD >> 20),
        "save it as JPEG, or crop it to the weld",
    )
}

/// What all pages share.
pub(crate) struct Bench {
    open: RwLock<Option<Arc<Open>>>,
    pub(crate) jobs: Jobs,
    pub(crate) searched: choices::Searched,
    /// Where studies are looked for and begun.
    pub(crate) folder: PathBuf,
    /// Others on the network may come in, with the pass phrase.
    pub(crate) shop: Option<shop::Door>,
}

/// As pages are given it.
pub(crate) type App = Arc<Bench>;

impl Bench {
    pub(crate) fn new(open: Option<Open>, folder: PathBuf, shop: Option<shop::Door>) -> App {
        Arc::new(Self {
            open: RwLock::new(open.map(Arc::new)),
            jobs: Jobs::default(),
            searched: choices::Searched::default(),
            folder,
            shop,
        })
    }

    /// The open study.
    pub(crate) fn study(&self) -> Result<Arc<Open>, Failed> {
        let open = self.open.read().unwrap_or_else(PoisonError::into_inner);
        open.clone().ok_or(Failed::NoStudy)
    }

    /// Goes on with another study; the one before is closed when nothing uses it any more.
    pub(crate) fn turn_to(&self, open: Open) {
        *self.open.write().unwrap_or_else(PoisonError::into_inner) = Some(Arc::new(open));
    }
}

/// What a page may load and do: its own files, and pictures that it made itself.
const POLICY: &str = "default-src 'self'; img-src 'self' blob: data:; object-src 'none'; base-uri 'none'; frame-ancestors 'none'; form-action 'self'";

/// Every page.
pub(crate) fn router(app: App) -> Router {
    let header = |name: HeaderName, value: &'static str| {
        SetResponseHeaderLayer::if_not_present(name, HeaderValue::from_static(value))
    };
    Router::new()
        .route("/", get(home::page))
        .route("/new", post(home::new))
        .route("/open", post(home::open))
        .route("/demo", post(home::demo))
        .route("/name", get(home::name_page).post(home::name))
        .route("/units", get(home::units))
        .route("/length", get(home::length))
        .route("/start", get(start::list))
        .route("/joint/new", get(start::new_page).post(start::new))
        .route("/joint/{id}", get(start::page).post(start::save))
        .route("/joint/{id}/setting", get(expect::page))
        .route("/joint/{id}/setting/keep", post(expect::keep))
        .route("/joint/{id}/choices", get(choices::page).post(choices::search))
        .route("/compare", get(compare::page))
        .route("/read", get(section::list))
        .route("/section/new", get(section::new_page))
        .route("/section/new", post(section::new).layer(DefaultBodyLimit::max(MOST_UPLOAD)))
        .route("/section/{id}", get(section::desk).put(section::save))
        .route("/section/{id}/text", get(section::text_page).post(section::save_text))
        .route("/section/{id}/read", post(section::read))
        .route("/section/{id}/paper", get(section::paper))
        .route("/photo/{hash}", get(sight::photo))
        .route("/photo/{hash}/tile/{level}/{x}/{y}", get(sight::tile))
        .route("/photo/{hash}/path", get(sight::path))
        .route("/photo/{hash}/inside", post(sight::inside))
        .route("/photo/{hash}/plates", post(sight::plates))
        .route("/claim", get(claim::list))
        .route("/claim/new", get(claim::new_page).post(claim::new))
        .route("/claim/{id}", get(claim::page).post(claim::save))
        .route("/claim/{id}/work", post(claim::work))
        .route("/claim/{id}/report", post(claim::report))
        .route("/claim/{id}/chart.svg", get(claim::chart_svg))
        .route("/claim/{id}/chart.png", get(claim::chart_png))
        .route("/write", get(claim::papers))
        .route("/area", get(area::page).post(area::work))
        .route("/area/plan", post(area::plan_of))
        .route("/area/sign", post(area::sign))
        .route("/study", get(study::page))
        .route("/study/check", post(study::check))
        .route("/study/backup", post(study::backup))
        .route("/study/readings.csv", get(study::readings_csv))
        .route("/study/readings.xlsx", get(study::readings_xlsx))
        .route("/record/{kind}/new", get(record::new_page).post(record::new))
        .route("/record/{id}", get(record::page).post(record::save))
        .route("/record/{id}/history", get(record::history))
        .route("/record/{id}/back", post(record::back))
        .route("/record/{id}/out", post(record::out))
        .route("/job/{id}", get(job::page))
        .route("/job/{id}/events", get(job::events))
        .route("/job/{id}/file", get(job::file))
        .route("/job/{id}/stop", post(job::stop))
        .route("/shop", get(shop::page))
        .route("/shop/revoke", post(shop::revoke))
        .route("/log-in", get(shop::log_in_page).post(shop::log_in))
        .route("/log-out", post(shop::log_out))
        .route("/static/{name}", get(sheet::file))
        .fallback(sheet::nothing_here)
        .layer(from_fn_with_state(Arc::clone(&app), shop::guard))
        .layer(header(CONTENT_SECURITY_POLICY, POLICY))
        .layer(header(X_CONTENT_TYPE_OPTIONS, "nosniff"))
        .layer(header(REFERRER_POLICY, "same-origin"))
        .layer(header(CACHE_CONTROL, "no-store"))
        .layer(CompressionLayer::new())
        .layer(CatchPanicLayer::new())
        .with_state(app)
}

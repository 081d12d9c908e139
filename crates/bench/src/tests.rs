//! The pages, asked directly: no port, no browser.

use crate::app::{App, Bench, router};
use crate::keep::Open;
use crate::shop::Door;
use axum::Router;
use axum::body::{Body, Bytes};
use axum::extract::connect_info::MockConnectInfo;
use axum::http::{HeaderMap, Request, StatusCode, header};
use http_body_util::BodyExt;
use serde_json::{Value, json};
use std::net::SocketAddr;
use std::path::{Path, PathBuf};
use std::sync::LazyLock;
use std::time::Duration;
use tempfile::TempDir;
use tower::ServiceExt;
use workflow::study::Kind;
use workflow::wire::marks_json::to_json;

mod area;
mod start;

/// The demo's folder, made once: photos, reading files, and the study of the same.
static DEMO: LazyLock<TempDir> = LazyLock::new(|| {
    let dir = tempfile::tempdir().unwrap();
    workflow::demo::demo(&dir.path().join("demo"), 1).unwrap();
    dir
});

fn demo() -> PathBuf {
    DEMO.path().join("demo")
}

/// A bench of its own, on a copy of the demo's study.
struct Bed {
    dir: TempDir,
    app: App,
    router: Router,
}

impl Bed {
    fn of(study: Option<&Path>, shop: Option<Door>) -> Self {
        let dir = tempfile::tempdir().unwrap();
        let open = study.map(|from| {
            let to = dir.path().join("a.seam");
            std::fs::copy(from, &to).unwrap();
            Open::file(&to).unwrap()
        });
        let app = Bench::new(open, dir.path().to_path_buf(), shop);
        let from = MockConnectInfo(SocketAddr::from(([127, 0, 0, 1], 40_000)));
        let router = router(App::clone(&app)).layer(from);
        Self { dir, app, router }
    }

    fn demo() -> Self {
        Self::of(Some(&demo().join("demo.seam")), None)
    }

    async fn send(&self, request: Request<Body>) -> (StatusCode, HeaderMap, Bytes) {
        let answer = self.router.clone().oneshot(request).await.unwrap();
        let (parts, body) = answer.into_parts();
        (parts.status, parts.headers, body.collect().await.unwrap().to_bytes())
    }

    async fn get(&self, path: &str) -> (StatusCode, String) {
        let (status, _, body) = self.send(ask("GET", path).body(Body::empty()).unwrap()).await;
        (status, String::from_utf8_lossy(&body).into_owned())
    }

    async fn form(&self, path: &str, fields: &[(&str, &str)]) -> (StatusCode, HeaderMap, String) {
        let body: Vec<String> =
            fields.iter().map(|(n, v)| format!("{}={}", encoded(n), encoded(v))).collect();
        let request = ask("POST", path)
            .header(header::CONTENT_TYPE, "application/x-www-form-urlencoded")
            .body(Body::from(body.join("&")))
            .unwrap();
        let (status, headers, body) = self.send(request).await;
        (status, headers, String::from_utf8_lossy(&body).into_owned())
    }

    async fn json(&self, method: &str, path: &str, value: &Value) -> (StatusCode, Value) {
        let request = ask(method, path)
            .header(header::CONTENT_TYPE, "application/json")
            .body(Body::from(value.to_string()))
            .unwrap();
        let (status, _, body) = self.send(request).await;
        (status, serde_json::from_slice(&body).unwrap_or(Value::Null))
    }

    async fn upload(
        &self,
        fields: &[(&str, &str)],
        name: &str,
        photo: &[u8],
    ) -> (StatusCode, HeaderMap, String) {
        let mut body = Vec::new();
        for (field, value) in fields {
            body.extend(
                format!(
                    "--cut\r\nContent-Disposition: form-data; name=\"{field}\"\r\n\r\n{value}\r\n"
                )
                .bytes(),
            );
        }
        body.extend(
            format!("--cut\r\nContent-Disposition: form-data; name=\"photo\"; filename=\"{name}\"\r\nContent-Type: image/jpeg\r\n\r\n")
                .bytes(),
        );
        body.extend(photo);
        body.extend(b"\r\n--cut--\r\n");
        let request = ask("POST", "/section/new")
            .header(header::CONTENT_TYPE, "multipart/form-data; boundary=cut")
            .body(Body::from(body))
            .unwrap();
        let (status, headers, body) = self.send(request).await;
        (status, headers, String::from_utf8_lossy(&body).into_owned())
    }

    /// Follows a job to its end, and answers the page that it ends with.
    async fn follow(&self, headers: &HeaderMap) -> String {
        let job = headers[header::LOCATION].to_str().unwrap().to_owned();
        for _ in 0..6000 {
            let (status, headers, body) =
                self.send(ask("GET", &job).body(Body::empty()).unwrap()).await;
            if let Some(to) = headers.get(header::LOCATION) {
                return to.to_str().unwrap().to_owned();
            }
            assert_eq!(status, StatusCode::OK);
            let text = String::from_utf8_lossy(&body);
            if !text.contains("id=\"bar\"") {
                return if text.contains("download=") { job + "/file" } else { text.into_owned() };
            }
            tokio::time::sleep(Duration::from_millis(50)).await;
        }
        panic!("{job} does not end");
    }

    async fn id(&self, kind: Kind, name: &str) -> i64 {
        let name = name.to_owned();
        let open = self.app.study().unwrap();
        open.look(move |study| study.named(kind, &name)).await.unwrap().record.0
    }

    async fn count(&self) -> usize {
        let open = self.app.study().unwrap();
        let count = open
            .look(|study| Kind::ALL.into_iter().map(|k| study.list(k).map(|l| l.len())).sum())
            .await;
        count.unwrap()
    }
}

fn ask(method: &str, path: &str) -> axum::http::request::Builder {
    // The name that the browser keeps, 'R. Tan' in hex.
    Request::builder()
        .method(method)
        .uri(path)
        .header(header::HOST, "127.0.0.1:7380")
        .header(header::ACCEPT, "text/html")
        .header(header::COOKIE, "seamproof-name=522e2054616e")
}

/// A page's text as a person reads it.
fn plain(page: &str) -> String {
    page.replace("&lt;", "<")
        .replace("&gt;", ">")
        .replace("&quot;", "\"")
        .replace("&#39;", "'")
        .replace("&amp;", "&")
}

/// What a page says was wrong.
fn told(page: &str) -> String {
    let told = page.split("class=\"told\"").nth(1).unwrap_or_default();
    plain(told.split("</div>").next().unwrap_or_default())
}

fn encoded(text: &str) -> String {
    text.bytes()
        .map(
            |b| {
                if b.is_ascii_alphanumeric() {
                    (b as char).to_string()
                } else {
                    format!("%{b:02X}")
                }
            },
        )
        .collect()
}

#[tokio::test(flavor = "multi_thread")]
async fn without_a_study_the_bench_offers_one_and_begins_it() {
    let bed = Bed::of(None, None);
    let (status, page) = bed.get("/").await;
    assert_eq!(status, StatusCode::OK);
    assert!(page.contains("Begin a study") && page.contains("Make the demo study"));
    let (status, _, page) = bed.form("/new", &[("title", ""), ("author", "R. Tan")]).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.contains("the study has no title"), "{page}");
    let (status, headers, _) =
        bed.form("/new", &[("title", "Bracket / 7"), ("author", "R. Tan")]).await;
    assert_eq!((status, headers[header::LOCATION].to_str().unwrap()), (StatusCode::SEE_OTHER, "/"));
    assert!(bed.dir.path().join("bracket-7.seam").exists());
    let (_, page) = bed.get("/").await;
    assert!(page.contains("First say what the joint is"), "{page}");
}

#[tokio::test(flavor = "multi_thread")]
async fn a_section_is_read_as_the_command_line_reads_its_file() {
    let bed = Bed::demo();
    let file = demo().join("photos/a1.toml");
    let done = workflow::read::read(&file).unwrap();
    let id = bed.id(Kind::Section, "photos/a1.toml").await;
    let marks = to_json("a1", &std::fs::read_to_string(&file).unwrap()).unwrap();
    let (status, read) = bed.json("POST", &format!("/section/{id}/read"), &marks).await;
    assert_eq!(status, StatusCode::OK);
    assert_eq!(read["verdicts"], json!(workflow::read::says::verdicts(&done)));
    assert_eq!(read["rows"], json!(workflow::read::says::lines(&done)));
    assert!(read["dims"].as_array().unwrap().iter().any(|d| d["reading"] == "effective_throat_mm"));
    // The dimension's ends lie on the photo where the section has them.
    let throat = &read["dims"].as_array().unwrap()[0];
    assert!(throat["from"][0].as_f64().is_some_and(|x| x > 0.0 && x < 1280.0));
}

#[tokio::test(flavor = "multi_thread")]
async fn every_page_of_the_demo_opens() {
    let bed = Bed::demo();
    let joint = bed.id(Kind::Joint, "joint.toml").await;
    let claim = bed.id(Kind::Claim, "claim.toml").await;
    let section = bed.id(Kind::Section, "photos/a1.toml").await;
    let coupon = bed.id(Kind::Coupon, "A").await;
    for (path, says) in [
        ("/".to_owned(), "demo.seam".replace("demo", "a")),
        ("/start".to_owned(), "Each weld needs an effective throat of".to_owned()),
        (format!("/joint/{joint}"), "EN 1993-1-8".to_owned()),
        ("/joint/new".to_owned(), "Kind of joint".to_owned()),
        (
            format!("/joint/{joint}/setting"),
            "What should this setting make of the joint?".to_owned(),
        ),
        (format!("/joint/{joint}/choices"), "three hundred looked at closely".to_owned()),
        ("/compare".to_owned(), "laser.toml".to_owned()),
        ("/read".to_owned(), "effective throat".to_owned()),
        ("/section/new".to_owned(), "capture=\"environment\"".to_owned()),
        (format!("/section/{section}"), "desk.js".to_owned()),
        (format!("/section/{section}/text"), "Effective throat of the right weld".to_owned()),
        ("/claim".to_owned(), "Work it out".to_owned()),
        ("/claim/new".to_owned(), "question".to_owned()),
        (format!("/claim/{claim}"), "Work it out".to_owned()),
        ("/write".to_owned(), "Report of claim.toml".to_owned()),
        ("/area".to_owned(), "class 4".to_owned()),
        ("/study?kind=section".to_owned(), "photos/a1.toml".to_owned()),
        (format!("/record/{coupon}"), "welded by".to_owned()),
        (format!("/record/{section}/history"), "Revision 1".to_owned()),
        ("/record/coupon/new".to_owned(), "label on the piece".to_owned()),
        ("/shop".to_owned(), "--shop".to_owned()),
        ("/units?text=5%2F16+in".to_owned(), "7.9375 mm".to_owned()),
        ("/static/sheet.css".to_owned(), "drawing sheet".to_owned()),
    ] {
        let (status, page) = bed.get(&path).await;
        assert_eq!(status, StatusCode::OK, "{path}: {page}");
        assert!(page.contains(&says), "{path} lacks '{says}':\n{page}");
        if page.contains("<html") && path != "/units?text=5%2F16+in" {
            assert!(
                page.contains("invented data"),
                "{path} does not say that the data are invented"
            );
        }
    }
    for path in [
        "/joint/999",
        "/joint/999/setting",
        "/joint/999/choices",
        "/compare?joint=999",
        "/section/999",
        "/claim/999",
        "/record/999",
        "/job/7",
        "/nothing",
        "/photo/12/tile/0/0/0",
        "/static/x.js",
    ] {
        let (status, page) = bed.get(path).await;
        assert_eq!(status, StatusCode::NOT_FOUND, "{path}: {page}");
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn the_claim_and_its_report_say_what_the_files_do() {
    let bed = Bed::demo();
    let quiet = workflow::progress::Quiet;
    let claimed =
        workflow::claim::file::claim_file(&demo().join("claim.toml"), true, &quiet).unwrap();
    let workflow::claim::Answer::Claim(out) = claimed.worked.answer(&claimed.file.asked) else {
        panic!("the demo claims");
    };
    let id = bed.id(Kind::Claim, "claim.toml").await;
    let (_, headers, _) = bed.form(&format!("/claim/{id}/work"), &[]).await;
    let page = bed.follow(&headers).await;
    assert_eq!(page, format!("/claim/{id}"));
    let (_, page) = bed.get(&page).await;
    assert!(page.contains(&maud::html! { (out.sentence) }.into_string()), "{page}");
    // Its figure goes by the trade's word, not by the file's field.
    assert!(page.contains("claim (effective throat)"), "{page}");
    for [_, figure] in workflow::claim::says::rows(&out, claimed.file.asked.units) {
        assert!(page.contains(&figure), "{figure}");
    }
    let (status, svg) = bed.get(&format!("/claim/{id}/chart.svg")).await;
    assert!(status == StatusCode::OK && svg.starts_with("<svg"));
    let (_, headers, _) = bed.form(&format!("/claim/{id}/report"), &[]).await;
    let file = bed.follow(&headers).await;
    let (status, _, pdf) = bed.send(ask("GET", &file).body(Body::empty()).unwrap()).await;
    assert_eq!(status, StatusCode::OK);
    assert!(pdf.starts_with(b"%PDF-") && pdf.len() > 100_000, "{} bytes", pdf.len());
    let (_, page) = bed.get("/write").await;
    assert!(page.contains("report of claim.toml"), "{page}");
}

#[tokio::test(flavor = "multi_thread")]
async fn marks_are_kept_half_set_and_a_stale_edit_loses_nothing() {
    let bed = Bed::demo();
    let photo = std::fs::read(demo().join("photos/a1.jpg")).unwrap();
    let fields =
        [("coupon", "N"), ("section", "1"), ("joint", "tee"), ("etched", "yes"), ("held", "stand")];
    let (status, headers, page) = bed.upload(&fields, "x.jpg", &photo).await;
    assert_eq!(status, StatusCode::SEE_OTHER, "{page}");
    // The demo's own section was set on this very photo.
    let (at, twin) = headers[header::LOCATION].to_str().unwrap().split_once('?').unwrap();
    let (_, page) = bed.get(&format!("{at}?{twin}")).await;
    assert!(page.contains("data-twin=\"a1\"") && page.contains("data-both=\"true\""), "{page}");
    let marks = json!({
        "photo": "n-1.jpg", "joint": "tee", "etched": true, "coupon": "N", "section": "1",
        "plates": { "base": [[978.9, 315.5], [1272.0, 311.7]] },
    });
    let (status, read) = bed.json("POST", &format!("{at}/read"), &marks).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(read["fact"].as_str().unwrap().contains("no [[scale]] is given"), "{read}");
    let (status, saved) = bed.json("PUT", at, &json!({ "from": 1, "marks": marks })).await;
    assert_eq!((status, &saved["revision"]), (StatusCode::OK, &json!(2)), "{saved}");
    let mut mine = marks.clone();
    mine["reader"] = "me".into();
    let (status, told) = bed.json("PUT", at, &json!({ "from": 1, "marks": mine })).await;
    assert_eq!(status, StatusCode::CONFLICT);
    assert_eq!(told["theirs"]["revision"], 2);
    assert_eq!(told["theirs"]["author"], "R. Tan");
    assert_eq!(told["theirs"]["marks"]["plates"], marks["plates"]);
    // A label that no photo is taken in with is none here either.
    for label in ["", " ", "a\nb", &"x".repeat(41)] {
        let mut named = mine.clone();
        named["section"] = label.into();
        let (status, told) = bed.json("PUT", at, &json!({ "from": 2, "marks": named })).await;
        assert_eq!((status, &told["field"]), (StatusCode::UNPROCESSABLE_ENTITY, &json!("section")));
    }
    // What is no marks at all is told in words for whoever sits at the page.
    for (body, kind) in
        [("{\"from\":", "application/json"), ("{}", "application/json"), ("x", "text/plain")]
    {
        let request = ask("PUT", at).header(header::CONTENT_TYPE, kind).body(Body::from(body));
        let (status, _, told) = bed.send(request.unwrap()).await;
        let told: Value = serde_json::from_slice(&told).unwrap();
        assert!(status.is_client_error(), "{status}");
        assert!(
            told["fact"].as_str().unwrap().starts_with("what was sent cannot be read"),
            "{told}"
        );
    }
    // Over theirs, knowingly.
    let (status, _) = bed.json("PUT", at, &json!({ "from": 2, "marks": mine })).await;
    assert_eq!(status, StatusCode::OK);
    // The same label again is told, and nothing is stored.
    let before = bed.count().await;
    let (status, _, page) = bed.upload(&fields, "x.jpg", &photo).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.contains("coupon N has a section 1 already"), "{page}");
    assert_eq!(bed.count().await, before);
}

#[tokio::test(flavor = "multi_thread")]
async fn what_is_no_photo_is_told_and_not_stored() {
    let bed = Bed::demo();
    let before = bed.count().await;
    let whole = std::fs::read(demo().join("photos/a1.jpg")).unwrap();
    let fields = [("coupon", "N"), ("section", "9"), ("joint", "tee"), ("etched", "yes")];
    for (name, bytes) in [
        ("a.jpg", &b"this is a text"[..]),
        ("a.jpg", &whole[..2000]),
        ("a.jpg", b""),
        ("a.heic", b"\0\0\0\x18ftypheic\0\0\0\0mif1heic"),
        ("a.pdf", b"%PDF-1.7 ..."),
    ] {
        let (status, _, page) = bed.upload(&fields, name, bytes).await;
        assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY, "{name}");
        assert!(page.contains("Next: "), "{page}");
        assert_eq!(bed.count().await, before, "{name}");
    }
    let (status, _, page) =
        bed.upload(&[("coupon", ""), ("section", "1"), ("joint", "tee")], "a.jpg", &whole).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.contains("is no label"), "{page}");
    assert_eq!(bed.count().await, before);
}

/// A section that cannot be read, or was saved a moment ago, is in the table all the same: left out of it, a claim on the
/// table would rise. One whose coupon's label is changed goes to that coupon.
#[tokio::test(flavor = "multi_thread")]
async fn the_table_has_every_section_and_a_section_goes_with_its_label() {
    let bed = Bed::demo();
    let id = bed.id(Kind::Section, "photos/d1.toml").await;
    let text = std::fs::read_to_string(demo().join("photos/d1.toml")).unwrap();
    let mut marks = to_json("d1", &text).unwrap();
    marks["fused"][1]["points"][0] = json!([1e308, 0.0]);
    marks["reader"] = json!("=1+1");
    let path = format!("/section/{id}");
    let (status, _) = bed.json("PUT", &path, &json!({ "from": 1, "marks": marks })).await;
    assert_eq!(status, StatusCode::OK);
    let (status, table) = bed.get("/study/readings.csv").await;
    assert_eq!(status, StatusCode::OK);
    assert!(table.contains("\nD,1,,,,,not read since it was marked last,d1.jpg,"), "{table}");
    let (_, sections) = bed.get("/study?kind=section").await;
    assert!(sections.contains("photos/d1.toml"));
    marks["coupon"] = json!("ZZ");
    let (status, _) = bed.json("PUT", &path, &json!({ "from": 2, "marks": marks })).await;
    assert_eq!(status, StatusCode::OK);
    let open = bed.app.study().unwrap();
    let of = open
        .look(move |study| {
            let section = study.last(workflow::study::RecordId(id))?;
            study.last(section.content.parent.unwrap())
        })
        .await
        .unwrap();
    assert_eq!((of.kind, of.content.name.as_str()), (Kind::Coupon, "ZZ"));
    // A stale edit makes no coupon.
    marks["coupon"] = json!("YY");
    let (status, _) = bed.json("PUT", &path, &json!({ "from": 2, "marks": marks })).await;
    assert_eq!(status, StatusCode::CONFLICT);
    assert!(open.look(|study| Ok(study.named(Kind::Coupon, "YY").is_err())).await.unwrap());
    marks["reader"] = json!("x".repeat(1000));
    let (status, _) = bed.json("PUT", &path, &json!({ "from": 3, "marks": marks })).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
}

/// The demo's uprights are drawn 5 mm thick: read so by the true scale, and told where the scale is off by one mark of the
/// rule (23 mm for 22: 5.23 mm, 5 % more).
#[tokio::test(flavor = "multi_thread")]
async fn a_scale_that_is_off_by_one_mark_is_told() {
    let bed = Bed::demo();
    let id = bed.id(Kind::Section, "photos/a1.toml").await;
    let text = std::fs::read_to_string(demo().join("photos/a1.toml")).unwrap();
    let mut marks = to_json("a1", &text).unwrap();
    let path = format!("/section/{id}/read");
    let said = |answer: &Value, list: &str| {
        let all = answer[list].as_array().unwrap();
        all.iter().any(|s| {
            s.as_str().unwrap().starts_with("by this scale and these faces the upright is")
        })
    };
    let (status, answer) = bed.json("POST", &path, &marks).await;
    assert_eq!(status, StatusCode::OK);
    assert!(said(&answer, "remarks") && !said(&answer, "doubts"), "{answer}");
    assert!(answer["remarks"].to_string().contains("is 5.0"), "{answer}");
    assert_eq!(marks["scale"][0]["length"], "22 mm");
    marks["scale"][0]["length"] = json!("23 mm");
    let (_, answer) = bed.json("POST", &path, &marks).await;
    let told = answer["doubts"].to_string();
    assert!(
        said(&answer, "doubts") && told.contains("is 5.2") && told.contains("5 % more"),
        "{told}"
    );
}

#[tokio::test(flavor = "multi_thread")]
async fn a_page_sees_tiles_and_ways_of_a_photo() {
    let bed = Bed::demo();
    let id = bed.id(Kind::Section, "photos/a1.toml").await;
    let open = bed.app.study().unwrap();
    let section = open.look(move |s| s.last(workflow::study::RecordId(id))).await.unwrap();
    let photo = section.content.photo.unwrap().to_string();
    // 1280 x 960: three by two tiles of 512, halved twice to one tile.
    for (tile, is) in [
        ("0/0/0", true),
        ("0/2/1", true),
        ("0/3/0", false),
        ("1/1/0", true),
        ("2/0/0", true),
        ("3/0/0", false),
    ] {
        for view in ["", "?view=local"] {
            let path = format!("/photo/{photo}/tile/{tile}{view}");
            let (status, headers, body) =
                bed.send(ask("GET", &path).body(Body::empty()).unwrap()).await;
            assert_eq!(status, if is { StatusCode::OK } else { StatusCode::NOT_FOUND }, "{path}");
            if is {
                assert_eq!(headers[header::CONTENT_TYPE], "image/jpeg");
                assert!(body.starts_with(&[0xff, 0xd8]));
            }
        }
    }
    let path = format!("/photo/{photo}/path?x=760.8&y=250.5&reach=300");
    let (status, _, ways) = bed.send(ask("GET", &path).body(Body::empty()).unwrap()).await;
    assert_eq!(status, StatusCode::OK);
    let number = |i: usize| usize::from(u16::from_le_bytes([ways[2 * i], ways[2 * i + 1]]));
    let [level, x0, y0, w, h] = [0, 1, 2, 3, 4].map(number);
    assert_eq!(level, 0);
    assert!(w <= 768 && h <= 768 && ways.len() == 16 + w * h);
    // From every corner of the window the steps lead to the set point.
    const STEPS: [(isize, isize); 8] =
        [(1, 0), (1, 1), (0, 1), (-1, 1), (-1, 0), (-1, -1), (0, -1), (1, -1)];
    for (mut x, mut y) in [(0, 0), (w - 1, 0), (0, h - 1), (w - 1, h - 1)] {
        for _ in 0..w * h {
            let Some((dx, dy)) = STEPS.get(usize::from(ways[16 + y * w + x])) else { break };
            (x, y) = (x.wrapping_add_signed(*dx), y.wrapping_add_signed(*dy));
        }
        assert_eq!((x + x0, y + y0), (761, 251));
    }
    // The marked faces were set on the drawn edges within a pixel or so: both proposals lie along them.
    let text = std::fs::read_to_string(demo().join("photos/a1.toml")).unwrap();
    let marked = to_json("a1", &text).unwrap()["plates"].clone();
    let path = format!("/photo/{photo}/plates");
    let along = |proposed: &Value, face: &str| {
        let points = |v: &Value| -> Vec<[f64; 2]> { serde_json::from_value(v.clone()).unwrap() };
        let line = points(&proposed["plates"][face]);
        points(&marked[face]).iter().all(|p| {
            line.chunks_exact(2).any(|two| {
                let [a, b] = [two[0], two[1]];
                let off = (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0]);
                off.abs() / (b[0] - a[0]).hypot(b[1] - a[1]) < 4.0
            })
        })
    };
    let faces = json!({ "base": marked["base"], "upright_left": marked["upright_left"] });
    let asked = json!({ "joint": "tee", "both": true, "marked": faces });
    let (status, drawn) = bed.json("POST", &path, &asked).await;
    assert_eq!(status, StatusCode::OK, "{drawn}");
    assert!(along(&drawn, "base") && along(&drawn, "upright_left"), "{drawn}");
    for (asked, says) in [
        (json!({ "joint": "lap" }), "'lap' is no kind of joint that is read"),
        (
            json!({ "joint": "tee", "marked": { "roof": [[1, 2], [3, 4]] } }),
            "'roof' is no face of a plate",
        ),
        (
            json!({ "joint": "tee", "marked": { "base": [[1, 2]] } }),
            "no straight edge is seen beside the marked points",
        ),
    ] {
        let (status, told) = bed.json("POST", &path, &asked).await;
        assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
        assert_eq!(told["fact"], says);
    }
    let (status, told) = bed.get(&format!("/photo/{photo}/path?x=-50&y=2&reach=300")).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY, "{told}");
}

#[tokio::test(flavor = "multi_thread")]
async fn other_sites_and_other_names_are_kept_out() {
    let bed = Bed::demo();
    let from = |host: &str, origin: &str| {
        Request::builder()
            .method("POST")
            .uri("/study/check")
            .header(header::HOST, host)
            .header(header::ORIGIN, origin)
            .header(header::CONTENT_TYPE, "application/x-www-form-urlencoded")
            .body(Body::from("head="))
            .unwrap()
    };
    let (status, ..) = bed.send(from("127.0.0.1:7380", "http://evil.example")).await;
    assert_eq!(status, StatusCode::FORBIDDEN);
    let (status, ..) = bed.send(from("bench.evil.example", "http://bench.evil.example")).await;
    assert_eq!(status, StatusCode::MISDIRECTED_REQUEST);
    let (status, _, page) = bed.send(from("127.0.0.1:7380", "http://127.0.0.1:7380")).await;
    assert_eq!(status, StatusCode::OK);
    assert!(String::from_utf8_lossy(&page).contains("The study is as it was saved"));
}

#[tokio::test(flavor = "multi_thread")]
async fn the_shop_wants_its_pass_phrase() {
    assert!(Door::new("short", Vec::new(), String::new()).is_err());
    let addresses = vec!["https://192.0.2.7:7380/".to_owned()];
    let door = Door::new("three plain words", addresses, "AB:CD".to_owned()).unwrap();
    let bed = Bed::of(Some(&demo().join("demo.seam")), Some(door));
    let (status, headers, _) = bed.send(ask("GET", "/").body(Body::empty()).unwrap()).await;
    assert_eq!(
        (status, headers[header::LOCATION].to_str().unwrap()),
        (StatusCode::SEE_OTHER, "/log-in")
    );
    let (status, told) = bed.json("PUT", "/section/9", &json!({})).await;
    assert_eq!(status, StatusCode::UNAUTHORIZED, "{told}");
    let try_with =
        async |phrase: &str| bed.form("/log-in", &[("author", "R. Tan"), ("phrase", phrase)]).await;
    for _ in 0..3 {
        assert_eq!(try_with("open sesame").await.0, StatusCode::UNAUTHORIZED);
    }
    let (status, headers, _) = try_with("three plain words").await;
    assert_eq!(status, StatusCode::SEE_OTHER);
    let cookie = headers[header::SET_COOKIE].to_str().unwrap().to_owned();
    for part in ["HttpOnly", "Secure", "SameSite=Strict"] {
        assert!(cookie.contains(part), "{cookie}");
    }
    let session = cookie.split(';').next().unwrap().to_owned();
    let with = |path: &str| {
        Request::builder()
            .uri(path)
            .header(header::HOST, "192.0.2.7:7380")
            .header(header::COOKIE, &session)
            .body(Body::empty())
            .unwrap()
    };
    // Who comes in is no guesser: three more phones do.
    for _ in 0..3 {
        let phone = [("author", "a phone"), ("phrase", "three plain words")];
        assert_eq!(bed.form("/log-in", &phone).await.0, StatusCode::SEE_OTHER);
    }
    let (status, _, page) = bed.send(with("/shop")).await;
    let page = String::from_utf8_lossy(&page);
    assert!(
        status == StatusCode::OK
            && page.contains("<svg")
            && page.contains("https://192.0.2.7:7380/")
    );
    // Too many wrong tries: a wait, whoever asks.
    for _ in 0..2 {
        assert_eq!(try_with("open sesame").await.0, StatusCode::UNAUTHORIZED);
    }
    let (status, headers, _) = try_with("three plain words").await;
    assert_eq!(
        (status, headers[header::RETRY_AFTER].to_str().unwrap()),
        (StatusCode::TOO_MANY_REQUESTS, "60")
    );
    // Shown out: the session is over.
    let own = page.split("<tr>").find(|row| row.contains("R. Tan")).unwrap();
    let id = own
        .split("name=\"session\" value=\"")
        .nth(1)
        .unwrap()
        .split('"')
        .next()
        .unwrap()
        .to_owned();
    let request = Request::builder()
        .method("POST")
        .uri("/shop/revoke")
        .header(header::HOST, "192.0.2.7:7380")
        .header(header::COOKIE, &session)
        .header(header::CONTENT_TYPE, "application/x-www-form-urlencoded")
        .body(Body::from(format!("session={id}")))
        .unwrap();
    assert_eq!(bed.send(request).await.0, StatusCode::SEE_OTHER);
    assert_eq!(bed.send(with("/shop")).await.0, StatusCode::UNAUTHORIZED);
}

/// Sections of three more coupons, X and Y with a hundred each and Z with fifty; answers the coupons.
async fn long_lists(bed: &Bed) -> Vec<i64> {
    use workflow::clock::By;
    use workflow::study::{Put, Study, Unsaved};
    let open = bed.app.study().unwrap();
    let made = open.write(|study: &Study| -> Result<Vec<i64>, Unsaved> {
        let by = By::now("R. Tan");
        let mut coupons = Vec::new();
        let photo = study.list(Kind::Photo)?[0].clone();
        let photo = photo.name.rsplit('/').next().unwrap().to_owned();
        let text = format!("photo = \"{photo}\"\njoint = \"tee\"\netched = true\n");
        for (c, n) in [("X", 100), ("Y", 100), ("Z", 50)] {
            let coupon = study.put(Kind::Coupon, &Put::new(c, ""), &by)?.record;
            for i in 0..n {
                let name = format!("photos/{c}{i}.toml");
                study.put_section(&Put::new(&name, &text).under(coupon), &by)?;
            }
            coupons.push(coupon.0);
        }
        Ok(coupons)
    });
    made.await.unwrap()
}

/// What a list shows is a page of it, by coupon and in the order that is asked for; and what is counted is all of it.
#[tokio::test(flavor = "multi_thread")]
async fn long_lists_are_shown_a_page_at_a_time() {
    let bed = Bed::demo();
    let coupons = long_lists(&bed).await;
    let open = bed.app.study().unwrap();
    let (whole, read) =
        open.look(|study| Ok((study.list(Kind::Section)?, study.readings()?.len()))).await.unwrap();
    let n = whole.len();
    let names = |page: &str| -> Vec<String> {
        let rows = page.split("<td><a href=\"/section/").skip(1);
        rows.map(|r| r.split(['>', '<']).nth(1).unwrap().to_owned()).collect()
    };
    let name = |i: usize| whole[i].name.clone();
    // The study's list: the whole in order, each section once.
    let mut listed = Vec::new();
    for leaf in 1..=n.div_ceil(100) {
        let (status, page) = bed.get(&format!("/study?kind=section&page={leaf}")).await;
        assert_eq!(status, StatusCode::OK);
        assert!(page.contains(&format!("<td class=\"num\">{n}</td>")), "{page}");
        listed.extend(names(&page));
    }
    assert_eq!(listed, whole.iter().map(|l| l.name.clone()).collect::<Vec<_>>());
    let (_, page) = bed.get("/study?kind=section&page=999").await;
    assert_eq!(names(&page).last(), Some(&name(n - 1)), "a page beyond the last is the last");
    let (_, page) = bed.get("/study?kind=section&order=newest").await;
    assert_eq!(names(&page).len(), 100);
    assert_eq!(names(&page)[..2], [name(n - 1), name(n - 2)]);
    assert!(page.contains("kind=section&amp;order=newest&amp;page=2#list"), "{page}");
    let (_, page) = bed.get(&format!("/study?kind=section&of={}", coupons[2])).await;
    let of_z: Vec<String> = (0..50).map(|i| format!("photos/Z{i}.toml")).collect();
    assert_eq!(names(&page), of_z);
    assert!(!page.contains("pages of the list"), "fifty fit a page");
    // The sections with their photos, by coupon, the latest first.
    let (_, page) = bed.get(&format!("/read?of={}&order=newest", coupons[0])).await;
    assert_eq!(page.matches("class=\"card\"").count(), 60);
    assert!(page.contains("<b>X99</b>") && page.contains("<b>X40</b>"), "{page}");
    assert!(!page.contains("<b>X39</b>") && !page.contains("<b>Y"), "{page}");
    let (_, page) = bed.get(&format!("/read?of={}&order=newest&page=2", coupons[0])).await;
    assert_eq!(page.matches("class=\"card\"").count(), 40);
    // What is no coupon has no section; what is no number asks for all.
    let (status, page) = bed.get("/read?of=999999&page=0").await;
    assert!(status == StatusCode::OK && page.contains("No section yet."), "{page}");
    let (_, page) = bed.get("/read?of=x&page=-1&order=x").await;
    assert_eq!(page.matches("class=\"card\"").count(), 60);
    let (_, page) = bed.get("/").await;
    assert!(page.contains(&format!("{n} sections of")), "{page}");
    assert!(page.contains(&format!("coupons, {read} read")), "{page}");
}

/// A study with 250 sections in three coupons: 100, 100 and 50. Ticks that a page does not show are kept, whatever page is
/// turned to, and what is written beside them as well.
#[tokio::test(flavor = "multi_thread")]
async fn ticks_of_a_claim_are_kept_when_the_page_is_turned() {
    let bed = Bed::demo();
    let open = bed.app.study().unwrap();
    let coupons = long_lists(&bed).await;
    let (_, page) = bed.get("/claim/new").await;
    let all = page.matches("name=\"tick\"").count();
    assert_eq!(all, 100, "a page holds a hundred");
    let hidden = |page: &str, name: &str| -> String {
        let at = page.split(&format!("name=\"{name}\" value=\"")).nth(1).unwrap();
        at.split('"').next().unwrap().to_owned()
    };
    let ticked = |page: &str| -> Vec<String> {
        page.split("<label class=\"tick\">")
            .skip(1)
            .filter(|l| l.split("</label>").next().unwrap().contains(" checked"))
            .map(|l| l.split("value=\"").nth(1).unwrap().split('"').next().unwrap().to_owned())
            .collect()
    };
    let count = |page: &str| -> String {
        page.split("<p><b>").nth(1).unwrap().split('<').next().unwrap().to_owned()
    };
    let turn = async |page: &str, without: &str, act: &str| {
        let (chosen, shown, ticks) = (hidden(page, "chosen"), hidden(page, "shown"), ticked(page));
        let mut fields = vec![
            ("question", "Will it hold?"),
            ("chosen", &chosen),
            ("shown", &shown),
            ("turn", act),
        ];
        fields.extend(ticks.iter().filter(|t| *t != without).map(|t| ("tick", t.as_str())));
        let (status, _, page) = bed.form("/claim/new", &fields).await;
        assert_eq!(status, StatusCode::OK, "{page}");
        assert!(page.contains("Will it hold?"), "{page}");
        page
    };
    let every = count(&page);
    let (n, of) = every.split_once(" of ").unwrap();
    assert_eq!(n, of, "a new claim rests on all");
    let whole: usize = n.parse().unwrap();
    // The first is left away, page 2 is looked at, and page 1 again: it stays away.
    let first = ticked(&page)[0].clone();
    let second = turn(&page, &first, "page//2").await;
    assert_eq!(count(&second), format!("{} of {whole}", whole - 1));
    let again = turn(&second, "", "page//1").await;
    assert!(!ticked(&again).contains(&first));
    assert_eq!(count(&again), format!("{} of {whole}", whole - 1));
    // One coupon alone: none, then all but that one.
    let act = format!("none/{}", coupons[1]);
    let without = turn(&again, "", &act).await;
    assert_eq!(count(&without), format!("{} of {whole}", whole - 101));
    assert_eq!(without.matches("name=\"tick\"").count(), 100, "only coupon Y is shown");
    assert_eq!(ticked(&without).len(), 0);
    // Saved: the names of what is ticked, in the study's order.
    let (chosen, shown) = (hidden(&without, "chosen"), hidden(&without, "shown"));
    let fields = [
        ("name", "large"),
        ("value", "effective_throat"),
        ("content", "95 %"),
        ("confidence", "95 %"),
        ("question", "Will it hold?"),
        ("paper.customer", "Hollin Ferry Works"),
        ("paper.author", "R. Tan"),
        ("paper.date", "2026-11-29"),
        ("paper.units", "mm"),
        ("chosen", &chosen),
        ("shown", &shown),
    ];
    let (status, headers, page) = bed.form("/claim/new", &fields).await;
    assert_eq!(status, StatusCode::SEE_OTHER, "{page}");
    drop(headers);
    let claim = open.look(|study| study.named(Kind::Claim, "large.toml")).await.unwrap();
    let values = to_json("large", &claim.content.text).unwrap();
    let names: Vec<&str> =
        values["sections"].as_array().unwrap().iter().filter_map(Value::as_str).collect();
    assert_eq!(names.len(), whole - 101);
    assert!(names.iter().all(|n| !n.starts_with("photos/Y")));
    assert!(names.contains(&"photos/X0.toml") && names.contains(&"photos/Z49.toml"));
    // What is no run chooses nothing, and breaks nothing.
    for wild in ["", "-", "9-1", "a-b,3", "99999999999999999999-1", ",,,", "1-999999"] {
        let fields =
            [("turn", "show"), ("chosen", wild), ("shown", wild), ("of", "x"), ("tick", "-5")];
        let (status, _, page) = bed.form("/claim/new", &fields).await;
        assert_eq!(status, StatusCode::OK, "{wild}");
        assert!(
            count(&page).starts_with("0 of"),
            "{wild}: what was shown and is not ticked is not chosen"
        );
    }
}

/// The joint is chosen, not taken from the study's last one; a coupon stays with the joint that it was welded as.
#[tokio::test(flavor = "multi_thread")]
async fn a_new_section_is_of_the_joint_that_is_chosen() {
    let bed = Bed::demo();
    let (tee, butt) =
        (bed.id(Kind::Joint, "joint.toml").await, bed.id(Kind::Joint, "butt-joint.toml").await);
    let (_, page) = bed.get("/section/new?coupon=A").await;
    let chosen = page.split("<optgroup").nth(1).unwrap().split("selected").next().unwrap();
    assert!(
        chosen.contains("joint.toml (tee)") || chosen.ends_with(&format!("value=\"{tee}\" ")),
        "{page}"
    );
    let photo = std::fs::read(demo().join("photos/a1.jpg")).unwrap();
    let upload = async |coupon: &str, joint: &str| {
        let fields = [("coupon", coupon), ("section", "7"), ("joint", joint), ("etched", "yes")];
        bed.upload(&fields, "x.jpg", &photo).await
    };
    let (status, headers, page) = upload("N", &butt.to_string()).await;
    assert_eq!(status, StatusCode::SEE_OTHER, "{page}");
    let at = headers[header::LOCATION].to_str().unwrap().split('?').next().unwrap();
    let (_, text) = bed.get(&format!("{at}/text")).await;
    assert!(text.contains("joint = &quot;butt&quot;"), "{text}");
    let coupon = bed.id(Kind::Coupon, "N").await;
    let open = bed.app.study().unwrap();
    let parent = open.look(move |s| s.last(workflow::study::RecordId(coupon))).await.unwrap();
    assert_eq!(parent.content.parent.map(|p| p.0), Some(butt));
    let (status, _, page) = bed
        .upload(&[("coupon", "N"), ("section", "8"), ("joint", &tee.to_string())], "x.jpg", &photo)
        .await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.contains("coupon N was welded as butt-joint.toml"), "{page}");
    // Without a label it is the coupon's next cut, whatever was taken in before.
    for name in ["Q", "R", "Q"] {
        let fields = [("coupon", name), ("section", ""), ("joint", "tee"), ("etched", "yes")];
        let (status, _, page) = bed.upload(&fields, "x.jpg", &photo).await;
        assert_eq!(status, StatusCode::SEE_OTHER, "{page}");
    }
    for name in ["q-1", "r-1", "q-2"] {
        bed.id(Kind::Section, &format!("sections/{name}.toml")).await;
    }
    let (status, _, page) = upload("M", "lap joint").await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.contains("is no kind of joint that is read"), "{page}");
}

/// Whatever is sent as marks is answered, never with a fault of ours.
#[tokio::test(flavor = "multi_thread")]
async fn ten_thousand_mutated_marks_are_answered() {
    use rand::{Rng, SeedableRng};
    let bed = Bed::demo();
    let id = bed.id(Kind::Section, "photos/a1.toml").await;
    let text = std::fs::read_to_string(demo().join("photos/a1.toml")).unwrap();
    let marks = to_json("a1", &text).unwrap().to_string().into_bytes();
    let mut rng = rand_chacha::ChaCha8Rng::seed_from_u64(7);
    for _ in 0..10_000 {
        let mut bytes = marks.clone();
        for _ in 0..rng.random_range(1..6) {
            let at = rng.random_range(0..bytes.len());
            match rng.random_range(0..4) {
                0 => bytes[at] = rng.random(),
                1 => drop(bytes.remove(at)),
                2 => bytes.insert(at, b"{}[]\",:0-9e"[rng.random_range(0..11)]),
                _ => bytes.truncate(at.max(2)),
            }
        }
        // A change that leaves them readable would cost a reading each: they are saved from an old revision instead.
        let mut body = b"{\"from\":99,\"marks\":".to_vec();
        body.extend(bytes);
        body.push(b'}');
        let request = ask("PUT", &format!("/section/{id}"))
            .header(header::CONTENT_TYPE, "application/json")
            .body(Body::from(body))
            .unwrap();
        let (status, ..) = bed.send(request).await;
        assert!(status.is_client_error(), "{status}");
    }
}

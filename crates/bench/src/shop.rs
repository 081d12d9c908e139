//! Who may come in: this machine alone, or in the shop whoever has the pass phrase.
//!
//! | danger | what stands against it |
//! |---|---|
//! | another machine without leave | without `--shop` only this machine is listened to; with it, a pass phrase (Argon2id) and a session |
//! | guessing | few tries, then a wait, for each address and for all together |
//! | listening in | TLS with a certificate that this machine made and keeps |
//! | a foreign page that sends a form here | `Sec-Fetch-Site` and `Origin` (else `Referer`) must be ours, and the cookie is `SameSite=Strict` |
//! | a foreign name that leads here (DNS rebinding) | the host must be an address, or this machine's own name |

use crate::app::{App, MOST_UPLOAD, too_large};
use crate::failed::{Failed, Told, told};
use crate::form::{Posted, one, seen};
use crate::sheet;
use argon2::{Argon2, PasswordHash, PasswordHasher, PasswordVerifier};
use axum::Form;
use axum::extract::{ConnectInfo, Request, State};
use axum::http::{HeaderMap, Method, StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Redirect, Response};
use maud::{Markup, PreEscaped, html};
use qrcode::QrCode;
use qrcode::render::svg;
use std::collections::BTreeMap;
use std::net::{IpAddr, SocketAddr};
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant};
use workflow::clock::Moment;
use workflow::refusal::Refusal;

/// What the fields beside a photo may take of a request.
const FORM: usize = 64 << 10;
/// Letters that a pass phrase has at least.
pub(crate) const LEAST_LETTERS: usize = 10;
/// Tries of one address, and of all together, within [`WITHIN`].
const TRIES: usize = 5;
const TRIES_OF_ALL: usize = 30;
const WITHIN: Duration = Duration::from_secs(60);
/// A session that was not used for so long is over.
const IDLE: Duration = Duration::from_secs(12 * 3600);
const SESSION: &str = "seamproof-session";
const NAME: &str = "seamproof-name";

/// A session.
struct Session {
    name: String,
    from: IpAddr,
    since: Moment,
    used: Instant,
}

/// The door of the shop.
pub(crate) struct Door {
    phrase: String,
    sessions: Mutex<BTreeMap<[u8; 32], Session>>,
    tries: Mutex<Vec<(IpAddr, Instant)>>,
    /// Addresses under which a phone finds the bench.
    pub(crate) addresses: Vec<String>,
    /// Of the certificate, as browsers show it.
    pub(crate) fingerprint: String,
}

impl Door {
    /// Keeps the pass phrase as a hash.
    pub(crate) fn new(
        phrase: &str,
        addresses: Vec<String>,
        fingerprint: String,
    ) -> Result<Self, Refusal> {
        if phrase.chars().count() < LEAST_LETTERS {
            return Err(Refusal::new(
                format!("the pass phrase has {} letters", phrase.chars().count()),
                format!("take at least {LEAST_LETTERS}: three or four words that nobody guesses"),
            ));
        }
        let hashed = Argon2::default().hash_password(phrase.as_bytes()).map_err(|e| {
            Refusal::new(format!("the pass phrase cannot be kept: {e}"), "report this as a fault")
        })?;
        Ok(Self {
            phrase: hashed.to_string(),
            sessions: Mutex::default(),
            tries: Mutex::default(),
            addresses,
            fingerprint,
        })
    }

    fn sessions(&self) -> MutexGuard<'_, BTreeMap<[u8; 32], Session>> {
        self.sessions.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Whether one more try is allowed now; if so it is counted.
    fn may_try(&self, from: IpAddr) -> bool {
        let mut tries = self.tries.lock().unwrap_or_else(PoisonError::into_inner);
        tries.retain(|(_, at)| at.elapsed() < WITHIN);
        let own = tries.iter().filter(|(ip, _)| *ip == from).count();
        if own >= TRIES || tries.len() >= TRIES_OF_ALL {
            return false;
        }
        tries.push((from, Instant::now()));
        true
    }

    /// Whoever came in was no guesser: the try is not counted.
    fn came_in(&self, from: IpAddr) {
        let mut tries = self.tries.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(last) = tries.iter().rposition(|(ip, _)| *ip == from) {
            tries.remove(last);
        }
    }

    fn fits(&self, phrase: &str) -> bool {
        PasswordHash::new(&self.phrase)
            .is_ok_and(|kept| Argon2::default().verify_password(phrase.as_bytes(), &kept).is_ok())
    }

    /// Begins a session; none when the system gives no random numbers.
    fn begin(&self, name: &str, from: IpAddr) -> Option<String> {
        let mut secret = [0; 32];
        getrandom::fill(&mut secret).ok()?;
        let session =
            Session { name: name.to_owned(), from, since: Moment::now(), used: Instant::now() };
        // Only its hash is kept: whoever reads the memory of sessions has none.
        self.sessions().insert(*blake3::hash(&secret).as_bytes(), session);
        Some(hex(&secret))
    }

    /// The name of a session that is still on.
    fn name_of(&self, headers: &HeaderMap) -> Option<String> {
        let key = key(headers)?;
        let mut sessions = self.sessions();
        sessions.retain(|_, s| s.used.elapsed() < IDLE);
        let session = sessions.get_mut(&key)?;
        session.used = Instant::now();
        Some(session.name.clone())
    }
}

fn cookie<'a>(headers: &'a HeaderMap, name: &str) -> Option<&'a str> {
    headers
        .get_all(header::COOKIE)
        .iter()
        .filter_map(|v| v.to_str().ok())
        .flat_map(|v| v.split(';'))
        .filter_map(|pair| pair.trim().split_once('='))
        .find(|(n, _)| *n == name)
        .map(|(_, value)| value)
}

/// Bytes as digits, for cookies and for telling sessions apart.
fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|b| format!("{b:02x}")).collect()
}

/// What sessions are told apart by on the page: too little to come in with.
fn told_apart(key: &[u8; 32]) -> String {
    hex(&key[..8])
}

/// Digits as bytes.
fn bytes_of(hex: &str) -> Option<Vec<u8>> {
    (0..hex.len() / 2)
        .map(|i| hex.get(2 * i..2 * i + 2).and_then(|two| u8::from_str_radix(two, 16).ok()))
        .collect()
}

fn key(headers: &HeaderMap) -> Option<[u8; 32]> {
    let text = cookie(headers, SESSION).filter(|text| text.len() == 64)?;
    let secret = bytes_of(text)?;
    Some(*blake3::hash(&secret).as_bytes())
}

/// A cookie that keeps a person's name in the browser.
pub(crate) fn name_cookie(name: &str) -> String {
    let name = hex(name.trim().as_bytes());
    format!("{NAME}={name}; Path=/; Max-Age=31536000; SameSite=Strict; HttpOnly")
}

/// Who sits at the page: the session's name in the shop, else the name that the browser keeps.
pub(crate) fn who(app: &App, headers: &HeaderMap) -> String {
    if let Some(name) = app.shop.as_ref().and_then(|door| door.name_of(headers)) {
        return name;
    }
    let bytes = bytes_of(cookie(headers, NAME).unwrap_or_default());
    let name = bytes.and_then(|bytes| String::from_utf8(bytes).ok()).unwrap_or_default();
    seen(&name, 80)
}

/// Lets in what may come in.
pub(crate) async fn guard(State(app): State<App>, request: Request, next: Next) -> Response {
    let headers = request.headers();
    let host = headers.get(header::HOST).and_then(|v| v.to_str().ok()).map(str::to_owned);
    let host =
        host.or_else(|| request.uri().authority().map(ToString::to_string)).unwrap_or_default();
    if !ours(&host, app.shop.is_some()) {
        let fact = format!("'{host}' is no name of this bench");
        let refusal =
            Refusal::new(fact, "open it by the address that it printed when it was started");
        return (StatusCode::MISDIRECTED_REQUEST, sheet::bare("Not here", &told(&refusal)))
            .into_response();
    }
    let declared =
        headers.get(header::CONTENT_LENGTH).and_then(|v| v.to_str().ok()?.parse::<usize>().ok());
    if declared.is_some_and(|bytes| bytes > MOST_UPLOAD + FORM) {
        return (StatusCode::PAYLOAD_TOO_LARGE, sheet::bare("Too large", &told(&too_large())))
            .into_response();
    }
    let changes = !matches!(*request.method(), Method::GET | Method::HEAD | Method::OPTIONS);
    if changes && foreign(headers, &host, app.shop.is_some()) {
        let refusal = Refusal::new(
            "this was sent from a page of another site",
            "send it from a page of the bench",
        );
        return (StatusCode::FORBIDDEN, sheet::bare("Not from there", &told(&refusal)))
            .into_response();
    }
    let path = request.uri().path();
    // Somebody goes to a page; what a script asks for is not sent elsewhere.
    let html = headers
        .get(header::ACCEPT)
        .and_then(|v| v.to_str().ok())
        .is_some_and(|a| a.contains("html"));
    let page = *request.method() == Method::GET && html;
    // A form posts; only a script puts.
    let html = html && *request.method() != Method::PUT;
    let open_to_all = path == "/log-in" || path.starts_with("/static/");
    if let Some(door) = &app.shop
        && !open_to_all
        && door.name_of(headers).is_none()
    {
        return if page {
            Redirect::to("/log-in").into_response()
        } else {
            let refusal =
                Refusal::new("you are not logged in", "log in again: the session is over");
            (StatusCode::UNAUTHORIZED, Told(Failed::Refused(refusal)).body()).into_response()
        };
    }
    // Whoever is to write says first who it is; a form that was filled in is not to be lost over it.
    let writes = ["/joint", "/section", "/claim/", "/record", "/write"];
    if page
        && writes.iter().any(|w| path.starts_with(w))
        && app.study().is_ok()
        && who(&app, headers).is_empty()
    {
        // With what was asked for there.
        let whole = request.uri().path_and_query().map_or(path, |p| p.as_str());
        let back = serde_urlencoded::to_string([("back", whole)]).unwrap_or_default();
        return Redirect::to(&format!("/name?{back}")).into_response();
    }
    in_our_words(next.run(request).await, html)
}

/// What a library of ours says of a request that it cannot read is a text for whoever writes programs.
fn in_our_words(answer: Response, html: bool) -> Response {
    let status = answer.status();
    let plain = answer
        .headers()
        .get(header::CONTENT_TYPE)
        .is_none_or(|v| v.as_bytes().starts_with(b"text/plain"));
    if !(status.is_client_error() && plain) {
        return answer;
    }
    let refusal = match status {
        StatusCode::METHOD_NOT_ALLOWED => Refusal::new(
            "this address answers to something else",
            "go back to the study's first page",
        ),
        StatusCode::PAYLOAD_TOO_LARGE => {
            Refusal::new("more was sent than this page takes", "send less, or a smaller file")
        }
        _ => Refusal::new(
            "what was sent cannot be read as this address expects it",
            "load the page again, and send it from there",
        ),
    };
    if html {
        (status, sheet::bare("This cannot be done", &told(&refusal))).into_response()
    } else {
        (status, Told(Failed::Refused(refusal)).body()).into_response()
    }
}

/// Whether a host is this machine by its address or its own name; in the shop by any address, never by a name that
/// somebody else could lead here.
fn ours(host: &str, shop: bool) -> bool {
    let (name, port) = match host.strip_prefix('[').and_then(|rest| rest.split_once(']')) {
        Some((v6, "")) => (v6, None),
        Some((v6, rest)) => (v6, Some(rest.strip_prefix(':').unwrap_or("?"))),
        None => host.rsplit_once(':').map_or((host, None), |(name, port)| (name, Some(port))),
    };
    if port.is_some_and(|port| port.parse::<u16>().is_err()) {
        return false;
    }
    if name.eq_ignore_ascii_case("localhost") {
        return true;
    }
    name.parse::<IpAddr>().is_ok_and(|ip| shop || ip.is_loopback())
}

/// Whether a request comes from a page of another origin; over TLS a page that came without it is another one.
fn foreign(headers: &HeaderMap, host: &str, tls: bool) -> bool {
    let of = |name| headers.get(name).map(|v| v.to_str().unwrap_or("?"));
    let site = of(header::HeaderName::from_static("sec-fetch-site"));
    let origin = of(header::ORIGIN);
    // Where a browser says neither, it may still say from which page.
    if site.is_none() && origin.is_none() {
        let own = format!("{}://{host}", if tls { "https" } else { "http" });
        return of(header::REFERER).is_some_and(|page| {
            page.strip_prefix(own.as_str())
                .is_none_or(|rest| !rest.is_empty() && !rest.starts_with('/'))
        });
    }
    site.is_some_and(|v| v != "same-origin" && v != "none")
        || origin.is_some_and(|o| {
            o.split_once("://") != Some((if tls { "https" } else { "http" }, host))
        })
}

/// The page for the pass phrase.
pub(crate) async fn log_in_page(State(app): State<App>) -> Response {
    if app.shop.is_none() {
        return Redirect::to("/").into_response();
    }
    log_in_form("", None).into_response()
}

fn log_in_form(name: &str, refused: Option<&Refusal>) -> Markup {
    sheet::bare(
        "Log in",
        &html! {
            h1 { "Log in" }
            @if let Some(refused) = refused { (told(refused)) }
            form method="post" action="/log-in" {
                div.field { label for="author" { "Your name" } input id="author" name="author" value=(name) autocomplete="name" required; p.hint { "stands beside everything that you write" } }
                div.field { label for="phrase" { "Pass phrase of the shop" } input id="phrase" name="phrase" type="password" autocomplete="current-password" required; }
                button.act { "Come in" }
            }
        },
    )
}

/// Looks at name and pass phrase.
pub(crate) async fn log_in(
    State(app): State<App>,
    ConnectInfo(from): ConnectInfo<SocketAddr>,
    Form(posted): Form<Posted>,
) -> Response {
    let Some(door) = &app.shop else { return Redirect::to("/").into_response() };
    let name = seen(one(&posted, "author"), 80);
    if !door.may_try(from.ip()) {
        let refusal = Refusal::new("too many tries", "wait a minute, and try again");
        let wait = [(header::RETRY_AFTER, "60")];
        return (StatusCode::TOO_MANY_REQUESTS, wait, log_in_form(&name, Some(&refusal)))
            .into_response();
    }
    let phrase = one(&posted, "phrase").to_owned();
    let bench = App::clone(&app);
    let fits = tokio::task::spawn_blocking(move || {
        bench.shop.as_ref().is_some_and(|door| door.fits(&phrase))
    });
    if name.is_empty() || !fits.await.unwrap_or(false) {
        let refusal = Refusal::new(
            if name.is_empty() { "nobody is named" } else { "this is not the pass phrase" },
            "ask whoever started the bench; it stands in no paper and no study",
        );
        return (StatusCode::UNAUTHORIZED, log_in_form(&name, Some(&refusal))).into_response();
    }
    door.came_in(from.ip());
    let Some(secret) = door.begin(&name, from.ip()) else {
        let refusal = crate::keep::fault();
        return (StatusCode::INTERNAL_SERVER_ERROR, log_in_form(&name, Some(&refusal)))
            .into_response();
    };
    let cookie =
        format!("{SESSION}={secret}; Path=/; HttpOnly; Secure; SameSite=Strict; Max-Age=43200");
    ([(header::SET_COOKIE, cookie)], Redirect::to("/")).into_response()
}

/// Ends the session.
pub(crate) async fn log_out(State(app): State<App>, headers: HeaderMap) -> Redirect {
    if let (Some(door), Some(key)) = (&app.shop, key(&headers)) {
        door.sessions().remove(&key);
    }
    Redirect::to("/log-in")
}

/// How a phone comes in, and who is in.
pub(crate) async fn page(State(app): State<App>, headers: HeaderMap) -> Result<Markup, Failed> {
    let about = sheet::about(&app, &headers).await.unwrap_or_default();
    let Some(door) = &app.shop else {
        return Ok(sheet::page(
            &about,
            "Shop",
            "",
            &html! {
                h1 { "Phones in the shop" }
                p { "The bench listens to this machine alone. To take photos with a phone on the same network, close it and start it with " code { "seamproof bench --shop" } "; it asks for a pass phrase, and shows an address and a code to scan." }
            },
        ));
    };
    let rows: Vec<(String, String, String, String)> = door
        .sessions()
        .iter()
        .map(|(key, s)| (told_apart(key), s.name.clone(), s.from.to_string(), s.since.to_string()))
        .collect();
    Ok(sheet::page(
        &about,
        "Shop",
        "",
        &html! {
            h1 { "Phones in the shop" }
            p { "Scan the code with a phone on the same network, and log in with the pass phrase. The browser warns once of a certificate that it does not know: this machine made it itself. Accept it only if the browser shows this SHA-256 fingerprint (look at this page on the machine of the bench, not on the phone):" }
            p { span.hex { (door.fingerprint) } }
            @for address in &door.addresses { div.qr { (PreEscaped(qr(address))) p { a href=(address) { (address) } } } }
            h2 { "Who is in" }
            table {
                tr { th { "name" } th { "from" } th { "since" } th { "" } }
                @for (id, name, from, since) in &rows {
                    tr { td { (name) } td { (from) } td { (since) } td { form.inline method="post" action="/shop/revoke" { input type="hidden" name="session" value=(id); button { "Show out" } } } }
                }
            }
            form method="post" action="/log-out" { button { "Log out" } }
        },
    ))
}

/// A code to scan.
fn qr(text: &str) -> String {
    QrCode::new(text.as_bytes())
        .map(|code| code.render::<svg::Color<'_>>().min_dimensions(200, 200).build())
        .map(|svg| svg.split_once("?>").map_or(svg.clone(), |(_, rest)| rest.to_owned()))
        .unwrap_or_default()
}

/// Ends somebody's session.
pub(crate) async fn revoke(State(app): State<App>, Form(posted): Form<Posted>) -> Redirect {
    if let Some(door) = &app.shop {
        let id = one(&posted, "session");
        door.sessions().retain(|key, _| told_apart(key) != id);
    }
    Redirect::to("/shop")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_this_machine_s_own_names_are_ours() {
        for host in ["127.0.0.1:7380", "localhost:7380", "[::1]:7380", "localhost"] {
            assert!(ours(host, false), "{host}");
        }
        for host in [
            "192.168.1.5:7380",
            "evil.example:7380",
            "127.0.0.1.evil.example",
            "",
            "localhost.evil.example:1",
            "127.0.0.1:7380.evil.example",
            "[::1]evil.example",
        ] {
            assert!(!ours(host, false), "{host}");
        }
        assert!(ours("192.168.1.5:7380", true) && !ours("bench.evil.example", true));
    }

    #[test]
    fn forms_of_other_sites_are_foreign() {
        let with = |pairs: &[(&'static str, &str)]| {
            let mut headers = HeaderMap::new();
            for (name, value) in pairs {
                if let Ok(value) = value.parse() {
                    headers.insert(*name, value);
                }
            }
            headers
        };
        let host = "127.0.0.1:7380";
        assert!(!foreign(&with(&[]), host, false));
        let own = [("origin", "http://127.0.0.1:7380"), ("sec-fetch-site", "same-origin")];
        assert!(!foreign(&with(&own), host, false));
        // The same host without TLS is another site in the shop.
        assert!(foreign(&with(&own), host, true));
        assert!(!foreign(&with(&[("origin", "https://127.0.0.1:7380")]), host, true));
        assert!(!foreign(&with(&[("referer", "http://127.0.0.1:7380/joint/2")]), host, false));
        assert!(foreign(&with(&[("referer", "http://127.0.0.1:7380.evil.example/")]), host, false));
        assert!(foreign(&with(&[("referer", "https://evil.example/")]), host, false));
        for pairs in [
            [("origin", "http://evil.example"), ("sec-fetch-site", "cross-site")],
            [("origin", "null"), ("sec-fetch-site", "same-origin")],
            [("origin", "http://127.0.0.1:7380"), ("sec-fetch-site", "same-site")],
        ] {
            assert!(foreign(&with(&pairs), host, false), "{pairs:?}");
        }
    }
}

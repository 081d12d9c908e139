//! Drives the bench as a person does: a real browser, a real mouse, fingers and keys.
//!
//! The bench is the binary that we ship, started on a free port with a folder of its own. What is asserted is what stands
//! on the page, or what the command line prints for the same marks.

pub mod http;

use chromiumoxide::cdp::browser_protocol::dom::SetFileInputFilesParams;
use chromiumoxide::cdp::browser_protocol::emulation::{
    MediaFeature, SetDeviceMetricsOverrideParams, SetEmulatedMediaParams,
    SetTouchEmulationEnabledParams,
};
use chromiumoxide::cdp::browser_protocol::input::{
    DispatchKeyEventParams, DispatchKeyEventType, DispatchMouseEventParams, DispatchMouseEventType,
    DispatchTouchEventReturns, DispatchTouchEventType, InsertTextParams, MouseButton, TouchPoint,
};
use chromiumoxide::page::ScreenshotParams;
use chromiumoxide::types::{Method, MethodId};
use chromiumoxide::{Browser, BrowserConfig, Page};
use futures_util::StreamExt;
use serde::Serialize;
use serde::de::DeserializeOwned;
use std::path::{Path, PathBuf};
use std::process::Stdio;
use std::time::{Duration, Instant};
use tempfile::TempDir;
use tokio::io::{AsyncBufReadExt, BufReader};
use tokio::process::{Child, Command};

/// How long a page may take for what is waited for: two slow cores at other work.
const PATIENCE: Duration = Duration::from_secs(90);

/// The root of the repository.
pub fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).parent().expect("the crate lies in the repository").into()
}

/// The program that we ship, as the tests of the workspace built it.
pub fn program() -> PathBuf {
    let target =
        std::env::var_os("SEAMPROOF_TARGET").map_or_else(|| root().join("target"), PathBuf::from);
    let program = target.join("release/seamproof");
    assert!(
        program.exists(),
        "{} is not there: run `cargo build --release` first, or `cargo xtask check`",
        program.display()
    );
    program
}

/// The browser's program.
pub fn chromium() -> PathBuf {
    let named = std::env::var_os("CHROMIUM").map(PathBuf::from);
    let usual = ["/usr/bin/chromium", "/usr/bin/chromium-browser"].map(PathBuf::from);
    named.into_iter().chain(usual).find(|path| path.exists()).expect(
        "no Chromium is there: `cargo xtask check` installs Debian's, or name one in CHROMIUM",
    )
}

/// A bench that runs.
pub struct Bench {
    child: Child,
    /// Its folder.
    pub folder: TempDir,
    /// Where it is: `http://127.0.0.1:4711`.
    pub address: String,
}

impl Bench {
    /// Starts the bench in a folder of its own; `arguments` come after `bench`.
    pub async fn start(folder: TempDir, arguments: &[&str]) -> Self {
        let mut child = Command::new(program())
            .arg("bench")
            .args(arguments)
            .args(if arguments.contains(&"--listen") {
                &[][..]
            } else {
                &["--listen", "127.0.0.1:0"]
            })
            .current_dir(folder.path())
            .env("XDG_DATA_HOME", folder.path().join("data"))
            .stdin(Stdio::null())
            .stderr(Stdio::piped())
            .kill_on_drop(true)
            .spawn()
            .expect("the bench starts");
        let mut lines = BufReader::new(child.stderr.take().expect("piped")).lines();
        let mut address = None;
        while address.is_none() {
            let line = lines.next_line().await.expect("lines are text");
            let line = line.expect("the bench says where it is before it ends");
            address = line
                .split_whitespace()
                .find(|w| w.starts_with("http"))
                .map(|w| w.trim_end_matches('/').to_owned());
        }
        tokio::spawn(async move { while let Ok(Some(_)) = lines.next_line().await {} });
        Self { child, folder, address: address.expect("told") }
    }

    /// The memory that it takes now, and the most that it took.
    pub fn memory(&self) -> String {
        let status = self.child.id().map(|id| format!("/proc/{id}/status"));
        let status = status.and_then(|p| std::fs::read_to_string(p).ok()).unwrap_or_default();
        let of = |name: &str| {
            let line = status.lines().find(|l| l.starts_with(name)).unwrap_or_default();
            line.split_whitespace().nth(1).and_then(|n| n.parse::<u64>().ok()).unwrap_or(0) >> 10
        };
        format!("{} MB, {} MB at most", of("VmRSS"), of("VmHWM"))
    }

    /// Stops it at once, as a power cut would.
    pub async fn kill(mut self) -> TempDir {
        self.child.kill().await.expect("it runs");
        self.folder
    }
}

/// The demo's folder: photos, reading files, a study. Made once for each run of the tests.
pub fn demo() -> PathBuf {
    static MADE: std::sync::OnceLock<PathBuf> = std::sync::OnceLock::new();
    MADE.get_or_init(|| {
        let folder = root().join("target").join("demo-for-browser");
        let done = std::process::Command::new(program())
            .args(["demo", "--out"])
            .arg(&folder)
            .stdout(Stdio::null())
            .status()
            .expect("the demo runs");
        assert!(done.success(), "the demo failed");
        folder
    })
    .clone()
}

/// A folder with a copy of the demo's study, `demo.seam`.
pub fn demo_folder() -> TempDir {
    let folder = tempfile::tempdir().expect("a folder");
    std::fs::copy(demo().join("demo.seam"), folder.path().join("demo.seam")).expect("copied");
    folder
}

/// The pages of the demo's study on which something stands.
pub struct Places {
    /// Its first joint.
    pub joint: String,
    /// Its first section.
    pub section: String,
    /// Its first claim, worked out.
    pub claim: String,
}

/// Says who one is, works out the first claim of the demo's study, and looks where its pages are.
pub async fn places(window: &Window, bench: &Bench) -> Places {
    let view = window.open(&format!("{}/name", bench.address), DESK).await;
    view.fill("#author", "R. Tan").await;
    view.press("That is me").await;
    // Gone before it has answered, the name would not be known.
    view.until("location.pathname !== '/name'").await;
    let first = async |page: &str, link: &str| -> String {
        view.go(&format!("{}{page}", bench.address)).await;
        view.eval(&format!("document.querySelector('{link}').getAttribute('href')")).await
    };
    let joint = first("/start", ".card h2 a").await;
    let section = first("/read", "a.card").await;
    let claim = first("/claim", ".card h2 a").await;
    view.go(&format!("{}{claim}", bench.address)).await;
    view.press("Work it out").await;
    view.until_said("Write the report").await;
    Places { joint, section, claim }
}

/// What the command line prints.
pub fn said(arguments: &[&str], folder: &Path) -> String {
    let done = std::process::Command::new(program())
        .args(arguments)
        .current_dir(folder)
        .output()
        .expect("the program runs");
    String::from_utf8_lossy(&done.stdout).into_owned()
}

/// How a page is looked at.
#[derive(Clone, Copy, Debug)]
pub struct Look {
    /// Width and height, in CSS pixels.
    pub size: [i64; 2],
    /// Device pixels for one of them.
    pub ratio: f64,
    /// By finger.
    pub touch: bool,
    /// Dark.
    pub dark: bool,
}

/// A desk with a mouse.
pub const DESK: Look = Look { size: [1280, 860], ratio: 1.0, touch: false, dark: false };
/// A phone in a hand.
pub const PHONE: Look = Look { size: [390, 844], ratio: 3.0, touch: true, dark: false };

/// A browser.
pub struct Window {
    browser: Browser,
    _profile: TempDir,
}

impl Window {
    /// Starts a browser with a fresh profile.
    pub async fn new() -> Self {
        let profile = tempfile::tempdir().expect("a folder");
        let config = BrowserConfig::builder()
            .chrome_executable(chromium())
            .no_sandbox()
            .user_data_dir(profile.path())
            .viewport(None)
            .request_timeout(PATIENCE)
            .args([
                "disable-gpu",
                "no-first-run",
                "disable-background-networking",
                "disable-component-update",
                "disable-sync",
                "ignore-certificate-errors",
            ])
            .build()
            .expect("a browser can be configured");
        let (browser, mut events) = Browser::launch(config).await.expect("the browser starts");
        tokio::spawn(async move { while events.next().await.is_some() {} });
        Self { browser, _profile: profile }
    }

    /// Opens an address.
    pub async fn open(&self, address: &str, look: Look) -> View {
        let page = self.browser.new_page("about:blank").await.expect("a page");
        let view = View { page, look };
        view.show(look).await;
        view.page
            .evaluate_on_new_document(
                "window.faults = []; addEventListener('error', (e) => faults.push(e.message)); addEventListener('unhandledrejection', (e) => faults.push(String(e.reason)));",
            )
            .await
            .expect("a script can be added");
        view.go(address).await;
        view
    }

    /// Closes it.
    pub async fn close(mut self) {
        drop(self.browser.close().await);
        drop(self.browser.wait().await);
    }
}

/// Fingers on the screen; none of them when all are lifted. The library's own form leaves an empty list out, and the
/// browser wants it.
#[derive(Clone, Debug, Serialize)]
struct Touches {
    r#type: DispatchTouchEventType,
    #[serde(rename = "touchPoints")]
    touch_points: Vec<TouchPoint>,
}

impl Method for Touches {
    fn identifier(&self) -> MethodId {
        "Input.dispatchTouchEvent".into()
    }
}

impl chromiumoxide::types::Command for Touches {
    type Response = DispatchTouchEventReturns;
}

/// A page that is looked at.
pub struct View {
    /// The page.
    pub page: Page,
    look: Look,
}

impl View {
    /// Goes to an address.
    pub async fn go(&self, address: &str) {
        self.page.goto(address).await.expect("the page opens");
        drop(self.page.wait_for_navigation().await);
    }

    async fn show(&self, look: Look) {
        let [width, height] = look.size;
        let metrics = SetDeviceMetricsOverrideParams::new(width, height, look.ratio, look.touch);
        self.page.execute(metrics).await.expect("a size can be set");
        let touch = SetTouchEmulationEnabledParams::new(look.touch);
        self.page.execute(touch).await.expect("touch can be set");
        let scheme =
            MediaFeature::new("prefers-color-scheme", if look.dark { "dark" } else { "light" });
        let media = SetEmulatedMediaParams::builder().features(vec![scheme]).build();
        self.page.execute(media).await.expect("a scheme can be set");
    }

    /// What a script answers.
    pub async fn eval<T: DeserializeOwned>(&self, script: &str) -> T {
        let done = self.page.evaluate(script).await;
        let done = done.unwrap_or_else(|e| panic!("{script}: {e}"));
        done.into_value().unwrap_or_else(|e| panic!("{script}: {e}"))
    }

    /// Runs a script whose answer is of no interest.
    pub async fn add(&self, script: &str) {
        let done = self.page.evaluate(format!("{script}; true")).await;
        // A long script is not repeated in a message.
        drop(done.expect("the script runs"));
    }

    /// Waits until a script answers true.
    pub async fn until(&self, script: &str) {
        let begin = Instant::now();
        loop {
            // While a page goes to another one its scripts cannot be asked.
            let done = self.page.evaluate(script).await.ok();
            if done.is_some_and(|d| d.into_value::<bool>().unwrap_or(false)) {
                return;
            }
            if begin.elapsed() > PATIENCE {
                let text: String = self.eval("document.body.innerText.slice(0, 3000)").await;
                let file = root().join("target/browser-stuck.png");
                self.shot(&file).await;
                panic!(
                    "this does not come about: {script}\nsee {}; the page says:\n{text}",
                    file.display()
                );
            }
            tokio::time::sleep(Duration::from_millis(80)).await;
        }
    }

    /// Waits until the page says something.
    pub async fn until_said(&self, text: &str) {
        self.until(&format!("document.body.innerText.includes({})", quoted(text))).await;
    }

    /// The place of something on the window, scrolled to: the middle of the first that is seen.
    async fn place(&self, find: &str) -> [f64; 2] {
        self.until(&format!("!!({find})")).await;
        self.eval(&format!(
            "(() => {{ const e = {find}; e.scrollIntoView({{ block: 'nearest', behavior: 'instant' }}); const b = e.getBoundingClientRect(); return [b.left + b.width / 2, b.top + b.height / 2]; }})()"
        ))
        .await
    }

    /// Presses what carries these words: a button, a link, or an entry of a list.
    pub async fn press(&self, words: &str) {
        let find = format!(
            "[...document.querySelectorAll('button, a, summary, [role=button]')].find((e) => e.textContent.trim().replace(/\\s+/g, ' ').startsWith({}) && e.getClientRects().length && !e.disabled)",
            quoted(words)
        );
        let at = self.place(&find).await;
        self.click(at).await;
    }

    /// Clicks, or taps, a place of the window.
    pub async fn click(&self, at: [f64; 2]) {
        if self.look.touch {
            self.touch(DispatchTouchEventType::TouchStart, &[at]).await;
            tokio::time::sleep(Duration::from_millis(60)).await;
            self.touch(DispatchTouchEventType::TouchEnd, &[]).await;
        } else {
            self.mouse(DispatchMouseEventType::MouseMoved, at).await;
            self.mouse(DispatchMouseEventType::MousePressed, at).await;
            self.mouse(DispatchMouseEventType::MouseReleased, at).await;
        }
        tokio::time::sleep(Duration::from_millis(60)).await;
    }

    /// Fingers down, moved or up.
    pub async fn touch(&self, kind: DispatchTouchEventType, at: &[[f64; 2]]) {
        let points = at.iter().map(|[x, y]| TouchPoint::new(*x, *y)).collect();
        self.page
            .execute(Touches { r#type: kind, touch_points: points })
            .await
            .expect("fingers can be moved");
    }

    /// The mouse moved, pressed or let go.
    pub async fn mouse(&self, kind: DispatchMouseEventType, [x, y]: [f64; 2]) {
        let mut event = DispatchMouseEventParams::new(kind.clone(), x, y);
        if kind != DispatchMouseEventType::MouseMoved {
            event.button = Some(MouseButton::Left);
            event.buttons = Some(1);
            event.click_count = Some(1);
        }
        self.page.execute(event).await.expect("the mouse can be moved");
    }

    /// Writes into the field of a selector, in place of what stands there.
    pub async fn fill(&self, selector: &str, text: &str) {
        let find = format!("document.querySelector({})", quoted(selector));
        self.until(&format!("!!({find})")).await;
        let _: bool = self
            .eval(&format!(
                "(() => {{ const e = {find}; e.focus(); e.select?.(); return true; }})()"
            ))
            .await;
        self.write(text).await;
    }

    /// Writes where the cursor is.
    pub async fn write(&self, text: &str) {
        self.page.execute(InsertTextParams::new(text)).await.expect("text can be written");
    }

    /// Chooses an entry of a list.
    pub async fn choose(&self, selector: &str, value: &str) {
        let find = format!("document.querySelector({})", quoted(selector));
        self.until(&format!("!!({find})")).await;
        let _: bool = self
            .eval(&format!(
                "(() => {{ const e = {find}; e.value = {}; e.dispatchEvent(new Event('input', {{ bubbles: true }})); e.dispatchEvent(new Event('change', {{ bubbles: true }})); return e.value === {0}; }})()",
                quoted(value)
            ))
            .await;
    }

    /// A key, by its name: `Enter`, `Tab`, `ArrowLeft`, `z`.
    pub async fn key(&self, key: &str, modifiers: i64) {
        let code = match key {
            "Enter" => 13,
            "Tab" => 9,
            "Escape" => 27,
            "Delete" => 46,
            "Backspace" => 8,
            " " => 32,
            "ArrowLeft" => 37,
            "ArrowUp" => 38,
            "ArrowRight" => 39,
            "ArrowDown" => 40,
            "Home" => 36,
            "End" => 35,
            other => other.chars().next().map_or(0, |c| c.to_ascii_uppercase() as i64),
        };
        let text = match key {
            "Enter" => Some("\r".to_owned()),
            key if key.chars().count() == 1 && modifiers & 7 == 0 => Some(key.to_owned()),
            _ => None,
        };
        for kind in [DispatchKeyEventType::KeyDown, DispatchKeyEventType::KeyUp] {
            let mut event = DispatchKeyEventParams::new(kind.clone());
            event.key = Some(key.to_owned());
            event.windows_virtual_key_code = Some(code);
            event.modifiers = Some(modifiers);
            if kind == DispatchKeyEventType::KeyDown {
                event.text.clone_from(&text);
            }
            self.page.execute(event).await.expect("keys can be pressed");
        }
        tokio::time::sleep(Duration::from_millis(15)).await;
    }

    /// Gives a file to the field of a selector.
    pub async fn give(&self, selector: &str, file: &Path) {
        let field = self.page.find_element(selector).await.expect("the field is there");
        let mut give = SetFileInputFilesParams::new(vec![file.display().to_string()]);
        give.backend_node_id = Some(field.backend_node_id);
        self.page.execute(give).await.expect("a file can be given");
    }

    /// Where a place of the photo is on the window.
    pub async fn on_photo(&self, [x, y]: [f64; 2]) -> [f64; 2] {
        self.eval(&format!(
            "(() => {{ const d = document.getElementById('desk').desk; const b = d.sheet.pane.getBoundingClientRect(); const [u, v] = d.view.toScreen([{x}, {y}]); return [u + b.left, v + b.top]; }})()"
        ))
        .await
    }

    /// Sets a point on the photo.
    pub async fn point(&self, at: [f64; 2]) {
        let at = self.on_photo(at).await;
        self.click(at).await;
    }

    /// Waits until the desk shows its photo and has nothing more to ask.
    pub async fn settled(&self) {
        self.until("(() => { const d = document.getElementById('desk')?.desk; return !!d && !d.reader.flying && !d.reader.wanted && d.view.loading === 0; })()").await;
    }

    /// The marks as the desk has them.
    pub async fn marks(&self) -> serde_json::Value {
        self.eval("document.getElementById('desk').desk.marks.value").await
    }

    /// Takes a picture of the window, or of the whole page.
    pub async fn shot(&self, file: &Path) {
        if let Some(folder) = file.parent() {
            std::fs::create_dir_all(folder).expect("a folder can be made");
        }
        let desk: bool = self.eval("!!document.getElementById('desk')").await;
        let asked = ScreenshotParams::builder().full_page(!desk).build();
        let png = self.page.screenshot(asked).await.expect("a picture can be taken");
        std::fs::write(file, png).expect("a picture can be written");
    }

    /// Errors of scripts since the page was opened.
    pub async fn faults(&self) -> Vec<String> {
        self.eval("window.faults ?? []").await
    }

    /// The bytes that an address of the page answers.
    pub async fn bytes(&self, address: &str) -> Vec<u8> {
        let script = format!(
            "fetch({}).then((r) => r.arrayBuffer()).then((b) => [...new Uint8Array(b)])",
            quoted(address)
        );
        self.eval(&script).await
    }
}

/// Text as a script writes it.
pub fn quoted(text: &str) -> String {
    serde_json::Value::from(text).to_string()
}

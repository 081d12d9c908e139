//! The bench as a person uses it.

use browser::{Bench, DESK, PHONE, View, Window, demo, root, said};
use serde_json::Value;
use std::path::Path;
use std::time::Duration;
use tempfile::TempDir;

mod axe;
mod power_cut;
mod shop;
mod steps;
mod together;

/// The marks of a demo section, as its reading file has them.
fn marks_of(name: &str) -> Value {
    let text = std::fs::read_to_string(demo().join("photos").join(name)).unwrap();
    let mut marks = serde_json::Map::new();
    let points = |line: &str| -> Value {
        serde_json::from_str(line.split_once('=').unwrap().1.trim()).unwrap()
    };
    let mut table = "";
    let mut fused = Vec::new();
    for line in text.lines() {
        match line.split_once(' ').map_or(line, |(word, _)| word) {
            "[plates]" => table = "plates",
            "[[scale]]" => table = "scale",
            "[[fused]]" => {
                table = "fused";
                fused.push(serde_json::Map::new());
            }
            key @ ("from" | "to" | "length" | "base" | "upright_left" | "upright_right"
            | "surface" | "bottom" | "joint_line") => {
                drop(marks.insert(key.to_owned(), points(line)));
            }
            key @ ("side" | "points") if table == "fused" => {
                drop(fused.last_mut().unwrap().insert(key.to_owned(), points(line)));
            }
            _ => {}
        }
    }
    marks.insert("fused".to_owned(), fused.into());
    marks.into()
}

fn place(value: &Value) -> [f64; 2] {
    [value[0].as_f64().unwrap(), value[1].as_f64().unwrap()]
}

fn places(value: &Value) -> Vec<[f64; 2]> {
    value.as_array().unwrap().iter().map(place).collect()
}

/// Says who one is, and begins a study.
async fn begin(view: &View, bench: &Bench) {
    view.go(&bench.address).await;
    view.fill("#f-title", "Bracket").await;
    view.fill("#f-author", "R. Tan").await;
    view.press("Begin").await;
    view.until_said("First say what the joint is").await;
}

async fn joint(view: &View) {
    view.press("Describe the joint").await;
    view.fill("#f-base", "8 mm").await;
    view.fill("#f-upright", "5 mm").await;
    view.fill("#f-material", "1.4307").await;
    view.fill("#f-length", "100 mm").await;
    view.fill("#f-need-load", "40 kN").await;
    view.press("Save").await;
    // EN 1993-1-8 4.5.2(2): no throat below 3 mm counts.
    view.until_said("Each weld needs an effective throat of 3.00 mm").await;
}

async fn photo(view: &View, bench: &Bench, file: &Path, section: &str) {
    view.go(&format!("{}/section/new", bench.address)).await;
    view.give("#photo", file).await;
    view.fill("#coupon", "A").await;
    view.fill("#section", section).await;
    view.choose("#held", "stand").await;
    view.press("Take it in").await;
    view.settled().await;
}

/// Two points and the length between them.
async fn scale(view: &View, marks: &Value) {
    view.point(place(&marks["from"])).await;
    view.point(place(&marks["to"])).await;
    view.until("document.activeElement?.tagName === 'INPUT'").await;
    view.write(marks["length"].as_str().unwrap()).await;
    view.key("Enter", 0).await;
    // The bench says first whether it is a length.
    view.until("!document.querySelector('.length-now')").await;
}

/// Points on the plates' faces, in the order in which the page asks for them.
async fn faces(view: &View, marks: &Value, names: &[&str]) {
    for face in names {
        for at in places(&marks[*face]) {
            view.point(at).await;
        }
    }
}

/// Marks a two-sided tee by pointing, as the page asks for it.
async fn mark(view: &View, marks: &Value) {
    // The joint said that it is welded on both sides: the page does not ask.
    scale(view, marks).await;
    faces(view, marks, &["base", "upright_left", "upright_right"]).await;
    for side in ["left", "right"] {
        let fused = marks["fused"].as_array().unwrap();
        let zone = fused.iter().find(|f| f["side"] == side).unwrap();
        for at in places(&zone["points"]) {
            view.point(at).await;
            tokio::time::sleep(Duration::from_millis(150)).await;
        }
        view.key("Enter", 0).await;
    }
    view.settled().await;
    view.until_said("Effective throat of the left weld").await;
}

/// Saves, and writes the section as a reading file with its photo.
async fn as_file(view: &View, bench: &Bench, photo: &Path) -> TempDir {
    view.until("/saved/.test(document.querySelector('.state')?.textContent ?? '') && !/not saved/.test(document.querySelector('.state').textContent)").await;
    let id: String = view.eval("document.getElementById('desk').dataset.section").await;
    let text: String = view
        .eval(&format!(
            "fetch('/section/{id}/text').then((r) => r.text()).then((t) => new DOMParser().parseFromString(t, 'text/html').querySelector('textarea').value)"
        ))
        .await;
    let folder = tempfile::tempdir().unwrap();
    let name = text
        .lines()
        .find_map(|l| l.strip_prefix("photo = \""))
        .unwrap()
        .trim_end_matches('"')
        .to_owned();
    std::fs::copy(photo, folder.path().join(name)).unwrap();
    std::fs::write(folder.path().join("a.toml"), text).unwrap();
    assert!(bench.address.starts_with("http"));
    folder
}

/// Every figure of the page stands in what `seamproof read` prints for the same marks, in the line of the same reading.
async fn same_as_the_command_line(view: &View, folder: &TempDir) {
    let printed = said(&["read", "a.toml"], folder.path());
    let rows: Vec<Value> = view.eval("document.getElementById('desk').desk.answer.rows").await;
    assert!(rows.len() > 10, "{rows:?}\n{printed}");
    let mut weld = "";
    let mut lines = Vec::new();
    for line in printed.lines() {
        // A weld without a side is called just that.
        let head = line.trim_start();
        for (starts, of) in [
            ("right weld ", "right"),
            ("left weld ", "left"),
            ("top weld ", "top"),
            ("weld ", "only"),
            ("joint  ", "joint"),
        ] {
            if head.starts_with(starts) {
                weld = of;
            }
        }
        lines.push((weld, line));
    }
    for row in &rows {
        let of = |name: &str| row[name].as_str().unwrap().to_owned();
        let (words, value, u) = (of("words"), of("value"), of("u"));
        let found = lines.iter().any(|(weld, line)| {
            *weld == of("weld")
                && line.trim_start().strip_prefix(&words).is_some_and(|rest| {
                    rest.starts_with("  ")
                        && rest.trim_start().starts_with(&value)
                        && rest.contains(&u)
                })
        });
        assert!(found, "{} {words}: {value} (u {u}) is not printed:\n{printed}", of("weld"));
    }
    // And the page shows them.
    let shown: String = view.eval("document.body.innerText").await;
    let verdicts: Vec<String> =
        view.eval("document.getElementById('desk').desk.answer.verdicts").await;
    assert!(!verdicts.is_empty());
    // The command line breaks its lines, the page its own.
    let one_line = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
    for verdict in verdicts {
        let verdict = one_line(&verdict);
        assert!(one_line(&printed).contains(&verdict), "{verdict} is not printed:\n{printed}");
        assert!(one_line(&shown).contains(&verdict), "{verdict} is not on the page:\n{shown}");
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn the_whole_job_with_a_mouse() {
    let bench = Bench::start(tempfile::tempdir().unwrap(), &[]).await;
    let window = Window::new().await;
    let view = window.open(&bench.address, DESK).await;
    begin(&view, &bench).await;
    joint(&view).await;
    let file = demo().join("photos/a1.jpg");
    photo(&view, &bench, &file, "1").await;
    mark(&view, &marks_of("a1.toml")).await;
    let folder = as_file(&view, &bench, &file).await;
    same_as_the_command_line(&view, &folder).await;
    assert_eq!(view.faults().await, Vec::<String>::new());
    // A second section by the text of its reading file, as somebody without a mouse or without scripts would.
    let second = demo().join("photos/a2.jpg");
    photo(&view, &bench, &second, "2").await;
    let id: String = view.eval("document.getElementById('desk').dataset.section").await;
    view.go(&format!("{}/section/{id}/text", bench.address)).await;
    let text = std::fs::read_to_string(demo().join("photos/a2.toml")).unwrap();
    view.fill("#text", &text.replace("photo = \"a2.jpg\"", "photo = \"a-2.jpg\"")).await;
    view.press("Save and read").await;
    view.until_said("Effective throat of the right weld").await;
    // The claim, and its report.
    view.go(&format!("{}/claim/new", bench.address)).await;
    view.fill("#f-question", "Do the two fillets carry 40 kN along the joint?").await;
    view.fill("#f-paper-customer", "Hollin Ferry Works").await;
    view.press("Save").await;
    view.until_said("Write the report").await;
    // Two sections of one coupon are no claim for the procedure, and the page says why.
    view.until_said("one coupon does not tell the scatter between coupons").await;
    view.press("Write the report").await;
    view.until("!!document.querySelector('a[download]')").await;
    let address: String = view.eval("document.querySelector('a[download]').href").await;
    let pdf = view.bytes(&address).await;
    assert!(pdf.starts_with(b"%PDF-"), "{} bytes", pdf.len());
    assert!(pdf.len() > 100_000 && pdf.trim_ascii_end().ends_with(b"%%EOF"));
    assert_eq!(view.faults().await, Vec::<String>::new());
    window.close().await;
}

#[tokio::test(flavor = "multi_thread")]
async fn the_desk_on_a_phone_by_finger() {
    let bench = Bench::start(tempfile::tempdir().unwrap(), &[]).await;
    let window = Window::new().await;
    let view = window.open(&bench.address, PHONE).await;
    begin(&view, &bench).await;
    joint(&view).await;
    let file = demo().join("photos/b1.jpg");
    photo(&view, &bench, &file, "1").await;
    // No page is wider than the phone.
    let wide: bool = view.eval("document.documentElement.scrollWidth <= innerWidth").await;
    assert!(wide, "the page is wider than the phone");
    mark(&view, &marks_of("b1.toml")).await;
    let folder = as_file(&view, &bench, &file).await;
    same_as_the_command_line(&view, &folder).await;
    assert_eq!(view.faults().await, Vec::<String>::new());
    view.shot(&root().join("target/browser/phone.png")).await;
    window.close().await;
}

/// A butt and a bead, from the photo to figures equal to what the command line prints. The bead is what the butt's photo
/// shows when nobody says that there is a joint line.
#[tokio::test(flavor = "multi_thread")]
async fn a_butt_and_a_bead_are_marked_on_the_desk() {
    let bench = Bench::start(tempfile::tempdir().unwrap(), &[]).await;
    let window = Window::new().await;
    let view = window.open(&bench.address, DESK).await;
    begin(&view, &bench).await;
    let file = demo().join("photos/e1.jpg");
    let marks = marks_of("e1.toml");
    // Of one coupon all sections are of one kind.
    for (coupon, joint, names) in
        [("A", "butt", &["surface", "bottom", "joint_line"][..]), ("B", "bead", &["surface"])]
    {
        view.go(&format!("{}/section/new", bench.address)).await;
        view.give("#photo", &file).await;
        view.fill("#coupon", coupon).await;
        view.fill("#section", "1").await;
        view.choose("#joint", joint).await;
        view.choose("#held", "stand").await;
        view.press("Take it in").await;
        view.settled().await;
        scale(&view, &marks).await;
        if joint == "butt" {
            view.press("From the top only").await;
        }
        faces(&view, &marks, names).await;
        if joint == "bead" {
            // A surface may have any number of points: the person says that it is done.
            view.until("document.getElementById('desk').desk.layer !== null").await;
            view.add("document.getElementById('desk').desk.choose('fused')").await;
        }
        for at in places(&marks["fused"][0]["points"]) {
            view.point(at).await;
            tokio::time::sleep(Duration::from_millis(150)).await;
        }
        view.key("Enter", 0).await;
        view.settled().await;
        view.until("!!document.getElementById('desk').desk.answer?.rows?.length").await;
        let folder = as_file(&view, &bench, &file).await;
        same_as_the_command_line(&view, &folder).await;
    }
    assert_eq!(view.faults().await, Vec::<String>::new());
    window.close().await;
}

/// Plates are proposed from the photo, drawn as a proposal, taken, and undone as one step.
#[tokio::test(flavor = "multi_thread")]
async fn proposed_plates_are_taken_and_undone() {
    let bench = Bench::start(tempfile::tempdir().unwrap(), &[]).await;
    let window = Window::new().await;
    let view = window.open(&bench.address, DESK).await;
    begin(&view, &bench).await;
    joint(&view).await;
    photo(&view, &bench, &demo().join("photos/a1.jpg"), "1").await;
    scale(&view, &marks_of("a1.toml")).await;
    let before = view.marks().await;
    view.press("Propose plates").await;
    view.until_said("Proposed, drawn dashed.").await;
    assert_eq!(view.marks().await, before, "a proposal is no mark");
    view.press("Take these").await;
    let taken = view.marks().await;
    for face in ["base", "upright_left", "upright_right"] {
        assert!(taken["plates"][face].as_array().is_some_and(|p| p.len() >= 2), "{face}: {taken}");
    }
    view.key("z", 2).await;
    view.until("!document.getElementById('desk').desk.marks.value.plates").await;
    assert_eq!(view.faults().await, Vec::<String>::new());
    window.close().await;
}

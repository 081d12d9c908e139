//! Two people on one section, and one who has only a keyboard.

use browser::{Bench, DESK, Window, demo_folder};
use std::time::Duration;

async fn section(window: &Window, bench: &Bench, name: &str, who: &str) -> browser::View {
    let view = window.open(&format!("{}/name", bench.address), DESK).await;
    view.fill("#author", who).await;
    view.press("That is me").await;
    // Gone before it has answered, the name would not be known.
    view.until("location.pathname !== '/name'").await;
    view.go(&format!("{}/read", bench.address)).await;
    view.until(&format!(
        "[...document.querySelectorAll('a.card b')].some((b) => b.textContent === '{name}')"
    ))
    .await;
    let address: String = view
        .eval(&format!("[...document.querySelectorAll('a.card')].find((a) => a.querySelector('b').textContent === '{name}').href"))
        .await;
    view.go(&address).await;
    view.settled().await;
    view
}

/// Nothing of either is lost: who is late sees both, and the history has both.
#[tokio::test(flavor = "multi_thread")]
async fn two_people_edit_one_section() {
    let bench = Bench::start(demo_folder(), &["demo.seam"]).await;
    let (one, other) = (Window::new().await, Window::new().await);
    let mine = section(&one, &bench, "a1", "R. Tan").await;
    let theirs = section(&other, &bench, "a1", "M. Okafor").await;
    let set = |reader: &str| {
        format!(
            "document.getElementById('desk').desk.marks.edit('reader', (draft) => {{ draft.reader = '{reader}'; }})"
        )
    };
    let _: bool = theirs.eval(&format!("({}, true)", set("their reader"))).await;
    theirs.until("/saved \\d/.test(document.querySelector('.state').textContent)").await;
    let _: bool = mine.eval(&format!("({}, true)", set("my reader"))).await;
    mine.until_said("M. Okafor").await;
    let words: String = mine.eval("document.body.innerText").await;
    assert!(words.to_lowercase().contains("keep mine"), "{words}");
    mine.press("Keep mine").await;
    mine.until("/saved \\d/.test(document.querySelector('.state').textContent)").await;
    let id: String = mine.eval("document.getElementById('desk').dataset.section").await;
    mine.go(&format!("{}/record/{id}/history", bench.address)).await;
    mine.until_said("Revision 3").await;
    let all: String = mine
        .eval("[...document.querySelectorAll('pre')].map((p) => p.textContent).join('\\n')")
        .await;
    assert!(all.contains("their reader") && all.contains("my reader"), "{all}");
    one.close().await;
    other.close().await;
}

/// A point of the outline is picked, moved by one pixel, and the change undone, without a mouse.
#[tokio::test(flavor = "multi_thread")]
async fn the_desk_by_keyboard_alone() {
    let bench = Bench::start(demo_folder(), &["demo.seam"]).await;
    let window = Window::new().await;
    let view = section(&window, &bench, "a1", "R. Tan").await;
    let before = view.marks().await;
    // Tab leads to the photo like to everything else.
    let mut on_photo = false;
    for _ in 0..60 {
        view.key("Tab", 0).await;
        on_photo = view.eval("document.activeElement === document.getElementById('desk').desk.sheet.pane || document.getElementById('desk').desk.sheet.pane.contains(document.activeElement)").await;
        if on_photo {
            break;
        }
    }
    assert!(on_photo, "Tab never comes to the photo");
    view.key("]", 0).await;
    view.key("ArrowRight", 0).await;
    let moved = view.marks().await;
    assert_ne!(before, moved, "the arrow moved nothing");
    view.settled().await;
    view.key("z", 2).await;
    tokio::time::sleep(Duration::from_millis(300)).await;
    assert_eq!(view.marks().await, before, "undo did not bring it back");
    let said: String = view.eval("document.querySelector('.aloud').textContent").await;
    assert!(!said.is_empty(), "nothing is said aloud");
    window.close().await;
}

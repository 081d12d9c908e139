//! Pages that people with other eyes and hands can use.

use browser::{Bench, DESK, Look, PHONE, Places, Window, demo_folder, places, root};
use serde_json::Value;
use std::path::PathBuf;
use std::process::Command;

/// The rules, fetched by name when they are first needed; none where there is no npm.
fn rules() -> Option<String> {
    let folder = root().join("target/axe");
    let file: PathBuf = folder.join("package/axe.min.js");
    if !file.exists() {
        std::fs::create_dir_all(&folder).ok()?;
        let packed = Command::new("npm")
            .args(["pack", "--silent", "axe-core@4"])
            .current_dir(&folder)
            .output()
            .ok()?;
        let name = String::from_utf8_lossy(&packed.stdout).trim().to_owned();
        let unpacked =
            Command::new("tar").args(["-xzf", &name]).current_dir(&folder).status().ok()?;
        assert!(unpacked.success(), "the rules cannot be unpacked");
    }
    std::fs::read_to_string(file).ok()
}

#[tokio::test(flavor = "multi_thread")]
async fn no_page_has_a_serious_violation() {
    let Some(rules) = rules() else {
        eprintln!("not run: the rules come from npm, and there is none");
        return;
    };
    let bench = Bench::start(demo_folder(), &["demo.seam"]).await;
    let window = Window::new().await;
    let Places { joint, section, claim } = places(&window, &bench).await;
    let text = format!("{section}/text");
    let history = format!("/record/{}/history", section.rsplit('/').next().unwrap_or_default());
    let setting = format!(
        "{joint}/setting?power=2%20kW&spot=120%20um&travel_speed=5%20mm%2Fs&torch_angle=25%20deg&aim=0.3%20mm&wobble_width=1.5%20mm&wobble_frequency=50%20Hz&wire=1.6%20mm&wires=2"
    );
    let refused = format!("{joint}/setting?power=2");
    let choices = format!("{joint}/choices");
    let pages = [
        "/",
        "/name",
        "/units?text=5%2F16%20in",
        "/start",
        &joint,
        "/joint/new",
        &setting,
        &refused,
        &choices,
        "/compare",
        "/read",
        "/section/new",
        &section,
        &text,
        &history,
        "/claim",
        &claim,
        "/claim/new",
        "/write",
        "/area",
        "/study?kind=section",
        "/record/1",
        "/record/coupon/new",
        "/shop",
        "/nothing-here",
    ];
    let mut found = Vec::new();
    for look in [DESK, PHONE, Look { dark: true, ..DESK }] {
        let view = window.open(&bench.address, look).await;
        for page in pages {
            view.go(&format!("{}{page}", bench.address)).await;
            if page == section {
                view.settled().await;
            }
            view.add(&rules).await;
            let violations: Vec<Value> = view
                .eval("axe.run(document, { resultTypes: ['violations'] }).then((r) => r.violations.filter((v) => ['serious', 'critical'].includes(v.impact)).map((v) => ({ id: v.id, help: v.help, nodes: v.nodes.slice(0, 3).map((n) => n.html.slice(0, 200)) })))")
                .await;
            found.extend(violations.into_iter().map(|v| format!("{page} {look:?}: {v}")));
            let wide: bool = view.eval("document.documentElement.scrollWidth <= innerWidth").await;
            if !wide {
                found.push(format!("{page} {look:?}: wider than the window"));
            }
        }
    }
    assert!(found.is_empty(), "{}", found.join("\n"));
    window.close().await;
}

//! A setting tried, kept, compared and guarded by a signed plan, as a person does it, without the section desk.

use browser::{Bench, DESK, PHONE, Window, demo_folder, places, root};

/// From the joint to a setting of one's own, kept under a name, compared with the arc; then the area about its beam, signed;
/// then the setting is changed, and the plan says that it no longer stands.
#[tokio::test(flavor = "multi_thread")]
async fn a_setting_is_tried_kept_compared_and_guarded() {
    let bench = Bench::start(demo_folder(), &["demo.seam"]).await;
    let window = Window::new().await;
    let joint = places(&window, &bench).await.joint;
    let view = window.open(&bench.address, DESK).await;
    view.go(&format!("{}{joint}", bench.address)).await;
    view.press("Try one of your own").await;
    view.until_said("What should this setting make of the joint?").await;
    for (field, text) in [
        ("power", "1.8 kW"),
        ("spot", "4,7 thou"),
        ("travel_speed", "12 ipm"),
        ("torch_angle", "25 deg"),
        ("aim", "0.3 mm"),
        ("wobble_width", "1.5 mm"),
        ("wobble_frequency", "50 Hz"),
        ("wire", "1.6 mm"),
        ("wires", "2"),
    ] {
        view.fill(&format!("#f-{field}"), text).await;
    }
    view.press("Work it out").await;
    view.until_said("What changes the throat").await;
    view.until_said("90 %:").await;
    let drawn: usize = view.eval("document.querySelectorAll('main figure svg').length").await;
    assert_eq!(drawn, 4, "joint, expected section, what changes the throat, energy");
    // What was typed stays as it was typed.
    let typed: String = view.eval("document.querySelector('#f-travel_speed').value").await;
    assert_eq!(typed, "12 ipm");
    view.fill("#name", "quick").await;
    view.press("Keep it as a setting").await;
    view.until_said("quick on joint.toml").await;
    let setting: String = view.eval("location.search").await;
    let record = setting.rsplit('=').next().unwrap_or_default().to_owned();
    // Beside the arc.
    view.go(&format!("{}/compare", bench.address)).await;
    let ticked: usize = view
        .eval("(() => { const all = [...document.querySelectorAll('label.tick')].filter((l) => /quick|gmaw/.test(l.textContent)); all.forEach((l) => l.querySelector('input').click()); return all.length; })()")
        .await;
    assert_eq!(ticked, 2);
    view.press("Compare").await;
    view.until_said("90 % band of it").await;
    // The area about its beam.
    view.go(&format!("{}/area?blank=1", bench.address)).await;
    for (field, text) in [
        ("focal_length", "150 mm"),
        ("beam_at_lens", "5 mm"),
        ("paper-site", "Bay 2"),
        ("paper-author", "R. Tan"),
    ] {
        view.fill(&format!("#f-{field}"), text).await;
    }
    view.choose("#f-setting", "quick").await;
    view.choose("#f-widths_at", "1/e2").await;
    view.press("Work it out").await;
    view.until_said("the laser may be set higher").await;
    view.fill("#f-signed-by", "M. Okafor").await;
    view.fill("#f-signed-date", "2026-11-26").await;
    // No room, eyewear, gas or fume was entered: that speaks against it, and who signs says why it is released.
    view.fill("#f-signed-despite", "the beam is off, the page is tried").await;
    view.press("Keep the signed plan").await;
    view.until_said("It stands: the setting 'quick' is as it was.").await;
    view.shot(&root().join("target/browser/area.png")).await;
    // A stronger beam, and the plan no longer stands.
    view.go(&format!("{}{joint}/setting?of={record}", bench.address)).await;
    view.fill("#f-power", "1.9 kW").await;
    view.press("Work it out").await;
    view.until_said("What changes the throat").await;
    view.press("Keep the change").await;
    view.until("document.querySelector('#f-power').value === '1.9 kW' && !location.search.includes('power')").await;
    view.go(&format!("{}/area", bench.address)).await;
    view.until_said("power was 1800 W, is 1900 W").await;
    assert_eq!(view.faults().await, Vec::<String>::new());
    // On a phone nothing is wider than the window.
    let phone = window.open(&bench.address, PHONE).await;
    for page in [format!("{joint}/setting?of={record}"), "/area".to_owned(), "/compare".to_owned()]
    {
        phone.go(&format!("{}{page}", bench.address)).await;
        let fits: bool = phone.eval("document.documentElement.scrollWidth <= innerWidth").await;
        assert!(fits, "{page} is wider than the phone");
    }
    window.close().await;
}

//! Coming in from the network.

use browser::{Bench, PHONE, Window, demo_folder};

#[tokio::test(flavor = "multi_thread")]
async fn a_phone_comes_in_with_the_pass_phrase_and_not_without() {
    let folder = demo_folder();
    std::fs::write(folder.path().join("phrase"), "three plain words\n").unwrap();
    let arguments =
        ["demo.seam", "--shop", "--pass-phrase-file", "phrase", "--listen", "127.0.0.1:0"];
    let bench = Bench::start(folder, &arguments).await;
    assert!(bench.address.starts_with("https://"));
    let window = Window::new().await;
    let view = window.open(&format!("{}/read", bench.address), PHONE).await;
    view.until_said("Pass phrase of the shop").await;
    view.fill("#author", "R. Tan").await;
    view.fill("#phrase", "open sesame").await;
    view.press("Come in").await;
    view.until_said("this is not the pass phrase").await;
    view.fill("#author", "R. Tan").await;
    view.fill("#phrase", "three plain words").await;
    view.press("Come in").await;
    view.until_said("Hollin Ferry gangway step").await;
    view.go(&format!("{}/section/new", bench.address)).await;
    // The camera is offered on a phone.
    let camera: bool = view
        .eval("(() => { const c = document.getElementById('camera'); return c.getAttribute('capture') === 'environment' && c.getClientRects().length > 0; })()")
        .await;
    assert!(camera, "a phone is not offered its camera");
    view.go(&format!("{}/shop", bench.address)).await;
    view.until_said("Who is in").await;
    let code: bool = view.eval("document.querySelectorAll('.qr svg').length > 0").await;
    assert!(code, "no code to scan");
    view.press("Log out").await;
    view.until_said("Pass phrase of the shop").await;
    window.close().await;
}

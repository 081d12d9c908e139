//! Pictures of every page: `cargo run --release --example pictures -- FOLDER [--readme]`, from `cargo xtask pictures`.
//!
//! With `--readme` only those of the README; without, every page at a desk's and a phone's width, light and dark.

use browser::{Bench, DESK, Look, PHONE, Places, Window, demo_folder, places};
use std::path::PathBuf;

#[tokio::main]
async fn main() {
    let mut arguments = std::env::args().skip(1);
    let folder = PathBuf::from(arguments.next().unwrap_or_else(|| "target/browser".to_owned()));
    let readme = arguments.next().is_some_and(|a| a == "--readme");
    let bench = Bench::start(demo_folder(), &["demo.seam"]).await;
    let window = Window::new().await;
    let Places { joint, section, claim } = places(&window, &bench).await;
    let phone = Look { ratio: 2.0, ..PHONE };
    let taken: Vec<(String, String, Look)> = if readme {
        vec![
            (section, "desk".to_owned(), DESK),
            (claim, "claim-page".to_owned(), DESK),
            ("/read".to_owned(), "phone".to_owned(), phone),
        ]
    } else {
        let pages = [
            ("/", "home"),
            ("/start", "start"),
            (joint.as_str(), "joint"),
            ("/read", "read"),
            ("/section/new", "photo"),
            (section.as_str(), "desk"),
            ("/claim", "claims"),
            (claim.as_str(), "claim"),
            ("/claim/new", "claim-new"),
            ("/write", "write"),
            ("/area", "area"),
            ("/study?kind=section", "study"),
            ("/record/coupon/new", "coupon"),
            ("/shop", "shop"),
            ("/name", "name"),
        ];
        let dark = |look| Look { dark: true, ..look };
        let looks =
            [("", DESK), ("-dark", dark(DESK)), ("-phone", phone), ("-phone-dark", dark(phone))];
        pages
            .iter()
            .flat_map(|(page, name)| {
                looks.map(|(how, look)| ((*page).to_owned(), format!("{name}{how}"), look))
            })
            .collect()
    };
    for (page, name, look) in taken {
        let view = window.open(&format!("{}{page}", bench.address), look).await;
        if page.starts_with("/section/") && page != "/section/new" {
            view.settled().await;
            view.until_said("Effective throat").await;
        }
        view.shot(&folder.join(format!("{name}.png"))).await;
    }
    window.close().await;
}

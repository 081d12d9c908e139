//! Photos that cannot be read, and odd ones that can.
//!
//! The small files are those of the decoding tests, `crates/photo/tests/it/files` (described there).

use crate::drawn::{as_file, bead};
use crate::run::{Said, folder, names, seamproof};
use image::ImageFormat;
use std::path::{Path, PathBuf};

/// A triangle of 50 px by 30 px at 10 um a pixel, on a photo of 96 x 64 px.
fn reading_file(photo: &str) -> String {
    format!(
        "photo = \"{photo}\"\njoint = \"bead\"\netched = true\n[[scale]]\nper_pixel = \"10 um\"\n[plates]\n\
         surface = [[2, 20], [60, 20]]\n[[fused]]\npoints = [[10, 20], [60, 20], [35, 50]]\ntrace = \"straight\"\n"
    )
}

/// Reads a photo, asking for every output; an old table lies there already.
fn read(photo: &str, bytes: &[u8]) -> Said {
    let place =
        folder(&[(photo, bytes), ("a.toml", reading_file(photo).as_bytes()), ("old.csv", b"old")]);
    let before = names(place.path());
    let said =
        seamproof(place.path(), &["read", "a.toml", "--csv", "old.csv", "--overlay", "o.png"]);
    if said.code != 0 {
        assert_eq!(names(place.path()), before, "{photo}: nothing is written");
        let old = std::fs::read(place.path().join("old.csv")).unwrap();
        assert_eq!(old, b"old", "{photo}: the old table is left as it was");
    }
    said
}

fn small(name: &str) -> Vec<u8> {
    let files = Path::new(env!("CARGO_MANIFEST_DIR")).join("../photo/tests/it/files");
    std::fs::read(files.join(name)).unwrap()
}

#[test]
fn a_photo_that_is_cut_short_is_refused() {
    let copy_again =
        "the copy or upload broke off: copy the file again from the camera or microscope";
    for (name, keep, fact) in [
        (
            "tiles.jpg",
            898,
            "the JPEG picture ends after 898 bytes and lacks its end mark, so part of it is missing",
        ),
        (
            "tiles.png",
            103,
            "the PNG picture ends after 103 bytes and lacks the rest of a chunk and its end chunk, so part of it is missing",
        ),
        (
            "tiles-lzw.tif",
            557,
            "the TIFF picture ends after 557 bytes and lacks its first page's tags, so part of it is missing",
        ),
        (
            "tiles-lossless.webp",
            48,
            "the WebP picture ends after 48 bytes and lacks the bytes its heading announces, so part of it is missing",
        ),
    ] {
        read(name, &small(name)[..keep])
            .refuses(&format!("a.toml:1: photo: {name}: {fact}"), copy_again);
    }
    read("a.jpg", b"").refuses(
        "a.toml:1: photo: a.jpg: the file is empty (0 bytes)",
        "the copy or upload did not finish: copy the file again from the camera or microscope",
    );
}

/// Every prefix of a photo is refused or, where only padding is cut off, read: never a crash.
#[test]
fn no_prefix_of_a_photo_crashes() {
    for name in ["tiles.jpg", "tiles-lzw.tif", "tiles.png", "tiles-turned-6.webp"] {
        let bytes = small(name);
        for keep in (0..bytes.len()).step_by(bytes.len() / 12) {
            let said = read(name, &bytes[..keep]);
            assert_eq!(said.code, 2, "{name} cut to {keep}: {said:?}");
        }
    }
}

#[test]
fn a_photo_beyond_the_limits_is_refused_unopened() {
    let halve = "cut the picture down to the weld, or save it at half size and mark the scale anew";
    read("claims-60000.png", &small("claims-60000.png")).refuses(
        "a.toml:1: photo: claims-60000.png: the picture claims 60000 x 60000 px, 3600.0 megapixels; \
         at most 20000 px a side and 100 megapixels are read",
        halve,
    );
    read("claims-9000.png", &small("claims-9000.png")).refuses(
        "a.toml:1: photo: claims-9000.png: the file has 74 bytes and claims 9000 x 9000 px, more than 5000 pixels a byte; \
         no photograph packs so tightly",
        "give the picture as the camera or microscope saved it; this file was made by a program or is damaged",
    );
    for (name, size) in [("one-pixel.png", "1 x 1"), ("small.png", "32 x 21")] {
        read(name, &small(name)).refuses(
            &format!(
                "a.toml:1: photo: {name}: the picture is {size} px; a section needs at least 64 px on its shorter side"
            ),
            "give the full picture, not its preview; the weld should fill most of it and be 500 px across or more",
        );
    }
}

#[test]
fn a_kind_that_is_not_read_is_named() {
    read("tiles.gif", &small("tiles.gif")).refuses(
        "a.toml:1: photo: tiles.gif: the file is a GIF picture, which is not read here",
        "a GIF has at most 256 colours and may move; go back to the camera's or microscope's own file, or save one frame as PNG",
    );
    read("float32.tif", &small("float32.tif")).refuses(
        "a.toml:1: photo: float32.tif: the TIFF picture stores its pixels in a way that is not read here: 1 x 32 bits of grey",
        "open it in a picture viewer and save it as PNG, or as 8- or 16-bit TIFF, without changing its size",
    );
    read("a.jpg", b"photo = \"a.jpg\"\n").refuses(
        "a.toml:1: photo: a.jpg: the file starts with 70 68 6F 74 6F 20 3D 20, which is no kind of picture known here",
        "give a JPEG, PNG, TIFF or WebP file as the camera or microscope saved it",
    );
}

/// 16 bits, CMYK, moving pictures, several pages: read, and the odd thing said.
#[test]
fn odd_photos_are_read() {
    for (name, remark) in [
        ("ramp16.png", None),
        ("ramp16.tif", None),
        ("tiles16-deflate.tif", None),
        ("tiles-cmyk.tif", Some("print colours")),
        ("tiles-cmyk-adobe.jpg", Some("print colours")),
        ("tiles-ycck.jpg", Some("print colours")),
        ("tiles-animated.png", Some("moving")),
        ("tiles-animated.webp", Some("moving")),
        ("tiles-three-pages.tif", Some("first")),
        ("tiles-rgba.png", Some("see-through")),
        ("tiles-1bit.tif", Some("only black and white")),
    ] {
        let place = folder(&[(name, &small(name)), ("a.toml", reading_file(name).as_bytes())]);
        let said = seamproof(place.path(), &["read", "a.toml", "--json", "--overlay", "o.png"]);
        assert_eq!(said.code, 0, "{name}: {said:?}");
        let json = said.json();
        // 50 x 30 px at 10 um: 0.5 wide, 0.3 deep; exact, as the points are given.
        for (field, mm) in [("width_mm", 0.5), ("depth_mm", 0.3)] {
            let got = json["welds"]["only"][field].as_f64().unwrap();
            assert!((got - mm).abs() < 1e-9, "{name}: {field} {got}");
        }
        let remarks = json["remarks"].to_string();
        if let Some(remark) = remark {
            assert!(remarks.contains(remark), "{name}: {remarks}");
        }
        let overlay = image::open(place.path().join("o.png")).unwrap();
        // The photo, and its legend below.
        assert!(overlay.width() == 96 && overlay.height() > 64, "{name}");
    }
}

#[test]
fn an_ending_that_lies_is_read_with_a_remark() {
    let picture = bead().picture();
    for (name, format, remark) in [
        (
            "a.jpg",
            ImageFormat::Png,
            Some("the name ends in .jpg, but the content is a PNG picture: read as what it is"),
        ),
        (
            "a.png",
            ImageFormat::Tiff,
            Some("the name ends in .png, but the content is a TIFF picture: read as what it is"),
        ),
        ("a.tiff", ImageFormat::Tiff, None),
        ("a.TIF", ImageFormat::Tiff, None),
        ("photo", ImageFormat::Png, None),
    ] {
        let text = bead().reading_file(name, "straight");
        let place = folder(&[(name, &as_file(&picture, format)), ("a.toml", text.as_bytes())]);
        let said = seamproof(place.path(), &["read", "a.toml", "--json"]);
        assert_eq!(said.code, 0, "{said:?}");
        let remarks = said.json()["remarks"].clone();
        let lie = remarks.as_array().unwrap().iter().find(|r| r.to_string().contains("ends in"));
        assert_eq!(lie.and_then(|r| r.as_str()), remark, "{name}");
    }
}

#[test]
fn a_photo_that_is_not_there_or_a_folder_is_refused() {
    let file = |name: &str| reading_file(name).into_bytes();
    let place = folder(&[("a.toml", &file("nix.jpg")), ("b.toml", &file("photos"))]);
    std::fs::create_dir(place.path().join("photos")).unwrap();
    seamproof(place.path(), &["read", "a.toml"]).refuses(
        "a.toml:1: photo: nix.jpg: there is no such file",
        "check the name and the folder",
    );
    seamproof(place.path(), &["read", "b.toml"])
        .refuses("b.toml:1: photo: photos: this is a folder, not a file", "name a file in it");
}

/// A photo is meant beside its reading file, not beside the person.
#[test]
fn a_photo_lies_beside_its_reading_file() {
    let place = folder(&[]);
    let sub = place.path().join("coupon a");
    std::fs::create_dir(&sub).unwrap();
    bead().write(&sub, "a", "", "straight");
    let file = PathBuf::from("coupon a").join("a.toml");
    let said = seamproof(place.path(), &["read", file.to_str().unwrap(), "--json"]);
    assert_eq!(said.code, 0, "{said:?}");
}

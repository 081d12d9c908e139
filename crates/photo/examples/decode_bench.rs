//! How long a photo takes from bytes to lightness and colours.
//!
//! `cargo run --release -p photo --example decode_bench -- FILE ...` (best and median of 9, milliseconds; the machine's
//! threads are all used for the conversion, one for the unpacking).
use std::time::Instant;

fn main() {
    for name in std::env::args().skip(1) {
        let bytes = match std::fs::read(&name) {
            Ok(bytes) => bytes,
            Err(error) => {
                eprintln!("{name}: {error}");
                continue;
            }
        };
        let mut times = Vec::new();
        for _ in 0..9 {
            let start = Instant::now();
            match photo::decode::decode(&bytes) {
                Ok(photo) => {
                    times.push(1e3 * start.elapsed().as_secs_f64());
                    if times.len() == 1 {
                        println!(
                            "{name}: {}, {} x {} px, {} bits, {}",
                            photo.format.words(),
                            photo.width,
                            photo.height,
                            photo.bits,
                            photo.turned.words()
                        );
                        photo.remarks.iter().for_each(|remark| println!("    {remark}"));
                    }
                }
                Err(error) => {
                    println!("{name}: {error}\n    {}", error.advice());
                    break;
                }
            }
        }
        times.sort_by(f64::total_cmp);
        if let (Some(best), Some(median)) = (times.first(), times.get(times.len() / 2)) {
            println!("    best {best:.1} ms, median {median:.1} ms");
        }
    }
}

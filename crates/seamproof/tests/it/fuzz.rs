//! Reading files changed at random, through the whole program: an answer, a no, or a refusal with its next action.

use crate::drawn::tee;
use crate::run::{folder, seamproof};

/// A stream of numbers (splitmix64), so that the cases are the same everywhere.
struct Numbers(u64);

impl Numbers {
    fn below(&mut self, n: usize) -> usize {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) % n as u64) as usize
    }
}

/// What is put in: much of it means something in a reading file.
const BYTES: &[u8] = b"0123456789-+.,e[] \n\"=ntmu#";

/// Up to three changes. In half of the files a digit becomes another, so that they still are readable and reach the
/// picture and the geometry.
fn changed(text: &str, numbers: &mut Numbers) -> Vec<u8> {
    let mut bytes = text.as_bytes().to_vec();
    let digits_only = numbers.below(2) == 0;
    for _ in 0..=numbers.below(3) {
        if digits_only {
            let digits: Vec<usize> =
                (0..bytes.len()).filter(|&i| bytes[i].is_ascii_digit()).collect();
            bytes[digits[numbers.below(digits.len())]] = b'0' + numbers.below(10) as u8;
            continue;
        }
        let at = numbers.below(bytes.len());
        let by = BYTES[numbers.below(BYTES.len())];
        match numbers.below(3) {
            0 => bytes.insert(at, by),
            1 => drop(bytes.remove(at)),
            _ => bytes[at] = by,
        }
    }
    bytes
}

#[test]
fn changed_reading_files_never_crash_the_program() {
    let mut tee = tee();
    tee.px_per_mm = 20.0;
    tee.size = (360, 270);
    tee.origin = [140.0, 180.0];
    let text = tee.reading_file("a.png", "guided");
    let mut numbers = Numbers(20_260);
    let files: Vec<Vec<u8>> = (0..200).map(|_| changed(&text, &mut numbers)).collect();
    let read = std::sync::atomic::AtomicUsize::new(0);
    std::thread::scope(|scope| {
        for part in files.chunks(50) {
            let (tee, read) = (&tee, &read);
            scope.spawn(move || {
                let place = folder(&[]);
                tee.picture().save(place.path().join("a.png")).unwrap();
                for file in part {
                    std::fs::write(place.path().join("a.toml"), file).unwrap();
                    let said = seamproof(place.path(), &["read", "a.toml", "--overlay", "o.png"]);
                    let text = String::from_utf8_lossy(file);
                    match said.code {
                        // 1: a weld is refused, because no fusion line is seen.
                        0 | 1 => {
                            read.fetch_add(1, std::sync::atomic::Ordering::Relaxed);
                            assert!(
                                said.err.is_empty() && !said.out.contains("NaN"),
                                "{text}\n{said:?}"
                            );
                        }
                        2 => {
                            assert!(said.err.starts_with("a.toml"), "{text}\n{said:?}");
                            assert!(said.err.contains("\n  next: "), "{text}\n{said:?}");
                        }
                        _ => panic!("{text}\n{said:?}"),
                    }
                }
            });
        }
    });
    let read = read.into_inner();
    assert!(
        (20..180).contains(&read),
        "{read} of 200 were read: the changes are too mild or too wild"
    );
}

//! The bytes that are hashed, as the documentation says.

use crate::common::{Numbers, stamp};
use records::check::Mark;
use records::{Content, Form, Hash, Head, Kind, RecordId, Revision, chain};

/// The hash of nothing, from the published test vectors of BLAKE3 (input of length 0): recalled.
#[test]
fn blake3_is_blake3() {
    assert_eq!(
        Hash::of(b"").to_string(),
        "af1349b9f5f9a1a6a0404dea36dcc9499bcb25c9adc112b7cc9a93cae41f3262"
    );
}

/// The bytes are written out here by the table in the documentation of `records::chain`.
#[test]
fn the_bytes_of_a_revision_are_those_of_the_documentation() {
    let mut content = Content::new("a1.toml", Form::Toml, "x = 1");
    content.parent = Some(RecordId(3));
    content.photo = Some(Hash([7; 32]));
    let revision = Revision {
        seq: 258,
        record: RecordId(5),
        kind: Kind::Section,
        number: 2,
        stamp: stamp("µ"),
        content,
        entry: Hash([0; 32]),
    };
    let mut by_hand: Vec<u8> = Vec::new();
    by_hand.extend(b"\x02\x01\0\0\0\0\0\0");
    by_hand.extend(b"\x05\0\0\0\0\0\0\0");
    by_hand.extend(b"\x02\0\0\0\0\0\0\0");
    by_hand.extend(b"\x07\0\0\0\0\0\0\0section");
    by_hand.extend(b"\x07\0\0\0\0\0\0\0a1.toml");
    by_hand.extend(b"\x06\0\0\0\0\0\0\0R. Tan");
    by_hand.extend(b"\x14\0\0\0\0\0\0\x002026-11-25T08:30:00Z");
    by_hand.extend(b"\x02\0\0\0\0\0\0\0\xc2\xb5");
    by_hand.extend(b"\x04\0\0\0\0\0\0\0toml");
    by_hand.extend(b"\x05\0\0\0\0\0\0\0x = 1");
    by_hand.extend(b"\0");
    by_hand.extend(b"\x01\x03\0\0\0\0\0\0\0");
    by_hand.extend(b"\0");
    by_hand.extend(b"\x01");
    by_hand.extend([7; 32]);
    assert_eq!(chain::canonical(&revision), by_hand);
    let mut both = chain::beginning().0.to_vec();
    both.extend(&by_hand);
    assert_eq!(chain::entry(chain::beginning(), &revision), Hash::of(&both));
    assert_eq!(chain::beginning(), Hash::of(b"seamproof study 1"));
}

#[test]
fn a_head_is_read_as_it_is_printed() {
    let head = Head { count: 57, entry: Hash([0xab; 32]) };
    assert_eq!(head.to_string(), "abababababababab-57");
    assert_eq!(head.to_string().parse::<Mark>().unwrap().to_string(), head.to_string());
    // As it comes out of a paper: broken where a line may break, or typed in fours.
    for text in ["ababab\u{200b}ababababab-5\u{200b}7", " ABAB abab abab abab-57\n"] {
        assert_eq!(text.parse::<Mark>().unwrap().to_string(), head.to_string());
    }
    for (text, why) in [
        ("abababababababa", "a head has 16 digits as papers print it, or up to 64"),
        ("", "a head has 16 digits as papers print it, or up to 64"),
        ("abababababababag", "a head has the digits 0 to 9 and a to f only"),
        ("abababababababab-", "the count after the '-' is no whole number above zero"),
        ("abababababababab-0", "the count after the '-' is no whole number above zero"),
    ] {
        assert_eq!(text.parse::<Mark>(), Err(why), "{text}");
    }
}

/// 10 000 random texts: taken and printed again the same, or refused.
#[test]
fn wild_heads_are_taken_or_refused() {
    let mut numbers = Numbers(1);
    // Mostly what a head is made of, so that many are taken.
    let letters: Vec<char> =
        "0123456789abcdef0123456789abcdef0123456789abcdefABCDEF-+ gµ\0".chars().collect();
    for _ in 0..10_000 {
        let length = numbers.below(70);
        let text: String = (0..length).map(|_| letters[numbers.below(letters.len())]).collect();
        if let Ok(mark) = text.parse::<Mark>() {
            assert_eq!(mark.to_string().parse(), Ok(mark), "{text}");
        }
    }
}

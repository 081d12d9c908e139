//! How long a factor, a bound, a whole claim and 'how many more' take here. Prints; proves nothing.
//!
//! ```text
//! cargo run --release -p trials --example timing
//! ```

use std::hint::black_box;
use std::time::Instant;
use trials::tolerance::factor::one_sided_factor;
use trials::tolerance::more::Ask;
use trials::tolerance::random_effects::{Spread, bound};
use trials::tolerance::rows::Row;
use trials::tolerance::{Options, claim};
use weld::claim::Assurance;

fn timed<T>(what: &str, times: u32, mut job: impl FnMut() -> T) {
    let began = Instant::now();
    for _ in 0..times {
        black_box(job());
    }
    println!("{what:48} {:9.3} ms", began.elapsed().as_secs_f64() * 1e3 / f64::from(times));
}

fn coupons(sizes: &[usize]) -> Vec<Vec<f64>> {
    let value = |i: usize, j: usize| {
        4.0 + 0.1 * (1.7 * i as f64).sin() + 0.07 * (2.3 * (7 * i + j) as f64).cos()
    };
    sizes.iter().enumerate().map(|(i, &n)| (0..n).map(|j| value(i, j)).collect()).collect()
}

fn rows(coupons: &[Vec<f64>]) -> Vec<Row> {
    let mut rows = Vec::new();
    for (i, values) in coupons.iter().enumerate() {
        for (j, &value) in values.iter().enumerate() {
            rows.push(Row {
                coupon: Some(format!("C{i}")),
                section: j.to_string(),
                value_mm: Some(value),
                ..Row::default()
            });
        }
    }
    rows
}

fn main() {
    for n in [2, 5, 20, 1000] {
        timed(&format!("factor, n = {n}"), 50, || one_sided_factor(n, Assurance::USUAL));
    }
    for sizes in [vec![2; 2], vec![3; 3], vec![5; 5], vec![5; 10], vec![1, 9], vec![100; 20]] {
        let coupons = coupons(&sizes);
        let label =
            format!("bound, {} coupons, {} sections", sizes.len(), sizes.iter().sum::<usize>());
        timed(&label, 20, || Spread::of(&coupons).map(|spread| bound(&spread, Assurance::USUAL)));
    }
    let rows = rows(&coupons(&[3, 3, 3]));
    let options = Options { need_mm: Some(3.9), ..Options::default() };
    timed("claim, 3 coupons of 3", 20, || claim(&rows, &options));
    let options = Options { more: Some(Ask::default()), ..options };
    timed("claim and how many more", 3, || claim(&rows, &options));
}

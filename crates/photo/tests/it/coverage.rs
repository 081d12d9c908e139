//! Do the stated intervals hold the truth? A hundred of the drawn sections of `cargo xtask coverage`, marked as a hand would.

#[path = "../../examples/drawn_coverage/marking.rs"]
mod marking;

use marking::{Drawer, Outcome, cases, outcomes};

/// The chance that of `n` values at most `k` lie inside, each with chance `p`.
fn at_most(k: usize, n: usize, p: f64) -> f64 {
    let mut term = (1.0 - p).powi(n as i32);
    let mut sum = term;
    for i in 0..k {
        term *= (n - i) as f64 / (i + 1) as f64 * p / (1.0 - p);
        sum += term;
    }
    sum
}

fn median(mut of: Vec<f64>) -> f64 {
    of.sort_by(f64::total_cmp);
    of[of.len() / 2]
}

/// The truth is the drawn section's own geometry. The bars are those of the study of 1000: 95 % inside, a median error of 1 % and
/// a median uncertainty of 4 %. What holds them is thrown out here once in two hundred times (binomial; a median by how many
/// values lie below it). Points joined straight are clearly worse.
#[test]
fn intervals_hold_the_truth_as_often_as_they_say() {
    let all = outcomes(&cases(100, Drawer::First, 2027));
    let of = |straight: bool| all.iter().filter(move |o| o.straight == straight);
    let n = of(false).filter(|o| o.value.is_some()).count();
    let refused = of(false).count() - n;
    let inside = |straight: bool| of(straight).filter(|o| o.inside).count();
    let errors = |straight: bool| -> Vec<f64> {
        of(straight).filter_map(|o| Some((o.value? - o.truth).abs() / o.truth)).collect()
    };
    let expanded: Vec<f64> =
        of(false).filter_map(|o: &Outcome| Some(o.expanded / o.value?)).collect();
    println!(
        "guided: {} of {n} inside, {refused} refused, error {:.4}, U {:.4}; straight: {} inside, error {:.4}",
        inside(false),
        median(errors(false)),
        median(expanded.clone()),
        inside(true),
        median(errors(true))
    );
    assert!(n >= 80 && refused <= 5, "{n} stated, {refused} refused");
    let k = inside(false);
    assert!(at_most(k, n, 0.95) > 0.005, "{k} of {n} inside");
    assert!(k == 0 || at_most(k - 1, n, 0.95) < 0.995, "{k} of {n} inside: stated too wide");
    for (what, bar, values) in [("error", 0.01, errors(false)), ("U", 0.04, expanded)] {
        let below = values.iter().filter(|v| **v <= bar).count();
        assert!(at_most(below, n, 0.5) > 0.005, "{what}: {below} of {n} within {bar}");
    }
    assert!(median(errors(true)) > 3.0 * median(errors(false)) && inside(true) < k / 2);
}

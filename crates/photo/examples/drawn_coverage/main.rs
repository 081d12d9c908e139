//! Do the stated intervals hold the truth? Drawn sections read back, by joint and by nuisance.
//!
//! `cargo run --release -p photo --example drawn_coverage -- [PICTURES] [SEED]`.
//!
//! Each picture is drawn from a section whose readings are known, then marked as a person would: eight points or fewer
//! on the fused outline, beside toes and root but none within 5 % of the outline's length of them (`photo::drawn::hand`),
//! off by 0.5 % of the zone's width; plate points and scale ends off by a pixel. Read is the effective throat of a tee
//! (each side), the penetration of a butt (each side) and of a bead.
//!
//! For looking into single cases: `WORST=40` lists the worst, `ONLY=seed,seed` takes some, `QUICK=1` leaves the straight ones
//! out, `DUMP=folder` writes the pictures with what was read and what is true on them.
//!
//! Printed: of how many values an interval is stated (the others are refused: no fusion line is seen), how often it holds the
//! true value, and how often it does when a refusal counts as a miss; the median error, the median expanded uncertainty; the
//! same with the set points joined straight. Then a quarter as many pictures by a second drawer, which nothing was fitted to.

mod marking;

use marking::{Case, Drawer, Outcome, cases, outcomes};

fn main() {
    let mut args = std::env::args().skip(1);
    let pictures: usize = args.next().and_then(|a| a.parse().ok()).unwrap_or(1000);
    let seed: u64 = args.next().and_then(|a| a.parse().ok()).unwrap_or(1);
    study(cases(pictures, Drawer::First, seed));
    study(cases(pictures / 4, Drawer::HeldOut, seed.wrapping_add(1_000_000)));
}

fn study(mut cases: Vec<Case>) {
    if let Ok(only) = std::env::var("ONLY") {
        let only: Vec<u64> = only.split(',').filter_map(|v| v.parse().ok()).collect();
        cases.retain(|c| only.contains(&c.seed));
    }
    let Some(first) = cases.first() else { return };
    println!("\n==== {} pictures, drawer: {}", cases.len(), first.drawer.word());
    let outcomes = outcomes(&cases);
    let table = |title: &str, pick: &dyn Fn(&Case) -> String, straight: bool| {
        println!("\n{title}");
        println!(
            "{:<22} {:>5} {:>7} {:>8} {:>11} {:>9} {:>9} {:>8}",
            "", "n", "stated", "inside", "of all", "error", "U", "bias"
        );
        let mut names: Vec<String> = cases.iter().map(pick).collect();
        names.sort();
        names.dedup();
        names.push("all".to_owned());
        for name in names {
            let of: Vec<&Outcome> = outcomes
                .iter()
                .filter(|o| {
                    o.straight == straight && (name == "all" || pick(&cases[o.case]) == name)
                })
                .collect();
            row(&name, &of);
        }
    };
    table("guided, by nuisance", &|c| c.stratum.clone(), false);
    table("guided, by joint", &|c| c.joint.to_owned(), false);
    table("straight between the same points, by nuisance", &|c| c.stratum.clone(), true);
    if std::env::var_os("WORST").is_some() {
        let mut guided: Vec<&Outcome> = outcomes.iter().filter(|o| !o.straight).collect();
        let z = |o: &&Outcome| o.value.map_or(99.0, |v| ((v - o.truth) / o.u.max(1e-9)).abs());
        guided.sort_by(|a, b| z(b).total_cmp(&z(a)));
        for o in guided
            .iter()
            .take(std::env::var("WORST").ok().and_then(|v| v.parse().ok()).unwrap_or(40))
        {
            let c = &cases[o.case];
            println!(
                "{:<14} {:<10} {:<7} seed {:<6} {:?} truth {:.3} read {:?} U {:.4} why {}",
                c.stratum,
                c.kind.word(),
                c.drawer.word(),
                c.seed,
                o.side,
                o.truth,
                o.value,
                o.expanded,
                o.why
            );
        }
    }
}

fn row(name: &str, of: &[&Outcome]) {
    let n = of.len();
    if n == 0 {
        return;
    }
    let inside = of.iter().filter(|o| o.inside).count();
    let stated = of.iter().filter(|o| o.value.is_some()).count();
    let median = |mut v: Vec<f64>| {
        v.sort_by(f64::total_cmp);
        v.get(v.len() / 2).copied().unwrap_or(f64::NAN)
    };
    let relative: Vec<f64> =
        of.iter().filter_map(|o| Some((o.value? - o.truth) / o.truth)).collect();
    let error = median(relative.iter().map(|e| e.abs()).collect());
    let expanded = median(of.iter().filter_map(|o| Some(o.expanded / o.value?)).collect());
    println!(
        "{name:<22} {n:>5} {stated:>7} {:>7.1}% {:>10.1}% {:>8.2}% {:>8.2}% {:>7.2}%",
        100.0 * inside as f64 / stated.max(1) as f64,
        100.0 * inside as f64 / n as f64,
        100.0 * error,
        100.0 * expanded,
        100.0 * median(relative)
    );
}

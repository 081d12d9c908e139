//! Times of the tiers and of the search, each with its limit. Ends with 1 when one is over.

use physics::keyhole::Resolution;
use physics::melt::{Calibration, Tier};
use physics::metal::Metal;
use physics::predict::{expected, predict};
use physics::search::{Goal, Gun, Hand, candidates, look, sieve, worth_a_look};
use physics::setting::{Plates, Work};
use std::process::ExitCode;
use std::time::Instant;
use weld::quantity::{Angle, Length, Temperature};

fn main() -> ExitCode {
    let work = Work {
        metal: Metal::CarbonSteel,
        temperature: Temperature::from_deg_c(20.0),
        joint: Plates::Tee {
            base: Length::from_mm(8.0),
            upright: Length::from_mm(5.0),
            angle: Angle::from_deg(90.0),
            gap: Length::ZERO,
            both: true,
        },
    };
    let goal =
        Goal { throat: 2.5, depth_counts: true, least_leg: None, full: false, fused: [0.0; 2] };
    let all = candidates(&Gun::common(), &work);
    let some: Vec<_> = all.iter().step_by(37).collect();
    let mut over = false;
    let mut time = |name: &str, limit_ms: f64, run: &mut dyn FnMut(usize)| {
        let start = Instant::now();
        (0..some.len()).for_each(&mut *run);
        let ms = start.elapsed().as_secs_f64() * 1e3 / some.len() as f64;
        over |= ms > limit_ms;
        println!("{name:<44} {ms:>8.3} ms (limit {limit_ms} ms)");
    };
    let fine = Tier::Keyhole(Resolution::INTERACTIVE);
    let none = Calibration::NONE;
    time("quick tier with section and readings", 0.5, &mut |i| {
        drop(expected(some[i], &work, Tier::Quick, none))
    });
    time("keyhole tier, section and readings", 2.0, &mut |i| {
        drop(expected(some[i], &work, fine, none))
    });
    time("keyhole tier with both ends of the band", 4.0, &mut |i| {
        drop(predict(some[i], &work, fine, none))
    });
    let start = Instant::now();
    let sieved: Vec<_> = all.iter().filter_map(|l| sieve(l, &work, &goal).ok()).collect();
    let first = start.elapsed().as_secs_f64();
    let best = worth_a_look(sieved, 300);
    let served = best
        .iter()
        .filter_map(|l| look(l, &work, &goal, Hand::USUAL).ok())
        .filter(|c| c.bites == physics::search::Bites::Nothing)
        .count();
    let second = start.elapsed().as_secs_f64() - first;
    println!(
        "search over {} settings, one core: sieve {first:.2} s, {} looked at closely {second:.2} s, {served} serve",
        all.len(),
        best.len()
    );
    ExitCode::from(u8::from(over))
}

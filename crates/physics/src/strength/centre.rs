//! A weld group loaded off its centre, about its instantaneous centre of rotation (AISC 360 J2.4(b)).
//!
//! ```text
//!   the group turns about a centre; a piece of weld at distance r moves square to r by D = r · min(Du/r)
//!   its load:  0.60 FEXX · throat · (1 + 0.5 sin^1.5 t) [p (1.9 - 0.9 p)]^0.3      p = D / Dm
//!              Dm = 0.209 (t + 2)^-0.32 w      Du = 1.087 (t + 6)^-0.65 w <= 0.17 w      t in degrees
//!   the centre is where all pieces together balance the load
//! ```
//!
//! The load need not pass through the centroid for nothing to turn: transverse welds are the stronger, and a load through
//! the centre of *strength* only shifts the group. The motion is therefore sought as shift and turn together.
//!
//! The leg w cancels. Result: an *effective length* (mm), so that the nominal strength of the group in the direction of
//! the load is `0.60 FEXX · throat · effective length`; the resistance factor is 0.75, the safety factor 2.00.
//! The tables' coefficient is `C = 0.60 · 70 ksi · 0.7071/16 · effective length / l` kip/in per sixteenth.
//!
//! Each straight run is cut into pieces of 1/400 of the group's length (at least 8 a run); with four times as many the
//! tables' coefficients change by 1e-4 of themselves.
//!
//! Sources: [`AISC_360_ELEMENT_LAW`](weld::source::AISC_360_ELEMENT_LAW),
//! [`AISC_MANUAL_TABLE_8_8`](weld::source::AISC_MANUAL_TABLE_8_8),
//! [`AISC_360_CONCENTRIC_GROUP`](weld::source::AISC_360_CONCENTRIC_GROUP).
//! Not covered: load out of the plane of the group, circles, runs of different size, penetration (a deep weld's
//! deformation is not that of the fillets tested).

use weld::quantity::Length;
use weld::section::Point;

use super::american::of_sine;
use super::group::{GroupError, Run, check, figure, lines};

/// What the group carries.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Turning {
    /// Length of weld that, loaded along itself, would carry the same.
    pub effective_length: Length,
    /// The instantaneous centre; `None` when nothing turns.
    pub centre: Option<Point>,
}

/// A piece of weld: where, how long, which way it runs.
struct Piece {
    at: Point,
    length: f64,
    along: Point,
}

/// Nominal strength of a group of straight runs, for a force in the group's plane through `at` in direction `direction`.
///
/// # Errors
///
/// When a run is not straight or of no usable length, the load has no direction, or no balance is found.
pub fn instantaneous(runs: &[Run], at: Point, direction: Point) -> Result<Turning, GroupError> {
    check(runs)?;
    for value in [at.x, at.y] {
        figure(value, 1e6)?;
    }
    let direction = direction.unit().ok_or(GroupError::Load { value: direction.norm() })?;
    let group = lines(runs)?;
    let at = at - group.centroid;
    let mut pieces = Vec::new();
    for (i, run) in runs.iter().enumerate() {
        let Run::Line { from, to } = *run else { return Err(GroupError::Circle { index: i + 1 }) };
        let step = to - from;
        let Some(along) = step.unit() else {
            return Err(GroupError::Run { index: i + 1, length: step.norm() });
        };
        let count = (400.0 * step.norm() / group.length).ceil().max(8.0);
        let length = step.norm() / count;
        // At most 400 and one more.
        for k in 0..count as u32 {
            let place = from.towards(to, (f64::from(k) + 0.5) / count);
            pieces.push(Piece { at: place - group.centroid, length, along });
        }
    }
    // Moments are measured at the radius of gyration, so that elastic welds resist like to like.
    let gyration = (group.j() / group.length).sqrt();
    let pull = [direction.x, direction.y, at.cross(direction) / gyration];
    let size = norm(pull);
    let target = pull.map(|part| part / size);
    let problem = Problem { pieces: &pieces, gyration, target };
    let mut best = problem.solve(target);
    // The elastic motion is nearly always a good start; where it is not, one of its neighbours is.
    for (i, j) in NEIGHBOURS {
        if best.1.off() < BALANCED {
            break;
        }
        let next = problem.solve(moved(target, [i, j]));
        if next.1.off() < best.1.off() {
            best = next;
        }
    }
    let (motion, balance) = best;
    if balance.off() >= BALANCED {
        return Err(GroupError::NotBalanced { off: balance.off() });
    }
    let turn = motion[2] / gyration;
    let centre = Point::new(motion[0], motion[1]).left() * (1.0 / turn) + group.centroid;
    Ok(Turning {
        effective_length: Length::from_mm(balance.force / size),
        centre: (centre.x.is_finite() && centre.y.is_finite()).then_some(centre),
    })
}

/// What may stay out of balance, as a share of the loads on all pieces: far inside the tables' digits.
const BALANCED: f64 = 1e-5;

/// Starts beside the elastic one.
const NEIGHBOURS: [(f64, f64); 12] = [
    (0.3, 0.0),
    (-0.3, 0.0),
    (0.0, 0.3),
    (0.0, -0.3),
    (0.6, 0.6),
    (-0.6, 0.6),
    (0.6, -0.6),
    (-0.6, -0.6),
    (1.5, 0.0),
    (-1.5, 0.0),
    (0.0, 1.5),
    (0.0, -1.5),
];

/// How the group moves: the centroid along x and y, and a turn to the left at the radius of gyration; of size one.
/// Shifting without turning is one of them, so that nothing breaks where the centre runs off without end.
type Motion = [f64; 3];

fn norm(v: [f64; 3]) -> f64 {
    v[0].hypot(v[1]).hypot(v[2])
}

fn dot(a: [f64; 3], b: [f64; 3]) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

/// Two unit steps square to a unit vector and to each other.
fn square_to(v: [f64; 3]) -> [[f64; 3]; 2] {
    // Crossed with the axis that it is farthest from.
    let axis = (0..3).fold(0, |least, i| if v[i].abs() < v[least].abs() { i } else { least });
    let mut e = [0.0; 3];
    e[axis] = 1.0;
    let cross = |a: [f64; 3], b: [f64; 3]| {
        [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
    };
    let first = cross(v, e);
    let size = norm(first);
    let first = first.map(|part| part / size);
    [first, cross(v, first)]
}

/// A motion a little off another.
fn moved(from: Motion, step: [f64; 2]) -> Motion {
    let [a, b] = square_to(from);
    let to: Motion = std::array::from_fn(|i| from[i] + step[0] * a[i] + step[1] * b[i]);
    let size = norm(to);
    to.map(|part| part / size)
}

/// The group and its load, about the centroid.
struct Problem<'a> {
    pieces: &'a [Piece],
    gyration: f64,
    /// Force along x, y and moment over the radius of gyration, of size one.
    target: [f64; 3],
}

/// How the pieces' loads lie to the load, for one motion.
#[derive(Clone, Copy)]
struct Balance {
    /// What lies square to the load, as shares of all loads.
    square: [f64; 2],
    /// What lies along it, mm of longitudinal weld.
    force: f64,
}

impl Balance {
    fn off(&self) -> f64 {
        let off = self.square[0].hypot(self.square[1]);
        // A motion whose welds pull the wrong way is no balance.
        if off.is_finite() && self.force > 0.0 { off } else { f64::MAX }
    }
}

impl Problem<'_> {
    fn balance(&self, motion: Motion) -> Balance {
        let shift = Point::new(motion[0], motion[1]);
        let turn = motion[2] / self.gyration;
        let mut least = f64::MAX;
        for piece in self.pieces {
            let step = shift + piece.at.left() * turn;
            if let Some(way) = step.unit() {
                least = least.min(ultimate(between(way, piece.along).1) / step.norm());
            }
        }
        let mut sum =
            Sum { shift, turn, scale: least, force: Point::default(), moment: 0.0, all: 0.0 };
        for piece in self.pieces {
            sum.add(piece.at, piece.along, piece.length, 0);
        }
        let loads = [sum.force.x, sum.force.y, sum.moment / self.gyration];
        let [a, b] = square_to(self.target);
        Balance {
            square: [dot(loads, a) / sum.all, dot(loads, b) / sum.all],
            force: dot(loads, self.target),
        }
    }

    /// Newton's steps with differences, shortened until they help.
    fn solve(&self, start: Motion) -> (Motion, Balance) {
        const H: f64 = 1e-6;
        let mut motion = start;
        let mut now = self.balance(motion);
        for _ in 0..60 {
            if now.off() < 1e-11 {
                break;
            }
            let [ax, ay] = self.balance(moved(motion, [H, 0.0])).square;
            let [bx, by] = self.balance(moved(motion, [0.0, H])).square;
            let [x, y] = now.square;
            let (ax, ay, bx, by) = ((ax - x) / H, (ay - y) / H, (bx - x) / H, (by - y) / H);
            let det = ax * by - bx * ay;
            let full = [(bx * y - by * x) / det, (ay * x - ax * y) / det];
            let size = full[0].hypot(full[1]);
            if !size.is_finite() {
                break;
            }
            let mut share = (0.5 / size).min(1.0);
            let mut helped = false;
            for _ in 0..30 {
                let to = moved(motion, full.map(|part| part * share));
                let next = self.balance(to);
                if next.off() < now.off() {
                    (motion, now, helped) = (to, next, true);
                    break;
                }
                share *= 0.5;
            }
            if !helped {
                break;
            }
        }
        (motion, now)
    }
}

/// The element law: load per unit length over that of a longitudinal weld, at a share of the deformation.
fn law(sine: f64, degrees: f64, moved: f64) -> f64 {
    let p = moved / (0.209 * (degrees + 2.0).powf(-0.32));
    of_sine(sine) * (p * (1.9 - 0.9 * p)).max(0.0).powf(0.3)
}

/// Greatest deformation before rupture, per leg.
fn ultimate(degrees: f64) -> f64 {
    (1.087 * (degrees + 6.0).powf(-0.65)).min(0.17)
}

/// Sine and degrees between a direction and a piece.
fn between(direction: Point, along: Point) -> (f64, f64) {
    let sine = direction.cross(along).abs().min(1.0);
    let cosine = direction.dot(along).abs();
    (sine, sine.atan2(cosine).to_degrees())
}

/// Loads of the pieces for one motion.
struct Sum {
    shift: Point,
    turn: f64,
    scale: f64,
    force: Point,
    moment: f64,
    all: f64,
}

impl Sum {
    /// Adds a piece. Near the centre the direction swings round and the load rises as r^0.3: there the piece is cut in
    /// eight, four times over at most, so that the sum changes smoothly as the centre moves.
    fn add(&mut self, at: Point, along: Point, length: f64, depth: u8) {
        let step = self.shift + at.left() * self.turn;
        let size = step.norm();
        if size < 2.0 * length * self.turn.abs() && depth < 4 {
            let part = 0.125 * length;
            for k in 0..8 {
                let shift = (f64::from(k) - 3.5) * part;
                self.add(at + along * shift, along, part, depth + 1);
            }
            return;
        }
        // At the very centre nothing moves and nothing is carried.
        let Some(way) = step.unit() else { return };
        let (sine, degrees) = between(way, along);
        let load = length * law(sine, degrees, self.scale * size);
        self.force = self.force + way * load;
        self.moment += at.cross(way) * load;
        self.all += load;
    }
}

/// Strength of longitudinal and transverse fillets loaded together through their centroid, as an effective length:
/// the greater of `L + T` and `0.85 L + 1.5 T`.
#[must_use]
pub fn concentric(longitudinal: Length, transverse: Length) -> Length {
    (longitudinal + transverse).max(0.85 * longitudinal + 1.5 * transverse)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    /// kip/in per sixteenth of leg of E70, nominal, for an effective length of l.
    const C1: f64 = 0.60 * 70.0 * std::f64::consts::FRAC_1_SQRT_2 / 16.0;

    /// C-shaped group of the tables: web l = 100, flanges k l, load parallel to the web a l from the centroid.
    fn coefficient(k: f64, a: f64) -> f64 {
        let l = 100.0;
        let mut runs = vec![Run::Line { from: Point::new(0.0, 0.0), to: Point::new(0.0, l) }];
        if k > 0.0 {
            for y in [0.0, l] {
                runs.push(Run::Line { from: Point::new(0.0, y), to: Point::new(k * l, y) });
            }
        }
        let centroid = lines(&runs).unwrap().centroid;
        let at = Point::new(centroid.x + a * l, centroid.y);
        let turning = instantaneous(&runs, at, Point::new(0.0, -1.0)).unwrap();
        C1 * turning.effective_length.mm() / l
    }

    /// Check values 3.12 to 3.12d: Table 8-8 ([`AISC_MANUAL_TABLE_8_8`](weld::source::AISC_MANUAL_TABLE_8_8), quoted), two
    /// decimals: half a unit of the last, and 5e-4 for the length of our pieces (4.1052 here, 4.1048 with pieces a quarter
    /// as long, printed 4.11).
    #[test]
    fn coefficients_of_table_8_8() {
        for (k, a, published) in [
            (0.0, 0.10, 1.86),
            (0.0, 0.20, 1.76),
            (0.0, 0.25, 1.66),
            (0.2, 0.25, 2.51),
            (0.5, 0.10, 4.37),
            (0.5, 0.20, 4.11),
            (0.5, 0.25, 3.90),
            (0.7, 0.25, 4.87),
            (0.7, 0.30, 4.60),
            (0.7, 0.40, 4.07),
            (0.7, 0.50, 3.60),
            (0.7, 0.60, 3.20),
            (0.7, 0.70, 2.87),
        ] {
            let found = coefficient(k, a);
            assert!(
                (found - published).abs() <= 0.0055,
                "k {k} a {a}: {found:.4} against {published}"
            );
        }
    }

    /// Check values 3.13: a = 0: 1.856 max(L + T, 0.85 L + 1.5 T), L = 1, T = 2k; two decimals. One row is cut,
    /// not rounded (5.4757 is printed 5.47), so one whole last digit.
    #[test]
    fn coefficients_without_lever() {
        for (k, published) in [
            (0.1, 2.23),
            (0.2, 2.69),
            (0.3, 3.25),
            (0.5, 4.36),
            (0.7, 5.47),
            (1.2, 8.26),
            (1.4, 9.37),
        ] {
            let found = C1 * concentric(Length::from_mm(1.0), Length::from_mm(2.0 * k)).mm();
            assert!((found - published).abs() < 0.01, "k {k}: {found:.4} against {published}");
        }
    }

    /// A run loaded along itself is its own effective length: the law's greatest is 1.0004 at the deformation reached,
    /// p = 0.17 / (0.209 · 2^-0.32) = 1.0154, [p(1.9 - 0.9p)]^0.3. Across, it is 1.5 times that at p = 1.154.
    #[test]
    fn along_itself_a_run_counts_whole() {
        let run = [Run::Line { from: Point::default(), to: Point::new(0.0, 50.0) }];
        let found = |direction| {
            let turning = instantaneous(&run, Point::new(0.0, 25.0), direction).unwrap();
            assert_eq!(turning.centre, None);
            turning.effective_length.mm()
        };
        let law = |p: f64| (p * (1.9 - 0.9 * p)).powf(0.3);
        let along = 0.17 / (0.209 * 2.0_f64.powf(-0.32));
        assert!((found(Point::new(0.0, 1.0)) - 50.0 * law(along)).abs() < 1e-9);
        assert!((law(along) - 1.0).abs() < 2e-3);
        let across = 1.087 * 96.0_f64.powf(-0.65) / (0.209 * 92.0_f64.powf(-0.32));
        assert!((found(Point::new(1.0, 0.0)) - 75.0 * law(across)).abs() < 1e-9);
    }

    #[test]
    fn a_circle_is_refused() {
        let circle = Run::Circle { centre: Point::default(), radius: 10.0 };
        let refused =
            instantaneous(&[circle], Point::new(50.0, 0.0), Point::new(0.0, 1.0)).unwrap_err();
        assert_eq!(
            refused.to_string(),
            "run 1 (counted from 1) is a circle: the instantaneous centre is worked out for straight runs"
        );
        assert!(refused.advice().contains("elastic"));
        let line = Run::Line { from: Point::default(), to: Point::new(0.0, 1.0) };
        assert!(matches!(
            instantaneous(&[line], Point::new(50.0, 0.0), Point::default()),
            Err(GroupError::Load { .. })
        ));
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(64))]
        /// Any L-shaped group and load: the same when everything is turned, and never more than all of it across.
        #[test]
        fn turning_everything_changes_nothing(
            b in 20.0..200.0_f64, d in 20.0..200.0_f64, x in -400.0..400.0_f64, y in -400.0..400.0_f64,
            way in 0.0..6.2_f64, turn in 0.0..6.2_f64,
        ) {
            let strength = |turn: f64| {
                let (s, c) = turn.sin_cos();
                let place = |x: f64, y: f64| Point::new(c * x - s * y, s * x + c * y);
                let runs = [
                    Run::Line { from: place(0.0, 0.0), to: place(0.0, d) },
                    Run::Line { from: place(0.0, 0.0), to: place(b, 0.0) },
                ];
                instantaneous(&runs, place(x, y), place(way.cos(), way.sin())).map(|t| t.effective_length.mm())
            };
            let (a, b_) = (strength(0.0).unwrap(), strength(turn).unwrap());
            prop_assert!((a / b_ - 1.0).abs() < 1e-4, "{a} {b_}");
            prop_assert!(a > 0.0 && a <= 1.5 * (b + d) * 1.001);
        }

        /// A longer lever never carries more; below 0.2 l the turning still brings stronger directions in.
        #[test]
        fn a_longer_lever_carries_no_more(k in 0.0..1.5_f64, a in 0.2..2.0_f64, more in 0.0..1.0_f64) {
            prop_assert!(coefficient(k, a + more) <= coefficient(k, a) * (1.0 + 1e-6));
        }
    }
}

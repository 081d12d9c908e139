//! A weld group loaded off its centre, by the elastic line method.
//!
//! ```text
//!   welds as lines of unit throat, in the plane of the faying surface, mm:
//!     L = Σ length     Ix = ∫ y² ds     Iy = ∫ x² ds     Ixy = ∫ x y ds     J = Ix + Iy     (about the centroid)
//!   line load at a point (x, y), force F at r from the centroid, M = r × F:
//!     fx = Fx/L - Mz y/J      fy = Fy/L + Mz x/J      fz = Fz/L + the bending share of Mx, My
//! ```
//!
//! Every weld has the same throat. The peak is found exactly: a straight run has it at an end, a circle where its
//! direction says. What comes out is a line load, N/mm, to be held against a resistance per millimetre.
//!
//! Source: [`BLODGETT_WELD_LINES`](weld::source::BLODGETT_WELD_LINES).
//! Not covered: plastic redistribution (see [`centre`](super::centre)), welds of different throats, contact in
//! compression, fatigue.

use weld::quantity::show::given;
use weld::quantity::{Force, LineLoad};
use weld::section::Point;

/// One run of weld, millimetres in the plane of the group.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Run {
    /// Straight.
    Line {
        /// From here.
        from: Point,
        /// To there.
        to: Point,
    },
    /// All round a circle.
    Circle {
        /// Its centre.
        centre: Point,
        /// Its radius, mm.
        radius: f64,
    },
}

impl Run {
    fn length(&self) -> f64 {
        match self {
            Self::Line { from, to } => (*to - *from).norm(),
            Self::Circle { radius, .. } => std::f64::consts::TAU * radius,
        }
    }

    fn middle(&self) -> Point {
        match self {
            Self::Line { from, to } => from.towards(*to, 0.5),
            Self::Circle { centre, .. } => *centre,
        }
    }
}

/// Why a group cannot be worked out.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum GroupError {
    /// No runs.
    #[error("the group has no weld")]
    Empty,
    /// A run is no run.
    #[error("run {index} (counted from 1) is no weld: its length is {length} mm")]
    Run {
        /// Which, from 1.
        index: usize,
        /// Its length as given.
        length: f64,
    },
    /// A force or a place is not finite or beyond reason.
    #[error("the load or its place is not a usable figure ({})", given(*value))]
    Load {
        /// The figure.
        value: f64,
    },
    /// All welds lie on one line, and the load turns about it.
    #[error(
        "all welds lie on one line, and the load has a lever of {lever:.2} mm about it: a line resists no turning about itself"
    )]
    OneLine {
        /// Lever of the force, mm.
        lever: f64,
    },
    /// A circle, where only straight runs are covered.
    #[error(
        "run {index} (counted from 1) is a circle: the instantaneous centre is worked out for straight runs"
    )]
    Circle {
        /// Which, from 1.
        index: usize,
    },
    /// No centre was found at which the welds and the load balance.
    #[error(
        "no instantaneous centre was found: the welds and the load stay {off:.1e} of the load out of balance"
    )]
    NotBalanced {
        /// What is left over, of the load.
        off: f64,
    },
}

impl GroupError {
    /// What to do next.
    #[must_use]
    pub const fn advice(&self) -> &'static str {
        match self {
            Self::Empty => "give at least one run with its two ends",
            Self::Run { .. } => "give each run two different ends, from 0.001 mm to 100 m apart",
            Self::Load { .. } => {
                "give the force and its place as finite figures, up to 1e12 N and 1 km"
            }
            Self::OneLine { .. } => "add welds off the line, or bring the load onto it",
            Self::Circle { .. } => {
                "use the elastic method for circles, or replace the circle by straight runs"
            }
            Self::NotBalanced { .. } => "use the elastic method: it is on the safe side",
        }
    }
}

/// Properties of a group as lines, about its centroid.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lines {
    /// Length, mm.
    pub length: f64,
    /// Centroid.
    pub centroid: Point,
    /// `∫ y² ds`, mm³.
    pub ix: f64,
    /// `∫ x² ds`, mm³.
    pub iy: f64,
    /// `∫ x y ds`, mm³.
    pub ixy: f64,
    /// Farthest y above and below the centroid, mm.
    pub reach_y: [f64; 2],
    /// Farthest x right and left of the centroid, mm.
    pub reach_x: [f64; 2],
}

impl Lines {
    /// Polar moment `J`, mm³.
    #[must_use]
    pub fn j(&self) -> f64 {
        self.ix + self.iy
    }

    /// Section modulus for bending about x, to the farther edge, mm².
    #[must_use]
    pub fn sx(&self) -> f64 {
        modulus(self.ix, self.reach_y)
    }

    /// Section modulus for bending about y, to the farther edge, mm².
    #[must_use]
    pub fn sy(&self) -> f64 {
        modulus(self.iy, self.reach_x)
    }
}

/// Moment over the farther reach; a line along its own axis has neither, and no modulus.
fn modulus(moment: f64, reach: [f64; 2]) -> f64 {
    let far = reach[0].max(reach[1]);
    if far > 0.0 { moment / far } else { 0.0 }
}

pub(super) fn check(runs: &[Run]) -> Result<(), GroupError> {
    if runs.is_empty() {
        return Err(GroupError::Empty);
    }
    for (i, run) in runs.iter().enumerate() {
        let length = run.length();
        let at = run.middle();
        let usable = (1e-3..=1e5).contains(&length) && at.x.abs() <= 1e6 && at.y.abs() <= 1e6;
        if !usable {
            return Err(GroupError::Run { index: i + 1, length });
        }
    }
    Ok(())
}

pub(super) fn figure(value: f64, greatest: f64) -> Result<(), GroupError> {
    if value.abs() <= greatest { Ok(()) } else { Err(GroupError::Load { value }) }
}

/// Properties of the runs as lines.
///
/// # Errors
///
/// When there is no run, or one of no usable length.
pub fn lines(runs: &[Run]) -> Result<Lines, GroupError> {
    check(runs)?;
    let length: f64 = runs.iter().map(Run::length).sum();
    let mut centroid = Point::default();
    for run in runs {
        centroid = centroid + run.middle() * (run.length() / length);
    }
    let mut out = Lines {
        length,
        centroid,
        ix: 0.0,
        iy: 0.0,
        ixy: 0.0,
        reach_y: [0.0; 2],
        reach_x: [0.0; 2],
    };
    for run in runs {
        let l = run.length();
        let m = run.middle() - centroid;
        // Own moments about the run's middle: a line's l d d / 12, a circle's pi r^3 each way.
        let (own_x, own_y, own_xy, span) = match run {
            Run::Line { from, to } => {
                let d = *to - *from;
                (l * d.y * d.y / 12.0, l * d.x * d.x / 12.0, l * d.x * d.y / 12.0, d * 0.5)
            }
            Run::Circle { radius, .. } => {
                let own = 0.5 * l * radius * radius;
                (own, own, 0.0, Point::new(*radius, *radius))
            }
        };
        out.ix += own_x + l * m.y * m.y;
        out.iy += own_y + l * m.x * m.x;
        out.ixy += own_xy + l * m.x * m.y;
        for (reach, middle, half) in
            [(&mut out.reach_y, m.y, span.y.abs()), (&mut out.reach_x, m.x, span.x.abs())]
        {
            reach[0] = reach[0].max(middle + half);
            reach[1] = reach[1].max(half - middle);
        }
    }
    Ok(out)
}

/// A force at a place; x and y lie in the plane of the group, z stands on it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Eccentric {
    /// Parts along x, y, z.
    pub force: [Force; 3],
    /// Where it acts, mm, in the coordinates of the runs; z above their plane.
    pub at: [f64; 3],
}

/// The greatest line load in a group.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Peak {
    /// How much, on each millimetre of weld.
    pub line_load: LineLoad,
    /// Its parts along x, y, z.
    pub parts: [LineLoad; 3],
    /// Where.
    pub at: Point,
    /// On which run, from 0.
    pub run: usize,
}

/// The line load everywhere in a group: linear in the place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Field {
    centroid: Point,
    even: [f64; 3],
    /// In the plane, per mm square to the arm.
    turn: f64,
    /// Out of the plane, per mm along x and along y.
    bend: [f64; 2],
}

impl Field {
    /// Line load at a place, along x, y, z.
    #[must_use]
    pub fn at(&self, place: Point) -> [LineLoad; 3] {
        self.n_per_mm(place).map(LineLoad::from_n_per_mm)
    }

    fn n_per_mm(&self, place: Point) -> [f64; 3] {
        let d = place - self.centroid;
        let [x, y, z] = self.even;
        [x - self.turn * d.y, y + self.turn * d.x, z + self.bend[0] * d.x + self.bend[1] * d.y]
    }

    fn size(&self, place: Point) -> f64 {
        let [x, y, z] = self.n_per_mm(place);
        x.hypot(y).hypot(z)
    }
}

/// The line loads that a force off the centre puts on a group, elastic.
///
/// # Errors
///
/// As [`lines`]; when a figure of the load is not usable; when all welds lie on one line and the load turns about it.
pub fn field(runs: &[Run], load: &Eccentric) -> Result<Field, GroupError> {
    let lines = lines(runs)?;
    let [fx, fy, fz] = load.force.map(|force| force.n());
    for value in [fx, fy, fz] {
        figure(value, 1e12)?;
    }
    for value in load.at {
        figure(value, 1e6)?;
    }
    let (rx, ry, rz) = (load.at[0] - lines.centroid.x, load.at[1] - lines.centroid.y, load.at[2]);
    let (mx, my, mz) = (ry * fz - rz * fy, rz * fx - rx * fz, rx * fy - ry * fx);
    let (l, j) = (lines.length, lines.j());
    // fz = alpha x + beta y with  ∫ fz y = Mx  and  ∫ fz x = -My.
    let det = lines.ix * lines.iy - lines.ixy * lines.ixy;
    let bend = if det > 1e-12 * j * j {
        [(-my * lines.ix - mx * lines.ixy) / det, (mx * lines.iy + my * lines.ixy) / det]
    } else {
        // All on one line: it resists the moment that bends it, not the one about itself.
        let angle = 0.5 * (2.0 * lines.ixy).atan2(lines.iy - lines.ix);
        let (sin, cos) = angle.sin_cos();
        let about_line = mx * cos + my * sin;
        let force = fx.hypot(fy).hypot(fz);
        let size = force * (l + rx.hypot(ry).hypot(rz));
        if about_line.abs() > 1e-9 * size {
            return Err(GroupError::OneLine { lever: about_line.abs() / force });
        }
        let bends = mx * sin - my * cos;
        [bends * cos / j, bends * sin / j]
    };
    Ok(Field { centroid: lines.centroid, even: [fx / l, fy / l, fz / l], turn: mz / j, bend })
}

/// The greatest line load that a force off the centre puts on a group, elastic.
///
/// # Errors
///
/// As [`field`].
pub fn elastic(runs: &[Run], load: &Eccentric) -> Result<Peak, GroupError> {
    let field = field(runs, load)?;
    let mut best = (0, Point::default(), -1.0);
    let mut look = |run: usize, p: Point| {
        let s = field.size(p);
        if s > best.2 {
            best = (run, p, s);
        }
    };
    for (i, run) in runs.iter().enumerate() {
        match *run {
            // The square of a linear function is greatest at an end.
            Run::Line { from, to } => {
                look(i, from);
                look(i, to);
            }
            Run::Circle { centre, radius } => {
                let on = |angle: f64| centre + Point::new(angle.cos(), angle.sin()) * radius;
                look(i, on(peak_angle(|angle| field.size(on(angle)))));
            }
        }
    }
    let (run, at, line_load) = best;
    Ok(Peak { line_load: LineLoad::from_n_per_mm(line_load), parts: field.at(at), at, run })
}

/// Where on a circle a smooth load is greatest: the best of 360 places, then closed in on.
fn peak_angle(load: impl Fn(f64) -> f64) -> f64 {
    let step = std::f64::consts::TAU / 360.0;
    let best = (0..360)
        .map(|i| f64::from(i) * step)
        .max_by(|a, b| load(*a).total_cmp(&load(*b)))
        .unwrap_or(0.0);
    let (mut low, mut high) = (best - step, best + step);
    for _ in 0..80 {
        let third = (high - low) / 3.0;
        if load(low + third) < load(high - third) { low += third } else { high -= third }
    }
    0.5 * (low + high)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn line(x0: f64, y0: f64, x1: f64, y1: f64) -> Run {
        Run::Line { from: Point::new(x0, y0), to: Point::new(x1, y1) }
    }

    fn c_shape(b: f64, d: f64) -> Vec<Run> {
        vec![line(0.0, 0.0, 0.0, d), line(0.0, 0.0, b, 0.0), line(0.0, d, b, d)]
    }

    /// Check values 3.10 to 3.10f ([`BLODGETT_WELD_LINES`](weld::source::BLODGETT_WELD_LINES), quoted): formulas of the
    /// table at b 4, d 6; exact but for rounding.
    #[test]
    fn line_properties_of_the_table() {
        let (b, d) = (4.0_f64, 6.0_f64);
        let close = |a: f64, b: f64| assert!((a - b).abs() <= 1e-12 * b.abs(), "{a} against {b}");
        let vertical = lines(&[line(0.0, 0.0, 0.0, d)]).unwrap();
        close(vertical.sx(), 6.0);
        close(vertical.j(), 18.0);
        let verticals = lines(&[line(0.0, 0.0, 0.0, d), line(b, 0.0, b, d)]).unwrap();
        close(verticals.sx(), 12.0);
        close(verticals.j(), 84.0);
        let horizontals = lines(&[line(0.0, 0.0, b, 0.0), line(0.0, d, b, d)]).unwrap();
        close(horizontals.sx(), 24.0);
        close(horizontals.j(), b * (3.0 * d * d + b * b) / 6.0);
        assert!((horizontals.j() - 82.667).abs() < 0.5e-3);
        let angle = lines(&[line(0.0, 0.0, 0.0, d), line(0.0, 0.0, b, 0.0)]).unwrap();
        close(angle.j(), ((b + d).powi(4) - 6.0 * b * b * d * d) / (12.0 * (b + d)));
        assert!((angle.j() - 54.533).abs() < 0.5e-3);
        let c = lines(&c_shape(b, d)).unwrap();
        close(c.sx(), 30.0);
        close(c.centroid.x, b * b / (2.0 * b + d));
        assert!((c.j() - 114.381).abs() < 0.5e-3 && (c.centroid.x - 1.142_86).abs() < 0.5e-5);
        let mut all_round = c_shape(b, d);
        all_round.push(line(b, 0.0, b, d));
        let all_round = lines(&all_round).unwrap();
        close(all_round.sx(), 36.0);
        close(all_round.j(), (b + d).powi(3) / 6.0);
    }

    /// Check value 3.10g, recalled: circle r 3: S = 28.274, J = 169.646, three decimals.
    #[test]
    fn line_properties_of_a_circle() {
        let circle = lines(&[Run::Circle { centre: Point::new(1.0, 2.0), radius: 3.0 }]).unwrap();
        assert!((circle.sx() - 28.274).abs() < 0.5e-3 && (circle.sy() - 28.274).abs() < 0.5e-3);
        assert!((circle.j() - 169.646).abs() < 0.5e-3);
    }

    /// Check value 3.11, computed there by integration: C weld 200 x 100 mm, 50 kN parallel to the web 250 mm from it:
    /// centroid 25.0 mm, J 3.08333e6 mm3, 540.41 N/mm at a flange tip.
    #[test]
    fn eccentric_c_weld() {
        let runs = c_shape(100.0, 200.0);
        let group = lines(&runs).unwrap();
        assert!((group.centroid.x - 25.0).abs() < 1e-12);
        assert!((group.j() - 3.083_33e6).abs() < 5.0);
        let load = Eccentric {
            force: [Force::ZERO, Force::from_kn(50.0), Force::ZERO],
            at: [250.0, 100.0, 0.0],
        };
        let peak = elastic(&runs, &load).unwrap();
        assert!(
            (peak.line_load.n_per_mm() - 540.41).abs() < 0.005,
            "{}",
            peak.line_load.n_per_mm()
        );
        assert_eq!(peak.at.x, 100.0);
    }

    #[test]
    fn a_single_line_does_not_turn_about_itself() {
        let runs = [line(0.0, 0.0, 100.0, 0.0)];
        let load = |at| Eccentric { force: [Force::ZERO, Force::ZERO, Force::from_kn(1.0)], at };
        let refused = elastic(&runs, &load([50.0, 20.0, 0.0])).unwrap_err();
        assert_eq!(
            refused.to_string(),
            "all welds lie on one line, and the load has a lever of 20.00 mm about it: a line resists no turning about itself"
        );
        assert!(refused.advice().contains("off the line"));
        // Bent along itself it does: 1000 N at 25 mm from the middle: 10 + 25000 · 50 / (100³/12) = 10 + 15.
        let peak = elastic(&runs, &load([75.0, 0.0, 0.0])).unwrap();
        assert!((peak.line_load.n_per_mm() - 25.0).abs() < 1e-9);
        assert_eq!(elastic(&[], &load([0.0; 3])), Err(GroupError::Empty));
    }

    proptest! {
        /// The line loads add up to the force and to its moment about any place: integrated along each run by Simpson's
        /// rule, exact for products of two linear functions.
        #[test]
        fn line_loads_balance_the_force(
            f in prop::array::uniform3(-1e4..1e4_f64), at in prop::array::uniform3(-300.0..300.0_f64),
            b in 20.0..200.0_f64, d in 20.0..200.0_f64, turn in 0.0..6.0_f64,
        ) {
            prop_assume!(f.iter().any(|v| v.abs() > 1.0));
            let (s, c) = turn.sin_cos();
            let place = |x: f64, y: f64| Point::new(c * x - s * y, s * x + c * y);
            let runs = [
                Run::Line { from: place(0.0, 0.0), to: place(0.0, d) },
                Run::Line { from: place(0.0, 0.0), to: place(b, 0.3 * d) },
            ];
            let load = Eccentric { force: f.map(Force::from_n), at };
            let field = field(&runs, &load).unwrap();
            let peak = elastic(&runs, &load).unwrap().line_load.n_per_mm();
            // Force, then moment about the origin.
            let mut sum = [0.0; 6];
            for run in &runs {
                let Run::Line { from, to } = *run else { continue };
                for (t, weight) in [(0.0, 1.0), (0.5, 4.0), (1.0, 1.0)] {
                    let p = from.towards(to, t);
                    let [x, y, z] = field.at(p).map(|part| part.n_per_mm());
                    prop_assert!(x.hypot(y).hypot(z) <= peak * (1.0 + 1e-12));
                    let ds = weight * run.length() / 6.0;
                    for (total, part) in sum.iter_mut().zip([x, y, z, p.y * z, -p.x * z, p.x * y - p.y * x]) {
                        *total += part * ds;
                    }
                }
            }
            let [fx, fy, fz] = f;
            let [ax, ay, az] = at;
            let wanted = [fx, fy, fz, ay * fz - az * fy, az * fx - ax * fz, ax * fy - ay * fx];
            for (found, wanted) in sum.iter().zip(wanted) {
                prop_assert!((found - wanted).abs() < 1e-9 * 1e4 * 1e3, "{found} {wanted}");
            }
        }

        /// A circle is the limit of a polygon: 720 sides agree to their own shortness.
        #[test]
        fn a_circle_is_a_polygon_of_many_sides(f in prop::array::uniform3(-1e4..1e4_f64), at in prop::array::uniform3(-300.0..300.0_f64)) {
            prop_assume!(f.iter().any(|v| v.abs() > 1.0));
            let r = 40.0;
            let on = |i: u32| {
                let a = f64::from(i) * std::f64::consts::TAU / 720.0;
                Point::new(r * a.cos(), r * a.sin())
            };
            let polygon: Vec<Run> = (0..720).map(|i| Run::Line { from: on(i), to: on(i + 1) }).collect();
            let load = Eccentric { force: f.map(Force::from_n), at };
            let many = elastic(&polygon, &load).unwrap().line_load.n_per_mm();
            let circle = elastic(&[Run::Circle { centre: Point::default(), radius: r }], &load).unwrap().line_load.n_per_mm();
            // Side against arc: (pi/720)^2/6 of the length, three times that of the moments; corner off the peak: (pi/720)^2/2.
            prop_assert!((many / circle - 1.0).abs() < 3e-5, "{many} {circle}");
        }
    }
}

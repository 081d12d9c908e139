//! Closed outlines: are they what they say, how large, which way round, what is inside.
//!
//! An outline is a list of points, the first not repeated. Areas by the shoelace formula, containment by even-odd
//! crossing with the boundary counted as inside. Guarantees: [`check`] passes only simple, finite outlines that enclose
//! something. Not covered: outlines with holes (a hole is a pore and has its own outline).

use super::Point;

/// Why a list of points is not an outline.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum OutlineError {
    /// Too few points to enclose anything.
    #[error("is open: it has {found} different point(s), and 3 are needed to enclose a zone")]
    Open {
        /// Different points found.
        found: usize,
    },
    /// It crosses or touches itself.
    #[error(
        "crosses itself near ({x:.3}, {y:.3}) mm, between its points {first} and {second} (counted from 0)"
    )]
    CrossesItself {
        /// Place of the crossing.
        x: f64,
        /// Place of the crossing.
        y: f64,
        /// Start of the one stretch.
        first: usize,
        /// Start of the other.
        second: usize,
    },
    /// A coordinate is not finite.
    #[error(
        "has a point (number {index}, counted from 0) that is no place: a coordinate is not finite"
    )]
    NotFinite {
        /// Which point.
        index: usize,
    },
    /// It encloses nothing.
    #[error("encloses no area: its points lie on one line")]
    Flat,
}

impl OutlineError {
    /// What to do about it.
    #[must_use]
    pub fn advice(&self) -> &'static str {
        match self {
            Self::Open { .. } => {
                "set at least three points along the boundary, in order; the last is joined to the first"
            }
            Self::CrossesItself { .. } => {
                "set the points in the order in which they follow each other along the boundary, once round"
            }
            Self::NotFinite { .. } => "set the point again",
            Self::Flat => "set the points round the whole zone, not along one side of it",
        }
    }
}

/// Twice the signed area, by the shoelace formula; positive when counter-clockwise.
fn twice_area(points: &[Point]) -> f64 {
    let Some(&last) = points.last() else { return 0.0 };
    let mut sum = 0.0;
    let mut a = last;
    for &b in points {
        sum += a.cross(b);
        a = b;
    }
    sum
}

/// Signed area in square millimetres; positive when counter-clockwise.
#[must_use]
pub fn signed_area(points: &[Point]) -> f64 {
    0.5 * twice_area(points)
}

/// Area in square millimetres, whichever way round.
#[must_use]
pub fn area(points: &[Point]) -> f64 {
    signed_area(points).abs()
}

/// Centre of the area; the mean of the points when it encloses nothing.
#[must_use]
pub fn centroid(points: &[Point]) -> Point {
    let origin = points.first().copied().unwrap_or_default();
    let (mut sum, mut twice) = (Point::default(), 0.0);
    for (i, &a) in points.iter().enumerate() {
        let (a, b) = (a - origin, points[(i + 1) % points.len()] - origin);
        let c = a.cross(b);
        twice += c;
        sum = sum + (a + b) * c;
    }
    if twice.abs() > 0.0 {
        origin + sum * (1.0 / (3.0 * twice))
    } else {
        let n = points.len().max(1) as f64;
        points.iter().fold(Point::default(), |s, &p| s + p) * (1.0 / n)
    }
}

/// The points counter-clockwise.
#[must_use]
pub fn counter_clockwise(points: &[Point]) -> Vec<Point> {
    let mut points = points.to_vec();
    if twice_area(&points) < 0.0 {
        points.reverse();
    }
    points
}

/// The longer side of the box around the points.
#[must_use]
pub fn extent(points: &[Point]) -> f64 {
    let (mut low, mut high) = (
        Point::new(f64::INFINITY, f64::INFINITY),
        Point::new(f64::NEG_INFINITY, f64::NEG_INFINITY),
    );
    for p in points {
        low = Point::new(low.x.min(p.x), low.y.min(p.y));
        high = Point::new(high.x.max(p.x), high.y.max(p.y));
    }
    if points.is_empty() { 0.0 } else { (high.x - low.x).max(high.y - low.y) }
}

/// Distance from `p` to the straight piece from `a` to `b`, and the share of the way at which it is reached.
#[must_use]
pub fn to_piece(p: Point, a: Point, b: Point) -> (f64, f64) {
    let d = b - a;
    let length_squared = d.dot(d);
    let t =
        if length_squared > 0.0 { ((p - a).dot(d) / length_squared).clamp(0.0, 1.0) } else { 0.0 };
    ((p - a - d * t).norm(), t)
}

/// Nearest point of an open line to `p`, with its distance; `None` for no points.
#[must_use]
pub fn nearest_on_line(p: Point, line: &[Point]) -> Option<(f64, Point)> {
    let first = *line.first()?;
    let mut best = ((p - first).norm(), first);
    for w in line.windows(2) {
        let (d, t) = to_piece(p, w[0], w[1]);
        if d < best.0 {
            best = (d, w[0].towards(w[1], t));
        }
    }
    Some(best)
}

/// Distance from `p` to a closed outline's boundary.
#[must_use]
pub fn to_boundary(p: Point, outline: &[Point]) -> f64 {
    (0..outline.len())
        .map(|i| to_piece(p, outline[i], outline[(i + 1) % outline.len()]).0)
        .fold(f64::INFINITY, f64::min)
}

/// Is `p` inside the outline, or on its boundary to within `tolerance` millimetres?
#[must_use]
pub fn contains(outline: &[Point], p: Point, tolerance: f64) -> bool {
    let mut inside = false;
    let Some(&last) = outline.last() else { return false };
    let mut a = last;
    for &b in outline {
        if (a.y > p.y) != (b.y > p.y) && p.x < (b.x - a.x) * (p.y - a.y) / (b.y - a.y) + a.x {
            inside = !inside;
        }
        a = b;
    }
    inside || to_boundary(p, outline) <= tolerance
}

/// Where two straight pieces meet, as shares along each; `None` when they do not, or run in parallel.
#[must_use]
pub fn crossing(a: Point, b: Point, c: Point, d: Point) -> Option<(f64, f64)> {
    let (r, s) = (b - a, d - c);
    let det = r.cross(s);
    if det == 0.0 {
        return None;
    }
    let t = (c - a).cross(s) / det;
    let u = (c - a).cross(r) / det;
    ((0.0..=1.0).contains(&t) && (0.0..=1.0).contains(&u)).then_some((t, u))
}

/// Is this a closed, simple, finite outline that encloses something?
///
/// # Errors
///
/// Says what is wrong and where.
pub fn check(points: &[Point]) -> Result<(), OutlineError> {
    if let Some(index) = points.iter().position(|p| !(p.x.is_finite() && p.y.is_finite())) {
        return Err(OutlineError::NotFinite { index });
    }
    // A point set twice in a row is a slip of the hand, not a crossing.
    let mut kept: Vec<(usize, Point)> = Vec::with_capacity(points.len());
    for (i, &p) in points.iter().enumerate() {
        if kept.last().is_none_or(|&(_, q)| q != p) {
            kept.push((i, p));
        }
    }
    while kept.len() > 1 && kept.first().map(|k| k.1) == kept.last().map(|k| k.1) {
        kept.pop();
    }
    if kept.len() < 3 {
        return Err(OutlineError::Open { found: kept.len() });
    }
    let n = kept.len();
    let size = extent(points);
    let only: Vec<Point> = kept.iter().map(|k| k.1).collect();
    // Flat: no point lies off the line through the two that are furthest from the first.
    let far =
        only.iter().copied().max_by(|a, b| (*a - only[0]).norm().total_cmp(&(*b - only[0]).norm()));
    let along = far.unwrap_or(only[0]) - only[0];
    if only.iter().all(|&p| along.cross(p - only[0]).abs() <= 1e-12 * size * size) {
        return Err(OutlineError::Flat);
    }
    if let Some((i, j, p)) = first_self_crossing(&only) {
        return Err(OutlineError::CrossesItself {
            x: p.x,
            y: p.y,
            first: kept[i % n].0,
            second: kept[j % n].0,
        });
    }
    Ok(())
}

/// The first place where a closed outline crosses or touches itself: starts of both pieces, and the place.
///
/// Pieces are sorted along x, so that only neighbours are compared.
#[must_use]
pub fn first_self_crossing(points: &[Point]) -> Option<(usize, usize, Point)> {
    let n = points.len();
    let piece = |i: usize| (points[i], points[(i + 1) % n]);
    let mut order: Vec<usize> = (0..n).collect();
    let left = |i: usize| piece(i).0.x.min(piece(i).1.x);
    let right = |i: usize| piece(i).0.x.max(piece(i).1.x);
    order.sort_by(|&i, &j| left(i).total_cmp(&left(j)));
    for (place, &i) in order.iter().enumerate() {
        let (a, b) = piece(i);
        for &j in &order[place + 1..] {
            if left(j) > right(i) {
                break;
            }
            let (c, d) = piece(j);
            if a.y.max(b.y) < c.y.min(d.y) || c.y.max(d.y) < a.y.min(b.y) {
                continue;
            }
            let neighbours = (i + 1) % n == j || (j + 1) % n == i;
            if neighbours {
                // Neighbours share one point; they fold back on each other only when they run in opposite directions.
                let (from, corner, to) = if (i + 1) % n == j { (a, b, d) } else { (c, a, b) };
                let (r, s) = (corner - from, to - corner);
                if r.cross(s) == 0.0 && r.dot(s) < 0.0 {
                    return Some((i.min(j), i.max(j), corner));
                }
                continue;
            }
            if let Some((t, _)) = crossing(a, b, c, d) {
                return Some((i.min(j), i.max(j), a.towards(b, t)));
            }
            let parallel = (b - a).cross(d - c) == 0.0 && (c - a).cross(b - a) == 0.0;
            if parallel {
                let along = b - a;
                let (s, e) = ((c - a).dot(along), (d - a).dot(along));
                if s.max(e) >= 0.0 && s.min(e) <= along.dot(along) {
                    return Some((i.min(j), i.max(j), c));
                }
            }
        }
    }
    None
}

/// Area of the part of an outline on the left of the line through `at` along `along`.
///
/// Repeated with [`clip`], gives the area inside any convex region.
#[must_use]
pub fn clip(points: &[Point], at: Point, along: Point) -> Vec<Point> {
    let mut out = Vec::with_capacity(points.len() + 8);
    let Some(&last) = points.last() else { return out };
    let height = |p: Point| along.cross(p - at);
    let (mut a, mut ha) = (last, height(last));
    for &b in points {
        let hb = height(b);
        if (ha >= 0.0) != (hb >= 0.0) {
            out.push(a.towards(b, ha / (ha - hb)));
        }
        if hb >= 0.0 {
            out.push(b);
        }
        (a, ha) = (b, hb);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn points(list: &[(f64, f64)]) -> Vec<Point> {
        list.iter().map(|&(x, y)| Point::new(x, y)).collect()
    }

    /// Shoelace areas worked by hand: triangle 4 x 3 / 2 = 6; L = 4 x 1 + 1 x 2 = 6; regular hexagon of side 1,
    /// 3 sqrt(3) / 2 = 2.598076.
    #[test]
    fn areas_are_those_of_school_geometry() {
        assert!((area(&points(&[(0., 0.), (4., 0.), (0., 3.)])) - 6.0).abs() < 1e-15);
        let l = points(&[(0., 0.), (4., 0.), (4., 1.), (1., 1.), (1., 3.), (0., 3.)]);
        assert!((area(&l) - 6.0).abs() < 1e-15);
        let hexagon: Vec<Point> = (0..6)
            .map(|i| {
                let a = f64::from(i) * std::f64::consts::FRAC_PI_3;
                Point::new(a.cos(), a.sin())
            })
            .collect();
        assert!((area(&hexagon) - 2.598_076_211_353_316).abs() < 1e-12);
    }

    /// A 64-gon in a circle has 64 sin(2 pi / 64) / (2 pi) = 0.998394 of its area.
    #[test]
    fn a_64_gon_is_a_little_smaller_than_its_circle() {
        let polygon: Vec<Point> = (0..64)
            .map(|i| {
                let a = f64::from(i) * std::f64::consts::TAU / 64.0;
                Point::new(5.0 * a.cos(), 5.0 * a.sin())
            })
            .collect();
        let share = area(&polygon) / (std::f64::consts::PI * 25.0);
        assert!((share - 0.998_394).abs() < 5e-7, "{share}");
    }

    #[test]
    fn an_open_and_a_crossing_outline_are_told_apart() {
        let two = check(&points(&[(0., 0.), (1., 1.), (0., 0.)])).unwrap_err();
        assert_eq!(
            two.to_string(),
            "is open: it has 2 different point(s), and 3 are needed to enclose a zone"
        );
        let bow = check(&points(&[(0., 0.), (2., 2.), (2., 0.), (0., 2.)])).unwrap_err();
        assert_eq!(
            bow.to_string(),
            "crosses itself near (1.000, 1.000) mm, between its points 0 and 2 (counted from 0)"
        );
        assert!(bow.advice().contains("order"));
        assert_eq!(check(&points(&[(0., 0.), (2., 2.), (4., 4.)])), Err(OutlineError::Flat));
        // A spike folds back on itself.
        let spike = points(&[(0., 0.), (4., 0.), (2., 0.), (2., 2.)]);
        assert!(matches!(check(&spike), Err(OutlineError::CrossesItself { .. })));
    }

    #[test]
    fn clipping_a_square_by_its_middle_leaves_half() {
        let square = points(&[(0., 0.), (2., 0.), (2., 2.), (0., 2.)]);
        let left = clip(&square, Point::new(1.0, 0.0), Point::new(0.0, 1.0));
        assert!((area(&left) - 2.0).abs() < 1e-15);
        let centre = centroid(&left);
        assert!((centre.x - 0.5).abs() < 1e-15 && (centre.y - 1.0).abs() < 1e-15);
    }
}

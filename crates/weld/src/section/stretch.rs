//! Where a closed outline holds metal along a straight line: the stretches that are fused.
//!
//! ```text
//!        ╭──────╮  ╭─╮
//!   ─ ─ ─┼══════┼──┼═┼─ ─  h = height          ══ stretches, each with the crossings that bound it
//!        ╰──╮ ╭─╯  ╰─╯
//! ```
//!
//! The outline is given in coordinates of the line: s along it, h square to it. A line that runs exactly along an edge
//! of the outline is looked at from just above or just below ([`Look`]): that is how metal lying on a plate (above only)
//! is told from metal fused into it (below as well).

use super::Point;
use super::outline::to_piece;

/// From which side a line is looked at where the outline runs along it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Look {
    /// Just above the line (towards +h).
    Above,
    /// Just below the line (towards -h).
    Below,
}

/// A place where the outline crosses the line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Crossing {
    /// Place along the line.
    pub s: f64,
    /// The outline's piece that crosses: from point `piece` to the next.
    pub piece: usize,
}

/// A stretch of the line inside the outline.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stretch {
    /// Where it begins (smaller s).
    pub from: Crossing,
    /// Where it ends.
    pub to: Crossing,
}

/// All stretches of the line h = `height` inside the closed outline, by growing s.
#[must_use]
pub fn stretches(outline: &[Point], height: f64, look: Look) -> Vec<Stretch> {
    let size = outline.iter().fold(0.0_f64, |m, p| m.max(p.x.abs()).max(p.y.abs()));
    let slack = 1e-12 * size;
    let up = match look {
        Look::Above => 1.0,
        Look::Below => -1.0,
    };
    let marked = |p: Point| up * (p.y - height) > slack;
    let Some(&first) = outline.first() else { return Vec::new() };
    let mut crossings = Vec::with_capacity(8);
    let mut was = marked(first);
    let ends = outline[1..].iter().chain([&first]);
    for (piece, (&a, &b)) in outline.iter().zip(ends).enumerate() {
        let is = marked(b);
        if was != is {
            let t = ((height - a.y) / (b.y - a.y)).clamp(0.0, 1.0);
            crossings.push(Crossing { s: a.x + (b.x - a.x) * t, piece });
        }
        was = is;
    }
    crossings.sort_by(|a, b| a.s.total_cmp(&b.s));
    crossings.chunks_exact(2).map(|c| Stretch { from: c[0], to: c[1] }).collect()
}

/// Plain intervals of s, disjoint and growing.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Spans(pub Vec<(f64, f64)>);

impl Spans {
    /// The spans of some stretches.
    #[must_use]
    pub fn of(stretches: &[Stretch]) -> Self {
        Self(stretches.iter().map(|s| (s.from.s, s.to.s)).collect())
    }

    /// What lies in both.
    #[must_use]
    pub fn and(&self, other: &Self) -> Self {
        let mut out = Vec::new();
        for &(a, b) in &self.0 {
            for &(c, d) in &other.0 {
                let (from, to) = (a.max(c), b.min(d));
                if from <= to {
                    out.push((from, to));
                }
            }
        }
        out.sort_by(|a: &(f64, f64), b| a.0.total_cmp(&b.0));
        Self(out)
    }

    /// What lies in it but not in `cut`.
    #[must_use]
    pub fn less(&self, cut: &Self) -> Self {
        let mut left = self.0.clone();
        for &(c, d) in &cut.0 {
            left = left
                .into_iter()
                .flat_map(|(a, b)| {
                    if d < a || c > b {
                        [Some((a, b)), None]
                    } else {
                        [(a < c).then_some((a, c)), (d < b).then_some((d, b))]
                    }
                })
                .flatten()
                .collect();
        }
        Self(left)
    }

    /// The spans with gaps up to `gap` closed; they must grow.
    #[must_use]
    pub fn joined(self, gap: f64) -> Self {
        let mut out: Vec<(f64, f64)> = Vec::with_capacity(self.0.len());
        for (a, b) in self.0 {
            match out.last_mut() {
                Some(last) if a - last.1 <= gap => last.1 = last.1.max(b),
                _ => out.push((a, b)),
            }
        }
        Self(out)
    }

    /// The span that holds `s`, to within `slack`.
    #[must_use]
    pub fn holding(&self, s: f64, slack: f64) -> Option<(f64, f64)> {
        self.0.iter().copied().find(|&(a, b)| a - slack <= s && s <= b + slack)
    }

    /// Together how long.
    #[must_use]
    pub fn length(&self) -> f64 {
        self.0.iter().map(|(a, b)| b - a).sum()
    }
}

/// The spans of the line h = `height`, s from `from` to `to`, that are covered by open lines or crossed by them.
///
/// A line nearer than `near` covers; a line that crosses breaks at that place (a span of no length).
#[must_use]
pub fn covered<'a>(
    lines: impl IntoIterator<Item = &'a Vec<Point>>,
    height: f64,
    from: f64,
    to: f64,
    near: f64,
) -> Spans {
    let mut out = Vec::new();
    for line in lines {
        for w in line.windows(2) {
            if let Some((a, b)) = band(w[0], w[1], height, near) {
                let (a, b) = (a.max(from), b.min(to));
                if a <= b {
                    out.push((a, b));
                }
            }
        }
    }
    out.sort_by(|a: &(f64, f64), b| a.0.total_cmp(&b.0));
    Spans(out).joined(0.0)
}

/// The s-range of the part of a straight piece that lies within `near` of the line h = `height`.
fn band(a: Point, b: Point, height: f64, near: f64) -> Option<(f64, f64)> {
    let (ha, hb) = (a.y - height, b.y - height);
    let near = near.max(0.0);
    if ha.abs() <= near && hb.abs() <= near {
        return Some((a.x.min(b.x), a.x.max(b.x)));
    }
    if ha.min(hb) > near || ha.max(hb) < -near {
        return None;
    }
    let at = |h: f64| ((h - ha) / (hb - ha)).clamp(0.0, 1.0);
    let (t0, t1) = (at(-near), at(near));
    let (s0, s1) = (a.x + (b.x - a.x) * t0, a.x + (b.x - a.x) * t1);
    Some((s0.min(s1), s0.max(s1)))
}

/// The piece of the closed outline after crossing `from`, forward to crossing `to`, both ends included.
///
/// The outline's own order is followed; the ends are given as points because a crossing lies inside a piece.
#[must_use]
pub fn chain(outline: &[Point], from: (usize, Point), to: (usize, Point)) -> Vec<Point> {
    let n = outline.len();
    let mut out = Vec::with_capacity(n + 2);
    out.push(from.1);
    let forward_in_one_piece = from.0 == to.0 && {
        let start = outline[from.0];
        (from.1 - start).norm() <= (to.1 - start).norm()
    };
    if !forward_in_one_piece {
        let mut i = (from.0 + 1) % n;
        loop {
            out.push(outline[i]);
            if i == to.0 {
                break;
            }
            i = (i + 1) % n;
        }
    }
    out.push(to.1);
    out.dedup();
    out
}

/// Least distance between two open lines, with the points where it is reached; 0 where they cross.
#[must_use]
pub fn between(a: &[Point], b: &[Point]) -> Option<(f64, Point, Point)> {
    let mut best: Option<(f64, Point, Point)> = None;
    let mut keep = |d: f64, p: Point, q: Point| {
        if best.is_none_or(|x| d < x.0) {
            best = Some((d, p, q));
        }
    };
    for &p in a {
        if let Some((d, q)) = super::outline::nearest_on_line(p, b) {
            keep(d, p, q);
        }
    }
    for &q in b {
        for w in a.windows(2) {
            let (d, t) = to_piece(q, w[0], w[1]);
            keep(d, w[0].towards(w[1], t), q);
        }
    }
    for w in a.windows(2) {
        for v in b.windows(2) {
            if let Some((t, _)) = super::outline::crossing(w[0], w[1], v[0], v[1]) {
                let p = w[0].towards(w[1], t);
                keep(0.0, p, p);
            }
        }
    }
    best
}

#[cfg(test)]
mod tests {
    use super::*;

    fn points(list: &[(f64, f64)]) -> Vec<Point> {
        list.iter().map(|&(x, y)| Point::new(x, y)).collect()
    }

    /// A 2 x 2 square whose lower edge lies on the line: metal above it, none below.
    #[test]
    fn metal_lying_on_a_line_is_above_it_and_not_below() {
        let square = points(&[(1., 0.), (3., 0.), (3., 2.), (1., 2.)]);
        assert_eq!(Spans::of(&stretches(&square, 0.0, Look::Above)).0, [(1.0, 3.0)]);
        assert!(stretches(&square, 0.0, Look::Below).is_empty());
    }

    #[test]
    fn spans_meet_and_leave() {
        let a = Spans(vec![(0.0, 4.0), (6.0, 9.0)]);
        let b = Spans(vec![(3.0, 7.0)]);
        assert_eq!(a.and(&b).0, [(3.0, 4.0), (6.0, 7.0)]);
        assert_eq!(a.less(&b).0, [(0.0, 3.0), (7.0, 9.0)]);
        assert_eq!(a.less(&Spans(vec![(1.0, 1.0)])).0, [(0.0, 1.0), (1.0, 4.0), (6.0, 9.0)]);
    }

    /// A line 0.1 above covers with a doubt of 0.2, and does not with a doubt of 0.05; one that crosses always breaks.
    #[test]
    fn a_line_covers_within_the_doubt_and_breaks_where_it_crosses() {
        let along = vec![points(&[(1., 0.1), (2., 0.1)])];
        assert_eq!(covered(&along, 0.0, 0.0, 5.0, 0.2).0, [(1.0, 2.0)]);
        assert!(covered(&along, 0.0, 0.0, 5.0, 0.05).0.is_empty());
        let across = vec![points(&[(3., -1.), (3., 1.)])];
        assert_eq!(covered(&across, 0.0, 0.0, 5.0, 0.0).0, [(3.0, 3.0)]);
    }

    #[test]
    fn a_chain_follows_the_outline_between_two_crossings() {
        let square = points(&[(0., 0.), (2., 0.), (2., 2.), (0., 2.)]);
        let got = chain(&square, (0, Point::new(1.0, 0.0)), (2, Point::new(1.0, 2.0)));
        assert_eq!(got, points(&[(1., 0.), (2., 0.), (2., 2.), (1., 2.)]));
    }
}

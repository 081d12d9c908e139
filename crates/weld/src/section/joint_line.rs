//! How far the plates are fused along the line on which they meet: the weld root.
//!
//! ```text
//!   upright ┃
//!   ────────┃ lip of the upright (h = gap)
//!   ═══════╪═C     ══ fused on both lips from C without a break; its end is the weld root P
//!   ────────┴──── lip of the base (h = 0)
//! ```
//!
//! Fused means metal of this zone just inside **both** lips (with no gap the lips are one line, looked at from both
//! sides), and across the slot between them. A crack or a lack-of-fusion line that crosses or runs along the joint
//! line ends the stretch, and so does a void wider along it than the reading's doubt.
//!
//! Not covered: voids narrower than the doubt, which a photograph cannot show.

use super::Point;
use super::outline::extent;
use super::stretch::{Look, Spans, covered, stretches};

/// A zone in coordinates of the joint line: s along it from the weld's own corner, h square to it.
#[derive(Clone, Debug)]
pub struct JointLine<'a> {
    /// The fused outline.
    pub outline: &'a [Point],
    /// Cracks and lack-of-fusion lines.
    pub breaks: &'a [Vec<Point>],
    /// Pores.
    pub pores: &'a [Vec<Point>],
    /// Height of the lower lip.
    pub low: f64,
    /// Height of the upper lip.
    pub high: f64,
    /// Length of the line; infinite when not known.
    pub length: f64,
    /// The lower part of the outline only touches (a drawn outline): metal above is enough.
    pub touching_below: bool,
    /// Lines closer than this are one.
    pub doubt: f64,
}

impl JointLine<'_> {
    /// Every stretch fused on both lips, whether or not it reaches the corner.
    #[must_use]
    pub fn fused(&self) -> Spans {
        let slack = 1e-9 * extent(self.outline);
        let upper = Spans::of(&stretches(self.outline, self.high, Look::Above));
        let mut both = if self.touching_below {
            upper
        } else {
            upper.and(&Spans::of(&stretches(self.outline, self.low, Look::Below)))
        };
        if self.high - self.low > slack {
            let middle = 0.5 * (self.low + self.high);
            both = both.and(&Spans::of(&stretches(self.outline, middle, Look::Above)));
        }
        both = both.and(&Spans(vec![(0.0, self.length)]));
        // A notch of the outline narrower than the doubt cannot be told from fused metal.
        let near = self.doubt.max(slack);
        both = both.joined(self.doubt);
        let mut heights = vec![self.low];
        if self.high - self.low > slack {
            heights.extend([0.5 * (self.low + self.high), self.high]);
        }
        let mut cut = Spans::default();
        for &height in &heights {
            cut.0.extend(covered(self.breaks, height, 0.0, self.length, near).0);
            for pore in self.pores {
                let void = stretches(pore, height, Look::Above);
                cut.0.extend(void.iter().map(|v| (v.from.s, v.to.s)).filter(|(a, b)| b - a > near));
            }
        }
        both.less(&cut)
    }

    /// End of the stretch that is fused without a break from the corner; `None` when none starts there.
    #[must_use]
    pub fn root(&self) -> Option<f64> {
        let slack = 1e-9 * extent(self.outline);
        let fused = self.fused();
        let slack = slack.max(self.doubt);
        // Stretches that touch end to end are one only if nothing was cut between them, and then they already are one.
        fused.holding(0.0, slack).map(|(_, end)| end)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn points(list: &[(f64, f64)]) -> Vec<Point> {
        list.iter().map(|&(x, y)| Point::new(x, y)).collect()
    }

    fn line<'a>(
        outline: &'a [Point],
        breaks: &'a [Vec<Point>],
        pores: &'a [Vec<Point>],
    ) -> JointLine<'a> {
        JointLine {
            outline,
            breaks,
            pores,
            low: 0.0,
            high: 0.0,
            length: 5.0,
            touching_below: false,
            doubt: 0.0,
        }
    }

    /// A zone from s = -3 to 2, half a millimetre either side of the line.
    #[test]
    fn the_root_is_where_the_zone_leaves_the_line() {
        let zone = points(&[(-3., -0.5), (2., -0.5), (2., 0.5), (-3., 0.5)]);
        assert_eq!(line(&zone, &[], &[]).root(), Some(2.0));
    }

    /// The same zone with a crack across at 1.2: what lies beyond it counts no more.
    #[test]
    fn a_crack_across_ends_it() {
        let zone = points(&[(-3., -0.5), (2., -0.5), (2., 0.5), (-3., 0.5)]);
        let crack = vec![points(&[(1.2, -0.3), (1.2, 0.3)])];
        assert_eq!(line(&zone, &crack, &[]).root(), Some(1.2));
    }

    /// A pore from 0.8 to 1.0: wider than no doubt, so it ends the stretch; narrower than a doubt of 0.3, so not.
    #[test]
    fn a_void_ends_it_only_when_wider_than_the_doubt() {
        let zone = points(&[(-3., -0.5), (2., -0.5), (2., 0.5), (-3., 0.5)]);
        let pore = vec![points(&[(0.8, -0.1), (1.0, -0.1), (1.0, 0.1), (0.8, 0.1)])];
        let mut joint = line(&zone, &[], &pore);
        assert_eq!(joint.root(), Some(0.8));
        joint.doubt = 0.3;
        assert_eq!(joint.root(), Some(2.0));
    }

    /// A zone that melted only the plate below the line has fused nothing together.
    #[test]
    fn melting_one_plate_along_the_line_is_not_fusion() {
        let zone = points(&[(-3., -0.5), (2., -0.5), (2., 0.0), (-3., 0.0)]);
        assert_eq!(line(&zone, &[], &[]).root(), None);
    }

    /// The zone leaves the line at 1 and comes back at 1.5: the second stretch is not joined to the corner.
    #[test]
    fn fusion_broken_along_the_line_counts_to_the_break() {
        let zone = points(&[
            (-3., -0.5),
            (2., -0.5),
            (2., 0.5),
            (1.5, 0.5),
            (1.5, -0.2),
            (1., -0.2),
            (1., 0.5),
            (-3., 0.5),
        ]);
        let joint = line(&zone, &[], &[]);
        assert_eq!(joint.root(), Some(1.0));
        assert_eq!(joint.fused().0, [(0.0, 1.0), (1.5, 2.0)]);
    }

    /// A notch of the outline from 1.0 to 1.1 ends the stretch unless lines 0.2 mm apart cannot be told apart.
    #[test]
    fn a_notch_narrower_than_the_doubt_does_not_end_it() {
        let zone = points(&[
            (-3., -0.5),
            (2., -0.5),
            (2., 0.5),
            (1.1, 0.5),
            (1.1, -0.2),
            (1., -0.2),
            (1., 0.5),
            (-3., 0.5),
        ]);
        let mut joint = line(&zone, &[], &[]);
        assert_eq!(joint.root(), Some(1.0));
        joint.doubt = 0.2;
        assert_eq!(joint.root(), Some(2.0));
    }
}

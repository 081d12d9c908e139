//! Dimensions as a drawing shows them: extension lines, arrows, and text that keeps clear of its neighbours.
//!
//! ```text
//!   │        │                 ├──►│ │◄──   narrow: arrows from outside
//!   │◄──────►│                 a   b c
//!   │  leg   │                 └┐  │ └──┐    labels under a chain are pushed apart, their leaders never cross
//! ```

use super::sheet::{Anchor, INK_LINE, Pen, SIZE, Sheet, Type};
use weld::section::Point;

/// Length of an arrow, mm.
pub(crate) const ARROW: f64 = 2.0;
/// Half its width, mm.
const HALF: f64 = 0.36;
/// Thin ink, mm.
pub(crate) const THIN: f64 = 0.13;
/// Gap between a thing and its extension line, mm.
pub(crate) const GAP: f64 = 0.6;
/// How far an extension line passes the dimension line, mm.
pub(crate) const PAST: f64 = 1.0;

/// An arrow with its tip at a point, as wide as its line asks.
pub(crate) fn arrow(sheet: &mut Sheet, tip: Point, towards: Point, pen: &Pen<'_>) {
    let Some(u) = towards.unit() else { return };
    let colour = pen.stroke.unwrap_or(INK_LINE);
    let back = tip - u * ARROW;
    let side = u.left() * HALF.max(1.4 * pen.width);
    sheet.path(&[tip, back + side, back - side], true, &Pen::fill(colour, 0.0).class("arrow"));
}

/// A dimension line from one point to the other, arrows at both; from outside where there is no room between.
pub(crate) fn line(sheet: &mut Sheet, a: Point, b: Point, pen: &Pen<'_>) {
    let Some(u) = (b - a).unit() else { return };
    let pen = Pen { class: if pen.class.is_empty() { "dimension" } else { pen.class }, ..*pen };
    sheet.path(&[a, b], false, &pen);
    if (b - a).norm() >= 2.5 * ARROW {
        arrow(sheet, a, u * -1.0, &pen);
        arrow(sheet, b, u, &pen);
    } else {
        let tail = Pen { class: "tail", reading: "", ..pen };
        sheet.path(&[a - u * (2.0 * ARROW), a], false, &tail);
        sheet.path(&[b, b + u * (2.0 * ARROW)], false, &tail);
        arrow(sheet, a, u, &pen);
        arrow(sheet, b, u * -1.0, &pen);
    }
}

/// An extension line from a thing to just past the dimension line.
pub(crate) fn extension(sheet: &mut Sheet, from: Point, to: Point) {
    let Some(u) = (to - from).unit() else { return };
    sheet.path(&[from + u * GAP, to + u * PAST], false, &Pen::line(THIN).class("extension"));
}

/// Moves places apart along a line until each has its room, in order, as little as can be.
///
/// `wanted` are the middles, in any order; `room` is what each takes up. The answer is in the order given.
pub(crate) fn spread(wanted: &[f64], room: &[f64]) -> Vec<f64> {
    let mut order: Vec<usize> = (0..wanted.len()).collect();
    order.sort_by(|&a, &b| wanted[a].total_cmp(&wanted[b]));
    // Blocks that touch: (sum of wanted starts, members, total room before each).
    struct Block {
        start: f64,
        room: f64,
        members: Vec<(usize, f64)>,
    }
    let mut blocks: Vec<Block> = Vec::new();
    for &i in &order {
        let mut block =
            Block { start: wanted[i] - 0.5 * room[i], room: room[i], members: vec![(i, 0.0)] };
        while let Some(last) = blocks.pop() {
            if last.start + last.room <= block.start {
                blocks.push(last);
                break;
            }
            // Together: the start that is nearest, in the mean, to what each of them wanted.
            let offset = last.room;
            let mut members = last.members;
            members.extend(block.members.iter().map(|&(i, at)| (i, at + offset)));
            let sum: f64 = members.iter().map(|&(i, at)| wanted[i] - 0.5 * room[i] - at).sum();
            block =
                Block { start: sum / members.len() as f64, room: last.room + block.room, members };
        }
        blocks.push(block);
    }
    let mut out = vec![0.0; wanted.len()];
    for block in blocks {
        for (i, at) in block.members {
            out[i] = block.start + at + 0.5 * room[i];
        }
    }
    out
}

/// One link of a chain of dimensions.
pub(crate) struct Link<'a> {
    /// Where it begins and ends, along the chain.
    pub(crate) ends: [f64; 2],
    /// What it is.
    pub(crate) words: String,
    /// How much.
    pub(crate) figure: String,
    /// For pages and tests.
    pub(crate) reading: &'a str,
}

/// Which way a chain runs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Way {
    /// To the right at a height; labels below.
    Level,
    /// Down at a place; labels to the right (1) or to the left (-1).
    Upright(i8),
}

/// Draws a chain of dimensions and its labels.
pub(crate) fn chain(sheet: &mut Sheet, links: &[Link<'_>], at: f64, way: Way) {
    let (plain, small) = (Type::plain(), Type::plain().size(2.4));
    let wanted: Vec<f64> = links.iter().map(|l| 0.5 * (l.ends[0] + l.ends[1])).collect();
    let widths: Vec<f64> =
        links.iter().map(|l| small.width(&l.words).max(plain.width(&l.figure))).collect();
    let room: Vec<f64> = match way {
        Way::Level => widths.iter().map(|w| w + 2.5).collect(),
        Way::Upright(_) => vec![2.0 * SIZE + 2.2; links.len()],
    };
    let places = spread(&wanted, &room);
    let point = |along: f64, across: f64| match way {
        Way::Level => Point::new(along, at + across),
        Way::Upright(side) => Point::new(at + f64::from(side) * across, along),
    };
    for (i, link) in links.iter().enumerate() {
        let pen = Pen::line(THIN).of(link.reading);
        let (a, b) = (point(link.ends[0], 0.0), point(link.ends[1], 0.0));
        if (b - a).norm() >= 2.5 * ARROW {
            line(sheet, a, b, &pen);
        } else {
            // Neighbours leave no room for arrows from outside: dots.
            sheet.path(&[a, b], false, &pen.class("dimension"));
            for end in [a, b] {
                sheet.circle(end, 0.4, &Pen::fill(INK_LINE, 0.0).class("arrow"));
            }
        }
        let moved = (places[i] - wanted[i]).abs();
        let fits = 2.0 * moved + widths[i] < (link.ends[1] - link.ends[0]).abs();
        let (knee, shelf) = (0.9, 3.0);
        if way != Way::Level || !fits {
            let mut bend = vec![point(wanted[i], 0.0)];
            if moved > 0.05 {
                bend.push(point(wanted[i], knee));
            }
            bend.push(point(places[i], shelf - 0.3));
            sheet.path(&bend, false, &Pen::line(THIN).class("leader"));
        }
        match way {
            Way::Level => {
                let middle = |t: Type<'static>| t.at(Anchor::Middle);
                sheet.text(point(places[i], shelf + 2.0), &middle(small), &link.words);
                sheet.text(point(places[i], shelf + 5.0), &middle(plain), &link.figure);
            }
            Way::Upright(side) => {
                let anchor = if side > 0 { Anchor::Start } else { Anchor::End };
                sheet.text(point(places[i] - 0.5, shelf), &small.at(anchor), &link.words);
                sheet.text(point(places[i] + 2.6, shelf), &plain.at(anchor), &link.figure);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn places_with_room_stay_where_they_are() {
        assert_eq!(spread(&[10.0, 0.0], &[4.0, 4.0]), [10.0, 0.0]);
    }

    #[test]
    fn two_at_one_place_part_evenly() {
        assert_eq!(spread(&[5.0, 5.0], &[4.0, 4.0]), [3.0, 7.0]);
    }

    proptest! {
        /// No two labels share room, and their order is that of what they point at, so that leaders never cross.
        #[test]
        fn labels_keep_their_order_and_their_room(wanted in prop::collection::vec(0.0..50.0_f64, 0..9)) {
            let room: Vec<f64> = wanted.iter().map(|w| 3.0 + w % 7.0).collect();
            let places = spread(&wanted, &room);
            for i in 0..wanted.len() {
                for j in 0..wanted.len() {
                    if wanted[i] < wanted[j] {
                        prop_assert!(places[j] - places[i] >= 0.5 * (room[i] + room[j]) - 1e-9);
                    }
                }
            }
        }
    }
}

//! Which places of the section are metal, which stretches of an outline border air, where plates touch.
//!
//! Plates are cut from half-planes. Where a face or an undercut dips below the original surface, the parent metal above
//! it is gone; those pieces come from the same geometry that reads them, so that what is lost is what is seen.

use super::Extra;
use weld::section::fillet::Fillet;
use weld::section::groove;
use weld::section::outline::{contains, counter_clockwise};
use weld::section::zone::Zone;
use weld::section::{Butt, Corner, Face, Fused, Plates, Point, Section, Side, Tee};

/// Points p with n . p >= c.
#[derive(Clone, Copy, Debug)]
pub(crate) struct HalfPlane {
    pub(crate) n: Point,
    pub(crate) c: f64,
}

impl HalfPlane {
    const fn new(nx: f64, ny: f64, c: f64) -> Self {
        Self { n: Point::new(nx, ny), c }
    }

    /// The metal on the side of a face to which `n` points.
    fn through(at: Point, n: Point) -> Self {
        Self { n, c: n.dot(at) }
    }
}

/// A plate: a convex piece.
pub(crate) type Plate = Vec<HalfPlane>;

/// One fused zone, ready to be drawn.
pub(crate) struct Zoned {
    /// Counter-clockwise.
    pub(crate) outline: Vec<Point>,
    /// For each piece of the outline: strength of the fusion line on it, 0 where it borders air.
    pub(crate) seam: Vec<f32>,
}

/// The section as shapes.
pub(crate) struct Shape {
    pub(crate) plates: Vec<Plate>,
    /// Closed pieces of parent metal that are gone.
    pub(crate) lost: Vec<Vec<Point>>,
    pub(crate) zones: Vec<Zoned>,
    /// Where plates touch unfused.
    pub(crate) contact: Vec<[Point; 2]>,
    /// Direction in which each plate was rolled.
    pub(crate) rolled: Vec<Point>,
}

pub(crate) fn finite(points: &[Point]) -> bool {
    points.iter().all(|p| p.x.abs() < 1e5 && p.y.abs() < 1e5)
}

impl Shape {
    pub(crate) fn new(section: &Section, extra: &Extra, remelted: f64) -> Self {
        let (plates, contact, rolled) = match &section.plates {
            Plates::Bead => {
                (vec![slab(extra, 0.0, extra.plate_mm)], Vec::new(), vec![Point::new(1.0, 0.0)])
            }
            Plates::Butt(butt) => butt_plates(butt, extra),
            Plates::Tee(tee) => tee_plates(tee, extra),
        };
        let mut shape = Self { plates, lost: Vec::new(), zones: Vec::new(), contact, rolled };
        let usable: Vec<&Fused> =
            section.fused.iter().filter(|f| f.outline.len() > 2 && finite(&f.outline)).collect();
        for fused in &usable {
            shape.lost.extend(lost(section, fused));
        }
        shape.lost.retain(|l| l.len() > 2 && finite(l));
        let outlines: Vec<Vec<Point>> =
            usable.iter().map(|f| counter_clockwise(&f.outline)).collect();
        for (i, outline) in outlines.iter().enumerate() {
            let seam = (0..outline.len())
                .map(|k| {
                    let (a, b) = (outline[k], outline[(k + 1) % outline.len()]);
                    let Some(along) = (b - a).unit() else { return 0.0 };
                    let beside = a.towards(b, 0.5) - along.left() * 0.01;
                    let other = outlines.iter().enumerate().filter(|(j, _)| *j != i);
                    for (j, o) in other {
                        if contains(o, beside, 0.0) {
                            return if j > i { remelted as f32 } else { 1.0 };
                        }
                    }
                    if shape.is_parent(beside) { 1.0 } else { 0.0 }
                })
                .collect();
            shape.zones.push(Zoned { outline: outline.clone(), seam });
        }
        shape
    }

    /// Parent metal, fused or not, that is still there.
    fn is_parent(&self, p: Point) -> bool {
        let in_plate = self.plates.iter().any(|plate| plate.iter().all(|h| h.n.dot(p) >= h.c));
        in_plate && !self.lost.iter().any(|l| contains(l, p, 0.0))
    }
}

fn slab(extra: &Extra, top: f64, thickness: f64) -> Plate {
    vec![
        HalfPlane::new(0.0, -1.0, -top),
        HalfPlane::new(0.0, 1.0, top - thickness),
        HalfPlane::new(1.0, 0.0, -extra.half_width_mm),
        HalfPlane::new(-1.0, 0.0, -extra.half_width_mm),
    ]
}

fn butt_plates(butt: &Butt, extra: &Extra) -> (Vec<Plate>, Vec<[Point; 2]>, Vec<Point>) {
    let line = butt.joint_line.unwrap_or([Point::default(), Point::new(0.0, -extra.plate_mm)]);
    let down = (line[1] - line[0]).unit().unwrap_or(Point::new(0.0, -1.0));
    let across = down.left();
    let bottom = butt.bottom.unwrap_or(
        butt.top.map(|f| Face { at: f.at - f.along.left() * extra.plate_mm, along: f.along }),
    );
    let plate = |side: usize| {
        let (top, low) = (butt.top[side], bottom[side]);
        let inward = across * if side == 0 { -1.0 } else { 1.0 };
        let out = if side == 0 { 1.0 } else { -1.0 };
        vec![
            HalfPlane::through(top.at, top.along.left() * -1.0),
            HalfPlane::through(low.at, low.along.left()),
            HalfPlane { n: inward, c: inward.dot(line[0]) + 0.5 * butt.gap },
            HalfPlane::new(out, 0.0, -extra.half_width_mm),
        ]
    };
    let contact = if butt.gap > 0.0 {
        Vec::new()
    } else {
        // Over-long: outside the plates there is nothing to see.
        let long = down * (extra.plate_mm + (line[1] - line[0]).norm());
        vec![[line[0] - down * 0.5, line[0] + long]]
    };
    (vec![plate(0), plate(1)], contact, butt.top.map(|f| f.along).to_vec())
}

fn tee_plates(tee: &Tee, extra: &Extra) -> (Vec<Plate>, Vec<[Point; 2]>, Vec<Point>) {
    let base = slab(extra, 0.0, tee.base_thickness.unwrap_or(extra.plate_mm));
    let (sin, cos) = tee.right.angle.sin_cos();
    let right = HalfPlane::through(Point::new(tee.right.x, 0.0), Point::new(-sin, cos));
    let thickness = tee.upright_thickness.unwrap_or(extra.plate_mm);
    let (left, from) = match tee.left {
        Some(corner) => {
            let (s, c) = corner.angle.sin_cos();
            (HalfPlane::through(Point::new(corner.x, 0.0), Point::new(s, c)), corner.x)
        }
        None => (
            HalfPlane { n: right.n * -1.0, c: -(right.c + thickness) },
            tee.right.x - thickness / sin.abs().max(0.1),
        ),
    };
    let upright = vec![
        right,
        left,
        HalfPlane::new(0.0, 1.0, tee.gap),
        HalfPlane::new(0.0, -1.0, -extra.upright_height_mm),
    ];
    let contact = if tee.gap > 0.0 {
        Vec::new()
    } else {
        vec![[Point::new(from, 0.0), Point::new(tee.right.x, 0.0)]]
    };
    (vec![base, upright], contact, vec![Point::new(1.0, 0.0), Point::new(cos, sin)])
}

/// Closed pieces of plate that are air: grooves beside the toes, and what a hollow face leaves below the surface.
fn lost(section: &Section, fused: &Fused) -> Vec<Vec<Point>> {
    match &section.plates {
        Plates::Bead => zone_lost(section, fused, [Face::level(0.0); 2], false),
        Plates::Butt(butt) => match (fused.side, butt.bottom) {
            (Side::Bottom, Some(bottom)) => zone_lost(section, fused, bottom, true),
            _ => zone_lost(section, fused, butt.top, false),
        },
        Plates::Tee(tee) => fillet_lost(section, tee, fused),
    }
}

fn zone_lost(section: &Section, fused: &Fused, faces: [Face; 2], turned: bool) -> Vec<Vec<Point>> {
    let flip = |p: Point| if turned { Point::new(p.x, -p.y) } else { p };
    let outline: Vec<Point> = fused.outline.iter().map(|&p| flip(p)).collect();
    let faces = faces.map(|f| Face { at: flip(f.at), along: flip(f.along) });
    let zone = Zone::new(&outline, faces, None, section.doubt);
    let mut out = vec![zone.face.iter().map(|&p| flip(p)).collect::<Vec<_>>()];
    for (side, face) in faces.iter().enumerate() {
        let sign = if side == 0 { -1.0 } else { 1.0 };
        let Some(groove) = zone.groove(side) else { continue };
        let mut wall = groove.wall;
        if let Some(&last) = wall.last() {
            wall.push(Point::new(last.x, 0.0));
        }
        out.push(
            wall.iter()
                .map(|w| flip(face.at + face.along * (sign * w.x) + face.along.left() * w.y))
                .collect(),
        );
    }
    out
}

fn fillet_lost(section: &Section, tee: &Tee, fused: &Fused) -> Vec<Vec<Point>> {
    let (corner, mirrored): (Corner, bool) = match (fused.side, tee.left) {
        (Side::Left, Some(left)) => (left, true),
        _ => (tee.right, false),
    };
    let Ok(fillet) = Fillet::of(section, tee, corner, mirrored, fused, None) else {
        return Vec::new();
    };
    let mut out = vec![fillet.face.iter().map(|&p| fillet.back(p)).collect::<Vec<_>>()];
    let plates = [
        (&fillet.base, Point::new(1.0, 0.0), Point::new(0.0, 1.0), true),
        (&fillet.upright, fillet.up, fillet.off, false),
    ];
    for (track, along, off, base) in plates {
        let Some(track) = track else { continue };
        let mut wall = groove::of_track(&fillet, track, along, off, base).wall;
        if let Some(&last) = wall.last() {
            wall.push(Point::new(last.x, 0.0));
        }
        out.push(wall.iter().map(|w| fillet.back(along * w.x + off * w.y)).collect());
    }
    out
}

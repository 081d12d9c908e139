//! What is known about a drawn photograph because we drew it.

use super::style::Edge;
use super::{Camera, Px};
use weld::section::{Fused, Plates, Point, Section, SectionError, SectionReading, Side, read};

/// A straight face of a plate, or where plates meet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Straight {
    /// Bead, butt: top surface left of the weld.
    TopLeft,
    /// Bead, butt: top surface right of the weld.
    TopRight,
    /// Bead, butt: bottom surface, left plate.
    BottomLeft,
    /// Bead, butt: bottom surface, right plate.
    BottomRight,
    /// Tee: the base's surface right of the upright.
    BaseRight,
    /// Tee: the base's surface left of the upright.
    BaseLeft,
    /// Tee: the base's far surface.
    BaseBottom,
    /// Tee: the upright's right face.
    UprightRight,
    /// Tee: the upright's left face.
    UprightLeft,
    /// Where the plates meet, whole length, fused or not.
    JointLine,
}

/// Two places on a straight face, in the frame and clear of the weld.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StraightTruth {
    /// Which face.
    pub what: Straight,
    /// On the picture, from the weld outwards (the joint line: from the surface inwards).
    pub px: [Px; 2],
    /// In the section.
    pub mm: [Point; 2],
}

/// Two places a known length apart.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LengthTruth {
    /// On the picture.
    pub px: [Px; 2],
    /// How far apart, mm.
    pub mm: f64,
}

/// A fused outline on the picture.
#[derive(Clone, Debug, PartialEq)]
pub struct FusedTruth {
    /// Which weld.
    pub side: Side,
    /// The outline's points, in the section's order.
    pub px: Vec<Px>,
}

/// The truth of one picture.
#[derive(Clone, Debug)]
pub struct Truth {
    /// The section that was drawn.
    pub section: Section,
    /// Millimetres to pixels and back, exactly as drawn.
    pub camera: Camera,
    /// Columns.
    pub width: u32,
    /// Rows.
    pub height: u32,
    /// Fused outlines.
    pub fused: Vec<FusedTruth>,
    /// Straight faces and the joint line, those that are in view.
    pub straight: Vec<StraightTruth>,
    /// Tee: the corner of each weld.
    pub corners: Vec<(Side, Px)>,
    /// Pores, closed.
    pub pores: Vec<Vec<Px>>,
    /// Cracks, open.
    pub cracks: Vec<Vec<Px>>,
    /// Lack-of-fusion lines, open.
    pub unfused: Vec<Vec<Px>>,
    /// The rule's first and last tick, at the rule's edge.
    pub ruler: Option<LengthTruth>,
    /// The burned-in bar, end to end; true in the picture's middle.
    pub bar: Option<LengthTruth>,
    /// Millimetres a pixel in the picture's middle.
    pub mm_per_px: f64,
    /// Which point of the fusion line the truth is.
    pub edge: Edge,
    /// Is a fusion line to be seen at all?
    pub shows_a_line: bool,
    /// Mean width of the heat-affected zone, mm.
    pub affected_mm: f64,
}

impl Truth {
    /// What the section shows, by the same geometry as every other section.
    ///
    /// # Errors
    ///
    /// When the section cannot be read; see [`weld::section::read`].
    pub fn readings(&self) -> Result<SectionReading, SectionError> {
        read(&self.section)
    }

    /// The section taken back from the pixels: plates as drawn, everything else from where it stands on the picture.
    #[must_use]
    pub fn section_back(&self) -> Section {
        let back = |line: &Vec<Px>| {
            line.iter().map(|&p| self.camera.section_from_px(p)).collect::<Vec<_>>()
        };
        let fused = self
            .fused
            .iter()
            .map(|f| Fused { side: f.side, outline: back(&f.px), exact: true })
            .collect();
        Section {
            pores: self.pores.iter().map(back).collect(),
            cracks: self.cracks.iter().map(back).collect(),
            unfused: self.unfused.iter().map(back).collect(),
            doubt: self.section.doubt,
            ..Section::exact(self.section.plates, fused)
        }
    }
}

/// The straight faces that are in view.
pub(crate) fn straight(
    section: &Section,
    extra: &super::Extra,
    camera: &Camera,
    size: [usize; 2],
) -> Vec<StraightTruth> {
    let half = extra.half_width_mm;
    let mut rays: Vec<(Straight, Point, Point)> = Vec::new();
    match &section.plates {
        Plates::Bead => {
            let t = extra.plate_mm;
            rays.push((Straight::TopLeft, Point::new(0.0, 0.0), Point::new(-half, 0.0)));
            rays.push((Straight::TopRight, Point::new(0.0, 0.0), Point::new(half, 0.0)));
            rays.push((Straight::BottomLeft, Point::new(0.0, -t), Point::new(-half, -t)));
            rays.push((Straight::BottomRight, Point::new(0.0, -t), Point::new(half, -t)));
        }
        Plates::Butt(butt) => {
            let ends = |f: weld::section::Face, x: f64| {
                (Point::new(0.0, f.height_at(0.0)), Point::new(x, f.height_at(x)))
            };
            let (a, b) = ends(butt.top[0], -half);
            rays.push((Straight::TopLeft, a, b));
            let (a, b) = ends(butt.top[1], half);
            rays.push((Straight::TopRight, a, b));
            if let Some(bottom) = butt.bottom {
                let (a, b) = ends(bottom[0], -half);
                rays.push((Straight::BottomLeft, a, b));
                let (a, b) = ends(bottom[1], half);
                rays.push((Straight::BottomRight, a, b));
            }
        }
        Plates::Tee(tee) => {
            let tall = extra.upright_height_mm;
            let (sin, cos) = tee.right.angle.sin_cos();
            let c = Point::new(tee.right.x, 0.0);
            rays.push((Straight::BaseRight, c, Point::new(half, 0.0)));
            rays.push((Straight::UprightRight, c, c + Point::new(cos, sin) * (tall / sin)));
            let (left, up) = match tee.left {
                Some(l) => (Point::new(l.x, 0.0), Point::new(-l.angle.cos(), l.angle.sin())),
                None => {
                    let t = tee.upright_thickness.unwrap_or(extra.plate_mm);
                    (Point::new(tee.right.x - t / sin, 0.0), Point::new(cos, sin))
                }
            };
            rays.push((Straight::BaseLeft, left, Point::new(-half, 0.0)));
            rays.push((Straight::UprightLeft, left, left + up * (tall / up.y)));
            let low = -tee.base_thickness.unwrap_or(extra.plate_mm);
            rays.push((Straight::BaseBottom, Point::new(-half, low), Point::new(half, low)));
        }
    }
    let mut out: Vec<StraightTruth> = rays
        .into_iter()
        .filter_map(|(what, a, b)| in_view(what, a, b, section, camera, size))
        .collect();
    let joint = match &section.plates {
        Plates::Bead => None,
        Plates::Butt(butt) => butt.joint_line,
        Plates::Tee(tee) => {
            let t = tee.upright_thickness.unwrap_or(extra.plate_mm) / tee.right.angle.sin();
            let far = tee.left.map_or(tee.right.x - t, |l| l.x);
            Some([Point::new(tee.right.x, 0.0), Point::new(far, 0.0)])
        }
    };
    if let Some(mm) = joint {
        out.push(StraightTruth {
            what: Straight::JointLine,
            px: mm.map(|p| camera.px_from_section(p)),
            mm,
        });
    }
    out
}

/// The longest stretch from a to b that is in the frame and half a millimetre clear of every fused zone.
fn in_view(
    what: Straight,
    a: Point,
    b: Point,
    section: &Section,
    camera: &Camera,
    size: [usize; 2],
) -> Option<StraightTruth> {
    const STEPS: usize = 240;
    const CLEAR_MM: f64 = 0.5;
    const MARGIN_PX: f64 = 6.0;
    let good = |p: Point| {
        let [x, y] = camera.px_from_section(p);
        let inside = |v: f64, n: usize| v > MARGIN_PX && v < n as f64 - 1.0 - MARGIN_PX;
        inside(x, size[0])
            && inside(y, size[1])
            && !section.fused.iter().any(|f| {
                weld::section::outline::contains(&f.outline, p, 0.0)
                    || weld::section::outline::to_boundary(p, &f.outline) < CLEAR_MM
            })
    };
    let (mut best, mut from): (Option<(usize, usize)>, Option<usize>) = (None, None);
    for i in 0..=STEPS {
        if good(a.towards(b, i as f64 / STEPS as f64)) {
            let start = *from.get_or_insert(i);
            if best.is_none_or(|(s, e)| i - start > e - s) {
                best = Some((start, i));
            }
        } else {
            from = None;
        }
    }
    let (s, e) = best.filter(|(s, e)| e - s >= 4)?;
    let mm = [s, e].map(|i| a.towards(b, i as f64 / STEPS as f64));
    Some(StraightTruth { what, px: mm.map(|p| camera.px_from_section(p)), mm })
}

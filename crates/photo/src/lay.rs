//! From marks on a photograph to the section's own frame.
//!
//! ```text
//!     photo, y down                     section, millimetres, y up
//!   ┌────────────────┐                      y │┃
//!   │   ╲┃           │   corner, turn,        │┃╲
//!   │ ───┸──── base  │ ─ scale, hand ──>     C┗━╲── x
//!   └────────────────┘
//! ```
//!
//! Plate surfaces are straight faces fitted through their marked points (least squares square to the line). Tee: the
//! corner is where base and upright meet; heights are over the base on the upright's side. Butt: with two or more
//! surface points on each side of the joint line each plate has its own face, so misalignment shows. Bead and butt:
//! metal lies below the surface as the photo shows it, unless a bottom surface, a joint line or a point in the metal
//! says otherwise. Either hand is accepted; a section seen from the other cut face is mirrored and says so.
//!
//! The cut's tilt is corrected here: yaw takes its cosine off distances across the seam, pitch off heights. Where only a
//! bound on the yaw is known, its full cosine is taken off, so that lengths stand at their low end.
//!
//! Guarantees: the same marks give the same frame; lengths are the photo's times the scale. Not covered: plates that are
//! curved in the section, perspective (see [`crate::straighten`]).

use crate::marks::{Joint, Marks, PlateMarks, Px};
use crate::straighten::Straightened;
use weld::section::outline::{area, clip};
use weld::section::{Butt, Corner, Face, Fused, Plates, Point, Section, Side, Tee};

/// A line as it stands on the photograph: traced or given.
#[derive(Clone, Debug, PartialEq)]
pub struct LinePx {
    /// What it is of.
    pub kind: crate::marks::Kind,
    /// The weld it belongs to.
    pub side: Option<Side>,
    /// Its points, pixels.
    pub px: Vec<Px>,
    /// Given as geometry rather than traced.
    pub exact: bool,
}

/// Why marks do not make a section.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum LayError {
    /// A plate is not marked.
    #[error("plates.{field} has {found} point(s), and a {joint} needs at least 2 there")]
    Missing {
        /// The field of the reading file.
        field: &'static str,
        /// The joint.
        joint: &'static str,
        /// Points found.
        found: usize,
    },
    /// The points of a face coincide.
    #[error("the points of plates.{field} lie on one spot, so they give no direction")]
    NoDirection {
        /// The field.
        field: &'static str,
    },
    /// Base and upright do not meet.
    #[error(
        "plates.base and plates.{field} run in parallel to within {degrees:.1} degrees, so they meet in no corner"
    )]
    NoCorner {
        /// The upright's field.
        field: &'static str,
        /// Angle between them.
        degrees: f64,
    },
    /// It cannot be told on which side of the upright the weld lies.
    #[error(
        "the base is marked on both sides of the upright, and the fused zone does not tell on which side the weld is"
    )]
    WhichSide,
    /// It cannot be told which side of the surface is metal.
    #[error(
        "the surface stands nearly upright in the photo, so it does not tell on which side the metal is"
    )]
    WhichWayUp,
    /// The two uprights are one.
    #[error(
        "plates.upright_left and plates.upright_right meet the base on one spot, so the upright has no thickness"
    )]
    NoThickness,
    /// Two welds but only one upright face.
    #[error("two welds are outlined, but plates.{field} is not marked")]
    OtherFace {
        /// The field.
        field: &'static str,
    },
    /// The joint line runs along the surface.
    #[error("plates.joint_line runs within {degrees:.0} degrees of the surface")]
    FlatJointLine {
        /// Angle to the surface.
        degrees: f64,
    },
}

impl LayError {
    /// What to do about it.
    #[must_use]
    pub fn advice(&self) -> &'static str {
        match self {
            Self::Missing { .. } => {
                "mark two points or more along the original surface, well apart and clear of the weld: bead: surface; butt: surface, bottom, joint_line; tee: base and upright (two welds: upright_left and upright_right)"
            }
            Self::NoDirection { .. } => "set the two points well apart",
            Self::NoCorner { .. } => "check that base and upright are not the same plate",
            Self::WhichSide => {
                "mark plates.base on the weld's side only, or give the fused zone side = \"left\" or \"right\""
            }
            Self::WhichWayUp => {
                "give plates.metal = [x, y], any point inside the plate, or turn the photo upright"
            }
            Self::NoThickness => "mark the two faces of the upright apart",
            Self::OtherFace { .. } => {
                "mark both faces of the upright: upright_left and upright_right"
            }
            Self::FlatJointLine { .. } => {
                "mark the line on which the plates met, from surface to surface"
            }
        }
    }
}

/// The way from photo pixels to section millimetres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Frame {
    /// The photo's place of the section's origin, pixels.
    pub origin: Px,
    /// Section x of a step of one pixel right and of one pixel up, mm.
    x_of: [f64; 2],
    /// Section y likewise.
    y_of: [f64; 2],
    /// The photo shows the section mirrored.
    pub mirrored: bool,
}

impl Frame {
    /// A place on the photo, in the section.
    #[must_use]
    pub fn section_from_px(&self, p: Px) -> Point {
        let (right, up) = (p[0] - self.origin[0], self.origin[1] - p[1]);
        Point::new(
            self.x_of[0] * right + self.x_of[1] * up,
            self.y_of[0] * right + self.y_of[1] * up,
        )
    }

    /// A place in the section, on the photo.
    #[must_use]
    pub fn px_from_section(&self, p: Point) -> Px {
        let det = self.x_of[0] * self.y_of[1] - self.x_of[1] * self.y_of[0];
        let right = (p.x * self.y_of[1] - p.y * self.x_of[1]) / det;
        let up = (self.x_of[0] * p.y - self.y_of[0] * p.x) / det;
        [self.origin[0] + right, self.origin[1] - up]
    }
}

/// The way between the photo as it is and the section: straightened where corners were marked, then framed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct View {
    /// Perspective taken out, where corners of a rectangle were marked.
    pub straight: Option<Straightened>,
    /// The plane's pixels in the section.
    pub frame: Frame,
}

impl View {
    /// A place on the photo, in the section.
    #[must_use]
    pub fn section_from_px(&self, p: Px) -> Point {
        self.frame.section_from_px(self.straight.map_or(p, |s| s.to_plane.map(p)))
    }

    /// A place in the section, on the photo.
    #[must_use]
    pub fn px_from_section(&self, p: Point) -> Px {
        let plane = self.frame.px_from_section(p);
        self.straight.map_or(plane, |s| s.to_photo.map(plane))
    }
}

/// A section in its frame.
#[derive(Clone, Debug)]
pub struct Laid {
    /// The section.
    pub section: Section,
    /// How it was reached.
    pub frame: Frame,
}

/// A straight face on the photo, y up.
#[derive(Clone, Copy, Debug)]
struct Straight {
    at: Point,
    along: Point,
}

impl Straight {
    fn signed(&self, p: Point) -> f64 {
        self.along.cross(p - self.at)
    }

    fn meets(&self, other: &Self) -> Option<Point> {
        let det = self.along.cross(other.along);
        (det.abs() > 1e-3)
            .then(|| self.at + self.along * ((other.at - self.at).cross(other.along) / det))
    }
}

/// Pixels with y up.
fn up(p: Px) -> Point {
    Point::new(p[0], -p[1])
}

/// Fits a straight face: least squares square to the line, through the middle of the points.
fn fit(points: &[Px], field: &'static str, joint: Joint) -> Result<Straight, LayError> {
    if points.len() < 2 {
        return Err(LayError::Missing { field, joint: joint.word(), found: points.len() });
    }
    let n = points.len() as f64;
    let at = points.iter().fold(Point::default(), |s, &p| s + up(p)) * (1.0 / n);
    let (mut xx, mut xy, mut yy) = (0.0, 0.0, 0.0);
    for &p in points {
        let d = up(p) - at;
        xx += d.x * d.x;
        xy += d.x * d.y;
        yy += d.y * d.y;
    }
    if xx + yy <= 1e-12 {
        return Err(LayError::NoDirection { field });
    }
    let angle = 0.5 * (2.0 * xy).atan2(xx - yy);
    Ok(Straight { at, along: Point::new(angle.cos(), angle.sin()) })
}

fn mean(points: &[Px]) -> Point {
    points.iter().fold(Point::default(), |s, &p| s + up(p)) * (1.0 / points.len().max(1) as f64)
}

/// Lays marks and lines into the section's frame.
///
/// `doubt_mm` is how near two lines may be and still be told apart.
///
/// # Errors
///
/// When plates are missing or do not fit.
pub fn lay(
    marks: &Marks,
    plates: &PlateMarks,
    lines: &[LinePx],
    mm_per_px: f64,
    doubt_mm: f64,
) -> Result<Laid, LayError> {
    let fused: Vec<&LinePx> =
        lines.iter().filter(|l| l.kind == crate::marks::Kind::Fused).collect();
    let cut = &marks.cut;
    let yaw = cut.yaw_deg.abs().max(cut.yaw_within_deg.unwrap_or(0.0).abs()).to_radians().cos();
    let pitch = cut.pitch_deg.to_radians().cos();
    let frame = |origin: Point, x: Point, y: Point, mirrored: bool| Frame {
        origin: [origin.x, -origin.y],
        x_of: [x.x * mm_per_px * yaw, x.y * mm_per_px * yaw],
        y_of: [y.x * mm_per_px * pitch, y.y * mm_per_px * pitch],
        mirrored,
    };
    let (plates, frame) = match marks.joint {
        Joint::Bead => {
            let surface = fit(&plates.surface, "surface", marks.joint)?;
            let y = air_side(&surface, plates, None)?;
            let middle = fused
                .iter()
                .flat_map(|l| &l.px)
                .fold((Point::default(), 0.0), |(s, n), &p| (s + up(p), n + 1.0));
            let centre = if middle.1 > 0.0 { middle.0 * (1.0 / middle.1) } else { surface.at };
            let origin = surface.at + surface.along * (centre - surface.at).dot(surface.along);
            (Plates::Bead, frame(origin, Point::new(y.y, -y.x), y, false))
        }
        Joint::Butt => butt(plates, &frame)?,
        Joint::Tee => tee(plates, &fused, &frame)?,
    };
    let to = |line: &LinePx| -> Vec<Point> {
        line.px.iter().map(|&p| frame.section_from_px(p)).collect()
    };
    let of = |kind| lines.iter().filter(move |l| l.kind == kind);
    let two = fused.len() > 1;
    let section = Section {
        plates,
        fused: of(crate::marks::Kind::Fused)
            .map(|line| Fused {
                side: if two { line.side.unwrap_or(Side::Only) } else { alone(line.side) },
                outline: to(line),
                exact: line.exact,
            })
            .collect(),
        pores: of(crate::marks::Kind::Pore).map(to).collect(),
        cracks: of(crate::marks::Kind::Crack).map(to).collect(),
        unfused: of(crate::marks::Kind::Unfused).map(to).collect(),
        touching: Vec::new(),
        doubt: doubt_mm,
    };
    Ok(Laid { section, frame })
}

/// A single weld of a tee is looked at as the only one, whatever its name; the bottom weld of a butt stays one.
fn alone(side: Option<Side>) -> Side {
    match side {
        Some(Side::Bottom) => Side::Bottom,
        Some(Side::Top) => Side::Top,
        _ => Side::Only,
    }
}

/// The unit step off the surface into the air.
fn air_side(
    surface: &Straight,
    plates: &PlateMarks,
    below: Option<Point>,
) -> Result<Point, LayError> {
    let normal = surface.along.left();
    if let Some(metal) = plates.metal.map(up).or(below) {
        return Ok(if surface.signed(metal) > 0.0 { normal * -1.0 } else { normal });
    }
    // 60 degrees: steeper, 'up in the photo' is no longer what a person means by the top surface.
    if normal.y.abs() < 0.5 {
        return Err(LayError::WhichWayUp);
    }
    Ok(if normal.y > 0.0 { normal } else { normal * -1.0 })
}

fn butt(
    plates: &PlateMarks,
    frame: &impl Fn(Point, Point, Point, bool) -> Frame,
) -> Result<(Plates, Frame), LayError> {
    let joint = Joint::Butt;
    let whole = fit(&plates.surface, "surface", joint)?;
    let bottom_mean = (!plates.bottom.is_empty()).then(|| mean(&plates.bottom));
    let y = air_side(&whole, plates, bottom_mean)?;
    let x = Point::new(y.y, -y.x);
    let line = match plates.joint_line.as_slice() {
        [] => None,
        points => Some(fit(points, "joint_line", joint)?),
    };
    // The points of a face on each side of the joint line; two or more on both make two faces.
    let split = |points: &[Px], field| -> Result<[Straight; 2], LayError> {
        if let Some(line) = &line {
            let right = |p: &Px| line.signed(up(*p)) * line.along.dot(y).signum() < 0.0;
            let (r, l): (Vec<Px>, Vec<Px>) = points.iter().partition(|p| right(p));
            if l.len() >= 2 && r.len() >= 2 {
                return Ok([fit(&l, field, joint)?, fit(&r, field, joint)?]);
            }
        }
        let one = fit(points, field, joint)?;
        Ok([one, one])
    };
    let top = split(&plates.surface, "surface")?;
    let bottom =
        if plates.bottom.is_empty() { None } else { Some(split(&plates.bottom, "bottom")?) };
    let origin = match &line {
        Some(line) => {
            let degrees = line.along.cross(whole.along).abs().min(1.0).asin().to_degrees();
            if degrees < 20.0 {
                return Err(LayError::FlatJointLine { degrees });
            }
            // The joint line starts at the lower of the two top surfaces.
            let meets = top.map(|t| line.meets(&t).unwrap_or(whole.at));
            if meets[0].dot(y) <= meets[1].dot(y) { meets[0] } else { meets[1] }
        }
        None => whole.at,
    };
    let frame = frame(origin, x, y, false);
    let face = |s: &Straight| {
        let at = frame.section_from_px([s.at.x, -s.at.y]);
        let ahead = s.at + s.along;
        let mut along = (frame.section_from_px([ahead.x, -ahead.y]) - at)
            .unit()
            .unwrap_or(Point::new(1.0, 0.0));
        if along.x < 0.0 {
            along = along * -1.0;
        }
        Face { at, along }
    };
    let down = line.map(|line| {
        let a = frame.section_from_px([origin.x, -origin.y]);
        let ahead = origin + line.along * -line.along.dot(y).signum();
        [a, frame.section_from_px([ahead.x, -ahead.y])]
    });
    Ok((
        Plates::Butt(Butt {
            top: top.map(|s| face(&s)),
            bottom: bottom.map(|b| b.map(|s| face(&s))),
            joint_line: down,
            gap: plates.gap_mm,
        }),
        frame,
    ))
}

fn tee(
    plates: &PlateMarks,
    fused: &[&LinePx],
    frame: &impl Fn(Point, Point, Point, bool) -> Frame,
) -> Result<(Plates, Frame), LayError> {
    let joint = Joint::Tee;
    let base = fit(&plates.base, "base", joint)?;
    let corner_with = |points: &[Px], field: &'static str| -> Result<(Straight, Point), LayError> {
        let face = fit(points, field, joint)?;
        let corner = base.meets(&face).ok_or_else(|| LayError::NoCorner {
            field,
            degrees: base.along.cross(face.along).abs().min(1.0).asin().to_degrees(),
        })?;
        Ok((face, corner))
    };
    let both =
        fused.len() > 1 || (!plates.upright_left.is_empty() && !plates.upright_right.is_empty());
    if both {
        for (field, points) in
            [("upright_left", &plates.upright_left), ("upright_right", &plates.upright_right)]
        {
            if points.is_empty() {
                return Err(LayError::OtherFace { field });
            }
        }
        let (left, cl) = corner_with(&plates.upright_left, "upright_left")?;
        let (right, cr) = corner_with(&plates.upright_right, "upright_right")?;
        let y = off_base(&base, mean(&plates.upright_right));
        let x = (cr - cl).unit().ok_or(LayError::NoThickness)?;
        // One weld alone is looked at from its own face, whichever that is.
        let on_left = match fused {
            [one] => is_on_left(one, [(&left, cl), (&right, cr)], x, y)?,
            _ => false,
        };
        let [(near, at), (far, beyond)] =
            if on_left { [(left, cl), (right, cr)] } else { [(right, cr), (left, cl)] };
        let x = if on_left { x * -1.0 } else { x };
        let frame = frame(at, x, y, x.cross(y) < 0.0);
        let angle = angle_on_right(&near, &frame, y);
        let beyond = frame.section_from_px([beyond.x, -beyond.y]).x;
        let far = std::f64::consts::PI - angle_on_right(&far, &frame, y);
        let tee = Tee {
            right: Corner { x: 0.0, angle },
            left: Some(Corner { x: beyond, angle: far }),
            upright_thickness: plates.upright_thickness_mm.or_else(|| Some(-beyond * angle.sin())),
            base_thickness: plates.base_thickness_mm,
            gap: plates.gap_mm,
        };
        return Ok((Plates::Tee(tee), frame));
    }
    let (field, points) = [
        ("upright", &plates.upright),
        ("upright_left", &plates.upright_left),
        ("upright_right", &plates.upright_right),
    ]
    .into_iter()
    .find(|(_, points)| !points.is_empty())
    .unwrap_or(("upright", &plates.upright));
    let (face, corner) = corner_with(points, field)?;
    let y = off_base(&base, mean(points));
    let right_handed = Point::new(y.y, -y.x);
    let sign = weld_side(plates, fused, field, corner, &face, right_handed, y)?;
    let frame = frame(corner, right_handed * sign, y, sign < 0.0);
    let angle = angle_on_right(&face, &frame, y);
    let thickness = match plates.upright_far.as_slice() {
        [] => plates.upright_thickness_mm,
        far => {
            let (_, far_corner) = corner_with(far, "upright_far")?;
            let along = frame.section_from_px([far_corner.x, -far_corner.y]).x;
            plates.upright_thickness_mm.or(Some(along.abs() * angle.sin()))
        }
    };
    let tee = Tee {
        right: Corner { x: 0.0, angle },
        left: None,
        upright_thickness: thickness,
        base_thickness: plates.base_thickness_mm,
        gap: plates.gap_mm,
    };
    Ok((Plates::Tee(tee), frame))
}

/// Unit step off the base towards the upright.
fn off_base(base: &Straight, upright: Point) -> Point {
    let normal = base.along.left();
    if base.signed(upright) >= 0.0 { normal } else { normal * -1.0 }
}

/// Dihedral angle on the +x side of a frame, radians.
fn angle_on_right(face: &Straight, frame: &Frame, y: Point) -> f64 {
    let up_along = face.along * face.along.dot(y).signum();
    let ahead = face.at + up_along;
    let step =
        frame.section_from_px([ahead.x, -ahead.y]) - frame.section_from_px([face.at.x, -face.at.y]);
    step.y.atan2(step.x)
}

/// +1 when the weld lies along `x` from the corner, -1 when on the other hand.
fn weld_side(
    plates: &PlateMarks,
    fused: &[&LinePx],
    field: &str,
    corner: Point,
    face: &Straight,
    x: Point,
    y: Point,
) -> Result<f64, LayError> {
    match (fused.first().and_then(|l| l.side), field) {
        (Some(Side::Left), _) | (None, "upright_left") => return Ok(-1.0),
        (Some(Side::Right), _) | (None, "upright_right") => return Ok(1.0),
        _ => {}
    }
    if !plates.upright_far.is_empty() {
        let far = (mean(&plates.upright_far) - corner).dot(x)
            - (mean(&plates.upright_far) - corner).dot(y) * slope(face, x, y);
        return Ok(if far > 0.0 { -1.0 } else { 1.0 });
    }
    let sides: Vec<f64> = plates.base.iter().map(|&p| (up(p) - corner).dot(x)).collect();
    let (low, high) = (
        sides.iter().copied().fold(f64::INFINITY, f64::min),
        sides.iter().copied().fold(f64::NEG_INFINITY, f64::max),
    );
    // A point a tenth of the way on the other side is still a line drawn up to the corner.
    if high > 0.0 && low > -0.1 * high {
        return Ok(1.0);
    }
    if low < 0.0 && high < -0.1 * low {
        return Ok(-1.0);
    }
    let [left, right] = match fused.first() {
        Some(one) => metal_beside(one, corner, face, x, y),
        None => [0.0; 2],
    };
    fuller_side(left, right)
}

/// Is the only weld of a tee on the left of its upright, when both faces are marked?
fn is_on_left(
    one: &LinePx,
    [(left, cl), (right, cr)]: [(&Straight, Point); 2],
    x: Point,
    y: Point,
) -> Result<bool, LayError> {
    match one.side {
        Some(Side::Left) => Ok(true),
        Some(Side::Right) => Ok(false),
        _ => {
            let [beyond_left, _] = metal_beside(one, cl, left, x, y);
            let [_, beyond_right] = metal_beside(one, cr, right, x, y);
            Ok(fuller_side(beyond_left, beyond_right)? < 0.0)
        }
    }
}

/// Metal above the base on either side of an upright's face, left and right along `x`.
fn metal_beside(one: &LinePx, corner: Point, face: &Straight, x: Point, y: Point) -> [f64; 2] {
    let outline: Vec<Point> = one
        .px
        .iter()
        .map(|&p| Point::new((up(p) - corner).dot(x), (up(p) - corner).dot(y)))
        .collect();
    let above = clip(&outline, Point::default(), Point::new(1.0, 0.0));
    let along = Point::new(face.along.dot(x), face.along.dot(y)) * face.along.dot(y).signum();
    [along, along * -1.0].map(|along| area(&clip(&above, Point::default(), along)))
}

/// The weld is where more of the metal lies: +1 on the right, -1 on the left.
fn fuller_side(left: f64, right: f64) -> Result<f64, LayError> {
    if right > 2.0 * left {
        Ok(1.0)
    } else if left > 2.0 * right {
        Ok(-1.0)
    } else {
        Err(LayError::WhichSide)
    }
}

/// Step along x for a step of 1 along y on the face.
fn slope(face: &Straight, x: Point, y: Point) -> f64 {
    let rise = face.along.dot(y);
    if rise.abs() < 1e-9 { 0.0 } else { face.along.dot(x) / rise }
}

//! Wire in, metal out: how much is laid down, what the gap takes, and the cap the rest stands up to.
//!
//! ```text
//!   deposit area = wires · π d²/4 · feed / travel · efficiency          pushed by hand: feed = travel, so wires · π d²/4
//!   cap: a circular segment on the toes,      chord c, sagitta s (above the chord +, hollow -)
//!        area = R²/2 (α - sin α)              R = (c²/4 + s²) / (2 s), α = 2 asin(c / 2R)
//!
//!        upright ┃●                  fillet:  ½ · base leg · (upright leg + gap/sin ψ) · sin ψ + cap + gap · run-in
//!                ┃ ╲  cap                     legs net of the gap, ψ between the plates
//!         gap ▒▒▒│__● base            butt:   gap · depth + crown + root bead
//! ```
//!
//! Wire pushed by hand: common practice, no source. Wire melts whole into the weld (efficiency 1) under a beam; an arc
//! loses 2 to 10 % as spatter and fume.
//!
//! Guarantees: areas add up to the deposit, to rounding. A cap beyond a half circle is refused: metal then laps over the
//! toes, and no circle on them holds it. Drawn caps are polygons on the circle: their area is short of the circle's by at
//! most 0.04 % of the cap ([`cap`]).
//! Sources: geometry; mass balance.
//! Not covered: which legs a setting wets (they come in), sagging under gravity, several passes, shrinkage into the gap.

use weld::quantity::show::given;
use weld::quantity::{Angle, Area, Length, Share, Speed};
use weld::section::Point;

/// Wires fed side by side.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wires {
    /// How many.
    pub count: u8,
    /// Diameter of each.
    pub diameter: Length,
}

/// How fast the wire goes in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Feed {
    /// The wire pushes the torch: feed is travel.
    AsTravel,
    /// At a speed of its own.
    At(Speed),
}

/// Why a deposit cannot be worked out.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum DepositError {
    /// A figure that cannot be.
    #[error("{what} is {} {unit}, outside {least} to {greatest} {unit}", given(*value))]
    Figure {
        /// What it is.
        what: &'static str,
        /// As given.
        value: f64,
        /// Its unit.
        unit: &'static str,
        /// Least that is taken.
        least: f64,
        /// Greatest that is taken.
        greatest: f64,
    },
    /// More metal than a half circle on the toes holds.
    #[error(
        "{area:.2} on toes {chord:.2} apart stands higher than a half circle ({greatest:.2}): it laps over the toes"
    )]
    TooMuch {
        /// Area of the cap.
        area: Area,
        /// Distance between the toes.
        chord: Length,
        /// Greatest that the toes hold.
        greatest: Area,
    },
    /// Less metal than a face on the toes needs.
    #[error(
        "{area:.2} is too little for toes {chord:.2} apart: the face would lie more than {least:.2} below them"
    )]
    TooLittle {
        /// Area of the whole deposit.
        area: Area,
        /// Distance between the toes.
        chord: Length,
        /// Deepest hollow that is taken, as a sagitta.
        least: Length,
    },
}

impl DepositError {
    /// What to do next.
    #[must_use]
    pub const fn advice(&self) -> &'static str {
        match self {
            Self::Figure { .. } => "check the figure and its unit",
            Self::TooMuch { .. } => {
                "lay down less wire, travel faster, or melt wider: a wider wobble sets the toes farther apart"
            }
            Self::TooLittle { .. } => {
                "lay down more wire, travel slower, close the gap, or expect shorter legs"
            }
        }
    }
}

fn figure(
    what: &'static str,
    value: f64,
    unit: &'static str,
    least: f64,
    greatest: f64,
) -> Result<f64, DepositError> {
    if (least..=greatest).contains(&value) {
        Ok(value)
    } else {
        Err(DepositError::Figure { what, value, unit, least, greatest })
    }
}

impl Wires {
    /// Cross-section of all wires together.
    ///
    /// # Errors
    ///
    /// For no wire, more than 8, or a diameter outside 0.1 to 10 mm.
    pub fn area(&self) -> Result<Area, DepositError> {
        let n = figure("the number of wires", f64::from(self.count), "(wires)", 1.0, 8.0)?;
        let d = figure("the wire's diameter", self.diameter.mm(), "mm", 0.1, 10.0)?;
        Ok(Area::from_mm2(n * std::f64::consts::FRAC_PI_4 * d * d))
    }
}

/// Metal laid down on each length of weld, as an area of the cut.
///
/// # Errors
///
/// For wires as [`Wires::area`], speeds outside 0.01 to 1000 mm/s, an efficiency outside 1 to 100 %.
pub fn area(
    wires: Wires,
    feed: Feed,
    travel: Speed,
    efficiency: Share,
) -> Result<Area, DepositError> {
    let wire = wires.area()?;
    let share = figure("the deposition efficiency", efficiency.percent(), "%", 1.0, 100.0)? / 100.0;
    let v = figure("the travel speed", travel.mm_per_s(), "mm/s", 0.01, 1000.0)?;
    let ratio = match feed {
        Feed::AsTravel => 1.0,
        Feed::At(feed) => figure("the wire feed", feed.mm_per_s(), "mm/s", 0.01, 1000.0)? / v,
    };
    Ok(wire * (ratio * share))
}

/// Metal laid down in an hour of welding, kg/h, for a wire of `density` kg/m³ (7850 for steel, 7900 for 18/8).
///
/// # Errors
///
/// As [`area`]; for a density outside 1000 to 20 000 kg/m³.
pub fn rate_kg_per_h(
    wires: Wires,
    feed: Speed,
    density: f64,
    efficiency: Share,
) -> Result<f64, DepositError> {
    let wire = wires.area()?.m2();
    let share = figure("the deposition efficiency", efficiency.percent(), "%", 1.0, 100.0)? / 100.0;
    let v = figure("the wire feed", feed.mm_per_s(), "mm/s", 0.01, 1000.0)? * 1e-3;
    let rho = figure("the density", density, "kg/m³", 1000.0, 20_000.0)?;
    Ok(wire * v * rho * share * 3600.0)
}

/// Area of a circular segment of unit chord, sagitta from -1/2 to 1/2; odd, growing.
fn unit_segment(s: f64) -> f64 {
    // q = tan of a quarter of the angle at the centre.
    let q = 2.0 * s.abs();
    let area = if q < 1e-3 {
        // The closed form loses figures here; the next term is below 1e-12 of this.
        q / 3.0 * (1.0 + q * q / 5.0)
    } else {
        let half = 2.0 * q.atan();
        0.25 * (half - half.sin() * half.cos()) / half.sin().powi(2)
    };
    area.copysign(s)
}

/// Area of a circular segment on a chord; a negative sagitta gives a negative area. To a half circle.
///
/// # Errors
///
/// For a chord outside 0.001 to 1000 mm, or a sagitta beyond half of it.
pub fn segment_area(chord: Length, sagitta: Length) -> Result<Area, DepositError> {
    let c = figure("the distance between the toes", chord.mm(), "mm", 1e-3, 1e3)?;
    let s = figure("the sagitta", sagitta.mm(), "mm", -0.5 * c, 0.5 * c)?;
    Ok(Area::from_mm2(c * c * unit_segment(s / c)))
}

/// Sagitta of the circular cap that holds an area on a chord; negative for a hollow.
///
/// # Errors
///
/// When the area is more than a half circle on the chord holds, either way.
pub fn sagitta(chord: Length, area: Area) -> Result<Length, DepositError> {
    let c = figure("the distance between the toes", chord.mm(), "mm", 1e-3, 1e3)?;
    let wanted = area.mm2() / (c * c);
    if wanted.is_nan() {
        return Err(DepositError::Figure {
            what: "the area",
            value: wanted,
            unit: "mm²",
            least: 0.0,
            greatest: 1e6,
        });
    }
    let greatest = unit_segment(0.5);
    if wanted > greatest * (1.0 + 1e-12) {
        return Err(DepositError::TooMuch {
            area,
            chord,
            greatest: Area::from_mm2(c * c * greatest),
        });
    }
    if wanted < -greatest * (1.0 + 1e-12) {
        return Err(DepositError::TooLittle { area, chord, least: 0.5 * chord });
    }
    let (mut low, mut high) = (-0.5, 0.5);
    for _ in 0..200 {
        let middle = 0.5 * (low + high);
        if middle <= low || middle >= high {
            break;
        }
        if unit_segment(middle) < wanted { low = middle } else { high = middle }
    }
    Ok(Length::from_mm(c * 0.5 * (low + high)))
}

/// The corner that a fillet fills.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Corner {
    /// Angle between the plates.
    pub angle: Angle,
    /// Gap between base and upright edge.
    pub gap: Length,
    /// How far metal runs into the gap under the upright.
    pub run_in: Length,
}

impl Corner {
    /// A right angle without gap.
    pub const SQUARE: Self =
        Self { angle: Angle::from_deg(90.0), gap: Length::ZERO, run_in: Length::ZERO };

    /// Sine of the angle, the gap along the upright (mm), and the area in the gap under the upright (mm²).
    fn figures(&self) -> Result<(f64, f64, f64), DepositError> {
        let degrees = (self.angle.deg() * 1e9).round() / 1e9;
        figure("the angle between the plates", degrees, "°", 30.0, 150.0)?;
        let gap = figure("the gap", self.gap.mm(), "mm", 0.0, 20.0)?;
        let run_in = figure("the run into the gap", self.run_in.mm(), "mm", 0.0, 1000.0)?;
        let sin = self.angle.rad().sin();
        Ok((sin, gap / sin, gap * run_in))
    }
}

/// A deposited fillet: legs and face.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fillet {
    /// Leg on the base.
    pub base_leg: Length,
    /// Leg on the upright, net of the gap.
    pub upright_leg: Length,
    /// Toe to toe.
    pub chord: Length,
    /// Height of the face over the chord; negative when hollow.
    pub sagitta: Length,
    /// Metal in the gap under the upright.
    pub in_gap: Area,
    /// The corner it lies in.
    pub corner: Corner,
}

/// The fillet of equal (net) legs that an area makes, for a face of `shape` = sagitta over chord, -0.3 to 0.5.
///
/// # Errors
///
/// For a figure outside its range, or an area that the gap alone swallows.
pub fn fillet(deposit: Area, corner: Corner, shape: f64) -> Result<Fillet, DepositError> {
    let a = figure("the deposited area", deposit.mm2(), "mm²", 1e-3, 1e4)?;
    let shape = figure("the face's sagitta over its chord", shape, "(ratio)", -0.3, 0.5)?;
    let (sin, edge, in_gap) = corner.figures()?;
    // Chord² = b² + (b + edge)² - 2 b (b + edge) cos: area grows with the leg b, so halve.
    let cos = corner.angle.rad().cos();
    let parts = |b: f64| {
        let u = b + edge;
        let chord = (b * b + u * u - 2.0 * b * u * cos).max(0.0).sqrt();
        (0.5 * b * u * sin + chord * chord * unit_segment(shape) + in_gap, chord)
    };
    let (mut low, mut high) = (0.0, 1e3);
    if parts(high).0 < a || parts(low).0 > a {
        return Err(DepositError::TooLittle {
            area: deposit,
            chord: Length::from_mm(parts(0.0).1),
            least: Length::from_mm(-shape * parts(0.0).1),
        });
    }
    for _ in 0..200 {
        let middle = 0.5 * (low + high);
        if middle <= low || middle >= high {
            break;
        }
        if parts(middle).0 < a { low = middle } else { high = middle }
    }
    let leg = 0.5 * (low + high);
    let chord = parts(leg).1;
    Ok(Fillet {
        base_leg: Length::from_mm(leg),
        upright_leg: Length::from_mm(leg),
        chord: Length::from_mm(chord),
        sagitta: Length::from_mm(shape * chord),
        in_gap: Area::from_mm2(in_gap),
        corner,
    })
}

/// The face that an area makes on given (net) legs: what a narrow weld does, whose toes the fused width sets.
///
/// # Errors
///
/// For a figure outside its range; when the metal laps over the toes or does not reach them.
pub fn fillet_on_legs(
    deposit: Area,
    corner: Corner,
    base_leg: Length,
    upright_leg: Length,
) -> Result<Fillet, DepositError> {
    let a = figure("the deposited area", deposit.mm2(), "mm²", 0.0, 1e4)?;
    let b = figure("the leg on the base", base_leg.mm(), "mm", 0.01, 500.0)?;
    let u = figure("the leg on the upright", upright_leg.mm(), "mm", 0.01, 500.0)?;
    let (sin, edge, in_gap) = corner.figures()?;
    let u = u + edge;
    let chord = (b * b + u * u - 2.0 * b * u * corner.angle.rad().cos()).sqrt();
    let triangle = 0.5 * b * u * sin;
    let cap = Area::from_mm2(a - triangle - in_gap);
    let chord = Length::from_mm(chord);
    // A hollow reaches the corner before it takes more than the triangle.
    if a < in_gap {
        return Err(DepositError::TooLittle {
            area: deposit,
            chord,
            least: Length::from_mm(2.0 * triangle / chord.mm()),
        });
    }
    Ok(Fillet {
        base_leg,
        upright_leg,
        chord,
        sagitta: sagitta(chord, cap)?,
        in_gap: Area::from_mm2(in_gap),
        corner,
    })
}

/// Points of a circular cap from one toe to the other, both included; it bulges to the right of the way for a positive
/// sagitta, so that a counter-clockwise outline grows by it.
///
/// 64 pieces, which leave out 0.024 % of a flat cap's area and 0.04 % of a half circle's.
#[must_use]
pub fn cap(from: Point, to: Point, sagitta: Length) -> Vec<Point> {
    let way = to - from;
    let c = way.norm();
    let s = sagitta.mm();
    let Some(unit) = way.unit().filter(|_| s.is_finite() && s.abs() > 1e-9 * c) else {
        return vec![from, to];
    };
    let s = s.clamp(-0.5 * c, 0.5 * c);
    let outward = unit.left() * -1.0;
    // Half the angle at the centre; the centre lies R - s below the chord.
    let half = 2.0 * (2.0 * s.abs() / c).atan();
    let radius = (0.25 * c * c + s * s) / (2.0 * s.abs());
    let sign = s.signum();
    let middle = from.towards(to, 0.5);
    let centre = middle - outward * (sign * (radius - s.abs()));
    const PIECES: u32 = 64;
    (0..=PIECES)
        .map(|i| {
            if i == 0 {
                return from;
            }
            if i == PIECES {
                return to;
            }
            let angle = half * (2.0 * f64::from(i) / f64::from(PIECES) - 1.0);
            centre + unit * (radius * angle.sin()) + outward * (sign * radius * angle.cos())
        })
        .collect()
}

impl Fillet {
    /// Its closed outline in the section's frame, counter-clockwise from the corner; exact geometry that touches the
    /// plates and enters neither (penetration is somebody else's to add).
    #[must_use]
    pub fn outline(&self) -> Vec<Point> {
        let (sin, cos) = self.corner.angle.rad().sin_cos();
        let gap = self.corner.gap.mm();
        let up = |along: f64| Point::new(cos * along, sin * along);
        let base = Point::new(self.base_leg.mm(), 0.0);
        let upright = up(self.upright_leg.mm() + gap / sin);
        let run_in = self.corner.run_in.mm();
        let mut out = vec![Point::new(if gap > 0.0 { -run_in } else { 0.0 }, 0.0)];
        out.extend(cap(base, upright, self.sagitta));
        if gap > 0.0 {
            let lip = up(gap / sin);
            out.push(lip);
            if run_in > 0.0 {
                out.push(Point::new(lip.x - run_in, gap));
            }
        }
        out
    }
}

/// A deposited butt.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Butt {
    /// What the gap takes.
    pub gap: Area,
    /// What is over; negative: underfill.
    pub excess: Area,
    /// Height of the crown over the surface; negative: underfill.
    pub crown: Length,
    /// Height of the root bead below the plate.
    pub root: Length,
}

/// The groove that a butt fills.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Groove {
    /// Gap between the plates.
    pub gap: Length,
    /// How deep the gap is filled: the thickness, when welded through.
    pub depth: Length,
    /// Width of the weld at the top surface.
    pub top_width: Length,
    /// Width at the root, when welded through; zero for none.
    pub root_width: Length,
    /// Share of the excess that sags through to the root.
    pub root_share: Share,
}

/// Crown and root that an area makes on a butt: the gap is filled first.
///
/// # Errors
///
/// For a figure outside its range, or more metal than the widths hold.
pub fn butt(deposit: Area, groove: Groove) -> Result<Butt, DepositError> {
    let a = figure("the deposited area", deposit.mm2(), "mm²", 0.0, 1e4)?;
    let gap = figure("the gap", groove.gap.mm(), "mm", 0.0, 20.0)?;
    let depth = figure("the depth filled", groove.depth.mm(), "mm", 0.0, 1000.0)?;
    let root_width = figure("the width at the root", groove.root_width.mm(), "mm", 0.0, 1e3)?;
    let share =
        figure("the root's share of the excess", groove.root_share.percent(), "%", 0.0, 100.0)?
            / 100.0;
    let taken = gap * depth;
    let over = a - taken;
    let down = if over > 0.0 && root_width > 0.0 { share * over } else { 0.0 };
    let crown = sagitta(groove.top_width, Area::from_mm2(over - down))?;
    let root =
        if down > 0.0 { sagitta(groove.root_width, Area::from_mm2(down))? } else { Length::ZERO };
    Ok(Butt { gap: Area::from_mm2(taken), excess: Area::from_mm2(over), crown, root })
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use weld::section::outline;

    use super::*;

    const ALL: Share = Share::from_percent(100.0);

    fn mm(x: f64) -> Length {
        Length::from_mm(x)
    }

    fn pushed(count: u8, diameter: Length) -> Area {
        area(Wires { count, diameter }, Feed::AsTravel, Speed::from_mm_per_s(8.0), ALL).unwrap()
    }

    /// Check values 1.7 to 1.11 (geometry; common practice): wire areas to five decimals, legs of flat fillets to four.
    #[test]
    fn wire_pushed_by_hand() {
        let (thin, thick) = (Length::from_in(0.045), Length::from_in(1.0 / 16.0));
        assert!((pushed(1, thin).mm2() - 1.026_08).abs() <= 0.5e-5);
        assert!((pushed(1, thick).mm2() - 1.979_33).abs() <= 0.5e-5);
        for (count, diameter, leg) in [(1, thin, 1.4325), (1, thick, 1.9896), (2, thick, 2.8138)] {
            let found = fillet(pushed(count, diameter), Corner::SQUARE, 0.0).unwrap();
            assert!((found.base_leg.mm() - leg).abs() <= 0.5e-4, "{}", found.base_leg.mm());
        }
    }

    /// Check values 1.12 and 1.13 (mass balance): 0.035 in at 300 in/min, travel 12 in/min: 15.5179 mm², leg 5.5710 mm;
    /// 0.045 in at 300 in/min: 3.6826 kg/h.
    #[test]
    fn wire_fed_by_machine() {
        let feed = Speed::from_in_per_min(300.0);
        let wires = |inches| Wires { count: 1, diameter: Length::from_in(inches) };
        let a = area(wires(0.035), Feed::At(feed), Speed::from_in_per_min(12.0), ALL).unwrap();
        assert!((a.mm2() - 15.5179).abs() <= 0.5e-4);
        let leg = fillet(a, Corner::SQUARE, 0.0).unwrap().base_leg;
        assert!((leg.mm() - 5.5710).abs() <= 0.5e-4);
        let rate = rate_kg_per_h(wires(0.045), feed, 7850.0, ALL).unwrap();
        assert!((rate - 3.6826).abs() <= 0.5e-4);
    }

    /// The project's prototype, three decimals (physics.md, check 11): 1.2 mm at 20 mm/s, travel 6: 3.770 mm², flat leg
    /// 2.746; 2 x 1.6 mm at 12 mm/s, travel 5: 9.651 mm²; 12.5 mm² flat: 5.000. A half circle on 2 is pi/2.
    #[test]
    fn deposits_of_the_prototype() {
        let of = |count, d, feed, travel| {
            let wires = Wires { count, diameter: mm(d) };
            area(wires, Feed::At(Speed::from_mm_per_s(feed)), Speed::from_mm_per_s(travel), ALL)
                .unwrap()
        };
        let small = of(1, 1.2, 20.0, 6.0);
        assert!((small.mm2() - 3.770).abs() <= 0.5e-3);
        assert!(
            (fillet(small, Corner::SQUARE, 0.0).unwrap().base_leg.mm() - 2.746).abs() <= 0.5e-3
        );
        assert!((of(2, 1.6, 12.0, 5.0).mm2() - 9.651).abs() <= 0.5e-3);
        assert!(
            (fillet(Area::from_mm2(12.5), Corner::SQUARE, 0.0).unwrap().base_leg.mm() - 5.0).abs()
                < 1e-12
        );
        let half = segment_area(mm(2.0), mm(1.0)).unwrap();
        assert!((half.mm2() - std::f64::consts::FRAC_PI_2).abs() < 1e-12);
        assert!((sagitta(mm(2.0), half).unwrap().mm() - 1.0).abs() < 1e-9);
    }

    /// A flat cap is a parabola's: 2/3 c s, to (4/5)(s/c)².
    #[test]
    fn a_flat_cap() {
        for s in [0.001, 0.0049, 0.0051, 0.02] {
            let found = segment_area(mm(10.0), mm(s)).unwrap().mm2();
            let parabola = 2.0 / 3.0 * 10.0 * s * (1.0 + 0.8 * (s / 10.0).powi(2));
            assert!((found / parabola - 1.0).abs() < 1e-9, "{s}");
        }
    }

    /// Check value 1.17 (geometry): leg 6, convexity 1.0: chord 8.4853, added area 5.7192, deposit 23.7192 mm², radius 9.5.
    #[test]
    fn a_convex_fillet() {
        let found =
            fillet_on_legs(Area::from_mm2(23.7192), Corner::SQUARE, mm(6.0), mm(6.0)).unwrap();
        assert!((found.chord.mm() - 8.4853).abs() <= 0.5e-4);
        // 0.5e-4 mm² over two thirds of the chord.
        assert!((found.sagitta.mm() - 1.0).abs() <= 1e-5);
        let (c, s) = (found.chord.mm(), 1.0);
        assert!(((c * c / 4.0 + s * s) / (2.0 * s) - 9.5).abs() < 1e-9);
        let added = segment_area(found.chord, mm(1.0)).unwrap();
        assert!((added.mm2() - 5.7192).abs() <= 0.5e-4);
    }

    #[test]
    fn too_much_metal_on_narrow_toes_is_refused() {
        let refused =
            fillet_on_legs(Area::from_mm2(9.651), Corner::SQUARE, mm(2.0), mm(2.0)).unwrap_err();
        assert_eq!(
            refused.to_string(),
            "7.65 mm² on toes 2.83 mm apart stands higher than a half circle (3.14 mm²): it laps over the toes"
        );
        assert!(refused.advice().contains("wider"));
        let refused = area(
            Wires { count: 1, diameter: mm(12.0) },
            Feed::AsTravel,
            Speed::from_mm_per_s(8.0),
            ALL,
        );
        assert_eq!(
            refused.unwrap_err().to_string(),
            "the wire's diameter is 12 mm, outside 0.1 to 10 mm"
        );
    }

    #[test]
    fn a_butt_fills_its_gap_first() {
        let groove = Groove {
            gap: mm(0.3),
            depth: mm(3.0),
            top_width: mm(3.0),
            root_width: Length::ZERO,
            root_share: Share::ZERO,
        };
        let over = butt(Area::from_mm2(3.77), groove).unwrap();
        assert!((over.gap.mm2() - 0.9).abs() < 1e-12 && (over.excess.mm2() - 2.87).abs() < 1e-12);
        assert!(over.crown.mm() > 0.0);
        let under = butt(Area::from_mm2(0.5), groove).unwrap();
        assert!(under.crown.mm() < 0.0 && (under.excess.mm2() + 0.4).abs() < 1e-12);
    }

    /// The deposit drawn is the section that is read: legs, throat and area come back.
    #[test]
    fn a_drawn_deposit_reads_as_it_was_laid() {
        use weld::reading::Reading;
        use weld::section::{self, Fused, Plates, Section, Side, Tee};
        let laid = fillet_on_legs(Area::from_mm2(9.651), Corner::SQUARE, mm(4.0), mm(4.0)).unwrap();
        let tee = Tee {
            right: section::Corner { x: 0.0, angle: std::f64::consts::FRAC_PI_2 },
            left: None,
            upright_thickness: Some(5.0),
            base_thickness: Some(8.0),
            gap: 0.0,
        };
        let fused = Fused { side: Side::Only, outline: laid.outline(), exact: true };
        let read = section::read(&Section::exact(Plates::Tee(tee), vec![fused])).unwrap();
        let readings = &read.welds[0].readings;
        let get = |reading| readings.get(reading).unwrap();
        assert!((get(Reading::LegBase) - 4.0).abs() < 1e-9);
        assert!((get(Reading::LegUpright) - 4.0).abs() < 1e-9);
        assert!((get(Reading::TheoreticalThroat) - 8.0_f64.sqrt()).abs() < 1e-9);
        assert!(
            (get(Reading::Convexity) - laid.sagitta.mm()).abs() < 1e-9,
            "{} {}",
            get(Reading::Convexity),
            laid.sagitta.mm()
        );
    }

    proptest! {
        /// The outline holds the metal laid down, whatever the corner, the gap and the face.
        #[test]
        fn the_outline_holds_the_deposit(
            mm2 in 0.5..60.0_f64, degrees in 30.0..150.0_f64, gap in 0.0..1.0_f64, run_in in 0.0..1.0_f64, shape in -0.02..0.5_f64,
        ) {
            let corner = Corner { angle: Angle::from_deg(degrees), gap: mm(gap), run_in: mm(run_in) };
            let Ok(laid) = fillet(Area::from_mm2(mm2), corner, shape) else { return Ok(()) };
            let outline_mm2 = outline::area(&laid.outline());
            let cap = segment_area(laid.chord, laid.sagitta).unwrap().mm2().abs();
            prop_assert!((outline_mm2 - mm2).abs() <= 4.1e-4 * cap + 1e-9, "{outline_mm2} {mm2}");
            // On its own legs, the same face.
            if laid.base_leg.mm() > 0.01 {
                let again = fillet_on_legs(Area::from_mm2(mm2), corner, laid.base_leg, laid.upright_leg).unwrap();
                prop_assert!((again.sagitta.mm() - laid.sagitta.mm()).abs() <= 1e-6 * laid.chord.mm());
            }
        }

        /// More metal never makes a lower cap, and the cap holds just its area.
        #[test]
        fn more_metal_stands_higher(c in 0.1..30.0_f64, share in -0.99..0.98_f64, more in 0.0..0.01_f64) {
            let half_circle = std::f64::consts::PI / 8.0 * c * c;
            let (a, b) = (share * half_circle, (share + more) * half_circle);
            let (sa, sb) = (sagitta(mm(c), Area::from_mm2(a)).unwrap(), sagitta(mm(c), Area::from_mm2(b)).unwrap());
            prop_assert!(sb >= sa);
            let back = segment_area(mm(c), sa).unwrap().mm2();
            prop_assert!((back - a).abs() <= 1e-10 * half_circle, "{back} {a}");
        }

        /// No figure makes it panic.
        #[test]
        fn wild_figures_are_refused(x in prop::array::uniform8(prop::num::f64::ANY), count in 0..255_u8) {
            let wires = Wires { count, diameter: mm(x[0]) };
            let _ = area(wires, Feed::At(Speed::from_mm_per_s(x[1])), Speed::from_mm_per_s(x[2]), Share::from_percent(x[3]));
            let _ = rate_kg_per_h(wires, Speed::from_mm_per_s(x[1]), x[2], Share::from_percent(x[3]));
            let corner = Corner { angle: Angle::from_deg(x[4]), gap: mm(x[5]), run_in: mm(x[6]) };
            let _ = fillet(Area::from_mm2(x[7]), corner, x[0]);
            let _ = fillet_on_legs(Area::from_mm2(x[7]), corner, mm(x[1]), mm(x[2]));
            let _ = cap(Point::new(x[0], x[1]), Point::new(x[2], x[3]), mm(x[4]));
            let _ = butt(Area::from_mm2(x[0]), Groove { gap: mm(x[1]), depth: mm(x[2]), top_width: mm(x[3]), root_width: mm(x[4]), root_share: Share::from_percent(x[5]) });
        }
    }
}

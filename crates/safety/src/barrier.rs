//! What a curtain must stand, how long its rating gives, and what passes over and under it.
//!
//! ```text
//!            ╱ over: rises from the torch past the upper edge, so it is lowest at the curtain
//!    torch ─●──────│ curtain
//!            ╲     │
//!   ──────────╲____╲_______ under: strikes the floor behind within d g / (h - g)
//! ```
//!
//! The power density is that of the beam as wide as it has become ([`distance`](crate::distance)), not averaged: a
//! curtain burns through where it is brightest. The rating is the maker's: pairs of power density and time. Between two
//! pairs the stronger one's time is taken, and beyond the last there is none: nothing is guessed.
//!
//! Sources: [`IEC_60825_4`], [`EN_12254`], recalled, for what a rating is; the rest is geometry ([`LASER_GEOMETRY`]).
//!
//! Not covered: ceilings, beams reflected upwards, a curtain already scorched.

use crate::OutOfRange;
use crate::beam::Width;
use crate::exposure::disc;
use weld::quantity::{Duration, Irradiance, Length, Power};
use weld::source::{COMMON_PRACTICE, EN_12254, IEC_60825_4, LASER_GEOMETRY, Source, Sourced};

/// Sources of what a curtain needs.
pub const SOURCES: [Source; 3] = [IEC_60825_4, EN_12254, LASER_GEOMETRY];

/// Time for which somebody watches: an operator who sees the beam strike a curtain switches off before it has passed.
pub const WATCHED: Sourced<Duration> =
    Sourced { value: Duration::from_s(100.0), source: IEC_60825_4 };

/// One line of a maker's rating: it stands so much for so long.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rated {
    /// Power density.
    pub stands: Irradiance,
    /// Time.
    pub time: Duration,
}

/// Above this no curtain is rated: a slip of the unit is likelier. Common practice, no source.
pub const MOST_RATED: Sourced<Irradiance> =
    Sourced { value: Irradiance::from_w_per_m2(5e7), source: COMMON_PRACTICE };

/// As narrow as a welding spot gets: a focus has no width to divide by.
pub const NARROWEST: Sourced<Length> =
    Sourced { value: Length::from_mm(0.1), source: LASER_GEOMETRY };

/// Power density in the middle of a beam that strikes a curtain at a distance.
#[must_use]
pub fn on_curtain(power: Power, width: &Width, distance: Length) -> Irradiance {
    power / disc(width.at(distance).max(NARROWEST.value))
}

/// How long a rating lasts against a power density; `None` when it is stated for none so strong.
#[must_use]
pub fn lasts(rating: &[Rated], against: Irradiance) -> Option<Duration> {
    rating.iter().filter(|r| r.stands >= against).map(|r| r.time).max_by(Duration::total_cmp)
}

/// Where a curtain hangs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hangs {
    /// From the torch, along the floor.
    pub distance: Length,
    /// Upper edge above the floor.
    pub top: Length,
    /// Lower edge above the floor.
    pub gap: Length,
}

/// What passes a curtain.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Passes {
    /// Whether a straight beam from the torch passes over it below the height of eyes: the upper edge is not above both.
    pub over_at_eye_height: bool,
    /// How far behind it the floor is struck from under it; nothing when it reaches the floor; `None` when the torch is
    /// no higher than the gap, and the beam passes level.
    pub under_reaches: Option<Length>,
}

/// Height of the eyes of a tall person who stands.
pub const EYES: Sourced<Length> = Sourced { value: Length::from_m(1.9), source: LASER_GEOMETRY };

/// What passes over and under a curtain from a torch at a height.
///
/// # Errors
///
/// Edges that are not in order, or no distance.
pub fn passes(hangs: &Hangs, torch: Length) -> Result<Passes, OutOfRange> {
    let d = crate::above_nothing(
        "the curtain's distance",
        hangs.distance.m(),
        hangs.distance,
        "write how far the curtain hangs from the torch: distance = \"2 m\"",
    )?;
    let top = crate::above_nothing(
        "the curtain's height",
        hangs.top.m(),
        hangs.top,
        "write the height of its upper edge above the floor: height = \"2.2 m\"",
    )?;
    let gap = crate::not_below_nothing(
        "the gap under the curtain",
        hangs.gap.m(),
        hangs.gap,
        "write how far its lower edge is above the floor: bottom_gap = \"50 mm\"",
    )?;
    let h = crate::not_below_nothing(
        "the torch's height",
        torch.m(),
        torch,
        "write the height of the torch above the floor: torch_height = \"1 m\"",
    )?;
    if gap >= top {
        return Err(OutOfRange {
            what: "the gap under the curtain",
            given: hangs.gap.to_string(),
            needed: "it must be less than the curtain's height",
            advice: "heights are counted from the floor: the upper edge as height, the lower as bottom_gap",
        });
    }
    Ok(Passes {
        over_at_eye_height: top < EYES.value.m() || top <= h,
        under_reaches: if gap == 0.0 {
            Some(Length::ZERO)
        } else if h > gap {
            Some(Length::from_m(d * gap / (h - gap)))
        } else {
            None
        },
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::beam::Spread;
    use proptest::prelude::*;
    use std::f64::consts::PI;

    fn lens() -> Width {
        Spread::Focused { focal_length: Length::from_mm(150.0), at_lens: Length::from_mm(10.0) }
            .width()
            .unwrap()
    }

    /// Geometry: 2 m beyond a focus of 10/150 the beam is 133.3 mm wide, and 1.5 kW there are P/(π/4 d²).
    #[test]
    fn a_beam_on_a_curtain() {
        let found = on_curtain(Power::from_kw(1.5), &lens(), Length::from_m(2.0)).w_per_m2();
        let d: f64 = 2.0 * 10.0 / 150.0;
        assert!((found / (1500.0 / (0.25 * PI * d * d)) - 1.0).abs() < 1e-12);
    }

    /// A rating is never stretched: between two lines the stronger one's time, beyond the last none.
    #[test]
    fn a_rating_is_not_stretched() {
        let line = |w_cm2, s| Rated {
            stands: Irradiance::from_w_per_cm2(w_cm2),
            time: Duration::from_s(s),
        };
        let rating = [line(120.0, 100.0), line(30.0, 600.0), line(1000.0, 10.0)];
        let lasts = |w_cm2| lasts(&rating, Irradiance::from_w_per_cm2(w_cm2)).map(|t| t.s());
        assert_eq!(lasts(30.0), Some(600.0));
        assert_eq!(lasts(31.0), Some(100.0));
        assert_eq!(lasts(121.0), Some(10.0));
        assert_eq!(lasts(1001.0), None);
    }

    /// Geometry of similar triangles: torch at 1 m, 2 m away, gap 0.1 m: the floor is struck up to 2 x 0.1 / 0.9 m behind.
    #[test]
    fn over_and_under() {
        let hangs = |top, gap| Hangs {
            distance: Length::from_m(2.0),
            top: Length::from_m(top),
            gap: Length::from_m(gap),
        };
        let torch = Length::from_m(1.0);
        let low = passes(&hangs(2.2, 0.1), torch).unwrap();
        assert!((low.under_reaches.unwrap().m() - 0.2 / 0.9).abs() < 1e-12);
        assert!(!low.over_at_eye_height);
        assert!(passes(&hangs(1.8, 0.0), torch).unwrap().over_at_eye_height);
        assert!(passes(&hangs(2.2, 0.0), Length::from_m(2.3)).unwrap().over_at_eye_height);
        assert_eq!(passes(&hangs(2.2, 0.0), torch).unwrap().under_reaches, Some(Length::ZERO));
        assert_eq!(passes(&hangs(2.2, 1.2), torch).unwrap().under_reaches, None);
        assert!(passes(&hangs(1.0, 1.2), torch).is_err());
    }

    proptest! {
        /// A stronger beam never lasts a curtain longer.
        #[test]
        fn more_power_never_lasts_longer(a in 1.0..1e6_f64, k in 1.0..10.0_f64, rated in prop::collection::vec((1.0..1e6_f64, 1.0..1e4_f64), 0..5)) {
            let rating: Vec<Rated> = rated
                .into_iter()
                .map(|(e, t)| Rated { stands: Irradiance::from_w_per_m2(e), time: Duration::from_s(t) })
                .collect();
            let lasts = |e| lasts(&rating, Irradiance::from_w_per_m2(e)).map_or(0.0, |t| t.s());
            prop_assert!(lasts(k * a) <= lasts(a));
        }
    }
}

//! What one weld carries as its throat grows, and the throat at which it carries just enough.
//!
//! ```text
//!   resistance(a) = strength · a' · beta · l_eff(a')          a' = min(a, greatest throat the length allows)
//!
//!   EN 1993-1-8:  l_eff = l - 2a (l when full size to the ends), not below max(30 mm, 6a):
//!                 so a' <= min(l/8, (l - 30)/2), or l/6
//!   AISC, AWS:    l_eff = l; a leg above l/4 counts as l/4
//! ```
//!
//! Never falls as the throat grows: a throat deeper than the length allows is counted at the greatest it allows.
//! [`Capacity::needed`] solves `resistance(a) = load` by halving, to the last bits of a double.
//!
//! Sources: [`EN_1993_1_8_EFFECTIVE_LENGTH`](weld::source::EN_1993_1_8_EFFECTIVE_LENGTH),
//! [`EN_1993_1_8_LONG_LAP`](weld::source::EN_1993_1_8_LONG_LAP), [`AISC_360_LENGTH`](weld::source::AISC_360_LENGTH).

use weld::quantity::{Length, LineLoad};

/// A throat that no plate here reaches, mm: where the length sets no limit.
const BEYOND_ANY_PLATE: f64 = 1000.0;

/// How much of the length counts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum LengthRule {
    /// Less twice the throat, unless full size to its ends.
    European { full_size: bool },
    /// The length as it is; the leg up to a quarter of it.
    American { greatest_throat: f64 },
    /// The length as it is (groove welds).
    Whole,
}

/// How the ends of a long lap take away.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum LapRule {
    /// Not a long lap.
    None,
    /// beta falls with the throat's slenderness; the length of the lap along the force.
    European { lap: f64 },
    /// A fixed share, from the leg.
    American { beta: f64 },
}

/// The weld through the whole thickness.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Through {
    /// Throat of one weld at which nothing is left unfused.
    pub(super) at: f64,
    /// Force that one weld's share of the joint then carries.
    pub(super) force: f64,
}

/// What one weld carries, in the direction of the load.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Capacity {
    /// Force on one weld, N.
    pub(super) demand: f64,
    /// Resistance per throat area in the direction of the load, N/mm².
    pub(super) strength: f64,
    /// Overall length, mm.
    pub(super) length: f64,
    pub(super) rule: LengthRule,
    pub(super) lap: LapRule,
    pub(super) through: Option<Through>,
    /// A weld that stops short of the full thickness carries something.
    pub(super) partial: bool,
}

impl Capacity {
    /// Greatest throat that the length allows to count, mm; 0 when the weld is too short for any.
    pub(super) fn greatest(&self) -> f64 {
        let l = self.length;
        match self.rule {
            LengthRule::European { full_size: true } if l >= 30.0 => l / 6.0,
            LengthRule::European { full_size: true } => 0.0,
            LengthRule::European { full_size: false } => (l / 8.0).min(0.5 * (l - 30.0)).max(0.0),
            LengthRule::American { greatest_throat } => greatest_throat,
            LengthRule::Whole => BEYOND_ANY_PLATE,
        }
    }

    fn counted(&self, throat: f64) -> f64 {
        // A throat that is no number counts as none.
        throat.max(0.0).min(self.greatest())
    }

    /// Effective length at a throat, mm.
    pub(super) fn effective(&self, throat: f64) -> f64 {
        match self.rule {
            LengthRule::European { full_size: false } => self.length - 2.0 * self.counted(throat),
            _ => self.length,
        }
    }

    /// The reduction for a long lap at a throat.
    pub(super) fn beta(&self, throat: f64) -> f64 {
        match self.lap {
            LapRule::None => 1.0,
            LapRule::American { beta } => beta,
            LapRule::European { lap } => {
                let a = self.counted(throat);
                if a > 0.0 { (1.2 - 0.2 * lap / (150.0 * a)).clamp(0.0, 1.0) } else { 0.0 }
            }
        }
    }

    fn partial_force(&self, throat: f64) -> f64 {
        if !self.partial {
            return 0.0;
        }
        self.strength * self.counted(throat) * self.beta(throat) * self.effective(throat)
    }

    fn newtons(&self, throat: f64) -> f64 {
        match self.through {
            Some(through) if throat >= through.at => through.force,
            Some(through) => self.partial_force(throat).min(through.force),
            None => self.partial_force(throat),
        }
    }

    /// Resistance of one weld per millimetre of its overall length, in the direction of the load, at this throat.
    #[must_use]
    pub fn line_resistance(&self, throat: Length) -> LineLoad {
        LineLoad::from_n_per_mm(self.newtons(throat.mm()) / self.length)
    }

    /// Load over resistance at this throat: 1 at the needed throat. Endless where nothing resists; 0 without load.
    #[must_use]
    pub fn utilisation(&self, throat: Length) -> f64 {
        if self.demand == 0.0 { 0.0 } else { self.demand / self.newtons(throat.mm()) }
    }

    /// The throat at which the weld carries just the load; `None` when none does.
    #[must_use]
    pub fn needed(&self) -> Option<Length> {
        if self.demand == 0.0 {
            return Some(Length::ZERO);
        }
        let limit = self.through.map_or(f64::MAX, |through| through.at);
        let mut high = self.greatest().min(limit);
        let enough = |a: f64| {
            let force = self.partial_force(a);
            self.through.map_or(force, |through| force.min(through.force)) >= self.demand
        };
        if !enough(high) {
            let through = self.through.filter(|through| through.force >= self.demand)?;
            return Some(Length::from_mm(through.at));
        }
        let mut low = 0.0;
        while low < high {
            let middle = 0.5 * (low + high);
            if middle <= low || middle >= high {
                break;
            }
            if enough(middle) { high = middle } else { low = middle }
        }
        Some(Length::from_mm(high))
    }
}

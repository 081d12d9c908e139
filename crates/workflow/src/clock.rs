//! The clock, and who writes. Below this floor time is a text that comes in.

use std::fmt;
use std::time::{SystemTime, UNIX_EPOCH};

/// A moment in universal time, to the second.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Moment {
    /// Seconds since 1970 began.
    seconds: i64,
}

/// The last moment that is written with four digits for the year: the end of 9999.
const LAST: i64 = 253_402_300_799;

impl Moment {
    /// What the machine's clock says.
    #[must_use]
    pub fn now() -> Self {
        let since = SystemTime::now().duration_since(UNIX_EPOCH).map_or(0, |d| d.as_secs());
        Self::from_seconds(i64::try_from(since).unwrap_or(LAST))
    }

    /// Seconds after 1970 began, kept within the years 1970 to 9999.
    #[must_use]
    pub fn from_seconds(seconds: i64) -> Self {
        Self { seconds: seconds.clamp(0, LAST) }
    }

    /// The day after, as `2026-11-25`: it has begun already where clocks are ahead.
    #[must_use]
    pub fn day_after(self) -> String {
        Self::from_seconds(self.seconds.saturating_add(86_400))
            .to_string()
            .chars()
            .take(10)
            .collect()
    }
}

impl fmt::Display for Moment {
    /// `2026-11-25T08:30:00Z`. Days are counted in the Gregorian calendar, whose 400 years have 146 097 of them.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (mut days, rest) = (self.seconds / 86_400, self.seconds % 86_400);
        let leap = |year: i64| year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
        let mut year = 1970 + 400 * (days / 146_097);
        days %= 146_097;
        while days >= 365 + i64::from(leap(year)) {
            days -= 365 + i64::from(leap(year));
            year += 1;
        }
        let february = 28 + i64::from(leap(year));
        let mut month = 1;
        for length in [31, february, 31, 30, 31, 30, 31, 31, 30, 31, 30] {
            if days < length {
                break;
            }
            days -= length;
            month += 1;
        }
        let (hour, minute, second) = (rest / 3600, rest / 60 % 60, rest % 60);
        write!(f, "{year:04}-{month:02}-{:02}T{hour:02}:{minute:02}:{second:02}Z", days + 1)
    }
}

/// Who writes into a study, when, and why.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct By {
    /// Who.
    pub author: String,
    /// Why, where the person says so; else the study is told what was done.
    pub reason: Option<String>,
    /// When.
    pub at: Moment,
}

impl By {
    /// Somebody, now.
    #[must_use]
    pub fn now(author: impl Into<String>) -> Self {
        Self { author: author.into(), reason: None, at: Moment::now() }
    }

    /// For a reason.
    #[must_use]
    pub fn because(mut self, reason: impl Into<String>) -> Self {
        self.reason = Some(reason.into()).filter(|r: &String| !r.trim().is_empty());
        self
    }

    pub(crate) fn stamp(&self, done: &str) -> records::Stamp {
        records::Stamp {
            author: self.author.trim().to_owned(),
            time: self.at.to_string(),
            reason: self.reason.clone().unwrap_or_else(|| done.to_owned()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Seconds and dates that are widely known: the billennium and the ends of the 32-bit counters; the leap days of
    /// 2000, which has one, and of 2100, which has none, counted by hand from 2000-01-01 = 946 684 800.
    #[test]
    fn moments_are_written_as_the_calendar_has_them() {
        for (seconds, text) in [
            (0, "1970-01-01T00:00:00Z"),
            (946_684_799, "1999-12-31T23:59:59Z"),
            (951_782_400, "2000-02-29T00:00:00Z"),
            (1_000_000_000, "2001-09-09T01:46:40Z"),
            (2_147_483_647, "2038-01-19T03:14:07Z"),
            (4_107_542_399, "2100-02-28T23:59:59Z"),
            (4_107_542_400, "2100-03-01T00:00:00Z"),
            (4_294_967_295, "2106-02-07T06:28:15Z"),
            (LAST, "9999-12-31T23:59:59Z"),
            (i64::MAX, "9999-12-31T23:59:59Z"),
            (-1, "1970-01-01T00:00:00Z"),
        ] {
            assert_eq!(Moment::from_seconds(seconds).to_string(), text);
        }
        assert!(Moment::now() > Moment::from_seconds(1_700_000_000));
    }
}

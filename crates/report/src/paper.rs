//! Papers: PDF files, typeset from values.
//!
//! The words and the layout of a paper stand in a template beside its module; the values go in as data, so that a text
//! from a user is printed as it stands and can never be read as an instruction to the typesetter. Two faces are built
//! in; no font of the machine, no network, no clock. The date is a value like any other.
//!
//! | ask for | look in |
//! |---|---|
//! | the report to a customer | [`customer`] |
//! | the plan of a controlled area, to be signed | [`area`] |

pub mod area;
pub mod customer;
mod words;
mod world;

/// The date that a paper carries.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Date {
    /// Year.
    pub year: i32,
    /// Month, 1 to 12.
    pub month: u8,
    /// Day, 1 to 31.
    pub day: u8,
}

const MONTHS: [&str; 12] = [
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
];

impl Date {
    /// The date as it is read everywhere alike: `25 November 2026`.
    ///
    /// # Errors
    ///
    /// When there is no such day.
    pub fn words(self) -> Result<String, PaperError> {
        let leap = self.year % 4 == 0 && (self.year % 100 != 0 || self.year % 400 == 0);
        let longest = match self.month {
            2 if leap => 29,
            2 => 28,
            4 | 6 | 9 | 11 => 30,
            _ => 31,
        };
        let month = usize::from(self.month).checked_sub(1).and_then(|m| MONTHS.get(m));
        match month {
            Some(month)
                if (1..=longest).contains(&self.day) && (1900..=9999).contains(&self.year) =>
            {
                Ok(format!("{} {month} {}", self.day, self.year))
            }
            _ => Err(PaperError::Date { date: self }),
        }
    }
}

/// A finished paper.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Paper {
    /// The file.
    pub pdf: Vec<u8>,
    /// Its pages.
    pub pages: usize,
    /// What the typesetter remarked; empty as a rule.
    pub remarks: Vec<String>,
}

/// Why there is no paper.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum PaperError {
    /// There is no such day.
    #[error("{:04}-{:02}-{:02} is not a day", date.year, date.month, date.day)]
    Date {
        /// What was given.
        date: Date,
    },
    /// The typesetter stopped.
    #[error("the paper cannot be typeset: {why}")]
    Typesetting {
        /// What it said.
        why: String,
    },
}

impl PaperError {
    /// What to do next.
    #[must_use]
    pub const fn advice(&self) -> &'static str {
        match self {
            Self::Date { .. } => "give the paper's date as year, month and day: 2026-11-25",
            Self::Typesetting { .. } => {
                "keep the study as it is and report this: any values can be typeset"
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_day_that_is_none_is_refused() {
        let date = |year, month, day| Date { year, month, day }.words();
        assert_eq!(date(2026, 11, 25).as_deref(), Ok("25 November 2026"));
        assert_eq!(date(2028, 2, 29).as_deref(), Ok("29 February 2028"));
        let refused = date(2026, 2, 29).unwrap_err();
        assert_eq!(refused.to_string(), "2026-02-29 is not a day");
        assert!(date(2026, 13, 1).is_err() && date(2026, 0, 1).is_err() && date(0, 1, 1).is_err());
    }
}

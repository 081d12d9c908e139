//! What is said when something cannot be done: where, the fact, and the next action.

use std::fmt;

/// A refusal, in the words of the person at the bench.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Refusal {
    /// The file it is about.
    pub file: Option<String>,
    /// The line in it, from 1.
    pub line: Option<usize>,
    /// The field.
    pub field: Option<String>,
    /// What is wrong, with numbers.
    pub fact: String,
    /// What to do next.
    pub advice: String,
}

impl Refusal {
    /// A refusal with fact and advice, without a place.
    #[must_use]
    pub fn new(fact: impl fmt::Display, advice: impl fmt::Display) -> Self {
        Self { fact: fact.to_string(), advice: advice.to_string(), ..Self::default() }
    }

    /// Names the file.
    #[must_use]
    pub fn in_file(mut self, file: impl fmt::Display) -> Self {
        self.file = Some(file.to_string());
        self
    }

    /// Names the line, from 1.
    #[must_use]
    pub fn at_line(mut self, line: Option<usize>) -> Self {
        self.line = line.or(self.line);
        self
    }

    /// Names the field.
    #[must_use]
    pub fn in_field(mut self, field: impl fmt::Display) -> Self {
        self.field = Some(field.to_string());
        self
    }

    /// A refusal of a TOML text.
    #[must_use]
    pub fn of_toml(file: &str, text: &str, error: &toml::de::Error) -> Self {
        let line = error.span().map(|span| line_of(text, span.start));
        let message = error.message().trim();
        let mut refusal = if let Some((unknown, known)) = unknown_field(message) {
            let near = known
                .iter()
                .map(|k| (strsim::damerau_levenshtein(unknown, k), *k))
                .min()
                .filter(|(distance, k)| *distance <= 2.max(k.len() / 2))
                .map(|(_, k)| k);
            let advice = match near {
                Some(near) => format!("did you mean '{near}'? Known here: {}", known.join(", ")),
                None => format!("known here: {}", known.join(", ")),
            };
            Self::new(format!("there is no field '{unknown}'"), advice).in_field(unknown)
        } else if let Some(field) =
            message.strip_prefix("missing field `").and_then(|m| m.split('`').next())
        {
            Self::new(format!("the field '{field}' is missing"), advice_for(field)).in_field(field)
        } else {
            let field = error.span().and_then(|span| field_at(text, span.start));
            let fact = message.replace('\n', "; ");
            let mut refusal =
                Self::new(fact, field.as_deref().map_or("correct the line as TOML: key = value, text in double quotes, points as [x, y]", advice_for));
            refusal.field = field;
            refusal
        };
        refusal.file = Some(file.to_owned());
        refusal.line = line;
        refusal
    }
}

/// Line number of a place in a text, from 1.
#[must_use]
pub fn line_of(text: &str, at: usize) -> usize {
    1 + text.bytes().take(at).filter(|b| *b == b'\n').count()
}

fn unknown_field(message: &str) -> Option<(&str, Vec<&str>)> {
    let rest = message
        .strip_prefix("unknown field `")
        .or_else(|| message.strip_prefix("unknown variant `"))?;
    let (unknown, rest) = rest.split_once('`')?;
    let known = rest.split('`').skip(1).step_by(2).collect();
    Some((unknown, known))
}

/// The key of the line that holds a place, or the table above it.
fn field_at(text: &str, at: usize) -> Option<String> {
    let start = text.get(..at)?.rfind('\n').map_or(0, |i| i + 1);
    let line = text.get(start..)?.lines().next()?;
    let key = line.split_once('=').map(|(key, _)| key.trim().to_owned());
    key.filter(|k| !k.is_empty() && k.chars().all(|c| c.is_alphanumeric() || "_-.".contains(c)))
}

/// What a field of a reading file wants.
fn advice_for(field: &str) -> &'static str {
    match field {
        "photo" => "name the photo beside this file: photo = \"a1.jpg\"",
        "joint" => "say the kind of joint: joint = \"bead\", \"butt\" or \"tee\"",
        "etched" => "say whether the face was etched: etched = true or etched = false",
        "plates" => {
            "add a [plates] table: bead: surface; butt: surface, bottom, joint_line; tee: base and upright"
        }
        "points" | "surface" | "bottom" | "joint_line" | "base" | "upright" | "upright_left"
        | "upright_right" | "upright_far" => {
            "write points in pixels as [[x, y], [x, y]], x to the right, y down"
        }
        "from" | "to" | "metal" => "write one point in pixels as [x, y]",
        "length" | "per_pixel" | "thickness" | "gap" | "upright_thickness" | "base_thickness" => {
            "write a length with its unit as text, such as \"5 mm\" or \"100 um\""
        }
        "hold" => "list points by number, counted from 0: hold = [2]",
        "side" => "tee: \"left\" or \"right\"; butt: \"top\" or \"bottom\"",
        "trace" => {
            "\"guided\" follows the visible line between the points, \"straight\" takes them as given"
        }
        "read" => "\"inside\", \"centre\" or \"outside\": where a capped bar is read",
        "yaw" | "pitch" | "yaw_within" => {
            "write an angle with its unit as text, such as \"12 deg\""
        }
        _ => "correct the line as TOML: key = value, text in double quotes, points as [x, y]",
    }
}

impl fmt::Display for Refusal {
    /// Two lines: place and fact, then the next action.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Some(file) = &self.file {
            write!(f, "{file}")?;
            if let Some(line) = self.line {
                write!(f, ":{line}")?;
            }
            f.write_str(": ")?;
        }
        if let Some(field) = &self.field {
            write!(f, "{field}: ")?;
        }
        write!(f, "{}\n  next: {}", self.fact, self.advice)
    }
}

impl std::error::Error for Refusal {}

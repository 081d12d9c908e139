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

    /// With the next action in the words of a kind of file: its fields above every table, and what each field wants.
    #[must_use]
    pub(crate) fn in_words_of(
        self,
        top: &[&str],
        wanted: impl Fn(&str) -> Option<&'static str>,
    ) -> Self {
        let Some(field) = self.field.as_deref() else { return self };
        let last = field.rsplit('.').next().unwrap_or(field);
        let advice = if self.fact.starts_with("there is no field") {
            (field.contains('.') && top.contains(&last))
                .then(|| format!("move '{last}' to the top of the file, above the first table"))
        } else {
            wanted(field).map(str::to_owned)
        };
        match advice {
            Some(advice) => Self { advice, ..self },
            None => self,
        }
    }

    /// A refusal of a TOML text.
    #[must_use]
    pub fn of_toml(file: &str, text: &str, error: &toml::de::Error) -> Self {
        let at = error.span().map(|span| span.start);
        let message = error.message().trim();
        let table = at.and_then(|at| table_of(text, at));
        let within = table.map_or_else(String::new, |t| format!(" in [{t}]"));
        let placed = |field: &str| match table {
            Some(table) => format!("{table}.{field}"),
            None => field.to_owned(),
        };
        let mut refusal = if let Some((unknown, known)) = unknown_field(message) {
            let advice = if table.is_some() && TOP.contains(&unknown) {
                format!("move '{unknown}' to the top of the file, above the first table")
            } else {
                near_or_known(unknown, &known)
            };
            Self::new(format!("there is no field '{unknown}'{within}"), advice)
                .in_field(placed(unknown))
        } else if let Some(field) =
            message.strip_prefix("missing field `").and_then(|m| m.split('`').next())
        {
            // What lacks it is told by the header of its table.
            let table = at.and_then(|at| line_at(text, at)).and_then(header).or(table);
            let (within, placed) = match table {
                Some(table) => (format!(" in [{table}]"), format!("{table}.{field}")),
                None => (String::new(), field.to_owned()),
            };
            Self::new(format!("the field '{field}' is missing{within}"), advice_for(field))
                .in_field(placed)
        } else if let Some(list) = at.and_then(|at| list_written_as_table(text, at)) {
            Self::new(
                format!("[{list}] stands here, and there may be several of them"),
                format!("write it with double brackets: [[{list}]]"),
            )
            .in_field(list)
        } else {
            let field = at.and_then(|at| field_at(text, at));
            let advice = field.as_deref().map_or(AS_TOML, advice_for);
            let mut refusal = Self::new(in_words(&message.replace('\n', "; ")), advice);
            refusal.field = field.map(|field| placed(&field));
            refusal
        };
        refusal.file = Some(file.to_owned());
        refusal.line = at.map(|at| line_of(text, at));
        refusal
    }
}

/// The nearest of the known names, if one is near, and all of them.
pub(crate) fn near_or_known(unknown: &str, known: &[&str]) -> String {
    let near = known
        .iter()
        .map(|k| (strsim::damerau_levenshtein(&unknown.to_lowercase(), k), *k))
        .min()
        .filter(|(distance, k)| *distance <= 2.max(k.len() / 2))
        .map(|(_, k)| k);
    let known = known.join(", ");
    match near {
        Some(near) => format!("did you mean '{near}'? Known here: {known}"),
        None => format!("known here: {known}"),
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

/// What to do about a line that is no TOML, or not what belongs there.
const AS_TOML: &str =
    "correct the line as TOML: key = value, text in double quotes, points as [x, y]";

/// Fields that stand above every table.
const TOP: [&str; 8] =
    ["photo", "joint", "etched", "coupon", "section", "scale_id", "reading", "reader"];

/// The name in a table's header, `[plates]` or `[[fused]]`.
fn header(line: &str) -> Option<&str> {
    let name = line.trim().strip_prefix('[')?;
    let name = name.strip_prefix('[').unwrap_or(name).split(']').next()?.trim();
    let bare = |c: char| c.is_ascii_alphanumeric() || c == '_' || c == '-';
    (name.starts_with(|c: char| c.is_ascii_alphabetic()) && name.chars().all(bare)).then_some(name)
}

/// The line that a place stands in, from its beginning.
fn line_at(text: &str, at: usize) -> Option<&str> {
    let start = text.get(..at)?.rfind('\n').map_or(0, |i| i + 1);
    text.get(start..)?.lines().next()
}

/// The table that a place stands in; none at the top of the file, or when the place is a header itself.
fn table_of(text: &str, at: usize) -> Option<&str> {
    if header(line_at(text, at)?).is_some() {
        return None;
    }
    let start = text.get(..at)?.rfind('\n').map_or(0, |i| i + 1);
    text.get(..start)?.lines().rev().find_map(header)
}

/// `[scale]` where `[[scale]]` belongs.
fn list_written_as_table(text: &str, at: usize) -> Option<&str> {
    let line = line_at(text, at)?;
    let name = header(line)?;
    let several = [
        "scale", "fused", "affected", "pore", "crack", "unfused", "left_out", "door", "window",
        "curtain",
    ]
    .contains(&name);
    (several && !line.trim().starts_with("[[")).then_some(name)
}

/// The reader's words for what stands there and what belongs there, in a person's.
fn in_words(message: &str) -> String {
    let plain = [
        ("invalid boolean", "a text stands here without its double quotes"),
        (
            "string values must be quoted",
            "a text stands here without its straight double quotes (\")",
        ),
        ("invalid basic string", "the text's closing quote is missing"),
        ("invalid literal string", "the text's closing quote is missing"),
        ("duplicate key", "it stands in the file twice"),
        ("key with no value", "a name stands here without = and a value"),
        ("unclosed table", "the closing bracket of a table's name is missing"),
    ];
    if let Some((_, words)) = plain.iter().find(|(theirs, _)| message.starts_with(theirs)) {
        return (*words).to_owned();
    }
    let Some((given, wanted)) =
        message.strip_prefix("invalid type: ").and_then(|m| m.split_once(", expected "))
    else {
        return message.to_owned();
    };
    let quoted = |kind: &str| given.strip_prefix(kind).map(|v| v.trim_matches('`').to_owned());
    let given = if let Some(number) = quoted("integer ").or_else(|| quoted("floating point ")) {
        format!("the number {number}")
    } else if let Some(text) = given.strip_prefix("string ") {
        format!("the text {text}")
    } else if let Some(truth) = quoted("boolean ") {
        truth
    } else {
        match given {
            "map" => "a table".to_owned(),
            "sequence" => "a list".to_owned(),
            other => other.to_owned(),
        }
    };
    let wanted = match wanted {
        "a string" => "a text in double quotes",
        "a boolean" => "true or false",
        "a sequence" => "a list in square brackets",
        "f64" => "a number",
        "i64" => "a whole number",
        other if other.starts_with("struct ") => "a table",
        other => other,
    };
    format!("{given} stands here, and {wanted} belongs here")
}

/// The key of the line that holds a place.
fn field_at(text: &str, at: usize) -> Option<String> {
    let key = line_at(text, at)?.split_once('=').map(|(key, _)| key.trim().to_owned());
    key.filter(|k| !k.is_empty() && k.chars().all(|c| c.is_alphanumeric() || "_-.".contains(c)))
}

/// What a field of a reading file wants.
pub(crate) fn advice_for(field: &str) -> &'static str {
    match field {
        "photo" => "name the photo beside this file: photo = \"a1.jpg\"",
        "joint" => "say the kind of joint: joint = \"bead\", \"butt\" or \"tee\"",
        "etched" => "say whether the face was etched: etched = true or etched = false",
        "plates" => {
            "add a [plates] table: bead: surface; butt: surface, bottom, joint_line; tee: base and upright"
        }
        "coupon" | "section" | "scale_id" | "reading" | "reader" => {
            "write a label as text or as a whole number: coupon = \"A\" or section = 1"
        }
        "u" => "write the relative standard uncertainty as text: u = \"0.5 %\"",
        "points" | "surface" | "bottom" | "joint_line" | "base" | "upright" | "upright_left"
        | "upright_right" | "upright_far" => {
            "write points in pixels as [[x, y], [x, y]], x to the right, y down, decimals with a point"
        }
        "from" | "to" | "metal" => "write one point in pixels as [x, y], decimals with a point",
        "along" => "write two points in pixels as [[x, y], [x, y]], decimals with a point",
        "length" | "per_pixel" | "thickness" | "gap" | "upright_thickness" | "base_thickness" => {
            "write a length with its unit as text, such as \"5 mm\" or \"100 um\""
        }
        "corners" => {
            "mark the four corners in pixels, clockwise from the top left: corners = [[x, y], [x, y], [x, y], [x, y]]"
        }
        "size" => "give width and height with their unit: size = [\"50 mm\", \"30 mm\"]",
        "hold" => "list points by number, counted from 0: hold = [2]",
        "side" => "tee: \"left\" or \"right\"; butt: \"top\" or \"bottom\"",
        "trace" => {
            "\"guided\" follows the visible line between the points, \"straight\" takes them as given"
        }
        "read" => "\"inside\", \"centre\" or \"outside\": where a capped bar is read",
        "yaw" | "pitch" | "yaw_within" => {
            "write an angle with its unit as text, such as \"12 deg\""
        }
        _ => AS_TOML,
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
        // A fact that begins with the field's name says it itself.
        if let Some(field) = &self.field
            && !self.fact.strip_prefix(field.as_str()).is_some_and(|rest| rest.starts_with(' '))
        {
            write!(f, "{field}: ")?;
        }
        write!(f, "{}\n  next: {}", self.fact, self.advice)
    }
}

impl std::error::Error for Refusal {}

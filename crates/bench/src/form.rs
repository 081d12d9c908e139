//! Forms: fields of a page become the text of a file, and the other way round.
//!
//! A field's name is its place in the file: `need.load` is `load` in `[need]`. What a file holds beside the fields of its
//! form stays as it is.

use crate::failed::told;
use maud::{Markup, html};
use serde_json::{Map, Value};
use workflow::refusal::Refusal;

/// What a person fills in.
#[derive(Clone, Debug)]
pub(crate) enum Input {
    /// A line.
    Text,
    /// Several lines.
    Long,
    /// One of some words, each with its label.
    Choice(Vec<(String, String)>),
    /// Yes, no, or not said.
    Flag,
    /// A number, written without a unit.
    Number,
}

/// One field.
#[derive(Clone, Debug)]
pub(crate) struct Entry {
    /// Its place in the file.
    pub(crate) name: &'static str,
    /// What it is called.
    pub(crate) label: &'static str,
    /// What to write, or why.
    pub(crate) hint: &'static str,
    /// An example.
    pub(crate) example: &'static str,
    pub(crate) input: Input,
}

impl Entry {
    pub(crate) const fn new(name: &'static str, label: &'static str) -> Self {
        Self { name, label, hint: "", example: "", input: Input::Text }
    }

    pub(crate) const fn hint(mut self, hint: &'static str) -> Self {
        self.hint = hint;
        self
    }

    pub(crate) const fn like(mut self, example: &'static str) -> Self {
        self.example = example;
        self
    }

    pub(crate) fn of(mut self, input: Input) -> Self {
        self.input = input;
        self
    }

    pub(crate) fn choice(self, words: &[(&str, &str)]) -> Self {
        let owned = |(word, label): &(&str, &str)| ((*word).to_owned(), (*label).to_owned());
        self.of(Input::Choice(words.iter().map(owned).collect()))
    }
}

/// Fields as they were sent, in their order; one name may come several times.
pub(crate) type Posted = Vec<(String, String)>;

/// The first value of a name.
pub(crate) fn one<'a>(posted: &'a Posted, name: &str) -> &'a str {
    posted.iter().find(|(n, _)| n == name).map_or("", |(_, v)| v.trim())
}

/// What was sent as a form shows it again: every field as it was typed.
pub(crate) fn typed(sent: &Posted) -> Value {
    sent.iter().map(|(name, text)| (name.clone(), Value::from(text.clone()))).collect()
}

/// The text of a name, whose lines browsers end with a carriage return as well.
pub(crate) fn text(posted: &Posted, name: &str) -> String {
    one(posted, name).replace("\r\n", "\n") + "\n"
}

/// Puts what was sent into what the file held before.
pub(crate) fn merged(before: Value, entries: &[Entry], posted: &Posted) -> Value {
    let mut all = match before {
        Value::Object(fields) => fields,
        _ => Map::new(),
    };
    for entry in entries {
        let value = sent(entry, posted);
        place(&mut all, entry.name, value);
    }
    Value::Object(all)
}

fn sent(entry: &Entry, posted: &Posted) -> Value {
    let text = one(posted, entry.name);
    match &entry.input {
        _ if text.is_empty() => Value::Null,
        Input::Flag => match text {
            "yes" => true.into(),
            "no" => false.into(),
            other => other.into(),
        },
        // What is no number goes on as the text that it is, and is refused where it belongs.
        Input::Number => text
            .parse::<i64>()
            .ok()
            .map(Value::from)
            // NaN and inf are read as numbers, and a form has no place for them: they go back as they were typed.
            .or_else(|| text.parse::<f64>().ok().filter(|x| x.is_finite()).map(Value::from))
            .unwrap_or_else(|| text.into()),
        _ => text.into(),
    }
}

fn place(all: &mut Map<String, Value>, name: &str, value: Value) {
    match name.split_once('.') {
        None if value.is_null() => drop(all.remove(name)),
        None => drop(all.insert(name.to_owned(), value)),
        Some((first, rest)) if starts_with_number(rest) => {
            place_in_list(
                all.entry(first).or_insert_with(|| Value::Array(Vec::new())),
                rest,
                value,
            );
        }
        Some((table, rest)) => {
            let inner = all.entry(table).or_insert_with(|| Value::Object(Map::new()));
            if let Value::Object(inner) = inner {
                place(inner, rest, value);
                if inner.is_empty() {
                    all.remove(table);
                }
            }
        }
    }
}

fn starts_with_number(path: &str) -> bool {
    let first = path.split('.').next().unwrap_or_default();
    !first.is_empty() && first.bytes().all(|b| b.is_ascii_digit())
}

/// The most places of a list that a form may fill: what is asked for beyond is left out, so that no name makes a list of
/// a thousand million places.
const MOST_PLACES: usize = 100;

/// Puts a value at a place of a list, whose earlier places stay blank where nothing was sent for them.
fn place_in_list(list: &mut Value, path: &str, value: Value) {
    let (number, rest) = path.split_once('.').map_or((path, None), |(n, rest)| (n, Some(rest)));
    let (Value::Array(list), Ok(at)) = (list, number.parse::<usize>()) else { return };
    if at >= MOST_PLACES {
        return;
    }
    while list.len() <= at {
        list.push(Value::Null);
    }
    match rest {
        None => list[at] = value,
        Some(rest) => {
            if !list[at].is_object() {
                list[at] = Value::Object(Map::new());
            }
            if let Value::Object(inner) = &mut list[at] {
                place(inner, rest, value);
            }
        }
    }
}

/// The same without lists and tables in which nothing stands. A blank beside something stays, as a text, so that what was
/// typed keeps its place and what is missing is refused.
pub(crate) fn without_blanks(value: Value) -> Value {
    match value {
        Value::Object(fields) => {
            let full = fields.into_iter().map(|(n, v)| (n, without_blanks(v)));
            let full: Map<String, Value> = full.filter(|(_, v)| !v.is_null()).collect();
            if full.is_empty() { Value::Null } else { full.into() }
        }
        Value::Array(list) => {
            let list: Vec<Value> = list.into_iter().map(without_blanks).collect();
            let tables = list.iter().any(Value::is_object);
            if list.iter().all(Value::is_null) {
                return Value::Null;
            }
            let kept = list.into_iter().filter(|v| !(tables && v.is_null()));
            kept.map(|v| if v.is_null() { "".into() } else { v }).collect()
        }
        other => other,
    }
}

/// A table that may stand several times in a file, such as the doors of a room: its fields, each row with its number.
pub(crate) struct Rows {
    /// Its name in the file.
    pub(crate) table: &'static str,
    /// What one is called.
    pub(crate) word: &'static str,
    /// Its fields.
    pub(crate) entries: Vec<Entry>,
}

impl Rows {
    /// Every row that was sent, blank ones too.
    pub(crate) fn sent(&self, posted: &Posted) -> Vec<Value> {
        let number = |name: &str| {
            name.strip_prefix(self.table)?.strip_prefix('.')?.split('.').next()?.parse().ok()
        };
        let rows = posted
            .iter()
            .filter_map(|(name, _)| number(name))
            .max()
            .map_or(0, |n: usize| n.saturating_add(1));
        (0..rows.min(MOST_PLACES))
            .map(|row| {
                let prefix = format!("{}.{row}.", self.table);
                let of_row = posted.iter().filter_map(|(name, value)| {
                    Some((name.strip_prefix(&prefix)?.to_owned(), value.clone()))
                });
                merged(Value::Null, &self.entries, &of_row.collect())
            })
            .collect()
    }

    /// The fields of each row up to the last that has something, and of a blank one to add another. `refused`: the number
    /// of the row that a refusal is about.
    pub(crate) fn shown(&self, rows: &[Value], refused: Option<(usize, &Refusal)>) -> Markup {
        let blank = Value::Null;
        // A form that comes back has its blank row already: it does not grow by one each time.
        let filled = |row: &Value| any_filled(&self.entries, row);
        let about = refused.map_or(0, |(at, _)| at + 1);
        let last = rows.iter().rposition(filled).map_or(0, |i| i + 1).max(about).min(rows.len());
        let rows = &rows[..last];
        html! {
            @for (i, row) in rows.iter().chain([&blank]).enumerate() {
                @let refused = refused.filter(|(at, _)| *at == i).map(|(_, refusal)| refusal);
                fieldset.row {
                    legend { (self.word) " " (i + 1) @if i == rows.len() { span.faint { " (blank: none)" } } }
                    div.grid { (fields_at(&format!("{}.{i}.", self.table), &self.entries, row, refused)) }
                }
            }
        }
    }
}

/// What a field has in a file.
fn held<'a>(all: &'a Value, name: &str) -> Option<&'a Value> {
    name.split('.').try_fold(all, |value, part| match value {
        Value::Array(list) => list.get(part.parse::<usize>().ok()?),
        value => value.get(part),
    })
}

fn as_text(value: &Value) -> String {
    match value {
        Value::String(text) => text.clone(),
        Value::Null => String::new(),
        Value::Bool(true) => "yes".to_owned(),
        Value::Bool(false) => "no".to_owned(),
        other => other.to_string(),
    }
}

/// The fields of a form, filled in; a refusal stands at the field that it is about, or above all of them.
pub(crate) fn fields(entries: &[Entry], values: &Value, refused: Option<&Refusal>) -> Markup {
    fields_at("", entries, values, refused)
}

/// A field's name without the places of lists: a refusal of `door.from` is about `door.0.from.1` as well.
fn without_places(name: &str) -> String {
    name.split('.').filter(|part| !starts_with_number(part)).collect::<Vec<_>>().join(".")
}

/// The field that a refusal is about: of that very name, else the first whose name ends so.
fn about<'a>(refused: &Refusal, prefix: &str, entries: &'a [Entry]) -> Option<&'a Entry> {
    let field = refused.field.as_deref()?;
    let full = |entry: &&Entry| without_places(&format!("{prefix}{}", entry.name));
    let exact = entries.iter().find(|e| full(e) == field);
    exact.or_else(|| entries.iter().find(|e| full(e).rsplit('.').next() == Some(field)))
}

/// Whether anything stands in one of some fields.
pub(crate) fn any_filled(entries: &[Entry], values: &Value) -> bool {
    entries.iter().any(|e| held(values, e.name).is_some_and(|v| !as_text(v).is_empty()))
}

/// Whether a refusal is about one of some fields.
pub(crate) fn has(refused: &Refusal, entries: &[Entry]) -> bool {
    about(refused, "", entries).is_some()
}

fn fields_at(prefix: &str, entries: &[Entry], values: &Value, refused: Option<&Refusal>) -> Markup {
    // It is told once, at the first of two places of a point.
    let first = refused.and_then(|r| about(r, prefix, entries)).map(|entry| entry.name);
    html! {
        @if let Some(refused) = refused.filter(|_| first.is_none()) { (told(refused)) }
        @for entry in entries {
            @let bad = first == Some(entry.name);
            @let value = held(values, entry.name);
            @let text = value.map(as_text).unwrap_or_default();
            @let name = format!("{prefix}{}", entry.name);
            @let id = format!("f-{}", name.replace('.', "-"));
            @let hint = format!("{id}-hint");
            div.field.bad[bad] {
                label for=(id) { (entry.label) }
                @match &entry.input {
                    Input::Long => textarea id=(id) name=(name) rows="3" placeholder=(entry.example) aria-describedby=(hint) { (text) },
                    Input::Choice(words) => select id=(id) name=(name) aria-describedby=(hint) {
                        option value="" selected[text.is_empty()] { "not said" }
                        @for (word, label) in words { option value=(word) selected[*word == text] { (label) } }
                        @if !text.is_empty() && words.iter().all(|(w, _)| *w != text) { option value=(text) selected { (text) } }
                    },
                    Input::Flag => select id=(id) name=(name) aria-describedby=(hint) {
                        option value="" selected[text.is_empty()] { "not said" }
                        option value="yes" selected[text == "yes"] { "yes" }
                        option value="no" selected[text == "no"] { "no" }
                    },
                    _ => input id=(id) name=(name) value=(text) placeholder=(entry.example) aria-describedby=(hint) aria-invalid=[bad.then_some("true")] autofocus[bad] autocomplete="off";,
                }
                p.hint id=(hint) { (entry.hint) }
                // Its label stands above it; its name in the file says less.
                @if bad { @if let Some(refused) = refused { (told(&Refusal { field: None, ..refused.clone() })) } }
            }
        }
    }
}

/// Characters that are not seen, or that turn what stands beside them round: two labels with them may look alike.
pub(crate) fn unseen(c: char) -> bool {
    c.is_control()
        || matches!(c, '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2060}'..='\u{2069}' | '\u{feff}')
}

/// A text's characters that are seen, so many at the most.
pub(crate) fn seen(text: &str, most: usize) -> String {
    text.chars().filter(|c| !unseen(*c)).take(most).collect()
}

/// The hidden field with the revision that an edit starts from.
pub(crate) fn from(number: i64) -> Markup {
    html! { input type="hidden" name="from" value=(number); }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    #[test]
    fn rows_and_places_keep_what_was_typed_where_it_was_typed() {
        let doors = Rows {
            table: "door",
            word: "Door",
            entries: vec![
                Entry::new("name", "Name"),
                Entry::new("from.0", "from, across"),
                Entry::new("from.1", "from, along"),
            ],
        };
        let sent = |fields: &[(&str, &str)]| -> Vec<Value> {
            let posted =
                fields.iter().map(|(n, v)| ((*n).to_owned(), (*v).to_owned())).collect::<Posted>();
            doors.sent(&posted).into_iter().map(without_blanks).collect()
        };
        let two = sent(&[
            ("door.0.name", ""),
            ("door.0.from.0", ""),
            ("door.1.name", "yard"),
            ("door.1.from.0", ""),
            ("door.1.from.1", "1 m"),
            ("doorway.7.name", "no door"),
        ]);
        assert_eq!(two, [Value::Null, json!({ "name": "yard", "from": ["", "1 m"] })]);
        // A form that comes back blank, twice, shows one blank row as it did at first.
        let first = doors.shown(&[], None).into_string();
        let blanks = doors.sent(&vec![
            ("door.0.name".into(), String::new()),
            ("door.1.name".into(), String::new()),
        ]);
        assert_eq!((blanks.len(), doors.shown(&blanks, None).into_string()), (2, first));
        // A name that asks for a row a thousand million is no reason to make as many.
        assert!(sent(&[("door.999999999.name", "x")]).len() <= MOST_PLACES);
        assert!(sent(&[("door.18446744073709551615.from.99999", "x")]).len() <= MOST_PLACES);
    }

    #[test]
    fn fields_go_where_their_names_say_and_the_rest_stays() {
        let entries = [
            Entry::new("joint", "joint"),
            Entry::new("need.load", "load"),
            Entry::new("need.code", "code"),
            Entry::new("restrained", "restrained").of(Input::Flag),
        ];
        let before = json!({ "joint": "tee", "need": { "load": "1 kN", "method": "simplified" }, "metal": [{ "name": "x" }] });
        let posted: Posted = [
            ("joint", " butt "),
            ("need.load", ""),
            ("need.code", "EN 1993-1-8"),
            ("restrained", "no"),
        ]
        .map(|(n, v)| (n.to_owned(), v.to_owned()))
        .to_vec();
        assert_eq!(
            merged(before, &entries, &posted),
            json!({
                "joint": "butt", "need": { "method": "simplified", "code": "EN 1993-1-8" },
                "metal": [{ "name": "x" }], "restrained": false,
            })
        );
    }
}

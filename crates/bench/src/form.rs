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
    /// Some of some words, each with its label.
    Several(Vec<(String, String)>),
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
        Input::Several(_) => {
            let chosen: Vec<Value> = posted
                .iter()
                .filter(|(n, v)| n == entry.name && !v.trim().is_empty())
                .map(|(_, v)| v.trim().into())
                .collect();
            if chosen.is_empty() { Value::Null } else { chosen.into() }
        }
        _ if text.is_empty() => Value::Null,
        Input::Flag => match text {
            "yes" => true.into(),
            "no" => false.into(),
            other => other.into(),
        },
        // What is no number goes on as the text that it is, and is refused where it belongs.
        Input::Number => text
            .parse::<i64>()
            .map(Value::from)
            .or_else(|_| text.parse::<f64>().map(Value::from))
            .unwrap_or_else(|_| text.into()),
        _ => text.into(),
    }
}

fn place(all: &mut Map<String, Value>, name: &str, value: Value) {
    match name.split_once('.') {
        None if value.is_null() => drop(all.remove(name)),
        None => drop(all.insert(name.to_owned(), value)),
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

/// What a field has in a file.
fn held<'a>(all: &'a Value, name: &str) -> Option<&'a Value> {
    name.split('.').try_fold(all, |value, part| value.get(part))
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
    let about = |entry: &Entry| {
        refused.and_then(|r| r.field.as_deref()).is_some_and(|field| {
            field == entry.name || entry.name.rsplit('.').next() == Some(field)
        })
    };
    let placed = entries.iter().any(about);
    html! {
        @if let Some(refused) = refused.filter(|_| !placed) { (told(refused)) }
        @for entry in entries {
            @let bad = about(entry);
            @let value = held(values, entry.name);
            @let text = value.map(as_text).unwrap_or_default();
            @let id = format!("f-{}", entry.name.replace('.', "-"));
            @let hint = format!("{id}-hint");
            div.field.bad[bad] {
                @match &entry.input {
                    Input::Several(words) => {
                        fieldset {
                            legend { (entry.label) }
                            @if !entry.hint.is_empty() { p.hint id=(hint) { (entry.hint) } }
                            @let chosen: Vec<String> = value.and_then(Value::as_array).into_iter().flatten().map(as_text).collect();
                            div.several {
                                @for (word, label) in words {
                                    label.tick { input type="checkbox" name=(entry.name) value=(word) checked[chosen.contains(word)]; " " (label) }
                                }
                                @for extra in chosen.iter().filter(|c| words.iter().all(|(w, _)| w != *c)) {
                                    label.tick { input type="checkbox" name=(entry.name) value=(extra) checked; " " (extra) " (not in the study)" }
                                }
                            }
                        }
                    }
                    input => {
                        label for=(id) { (entry.label) }
                        @match input {
                            Input::Long => textarea id=(id) name=(entry.name) rows="3" placeholder=(entry.example) aria-describedby=(hint) { (text) },
                            Input::Choice(words) => select id=(id) name=(entry.name) aria-describedby=(hint) {
                                option value="" selected[text.is_empty()] { "not said" }
                                @for (word, label) in words { option value=(word) selected[*word == text] { (label) } }
                                @if !text.is_empty() && words.iter().all(|(w, _)| *w != text) { option value=(text) selected { (text) } }
                            },
                            Input::Flag => select id=(id) name=(entry.name) aria-describedby=(hint) {
                                option value="" selected[text.is_empty()] { "not said" }
                                option value="yes" selected[text == "yes"] { "yes" }
                                option value="no" selected[text == "no"] { "no" }
                            },
                            _ => input id=(id) name=(entry.name) value=(text) placeholder=(entry.example) aria-describedby=(hint) aria-invalid=[bad.then_some("true")] autocomplete="off";,
                        }
                        p.hint id=(hint) { (entry.hint) }
                    }
                }
                @if bad { @if let Some(refused) = refused { (told(refused)) } }
            }
        }
    }
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
    fn fields_go_where_their_names_say_and_the_rest_stays() {
        let entries = [
            Entry::new("joint", "joint"),
            Entry::new("need.load", "load"),
            Entry::new("need.code", "code"),
            Entry::new("restrained", "restrained").of(Input::Flag),
            Entry::new("sections", "sections").of(Input::Several(Vec::new())),
        ];
        let before = json!({ "joint": "tee", "need": { "load": "1 kN", "method": "simplified" }, "metal": [{ "name": "x" }] });
        let posted: Posted = [
            ("joint", " butt "),
            ("need.load", ""),
            ("need.code", "EN 1993-1-8"),
            ("restrained", "no"),
            ("sections", "a.toml"),
            ("sections", "b.toml"),
        ]
        .map(|(n, v)| (n.to_owned(), v.to_owned()))
        .to_vec();
        assert_eq!(
            merged(before, &entries, &posted),
            json!({
                "joint": "butt", "need": { "method": "simplified", "code": "EN 1993-1-8" },
                "metal": [{ "name": "x" }], "restrained": false, "sections": ["a.toml", "b.toml"],
            })
        );
    }
}

//! A reading file as JSON and back: for pages on which points are moved.
//!
//! The fields are those of the file, with the same names: lengths stay the texts that the person wrote (`"10 mm"`), points
//! stay pairs of numbers. So nothing is converted on the way, and what is saved is what `read` reads from a file.

use crate::refusal::Refusal;
use serde_json::{Map, Number, Value};

/// The text of a reading file as JSON.
///
/// # Errors
///
/// When the text is no TOML, with line and next action.
pub fn to_json(file: &str, text: &str) -> Result<Value, Refusal> {
    let table: toml::Table = toml::from_str(text).map_err(|e| Refusal::of_toml(file, text, &e))?;
    Ok(json(toml::Value::Table(table)))
}

/// JSON as the text of a reading file. A field that is `null` is left out. Whether it makes sense is asked where it is put
/// into the study.
///
/// # Errors
///
/// When it is no object, or holds what no reading file has: `null` in a list, or a number beyond 64 bits.
pub fn to_text(value: &Value) -> Result<String, Refusal> {
    let refuse = |fact: &str| {
        Refusal::new(fact, "send the fields of a reading file: photo, joint, scale, plates, fused")
    };
    let Value::Object(fields) = value else {
        return Err(refuse("the marks are no object with fields"));
    };
    let table = table(fields).map_err(refuse)?;
    toml::to_string(&table)
        .map_err(|e| refuse(&format!("the marks cannot be written as a reading file: {e}")))
}

fn json(value: toml::Value) -> Value {
    match value {
        toml::Value::String(text) => text.into(),
        toml::Value::Integer(number) => number.into(),
        // A reading file has no number that is not finite; if one does, it is refused there as the text that it is.
        toml::Value::Float(number) => {
            Number::from_f64(number).map_or_else(|| number.to_string().into(), Value::Number)
        }
        toml::Value::Boolean(yes) => yes.into(),
        toml::Value::Datetime(moment) => moment.to_string().into(),
        toml::Value::Array(list) => list.into_iter().map(json).collect(),
        toml::Value::Table(table) => {
            table.into_iter().map(|(name, value)| (name, json(value))).collect::<Map<_, _>>().into()
        }
    }
}

fn table(fields: &Map<String, Value>) -> Result<toml::Table, &'static str> {
    fields
        .iter()
        .filter(|(_, value)| !value.is_null())
        .map(|(name, value)| Ok((name.clone(), of_json(value)?)))
        .collect()
}

fn of_json(value: &Value) -> Result<toml::Value, &'static str> {
    Ok(match value {
        Value::Null => return Err("a list holds nothing at a place where something belongs"),
        Value::Bool(yes) => (*yes).into(),
        Value::String(text) => text.clone().into(),
        Value::Number(number) => match (number.as_i64(), number.as_f64()) {
            (Some(whole), _) => whole.into(),
            (None, Some(number)) => number.into(),
            (None, None) => return Err("a number has more than 64 bits"),
        },
        Value::Array(list) => {
            toml::Value::Array(list.iter().map(of_json).collect::<Result<_, _>>()?)
        }
        Value::Object(fields) => toml::Value::Table(table(fields)?),
    })
}

//! `units`: one value in every usual unit of its kind.

use crate::refusal::Refusal;
use crate::wire::{ConvertedOut, UnitsOut};
use weld::quantity::parse::parse_any;

/// Reads a text such as `18 ipm`, `5/16 in` or `1,2 kW` and converts it.
///
/// # Errors
///
/// When it cannot be read as one value with a unit.
pub fn units(text: &str) -> Result<UnitsOut, Refusal> {
    let value = parse_any(text).map_err(|e| Refusal::new(&e, e.advice()))?;
    Ok(UnitsOut {
        text: text.to_owned(),
        kind: value.kind().words().to_owned(),
        values: value
            .conversions()
            .into_iter()
            .zip(value.lines())
            .map(|((value, unit), shown)| ConvertedOut { value, unit: unit.to_owned(), shown })
            .collect(),
        note: value.note(),
    })
}

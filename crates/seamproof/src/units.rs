//! `seamproof units`.

use crate::{Ended, json, say};
use workflow::refusal::Refusal;

/// One value in every usual unit: seamproof units '18 ipm'
#[derive(Debug, clap::Args)]
pub(crate) struct Args {
    /// A value with its unit, in shop notation: '5/16 in', '.035"', '18 ipm', '80 thou', '35 cm/min'
    #[arg(required = true, num_args = 1.., allow_hyphen_values = true)]
    text: Vec<String>,
    /// Print JSON
    #[arg(long)]
    json: bool,
}

pub(crate) fn run(args: &Args) -> Result<Ended, Refusal> {
    let out = workflow::units::units(&args.text.join(" "))?;
    if args.json {
        say(&json(&out)?)?;
        return Ok(Ended::Yes);
    }
    let mut text = format!("{} is a {}:\n", out.text, out.kind);
    if out.kind.starts_with(['a', 'e', 'i', 'o', 'u']) {
        text = format!("{} is an {}:\n", out.text, out.kind);
    }
    for value in &out.values {
        text.push_str(&format!("  {}\n", value.shown));
    }
    if let Some(note) = &out.note {
        text.push_str(&format!("  {note}\n"));
    }
    say(&text)?;
    Ok(Ended::Yes)
}

//! The command line: one file per step.
//!
//! Doors convert flags and files to what `workflow` asks for, and print what it answers: aligned text for people,
//! `--json` for machines. Exit code 0: done; 1: the answer is no; 2: bad input.

mod area;
mod bench;
mod claim;
mod compare;
mod demo;
mod read;
mod shown;
mod start;
mod study;
mod units;
mod write;

use clap::{Parser, Subcommand};
use std::process::ExitCode;
use workflow::refusal::Refusal;

/// Evidence for the strength of welds made by handheld laser.
///
/// From photos of etched sections to the throat that may be claimed. Static strength only; the engineer accepts the
/// throat for design, and local codes and licensed practice govern.
#[derive(Debug, Parser)]
#[command(name = "seamproof", version, max_term_width = 100)]
struct Cli {
    #[command(subcommand)]
    step: Step,
}

/// Each step says in its own file what it is for.
#[derive(Debug, Subcommand)]
enum Step {
    Start(start::Args),
    Units(units::Args),
    Read(read::Args),
    Claim(claim::Args),
    Compare(compare::Args),
    Area(area::Args),
    Write(write::Args),
    Study(study::Args),
    Bench(bench::Args),
    Demo(demo::Args),
}

/// How a step ended.
enum Ended {
    /// Done.
    Yes,
    /// The answer is no.
    No,
}

fn main() -> ExitCode {
    let cli = Cli::parse();
    let ended = match &cli.step {
        Step::Start(args) => start::run(args),
        Step::Units(args) => units::run(args),
        Step::Read(args) => read::run(args),
        Step::Claim(args) => claim::run(args),
        Step::Compare(args) => compare::run(args),
        Step::Area(args) => area::run(args),
        Step::Write(args) => write::run(args),
        Step::Study(args) => study::run(args),
        Step::Bench(args) => bench::run(args),
        Step::Demo(args) => demo::run(args),
    };
    match ended {
        Ok(Ended::Yes) => ExitCode::SUCCESS,
        Ok(Ended::No) => ExitCode::from(1),
        Err(refusal) => {
            eprintln!("{refusal}");
            ExitCode::from(2)
        }
    }
}

/// Prints to standard output; a reader that went away (`| head`) is no fault of ours.
fn say(text: &str) -> Result<(), Refusal> {
    use std::io::Write;
    match std::io::stdout().lock().write_all(text.as_bytes()) {
        Err(e) if e.kind() != std::io::ErrorKind::BrokenPipe => Err(Refusal::new(
            format!("the answer cannot be printed: {e}"),
            "check where the output goes",
        )),
        _ => Ok(()),
    }
}

/// Tells on standard error what is being done; nobody who listens is no fault of ours.
fn tell(line: &str) {
    use std::io::Write;
    let _ = writeln!(std::io::stderr().lock(), "{line}");
}

fn json(value: &impl serde::Serialize) -> Result<String, Refusal> {
    serde_json::to_string(value).map(|text| text + "\n").map_err(|e| {
        Refusal::new(format!("the answer cannot be written as JSON: {e}"), "report this as a fault")
    })
}

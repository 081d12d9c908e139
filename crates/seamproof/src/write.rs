//! `seamproof write`.

use crate::claim::EXAMPLE;
use crate::shown::wrapped;
use crate::{Ended, json, say, tell};
use std::path::{Path, PathBuf};
use workflow::claim::Answer;
use workflow::claim::file::{Claimed, claim_file};
use workflow::refusal::Refusal;
use workflow::{files, write};

/// Papers, ready to print.
#[derive(Debug, clap::Args)]
pub(crate) struct Args {
    #[command(subcommand)]
    paper: PaperArg,
}

#[derive(Debug, clap::Subcommand)]
enum PaperArg {
    Report(ReportArgs),
}

/// The report to the customer: question, answer, sections, claim, and how all of it was found.
///
/// FILE is a claim file (TOML) with a question and a paper's table. The report is written whatever the answer is; when
/// it is no, the exit code is 1. The same files give the same report to the last byte.
#[derive(Debug, clap::Args)]
#[command(after_long_help = EXAMPLE)]
struct ReportArgs {
    /// Claim file
    #[arg(value_name = "FILE.toml")]
    file: PathBuf,
    /// The report
    #[arg(long, value_name = "OUT.pdf")]
    out: PathBuf,
    /// Print JSON, with all that the report says
    #[arg(long)]
    json: bool,
}

pub(crate) fn run(args: &Args) -> Result<Ended, Refusal> {
    match &args.paper {
        PaperArg::Report(report) => run_report(report),
    }
}

fn run_report(args: &ReportArgs) -> Result<Ended, Refusal> {
    let claimed = claim_file(&args.file, true, &tell)?;
    let paper = write::report(&claimed)?;
    let inputs = claimed.inputs();
    let inputs: Vec<&Path> = inputs.iter().map(PathBuf::as_path).collect();
    files::write_all(&[(args.out.clone(), paper.pdf)], &inputs)?;
    for remark in &paper.remarks {
        tell(remark);
    }
    let answer = claimed.worked.answer(&claimed.file.asked);
    let sentence = match &answer {
        Answer::Claim(out) => out.sentence.clone(),
        Answer::No { sentence, .. } => sentence.clone(),
    };
    let out = args.out.display();
    if args.json {
        say(&json(&serde_json::json!({
            "report": out.to_string(),
            "pages": paper.pages,
            "sentence": sentence,
            "against_the_joint": claimed.against(),
            "holds": claimed.holds(),
            "says": write::says(&claimed)?,
        }))?)?;
    } else {
        let mut text = wrapped(&sentence, "", "");
        if let Answer::No { advice, .. } = &answer {
            text.push_str(&wrapped(advice, "  next: ", "  "));
        }
        text.push_str(&against(&claimed));
        text.push_str(&format!("{out}: {} pages\n", paper.pages));
        say(&text)?;
    }
    Ok(if claimed.holds() { Ended::Yes } else { Ended::No })
}

/// What the code has against the joint, line by line.
pub(crate) fn against(claimed: &Claimed) -> String {
    claimed
        .against()
        .iter()
        .map(|fact| {
            wrapped(&format!("The code does not allow this joint as asked: {fact}."), "", "  ")
        })
        .collect()
}

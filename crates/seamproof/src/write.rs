//! `seamproof write`.

use crate::claim::{EXAMPLE, claimed};
use crate::shown::wrapped;
use crate::{Ended, json, say, tell};
use std::path::{Path, PathBuf};
use workflow::claim::Answer;
use workflow::claim::file::Claimed;
use workflow::clock::By;
use workflow::refusal::Refusal;
use workflow::study::Study;
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
/// FILE is a claim file (TOML) with a question and a paper's table, or a study (.seam) with such a claim; a study keeps that
/// the report was handed out. The report is written whatever the answer is; when it is no, the exit code is 1. The same
/// files give the same report to the last byte.
#[derive(Debug, clap::Args)]
#[command(after_long_help = EXAMPLE)]
struct ReportArgs {
    /// Claim file or study
    #[arg(value_name = "FILE")]
    file: PathBuf,
    /// The claim of the study, where it has several
    #[arg(long, value_name = "NAME")]
    claim: Option<String>,
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
    let claimed = claimed(&args.file, args.claim.as_deref(), true)?;
    let paper = write::report(&claimed)?;
    let inputs = claimed.inputs();
    let inputs: Vec<&Path> = inputs.iter().map(PathBuf::as_path).collect();
    files::write_all(&[(args.out.clone(), paper.pdf.clone())], &inputs)?;
    if claimed.study.is_some() {
        keep(args, &claimed, &paper)?;
    }
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

/// Keeps in the study that the report was handed out, by the one who answers for it.
fn keep(args: &ReportArgs, claimed: &Claimed, paper: &write::Paper) -> Result<(), Refusal> {
    let author = claimed.file.paper.as_ref().map_or("not named", |p| p.author.as_str());
    let kept = Study::open(&args.file).and_then(|study| {
        study.keep_paper(claimed, paper, &By::now(author))?;
        study.close()
    });
    // The paper is there; a study on a disk that may not be written does not undo it.
    kept.map_err(|r| Refusal {
        fact: format!(
            "{} is written, but the study does not know of it: {}",
            args.out.display(),
            r.fact
        ),
        ..r
    })
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

//! `seamproof study`.

use crate::shown::wrapped;
use crate::{Ended, json, say, tell};
use std::path::{Path, PathBuf};
use workflow::clock::By;
use workflow::progress::Quiet;
use workflow::refusal::Refusal;
use workflow::study::{self, Kind, Study};
use workflow::wire::study::{CheckOut, short_text};

/// What every part of `study --help` says besides.
const ABOUT: &str = "A study is one file, NAME.seam. Nothing in it is written over: a correction is a new revision, with author, time and reason.
Each revision is hashed together with the one before it, and papers print the hash and count that they rest on, the head.
A file changed with other tools is told by 'check'; one whose whole chain was written anew shows only against a printed head, 'check --head', or a kept copy.
Copy a study that is open with 'backup'; a plain copy may lack what is still in its journal.";

/// The study file: everything of a job, with its history.
#[derive(Debug, clap::Args)]
#[command(after_long_help = ABOUT)]
pub(crate) struct Args {
    #[command(subcommand)]
    what: What,
}

#[derive(Debug, clap::Subcommand)]
enum What {
    New(NewArgs),
    Check(CheckArgs),
    Export(ExportArgs),
    Import(ImportArgs),
    Backup(BackupArgs),
}

/// What a new study says about itself.
#[derive(Debug, clap::Args)]
struct About {
    /// What the study is about
    #[arg(long, value_name = "TEXT")]
    title: Option<String>,
    /// For whom
    #[arg(long, value_name = "TEXT")]
    customer: Option<String>,
    /// Who makes it
    #[arg(long, value_name = "NAME")]
    author: Option<String>,
    /// Its data are invented
    #[arg(long)]
    invented: bool,
}

/// A new, empty study.
#[derive(Debug, clap::Args)]
struct NewArgs {
    /// The study to make
    #[arg(value_name = "NAME.seam")]
    study: PathBuf,
    #[command(flatten)]
    about: About,
}

/// Is the study as it was saved? Exit code 1 when it is not, or when the head is not in it.
#[derive(Debug, clap::Args)]
struct CheckArgs {
    /// The study
    #[arg(value_name = "NAME.seam")]
    study: PathBuf,
    /// A head that a paper prints, such as 0123456789abcdef-57: is that paper's past still in the file?
    #[arg(long, value_name = "HEAD")]
    head: Option<String>,
    /// Print JSON
    #[arg(long)]
    json: bool,
}

/// The study as a folder: its history as JSON, reading files and photos, readings as CSV and XLSX.
#[derive(Debug, clap::Args)]
struct ExportArgs {
    /// The study
    #[arg(value_name = "NAME.seam")]
    study: PathBuf,
    /// Folder to write, a new or empty one
    #[arg(long, value_name = "FOLDER")]
    out: PathBuf,
}

/// A study from a folder: one that 'export' made gives an equal study; of any other the reading, joint and claim files with
/// their photos are taken, and --title and --author are needed.
#[derive(Debug, clap::Args)]
struct ImportArgs {
    /// The folder
    #[arg(value_name = "FOLDER")]
    folder: PathBuf,
    /// The study to make
    #[arg(long, value_name = "NAME.seam")]
    out: PathBuf,
    #[command(flatten)]
    about: About,
}

/// A copy of the study, also while others write to it.
#[derive(Debug, clap::Args)]
struct BackupArgs {
    /// The study
    #[arg(value_name = "NAME.seam")]
    study: PathBuf,
    /// The copy to make
    #[arg(long, value_name = "COPY.seam")]
    out: PathBuf,
}

pub(crate) fn run(args: &Args) -> Result<Ended, Refusal> {
    match &args.what {
        What::New(new) => {
            let (text, by) = about(&new.study, &new.about)?;
            let study = Study::create(&new.study, &text, &by)?;
            let head = study.head()?;
            study.close()?;
            say(&format!("{}: a new study, head {head}\n", new.study.display()))?;
        }
        What::Check(check) => return run_check(check),
        What::Export(export) => {
            let done = study::export(&Study::open_to_read(&export.study)?, &export.out, &Quiet)?;
            done.remarks.iter().for_each(|remark| tell(remark));
            say(&format!("{}: the study up to head {}\n", export.out.display(), done.head))?;
        }
        What::Import(import) => run_import(import)?,
        What::Backup(backup) => {
            let head = Study::open_to_read(&backup.study)?.backup(&backup.out, &Quiet)?;
            say(&format!("{}: the study up to head {head}\n", backup.out.display()))?;
        }
    }
    Ok(Ended::Yes)
}

/// The first record of a new study, and who makes it.
fn about(path: &Path, about: &About) -> Result<(String, By), Refusal> {
    let lacks = |flag: &str, example: &str| {
        Refusal::new(format!("{flag} is not given"), format!("add {flag} '{example}'"))
            .in_file(path.display())
    };
    let title = about.title.as_deref().ok_or_else(|| lacks("--title", "Gangway step"))?;
    let author = about.author.as_deref().ok_or_else(|| lacks("--author", "R. Tan"))?;
    let mut fields = vec![("title", title)];
    fields.extend(about.customer.as_deref().map(|customer| ("customer", customer)));
    if about.invented {
        fields.push(("invented", "true"));
    }
    let text = short_text(Kind::Study, &path.display().to_string(), &fields)?;
    Ok((text, By::now(author)))
}

fn run_check(args: &CheckArgs) -> Result<Ended, Refusal> {
    let out = study::check(&args.study, args.head.as_deref(), &Quiet)?;
    say(&if args.json { json(&out)? } else { page(&out) })?;
    Ok(if out.holds { Ended::Yes } else { Ended::No })
}

fn page(out: &CheckOut) -> String {
    let mut text = wrapped(&out.sentence, "", "");
    for fault in &out.faults {
        text.push_str(&wrapped(fault, "  - ", "    "));
    }
    if let Some(next) = &out.next {
        text.push_str(&wrapped(next, "  next: ", "    "));
    }
    text.push('\n');
    for (what, is) in [
        ("study", &out.study),
        ("head", &out.head),
        ("entries", &out.entries.to_string()),
        ("records", &out.records.to_string()),
        ("photos", &out.photos.to_string()),
    ] {
        text.push_str(&format!("  {what:<9}{is}\n"));
    }
    if out.asked_head.is_none() {
        text.push_str(&wrapped(
            "A chain that somebody wrote anew from beginning to end fits in itself: it shows only against a head on a paper (--head) or a kept copy.",
            "\n  ",
            "  ",
        ));
    }
    text
}

fn run_import(args: &ImportArgs) -> Result<(), Refusal> {
    let folder = &args.folder;
    if folder.join("study.json").exists() {
        let given = [
            ("--title", args.about.title.is_some()),
            ("--customer", args.about.customer.is_some()),
            ("--author", args.about.author.is_some()),
            ("--invented", args.about.invented),
        ];
        if let Some((flag, _)) = given.into_iter().find(|(_, given)| *given) {
            return Err(Refusal::new(
                format!("{flag} is given for an exported study, which says it itself"),
                "leave the flag out",
            )
            .in_file(folder.display()));
        }
        let head = study::import(folder, &args.out, &Quiet)?;
        return say(&format!("{}: the study up to head {head}\n", args.out.display()));
    }
    let (text, by) = about(folder, &args.about)?;
    let done = study::bring(folder, &args.out, &text, &by, &tell)?;
    for remark in &done.remarks {
        tell(remark);
    }
    let count = |n: usize, what: &str| format!("{n} {what}{}", if n == 1 { "" } else { "s" });
    say(&wrapped(
        &format!(
            "{}: a new study of {}, {}, {}, {} and {}, head {}",
            done.study.display(),
            count(done.joints, "joint"),
            count(done.settings, "setting"),
            count(done.sections, "section"),
            count(done.readings, "reading"),
            count(done.claims, "claim"),
            done.head
        ),
        "",
        "  ",
    ))
}

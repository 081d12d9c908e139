//! `seamproof bench`.

use crate::{Ended, tell};
use ::bench::{Options, Shop, serve};
use std::io::{BufRead, IsTerminal};
use std::net::{IpAddr, Ipv4Addr, SocketAddr};
use std::path::PathBuf;
use workflow::refusal::Refusal;

/// Where the bench listens unless told otherwise.
const PORT: u16 = 7380;

/// The web bench: mark photos, read, claim and write up in a browser.
///
/// It listens to this machine alone. With --shop phones on the same network may come in with a pass phrase, over TLS with a
/// certificate that this machine makes and keeps; the pass phrase is asked for, or is the first line of
/// --pass-phrase-file.
#[derive(Debug, clap::Args)]
pub(crate) struct Args {
    /// The study to open; without one the first page offers a new one and the demo
    #[arg(value_name = "NAME.seam")]
    study: Option<PathBuf>,
    /// Address and port to listen on [default: 127.0.0.1:7380; with --shop 0.0.0.0:7380]
    #[arg(long, value_name = "ADDRESS:PORT")]
    listen: Option<SocketAddr>,
    /// Let phones in the shop come in
    #[arg(long)]
    shop: bool,
    /// A file whose first line is the shop's pass phrase
    #[arg(long, value_name = "FILE", requires = "shop")]
    pass_phrase_file: Option<PathBuf>,
}

pub(crate) fn run(args: &Args) -> Result<Ended, Refusal> {
    let any = if args.shop { Ipv4Addr::UNSPECIFIED } else { Ipv4Addr::LOCALHOST };
    let listen = args.listen.unwrap_or_else(|| SocketAddr::new(IpAddr::V4(any), PORT));
    let shop = match args.shop {
        true => Some(Shop { phrase: phrase(args)?, certificate: certificate()? }),
        false => None,
    };
    let here = std::env::current_dir().map_err(|e| {
        Refusal::new(format!("the folder cannot be told: {e}"), "start the bench in another folder")
    })?;
    let folder = match args.study.as_deref().and_then(std::path::Path::parent) {
        Some(parent) if !parent.as_os_str().is_empty() => parent.to_path_buf(),
        _ => here,
    };
    serve(&Options { study: args.study.clone(), listen, shop, folder }, tell)?;
    Ok(Ended::Yes)
}

/// The pass phrase: from its file, or as it is typed.
fn phrase(args: &Args) -> Result<String, Refusal> {
    let first = |text: &str| text.lines().next().unwrap_or_default().trim().to_owned();
    if let Some(path) = &args.pass_phrase_file {
        return Ok(first(&workflow::files::text(path)?));
    }
    if std::io::stdin().is_terminal() {
        tell("Pass phrase of the shop, at least 10 letters (it shows as you type):");
    }
    let mut line = String::new();
    std::io::stdin().lock().read_line(&mut line).map_err(|e| {
        Refusal::new(
            format!("no pass phrase could be read: {e}"),
            "name a file: --pass-phrase-file",
        )
    })?;
    Ok(first(&line))
}

/// Where this machine's certificate is kept: with the person's data, not beside a study that is sent around.
fn certificate() -> Result<PathBuf, Refusal> {
    let of = |name: &str| std::env::var_os(name).filter(|v| !v.is_empty()).map(PathBuf::from);
    let data = of("XDG_DATA_HOME")
        .or_else(|| of("HOME").map(|home| home.join(".local/share")))
        .or_else(|| of("LOCALAPPDATA"));
    data.map(|data| data.join("seamproof").join("shop.pem")).ok_or_else(|| {
        Refusal::new("there is no place for the shop's certificate", "set HOME or XDG_DATA_HOME")
    })
}

//! What the typesetter may see: one template, the values, the figures, two faces, and the paper's date.

use super::{Date, Paper, PaperError};
use crate::faces;
use std::sync::LazyLock;
use typst::diag::{FileError, FileResult, SourceDiagnostic};
use typst::foundations::{Bytes, Datetime, Duration};
use typst::syntax::{FileId, RootedPath, Source, VirtualPath, VirtualRoot};
use typst::text::{Font, FontBook};
use typst::utils::LazyHash;
use typst::{Library, LibraryExt, World};

static FONTS: LazyLock<(LazyHash<FontBook>, Vec<Font>)> = LazyLock::new(|| {
    let fonts: Vec<Font> = [faces::regular(), faces::bold()]
        .into_iter()
        .flat_map(|face| Font::iter(Bytes::new(face)))
        .collect();
    (LazyHash::new(FontBook::from_fonts(&fonts)), fonts)
});
static LIBRARY: LazyLock<LazyHash<Library>> = LazyLock::new(|| LazyHash::new(Library::default()));

struct Desk {
    main: Source,
    files: Vec<(FileId, Bytes)>,
    date: Date,
}

fn id(path: &str) -> Result<FileId, PaperError> {
    let path = VirtualPath::new(path)
        .map_err(|e| PaperError::Typesetting { why: format!("{path}: {e:?}") })?;
    Ok(RootedPath::new(VirtualRoot::Project, path).intern())
}

fn said(all: &[SourceDiagnostic]) -> Vec<String> {
    all.iter().map(|d| d.message.to_string()).collect()
}

/// Typesets a template with its files.
pub(super) fn typeset(
    template: &str,
    files: Vec<(String, Vec<u8>)>,
    date: Date,
) -> Result<Paper, PaperError> {
    let stopped = |all: typst::ecow::EcoVec<SourceDiagnostic>| PaperError::Typesetting {
        why: said(&all).join("; "),
    };
    let desk = Desk {
        main: Source::new(id("main.typ")?, template.to_owned()),
        files: files
            .into_iter()
            .map(|(name, bytes)| Ok((id(&name)?, Bytes::new(bytes))))
            .collect::<Result<_, PaperError>>()?,
        date,
    };
    let compiled = typst::compile::<typst_layout::PagedDocument>(&desk);
    let document = compiled.output.map_err(stopped)?;
    let pdf = typst_pdf::pdf(&document, &typst_pdf::PdfOptions::default()).map_err(stopped)?;
    // A bench that runs for weeks keeps what the last few papers shared and no more.
    typst::comemo::evict(10);
    Ok(Paper { pdf, pages: document.pages().len(), remarks: said(&compiled.warnings) })
}

impl World for Desk {
    fn library(&self) -> &LazyHash<Library> {
        &LIBRARY
    }

    fn book(&self) -> &LazyHash<FontBook> {
        &FONTS.0
    }

    fn main(&self) -> FileId {
        self.main.id()
    }

    fn source(&self, asked: FileId) -> FileResult<Source> {
        if asked == self.main.id() {
            Ok(self.main.clone())
        } else {
            Err(FileError::NotFound(asked.vpath().get_without_slash().into()))
        }
    }

    fn file(&self, asked: FileId) -> FileResult<Bytes> {
        self.files
            .iter()
            .find(|(id, _)| *id == asked)
            .map(|(_, bytes)| bytes.clone())
            .ok_or_else(|| FileError::NotFound(asked.vpath().get_without_slash().into()))
    }

    fn font(&self, index: usize) -> Option<Font> {
        FONTS.1.get(index).cloned()
    }

    fn today(&self, _: Option<Duration>) -> Option<Datetime> {
        Datetime::from_ymd(self.date.year, self.date.month, self.date.day)
    }
}

//! A finished file held against the one that the project makes: composed once more with what the file says that it was made
//! with, a licensed copy with its line, sheets imposed in the same way. Beside the reading by geometry this is a second judge;
//! where it cannot judge it says why, and the first one stands alone.

use super::making::VERSION;
use super::prepared::{Draft, Prepared};
use super::settle::Purpose;
use crate::compose::licence_line;
use crate::diag::{Diagnostic, Report};
use crate::font::FontBook;
use crate::pdf::copies::{LICENCE_LINE, Master};
use crate::pdf::impose::{ImposeOptions, ImposedFile, impose};
use crate::pdf::{PrinterProfile, USUAL_INK};
use crate::proof::{Comparison, ProofReport, compare, prove_sheets};
use crate::reader::{Making, PdfReader, ReadError};

/// What came of holding a whole file against the one that the project makes.
#[derive(Debug)]
pub(crate) enum WholeFile {
    /// They were compared.
    Compared(Comparison),
    /// They were not; why.
    LeftOut(String),
}

/// Both judges' words on a file.
#[derive(Debug)]
pub(crate) struct FileProof {
    /// What the pages say, read by where things stand.
    pub(crate) pages: ProofReport,
    /// What comparing says.
    pub(crate) whole: WholeFile,
    /// The line that says whose copy it is, if it is one.
    pub(crate) licence_line: Option<String>,
    /// Whether it is a booklet on sheets.
    pub(crate) on_sheets: bool,
}

/// A finished file that is to be judged, opened once for all who ask it something.
pub(crate) struct FinishedFile<'a> {
    bytes: &'a [u8],
    opened: Result<PdfReader, ReadError>,
    making: Making,
}

impl FinishedFile<'_> {
    /// Opens a file. One that cannot be read is judged as well.
    pub(crate) fn open(bytes: &[u8]) -> FinishedFile<'_> {
        let opened = PdfReader::open(bytes);
        let making = opened.as_ref().ok().and_then(PdfReader::making).unwrap_or_default();
        FinishedFile { bytes, opened, making }
    }

    /// What it says of itself; nothing where it cannot be read.
    pub(crate) fn making(&self) -> &Making {
        &self.making
    }
}

impl Prepared {
    /// Holds a file against what this project makes. `None`: the project cannot be composed, and the report says why.
    pub(crate) fn proof_whole(
        &self,
        draft: &Draft,
        file: FinishedFile<'_>,
        shipped: &FontBook,
        report: &mut Report,
    ) -> Option<FileProof> {
        let FinishedFile { bytes, opened, making } = file;
        let making = &making;
        if let Some(comparison) = made_otherwise(&draft.made_with, making) {
            let pages = self.proof_opened(draft, opened);
            let whole = WholeFile::Compared(comparison);
            return Some(FileProof { pages, whole, licence_line: None, on_sheets: false });
        }
        let imposing = ImposeOptions::from_said(&making.said);
        let licence_line = making.said.get(LICENCE_LINE).cloned();
        // Read before anything is made, so that never both the opened file and a booklet that is being laid out take memory.
        // What sheets must say is known only when the booklet is made.
        let pages = match imposing {
            None => Some(self.proof_opened(draft, opened)),
            Some(_) => {
                drop(opened);
                None
            }
        };
        let made = self.made(draft, making, shipped, report)?;
        let made = made.and_then(|made| match &licence_line {
            Some(line) => copied(&made, line, shipped),
            None => Ok(made),
        });
        let (made, sheets) = match (made, imposing) {
            (Ok(made), Some(imposing)) => match impose(&made, imposing) {
                Ok(sheets) => (Ok(made), Some(sheets)),
                Err(_) => (Err("the booklet cannot be put on such sheets".to_owned()), None),
            },
            (made, _) => (made, None),
        };
        let whole = match (&made, &sheets) {
            (Ok(_), Some(ImposedFile { bytes: wanted, .. })) | (Ok(wanted), None) => {
                WholeFile::Compared(compare(bytes, wanted))
            }
            (Err(why), _) => WholeFile::LeftOut(why.clone()),
        };
        let pages = match (pages, &made, &sheets) {
            (Some(pages), ..) => pages,
            (None, Ok(made), Some(sheets)) => prove_sheets(bytes, made, sheets.faces),
            (None, ..) => self.proof(draft, bytes),
        };
        Some(FileProof { pages, whole, licence_line, on_sheets: sheets.is_some() })
    }

    /// The file as this project makes it; the inner error says why it is not made.
    fn made(
        &self,
        draft: &Draft,
        making: &Making,
        shipped: &FontBook,
        report: &mut Report,
    ) -> Option<Result<Vec<u8>, String>> {
        match making.said.get("version") {
            None => return Some(Err("the file does not say how it was made".to_owned())),
            Some(version) if version != VERSION => {
                return Some(Err(format!(
                    "the file was made by version {version} of this program, and this is {VERSION}"
                )));
            }
            Some(_) => {}
        }
        let booklet = super::lay_out(self, draft, shipped, report)?;
        let faces = draft.variant.faces(shipped);
        match draft.variant.purpose {
            Purpose::Home => super::file(&booklet, faces, report).map(Ok),
            Purpose::PrintShop => {
                let most = making.said.get("most-ink").and_then(|most| most.parse().ok()).unwrap_or(USUAL_INK);
                let Some(Ok(profile)) = making.profile.as_deref().map(|bytes| PrinterProfile::read(bytes, most)) else {
                    return Some(Err("the profile of the inks cannot be read from it".to_owned()));
                };
                super::shop_file(&booklet, faces, &profile, report).map(|file| Ok(file.bytes))
            }
        }
    }
}

/// What is told of a file of this version that says itself that it was made with other choices than are asked for: everything
/// in it differs then, and nothing of that is worth reading.
fn made_otherwise(asked: &[(String, String)], making: &Making) -> Option<Comparison> {
    if making.said.get("version").is_none_or(|version| version != VERSION) {
        return None;
    }
    let unlike = asked.iter().filter_map(|(key, asked)| {
        let said = making.said.get(key).filter(|said| *said != asked)?;
        Some(format!("its {} is `{said}`, and `{asked}` is asked for", key.replace('-', " ")))
    });
    let unlike: Vec<String> = unlike.collect();
    (!unlike.is_empty()).then(|| Comparison::of_another_making(&unlike.join("; ")))
}

/// The licensed copy with this line.
fn copied(made: &[u8], line: &str, shipped: &FontBook) -> Result<Vec<u8>, String> {
    let odd = |why: Diagnostic| format!("it says that it is a copy, and none can be made: {}", why.message);
    let master = Master::open(made).map_err(odd)?;
    let language = master.language().unwrap_or_default();
    let set = licence_line::set(line, master.room(), shipped, &language)
        .map_err(|_| "the line that says whose copy it is cannot be set".to_owned())?;
    master.copy(&set, shipped, line).map_err(|error| error.to_string())
}

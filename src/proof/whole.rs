//! The whole of a file held against the file that the project makes: byte for byte, and where another program has saved it
//! again, object by object, all that a reader of the file could meet: pages in order with their boxes, contents, fonts and
//! pictures, fields and links, bookmarks, tags, metadata. What stands nowhere in the tree that begins at the catalogue is met
//! by nobody and not compared.
//!
//! This is a second judge. The reading by geometry knows nothing of it, and neither decides for the other.

mod annotations;
mod order;
mod pages;
mod shown;
mod tokens;
mod values;
mod words;

use super::report::Finding;
use crate::diag::{Diagnostic, Report};
use crate::reader::document::PdfFile;
use lopdf::Document;
use values::Pair;

/// What came of a comparison.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Comparison {
    /// Whether the files have the same bytes.
    pub(crate) same_bytes: bool,
    /// Objects that were compared; 0 where the bytes are the same.
    pub objects: usize,
    /// What differs; empty where a reader of the file meets nothing else.
    pub findings: Vec<Finding>,
    /// Further differences that are not told.
    pub(crate) left_out: usize,
}

impl Comparison {
    /// That of a file that was made in another way than is asked for, as it says itself.
    pub(crate) fn of_another_making(how: &str) -> Comparison {
        let finding = Finding::new("other-making", format!("the file says that it was made otherwise: {how}"));
        Comparison { findings: vec![finding], ..Comparison::default() }
    }

    /// Whether nothing differs.
    pub fn holds(&self) -> bool {
        self.findings.is_empty()
    }

    /// The differences as faults for the screen.
    pub(crate) fn diagnostics(&self) -> Report {
        let mut report = Report::new();
        for finding in &self.findings {
            let fault = Diagnostic::fault(finding.id, finding.sentence());
            report.push(fault.hint("compose the file anew, or ask where this one comes from"));
        }
        if self.left_out > 0 {
            report.push(Diagnostic::fault("more-findings", format!("and {} more differences", self.left_out)));
        }
        report
    }
}

/// Differences that are told; a file of another project has thousands.
const MAX_TOLD: usize = 60;

/// Holds a file against the one that the project makes.
pub fn compare(found: &[u8], made: &[u8]) -> Comparison {
    if found == made {
        return Comparison { same_bytes: true, ..Comparison::default() };
    }
    let open = |bytes: &[u8], what: &str| {
        PdfFile::new(bytes).map_err(|why| Finding::new("unreadable-file", format!("{what}{why}; {}", why.remedy())))
    };
    let opened = open(found, "").and_then(|found| Ok((found, open(made, "the file as it should be: ")?)));
    let mut findings = match opened {
        Ok((found, made)) => return documents(&found.document, &made.document),
        Err(finding) => vec![finding],
    };
    findings.truncate(1);
    Comparison { findings, ..Comparison::default() }
}

fn documents(found: &Document, made: &Document) -> Comparison {
    let mut pair = Pair::new(found, made);
    pages::compare(&mut pair);
    let catalogue = |document: &Document| document.catalog().ok().cloned();
    match (catalogue(found), catalogue(made)) {
        (Some(found), Some(made)) => pair.catalogues(&found, &made),
        _ => pair.note(Finding::new("unreadable-file", "the file has no catalogue")),
    }
    let information = |document: &Document| {
        let entry = document.trailer.get(b"Info").ok()?;
        document.dereference(entry).ok()?.1.as_dict().ok().cloned()
    };
    let (of_found, of_made) = (information(found).unwrap_or_default(), information(made).unwrap_or_default());
    pair.information(&of_found, &of_made);
    pair.finish();
    let Pair { mut findings, objects, .. } = pair;
    findings.sort_by_key(|finding| finding.page.unwrap_or(0));
    let left_out = findings.len().saturating_sub(MAX_TOLD);
    findings.truncate(MAX_TOLD);
    Comparison { same_bytes: false, objects, findings, left_out }
}

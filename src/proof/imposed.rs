//! Imposed sheets read back: every letter of the booklet stands on them, as often as in the booklet.

use super::{Finding, ProofReport};
use crate::reader::PdfReader;
use std::collections::BTreeMap;

/// Letters named one by one; where more are amiss, it is another booklet.
const MAX_LETTERS: usize = 10;

/// Holds sheets against the finished booklet whose pages they carry. `faces` says how many sides they must have.
pub(crate) fn prove_sheets(sheets: &[u8], booklet: &[u8], faces: usize) -> ProofReport {
    let mut report = ProofReport::default();
    let Some((pages, wanted)) = letters(booklet, "the booklet", &mut report) else { return report };
    let Some((sides, found)) = letters(sheets, "the sheets", &mut report) else { return report };
    report.pages = sides;
    if sides != faces || sides < pages.div_ceil(2) {
        let message = format!("the sheets have {sides} sides for {pages} pages, not {faces}");
        report.find(Finding::new("wrong-sides", message));
    }
    let all: std::collections::BTreeSet<char> = wanted.keys().chain(found.keys()).copied().collect();
    let count = |of: &BTreeMap<char, usize>, letter: char| of.get(&letter).copied().unwrap_or(0);
    let amiss = all.into_iter().filter(|letter| count(&wanted, *letter) != count(&found, *letter));
    for letter in amiss.take(MAX_LETTERS) {
        let (wanted, found) = (count(&wanted, letter), count(&found, letter));
        let message = format!("`{letter}` stands {wanted} times in the booklet and {found} times on the sheets");
        report.find(Finding::new("wrong-letters", message));
    }
    report
}

/// Pages of a file, and how often each letter shows on them.
fn letters(bytes: &[u8], what: &str, report: &mut ProofReport) -> Option<(usize, BTreeMap<char, usize>)> {
    let mut reading = match PdfReader::open(bytes) {
        Ok(reading) => reading,
        Err(why) => {
            report.find(Finding::new("unreadable-file", format!("{what}: {why}; {}", why.remedy())));
            return None;
        }
    };
    let mut counted = BTreeMap::new();
    for number in 1..=reading.pages() {
        match reading.page(number) {
            Ok(page) => {
                let shown = page.drawn.glyphs.iter().filter(|glyph| glyph.shows);
                let letters = shown.flat_map(|glyph| page.drawn.letters_of(glyph).chars());
                letters.filter(|c| !c.is_whitespace()).for_each(|c| *counted.entry(c).or_insert(0) += 1);
                for unread in page.drawn.unread {
                    report.find(Finding::new("unreadable-page", format!("{what}: {unread}")).on(number));
                }
            }
            Err(why) => report.find(Finding::new("unreadable-page", format!("{what}: {why}")).on(number)),
        }
    }
    Some((reading.pages(), counted))
}

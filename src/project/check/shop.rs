//! What the shop folder of a project holds.

use super::address;
use crate::catalogue::{EditionName, PaperName};
use crate::diag::{Diagnostic, Report};
use crate::form::{FormSection, Spanned};
use crate::project::{Ink, Shop, ShopColourways, ShopSheet};
use crate::source::Sources;
use crate::words::Words;
use std::path::{Path, PathBuf};

/// Sheets that a booklet can be folded from, with the page that is half of each.
pub(crate) const SHEETS: [ShopSheet; 4] = [
    ShopSheet { sheet: PaperName::A4, page: PaperName::A5 },
    ShopSheet { sheet: PaperName::Letter, page: PaperName::HalfLetter },
    ShopSheet { sheet: PaperName::A3, page: PaperName::A4 },
    ShopSheet { sheet: PaperName::Tabloid, page: PaperName::Letter },
];
/// Inks by name.
pub(crate) const INKS: [(&str, Ink); 3] =
    [("saving", Ink::Saving), ("full", Ink::Full), ("symbols-only", Ink::SymbolsOnly)];

impl Shop {
    /// Every edition on the two papers that lie beside the world's printers, in the project's own ink.
    pub fn usual(ink: Ink) -> Shop {
        Shop {
            editions: EditionName::ALL.to_vec(),
            papers: vec![PaperName::A4, PaperName::Letter],
            inks: vec![ink],
            colourways: ShopColourways::Together,
            languages: Vec::new(),
            sheets: Vec::new(),
            print_shop: None,
            profile: None,
            most_ink: None,
            picture_width: 1_600,
            watermark: None,
            address: None,
        }
    }
}

pub(super) fn check(top: &FormSection<'_>, folder: &Path, ink: Ink, sources: &Sources, report: &mut Report) -> Shop {
    let mut shop = Shop::usual(ink);
    let Some(section) = top.section("shop", report) else { return shop };
    if let Some(editions) = section.choices("editions", &EditionName::choices(), report) {
        shop.editions = editions.value;
    }
    if let Some(papers) = section.choices("papers", &PaperName::choices(), report) {
        shop.papers = papers.value;
    }
    if let Some(inks) = section.choices("inks", &INKS, report) {
        shop.inks = inks.value;
    }
    if let Some(sheets) = section.choices("sheets", &SHEETS.map(|sheet| (sheet.sheet.name(), sheet)), report) {
        shop.sheets = sheets.value;
    }
    let ways = [("together", ShopColourways::Together), ("each", ShopColourways::Each), ("both", ShopColourways::Both)];
    if let Some(way) = section.choice("colourways", &ways, report) {
        shop.colourways = way.value;
    }
    let languages: Vec<_> = Words::languages().map(|tag| (tag, tag)).collect();
    shop.languages = section.choices("languages", &languages, report).map_or_else(Vec::new, |tags| tags.value);
    shop.print_shop = section.choice("print-shop", &PaperName::choices(), report).map(|paper| paper.value);
    if let Some(Spanned { value, span }) = section.text("profile", report) {
        if let Err(fault) = sources.inside(folder, &value) {
            report.push(fault.at(span));
        }
        shop.profile = Some(PathBuf::from(value));
    }
    shop.most_ink = section.count("most-ink", 200, 400, report).map(|most| most.value as u16);
    for key in ["profile", "most-ink"] {
        if let Some(span) = section.place(key).filter(|_| section.misses("print-shop")) {
            report.push(
                Diagnostic::fault("idle-key", format!("`{key}` says nothing without `print-shop`"))
                    .at(span)
                    .hint("name the paper of the print-shop file, for example `print-shop = \"a5\"`"),
            );
        }
    }
    if let Some(width) = section.count("picture-width", 200, 6_000, report) {
        shop.picture_width = width.value as u16;
    }
    shop.address = address::read(&section, "address", false, report);
    shop.watermark = section.text("watermark", report).map(|words| words.value);
    section.close(report);
    shop
}

//! What the shop folder of a project holds.

use crate::diag::{Diagnostic, Report};
use crate::edition;
use crate::form::{Marked, Section};
use crate::project::{Ink, Shop, ShopSheet};
use crate::source;
use std::path::{Path, PathBuf};

/// Sheets that a booklet can be folded from, with the page that is half of each.
pub const SHEETS: [ShopSheet; 4] = [
    ShopSheet { sheet: "a4", page: "a5" },
    ShopSheet { sheet: "letter", page: "half-letter" },
    ShopSheet { sheet: "a3", page: "a4" },
    ShopSheet { sheet: "tabloid", page: "letter" },
];
/// Inks by name.
pub const INKS: [(&str, Ink); 3] = [("saving", Ink::Saving), ("full", Ink::Full), ("symbols-only", Ink::SymbolsOnly)];

impl Shop {
    /// Every edition on the two papers that lie beside the world's printers, in the project's own ink.
    pub fn usual(ink: Ink) -> Shop {
        Shop {
            editions: owned(&edition::EDITIONS.map(|(name, _)| name)),
            papers: owned(&["a4", "letter"]),
            inks: vec![ink],
            sheets: Vec::new(),
            print_shop: None,
            profile: None,
            most_ink: None,
            picture_width: 1_600,
            watermark: None,
        }
    }
}

fn owned(names: &[&str]) -> Vec<String> {
    names.iter().map(|name| (*name).to_owned()).collect()
}

pub(super) fn check(top: &Section<'_>, folder: &Path, ink: Ink, report: &mut Report) -> Shop {
    let mut shop = Shop::usual(ink);
    let Some(section) = top.section("shop", report) else { return shop };
    let editions = edition::EDITIONS.map(|(name, _)| (name, name));
    let papers = edition::papers();
    let papers: Vec<(&str, &str)> = papers.iter().map(|name| (name.as_str(), name.as_str())).collect();
    if let Some(editions) = section.choices("editions", &editions, report) {
        shop.editions = owned(&editions.value);
    }
    if let Some(chosen) = section.choices("papers", &papers, report) {
        shop.papers = owned(&chosen.value);
    }
    if let Some(inks) = section.choices("inks", &INKS, report) {
        shop.inks = inks.value;
    }
    if let Some(sheets) = section.choices("sheets", &SHEETS.map(|sheet| (sheet.sheet, sheet)), report) {
        shop.sheets = sheets.value;
    }
    shop.print_shop = section.choice("print-shop", &papers, report).map(|paper| paper.value.to_owned());
    if let Some(Marked { value, span }) = section.text("profile", report) {
        if let Err(fault) = source::inside(folder, &value) {
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
    shop.watermark = section.text("watermark", report).map(|words| words.value);
    section.close(report);
    shop
}

//! The maker's own words in sections of the booklet.

use super::address;
use crate::catalogue::SectionName;
use crate::commonmark;
use crate::diag::{Diagnostic, Phrase, Report};
use crate::form::FormSection;
use crate::project::OwnWords;

/// Sections that may be followed by the maker's words, and whether these may take their place. The chart and the rows are
/// what a pattern is, the cautions protect people, and cover and contents have no text of their own.
pub(crate) const SECTIONS: [(SectionName, bool); 17] = [
    (SectionName::AtAGlance, true),
    (SectionName::Colourways, false),
    (SectionName::Materials, false),
    (SectionName::CuttingList, false),
    (SectionName::YourYarn, false),
    (SectionName::OwnGauge, true),
    (SectionName::BeforeYouStart, true),
    (SectionName::Techniques, true),
    (SectionName::SettingUp, true),
    (SectionName::RowsInWords, false),
    (SectionName::Finishing, true),
    (SectionName::Hanging, true),
    (SectionName::Care, true),
    (SectionName::Cautions, false),
    (SectionName::UsingThisPattern, true),
    (SectionName::MaterialsList, false),
    (SectionName::WhatToBring, false),
];

/// Reads the maker's own words under a key; mark-up that is not printed is told, and links lead to pages or mailboxes.
pub(super) fn words(section: &FormSection<'_>, key: &str, report: &mut Report) -> Option<String> {
    let words = section.words(key, report)?;
    let read = commonmark::read(&words.value);
    if !read.unsupported.is_empty() {
        let what = read.unsupported.join(", ");
        report.push(
            Diagnostic::advice(
                Phrase::new("unprinted-mark-up", "`{key}` has mark-up that is not printed: {what}")
                    .with("key", key)
                    .with("what", &what.replace('`', "")),
            )
            .at(words.span)
            .advise(Phrase::new(
                "unprinted-mark-up-hint",
                "paragraphs, `# headings`, `- lists`, `1. steps`, `*italic*`, `**strong**`, `[links](https://example.org)` \
                 and `![pictures](file.jpg)` are; a backslash before a sign prints the sign",
            )),
        );
    }
    for address in read.addresses.iter().filter(|address| !address::is_followed(address)) {
        report.push(address::other(&format!("the link `{address}` leads")).at(words.span));
    }
    Some(words.value)
}

pub(crate) fn check(top: &FormSection<'_>, report: &mut Report) -> Vec<OwnWords> {
    let names = SECTIONS.map(|(name, _)| (name.name(), name));
    let mut all = Vec::new();
    for entry in top.sections("own-words", report) {
        entry.require("section", "\"care\"", report);
        entry.require("words", "\"...\"", report);
        let section = entry.choice("section", &names, report);
        let place = entry.choice("place", &[("after", false), ("instead", true)], report);
        let words = words(&entry, "words", report);
        entry.close(report);
        let instead = place.as_ref().is_some_and(|place| place.value);
        let (Some(section), Some(words)) = (section, words) else { continue };
        let replaceable = SECTIONS.iter().any(|(name, may)| *name == section.value && *may);
        if let Some(place) = place.filter(|_| instead && !replaceable) {
            report.push(
                Diagnostic::fault("section-must-stay", format!("the section `{}` cannot be replaced", section.value))
                    .at(place.span)
                    .hint("write `place = \"after\"`: your words then follow it"),
            );
        }
        all.push(OwnWords { section: section.value, instead, words });
    }
    all
}

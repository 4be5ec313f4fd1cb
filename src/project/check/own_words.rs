//! The maker's own words in sections of the booklet.

use crate::diag::{Diagnostic, Report};
use crate::form::Section;
use crate::project::OwnWords;

/// Sections that may be followed by the maker's words, and whether these may take their place. The chart and the rows are
/// what a pattern is, the cautions protect people, and cover and contents have no text of their own.
pub const SECTIONS: [(&str, bool); 16] = [
    ("at-a-glance", true),
    ("materials", false),
    ("cutting-list", false),
    ("your-yarn", false),
    ("own-gauge", true),
    ("before-you-start", true),
    ("techniques", true),
    ("setting-up", true),
    ("rows-in-words", false),
    ("finishing", true),
    ("hanging", true),
    ("care", true),
    ("cautions", false),
    ("using-this-pattern", true),
    ("materials-list", false),
    ("what-to-bring", false),
];

pub fn check(top: &Section<'_>, report: &mut Report) -> Vec<OwnWords> {
    let names = SECTIONS.map(|(name, _)| (name, name));
    let mut all = Vec::new();
    for entry in top.sections("own-words", report) {
        entry.require("section", "\"care\"", report);
        entry.require("words", "\"...\"", report);
        let section = entry.choice("section", &names, report);
        let place = entry.choice("place", &[("after", false), ("instead", true)], report);
        let words = entry.words("words", report);
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
        all.push(OwnWords { section: section.value, instead, words: words.value });
    }
    all
}

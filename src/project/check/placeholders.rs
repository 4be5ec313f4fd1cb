//! Words that `hitchpress new` and `chart-from` wrote, and that are still to be written by the maker. They harm nothing while she
//! works; sold with a pattern they would say that nobody has read it.

use crate::diag::{Diagnostic, Phrase, Report, Severity};
use crate::form::FormSection;
use crate::project::Placeholder;

/// The title where the name of the folder gives none.
pub(crate) const TITLE: &str = "Title of your panel";

/// By section and key: how the words begin that a new project has there. The addresses are those of RFC 2606, which lead
/// nowhere.
pub(crate) const WRITTEN: [(&str, &str, &str); 10] = [
    ("", "title", TITLE),
    ("", "subtitle", "A knotted wall panel for a first evening"),
    ("", "maker", "Your name or your studio"),
    ("", "contact", "hello@example.org"),
    ("", "errata", "https://example.org/little-boat"),
    ("", "video", "https://example.org/little-boat-video"),
    ("", "picture-words", "A boat under full sail on a calm sea."),
    ("", "introduction", "A boat under full sail, knotted in three colours. It is small enough to finish,"),
    ("licence", "credit", "Pattern by your name or your studio"),
    ("shop", "watermark", "Your words"),
];

/// Stands in a new project where only the maker knows what to write.
const DOTS: &str = "...";

/// Sections in which dots may stand, with the keys.
const DOTTED: [(&str, &[&str]); 3] =
    [("", &["notes"]), ("licence", &["words"]), ("yarn", &["brand", "shade", "dye-lot", "fibre", "care"])];

/// Addresses that end in dots in a new project, by section.
const LINKS: [(&str, &str); 5] =
    [("yarn", "link"), ("cord", "link"), ("hanging", "link"), ("shop", "address"), ("tool", "link")];

/// What is still as it was written, in the order of the tables above.
pub(super) fn check(top: &FormSection<'_>, report: &mut Report) -> Vec<Placeholder> {
    // The sections' own checks have said what is wrong with the texts.
    let mut quiet = Report::new();
    let mut found = Vec::new();
    let sections = |name: &str, quiet: &mut Report| match name {
        "" => vec![top.clone()],
        "yarn" | "tool" => top.sections(name, quiet),
        _ => top.section(name, quiet).into_iter().collect(),
    };
    let mut look = |section: &FormSection<'_>, key: &str, stands: &dyn Fn(&str) -> bool| {
        if let Some(text) = section.words(key, &mut Report::new()).filter(|text| stands(&plain(&text.value))) {
            found.push(Placeholder { key: key.to_owned(), place: text.span });
        }
    };
    for (name, key, written) in WRITTEN {
        for section in sections(name, &mut quiet) {
            // An introduction goes on after what stands here; all else is one line.
            look(&section, key, &|text| text == written || key == "introduction" && text.starts_with(written));
        }
    }
    for (name, keys) in DOTTED {
        for section in sections(name, &mut quiet) {
            keys.iter().for_each(|key| look(&section, key, &|text| text == DOTS));
        }
    }
    for (name, key) in LINKS {
        for section in sections(name, &mut quiet) {
            look(&section, key, &|text| text.ends_with("/..."));
        }
    }
    for placeholder in &found {
        report.push(Diagnostic { severity: Severity::Advice, ..placeholder.fault() });
    }
    found
}

/// On one line, with single spaces.
fn plain(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

impl Placeholder {
    /// The fault of a pattern that is to be sold like this.
    pub(crate) fn fault(&self) -> Diagnostic {
        let Placeholder { key, place } = self;
        let hint = match key.as_str() {
            "title" | "maker" => {
                Phrase::new("placeholder-cover", "write your own: it stands on the cover, and `shop` waits for it")
            }
            "contact" | "errata" | "video" | "link" | "address" => Phrase::new(
                "placeholder-address",
                "write an address of yours, or take the line out; `shop` waits for it",
            ),
            _ => Phrase::new("placeholder-words", "write your own words, or take the line out; `shop` waits for it"),
        };
        let message = Phrase::new("placeholder", "`{key}` is still as the new project had it").with("key", key);
        Diagnostic { severity: Severity::Fault, ..Diagnostic::advice(message).at(*place).advise(hint) }
    }
}

/// The id of the advice, and of the fault.
pub(crate) const ID: &str = "placeholder";

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::schema::STARTER;

    #[test]
    fn the_starter_holds_what_is_looked_for() {
        for (_, key, written) in WRITTEN.iter().filter(|(_, key, _)| *key != "title") {
            let is_there = STARTER.lines().any(|line| {
                let line = line.strip_prefix("# ").unwrap_or(line);
                line.starts_with(&format!("{key} = ")) || line.starts_with(written)
            });
            assert!(is_there && STARTER.contains(written), "{key}");
        }
    }
}

//! The maker's texts in other languages: what stands in the form, and what is still to be translated.

use super::own_words;
use crate::diag::{Diagnostic, Phrase, Report, Span, Value};
use crate::form::{FormSection, nearest};
use crate::project::{OwnWords, Project, Translation};
use crate::words::Words;

/// Missing texts that are named one by one.
const MAX_NAMED: usize = 8;

pub(super) fn read(top: &FormSection<'_>, report: &mut Report) -> Vec<Translation> {
    top.sections("translation", report).iter().filter_map(|section| one(section, report)).collect()
}

fn one(section: &FormSection<'_>, report: &mut Report) -> Option<Translation> {
    let languages: Vec<(&str, &str)> = Words::languages().map(|tag| (tag, tag)).collect();
    section.require("language", "\"de-DE\"", report);
    let language = section.choice("language", &languages, report);
    let plain = |key: &str, report: &mut Report| section.text(key, report).map(|text| text.value);
    let title = plain("title", report);
    let subtitle = plain("subtitle", report);
    let photograph_words = section.words("photograph-words", report).map(|words| words.value);
    let picture_words = section.words("picture-words", report).map(|words| words.value);
    let introduction = own_words::words(section, "introduction", report);
    let notes = own_words::words(section, "notes", report);
    let credit = plain("credit", report);
    let licence_words = own_words::words(section, "licence-words", report);
    let own_words = own_words_of(section, report);
    let names = names(section, report);
    section.close(report);
    Some(Translation {
        language: language?.value.to_owned(),
        title,
        subtitle,
        introduction,
        notes,
        photograph_words,
        picture_words,
        credit,
        licence_words,
        own_words,
        names,
        place: section.place("language").unwrap_or(section.span()),
    })
}

fn own_words_of(section: &FormSection<'_>, report: &mut Report) -> Vec<OwnWords> {
    let mut all = Vec::new();
    for entry in section.sections("own-words", report) {
        entry.require("section", "\"care\"", report);
        entry.require("words", "\"...\"", report);
        let named = entry.choice("section", &own_words::SECTIONS.map(|(name, _)| (name.name(), name)), report);
        let words = own_words::words(&entry, "words", report);
        entry.close(report);
        if let (Some(named), Some(words)) = (named, words) {
            // Its place is that of the words that it translates.
            all.push(OwnWords { section: named.value, instead: false, words });
        }
    }
    all
}

fn names(section: &FormSection<'_>, report: &mut Report) -> Vec<(String, String, Span)> {
    let mut all = Vec::new();
    for entry in section.sections("names", report) {
        entry.require("own", "\"oat\"", report);
        entry.require("other", "\"Hafer\"", report);
        let (own, other) = (entry.text("own", report), entry.text("other", report));
        entry.close(report);
        if let (Some(own), Some(other)) = (own, other) {
            all.push((own.value, other.value, own.span));
        }
    }
    all
}

/// Faults of the translations against the project and each other, and advice on what they lack.
pub(super) fn check(project: &Project, report: &mut Report) {
    for (at, one) in project.translations.iter().enumerate() {
        if Words::tag(&project.about.language) == Some(one.language.as_str()) {
            let message = format!("the project is written in `{}` itself", one.language);
            let hint = "name another language here, or write these texts in the project's own places";
            report.push(Diagnostic::fault("repeated-language", message).at(one.place).hint(hint));
        }
        if let Some(first) = project.translations[..at].iter().find(|other| other.language == one.language) {
            let message = format!("there are two translations into `{}`", one.language);
            let fault = Diagnostic::fault("repeated-language", message).at(one.place);
            report.push(fault.also(first.place, "the first one").hint("put all texts of a language into one"));
        }
        let known = project.names();
        for (own, _, place) in one.names.iter().filter(|(own, _, _)| !known.contains(own)) {
            let fault =
                Diagnostic::fault("unknown-name", format!("nothing in the project is called `{own}`")).at(*place);
            report.push(match nearest(own, known.iter().map(String::as_str)) {
                Some(near) => fault.hint(format!("did you mean `{near}`?")),
                None => fault.hint("`own` is a name as the project has it: of a yarn, a colour, a fibre ..."),
            });
        }
        let translated = project.clone().in_language(&one.language);
        let mut yarns: Vec<&str> = translated.palette.iter().map(|(_, yarn)| yarn.name.as_str()).collect();
        yarns.sort_unstable();
        if let Some(twice) = yarns.windows(2).find(|pair| pair[0] == pair[1]) {
            let message = format!("two yarns have the name `{}` in `{}`", twice[0], one.language);
            let fault = Diagnostic::fault("repeated-name", message).at(one.place);
            report.push(fault.hint("the rows in words name each yarn: give each a name of its own"));
        }
        if let Some(texts) = named(translated.missing_texts()) {
            let message = Phrase::new("untranslated", "not everything of yours is there in `{language}`: {texts}");
            let hint = Phrase::new("untranslated-hint", "a booklet in `{language}` has it in `{own}`");
            report.push(
                Diagnostic::advice(message.with("language", &one.language).with("texts", texts))
                    .at(one.place)
                    .advise(hint.with("language", &one.language).with("own", &project.about.language)),
            );
        }
    }
}

/// Texts by name, the first few of many.
fn named(missing: Vec<Value>) -> Option<Value> {
    let more = missing.len().saturating_sub(MAX_NAMED);
    let named: Vec<Value> = missing.into_iter().take(MAX_NAMED).collect();
    (!named.is_empty()).then(|| match more {
        0 => named.into(),
        more => Phrase::new("and-more-texts", "{list}, and {more} more").with("list", named).with("more", more).into(),
    })
}

//! Title page and colophon.

use crate::diag::{Diagnostic, Report};
use crate::form::{Marked, Section};
use crate::project::{About, Crop, Date, Level, Units};
use crate::words::Words;
use std::path::PathBuf;

/// Most subject words.
const MOST_KEYWORDS: usize = 40;

pub(super) fn check(top: &Section<'_>, report: &mut Report) -> Option<About> {
    format(top, report);
    top.require("title", "\"...\"", report);
    top.require("maker", "\"...\"", report);
    top.require("date", "2025-03-01", report);
    let plain = |key: &str, report: &mut Report| top.text(key, report).map(|t| t.value);
    let title = plain("title", report);
    let maker = plain("maker", report);
    let date = top.day("date", report).map(|d| Date { year: d.value.0, month: d.value.1, day: d.value.2 });
    let language = language(top, report);
    // British measures on paper are metric, American ones are not: the language settles what the maker leaves open.
    let usual = if language.ends_with("-US") { Units::Imperial } else { Units::Metric };
    let about = About {
        subtitle: plain("subtitle", report),
        contact: plain("contact", report),
        errata: plain("errata", report),
        introduction: top.words("introduction", report).map(|w| w.value),
        notes: top.words("notes", report).map(|w| w.value),
        version: plain("version", report).unwrap_or_else(|| "1.0".to_owned()),
        level: top
            .choice(
                "level",
                &[
                    ("basic", Level::Basic),
                    ("easy", Level::Easy),
                    ("intermediate", Level::Intermediate),
                    ("complex", Level::Complex),
                ],
                report,
            )
            .map_or(Level::Easy, |l| l.value),
        units: top
            .choice("units", &[("metric", Units::Metric), ("imperial", Units::Imperial)], report)
            .map_or(usual, |u| u.value),
        keywords: keywords(top, report),
        photograph: plain("photograph", report).map(PathBuf::from),
        photograph_words: top.words("photograph-words", report).map(|w| w.value),
        photograph_crop: top
            .choice(
                "photograph-crop",
                &[("whole", Crop::Whole), ("upper", Crop::Upper), ("middle", Crop::Middle), ("lower", Crop::Lower)],
                report,
            )
            .map_or(Crop::Whole, |c| c.value),
        currency: currency(top, report),
        language,
        title: title.clone().unwrap_or_default(),
        maker: maker.clone().unwrap_or_default(),
        date: date.unwrap_or(Date { year: 1900, month: 1, day: 1 }),
    };
    // Handed on even when a part is missing, because other sections' defaults hang on the level and the units.
    Some(about)
}

fn format(top: &Section<'_>, report: &mut Report) {
    top.require("format", "1", report);
    if let Some(Marked { value, span }) = top.count("format", 1, 1_000_000, report)
        && value != 1
    {
        report.push(
            Diagnostic::fault("unknown-format", format!("this project is written in format {value}"))
                .at(span)
                .hint("this version reads `format = 1`; a newer version may read it"),
        );
    }
}

fn language(top: &Section<'_>, report: &mut Report) -> String {
    let Some(Marked { value, span }) = top.text("language", report) else { return "en-GB".to_owned() };
    let mut parts = value.split('-');
    let first = parts.next().is_some_and(|p| (2..=3).contains(&p.len()) && p.bytes().all(|b| b.is_ascii_lowercase()));
    let rest = parts.all(|p| (2..=8).contains(&p.len()) && p.bytes().all(|b| b.is_ascii_alphanumeric()));
    if !(first && rest) {
        report.push(
            Diagnostic::fault("not-a-language", format!("`{value}` is not a language tag"))
                .at(span)
                .hint(format!("write the language and the country in short; {}", Words::language_hint(&value))),
        );
    } else if !Words::are_shipped(&value) {
        report.push(
            Diagnostic::fault("unknown-language", format!("there are no words in the language `{value}`"))
                .at(span)
                .hint(Words::language_hint(&value)),
        );
    }
    value
}

fn keywords(top: &Section<'_>, report: &mut Report) -> Vec<String> {
    let Some(Marked { value, span }) = top.texts("keywords", report) else { return Vec::new() };
    if value.len() > MOST_KEYWORDS {
        report.push(
            Diagnostic::fault("too-long", format!("`keywords` has more than {MOST_KEYWORDS} words"))
                .at(span)
                .hint("keep those a buyer would search for"),
        );
    }
    value
}

fn currency(top: &Section<'_>, report: &mut Report) -> Option<String> {
    let Marked { value, span } = top.text("currency", report)?;
    if value.len() != 3 || !value.bytes().all(|b| b.is_ascii_uppercase()) {
        report.push(
            Diagnostic::fault("not-a-currency", format!("`{value}` is not a currency code"))
                .at(span)
                .hint("write the three capital letters, for example `GBP`, `EUR` or `USD`"),
        );
    }
    Some(value)
}

//! Title page and colophon.

use super::{address, own_words};
use crate::diag::{Diagnostic, Report};
use crate::form::{FormSection, Spanned};
use crate::project::{About, Crop, Date, Level, Units};
use crate::words::Words;
use std::path::PathBuf;

/// Most subject words.
const MAX_KEYWORDS: usize = 40;

pub(super) fn check(top: &FormSection<'_>, report: &mut Report) -> Option<About> {
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
        contact: contact(top, report),
        errata: address::read(top, "errata", true, report),
        video: address::read(top, "video", true, report),
        introduction: own_words::words(top, "introduction", report),
        notes: own_words::words(top, "notes", report),
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
        logo: plain("logo", report).map(PathBuf::from),
        photograph: plain("photograph", report).map(PathBuf::from),
        picture_words: top.words("picture-words", report).map(|w| w.value),
        photograph_words: top.words("photograph-words", report).map(|w| w.value),
        photograph_crop: crop(top, report),
        currency: currency(top, report),
        language,
        title: title.clone().unwrap_or_default(),
        maker: maker.clone().unwrap_or_default(),
        date: date.unwrap_or(Date { year: 1900, month: 1, day: 1 }),
    };
    // Handed on even when a part is missing, because other sections' defaults hang on the level and the units.
    Some(about)
}

/// What of a photograph shows.
pub(super) fn crop(section: &FormSection<'_>, report: &mut Report) -> Crop {
    let choices = [("whole", Crop::Whole), ("upper", Crop::Upper), ("middle", Crop::Middle), ("lower", Crop::Lower)];
    section.choice("photograph-crop", &choices, report).map_or(Crop::Whole, |crop| crop.value)
}

fn format(top: &FormSection<'_>, report: &mut Report) {
    top.require("format", "1", report);
    if let Some(Spanned { value, span }) = top.count("format", 1, 1_000_000, report)
        && value != 1
    {
        report.push(
            Diagnostic::fault("unknown-format", format!("this project is written in format {value}"))
                .at(span)
                .hint("this version reads `format = 1`; a newer version may read it"),
        );
    }
}

/// Whether a text has the form of a language tag: a language, and whatever narrows it.
fn is_tag(value: &str) -> bool {
    let mut parts = value.split('-');
    let first = parts.next().is_some_and(|p| (2..=3).contains(&p.len()) && p.bytes().all(|b| b.is_ascii_lowercase()));
    first && parts.all(|p| (2..=8).contains(&p.len()) && p.bytes().all(|b| b.is_ascii_alphanumeric()))
}

/// The language of a brand: any that has a tag. `of` are the keys whose words are written in it.
pub(super) fn brand_language(section: &FormSection<'_>, of: &[&str], report: &mut Report) -> Option<String> {
    let Spanned { value, span } = section.text("brand-language", report)?;
    if !is_tag(&value) {
        let fault = Diagnostic::fault("not-a-language", format!("`{value}` is not a language tag")).at(span);
        report.push(fault.hint("write the language in short, such as \"fr\", \"ja\" or \"pt-BR\""));
        return None;
    }
    if of.iter().all(|key| section.place(key).is_none()) {
        let fault = Diagnostic::fault("language-of-nothing", format!("nothing here is in the language `{value}`"));
        let hint = format!("write `{}` too, or leave `brand-language` out", of.join("` or `"));
        report.push(fault.at(span).hint(hint));
    }
    Some(value)
}

fn language(top: &FormSection<'_>, report: &mut Report) -> String {
    let Some(Spanned { value, span }) = top.text("language", report) else { return "en-GB".to_owned() };
    if !is_tag(&value) {
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

fn keywords(top: &FormSection<'_>, report: &mut Report) -> Vec<String> {
    let Some(Spanned { value, span }) = top.texts("keywords", report) else { return Vec::new() };
    if value.len() > MAX_KEYWORDS {
        report.push(
            Diagnostic::fault("too-long", format!("`keywords` has more than {MAX_KEYWORDS} words"))
                .at(span)
                .hint("keep those a buyer would search for"),
        );
    }
    value
}

fn currency(top: &FormSection<'_>, report: &mut Report) -> Option<String> {
    let Spanned { value, span } = top.text("currency", report)?;
    if value.len() != 3 || !value.bytes().all(|b| b.is_ascii_uppercase()) {
        report.push(
            Diagnostic::fault("not-a-currency", format!("`{value}` is not a currency code"))
                .at(span)
                .hint("write the three capital letters, for example `GBP`, `EUR` or `USD`"),
        );
    }
    Some(value)
}

/// Where the maker is reached: an address that can be followed leads to a page or to a letter, and nowhere else.
fn contact(top: &FormSection<'_>, report: &mut Report) -> Option<String> {
    let text = top.text("contact", report)?;
    let parts = text.value.split_once(':').filter(|(_, rest)| !rest.starts_with(char::is_whitespace));
    let scheme = parts.map(|(scheme, _)| scheme.to_ascii_lowercase());
    let is_scheme = |it: &String| {
        it.starts_with(|c: char| c.is_ascii_alphabetic())
            && it.bytes().all(|b| b.is_ascii_alphanumeric() || b"+-.".contains(&b))
    };
    // "example.org:8080" has a port and no scheme.
    let other = scheme.filter(is_scheme).filter(|it| !it.contains('.') && it != "localhost");
    match other.filter(|it| !["http", "https", "mailto"].contains(&it.as_str())) {
        Some(scheme) => {
            report.push(
                Diagnostic::fault(
                    "odd-address",
                    format!("`contact` begins with `{scheme}:`, which nobody can follow from paper or a PDF"),
                )
                .at(text.span)
                .hint("give an address that begins with `https://`, `http://` or `mailto:`"),
            );
            None
        }
        None => Some(text.value),
    }
}

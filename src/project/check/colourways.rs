//! The colourways of a project: which yarns differ in each, and what is wrong with them together.

use super::yarns::Yarns;
use super::{about, address};
use crate::chart::{Palette, Yarn, suggest_letter};
use crate::colour::Colour;
use crate::diag::{Diagnostic, Report, Span};
use crate::form::{FormSection, Spanned};
use crate::project::Colourway;

/// Most colourways: more fit on no page of drawings.
const MAX_COLOURWAYS: usize = 24;

/// A colourway as it is written: the yarns that differ.
pub(super) struct ColourwayDraft {
    name: Spanned<String>,
    yarns: Vec<YarnChange>,
}

/// What is different about a yarn.
struct YarnChange {
    key: Spanned<String>,
    name: Option<String>,
    colour: Option<Colour>,
    shade: Option<String>,
    brand: Option<String>,
    brand_language: Option<String>,
    link: Option<String>,
}

pub(super) fn read(top: &FormSection<'_>, yarns: &Yarns, report: &mut Report) -> Vec<ColourwayDraft> {
    let sections = top.sections("colourway", report);
    if let Some(surplus) = sections.get(MAX_COLOURWAYS) {
        let message = format!("the project has {} colourways", sections.len());
        let hint = format!("keep at most {MAX_COLOURWAYS}, and give the others a project of their own");
        report.push(Diagnostic::fault("too-many-colourways", message).at(surplus.span()).hint(hint));
    }
    let mut drafts: Vec<ColourwayDraft> = Vec::new();
    for (at, section) in sections.iter().take(MAX_COLOURWAYS).enumerate() {
        section.require("name", "\"Dusk\"", report);
        let name = section.text("name", report);
        let changes: Vec<YarnChange> =
            section.sections("yarn", report).iter().filter_map(|yarn| change(yarn, yarns, report)).collect();
        section.close(report);
        if let Some(first) = changes.first().filter(|_| at == 0) {
            report.push(
                Diagnostic::fault("first-colourway", "the first colourway is the yarns as they stand in [[yarn]]")
                    .at(first.key.span)
                    .hint("give it a name only, and put its colours into [[yarn]]"),
            );
        }
        for (at, repeated) in changes.iter().enumerate() {
            if let Some(before) = changes[..at].iter().find(|before| before.key.value == repeated.key.value) {
                let message = format!("the yarn `{}` stands twice in this colourway", repeated.key.value);
                let fault = Diagnostic::fault("repeated-letter", message).at(repeated.key.span);
                report.push(fault.also(before.key.span, "first given here").hint("keep one of the two"));
            }
        }
        let Some(name) = name else { continue };
        let same = |other: &&ColourwayDraft| other.name.value.to_lowercase() == name.value.to_lowercase();
        if let Some(first) = drafts.iter().find(same) {
            let message = format!("two colourways have the name `{}`", name.value);
            let fault = Diagnostic::fault("repeated-name", message).at(name.span);
            report.push(fault.also(first.name.span, "first given here").hint("give each a name of its own"));
        }
        drafts.push(ColourwayDraft { name, yarns: changes });
    }
    drafts
}

fn change(section: &FormSection<'_>, yarns: &Yarns, report: &mut Report) -> Option<YarnChange> {
    section.require("key", "\"A\"", report);
    section.require("name", "\"...\"", report);
    section.require("colour", "\"#8b5a2b\"", report);
    let key = section.text("key", report);
    let mut plain = |key: &str| section.text(key, report).map(|text| text.value);
    let (name, shade, brand) = (plain("name"), plain("shade"), plain("brand"));
    let brand_language = about::brand_language(section, &["brand", "shade"], report);
    let colour = section.colour("colour", report).map(|colour| colour.value);
    let link = address::read(section, "link", false, report);
    section.close(report);
    let key = key?;
    let letters = yarns.letters();
    // A yarn whose own letter is unreadable may be the one meant.
    if letters.iter().all(|letter| letter.is_some_and(|letter| !key.value.chars().eq([letter]))) {
        let letters: Vec<char> = letters.into_iter().flatten().collect();
        let fault = Diagnostic::fault("unknown-letter", format!("`{}` is no yarn's letter", key.value)).at(key.span);
        report.push(suggest_letter(fault, &key.value, &letters));
    }
    Some(YarnChange { key, name, colour, shade, brand, brand_language, link })
}

/// The colourways with all their yarns.
pub(super) fn settled(drafts: Vec<ColourwayDraft>, palette: &Palette, report: &mut Report) -> Vec<Colourway> {
    let one = |draft: ColourwayDraft| {
        let yarns = palette.0.iter().map(|yarn| {
            let change = draft.yarns.iter().find(|change| change.key.value.chars().eq([yarn.key]));
            change.map_or_else(|| yarn.clone(), |change| changed(yarn, change))
        });
        let palette = Palette(yarns.collect());
        repeated_name(&draft.name.value, &palette, draft.name.span, report);
        Colourway { name: draft.name.value, palette, place: draft.name.span }
    };
    drafts.into_iter().map(one).collect()
}

/// A yarn in other colours: its symbol follows these, its shade and its dye lot are another's.
fn changed(yarn: &Yarn, change: &YarnChange) -> Yarn {
    Yarn {
        name: change.name.clone().unwrap_or_else(|| yarn.name.clone()),
        colour: change.colour.unwrap_or(yarn.colour),
        shade: change.shade.clone(),
        brand: change.brand.clone().or_else(|| yarn.brand.clone()),
        // Another brand is not of the first one's language.
        brand_language: match (&change.brand_language, &change.brand) {
            (None, None) => yarn.brand_language.clone(),
            (own, _) => own.clone(),
        },
        link: change.link.clone(),
        dye_lot: None,
        symbol: None,
        ..yarn.clone()
    }
}

fn repeated_name(colourway: &str, palette: &Palette, place: Span, report: &mut Report) {
    let mut names: Vec<String> = palette.iter().map(|(_, yarn)| yarn.name.to_lowercase()).collect();
    names.sort_unstable();
    if let Some(twice) = names.windows(2).find(|pair| pair[0] == pair[1]) {
        let message = format!("two yarns of the colourway `{colourway}` have the name `{}`", twice[0]);
        report.push(
            Diagnostic::fault("repeated-name", message)
                .at(place)
                .hint("the rows in words name each yarn: give each a name of its own"),
        );
    }
}

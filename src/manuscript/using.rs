//! Care, all cautions in one place, and the maker's own choices about the use of her pattern.

use super::hazard::Hazard;
use super::pen::Pen;
use super::{Block, Inline, Section, Text, own_words, plain};
use crate::project::{Allowed, Licence};

pub(super) fn care(pen: &Pen) -> Section {
    let mut bullets = vec![pen.text("care.dust", &[]), pen.text("care.vacuum", &[]), pen.text("care.wash", &[])];
    bullets.push(pen.text("care.sun", &[]));
    bullets.push(pen.text("care.damp", &[]));
    bullets.push(pen.text("care.moth", &[]));
    bullets.push(pen.text("care.store", &[]));
    let bands = bands(pen);
    // One line needs no heading of its own.
    if let [(care, _)] = bands.as_slice()
        && pen.project.palette.len() > 1
        && pen.project.palette.iter().all(|(_, yarn)| yarn.care.is_some())
    {
        bullets.push(pen.text("care.band-all", &[("care", care)]));
        return Section {
            id: "care".into(),
            title: Some(pen.say("care.title", &[])),
            blocks: vec![Block::Bullets(bullets)],
        };
    }
    let mut blocks = vec![Block::Bullets(bullets)];
    if !bands.is_empty() {
        let line = |(care, yarns): (&str, Vec<String>)| {
            pen.text("care.band-line", &[("yarn", &pen.words.list(&yarns)), ("care", &care)])
        };
        let bands = bands.into_iter().map(line).collect();
        blocks.push(pen.heading(2, "care.band"));
        blocks.push(Block::Bullets(bands));
    }
    Section { id: "care".into(), title: Some(pen.say("care.title", &[])), blocks }
}

/// What the bands say; yarns whose bands say the same are told of together.
fn bands<'a>(pen: &'a Pen) -> Vec<(&'a str, Vec<String>)> {
    let mut said: Vec<(&str, Vec<String>)> = Vec::new();
    for (_, yarn) in pen.project.palette.iter() {
        let Some(care) = yarn.care.as_deref() else { continue };
        match said.iter_mut().find(|(words, _)| *words == care) {
            Some((_, yarns)) => yarns.push(yarn.name.clone()),
            None => said.push((care, vec![yarn.name.clone()])),
        }
    }
    said
}

pub(super) fn cautions(pen: &Pen) -> Section {
    let mut blocks = vec![pen.paragraph("lead", "cautions.lead", &[])];
    blocks.extend(
        Hazard::ALL
            .into_iter()
            .filter(|hazard| hazard.met_by(pen.project))
            .map(|hazard| Block::Caution(pen.caution(hazard))),
    );
    blocks.push(pen.body("before.sitting"));
    Section { id: "cautions".into(), title: Some(pen.say("cautions.title", &[])), blocks }
}

pub(super) fn using_this_pattern(pen: &Pen) -> Section {
    let about = &pen.project.about;
    let licence = &pen.project.licence;
    let mut blocks = Vec::new();
    if let Some(notes) = &about.notes {
        blocks.push(Block::Heading(2, pen.text("using.introduction", &[("maker", &about.maker)])));
        blocks.extend(own_words::in_own_language(pen, own_words::blocks(notes)));
    }
    blocks.push(pen.body("using.thanks"));
    blocks.push(Block::Bullets(choices(pen, licence)));
    if let Some(credit) = credit(pen) {
        blocks.push(pen.heading(2, "using.credit"));
        blocks.push(Block::Paragraph("body", pen.text("quotes.quoted", &[("words", &credit)])));
    }
    if let Some(words) = &licence.words {
        blocks.push(pen.heading(2, "using.own-words"));
        blocks.extend(own_words::in_own_language(pen, own_words::blocks(words)));
    }
    if let Some(contact) = &about.contact {
        blocks.push(pen.heading(2, "using.contact"));
        blocks.push(Block::Paragraph("body", with_address(pen, "using.contact-words", "contact", contact)));
    }
    blocks.push(pen.heading(2, "using.errata"));
    blocks.push(match &about.errata {
        Some(errata) => Block::Paragraph("body", with_address(pen, "using.errata-words", "errata", errata)),
        None => pen.body("using.errata-none"),
    });
    let date = pen.words.date(about.date);
    blocks.push(pen.paragraph("small", "using.version", &[("version", &about.version), ("date", &date)]));
    blocks.push(Block::Paragraph("small", plain(rights(pen))));
    Section { id: "using-this-pattern".into(), title: Some(pen.say("using.title", &[])), blocks }
}

/// "© 2026 Maker".
pub(super) fn rights(pen: &Pen) -> String {
    let about = &pen.project.about;
    pen.say("using.rights", &[("year", &about.date.year), ("maker", &about.maker)])
}

fn choices(pen: &Pen, licence: &Licence) -> Vec<Text> {
    let sell = match licence.sell_panels {
        Allowed::Yes => "using.sell-yes",
        Allowed::WithCredit => "using.sell-credit",
        Allowed::Ask => "using.sell-ask",
        Allowed::No => "using.sell-no",
    };
    let teach = match licence.teach {
        Allowed::Yes => "using.teach-yes",
        Allowed::WithCredit => "using.teach-credit",
        Allowed::Ask => "using.teach-ask",
        Allowed::No => "using.teach-no",
    };
    ["using.pattern", "using.print-own", sell, teach].into_iter().map(|key| pen.text(key, &[])).collect()
}

/// The maker's credit line; where she asks for one and gives none, title and maker.
fn credit(pen: &Pen) -> Option<String> {
    let licence = &pen.project.licence;
    let asked = licence.sell_panels == Allowed::WithCredit || licence.teach == Allowed::WithCredit;
    let about = &pen.project.about;
    match &licence.credit {
        Some(credit) => Some(credit.clone()),
        None if asked => Some(pen.say("using.credit-line", &[("title", &about.title), ("maker", &about.maker)])),
        None => None,
    }
}

/// A phrase in which one name is an address that can be followed.
fn with_address(pen: &Pen, key: &str, name: &str, address: &str) -> Text {
    let target = if address.contains("://") || address.starts_with("mailto:") {
        address.to_string()
    } else if address.contains('@') {
        format!("mailto:{address}")
    } else {
        format!("https://{address}")
    };
    let mut out = Text::new();
    for inline in pen.text(key, &[(name, &address)]) {
        match inline {
            Inline::Plain(words) => match words.split_once(address) {
                Some((before, after)) => {
                    out.push(Inline::Plain(before.to_string()));
                    out.push(Inline::Address(address.to_string(), target.clone()));
                    out.push(Inline::Plain(after.to_string()));
                }
                None => out.push(Inline::Plain(words)),
            },
            Inline::Strong(_) | Inline::Italic(_) | Inline::Address(_, _) | Inline::PageOf(_) => out.push(inline),
        }
    }
    out
}

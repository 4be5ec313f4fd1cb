//! Care, all cautions in one place, and the maker's own choices about the use of her pattern.

use super::context::WriteContext;
use super::hazard::Hazard;
use super::{Block, Inline, LinkTarget, Section, Text, own_words, plain};
use crate::catalogue::{SectionName, StyleName};
use crate::project::{Licence, OwnText, Permission, address_target, shown_address};

/// A panel shorter than this is not rolled round anything (our judgement).
const ROLLED_LEAST_MM: f64 = 150.0;

pub(super) fn care(context: &WriteContext) -> Section {
    let mut bullets =
        vec![context.text("care.dust", &[]), context.text("care.vacuum", &[]), context.text("care.wash", &[])];
    bullets.push(context.text("care.sun", &[]));
    bullets.push(context.text("care.damp", &[]));
    if context.project.palette.iter().any(|(_, yarn)| feeds_moths(yarn.fibre.as_deref())) {
        bullets.push(context.text("care.moth", &[]));
    }
    let size = &context.workings.size;
    let rolls = size.height_mm + size.fringe_mm >= ROLLED_LEAST_MM;
    bullets.push(context.text(if rolls { "care.store" } else { "care.store-flat" }, &[]));
    let bands = bands(context);
    // One line needs no heading of its own.
    if let [(care, _)] = bands.as_slice()
        && context.project.palette.len() > 1
        && context.project.palette.iter().all(|(_, yarn)| yarn.care.is_some())
    {
        bullets.push(context.text("care.band-all", &[("care", care)]));
        return Section {
            id: SectionName::Care,
            title: Some(context.say("care.title", &[])),
            blocks: vec![Block::Bullets(bullets)],
        };
    }
    let mut blocks = vec![Block::Bullets(bullets)];
    if !bands.is_empty() {
        let line = |(care, yarns): (&str, Vec<String>)| {
            context.text("care.band-line", &[("yarn", &context.words.list(&yarns)), ("care", &care)])
        };
        let bands = bands.into_iter().map(line).collect();
        blocks.push(context.heading(2, "care.band"));
        blocks.push(Block::Bullets(bands));
    }
    Section { id: SectionName::Care, title: Some(context.say("care.title", &[])), blocks }
}

/// Whether moths may like a yarn: animal fibre by its usual names in the languages of booklets, or none that is known.
fn feeds_moths(fibre: Option<&str>) -> bool {
    const ANIMAL: [&str; 22] = [
        "wool",
        "merino",
        "alpaca",
        "mohair",
        "cashmere",
        "silk",
        "angora",
        "llama",
        "camel",
        "yak",
        "hair",
        "wolle",
        "seide",
        "kaschmir",
        "kamel",
        "lama",
        "laine",
        "soie",
        "cachemire",
        "lana",
        "seda",
        "pelo",
    ];
    fibre.is_none_or(|fibre| {
        let fibre = fibre.to_lowercase();
        // German tree cotton is "Baumwolle", and no wool.
        let fibre = fibre.replace("baumwolle", "");
        ANIMAL.iter().any(|name| fibre.contains(name))
    })
}

/// What the bands say; yarns whose bands say the same are told of together.
fn bands<'a>(context: &'a WriteContext) -> Vec<(&'a str, Vec<String>)> {
    let mut said: Vec<(&str, Vec<String>)> = Vec::new();
    for (_, yarn) in context.project.palette.iter() {
        let Some(care) = yarn.care.as_deref() else { continue };
        match said.iter_mut().find(|(words, _)| *words == care) {
            Some((_, yarns)) => yarns.push(yarn.name.clone()),
            None => said.push((care, vec![yarn.name.clone()])),
        }
    }
    said
}

pub(super) fn cautions(context: &WriteContext) -> Section {
    let mut blocks = vec![context.paragraph(StyleName::Lead, "cautions.lead", &[])];
    blocks.extend(
        Hazard::ALL
            .into_iter()
            // Notices are about the work and stand whole before their step.
            .filter(|hazard| hazard.met_by(context) && hazard.words().2.is_some())
            .map(|hazard| Block::Caution(context.caution(hazard))),
    );
    blocks.push(context.body("before.sitting"));
    Section { id: SectionName::Cautions, title: Some(context.say("cautions.title", &[])), blocks }
}

pub(super) fn using_this_pattern(context: &WriteContext) -> Section {
    let about = &context.project.about;
    let licence = &context.project.licence;
    let mut blocks = Vec::new();
    if let Some(notes) = &about.notes {
        blocks.push(Block::Heading(2, context.text("using.introduction", &[("maker", &about.maker)])));
        blocks.extend(own_words::in_its_language(context, &OwnText::Notes, own_words::blocks(context, notes)));
    }
    blocks.push(context.body("using.thanks"));
    blocks.push(Block::Bullets(choices(context, licence)));
    if let Some(credit) = credit(context) {
        blocks.push(context.heading(2, "using.credit"));
        blocks.push(Block::Paragraph(StyleName::Body, context.text("quotes.quoted", &[("words", &credit)])));
    }
    if let Some(words) = &licence.words {
        blocks.push(context.heading(2, "using.own-words"));
        blocks.extend(own_words::in_its_language(context, &OwnText::LicenceWords, own_words::blocks(context, words)));
    }
    if let Some(contact) = &about.contact {
        blocks.push(context.heading(2, "using.contact"));
        blocks.push(Block::Paragraph(
            StyleName::Body,
            with_address(context, "using.contact-words", "contact", contact, "link.contact"),
        ));
    }
    blocks.push(context.heading(2, "using.errata"));
    blocks.push(match &about.errata {
        Some(errata) => Block::Paragraph(
            StyleName::Body,
            with_address(context, "using.errata-words", "errata", errata, "link.errata"),
        ),
        None => context.body("using.errata-none"),
    });
    if let Some(address) = &context.project.shop.address {
        blocks.push(context.heading(2, "using.shop"));
        let link = context.link(&context.say("using.shop", &[]), address);
        blocks
            .push(Block::Paragraph(StyleName::Body, context.text_with("using.shop-words", &[], "address", vec![link])));
    }
    let date = context.words.date(about.date);
    blocks.push(context.paragraph(StyleName::Small, "using.version", &[("version", &about.version), ("date", &date)]));
    blocks.push(Block::Paragraph(StyleName::Small, plain(rights(context))));
    blocks.extend(context.logo());
    Section { id: SectionName::UsingThisPattern, title: Some(context.say("using.title", &[])), blocks }
}

/// "© 2026 Maker".
pub(super) fn rights(context: &WriteContext) -> String {
    let about = &context.project.about;
    context.say("using.rights", &[("year", &about.date.year), ("maker", &about.maker)])
}

/// What may be done with the pattern and the panels made from it.
pub(super) fn choices(context: &WriteContext, licence: &Licence) -> Vec<Text> {
    let sell = match licence.sell_panels {
        Permission::Yes => "using.sell-yes",
        Permission::WithCredit => "using.sell-credit",
        Permission::Ask => "using.sell-ask",
        Permission::No => "using.sell-no",
    };
    let teach = match licence.teach {
        Permission::Yes => "using.teach-yes",
        Permission::WithCredit => "using.teach-credit",
        Permission::Ask => "using.teach-ask",
        Permission::No => "using.teach-no",
    };
    ["using.pattern", "using.print-own", sell, teach].into_iter().map(|key| context.text(key, &[])).collect()
}

/// The maker's credit line; where she asks for one and gives none, title and maker.
pub(super) fn credit(context: &WriteContext) -> Option<String> {
    let licence = &context.project.licence;
    let asked = licence.sell_panels == Permission::WithCredit || licence.teach == Permission::WithCredit;
    let about = &context.project.about;
    match &licence.credit {
        Some(credit) => Some(credit.clone()),
        None if asked => Some(context.say("using.credit-line", &[("title", &about.title), ("maker", &about.maker)])),
        None => None,
    }
}

/// A phrase in which one name is an address that can be followed.
/// `what` is the phrase that names what it leads to, where that is spoken.
pub(super) fn with_address(context: &WriteContext, key: &str, name: &str, address: &str, what: &str) -> Text {
    let shown = shown_address(address);
    let spoken = context.say("link.spoken", &[("what", &context.say(what, &[])), ("address", &shown)]);
    let target = LinkTarget { address: address_target(address), spoken: Some(spoken) };
    let mut out = Text::new();
    for inline in context.text(key, &[(name, &shown)]) {
        match inline {
            Inline::Plain(words) => match words.split_once(shown) {
                Some((before, after)) => {
                    out.push(Inline::Plain(before.to_string()));
                    out.push(Inline::Address(shown.to_string(), target.clone()));
                    out.push(Inline::Plain(after.to_string()));
                }
                None => out.push(Inline::Plain(words)),
            },
            Inline::Strong(_)
            | Inline::Italic(_)
            | Inline::Address(_, _)
            | Inline::Foreign(_)
            | Inline::PageOf(_)
            | Inline::Symbol(_) => out.push(inline),
        }
    }
    out
}

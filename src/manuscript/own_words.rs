//! The maker's own words as blocks, and their place after a section or instead of it. `commonmark` says which mark-up has a
//! meaning.

use super::context::WriteContext;
use super::{Block, Caution, PictureBlock, PictureRole, Section, Step, Text, plain};
use crate::catalogue::StyleName;
use crate::chart::Yarn;
use crate::commonmark::{self, OwnBlock};
use crate::markup::with_foreign;
use crate::project::OwnText;
use std::path::Path;

/// Blocks of the maker's words. A picture that is not at hand is left out.
pub(super) fn blocks(context: &WriteContext, words: &str) -> Vec<Block> {
    let block = |own| match own {
        OwnBlock::Paragraph(text) => Some(Block::Paragraph(StyleName::Body, text)),
        OwnBlock::Heading(text) => Some(Block::Heading(2, text)),
        OwnBlock::Bullets(entries) => Some(Block::Bullets(entries)),
        OwnBlock::Steps(entries) => Some(Block::Steps(entries.into_iter().map(step).collect())),
        OwnBlock::Picture(picture) => Some(Block::Picture(PictureBlock {
            picture: context.picture(Path::new(&picture.file))?,
            role: PictureRole::Text,
            cut_above: None,
            alt: picture.alt,
            caption: Some(picture.caption).filter(|caption| !caption.is_empty()).map(plain),
            language: None,
        })),
    };
    commonmark::read(words).blocks.into_iter().filter_map(block).collect()
}

fn step(text: Text) -> Step {
    Step { cautions: Vec::new(), text, figure: None, picture: None }
}

/// The section with the maker's words after it or in its place. Cautions are never dropped: those of a section that is
/// replaced stand before the words that replace it.
pub(super) fn placed(context: &WriteContext, mut section: Section) -> Section {
    let own = || context.project.own_words.iter().enumerate().filter(|(_, own)| own.section == section.id);
    let written: Vec<Block> = own()
        .flat_map(|(at, own)| in_its_language(context, &OwnText::OwnWords(at), blocks(context, &own.words)))
        .collect();
    if own().any(|(_, own)| own.instead) {
        let cautions = cautions_of(&section.blocks);
        section.blocks = cautions.into_iter().map(Block::Caution).collect();
    }
    section.blocks.extend(written);
    section
}

/// Blocks of one of the maker's texts, marked with its language where the booklet speaks another.
pub(super) fn in_its_language(context: &WriteContext, text: &OwnText, blocks: Vec<Block>) -> Vec<Block> {
    match other_language(context, text) {
        Some(own) if !blocks.is_empty() => vec![Block::InLanguage(own, blocks)],
        Some(_) | None => blocks,
    }
}

/// The language of one of the maker's texts where the booklet speaks another.
pub(super) fn other_language(context: &WriteContext, text: &OwnText) -> Option<String> {
    let own = context.project.language_of(text);
    (own != context.words.language()).then(|| own.to_owned())
}

/// One of the maker's own words in a text.
#[derive(Clone, Copy)]
pub(super) enum OwnName<'n> {
    /// A yarn, a colour, a fibre.
    Name(&'n str),
    /// A brand or a shade, and its language where the project gives it one of its own.
    Brand(&'n str, Option<&'n str>),
}

impl<'n> OwnName<'n> {
    /// The brand of a yarn.
    pub(super) fn brand(yarn: &'n Yarn) -> Option<OwnName<'n>> {
        Some(OwnName::Brand(yarn.brand.as_deref()?, yarn.brand_language.as_deref()))
    }

    /// Its shade, where the project says the language. A number is of none.
    pub(super) fn shade(yarn: &'n Yarn) -> Option<OwnName<'n>> {
        let language = Some(yarn.brand_language.as_deref()?);
        let shade = yarn.shade.as_deref().filter(|shade| shade.contains(char::is_alphabetic));
        shade.map(|shade| OwnName::Brand(shade, language))
    }
}

/// A text with the names in it that are of the maker's own language marked, where the booklet speaks another.
pub(super) fn with_names<'n>(context: &WriteContext, text: Text, names: impl IntoIterator<Item = OwnName<'n>>) -> Text {
    let foreign = |name: OwnName<'n>| {
        let (words, language) = match name {
            OwnName::Brand(words, Some(own)) => (words, Some(own.to_owned()).filter(|own| !is_spoken(context, own))),
            // Not translated: brands are called the same everywhere.
            OwnName::Brand(words, None) => (words, context.other_language()),
            OwnName::Name(words) => {
                let language = other_language(context, &OwnText::Name(words.replace('\u{a0}', " ")));
                (words, language.filter(|_| !context.project.is_for_all_colourways()))
            }
        };
        language.map(|language| (words.to_owned(), language))
    };
    let mut names: Vec<(String, String)> = names.into_iter().filter_map(foreign).collect();
    // "Dark blue" before "blue".
    names.sort_by_key(|(name, _)| std::cmp::Reverse(name.len()));
    with_foreign(text, &names)
}

/// Whether a language is the booklet's own: "fr" is, where the booklet's is "fr-FR".
fn is_spoken(context: &WriteContext, language: &str) -> bool {
    let own = context.words.language();
    own == language || own.split('-').next() == Some(language)
}

/// The language of the yarns' names where the booklet speaks another: as soon as one of them is not translated, the maker's.
/// Letters are called in the booklet's own.
pub(super) fn names_language(context: &WriteContext) -> Option<String> {
    let project = context.project;
    let named = |name: &String| OwnText::Name(name.clone());
    let mut names = project.palette.iter().map(|(_, yarn)| named(&yarn.name));
    let missing = |name: &OwnText| project.translated.as_ref().is_none_or(|from| from.missing.contains(name));
    let languages = names.find(missing).and_then(|name| other_language(context, &name));
    languages.filter(|_| !project.is_for_all_colourways())
}

/// What the maker says that the picture shows, as a sentence with a space before it; empty where she says nothing.
pub(super) fn picture(context: &WriteContext) -> String {
    let Some(words) = &context.project.about.picture_words else { return String::new() };
    let words = words.trim();
    let ended = words.ends_with(['.', '!', '?', '…']);
    format!(" {words}{}", if ended { "" } else { "." })
}

/// Every caution once, in order.
fn cautions_of(blocks: &[Block]) -> Vec<Caution> {
    let of_steps = blocks.iter().filter_map(|block| match block {
        Block::Steps(steps) => Some(steps.iter().flat_map(|step| &step.cautions).collect::<Vec<_>>()),
        Block::Caution(caution) => Some(vec![caution]),
        _ => None,
    });
    let mut all: Vec<Caution> = Vec::new();
    for caution in of_steps.flatten() {
        if !all.contains(caution) {
            all.push(caution.clone());
        }
    }
    all
}

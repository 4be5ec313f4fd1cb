//! The maker's own words as blocks, and their place after a section or instead of it. `commonmark` says which mark-up has a
//! meaning.

use super::context::WriteContext;
use super::{Block, Caution, Section, Step, Text};
use crate::catalogue::StyleName;
use crate::commonmark::{self, OwnBlock};

/// Blocks of the maker's words.
pub(super) fn blocks(words: &str) -> Vec<Block> {
    let block = |own| match own {
        OwnBlock::Paragraph(text) => Block::Paragraph(StyleName::Body, text),
        OwnBlock::Heading(text) => Block::Heading(2, text),
        OwnBlock::Bullets(entries) => Block::Bullets(entries),
        OwnBlock::Steps(entries) => Block::Steps(entries.into_iter().map(step).collect()),
    };
    commonmark::read(words).blocks.into_iter().map(block).collect()
}

fn step(text: Text) -> Step {
    Step { cautions: Vec::new(), text, figure: None }
}

/// The section with the maker's words after it or in its place. Cautions are never dropped: those of a section that is
/// replaced stand before the words that replace it.
pub(super) fn placed(context: &WriteContext, mut section: Section) -> Section {
    let own = || context.project.own_words.iter().filter(|own| own.section == section.id);
    let written: Vec<Block> = own().flat_map(|own| blocks(&own.words)).collect();
    if own().any(|own| own.instead) {
        let cautions = cautions_of(&section.blocks);
        section.blocks = cautions.into_iter().map(Block::Caution).collect();
    }
    section.blocks.extend(in_own_language(context, written));
    section
}

/// Blocks of the maker's words, marked with her language where the booklet speaks another.
pub(super) fn in_own_language(context: &WriteContext, blocks: Vec<Block>) -> Vec<Block> {
    match other_language(context) {
        Some(own) if !blocks.is_empty() => vec![Block::InLanguage(own, blocks)],
        Some(_) | None => blocks,
    }
}

/// The maker's language where the booklet speaks another.
pub(super) fn other_language(context: &WriteContext) -> Option<String> {
    let own = &context.project.about.language;
    (own != context.words.language()).then(|| own.clone())
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

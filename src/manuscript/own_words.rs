//! The maker's own words: light mark-up to blocks, and their place after a section or instead of it.
//!
//! Blank lines part paragraphs; `# ` begins a heading, `- ` an entry of a list, `1. ` (any number) a step; *italic* and
//! **strong** stand inside them. Nothing else has a meaning, and nothing the maker writes is an error.

use super::pen::Pen;
use super::{Block, Caution, Section, Step, Text, marked_up};

/// Blocks of the maker's words.
pub(super) fn blocks(words: &str) -> Vec<Block> {
    let mut blocks: Vec<Block> = Vec::new();
    // Lines that go on with the paragraph or entry before them.
    let mut open: Option<(Kind, String)> = None;
    for line in words.lines().map(str::trim) {
        match (start(line), &mut open) {
            (None, open) if line.is_empty() => close(open.take(), &mut blocks),
            (None, Some((_, text))) => {
                text.push(' ');
                text.push_str(line);
            }
            (None, open) => *open = Some((Kind::Paragraph, line.to_owned())),
            (Some((kind, rest)), open) => {
                close(open.take(), &mut blocks);
                *open = Some((kind, rest.to_owned()));
                if kind == Kind::Heading {
                    close(open.take(), &mut blocks);
                }
            }
        }
    }
    close(open, &mut blocks);
    blocks
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Kind {
    Paragraph,
    Heading,
    Entry,
    Step,
}

/// What a line begins, and the rest of it.
fn start(line: &str) -> Option<(Kind, &str)> {
    if let Some(rest) = line.strip_prefix("# ") {
        return Some((Kind::Heading, rest.trim()));
    }
    if let Some(rest) = line.strip_prefix("- ") {
        return Some((Kind::Entry, rest.trim()));
    }
    let (number, rest) = line.split_once(". ")?;
    let counts = (1..=3).contains(&number.len()) && number.bytes().all(|b| b.is_ascii_digit());
    counts.then(|| (Kind::Step, rest.trim()))
}

fn close(open: Option<(Kind, String)>, blocks: &mut Vec<Block>) {
    let Some((kind, words)) = open else { return };
    let text: Text = marked_up(&words.split_whitespace().collect::<Vec<_>>().join(" "));
    if text.is_empty() {
        return;
    }
    match (kind, blocks.last_mut()) {
        (Kind::Entry, Some(Block::Bullets(entries))) => entries.push(text),
        (Kind::Step, Some(Block::Steps(steps))) => steps.push(step(text)),
        (Kind::Entry, _) => blocks.push(Block::Bullets(vec![text])),
        (Kind::Step, _) => blocks.push(Block::Steps(vec![step(text)])),
        (Kind::Heading, _) => blocks.push(Block::Heading(2, text)),
        (Kind::Paragraph, _) => blocks.push(Block::Paragraph("body", text)),
    }
}

fn step(text: Text) -> Step {
    Step { cautions: Vec::new(), text, figure: None }
}

/// The section with the maker's words after it or in its place. Cautions are never dropped: those of a section that is
/// replaced stand before the words that replace it.
pub(super) fn placed(pen: &Pen, mut section: Section) -> Section {
    let own = || pen.project.own_words.iter().filter(|own| own.section == section.id);
    let written: Vec<Block> = own().flat_map(|own| blocks(&own.words)).collect();
    if own().any(|own| own.instead) {
        let cautions = cautions_of(&section.blocks);
        section.blocks = cautions.into_iter().map(Block::Caution).collect();
    }
    section.blocks.extend(in_own_language(pen, written));
    section
}

/// Blocks of the maker's words, marked with her language where the booklet speaks another.
pub(super) fn in_own_language(pen: &Pen, blocks: Vec<Block>) -> Vec<Block> {
    let own = &pen.project.about.language;
    if blocks.is_empty() || own == pen.words.language() { blocks } else { vec![Block::InLanguage(own.clone(), blocks)] }
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

#[cfg(test)]
mod tests {
    use super::super::Inline;
    use super::*;

    fn plain(words: &str) -> Text {
        vec![Inline::Plain(words.to_owned())]
    }

    #[test]
    fn paragraphs_lists_steps_and_headings_are_told_apart() {
        let found =
            blocks("First line\nof it.\n\n# Washing\n- cold\n- with *care*\n  and time\n\n1. Wet it.\n2. Wait.\n");
        let [Block::Paragraph("body", first), Block::Heading(2, head), Block::Bullets(list), Block::Steps(steps)] =
            found.as_slice()
        else {
            panic!("{found:?}");
        };
        assert_eq!(*first, plain("First line of it."));
        assert_eq!(*head, plain("Washing"));
        assert_eq!(list.len(), 2);
        assert_eq!(list[1][1], Inline::Italic("care".to_owned()));
        assert_eq!(list[1][2], Inline::Plain(" and time".to_owned()));
        assert_eq!(steps.len(), 2);
    }

    #[test]
    fn a_number_in_a_sentence_begins_no_step() {
        let found = blocks("It took me 12 evenings.\n1990. was the year. And #1 is -5.");
        assert!(matches!(found.as_slice(), [Block::Paragraph("body", _)]), "{found:?}");
    }
}

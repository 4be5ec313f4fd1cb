//! Blocks as text to paste into a page, a message or a shop: plain, or Markdown. What is drawn or filled in by hand has no text.

use super::{Align, Block, Inline, Table, TableColumn, Text};
use crate::markup::{LinkTarget, unmarked};
use crate::project::{short_address, shown_address};

/// Where the text is pasted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum PasteFormat {
    /// Into a field that knows no mark-up.
    Plain,
    /// Into a page that reads Markdown.
    Markdown,
}

/// The blocks, one line for each paragraph and entry.
pub(crate) fn pasted(blocks: &[Block], format: PasteFormat) -> String {
    let mut out = String::new();
    all(&mut out, blocks, format);
    out
}

/// Spaces that keep words together on paper are plain ones here: whoever searches for "4 navy" finds it.
pub(super) fn plain_spaces(text: &str) -> String {
    text.replace(['\u{a0}', '\u{202f}'], " ")
}

fn line(out: &mut String, text: &str) {
    out.push_str(&plain_spaces(text));
    out.push('\n');
}

/// An empty line between two things that are said.
fn apart(out: &mut String) {
    if !out.is_empty() {
        out.push('\n');
    }
}

fn all(out: &mut String, blocks: &[Block], format: PasteFormat) {
    let said = |text: &Text| said(text, format);
    let list = |out: &mut String, lines: Vec<String>| {
        apart(out);
        lines.iter().for_each(|entry| line(out, entry));
    };
    for block in blocks {
        match block {
            Block::Heading(level, text) => {
                apart(out);
                match format {
                    PasteFormat::Plain => line(out, &unmarked(text)),
                    PasteFormat::Markdown => line(out, &format!("{} {}", "#".repeat((*level).into()), said(text))),
                }
            }
            Block::Paragraph(_, text) => list(out, vec![said(text)]),
            Block::Bullets(texts) => list(out, texts.iter().map(|text| format!("- {}", said(text))).collect()),
            Block::Ticks(ticks) => list(out, ticks.iter().map(|tick| format!("- {}", said(&tick.text))).collect()),
            Block::Facts(facts) => {
                list(out, facts.iter().map(|(name, value)| format!("- {}: {}", said(name), said(value))).collect());
            }
            Block::Steps(steps) => {
                let mut lines = Vec::new();
                for (number, step) in (1..).zip(steps) {
                    lines.extend(step.cautions.iter().map(|it| format!("{}: {}", it.word, said(&it.text))));
                    lines.push(format!("{number}. {}", said(&step.text)));
                }
                list(out, lines);
            }
            Block::Caution(it) => list(out, vec![format!("{}: {}", it.word, said(&it.text))]),
            Block::InLanguage(_, inner) => all(out, inner, format),
            Block::Table(table) => self::table(out, table, format),
            Block::Figure(_)
            | Block::HungPanel(_)
            | Block::Fleece(_)
            | Block::AsKnotted(_)
            | Block::Panels(_)
            | Block::Picture(_)
            | Block::Snips(_)
            | Block::Chart(_)
            | Block::Rows(_)
            | Block::Stretch(_)
            | Block::Ruler { .. }
            | Block::Codes(_)
            | Block::FillIn(_)
            | Block::Contents
            | Block::NewPage => {}
        }
    }
}

/// A table: in Markdown one of its own (GitHub Flavored Markdown, 4.10), else a line for each row, every figure with its
/// column's name.
fn table(out: &mut String, table: &Table, format: PasteFormat) {
    apart(out);
    let said = |text: &Text| said(text, format);
    let rows = || table.rows.iter().map(|row| row.iter().map(|cell| said(&cell.text)).collect::<Vec<_>>());
    match format {
        PasteFormat::Plain => {
            for row in rows() {
                let named = row.iter().zip(&table.columns).skip(1).filter(|(cell, _)| !cell.is_empty());
                let cells: Vec<String> =
                    named.map(|(cell, column)| format!("{}: {cell}", said(&column.head))).collect();
                let head = row.first().cloned().unwrap_or_default();
                line(out, &format!("- {head} ({})", cells.join("; ")));
            }
        }
        PasteFormat::Markdown => {
            let cells = |cells: Vec<String>| format!("| {} |", cells.join(" | "));
            line(out, &cells(table.columns.iter().map(|column| said(&column.head)).collect()));
            let rule = |column: &TableColumn| match column.align {
                Align::Left => "---",
                Align::Right => "---:",
            };
            line(out, &cells(table.columns.iter().map(|column| rule(column).to_owned()).collect()));
            rows().for_each(|row| line(out, &cells(row)));
        }
    }
    if let Some(note) = &table.note {
        apart(out);
        line(out, &said(note));
    }
}

/// A text on one line.
fn said(text: &Text, format: PasteFormat) -> String {
    let one = |inline: &Inline| match (inline, format) {
        (Inline::Plain(words) | Inline::Strong(words) | Inline::Italic(words), PasteFormat::Plain) => words.clone(),
        (Inline::Foreign(name), PasteFormat::Plain) => name.words.clone(),
        (Inline::Foreign(name), PasteFormat::Markdown) if name.strong => format!("**{}**", escaped(&name.words)),
        (Inline::Foreign(name), PasteFormat::Markdown) => escaped(&name.words),
        (Inline::Address(words, to), PasteFormat::Plain) => address(words, to),
        (Inline::Plain(words), PasteFormat::Markdown) => escaped(words),
        (Inline::Strong(words), PasteFormat::Markdown) => format!("**{}**", escaped(words)),
        (Inline::Italic(words), PasteFormat::Markdown) => format!("*{}*", escaped(words)),
        (Inline::Address(words, to), PasteFormat::Markdown) => {
            format!("[{}](<{}>)", escaped(words), to.address.replace(['<', '>'], ""))
        }
        (Inline::PageOf(_), _) => String::new(),
        (Inline::Symbol(_), _) => " ".to_owned(),
    };
    text.iter().map(one).collect::<String>().replace(['\n', '\r'], " ")
}

/// The whole address, so that whatever shows the text makes a link of it; with the words where they say more.
fn address(words: &str, to: &LinkTarget) -> String {
    let whole = to.address.strip_prefix("mailto:").unwrap_or(&to.address);
    if words == shown_address(&to.address) || words == short_address(&to.address) {
        whole.to_owned()
    } else {
        format!("{words} ({whole})")
    }
}

/// Signs that Markdown would read as mark-up (CommonMark 0.31, 2.4).
fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        if "\\*_`[]<>#|".contains(c) {
            out.push('\\');
        }
        out.push(c);
    }
    out
}

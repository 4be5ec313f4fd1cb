//! What a section says as plain text: one line for each paragraph, for files that stand beside a booklet.

use super::context::WriteContext;
use super::options::WriteOptions;
use super::{Block, own_words, using};
use crate::markup::unmarked;
use crate::project::Project;
use crate::words::Words;
use crate::workings::Workings;

/// What a buyer may do with the pattern, in the words that stand in the booklet.
pub fn licence(project: &Project, workings: &Workings, words: &Words) -> String {
    let options = WriteOptions::default();
    let context =
        WriteContext { project, workings, words, measures: words.measures(project.about.units), options: &options };
    let section = own_words::placed(&context, using::using_this_pattern(&context));
    let mut out = format!("{}\n", project.about.title);
    line(&mut out, &context.say("cover.by", &[("maker", &project.about.maker)]));
    if let Some(title) = &section.title {
        line(&mut out, &format!("\n{title}"));
    }
    blocks(&mut out, &section.blocks);
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

fn blocks(out: &mut String, all: &[Block]) {
    for block in all {
        match block {
            Block::Heading(_, text) => line(out, &format!("\n{}", unmarked(text))),
            Block::Paragraph(_, text) => line(out, &format!("\n{}", unmarked(text))),
            Block::Bullets(texts) => {
                out.push('\n');
                texts.iter().for_each(|text| line(out, &format!("- {}", unmarked(text))));
            }
            Block::Steps(steps) => {
                out.push('\n');
                for (number, step) in (1..).zip(steps) {
                    step.cautions.iter().for_each(|it| line(out, &format!("{}: {}", it.word, unmarked(&it.text))));
                    line(out, &format!("{number}. {}", unmarked(&step.text)));
                }
            }
            Block::Caution(it) => line(out, &format!("\n{}: {}", it.word, unmarked(&it.text))),
            Block::InLanguage(_, inner) => blocks(out, inner),
            // What is drawn or filled in has no plain text, and none of it stands in these sections.
            Block::Ticks(_)
            | Block::Table(_)
            | Block::Figure(_)
            | Block::HungPanel(_)
            | Block::Fleece(_)
            | Block::AsKnotted(_)
            | Block::Panels(_)
            | Block::Picture { .. }
            | Block::Facts(_)
            | Block::Snips(_)
            | Block::Chart(_)
            | Block::Rows(_)
            | Block::Ruler { .. }
            | Block::Codes(_)
            | Block::FillIn(_)
            | Block::Contents
            | Block::NewPage => {}
        }
    }
}

//! What a section says as plain text: one line for each paragraph, for files that stand beside a booklet.

use super::context::WriteContext;
use super::options::WriteOptions;
use super::pasted::{PasteFormat, pasted, plain_spaces};
use super::{own_words, using};
use crate::project::Project;
use crate::words::Words;
use crate::workings::Workings;

/// What a buyer may do with the pattern, in the words that stand in the booklet.
pub(crate) fn licence(project: &Project, workings: &Workings, words: &Words) -> String {
    let options = WriteOptions::default();
    let context =
        WriteContext { project, workings, words, measures: words.measures(project.about.units), options: &options };
    let section = own_words::placed(&context, using::using_this_pattern(&context));
    let maker = context.say("cover.by", &[("maker", &project.about.maker)]);
    let title = section.title.map(|title| format!("\n{title}\n")).unwrap_or_default();
    let head = plain_spaces(&format!("{}\n{maker}\n{title}", project.about.title));
    format!("{head}\n{}", pasted(&section.blocks, PasteFormat::Plain))
}

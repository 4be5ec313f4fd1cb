//! The maker's photographs of single steps: each goes to its step, where the panel has it.

use super::context::WriteContext;
use super::{Block, Manuscript, PictureBlock, PictureRole, Section, Step, plain};
use crate::catalogue::SectionName;
use crate::project::{Project, StepPicture};
use crate::words::Words;

/// The section of a technique or of a part of finishing, and the phrases of the headings it may stand below.
fn place(of: &StepPicture) -> (SectionName, &'static [&'static str]) {
    match of.technique {
        "mounting" => (SectionName::SettingUp, &["technique.mounting-strand", "technique.mounting-dowel"]),
        "hitch" => (SectionName::Techniques, &["technique.hitch"]),
        "turn" => (SectionName::Techniques, &["technique.turn"]),
        "join" => (SectionName::Techniques, &["technique.join"]),
        "change" => (SectionName::Techniques, &["technique.change"]),
        "lead-behind" => (SectionName::Techniques, &["technique.lead-behind"]),
        "wait" => (SectionName::Techniques, &["technique.wait"]),
        "link" => (SectionName::Techniques, &["technique.link"]),
        "tails" => (SectionName::Finishing, &["finishing.tails"]),
        "bottom" => (SectionName::Finishing, &["finishing.bottom"]),
        "backing" => (SectionName::Finishing, &["finishing.backing"]),
        "ribbon" => (SectionName::Finishing, &["finishing.ribbon"]),
        _ => (SectionName::Finishing, &["finishing.label"]),
    }
}

/// The section with the maker's photographs of its steps.
pub(super) fn placed(context: &WriteContext, mut section: Section) -> Section {
    let id = section.id;
    for of in context.project.step_pictures.iter().filter(|of| place(of).0 == id) {
        let Some(picture) = context.picture(&of.picture) else { continue };
        if let Some(step) = step_of(&mut section, of, context.words) {
            step.picture = Some(PictureBlock {
                picture,
                role: PictureRole::Text,
                cut_above: None,
                alt: of.words.clone(),
                caption: of.caption.clone().map(plain),
                language: context.other_language(),
            });
        }
    }
    section
}

/// The step that a photograph shows.
fn step_of<'s>(section: &'s mut Section, of: &StepPicture, words: &Words) -> Option<&'s mut Step> {
    let heads: Vec<_> = place(of).1.iter().map(|key| words.text(key, &[])).collect();
    let is_head = |block: &Block| matches!(block, Block::Heading(_, text) if heads.contains(text));
    let at = section.blocks.iter().position(is_head)?;
    let Some(Block::Heading(level, _)) = section.blocks.get(at) else { return None };
    let level = *level;
    let below = section.blocks.iter_mut().skip(at + 1);
    let below = below.take_while(|block| !matches!(block, Block::Heading(other, _) if *other <= level));
    let steps = below.filter_map(|block| match block {
        Block::Steps(steps) => Some(steps),
        _ => None,
    });
    steps.flatten().nth(of.step - 1)
}

/// Photographs of steps that this manuscript's sections do not have.
pub(crate) fn unplaced<'p>(project: &'p Project, words: &Words, manuscript: &Manuscript) -> Vec<&'p StepPicture> {
    let is_missing = |of: &&StepPicture| {
        let section = manuscript.sections.iter().find(|section| section.id == place(of).0);
        section.is_some_and(|section| step_of(&mut section.clone(), of, words).is_none())
    };
    project.step_pictures.iter().filter(is_missing).collect()
}

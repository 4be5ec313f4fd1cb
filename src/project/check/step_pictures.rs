//! The maker's photographs of single steps.

use crate::diag::Report;
use crate::form::FormSection;
use crate::project::StepPicture;
use std::path::PathBuf;

/// Techniques, and parts of finishing, by name.
pub(crate) const TECHNIQUES: [&str; 13] = [
    "mounting",
    "hitch",
    "turn",
    "join",
    "change",
    "lead-behind",
    "wait",
    "link",
    "tails",
    "bottom",
    "backing",
    "ribbon",
    "label",
];

pub(super) fn check(top: &FormSection<'_>, report: &mut Report) -> Vec<StepPicture> {
    let names = TECHNIQUES.map(|name| (name, name));
    let mut all = Vec::new();
    for entry in top.sections("step-picture", report) {
        entry.require("technique", "\"hitch\"", report);
        entry.require("step", "2", report);
        entry.require("picture", "\"hitch-2.jpg\"", report);
        entry.require("words", "\"...\"", report);
        let technique = entry.choice("technique", &names, report);
        let step = entry.count("step", 1, 99, report);
        let picture = entry.text("picture", report);
        let caption = entry.text("caption", report).map(|caption| caption.value);
        let words = entry.words("words", report);
        entry.close(report);
        if let (Some(technique), Some(step), Some(picture), Some(words)) = (technique, step, picture, words) {
            all.push(StepPicture {
                technique: technique.value,
                step: step.value as usize,
                picture: PathBuf::from(picture.value),
                caption,
                words: words.value,
                place: step.span,
            });
        }
    }
    all
}

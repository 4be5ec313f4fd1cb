//! `hitchpress pictures`: pictures for a shop, in a folder of their own.

use super::args::Pictures;
use super::compose::plain_name;
use super::load::{Loaded, load};
use super::outcome::Outcome;
use super::{print, report, write};
use crate::font::FontBook;
use crate::press;

/// Draws the pictures and writes their folder, whole or not at all.
pub fn run(pictures: &Pictures) -> Outcome {
    let Loaded { work, mut sources, mut report } = load(&pictures.project);
    let drawn = work.and_then(|(mut project, _)| {
        let order = print::order(&pictures.print, &mut project, &mut sources, &mut report);
        if report.has_faults() {
            return None;
        }
        let width = usize::from(pictures.width);
        let drawn = press::pictures(&project, &order, width, &FontBook::shipped(), &mut sources, &mut report)?;
        let beside = || project.folder.join(format!("{}-pictures", plain_name(&project.about.title)));
        Some((pictures.output.clone().unwrap_or_else(beside), drawn))
    });
    let Some((folder, drawn)) = drawn else {
        report::show(&report, &sources);
        return Outcome::of(&report);
    };
    if let Err(failure) = write::folder(&folder, &drawn, press::is_picture_name) {
        report.push(failure);
        report::show(&report, &sources);
        return Outcome::of(&report);
    }
    let names: Vec<&str> = drawn.iter().map(|(name, _)| name.as_str()).collect();
    report::say(&format!("written: {} ({})", folder.display(), names.join(", ")));
    Outcome::Done
}

//! `hitchpress pictures`: pictures for a shop, in a folder of their own.

use super::args::Pictures;
use super::compose::plain_name;
use super::load::{Loaded, load};
use super::outcome::Outcome;
use super::write::{self, NotFresh};
use super::{print, report};
use crate::font::FontBook;
use crate::press::{
    self,
    pictures::{Wanted, all_hands},
};

/// Draws the pictures and writes their folder, whole or not at all.
pub fn run(pictures: &Pictures) -> Outcome {
    let Loaded { work, mut sources, mut report } = load(&pictures.project);
    let drawn = work.and_then(|(mut project, _)| {
        let order = print::order(&pictures.print, &mut project, &mut sources, &mut report);
        if report.has_faults() {
            return None;
        }
        let wanted =
            Wanted { width: usize::from(pictures.width), watermark: pictures.watermark.clone(), hands: all_hands() };
        let drawn = press::pictures::all(&project, &order, &wanted, &FontBook::shipped(), &mut sources, &mut report)?;
        let beside = || project.folder.join(format!("{}-pictures", plain_name(&project.about.title)));
        Some((pictures.output.clone().unwrap_or_else(beside), drawn))
    });
    let Some((folder, drawn)) = drawn else {
        report::show(&report, &sources);
        return Outcome::of(&report);
    };
    match write::folder(&folder, &drawn, press::pictures::is_name) {
        Ok(()) => {
            report::say(&format!("written: {} ({} pictures)", folder.display(), drawn.len()));
            Outcome::Done
        }
        Err(NotFresh::Taken(path)) => {
            report::say(&format!(
                "`{}` was not written by this command, and nothing of yours is replaced; choose another folder with -o",
                path.display()
            ));
            Outcome::WrongUse
        }
        Err(NotFresh::Failed(failure)) => {
            report.push(failure);
            report::show(&report, &sources);
            Outcome::of(&report)
        }
    }
}

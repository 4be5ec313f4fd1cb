//! `hitchpress pictures`: pictures for a shop, in a folder of their own.

use super::args::Pictures;
use super::load::{LoadedProject, load_variant};
use super::outcome::Outcome;
use super::write::{self, NewFileError};
use super::{print, report};
use crate::font::FontBook;
use crate::press::{
    self,
    pictures::{PicturesOptions, all_hands, is_name},
};
use crate::source::Sources;
use std::path::Path;

/// Most bytes of a picture that is looked at before it is replaced.
const PICTURE_BYTES: u64 = 512 << 20;

/// Draws the pictures and writes their folder, whole or not at all.
pub(crate) fn run(pictures: &Pictures) -> Outcome {
    let LoadedProject { work, sources, mut report } = load_variant(&pictures.project, &print::wishes(&pictures.print));
    let drawn = work.and_then(|(prepared, variant)| {
        let wanted = PicturesOptions {
            width: usize::from(pictures.width),
            watermark: pictures.watermark.clone(),
            hands: all_hands(),
        };
        let drawn = press::pictures::all(&prepared, &variant, &wanted, &FontBook::shipped(), &mut report)?;
        let project = &prepared.project;
        let beside = || project.folder.join(format!("{}-pictures", project.file_stem));
        Some((pictures.output.clone().unwrap_or_else(beside), drawn))
    });
    let Some((folder, drawn)) = drawn else {
        report::show(&report, &sources);
        return Outcome::of(&report);
    };
    let is_ours = |name: &str| is_name(name) && (name.ends_with('/') || is_ours(&folder.join(name)));
    match write::folder(&folder, &drawn, is_name, is_ours) {
        Ok(()) => {
            report::say(&format!("written: {} ({} pictures)", folder.display(), drawn.len()));
            Outcome::Done
        }
        Err(NewFileError::Taken(path)) => {
            report::say(&format!(
                "`{}` was not written by this command, and nothing of yours is replaced; choose another folder with -o",
                path.display()
            ));
            Outcome::WrongUse
        }
        Err(NewFileError::Failed(failure)) => {
            report.push(failure);
            report::show(&report, &sources);
            Outcome::of(&report)
        }
    }
}

/// Whether this program drew the picture that lies there.
fn is_ours(path: &Path) -> bool {
    let mut sources = Sources::new();
    sources.read(path, PICTURE_BYTES).is_ok_and(|id| crate::picture::is_ours(sources.get(id).bytes()))
}

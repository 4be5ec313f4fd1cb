//! The files of a panel by what they are: project file, chart, the grid in it. Reads bytes and writes nothing.

use crate::board::journal::Files;
use crate::diag::Diagnostic;
use crate::edit::form::{self, YarnLine};
use crate::edit::{Grid, chart_picture, chart_text};
use crate::picture;
use crate::source::Sources;
use std::path::Path;

/// The name of the project file.
pub(super) const PROJECT: &str = "project.toml";

pub(in crate::board) fn bytes(path: &Path, most: u64) -> Result<Vec<u8>, Diagnostic> {
    let mut sources = Sources::new();
    let id = sources.read(path, most)?;
    Ok(sources.get(id).bytes().to_vec())
}

pub(super) fn project_text(files: &Files) -> &str {
    files.get(PROJECT).and_then(|bytes| std::str::from_utf8(bytes).ok()).unwrap_or_default()
}

/// The chart's file, by name.
pub(super) fn chart(files: &Files) -> Option<(&String, &Vec<u8>)> {
    files.iter().find(|(name, _)| *name != PROJECT)
}

pub(super) fn grid(files: &Files, yarns: &[YarnLine]) -> Option<Grid> {
    let (_, bytes) = chart(files)?;
    if picture::is_picture(bytes) {
        return chart_picture::read(bytes, &letters(yarns));
    }
    let grid = chart_text::read(std::str::from_utf8(bytes).ok()?)?;
    let known = |letter: &char| *letter == crate::edit::BARE || yarns.iter().any(|yarn| yarn.letter == *letter);
    grid.cells().iter().all(known).then_some(grid)
}

pub(super) fn letters(yarns: &[YarnLine]) -> Vec<(char, crate::colour::Colour)> {
    yarns.iter().map(|yarn| (yarn.letter, yarn.colour)).collect()
}

pub(super) fn size(files: &Files) -> Option<(usize, usize)> {
    let yarns = form::yarns(project_text(files))?;
    grid(files, &yarns).map(|grid| (grid.columns(), grid.rows()))
}

/// A grid of one letter.
pub(in crate::board) fn blank(columns: usize, rows: usize, letter: char) -> Result<Grid, Diagnostic> {
    let cells = columns.checked_mul(rows).filter(|cells| *cells <= crate::chart::MAX_SIDE * crate::chart::MAX_SIDE);
    cells.and_then(|cells| Grid::new(columns, vec![letter; cells])).ok_or_else(|| {
        Diagnostic::fault("unusable-size", format!("a panel cannot have {columns} columns and {rows} rows"))
            .hint(format!("up to {} each way are possible", crate::chart::MAX_SIDE))
    })
}

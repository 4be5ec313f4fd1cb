//! The rows as they are worked: of every run, what its yarn does that the rule does not say.
//!
//! One who knows the rule (see `rule`) needs no more than the runs and these marks; row lines and chart cells both say them
//! from here. Where a length is likely to run out is marked nowhere: hands differ, and she joins when it does.

use super::cutting::Cutting;
use super::rule::HangingLengths;
use super::runs::{RowPlace, RunId, RunSheet};
use super::slits::Slit;
use super::yarn_plan::Links;
use crate::chart::{Column, Direction, Row};
use core::ops::Range;

/// One row in working order.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WorkedRow {
    /// Which row.
    pub place: RowPlace,
    /// The way it is worked.
    pub direction: Direction,
    /// Its runs, as indices into [`RunSheet::runs`] and into the marks.
    pub runs: Range<RunId>,
    /// Knots in it; with the bare cells they make up the chart's columns.
    pub knots: usize,
    /// Width from the outermost knot to the outermost knot, in columns; 0 for a row without a knot. A width check on the
    /// way multiplies it by the column pitch.
    pub knotted_columns: usize,
    /// Lengths joined in it: those started, and those expected to take the place of one that runs out.
    pub joins: usize,
    /// Lengths that hang when it is done and are taken up in a row below.
    pub hanging: usize,
}

/// What is said of a run beyond its knots and its yarn.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct RunMarks {
    /// A new length is joined, whatever hangs.
    pub start: bool,
    /// The length to take up, by its last knot, where the rule would take up another.
    pub choice: Option<LastKnot>,
    /// Once taken up, the yarn is crossed once round the yarn just used, at the back: no slit opens between the two.
    pub link: bool,
    /// The length is cut after the run, with a tail.
    pub cut: bool,
}

/// The knot a length tied last: one knot, so one length.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct LastKnot {
    /// Its row.
    pub row: RowPlace,
    /// Its column.
    pub column: Column,
}

/// All rows, and the marks of every run in working order.
pub(super) fn rows(
    sheet: &RunSheet,
    links: &Links,
    slits: &[Slit],
    cuttings: &[Cutting],
) -> (Vec<WorkedRow>, Vec<RunMarks>) {
    let link_rows = link_rows(sheet, slits);
    let mut run_out = vec![0u16; sheet.rows.len()];
    for place in cuttings.iter().flat_map(|c| &c.new_lengths) {
        run_out[sheet.runs[place.run].row] += 1;
    }
    let mut hanging = HangingLengths::new(sheet);
    let mut marks = Vec::with_capacity(sheet.runs.len());
    let mut rows = Vec::with_capacity(sheet.rows.len());
    for (row, runs) in sheet.rows.iter().enumerate() {
        let first = marks.len();
        for id in runs.clone() {
            let mut of = RunMarks { link: is_linked(sheet, &link_rows, id), ..RunMarks::default() };
            match links.from[id] {
                None => of.start = true,
                Some(planned) => {
                    if hanging.nearest(id) != Some(planned) {
                        let last = &sheet.runs[planned];
                        of.choice = Some(LastKnot { row: sheet.place(last.row), column: last.last });
                    }
                    hanging.take_up(planned);
                }
            }
            match links.out[id] {
                None => of.cut = true,
                Some(_) => hanging.hang(id),
            }
            marks.push(of);
        }
        let of = &sheet.runs[runs.clone()];
        rows.push(WorkedRow {
            place: sheet.place(row),
            direction: sheet.direction(row),
            runs: runs.clone(),
            knots: of.iter().map(|run| run.knots()).sum(),
            knotted_columns: match (of.first(), of.last()) {
                (Some(first), Some(last)) => first.first.0.abs_diff(last.last.0) + 1,
                (None, _) | (_, None) => 0,
            },
            joins: marks[first..].iter().filter(|m| m.start).count() + usize::from(run_out[row]),
            hanging: hanging.count(),
        });
    }
    (rows, marks)
}

/// Slits by chart row: the columns left of the gaps that are linked there, ascending.
fn link_rows(sheet: &RunSheet, slits: &[Slit]) -> Vec<Vec<usize>> {
    let mut rows = vec![Vec::new(); sheet.rows.len() - sheet.header_rows];
    for slit in slits {
        for row in (slit.first.0..=slit.last.0).filter(|&row| slit.is_linked_in(Row(row))) {
            rows[row].push(slit.left.0);
        }
    }
    rows
}

/// Whether a run and the one before it in its row meet at a slit that is linked in this row.
fn is_linked(sheet: &RunSheet, link_rows: &[Vec<usize>], id: RunId) -> bool {
    let run = &sheet.runs[id];
    let Some(row) = run.row.checked_sub(sheet.header_rows) else { return false };
    let Some(before) = id.checked_sub(1).map(|b| &sheet.runs[b]).filter(|b| b.row == run.row) else { return false };
    let left = before.last.0.min(run.first.0);
    link_rows[row].binary_search(&left).is_ok()
}

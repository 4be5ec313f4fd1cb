//! Charts that look drawn on squares: knots are wider than high, so what is round on squared paper becomes squat.

use crate::chart::{Chart, YarnId};
use crate::diag::{Diagnostic, Phrase, Report, Value};
use crate::geom::beside;
use crate::project::Project;
use crate::workings::Workings;

/// Knots nearer to squares than this change no shape that anyone would see (our judgement).
const NEARLY_SQUARE: f64 = 0.12;
/// Shapes smaller than this are drawn knot by knot and tell nothing.
const MIN_SIDE: usize = 7;
/// The share of its box that a round shape fills is pi / 4: boxes fill more, diamonds less.
const ROUND: core::ops::RangeInclusive<f64> = 0.68..=0.88;
/// The share of a shape that must lie on itself when columns and rows are exchanged.
const ALIKE: f64 = 0.93;

/// A patch of one yarn, and the box around it.
struct Patch {
    left: usize,
    top: usize,
    wide: usize,
    high: usize,
    cells: Vec<bool>,
}

pub(super) fn advise(project: &Project, workings: &Workings, report: &mut Report) {
    let proportion = workings.gauge.row_mm / workings.gauge.column_mm;
    if (proportion - 1.0).abs() < NEARLY_SQUARE {
        return;
    }
    let round: Vec<Patch> = patches(&project.chart).into_iter().filter(is_round_on_squares).collect();
    let Some(largest) = round.iter().max_by_key(|patch| patch.wide) else { return };
    let across = largest.wide as f64 / proportion;
    let mm = |knots: usize, each: f64| Value::decimals(knots as f64 * each, 0);
    let message = Phrase::new(
        "drawn-on-squares",
        "the chart looks drawn on squares: the shape in columns {left} to {right}, rows {top} to {bottom} is round there, \
         but `{wide}` mm wide and `{high}` mm high in knots",
    )
    .with("left", largest.left + 1)
    .with("right", largest.left + largest.wide)
    .with("top", largest.top + 1)
    .with("bottom", largest.top + largest.high)
    .with("wide", mm(largest.wide, workings.gauge.column_mm))
    .with("high", mm(largest.high, workings.gauge.row_mm));
    let circle =
        Phrase::new("drawn-on-squares-hint", "in these knots a circle needs about {rows} rows for {columns} columns");
    report.push(
        Diagnostic::advice(message)
            .advise(circle.with("rows", Value::decimals(across, 0)).with("columns", largest.wide))
            .advise(Phrase::new(
                "drawn-on-squares-fit",
                "where the chart is a picture or a spreadsheet, `hitchpress chart-from CHART --fit knots` adds the rows",
            )),
    );
}

/// Whether a shape is the same both ways in squares, and fills its box as a circle does.
fn is_round_on_squares(patch: &Patch) -> bool {
    let Patch { wide, high, cells, .. } = patch;
    if wide.abs_diff(*high) > 1 || *wide.min(high) < MIN_SIDE {
        return false;
    }
    let count = cells.iter().filter(|own| **own).count();
    if !ROUND.contains(&(count as f64 / cells.len() as f64)) {
        return false;
    }
    let at = |column: usize, row: usize| column < *wide && row < *high && cells[row * wide + column];
    let same = (0..cells.len()).filter(|&i| cells[i] && at(i / wide, i % wide)).count();
    // Corners are cut off as on a circle: a shape that reaches into one is none.
    let corner = at(0, 0) || at(wide - 1, 0) || at(0, high - 1) || at(wide - 1, high - 1);
    !corner && same as f64 >= ALIKE * count as f64
}

/// Patches of one yarn whose knots share sides, without those that reach an edge of the chart.
fn patches(chart: &Chart) -> Vec<Patch> {
    let (columns, rows) = (chart.columns(), chart.rows());
    let cells = chart.cells();
    let mut seen = vec![false; cells.len()];
    let mut out = Vec::new();
    for start in 0..cells.len() {
        let Some(yarn) = cells[start].filter(|_| !seen[start]) else { continue };
        let own = grown(cells, (columns, rows), start, yarn, &mut seen);
        let left = own.iter().map(|at| at % columns).min().unwrap_or(0);
        let right = own.iter().map(|at| at % columns).max().unwrap_or(0);
        let (top, bottom) =
            (own.iter().min().map_or(0, |at| at / columns), own.iter().max().map_or(0, |at| at / columns));
        if left == 0 || top == 0 || right + 1 == columns || bottom + 1 == rows {
            continue;
        }
        let (wide, high) = (right - left + 1, bottom - top + 1);
        let mut shape = vec![false; wide * high];
        for at in own {
            shape[(at / columns - top) * wide + at % columns - left] = true;
        }
        out.push(Patch { left, top, wide, high, cells: shape });
    }
    out
}

fn grown(
    cells: &[Option<YarnId>],
    (columns, rows): (usize, usize),
    start: usize,
    yarn: YarnId,
    seen: &mut [bool],
) -> Vec<usize> {
    let mut own = vec![start];
    seen[start] = true;
    let mut next = 0;
    while let Some(&at) = own.get(next) {
        next += 1;
        for other in beside(at, columns, rows) {
            if !seen[other] && cells[other] == Some(yarn) {
                seen[other] = true;
                own.push(other);
            }
        }
    }
    own
}

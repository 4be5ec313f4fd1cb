//! Where the rows say that the panel's width is to be measured.

use super::ROWS_IN_STRETCH;
use super::context::WriteContext;
use crate::words::measures::MeasureKind;
use crate::workings::{RowPlace, WorkedRow};

/// The width is measured every so many rows; panels of fewer than two stretches are measured twice as often.
const CHECK_EVERY: usize = ROWS_IN_STRETCH;

/// The width to be measured after this row, if it is time.
pub(super) fn width_check(context: &WriteContext, row: &WorkedRow) -> Option<String> {
    let RowPlace::Chart(at) = row.place else { return None };
    let rows = context.project.chart.rows();
    let every = if rows < 2 * CHECK_EVERY { CHECK_EVERY / 2 } else { CHECK_EVERY };
    let full = row.knotted_columns == context.project.chart.columns();
    let due = (at.0 + 1).is_multiple_of(every) && at.0 + 1 < rows;
    (due && full).then(|| context.measures.both(MeasureKind::Size, context.workings.size.width_mm))
}

/// Whether any row says so.
pub(super) fn is_measured(context: &WriteContext) -> bool {
    context.workings.rows.iter().any(|row| width_check(context, row).is_some())
}

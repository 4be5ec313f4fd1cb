//! A chart as a spreadsheet: one cell a knot, filled with a yarn's colour exactly or holding its letter; an empty one bare.

use super::{Chart, Colour, YarnId, suggest_letter};
use crate::diag::{Diagnostic, Report, SourceId, Span};
use crate::sheet;
use crate::source::Sources;
use std::collections::BTreeMap;

/// Strange cells that are shown one by one.
const MAX_SHOWN: usize = 6;

/// Reads a chart. `letters` and `yarns` are the yarns' letters and colours in the order of the palette, `None` where one
/// could not be read: then nothing is called strange, since it may be of that one. `None` is answered after a fault.
pub(crate) fn read(
    sources: &Sources,
    source: SourceId,
    letters: &[Option<char>],
    yarns: &[Option<(char, Colour)>],
    report: &mut Report,
) -> Option<Chart> {
    let place = Span::file(source);
    let sheet = match sheet::read(sources.get(source).bytes(), None) {
        Ok(sheet) => sheet,
        Err(fault) => {
            report.push(fault.at(place));
            return None;
        }
    };
    let by_letter = |text: &str| letters.iter().position(|letter| letter.is_some_and(|l| text.chars().eq([l])));
    let by_colour = |fill: Colour| yarns.iter().position(|yarn| yarn.is_some_and(|(_, colour)| colour == fill));
    let mut strange: BTreeMap<String, (usize, usize)> = BTreeMap::new();
    let mut cells = Vec::with_capacity(sheet.cells.len());
    for (at, cell) in sheet.cells.iter().enumerate() {
        // A letter says more than a fill, which may be there for looks.
        let found = by_letter(&cell.text).or_else(|| cell.fill.and_then(by_colour));
        let empty = cell.fill.is_none() && matches!(cell.text.as_str(), "" | ".");
        if found.is_none() && !empty {
            let shown = if cell.text.is_empty() {
                cell.fill.map_or_else(String::new, Colour::to_hex)
            } else {
                cell.text.clone()
            };
            strange.entry(shown).or_insert((0, at)).0 += 1;
        }
        cells.push(found.map(|yarn| YarnId(yarn as u8)));
    }
    if !strange.is_empty() {
        let known: Vec<char> = letters.iter().flatten().copied().collect();
        if known.len() == letters.len() && yarns.iter().all(Option::is_some) && !letters.is_empty() {
            tell(strange, &known, sheet.columns, &sheet.range, place, report);
        }
        return None;
    }
    if cells.iter().all(Option::is_none) {
        report.push(Diagnostic::fault("no-knots", "every cell of the chart is bare").at(place));
        return None;
    }
    Chart::new(sheet.columns, cells)
}

fn tell(
    strange: BTreeMap<String, (usize, usize)>,
    known: &[char],
    columns: usize,
    range: &str,
    place: Span,
    report: &mut Report,
) {
    let more = strange.len().saturating_sub(MAX_SHOWN);
    for (shown, (times, first)) in strange.into_iter().take(MAX_SHOWN) {
        let fault = Diagnostic::fault(
            "unknown-cell",
            format!(
                "`{shown}` is no yarn's letter and no yarn's colour; it stands {times} times in {range}, first in the part's \
                 row {}, column {}",
                first / columns + 1,
                first % columns + 1
            ),
        )
        .at(place);
        report.push(suggest_letter(fault, &shown, known));
    }
    if more > 0 {
        report.push(
            Diagnostic::fault("unknown-cell", format!("{more} other cells are no yarn's either"))
                .at(place)
                .hint("`hitchpress chart-from SHEET` makes a project with a yarn for each fill or letter"),
        );
    }
}

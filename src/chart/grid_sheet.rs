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

#[cfg(test)]
mod tests {
    use super::*;

    fn told(list: &str, letters: &[Option<char>]) -> (Option<Chart>, Vec<(String, Vec<String>)>) {
        let (mut sources, mut report) = (Sources::in_memory(), Report::new());
        let source = sources.add("chart.csv".into(), list.as_bytes().to_vec());
        let yarns: Vec<Option<(char, Colour)>> =
            letters.iter().enumerate().map(|(at, key)| key.map(|key| (key, Colour::new(at as u8, 0, 0)))).collect();
        let chart = read(&sources, source, letters, &yarns, &mut report);
        (chart, report.iter().map(|d| (d.message.clone(), d.hints.clone())).collect())
    }

    const TWO: [Option<char>; 2] = [Some('A'), Some('B')];

    #[test]
    fn letters_full_stops_and_empty_cells_become_a_chart() {
        let (chart, faults) = told("A,B,.\n,B,A\n", &TWO);
        let (a, b) = (Some(YarnId(0)), Some(YarnId(1)));
        assert_eq!((chart, faults.len()), (Chart::new(3, vec![a, b, None, None, b, a]), 0));
        assert_eq!(told(".,.\n", &TWO).1[0].0, "every cell of the chart is bare");
    }

    #[test]
    fn a_strange_cell_is_counted_and_told_where_it_first_stands() {
        let (chart, faults) = told("A,B,A\nB,x,a\nx,x,A\n", &TWO);
        assert_eq!((chart, faults.len()), (None, 2));
        let (first, second) = (&faults[0], &faults[1]);
        assert_eq!(
            first.0,
            "`a` is no yarn's letter and no yarn's colour; it stands 1 times in A1:C3, first in the part's row 2, column 3"
        );
        assert!(first.1[0].starts_with("did you mean `A`?"), "{:?}", first.1);
        assert!(second.0.contains("`x`") && second.0.contains("stands 3 times"), "{}", second.0);
        assert!(second.0.ends_with("row 2, column 2"), "{}", second.0);
        assert_eq!(second.1, ["the yarns' letters are `A`, `B`"]);
    }

    #[test]
    fn six_strange_cells_are_told_and_the_others_counted() {
        assert_eq!(told("c,d,e\nf,g,h\n", &TWO).1.len(), 6);
        let faults = told("c,d,e,f\ng,h,i,j\n", &TWO).1;
        assert_eq!((faults.len(), faults[6].0.as_str()), (7, "2 other cells are no yarn's either"));
    }

    #[test]
    fn nothing_is_called_strange_while_a_yarn_cannot_be_read() {
        for letters in [&[Some('A'), None][..], &[]] {
            assert_eq!(told("A,x\n", letters), (None, Vec::new()));
        }
    }
}

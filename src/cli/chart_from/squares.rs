//! Squares become knots: from a picture of a chart, from a picture with one pixel a knot, from a spreadsheet.

use super::desk::{Desk, Finished, size_said};
use super::options;
use crate::chart::{Chart, MAX_YARNS, YarnId};
use crate::chart_from::cells::View;
use crate::chart_from::drawing::{Detail, Drawing};
use crate::chart_read::{self, Reading, SquareKind, shown};
use crate::cli::args::FitChoice;
use crate::cli::report::counted;
use crate::colour::{Colour, Lab};
use crate::diag::{Diagnostic, Report};
use crate::picture::{self, SrgbPicture};
use crate::project::Project;
use crate::sheet::{Sheet, SheetCell};
use crate::source::Sources;
use crate::workings;

/// A chart made of squares, before it is one of knots.
pub(crate) struct Squares {
    columns: usize,
    /// The kind of each square, in reading order; `None`: bare.
    cells: Vec<Option<u8>>,
    colours: Vec<Colour>,
    /// A name of its own for a kind whose colour says nothing.
    names: Vec<Option<String>>,
    /// Height of a square over its width.
    proportion: f64,
    /// What the maker is told of how it was read.
    said: String,
    /// Pictures and lists to go with the project.
    more: Vec<(&'static str, Vec<u8>)>,
}

/// Doubtful squares that are named one by one.
const NAMED: usize = 12;
/// Where one square in so many is doubtful, and squares have fewer pixels than this, a larger picture helps.
const MANY: usize = 10;
const SMALL: f64 = 13.0;
/// Most pixels of a side of a picture that is taken for one pixel a knot.
const MAX_PIXEL_SIDE: usize = 160;

impl Squares {
    /// A small picture of few colours exactly, each pixel a knot. `None`: it is not one.
    pub(crate) fn of_pixels(picture: &SrgbPicture) -> Option<Squares> {
        let (columns, rows) = (picture.width, picture.height);
        let sides = chart_read::MIN_SIDE..=MAX_PIXEL_SIDE;
        if !sides.contains(&columns) || !sides.contains(&rows) {
            return None;
        }
        let mut times: std::collections::BTreeMap<[u8; 3], usize> = std::collections::BTreeMap::new();
        for pixel in picture.rgb.as_chunks::<3>().0 {
            *times.entry(*pixel).or_default() += 1;
            if times.len() > MAX_YARNS {
                return None;
            }
        }
        let mut order: Vec<([u8; 3], usize)> = times.into_iter().collect();
        order.sort_by_key(|&(colour, count)| (core::cmp::Reverse(count), colour));
        let place = |pixel: &[u8; 3]| order.iter().position(|(colour, _)| colour == pixel).map(|at| at as u8);
        Some(Squares {
            columns,
            cells: picture.rgb.as_chunks::<3>().0.iter().map(place).collect(),
            colours: order.iter().map(|(c, _)| Colour::new(c[0], c[1], c[2])).collect(),
            names: vec![None; order.len()],
            proportion: 1.0,
            said: "seen as a chart with one pixel a knot; `--as drawing` draws it in another size".to_owned(),
            more: Vec::new(),
        })
    }

    /// From a picture of a chart, with the picture of what was read and a list of what is in doubt.
    pub(crate) fn of_reading(
        reading: &Reading,
        symbol_name: impl Fn(usize) -> String,
        report: &mut Report,
    ) -> Option<Squares> {
        let (colours, names) = told_apart(&reading.kinds, symbol_name);
        let packed =
            |picture: &SrgbPicture, report: &mut Report| picture::png(picture).map_err(|fault| report.push(fault)).ok();
        let mut more = vec![("as-read.png", packed(&shown::beside(reading, &colours), report)?)];
        let mut said = format!(
            "seen as a chart of {} and {}, {:.1} pixels a square, {} of squares",
            counted(reading.columns, "column", "columns"),
            counted(reading.rows, "row", "rows"),
            reading.pixels,
            counted(reading.kinds.len(), "kind", "kinds")
        );
        if !reading.size_is_sure {
            said.push_str("\nwhere it ends is not sure: if it has another size, say so with --columns and --rows");
        }
        if reading.kinds.iter().any(|kind| kind.by_symbol) {
            said.push_str(
                "\nsquares with the same ground are told apart by their symbols; symbols.png shows them in the order of the \
                 yarns: give each its yarn's name and colour in project.toml",
            );
            more.push(("symbols.png", packed(&symbols(reading, &colours), report)?));
        }
        if !reading.doubtful.is_empty() {
            let place =
                |cell: usize| format!("row {}, column {}", cell / reading.columns + 1, cell % reading.columns + 1);
            let some: Vec<String> = reading.doubtful.iter().take(NAMED).map(|doubt| place(doubt.cell)).collect();
            said.push_str(&format!(
                "\n{} in doubt, framed in as-read.png and listed in doubtful.txt: {}{}",
                counted(reading.doubtful.len(), "square is", "squares are"),
                some.join("; "),
                if reading.doubtful.len() > NAMED { "; ..." } else { "" }
            ));
            if reading.pixels < SMALL && MANY * reading.doubtful.len() >= reading.cells.len() {
                said.push_str("\nits squares are small: a picture with more pixels a square is read better");
            }
            let line = |doubt: &chart_read::Doubt| {
                let hex = |kind: u8| colours[usize::from(kind)].to_hex();
                format!("{}: read as {}, may be {}\n", place(doubt.cell), hex(reading.cells[doubt.cell]), hex(doubt.or))
            };
            more.push(("doubtful.txt", reading.doubtful.iter().map(line).collect::<String>().into_bytes()));
        }
        said.push_str("\nonly charts that are your own, or that you may use, belong into a pattern");
        Some(Squares {
            columns: reading.columns,
            cells: reading.cells.iter().map(|&kind| Some(kind)).collect(),
            colours,
            names,
            proportion: reading.proportion,
            said,
            more,
        })
    }

    /// The squares as a picture, to be shown beside the panel.
    pub(crate) fn drawn(&self) -> SrgbPicture {
        const SIDE: usize = 10;
        let (width, height) = (self.columns * SIDE, self.cells.len() / self.columns * SIDE);
        let pixel = |at: usize| {
            let cell = self.cells[at / width / SIDE * self.columns + at % width / SIDE];
            let colour = cell.map_or(Colour::WHITE, |kind| self.colours[usize::from(kind)]);
            [colour.r, colour.g, colour.b]
        };
        SrgbPicture { width, height, rgb: (0..width * height).flat_map(pixel).collect() }
    }

    /// From a spreadsheet: by fills where there are any, else by letters.
    pub(crate) fn of_sheet(sheet: &Sheet) -> Squares {
        let filled = sheet.cells.iter().any(|cell| cell.fill.is_some());
        let key = |cell: &SheetCell| -> Option<SheetCell> {
            match (filled, cell.fill, cell.text.as_str()) {
                (true, Some(fill), _) => Some(SheetCell { fill: Some(fill), text: String::new() }),
                (false, _, text) if !matches!(text, "" | ".") => Some(SheetCell { fill: None, text: text.to_owned() }),
                _ => None,
            }
        };
        let mut times: std::collections::BTreeMap<SheetCell, usize> = std::collections::BTreeMap::new();
        for cell in sheet.cells.iter().filter_map(key) {
            *times.entry(cell).or_default() += 1;
        }
        let mut order: Vec<(SheetCell, usize)> = times.into_iter().collect();
        order.sort_by(|a, b| b.1.cmp(&a.1).then_with(|| a.0.cmp(&b.0)));
        order.truncate(255);
        let place = |cell: &SheetCell| {
            let key = key(cell)?;
            order.iter().position(|(known, _)| *known == key).map(|at| at as u8)
        };
        let cells: Vec<Option<u8>> = sheet.cells.iter().map(place).collect();
        let bare = cells.iter().filter(|cell| cell.is_none()).count();
        let mut said = format!(
            "{} of the sheet: {}, {}, told apart by {}",
            sheet.range,
            counted(sheet.columns, "column", "columns"),
            counted(sheet.rows, "row", "rows"),
            if filled { "their fills" } else { "their letters" }
        );
        let counts = [
            (
                bare,
                "cell has nothing in it and is a bare cell of the chart",
                "cells have nothing in them and are bare cells of the chart",
            ),
            (
                sheet.merged,
                "merged range is taken as so many cells alike",
                "merged ranges are taken as so many cells alike",
            ),
            (
                sheet.others,
                "other sheet of the file is not read; put the chart's own first",
                "other sheets of the file are not read; put the chart's own first",
            ),
        ];
        for (count, one, many) in counts.into_iter().filter(|(count, ..)| *count > 0) {
            said.push_str(&format!("\n{}", counted(count, one, many)));
        }
        let colours = order.iter().enumerate().map(|(at, (cell, _))| cell.fill.unwrap_or_else(|| ladder(at)));
        Squares {
            columns: sheet.columns,
            cells,
            colours: colours.collect(),
            names: order.iter().map(|(cell, _)| (!cell.text.is_empty()).then(|| cell.text.clone())).collect(),
            proportion: 1.0,
            said,
            more: Vec::new(),
        }
    }
}

/// Colours that differ, for kinds that differ by their symbols alone.
fn ladder(at: usize) -> Colour {
    let light = [86.0, 48.0, 67.0, 30.0][at % 4];
    let turn = (at as f64 * 137.508).to_radians();
    Lab { l: light, a: 42.0 * libm::cos(turn), b: 42.0 * libm::sin(turn) }.to_colour()
}

/// A colour for each kind, no two alike, and a name where the colour is only put in its place.
fn told_apart(kinds: &[SquareKind], symbol_name: impl Fn(usize) -> String) -> (Vec<Colour>, Vec<Option<String>>) {
    let mut colours: Vec<Colour> = Vec::new();
    let mut names = Vec::new();
    for kind in kinds {
        let free = !colours.contains(&kind.colour);
        let other = (0..).map(ladder).find(|colour| !colours.contains(colour)).unwrap_or(kind.colour);
        colours.push(if free { kind.colour } else { other });
        let number = names.iter().flatten().count() + 1;
        names.push(kind.by_symbol.then(|| symbol_name(number)));
    }
    (colours, names)
}

/// One square of each kind, in order, beside the colour that stands for it.
fn symbols(reading: &Reading, colours: &[Colour]) -> SrgbPicture {
    const SQUARE: usize = 72;
    const GAP: usize = 8;
    let (width, height) = (2 * SQUARE + 3 * GAP, reading.kinds.len() * (SQUARE + GAP) + GAP);
    let mut out = SrgbPicture { width, height, rgb: vec![255; width * height * 3] };
    for (at, kind) in reading.kinds.iter().enumerate() {
        let sample = shown::square(reading, kind.example, SQUARE);
        let top = GAP + at * (SQUARE + GAP);
        for y in 0..SQUARE {
            for x in 0..SQUARE {
                let colour = colours[at];
                for (left, rgb) in [(GAP, sample.at(x, y)), (SQUARE + 2 * GAP, [colour.r, colour.g, colour.b])] {
                    let start = ((top + y) * width + left + x) * 3;
                    out.rgb[start..start + 3].copy_from_slice(&rgb);
                }
            }
        }
    }
    out
}

const _: () = assert!(chart_read::MAX_TOLD == MAX_YARNS, "what is read of a picture fits into a project");

/// Makes the project. `None`: the report has a fault.
pub(crate) fn make(
    desk: &Desk<'_>,
    mut squares: Squares,
    sources: &mut Sources,
    report: &mut Report,
) -> Option<Finished> {
    if squares.colours.len() > MAX_YARNS {
        report.push(
            Diagnostic::fault(
                "too-many-yarns",
                format!(
                    "the chart has {} kinds of squares, and a project at most {MAX_YARNS} yarns",
                    squares.colours.len()
                ),
            )
            .hint("draw it in fewer with `--as drawing --yarns 12`"),
        );
        return None;
    }
    let gauge = workings::gauge(&desk.base);
    let rows = squares.cells.len() / squares.columns;
    if desk.typed.fit == FitChoice::Knots {
        let wanted = rows as f64 * squares.proportion * gauge.column_mm / gauge.row_mm;
        let wanted = (wanted.round() as usize).clamp(1, options::MAX_SIDE);
        squares.cells = stretched(&squares, wanted);
        squares.said.push_str(&format!("\nfitted to the knots: {rows} rows of squares became {wanted} rows of knots"));
    }
    let mut pattern = desk.pattern.clone();
    let yarns: Vec<usize> = if desk.typed.like.is_some() {
        let own: Vec<Colour> = desk.base.palette.iter().map(|(_, yarn)| yarn.colour).collect();
        super::from_drawing::in_yarns(&squares.colours, &own)
    } else {
        pattern.set_yarns(&squares.colours, &desk.words);
        pattern.rename(&squares.names);
        (0..squares.colours.len()).collect()
    };
    let cells = squares.cells.iter().map(|cell| cell.map(|at| YarnId(yarns[usize::from(at)] as u8))).collect();
    let chart = Chart::new(squares.columns, cells)?;
    if chart.knots() == 0 {
        report.push(Diagnostic::fault("no-knots", "every square is bare, so there is nothing to knot"));
        return None;
    }
    let chart = pattern.keep_used(&chart)?;
    let project = Project { chart, ..pattern.project(sources, report)? };
    let plan = options::ChartPlan { columns: project.chart.columns(), rows: project.chart.rows(), view: View::WHOLE };
    let said = format!("{}\n{}", squares.said, size_said(&project));
    Some(Finished { project, pattern, plan, said, more: squares.more })
}

/// The squares in so many rows of knots. A bare square stays bare.
fn stretched(squares: &Squares, rows: usize) -> Vec<Option<u8>> {
    let bare = squares.colours.len() as u8;
    let cells = squares.cells.iter().map(|cell| cell.unwrap_or(bare)).collect();
    let mut colours = squares.colours.clone();
    // No yarn has the colour of the wall behind bare cords; any that is far from the others does.
    colours.push(ladder(squares.colours.len() + 1));
    let drawing = Drawing::of_squares(squares.columns, cells, colours);
    let drawn = drawing.knots(&View::WHOLE, squares.columns, rows, Detail(0.5));
    drawn.cells.into_iter().map(|at| (at != bare).then_some(at)).collect()
}

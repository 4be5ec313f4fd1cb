//! An empty chart to colour by hand: as many rectangles as there are knots, in the proportions of knots, on as many sheets as
//! it takes. Comes as numbers and words, goes out as pages; every tenth line is heavier, as on a printed chart.

use super::colours::Colours;
use super::draw::{self, LAYOUT};
use super::setter::Setter;
use crate::catalogue::{FrameName, StyleName};
use crate::colour::Colour;
use crate::edition::Edition;
use crate::font::FontBook;
use crate::geom::{Length, Point, Rect, Size};
use crate::page::{Booklet, Frame, Page, PlacedItem};
use std::ops::Range;

/// What is drawn.
#[derive(Clone, Debug)]
pub(crate) struct BlankGrid<'a> {
    /// Knots across.
    pub(crate) columns: usize,
    /// Knots down.
    pub(crate) rows: usize,
    /// Height of a knot over its width.
    pub(crate) proportion: f64,
    /// Of the paper.
    pub(crate) paper: Size,
    /// Stands above each sheet's grid.
    pub(crate) title: &'a str,
    /// Below it.
    pub(crate) lead: &'a str,
    /// Tag of the language.
    pub(crate) language: &'a str,
}

/// Kept free all round: most printers at home reach this far.
const MARGIN: Length = Length::mm(12.0);
/// Beside the grid, for numbers.
const NUMBERS: Length = Length::pt(20.0);
/// Above it, for title, lead and numbers.
const HEAD: Length = Length::pt(56.0);
/// Narrower rectangles cannot be coloured by hand, and wider ones waste paper.
const WIDTHS: (Length, Length) = (Length::mm(3.4), Length::mm(9.0));
const LINE: Colour = Colour::new(0x9a, 0x9a, 0x9a);
const HEAVIER: Colour = Colour::new(0x30, 0x30, 0x30);

/// All sheets, from the left to the right and then down.
pub(crate) fn sheets(grid: &BlankGrid<'_>, edition: &Edition, book: &FontBook) -> Booklet {
    let room = Size {
        width: grid.paper.width - MARGIN * 2.0 - NUMBERS * 2.0,
        height: grid.paper.height - MARGIN * 2.0 - HEAD - Length::pt(16.0),
    };
    let whole = (room.width / grid.columns as f64).min(room.height / (grid.rows as f64 * grid.proportion));
    let wide = whole.max(WIDTHS.0).min(WIDTHS.1);
    let cell = Size { width: wide, height: wide * grid.proportion };
    let most = |room: Length, side: Length| ((room / side + 1e-6) as usize).max(1);
    let across = parts(grid.columns, most(room.width, cell.width));
    let down = parts(grid.rows, most(room.height, cell.height));
    let setter = Setter::new(book, edition, Colours::of(edition, &[]), grid.language);
    let mut booklet = Booklet::default();
    for rows in &down {
        for columns in &across {
            booklet.pages.push(sheet(grid, cell, columns.clone(), rows.clone(), &setter));
        }
    }
    grid.title.clone_into(&mut booklet.about.title);
    grid.language.clone_into(&mut booklet.about.language);
    booklet
}

/// So many in a row, in parts of at most so many; parts begin after tens, so that the heavier lines stay where they are.
fn parts(count: usize, most: usize) -> Vec<Range<usize>> {
    let step = if most >= count { count } else { (most / 10 * 10).max(most.min(10)) };
    (0..count).step_by(step.max(1)).map(|from| from..(from + step.max(1)).min(count)).collect()
}

fn sheet(grid: &BlankGrid<'_>, cell: Size, columns: Range<usize>, rows: Range<usize>, setter: &Setter<'_>) -> Page {
    let mut items: Vec<PlacedItem> = Vec::new();
    let size = Size { width: cell.width * columns.len() as f64, height: cell.height * rows.len() as f64 };
    let left = (grid.paper.width - size.width) / 2.0;
    let top = MARGIN + HEAD;
    let text = grid.paper.width - MARGIN * 2.0;
    let title = setter.line_within(StyleName::Heading1, grid.title, text);
    title.place(Point::new(MARGIN, MARGIN + Length::pt(16.0)), LAYOUT, &mut items);
    let lead = setter.line_within(StyleName::Small, grid.lead, text);
    lead.place(Point::new(MARGIN, MARGIN + Length::pt(32.0)), LAYOUT, &mut items);
    let rule = |index: usize, last: bool| index.is_multiple_of(10) || last;
    let bounds = |heavy: bool| if heavy { (HEAVIER, Length::pt(1.0)) } else { (LINE, Length::pt(0.35)) };
    for heavy in [false, true] {
        let (colour, width) = bounds(heavy);
        for column in columns.start..=columns.end {
            if rule(column, column == columns.end) == heavy {
                let x = left + cell.width * (column - columns.start) as f64;
                let line = draw::rule(Point::new(x, top), Point::new(x, top + size.height), colour, width);
                items.push(draw::shape(LAYOUT, line));
            }
        }
        for row in rows.start..=rows.end {
            if rule(row, row == rows.end) == heavy {
                let y = top + cell.height * (row - rows.start) as f64;
                let line = draw::rule(Point::new(left, y), Point::new(left + size.width, y), colour, width);
                items.push(draw::shape(LAYOUT, line));
            }
        }
    }
    let figures = Length::pt(7.0);
    let number = |number: usize| setter.line_in(StyleName::Small, &number.to_string(), figures, HEAVIER);
    let shown = |index: usize, room: Length| {
        room >= figures || (index + 1).is_multiple_of(5) || index == columns.start && index == rows.start
    };
    for row in rows.clone().filter(|row| shown(*row, cell.height)) {
        let baseline = top + cell.height * ((row - rows.start) as f64 + 0.5) + figures * 0.35;
        let line = number(row + 1);
        let at = left - Length::pt(4.0) - line.width;
        line.place(Point::new(at, baseline), LAYOUT, &mut items);
        number(row + 1).place(Point::new(left + size.width + Length::pt(4.0), baseline), LAYOUT, &mut items);
    }
    for column in columns.clone().filter(|column| shown(*column, cell.width / 1.6)) {
        let line = number(column + 1);
        let x = left + cell.width * ((column - columns.start) as f64 + 0.5) - line.width / 2.0;
        line.place(Point::new(x, top - Length::pt(4.0)), LAYOUT, &mut items);
    }
    let area = Rect { origin: Point::default(), size: grid.paper };
    let frame = Frame { name: FrameName::Picture, area, items };
    Page { trim: grid.paper, bleed: Length::ZERO, label: String::new(), frames: vec![frame] }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_grid_too_wide_for_one_sheet_is_parted_after_tens() {
        assert_eq!(parts(22, 30), vec![Range { start: 0, end: 22 }]);
        assert_eq!(parts(75, 34), [0..30, 30..60, 60..75]);
        assert_eq!(parts(12, 7), [0..7, 7..12]);
    }
}

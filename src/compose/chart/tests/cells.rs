//! The grid of a sheet: its cells, the lines between them, and the marks in them.

use super::drawn::{Drawn, assert_near, assert_rect, bounds, count, parts, plain, sheet};
use super::marks::{MarkedCell, shapes};
use super::*;
use crate::geom::{Point, Rect};
use crate::page::{CellInk, Item, Segment, Shape};
use std::sync::Arc;

/// Twelve columns of 8 mm, six on each of two sheets: eight would need 64 mm and two gutters of more than 14.
fn in_two_sheets(change: impl FnOnce(&mut Edition)) -> Edition {
    plain(105.0, 150.0, 8.0, change)
}

/// Twelve columns and two rows; the second sheet's last cell above is bare and its third below.
fn with_bare_cells() -> ChartBlock {
    let mut block = block(12, 2, 1.0);
    block.cells = (0..24).map(|cell| Some(u8::from(cell % 3 == 0))).collect();
    (block.cells[11], block.cells[12 + 8]) = (None, None);
    block.yarns[1].colour = Colour::new(240, 220, 180);
    block
}

/// Lines as (column, row) of both ends, counted in cells from the grid's corner.
fn in_cells(drawn: &Drawn, shape: &Shape) -> Vec<[(i64, i64); 2]> {
    let corner = |point: Point| {
        let (x, y) =
            ((point.x - drawn.grid.left()) / drawn.cell.width, (point.y - drawn.grid.top()) / drawn.cell.height);
        assert!((x - x.round()).abs() < 1e-3 && (y - y.round()).abs() < 1e-3, "{x} {y} is no corner of a cell");
        (x.round() as i64, y.round() as i64)
    };
    let ends = |part: &[Segment]| match part {
        [Segment::Move(from), Segment::Line(to)] => [corner(*from), corner(*to)],
        _ => panic!("{part:?} is no line"),
    };
    let mut out: Vec<_> = parts(&shape.outline).into_iter().map(ends).collect();
    out.sort_unstable();
    out
}

#[test]
fn the_second_sheet_shows_its_own_cells_and_lines_only_where_there_is_a_knot() {
    let block = with_bare_cells();
    assert_eq!(count(&block, &in_two_sheets(|_| {})), 2);
    sheet(&block, &in_two_sheets(|_| {}), 1, |drawn, _, _| {
        assert_eq!((drawn.sheet.columns.clone(), drawn.sheet.rows.clone()), (6..12, 0..2));
        let cells = drawn.items.iter().position(|it| matches!(&it.item, Item::Cells(cells) if cells.columns == 6));
        let at = cells.expect("the cells are drawn");
        let Item::Cells(cells) = &drawn.items[at].item else { panic!("no cells") };
        let (navy, cream) = (Some(0), Some(1));
        let shown = [cream, navy, navy, cream, navy, None, cream, navy, None, cream, navy, navy];
        assert_eq!(cells.cells, shown);
        assert_eq!((cells.origin, cells.cell), (drawn.grid.origin, drawn.cell));
        assert_near(drawn.cell.width, Length::mm(8.0));
        assert_rect(drawn.grid, Rect { size: Size::new(Length::mm(48.0), Length::mm(16.0)), ..drawn.grid });
        // Right after the cells: usual lines, then those on tens, then the edge.
        let lines: Vec<&Shape> = drawn.items[at + 1..at + 4]
            .iter()
            .map(|it| if let Item::Shape(shape) = &it.item { shape } else { panic!("no line") })
            .collect();
        let upright = |x: i64, from: i64, to: i64| [(x, from), (x, to)];
        let level = |y: i64, from: i64, to: i64| [(from, y), (to, y)];
        let sorted = |mut lines: Vec<[(i64, i64); 2]>| {
            lines.sort_unstable();
            lines
        };
        let all_high = [0, 1, 2, 3, 5].map(|x| upright(x, 0, 2));
        let thin = [&all_high[..], &[upright(6, 1, 2), level(1, 0, 6), level(2, 0, 2), level(2, 3, 6)]].concat();
        assert_eq!(in_cells(drawn, lines[0]), sorted(thin));
        // Column 11 begins right of the tenth, which is the fourth here; row 1 of the chart begins at the top.
        assert_eq!(in_cells(drawn, lines[1]), sorted(vec![upright(4, 0, 2), level(0, 0, 5)]));
        let outside = [upright(0, 0, 2), upright(5, 0, 1), upright(6, 1, 2), level(0, 0, 5), level(1, 5, 6)];
        let hole = [upright(2, 1, 2), upright(3, 1, 2), level(1, 2, 3), level(2, 0, 2), level(2, 3, 6)];
        assert_eq!(in_cells(drawn, lines[2]), sorted([outside, hole].concat()));
        let width = |shape: &Shape| shape.stroke.as_ref().expect("a line").width;
        assert!(width(lines[0]) < width(lines[1]) && width(lines[1]) == width(lines[2]));
    });
}

#[test]
fn a_chart_without_knots_has_no_lines() {
    let mut block = block(4, 3, 1.0);
    block.cells = vec![None; 12];
    sheet(&block, &in_two_sheets(|edition| edition.chart.band_every = 0), 0, |drawn, sheets, _| {
        let after = drawn.items.iter().position(|it| matches!(&it.item, Item::Cells(cells) if cells.columns == 4));
        let next = &drawn.items[after.expect("cells") + 1].item;
        assert!(next.as_text().is_some(), "{next:?}");
        assert_eq!(sheets.plan.sheets.len(), 1);
    });
}

#[test]
fn marks_stand_in_their_cells_on_the_side_where_the_row_begins() {
    let mut block = with_bare_cells();
    // Row 1 goes to the right, row 2 to the left. The bare cell's mark is drawn nowhere, and column 3 is on the first sheet.
    block.marks = [2, 7, 11, 12 + 10].map(|cell| ChartMark { cell, kind: ChartMarkKind::Start }).to_vec();
    let discs = |edition: &Edition| {
        sheet(&block, edition, 1, |drawn, sheets, _| {
            // Rims reach a little beyond the cells.
            let inside = |shape: &&&Shape| {
                let area = bounds(&shape.outline);
                drawn.grid.inset(-Length::mm(1.0)).holds(area)
                    && parts(&shape.outline).len() < 4
                    && shape.stroke.is_none()
            };
            let shapes = drawn.shapes();
            let found: Vec<&Shape> = shapes.iter().filter(inside).copied().collect();
            let grounds: Vec<Option<Colour>> = sheets.cell_inks.iter().map(|ink| ink.ground).collect();
            let rims: Vec<Option<Colour>> = found.iter().map(|shape| shape.fill).collect();
            let middles: Vec<Point> =
                found.iter().flat_map(|shape| parts(&shape.outline)).map(|part| bounds(part).centre()).collect();
            (middles, rims, grounds, drawn.middle(1, 0), drawn.middle(4, 1))
        })
    };
    let (middles, rims, grounds, first, second) = discs(&in_two_sheets(|edition| edition.chart.marks = true));
    // Both cells are navy: a rim of its ground under each, then the two marks.
    assert_eq!((middles.len(), rims.len(), rims[0]), (4, 2, grounds[0]));
    assert_ne!(rims[0], rims[1]);
    // Own computation: 0.11 of 8 mm from either side of the corner, so 3.12 mm from the middle.
    let away = Length::mm(4.0 - 0.88);
    for (found, wanted) in
        [(0, first.moved(-away, -away)), (1, second.moved(away, -away)), (2, first.moved(-away, -away))]
    {
        assert_near(middles[found].x, wanted.x);
        assert_near(middles[found].y, wanted.y);
    }
    assert_eq!(discs(&in_two_sheets(|_| {})).0, []);
}

/// A mark in a cell of 20 by 10 points at (100, 50), or one that is as much higher than wide: its rim and itself.
fn marked(kind: &ChartMarkKind, left_to_right: bool, size: (f64, f64)) -> [Vec<Segment>; 2] {
    let ink = CellInk { ground: None, mark: Arc::default(), colour: Colour::BLACK };
    let area = Rect::new(Length::pt(100.0), Length::pt(50.0), Length::pt(size.0), Length::pt(size.1));
    let cell = MarkedCell { area, kind, left_to_right, ink: &ink };
    let all = shapes(std::iter::once(cell));
    let fills: Vec<_> = all.iter().map(|shape| shape.fill).collect();
    assert_eq!(fills, [Some(Colour::WHITE), Some(Colour::BLACK)]);
    [all[0].outline.clone(), all[1].outline.clone()]
}

#[track_caller]
fn stands(outline: &[Segment], middle: (f64, f64), size: (f64, f64)) {
    let (w, h) = (Length::pt(size.0), Length::pt(size.1));
    let corner = Point::new(Length::pt(middle.0) - w / 2.0, Length::pt(middle.1) - h / 2.0);
    assert_rect(bounds(outline), Rect { origin: corner, size: Size::new(w, h) });
}

#[test]
fn every_mark_has_its_place_at_an_edge_and_a_rim_round_it() {
    let (wide, high) = ((20.0, 10.0), (10.0, 20.0));
    let choice = ChartMarkKind::Choice { tied: None, words: String::new() };
    // Own computation from shares of the shorter side, 10 pt: disc 0.09, lozenge 0.115, both 0.11 from the corner; dash 0.22
    // by 0.085 at three tenths of the height; bar 0.085 by 0.3, 0.03 from the edge; rims 0.035 on all sides.
    for (kind, from_left, from_right, high_at, size, rim) in [
        (ChartMarkKind::Start, 101.1, 118.9, (101.1, 51.1), (1.8, 1.8), 0.35),
        (ChartMarkKind::Link, 100.0, 120.0, (100.0, 56.0), (2.2, 0.85), 0.35),
        (ChartMarkKind::Cut, 119.275, 100.725, (109.275, 60.0), (0.85, 3.0), 0.35),
        // Straight up and to the side a slanted rim is wider.
        (choice, 101.1, 118.9, (101.1, 68.9), (2.3, 2.3), 0.49),
    ] {
        let y = match kind {
            ChartMarkKind::Start => 51.1,
            ChartMarkKind::Link => 53.0,
            ChartMarkKind::Cut => 55.0,
            ChartMarkKind::Choice { .. } => 58.9,
        };
        let grown = (size.0 + rim * 2.0, size.1 + rim * 2.0);
        let [under, mark] = marked(&kind, true, wide);
        stands(&mark, (from_left, y), size);
        stands(&under, (from_left, y), grown);
        let [under, mark] = marked(&kind, false, wide);
        stands(&mark, (from_right, y), size);
        stands(&under, (from_right, y), grown);
        stands(&marked(&kind, true, high)[1], high_at, size);
    }
}

#[test]
fn a_lozenge_stands_on_its_corner() {
    let choice = ChartMarkKind::Choice { tied: None, words: String::new() };
    let [_, mark] = marked(&choice, true, (20.0, 10.0));
    let corners: Vec<(f64, f64)> = mark
        .iter()
        .copied()
        .flat_map(Segment::points)
        .map(|point| (point.x.to_pt() - 101.1, point.y.to_pt() - 58.9))
        .collect();
    for (found, wanted) in corners.iter().zip([(0.0, -1.15), (1.15, 0.0), (0.0, 1.15), (-1.15, 0.0)]) {
        assert!((found.0 - wanted.0).abs() < 1e-6 && (found.1 - wanted.1).abs() < 1e-6, "{corners:?}");
    }
    assert_eq!((corners.len(), mark.last()), (4, Some(&Segment::Close)));
}

#[test]
fn rims_lie_under_all_marks_and_marks_are_as_dark_as_can_be_seen() {
    let grounds =
        [Colour::new(20, 20, 30), Colour::new(220, 210, 200), Colour::new(20, 20, 30), Colour::new(90, 90, 90)];
    let inks = grounds.map(|ground| CellInk { ground: Some(ground), mark: Arc::default(), colour: Colour::BLACK });
    let area = Rect::new(Length::ZERO, Length::ZERO, Length::pt(10.0), Length::pt(10.0));
    let kind = ChartMarkKind::Start;
    let cells = inks.iter().map(|ink| MarkedCell { area, kind: &kind, left_to_right: true, ink });
    let all = shapes(cells);
    let fills: Vec<Colour> = all.iter().map(|shape| shape.fill.expect("it is filled")).collect();
    // Cells of one ground are one shape.
    assert_eq!(fills[..3], [grounds[0], grounds[1], grounds[3]]);
    assert_eq!(all.iter().map(|shape| parts(&shape.outline).len()).collect::<Vec<_>>(), [2, 1, 1, 2, 1, 1]);
    assert_eq!(fills[4], Colour::BLACK);
    for (mark, ground) in [(fills[3], grounds[0]), (fills[5], grounds[3])] {
        let (red, green, blue) = (mark.r, mark.g, mark.b);
        assert!(red == green && green == blue && mark.luminance() > ground.luminance(), "{mark:?}");
        // Text of WCAG 2.2, level AA: 4.5 to 1; the grey before it would not do.
        let darker = Colour::new(red - 1, green - 1, blue - 1);
        assert!(mark.contrast(ground) >= 4.5 && darker.contrast(ground) < 4.5, "{mark:?} on {ground:?}");
    }
}

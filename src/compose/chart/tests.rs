//! How sheets of small charts are arranged, and what is said on them.

use super::arrange::{SheetLayout, arranged};
use super::measure::{number_size, sheet_area, squared, strip};
use super::room::beside::{Beside, runs, widest_counts, widest_on};
use super::room::head::Head;
use super::room::key::{KeyLay, SampleLook, entries};
use super::room::legend::{Legend, kinds};
use super::room::notes::{carrying, choices, lines_of, most_lines};
use super::*;
use crate::catalogue::{EditionName, PaperName, StyleName};
use crate::colour::Colour;
use crate::compose::colours::Colours;
use crate::diag::Report;
use crate::edition::{CellShape, Choice, Edition, load};
use crate::font::FontBook;
use crate::geom::{Length, Size};
use crate::manuscript::{ChartBlock, ChartMark, ChartMarkKind, ChartRow, ChartWords, ChartYarn};
use crate::source::Sources;

mod above;
mod around;
mod arranging;
mod cells;
mod drawn;
mod heads;
mod neighbours;

/// A chart of one yarn whose knots have these proportions.
fn block(columns: usize, rows: usize, aspect: f64) -> ChartBlock {
    let row = |row: usize| ChartRow {
        number: (row + 1).to_string(),
        left_to_right: row.is_multiple_of(2),
        field: format!("row-{}", row + 1),
        spoken: "words".into(),
        name: "Row".into(),
        in_parts: None,
    };
    let yarn = |name: &str| ChartYarn {
        letter: 'N',
        name: name.to_owned(),
        colour: Colour::BLACK,
        symbol: "square".to_owned(),
        symbol_words: "a square".to_owned(),
        count: "37".to_owned(),
        spoken: "37 knots".to_owned(),
    };
    let words = ChartWords {
        title: "The chart".to_owned(),
        sheet: "Sheet {sheet} of {sheets}".to_owned(),
        columns: "Columns {from} to {to}".to_owned(),
        rows: "Rows {from} to {to}".to_owned(),
        one_row: "Row {from}".to_owned(),
        one_column: "Column {from}".to_owned(),
        shared_columns: "Columns {from} to {to} also on page {page}".to_owned(),
        shared_rows: "Rows {from} to {to} also on page {page}".to_owned(),
        run_counts: "Small figures".to_owned(),
        run_counts_more: "more follow".to_owned(),
        small_cells: "The squares are small.".to_owned(),
        square_cells: "The squares are drawn square.".to_owned(),
        bare: "no knot".to_owned(),
        mark_start: "Dot: start".to_owned(),
        mark_cut: "Bar: cut".to_owned(),
        mark_link: "Dash: link".to_owned(),
        mark_choice: "Lozenge: take up".to_owned(),
        choices: "Lozenges:".to_owned(),
        ..ChartWords::default()
    };
    ChartBlock {
        columns,
        cells: vec![Some(0); columns * rows],
        yarns: vec![yarn("navy"), yarn("cream")],
        rows: (0..rows).map(row).collect(),
        marks: Vec::new(),
        aspect,
        alongside: Vec::new(),
        words,
    }
}

/// The chart edition on A5, changed in this way.
fn edition(change: impl FnOnce(&mut Edition)) -> Edition {
    let choice = Choice { edition: EditionName::Chart, own: None, look: None, paper: PaperName::A5 };
    let mut edition =
        load(choice, &mut Sources::in_memory(), &mut Report::new()).expect("it travels inside the program");
    change(&mut edition);
    edition
}

/// Does something with a setter of an edition.
fn with<T>(edition: &Edition, run: impl FnOnce(&Setter) -> T) -> T {
    let book = FontBook::shipped();
    run(&Setter::new(&book, edition, Colours::of(edition, &[]), "en-GB"))
}

fn arrange(block: &ChartBlock, edition: &Edition) -> SheetLayout {
    with(edition, |setter| arranged(block, edition, setter, true))
}

fn of_shape(block: &ChartBlock, cells: CellShape) -> SheetLayout {
    arrange(block, &edition(|edition| edition.chart.cells = cells))
}

#[test]
fn cells_have_the_knots_proportions_where_that_takes_no_more_than_half_again_as_many_sheets() {
    let (mut own_kept, mut squares_taken) = (0, 0);
    for (columns, rows, aspect) in [
        (10, 10, 1.5),
        (60, 60, 1.3),
        (60, 60, 1.8),
        (60, 60, 2.4),
        (90, 50, 1.6),
        (40, 90, 0.6),
        (40, 90, 0.45),
        (50, 40, 1.4),
        (30, 40, 1.2),
        (26, 70, 1.1),
        (120, 20, 2.0),
    ] {
        let block = block(columns, rows, aspect);
        let (own, square, auto) =
            (of_shape(&block, CellShape::True), of_shape(&block, CellShape::Square), of_shape(&block, CellShape::Auto));
        assert_eq!((own.aspect, square.aspect), (aspect, 1.0));
        let (count, of_squares) = (own.plan.sheets.len(), square.plan.sheets.len());
        let shorter = own.plan.cell * aspect.min(1.0);
        // 4 mm is what the edition asks for.
        let is_small = shorter.to_mm() < 3.999 && count > of_squares;
        let wanted = if 2 * count > 3 * of_squares || is_small { 1.0 } else { aspect };
        assert_eq!(auto.aspect, wanted, "{columns} x {rows}: {count} sheets, {of_squares} of squares");
        if wanted == 1.0 { squares_taken += 1 } else { own_kept += 1 }
    }
    assert!(own_kept > 2 && squares_taken > 2, "{own_kept} {squares_taken}");
}

#[test]
fn cells_are_smaller_than_usual_only_where_that_saves_a_column_of_sheets() {
    let narrow = |columns: usize, narrow: f64| {
        arrange(&block(columns, 20, 1.0), &edition(|edition| edition.chart.narrow_cell = Length::mm(narrow)))
    };
    let mut saved = 0;
    for columns in (20..80).step_by(3) {
        let (usual, smaller) = (narrow(columns, 4.0), narrow(columns, 3.0));
        assert!(smaller.plan.across <= usual.plan.across);
        if smaller.plan.across < usual.plan.across && smaller.plan.sheets.len() < usual.plan.sheets.len() {
            saved += 1;
        } else {
            assert_eq!(smaller.plan, usual.plan, "{columns}");
        }
    }
    assert!(saved > 0);
}

#[test]
fn lines_for_lengths_to_choose_are_kept_on_every_sheet() {
    let mut marked = block(20, 30, 1.0);
    let choice = |cell| ChartMark { cell, kind: ChartMarkKind::Choice { tied: Some(cell - 20), words: String::new() } };
    marked.marks = (0..12).map(|at| choice(40 + at)).collect();
    let edition = edition(|_| {});
    let (plain, lozenges) = (arrange(&block(20, 30, 1.0), &edition), arrange(&marked, &edition));
    let said = with(&edition, |setter| {
        let width = sheet_area(&edition, lozenges.plan.turned).size.width / lozenges.head.note_scale;
        choices(&marked, &edition, setter, &lozenges.plan.sheets[0], width)
    });
    assert!(said.len() > 1 && said[0].starts_with("Lozenges: 3, 1 ← 2, 1  ·  3, 2 ← 2, 2"), "{said:?}");
    assert_eq!(lozenges.note_lines, plain.note_lines + said.len());
    // Only those that stand on the sheet; and header rows by their words.
    marked.marks.push(ChartMark { cell: 599, kind: ChartMarkKind::Choice { tied: None, words: "H2".to_owned() } });
    let sheet = SheetCells { rows: 29..30, columns: 10..20, ..SheetCells::whole(20, 30) };
    let of = |edition: &Edition| with(edition, |setter| choices(&marked, edition, setter, &sheet, Length::mm(100.0)));
    assert_eq!(of(&edition), ["Lozenges: 30, 20 ← H2"]);
    assert_eq!(of(&super::tests::edition(|edition| edition.chart.marks = false)), Vec::<String>::new());
}

#[test]
fn marks_on_a_sheet_are_those_of_its_rows_and_columns() {
    let mut marked = block(20, 4, 1.0);
    marked.marks = [19, 20, 25, 39, 40].map(|cell| ChartMark { cell, kind: ChartMarkKind::Start }).to_vec();
    let on = |columns| {
        let sheet = SheetCells { rows: 1..2, columns, ..SheetCells::whole(20, 4) };
        marks::on(&marked, &sheet).map(|mark| mark.cell).collect::<Vec<_>>()
    };
    assert_eq!((on(0..20), on(0..5), on(5..19)), (vec![20, 25, 39], vec![20], vec![25]));
}

#[test]
fn notes_stand_one_after_another_on_lines_and_long_ones_are_broken_between_words() {
    let edition = edition(|_| {});
    with(&edition, |setter| {
        let lines = |notes: &[&str], width: Length| {
            lines_of(notes.iter().map(|note| (*note).to_owned()).collect(), setter, width)
        };
        let wide = |text: &str| setter.line(StyleName::SheetNote, text).width;
        let both = wide("one two  ·  three four");
        assert_eq!(lines(&["one two", "three four"], both), ["one two  ·  three four"]);
        assert_eq!(lines(&["one two", "three four"], both - Length::pt(0.5)), ["one two", "three four"]);
        assert_eq!(lines(&["one two three four"], wide("one two three")), ["one two three", "four"]);
        assert_eq!(lines(&["one two three four"], Length::pt(1.0)), ["one", "two", "three", "four"]);
        assert_eq!(lines(&[], both), Vec::<String>::new());
        // What stands nowhere in words is said where it takes no more than a line.
        let mut block = block(10, 10, 1.0);
        block.words.carrying = Some("the rule is on page {page}".to_owned());
        let room = wide("the rule is on page 100");
        let said = |width: Length, block: &ChartBlock| carrying(block, &edition, setter, width);
        assert_eq!(said(room, &block), Some("the rule is on page 100".to_owned()));
        assert_eq!(said(room - Length::pt(0.5), &block), None);
    });
}

#[test]
fn room_is_kept_for_every_note_that_a_sheet_may_need() {
    let one_line_each = |change: fn(&mut Edition), flags| {
        let edition = edition(change);
        let width = Length::mm(1.0);
        // On so narrow a sheet each word has a line of its own.
        with(&edition, |setter| most_lines(&block(10, 10, 1.0), &edition, setter, width, flags))
    };
    let bare = |edition: &mut Edition| {
        edition.chart.run_counts = false;
        edition.chart.narrow_cell = Length::mm(4.0);
    };
    assert_eq!(one_line_each(bare, (false, false)), 0);
    // Own computation: "Columns 99 to 100 also on page 100" and the same of rows are eight words each.
    assert_eq!(one_line_each(bare, (false, true)), 16);
    assert_eq!(one_line_each(bare, (true, false)), 5);
    let counts = |edition: &mut Edition| edition.chart.narrow_cell = Length::mm(4.0);
    assert_eq!(one_line_each(counts, (false, false)), 4);
    let small = |edition: &mut Edition| {
        edition.chart.run_counts = false;
        edition.chart.narrow_cell = Length::mm(3.0);
    };
    assert_eq!(one_line_each(small, (false, false)), 4);
    assert!(squared(&block(1, 1, 1.06), 1.0) && squared(&block(1, 1, 0.94), 1.0));
    assert!(!squared(&block(1, 1, 1.04), 1.0) && !squared(&block(1, 1, 0.96), 1.0) && !squared(&block(1, 1, 1.5), 1.5));
}

#[test]
fn marks_are_explained_that_the_chart_has_one_after_another_while_there_is_room() {
    let edition = edition(|_| {});
    let mut block = block(10, 10, 1.0);
    let mark = |cell, kind| ChartMark { cell, kind };
    block.marks = vec![mark(3, ChartMarkKind::Cut), mark(5, ChartMarkKind::Start), mark(6, ChartMarkKind::Cut)];
    assert_eq!(kinds(&block).iter().map(|(_, words)| *words).collect::<Vec<_>>(), ["Dot: start", "Bar: cut"]);
    with(&edition, |setter| {
        let leading = setter.style(StyleName::SheetNote).leading;
        let wide = |words: &str| leading * 0.86 + Length::mm(1.4) + setter.line(StyleName::SheetNote, words).width;
        let legend = |room: Length| Legend::of(&block, setter, room, 1.0);
        // Both on one line, five millimetres apart.
        let all = wide("Dot: start") + Length::mm(5.0) + wide("Bar: cut");
        let one = legend(all + Length::pt(0.5));
        assert_eq!((one.lines, one.places[0].1, one.places[1].1), (1, 0, 0));
        assert!(((one.places[1].0 - wide("Dot: start")).to_mm() - 5.0).abs() < 1e-6 && one.places[0].0 == Length::ZERO);
        assert!(((one.height() - leading).to_mm() - 0.8).abs() < 1e-6);
        let two = legend(all - Length::pt(0.5));
        assert_eq!((two.lines, two.places[0], two.places[1]), (2, (Length::ZERO, 0), (Length::ZERO, 1)));
        // Too narrow even for one, the words are set smaller, and no line stays empty.
        let narrow = legend(Length::mm(6.0));
        assert_eq!((narrow.lines, narrow.places[0].1), (2, 0));
        let none = super::tests::block(10, 10, 1.0);
        let empty = Legend::of(&none, setter, all, 1.0);
        assert_eq!((empty.lines, empty.height()), (0, Length::ZERO));
    });
}

#[test]
fn a_key_has_as_many_columns_as_fit_and_bare_cells_if_there_are_any() {
    let edition = edition(|_| {});
    let mut block = block(10, 10, 1.0);
    assert_eq!(entries(&block), [Some(0), Some(1)]);
    block.cells[7] = None;
    assert_eq!(entries(&block), [Some(0), Some(1), None]);
    with(&edition, |setter| {
        let style = setter.style(StyleName::Key);
        let lay = |room: Length, coloured| KeyLay::of(&block, setter, room, 1.0, SampleLook::of(1.0, coloured));
        let side = Length::mm(4.0).max(style.size * 1.2);
        let wide = |words: &str| setter.line(StyleName::Key, words).width;
        let widest = (wide("cream") + style.size + wide("37")).max(wide("no knot"));
        let entry = side + Length::mm(2.0) + widest + Length::mm(5.0);
        let plain = lay(Length::mm(300.0), false);
        assert!(
            (plain.entry - entry).to_pt().abs() < 1e-6 && plain.patch == Length::ZERO && plain.sample.width == side
        );
        assert_eq!((plain.lines, plain.height()), (1, plain.line));
        // The space beside the last column may be missing.
        let two = entry * 2.0 - Length::mm(5.0);
        assert_eq!((lay(two + Length::pt(0.1), false).lines, lay(two - Length::pt(0.1), false).lines), (2, 3));
        assert!(lay(two, true).patch > Length::ZERO);
        // A long name is set smaller where it would not fit; never smaller than three tenths.
        let tight = lay(Length::mm(10.0), false);
        assert!(tight.figures < style.size && (tight.entry - Length::mm(5.0)).fits(Length::mm(10.01)), "{tight:?}");
        assert!((lay(Length::mm(1.0), false).figures - style.size * 0.3).to_pt().abs() < 1e-6);
        let look = |aspect| KeyLay::of(&block, setter, Length::mm(300.0), 1.0, SampleLook::of(aspect, false)).sample;
        assert_eq!((look(0.5), look(2.0)), (Size::new(side * 0.75, side), Size::new(side * 1.6, side)));
    });
}

#[test]
fn figures_of_runs_have_the_room_of_the_longest_row() {
    let edition = edition(|_| {});
    let mut block = block(6, 2, 1.0);
    block.cells = [0, 0, 1, 1, 1, 0, 2, 2, 0, 1, 0, 1].map(|yarn| (yarn < 2).then_some(yarn)).to_vec();
    let sheet = SheetCells { repeated_columns: 1, ..SheetCells::whole(6, 2) };
    assert_eq!((runs(&block, &sheet, 0), runs(&block, &sheet, 1)), (vec![1, 3, 1], vec![1, 1, 1, 1]));
    let own = SheetCells::whole(6, 2);
    assert_eq!((runs(&block, &own, 0), runs(&block, &own, 1)), (vec![2, 3, 1], vec![1, 1, 1, 1]));
    with(&edition, |setter| {
        let size = Length::pt(10.0);
        let wide = |text: &str| setter.line_in(StyleName::CellNumber, text, size, Colour::BLACK).width;
        let room = widest_on(&block, &own, setter, size);
        assert!((room - wide("0") * 4.0 - wide("·") * 3.0).to_pt().abs() < 1e-6);
        let plan = arranged(&block, &edition, setter, true).plan;
        let usual = setter.style(StyleName::CellNumber).size * 0.8;
        assert_eq!(widest_counts(&block, &plan, setter), widest_on(&block, &own, setter, usual));
        // A number of nine tenths of its row, or as the style says.
        let style = setter.style(StyleName::CellNumber).size;
        assert_eq!(number_size(Size::new(Length::mm(9.0), Length::mm(9.0)), setter), style);
        assert_eq!(number_size(Size::new(Length::mm(9.0), style), setter), style * 0.92);
        assert!(((strip(setter) - style).to_mm() - 1.8).abs() < 1e-6);
        let beside = Beside::of(&block, setter);
        let number = ["1", "2"].map(|number| setter.line(StyleName::CellNumber, number).width);
        assert!(((beside.arrow_at() - number[0].max(number[1])).to_mm() - 1.8).abs() < 1e-6);
        assert!((beside.target.to_mm() - 6.4).abs() < 1e-6 && (beside.most_box.to_mm() - 4.2).abs() < 1e-6);
        assert!((beside.arrow.width.to_mm() - 3.0).abs() < 1e-6 && (beside.arrow.height.to_mm() - 1.4).abs() < 1e-6);
    });
}

#[test]
fn a_sheets_head_gives_way_to_rows_only_where_they_would_have_no_room() {
    let edition = edition(|_| {});
    let head = |yarns: usize, height: f64, rows: usize| {
        let mut block = block(10, rows, 1.0);
        block.yarns = (0..yarns).map(|_| ChartYarn { ..block.yarns[0].clone() }).collect();
        let room = Size::new(Length::mm(120.0), Length::mm(height));
        with(&edition, |setter| {
            Head::of(&block, setter, room, |_| Length::mm(10.0), (Length::mm(4.0), SampleLook::of(1.0, false), true))
        })
    };
    let usual = head(6, 180.0, 40);
    assert!(usual.finder.width > Length::ZERO && usual.note_scale == 1.0);
    // A long key on a low sheet is set smaller, and then takes the map's room as well.
    let long = head(72, 180.0, 40);
    assert!(long.key.figures < usual.key.figures && long.finder.width > Length::ZERO, "{:?}", long.key);
    let low = head(60, 75.0, 40);
    assert!(low.key.figures < usual.key.figures && low.finder.width == Length::ZERO, "{:?}", low.key);
    // A chart of two rows needs room for no more than these.
    assert_eq!(head(72, 180.0, 2).key.figures, usual.key.figures);
    assert_eq!(Head::beside_finder(Length::mm(100.0), Size::default()), Length::mm(100.0));
    let beside = Head::beside_finder(Length::mm(100.0), Size::new(Length::mm(26.0), Length::mm(18.0)));
    assert!((beside.to_mm() - 70.0).abs() < 1e-6);
}

#[test]
fn a_range_of_one_is_named_as_one() {
    let chart = block(9, 45, 1.0);
    let line = |columns, rows| ranges::range_line(&chart, &SheetCells { columns, rows, ..SheetCells::whole(9, 45) });
    assert_eq!(line(0..9, 3..45), "Columns 1 to 9  ·  Rows 4 to 45");
    assert_eq!(
        (line(8..9, 3..5), line(7..9, 4..5)),
        ("Column 9  ·  Rows 4 to 5".to_owned(), "Columns 8 to 9  ·  Row 5".to_owned())
    );
    assert_eq!(
        (stretch_title(&chart.words, &(20..21)), stretch_title(&chart.words, &(0..20))),
        ("Row 21".to_owned(), "Rows 1 to 20".to_owned())
    );
}

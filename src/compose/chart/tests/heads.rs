//! How the upper part of a sheet is divided, and how large its key and what explains its marks are.

use super::drawn::{assert_near, large};
use super::*;

fn mm(length: f64) -> Length {
    Length::mm(length)
}

/// The head of a sheet of this width, which is high enough for all.
fn head(chart: &ChartBlock, edition: &Edition, width: Length) -> Head {
    let room = Size::new(width, mm(2000.0));
    let look = SampleLook::of(1.0, false);
    with(edition, |setter| Head::of(chart, setter, room, |_| Length::ZERO, (mm(4.0), look, edition.chart.marks)))
}

#[test]
fn the_map_is_at_most_as_wide_as_the_title_and_the_sheet_let_it() {
    let edition = edition(|_| {});
    let mut chart = block(9, 8, 1.0);
    // Own computation: 26 mm, or 28 in a hundred of the sheet.
    assert_near(head(&chart, &edition, mm(120.0)).finder.width, mm(26.0));
    assert_near(head(&chart, &edition, mm(80.0)).finder.width, mm(22.4));
    assert_near(head(&chart, &edition, mm(80.0)).finder.height, mm(18.0));
    // A long title keeps seven tenths of its size, and four millimetres between it and the map.
    chart.words.title = "The chart of a panel with a long name on many sheets".to_owned();
    let title = with(&edition, |setter| {
        let wide = |words: &str| setter.line(StyleName::SheetTitle, words).width;
        // Nine by eight cells may make 72 sheets.
        wide(&chart.words.title) + mm(2.5) + wide("Sheet 72 of 72")
    });
    let width = title * 0.7 + mm(4.0) + mm(11.0);
    assert!(mm(11.0) < width * 0.28);
    assert_near(head(&chart, &edition, width).finder.width, mm(11.0));
    assert_eq!(head(&chart, &edition, title * 0.7).finder.width, Length::ZERO);
    // Never more than 999 sheets are thought of.
    let wide = |columns: usize| {
        let chart = ChartBlock { words: chart.words.clone(), ..block(columns, 40, 1.0) };
        head(&chart, &edition, width).finder.width
    };
    assert_eq!(wide(25), wide(60));
    assert!(wide(24) > wide(25));
    // Beside notes of 18 pt, two and a quarter times as large as usual, it is twice as large.
    let large = large(|_| {});
    let usual = head(&block(9, 8, 1.0), &large, mm(400.0)).finder;
    assert_eq!((usual.width, usual.height), (mm(52.0), mm(36.0)));
}

#[test]
fn the_range_stands_beside_the_title_where_it_has_room_or_on_one_line_or_on_two() {
    let edition = edition(|edition| edition.chart.marks = true);
    let mut chart = block(9, 8, 1.0);
    // So long that there is no map beside it.
    chart.words.title = "The chart ".repeat(12);
    let (title, range) = with(&edition, |setter| {
        let title = |words: &str| setter.line(StyleName::SheetTitle, words).width;
        let range = setter.line(StyleName::SheetNote, "Columns 1 to 100  ·  Rows 1 to 100").width;
        (title(&chart.words.title) + mm(2.5) + title("Sheet 72 of 72"), range)
    });
    // All that stands above the key: the title, the lines of the range, two millimetres; and one and a half below all.
    let (line, of_title) =
        (edition.look.style(StyleName::SheetNote).leading, edition.look.style(StyleName::SheetTitle).leading);
    let above = |chart: &ChartBlock, width: Length| {
        let head = head(chart, &edition, width);
        let other = head.key.height() + head.legend.height() + of_title + mm(3.5);
        assert!(head.height.approx_eq(other + line * head.range_lines as f64) || head.finder.width > Length::ZERO);
        head.range_lines
    };
    let (little, all) = (Length::pt(0.1), title + mm(5.0) + range);
    // With a map there is less room than the sheet is wide.
    let found = |width: Length| above(&chart, width);
    let map = mm(26.0 + 4.0);
    assert_eq!((found(all + map + little), found(all + map - little)), (0, 1));
    chart.words.title = "The chart of a panel with a name that is as long as two lines of its range".to_owned();
    let found = |width: Length| above(&chart, width);
    assert_eq!((found(range + little), found(range - little)), (1, 2));
    chart.marks = vec![ChartMark { cell: 3, kind: ChartMarkKind::Cut }];
    assert!(head(&chart, &edition, range).legend.lines == 1 && above(&chart, range + little) == 1);
    let unmarked = super::edition(|edition| edition.chart.marks = false);
    let (with_marks, without) = (head(&chart, &edition, range), head(&chart, &unmarked, range));
    assert_near(with_marks.height - without.height, line + mm(0.8));
    // A map that is higher than the rest makes the head as high as itself.
    let short = block(9, 8, 1.0);
    assert_near(head(&short, &unmarked, mm(400.0)).height, mm(19.5));
}

/// The least height of a sheet, in points, on which the key is as large as its style says.
fn least_height(chart: &ChartBlock, edition: &Edition, cell: f64) -> (f64, Length) {
    with(edition, |setter| {
        let look = SampleLook::of(1.0, false);
        let head = |high: f64| {
            let room = Size::new(mm(190.0), Length::pt(high));
            Head::of(chart, setter, room, |scale| Length::pt(40.0 * scale), (mm(cell), look, true))
        };
        let full = |high: f64| {
            head(high).key.figures == setter.style(StyleName::Key).size && head(high).finder.width > Length::ZERO
        };
        let tall = head(5000.0).height;
        (f64::from((100..5000).find(|high| full(f64::from(*high))).expect("some height will do")), tall)
    })
}

#[test]
fn the_key_is_as_large_as_its_style_says_where_rows_keep_their_share() {
    let chart = |rows: usize| {
        let mut chart = block(10, rows, 1.0);
        chart.yarns = (0..30).map(|_| chart.yarns[0].clone()).collect();
        chart
    };
    let usual = edition(|_| {});
    let near = |found: (f64, Length), wanted: Length| {
        assert!((found.0 - wanted.to_pt()).abs() <= 1.0, "{} pt where {} were wanted", found.0, wanted.to_pt());
    };
    // 45 in a hundred of the height for very many rows; the head and forty points take the rest.
    let many = least_height(&chart(500), &usual, 4.0);
    near(many, (many.1 + Length::pt(40.0)) / 0.55);
    // Fewer rows need no more than they are high.
    let few = least_height(&chart(6), &usual, 4.0);
    near(few, few.1 + Length::pt(40.0) + mm(24.0));
    let two = least_height(&chart(2), &usual, 4.0);
    near(two, two.1 + Length::pt(40.0) + mm(8.0));
    // Large print leaves room for three rows, or for all of fewer.
    let large = large(|_| {});
    let many = least_height(&chart(500), &large, 10.0);
    near(many, many.1 + Length::pt(40.0) + mm(30.0));
    let two = least_height(&chart(2), &large, 10.0);
    near(two, two.1 + Length::pt(40.0) + mm(20.0));
}

#[test]
fn samples_and_words_of_a_key_grow_with_its_style() {
    let mut chart = block(10, 10, 1.0);
    chart.yarns.truncate(1);
    let lay = |edition: &Edition, scale: f64| {
        with(edition, |setter| KeyLay::of(&chart, setter, mm(400.0), scale, SampleLook::of(1.5, true)))
    };
    let usual = edition(|_| {});
    let style = |edition: &Edition| edition.look.style(StyleName::Key).clone();
    for scale in [1.0, 0.5] {
        let lay = lay(&usual, scale);
        assert_near(lay.sample.height, mm(4.0) * scale);
        assert_near(lay.sample.width, mm(6.0) * scale);
        assert_near(lay.patch, mm(2.8) * scale);
        assert_near(lay.line, style(&usual).leading.max(mm(5.0)) * scale);
        assert_near(lay.figures, style(&usual).size * scale);
        let words = with(&usual, |setter| {
            let wide = |words: &str| setter.line(StyleName::Key, words).width;
            wide("navy") + wide("37") + style(&usual).size
        });
        assert_near(lay.entry, (mm(8.8) + words) * scale + mm(7.0));
    }
    // Beside type of 18 pt a sample is 21.6 pt high, and lines are a millimetre further apart or the style's own.
    let large = large(|_| {});
    let lay = lay(&large, 1.0);
    assert_near(lay.sample.height, Length::pt(21.6));
    assert_near(lay.line, Length::pt(24.0).max(Length::pt(21.6) + mm(1.0)));
}

#[test]
fn words_that_explain_marks_keep_within_nine_tenths_of_the_sheet() {
    let edition = edition(|_| {});
    let choice = ChartMarkKind::Choice { tied: None, words: String::new() };
    let mut chart = block(10, 10, 1.0);
    chart.marks = [choice, ChartMarkKind::Link, ChartMarkKind::Cut, ChartMarkKind::Start]
        .into_iter()
        .enumerate()
        .map(|(cell, kind)| ChartMark { cell, kind })
        .collect();
    let words: Vec<&str> = kinds(&chart).into_iter().map(|(_, words)| words).collect();
    assert_eq!(words, ["Dot: start", "Bar: cut", "Dash: link", "Lozenge: take up"]);
    with(&edition, |setter| {
        let natural = setter.line(StyleName::SheetNote, "Lozenge: take up").width;
        let set =
            |room: Length, scale: f64| super::super::room::legend::words_of(setter, "Lozenge: take up", room, scale);
        assert_near(set(natural * 2.0, 1.0).width, natural);
        assert_near(set(natural * 2.0, 0.5).width, natural * 0.5);
        assert_near(set(natural, 1.0).width, natural * 0.9);
        assert_near(set(natural * 0.5, 0.5).width, natural * 0.45);
        // Set half as large all stands half as far apart, but for the space between entries.
        let leading = setter.style(StyleName::SheetNote).leading;
        let wide = |words: &str| setter.line(StyleName::SheetNote, words).width;
        let small = Legend::of(&chart, setter, mm(300.0), 0.5);
        assert_near(small.leading, leading * 0.5);
        assert_near(small.places[1].0, leading * 0.43 + mm(1.4) + wide("Dot: start") * 0.5 + mm(5.0));
        assert_near(small.height(), leading * 0.5 + mm(0.8));
        // Two on a line, two on the next.
        let two = small.places[1].0 + leading * 0.43 + mm(1.4) + wide("Bar: cut") * 0.5;
        let lines = Legend::of(&chart, setter, two.max(mm(45.0)), 0.5);
        let of: Vec<usize> = lines.places.iter().map(|(_, line)| *line).collect();
        assert!(of.is_sorted() && lines.lines == of[3] + 1 && lines.lines > 1, "{of:?}");
        assert_near(lines.height(), leading * 0.5 * lines.lines as f64 + mm(0.8));
        assert!(
            lines
                .places
                .iter()
                .enumerate()
                .all(|(at, (x, line))| (at == 0 || of[at - 1] < *line) == (*x == Length::ZERO))
        );
    });
}

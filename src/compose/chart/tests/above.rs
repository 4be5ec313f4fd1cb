//! The upper part of a sheet: title and range, the key, what marks mean, the map of all sheets.

use super::drawn::{Drawn, assert_near, assert_rect, bounds, count, large, parts, plain, sheet, sheet_after, width};
use super::*;
use crate::catalogue::SectionName;
use crate::compose::setter::Landmark;
use crate::geom::{Point, Rect};
use crate::page::{Item, Shape, Target};
use std::collections::BTreeMap;

fn mm(length: f64) -> Length {
    Length::mm(length)
}

/// The page of the rows in words is known.
fn on_page_7() -> BTreeMap<Landmark, String> {
    BTreeMap::from([(Landmark::Section(SectionName::RowsInWords), "7".to_owned())])
}

#[test]
fn a_sheet_is_headed_by_the_section_its_own_number_and_what_it_shows() {
    let edition = plain(300.0, 300.0, 8.0, |_| {});
    let chart = block(9, 8, 1.0);
    let of = |said: &[Role]| {
        sheet_after(&chart, &edition, 0, (BTreeMap::new(), said), |drawn, _, setter| {
            let size = setter.style(StyleName::SheetTitle).size;
            let [title, number] = [drawn.text("The chart"), drawn.text("Sheet 1 of 1")];
            let range = drawn.text("Columns 1 to 9  ·  Rows 1 to 8");
            assert_near(title.origin.x, drawn.area.left());
            assert_near(number.origin.x, title.origin.x + width(title) + mm(2.5));
            assert_near(range.origin.x, number.origin.x + width(number) + mm(5.0));
            for run in [title, number, range] {
                assert_near(run.origin.y, drawn.area.top() + size);
            }
            assert_eq!(
                (title.size, number.size, range.actual.as_deref()),
                (size, size, Some("Columns 1 to 9, Rows 1 to 8"))
            );
            (drawn.role_of("The chart"), drawn.role_of("Sheet 1 of 1"), drawn.roles())
        })
    };
    let (title, number, roles) = of(&[]);
    assert_eq!((title, number), (Some(Role::Heading(2)), Some(Role::Heading(3))));
    assert_eq!(roles[..4], [Role::Heading(2), Role::Heading(3), Role::Paragraph, Role::List(false)]);
    // No line that explains marks, and no notes: after the key comes the figure.
    assert_eq!(roles[4], Role::Figure);
    // Where the section's title was said before it is for the eye.
    assert_eq!(of(&[Role::Paragraph, Role::Heading(2)]).0, None);
    assert_eq!(of(&[Role::Paragraph, Role::Heading(3)]).0, Some(Role::Heading(2)));
}

#[test]
fn a_long_title_is_set_smaller_until_it_ends_before_the_map() {
    let mut chart = block(9, 8, 1.0);
    chart.words.title = "The chart of a panel with a very long name that goes on and on beyond all sheets".to_owned();
    sheet(&chart, &plain(180.0, 300.0, 8.0, |_| {}), 0, |drawn, sheets, setter| {
        let style = setter.style(StyleName::SheetTitle).size;
        let (title, number) = (drawn.text(&chart.words.title), drawn.text("Sheet 1 of 1"));
        assert!(title.size < style && title.size == number.size);
        assert_near(number.origin.x, title.origin.x + width(title) + mm(2.5));
        // Four millimetres beside the map stay free.
        let map = sheets.head.finder.width;
        assert!(map > Length::ZERO);
        assert_near(number.origin.x + width(number), drawn.area.right() - map - mm(4.0));
    });
}

#[test]
fn what_a_sheet_shows_leads_to_the_rows_in_words_wherever_it_stands() {
    let mut chart = block(9, 8, 1.0);
    chart.words.rows_begin = "The rows begin on page {page}".to_owned();
    let mut seen = Vec::new();
    for wide in [300.0, 120.0, 66.0] {
        // The map would take the room of narrow sheets.
        let edition = plain(wide, 300.0, 2.0, |_| {});
        sheet_after(&chart, &edition, 0, (on_page_7(), &[]), |drawn, sheets, setter| {
            let note = setter.style(StyleName::SheetNote);
            let lines = sheets.head.range_lines;
            seen.push(lines);
            let runs = match lines {
                2 => vec![drawn.text("Columns 1 to 9"), drawn.text("Rows 1 to 8")],
                _ => vec![drawn.text("Columns 1 to 9  ·  Rows 1 to 8")],
            };
            let title = drawn.text("The chart").origin.y;
            assert_eq!(runs.len(), drawn.links().len());
            for (at, (run, link)) in runs.iter().zip(drawn.links()).enumerate() {
                if lines > 0 {
                    assert_near(run.origin.x, drawn.area.left());
                    assert_near(run.origin.y, title + note.leading * (at + 1) as f64);
                }
                // From four fifths of a letter's size above its foot to three tenths below.
                let top = run.origin.y - note.size * 0.8;
                assert_rect(link.area, Rect::new(run.origin.x, top, width(run), note.size * 1.1));
                assert_eq!(link.label, "The rows begin on page 7");
                assert!(matches!(link.target, Target::Section(SectionName::RowsInWords)));
            }
            let said = "Columns 1 to 9, Rows 1 to 8. The rows begin on page 7";
            assert_eq!(runs[0].actual.as_deref(), Some(said));
            assert!(runs[1..].iter().all(|run| run.actual.as_deref() == Some("")));
            assert_eq!(drawn.role_of(&runs[0].text), Some(Role::Link));
            // The key begins two millimetres below where the next line would.
            let sample = drawn.items.iter().find_map(|it| if let Item::Cells(it) = &it.item { Some(it) } else { None });
            let title = setter.style(StyleName::SheetTitle).leading;
            let top = drawn.area.top() + title + note.leading * lines as f64 + mm(2.0);
            assert_near(sample.expect("a key").origin.y, top);
        });
    }
    assert_eq!(seen, [0, 1, 2]);
    // Nothing to lead to, or no words for it.
    let edition = plain(300.0, 300.0, 8.0, |_| {});
    sheet(&chart, &edition, 0, |drawn, _, _| assert!(drawn.links().is_empty()));
    chart.words.rows_begin.clear();
    sheet_after(&chart, &edition, 0, (on_page_7(), &[]), |drawn, _, _| {
        assert!(drawn.links().is_empty());
        assert_eq!(drawn.role_of("Columns 1 to 9  ·  Rows 1 to 8"), Some(Role::Paragraph));
    });
}

/// Five yarns and a bare cell.
fn with_a_key() -> ChartBlock {
    let mut chart = block(9, 8, 1.0);
    let names = ["navy", "cream", "moss green", "rust", "oat"];
    chart.yarns = names.iter().map(|name| ChartYarn { name: (*name).to_owned(), ..chart.yarns[0].clone() }).collect();
    for (at, yarn) in chart.yarns.iter_mut().enumerate() {
        yarn.colour = Colour::new(200 - 40 * at as u8, 90, 30 + 40 * at as u8);
        yarn.count = (100 + at).to_string();
        yarn.spoken = format!("{} knots", 100 + at);
        yarn.symbol_words = format!("symbol {at}");
    }
    chart.cells[3] = None;
    chart
}

#[test]
fn the_key_goes_down_its_columns_each_yarn_with_sample_colour_name_and_count() {
    let chart = with_a_key();
    // Narrow enough for two columns.
    sheet(&chart, &plain(130.0, 300.0, 8.0, |_| {}), 0, |drawn, sheets, setter| {
        let lay = &sheets.head.key;
        assert_eq!(lay.lines, 3);
        let samples: Vec<_> =
            drawn.items.iter().filter_map(|it| if let Item::Cells(it) = &it.item { Some(it) } else { None }).collect();
        let key = Point::new(drawn.area.left(), samples[0].origin.y);
        for (at, yarn) in chart.yarns.iter().enumerate() {
            let corner = key.moved(lay.entry * (at / 3) as f64, lay.line * (at % 3) as f64);
            assert_near(samples[at].origin.x, corner.x);
            assert_near(samples[at].origin.y, corner.y);
            let sample = Rect { origin: corner, size: lay.sample };
            let patch = Rect::new(sample.right(), sample.top(), lay.patch, lay.sample.height);
            assert_rect(drawn.filled(yarn.colour)[0], patch);
            let (name, count) = (drawn.text(&yarn.name), drawn.text(&yarn.count));
            assert_near(name.origin.x, patch.right() + mm(2.0));
            for run in [name, count] {
                assert_near(run.origin.y, sample.centre().y + lay.figures * 0.34);
                assert_eq!(run.size, lay.figures);
            }
            // Counts end five millimetres before the next column.
            assert_near(count.origin.x + width(count), corner.x + lay.entry - mm(5.0));
            assert_eq!(
                (name.text.as_str(), count.actual.as_ref()),
                (format!("{} ", yarn.name).as_str(), Some(&yarn.spoken))
            );
        }
        // Bare cells: a dashed frame in place of the sample.
        let bare = Rect { origin: key.moved(lay.entry, lay.line * 2.0), size: lay.sample };
        let dashed: Vec<&Shape> = drawn
            .shapes()
            .into_iter()
            .filter(|shape| shape.stroke.as_ref().is_some_and(|stroke| !stroke.dash.is_empty()))
            .collect();
        assert_eq!(dashed.len(), 1);
        assert_rect(bounds(&dashed[0].outline), bare);
        let words = drawn.text("no knot");
        assert_near(words.origin.x, bare.right() + lay.patch + mm(2.0));
        assert_near(words.origin.y, bare.centre().y + lay.figures * 0.34);
        // Heard as a list of six: what the symbol is, the name, the count.
        let mut list = drawn.structure.get(drawn.section).children.iter().map(|node| drawn.structure.get(*node));
        let list = list.find(|node| node.role == Role::List(false)).expect("the key");
        assert_eq!(list.children.len(), 6);
        let body = drawn.structure.get(drawn.structure.get(list.children[2]).children[0]);
        let spans: Vec<_> = body.children.iter().map(|node| drawn.structure.get(*node)).collect();
        assert_eq!((spans.len(), spans[0].actual.as_deref()), (3, Some("symbol 2: ")));
        assert_eq!(setter.style(StyleName::Key).size, lay.figures);
    });
}

#[test]
fn a_key_is_heard_on_up_to_four_sheets_and_of_more_on_the_first() {
    let chart = |columns| block(columns, 6, 1.0);
    let edition = plain(105.0, 150.0, 8.0, |_| {});
    let heard = |columns: usize, index: usize| {
        sheet(&chart(columns), &edition, index, |drawn, sheets, _| {
            let of = |items: &[PlacedItem]| {
                let words = items.iter().filter_map(|it| it.item.as_text()).filter(|run| run.text.trim_end() == "navy");
                words.count()
            };
            (sheets.plan.sheets.len(), of(&drawn.items), of(&drawn.again))
        })
    };
    assert_eq!((heard(28, 0), heard(28, 3)), ((4, 1, 0), (4, 1, 0)));
    assert_eq!((heard(35, 0), heard(35, 1), heard(35, 4)), ((5, 1, 0), (5, 0, 1), (5, 0, 1)));
}

/// All kinds of marks.
fn with_marks() -> ChartBlock {
    let mut chart = block(9, 8, 1.0);
    let choice = ChartMarkKind::Choice { tied: Some(2), words: String::new() };
    let kinds = [ChartMarkKind::Start, ChartMarkKind::Link, ChartMarkKind::Cut, choice];
    chart.marks = kinds.into_iter().enumerate().map(|(cell, kind)| ChartMark { cell, kind }).collect();
    chart
}

#[test]
fn each_mark_is_shown_in_a_square_of_its_own_with_its_words_beside_it() {
    let chart = with_marks();
    sheet(&chart, &plain(122.0, 300.0, 8.0, |edition| edition.chart.marks = true), 0, |drawn, sheets, setter| {
        let style = setter.style(StyleName::SheetNote);
        let legend = &sheets.head.legend;
        assert!(legend.lines > 1);
        let key = drawn.items.iter().find_map(|it| if let Item::Cells(it) = &it.item { Some(it.origin) } else { None });
        let top = key.expect("a key").y + sheets.head.key.height() + mm(0.8);
        let all = ["Dot: start", "Bar: cut", "Dash: link", "Lozenge: take up"];
        let side = style.leading * 0.86;
        let mut last: Option<(Length, Length)> = None;
        for (at, words) in all.iter().enumerate() {
            let run = drawn.text(words);
            let square =
                Rect::new(run.origin.x - mm(1.4) - side, run.origin.y - style.size * 0.34 - side / 2.0, side, side);
            let frames = drawn.shapes();
            let is_it = |shape: &&&Shape| {
                let area = bounds(&shape.outline);
                shape.fill.is_none()
                    && (area.left() - square.left()).to_pt().abs() < 0.01
                    && (area.top() - square.top()).to_pt().abs() < 0.01
            };
            let frame = frames.iter().find(is_it).expect("a square beside its words");
            assert_rect(bounds(&frame.outline), square);
            // On the line of the one before, five millimetres after it, or at the left of the next line.
            match last {
                Some((y, end)) if (square.top() - y).to_pt().abs() < 0.01 => assert_near(square.left(), end + mm(5.0)),
                Some((y, end)) => {
                    assert_near(square.left(), drawn.area.left());
                    assert_near(square.top(), y + style.leading);
                    let room = drawn.area.right() - sheets.head.finder.width - mm(4.0);
                    assert!(!(end + mm(5.0) + side + mm(1.4) + width(run)).fits(room));
                }
                None => {
                    assert_near(square.left(), drawn.area.left());
                    assert_near(square.top(), top);
                }
            }
            last = Some((square.top(), run.origin.x + width(run)));
            let spoken = (at < 3).then(|| format!("{words}; "));
            assert_eq!(run.actual, spoken);
            assert_eq!(run.text.ends_with(' '), at == 3);
            assert_eq!(drawn.role_of(words), Some(Role::Paragraph));
            // The mark lies in the square, but for the dash over its edge.
            let inside = drawn
                .filled(Colour::BLACK)
                .into_iter()
                .filter(|area| square.inset(-Length::pt(0.1)).holds(*area))
                .count();
            assert_eq!(inside, usize::from(*words != "Dash: link"), "{words}");
        }
        // The words take a paragraph between the key and the figure, and those that name lengths one more.
        let roles = drawn.roles();
        assert_eq!(roles[3..7], [Role::List(false), Role::Paragraph, Role::Paragraph, Role::Figure]);
    });
}

/// The map of a chart: the mark of its own sheet, the borders, and what is written on it.
fn map(drawn: &Drawn, accent: Colour) -> (Rect, Rect, usize) {
    let mark = drawn.filled(accent).into_iter().next().expect("its own sheet is marked");
    let shapes = drawn.shapes();
    let lines = shapes.iter().filter(|shape| shape.stroke.as_ref().is_some_and(|stroke| stroke.round));
    let lines: Vec<&&Shape> = lines.collect();
    assert_eq!(lines.len(), 1);
    (mark, bounds(&lines[0].outline), parts(&lines[0].outline).len())
}

#[test]
fn the_map_has_the_charts_shape_and_marks_its_own_sheet() {
    let edition = plain(105.0, 120.0, 8.0, |_| {});
    // Two by two sheets of a chart that is higher than wide, and three beside one another of one that is much wider.
    for (columns, rows, across, down) in [(12, 14, 2, 2), (20, 2, 3, 1)] {
        let chart = block(columns, rows, 1.0);
        for index in 0..across * down {
            sheet(&chart, &edition, index, |drawn, sheets, setter| {
                assert_eq!((sheets.plan.across, sheets.plan.down), (across, down));
                let (mark, all, lines) = map(drawn, sheets.colours.accent);
                assert_near(all.right(), drawn.area.right());
                assert_near(all.top(), drawn.area.top());
                let scale = all.size.width / columns as f64;
                assert_near(all.size.height, scale * rows as f64);
                let finder = sheets.head.finder;
                let high = finder.height.min(sheets.head.height - mm(2.0));
                let is_full = all.size.width.approx_eq(finder.width) || all.size.height.approx_eq(high);
                assert!(is_full && all.size.width.fits(finder.width) && all.size.height.fits(high));
                assert_eq!(lines, across + down + 2);
                for (at, sheet) in sheets.plan.sheets.iter().enumerate() {
                    let (x, y) = (sheet.own_columns(), sheet.own_rows());
                    let corner = all.origin.moved(scale * x.start as f64, scale * y.start as f64);
                    let own = Rect { origin: corner, size: Size::new(scale * x.len() as f64, scale * y.len() as f64) };
                    if at == index {
                        assert_rect(mark, own);
                    }
                    let number = (at + 1).to_string();
                    let size = setter.style(StyleName::SheetNote).size * 0.8;
                    let found = drawn.all_of(&number);
                    let written = found.iter().find(|run| {
                        own.left() < run.origin.x && run.origin.x < own.right() && run.origin.y < own.bottom()
                    });
                    let wide = setter.line_in(StyleName::SheetNote, &number, size, Colour::BLACK).width;
                    let has_room =
                        (wide + Length::pt(2.0)).fits(own.size.width) && (size + Length::pt(1.0)).fits(own.size.height);
                    assert_eq!(written.is_some(), has_room, "{number} of {columns} x {rows}");
                    if let Some(run) = written {
                        assert_near(run.origin.x + wide / 2.0, own.centre().x);
                        assert_near(run.origin.y, own.centre().y + size * 0.35);
                        let white = if at == index { Colour::WHITE } else { sheets.colours.quiet };
                        assert_eq!((run.size, run.colour), (size, white));
                    }
                }
            });
        }
    }
}

#[test]
fn of_very_many_sheets_only_the_charts_own_border_and_a_mark_that_can_be_seen_are_drawn() {
    let edition = plain(60.0, 90.0, 8.0, |edition| edition.running_head = false);
    let chart = block(60, 90, 1.0);
    sheet(&chart, &edition, 0, |drawn, sheets, _| {
        assert!(sheets.plan.sheets.len() > 500, "{}", sheets.plan.sheets.len());
        let (mark, all, lines) = map(drawn, sheets.colours.accent);
        assert_eq!(lines, 1);
        let own = Size::new(all.size.width / 60.0, all.size.height / 90.0);
        let (across, down) = (sheets.plan.sheets[0].columns.len() as f64, sheets.plan.sheets[0].rows.len() as f64);
        let own = Size::new(own.width * across, own.height * down);
        assert!(own.width.to_pt().min(own.height.to_pt()) < 2.0);
        let grown = Size::new(own.width.max(Length::pt(2.0)), own.height.max(Length::pt(2.0)));
        let corner = all.origin.moved((own.width - grown.width) / 2.0, (own.height - grown.height) / 2.0);
        assert_rect(mark, Rect { origin: corner, size: grown });
    });
}

#[test]
fn a_single_sheet_needs_no_map_and_large_print_numbers_it_as_large_as_notes() {
    let accent = |drawn: &Drawn, sheets: &ChartSheets| drawn.filled(sheets.colours.accent).len();
    let one = sheet(&block(5, 5, 1.0), &plain(300.0, 300.0, 8.0, |_| {}), 0, |drawn, sheets, _| accent(drawn, sheets));
    assert_eq!(one, 0);
    let edition = large(|edition| edition.chart.may_turn = false);
    let chart = block(30, 20, 1.0);
    assert_eq!(count(&chart, &edition), 2);
    sheet(&chart, &edition, 0, |drawn, sheets, setter| {
        let (mark, ..) = map(drawn, sheets.colours.accent);
        let inside = |run: &&&crate::page::TextRun| run.colour == Colour::WHITE && run.text == "1";
        let texts = drawn.texts();
        let number = texts.iter().find(inside).expect("its own number");
        assert_eq!(number.size, setter.style(StyleName::SheetNote).size);
        assert_near(number.origin.y, mark.centre().y + number.size * 0.35);
    });
}

//! Random charts of all sizes, shapes and palettes as finished files. Sizes are drawn evenly over their logarithms, so
//! that small ones, where things get in each other's way, are as frequent as large ones.
//!
//! `HITCHPRESS_CHARTS=500` asks for more of them than a usual run has, `HITCHPRESS_KEYS=200` for more whose keys are looked
//! for in every edition on every paper.

use crate::chart_sheets::samples_of;
use crate::finished::{Finished, made, order};
use crate::panel;
use hitchpress::catalogue::{EditionName, PaperName};
use hitchpress::chart::{Chart, Colour, YarnId};
use hitchpress::diag::Report;
use hitchpress::font::FontBook;
use hitchpress::geom::{Length, Rect};
use hitchpress::page::{Booklet, Item, TextRun};
use hitchpress::press::{Prepared, Settled, Wishes};
use hitchpress::project::{Ink, Project, Side};
use hitchpress::proof::Finding;
use hitchpress::source::Sources;

const USUAL: u64 = 24;
/// Beyond the usual ones, charts that `proof` once read wrongly: a last row of bare cells beside few columns of knots, and
/// sheets of bare cells alone under a key with counts of 0.
const ONCE_MISREAD: [u64; 2] = [109, 346];
/// Charts of more cells than this are composed as the chart alone.
const SMALL: usize = 900;
/// The same where nothing but keys is looked for.
const SMALL_FOR_KEYS: usize = 6_000;

/// Evenly over the logarithm.
fn log_uniform(rng: &mut fastrand::Rng, most: f64) -> usize {
    (rng.f64() * (most + 0.99).ln()).exp() as usize
}

/// Whether a place belongs to a panel with a shaped edge.
fn inside(shape: u8, x: f64, y: f64) -> bool {
    match shape {
        // Whole, in half of all charts.
        0..=4 => true,
        // An ellipse.
        5 => (x - 0.5) * (x - 0.5) + (y - 0.5) * (y - 0.5) <= 0.26,
        // A point at the bottom, and one at the top right.
        6 => (x - 0.5).abs() <= 0.5 * (1.0 - y) + 0.02,
        7 => x + y >= 0.7,
        // Steps down to the right.
        8 => y <= 0.4 + 0.2 * (x * 4.0).floor(),
        // A hole.
        _ => (x - 0.5).abs() > 0.2 || (y - 0.5).abs() > 0.2,
    }
}

fn random_project(rng: &mut fastrand::Rng) -> Project {
    let (columns, rows) = (log_uniform(rng, 300.0), log_uniform(rng, 400.0));
    let yarns = rng.u8(1..=32);
    let (shape, like_beside, like_above) = (rng.u8(0..10), rng.f64() * 0.95, rng.f64() * 0.95);
    let mut cells: Vec<Option<YarnId>> = Vec::with_capacity(columns * rows);
    let mut last = YarnId(0);
    for at in 0..columns * rows {
        let (x, y) = ((at % columns) as f64 + 0.5, (at / columns) as f64 + 0.5);
        let above = at.checked_sub(columns).and_then(|above| cells[above]);
        last = match above {
            _ if rng.f64() < like_beside => last,
            Some(above) if rng.f64() < like_above => above,
            _ => YarnId(rng.u8(0..yarns)),
        };
        cells.push(inside(shape, x / columns as f64, y / rows as f64).then_some(last));
    }
    if cells.iter().all(Option::is_none) {
        cells[0] = Some(YarnId(0));
    }
    let mut project = panel::panel(Chart::new(columns, cells).expect("whole rows"));
    // Yarns that no knot is tied with are a fault of their own; here every one up to the last in use may stand in the key.
    let names = ["oat", "creek teal", "afterglow pink of a long evening", "ink", "grey", "grey blue", "No. 5", "straw"];
    for (at, yarn) in project.palette.0.iter_mut().enumerate() {
        yarn.key = char::from_u32('A' as u32 + at as u32).expect("a letter");
        yarn.name = match at / names.len() {
            0 => names[at].to_owned(),
            round => format!("{} {round}", names[at % names.len()]),
        };
        yarn.colour = Colour::new(rng.u8(..), rng.u8(..), rng.u8(..));
    }
    project.working.header_rows = Some(2 * rng.usize(0..3));
    project.working.first_row_from = if rng.u8(0..4) == 0 { Side::Right } else { Side::Left };
    project
}

/// Where a run of text stands: from the height of its capitals and figures to its baseline.
fn area(run: &TextRun) -> Rect {
    let width: Length = run.glyphs.iter().map(|glyph| glyph.advance).sum();
    Rect::new(run.origin.x, run.origin.y - run.size * 0.66, width, run.size * 0.66)
}

/// Text that leaves its frame, or lies on other text or on the cells of the chart.
fn collisions(booklet: &Booklet) -> Vec<String> {
    let mut out = Vec::new();
    for (number, page) in booklet.pages.iter().enumerate() {
        let mut runs: Vec<(Rect, &str)> = Vec::new();
        let mut grids: Vec<Rect> = Vec::new();
        for frame in &page.frames {
            for placed in &frame.items {
                match &placed.item {
                    Item::Text(run) if !run.text.trim().is_empty() => {
                        let area = area(run);
                        // Ascenders of a first line may rise into the leading.
                        let middle =
                            Rect::new(area.left(), run.origin.y - run.size * 0.5, area.size.width, run.size * 0.5);
                        if !frame.area.holds(middle) {
                            out.push(format!("page {}: {:?} leaves its frame {}", number + 1, run.text, frame.name));
                        }
                        runs.push((area, run.text.as_str()));
                    }
                    Item::Cells(cells) => grids.push(Rect {
                        origin: cells.origin,
                        size: hitchpress::geom::Size::new(
                            cells.cell.width * cells.columns as f64,
                            cells.cell.height * cells.rows() as f64,
                        ),
                    }),
                    Item::Text(_)
                    | Item::Shape(_)
                    | Item::Drawing(_)
                    | Item::Picture(_)
                    | Item::Tick(_)
                    | Item::Blank(_)
                    | Item::Link(_) => {}
                }
            }
        }
        // From left to right, so that only neighbours have to be compared.
        runs.sort_by(|a, b| a.0.left().to_pt().total_cmp(&b.0.left().to_pt()));
        let slack = Length::pt(0.6);
        let meet = |a: &Rect, b: &Rect| {
            a.right() - slack > b.left()
                && b.right() - slack > a.left()
                && a.bottom() - slack > b.top()
                && b.bottom() - slack > a.top()
        };
        for (i, (a, first)) in runs.iter().enumerate() {
            let near = runs[i + 1..].iter().take_while(|(b, _)| b.left() < a.right());
            for (b, second) in near.filter(|(b, _)| meet(a, b)) {
                out.push(format!("page {}: {first:?} lies on {second:?} at {:?}", number + 1, b.origin));
            }
            if grids.iter().any(|grid| meet(a, grid)) {
                out.push(format!("page {}: {first:?} lies on cells", number + 1));
            }
        }
    }
    out
}

/// Sheets cover every knot, with cells of the least size that saves sheets, or more.
fn covered(of: &Finished) {
    let chart = &of.prepared.project.chart;
    let mut shown = vec![false; chart.cells().len()];
    let least = of.draft.variant.edition.chart.narrow_cell;
    for (page, first_row, first_column) in of.sheets() {
        let grid = of.grid(page).expect("a chart sheet");
        assert!(least.fits(grid.cell.height) && least.fits(grid.cell.width), "{:?}", grid.cell);
        for (at, ink) in grid.cells.iter().enumerate() {
            let place = (first_row + at / grid.columns) * chart.columns() + first_column + at % grid.columns;
            let want = chart.cells()[place].map(|yarn| yarn.0);
            assert_eq!(*ink, want, "row {}, column {}", place / chart.columns() + 1, place % chart.columns() + 1);
            shown[place] = true;
        }
    }
    let missing = shown.iter().zip(chart.cells()).filter(|(shown, cell)| !**shown && cell.is_some()).count();
    assert_eq!(missing, 0);
}

fn holds(of: &Finished, what: &str) {
    let report = of.proof(&of.bytes);
    let said: Vec<String> = report.findings.iter().take(5).map(Finding::sentence).collect();
    if !report.holds() {
        // To be looked at.
        let file = std::env::temp_dir().join(format!("{what}.pdf").replace(": ", " "));
        println!("{}: {:?}", file.display(), std::fs::write(&file, of.bytes.as_slice()));
    }
    assert!(report.holds(), "{what}: {said:#?}");
    assert!(report.tick_boxes >= of.prepared.project.chart.rows().min(1), "{what}");
    let collisions = collisions(&of.booklet);
    assert!(collisions.is_empty(), "{what}: {:#?}", &collisions[..collisions.len().min(5)]);
}

/// The key stands on every sheet: a sample at least for every yarn that is tied.
fn keyed(of: &Finished, what: &str) {
    let tied = of.prepared.workings.tally.yarns.iter().filter(|yarn| yarn.total() > 0).count();
    for (page, ..) in of.sheets() {
        let samples = samples_of(of, page);
        assert!(samples >= tied, "{what}, page {}: {samples} samples of {tied} yarns", page + 1);
    }
}

/// Ten at a time, so that several tests share the work.
fn charts_of(part: u64, parts: u64) {
    let count = std::env::var("HITCHPRESS_CHARTS").ok().and_then(|n| n.parse().ok()).unwrap_or(USUAL);
    for seed in (0..count).chain(ONCE_MISREAD).filter(|seed| seed % parts == part) {
        let mut rng = fastrand::Rng::with_seed(0xc4a7 + seed);
        let project = random_project(&mut rng);
        let chart = &project.chart;
        let paper = ["a4", "letter", "a5"][rng.usize(0..3)];
        let ink = [Ink::Saving, Ink::Full, Ink::SymbolsOnly][rng.usize(0..3)];
        let what = format!(
            "chart {seed}: {} x {}, {} yarns, {paper}, {ink:?}",
            chart.columns(),
            chart.rows(),
            project.palette.len()
        );
        println!("{what}");
        let order = |edition| order(edition, paper, ink);
        if chart.cells().len() <= SMALL {
            let booklet = made(project.clone(), order("booklet"), None);
            holds(&booklet, &format!("{what}, booklet"));
            keyed(&booklet, &format!("{what}, booklet"));
        }
        let of = made(project, order("chart"), None);
        if of.prepared.project.chart.cells().len() > 1 {
            covered(&of);
        }
        holds(&of, &what);
        keyed(&of, &what);
    }
}

#[test]
fn random_charts_are_covered_proved_and_free_of_collisions() {
    charts_of(0, 2);
}

#[test]
fn other_random_charts_are_covered_proved_and_free_of_collisions() {
    charts_of(1, 2);
}

/// Pages without a file; `None` where that edition is refused on that paper.
fn laid_out(project: Project, wishes: &Wishes, book: &FontBook) -> Option<Finished> {
    let Settled { manner, variant } = Settled::from(wishes, &project, &mut Sources::new(), &mut Report::new())?;
    let prepared = Prepared::new(project, manner);
    let draft = prepared.write(&variant);
    let booklet = draft.lay_out(book).ok()?;
    Some(Finished::new(prepared, draft, booklet))
}

fn keys_of(part: u64, parts: u64) {
    let count = std::env::var("HITCHPRESS_KEYS").ok().and_then(|n| n.parse().ok()).unwrap_or(2);
    let book = FontBook::shipped();
    let (mut laid, mut sheets) = (0, 0);
    let mut refused = Vec::new();
    for seed in (0..count).filter(|seed| seed % parts == part) {
        let project = random_project(&mut fastrand::Rng::with_seed(0x6e75 + seed));
        let cells = project.chart.cells().len();
        for edition in [EditionName::Chart, EditionName::Booklet, EditionName::LargePrint] {
            if edition != EditionName::Chart && cells > SMALL_FOR_KEYS {
                continue;
            }
            for paper in PaperName::ALL {
                let what = format!("chart {seed}, {} yarns, {edition}, {paper}", project.palette.len());
                let wishes = Wishes { edition: Some(edition), paper: Some(*paper), ..Wishes::default() };
                let Some(of) = laid_out(project.clone(), &wishes, &book) else {
                    refused.push(what);
                    continue;
                };
                (laid, sheets) = (laid + 1, sheets + of.sheets().len());
                keyed(&of, &what);
            }
        }
    }
    println!("{laid} booklets with {sheets} sheets; refused: {refused:?}");
    assert!(laid > refused.len(), "{refused:?}");
}

#[test]
fn the_key_stands_on_every_sheet_of_every_edition_and_paper() {
    keys_of(0, 2);
}

#[test]
fn the_key_stands_on_every_sheet_of_every_other_edition_and_paper() {
    keys_of(1, 2);
}

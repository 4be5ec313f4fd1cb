//! The chart is the picture: the lightness of a drawn cell follows the lightness of its yarn, in every ink and on every sheet,
//! measured on pages drawn by a renderer that shares no code with the writer.

mod measure;

use crate::finished::{Finished, finished, made, order, sample};
use crate::support::is_tried;
use hitchpress::colour::Colour;
use hitchpress::preview;
use hitchpress::project::{Ink, Project};
use measure::{Sheet, by_yarn, lightness, rank_correlation, wrong_pairs};

const SAMPLES: [&str; 3] = ["low-water-heron", "two-pears", "harbour-evening"];
const INKS: [Ink; 3] = [Ink::Saving, Ink::Full, Ink::SymbolsOnly];

/// All sheets of a finished file.
fn sheets(of: &Finished) -> Vec<Sheet> {
    of.sheets()
        .into_iter()
        .map(|(page, ..)| {
            let grid = of.grid(page).expect("a chart sheet");
            let wide = of.booklet.pages[page].trim.width.to_pt();
            let picture = preview::page(&of.bytes, page, measure::width(wide, grid)).expect("it can be drawn");
            measure::sheet(&picture, wide, grid)
        })
        .collect()
}

fn colours(project: &Project) -> Vec<Colour> {
    project.palette.iter().map(|(_, yarn)| yarn.colour).collect()
}

/// What must hold of drawn cells: no two yarns that differ by 8 in the wrong order, and ranks that agree. Every cell counts;
/// cells of one yarn differ only by the heavier lines and marks beside some of them, so each is taken as its yarn's mean.
fn assert_order(name: &str, colours: &[Colour], cells: &[(usize, f64)]) {
    let drawn = by_yarn(cells, colours.len());
    assert_eq!(wrong_pairs(colours, &drawn), [], "{name}");
    let own: Vec<f64> = colours.iter().map(|colour| colour.lab().l).collect();
    let pairs: Vec<(f64, f64)> = cells.iter().map(|(yarn, _)| (own[*yarn], drawn[*yarn].unwrap_or(0.0))).collect();
    let ranks = rank_correlation(&pairs);
    assert!(ranks >= 0.95, "{name}: {ranks:.4}");
}

/// The cells' mean ink and share of solid black before symbols carried the tone, own measurement with this measure of the
/// file that was written then: the sheets of the chart edition on A4, in pale tints.
const BEFORE: [(f64, f64); 3] = [(0.454, 0.260), (0.508, 0.313), (0.537, 0.310)];

#[test]
#[ignore = "dear: .ci/run runs it with --ignored"]
fn on_every_sheet_of_every_sample_light_yarns_are_light_and_dark_ones_dark() {
    for (n, (name, before)) in SAMPLES.into_iter().zip(BEFORE).enumerate() {
        for (_, ink) in INKS.into_iter().enumerate().filter(|(i, _)| is_tried(n + i, 2)) {
            let of = finished(name, "chart", "a4", ink);
            let colours = colours(&of.prepared.project);
            let own: Vec<f64> = colours.iter().map(|colour| colour.lab().l).collect();
            let sheets = sheets(&of);
            for sheet in &sheets {
                assert_order(&format!("{name} {ink:?}"), &colours, &sheet.cells);
            }
            let all: Vec<(usize, f64)> = sheets.iter().flat_map(|sheet| sheet.cells.clone()).collect();
            assert_order(&format!("{name} {ink:?}"), &colours, &all);
            let drawn = by_yarn(&all, own.len());
            let of_area = |get: &dyn Fn(&Sheet) -> f64| {
                sheets.iter().map(|s| get(s) * s.cells.len() as f64).sum::<f64>() / all.len() as f64
            };
            let (inked, black) = (of_area(&|s| s.ink), of_area(&|s| s.black));
            let raw: Vec<(f64, f64)> = all.iter().map(|(yarn, y)| (own[*yarn], *y)).collect();
            println!("{name} {ink:?}: ink {inked:.3}, black {black:.3}, cell by cell {:.3}", rank_correlation(&raw));
            for (yarn, own) in own.iter().enumerate() {
                let drawn = drawn[yarn].map(lightness).expect("it is used");
                println!("   {own:5.1} {drawn:5.1}");
                // In full ink a cell's mean is its yarn's.
                assert!(ink != Ink::Full || (drawn - own).abs() <= 10.0, "{name}: {own} drawn as {drawn}");
            }
            match ink {
                Ink::Saving => {
                    assert!(inked <= before.0 && black * 2.0 < before.1, "{name}: {inked:.3}, {black:.3}");
                }
                Ink::SymbolsOnly => {
                    let inks = || drawn.iter().flatten().map(|light| 1.0 - light);
                    let (least, most) = (inks().fold(1.0, f64::min), inks().fold(0.0, f64::max));
                    assert!(least <= 0.06 && most >= 0.45, "{name}: {least:.3} to {most:.3}");
                }
                Ink::Full => {}
            }
        }
    }
}

/// Random palettes in the usual run; `HITCHPRESS_PALETTES` sets another number.
const USUAL_PALETTES: usize = 40;

/// Columns and rows of a yarn's cells in a chart of a random palette.
const BLOCK: (usize, usize) = (2, 4);

/// A project with so many random yarns, side by side. Each has a few rows, so that as in any panel most of its cells have no
/// mark for a length that starts or ends.
fn random_palette(count: usize, random: &mut fastrand::Rng) -> Project {
    let mut project = sample("two-pears");
    let yarn = project.palette.0[0].clone();
    project.palette.0 = (0..count)
        .map(|at| {
            let mut yarn = yarn.clone();
            yarn.key = char::from_u32('A' as u32 + at as u32).expect("a letter");
            yarn.name = format!("yarn {at}");
            yarn.colour = Colour::new(random.u8(..), random.u8(..), random.u8(..));
            yarn
        })
        .collect();
    let row = (0..count * BLOCK.0).map(|column| Some(hitchpress::chart::YarnId((column / BLOCK.0) as u8)));
    let cells = (0..BLOCK.1).flat_map(|_| row.clone()).collect();
    project.chart = hitchpress::chart::Chart::new(count * BLOCK.0, cells).expect("rows");
    project
}

/// Draws every second of so many palettes, from `first` on; the least rank correlation of a palette.
fn palettes(first: usize, count: usize) -> f64 {
    let mut random = fastrand::Rng::with_seed(32 + first as u64);
    let mut worst = 1.0_f64;
    for round in (first..count).step_by(2) {
        let project = random_palette(2 + round % 31, &mut random);
        let colours = colours(&project);
        let own: Vec<f64> = colours.iter().map(|colour| colour.lab().l).collect();
        let ink = INKS[round % 3];
        let of = made(project, order("chart", "a4", ink), None);
        let cells: Vec<(usize, f64)> = sheets(&of).into_iter().flat_map(|sheet| sheet.cells).collect();
        assert_order(&format!("palette {round} {ink:?} {own:?}"), &colours, &cells);
        let pairs: Vec<(f64, f64)> =
            by_yarn(&cells, own.len()).iter().zip(&own).filter_map(|(drawn, own)| Some((*own, (*drawn)?))).collect();
        worst = worst.min(rank_correlation(&pairs));
        for (own, drawn) in pairs.iter().filter(|_| ink == Ink::Full) {
            assert!((lightness(*drawn) - own).abs() <= 10.0, "palette {round}: {own} drawn as {}", lightness(*drawn));
        }
    }
    worst
}

#[test]
fn random_palettes_are_drawn_in_the_order_of_their_lightness() {
    let count = std::env::var("HITCHPRESS_PALETTES").ok().map_or(USUAL_PALETTES, |n| n.parse().expect("a number"));
    let worst = std::thread::scope(|scope| {
        let halves = [0, 1].map(|first| scope.spawn(move || palettes(first, count)));
        halves.map(|half| half.join().expect("it ends")).into_iter().fold(1.0, f64::min)
    });
    println!("least rank correlation of a palette: {worst:.4}");
}

#[test]
fn the_measures_find_a_chart_that_is_not_its_picture() {
    // Own computation: the ranks of three in reverse order.
    assert!((rank_correlation(&[(1.0, 3.0), (2.0, 2.0), (3.0, 1.0)]) + 1.0).abs() < 1e-9);
    // Two of four exchanged: 1 - 6 x 2 / (4 x 15) = 0.8.
    assert!((rank_correlation(&[(1.0, 1.0), (2.0, 3.0), (3.0, 2.0), (4.0, 4.0)]) - 0.8).abs() < 1e-9);
    let [dark, light] = [Colour::new(30, 30, 30), Colour::new(220, 220, 220)];
    assert_eq!(wrong_pairs(&[dark, light], &[Some(0.5), Some(0.4)]), [(1, 0)]);
    // The yarns of a file told by the wrong palette.
    let of = finished("low-water-heron", "chart", "a4", Ink::SymbolsOnly);
    let mut turned = colours(&of.prepared.project);
    turned.reverse();
    let cells: Vec<(usize, f64)> = sheets(&of).into_iter().flat_map(|sheet| sheet.cells).collect();
    assert!(!wrong_pairs(&turned, &by_yarn(&cells, turned.len())).is_empty());
}

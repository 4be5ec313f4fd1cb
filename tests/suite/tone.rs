//! The chart is the picture: the lightness of a drawn cell follows the lightness of its yarn, in every ink.

mod measure;

use crate::finished::{Finished, finished};
use hitchpress::colour::Colour;
use hitchpress::preview;
use hitchpress::project::Ink;
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

fn colours(of: &Finished) -> Vec<Colour> {
    of.project.palette.iter().map(|(_, yarn)| yarn.colour).collect()
}

#[test]
fn figures() {
    for name in SAMPLES {
        for ink in INKS {
            let of = finished(name, "chart", "a4", ink);
            let colours = colours(&of);
            let own: Vec<f64> = colours.iter().map(|colour| colour.lab().l).collect();
            let sheets = sheets(&of);
            let all: Vec<(usize, f64)> = sheets.iter().flat_map(|sheet| sheet.cells.clone()).collect();
            let drawn = by_yarn(&all, own.len());
            let raw: Vec<(f64, f64)> = all.iter().map(|(yarn, y)| (own[*yarn], *y)).collect();
            let mean: Vec<(f64, f64)> = all.iter().map(|(yarn, _)| (own[*yarn], drawn[*yarn].unwrap_or(0.0))).collect();
            let one: Vec<(f64, f64)> = (0..own.len()).filter_map(|yarn| Some((own[yarn], drawn[yarn]?))).collect();
            let of_area = |get: &dyn Fn(&Sheet) -> f64| {
                sheets.iter().map(|s| get(s) * s.cells.len() as f64).sum::<f64>() / all.len() as f64
            };
            println!(
                "{name} {ink:?}: raw {:.3} by yarn {:.3} one a yarn {:.3}, {} pairs wrong, ink {:.3}, black {:.3}",
                rank_correlation(&raw),
                rank_correlation(&mean),
                rank_correlation(&one),
                sheets.iter().map(|s| wrong_pairs(&colours, &by_yarn(&s.cells, own.len())).len()).max().unwrap_or(0),
                of_area(&|s| s.ink),
                of_area(&|s| s.black),
            );
            for (yarn, own) in own.iter().enumerate() {
                println!("   {own:5.1} {:5.1}", drawn[yarn].map_or(0.0, lightness));
            }
        }
    }
}

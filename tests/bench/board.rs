//! What follows one stroke on the board, stage by stage: the change of the chart's text, reading the project, the reckoning,
//! advice, symbols and words, and the page in sight of the booklet. Goals, in milliseconds: figures and advice in 30 on
//! 60 x 84 and in 150 on 200 x 300, the page in sight in 100 and 300.

use criterion::{BenchmarkId, Criterion, criterion_group, criterion_main};
use hitchpress::diag::Report;
use hitchpress::edit::{Grid, chart_text};
use hitchpress::catalogue::FrameName;
use hitchpress::font::FontBook;
use hitchpress::page::{Booklet, Page};
use hitchpress::press::{self, Wishes};
use hitchpress::project::{self, Project};
use hitchpress::source::Sources;
use hitchpress::words::Words;
use hitchpress::{advice, picture, workings};
use std::path::Path;

/// Twelve yarns, as in the other charts here.
const LETTERS: &str = "abcdefghijkl";

fn text() -> String {
    let mut text = "format = 1\ntitle = \"Hills\"\nmaker = \"Ada Example\"\ndate = 2026-03-01\nchart = \"chart.txt\"\n\
                    cord = { diameter = \"3 mm\" }\nworking = { header-rows = 8 }\n"
        .to_owned();
    for (at, letter) in LETTERS.chars().enumerate() {
        let (red, green, blue) = (at * 20 + 10, 250 - at * 18, (at * 90) % 250);
        text.push_str(&format!(
            "[[yarn]]\nkey = \"{letter}\"\nname = \"yarn {letter}\"\ncolour = \"#{red:02x}{green:02x}{blue:02x}\"\n\
             wraps-per-inch = 10\n"
        ));
    }
    text
}

fn chart(columns: usize, rows: usize) -> String {
    let chart = charts::picture(columns, rows, 12);
    let letters: Vec<char> = LETTERS.chars().collect();
    let cells = chart.cells().iter().map(|cell| cell.map_or('.', |yarn| letters[usize::from(yarn.0)])).collect();
    chart_text::fresh(&Grid::new(columns, cells).expect("whole rows"))
}

fn load(chart: &str, report: &mut Report) -> Project {
    let mut sources = Sources::in_memory();
    sources.lay_over("panel/project.toml".into(), text().into_bytes());
    sources.lay_over("panel/chart.txt".into(), chart.as_bytes().to_vec());
    project::load(Path::new("panel"), &mut sources, report).expect("a project")
}

fn stroke(criterion: &mut Criterion) {
    let book = FontBook::shipped();
    for (columns, rows) in [(60, 84), (200, 300)] {
        let mut group = criterion.benchmark_group(format!("one stroke, {columns} x {rows}"));
        group.sample_size(10);
        let before = chart(columns, rows);
        let mut measure = |name: &str, stage: &mut dyn FnMut()| {
            group.bench_function(BenchmarkId::from_parameter(name), |bench| bench.iter(&mut *stage));
        };
        let painted = || {
            let mut cells = chart_text::read(&before).expect("a grid").cells().to_vec();
            cells[columns + 1] = 'a';
            chart_text::write(&before, &Grid::new(columns, cells).expect("whole rows"))
        };
        measure("the chart's text", &mut || drop(painted()));
        let after = painted();
        measure("reading the project", &mut || drop(load(&after, &mut Report::new())));
        let project = load(&after, &mut Report::new());
        measure("the reckoning", &mut || drop(workings::work_out(&project)));
        let reckoned = workings::work_out(&project);
        measure("advice", &mut || drop(advice::advise(&project, &reckoned)));
        measure("the symbols", &mut || drop(press::symbols(&project)));
        measure("the words", &mut || drop(Words::shipped("de-DE").expect("words")));
        measure("figures and advice, all of it", &mut || {
            let project = load(&painted(), &mut Report::new());
            let reckoned = workings::work_out(&project);
            drop(advice::advise(&project, &reckoned));
            drop((press::symbols(&project), Words::shipped("de-DE")));
        });
        let lay_out = || {
            let (mut sources, mut report) = (Sources::new(), Report::new());
            let opened = press::variant_of(&project, &reckoned, &Wishes::default(), &mut sources, &mut report);
            let (prepared, variant) = opened.expect("no faults");
            press::lay_out(&prepared, &prepared.write(&variant), &book, &mut report).expect("pages")
        };
        let sheet = |booklet: &Booklet| {
            let is_sheet = |page: &Page| page.frames.iter().any(|frame| frame.name == FrameName::Chart);
            booklet.pages.iter().position(is_sheet).expect("a sheet of the chart")
        };
        let draw = |booklet: &Booklet, number: usize| {
            picture::png(&press::pictures::page(booklet, &book, number, 440).expect("a page")).expect("packed")
        };
        measure("laying out the booklet", &mut || drop(lay_out()));
        let booklet = lay_out();
        measure("drawing the cover", &mut || drop(draw(&booklet, 0)));
        measure("drawing a sheet of the chart", &mut || drop(draw(&booklet, sheet(&booklet))));
        measure("the page in sight, all of it", &mut || {
            let booklet = lay_out();
            drop(draw(&booklet, sheet(&booklet)));
        });
        group.finish();
    }
}

criterion_group!(benches, stroke);
criterion_main!(benches);

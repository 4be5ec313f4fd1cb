//! At a glance: the measures of the panel in a few lines.

use super::cover::size;
use super::pen::Pen;
use super::{Block, Section, Text, own_words, plain};
use crate::project::{BottomFinish, Level, Units};
use crate::words::measures::Kind;
use crate::workings::GaugeFrom;

/// Millimetres in the four inches that gauge is given over.
const FOUR_INCHES_MM: f64 = 101.6;

pub(super) fn at_a_glance(pen: &Pen) -> Section {
    let (project, workings, words) = (pen.project, pen.workings, pen.words);
    let mut facts: Vec<(Text, Text)> = Vec::new();
    let mut fact = |key: &str, value: Text| facts.push((pen.text(key, &[]), value));

    fact("glance.level", pen.text(level_key(project.about.level), &[]));
    fact("glance.size", plain(size_words(pen)));
    fact("glance.chart", chart_words(pen));
    let chart = words.count("count.knots", workings.tally.chart, &[]);
    fact(
        "glance.knots",
        match workings.tally.header {
            0 => plain(chart),
            n => pen.text("glance.knots-header", &[("chart", &chart), ("header", &words.whole(n))]),
        },
    );
    let yarns = words.count("count.yarns", project.palette.len(), &[]);
    fact("glance.yarns", pen.text("glance.yarns-list", &[("count", &yarns), ("list", &pen.yarn_list())]));
    fact("glance.cord", cord_words(pen));
    let gauge = &workings.gauge;
    fact("glance.gauge-across", gauge_words(pen, gauge.column_mm, Way::Across));
    fact("glance.gauge-down", gauge_words(pen, gauge.row_mm, Way::Down));
    let mass = pen.measures.both(Kind::Mass, pen.panel_g());
    fact("glance.weight", pen.text("glance.weight-words", &[("mass", &mass)]));
    if let Some(time) = &workings.time {
        let (from, to) = pen.hours(time);
        fact("glance.time", pen.text("glance.time-words", &[("from", &from), ("to", &to)]));
    }
    let shown = pen.has("techniques");
    fact("glance.need", pen.text(if shown { "glance.need-words" } else { "glance.need-words-alone" }, &[]));

    let mut blocks = Vec::new();
    if let Some(introduction) = &project.about.introduction {
        blocks.extend(own_words::in_own_language(pen, own_words::blocks(introduction)));
    }
    blocks.push(Block::Facts(facts));
    let measured = gauge.column_from != GaugeFrom::Model
        && gauge.row_from != GaugeFrom::Model
        && gauge.yarns.iter().all(|yarn| yarn.from != GaugeFrom::Model);
    blocks.push(if measured {
        pen.sent_to("note", "own-gauge", "glance.measured-page", "glance.measured")
    } else {
        pen.sent_to("note", "own-gauge", "glance.reckoned-page", "glance.reckoned")
    });
    Section { id: "at-a-glance".into(), title: Some(pen.say("glance.title", &[])), blocks }
}

fn size_words(pen: &Pen) -> String {
    let size = size(pen);
    match pen.project.bottom.finish {
        BottomFinish::Fringe => {
            let bottom = pen.measures.both(Kind::Size, pen.workings.size.fringe_mm);
            pen.say("glance.size-with-bottom", &[("size", &size), ("bottom", &bottom)])
        }
        BottomFinish::Trimmed | BottomFinish::FoldedBack => size,
    }
}

fn chart_words(pen: &Pen) -> Text {
    let columns = pen.words.count("count.columns", pen.project.chart.columns(), &[]);
    let rows = pen.words.count("count.rows", pen.project.chart.rows(), &[]);
    match pen.workings.header.rows {
        0 => pen.text("glance.chart-size", &[("columns", &columns), ("rows", &rows)]),
        n => {
            let header = pen.words.count("count.rows", n, &[]);
            pen.text("glance.chart-size-header", &[("columns", &columns), ("rows", &rows), ("header", &header)])
        }
    }
}

fn cord_words(pen: &Pen) -> Text {
    let cords = &pen.workings.cords;
    let diameter = pen.measures.both(Kind::Fine, pen.project.cord.diameter_mm);
    let folded = pen.words.count("count.cords", cords.folded.count, &[]);
    match (&cords.single, cords.folded.count) {
        (Some(_), 0) => pen.text("glance.cord-single-only", &[("diameter", &diameter)]),
        (Some(_), _) => pen.text("glance.cord-and-single", &[("count", &folded), ("diameter", &diameter)]),
        (None, _) => pen.text("glance.cord-words", &[("count", &folded), ("diameter", &diameter)]),
    }
}

/// Across the panel or down it.
enum Way {
    Across,
    Down,
}

/// How many go into 10 cm and into 4 in, the maker's system first.
fn gauge_words(pen: &Pen, pitch_mm: f64, way: Way) -> Text {
    let metric = pen.words.decimal(100.0 / pitch_mm, 1);
    let imperial = pen.words.decimal(FOUR_INCHES_MM / pitch_mm, 1);
    let key = match (way, pen.project.about.units) {
        (Way::Across, Units::Metric) => "glance.gauge-across-words",
        (Way::Across, Units::Imperial) => "glance.gauge-across-words-imperial",
        (Way::Down, Units::Metric) => "glance.gauge-down-words",
        (Way::Down, Units::Imperial) => "glance.gauge-down-words-imperial",
    };
    pen.text(key, &[("metric", &metric), ("imperial", &imperial)])
}

fn level_key(level: Level) -> &'static str {
    match level {
        Level::Basic => "glance.basic",
        Level::Easy => "glance.easy",
        Level::Intermediate => "glance.intermediate",
        Level::Complex => "glance.complex",
    }
}

//! At a glance: the measures of the panel in a few lines.

use super::context::WriteContext;
use super::cover::named_size;
use super::own_words::{OwnName, with_names};
use super::using::with_address;
use super::{Block, CodeBlock, Section, Text, colourway_words, own_words, plain};
use crate::catalogue::{SectionName, StyleName};
use crate::project::{BottomFinish, Level, OwnText, Units, address_target, shown_address};
use crate::words::measures::MeasureKind;
use crate::workings::GaugeFrom;

/// Millimetres in the four inches that gauge is given over.
const FOUR_INCHES_MM: f64 = 101.6;

pub(super) fn at_a_glance(context: &WriteContext) -> Section {
    let (project, workings, words) = (context.project, context.workings, context.words);
    let mut facts: Vec<(Text, Text)> = Vec::new();
    let mut fact = |key: &str, value: Text| facts.push((context.text(key, &[]), value));

    fact("glance.level", context.text(level_key(project.about.level), &[]));
    fact("glance.size", plain(size_words(context)));
    fact("glance.chart", chart_words(context));
    let chart = words.count("count.knots", workings.tally.chart, &[]);
    fact(
        "glance.knots",
        match workings.tally.header {
            0 => plain(chart),
            n => context.text("glance.knots-header", &[("chart", &chart), ("header", &words.whole(n))]),
        },
    );
    let yarns = words.count("count.yarns", project.palette.len(), &[]);
    fact("glance.yarns", yarns_list(context, &yarns));
    if project.is_for_all_colourways() {
        fact("colourways.glance", plain(colourway_words::list(context)));
    }
    fact("glance.cord", cord_words(context));
    let gauge = &workings.gauge;
    fact("glance.gauge-across", gauge_words(context, gauge.column_mm, PanelDirection::Across));
    fact("glance.gauge-down", gauge_words(context, gauge.row_mm, PanelDirection::Down));
    let mass = context.measures.both(MeasureKind::Mass, context.panel_g());
    fact("glance.weight", context.text("glance.weight-words", &[("mass", &mass)]));
    if let Some(time) = &workings.time {
        let (from, to) = context.hours(time);
        fact("glance.time", context.text("glance.time-words", &[("from", &from), ("to", &to)]));
    }
    let shown = context.has(SectionName::Techniques);
    fact("glance.need", context.text(if shown { "glance.need-words" } else { "glance.need-words-alone" }, &[]));

    let mut blocks = Vec::new();
    if let Some(introduction) = &project.about.introduction {
        blocks.extend(own_words::in_its_language(
            context,
            &OwnText::Introduction,
            own_words::blocks(context, introduction),
        ));
    }
    blocks.push(Block::Facts(facts));
    let measured = gauge.column_from != GaugeFrom::Model
        && gauge.row_from != GaugeFrom::Model
        && gauge.yarns.iter().all(|yarn| yarn.from != GaugeFrom::Model);
    let small = super::swatch::swatch(context).is_none();
    let (on_page, alone) = match (measured, small) {
        (true, false) => ("glance.measured-page", "glance.measured"),
        (true, true) => ("glance.measured", "glance.measured"),
        (false, false) => ("glance.reckoned-page", "glance.reckoned"),
        (false, true) => ("glance.reckoned-small-page", "glance.reckoned"),
    };
    blocks.push(match on_page == alone {
        true => context.paragraph(StyleName::Note, alone, &[]),
        false => context.sent_to(StyleName::Note, SectionName::OwnGauge, on_page, alone),
    });
    let codes = codes(context);
    if !codes.is_empty() {
        blocks.push(Block::Codes(codes));
    }
    Section { id: SectionName::AtAGlance, title: Some(context.say("glance.title", &[])), blocks }
}

/// How many yarns there are, and their names.
fn yarns_list(context: &WriteContext, count: &str) -> Text {
    let text = context.text("glance.yarns-list", &[("count", &count), ("list", &context.yarn_list())]);
    with_names(context, text, context.project.palette.iter().map(|(_, yarn)| OwnName::Name(&yarn.name)))
}

/// What somebody wants to know before she buys: level, size, chart, yarns, time, and what she must be able to do.
pub(super) fn facts_of_listing(context: &WriteContext) -> Vec<(Text, Text)> {
    let (project, workings) = (context.project, context.workings);
    let yarns = context.words.count("count.yarns", project.palette.len(), &[]);
    let level = (context.text("glance.level", &[]), context.text(level_key(project.about.level), &[]));
    let mut facts = vec![("glance.yarns", yarns_list(context, &yarns))];
    if let Some(time) = &workings.time {
        let (from, to) = context.hours(time);
        facts.push(("glance.time", context.text("glance.time-words", &[("from", &from), ("to", &to)])));
    }
    facts.push(("glance.need", context.text("glance.need-words-alone", &[])));
    let facts = facts.into_iter().map(|(key, value)| (context.text(key, &[]), value));
    std::iter::once(level).chain(size_facts(context)).chain(facts).collect()
}

/// How many of [`facts_of_listing`] stand before and among those of size.
pub(super) const AFTER_SIZE: usize = 3;

/// Its size, finished and in knots.
pub(super) fn size_facts(context: &WriteContext) -> [(Text, Text); 2] {
    let size = (context.text("glance.size", &[]), plain(size_words(context)));
    [size, (context.text("glance.chart", &[]), chart_words(context))]
}

/// The maker's video and the page of corrections, to be opened with a phone.
fn codes(context: &WriteContext) -> Vec<CodeBlock> {
    let about = &context.project.about;
    [("glance.video", "link.video", &about.video), ("glance.corrections", "link.errata", &about.errata)]
        .into_iter()
        .filter_map(|(key, what, address)| {
            let address = address.as_deref()?;
            Some(CodeBlock {
                address: address_target(address),
                words: with_address(context, key, "address", address, what),
                alt: context.say("glance.code-alt", &[("address", &shown_address(address))]),
            })
        })
        .collect()
}

fn size_words(context: &WriteContext) -> String {
    let size = named_size(context);
    match context.project.bottom.finish {
        BottomFinish::Fringe => {
            let bottom = context.measures.both(MeasureKind::Size, context.workings.size.fringe_mm);
            context.say("glance.size-with-bottom", &[("size", &size), ("bottom", &bottom)])
        }
        BottomFinish::Trimmed | BottomFinish::FoldedBack => size,
    }
}

fn chart_words(context: &WriteContext) -> Text {
    let columns = context.words.count("count.columns", context.project.chart.columns(), &[]);
    let rows = context.words.count("count.rows", context.project.chart.rows(), &[]);
    match context.workings.header.rows {
        0 => context.text("glance.chart-size", &[("columns", &columns), ("rows", &rows)]),
        n => {
            let header = context.words.count("count.rows", n, &[]);
            context.text("glance.chart-size-header", &[("columns", &columns), ("rows", &rows), ("header", &header)])
        }
    }
}

fn cord_words(context: &WriteContext) -> Text {
    let cords = &context.workings.cords;
    let diameter = context.measures.both(MeasureKind::Fine, context.project.cord.diameter_mm);
    let folded = context.words.count("count.cords", cords.folded.count, &[]);
    match (&cords.single, cords.folded.count) {
        (Some(_), 0) => context.text("glance.cord-single-only", &[("diameter", &diameter)]),
        (Some(_), _) => context.text("glance.cord-and-single", &[("count", &folded), ("diameter", &diameter)]),
        (None, _) => context.text("glance.cord-words", &[("count", &folded), ("diameter", &diameter)]),
    }
}

/// Across the panel or down it.
enum PanelDirection {
    Across,
    Down,
}

/// How many go into 10 cm and into 4 in, the maker's system first.
fn gauge_words(context: &WriteContext, pitch_mm: f64, way: PanelDirection) -> Text {
    let metric = context.words.decimal(100.0 / pitch_mm, 1);
    let imperial = context.words.decimal(FOUR_INCHES_MM / pitch_mm, 1);
    let key = match (way, context.project.about.units) {
        (PanelDirection::Across, Units::Metric) => "glance.gauge-across-words",
        (PanelDirection::Across, Units::Imperial) => "glance.gauge-across-words-imperial",
        (PanelDirection::Down, Units::Metric) => "glance.gauge-down-words",
        (PanelDirection::Down, Units::Imperial) => "glance.gauge-down-words-imperial",
    };
    context.text(key, &[("metric", &metric), ("imperial", &imperial)])
}

fn level_key(level: Level) -> &'static str {
    match level {
        Level::Basic => "glance.basic",
        Level::Easy => "glance.easy",
        Level::Intermediate => "glance.intermediate",
        Level::Complex => "glance.complex",
    }
}

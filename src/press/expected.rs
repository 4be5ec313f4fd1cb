//! What proof looks for in a finished file, taken from the draft that it was made from.

use super::prepared::Draft;
use crate::geom::Length;
use crate::manuscript::{Block, Inline, Manuscript, Text, WrittenRow};
use crate::project::Project;
use crate::proof::{Expectations, ExpectedLine, ExpectedRow, ExpectedYarn, SheetWords};

/// What a file composed from this draft must say.
pub(super) fn expected<'a>(project: &'a Project, draft: &Draft) -> Expectations<'a> {
    let Draft { manuscript, variant } = draft;
    let edition = &variant.edition;
    let blocks = || manuscript.sections.iter().flat_map(|s| &s.blocks);
    let chart = blocks().find_map(|b| match b {
        Block::Chart(chart) => Some(chart.as_ref()),
        _ => None,
    });
    let written: Vec<&WrittenRow> = blocks()
        .filter_map(|b| match b {
            Block::Rows(rows) => Some(rows),
            Block::Chart(chart) => Some(&chart.alongside),
            _ => None,
        })
        .flatten()
        .collect();
    let is_header = |field: &str| chart.is_none_or(|c| c.rows.iter().all(|r| r.field != field));
    let row = |row: &WrittenRow| ExpectedRow {
        number: row.number.clone(),
        field: row.field.clone(),
        sentence: words_of(&row.sentence),
        spoken: row.spoken.clone(),
    };
    let rows = match (written.is_empty(), chart) {
        (false, _) => written.iter().filter(|r| !is_header(&r.field)).map(|r| row(r)).collect(),
        (true, Some(chart)) => chart
            .rows
            .iter()
            .map(|r| ExpectedRow {
                number: r.number.clone(),
                field: r.field.clone(),
                // A long row's sentence stands nowhere in this edition.
                sentence: if r.is_long { String::new() } else { r.spoken.to_string() },
                spoken: r.spoken.to_string(),
            })
            .collect(),
        (true, None) => Vec::new(),
    };
    let size = edition.paper.size;
    Expectations {
        project,
        paper: Some((size.width.to_pt(), size.height.to_pt())),
        bleed: edition.bleed.to_pt(),
        chart: chart.is_some(),
        fields: edition.bleed <= Length::ZERO,
        run_counts: edition.chart.run_counts,
        header_rows: written.iter().filter(|r| is_header(&r.field)).map(|r| row(r)).collect(),
        written: !written.is_empty(),
        rows,
        key: chart
            .map(|c| c.yarns.iter().map(|y| ExpectedYarn { name: y.name.clone(), count: y.count.clone() }).collect())
            .unwrap_or_default(),
        sheet: chart
            .map(|c| SheetWords {
                columns: c.words.columns.clone(),
                rows: c.words.rows.clone(),
                key_page: c.words.key_page.clone(),
            })
            .unwrap_or_default(),
        lines: lines_of(manuscript),
    }
}

/// What tables and lists of a manuscript say, for proof to look for: every line with a box, and every cell of a table beside
/// the first of its row.
fn lines_of(manuscript: &Manuscript) -> Vec<ExpectedLine> {
    let mut out = Vec::new();
    for section in &manuscript.sections {
        let what = |kind: &str| format!("{kind} in the section `{}`", section.title.as_deref().unwrap_or(&section.id));
        let mut say = |kind: &str, text: &Text, beside: &str| {
            // A page number is filled in only when the pages are made up.
            let words = words_of(text);
            if !words.trim().is_empty() && !text.iter().any(|inline| matches!(inline, Inline::PageOf(_))) {
                out.push(ExpectedLine { what: what(kind), words, beside: beside.to_owned() });
            }
        };
        for block in &section.blocks {
            match block {
                Block::Ticks(lines) => lines.iter().for_each(|line| say("a line", &line.text, "")),
                Block::Facts(facts) => {
                    for (name, value) in facts {
                        say("a value", value, &words_of(name));
                    }
                }
                Block::Table(table) => {
                    for row in &table.rows {
                        let head = row.first().filter(|_| table.row_heads).map(|cell| words_of(&cell.text));
                        for (column, cell) in row.iter().enumerate() {
                            let beside = if column == 0 { "" } else { head.as_deref().unwrap_or("") };
                            say("a table's cell", &cell.text, beside);
                        }
                    }
                }
                Block::Heading(..)
                | Block::Paragraph(..)
                | Block::Steps(_)
                | Block::Bullets(_)
                | Block::Caution(_)
                | Block::Figure(_)
                | Block::HungPanel(_)
                | Block::AsKnotted(_)
                | Block::Picture { .. }
                | Block::Snips(_)
                | Block::Chart(_)
                | Block::Rows(_)
                | Block::Ruler { .. }
                | Block::FillIn(_)
                | Block::Contents
                | Block::NewPage
                | Block::InLanguage(..) => {}
            }
        }
    }
    out
}

fn words_of(text: &Text) -> String {
    text.iter()
        .map(|inline| match inline {
            Inline::Plain(t) | Inline::Strong(t) | Inline::Italic(t) | Inline::Address(t, _) => t.as_str(),
            Inline::PageOf(_) | Inline::Symbol(_) => "",
        })
        .collect()
}

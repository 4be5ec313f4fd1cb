//! What is remembered of an edition, so that the next one can be held against it: the chart, the yarns, and every amount in
//! the words in which the booklet gives it.

use super::colourways::lettered;
use super::context::WriteContext;
use super::options::WriteOptions;
use super::{Block, Inline, Section, Text, colourways, cutting, glance, materials, pasted::plain_spaces};
use crate::catalogue::SectionName;
use crate::chart::Row;
use crate::markup::unmarked;
use crate::project::{Project, Side, Units};
use crate::words::Words;
use crate::workings::{Workings, work_out};
use serde::{Deserialize, Serialize};

/// An edition as it is remembered.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub(crate) struct Record {
    /// The maker's version: "1.0".
    pub(crate) version: String,
    /// Version and date in words: "Version 1.0, 3 October 2026".
    pub(crate) edition: String,
    /// Language and system of measures, without which amounts in words cannot be compared: "en-GB metric".
    pub(crate) speech: String,
    /// Whether row 1 starts at the right.
    pub(crate) from_right: bool,
    /// The chart: one text a row from the top, one letter a cell, a full stop for a bare one.
    pub(crate) rows: Vec<String>,
    /// The yarns in the project's order.
    pub(crate) yarns: Vec<RecordedYarn>,
    /// What the booklet says of sizes, materials and pieces to cut.
    pub(crate) facts: Vec<Fact>,
    /// The other sizes.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub(crate) sizes: Vec<RecordedSize>,
}

/// Another size as it is remembered.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub(crate) struct RecordedSize {
    /// Its name.
    pub(crate) name: String,
    /// The rest of it.
    pub(crate) record: Record,
}

/// A yarn as it is remembered.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub(crate) struct RecordedYarn {
    /// Its letter in [`Record::rows`].
    pub(crate) key: char,
    /// Its name.
    pub(crate) name: String,
    /// Its colour: "#233a5c".
    pub(crate) colour: String,
}

/// One thing that the booklet states.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub(crate) struct Fact {
    /// What it is about, in the booklet's words; empty where the statement speaks for itself.
    pub(crate) of: String,
    /// What is said of it.
    pub(crate) is: String,
    /// Tells it from the others.
    pub(crate) id: String,
}

impl Record {
    /// Remembers an edition.
    pub(crate) fn new(project: &Project, workings: &Workings, words: &Words) -> Record {
        let options = WriteOptions::default();
        let measures = words.measures(project.about.units);
        let context = WriteContext { project, workings, words, measures, options: &options };
        let about = &project.about;
        let units = match about.units {
            Units::Metric => "metric",
            Units::Imperial => "imperial",
        };
        let letter = |cell: &Option<_>| cell.map_or('.', |yarn| project.palette.get(yarn).key);
        let chart = &project.chart;
        let mut facts = Vec::new();
        gather(&context, &glance::at_a_glance(&context), &mut facts);
        gather(&context, &materials::materials(&context), &mut facts);
        let cut = Section { id: SectionName::CuttingList, title: None, blocks: vec![cutting::pieces(&context, false)] };
        gather(&context, &cut, &mut facts);
        if let Some(section) = colourways::colourways(&context) {
            let tables = section.blocks.iter().filter_map(|block| match block {
                Block::Table(table) => Some(table),
                _ => None,
            });
            for (table, colourway) in tables.zip(&project.colourways) {
                let entries = table.rows.iter().filter_map(|row| row.first().zip(row.get(1)));
                facts.extend(entries.map(|(head, named)| {
                    let of = context.row_of(vec![colourway.name.clone(), unmarked(&head.text)]);
                    Fact {
                        id: format!("colourway: {of}"),
                        of: plain_spaces(&of),
                        is: plain_spaces(&unmarked(&named.text)),
                    }
                }));
            }
        }
        for (id, yarn) in project.palette.iter() {
            let knots = words.count("count.knots", workings.tally.of(id).chart, &[]);
            facts.push(Fact { id: format!("knots: {}", yarn.name), of: yarn.name.clone(), is: plain_spaces(&knots) });
        }
        let names = [("version", &about.version as &dyn std::fmt::Display), ("date", &words.date(about.date))];
        Record {
            version: about.version.clone(),
            edition: plain_spaces(&context.say("furniture.foot", &names)),
            speech: format!("{} {units}", words.language()),
            from_right: project.working.first_row_from == Side::Right,
            rows: (0..chart.rows()).map(|row| chart.row(Row(row)).iter().map(letter).collect()).collect(),
            yarns: project
                .palette
                .iter()
                .map(|(_, yarn)| RecordedYarn { key: yarn.key, name: yarn.name.clone(), colour: yarn.colour.to_hex() })
                .collect(),
            facts,
            sizes: sizes(project, words),
        }
    }
}

/// The other sizes of a project, told as it is told.
fn sizes(project: &Project, words: &Words) -> Vec<RecordedSize> {
    let others = project.sizes.iter().filter_map(|size| Some((&size.name, size.project.as_deref()?)));
    others
        .map(|(name, own)| {
            let mut own = lettered(own.clone().in_language(words.language()), words);
            own.about.units = project.about.units;
            own.working.first_row_from = project.working.first_row_from;
            let workings = work_out(&own);
            RecordedSize { name: name.clone(), record: Record::new(&own, &workings, words) }
        })
        .collect()
}

/// Everything a section states, one fact for each line, pair of words or cell of a table.
fn gather(context: &WriteContext, section: &Section, facts: &mut Vec<Fact>) {
    let mut add = |id: String, of: String, is: &Text| {
        let (of, is) = (plain_spaces(&of), plain_spaces(&unmarked(is)));
        facts.push(Fact { id: format!("{}: {id}", section.id), of, is });
    };
    for block in &section.blocks {
        match block {
            Block::Facts(pairs) => {
                pairs.iter().for_each(|(name, value)| add(unmarked(name), unmarked(name), value));
            }
            Block::Ticks(lines) => lines.iter().for_each(|line| add(line.field.clone(), String::new(), &line.text)),
            Block::Table(table) => {
                for row in &table.rows {
                    let Some((head, cells)) = row.split_first() else { continue };
                    for (cell, column) in cells.iter().zip(table.columns.iter().skip(1)) {
                        let name = context.row_of(vec![unmarked(&head.text), unmarked(&column.head)]);
                        add(name.clone(), name, &cell.text);
                    }
                }
            }
            // What each yarn is; its name stands first.
            Block::Bullets(texts) => {
                for text in texts {
                    let name = text.iter().find_map(|inline| match inline {
                        Inline::Strong(name) => Some(name.clone()),
                        Inline::Foreign(name) if name.strong => Some(name.words.clone()),
                        Inline::Plain(_)
                        | Inline::Italic(_)
                        | Inline::Foreign(_)
                        | Inline::Address(..)
                        | Inline::PageOf(_)
                        | Inline::Symbol(_) => None,
                    });
                    add(name.unwrap_or_else(|| unmarked(text)), String::new(), text);
                }
            }
            // The maker's own words, drawings, and what the buyer fills in.
            Block::Heading(..)
            | Block::Paragraph(..)
            | Block::Steps(_)
            | Block::Caution(_)
            | Block::Figure(_)
            | Block::HungPanel(_)
            | Block::Fleece(_)
            | Block::AsKnotted(_)
            | Block::Panels(_)
            | Block::Picture(_)
            | Block::Snips(_)
            | Block::Chart(_)
            | Block::Rows(_)
            | Block::Stretch(_)
            | Block::Ruler { .. }
            | Block::Codes(_)
            | Block::FillIn(_)
            | Block::Contents
            | Block::NewPage
            | Block::InLanguage(..) => {}
        }
    }
}

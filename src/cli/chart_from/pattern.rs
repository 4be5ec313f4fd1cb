//! The project file that goes with a chart from a picture: the yarns found in it, or those of a project it is like.

use crate::chart::{Chart, Row, YarnId};
use crate::cli::today::today;
use crate::colour::Colour;
use crate::diag::Report;
use crate::project::{self, PLAN, Project};
use crate::source::Sources;
use crate::words::Words;
use toml::{Table, Value};

const STARTER: &str = include_str!("../starter/from-picture.toml");
/// Letters of yarns, in their order; those that are easily taken for one another are left to the last.
const LETTERS: &str = "ABCDEFGHJKLMNPQRSTUVWXYZabcdefghkmnpqrstuvwxyz";

/// A project file in the making.
#[derive(Clone)]
pub(crate) struct Pattern {
    title: String,
    language: String,
    yarns: Vec<FoundYarn>,
    /// The other project's file, without what is only about its own panel.
    like: Option<Table>,
}

#[derive(Clone)]
struct FoundYarn {
    key: char,
    name: String,
    colour: Colour,
}

/// What a new pattern does not take from the project it is like: title and words of the other panel, its photograph, and
/// what is made anew.
const NOT_TAKEN: [&str; 17] = [
    "format",
    "title",
    "subtitle",
    "version",
    "date",
    "chart",
    "errata",
    "introduction",
    "notes",
    "keywords",
    "photograph",
    "photograph-words",
    "picture-words",
    "level",
    "own-words",
    "acknowledge",
    "layout",
];

impl Pattern {
    /// With one yarn that stands for those to come, or with the yarns of the project it is like.
    pub(crate) fn new(title: String, words: &Words, like: Option<(Project, String)>) -> Pattern {
        let mut pattern = Pattern { title, language: words.language().to_owned(), yarns: Vec::new(), like: None };
        pattern.set_yarns(&[Colour::BLACK], words);
        if let Some((project, text)) = like {
            pattern.yarns = project
                .palette
                .iter()
                .map(|(_, y)| FoundYarn { key: y.key, name: y.name.clone(), colour: y.colour })
                .collect();
            pattern.like = text.parse().ok();
        }
        pattern
    }

    /// Yarns of these colours, each with a letter and a name.
    pub(crate) fn set_yarns(&mut self, colours: &[Colour], words: &Words) {
        let names = words.colour_names(colours);
        let found = LETTERS.chars().zip(names).zip(colours);
        self.yarns = found.map(|((key, name), &colour)| FoundYarn { key, name, colour }).collect();
    }

    /// Gives yarns names of their own, in their order, where there are any.
    pub(crate) fn rename(&mut self, names: &[Option<String>]) {
        for at in 0..self.yarns.len() {
            let Some(Some(name)) = names.get(at) else { continue };
            // No two yarns of a project have one name.
            if self.yarns.iter().all(|yarn| yarn.name != *name) {
                self.yarns[at].name = name.clone();
            }
        }
    }

    /// The project as it stands, with a chart of one knot. `None`: the report has at least one fault.
    pub(crate) fn project(&self, sources: &mut Sources, report: &mut Report) -> Option<Project> {
        let mut found = Report::new();
        let chart = Chart::new(1, vec![Some(YarnId(0))])?;
        let project = project::draft(&self.text(), chart, sources, &mut found);
        if project.is_none() {
            report.extend(found);
        }
        project
    }

    /// Drops the yarns that a chart does not use; the chart in the yarns that are left.
    pub(crate) fn keep_used(&mut self, chart: &Chart) -> Option<Chart> {
        let used = |at: usize| chart.cells().contains(&Some(YarnId(at as u8)));
        let kept: Vec<usize> = (0..self.yarns.len()).filter(|&at| used(at)).collect();
        let cells = chart
            .cells()
            .iter()
            .map(|cell| {
                cell.and_then(|yarn| kept.iter().position(|&at| at == usize::from(yarn.0))).map(|at| YarnId(at as u8))
            })
            .collect();
        let mut at = 0;
        self.yarns.retain(|_| {
            at += 1;
            kept.contains(&(at - 1))
        });
        if self.like.is_none() {
            // Letters without gaps.
            for (yarn, key) in self.yarns.iter_mut().zip(LETTERS.chars()) {
                yarn.key = key;
            }
        }
        Chart::new(chart.columns(), cells)
    }

    /// The text of the project file.
    pub(crate) fn text(&self) -> String {
        match &self.like {
            Some(like) => self.like_text(like),
            None => STARTER
                .replace("{title}", &quoted(&self.title))
                .replace("{date}", &today())
                .replace("{language}", &self.language)
                .replace("{units}", if self.language == "en-US" { "imperial" } else { "metric" })
                .replace("{yarns}", &self.found_text()),
        }
    }

    fn found_text(&self) -> String {
        let one = |yarn: &FoundYarn| {
            format!(
                "\n[[yarn]]\nkey = \"{}\"\nname = {}\ncolour = \"{}\"\nweight = 4\nwraps-per-inch = 10\n",
                yarn.key,
                quoted(&yarn.name),
                yarn.colour.to_hex()
            )
        };
        self.yarns.iter().map(one).collect()
    }

    fn like_text(&self, like: &Table) -> String {
        let mut text = format!(
            "# A pattern drawn from a picture, with yarns and ways of working taken from another project.\n\n\
             format = 1\ntitle = {}\nversion = \"1.0\"\ndate = {}\nchart = \"chart.txt\"\n",
            quoted(&self.title),
            today()
        );
        let taken = |key: &str| like.get(key).filter(|_| !NOT_TAKEN.contains(&key));
        // Plain values of the top come before all sections.
        for (section, keys) in PLAN {
            for key in keys.iter().filter(|_| section.is_empty()) {
                if let Some(value) = taken(key).filter(|value| !is_section(value)) {
                    text.push_str(&format!("{key} = {value}\n"));
                }
            }
        }
        for yarn in like.get("yarn").and_then(Value::as_array).into_iter().flatten().filter_map(Value::as_table) {
            let key = yarn.get("key").and_then(Value::as_str).unwrap_or("");
            if self.yarns.iter().any(|kept| key.chars().eq([kept.key])) {
                section(&mut text, "[[yarn]]", yarn);
            }
        }
        for (name, value) in like.iter().filter(|(name, _)| *name != "yarn" && taken(name).is_some()) {
            let Some(table) = value.as_table() else { continue };
            let mut table = table.clone();
            table.retain(|key, _| !NOT_TAKEN.contains(&key));
            let header = table.get("header-yarn").and_then(Value::as_str);
            if header.is_some_and(|key| !self.yarns.iter().any(|kept| key.chars().eq([kept.key]))) {
                table.remove("header-yarn");
            }
            section(&mut text, &format!("[{name}]"), &table);
        }
        text
    }
}

fn is_section(value: &Value) -> bool {
    value.is_table() || value.as_array().is_some_and(|entries| entries.iter().any(Value::is_table))
}

fn section(text: &mut String, head: &str, table: &Table) {
    text.push_str(&format!("\n{head}\n"));
    for (key, value) in table {
        text.push_str(&format!("{key} = {value}\n"));
    }
}

/// As a project file writes a text.
fn quoted(text: &str) -> String {
    Value::String(text.to_owned()).to_string()
}

/// The chart as a text grid.
pub(crate) fn grid(project: &Project) -> String {
    let mut text = String::with_capacity(project.chart.cells().len() + project.chart.rows());
    for row in 0..project.chart.rows() {
        text.extend(
            project.chart.row(Row(row)).iter().map(|cell| cell.map_or('.', |yarn| project.palette.get(yarn).key)),
        );
        text.push('\n');
    }
    text
}

//! The rows in words: their counts are the chart's, and one who follows them alone ties the panel.

use super::{blocks, chart, choices, rows, small, whole, written};
use crate::chart::{Chart, Row, YarnId};
use crate::manuscript::{Block, ChartBlock, Manuscript, WrittenRow};
use crate::project::Project;
use crate::words::unmarked;

/// Reads "4 navy" back out of a sentence: number and yarn, in order; what is said of a yarn led behind is left out.
fn counts(sentence: &str, project: &Project) -> Vec<(usize, YarnId)> {
    let sentence = sentence.replace('\u{a0}', " ");
    let mut out = Vec::new();
    for part in sentence.split(". ").skip(1) {
        let tied = part.rsplit_once(": ").map_or(part, |(_, tied)| tied);
        let Some((number, rest)) = tied.split_once(' ') else { continue };
        let Ok(number) = number.replace(',', "").parse::<usize>() else { continue };
        for (id, yarn) in project.palette.iter() {
            if rest.starts_with(&yarn.name) {
                out.push((number, id));
            }
        }
    }
    out
}

/// The runs of a chart row in working order.
fn runs(project: &Project, row: usize, left_to_right: bool) -> Vec<(usize, YarnId)> {
    let mut cells: Vec<Option<YarnId>> = project.chart.row(Row(row)).to_vec();
    if !left_to_right {
        cells.reverse();
    }
    let mut out: Vec<(usize, YarnId)> = Vec::new();
    let mut last = None;
    for cell in cells {
        match (cell, last) {
            (Some(yarn), Some(before)) if yarn == before => out.last_mut().expect("a run").0 += 1,
            (Some(yarn), _) => out.push((1, yarn)),
            (None, _) => {}
        }
        last = cell;
    }
    out
}

#[test]
fn the_rows_in_words_say_the_chart() {
    for (at, project) in choices().iter().enumerate() {
        let manuscript = whole(project);
        let mut chart_rows = 0;
        for row in rows(&manuscript) {
            let Ok(number) = row.number.parse::<usize>() else { continue };
            chart_rows += 1;
            let sentence = unmarked(&row.sentence);
            let said = counts(&sentence, project);
            assert_eq!(said, runs(project, number - 1, row.left_to_right), "project {at}, row {number}: {sentence}");
        }
        assert_eq!(chart_rows, project.chart.rows());
    }
}

#[test]
fn a_long_row_of_noise_is_said_knot_for_knot() {
    let mut random = fastrand::Rng::with_seed(12);
    for _ in 0..40 {
        let mut project = small();
        let (columns, rows_of) = (random.usize(1..40), random.usize(1..30));
        let cells = (0..columns * rows_of)
            .map(|_| if random.u8(0..12) == 0 { None } else { Some(YarnId(random.u8(0..3))) })
            .collect();
        project.chart = Chart::new(columns, cells).expect("whole rows");
        let manuscript = written(&project, &["rows-in-words"], None);
        for row in rows(&manuscript) {
            let Ok(number) = row.number.parse::<usize>() else { continue };
            let sentence = unmarked(&row.sentence);
            assert_eq!(counts(&sentence, &project), runs(&project, number - 1, row.left_to_right), "{sentence}");
            assert!(!sentence.contains('«'), "{sentence}");
        }
    }
}

/// One who follows the words alone: she knows which yarn she holds and what hangs waiting where.
struct Follower<'a> {
    project: &'a Project,
    held: Option<YarnId>,
    /// Yarn, column it waits behind (from 1), row it was left in.
    waiting: Vec<(YarnId, usize, String)>,
}

impl Follower<'_> {
    fn yarn(&self, words: &str) -> Result<YarnId, String> {
        let named = self.project.palette.iter().find(|(_, yarn)| yarn.name == words);
        named.map(|(id, _)| id).ok_or_else(|| format!("which yarn is `{words}`?"))
    }

    fn take_up(&mut self, words: &str) -> Result<(), String> {
        let (yarn, place) = match words.strip_prefix("the ").and_then(|rest| rest.split_once(" waiting behind column "))
        {
            Some((yarn, place)) => (yarn, Some(place)),
            None => (words, None),
        };
        let yarn = self.yarn(yarn)?;
        let (column, row) = match place.map(|place| place.split_once(" since row ").unwrap_or((place, ""))) {
            Some((column, row)) => (column.parse::<usize>().ok(), Some(row).filter(|row| !row.is_empty())),
            None => (None, None),
        };
        let fits: Vec<usize> = (0..self.waiting.len())
            .filter(|at| {
                let (which, behind, left) = &self.waiting[*at];
                *which == yarn && column.is_none_or(|c| c == *behind) && row.is_none_or(|r| r == left.as_str())
            })
            .collect();
        match fits.as_slice() {
            [one] => {
                self.waiting.remove(*one);
                self.held = Some(yarn);
                Ok(())
            }
            fits => Err(format!("`{words}` could be {} lengths", fits.len())),
        }
    }

    /// Follows one row; gives back its cells from left to right.
    fn row(&mut self, row: &WrittenRow) -> Result<Vec<Option<YarnId>>, String> {
        let columns = self.project.chart.columns();
        let mut cells = Vec::new();
        let sentence = unmarked(&row.sentence).replace('\u{a0}', " ");
        for part in sentence.split_inclusive(". ").skip(1).map(|part| part.trim().trim_end_matches('.')) {
            if let Some(bare) = part.strip_prefix("Leave ").and_then(|rest| rest.strip_suffix(" bare")) {
                let count = bare.split(' ').find_map(|word| word.parse().ok()).unwrap_or(1);
                cells.extend(std::iter::repeat_n(None, count));
                continue;
            }
            if part.starts_with("Measure") || part.starts_with("If it is") || part.starts_with("Link ") {
                continue;
            }
            if part.starts_with("No knots") {
                cells.extend(std::iter::repeat_n(None, columns));
                continue;
            }
            let (opening, tied) = part.rsplit_once(": ").unwrap_or(("", part));
            let named = opening.split(',').next().unwrap_or_default();
            if let Some(yarn) = named.strip_prefix("Start ") {
                self.held = Some(self.yarn(yarn)?);
            } else if let Some(which) = named.strip_prefix("Take up ") {
                self.take_up(which)?;
            } else if !named.is_empty() && !named.starts_with("Lead ") {
                return Err(format!("what is `{named}`?"));
            }
            let (run, then) = tied.split_once("; ").map_or((tied, ""), |(run, then)| (run, then));
            let (count, yarn) = run.split_once(' ').ok_or_else(|| format!("how many is `{run}`?"))?;
            let yarn = self.yarn(yarn.split(" (").next().unwrap_or_default())?;
            if self.held != Some(yarn) {
                return Err(format!("`{run}`, but she does not hold that yarn"));
            }
            let count = count.parse::<usize>().map_err(|_| format!("how many is `{count}`?"))?;
            cells.extend(std::iter::repeat_n(Some(yarn), count));
            let column = if row.left_to_right { cells.len() } else { columns + 1 - cells.len() };
            if then.starts_with("leave ") {
                self.waiting.push((yarn, column, row.number.clone()));
                self.held = None;
            } else if then.starts_with("cut ") {
                self.held = None;
            }
        }
        if !row.left_to_right {
            cells.reverse();
        }
        Ok(cells)
    }
}

#[test]
fn one_who_follows_the_words_alone_ties_the_panel() {
    let mut random = fastrand::Rng::with_seed(31);
    let mut projects = choices();
    for _ in 0..60 {
        let mut project = small();
        // Patches a few columns wide, so that yarns are carried, left waiting and taken up in every way.
        let (columns, rows_of, patch) = (random.usize(1..30), random.usize(1..25), random.usize(1..6));
        let noise: Vec<u8> = (0..900).map(|_| random.u8(0..14)).collect();
        let cells = (0..columns * rows_of)
            .map(|at| match noise[(at / columns / 2) * 30 + (at % columns) / patch] {
                0 => None,
                n => Some(YarnId(n % 3)),
            })
            .collect();
        project.chart = Chart::new(columns, cells).expect("whole rows");
        project.working.longest_carry_mm = [10.0, 25.4, 60.0][random.usize(0..3)];
        project.working.most_rows_waiting = random.usize(0..5);
        projects.push(project);
    }
    for project in &projects {
        let manuscript = written(project, &["rows-in-words"], None);
        let mut follower = Follower { project, held: None, waiting: Vec::new() };
        for row in rows(&manuscript) {
            let sentence = unmarked(&row.sentence);
            let tied = follower.row(row).unwrap_or_else(|why| panic!("{why}\n{sentence}"));
            match row.number.parse::<usize>() {
                Ok(number) => assert_eq!(tied, project.chart.row(Row(number - 1)), "{sentence}"),
                Err(_) => assert!(tied.iter().all(|cell| *cell == Some(project.working.header_yarn)), "{sentence}"),
            }
        }
        assert!(follower.waiting.is_empty(), "something is left hanging");
        assert_eq!(follower.held, None, "the last yarn is never cut");
    }
}

#[test]
fn a_row_is_said_in_the_manner_of_the_workroom() {
    let mut project = small();
    project.working.header_rows = Some(0);
    project.chart = chart(&project.palette, &["NNNCCNNNN", "NNNCCNNNN"]);
    let manuscript = written(&project, &["rows-in-words"], None);
    let said: Vec<String> =
        rows(&manuscript).iter().map(|row| unmarked(&row.sentence).replace('\u{a0}', " ")).collect();
    assert_eq!(
        said,
        [
            "Row 1, left to right, 9 knots. Start navy: 3 navy; leave navy waiting. Start cream: 2 cream; leave cream \
             waiting. Take up navy, lead it loosely behind the 2 cream: 4 navy.",
            "Row 2, right to left, 9 knots. 4 navy; leave navy waiting. Take up cream: 2 cream; cut cream. Take up navy, \
             lead it loosely behind the 2 cream: 3 navy; cut navy.",
        ]
    );
    // The box beside the sentence has the row's name alone; where there is no sentence, it says it.
    assert_eq!(rows(&manuscript)[0].spoken, "Row 1, left to right");
    assert_eq!(
        &*chart_of(&written(&project, &["chart"], None)).rows[0].spoken,
        "Row 1, left to right: Start navy: 3 navy; leave navy waiting. Start cream: 2 cream; leave cream waiting. Take up \
         navy, lead it loosely behind the 2 cream: 4 navy. 9 knots in all."
    );
}

fn chart_of(manuscript: &Manuscript) -> &ChartBlock {
    let chart = blocks(manuscript).find_map(|block| if let Block::Chart(chart) = block { Some(chart) } else { None });
    chart.expect("a chart")
}

#[test]
fn what_is_spoken_has_no_bare_symbols() {
    let (booklet, chart) = (whole(&small()), written(&small(), &["chart"], None));
    let beside = rows(&booklet).into_iter().map(|row| row.spoken.as_str());
    for spoken in beside.chain(chart_of(&chart).rows.iter().map(|row| &*row.spoken)) {
        assert!(spoken.chars().all(|c| c.is_alphanumeric() || " .,;:()½¼¾⅛⅜⅝⅞’".contains(c)), "{spoken}");
    }
}

#[test]
fn a_row_that_takes_minutes_to_say_is_named_at_its_box_and_written_whole() {
    let mut project = small();
    let row: Vec<_> = (0..600).map(|at| Some(YarnId((at % 2) as u8))).collect();
    project.chart = Chart::new(600, row.repeat(2)).expect("whole rows");
    let manuscript = whole(&project);
    let row = &rows(&manuscript).into_iter().find(|row| row.number == "1").expect("row 1");
    assert!(row.sentence.len() > 600);
    let alone = written(&project, &["chart"], None);
    let row = &chart_of(&alone).rows[0];
    assert!(row.is_long && &*row.spoken == "Row 1, left to right: 600 knots in all.", "{}", row.spoken);
}

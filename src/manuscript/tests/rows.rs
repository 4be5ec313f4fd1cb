//! The rows in words: their counts are the chart's, and their brackets say all that the rule does not.

use super::{blocks, chart, choices, rows, small, whole, written};
use crate::catalogue::SectionName;
use crate::chart::{Chart, Row, YarnId};
use crate::manuscript::{Block, ChartBlock, Manuscript};
use crate::markup::unmarked;
use crate::project::Project;
use crate::workings::{RowPlace, work_out};

/// What a line says of one run, or of cords left bare (no yarn).
#[derive(Debug, PartialEq, Eq)]
struct Said {
    count: usize,
    yarn: Option<YarnId>,
    brackets: Vec<String>,
}

/// Reads a line back: "4 navy (start; cut after), 3 bare, 2 cream."
fn read(line: &str, project: &Project) -> Vec<Said> {
    let line = line.replace('\u{a0}', " ");
    let line = line.split(". Measure").next().unwrap_or_default().trim_end_matches('.');
    if line.starts_with("No knots") {
        return Vec::new();
    }
    let mut out = Vec::new();
    let mut rest = line;
    while !rest.is_empty() {
        let (count, after) = rest.split_once(' ').expect("a count");
        let named =
            |name: &str| after.strip_prefix(name).filter(|rest| rest.is_empty() || rest.starts_with([',', ' ']));
        let yarn = project.palette.iter().filter(|(_, yarn)| named(&yarn.name).is_some());
        let yarn = yarn.max_by_key(|(_, yarn)| yarn.name.len());
        let name = yarn.map_or("bare", |(_, yarn)| yarn.name.as_str());
        let mut after = named(name).unwrap_or_else(|| panic!("what is `{after}`?"));
        let mut brackets = Vec::new();
        if let Some(bracket) = after.strip_prefix(" (") {
            let (said, behind) = bracket.split_once(')').expect("a closing bracket");
            brackets = said.split("; ").map(str::to_string).collect();
            after = behind;
        }
        let count = count.replace(',', "").parse().expect("a count");
        out.push(Said { count, yarn: yarn.map(|(id, _)| id), brackets });
        rest = after.strip_prefix(", ").unwrap_or(after);
    }
    out
}

/// The runs a line says.
fn counts(line: &str, project: &Project) -> Vec<(usize, YarnId)> {
    read(line, project).into_iter().filter_map(|said| Some((said.count, said.yarn?))).collect()
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
        let manuscript = written(&project, &[SectionName::RowsInWords], None);
        for row in rows(&manuscript) {
            let Ok(number) = row.number.parse::<usize>() else { continue };
            let sentence = unmarked(&row.sentence);
            assert_eq!(counts(&sentence, &project), runs(&project, number - 1, row.left_to_right), "{sentence}");
            assert!(!sentence.contains('«'), "{sentence}");
        }
    }
}

#[test]
fn a_line_has_every_cord_of_its_row_and_every_mark_of_its_runs() {
    let mut random = fastrand::Rng::with_seed(31);
    let mut projects = choices();
    for _ in 0..60 {
        let mut project = small();
        // Patches a few columns wide, so that yarns are carried, left hanging and taken up in every way.
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
    let mut kinds = [0; 4];
    for project in &projects {
        let manuscript = written(project, &[SectionName::RowsInWords], None);
        let workings = work_out(project);
        let mut marks = workings.marks.iter();
        for (row, worked) in rows(&manuscript).into_iter().zip(&workings.rows) {
            let line = unmarked(&row.sentence);
            let mut cells = Vec::new();
            for said in read(&line, project) {
                cells.extend(std::iter::repeat_n(said.yarn, said.count));
                if said.yarn.is_none() {
                    assert!(said.brackets.is_empty());
                    continue;
                }
                let of = marks.next().expect("a run");
                let mut brackets = said.brackets.iter().map(String::as_str);
                let mut says = |is: bool, kind: usize, words: &str| {
                    kinds[kind] += usize::from(is);
                    assert!(!is || brackets.next() == Some(words), "{words}: {line}");
                };
                let which = of.choice.map(|last| {
                    let row = match last.row {
                        RowPlace::Header(_) => format!("H{}", last.row.number()),
                        RowPlace::Chart(_) => last.row.number().to_string(),
                    };
                    format!("the one last tied in row {row}, column {}", last.column.0 + 1)
                });
                says(of.start, 0, "start");
                says(which.is_some(), 1, which.as_deref().unwrap_or_default());
                says(of.link, 2, "link");
                says(of.cut, 3, "cut after");
                assert_eq!(brackets.next(), None, "{line}");
            }
            if cells.is_empty() {
                cells = vec![None; project.chart.columns()];
            }
            if !row.left_to_right {
                cells.reverse();
            }
            match worked.place {
                RowPlace::Chart(at) => assert_eq!(cells, project.chart.row(at), "{line}"),
                RowPlace::Header(_) => {
                    assert_eq!(cells, vec![Some(project.working.header_yarn); project.chart.columns()]);
                }
            }
        }
        assert_eq!(marks.next(), None);
    }
    assert!(kinds.iter().all(|count| *count > 10), "{kinds:?}");
}

#[test]
fn a_row_is_said_in_short_sentences_of_few_words() {
    let mut project = small();
    project.working.header_rows = Some(0);
    project.chart = chart(&project.palette, &["NNNCCNNNN", "NNNCCNNNN"]);
    let manuscript = written(&project, &[SectionName::RowsInWords], None);
    let said: Vec<String> =
        rows(&manuscript).iter().map(|row| unmarked(&row.sentence).replace('\u{a0}', " ")).collect();
    assert_eq!(said, ["3 navy (start), 2 cream (start), 4 navy.", "4 navy, 2 cream (cut after), 3 navy (cut after).",]);
    // The box beside the line has the row's name alone; where there is no line to be read, it says it.
    assert_eq!(rows(&manuscript)[0].spoken, "Row 1, left to right");
    assert_eq!(
        &*chart_of(&written(&project, &[SectionName::Chart], None)).rows[1].spoken,
        "Row 2, right to left: 4 navy, 2 cream (cut after), 3 navy (cut after). 9 knots in all."
    );
}

fn chart_of(manuscript: &Manuscript) -> &ChartBlock {
    let chart = blocks(manuscript).find_map(|block| if let Block::Chart(chart) = block { Some(chart) } else { None });
    chart.expect("a chart")
}

#[test]
fn what_is_spoken_has_no_bare_symbols() {
    let (booklet, chart) = (whole(&small()), written(&small(), &[SectionName::Chart], None));
    let beside = rows(&booklet).into_iter().map(|row| row.spoken.as_str());
    for spoken in beside.chain(chart_of(&chart).rows.iter().map(|row| &*row.spoken)) {
        assert!(spoken.chars().all(|c| c.is_alphanumeric() || " .,;:()½¼¾⅛⅜⅝⅞’".contains(c)), "{spoken}");
    }
}

#[test]
fn a_row_that_takes_minutes_to_say_is_said_sheet_by_sheet_where_it_is_not_written() {
    let mut project = small();
    let row: Vec<_> = (0..600).map(|at| Some(YarnId((at % 2) as u8))).collect();
    project.chart = Chart::new(600, row.repeat(2)).expect("whole rows");
    let manuscript = whole(&project);
    let row = &rows(&manuscript).into_iter().find(|row| row.number == "1").expect("row 1");
    assert!(row.sentence.len() > 600);
    let alone = written(&project, &[SectionName::Chart], None);
    let row = &chart_of(&alone).rows[0];
    assert_eq!(&*row.spoken, "Row 1, left to right");
    let parts = row.in_parts.as_ref().expect("parts");
    let first = parts.on_sheet(&(0..50));
    let opening = "Row 1, left to right, from column 1 to column 50: 1 navy, 1 cream (start), 1 navy, 1 cream, ";
    assert!(first.starts_with(opening) && first.ends_with("1 cream. 600 knots in the whole row."), "{first}");
    // Every run is said on one sheet, whichever way the row is worked.
    for row in &chart_of(&alone).rows {
        let parts = row.in_parts.as_ref().expect("parts");
        let said: usize = (0..600)
            .step_by(50)
            .map(|from| {
                let said = parts.on_sheet(&(from..from + 50));
                said.matches("1 navy").count() + said.matches("1 cream").count()
            })
            .sum();
        assert_eq!(said, 600);
    }
    let second = chart_of(&alone).rows[1].in_parts.as_ref().expect("parts").on_sheet(&(550..600));
    assert!(second.starts_with("Row 2, right to left, from column 600 to column 551: "), "{second}");
}

//! Holds the written rows and the other words of a file against what they should be.

use super::check_sheet::direction;
use super::expectations::{Expectations, ExpectedRow};
use super::flow::{Flow, SearchResult, parts_of};
use super::report::{Finding, ProofReport};
use crate::chart::{Direction, Row, YarnId};
use crate::reader::lines::{seen, whole_number};

/// Words shown on either side of a difference.
const AROUND: usize = 3;

/// Every row's sentence must stand in the file word for word, and its counts must be the chart's own.
pub(super) fn check_rows(flow: &Flow, expected: &Expectations, report: &mut ProofReport) {
    for (row, want) in expected.rows.iter().enumerate() {
        check_counts(expected, row, want, report);
        if expected.written {
            match differs(flow, want) {
                None => report.written_rows += 1,
                Some((page, message)) => {
                    let finding = Finding { page, ..Finding::new("wrong-written-row", message) };
                    report.find(finding.row(row));
                }
            }
        }
    }
    if expected.written {
        for want in &expected.header_rows {
            match differs(flow, want) {
                None => report.written_rows += 1,
                Some((page, message)) => {
                    let message = format!("header row {}: {message}", want.number);
                    report.find(Finding { page, ..Finding::new("wrong-written-row", message) });
                }
            }
        }
    }
}

/// Other words that must stand somewhere.
pub(super) fn check_lines(flow: &Flow, expected: &Expectations, report: &mut ProofReport) {
    for line in &expected.lines {
        if !flow.says_beside(&line.words, &line.beside) {
            let place = if line.beside.is_empty() { String::new() } else { format!(" beside `{}`", line.beside) };
            let message = format!("{} should read `{}`{place}; that stands nowhere", line.what, line.words);
            report.find(Finding::new("wrong-words", message));
        }
    }
}

/// `None` when the sentence stands in the file, beside its number; else the page and what is different.
fn differs(flow: &Flow, want: &ExpectedRow) -> Option<(Option<usize>, String)> {
    let words: Vec<&str> = parts_of(&want.sentence).collect();
    match flow.find_numbered(&want.sentence, &want.number) {
        SearchResult::Whole => None,
        SearchResult::Part { page, words: matched, instead } if matched >= 2 => {
            let from = matched.saturating_sub(AROUND);
            let before = words[from..matched].join(" ");
            let want = words.get(matched).copied().unwrap_or("");
            let instead = instead.map_or("nothing more".to_owned(), |w| format!("`{w}`"));
            Some((Some(page), format!("after `{before}` the words say {instead} instead of `{want}`")))
        }
        SearchResult::Part { .. } | SearchResult::Nowhere => {
            let start = words.iter().take(6).copied().collect::<Vec<_>>().join(" ");
            Some((None, format!("its sentence `{start} ...` stands nowhere in the file")))
        }
    }
}

/// The runs of a row in working order.
fn runs(expected: &Expectations, row: usize) -> Vec<(usize, YarnId)> {
    let cells = expected.project.chart.row(Row(row));
    let mut out: Vec<(usize, YarnId)> = Vec::new();
    let mut last = None;
    let mut take = |cell: Option<YarnId>| {
        if let Some(yarn) = cell {
            match out.last_mut() {
                Some(run) if last == Some(yarn) => run.0 += 1,
                _ => out.push((1, yarn)),
            }
        }
        last = cell;
    };
    match direction(expected, row) {
        Direction::LeftToRight => cells.iter().for_each(|c| take(*c)),
        Direction::RightToLeft => cells.iter().rev().for_each(|c| take(*c)),
    }
    out
}

/// Reads "4 navy" out of a sentence and compares with the chart, without asking how the sentence was made. A run may be
/// said in parts, where a new length is due; and a count may be said besides, where yarn is led behind knots. A name may hold
/// a number and another name ("24 cream" beside "cream"), so what the chart has next is looked for first.
fn check_counts(expected: &Expectations, row: usize, want: &ExpectedRow, report: &mut ProofReport) {
    if want.sentence.is_empty() {
        return;
    }
    let names = names(expected);
    let runs = runs(expected, row);
    let words: Vec<&str> = want.sentence.split_whitespace().collect();
    let (mut next, mut part, mut at) = (0, 0, 0);
    while let (Some(run), true) = (runs.get(next), at < words.len()) {
        let said = counts_at(&names, &words, at);
        let goes_on = said.iter().find(|(count, yarn, _)| *yarn == run.1 && part + count <= run.0);
        let Some((count, _, length)) = goes_on else {
            let is_known =
                |(count, yarn, _): &(usize, YarnId, usize)| runs.iter().any(|(n, y)| y == yarn && n >= count);
            if let (Some((count, yarn, _)), false) = (said.first(), said.iter().any(is_known)) {
                let message =
                    format!("its sentence says {}, which is no run of it", run_words(expected, &(*count, *yarn)));
                report.find(Finding::new("wrong-run", message).row(row));
                return;
            }
            at += 1;
            continue;
        };
        part += count;
        at += 1 + length;
        if part == run.0 {
            (next, part) = (next + 1, 0);
        }
    }
    if let Some(missing) = runs.get(next) {
        let message = format!("its sentence leaves out {}", run_words(expected, missing));
        report.find(Finding::new("missing-run", message).row(row));
    }
}

/// The words of every yarn's name as they are seen.
fn names(expected: &Expectations) -> Vec<(YarnId, Vec<String>)> {
    let words = |name: &str| seen(name).split_whitespace().map(str::to_owned).collect();
    expected.project.palette.iter().map(|(id, yarn)| (id, words(&yarn.name))).collect()
}

fn run_words(expected: &Expectations, run: &(usize, YarnId)) -> String {
    format!("{} {}", run.0, expected.project.palette.get(run.1).name)
}

/// What is said where a number is followed by a yarn's name: count, yarn, words of the name; the longest name first.
fn counts_at(names: &[(YarnId, Vec<String>)], words: &[&str], at: usize) -> Vec<(usize, YarnId, usize)> {
    // A mark of punctuation ends what is said of a number: "row 3, left to right" has no 3 of a yarn called left.
    let Some(count) = whole_number(words[at].trim_start_matches(['(', '“'])).filter(|_| !ends(words[at])) else {
        return Vec::new();
    };
    let rest = &words[at + 1..];
    // Marks of punctuation end a name: "behind the 3 grey blue: 1 navy" is not about a yarn called grey blue 1.
    let fits = |name: &Vec<String>| {
        let same = |i: usize, want: &str, got: &str| match i + 1 == name.len() {
            true => got == want || bare(got) == bare(want),
            false => got == want,
        };
        !name.is_empty()
            && rest.len() >= name.len()
            && name.iter().zip(rest).enumerate().all(|(i, (want, got))| same(i, want, got))
    };
    let mut said: Vec<_> =
        names.iter().filter(|(_, name)| fits(name)).map(|(yarn, name)| (count, *yarn, name.len())).collect();
    said.sort_by_key(|(_, _, length)| usize::MAX - length);
    said
}

/// Whether a word ends with a mark that parts it from the next one.
fn ends(word: &str) -> bool {
    word.ends_with([',', ';', ':', '.', ')', '”'])
}

fn bare(word: &str) -> &str {
    word.trim_matches(|c: char| matches!(c, ',' | ';' | ':' | '.' | '(' | ')' | '“' | '”'))
}

//! Cords of several lengths under a lower edge that is shaped: where ends follow the edge, cords over high columns are cut
//! shorter, in so few lengths that they are not mistaken for one another.

use super::edge;
use crate::project::{Project, Side};

/// More lengths than this are mixed up at the board (our judgement).
const MOST: usize = 3;
/// A further length is worth its bundle where it saves this part of the cord (our judgement).
const WORTH: f64 = 0.05;
/// Columns are told in so many stretches at most.
const MOST_STRETCHES: usize = 8;

/// Folded cords that are cut to one length.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct ColumnGroup {
    /// The columns that they hang in: first and last of each stretch, from 0.
    pub(crate) columns: Vec<(usize, usize)>,
    /// How many cords.
    pub(crate) cords: usize,
    /// Chart rows down to the lowest of their knots.
    pub(crate) rows: usize,
}

/// The groups from the longest cords to the shortest, by the chart alone, so that they are the same at every gauge. Empty:
/// all cords are of one length.
pub(super) fn groups(project: &Project) -> Vec<ColumnGroup> {
    let rows = rows_of_cords(project);
    let mut lengths: Vec<usize> = rows.clone();
    lengths.sort_unstable_by(|a, b| b.cmp(a));
    lengths.dedup();
    if lengths.len() < 2 || !project.bottom.by_columns {
        return Vec::new();
    }
    let all = lengths[0] * rows.len();
    let mut best: (usize, Vec<usize>) = (all, vec![lengths[0]]);
    for count in 2..=MOST {
        let Some((cost, tops)) = cheapest(&rows, &lengths, count) else { break };
        if (best.0 - cost) as f64 >= WORTH * all as f64 && stretches(project, &rows, &tops) <= MOST_STRETCHES {
            best = (cost, tops);
        }
    }
    match best.1.as_slice() {
        [] | [_] => Vec::new(),
        tops => of_tops(project, &rows, tops),
    }
}

/// Chart rows down to the lowest knot that hangs on each cord, in the order in which they are hung.
fn rows_of_cords(project: &Project) -> Vec<usize> {
    let ends = edge::lower_edge(project, 0).ends;
    let pairs = folded_columns(project);
    pairs.into_iter().map(|columns| columns.map(|column| ends[column]).max().unwrap_or(0)).collect()
}

/// The columns of each folded cord. A single one hangs where the first row ends, so pairs are counted from the other edge.
fn folded_columns(project: &Project) -> Vec<std::ops::Range<usize>> {
    let columns = project.chart.columns();
    let each = if project.working.legs_per_column == 2 { 1 } else { 2 };
    let from = match project.working.first_row_from {
        Side::Left => 0,
        Side::Right => columns % each,
    };
    (0..columns / each).map(|cord| from + cord * each..from + (cord + 1) * each).collect()
}

/// Chart rows of the single cord's column.
pub(super) fn single_rows(project: &Project) -> usize {
    let whole = project.chart.rows();
    match (project.bottom.by_columns, project.working.first_row_from) {
        (false, _) => whole,
        (true, Side::Left) => edge::lower_edge(project, 0).ends.last().copied().unwrap_or(whole),
        (true, Side::Right) => edge::lower_edge(project, 0).ends.first().copied().unwrap_or(whole),
    }
}

/// What the cords take if each is cut to the shortest of the lengths `tops` that is enough for it.
fn cost(rows: &[usize], tops: &[usize]) -> usize {
    rows.iter().map(|own| top_of(*own, tops)).sum()
}

/// The shortest of `tops` (longest first) that is enough.
fn top_of(own: usize, tops: &[usize]) -> usize {
    tops.iter().rev().copied().find(|top| *top >= own).unwrap_or(own)
}

/// So many lengths that together take least.
fn cheapest(rows: &[usize], lengths: &[usize], count: usize) -> Option<(usize, Vec<usize>)> {
    let rest = &lengths[1..];
    let tried: Vec<Vec<usize>> = match count {
        2 => rest.iter().map(|second| vec![lengths[0], *second]).collect(),
        _ => rest
            .iter()
            .enumerate()
            .flat_map(|(at, second)| rest[at + 1..].iter().map(|third| vec![lengths[0], *second, *third]))
            .collect(),
    };
    tried.into_iter().map(|tops| (cost(rows, &tops), tops)).min_by_key(|(cost, _)| *cost)
}

fn stretches(project: &Project, rows: &[usize], tops: &[usize]) -> usize {
    of_tops(project, rows, tops).iter().map(|group| group.columns.len()).sum()
}

fn of_tops(project: &Project, rows: &[usize], tops: &[usize]) -> Vec<ColumnGroup> {
    let pairs = folded_columns(project);
    let group = |top: &usize| {
        let mut group = ColumnGroup { columns: Vec::new(), cords: 0, rows: *top };
        for (columns, _) in pairs.iter().zip(rows).filter(|(_, own)| top_of(**own, tops) == *top) {
            group.cords += 1;
            match group.columns.last_mut() {
                Some(last) if last.1 + 1 == columns.start => last.1 = columns.end - 1,
                Some(_) | None => group.columns.push((columns.start, columns.end - 1)),
            }
        }
        group
    };
    tops.iter().map(group).filter(|group| group.cords > 0).collect()
}

//! The lower edge of the knots, column by column, and the fleece that follows it a little inside.

use super::Gauge;
use super::rounding::up_to;
use crate::chart::Row;
use crate::project::Project;

/// Fleece of a shaped panel lies so far inside the knots, millimetres: a quarter of an inch (common practice, no source).
const INSIDE_MM: f64 = 6.35;
/// Where that would leave more than a tenth of the knots bare, it lies less far inside, but never less than this.
const INSIDE_LEAST_MM: f64 = 1.5;
/// The part of the knots that may stay bare.
const BARE: f64 = 0.08;
/// So many different heights are marked and cut by hand; more are drawn together, always to the inside.
const MAX_STEPS: usize = 24;

/// Where the knots of each column end.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LowerEdge {
    /// Rows from the top of the panel, header and all, to the last knot of each column and with it; 0: no knot.
    pub ends: Vec<usize>,
    /// Whether some column has a bare cell above its last knot.
    pub(crate) has_holes: bool,
}

/// A part of the fleece that is of one height. Measured from the fleece's own upper left corner as seen from the front.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FleeceStep {
    /// From where, millimetres.
    pub from_mm: f64,
    /// To where.
    pub to_mm: f64,
    /// How far it reaches down; 0: there is no fleece.
    pub height_mm: f64,
}

impl LowerEdge {
    /// Whether the knots do not all end in one row.
    pub fn is_shaped(&self) -> bool {
        self.ends.windows(2).any(|pair| pair[0] != pair[1])
    }

    /// Where a label lies on knots alone, as low as can be: its first and last column, from 0, and the rows from the top of the
    /// panel, header and all, that end at its lower edge. `None`: nowhere.
    pub(crate) fn place_of(&self, (width_mm, height_mm): (f64, f64), gauge: &Gauge) -> Option<(usize, usize, usize)> {
        let columns = (width_mm / gauge.column_mm).ceil().max(1.0) as usize;
        let rows = (height_mm / gauge.row_mm).ceil() as usize;
        let windows = self.ends.windows(columns).enumerate();
        let depths = windows.map(|(at, ends)| (at, ends.iter().copied().min().unwrap_or(0)));
        let fits = depths.filter(|(_, depth)| *depth >= rows);
        fits.max_by_key(|(_, depth)| *depth).map(|(at, depth)| (at, at + columns - 1, depth))
    }

    /// The way along it from the left upper corner round to the right one, millimetres.
    pub(crate) fn way_mm(&self, gauge: &Gauge) -> f64 {
        let high = |rows: usize| rows as f64 * gauge.row_mm;
        let steps = self.ends.windows(2).map(|pair| high(pair[0].abs_diff(pair[1]))).sum::<f64>();
        let sides = self.ends.first().map_or(0.0, |end| high(*end)) + self.ends.last().map_or(0.0, |end| high(*end));
        sides + steps + self.ends.len() as f64 * gauge.column_mm
    }
}

pub(super) fn lower_edge(project: &Project, header_rows: usize) -> LowerEdge {
    let chart = &project.chart;
    let mut ends = vec![header_rows; chart.columns()];
    let mut has_holes = false;
    for (column, end) in ends.iter_mut().enumerate() {
        let mut bare = 0;
        for row in 0..chart.rows() {
            if chart.row(Row(row)).get(column).is_some_and(Option::is_some) {
                has_holes |= bare > 0;
                *end = header_rows + row + 1;
                bare = 0;
            } else {
                bare += 1;
            }
        }
    }
    LowerEdge { ends, has_holes }
}

/// The fleece of a shaped panel, from left to right; empty where the panel is too small for one. It lies inside the knots
/// everywhere: at each place it reaches down as far as the highest column near by, and a little less.
pub(super) fn fleece(edge: &LowerEdge, gauge: &Gauge) -> Vec<FleeceStep> {
    let (column_mm, row_mm) = (gauge.column_mm, gauge.row_mm);
    let area: f64 = edge.ends.iter().map(|end| *end as f64 * row_mm * column_mm).sum();
    let round = edge.way_mm(gauge) + edge.ends.len() as f64 * column_mm;
    let inside = (BARE * area / round.max(1.0)).clamp(INSIDE_LEAST_MM, INSIDE_MM);
    let width = edge.ends.len() as f64 * column_mm;
    // Heights change only near the sides of columns.
    let mut cuts: Vec<f64> = (0..=edge.ends.len())
        .flat_map(|column| [column as f64 * column_mm - inside, column as f64 * column_mm + inside])
        .filter(|x| *x >= inside - 1e-9 && *x <= width - inside + 1e-9)
        .collect();
    cuts.sort_by(f64::total_cmp);
    cuts.dedup_by(|a, b| (*a - *b).abs() < 1e-9);
    let mut steps: Vec<FleeceStep> = Vec::new();
    for pair in cuts.windows(2) {
        let middle = (pair[0] + pair[1]) / 2.0;
        let column = |x: f64| ((x / column_mm).floor().max(0.0) as usize).min(edge.ends.len() - 1);
        let near = &edge.ends[column(middle - inside)..=column(middle + inside)];
        let end = near.iter().copied().min().unwrap_or(0) as f64 * row_mm;
        let height_mm = (end - 2.0 * inside).max(0.0);
        match steps.last_mut() {
            Some(last) if (last.height_mm - height_mm).abs() < 1e-9 => last.to_mm = pair[1] - inside,
            Some(_) | None => {
                steps.push(FleeceStep { from_mm: pair[0] - inside, to_mm: pair[1] - inside, height_mm });
            }
        }
    }
    while steps.len() > MAX_STEPS {
        draw_together(&mut steps);
    }
    // A tape shows millimetres: down in height, so that nothing shows.
    for step in &mut steps {
        step.height_mm = step.height_mm.floor();
    }
    if steps.iter().all(|step| step.height_mm < 1.0) { Vec::new() } else { steps }
}

/// Joins the two neighbours that lose least by it.
fn draw_together(steps: &mut Vec<FleeceStep>) {
    let loss = |pair: &[FleeceStep]| {
        let low = pair[0].height_mm.min(pair[1].height_mm);
        pair.iter().map(|step| (step.to_mm - step.from_mm) * (step.height_mm - low)).sum::<f64>()
    };
    let least = steps.windows(2).enumerate().min_by(|a, b| loss(a.1).total_cmp(&loss(b.1))).map(|(at, _)| at);
    if let Some(at) = least {
        let next = steps.remove(at + 1);
        let step = &mut steps[at];
        step.to_mm = next.to_mm;
        step.height_mm = step.height_mm.min(next.height_mm);
    }
}

/// Ribbon along both sides and the lower edge, up to whole centimetres, with what is turned in.
pub(super) fn ribbon_mm(edge: &LowerEdge, gauge: &Gauge, turned_in_mm: f64) -> f64 {
    up_to(edge.way_mm(gauge) + turned_in_mm, 10.0)
}

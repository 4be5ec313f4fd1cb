//! Which squares of an endless lattice are the chart: inside its lines where it has lines, else where colours change in
//! squares, or the whole picture where that is made of whole squares.

use super::period::{Fit, middle_near};
use crate::chart_read::edges::Edges;
use crate::chart_read::reading::{MAX_SIDE, Size};
use crate::geom::beside;

/// The chart's part of the lattice.
pub(super) struct Extent {
    pub(super) xs: Vec<f64>,
    pub(super) ys: Vec<f64>,
    /// Whether squares have lines around them.
    pub(super) lined: bool,
    /// The share of squares that show lines on all four sides.
    pub(super) framed: f64,
    pub(super) size_is_sure: bool,
    /// The share of edges inside that lie on lines, less what would by chance, for both directions together.
    pub(super) held: f64,
}

/// The share of a square's side that must be seen where squares have lines: symbols may cover some of it.
const SEEN: f32 = 0.6;
/// And where they have none: strokes of figures beside the chart are shorter than a square.
const SEEN_WHOLE: f32 = 0.8;

/// How whole the lines of outer columns and rows are, of those inside.
const WHOLE_AS: f32 = 0.88;

/// Sides of squares: for each the share that is an edge.
struct Sides {
    columns: usize,
    rows: usize,
    /// Upright sides, `columns + 1` a row.
    upright: Vec<f32>,
    /// Level sides, `columns` a line, `rows + 1` lines.
    level: Vec<f32>,
}

/// A box of squares: first and one past the last column and row.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Part {
    left: usize,
    right: usize,
    top: usize,
    bottom: usize,
}

impl Extent {
    pub(super) fn of(edges: &Edges, turned: &Edges, x: &Fit, y: &Fit, size: Size) -> Option<Extent> {
        let xs = lines(edges, x)?;
        let ys = lines(turned, y)?;
        let sides = Sides::of(edges, turned, (&xs, x), (&ys, y), 0.2);
        let framed = sides.framed();
        let lined = sides.largest(&framed).filter(|(part, share)| *share >= 0.55 && part.area() >= 64);
        if let Some((part, _)) = lined
            && x.period.min(y.period) >= 10.0
            && (between(edges, &xs, x, &ys, y, part) > 0.93 || between(turned, &ys, y, &xs, x, part.turned()) > 0.93)
        {
            // Lines run through the middle of the squares as well: they are half as large.
            return None;
        }
        let (part, share, sure) = match lined {
            Some((part, share)) => {
                let part = sides.trimmed(part, &framed, share);
                let inset = (1.2 / x.period.min(y.period)).max(0.1);
                let whole = Sides::of(edges, turned, (&xs, x), (&ys, y), inset);
                (whole.without_text(part, x.period.min(y.period), edges.slack == 0), share, true)
            }
            None => {
                let whole = whole(edges, &xs, x, &ys, y, &sides);
                let (part, sure) = match whole {
                    Some(part) => (part, true),
                    None => Sides::of(edges, turned, (&xs, x), (&ys, y), 0.08).changing()?,
                };
                (part, 0.0, sure)
            }
        };
        let (part, told) = sides.sized(part, size, &framed);
        let cut = |lines: &[f64], from: usize, to: usize| lines[from..=to].to_vec();
        let (xs, ys) = (cut(&xs, part.left, part.right), cut(&ys, part.top, part.bottom));
        let held = held(edges, &xs, x, &ys) * held(turned, &ys, y, &xs);
        Some(Extent { xs, ys, held, lined: lined.is_some(), framed: share, size_is_sure: sure || told })
    }
}

/// How whole lines half-way between two lines are, of how whole the lines themselves are.
fn between(edges: &Edges, xs: &[f64], x: &Fit, ys: &[f64], y: &Fit, part: Part) -> f32 {
    let xs = &xs[part.left..=part.right];
    let middles: Vec<f64> = xs.windows(2).map(|pair| (pair[0] + pair[1]) / 2.0).collect();
    let narrow = Fit { near: x.near.min(0.1 * x.period), ..*x };
    let mean = |lines: &[f64], fit: &Fit| {
        let seen = seen(edges, lines, fit, &ys[part.top..=part.bottom], 0.02 * y.period);
        seen.iter().sum::<f32>() / seen.len().max(1) as f32
    };
    mean(&middles, &narrow) / mean(xs, x).max(0.01)
}

impl Part {
    fn turned(self) -> Part {
        Part { left: self.top, right: self.bottom, top: self.left, bottom: self.right }
    }
    fn area(&self) -> usize {
        (self.right - self.left) * (self.bottom - self.top)
    }
}

/// All lines of a lattice that lie in the picture, each where its own edges are.
fn lines(edges: &Edges, fit: &Fit) -> Option<Vec<f64>> {
    let mut profile = vec![0.0; edges.width + 1];
    for line in edges.upright.chunks_exact(edges.width) {
        for (sum, edge) in profile.iter_mut().zip(line) {
            *sum += f64::from(u8::from(*edge > 0));
        }
    }
    let slip = (0.15 * fit.period).max(0.6);
    let before = ((fit.first + slip) / fit.period).floor();
    let start = fit.first - before * fit.period;
    let count = ((edges.width as f64 + slip - start) / fit.period).floor() as i64;
    if !(2..=4 * MAX_SIDE as i64).contains(&count) {
        return None;
    }
    // Every heavier line pushes those after it on by a pixel.
    let near = fit.near.max(2.0).min(0.3 * fit.period);
    let straight: Vec<f64> = (0..=count).map(|i| start + i as f64 * fit.period).collect();
    let found: Vec<Option<(f64, f64)>> = straight.iter().map(|&line| middle_near(&profile, line, near)).collect();
    let mut masses: Vec<f64> = found.iter().flatten().map(|(mass, _)| *mass).collect();
    masses.sort_by(f64::total_cmp);
    let enough = masses.get(masses.len() / 2).copied().unwrap_or(0.0) * 0.4;
    let own = |at: usize| found[at].filter(|(mass, _)| *mass >= enough).map(|(_, middle)| middle - straight[at]);
    let placed = (0..straight.len()).map(|at| {
        let moved = own(at).or_else(|| {
            let near =
                (1..4).find_map(|by| own(at.checked_sub(by)?).or_else(|| own((at + by).min(straight.len() - 1))));
            near.map(|moved| moved / 2.0)
        });
        straight[at] + moved.unwrap_or(0.0)
    });
    Some(placed.collect())
}

/// The share of upright edges between the outermost lines that lie on one, less what would by chance.
fn held(edges: &Edges, xs: &[f64], x: &Fit, ys: &[f64]) -> f64 {
    let near = x.near.min(0.3 * x.period);
    let (left, right) = (xs[0] - near, xs[xs.len() - 1] + near);
    let from = left.max(0.0) as usize;
    let to = (right.max(0.0).ceil() as usize).min(edges.width);
    let is_near = |at: usize| {
        let next = xs.partition_point(|line| *line < at as f64);
        let beside = [next.checked_sub(1), Some(next)];
        beside.into_iter().flatten().any(|line| xs.get(line).is_some_and(|line| (line - at as f64).abs() <= near))
    };
    let on_line: Vec<bool> = (from..to).map(is_near).collect();
    let (mut all, mut on) = (0_usize, 0_usize);
    let rows = ys[0].max(0.0) as usize..(ys[ys.len() - 1].max(0.0) as usize).min(edges.height);
    for y in rows {
        for (edge, near) in edges.upright[y * edges.width + from..y * edges.width + to.max(from)].iter().zip(&on_line) {
            if *edge > 0 {
                all += 1;
                on += usize::from(*near);
            }
        }
    }
    let chance = on_line.iter().filter(|near| **near).count() as f64 / on_line.len().max(1) as f64;
    ((on as f64 / all.max(1) as f64 - chance) / (1.0 - chance).max(0.05)).clamp(0.0, 1.0)
}

/// All of the picture, where it is made of whole squares from edge to edge.
fn whole(edges: &Edges, xs: &[f64], x: &Fit, ys: &[f64], y: &Fit, sides: &Sides) -> Option<Part> {
    let fits = |lines: &[f64], long: usize, period: f64| {
        let slip = (0.08 * period).max(0.6);
        lines[0].abs() <= slip && (lines[lines.len() - 1] - long as f64).abs() <= slip
    };
    let fitting = edges.may_be_whole && fits(xs, edges.width, x.period) && fits(ys, edges.height, y.period);
    fitting.then_some(Part { left: 0, right: sides.columns, top: 0, bottom: sides.rows })
}

impl Sides {
    /// `inset`: what is left out at both ends of a side.
    fn of(edges: &Edges, turned: &Edges, (xs, x): (&[f64], &Fit), (ys, y): (&[f64], &Fit), inset: f64) -> Sides {
        let (columns, rows) = (xs.len() - 1, ys.len() - 1);
        let upright = seen(edges, xs, x, ys, inset * y.period);
        let across = seen(turned, ys, y, xs, inset * x.period);
        // From line by line of the turned picture to reading order.
        let mut level = vec![0.0; columns * (rows + 1)];
        for column in 0..columns {
            for line in 0..=rows {
                level[line * columns + column] = across[column * (rows + 1) + line];
            }
        }
        Sides { columns, rows, upright, level }
    }

    fn side(&self, row: usize, line: usize, least: f32) -> bool {
        self.upright[row * (self.columns + 1) + line] >= least
    }

    fn level_side(&self, line: usize, column: usize, least: f32) -> bool {
        self.level[line * self.columns + column] >= least
    }

    /// Which squares show all four sides.
    fn framed(&self) -> Vec<bool> {
        let framed = |at: usize| {
            let (row, column) = (at / self.columns, at % self.columns);
            self.side(row, column, SEEN)
                && self.side(row, column + 1, SEEN)
                && self.level_side(row, column, SEEN)
                && self.level_side(row + 1, column, SEEN)
        };
        (0..self.columns * self.rows).map(framed).collect()
    }

    /// The box around the largest patch of squares that hang together, and the share of it that is such squares.
    fn largest(&self, is: &[bool]) -> Option<(Part, f64)> {
        let mut seen = vec![false; is.len()];
        let mut best: Option<(usize, Part)> = None;
        let mut patch: Vec<usize> = Vec::new();
        for start in 0..is.len() {
            if seen[start] || !is[start] {
                continue;
            }
            patch.clear();
            patch.push(start);
            seen[start] = true;
            let mut part = Part { left: usize::MAX, right: 0, top: usize::MAX, bottom: 0 };
            let mut next = 0;
            while next < patch.len() {
                let at = patch[next];
                next += 1;
                let (row, column) = (at / self.columns, at % self.columns);
                part.left = part.left.min(column);
                part.right = part.right.max(column + 1);
                part.top = part.top.min(row);
                part.bottom = part.bottom.max(row + 1);
                for other in beside(at, self.columns, self.rows) {
                    if is[other] && !seen[other] {
                        seen[other] = true;
                        patch.push(other);
                    }
                }
            }
            if best.is_none_or(|(most, _)| patch.len() > most) {
                best = Some((patch.len(), part));
            }
        }
        best.map(|(count, part)| (part, count as f64 / part.area() as f64))
    }

    /// Without outer rows and columns that have few framed squares beside the others, and no line of their own at the outer
    /// side: figures beside the grid may touch its lines.
    fn trimmed(&self, mut part: Part, framed: &[bool], share: f64) -> Part {
        let few = |cells: &mut dyn Iterator<Item = usize>| {
            let (mut all, mut of) = (0, 0);
            for at in cells {
                all += 1;
                of += usize::from(framed[at]);
            }
            (of as f64) < 0.6 * share * all as f64
        };
        let gaps = |seen: &mut dyn Iterator<Item = bool>| {
            let (mut all, mut of) = (0, 0);
            for seen in seen {
                all += 1;
                of += i32::from(seen);
            }
            of * 5 < all * 4
        };
        loop {
            let row = |row: usize, part: Part| (part.left..part.right).map(move |c| row * self.columns + c);
            let column = |column: usize, part: Part| (part.top..part.bottom).map(move |r| r * self.columns + column);
            let open_level = |line: usize, part: Part| {
                gaps(&mut (part.left..part.right).map(|column| self.level_side(line, column, SEEN)))
            };
            let open =
                |line: usize, part: Part| gaps(&mut (part.top..part.bottom).map(|row| self.side(row, line, SEEN)));
            let before = part;
            if part.bottom - part.top > 3 {
                part.top += usize::from(few(&mut row(part.top, part)) && open_level(part.top, part));
                part.bottom -= usize::from(few(&mut row(part.bottom - 1, part)) && open_level(part.bottom, part));
            }
            if part.right - part.left > 3 {
                part.left += usize::from(few(&mut column(part.left, part)) && open(part.left, part));
                part.right -= usize::from(few(&mut column(part.right - 1, part)) && open(part.right, part));
            }
            if part == before {
                return part;
            }
        }
    }

    /// Without outer columns and rows whose lines across are plainly less whole than those inside: figures beside the grid
    /// look like squares with gaps in their lines.
    fn without_text(&self, mut part: Part, smallest: f64, exact: bool) -> Part {
        let mean = |values: &mut dyn Iterator<Item = f32>| {
            let (sum, count) = values.fold((0.0, 0), |(sum, count), v| (sum + v, count + 1));
            sum / count.max(1) as f32
        };
        let column = |column: usize, part: Part| {
            mean(&mut (part.top..=part.bottom).map(|line| self.level[line * self.columns + column]))
        };
        let row = |row: usize, part: Part| {
            mean(&mut (part.left..=part.right).map(|line| self.upright[row * (self.columns + 1) + line]))
        };
        let middle = |mut values: Vec<f32>| {
            values.sort_by(f32::total_cmp);
            values.get(values.len() / 2).copied().unwrap_or(0.0)
        };
        let whole_as = if exact || smallest < 9.0 { 0.7 } else { WHOLE_AS };
        let across = whole_as * middle((part.left..part.right).map(|at| column(at, part)).collect());
        let down = whole_as * middle((part.top..part.bottom).map(|at| row(at, part)).collect());
        // The outermost line of a chart is as whole as the others; it may lie a little off, and then its squares are not.
        let upright = |line: usize, part: Part| {
            mean(&mut (part.top..part.bottom).map(|row| self.upright[row * (self.columns + 1) + line]))
        };
        let level = |line: usize, part: Part| {
            mean(&mut (part.left..part.right).map(|column| self.level[line * self.columns + column]))
        };
        let upright_usual = 0.95 * middle((part.left..=part.right).map(|line| upright(line, part)).collect());
        let level_usual = 0.95 * middle((part.top..=part.bottom).map(|line| level(line, part)).collect());
        let is_text = |squares: f32, usual: f32, line: f32, line_usual: f32| {
            squares < 0.9 * usual || (squares < usual && line < line_usual)
        };
        loop {
            let before = part;
            if part.right - part.left > 3 {
                let (left, right) = (part.left, part.right - 1);
                let cut = is_text(column(left, part), across, upright(left, part), upright_usual);
                part.right -=
                    usize::from(is_text(column(right, part), across, upright(right + 1, part), upright_usual));
                part.left += usize::from(cut);
            }
            if part.bottom - part.top > 3 {
                let (top, bottom) = (part.top, part.bottom - 1);
                let cut = is_text(row(top, part), down, level(top, part), level_usual);
                part.bottom -= usize::from(is_text(row(bottom, part), down, level(bottom + 1, part), level_usual));
                part.top += usize::from(cut);
            }
            if part == before {
                return part;
            }
        }
    }

    /// The box in which colours change from square to square, and whether it is bounded by such changes on all sides.
    fn changing(&self) -> Option<(Part, bool)> {
        // A square is of the chart where a side of it is seen, or of one not far from it.
        let mut near = vec![false; self.columns * self.rows];
        const REACH: usize = 1;
        let mut mark = |row: usize, column: usize| {
            for r in row.saturating_sub(REACH)..(row + REACH + 1).min(self.rows) {
                for c in column.saturating_sub(REACH)..(column + REACH + 1).min(self.columns) {
                    near[r * self.columns + c] = true;
                }
            }
        };
        let inner = (0..self.rows).flat_map(|row| (0..=self.columns).map(move |line| (row, line)));
        for (row, line) in inner.filter(|&(row, line)| self.side(row, line, SEEN_WHOLE)) {
            mark(row, line.min(self.columns - 1));
        }
        let inner = (0..=self.rows).flat_map(|line| (0..self.columns).map(move |column| (line, column)));
        for (line, column) in inner.filter(|&(line, column)| self.level_side(line, column, SEEN_WHOLE)) {
            mark(line.min(self.rows - 1), column);
        }
        let (around, _) = self.largest(&near)?;
        // Back to the outermost sides that are seen inside.
        let upright = |line: &usize| (around.top..around.bottom).any(|row| self.side(row, *line, SEEN_WHOLE));
        let level = |line: &usize| (around.left..around.right).any(|column| self.level_side(*line, column, SEEN_WHOLE));
        let part = Part {
            left: (around.left..=around.right).find(upright)?,
            right: (around.left..=around.right).rev().find(upright)?,
            top: (around.top..=around.bottom).find(level)?,
            bottom: (around.top..=around.bottom).rev().find(level)?,
        };
        if part.left >= part.right || part.top >= part.bottom {
            return None;
        }
        let share = |seen: usize, all: usize| seen * 4 >= all * 3;
        let (wide, high) = (part.right - part.left, part.bottom - part.top);
        let upright =
            |line: usize| share((part.top..part.bottom).filter(|&row| self.side(row, line, SEEN_WHOLE)).count(), high);
        let level = |line: usize| {
            share((part.left..part.right).filter(|&column| self.level_side(line, column, SEEN_WHOLE)).count(), wide)
        };
        // Figures and a key beside the chart change as well: where a whole line bounds it further in, that is its side.
        let bounded = |lines: &mut dyn Iterator<Item = usize>, is_whole: &dyn Fn(usize) -> bool, most: usize| {
            lines.take(most / 5 + 2).find(|line| is_whole(*line))
        };
        let part = Part {
            left: bounded(&mut (part.left..part.right), &upright, wide).unwrap_or(part.left),
            right: bounded(&mut (part.left + 1..=part.right).rev(), &upright, wide).unwrap_or(part.right),
            top: bounded(&mut (part.top..part.bottom), &level, high).unwrap_or(part.top),
            bottom: bounded(&mut (part.top + 1..=part.bottom).rev(), &level, high).unwrap_or(part.bottom),
        };
        if part.left >= part.right || part.top >= part.bottom {
            return None;
        }
        let sure = upright(part.left) && upright(part.right) && level(part.top) && level(part.bottom);
        Some((part, sure))
    }

    /// The box in the size that was said, laid where most framed squares are; whether both sides were said.
    fn sized(&self, part: Part, size: Size, framed: &[bool]) -> (Part, bool) {
        let fitted = |from: usize, to: usize, wanted: Option<usize>, all: usize, weight: &dyn Fn(usize) -> usize| {
            let Some(wanted) = wanted.filter(|wanted| *wanted != to - from && *wanted <= all) else {
                return (from, to);
            };
            let starts = if wanted > to - from {
                to.saturating_sub(wanted)..=from.min(all - wanted)
            } else {
                from..=to - wanted
            };
            let middle = (from + to) as i64 - wanted as i64;
            let judged = starts.map(|start| {
                let sum: usize = (start..start + wanted).map(weight).sum();
                (sum, core::cmp::Reverse((2 * start as i64 - middle).abs()), core::cmp::Reverse(start))
            });
            let start = judged.max().map_or(from, |(_, _, start)| start.0);
            (start, start + wanted)
        };
        let in_column = |column: usize| (0..self.rows).filter(|r| framed[r * self.columns + column]).count();
        let (left, right) = fitted(part.left, part.right, size.columns, self.columns, &in_column);
        let in_row = |row: usize| (0..self.columns).filter(|c| framed[row * self.columns + c]).count();
        let (top, bottom) = fitted(part.top, part.bottom, size.rows, self.rows, &in_row);
        (Part { left, right, top, bottom }, size.columns.is_some() && size.rows.is_some())
    }
}

/// For each square's side along lines at `xs`, between neighbouring `ys`, the share of it where an edge is near: row by row,
/// `xs.len()` a row.
fn seen(edges: &Edges, xs: &[f64], x: &Fit, ys: &[f64], inset: f64) -> Vec<f32> {
    // Wider than where lines gather: heavier lines push their neighbours about.
    let near = x.near.max((0.22 * x.period).min(2.2)).max(1.3).min(0.36 * x.period);
    let mut shares = Vec::with_capacity(xs.len() * (ys.len() - 1));
    for row in ys.windows(2) {
        let from = (row[0] + inset).round().max(0.0) as usize;
        let to = ((row[1] - inset).round().max(0.0) as usize).max(from + 1).min(edges.height);
        for &line in xs {
            let left = (line - near).ceil().max(0.0) as usize;
            let right = (((line + near).floor().max(-1.0) + 1.0) as usize).min(edges.width);
            let found = (from..to).filter(|y| {
                left < right && edges.upright[y * edges.width + left..y * edges.width + right].iter().any(|e| *e > 0)
            });
            shares.push(found.count() as f32 / to.saturating_sub(from).max(1) as f32);
        }
    }
    shares
}

//! The board: cords hang from it, and lengths hang at its back. She follows each row's line and the one rule, knot by knot,
//! and stops where they cannot be followed. The plan is not known here.

use super::booklet::Read;
use super::sentence::{Doing, Knots, RowInstruction, YarnName};

/// Consecutive knots of one yarn as she ties them, and how the yarn came there.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stretch {
    /// Which yarn.
    pub yarn: YarnName,
    /// How many knots.
    pub knots: usize,
    /// Which length of it, counted in the order of joining, all yarns together.
    pub length: usize,
    /// How the yarn comes; `None`: a new length is joined.
    pub comes: Option<Way>,
    /// Whether it was crossed once round another.
    pub linked: bool,
}

/// The way of a yarn from where it hung to where it is tied again.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Way {
    /// The stretch it comes from.
    pub stretch: usize,
    /// Columns across.
    pub across: usize,
    /// Rows down.
    pub down: usize,
    /// Whether the line named it, as the rule would have taken another.
    pub named: bool,
}

/// A finished panel.
#[derive(Clone, Debug, PartialEq)]
pub struct FinishedPanel {
    /// Every row: yarns from the left, `None` bare.
    pub rows: Vec<(String, Vec<Option<YarnName>>)>,
    /// All stretches in the order of tying.
    pub stretches: Vec<Stretch>,
}

/// A length that hangs at the back.
#[derive(Clone, Copy, Debug)]
struct Hanging {
    yarn: YarnName,
    length: usize,
    stretch: usize,
    /// The column it last tied, from 0.
    column: usize,
    /// Columns left of the place where it hangs: beside the cord it last tied, on the side that row went to.
    place: usize,
    row: usize,
}

struct Board {
    columns: usize,
    hanging: Vec<Hanging>,
    lengths: usize,
    tied: FinishedPanel,
}

/// Follows all rows of a booklet.
///
/// # Errors
/// Where the words cannot be followed, and why.
pub fn follow(read: &Read) -> Result<FinishedPanel, String> {
    follow_rows(read.hanging(), &read.rows)
}

/// Follows rows on so many cords.
///
/// # Errors
/// Where they cannot be followed, and why.
pub fn follow_rows(columns: usize, rows: &[RowInstruction]) -> Result<FinishedPanel, String> {
    let tied = FinishedPanel { rows: Vec::new(), stretches: Vec::new() };
    let mut board = Board { columns, hanging: Vec::new(), lengths: 0, tied };
    for told in rows {
        board.row(told).map_err(|why| format!("row {}: {why}", told.number))?;
    }
    if !board.hanging.is_empty() {
        return Err("the panel is finished, and something still hangs".into());
    }
    Ok(board.tied)
}

impl Board {
    fn row(&mut self, told: &RowInstruction) -> Result<(), String> {
        let row = self.tied.rows.len();
        let columns = self.columns;
        let column = |done: usize| if told.rightwards { done } else { columns - 1 - done };
        // The whole row as its line has it: she sees which cords will stay bare.
        let mut cells: Vec<Option<YarnName>> = Vec::new();
        for doing in &told.doings {
            let (count, yarn) = match doing {
                Doing::Bare(count) => (*count, None),
                Doing::Knots(knots) => (knots.count, Some(knots.yarn)),
            };
            if count == 0 || cells.len() + count > columns {
                return Err(format!("{count} more after {} of {columns} cords", cells.len()));
            }
            cells.extend(std::iter::repeat_n(yarn, count));
        }
        if cells.is_empty() {
            cells = vec![None; columns];
        }
        if cells.len() != columns {
            return Err(format!("{} of {columns} cords are said", cells.len()));
        }
        if !told.rightwards {
            cells.reverse();
        }
        self.tied.rows.push((told.number.clone(), cells));
        let mut done = 0;
        let mut before: Option<YarnName> = None;
        for doing in &told.doings {
            let knots = match doing {
                Doing::Bare(count) => {
                    done += count;
                    before = None;
                    continue;
                }
                Doing::Knots(knots) => knots,
            };
            if knots.link && before.is_none_or(|yarn| yarn == knots.yarn) {
                return Err("there is no other yarn just used to link with".into());
            }
            if before == Some(knots.yarn) {
                return Err("one stretch is said as two".into());
            }
            before = Some(knots.yarn);
            let begins = column(done) + usize::from(!told.rightwards);
            let taken = self.take(knots, begins, row, told.rightwards)?;
            done += knots.count;
            let last = column(done - 1);
            let length = taken.map_or(self.lengths, |hanging| hanging.length);
            self.lengths += usize::from(taken.is_none());
            let stretch = self.tied.stretches.len();
            let comes = taken.map(|hanging| Way {
                stretch: hanging.stretch,
                across: hanging.place.abs_diff(begins),
                down: row - hanging.row,
                named: knots.choice.is_some(),
            });
            self.tied.stretches.push(Stretch {
                yarn: knots.yarn,
                knots: knots.count,
                length,
                comes,
                linked: knots.link,
            });
            if !knots.cut {
                let place = if told.rightwards { last + 1 } else { last };
                self.hanging.push(Hanging { yarn: knots.yarn, length, stretch, column: last, place, row });
            }
        }
        Ok(())
    }

    /// The length she takes up; `None`: she joins a new one.
    fn take(&mut self, knots: &Knots, begins: usize, row: usize, rightwards: bool) -> Result<Option<Hanging>, String> {
        if knots.start {
            return if knots.choice.is_none() { Ok(None) } else { Err("started and taken up".into()) };
        }
        let at = match &knots.choice {
            Some((number, column)) => {
                let is_it = |h: &Hanging| h.column + 1 == *column && self.tied.rows[h.row].0 == *number;
                let found: Vec<usize> = (0..self.hanging.len()).filter(|at| is_it(&self.hanging[*at])).collect();
                match found[..] {
                    [at] if self.hanging[at].yarn == knots.yarn => Some(at),
                    _ => return Err(format!("no length of this yarn tied last in row {number}, column {column}")),
                }
            }
            None => self.by_the_rule(knots.yarn, begins, row, rightwards),
        };
        Ok(at.map(|at| self.hanging.remove(at)))
    }

    /// The rule, as it stands before the rows.
    fn by_the_rule(&self, yarn: YarnName, begins: usize, row: usize, rightwards: bool) -> Option<usize> {
        let is_bare = |row: usize, column: usize| self.tied.rows[row].1[column].is_none();
        let counts = |h: &Hanging| {
            h.yarn == yarn
                && !(h.place.min(begins)..h.place.max(begins)).any(|column| is_bare(row, column))
                && !(h.row + 1..row).any(|between| is_bare(between, h.column))
        };
        let mut best: Option<usize> = None;
        for at in (0..self.hanging.len()).filter(|at| counts(&self.hanging[*at])) {
            let is_better = |than: &Hanging| {
                let (one, two) = (&self.hanging[at], than);
                let (near, far) = (one.place.abs_diff(begins), two.place.abs_diff(begins));
                let comes_from = |h: &Hanging| (h.place < begins) == rightwards;
                near < far
                    || near == far && one.place != two.place && comes_from(one)
                    || one.place == two.place && one.row > two.row
            };
            if best.is_none_or(|than| is_better(&self.hanging[than])) {
                best = Some(at);
            }
        }
        best
    }
}

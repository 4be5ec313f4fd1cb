//! The board: cords hang from it, some yarns wait behind them, one is in her hand. She follows the words of each row, knot
//! by knot, and stops where they cannot be followed.

use super::booklet::Read;
use super::sentence::{Doing, Told, YarnName};

/// Consecutive knots of one yarn as she ties them, and how the yarn came there.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stretch {
    /// Which yarn.
    pub yarn: YarnName,
    /// How many knots.
    pub knots: usize,
    /// How the yarn comes.
    pub comes: Comes,
    /// Whether it was crossed once round another.
    pub linked: bool,
}

/// How a yarn comes to a stretch.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Comes {
    /// She starts it here.
    Started,
    /// From an earlier stretch, without a cut.
    From(Way),
}

/// The way of a yarn from where it was left to where it is tied again.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Way {
    /// The stretch it comes from.
    pub stretch: usize,
    /// Columns across.
    pub across: usize,
    /// Rows down.
    pub down: usize,
    /// Whether it was left waiting there; else it was in her hand all the time.
    pub waited: bool,
    /// Whether the words say that it is led.
    pub led: bool,
}

/// A finished panel.
#[derive(Clone, Debug, PartialEq)]
pub struct Tied {
    /// Every row: yarns from the left, `None` bare.
    pub rows: Vec<(String, Vec<Option<YarnName>>)>,
    /// All stretches in the order of tying.
    pub stretches: Vec<Stretch>,
}

/// A yarn whose end hangs behind a column.
#[derive(Clone, Debug)]
struct Hanging {
    yarn: YarnName,
    stretch: usize,
    /// The column it last tied, from 0.
    column: usize,
    /// The gap it left that column by.
    gap: usize,
    row: usize,
}

struct Board {
    columns: usize,
    waiting: Vec<Hanging>,
    hand: Option<Hanging>,
    tied: Tied,
}

/// What the words say between the knots.
#[derive(Default)]
struct Coming {
    /// Started here.
    start: Option<YarnName>,
    /// Just taken up.
    taken: bool,
    led: Option<Doing>,
    linked: Option<(YarnName, YarnName)>,
}

/// Follows all rows of a booklet.
///
/// # Errors
/// Where the words cannot be followed, and why.
pub fn follow(read: &Read) -> Result<Tied, String> {
    let tied = Tied { rows: Vec::new(), stretches: Vec::new() };
    let columns = read.hanging();
    let mut board = Board { columns, waiting: Vec::new(), hand: None, tied };
    for told in &read.rows {
        board.row(told).map_err(|why| format!("row {}: {why}", told.number))?;
    }
    if board.hand.is_some() || !board.waiting.is_empty() {
        return Err("the panel is finished, and something still hangs".into());
    }
    Ok(board.tied)
}

fn must(holds: bool, why: impl FnOnce() -> String) -> Result<(), String> {
    if holds { Ok(()) } else { Err(why()) }
}

impl Board {
    fn row(&mut self, told: &Told) -> Result<(), String> {
        let row = self.tied.rows.len();
        let mut cells: Vec<Option<YarnName>> = vec![None; self.columns];
        let mut coming = Coming::default();
        // Columns done so far, and the stretches of this row with the column each ends in.
        let mut done = 0;
        let mut here: Vec<(YarnName, usize)> = Vec::new();
        let columns = self.columns;
        let column = |done: usize| if told.rightwards { done } else { columns - 1 - done };
        must(told.rightwards == row.is_multiple_of(2) || row > 0, || "the first row starts at the wrong side".into())?;
        for doing in &told.doings {
            match doing {
                Doing::Bare(count) => {
                    done += count;
                    must(done <= columns, || "more columns than cords".into())?;
                }
                Doing::Start(yarn) => {
                    must(self.hand.is_none(), || "two yarns in one hand".into())?;
                    coming.start = Some(*yarn);
                }
                Doing::TakeUp { yarn, behind, since } => {
                    must(self.hand.is_none(), || "two yarns in one hand".into())?;
                    let fits = |h: &Hanging| {
                        h.yarn == *yarn
                            && behind.is_none_or(|column| column == h.column + 1)
                            && since.as_ref().is_none_or(|number| {
                                *number == if h.row == row { &told.number } else { &self.tied.rows[h.row].0 }.as_str()
                            })
                    };
                    let there: Vec<usize> =
                        self.waiting.iter().enumerate().filter(|(_, h)| fits(h)).map(|(at, _)| at).collect();
                    let [at] = there[..] else {
                        return Err(format!("{} yarns wait where one is to be taken up: {doing:?}", there.len()));
                    };
                    self.hand = Some(self.waiting.remove(at));
                    coming.taken = true;
                }
                Doing::Lead(yarn) => {
                    let held = self.hand.as_ref().map(|h| h.yarn);
                    must(held == Some(*yarn), || format!("yarn {yarn} is to be led and is not in hand"))?;
                }
                Doing::BehindKnots(..) | Doing::BehindLast(_) | Doing::BackBehindNext(_) => {
                    coming.led = Some(doing.clone());
                }
                Doing::Link(next, around) => {
                    must(here.last().is_some_and(|last| last.0 == *around), || {
                        "linked with a yarn not just used".into()
                    })?;
                    must(next != around, || "linked with itself".into())?;
                    coming.linked = Some((*next, *around));
                }
                Doing::Knots(count, yarn) => {
                    must(*count > 0 && done + count <= columns, || "more knots than cords".into())?;
                    let come = std::mem::take(&mut coming);
                    must(come.linked.is_none_or(|link| link.0 == *yarn), || "another yarn was linked".into())?;
                    let comes = self.come(*yarn, &come, row, column(done), told.rightwards, &here, &cells)?;
                    for _ in 0..*count {
                        cells[column(done)] = Some(*yarn);
                        done += 1;
                    }
                    let last = column(done - 1);
                    here.push((*yarn, *count));
                    let stretch = self.tied.stretches.len();
                    self.tied.stretches.push(Stretch {
                        yarn: *yarn,
                        knots: *count,
                        comes,
                        linked: come.linked.is_some(),
                    });
                    let gap = if told.rightwards { last + 1 } else { last };
                    self.hand = Some(Hanging { yarn: *yarn, stretch, column: last, gap, row });
                }
                Doing::LeaveWaiting(yarn) | Doing::Cut(yarn) => {
                    let Some(hand) = self.hand.take().filter(|h| h.yarn == *yarn && h.row == row) else {
                        return Err(format!("yarn {yarn} is not the one just used"));
                    };
                    if matches!(doing, Doing::LeaveWaiting(_)) {
                        self.waiting.push(hand);
                    }
                }
            }
        }
        must(done == columns || told.doings.is_empty(), || format!("{done} of {columns} columns are done"))?;
        let knots = cells.iter().flatten().count();
        must(knots == told.knots, || format!("{knots} knots are tied, {} are said", told.knots))?;
        self.tied.rows.push((told.number.clone(), cells));
        Ok(())
    }

    /// How the yarn comes to the column it ties next; looks whether it is where the words have it led.
    fn come(
        &mut self,
        yarn: YarnName,
        come: &Coming,
        row: usize,
        first: usize,
        rightwards: bool,
        here: &[(YarnName, usize)],
        cells: &[Option<YarnName>],
    ) -> Result<Comes, String> {
        if let Some(started) = come.start {
            must(started == yarn && come.led.is_none(), || "another yarn was started".into())?;
            return Ok(Comes::Started);
        }
        let Some(hand) = self.hand.take() else { return Err("no yarn is in hand".into()) };
        must(hand.yarn == yarn, || format!("yarn {} is in hand, and {yarn} is to be tied", hand.yarn))?;
        let enters = if rightwards { first } else { first + 1 };
        let (across, down) = (hand.gap.abs_diff(enters), row - hand.row);
        // The cords it passes: those between the two gaps.
        let passed = hand.gap.min(enters)..hand.gap.max(enters);
        let comes_from_behind = (hand.gap < enters) == rightwards;
        match &come.led {
            None => {
                let is_there = across == 0 || (across == 1 && down == 1);
                must(is_there, || format!("the yarn is {across} columns away, and nothing says to lead it"))?;
            }
            Some(led) => {
                let (Doing::BehindKnots(count, _) | Doing::BehindLast(count) | Doing::BackBehindNext(count)) = led
                else {
                    unreachable!("only these lead");
                };
                must(*count == across, || format!("led behind {count} columns, and it is {across} away"))?;
                let back = matches!(led, Doing::BackBehindNext(_));
                must(back != comes_from_behind, || "led to the wrong side".into())?;
                must(passed.clone().all(|column| cells[column].is_some() != back), || "led behind other cords".into())?;
                if let Doing::BehindKnots(count, over) = led {
                    must(here.last() == Some(&(*over, *count)), || "these are not the knots just tied".into())?;
                }
            }
        }
        let led = come.led.is_some();
        Ok(Comes::From(Way { stretch: hand.stretch, across, down, waited: come.taken, led }))
    }
}

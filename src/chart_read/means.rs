//! Kinds of squares settled by all of their pixels: each square goes to the kind whose mean it is most like. What packing,
//! scaling or a camera adds to one square, the mean of many has not.

mod cut;
mod groups;
mod mean;
mod same;

pub(super) use cut::Source;

use super::reading::{Doubt, MAX_KINDS, MAX_TOLD, SquareKind};
use super::symbols::{SAME_GROUND, Told};
use crate::colour::Colour;
use crate::geom::beside;
use cut::{Cut, Moves};
use mean::{Mean, Noise};

/// How often what is drawn is moved to where it fits best.
const ROUNDS: usize = 3;
/// How often kinds are parted and joined.
const PARTED: usize = 3;
/// Pixels by which what is drawn in a column or row of squares may lie beside what lines leave.
const MOVES: [f64; 8] = [-0.5, 0.5, -1.0, 1.0, -1.5, 1.5, -2.0, 2.0];
/// And at most this share of a square.
const MOST_MOVED: f64 = 0.2;
/// What is moved has to fit by so much better.
const BETTER: f32 = 0.85;
/// Small marks are moved by parts of a pixel too, from there, where that fits by so much better.
const FINE: [f64; 2] = [0.25, 0.125];
const BETTER_BY_PARTS: f32 = 0.97;
/// How often small marks are moved and parted again.
const AGAIN: usize = 3;
/// Marks in squares of fewer pixels are small, and of still fewer so small that several may look like one.
const SMALL: f64 = 13.0;
const TINY: f64 = 7.0;
/// Squares of a column or row that are looked at to learn where what is drawn lies.
const LEARNT_FROM: usize = 16;
/// A square is plainly more like another kind where it is so much nearer to that.
const PLAINLY: f32 = 0.75;
/// A square this much nearer to another kind than the usual is doubtful: its own distance over the other's.
const BETWEEN: f32 = 0.6;
/// And one that is so many times as far from its own kind as half of all squares are.
const UNLIKE: f32 = 6.0;
/// Half of all squares are taken to be so far from their own kind at least, in squares of noise a place.
const USUAL: f32 = 0.3;
/// One square in so many may be of kinds that are given away.
const RARE: usize = 20;

/// Which kind each square is of, and what the means of kinds are.
struct Settled {
    cut: Cut,
    of: Vec<u8>,
    means: Vec<Mean>,
    noise: Noise,
    /// As of [`Source`].
    are_small_marks: bool,
}

/// Kinds settled, from those that were told apart by grounds and symbols, and the squares that may be of another.
pub(super) fn settle(source: Source<'_>, told: &Told) -> (Vec<u8>, Vec<SquareKind>, Vec<Doubt>) {
    let rows = source.rows();
    if let Some(of) = same::kinds(source) {
        let moves = Moves { columns: vec![0.0; source.grid.columns], rows: vec![0.0; rows] };
        return Settled::of(source, &moves, of).finished(told, rows, &[]);
    }
    let source = Source { are_small_marks: are_small_marks(source, told), ..source };
    let mut moves = Moves { columns: vec![0.0; source.grid.columns], rows: vec![0.0; rows] };
    let mut now = Settled::of(source, &moves, told.cells.clone());
    now.join();
    for _ in 0..ROUNDS {
        if !now.means.iter().any(|mean| mean.is_drawn(now.cut.side)) {
            break;
        }
        let moved = now.moved(source);
        if moved == moves {
            break;
        }
        moves = moved;
        now = now.cut_anew(source, &moves);
        now.join();
    }
    now.assign();
    for _ in 0..PARTED {
        let parted = now.part();
        now.assign();
        let joined = now.join();
        now.assign();
        if !parted && !joined {
            break;
        }
    }
    for _ in 0..if source.are_small_marks { AGAIN } else { 0 } {
        // Where they lie is seen better once they are told apart, and they are told apart better then.
        let moved = now.moved(source);
        if moved == moves {
            break;
        }
        moves = moved;
        now = now.cut_anew(source, &moves);
        now.assign();
        now.part();
        now.assign();
        now.join();
        now.assign();
    }
    now.join();
    if now.means.len() == 1 {
        // Nothing is plain enough to hold against anything else: as it was told, and doubtful.
        now.of = told.cells.clone();
        now.learn();
    }
    let is_tiny = source.are_small_marks && source.least_side() < TINY;
    let are_all_doubtful = is_tiny || now.is_faint();
    let given_away = now.give_away_rare();
    let doubtful = if are_all_doubtful { (0..now.of.len()).collect() } else { given_away };
    now.finished(told, rows, &doubtful)
}

/// Whether nothing but marks of few pixels tells squares apart, in even light.
fn are_small_marks(source: Source<'_>, told: &Told) -> bool {
    source.light.is_empty() && source.least_side() < SMALL && told.is_of_one_ground()
}

impl Settled {
    fn of(source: Source<'_>, moves: &Moves, of: Vec<u8>) -> Settled {
        let cut = Cut::of(source, moves);
        let means = means(&cut, &of);
        let noise = Noise::of(&cut, &of, &means);
        Settled { cut, of, means, noise, are_small_marks: source.are_small_marks }
    }

    fn cut_anew(self, source: Source<'_>, moves: &Moves) -> Settled {
        Settled::of(source, moves, self.of)
    }

    /// Whether squares with these means are of two kinds.
    fn are_two(&self, cells: [&[usize]; 2], means: [&Mean; 2]) -> bool {
        means[0].is_apart(means[1], self.cut.side, &self.noise)
            || (self.are_small_marks && groups::stand_apart(&self.cut, &self.noise, cells, means))
    }

    fn learn(&mut self) {
        self.means = means(&self.cut, &self.of);
        self.noise = Noise::of(&self.cut, &self.of, &self.means);
    }

    fn far(&self, cell: usize, kind: usize, enough: f32) -> f32 {
        self.means[kind].far(&self.cut, cell, &self.noise, enough)
    }

    /// Each square to the kind that it is plainly more like than its own.
    fn assign(&mut self) {
        for cell in 0..self.of.len() {
            let own = self.of[cell];
            let mut best = (PLAINLY * self.far(cell, usize::from(own), f32::INFINITY), own);
            for kind in (0..self.means.len() as u8).filter(|&kind| kind != own) {
                let far = self.far(cell, usize::from(kind), best.0);
                if self.means[usize::from(kind)].squares > 0 && far < best.0 {
                    best = (far, kind);
                }
            }
            self.of[cell] = best.1;
        }
        self.learn();
    }

    /// By how many pixels what is drawn in each column and row lies beside what lines leave.
    fn moved(&self, source: Source<'_>) -> Moves {
        let columns = self.cut.columns;
        let rows = self.of.len() / columns;
        let (wide, high) = source.square();
        let best = |cells: Vec<usize>, by: &dyn Fn(f64) -> (f64, f64)| {
            let step = (cells.len() / LEARNT_FROM).max(1);
            let cost = |move_by: f64| -> f32 {
                let one = |&cell: &usize| {
                    let values = cut::seen(source, cell, by(move_by), self.cut.side);
                    self.means[usize::from(self.of[cell])].far_from(&self.cut, cell, &values, &self.noise)
                };
                cells.iter().step_by(step).map(one).sum()
            };
            let most = MOST_MOVED * wide.min(high);
            let least = |tried: &[f64], best: (f32, f64)| {
                tried.iter().filter(|by| by.abs() < most).fold(best, |best, &by| {
                    let far = cost(by);
                    if far < best.0 { (far, by) } else { best }
                })
            };
            let unmoved = cost(0.0);
            let mut best = least(&MOVES, (BETTER * unmoved, 0.0));
            if self.are_small_marks {
                if best.1 == 0.0 {
                    best.0 = BETTER_BY_PARTS * unmoved;
                }
                for step in FINE {
                    best = least(&[best.1 - step, best.1 + step], best);
                }
            }
            best.1
        };
        let column = |column: usize| best((0..rows).map(|row| row * columns + column).collect(), &|by| (by, 0.0));
        let row = |row: usize| best((0..columns).map(|column| row * columns + column).collect(), &|by| (0.0, by));
        Moves { columns: (0..columns).map(column).collect(), rows: (0..rows).map(row).collect() }
    }

    /// Gives squares that are like one another, and not like their kind, a kind of their own. Whether there were any.
    fn part(&mut self) -> bool {
        let first = self.means.len();
        let (mut count, mut kind) = (first, 0);
        while kind < count {
            let cells: Vec<usize> = (0..self.of.len()).filter(|&cell| usize::from(self.of[cell]) == kind).collect();
            match (count < MAX_KINDS).then(|| self.others(&cells)).flatten() {
                Some(others) => {
                    others.into_iter().for_each(|cell| self.of[cell] = count as u8);
                    count += 1;
                }
                None => kind += 1,
            }
        }
        self.means = means(&self.cut, &self.of);
        count > first
    }

    /// Those of some squares that are not like the others.
    fn others(&self, cells: &[usize]) -> Option<Vec<usize>> {
        const TRIES: usize = 6;
        const STEPS: usize = 5;
        if cells.len() < 4 {
            return None;
        }
        let far = |mean: &Mean, cell: usize, enough: f32| mean.far(&self.cut, cell, &self.noise, enough);
        let whole = Mean::of(&self.cut, cells);
        let to_whole: Vec<f32> = cells.iter().map(|&cell| far(&whole, cell, f32::INFINITY)).collect();
        let mut order: Vec<(f32, usize)> = to_whole.iter().copied().zip(cells.iter().copied()).collect();
        order.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
        order.iter().take(TRIES).find_map(|&(_, seed)| {
            let mut own = Mean::of(&self.cut, &[seed]);
            let mut rest: Option<Mean> = None;
            let mut others = Vec::new();
            for _ in 0..STEPS {
                let is_other = |&(&cell, to_whole): &(&usize, &f32)| {
                    let to_rest = rest.as_ref().map_or(*to_whole, |rest| far(rest, cell, f32::INFINITY));
                    far(&own, cell, to_rest) < to_rest
                };
                let (now, of_rest): (Vec<_>, Vec<_>) = cells.iter().zip(&to_whole).partition(is_other);
                if now.len() < 2 || of_rest.len() < 2 {
                    return None;
                }
                let now: Vec<usize> = now.into_iter().map(|(cell, _)| *cell).collect();
                let is_settled = now == others;
                others = now;
                if is_settled {
                    break;
                }
                let of_rest: Vec<usize> = of_rest.into_iter().map(|(cell, _)| *cell).collect();
                own = Mean::of(&self.cut, &others);
                rest = Some(Mean::of(&self.cut, &of_rest));
            }
            let rest = rest.as_ref().unwrap_or(&whole);
            let of_rest: Vec<usize> =
                cells.iter().copied().filter(|cell| others.binary_search(cell).is_err()).collect();
            self.are_two([&others, &of_rest], [&own, rest]).then_some(others)
        })
    }

    /// Makes kinds that are not apart one. Whether there were any.
    fn join(&mut self) -> bool {
        let mut order: Vec<usize> = (0..self.means.len()).filter(|&kind| self.means[kind].squares > 0).collect();
        order.sort_by_key(|&kind| (core::cmp::Reverse(self.means[kind].squares), kind));
        let mut kept: Vec<usize> = Vec::new();
        let mut into: Vec<u8> = vec![0; self.means.len()];
        let mut cells = vec![Vec::new(); self.means.len()];
        for (cell, &kind) in self.of.iter().enumerate() {
            cells[usize::from(kind)].push(cell);
        }
        for kind in order {
            let is_apart =
                |&other: &usize| self.are_two([&cells[kind], &cells[other]], [&self.means[kind], &self.means[other]]);
            let place = kept.iter().position(|other| !is_apart(other)).unwrap_or(kept.len());
            if place == kept.len() {
                kept.push(kind);
            }
            into[kind] = place as u8;
        }
        let any = kept.len() < self.means.len();
        self.of.iter_mut().for_each(|kind| *kind = into[usize::from(*kind)]);
        self.learn();
        any
    }

    /// Where there are more kinds than a project may have yarns, gives the squares of those that hardly any square is of to
    /// the kind they are most like: rather smudged than of a yarn of their own. Which squares those are.
    fn give_away_rare(&mut self) -> Vec<usize> {
        let mut order: Vec<usize> = (0..self.means.len()).collect();
        order.sort_by_key(|&kind| (core::cmp::Reverse(self.means[kind].squares), kind));
        let rare = order.split_off(MAX_TOLD.min(order.len()));
        let cells: Vec<usize> = (0..self.of.len()).filter(|&cell| rare.contains(&usize::from(self.of[cell]))).collect();
        if cells.len() * RARE > self.of.len() {
            return Vec::new();
        }
        for &cell in &cells {
            let far = |kind: usize| self.far(cell, kind, f32::INFINITY);
            let nearest = order.iter().copied().min_by(|&a, &b| far(a).total_cmp(&far(b)));
            self.of[cell] = nearest.unwrap_or(0) as u8;
        }
        for kind in rare {
            self.means[kind] = Mean::of(&self.cut, &[]);
        }
        for kind in order {
            self.means[kind].squares = self.of.iter().filter(|&&own| usize::from(own) == kind).count();
        }
        cells
    }

    /// Whether squares differ by what is drawn in them alone, and that is so faint that several symbols may look like one.
    fn is_faint(&self) -> bool {
        let kinds: Vec<&Mean> = self.means.iter().filter(|mean| mean.squares > 0).collect();
        let side = self.cut.side;
        let is_of_one_ground = |kind: &&Mean| !kind.is_of_other_ground(kinds[0], side, &self.noise);
        kinds.len() > 1 && kinds.iter().all(|kind| !kind.is_drawn(side)) && kinds.iter().all(is_of_one_ground)
    }

    /// `doubtful`: squares that are so whatever they are like.
    fn finished(self, told: &Told, rows: usize, doubtful: &[usize]) -> (Vec<u8>, Vec<SquareKind>, Vec<Doubt>) {
        let near: Vec<(f32, f32, u8)> = (0..self.of.len()).map(|cell| self.near(cell)).collect();
        let mut own: Vec<f32> = near.iter().map(|near| near.0).collect();
        own.sort_by(f32::total_cmp);
        let usual = own[own.len() / 2].max(USUAL);
        let doubt = |(cell, &(own, next, or)): (usize, &(f32, f32, u8))| {
            // The only square with something in it may be smudged as well as of its own kind.
            let mean = &self.means[usize::from(self.of[cell])];
            let alone = mean.squares == 1 && mean.is_drawn(self.cut.side);
            let is_doubtful = alone || own > BETWEEN * next || own > UNLIKE * usual;
            let is_doubtful = is_doubtful || doubtful.binary_search(&cell).is_ok();
            let kind_beside = || {
                let kinds = beside(cell, self.cut.columns, rows).map(|other| self.of[other]);
                kinds.into_iter().find(|kind| *kind != self.of[cell])
            };
            let or = if next.is_finite() { Some(or) } else { kind_beside() };
            or.filter(|_| is_doubtful).map(|or| Doubt { cell, or })
        };
        let doubts = near.iter().enumerate().filter_map(doubt).collect();
        let colours: Vec<Colour> = (0..self.means.len()).map(|kind| self.ground(told, kind)).collect();
        let kind = |kind: usize| {
            let own = (0..self.of.len()).filter(|&cell| usize::from(self.of[cell]) == kind);
            // The square nearest to the mean of its kind shows it best.
            let example = own.min_by(|&a, &b| near[a].0.total_cmp(&near[b].0).then(a.cmp(&b))).unwrap_or(0);
            let colour = colours[kind];
            let same = |other: usize| other != kind && colours[other].difference(colour) < SAME_GROUND;
            let by_symbol = (0..colours.len()).any(same);
            SquareKind { colour, count: self.means[kind].squares, by_symbol, example }
        };
        let kinds = (0..self.means.len()).map(kind).collect();
        (self.of, kinds, doubts)
    }

    /// How far a square is from its own kind, from the next, and which that is.
    fn near(&self, cell: usize) -> (f32, f32, u8) {
        let own = usize::from(self.of[cell]);
        let mut next = (f32::INFINITY, 0);
        for kind in (0..self.means.len()).filter(|&kind| kind != own) {
            let far = self.far(cell, kind, next.0);
            if far < next.0 {
                next = (far, kind as u8);
            }
        }
        (self.far(cell, own, f32::INFINITY), next.0, next.1)
    }

    /// The ground that most squares of a kind were told to have.
    fn ground(&self, told: &Told, kind: usize) -> Colour {
        let mut counts = vec![0_usize; told.colours.len()];
        for (cell, _) in self.of.iter().enumerate().filter(|(_, of)| usize::from(**of) == kind) {
            counts[usize::from(told.cells[cell])] += 1;
        }
        let most = (0..counts.len()).max_by_key(|&kind| (counts[kind], core::cmp::Reverse(kind))).unwrap_or(0);
        told.colours[most]
    }
}

fn means(cut: &Cut, of: &[u8]) -> Vec<Mean> {
    let count = of.iter().copied().max().map_or(0, usize::from) + 1;
    let mut cells = vec![Vec::new(); count];
    for (cell, &kind) in of.iter().enumerate() {
        cells[usize::from(kind)].push(cell);
    }
    cells.iter().map(|cells| Mean::of(cut, cells)).collect()
}

#[cfg(test)]
mod tests;

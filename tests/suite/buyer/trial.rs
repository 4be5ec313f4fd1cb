//! One panel tied by one pair of hands with what was bought: lengths are cut from the ball, used up, and kept, as the
//! booklet says. Each yarn has its own ball, so each is tied through by itself, in the order of the rows.

use super::board::{FinishedPanel, Stretch};
use super::booklet::Read;
use super::hand::{Hand, Nature};
use super::sentence::YarnName;

/// What she does at a change of colour.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Changes {
    /// All that the rows say.
    AsPlanned,
    /// Where a yarn would be led or brought down further than a turn, she cuts it there and starts it anew.
    CutsWhatIsLed,
}

/// Everything that does not change from trial to trial.
pub struct Bench<'a> {
    read: &'a Read,
    nature: Nature,
    /// Stretches of each yarn.
    yarns: Vec<Vec<Bit>>,
}

/// A stretch on the bench.
#[derive(Clone, Copy, Debug)]
struct Bit {
    knots: usize,
    /// Where its yarn comes from, among the same yarn's stretches.
    from: Option<usize>,
    /// Yarn of the way, without her bias.
    way: f64,
    /// Whether it comes further than a turn.
    led: bool,
    /// The stretch its yarn goes to.
    to: Option<usize>,
}

/// How a trial went.
#[derive(Clone, Debug, PartialEq)]
pub struct Went {
    /// Yarn taken from the ball, each yarn; only what was needed.
    pub taken: Vec<f64>,
    /// Yarns of which there was not enough.
    pub short: Vec<YarnName>,
}

/// Lengths as she measures them.
#[derive(Clone, Copy)]
struct Measures {
    length: f64,
    tail: f64,
    keep: f64,
}

impl<'a> Bench<'a> {
    /// Sorts a tied panel by yarns.
    pub fn new(read: &'a Read, tied: &FinishedPanel, nature: Nature) -> Bench<'a> {
        let mut yarns: Vec<Vec<Bit>> = vec![Vec::new(); read.yarns.len()];
        let mut place = Vec::with_capacity(tied.stretches.len());
        for Stretch { yarn, knots, comes, linked, length: _ } in &tied.stretches {
            let of = &mut yarns[*yarn];
            place.push(of.len());
            let mut bit = Bit { knots: *knots, from: None, way: 0.0, led: false, to: None };
            if *linked {
                bit.way += nature.link();
            }
            if let Some(way) = comes {
                let from = place[way.stretch];
                bit.from = Some(from);
                bit.way += nature.way(way.across, way.down);
                bit.led = way.down != 1 || way.across > 1;
                of[from].to = Some(of.len());
            }
            of.push(bit);
        }
        Bench { read, nature, yarns }
    }

    /// How many times each yarn is led or brought down further than a turn.
    pub fn carries(&self) -> Vec<usize> {
        self.yarns.iter().map(|bits| bits.iter().filter(|bit| bit.from.is_some() && bit.led).count()).collect()
    }

    /// One trial. `bought` is what she has of each yarn, millimetres; `metric` is how she measures.
    pub fn tie(&self, bought: &[f64], changes: Changes, hand: Hand, metric: bool, dice: &mut fastrand::Rng) -> Went {
        let read = self.read;
        let with = Measures { length: read.length.by(metric), tail: read.tail.by(metric), keep: read.keep.by(metric) };
        let mut went = Went { taken: Vec::with_capacity(bought.len()), short: Vec::new() };
        for (yarn, bits) in self.yarns.iter().enumerate() {
            let told = (with.length - 2.0 * with.tail) / read.yarns[yarn].knots_in_length as f64;
            let mut basket = Basket { ball: bought[yarn], kept: Vec::new(), with, knot: self.nature.knot, hand };
            match basket.tie(bits, changes, told, dice) {
                Ok(()) => {}
                Err(RanShort) => went.short.push(yarn),
            }
            went.taken.push(bought[yarn] - basket.ball);
        }
        went
    }
}

/// There is not enough left for another knot.
struct RanShort;

/// One yarn: what is on the ball, and pieces kept, short ones first.
struct Basket {
    ball: f64,
    kept: Vec<f64>,
    with: Measures,
    knot: f64,
    hand: Hand,
}

/// A piece in use: what is left of it, and how tightly she ties with it.
#[derive(Clone, Copy)]
struct Piece {
    left: f64,
    tension: f64,
}

impl Basket {
    fn tie(&mut self, bits: &[Bit], changes: Changes, told: f64, dice: &mut fastrand::Rng) -> Result<(), RanShort> {
        let cuts = |bit: &Bit| match changes {
            Changes::AsPlanned => false,
            Changes::CutsWhatIsLed => bit.led,
        };
        let goes_on = |at: usize| bits[at].to.filter(|to| !cuts(&bits[*to]));
        // What each stretch has in hand from the one before.
        let mut hanging: Vec<Option<Piece>> = vec![None; bits.len()];
        for (at, bit) in bits.iter().enumerate() {
            let tail = self.with.tail;
            let mut piece = match hanging[at].take() {
                Some(piece) if cuts(bit) => {
                    self.keep(piece.left - tail);
                    self.take(rest(bits, at, &goes_on), told, dice)?
                }
                Some(mut piece) => {
                    piece.left -= bit.way * piece.tension;
                    piece
                }
                None => self.take(rest(bits, at, &goes_on), told, dice)?,
            };
            let mut knots = bit.knots;
            loop {
                let one = self.knot * piece.tension;
                let fits = (((piece.left - tail) / one + 1e-9).floor().max(0.0) as usize).min(knots);
                piece.left -= fits as f64 * one;
                knots -= fits;
                if knots == 0 {
                    break;
                }
                // Too short for another knot: both ends stay in the panel as tails.
                piece = self.take(knots + rest(bits, at, &goes_on) - bit.knots, told, dice)?;
            }
            let hangs = match bit.to {
                None => None,
                // It hangs until she comes to cut it.
                Some(to) if cuts(&bits[to]) => Some(to),
                // It waits, or goes straight on, if it is enough for the way and a knot.
                Some(to) => Some(to).filter(|to| piece.left - tail >= (bits[*to].way + self.knot) * piece.tension),
            };
            match hangs {
                Some(to) => hanging[to] = Some(piece),
                None => self.keep(piece.left - tail),
            }
        }
        Ok(())
    }

    /// The shortest kept piece that holds so many knots by the booklet's own figure, else a fresh length; when the ball is
    /// used up, what there is. Gives the piece without its first tail.
    fn take(&mut self, knots: usize, told: f64, dice: &mut fastrand::Rng) -> Result<Piece, RanShort> {
        let need = knots as f64 * told + 2.0 * self.with.tail;
        let tension = self.hand.length(dice);
        let least = self.knot * tension + 2.0 * self.with.tail;
        let holds = self.kept.partition_point(|piece| *piece < need.max(least));
        let piece = if holds < self.kept.len() {
            self.kept.remove(holds)
        } else if self.ball >= self.with.length {
            self.ball -= self.with.length;
            self.with.length
        } else if self.ball >= least {
            std::mem::take(&mut self.ball)
        } else {
            self.kept.pop().filter(|piece| *piece >= least).ok_or(RanShort)?
        };
        Ok(Piece { left: piece - self.with.tail, tension })
    }

    fn keep(&mut self, left: f64) {
        if left >= self.with.keep {
            let at = self.kept.partition_point(|piece| *piece < left);
            self.kept.insert(at, left);
        }
    }
}

/// Knots from this stretch on until the yarn is cut.
fn rest(bits: &[Bit], at: usize, goes_on: &impl Fn(usize) -> Option<usize>) -> usize {
    let mut knots = bits[at].knots;
    let mut at = at;
    while let Some(to) = goes_on(at) {
        knots += bits[to].knots;
        at = to;
    }
    knots
}

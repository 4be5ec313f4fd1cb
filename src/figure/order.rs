//! From the bottom up: in which order the stretches of all cords and slabs are painted so that what lies above hides
//! what lies below.
//!
//! Cords are cut into short pieces; pieces that overlap are painted by height; neighbouring pieces of one cord are
//! painted in one go as far as that allows, so that a drawing has few seams.
//!
//! Long, and one subject: one search for an order, whose steps share its tables.

use super::curve::{Curve, StagePoint};
use std::cmp::Reverse;
use std::collections::BTreeSet;
use std::ops::Range;

/// Samples in one piece: a quarter of the width of the cord.
const PIECE: usize = 3;

/// Something flat that hides and is hidden as a whole.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Slab {
    /// Left, top, right, bottom in millimetres.
    pub(crate) corners: [f64; 4],
    /// Height.
    pub(crate) z: f64,
}

/// One thing to paint.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum PaintStep {
    /// A stretch of a cord.
    Stretch {
        /// Which cord.
        cord: usize,
        /// Its samples, both ends shared with the neighbouring stretches.
        samples: Range<usize>,
        /// Where within it another cord dips below.
        over: Vec<Range<usize>>,
    },
    /// A slab, whole.
    Slab(usize),
}

struct CordPiece {
    cord: usize,
    leg: usize,
    samples: Range<usize>,
    middle: usize,
    waits_for: usize,
    over: bool,
    done: bool,
    /// Which of [`ACROSS`] lie under something.
    covered: u8,
}

/// How a cord takes part.
#[derive(Clone, Copy, Debug)]
pub(crate) struct PaintRules {
    /// Whether it is shown to dip below others.
    pub(crate) dips: bool,
    /// Whether it hides what lies below it.
    pub(crate) hides: bool,
}

/// Places across a piece, as shares of half its width, at which it is asked whether anything of it can be seen.
const ACROSS: [f64; 5] = [-1.0, -0.5, 0.0, 0.5, 1.0];

/// The order of painting. Pieces that are wholly hidden are left out: a drawing should stay light.
pub(crate) fn order(cords: &[&Curve], slabs: &[Slab], manners: &[PaintRules]) -> Vec<PaintStep> {
    let mut pieces = pieces(cords);
    let mut pairs = overlaps(cords, &mut pieces, manners);
    hide(&mut pieces);
    // Nothing waits for what is hidden.
    pairs.retain(|(below, _)| !pieces[*below as usize].done);
    // Slabs are numbered after the pieces.
    let slab_number = |slab: usize| (pieces.len() + slab) as u32;
    for (s, slab) in slabs.iter().enumerate() {
        for (p, piece) in pieces.iter().enumerate().filter(|(_, piece)| !piece.done) {
            let sample = &cords[piece.cord].samples[piece.middle];
            let out = sample.half + STEP_OUT;
            let [left, top, right, bottom] = slab.corners;
            let inside = sample.at[0] > left - out
                && sample.at[0] < right + out
                && sample.at[1] > top - out
                && sample.at[1] < bottom + out;
            if inside {
                let (piece, slab_here) = (p as u32, slab_number(s));
                pairs.push(if sample.z >= slab.z { (slab_here, piece) } else { (piece, slab_here) });
            }
        }
        for (t, other) in slabs.iter().enumerate() {
            if (slab.z, s) < (other.z, t) {
                pairs.push((slab_number(s), slab_number(t)));
            }
        }
    }
    let above = Overlaps::new(&pairs, pieces.len() + slabs.len());
    paint(cords, pieces, &above, slabs.len())
}

/// A piece or slab, and one that lies on it.
type Pair = (u32, u32);

/// What lies on each piece and slab.
struct Overlaps {
    /// Where what lies on each of them begins in `above`, and the length of it at the end.
    starts: Vec<u32>,
    above: Vec<u32>,
}

impl Overlaps {
    /// For so many pieces and slabs.
    fn new(pairs: &[Pair], count: usize) -> Overlaps {
        let mut starts = vec![0; count + 1];
        pairs.iter().for_each(|(below, _)| starts[*below as usize + 1] += 1);
        for at in 0..count {
            starts[at + 1] += starts[at];
        }
        let mut next = starts.clone();
        let mut above = vec![0; pairs.len()];
        for &(below, on_it) in pairs {
            let next = &mut next[below as usize];
            above[*next as usize] = on_it;
            *next += 1;
        }
        Overlaps { starts, above }
    }

    /// Everything that lies on this one.
    fn of(&self, below: usize) -> &[u32] {
        &self.above[self.starts[below] as usize..self.starts[below + 1] as usize]
    }
}

/// Stretches are painted a little longer than they are, so overlaps start a little sooner, millimetres.
const SEAM: f64 = 0.25;
/// A slab's outline is drawn half outside it.
const STEP_OUT: f64 = 0.3;

fn pieces(cords: &[&Curve]) -> Vec<CordPiece> {
    let mut pieces = Vec::new();
    for (cord, curve) in cords.iter().enumerate() {
        let mut start = 0;
        for (leg, end) in curve.folds.iter().copied().chain([curve.samples.len()]).enumerate() {
            let mut from = start;
            while from + 1 < end {
                // The last piece takes the rest, so that none is a stub.
                let to = if from + 2 * PIECE >= end { end - 1 } else { from + PIECE };
                pieces.push(CordPiece {
                    cord,
                    leg,
                    samples: from..to + 1,
                    middle: (from + to) / 2,
                    waits_for: 0,
                    over: false,
                    done: false,
                    covered: 0,
                });
                from = to;
            }
            start = end;
        }
    }
    pieces
}

/// What is compared of a piece: its middle.
#[derive(Clone, Copy)]
struct Middle {
    at: StagePoint,
    half: f64,
    run: f64,
    /// Pieces of one leg have one number.
    leg: u32,
    wide: bool,
    piece: usize,
}

/// Every piece that lies on another one, with what the pieces learn of it.
fn overlaps(cords: &[&Curve], pieces: &mut [CordPiece], manners: &[PaintRules]) -> Vec<Pair> {
    let mut pairs = Vec::new();
    let mut halves: Vec<f64> = pieces.iter().map(|piece| cords[piece.cord].samples[piece.middle].half).collect();
    halves.sort_by(f64::total_cmp);
    // Pieces are compared with those in fields near them only. Fields are as wide as most cords' reach; a wide piece, of
    // wood say, looks further, and looks for the narrow ones too.
    let narrow = halves.get(halves.len() * 9 / 10).map_or(0.5, |most| most * 1.05).max(0.25);
    let widest = halves.last().copied().unwrap_or(narrow);
    let mut leg = 0;
    let middles: Vec<Middle> = pieces
        .iter()
        .enumerate()
        .map(|(p, piece)| {
            let before = p.checked_sub(1).map(|b| &pieces[b]);
            leg += u32::from(before.is_some_and(|b| (b.cord, b.leg) != (piece.cord, piece.leg)));
            let sample = &cords[piece.cord].samples[piece.middle];
            Middle { at: sample.at, half: sample.half, run: sample.run, leg, wide: sample.half > narrow, piece: p }
        })
        .collect();
    let side = narrow * 2.0 + SEAM;
    let fields = Fields::new(middles, side);
    for mine in &fields.members {
        let mut look = |near: &[Middle], own_field: bool| {
            for other in near {
                let reach = mine.half + other.half;
                // Most pairs of neighbouring fields lie apart: they cost no more than this.
                if (mine.at[0] - other.at[0]).abs() >= reach + SEAM || (mine.at[1] - other.at[1]).abs() >= reach + SEAM
                {
                    continue;
                }
                // Each pair once: two wide pieces by their order, two narrow ones by their fields.
                let taken = match (mine.wide, other.wide) {
                    (true, true) => other.piece > mine.piece,
                    (true, false) => true,
                    (false, true) => false,
                    (false, false) => other.piece > mine.piece || !own_field,
                };
                // A cord overlaps itself only where it comes back: within a wide bend it does not.
                if taken && (mine.leg != other.leg || (mine.run - other.run).abs() >= reach * 1.05) {
                    compare(
                        cords,
                        pieces,
                        mine.piece.min(other.piece),
                        mine.piece.max(other.piece),
                        manners,
                        &mut pairs,
                    );
                }
            }
        };
        if mine.wide {
            fields.around(mine.at, mine.half + widest + SEAM).for_each(|near| look(near, false));
        } else {
            let [own, ahead @ ..] = fields.ahead(mine.at);
            look(own, true);
            ahead.into_iter().for_each(|near| look(near, false));
        }
    }
    pairs
}

/// Square fields of a drawing, each with the middles that lie in it.
struct Fields {
    least: StagePoint,
    side: f64,
    columns: usize,
    rows: usize,
    /// Where those of each field begin in `members`, field by field in rows; and their number at the end.
    starts: Vec<usize>,
    members: Vec<Middle>,
}

impl Fields {
    /// More fields than this would be mostly empty.
    const MAX_FIELDS: usize = 1 << 20;

    fn new(middles: Vec<Middle>, side: f64) -> Fields {
        let bound = |axis: usize, pick: fn(f64, f64) -> f64| middles.iter().map(|middle| middle.at[axis]).reduce(pick);
        let least = [bound(0, f64::min).unwrap_or(0.0), bound(1, f64::min).unwrap_or(0.0)];
        let most = [bound(0, f64::max).unwrap_or(0.0), bound(1, f64::max).unwrap_or(0.0)];
        let mut side = side;
        let count = |side: f64, axis: usize| ((most[axis] - least[axis]) / side) as usize + 1;
        while count(side, 0).saturating_mul(count(side, 1)) > Fields::MAX_FIELDS {
            side *= 2.0;
        }
        let (columns, rows) = (count(side, 0), count(side, 1));
        let mut fields = Fields { least, side, columns, rows, starts: vec![0; columns * rows + 1], members: middles };
        let mut members: Vec<(usize, Middle)> =
            std::mem::take(&mut fields.members).into_iter().map(|middle| (fields.of(middle.at), middle)).collect();
        members.sort_by_key(|(field, middle)| (*field, middle.piece));
        members.iter().for_each(|(field, _)| fields.starts[field + 1] += 1);
        for field in 0..columns * rows {
            fields.starts[field + 1] += fields.starts[field];
        }
        fields.members = members.into_iter().map(|(_, middle)| middle).collect();
        fields
    }

    fn column_and_row(&self, place: StagePoint) -> (usize, usize) {
        let at = |axis: usize| ((place[axis] - self.least[axis]) / self.side) as usize;
        (at(0).min(self.columns - 1), at(1).min(self.rows - 1))
    }

    fn of(&self, place: StagePoint) -> usize {
        let (column, row) = self.column_and_row(place);
        row * self.columns + column
    }

    /// The members of the field of a place, of the next one in its row, and of the three below: with those of all other
    /// places, every pair of neighbouring fields once.
    fn ahead(&self, place: StagePoint) -> [&[Middle]; 3] {
        let (column, row) = self.column_and_row(place);
        let members = |row: usize, first: usize, last: usize| {
            let at = |column: usize| self.starts[row * self.columns + column];
            &self.members[at(first)..self.starts[row * self.columns + last + 1]]
        };
        let last = (column + 1).min(self.columns - 1);
        let beside = if last > column { members(row, last, last) } else { &[] };
        let below = if row + 1 < self.rows { members(row + 1, column.saturating_sub(1), last) } else { &[] };
        [members(row, column, column), beside, below]
    }

    /// The members of all fields within reach of a place, row by row.
    fn around(&self, place: StagePoint, reach: f64) -> impl Iterator<Item = &[Middle]> {
        let (left, top) = self.column_and_row([place[0] - reach, place[1] - reach]);
        let (right, bottom) = self.column_and_row([place[0] + reach, place[1] + reach]);
        (top..=bottom).map(move |row| {
            let (first, last) = (row * self.columns + left, row * self.columns + right);
            &self.members[self.starts[first]..self.starts[last + 1]]
        })
    }
}

/// The square of two places' distance.
fn squared(a: StagePoint, b: StagePoint) -> f64 {
    let (x, y) = (a[0] - b[0], a[1] - b[1]);
    x * x + y * y
}

/// Makes the upper of two pieces wait for the lower one where they overlap.
fn compare(
    cords: &[&Curve],
    pieces: &mut [CordPiece],
    a: usize,
    b: usize,
    manners: &[PaintRules],
    pairs: &mut Vec<Pair>,
) {
    let (pa, pb) = (&pieces[a], &pieces[b]);
    let (sa, sb) = (&cords[pa.cord].samples[pa.middle], &cords[pb.cord].samples[pb.middle]);
    let reach = sa.half + sb.half;
    let height = (sa.z - sb.z).abs();
    let folded = pa.cord == pb.cord && pa.leg.abs_diff(pb.leg) == 1;
    let alongside = (sa.along[0] * sb.along[0] + sa.along[1] * sb.along[1]).abs() > 0.9;
    // Cords that lie side by side touch and do not overlap; cords that cross overlap a little sooner than they touch.
    let near = if alongside && !folded { reach * 0.9 } else { reach + SEAM };
    if height < 0.02 || squared(sa.at, sb.at) >= near * near {
        return;
    }
    let (low, high) = if sa.z < sb.z { (a, b) } else { (b, a) };
    let dip = !alongside && manners[pieces[low].cord].dips && height > 0.4 && !sa.close && !sb.close;
    pairs.push((low as u32, high as u32));
    pieces[high].over |= dip;
    if manners[pieces[high].cord].hides {
        let (below, above) = if low == a { (sa, sb) } else { (sb, sa) };
        // A little less than the whole width, because only middles of pieces are compared; at a fold the upper leg's
        // rounded tip covers the lower one's.
        let cover = above.half * if folded { 1.02 } else { 0.93 };
        for (bit, share) in ACROSS.into_iter().enumerate() {
            if pieces[low].covered & 1 << bit == 0 && squared(below.beside(share), above.at) < cover * cover {
                pieces[low].covered |= 1 << bit;
            }
        }
    }
}

/// Takes hidden pieces out from the ends of legs inwards: nothing waits for them. Those in between stay, so that a
/// stretch that dips below something is still painted in one go.
fn hide(pieces: &mut [CordPiece]) {
    let hidden = |piece: &CordPiece| piece.covered == (1 << ACROSS.len()) - 1;
    let leg = |piece: &CordPiece| (piece.cord, piece.leg);
    let mut gone = vec![false; pieces.len()];
    for at in 0..pieces.len() {
        let starts = at == 0 || leg(&pieces[at - 1]) != leg(&pieces[at]);
        gone[at] |= hidden(&pieces[at]) && (starts || gone[at - 1]);
    }
    for at in (0..pieces.len()).rev() {
        let ends = at + 1 == pieces.len() || leg(&pieces[at + 1]) != leg(&pieces[at]);
        gone[at] |= hidden(&pieces[at]) && (ends || gone[at + 1]);
    }
    for (piece, gone) in pieces.iter_mut().zip(gone) {
        piece.done = gone;
    }
}

fn paint(cords: &[&Curve], mut pieces: Vec<CordPiece>, above: &Overlaps, slabs: usize) -> Vec<PaintStep> {
    let slabs_from = pieces.len();
    let mut slab_waits = vec![0_usize; slabs];
    for &later in &above.above {
        match (later as usize).checked_sub(slabs_from) {
            Some(slab) => slab_waits[slab] += 1,
            None => pieces[later as usize].waits_for += 1,
        }
    }
    let mut slab_done = vec![false; slabs];
    let mut ready = BestRuns::new(&pieces);
    let mut steps = Vec::new();
    loop {
        // Slabs first: the sooner they are down, the longer the stretches on top can be.
        if let Some(s) = (0..slabs).find(|&s| !slab_done[s] && slab_waits[s] == 0) {
            slab_done[s] = true;
            release(above.of(slabs_from + s), &mut pieces, &mut slab_waits, &mut ready);
            steps.push(PaintStep::Slab(s));
            continue;
        }
        let Some(run) = ready.best(&pieces) else { break };
        let cord = pieces[run.start].cord;
        let samples = pieces[run.start].samples.start..pieces[run.end - 1].samples.end;
        let mut over: Vec<Range<usize>> = Vec::new();
        ready.changed(run.start);
        for p in run {
            pieces[p].done = true;
            release(above.of(p), &mut pieces, &mut slab_waits, &mut ready);
            if pieces[p].over {
                match over.last_mut() {
                    Some(last) if last.end + 1 >= pieces[p].samples.start => last.end = pieces[p].samples.end,
                    _ => over.push(pieces[p].samples.clone()),
                }
            }
        }
        assert!(samples.end <= cords[cord].samples.len());
        steps.push(PaintStep::Stretch { cord, samples, over });
    }
    steps
}

fn release(above: &[u32], pieces: &mut [CordPiece], slab_waits: &mut [usize], ready: &mut BestRuns) {
    for later in above.iter().map(|later| *later as usize) {
        if let Some(slab) = later.checked_sub(pieces.len()) {
            slab_waits[slab] -= 1;
        } else {
            pieces[later].waits_for -= 1;
            if pieces[later].waits_for == 0 {
                ready.changed(later);
            }
        }
    }
}

/// How soon a run is painted: bounded at both sides, then longer, before others.
type Rank = (bool, usize);

/// The best run of every leg. A step changes few legs, so only those are searched again.
struct BestRuns {
    /// First piece of each leg, and the number of pieces at the end.
    legs: Vec<usize>,
    best: Vec<Option<(Rank, Range<usize>)>>,
    /// The legs that have one, the best last; of equals the first leg.
    ranked: BTreeSet<(Rank, Reverse<usize>)>,
    /// Legs to be searched again, and whether each is among them.
    stale: Vec<usize>,
    is_stale: Vec<bool>,
}

impl BestRuns {
    fn new(pieces: &[CordPiece]) -> BestRuns {
        let starts = |at: &usize| {
            let before = at.checked_sub(1).map(|b| &pieces[b]);
            before.is_none_or(|b| (b.cord, b.leg) != (pieces[*at].cord, pieces[*at].leg))
        };
        let mut legs: Vec<usize> = (0..pieces.len()).filter(starts).collect();
        let count = legs.len();
        legs.push(pieces.len());
        let stale = (0..count).collect();
        BestRuns { legs, best: vec![None; count], ranked: BTreeSet::new(), stale, is_stale: vec![true; count] }
    }

    /// The leg of this piece is to be searched again.
    fn changed(&mut self, piece: usize) {
        let leg = self.legs.partition_point(|&first| first <= piece) - 1;
        if !std::mem::replace(&mut self.is_stale[leg], true) {
            self.stale.push(leg);
        }
    }

    /// The best run of all; of equals the first.
    fn best(&mut self, pieces: &[CordPiece]) -> Option<Range<usize>> {
        for leg in std::mem::take(&mut self.stale) {
            self.is_stale[leg] = false;
            if let Some((rank, _)) = &self.best[leg] {
                self.ranked.remove(&(*rank, Reverse(leg)));
            }
            self.best[leg] = best_run(pieces, self.legs[leg]..self.legs[leg + 1]);
            if let Some((rank, _)) = &self.best[leg] {
                self.ranked.insert((*rank, Reverse(leg)));
            }
        }
        let &(_, Reverse(leg)) = self.ranked.last()?;
        self.best[leg].as_ref().map(|(_, run)| run.clone())
    }
}

/// The longest stretch of a leg's pieces that wait for nothing; one that is bounded by painted pieces or the leg's ends at
/// both sides is taken before one that could still grow.
fn best_run(pieces: &[CordPiece], leg: Range<usize>) -> Option<(Rank, Range<usize>)> {
    let ready = |piece: &CordPiece| !piece.done && piece.waits_for == 0;
    let mut best: Option<(Rank, Range<usize>)> = None;
    let mut at = leg.start;
    while at < leg.end {
        if !ready(&pieces[at]) {
            at += 1;
            continue;
        }
        let start = at;
        while at < leg.end && ready(&pieces[at]) {
            at += 1;
        }
        let whole = (start == leg.start || pieces[start - 1].done) && (at == leg.end || pieces[at].done);
        let rank = (whole, at - start);
        if best.as_ref().is_none_or(|(r, _)| rank > *r) {
            best = Some((rank, start..at));
        }
    }
    best
}

//! Which yarn gets which symbol: heavy ones for dark yarns, and neighbours on the chart unlike each other.
//!
//! A small quadratic assignment: the best start by weight alone, then exchanges as long as one helps. The result does
//! not depend on the ink, so that every print of a pattern names a yarn by the same symbol.

use super::likeness::Differences;
use super::set::SET;
use super::{find, geometry};
use crate::colour::Colour;

/// What a yarn's symbol costs for standing off its weight by the whole range.
const WEIGHT: f64 = 4.0;
/// What it costs for being like the symbols of touching yarns.
const NEIGHBOURS: f64 = 6.0;
/// The same for all other yarns: they stand side by side in the key.
const OTHERS: f64 = 0.5;
/// Symbols of one kin count as this much of their drawn difference.
const KIN: f64 = 0.5;
/// What the last symbol of the set costs over the first, so that a chart of few yarns takes the plainest.
const PLAINNESS: f64 = 0.12;
/// Weights asked of white yarn and of black.
const LIGHTEST: f64 = 0.22;
const HEAVIEST: f64 = 0.88;

/// How often two yarns touch side by side or one above the other: a symmetrical table of `yarns` by `yarns`, its
/// diagonal zero. `cells` are in reading order; an index of `yarns` or more (255: bare) touches nothing.
pub fn touches(columns: usize, cells: &[u8], yarns: usize) -> Vec<Vec<u32>> {
    let mut table = vec![vec![0_u32; yarns]; yarns];
    let mut touch = |a: u8, b: u8| {
        let (a, b) = (usize::from(a), usize::from(b));
        if a != b && a < yarns && b < yarns {
            table[a][b] += 1;
            table[b][a] += 1;
        }
    };
    for (at, &cell) in cells.iter().enumerate() {
        if at % columns.max(1) > 0 {
            touch(cells[at - 1], cell);
        }
        if at >= columns {
            touch(cells[at - columns], cell);
        }
    }
    table
}

/// A symbol for every yarn, named as in [`super::SYMBOLS`] and all different. A yarn is its colour and the symbol pinned
/// to it, which it keeps; a pin that names no symbol or one already pinned is passed over. `touch` is as
/// [`touches`] makes it. Ties go to the lower index. Yarns beyond the number of symbols get none, an empty name.
pub fn assign(yarns: &[(Colour, Option<&str>)], touch: &[Vec<u32>]) -> Vec<String> {
    let count = yarns.len().min(SET.len());
    let mut place: Vec<Option<usize>> = vec![None; count];
    let mut taken = [false; SET.len()];
    for (yarn, &(_, pin)) in yarns.iter().take(count).enumerate() {
        if let Some(symbol) = pin.and_then(find).filter(|&symbol| !taken[symbol]) {
            place[yarn] = Some(symbol);
            taken[symbol] = true;
        }
    }
    let pinned: Vec<bool> = place.iter().map(Option::is_some).collect();
    let costs = Costs::new(&yarns[..count], touch);

    // The darkest and the lightest are the hardest to serve, so they choose first.
    let mut order: Vec<usize> = (0..count).filter(|&yarn| !pinned[yarn]).collect();
    let middle = (LIGHTEST + HEAVIEST) / 2.0;
    order.sort_by(|&a, &b| (costs.wanted[b] - middle).abs().total_cmp(&(costs.wanted[a] - middle).abs()));
    for yarn in order {
        let mut best: Option<(f64, usize)> = None;
        for symbol in (0..SET.len()).filter(|&symbol| !taken[symbol]) {
            let cost = costs.alone(yarn, symbol);
            if best.is_none_or(|(least, _)| cost < least) {
                best = Some((cost, symbol));
            }
        }
        if let Some((_, symbol)) = best {
            place[yarn] = Some(symbol);
            taken[symbol] = true;
        }
    }

    let mut now: Vec<usize> = place.into_iter().flatten().collect();
    costs.improve(&mut now, &pinned);
    let named = now.into_iter().map(|symbol| SET[symbol].name.to_owned());
    named.chain(std::iter::repeat_n(String::new(), yarns.len() - count)).collect()
}

/// What an assignment costs.
struct Costs {
    /// Weight wanted for each yarn.
    wanted: Vec<f64>,
    /// Weight of each symbol.
    weights: Vec<f64>,
    /// How much the likeness of two yarns' symbols matters.
    matters: Vec<Vec<f64>>,
    differences: Differences,
}

impl Costs {
    fn new(yarns: &[(Colour, Option<&str>)], touch: &[Vec<u32>]) -> Costs {
        let count = yarns.len();
        let lightness: Vec<f64> = yarns.iter().map(|(colour, _)| colour.lab().l).collect();
        let wanted = (0..count)
            .map(|yarn| {
                // Half the yarn's own lightness, half its rank among the others: charts in close tones still use the
                // whole range.
                let lighter = (0..count).filter(|&other| lightness[other] > lightness[yarn]).count();
                let equal = (0..count).filter(|&other| lightness[other] == lightness[yarn]).count() - 1;
                let rank = (lighter as f64 + equal as f64 / 2.0) / (count - 1).max(1) as f64;
                let dark = (1.0 - lightness[yarn] / 100.0
                    + if count > 1 { rank } else { 1.0 - lightness[yarn] / 100.0 })
                    / 2.0;
                LIGHTEST + (HEAVIEST - LIGHTEST) * dark
            })
            .collect();
        let touching = |a: usize, b: usize| f64::from(touch.get(a).and_then(|row| row.get(b)).copied().unwrap_or(0));
        let most =
            (0..count).flat_map(|a| (0..count).map(move |b| (a, b))).map(|(a, b)| touching(a, b)).fold(1.0, f64::max);
        let matters = (0..count)
            .map(|a| {
                // The root keeps a pair that meets seldom, yet meets, from counting for nothing.
                (0..count).map(|b| (NEIGHBOURS * (touching(a, b) / most).sqrt() + OTHERS) / count as f64).collect()
            })
            .collect();
        Costs {
            wanted,
            weights: SET.iter().map(|symbol| geometry::inked(symbol.parts)).collect(),
            matters,
            differences: Differences::new(),
        }
    }

    /// One yarn's cost whatever the others have.
    fn alone(&self, yarn: usize, symbol: usize) -> f64 {
        let off = self.weights[symbol] - self.wanted[yarn];
        WEIGHT * off * off + PLAINNESS * symbol as f64 / SET.len() as f64
    }

    /// How unlike two symbols are.
    fn apart(&self, a: usize, b: usize) -> f64 {
        self.differences.between(a, b) * if SET[a].kin == SET[b].kin { KIN } else { 1.0 }
    }

    /// What all costs more when the yarns of `changes` take the symbols beside them; the others keep theirs.
    fn change(&self, now: &[usize], changes: &[(usize, usize)]) -> f64 {
        let alone = changes.iter().map(|&(yarn, symbol)| self.alone(yarn, symbol) - self.alone(yarn, now[yarn]));
        let beside = changes.iter().map(|&(yarn, symbol)| {
            let others = (0..now.len()).filter(|other| changes.iter().all(|(changed, _)| changed != other));
            let row = &self.matters[yarn];
            // Each of two yarns pays for their likeness.
            2.0 * others
                .map(|other| row[other] * (self.apart(now[yarn], now[other]) - self.apart(symbol, now[other])))
                .sum::<f64>()
        });
        // Two yarns that exchange their symbols are as like each other as before.
        alone.sum::<f64>() + beside.sum::<f64>()
    }

    /// Exchanges two yarns' symbols, or one yarn's for a free one, always the exchange that helps most.
    fn improve(&self, now: &mut [usize], pinned: &[bool]) {
        // Each round lowers the cost by more than a rounding error; the bound only guards the time.
        for _ in 0..400 {
            let mut holder = [None; SET.len()];
            now.iter().enumerate().for_each(|(yarn, &symbol)| holder[symbol] = Some(yarn));
            let mut best: Option<(f64, usize, usize)> = None;
            for yarn in (0..now.len()).filter(|&yarn| !pinned[yarn]) {
                for (symbol, holder) in holder.iter().enumerate() {
                    let more = match *holder {
                        Some(other) if other <= yarn || pinned[other] => continue,
                        Some(other) => self.change(now, &[(yarn, symbol), (other, now[yarn])]),
                        None => self.change(now, &[(yarn, symbol)]),
                    };
                    // Of equals the first, whatever the last digits say.
                    if best.is_none_or(|(least, ..)| more < least - 1e-12) {
                        best = Some((more, yarn, symbol));
                    }
                }
            }
            match best {
                Some((more, yarn, symbol)) if more < -1e-9 => {
                    if let Some(other) = holder[symbol] {
                        now[other] = now[yarn];
                    }
                    now[yarn] = symbol;
                }
                Some(_) | None => break,
            }
        }
    }
}

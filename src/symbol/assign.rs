//! Which yarn gets which symbol: the darker the yarn the heavier its symbol, and neighbours on the chart unlike each other.
//!
//! Tone comes first: of the yarns whose symbols are not pinned a darker one always has a heavier symbol, the lightest of
//! them the lightest symbol there is. What that leaves open serves likeness. The result does not depend on the ink, so that
//! every print of a pattern names a yarn by the same symbol.

use super::likeness::Differences;
use super::set::SET;
use super::{find, geometry};
use crate::colour::Colour;

/// What a yarn's symbol costs for standing off its weight by the whole range.
const WEIGHT: f64 = 14.0;
/// What it costs for being like the symbols of touching yarns.
const NEIGHBOURS: f64 = 6.0;
/// The same for all other yarns: they stand side by side in the key.
const OTHERS: f64 = 0.5;
/// Symbols of one kin count as this much of their drawn difference.
const KIN: f64 = 0.5;
/// Weights asked of the lightest yarn of a chart and of the darkest.
const LIGHTEST: f64 = 0.04;
const HEAVIEST: f64 = 0.8;
/// How the weights between them bend: middle tones are asked for less than the middle, because they are most of a picture
/// and black on white darkens fast.
const BEND: f64 = 1.3;
/// Of two yarns one after the other the darker has a symbol heavier by this for each L* between them, up to a point: the
/// heavier lines beside some cells must not turn two yarns over. What a shortfall costs, squared.
const HEAVIER: f64 = 0.005;
const HEAVIER_AT_MOST: f64 = 0.05;
const SHORTFALL: f64 = 16_000.0;
/// The darkest of two yarns or more has a symbol of at least this weight. Black, it fills 45 hundredths of a cell.
pub(super) const MIN_OF_DARKEST: f64 = 0.67;

/// How often two yarns touch side by side or one above the other: a symmetrical table of `yarns` by `yarns`, its
/// diagonal zero. `cells` are in reading order; a bare one and an index of `yarns` or more touch nothing.
pub(crate) fn touches(columns: usize, cells: &[Option<u8>], yarns: usize) -> Vec<Vec<u32>> {
    let mut table = vec![vec![0_u32; yarns]; yarns];
    let mut touch = |a: Option<u8>, b: Option<u8>| {
        let (Some(a), Some(b)) = (a, b) else { return };
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
pub(crate) fn assign(yarns: &[(Colour, Option<&str>)], touch: &[Vec<u32>]) -> Vec<String> {
    let count = yarns.len().min(SET.len());
    let mut place: Vec<Option<usize>> = vec![None; count];
    let mut taken = [false; SET.len()];
    for (yarn, &(_, pin)) in yarns.iter().take(count).enumerate() {
        if let Some(symbol) = pin.and_then(find).filter(|&symbol| !taken[symbol]) {
            place[yarn] = Some(symbol);
            taken[symbol] = true;
        }
    }
    let costs = Costs::new(&yarns[..count], touch);
    // The lightest first, as the set is sorted.
    let mut order: Vec<usize> = (0..count).filter(|&yarn| place[yarn].is_none()).collect();
    order.sort_by(|&a, &b| costs.lightness[b].total_cmp(&costs.lightness[a]));
    let free: Vec<usize> = (0..SET.len()).filter(|&symbol| !taken[symbol]).collect();
    for (yarn, symbol) in order.iter().zip(costs.by_weight(&order, &free)) {
        place[*yarn] = Some(symbol);
    }
    let mut now: Vec<usize> = place.into_iter().flatten().collect();
    costs.improve(&mut now, &order, &free);
    let named = now.into_iter().map(|symbol| SET[symbol].name.to_owned());
    named.chain(std::iter::repeat_n(String::new(), yarns.len() - count)).collect()
}

/// What an assignment costs.
struct Costs {
    /// L* of each yarn.
    lightness: Vec<f64>,
    /// Weight wanted for each yarn.
    wanted: Vec<f64>,
    /// Weight of each symbol.
    weights: Vec<f64>,
    /// How much the likeness of two yarns' symbols matters.
    matters: Vec<Vec<f64>>,
    differences: &'static Differences,
}

impl Costs {
    fn new(yarns: &[(Colour, Option<&str>)], touch: &[Vec<u32>]) -> Costs {
        let count = yarns.len();
        let lightness: Vec<f64> = yarns.iter().map(|(colour, _)| colour.lab().l).collect();
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
            wanted: wanted(&lightness),
            lightness,
            weights: SET.iter().map(|symbol| geometry::inked(symbol.parts)).collect(),
            matters,
            differences: Differences::of_the_set(),
        }
    }

    /// One yarn's cost whatever the others have.
    fn alone(&self, yarn: usize, symbol: usize) -> f64 {
        let off = self.weights[symbol] - self.wanted[yarn];
        WEIGHT * off * off
    }

    /// Whether a yarn may have a symbol, by its place in the order from light to dark: both ends are bound.
    fn may(&self, at: usize, of: usize, symbol: usize, free: &[usize]) -> bool {
        let heavy = at + 1 == of && of > 1;
        let enough = self.weights[symbol] >= MIN_OF_DARKEST;
        (at > 0 || of == 1 || free.first() == Some(&symbol)) && (!heavy || enough)
    }

    /// Symbols for yarns from light to dark, each heavier than the one before, that fit the wanted weights best.
    fn by_weight(&self, order: &[usize], free: &[usize]) -> Vec<usize> {
        // Least cost of the yarns up to this one where it has the free symbol at that place, and the place of the one before.
        let mut best: Vec<Vec<(f64, usize)>> = Vec::with_capacity(order.len());
        for (at, &yarn) in order.iter().enumerate() {
            let mut row = vec![(f64::INFINITY, 0); free.len()];
            for (i, &symbol) in free.iter().enumerate() {
                if !self.may(at, order.len(), symbol, free) {
                    continue;
                }
                let mut before = (if at == 0 { 0.0 } else { f64::INFINITY }, 0);
                if at > 0 {
                    for (j, (cost, _)) in best[at - 1].iter().enumerate().take(i) {
                        let cost = cost + self.too_near((order[at - 1], free[j]), (yarn, symbol));
                        if cost < before.0 {
                            before = (cost, j);
                        }
                    }
                }
                row[i] = (before.0 + self.alone(yarn, symbol), before.1);
            }
            best.push(row);
        }
        let last = best.last().and_then(|row| {
            let ends = row.iter().enumerate().filter(|(_, (cost, _))| cost.is_finite());
            ends.min_by(|a, b| a.1.0.total_cmp(&b.1.0)).map(|(i, _)| i)
        });
        // Where pins have taken what the ends ask for, the heaviest that are left, in order.
        let Some(mut i) = last else { return free[free.len() - order.len()..].to_vec() };
        let mut out = vec![0; order.len()];
        for at in (0..order.len()).rev() {
            out[at] = free[i];
            i = best[at][i].1;
        }
        out
    }

    /// What two yarns with their symbols cost, the lighter first, where these do not differ enough in weight.
    fn too_near(&self, lighter: (usize, usize), darker: (usize, usize)) -> f64 {
        let between = self.lightness[lighter.0] - self.lightness[darker.0];
        let short = (between * HEAVIER).min(HEAVIER_AT_MOST) - (self.weights[darker.1] - self.weights[lighter.1]);
        SHORTFALL * short.max(0.0) * short.max(0.0)
    }

    /// How unlike two symbols are.
    fn apart(&self, a: usize, b: usize) -> f64 {
        self.differences.between(a, b) * if SET[a].kin == SET[b].kin { KIN } else { 1.0 }
    }

    /// What all costs more when a yarn takes this symbol.
    fn change(&self, now: &[usize], yarn: usize, symbol: usize) -> f64 {
        let others = (0..now.len()).filter(|other| *other != yarn);
        let row = &self.matters[yarn];
        // Each of two yarns pays for their likeness.
        let beside = 2.0
            * others
                .map(|other| row[other] * (self.apart(now[yarn], now[other]) - self.apart(symbol, now[other])))
                .sum::<f64>();
        self.alone(yarn, symbol) - self.alone(yarn, now[yarn]) + beside
    }

    /// Gives yarns other free symbols between those of the next lighter and the next darker one, always where it helps most.
    fn improve(&self, now: &mut [usize], order: &[usize], free: &[usize]) {
        // Each round lowers the cost by more than a rounding error; the bound only guards the time.
        for _ in 0..400 {
            let mut best: Option<(f64, usize, usize)> = None;
            for (at, &yarn) in order.iter().enumerate() {
                let from = at.checked_sub(1).map(|before| now[order[before]]);
                let to = order.get(at + 1).map(|after| now[*after]);
                let between = |symbol: usize| {
                    from.is_none_or(|from| symbol > from) && to.is_none_or(|to| symbol < to) && symbol != now[yarn]
                };
                for &symbol in free.iter().filter(|&&symbol| between(symbol)) {
                    if !self.may(at, order.len(), symbol, free) {
                        continue;
                    }
                    let near = |symbol: usize| {
                        let before = at.checked_sub(1).map(|before| order[before]);
                        let lighter = before.map(|other| self.too_near((other, now[other]), (yarn, symbol)));
                        let darker = order.get(at + 1).map(|&other| self.too_near((yarn, symbol), (other, now[other])));
                        lighter.unwrap_or_default() + darker.unwrap_or_default()
                    };
                    let more = self.change(now, yarn, symbol) + near(symbol) - near(now[yarn]);
                    // Of equals the first, whatever the last digits say.
                    if best.is_none_or(|(least, ..)| more < least - 1e-12) {
                        best = Some((more, yarn, symbol));
                    }
                }
            }
            match best {
                Some((more, yarn, symbol)) if more < -1e-9 => now[yarn] = symbol,
                Some(_) | None => break,
            }
        }
    }
}

/// The weight that each yarn's symbol should have.
fn wanted(lightness: &[f64]) -> Vec<f64> {
    let count = lightness.len();
    let lightest = lightness.iter().copied().fold(0.0, f64::max);
    let darkest = lightness.iter().copied().fold(100.0, f64::min);
    let range = lightest - darkest;
    let of = |yarn: usize| {
        if count < 2 || range <= 0.0 {
            return LIGHTEST + (HEAVIEST - LIGHTEST) * (1.0 - lightness[yarn] / 100.0);
        }
        // Half the yarn's own lightness, half its rank among the others: charts in close tones still use the whole range.
        let lighter = (0..count).filter(|&other| lightness[other] > lightness[yarn]).count();
        let equal = (0..count).filter(|&other| lightness[other] == lightness[yarn]).count() - 1;
        let rank = (lighter as f64 + equal as f64 / 2.0) / (count - 1) as f64;
        let dark = ((lightest - lightness[yarn]) / range + rank) / 2.0;
        LIGHTEST + (HEAVIEST - LIGHTEST) * libm::pow(dark, BEND)
    };
    (0..count).map(of).collect()
}

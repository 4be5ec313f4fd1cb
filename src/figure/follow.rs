//! Following a cord with a finger: how often it winds round another one, and whether its ends are held.
//!
//! Works on the very curves that are drawn, so that a drawn knot can be proved to be the knot it is said to be.

use super::crossing::{Crossing, crossings};
use super::model::Stage;

/// What following a yarn round one filler found.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Winding {
    /// The yarn's passes across the filler in the order of tying: `true` in front of it, `false` behind it.
    pub(crate) passes: Vec<bool>,
    /// Signs of those crossings.
    pub(crate) signs: Vec<i32>,
    /// How often the yarn winds round the filler once it is closed parallel to its first crossing: half the sum of the
    /// signed crossings. Two turns of a clove hitch give +2 or -2 by direction, a lark's head 0.
    pub(crate) turns: i32,
    /// Whether both ends lie under the riding crossing: between the filler and the middle pass.
    pub(crate) locked: bool,
}

impl Winding {
    /// Whether this is a double half hitch: a clove hitch round the filler. Two whole turns, all crossings of one
    /// sign, five passes that alternate, and both ends held under the riding crossing.
    pub(crate) fn is_double_half_hitch(&self) -> bool {
        self.turns.abs() == 2
            && self.passes.len() == 5
            && self.passes.windows(2).all(|p| p[0] != p[1])
            && self.signs.windows(2).all(|s| s[0] == s[1])
            && self.locked
    }
}

/// Follows the cord named `yarn` round the cord named `filler`. A yarn that passes the filler a multiple of five times
/// is followed five passes at a time, knot by knot: it may tie the same cord in several rows. Empty when the panel has
/// no such cords or they never cross.
pub(crate) fn follow(panel: &Stage, yarn: &str, filler: &str) -> Vec<Winding> {
    let index = |id: &str| panel.cords.iter().position(|c| c.id == id);
    let (Some(yarn), Some(filler)) = (index(yarn), index(filler)) else { return Vec::new() };
    let found = crossings(&[&panel.cords[yarn].curve.samples, &panel.cords[filler].curve.samples]);
    let mut passes: Vec<Pass> = found
        .iter()
        .filter_map(|c| match (c.over.0, c.under.0) {
            (0, 1) => Some(Pass { along: c.over.1, front: true, sign: c.sign }),
            (1, 0) => Some(Pass { along: c.under.1, front: false, sign: c.sign }),
            _ => None,
        })
        .collect();
    passes.sort_by(|a, b| a.along.total_cmp(&b.along));
    if passes.is_empty() {
        return Vec::new();
    }
    let own: Vec<&Crossing> = found.iter().filter(|c| c.over.0 == 0 && c.under.0 == 0).collect();
    let knot = if passes.len().is_multiple_of(5) { 5 } else { passes.len() };
    (0..passes.len() / knot)
        .map(|k| {
            let start = if k == 0 { f64::MIN } else { passes[k * knot - 1].along };
            let end = passes.get((k + 1) * knot).map_or(f64::MAX, |p| p.along);
            followed(&passes[k * knot..(k + 1) * knot], &own, start, end)
        })
        .collect()
}

/// One pass of the yarn across the filler.
struct Pass {
    /// Where along the yarn.
    along: f64,
    front: bool,
    sign: i32,
}

fn followed(passes: &[Pass], own: &[&Crossing], start: f64, end: f64) -> Winding {
    let sum: i32 = passes.iter().map(|p| p.sign).sum();
    // With an odd number of passes the ends lie on opposite sides: closing the yarn parallel to its first crossing
    // leads it back across the filler on the same side of it, the other way round. With an even number it need not cross.
    let closed = if passes.len() % 2 == 1 { sum - passes[0].sign } else { sum };
    Winding {
        passes: passes.iter().map(|p| p.front).collect(),
        signs: passes.iter().map(|p| p.sign).collect(),
        turns: closed / 2,
        locked: locked(passes, own, start, end),
    }
}

/// The riding part runs from the second pass to the fourth; the ends are what comes before and after, from `start` and
/// to `end`. Each end must cross the riding part an odd number of times, and lie on the filler's side of it every time.
/// The ends must not cross each other.
fn locked(passes: &[Pass], own: &[&Crossing], start: f64, end: f64) -> bool {
    let [_, second, middle, fourth, _] = passes else { return false };
    let part = |along: f64| -> Option<HitchPart> {
        if along < start || along > end {
            None
        } else if along < second.along {
            Some(HitchPart::Tail)
        } else if along > fourth.along {
            Some(HitchPart::End)
        } else {
            Some(HitchPart::Riding)
        }
    };
    let mut held = [0, 0];
    for crossing in own {
        let (Some(over), Some(under)) = (part(crossing.over.1), part(crossing.under.1)) else { continue };
        if over == under {
            continue;
        }
        // The riding pass behind the filler must be the lower of the two, the one in front the upper.
        match (over, under, middle.front) {
            (HitchPart::Tail, HitchPart::Riding, false) | (HitchPart::Riding, HitchPart::Tail, true) => held[0] += 1,
            (HitchPart::End, HitchPart::Riding, false) | (HitchPart::Riding, HitchPart::End, true) => held[1] += 1,
            (
                HitchPart::Tail | HitchPart::End | HitchPart::Riding,
                HitchPart::Tail | HitchPart::End | HitchPart::Riding,
                true | false,
            ) => {
                return false;
            }
        }
    }
    held.iter().all(|h| h % 2 == 1)
}

/// The parts of a tied yarn.
#[derive(Clone, Copy, PartialEq, Eq)]
enum HitchPart {
    Tail,
    Riding,
    End,
}

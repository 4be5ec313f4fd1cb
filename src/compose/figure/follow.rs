//! Following a cord with a finger: how often it winds round another one, and whether its ends are held.
//!
//! Works on the very curves that are drawn, so that a drawn knot can be proved to be the knot it is said to be.

use super::Panel;
use super::crossing::{Crossing, crossings};

/// What following a yarn round one filler found.
#[derive(Clone, Debug, PartialEq)]
pub struct Followed {
    /// The yarn's passes across the filler in the order of tying: `true` in front of it, `false` behind it.
    pub passes: Vec<bool>,
    /// Signs of those crossings.
    pub signs: Vec<i32>,
    /// How often the yarn winds round the filler once it is closed parallel to its first crossing: half the sum of the
    /// signed crossings. Two turns of a clove hitch give +2 or -2 by direction, a lark's head 0.
    pub turns: i32,
    /// Whether both ends lie under the riding crossing: between the filler and the middle pass.
    pub locked: bool,
}

impl Followed {
    /// Whether this is a double half hitch: a clove hitch round the filler. Two whole turns, all crossings of one
    /// sign, five passes that alternate, and both ends held under the riding crossing.
    pub fn is_double_half_hitch(&self) -> bool {
        self.turns.abs() == 2
            && self.passes.len() == 5
            && self.passes.windows(2).all(|p| p[0] != p[1])
            && self.signs.windows(2).all(|s| s[0] == s[1])
            && self.locked
    }
}

/// Follows the cord named `yarn` round the cord named `filler`. `None` when the panel has no such cords or they never
/// cross.
pub fn follow(panel: &Panel, yarn: &str, filler: &str) -> Option<Followed> {
    let index = |id: &str| panel.cords.iter().position(|c| c.id == id);
    let (yarn, filler) = (index(yarn)?, index(filler)?);
    let found = crossings(&[&panel.cords[yarn].curve.samples, &panel.cords[filler].curve.samples]);
    let mut across: Vec<(f64, bool, i32)> = found
        .iter()
        .filter_map(|c| match (c.over.0, c.under.0) {
            (0, 1) => Some((c.over.1, true, c.sign)),
            (1, 0) => Some((c.under.1, false, c.sign)),
            _ => None,
        })
        .collect();
    across.sort_by(|a, b| a.0.total_cmp(&b.0));
    let first = across.first()?.2;
    let sum: i32 = across.iter().map(|a| a.2).sum();
    // With an odd number of passes the ends lie on opposite sides: closing the yarn parallel to its first crossing
    // leads it back across the filler on the same side of it, the other way round. With an even number it need not cross.
    let closed = if across.len() % 2 == 1 { sum - first } else { sum };
    let own: Vec<&Crossing> = found.iter().filter(|c| c.over.0 == 0 && c.under.0 == 0).collect();
    Some(Followed {
        passes: across.iter().map(|a| a.1).collect(),
        signs: across.iter().map(|a| a.2).collect(),
        turns: closed / 2,
        locked: locked(&across, &own),
    })
}

/// The riding part runs from the second pass to the fourth; the ends are what comes before and after. Each end must
/// cross the riding part an odd number of times, and lie on the filler's side of it every time. The ends must not cross
/// each other.
fn locked(across: &[(f64, bool, i32)], own: &[&Crossing]) -> bool {
    let [_, second, middle, fourth, _] = across else { return false };
    let part = |along: f64| -> i32 {
        if along < second.0 {
            -1
        } else if along > fourth.0 {
            1
        } else {
            0
        }
    };
    let mut held = [0, 0];
    for crossing in own {
        let (over, under) = (part(crossing.over.1), part(crossing.under.1));
        match (over, under) {
            (0, 0) => {}
            // The riding pass behind the filler must be the lower of the two, the one in front the upper.
            (end, 0) if !middle.1 => held[usize::from(end > 0)] += 1,
            (0, end) if middle.1 => held[usize::from(end > 0)] += 1,
            (a, b) if a == b => {}
            _ => return false,
        }
    }
    held.iter().all(|h| h % 2 == 1)
}

//! The way of the yarn through a finished knot, pulled tight.

use super::curve::{CurvePoint, StagePoint};
use std::ops::Range;

/// One place on the way: from the cord's middle as multiples of half the cord's width and of the yarn's width, then
/// down as a multiple of the yarn's width, then the height (the cord lies at 0), then whether the yarn turns back here
/// round the cord's edge.
type HitchPoint = ([f64; 2], f64, f64, bool);

/// A double half hitch tied from left to right, seen from the front, as traced from the steps of tying: behind the
/// cord, over the front rising to the left, down behind the cord outside both ends (the riding part), over the front
/// again below, and behind the cord under the riding part. Half a turn in the plane gives the same knot, so the second
/// half is the first one backwards.
///
/// Heights change close to the folds only: at a cord's edge the wrap still lies in front of the ends, the riding part
/// still behind them.
const HITCH: [HitchPoint; 18] = [
    ([-1.0, -0.95], -0.42, -0.5, false),
    ([0.0, 0.0], -0.28, -0.6, false),
    ([1.0, 0.34], -0.15, -0.6, false),
    ([1.0, 0.42], -0.14, 0.2, true),
    ([1.0, 0.34], -0.17, 0.9, false),
    ([0.0, 0.0], -0.52, 1.0, false),
    ([-1.0, -0.34], -0.87, 0.9, false),
    ([-1.0, -0.42], -0.9, 0.0, true),
    ([-1.0, -0.34], -0.84, -1.3, false),
    ([0.0, 0.0], 0.0, -1.6, false),
    ([1.0, 0.34], 0.84, -1.3, false),
    ([1.0, 0.42], 0.9, 0.0, true),
    ([1.0, 0.34], 0.87, 0.9, false),
    ([0.0, 0.0], 0.52, 1.0, false),
    ([-1.0, -0.34], 0.17, 0.9, false),
    ([-1.0, -0.42], 0.14, 0.2, true),
    ([-1.0, -0.34], 0.15, -0.6, false),
    ([0.0, 0.0], 0.28, -0.6, false),
];

/// The two wraps among the places of [`hitch`], from fold to fold.
pub(crate) const WRAPS: [Range<usize>; 2] = [3..8, 11..16];
/// The riding part among them.
pub(crate) const RIDING: Range<usize> = 7..12;

/// The way of a yarn `yarn` millimetres wide through a double half hitch round a cord `cord` millimetres wide whose
/// middle is at `at`. `leftwards`: tied from right to left. `behind`: seen from the back of the panel, where left and
/// right are exchanged, and near and far too.
pub(crate) fn hitch(at: StagePoint, cord: f64, yarn: f64, leftwards: bool, behind: bool) -> Vec<CurvePoint> {
    // Tied leftwards it is the mirror image; from behind that way is seen running rightwards.
    let side = if leftwards != behind { -1.0 } else { 1.0 };
    let near = if behind { -1.0 } else { 1.0 };
    let end = HITCH[0];
    // The second end is the first one turned by half a turn.
    let last = ([-end.0[0], -end.0[1]], -end.1, end.2, false);
    HITCH
        .iter()
        .chain([&last])
        .map(|&([of_cord, of_yarn], down, z, fold)| CurvePoint {
            x: at[0] + side * (of_cord * cord / 2.0 + of_yarn * yarn),
            y: at[1] + down * yarn,
            z: near * z,
            width: yarn,
            fold,
            close: true,
        })
        .collect()
}

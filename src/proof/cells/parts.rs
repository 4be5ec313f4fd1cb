//! What a mark is made of: boxes, or parts that lie apart.

use super::super::canvas::{OPAQUE, stroke_sides};
use crate::reader::marks::{PaintKind, PaintedMark, Subpath};
use crate::reader::matrix::{Bounds, PagePoint};
use std::collections::BTreeMap;
use std::sync::Arc;

/// Comparisons that telling parts of a mark from one another may take, besides a hundred for each.
const MAX_STEPS: usize = 10_000;

/// The boxes that a mark covers, one after another, where it is nothing but boxes parallel to the page's sides.
pub(super) fn boxes(mark: &PaintedMark) -> Option<Vec<Bounds>> {
    let is_filled = !matches!(mark.kind, PaintKind::Stroke(_));
    if is_filled && mark.shape.iter().any(|path| !matches!(path.spots.len(), 4 | 5)) {
        return None;
    }
    let mut out = Vec::with_capacity(mark.shape.len());
    match mark.kind {
        PaintKind::Stroke(width) => {
            for part in mark.parts() {
                for corners in stroke_sides(part, width) {
                    out.push(exact_box(&corners)?.0);
                }
            }
        }
        PaintKind::Fill | PaintKind::FillEvenOdd | PaintKind::Picture => {
            let mut first_turn = None;
            for part in mark.parts() {
                let spots: Vec<PagePoint> = part.spots().take(6).collect();
                let (area, turn) = match spots.as_slice() {
                    [first, .., last] if spots.len() == 5 && first == last => exact_box(&spots[..4])?,
                    spots => exact_box(spots)?,
                };
                if *first_turn.get_or_insert(turn) != turn {
                    return None;
                }
                out.push(area);
            }
            // Boxes that overlap may leave a hole, or lie under one another as one.
            let apart = mark.kind != PaintKind::FillEvenOdd && mark.opacity >= OPAQUE;
            if out.len() > 1 && !apart {
                return None;
            }
        }
    }
    Some(out)
}

/// A filled mark as several that do not touch one another, which look the same one by one. `None`: it is none, or to find them
/// would take too long.
pub(super) fn apart(mark: &PaintedMark) -> Option<Vec<PaintedMark>> {
    if matches!(mark.kind, PaintKind::Stroke(_)) {
        return None;
    }
    let areas: Vec<Bounds> = mark.shape.iter().map(|path| path.bounds).collect();
    let mut order: Vec<usize> = (0..areas.len()).collect();
    order.sort_by(|a, b| areas[*a].left.total_cmp(&areas[*b].left));
    // Which of them belong together: each leads to another one, or to itself.
    let mut home: Vec<usize> = (0..areas.len()).collect();
    let (mut open, mut steps): (Vec<usize>, usize) = (Vec::new(), 0);
    for at in order {
        open.retain(|other| areas[*other].right >= areas[at].left);
        steps += open.len();
        if steps > MAX_STEPS + areas.len() * 100 {
            return None;
        }
        for other in open.iter().filter(|other| areas[**other].meets(&areas[at])) {
            let (a, b) = (root(&mut home, at), root(&mut home, *other));
            home[a.max(b)] = a.min(b);
        }
        open.push(at);
    }
    let mut groups: BTreeMap<usize, Vec<Subpath>> = BTreeMap::new();
    for (at, path) in mark.shape.iter().enumerate() {
        groups.entry(root(&mut home, at)).or_default().push(path.clone());
    }
    let part = |paths: Vec<Subpath>| {
        let mut bounds = Bounds::EMPTY;
        paths.iter().flat_map(|path| &path.spots).for_each(|spot| bounds.take_in(*spot));
        PaintedMark { shape: Arc::new(paths), bounds: bounds.moved(mark.moved), ..mark.clone() }
    };
    Some(groups.into_values().map(part).collect())
}

fn root(home: &mut [usize], mut at: usize) -> usize {
    while home[at] != at {
        home[at] = home[home[at]];
        at = home[at];
    }
    at
}

/// The box of four corners and whether they turn clockwise.
fn exact_box(corners: &[PagePoint]) -> Option<(Bounds, bool)> {
    let [a, b, c, d] = corners else { return None };
    let level_first = a.y == b.y && b.x == c.x && c.y == d.y && d.x == a.x;
    let plumb_first = a.x == b.x && b.y == c.y && c.x == d.x && d.y == a.y;
    let turn = (b.x - a.x) * (c.y - b.y) - (b.y - a.y) * (c.x - b.x);
    (level_first || plumb_first).then_some((Bounds::of(*a, *c), turn > 0.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_four_corners_with_level_and_plumb_sides_are_a_box() {
        let of = |corners: &[(f64, f64)]| {
            let spots: Vec<PagePoint> = corners.iter().map(|&(x, y)| PagePoint { x, y }).collect();
            exact_box(&spots).map(|(_, turn)| turn)
        };
        let (a, b, c, d) = ((1.0, 2.0), (5.0, 2.0), (5.0, 9.0), (1.0, 9.0));
        assert_eq!((of(&[a, b, c, d]), of(&[b, c, d, a])), (Some(true), Some(true)));
        assert_eq!((of(&[a, d, c, b]), of(&[d, c, b, a])), (Some(false), Some(false)));
        assert_eq!((of(&[a, b, c]), of(&[a, b, c, d, a])), (None, None));
        // One corner off, in either direction, wherever it is.
        for at in 0..4 {
            for by in [(0.5, 0.0), (0.0, 0.5)] {
                let mut corners = [a, b, c, d];
                corners[at] = (corners[at].0 + by.0, corners[at].1 + by.1);
                assert_eq!(of(&corners), None, "{at} {by:?}");
            }
        }
        let spots = [a, b, c, d].map(|(x, y)| PagePoint { x, y });
        let area = exact_box(&spots).map(|(area, _)| (area.left, area.top, area.right, area.bottom));
        assert_eq!(area, Some((1.0, 2.0, 5.0, 9.0)));
    }
}

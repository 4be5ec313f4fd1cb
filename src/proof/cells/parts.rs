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
        // A box that begins with an upright side; slanted by one corner it is none, and its turn is seen wherever it lies.
        for at in 0..4 {
            for by in [(0.5, 0.0), (0.0, 0.5)] {
                let mut corners = [a, d, c, b];
                corners[at] = (corners[at].0 + by.0, corners[at].1 + by.1);
                assert_eq!(of(&corners), None, "{at} {by:?}");
            }
        }
        for (x, y) in [(-3.0, -3.0), (1.0, 1.0), (-1.0, -7.0), (-7.0, -1.0)] {
            let [a, b, c, d] = [(x, y), (x + 4.0, y), (x + 4.0, y + 2.0), (x, y + 2.0)];
            for turned in [[a, b, c, d], [b, c, d, a], [c, d, a, b], [d, a, b, c]] {
                assert_eq!(of(&turned), Some(true), "{x} {y}");
                let [first, second, third, fourth] = turned;
                assert_eq!(of(&[fourth, third, second, first]), Some(false), "{x} {y}");
            }
        }
        let spots = [a, b, c, d].map(|(x, y)| PagePoint { x, y });
        let area = exact_box(&spots).map(|(area, _)| (area.left, area.top, area.right, area.bottom));
        assert_eq!(area, Some((1.0, 2.0, 5.0, 9.0)));
    }

    #[test]
    fn boxes_that_cover_what_they_cover_alone_are_boxes_and_nothing_else_is() {
        use crate::proof::tests::drawn::{mark, triangle, upright};
        let (one, other) = (upright(0.0, 0.0, 10.0, 5.0), upright(2.0, 1.0, 3.0, 3.0));
        let count = |kind, parts: Vec<Subpath>, opacity| {
            let drawn = PaintedMark { opacity, ..mark(kind, Default::default(), parts) };
            boxes(&drawn).map(|boxes| boxes.len())
        };
        assert_eq!(count(PaintKind::Fill, vec![one.clone()], 1.0), Some(1));
        assert_eq!(count(PaintKind::FillEvenOdd, vec![one.clone()], 0.5), Some(1));
        assert_eq!(count(PaintKind::Picture, vec![one.clone()], 1.0), Some(1));
        assert_eq!(count(PaintKind::Fill, vec![one.clone(), other.clone()], 1.0), Some(2));
        // A hole, or one that shines through another.
        assert_eq!(count(PaintKind::FillEvenOdd, vec![one.clone(), other.clone()], 1.0), None);
        assert_eq!(count(PaintKind::Fill, vec![one.clone(), other.clone()], 0.5), None);
        let mut turned = other.clone();
        turned.spots.reverse();
        assert_eq!(count(PaintKind::Fill, vec![one.clone(), turned], 1.0), None);
        assert_eq!(count(PaintKind::Fill, vec![one.clone(), triangle(0.0, 0.0, 4.0, 4.0)], 1.0), None);
        // The first corner once more at the end; another one is too many.
        let mut closed = one.clone();
        closed.spots.push(closed.spots[0]);
        assert_eq!(count(PaintKind::Fill, vec![closed.clone()], 1.0), Some(1));
        closed.spots[4].x += 1.0;
        assert_eq!(count(PaintKind::Fill, vec![closed.clone()], 1.0), None);
        closed.spots.push(closed.spots[0]);
        assert_eq!(count(PaintKind::Fill, vec![closed], 1.0), None);
        // The four sides of a line drawn round; a slanted line is no box.
        assert_eq!(count(PaintKind::Stroke(1.0), vec![one.clone()], 1.0), Some(4));
        assert_eq!(count(PaintKind::Stroke(1.0), vec![triangle(0.0, 0.0, 4.0, 4.0)], 1.0), None);
    }

    #[test]
    fn parts_that_touch_stay_together() {
        use crate::proof::tests::drawn::{mark, upright};
        let at = |left: f64, top: f64| upright(left, top, 4.0, 4.0);
        let groups = |parts: Vec<Subpath>| {
            let drawn = mark(PaintKind::Fill, Default::default(), parts).moved_by(PagePoint { x: 100.0, y: 0.0 });
            let apart = apart(&drawn)?;
            Some(apart.iter().map(|part| (part.shape.len(), part.bounds.left, part.bounds.bottom)).collect::<Vec<_>>())
        };
        let apart_by_a_point = vec![at(0.0, 0.0), at(5.0, 0.0), at(0.0, 5.0)];
        assert_eq!(groups(apart_by_a_point), Some(vec![(1, 100.0, 4.0), (1, 105.0, 4.0), (1, 100.0, 9.0)]));
        // The third leads from the first to the second.
        let chain = vec![at(0.0, 0.0), at(8.0, 0.0), at(4.0, 0.0), at(0.0, 20.0)];
        assert_eq!(groups(chain), Some(vec![(3, 100.0, 4.0), (1, 100.0, 24.0)]));
        let line = mark(PaintKind::Stroke(1.0), Default::default(), vec![at(0.0, 0.0)]);
        assert!(super::apart(&line).is_none());
        // Own computation: of 300 that all touch, the last ones are held against more than 40,000 in all.
        assert_eq!(groups(vec![at(0.0, 0.0); 260]).map(|groups| groups.len()), Some(1));
        assert_eq!(groups(vec![at(0.0, 0.0); 300]), None);
    }
}

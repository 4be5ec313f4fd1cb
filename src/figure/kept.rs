//! Shipped figures that were drawn already. Drawing one takes longer than setting a page, and the same questions come again:
//! in every round of make-up, for every file of a shop's folder, after every stroke on the board.

use super::model::{DrawnFigure, Figure};
use super::shipped::Figures;
use super::tone::FigureColours;
use crate::geom::Size;
use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

/// Drawings that are kept: those of three booklets that have nothing in common.
const MAX_KEPT: usize = 100;

/// A figure by its name, with those of its stages that are shown; none named: all.
pub(crate) type Shown<'a> = (&'a str, &'a [usize]);
/// The same as a key.
type ShownKey = (String, Vec<usize>);
/// Room and size of words, equal only where every bit is.
type RoomKey = [u64; 3];

#[derive(Default)]
struct Kept {
    drawn: BTreeMap<(ShownKey, RoomKey, bool, FigureColours), DrawnFigure>,
    rows: BTreeMap<(ShownKey, RoomKey), usize>,
    /// The figure that was read last: what is asked of one figure is asked in a row, and one that is read takes much more
    /// room than one that is drawn.
    last: Option<(ShownKey, Arc<Figure>)>,
}

static KEPT: Mutex<Kept> = Mutex::new(Kept { drawn: BTreeMap::new(), rows: BTreeMap::new(), last: None });

fn kept() -> MutexGuard<'static, Kept> {
    KEPT.lock().unwrap_or_else(PoisonError::into_inner)
}

fn key((name, stages): Shown) -> ShownKey {
    (name.to_owned(), stages.to_vec())
}

fn room_key(room: Size, grown: f64) -> RoomKey {
    [room.width.to_pt().to_bits(), room.height.to_pt().to_bits(), grown.to_bits()]
}

/// A shipped figure, drawn for this room and these times the usual size of its words. `None`: there is no figure of this name.
pub(crate) fn drawn_figure(
    shown: Shown,
    room: Size,
    grown: f64,
    colours: &FigureColours,
    mirrored: bool,
) -> Option<DrawnFigure> {
    let key = (key(shown), room_key(room, grown), mirrored, *colours);
    if let Some(made) = kept().drawn.get(&key) {
        return Some(made.clone());
    }
    // Not held while it is drawn: others draw other figures.
    let drawn = read(shown)?.draw(room, grown, colours, mirrored);
    let mut kept = kept();
    if kept.drawn.len() >= MAX_KEPT {
        kept.drawn.clear();
        kept.rows.clear();
    }
    kept.drawn.insert(key, drawn.clone());
    Some(drawn)
}

/// In how many rows the stages of a shipped figure stand in this room; none where there is no such figure.
pub(crate) fn rows_of_figure(shown: Shown, room: Size, grown: f64) -> usize {
    let key = (key(shown), room_key(room, grown));
    if let Some(rows) = kept().rows.get(&key) {
        return *rows;
    }
    let rows = read(shown).map_or(0, |figure| figure.row_count(room, grown));
    kept().rows.insert(key, rows);
    rows
}

/// A figure with the stages that are shown, ready to be drawn.
fn read(shown: Shown) -> Option<Arc<Figure>> {
    let key = key(shown);
    if let Some((_, figure)) = kept().last.as_ref().filter(|(of, _)| *of == key) {
        return Some(Arc::clone(figure));
    }
    let mut figure = Figures::shipped().get(shown.0)?;
    if !shown.1.is_empty() {
        let mut at = 0..;
        figure.panels.retain(|_| at.next().is_some_and(|at| shown.1.contains(&at)));
        figure.numbered &= figure.panels.len() > 1;
    }
    let figure = Arc::new(figure);
    kept().last = Some((key, Arc::clone(&figure)));
    Some(figure)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::Length;

    #[test]
    fn what_is_kept_is_what_is_drawn() {
        let room = Size::new(Length::mm(140.0), Length::mm(90.0));
        let colours = FigureColours::default();
        let afresh = |mirrored| Figures::shipped().get("turn").map(|figure| figure.draw(room, 1.0, &colours, mirrored));
        for mirrored in [false, true, false, true] {
            assert_eq!(drawn_figure(("turn", &[]), room, 1.0, &colours, mirrored), afresh(mirrored));
        }
        let other = FigureColours { yarn: crate::colour::Colour::BLACK, ..colours };
        assert_ne!(drawn_figure(("turn", &[]), room, 1.0, &other, false), afresh(false));
        let some = drawn_figure(("turn", &[0]), room, 1.0, &colours, false).expect("a figure");
        assert!(some.size.width < afresh(false).expect("a figure").size.width);
        assert_eq!(drawn_figure(("no such figure", &[]), room, 1.0, &colours, false), None);
        assert_eq!(rows_of_figure(("no such figure", &[]), room, 1.0), 0);
    }
}

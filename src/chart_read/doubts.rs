//! Squares that may be read wrongly: nearly as like another kind as their own, or unlike all, or with an edge through them.

use super::grounds::Grounds;
use super::reading::Doubt;
use super::squares::Looked;
use super::symbols::Told;
use crate::geom::beside;

/// A square this much nearer to another colour than the usual is doubtful: its own distance over the other's.
const BETWEEN: f64 = 0.5;
/// Squares whose ground is less even than this have something running through them.
const UNEVEN: f32 = 0.6;

pub(super) fn list(looked: &Looked, grounds: &Grounds, told: &Told, columns: usize, rows: usize) -> Vec<Doubt> {
    let first_of = |ground: u8| {
        let own = (0..told.cells.len()).find(|&at| grounds.of[at] == ground);
        own.map_or(0, |at| told.cells[at])
    };
    let kind_of_ground: Vec<u8> = (0..grounds.colours.len() as u8).map(first_of).collect();
    let doubt = |cell: usize| {
        let (own, other, which) = grounds.near[cell];
        let ground_doubt = grounds.grain > 0.0
            && (own > BETWEEN * other || own > 3.2 * grounds.grain.max(1.2) || looked.even[cell] < UNEVEN);
        if ground_doubt && grounds.colours.len() > 1 {
            return Some(Doubt { cell, or: kind_of_ground[usize::from(which)] });
        }
        let (own, other, which) = told.near[cell];
        let grain = told.grain.get(usize::from(grounds.of[cell])).copied().unwrap_or(0.0);
        let symbol_doubt = other.is_finite() && (own > 0.6 * other || own > 3.0 * grain + 0.08);
        if symbol_doubt {
            return Some(Doubt { cell, or: which });
        }
        // An exact picture with a smeared square: nearest of what stands around it.
        (grounds.grain == 0.0 && looked.even[cell] < UNEVEN)
            .then(|| kind_beside(&told.cells, cell, columns, rows).map(|or| Doubt { cell, or }))
            .flatten()
    };
    (0..told.cells.len()).filter_map(doubt).collect()
}

/// Another kind beside a square.
fn kind_beside(cells: &[u8], at: usize, columns: usize, rows: usize) -> Option<u8> {
    beside(at, columns, rows).map(|other| cells[other]).find(|other| *other != cells[at])
}

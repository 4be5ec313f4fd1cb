//! Which yarns: the colours of the cells gathered into a few, by k-means in Oklab from a start that keeps small bright
//! spots.

use super::cells::Targets;
use crate::colour::{Colour, Oklab};

/// Rounds of k-means; it settles long before.
const ROUNDS: usize = 40;

/// At most `most` colours, those of most knots first. Fewer where the picture has no more.
pub fn choose(targets: &Targets, most: usize) -> Vec<Colour> {
    let cells = &targets.cells;
    let mut means = started(cells, most);
    let mut nearest = vec![0_usize; cells.len()];
    for _ in 0..ROUNDS {
        let mut moved = false;
        for (cell, label) in cells.iter().zip(&mut nearest) {
            let near = nearest_of(&means, *cell);
            moved |= *label != near;
            *label = near;
        }
        let mut sums = vec![([0.0; 3], 0.0); means.len()];
        for (cell, &label) in cells.iter().zip(&nearest) {
            let (sum, count) = &mut sums[label];
            for (sum, v) in sum.iter_mut().zip(cell.0) {
                *sum += v;
            }
            *count += 1.0;
        }
        for (mean, (sum, count)) in means.iter_mut().zip(sums) {
            if count > 0.0 {
                *mean = Oklab(sum.map(|v| v / count));
            }
        }
        if !moved {
            break;
        }
    }
    let mut counted: Vec<(usize, Colour)> = means.iter().map(|mean| (0, mean.to_colour())).collect();
    for &label in &nearest {
        counted[label].0 += 1;
    }
    counted.retain(|(count, _)| *count > 0);
    counted.sort_by(|a, b| b.0.cmp(&a.0).then(a.1.cmp(&b.1)));
    let mut colours: Vec<Colour> = Vec::new();
    for (_, colour) in counted {
        if !colours.contains(&colour) {
            colours.push(colour);
        }
    }
    colours
}

/// First the colour nearest to the mean, then each time the cell whose distance to what is there, weighed by how many
/// cells are alike, is greatest: single odd cells are no yarn, a small patch may be.
fn started(cells: &[Oklab], most: usize) -> Vec<Oklab> {
    let alike = alike(cells);
    let mean = {
        let mut sum = [0.0; 3];
        for cell in cells {
            for (sum, v) in sum.iter_mut().zip(cell.0) {
                *sum += v;
            }
        }
        Oklab(sum.map(|v| v / cells.len().max(1) as f64))
    };
    let mut means: Vec<Oklab> = Vec::new();
    let mut away: Vec<f64> = cells.iter().map(|cell| 1e-6 + 1.0 / (1.0 + cell.distance_squared(mean))).collect();
    while means.len() < most {
        let mut best = None;
        for (at, (&away, &alike)) in away.iter().zip(&alike).enumerate() {
            let weight = away * libm::sqrt(alike);
            if away > 0.0 && best.is_none_or(|(_, most)| weight > most) {
                best = Some((at, weight));
            }
        }
        let Some((at, _)) = best else { break };
        let chosen = cells[at];
        for (away, cell) in away.iter_mut().zip(cells) {
            let distance = cell.distance_squared(chosen);
            *away = if means.is_empty() { distance } else { away.min(distance) };
        }
        means.push(chosen);
    }
    means
}

/// For each cell how many cells have about its colour.
fn alike(cells: &[Oklab]) -> Vec<f64> {
    use std::collections::BTreeMap;
    let drawer = |cell: &Oklab| cell.0.map(|v| libm::floor(v / 8.0) as i32);
    let mut drawers: BTreeMap<[i32; 3], f64> = BTreeMap::new();
    for cell in cells {
        *drawers.entry(drawer(cell)).or_insert(0.0) += 1.0;
    }
    cells.iter().map(|cell| drawers.get(&drawer(cell)).copied().unwrap_or(1.0)).collect()
}

/// Which of `colours` is nearest; of equals the first.
pub(super) fn nearest_of(colours: &[Oklab], cell: Oklab) -> usize {
    let mut best = (0, f64::INFINITY);
    for (at, colour) in colours.iter().enumerate() {
        let distance = cell.distance_squared(*colour);
        if distance < best.1 {
            best = (at, distance);
        }
    }
    best.0
}

//! Which yarns: the colours of the cells gathered into a few, by k-means in Oklab.
//!
//! Cells of about one colour are gathered first, and their number is pressed down by a power: a wall behind a face has many
//! times the cells, and would otherwise have all the yarns. The start is the same every time and keeps small bright spots.

use super::cells::Targets;
use crate::colour::{Colour, Oklab};
use std::collections::BTreeMap;

/// Rounds of k-means; it settles long before.
const ROUNDS: usize = 60;
/// Side of the boxes of colour space in which cells count as one colour.
const DRAWER: f64 = 4.0;
/// The power that numbers of cells are pressed down by: 1 would follow the area alone, 0 would forget it (our judgement,
/// looking at panels of faces, cups and skies).
const PRESSED: f64 = 0.6;

/// A colour and how much it weighs.
#[derive(Clone, Copy)]
struct WeightedColour {
    colour: Oklab,
    weight: f64,
}

/// At most `most` colours, those of most knots first. Fewer where the picture has no more.
pub fn choose(targets: &Targets, most: usize) -> Vec<Colour> {
    let gathered = gathered(&targets.cells);
    let mut means = started(&gathered, most);
    let mut nearest = vec![usize::MAX; gathered.len()];
    for _ in 0..ROUNDS {
        let mut moved = false;
        for (entry, label) in gathered.iter().zip(&mut nearest) {
            let near = nearest_of(&means, entry.colour);
            moved |= *label != near;
            *label = near;
        }
        if !moved {
            break;
        }
        for (at, mean) in means.iter_mut().enumerate() {
            let own = gathered.iter().zip(&nearest).filter(|(_, label)| **label == at).map(|(entry, _)| *entry);
            *mean = middle(own).unwrap_or(*mean);
        }
    }
    let mut counts = vec![0_usize; means.len()];
    for cell in &targets.cells {
        counts[nearest_of(&means, *cell)] += 1;
    }
    let mut counted: Vec<(usize, Colour)> =
        counts.into_iter().zip(&means).filter(|(count, _)| *count > 0).map(|(n, mean)| (n, mean.to_colour())).collect();
    counted.sort_by(|a, b| b.0.cmp(&a.0).then(a.1.cmp(&b.1)));
    let mut colours: Vec<Colour> = Vec::new();
    for (_, colour) in counted {
        if !colours.contains(&colour) {
            colours.push(colour);
        }
    }
    colours
}

/// Cells of about one colour as their mean.
fn gathered(cells: &[Oklab]) -> Vec<WeightedColour> {
    let mut drawers: BTreeMap<[i32; 3], Vec<Oklab>> = BTreeMap::new();
    for cell in cells {
        drawers.entry(cell.0.map(|v| libm::floor(v / DRAWER) as i32)).or_default().push(*cell);
    }
    let one = |alike: &Vec<Oklab>| {
        let colour = middle(alike.iter().map(|&colour| WeightedColour { colour, weight: 1.0 }))?;
        Some(WeightedColour { colour, weight: libm::pow(alike.len() as f64, PRESSED) })
    };
    drawers.values().filter_map(one).collect()
}

/// The weighed mean; `None` of nothing.
fn middle(of: impl Iterator<Item = WeightedColour>) -> Option<Oklab> {
    let (mut sum, mut weights) = ([0.0; 3], 0.0);
    for WeightedColour { colour, weight } in of {
        for (sum, v) in sum.iter_mut().zip(colour.0) {
            *sum += weight * v;
        }
        weights += weight;
    }
    (weights > 0.0).then(|| Oklab(sum.map(|v| v / weights)))
}

/// First the heaviest colour, then each time the one whose squared distance to what is there, times its weight, is
/// greatest.
fn started(gathered: &[WeightedColour], most: usize) -> Vec<Oklab> {
    let mut means: Vec<Oklab> = Vec::new();
    let mut away = vec![1.0; gathered.len()];
    while means.len() < most {
        let mut best: Option<(f64, Oklab)> = None;
        for (entry, away) in gathered.iter().zip(&away) {
            let weight = away * entry.weight;
            if weight > 0.0 && best.is_none_or(|(most, _)| weight > most) {
                best = Some((weight, entry.colour));
            }
        }
        let Some((_, chosen)) = best else { break };
        for (entry, away) in gathered.iter().zip(&mut away) {
            let distance = entry.colour.distance_squared(chosen);
            *away = if means.is_empty() { distance } else { away.min(distance) };
        }
        means.push(chosen);
    }
    means
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

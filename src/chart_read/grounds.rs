//! Colours of grounds told apart: exactly where a picture has them exactly; else by where the colours of all squares
//! gather, in even light.

use super::light::{self, Group};
use super::squares::Looked;
use crate::colour::{Colour, Oklab};
use crate::geom::beside;
use std::collections::BTreeMap;

/// So many exact colours, at most, are a picture without loss.
const EXACT: usize = 48;
/// Squares less even than this are left out while colours gather: an edge or a symbol runs through them.
const EVEN: f32 = 0.45;
/// In a screen's picture only symbols do, and all squares of a yarn may have a large one.
const EVEN_ON_SCREEN: f32 = 0.4;

/// Which colour each square's ground has.
pub(super) struct Grounds {
    /// By its place in `colours`.
    pub(super) of: Vec<u8>,
    pub(super) colours: Vec<Colour>,
    /// How far squares of one colour are apart; 0 where colours are exact.
    pub(super) grain: f64,
    /// By how much the light of each square is to be multiplied, by channel, so that light is even; empty where it is.
    pub(super) light: Vec<[f64; 3]>,
}

/// `straight`: a screen's picture, in which light is even.
pub(super) fn tell_apart(looked: &Looked, columns: usize, rows: usize, straight: bool) -> Grounds {
    exact(looked).unwrap_or_else(|| gathered(looked, columns, rows, straight))
}

/// `None`: there are more colours than a picture without loss has.
fn exact(looked: &Looked) -> Option<Grounds> {
    let mut counts: BTreeMap<[u8; 3], usize> = BTreeMap::new();
    for ground in &looked.grounds {
        *counts.entry(*ground).or_default() += 1;
        if counts.len() > EXACT {
            return None;
        }
    }
    let mut order: Vec<([u8; 3], usize)> = counts.into_iter().collect();
    order.sort_by_key(|&(colour, count)| (core::cmp::Reverse(count), colour));
    let mut found: Vec<(Colour, Oklab)> = Vec::new();
    let mut place: BTreeMap<[u8; 3], u8> = BTreeMap::new();
    for (rgb, _) in order {
        let colour = Colour::new(rgb[0], rgb[1], rgb[2]);
        let look = Oklab::from_linear(colour.linear());
        // A step or two of a channel is not another yarn.
        let same = found.iter().position(|(_, known)| known.distance_squared(look) < 1.2);
        let at = same.unwrap_or_else(|| {
            found.push((colour, look));
            found.len() - 1
        });
        place.insert(rgb, at as u8);
    }
    let of: Vec<u8> = looked.grounds.iter().map(|ground| place[ground]).collect();
    Some(Grounds { of, colours: found.into_iter().map(|(colour, _)| colour).collect(), grain: 0.0, light: Vec::new() })
}

fn gathered(looked: &Looked, columns: usize, rows: usize, straight: bool) -> Grounds {
    let lights: Vec<[f64; 3]> = looked.grounds.iter().map(|&[r, g, b]| Colour::new(r, g, b).linear()).collect();
    let looks = |lights: &[[f64; 3]]| lights.iter().map(|&light| Oklab::from_linear(light)).collect::<Vec<_>>();
    let raw = looks(&lights);
    let grain = grain(&raw, columns);
    let least = if straight { EVEN_ON_SCREEN } else { EVEN };
    // Patches of neighbours that are alike say how the light runs; then all squares of a colour do.
    let mut even = lights.clone();
    if !straight {
        even = light::even(&lights, &patches(&raw, columns, rows, 1.3 * grain), columns, rows);
    }
    let mut now = looks(&even);
    let (mut of, mut means) = gather(&now, looked, grain, least);
    for _ in 0..if straight { 0 } else { 2 } {
        let mut groups = vec![Group::default(); means.len()];
        for (at, &colour) in of.iter().enumerate() {
            if looked.even[at] >= EVEN && now[at].distance_squared(means[usize::from(colour)]) < 9.0 * grain * grain {
                groups[usize::from(colour)].cells.push(at);
            }
        }
        even = light::even(&lights, &groups, columns, rows);
        now = looks(&even);
        (of, means) = gather(&now, looked, grain, least);
    }
    let by =
        |(even, own): (&[f64; 3], &[f64; 3])| core::array::from_fn(|c| (even[c] / own[c].max(1e-4)).clamp(0.2, 5.0));
    let light = if straight { Vec::new() } else { even.iter().zip(&lights).map(by).collect() };
    Grounds { of, colours: means.iter().map(|mean| mean.to_colour()).collect(), grain, light }
}

/// How far neighbours of one colour are apart: what a quarter of all neighbours stay under, and some more.
fn grain(looks: &[Oklab], columns: usize) -> f64 {
    let beside = (1..looks.len()).filter(|at| at % columns != 0).map(|at| looks[at].distance_squared(looks[at - 1]));
    let above = (columns..looks.len()).map(|at| looks[at].distance_squared(looks[at - columns]));
    let mut all: Vec<f64> = beside.chain(above).collect();
    if all.is_empty() {
        return 1.0;
    }
    let at = all.len() * 3 / 10;
    let quarter = *all.select_nth_unstable_by(at, f64::total_cmp).1;
    (1.5 * libm::sqrt(quarter)).clamp(0.8, 3.2)
}

/// Neighbours that differ by less than `alike`, and theirs.
fn patches(looks: &[Oklab], columns: usize, rows: usize, alike: f64) -> Vec<Group> {
    let mut seen = vec![false; looks.len()];
    let mut groups = Vec::new();
    for start in 0..looks.len() {
        if seen[start] {
            continue;
        }
        let mut cells = vec![start];
        seen[start] = true;
        let mut next = 0;
        while next < cells.len() {
            let at = cells[next];
            next += 1;
            for other in beside(at, columns, rows) {
                if !seen[other] && looks[other].distance_squared(looks[at]) <= alike * alike {
                    seen[other] = true;
                    cells.push(other);
                }
            }
        }
        groups.push(Group { cells });
    }
    groups
}

/// Where colours gather: every drawer goes to the nearest fuller one near by; where there is none, a colour has its middle.
fn gather(looks: &[Oklab], looked: &Looked, grain: f64, least: f32) -> (Vec<u8>, Vec<Oklab>) {
    let size = (0.55 * grain).max(0.6);
    let reach = (2.1 * grain).max(2.4);
    let mut drawers: BTreeMap<[i32; 3], (usize, [f64; 3])> = BTreeMap::new();
    for (look, even) in looks.iter().zip(&looked.even) {
        if *even >= least {
            let (count, sum) = drawers.entry(look.0.map(|v| libm::floor(v / size) as i32)).or_default();
            *count += 1;
            (0..3).for_each(|i| sum[i] += look.0[i]);
        }
    }
    let drawers: Vec<(usize, Oklab)> =
        drawers.into_values().map(|(count, sum)| (count, Oklab(sum.map(|v| v / count as f64)))).collect();
    let dense: Vec<f64> = drawers
        .iter()
        .map(|(_, look)| {
            let near = |(count, other): &(usize, Oklab)| {
                *count as f64 * libm::exp(-look.distance_squared(*other) / (0.5 * reach * reach * 0.5))
            };
            drawers.iter().map(near).sum()
        })
        .collect();
    let mut middles: Vec<(f64, Oklab)> = Vec::new();
    for (at, (_, look)) in drawers.iter().enumerate() {
        let fuller = |other: usize| dense[other] > dense[at] || (dense[other] == dense[at] && other < at);
        let near = |other: usize| drawers[other].1.distance_squared(*look) <= reach * reach;
        if !(0..drawers.len()).any(|other| fuller(other) && near(other)) {
            middles.push((dense[at], *look));
        }
    }
    middles.sort_by(|a, b| b.0.total_cmp(&a.0));
    // A few squares near a colour of many are not a colour of their own.
    let mut means: Vec<Oklab> = Vec::new();
    let mut weights: Vec<f64> = Vec::new();
    for (weight, look) in middles {
        let lost = means.iter().zip(&weights).any(|(mean, strong)| {
            let far = libm::sqrt(mean.distance_squared(look));
            far < 4.5 * grain && weight < 0.02 * strong * (far / grain - 1.0).max(0.5)
        });
        if !lost && means.len() < 64 {
            means.push(look);
            weights.push(weight);
        }
    }
    if means.is_empty() {
        means.push(looks.first().copied().unwrap_or_default());
    }
    let mut of = nearest(looks, &means);
    for _ in 0..3 {
        for (at, mean) in means.iter_mut().enumerate() {
            let own = || {
                (0..looks.len()).filter(|&cell| {
                    usize::from(of[cell]) == at
                        && looked.even[cell] >= least
                        && looks[cell].distance_squared(*mean) <= 2.0 * reach * reach
                })
            };
            let count = own().count();
            if count > 0 {
                let sum =
                    own().fold([0.0; 3], |sum: [f64; 3], cell| core::array::from_fn(|i| sum[i] + looks[cell].0[i]));
                *mean = Oklab(sum.map(|v| v / count as f64));
            }
        }
        of = nearest(looks, &means);
    }
    (of, means)
}

fn nearest(looks: &[Oklab], means: &[Oklab]) -> Vec<u8> {
    let one = |look: &Oklab| {
        let far = means.iter().map(|mean| mean.distance_squared(*look)).enumerate();
        far.min_by(|a, b| a.1.total_cmp(&b.1)).map_or(0, |(at, _)| at as u8)
    };
    looks.iter().map(one).collect()
}

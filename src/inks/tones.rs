//! A chart in the yarns' own colours: grounds and the tones of the symbols on them, so that the mean of a cell is as light as
//! its yarn.
//!
//! A symbol is a lighter or a darker tone of its ground, so it would make light cells darker and dark ones lighter; the
//! ground moves a little the other way. Near black and near white there is no room for that: there the mean is as near as it
//! can be.

use super::cell::{MARK_SHARE, TEXT_CONTRAST, Tone};
use crate::colour::{Colour, Lab};
use crate::symbol;

/// Lines between cells.
pub(super) const LINE: Colour = Colour::new(0x6b, 0x6b, 0x6b);
/// Lines on tens.
pub(super) const TENS_LINE: Colour = Colour::new(0x45, 0x45, 0x45);
/// Share of a cell of usual size that they cover.
const LINES: f64 = 0.035;
/// A ground may be so much lighter or darker than its yarn, in L*.
const MAX_MOVED: f64 = 8.0;
/// A figure has this part of its ground's chroma.
const FIGURE_CHROMA: f64 = 0.9;
/// The mean may be off by so much L* where rounding to eight bits costs it.
const MAX_OFF: f64 = 0.4;
/// Steps of a ground's lightness that are tried.
const STEP: f64 = 0.5;
/// Contrast of symbol and ground, the most wanted first. Graphics need 3:1 (WCAG 2.2, 1.4.11), not rounded.
const CONTRASTS: [f64; 3] = [TEXT_CONTRAST, 3.75, 3.02];
/// How large a figure is drawn, of the largest size: smaller where the yarn is so dark that a large one would lighten it.
const SIZES: [f64; 6] = [1.0, 0.9, 0.8, 0.7, 0.62, 0.54];
/// Cells of two yarns differ by so much L* where their own colours leave it open. Less than is seen, more than a printer or
/// an eye can turn over.
const APART: f64 = 1.0;
/// Of many yarns alike none may be moved farther than half of this for it.
const MAX_SPREAD: f64 = 12.0;
/// Means of the darkest yarns are lifted by so much L*, of lighter ones ever less: a light figure takes room.
const LIFT: f64 = 9.0;
const LIFT_FADES: f64 = 15.0;

/// The tones of a whole palette.
pub(super) fn full(yarns: &[(Colour, &str)]) -> Vec<Tone> {
    let targets = targets(yarns);
    yarns.iter().zip(targets).map(|((colour, symbol), target)| tone(*colour, symbol, target)).collect()
}

/// The mean L* that each yarn's cells are to have: its own, yet never equal to another's.
fn targets(yarns: &[(Colour, &str)]) -> Vec<f64> {
    let lightness: Vec<f64> = yarns.iter().map(|(colour, _)| colour.lab().l).collect();
    let weight = |at: usize| symbol::weight(yarns[at].1).unwrap_or_default();
    let mut order: Vec<usize> = (0..yarns.len()).collect();
    // Of yarns equally light the one with the heavier symbol is the darker one, as in the other inks.
    order.sort_by(|&a, &b| lightness[a].total_cmp(&lightness[b]).then_with(|| weight(b).total_cmp(&weight(a))));
    let apart = APART.min(MAX_SPREAD / yarns.len().saturating_sub(1).max(1) as f64);
    // Isotonic regression of what is wanted less the least steps: neighbours out of order share their mean.
    let mut pools: Vec<(f64, usize)> = Vec::with_capacity(order.len());
    for (place, &yarn) in order.iter().enumerate() {
        let own = lightness[yarn] + LIFT * libm::exp(-lightness[yarn] / LIFT_FADES);
        pools.push((own - apart * place as f64, 1));
        while let [.., (low, below), (high, above)] = pools[..]
            && high < low
        {
            pools.pop();
            pools.pop();
            let count = below + above;
            pools.push(((low * below as f64 + high * above as f64) / count as f64, count));
        }
    }
    let means = pools.iter().flat_map(|(mean, count)| std::iter::repeat_n(*mean, *count));
    let mut out = vec![0.0; yarns.len()];
    for ((place, &yarn), mean) in order.iter().enumerate().zip(means) {
        out[yarn] = mean + apart * place as f64;
    }
    out
}

/// Luminance of a lightness L* (CIE 15).
fn luminance(l: f64) -> f64 {
    let f = (l + 16.0) / 116.0;
    if l > 8.0 { f * f * f } else { l * 27.0 / 24_389.0 }
}

/// L* of a luminance (CIE 15).
fn lightness(luminance: f64) -> f64 {
    if luminance > 216.0 / 24_389.0 { 116.0 * libm::cbrt(luminance) - 16.0 } else { luminance * 24_389.0 / 27.0 }
}

fn tone(colour: Colour, symbol: &str, target: f64) -> Tone {
    let own = colour.lab();
    let weight = symbol::figure_weight(symbol).unwrap_or_default().max(1e-3);
    // What ground and figure are to be together, without the lines.
    let mean = ((luminance(target) - LINES * LINE.luminance()) / (1.0 - LINES)).clamp(0.0, 1.0);
    for sizes in [&SIZES[..3], &SIZES[3..]] {
        for least in CONTRASTS {
            for &size in sizes.iter().filter(|size| may_be(weight, **size)) {
                let both = [true, false].map(|darker| exact(own, weight, (mean, least), (size, darker)));
                let nearest = both.into_iter().flatten().min_by(|a, b| a.0.total_cmp(&b.0));
                if let Some((_, tone)) = nearest {
                    return tone;
                }
            }
        }
    }
    nearest(own, weight, mean)
}

/// The lightest figures are small as they are.
fn may_be(weight: f64, size: f64) -> bool {
    size >= 1.0 || weight > 0.1
}

/// Ground and figure of this contrast and size whose mean is what is wanted, with how far the ground is moved. `None`: there
/// is no such ground near the yarn's own colour.
fn exact(own: Lab, weight: f64, (mean, least): (f64, f64), (size, darker): (f64, bool)) -> Option<(f64, Tone)> {
    let share = MARK_SHARE * size;
    let covered = weight * share * share;
    // The figure's luminance is `by` times the ground's, both with 0.05 of stray light (WCAG 2.2); `by` solved for the mean.
    let by = if darker { 1.0 / (least * 1.01) } else { least * 1.01 };
    let ground = (mean - covered * 0.05 * (by - 1.0)) / (1.0 - covered + covered * by);
    let moved = (lightness(ground.max(0.0)) - own.l).abs();
    if !(0.0..=1.0).contains(&ground) || moved > MAX_MOVED {
        return None;
    }
    let ground = of_luminance(own, ground, 1.0);
    let under = ground.luminance();
    // What rounding has cost the ground the figure makes good, as far as the contrast allows.
    let bound = if darker { (under + 0.05) / least - 0.05 } else { (under + 0.05) * least - 0.05 };
    let wanted = (mean - (1.0 - covered) * under) / covered;
    let wanted = if darker { wanted.min(bound).max(0.0) } else { wanted.max(bound).min(1.0) };
    let colour = of_luminance(own, wanted, FIGURE_CHROMA);
    let off = lightness((1.0 - covered) * under + covered * colour.luminance()) - lightness(mean);
    let good = colour.contrast(ground) >= least && off.abs() <= MAX_OFF;
    good.then_some((moved, Tone { ground: Some(ground), colour, share, figure: true }))
}

/// Grounds that may be, the nearest to the yarn's own colour first.
fn grounds(own: Lab) -> impl Iterator<Item = Colour> {
    let steps = (MAX_MOVED / STEP) as i32;
    let moves = (0..=steps).flat_map(|step| [f64::from(step) * STEP, -f64::from(step) * STEP]);
    let lights = moves.map(move |by| own.l + by).filter(|l| (0.0..=100.0).contains(l));
    lights.map(move |l| Lab { l, ..own }.to_colour())
}

/// Where no tone brings the mean to what is wanted: the one that comes nearest, just contrasting enough.
fn nearest(own: Lab, weight: f64, mean: f64) -> Tone {
    let [.., least] = CONTRASTS;
    let mut best: Option<(f64, Tone)> = None;
    for size in SIZES.into_iter().filter(|size| may_be(weight, *size)) {
        let share = MARK_SHARE * size;
        let covered = weight * share * share;
        for ground in grounds(own) {
            let under = ground.luminance();
            let (lighter, darker) = ((under + 0.05) * least - 0.05, (under + 0.05) / least - 0.05);
            for wanted in [lighter, darker].into_iter().filter(|wanted| (0.0..=1.0).contains(wanted)) {
                let off = lightness((1.0 - covered) * under + covered * wanted) - lightness(mean.max(0.0));
                // A larger figure is worth a little.
                let cost = off.abs() - size;
                if best.is_none_or(|(least, _)| cost < least) {
                    let colour = contrasting(own, ground, wanted, least);
                    best = Some((cost, Tone { ground: Some(ground), colour, share, figure: true }));
                }
            }
        }
    }
    let plain = Tone { ground: Some(own.to_colour()), colour: Colour::WHITE, share: MARK_SHARE, figure: true };
    best.map_or(plain, |(_, tone)| tone)
}

/// A tone of this hue and luminance, moved on where rounding has cost it its contrast.
fn contrasting(own: Lab, ground: Colour, wanted: f64, least: f64) -> Colour {
    let away = if wanted > ground.luminance() { 0.25 } else { -0.25 };
    let mut l = lightness(wanted);
    loop {
        let colour = of_luminance(own, luminance(l), FIGURE_CHROMA);
        if colour.contrast(ground) >= least || !(0.0..=100.0).contains(&l) {
            return colour;
        }
        l += away;
    }
}

/// A tone of a hue, with this part of its chroma, whose luminance is this one as nearly as eight bits a channel allow: of the
/// colours about the exact one the nearest.
fn of_luminance(own: Lab, wanted: f64, chroma: f64) -> Colour {
    let near = Lab { l: lightness(wanted), ..own.with_chroma(own.chroma() * chroma) }.to_colour();
    let mut best = (f64::INFINITY, near);
    let moved = |channel: u8, by: i16| u8::try_from(i16::from(channel) + by).ok();
    for green in -1..=1 {
        for red in -2..=2 {
            for blue in -4..=4 {
                if let (Some(r), Some(g), Some(b)) = (moved(near.r, red), moved(near.g, green), moved(near.b, blue)) {
                    let colour = Colour::new(r, g, b);
                    // Of equally good ones the least moved.
                    let off =
                        (colour.luminance() - wanted).abs() + 1e-6 * f64::from(red.abs() + green.abs() + blue.abs());
                    if off < best.0 {
                        best = (off, colour);
                    }
                }
            }
        }
    }
    best.1
}

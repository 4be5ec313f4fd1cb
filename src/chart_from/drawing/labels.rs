//! Which of the drawing's colours every pixel has: those that have one are sure of it, those that smooth an edge go to the
//! side they are nearer to.

use super::label_map::Labels;
use super::palette::{self, Flat};
use super::rgb::{Rgb, as_rgb, differ, rgb, share_between};
use crate::picture::SrgbPicture;

/// Not known yet.
const OPEN: u8 = u8::MAX;
/// How far a pixel looks for the colours it may be a mixture of.
const REACH: usize = 3;

pub(super) fn label(picture: &SrgbPicture, flat: &Flat) -> Labels {
    let colours: Vec<Rgb> = flat.colours.iter().map(|colour| as_rgb(*colour)).collect();
    let sure = sure(picture, &colours, flat.tolerance);
    let mut of = sure.clone();
    for y in 0..picture.height {
        for x in 0..picture.width {
            let at = y * picture.width + x;
            if sure[at] == OPEN {
                of[at] = settled(picture, &sure, &colours, x, y, flat.tolerance);
            }
        }
    }
    Labels { width: picture.width, height: picture.height, of }
}

fn sure(picture: &SrgbPicture, colours: &[Rgb], tolerance: i32) -> Vec<u8> {
    let mut sure = Vec::with_capacity(picture.width * picture.height);
    let mut last: ([u8; 3], u8) = ([0; 3], nearest(colours, [0; 3], tolerance));
    for y in 0..picture.height {
        for x in 0..picture.width {
            let pixel = picture.at(x, y);
            if last.0 != pixel {
                last = (pixel, nearest(colours, pixel.map(i32::from), tolerance));
            }
            let label = last.1;
            let blend = label != OPEN && !palette::is_flat(picture, x, y, tolerance) && is_between(picture, x, y);
            sure.push(if blend { OPEN } else { label });
        }
    }
    sure
}

fn nearest(colours: &[Rgb], here: Rgb, most: i32) -> u8 {
    let near = colours.iter().enumerate().map(|(at, &colour)| (differ(colour, here), at)).min();
    near.filter(|(away, _)| *away <= most).map_or(OPEN, |(_, at)| at as u8)
}

/// Whether the colour is on its way from what is at one side to what is at the other, across or down.
fn is_between(picture: &SrgbPicture, x: usize, y: usize) -> bool {
    let here = rgb(picture, x, y);
    let between = |a: Rgb, b: Rgb| {
        let (mut dot, mut one, mut other) = (0, 0, 0);
        for i in 0..3 {
            let (to_a, to_b) = (a[i] - here[i], b[i] - here[i]);
            dot += to_a * to_b;
            one += to_a * to_a;
            other += to_b * to_b;
        }
        dot < 0 && one > 600 && other > 600 && share_between(here, a, b, 14.0).is_some()
    };
    let (left, right) = (x.saturating_sub(2), (x + 2).min(picture.width - 1));
    let (top, bottom) = (y.saturating_sub(2), (y + 2).min(picture.height - 1));
    between(rgb(picture, left, y), rgb(picture, right, y)) || between(rgb(picture, x, top), rgb(picture, x, bottom))
}

/// The label of a pixel that is not sure of it: of all mixtures of the colours around, that which is most like it, and of
/// that the larger part.
fn settled(picture: &SrgbPicture, sure: &[u8], colours: &[Rgb], x: usize, y: usize, tolerance: i32) -> u8 {
    let here = rgb(picture, x, y);
    let mut around: Vec<(usize, u8)> = Vec::with_capacity(6);
    for v in y.saturating_sub(REACH)..(y + REACH + 1).min(picture.height) {
        for u in x.saturating_sub(REACH)..(x + REACH + 1).min(picture.width) {
            let label = sure[v * picture.width + u];
            if label == OPEN {
                continue;
            }
            match around.iter_mut().find(|(_, known)| *known == label) {
                Some((times, _)) => *times += 1,
                None => around.push((1, label)),
            }
        }
    }
    around.sort_by_key(|&(times, label)| (core::cmp::Reverse(times), label));
    around.truncate(5);
    let colour = |label: u8| colours[usize::from(label)];
    let away = |a: Rgb| {
        let d: i32 = (0..3).map(|i| (a[i] - here[i]) * (a[i] - here[i])).sum();
        libm::sqrt(f64::from(d))
    };
    if around.is_empty() {
        return nearest(colours, here, 255);
    }
    let mut best = (f64::INFINITY, around[0].1);
    for (at, &(_, one)) in around.iter().enumerate() {
        let alone = away(colour(one));
        if alone < best.0 {
            best = (alone, one);
        }
        for &(_, other) in &around[at + 1..] {
            if let Some((rest, t)) = mixture(here, colour(one), colour(other)) {
                // A mixture of two explains more than one colour does, so it has to be better.
                if rest + 6.0 < best.0 {
                    best = (rest + 6.0, if t < 0.5 { one } else { other });
                }
            }
        }
    }
    // A line so thin that none of its pixels has its whole colour: a mixture of the ground with a colour from elsewhere.
    if best.0 > f64::from(20 + tolerance) {
        let ground = around[0].1;
        let thin = (0..colours.len() as u8).filter(|label| around.iter().all(|(_, known)| known != label));
        for other in thin {
            if let Some((rest, t)) = mixture(here, colour(ground), colour(other))
                && rest + 10.0 < best.0
            {
                best = (rest + 10.0, if t < 0.3 { ground } else { other });
            }
        }
    }
    best.1
}

/// How far the colour is from the nearest mixture of two, and the share of the second in that.
fn mixture(here: Rgb, a: Rgb, b: Rgb) -> Option<(f64, f64)> {
    let t = share_between(here, a, b, 1e6)?.clamp(0.0, 1.0);
    let rest: f64 = (0..3)
        .map(|i| {
            let mixed = f64::from(a[i]) + t * f64::from(b[i] - a[i]);
            (mixed - f64::from(here[i])) * (mixed - f64::from(here[i]))
        })
        .sum();
    Some((libm::sqrt(rest), t))
}

//! Colours as three whole numbers, and how they differ.

use crate::colour::Colour;
use crate::picture::SrgbPicture;

pub(super) type Rgb = [i32; 3];

pub(super) fn rgb(picture: &SrgbPicture, x: usize, y: usize) -> Rgb {
    picture.at(x, y).map(i32::from)
}

pub(super) fn differ(a: Rgb, b: Rgb) -> i32 {
    (0..3).map(|i| (a[i] - b[i]).abs()).max().unwrap_or(0)
}

pub(super) fn as_rgb(colour: Colour) -> Rgb {
    [colour.r, colour.g, colour.b].map(i32::from)
}

/// How far `here` lies on the way from `a` to `b`, if it lies within `off` of that way.
pub(super) fn share_between(here: Rgb, a: Rgb, b: Rgb, off: f64) -> Option<f64> {
    let (way, from): ([f64; 3], [f64; 3]) =
        (core::array::from_fn(|i| f64::from(b[i] - a[i])), core::array::from_fn(|i| f64::from(here[i] - a[i])));
    let long = way.iter().map(|v| v * v).sum::<f64>();
    if long < 1.0 {
        return None;
    }
    let t = (0..3).map(|i| way[i] * from[i]).sum::<f64>() / long;
    let away = (0..3).map(|i| (from[i] - t * way[i]) * (from[i] - t * way[i])).sum::<f64>();
    (away <= off * off).then_some(t)
}

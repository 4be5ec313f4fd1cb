//! Flat things beside the cords: fleece, ribbon, label, tools, a hand; and plain lines such as stitches and measures.

use super::builder::{LineStyle, ShapeBuilder};
use super::curve::{CurvePoint, StagePoint, distance, heading, sampled};
use super::tone::{FigureColours, at_lightness, mixed};
use crate::colour::Colour;
use serde::Deserialize;

/// What a plate is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub(crate) enum PlateKind {
    /// Fusible fleece: almost paper.
    Fleece,
    /// Ribbon along an edge.
    Ribbon,
    /// The maker's label.
    Label,
    /// A tool's metal or casing.
    Tool,
    /// A tool's handle.
    Grip,
    /// A hand.
    Skin,
    /// Wood seen on end or as a block.
    Block,
    /// Ink all over.
    Solid,
}

/// A flat outline.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Plate {
    /// What it is.
    pub(crate) kind: PlateKind,
    /// Closed outline, ready to draw.
    pub(crate) outline: Vec<StagePoint>,
    /// Height: what lies lower is hidden by it.
    pub(crate) z: f64,
}

/// A plain line on top of everything.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct PlainLine {
    /// Where it runs.
    pub(crate) through: Vec<StagePoint>,
    /// Millimetres.
    pub(crate) width: f64,
    /// Dash and gap, where it is broken.
    pub(crate) dash: Option<[f64; 2]>,
}

/// Distance between the places of a sampled outline, millimetres.
const FINE: f64 = 0.25;

/// The closed polygon through `corners`, each rounded by `radius` as far as its sides allow.
pub(crate) fn rounded(corners: &[StagePoint], radius: f64) -> Vec<StagePoint> {
    let count = corners.len();
    let mut outline = Vec::new();
    for at in 0..count {
        let (before, corner, after) = (corners[(at + count - 1) % count], corners[at], corners[(at + 1) % count]);
        let room = distance(before, corner).min(distance(corner, after)) / 2.0;
        let cut = radius.min(room);
        let (back, ahead) = (heading(corner, before), heading(corner, after));
        let from = [corner[0] + back[0] * cut, corner[1] + back[1] * cut];
        let to = [corner[0] + ahead[0] * cut, corner[1] + ahead[1] * cut];
        if let Some(&last) = outline.last() {
            straight(last, from, &mut outline);
        }
        let parts = (cut / FINE * 2.0).ceil().max(1.0) as usize;
        for k in 0..=parts {
            let t = k as f64 / parts as f64;
            let mix = |i: usize| from[i] * (1.0 - t) * (1.0 - t) + corner[i] * 2.0 * t * (1.0 - t) + to[i] * t * t;
            outline.push([mix(0), mix(1)]);
        }
    }
    if let (Some(&last), Some(&first)) = (outline.last(), outline.first()) {
        straight(last, first, &mut outline);
        outline.push(first);
    }
    outline
}

fn straight(from: StagePoint, to: StagePoint, outline: &mut Vec<StagePoint>) {
    let parts = (distance(from, to) / FINE / 4.0).floor() as usize;
    for k in 1..parts {
        let t = k as f64 / parts as f64;
        outline.push([from[0] + (to[0] - from[0]) * t, from[1] + (to[1] - from[1]) * t]);
    }
}

/// The smooth closed curve through `places`.
pub(crate) fn smooth(places: &[StagePoint]) -> Vec<StagePoint> {
    let count = places.len();
    // Three places more at either end, so that the seam is as smooth as the rest.
    let around: Vec<CurvePoint> = (0..count + 6)
        .map(|k| {
            let [x, y] = places[(k + count * 3 - 3) % count];
            CurvePoint::smooth([x, y, 0.0], FINE * 12.0)
        })
        .collect();
    let samples = sampled(&around).samples;
    let (start, end) = (places[0], count);
    // The curve passes the first place twice: after three spans and after three plus all of them.
    let nearest = |range: std::ops::Range<usize>| {
        range.min_by(|&a, &b| distance(samples[a].at, start).total_cmp(&distance(samples[b].at, start)))
    };
    let half = samples.len() / 2;
    match (nearest(0..half), nearest(half..samples.len())) {
        (Some(from), Some(to)) if end > 2 => samples[from..=to].iter().map(|s| s.at).collect(),
        _ => Vec::new(),
    }
}

impl Plate {
    /// Left, top, right, bottom.
    pub(crate) fn corners(&self) -> [f64; 4] {
        self.outline.iter().fold([f64::MAX, f64::MAX, f64::MIN, f64::MIN], |c, p| {
            [c[0].min(p[0]), c[1].min(p[1]), c[2].max(p[0]), c[3].max(p[1])]
        })
    }

    /// Paints it.
    pub(crate) fn paint(&self, builder: &mut ShapeBuilder, colours: &FigureColours) {
        let (body, edge) = match self.kind {
            PlateKind::Fleece => (mixed(colours.ink, Colour::WHITE, 0.93), mixed(colours.ink, Colour::WHITE, 0.3)),
            PlateKind::Ribbon => (at_lightness(colours.yarn, 0.8), at_lightness(colours.yarn, 0.25)),
            PlateKind::Label => (Colour::WHITE, colours.ink),
            PlateKind::Tool => (mixed(colours.ink, Colour::WHITE, 0.78), colours.ink),
            PlateKind::Grip => (mixed(colours.ink, Colour::WHITE, 0.42), colours.ink),
            PlateKind::Skin => (at_lightness(colours.cord, 0.93), at_lightness(colours.cord, 0.35)),
            PlateKind::Block => (at_lightness(colours.wood, 0.66), at_lightness(colours.wood, 0.24)),
            PlateKind::Solid => (colours.ink, colours.ink),
        };
        builder.fill_and_stroke(&[&self.outline], body, LineStyle::full(edge, 0.22));
    }
}

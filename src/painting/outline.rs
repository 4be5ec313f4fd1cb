//! Outlines as straight edges: curves in short pieces, strokes as the outlines of what they cover.

use crate::page::{Segment, Stroke};

/// From one place to another, in pixels.
pub(super) type Edge = (Spot, Spot);
type Spot = (f64, f64);

/// Straight pieces that a curve is taken as; on the drawings here a piece is then under two pixels long.
const PIECES: usize = 12;
/// Sides of what rounds an end or a corner.
const ROUND_SIDES: usize = 12;

/// The parts of an outline, each a line of places; `true` where it is closed.
fn parts(outline: &[Segment], place: &impl Fn(f64, f64) -> Spot) -> Vec<(Vec<Spot>, bool)> {
    let at = |p: crate::geom::Point| place(p.x.to_pt(), p.y.to_pt());
    let mut parts: Vec<(Vec<Spot>, bool)> = Vec::new();
    for segment in outline {
        match *segment {
            Segment::Move(p) => parts.push((vec![at(p)], false)),
            Segment::Line(p) => {
                if let Some((spots, _)) = parts.last_mut() {
                    spots.push(at(p));
                }
            }
            Segment::Curve(a, b, p) => {
                let Some((spots, _)) = parts.last_mut() else { continue };
                let Some(&from) = spots.last() else { continue };
                let (a, b, to) = (at(a), at(b), at(p));
                for piece in 1..=PIECES {
                    let t = piece as f64 / PIECES as f64;
                    let u = 1.0 - t;
                    let mix =
                        |p: f64, q: f64, r: f64, s: f64| u * u * u * p + 3.0 * u * t * (u * q + t * r) + t * t * t * s;
                    spots.push((mix(from.0, a.0, b.0, to.0), mix(from.1, a.1, b.1, to.1)));
                }
            }
            Segment::Close => {
                let Some((spots, closed)) = parts.last_mut() else { continue };
                *closed = true;
                // What follows without a new beginning starts where this one did.
                let start = spots.first().copied();
                parts.extend(start.map(|start| (vec![start], false)));
            }
        }
    }
    parts.retain(|(spots, _)| spots.len() > 1);
    parts
}

fn ring(spots: &[Spot], edges: &mut Vec<Edge>) {
    edges.extend(spots.iter().copied().zip(spots.iter().copied().cycle().skip(1)));
}

/// The edges of what is filled; open parts are closed.
pub(super) fn filled(outline: &[Segment], place: &impl Fn(f64, f64) -> Spot) -> Vec<Edge> {
    let mut edges = Vec::new();
    for (spots, _) in parts(outline, place) {
        ring(&spots, &mut edges);
    }
    edges
}

/// The edges of what a stroke covers: a box along every piece, all of one winding, and discs at corners and round ends.
pub(super) fn stroked(
    outline: &[Segment],
    stroke: &Stroke,
    scale: f64,
    place: &impl Fn(f64, f64) -> Spot,
) -> Vec<Edge> {
    let half = stroke.width.to_pt() * scale / 2.0;
    let dash: Vec<f64> = stroke.dash.iter().map(|length| length.to_pt() * scale).collect();
    let mut edges = Vec::new();
    for (mut spots, closed) in parts(outline, place) {
        if closed {
            // Once round and a little on, so that there is a corner where it meets, too.
            let first: Vec<Spot> = spots.iter().take(2).copied().collect();
            spots.extend(first);
        }
        let pieces = if dash.iter().any(|d| *d > 0.0) { dashes(&spots, &dash) } else { vec![spots] };
        for spots in pieces {
            for pair in spots.windows(2) {
                along(pair[0], pair[1], half, &mut edges);
            }
            let ends = if stroke.round { 0..spots.len() } else { 1..spots.len().saturating_sub(1) };
            for spot in spots.get(ends).unwrap_or_default() {
                disc(*spot, half, &mut edges);
            }
        }
    }
    edges
}

fn along(a: Spot, b: Spot, half: f64, edges: &mut Vec<Edge>) {
    let (dx, dy) = (b.0 - a.0, b.1 - a.1);
    let long = libm::hypot(dx, dy);
    if long < 1e-9 {
        return;
    }
    let (nx, ny) = (-dy / long * half, dx / long * half);
    ring(&[(a.0 - nx, a.1 - ny), (b.0 - nx, b.1 - ny), (b.0 + nx, b.1 + ny), (a.0 + nx, a.1 + ny)], edges);
}

fn disc(at: Spot, half: f64, edges: &mut Vec<Edge>) {
    let spots: Vec<Spot> = (0..ROUND_SIDES)
        .map(|side| {
            let turn = side as f64 / ROUND_SIDES as f64 * std::f64::consts::TAU;
            (at.0 + half * libm::cos(turn), at.1 + half * libm::sin(turn))
        })
        .collect();
    ring(&spots, edges);
}

/// The pieces of a line that are drawn where it is dashed.
fn dashes(spots: &[Spot], dash: &[f64]) -> Vec<Vec<Spot>> {
    let mut out: Vec<Vec<Spot>> = Vec::new();
    let (mut at, mut on, mut left) = (0, true, dash[0]);
    out.extend(spots.first().map(|first| vec![*first]));
    for pair in spots.windows(2) {
        let (mut from, to) = (pair[0], pair[1]);
        let mut long = libm::hypot(to.0 - from.0, to.1 - from.1);
        while long > left {
            let part = left / long;
            from = (from.0 + (to.0 - from.0) * part, from.1 + (to.1 - from.1) * part);
            long -= left;
            match on {
                true => out.last_mut().into_iter().for_each(|piece| piece.push(from)),
                false => out.push(vec![from]),
            }
            on = !on;
            at += 1;
            // A dash of no length would never end.
            left = dash[at % dash.len()].max(1e-3);
        }
        left -= long;
        if on {
            out.last_mut().into_iter().for_each(|piece| piece.push(to));
        }
    }
    out.retain(|piece| piece.len() > 1);
    out
}

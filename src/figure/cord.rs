//! Painting one stretch of a cord: gap, body, shade, marks, edges and ends.
//!
//! Long, and one subject: what one stretch of a cord is painted of.

use super::builder::{LineEnds, LineStyle, ShapeBuilder};
use super::curve::{Sample, StagePoint, beside, cosine, distance};
use super::model::{Cord, CordEnd, CordKind};
use super::tone::{FigureColours, Tones, at_lightness, mixed};
use crate::colour::Colour;
use std::ops::Range;

/// How far a cord's colour fades where it runs on, millimetres.
const FADE: f64 = 3.0;
/// The gap beside a cord where another dips below it, millimetres.
const GAP: f64 = 0.42;
/// Samples in the rounded tip of a cord.
const TIP_SAMPLES: usize = 16;
/// Half the width below which a round-ended cord is drawn plainly, millimetres.
const SMALL: f64 = 0.7;
/// Half the width below which the plies of a cord are straight lines, millimetres.
const THIN: f64 = 1.0;
/// Width of outlines, millimetres.
const EDGE: f64 = 0.2;
/// Width of the outlines of small knots.
const SMALL_EDGE: f64 = EDGE * 0.8;

/// The tones of a kind of cord. Lightness is set so that the kinds differ in grey as well: yarn dark, second yarn
/// middling, cord and strand light.
pub(crate) fn tones(kind: CordKind, colours: &FigureColours) -> Tones {
    let toned = |colour, body: f64, edge: f64| Tones {
        body: at_lightness(colour, body),
        shade: at_lightness(colour, body * 0.84),
        mark: at_lightness(colour, body * 0.62),
        edge: if colours.grey_edges { at_lightness(colour, edge).grey() } else { at_lightness(colour, edge) },
    };
    match kind {
        CordKind::Cord => toned(colours.cord, 0.90, 0.32),
        CordKind::Strand => toned(colours.strand, 0.80, 0.30),
        CordKind::Yarn => toned(colours.yarn, 0.46, 0.16),
        CordKind::SecondYarn => toned(colours.second_yarn, 0.68, 0.24),
        CordKind::Wood | CordKind::Branch => toned(colours.wood, 0.66, 0.24),
        CordKind::Metal => Tones {
            body: mixed(colours.ink, colours.paper, 0.72),
            shade: mixed(colours.ink, colours.paper, 0.5),
            mark: mixed(colours.ink, colours.paper, 0.3),
            edge: colours.ink,
        },
        CordKind::String | CordKind::Arrow => {
            Tones { body: colours.ink, shade: colours.ink, mark: colours.ink, edge: colours.ink }
        }
    }
}

/// Paints the samples `range` of a cord; `over` are the parts of it below which another cord dips.
pub(crate) fn paint(
    builder: &mut ShapeBuilder,
    cord: &Cord,
    range: Range<usize>,
    over: &[Range<usize>],
    colours: &FigureColours,
) {
    for dip in over {
        let gap = if cord.kind == CordKind::Arrow { 0.55 } else { GAP };
        // No gap where the cord itself fades.
        let firm = dip.clone().filter(|&at| faded_by(cord, at) == 0);
        let wide: Vec<Sample> =
            firm.map(|at| cord.curve.samples[at]).map(|s| Sample { half: s.half + gap, ..s }).collect();
        let back: Vec<StagePoint> = beside(&wide, 1.0).into_iter().rev().collect();
        builder.fill(&[&beside(&wide, -1.0), &back], colours.paper);
    }
    match cord.kind {
        CordKind::Arrow => arrow(builder, cord, range, colours),
        CordKind::String => {
            let line: Vec<StagePoint> = cord.curve.samples[range].iter().map(|s| s.at).collect();
            let width = cord.curve.samples[0].half * 2.0;
            builder.stroke_lines(&[line], LineStyle::full(colours.ink, width));
        }
        CordKind::Cord
        | CordKind::Strand
        | CordKind::Yarn
        | CordKind::SecondYarn
        | CordKind::Wood
        | CordKind::Branch
        | CordKind::Metal => {
            let full = tones(cord.kind, colours);
            for (part, fade) in faded(cord, range.clone()) {
                let tones = towards(full, colours, fade);
                if plainly(builder, cord, part.clone(), &tones).is_none() {
                    body(builder, cord, part, &tones);
                }
            }
            ends(builder, cord, range, &full, colours);
        }
    }
}

fn towards(tones: Tones, colours: &FigureColours, share: f64) -> Tones {
    let faded = |c| mixed(c, colours.paper, share);
    Tones { body: faded(tones.body), shade: faded(tones.shade), mark: faded(tones.mark), edge: faded(tones.edge) }
}

/// Steps in which a cord fades.
const FADES: usize = 4;

/// By how many of [`FADES`] steps a cord is faded at a sample.
fn faded_by(cord: &Cord, at: usize) -> usize {
    let last = cord.curve.samples.len() - 1;
    let reach = (FADE / cord.curve.samples[1].run) as usize;
    let from_start = if cord.start == CordEnd::RunsOn { at } else { usize::MAX };
    let from_finish = if cord.finish == CordEnd::RunsOn { last.saturating_sub(at) } else { usize::MAX };
    let near = from_start.min(from_finish);
    if near >= reach { 0 } else { FADES - near * FADES / reach }
}

/// The stretch cut where it fades, each part with its share of paper.
fn faded(cord: &Cord, range: Range<usize>) -> Vec<(Range<usize>, f64)> {
    let mut parts: Vec<(Range<usize>, f64)> = Vec::new();
    let mut from = range.start;
    for at in range.start + 1..range.end {
        let fades = faded_by(cord, from);
        if at + 1 == range.end || faded_by(cord, at) != fades {
            parts.push((from..at + 1, fades as f64 / (FADES as f64 + 0.5)));
            from = at;
        }
    }
    parts
}

/// Whether an end of a stretch is rounded: where a cord folds, and where it ends so.
fn is_rounded(cord: &Cord, at: usize, end: CordEnd, edge: bool) -> bool {
    if edge { matches!(end, CordEnd::Round | CordEnd::Taper) } else { cord.curve.folds.contains(&at) }
}

/// The samples of a stretch, `further` more than it has where the cord goes on, so that no hairline of paper shows between
/// it and the next one; with a rounded tip where it folds or is rounded off. Half the width is `less` than it is.
fn stretch(cord: &Cord, range: Range<usize>, further: usize, less: f64) -> Vec<Sample> {
    let all = &cord.curve.samples;
    let at = |index: usize| Sample { half: all[index].half - less, ..all[index] };
    // A bar's end is seen almost from the side.
    let bulge = if cord.kind == CordKind::Wood { 0.42 } else { 1.0 };
    let mut samples = Vec::with_capacity(range.len() + 2 * TIP_SAMPLES);
    if is_rounded(cord, range.start, cord.start, range.start == 0) {
        samples.extend(tip(&at(range.start), -bulge).into_iter().rev());
    } else {
        samples.extend((range.start.saturating_sub(further)..range.start).map(at));
    }
    samples.extend(range.clone().map(at));
    if is_rounded(cord, range.end, cord.finish, range.end == all.len()) {
        samples.extend(tip(&at(range.end - 1), bulge));
    } else {
        samples.extend((range.end..(range.end + further).min(all.len())).map(at));
    }
    samples
}

/// Samples beyond an end, narrowing to half an ellipse.
fn tip(last: &Sample, outwards: f64) -> Vec<Sample> {
    (1..=TIP_SAMPLES)
        .map(|k| {
            let angle = k as f64 / TIP_SAMPLES as f64 * std::f64::consts::FRAC_PI_2;
            let out = libm::sin(angle) * last.half * outwards;
            Sample {
                at: [last.at[0] + last.along[0] * out, last.at[1] + last.along[1] * out],
                half: last.half * libm::cos(angle).max(0.02),
                run: last.run + out,
                ..*last
            }
        })
        .collect()
}

/// A stretch of a cord that is not drawn plainly.
fn body(builder: &mut ShapeBuilder, cord: &Cord, range: Range<usize>, tones: &Tones) {
    let way = &cord.curve.samples[range.clone()];
    let half = way[way.len() / 2].half;
    let ends = [
        is_rounded(cord, range.start, cord.start, range.start == 0),
        is_rounded(cord, range.end, cord.finish, range.end == cord.curve.samples.len()),
    ];
    let bent = way.iter().any(|sample| cosine(sample.along, way[0].along) < 0.999);
    if cord.kind != CordKind::Wood && ends[0] == ends[1] && bent && is_even(way, half) {
        // One line upon a wider one: half of what two edges and the area between them take. Not where it is straight: some
        // screens round the sides of upright lines to whole pixels, each by itself, and an edge would be lost.
        let all = &cord.curve.samples;
        let (way, beyond) = match ends[0] {
            true => (way, LineEnds::Round),
            // A sample further than it goes, as every stretch is drawn.
            false => {
                let (from, to) = (range.start.saturating_sub(1), (range.end + 1).min(all.len()));
                (&all[from..to], LineEnds::Straight([from.checked_sub(1), Some(to)].map(|at| Some(all.get(at?)?.at))))
            }
        };
        let middle: Vec<StagePoint> = way.iter().map(|s| s.at).collect();
        builder.stroke_twice(&middle, [(tones.edge, half * 2.0 + EDGE), (tones.body, half * 2.0 - EDGE)], beyond);
        let samples = stretch(cord, range, 2, EDGE / 2.0);
        round_body(builder, cord.kind, &samples, half, tones);
    } else {
        let samples = stretch(cord, range, 1, 0.0);
        let [left, right] = [-1.0, 1.0].map(|side| builder.trail(&beside(&samples, side)));
        builder.fill_between(&left, &right, tones.body);
        round_body(builder, cord.kind, &samples, half, tones);
        builder.stroke_trails(&[left, right], LineStyle::full(tones.edge, EDGE));
    }
}

/// What makes a body look round and tells its kind. Small ones are left plainer.
fn round_body(builder: &mut ShapeBuilder, kind: CordKind, samples: &[Sample], half: f64, tones: &Tones) {
    let small = half < SMALL;
    for side in [-1.0, 1.0].into_iter().filter(|_| !small) {
        shade(builder, samples, side, tones);
    }
    if !small || kind != CordKind::Yarn {
        marks(builder, kind, samples, tones);
    }
}

/// Whether a stretch is of one width.
fn is_even(samples: &[Sample], half: f64) -> bool {
    samples.iter().all(|s| (s.half - half).abs() < half * 0.01)
}

/// A small knot, of which there are many at a time: shade would not show, and a drawing should stay light. Two lines with
/// round ends, one upon the other; `None` where the stretch is wide or goes on.
fn plainly(builder: &mut ShapeBuilder, cord: &Cord, range: Range<usize>, tones: &Tones) -> Option<()> {
    let samples = &cord.curve.samples[range.clone()];
    let half = samples.get(samples.len() / 2)?.half;
    let rounded = is_rounded(cord, range.start, cord.start, range.start == 0)
        && is_rounded(cord, range.end, cord.finish, range.end == cord.curve.samples.len());
    if half >= SMALL || !rounded || !is_even(samples, half) {
        return None;
    }
    let middle: Vec<StagePoint> = samples.iter().map(|s| s.at).collect();
    let looks = [(tones.edge, half * 2.0 + SMALL_EDGE), (tones.body, half * 2.0 - SMALL_EDGE)];
    builder.stroke_twice(&middle, looks, LineEnds::Round);
    // Where one yarn runs through many knots, some are drawn in parts, without the light upon them: then none has it.
    if cord.kind != CordKind::Yarn || cord.curve.folds.is_empty() {
        marks(builder, cord.kind, samples, tones);
    }
    Some(())
}

/// How squarely the right side of a cord faces the light from the upper left: +1 wholly, -1 it is the left side.
fn towards_light(sample: &Sample) -> f64 {
    const LIGHT: StagePoint = [-0.55, -0.83];
    -sample.along[1] * LIGHT[0] + sample.along[0] * LIGHT[1]
}

/// The side away from the light, which falls from the upper left, is darker: widest where the side faces away squarely.
fn shade(builder: &mut ShapeBuilder, samples: &[Sample], side: f64, tones: &Tones) {
    let away = |s: &Sample| (-side * towards_light(s)).max(0.0);
    let mut outer = Vec::new();
    let mut inner = Vec::new();
    let flush = |builder: &mut ShapeBuilder, outer: &mut Vec<StagePoint>, inner: &mut Vec<StagePoint>| {
        if outer.len() > 2 {
            inner.reverse();
            builder.fill_roughly(&[outer, inner], tones.shade);
        }
        outer.clear();
        inner.clear();
    };
    for sample in samples {
        let depth = away(sample);
        if depth < 0.08 {
            flush(builder, &mut outer, &mut inner);
            continue;
        }
        let rim = sample.beside(side);
        let backwards = outer.last().is_some_and(|last: &StagePoint| {
            (rim[0] - last[0]) * sample.along[0] + (rim[1] - last[1]) * sample.along[1] <= 0.0
        });
        if !backwards {
            outer.push(rim);
            inner.push(sample.beside(side * (1.0 - 0.62 * depth)));
        }
    }
    flush(builder, &mut outer, &mut inner);
}

/// Marks that tell the kinds apart without colour.
fn marks(builder: &mut ShapeBuilder, kind: CordKind, samples: &[Sample], tones: &Tones) {
    let half = samples.iter().map(|s| s.half).fold(0.0, f64::max);
    match kind {
        CordKind::Cord => twist(builder, samples, half, [0.62, 1.0], tones),
        CordKind::Strand => twist(builder, samples, half, [0.95, 1.5], tones),
        CordKind::Yarn => {
            let light = mixed(tones.body, Colour::WHITE, 0.42);
            let line: Vec<StagePoint> = samples.iter().map(|s| s.beside(0.4 * towards_light(s))).collect();
            builder.stroke_lines(&[line], LineStyle::full(light, half * 0.22));
        }
        CordKind::SecondYarn => {
            // Flecks along the middle.
            let flecks = dashes(samples, half * 1.5, half * 0.75, 0.0, 0.0);
            builder.stroke_lines(&flecks, LineStyle::full(tones.edge, half * 0.22));
        }
        CordKind::Wood => {
            let mut lines = Vec::new();
            for (k, share) in [-0.62, -0.3, 0.08, 0.36, 0.7].into_iter().enumerate() {
                lines.extend(dashes(samples, half * 5.2, half * 3.6, share, k as f64 * half * 1.7));
            }
            builder.stroke_lines(&lines, LineStyle::full(mixed(tones.body, tones.mark, 0.6), 0.12));
        }
        CordKind::Branch => {
            let mut lines = Vec::new();
            for (k, share) in [-0.78, -0.5, -0.22, 0.05, 0.3, 0.55, 0.8].into_iter().enumerate() {
                let shift = (k * 7 % 5) as f64 * half * 0.55;
                let long = half * (0.7 + 0.35 * (k % 3) as f64);
                lines.extend(dashes(samples, half * 2.3, long, share, shift));
            }
            builder.stroke_lines(&lines, LineStyle::full(tones.mark, 0.16));
        }
        CordKind::Metal | CordKind::String | CordKind::Arrow => {}
    }
}

/// The plies of a twisted cord: S-shaped lines from edge to edge. `measure`: distance between neighbours and length of
/// one along the cord, both as multiples of the width.
fn twist(builder: &mut ShapeBuilder, samples: &[Sample], half: f64, measure: [f64; 2], tones: &Tones) {
    let [every, long] = measure.map(|m| m * half * 2.0);
    let (start, end) = (samples[0].run, samples[samples.len() - 1].run);
    let mut cubics = Vec::new();
    // Counted from the cord's start, so that neighbouring stretches carry on with each other's lines.
    let mut line_start = ((start - long) / every).floor() * every;
    while line_start < end {
        let (from, to) = (((start - line_start) / long).max(0.0), ((end - line_start) / long).min(1.0));
        let place = |[along, across]: StagePoint| {
            let run = (line_start + along * long).clamp(start, end);
            at_run(samples, run).map(|sample| sample.beside(across))
        };
        if to > from
            && let [Some(a), Some(b), Some(c), Some(d)] = part_of_ply(from, to).map(place)
        {
            // On a thin cord the bend does not show.
            cubics.push((a, if half < THIN { [a, d, d] } else { [b, c, d] }));
        }
        line_start += every;
    }
    builder.stroke_cubics(&cubics, LineStyle::full(tones.mark, 0.13));
}

/// The part from `from` to `to` (0 to 1) of the line of a ply: places along (0 to 1) and across (-1 to 1) the cord. The
/// whole line is half a sine wave, flat at the edges and steep in the middle, as a thread on a round body is seen; a
/// cubic with handles of 0.364 of its length is within a hundredth of it.
fn part_of_ply(from: f64, to: f64) -> [StagePoint; 4] {
    const WHOLE: [StagePoint; 4] = [[0.0, -0.93], [0.364, -0.93], [0.636, 0.93], [1.0, 0.93]];
    if from <= 0.0 && to >= 1.0 {
        return WHOLE;
    }
    // The blossom of the cubic: its value with the three parameters taken apart gives the part's control places.
    let blossom = |t: [f64; 3]| -> StagePoint {
        let mut places = WHOLE;
        for (round, t) in t.into_iter().enumerate() {
            for at in 0..3 - round {
                let (a, b) = (places[at], places[at + 1]);
                places[at] = [0, 1].map(|i| a[i] + (b[i] - a[i]) * t);
            }
        }
        places[0]
    };
    [[from, from, from], [from, from, to], [from, to, to], [to, to, to]].map(blossom)
}

/// The place at a length along the cord, between two samples; `None` outside the stretch.
fn at_run(samples: &[Sample], run: f64) -> Option<Sample> {
    let at = samples.partition_point(|s| s.run < run);
    let after = samples.get(at)?;
    let before = samples.get(at.saturating_sub(1))?;
    if at == 0 && after.run > run {
        return None;
    }
    let share = ((run - before.run) / (after.run - before.run).max(1e-9)).clamp(0.0, 1.0);
    let mix = |a: f64, b: f64| a + (b - a) * share;
    Some(Sample {
        at: [mix(before.at[0], after.at[0]), mix(before.at[1], after.at[1])],
        half: mix(before.half, after.half),
        ..*after
    })
}

/// Stretches `long` of a line beside the curve, one `every` so many millimetres counted from the cord's start.
fn dashes(samples: &[Sample], every: f64, long: f64, share: f64, shift: f64) -> Vec<Vec<StagePoint>> {
    let mut found = Vec::new();
    let mut line: Vec<StagePoint> = Vec::new();
    for sample in samples {
        let phase = (sample.run + shift) % every;
        if phase < long {
            line.push(sample.beside(share));
        } else if line.len() > 1 {
            found.push(std::mem::take(&mut line));
        } else {
            line.clear();
        }
    }
    if line.len() > 1 {
        found.push(line);
    }
    found
}

fn ends(builder: &mut ShapeBuilder, cord: &Cord, range: Range<usize>, tones: &Tones, colours: &FigureColours) {
    let last = cord.curve.samples.len() - 1;
    if range.start == 0 {
        end(builder, cord, cord.start, 0, -1.0, tones, colours);
    }
    if range.end > last {
        end(builder, cord, cord.finish, last, 1.0, tones, colours);
    }
}

/// Half an ellipse or a whole one across the cord, bulging along it.
fn cap(sample: &Sample, outwards: f64, bulge: f64, whole: bool) -> Vec<StagePoint> {
    let parts = if whole { 32 } else { 16 };
    (0..=parts)
        .map(|k| {
            let angle = std::f64::consts::PI * (f64::from(k) / 16.0 - 0.5);
            let (side, out) = (libm::sin(angle), libm::cos(angle) * bulge * outwards);
            let [x, y] = sample.beside(side);
            [x + sample.along[0] * out * sample.half, y + sample.along[1] * out * sample.half]
        })
        .collect()
}

fn end(
    builder: &mut ShapeBuilder,
    cord: &Cord,
    end: CordEnd,
    at: usize,
    outwards: f64,
    tones: &Tones,
    colours: &FigureColours,
) {
    let sample = &cord.curve.samples[at];
    let edge = LineStyle::full(tones.edge, EDGE);
    match end {
        CordEnd::RunsOn | CordEnd::Round | CordEnd::Taper => {}
        CordEnd::Cut => {
            let face = cap(sample, outwards, if cord.kind == CordKind::Wood { 0.42 } else { 0.34 }, true);
            builder.fill_and_stroke(&[&face], mixed(tones.body, colours.paper, 0.45), edge);
            if matches!(cord.kind, CordKind::Wood | CordKind::Branch) {
                for share in [0.66, 0.3] {
                    let ring: Vec<StagePoint> = face
                        .iter()
                        .map(|p| {
                            [sample.at[0] + (p[0] - sample.at[0]) * share, sample.at[1] + (p[1] - sample.at[1]) * share]
                        })
                        .collect();
                    builder.stroke_lines(&[ring], LineStyle::full(tones.mark, 0.13));
                }
            }
        }
        CordEnd::Working => working(builder, cord, at, outwards, colours),
    }
}

/// How long the marked tip of a working end is, in widths.
pub(crate) const TIP: f64 = 1.0;

/// The working end is marked by a dark tip with a ring behind it, like the end of a shoelace.
fn working(builder: &mut ShapeBuilder, cord: &Cord, at: usize, outwards: f64, colours: &FigureColours) {
    let full = cord.curve.samples[cord.curve.samples.len() / 2].half;
    let step = cord.curve.samples[1].run;
    let [tip, ring, ring_end] = [TIP, TIP + 0.3, TIP + 0.5].map(|widths| (widths * 2.0 * full / step).round() as usize);
    let last = cord.curve.samples.len() - 1;
    let part = |from: usize, to: usize| -> Range<usize> {
        if outwards > 0.0 { last.saturating_sub(to)..last.saturating_sub(from) + 1 } else { from..to.min(last) + 1 }
    };
    for range in [part(0, tip), part(ring, ring_end)] {
        let left = beside(&cord.curve.samples[range.clone()], -1.0);
        let mut right = beside(&cord.curve.samples[range], 1.0);
        right.reverse();
        builder.fill_and_stroke(&[&left, &right], colours.ink, LineStyle::full(colours.ink, EDGE));
    }
    let round = cap(&cord.curve.samples[at], outwards, 1.0, false);
    builder.fill_and_stroke(&[&round], colours.ink, LineStyle::full(colours.ink, EDGE));
}

/// Narrows a cord towards ends that taper: to a fifth over three widths, or to a rounded point over the working tip.
pub(crate) fn narrow(samples: &mut [Sample], start: CordEnd, finish: CordEnd) {
    let last = samples.len().saturating_sub(1);
    let runs: Vec<f64> = samples.iter().map(|s| s.run).collect();
    let widths: Vec<f64> = samples.iter().map(|s| s.half * 2.0).collect();
    for (end, from_start) in [(start, true), (finish, false)] {
        for (k, &width) in widths.iter().enumerate() {
            let away = if from_start { runs[k] } else { runs[last] - runs[k] } / width.max(1e-6);
            samples[k].half *= match end {
                CordEnd::RunsOn | CordEnd::Cut | CordEnd::Round => 1.0,
                CordEnd::Taper => 0.2 + 0.8 * (away / 3.0).min(1.0),
                CordEnd::Working => 0.3 + 0.7 * (away / TIP).min(1.0),
            };
        }
    }
}

fn arrow(builder: &mut ShapeBuilder, cord: &Cord, range: Range<usize>, colours: &FigureColours) {
    const HEAD: f64 = 2.3;
    let samples = &cord.curve.samples;
    let last = samples.len() - 1;
    let step = samples[1].run;
    let neck = last.saturating_sub((HEAD * 0.8 / step) as usize);
    // Dashes counted along the whole arrow, so that they carry on where it passes under a cord.
    let shaft = &samples[range.start..range.end.min(neck + 1).max(range.start)];
    let mut dashed = dashes(shaft, 2.05, 1.3, 0.0, 0.0);
    // What shows under a cord as a dot only says nothing.
    dashed.retain(|dash| dash.len() as f64 * step > 0.5);
    builder.stroke_lines(&dashed, LineStyle::full(colours.ink, 0.42));
    if range.end > last {
        let tip = samples[last].at;
        let back = samples[last.saturating_sub((HEAD / step) as usize)];
        let long = distance(tip, back.at).max(1e-6);
        let along = [(tip[0] - back.at[0]) / long, (tip[1] - back.at[1]) / long];
        let (wide, deep) = (HEAD * 0.42, HEAD * 0.78);
        let base = [tip[0] - along[0] * HEAD, tip[1] - along[1] * HEAD];
        let notch = [tip[0] - along[0] * deep, tip[1] - along[1] * deep];
        let left = [base[0] - along[1] * wide, base[1] + along[0] * wide];
        let right = [base[0] + along[1] * wide, base[1] - along[0] * wide];
        builder.fill(&[&[tip, left], &[notch], &[right]], colours.ink);
    }
}

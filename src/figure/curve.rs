//! Smooth curves through given places, in millimetres: sampled evenly, offset sideways, and turned back into Béziers.
//!
//! A place has a height above the paper as well, so that a cord knows where it lies over another one.

/// A place on the paper: millimetres from the left and from the top of a panel.
pub(crate) type StagePoint = [f64; 2];

/// Samples to a cord's width: bends as tight as the cord allows stay round.
const SAMPLES_TO_A_WIDTH: f64 = 12.0;
/// The same for thin ones, of which there are many in the drawings that have some, and the width that is thin, millimetres.
const SAMPLES_TO_A_THIN_WIDTH: f64 = 8.0;
const THIN: f64 = 1.4;

/// A place a curve goes through.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct CurvePoint {
    /// From the left.
    pub(crate) x: f64,
    /// From the top.
    pub(crate) y: f64,
    /// Height above the paper: greater is nearer to the eye. No unit; one cord's thickness is about 1.
    pub(crate) z: f64,
    /// Width of the cord here, millimetres.
    pub(crate) width: f64,
    /// Whether the cord turns back here behind or before what it goes round, so that the curve has a tip and not a bend.
    pub(crate) fold: bool,
    /// Whether the cord lies close here on what it crosses: no gap shows what dips below.
    pub(crate) close: bool,
}

impl CurvePoint {
    /// A place in a smooth stretch.
    pub(crate) fn smooth([x, y, z]: [f64; 3], width: f64) -> CurvePoint {
        CurvePoint { x, y, z, width, fold: false, close: false }
    }
}

/// One sample of a curve.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Sample {
    /// Where.
    pub(crate) at: StagePoint,
    /// Height.
    pub(crate) z: f64,
    /// Half the width.
    pub(crate) half: f64,
    /// Unit tangent.
    pub(crate) along: StagePoint,
    /// Length of the curve up to here, millimetres.
    pub(crate) run: f64,
    /// See [`CurvePoint::close`].
    pub(crate) close: bool,
}

impl Sample {
    /// The place `share` of the half width to the side: +1 is the right edge seen in the direction of the curve
    /// (y grows downwards), -1 the left one.
    pub(crate) fn beside(&self, share: f64) -> StagePoint {
        let out = self.half * share;
        [self.at[0] - self.along[1] * out, self.at[1] + self.along[0] * out]
    }
}

/// Distance of two places. The square root is the same on every machine (IEEE 754), and millimetres never overflow.
pub(crate) fn distance(a: StagePoint, b: StagePoint) -> f64 {
    let (x, y) = (a[0] - b[0], a[1] - b[1]);
    (x * x + y * y).sqrt()
}

/// Unit vector from `a` to `b`; points right where they coincide.
pub(crate) fn heading(a: StagePoint, b: StagePoint) -> StagePoint {
    let length = distance(a, b);
    if length < 1e-12 { [1.0, 0.0] } else { [(b[0] - a[0]) / length, (b[1] - a[1]) / length] }
}

/// A curve, sampled.
#[derive(Clone, Debug, PartialEq, Default)]
pub(crate) struct Curve {
    /// Evenly spaced samples.
    pub(crate) samples: Vec<Sample>,
    /// Samples at which a new leg starts after a fold; the one before lies at the same place.
    pub(crate) folds: Vec<usize>,
}

/// Evenly spaced samples of the centripetal Catmull-Rom curve through `places` (which does not overshoot between close
/// places as the uniform one does), leg by leg from fold to fold. Height and width run evenly from place to place. Fewer
/// than two places, or places that all coincide, give nothing.
pub(crate) fn sampled(places: &[CurvePoint]) -> Curve {
    let mut places = places.to_vec();
    places.dedup_by(|b, a| distance([a.x, a.y], [b.x, b.y]) < 1e-6);
    let widest = places.iter().map(|p| p.width).fold(0.0, f64::max);
    // A quarter of a millimetre at most: wide wood crosses thin yarn.
    let samples = if widest < THIN { SAMPLES_TO_A_THIN_WIDTH } else { SAMPLES_TO_A_WIDTH };
    let step = (widest / samples).clamp(0.05, 0.25);
    let mut curve = Curve::default();
    let long: f64 = places.windows(2).map(|p| distance([p[0].x, p[0].y], [p[1].x, p[1].y])).sum();
    curve.samples.reserve((long / step * 1.2) as usize + 4);
    let mut from = 0;
    for at in 1..places.len() {
        if places[at].fold || at + 1 == places.len() {
            let run = curve.samples.last().map_or(0.0, |s| s.run);
            if from > 0 {
                curve.folds.push(curve.samples.len());
            }
            curve.samples.extend(leg(&places[from..=at], step, run));
            from = at;
        }
    }
    curve
}

/// One smooth leg, at least two places.
fn leg(places: &[CurvePoint], step: f64, run: f64) -> Vec<Sample> {
    let mut dense: Vec<Dense> = Vec::new();
    for span in 0..places.len() - 1 {
        let (b, c) = (places[span], places[span + 1]);
        let before = if span > 0 { spot(&places[span - 1]) } else { reflected(&c, &b) };
        let after = places.get(span + 2).map_or_else(|| reflected(&b, &c), spot);
        let span = CurveSpan::new([before, spot(&b), spot(&c), after]);
        // Finer than the even samples, so that evening out does not show.
        let pieces = (distance(spot(&b), spot(&c)) / step * 3.0).ceil().max(8.0);
        dense.reserve(pieces as usize + 1);
        for k in 0..pieces as usize {
            let t = k as f64 / pieces;
            dense.push(Dense {
                at: span.at(t),
                z: b.z + (c.z - b.z) * t,
                width: b.width + (c.width - b.width) * t,
                close: b.close && c.close,
            });
        }
    }
    let last = places[places.len() - 1];
    dense.push(Dense { at: spot(&last), z: last.z, width: last.width, close: last.close });
    evened(&dense, step, run)
}

fn spot(place: &CurvePoint) -> StagePoint {
    [place.x, place.y]
}

fn reflected(from: &CurvePoint, over: &CurvePoint) -> StagePoint {
    [2.0 * over.x - from.x, 2.0 * over.y - from.y]
}

/// The span of a centripetal Catmull-Rom curve from the second of four places to the third.
struct CurveSpan {
    places: [StagePoint; 4],
    knots: [f64; 4],
    /// One over the way from each knot to the next one, and to the one after that.
    to_next: [f64; 3],
    to_second: [f64; 2],
}

impl CurveSpan {
    fn new(places: [StagePoint; 4]) -> CurveSpan {
        let mut knots = [0.0; 4];
        for i in 1..4 {
            knots[i] = knots[i - 1] + distance(places[i - 1], places[i]).sqrt().max(1e-6);
        }
        let to_next = [0, 1, 2].map(|i| 1.0 / (knots[i + 1] - knots[i]));
        let to_second = [0, 1].map(|i| 1.0 / (knots[i + 2] - knots[i]));
        CurveSpan { places, knots, to_next, to_second }
    }

    /// Barry and Goldman's pyramid.
    fn at(&self, t: f64) -> StagePoint {
        let CurveSpan { places, knots, to_next, to_second } = self;
        let t = knots[1] + (knots[2] - knots[1]) * t;
        let mix = |a: StagePoint, b: StagePoint, share: f64| -> StagePoint {
            [a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share]
        };
        let [first, second, third] = [0, 1, 2].map(|i| mix(places[i], places[i + 1], (t - knots[i]) * to_next[i]));
        let (before, after) =
            (mix(first, second, (t - knots[0]) * to_second[0]), mix(second, third, (t - knots[1]) * to_second[1]));
        mix(before, after, (t - knots[1]) * to_next[1])
    }
}

/// A sample before evening out.
struct Dense {
    at: StagePoint,
    z: f64,
    width: f64,
    close: bool,
}

fn evened(dense: &[Dense], step: f64, start: f64) -> Vec<Sample> {
    let mut run = Vec::with_capacity(dense.len());
    run.push(0.0);
    for (at, pair) in dense.windows(2).enumerate() {
        run.push(run[at] + distance(pair[0].at, pair[1].at));
    }
    let length = run[run.len() - 1];
    let count = (length / step).round().max(2.0) as usize;
    let mut samples = Vec::with_capacity(count + 1);
    let mut at = 0;
    for k in 0..=count {
        let want = length * k as f64 / count as f64;
        while at + 2 < run.len() && run[at + 1] < want {
            at += 1;
        }
        let (a, b) = (&dense[at], &dense[at + 1]);
        let share = ((want - run[at]) / (run[at + 1] - run[at]).max(1e-12)).clamp(0.0, 1.0);
        let mix = |p: f64, q: f64| p + (q - p) * share;
        samples.push(Sample {
            at: [mix(a.at[0], b.at[0]), mix(a.at[1], b.at[1])],
            z: mix(a.z, b.z),
            half: mix(a.width, b.width) / 2.0,
            along: [1.0, 0.0],
            run: start + want,
            close: a.close,
        });
    }
    for k in 0..samples.len() {
        let next = (k + 1).min(samples.len() - 1);
        samples[k].along = heading(samples[k.saturating_sub(1)].at, samples[next].at);
    }
    samples
}

/// The line that runs beside samples (see [`Sample::beside`]). Where the curve bends more tightly than the
/// offset, the line would run backwards; those places are left out, which leaves a corner.
pub(crate) fn beside(samples: &[Sample], share: f64) -> Vec<StagePoint> {
    let mut line: Vec<StagePoint> = Vec::with_capacity(samples.len());
    for sample in samples {
        let place = sample.beside(share);
        if let Some(last) = line.last() {
            let step = [place[0] - last[0], place[1] - last[1]];
            if step[0] * sample.along[0] + step[1] * sample.along[1] <= 0.0 {
                continue;
            }
        }
        line.push(place);
    }
    line
}

/// One cubic of a smoothed line: two control places and the end.
pub(crate) type Cubic = [StagePoint; 3];

/// Cubics along a densely sampled line; the first cubic starts at the line's first place. Corners of more than 40
/// degrees are kept. As many samples are joined in one cubic as stay within `true_to` millimetres of it, so that a drawing stays
/// small.
pub(crate) fn smoothed(line: &[StagePoint], true_to: f64) -> Vec<Cubic> {
    let mut cubics = Vec::with_capacity(line.len() / 8 + 2);
    if line.len() < 2 {
        return cubics;
    }
    let line = Smooth::new(line, true_to);
    let mut from = 0;
    while from < line.places.len() - 1 {
        let mut best = (from + 1, line.cubic(from, from + 1));
        let mut reach = 1;
        // Twice as far as long as it fits, then the steps between.
        while let Some(next) = line.fitting(from, from + reach * 2) {
            best = (from + reach * 2, next);
            reach *= 2;
        }
        let mut step = reach / 2;
        while step > 0 {
            if let Some(next) = line.fitting(from, best.0 + step) {
                best = (best.0 + step, next);
            }
            step /= 2;
        }
        cubics.push(best.1);
        from = best.0;
    }
    cubics
}

/// How far a drawn line may leave its samples, millimetres: a quarter of the thinnest line.
pub(crate) const TRUE_TO: f64 = 0.032;
/// Whether a cubic can be drawn as a straight line: its handles lie along the way and within a hundredth of a millimetre of it.
pub(crate) fn is_straight(from: StagePoint, &[a, b, end]: &Cubic) -> bool {
    let along = heading(from, end);
    let way = distance(from, end);
    [a, b].iter().all(|p| {
        let out = [p[0] - from[0], p[1] - from[1]];
        let (on, aside) = (cosine(out, along), out[0] * along[1] - out[1] * along[0]);
        aside.abs() < TRUE_TO / 2.0 && (0.0..=way).contains(&on)
    })
}

/// Cosine of 40 degrees: a sharper turn from sample to sample is a corner.
const CORNER: f64 = 0.766;

/// Cosine of the angle between two unit vectors.
pub(crate) fn cosine(a: StagePoint, b: StagePoint) -> f64 {
    a[0] * b[0] + a[1] * b[1]
}

/// A line with what every cubic along it asks for.
struct Smooth<'l> {
    places: &'l [StagePoint],
    true_to: f64,
    /// From each place to the next.
    headings: Vec<StagePoint>,
    /// Length of the line up to each place.
    runs: Vec<f64>,
    /// Corners before each place.
    corners: Vec<u32>,
}

impl<'l> Smooth<'l> {
    fn new(places: &'l [StagePoint], true_to: f64) -> Smooth<'l> {
        let headings: Vec<StagePoint> = places.windows(2).map(|p| heading(p[0], p[1])).collect();
        let (mut runs, mut corners) = (Vec::with_capacity(places.len()), Vec::with_capacity(places.len() + 1));
        runs.push(0.0);
        corners.extend([0, 0]);
        for (at, pair) in places.windows(2).enumerate() {
            runs.push(runs[at] + distance(pair[0], pair[1]));
            let turns = headings.get(at + 1).is_some_and(|next| cosine(headings[at], *next) < CORNER);
            corners.push(corners[at + 1] + u32::from(turns));
        }
        Smooth { places, true_to, headings, runs, corners }
    }

    fn is_corner(&self, at: usize) -> bool {
        self.corners[at + 1] > self.corners[at]
    }

    /// The cubic from one sample to another, if there is one that keeps to the samples between and turns no corner.
    fn fitting(&self, from: usize, to: usize) -> Option<Cubic> {
        /// Cosine of 70 degrees: handles of a cubic that turns more are no longer a third of its way.
        const TURN: f64 = 0.342;
        if to >= self.places.len() || cosine(self.headings[from], self.headings[to - 1]) < TURN {
            return None;
        }
        if self.corners[to] > self.corners[from + 1] {
            return None;
        }
        let [a, b, end] = self.cubic(from, to);
        let start = self.places[from];
        // Samples lie so close that of a long stretch every second or third one tells enough.
        let fits = (from + 1..to).step_by((to - from) / 10 + 1).all(|at| {
            let t = (at - from) as f64 / (to - from) as f64;
            let (u, place) = (1.0 - t, self.places[at]);
            let on = [0, 1]
                .map(|i| u * u * u * start[i] + 3.0 * u * u * t * a[i] + 3.0 * u * t * t * b[i] + t * t * t * end[i]);
            // Only the distance across the line counts; along it the samples may lie a little apart.
            let along = self.headings[at];
            ((place[0] - on[0]) * along[1] - (place[1] - on[1]) * along[0]).abs() < self.true_to
        });
        fits.then_some([a, b, end])
    }

    fn cubic(&self, from: usize, to: usize) -> Cubic {
        let headings = &self.headings;
        let tangent = |at: usize, forwards: bool| -> StagePoint {
            if at == 0 {
                headings[0]
            } else if at >= headings.len() {
                headings[headings.len() - 1]
            } else if self.is_corner(at) {
                headings[if forwards { at } else { at - 1 }]
            } else {
                heading([0.0, 0.0], [headings[at - 1][0] + headings[at][0], headings[at - 1][1] + headings[at][1]])
            }
        };
        let (start, end) = (tangent(from, true), tangent(to, false));
        // A third of the way it replaces, as for a curve run through evenly.
        let handle = (self.runs[to] - self.runs[from]) / 3.0;
        let (a, b) = (self.places[from], self.places[to]);
        [[a[0] + start[0] * handle, a[1] + start[1] * handle], [b[0] - end[0] * handle, b[1] - end[1] * handle], b]
    }
}

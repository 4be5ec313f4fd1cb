//! All lines of a straight lattice, followed from the place where they were found to the picture's edges: heavier lines push
//! those after them on by a pixel or two, and scaling moves them by parts of one.

/// How far a line may be from where the last one lets expect it, of the distance between lines.
const REACH: f64 = 0.25;
/// And in pixels: a heavier line pushes the next one on.
const PUSHED: f64 = 4.0;
/// Lines with less on them, of what lines usually have, stay where they are expected.
const FAINT: f64 = 0.2;
/// The plainest line of so many on both sides is followed from.
const NEAR_START: i32 = 3;

/// Places of lines. `profile`: how much goes on at each place. `first`: a line near `from`.
pub(super) fn lines(profile: &[f64], wide: usize, period: f64, first: f64, from: f64, smeared: f64) -> Vec<f64> {
    let start = first + ((from - first) / period).round() * period;
    let usual = usual(profile, period, start);
    let plain = |at: f64| seen(profile, at, period, smeared).filter(|(mass, _)| *mass >= FAINT * usual);
    let step = |at: f64| plain(at).map(|seen| seen.1);
    let worth = |at: f64| plain(at).map_or(0.0, |(mass, place)| mass * (1.0 - ((place - at) / period).abs()));
    // Where a heavier line has pushed others on, the nearest may be none at all.
    let start = (-NEAR_START..=NEAR_START)
        .map(|by| start + by as f64 * period)
        .filter(|at| *at >= 0.0 && *at <= wide as f64)
        .max_by(|a, b| worth(*a).total_cmp(&worth(*b)))
        .unwrap_or(start);
    let here = step(start).unwrap_or(start);
    let walk = |by: f64| {
        let mut places = Vec::new();
        // What came of the last lines, so that a slow drift is followed.
        let (mut last, mut pace) = (here, period);
        loop {
            let expected = last + by * pace;
            if expected < -0.3 * period || expected > wide as f64 + 0.3 * period {
                return places;
            }
            let place = step(expected).unwrap_or(expected);
            pace = (0.9 * pace + 0.1 * (place - last).abs()).clamp(0.97 * period, 1.03 * period);
            places.push(place);
            last = place;
        }
    };
    let mut lines: Vec<f64> = walk(-1.0).into_iter().rev().collect();
    lines.push(here);
    lines.extend(walk(1.0));
    lines
}

/// What lines usually have on them.
fn usual(profile: &[f64], period: f64, start: f64) -> f64 {
    let count = (profile.len() as f64 / period) as i64;
    let mut masses: Vec<f64> = (-count..=count)
        .map(|i| start + i as f64 * period)
        .filter(|at| *at >= 0.0 && *at < profile.len() as f64)
        .map(|at| near(profile, at, 0.3 * period).map(|x| profile[x]).fold(0.0, f64::max))
        .collect();
    masses.sort_by(f64::total_cmp);
    masses.get(masses.len() * 2 / 3).copied().unwrap_or(0.0)
}

fn near(profile: &[f64], at: f64, reach: f64) -> std::ops::Range<usize> {
    let from = (at - reach).ceil().max(0.0) as usize;
    let to = ((at + reach).floor().max(-1.0) + 1.0) as usize;
    from.min(profile.len())..to.min(profile.len())
}

/// The strongest place near where a line is expected, and the middle of what lies around it.
fn seen(profile: &[f64], at: f64, period: f64, smeared: f64) -> Option<(f64, f64)> {
    let reach = (REACH * period).max(PUSHED).min(0.45 * period);
    let weighed = |x: &usize| profile[*x] * (1.0 - 0.5 * ((*x as f64 - at) / reach).powi(2));
    let peak = near(profile, at, reach).max_by(|a, b| weighed(a).total_cmp(&weighed(b)))?;
    let (mut mass, mut moment) = (0.0, 0.0);
    for x in near(profile, peak as f64, (smeared + 2.5).min(0.45 * period).max(1.0)) {
        // Only what is part of the same line: both of its edges.
        if profile[x] >= 0.3 * profile[peak] {
            mass += profile[x];
            moment += profile[x] * x as f64;
        }
    }
    (mass > 0.0).then(|| (profile[peak], moment / mass))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn plain_lines_are_followed_where_strokes_half_way_were_taken_for_them() {
        // Twelve pixels apart, but the tenth pushes those after it on by three.
        let at = |nth: usize| nth * 12 + if nth > 10 { 3 } else { 0 };
        let mut profile = vec![0.0; 270];
        for nth in 1..=20 {
            profile[at(nth)] = 100.0;
            profile[at(nth) + 6] = 30.0;
        }
        let found = lines(&profile, 270, 12.0, 6.0, 110.0, 1.0);
        let found: Vec<usize> =
            found.iter().map(|at| at.round() as usize).filter(|at| (12..=246).contains(at)).collect();
        assert_eq!(found, (1..=20).map(at).collect::<Vec<_>>());
    }
}

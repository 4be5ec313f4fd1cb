use super::*;
use fastrand::Rng;

fn rules(first: &[f64], rest: f64, align: Align) -> Rules {
    Rules::of(first.iter().map(|m| Length::pt(*m)).collect(), Length::pt(rest), align)
}

fn extent(width: f64, spaces: f64) -> Extent {
    Extent { width: Length::pt(width), spaces: Length::pt(spaces) }
}

/// Words of these widths with spaces of one point between them.
fn words(widths: &[f64]) -> Vec<Stop> {
    let (mut x, mut spaces) = (0.0, 0.0);
    let mut stops = Vec::new();
    for (number, width) in widths.iter().enumerate() {
        x += width;
        let last = number + 1 == widths.len();
        let gap = if last { 0.0 } else { 1.0 };
        let kind = if last { BreakKind::Forced } else { BreakKind::Space };
        let (end, start) = (extent(x, spaces), extent(x + gap, spaces + gap));
        stops.push(Stop { end, start, kind, visible: number, next: number, next_token: 0 });
        (x, spaces) = (x + gap, spaces + gap);
    }
    stops
}

/// What a given way costs, line by line; `None` where a line is too long.
fn cost_of(way: &[usize], stops: &[Stop], rules: &Rules) -> Option<f64> {
    let (mut total, mut above, mut before) = (0.0, DECENT, None::<&Stop>);
    for (line, at) in way.iter().enumerate() {
        let stop = &stops[*at];
        let last = stop.kind == BreakKind::Forced;
        let begin = before.map_or(Extent::default(), |b| b.start);
        let weight = weigh(stop.end - begin, rules.room(line), last, rules)?;
        total += cost(&weight, above, before.map(|b| b.kind), stop.kind, last, rules);
        above = if last { DECENT } else { weight.tightness };
        before = Some(stop);
    }
    Some(total)
}

/// The least cost of all ways: every set of stops is tried.
fn brute_force(stops: &[Stop], rules: &Rules) -> Option<f64> {
    let last = stops.len() - 1;
    (0..1_u32 << last)
        .filter_map(|set| {
            let way: Vec<usize> = (0..=last).filter(|at| *at == last || set >> at & 1 == 1).collect();
            let skips_forced = (0..last).any(|at| stops[at].kind == BreakKind::Forced && !way.contains(&at));
            if skips_forced { None } else { cost_of(&way, stops, rules) }
        })
        .min_by(f64::total_cmp)
}

/// The least cost in lines of one room, by another way: the best for every pair of neighbouring stops.
fn pair_by_pair(stops: &[Stop], rules: &Rules) -> Option<f64> {
    let begin = |from: Option<usize>| from.map_or(Extent::default(), |s| stops[s].start);
    let mut reached: Vec<Vec<(Option<usize>, Tightness, f64)>> = Vec::new();
    for (to, stop) in stops.iter().enumerate() {
        let last = stop.kind == BreakKind::Forced;
        let after_forced = stops[..to].iter().rposition(|s| s.kind == BreakKind::Forced);
        let mut here = Vec::new();
        for from in (0..to).map(Some).chain([None]).filter(|from| *from >= after_forced) {
            let Some(weight) = weigh(stop.end - begin(from), rules.rest, last, rules) else { continue };
            let start = [(None, DECENT, 0.0)];
            let before = from.map_or(&start[..], |from| &reached[from]);
            let added = |above| cost(&weight, above, from.map(|s| stops[s].kind), stop.kind, last, rules);
            let least = before.iter().map(|(_, above, sum)| sum + added(*above)).min_by(f64::total_cmp);
            here.extend(least.map(|sum| (from, if last { DECENT } else { weight.tightness }, sum)));
        }
        reached.push(here);
    }
    reached.last()?.iter().map(|(_, _, sum)| *sum).min_by(f64::total_cmp)
}

fn random_stops(rng: &mut Rng, most: usize) -> Vec<Stop> {
    // Long words make lines that differ much, short ones lines between which only the finer points decide.
    let longest = [25.0, 7.0, 4.0][rng.usize(0..3)];
    let count = rng.usize(1..=most);
    let (mut x, mut spaces) = (0.0, 0.0);
    let mut stops = Vec::new();
    for number in 0..count {
        x += 2.0 + longest * rng.f64();
        // Spaces held inside a word.
        if rng.u8(0..6) == 0 {
            (x, spaces) = (x + 2.5, spaces + 2.5);
        }
        let last = number + 1 == count;
        let kind = match rng.u8(0..10) {
            _ if last => BreakKind::Forced,
            0..=5 => BreakKind::Space,
            6 | 7 => BreakKind::Hyphen,
            8 => BreakKind::Inner,
            _ => [BreakKind::Forced, BreakKind::Cut][rng.usize(0..2)],
        };
        let mut end = extent(x, spaces);
        match kind {
            BreakKind::Space | BreakKind::Forced | BreakKind::Parted => (x, spaces) = (x + 2.5, spaces + 2.5),
            // A hyphen may reach further than the syllable after it.
            BreakKind::Hyphen => {
                end.width += Length::pt(1.0 + 8.0 * rng.f64());
                x += 0.3;
            }
            BreakKind::Inner | BreakKind::Cut => {}
        }
        let mut start = extent(x, spaces);
        if kind == BreakKind::Hyphen {
            start.width += Length::pt(0.2);
        }
        stops.push(Stop { end, start, kind, visible: number, next: number, next_token: 0 });
    }
    stops
}

#[test]
fn the_best_of_all_ways_is_found_in_a_thousand_random_texts() {
    let mut rng = Rng::with_seed(40);
    let mut compared = 0;
    while compared < 1000 {
        let stops = random_stops(&mut rng, 14);
        let align = [Align::Justified, Align::Left, Align::Justified, Align::Centre][rng.usize(0..4)];
        let first: Vec<f64> = (0..rng.usize(1..4)).map(|_| 18.0 + 50.0 * rng.f64()).collect();
        let rules = rules(&first, 18.0 + 50.0 * rng.f64(), align);
        // Where no way fits there is nothing to compare.
        let Some(least) = brute_force(&stops, &rules) else { continue };
        let fitted = fit(&stops, &rules).stops;
        let way: Vec<usize> = fitted.iter().map(|stop| stop.visible).collect();
        let found = cost_of(&way, &stops, &rules).expect("no line is too long");
        assert!(
            (found - least).abs() <= 0.01 + least * 1e-13,
            "{found} instead of {least}: {way:?} {stops:?} {rules:?}"
        );
        compared += 1;
    }
}

#[test]
fn the_best_of_all_ways_is_found_in_longer_texts_too() {
    let mut rng = Rng::with_seed(5);
    let mut compared = 0;
    while compared < 2000 {
        let stops = random_stops(&mut rng, 50);
        let align = [Align::Justified, Align::Justified, Align::Left][rng.usize(0..3)];
        let rules = rules(&[], 40.0 + 60.0 * rng.f64(), align);
        let Some(least) = pair_by_pair(&stops, &rules) else { continue };
        let way: Vec<usize> = fit(&stops, &rules).stops.iter().map(|stop| stop.visible).collect();
        let found = cost_of(&way, &stops, &rules).expect("no line is too long");
        assert!((found - least).abs() <= 0.01 + least * 1e-13, "{found} instead of {least}: {way:?} {rules:?}");
        compared += 1;
    }
}

#[test]
fn a_first_line_is_left_short_where_that_evens_out_the_rest() {
    // Origin: the usual example of minimum raggedness, "AAA BB CC DDDDD" in six columns: filling line by line leaves
    // gaps of 0 and 4, the better way 3 and 1.
    let stops = words(&[3.0, 2.0, 2.0, 5.0]);
    let fitted = fit(&stops, &rules(&[], 6.0, Align::Left));
    assert_eq!(fitted.stops.iter().map(|s| s.visible).collect::<Vec<_>>(), [0, 2, 3]);
}

#[test]
fn a_word_longer_than_its_line_stands_alone_and_the_rest_still_fits() {
    let stops = words(&[3.0, 20.0, 3.0, 2.0]);
    let fitted = fit(&stops, &rules(&[], 6.0, Align::Left));
    assert_eq!(fitted.stops.iter().map(|s| s.visible).collect::<Vec<_>>(), [0, 1, 3]);
}

#[test]
fn lines_of_their_own_measure_are_filled_to_it() {
    // Own computation: 10 + 1 + 10 in 21, then 10 alone in 12, then all the rest in 32.
    let stops = words(&[10.0; 6]);
    let fitted = fit(&stops, &rules(&[21.0, 12.0], 32.0, Align::Left));
    assert_eq!(fitted.stops.iter().map(|s| s.visible).collect::<Vec<_>>(), [1, 2, 5]);
}

#[test]
fn the_cost_grows_with_the_text_and_not_with_its_square() {
    let weighed = |count: u32, align: Align| {
        let widths: Vec<f64> = (0..count).map(|n| 3.0 + f64::from(n % 7)).collect();
        let fitted = fit(&words(&widths), &rules(&[50.0], 100.0, align));
        // Own computation: what the words and spaces need, in lines of 100.
        let least = (widths.iter().sum::<f64>() + f64::from(count) - 1.0) / 100.0;
        assert!(fitted.stops.len() as f64 >= least);
        fitted.weighed as f64
    };
    for align in [Align::Left, Align::Justified] {
        let (short, long) = (weighed(1500, align), weighed(6000, align));
        assert!(long < 4.1 * short, "{align:?}: {short} {long}");
        // Own computation: at most 25 words begin a line that could end at a given stop, each in at most four ways.
        assert!(long < 6000.0 * 25.0 * 4.0);
    }
}

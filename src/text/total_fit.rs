//! The best way to break a whole paragraph, after Knuth and Plass, "Breaking paragraphs into lines" (1981).
//!
//! Pure arithmetic over stops on one long line. A way's cost is the sum of what its lines cost; the cost of a line
//! depends on its length, on what ends it, and on the line before it (two hyphens in a row, a loose line under a tight
//! one). Ways are kept apart exactly where their future can differ, so the result is the least cost there is.

use super::breakpoints::BreakKind;
use super::shape::Extent;
use super::{Align, Measure, ParagraphStyle};
use crate::geom::Length;

/// A place where a line may end.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Stop {
    /// Length of the galley up to the end of a line that ends here, an added hyphen included.
    pub(crate) end: Extent,
    /// Length of the galley before a line that begins here.
    pub(crate) start: Extent,
    pub(crate) kind: BreakKind,
    /// Byte where the visible text ends.
    pub(crate) visible: usize,
    /// Byte where the next line begins.
    pub(crate) next: usize,
    /// The token in which `next` lies, or which begins there.
    pub(crate) next_token: usize,
}

/// What the fit needs to know of style and measure.
#[derive(Clone, Debug)]
pub(super) struct Rules {
    /// Room of the first lines, indents taken off, then of every other.
    first: Vec<Length>,
    rest: Length,
    /// Lines from this one on have the same room.
    alike_from: usize,
    align: Align,
}

// Costs are in the manner of TeX: (10 + badness + penalty) squared, plus demerits between neighbours.
/// Cost of a line as such: keeps the number of lines down.
const LINE: f64 = 10.0;
/// For an added hyphen in justified text. In ragged text a hyphen is needed less, so it costs more.
const HYPHEN_JUSTIFIED: f64 = 50.0;
const HYPHEN_RAGGED: f64 = 150.0;
/// For a break after a dash or slash of the text.
const INNER: f64 = 25.0;
/// For parting what is held together, and for a cut that no rule of the language knows: anything else is better.
const PARTED: f64 = 1e4;
const CUT: f64 = 1e6;
/// Two lines in a row that end in a hyphen.
const TWO_HYPHENS: f64 = 10_000.0;
/// A hyphen before the last line.
const LAST_HYPHEN: f64 = 5_000.0;
/// A loose line next to a tight one.
const UNEVEN: f64 = 5_000.0;
/// A last line of less than a tenth of its room.
const LONELY: f64 = 60.0;
/// Spaces of justified text may become smaller by a fifth (less than the third of TeX: our spaces are narrower), and
/// look well up to six tenths wider.
const SHRINK: f64 = 0.2;
const STRETCH: f64 = 0.6;
/// How short a ragged line looks well, as a part of its room.
const RAG: f64 = 0.18;
/// A line longer than its room, where there is no other way.
const RESCUE: f64 = 1e15;
/// Badness up to which a paragraph is good enough not to be hyphenated. 200 is TeX's usual tolerance; a ragged line
/// reaches it at 23 % of its room.
const GOOD_ENOUGH: f64 = 200.0;

impl Rules {
    pub(crate) fn new(measure: &Measure, style: &ParagraphStyle) -> Rules {
        // One line more than the measure names, for the indent of the first line.
        let lines = measure.first.len().max(1);
        let first = (0..lines).map(|line| measure.of(line) - indent(style, line)).collect();
        Rules::of(first, measure.rest - style.hang, style.align)
    }

    fn of(first: Vec<Length>, rest: Length, align: Align) -> Rules {
        let alike = first.iter().rev().take_while(|room| **room == rest).count();
        Rules { alike_from: first.len() - alike, first, rest, align }
    }

    /// The room of the shortest line.
    pub(crate) fn narrowest(&self) -> Length {
        self.first.iter().fold(self.rest, |a, b| a.min(*b))
    }

    fn room(&self, line: usize) -> Length {
        self.first.get(line).copied().unwrap_or(self.rest)
    }

    /// Ways that differ in lines of the same room only need not be kept apart.
    fn class(&self, line: usize) -> usize {
        line.min(self.alike_from)
    }

    fn shrink(&self) -> f64 {
        match self.align {
            Align::Justified => SHRINK,
            Align::Left | Align::Centre | Align::Right => 0.0,
        }
    }
}

/// The space before a line's text.
pub(super) fn indent(style: &ParagraphStyle, line: usize) -> Length {
    if line == 0 { style.first_indent } else { style.hang }
}

/// How tight a justified line is: neighbours should not differ by more than one step.
type Tightness = u8;
const DECENT: Tightness = 1;

/// What is known of a line before it is weighed against its neighbour.
struct Weight {
    badness: f64,
    tightness: Tightness,
}

/// The badness of a line; `None` when it is too long.
fn weigh(length: Extent, room: Length, last: bool, rules: &Rules) -> Option<Weight> {
    let slack = room - length.width;
    let shrinkable = length.spaces * rules.shrink();
    if !(-slack).fits(shrinkable) {
        return None;
    }
    let cubed = |ratio: f64| 100.0 * ratio * ratio * ratio;
    let lonely = if length.width < room * 0.1 { LONELY } else { 0.0 };
    Some(match rules.align {
        Align::Justified if slack < Length::ZERO => {
            let ratio = if shrinkable > Length::ZERO { (-slack / shrinkable).min(1.0) } else { 0.0 };
            Weight { badness: cubed(ratio), tightness: if ratio > 0.5 { 0 } else { DECENT } }
        }
        Align::Justified if last => Weight { badness: lonely, tightness: DECENT },
        Align::Justified => {
            // A line without spaces cannot be made longer; a fiftieth of the room stands for them to keep it finite.
            let stretchable = (length.spaces * STRETCH).max(room * 0.02).max(Length::pt(0.01));
            let ratio = slack / stretchable;
            let tightness = if ratio > 1.0 {
                3
            } else if ratio > 0.5 {
                2
            } else {
                DECENT
            };
            Weight { badness: cubed(ratio), tightness }
        }
        Align::Left | Align::Right if last => Weight { badness: lonely, tightness: DECENT },
        // A centred last line counts like the others: titles should fall into lines of about one length.
        Align::Left | Align::Right | Align::Centre => {
            let ratio = slack.max(Length::ZERO) / (room * RAG).max(Length::pt(0.01));
            Weight { badness: cubed(ratio), tightness: DECENT }
        }
    })
}

/// What a line costs after its neighbour above.
fn cost(
    weight: &Weight,
    above: Tightness,
    begins_at: Option<BreakKind>,
    ends_at: BreakKind,
    last: bool,
    rules: &Rules,
) -> f64 {
    let penalty = match ends_at {
        BreakKind::Space | BreakKind::Forced => 0.0,
        BreakKind::Inner => INNER,
        BreakKind::Hyphen if rules.align == Align::Justified => HYPHEN_JUSTIFIED,
        BreakKind::Hyphen => HYPHEN_RAGGED,
        BreakKind::Parted => PARTED,
        BreakKind::Cut => CUT,
    };
    let base = LINE + weight.badness + penalty;
    let mut cost = base * base;
    if begins_at == Some(BreakKind::Hyphen) {
        if ends_at == BreakKind::Hyphen {
            cost += TWO_HYPHENS;
        }
        if last {
            cost += LAST_HYPHEN;
        }
    }
    if weight.tightness.abs_diff(above) > 1 {
        cost += UNEVEN;
    }
    cost
}

/// A way of setting everything up to a stop.
#[derive(Clone, Copy)]
struct FitPath {
    /// The stop reached; `None`: the beginning of the paragraph.
    stop: Option<usize>,
    /// Lines so far, as far as they matter.
    class: usize,
    lines: usize,
    tightness: Tightness,
    cost: f64,
    /// The worst badness on the way.
    worst: f64,
    before: Option<usize>,
}

/// The best way.
pub(super) struct Fit {
    /// Where its lines end.
    pub(crate) stops: Vec<Stop>,
    /// The worst badness of a line.
    worst: f64,
    /// How many lines were weighed on the way: the cost of the fit.
    #[cfg(test)]
    weighed: usize,
}

impl Fit {
    /// Whether hyphenating is needless.
    pub(crate) fn good_enough(&self) -> bool {
        let rude = |stop: &Stop| matches!(stop.kind, BreakKind::Parted | BreakKind::Cut);
        self.worst <= GOOD_ENOUGH && !self.stops.iter().any(rude)
    }
}

/// Finds the best way through the stops, of which the last must be forced.
pub(super) fn fit(stops: &[Stop], rules: &Rules) -> Fit {
    let shrink = rules.shrink();
    let tightest_end = |stop: &Stop| stop.end.width - stop.end.spaces * shrink;
    // The nearest end that any stop from here on can offer: an added hyphen may reach further than a later stop.
    let mut nearest: Vec<Length> = stops.iter().map(tightest_end).collect();
    for at in (1..nearest.len()).rev() {
        nearest[at - 1] = nearest[at - 1].min(nearest[at]);
    }
    let start =
        FitPath { stop: None, class: rules.class(0), lines: 0, tightness: DECENT, cost: 0.0, worst: 0.0, before: None };
    let mut ways = vec![start];
    let mut active = vec![0];
    let mut arriving: Vec<FitPath> = Vec::new();
    #[cfg(test)]
    let mut weighed = 0;
    for (at, stop) in stops.iter().enumerate() {
        let last = stop.kind == BreakKind::Forced;
        let fallen_back = active.clone();
        arriving.clear();
        active.retain(|index| {
            let way = ways[*index];
            let begin = way.stop.map_or(Extent::default(), |s| stops[s].start);
            let room = rules.room(way.lines);
            if !(nearest[at] - (begin.width - begin.spaces * shrink)).fits(room) {
                return false;
            }
            #[cfg(test)]
            {
                weighed += 1;
            }
            if let Some(weight) = weigh(stop.end - begin, room, last, rules) {
                arrive(&mut arriving, &ways, *index, way.stop.map(|s| stops[s].kind), at, stop, &weight, rules);
            }
            true
        });
        if active.is_empty() && arriving.is_empty() {
            // Only a letter wider than its line comes here. The latest beginning makes the least of it.
            let index = fallen_back.into_iter().max_by_key(|index| (ways[*index].stop, std::cmp::Reverse(*index)));
            if let Some(index) = index {
                let weight = Weight { badness: RESCUE.sqrt(), tightness: DECENT };
                arrive(&mut arriving, &ways, index, ways[index].stop.map(|s| stops[s].kind), at, stop, &weight, rules);
            }
        }
        if last {
            active.clear();
        }
        for way in &arriving {
            active.push(ways.len());
            ways.push(*way);
        }
    }
    let best = active.into_iter().min_by(|a, b| ways[*a].cost.total_cmp(&ways[*b].cost));
    let worst = best.map_or(0.0, |index| ways[index].worst);
    let mut chosen: Vec<Stop> = std::iter::successors(best, |index| ways[*index].before)
        .filter_map(|index| Some(stops[ways[index].stop?]))
        .collect();
    chosen.reverse();
    Fit {
        stops: chosen,
        worst,
        #[cfg(test)]
        weighed,
    }
}

/// Notes that a line from the end of `ways[from]` to `stop` can be set, if that beats what has arrived there alike.
fn arrive(
    arriving: &mut Vec<FitPath>,
    ways: &[FitPath],
    from: usize,
    begins_at: Option<BreakKind>,
    at: usize,
    stop: &Stop,
    weight: &Weight,
    rules: &Rules,
) {
    let way = &ways[from];
    let last = stop.kind == BreakKind::Forced;
    let lines = way.lines + 1;
    let new = FitPath {
        stop: Some(at),
        class: rules.class(lines),
        lines,
        // After a forced end the next line has no neighbour to differ from.
        tightness: if last { DECENT } else { weight.tightness },
        cost: way.cost + cost(weight, way.tightness, begins_at, stop.kind, last, rules),
        worst: way.worst.max(weight.badness),
        before: Some(from),
    };
    match arriving.iter_mut().find(|old| old.class == new.class && old.tightness == new.tightness) {
        Some(old) if new.cost < old.cost => *old = new,
        Some(_) => {}
        None => arriving.push(new),
    }
}

#[cfg(test)]
mod tests;

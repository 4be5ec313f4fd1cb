//! The key of a chart sheet: for each yarn a sample cell, and beside it the yarn's name and its count of knots.
//!
//! Found by the names: what is painted just left of a yarn's name on the same line is its sample.

use super::canvas::reach_of;
use super::lattice::Lattice;
use super::look::CellLook;
use crate::chart::YarnId;
use crate::colour::Colour;
use crate::reader::lines::{Stretch, Word};
use crate::reader::marks::{PageMarks, Paint, PaintKind, PaintedMark};
use crate::reader::matrix::{Bounds, PagePoint};

/// Farther left of the name than this no sample is looked for, points.
const MAX_SAMPLE_DISTANCE: f64 = 48.0;
/// A patch of colour beside a sample is no wider than this, points.
const PATCH: f64 = 22.0;
/// Samples are smaller than this, points: one inch.
const MAX_SAMPLE_SIZE: f64 = 72.0;

/// One entry of the key as drawn.
#[derive(Clone, Debug)]
pub(super) struct KeyEntry {
    /// The yarn whose name stands there.
    pub(crate) yarn: YarnId,
    /// The sample.
    pub(crate) look: CellLook,
    /// Words that follow the name up to the next sample: the count, and whatever goes with it.
    pub(crate) after: Vec<String>,
}

/// Finds the entries for these names (palette order) outside the grid. `cell` is the size of a chart cell, for samples
/// that have neither ground nor frame to show their own size; `grounded` says whether the chart's cells have grounds.
pub(super) fn entries(
    page: &PageMarks,
    lines: &[Stretch],
    names: &[&str],
    grid: &Bounds,
    cell: (f64, f64),
    grounded: bool,
) -> Vec<KeyEntry> {
    // On a chart sheet nearly all marks lie in the grid, and no sample does.
    let beside = |mark: &&PaintedMark| !grid.holds_all(&mark.bounds.grown(reach_of(mark)));
    let outside = PageMarks { painted: page.painted.iter().filter(beside).cloned().collect(), ..PageMarks::default() };
    let around = |area: &Bounds| if area.grown(1.0).meets(grid) { page } else { &outside };
    let split: Vec<Vec<&str>> = names.iter().map(|n| n.split_whitespace().collect()).collect();
    let mut found: Vec<(usize, Bounds)> = Vec::new();
    for (yarn, row, at) in names_found(lines, &split) {
        let Some(first) = row.get(at) else { continue };
        if grid.holds(first.area.centre()) {
            continue;
        }
        let before = at.checked_sub(1).and_then(|i| row.get(i));
        found.extend(sample(&outside, &around, first, before, grid, cell, grounded).map(|area| (yarn, area)));
    }
    let mut out = Vec::new();
    for (yarn, area) in &found {
        let look = CellLook::read(&Lattice { area: *area, columns: 1, rows: 1 }.sampled(around(area)), 0, 0);
        // Words after a name end where the next sample on the line begins.
        let next = found.iter().map(|(_, b)| b);
        let next = next.filter(|b| b.left > area.right && b.top < area.bottom && b.bottom > area.top);
        let end = next.map(|b| b.left).fold(f64::INFINITY, f64::min);
        let words = words_between(lines, area, end);
        let name = &split[*yarn];
        let start = (0..words.len()).find(|i| names_match(name, words[*i..].iter().map(String::as_str)));
        let after = start.map_or_else(Vec::new, |i| words[i + name.len()..].to_vec());
        out.push(KeyEntry { yarn: YarnId(*yarn as u8), look, after });
    }
    out
}

/// Whether these words begin with the name; a mark of punctuation after its last word is forgiven.
fn names_match<'a>(name: &[&str], mut words: impl Iterator<Item = &'a str>) -> bool {
    !name.is_empty()
        && name.iter().enumerate().all(|(i, want)| {
            words.next().is_some_and(|got| {
                let bare = got.trim_end_matches([',', ':', ';', '.']);
                got == *want || (i + 1 == name.len() && bare == *want)
            })
        })
}

/// Where names stand: yarn, the words of their stretch, index of the first word. Where one name begins another ("blue",
/// "blue grey"), the longer one is taken.
fn names_found<'a>(lines: &'a [Stretch], names: &[Vec<&str>]) -> Vec<(usize, &'a [Word], usize)> {
    let mut out = Vec::new();
    for line in lines.iter().filter(|l| l.level) {
        let mut taken = 0;
        for at in 0..line.words.len() {
            // A name within another ("cream" in "24 cream") is none of its own.
            if at < taken {
                continue;
            }
            let here = &line.words[at..];
            let fits = |name: &Vec<&str>| names_match(name, here.iter().map(|w| w.letters.as_str()));
            let found = (0..names.len()).filter(|i| fits(&names[*i])).max_by_key(|i| names[*i].len());
            taken = found.map_or(taken, |yarn| at + names[yarn].len());
            out.extend(found.map(|yarn| (yarn, line.words.as_slice(), at)));
        }
    }
    out
}

/// The box of the sample left of a name. `page` is all that does not lie in the grid; `around` gives all that may lie in an
/// area.
fn sample<'p>(
    page: &PageMarks,
    around: &impl Fn(&Bounds) -> &'p PageMarks,
    name: &Word,
    before: Option<&Word>,
    grid: &Bounds,
    cell: (f64, f64),
    grounded: bool,
) -> Option<Bounds> {
    let middle = name.area.centre().y;
    let edge = name.area.left;
    // A word between sample and name (the yarn's letter) is no hindrance unless it is a word of running text.
    if before.is_some_and(|w| w.letters.chars().count() > 2 && edge - w.area.right < MAX_SAMPLE_DISTANCE) {
        return None;
    }
    let near = |b: &Bounds| {
        b.right <= edge + 0.5
            && b.right >= edge - MAX_SAMPLE_DISTANCE
            && ((b.top <= middle && b.bottom >= middle) || (b.centre().y - middle).abs() < 0.4 * cell.1)
            && b.width() <= MAX_SAMPLE_SIZE
            && b.height() <= MAX_SAMPLE_SIZE
            && b.width() > 1.0
            && b.height() > 1.0
            && !grid.holds(b.centre())
    };
    let mut nearest = f64::NEG_INFINITY;
    let mut boxes: Vec<Bounds> = Vec::new();
    let mut marks: Vec<Bounds> = Vec::new();
    for painted in &page.painted {
        if painted.bounds.left > edge + 0.5 {
            continue;
        }
        for (path, bounds) in painted.parts().map(|p| (p.path, p.bounds())).filter(|(_, bounds)| near(bounds)) {
            nearest = nearest.max(bounds.right);
            match painted.kind {
                PaintKind::Stroke(_) if path.closed && path.is_box() => boxes.push(bounds),
                PaintKind::Fill | PaintKind::FillEvenOdd => {
                    // Where the chart shows symbols alone, a filled box is a symbol and no ground, unless it is white.
                    if path.is_box() && (grounded || painted.paint == Paint::Flat(Colour::WHITE)) {
                        boxes.push(bounds);
                    }
                    marks.push(bounds);
                }
                PaintKind::Stroke(_) | PaintKind::Picture => {}
            }
        }
    }
    // Only what belongs to the nearest sample: not the one of an entry further left.
    let reach = PATCH.max(0.9 * cell.0.max(cell.1));
    let belongs = |b: &&Bounds| b.left > nearest - MAX_SAMPLE_SIZE && b.right > nearest - reach;
    let straddles = |b: &&Bounds| b.top <= middle && b.bottom >= middle;
    // A patch of the yarn's true colour may stand between the sample and the name: a box with nothing in it.
    let filled = |ground: &&Bounds| {
        let painted = around(ground).painted.iter();
        let fills = painted.filter(|p| matches!(p.kind, PaintKind::Fill | PaintKind::FillEvenOdd));
        fills
            .flat_map(|mark| mark.parts())
            .map(|part| part.bounds())
            .any(|bounds| ground.grown(0.5).holds_all(&bounds) && area(&bounds) < 0.9 * area(ground))
    };
    let near_boxes = || boxes.iter().filter(belongs).filter(straddles);
    let by_area = |a: &&Bounds, b: &&Bounds| area(a).total_cmp(&area(b));
    let largest = near_boxes().filter(filled).max_by(by_area).or(near_boxes().max_by(by_area));
    // A sample may be much larger than a cell, and its symbol's parts then lie far from the middle of the name: whatever is
    // filled within the box belongs to it.
    let within: Vec<Bounds> = match largest {
        Some(ground) => {
            let painted = around(ground).painted.iter();
            let fills = painted.filter(|p| matches!(p.kind, PaintKind::Fill | PaintKind::FillEvenOdd));
            let parts = fills.flat_map(|mark| mark.parts()).map(|part| part.bounds());
            parts.filter(|b| ground.grown(0.5).holds_all(b) && b != ground).collect()
        }
        None => marks.iter().filter(belongs).copied().collect(),
    };
    let mut marked = Bounds::EMPTY;
    for mark in &within {
        marked.take_in(PagePoint { x: mark.left, y: mark.top });
        marked.take_in(PagePoint { x: mark.right, y: mark.bottom });
    }
    match largest {
        Some(ground) if !marked.is_empty() => return Some(*ground),
        // An empty frame is a box to tick.
        Some(lone) if marks.contains(lone) => marked = *lone,
        Some(_) | None => {}
    }
    if marked.is_empty() {
        return None;
    }
    let middle = marked.centre();
    let (w, h) = (cell.0 / 2.0, cell.1 / 2.0);
    Some(Bounds { left: middle.x - w, top: middle.y - h, right: middle.x + w, bottom: middle.y + h })
}

fn area(b: &Bounds) -> f64 {
    b.width() * b.height()
}

/// The words right of a sample, up to `end`.
fn words_between(lines: &[Stretch], sample: &Bounds, end: f64) -> Vec<String> {
    let middle = sample.centre().y;
    let mut words: Vec<&Word> = lines
        .iter()
        .filter(|l| l.level)
        .flat_map(|l| &l.words)
        .filter(|w| w.area.left >= sample.right - 0.5 && w.area.left < end)
        .filter(|w| w.area.top <= middle && w.area.bottom >= middle)
        .collect();
    words.sort_by(|a, b| a.area.left.total_cmp(&b.area.left));
    words.iter().map(|w| w.letters.clone()).collect()
}

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

#[cfg(test)]
mod tests {
    use super::super::tests::drawn::{filled, framed, inked, line, mark, outline, page, triangle, upright};
    use super::*;

    /// The box of the sample left of a name that begins at 80 points, on a line whose middle is at 105.5, where cells are 10 by
    /// 10 points. Before the name stands this word, if any.
    fn found(painted: Vec<PaintedMark>, before: Option<(f64, &str)>, grounded: bool) -> Option<[f64; 4]> {
        let marks = page(painted);
        let grid = Bounds { left: 40.0, top: 200.0, right: 90.0, bottom: 300.0 };
        let name = line(80.0, 109.0, "navy").words.remove(0);
        let before = before.map(|(left, letters)| line(left, 109.0, letters).words.remove(0));
        let area = sample(&marks, &|_: &Bounds| &marks, &name, before.as_ref(), &grid, (10.0, 10.0), grounded)?;
        Some([area.left, area.top, area.right, area.bottom].map(|v| (v * 1000.0).round() / 1000.0))
    }

    /// A box without a symbol, which stands for itself with the size of a cell.
    fn lone(left: f64, top: f64, width: f64, height: f64) -> Option<[f64; 4]> {
        found(vec![filled(upright(left, top, width, height))], None, true)
    }

    #[test]
    fn a_sample_is_a_ground_or_a_frame_with_a_symbol_in_it() {
        let symbol = || inked(triangle(63.0, 103.0, 5.0, 5.0));
        let (ground, frame) = (filled(upright(60.0, 100.0, 11.0, 11.0)), framed(upright(60.0, 100.0, 11.0, 11.0)));
        let whole = Some([60.0, 100.0, 71.0, 111.0]);
        assert_eq!(found(vec![ground.clone(), symbol()], None, true), whole);
        assert_eq!(found(vec![frame.clone(), symbol()], None, false), whole);
        // White is a ground where the chart has none.
        let white = mark(PaintKind::Fill, Colour::WHITE, vec![upright(60.0, 100.0, 11.0, 11.0)]);
        assert_eq!(found(vec![white, symbol()], None, false), whole);
        // An empty frame is a box to tick; a line that is not closed, or no box, frames nothing.
        assert_eq!(found(vec![frame], None, false), None);
        let mut open = upright(60.0, 100.0, 11.0, 11.0);
        open.closed = false;
        let bare = Some([60.5, 100.5, 70.5, 110.5]);
        assert_eq!(found(vec![framed(open), symbol()], None, false), bare);
        assert_eq!(found(vec![framed(triangle(60.0, 100.0, 11.0, 11.0)), symbol()], None, false), bare);
        assert_eq!(found(vec![symbol()], None, true), bare);
        // Where cells have no ground a black box is a symbol; a picture is nothing.
        let square = || inked(upright(64.0, 103.0, 3.0, 5.0));
        assert_eq!(found(vec![square()], None, false), Some([60.5, 100.5, 70.5, 110.5]));
        assert_eq!(found(vec![PaintedMark { kind: PaintKind::Picture, ..square() }], None, true), None);
        assert_eq!(found(vec![], None, true), None);
    }

    #[test]
    fn a_sample_stands_close_before_its_name_on_the_same_line() {
        // Own computation: its middle with half of a cell on either side.
        assert_eq!(lone(60.0, 100.0, 10.0, 12.0), Some([60.0, 101.0, 70.0, 111.0]));
        // It ends where the name begins, or up to 48 points before.
        assert!(lone(70.4, 100.0, 10.0, 11.0).is_some() && lone(70.6, 100.0, 10.0, 11.0).is_none());
        assert!(lone(22.0, 100.0, 10.0, 11.0).is_some() && lone(21.9, 100.0, 10.0, 11.0).is_none());
        // The line goes through it, or near its middle.
        assert!(lone(60.0, 105.5, 10.0, 30.0).is_some() && lone(60.0, 75.5, 10.0, 30.0).is_some());
        assert!(lone(60.0, 105.6, 10.0, 30.0).is_none() && lone(60.0, 75.4, 10.0, 30.0).is_none());
        assert!(lone(60.0, 107.4, 10.0, 4.0).is_some() && lone(60.0, 107.6, 10.0, 4.0).is_none());
        assert!(lone(60.0, 99.6, 10.0, 4.0).is_some() && lone(60.0, 99.4, 10.0, 4.0).is_none());
        // No more than an inch, and no hair.
        assert!(lone(8.1, 100.0, 71.9, 11.0).is_some() && lone(7.9, 100.0, 72.1, 11.0).is_none());
        assert!(lone(60.0, 70.0, 10.0, 72.0).is_some() && lone(60.0, 70.0, 10.0, 72.1).is_none());
        assert!(lone(60.0, 100.0, 1.1, 11.0).is_some() && lone(60.0, 100.0, 1.0, 11.0).is_none());
        assert!(lone(60.0, 105.0, 10.0, 1.1).is_some() && lone(60.0, 105.0, 10.0, 1.0).is_none());
        // The chart itself is no sample.
        assert!(lone(60.0, 140.0, 10.0, 72.0).is_none());
    }

    #[test]
    fn a_word_of_running_text_before_a_name_says_that_it_is_no_entry() {
        let sample = || vec![filled(upright(20.0, 100.0, 22.0, 11.0)), inked(triangle(28.0, 103.0, 5.0, 5.0))];
        let whole = Some([20.0, 100.0, 42.0, 111.0]);
        assert_eq!(found(sample(), None, true), whole);
        // The yarn's letter stands there too; a word far away belongs to another column.
        assert_eq!(found(sample(), Some((60.0, "AB")), true), whole);
        assert_eq!(found(sample(), Some((60.0, "the")), true), None);
        assert_eq!(found(sample(), Some((17.0, "the")), true), whole);
        assert_eq!(found(sample(), Some((17.1, "the")), true), None);
    }

    #[test]
    fn of_two_samples_the_nearer_one_counts_and_a_patch_of_colour_is_none() {
        let symbol = |left: f64| inked(triangle(left, 103.0, 5.0, 5.0));
        let ground = |left: f64, width: f64| filled(upright(left, 100.0, width, 11.0));
        // The one of the entry further left is larger.
        let two = vec![ground(34.0, 13.0), symbol(38.0), ground(60.0, 11.0), symbol(63.0)];
        assert_eq!(found(two, None, true), Some([60.0, 100.0, 71.0, 111.0]));
        // Own computation: less than 22 points before the nearest's right end, 71, it belongs to it.
        let near = vec![ground(36.5, 13.0), symbol(38.0), ground(60.0, 11.0), symbol(63.0)];
        assert_eq!(found(near, None, true), Some([36.5, 100.0, 49.5, 111.0]));
        // Nor does what begins more than an inch before it.
        let wide = vec![ground(-1.5, 60.0), symbol(8.0), ground(60.0, 11.0), symbol(63.0)];
        assert_eq!(found(wide, None, true), Some([60.0, 100.0, 71.0, 111.0]));
        // A larger patch with nothing in it; what fills nine tenths of a frame is its ground and nothing in it.
        let sample = || vec![ground(48.0, 11.0), symbol(51.0)];
        let patch = || vec![ground(60.0, 14.0)];
        let whole = Some([48.0, 100.0, 59.0, 111.0]);
        assert_eq!(found([sample(), patch()].concat(), None, true), whole);
        let filling = vec![framed(upright(60.0, 100.0, 14.0, 11.0)), ground(60.1, 13.8)];
        assert_eq!(found([sample(), filling].concat(), None, true), whole);
        // What is drawn beyond a box is not in it.
        let beside = vec![ground(60.0, 14.0), inked(triangle(73.0, 101.0, 5.0, 5.0))];
        assert_eq!(found([sample(), beside].concat(), None, true), whole);
        // Of two patches the larger.
        let patches = vec![ground(48.0, 11.0), ground(60.0, 14.0)];
        assert_eq!(found(patches, None, true), Some([62.0, 100.5, 72.0, 110.5]));
        // A box above the line that ends near it straddles nothing.
        let above = vec![filled(upright(40.0, 97.0, 30.0, 7.5)), inked(triangle(44.0, 99.0, 2.0, 2.0))];
        assert_eq!(found([above, vec![ground(60.0, 11.0), symbol(63.0)]].concat(), None, true), whole_of(60.0));
    }

    fn whole_of(left: f64) -> Option<[f64; 4]> {
        Some([left, 100.0, left + 11.0, 111.0])
    }

    #[test]
    fn entries_have_what_stands_after_their_names_and_the_chart_has_none() {
        let symbol = |left: f64, top: f64| inked(triangle(left + 3.0, top + 3.0, 5.0, 5.0));
        let ground = |left: f64, top: f64| filled(upright(left, top, 11.0, 11.0));
        let at = |left: f64, top: f64| [ground(left, top), symbol(left, top)];
        let marks = page([at(60.0, 100.0), at(260.0, 100.0), at(60.0, 130.0), at(60.0, 230.0)].concat());
        let grid = Bounds { left: 40.0, top: 200.0, right: 190.0, bottom: 300.0 };
        let mut lines = vec![line(80.0, 109.0, "navy blue: 37 knots"), line(280.0, 109.0, "cream 24 knots")];
        lines.extend([line(80.0, 139.0, "navy 5 knots"), line(80.0, 239.0, "cream 9 knots")]);
        lines.push(Stretch { level: false, ..line(80.0, 139.0, "cream 1") });
        let names = ["navy", "navy blue", "cream"];
        let found = entries(&marks, &lines, &names, &grid, (11.0, 11.0), true);
        let said: Vec<(u8, String)> = found.iter().map(|entry| (entry.yarn.0, entry.after.join(" "))).collect();
        assert_eq!(said, [(1, "37 knots".to_owned()), (2, "24 knots".to_owned()), (0, "5 knots".to_owned())]);
        assert!(found.iter().all(|entry| entry.look.ground == 0xe0d0c0 && entry.look.ink == Some(0)));
        assert!(found[0].look.same_symbol(&found[1].look));
    }

    #[test]
    fn a_name_is_known_word_by_word_and_punctuation_after_it_is_forgiven() {
        let is = |name: &[&str], words: &[&str]| names_match(name, words.iter().copied());
        assert!(is(&["navy", "blue"], &["navy", "blue", "37"]) && is(&["navy", "blue"], &["navy", "blue,"]));
        assert!(!is(&["navy", "blue"], &["navy,", "blue"]) && !is(&["navy", "blue"], &["navy"]));
        assert!(!is(&["navy", "blue"], &["navy", "green"]) && !is(&[], &["navy"]));
        assert!(is(&["no.", "7"], &["no.", "7:"]) && is(&["navy."], &["navy."]));
        let lines = [line(10.0, 20.0, "24 cream cream navy blue navy")];
        let names: Vec<Vec<&str>> = vec![vec!["cream"], vec!["24", "cream"], vec!["navy"], vec!["navy", "blue"]];
        let found: Vec<(usize, usize)> = names_found(&lines, &names).iter().map(|(name, _, at)| (*name, *at)).collect();
        assert_eq!(found, [(1, 0), (0, 2), (3, 3), (2, 5)]);
    }

    #[test]
    fn words_of_an_entry_stand_on_its_line_up_to_the_next_sample() {
        let sample = Bounds { left: 60.0, top: 100.0, right: 71.0, bottom: 111.0 };
        let words = |lines: &[Stretch], end: f64| words_between(lines, &sample, end).join(" ");
        let lines = [line(120.0, 109.0, "37 knots"), line(80.0, 109.0, "navy")];
        assert_eq!(words(&lines, f64::INFINITY), "navy 37 knots");
        assert_eq!((words(&lines, 133.0), words(&lines, 133.1)), ("navy 37".to_owned(), "navy 37 knots".to_owned()));
        assert_eq!(words(&[line(70.4, 109.0, "navy")], 200.0), "");
        assert_eq!(words(&[line(70.5, 109.0, "navy")], 200.0), "navy");
        // Own computation: words are seven points high, and its middle is at 105.5.
        for (baseline, is_level) in [(105.4, false), (105.5, true), (112.5, true), (112.6, false)] {
            assert_eq!(!words(&[line(80.0, baseline, "navy")], 200.0).is_empty(), is_level, "{baseline}");
        }
        assert_eq!(area(&outline(&[(1.0, 2.0), (4.0, 2.0), (4.0, 9.0)]).bounds), 21.0);
    }
}

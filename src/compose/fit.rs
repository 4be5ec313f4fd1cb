//! Text between two pages that must begin anew is looked at as a whole: its white is tightened where that saves a page, and
//! stretched where its last page would hold a few lines.
//!
//! Knows heights alone, and places pieces as make-up does; make-up then cuts the pages.

use super::piece::{Piece, PieceKind, RepeatedHead};
use crate::geom::Length;

/// What is higher than this is no line of text.
pub(crate) const TALL: Length = Length::pt(34.0);
/// White below what hangs in the side column.
pub(crate) const IN_SIDE: Length = Length::pt(4.0);
/// A last page under this share of the height is mended.
const LEAST_LAST: f64 = 1.0 / 3.0;
/// Where that cannot be reached, so much is better than less.
const ENOUGH_LAST: f64 = 0.25;
/// White is never tightened below this part of itself, nor stretched above that: beyond, a reader would see it.
const TIGHTEST: f64 = 0.6;
const WIDEST: f64 = 1.8;
/// To save a page that is not nearly empty it is tightened less, and more for one with a few lines.
const TIGHT: f64 = 0.65;
const A_FEW_LINES: f64 = 0.15;
const TIGHTEST_FOR_A_FEW: f64 = 0.45;
const STEP: f64 = 0.05;

/// Fits the white of all pieces, page-long text by page-long text.
pub(crate) fn fit(pieces: &mut [Piece], heads: &[RepeatedHead], height: Length) {
    let starts = |piece: &Piece| piece.kind != PieceKind::Flow;
    for text in pieces.split_mut(starts) {
        let factor = best(text, heads, height);
        let factor = if factor < 1.0 { factor } else { with_parted_rows(text, heads, height).unwrap_or(factor) };
        for piece in text {
            piece.before = piece.before * factor;
            piece.after = piece.after * factor;
        }
    }
}

/// The factor for the white of a text.
fn best(text: &[Piece], heads: &[RepeatedHead], height: Length) -> f64 {
    let Laid { pages, last } = lay(text, heads, height, 1.0);
    if pages < 2 {
        return 1.0;
    }
    let is_low = !is_enough(last, height);
    let least = match is_low {
        true if last.fits(height * A_FEW_LINES) => TIGHTEST_FOR_A_FEW,
        true => TIGHTEST,
        false => TIGHT,
    };
    let tighter = steps(1.0, least).find(|factor| lay(text, heads, height, *factor).pages < pages);
    if let Some(factor) = tighter {
        return factor;
    }
    let wider = |share: f64| {
        steps(1.0, WIDEST).find(|factor| {
            let then = lay(text, heads, height, *factor);
            then.pages == pages && (height * share).fits(then.last)
        })
    };
    is_low.then(|| wider(LEAST_LAST).or_else(|| wider(ENOUGH_LAST))).flatten().unwrap_or(1.0)
}

/// Rows are parted between their lines where that saves a page with little on it, and where white alone does not: long rows
/// of large print leave much of a page empty. Gives the factor for the white then.
fn with_parted_rows(text: &mut [Piece], heads: &[RepeatedHead], height: Length) -> Option<f64> {
    let Laid { pages, last } = lay(text, heads, height, 1.0);
    if pages < 2 || is_enough(last, height) || !text.iter().any(|piece| piece.may_part) {
        return None;
    }
    let part = |text: &mut [Piece], soft: bool| {
        text.iter_mut().filter(|piece| piece.may_part).for_each(|piece| piece.soft = soft);
    };
    part(text, true);
    let saved =
        std::iter::once(1.0).chain(steps(1.0, TIGHTEST)).find(|factor| lay(text, heads, height, *factor).pages < pages);
    if saved.is_none() {
        part(text, false);
    }
    saved
}

/// Factors from one towards another.
fn steps(from: f64, to: f64) -> impl Iterator<Item = f64> {
    let count = ((to - from).abs() / STEP).round() as usize;
    let way = if to < from { -STEP } else { STEP };
    (1..=count).map(move |step| from + way * step as f64)
}

/// How many of the first of these pieces are placed together. Those that keep together are higher than a page now and then:
/// they are parted where that cuts no paragraph, as low as possible.
pub(crate) fn together(pieces: &[Piece], height: Length, factor: f64) -> usize {
    let flow = |at: usize| pieces.get(at).is_some_and(|piece| piece.kind == PieceKind::Flow);
    let mut end = 1;
    while pieces.get(end - 1).is_some_and(|piece| piece.keep) && flow(end) {
        end += 1;
    }
    parted(&pieces[..end], Filled::nothing(), height, factor)
}

/// How many of the pieces of a group go on a page that is filled so far: all that find room, or as many as cut no paragraph.
pub(crate) fn parted(group: &[Piece], filled: Filled, height: Length, factor: f64) -> usize {
    let fits = |end: &usize| filled.has_room_for(&group[..*end], height, factor);
    if fits(&group.len()) {
        return group.len();
    }
    let cuts_no_text = |end: &usize| group.get(end - 1).is_some_and(|last| !last.tight && !last.heading);
    // A heading goes with the two lines after it.
    let leaves_no_heading = |end: &usize| {
        let after = group[..*end].iter().rev().take_while(|piece| !piece.heading);
        after.clone().count() >= 2 || after.clone().any(|piece| piece.height > TALL)
    };
    let below = || (1..group.len()).rev();
    let good = below().find(|end| cuts_no_text(end) && leaves_no_heading(end) && fits(end));
    good.or_else(|| below().find(|end| cuts_no_text(end) && fits(end))).or_else(|| below().find(fits)).unwrap_or(1)
}

/// A page with more white than this below what is there takes a part of what keeps together for looks alone.
const MUCH_WHITE: f64 = 0.15;
/// The same where rows are parted to save a page.
const WHITE_BELOW_ROWS: f64 = 0.03;

/// How many of the first of a group are placed on a page that has no room for all of it. `None`: the group has the next page.
pub(crate) fn parted_softly(group: &[Piece], filled: Filled, height: Length, factor: f64) -> Option<usize> {
    let much = if group.iter().any(|piece| piece.may_part && piece.soft) { WHITE_BELOW_ROWS } else { MUCH_WHITE };
    if filled.is_empty || (height - filled.y).fits(height * much) {
        return None;
    }
    (1..group.len()).rev().find(|end| group[end - 1].soft && filled.has_room_for(&group[..*end], height, factor))
}

/// How a text lies: its pages, and how far down the last one is filled.
pub(crate) struct Laid {
    /// How many pages.
    pub(crate) pages: usize,
    /// How far down the last one is filled.
    pub(crate) last: Length,
}

/// Whether a last page that is filled so far needs no mending.
pub(crate) fn is_enough(last: Length, height: Length) -> bool {
    (height * LEAST_LAST).fits(last)
}

/// What a text comes to once its white is fitted: its pages, and whether the last one is low. The less, the better.
pub(crate) fn outcome(text: &[Piece], heads: &[RepeatedHead], height: Length) -> (usize, bool) {
    let Laid { pages, last } = lay(text, heads, height, best(text, heads, height));
    (pages, pages > 1 && !is_enough(last, height))
}

/// Where the groups that are placed together begin.
pub(crate) fn group_starts(text: &[Piece], height: Length) -> Vec<usize> {
    let next = |at: &usize| (*at < text.len()).then(|| at + together(&text[*at..], height, 1.0));
    std::iter::successors(Some(0), next).filter(|at| *at < text.len()).collect()
}

/// Lays a text out as make-up does, with its white multiplied.
pub(crate) fn lay(text: &[Piece], heads: &[RepeatedHead], height: Length, factor: f64) -> Laid {
    let mut page = Page { pages: 1, filled: Filled::nothing() };
    let mut at = 0;
    while at < text.len() {
        let count = together(&text[at..], height, factor);
        page.place(&text[at..at + count], heads, height, factor);
        at += count;
    }
    Laid { pages: page.pages, last: page.filled.y.max(page.filled.side) }
}

/// How far down a page is filled.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Filled {
    /// In the text column.
    pub(crate) y: Length,
    /// In the side column; zero: nothing hangs there.
    pub(crate) side: Length,
    /// Whether nothing stands on the page.
    pub(crate) is_empty: bool,
}

impl Filled {
    /// A new page.
    pub(crate) fn nothing() -> Filled {
        Filled { y: Length::ZERO, side: Length::ZERO, is_empty: true }
    }

    /// Where a piece begins.
    pub(crate) fn start(&self, piece: &Piece, factor: f64) -> Length {
        let before = piece.before * factor;
        let y = self.y + if self.is_empty { Length::ZERO } else { before };
        if piece.wide || (piece.side > Length::ZERO && !piece.below_heading) {
            return y.max(self.side + if self.side > Length::ZERO { before } else { Length::ZERO });
        }
        y
    }

    /// Goes on below a piece that begins here.
    pub(crate) fn go_on(&mut self, piece: &Piece, y: Length, factor: f64) {
        if piece.side > Length::ZERO {
            self.side = y + piece.side + IN_SIDE;
        }
        // What hangs in the side column takes no height of its own; its space above must not count twice.
        self.y = if piece.height > Length::ZERO { y + piece.height + piece.after * factor } else { y };
        self.is_empty = self.is_empty && piece.height.fits(Length::ZERO) && piece.side.fits(Length::ZERO);
    }

    /// Whether all of a group finds room below what is there: what hangs in the side column may push its pieces down.
    pub(crate) fn has_room_for(mut self, group: &[Piece], height: Length, factor: f64) -> bool {
        group.iter().all(|piece| {
            let y = self.start(piece, factor);
            self.go_on(piece, y, factor);
            (y + piece.height.max(piece.side)).fits(height)
        })
    }
}

struct Page {
    pages: usize,
    filled: Filled,
}

impl Page {
    fn turn(&mut self) {
        *self = Page { pages: self.pages + 1, filled: Filled::nothing() };
    }

    fn place(&mut self, group: &[Piece], heads: &[RepeatedHead], height: Length, factor: f64) {
        let Some(first) = group.first() else { return };
        if !self.filled.is_empty && !self.filled.has_room_for(group, height, factor) {
            if let Some(count) = parted_softly(group, self.filled, height, factor) {
                self.put(&group[..count], height, factor);
                return self.place(&group[count..], heads, height, factor);
            }
            self.turn();
            let head = first.head.and_then(|head| heads.get(head));
            if let Some(head) = head.filter(|head| (head.height + first.height).fits(height)) {
                self.filled = Filled { y: head.height, is_empty: false, ..self.filled };
            }
            // Below the head there may be less room than the group takes.
            let count = parted(group, self.filled, height, factor);
            if count < group.len() {
                self.put(&group[..count], height, factor);
                return self.place(&group[count..], heads, height, factor);
            }
        }
        self.put(group, height, factor);
    }

    fn put(&mut self, group: &[Piece], height: Length, factor: f64) {
        for piece in group {
            let mut y = self.filled.start(piece, factor);
            if !self.filled.is_empty && !(y + piece.height).fits(height) {
                self.turn();
                y = Length::ZERO;
            }
            self.filled.go_on(piece, y, factor);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lines(count: usize) -> Vec<Piece> {
        let line = |_| Piece { height: Length::mm(5.0), after: Length::mm(2.0), ..Piece::default() };
        (0..count).map(line).collect()
    }

    /// Own computation: 15 lines of 5 mm with 2 mm of white fill 103 mm; a sixteenth needs a second page of 105 mm.
    #[test]
    fn a_line_alone_on_the_last_page_is_drawn_back() {
        let height = Length::mm(105.0);
        let mut text = lines(17);
        assert_eq!(lay(&text, &[], height, 1.0).pages, 2);
        fit(&mut text, &[], height);
        assert_eq!(lay(&text, &[], height, 1.0).pages, 1);
    }

    /// Own computation: of 18 lines three go over; at the tightest 17 fit, so white is stretched until a third page is full.
    #[test]
    fn where_it_cannot_be_drawn_back_more_goes_over() {
        let height = Length::mm(105.0);
        let mut text = lines(18);
        let before = lay(&text, &[], height, 1.0);
        assert!(before.pages == 2 && before.last < height * LEAST_LAST);
        fit(&mut text, &[], height);
        let after = lay(&text, &[], height, 1.0);
        assert!(after.pages == 2 && (height * ENOUGH_LAST).fits(after.last));
    }

    /// Own computation: 21 lines of 5 mm with no white fill 105 mm.
    #[test]
    fn what_keeps_together_and_is_higher_than_a_page_is_parted_where_no_paragraph_is_cut() {
        let line = |tight| Piece { height: Length::mm(5.0), keep: true, tight, ..Piece::default() };
        // Paragraphs of four lines, the last of which is not bound to the next.
        let text: Vec<Piece> = (0..40).map(|at| line(at % 4 != 3)).collect();
        assert_eq!(together(&text, Length::mm(105.0), 1.0), 20);
        assert_eq!(together(&text[20..], Length::mm(105.0), 1.0), 20);
        // One paragraph longer than the page is cut where the page ends.
        let text: Vec<Piece> = (0..40).map(|_| line(true)).collect();
        assert_eq!(together(&text, Length::mm(105.0), 1.0), 21);
    }

    /// Own computation: rows of eight lines of 5 mm, two to a page of 100 mm; a fifth row has a third page for itself. Parted,
    /// 20 lines go on a page.
    #[test]
    fn rows_are_parted_where_that_saves_a_page_and_nowhere_else() {
        let height = Length::mm(100.0);
        let row = || {
            let line = |at| Piece {
                height: Length::mm(5.0),
                keep: at < 7,
                may_part: (1..6).contains(&at),
                ..Piece::default()
            };
            (0..8).map(line)
        };
        let rows = |count: usize| (0..count).flat_map(|_| row()).collect::<Vec<Piece>>();
        let short: Vec<Piece> = rows(4).into_iter().chain(row().take(5)).collect();
        for (mut text, pages, parted) in [(rows(3), 2, false), (short, 2, true)] {
            if let Some(last) = text.last_mut() {
                last.keep = false;
            }
            fit(&mut text, &[], height);
            assert_eq!(lay(&text, &[], height, 1.0).pages, pages);
            assert_eq!(text.iter().any(|piece| piece.soft), parted);
        }
    }

    #[test]
    fn one_page_is_left_as_it_is() {
        let mut text = lines(3);
        fit(&mut text, &[], Length::mm(105.0));
        assert!(text.iter().all(|piece| piece.after.approx_eq(Length::mm(2.0))));
    }
}

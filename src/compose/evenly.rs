//! What white alone cannot mend: a drawing that stands where it leaves fewer pages, and a page that ends early so that the
//! last one of a text has more than a few lines.

use super::fit::{self, Laid};
use super::piece::{Galley, Piece, PieceKind};
use crate::geom::Length;
use crate::page::Structure;

/// A page that ends early for the sake of the next one is filled so far at least.
const LEAST_BEFORE: f64 = 0.5;

/// Moves drawings that may stand at either end of their section to the end where that leaves fewer pages, or a fuller last
/// one; in the structure too, so that they are read where they are seen.
pub(crate) fn settle_drawings(galley: &mut Galley, structure: &mut Structure, height: Length) {
    for at in 0..galley.drawings.len() {
        let drawing = galley.drawings[at].clone();
        let is_flow = |piece: &Piece| piece.kind == PieceKind::Flow;
        let before = galley.pieces[..drawing.from].iter().rev().take_while(|piece| is_flow(piece)).count();
        let after = galley.pieces[drawing.end..].iter().take_while(|piece| is_flow(piece)).count();
        let text = drawing.from - before..drawing.end + after;
        let as_it_is = fit::outcome(&galley.pieces[text.clone()], &galley.heads, height);
        let length = drawing.to - drawing.from;
        galley.pieces[drawing.from..drawing.end].rotate_left(length);
        if fit::outcome(&galley.pieces[text], &galley.heads, height) < as_it_is {
            structure.move_to_end(drawing.node);
        } else {
            galley.pieces[drawing.from..drawing.end].rotate_right(length);
        }
    }
}

/// Ends the page before the last one of a text early, where the last one would hold a few lines and white did not help.
pub(crate) fn end_pages_early(galley: &mut Galley, height: Length) {
    let is_flow = |piece: &Piece| piece.kind == PieceKind::Flow;
    let mut breaks = Vec::new();
    let mut from = 0;
    while from < galley.pieces.len() {
        let count = galley.pieces[from..].iter().take_while(|piece| is_flow(piece)).count();
        let text = &galley.pieces[from..from + count];
        breaks.extend(early_break(text, galley, height).map(|at| from + at));
        from += count + 1;
    }
    for at in breaks.into_iter().rev() {
        galley.pieces.insert(at, Piece { kind: PieceKind::NewPage, ..Piece::default() });
    }
}

/// Where a text goes on with its last page so that this is no longer nearly empty: as low as possible, between what keeps
/// together and not inside a table, whose head would be missing.
fn early_break(text: &[Piece], galley: &Galley, height: Length) -> Option<usize> {
    let lay = |text: &[Piece]| fit::lay(text, &galley.heads, height, 1.0);
    let Laid { pages, last } = lay(text);
    if pages < 2 || fit::is_enough(last, height) {
        return None;
    }
    let starts = fit::group_starts(text, height);
    // From the end upwards, until what would stand on the last page is more than a page.
    let after = starts.into_iter().rev().map(|at| (at, lay(&text[at..]))).take_while(|(_, after)| after.pages == 1);
    let enough = after.filter(|(at, after)| text[*at].head.is_none() && fit::is_enough(after.last, height));
    enough.map(|(at, _)| at).find(|at| {
        let before = lay(&text[..*at]);
        before.pages == pages - 1 && (height * LEAST_BEFORE).fits(before.last)
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::compose::piece::MovableDrawing;
    use crate::page::Role;

    fn galley(lines: usize) -> Galley {
        let line = |_| Piece { height: Length::mm(5.0), ..Piece::default() };
        Galley { pieces: (0..lines).map(line).collect(), ..Galley::default() }
    }

    /// Own computation: 20 lines of 5 mm fill 100 mm; of 22 two would stand alone, and a third of a page is seven.
    #[test]
    fn a_page_ends_early_where_the_last_would_hold_a_few_lines() {
        let mut galley = galley(22);
        end_pages_early(&mut galley, Length::mm(100.0));
        let at = galley.pieces.iter().position(|piece| piece.kind == PieceKind::NewPage);
        assert_eq!(at, Some(15));
        assert_eq!(galley.pieces.len(), 23);
    }

    /// Own computation: 14 lines of 5 mm, a drawing of 50 mm and so many lines after it, on pages of 100 mm. Of 12 lines two go
    /// over to a third page, unless the drawing stands last; of 6 all find room.
    #[test]
    fn a_drawing_moves_to_the_end_of_its_section_where_that_saves_a_page_and_nowhere_else() {
        for (after, moves) in [(12, true), (6, false)] {
            let mut structure = Structure::default();
            let section = structure.add(Role::Section, None);
            let node = structure.add(Role::Figure, Some(section));
            let last = structure.add(Role::Paragraph, Some(section));
            let mut galley = galley(14 + 1 + after);
            galley.pieces[14].height = Length::mm(50.0);
            galley.drawings.push(MovableDrawing { from: 14, to: 15, end: 15 + after, node });
            settle_drawings(&mut galley, &mut structure, Length::mm(100.0));
            let at = galley.pieces.iter().position(|piece| piece.height > Length::mm(49.0));
            assert_eq!(at, Some(if moves { 14 + after } else { 14 }));
            let children = &structure.get(section).children;
            assert_eq!(children.last(), Some(if moves { &node } else { &last }));
        }
    }

    #[test]
    fn a_page_that_is_full_enough_and_a_table_stay_as_they_are() {
        for (lines, head) in [(27, None), (22, Some(0)), (12, None)] {
            let mut galley = galley(lines);
            galley.pieces.iter_mut().for_each(|piece| piece.head = head);
            end_pages_early(&mut galley, Length::mm(100.0));
            assert_eq!(galley.pieces.len(), lines);
        }
    }
}

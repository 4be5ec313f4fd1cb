//! Which page stands where: faces of sheets as pairs of pages, reckoned from numbers alone.

/// What one side of a sheet carries.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SheetFace {
    /// The leaf it belongs to, from 0 at the outside; what creep is reckoned from.
    pub(crate) sheet: usize,
    /// Page in the left half, from 0; `None` for a blank one.
    pub left: Option<usize>,
    /// Page in the right half; the same.
    pub right: Option<usize>,
}

/// The next multiple of four: a folded sheet has four pages.
pub(crate) fn filled_up(pages: usize) -> usize {
    pages.div_ceil(4) * 4
}

/// Faces of a booklet whose sheets are laid into one another, folded once and stapled through the fold: for each sheet
/// from the outside its outer face, then its inner one.
///
/// With n pages, sheet i from 1 carries n - 2(i - 1) and 2(i - 1) + 1 outside, 2(i - 1) + 2 and n - 2(i - 1) - 1 inside
/// (the usual tables of bookbinding for 8, 12 and 16 pages follow from it).
pub fn saddle_stitch(pages: usize) -> Vec<SheetFace> {
    let n = filled_up(pages);
    // Page numbers from 1, as the tables have them.
    let page = |number: usize| (number <= pages).then(|| number - 1);
    (0..n / 4)
        .flat_map(|sheet| {
            let first = 2 * sheet;
            [
                SheetFace { sheet, left: page(n - first), right: page(first + 1) },
                SheetFace { sheet, left: page(first + 2), right: page(n - first - 1) },
            ]
        })
        .collect()
}

/// Two pages side by side in the order of reading, one face after the other.
pub(crate) fn side_by_side(pages: usize) -> Vec<SheetFace> {
    let page = |index: usize| (index < pages).then_some(index);
    (0..pages.div_ceil(2)).map(|face| SheetFace { sheet: 0, left: page(2 * face), right: page(2 * face + 1) }).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn numbers(pages: usize) -> Vec<(usize, usize)> {
        let number = |page: Option<usize>| page.expect("no blank page") + 1;
        saddle_stitch(pages).into_iter().map(|face| (number(face.left), number(face.right))).collect()
    }

    #[test]
    fn sheets_of_8_12_and_16_pages_equal_the_published_tables() {
        // The usual tables of bookbinding for 8, 12 and 16 pages (common practice, no source).
        assert_eq!(numbers(8), [(8, 1), (2, 7), (6, 3), (4, 5)]);
        assert_eq!(numbers(12), [(12, 1), (2, 11), (10, 3), (4, 9), (8, 5), (6, 7)]);
        assert_eq!(numbers(16), [(16, 1), (2, 15), (14, 3), (4, 13), (12, 5), (6, 11), (10, 7), (8, 9)]);
        // Own computation, by folding five numbered slips of paper.
        let twenty = [(20, 1), (2, 19), (18, 3), (4, 17), (16, 5), (6, 15), (14, 7), (8, 13), (12, 9), (10, 11)];
        assert_eq!(numbers(20), twenty);
    }

    #[test]
    fn every_multiple_of_four_to_200_follows_the_formula_and_reads_in_order_once_folded() {
        for n in (4..=200).step_by(4) {
            let faces = numbers(n);
            for (i, pair) in faces.chunks(2).enumerate().map(|(i, pair)| (i + 1, pair)) {
                // The published formula, in its own numbering from 1.
                assert_eq!(pair[0], (n - 2 * (i - 1), 2 * (i - 1) + 1));
                assert_eq!(pair[1], (2 * (i - 1) + 2, n - 2 * (i - 1) - 1));
            }
            assert_eq!(folded(&faces), (1..=n).collect::<Vec<_>>());
        }
    }

    /// The pages as they are turned over: down the right halves to the middle, each with the half behind it, and back
    /// up the left halves. Behind a right half lies the left one of the other face, as sheets are turned on the short edge.
    fn folded(faces: &[(usize, usize)]) -> Vec<usize> {
        let sheets: Vec<_> = faces.chunks(2).map(|pair| (pair[0], pair[1])).collect();
        let down = sheets.iter().flat_map(|(outer, inner)| [outer.1, inner.0]);
        let up = sheets.iter().rev().flat_map(|(outer, inner)| [inner.1, outer.0]);
        down.chain(up).collect()
    }

    #[test]
    fn blank_pages_come_last_and_fill_up_to_a_multiple_of_four() {
        for pages in 1..40 {
            let faces = saddle_stitch(pages);
            assert_eq!(faces.len() * 2, filled_up(pages));
            let mut seen: Vec<usize> = faces.iter().flat_map(|face| [face.left, face.right]).flatten().collect();
            seen.sort_unstable();
            assert_eq!(seen, (0..pages).collect::<Vec<_>>());
        }
        // Own computation: five pages on two sheets, 6 to 8 blank.
        let five = saddle_stitch(5);
        assert_eq!((five[0].left, five[0].right), (None, Some(0)));
        assert_eq!((five[3].left, five[3].right), (Some(3), Some(4)));
        assert!(saddle_stitch(0).is_empty());
    }

    #[test]
    fn side_by_side_goes_on_in_the_order_of_reading() {
        let pairs: Vec<_> = side_by_side(5).into_iter().map(|face| (face.left, face.right)).collect();
        assert_eq!(pairs, [(Some(0), Some(1)), (Some(2), Some(3)), (Some(4), None)]);
    }
}

//! A chart as a picture: each yarn's letter is a pixel of exactly its colour, a bare cell a transparent pixel. The picture is
//! packed as it was before, always without loss.

use super::{BARE, Grid};
use crate::chart::MAX_SIDE;
use crate::colour::Colour;
use crate::diag::Diagnostic;
use crate::picture;

/// The letters of a chart picture. `None` where a pixel is no yarn's colour, or the picture cannot be read: then the file or
/// the colours are mended first.
pub(crate) fn read(bytes: &[u8], yarns: &[(char, Colour)]) -> Option<Grid> {
    let pixels = picture::chart_pixels(bytes, MAX_SIDE as u32).ok()?;
    let wide = |c: Colour| [c.r, c.g, c.b].map(|channel| u16::from(channel) * 257);
    let cells: Option<Vec<char>> = pixels
        .rgba
        .iter()
        .map(|&[r, g, b, alpha]| match alpha {
            0 => Some(BARE),
            u16::MAX => yarns.iter().find(|(_, colour)| wide(*colour) == [r, g, b]).map(|(letter, _)| *letter),
            _ => None,
        })
        .collect();
    Grid::new(pixels.columns, cells?)
}

/// The picture with these letters in it, packed like `like`, or as PNG where there is none.
///
/// # Errors
/// A fault where a letter is no yarn's, or where two yarns have one colour and could not be told apart when it is read.
pub(crate) fn write(like: Option<&[u8]>, grid: &Grid, yarns: &[(char, Colour)]) -> Result<Vec<u8>, Diagnostic> {
    for (at, (letter, colour)) in yarns.iter().enumerate() {
        if let Some((other, _)) = yarns[..at].iter().find(|(_, other)| other == colour) {
            let message = format!("yarns `{other}` and `{letter}` would both be `{}`", colour.to_hex());
            return Err(Diagnostic::fault("yarns-of-one-colour", message)
                .hint("this chart is a picture, and a picture cannot tell them apart: make one a little different"));
        }
    }
    let mut rgba = Vec::with_capacity(grid.cells().len() * 4);
    for letter in grid.cells() {
        if *letter == BARE {
            rgba.extend([0, 0, 0, 0]);
            continue;
        }
        let Some((_, colour)) = yarns.iter().find(|(known, _)| known == letter) else {
            return Err(Diagnostic::fault("unknown-letter", format!("`{letter}` is no yarn's letter")));
        };
        rgba.extend([colour.r, colour.g, colour.b, 255]);
    }
    picture::chart_file(like, grid.columns(), grid.rows(), rgba)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn letters_come_back_from_every_kind_of_picture() {
        let yarns = [('A', Colour::new(1, 2, 3)), ('b', Colour::new(200, 100, 50)), ('ß', Colour::new(255, 255, 255))];
        let mut random = fastrand::Rng::with_seed(9);
        for kind in ["png", "gif", "bmp", "webp"] {
            let like = picture::blank(kind).expect("a picture");
            for _ in 0..20 {
                let (columns, rows) = (random.usize(1..20), random.usize(1..20));
                let letters = ['A', 'b', 'ß', BARE];
                let cells = (0..columns * rows).map(|_| letters[random.usize(0..4)]).collect();
                let grid = Grid::new(columns, cells).expect("a grid");
                let packed = write(Some(&like), &grid, &yarns).expect(kind);
                assert_eq!(read(&packed, &yarns), Some(grid), "{kind}");
            }
        }
    }

    #[test]
    fn yarns_of_one_colour_are_refused_before_anything_is_written() {
        let grid = Grid::new(1, vec!['A']).expect("a grid");
        let one = Colour::new(1, 2, 3);
        assert_eq!(write(None, &grid, &[('A', one), ('B', one)]).map_err(|d| d.id), Err("yarns-of-one-colour"));
        assert_eq!(write(None, &grid, &[('B', one)]).map_err(|d| d.id), Err("unknown-letter"));
    }
}

//! Text as an eye sees it: glyphs gathered into words and lines by where they stand, never by the order they were drawn.
//!
//! A *stretch* is a piece of a line without a wide gap: a line of a column, a cell of a table, a number beside a row.

use super::marks::{PageGlyph, PageMarks};
use super::matrix::{Bounds, PagePoint};
use std::borrow::Cow;

/// A gap wider than this, in sizes of the font, parts two words even where no space is drawn.
const WORD_GAP: f64 = 0.18;
/// A gap wider than this, in sizes of the font, parts two stretches: less than the gap between two columns of a table. A
/// justified word space may be wider; whoever follows a sentence goes on with the next stretch of the line.
const STRETCH_GAP: f64 = 0.55;
/// Baselines closer than this, in sizes of the font, are one line.
const SAME_LINE: f64 = 0.3;

/// A word.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Word {
    /// Its letters.
    pub(crate) letters: String,
    /// Around it: from above its capitals to its baseline.
    pub(crate) area: Bounds,
}

/// A piece of a line.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Stretch {
    /// Words in reading direction; never empty.
    pub(crate) words: Vec<Word>,
    /// Around all of them.
    pub(crate) area: Bounds,
    /// Height of the baseline.
    pub(crate) baseline: f64,
    /// Largest size of font in it, points.
    pub(crate) size: f64,
    /// Whether it runs from left to right as usual; turned text is kept but never part of a sentence.
    pub(crate) level: bool,
}

impl Stretch {
    /// Its words with single spaces between.
    pub(crate) fn text(&self) -> String {
        let words: Vec<&str> = self.words.iter().map(|w| w.letters.as_str()).collect();
        words.join(" ")
    }
    /// The point between its ends at half the height of its figures.
    pub(crate) fn middle(&self) -> PagePoint {
        PagePoint { x: (self.area.left + self.area.right) / 2.0, y: self.baseline - self.size * 0.35 }
    }
}

/// A glyph in a frame turned so that its text runs level.
struct LevelGlyph<'a> {
    glyph: &'a PageGlyph,
    along: f64,
    end: f64,
    across: f64,
}

/// All stretches of a page, from top to bottom and from left to right; turned ones last.
pub(crate) fn stretches(page: &PageMarks) -> Vec<Stretch> {
    let mut by_angle: Vec<(i64, Vec<LevelGlyph>)> = Vec::new();
    for glyph in page.glyphs.iter().filter(|g| g.shows && g.letters.0 < g.letters.1 && g.size > 0.1) {
        let (dx, dy) = (glyph.to.x - glyph.from.x, glyph.to.y - glyph.from.y);
        let length = libm::hypot(dx, dy);
        let (cos, sin) = if length > 1e-9 { (dx / length, dy / length) } else { (1.0, 0.0) };
        // Rounded to whole degrees: text on a curve is not read.
        let angle = libm::atan2(sin, cos).to_degrees().round() as i64;
        let turned = LevelGlyph {
            glyph,
            along: glyph.from.x * cos + glyph.from.y * sin,
            end: glyph.to.x * cos + glyph.to.y * sin,
            across: glyph.from.y * cos - glyph.from.x * sin,
        };
        let angles = by_angle.len();
        match by_angle.iter_mut().find(|(a, _)| *a == angle) {
            Some((_, list)) => list.push(turned),
            None if angles < 64 => by_angle.push((angle, vec![turned])),
            None => {}
        }
    }
    by_angle.sort_by_key(|(angle, _)| angle.abs());
    by_angle.into_iter().flat_map(|(angle, glyphs)| lines_of(page, glyphs, angle == 0)).collect()
}

fn lines_of(page: &PageMarks, mut glyphs: Vec<LevelGlyph>, level: bool) -> Vec<Stretch> {
    glyphs.sort_by(|a, b| a.across.total_cmp(&b.across));
    let mut out = Vec::new();
    let mut line: Vec<LevelGlyph> = Vec::new();
    for glyph in glyphs {
        // Held against the line's first baseline, so that a slope of many small steps cannot run on for ever.
        if let Some(first) = line.first()
            && glyph.across - first.across > SAME_LINE * first.glyph.size.min(glyph.glyph.size)
        {
            cut(page, std::mem::take(&mut line), level, &mut out);
        }
        line.push(glyph);
    }
    cut(page, line, level, &mut out);
    out
}

fn cut(page: &PageMarks, mut line: Vec<LevelGlyph>, level: bool, out: &mut Vec<Stretch>) {
    line.sort_by(|a, b| a.along.total_cmp(&b.along));
    let mut open: Option<Stretch> = None;
    let mut end = f64::NEG_INFINITY;
    let mut parted = true;
    for turned in &line {
        let glyph = turned.glyph;
        let letters = seen(page.letters_of(glyph));
        if letters.is_empty() {
            continue;
        }
        if letters.chars().all(char::is_whitespace) {
            parted = true;
            continue;
        }
        let gap = turned.along - end;
        let size = open.as_ref().map_or(glyph.size, |s| s.size.max(glyph.size));
        if gap > STRETCH_GAP * size {
            out.extend(open.take());
        }
        let mut area = Bounds::of(glyph.from, glyph.to);
        area.top -= glyph.size * 0.7;
        match &mut open {
            None => {
                open = Some(Stretch {
                    words: vec![Word { letters: letters.into_owned(), area }],
                    area,
                    baseline: glyph.from.y,
                    size: glyph.size,
                    level,
                });
            }
            Some(stretch) => {
                stretch.size = stretch.size.max(glyph.size);
                grow(&mut stretch.area, &area);
                match stretch.words.last_mut() {
                    Some(word) if !parted && gap <= WORD_GAP * glyph.size => {
                        word.letters.push_str(&letters);
                        grow(&mut word.area, &area);
                    }
                    _ => stretch.words.push(Word { letters: letters.into_owned(), area }),
                }
            }
        }
        parted = false;
        end = turned.end.max(turned.along);
    }
    out.extend(open);
}

fn grow(area: &mut Bounds, by: &Bounds) {
    area.take_in(PagePoint { x: by.left, y: by.top });
    area.take_in(PagePoint { x: by.right, y: by.bottom });
}

/// Text as it is seen: without what nothing is drawn for (soft hyphens, joiners, spaces of no width), and with one kind of
/// hyphen, because a font that has only one gives it for all of them.
pub(crate) fn seen(text: &str) -> Cow<'_, str> {
    let unseen = |c: char| matches!(c, '\u{ad}' | '\u{200b}'..='\u{200f}' | '\u{2060}' | '\u{feff}');
    let hyphen = |c: char| matches!(c, '\u{2010}' | '\u{2011}');
    if !text.contains(|c| unseen(c) || hyphen(c)) {
        return Cow::Borrowed(text);
    }
    text.chars().filter(|c| !unseen(*c)).map(|c| if hyphen(c) { '-' } else { c }).collect()
}

/// A number drawn alone: "12", or with a separator between thousands.
pub(crate) fn whole_number(letters: &str) -> Option<usize> {
    let digits: String = letters.chars().filter(|c| !matches!(c, ',' | '.' | '\u{a0}' | '\u{202f}' | '\'')).collect();
    if digits.is_empty() || digits.len() > 9 || !digits.bytes().all(|b| b.is_ascii_digit()) {
        return None;
    }
    digits.parse().ok()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::colour::Colour;
    use crate::reader::marks::Paint;

    fn put(page: &mut PageMarks, x: f64, y: f64, text: &str, size: f64) {
        let mut pen = x;
        for c in text.chars() {
            let start = page.letters.len() as u32;
            page.letters.push(c);
            page.glyphs.push(PageGlyph {
                from: PagePoint { x: pen, y },
                to: PagePoint { x: pen + size * 0.5, y },
                size,
                face: 0,
                code: c as u32,
                paint: Paint::Flat(Colour::BLACK),
                shows: true,
                letters: (start, page.letters.len() as u32),
            });
            pen += size * 0.5;
        }
    }

    #[test]
    fn words_are_gathered_by_place_and_not_by_drawing_order() {
        let mut page = PageMarks::default();
        put(&mut page, 10.0, 80.0, "last line", 10.0);
        put(&mut page, 36.0, 50.0, "cream", 10.0);
        put(&mut page, 10.0, 50.5, "4", 10.0);
        put(&mut page, 18.0, 50.0, "and", 10.0);
        put(&mut page, 200.0, 50.0, "next column", 10.0);
        let got: Vec<String> = stretches(&page).iter().map(Stretch::text).collect();
        assert_eq!(got, ["4 and cream", "next column", "last line"]);
    }

    #[test]
    fn turned_text_is_kept_apart() {
        let mut page = PageMarks::default();
        put(&mut page, 10.0, 50.0, "level", 10.0);
        let at = page.letters.len() as u32;
        page.letters.push('9');
        page.glyphs.push(PageGlyph {
            from: PagePoint { x: 10.0, y: 50.0 },
            to: PagePoint { x: 10.0, y: 45.0 },
            size: 10.0,
            face: 0,
            code: 57,
            paint: Paint::Other,
            shows: true,
            letters: (at, at + 1),
        });
        let got = stretches(&page);
        assert_eq!(got.len(), 2);
        assert!(got[0].level && !got[1].level);
    }

    #[test]
    fn what_nothing_is_drawn_for_is_no_part_of_a_word() {
        assert_eq!(seen("moss\u{ad}green \u{2060}non\u{2011}stop"), "mossgreen non-stop");
        assert!(matches!(seen("navy"), Cow::Borrowed("navy")));
    }

    #[test]
    fn only_plain_whole_numbers_count_as_numbers() {
        assert_eq!(whole_number("1,204"), Some(1204));
        assert_eq!(whole_number("12"), Some(12));
        assert_eq!(whole_number("12a"), None);
        assert_eq!(whole_number(""), None);
    }
}

//! Follows running text over lines, columns and pages by where it stands, to find sentences word for word.

use crate::reader::lines::{Stretch, Word, whole_number};
use crate::reader::matrix::Bounds;
use std::collections::BTreeMap;

/// The next line of a paragraph lies no farther down than this, in sizes of the font.
const NEXT_LINE: f64 = 2.2;
/// The rest of a line lies no farther right than this, in sizes of the font.
const SAME_LINE: f64 = 3.0;
/// A row's number lies no farther left of its first line than this, in sizes of the font.
const NUMBER_GAP: f64 = 4.0;
/// Letters of the longest number of a row.
const MAX_NUMBER: usize = 5;
/// Lines of one height differ by less than this, in sizes of the font.
const LEVEL: f64 = 0.3;

/// All text of a file.
#[derive(Default)]
pub(super) struct Flow {
    lines: Vec<GridLine>,
    /// Lines of each page, by page number.
    pages: BTreeMap<usize, std::ops::Range<usize>>,
    /// Where words stand: line and index in it.
    index: BTreeMap<String, Vec<(usize, usize)>>,
}

struct GridLine {
    page: usize,
    stretch: Stretch,
    /// What stands alone just left of it, where that may be the number of a row.
    number: Option<String>,
}

/// Where a search led.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum SearchResult {
    /// All words, one after another.
    Whole,
    /// Only the first `words` of them; then this stands instead (nothing: the text ends there).
    Part { page: usize, words: usize, instead: Option<String> },
    /// Not even the first.
    Nowhere,
}

impl Flow {
    /// Takes in a page's text; pages come in order.
    pub(crate) fn add(&mut self, page: usize, stretches: Vec<Stretch>) {
        let start = self.lines.len();
        let mut before: Option<Stretch> = None;
        for mut stretch in stretches.into_iter().filter(|s| s.level) {
            // Stretches come from top to bottom, and those of one line from left to right.
            let number = before.as_ref().and_then(|before| number_before(before, &stretch));
            before = Some(stretch.clone());
            stretch.words = stretch.words.iter().flat_map(parted).collect();
            for (at, word) in stretch.words.iter().enumerate() {
                self.index.entry(word.letters.clone()).or_default().push((self.lines.len(), at));
            }
            self.lines.push(GridLine { page, stretch, number });
        }
        self.pages.insert(page, start..self.lines.len());
    }

    /// Says that a page is a sheet of the chart: numbers side by side on it are columns, and none is a row's.
    pub(crate) fn mark_as_sheet(&mut self, page: usize) {
        for at in self.pages.get(&page).cloned().unwrap_or(0..0) {
            self.lines[at].number = None;
        }
    }

    /// Looks for a sentence; the place where most of it stands if it is nowhere whole.
    pub(crate) fn find(&self, sentence: &str) -> SearchResult {
        self.best(sentence, |_| true)
    }

    /// Looks for a row's sentence beside its number; where that number stands beside nothing like it, anywhere.
    pub(crate) fn find_numbered(&self, sentence: &str, number: &str) -> SearchResult {
        match self.best(sentence, |line| self.lines[line].number.as_deref() == Some(number)) {
            SearchResult::Nowhere => self.find(sentence),
            found => found,
        }
    }

    /// Whether these words stand on this page.
    pub(crate) fn says_on(&self, page: usize, words: &str) -> bool {
        matches!(self.best(words, |line| self.lines[line].page == page), SearchResult::Whole)
    }
    /// Whether these words stand anywhere, beginning on one line with the beginning of `beside`, or right below it where that
    /// has a line of its own.
    pub(crate) fn says_beside(&self, words: &str, beside: &str) -> bool {
        let other: Vec<&str> = parts_of(beside).collect();
        let starts: Vec<&GridLine> = match other.first() {
            None => Vec::new(),
            Some(first) => {
                let places = self.index.get(*first).map_or(&[][..], Vec::as_slice);
                let whole = places.iter().filter(|(line, at)| self.follow(*line, *at, &other).0 == other.len());
                whole.map(|(line, _)| &self.lines[*line]).collect()
            }
        };
        let level = |a: &GridLine, b: &GridLine| {
            (a.stretch.baseline - b.stretch.baseline).abs() < LEVEL * a.stretch.size.max(b.stretch.size)
        };
        let alone = |line: &GridLine| {
            let page = self.pages.get(&line.page).and_then(|page| self.lines.get(page.clone())).unwrap_or_default();
            line.stretch.words.len() == other.len() && page.iter().filter(|at| level(line, at)).count() == 1
        };
        let fits = |line: usize| {
            let here = &self.lines[line];
            let size = here.stretch.size;
            starts.iter().filter(|start| start.page == here.page).any(|start| {
                let drop = here.stretch.baseline - start.stretch.baseline;
                let below = drop > 0.0 && drop < NEXT_LINE * size;
                level(start, here)
                    || (below && (here.stretch.area.left - start.stretch.area.left).abs() < size && alone(start))
            })
        };
        matches!(self.best(words, |line| other.is_empty() || fits(line)), SearchResult::Whole)
    }

    fn best(&self, sentence: &str, wanted: impl Fn(usize) -> bool) -> SearchResult {
        let words: Vec<&str> = parts_of(sentence).collect();
        let Some(first) = words.first() else { return SearchResult::Nowhere };
        let mut best = SearchResult::Nowhere;
        let mut most = 0;
        for (line, at) in self.index.get(*first).map_or(&[][..], Vec::as_slice) {
            if !wanted(*line) {
                continue;
            }
            let (matched, page, instead) = self.follow(*line, *at, &words);
            if matched == words.len() {
                return SearchResult::Whole;
            }
            if matched > most {
                most = matched;
                best = SearchResult::Part { page, words: matched, instead };
            }
        }
        best
    }

    /// How many of the words stand here one after another, on which page that ends, and what comes instead.
    fn follow(&self, line: usize, at: usize, words: &[&str]) -> (usize, usize, Option<String>) {
        let (mut line, mut at) = (line, at);
        let mut matched = 0;
        let mut block = self.lines[line].stretch.area;
        // What is left of a word that the line's end divides.
        let mut rest_of_word: Option<&str> = None;
        loop {
            let here = &self.lines[line];
            while let (Some(word), Some(want)) = (here.stretch.words.get(at), words.get(matched)) {
                let want = rest_of_word.take().unwrap_or(want);
                at += 1;
                if word.letters == want {
                    matched += 1;
                    continue;
                }
                let ends_line = at == here.stretch.words.len();
                rest_of_word =
                    word.letters.strip_suffix('-').filter(|_| ends_line).and_then(|part| divided(want, part));
                if rest_of_word.is_none() {
                    return (matched, here.page, Some(word.letters.clone()));
                }
            }
            if matched == words.len() {
                return (matched, here.page, None);
            }
            let mut rest = words[matched..].to_vec();
            if let (Some(part), Some(first)) = (rest_of_word, rest.first_mut()) {
                *first = part;
            }
            match self.goes_on(line, &block, &rest) {
                Ok(next) => {
                    let (before, after) = (&self.lines[line], &self.lines[next]);
                    let area = after.stretch.area;
                    let same_column =
                        before.page == after.page && area.left < block.right + SAME_LINE * after.stretch.size;
                    block = if same_column {
                        Bounds { left: block.left.min(area.left), right: block.right.max(area.right), ..area }
                    } else {
                        area
                    };
                    (line, at) = (next, 0);
                }
                Err(instead) => return (matched, here.page, instead),
            }
        }
    }

    /// The line that goes on with these words, or what stands where it should be. `block` reaches as far left and right as
    /// the text did so far in this column.
    fn goes_on(&self, line: usize, block: &Bounds, rest: &[&str]) -> Result<usize, Option<String>> {
        let here = &self.lines[line];
        let page = self.pages.get(&here.page).cloned().unwrap_or(0..0);
        let (area, size) = (here.stretch.area, here.stretch.size);
        let starts = |at: usize| self.lines[at].stretch.words.first().map(|w| w.letters.as_str());
        let others = || page.clone().filter(|at| *at != line);
        let beside = others().filter(|at| {
            let s = &self.lines[*at].stretch;
            let gap = s.area.left - area.right;
            (s.baseline - here.stretch.baseline).abs() < LEVEL * size && gap > -0.1 * size && gap < SAME_LINE * size
        });
        let beside = beside.min_by(|a, b| self.left(*a).total_cmp(&self.left(*b)));
        let beside = beside.filter(|at| starts(*at) == rest.first().copied());
        // Where a number stands before a line another row begins, whatever its words are.
        let begins_row = |at: &usize| self.lines[*at].number.is_some();
        // The next cell of a table may begin like the next line of this one: only as a whole does it go on for certain.
        if let Some(at) = beside.filter(|at| self.fits_whole(*at, rest)) {
            return Ok(at);
        }
        let below = others().filter(|at| {
            let s = &self.lines[*at].stretch;
            let drop = s.baseline - here.stretch.baseline;
            drop > LEVEL * size && drop < NEXT_LINE * size && s.area.left < block.right && s.area.right > block.left
        });
        let nearest = below.clone().map(|at| self.lines[at].stretch.baseline).fold(f64::INFINITY, f64::min);
        let mut next_line = below.filter(|at| self.lines[*at].stretch.baseline < nearest + LEVEL * size);
        let first_below = next_line.clone().next();
        // The lowest line of a page may be its foot, with the text going on overleaf.
        let lowest = |at: usize| {
            let foot = self.lines[at].stretch.baseline;
            page.clone().all(|other| self.lines[other].stretch.baseline < foot + LEVEL * size)
        };
        if let Some(at) = next_line.find(|at| starts(*at) == rest.first().copied() && !begins_row(at)) {
            // A folio may read like the first word overleaf: there more of the sentence stands.
            let words = |line: usize| self.lines[line].stretch.words.len();
            let overleaf = self.topmost_that_fits(self.above_rows_overleaf(here.page), rest);
            return Ok(overleaf.filter(|top| lowest(at) && words(*top) > words(at)).unwrap_or(at));
        }
        if let Some(at) = beside {
            return Ok(at);
        }
        if let Some(at) = first_below.filter(|at| !lowest(*at)) {
            return Err(starts(at).map(str::to_owned));
        }
        // The column ends here: the text goes on at the top of another column or page, where a whole line must fit.
        // What stands at the foot tops no column: it is a folio that reads like the next word.
        let columns = page.clone().filter(|at| self.left(*at) > area.left + size && !lowest(*at));
        let instead = first_below.and_then(starts).map(str::to_owned);
        let words = |line: &usize| self.lines[*line].stretch.words.len();
        let aside = self.topmost_that_fits(columns, rest);
        let overleaf = self.topmost_that_fits(self.above_rows_overleaf(here.page), rest);
        // A row's number may read like the next word, as a folio may: then the place where more words follow is meant.
        let further = |line: usize| self.follow(line, 0, rest).0;
        let overleaf_instead = overleaf
            .filter(|top| aside.is_none_or(|at| words(&at) == 1 && (words(top) > 1 || further(*top) > further(at))));
        overleaf_instead.or(aside).ok_or(instead)
    }

    /// Lines of the page after this one, above the first row that begins there: below it stands nothing of a row before.
    fn above_rows_overleaf(&self, page: usize) -> impl Iterator<Item = usize> {
        let lines = self.pages.get(&(page + 1)).cloned().unwrap_or(0..0);
        let foot = |at: usize| self.lines[at].stretch.baseline;
        let rows = lines.clone().filter(|at| self.lines[*at].number.is_some());
        let first = rows.map(foot).fold(f64::INFINITY, f64::min);
        lines.filter(move |at| foot(*at) < first)
    }

    /// The first of these lines, from top to bottom, that goes on with these words and is no more than they are.
    fn topmost_that_fits(&self, lines: impl Iterator<Item = usize>, rest: &[&str]) -> Option<usize> {
        let goes_on =
            |at: &usize| self.lines[*at].number.is_none() && self.fits_whole(*at, rest) && self.begins_line(*at);
        lines.filter(goes_on).min_by(|a, b| {
            let (x, y) = (&self.lines[*a], &self.lines[*b]);
            x.page.cmp(&y.page).then(x.stretch.baseline.total_cmp(&y.stretch.baseline))
        })
    }

    fn fits_whole(&self, line: usize, rest: &[&str]) -> bool {
        let words = &self.lines[line].stretch.words;
        let n = words.len().min(rest.len());
        n > 0 && words.iter().zip(rest).all(|(word, want)| word.letters == *want)
    }

    /// Whether nothing stands close at the left on the same line: the middle of another line is no top of a column.
    fn begins_line(&self, line: usize) -> bool {
        let here = &self.lines[line].stretch;
        let page = self.pages.get(&self.lines[line].page).cloned().unwrap_or(0..0);
        !page.filter(|at| *at != line).any(|at| {
            let other = &self.lines[at].stretch;
            let gap = here.area.left - other.area.right;
            let is_level = (other.baseline - here.baseline).abs() < LEVEL * here.size;
            is_level && gap > -0.1 * here.size && gap < SAME_LINE * here.size
        })
    }

    fn left(&self, line: usize) -> f64 {
        self.lines[line].stretch.area.left
    }
}

/// What is left of a word whose beginning stands before a hyphen.
fn divided<'a>(word: &'a str, beginning: &str) -> Option<&'a str> {
    word.strip_prefix(beginning).filter(|rest| !beginning.is_empty() && !rest.is_empty())
}

/// What a row's number is drawn as: one short word, alone, left of the row's first line and not far from it.
fn number_before(before: &Stretch, line: &Stretch) -> Option<String> {
    let [word] = before.words.as_slice() else { return None };
    // A row begins with a count. A count is followed by a name, and is no row's number.
    line.words.first().and_then(|first| whole_number(&first.letters))?;
    let gap = line.area.left - before.area.right;
    let is_level = (before.baseline - line.baseline).abs() < LEVEL * line.size;
    let is_number = word.letters.len() <= MAX_NUMBER && word.letters.ends_with(|c: char| c.is_ascii_digit());
    (is_level && is_number && (0.0..NUMBER_GAP * line.size).contains(&gap)).then(|| word.letters.clone())
}

/// Marks within a word after which a line may end, and the rest of the word begin the next one (Unicode Standard Annex 14,
/// classes BA, B2, HY, SY and EX, those that words on paper have).
const PARTS_END: [char; 9] = ['-', '/', '–', '—', '‒', '|', '!', '?', '…'];

/// Words, parted where a line may end within them as well.
pub(super) fn parts_of(text: &str) -> impl Iterator<Item = &str> {
    text.split_whitespace().flat_map(|word| word.split_inclusive(PARTS_END))
}

/// The parts of a word that was read.
fn parted(word: &Word) -> Vec<Word> {
    word.letters
        .split_inclusive(PARTS_END)
        .map(|letters| Word { letters: letters.to_owned(), ..word.clone() })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::reader::lines::Word;

    fn line(x: f64, y: f64, text: &str) -> Stretch {
        let mut pen = x;
        let mut words = Vec::new();
        for word in text.split(' ') {
            let width = 5.0 * word.len() as f64;
            let area = Bounds { left: pen, top: y - 7.0, right: pen + width, bottom: y };
            words.push(Word { letters: word.to_owned(), area });
            pen += width + 3.0;
        }
        let area = Bounds { left: x, top: y - 7.0, right: pen - 3.0, bottom: y };
        Stretch { words, area, baseline: y, size: 10.0, level: true }
    }

    fn two_pages() -> Flow {
        let mut flow = Flow::default();
        flow.add(
            1,
            vec![
                line(50.0, 100.0, "Row 1, left to right. 4 navy;"),
                line(50.0, 112.0, "leave navy waiting."),
                line(50.0, 124.0, "Row 2, right to left. 2 cream,"),
                line(300.0, 100.0, "6 navy."),
                line(300.0, 112.0, "Row 3, left to right."),
                line(50.0, 800.0, "a folio"),
            ],
        );
        flow.add(2, vec![line(50.0, 100.0, "5 navy."), line(50.0, 112.0, "Row 4.")]);
        flow
    }

    #[test]
    fn a_sentence_is_followed_over_lines_columns_and_pages() {
        let flow = two_pages();
        let whole = |s: &str| matches!(flow.find(s), SearchResult::Whole);
        assert!(whole("Row 1, left to right. 4 navy; leave navy waiting."));
        assert!(whole("Row 2, right to left. 2 cream, 6 navy."));
        assert!(whole("Row 3, left to right. 5 navy."));
    }

    #[test]
    fn the_first_word_that_differs_is_named() {
        let flow = two_pages();
        assert_eq!(
            flow.find("Row 1, left to right. 4 cream; leave navy waiting."),
            SearchResult::Part { page: 1, words: 6, instead: Some("navy;".to_owned()) }
        );
        assert_eq!(
            flow.find("Row 1, left to right. 4 navy; take up cream."),
            SearchResult::Part { page: 1, words: 7, instead: Some("leave".to_owned()) }
        );
        assert_eq!(flow.find("nothing of this"), SearchResult::Nowhere);
    }

    #[test]
    fn a_table_is_read_cell_by_cell_beside_the_head_of_its_row() {
        let mut flow = Flow::default();
        let mut add = |page: usize, words: &[(f64, f64, &str)]| {
            flow.add(page, words.iter().map(|(x, y, text)| line(*x, *y, text)).collect());
        };
        let reed = [(50.0, 100.0, "reed"), (120.0, 100.0, "30 m,"), (160.0, 100.0, "40 m,")];
        let brown = [(50.0, 112.0, "brown"), (120.0, 112.0, "1 ball"), (160.0, 112.0, "2 balls")];
        let navy = [(50.0, 130.0, "navy"), (120.0, 130.0, "50 m")];
        add(1, &[reed.as_slice(), &brown, &navy].concat());
        // On a narrow page a value stands below its name; never below one that has something beside it.
        let moss = [(50.0, 100.0, "moss"), (50.0, 112.0, "60 m")];
        let slate = [(50.0, 140.0, "slate"), (120.0, 140.0, "70 m"), (50.0, 152.0, "80 m")];
        add(2, &[moss.as_slice(), &slate].concat());
        assert!(flow.says_beside("30 m, 1 ball", "reed brown"));
        assert!(flow.says_beside("40 m, 2 balls", "reed brown"));
        assert!(!flow.says_beside("30 m, 2 balls", "reed brown"));
        assert!(!flow.says_beside("50 m", "reed brown"));
        assert!(flow.says_beside("50 m", "navy"));
        assert!(flow.says_beside("60 m", "moss"));
        assert!(flow.says_beside("70 m", "slate"));
        assert!(!flow.says_beside("80 m", "slate"));
        assert!(!flow.says_beside("80 m", "moss"));
    }

    #[test]
    fn a_neighbouring_cell_that_begins_alike_does_not_lead_astray() {
        let mut flow = Flow::default();
        let cells = [(50.0, 100.0, "navy"), (80.0, 100.0, "43 yd"), (120.0, 100.0, "52 yd"), (80.0, 112.0, "0.9 oz,")];
        let below = [(120.0, 112.0, "1 oz,"), (80.0, 124.0, "1 ball"), (120.0, 124.0, "1 ball")];
        flow.add(1, cells.into_iter().chain(below).map(|(x, y, text)| line(x, y, text)).collect());
        assert!(flow.says_beside("43 yd 0.9 oz, 1 ball", "navy"));
    }

    #[test]
    fn a_row_number_that_reads_like_the_first_word_overleaf_does_not_lead_astray() {
        let mut flow = Flow::default();
        let page = [(50.0, 700.0, "Row 3, 8 navy."), (70.0, 724.0, "4"), (50.0, 736.0, "Row 4, 2 cream,")];
        flow.add(31, page.into_iter().map(|(x, y, text)| line(x, y, text)).collect());
        flow.add(32, vec![line(50.0, 100.0, "4 navy;"), line(50.0, 112.0, "leave navy waiting.")]);
        assert_eq!(flow.find("Row 4, 2 cream, 4 navy; leave navy waiting."), SearchResult::Whole);
    }

    #[test]
    fn a_folio_that_reads_like_the_first_word_overleaf_does_not_lead_astray() {
        for (right, down) in [(100.0, 800.0), (300.0, 820.0)] {
            let mut flow = Flow::default();
            flow.add(46, vec![line(50.0, 780.0, "Take up grey:"), line(right, down, "46")]);
            flow.add(47, vec![line(50.0, 100.0, "46 grey;"), line(50.0, 112.0, "cut grey.")]);
            assert_eq!(flow.find("Take up grey: 46 grey; cut grey."), SearchResult::Whole);
        }
    }

    #[test]
    fn a_rows_end_that_is_missing_is_not_made_good_by_the_next_row() {
        let row = |page, number, first: &str, second: Option<&str>, flow: &mut Flow, top: f64| {
            let mut lines = vec![line(50.0, top, number), line(70.0, top, first)];
            lines.extend(second.map(|words| line(70.0, top + 12.0, words)));
            flow.add(page, lines);
        };
        // The next row begins with the words that row 3 should end with, overleaf and on the same page.
        let sentence = "8 navy, 2 cream, 4 navy.";
        let mut flow = Flow::default();
        row(1, "31", "8 navy, 2 cream,", None, &mut flow, 700.0);
        row(2, "32", "4 navy. 1", None, &mut flow, 100.0);
        let ends = SearchResult::Part { page: 1, words: 4, instead: None };
        assert_eq!(flow.find_numbered(sentence, "31"), ends);
        let mut flow = Flow::default();
        let lines =
            [(50.0, 100.0, "31"), (70.0, 100.0, "8 navy, 2 cream,"), (50.0, 112.0, "32"), (70.0, 112.0, "4 navy.")];
        flow.add(1, lines.into_iter().map(|(x, y, text)| line(x, y, text)).collect());
        assert!(matches!(flow.find_numbered(sentence, "31"), SearchResult::Part { page: 1, words: 4, .. }));
        // With its end it is whole, but only beside its own number.
        let mut flow = Flow::default();
        row(1, "31", "8 navy, 2 cream,", Some("4 navy."), &mut flow, 700.0);
        row(2, "32", "4 navy.", None, &mut flow, 100.0);
        assert_eq!(flow.find_numbered(sentence, "31"), SearchResult::Whole);
        assert!(matches!(flow.find_numbered(sentence, "32"), SearchResult::Part { .. } | SearchResult::Whole));
        assert!(!matches!(flow.find_numbered("4 navy. 8 cream", "32"), SearchResult::Whole));
    }

    #[test]
    fn a_name_goes_on_in_the_next_line_after_a_stroke_or_a_dash() {
        let mut flow = Flow::default();
        flow.add(
            1,
            vec![
                line(50.0, 100.0, "4 rust/brown, 2 moss–"),
                line(50.0, 112.0, "sage, 3 rust/"),
                line(50.0, 124.0, "brown."),
            ],
        );
        assert_eq!(flow.find("4 rust/brown, 2 moss–sage, 3 rust/brown."), SearchResult::Whole);
        assert!(!matches!(flow.find("4 rust/brown, 2 moss–sage, 3 rust/blue."), SearchResult::Whole));
    }

    #[test]
    fn overleaf_only_the_column_in_which_a_text_goes_on_counts() {
        // A text as wide as the page goes on overleaf in the right-hand column; beside it stands another.
        let mut flow = Flow::default();
        flow.add(1, vec![line(50.0, 780.0, "Row 7, left to right, from the second stretch of the row: 2 cream,")]);
        flow.add(
            2,
            vec![line(300.0, 100.0, "4 navy; take"), line(50.0, 106.0, "elsewhere"), line(300.0, 112.0, "up cream.")],
        );
        let sentence = "Row 7, left to right, from the second stretch of the row: 2 cream, 4 navy; take up cream.";
        assert_eq!(flow.find(sentence), SearchResult::Whole);
    }

    #[test]
    fn words_of_another_paragraph_do_not_help() {
        // The rest of the sentence does stand on the page, but not where the text goes on.
        let flow = two_pages();
        assert!(!matches!(flow.find("Row 1, left to right. 4 navy; 6 navy."), SearchResult::Whole));
    }

    /// Whether a sentence is whole whose rest stands so far right of its first line's end, 100, and so far below it; ten points
    /// are the size.
    fn goes_on(right: f64, down: f64) -> bool {
        let mut flow = Flow::default();
        // Three letters of five points.
        flow.add(1, vec![line(85.0, 100.0, "one"), line(100.0 + right, 100.0 + down, "two three")]);
        flow.find("one two three") == SearchResult::Whole
    }

    #[test]
    fn a_text_goes_on_close_beside_its_line_or_on_the_next_one() {
        // Own computation: beside it from a tenth of the size before its end to three sizes after it.
        assert!(goes_on(-0.9, 0.0) && goes_on(29.9, 0.0) && !goes_on(-1.1, 0.0));
        assert!(goes_on(10.0, 2.9) && goes_on(10.0, -2.9) && !goes_on(10.0, 3.1));
        // Below it no farther than 2.2 sizes, where both share some of their width.
        assert!(goes_on(-15.0, 3.1) && goes_on(-15.0, 21.9) && !goes_on(-15.0, 22.1) && !goes_on(-15.0, -12.0));
        assert!(goes_on(-0.1, 12.0) && goes_on(-57.9, 12.0) && !goes_on(-58.1, 12.0));
    }

    #[test]
    fn of_what_lies_below_only_the_next_line_counts() {
        let found = |lines: &[(f64, f64, &str)]| {
            let mut flow = Flow::default();
            flow.add(1, lines.iter().map(|(x, y, text)| line(*x, *y, text)).collect());
            flow.find("one two three four")
        };
        let whole = SearchResult::Whole;
        let instead = |words: usize, word: &str| SearchResult::Part { page: 1, words, instead: Some(word.to_owned()) };
        assert_eq!(found(&[(50.0, 100.0, "one two"), (50.0, 110.0, "three four")]), whole);
        assert_eq!(
            found(&[(50.0, 100.0, "one two"), (50.0, 110.0, "else"), (50.0, 120.0, "three four")]),
            instead(2, "else")
        );
        // Two columns that lie below a wide line: the one that goes on with the words.
        let wide = "one two";
        assert_eq!(found(&[(50.0, 100.0, wide), (50.0, 110.0, "x"), (60.0, 112.9, "three four")]), whole);
        assert_eq!(found(&[(50.0, 100.0, wide), (50.0, 110.0, "x"), (60.0, 113.1, "three four")]), instead(2, "x"));
    }

    #[test]
    fn a_number_alone_close_before_a_line_that_begins_with_a_count_is_a_rows() {
        let number = |left: f64, baseline: f64, number: &str, first: &str| {
            number_before(&line(left, baseline, number), &line(100.0, 100.0, first))
        };
        let twelve = Some("12".to_owned());
        assert_eq!(number(80.0, 100.0, "12", "4 navy"), twelve);
        // Own computation: it ends at most 40 points before the line, and not behind its beginning.
        assert_eq!((number(90.0, 100.0, "12", "4 navy"), number(90.1, 100.0, "12", "4 navy")), (twelve.clone(), None));
        assert_eq!((number(50.1, 100.0, "12", "4 navy"), number(50.0, 100.0, "12", "4 navy")), (twelve.clone(), None));
        for (by, is_level) in [(2.9, true), (3.1, false)] {
            assert_eq!(number(80.0, 100.0 + by, "12", "4 navy").is_some(), is_level);
            assert_eq!(number(80.0, 100.0 - by, "12", "4 navy").is_some(), is_level);
        }
        // Five letters at most, the last a digit.
        assert_eq!(number(70.0, 100.0, "H1234", "4 navy"), Some("H1234".to_owned()));
        assert_eq!(number(65.0, 100.0, "H12345", "4 navy"), None);
        assert_eq!((number(80.0, 100.0, "1a", "4 navy"), number(80.0, 100.0, "a", "4 navy")), (None, None));
        // Two words are no number, and a line that begins with a word is no row.
        assert_eq!((number(60.0, 100.0, "1 12", "4 navy"), number(80.0, 100.0, "12", "navy 4")), (None, None));
    }

    #[test]
    fn numbers_on_a_chart_sheet_are_no_rows() {
        let row = || vec![line(80.0, 100.0, "12"), line(100.0, 100.0, "4 navy"), line(100.0, 112.0, "2 cream.")];
        let mut flow = Flow::default();
        flow.add(1, row());
        flow.add(2, row());
        assert_eq!(flow.lines.iter().filter(|line| line.number.is_some()).count(), 2);
        flow.mark_as_sheet(1);
        let numbered: Vec<usize> =
            flow.lines.iter().filter(|line| line.number.is_some()).map(|line| line.page).collect();
        assert_eq!(numbered, [2]);
        assert!(flow.says_on(1, "4 navy 2 cream.") && flow.says_on(2, "4 navy") && !flow.says_on(3, "4 navy"));
    }

    #[test]
    fn a_value_stands_on_the_line_of_its_name_or_alone_right_below_it() {
        let beside = |lines: &[(f64, f64, &str)]| {
            let mut flow = Flow::default();
            flow.add(1, lines.iter().map(|(x, y, text)| line(*x, *y, text)).collect());
            flow.says_beside("37 m", "navy blue")
        };
        let name = (50.0, 100.0, "navy blue");
        for (down, is_beside) in [(0.0, true), (2.9, true), (-2.9, true), (-3.1, false), (-12.0, false)] {
            assert_eq!(beside(&[name, (200.0, 100.0 + down, "37 m")]), is_beside, "{down}");
        }
        // Below: less than 2.2 sizes, and less than a size to either side.
        for (right, down, is_below) in
            [(0.0, 12.0, true), (9.9, 12.0, true), (-9.9, 12.0, true), (10.1, 12.0, false), (-10.1, 12.0, false)]
        {
            assert_eq!(beside(&[name, (50.0 + right, 100.0 + down, "37 m")]), is_below, "{right} {down}");
        }
        assert!(beside(&[name, (50.0, 121.9, "37 m")]) && !beside(&[name, (50.0, 122.1, "37 m")]));
        // Not where the name has more words, or something beside it.
        assert!(!beside(&[(50.0, 100.0, "navy blue wool"), (50.0, 112.0, "37 m")]));
        assert!(!beside(&[name, (300.0, 100.0, "a note"), (50.0, 112.0, "37 m")]));
        let mut flow = Flow::default();
        flow.add(1, vec![line(50.0, 100.0, "navy blue")]);
        flow.add(2, vec![line(120.0, 100.0, "37 m")]);
        assert!(!flow.says_beside("37 m", "navy blue") && flow.says_beside("37 m", ""));
    }

    #[test]
    fn a_column_is_topped_by_a_line_that_nothing_stands_close_before() {
        // The text goes on overleaf in the right-hand column; between stands this, so far before it.
        let overleaf = |gap: f64, down: f64| {
            let mut flow = Flow::default();
            flow.add(1, vec![line(50.0, 700.0, "one two")]);
            let other = line(300.0 - gap - 25.0, 100.0 + down, "other");
            let mut lines = vec![other, line(300.0, 100.0, "three"), line(300.0, 112.0, "four.")];
            lines.sort_by(|a, b| a.baseline.total_cmp(&b.baseline));
            flow.add(2, lines);
            flow.find("one two three four.") == SearchResult::Whole
        };
        assert!(overleaf(30.1, 0.0) && !overleaf(29.9, 0.0) && !overleaf(-0.9, 0.0) && overleaf(-1.1, 0.0));
        assert!(!overleaf(10.0, 2.9) && overleaf(10.0, 3.1) && !overleaf(10.0, -2.9) && overleaf(10.0, -3.1));
    }

    #[test]
    fn a_word_that_the_end_of_a_line_divides_goes_on_in_the_next_one() {
        let whole = |first: &str, second: &str| {
            let mut flow = Flow::default();
            flow.add(1, vec![line(50.0, 100.0, first), line(50.0, 112.0, second)]);
            flow.find("leave navy waiting.") == SearchResult::Whole
        };
        assert!(whole("leave na-", "vy waiting.") && whole("leave navy wait-", "ing."));
        assert!(!whole("leave na-", "ve waiting.") && !whole("leave na- vy", "waiting."));
        // A dash alone divides nothing, nor does one after a whole word.
        assert!(!whole("leave -", "navy waiting.") && !whole("leave navy-", "waiting."));
    }

    #[test]
    fn a_column_is_as_wide_as_its_text_was_so_far() {
        let whole = |lines: &[(f64, f64, &str)]| {
            let mut flow = Flow::default();
            flow.add(1, lines.iter().map(|(x, y, text)| line(*x, *y, text)).collect());
            flow.find("one two three four five six") == SearchResult::Whole
        };
        // The second line is short, and the third stands right or left of it, under the first.
        assert!(whole(&[(50.0, 100.0, "one two three"), (50.0, 112.0, "four"), (90.0, 124.0, "five six")]));
        assert!(whole(&[(50.0, 100.0, "one two three four"), (110.0, 112.0, "five"), (50.0, 124.0, "six")]));
        assert!(!whole(&[(50.0, 100.0, "one two three"), (50.0, 112.0, "four"), (115.0, 124.0, "five six")]));
    }

    #[test]
    fn a_lone_word_that_tops_both_a_column_and_the_page_overleaf_is_the_one_after_which_more_follows() {
        let whole = |aside: &str, overleaf: &str| {
            let mut flow = Flow::default();
            flow.add(1, vec![line(300.0, 100.0, "three"), line(300.0, 112.0, aside), line(50.0, 700.0, "one two")]);
            flow.add(2, vec![line(50.0, 100.0, "three"), line(50.0, 112.0, overleaf)]);
            flow.find("one two three four") == SearchResult::Whole
        };
        assert!(whole("four", "other") && whole("other", "four") && !whole("other", "other"));
    }
}

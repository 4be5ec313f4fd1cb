//! Words by their place: pages without what stands on all of them, sections by their titles, paragraphs, tables by their
//! rules.

use super::ink::{Page, Rule, Word};

/// A line of a table or a paragraph ends and the next begins.
const SPACE: &str = " ";

/// A booklet laid open.
pub struct OpenBooklet {
    pages: Vec<Page>,
}

/// A section: its words on each of its pages.
#[derive(Debug)]
pub struct Section {
    pages: Vec<Page>,
}

/// A row of a list.
#[derive(Clone, Debug)]
pub struct ListRow {
    /// What stands at its left.
    pub number: String,
    /// Which way the arrow beside that points.
    pub rightwards: bool,
    /// Its words.
    pub words: String,
    /// Lines they take.
    pub lines: usize,
}

/// Words of one line.
type Line<'a> = &'a [Word];

fn lines(page: &Page) -> impl Iterator<Item = Line<'_>> {
    page.words.chunk_by(|a, b| a.base == b.base)
}

fn said(words: &[&Word]) -> String {
    words.iter().map(|word| word.text.as_str()).collect::<Vec<_>>().join(SPACE)
}

fn line_said(line: Line) -> String {
    said(&line.iter().collect::<Vec<_>>())
}

/// Words of several lines as running text: a word that was parted at its own hyphen is whole again.
fn running(words: &[&Word]) -> String {
    let mut text = String::new();
    let mut before: Option<&Word> = None;
    for word in words {
        if before.is_some_and(|b| b.base == word.base || !b.text.ends_with('-')) {
            text.push_str(SPACE);
        }
        text.push_str(&word.text);
        before = Some(word);
    }
    text
}

impl OpenBooklet {
    /// Without running heads, feet and folios: the first and last lines that say on most pages the same, numbers apart.
    pub fn new(pages: Vec<Page>) -> OpenBooklet {
        let wordless = |text: String| text.replace(|c: char| c.is_ascii_digit(), "").trim().to_owned();
        let most_common = |of: &dyn Fn(&Page) -> Option<String>| {
            let mut all: Vec<String> = pages.iter().filter_map(of).collect();
            all.sort();
            all.chunk_by(|a, b| a == b).max_by_key(|same| same.len()).map(|same| same[0].clone()).unwrap_or_default()
        };
        let head = most_common(&|page| lines(page).next().map(line_said));
        let foot = most_common(&|page| lines(page).last().map(|line| wordless(line_said(line))));
        let pages = pages
            .iter()
            .map(|page| {
                let all: Vec<Line> = lines(page).collect();
                let mut kept = all.as_slice();
                if kept.first().is_some_and(|line| line_said(line) == head) {
                    kept = &kept[1..];
                }
                if kept.last().is_some_and(|line| wordless(line_said(line)) == foot) {
                    kept = &kept[..kept.len() - 1];
                }
                Page { words: kept.concat(), rules: page.rules.clone(), arrows: page.arrows.clone(), ..Page::default() }
            })
            .collect();
        OpenBooklet { pages }
    }

    /// The section with this title: from the title, in large letters, to the next one.
    pub fn section(&self, title: &str) -> Section {
        const LARGE: f64 = 20.0;
        let mut found: Option<Vec<Page>> = None;
        for page in &self.pages {
            let titles: Vec<(f64, String)> =
                lines(page).filter(|line| line[0].size >= LARGE).map(|line| (line[0].base, line_said(line))).collect();
            let part = |from: f64, to: f64| {
                let words: Vec<Word> = page.words.iter().filter(|w| w.base > from && w.base < to).cloned().collect();
                // The rule over the next title lies far below the last word.
                let end = words.last().map_or(to, |w| to.min(w.base + 2.0 * w.size));
                let rules = page.rules.iter().filter(|r| r.base > from && r.base < end).copied().collect();
                let arrows = page.arrows.iter().filter(|a| a.base > from && a.base < end).copied().collect();
                Page { words, rules, arrows, ..Page::default() }
            };
            let start = titles.iter().position(|(_, words)| words == title);
            match (&mut found, start) {
                (None, Some(at)) => {
                    let to = titles.get(at + 1).map_or(f64::MAX, |next| next.0);
                    found = Some(vec![part(titles[at].0, to)]);
                    if to < f64::MAX {
                        break;
                    }
                }
                (Some(pages), _) => {
                    let to = titles.first().map_or(f64::MAX, |next| next.0);
                    pages.push(part(0.0, to));
                    if to < f64::MAX {
                        break;
                    }
                }
                (None, None) => {}
            }
        }
        Section { pages: found.unwrap_or_else(|| panic!("no section is called {title:?}")) }
    }
}

impl Section {
    /// Running text of so many lines, from the first line (or from where in it) `opens` says yes. What stands further left
    /// than that is left out.
    pub fn paragraph(&self, opens: &dyn Fn(&str) -> bool, most: usize) -> String {
        let mut words: Vec<&Word> = Vec::new();
        let mut left = None;
        let mut count = 0;
        for line in self.pages.iter().flat_map(lines) {
            let from = match left {
                None => {
                    let Some(at) = (0..line.len()).rev().find(|at| opens(&line_said(&line[*at..]))) else {
                        continue;
                    };
                    left = Some(line[at].left);
                    at
                }
                Some(left) => line.iter().position(|w| w.left >= left - 0.5).unwrap_or(line.len()),
            };
            words.extend(&line[from..]);
            count += 1;
            if count == most {
                break;
            }
        }
        assert!(left.is_some(), "no line opens the paragraph");
        running(&words)
    }

    /// All its words in the order of their lines.
    pub fn whole(&self) -> String {
        let words: Vec<&Word> = self.pages.iter().flat_map(lines).flatten().collect();
        running(&words)
    }

    /// On how many pages it stands.
    pub fn pages(&self) -> usize {
        self.pages.iter().filter(|page| !page.words.is_empty()).count()
    }

    /// Rows of a list: what stands at the left of each (its number), the arrow beside that, and the words, whose lines begin
    /// one below the other.
    pub fn rows(&self, is_number: &dyn Fn(&str) -> bool) -> Vec<ListRow> {
        let mut out: Vec<(String, bool, Vec<&Word>, usize)> = Vec::new();
        for page in &self.pages {
            // Where the words begin on this page, and how large they are.
            let mut column = None;
            for line in lines(page) {
                let arrow = |number: &Word, words: &Word| {
                    page.arrows.iter().find(|a| {
                        a.left >= number.right && a.right <= words.left && (a.base - number.base).abs() < number.size
                    })
                };
                // A title may stand in the margin beside the first row below it.
                let begins = line.windows(2).enumerate().find_map(|(at, pair)| {
                    is_number(&pair[0].text).then(|| arrow(&pair[0], &pair[1])).flatten().map(|arrow| (at, arrow))
                });
                if let Some((at, arrow)) = begins {
                    let (number, words) = (&line[at], &line[at + 1..]);
                    column = Some((words[0].left, words[0].size));
                    out.push((number.text.clone(), arrow.rightwards, words.iter().collect(), 1));
                } else if let Some((left, size)) = column
                    && line.first().is_some_and(|w| (w.left - left).abs() < 0.5 && (w.size - size).abs() < 0.1)
                    && let Some(open) = out.last_mut()
                {
                    open.2.extend(line);
                    open.3 += 1;
                }
            }
        }
        let row = |(number, rightwards, words, lines): (String, bool, Vec<&Word>, usize)| ListRow {
            number,
            rightwards,
            words: running(&words),
            lines,
        };
        out.into_iter().map(row).collect()
    }

    /// The table below this caption, without its head: cells row by row. Rows end at rules; columns are parted by a gap
    /// that is empty from top to bottom. A table that goes on over the page has its head again, at the top.
    pub fn table(&self, caption: &str) -> Vec<Vec<String>> {
        self.read_table(caption, false)
    }

    /// The same with the row of its heads before it.
    pub fn table_with_head(&self, caption: &str) -> Vec<Vec<String>> {
        self.read_table(caption, true)
    }

    fn read_table(&self, caption: &str, with_head: bool) -> Vec<Vec<String>> {
        /// Columns stand further apart than words.
        const GAP: f64 = 6.0;
        let mut body: Vec<Vec<&Word>> = Vec::new();
        let mut head: Option<(Rule, String)> = None;
        for page in &self.pages {
            let from = match &head {
                None => match lines(page).find(|line| line_said(line) == caption) {
                    Some(line) => line[0].base,
                    None => continue,
                },
                Some(_) => 0.0,
            };
            let below: Vec<Rule> = page.rules.iter().filter(|r| r.base > from).copied().collect();
            let Some(under_head) = below.first() else { break };
            let same = |r: &&Rule| (r.left - under_head.left).abs() < 0.1 && (r.right - under_head.right).abs() < 0.1;
            // A title in the margin beside the table is none of its words.
            let beside = |w: &Word| w.right < under_head.left;
            let within = |top: f64, bottom: f64| -> Vec<&Word> {
                page.words.iter().filter(|w| w.base > top && w.base < bottom && !beside(w)).collect()
            };
            let heads = within(from, under_head.base);
            let words = said(&heads);
            match &head {
                None => {
                    head = Some((*under_head, words));
                    body.extend(with_head.then_some(heads));
                }
                Some((first, same_words)) => {
                    if !same(&first) || words != *same_words {
                        break;
                    }
                }
            }
            let mut top = under_head.base;
            for rule in below.iter().skip(1).take_while(|r| same(r) && r.thick < under_head.thick - 0.01) {
                body.push(within(top, rule.base));
                top = rule.base;
            }
            // It goes on over the page only where nothing stands below it.
            if page.words.iter().any(|w| w.base > top) {
                break;
            }
        }
        assert!(body.len() > usize::from(with_head), "no table has the caption {caption:?}");
        let mut spans: Vec<(f64, f64)> = body.iter().flatten().map(|w| (w.left, w.right)).collect();
        spans.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut columns: Vec<(f64, f64)> = Vec::new();
        for (left, right) in spans {
            match columns.last_mut() {
                Some(column) if left - column.1 < GAP => column.1 = column.1.max(right),
                _ => columns.push((left, right)),
            }
        }
        let cell = |row: &Vec<&Word>, (left, right): (f64, f64)| {
            let words: Vec<&Word> = row.iter().copied().filter(|w| w.left >= left && w.right <= right).collect();
            running(&words)
        };
        body.iter().map(|row| columns.iter().map(|column| cell(row, *column)).collect()).collect()
    }
}

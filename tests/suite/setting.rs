//! What good setting forbids, read off the display list: text that leaves its frame, text on other text, words cut without
//! a hyphen.

use hitchpress::geom::{Length, Rect};
use hitchpress::page::{Booklet, Item, Mark, TextRun};

fn width(run: &TextRun) -> Length {
    run.glyphs.iter().map(|g| g.advance).sum()
}

/// Text that leaves its frame, as (page, text).
pub fn strays(booklet: &Booklet) -> Vec<String> {
    let mut out = Vec::new();
    for (number, page) in booklet.pages.iter().enumerate() {
        for frame in &page.frames {
            for placed in &frame.items {
                let Item::Text(run) = &placed.item else { continue };
                // From x-height to baseline: ascenders of the first line may rise into the leading.
                let area = Rect::new(run.origin.x, run.origin.y - run.size * 0.5, width(run), run.size * 0.5);
                if !frame.area.holds(area) && !run.text.trim().is_empty() {
                    out.push(format!("page {}, frame {}: {:?}", number + 1, frame.name, run.text));
                }
            }
        }
    }
    out
}

/// Text that lies on other text, as a sentence for each pair.
pub fn overlaps(booklet: &Booklet) -> Vec<String> {
    let mut out = Vec::new();
    for (number, page) in booklet.pages.iter().enumerate() {
        let runs: Vec<(Rect, &str)> = page
            .frames
            .iter()
            .flat_map(|f| &f.items)
            .filter_map(|placed| match &placed.item {
                Item::Text(run) if !run.text.trim().is_empty() => {
                    // The middle half of the x-height: what overlaps there cannot be read.
                    let top = run.origin.y - run.size * 0.38;
                    let area =
                        Rect::new(run.origin.x + Length::pt(0.6), top, width(run) - Length::pt(1.2), run.size * 0.25);
                    Some((area, run.text.as_str()))
                }
                _ => None,
            })
            .collect();
        for (i, (a, first)) in runs.iter().enumerate() {
            for (b, second) in &runs[i + 1..] {
                let apart =
                    a.right() <= b.left() || b.right() <= a.left() || a.bottom() <= b.top() || b.bottom() <= a.top();
                if !apart {
                    out.push(format!("page {}: {first:?} lies on {second:?}", number + 1));
                }
            }
        }
    }
    out
}

/// Words that a line end cuts without a hyphen, because they are longer than their measure: the two parts. Runs of one
/// structure node that follow each other on different lines are taken as one text.
pub fn cuts(booklet: &Booklet) -> Vec<String> {
    let mut out = Vec::new();
    for (number, page) in booklet.pages.iter().enumerate() {
        for frame in &page.frames {
            let mut before: Option<(Mark, &TextRun)> = None;
            for placed in &frame.items {
                let Item::Text(run) = &placed.item else { continue };
                if let Some((mark, last)) = before
                    && mark == placed.mark
                    && last.origin.y < run.origin.y
                    // The next line of the same paragraph, not the next paragraph.
                    && run.origin.y - last.origin.y < run.size * 1.5
                    && last.text.chars().next_back().is_some_and(char::is_alphabetic)
                    && run.text.chars().next().is_some_and(char::is_lowercase)
                {
                    out.push(format!("page {}: {:?} {:?}", number + 1, last.text, run.text));
                }
                before = Some((placed.mark, run));
            }
        }
    }
    out
}

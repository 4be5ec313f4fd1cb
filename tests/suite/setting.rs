//! What good setting forbids, read off the display list: text that leaves its frame, text on other text, words cut without
//! a hyphen.

use hitchpress::catalogue::FrameName;
use hitchpress::geom::{Length, Rect};
use hitchpress::page::{Booklet, Item, Mark, NodeId, Page, Role, TextRun};

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
                    // Words beside lines to type into are no content, and each is a text of its own.
                    && matches!(mark, Mark::Node(_))
                    && last.origin.y < run.origin.y
                    // The next line of the same paragraph, not the next paragraph.
                    && run.origin.y - last.origin.y < run.size * 1.5
                    // It begins somewhere below it: one label of a drawing beside another is not its next line.
                    && run.origin.x < last.origin.x + width(last)
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

/// Headings that a page's foot parts from what follows them: fewer than two lines of it, or no drawing, stand on their page.
pub fn lonely_headings(booklet: &Booklet) -> Vec<String> {
    let structure = &booklet.structure;
    let section = |mut node: NodeId| loop {
        let here = structure.get(node);
        match here.parent {
            Some(parent) if here.role != Role::Section => node = parent,
            _ => break node,
        }
    };
    // The first words of each page that are no furniture.
    let begins = |page: &Page| {
        let items = page.frames.iter().filter(|frame| frame.name == FrameName::Text).flat_map(|frame| &frame.items);
        items
            .filter_map(|placed| match placed.mark {
                Mark::Node(node) => Some(node),
                Mark::Artifact(_) => None,
            })
            .next()
    };
    let mut out = Vec::new();
    for (number, page) in booklet.pages.iter().enumerate() {
        let next = booklet.pages.get(number + 1).and_then(begins).map(section);
        for frame in page.frames.iter().filter(|frame| frame.name == FrameName::Text) {
            for (at, placed) in frame.items.iter().enumerate() {
                let (Mark::Node(node), Item::Text(run)) = (placed.mark, &placed.item) else { continue };
                let first = !frame.items[..at].iter().any(|before| before.mark == placed.mark);
                if !first || !matches!(structure.get(node).role, Role::Heading(_)) || next != Some(section(node)) {
                    continue;
                }
                let mut lines = std::collections::BTreeSet::new();
                let mut drawn = false;
                for after in &frame.items[at + 1..] {
                    match (&after.item, after.mark) {
                        (Item::Text(text), Mark::Node(of))
                            if !matches!(structure.get(of).role, Role::Heading(_))
                                && text.origin.y > run.origin.y - run.size =>
                        {
                            lines.insert((text.origin.y.to_pt() * 2.0).round() as i64);
                        }
                        (Item::Picture(_) | Item::Cells(_) | Item::Shape(_) | Item::Drawing(_), Mark::Node(_)) => {
                            drawn = true;
                        }
                        _ => {}
                    }
                }
                if lines.len() < 2 && !drawn {
                    out.push(format!("page {}: {:?} has {} lines below it", number + 1, run.text, lines.len()));
                }
            }
        }
    }
    out
}

/// Paragraphs that a page's end parts so that one of their lines stands alone.
pub fn lonely_lines(booklet: &Booklet) -> Vec<String> {
    use std::collections::{BTreeMap, BTreeSet};
    let mut out = Vec::new();
    // Lines of each paragraph, page by page.
    let mut lines: BTreeMap<usize, BTreeMap<usize, BTreeSet<i64>>> = BTreeMap::new();
    let mut words: BTreeMap<usize, &str> = BTreeMap::new();
    for (number, page) in booklet.pages.iter().enumerate() {
        for placed in page.frames.iter().filter(|frame| frame.name == FrameName::Text).flat_map(|frame| &frame.items) {
            let (Mark::Node(node), Item::Text(run)) = (placed.mark, &placed.item) else { continue };
            if matches!(booklet.structure.get(node).role, Role::Paragraph | Role::ListBody) {
                let line = (run.origin.y.to_pt() * 2.0).round() as i64;
                lines.entry(node.0).or_default().entry(number).or_default().insert(line);
                words.entry(node.0).or_insert(&run.text);
            }
        }
    }
    for (node, pages) in lines.iter().filter(|(_, pages)| pages.len() > 1) {
        let alone = pages.iter().filter(|(_, lines)| lines.len() == 1);
        out.extend(alone.map(|(page, _)| format!("page {}: a line alone of {:?}", page + 1, words[node])));
    }
    out
}

//! Pages to write on: they fill a booklet up to whole folded sheets.

use super::colours::Colours;
use super::draw;
use super::setter::Setter;
use crate::catalogue::{FrameName, StyleName};
use crate::edition::Edition;
use crate::geom::{Length, Point, Rect};
use crate::manuscript::{Furniture, Inline};
use crate::page::{Frame, Mark, OutlineEntry, Page, PlacedItem, Role, Structure};

/// From line to line: as paper for ordinary writing is ruled (common practice, no source).
const LINE: Length = Length::mm(8.0);
/// Thickness of a line.
const RULE: Length = Length::pt(0.4);
/// Between a section's rule and its title, as everywhere else in the booklet.
const ABOVE_TITLE: Length = Length::pt(8.0);
/// Pages of a folded sheet.
const FOLDED: usize = 4;

/// What note pages are set with.
pub(crate) struct NotePages<'a> {
    /// Sets their words.
    pub(crate) setter: &'a Setter<'a>,
    /// The edition.
    pub(crate) edition: &'a Edition,
    /// Its colours.
    pub(crate) colours: Colours,
    /// Their words.
    pub(crate) furniture: &'a Furniture,
}

impl NotePages<'_> {
    /// Adds what is missing to a whole number of folded sheets, from none to three pages. The first has a title and a
    /// sentence that says what they are for; all of them have lines. `area` gives the text area of a page.
    pub(crate) fn fill_up(
        &self,
        pages: &mut Vec<Page>,
        outline: &mut Vec<OutlineEntry>,
        structure: &mut Structure,
        area: impl Fn(usize) -> Rect,
    ) {
        let Some(trim) = pages.last().map(|page| page.trim) else { return };
        let from = pages.len();
        for number in from..from.next_multiple_of(FOLDED) {
            let mut area = area(number);
            // Where sheets lie on their side, so do these.
            area.size.width = area.size.width + trim.width - self.edition.paper.size.width;
            area.size.height = area.size.height + trim.height - self.edition.paper.size.height;
            let mut items = Vec::new();
            let mut y = area.top();
            if number == from {
                outline.push(OutlineEntry { level: 1, title: self.furniture.notes.clone(), page: number, y });
                y = self.head(area, structure, &mut items);
            }
            self.lines(area, y, &mut items);
            pages.push(Page {
                trim,
                bleed: Length::ZERO,
                label: (number + 1).to_string(),
                frames: vec![Frame { name: FrameName::Text, area, items }],
            });
        }
    }

    /// Rule, title and sentence; says where they end.
    fn head(&self, area: Rect, structure: &mut Structure, items: &mut Vec<PlacedItem>) -> Length {
        let section = structure.add(Role::Section, structure.root());
        let rule = self.edition.look.section_rule;
        let mut y = area.top();
        if rule > Length::ZERO {
            let at = y + rule / 2.0;
            let (from, to) = (Point::new(area.left(), at), Point::new(area.right(), at));
            items.push(draw::shape(draw::LAYOUT, draw::rule(from, to, self.colours.accent, rule)));
        }
        y += ABOVE_TITLE;
        for (style, words, role) in [
            (StyleName::Heading1, &self.furniture.notes, Role::Heading(2)),
            (StyleName::Note, &self.furniture.notes_use, Role::Paragraph),
        ] {
            let node = structure.add(role, Some(section));
            let set = self.setter.style(style).clone();
            for line in self.setter.paragraph(style, &vec![Inline::Plain(words.clone())], area.size.width) {
                let at = Point::new(area.left(), y + self.setter.baseline(&set));
                line.place(at, Mark::Node(node), items);
                y += set.leading;
            }
            y += set.after;
        }
        y
    }

    fn lines(&self, area: Rect, from: Length, items: &mut Vec<PlacedItem>) {
        let mut y = from + LINE;
        while y.fits(area.bottom()) {
            let ends = (Point::new(area.left(), y), Point::new(area.right(), y));
            items.push(draw::shape(draw::LAYOUT, draw::rule(ends.0, ends.1, self.colours.rule, RULE)));
            y += LINE;
        }
    }
}

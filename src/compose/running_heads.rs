//! Running heads and folios of all pages, and the small ruler in the foot line of chart sheets.

use super::draw;
use super::setter::{SetLine, Setter};
use super::text_area::is_left;
use crate::catalogue::{FrameName, SectionName, StyleName};
use crate::edition::{Edition, Ink};
use crate::geom::{Length, Point, Rect, Size};
use crate::manuscript::Furniture;
use crate::markup::filled;
use crate::page::{Artifact, Frame, Mark, NodeId, Page, PlacedItem};

/// Running heads and folios: the folio at the outer edge. The cover has neither. Where no cover says the title, the head of
/// the first page is its `heading`, whatever the layout says of heads.
pub(crate) fn furnish(
    pages: &mut [Page],
    edition: &Edition,
    setter: &Setter,
    furniture: &Furniture,
    heading: Option<NodeId>,
) {
    let count = pages.len();
    for (number, page) in pages.iter_mut().enumerate() {
        let cover = number == 0 && count > 1 && edition.sections.first().is_some_and(|s| *s == SectionName::Cover);
        if cover {
            continue;
        }
        let on_sheet = page.frames.first().is_some_and(|f| f.name == FrameName::Chart);
        let Size { width, height } = page.trim;
        let mirrored = is_left(edition, number);
        let (left, right) = match (on_sheet, mirrored) {
            (true, _) => (edition.paper.chart_margin, width - edition.paper.chart_margin),
            (false, false) => (edition.paper.inner, width - edition.paper.outer),
            (false, true) => (edition.paper.outer, width - edition.paper.inner),
        };
        let place = |line: SetLine, near: bool, y: Length, mark: Mark, items: &mut Vec<PlacedItem>| {
            let x = if near != mirrored { left } else { right - line.width };
            line.place(Point::new(x, y), mark, items);
        };
        let heading = heading.filter(|_| number == 0);
        if edition.running_head || heading.is_some() {
            let y = match on_sheet {
                true => edition.paper.chart_margin + Length::pt(1.5),
                false => edition.paper.top - Length::mm(8.0).min(edition.paper.top * 0.5),
            };
            let mark = Mark::Artifact(Artifact::Header);
            let mut items = Vec::new();
            let title = setter.line_within(StyleName::Head, &furniture.head, right - left);
            let side = setter.line(StyleName::Head, &furniture.head_side);
            let both = title.width + side.width + Length::mm(6.0);
            place(title, true, y, heading.map_or(mark, Mark::Node), &mut items);
            if edition.running_head && both.fits(right - left) {
                place(side, false, y, mark, &mut items);
            }
            let area = Rect::new(left, y - Length::mm(4.0), right - left, Length::mm(6.0));
            let frame = Frame { name: FrameName::Head, area, items };
            // A heading is drawn where it is read.
            page.frames.insert(if heading.is_some() { 0 } else { page.frames.len() }, frame);
        }
        if edition.folio {
            let y = match on_sheet {
                true => height - edition.paper.chart_margin + Length::pt(1.0),
                false => height - edition.paper.bottom + Length::mm(10.0).min(edition.paper.bottom * 0.6),
            };
            let mark = Mark::Artifact(Artifact::Footer);
            let mut items = Vec::new();
            let values = [("page", page.label.clone()), ("pages", count.to_string())];
            let folio = setter.line(StyleName::Folio, &filled(&furniture.folio, &values));
            let foot = setter.line(StyleName::Head, &furniture.foot);
            let both = folio.width + foot.width + Length::mm(6.0);
            let folio_width = folio.width;
            place(folio, false, y, mark, &mut items);
            let mut free = if mirrored { (left + folio_width, right) } else { (left, right - folio_width) };
            if both.fits(right - left) {
                let foot_width = foot.width;
                place(foot, true, y, mark, &mut items);
                free = if mirrored { (free.0, free.1 - foot_width) } else { (free.0 + foot_width, free.1) };
            }
            // Where nothing else is measured against a ruler, the sheets have one.
            if on_sheet && !edition.sections.contains(&SectionName::BeforeYouStart) {
                foot_ruler(free, y, setter, furniture, mark, &mut items);
            }
            let area = Rect::new(left, y - Length::mm(4.0), right - left, Length::mm(6.0));
            page.frames.push(Frame { name: FrameName::Folio, area, items });
        }
    }
}

/// A small ruler in the foot line, in the middle of what is free of it between `from` and `to`; none where there is no room.
fn foot_ruler(
    (from, to): (Length, Length),
    y: Length,
    setter: &Setter,
    furniture: &Furniture,
    mark: Mark,
    items: &mut Vec<PlacedItem>,
) {
    const GAP: Length = Length::mm(1.5);
    const LONG: Length = Length::inches(2.0);
    const HIGH: Length = Length::mm(2.0);
    let [millimetres, inches] = furniture.ruler.each_ref().map(|words| setter.line(StyleName::Label, words));
    let wanted = millimetres.width + GAP + LONG + GAP + inches.width;
    // As far from its neighbours as head lines are from each other.
    if !(wanted + Length::mm(6.0)).fits(to - from) {
        return;
    }
    let left = (from + to) / 2.0 - wanted / 2.0;
    let bar = Point::new(left + millimetres.width + GAP, y - Length::mm(1.0));
    let after = bar.x + LONG + GAP;
    millimetres.place(Point::new(left, y), mark, items);
    items.extend(draw::ruler(bar, HIGH, mark, setter.colour(Ink::Quiet)));
    inches.place(Point::new(after, y), mark, items);
}

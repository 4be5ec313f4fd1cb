//! Make-up: the galley is cut into pages. Pieces that keep together are placed together; what hangs in the side column
//! is never run over.

use super::chart::{self, ChartSheets, Folios};
use super::colours::Colours;
use super::draw::shift;
use super::evenly::{end_pages_early, settle_drawings};
use super::fit::{Filled, TALL, fit, parted, parted_softly, together};
use super::note_pages::NotePages;
use super::piece::{Anchor, Galley, Piece, PieceKind, RepeatedHead};
use super::running_heads::furnish;
use super::setter::{Landmark, Setter};
use super::text_area::{page_area, text_area};
use crate::catalogue::{FrameName, SectionName};
use crate::edition::Edition;
use crate::geom::{Length, Rect};
use crate::manuscript::Furniture;
use crate::page::{Frame, NodeId, OutlineEntry, Page, PlacedItem, Role, Structure};
use std::collections::BTreeMap;

/// What make-up hands back.
#[derive(Debug, Default)]
pub(crate) struct MakeUp {
    /// Pages.
    pub(crate) pages: Vec<Page>,
    /// Outline.
    pub(crate) outline: Vec<OutlineEntry>,
    /// Folio of every section and of every sheet.
    pub(crate) folios: BTreeMap<Landmark, String>,
    /// Page index and height of every section.
    pub(crate) places: BTreeMap<SectionName, (usize, Length)>,
}

struct PageMaker<'a> {
    edition: &'a Edition,
    area: Rect,
    made: MakeUp,
    open: Option<OpenPage>,
}

/// The page that is being filled.
struct OpenPage {
    items: Vec<PlacedItem>,
    filled: Filled,
    foot: Vec<Piece>,
}

impl OpenPage {
    fn new() -> OpenPage {
        OpenPage { items: Vec::new(), filled: Filled::nothing(), foot: Vec::new() }
    }
}

struct SheetFolios<'a> {
    chart: usize,
    /// The folio of the first sheet where one follows the other.
    first: usize,
    /// Where everything came to stand the last time.
    known: &'a BTreeMap<Landmark, String>,
}

impl Folios for SheetFolios<'_> {
    fn folio(&self, sheet: usize) -> String {
        let one_after_another = || (self.first + sheet + 1).to_string();
        self.known.get(&Landmark::Sheet { chart: self.chart, sheet }).cloned().unwrap_or_else(one_after_another)
    }
    fn page(&self, sheet: usize) -> usize {
        // Pages are counted from 1 on paper.
        self.folio(sheet).parse().map_or(0, |folio: usize| folio.saturating_sub(1))
    }
}

/// Makes the galley up into pages.
pub(crate) fn make_up(
    mut galley: Galley,
    sheets: &[ChartSheets],
    edition: &Edition,
    setter: &Setter,
    structure: &mut Structure,
    chart_nodes: &[NodeId],
    (furniture, colours): (&Furniture, Colours),
) -> MakeUp {
    let mut maker = PageMaker { edition, area: text_area(edition), made: MakeUp::default(), open: None };
    let height = maker.area.size.height;
    stay_with_headings(&mut galley.pieces);
    settle_drawings(&mut galley, structure, height);
    fit(&mut galley.pieces, &galley.heads, height);
    end_pages_early(&mut galley, height);
    let mut pieces = std::mem::take(&mut galley.pieces).into_iter();
    let mut waiting: Vec<Anchor> = Vec::new();
    while let Some(kind) = pieces.as_slice().first().map(|piece| piece.kind) {
        let count = if kind == PieceKind::Flow { together(pieces.as_slice(), maker.area.size.height, 1.0) } else { 1 };
        let mut group: Vec<Piece> = pieces.by_ref().take(count).collect();
        match kind {
            PieceKind::NewPage => maker.close(),
            PieceKind::Sheet(chart, sheet) => {
                maker.close();
                let page = maker.made.pages.len();
                for anchor in waiting.drain(..) {
                    maker.anchor(anchor, page, Length::ZERO);
                }
                let label = (page + 1).to_string();
                let (node, sheets) = (chart_nodes[chart], &sheets[chart]);
                let place = |title| Anchor { section: None, outline: Some((2, title)) };
                maker.anchor(place(sheets.title(sheet)), page, Length::ZERO);
                for (title, y) in sheets.stretches(sheet, setter) {
                    maker.made.outline.push(OutlineEntry { level: 3, title, page, y });
                }
                let folios = SheetFolios { chart, first: page.saturating_sub(sheet), known: &setter.pages };
                maker.made.folios.insert(Landmark::Sheet { chart, sheet }, label.clone());
                let (items, again) = chart::draw(sheets, sheet, setter, &folios, structure, node);
                let (trim, area) = sheets.page();
                let mut frames = vec![Frame { name: FrameName::Chart, area, items }];
                if !again.is_empty() {
                    frames.push(Frame { name: FrameName::Again, area, items: again });
                }
                maker.made.pages.push(Page { trim, bleed: Length::ZERO, label, frames });
            }
            PieceKind::Foot => maker.open().foot.append(&mut group),
            PieceKind::Flow => {
                // An empty piece with an anchor only marks the place of what follows.
                let chart_follows = matches!(pieces.as_slice().first().map(|p| p.kind), Some(PieceKind::Sheet(..)));
                if chart_follows && group.iter().all(|piece| piece.items.is_empty()) {
                    waiting.extend(group.into_iter().flat_map(|piece| piece.anchors));
                    continue;
                }
                maker.place(group, &galley.heads);
            }
        }
    }
    maker.close();
    let mut made = maker.made;
    if edition.in_fours {
        let notes = NotePages { setter, edition, colours, furniture };
        notes.fill_up(&mut made.pages, &mut made.outline, structure, |page| page_area(edition, page));
    }
    for page in &mut made.pages {
        page.bleed = edition.bleed;
    }
    let first = structure.root().and_then(|root| structure.get(root).children.first().copied());
    // A cover that comes first says the title.
    let says_title = |section: &NodeId| {
        structure.get(*section).children.iter().any(|child| structure.get(*child).role == Role::Heading(1))
    };
    let heading = first.filter(|first| !says_title(first)).map(|first| structure.add_before(Role::Heading(1), first));
    if let (Some(heading), Some(language)) = (heading, &furniture.title_language) {
        structure.get_mut(heading).language = Some(language.clone());
    }
    furnish(&mut made.pages, edition, setter, furniture, heading);
    made
}

/// Keeps the first two lines after every heading with it, also where the first is a paragraph by itself.
fn stay_with_headings(pieces: &mut [Piece]) {
    for at in 0..pieces.len() {
        if !pieces[at].heading {
            continue;
        }
        let (mut lines, mut end) = (0, at);
        while lines < 2 && pieces.get(end + 1).is_some_and(|piece| piece.kind == PieceKind::Flow) {
            end += 1;
            // A figure, a list in one piece: as good as several lines.
            lines += match &pieces[end] {
                piece if piece.heading || piece.height <= Length::ZERO => 0,
                piece if piece.height > TALL => 2,
                _ => 1,
            };
        }
        pieces[at..end].iter_mut().for_each(|piece| piece.keep = true);
    }
}

impl PageMaker<'_> {
    fn open(&mut self) -> &mut OpenPage {
        self.open.get_or_insert_with(OpenPage::new)
    }

    fn anchor(&mut self, anchor: Anchor, page: usize, y: Length) {
        if let Some(section) = anchor.section {
            self.made.folios.insert(Landmark::Section(section), (page + 1).to_string());
            self.made.places.insert(section, (page, y));
        }
        if let Some((level, title)) = anchor.outline {
            self.made.outline.push(OutlineEntry { level, title, page, y });
        }
    }

    /// Places pieces that keep together; opens a new page where they do not fit.
    fn place(&mut self, mut group: Vec<Piece>, heads: &[RepeatedHead]) {
        let room = self.area.size.height;
        let open = self.open();
        // Foot pieces have their room kept.
        let kept: Length = open.foot.iter().map(|p| p.height + p.after).sum();
        if !open.filled.is_empty && !open.filled.has_room_for(&group, room - kept, 1.0) {
            if let Some(count) = parted_softly(&group, open.filled, room - kept, 1.0) {
                let rest = group.split_off(count);
                group.into_iter().for_each(|piece| self.place_one(piece));
                return self.place(rest, heads);
            }
            self.close();
            let first = group.first();
            let head = first.and_then(|p| p.head).and_then(|h| heads.get(h));
            // A row too high for a page that begins with the head again has the whole page.
            let row = first.map_or(Length::ZERO, |piece| piece.height);
            if let Some(head) = head.filter(|head| (head.height + row).fits(room)) {
                let open = self.open();
                open.items.extend(head.items.iter().cloned());
                open.filled = Filled { y: head.height, is_empty: false, ..open.filled };
            }
            // Below the head there may be less room than the group takes.
            let count = parted(&group, self.open().filled, room, 1.0);
            if count < group.len() {
                let rest = group.split_off(count);
                group.into_iter().for_each(|piece| self.place_one(piece));
                return self.place(rest, heads);
            }
        }
        for piece in group {
            self.place_one(piece);
        }
    }

    fn place_one(&mut self, piece: Piece) {
        let room = self.area.size.height;
        let open = self.open();
        let mut y = open.filled.start(&piece, 1.0);
        if !open.filled.is_empty && !(y + piece.height).fits(room) {
            // Only groups higher than a page come here: they are cut where they must be.
            self.close();
            y = Length::ZERO;
        }
        let area = self.area;
        let page = self.made.pages.len();
        for anchor in &piece.anchors {
            self.anchor(anchor.clone(), page, area.top() + y);
        }
        let open = self.open();
        open.filled.go_on(&piece, y, 1.0);
        for mut placed in piece.items {
            shift(&mut placed, Length::ZERO, y);
            open.items.push(placed);
        }
    }

    fn close(&mut self) {
        let Some(mut open) = self.open.take() else { return };
        if open.filled.is_empty && open.items.is_empty() && open.foot.is_empty() {
            return;
        }
        let total: Length = open.foot.iter().map(|p| p.before + p.height + p.after).sum();
        let mut y = (self.area.size.height - total).max(open.filled.y);
        for piece in open.foot.drain(..) {
            y += piece.before;
            for mut placed in piece.items {
                shift(&mut placed, Length::ZERO, y);
                open.items.push(placed);
            }
            y += piece.height + piece.after;
        }
        let page = self.made.pages.len();
        let area = page_area(self.edition, page);
        for placed in &mut open.items {
            shift(placed, area.left(), area.top());
        }
        self.made.pages.push(Page {
            trim: self.edition.paper.size,
            bleed: Length::ZERO,
            label: (page + 1).to_string(),
            frames: vec![Frame { name: FrameName::Text, area, items: open.items }],
        });
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalogue::{EditionName, PaperName};
    use crate::diag::Report;
    use crate::edition::{Choice, load};
    use crate::page::{Artifact, Item, Link, Mark, Target};
    use crate::source::Sources;

    fn named(label: &str) -> PlacedItem {
        let (area, target) = (Rect::default(), Target::Address("https://example.org".to_owned()));
        let item = Item::Link(Link { area, target, label: label.to_owned() });
        PlacedItem { mark: Mark::Artifact(Artifact::Layout), item }
    }

    fn row(label: &str, height: Length) -> Piece {
        Piece { height, head: Some(0), items: vec![named(label)], ..Piece::default() }
    }

    /// The labels on each page of a table whose head is a tenth of a page high, with rows of these shares of a page.
    fn pages(rows: &[(&str, f64)]) -> Vec<Vec<String>> {
        let choice = Choice { edition: EditionName::Booklet, own: None, look: None, paper: PaperName::A4 };
        let edition = load(choice, &mut Sources::in_memory(), &mut Report::new()).expect("it is shipped");
        let area = text_area(&edition);
        let high = area.size.height;
        let head = RepeatedHead { height: high * 0.1, items: vec![named("head")] };
        let mut maker = PageMaker { edition: &edition, area, made: MakeUp::default(), open: None };
        let heads = [head];
        for (label, share) in rows {
            maker.place(vec![row(label, high * *share)], &heads);
        }
        maker.close();
        let label = |placed: &PlacedItem| match &placed.item {
            Item::Link(link) => link.label.clone(),
            _ => String::new(),
        };
        let frames = maker.made.pages.iter().map(|page| &page.frames[0]);
        frames.map(|frame| frame.items.iter().map(label).collect()).collect()
    }

    #[test]
    fn a_head_is_drawn_again_above_a_row_that_leaves_it_room() {
        assert_eq!(pages(&[("a", 0.5), ("b", 0.5), ("c", 0.6)]), [vec!["a", "b"], vec!["head", "c"]]);
    }

    #[test]
    fn a_row_as_high_as_a_page_has_the_page_without_the_head() {
        assert_eq!(pages(&[("a", 0.5), ("b", 0.95), ("c", 0.2)]), [vec!["a"], vec!["b"], vec!["head", "c"]]);
    }
}

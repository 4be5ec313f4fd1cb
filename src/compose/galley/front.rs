//! The cover, the contents and the facts at a glance.

use super::setting::Setting;
use crate::catalogue::{SectionName, StyleName};
use crate::compose::draw;
use crate::compose::draw::LAYOUT;
use crate::compose::piece::{Keep, Piece, PieceKind};
use crate::compose::setter::{SetLine, Setter};
use crate::edition::Style;
use crate::geom::{Length, Point, Rect, Size};
use crate::manuscript::{Block, Inline, Manuscript, PictureRole, Text};
use crate::markup::{filled, unmarked};
use crate::page::{Item, Link, Mark, NodeId, PlacedItem, Role, Target};

/// A picture on the cover has at least this share of the page's height, or a page of its own.
const MIN_PICTURE: f64 = 0.2;

/// Where the facts' names and values stand, and how they are set.
struct FactsLayout {
    style: Style,
    head_style: Style,
    name_style: Style,
    name_left: Length,
    name_width: Length,
    /// Left edge and width of the values.
    left: Length,
    measure: Length,
    /// Whether the names hang in the side column.
    hangs: bool,
    /// Whether each value stands below its name.
    below: bool,
}

impl Setting<'_> {
    /// The cover: words above, the picture in what room is left, the rest at the foot.
    pub(super) fn cover(&mut self, blocks: &[Block], node: NodeId) {
        let columns = self.columns;
        self.columns.text_left = Length::ZERO;
        self.columns.text = columns.full;
        self.columns.side = Length::ZERO;
        let picture_at = blocks.iter().position(|b| alone(b).is_some_and(is_picture_of_cover)).unwrap_or(blocks.len());
        let start = self.galley.pieces.len();
        for block in &blocks[..picture_at] {
            self.cover_words(block, node);
        }
        // The picture has the room that is left above what stands at the foot.
        let above: Length = self.galley.pieces[start..].iter().map(|p| p.before + p.height + p.after).sum();
        let foot: Length = blocks.iter().skip(picture_at + 1).map(|block| self.height_of_words(block)).sum();
        if let Some(block) = blocks.get(picture_at) {
            // Its caption, and air round both.
            let lines = match alone(block) {
                Some(Block::AsKnotted(drawing)) => drawing.caption.as_ref(),
                Some(Block::Picture(picture)) => picture.caption.as_ref(),
                _ => None,
            }
            .map_or(0, |caption| self.setter.paragraph(StyleName::Caption, caption, columns.full).len());
            let caption = Length::mm(14.0) + self.setter.style(StyleName::Caption).leading * lines as f64;
            let least = columns.height * MIN_PICTURE;
            let mut left = columns.height - above - foot - caption;
            if !least.fits(left) {
                // Large type on a small page: the picture has the next one.
                left = columns.height - foot - caption;
                self.push(Piece { kind: PieceKind::NewPage, ..Piece::default() });
            }
            let room = Size::new(columns.full, left);
            self.push(Piece { height: Length::mm(6.0), keep: true, ..Piece::default() });
            let set = |setting: &mut Self| match alone(block) {
                Some(Block::AsKnotted(drawing)) => setting.as_knotted(drawing, room, node),
                Some(Block::Picture(picture)) => setting.picture(picture, room, Length::ZERO, node),
                _ => {}
            };
            match block {
                Block::InLanguage(tag, _) => self.in_language(tag, node, set),
                _ => set(self),
            }
        }
        for block in blocks.iter().skip(picture_at + 1) {
            let first = self.galley.pieces.len();
            self.cover_words(block, node);
            for piece in &mut self.galley.pieces[first..] {
                piece.kind = PieceKind::Foot;
            }
        }
        self.columns = columns;
    }

    /// The height of paragraphs of the cover.
    fn height_of_words(&self, block: &Block) -> Length {
        match block {
            Block::Paragraph(name, text) => {
                let style = self.setter.style(*name);
                let lines = self.setter.paragraph(*name, text, self.columns.text).len();
                style.before + style.leading * lines as f64 + style.after
            }
            Block::InLanguage(_, blocks) => blocks.iter().map(|block| self.height_of_words(block)).sum(),
            _ => Length::ZERO,
        }
    }

    /// Paragraphs of the cover, in whatever language.
    pub(super) fn cover_words(&mut self, block: &Block, node: NodeId) {
        match block {
            // The title is the first heading of all.
            Block::Paragraph(StyleName::Title, text) => {
                let heading = self.structure.add(Role::Heading(1), Some(node));
                let (left, measure) = self.text_column();
                self.lines(StyleName::Title, text, left, measure, heading, Keep::Loose);
            }
            Block::Paragraph(style, text) => self.paragraph(*style, text, node),
            Block::Picture(picture) => self.picture_in_text(picture, Length::ZERO, node),
            Block::InLanguage(tag, blocks) => self.in_language(tag, node, |setting| {
                blocks.iter().for_each(|block| setting.cover_words(block, node));
            }),
            _ => {}
        }
    }

    /// The list of contents: one entry below the other, in two columns beside a side column.
    pub(super) fn contents(&mut self, manuscript: &Manuscript, node: NodeId) {
        let list = self.structure.add(Role::Contents, Some(node));
        let style = self.setter.style(StyleName::Contents).clone();
        let folio_of = |setter: &Setter, id: SectionName| setter.page_of(id).unwrap_or("00").to_owned();
        let widths = manuscript
            .sections
            .iter()
            .map(|s| self.setter.line(StyleName::Contents, &folio_of(self.setter, s.id)).width);
        let widest = widths.fold(Length::mm(8.0), Length::max);
        let entries: Vec<(SectionName, &str)> = manuscript
            .sections
            .iter()
            .filter(|section| section.id != SectionName::Contents)
            .filter_map(|section| Some((section.id, section.title.as_deref()?)))
            .collect();
        let beside = self.columns.side > Length::ZERO;
        let (across, gap) = if beside { (2, Length::mm(6.0)) } else { (1, Length::ZERO) };
        let width = (self.columns.text - gap * (across as f64 - 1.0)) / across as f64;
        let down = entries.len().div_ceil(across);
        let mut columns: Vec<(Length, Vec<PlacedItem>)> = vec![(Length::ZERO, Vec::new())];
        for (at, (id, title)) in entries.into_iter().enumerate() {
            if beside && at > 0 && at % down.max(1) == 0 {
                columns.push((Length::ZERO, Vec::new()));
            }
            let place = columns.len() - 1;
            let Some((top, items)) = columns.last_mut() else { continue };
            let left = self.columns.text_left + (width + gap) * place as f64;
            let entry = self.structure.add(Role::ContentsItem, Some(list));
            let link = self.structure.add(Role::Link, Some(entry));
            let y = self.setter.baseline(&style);
            let folio = folio_of(self.setter, id);
            let number = self.setter.line_in(StyleName::Contents, &folio, style.size, self.colours.accent);
            let target = Target::Section(id);
            let number_left = left + widest - number.width;
            let title_left = left + widest + Length::mm(4.0);
            let room = left + width - title_left;
            let mut title_lines = vec![self.setter.line(StyleName::Contents, title)];
            if title_lines.iter().any(|line| !line.width.fits(room)) {
                let whole_words = Style { hyphenate: false, ..style.clone() };
                title_lines = self.setter.paragraph_as(&whole_words, &vec![Inline::Plain(title.to_owned())], room);
            }
            let height = style.leading * title_lines.len() as f64;
            let long = title_lines.iter().map(|line| line.width).fold(Length::ZERO, Length::max);
            let area = Rect::new(number_left, *top, title_left + long - number_left, height);
            // Eyes see a number beside a title; ears are told that it is a page.
            let page = format!(", {}", filled(&manuscript.furniture.page, &[("page", folio)]));
            let label = format!("{title}{page}");
            items.push(PlacedItem { mark: Mark::Node(link), item: Item::Link(Link { area, target, label }) });
            for (i, line) in title_lines.into_iter().enumerate() {
                let at = Point::new(title_left, *top + y + style.leading * i as f64);
                line.place(at, Mark::Node(link), items);
            }
            number.spoken(page).place(Point::new(number_left, *top + y), Mark::Node(link), items);
            *top += height;
            if !beside {
                let items = std::mem::take(items);
                *top = Length::ZERO;
                self.push(Piece { height, items, ..Piece::default() });
            }
        }
        if beside {
            let height = columns.iter().map(|(height, _)| *height).fold(Length::ZERO, Length::max);
            let items = columns.into_iter().flat_map(|(_, items)| items).collect();
            self.push(Piece { height, items, ..Piece::default() });
        }
    }

    /// Where names and values stand.
    fn facts_layout(&self, facts: &[(Text, Text)]) -> FactsLayout {
        // Values are looked up, not read: their words stay whole.
        let style = Style { hyphenate: false, ..self.setter.style(StyleName::Body).clone() };
        let head_style = self.setter.style(StyleName::TableHead).clone();
        let hangs = self.columns.side > Length::ZERO;
        // So are the names', on narrow pages too, as long as half the measure is left for the values.
        let pieces =
            facts.iter().map(|(name, _)| self.setter.longest_piece(StyleName::TableHead, &unmarked(name), false));
        let widest = pieces.fold(Length::ZERO, Length::max) + Length::pt(0.2);
        let (name_left, name_width) = match hangs {
            true => (Length::ZERO, self.columns.side),
            false => (self.columns.text_left, (self.columns.text * 0.34).max(widest.min(self.columns.text * 0.5))),
        };
        let name_style = Style { hyphenate: head_style.hyphenate && !widest.fits(name_width), ..head_style.clone() };
        let (left, measure) = match hangs {
            true => self.text_column(),
            false => {
                let gap = Length::mm(4.0);
                (name_left + name_width + gap, self.columns.text - name_width - gap)
            }
        };
        // Where a value has a word that is wider than that, each stands below its name.
        let words = facts.iter().map(|(_, value)| self.setter.longest_piece(StyleName::Body, &unmarked(value), false));
        let below = !hangs && !words.fold(Length::ZERO, Length::max).fits(measure);
        let (name_width, left, measure) = match below {
            true => (self.columns.text, name_left, self.columns.text),
            false => (name_width, left, measure),
        };
        FactsLayout { style, head_style, name_style, name_left, name_width, left, measure, hangs, below }
    }

    pub(super) fn facts(&mut self, facts: &[(Text, Text)], node: NodeId) {
        let table = self.structure.add(Role::Table, Some(node));
        let FactsLayout { style, head_style, name_style, name_left, name_width, left, measure, hangs, below } =
            self.facts_layout(facts);
        let pad = Length::pt(3.5);
        let count = facts.len();
        for (at, (name, value)) in facts.iter().enumerate() {
            let row = self.structure.add(Role::TableRow, Some(table));
            let head = self.structure.add(Role::RowHead, Some(row));
            let cell = self.structure.add(Role::TableCell, Some(row));
            let names = self.setter.paragraph_as(&name_style, name, name_width);
            let values = self.setter.paragraph_as(&style, value, measure);
            let down = if below { head_style.leading * names.len() as f64 } else { Length::ZERO };
            let high = |values: usize| match below {
                true => down + style.leading * values as f64,
                false => style.leading * names.len().max(values) as f64,
            };
            let mut height = pad * 2.0 + high(values.len());
            // A value too long for a page goes on line by line.
            let whole = if height.fits(self.columns.height) { values.len() } else { names.len().max(2) };
            let mut values = values.into_iter();
            let first: Vec<SetLine> = values.by_ref().take(whole).collect();
            if values.len() > 0 {
                height = pad + high(first.len());
            }
            let mut items = Vec::new();
            let (from, to) =
                (Point::new(name_left, Length::ZERO), Point::new(self.columns.full.min(left + measure), Length::ZERO));
            items.push(draw::shape(LAYOUT, draw::rule(from, to, self.colours.rule, self.edition.look.table_rule)));
            let baseline = pad + self.setter.baseline(&style);
            for (i, line) in names.into_iter().enumerate() {
                let at = Point::new(name_left, baseline + head_style.leading * i as f64);
                line.place(at, Mark::Node(head), &mut items);
            }
            let marks = self.inline_marks(value, cell);
            for (i, line) in first.into_iter().enumerate() {
                let at = Point::new(left, baseline + down + style.leading * i as f64);
                self.place_line(line, value, &marks, at, &style, &mut items);
            }
            // Neither the first fact nor the last stands alone on its page.
            let keep = at == 0 && count > 1 || at + 2 == count;
            self.push(Piece { height, wide: hangs, keep: keep && values.len() == 0, items, ..Piece::default() });
            while let Some(line) = values.next() {
                let mut items = Vec::new();
                self.place_line(
                    line,
                    value,
                    &marks,
                    Point::new(left, self.setter.baseline(&style)),
                    &style,
                    &mut items,
                );
                let after = if values.len() == 0 { pad } else { Length::ZERO };
                let keep = values.len() == 1;
                self.push(Piece { height: style.leading, after, wide: hangs, keep, items, ..Piece::default() });
            }
        }
        if let Some(last) = self.galley.pieces.last_mut() {
            last.after = style.after * 1.5;
        }
    }
}

/// A block by itself, out of the language it stands in.
fn alone(block: &Block) -> Option<&Block> {
    match block {
        Block::InLanguage(_, blocks) => blocks.first().and_then(alone),
        block => Some(block),
    }
}

/// The panel, drawn or photographed, and not a logo.
fn is_picture_of_cover(block: &Block) -> bool {
    match block {
        Block::AsKnotted(_) => true,
        Block::Picture(picture) => picture.role == PictureRole::Cover,
        _ => false,
    }
}

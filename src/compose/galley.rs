//! Blocks to pieces: everything of a manuscript in one long galley, before it is made up into pages.
//!
//! A piece is what is never cut: a line, a row of a table, a figure. Its items are placed from the left edge of the text
//! area and its own top.
//!
//! From section to section and from block to block; each kind of block has a file of its own.

mod cautions;
mod codes;
mod drawings;
mod forms;
mod front;
mod headings;
mod lists;
mod panels;
mod rows;
mod setting;
mod table;

pub(crate) use setting::Setting;

use super::fit::Filled;
use super::piece::{Anchor, Galley, Piece, PieceKind, keep_softly};
use crate::catalogue::SectionName;
use crate::geom::{Length, Size};
use crate::manuscript::{Block, ChartBlock, Inline, Manuscript, Section};
use crate::page::{NodeId, Role};

/// How far cautions reach into the room left of the text.
const WIDER: f64 = 0.6;

/// Sets the manuscript.
pub(crate) fn set(mut setting: Setting, manuscript: &Manuscript, document: NodeId, with_contents: bool) -> Galley {
    for section in &manuscript.sections {
        if section.id == SectionName::Contents && !with_contents {
            continue;
        }
        setting.section(section, manuscript, document);
    }
    setting.galley
}

impl Setting<'_> {
    fn section(&mut self, section: &Section, manuscript: &Manuscript, document: NodeId) {
        let node = self.structure.add(Role::Section, Some(document));
        if self.edition.new_page.contains(&section.id) && !self.galley.pieces.is_empty() {
            self.push(Piece { kind: PieceKind::NewPage, ..Piece::default() });
        }
        let anchor = Anchor { section: Some(section.id), outline: section.title.clone().map(|title| (1, title)) };
        // Sheets have titles of their own and fill their pages: a page with the section's title and an opening alone would
        // say nothing. Boxes to tick before the chart have a page.
        let chart_at = section.blocks.iter().position(|b| matches!(b, Block::Chart(_)));
        let chart_at = chart_at.filter(|&at| section.blocks[..at].iter().all(|b| matches!(b, Block::Paragraph(..))));
        match &section.title {
            // The list of contents is no chapter: it stands below what is told at a glance.
            Some(title) if section.id == SectionName::Contents && !self.edition.new_page.contains(&section.id) => {
                self.heading(2, &vec![Inline::Plain(title.clone())], node);
                if let Some(piece) = self.galley.pieces.last_mut() {
                    piece.anchors = vec![Anchor { outline: Some((2, title.clone())), ..anchor }];
                }
            }
            Some(title) if chart_at.is_none() => self.title(title, anchor, node),
            _ => self.push(Piece { anchors: vec![anchor], keep: true, ..Piece::default() }),
        }
        if section.id == SectionName::Cover {
            self.cover(&section.blocks, node);
            self.push(Piece { kind: PieceKind::NewPage, ..Piece::default() });
            return;
        }
        let columns = self.columns;
        if section.id == SectionName::Cautions {
            // Looked up, not read through: lines may be longer, and all stand on one page.
            let wider = self.columns.text_left * WIDER;
            self.columns.text_left -= wider;
            self.columns.text = self.columns.full - self.columns.text_left;
        }
        let opens_at = self.galley.pieces.len() - 1;
        let blocks = &section.blocks[chart_at.unwrap_or(0)..];
        let mut figure: Option<usize> = None;
        for (at, block) in blocks.iter().enumerate() {
            let from = self.galley.pieces.len();
            match (block, blocks.get(at + 1)) {
                (Block::Heading(level, text), Some(Block::Rows(_))) => self.heading_of_rows(*level, text, node),
                _ => self.block(block, manuscript, node),
            }
            let opens = at == 0 || matches!(blocks[at - 1], Block::Heading(..));
            // Words that are all there is below a heading open nothing; those below the title open the section.
            let goes_on = match blocks.get(at + 1) {
                None | Some(Block::NewPage | Block::Chart(_)) => false,
                Some(Block::Heading(..)) => at == 0,
                Some(_) => true,
            };
            if opens && goes_on && matches!(block, Block::Paragraph(..)) {
                self.stay_with_next(from);
            }
            // Figures in a row are compared.
            if matches!((block, blocks.get(at + 1)), (Block::Figure(_), Some(Block::Figure(_)))) {
                self.galley.pieces[from..].iter_mut().for_each(|piece| piece.keep = true);
            }
            figure = match (block, figure) {
                (Block::Figure(_), _) => Some(from),
                (Block::Caution(_), figure) => figure,
                (Block::Steps(_), Some(figure)) => {
                    self.stay_with_figure(figure);
                    None
                }
                _ => None,
            };
        }
        self.columns = columns;
        let end = self.galley.pieces.len();
        for drawing in self.galley.drawings.iter_mut().filter(|drawing| drawing.from > opens_at) {
            drawing.end = end;
        }
        // Cautions are looked up while the hands are busy: all of them on one page, where a page holds them.
        if section.id == SectionName::Cautions
            && let Some((_, all_but_last)) = self.galley.pieces[opens_at..].split_last_mut()
            && Filled::nothing().has_room_for(all_but_last, self.columns.height, 1.0)
        {
            all_but_last.iter_mut().for_each(|piece| piece.keep = true);
        }
    }

    /// Steps stay on the page of the figure that shows them: whoever ties has no hand free to turn it. A figure with many
    /// steps would leave too much white before it, and is parted from those after the first.
    fn stay_with_figure(&mut self, from: usize) {
        const MAX_SHARE: f64 = 0.2;
        let pieces = &mut self.galley.pieces[from..];
        let height: Length = pieces.iter().map(|p| p.before + p.height + p.after).sum();
        let figures = pieces.iter().position(|piece| piece.step).unwrap_or(pieces.len());
        let (shown, steps) = pieces.split_at_mut(figures);
        shown.iter_mut().for_each(|piece| piece.keep = true);
        if height.fits(self.columns.height * MAX_SHARE)
            && let Some((_, all_but_last)) = steps.split_last_mut()
        {
            keep_softly(all_but_last);
        }
    }

    /// A short opening stays with what it opens: a heading and one sentence alone at a page's foot say nothing.
    fn stay_with_next(&mut self, from: usize) {
        const SHORT: usize = 4;
        let opening = &mut self.galley.pieces[from..];
        if opening.len() <= SHORT {
            opening.iter_mut().for_each(|piece| piece.keep = true);
        }
    }

    fn block(&mut self, block: &Block, manuscript: &Manuscript, node: NodeId) {
        match block {
            Block::Heading(level, text) => self.heading(*level, text, node),
            Block::Paragraph(style, text) => self.paragraph(*style, text, node),
            Block::Steps(steps) => self.steps(steps, node),
            Block::Bullets(entries) => self.bullets(entries, node),
            Block::Ticks(lines) => self.ticks(lines, node),
            Block::Caution(caution) => self.caution(caution, node, false),
            Block::Table(table) => table::set(self, table, node),
            Block::Figure(figure) => self.figure(figure, node),
            Block::HungPanel(hung) => self.hung_panel(hung, node),
            Block::Fleece(fleece) => self.fleece(fleece, node),
            Block::AsKnotted(drawing) => {
                let room = Size::new(self.columns.full, self.columns.height * 0.6);
                self.as_knotted(drawing, room, node);
            }
            Block::Picture(picture) => self.picture_in_text(picture, Length::ZERO, node),
            Block::Panels(panels) => self.panels(panels, node),
            Block::Facts(facts) => self.facts(facts, node),
            Block::Snips(snips) => self.snips(snips, &manuscript.furniture.blank, node),
            Block::Chart(chart) => self.chart(chart, node),
            Block::Rows(rows) => self.rows(rows, node),
            Block::Stretch(words) => self.stretch_heading(words, node),
            Block::Ruler { caption, ends, alt } => self.ruler(caption, ends, alt, node),
            Block::Codes(codes) => self.codes(codes, node),
            Block::FillIn(lines) => self.fill_in(lines, &manuscript.furniture.blank, node),
            Block::Contents => self.contents(manuscript, node),
            Block::NewPage => self.push(Piece { kind: PieceKind::NewPage, ..Piece::default() }),
            Block::InLanguage(tag, blocks) => self.in_language(tag, node, |setting| {
                blocks.iter().for_each(|block| setting.block(block, manuscript, node));
            }),
        }
    }

    /// The sheets; where the rows in words go with them, each rank is followed by the rows it shows.
    fn chart(&mut self, block: &ChartBlock, node: NodeId) {
        let chart = self.chart;
        self.chart += 1;
        let parts = self.parts;
        let sheets = &parts.sheets[chart].plan.sheets;
        for (at, sheet) in sheets.iter().enumerate() {
            self.push(Piece { kind: PieceKind::Sheet(chart, at), ..Piece::default() });
            let ends_rank = sheets.get(at + 1).is_none_or(|next| next.down != sheet.down);
            let Some(rows) = block.alongside.get(sheet.own_rows()).filter(|rows| ends_rank && !rows.is_empty()) else {
                continue;
            };
            self.rows_by_stretches(rows, sheet.own_rows().start, &block.words, node);
        }
    }
}

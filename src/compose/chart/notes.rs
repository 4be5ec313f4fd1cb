//! Words about a sheet's neighbours: what it shows again and from which page, and where the chart goes on.

use super::{CENTRE_MARK, ChartSheets, Folios, GAP, fill, number_size, range_words};
use crate::compose::draw::{self, LAYOUT, Points};
use crate::compose::setting::Setter;
use crate::compose::tile::Sheet;
use crate::edition::Edition;
use crate::geom::{Length, Point, Rect};
use crate::manuscript::ChartBlock;
use crate::page::{Mark, NodeId, Placed, Role, Structure};

/// Under this height of a cell a sheet says that its squares are small.
const SMALL: Length = Length::mm(3.7);
/// Parts one note from the next on a line.
const BETWEEN: &str = "  ·  ";

/// Notes one after another on lines of this width.
fn lines_of(parts: Vec<String>, setter: &Setter, width: Length) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for part in parts {
        let longer = lines.last().map(|line| format!("{line}{BETWEEN}{part}"));
        match longer.filter(|text| setter.line("sheet-note", text).width.fits(width)) {
            Some(longer) => {
                lines.pop();
                lines.push(longer);
            }
            None => lines.push(part),
        }
    }
    lines
}

/// The most lines of notes that a sheet of this width can need: the same room is kept on all of them. `key_apart`: the key
/// has a page of its own; `again`: sheets show something that stands on others too.
pub(super) fn most_lines(
    block: &ChartBlock,
    edition: &Edition,
    setter: &Setter,
    width: Length,
    (key_apart, again): (bool, bool),
) -> usize {
    let words = &block.words;
    let range = |count: usize| range_words(&(count.saturating_sub(2)..count)).to_vec();
    let mut parts = Vec::new();
    if key_apart {
        parts.push(fill(&words.key_page, &[("page", "100".to_owned())]));
    }
    if again {
        for (template, count) in [(&words.shared_columns, block.columns), (&words.shared_rows, block.rows.len())] {
            let mut values = range(count.max(100));
            values.push(("page", "100".to_owned()));
            parts.push(fill(template, &values));
        }
    }
    if edition.chart.run_counts {
        parts.push(words.run_counts.clone());
    }
    if !SMALL.fits(edition.chart.least_cell) {
        parts.push(words.small_cells.clone());
    }
    if edition.chart.yarn_starts {
        parts.push(words.starts.clone());
    }
    lines_of(parts, setter, width).len()
}

impl ChartSheets<'_> {
    /// Where this sheet's repeated columns and rows also stand, and how to read what is unusual.
    pub(super) fn notes(
        &self,
        sheet: &Sheet,
        area: Rect,
        setter: &Setter,
        folios: &dyn Folios,
        structure: &mut Structure,
        section: NodeId,
        out: &mut Vec<Placed>,
    ) {
        let words = &self.block.words;
        let mut parts = Vec::new();
        if self.key_pages() > 0 {
            parts.push(fill(&words.key_page, &[("page", folios.key())]));
        }
        let mut shared = |template: &str, range: std::ops::Range<usize>, with: Option<usize>| {
            if let Some(other) = with.filter(|_| !range.is_empty()) {
                let mut values = range_words(&range).to_vec();
                values.push(("page", folios.folio(other)));
                parts.push(fill(template, &values));
            }
        };
        let (columns, rows) = (&sheet.columns, &sheet.rows);
        shared(&words.shared_columns, columns.start..columns.start + sheet.repeated_columns, self.plan.left_of(sheet));
        shared(&words.shared_rows, rows.start..rows.start + sheet.repeated_rows, self.plan.above(sheet));
        if self.edition.chart.run_counts {
            parts.push(words.run_counts.clone());
        }
        if !SMALL.fits(self.plan.cell) {
            parts.push(words.small_cells.clone());
        }
        if self.starts_on(sheet).next().is_some() {
            parts.push(words.starts.clone());
        }
        if parts.is_empty() {
            return;
        }
        let paragraph = structure.add(Role::Paragraph, Some(section));
        let style = setter.style("sheet-note");
        let top = area.top() + self.head.height;
        for (i, text) in lines_of(parts, setter, area.size.width).iter().enumerate() {
            let at = Point::new(area.left(), top + style.size + style.leading * i as f64);
            let line = setter.line("sheet-note", text);
            // The dots between notes are for the eye.
            let line = match text.contains(BETWEEN) {
                true => line.spoken(format!("{} ", text.replace(BETWEEN, "; "))),
                false => setter.apart(line),
            };
            line.place(at, Mark::Node(paragraph), out);
        }
    }

    /// An arrow with a page number at each side where the chart goes on.
    pub(super) fn goes_on(
        &self,
        sheet: &Sheet,
        grid: Rect,
        setter: &Setter,
        folios: &dyn Folios,
        structure: &mut Structure,
        section: NodeId,
        out: &mut Vec<Placed>,
    ) {
        let words = &self.block.words;
        let gutter = self.beside.gutter();
        let size = setter.style("sheet-note").size;
        let above = grid.top() - CENTRE_MARK - GAP;
        let below = grid.bottom() + CENTRE_MARK + GAP + number_size(self.cell, setter) * 0.68;
        let plan = &self.plan;
        for (other, points, spoken, baseline) in [
            (plan.left_of(sheet), Points::Left, &words.continues_left, above),
            (plan.right_of(sheet), Points::Right, &words.continues_right, above),
            (plan.below(sheet), Points::Down, &words.continues_below, below),
        ] {
            let Some(other) = other else { continue };
            let page = ("page", folios.folio(other));
            let mut label = setter.line("sheet-note", &fill(&words.page, std::slice::from_ref(&page)));
            let (long, thick) = (size * 1.05, size * 0.5);
            let side = match points {
                Points::Left | Points::Right => long,
                Points::Down => thick,
            };
            // Outermost, over or under the boxes: arrow at the outer edge, words towards the chart.
            let left = match points {
                Points::Left => grid.left() - gutter,
                Points::Right | Points::Down => grid.right() + gutter - side,
            };
            let middle = baseline - size * 0.34;
            let arrow = match points {
                Points::Left | Points::Right => Rect::new(left, middle - thick / 2.0, long, thick),
                Points::Down => Rect::new(left, middle - long / 2.0, thick, long),
            };
            out.push(draw::shape(LAYOUT, draw::pointer(arrow, points, self.colours.accent)));
            let gap = size * 0.4;
            // Beside a narrow number gutter the words would run into the column numbers: the arrow stands alone then.
            if !(label.width + gap + side + size).fits(gutter) {
                continue;
            }
            let x = match points {
                Points::Left => arrow.right() + gap,
                Points::Right | Points::Down => arrow.left() - gap - label.width,
            };
            let paragraph = structure.add(Role::Paragraph, Some(section));
            // Eyes see which way the arrow points; ears are told.
            if let Some((_, run)) = label.runs.first_mut() {
                run.actual = Some(fill(spoken, std::slice::from_ref(&page)));
            }
            label.place(Point::new(x, baseline), Mark::Node(paragraph), out);
        }
    }
}

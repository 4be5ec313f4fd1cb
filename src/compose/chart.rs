//! One chart sheet: title, key with counts, sheet finder, the grid, and beside every row its number, arrow and box.
//!
//! What stands where is the same on every sheet, so that a reader (and `proof`) finds it again.

mod starts;

use super::draw::{self, LAYOUT};
use super::setting::Setter;
use super::tile::{Ask, Plan, Room, Sheet, plan};
use super::{Colours, inks};
use crate::colour::Colour;
use crate::edition::Edition;
use crate::geom::{Length, Point, Rect, Size};
use crate::manuscript::{ChartBlock, ChartRow};
use crate::page::{CellInk, Cells, Item, Mark, NodeId, Placed, Role, Segment, Shape, Structure, Tick};

/// A box drawn to be ticked is never wider than this; its target on a screen is [`TARGET`] wide.
const BOX: Length = Length::mm(4.2);
/// Least width of a tick target, so that a fingertip hits it.
const TARGET: Length = Length::mm(6.4);
const ARROW: Length = Length::mm(3.0);
const GAP: Length = Length::mm(0.9);
/// Room between numbers and grid for the centre marks.
const CENTRE_MARK: Length = Length::mm(1.7);
const FINDER: Size = Size::new(Length::mm(26.0), Length::mm(18.0));
/// Every row is numbered where cells are at least this high, every second one below.
const EVERY_ROW: Length = Length::mm(3.99);
const THIN: Colour = Colour::new(0xc4, 0xbd, 0xb3);
const TENS: Colour = Colour::new(0x86, 0x7f, 0x76);

/// Everything the sheets of one chart share.
pub struct ChartSheets<'a> {
    block: &'a ChartBlock,
    edition: &'a Edition,
    colours: Colours,
    ink: inks::ChartInk,
    /// The cut.
    pub plan: Plan,
    key: Key,
    key_inks: Vec<CellInk>,
    cell_inks: Vec<CellInk>,
    cell: Size,
    number_width: Length,
}

/// How the key's entries are ranged.
struct Key {
    columns: usize,
    lines: usize,
    entry: Length,
    sample: Length,
    height: Length,
}

/// A sheet's words that depend on where other sheets came to stand.
pub trait Folios {
    /// The folio of a sheet as printed.
    fn folio(&self, sheet: usize) -> String;
}

impl<'a> ChartSheets<'a> {
    /// Plans the sheets.
    pub fn new(
        block: &'a ChartBlock,
        edition: &'a Edition,
        setter: &Setter,
        colours: Colours,
        ink: inks::ChartInk,
    ) -> Self {
        let style = edition.chart;
        let aspect = if style.square { 1.0 } else { block.aspect };
        let number_width = block
            .rows
            .iter()
            .rev()
            .take(1)
            .chain(block.rows.iter().take(1))
            .map(|row| setter.line("cell-number", &row.number).width)
            .fold(Length::ZERO, Length::max);
        let used = used_yarns(block);
        let mut rooms = Vec::new();
        let mut keys = Vec::new();
        for turned in if style.may_turn { vec![false, true] } else { vec![false] } {
            let area = sheet_area(edition, turned);
            let key = key_of(block, &used, setter, area.size.width - FINDER.width - Length::mm(6.0));
            let gutter = gutter(number_width);
            let head = head_height(setter, &key) + strip(setter) * 2.0 + note_height(edition, setter);
            rooms.push(Room { width: area.size.width - gutter * 2.0, height: area.size.height - head, turned });
            keys.push(key);
        }
        let ask = Ask {
            columns: block.columns,
            rows: block.rows.len(),
            aspect,
            least: style.least_cell,
            most: style.most_cell,
            repeat: style.repeat,
        };
        let plan = plan(ask, &rooms);
        let key = keys.swap_remove(usize::from(plan.turned));
        let cell = Size::new(plan.cell * aspect, plan.cell);
        let sample = Size::new(key.sample, key.sample);
        let ink_of = |size: Size| -> Vec<CellInk> {
            block.yarns.iter().map(|y| inks::cell_ink(y.colour, &y.symbol, ink, size)).collect()
        };
        ChartSheets {
            block,
            edition,
            colours,
            ink,
            key_inks: ink_of(sample),
            cell_inks: ink_of(cell),
            plan,
            key,
            cell,
            number_width,
        }
    }

    /// The area of a sheet inside the chart margins, and the page's size.
    pub fn page(&self) -> (Size, Rect) {
        let paper = self.edition.paper.size;
        let size = if self.plan.turned { Size::new(paper.height, paper.width) } else { paper };
        (size, sheet_area(self.edition, self.plan.turned))
    }

    /// Draws sheet `index`. The structure nodes are added under `section`.
    pub fn draw(
        &self,
        index: usize,
        setter: &Setter,
        folios: &dyn Folios,
        structure: &mut Structure,
        section: NodeId,
    ) -> Vec<Placed> {
        let sheet = &self.plan.sheets[index];
        let (_, area) = self.page();
        let mut out = Vec::new();
        self.head(sheet, index, area, setter, structure, section, &mut out);
        self.notes(sheet, index, area, setter, folios, structure, section, &mut out);

        let figure = structure.add(Role::Figure, Some(section));
        structure.get_mut(figure).alt = Some(self.alt(sheet, index));
        let grid = self.grid_area(sheet, area, setter);
        self.bands(sheet, grid, &mut out);
        self.cells(sheet, grid, figure, &mut out);
        self.lines(sheet, grid, &mut out);
        self.starts(sheet, grid, figure, &mut out);
        self.column_numbers(sheet, grid, setter, figure, &mut out);
        self.centre_marks(sheet, grid, &mut out);
        for row in sheet.rows.clone() {
            self.row_side(row, sheet, grid, setter, structure, section, figure, &mut out);
        }
        out
    }

    fn grid_area(&self, sheet: &Sheet, area: Rect, setter: &Setter) -> Rect {
        let size = Size::new(self.cell.width * sheet.columns.len() as f64, self.cell.height * sheet.rows.len() as f64);
        let top = area.top() + head_height(setter, &self.key) + note_height(self.edition, setter) + strip(setter);
        let left = area.left() + (area.size.width - size.width) / 2.0;
        // Whole thousandths of a point, so that neighbouring cells meet exactly.
        let round = |l: Length| Length::pt((l.to_pt() * 1000.0).round() / 1000.0);
        Rect { origin: Point::new(round(left), round(top)), size }
    }

    fn head(
        &self,
        sheet: &Sheet,
        index: usize,
        area: Rect,
        setter: &Setter,
        structure: &mut Structure,
        section: NodeId,
        out: &mut Vec<Placed>,
    ) {
        let words = &self.block.words;
        let title_style = setter.style("sheet-title");
        let baseline = area.top() + title_style.size;
        let title =
            fill(&words.sheet, &[("sheet", (index + 1).to_string()), ("sheets", self.plan.sheets.len().to_string())]);
        // The first sheet's title stands for the section's where that has none.
        let titled = structure.get(section).children.iter().any(|&n| structure.get(n).role == Role::Heading(1));
        let level = if titled { 2 } else { 1 };
        let heading = structure.add(Role::Heading(level), Some(section));
        let line = setter.line("sheet-title", &title);
        let after = area.left() + line.width + Length::mm(5.0);
        line.place(Point::new(area.left(), baseline), Mark::Node(heading), out);
        let range = format!(
            "{}  ·  {}",
            fill(&words.columns, &range_words(&sheet.columns)),
            fill(&words.rows, &range_words(&sheet.rows))
        );
        let paragraph = structure.add(Role::Paragraph, Some(section));
        setter.line("sheet-note", &range).place(Point::new(after, baseline), Mark::Node(paragraph), out);

        let top = area.top() + title_style.leading + Length::mm(2.0);
        let key_style = setter.style("key");
        let list = structure.add(Role::List(false), Some(section));
        for (place, yarn) in used_yarns(self.block).into_iter().enumerate() {
            // Down each column first, so that the key reads as short lists.
            let (column, line) = (place / self.key.lines, place % self.key.lines);
            let x = area.left() + self.key.entry * column as f64;
            let y = top + key_line(key_style.leading) * line as f64;
            let item = structure.add(Role::ListItem, Some(list));
            let body = structure.add(Role::ListBody, Some(item));
            let sample = Rect::new(x, y, self.key.sample, self.key.sample);
            let baseline = y + self.key.sample / 2.0 + key_style.size * 0.34;
            let text_x = x + self.key.sample + Length::mm(2.0);
            let right = x + self.key.entry - Length::mm(5.0);
            match yarn {
                Some(yarn) => {
                    out.push(Placed {
                        mark: LAYOUT,
                        item: Item::Cells(Cells {
                            origin: sample.origin,
                            cell: sample.size,
                            columns: 1,
                            cells: vec![0],
                            inks: vec![self.key_inks[yarn].clone()],
                        }),
                    });
                    out.push(draw::shape(LAYOUT, draw::frame(sample, TENS, Length::pt(0.4))));
                    let entry = &self.block.yarns[yarn];
                    setter.line("key", &entry.name).place(Point::new(text_x, baseline), Mark::Node(body), out);
                    let count = setter.line("key", &entry.count);
                    count.clone().place(Point::new(right - count.width, baseline), Mark::Node(body), out);
                }
                None => {
                    let mut frame = draw::frame(sample, TENS, Length::pt(0.4));
                    if let Some(stroke) = &mut frame.stroke {
                        stroke.dash = vec![Length::pt(1.2), Length::pt(1.2)];
                    }
                    out.push(draw::shape(LAYOUT, frame));
                    setter.line("key", &words.bare).place(Point::new(text_x, baseline), Mark::Node(body), out);
                }
            }
        }
        if self.plan.sheets.len() > 1 {
            self.finder(index, area, setter, out);
        }
    }

    /// A small map of all sheets with this one marked.
    fn finder(&self, index: usize, area: Rect, setter: &Setter, out: &mut Vec<Placed>) {
        let room = Size::new(FINDER.width, FINDER.height.min(head_height(setter, &self.key) - Length::mm(2.0)));
        let (columns, rows) = (self.block.columns as f64, self.block.rows.len() as f64);
        let wide = self.cell.width * columns;
        let high = self.cell.height * rows;
        let scale = (room.width / wide).min(room.height / high);
        let size = Size::new(wide * scale, high * scale);
        let left = area.right() - size.width;
        let own = |sheet: &Sheet| {
            let x = left + size.width * ((sheet.columns.start + sheet.repeated_columns) as f64 / columns);
            let right = left + size.width * (sheet.columns.end as f64 / columns);
            let y = area.top() + size.height * ((sheet.rows.start + sheet.repeated_rows) as f64 / rows);
            let bottom = area.top() + size.height * (sheet.rows.end as f64 / rows);
            Rect::new(x, y, right - x, bottom - y)
        };
        out.push(draw::shape(LAYOUT, draw::ground(own(&self.plan.sheets[index]), self.colours.accent)));
        for (number, sheet) in self.plan.sheets.iter().enumerate() {
            let area = own(sheet);
            out.push(draw::shape(LAYOUT, draw::frame(area, TENS, Length::pt(0.5))));
            let label = setter.line_in(
                "sheet-note",
                &(number + 1).to_string(),
                Length::pt(6.5),
                match number == index {
                    true => Colour::WHITE,
                    false => self.colours.quiet,
                },
            );
            if (label.width + Length::pt(2.0)).fits(area.size.width) && Length::pt(7.5).fits(area.size.height) {
                let at = Point::new(area.centre().x - label.width / 2.0, area.centre().y + Length::pt(2.3));
                label.place(at, LAYOUT, out);
            }
        }
    }

    /// Where this sheet's repeated columns and rows also stand, and where it goes on.
    fn notes(
        &self,
        sheet: &Sheet,
        index: usize,
        area: Rect,
        setter: &Setter,
        folios: &dyn Folios,
        structure: &mut Structure,
        section: NodeId,
        out: &mut Vec<Placed>,
    ) {
        let words = &self.block.words;
        let mut parts = Vec::new();
        let page = |sheet: usize| ("page", folios.folio(sheet));
        if sheet.repeated_columns > 0 {
            let range = sheet.columns.start..sheet.columns.start + sheet.repeated_columns;
            let mut values = range_words(&range).to_vec();
            values.push(page(index - 1));
            parts.push(fill(&words.shared_columns, &values));
        }
        if sheet.repeated_rows > 0 {
            let range = sheet.rows.start..sheet.rows.start + sheet.repeated_rows;
            let mut values = range_words(&range).to_vec();
            values.push(page(index - self.plan.across));
            parts.push(fill(&words.shared_rows, &values));
        }
        if sheet.across + 1 < self.plan.across {
            parts.push(fill(&words.continues_right, &[page(index + 1)]));
        }
        if sheet.down + 1 < self.plan.down {
            parts.push(fill(&words.continues_below, &[page(index + self.plan.across)]));
        }
        if self.plan.cell.to_mm() < 3.7 {
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
        let room = area.size.width;
        let top = area.top() + head_height(setter, &self.key);
        // One line where it fits, otherwise as many as are needed; room for them is always kept.
        let mut line = String::new();
        let mut lines = Vec::new();
        for part in parts {
            let longer = if line.is_empty() { part.clone() } else { format!("{line}  ·  {part}") };
            if line.is_empty() || setter.line("sheet-note", &longer).width.fits(room) {
                line = longer;
            } else {
                lines.push(std::mem::replace(&mut line, part));
            }
        }
        lines.push(line);
        for (i, text) in lines.iter().enumerate() {
            let at = Point::new(area.left(), top + style.size + style.leading * i as f64);
            setter.line("sheet-note", text).place(at, Mark::Node(paragraph), out);
        }
    }

    fn alt(&self, sheet: &Sheet, index: usize) -> String {
        let [from_column, to_column] = range_words(&sheet.columns);
        let [from_row, to_row] = range_words(&sheet.rows);
        fill(
            &self.block.words.alt,
            &[
                ("sheet", (index + 1).to_string()),
                ("sheets", self.plan.sheets.len().to_string()),
                ("columns", self.block.columns.to_string()),
                ("rows", self.block.rows.len().to_string()),
                ("yarns", self.block.yarns.len().to_string()),
                ("from_column", from_column.1),
                ("to_column", to_column.1),
                ("from_row", from_row.1),
                ("to_row", to_row.1),
            ],
        )
    }

    fn bands(&self, sheet: &Sheet, grid: Rect, out: &mut Vec<Placed>) {
        let gutter = gutter(self.number_width) - Length::mm(0.6);
        let (w, h) = (self.cell.width, self.cell.height);
        let mut both_sides = |y: Length, height: Length, colour: Colour| {
            for x in [grid.left() - gutter, grid.right()] {
                out.push(draw::shape(LAYOUT, draw::ground(Rect::new(x, y, gutter, height), colour)));
            }
        };
        let every = self.edition.chart.band_every;
        if every > 0 {
            for (i, row) in sheet.rows.clone().enumerate().skip(sheet.repeated_rows) {
                if (row + 1).is_multiple_of(every) {
                    both_sides(grid.top() + h * i as f64, h, self.colours.tint);
                }
            }
        }
        if sheet.repeated_rows > 0 {
            both_sides(grid.top(), h * sheet.repeated_rows as f64, self.colours.shared);
        }
        if sheet.repeated_columns > 0 {
            let width = w * sheet.repeated_columns as f64;
            for y in [grid.top() - STRIP_BAND, grid.bottom()] {
                let band = Rect::new(grid.left(), y, width, STRIP_BAND);
                out.push(draw::shape(LAYOUT, draw::ground(band, self.colours.shared)));
            }
        }
    }

    fn cells(&self, sheet: &Sheet, grid: Rect, figure: NodeId, out: &mut Vec<Placed>) {
        let mut cells = Vec::with_capacity(sheet.columns.len() * sheet.rows.len());
        for row in sheet.rows.clone() {
            let start = row * self.block.columns;
            cells.extend_from_slice(&self.block.cells[start + sheet.columns.start..start + sheet.columns.end]);
        }
        out.push(Placed {
            mark: Mark::Node(figure),
            item: Item::Cells(Cells {
                origin: grid.origin,
                cell: self.cell,
                columns: sheet.columns.len(),
                cells,
                inks: self.cell_inks.clone(),
            }),
        });
    }

    /// Squares of this sheet in which a yarn starts; none where the layout does not ask for them.
    fn starts_on<'s>(&'s self, sheet: &'s Sheet) -> impl Iterator<Item = starts::Start<'s>> {
        let wanted = if self.edition.chart.yarn_starts { self.block.starts.as_slice() } else { &[] };
        let columns = self.block.columns;
        wanted
            .iter()
            .map(move |cell| (cell / columns, cell % columns))
            .filter(|(row, column)| sheet.rows.contains(row) && sheet.columns.contains(column))
            .filter_map(move |(row, column)| {
                let yarn = usize::from(*self.block.cells.get(row * columns + column)?);
                Some(starts::Start {
                    row: row - sheet.rows.start,
                    column: column - sheet.columns.start,
                    left_to_right: self.block.rows.get(row)?.left_to_right,
                    ink: self.cell_inks.get(yarn)?,
                })
            })
    }

    fn starts(&self, sheet: &Sheet, grid: Rect, figure: NodeId, out: &mut Vec<Placed>) {
        let dots = starts::dots(grid, self.cell, self.starts_on(sheet));
        out.extend(dots.into_iter().map(|dot| draw::shape(Mark::Node(figure), dot)));
    }

    /// Lines between cells, only where there is a knot on one side: bare cells are left blank.
    fn lines(&self, sheet: &Sheet, grid: Rect, out: &mut Vec<Placed>) {
        let (columns, rows) = (sheet.columns.len(), sheet.rows.len());
        let knot = |row: Option<usize>, column: Option<usize>| -> bool {
            let (Some(row), Some(column)) = (row, column) else { return false };
            if row >= rows || column >= columns {
                return false;
            }
            let at = (sheet.rows.start + row) * self.block.columns + sheet.columns.start + column;
            self.block.cells[at] != Cells::BARE
        };
        let (mut thin, mut tens, mut edge) = (Vec::new(), Vec::new(), Vec::new());
        let x = |column: usize| grid.left() + self.cell.width * column as f64;
        let y = |row: usize| grid.top() + self.cell.height * row as f64;
        for i in 0..=columns {
            let drawn = |row: usize| knot(Some(row), i.checked_sub(1)) || knot(Some(row), Some(i));
            let border = |row: usize| knot(Some(row), i.checked_sub(1)) != knot(Some(row), Some(i));
            let ten = (sheet.columns.start + i).is_multiple_of(10);
            for (from, to) in stretches(rows, drawn) {
                let into = if ten { &mut tens } else { &mut thin };
                into.extend([Segment::Move(Point::new(x(i), y(from))), Segment::Line(Point::new(x(i), y(to)))]);
            }
            for (from, to) in stretches(rows, border) {
                edge.extend([Segment::Move(Point::new(x(i), y(from))), Segment::Line(Point::new(x(i), y(to)))]);
            }
        }
        for i in 0..=rows {
            let drawn = |column: usize| knot(i.checked_sub(1), Some(column)) || knot(Some(i), Some(column));
            let border = |column: usize| knot(i.checked_sub(1), Some(column)) != knot(Some(i), Some(column));
            let ten = (sheet.rows.start + i).is_multiple_of(10);
            for (from, to) in stretches(columns, drawn) {
                let into = if ten { &mut tens } else { &mut thin };
                into.extend([Segment::Move(Point::new(x(from), y(i))), Segment::Line(Point::new(x(to), y(i)))]);
            }
            for (from, to) in stretches(columns, border) {
                edge.extend([Segment::Move(Point::new(x(from), y(i))), Segment::Line(Point::new(x(to), y(i)))]);
            }
        }
        for (outline, colour, width) in [(thin, THIN, 0.3), (tens, TENS, 0.8), (edge, TENS, 0.8)] {
            if !outline.is_empty() {
                let stroke = Some(draw::line(colour, Length::pt(width)));
                out.push(draw::shape(LAYOUT, Shape { outline, fill: None, stroke }));
            }
        }
    }

    fn column_numbers(&self, sheet: &Sheet, grid: Rect, setter: &Setter, figure: NodeId, out: &mut Vec<Placed>) {
        let size = number_size(self.cell, setter);
        let mut placed: Vec<(Length, Length)> = Vec::new();
        let last = sheet.columns.end - 1;
        let mut wanted = vec![sheet.columns.start, last];
        wanted.extend(sheet.columns.clone().filter(|c| (c + 1).is_multiple_of(10)));
        wanted.extend(sheet.columns.clone().filter(|c| (c + 1).is_multiple_of(5)));
        for column in wanted {
            let line = setter.line_in("cell-number", &(column + 1).to_string(), size, self.colours.text);
            let middle = grid.left() + self.cell.width * ((column - sheet.columns.start) as f64 + 0.5);
            let (from, to) = (middle - line.width / 2.0, middle + line.width / 2.0);
            let clear = Length::pt(3.0);
            if placed.iter().any(|(a, b)| !(*b + clear).fits(from) && !(to + clear).fits(*a)) {
                continue;
            }
            placed.push((from, to));
            let above = grid.top() - CENTRE_MARK - GAP;
            let below = grid.bottom() + CENTRE_MARK + GAP + size * 0.68;
            line.clone().place(Point::new(from, above), Mark::Node(figure), out);
            line.place(Point::new(from, below), Mark::Node(figure), out);
        }
    }

    /// Small triangles at the middle of the whole chart.
    fn centre_marks(&self, sheet: &Sheet, grid: Rect, out: &mut Vec<Placed>) {
        let half = CENTRE_MARK * 0.6;
        let colour = self.colours.accent;
        let middle = self.block.columns as f64 / 2.0 - sheet.columns.start as f64;
        if middle >= 0.0 && middle <= sheet.columns.len() as f64 {
            let x = grid.left() + self.cell.width * middle;
            for (tip, away) in [(grid.top(), -1.0), (grid.bottom(), 1.0)] {
                let (tip, base) = (tip + Length::pt(0.8) * away, tip + CENTRE_MARK * away);
                let (a, b) = (Point::new(x - half, base), Point::new(x + half, base));
                out.push(draw::shape(LAYOUT, draw::triangle(Point::new(x, tip), a, b, colour)));
            }
        }
        let middle = self.block.rows.len() as f64 / 2.0 - sheet.rows.start as f64;
        if middle >= 0.0 && middle <= sheet.rows.len() as f64 {
            let y = grid.top() + self.cell.height * middle;
            for (tip, away) in [(grid.left(), -1.0), (grid.right(), 1.0)] {
                let (tip, base) = (tip + Length::pt(0.8) * away, tip + CENTRE_MARK * away);
                let (a, b) = (Point::new(base, y - half), Point::new(base, y + half));
                out.push(draw::shape(LAYOUT, draw::triangle(Point::new(tip, y), a, b, colour)));
            }
        }
    }

    /// Number, arrow and box at the side where the row starts.
    fn row_side(
        &self,
        row: usize,
        sheet: &Sheet,
        grid: Rect,
        setter: &Setter,
        structure: &mut Structure,
        section: NodeId,
        figure: NodeId,
        out: &mut Vec<Placed>,
    ) {
        let about: &ChartRow = &self.block.rows[row];
        let h = self.cell.height;
        let middle = grid.top() + h * ((row - sheet.rows.start) as f64 + 0.5);
        let size = number_size(self.cell, setter);
        // Measured outwards from the grid's edge; `away` turns that into left or right.
        let (edge, away) = if about.left_to_right { (grid.left(), -1.0) } else { (grid.right(), 1.0) };
        let at = |distance: Length| edge + distance * away;
        let span = |from: Length, width: Length| -> Length { at(from).min(at(from + width)) };

        let mut from = CENTRE_MARK + GAP;
        let numbered = EVERY_ROW.fits(h) || (row + 1).is_multiple_of(2);
        if numbered {
            let line = setter.line_in("cell-number", &about.number, size, self.colours.text);
            let x = span(from, line.width);
            line.place(Point::new(x, middle + size * 0.34), Mark::Node(figure), out);
        }
        from += self.number_width + GAP;
        let arrow = Rect::new(span(from, ARROW), middle - Length::mm(0.7), ARROW, Length::mm(1.4));
        out.push(draw::shape(Mark::Node(figure), draw::arrow(arrow, about.left_to_right, self.colours.quiet)));
        from += ARROW + GAP;
        let side = BOX.min(h - Length::mm(0.7));
        let target = Rect::new(span(from, TARGET), middle - h / 2.0, TARGET, h);
        let drawn = Rect::new(target.centre().x - side / 2.0, middle - side / 2.0, side, side);
        out.push(draw::shape(LAYOUT, draw::ground(drawn, Colour::WHITE)));
        out.push(draw::shape(LAYOUT, draw::frame(drawn, self.colours.text, Length::pt(0.6))));
        let form = structure.add(Role::Form, Some(section));
        out.push(Placed {
            mark: Mark::Node(form),
            item: Item::Tick(Tick {
                area: target,
                field: about.field.clone(),
                label: about.spoken.clone(),
                colour: self.colours.accent,
            }),
        });
    }

    /// How cells are inked: for those who read the sheet back.
    pub fn ink(&self) -> inks::ChartInk {
        self.ink
    }
}

/// Height of the tinted band of repeated columns above and below the grid.
const STRIP_BAND: Length = Length::mm(5.4);

/// The yarns of the key in palette order, then bare cells if there are any.
fn used_yarns(block: &ChartBlock) -> Vec<Option<usize>> {
    let mut used: Vec<Option<usize>> = (0..block.yarns.len()).map(Some).collect();
    if block.cells.contains(&Cells::BARE) {
        used.push(None);
    }
    used
}

fn key_of(block: &ChartBlock, used: &[Option<usize>], setter: &Setter, room: Length) -> Key {
    let sample = Length::mm(4.0);
    let widest = used
        .iter()
        .map(|yarn| match yarn {
            Some(i) => {
                let yarn = &block.yarns[*i];
                setter.line("key", &yarn.name).width + Length::mm(3.0) + setter.line("key", &yarn.count).width
            }
            None => setter.line("key", &block.words.bare).width,
        })
        .fold(Length::ZERO, Length::max);
    let entry = sample + Length::mm(2.0) + widest + Length::mm(5.0);
    let columns = ((room / entry).floor().max(1.0) as usize).min(used.len());
    let lines = used.len().div_ceil(columns);
    let height = key_line(setter.style("key").leading) * lines as f64;
    Key { columns, lines, entry, sample, height }
}

fn key_line(leading: Length) -> Length {
    leading.max(Length::mm(5.0))
}

fn head_height(setter: &Setter, key: &Key) -> Length {
    // `columns` only decides how many lines there are.
    debug_assert!(key.columns > 0);
    (setter.style("sheet-title").leading + Length::mm(2.0) + key.height).max(FINDER.height) + Length::mm(1.5)
}

/// Room for two lines of notes, and for a third where dots show the starts and must be explained.
fn note_height(edition: &Edition, setter: &Setter) -> Length {
    setter.style("sheet-note").leading * if edition.chart.yarn_starts { 3.0 } else { 2.0 }
}

/// Height of the strip with the column numbers.
fn strip(setter: &Setter) -> Length {
    CENTRE_MARK + GAP * 2.0 + setter.style("cell-number").size
}

fn gutter(number_width: Length) -> Length {
    CENTRE_MARK + GAP * 3.0 + number_width + ARROW + TARGET + Length::mm(0.6)
}

fn number_size(cell: Size, setter: &Setter) -> Length {
    setter.style("cell-number").size.min(cell.height * 0.78)
}

fn sheet_area(edition: &Edition, turned: bool) -> Rect {
    let paper = &edition.paper;
    let size = if turned { Size::new(paper.size.height, paper.size.width) } else { paper.size };
    let margin = paper.chart_margin;
    // The folio stands below the sheet, inside the margin's upper part.
    let foot = if edition.folio { Length::mm(5.0) } else { Length::ZERO };
    let head = if edition.running_head { Length::mm(5.0) } else { Length::ZERO };
    Rect::new(margin, margin + head, size.width - margin * 2.0, size.height - margin * 2.0 - foot - head)
}

fn range_words(range: &std::ops::Range<usize>) -> [(&'static str, String); 2] {
    [("from", (range.start + 1).to_string()), ("to", range.end.to_string())]
}

/// Puts values into a template's braces.
pub fn fill(template: &str, values: &[(&str, String)]) -> String {
    values.iter().fold(template.to_string(), |text, (name, value)| text.replace(&format!("{{{name}}}"), value))
}

/// Runs of consecutive numbers below `count` for which `wanted` says yes, as (first, one past the last).
fn stretches(count: usize, wanted: impl Fn(usize) -> bool) -> Vec<(usize, usize)> {
    let mut out = Vec::new();
    let mut start = None;
    for i in 0..=count {
        match (start, i < count && wanted(i)) {
            (None, true) => start = Some(i),
            (Some(from), false) => {
                out.push((from, i));
                start = None;
            }
            _ => {}
        }
    }
    out
}

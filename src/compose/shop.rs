//! Pictures for a shop, as pages of their own: the panel as knotted, the pages spread out, what is inside, and the words of
//! a watermark.
//!
//! Comes from drawings, pictures and words, goes out as booklets with one page a picture, so that the back end that draws
//! the pattern draws these as well. They are looked at on a screen and never printed; nothing on them is marked for readers.

use super::colours::Colours;
use super::draw::{self, LAYOUT};
use super::setter::Setter;
use crate::as_knotted;
use crate::catalogue::{FrameName, StyleName};
use crate::colour::Colour;
use crate::edition::Edition;
use crate::font::FontBook;
use crate::geom::{Length, Point, Rect, Size};
use crate::manuscript::{AsKnottedGrid, ShopWords};
use crate::page::{Booklet, Frame, Item, Page, PictureFile, PlacedItem, PlacedPicture};

/// Size of a shop picture on its page: four to five, as most shops show them.
pub(crate) const SIZE: Size = Size { width: Length::pt(480.0), height: Length::pt(600.0) };
/// Most pages that are spread out.
pub(crate) const MAX_PAGES: usize = 12;
/// Kept free all round.
const MARGIN: Length = Length::pt(36.0);
/// The wall behind the panel.
const WALL: Colour = Colour::new(0xf6, 0xf4, 0xf0);
/// What lies under a page.
const SHADOW: Colour = Colour::new(0xd8, 0xd3, 0xc9);
/// How steeply a watermark rises, degrees.
const RISE: f64 = 28.0;

/// The panel as knotted, with its title and the words that call it a drawing.
pub(crate) fn panel(grid: &AsKnottedGrid, words: &ShopWords, edition: &Edition, book: &FontBook) -> Booklet {
    let mut sheet = ShopPicture::new(SIZE, &grid.colours, words, edition, book);
    // The panel is what is looked at: it has all the room that the words leave.
    sheet.left = Rect { origin: Point::default(), size: SIZE }.inset(MARGIN / 2.0);
    sheet.foot(StyleName::Small, &words.drawing);
    sheet.foot(StyleName::Maker, &words.maker);
    sheet.foot(StyleName::Heading1, &words.title);
    let room = sheet.room(Length::pt(8.0));
    sheet.shapes(as_knotted::draw(grid, room).shapes);
    sheet.finished()
}

/// Pages of the booklet laid over each other in rows, the first on top.
pub(crate) fn pages(pages: &[PictureFile], words: &ShopWords, edition: &Edition, book: &FontBook) -> Booklet {
    let mut sheet = ShopPicture::new(SIZE, &[], words, edition, book);
    sheet.foot(StyleName::Body, &words.pages);
    sheet.foot(StyleName::Heading1, &words.title);
    let room = sheet.room(Length::pt(18.0));
    let highest = pages.iter().map(|p| f64::from(p.pixels.1) / f64::from(p.pixels.0.max(1))).fold(1.0, f64::max);
    let columns = match pages.len() {
        0..=1 => 1,
        2..=4 => 2,
        5..=9 => 3,
        _ => 4,
    };
    let rows = pages.len().div_ceil(columns).max(1);
    // Pages of one row lie side by side; rows overlap as far as the room asks for, up to a half.
    let by_width = room.size.width / (columns as f64 + 0.06 * (columns as f64 - 1.0));
    let by_height = room.size.height / (highest * (rows as f64 - 0.5 * (rows as f64 - 1.0)));
    let wide = by_width.min(by_height);
    let high = wide * highest;
    let spread = |count: usize, all: Length, one: Length, most: Length| match count {
        0..=1 => Length::ZERO,
        n => ((all - one) / (n as f64 - 1.0)).min(most),
    };
    let across = spread(columns, room.size.width, wide, wide * 1.06);
    let down = spread(rows, room.size.height, high, high * 1.05);
    let left = room.left() + (room.size.width - wide - across * (columns as f64 - 1.0)) / 2.0;
    let top = room.top() + (room.size.height - high - down * (rows as f64 - 1.0)) / 2.0;
    for (at, page) in pages.iter().enumerate().rev() {
        let (row, column) = (at / columns, at % columns);
        let proportion = f64::from(page.pixels.1) / f64::from(page.pixels.0.max(1));
        let area = Rect::new(left + across * column as f64, top + down * row as f64, wide, wide * proportion);
        sheet.paper(area, page);
    }
    sheet.finished()
}

/// The titles of what is inside beside some of its pages, and below them a corner of the chart as it is printed.
pub(crate) fn inside(
    titles: &[String],
    pages: &[PictureFile],
    corner: Option<&PictureFile>,
    words: &ShopWords,
    edition: &Edition,
    book: &FontBook,
) -> Booklet {
    let mut sheet = ShopPicture::new(SIZE, &[], words, edition, book);
    sheet.head(StyleName::Heading1, &words.inside);
    sheet.head(StyleName::Body, &words.pages);
    if let Some(corner) = corner {
        sheet.foot(StyleName::Caption, &words.corner);
        let (wide, high) = (f64::from(corner.pixels.0.max(1)), f64::from(corner.pixels.1.max(1)));
        let whole = sheet.room(Length::ZERO);
        let scale = (whole.size.width / wide).min(whole.size.height * 0.45 / high);
        let area = Rect::new(
            whole.left() + (whole.size.width - scale * wide) / 2.0,
            whole.bottom() - Length::pt(8.0) - scale * high,
            scale * wide,
            scale * high,
        );
        sheet.paper(area, corner);
        sheet.left.size.height = area.top() - Length::pt(16.0) - sheet.left.top();
    }
    let gap = Length::pt(24.0);
    let body = sheet.left;
    let half = (body.size.width - gap) / 2.0;
    sheet.left.size.width = half;
    sheet.list(titles);
    let top = body.top() + Length::pt(10.0);
    sheet.leaves(Rect::new(body.left() + half + gap, top, half, body.bottom() - top), pages);
    sheet.finished()
}

/// Words small in the upper right corner of a white page of this proportion, in black: they mark a picture and cover nothing
/// of what it shows.
pub(crate) fn corner_mark(pixels: (usize, usize), words: &ShopWords, edition: &Edition, book: &FontBook) -> Booklet {
    let size = Size { width: SIZE.width, height: SIZE.width * (pixels.1 as f64 / pixels.0.max(1) as f64) };
    let mut sheet = ShopPicture::new(size, &[], words, edition, book);
    sheet.items = vec![draw::shape(LAYOUT, draw::ground(Rect { origin: Point::default(), size }, Colour::WHITE))];
    let line = sheet.setter.line_in(StyleName::Small, &words.mark, Length::pt(9.0), Colour::BLACK);
    let at = Point::new(size.width - line.width - Length::pt(12.0), Length::pt(17.0));
    line.place(at, LAYOUT, &mut sheet.items);
    sheet.finished()
}

/// A picture beside the panel that is knotted from it, each with its name below.
pub(crate) fn before_and_after(
    picture: &PictureFile,
    grid: &AsKnottedGrid,
    words: &ShopWords,
    edition: &Edition,
    book: &FontBook,
) -> Booklet {
    let (wide, high) = (f64::from(picture.pixels.0.max(1)), f64::from(picture.pixels.1.max(1)));
    // Two boxes of the picture's proportion, as large as the longer side may be; header, wood and fringe need more height.
    let longest = Length::pt(400.0);
    let room = Size { width: longest * (wide / wide.max(high)), height: longest * (high / wide.max(high)) };
    let gap = MARGIN / 2.0;
    let line = Length::pt(20.0);
    let size = Size { width: room.width * 2.0 + gap * 3.0, height: room.height * 1.3 + gap * 2.0 + line * 1.2 };
    let mut sheet = ShopPicture::new(size, &grid.colours, words, edition, book);
    let area = Rect::new(gap, gap + room.height * 0.15, room.width, room.height);
    sheet.picture(area, picture);
    sheet.left = Rect::new(gap, size.height - gap - line, room.width, line);
    sheet.foot(StyleName::Caption, &words.before);
    sheet.left = Rect::new(gap * 2.0 + room.width, size.height - gap - line, room.width, line);
    sheet.foot(StyleName::Caption, &words.after);
    let area = Rect::new(gap * 2.0 + room.width, gap, room.width, room.height * 1.3);
    sheet.shapes(as_knotted::draw(grid, area).shapes);
    sheet.finished()
}

/// The words of a watermark all over a white page of this proportion, in black.
pub(crate) fn watermark(pixels: (usize, usize), words: &ShopWords, edition: &Edition, book: &FontBook) -> Booklet {
    let width = SIZE.width;
    let size = Size { width, height: width * (pixels.1 as f64 / pixels.0.max(1) as f64) };
    let mut sheet = ShopPicture::new(size, &[], words, edition, book);
    sheet.items = vec![draw::shape(LAYOUT, draw::ground(Rect { origin: Point::default(), size }, Colour::WHITE))];
    let once = format!("{}     ", words.watermark);
    let length =
        sheet.setter.line_in(StyleName::Heading1, &once, Length::pt(24.0), Colour::BLACK).width.max(Length::pt(24.0));
    let (sin, cos) = (libm::sin(RISE.to_radians()), libm::cos(RISE.to_radians()));
    let far = size.width * cos + size.height * sin;
    let times = ((far / length) as usize + 2).min(60);
    let line = sheet.setter.line_in(StyleName::Heading1, &once.repeat(times), Length::pt(24.0), Colour::BLACK);
    let apart = Length::pt(96.0);
    let lines = ((size.height + size.width * (sin / cos)) / apart) as usize + 1;
    for at in 0..lines {
        // Every other line begins half a length further back.
        let back = length * (0.15 + 0.5 * (at % 2) as f64);
        let from = Point::new(-back * cos, apart * (at as f64 + 0.5) + back * sin);
        for (_, run) in &line.runs {
            let mut run = run.clone();
            let along = run.origin.x;
            run.origin = Point::new(from.x + along * cos, from.y - along * sin);
            run.turn = RISE;
            sheet.items.push(PlacedItem { mark: LAYOUT, item: Item::Text(run) });
        }
    }
    sheet.finished()
}

/// A picture in the making.
struct ShopPicture<'a> {
    size: Size,
    words: &'a ShopWords,
    setter: Setter<'a>,
    colours: Colours,
    /// What no line has taken yet.
    left: Rect,
    items: Vec<PlacedItem>,
    pictures: Vec<PictureFile>,
}

impl<'a> ShopPicture<'a> {
    fn new(
        size: Size,
        yarns: &[Colour],
        words: &'a ShopWords,
        edition: &'a Edition,
        book: &'a FontBook,
    ) -> ShopPicture<'a> {
        let whole = Rect { origin: Point::default(), size };
        let colours = Colours::of(edition, yarns);
        ShopPicture {
            size,
            words,
            setter: Setter::new(book, edition, colours, &words.language),
            colours,
            left: whole.inset(MARGIN),
            items: vec![draw::shape(LAYOUT, draw::ground(whole, WALL))],
            pictures: Vec::new(),
        }
    }

    /// One centred line at the foot of what is left, made smaller where it is too wide.
    fn foot(&mut self, style: StyleName, text: &str) {
        let leading = self.setter.style(style).leading;
        self.line(style, text, self.left.bottom() - leading);
        self.left.size.height -= leading;
    }

    /// The same at its head.
    fn head(&mut self, style: StyleName, text: &str) {
        let leading = self.setter.style(style).leading;
        self.line(style, text, self.left.top());
        self.left.origin.y += leading;
        self.left.size.height -= leading;
    }

    fn line(&mut self, style: StyleName, text: &str, top: Length) {
        let line = self.setter.line_within(style, text, self.left.size.width);
        let baseline = top + self.setter.baseline(self.setter.style(style));
        let x = self.left.left() + (self.left.size.width - line.width) / 2.0;
        line.place(Point::new(x, baseline), LAYOUT, &mut self.items);
    }

    /// What is left above the lines at the foot and a gap.
    fn room(&self, gap: Length) -> Rect {
        Rect { size: Size { height: self.left.size.height - gap, ..self.left.size }, ..self.left }
    }

    /// Lines with a square before each, in one or two columns, spread over what is left.
    fn list(&mut self, lines: &[String]) {
        let style = self.setter.style(StyleName::Body).clone();
        let top = self.left.top() + Length::pt(10.0);
        let high = self.left.bottom() - top;
        let columns = if style.leading * lines.len() as f64 > high { 2 } else { 1 };
        let rows = lines.len().div_ceil(columns).max(1);
        let step = (high / rows as f64).min(style.leading * 1.5);
        let wide = (self.left.size.width - Length::pt(24.0) * (columns as f64 - 1.0)) / columns as f64;
        let indent = Length::pt(14.0);
        let set: Vec<_> =
            lines.iter().map(|text| self.setter.line_within(StyleName::Body, text, wide - indent)).collect();
        let widest = set.iter().map(|line| line.width).fold(Length::ZERO, Length::max) + indent;
        // One column stands in the middle, two fill the width.
        let start = if columns == 1 { (self.left.size.width - widest) / 2.0 } else { Length::ZERO };
        for (at, line) in set.into_iter().enumerate() {
            let x = self.left.left() + start + (wide + Length::pt(24.0)) * (at / rows) as f64;
            let baseline = top + step * (at % rows) as f64 + step / 2.0 + style.size * 0.34;
            let square = Rect::new(x, baseline - style.size * 0.58, Length::pt(5.0), Length::pt(5.0));
            self.items.push(draw::shape(LAYOUT, draw::ground(square, self.colours.accent)));
            line.place(Point::new(x + indent, baseline), LAYOUT, &mut self.items);
        }
    }

    /// Some of these pages, two beside each other, as large as the room allows.
    fn leaves(&mut self, room: Rect, pages: &[PictureFile]) {
        const ACROSS: usize = 2;
        let highest = pages.iter().map(|p| f64::from(p.pixels.1) / f64::from(p.pixels.0.max(1))).fold(0.1, f64::max);
        let gap = Length::pt(10.0);
        let by_width = (room.size.width - gap) / ACROSS as f64;
        let down = ((room.size.height + gap) / (by_width * highest + gap)).max(1.0) as usize;
        let by_height = (room.size.height - gap * (down as f64 - 1.0)) / (down as f64 * highest);
        let wide = by_width.min(by_height);
        let step = (pages.len() / (ACROSS * down)).max(1);
        let shown: Vec<&PictureFile> = pages.iter().step_by(step).take(ACROSS * down).collect();
        let rows = shown.len().div_ceil(ACROSS).max(1) as f64;
        let high = wide * highest * rows + gap * (rows - 1.0);
        let left = room.left() + (room.size.width - wide * ACROSS as f64 - gap) / 2.0;
        let top = room.top() + (room.size.height - high) / 2.0;
        for (at, page) in shown.into_iter().enumerate() {
            let proportion = f64::from(page.pixels.1) / f64::from(page.pixels.0.max(1));
            let (row, column) = ((at / ACROSS) as f64, (at % ACROSS) as f64);
            let place = Point::new(left + (wide + gap) * column, top + (wide * highest + gap) * row);
            self.paper(Rect::new(place.x, place.y, wide, wide * proportion), page);
        }
    }

    /// A picture that lies there like a sheet of paper.
    fn paper(&mut self, area: Rect, picture: &PictureFile) {
        let under = area.moved(Length::pt(1.6), Length::pt(2.2));
        self.items.push(draw::shape(LAYOUT, draw::ground(under, SHADOW)));
        self.picture(area, picture);
        self.items.push(draw::shape(LAYOUT, draw::frame(area, self.colours.rule, Length::pt(0.4))));
    }

    fn picture(&mut self, area: Rect, picture: &PictureFile) {
        let placed = PlacedPicture { picture: self.pictures.len(), area, clip: area };
        self.pictures.push(picture.clone());
        self.items.push(PlacedItem { mark: LAYOUT, item: Item::Picture(placed) });
    }

    fn shapes(&mut self, shapes: std::sync::Arc<Vec<crate::page::Shape>>) {
        self.items.push(draw::picture(LAYOUT, Point::default(), shapes));
    }

    fn finished(self) -> Booklet {
        let area = Rect { origin: Point::default(), size: self.size };
        let frame = Frame { name: FrameName::Picture, area, items: self.items };
        let page = Page { trim: self.size, bleed: Length::ZERO, label: String::new(), frames: vec![frame] };
        let mut booklet = Booklet { pages: vec![page], pictures: self.pictures, ..Booklet::default() };
        booklet.about.title.clone_from(&self.words.title);
        booklet.about.language.clone_from(&self.words.language);
        booklet
    }
}

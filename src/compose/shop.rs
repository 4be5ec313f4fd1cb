//! Pictures for a shop, as pages of their own: the panel as knotted and a line that says what it is.
//!
//! Comes from drawings and words, goes out as a booklet with one page a picture, so that the back end that draws the pattern
//! draws these as well. They are looked at on a screen and never printed; nothing on them is marked for readers.

use super::draw::{self, LAYOUT};
use super::setting::Setter;
use super::{Colours, as_knotted};
use crate::colour::Colour;
use crate::edition::Edition;
use crate::font::FontBook;
use crate::geom::{Length, Point, Rect, Size};
use crate::manuscript::{AsKnottedGrid, ShopWords};
use crate::page::{Booklet, Frame, Item, Page, PictureFile, Placed, PlacedPicture};

/// Size of a shop picture on its page: four to five, as most shops show them.
pub const SIZE: Size = Size { width: Length::pt(480.0), height: Length::pt(600.0) };
/// Kept free all round.
const MARGIN: Length = Length::pt(36.0);
/// The wall behind the panel.
const WALL: Colour = Colour::new(0xf6, 0xf4, 0xf0);

/// The panel as knotted, with its title and the words that call it a drawing.
pub fn panel(grid: &AsKnottedGrid, words: &ShopWords, edition: &Edition, book: &FontBook) -> Booklet {
    let colours = Colours::of(&edition.look, &grid.colours);
    let setter = Setter::new(book, edition, colours, &words.language);
    let whole = Rect { origin: Point::default(), size: SIZE };
    let mut items = vec![draw::shape(LAYOUT, draw::ground(whole, WALL))];
    let room = whole.inset(MARGIN);
    let mut foot = Foot { room, items: &mut items, setter: &setter };
    foot.line("small", &words.drawing);
    foot.line("maker", &words.maker);
    foot.line("heading-1", &words.title);
    let left = foot.left(Length::pt(14.0));
    let drawing = as_knotted::draw(grid, left);
    items.extend(drawing.shapes.into_iter().map(|shape| draw::shape(LAYOUT, shape)));
    booklet(vec![page(items, SIZE)], words)
}

/// A picture beside the panel that is knotted from it, each with its name below.
pub fn before_and_after(
    picture: &PictureFile,
    grid: &AsKnottedGrid,
    words: &ShopWords,
    edition: &Edition,
    book: &FontBook,
) -> Booklet {
    let colours = Colours::of(&edition.look, &grid.colours);
    let setter = Setter::new(book, edition, colours, &words.language);
    let (wide, high) = (f64::from(picture.pixels.0.max(1)), f64::from(picture.pixels.1.max(1)));
    // Two boxes of the picture's proportion, as large as the longer side may be; header, wood and fringe need more height.
    let longest = Length::pt(400.0);
    let room = Size { width: longest * (wide / wide.max(high)), height: longest * (high / wide.max(high)) };
    let gap = MARGIN / 2.0;
    let size = Size { width: room.width * 2.0 + gap * 3.0, height: room.height * 1.3 + gap * 2.0 + Length::pt(24.0) };
    let whole = Rect { origin: Point::default(), size };
    let mut items = vec![draw::shape(LAYOUT, draw::ground(whole, WALL))];
    let foot = Rect::new(gap, size.height - gap - Length::pt(20.0), room.width, Length::pt(20.0));
    let area = Rect::new(gap, gap + room.height * 0.15, room.width, room.height);
    let placed = PlacedPicture { picture: 0, area, clip: area };
    items.push(Placed { mark: LAYOUT, item: Item::Picture(placed) });
    Foot { room: foot, items: &mut items, setter: &setter }.line("caption", &words.before);
    let right = room.width + gap;
    let mut beside = Foot { room: foot.moved(right, Length::ZERO), items: &mut items, setter: &setter };
    beside.line("caption", &words.after);
    let area = Rect::new(gap + right, gap, room.width, room.height * 1.3);
    items.extend(as_knotted::draw(grid, area).shapes.into_iter().map(|shape| draw::shape(LAYOUT, shape)));
    let mut booklet = booklet(vec![page(items, size)], words);
    booklet.pictures = vec![picture.clone()];
    booklet
}

/// Lines set from the bottom upwards.
struct Foot<'a, 'b> {
    room: Rect,
    items: &'a mut Vec<Placed>,
    setter: &'a Setter<'b>,
}

impl Foot<'_, '_> {
    /// One centred line, made smaller where it is too wide.
    fn line(&mut self, style: &str, text: &str) {
        if text.is_empty() {
            return;
        }
        let line = self.setter.line_within(style, text, self.room.size.width);
        let leading = self.setter.style(style).leading;
        let top = self.room.bottom() - leading;
        let baseline = top + self.setter.baseline(self.setter.style(style));
        let x = self.room.left() + (self.room.size.width - line.width) / 2.0;
        line.place(Point::new(x, baseline), LAYOUT, self.items);
        self.room.size.height -= leading;
    }
    /// What is left above the lines and a gap.
    fn left(self, gap: Length) -> Rect {
        Rect::new(self.room.left(), self.room.top(), self.room.size.width, self.room.size.height - gap)
    }
}

fn page(items: Vec<Placed>, size: Size) -> Page {
    let area = Rect { origin: Point::default(), size };
    let frame = Frame { name: "picture", area, items };
    Page { trim: size, bleed: Length::ZERO, label: String::new(), frames: vec![frame] }
}

fn booklet(pages: Vec<Page>, words: &ShopWords) -> Booklet {
    let mut booklet = Booklet { pages, ..Booklet::default() };
    booklet.about.title.clone_from(&words.title);
    booklet.about.language.clone_from(&words.language);
    booklet
}

//! A small booklet made by hand that holds one of everything.

use crate::catalogue::FrameName;
use crate::colour::Colour;
use crate::font::{Features, FontBook, FontRole};
use crate::geom::{Length, Point, Rect, Size};
use crate::page::{
    AboutBooklet, Artifact, Blank, Booklet, CellInk, Cells, Frame, Glyph, Item, Link, Mark, NodeId, OutlineEntry, Page,
    PictureFile, PlacedItem, PlacedPicture, Role, Segment, Shape, Stroke, Target, TextRun, Tick,
};
use crate::text::shape_line;
use std::sync::Arc;

pub(crate) fn pt(value: f64) -> Length {
    Length::pt(value)
}

/// Runs of a line of text, one for each face it needs.
pub(crate) fn line(book: &FontBook, role: FontRole, size: f64, x: f64, y: f64, text: &str) -> Vec<TextRun> {
    let shaped = shape_line(book, book.role(role), pt(size), text, Features::default(), "en");
    assert!(shaped.missing.is_empty(), "the sample's own words must be printable");
    let mut at = x;
    let mut runs = Vec::new();
    for piece in shaped.pieces {
        let width: f64 = piece.glyphs.iter().map(|glyph| glyph.advance.to_pt()).sum();
        runs.push(TextRun {
            face: piece.face,
            size: pt(size),
            colour: Colour::BLACK,
            origin: Point::pt(at, y),
            glyphs: Arc::new(piece.glyphs),
            text: text[piece.range].to_owned(),
            actual: None,
            language: None,
            turn: 0.0,
        });
        at += width;
    }
    runs
}

pub(crate) struct Press {
    pub(crate) book: FontBook,
    pub(crate) booklet: Booklet,
}

impl Press {
    pub(crate) fn new() -> Press {
        let mut booklet = Booklet {
            about: AboutBooklet {
                title: "Heron & Reed <two>".to_owned(),
                author: "Ada Øst".to_owned(),
                subject: "A knotted panel for a narrow wall".to_owned(),
                keywords: vec!["panel".to_owned(), "knots".to_owned()],
                language: "en".to_owned(),
                rights: "© Ada Øst, for private use".to_owned(),
                version: "1.2".to_owned(),
                date: (2026, 3, 9),
                made_with: vec![("version".to_owned(), "1".to_owned()), ("paper".to_owned(), "a5".to_owned())],
            },
            ..Booklet::default()
        };
        booklet.structure.add(Role::Document, None);
        Press { book: FontBook::shipped(), booklet }
    }
    pub(crate) fn root(&self) -> NodeId {
        NodeId(0)
    }
    pub(crate) fn add(&mut self, role: Role, parent: NodeId) -> NodeId {
        self.booklet.structure.add(role, Some(parent))
    }
    pub(crate) fn page(&mut self, label: &str, bleed: f64) {
        let trim = Size::new(Length::mm(210.0), Length::mm(297.0));
        let frame = Frame { name: FrameName::Text, area: Rect::default(), items: Vec::new() };
        self.booklet.pages.push(Page { trim, bleed: pt(bleed), label: label.to_owned(), frames: vec![frame] });
    }
    pub(crate) fn place(&mut self, mark: Mark, item: Item) {
        let page = self.booklet.pages.last_mut().expect("a page was begun");
        page.frames[0].items.push(PlacedItem { mark, item });
    }
    pub(crate) fn words(&mut self, node: NodeId, role: FontRole, size: f64, x: f64, y: f64, text: &str) {
        for run in line(&self.book, role, size, x, y, text) {
            self.place(Mark::Node(node), Item::Text(run));
        }
    }
    pub(crate) fn artifact(&mut self, kind: Artifact, x: f64, y: f64, text: &str) {
        for run in line(&self.book, FontRole::Figures, 8.0, x, y, text) {
            self.place(Mark::Artifact(kind), Item::Text(run));
        }
    }
    pub(crate) fn write(&self, options: super::Options) -> Vec<u8> {
        super::write(&self.booklet, &self.book, options).expect("the sample can be written")
    }
}

pub(crate) fn rectangle(x: f64, y: f64, w: f64, h: f64) -> Vec<Segment> {
    vec![
        Segment::Move(Point::pt(x, y)),
        Segment::Line(Point::pt(x + w, y)),
        Segment::Line(Point::pt(x + w, y + h)),
        Segment::Line(Point::pt(x, y + h)),
        Segment::Close,
    ]
}

pub(crate) fn diamond(r: f64) -> Arc<Vec<Segment>> {
    Arc::new(vec![
        Segment::Move(Point::pt(0.0, -r)),
        Segment::Line(Point::pt(r, 0.0)),
        Segment::Line(Point::pt(0.0, r)),
        Segment::Line(Point::pt(-r, 0.0)),
        Segment::Close,
    ])
}

/// Points up, so that it shows when the page is upside down.
pub(crate) fn wedge(r: f64) -> Arc<Vec<Segment>> {
    Arc::new(vec![
        Segment::Move(Point::pt(0.0, -r)),
        Segment::Line(Point::pt(r, r)),
        Segment::Line(Point::pt(-r, r)),
        Segment::Close,
    ])
}

pub(crate) fn inks(cell: f64) -> Vec<CellInk> {
    let r = cell * 0.35;
    vec![
        CellInk { ground: Some(Colour::new(0x2b, 0x3a, 0x67)), mark: wedge(r), colour: Colour::WHITE },
        CellInk { ground: Some(Colour::new(0xf2, 0xe6, 0xc9)), mark: diamond(r), colour: Colour::BLACK },
        CellInk { ground: None, mark: diamond(r * 0.5), colour: Colour::new(0xc0, 0x39, 0x2b) },
    ]
}

/// Eight columns and six rows with a hole.
pub(crate) fn cells(x: f64, y: f64, cell: f64) -> Cells {
    let rows = ["00011222", "00111122", "01111112", "0110.112", "00111122", "00011222"];
    Cells {
        origin: Point::pt(x, y),
        cell: Size::new(pt(cell), pt(cell)),
        columns: 8,
        cells: rows.iter().flat_map(|row| row.bytes()).map(|c| (c != b'.').then(|| c - b'0')).collect(),
        inks: inks(cell),
    }
}

/// A PNG of two by two pixels, red, green / blue, white.
pub(crate) fn png() -> PictureFile {
    let mut bytes = Vec::new();
    let pixels = [255, 0, 0, 0, 255, 0, 0, 0, 255, 255, 255, 255];
    let encoder = image::codecs::png::PngEncoder::new(&mut bytes);
    image::ImageEncoder::write_image(encoder, &pixels, 2, 2, image::ExtendedColorType::Rgb8).expect("a picture");
    PictureFile { bytes: Arc::new(bytes), pixels: (2, 2) }
}

/// A JPEG of sixteen by eight pixels, left half dark red, right half light blue; `orientation` goes into its EXIF block.
pub(crate) fn jpeg(orientation: u16) -> PictureFile {
    let pixels: Vec<u8> = (0..8 * 16).flat_map(|i| if i % 16 < 8 { [120, 0, 0] } else { [200, 220, 255] }).collect();
    let mut bytes = Vec::new();
    let encoder = image::codecs::jpeg::JpegEncoder::new_with_quality(&mut bytes, 95);
    image::ImageEncoder::write_image(encoder, &pixels, 16, 8, image::ExtendedColorType::Rgb8).expect("a picture");
    let mut exif = b"\xFF\xE1\x00\x22Exif\0\0MM\0\x2a\0\0\0\x08\0\x01\x01\x12\0\x03\0\0\0\x01".to_vec();
    exif.extend(orientation.to_be_bytes());
    exif.extend([0; 6]);
    bytes.splice(2..2, exif);
    PictureFile { bytes: Arc::new(bytes), pixels: if orientation >= 5 { (8, 16) } else { (16, 8) } }
}

/// One of everything on two pages.
#[expect(clippy::too_many_lines, reason = "a whole booklet, item by item")]
pub(crate) fn booklet() -> Press {
    let mut p = Press::new();
    let root = p.root();
    p.page("i", 0.0);
    p.artifact(Artifact::Header, 60.0, 40.0, "Heron & Reed");
    let section = p.add(Role::Section, root);
    let heading = p.add(Role::Heading(1), section);
    p.words(heading, FontRole::TextStrong, 22.0, 60.0, 90.0, "Heron & Reed");
    let contents = p.add(Role::Contents, section);
    let entry = p.add(Role::ContentsItem, contents);
    let link = p.add(Role::Link, entry);
    p.words(link, FontRole::Text, 11.0, 60.0, 120.0, "Chart · page 1");
    p.place(
        Mark::Node(link),
        Item::Link(Link {
            area: Rect::new(pt(60.0), pt(110.0), pt(80.0), pt(14.0)),
            target: Target::Page(1, pt(50.0)),
            label: "Chart, page 1".to_owned(),
        }),
    );
    let paragraph = p.add(Role::Paragraph, section);
    p.words(
        paragraph,
        FontRole::Text,
        11.0,
        60.0,
        150.0,
        "The office finds 1½ flat knots by AVATAR in café Šárka — “fine”; To-",
    );
    if let Some(PlacedItem { item: Item::Text(run), .. }) = p.booklet.pages[0].frames[0].items.last_mut() {
        // The hyphen at the line's end is a run of its own and is not spoken.
        let hyphen = Arc::make_mut(&mut run.glyphs).pop().expect("a glyph");
        let at = run.text.len() - 1;
        let width: f64 = run.glyphs.iter().map(|glyph| glyph.advance.to_pt()).sum();
        run.text.truncate(at);
        let tail = TextRun {
            origin: run.origin.moved(pt(width), Length::ZERO),
            glyphs: Arc::new(vec![Glyph { cluster: 0..1, ..hyphen }]),
            text: "-".to_owned(),
            actual: Some(String::new()),
            ..run.clone()
        };
        p.place(Mark::Node(paragraph), Item::Text(tail));
    }
    p.words(paragraph, FontRole::Text, 11.0, 60.0, 165.0, "day 4\u{a0}navy, then → right.");
    let italic = p.add(Role::Paragraph, section);
    p.booklet.structure.get_mut(italic).language = Some("de".to_owned());
    p.words(italic, FontRole::TextItalic, 11.0, 60.0, 190.0, "Größe: Kreuz & quer (Öse)");
    let list = p.add(Role::List(false), section);
    for (i, (name, words)) in [("bring-a", "navy yarn"), ("bring-b", "cream yarn")].into_iter().enumerate() {
        let y = 220.0 + 20.0 * i as f64;
        let item = p.add(Role::ListItem, list);
        let label = p.add(Role::ListLabel, item);
        let form = p.add(Role::Form, label);
        let body = p.add(Role::ListBody, item);
        let area = Rect::new(pt(60.0), pt(y - 10.0), pt(18.0), pt(18.0));
        let stroke = Stroke { colour: Colour::BLACK, width: pt(0.7), dash: Vec::new(), round: false };
        let outline = rectangle(60.0, y - 10.0, 18.0, 18.0);
        p.place(Mark::Artifact(Artifact::Layout), Item::Shape(Shape { outline, fill: None, stroke: Some(stroke) }));
        p.place(
            Mark::Node(form),
            Item::Tick(Tick {
                area,
                field: name.to_owned(),
                label: format!("{words}: have it").into(),
                colour: Colour::new(0x1a, 0x7a, 0x3a),
            }),
        );
        p.words(body, FontRole::Text, 11.0, 84.0, y + 4.0, words);
    }
    let form = p.add(Role::Form, section);
    p.place(
        Mark::Node(form),
        Item::Blank(Blank {
            area: Rect::new(pt(60.0), pt(262.0), pt(90.0), pt(12.0)),
            field: "own-figure".to_owned(),
            label: "Fill in: your own figure".to_owned(),
            size: pt(9.0),
        }),
    );
    let table = p.add(Role::Table, section);
    for (r, row) in [["Yarn", "Knots"], ["navy", "16"], ["cream", ""]].iter().enumerate() {
        let tr = p.add(Role::TableRow, table);
        for (c, words) in row.iter().enumerate() {
            let role = match (r, c) {
                (0, _) => Role::ColumnHead,
                (_, 0) => Role::RowHead,
                (_, _) => Role::TableCell,
            };
            let cell = p.add(role, tr);
            let (x, y) = (60.0 + 80.0 * c as f64, 290.0 + 16.0 * r as f64);
            p.words(cell, FontRole::Figures, 10.0, x, y, words);
        }
    }
    let outline = vec![Segment::Move(Point::pt(60.0, 296.0)), Segment::Line(Point::pt(200.0, 296.0))];
    let stroke =
        Stroke { colour: Colour::new(120, 120, 120), width: pt(0.5), dash: vec![pt(3.0), pt(2.0)], round: true };
    p.place(Mark::Artifact(Artifact::Layout), Item::Shape(Shape { outline, fill: None, stroke: Some(stroke) }));
    let figure = p.add(Role::Figure, section);
    p.booklet.structure.get_mut(figure).alt = Some("Two pictures and a curve".to_owned());
    p.booklet.pictures = vec![png(), jpeg(6)];
    for (picture, x) in [(0, 60.0), (1, 140.0)] {
        let area = Rect::new(pt(x), pt(360.0), pt(60.0), pt(if picture == 0 { 60.0 } else { 120.0 }));
        let clip = if picture == 0 { area.inset(pt(10.0)) } else { area };
        p.place(Mark::Node(figure), Item::Picture(PlacedPicture { picture, area, clip }));
    }
    let curve = vec![
        Segment::Move(Point::pt(230.0, 420.0)),
        Segment::Curve(Point::pt(260.0, 340.0), Point::pt(300.0, 480.0), Point::pt(330.0, 400.0)),
    ];
    let stroke = Stroke { colour: Colour::new(0xc0, 0x39, 0x2b), width: pt(4.0), dash: Vec::new(), round: true };
    p.place(Mark::Node(figure), Item::Shape(Shape { outline: curve, fill: None, stroke: Some(stroke) }));
    let caption = p.add(Role::Caption, figure);
    p.words(caption, FontRole::Text, 9.0, 60.0, 500.0, "Two pictures");
    p.artifact(Artifact::Footer, 300.0, 820.0, "i");

    p.page("1", 8.5);
    let tint =
        Shape { outline: rectangle(-8.5, -8.5, 30.0, 900.0), fill: Some(Colour::new(230, 236, 240)), stroke: None };
    p.place(Mark::Artifact(Artifact::Background), Item::Shape(tint));
    let section = p.add(Role::Section, root);
    let heading = p.add(Role::Heading(1), section);
    p.words(heading, FontRole::TextStrong, 18.0, 60.0, 60.0, "Chart");
    let figure = p.add(Role::Figure, section);
    p.booklet.structure.get_mut(figure).alt = Some("Chart of 8 columns and 6 rows".to_owned());
    p.place(Mark::Node(figure), Item::Cells(cells(60.0, 80.0, 20.0)));
    for run in line(&p.book, FontRole::Figures, 9.0, 250.0, 200.0, "worked upwards? never") {
        p.place(Mark::Node(figure), Item::Text(TextRun { turn: 90.0, ..run }));
    }
    p.place(Mark::Node(figure), Item::Cells(cells(60.0, 220.0, 10.0)));
    let form = p.add(Role::Form, section);
    p.place(
        Mark::Node(form),
        Item::Tick(Tick {
            area: Rect::new(pt(30.0), pt(80.0), pt(18.0), pt(18.0)),
            field: "bring-a".to_owned(),
            label: "navy yarn: have it".into(),
            colour: Colour::new(0x1a, 0x7a, 0x3a),
        }),
    );
    let paragraph = p.add(Role::Paragraph, section);
    p.words(paragraph, FontRole::Text, 11.0, 60.0, 320.0, "Errata: ");
    let link = p.add(Role::Link, paragraph);
    p.words(link, FontRole::Text, 11.0, 110.0, 320.0, "heron.example.org");
    p.place(
        Mark::Node(link),
        Item::Link(Link {
            area: Rect::new(pt(110.0), pt(310.0), pt(90.0), pt(14.0)),
            target: Target::Address("https://heron.example.org/errata?é".to_owned()),
            label: "Errata at heron.example.org".to_owned(),
        }),
    );
    p.booklet.outline = vec![
        OutlineEntry { level: 1, title: "Heron & Reed".to_owned(), page: 0, y: pt(70.0) },
        OutlineEntry { level: 2, title: "Contents".to_owned(), page: 0, y: pt(110.0) },
        OutlineEntry { level: 2, title: "Materials".to_owned(), page: 0, y: pt(210.0) },
        OutlineEntry { level: 1, title: "Größe".to_owned(), page: 1, y: pt(40.0) },
    ];
    p
}

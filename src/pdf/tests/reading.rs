//! What stands in a finished file, read back.
//!
//! Long, and one subject: one file, read back by several readers.

use super::sample::{self, Press, pt};
use super::{Options, PdfError, walk, write};
use crate::colour::Colour;
use crate::font::FontRole;
use crate::geom::{Length, Rect};
use crate::page::{Artifact, FaceId, Item, Mark, NodeId, PlacedItem, Role, Shape, Tick};
use lopdf::{Dictionary, Document, Object};

const PLAIN: Options = Options { ticks: false, tagged: false };

fn load(bytes: &[u8]) -> Document {
    Document::load_mem(bytes).expect("our own file")
}

fn numbers(object: &Object) -> Vec<f32> {
    object.as_array().expect("an array").iter().map(|value| value.as_float().expect("a number")).collect()
}

fn page(document: &Document, number: u32) -> &Dictionary {
    document.get_dictionary(document.get_pages()[&number]).expect("a page")
}

/// Each operation of a page as operator and operands.
fn operations(document: &Document, number: u32) -> Vec<lopdf::content::Operation> {
    let content = document.get_page_content(document.get_pages()[&number]);
    hayro_operations(&content)
}

/// lopdf's own decoder is behind a feature; hayro's will do.
fn hayro_operations(content: &[u8]) -> Vec<lopdf::content::Operation> {
    use hayro_syntax::object::Object as Read;
    let mut operators = hayro_syntax::content::UntypedIter::new(content);
    let mut out = Vec::new();
    while let Some(instruction) = operators.next() {
        let operands = instruction
            .operands()
            .map(|operand| match operand {
                Read::Number(number) => Object::Real(number.as_f32()),
                Read::Name(name) => Object::Name(name.as_str().as_bytes().to_vec()),
                _ => Object::Null,
            })
            .collect();
        let operator = String::from_utf8(instruction.operator.to_vec()).expect("an operator");
        out.push(lopdf::content::Operation::new(&operator, operands));
    }
    out
}

#[test]
fn the_same_booklet_gives_the_same_bytes() {
    assert_eq!(sample::booklet().write(Options::default()), sample::booklet().write(Options::default()));
    assert_eq!(sample::booklet().write(PLAIN), sample::booklet().write(PLAIN));
}

#[test]
fn the_identifier_follows_the_content() {
    let id = |press: &Press| {
        let document = load(&press.write(Options::default()));
        document.trailer.get(b"ID").and_then(Object::as_array).expect("an identifier")[0].clone()
    };
    let mut other = sample::booklet();
    other.booklet.about.subject.push('!');
    assert_eq!(id(&sample::booklet()), id(&sample::booklet()));
    assert_ne!(id(&sample::booklet()), id(&other));
}

#[test]
fn structure_is_read_in_its_own_order() {
    let walked = walk::walk(&sample::booklet().write(Options::default()));
    let spoken: Vec<&str> = walked.spoken.iter().map(|(_, words)| words.as_str()).collect();
    // Own reading of the sample: ligatures in letters, the hyphen at the line's end silent, the narrow space plain.
    assert_eq!(
        spoken,
        [
            "Heron & Reed",
            "Chart · page 1",
            "The office finds 1½ flat knots by AVATAR in café Šárka — “fine”; To",
            "",
            "day 4 navy, then → right.",
            "Größe: Kreuz & quer (Öse)",
            "navy yarn",
            "cream yarn",
            "Yarn",
            "Knots",
            "navy",
            "16",
            "cream",
            "Two pictures",
            "Chart",
            "worked upwards? never",
            "Errata: ",
            "heron.example.org",
        ]
    );
}

#[test]
fn boxes_are_exact() {
    let document = load(&sample::booklet().write(Options::default()));
    // A4 in points, own computation: 210 x 72 / 25.4 and 297 x 72 / 25.4; the second page bleeds 8.5 points.
    for (number, key, expected) in [
        (1, "MediaBox", [0.0, 0.0, 595.2756, 841.8898]),
        (1, "TrimBox", [0.0, 0.0, 595.2756, 841.8898]),
        (1, "CropBox", [0.0, 0.0, 595.2756, 841.8898]),
        (2, "MediaBox", [0.0, 0.0, 612.2756, 858.8898]),
        (2, "BleedBox", [0.0, 0.0, 612.2756, 858.8898]),
        (2, "TrimBox", [8.5, 8.5, 603.7756, 850.3898]),
    ] {
        let found = numbers(page(&document, number).get(key.as_bytes()).expect("a box"));
        for (value, expected) in found.iter().zip(expected) {
            assert!((value - expected as f32).abs() < 0.001, "{key} of page {number} is {found:?}");
        }
    }
    assert!(page(&document, 1).get(b"BleedBox").is_err());
}

/// Where the marks of a page stand, by resource name, and the filled rectangles with their colours.
fn drawn_cells(document: &Document, number: u32) -> (Vec<(String, f64, f64)>, Vec<([f32; 3], [f64; 4])>) {
    let (mut marks, mut grounds) = (Vec::new(), Vec::new());
    let mut matrix = [1.0, 0.0, 0.0, 1.0, 0.0, 0.0_f64];
    let mut stack = Vec::new();
    let mut colour = [0.0; 3];
    for operation in operations(document, number) {
        let value = |i: usize| f64::from(operation.operands[i].as_float().expect("a number"));
        match operation.operator.as_str() {
            "q" => stack.push(matrix),
            "Q" => matrix = stack.pop().expect("a saved state"),
            "cm" => {
                let m = matrix;
                matrix = [value(0) * m[0], 0.0, 0.0, value(3) * m[3], value(4) * m[0] + m[4], value(5) * m[3] + m[5]];
            }
            "rg" => colour = [0, 1, 2].map(|i| operation.operands[i].as_float().expect("a number")),
            "re" => {
                let (x, y) = (value(0) * matrix[0] + matrix[4], value(1) * matrix[3] + matrix[5]);
                grounds.push((colour, [x, y, x + value(2) * matrix[0], y + value(3) * matrix[3]]));
            }
            "Do" => {
                let name = operation.operands[0].as_name().expect("a name");
                marks.push((String::from_utf8_lossy(name).into_owned(), matrix[4], matrix[5]));
            }
            _ => {}
        }
    }
    (marks, grounds)
}

#[test]
fn cells_stand_where_the_layout_put_them() {
    let mut press = Press::new();
    let root = press.root();
    press.page("", 0.0);
    let figure = press.add(Role::Figure, root);
    // A cell whose size has no short decimal form, over sixty columns: own computation.
    let mut cells = sample::cells(31.7, 42.3, 11.338_582_677);
    cells.columns = 60;
    cells.cells = (0..60 * 70).map(|i| (i % 7 != 3).then_some((i * i % 5 % 2) as u8)).collect();
    let (expected, inks) = (cells.clone(), cells.inks.clone());
    press.place(Mark::Node(figure), Item::Cells(cells));
    let document = load(&press.write(PLAIN));
    let (marks, grounds) = drawn_cells(&document, 1);
    let top = Length::mm(297.0).to_pt();
    let side = 11.338_582_677;
    let mut wanted = Vec::new();
    for (index, ink) in expected.cells.iter().enumerate().filter_map(|(index, ink)| Some((index, (*ink)?))) {
        let (column, row) = ((index % 60) as f64, (index / 60) as f64);
        wanted.push((ink, 31.7 + (column + 0.5) * side, top - 42.3 - (row + 0.5) * side));
    }
    assert_eq!(marks.len(), wanted.len());
    for ((name, x, y), (ink, wx, wy)) in marks.iter().zip(&wanted) {
        assert_eq!(*name, format!("M{ink}"));
        assert!((x - wx).abs() < 0.005 && (y - wy).abs() < 0.005, "{name} at {x} {y}, not {wx} {wy}");
    }
    // Every cell's centre lies in exactly one rectangle, which has its ground's colour.
    for (index, &ink) in expected.cells.iter().enumerate() {
        let (x, y) = (31.7 + ((index % 60) as f64 + 0.5) * side, top - 42.3 - ((index / 60) as f64 + 0.5) * side);
        let over: Vec<[f32; 3]> = grounds
            .iter()
            .filter(|(_, [l, t, r, b])| *l < x && x < *r && *b < y && y < *t)
            .map(|(colour, _)| *colour)
            .collect();
        let Some(ink) = ink else {
            assert!(over.is_empty());
            continue;
        };
        let ground = inks[usize::from(ink)].ground.expect("a ground");
        let eight = |value: f32| (value * 255.0).round() as u8;
        assert_eq!(over.len(), 1);
        assert_eq!(over[0].map(eight), [ground.r, ground.g, ground.b]);
    }
}

#[test]
fn equal_neighbours_share_a_rectangle() {
    let mut press = Press::new();
    let root = press.root();
    press.page("", 0.0);
    let figure = press.add(Role::Figure, root);
    let mut cells = sample::cells(10.0, 10.0, 10.0);
    cells.cells = vec![Some(1); 48];
    press.place(Mark::Node(figure), Item::Cells(cells));
    let (marks, grounds) = drawn_cells(&load(&press.write(PLAIN)), 1);
    assert_eq!((marks.len(), grounds.len()), (48, 1));
}

#[test]
fn shapes_of_one_look_are_one_path_where_that_changes_nothing() {
    let paths = |second: (f64, f64)| {
        let mut press = Press::new();
        press.page("", 0.0);
        for (x, y) in [(10.0, 10.0), second] {
            let outline = sample::rectangle(x, y, 20.0, 20.0);
            let shape = Shape { outline, fill: Some(Colour::BLACK), stroke: None };
            press.place(Mark::Artifact(Artifact::Layout), Item::Shape(shape));
        }
        let document = load(&press.write(PLAIN));
        operations(&document, 1).iter().filter(|operation| operation.operator == "f").count()
    };
    assert_eq!(paths((40.0, 10.0)), 1);
    // Overlapping parts of one path could cancel each other.
    assert_eq!(paths((20.0, 20.0)), 2);
}

#[test]
fn a_mark_used_on_many_pages_is_kept_once() {
    let document = load(&sample::booklet().write(PLAIN));
    let forms = document.objects.values().filter(|object| {
        object
            .as_stream()
            .is_ok_and(|stream| stream.dict.get(b"Subtype").and_then(Object::as_name).is_ok_and(|name| name == b"Form"))
    });
    // Three inks at two sizes, whose marks are drawn to scale: six different outlines, and the second grid of the
    // sample adds none for what the first already has.
    assert_eq!(forms.count(), 6);
}

#[test]
fn a_field_in_two_places_is_one_field() {
    let document = load(&sample::booklet().write(Options::default()));
    let form = document.catalog().and_then(|c| c.get(b"AcroForm")).and_then(Object::as_reference).expect("a form");
    let fields = document.get_dictionary(form).and_then(|form| form.get(b"Fields")).and_then(Object::as_array);
    let fields: Vec<&Dictionary> = fields
        .expect("fields")
        .iter()
        .map(|field| document.get_dictionary(field.as_reference().expect("a reference")).expect("a field"))
        .collect();
    assert_eq!(fields.len(), 3);
    let kids = fields[0].get(b"Kids").and_then(Object::as_array).expect("two places");
    assert_eq!(kids.len(), 2);
    for kid in kids {
        let kid = document.get_dictionary(kid.as_reference().expect("a reference")).expect("a widget");
        let states = kid.get(b"AP").and_then(Object::as_dict).and_then(|ap| ap.get(b"N")).and_then(Object::as_dict);
        let names: Vec<&[u8]> = states.expect("states").iter().map(|(name, _)| name.as_slice()).collect();
        assert_eq!(names, [b"Yes".as_slice(), b"Off"]);
    }
    assert!(fields[1].get(b"Kids").is_err());
}

#[test]
fn without_ticks_and_tags_there_are_none() {
    let document = load(&sample::booklet().write(PLAIN));
    let catalogue = document.catalog().expect("a catalogue");
    for key in ["AcroForm", "StructTreeRoot", "MarkInfo"] {
        assert!(catalogue.get(key.as_bytes()).is_err(), "{key} is there");
    }
    let operators: Vec<String> = operations(&document, 1).into_iter().map(|operation| operation.operator).collect();
    // One span is left: the silent hyphen, which needs no structure to be silent.
    assert_eq!(operators.iter().filter(|operator| *operator == "BDC").count(), 1);
    // The links stay.
    assert_eq!(page(&document, 1).get(b"Annots").and_then(Object::as_array).expect("links").len(), 1);
}

#[test]
fn outline_is_nested_and_in_order() {
    let document = load(&sample::booklet().write(Options::default()));
    let title = |dict: &Dictionary| lopdf::decode_text_string(dict.get(b"Title").expect("words")).expect("text");
    let follow = |dict: &Dictionary, key: &[u8]| {
        document.get_dictionary(dict.get(key).and_then(Object::as_reference).expect("a reference")).expect("an entry")
    };
    let root = follow(document.catalog().expect("a catalogue"), b"Outlines");
    let first = follow(root, b"First");
    let child = follow(first, b"First");
    assert_eq!(title(first), "Heron & Reed");
    assert_eq!(title(child), "Contents");
    assert_eq!(title(follow(child, b"Next")), "Materials");
    assert_eq!(title(follow(first, b"Next")), "Größe");
    assert_eq!(title(follow(root, b"Last")), "Größe");
}

#[test]
fn folios_are_page_labels() {
    let document = load(&sample::booklet().write(Options::default()));
    let labels = document.catalog().and_then(|c| c.get(b"PageLabels")).and_then(Object::as_dict).expect("labels");
    let list = labels.get(b"Nums").and_then(Object::as_array).expect("a list");
    assert_eq!(list.len(), 4);
    assert_eq!(list[1].as_dict().and_then(|d| d.get(b"P")).and_then(Object::as_str).expect("words"), b"i");
    assert_eq!(list[3].as_dict().and_then(|d| d.get(b"S")).and_then(Object::as_name).expect("a style"), b"D");
}

#[test]
fn a_jpeg_is_embedded_byte_for_byte() {
    let document = load(&sample::booklet().write(PLAIN));
    let jpeg = sample::jpeg(6);
    let found =
        document.objects.values().any(|object| object.as_stream().is_ok_and(|stream| stream.content == *jpeg.bytes));
    assert!(found);
}

#[test]
fn a_turned_photograph_stands_upright() {
    // EXIF 2.32: orientation 6 is shown turned a quarter clockwise, so that the stored left is shown at the top. The
    // sample's picture is dark at its stored left.
    let bytes = sample::booklet().write(PLAIN);
    let pdf = hayro::hayro_syntax::Pdf::new(bytes).expect("our own file");
    let settings = hayro::RenderSettings::default();
    let page = &pdf.pages()[0];
    let cache = hayro::RenderCache::new();
    let (interpreter, size) =
        (hayro::hayro_interpret::InterpreterSettings::default(), hayro::PixmapSettings::default());
    let pixmap = hayro::render(page, &cache, &interpreter, &settings, &size);
    let at = |x: usize, y: usize| {
        let pixel = pixmap.data_as_u8_slice();
        let start = (y * usize::from(pixmap.width()) + x) * 4;
        [pixel[start], pixel[start + 1], pixel[start + 2], pixel[start + 3]]
    };
    let (top, bottom) = (at(170, 380), at(170, 460));
    assert!(top[0] > 90 && top[2] < 40, "{top:?} is not the dark red of the stored left half");
    assert!(bottom[2] > 230, "{bottom:?} is not the light blue of the stored right half");
    // The PNG is clipped to its middle: red, green, blue and white meet there, and nothing shows outside.
    assert_eq!(at(75, 375), [255, 0, 0, 255]);
    assert_eq!(at(104, 375), [0, 255, 0, 255]);
    assert_eq!(at(75, 404), [0, 0, 255, 255]);
    assert_eq!(at(64, 375)[3], 0);
}

#[test]
fn kerning_puts_glyphs_where_the_layout_has_them() {
    let mut press = Press::new();
    let root = press.root();
    press.page("", 0.0);
    let paragraph = press.add(Role::Paragraph, root);
    press.words(paragraph, FontRole::Text, 12.0, 50.0, 100.0, "AVATAR To. Wave, office");
    let Item::Text(run) = press.booklet.pages[0].frames[0].items[0].item.clone() else { panic!("a run") };
    let document = load(&press.write(Options::default()));
    let content = document.get_page_content(document.get_pages()[&1]);
    let walked = walk::walk(&press.write(Options::default()));
    assert_eq!(walked.drawn, ["AVATAR To. Wave, office\n"]);
    // Follows the pen through the one TJ: width of each code from /W, minus the offsets.
    let face = document
        .objects
        .values()
        .find_map(|object| {
            object.as_dict().ok()?.get(b"DescendantFonts").ok()?.as_array().ok()?.first()?.as_dict().ok()
        })
        .expect("a font");
    let list = face.get(b"W").and_then(Object::as_array).expect("widths");
    let first = list[0].as_i64().expect("a code") as usize;
    let widths = numbers(&list[1]);
    let text = String::from_utf8(content).expect("ASCII");
    let array = text.split_once('[').and_then(|(_, rest)| rest.split_once("]TJ")).expect("a TJ").0;
    let mut pen = 0.0;
    let mut starts = Vec::new();
    for part in array.split_inclusive('>') {
        let (offset, codes) = part.split_once('<').expect("codes");
        if !offset.is_empty() {
            pen -= offset.parse::<f64>().expect("an offset");
        }
        for code in codes.trim_end_matches('>').as_bytes().chunks(4) {
            starts.push(pen);
            let code = std::str::from_utf8(code).expect("ASCII");
            let code = usize::from_str_radix(code, 16).expect("hexadecimal");
            pen += f64::from(widths[code - first]);
        }
    }
    assert_eq!(starts.len(), run.glyphs.len());
    let mut layout = 0.0;
    for (glyph, start) in run.glyphs.iter().zip(starts) {
        let drawn = start * 12.0 / 1000.0;
        assert!((drawn - layout - glyph.dx.to_pt()).abs() < 0.001, "{drawn} is not {layout}");
        layout += glyph.advance.to_pt();
    }
    // The sample must really be kerned, or this shows nothing.
    assert!(array.split('>').any(|part| part.starts_with(|c: char| c.is_ascii_digit() || c == '-')), "{array}");
}

/// Writes one page with one item and returns the error.
fn refused(item: impl FnOnce(&mut Press, NodeId) -> PlacedItem) -> PdfError {
    let mut press = Press::new();
    let root = press.root();
    press.page("", 0.0);
    let paragraph = press.add(Role::Paragraph, root);
    let placed = item(&mut press, paragraph);
    press.place(placed.mark, placed.item);
    write(&press.booklet, &press.book, Options::default()).expect_err("a fault")
}

fn run(press: &Press, text: &str) -> crate::page::TextRun {
    sample::line(&press.book, FontRole::Text, 10.0, 50.0, 50.0, text).remove(0)
}

#[test]
fn what_cannot_be_written_is_refused() {
    let missing = refused(|press, node| {
        let mut run = run(press, "ab");
        std::sync::Arc::make_mut(&mut run.glyphs)[1].id = 0;
        PlacedItem { mark: Mark::Node(node), item: Item::Text(run) }
    });
    assert_eq!(missing, PdfError::MissingGlyph("b".to_owned()));
    let private = refused(|press, node| {
        let run = crate::page::TextRun { text: "\u{e001}".to_owned(), ..run(press, "abc") };
        let glyphs = std::sync::Arc::new(vec![crate::page::Glyph { cluster: 0..3, ..run.glyphs[0].clone() }]);
        PlacedItem { mark: Mark::Node(node), item: Item::Text(crate::page::TextRun { glyphs, ..run }) }
    });
    assert_eq!(private, PdfError::PrivateUse("\u{e001}".to_owned()));
    let face = refused(|press, node| {
        let run = crate::page::TextRun { face: FaceId(99), ..run(press, "a") };
        PlacedItem { mark: Mark::Node(node), item: Item::Text(run) }
    });
    assert_eq!(face, PdfError::UnknownFace(FaceId(99)));
    let tick = |field: &str| Tick {
        area: Rect::new(pt(10.0), pt(10.0), pt(18.0), pt(18.0)),
        field: field.to_owned(),
        label: "row 1".into(),
        colour: Colour::BLACK,
    };
    let named = refused(|_, node| PlacedItem { mark: Mark::Node(node), item: Item::Tick(tick("a.b")) });
    assert_eq!(named, PdfError::FieldName("a.b".to_owned()));
    let hidden = refused(|_, _| PlacedItem { mark: Mark::Artifact(Artifact::Layout), item: Item::Tick(tick("row-1")) });
    assert_eq!(hidden, PdfError::Unreachable("row 1".to_owned()));
    let empty = Press::new();
    assert_eq!(write(&empty.booklet, &empty.book, PLAIN), Err(PdfError::NoPages));
}

#[test]
fn a_field_on_another_node_gets_an_element_of_its_own() {
    let mut press = Press::new();
    let root = press.root();
    press.page("", 0.0);
    let section = press.add(Role::Section, root);
    for field in ["one", "two"] {
        let area = Rect::new(pt(10.0), pt(10.0), pt(18.0), pt(18.0));
        let tick = Tick { area, field: field.to_owned(), label: field.into(), colour: Colour::BLACK };
        press.place(Mark::Node(section), Item::Tick(tick));
    }
    let walked = walk::walk(&press.write(Options::default()));
    assert_eq!(walked.faults, []);
}

//! The file for a print shop: PDF/X-4 by a walk of our own, with each of its rules broken once; inks, type, marks, notes; and
//! what the program says of profiles that will not do.

#[path = "print_shop/press.rs"]
pub mod press;
#[path = "print_shop/walk.rs"]
mod walk;

use crate::finished::{drafted, laid_out, order, sample as project_of};
use crate::support::{Room, repository};
use hitchpress::font::FontBook;
use hitchpress::geom::{Length, Rect};
use hitchpress::page::{Artifact, Booklet, Item, Mark, PictureFile, PlacedItem, PlacedPicture};
use hitchpress::pdf::{self, PrepressFile, PrinterProfile, USUAL_INK};
use hitchpress::press::{Purpose, Wishes};
use hitchpress::project::Ink;
use hitchpress::source::Sources;
use lopdf::{Dictionary, Document, Object, Stream, StringFormat, dictionary};
use std::collections::BTreeSet;
use std::sync::Arc;
use walk::{Limits, walk};

fn limits(ink: u16) -> Limits {
    Limits { ink: f64::from(ink), bleed: Length::mm(3.0).to_pt() }
}

fn prepress(order: Wishes) -> Wishes {
    Wishes { purpose: Purpose::PrintShop, ..order }
}

/// A sample as a file for a shop.
fn made(sample: &str, order: Wishes, ink: u16) -> (Booklet, PrepressFile) {
    let (book, profile) = (FontBook::shipped(), PrinterProfile::read(&press::profile(), ink).expect("a profile"));
    let booklet = laid_out(project_of(sample), &prepress(order), &book);
    let made = pdf::write_prepress(&booklet, &book, &profile).expect("it is written");
    (booklet, made)
}

#[test]
fn every_sample_and_edition_keeps_every_rule() {
    let cases = [
        ("low-water-heron", "booklet", "a5", Ink::Full, 300),
        ("low-water-heron", "chart", "a4", Ink::Saving, 240),
        ("two-pears", "booklet", "letter", Ink::Saving, 300),
        ("two-pears", "large-print", "a4", Ink::Full, 320),
        ("harbour-evening", "booklet", "half-letter", Ink::SymbolsOnly, 300),
        ("harbour-evening", "materials", "a4", Ink::Full, 220),
        ("harbour-evening", "chart", "a3", Ink::Full, 300),
    ];
    for (sample, edition, paper, ink, most) in cases {
        let (booklet, made) = made(sample, order(edition, paper, ink), most);
        let faults = walk(&made.bytes, limits(most));
        assert!(faults.is_empty(), "{sample} {edition} {paper}: {faults:#?}");
        assert_eq!(made.pages, booklet.pages.len());
        assert!(
            booklet.pages.iter().all(|page| page.trim == booklet.pages[0].trim),
            "pages of one booklet are of one size"
        );
        assert!(made.coarse.is_empty());
    }
}

#[test]
fn the_same_booklet_gives_the_same_file_and_another_gives_another() {
    let one = made("two-pears", order("chart", "a5", Ink::Full), 300).1;
    let two = made("two-pears", order("chart", "a5", Ink::Full), 300).1;
    assert_eq!(one.bytes, two.bytes);
    let other = made("two-pears", order("chart", "a5", Ink::Saving), 300).1;
    let id = |bytes: &[u8]| Document::load_mem(bytes).expect("it opens").trailer.get(b"ID").expect("an id").clone();
    assert_ne!(id(&one.bytes), id(&other.bytes));
}

/// Something that is done to a finished file, and the rule it breaks.
type Break = (&'static str, fn(&mut Document));

fn root(document: &mut Document) -> &mut Dictionary {
    document.catalog_mut().expect("a catalogue")
}

fn first_page(document: &mut Document) -> &mut Dictionary {
    let id = document.page_iter().next().expect("a page");
    document.get_dictionary_mut(id).expect("a page")
}

/// Changes the content of the first page.
fn in_content(document: &mut Document, change: impl Fn(String) -> String) {
    let contents = first_page(document).get(b"Contents").and_then(Object::as_reference).expect("content");
    let stream = document.get_object(contents).and_then(Object::as_stream).expect("content");
    let content = stream.get_plain_content().expect("content");
    // Glyph ids are not text: every byte is kept as a letter of its own.
    let changed = change(content.iter().map(|byte| char::from(*byte)).collect());
    let bytes = changed.chars().map(|c| c as u8).collect();
    document.set_object(contents, Stream::new(Dictionary::new(), bytes));
}

fn in_metadata(document: &mut Document, from: &str, to: &str) {
    let id = root(document).get(b"Metadata").and_then(Object::as_reference).expect("metadata");
    let stream = document.get_object_mut(id).and_then(Object::as_stream_mut).expect("metadata");
    let xml = String::from_utf8(stream.content.clone()).expect("text");
    assert!(xml.contains(from), "{from}");
    stream.set_content(xml.replace(from, to).into_bytes());
}

fn intent(document: &mut Document) -> &mut Dictionary {
    let list = root(document).get_mut(b"OutputIntents").and_then(Object::as_array_mut).expect("intents");
    list[0].as_dict_mut().expect("an intent")
}

fn every(document: &mut Document, is: impl Fn(&Dictionary) -> bool, change: impl Fn(&mut Dictionary)) {
    let mut changed = 0;
    for object in document.objects.values_mut() {
        let dict = match object {
            Object::Dictionary(dict) => dict,
            Object::Stream(stream) => &mut stream.dict,
            _ => continue,
        };
        if is(dict) {
            change(dict);
            changed += 1;
        }
    }
    assert!(changed > 0, "there is something to break");
}

fn is_a(dict: &Dictionary, kind: &[u8]) -> bool {
    dict.get(b"Type").and_then(Object::as_name).is_ok_and(|name| name == kind)
}

const BREAKS: &[Break] = &[
    ("header", |d| root(d).set("Version", "1.7")),
    ("file-id", |d| drop(d.trailer.remove(b"ID"))),
    ("areas", |d| root(d).set("ViewerPreferences", dictionary! { "PrintScaling" => "None", "PrintArea" => "TrimBox" })),
    ("scaling", |d| drop(root(d).remove(b"ViewerPreferences"))),
    ("metadata", |d| drop(root(d).remove(b"Metadata"))),
    ("claim", |d| in_metadata(d, "PDF/X-4", "PDF/X-3:2003")),
    ("identity", |d| in_metadata(d, "xmpMM:RenditionClass", "xmpMM:Rendition")),
    ("trapped", |d| in_metadata(d, "<pdf:Trapped>False", "<pdf:Trapped>True")),
    ("information", |d| in_metadata(d, "<xmp:CreateDate>20", "<xmp:CreateDate>19")),
    ("intent", |d| intent(d).set("S", "GTS_PDFA1")),
    ("intent", |d| drop(intent(d).remove(b"Info"))),
    ("intent", |d| drop(intent(d).remove(b"DestOutputProfile"))),
    ("boxes", |d| drop(first_page(d).remove(b"TrimBox"))),
    ("boxes", |d| {
        let bleed = first_page(d).get(b"BleedBox").expect("a box").clone();
        first_page(d).set("ArtBox", bleed);
    }),
    ("bleed", |d| {
        let trim = first_page(d).get(b"TrimBox").expect("a box").clone();
        first_page(d).set("BleedBox", trim);
    }),
    ("annotation", |d| first_page(d).set("Annots", Vec::<Object>::new())),
    ("screen", |d| root(d).set("AcroForm", dictionary! { "Fields" => Vec::<Object>::new() })),
    ("screen", |d| root(d).set("StructTreeRoot", Dictionary::new())),
    ("action", |d| first_page(d).set("AA", Dictionary::new())),
    ("fonts", |d| {
        every(
            d,
            |dict| is_a(dict, b"FontDescriptor"),
            |dict| {
                for key in [b"FontFile2".as_slice(), b"FontFile3"] {
                    dict.remove(key);
                }
            },
        );
    }),
    ("state", |d| {
        every(
            d,
            |dict| dict.has(b"ExtGState"),
            |dict| {
                dict.set(
                    "ExtGState",
                    dictionary! {
                        "Over" => dictionary! { "op" => true, "OPM" => 1, "TR" => "Identity" },
                        "Instead" => dictionary! { "op" => false },
                    },
                );
            },
        );
    }),
    ("transparency", |d| first_page(d).set("Group", dictionary! { "S" => "Transparency" })),
    ("filter", |d| {
        let lzw = Stream::new(dictionary! { "Filter" => "LZWDecode" }, Vec::new());
        d.add_object(lzw);
    }),
    ("outside", |d| {
        let file = Object::String(b"elsewhere".to_vec(), StringFormat::Literal);
        d.add_object(Stream::new(dictionary! { "F" => file }, Vec::new()));
    }),
    ("postscript", |d| {
        d.add_object(Stream::new(dictionary! { "Subtype" => "PS" }, Vec::new()));
    }),
    ("colour", |d| in_content(d, |content| format!("0 0 1 rg 0 0 1 1 re f\n{content}"))),
    ("ink", |d| in_content(d, |content| format!("q 0.9 0.9 0.9 0.5 k 0 0 1 1 re f Q\n{content}"))),
    ("type", |d| in_content(d, |content| content.replacen("BT\n", "BT\n0.2 0.1 0 1 k\n", 1))),
    ("screened", |d| in_content(d, |content| content.replacen("BT\n", "BT\n0 0 0 0.97 k\n", 1))),
    ("over", |d| in_content(d, |content| content.replace("/Over gs", "/Instead gs"))),
    ("small", |d| in_content(d, |content| format!("q /Over gs 0 0 0 0.5 k BT /F0 5 Tf () Tj ET Q\n{content}"))),
    ("thin", |d| in_content(d, |content| format!("0.1 w\n{content}"))),
    ("tags", |d| in_content(d, |content| format!("/P BMC EMC\n{content}"))),
    ("fours", |d| {
        let last = d.get_pages().len() as u32;
        d.delete_pages(&[last]);
    }),
];

#[test]
fn each_rule_is_noticed_when_it_is_broken() {
    let (_, made) = made("two-pears", order("materials", "a5", Ink::Full), 300);
    assert!(walk(&made.bytes, limits(300)).is_empty());
    let saved = |document: &mut Document| {
        let mut bytes = Vec::new();
        document.save_to(&mut bytes).expect("a file");
        bytes
    };
    let untouched = saved(&mut Document::load_mem(&made.bytes).expect("it opens"));
    let before: BTreeSet<&str> = walk(&untouched, limits(300)).into_keys().collect();
    assert!(before.is_empty(), "saving it anew breaks nothing: {before:?}");
    for (rule, change) in BREAKS {
        let mut document = Document::load_mem(&made.bytes).expect("it opens");
        change(&mut document);
        let faults = walk(&saved(&mut document), limits(300));
        assert!(faults.contains_key(rule), "{rule} is not noticed: {faults:?}");
        assert_eq!(faults.len(), 1, "{rule} alone: {faults:?}");
    }
    let mut old = made.bytes.clone();
    old[7] = b'7';
    assert_eq!(walk(&old, limits(300)).into_keys().collect::<Vec<_>>(), ["header"]);
}

#[test]
fn text_keeps_five_millimetres_from_the_cut() {
    let safe = Length::mm(5.0).to_pt();
    for (sample, edition, paper) in [
        ("low-water-heron", "booklet", "a5"),
        ("two-pears", "booklet", "half-letter"),
        ("harbour-evening", "large-print", "a4"),
        ("two-pears", "chart", "letter"),
    ] {
        let (booklet, _) = made(sample, order(edition, paper, Ink::Saving), 300);
        let mut runs = 0;
        for (at, page) in booklet.pages.iter().enumerate() {
            let (width, height) = (page.trim.width.to_pt(), page.trim.height.to_pt());
            for item in page.frames.iter().flat_map(|frame| &frame.items) {
                let Item::Text(run) = &item.item else { continue };
                let (x, y) = (run.origin.x.to_pt(), run.origin.y.to_pt());
                let advance: f64 = run.glyphs.iter().map(|glyph| glyph.advance.to_pt()).sum();
                let ends = if run.turn == 0.0 { (x, x + advance) } else { (x, x) };
                let inside = ends.0 >= safe && ends.1 <= width - safe && y >= safe && y <= height - safe;
                assert!(inside, "{sample} {edition} {paper}, page {}: `{}`", at + 1, run.text);
                runs += 1;
            }
        }
        assert!(runs > 20);
    }
}

#[test]
fn note_pages_fill_up_to_fours_in_every_language() {
    for (language, title, words) in [
        ("en-GB", "Notes", "Room for what you find out"),
        ("en-US", "Notes", "Room for what you find out"),
        ("de-DE", "Notizen", "Platz für alles"),
        ("fr-FR", "Notes", "De la place pour"),
        ("es-ES", "Notas", "Espacio para lo que"),
    ] {
        let mut filled = false;
        for sample in ["low-water-heron", "two-pears", "harbour-evening"] {
            let order = Wishes { language: Some(language.to_owned()), ..order("materials", "a5", Ink::Saving) };
            let book = FontBook::shipped();
            let home = laid_out(project_of(sample), &order, &book).pages.len();
            let booklet = laid_out(project_of(sample), &prepress(order), &book);
            assert_eq!(booklet.pages.len(), home.next_multiple_of(4));
            let said = |page: usize| -> String {
                let items = booklet.pages[page].frames.iter().flat_map(|frame| &frame.items);
                let runs = items.filter_map(|placed| match &placed.item {
                    Item::Text(run) => Some(run.text.as_str()),
                    _ => None,
                });
                runs.collect::<Vec<_>>().join(" ")
            };
            if home < booklet.pages.len() {
                filled = true;
                let first = said(home);
                assert!(
                    first.contains(title) && first.contains(words.split(' ').next().unwrap()),
                    "{language}: {first}"
                );
            }
        }
        assert!(filled, "{language}: some sample has to be filled up");
    }
}

/// The lightness of the pixels of every page.
fn pixels(bytes: &[u8], scale: f32) -> Vec<(usize, Vec<u8>)> {
    use hayro::hayro_interpret::InterpreterSettings;
    use hayro::{PixmapSettings, RenderCache, RenderSettings, render};
    let pdf = hayro::hayro_syntax::Pdf::new(bytes.to_vec()).expect("a file that opens");
    let (cache, settings) = (RenderCache::new(), RenderSettings::default());
    let white = hayro::vello_cpu::color::palette::css::WHITE;
    let size = PixmapSettings { x_scale: scale, y_scale: scale, bg_color: white };
    let pages = pdf.pages();
    let drawn = pages.iter().map(|page| render(page, &cache, &InterpreterSettings::default(), &settings, &size));
    drawn
        .map(|map| {
            let grey = map.data_as_u8_slice().chunks_exact(4).map(|p| p[..3].iter().copied().min().unwrap_or(0));
            (usize::from(map.width()), grey.collect())
        })
        .collect()
}

#[test]
fn marks_stand_outside_the_bleed_and_nothing_else_does() {
    let (booklet, made) = made("two-pears", order("materials", "a5", Ink::Full), 300);
    let scale = 4.0;
    let mm = |value: f64| Length::mm(value).to_pt();
    let trim = booklet.pages[0].trim;
    // The trim stands 11 mm inside the sheet; the bleed is 3 mm of them.
    let (left, top) = (mm(11.0), mm(11.0));
    let (right, bottom) = (left + trim.width.to_pt(), top + trim.height.to_pt());
    let seen = pixels(&made.bytes, scale as f32);
    assert_eq!(seen.len(), booklet.pages.len());
    for (width, grey) in &seen {
        let mut marks = [0_usize; 4];
        for (at, value) in grey.iter().enumerate().filter(|(_, value)| **value < 200) {
            let (x, y) = ((at % width) as f64 / scale, (at / width) as f64 / scale);
            let outside = (left - x).max(x - right).max(top - y).max(y - bottom);
            if outside <= 0.0 {
                continue;
            }
            assert!(outside > mm(3.2) && outside < mm(8.7), "{value} at {x} {y}, {outside} pt outside the trim");
            marks[usize::from(x > (left + right) / 2.0) + 2 * usize::from(y > (top + bottom) / 2.0)] += 1;
        }
        assert!(marks.iter().all(|corner| *corner > 60), "every corner has its marks: {marks:?}");
    }
}

/// A picture of colours that ask for much ink, clear as glass in one corner.
fn picture(side: u32) -> PictureFile {
    let mut bytes = Vec::new();
    let drawn = image::RgbaImage::from_fn(side, side, |x, y| {
        let alpha = if x + y > side + side / 2 { 0 } else { 255 };
        image::Rgba([(x * 255 / side) as u8, (y * 255 / side) as u8, ((x + y) * 40 / side) as u8, alpha])
    });
    drawn.write_to(&mut std::io::Cursor::new(&mut bytes), image::ImageFormat::Png).expect("a picture");
    PictureFile { bytes: Arc::new(bytes), pixels: (side, side) }
}

#[test]
fn pictures_are_in_the_shops_inks_within_its_limit_and_coarse_ones_are_told() {
    let (mut booklet, _) = made("two-pears", order("materials", "a5", Ink::Full), 300);
    booklet.pictures = vec![picture(300)];
    // 150 points are 2.08 inches: 144 pixels an inch, where 200 are wanted (own computation).
    let area = Rect::new(Length::pt(60.0), Length::pt(300.0), Length::pt(150.0), Length::pt(150.0));
    let item = Item::Picture(PlacedPicture { picture: 0, area, clip: area });
    booklet.pages[0].frames[0].items.push(PlacedItem { mark: Mark::Artifact(Artifact::Layout), item });
    let book = FontBook::shipped();
    for most in [220, 300, 400] {
        let profile = PrinterProfile::read(&press::profile(), most).expect("a profile");
        let made = pdf::write_prepress(&booklet, &book, &profile).expect("it is written");
        let faults = walk(&made.bytes, limits(most));
        assert!(faults.is_empty(), "{most}: {faults:#?}");
        // The limit has something to do: the profile asks for more.
        assert!(made.asked > 350.0, "{}", made.asked);
        let [coarse] = made.coarse.as_slice() else { panic!("{:?}", made.coarse) };
        assert_eq!((coarse.page, coarse.per_inch.round(), coarse.enough), (0, 144.0, 417));
        let document = Document::load_mem(&made.bytes).expect("it opens");
        let mut images = document.objects.values().filter_map(|object| object.as_stream().ok());
        let image = images
            .find(|s| s.dict.get(b"Subtype").and_then(Object::as_name).is_ok_and(|kind| kind == b"Image"))
            .expect("a picture");
        let inks = image.get_plain_content().expect("pixels");
        assert_eq!(inks.len(), 300 * 300 * 4);
        // What is clear shows the paper.
        let last = &inks[inks.len() - 4..];
        assert!(last.iter().all(|ink| *ink < 3), "{last:?}");
        let sums = inks.chunks_exact(4).map(|p| p.iter().map(|ink| u32::from(*ink)).sum::<u32>());
        let most_found = f64::from(sums.max().unwrap_or(0)) / 2.55;
        assert!(
            most_found <= f64::from(most) + 1e-6 && most_found > f64::from(most.min(350)) - 4.0,
            "{most_found} of {most}"
        );
    }
}

/// Operators of a page's content with their operands, as text.
fn operations(document: &Document, page: usize) -> Vec<(String, Vec<f64>)> {
    let id = *document.get_pages().get(&(page as u32 + 1)).expect("a page");
    let content = document.get_page_content(id);
    let content = lopdf::content::Content::decode(&content).expect("operators");
    let numbers = |operands: &[Object]| {
        let of = |object: &Object| match object {
            Object::Integer(value) => Some(*value as f64),
            Object::Real(value) => Some(f64::from(*value)),
            _ => None,
        };
        operands.iter().filter_map(of).collect()
    };
    let named = |operation: &lopdf::content::Operation| match operation.operands.first() {
        Some(Object::Name(name)) => format!("/{} {}", String::from_utf8_lossy(name), operation.operator),
        _ => operation.operator.clone(),
    };
    content.operations.iter().map(|operation| (named(operation), numbers(&operation.operands))).collect()
}

#[test]
fn pages_without_pictures_and_yarns_are_black_alone() {
    let mut black = 0;
    for sample in ["two-pears", "low-water-heron"] {
        let (booklet, made) = made(sample, order("booklet", "a5", Ink::Full), 300);
        let document = Document::load_mem(&made.bytes).expect("it opens");
        for (at, page) in booklet.pages.iter().enumerate() {
            // A patch of a yarn's colour is a shape like any other.
            let has_colour = page.frames.iter().flat_map(|frame| &frame.items).any(|placed| match &placed.item {
                Item::Shape(shape) => shape.fill.is_some_and(|fill| !fill.is_grey()),
                Item::Drawing(_) | Item::Picture(_) => true,
                Item::Cells(cells) => cells.inks.iter().any(|ink| ink.ground.is_some()),
                Item::Text(_) | Item::Tick(_) | Item::Blank(_) | Item::Link(_) => false,
            });
            let inks = operations(&document, at);
            let coloured =
                inks.iter().any(|(name, inks)| (name == "k" || name == "K") && inks[..3].iter().any(|ink| *ink > 0.0));
            assert!(has_colour || !coloured, "{sample}, page {}", at + 1);
            black += usize::from(!coloured);
        }
    }
    assert!(black > 30, "{black}");
}

#[test]
fn a_drawn_panel_in_colours_stands_on_no_plate_alone() {
    let (_, made) = made("low-water-heron", order("booklet", "a5", Ink::Full), 300);
    let document = Document::load_mem(&made.bytes).expect("it opens");
    // Of the cover: areas and lines, those in black alone, and as the control type in black alone.
    let (mut fill, mut stroke) = (vec![0.0; 4], vec![0.0; 4]);
    let (mut drawn, mut drawn_black, mut type_black) = (0, 0, 0);
    let is_black = |inks: &[f64]| usize::from(inks[..3] == [0.0; 3] && inks[3] > 0.0);
    let operations = operations(&document, 0);
    // The marks of cut and fold come last.
    let marks = operations.iter().rposition(|(name, _)| name == "q").expect("marks");
    for (name, inks) in operations.into_iter().take(marks) {
        match name.as_str() {
            "k" => fill = inks,
            "K" => stroke = inks,
            "f" | "S" => {
                drawn += 1;
                drawn_black += is_black(if name == "f" { &fill } else { &stroke });
            }
            "Tj" | "TJ" => type_black += is_black(&fill),
            _ => {}
        }
    }
    assert!(
        drawn > 20 && type_black > 0 && drawn_black == 0,
        "{drawn}, {drawn_black} black alone, {type_black} of type"
    );
}

#[test]
fn symbols_and_lines_on_coloured_grounds_print_over_them() {
    let (_, made) = made("two-pears", order("chart", "a4", Ink::Full), 300);
    let document = Document::load_mem(&made.bytes).expect("it opens");
    let (mut over, mut instead) = (0, 0);
    let mut lines = 0;
    for page in 0..document.get_pages().len() {
        let mut states = vec![false];
        for (name, _) in operations(&document, page) {
            match name.as_str() {
                "q" => states.push(*states.last().expect("a state")),
                "Q" => drop(states.pop()),
                "/Over gs" => *states.last_mut().expect("a state") = true,
                "/Instead gs" => *states.last_mut().expect("a state") = false,
                "S" => lines += usize::from(*states.last().expect("a state")),
                name if name.starts_with("/M") && name.ends_with(" Do") => match states.last() {
                    Some(true) => over += 1,
                    _ => instead += 1,
                },
                _ => {}
            }
        }
    }
    // The dark yarn has white symbols, which take its ink away; the light one has black ones.
    assert!(over > 100 && instead > 100 && lines > 2, "{over} {instead} {lines}");
}

#[test]
fn a_grey_photograph_stays_on_the_black_plate() {
    let (mut booklet, _) = made("two-pears", order("materials", "a5", Ink::Full), 300);
    let mut bytes = Vec::new();
    // As a camera's file leaves a grey: its channels differ by a few steps.
    let grey = image::RgbImage::from_fn(256, 256, |x, y| {
        image::Rgb([x as u8, x as u8, (x as u8).saturating_add((y % 3) as u8)])
    });
    grey.write_to(&mut std::io::Cursor::new(&mut bytes), image::ImageFormat::Png).expect("a picture");
    let area = Rect::new(Length::pt(60.0), Length::pt(300.0), Length::pt(60.0), Length::pt(60.0));
    let item = Item::Picture(PlacedPicture { picture: 0, area, clip: area });
    booklet.pages[0].frames[0].items.push(PlacedItem { mark: Mark::Artifact(Artifact::Layout), item });
    let profile = PrinterProfile::read(&press::profile(), 300).expect("a profile");
    let pixels = |bytes: Vec<u8>| {
        let mut booklet = booklet.clone();
        booklet.pictures = vec![PictureFile { bytes: Arc::new(bytes), pixels: (256, 256) }];
        let made = pdf::write_prepress(&booklet, &FontBook::shipped(), &profile).expect("it is written");
        let document = Document::load_mem(&made.bytes).expect("it opens");
        let mut images = document.objects.values().filter_map(|object| object.as_stream().ok());
        let image = images.find(|s| is_a(&s.dict, b"XObject") && s.dict.has(b"ColorSpace")).expect("a picture");
        image.get_plain_content().expect("pixels")
    };
    let inks = pixels(bytes);
    assert!(inks.chunks_exact(4).all(|pixel| pixel[..3] == [0, 0, 0]));
    // From black to the paper, without a step back.
    let first: Vec<u8> = inks.chunks_exact(4).take(256).map(|pixel| pixel[3]).collect();
    assert!(first.is_sorted_by(|a, b| a >= b) && first[0] == 255 && first[255] == 0, "{first:?}");
    // A tinted one is in colour.
    let mut bytes = Vec::new();
    let tinted = image::RgbImage::from_fn(256, 256, |x, _| image::Rgb([x as u8, x as u8, x as u8 / 2]));
    tinted.write_to(&mut std::io::Cursor::new(&mut bytes), image::ImageFormat::Png).expect("a picture");
    assert!(pixels(bytes).chunks_exact(4).any(|pixel| pixel[2] > 0));
}

#[test]
fn a_finished_shop_file_proves_against_its_project() {
    for (sample, edition, paper) in
        [("two-pears", "booklet", "a5"), ("low-water-heron", "chart", "a4"), ("harbour-evening", "materials", "letter")]
    {
        let order = prepress(order(edition, paper, Ink::Full));
        let (_, made) = made(sample, order.clone(), 300);
        let (prepared, draft) = drafted(project_of(sample), &order, &mut Sources::new());
        let proof = prepared.proof(&draft, &made.bytes);
        let said: Vec<String> = proof.findings.iter().take(5).map(|finding| finding.sentence()).collect();
        assert!(proof.holds(), "{sample} {edition}: {said:#?}");
        // A home file is not taken for one.
        let home = Wishes { purpose: Purpose::Home, ..order };
        let (prepared, draft) = drafted(project_of(sample), &home, &mut Sources::new());
        let proof = prepared.proof(&draft, &made.bytes);
        assert!(edition == "materials" || !proof.holds());
    }
}

/// The profile with some of its bytes changed.
fn wrong_profile(at: usize, bytes: &[u8]) -> Vec<u8> {
    let mut profile = press::profile();
    profile[at..at + bytes.len()].copy_from_slice(bytes);
    profile
}

#[test]
fn without_a_fitting_profile_nothing_is_written_and_the_maker_hears_what_to_ask_for() {
    let room = Room::new();
    crate::support::copy(&repository("samples/two-pears"), &room.path().join("pears"));
    let refused = |options: &[&str], code: i32| {
        let before = room.files();
        let ran = room.run(&[&["compose", "pears", "--edition", "materials"], options].concat());
        assert_eq!(ran.code, code, "{options:?}: {}", ran.err);
        assert_eq!(room.files(), before, "nothing is written");
        ran.err
    };
    let said = refused(&["--for", "print-shop"], 2);
    for words in ["no-printer-profile", "ask the print shop", "--profile FILE.icc", "--most-ink", "3 mm bleed"] {
        assert!(said.contains(words), "{words}: {said}");
    }
    refused(&["--profile", "any.icc"], 2);
    refused(&["--most-ink", "300"], 2);
    refused(&["--for", "print-shop", "--profile", "any.icc", "--most-ink", "500"], 2);
    assert!(refused(&["--for", "print-shop", "--profile", "none.icc"], 1).contains("no-such-file"));
    let short = press::profile().len() - 8;
    for (bytes, words) in [
        (Vec::new(), "is no ICC profile"),
        (b"This is a letter to the print shop.".repeat(9), "is no ICC profile"),
        (wrong_profile(16, b"RGB "), "for a screen or camera"),
        (wrong_profile(16, b"GRAY"), "for grey alone"),
        (wrong_profile(16, b"6CLR"), "not for the four printing inks"),
        (wrong_profile(12, b"mntr"), "not the profile of a printer"),
        (wrong_profile(8, &[9]), "of a version"),
        (press::profile()[..short].to_vec(), "not whole"),
        // Every lookup table is called something else.
        (wrong_profile(132 + 36, b"xxxx"), "wrong-profile"),
    ] {
        room.write("shop.icc", bytes);
        let said = refused(&["--for", "print-shop", "--profile", "shop.icc"], 1);
        assert!(said.contains("wrong-profile") && said.contains(words), "{words}: {said}");
        assert!(said.contains("ask the print shop"), "{said}");
    }
    // A damaged profile is refused or used, and never brings the program down.
    let mut random = fastrand::Rng::with_seed(4);
    for _ in 0..60 {
        let mut profile = press::profile();
        for _ in 0..random.usize(1..20) {
            let at = random.usize(..600);
            profile[at] = random.u8(..);
        }
        let _either = PrinterProfile::read(&profile, USUAL_INK);
    }
    room.write("shop.icc", press::profile());
    assert!(
        refused(&["--for", "print-shop", "--profile", "shop.icc", "--paper", "small-screen"], 1)
            .contains("margins-too-narrow")
    );
    let ran = room.run(&["compose", "pears", "--edition", "materials", "--for", "print-shop", "--profile", "shop.icc"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    for words in
        ["-print-shop.pdf", "PDF/X-4, 4 pages", "`A press that never was`", "% of ink", "show the shop a proof"]
    {
        assert!(ran.err.contains(words), "{words}: {}", ran.err);
    }
}

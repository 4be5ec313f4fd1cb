//! `impose`: every page is found where it must be, on the pixels of the sheets; what it cannot do it says, and writes
//! nothing.

use crate::finished::{finished_to, order};
use crate::support::Room;
use hayro::hayro_interpret::InterpreterSettings;
use hayro::hayro_syntax::Pdf;
use hayro::vello_cpu::color::palette::css::WHITE;
use hayro::{PixmapSettings, RenderCache, RenderSettings, render};
use hitchpress::geom::Length;
use hitchpress::pdf::impose::{ImposeOptions, ImposedFile, Lay, PrintSides, impose};
use hitchpress::press::Wishes;
use hitchpress::project::Ink;
use lopdf::{Dictionary, Document, EncryptionState, EncryptionVersion, Object, Permissions, Stream, dictionary};

const FOLD: ImposeOptions =
    ImposeOptions { lay: Lay::Fold, sides: PrintSides::Both, sheet: None, thickness: Length::ZERO };
const A5: (f64, f64) = (Length::mm(148.0).to_pt(), Length::mm(210.0).to_pt());
const HALF_LETTER: (f64, f64) = (396.0, 612.0);
/// Bits of a page's number that are drawn on it.
const BITS: usize = 8;
/// Side of a bit's square, and where the first stands, points from the bottom left.
const BIT: f64 = 14.0;
const BITS_AT: (f64, f64) = (100.0, 300.0);
/// A bar that says that here is a page and which way is up; left, bottom, width, height.
const BAR: [f64; 4] = [100.0, 340.0, 112.0, 14.0];

/// The content of a page that carries its number, from 1, as squares.
fn numbered(number: usize) -> Vec<u8> {
    let mut out = format!("0 g {} {} {} {} re f\n", BAR[0], BAR[1], BAR[2], BAR[3]);
    for bit in (0..BITS).filter(|bit| number >> bit & 1 == 1) {
        out += &format!("{} {} {BIT} {BIT} re f\n", BITS_AT.0 + bit as f64 * BIT, BITS_AT.1);
    }
    out.into_bytes()
}

/// A document of pages with these entries and contents.
fn document(pages: Vec<(Dictionary, Vec<u8>)>) -> Document {
    let mut document = Document::with_version("1.7");
    let tree = document.new_object_id();
    let mut kids = Vec::new();
    for (mut page, content) in pages {
        let content = document.add_object(Stream::new(Dictionary::new(), content));
        page.set("Type", "Page");
        page.set("Parent", tree);
        page.set("Contents", content);
        kids.push(Object::Reference(document.add_object(page)));
    }
    let count = kids.len() as i64;
    document.set_object(tree, dictionary! { "Type" => "Pages", "Kids" => kids, "Count" => count });
    let catalogue = document.add_object(dictionary! { "Type" => "Catalog", "Pages" => tree });
    document.trailer.set("Root", catalogue);
    document
}

fn saved(mut document: Document) -> Vec<u8> {
    let mut bytes = Vec::new();
    document.save_to(&mut bytes).expect("a file");
    bytes
}

fn media(size: (f64, f64)) -> Dictionary {
    dictionary! { "MediaBox" => vec![0.into(), 0.into(), Object::Real(size.0 as f32), Object::Real(size.1 as f32)] }
}

/// A booklet whose pages carry their numbers.
fn booklet(pages: usize, size: (f64, f64)) -> Vec<u8> {
    saved(document((1..=pages).map(|number| (media(size), numbered(number))).collect()))
}

/// A page as the renderer shows it: the lightness of pixels from the top left.
struct RenderedPage {
    width: usize,
    height: usize,
    scale: f64,
    grey: Vec<u8>,
}

impl RenderedPage {
    fn pages(bytes: &[u8], scale: f32) -> Vec<RenderedPage> {
        let pdf = Pdf::new(bytes.to_vec()).expect("a file that opens");
        let (cache, interpreter, settings) =
            (RenderCache::new(), InterpreterSettings::default(), RenderSettings::default());
        let size = PixmapSettings { x_scale: scale, y_scale: scale, bg_color: WHITE };
        let pages = pdf.pages();
        let drawn = pages.iter().map(|page| render(page, &cache, &interpreter, &settings, &size));
        drawn
            .map(|pixmap| RenderedPage {
                width: usize::from(pixmap.width()),
                height: usize::from(pixmap.height()),
                scale: f64::from(scale),
                grey: pixmap
                    .data_as_u8_slice()
                    .chunks_exact(4)
                    .map(|p| ((u32::from(p[0]) + u32::from(p[1]) + u32::from(p[2])) / 3) as u8)
                    .collect(),
            })
            .collect()
    }

    /// The lightness at a place, points from the bottom left.
    fn at(&self, x: f64, y: f64) -> u8 {
        let column = (x * self.scale) as usize;
        let row = self.height - 1 - (y * self.scale) as usize;
        self.grey[row * self.width + column]
    }

    fn dark(&self, x: f64, y: f64) -> bool {
        self.at(x, y) < 128
    }

    /// The number of the page whose bottom left lies there; `None` where there is no page.
    fn number(&self, left: f64, bottom: f64) -> Option<usize> {
        let in_bar = (left + BAR[0] + BAR[2] / 2.0, bottom + BAR[1] + BAR[3] / 2.0);
        if !self.dark(in_bar.0, in_bar.1) {
            return None;
        }
        let bit = |bit: usize| {
            let (x, y) = (left + BITS_AT.0 + (bit as f64 + 0.5) * BIT, bottom + BITS_AT.1 + BIT / 2.0);
            usize::from(self.dark(x, y)) << bit
        };
        Some((0..BITS).map(bit).sum())
    }

    /// Numbers of the two pages side by side in the middle of the sheet.
    fn pair(&self, size: (f64, f64)) -> (Option<usize>, Option<usize>) {
        let fold = self.width as f64 / self.scale / 2.0;
        let bottom = (self.height as f64 / self.scale - size.1) / 2.0;
        (self.number(fold - size.0, bottom), self.number(fold, bottom))
    }

    /// Where the bar begins, right of `from`, points from the left.
    fn bar(&self, from: f64) -> f64 {
        let y = (self.height as f64 / self.scale - A5.1) / 2.0 + BAR[1] + BAR[3] / 2.0;
        let row = self.height - 1 - (y * self.scale) as usize;
        let start = (from * self.scale) as usize;
        let line = &self.grey[row * self.width..(row + 1) * self.width];
        let found = line[start..].iter().position(|grey| *grey < 128).expect("a bar");
        (start + found) as f64 / self.scale
    }
}

fn imposed(bytes: &[u8], imposing: ImposeOptions) -> ImposedFile {
    impose(bytes, imposing).unwrap_or_else(|report| panic!("{report:?}"))
}

fn pairs(bytes: &[u8], size: (f64, f64), imposing: ImposeOptions) -> Vec<(Option<usize>, Option<usize>)> {
    RenderedPage::pages(&imposed(bytes, imposing).bytes, 1.0).iter().map(|face| face.pair(size)).collect()
}

/// Sheets as they come out of the printer, laid into one another and folded, and what is then read page by page: behind
/// the right half of one side lies the left half of the other, because the sheet was turned on its short edge.
fn read_when_folded(faces: &[(Option<usize>, Option<usize>)]) -> Vec<Option<usize>> {
    let sheets: Vec<_> = faces.chunks(2).map(|sheet| (sheet[0], sheet[1])).collect();
    let first_half = sheets.iter().flat_map(|(front, back)| [front.1, back.0]);
    let second_half = sheets.iter().rev().flat_map(|(front, back)| [back.1, front.0]);
    first_half.chain(second_half).collect()
}

#[test]
fn pages_are_found_on_the_pixels_of_the_sheets_where_the_published_tables_have_them() {
    // Published source: tables of bookbinding for 8, 12 and 16 pages; own computation for 20, by their formula.
    let tables: [&[(usize, usize)]; 4] = [
        &[(8, 1), (2, 7), (6, 3), (4, 5)],
        &[(12, 1), (2, 11), (10, 3), (4, 9), (8, 5), (6, 7)],
        &[(16, 1), (2, 15), (14, 3), (4, 13), (12, 5), (6, 11), (10, 7), (8, 9)],
        &[(20, 1), (2, 19), (18, 3), (4, 17), (16, 5), (6, 15), (14, 7), (8, 13), (12, 9), (10, 11)],
    ];
    for (size, table) in [A5, HALF_LETTER].into_iter().flat_map(|size| tables.map(|table| (size, table))) {
        let found = pairs(&booklet(table.len() * 2, size), size, FOLD);
        let wanted: Vec<_> = table.iter().map(|&(left, right)| (Some(left), Some(right))).collect();
        assert_eq!(found, wanted);
    }
}

#[test]
fn folded_sheets_read_from_the_first_page_to_the_last_and_blank_pages_come_after() {
    for pages in [1, 2, 3, 5, 8, 11, 20, 39, 64] {
        let found = read_when_folded(&pairs(&booklet(pages, A5), A5, FOLD));
        let mut wanted: Vec<Option<usize>> = (1..=pages).map(Some).collect();
        wanted.resize(pages.div_ceil(4) * 4, None);
        assert_eq!(found, wanted);
    }
}

#[test]
fn sheets_are_exactly_a4_or_letter_and_ask_for_the_short_edge() {
    for (size, sheet, name) in [
        // ISO 216, and ANSI/ASME Y14.1.
        (A5, (Length::mm(297.0).to_pt(), Length::mm(210.0).to_pt()), "a4"),
        (HALF_LETTER, (792.0, 612.0), "letter"),
    ] {
        let made = imposed(&booklet(8, size), FOLD);
        assert_eq!(made.sheet, Some(name));
        let document = Document::load_mem(&made.bytes).expect("it opens");
        for page in document.page_iter() {
            let media = document.get_dictionary(page).and_then(|p| p.get(b"MediaBox")).and_then(Object::as_array);
            let media: Vec<f64> = media.expect("a box").iter().map(number).collect();
            assert!((media[2] - sheet.0).abs() < 0.01 && (media[3] - sheet.1).abs() < 0.01, "{media:?}");
        }
        let shown = document.catalog().and_then(|c| c.get(b"ViewerPreferences")).and_then(Object::as_dict);
        let shown = shown.expect("preferences");
        assert_eq!(shown.get(b"Duplex").and_then(Object::as_name).ok(), Some(&b"DuplexFlipShortEdge"[..]));
        assert_eq!(shown.get(b"PrintScaling").and_then(Object::as_name).ok(), Some(&b"None"[..]));
    }
}

fn number(object: &Object) -> f64 {
    match object {
        Object::Integer(value) => *value as f64,
        Object::Real(value) => f64::from(*value),
        _ => panic!("{object:?} is no number"),
    }
}

#[test]
fn side_by_side_and_one_sided_sheets_hold_what_they_should() {
    let bytes = booklet(7, A5);
    let flat = pairs(&bytes, A5, ImposeOptions { lay: Lay::Flat, ..FOLD });
    assert_eq!(flat, [(Some(1), Some(2)), (Some(3), Some(4)), (Some(5), Some(6)), (Some(7), None)]);
    let both = pairs(&bytes, A5, FOLD);
    let fronts = pairs(&bytes, A5, ImposeOptions { sides: PrintSides::Fronts, ..FOLD });
    let backs = pairs(&bytes, A5, ImposeOptions { sides: PrintSides::Backs, ..FOLD });
    assert_eq!(fronts, [both[0], both[2]]);
    assert_eq!(backs, [both[1], both[3]]);
    // A printer that turns paper would print the backs of nothing.
    for sides in [PrintSides::Fronts, PrintSides::Backs] {
        let made = imposed(&bytes, ImposeOptions { sides, ..FOLD });
        let document = Document::load_mem(&made.bytes).expect("it opens");
        let shown = document.catalog().and_then(|c| c.get(b"ViewerPreferences")).and_then(Object::as_dict);
        assert!(!shown.expect("preferences").has(b"Duplex"));
    }
}

#[test]
fn single_pages_for_a_print_shop_have_bleed_trim_and_marks_and_fill_up_to_a_multiple_of_four() {
    let made = imposed(&booklet(6, A5), ImposeOptions { lay: Lay::Pages, ..FOLD });
    assert_eq!((made.faces, made.blank), (8, 2));
    let document = Document::load_mem(&made.bytes).expect("it opens");
    // 3 mm of bleed, and 8 mm round it for the marks.
    let margin = Length::mm(11.0).to_pt();
    for (seen, (at, page)) in RenderedPage::pages(&made.bytes, 2.0).iter().zip(document.page_iter().enumerate()) {
        assert_eq!(seen.number(margin, margin), (at < 6).then_some(at + 1));
        let page = document.get_dictionary(page).expect("a page");
        let numbers = |key: &[u8]| -> Vec<f64> {
            page.get(key).and_then(Object::as_array).expect("a box").iter().map(number).collect()
        };
        let (media, bleed, trim) = (numbers(b"MediaBox"), numbers(b"BleedBox"), numbers(b"TrimBox"));
        assert!((trim[2] - trim[0] - A5.0).abs() < 0.01 && (trim[3] - trim[1] - A5.1).abs() < 0.01, "{trim:?}");
        for side in 0..4 {
            assert!(((trim[side] - bleed[side]).abs() - Length::mm(3.0).to_pt()).abs() < 0.01, "{trim:?} {bleed:?}");
            assert!((bleed[side] - media[side]).abs() > Length::mm(7.0).to_pt());
        }
        // A crop mark stands left of the page at its foot, clear of the bleed, and none in it.
        let row = |x: f64| (-3..=3).map(|step| seen.at(x, margin + f64::from(step) * 0.5)).min();
        assert!(row(margin - Length::mm(5.0).to_pt()).is_some_and(|grey| grey < 200));
        assert_eq!(row(margin - Length::mm(1.5).to_pt()), Some(255));
    }
}

#[test]
fn creep_moves_inner_pages_towards_the_fold_by_the_thickness_of_the_sheets_around_them() {
    let bytes = booklet(16, A5);
    let thickness = Length::mm(0.5);
    let with = imposed(&bytes, ImposeOptions { thickness, ..FOLD });
    // Published formula: thickness times a quarter of the pages less one.
    assert!(with.creep.approx_eq(thickness * 3.0));
    let without = RenderedPage::pages(&imposed(&bytes, FOLD).bytes, 4.0);
    for (at, (still, moved)) in without.iter().zip(RenderedPage::pages(&with.bytes, 4.0)).enumerate() {
        let fold = still.width as f64 / still.scale / 2.0;
        let by = (at / 2) as f64 * thickness.to_pt();
        // A pixel is a quarter of a point.
        let (left, right) = (moved.bar(0.0) - still.bar(0.0), moved.bar(fold) - still.bar(fold));
        assert!((left - by).abs() <= 0.26, "side {at}: the left page moved {left} instead of {by}");
        assert!((right + by).abs() <= 0.26, "side {at}: the right page moved {right} instead of -{by}");
    }
}

#[test]
fn the_fold_is_marked_and_larger_paper_has_crop_marks_clear_of_the_pages() {
    let bytes = booklet(8, A5);
    let mm = |value: f64| Length::mm(value).to_pt();
    // The darkest of the pixels round a place, across.
    let across = |seen: &RenderedPage, x: f64, y: f64| (-4..=4).map(|s| seen.at(x + f64::from(s) * 0.25, y)).min();
    for seen in RenderedPage::pages(&imposed(&bytes, FOLD).bytes, 4.0) {
        let fold = seen.width as f64 / seen.scale / 2.0;
        let marked = |from: f64, to: f64| {
            let steps = (to - from) as usize * 2;
            (0..steps).filter(|s| across(&seen, fold, from + *s as f64 / 2.0).is_some_and(|grey| grey < 200)).count()
        };
        let top = seen.height as f64 / seen.scale;
        assert!(marked(1.0, mm(9.0)) > 20 && marked(top - mm(9.0), top - 1.0) > 20);
        assert_eq!(marked(mm(10.0), top - mm(10.0)), 0, "nothing is drawn along the fold itself");
    }
    let a3 = imposed(&bytes, ImposeOptions { sheet: Some(2), ..FOLD });
    assert!(a3.cropped && !imposed(&bytes, FOLD).cropped);
    for seen in RenderedPage::pages(&a3.bytes, 4.0) {
        let (middle, top) = (seen.width as f64 / seen.scale / 2.0, seen.height as f64 / seen.scale);
        let below = (top - A5.1) / 2.0;
        for x in [middle - A5.0, middle + A5.0] {
            for (y, there) in [(below - mm(5.5), true), (below - mm(1.5), false), (top - below + mm(5.5), true)] {
                assert_eq!(across(&seen, x, y).is_some_and(|grey| grey < 200), there, "at {x} {y}");
            }
        }
    }
}

#[test]
fn a_composed_booklet_stands_on_its_sheets_as_it_was_without_tags_fields_and_links() {
    let made = finished_to("two-pears", Wishes { facing: Some(true), ..order("booklet", "a5", Ink::Full) });
    let sheets = imposed(&made.bytes, FOLD);
    assert!(sheets.left_behind);
    let sources = RenderedPage::pages(&made.bytes, 1.0);
    let pages = made.booklet.pages.len();
    let difference = |sheet: &RenderedPage, left: f64, page: &RenderedPage| {
        let start = left.round() as usize;
        let bottom = sheet.height.abs_diff(page.height);
        let rows = page.height.min(sheet.height) - bottom;
        let sum: u64 = (20..rows - 20)
            .flat_map(|y| (20..page.width - 20).map(move |x| (x, y)))
            .map(|(x, y)| {
                let (a, b) = (sheet.grey[y * sheet.width + start + x], page.grey[y * page.width + x]);
                u64::from(a.abs_diff(b))
            })
            .sum();
        sum as f64 / (rows * page.width) as f64
    };
    for (face, wanted) in
        RenderedPage::pages(&sheets.bytes, 1.0).iter().zip(hitchpress::pdf::impose::order::saddle_stitch(pages))
    {
        let fold = face.width as f64 / 2.0;
        for (left, wanted) in [(fold - A5.0, wanted.left), (fold, wanted.right)] {
            let Some(wanted) = wanted else { continue };
            let mut nearest: Vec<(f64, usize)> =
                sources.iter().enumerate().map(|(at, page)| (difference(face, left, page), at)).collect();
            nearest.sort_by(|a, b| a.0.total_cmp(&b.0));
            assert_eq!(nearest[0].1, wanted, "{:?}", &nearest[..3]);
        }
    }
    // None of what a screen needs is left anywhere in the file.
    let document = Document::load_mem(&sheets.bytes).expect("it opens");
    for object in document.objects.values() {
        let dict = match object {
            Object::Dictionary(dict) => dict,
            Object::Stream(stream) => {
                let content = stream.get_plain_content().unwrap_or_default();
                let form = stream.dict.get(b"Subtype").and_then(Object::as_name).is_ok_and(|name| name == b"Form");
                assert!(!form || !content.windows(5).any(|w| w == b"/MCID"), "marked content is left");
                &stream.dict
            }
            _ => continue,
        };
        for key in ["StructTreeRoot", "MarkInfo", "AcroForm", "Annots", "StructParents", "StructParent", "Lang"] {
            assert!(!dict.has(key.as_bytes()), "{key} is left");
        }
    }
    // The same file gives the same sheets.
    assert_eq!(sheets.bytes, imposed(&made.bytes, FOLD).bytes);
}

#[test]
fn pages_that_are_turned_cropped_or_lie_on_their_side_come_out_upright() {
    let mut turned = media((A5.1, A5.0));
    turned.set("Rotate", 90);
    let mut cropped = dictionary! { "MediaBox" => vec![0.into(), 0.into(), 700.into(), 800.into()] };
    cropped
        .set("TrimBox", vec![50.into(), 60.into(), Object::Real(50.0 + A5.0 as f32), Object::Real(60.0 + A5.1 as f32)]);
    let mut moved = b"1 0 0 1 50 60 cm\n".to_vec();
    moved.extend(numbered(4));
    // On its side, to be read with the booklet turned: the head comes to lie at the left.
    let on_side = [format!("0 -1 1 0 0 {} cm\n", A5.0).into_bytes(), numbered(3)].concat();
    let pages =
        vec![(media(A5), numbered(1)), (turned, turned_back(2)), (media((A5.1, A5.0)), on_side), (cropped, moved)];
    let found = pairs(&saved(document(pages)), A5, FOLD);
    assert_eq!(found, [(Some(4), Some(1)), (Some(2), Some(3))]);
}

/// A numbered page drawn so that it stands upright once the page is turned a quarter clockwise.
fn turned_back(number: usize) -> Vec<u8> {
    // Shown x is the page's y, shown y is its width less x: the other way round, x = width - y and y = x.
    [format!("0 1 -1 0 {} 0 cm\n", A5.1).into_bytes(), numbered(number)].concat()
}

/// Runs the program on these bytes; says what it said, and that nothing was written.
fn refused(bytes: &[u8], options: &[&str], code: i32) -> String {
    let room = Room::new();
    room.write("in.pdf", bytes);
    let before = room.files();
    let ran = room.run(&[&["impose", "in.pdf"], options].concat());
    assert_eq!(ran.code, code, "{}", ran.err);
    assert_eq!(ran.out, "");
    assert_eq!(room.files(), before, "nothing is written");
    ran.err
}

#[test]
fn what_cannot_be_imposed_is_said_and_nothing_is_written() {
    let good = booklet(8, A5);
    assert!(refused(b"", &[], 1).contains("unreadable-pdf"));
    assert!(refused(b"%PDF-1.7 and then nothing", &[], 1).contains("unreadable-pdf"));
    assert!(refused(&good[..good.len() / 2], &[], 1).contains("fault"));
    assert!(refused(&saved(document(Vec::new())), &[], 1).contains("no-pages"));
    let said = refused(&booklet(4, (595.0, 842.0)), &[], 1);
    assert!(said.contains("pages-do-not-fit") && said.contains("--paper a5") && said.contains("--sheet a3"), "{said}");
    let said = refused(&booklet(4, (2000.0, 3000.0)), &[], 1);
    assert!(said.contains("pages-do-not-fit") && !said.contains("--sheet"), "{said}");
    assert!(refused(&good, &["--sheet", "letter"], 1).contains("pages-do-not-fit"));
    let mixed = document(vec![
        (media(A5), numbered(1)),
        (media(HALF_LETTER), numbered(2)),
        (media(A5), numbered(3)),
        (media((200.0, 300.0)), numbered(4)),
    ]);
    let said = refused(&saved(mixed), &[], 1);
    // All faults at once.
    assert!(
        said.contains("page 2 measures") && said.contains("page 4 measures") && said.contains("2 faults"),
        "{said}"
    );
    let mut scaled = media(A5);
    scaled.set("UserUnit", Object::Real(2.0));
    assert!(refused(&saved(document(vec![(scaled, numbered(1))])), &[], 1).contains("page 1 cannot be placed"));
    assert!(refused(&saved(document(vec![(Dictionary::new(), numbered(1))])), &[], 1).contains("no size"));
    let said = refused(&good, &["-o", "in.pdf"], 2);
    assert!(said.contains("would-overwrite"), "{said}");
    for wrong in [
        &["--sheet", "a6"][..],
        &["--paper-thickness", "thin"],
        &["--paper-thickness", "10 mm"],
        &["--paper-thickness", "0.1"],
        &["--lay", "flat", "--paper-thickness", "0.1 mm"],
        &["--lay", "pages", "--sheet", "a4"],
        &["--lay", "sideways"],
    ] {
        refused(&good, wrong, 2);
    }
    let room = Room::new();
    assert_eq!(room.run(&["impose", "none.pdf"]).code, 1);
}

#[test]
fn a_locked_file_is_named_so() {
    for password in ["secret", ""] {
        let mut locked = document((1..=4).map(|number| (media(A5), numbered(number))).collect());
        let id = Object::String(vec![1; 16], lopdf::StringFormat::Hexadecimal);
        locked.trailer.set("ID", vec![id.clone(), id]);
        let version = EncryptionVersion::V2 {
            document: &locked,
            owner_password: "owner",
            user_password: password,
            key_length: 128,
            permissions: Permissions::all(),
        };
        let state = EncryptionState::try_from(version).expect("a state");
        locked.encrypt(&state).expect("locked");
        let said = refused(&saved(locked), &[], 1);
        assert!(said.contains("locked-pdf"), "{said}");
    }
}

#[test]
fn a_damaged_file_is_refused_or_imposed_and_never_brings_the_program_down() {
    let good = booklet(5, A5);
    let mut random = fastrand::Rng::with_seed(6);
    for _ in 0..300 {
        let mut bytes = good.clone();
        for _ in 0..random.usize(1..6) {
            let at = random.usize(..bytes.len());
            bytes[at] = random.u8(..);
        }
        // Either is right; that it comes back is what counts.
        if let Ok(made) = impose(&bytes, FOLD) {
            assert!(made.faces.is_multiple_of(2));
        }
    }
}

#[test]
fn the_program_writes_beside_the_file_and_says_how_to_print() {
    let room = Room::new();
    room.write("boat.pdf", booklet(10, A5));
    let ran = room.run(&["impose", "boat.pdf", "--paper-thickness", "0.1 mm"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    for words in [
        "boat-sheets.pdf",
        "10 pages on 3 sheets of A4, 2 blank pages after the last",
        "flipped on the short edge",
        "0.2 mm towards the fold",
        "only the fold is marked",
    ] {
        assert!(ran.err.contains(words), "{words}: {}", ran.err);
    }
    for (options, name) in [
        (&["--sides", "fronts"][..], "boat-sheets-fronts.pdf"),
        (&["--lay", "flat"], "boat-side-by-side.pdf"),
        (&["--lay", "pages"], "boat-pages.pdf"),
    ] {
        assert_eq!(room.run(&[&["impose", "boat.pdf"], options].concat()).code, 0);
        assert!(room.path().join(name).is_file(), "{name}");
    }
}

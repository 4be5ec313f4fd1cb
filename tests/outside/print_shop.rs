//! Ghostscript makes the plates of a print-shop file. Its own CMYK profile stands in for a press: it comes with the program
//! and stays there, since its licence (AGPL) is not ours. `.ci/run` says where it lies.

use super::run;
use lopdf::{Dictionary, Document, Object, Stream};
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

const INKS: [&str; 4] = ["Cyan", "Magenta", "Yellow", "Black"];
/// The limit that the file is made for, per cent.
const MAX_INK: u32 = 280;

fn profile() -> PathBuf {
    let named = std::env::var_os("HITCHPRESS_PRINTER_PROFILE").map(PathBuf::from);
    let path = named.unwrap_or_else(|| PathBuf::from("/usr/share/color/icc/ghostscript/default_cmyk.icc"));
    assert!(path.is_file(), "no printer profile at {}", path.display());
    path
}

/// The pixels of an unpacked grey TIFF file (TIFF 6.0, sections 2 to 4): amounts of ink, 0 to 255.
fn plate(path: &Path) -> Vec<u8> {
    let bytes = std::fs::read(path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
    assert_eq!(bytes[..4], *b"II*\0", "{}", path.display());
    let short = |at: usize| usize::from(u16::from_le_bytes([bytes[at], bytes[at + 1]]));
    let long = |at: usize| u32::from_le_bytes(bytes[at..at + 4].try_into().expect("four bytes")) as usize;
    let directory = long(4);
    let values = |tag: usize| -> Vec<usize> {
        let entry = (0..short(directory)).map(|entry| directory + 2 + 12 * entry).find(|at| short(*at) == tag);
        let entry = entry.unwrap_or_else(|| panic!("no tag {tag}"));
        let (kind, count) = (short(entry + 2), long(entry + 4));
        let size = if kind == 3 { 2 } else { 4 };
        let start = if size * count <= 4 { entry + 8 } else { long(entry + 8) };
        (0..count).map(|at| if size == 2 { short(start + 2 * at) } else { long(start + 4 * at) }).collect()
    };
    // Bits, compression, and that white is the higher number.
    assert_eq!((values(258), values(259), values(262)), (vec![8], vec![1], vec![1]));
    let strips = values(273).into_iter().zip(values(279));
    let pixels: Vec<u8> = strips.flat_map(|(at, count)| bytes[at..at + count].iter().map(|grey| 255 - grey)).collect();
    assert_eq!(pixels.len(), values(256)[0] * values(257)[0]);
    pixels
}

/// The four plates of every page.
fn plates(room: &Path, file: &Path, pages: usize) -> Vec<[Vec<u8>; 4]> {
    let stem = file.file_stem().expect("a name").to_string_lossy().into_owned();
    let output = format!("-sOutputFile={}", room.join(format!("{stem}-%d.tif")).display());
    let options = ["-q", "-dNOPAUSE", "-dBATCH", "-dSAFER", "-sDEVICE=tiffsep", "-sCompression=none", "-r72"];
    run("gs", &[&options[..], &[&output, &file.display().to_string()]].concat());
    (1..=pages).map(|page| INKS.map(|ink| plate(&room.join(format!("{stem}-{page}({ink}).tif"))))).collect()
}

/// Plates of one page, and its width, with a tenth of a millimetre to a pixel.
fn fine_plates(room: &Path, file: &Path, page: usize) -> ([Vec<u8>; 4], usize) {
    let stem = file.file_stem().expect("a name").to_string_lossy().into_owned();
    let output = format!("-sOutputFile={}", room.join(format!("{stem}-fine-%d.tif")).display());
    let options = ["-q", "-dNOPAUSE", "-dBATCH", "-dSAFER", "-sDEVICE=tiffsep", "-sCompression=none", "-r254"];
    let pages = [format!("-dFirstPage={page}"), format!("-dLastPage={page}")];
    run("gs", &[&options[..], &[&pages[0], &pages[1], &output, &file.display().to_string()]].concat());
    let file = |ink: &str| room.join(format!("{stem}-fine-1({ink}).tif"));
    let bytes = std::fs::read(file(INKS[0])).expect("a plate");
    let width = document_width(&bytes);
    (INKS.map(|ink| plate(&file(ink))), width)
}

/// The width of a TIFF file, whose first directory says it.
fn document_width(bytes: &[u8]) -> usize {
    let short = |at: usize| usize::from(u16::from_le_bytes([bytes[at], bytes[at + 1]]));
    let long = |at: usize| u32::from_le_bytes(bytes[at..at + 4].try_into().expect("four bytes")) as usize;
    let directory = long(4);
    let entry = (0..short(directory)).map(|entry| directory + 2 + 12 * entry).find(|at| short(*at) == 256);
    let entry = entry.expect("a width");
    if short(entry + 2) == 3 { short(entry + 8) } else { long(entry + 8) }
}

/// Pixels that show the paper once one plate lies a tenth of a millimetre to the right and below, where they did not before:
/// what that plate printed has left, and what comes in its place was printed by the other plates alone. Those amid colour
/// count: their neighbours on both sides carry some.
fn rims(plates: &[Vec<u8>; 4], width: usize, moved: usize) -> usize {
    const PAPER: u8 = 6;
    let most = |at: usize| plates.iter().map(|plate| plate[at]).max().unwrap_or(0);
    let others = |at: usize| {
        let plates = plates.iter().enumerate().filter(|(plate, _)| *plate != moved);
        plates.map(|(_, plate)| plate[at]).max().unwrap_or(0)
    };
    let colours = |at: usize| plates[..3].iter().map(|plate| plate[at]).max().unwrap_or(0);
    let height = plates[0].len() / width;
    let mut found = 0;
    for y in 3..height - 3 {
        for x in 3..width - 3 {
            let at = y * width + x;
            let from = at - width - 1;
            let near = [at - 3, at + 3, at - 3 * width, at + 3 * width];
            let amid = near.iter().filter(|at| colours(**at) > PAPER).count() >= 2;
            let is_bare = others(at) <= PAPER && plates[moved][from] <= PAPER;
            found += usize::from(most(at) > PAPER && amid && is_bare && most(from) > PAPER);
        }
    }
    found
}

/// A sample for the shop's press: the file, and the same with nothing printed over anything, which is the control.
fn with_control(room: &Path, sample: &str, edition: &str) -> (PathBuf, PathBuf) {
    let project = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples").join(sample).display().to_string();
    let file = room.join(format!("{sample}-{edition}.pdf"));
    let (output, profile) = (file.display().to_string(), profile().display().to_string());
    let options =
        ["--edition", edition, "--paper", "a4", "--ink", "full", "--for", "print-shop", "--profile", &profile];
    run(env!("CARGO_BIN_EXE_hitchpress"), &[&["compose", &project, "-o", &output][..], &options].concat());
    let without = room.join(format!("{sample}-{edition}-without.pdf"));
    let mut document = Document::load(&file).expect("it opens");
    let has_states = |object: &Object| object.as_dict().is_ok_and(|dict| dict.has(b"ExtGState"));
    let states: Vec<_> = document.objects.iter().filter(|(_, object)| has_states(object)).map(|(id, _)| *id).collect();
    for id in states {
        let states = document.get_dictionary_mut(id).expect("resources").get_mut(b"ExtGState").expect("states");
        let states = states.as_dict_mut().expect("states");
        let instead = states.get(b"Instead").expect("a state").clone();
        states.set("Over", instead);
    }
    document.save(&without).expect("a file");
    (file, without)
}

/// The first page that says some words.
fn page_that_says(file: &Path, words: &str) -> usize {
    let name = file.display().to_string();
    let says = |page: &usize| {
        let page = page.to_string();
        run("pdftotext", &["-f", &page, "-l", &page, &name, "-"]).contains(words)
    };
    (1..40).find(says).unwrap_or_else(|| panic!("{name}: no page says `{words}`"))
}

#[test]
fn a_plate_that_is_a_tenth_of_a_millimetre_off_shows_no_rim_at_symbols_lines_and_marks() {
    let room = tempfile::tempdir().expect("a folder");
    for sample in ["two-pears", "low-water-heron", "harbour-evening"] {
        let (file, without) = with_control(room.path(), sample, "chart");
        let page = page_that_says(&file, "Sheet 1 of");
        let count = |file: &Path| {
            let (plates, width) = fine_plates(room.path(), file, page);
            [0, 1, 2, 3].map(|moved| rims(&plates, width, moved))
        };
        let (after, before) = (count(&file), count(&without));
        println!("{sample}: pixels of rim, cyan to black, {before:?} without printing over, {after:?} with it");
        assert!(before[3] > 1000, "{sample}: {before:?} before");
        assert!(after.iter().all(|rim| *rim <= 4), "{sample}: {after:?} after");
    }
}

#[test]
fn a_black_plate_that_is_a_tenth_of_a_millimetre_off_shows_hardly_a_rim_in_figures() {
    let room = tempfile::tempdir().expect("a folder");
    for (sample, words) in [("two-pears", "Joining a new length"), ("low-water-heron", "Turning at the")] {
        let (file, without) = with_control(room.path(), sample, "booklet");
        let page = page_that_says(&file, words);
        let count = |file: &Path| {
            let (plates, width) = fine_plates(room.path(), file, page);
            rims(&plates, width, 3)
        };
        let (after, before) = (count(&file), count(&without));
        println!("{sample}, {words}: {before} pixels of rim without printing over, {after} with it");
        // What is left is where cords fade into the paper.
        assert!(before > 5000 && after * 40 < before, "{sample}: {before} before, {after} after");
    }
}

#[test]
fn a_plate_that_is_a_tenth_of_a_millimetre_off_shows_no_rim_in_the_drawn_panel() {
    let room = tempfile::tempdir().expect("a folder");
    for sample in ["two-pears", "low-water-heron", "harbour-evening"] {
        let (file, without) = with_control(room.path(), sample, "booklet");
        let count = |file: &Path, page: usize| {
            let (plates, width) = fine_plates(room.path(), file, page);
            [0, 1, 2, 3].map(|moved| rims(&plates, width, moved))
        };
        // The cover, and as the control one whose darkest colours are on the black plate alone.
        let alone = room.path().join(format!("{sample}-alone.pdf"));
        with_content(&file, &alone, |content| content.lines().map(darkest_alone).collect());
        let (after, before) = (count(&file, 1), count(&alone, 1));
        println!("{sample}, cover: {before:?} pixels of rim with the darkest in black alone, {after:?} as it is");
        assert!(before[3] > 1000 && after.iter().all(|rim| *rim <= 4), "{sample}: {before:?} before, {after:?} after");
        // The panel hung up, with the line of its header across it.
        let page = page_that_says(&file, "This panel hung up");
        let (after, before) = (count(&file, page), count(&without, page));
        println!("{sample}, hung up: {before:?} pixels of rim without printing over, {after:?} with it");
        // What is left are corners where cords are tied round the wood.
        assert!(before[3] > 300 && after.iter().all(|rim| *rim <= 16), "{sample}: {before:?} before, {after:?} after");
    }
}

/// A line of content, with all of a colour that is mostly black on the black plate.
fn darkest_alone(line: &str) -> String {
    let words: Vec<&str> = line.split(' ').collect();
    match *words {
        [_, _, _, black, operator @ ("k" | "K")] if black.parse::<f64>().is_ok_and(|black| black >= 0.6) => {
            format!("0 0 0 1 {operator}\n")
        }
        _ => format!("{line}\n"),
    }
}

/// The same file with something put at the start of every text.
fn with_text(file: &Path, to: &Path, put: &str) {
    with_content(file, to, |content| content.replace("BT\n", &format!("BT\n{put}\n")));
}

/// The same file with another content on every page.
fn with_content(file: &Path, to: &Path, change: impl Fn(&str) -> String) {
    let mut document = Document::load(file).expect("it opens");
    // What several pages show is one stream of them all.
    let streams: BTreeSet<_> = document.page_iter().flat_map(|page| document.get_page_contents(page)).collect();
    for contents in streams {
        let stream = document.get_object(contents).and_then(Object::as_stream).expect("content");
        let content: String = stream.get_plain_content().expect("content").iter().map(|b| char::from(*b)).collect();
        let bytes = change(&content).chars().map(|c| c as u8).collect();
        document.set_object(contents, Stream::new(Dictionary::new(), bytes));
    }
    document.save(to).expect("a file");
}

#[test]
fn ghostscript_finds_text_on_the_black_plate_only_and_no_more_ink_than_the_paper_carries() {
    let room = tempfile::tempdir().expect("a folder");
    let profile = profile().display().to_string();
    let most = MAX_INK.to_string();
    for (sample, edition, ink) in [("two-pears", "booklet", "full"), ("low-water-heron", "chart", "full")] {
        let project = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples").join(sample);
        let file = room.path().join(format!("{sample}.pdf"));
        let (project, output) = (project.display().to_string(), file.display().to_string());
        let options = ["--edition", edition, "--paper", "a5", "--ink", ink, "--for", "print-shop"];
        let more = ["--profile", &profile, "--most-ink", &most];
        let program = env!("CARGO_BIN_EXE_hitchpress");
        run(program, &[&["compose", &project, "-o", &output][..], &options, &more].concat());
        run(program, &[&["proof", &project, &output][..], &options].concat());
        let said = run("qpdf", &["--check", &output]);
        assert!(!said.to_lowercase().contains("warning"), "{said}");
        let pages = Document::load(&file).expect("it opens").page_iter().count();
        let (hidden, coloured) = (room.path().join("hidden.pdf"), room.path().join("coloured.pdf"));
        // Text that is there but not drawn (ISO 32000-1, 9.3.6), and text in all four inks: the control.
        with_text(&file, &hidden, "3 Tr");
        with_text(&file, &coloured, "0.5 0.5 0.5 1 k");
        let printed = plates(room.path(), &file, pages);
        let without = plates(room.path(), &hidden, pages);
        let in_colour = plates(room.path(), &coloured, pages);
        let mut taken = 0;
        for page in 0..pages {
            for ink in 0..3 {
                let (with, without) = (&printed[page][ink], &without[page][ink]);
                // White type on a coloured ground (a sheet's number in the finder) takes ink away; none adds any.
                let added = |plate: &[u8]| plate.iter().zip(without).filter(|(with, without)| with > without).count();
                assert_eq!(added(with), 0, "{sample}, page {}: text on the {} plate", page + 1, INKS[ink]);
                assert!(added(&in_colour[page][ink]) > 0, "{sample}, page {}: the control shows nothing", page + 1);
                taken += with.iter().zip(without).filter(|(with, without)| with < without).count();
            }
            assert!(printed[page][3] != without[page][3], "{sample}, page {}: no text on the black plate", page + 1);
            // A pixel that is half one area and half another never takes more than the heavier of the two.
            let ink =
                (0..printed[page][0].len()).map(|at| (0..4).map(|i| u32::from(printed[page][i][at])).sum::<u32>());
            let darkest = ink.max().unwrap_or(0);
            assert!(darkest * 100 <= MAX_INK * 255 + 400, "{sample}, page {}: {} %", page + 1, darkest * 100 / 255);
        }
        // Something is in colour: the check of the plates is no check of empty ones.
        let coloured = printed.iter().filter(|page| page[..3].iter().any(|plate| plate.iter().any(|ink| *ink > 60)));
        assert!(coloured.count() > 2, "{sample}");
        // A digit of white type in each finder, and nothing more: three plates of some dozen pixels.
        assert!(taken < 60 * pages, "{sample}: {taken} pixels are taken away");
    }
}

//! Layouts are data: every key of a layout and of a look moves something on paper; a maker's own layout, look, fonts and
//! words are used as she wrote them, and faults in them are told like any other.

use crate::finished::{laid_out, made};
use crate::support::{Room, repository};
use hitchpress::catalogue::{FrameName, PaperName, SectionName};
use hitchpress::diag::Report;
use hitchpress::font::FontBook;
use hitchpress::page::dump::dump;
use hitchpress::press::Wishes;
use hitchpress::project::{self, Project};
use hitchpress::source::Sources;
use std::path::Path;

fn sample() -> Project {
    let (mut sources, mut report) = (Sources::new(), Report::new());
    project::load(&repository("samples/low-water-heron"), &mut sources, &mut report).expect("the sample loads")
}

/// What is printed on this paper with the layout in this folder.
fn printed(project: &Project, folder: &Path, (paper, language): (&str, &str)) -> String {
    let mut project = Project { folder: folder.to_owned(), ..project.clone() };
    project.print.layout = Some("layout.toml".into());
    let wishes = Wishes { paper: PaperName::named(paper), language: Some(language.into()), ..Wishes::default() };
    dump(&laid_out(project, &wishes, &FontBook::shipped()))
}

/// Large paper has a side column; small paper, and a language of long words, has them divided and its tables parted; short
/// words keep a wide table whole there, and tight.
const PAPERS: [(&str, &str); 3] = [("a3", "en-GB"), ("small-screen", "de"), ("small-screen", "en-US")];

/// Every line `key = value` of a layout file with another value in it.
fn changed(text: &str) -> Vec<(String, String)> {
    let mut all = Vec::new();
    let mut section = String::new();
    let lines: Vec<&str> = text.lines().collect();
    for (at, line) in lines.iter().enumerate() {
        let bare = line.split('#').next().unwrap_or_default().trim();
        if let Some(name) = line.trim().strip_prefix('[').and_then(|l| l.split(']').next()) {
            section = name.to_owned();
        }
        let Some((key, value)) = line.split_once(" = ") else { continue };
        let key = key.trim();
        if line.trim_start().starts_with('#') || key == "format" || key == "look" {
            continue;
        }
        // A colour holds the sign that begins a comment.
        let value = if value.starts_with("\"#") { &value[..9] } else { bare.split_once(" = ").map_or(value, |b| b.1) };
        let Some(other) = other(key, value.trim()) else { continue };
        let mut copy: Vec<String> = lines.iter().map(|l| (*l).to_owned()).collect();
        copy[at] = format!("{key} = {other}");
        all.push((format!("{section}.{key}"), copy.join("\n")));
    }
    all
}

/// Another value of the same kind.
fn other(key: &str, value: &str) -> Option<String> {
    let quoted = |text: &str| Some(format!("\"{text}\""));
    match (key, value) {
        ("sections" | "new-page", _) => None,
        ("run-counts", _) => None,
        (_, "true") => Some("false".into()),
        (_, "false") => Some("true".into()),
        ("cells", _) => quoted("square"),
        // Said of a chart that is turned for it, below.
        ("orientation", _) => None,
        ("least-cell", _) => quoted("5.5 mm"),
        ("most-cell", _) => quoted("4.1 mm"),
        ("pages", _) => quoted("facing"),
        ("accent", _) => quoted("#123456"),
        ("face", "\"figures\"") => quoted("text-italic"),
        ("face", _) => quoted("figures"),
        ("colour", "\"quiet\"") => quoted("accent"),
        ("colour", _) => quoted("quiet"),
        ("contents-over", _) => Some("1000".into()),
        (_, number) if number.parse::<u32>().is_ok() => Some((number.parse::<u32>().ok()? + 1).to_string()),
        // A ground must stay light enough for the letters on it.
        ("tint", _) => quoted("#f3e9dd"),
        (_, colour) if colour.starts_with("\"#") => quoted("#654321"),
        (_, measure) => {
            let (number, unit) = measure.trim_matches('"').split_once(' ')?;
            quoted(&format!("{:.2} {unit}", number.parse::<f64>().ok()? * 0.87))
        }
    }
}

#[test]
#[ignore = "dear: .ci/run runs it with --ignored"]
fn every_key_of_a_layout_and_of_a_look_moves_something_on_paper() {
    let room = Room::new();
    assert_eq!(room.run(&["new", "boat", "--title", "Little Boat"]).code, 0);
    let (mut sources, mut report) = (Sources::new(), Report::new());
    let project = project::load(&room.path().join("boat"), &mut sources, &mut report).expect("the starter loads");
    let shipped = std::fs::read_to_string(repository("layouts/booklet.toml")).expect("the layout");
    // Without its figures, which follow the look in nothing but colours and would take most of the time.
    let layout = shipped.replace("look = \"quiet\"", "look = \"look.toml\"").replace("    \"techniques\",\n", "");
    let with_figures =
        |layout: &str| layout.replace("    \"setting-up\",\n", "    \"techniques\",\n    \"setting-up\",\n");
    // In so narrow a measure some word of every kind of text is divided.
    let look = std::fs::read_to_string(repository("layouts/looks/quiet.toml")).expect("the look");
    let look = look.replace("measure = \"124 mm\"", "measure = \"58 mm\"");
    room.write("layout.toml", &layout);
    room.write("look.toml", &look);
    let before = PAPERS.map(|on| printed(&project, room.path(), on));
    room.write("layout.toml", with_figures(&layout));
    let before_with_figures = printed(&project, room.path(), PAPERS[1]);
    let of_layout = changed(&layout).into_iter().map(|(key, text)| (key, text, look.clone()));
    let of_look = changed(&look).into_iter().map(|(key, text)| (key, layout.clone(), text));
    let all: Vec<_> = of_layout.chain(of_look).collect();
    assert!(all.len() > 100, "{}", all.len());
    let idle: Vec<String> = std::thread::scope(|scope| {
        let workers: Vec<_> = all
            .chunks(all.len().div_ceil(2))
            .map(|part| {
                let (project, before, full, with_figures) = (&project, &before, &before_with_figures, &with_figures);
                scope.spawn(move || {
                    let room = Room::new();
                    let moves = |(_, layout, look): &&(String, String, String)| {
                        room.write("layout.toml", layout);
                        room.write("look.toml", look);
                        let same = |on, before: &String| printed(project, room.path(), on) == *before;
                        PAPERS.iter().zip(before).all(|(on, before)| same(*on, before)) && {
                            room.write("layout.toml", with_figures(layout));
                            same(PAPERS[1], full)
                        }
                    };
                    part.iter().filter(moves).map(|(key, ..)| key.clone()).collect::<Vec<_>>()
                })
            })
            .collect();
        workers.into_iter().flat_map(|w| w.join().expect("no panic")).collect()
    });
    assert_eq!(idle, Vec::<String>::new(), "keys that do nothing");
}

#[test]
fn a_sheet_lies_on_its_side_only_where_the_layout_lets_it() {
    let sheets = |orientation: &str| {
        let layout = std::fs::read_to_string(repository("layouts/chart.toml")).expect("the layout");
        let layout = layout.replace("orientation = \"either\"", &format!("orientation = \"{orientation}\""));
        let project = crate::finished::sample("harbour-evening");
        made(project, Wishes::default(), Some(layout))
            .booklet
            .pages
            .iter()
            .filter(|page| page.trim.width > page.trim.height)
            .count()
    };
    assert_eq!(sheets("upright"), 0);
    assert!(sheets("either") > 0);
}

/// The sample in a folder of its own, with more written below its project file.
fn own_project(room: &Room, more: &str) {
    let from = repository("samples/two-pears");
    for entry in std::fs::read_dir(&from).expect("the sample") {
        let path = entry.expect("an entry").path();
        if path.is_file() {
            let name = path.file_name().and_then(|n| n.to_str()).expect("a name").to_owned();
            let mut bytes = std::fs::read(&path).expect("a file");
            if name == "project.toml" {
                bytes.extend_from_slice(more.as_bytes());
            }
            room.write(&format!("pears/{name}"), bytes);
        }
    }
}

#[test]
fn the_makers_words_follow_a_section_or_take_its_place_and_no_caution_is_lost() {
    let room = Room::new();
    let more = "\n[[own-words]]\nsection = \"care\"\nwords = \"\"\"\n# Feathers\n- Dust it with a *goose* feather.\"\"\"\n\n\
                [[own-words]]\nsection = \"hanging\"\nplace = \"instead\"\nwords = \"Ask your uncle with the ladder.\"\n";
    own_project(&room, more);
    let (mut sources, mut report) = (Sources::new(), Report::new());
    let project = project::load(&room.path().join("pears"), &mut sources, &mut report);
    let project = project.unwrap_or_else(|| panic!("{:?}", report.iter().map(|d| &d.message).collect::<Vec<_>>()));
    let made = made(project, Wishes::default(), None);
    let proof = made.proof(&made.bytes);
    assert!(proof.findings.is_empty(), "{:?}", proof.findings);
    let text = dump(&made.booklet);
    for words in ["Feathers", "goose", "uncle with the ladder"] {
        assert!(text.contains(words), "{words}");
    }
    let hanging = made.draft.manuscript.sections.iter().find(|s| s.id == SectionName::Hanging).expect("the section");
    let cautions = hanging.blocks.iter().filter(|b| matches!(b, hitchpress::manuscript::Block::Caution(_))).count();
    assert!(cautions >= 3, "{cautions}");
}

#[test]
fn what_protects_or_is_the_pattern_cannot_be_replaced() {
    let room = Room::new();
    own_project(&room, "\n[[own-words]]\nsection = \"cautions\"\nplace = \"instead\"\nwords = \"None.\"\n");
    let ran = room.run(&["check", "pears"]);
    assert_eq!(ran.code, 1);
    assert!(ran.err.contains("section-must-stay") && ran.err.contains("place = \"after\""), "{}", ran.err);
}

#[test]
fn a_makers_own_look_and_fonts_are_used_and_bad_ones_are_told() {
    let room = Room::new();
    let project = std::fs::read_to_string(repository("samples/two-pears/project.toml")).expect("the project");
    let has_print = project.contains("[print]");
    own_project(&room, if has_print { "" } else { "\n[print]\nlayout = \"layout.toml\"\n" });
    if has_print {
        room.write("pears/project.toml", project.replace("[print]", "[print]\nlayout = \"layout.toml\""));
    }
    let layout = std::fs::read_to_string(repository("layouts/booklet.toml")).expect("the layout");
    room.write("pears/layout.toml", layout.replace("look = \"quiet\"", "look = \"look.toml\""));
    let look = std::fs::read_to_string(repository("layouts/looks/quiet.toml")).expect("the look");
    let with = |path: &str| look.replace("[colours]", &format!("[fonts]\ntext = \"{path}\"\n\n[colours]"));
    let face = std::fs::read(repository("fonts/source-sans/SourceSans3-Regular.ttf")).expect("a face");
    room.write("pears/faces/mine.ttf", face);
    room.write("pears/faces/not.ttf", "no font at all");

    room.write("pears/look.toml", with("faces/mine.ttf"));
    let ran = room.run(&["compose", "pears", "-o", "own.pdf"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let shipped = room.run(&["compose", repository("samples/two-pears").to_str().expect("UTF-8"), "-o", "shipped.pdf"]);
    assert_eq!(shipped.code, 0, "{}", shipped.err);
    let bytes = |name: &str| std::fs::read(room.path().join(name)).expect("the file");
    assert_ne!(bytes("own.pdf"), bytes("shipped.pdf"));
    let ran = room.run(&["proof", "pears", "own.pdf"]);
    assert_eq!(ran.code, 0, "{}{}", ran.out, ran.err);

    for (path, id) in [("faces/not.ttf", "font"), ("faces/none.ttf", "none.ttf"), ("../../mine.ttf", "folder")] {
        room.write("pears/look.toml", with(path));
        let ran = room.run(&["compose", "pears", "-o", "bad.pdf"]);
        assert_eq!(ran.code, 1, "{path}: {}", ran.err);
        assert!(ran.err.contains(id) && ran.err.contains("look.toml"), "{path}: {}", ran.err);
        assert!(!room.path().join("bad.pdf").exists());
    }
}

#[test]
fn facing_pages_mirror_margins_heads_and_folios() {
    let project = sample();
    let order = Wishes { paper: Some(PaperName::A5), facing: Some(true), ..Wishes::default() };
    let booklet = laid_out(project, &order, &FontBook::shipped());
    let left = |page: usize| {
        booklet.pages[page].frames.iter().find(|f| f.name == FrameName::Text).map(|f| f.area.left().to_mm())
    };
    // Inner margin 15 mm, outer 12 mm: layouts/papers.toml. Page 3 lies right of the spine, page 4 left of it.
    assert_eq!((left(2), left(3)), (Some(15.0), Some(12.0)));
    let folio = |page: usize| {
        let frame = booklet.pages[page].frames.iter().find(|f| f.name == FrameName::Folio).expect("a folio");
        let runs = frame.items.iter().filter_map(|placed| placed.item.as_text());
        let number = (page + 1).to_string();
        runs.filter(|run| run.text == number).map(|run| run.origin.x.to_mm()).next().expect("the number")
    };
    assert!(folio(2) > 120.0 && folio(3) < 20.0, "{} {}", folio(2), folio(3));
}

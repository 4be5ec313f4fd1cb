//! Tools that were not written here read what we make: qpdf checks the files, poppler lists the fonts and gives the words
//! back, mupdf and pdf.js tick boxes, pdfua and outloud look at what a screen reader is given, Chromium paints on the board. A missing tool fails;
//! `.ci/run` installs them and says where they are.
//! Every pair of sample, edition, look, paper, ink, language and system of measures stands in some file;
//! `HITCHPRESS_ALL=1` makes everything with everything, `HITCHPRESS_ALL=7` every seventh file of that.

mod accessible;
mod advisories;
mod board;
mod copies;
mod hyphens;
mod licences;
mod pairs;
mod print_shop;
mod refused_calls;
mod saved_again;
mod schemas;
mod shop;

use pairs::File;
use std::path::{Path, PathBuf};
use std::process::Command;

fn run(program: &str, arguments: &[&str]) -> String {
    let output = Command::new(program).args(arguments).output().unwrap_or_else(|e| panic!("{program} cannot run: {e}"));
    assert!(
        output.status.success(),
        "{program} {arguments:?}: {}{}",
        String::from_utf8_lossy(&output.stdout),
        String::from_utf8_lossy(&output.stderr)
    );
    String::from_utf8_lossy(&output.stdout).into_owned()
}

/// Composes a file and proves it.
fn compose(room: &Path, file: &[&str]) -> PathBuf {
    let [sample, edition, look, paper, ink, language, units] = *file else { panic!("{file:?}") };
    let project = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples").join(sample);
    let output = room.join(format!("{}.pdf", file.join("-")));
    let (project, name) = (project.display().to_string(), output.display().to_string());
    let options = ["--edition", edition, "--look", look, "--paper", paper, "--ink", ink, "--language", language];
    let options = [&options[..], &["--units", units]].concat();
    let program = env!("CARGO_BIN_EXE_hitchpress");
    run(program, &[&["compose", &project, "-o", &name], &options[..]].concat());
    run(program, &[&["proof", &project, &name], &options[..]].concat());
    output
}

/// What is composed: a file for every pair of values, or with `HITCHPRESS_ALL` everything with everything.
fn combinations() -> Vec<File> {
    match every_nth() {
        Some(step) => pairs::every().into_iter().step_by(step).collect(),
        None => pairs::pairwise(),
    }
}

/// The number in `HITCHPRESS_ALL`: 1 asks for all files, 7 for every seventh.
fn every_nth() -> Option<usize> {
    let asked = std::env::var("HITCHPRESS_ALL").ok()?;
    Some(asked.parse().ok().filter(|step| *step > 0).unwrap_or_else(|| panic!("HITCHPRESS_ALL={asked} is no number")))
}

/// A reader of forms: one of the scripts beside this file.
struct Reader(&'static str);

impl Reader {
    fn run(&self, arguments: &[&str]) -> std::process::Output {
        let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/outside").join(self.0);
        let program = match self.0.ends_with(".py") {
            true => std::env::var("HITCHPRESS_PYTHON").unwrap_or_else(|_| "python3".to_owned()),
            false => "node".to_owned(),
        };
        Command::new(&program)
            .arg(script)
            .args(arguments)
            .output()
            .unwrap_or_else(|e| panic!("{program} cannot run: {e}"))
    }

    /// Ticks the first box of a field and saves under another name.
    fn tick(&self, file: &Path, field: &str, to: &Path) {
        let done = self.run(&["tick", &file.display().to_string(), field, &to.display().to_string()]);
        assert!(done.status.success(), "{}: {}", self.0, String::from_utf8_lossy(&done.stderr));
    }

    /// What it says of a ticked file beside the one before: places that are ticked, or what is wrong.
    fn check(&self, before: &Path, file: &Path, field: &str) -> Result<String, String> {
        let done = self.run(&["check", &before.display().to_string(), &file.display().to_string(), field]);
        let said = |bytes: &[u8]| String::from_utf8_lossy(bytes).trim().to_owned();
        if done.status.success() { Ok(said(&done.stdout)) } else { Err(said(&done.stderr)) }
    }
}

#[test]
fn a_box_ticked_in_mupdf_or_pdf_js_is_ticked_wherever_its_row_stands_and_no_other_is() {
    let room = tempfile::tempdir().expect("a folder");
    let readers = [Reader("tick.py"), Reader("tick.mjs")];
    for (sample, edition, field, places) in [
        // On three sheets, on the three below that show the row again, and beside its words.
        ("low-water-heron", "booklet", "row-39", 7),
        // Three sheets side by side, and the words that follow them.
        ("two-pears", "large-print", "row-1", 4),
        ("low-water-heron", "booklet", "row-H2", 1),
        ("low-water-heron", "materials", "materials-yarn-o", 1),
        // Two sheets side by side, and the two below them that show the row again; one of the four says its words.
        ("harbour-evening", "chart", "row-28", 4),
    ] {
        let look = if edition == "large-print" { "large-print" } else { "quiet" };
        let file = compose(room.path(), &[sample, edition, look, "a4", "saving", "en-GB", "metric"]);
        for (at, reader) in readers.iter().enumerate() {
            let ticked = room.path().join(format!("{edition}-{field}-{at}.pdf"));
            reader.tick(&file, field, &ticked);
            for other in &readers {
                let said = other.check(&file, &ticked, field);
                let want = format!("{places} places ticked, ");
                let good = said.as_ref().is_ok_and(|said| said.starts_with(&want));
                assert!(good, "{} of {} in {}: {said:?}", other.0, field, reader.0);
                // The check has teeth: nothing is ticked before, and it is this field that is.
                assert!(other.check(&file, &file, field).is_err());
            }
        }
        let ticked = room.path().join(format!("{edition}-{field}-0.pdf"));
        assert!(readers[0].check(&file, &ticked, "row-2").is_err());
    }
}

#[test]
fn what_is_typed_in_mupdf_or_pdf_js_is_kept_and_shown() {
    let room = tempfile::tempdir().expect("a folder");
    let (mupdf, pdf_js) = (Reader("tick.py"), Reader("tick.mjs"));
    let file = compose(room.path(), &["two-pears", "booklet", "quiet", "a4", "saving", "de-DE", "metric"]);
    let path = |file: &Path| file.display().to_string();
    // Every kind of letter that the encoding has.
    for (field, words) in [("own-figure-1", "78,5 mm"), ("snip-1-1", "Größe œuvre ñandú")] {
        for (at, reader) in [&mupdf, &pdf_js].into_iter().enumerate() {
            let typed = room.path().join(format!("{field}-{at}.pdf"));
            let done = reader.run(&["type", &path(&file), field, &path(&typed), words]);
            assert!(done.status.success(), "{}: {}", reader.0, String::from_utf8_lossy(&done.stderr));
            for other in [&mupdf, &pdf_js] {
                let done = other.run(&["typed", &path(&file), &path(&typed), field, words]);
                assert!(done.status.success(), "{}: {}", other.0, String::from_utf8_lossy(&done.stderr));
                // The check has teeth: nothing is typed before, and these words are.
                assert!(!other.run(&["typed", &path(&file), &path(&file), field, words]).status.success());
                assert!(!other.run(&["typed", &path(&file), &path(&typed), field, "78"]).status.success());
            }
            // A box that is ticked in the other one later leaves the words alone.
            let both = room.path().join(format!("{field}-{at}-ticked.pdf"));
            let later = if at == 0 { &pdf_js } else { &mupdf };
            later.tick(&typed, "row-1", &both);
            assert!(pdf_js.check(&file, &both, "row-1").is_ok_and(|said| said.starts_with("2 places ticked")));
            for other in [&mupdf, &pdf_js] {
                let done = other.run(&["typed", &path(&file), &path(&both), field, words]);
                assert!(done.status.success(), "{}: {}", other.0, String::from_utf8_lossy(&done.stderr));
            }
        }
    }
}

/// Spaces of all kinds made one, so that line ends and no-break spaces do not matter. The narrow one before a French
/// semicolon is often read as none.
fn plain(text: &str) -> String {
    let text = text.split(|c: char| c.is_whitespace()).filter(|w| !w.is_empty()).collect::<Vec<_>>().join(" ");
    text.replace(" ;", ";")
}

/// No file of a sample, none of which has photographs, takes more room on a buyer's telephone: our own limit.
const MAX_BYTES: u64 = 1_500_000;
#[test]
fn qpdf_finds_nothing_and_every_font_is_embedded_and_subset() {
    let room = tempfile::tempdir().expect("a folder");
    let files = combinations();
    let next = std::sync::atomic::AtomicUsize::new(0);
    let cores = std::thread::available_parallelism().map_or(1, |n| n.get());
    std::thread::scope(|scope| {
        for _ in 0..cores {
            scope.spawn(|| {
                while let Some(choice) = files.get(next.fetch_add(1, std::sync::atomic::Ordering::Relaxed)) {
                    let file = compose(room.path(), choice);
                    is_sound(&file);
                    let size = std::fs::metadata(&file).expect("the file's size").len();
                    assert!(size <= MAX_BYTES, "{} takes {size} bytes", file.display());
                    std::fs::remove_file(&file).expect("a file of this test");
                }
            });
        }
    });
}

/// qpdf has nothing to say, and every font is embedded and subset.
fn is_sound(file: &Path) {
    let name = file.display().to_string();
    let said = run("qpdf", &["--check", &name]);
    assert!(!said.to_lowercase().contains("warning"), "{name}: {said}");
    let fonts = run("pdffonts", &[&name]);
    let mut count = 0;
    for line in fonts.lines().skip(2) {
        // name, type, encoding, emb, sub, uni, object: the three answers stand before the object's two numbers.
        let words: Vec<&str> = line.split_whitespace().collect();
        let answers = &words[words.len() - 5..words.len() - 2];
        assert_eq!(answers, ["yes", "yes", "yes"], "{name}: {line}");
        count += 1;
    }
    assert!(count > 0, "no fonts in {name}");
}

#[test]
fn poppler_gives_the_row_sentences_back_word_for_word() {
    let room = tempfile::tempdir().expect("a folder");
    // Where a page is so small that a row runs over more than one foot, `proof` alone looks for its words.
    let languages: Vec<&str> = hitchpress::words::Words::languages().collect();
    let samples = ["low-water-heron", "two-pears", "harbour-evening"];
    let papers = [("a4", "saving"), ("letter", "full"), ("a5", "symbols-only")];
    let each = samples
        .iter()
        .enumerate()
        .flat_map(|(s, sample)| papers.iter().enumerate().map(move |(p, of)| (s + p, sample, of)));
    // Each language meets some sample and some paper.
    let files = each.map(|(turn, sample, (paper, ink))| {
        [*sample, "booklet", "quiet", *paper, *ink, languages[turn % languages.len()], ["metric", "imperial"][turn % 2]]
    });
    for choice in files {
        let choice = &choice[..];
        let file = compose(room.path(), choice);
        // In the order of the content: a guess from the layout takes the symbols in a line for gaps between columns.
        let read = run("pdftotext", &["-raw", &file.display().to_string(), "-"]);
        let (sentences, furniture) = sentences(choice);
        let text = without_furniture(&read, &furniture);
        assert!(sentences.len() > 40, "{}", sentences.len());
        // A heading in the side column may be read between the two parts of a row that runs over the foot of a page:
        // then each part must stand there whole.
        let in_two = |sentence: &str| {
            let mut spaces = sentence.match_indices(' ');
            spaces.any(|(at, _)| text.contains(&sentence[..at]) && text.contains(&sentence[at + 1..]))
        };
        let missing: Vec<&String> = sentences.iter().filter(|s| !text.contains(s.as_str()) && !in_two(s)).collect();
        assert!(missing.is_empty(), "{choice:?}: {} of {}: {:#?}", missing.len(), sentences.len(), missing[0]);
        for sign in ["½", "×"] {
            assert!(text.contains(sign), "{choice:?}: no {sign}");
        }
    }
}

/// The words of a file without running heads, folios and the numbers that stand beside rows, so that a row that runs over
/// the foot of a page reads on. No line of a sentence is a number alone: a number is held to what it counts.
fn without_furniture(read: &str, furniture: &[String]) -> String {
    let number = |line: &str| {
        // Header rows have a letter before their number, another in each language.
        let digits = line.strip_prefix(|c: char| c.is_ascii_uppercase()).unwrap_or(line);
        !digits.is_empty() && digits.bytes().all(|b| b.is_ascii_digit())
    };
    let lines = read.split(['\n', '\u{c}']).map(plain);
    plain(&lines.filter(|line| !number(line) && !furniture.contains(line)).collect::<Vec<_>>().join(" "))
}

/// The sentences a sample's booklet must hold, from the manuscript, and the words of its furniture.
fn sentences(file: &[&str]) -> (Vec<String>, Vec<String>) {
    use hitchpress::manuscript::{Block, Inline};
    use hitchpress::press::{Prepared, Settled, Wishes};
    use hitchpress::project::Units;
    let (sample, language) = (file[0], file[5]);
    let project = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples").join(sample);
    let (mut sources, mut report) = (hitchpress::source::Sources::new(), hitchpress::diag::Report::new());
    let project = hitchpress::project::load(&project, &mut sources, &mut report).expect("the sample loads");
    let units = Some(if file[6] == "imperial" { Units::Imperial } else { Units::Metric });
    let wishes = Wishes { language: Some(language.to_owned()), units, ..Wishes::default() };
    let settled = Settled::from(&wishes, &project, &mut sources, &mut report).expect("it is settled");
    let draft = Prepared::new(project, settled.manner).write(&settled.variant);
    let rows = draft.manuscript.sections.iter().flat_map(|s| &s.blocks).filter_map(|b| match b {
        Block::Rows(rows) => Some(rows),
        _ => None,
    });
    let words = |inline: &Inline| match inline {
        Inline::Plain(t) | Inline::Strong(t) | Inline::Italic(t) | Inline::Address(t, _) => t.clone(),
        Inline::Foreign(name) => name.words.clone(),
        Inline::PageOf(_) => String::new(),
        Inline::Symbol(_) => "\u{a0}".to_owned(),
    };
    let sentences = rows.flatten().map(|row| plain(&row.sentence.iter().map(words).collect::<String>())).collect();
    let furniture = &draft.manuscript.furniture;
    (sentences, [&furniture.head, &furniture.head_side, &furniture.foot].map(|words| plain(words)).to_vec())
}

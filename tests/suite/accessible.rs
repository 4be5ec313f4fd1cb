//! Files as screen readers and archives want them: every edition in every language is walked rule by rule, a whole booklet is
//! held to the golden text of what a careful reader says, and what is broken on purpose is found.

use crate::booklet::SAMPLES;
use crate::finished::{finished_to, sample};
use crate::support::repository;
use crate::walk::walk;
use hitchpress::catalogue::{EditionName, PaperName};
use hitchpress::manuscript::{Block, Inline};
use hitchpress::markup::unmarked;
use hitchpress::press::Wishes;
use hitchpress::words::Words;
use lopdf::{Dictionary, Document, Object, ObjectId, dictionary};

const EDITIONS: [&str; 4] = ["booklet", "chart", "large-print", "materials"];

fn order(edition: &str, language: &str) -> Wishes {
    Wishes {
        edition: EditionName::named(edition),
        paper: Some(PaperName::A4),
        language: Some(language.to_owned()),
        ..Wishes::default()
    }
}

fn bytes(sample: &str, edition: &str, language: &str) -> Vec<u8> {
    finished_to(sample, order(edition, language)).bytes.clone()
}

#[test]
fn no_edition_in_any_language_breaks_a_rule() {
    let languages: Vec<&str> = Words::languages().collect();
    for (e, edition) in EDITIONS.into_iter().enumerate() {
        for (l, language) in languages.iter().enumerate() {
            let sample = SAMPLES[(e + l) % SAMPLES.len()];
            let faults = walk(&bytes(sample, edition, language)).faults;
            assert!(faults.is_empty(), "{sample} {edition} {language}: {:#?}", &faults[..faults.len().min(8)]);
        }
    }
}

#[test]
fn a_booklet_is_read_as_a_careful_reader_would_say_it() {
    let made = finished_to("low-water-heron", order("booklet", "en-GB"));
    let reading = walk(&made.bytes).reading;
    // Nothing of the printed page's own: no soft hyphens, joined letters, private signs or spaces of other widths.
    let printed = |c: char| matches!(c, '\u{ad}' | '\u{a0}' | '\u{200b}' | '\u{2010}' | '\u{fb00}'..='\u{fb06}' | '\u{e000}'..='\u{f8ff}');
    assert!(!reading.contains(printed), "{:?}", reading.chars().find(|c| printed(*c)));
    // Every row is there whole, in order.
    let rows =
        made.draft.manuscript.sections.iter().flat_map(|section| &section.blocks).filter_map(|block| match block {
            Block::Rows(rows) => Some(rows),
            _ => None,
        });
    let words = |inline: &Inline| match inline {
        Inline::Plain(t) | Inline::Strong(t) | Inline::Italic(t) | Inline::Address(t, _) => t.replace('\u{a0}', " "),
        Inline::Foreign(name) => name.words.replace('\u{a0}', " "),
        Inline::PageOf(_) => String::new(),
        // For the eye alone.
        Inline::Symbol(_) => " ".to_owned(),
    };
    let mut rest = reading.as_str();
    for row in rows.flatten() {
        let sentence = row.sentence.iter().map(words).collect::<String>().replace('\u{202f}', " ");
        let sentence = sentence.split_whitespace().collect::<Vec<_>>().join(" ");
        let at = rest.find(&sentence).unwrap_or_else(|| panic!("`{sentence}` is not said in its place"));
        rest = &rest[at + sentence.len()..];
    }
    held_to_golden(&reading, "low-water-heron");
}

/// Holds a reading to the golden text of this name.
fn held_to_golden(reading: &str, name: &str) {
    let file = repository(&format!("tests/golden/reading/{name}.txt"));
    let golden = std::fs::read_to_string(&file).unwrap_or_default();
    if reading == golden {
        return;
    }
    let at = reading.lines().zip(golden.lines()).position(|(a, b)| a != b);
    if std::env::var_os("RENEW_GOLDEN").is_some() {
        std::fs::create_dir_all(file.parent().expect("a folder")).expect("the folder is made");
        std::fs::write(&file, reading).expect("the golden text is written");
        panic!("written anew: read {}", file.display());
    }
    let line = |text: &str| at.and_then(|at| text.lines().nth(at)).unwrap_or_default().to_owned();
    panic!("{name}: line {at:?} of the reading is `{}`, the golden text has `{}`", line(reading), line(&golden));
}

#[test]
fn a_large_print_edition_is_read_as_a_careful_reader_would_say_it() {
    let made = finished_to("two-pears", order("large-print", "en-GB"));
    held_to_golden(&walk(&made.bytes).reading, "two-pears-large-print");
}

/// Printed words beside a line to type into are for the eye: the field's name says them, and is heard once. Of lines side by
/// side the words are read too, once each.
#[test]
fn what_stands_beside_a_line_to_type_into_is_heard_once() {
    for sample in ["two-pears", "low-water-heron"] {
        let reading = walk(&bytes(sample, "booklet", "en-GB")).reading;
        let mut fields = 0;
        for line in reading.lines() {
            let Some((_, what)) = line.split_once("[box] Fill in: ") else { continue };
            fields += 1;
            let said =
                |words: &str| reading.lines().filter(|line| line.trim_start_matches([' ', '-']) == words).count();
            // Of a yarn's line the name stands before its lines, once.
            let (before, after) = what.split_once(", ").expect("two parts");
            let fields_of = |words: &str| reading.lines().filter(|line| line.ends_with(&format!(", {words}"))).count();
            let beside = if said(before) == 1 { fields_of(after) } else { 0 };
            assert!(said(before) <= 1 && said(after) == beside, "{sample}: {line}");
            assert!(reading.matches(&format!("Fill in: {what}")).count() == 1, "{sample}: {line}");
        }
        assert!(fields >= 7, "{sample}: {fields} lines to type into");
    }
}

#[test]
fn a_chart_edition_is_read_row_by_row_and_says_each_row_once_as_an_entry_of_a_list() {
    let made = finished_to("low-water-heron", order("chart", "en-GB"));
    held_to_golden(&walk(&made.bytes).reading, "low-water-heron-chart");
    // A chart of several sheets side by side: what one has said the next does not say again.
    let made = finished_to("harbour-evening", order("chart", "en-GB"));
    let blocks = || made.draft.manuscript.sections.iter().flat_map(|section| &section.blocks);
    let chart = blocks().find_map(|block| if let Block::Chart(chart) = block { Some(chart) } else { None });
    let reading = walk(&made.bytes).reading;
    let chart = chart.expect("a chart");
    let (mut rows, mut after_heading) = (chart.rows.iter(), None);
    let (mut names, mut entries) = (0, 0);
    for line in reading.lines() {
        if line.starts_with('[') {
            after_heading = line.starts_with("[heading 4] ").then_some(0);
        }
        let begins_entry = line.starts_with("- ");
        let Some(words) = line.trim_start_matches([' ', '-']).strip_prefix("[box] Row ") else { continue };
        if chart.rows.iter().any(|row| *row.name == format!("Row {words}")) {
            names += 1;
            entries += usize::from(begins_entry);
            continue;
        }
        assert!(begins_entry, "{words}");
        let row = rows.next().expect("a row that was not said before");
        assert_eq!(format!("Row {words}"), *row.spoken);
        let count = after_heading.as_mut().expect("rows below a heading of their own");
        *count += 1;
        assert!(*count <= 20, "{words}");
    }
    assert_eq!(rows.next().map(|row| &row.number), None, "rows that nothing says");
    // Ten sheets two by two, each rank but the first with two rows of the rank above: own computation.
    assert_eq!(names, 128 + 4 * 2 * 2);
    // They are passed over at one stop a sheet: the five at the right, and the four at the left below the first.
    assert_eq!(entries, 5 + 4);
    // A box by itself stands in no list.
    assert!(!reading.lines().any(|line| line.starts_with("[box]")), "{reading}");
}

/// Headings of a reading: level and words.
fn headings(reading: &str) -> Vec<(u8, &str)> {
    let lines = reading.lines().filter_map(|line| line.strip_prefix("[heading "));
    lines
        .filter_map(|line| line.split_once("] "))
        .map(|(level, words)| (level.parse().expect("a level"), words))
        .collect()
}

#[test]
fn every_edition_begins_with_its_title_and_names_a_section_alike_everywhere() {
    let mut subjects = std::collections::BTreeSet::new();
    for (e, edition) in EDITIONS.into_iter().enumerate() {
        for (l, language) in Words::languages().enumerate() {
            let name = SAMPLES[(e + l) % SAMPLES.len()];
            let made = finished_to(name, order(edition, language));
            let reading = walk(&made.bytes).reading;
            let headings = headings(&reading);
            let place = format!("{name} {edition} {language}");
            assert_eq!(headings.first(), Some(&(1, sample(name).about.title.as_str())), "{place}");
            assert_eq!(headings.iter().filter(|(level, _)| *level == 1).count(), 1, "{place}");
            // Bookmarks name what headings name, section by section.
            let at_level = |level: u8| headings.iter().filter(move |(at, _)| *at == level).map(|(_, words)| *words);
            let marks = |level: u8| {
                let entries = made.booklet.outline.iter().filter(move |entry| entry.level == level);
                entries.map(|entry| entry.title.as_str())
            };
            assert_eq!(at_level(2).collect::<Vec<_>>(), marks(1).collect::<Vec<_>>(), "{place}");
            for mark in marks(2).chain(marks(3)) {
                assert!(headings.iter().any(|(level, words)| *level > 2 && *words == mark), "{place}: `{mark}`");
            }
            // So does the list of contents, without itself.
            let entries: Vec<&str> = reading.lines().filter_map(|line| line.strip_prefix("[entry] [link: ")).collect();
            for (entry, section) in entries.iter().zip(at_level(2)) {
                assert!(entry.starts_with(&format!("{section}, ")), "{place}: `{entry}` is `{section}`");
            }
            assert!(entries.is_empty() || entries.len() == at_level(2).count(), "{place}: {entries:?}");
            // Rows come in twenties: no more stops follow one another without a heading. Boxes that say no row are one stop
            // together: the first begins an entry, and the others stand in it.
            let mut stops = 0;
            for line in reading.lines() {
                let says_row = line.contains(':') || line.ends_with('.');
                let is_stop = line.contains("[box] ") && (says_row || !line.starts_with(' '));
                stops = match (line.starts_with("[heading"), is_stop) {
                    (true, _) => 0,
                    (false, true) => stops + 1,
                    (false, false) => stops,
                };
                assert!(edition == "booklet" || edition == "materials" || stops <= 20, "{place}: {line}");
            }
            // What a box says is not said again beside it.
            for line in reading.lines().filter_map(|line| line.split_once("[box] ")).map(|(_, after)| after) {
                let words: Vec<&str> = line.split(';').next().unwrap_or_default().split_whitespace().collect();
                for half in 1..=words.len() / 2 {
                    assert_ne!(words[..half], words[half..half * 2], "{place}: {line}");
                }
            }
            subjects.insert((l, made.booklet.about.subject.rsplit(": ").next().unwrap_or_default().to_owned()));
        }
    }
    // Every edition says which it is.
    assert_eq!(subjects.len(), EDITIONS.len() * Words::languages().count());
}

#[test]
fn the_makers_own_words_keep_their_language() {
    let language = &sample("two-pears").about.language;
    let document = Document::load_mem(&bytes("two-pears", "booklet", "de-DE")).expect("our own file");
    let tagged = document.objects.values().filter_map(|object| object.as_dict().ok()).filter(|dict| dict.has(b"S"));
    let languages: Vec<String> = tagged
        .filter_map(|dict| dict.get(b"Lang").and_then(Object::as_str).ok())
        .map(|tag| String::from_utf8_lossy(tag).into_owned())
        .collect();
    // The title at least, and nothing else but the maker's words.
    assert!(!languages.is_empty() && languages.iter().all(|tag| tag == language), "{languages:?}");
    // Names of yarns wherever a row ties one, and the brand.
    let made = finished_to("two-pears", order("booklet", "de-DE"));
    let foreign = walk(&made.bytes).foreign;
    let count = |words: &str| foreign.iter().filter(|(_, said)| said.replace('\u{a0}', " ").trim() == words).count();
    let rows =
        made.draft.manuscript.sections.iter().flat_map(|section| &section.blocks).filter_map(|block| match block {
            Block::Rows(rows) => Some(rows),
            _ => None,
        });
    let sentences: String = rows.flatten().map(|row| unmarked(&row.sentence).replace('\u{a0}', " ")).collect();
    for name in ["larder blue", "candle cream"] {
        let tied = sentences.matches(name).count();
        // A line's end may part a name in two.
        assert!(tied > 100 && count(name) > tied * 9 / 10, "{name}: {tied} times, {} times marked", count(name));
    }
    assert!(count("Brindle Soft Cotton") > 0);
    let own = Document::load_mem(&bytes("two-pears", "booklet", language)).expect("our own file");
    let elements = own.objects.values().filter_map(|object| object.as_dict().ok()).filter(|dict| dict.has(b"S"));
    assert_eq!(elements.filter(|dict| dict.has(b"Lang")).count(), 0);
}

fn find(document: &Document, wanted: impl Fn(&Dictionary) -> bool) -> ObjectId {
    let found = document.objects.iter().find(|(_, object)| match object {
        Object::Dictionary(dict) => wanted(dict),
        Object::Stream(stream) => wanted(&stream.dict),
        _ => false,
    });
    *found.expect("an object of this kind").0
}

fn is(dict: &Dictionary, key: &[u8], value: &[u8]) -> bool {
    dict.get(key).and_then(Object::as_name).is_ok_and(|name| name == value)
}

fn remove(document: &mut Document, wanted: impl Fn(&Dictionary) -> bool, key: &[u8]) {
    let id = find(document, wanted);
    document.get_dictionary_mut(id).expect("a dictionary").remove(key).expect("something to take away");
}

fn page_text(document: &mut Document, page: u32, change: impl Fn(String) -> String) {
    let id = *document.get_pages().get(&page).expect("a page");
    let text = document.get_page_content(id);
    let text: String = text.iter().map(|&byte| char::from(byte)).collect();
    let changed = change(text.clone());
    assert_ne!(text, changed, "nothing was changed");
    document.change_page_content(id, changed.chars().map(|c| c as u8).collect()).expect("changed content");
}

#[test]
fn what_is_broken_in_a_whole_booklet_is_found() {
    type Break = fn(&mut Document);
    let breaks: [(&str, Break); 14] = [
        ("figure-words", |d| remove(d, |dict| is(dict, b"S", b"Figure"), b"Alt")),
        ("language", |d| remove(d, |dict| is(dict, b"Type", b"Catalog"), b"Lang")),
        ("unmarked", |d| page_text(d, 4, |text| text.replacen("/Artifact", "/Nothing", 1))),
        ("scope", |d| remove(d, |dict| is(dict, b"S", b"TH"), b"A")),
        ("owner", |d| remove(d, |dict| is(dict, b"S", b"P") && dict.has(b"Type"), b"K")),
        ("device-colour", |d| remove(d, |dict| is(dict, b"Type", b"Catalog"), b"OutputIntents")),
        ("appearance", |d| remove(d, |dict| is(dict, b"Subtype", b"Widget"), b"AP")),
        ("print-flag", |d| remove(d, |dict| is(dict, b"Subtype", b"Widget"), b"F")),
        ("information", |d| remove(d, |dict| dict.has(b"Producer"), b"Title")),
        ("width", |d| {
            let id = find(d, |dict| is(dict, b"Subtype", b"Type0"));
            let font = d.get_dictionary_mut(id).expect("a font");
            let list = font.get_mut(b"DescendantFonts").and_then(Object::as_array_mut).expect("descendants");
            list[0].as_dict_mut().expect("a font").remove(b"W");
        }),
        ("notdef", |d| page_text(d, 4, |text| text.replacen("[<", "[<0000", 1))),
        ("private-use", |d| {
            let id = find(d, |dict| is(dict, b"Subtype", b"Type0"));
            let table = d.get_dictionary(id).and_then(|font| font.get(b"ToUnicode")).and_then(Object::as_reference);
            let table = d.get_object_mut(table.expect("a table")).and_then(Object::as_stream_mut).expect("a stream");
            let text = String::from_utf8(table.decompressed_content().expect("content")).expect("text");
            let entries: Vec<String> = text
                .lines()
                .map(|line| match line.split_once("> <") {
                    Some((code, meaning)) if meaning.len() == 5 => format!("{code}> <E001>"),
                    _ => line.to_owned(),
                })
                .collect();
            table.set_plain_content(entries.join("\n").into_bytes());
        }),
        ("action", |d| {
            let id = find(d, |dict| is(dict, b"Subtype", b"Widget"));
            d.get_dictionary_mut(id).expect("a box").set("AA", dictionary! { "D" => dictionary! { "S" => "Hide" } });
        }),
        ("tabs", |d| remove(d, |dict| is(dict, b"Type", b"Page") && dict.has(b"Annots"), b"Tabs")),
    ];
    let original = bytes("two-pears", "booklet", "en-GB");
    for (rule, change) in breaks {
        let mut document = Document::load_mem(&original).expect("our own file");
        change(&mut document);
        let mut changed = Vec::new();
        document.save_to(&mut changed).expect("a changed file");
        let ids = walk(&changed).ids();
        assert!(ids.contains(rule), "{rule} was broken, {ids:?} found");
    }
    // The identifier stands in the bytes.
    let mut changed = original.clone();
    let at = changed.windows(4).rposition(|window| window == b"/ID[").expect("an identifier");
    changed[at + 1] = b'J';
    assert!(walk(&changed).ids().contains("identifier"));
    assert!(walk(&original).faults.is_empty());
}

#[test]
fn a_file_says_what_the_project_says_of_it() {
    let made = finished_to("low-water-heron", order("booklet", "en-GB"));
    let document = Document::load_mem(&made.bytes).expect("our own file");
    let packet = document.catalog().and_then(|c| c.get(b"Metadata")).and_then(Object::as_reference).expect("a packet");
    let packet = document.get_object(packet).and_then(Object::as_stream).expect("a stream").content.clone();
    let packet = String::from_utf8(packet).expect("UTF-8");
    let about = &made.prepared.project.about;
    let date = format!("{:04}-{:02}-{:02}T00:00:00Z", about.date.year, about.date.month, about.date.day);
    let rights = &made.booklet.about.rights;
    for (key, value) in [
        ("dc:title", &about.title),
        ("dc:creator", &about.maker),
        ("dc:language", &made.booklet.about.language),
        ("dc:description", &made.booklet.about.subject),
        ("dc:rights", rights),
        ("xmpRights:UsageTerms", rights),
        ("xmpRights:Marked", &"True".to_owned()),
        ("xmpMM:VersionID", &about.version),
        ("xmp:CreateDate", &date),
        ("xmp:ModifyDate", &date),
    ] {
        let said = packet.split_once(&format!("<{key}>")).and_then(|(_, rest)| rest.split_once(&format!("</{key}>")));
        let said = said.map(|(inside, _)| inside.to_owned()).unwrap_or_default();
        assert!(!value.is_empty() && said.contains(value.as_str()), "{key}: `{said}` without `{value}`");
    }
    for keyword in &about.keywords {
        assert!(packet.contains(&format!("<rdf:li>{keyword}</rdf:li>")), "{keyword}");
    }
    // No build, no machine: the same file from every copy of the program.
    assert!(packet.contains("<pdf:Producer>Hitchpress</pdf:Producer>"));
}

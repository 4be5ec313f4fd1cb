//! Tests. Long, and one subject: what holds for the words of every language.

use super::measures::{MeasureKind, Measures};
use super::plural::{Category, PluralRule};
use super::shipped::{IMPERIAL, METRIC};
use super::{Names, Phrase, Words};
use crate::project::{Date, Units};
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

fn shipped(language: &str) -> Words {
    Words::shipped(language).unwrap_or_else(|| panic!("the words of {language} are not whole"))
}

fn english() -> Words {
    shipped("en-GB")
}

fn metric(words: &Words) -> Measures<'_> {
    words.measures(Units::Metric)
}

#[test]
fn every_shipped_language_can_be_read() {
    for (tag, file) in Words::files() {
        let words = Words::parse(file, METRIC, IMPERIAL).unwrap_or_else(|fault| panic!("{tag}: {fault}"));
        assert_eq!(words.language(), tag);
    }
}

#[test]
fn a_language_is_found_by_its_tag_or_its_main_part_and_by_no_other_country() {
    let found = |typed: &str| Words::shipped(typed).map(|words| words.language().to_string());
    assert_eq!(found("en-gb").as_deref(), Some("en-GB"));
    assert_eq!(found("EN-US").as_deref(), Some("en-US"));
    assert_eq!(found("en").as_deref(), Some("en-GB"));
    for typed in ["tlh", "en-AU", "e", "", "de-AT"] {
        assert_eq!(found(typed), None, "{typed}");
    }
    for (typed, meant) in [
        ("en-AU", Some("en-GB")),
        ("en_US", Some("en-GB")),
        ("en-UK", Some("en-GB")),
        ("American English", Some("en-US")),
        ("english", Some("en-GB")),
        ("xx", None),
    ] {
        assert_eq!(Words::nearest_language(typed), meant, "{typed}");
    }
}

#[test]
fn a_missing_phrase_is_its_key_between_guillemets() {
    let words = english();
    assert_eq!(words.say("no.such-phrase", &[]), "«no.such-phrase»");
    assert_eq!(words.count("no.such-phrase", 2, &[]), "«no.such-phrase»");
    // An unfilled name, and a counted phrase without its number.
    assert_eq!(words.say("cover.by", &[]), "«cover.by»");
    assert_eq!(words.say("count.knots", &[]), "«count.knots»");
}

#[test]
fn what_is_filled_in_is_never_read_as_mark_up() {
    let name = "A* {b} \\ **c**";
    assert_eq!(english().say("cover.by", &[("maker", &name)]), format!("by {name}"));
}

#[test]
fn plurals_follow_the_number() {
    let words = english();
    assert_eq!(words.count("count.knots", 1, &[]), "1\u{a0}knot");
    assert_eq!(words.count("count.knots", 0, &[]), "0\u{a0}knots");
    assert_eq!(words.count("count.knots", 4800, &[]), "4,800\u{a0}knots");
}

#[test]
fn plural_categories_are_those_of_each_language() {
    // Unicode CLDR, plural rules, cardinals.
    let french = PluralRule::ZeroIsOne;
    assert_eq!(
        [0, 1, 2, 1_000_000].map(|n| french.category(n)),
        [Category::One, Category::One, Category::Other, Category::Many]
    );
    let spanish = PluralRule::MillionsApart;
    assert_eq!(
        [0, 1, 2, 1_000_000].map(|n| spanish.category(n)),
        [Category::Other, Category::One, Category::Other, Category::Many]
    );
    let german = PluralRule::OneOther;
    assert_eq!(
        [0, 1, 2, 1_000_000].map(|n| german.category(n)),
        [Category::Other, Category::One, Category::Other, Category::Other]
    );
}

#[test]
fn lists_end_with_and() {
    let words = english();
    let list = |entries: &[&str]| words.list(&entries.iter().map(|entry| entry.to_string()).collect::<Vec<_>>());
    assert_eq!(list(&[]), "");
    assert_eq!(list(&["cream"]), "cream");
    assert_eq!(list(&["cream", "navy"]), "cream and navy");
    assert_eq!(list(&["cream", "navy", "rust", "moss"]), "cream, navy, rust and moss");
}

#[test]
fn spanish_says_e_before_the_sound_i() {
    // Ortografía de la lengua española, from memory: "e" before i- and hi-, "y" before a diphthong and before the sound y.
    let words = shipped("es-ES");
    let list = |entries: &[&str]| words.list(&entries.iter().map(|entry| entry.to_string()).collect::<Vec<_>>());
    assert_eq!(list(&["negro", "índigo"]), "negro e índigo");
    assert_eq!(list(&["negro", "crema", "Hilo de oro"]), "negro, crema e Hilo de oro");
    assert_eq!(list(&["negro", "hielo"]), "negro y hielo");
    assert_eq!(list(&["negro", "yute"]), "negro y yute");
    assert_eq!(list(&["índigo", "negro"]), "índigo y negro");
}

#[test]
fn a_day_is_written_in_full() {
    let day = |language: &str, month, day| shipped(language).date(Date { year: 2026, month, day });
    assert_eq!(day("en-GB", 11, 5), "5 November 2026");
    assert_eq!(day("en-US", 3, 3), "March\u{a0}3, 2026");
    assert_eq!(day("de-DE", 3, 1), "1.\u{a0}März 2026");
    assert_eq!(day("fr-FR", 3, 1), "1ᵉʳ\u{a0}mars 2026");
    assert_eq!(day("fr-FR", 3, 2), "2\u{a0}mars 2026");
    assert_eq!(day("es-ES", 3, 1), "1\u{a0}de marzo de 2026");
}

#[test]
fn every_language_writes_numbers_measures_and_quotations_its_own_way() {
    let of = |language: &str| {
        let words = shipped(language);
        [
            words.whole(4800),
            words.whole(12345),
            metric(&words).both(MeasureKind::Size, 335.88),
            words.count("count.knots", 0, &[]),
            words.count("count.knots", 1_000_000, &[]),
            words.count_decimal("class.hours", 1.5, 1),
            words.say("quotes.quoted", &[("words", &"x")]),
        ]
    };
    // DIN 5008, Imprimerie nationale, Ortografía, Chicago: from memory. Plurals: Unicode CLDR.
    assert_eq!(
        of("en-US"),
        [
            "4,800",
            "12,345",
            "33.5\u{a0}cm (13¼\u{a0}in)",
            "0\u{a0}knots",
            "1,000,000\u{a0}knots",
            "1.5\u{a0}hours",
            "“x”"
        ]
    );
    assert_eq!(
        of("de-DE"),
        [
            "4800",
            "12\u{202f}345",
            "33,5\u{a0}cm (13¼\u{a0}Zoll)",
            "0\u{a0}Knoten",
            "1\u{202f}000\u{202f}000\u{a0}Knoten",
            "1,5\u{a0}Stunden",
            "„x“"
        ]
    );
    assert_eq!(
        of("fr-FR"),
        [
            "4\u{202f}800",
            "12\u{202f}345",
            "33,5\u{a0}cm (13¼\u{a0}po)",
            "0\u{a0}nœud",
            "1\u{202f}000\u{202f}000 de nœuds",
            "1,5\u{a0}heure",
            "«\u{202f}x\u{202f}»"
        ]
    );
    assert_eq!(
        of("es-ES"),
        [
            "4800",
            "12\u{202f}345",
            "33,5\u{a0}cm (13¼\u{a0}in)",
            "0\u{a0}nudos",
            "1\u{202f}000\u{202f}000 de nudos",
            "1,5\u{a0}horas",
            "«x»"
        ]
    );
}

#[test]
fn numbers_have_groups_and_no_idle_zeros() {
    let words = english();
    assert_eq!(words.whole(999), "999");
    assert_eq!(words.whole(1234567), "1,234,567");
    assert_eq!(words.decimal(33.60, 2), "33.6");
    assert_eq!(words.decimal(30.0, 2), "30");
    assert_eq!(words.decimal(-0.001, 1), "0");
    assert_eq!(words.decimal(-2.5, 1), "\u{2212}2.5");
    assert_eq!(words.money(12.5), "12.50");
    assert_eq!(words.money(1200.0), "1,200.00");
}

#[test]
fn measures_come_in_both_systems_with_the_makers_first() {
    let words = english();
    // Own computation from 1 in = 25.4 mm: 335.88 mm are 13.22 in, the nearest eighth 13¼; 268.22 mm are 10.56 in, 10½; and to half centimetres 33.5 and 27.
    assert_eq!(metric(&words).both(MeasureKind::Size, 335.88), "33.5\u{a0}cm (13¼\u{a0}in)");
    assert_eq!(words.measures(Units::Imperial).both(MeasureKind::Size, 335.88), "13¼\u{a0}in (33.5\u{a0}cm)");
    assert_eq!(
        metric(&words).across_down(MeasureKind::Size, 335.88, 268.22),
        "33.5\u{a0}×\u{a0}27\u{a0}cm (13¼\u{a0}×\u{a0}10½\u{a0}in)"
    );
}

#[test]
fn cords_are_rounded_up_in_each_system_by_itself() {
    let words = english();
    // A folded cord of 1060.19 mm is cut at 1070 mm or 42 in: the craft's worked example, own computation.
    assert_eq!(metric(&words).both(MeasureKind::Cut, 1060.19), "107\u{a0}cm (42\u{a0}in)");
    // Whole already: no step further.
    assert_eq!(metric(&words).both(MeasureKind::Cut, 1070.0), "107\u{a0}cm (43\u{a0}in)");
    assert_eq!(metric(&words).both(MeasureKind::Cut, 1066.8), "107\u{a0}cm (42\u{a0}in)");
}

#[test]
fn what_is_bought_or_cut_is_never_printed_shorter_than_needed() {
    let words = english();
    let mut random = fastrand::Rng::with_seed(7);
    for _ in 0..2_000 {
        let mm = random.f64() * 50_000.0;
        for kind in [MeasureKind::Buy, MeasureKind::Cut, MeasureKind::Least] {
            for (units, of) in [(Units::Metric, [1000.0, 10.0, 1.0]), (Units::Imperial, [914.4, 25.4, 25.4])] {
                let of = match kind {
                    MeasureKind::Buy => of[0],
                    MeasureKind::Cut => of[1],
                    _ => of[2],
                };
                let words = words.measures(units).only(units, kind, mm);
                let printed = figure(&words) * of;
                assert!(printed + 1e-3 >= mm, "{kind:?} {mm} mm is printed as {words}");
                assert!(printed <= mm + of + 1e-3, "{kind:?} {mm} mm is printed as {words}");
            }
        }
    }
}

/// Reads a printed figure back: groups, decimals and fractions.
fn figure(words: &str) -> f64 {
    let figure = words.split('\u{a0}').next().unwrap_or_default();
    let mut whole = String::new();
    let mut part = 0.0;
    for c in figure.chars() {
        match c {
            '0'..='9' | '.' => whole.push(c),
            ',' => {}
            '⅛' => part = 0.125,
            '¼' => part = 0.25,
            '⅜' => part = 0.375,
            '½' => part = 0.5,
            '⅝' => part = 0.625,
            '¾' => part = 0.75,
            '⅞' => part = 0.875,
            other => panic!("`{other}` in {words}"),
        }
    }
    part + if whole.is_empty() { 0.0 } else { whole.parse::<f64>().expect("figures") }
}

#[test]
fn short_measures_have_real_fractions() {
    let words = english();
    // Own computation: 20 mm are 0.787 in, the nearest eighth ¾; 3 mm up to the next eighth ⅛; 9.7 mm down to ⅜.
    assert_eq!(metric(&words).both(MeasureKind::Gap, 20.0), "20\u{a0}mm (¾\u{a0}in)");
    assert_eq!(metric(&words).both(MeasureKind::Least, 3.0), "3\u{a0}mm (⅛\u{a0}in)");
    assert_eq!(metric(&words).both(MeasureKind::Short, 9.7), "9\u{a0}mm (⅜\u{a0}in)");
    assert_eq!(metric(&words).both(MeasureKind::Fine, 2.54), "2.5\u{a0}mm (0.1\u{a0}in)");
    assert_eq!(metric(&words).both(MeasureKind::Mass, 86.2), "87\u{a0}g (3.1\u{a0}oz)");
}

#[test]
fn figures_rounded_apart_are_printed_as_they_are() {
    let words = english();
    assert_eq!(metric(&words).both_of(MeasureKind::Buy, 12_000.0, 13.0 * 914.4), "12\u{a0}m (13\u{a0}yd)");
}

#[test]
fn a_words_file_with_a_fault_is_refused_in_plain_words() {
    let whole = Words::files().next().expect("a language").1;
    let fault = |words: &str| Words::parse(words, METRIC, IMPERIAL).err().unwrap_or_default();
    assert!(fault("title = 3").contains("`title` is not a text"));
    assert!(fault(&whole.replace("plurals = \"one-other\"", "plurals = \"none\"")).contains("plural rule `none`"));
    assert!(fault(&whole.replace("decimal = \".\"", "")).contains("`numbers.decimal` is missing"));
    assert!(fault("[a]\nb = { one = \"x\" }").contains("no form `other`"));
    assert!(Words::parse(whole, &METRIC.replace("step = 0.1", "step = 0"), IMPERIAL).is_err());
    assert!(Words::parse(whole, &METRIC.replace("[mass]", "[weight]"), IMPERIAL).is_err());
}

// What follows holds the words file against the sources that use it.

/// String literals of every source file that writes words, tests left out.
fn literals() -> Vec<String> {
    let src = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut files: Vec<PathBuf> = Vec::new();
    for room in ["manuscript", "words"] {
        for entry in std::fs::read_dir(src.join(room)).expect("the room is there") {
            let path = entry.expect("a file").path();
            if path.extension().is_some_and(|e| e == "rs") && !path.ends_with("tests.rs") {
                files.push(path);
            }
        }
    }
    // Names of yarns that are found in a picture, in the language of the project that is written.
    files.push(src.join("cli/chart_from.rs"));
    // What stands on the empty grid of a new project.
    files.push(src.join("cli/new.rs"));
    files.sort();
    let mut out = Vec::new();
    for file in files {
        let text = std::fs::read_to_string(&file).expect("a source file");
        for line in text.lines().filter(|line| !line.trim_start().starts_with("//")) {
            out.extend(line.split('"').skip(1).step_by(2).map(str::to_string));
        }
    }
    out
}

fn is_key(text: &str) -> bool {
    text.contains('.')
        && text.starts_with(|c: char| c.is_ascii_lowercase())
        && text.split('.').all(|part| {
            !part.is_empty() && part.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-')
        })
}

fn names_a_file(text: &str) -> bool {
    ["toml", "txt", "png", "pdf"].into_iter().any(|ending| Path::new(text).extension().is_some_and(|of| of == ending))
}

#[test]
fn every_phrase_that_is_used_exists() {
    let words = english();
    let missing: Vec<String> =
        literals().into_iter().filter(|text| is_key(text) && !names_a_file(text) && !words.has(text)).collect();
    assert_eq!(missing, Vec::<String>::new());
}

#[test]
fn every_phrase_of_the_file_is_used() {
    let used: BTreeSet<String> = literals().into_iter().collect();
    let words = english();
    let idle: Vec<&str> = words.keys().filter(|key| !used.contains(*key) && !key.starts_with("label.")).collect();
    assert_eq!(idle, Vec::<&str>::new());
}

/// Label keys that the figures name.
fn labels() -> BTreeSet<String> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("layouts/figures");
    let mut out = BTreeSet::new();
    for entry in std::fs::read_dir(folder).expect("the figures are there") {
        let text = std::fs::read_to_string(entry.expect("a file").path()).expect("a figure");
        out.extend(
            text.lines().filter_map(|line| line.strip_prefix("key = \"")?.strip_suffix('"')).map(str::to_string),
        );
    }
    out
}

#[test]
fn every_label_of_a_figure_has_words_and_no_label_is_idle() {
    let words = english();
    let have: BTreeSet<String> =
        words.keys().filter_map(|key| key.strip_prefix("label.")).map(str::to_string).collect();
    assert_eq!(labels(), have);
}

/// Names that make-up fills in; they stand in no source file of these rooms.
const OF_MAKE_UP: [&str; 13] = [
    "picture",
    "page",
    "pages",
    "sheet",
    "sheets",
    "from",
    "to",
    "columns",
    "rows",
    "from_column",
    "to_column",
    "from_row",
    "to_row",
];

#[test]
fn every_name_in_braces_is_known() {
    let used: BTreeSet<String> = literals().into_iter().collect();
    let words = english();
    let mut unknown = Vec::new();
    for key in words.keys() {
        for form in words.forms(key) {
            for name in form.split('{').skip(1).filter_map(|rest| rest.split('}').next()) {
                if !used.contains(name) && !OF_MAKE_UP.contains(&name) {
                    unknown.push(format!("{key}: {name}"));
                }
            }
        }
    }
    assert_eq!(unknown, Vec::<String>::new());
}

// What follows holds the languages against each other.

fn every_language() -> Vec<Words> {
    Words::languages().map(|tag| Words::shipped(tag).expect("the shipped words are whole")).collect()
}

/// What must be the same in every language: the names in braces, and how often words are strong or in italics.
fn bones(words: &Words, key: &str) -> (BTreeSet<String>, usize, usize) {
    let forms = words.forms(key);
    let names = forms.iter().flat_map(|form| form.split('{').skip(1).filter_map(|rest| rest.split('}').next()));
    let last = forms.last().copied().unwrap_or_default();
    let strong = last.matches("**").count();
    (names.map(str::to_string).collect(), strong, last.matches('*').count() - 2 * strong)
}

#[test]
fn every_language_has_the_same_phrases_with_the_same_names_and_mark_up() {
    let model = english();
    let keys: BTreeSet<&str> = model.keys().collect();
    for words in every_language() {
        let language = words.language();
        let own: BTreeSet<&str> = words.keys().collect();
        assert_eq!(keys.difference(&own).collect::<Vec<_>>(), Vec::<&&str>::new(), "missing in {language}");
        assert_eq!(own.difference(&keys).collect::<Vec<_>>(), Vec::<&&str>::new(), "only in {language}");
        for key in &keys {
            assert_eq!(bones(&words, key), bones(&model, key), "{language}: {key}");
        }
    }
}

#[test]
fn every_language_counts_in_its_own_plural_forms_and_only_where_the_others_count() {
    let model = english();
    for words in every_language() {
        for (key, phrase) in &words.phrases {
            match (phrase, model.phrases.get(key)) {
                (Phrase::Counted(forms), Some(Phrase::Counted(_))) => {
                    let categories: Vec<Category> = forms.keys().copied().collect();
                    assert_eq!(categories, words.plural.categories(), "{}: {key}", words.language());
                }
                (Phrase::Single(_), Some(Phrase::Single(_))) => {}
                _ => panic!("{}: {key} is counted in one language and not in the other", words.language()),
            }
        }
    }
}

/// Spelt otherwise on the other side of the Atlantic: the words a booklet like this is likely to meet, British first.
/// Common practice.
const SPELT: [(&str, &str); 24] = [
    ("colour", "color"),
    ("centre", "center"),
    ("grey", "gray"),
    ("fibre", "fiber"),
    ("metre", "meter"),
    ("mould", "mold"),
    ("neighbour", "neighbor"),
    ("favourite", "favorite"),
    ("labelled", "labeled"),
    ("travelled", "traveled"),
    ("jewellery", "jewelry"),
    ("aluminium", "aluminum"),
    ("catalogue", "catalog"),
    ("plough", "plow"),
    ("per cent", "percent"),
    ("levelled", "leveled"),
    ("levelling", "leveling"),
    ("vapour", "vapor"),
    ("vice", "vise"),
    ("afterwards", "afterward"),
    ("downwards", "downward"),
    ("towards", "toward"),
    ("practise", "practice"),
    ("cot", "crib"),
];

#[test]
fn british_and_american_spelling_do_not_mix() {
    for words in every_language() {
        let british = match words.language() {
            "en-GB" => true,
            "en-US" => false,
            _ => continue,
        };
        for key in words.keys() {
            for form in words.forms(key) {
                let lower = form.to_lowercase();
                let plain: String = lower.chars().map(|c| if c.is_alphabetic() { c } else { ' ' }).collect();
                for (at_home, abroad) in SPELT {
                    // A noun on both sides: "with a little practice".
                    if british && abroad == "practice" {
                        continue;
                    }
                    let (own, foreign) = if british { (at_home, abroad) } else { (abroad, at_home) };
                    let stems = ["", "s", "ed", "ing", "y"].map(|end| format!("{foreign}{end}"));
                    let spelt = stems
                        .iter()
                        .filter(|stem| *stem != own)
                        .any(|stem| format!(" {plain} ").contains(&format!(" {stem} ")));
                    assert!(!spelt, "`{foreign}` in {key} of {}", words.language());
                }
            }
        }
    }
}

/// Spaces at signs: French parts ; : ! ? and guillemets from the words by a narrow no-break space (Imprimerie nationale, from
/// memory), the others by none; and a percent sign stands off by one but in English.
fn spaced(language: &str, key: &str, form: &str) {
    let narrow = '\u{202f}';
    let mut before = None;
    let mut chars = form.chars().peekable();
    while let Some(c) = chars.next() {
        let is_space = |c: Option<char>| c.is_some_and(char::is_whitespace);
        match c {
            ';' | ':' | '!' | '?' if language == "fr-FR" => {
                assert_eq!(before, Some(narrow), "`{c}` in {key} of {language}");
            }
            ';' | ':' | '!' | '?' => assert!(!is_space(before), "`{c}` in {key} of {language}"),
            '%' if !language.starts_with("en") => assert_eq!(before, Some(narrow), "`{c}` in {key} of {language}"),
            '«' => assert_eq!(chars.peek() == Some(&narrow), language == "fr-FR", "`{c}` in {key} of {language}"),
            '»' => assert_eq!(before == Some(narrow), language == "fr-FR", "`{c}` in {key} of {language}"),
            _ => {}
        }
        before = Some(c);
    }
    if key != "numbers.group" && !form.is_empty() {
        let stray = form.replace('\u{202f}', " ").contains("  ");
        assert!(!stray, "two spaces in {key} of {language}");
    }
}

#[test]
fn every_language_is_well_set() {
    const AMISS: [&str; 11] = ["\"", "'", "...", " - ", "  ", " x ", "e.g.", "i.e.", "etc.", "1/2", "1/4"];
    for words in every_language() {
        for key in words.keys() {
            for form in words.forms(key) {
                for sign in AMISS {
                    assert!(!form.contains(sign), "`{sign}` in {key} of {}", words.language());
                }
                spaced(words.language(), key, form);
                assert!(key == "numbers.group" || form.trim() == form, "{key} of {}", words.language());
            }
        }
    }
}

#[test]
fn the_craft_keeps_to_its_few_words() {
    // Words of the reckoning that stay off the paper.
    const INSIDE: [&str; 7] = ["filler", "fillers", "tile", "tiles", "wip", "carry", "pitch"];
    let words = english();
    for key in words.keys() {
        for form in words.forms(key) {
            let without_names: String = form
                .split('{')
                .enumerate()
                .map(|(at, part)| if at == 0 { part } else { part.split_once('}').map_or("", |p| p.1) })
                .collect();
            for word in without_names.to_lowercase().split(|c: char| !c.is_alphabetic()) {
                assert!(!INSIDE.contains(&word), "`{word}` in {key}");
            }
        }
    }
}

#[test]
fn a_phrase_keeps_its_mark_up_as_text_and_loses_it_as_words() {
    use crate::markup::Inline;
    let words = english();
    let names: Names = &[("yarn", &"navy"), ("words", &"wool")];
    assert_eq!(words.text("materials.about-yarn", names).first(), Some(&Inline::Strong("navy:".to_string())));
    assert_eq!(words.say("materials.about-yarn", names), "navy: wool.");
}

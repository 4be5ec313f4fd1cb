use super::*;
use crate::colour::Colour;
use crate::font::{Features, FontRole};
use crate::geom::Length;
use crate::page::FaceId;
use fastrand::Rng;

const NO_BREAK_SPACE: char = '\u{a0}';

fn style(align: Align, hyphenate: bool) -> ParagraphStyle {
    ParagraphStyle {
        align,
        leading: Length::pt(14.0),
        hyphenate,
        language: "en-GB".to_owned(),
        first_indent: Length::ZERO,
        hang: Length::ZERO,
    }
}

fn stretch<'a>(book: &FontBook, text: &'a str) -> TextSpan<'a> {
    TextSpan {
        text,
        face: book.role(FontRole::Text),
        size: Length::pt(10.0),
        colour: Colour::BLACK,
        features: Features::default(),
        tag: 0,
        no_break: false,
        object: None,
    }
}

fn said(line: &TextLine) -> String {
    line.runs.iter().map(|r| r.run.actual.as_deref().unwrap_or(&r.run.text)).collect()
}

fn drawn(line: &TextLine) -> String {
    line.runs.iter().map(|r| r.run.text.as_str()).collect()
}

fn set(text: &str, measure: f64, style: &ParagraphStyle) -> Vec<TextLine> {
    let book = FontBook::shipped();
    let set = set_paragraph(&book, &[stretch(&book, text)], &Measure::even(Length::pt(measure)), style);
    assert!(set.missing.is_empty(), "{:?}", set.missing);
    set.lines
}

/// What must be true of every line of every paragraph.
fn check_line(line: &TextLine, measure: Length, book: &FontBook) {
    assert!((line.left + line.width).fits(measure), "overfull: {} in {measure:?}", drawn(line));
    let mut x = line.left;
    for LineRun { x: at, width, run, .. } in &line.runs {
        assert!(at.approx_eq(x) && run.origin.x.approx_eq(x));
        assert!(width.approx_eq(run.glyphs.iter().map(|g| g.advance).sum()));
        x += *width;
        assert!(run.glyphs.iter().all(|g| g.id != 0 && u32::from(g.id) < book.face(run.face).glyph_count()));
        // Clusters cover the run's text in order, without gaps.
        let mut reached = 0;
        for glyph in run.glyphs.iter() {
            assert!(glyph.cluster.start == reached || glyph.cluster.end == reached, "{run:?}");
            reached = glyph.cluster.end;
        }
        assert_eq!(reached, run.text.len(), "{run:?}");
    }
    assert!((x - line.left).approx_eq(line.width));
}

const HITCH: &str = "Lay the yarn behind the cord, tail left, long end right. Bring the long end over the front to \
    the left, above where it entered, then down behind its own tail and the cord to the right.";

#[test]
fn the_lines_read_aloud_say_the_text() {
    let book = FontBook::shipped();
    for align in [Align::Left, Align::Justified, Align::Centre, Align::Right] {
        for measure in [60.0, 110.0, 300.0] {
            let lines = set(HITCH, measure, &style(align, true));
            assert_eq!(lines.iter().map(said).collect::<String>(), HITCH);
            lines.iter().for_each(|line| check_line(line, Length::pt(measure), &book));
        }
    }
}

#[test]
fn no_line_is_overfull_in_random_texts() {
    let book = FontBook::shipped();
    let mut rng = Rng::with_seed(7);
    let letters: Vec<char> =
        "aaaeeeiiooutnrslfgk-–—/.,()½×→αжßé12\u{a0}\u{202f}\u{ad}\u{2060}\u{301}".chars().collect();
    for _ in 0..300 {
        let text = |words: usize, rng: &mut Rng| -> String {
            let mut text = String::new();
            for _ in 0..words {
                let length = if rng.u8(0..12) == 0 { 40 } else { 9 };
                text.extend((0..rng.usize(1..=length)).map(|_| letters[rng.usize(0..letters.len())]));
                text.push_str(["  ", "\n", " ", " ", " ", " "][rng.usize(0..6)]);
            }
            text
        };
        let texts: Vec<String> = (0..rng.usize(1..4)).map(|_| text(rng.usize(0..30), &mut rng)).collect();
        let stretches: Vec<TextSpan> = texts
            .iter()
            .enumerate()
            .map(|(tag, text)| TextSpan {
                face: book.role(FontRole::ALL[rng.usize(0..5)]),
                size: Length::pt(7.0 + 5.0 * rng.f64()),
                tag,
                no_break: rng.u8(0..4) == 0,
                ..stretch(&book, text)
            })
            .collect();
        let align = [Align::Left, Align::Justified, Align::Centre, Align::Right][rng.usize(0..4)];
        let mut style = style(align, rng.bool());
        style.language = ["en", "de", "fr", "es", "nl"][rng.usize(0..5)].to_owned();
        style.first_indent = Length::pt(rng.f64() * 10.0);
        style.hang = Length::pt(rng.f64() * 10.0);
        let measure = Measure {
            first: (0..rng.usize(0..3)).map(|_| Length::pt(30.0 + 100.0 * rng.f64())).collect(),
            rest: Length::pt(30.0 + 200.0 * rng.f64()),
        };
        let set = set_paragraph(&book, &stretches, &measure, &style);
        for (number, line) in set.lines.iter().enumerate() {
            check_line(line, measure.of(number), &book);
        }
        // Only what steers line breaking and spaces at line ends may be lost, and nothing may be added.
        let bare = |text: &str| -> String {
            text.chars().filter(|c| !c.is_whitespace() && !matches!(c, '\u{ad}' | '\u{2060}')).collect()
        };
        let lines: String = set.lines.iter().map(said).collect();
        assert_eq!(bare(&lines), bare(&texts.concat()), "missing {:?}", set.missing);
    }
}

#[test]
fn justified_lines_are_even_but_for_the_last() {
    let lines = set(HITCH, 215.0, &style(Align::Justified, true));
    let (last, others) = lines.split_last().expect("there are lines");
    assert!(others.len() >= 3);
    assert!(others.iter().all(|line| line.width.approx_eq(Length::pt(215.0))));
    assert!(last.width < Length::pt(205.0));
}

#[test]
fn indents_and_alignment_place_the_lines() {
    let mut hanging = style(Align::Left, false);
    hanging.hang = Length::pt(12.0);
    let lines = set(HITCH, 150.0, &hanging);
    assert!(lines[0].left.approx_eq(Length::ZERO));
    assert!(lines[1..].iter().all(|line| line.left.approx_eq(Length::pt(12.0))));
    for line in set("Low water", 150.0, &style(Align::Right, false)) {
        assert!((line.left + line.width).approx_eq(Length::pt(150.0)));
    }
    for line in set("Low water", 150.0, &style(Align::Centre, false)) {
        assert!((line.left * 2.0 + line.width).approx_eq(Length::pt(150.0)));
    }
}

#[test]
fn a_line_keeps_an_invisible_space_where_the_text_had_one() {
    let lines = set("navy cream navy cream", 35.0, &style(Align::Left, false));
    assert!(lines.len() > 1);
    for line in &lines[..lines.len() - 1] {
        let run = &line.runs[0].run;
        assert!(run.text.ends_with(' '));
        let last = run.glyphs.last().expect("there are glyphs");
        assert!(last.advance.approx_eq(Length::ZERO));
        let book = FontBook::shipped();
        let alone = shape_line(&book, run.face, run.size, run.text.trim_end(), Features::default(), "en");
        assert!(line.width.approx_eq(alone.width));
    }
    assert!(!drawn(&lines[lines.len() - 1]).ends_with(' '));
}

#[test]
fn an_added_hyphen_is_drawn_and_not_said() {
    let lines = set("Extraordinarily uncharacteristic misunderstandings", 70.0, &style(Align::Left, true));
    let hyphens: Vec<&LineRun> =
        lines.iter().flat_map(|line| &line.runs).filter(|r| r.run.actual.as_deref() == Some("")).collect();
    assert!(!hyphens.is_empty());
    assert!(hyphens.iter().all(|r| r.run.text == "-"));
    let said: String = lines.iter().map(said).collect();
    assert_eq!(said, "Extraordinarily uncharacteristic misunderstandings");
}

#[test]
fn nothing_is_hyphenated_where_the_style_forbids_it() {
    let lines = set("Extraordinarily unchar\u{ad}acteristic misunderstandings", 90.0, &style(Align::Left, false));
    assert_eq!(
        lines.iter().map(drawn).collect::<Vec<_>>(),
        ["Extraordinarily ", "uncharacteristic ", "misunderstandings"]
    );
}

#[test]
fn a_soft_hyphen_of_the_text_is_the_only_place_to_hyphenate_its_word() {
    let lines = set("mis\u{ad}understandings", 72.0, &style(Align::Left, true));
    assert_eq!(lines.iter().map(drawn).collect::<Vec<_>>(), ["mis-", "understandings"]);
}

#[test]
fn numbers_stay_with_their_units_and_ranges_stay_whole() {
    let text = format!("12{NO_BREAK_SPACE}cm 3\u{202f}½ 60\u{2060}/\u{2060}80 2–3 1/2 navy—cream");
    for measure in [10, 20, 30, 40, 50, 60, 70].map(f64::from) {
        let lines: Vec<String> = set(&text, measure.max(52.0), &style(Align::Left, true)).iter().map(drawn).collect();
        for whole in ["12\u{a0}cm", "3\u{202f}½", "60/80", "2–3", "1/2", "navy—"] {
            assert!(lines.iter().any(|line| line.contains(whole)), "{whole} parted in {lines:?}");
        }
    }
}

#[test]
fn held_text_is_not_parted_unless_it_is_longer_than_a_line() {
    let book = FontBook::shipped();
    let held = TextSpan { no_break: true, ..stretch(&book, "harbour evening") };
    let stretches = [stretch(&book, "Work the "), held, stretch(&book, " panel")];
    let set = |measure: f64| {
        let measure = Measure::even(Length::pt(measure));
        set_paragraph(&book, &stretches, &measure, &style(Align::Left, false))
            .lines
            .iter()
            .map(drawn)
            .collect::<Vec<_>>()
    };
    assert_eq!(set(80.0), ["Work the ", "harbour evening ", "panel"]);
    assert_eq!(set(45.0), ["Work the ", "harbour ", "evening ", "panel"]);
}

#[test]
fn a_word_longer_than_the_measure_is_cut_between_letters_and_their_marks() {
    let text = "e\u{301}".repeat(30);
    let lines = set(&text, 40.0, &style(Align::Left, false));
    assert!(lines.len() > 2);
    assert!(lines.iter().all(|line| drawn(line).starts_with('e')));
    assert_eq!(lines.iter().map(drawn).collect::<String>(), text);
}

#[test]
fn a_line_feed_ends_the_line_and_an_empty_text_has_none() {
    let lines = set("Marta Quill\n\n12 Quay Lane\n", 200.0, &style(Align::Justified, true));
    assert_eq!(lines.iter().map(drawn).collect::<Vec<_>>(), ["Marta Quill ", "", "12 Quay Lane"]);
    assert!(lines[1].ascent > Length::ZERO);
    assert!(set("", 200.0, &style(Align::Left, true)).is_empty());
}

#[test]
fn stretches_keep_their_tags_and_touch_each_other() {
    let book = FontBook::shipped();
    let strong = TextSpan { face: book.role(FontRole::TextStrong), tag: 1, ..stretch(&book, "start") };
    let stretches = [stretch(&book, "Then "), strong, TextSpan { tag: 2, ..stretch(&book, ", and cut.") }];
    let set = set_paragraph(&book, &stretches, &Measure::even(Length::pt(300.0)), &style(Align::Left, true));
    let runs: Vec<(usize, &str)> = set.lines[0].runs.iter().map(|r| (r.tag, r.run.text.as_str())).collect();
    assert_eq!(runs, [(0, "Then "), (1, "start"), (2, ", and cut.")]);
    check_line(&set.lines[0], Length::pt(300.0), &book);
}

#[test]
fn what_no_face_has_is_named_and_left_out() {
    let book = FontBook::shipped();
    let text = "Salt 編 & \u{5d0} marsh";
    let shaped = shape_line(&book, book.role(FontRole::Text), Length::pt(10.0), text, Features::default(), "en");
    assert_eq!(shaped.missing.characters.iter().copied().collect::<Vec<_>>(), ['\u{5d0}', '編']);
    let ids: Vec<&str> = shaped.missing.diagnostics().iter().map(|d| d.id).collect();
    assert_eq!(ids, ["right-to-left-text", "no-such-glyph"]);
    assert!(shaped.pieces.iter().flat_map(|piece| &piece.glyphs).all(|glyph| glyph.id != 0));
    let set =
        set_paragraph(&book, &[stretch(&book, text)], &Measure::even(Length::pt(300.0)), &style(Align::Left, true));
    assert_eq!(set.missing, shaped.missing);
    assert_eq!(drawn(&set.lines[0]), "Salt  &  marsh");
}

#[test]
fn control_characters_are_drawn_as_spaces() {
    let book = FontBook::shipped();
    let shape = |text| shape_line(&book, book.role(FontRole::Text), Length::pt(10.0), text, Features::default(), "en");
    assert_eq!(shape("navy\tcream\n12\u{85}"), shape("navy cream 12  "));
    let paragraph = set("navy\tcream\r\nsand", 200.0, &style(Align::Left, false));
    assert_eq!(paragraph.iter().map(drawn).collect::<Vec<_>>(), ["navy cream ", "sand"]);
}

#[test]
fn greek_and_cyrillic_names_are_printed_in_every_face() {
    let book = FontBook::shipped();
    for role in FontRole::ALL {
        for name in ["Ελένη Παππά", "Анна Жукова", "Łucja Żółć", "½ ⅓ ⅔ ¼ ¾ 12 × 16 → ← ☐ ✓ −5 °"]
        {
            let shaped = shape_line(&book, book.role(role), Length::pt(10.0), name, Features::default(), "en");
            assert!(shaped.missing.is_empty(), "{role:?} {:?}", shaped.missing);
            let said: String = shaped.pieces.iter().map(|piece| &name[piece.range.clone()]).collect();
            assert_eq!(said, name);
        }
    }
}

#[test]
fn what_the_face_lacks_comes_from_the_fallback_and_nothing_else_does() {
    let book = FontBook::shipped();
    // U+2692, hammer and pick: in DejaVu Sans only, by the character maps of the files, read with another program.
    let text = "nail \u{2692} wood";
    let shaped = shape_line(&book, book.role(FontRole::Text), Length::pt(10.0), text, Features::default(), "en");
    let pieces: Vec<(FaceId, &str)> = shaped.pieces.iter().map(|p| (p.face, &text[p.range.clone()])).collect();
    let (serif, fallback) = (book.role(FontRole::Text), book.role(FontRole::Fallback));
    assert_eq!(pieces, [(serif, "nail "), (fallback, "\u{2692}"), (serif, " wood")]);
}

#[test]
fn hyphenation_follows_the_language() {
    let hyphenated = |word: &str, language: &str| {
        let mut text = word.to_owned();
        hyphenate(word, language).into_iter().rev().for_each(|at| text.insert(at, '-'));
        text
    };
    // Origin: D. E. Knuth, hyphen.tex, the list of exceptions, from memory.
    assert_eq!(hyphenated("Project", "en-US"), "Project");
    assert_eq!(hyphenated("table", "en-GB"), "ta-ble");
    assert_eq!(hyphenated("associates", "en"), "as-so-ciates");
    // Origin: The TeXbook, appendix H, which works this word through.
    assert_eq!(hyphenated("hyphenation", "en-US"), "hy-phen-ation");
    // Origin: F. M. Liang, "Word Hy-phen-a-tion by Com-put-er" (1983), where it stands in the title; the breaks
    // that leave one letter are not taken.
    assert_eq!(hyphenated("computer", "en-GB"), "com-puter");
    // Origin: the German spelling rules (Amtliches Regelwerk 2018, sections 107 to 111): compounds at their joints, one
    // consonant goes to the next line, ch and sch stay whole.
    assert_eq!(hyphenated("Geschwindigkeit", "de"), "Ge-schwin-dig-keit");
    assert_eq!(hyphenated("Baumwollgarn", "de"), "Baum-woll-garn");
    // Origin: from memory of the rules taught at school: consonant and vowel stay together, gn and ill stay whole.
    assert_eq!(hyphenated("montagne", "fr"), "mon-tagne");
    assert_eq!(hyphenated("horizontal", "fr-FR"), "ho-ri-zon-tal");
    // Origin: from memory of the Spanish rules: one consonant between vowels goes with the second, rr and ll stay whole.
    assert_eq!(hyphenated("horizontal", "es"), "ho-ri-zon-tal");
    assert_eq!(hyphenated("algodón", "es"), "al-go-dón");
    // No patterns, no hyphens.
    assert_eq!(hyphenated("horizontaal", "nl"), "horizontaal");
    assert_eq!(hyphenated("", "en"), "");
}

#[test]
fn addresses_and_capitals_are_not_hyphenated() {
    for text in ["corrections.example.org/understanding", "marta@understanding.example.org", "UNDERSTANDING"] {
        let lines = set(text, 150.0, &style(Align::Left, true));
        assert!(lines.iter().all(|line| line.runs.iter().all(|r| r.run.actual.is_none())), "{text}");
    }
}

#[test]
fn the_same_paragraph_is_set_the_same_twice() {
    let book = FontBook::shipped();
    let set = || {
        let measure = Measure::even(Length::pt(123.0));
        set_paragraph(&book, &[stretch(&book, HITCH)], &measure, &style(Align::Justified, true))
    };
    assert_eq!(set(), set());
}

use super::*;
use crate::font::Role;

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

fn stretch<'a>(book: &FontBook, text: &'a str) -> Stretch<'a> {
    Stretch {
        text,
        face: book.role(Role::Text),
        size: Length::pt(10.0),
        colour: Colour::BLACK,
        features: Features::default(),
        tag: 0,
        no_break: false,
    }
}

fn said(line: &Line) -> String {
    line.runs.iter().map(|r| r.run.actual.as_deref().unwrap_or(&r.run.text)).collect()
}

const HITCH: &str = "Lay the yarn behind the cord, tail left, long end right. Bring the long end over the front to \
    the left, above where it entered, then down behind its own tail and the cord to the right.";

#[test]
fn the_lines_read_aloud_say_the_text_and_none_is_longer_than_its_measure() {
    let book = FontBook::shipped();
    for align in [Align::Left, Align::Justified, Align::Centre, Align::Right] {
        for measure in [60.0, 110.0, 300.0] {
            let measure = Length::pt(measure);
            let set = set_paragraph(&book, &[stretch(&book, HITCH)], &Measure::even(measure), &style(align, true));
            assert!(set.missing.is_empty());
            assert_eq!(set.lines.iter().map(said).collect::<String>(), HITCH);
            for line in &set.lines {
                assert!((line.left + line.width).fits(measure), "{align:?} {line:?}");
            }
        }
    }
}

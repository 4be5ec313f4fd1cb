//! Sets text in the edition's styles: the one place where compose meets `text` and `font`.

use super::colours::Colours;
use super::draw;
use crate::catalogue::{SectionName, StyleName};
use crate::colour::Colour;
use crate::diag::Report;
use crate::edition::{Edition, Ink, Style};
use crate::font::{Features, FontBook, FontRole};
use crate::geom::{Length, Point, Rect};
use crate::inks;
use crate::markup::{Inline, Text};
use crate::page::{CellInk, Item, Mark, PlacedItem, TextRun};
use crate::text::{self, LineRun, Measure, Missing, ParagraphStyle, TextSpan};
use std::cell::{Cell, RefCell};
use std::collections::BTreeMap;
use std::sync::Arc;

/// One line, measured from the left end of its baseline.
#[derive(Clone, Debug, Default)]
pub(crate) struct SetLine {
    /// How far it reaches.
    pub(crate) width: Length,
    /// Runs with their stretch's number; origins are relative to the baseline's left end.
    pub(crate) runs: Vec<(usize, TextRun)>,
    /// Symbols among the words: where each stands, relative to the baseline's left end, and how it looks.
    pub(crate) symbols: Vec<(Rect, CellInk)>,
}

impl SetLine {
    /// Puts the line's left end at `at`.
    pub(crate) fn place(self, at: Point, mark: Mark, out: &mut Vec<PlacedItem>) {
        self.place_by(at, |_| mark, out);
    }
    /// The same with other words to be spoken instead of it.
    pub(crate) fn spoken(mut self, words: String) -> SetLine {
        let mut words = Some(words);
        for (_, run) in &mut self.runs {
            run.actual = Some(words.take().unwrap_or_default());
        }
        self
    }
    /// Puts the line's left end at `at`; each run takes the mark of its stretch.
    pub(crate) fn place_by(self, at: Point, mark: impl Fn(usize) -> Mark, out: &mut Vec<PlacedItem>) {
        for (stretch, mut run) in self.runs {
            run.origin = run.origin.moved(at.x, at.y);
            out.push(PlacedItem { mark: mark(stretch), item: Item::Text(run) });
        }
        for (area, ink) in self.symbols {
            let area = Rect { origin: area.origin.moved(at.x, at.y), ..area };
            out.extend(draw::sample(area, ink, SYMBOL_FRAME));
        }
    }
}

/// The faces of strong and of italic words among those of a face: of its own family. Emphasis inside italic stands
/// upright; the family for figures has no italic, so there emphasis is strong, and plain among strong words.
fn emphasis(face: FontRole) -> (FontRole, FontRole) {
    match face {
        FontRole::TextItalic => (FontRole::TextStrong, FontRole::Text),
        FontRole::Figures => (FontRole::FiguresStrong, FontRole::FiguresStrong),
        FontRole::FiguresStrong => (FontRole::FiguresStrong, FontRole::Figures),
        FontRole::Text | FontRole::TextStrong | FontRole::Fallback => (FontRole::TextStrong, FontRole::TextItalic),
    }
}

/// The style of the rows in words, and how many times as wide as usual the space between two of their sentences is: the eye
/// that comes back from a knot finds where the next thing to do begins. Less than half a letter's size, or it would part
/// columns.
const ROWS: StyleName = StyleName::Rows;
const BETWEEN_SENTENCES: f64 = 2.0;

/// What has a folio that other pages name.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Landmark {
    /// The first page of a section.
    Section(SectionName),
    /// A sheet of a chart, both by their numbers from 0.
    Sheet {
        /// Which chart.
        chart: usize,
        /// Which of its sheets.
        sheet: usize,
    },
}

/// Side of a symbol's box among words and the room before and after it, as parts of the letters' size: as large as a line bears, so
/// that the symbol is about as high as in a cell of 4 mm beside text of 10 pt.
const SYMBOL: f64 = 1.1;
const BEFORE_SYMBOL: f64 = 0.24;
const AFTER_SYMBOL: f64 = 0.27;

/// Round a symbol's box: clearly lighter than the symbol, so that a frame is not taken for a part of it.
const SYMBOL_FRAME: Colour = Colour::new(0x76, 0x76, 0x76);

/// A yarn's symbol among words, black on white whatever ink the chart has: `left` of the line's baseline.
fn symbol(name: &str, style: &Style, left: Length) -> (Rect, CellInk) {
    let side = style.size * SYMBOL;
    // The middle of the capitals.
    let area = Rect::new(left + style.size * BEFORE_SYMBOL, style.size * -0.34 - side / 2.0, side, side);
    (area, CellInk { ground: None, mark: inks::mark(name, area.size), colour: Colour::BLACK })
}

/// Sets text.
pub(crate) struct Setter<'a> {
    book: &'a FontBook,
    edition: &'a Edition,
    colours: Colours,
    language: &'a str,
    /// Folios as far as they are known, for [`Inline::PageOf`].
    pub(crate) pages: BTreeMap<Landmark, String>,
    missing: RefCell<Missing>,
    /// Paragraphs by style, measure and words, as often as they were set.
    kept: RefCell<BTreeMap<(StyleName, u64, Text), Vec<Vec<SetLine>>>>,
    /// Whether what is set is set for the first time.
    first: Cell<bool>,
}

impl<'a> Setter<'a> {
    /// For one booklet.
    pub(crate) fn new(book: &'a FontBook, edition: &'a Edition, colours: Colours, language: &'a str) -> Setter<'a> {
        Setter {
            book,
            edition,
            colours,
            language,
            pages: BTreeMap::new(),
            missing: RefCell::default(),
            kept: RefCell::default(),
            first: Cell::new(true),
        }
    }
    /// From here on all is set again, with these folios.
    pub(crate) fn again(&mut self, pages: BTreeMap<Landmark, String>) {
        self.pages = pages;
        self.first.set(false);
    }
    /// The folio of a section, where it is known.
    pub(crate) fn page_of(&self, section: SectionName) -> Option<&str> {
        self.pages.get(&Landmark::Section(section)).map(String::as_str)
    }
    /// A style of the look.
    pub(crate) fn style(&self, name: StyleName) -> &Style {
        self.edition.look.style(name)
    }
    /// A colour role's colour.
    pub(crate) fn colour(&self, ink: Ink) -> Colour {
        match ink {
            Ink::Text => self.colours.text,
            Ink::Quiet => self.colours.quiet,
            Ink::Accent => self.colours.accent,
        }
    }
    /// One line of plain text that is not broken.
    pub(crate) fn line(&self, style: StyleName, text: &str) -> SetLine {
        let style = self.style(style);
        self.shape(style, text, style.size, self.colour(style.colour))
    }
    /// Width of the longest piece that a line end leaves together: a word, or with `apart` a syllable with its hyphen.
    pub(crate) fn longest_piece(&self, style: StyleName, content: &str, apart: bool) -> Length {
        let spaces: &[char] = if apart { &[' ', '\u{a0}', '\u{202f}'] } else { &[' '] };
        let mut longest = Length::ZERO;
        for word in content.split(spaces) {
            let mut from = 0;
            for at in if apart { text::hyphenate(word, self.language) } else { Vec::new() } {
                longest = longest.max(self.line(style, &format!("{}-", &word[from..at])).width);
                from = at;
            }
            longest = longest.max(self.line(style, &word[from..]).width);
        }
        longest
    }
    /// A line with a space after it that takes no room: what follows is read apart from it.
    pub(crate) fn apart(&self, mut line: SetLine) -> SetLine {
        if let Some((_, run)) = line.runs.last_mut()
            && let Some(id) = self.book.face(run.face).glyph(' ')
        {
            run.keep_apart(id);
        }
        line
    }
    /// The same in another size and colour.
    pub(crate) fn line_in(&self, style: StyleName, text: &str, size: Length, colour: Colour) -> SetLine {
        let style = self.style(style);
        self.shape(style, text, size, colour)
    }
    /// One line in a style's size, or as much smaller as it must be to keep within `room`.
    pub(crate) fn line_within(&self, style: StyleName, text: &str, room: Length) -> SetLine {
        let line = self.line(style, text);
        if line.width.fits(room) || line.width <= Length::ZERO {
            return line;
        }
        let style_of = self.style(style);
        self.line_in(style, text, style_of.size * (room / line.width), self.colour(style_of.colour))
    }
    fn shape(&self, style: &Style, text: &str, size: Length, colour: Colour) -> SetLine {
        let features = Features { tabular: style.tabular, ..Features::default() };
        let shaped = text::shape_line(self.book, self.book.role(style.face), size, text, features, self.language);
        self.missing.borrow_mut().extend(shaped.missing);
        let mut x = Length::ZERO;
        let mut runs = Vec::with_capacity(shaped.pieces.len());
        for piece in shaped.pieces {
            let width: Length = piece.glyphs.iter().map(|g| g.advance).sum();
            let run = TextRun {
                face: piece.face,
                size,
                colour,
                origin: Point::new(x, Length::ZERO),
                glyphs: Arc::new(piece.glyphs),
                text: text[piece.range].to_string(),
                actual: None,
                language: None,
                turn: 0.0,
            };
            runs.push((0, run));
            x += width;
        }
        SetLine { width: shaped.width, runs, symbols: Vec::new() }
    }
    /// A paragraph in a style, broken to `measure`. Runs carry the number of their inline. What is set the first time is
    /// kept for the next: the galley is set again when page numbers move, and few paragraphs have one.
    pub(crate) fn paragraph(&self, style: StyleName, content: &Text, measure: Length) -> Vec<SetLine> {
        if content.iter().any(|inline| matches!(inline, Inline::PageOf(_))) {
            return self.set(self.style(style), content, measure, 1.0);
        }
        let key = (style, measure.to_pt().to_bits(), content.clone());
        if !self.first.get()
            && let Some(lines) = self.kept.borrow_mut().get_mut(&key).and_then(Vec::pop)
        {
            return lines;
        }
        let between = if style == ROWS { BETWEEN_SENTENCES } else { 1.0 };
        let lines = self.set(self.style(style), content, measure, between);
        if self.first.get() {
            self.kept.borrow_mut().entry(key).or_default().push(lines.clone());
        }
        lines
    }
    /// The same with the style at hand.
    pub(crate) fn paragraph_as(&self, style: &Style, content: &Text, measure: Length) -> Vec<SetLine> {
        self.set(style, content, measure, 1.0)
    }
    /// The same; a stretch that is one space and nothing else is so many times as wide.
    fn set(&self, style: &Style, content: &Text, measure: Length, between: f64) -> Vec<SetLine> {
        let colour = self.colour(style.colour);
        let features = Features { tabular: style.tabular, ..Features::default() };
        let (strong, italic) = emphasis(style.face);
        // A hyphen of an address at a line's end would be taken for one of the line's.
        let joined: Vec<String> = content
            .iter()
            .map(|inline| match inline {
                Inline::Address(words, _) => words.replace('-', "-\u{2060}"),
                _ => String::new(),
            })
            .collect();
        let texts: Vec<(FontRole, &str, Colour)> = content
            .iter()
            .zip(&joined)
            .map(|(inline, joined)| match inline {
                Inline::Plain(t) => (style.face, t.as_str(), colour),
                Inline::Strong(t) => (strong, t.as_str(), colour),
                Inline::Italic(t) => (italic, t.as_str(), colour),
                Inline::Address(..) => (style.face, joined.as_str(), self.colours.accent),
                Inline::Foreign(name) => (if name.strong { strong } else { style.face }, name.words.as_str(), colour),
                Inline::PageOf(section) => (style.face, self.page_of(*section).unwrap_or("00"), colour),
                Inline::Symbol(_) => (style.face, text::OBJECT, colour),
            })
            .collect();
        let stretches: Vec<TextSpan> = texts
            .iter()
            .enumerate()
            .map(|(tag, (face, text, colour))| TextSpan {
                text,
                face: self.book.role(*face),
                size: if *text == " " { style.size * between } else { style.size },
                colour: *colour,
                features,
                tag,
                no_break: false,
                object: matches!(content[tag], Inline::Symbol(_))
                    .then(|| style.size * (BEFORE_SYMBOL + SYMBOL + AFTER_SYMBOL)),
            })
            .collect();
        let paragraph = ParagraphStyle {
            align: style.align,
            leading: style.leading,
            hyphenate: style.hyphenate,
            language: self.language.to_string(),
            first_indent: Length::ZERO,
            hang: Length::ZERO,
        };
        let set = text::set_paragraph(self.book, &stretches, &Measure::even(measure), &paragraph);
        self.missing.borrow_mut().extend(set.missing);
        set.lines
            .into_iter()
            .map(|line| {
                let mut set = SetLine { width: line.left + line.width, ..SetLine::default() };
                for LineRun { tag, mut run, .. } in line.runs {
                    match content.get(tag) {
                        Some(Inline::Symbol(name)) => set.symbols.push(symbol(name, style, run.origin.x)),
                        Some(Inline::Foreign(name)) => run.language = Some(name.language.clone()),
                        _ => {}
                    }
                    set.runs.push((tag, run));
                }
                set
            })
            .collect()
    }
    /// How far the baseline lies below the top of a line of this style, so that the glyphs stand in its middle.
    pub(crate) fn baseline(&self, style: &Style) -> Length {
        // Cap height and depth share the slack: about 0.34 em from the middle of the line to the baseline.
        style.leading / 2.0 + style.size * 0.34
    }
    /// Diagnostics for characters that no face has.
    pub(crate) fn report(&self) -> Report {
        let mut report = Report::new();
        for diagnostic in self.missing.borrow().diagnostics() {
            report.push(diagnostic);
        }
        report
    }
}

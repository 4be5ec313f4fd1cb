//! Writes one page's content and remembers the state it has left behind: marked content, text objects, colours, lines.

use super::below::Below;
use super::drawn::{DrawnPage, MarkedContent};
use super::ink::{InkPaint, Inks, SMALL_TYPE};
use super::number::{SIZE_DECIMALS, hexadecimal, number, operands, written};
use super::options::Options;
use super::place::{PagePlace, union};
use super::resources::Resources;
use super::shapes::{Body, InkUse};
use super::{fonts, prepress, tags};
use crate::colour::Colour;
use crate::geom::Length;
use crate::page::{Artifact, Mark, NodeId, Page, Stroke, Structure};
use lopdf::{Dictionary, Stream};
use std::collections::BTreeMap;

/// Draws one page and remembers the state it has left behind.
pub(super) struct PagePainter<'a, 'r> {
    pub(super) structure: &'r Structure,
    pub(super) resources: &'r Resources<'r>,
    pub(super) options: Options,
    pub(super) place: PagePlace,
    pub(super) drawn: DrawnPage<'a>,
    open: Option<Mark>,
    spanning: bool,
    pub(super) fill: Option<InkPaint>,
    /// Line settings as they were left; whatever else is drawn leaves them alone.
    pub(super) stroke: Stroke,
    /// The colour of lines; for a shop it is always set, because a page starts with the black of a screen.
    pub(super) stroke_paint: Option<InkPaint>,
    /// Whether what is drawn is printed over what lies below it.
    over: bool,
    /// What was drawn on the page so far, for a shop.
    pub(super) below: Below<'a>,
    /// The last body drawn of a figure, for a shop.
    pub(super) body: Body,
    /// Face and size of type as they were left: resource name, points.
    face: Option<(&'r str, f64)>,
    /// The text object that is open.
    text: Option<TextObject>,
}

/// Where a text object's last line begins, as written.
#[derive(Clone, Copy)]
enum TextObject {
    /// Nothing is set in it yet.
    Begun,
    /// Of an upright line.
    Upright(f64, f64),
    /// Of a turned one.
    Turned,
}

impl<'a, 'r> PagePainter<'a, 'r> {
    pub(super) fn new(
        page: &Page,
        structure: &'r Structure,
        resources: &'r Resources<'r>,
        options: Options,
    ) -> PagePainter<'a, 'r> {
        let drawn = DrawnPage {
            content: Vec::new(),
            stream: Stream::new(Dictionary::new(), Vec::new()),
            again: Vec::new(),
            marked: Vec::new(),
            ticks: Vec::new(),
            blanks: Vec::new(),
            links: Vec::new(),
            extents: BTreeMap::new(),
        };
        // As a page starts (ISO 32000-1, 8.4.1).
        let stroke = Stroke { colour: Colour::BLACK, width: Length::pt(1.0), dash: Vec::new(), round: false };
        let (place, stroke_paint) = match resources.inks {
            Inks::Screen => (PagePlace::on(page), Some(InkPaint::Rgb(stroke.colour))),
            Inks::Prepress(_) => (prepress::place(page), None),
        };
        PagePainter {
            structure,
            resources,
            options,
            place,
            drawn,
            open: None,
            spanning: false,
            fill: None,
            stroke,
            stroke_paint,
            over: false,
            below: Below::default(),
            body: Body::PAPER,
            face: None,
            text: None,
        }
    }

    /// Opens the marked content that the next item belongs to, unless it is open already.
    pub(super) fn mark(&mut self, mark: Mark) {
        if !self.options.tagged || self.open == Some(mark) {
            return;
        }
        self.close();
        match mark {
            Mark::Node(node) => {
                let id = self.marked(node, None);
                let tag = tags::standard_type(self.structure.get(node).role);
                self.begin(tag, |out| out.extend_from_slice(format!("/MCID {id}").as_bytes()));
            }
            Mark::Artifact(kind) => self.begin("Artifact", |out| out.extend_from_slice(artifact(kind).as_bytes())),
        }
        self.open = Some(mark);
    }

    /// Opens a span with words or a language of its own, and says whether it did; a language is said in tagged files alone.
    /// It never lies inside other marked content: readers are known to lose count there.
    pub(super) fn span(&mut self, mark: Mark, words: Option<&str>, language: Option<&str>) -> bool {
        let language = language.filter(|_| self.options.tagged);
        let node = match mark {
            Mark::Node(node) if words.is_some() || language.is_some() => node,
            Mark::Node(_) | Mark::Artifact(_) => {
                self.mark(mark);
                return words.is_some();
            }
        };
        self.close();
        let words = words.map(|words| fonts::plain(words).into_owned());
        let id = self.options.tagged.then(|| self.marked(node, words.clone()));
        self.begin("Span", |out| {
            if let Some(words) = &words {
                out.extend_from_slice(b"/ActualText ");
                text_string(out, words);
            }
            if let Some(language) = language {
                out.extend_from_slice(b"/Lang ");
                text_string(out, language);
            }
            if let Some(id) = id {
                out.extend_from_slice(format!("/MCID {id}").as_bytes());
            }
        });
        self.spanning = true;
        true
    }

    /// Ties content to its node; gives the number of the piece.
    fn marked(&mut self, node: NodeId, words: Option<String>) -> usize {
        self.drawn.marked.push(MarkedContent { node, words });
        self.drawn.marked.len() - 1
    }

    /// Sets type in this face and size; begins a text object unless one is open.
    pub(super) fn face(&mut self, resource: &'r str, size: f64) {
        let out = &mut self.drawn.content;
        if self.text.is_none() {
            out.extend_from_slice(b"BT\n");
            self.text = Some(TextObject::Begun);
        }
        // Face and size belong to the graphics state: they outlast a text object.
        if self.face.replace((resource, size)) != Some((resource, size)) {
            out.push(b'/');
            out.extend_from_slice(resource.as_bytes());
            out.push(b' ');
            number(out, size, SIZE_DECIMALS);
            out.extend_from_slice(b" Tf\n");
        }
    }

    /// Where the next glyphs stand, and which way they run.
    pub(super) fn text_at(&mut self, (x, y): (f64, f64), (sin, cos): (f64, f64)) {
        const DECIMALS: u32 = 3;
        let out = &mut self.drawn.content;
        let upright = (sin, cos) == (0.0, 1.0);
        let (x, y) = (written(x, DECIMALS), written(y, DECIMALS));
        let from = match self.text {
            Some(TextObject::Upright(from_x, from_y)) => Some((from_x, from_y)),
            Some(TextObject::Begun) => Some((0.0, 0.0)),
            Some(TextObject::Turned) | None => None,
        };
        match from.filter(|_| upright) {
            // Steps are written as exactly as places, so that nothing adds up.
            Some((from_x, from_y)) => {
                operands(out, [x - from_x, y - from_y], DECIMALS);
                out.extend_from_slice(b"Td\n");
            }
            None => {
                operands(out, [cos, sin, -sin, cos], 6);
                operands(out, [x, y], DECIMALS);
                out.extend_from_slice(b"Tm\n");
            }
        }
        self.text = Some(if upright { TextObject::Upright(x, y) } else { TextObject::Turned });
    }

    /// Ends the text object that is open: nothing but type, its colours and its sizes may stand in one.
    pub(super) fn end_text(&mut self) {
        if self.text.take().is_some() {
            self.drawn.content.extend_from_slice(b"ET\n");
        }
    }

    fn begin(&mut self, tag: &str, properties: impl FnOnce(&mut Vec<u8>)) {
        let out = &mut self.drawn.content;
        out.push(b'/');
        out.extend_from_slice(tag.as_bytes());
        out.extend_from_slice(b" <<");
        properties(out);
        out.extend_from_slice(b">> BDC\n");
    }

    /// Closes what is open.
    pub(super) fn close(&mut self) {
        self.end_text();
        let spanning = std::mem::take(&mut self.spanning);
        if self.open.take().is_some() || spanning {
            self.drawn.content.extend_from_slice(b"EMC\n");
        }
    }

    pub(super) fn extend(&mut self, mark: Mark, extent: [f64; 4]) {
        if let Mark::Node(node) = mark {
            let known = self.drawn.extents.entry(node).or_insert(extent);
            *known = union(*known, extent);
        }
    }

    /// The colour of letters. Those of black ink alone are printed over what lies below them, so that no white rim shows
    /// where the plates are a little off.
    pub(super) fn fill_type(&mut self, colour: Colour, size: f64) {
        let used = if size < SMALL_TYPE { InkUse::SmallType } else { InkUse::Type };
        let paint = self.resources.inks.paint(colour, used);
        self.print_over(paint.is_black_ink());
        if self.fill != Some(paint) {
            paint.write(&mut self.drawn.content, false);
            self.fill = Some(paint);
        }
    }

    /// Whether what comes next is printed over what lies below it, or takes its place.
    pub(super) fn print_over(&mut self, over: bool) {
        if std::mem::replace(&mut self.over, over) != over {
            let state = if over { prepress::OVER } else { prepress::INSTEAD };
            self.drawn.content.extend_from_slice(format!("/{state} gs\n").as_bytes());
        }
    }
}

/// The property list of an artifact.
fn artifact(kind: Artifact) -> &'static str {
    match kind {
        Artifact::Header => "/Type/Pagination/Subtype/Header",
        Artifact::Footer => "/Type/Pagination/Subtype/Footer",
        Artifact::Layout => "/Type/Layout",
        Artifact::Background => "/Type/Background",
    }
}

/// A text string (ISO 32000-1, 7.9.2.2): its bytes where all letters are those of PDFDocEncoding and Latin 1 alike (D.2), which
/// takes a quarter of the room, else UTF-16BE with its byte order mark, in hexadecimal digits.
fn text_string(out: &mut Vec<u8>, text: &str) {
    let plain =
        |c: char| matches!(c, ' '..='~' | '\u{a1}'..='\u{ac}' | '\u{ae}'..='\u{ff}').then(|| u8::try_from(c).ok());
    if let Some(bytes) = text.chars().map(|c| plain(c).flatten()).collect::<Option<Vec<u8>>>() {
        out.push(b'(');
        for byte in bytes {
            if matches!(byte, b'(' | b')' | b'\\') {
                out.push(b'\\');
            }
            out.push(byte);
        }
        out.push(b')');
        return;
    }
    out.extend_from_slice(b"<FEFF");
    text.encode_utf16().for_each(|unit| hexadecimal(out, unit));
    out.push(b'>');
}

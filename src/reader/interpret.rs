//! Follows a page's content operator by operator and notes what is drawn where.
//!
//! Names of resources, marked content and drawing order mean nothing here; only geometry, colour and letters do. Forms
//! are followed, with limits on depth and work, so that a hostile file costs no more than a large honest one.
//!
//! Long, and one subject: the operators of a content stream, which share one state.

mod repeats;

use super::colour_space::ColourSpace;
use super::document::{PdfFile, number};
use super::face::PdfFont;
use super::marks::{PageGlyph, PageMarks, Paint, PaintKind, PaintedMark};
use super::matrix::{Bounds, Matrix, PagePoint};
use super::outline::Outline;
use super::scan::{Operand, Scanner};
use super::state::{State, TextPosition};
use lopdf::{Dictionary, ObjectId};
use repeats::{Drawing, External, Form, Repeats};
use std::collections::BTreeMap;
use std::sync::Arc;

/// Operators one page may hold, forms counted as often as they are drawn.
const MAX_OPERATORS: usize = 6_000_000;
/// Corners all outlines of one page may have.
const MAX_SPOTS: usize = 4_000_000;
/// Painted marks of one page.
const MAX_MARKS: usize = 1_000_000;
/// Glyphs of one page.
const MAX_GLYPHS: usize = 400_000;
/// Forms within forms.
const MAX_DEPTH: usize = 12;
/// Graphics states put aside.
const MAX_STATES: usize = 512;

const TOO_MUCH: &str = "the file draws more than one of its size can need";

/// All faces of a file, each read once.
#[derive(Default)]
pub(crate) struct Faces {
    /// In the order they were met.
    pub(crate) faces: Vec<PdfFont>,
    known: BTreeMap<ObjectId, usize>,
}

/// Reads one page's content into what it draws.
pub(crate) fn interpret(opened: &PdfFile, faces: &mut Faces, page: &Dictionary, to_page: Matrix) -> PageMarks {
    let mut run = Interpreter {
        opened,
        faces,
        out: PageMarks::default(),
        repeats: Repeats::default(),
        place_counts: false,
        operators: 0,
        spots: 0,
        full: false,
    };
    let resources = run.opened.inherited(page, b"Resources").and_then(|o| o.as_dict().ok()).cloned();
    match run.opened.content(page) {
        Ok(content) => run.follow(&content, &resources.unwrap_or_default(), State::new(to_page), 0),
        Err(why) => run.out.unread.push(why),
    }
    run.out
}

struct Interpreter<'a> {
    opened: &'a PdfFile,
    faces: &'a mut Faces,
    out: PageMarks,
    repeats: Repeats,
    /// Whether something was drawn that is another thing in another place: text, whose font may be set outside, or a shading,
    /// which fills what the clip leaves.
    place_counts: bool,
    operators: usize,
    spots: usize,
    full: bool,
}

/// Where in a content stream the reading is.
struct Position<'a, 's> {
    resources: &'s Dictionary,
    /// How many forms it lies in.
    depth: usize,
    state: State,
    aside: Vec<State>,
    outline: Outline,
    /// Whether the outline is to clip what comes.
    clips: bool,
    text: TextPosition,
    /// Which resource names of this stream are which face: looked up once, not once a run of text.
    named: BTreeMap<Vec<u8>, Option<usize>>,
    /// The same of what is drawn by name.
    externals: BTreeMap<Vec<u8>, External<'a>>,
}

impl<'a> Interpreter<'a> {
    fn give_up(&mut self, why: &str) {
        if !self.full {
            self.full = true;
            self.out.unread.push(why.to_owned());
        }
    }

    fn note(&mut self, why: String) {
        if self.out.unread.len() < 20 && !self.out.unread.contains(&why) {
            self.out.unread.push(why);
        }
    }

    fn follow(&mut self, content: &[u8], resources: &Dictionary, start: State, depth: usize) {
        if !self.opened.may_see(content.len()) {
            self.give_up(TOO_MUCH);
        }
        let mut scanner = Scanner::new(content);
        let mut operands = Vec::new();
        let mut at = Position {
            resources,
            depth,
            state: start,
            aside: Vec::new(),
            outline: Outline::new(),
            clips: false,
            text: TextPosition::at(Matrix::IDENTITY),
            named: BTreeMap::new(),
            externals: BTreeMap::new(),
        };
        while let Some(operator) = scanner.next_operator(&mut operands) {
            self.operators += 1;
            if self.operators > MAX_OPERATORS {
                self.give_up("it holds more drawing operators than a page can need");
            }
            if !self.opened.may_draw(1) {
                self.give_up(TOO_MUCH);
            }
            if self.full {
                return;
            }
            // Marked content, compatibility, line looks and rendering hints draw nothing by themselves: nobody takes them.
            let _ = self.path(operator, &operands, &mut at)
                || self.text(operator, &operands, &mut at)
                || self.colour(operator, &operands, &mut at)
                || self.general(operator, &operands, &mut at);
            if at.outline.spots() + self.spots > MAX_SPOTS {
                self.give_up("its outlines have more corners than a page can need");
            }
        }
    }

    /// Operators of the graphics state, and objects drawn by name; says whether it was one.
    fn general(&mut self, operator: &[u8], operands: &[Operand], at: &mut Position<'a, '_>) -> bool {
        match operator {
            b"q" if at.aside.len() < MAX_STATES => at.aside.push(at.state.clone()),
            b"q" => self.give_up("its graphics states are nested too deeply"),
            b"Q" => {
                if let Some(back) = at.aside.pop() {
                    at.state = back;
                }
            }
            b"cm" => {
                if let Some(m) = matrix_of(operands).and_then(|m| m.then(&at.state.ctm)) {
                    at.state.ctm = m;
                }
            }
            b"w" => at.state.width = nth(operands, 0).abs(),
            b"gs" => self.extra_state(at.resources, operands, &mut at.state),
            b"Do" => self.external(operands, at),
            b"EI" => self.picture(&at.state),
            b"sh" => self.shading(&at.state),
            _ => return false,
        }
        true
    }

    /// Operators of colour; says whether it was one.
    fn colour(&mut self, operator: &[u8], operands: &[Operand], at: &mut Position<'a, '_>) -> bool {
        let state = &mut at.state;
        match operator {
            b"g" | b"rg" | b"k" | b"G" | b"RG" | b"K" => {
                let space = match operator {
                    b"g" | b"G" => ColourSpace::Grey,
                    b"rg" | b"RG" => ColourSpace::Rgb,
                    _ => ColourSpace::Cmyk,
                };
                let paint = space.paint(&numbers(operands));
                if operator[0].is_ascii_lowercase() {
                    (state.fill_space, state.fill) = (space, paint);
                } else {
                    (state.stroke_space, state.stroke) = (space, paint);
                }
            }
            b"cs" | b"CS" => {
                let space = self.space(at.resources, operands);
                if operator == b"cs" {
                    (state.fill_space, state.fill) = (space, space.first());
                } else {
                    (state.stroke_space, state.stroke) = (space, space.first());
                }
            }
            b"sc" | b"scn" => state.fill = state.fill_space.paint(&numbers(operands)),
            b"SC" | b"SCN" => state.stroke = state.stroke_space.paint(&numbers(operands)),
            _ => return false,
        }
        true
    }

    /// Operators that make outlines and paint them; says whether it was one.
    fn path(&mut self, operator: &[u8], operands: &[Operand], at: &mut Position<'a, '_>) -> bool {
        let n = |at: usize| nth(operands, at);
        let (outline, ctm) = (&mut at.outline, &at.state.ctm);
        match operator {
            b"m" => outline.start(ctm, n(0), n(1)),
            b"l" => outline.line(ctm, n(0), n(1)),
            b"c" => outline.curve(ctm, [n(0), n(1), n(2), n(3), n(4), n(5)]),
            b"v" => outline.curve_from_here(ctm, [n(0), n(1), n(2), n(3)]),
            b"y" => outline.curve(ctm, [n(0), n(1), n(2), n(3), n(2), n(3)]),
            b"h" => outline.close(),
            b"re" => outline.rectangle(ctm, n(0), n(1), n(2), n(3)),
            b"W" | b"W*" => at.clips = true,
            b"n" | b"f" | b"F" | b"f*" | b"B" | b"B*" | b"b" | b"b*" | b"S" | b"s" => {
                if matches!(operator, b"b" | b"b*" | b"s") {
                    outline.close();
                }
                self.paint(operator, outline, &mut at.state, std::mem::take(&mut at.clips));
            }
            _ => return false,
        }
        true
    }

    /// Operators of text; says whether it was one.
    fn text(&mut self, operator: &[u8], operands: &[Operand], at: &mut Position<'a, '_>) -> bool {
        let n = |at: usize| nth(operands, at);
        let state = &mut at.state;
        match operator {
            b"BT" => at.text = TextPosition::at(Matrix::IDENTITY),
            b"Tf" => {
                state.size = n(1);
                if let Some(name) = operands.first().and_then(Operand::name) {
                    if !at.named.contains_key(name) {
                        let face = self.face(at.resources, name);
                        at.named.insert(name.to_vec(), face);
                    }
                    state.face = at.named.get(name).copied().flatten();
                }
            }
            b"Tc" => state.char_space = n(0),
            b"Tw" => state.word_space = n(0),
            b"Tz" => state.stretch = n(0) / 100.0,
            b"TL" => state.leading = n(0),
            b"Ts" => state.rise = n(0),
            b"Tr" => state.mode = n(0) as i64,
            b"Td" => at.text.next_line(n(0), n(1)),
            b"TD" => {
                state.leading = -n(1);
                at.text.next_line(n(0), n(1));
            }
            b"T*" => at.text.next_line(0.0, -state.leading),
            b"Tm" => {
                if let Some(m) = matrix_of(operands) {
                    at.text = TextPosition::at(m);
                }
            }
            b"Tj" => self.show(state, &mut at.text, operands.first()),
            b"'" => {
                at.text.next_line(0.0, -state.leading);
                self.show(state, &mut at.text, operands.first());
            }
            b"\"" => {
                state.word_space = n(0);
                state.char_space = n(1);
                at.text.next_line(0.0, -state.leading);
                self.show(state, &mut at.text, operands.get(2));
            }
            b"TJ" => self.show_all(state, &mut at.text, operands.first()),
            _ => return false,
        }
        true
    }

    /// Texts, with steps back between them.
    fn show_all(&mut self, state: &State, at: &mut TextPosition, entries: Option<&Operand>) {
        let Some(Operand::Array(entries)) = entries else { return };
        for entry in entries {
            match entry {
                Operand::Text(_) => self.show(state, at, Some(entry)),
                Operand::Number(back) => at.on(-back / 1000.0 * state.size * state.stretch),
                Operand::Name(_) | Operand::Array(_) | Operand::Other => {}
            }
        }
    }

    fn extra_state(&mut self, resources: &Dictionary, operands: &[Operand], state: &mut State) {
        let Some(name) = operands.first().and_then(Operand::name) else { return };
        let Some(extra) = self.opened.dictionary(resources, b"ExtGState") else { return };
        let Some(extra) = self.opened.dictionary(extra, name) else { return };
        let read = |key: &[u8]| self.opened.entry(extra, key).and_then(number);
        if let Some(opacity) = read(b"ca") {
            state.fill_opacity = opacity.clamp(0.0, 1.0);
        }
        if let Some(opacity) = read(b"CA") {
            state.stroke_opacity = opacity.clamp(0.0, 1.0);
        }
        if let Some(width) = read(b"LW") {
            state.width = width.abs();
        }
    }

    fn space(&self, resources: &Dictionary, operands: &[Operand]) -> ColourSpace {
        let Some(name) = operands.first().and_then(Operand::name) else { return ColourSpace::Other };
        if let Some(space) = device(name) {
            return space;
        }
        let found = self.opened.dictionary(resources, b"ColorSpace").and_then(|d| self.opened.entry(d, name));
        let Some(found) = found else { return ColourSpace::Other };
        if let Ok(name) = found.as_name() {
            return device(name).unwrap_or(ColourSpace::Other);
        }
        let Ok(parts) = found.as_array() else { return ColourSpace::Other };
        let mut parts = parts.iter().filter_map(|o| self.opened.follow(o));
        match parts.next().and_then(|o| o.as_name().ok()) {
            Some(b"ICCBased") => {
                let channels = parts
                    .next()
                    .and_then(|o| o.as_stream().ok())
                    .and_then(|s| self.opened.entry(&s.dict, b"N"))
                    .and_then(number);
                match channels.map(|n| n as i64) {
                    Some(1) => ColourSpace::Grey,
                    Some(3) => ColourSpace::Rgb,
                    Some(4) => ColourSpace::Cmyk,
                    _ => ColourSpace::Other,
                }
            }
            Some(b"CalRGB") => ColourSpace::Rgb,
            Some(b"CalGray") => ColourSpace::Grey,
            _ => ColourSpace::Other,
        }
    }

    fn paint(&mut self, operator: &[u8], outline: &mut Outline, state: &mut State, clips: bool) {
        let parts = outline.take();
        let mut bounds = Bounds::EMPTY;
        for part in &parts {
            self.spots += part.spots.len();
            bounds = Bounds {
                left: bounds.left.min(part.bounds.left),
                top: bounds.top.min(part.bounds.top),
                right: bounds.right.max(part.bounds.right),
                bottom: bounds.bottom.max(part.bounds.bottom),
            };
        }
        let fill = match operator {
            b"f" | b"F" | b"B" | b"b" => Some(PaintKind::Fill),
            b"f*" | b"B*" | b"b*" => Some(PaintKind::FillEvenOdd),
            _ => None,
        };
        let stroke = matches!(operator, b"S" | b"s" | b"B" | b"B*" | b"b" | b"b*")
            .then(|| PaintKind::Stroke(state.width * state.ctm.scale()));
        if !parts.is_empty() {
            let shape = Arc::new(parts);
            let mark = |kind, paint, opacity| PaintedMark {
                kind,
                paint,
                opacity,
                shape: Arc::clone(&shape),
                moved: PagePoint::default(),
                bounds,
                clip: state.clip,
            };
            let fill = fill.map(|kind| (kind, state.fill, state.fill_opacity));
            let stroke = stroke.map(|kind| (kind, state.stroke, state.stroke_opacity));
            for (kind, paint, opacity) in fill.into_iter().chain(stroke) {
                self.put(mark(kind, paint, opacity));
            }
        }
        if clips {
            // A clip that is no box is taken as the box around it: nothing is lost, at worst something hidden is read.
            state.clip = Some(match state.clip {
                Some(clip) => clip.shared(&bounds),
                None => bounds,
            });
        }
    }

    fn put(&mut self, mark: PaintedMark) {
        if self.out.painted.len() >= MAX_MARKS {
            self.give_up("it holds more painted marks than a page can need");
        } else if mark.clip.is_none_or(|clip| clip.meets(&mark.bounds)) {
            self.out.painted.push(mark);
        }
    }

    fn picture(&mut self, state: &State) {
        let mut outline = Outline::new();
        outline.rectangle(&state.ctm, 0.0, 0.0, 1.0, 1.0);
        let parts = outline.take();
        let Some(bounds) = parts.first().map(|p| p.bounds) else { return };
        self.put(PaintedMark {
            kind: PaintKind::Picture,
            paint: Paint::Other,
            opacity: state.fill_opacity,
            shape: Arc::new(parts),
            moved: PagePoint::default(),
            bounds,
            clip: state.clip,
        });
    }

    /// A shading fills whatever the clip leaves.
    fn shading(&mut self, state: &State) {
        self.place_counts = true;
        let everywhere = Bounds { left: -1e5, top: -1e5, right: 1e5, bottom: 1e5 };
        let area = state.clip.unwrap_or(everywhere);
        if area.is_empty() {
            return;
        }
        let mut outline = Outline::new();
        outline.rectangle(&Matrix::IDENTITY, area.left, area.top, area.width(), area.height());
        self.put(PaintedMark {
            kind: PaintKind::Picture,
            paint: Paint::Other,
            opacity: state.fill_opacity,
            shape: Arc::new(outline.take()),
            moved: PagePoint::default(),
            bounds: area,
            clip: state.clip,
        });
    }

    fn external(&mut self, operands: &[Operand], at: &mut Position<'a, '_>) {
        let Some(name) = operands.first().and_then(Operand::name) else { return };
        if !at.externals.contains_key(name) {
            at.externals.insert(name.to_vec(), External::find(self.opened, at.resources, name));
        }
        match &at.externals[name] {
            External::Nothing(why) => self.note(why.clone()),
            External::Picture => self.picture(&at.state),
            External::Form(_) if at.depth >= MAX_DEPTH => self.give_up("its forms are nested too deeply"),
            External::Form(form) => self.form(form, form.resources.unwrap_or(at.resources), &at.state, at.depth + 1),
        }
    }

    /// A form: set down once more where it was drawn in the same manner before, else followed.
    fn form(&mut self, form: &Form, resources: &Dictionary, outside: &State, depth: usize) {
        let mut state = outside.clone();
        if let Some(matrix) = form.matrix {
            let Some(m) = matrix.then(&state.ctm) else { return };
            state.ctm = m;
        }
        if let Some(drawing) = self.repeats.find(form.id, resources, &state) {
            self.set_down(&drawing, &state);
            return;
        }
        let content = match self.opened.unpack_kept(form.id) {
            Ok(content) => content,
            Err(why) => {
                self.note(why);
                return;
            }
        };
        let area = form.area.map(|[left, bottom, right, top]| {
            let mut area = Bounds::EMPTY;
            state.ctm.apply_box(left, bottom, right, top).into_iter().for_each(|spot| area.take_in(spot));
            area
        });
        if self.repeats.may_keep(form.id) {
            // Drawn whole, for elsewhere it may be clipped otherwise.
            let whole = State { clip: area, ..state.clone() };
            let (operators, spots) = (self.operators, self.spots);
            let (marks, glyphs, letters) = (self.out.painted.len(), self.out.glyphs.len(), self.out.letters.len());
            let place_counts = std::mem::take(&mut self.place_counts);
            self.follow(&content, resources, whole.clone(), depth);
            let is_elsewhere_another = self.place_counts;
            self.place_counts |= place_counts;
            let marks = self.out.painted.split_off(marks);
            if !is_elsewhere_another || self.full {
                let drawing = Drawing {
                    state: whole,
                    marks,
                    operators: self.operators - operators,
                    spots: self.spots - spots,
                    content: content.len(),
                };
                drawing.marks.iter().for_each(|mark| self.put(mark.clone().within(state.clip)));
                if !self.repeats.keep(form.id, resources, drawing) {
                    self.repeats.keep_not(form.id);
                }
                return;
            }
            self.repeats.keep_not(form.id);
            self.out.glyphs.truncate(glyphs);
            self.out.letters.truncate(letters);
            self.spots = spots;
        }
        state.clip = match (state.clip, area) {
            (Some(clip), Some(area)) => Some(clip.shared(&area)),
            (clip, area) => clip.or(area),
        };
        self.follow(&content, resources, state, depth);
    }

    /// A drawing once more, in another place.
    fn set_down(&mut self, drawing: &Drawing, state: &State) {
        self.operators += drawing.operators;
        self.spots += drawing.spots;
        if self.operators > MAX_OPERATORS {
            self.give_up("it holds more drawing operators than a page can need");
        }
        if !self.opened.may_see(drawing.content) || !self.opened.may_draw(drawing.operators) {
            self.give_up(TOO_MUCH);
        }
        let offset = drawing.offset(state);
        for mark in &drawing.marks {
            self.put(mark.moved_by(offset).within(state.clip));
        }
    }

    fn face(&mut self, resources: &Dictionary, name: &[u8]) -> Option<usize> {
        let listed = self.opened.dictionary(resources, b"Font").and_then(|d| d.get(name).ok().cloned());
        let id = listed.as_ref().and_then(|o| o.as_reference().ok());
        if let Some(known) = id.and_then(|id| self.faces.known.get(&id)) {
            return Some(*known);
        }
        let font = listed.as_ref().and_then(|o| self.opened.follow(o)).and_then(|o| o.as_dict().ok()).cloned();
        let Some(font) = font else {
            self.note(format!("it sets text in `{}`, a font the file does not hold", String::from_utf8_lossy(name)));
            return None;
        };
        if self.faces.faces.len() >= 1_000 {
            self.give_up("the file holds more fonts than a booklet can need");
            return None;
        }
        let face = PdfFont::read(self.opened, &font);
        self.faces.faces.push(face);
        let at = self.faces.faces.len() - 1;
        if let Some(id) = id {
            self.faces.known.insert(id, at);
        }
        Some(at)
    }

    fn show(&mut self, state: &State, pen: &mut TextPosition, text: Option<&Operand>) {
        self.place_counts = true;
        let (Some(text), Some(at)) = (text.and_then(Operand::text), state.face) else { return };
        let Some(face) = self.faces.faces.get(at) else { return };
        let step = face.code_length();
        for code in text.chunks(step) {
            let value = code.iter().fold(0_u32, |v, b| v << 8 | u32::from(*b));
            let width = face.width(value) * state.size * state.stretch;
            let Some(to_page) = pen.matrix.then(&state.ctm) else { return };
            let from = to_page.apply(0.0, state.rise);
            let start = self.out.letters.len() as u32;
            if let Some(letters) = face.letters(value) {
                self.out.letters.push_str(&letters);
            }
            let glyph = PageGlyph {
                from,
                to: to_page.apply(width, state.rise),
                size: (state.size * to_page.scale()).abs(),
                face: at,
                code: value,
                paint: if state.mode % 4 == 1 { state.stroke } else { state.fill },
                shows: state.mode != 3 && state.mode != 7 && state.fill_opacity > 0.0,
                letters: (start, self.out.letters.len() as u32),
            };
            if self.out.glyphs.len() >= MAX_GLYPHS {
                self.give_up("it holds more letters than a page can need");
                return;
            }
            if state.clip.is_none_or(|clip| clip.grown(glyph.size).holds(from)) {
                self.out.glyphs.push(glyph);
            }
            let word = if step == 1 && value == 32 { state.word_space } else { 0.0 };
            pen.on(width + (state.char_space + word) * state.stretch);
        }
    }
}

fn device(name: &[u8]) -> Option<ColourSpace> {
    match name {
        b"DeviceGray" | b"G" => Some(ColourSpace::Grey),
        b"DeviceRGB" | b"RGB" => Some(ColourSpace::Rgb),
        b"DeviceCMYK" | b"CMYK" => Some(ColourSpace::Cmyk),
        _ => None,
    }
}

fn numbers(operands: &[Operand]) -> Vec<f64> {
    operands.iter().take(8).filter_map(Operand::number).collect()
}

fn nth(operands: &[Operand], at: usize) -> f64 {
    operands.get(at).and_then(Operand::number).unwrap_or(0.0)
}

fn matrix_of(operands: &[Operand]) -> Option<Matrix> {
    // Asked for with every form that is drawn: without a list of its own.
    let mut given = operands.iter().take(8).filter_map(Operand::number);
    let mut all = [0.0; 6];
    for one in &mut all {
        *one = given.next()?;
    }
    given.next().is_none().then_some(Matrix(all))
}

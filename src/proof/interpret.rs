//! Follows a page's content operator by operator and notes what is drawn where.
//!
//! Names of resources, marked content and drawing order mean nothing here; only geometry, colour and letters do. Forms
//! are followed, with limits on depth and work, so that a hostile file costs no more than a large honest one.

use super::document::{Opened, number};
use super::face::Face;
use super::inks::Space;
use super::marks::{Drawn, GlyphDrawn, Kind, Paint, Painted};
use super::matrix::{Bounds, Matrix};
use super::outline::Outline;
use super::scan::{Operand, Scanner};
use lopdf::{Dictionary, Object, ObjectId};
use std::collections::BTreeMap;

/// Operators one page may hold, forms counted as often as they are drawn.
const MOST_OPERATORS: usize = 6_000_000;
/// Corners all outlines of one page may have.
const MOST_SPOTS: usize = 4_000_000;
/// Painted marks of one page.
const MOST_MARKS: usize = 1_000_000;
/// Glyphs of one page.
const MOST_GLYPHS: usize = 400_000;
/// Forms within forms.
const DEEPEST: usize = 12;
/// Graphics states put aside.
const MOST_STATES: usize = 512;

/// All faces of a file, each read once.
#[derive(Default)]
pub(super) struct Faces {
    /// In the order they were met.
    pub faces: Vec<Face>,
    known: BTreeMap<ObjectId, usize>,
}

#[derive(Clone)]
struct State {
    ctm: Matrix,
    fill: Paint,
    stroke: Paint,
    fill_space: Space,
    stroke_space: Space,
    fill_opacity: f64,
    stroke_opacity: f64,
    width: f64,
    clip: Option<Bounds>,
    face: Option<usize>,
    size: f64,
    char_space: f64,
    word_space: f64,
    stretch: f64,
    leading: f64,
    rise: f64,
    mode: i64,
}

impl State {
    fn new(ctm: Matrix) -> State {
        State {
            ctm,
            fill: Space::Grey.first(),
            stroke: Space::Grey.first(),
            fill_space: Space::Grey,
            stroke_space: Space::Grey,
            fill_opacity: 1.0,
            stroke_opacity: 1.0,
            width: 1.0,
            clip: None,
            face: None,
            size: 0.0,
            char_space: 0.0,
            word_space: 0.0,
            stretch: 1.0,
            leading: 0.0,
            rise: 0.0,
            mode: 0,
        }
    }
}

/// Reads one page's content into what it draws.
pub(super) fn interpret(opened: &mut Opened, faces: &mut Faces, page: &Dictionary, to_page: Matrix) -> Drawn {
    let mut run = Run { opened, faces, out: Drawn::default(), operators: 0, spots: 0, full: false };
    let resources = run.opened.inherited(page, b"Resources").and_then(|o| o.as_dict().ok()).cloned();
    match run.opened.content(page) {
        Ok(content) => run.follow(&content, &resources.unwrap_or_default(), State::new(to_page), 0),
        Err(why) => run.out.unread.push(why),
    }
    run.out
}

struct Run<'a> {
    opened: &'a mut Opened,
    faces: &'a mut Faces,
    out: Drawn,
    operators: usize,
    spots: usize,
    full: bool,
}

/// Text position, reset by each BT.
struct Pen {
    matrix: Matrix,
    line: Matrix,
}

impl Run<'_> {
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
        let mut scanner = Scanner::new(content);
        let mut operands = Vec::new();
        let mut state = start;
        let mut aside: Vec<State> = Vec::new();
        let mut outline = Outline::new();
        let mut clips = false;
        let mut pen = Pen { matrix: Matrix::IDENTITY, line: Matrix::IDENTITY };
        // Which resource names of this stream are which face: looked up once, not once a run of text.
        let mut named: BTreeMap<Vec<u8>, Option<usize>> = BTreeMap::new();

        while let Some(operator) = scanner.next_operator(&mut operands) {
            self.operators += 1;
            if self.operators > MOST_OPERATORS {
                self.give_up("it holds more drawing operators than a page can need");
            }
            if self.full {
                return;
            }
            let n = |at: usize| operands.get(at).and_then(Operand::number).unwrap_or(0.0);
            match operator {
                b"q" if aside.len() < MOST_STATES => aside.push(state.clone()),
                b"q" => self.give_up("its graphics states are nested too deeply"),
                b"Q" => {
                    if let Some(back) = aside.pop() {
                        state = back;
                    }
                }
                b"cm" => {
                    if let Some(m) = matrix_of(&operands).and_then(|m| m.then(&state.ctm)) {
                        state.ctm = m;
                    }
                }
                b"w" => state.width = n(0).abs(),
                b"gs" => self.extra_state(resources, &operands, &mut state),

                b"g" | b"rg" | b"k" | b"G" | b"RG" | b"K" => {
                    let space = match operator {
                        b"g" | b"G" => Space::Grey,
                        b"rg" | b"RG" => Space::Rgb,
                        _ => Space::Cmyk,
                    };
                    let paint = space.paint(&numbers(&operands));
                    if operator[0].is_ascii_lowercase() {
                        (state.fill_space, state.fill) = (space, paint);
                    } else {
                        (state.stroke_space, state.stroke) = (space, paint);
                    }
                }
                b"cs" | b"CS" => {
                    let space = self.space(resources, &operands);
                    if operator == b"cs" {
                        (state.fill_space, state.fill) = (space, space.first());
                    } else {
                        (state.stroke_space, state.stroke) = (space, space.first());
                    }
                }
                b"sc" | b"scn" => state.fill = state.fill_space.paint(&numbers(&operands)),
                b"SC" | b"SCN" => state.stroke = state.stroke_space.paint(&numbers(&operands)),

                b"m" => outline.start(&state.ctm, n(0), n(1)),
                b"l" => outline.line(&state.ctm, n(0), n(1)),
                b"c" => outline.curve(&state.ctm, [n(0), n(1), n(2), n(3), n(4), n(5)]),
                b"v" => outline.curve_from_here(&state.ctm, [n(0), n(1), n(2), n(3)]),
                b"y" => outline.curve(&state.ctm, [n(0), n(1), n(2), n(3), n(2), n(3)]),
                b"h" => outline.close(),
                b"re" => outline.rectangle(&state.ctm, n(0), n(1), n(2), n(3)),
                b"W" | b"W*" => clips = true,
                b"n" | b"f" | b"F" | b"f*" | b"B" | b"B*" | b"b" | b"b*" | b"S" | b"s" => {
                    if matches!(operator, b"b" | b"b*" | b"s") {
                        outline.close();
                    }
                    self.paint(operator, &mut outline, &mut state, std::mem::take(&mut clips));
                }

                b"Do" => self.external(resources, &operands, &state, depth),
                b"EI" => self.picture(&state),
                b"sh" => self.shading(&state),

                b"BT" => pen = Pen { matrix: Matrix::IDENTITY, line: Matrix::IDENTITY },
                b"Tf" => {
                    state.size = n(1);
                    if let Some(name) = operands.first().and_then(Operand::name) {
                        if !named.contains_key(name) {
                            let face = self.face(resources, name);
                            named.insert(name.to_vec(), face);
                        }
                        state.face = named.get(name).copied().flatten();
                    }
                }
                b"Tc" => state.char_space = n(0),
                b"Tw" => state.word_space = n(0),
                b"Tz" => state.stretch = n(0) / 100.0,
                b"TL" => state.leading = n(0),
                b"Ts" => state.rise = n(0),
                b"Tr" => state.mode = n(0) as i64,
                b"Td" => pen.next_line(n(0), n(1)),
                b"TD" => {
                    state.leading = -n(1);
                    pen.next_line(n(0), n(1));
                }
                b"T*" => pen.next_line(0.0, -state.leading),
                b"Tm" => {
                    if let Some(m) = matrix_of(&operands) {
                        pen = Pen { matrix: m, line: m };
                    }
                }
                b"Tj" => self.show(&state, &mut pen, operands.first()),
                b"'" => {
                    pen.next_line(0.0, -state.leading);
                    self.show(&state, &mut pen, operands.first());
                }
                b"\"" => {
                    state.word_space = n(0);
                    state.char_space = n(1);
                    pen.next_line(0.0, -state.leading);
                    self.show(&state, &mut pen, operands.get(2));
                }
                b"TJ" => {
                    if let Some(Operand::Array(entries)) = operands.first() {
                        for entry in entries {
                            match entry {
                                Operand::Text(_) => self.show(&state, &mut pen, Some(entry)),
                                Operand::Number(back) => {
                                    pen.on(-back / 1000.0 * state.size * state.stretch);
                                }
                                Operand::Name(_) | Operand::Array(_) | Operand::Other => {}
                            }
                        }
                    }
                }
                // Marked content, compatibility, line looks and rendering hints draw nothing by themselves.
                _ => {}
            }
            if outline.spots() + self.spots > MOST_SPOTS {
                self.give_up("its outlines have more corners than a page can need");
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

    fn space(&self, resources: &Dictionary, operands: &[Operand]) -> Space {
        let Some(name) = operands.first().and_then(Operand::name) else { return Space::Other };
        if let Some(space) = device(name) {
            return space;
        }
        let found = self.opened.dictionary(resources, b"ColorSpace").and_then(|d| self.opened.entry(d, name));
        let Some(found) = found else { return Space::Other };
        if let Ok(name) = found.as_name() {
            return device(name).unwrap_or(Space::Other);
        }
        let Ok(parts) = found.as_array() else { return Space::Other };
        let mut parts = parts.iter().filter_map(|o| self.opened.follow(o));
        match parts.next().and_then(|o| o.as_name().ok()) {
            Some(b"ICCBased") => {
                let channels = parts
                    .next()
                    .and_then(|o| o.as_stream().ok())
                    .and_then(|s| self.opened.entry(&s.dict, b"N"))
                    .and_then(number);
                match channels.map(|n| n as i64) {
                    Some(1) => Space::Grey,
                    Some(3) => Space::Rgb,
                    Some(4) => Space::Cmyk,
                    _ => Space::Other,
                }
            }
            Some(b"CalRGB") => Space::Rgb,
            Some(b"CalGray") => Space::Grey,
            _ => Space::Other,
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
            b"f" | b"F" | b"B" | b"b" => Some(Kind::Fill),
            b"f*" | b"B*" | b"b*" => Some(Kind::FillEvenOdd),
            _ => None,
        };
        let stroke = matches!(operator, b"S" | b"s" | b"B" | b"B*" | b"b" | b"b*")
            .then(|| Kind::Stroke(state.width * state.ctm.scale()));
        if !parts.is_empty() {
            let mark = |kind, paint, opacity, parts| Painted { kind, paint, opacity, parts, bounds, clip: state.clip };
            let fill = fill.map(|kind| (kind, state.fill, state.fill_opacity));
            let stroke = stroke.map(|kind| (kind, state.stroke, state.stroke_opacity));
            match (fill, stroke) {
                (Some(f), Some(s)) => {
                    self.put(mark(f.0, f.1, f.2, parts.clone()));
                    self.put(mark(s.0, s.1, s.2, parts));
                }
                (Some(one), None) | (None, Some(one)) => self.put(mark(one.0, one.1, one.2, parts)),
                (None, None) => {}
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

    fn put(&mut self, mark: Painted) {
        if self.out.painted.len() >= MOST_MARKS {
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
        self.put(Painted {
            kind: Kind::Picture,
            paint: Paint::Other,
            opacity: state.fill_opacity,
            parts,
            bounds,
            clip: state.clip,
        });
    }

    /// A shading fills whatever the clip leaves.
    fn shading(&mut self, state: &State) {
        let everywhere = Bounds { left: -1e5, top: -1e5, right: 1e5, bottom: 1e5 };
        let area = state.clip.unwrap_or(everywhere);
        if area.is_empty() {
            return;
        }
        let mut outline = Outline::new();
        outline.rectangle(&Matrix::IDENTITY, area.left, area.top, area.width(), area.height());
        self.put(Painted {
            kind: Kind::Picture,
            paint: Paint::Other,
            opacity: state.fill_opacity,
            parts: outline.take(),
            bounds: area,
            clip: state.clip,
        });
    }

    fn external(&mut self, resources: &Dictionary, operands: &[Operand], state: &State, depth: usize) {
        let Some(name) = operands.first().and_then(Operand::name) else { return };
        let listed = self.opened.dictionary(resources, b"XObject").and_then(|d| d.get(name).ok());
        let Some(id) = listed.and_then(|o| o.as_reference().ok()) else {
            self.note(format!("it draws `{}`, which the file does not hold", String::from_utf8_lossy(name)));
            return;
        };
        let Some(stream) = self.opened.document.get_object(id).and_then(Object::as_stream).ok() else {
            self.note(format!("it draws `{}`, which the file does not hold", String::from_utf8_lossy(name)));
            return;
        };
        match self.opened.entry(&stream.dict, b"Subtype").and_then(|o| o.as_name().ok()) {
            Some(b"Image") => self.picture(state),
            Some(b"Form") if depth >= DEEPEST => self.give_up("its forms are nested too deeply"),
            Some(b"Form") => {
                let dict = stream.dict.clone();
                let mut inner = state.clone();
                if let Some(m) = self.opened.numbers(&dict, b"Matrix").and_then(|v| <[f64; 6]>::try_from(v).ok()) {
                    match Matrix(m).then(&state.ctm) {
                        Some(m) => inner.ctm = m,
                        None => return,
                    }
                }
                if let Some(b) = self.opened.numbers(&dict, b"BBox").and_then(|v| <[f64; 4]>::try_from(v).ok()) {
                    let mut area = Bounds::EMPTY;
                    for spot in inner.ctm.apply_box(b[0], b[1], b[2], b[3]) {
                        area.take_in(spot);
                    }
                    inner.clip = Some(inner.clip.map_or(area, |clip| clip.shared(&area)));
                }
                let own = self.opened.dictionary(&dict, b"Resources").cloned();
                match self.opened.unpack_kept(id) {
                    Ok(content) => self.follow(&content, own.as_ref().unwrap_or(resources), inner, depth + 1),
                    Err(why) => self.note(why),
                }
            }
            _ => self.note("it draws an object that is neither picture nor form".to_owned()),
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
        let face = Face::read(self.opened, &font);
        self.faces.faces.push(face);
        let at = self.faces.faces.len() - 1;
        if let Some(id) = id {
            self.faces.known.insert(id, at);
        }
        Some(at)
    }

    fn show(&mut self, state: &State, pen: &mut Pen, text: Option<&Operand>) {
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
            let glyph = GlyphDrawn {
                from,
                to: to_page.apply(width, state.rise),
                size: (state.size * to_page.scale()).abs(),
                face: at,
                code: value,
                paint: if state.mode % 4 == 1 { state.stroke } else { state.fill },
                shows: state.mode != 3 && state.mode != 7 && state.fill_opacity > 0.0,
                letters: (start, self.out.letters.len() as u32),
            };
            if self.out.glyphs.len() >= MOST_GLYPHS {
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

impl Pen {
    fn next_line(&mut self, dx: f64, dy: f64) {
        if let Some(line) = Matrix([1.0, 0.0, 0.0, 1.0, dx, dy]).then(&self.line) {
            self.line = line;
            self.matrix = line;
        }
    }
    fn on(&mut self, dx: f64) {
        if let Some(matrix) = Matrix([1.0, 0.0, 0.0, 1.0, dx, 0.0]).then(&self.matrix) {
            self.matrix = matrix;
        }
    }
}

fn device(name: &[u8]) -> Option<Space> {
    match name {
        b"DeviceGray" | b"G" => Some(Space::Grey),
        b"DeviceRGB" | b"RGB" => Some(Space::Rgb),
        b"DeviceCMYK" | b"CMYK" => Some(Space::Cmyk),
        _ => None,
    }
}

fn numbers(operands: &[Operand]) -> Vec<f64> {
    operands.iter().take(8).filter_map(Operand::number).collect()
}

fn matrix_of(operands: &[Operand]) -> Option<Matrix> {
    numbers(operands).try_into().ok().map(Matrix)
}

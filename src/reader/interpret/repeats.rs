//! Drawings that stand in many places, such as the symbols of a chart: each is followed once, and set down again wherever it
//! is drawn in the same manner.

use super::super::document::PdfFile;
use super::super::marks::PaintedMark;
use super::super::matrix::{Bounds, Matrix, PagePoint};
use super::super::scan::Operand;
use super::super::state::State;
use super::{Interpreter, MAX_DEPTH, MAX_OPERATORS, Position, TOO_MUCH};
use lopdf::{Dictionary, Object, ObjectId};
use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;

/// Marks of the largest drawing that is kept.
const MAX_MARKS: usize = 256;
/// Manners that one drawing is kept in.
const MAX_MANNERS: usize = 32;

/// What a name stands for that a content draws.
pub(super) enum External<'a> {
    Picture,
    Form(Form<'a>),
    /// Nothing that can be drawn; why.
    Nothing(String),
}

/// A form (ISO 32000-1, 8.10).
pub(super) struct Form<'a> {
    pub id: ObjectId,
    pub matrix: Option<Matrix>,
    pub area: Option<[f64; 4]>,
    /// Its own resources; without them it draws with those of the content that it stands in.
    pub resources: Option<&'a Dictionary>,
}

impl<'a> External<'a> {
    /// What a name of these resources stands for.
    pub fn find(opened: &'a PdfFile, resources: &Dictionary, name: &[u8]) -> External<'a> {
        let listed = opened.dictionary(resources, b"XObject").and_then(|d| d.get(name).ok());
        let id = listed.and_then(|o| o.as_reference().ok());
        let stream = id.and_then(|id| Some((id, opened.document.get_object(id).and_then(Object::as_stream).ok()?)));
        let Some((id, stream)) = stream else {
            let name = String::from_utf8_lossy(name);
            return External::Nothing(format!("it draws `{name}`, which the file does not hold"));
        };
        let dict = &stream.dict;
        match opened.entry(dict, b"Subtype").and_then(|o| o.as_name().ok()) {
            Some(b"Image") => External::Picture,
            Some(b"Form") => External::Form(Form {
                id,
                matrix: opened.numbers(dict, b"Matrix").and_then(|v| v.try_into().ok()).map(Matrix),
                area: opened.numbers(dict, b"BBox").and_then(|v| v.try_into().ok()),
                resources: opened.dictionary(dict, b"Resources"),
            }),
            _ => External::Nothing("it draws an object that is neither picture nor form".to_owned()),
        }
    }
}

/// A form as it was followed once.
pub(super) struct Drawing {
    /// What it was drawn with, and where.
    pub state: State,
    /// What it painted, within its own area only.
    pub marks: Vec<PaintedMark>,
    /// What following it took.
    pub operators: usize,
    pub spots: usize,
    pub content: usize,
}

/// The drawings of a page.
#[derive(Default)]
pub(super) struct Repeats {
    /// By form and by the resources that it draws with.
    drawings: BTreeMap<(ObjectId, usize), Vec<Rc<Drawing>>>,
    /// Forms that are another drawing in every place.
    never: BTreeSet<ObjectId>,
}

impl Repeats {
    /// The drawing of a form that was followed in this manner before.
    pub fn find(&self, id: ObjectId, resources: &Dictionary, state: &State) -> Option<Rc<Drawing>> {
        let known = self.drawings.get(&(id, address(resources)))?;
        known.iter().find(|drawing| drawing.state.draws_like(state)).cloned()
    }

    /// Whether a form may be kept.
    pub fn may_keep(&self, id: ObjectId) -> bool {
        !self.never.contains(&id)
    }

    /// Never again asks for this form.
    pub fn keep_not(&mut self, id: ObjectId) {
        self.never.insert(id);
    }

    /// Keeps a drawing, where it is not too large.
    pub fn keep(&mut self, id: ObjectId, resources: &Dictionary, drawing: Drawing) -> bool {
        let known = self.drawings.entry((id, address(resources))).or_default();
        let fits = drawing.marks.len() <= MAX_MARKS && known.len() < MAX_MANNERS;
        if fits {
            known.push(Rc::new(drawing));
        }
        fits
    }
}

impl Drawing {
    /// How far from where it was drawn first it stands in this state.
    pub fn offset(&self, state: &State) -> PagePoint {
        let (here, first) = (state.ctm.0, self.state.ctm.0);
        PagePoint { x: here[4] - first[4], y: here[5] - first[5] }
    }
}

impl<'a> Interpreter<'a> {
    /// Draws what a name stands for.
    pub(super) fn external(&mut self, operands: &[Operand], at: &mut Position<'a, '_>) {
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
}

/// Resources live as long as their page is read, so that where they lie tells them apart.
fn address(resources: &Dictionary) -> usize {
    std::ptr::from_ref(resources).addr()
}

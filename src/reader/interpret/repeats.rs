//! Drawings that stand in many places, such as the symbols of a chart: each is followed once, and set down again wherever it
//! is drawn in the same manner.

use super::super::document::PdfFile;
use super::super::marks::PaintedMark;
use super::super::matrix::{Matrix, PagePoint};
use super::super::state::State;
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
    pub(crate) id: ObjectId,
    pub(crate) matrix: Option<Matrix>,
    pub(crate) area: Option<[f64; 4]>,
    /// Its own resources; without them it draws with those of the content that it stands in.
    pub(crate) resources: Option<&'a Dictionary>,
}

impl<'a> External<'a> {
    /// What a name of these resources stands for.
    pub(crate) fn find(opened: &'a PdfFile, resources: &Dictionary, name: &[u8]) -> External<'a> {
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
    pub(crate) state: State,
    /// What it painted, within its own area only.
    pub(crate) marks: Vec<PaintedMark>,
    /// What following it took.
    pub(crate) operators: usize,
    pub(crate) spots: usize,
    pub(crate) content: usize,
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
    pub(crate) fn find(&self, id: ObjectId, resources: &Dictionary, state: &State) -> Option<Rc<Drawing>> {
        let known = self.drawings.get(&(id, address(resources)))?;
        known.iter().find(|drawing| drawing.state.draws_like(state)).cloned()
    }

    /// Whether a form may be kept.
    pub(crate) fn may_keep(&self, id: ObjectId) -> bool {
        !self.never.contains(&id)
    }

    /// Never again asks for this form.
    pub(crate) fn keep_not(&mut self, id: ObjectId) {
        self.never.insert(id);
    }

    /// Keeps a drawing, where it is not too large.
    pub(crate) fn keep(&mut self, id: ObjectId, resources: &Dictionary, drawing: Drawing) -> bool {
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
    pub(crate) fn offset(&self, state: &State) -> PagePoint {
        let (here, first) = (state.ctm.0, self.state.ctm.0);
        PagePoint { x: here[4] - first[4], y: here[5] - first[5] }
    }
}

/// Resources live as long as their page is read, so that where they lie tells them apart.
fn address(resources: &Dictionary) -> usize {
    std::ptr::from_ref(resources).addr()
}

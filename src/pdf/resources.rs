//! What pages share: embedded faces, pictures, and the forms of marks. Names are made from order and content, so that
//! the same booklet always gets the same names.

use super::error::PdfError;
use super::fonts::EmbeddedFace;
use super::ink::Inks;
use super::pictures::EmbeddedPicture;
use super::{content, fonts, pictures};
use crate::font::FontBook;
use crate::page::{Booklet, CellInk, Cells, FaceId, Item, Segment};
use std::collections::BTreeMap;

/// Everything that pages refer to by name.
pub(super) struct Resources<'p> {
    /// Where colours go.
    pub(crate) inks: Inks<'p>,
    /// Faces in use.
    pub(crate) faces: BTreeMap<FaceId, EmbeddedFace>,
    /// Pictures in use, by their index in the booklet.
    pub(crate) pictures: BTreeMap<usize, EmbeddedPicture>,
    /// Marks by content.
    pub(crate) marks: Marks,
    /// All faces.
    pub(crate) book: &'p FontBook,
}

/// The forms of marks, each kept once for the whole document.
#[derive(Default)]
pub(super) struct Marks {
    by_content: BTreeMap<Vec<u8>, usize>,
    forms: Vec<MarkForm>,
}

/// The form of one mark.
pub(super) struct MarkForm {
    /// Name in the resources.
    pub(crate) resource: String,
    /// What it draws.
    pub(crate) content: Vec<u8>,
    /// Left, top, right and bottom of what it draws.
    pub(crate) bounds: [f64; 4],
}

impl Marks {
    /// Takes in the mark of an ink, if it has one.
    fn add(&mut self, ink: &CellInk, inks: Inks<'_>) {
        if ink.mark.is_empty() {
            return;
        }
        let content = content::mark_form(ink, inks);
        let next = self.forms.len();
        if self.by_content.contains_key(&content) {
            return;
        }
        self.by_content.insert(content.clone(), next);
        self.forms.push(MarkForm { resource: format!("M{next}"), content, bounds: bounds(&ink.mark) });
    }
    /// Resource names of the marks of a grid's inks.
    pub(crate) fn names(&self, cells: &Cells, inks: Inks<'_>) -> Vec<Option<String>> {
        let name = |ink: &CellInk| {
            let index = self.by_content.get(&content::mark_form(ink, inks))?;
            self.forms.get(*index).map(|form| form.resource.clone())
        };
        cells.inks.iter().map(name).collect()
    }
    /// All of them.
    pub(crate) fn iter(&self) -> impl Iterator<Item = &MarkForm> {
        self.forms.iter()
    }
}

/// The box round all points and control points, which holds the outline too.
fn bounds(outline: &[Segment]) -> [f64; 4] {
    let points = outline.iter().flat_map(|segment| segment.points()).map(|p| (p.x.to_pt(), p.y.to_pt()));
    let bounds =
        points.map(|(x, y)| [x, y, x, y]).reduce(|[l, t, r, b], [x, y, ..]| [l.min(x), t.min(y), r.max(x), b.max(y)]);
    bounds.unwrap_or_default()
}

/// Gathers what all pages use.
pub(super) fn gather<'p>(booklet: &Booklet, faces: &'p FontBook, inks: Inks<'p>) -> Result<Resources<'p>, PdfError> {
    let mut marks = Marks::default();
    let mut pictures = BTreeMap::new();
    for placed in booklet.pages.iter().flat_map(|page| &page.frames).flat_map(|frame| &frame.items) {
        match &placed.item {
            Item::Cells(cells) => cells.inks.iter().for_each(|ink| marks.add(ink, inks)),
            Item::Picture(picture) => {
                if let std::collections::btree_map::Entry::Vacant(e) = pictures.entry(picture.picture) {
                    let file =
                        booklet.pictures.get(picture.picture).ok_or(PdfError::UnknownPicture(picture.picture))?;
                    e.insert(pictures::embed(picture.picture, file, inks)?);
                }
            }
            Item::Text(_) | Item::Shape(_) | Item::Drawing(_) | Item::Tick(_) | Item::Blank(_) | Item::Link(_) => {}
        }
    }
    Ok(Resources { inks, faces: fonts::embed(booklet, faces)?, pictures, marks, book: faces })
}

//! A document that is being finished, and what everything that is added to it is written with.

use super::error::PdfError;
use super::pack;
use super::place::PagePlace;
use crate::page::{Booklet, Mark};
use lopdf::{Document, Object, ObjectId};

/// An annotation that has been added to a page.
pub(super) struct Annotation<'a> {
    /// Page, from 0.
    pub(crate) page: usize,
    /// The annotation itself.
    pub(crate) id: ObjectId,
    /// Where it belongs.
    pub(crate) mark: Mark,
    /// Field or link.
    pub(crate) kind: AnnotationKind,
    /// What a screen reader says.
    pub(crate) label: &'a str,
}

/// What is being finished.
pub(super) struct Finisher<'a> {
    /// The document as lopdf has it.
    pub(crate) document: Document,
    /// Objects that are written already.
    pub(crate) written: pack::WrittenObjects,
    /// The pages in order.
    pub(crate) pages: Vec<ObjectId>,
    /// All annotations in the order in which they were made.
    pub(crate) annotations: Vec<Annotation<'a>>,
    /// The key of the first annotation in the structure's parent tree; `None` where there is no structure.
    pub(crate) first_key: Option<usize>,
}

impl Finisher<'_> {
    /// The key of the next annotation in the parent tree.
    pub(crate) fn next_key(&self) -> Option<i64> {
        self.first_key.map(|first| (first + self.annotations.len()) as i64)
    }
}

/// The two kinds of annotation that are written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum AnnotationKind {
    /// A widget of a field.
    Field,
    /// A link.
    Link,
}

/// Numbers as an array.
pub(super) fn numbers(values: impl IntoIterator<Item = f64>) -> Object {
    Object::Array(values.into_iter().map(real).collect())
}

/// A number with at most four decimals; whole numbers without a point.
pub(super) fn real(value: f64) -> Object {
    let value = (value * 10_000.0).round() / 10_000.0;
    if value.fract() == 0.0 { Object::Integer(value as i64) } else { Object::Real(value as f32) }
}

/// A destination: the top of the page's part that begins at a height, at the reader's own zoom.
pub(super) fn destination(
    booklet: &Booklet,
    pages: &[ObjectId],
    page: usize,
    y: crate::geom::Length,
) -> Result<Object, PdfError> {
    let (Some(layout), Some(&id)) = (booklet.pages.get(page), pages.get(page)) else {
        return Err(PdfError::UnknownPage(page));
    };
    let place = PagePlace::on(layout);
    Ok(Object::Array(vec![id.into(), "XYZ".into(), real(place.left), real(place.height(y)), Object::Null]))
}

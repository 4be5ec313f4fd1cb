//! A page as it is drawn, before it is part of a document.

use crate::page::{Blank, Link, Mark, NodeId, Tick};
use lopdf::Stream;
use std::collections::BTreeMap;

/// A page as it is drawn.
pub(super) struct DrawnPage<'a> {
    /// The page's content while it is drawn.
    pub(crate) content: Vec<u8>,
    /// The same as it is written, once all of it is drawn.
    pub(crate) stream: Stream,
    /// What is drawn before it, and on other pages in the same way.
    pub(crate) again: Vec<u8>,
    /// Each piece of marked content, by its id.
    pub(crate) marked: Vec<MarkedContent>,
    /// Fields in drawing order.
    pub(crate) ticks: Vec<(Mark, &'a Tick)>,
    /// Lines to be filled in, in drawing order.
    pub(crate) blanks: Vec<(Mark, &'a Blank)>,
    /// Links in drawing order.
    pub(crate) links: Vec<(Mark, &'a Link)>,
    /// What is drawn for each node itself, in PDF's coordinates: left, bottom, right, top.
    pub(crate) extents: BTreeMap<NodeId, [f64; 4]>,
}

/// A piece of marked content: whose it is, and the words to be read instead of what it draws.
pub(super) struct MarkedContent {
    /// The node it belongs to.
    pub(crate) node: NodeId,
    /// Instead of what is drawn.
    pub(crate) words: Option<String>,
}

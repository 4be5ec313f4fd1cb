//! The logical structure as a structure tree (ISO 32000-1, 14.7 and 14.8).
//!
//! Reading order is the order of nodes, never that of drawing. Nodes with nothing in them are left out; fields and
//! links get an element of their own where their node is something else.
//!
//! Long, and one subject: one tree, and what each kind of element needs.

use super::drawn::DrawnPage;
use super::error::PdfError;
use super::finisher::{Annotation, AnnotationKind, Finisher, numbers};
use super::metadata::{spoken, text};
use super::pack::{WrittenObjects, reference};
use super::place::union;
use crate::page::{Booklet, Mark, Node, NodeId, Role, Structure};
use lopdf::{Dictionary, Document, Object, ObjectId, dictionary};
use std::collections::{BTreeMap, BTreeSet};

/// The standard structure type of a role.
pub(super) fn standard_type(role: Role) -> &'static str {
    match role {
        Role::Document => "Document",
        Role::Section => "Sect",
        Role::Heading(1) => "H1",
        Role::Heading(2) => "H2",
        Role::Heading(3) => "H3",
        Role::Heading(4) => "H4",
        Role::Heading(5) => "H5",
        Role::Heading(_) => "H6",
        Role::Paragraph => "P",
        Role::Note => "Note",
        Role::Span => "Span",
        Role::List(_) => "L",
        Role::ListItem => "LI",
        Role::ListLabel => "Lbl",
        Role::ListBody => "LBody",
        Role::Table => "Table",
        Role::TableRow => "TR",
        Role::ColumnHead | Role::RowHead => "TH",
        Role::TableCell => "TD",
        Role::Figure => "Figure",
        Role::Caption => "Caption",
        Role::Link => "Link",
        Role::Form => "Form",
        Role::Contents => "TOC",
        Role::ContentsItem => "TOCI",
    }
}

/// What hangs on one node.
#[derive(Default)]
struct Content<'a> {
    /// Page, marked content id, and the words to be read instead.
    marked: Vec<(usize, usize, Option<&'a str>)>,
    /// Index into the annotations.
    annotations: Vec<usize>,
}

/// Where figures stand: page and box, `None` where one stands on several pages.
type FigureBoxes = BTreeMap<NodeId, Option<(usize, [f64; 4])>>;

struct Tree<'a> {
    structure: &'a Structure,
    document: &'a mut Document,
    written: &'a mut WrittenObjects,
    pages: &'a [ObjectId],
    annotations: &'a [Annotation<'a>],
    content: BTreeMap<NodeId, Content<'a>>,
    /// Nodes with something in them or below them.
    filled: BTreeSet<NodeId>,
    boxes: FigureBoxes,
    /// The element of each piece of marked content, by page and id.
    parents: Vec<Vec<Option<ObjectId>>>,
    /// The element of each annotation.
    owners: Vec<Option<ObjectId>>,
    /// Elements that have an identifier, in the order of these.
    named: Vec<(String, ObjectId)>,
}

/// Adds the structure tree and all references to it.
pub(super) fn add(work: &mut Finisher<'_>, booklet: &Booklet, drawn: &[DrawnPage<'_>]) -> Result<(), PdfError> {
    let structure = &booklet.structure;
    let mut content: BTreeMap<NodeId, Content<'_>> = BTreeMap::new();
    for (page, drawn) in drawn.iter().enumerate() {
        for (id, marked) in drawn.marked.iter().enumerate() {
            let words = marked.words.as_deref();
            content.entry(marked.node).or_default().marked.push((page, id, words));
        }
    }
    for (index, annotation) in work.annotations.iter().enumerate() {
        match annotation.mark {
            Mark::Node(node) => content.entry(node).or_default().annotations.push(index),
            Mark::Artifact(_) => return Err(PdfError::Unreachable(annotation.label.to_owned())),
        }
    }
    let mut filled = BTreeSet::new();
    for node in content.keys() {
        let mut at = Some(*node);
        while let Some(id) = at
            && filled.insert(id)
        {
            at = structure.get(id).parent;
        }
    }
    let owners = vec![None; work.annotations.len()];
    let mut tree = Tree {
        structure,
        document: &mut work.document,
        written: &mut work.written,
        pages: &work.pages,
        annotations: &work.annotations,
        content,
        filled,
        boxes: boxes(structure, drawn),
        parents: drawn.iter().map(|drawn| vec![None; drawn.marked.len()]).collect(),
        owners,
        named: Vec::new(),
    };
    let root = tree.document.new_object_id();
    let kids: Vec<Object> = match structure.root() {
        Some(node) => tree.element(node, root).into_iter().map(Object::from).collect(),
        None => Vec::new(),
    };
    tree.finish(root, kids)
}

/// The boxes of all figures: whatever is drawn for them or for anything below them.
fn boxes(structure: &Structure, drawn: &[DrawnPage<'_>]) -> FigureBoxes {
    let mut boxes = FigureBoxes::new();
    for (page, drawn) in drawn.iter().enumerate() {
        for (node, extent) in &drawn.extents {
            let mut at = Some(*node);
            while let Some(id) = at {
                let node = structure.get(id);
                if node.role == Role::Figure {
                    boxes
                        .entry(id)
                        .and_modify(|known| {
                            *known = match *known {
                                Some((other, known)) if other == page => Some((page, union(known, *extent))),
                                Some(_) | None => None,
                            }
                        })
                        .or_insert(Some((page, *extent)));
                }
                at = node.parent;
            }
        }
    }
    boxes
}

impl Tree<'_> {
    /// A cell is kept even when it is empty, as long as its row is not: a row must not lose a column.
    fn keeps(&self, id: NodeId, node: &Node) -> bool {
        let cell = matches!(node.role, Role::TableCell | Role::ColumnHead | Role::RowHead);
        self.filled.contains(&id) || cell && node.parent.is_some_and(|parent| self.filled.contains(&parent))
    }

    /// Adds the element of a node and all below it; `None` where there is nothing to add.
    fn element(&mut self, id: NodeId, parent: ObjectId) -> Option<ObjectId> {
        let structure = self.structure;
        let node = structure.get(id);
        if !self.keeps(id, node) {
            return None;
        }
        let element = self.document.new_object_id();
        let own = self.content.remove(&id).unwrap_or_default();
        if let Some(index) = self.lone_field(node, &own) {
            self.around(element, parent, index);
            return Some(element);
        }
        let mut dict = dictionary! { "Type" => "StructElem", "S" => standard_type(node.role), "P" => parent };
        self.attributes(&mut dict, id, node);
        if node.role == Role::Note {
            // Notes are told apart by an identifier (ISO 14289-1, 7.9); those of one file have as many digits.
            let name = format!("note-{:06}", self.named.len() + 1);
            dict.set("ID", text(&name));
            self.named.push((name, element));
        }
        // The page of most of an element's content is named once, at the element.
        let page = own.marked.first().map(|(page, ..)| *page);
        if let Some(page) = page {
            dict.set("Pg", self.pages[page]);
        }
        let mut kids: Vec<Object> = Vec::new();
        for (on, id, words) in own.marked {
            kids.push(self.piece(element, page, on, id, words));
        }
        let mut taken = false;
        for index in own.annotations {
            let wanted = role_of(self.annotations[index].kind);
            // One field to a Form element; a link may have several areas, one to a line.
            if node.role == wanted && !(taken && wanted == Role::Form) {
                taken = true;
                self.owners[index] = Some(element);
                let annotation = &self.annotations[index];
                kids.push(Object::Dictionary(dictionary! {
                    "Type" => "OBJR",
                    "Pg" => self.pages[annotation.page],
                    "Obj" => annotation.id,
                }));
            } else {
                let inner = self.document.new_object_id();
                self.around(inner, element, index);
                kids.push(inner.into());
            }
        }
        for child in &node.children {
            // An entry of a list of contents holds references, and these hold the links (ISO 32000-1, table 333).
            let refers = node.role == Role::ContentsItem && structure.get(*child).role == Role::Link;
            let parent = if refers { self.document.new_object_id() } else { element };
            let Some(child) = self.element(*child, parent) else { continue };
            kids.push(if refers { parent.into() } else { child.into() });
            if refers {
                let dict = dictionary! { "Type" => "StructElem", "S" => "Reference", "P" => element, "K" => child };
                self.document.set_object(parent, dict);
            }
        }
        match kids.len() {
            0 => {}
            1 => dict.set("K", kids.remove(0)),
            _ => dict.set("K", kids),
        }
        self.document.set_object(element, dict);
        Some(element)
    }

    /// A piece of an element's own content, as its kid; with words of its own it becomes an element of its own.
    fn piece(&mut self, element: ObjectId, page: Option<usize>, on: usize, id: usize, words: Option<&str>) -> Object {
        let owner = match words {
            Some(words) => self.document.add_object(dictionary! {
                "Type" => "StructElem",
                "S" => standard_type(Role::Span),
                "P" => element,
                "Pg" => self.pages[on],
                "ActualText" => spoken(words),
                "K" => id as i64,
            }),
            None => element,
        };
        self.parents[on][id] = Some(owner);
        if words.is_some() {
            owner.into()
        } else if Some(on) == page {
            Object::Integer(id as i64)
        } else {
            Object::Dictionary(dictionary! { "Type" => "MCR", "Pg" => self.pages[on], "MCID" => id as i64 })
        }
    }

    /// The field of a node that holds one field and nothing else, as most of those of a chart do.
    fn lone_field(&self, node: &Node, own: &Content<'_>) -> Option<usize> {
        let bare = node.role == Role::Form
            && node.children.is_empty()
            && own.marked.is_empty()
            && node.alt.is_none()
            && node.actual.is_none()
            && node.language.is_none();
        match own.annotations.as_slice() {
            [index] if bare && self.annotations[*index].kind == AnnotationKind::Field => Some(*index),
            _ => None,
        }
    }

    /// Writes an element round one annotation.
    fn around(&mut self, element: ObjectId, parent: ObjectId, index: usize) {
        let annotation = &self.annotations[index];
        self.owners[index] = Some(element);
        let (role, page) = (standard_type(role_of(annotation.kind)), self.pages[annotation.page]);
        self.written.add(element, |out| {
            out.extend_from_slice(b"<</Type/StructElem/S/");
            out.extend_from_slice(role.as_bytes());
            out.extend_from_slice(b"/P");
            reference(out, parent);
            out.extend_from_slice(b"/K<</Type/OBJR/Pg");
            reference(out, page);
            out.extend_from_slice(b"/Obj");
            reference(out, annotation.id);
            out.extend_from_slice(b">>>>");
        });
    }

    /// Words instead of what is drawn, language, and the attributes that a role asks for.
    fn attributes(&self, dict: &mut Dictionary, id: NodeId, node: &Node) {
        for (key, value) in [("Alt", &node.alt), ("ActualText", &node.actual)] {
            if let Some(value) = value {
                dict.set(key, spoken(value));
            }
        }
        if let Some(language) = &node.language {
            dict.set("Lang", text(language));
        }
        let attributes = match node.role {
            Role::ColumnHead => Some(dictionary! { "O" => "Table", "Scope" => "Column" }),
            Role::RowHead => Some(dictionary! { "O" => "Table", "Scope" => "Row" }),
            Role::List(numbered) => {
                Some(dictionary! { "O" => "List", "ListNumbering" => self.numbering(node, numbered) })
            }
            Role::Figure => {
                let mut layout = dictionary! { "O" => "Layout", "Placement" => "Block" };
                if let Some(Some((_, extent))) = self.boxes.get(&id) {
                    layout.set("BBox", numbers(*extent));
                }
                Some(layout)
            }
            Role::Document
            | Role::Section
            | Role::Heading(_)
            | Role::Paragraph
            | Role::Note
            | Role::Span
            | Role::ListItem
            | Role::ListLabel
            | Role::ListBody
            | Role::Table
            | Role::TableRow
            | Role::TableCell
            | Role::Caption
            | Role::Link
            | Role::Form
            | Role::Contents
            | Role::ContentsItem => None,
        };
        if let Some(attributes) = attributes {
            dict.set("A", attributes);
        }
    }

    /// How a list is numbered (ISO 32000-1, table 347): by numbers, by boxes, by bullets, or not at all.
    fn numbering(&self, list: &Node, numbered: bool) -> &'static str {
        let labels = || {
            list.children
                .iter()
                .flat_map(|item| &self.structure.get(*item).children)
                .filter(|part| self.structure.get(**part).role == Role::ListLabel && self.filled.contains(part))
        };
        let boxed = |label: &NodeId| {
            let below = &self.structure.get(*label).children;
            below.iter().any(|child| self.structure.get(*child).role == Role::Form)
        };
        if labels().next().is_none() {
            "None"
        } else if numbered {
            "Decimal"
        } else if labels().any(boxed) {
            "Square"
        } else {
            "Disc"
        }
    }

    /// The tree's root, the way back from content to elements, and the marks of a tagged file.
    fn finish(self, root: ObjectId, kids: Vec<Object>) -> Result<(), PdfError> {
        let mut numbers: Vec<Object> = Vec::new();
        let mut next = 0_i64;
        for (page, parents) in self.pages.iter().zip(&self.parents) {
            let list: Vec<Object> = parents.iter().map(|parent| parent.map_or(Object::Null, Object::from)).collect();
            let dict = self.document.get_dictionary_mut(*page)?;
            dict.set("Tabs", "S");
            if list.is_empty() {
                continue;
            }
            dict.set("StructParents", next);
            let list = self.document.add_object(list);
            numbers.push(next.into());
            numbers.push(list.into());
            next += 1;
        }
        // In the order in which annotations got their keys when they were made.
        for owner in &self.owners {
            numbers.push(next.into());
            numbers.push(owner.map_or(Object::Null, Object::from));
            next += 1;
        }
        let parent_tree = self.document.add_object(dictionary! { "Nums" => numbers });
        let mut dict = dictionary! {
            "Type" => "StructTreeRoot",
            "ParentTree" => parent_tree,
            "ParentTreeNextKey" => next,
        };
        if !kids.is_empty() {
            dict.set("K", kids);
        }
        if !self.named.is_empty() {
            let names = self.named.into_iter().flat_map(|(name, element)| [text(&name), element.into()]).collect();
            let tree = self.document.add_object(dictionary! { "Names" => Object::Array(names) });
            dict.set("IDTree", tree);
        }
        self.document.set_object(root, dict);
        let catalogue = self.document.catalog_mut()?;
        catalogue.set("StructTreeRoot", root);
        catalogue.set("MarkInfo", dictionary! { "Marked" => true });
        Ok(())
    }
}

/// The role of the element that holds an annotation.
fn role_of(kind: AnnotationKind) -> Role {
    match kind {
        AnnotationKind::Field => Role::Form,
        AnnotationKind::Link => Role::Link,
    }
}

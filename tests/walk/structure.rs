//! The structure tree: read into elements of our own, checked, and held against the content.

use super::catalogue::rectangle;
use super::{Id, Walk, kids, name, reference, string};
use hayro_syntax::object::{Array, Dict, Object};
use std::collections::BTreeSet;

/// An element as it is read.
#[derive(Default)]
pub(super) struct Element {
    pub role: String,
    pub alt: Option<String>,
    pub actual: Option<String>,
    pub kids: Vec<Kid>,
    pub scope: String,
    pub numbering: String,
}

/// What an element holds.
pub(super) enum Kid {
    /// Words of the page.
    Text(String),
    /// A link or field, by its description.
    Annotation(String),
    Element(Element),
}

impl Element {
    /// Elements right below.
    pub fn elements(&self) -> impl Iterator<Item = &Element> {
        self.kids.iter().filter_map(|kid| match kid {
            Kid::Element(element) => Some(element),
            Kid::Text(_) | Kid::Annotation(_) => None,
        })
    }
    /// Roles right below.
    pub fn roles(&self) -> Vec<&str> {
        self.elements().map(|element| element.role.as_str()).collect()
    }
    /// Words of the element and all below it, as they are spoken.
    pub fn words(&self) -> String {
        if let Some(words) = self.actual.as_ref().or(self.alt.as_ref()) {
            return words.clone();
        }
        self.kids
            .iter()
            .map(|kid| match kid {
                Kid::Text(text) => text.clone(),
                Kid::Annotation(_) => String::new(),
                Kid::Element(element) => element.words(),
            })
            .collect()
    }
}

/// The standard types that our writer has a use for (PDF 14.8.4); every other one would be looked at by somebody.
const STANDARD: [&str; 24] = [
    "Document",
    "Note",
    "Sect",
    "H1",
    "H2",
    "H3",
    "H4",
    "P",
    "Span",
    "L",
    "LI",
    "Lbl",
    "LBody",
    "Table",
    "TR",
    "TH",
    "TD",
    "Figure",
    "Caption",
    "Link",
    "Form",
    "TOC",
    "TOCI",
    "Reference",
];

impl<'a> Walk<'a> {
    pub(super) fn structure(&mut self) {
        let Some(root) = self.catalogue.get::<Dict<'a>>("StructTreeRoot") else {
            return self.out.fault("no-structure", "");
        };
        self.out.check(name(&root, "Type") == "StructTreeRoot", "no-structure", "its root");
        self.out.check(!root.contains_key("RoleMap"), "role", "a role map");
        self.parent_tree(&root);
        let ids = root.get::<Dict<'a>>("IDTree").and_then(|tree| tree.get::<Array<'a>>("Names"));
        let ids: Vec<Object<'a>> = ids.iter().flat_map(|list| list.iter::<Object<'a>>()).collect();
        for pair in ids.chunks(2) {
            if let [Object::String(id), Object::Dict(_)] = pair {
                self.named.insert(super::decoded(id));
            }
        }
        let root_id = root.obj_id().map(super::key).unwrap_or_default();
        let mut tree = Element { role: "StructTreeRoot".to_owned(), ..Element::default() };
        for kid in kids(&root) {
            match kid {
                Object::Dict(element) => tree.kids.push(Kid::Element(self.element(&element, root_id, None, 0))),
                _ => self.out.fault("element", "no element below the root"),
            }
        }
        self.out.check(tree.roles() == ["Document"], "no-structure", format!("{:?}", tree.roles()));
        let mut headings = Vec::new();
        self.checked(&tree, None, &mut headings);
        self.owned();
        self.out.reading = super::reading::reading(&tree);
        spoken(&tree, &mut self.out.spoken);
    }

    /// One element and all below it.
    fn element(&mut self, dict: &Dict<'a>, parent: Id, page: Option<Id>, depth: usize) -> Element {
        let role = name(dict, "S");
        let id = dict.obj_id().map(super::key).unwrap_or_default();
        let typed = name(dict, "Type") == "StructElem" && id != Id::default();
        self.out.check(typed && reference(dict, "P") == Some(parent), "element", role.clone());
        let language = string(dict, "Lang");
        if let Some(language) = &language {
            self.language_tag(language);
        }
        let attributes = dict.get::<Dict<'a>>("A").unwrap_or_default();
        if role == "Figure" {
            let boxed = rectangle(&attributes, "BBox").is_some_and(|[l, b, r, t]| r > l && t > b);
            self.out.check(boxed, "figure-box", "");
        }
        if role == "Note" {
            let id = string(dict, "ID").unwrap_or_default();
            let fresh = self.named.contains(&id) && self.notes.insert(id.clone());
            self.out.check(fresh, "note-id", id);
        }
        let mut element = Element {
            alt: string(dict, "Alt"),
            actual: string(dict, "ActualText"),
            scope: name(&attributes, "Scope"),
            numbering: name(&attributes, "ListNumbering"),
            kids: Vec::new(),
            role,
        };
        if depth > 60 {
            self.out.fault("element", "too deep");
            return element;
        }
        let page = reference(dict, "Pg").or(page);
        for kid in kids(dict) {
            match kid {
                Object::Number(number) => {
                    let text = self.content(page, number.as_i64() as i32, id);
                    element.kids.push(Kid::Text(text));
                }
                Object::Dict(dict) if name(&dict, "Type") == "MCR" => {
                    let on = reference(&dict, "Pg").or(page);
                    let text = self.content(on, dict.get::<i32>("MCID").unwrap_or(-1), id);
                    element.kids.push(Kid::Text(text));
                }
                Object::Dict(dict) if name(&dict, "Type") == "OBJR" => {
                    let Some(object) = reference(&dict, "Obj") else { continue };
                    let twice = self.referred.insert(object, (id, element.role.clone())).is_some();
                    self.out.check(!twice, "owner", "an annotation of two elements");
                    let label = self.labels.get(&object).cloned().unwrap_or_default();
                    element.kids.push(Kid::Annotation(label));
                }
                Object::Dict(dict) => {
                    let below = self.element(&dict, id, page, depth + 1);
                    element.kids.push(Kid::Element(below));
                }
                _ => self.out.fault("element", format!("a kid of {}", element.role)),
            }
        }
        if let Some(language) = language {
            self.out.foreign.push((language, element.words()));
        }
        element
    }

    /// Marked content becomes an element's own.
    fn content(&mut self, page: Option<Id>, mcid: i32, owner: Id) -> String {
        let Some(page) = page else {
            self.out.fault("owner", "content without a page");
            return String::new();
        };
        let twice = self.owners.insert((page, mcid), owner).is_some();
        self.out.check(!twice, "owner", format!("{page:?} {mcid} has two elements"));
        // Content is numbered as it is drawn.
        let before = self.last_read.insert(page, mcid);
        let in_order = before.is_none_or(|before| before < mcid);
        self.out.check(twice || in_order, "reading-order", format!("{page:?} {mcid} after {before:?}"));
        let text = self.text.get(&(page, mcid)).cloned();
        self.out.check(text.is_some(), "owner", format!("{page:?} {mcid} is not there"));
        text.unwrap_or_default()
    }

    /// What an element must have, and what may stand in it.
    fn checked(&mut self, element: &Element, parent: Option<&str>, headings: &mut Vec<u32>) {
        let role = element.role.as_str();
        let root = parent.is_none();
        self.out.check(root || STANDARD.contains(&role), "role", role);
        self.nesting(element, parent);
        let words = |words: &Option<String>| words.as_ref().is_some_and(|words| !words.trim().is_empty());
        match role {
            "Figure" => self.out.check(words(&element.alt), "figure-words", ""),
            "Formula" => self.out.check(words(&element.alt), "formula-words", ""),
            "L" => {
                let labels = element.elements().flat_map(Element::elements).any(|part| part.role == "Lbl");
                let held = !element.numbering.is_empty() && (element.numbering != "None") == labels;
                self.out.check(held, "list-numbering", element.numbering.clone());
            }
            "TH" => {
                let known = ["Row", "Column", "Both"].contains(&element.scope.as_str());
                self.out.check(known, "scope", "");
            }
            "Table" => self.table(element),
            _ => {}
        }
        let cell = matches!(role, "TD" | "TH");
        let silent = element.kids.is_empty() && !words(&element.alt) && !words(&element.actual);
        self.out.check(root || cell || !silent, "empty-element", role);
        self.out.check(role != "H", "heading-mixed", "");
        if let Some(level) = role.strip_prefix('H').and_then(|level| level.parse::<u32>().ok()) {
            let before = headings.last().copied().unwrap_or(0);
            self.out.check(level <= before + 1, "heading-skipped", element.words());
            headings.push(level);
            self.out.check(!element.words().trim().is_empty(), "empty-element", role);
        }
        for below in element.elements() {
            self.checked(below, Some(role), headings);
        }
    }

    fn nesting(&mut self, element: &Element, parent: Option<&str>) {
        let role = element.role.as_str();
        let expected: &[&str] = match role {
            "Document" => &["StructTreeRoot"],
            "LI" => &["L"],
            "Lbl" => &["LI", "Note"],
            "LBody" => &["LI"],
            "TR" => &["Table"],
            "TH" | "TD" => &["TR"],
            "TOCI" => &["TOC"],
            "Reference" => &["TOCI"],
            _ => &[],
        };
        let stands = expected.is_empty() || parent.is_some_and(|parent| expected.contains(&parent));
        self.out.check(stands, "nesting", format!("{role} in {parent:?}"));
        let allowed: Option<&[&str]> = match role {
            "L" => Some(&["LI", "L", "Caption"]),
            "LI" => Some(&["Lbl", "LBody"]),
            "Note" => Some(&["Lbl", "P"]),
            "Table" => Some(&["TR", "Caption"]),
            "TR" => Some(&["TH", "TD"]),
            "TOC" => Some(&["TOCI", "TOC", "Caption"]),
            // An entry does not hold a link itself (PDF, table 333).
            "TOCI" => Some(&["Reference", "Lbl", "P", "TOC"]),
            // Headings and paragraphs hold no blocks.
            "H1" | "H2" | "H3" | "H4" | "P" | "Span" => Some(&["Span", "Link", "Form"]),
            _ => None,
        };
        for below in element.elements() {
            let fits = allowed.is_none_or(|allowed| allowed.contains(&below.role.as_str()));
            self.out.check(fits, "nesting", format!("{} in {role}", below.role));
        }
        // Structure that groups holds no words of its own.
        let groups = matches!(role, "StructTreeRoot" | "Document" | "Sect" | "L" | "LI" | "Table" | "TR" | "TOC");
        let bare = element.kids.iter().all(|kid| matches!(kid, Kid::Element(_)));
        self.out.check(!groups || bare, "nesting", format!("words in {role}"));
        let roles = element.roles();
        let captions: Vec<usize> =
            roles.iter().enumerate().filter(|(_, r)| **r == "Caption").map(|(at, _)| at).collect();
        let placed = match (role, captions.as_slice()) {
            (_, []) => true,
            ("Figure" | "Table", [at]) => *at == 0 || *at + 1 == roles.len(),
            ("L" | "TOC", [at]) => *at == 0,
            _ => false,
        };
        self.out.check(placed, "caption", format!("in {role}"));
    }

    fn parent_tree(&mut self, root: &Dict<'a>) {
        let list = root.get::<Dict<'a>>("ParentTree").and_then(|tree| tree.get::<Array<'a>>("Nums"));
        let items: Vec<Object<'a>> = list.iter().flat_map(|list| list.iter::<Object<'a>>()).collect();
        let mut before = -1;
        for pair in items.chunks(2) {
            if let [Object::Number(number), value] = pair {
                let number = number.as_i64() as i32;
                self.out.check(number > before, "owner", "the parent tree is out of order");
                before = number;
                self.parents.insert(number, value.clone());
            }
        }
        let next = root.get::<i32>("ParentTreeNextKey").unwrap_or(i32::MAX);
        self.out.check(next > before, "owner", "the parent tree's next key");
    }

    /// The way back from content to elements says the same as the way down, and nothing is left over.
    fn owned(&mut self) {
        let mut found: BTreeSet<(Id, i32)> = BTreeSet::new();
        for (id, page) in self.pages.clone() {
            let Some(number) = page.get::<i32>("StructParents") else { continue };
            let Some(Object::Array(list)) = self.parents.get(&number).cloned() else {
                self.out.fault("owner", format!("{number} is not in the parent tree"));
                continue;
            };
            for (mcid, element) in (0..).zip(list.iter::<Object<'a>>()) {
                let owner = match element {
                    Object::Dict(element) => element.obj_id().map(super::key),
                    _ => None,
                };
                let same = owner == self.owners.get(&(id, mcid)).copied();
                self.out.check(same, "owner", format!("{id:?} {mcid}"));
                found.insert((id, mcid));
            }
        }
        // Content with an id that nobody owns would be passed over in silence.
        let lost: Vec<_> = self.text.keys().filter(|place| !found.contains(place)).copied().collect();
        for (page, mcid) in lost {
            self.out.fault("owner", format!("{page:?} {mcid} is nobody's"));
        }
    }
}

/// What a reader would say, piece by piece.
fn spoken(element: &Element, out: &mut Vec<(String, String)>) {
    if let Some(words) = &element.actual {
        return out.push((element.role.clone(), words.clone()));
    }
    let mut said = String::new();
    for kid in &element.kids {
        match kid {
            Kid::Text(text) => said.push_str(text),
            Kid::Annotation(_) => {}
            Kid::Element(below) => {
                if !said.is_empty() {
                    out.push((element.role.clone(), std::mem::take(&mut said)));
                }
                spoken(below, out);
            }
        }
    }
    if !said.is_empty() {
        out.push((element.role.clone(), said));
    }
}

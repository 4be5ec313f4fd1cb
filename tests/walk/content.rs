//! Content streams: operators, marked content, colours, text, and what they paint with.

use super::fonts::FontTables;
use super::{Id, Walk, name};
use hayro_syntax::content::UntypedIter;
use hayro_syntax::object::{Dict, Name, Object, Stream};
use std::collections::BTreeSet;
use std::rc::Rc;

/// All operators (PDF, table A.1) but those of Type 3 fonts, PostScript and compatibility, which nobody needs here.
const OPERATORS: &str = " b B b* B* BDC BI BMC BT c cm CS cs d Do DP EI EMC ET f F f* G g gs h i ID j J K k l m M MP n q Q re RG \
                         rg ri s S SC sc SCN scn sh T* Tc Td TD Tf Tj TJ TL Tm Tr Ts Tw Tz v w W W* y ' \" ";
/// Most saved states within each other (A 6.1.13).
const MAX_SAVED: usize = 28;

/// An open stretch of marked content.
struct Mark {
    artifact: bool,
    id: Option<i32>,
    words: bool,
    language: Option<String>,
}

/// A content stream while it is read.
struct Reading<'a> {
    /// The page, for a page's own content.
    page: Option<Id>,
    place: String,
    resources: Dict<'a>,
    open: Vec<Mark>,
    font: Option<Rc<FontTables>>,
    saved: Vec<Option<Rc<FontTables>>>,
    seen: BTreeSet<i32>,
    drawn: String,
}

impl<'a> Walk<'a> {
    /// The content of all pages.
    pub(super) fn contents(&mut self) {
        for (index, page) in self.pdf.pages().iter().enumerate() {
            let (id, dict) = self.pages[index].clone();
            self.group(&dict);
            let own = dict.contains_key("Resources");
            self.out.check(own, "resource", format!("page {} has no resources of its own", index + 1));
            let content = page.page_stream().unwrap_or_default().to_vec();
            self.stream(&content, dict.get::<Dict<'a>>("Resources"), Some(id), &format!("page {}", index + 1));
        }
    }

    /// One content stream; `page` is given for a page's own.
    pub(super) fn stream(&mut self, content: &[u8], resources: Option<Dict<'a>>, page: Option<Id>, place: &str) {
        let mut reading = Reading {
            page,
            place: place.to_owned(),
            resources: resources.unwrap_or_default(),
            open: Vec::new(),
            font: None,
            saved: Vec::new(),
            seen: BTreeSet::new(),
            drawn: String::new(),
        };
        let mut operators = UntypedIter::new(content);
        while let Some(instruction) = operators.next() {
            let operands: Vec<Object<'_>> = instruction.operands().cloned().collect();
            let operator = String::from_utf8_lossy(instruction.operator).into_owned();
            self.operator(&operator, &operands, &mut reading);
        }
        self.out.check(reading.open.is_empty() && reading.saved.is_empty(), "unbalanced", place);
        if page.is_some() {
            self.out.drawn.push(reading.drawn);
        }
    }

    fn operator(&mut self, operator: &str, operands: &[Object<'_>], reading: &mut Reading<'a>) {
        let known = OPERATORS.contains(&format!(" {operator} "));
        self.out.check(known, "operator", format!("{operator} on {}", reading.place));
        match operator {
            "BDC" | "BMC" => self.opened(operands, reading),
            "EMC" => {
                let closed = reading.open.pop().is_some();
                self.out.check(closed, "unbalanced", reading.place.clone());
            }
            "q" => {
                reading.saved.push(reading.font.clone());
                self.out.check(reading.saved.len() <= MAX_SAVED, "saved-states", reading.place.clone());
            }
            "Q" => match reading.saved.pop() {
                Some(font) => reading.font = font,
                None => self.out.fault("unbalanced", format!("Q on {}", reading.place)),
            },
            "g" | "G" => self.device("DeviceGray", &reading.place),
            "rg" | "RG" => self.device("DeviceRGB", &reading.place),
            "k" | "K" => self.device("DeviceCMYK", &reading.place),
            "cs" | "CS" => {
                let Some(Object::Name(named)) = operands.first() else { return };
                match self.resource(named, "ColorSpace", reading) {
                    Some(space) => self.space(&space, &reading.place),
                    None => self.device(named.as_str(), &reading.place),
                }
            }
            "ri" => {
                if let Some(Object::Name(intent)) = operands.first() {
                    self.rendering_intent(intent.as_str());
                }
            }
            "gs" => {
                let state = first_name(operands).and_then(|named| self.resource(named, "ExtGState", reading));
                match state {
                    Some(Object::Dict(state)) => self.graphics_state(&state),
                    _ => self.out.fault("resource", format!("a state of {}", reading.place)),
                }
            }
            "BI" => self.out.fault("picture", "in the content itself (ours: never)"),
            "Tf" => {
                let font = first_name(operands).and_then(|named| self.resource(named, "Font", reading));
                reading.font = match font {
                    Some(Object::Dict(font)) => self.font(&font),
                    _ => None,
                };
                self.out.check(reading.font.is_some(), "resource", format!("a font of {}", reading.place));
            }
            "f" | "F" | "f*" | "B" | "B*" | "b" | "b*" | "S" | "s" | "sh" => self.marked(operator, reading),
            "Do" => {
                self.marked(operator, reading);
                let object = first_name(operands).and_then(|named| self.resource(named, "XObject", reading));
                match object {
                    Some(Object::Stream(object)) => self.object(&object, &reading.place),
                    _ => self.out.fault("resource", format!("an object of {}", reading.place)),
                }
            }
            "Tj" | "TJ" | "'" | "\"" => {
                self.marked(operator, reading);
                let words = reading.open.last().is_some_and(|mark| mark.words);
                let text = self.show(operands.last(), reading.font.as_deref(), words);
                if let Some(language) = reading.open.last().and_then(|mark| mark.language.clone()) {
                    self.out.foreign.push((language, text.clone()));
                }
                if let (Some(page), Some(id)) = (reading.page, reading.open.last().and_then(|mark| mark.id)) {
                    self.text.entry((page, id)).or_default().push_str(&text);
                }
                reading.drawn.push_str(&text);
            }
            "ET" => reading.drawn.push('\n'),
            _ => {}
        }
    }

    /// What a name stands for in the stream's own resources.
    fn resource(&self, named: &Name<'_>, kind: &str, reading: &Reading<'a>) -> Option<Object<'a>> {
        let list = reading.resources.get::<Dict<'a>>(kind)?;
        match list.get::<Stream<'a>>(named.as_str()) {
            Some(stream) => Some(Object::Stream(stream)),
            None => list.get::<Object<'a>>(named.as_str()),
        }
    }

    fn opened(&mut self, operands: &[Object<'_>], reading: &mut Reading<'a>) {
        let tag = first_name(operands).map(|tag| tag.as_str().to_owned()).unwrap_or_default();
        let artifact = tag == "Artifact";
        let mut mark = Mark { artifact, id: None, words: false, language: None };
        let mut kind = String::new();
        if let Some(Object::Dict(dict)) = operands.get(1) {
            mark.id = dict.get::<i32>("MCID");
            mark.words = dict.contains_key("ActualText");
            kind = name(dict, "Type");
            if let Some(language) = super::string(dict, "Lang") {
                self.language_tag(&language);
                mark.language = Some(language);
            }
        }
        if artifact {
            let known = ["Pagination", "Layout", "Page", "Background"].contains(&kind.as_str());
            self.out.check(known, "artifact-kind", reading.place.clone());
        }
        self.out.check(reading.page.is_some(), "marks-in-form", reading.place.clone());
        if let Some(id) = mark.id {
            self.out.check(reading.seen.insert(id), "repeated-id", format!("{} {id}", reading.place));
            if let Some(page) = reading.page {
                self.text.entry((page, id)).or_default();
            }
        }
        self.out.check(reading.open.is_empty(), "nested", format!("{tag} on {}", reading.place));
        reading.open.push(mark);
    }

    /// Whatever a page paints is content of an element or an artifact. What a form paints is marked where it is placed.
    fn marked(&mut self, operator: &str, reading: &Reading<'a>) {
        let marked = reading.open.last().is_some_and(|mark| mark.artifact || mark.id.is_some());
        let held = reading.page.is_none() || marked;
        if !held {
            self.out.fault("unmarked", format!("{operator} on {}", reading.place));
        }
    }
}

fn first_name<'o, 'n>(operands: &'o [Object<'n>]) -> Option<&'o Name<'n>> {
    match operands.first() {
        Some(Object::Name(name)) => Some(name),
        _ => None,
    }
}

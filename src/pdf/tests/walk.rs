//! Walks a finished file, with a reader that shares no code with the writer, and names what breaks a rule.
//!
//! Rules are those of PDF/UA-1 that a program can check (Matterhorn Protocol 1.1) and those of PDF/A-2a that this back
//! end could break. Each fault has an id, so that the tests can break one rule and expect one fault.

use hayro_syntax::Pdf;
use hayro_syntax::content::UntypedIter;
use hayro_syntax::object::{Array, Dict, Name, Number, Object, ObjectIdentifier, Stream, String as PdfString};
use std::collections::{BTreeMap, BTreeSet};

type Id = (i32, i32);

fn key(id: ObjectIdentifier) -> Id {
    (id.obj_number as i32, id.gen_number)
}

/// A text string as it is read.
pub fn decoded(string: &PdfString<'_>) -> String {
    let bytes = string.as_bytes();
    match bytes.strip_prefix(&[0xFE, 0xFF]) {
        Some(rest) => {
            let units: Vec<u16> = rest.chunks_exact(2).map(|pair| u16::from_be_bytes([pair[0], pair[1]])).collect();
            String::from_utf16_lossy(&units)
        }
        None => bytes.iter().map(|&byte| char::from(byte)).collect(),
    }
}

fn name(dict: &Dict<'_>, key: &str) -> String {
    dict.get::<Name<'_>>(key).map(|name| name.as_str().to_owned()).unwrap_or_default()
}

fn string(dict: &Dict<'_>, key: &str) -> Option<String> {
    dict.get::<PdfString<'_>>(key).map(|string| decoded(&string))
}

fn kids<'a>(dict: &Dict<'a>) -> Vec<Object<'a>> {
    match dict.get::<Array<'a>>("K") {
        Some(array) => array.iter::<Object<'a>>().collect(),
        None => dict.get::<Object<'a>>("K").into_iter().collect(),
    }
}

/// What a walk found.
#[derive(Default)]
pub struct Walked {
    /// Id of the rule, and where.
    pub faults: Vec<(&'static str, String)>,
    /// What a reader would say, element by element that holds content.
    pub spoken: Vec<(String, String)>,
    /// Everything that is drawn as text, page by page, in drawing order, by the fonts' own tables.
    pub drawn: Vec<String>,
}

impl Walked {
    /// Ids of the faults, each once.
    pub fn ids(&self) -> BTreeSet<&'static str> {
        self.faults.iter().map(|(id, _)| *id).collect()
    }
}

struct FontTables {
    unicode: BTreeMap<u16, String>,
    widths: BTreeMap<u16, f64>,
    program: Vec<f64>,
}

struct Walk<'a> {
    pdf: &'a Pdf,
    out: Walked,
    /// Text by page and marked content id.
    text: BTreeMap<(Id, i32), String>,
    /// Elements by page and marked content id, from the tree downwards.
    owners: BTreeMap<(Id, i32), Id>,
    /// Elements and their roles by annotation.
    referred: BTreeMap<Id, (Id, String)>,
    headings: Vec<u32>,
}

/// Walks a file.
pub fn walk(bytes: &[u8]) -> Walked {
    let pdf = Pdf::new(bytes.to_vec()).expect("a file that can be read");
    let mut walk = Walk {
        pdf: &pdf,
        out: Walked::default(),
        text: BTreeMap::new(),
        owners: BTreeMap::new(),
        referred: BTreeMap::new(),
        headings: Vec::new(),
    };
    walk.all(bytes);
    walk.out
}

impl<'a> Walk<'a> {
    fn fault(&mut self, id: &'static str, place: impl Into<String>) {
        self.out.faults.push((id, place.into()));
    }

    fn check(&mut self, holds: bool, id: &'static str, place: impl Into<String>) {
        if !holds {
            self.fault(id, place);
        }
    }

    fn all(&mut self, bytes: &[u8]) {
        let catalogue: Dict<'a> = self.pdf.xref().get(self.pdf.xref().root_id()).expect("a catalogue");
        self.check(bytes.starts_with(b"%PDF-1.7\n%"), "header", "");
        self.catalogue(&catalogue);
        let pages: Vec<(Id, Dict<'a>)> = self
            .pdf
            .pages()
            .iter()
            .map(|page| (page.raw().obj_id().map(key).expect("pages are objects"), page.raw().clone()))
            .collect();
        for (index, page) in self.pdf.pages().iter().enumerate() {
            self.content(pages[index].0, page);
        }
        let Some(root) = catalogue.get::<Dict<'a>>("StructTreeRoot") else {
            return self.fault("no-structure", "");
        };
        let root_id = root.obj_id().map(key).expect("the tree's root is an object");
        for kid in kids(&root) {
            if let Object::Dict(element) = kid {
                self.element(&element, root_id, None, None);
            }
        }
        self.parent_tree(&root, &pages);
        for (id, page) in &pages {
            self.annotations(*id, page, &root);
        }
        self.fields(&catalogue);
    }

    fn catalogue(&mut self, catalogue: &Dict<'a>) {
        // Matterhorn 11-006; 06-002 and 06-003; 07-001, 07-002; ISO 14289-1, 6.2.
        let language = string(catalogue, "Lang").unwrap_or_default();
        self.check(!language.is_empty(), "language", "catalogue");
        let marked = catalogue.get::<Dict<'a>>("MarkInfo").and_then(|info| info.get::<bool>("Marked"));
        self.check(marked == Some(true), "mark-info", "");
        let shown = catalogue.get::<Dict<'a>>("ViewerPreferences").and_then(|view| view.get::<bool>("DisplayDocTitle"));
        self.check(shown == Some(true), "display-title", "");
        // PDF/A-2, 6.2.3 and 6.2.4.3: device colour needs an output intent with a profile of three components.
        let profile = catalogue.get::<Array<'a>>("OutputIntents").and_then(|list| {
            let intent = list.iter::<Dict<'a>>().next()?;
            (name(&intent, "S") == "GTS_PDFA1").then_some(())?;
            let profile = intent.get::<Stream<'a>>("DestOutputProfile")?;
            let bytes = profile.decoded().ok()?;
            (profile.dict().get::<i32>("N") == Some(3) && bytes.get(36..40) == Some(b"acsp")).then_some(())
        });
        self.check(profile.is_some(), "output-intent", "");
        // PDF/A-2, 6.5.1: no actions on opening, no scripts.
        for key in ["OpenAction", "AA"] {
            self.check(!catalogue.contains_key(key), "action", key);
        }
        self.check(
            !catalogue.get::<Dict<'a>>("Names").is_some_and(|n| n.contains_key("JavaScript")),
            "action",
            "Names",
        );
        let packet = catalogue
            .get::<Stream<'a>>("Metadata")
            .and_then(|stream| stream.decoded().ok().map(|bytes| String::from_utf8_lossy(&bytes).into_owned()))
            .unwrap_or_default();
        for claim in ["<pdfuaid:part>1</", "<pdfaid:part>2</", "<pdfaid:conformance>A</", "pdfaExtension:schemas"] {
            self.check(packet.contains(claim), "claim", claim);
        }
        self.check(packet.contains("<dc:title>"), "title", "");
        // PDF/A-2 leaves the information dictionary be; readers show it, so both must say the same.
        let info = self.pdf.metadata();
        let escape = |bytes: &[u8]| {
            let plain = match bytes.strip_prefix(&[0xFE, 0xFF]) {
                Some(rest) => {
                    let units: Vec<u16> = rest.chunks_exact(2).map(|p| u16::from_be_bytes([p[0], p[1]])).collect();
                    String::from_utf16_lossy(&units)
                }
                None => bytes.iter().map(|&b| char::from(b)).collect(),
            };
            plain.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;")
        };
        for (value, element) in [
            (&info.title, "dc:title"),
            (&info.author, "dc:creator"),
            (&info.subject, "dc:description"),
            (&info.keywords, "pdf:Keywords"),
            (&info.producer, "pdf:Producer"),
            (&info.creator, "xmp:CreatorTool"),
        ] {
            let Some(value) = value else { continue };
            let same = packet
                .split_once(&format!("<{element}>"))
                .and_then(|(_, rest)| rest.split_once(&format!("</{element}>")))
                .is_some_and(|(inside, _)| inside.contains(&escape(value)));
            self.check(same, "information", element);
        }
    }

    /// Marked content and text of one page.
    fn content(&mut self, id: Id, page: &hayro_syntax::page::Page<'a>) {
        let stream = page.page_stream().expect("a page has content").to_vec();
        let mut operators = UntypedIter::new(&stream);
        // Tag, id and whether words stand beside it, innermost last.
        let mut open: Vec<(String, Option<i32>, bool)> = Vec::new();
        let mut font: Option<(String, FontTables)> = None;
        let mut drawn = String::new();
        let mut seen = BTreeSet::new();
        while let Some(instruction) = operators.next() {
            let operands: Vec<Object<'_>> = instruction.operands().cloned().collect();
            let operator = instruction.operator.to_vec();
            match operator.as_slice() {
                b"BDC" | b"BMC" => {
                    let tag = match operands.first() {
                        Some(Object::Name(name)) => name.as_str().to_owned(),
                        _ => String::new(),
                    };
                    let (mcid, words) = match operands.get(1) {
                        Some(Object::Dict(dict)) => (dict.get::<i32>("MCID"), dict.contains_key("ActualText")),
                        _ => (None, false),
                    };
                    if let Some(mcid) = mcid {
                        self.check(seen.insert(mcid), "repeated-id", format!("page {id:?} {mcid}"));
                    }
                    // Matterhorn 01-003 to 01-005, and a rule of our own: content is marked once.
                    self.check(open.is_empty(), "nested", tag.clone());
                    open.push((tag, mcid, words));
                }
                b"EMC" => self.check(open.pop().is_some(), "unbalanced", ""),
                b"Tf" => {
                    font = match operands.first() {
                        Some(Object::Name(name)) => {
                            let tables = page.resources().get_font(name).map(|font| self.font(&font, name.as_str()));
                            tables.map(|tables| (name.as_str().to_owned(), tables))
                        }
                        _ => None,
                    };
                }
                b"f" | b"F" | b"f*" | b"B" | b"B*" | b"b" | b"b*" | b"S" | b"s" | b"sh" | b"Do" | b"Tj" | b"TJ" => {
                    // Matterhorn 01-005: neither artifact nor real content.
                    let marked = open.last().is_some_and(|(tag, mcid, _)| tag == "Artifact" || mcid.is_some());
                    self.check(marked, "unmarked", format!("{} on {id:?}", String::from_utf8_lossy(&operator)));
                    if operator.starts_with(b"T") {
                        let text = self.show(operands.first(), font.as_ref(), open.last().is_some_and(|(.., w)| *w));
                        if let Some((_, Some(mcid), _)) = open.last() {
                            self.text.entry((id, *mcid)).or_default().push_str(&text);
                        }
                        drawn.push_str(&text);
                    }
                }
                b"ET" => drawn.push('\n'),
                _ => {}
            }
        }
        self.check(open.is_empty(), "unbalanced", format!("page {id:?}"));
        self.out.drawn.push(drawn);
    }

    /// The characters of a text operator.
    fn show(&mut self, shown: Option<&Object<'_>>, font: Option<&(String, FontTables)>, words: bool) -> String {
        let mut codes: Vec<u16> = Vec::new();
        let mut take = |string: &PdfString<'_>| {
            codes.extend(string.as_bytes().chunks(2).map(|pair| u16::from(pair[0]) << 8 | u16::from(pair[1])));
        };
        match shown {
            Some(Object::Array(array)) => array.iter::<Object<'_>>().for_each(|item| {
                if let Object::String(string) = item {
                    take(&string);
                }
            }),
            Some(Object::String(string)) => take(string),
            _ => {}
        }
        let Some((name, tables)) = font else {
            self.fault("no-font", "");
            return String::new();
        };
        let mut text = String::new();
        for code in codes {
            // Matterhorn 31-030; PDF/A-2, 6.2.11.8.
            self.check(code != 0, "notdef", name.clone());
            // Matterhorn 10-001; PDF/A-2, 6.2.11.7.2.
            match tables.unicode.get(&code) {
                Some(meaning) => {
                    // PDF/A-2, 6.2.11.7.3.
                    let private = meaning.chars().any(|c| ('\u{E000}'..='\u{F8FF}').contains(&c));
                    self.check(!private || words, "private-use", name.clone());
                    text.push_str(meaning);
                }
                None => self.fault("no-unicode", format!("{name} {code}")),
            }
            // PDF/A-2, 6.2.11.5; Matterhorn 31-... leaves it to PDF/A.
            let (written, real) = (tables.widths.get(&code), tables.program.get(usize::from(code)));
            let same = written.zip(real).is_some_and(|(written, real)| (written - real).abs() <= 0.001);
            self.check(same, "width", format!("{name} {code}: {written:?} against {real:?}"));
        }
        text
    }

    fn font(&mut self, font: &Dict<'_>, place: &str) -> FontTables {
        let descendant = font.get::<Array<'_>>("DescendantFonts").and_then(|list| list.iter::<Dict<'_>>().next());
        let descendant = descendant.expect("a composite font");
        let descriptor = descendant.get::<Dict<'_>>("FontDescriptor").expect("a descriptor");
        let base = name(font, "BaseFont");
        let subset = base.len() > 7 && base.as_bytes()[6] == b'+' && base[..6].bytes().all(|b| b.is_ascii_uppercase());
        self.check(subset, "not-a-subset", base.clone());
        self.check(base == name(&descriptor, "FontName") && base == name(&descendant, "BaseFont"), "font-names", base);
        // PDF/A-2, 6.2.11.4.1: every font is embedded.
        let program = descriptor.get::<Stream<'_>>("FontFile2");
        self.check(program.is_some(), "not-embedded", place);
        self.check(name(&descendant, "CIDToGIDMap") == "Identity", "glyph-map", place);
        let program =
            program.and_then(|stream| stream.decoded().ok().map(|bytes| bytes.into_owned())).unwrap_or_default();
        let unicode = font
            .get::<Stream<'_>>("ToUnicode")
            .and_then(|stream| stream.decoded().ok().map(|bytes| String::from_utf8_lossy(&bytes).into_owned()))
            .map(|table| to_unicode(&table))
            .unwrap_or_default();
        let mut widths = BTreeMap::new();
        let mut first = 0_u16;
        for item in descendant.get::<Array<'_>>("W").expect("widths").iter::<Object<'_>>() {
            match item {
                Object::Number(number) => first = number.as_i64() as u16,
                Object::Array(list) => {
                    widths.extend((first..).zip(list.iter::<Number>().map(|number| number.as_f64())));
                }
                _ => {}
            }
        }
        FontTables { unicode, widths, program: program_widths(&program) }
    }

    /// One element of the structure and all below it. Returns nothing; finds text and owners.
    fn element(&mut self, element: &Dict<'a>, parent: Id, parent_role: Option<&str>, page: Option<Id>) {
        let role = name(element, "S");
        let id = element.obj_id().map(key).expect("elements are objects");
        let up = element.get_ref("P").map(|up| (up.obj_number as i32, up.gen_number));
        self.check(up == Some(parent), "parent", role.clone());
        const STANDARD: [&str; 23] = [
            "Document",
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
        // Matterhorn 02-001.
        self.check(STANDARD.contains(&role.as_str()), "role", role.clone());
        // Matterhorn 09-004 to 09-006: parts of tables and lists stand where they belong.
        let expected: &[&str] = match role.as_str() {
            "LI" => &["L"],
            "Lbl" | "LBody" => &["LI"],
            "TR" => &["Table"],
            "TH" | "TD" => &["TR"],
            "TOCI" => &["TOC"],
            "Reference" => &["TOCI"],
            _ => &[],
        };
        // ISO 32000-1, table 333: an entry of a list of contents does not hold a link itself.
        self.check(role != "Link" || parent_role != Some("TOCI"), "nesting", role.clone());
        let stands = expected.is_empty() || parent_role.is_some_and(|parent| expected.contains(&parent));
        self.check(stands, "nesting", role.clone());
        let attributes = element.get::<Dict<'a>>("A");
        let attribute = |key: &str| attributes.as_ref().map(|dict| name(dict, key)).unwrap_or_default();
        // Matterhorn 13-004; 15-003.
        if role == "Figure" {
            let words = string(element, "Alt").or_else(|| string(element, "ActualText")).unwrap_or_default();
            self.check(!words.is_empty(), "figure-words", "");
            let boxed = attributes.as_ref().is_some_and(|dict| dict.contains_key("BBox"));
            self.check(boxed, "figure-box", "");
        }
        if role == "TH" {
            self.check(["Row", "Column", "Both"].contains(&attribute("Scope").as_str()), "scope", "");
        }
        if role == "L" {
            self.check(!attribute("ListNumbering").is_empty(), "list-numbering", "");
        }
        // Matterhorn 14-002, 14-003.
        if let Some(level) = role.strip_prefix('H').and_then(|level| level.parse::<u32>().ok()) {
            let before = self.headings.last().copied().unwrap_or(0);
            self.check(level <= before + 1, "heading-skipped", role.clone());
            self.headings.push(level);
        }
        let page = element.get_ref("Pg").map(|page| (page.obj_number as i32, page.gen_number)).or(page);
        let instead = string(element, "ActualText");
        let mut said = String::new();
        for kid in kids(element) {
            let mut content = |walk: &mut Walk<'a>, page: Option<Id>, mcid: i32| {
                let Some(page) = page else { return walk.fault("no-page", role.clone()) };
                walk.owners.insert((page, mcid), id);
                said.push_str(walk.text.get(&(page, mcid)).map_or("", String::as_str));
            };
            match kid {
                Object::Number(number) => content(self, page, number.as_i64() as i32),
                Object::Dict(dict) if name(&dict, "Type") == "MCR" => {
                    let on = dict.get_ref("Pg").map(|page| (page.obj_number as i32, page.gen_number)).or(page);
                    content(self, on, dict.get::<i32>("MCID").unwrap_or(-1));
                }
                Object::Dict(dict) if name(&dict, "Type") == "OBJR" => {
                    if let Some(object) = dict.get_ref("Obj") {
                        let object = (object.obj_number as i32, object.gen_number);
                        self.referred.insert(object, (id, role.clone()));
                    }
                }
                Object::Dict(dict) => {
                    if !said.is_empty() {
                        self.out.spoken.push((role.clone(), std::mem::take(&mut said)));
                    }
                    self.element(&dict, id, Some(&role), page);
                }
                _ => self.fault("kid", role.clone()),
            }
        }
        if let Some(words) = instead {
            self.out.spoken.push((role, words));
        } else if !said.is_empty() {
            self.out.spoken.push((role, said));
        }
    }

    /// The way back from content to elements says the same as the way down.
    fn parent_tree(&mut self, root: &Dict<'a>, pages: &[(Id, Dict<'a>)]) {
        let mut found: BTreeSet<(Id, i32)> = BTreeSet::new();
        for (id, page) in pages {
            let Some(number) = page.get::<i32>("StructParents") else {
                self.check(!self.text.keys().any(|(page, _)| page == id), "struct-parents", "");
                continue;
            };
            let Some(Object::Array(list)) = look_up(root, number) else {
                self.fault("struct-parents", format!("{number}"));
                continue;
            };
            for (mcid, element) in (0..).zip(list.iter::<Dict<'a>>()) {
                let owner = element.obj_id().map(key);
                self.check(owner == self.owners.get(&(*id, mcid)).copied(), "owner", format!("{id:?} {mcid}"));
                found.insert((*id, mcid));
            }
        }
        // Content with an id that nobody owns would be passed over in silence.
        let lost: Vec<_> = self.text.keys().filter(|place| !found.contains(place)).copied().collect();
        for (page, mcid) in lost {
            self.fault("owner", format!("{page:?} {mcid}"));
        }
    }

    fn annotations(&mut self, page_id: Id, page: &Dict<'a>, root: &Dict<'a>) {
        let Some(list) = page.get::<Array<'a>>("Annots") else { return };
        // Matterhorn 28-002 follows from the structure; 28-008.
        self.check(name(page, "Tabs") == "S", "tabs", format!("{page_id:?}"));
        for annotation in list.iter::<Dict<'a>>() {
            let id = annotation.obj_id().map(key).expect("annotations are objects");
            let kind = name(&annotation, "Subtype");
            // PDF/A-2, 6.3.2: printed, never hidden.
            self.check(annotation.get::<i32>("F") == Some(4), "print-flag", kind.clone());
            let wanted = if kind == "Widget" { "Form" } else { "Link" };
            let owner = self.referred.get(&id).cloned();
            // Matterhorn 28-010, 28-011.
            let right = owner.as_ref().is_some_and(|(_, role)| role == wanted);
            self.check(right, "annotation-role", kind.clone());
            let back = annotation.get::<i32>("StructParent").and_then(|number| look_up(root, number));
            let back = match back {
                Some(Object::Dict(element)) => element.obj_id().map(key),
                _ => None,
            };
            self.check(back.is_some() && back == owner.map(|(id, _)| id), "annotation-owner", kind.clone());
            if kind == "Link" {
                // Matterhorn 28-012.
                self.check(string(&annotation, "Contents").is_some_and(|words| !words.is_empty()), "link-words", "");
                let action = annotation.get::<Dict<'a>>("A").map(|action| name(&action, "S"));
                self.check(action.is_none() || action.as_deref() == Some("URI"), "action", "link");
            } else {
                // Matterhorn 28-005; PDF/A-2, 6.3.3 and 6.4.1.
                let parent = annotation.get::<Dict<'a>>("Parent");
                let words = string(&annotation, "TU").or_else(|| string(&parent?, "TU")).unwrap_or_default();
                self.check(!words.is_empty(), "field-words", "");
                self.check(!annotation.contains_key("A") && !annotation.contains_key("AA"), "action", "field");
                let states = annotation.get::<Dict<'a>>("AP").and_then(|ap| ap.get::<Dict<'a>>("N"));
                let both = states
                    .is_some_and(|n| n.get::<Stream<'a>>("Yes").is_some() && n.get::<Stream<'a>>("Off").is_some());
                self.check(both, "appearance", "");
                self.check(name(&annotation, "AS") == "Off", "appearance", "state");
            }
        }
    }

    fn fields(&mut self, catalogue: &Dict<'a>) {
        let Some(form) = catalogue.get::<Dict<'a>>("AcroForm") else { return };
        // PDF/A-2, 6.4.1.
        self.check(!form.contains_key("NeedAppearances") && !form.contains_key("XFA"), "form", "");
        let mut names = BTreeSet::new();
        for field in form.get::<Array<'a>>("Fields").expect("fields").iter::<Dict<'a>>() {
            let name = string(&field, "T").unwrap_or_default();
            self.check(names.insert(name.clone()), "field-twice", name);
            self.check(!field.contains_key("AA"), "action", "field");
        }
    }
}

/// An entry of the parent tree, which is written flat.
fn look_up<'a>(root: &Dict<'a>, number: i32) -> Option<Object<'a>> {
    let list = root.get::<Dict<'a>>("ParentTree")?.get::<Array<'a>>("Nums")?;
    let items: Vec<Object<'a>> = list.iter::<Object<'a>>().collect();
    items.chunks_exact(2).find_map(|pair| match &pair[0] {
        Object::Number(key) if key.as_i64() == i64::from(number) => Some(pair[1].clone()),
        _ => None,
    })
}

/// The table from codes to text.
fn to_unicode(table: &str) -> BTreeMap<u16, String> {
    let hex = |text: &str| -> Option<Vec<u16>> {
        let digits = text.strip_prefix('<')?.strip_suffix('>')?;
        (0..digits.len()).step_by(4).map(|at| u16::from_str_radix(digits.get(at..at + 4)?, 16).ok()).collect()
    };
    table
        .split("beginbfchar")
        .skip(1)
        .flat_map(|block| block.split("endbfchar").next().unwrap_or_default().lines())
        .filter_map(|line| {
            let (code, text) = line.split_once(' ')?;
            Some((*hex(code)?.first()?, String::from_utf16(&hex(text)?).ok()?))
        })
        .filter(|(_, text)| !text.is_empty())
        .collect()
}

/// Advances of a TrueType program in thousandths of the em, straight from its tables (OpenType, head, hhea, hmtx).
fn program_widths(bytes: &[u8]) -> Vec<f64> {
    if bytes.len() < 12 {
        return Vec::new();
    }
    let short = |at: usize| u16::from_be_bytes([bytes[at], bytes[at + 1]]);
    let long = |at: usize| u32::from(short(at)) << 16 | u32::from(short(at + 2));
    let table = |tag: &[u8]| {
        (0..usize::from(short(4)))
            .map(|i| 12 + 16 * i)
            .find(|at| &bytes[*at..at + 4] == tag)
            .map(|at| long(at + 8) as usize)
    };
    let (Some(head), Some(hhea), Some(hmtx), Some(maxp)) =
        (table(b"head"), table(b"hhea"), table(b"hmtx"), table(b"maxp"))
    else {
        return Vec::new();
    };
    let (units, long_ones, glyphs) = (f64::from(short(head + 18)), short(hhea + 34), short(maxp + 4));
    (0..glyphs)
        .map(|glyph| f64::from(short(hmtx + 4 * usize::from(glyph.min(long_ones - 1)))) * 1000.0 / units)
        .collect()
}

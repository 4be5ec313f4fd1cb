//! The metadata packet: its form, its schemas, what it claims, and that the information dictionary says the same.

use super::{Walk, name, plain};
use hayro_syntax::object::{DateTime, Stream};
use roxmltree::{Document, Node};
use std::collections::BTreeMap;

const RDF: &str = "http://www.w3.org/1999/02/22-rdf-syntax-ns#";
const XML: &str = "http://www.w3.org/XML/1998/namespace";
const UA: &str = "http://www.aiim.org/pdfua/ns/id/";
const A: &str = "http://www.aiim.org/pdfa/ns/id/";
const EXTENSION: &str = "http://www.aiim.org/pdfa/ns/extension/";
const SCHEMA: &str = "http://www.aiim.org/pdfa/ns/schema#";
const PROPERTY: &str = "http://www.aiim.org/pdfa/ns/property#";

/// Predefined properties with their containers (XMP Specification, September 2005, chapter 4; A 6.6.4): a plain value, a
/// list in order, a heap, or words by language.
const PREDEFINED: &[(&str, &str, &[(&str, &str)])] = &[
    (
        "http://purl.org/dc/elements/1.1/",
        "dc",
        &[
            ("title", "Alt"),
            ("creator", "Seq"),
            ("description", "Alt"),
            ("subject", "Bag"),
            ("language", "Bag"),
            ("date", "Seq"),
            ("rights", "Alt"),
            ("format", ""),
            ("identifier", ""),
            ("publisher", "Bag"),
        ],
    ),
    (
        "http://ns.adobe.com/xap/1.0/",
        "xmp",
        &[("CreatorTool", ""), ("CreateDate", ""), ("ModifyDate", ""), ("MetadataDate", "")],
    ),
    ("http://ns.adobe.com/xap/1.0/mm/", "xmpMM", &[("VersionID", ""), ("DocumentID", ""), ("InstanceID", "")]),
    (
        "http://ns.adobe.com/xap/1.0/rights/",
        "xmpRights",
        &[("Marked", ""), ("UsageTerms", "Alt"), ("WebStatement", ""), ("Owner", "Bag")],
    ),
    ("http://ns.adobe.com/pdf/1.3/", "pdf", &[("Keywords", ""), ("Producer", ""), ("PDFVersion", "")]),
    (A, "pdfaid", &[("part", ""), ("conformance", ""), ("amd", "")]),
    (EXTENSION, "pdfaExtension", &[("schemas", "Bag")]),
];

impl<'a> Walk<'a> {
    pub(super) fn metadata(&mut self) {
        let stream = self.catalogue.get::<Stream<'a>>("Metadata");
        let sort = stream.as_ref().map(|stream| (name(stream.dict(), "Type"), name(stream.dict(), "Subtype")));
        self.out.check(sort == Some(("Metadata".to_owned(), "XML".to_owned())), "metadata", "");
        // Any program is to find it, also one that cannot unpack.
        let bare = stream.as_ref().is_some_and(|stream| !stream.dict().contains_key("Filter"));
        self.out.check(bare, "metadata", "filtered");
        let Some(packet) = stream.as_ref().and_then(plain) else { return };
        let Ok(packet) = String::from_utf8(packet) else { return self.out.fault("xmp", "not UTF-8") };
        let head = packet.split("?>").next().unwrap_or_default();
        let wrapped = head.starts_with("<?xpacket begin=\"\u{feff}\"") && packet.trim_end().ends_with("?>");
        let quiet = !head.contains("bytes=") && !head.contains("encoding=");
        self.out.check(wrapped && quiet, "xmp", "the packet's header");
        let document = match Document::parse(&packet) {
            Ok(document) => document,
            Err(error) => return self.out.fault("xmp", error.to_string()),
        };
        let rdf: Vec<Node<'_, '_>> = document.descendants().filter(|node| node.has_tag_name((RDF, "RDF"))).collect();
        self.out.check(rdf.len() == 1, "xmp", "RDF elements");
        let mut said = Said::new();
        let described = self.described(&document);
        for description in rdf.iter().flat_map(Node::children).filter(Node::is_element) {
            let form =
                description.has_tag_name((RDF, "Description")) && description.attribute((RDF, "about")) == Some("");
            self.out.check(form, "xmp", "a description of something else");
            for property in description.children().filter(Node::is_element) {
                self.property(property, &described, &mut said);
            }
        }
        let value = |space: &str, key: &str| said.get(&(space.to_owned(), key.to_owned())).map(|all| all.join("|"));
        for (space, key, wanted) in [(UA, "part", "1"), (A, "part", "2"), (A, "conformance", "A")] {
            let found = value(space, key);
            self.out.check(found.as_deref() == Some(wanted), "claim", format!("{key} is {found:?}"));
        }
        let title = value(PREDEFINED[0].0, "title").unwrap_or_default();
        self.out.check(!title.trim().is_empty(), "title", "");
        self.information(&said);
    }

    /// Properties that the packet itself describes: the namespace and name of each.
    fn described(&mut self, document: &Document<'_>) -> Vec<(String, String)> {
        let mut out = Vec::new();
        let schemas = document.descendants().find(|node| node.has_tag_name((EXTENSION, "schemas")));
        for schema in schemas.iter().flat_map(|list| items(*list)) {
            let text =
                |key: &str| child(schema, SCHEMA, key).and_then(|node| node.text()).unwrap_or_default().to_owned();
            let full = ["schema", "namespaceURI", "prefix"].iter().all(|key| !text(key).is_empty());
            let prefix = document.root_element().lookup_prefix(&text("namespaceURI")).map(str::to_owned);
            let prefix = prefix.or_else(|| {
                let own = document.descendants().find_map(|node| node.lookup_prefix(&text("namespaceURI")));
                own.map(str::to_owned)
            });
            self.out.check(full && prefix == Some(text("prefix")), "extension", text("namespaceURI"));
            for property in child(schema, SCHEMA, "property").iter().flat_map(|list| items(*list)) {
                let text = |key: &str| child(property, PROPERTY, key).and_then(|node| node.text()).unwrap_or_default();
                let full = ["name", "valueType", "category", "description"].iter().all(|key| !text(key).is_empty());
                let category = matches!(text("category"), "internal" | "external");
                self.out.check(full && category, "extension", text("name"));
                out.push((schema_of(schema), text("name").to_owned()));
            }
        }
        out
    }

    /// One property of the document: of a known schema, in the container that the schema says.
    fn property(&mut self, property: Node<'_, '_>, described: &[(String, String)], said: &mut Said) {
        let space = property.tag_name().namespace().unwrap_or_default().to_owned();
        let key = property.tag_name().name().to_owned();
        let of = PREDEFINED.iter().find(|(uri, ..)| *uri == space);
        let wanted = of.and_then(|(.., keys)| keys.iter().find(|(known, _)| *known == key)).map(|(_, kind)| *kind);
        let own = described.iter().any(|(uri, known)| *uri == space && *known == key);
        let containers: Vec<&str> =
            property.children().filter(Node::is_element).map(|node| node.tag_name().name()).collect();
        let right = match wanted {
            Some("") => containers.is_empty(),
            Some(kind) => containers == [kind],
            None => own && containers.is_empty(),
        };
        let prefix = of.is_none_or(|(uri, prefix, _)| property.lookup_prefix(uri) == Some(*prefix));
        self.out.check(right && prefix, "schema", format!("{space}{key}"));
        let values: Vec<String> = match containers.is_empty() {
            true => property.text().map(str::to_owned).into_iter().collect(),
            false => items(property).iter().filter_map(|item| item.text()).map(str::to_owned).collect(),
        };
        if wanted == Some("Alt") {
            let tagged = items(property).iter().all(|item| item.attribute((XML, "lang")).is_some());
            let default = items(property).first().and_then(|item| item.attribute((XML, "lang"))) == Some("x-default");
            self.out.check(tagged && default, "schema", format!("{key} without languages"));
        }
        if key != "schemas" {
            self.out.check(!values.is_empty(), "schema", format!("{key} says nothing"));
        }
        let twice = said.insert((space, key.clone()), values).is_some();
        self.out.check(!twice, "schema", format!("{key} twice"));
    }

    /// Both places say the same, and neither says what the other leaves out.
    fn information(&mut self, said: &Said) {
        let [dc, xmp, pdf] = [PREDEFINED[0].0, PREDEFINED[1].0, PREDEFINED[4].0];
        let info = self.pdf.metadata();
        let text = |bytes: &Option<Box<[u8]>>| bytes.as_ref().map(|bytes| text(bytes));
        for (space, key, value) in [
            (dc, "title", text(&info.title)),
            (dc, "creator", text(&info.author)),
            (dc, "description", text(&info.subject)),
            (pdf, "Keywords", text(&info.keywords)),
            (pdf, "Producer", text(&info.producer)),
            (xmp, "CreatorTool", text(&info.creator)),
            (xmp, "CreateDate", info.creation_date.as_ref().map(date)),
            (xmp, "ModifyDate", info.modification_date.as_ref().map(date)),
        ] {
            // Words by language begin with those that stand for all.
            let packet = said.get(&(space.to_owned(), key.to_owned())).and_then(|all| all.first());
            self.out.check(packet == value.as_ref(), "information", format!("{key}: {packet:?}, {value:?}"));
        }
        let tags = said.get(&(dc.to_owned(), "subject".to_owned())).map(|all| all.join(", "));
        self.out.check(tags == text(&info.keywords), "information", "subject");
    }
}

/// Values by namespace and name.
type Said = BTreeMap<(String, String), Vec<String>>;

/// A date as the packet writes it; ours are all of Greenwich.
fn date(date: &DateTime) -> String {
    let DateTime { year, month, day, hour, minute, second, .. } = date;
    format!("{year:04}-{month:02}-{day:02}T{hour:02}:{minute:02}:{second:02}Z")
}

fn text(bytes: &[u8]) -> String {
    match bytes.strip_prefix(&[0xFE, 0xFF]) {
        Some(rest) => {
            let units: Vec<u16> = rest.chunks_exact(2).map(|p| u16::from_be_bytes([p[0], p[1]])).collect();
            String::from_utf16_lossy(&units)
        }
        None => bytes.iter().map(|&b| char::from(b)).collect(),
    }
}

/// The items of a container.
fn items<'n, 'i>(property: Node<'n, 'i>) -> Vec<Node<'n, 'i>> {
    let lists = property.children().filter(|node| ["Bag", "Seq", "Alt"].contains(&node.tag_name().name()));
    lists.flat_map(|list| list.children()).filter(|node| node.has_tag_name((RDF, "li"))).collect()
}

fn child<'n, 'i>(node: Node<'n, 'i>, space: &str, key: &str) -> Option<Node<'n, 'i>> {
    node.children().find(|node| node.has_tag_name((space, key)))
}

fn schema_of(schema: Node<'_, '_>) -> String {
    child(schema, SCHEMA, "namespaceURI").and_then(|node| node.text()).unwrap_or_default().to_owned()
}

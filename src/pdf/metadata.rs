//! Title, maker, rights and dates, twice: in the information dictionary and as XMP, each value the same in both.

use crate::page::{AboutBooklet, Booklet};
use lopdf::{Dictionary, Document, Object, ObjectId, Stream, StringFormat, dictionary};

/// Who made the file, without version: a version would change bytes that have not changed.
pub(super) const PRODUCER: &str = "Hitchpress";

/// A text string: as it stands where it is plain ASCII, else UTF-16 (ISO 32000-1, 7.9.2.2).
pub(super) fn text(value: &str) -> Object {
    if value.bytes().all(|byte| (0x20..0x7F).contains(&byte)) {
        return Object::String(value.as_bytes().to_vec(), StringFormat::Literal);
    }
    let mut bytes = vec![0xFE, 0xFF];
    bytes.extend(value.encode_utf16().flat_map(u16::to_be_bytes));
    Object::String(bytes, StringFormat::Hexadecimal)
}

/// Words to be spoken: without the spaces of other widths that print wants.
pub(super) fn spoken(value: &str) -> Object {
    text(&super::fonts::plain(value))
}

/// Rights and keywords as they are printed in both places.
fn keywords(about: &AboutBooklet) -> String {
    about.keywords.join(", ")
}

/// The information dictionary.
pub(super) fn information(booklet: &Booklet) -> Dictionary {
    let about = &booklet.about;
    let (year, month, day) = about.date;
    let date = Object::String(format!("D:{year:04}{month:02}{day:02}000000Z").into_bytes(), StringFormat::Literal);
    let mut info = Dictionary::new();
    for (key, value) in [
        ("Title", &about.title),
        ("Author", &about.author),
        ("Subject", &about.subject),
        ("Keywords", &keywords(about)),
    ] {
        if !value.is_empty() {
            info.set(key, text(value));
        }
    }
    info.set("Creator", text(PRODUCER));
    info.set("Producer", text(PRODUCER));
    info.set("CreationDate", date.clone());
    info.set("ModDate", date);
    info.set("Trapped", Object::Name(b"False".to_vec()));
    info
}

/// Text for XML; characters that XML 1.0 has no way to write are left out.
pub(super) fn escaped(value: &str) -> String {
    let mut out = String::with_capacity(value.len());
    for c in value.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\t' | '\n' | '\r' | '\u{20}'..='\u{D7FF}' | '\u{E000}'..='\u{FFFD}' | '\u{10000}'.. => out.push(c),
            _ => {}
        }
    }
    out
}

/// A value in the document's default language.
fn alternative(key: &str, value: &str) -> String {
    format!("<{key}><rdf:Alt><rdf:li xml:lang=\"x-default\">{}</rdf:li></rdf:Alt></{key}>\n", escaped(value))
}

/// Values in order, or in none.
fn several<'a>(key: &str, kind: &str, values: impl Iterator<Item = &'a str>) -> String {
    let items: String = values.map(|value| format!("<rdf:li>{}</rdf:li>", escaped(value))).collect();
    format!("<{key}><rdf:{kind}>{items}</rdf:{kind}></{key}>\n")
}

/// The metadata packet. `claims` adds the identification of PDF/UA-1 and PDF/A-2a.
pub(super) fn packet(booklet: &Booklet, claims: bool) -> String {
    let about = &booklet.about;
    let (year, month, day) = about.date;
    let date = format!("{year:04}-{month:02}-{day:02}T00:00:00Z");
    let mut body = String::from("<dc:format>application/pdf</dc:format>\n");
    if !about.title.is_empty() {
        body += &alternative("dc:title", &about.title);
    }
    if !about.author.is_empty() {
        body += &several("dc:creator", "Seq", std::iter::once(about.author.as_str()));
    }
    if !about.subject.is_empty() {
        body += &alternative("dc:description", &about.subject);
    }
    if !about.keywords.is_empty() {
        body += &several("dc:subject", "Bag", about.keywords.iter().map(String::as_str));
        body += &format!("<pdf:Keywords>{}</pdf:Keywords>\n", escaped(&keywords(about)));
    }
    if !about.language.is_empty() {
        body += &several("dc:language", "Bag", std::iter::once(about.language.as_str()));
    }
    body += &several("dc:date", "Seq", std::iter::once(date.as_str()));
    if !about.rights.is_empty() {
        body += &alternative("dc:rights", &about.rights);
        body += "<xmpRights:Marked>True</xmpRights:Marked>\n";
        body += &alternative("xmpRights:UsageTerms", &about.rights);
    }
    if !about.version.is_empty() {
        body += &format!("<xmpMM:VersionID>{}</xmpMM:VersionID>\n", escaped(&about.version));
    }
    body += &format!("<xmp:CreatorTool>{PRODUCER}</xmp:CreatorTool>\n");
    for key in ["CreateDate", "ModifyDate", "MetadataDate"] {
        body += &format!("<xmp:{key}>{date}</xmp:{key}>\n");
    }
    body += &format!("<pdf:Producer>{PRODUCER}</pdf:Producer>\n");
    if claims {
        body += CLAIMS;
    }
    format!(
        "<?xpacket begin=\"\u{feff}\" id=\"W5M0MpCehiHzreSzNTczkc9d\"?>\n\
         <x:xmpmeta xmlns:x=\"adobe:ns:meta/\">\n\
         <rdf:RDF xmlns:rdf=\"http://www.w3.org/1999/02/22-rdf-syntax-ns#\">\n\
         <rdf:Description rdf:about=\"\"\n\
         xmlns:dc=\"http://purl.org/dc/elements/1.1/\"\n\
         xmlns:xmp=\"http://ns.adobe.com/xap/1.0/\"\n\
         xmlns:xmpMM=\"http://ns.adobe.com/xap/1.0/mm/\"\n\
         xmlns:xmpRights=\"http://ns.adobe.com/xap/1.0/rights/\"\n\
         xmlns:pdf=\"http://ns.adobe.com/pdf/1.3/\"\n\
         xmlns:pdfaid=\"http://www.aiim.org/pdfa/ns/id/\"\n\
         xmlns:pdfuaid=\"http://www.aiim.org/pdfua/ns/id/\"\n\
         xmlns:pdfaExtension=\"http://www.aiim.org/pdfa/ns/extension/\"\n\
         xmlns:pdfaSchema=\"http://www.aiim.org/pdfa/ns/schema#\"\n\
         xmlns:pdfaProperty=\"http://www.aiim.org/pdfa/ns/property#\">\n\
         {body}</rdf:Description>\n</rdf:RDF>\n</x:xmpmeta>\n<?xpacket end=\"r\"?>"
    )
}

/// Identification of both standards, and the description of PDF/UA's schema that PDF/A asks for (ISO 19005-2, 6.6.2.3).
const CLAIMS: &str = "<pdfaid:part>2</pdfaid:part>\n<pdfaid:conformance>A</pdfaid:conformance>\n\
    <pdfuaid:part>1</pdfuaid:part>\n\
    <pdfaExtension:schemas><rdf:Bag><rdf:li rdf:parseType=\"Resource\">\n\
    <pdfaSchema:schema>PDF/UA identification schema</pdfaSchema:schema>\n\
    <pdfaSchema:namespaceURI>http://www.aiim.org/pdfua/ns/id/</pdfaSchema:namespaceURI>\n\
    <pdfaSchema:prefix>pdfuaid</pdfaSchema:prefix>\n\
    <pdfaSchema:property><rdf:Seq><rdf:li rdf:parseType=\"Resource\">\n\
    <pdfaProperty:name>part</pdfaProperty:name>\n\
    <pdfaProperty:valueType>Integer</pdfaProperty:valueType>\n\
    <pdfaProperty:category>internal</pdfaProperty:category>\n\
    <pdfaProperty:description>Part of ISO 14289 to which the file conforms</pdfaProperty:description>\n\
    </rdf:li></rdf:Seq></pdfaSchema:property>\n\
    </rdf:li></rdf:Bag></pdfaExtension:schemas>\n";

/// Adds the packet, unpacked so that any program finds it (ISO 32000-1, 14.3.2).
pub(super) fn add(document: &mut Document, booklet: &Booklet, claims: bool) -> ObjectId {
    let dict = dictionary! { "Type" => "Metadata", "Subtype" => "XML" };
    let stream = Stream::new(dict, packet(booklet, claims).into_bytes()).with_compression(false);
    document.add_object(stream)
}

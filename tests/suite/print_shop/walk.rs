//! A walk through a file for a print shop, rule by rule. Rules of PDF/X-4 are those of ISO 15930-7:2010, cited by their
//! subject: the standard is not public, and what stands here is from memory and from what its users publish. Rules of PDF
//! itself are cited by the clauses of ISO 32000-1:2008. Rules that are this project's own say so.

use lopdf::{Dictionary, Document, Object, ObjectId, Stream};
use std::collections::BTreeMap;

/// What is wrong: the rule's short name, and where.
pub type Faults = BTreeMap<&'static str, String>;

/// What content has to keep besides the standard.
#[derive(Clone, Copy)]
pub struct Limits {
    /// Total ink, per cent.
    pub ink: f64,
    /// Bleed on every side, points.
    pub bleed: f64,
}

struct Walk<'a> {
    bytes: &'a [u8],
    document: Document,
    limits: Limits,
    faults: Faults,
}

/// Every fault of a file.
pub fn walk(bytes: &[u8], limits: Limits) -> Faults {
    let document = Document::load_mem(bytes).expect("it opens");
    let mut walk = Walk { bytes, document, limits, faults: Faults::new() };
    walk.file();
    walk.metadata();
    walk.intent();
    walk.pages();
    walk.objects();
    walk.faults
}

fn name(object: &Object) -> &[u8] {
    object.as_name().unwrap_or_default()
}

fn number(object: &Object) -> f64 {
    match object {
        Object::Integer(value) => *value as f64,
        Object::Real(value) => f64::from(*value),
        _ => f64::NAN,
    }
}

impl Walk<'_> {
    fn rule(&mut self, rule: &'static str, holds: bool, what: impl Into<String>) {
        if !holds {
            self.faults.entry(rule).or_insert_with(|| what.into());
        }
    }

    fn entry<'o>(&'o self, dict: &'o Dictionary, key: &str) -> Option<&'o Object> {
        self.document.dereference(dict.get(key.as_bytes()).ok()?).ok().map(|(_, object)| object)
    }

    fn catalogue(&self) -> Dictionary {
        self.document.catalog().expect("a catalogue").clone()
    }

    fn file(&mut self) {
        // ISO 15930-7, header: PDF 1.6. ISO 32000-1, 7.5.2: bytes above 127 say that it is binary.
        let header = self.bytes.starts_with(b"%PDF-1.6\n%") && self.bytes[10..14].iter().all(|byte| *byte > 127);
        self.rule("header", header, "the header is not that of PDF 1.6");
        let version = self.catalogue().get(b"Version").map(|v| name(v).to_vec()).unwrap_or_default();
        self.rule("header", version.as_slice() <= &b"1.6"[..], "the catalogue says a later version");
        // ISO 15930-7, encryption and file identifiers.
        self.rule("encrypted", !self.document.is_encrypted() && !self.document.was_encrypted(), "it is locked");
        let id = self.document.trailer.get(b"ID").and_then(Object::as_array).cloned().unwrap_or_default();
        let whole = id.len() == 2 && id.iter().all(|part| part.as_str().is_ok_and(|part| !part.is_empty()));
        self.rule("file-id", whole, "no identifier of two parts");
        // ISO 15930-7, viewer preferences: areas are those that are printed. Own rule: never scaled.
        let catalogue = self.catalogue();
        let shown = self.entry(&catalogue, "ViewerPreferences").and_then(|o| o.as_dict().ok()).cloned();
        let shown = shown.unwrap_or_default();
        for key in ["ViewArea", "ViewClip", "PrintArea", "PrintClip"] {
            let area = shown.get(key.as_bytes()).map(|area| name(area).to_vec()).unwrap_or_default();
            self.rule("areas", matches!(area.as_slice(), b"" | b"MediaBox" | b"BleedBox"), key);
        }
        let scaling = shown.get(b"PrintScaling").map(|scaling| name(scaling) == b"None").unwrap_or(false);
        self.rule("scaling", scaling, "a viewer may scale it");
    }

    fn metadata(&mut self) {
        // ISO 15930-7, metadata: a packet that any program can read, with the version of the standard and what tells files
        // apart. ISO 32000-1, 14.3.2: not filtered.
        let catalogue = self.catalogue();
        let stream = self.entry(&catalogue, "Metadata").and_then(|o| o.as_stream().ok()).cloned();
        let Some(stream) = stream else { return self.rule("metadata", false, "there is none") };
        self.rule("metadata", !stream.dict.has(b"Filter"), "it is packed");
        let xml = String::from_utf8(stream.content).unwrap_or_default();
        let value = |key: &str| -> String {
            let inside =
                xml.split_once(&format!("<{key}>")).and_then(|(_, rest)| rest.split_once(&format!("</{key}>")));
            let mut text = inside.map(|(inside, _)| inside).unwrap_or_default().trim();
            // The words of a list or of alternatives stand inside two more elements.
            while text.starts_with('<') {
                text = text.split_once('>').map(|(_, rest)| rest.trim()).unwrap_or_default();
                text = text.rsplit_once("</").map(|(inside, _)| inside.trim()).unwrap_or_default();
            }
            text.to_owned()
        };
        let version =
            value("pdfxid:GTS_PDFXVersion") == "PDF/X-4" && xml.contains("\"http://www.npes.org/pdfx/ns/id/\"");
        self.rule("claim", version, "it does not say that it is PDF/X-4");
        for key in ["xmpMM:DocumentID", "xmpMM:VersionID", "xmpMM:RenditionClass", "dc:title", "xmp:MetadataDate"] {
            self.rule("identity", !value(key).is_empty(), key);
        }
        // ISO 15930-7: Trapped is true or false, and says so in both places; dates and title are the same in both.
        let info = self.document.trailer.get(b"Info").ok().and_then(|o| self.document.dereference(o).ok());
        let info = info.and_then(|(_, o)| o.as_dict().ok()).cloned().unwrap_or_default();
        let trapped = String::from_utf8_lossy(info.get(b"Trapped").map(name).unwrap_or_default()).into_owned();
        let said = matches!(trapped.as_str(), "True" | "False") && value("pdf:Trapped") == trapped;
        self.rule("trapped", said, format!("{trapped} and {}", value("pdf:Trapped")));
        let text = |key: &str| match info.get(key.as_bytes()).and_then(Object::as_str) {
            Ok([0xFE, 0xFF, utf16 @ ..]) => {
                let units = utf16.chunks_exact(2).map(|pair| u16::from_be_bytes([pair[0], pair[1]]));
                char::decode_utf16(units).map(|c| c.unwrap_or('?')).collect()
            }
            Ok(plain) => String::from_utf8_lossy(plain).into_owned(),
            Err(_) => String::new(),
        };
        let plain =
            |xml: String| xml.replace("&lt;", "<").replace("&gt;", ">").replace("&quot;", "\"").replace("&amp;", "&");
        self.rule("information", text("Title") == plain(value("dc:title")), "the titles differ");
        for (key, other) in [("CreationDate", "xmp:CreateDate"), ("ModDate", "xmp:ModifyDate")] {
            let digits = |date: String| date.chars().filter(char::is_ascii_digit).collect::<String>();
            let (one, two) = (digits(text(key)), digits(value(other)));
            self.rule("information", one.len() == 14 && one == two, format!("{key} is {one} and {two}"));
        }
    }

    fn intent(&mut self) {
        // ISO 15930-7, output intents: exactly one of PDF/X, with a profile inside the file that is of a printer.
        let catalogue = self.catalogue();
        let list = self.entry(&catalogue, "OutputIntents").and_then(|o| o.as_array().ok()).cloned().unwrap_or_default();
        let list: Vec<Dictionary> = list
            .iter()
            .filter_map(|o| self.document.dereference(o).ok().and_then(|(_, o)| o.as_dict().ok().cloned()))
            .filter(|intent| intent.get(b"S").is_ok_and(|s| name(s) == b"GTS_PDFX"))
            .collect();
        let [intent] = list.as_slice() else { return self.rule("intent", false, format!("{} of them", list.len())) };
        let words =
            |key: &str| intent.get(key.as_bytes()).and_then(Object::as_str).is_ok_and(|words| !words.is_empty());
        self.rule("intent", words("OutputConditionIdentifier"), "no condition");
        self.rule("intent", words("Info") || words("RegistryName"), "neither described nor in a registry");
        let profile = self.entry(intent, "DestOutputProfile").and_then(|o| o.as_stream().ok()).cloned();
        let Some(profile) = profile else { return self.rule("intent", false, "no profile") };
        self.rule("intent", profile.dict.get(b"N").is_ok_and(|n| number(n) == 4.0), "not for four inks");
        let icc = profile.get_plain_content().unwrap_or_default();
        // ICC.1:2010, 7.2: size, class, colour space, signature.
        let field = |at: usize| icc.get(at..at + 4).unwrap_or_default();
        let right = field(0) == (icc.len() as u32).to_be_bytes()
            && (field(12), field(16), field(36)) == (&b"prtr"[..], &b"CMYK"[..], &b"acsp"[..]);
        self.rule("intent", right, "not the whole profile of a printer");
    }

    fn pages(&mut self) {
        let pages: Vec<ObjectId> = self.document.page_iter().collect();
        // Own rule: sheets are folded once, so pages come in fours.
        self.rule("fours", !pages.is_empty() && pages.len().is_multiple_of(4), format!("{} pages", pages.len()));
        for (at, id) in pages.into_iter().enumerate() {
            let page = self.document.get_dictionary(id).expect("a page").clone();
            self.boxes(at, &page);
            // ISO 15930-7, annotations: none inside the bleed. Own rule: none at all.
            self.rule("annotation", !page.has(b"Annots"), format!("page {at}"));
            let content = self.document.get_page_content(id);
            let resources = self.entry(&page, "Resources").and_then(|o| o.as_dict().ok()).cloned().unwrap_or_default();
            self.content(&format!("page {at}"), &content, &resources);
        }
    }

    fn boxes(&mut self, at: usize, page: &Dictionary) {
        let read = |key: &str| -> Option<Vec<f64>> {
            let list = self.entry(page, key)?.as_array().ok()?;
            Some(list.iter().map(number).collect())
        };
        let (media, crop, bleed, trim, art) =
            (read("MediaBox"), read("CropBox"), read("BleedBox"), read("TrimBox"), read("ArtBox"));
        // ISO 15930-7, page boxes: one of trim and art, nested; ISO 32000-1, 14.11.2.
        self.rule("boxes", trim.is_some() != art.is_some(), format!("page {at}: trim or art, not both"));
        let (Some(media), Some(bleed), Some(trim)) = (media, bleed, trim) else {
            return self.rule("boxes", false, format!("page {at}: a box is missing"));
        };
        let inside = |inner: &[f64], outer: &[f64]| {
            (0..2).all(|i| inner[i] >= outer[i] - 1e-3) && (2..4).all(|i| inner[i] <= outer[i] + 1e-3)
        };
        self.rule("boxes", inside(&trim, &bleed), format!("page {at}: the trim leaves the bleed"));
        self.rule("boxes", inside(&bleed, &media), format!("page {at}: the bleed leaves the sheet"));
        let shown = crop.is_none_or(|crop| inside(&bleed, &crop) && inside(&crop, &media));
        self.rule("boxes", shown, format!("page {at}: a viewer cuts it"));
        // Own rule: the bleed is as wide as said, on every side.
        let wide = (0..4).all(|side| ((trim[side] - bleed[side]).abs() - self.limits.bleed).abs() < 0.01);
        self.rule("bleed", wide, format!("page {at}: {trim:?} {bleed:?}"));
    }

    /// Content of a page or form.
    fn content(&mut self, place: &str, content: &[u8], resources: &Dictionary) {
        use hayro_syntax::object::Object as Read;
        let mut operators = hayro_syntax::content::UntypedIter::new(content);
        let states = self.entry(resources, "ExtGState").and_then(|o| o.as_dict().ok()).cloned().unwrap_or_default();
        let (mut fill, mut over, mut size) = (vec![0.0, 0.0, 0.0, 1.0], false, 0.0);
        let mut saved = Vec::new();
        while let Some(instruction) = operators.next() {
            let numbers: Vec<f64> = instruction
                .operands()
                .filter_map(|operand| match operand {
                    Read::Number(number) => Some(number.as_f64()),
                    _ => None,
                })
                .collect();
            let operator: &[u8] = instruction.operator;
            match operator {
                b"q" => saved.push((fill.clone(), over)),
                b"Q" => (fill, over) = saved.pop().unwrap_or((vec![0.0, 0.0, 0.0, 1.0], false)),
                // ISO 15930-7, colour: device colours of the intent's space; RGB would want a profile of its own.
                b"rg" | b"RG" | b"cs" | b"CS" | b"sc" | b"SC" | b"scn" | b"SCN" | b"sh" => {
                    self.rule("colour", false, format!("{place}: {}", String::from_utf8_lossy(operator)));
                }
                b"k" | b"K" => {
                    let ink: f64 = numbers.iter().sum::<f64>() * 100.0;
                    // Own rule: no colour takes more ink than the paper carries.
                    self.rule("ink", ink <= self.limits.ink + 1e-6, format!("{place}: {ink} %"));
                    if operator == b"k" {
                        fill = numbers;
                    }
                }
                b"Tf" => size = numbers[0],
                b"g" => fill = vec![0.0, 0.0, 0.0, 1.0 - numbers[0]],
                b"gs" => {
                    let key = instruction.operands().find_map(|operand| match operand {
                        Read::Name(name) => Some(name.as_str().to_owned()),
                        _ => None,
                    });
                    let state =
                        key.and_then(|key| self.entry(&states, &key)?.as_dict().ok().cloned()).unwrap_or_default();
                    over = matches!(state.get(b"op"), Ok(Object::Boolean(true)))
                        && state.get(b"OPM").is_ok_and(|mode| number(mode) == 1.0);
                }
                // Own rule: type is black ink alone, printed over what lies below it; white type takes its place.
                b"Tj" | b"TJ" => {
                    let black = fill.len() == 4 && fill[..3].iter().all(|ink| *ink == 0.0);
                    self.rule("type", black, format!("{place}: {fill:?}"));
                    // Own rule: no screen where the type is all but black.
                    self.rule("screened", fill[3] < 0.85 || fill[3] == 1.0, format!("{place}: {fill:?}"));
                    self.rule("over", over == (fill[3] > 0.0), format!("{place}: {fill:?}"));
                    // Own rule: no screen in type under seven points.
                    let is_plain = fill[3] == 0.0 || fill[3] == 1.0;
                    self.rule("small", size >= 7.0 || is_plain, format!("{place}: {size} pt, {fill:?}"));
                }
                // Own rule: no line is thinner than a quarter of a point.
                b"w" => self.rule("thin", numbers[0] >= 0.25 - 1e-6, format!("{place}: {} pt", numbers[0])),
                b"BDC" | b"BMC" => {
                    let tag = instruction.operands().next();
                    let span = matches!(&tag, Some(Read::Name(name)) if name.as_str() == "Span");
                    // Own rule: no tags, but words beside glyphs may stay.
                    self.rule("tags", span, place);
                }
                b"PS" => self.rule("postscript", false, place),
                _ => {}
            }
        }
    }

    fn objects(&mut self) {
        let catalogue = self.catalogue();
        // ISO 15930-7, interactive content: no actions, no scripts. Own rule: no fields, no tags, no outline.
        for key in
            ["AcroForm", "StructTreeRoot", "MarkInfo", "OpenAction", "AA", "Outlines", "OCProperties", "Collection"]
        {
            self.rule("screen", !catalogue.has(key.as_bytes()), key);
        }
        let objects: Vec<Object> = self.document.objects.values().cloned().collect();
        let mut fonts = 0;
        for object in objects {
            let dict = match &object {
                Object::Dictionary(dict) => dict.clone(),
                Object::Stream(stream) => stream.dict.clone(),
                _ => continue,
            };
            let kind = dict.get(b"Type").map(|kind| name(kind).to_vec()).unwrap_or_default();
            let subtype = dict.get(b"Subtype").map(|kind| name(kind).to_vec()).unwrap_or_default();
            for key in ["A", "AA", "JS", "JavaScript", "OPI", "Alternates", "Ref", "PS"] {
                self.rule("action", !dict.has(key.as_bytes()), key);
            }
            if kind == b"Font" && !subtype.starts_with(b"CIDFont") {
                fonts += 1;
                self.font(&dict);
            }
            if let Some(states) = self.entry(&dict, "ExtGState").and_then(|o| o.as_dict().ok()).cloned() {
                for (_, state) in &states {
                    let state = self.document.dereference(state).ok().and_then(|(_, o)| o.as_dict().ok()).cloned();
                    self.state(&state.unwrap_or_default());
                }
            }
            // ISO 15930-7 allows transparency; own rule: there is none, so that no shop has to flatten it.
            let mask = dict.get(b"SMask").is_ok_and(|mask| name(mask) != b"None");
            self.rule("transparency", !mask && !dict.has(b"Group"), String::from_utf8_lossy(&subtype));
            if let Object::Stream(stream) = &object {
                self.stream(stream, &subtype);
            }
        }
        self.rule("fonts", fonts > 0, "there are none");
    }

    fn font(&mut self, font: &Dictionary) {
        // ISO 15930-7, fonts: every program is inside the file. ISO 32000-1, 9.6.4: six letters before a subset's name.
        let below = self.entry(font, "DescendantFonts").and_then(|o| o.as_array().ok()).cloned().unwrap_or_default();
        let below = below.first().and_then(|o| self.document.dereference(o).ok()).and_then(|(_, o)| o.as_dict().ok());
        let descriptor = below.unwrap_or(font).get(b"FontDescriptor").ok();
        let descriptor = descriptor.and_then(|o| self.document.dereference(o).ok()).and_then(|(_, o)| o.as_dict().ok());
        let inside =
            descriptor.is_some_and(|d| ["FontFile", "FontFile2", "FontFile3"].iter().any(|k| d.has(k.as_bytes())));
        let base = String::from_utf8_lossy(font.get(b"BaseFont").map(name).unwrap_or_default()).into_owned();
        let subset = base.as_bytes().get(6) == Some(&b'+');
        self.rule("fonts", inside && subset, base);
    }

    fn state(&mut self, state: &Dictionary) {
        // ISO 15930-7, graphics state: no transfer curves, no halftone of one's own phase.
        let default = |key: &[u8]| state.get(key).map(|value| name(value) == b"Default").unwrap_or(true);
        let plain = !state.has(b"TR") && default(b"TR2") && !state.has(b"HTP");
        self.rule("state", plain, format!("{state:?}"));
        let solid = |key: &[u8]| state.get(key).map(|alpha| number(alpha) == 1.0).unwrap_or(true);
        let normal = state.get(b"BM").map(|mode| matches!(name(mode), b"Normal" | b"Compatible")).unwrap_or(true);
        self.rule("transparency", solid(b"CA") && solid(b"ca") && normal, format!("{state:?}"));
    }

    fn stream(&mut self, stream: &Stream, subtype: &[u8]) {
        // ISO 15930-7, filters: no LZW, and nothing outside the file.
        let filters = stream.filters().unwrap_or_default();
        let known = filters.iter().all(|f| matches!(&**f, b"FlateDecode" | b"DCTDecode"));
        self.rule("filter", known, format!("{filters:?}"));
        self.rule("outside", !stream.dict.has(b"F"), "a stream lies elsewhere");
        if subtype == b"PS" {
            self.rule("postscript", false, "a form of PostScript");
        }
        if subtype == b"Form" {
            let content = stream.get_plain_content().unwrap_or_default();
            let resources = self.entry(&stream.dict, "Resources").and_then(|o| o.as_dict().ok()).cloned();
            self.content("a form", &content, &resources.unwrap_or_default());
        }
        if subtype == b"Image" {
            let space = self.entry(&stream.dict, "ColorSpace").map(|space| name(space).to_vec()).unwrap_or_default();
            self.rule("colour", space == b"DeviceCMYK", "a picture");
            // Own rule: every pixel keeps to the limit.
            let pixels = stream.get_plain_content().unwrap_or_default();
            let most =
                pixels.chunks_exact(4).map(|p| p.iter().map(|ink| u32::from(*ink)).sum::<u32>()).max().unwrap_or(0);
            let ink = f64::from(most) / 2.55;
            self.rule("ink", ink <= self.limits.ink + 1e-6, format!("a pixel of {ink} %"));
        }
    }
}

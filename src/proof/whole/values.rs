//! Two values held against each other, with all they lead to. Pairs of objects wait in a row instead of being followed at
//! once, so that chains of any length take no depth.

use super::super::report::Finding;
use super::shown::shown;
use super::tokens;
use super::words::Area;
use crate::reader::document::plain;
use lopdf::{Dictionary, Document, Object, ObjectId, Stream};
use std::collections::{BTreeMap, BTreeSet, VecDeque};

/// Numbers in objects have at most four decimals: half of the last one is no difference, a whole one is.
const NEAR: f64 = 5e-5;
/// Lists within lists that are followed without a new object between them.
const MAX_DEPTH: usize = 40;
/// Bytes that a stream may unpack to beyond what it should.
const SPARE: usize = 4 << 20;
/// Bytes of the largest stream that is compared.
const MAX_STREAM: usize = 256 << 20;
/// Entries of a stream that say how it is packed, and nothing else.
const PACKING: [&[u8]; 4] = [b"Length", b"Filter", b"DecodeParms", b"DL"];

/// Where in the file something was met first.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Place {
    /// Page of the found file, from 1.
    pub(crate) page: Option<usize>,
    /// Part of the file.
    pub(crate) area: Area,
}

/// Two files that are held against each other.
pub(super) struct Pair<'a> {
    pub(crate) found: &'a Document,
    pub(crate) made: &'a Document,
    /// The made page that each found one stands for, by their objects.
    pub(crate) pages: BTreeMap<ObjectId, Option<ObjectId>>,
    /// Pages of the made file.
    pub(crate) made_pages: BTreeSet<ObjectId>,
    met: BTreeSet<(ObjectId, ObjectId)>,
    waiting: VecDeque<(ObjectId, ObjectId, Place)>,
    pub(crate) findings: Vec<Finding>,
    /// Places that something was told of already.
    told: BTreeSet<(Option<usize>, Area)>,
    pub(crate) objects: usize,
}

impl<'a> Pair<'a> {
    pub(super) fn new(found: &'a Document, made: &'a Document) -> Pair<'a> {
        Pair {
            found,
            made,
            pages: BTreeMap::new(),
            made_pages: made.page_iter().collect(),
            met: BTreeSet::new(),
            waiting: VecDeque::new(),
            findings: Vec::new(),
            told: BTreeSet::new(),
            objects: 0,
        }
    }

    /// Tells of something.
    pub(super) fn note(&mut self, finding: Finding) {
        self.findings.push(finding);
    }

    /// Tells that something differs, once for each place.
    pub(super) fn differs(&mut self, place: Place, what: &str) {
        if self.told.insert((place.page, place.area)) {
            let finding = Finding::new(place.area.id(), format!("{}: {what}", place.area.words()));
            self.findings.push(place.page.map_or(finding.clone(), |page| finding.on(page)));
        }
    }

    /// Compares all objects that wait, and what they lead to.
    pub(super) fn finish(&mut self) {
        while let Some((found, made, place)) = self.waiting.pop_front() {
            self.objects += 1;
            let (found, made) = (self.found.get_object(found).ok(), self.made.get_object(made).ok());
            self.values(found, made, place, "", 0);
        }
    }

    /// The entries of the catalogue; pages have been compared already.
    pub(super) fn catalogues(&mut self, found: &Dictionary, made: &Dictionary) {
        for key in keys(found, made, &[b"Type", b"Pages", b"Version", b"Extensions"]) {
            let place = Place { page: None, area: Area::of_catalogue(&key) };
            self.entries(found, made, &key, place, 0);
        }
    }

    /// Title, maker and dates.
    pub(super) fn information(&mut self, found: &Dictionary, made: &Dictionary) {
        for key in keys(found, made, &[]) {
            self.entries(found, made, &key, Place { page: None, area: Area::Information }, 0);
        }
    }

    /// One entry of two dictionaries.
    pub(super) fn entries(&mut self, found: &Dictionary, made: &Dictionary, key: &[u8], place: Place, depth: usize) {
        let name = String::from_utf8_lossy(key).into_owned();
        self.values(found.get(key).ok(), made.get(key).ok(), place, &name, depth);
    }

    /// Two values; `name` is what the file calls them.
    pub(super) fn values(
        &mut self,
        found: Option<&Object>,
        made: Option<&Object>,
        place: Place,
        name: &str,
        depth: usize,
    ) {
        if let (Some(Object::Reference(one)), Some(Object::Reference(other))) = (found, made) {
            self.references(*one, *other, place, name);
            return;
        }
        let (found, made) = (self.follow(self.found, found), self.follow(self.made, made));
        if depth > MAX_DEPTH {
            self.differs(place, "it is nested more deeply than any file of this program");
            return;
        }
        match (found, made) {
            (None, None) => {}
            (Some(Object::Integer(_) | Object::Real(_)), Some(Object::Integer(_) | Object::Real(_)))
                if same_number(found, made) => {}
            (Some(Object::Boolean(a)), Some(Object::Boolean(b))) if a == b => {}
            (Some(Object::Name(a)), Some(Object::Name(b))) if a == b => {}
            (Some(Object::String(a, _)), Some(Object::String(b, _))) if a == b => {}
            (Some(Object::Array(a)), Some(Object::Array(b))) if a.len() == b.len() => {
                for (a, b) in a.iter().zip(b) {
                    self.values(Some(a), Some(b), place, name, depth + 1);
                }
            }
            (Some(Object::Dictionary(a)), Some(Object::Dictionary(b))) => self.dictionaries(a, b, place, &[], depth),
            (Some(Object::Stream(a)), Some(Object::Stream(b))) => {
                self.dictionaries(&a.dict, &b.dict, place, &PACKING, depth);
                self.streams(a, b, place);
            }
            _ => {
                let of = if name.is_empty() { String::new() } else { format!("`{name}` is ") };
                self.differs(place, &format!("{of}{} instead of {}", shown(found), shown(made)));
            }
        }
    }

    fn references(&mut self, found: ObjectId, made: ObjectId, place: Place, name: &str) {
        let is_page = self.made_pages.contains(&made);
        match self.pages.get(&found) {
            Some(stands_for) if *stands_for == Some(made) => {}
            None if !is_page => {
                if self.met.insert((found, made)) {
                    self.waiting.push_back((found, made, place));
                }
            }
            // A page that is missing or moved has been told of, and what leads to it leads elsewhere because of that.
            _ => self.differs(place, &format!("`{name}` leads to another page")),
        }
    }

    /// Two objects that are compared elsewhere.
    pub(super) fn is_met(&mut self, found: ObjectId, made: ObjectId) {
        self.met.insert((found, made));
    }

    fn dictionaries(&mut self, found: &Dictionary, made: &Dictionary, place: Place, but: &[&[u8]], depth: usize) {
        for key in keys(found, made, but) {
            self.entries(found, made, &key, place, depth + 1);
        }
    }

    /// What two streams hold.
    fn streams(&mut self, found: &Stream, made: &Stream, place: Place) {
        if found.content == made.content && same_packing(found, made) {
            return;
        }
        let is_drawing = made.dict.get(b"Subtype").and_then(Object::as_name).is_ok_and(|kind| kind == b"Form");
        match (unpacked(found, self.most(made)), unpacked(made, MAX_STREAM)) {
            (Ok(found), Ok(made)) if found == made => {}
            (Ok(found), Ok(made)) if is_drawing => {
                if let Some((found, made)) = tokens::difference(&found, &made) {
                    self.differs(place, &parted(found, made));
                }
            }
            (Ok(_), Ok(_)) => self.differs(place, "what it holds is not what it should"),
            (Err(why), _) | (_, Err(why)) => self.differs(place, &format!("it cannot be unpacked: {why}")),
        }
    }

    /// As many bytes as a stream of the found file may unpack to, from what stands in its place.
    pub(super) fn most(&self, made: &Stream) -> usize {
        let size = unpacked(made, MAX_STREAM).map_or(made.content.len(), |bytes| bytes.len());
        (2 * size + SPARE).min(MAX_STREAM)
    }

    fn follow<'o>(&self, document: &'o Document, object: Option<&'o Object>) -> Option<&'o Object> {
        let (_, object) = document.dereference(object?).ok()?;
        Some(object).filter(|object| !object.is_null())
    }
}

/// Where two contents part, in words.
pub(super) fn parted(found: Option<tokens::Token<'_>>, made: Option<tokens::Token<'_>>) -> String {
    let said =
        |token: Option<tokens::Token<'_>>| token.map_or("the end".to_owned(), |token| format!("`{}`", token.shown()));
    format!("the first difference is {} instead of {}", said(found), said(made))
}

/// All keys of both, but for some.
pub(super) fn keys(found: &Dictionary, made: &Dictionary, but: &[&[u8]]) -> Vec<Vec<u8>> {
    let all: BTreeSet<&Vec<u8>> = found.iter().chain(made.iter()).map(|(key, _)| key).collect();
    all.into_iter().filter(|key| !but.contains(&key.as_slice())).cloned().collect()
}

fn same_number(found: Option<&Object>, made: Option<&Object>) -> bool {
    let value = |object: Option<&Object>| match object {
        Some(Object::Integer(number)) => Some(*number as f64),
        Some(Object::Real(number)) => Some(f64::from(*number)),
        _ => None,
    };
    // What is written with six figures of a large number is off by more than of a small one.
    matches!((value(found), value(made)), (Some(a), Some(b)) if (a - b).abs() <= NEAR.max(b.abs() * 1e-6))
}

fn same_packing(found: &Stream, made: &Stream) -> bool {
    [b"Filter".as_slice(), b"DecodeParms"].iter().all(|key| found.dict.get(key).ok() == made.dict.get(key).ok())
}

/// What a stream holds; a picture that is packed as JPEG stays so.
pub(super) fn unpacked(stream: &Stream, most: usize) -> Result<Vec<u8>, String> {
    let filters = stream.filters().unwrap_or_default();
    let is_picture =
        |filter: &&[u8]| matches!(*filter, b"DCTDecode" | b"JPXDecode" | b"CCITTFaxDecode" | b"JBIG2Decode");
    match filters.as_slice() {
        [] => Ok(stream.content.clone()),
        [only] if is_picture(only) => Ok(stream.content.clone()),
        _ => stream.get_plain_content_with_limit(most).map_err(|error| plain(&error)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use lopdf::dictionary;

    /// What is told of two values.
    fn told(found: &Object, made: &Object) -> Vec<String> {
        let empty = Document::new();
        let mut pair = Pair::new(&empty, &empty);
        pair.values(Some(found), Some(made), Place { page: Some(3), area: Area::Information }, "Key", 0);
        pair.findings.iter().map(Finding::sentence).collect()
    }

    fn is_same(found: impl Into<Object>, made: impl Into<Object>) -> bool {
        told(&found.into(), &made.into()).is_empty()
    }

    #[test]
    fn numbers_are_the_same_within_half_of_the_last_decimal_or_a_millionth() {
        assert!(is_same(5, 5.0_f32) && is_same(5.000_04_f32, 5) && is_same(-3, -3));
        assert!(!is_same(5.000_1_f32, 5) && !is_same(5, 6) && !is_same(3, -3));
        // Own computation: a millionth of 2,000,000 is 2, of 100,000 a tenth.
        assert!(is_same(2_000_001, 2_000_000) && !is_same(2_000_003, 2_000_000));
        assert!(!is_same(100_000.5_f32, 100_000));
    }

    #[test]
    fn values_of_other_kinds_and_other_values_are_told_by_name() {
        assert!(is_same(true, true) && is_same(Object::Name(b"A".to_vec()), Object::Name(b"A".to_vec())));
        assert!(!is_same(true, false) && !is_same(Object::Name(b"A".to_vec()), Object::Name(b"B".to_vec())));
        assert!(!is_same(Object::string_literal("a"), Object::string_literal("b")));
        assert!(!is_same(1, true) && !is_same(Object::string_literal("A"), Object::Name(b"A".to_vec())));
        let found = told(&5.into(), &6.into());
        assert!(found[0].starts_with("page 3: ") && found[0].contains("`Key` is "), "{found:?}");
        let (one, other): (Object, Object) =
            (dictionary! { "A" => 1 }.into(), dictionary! { "A" => 1, "B" => 2 }.into());
        assert_eq!((told(&one, &other).len(), told(&other, &one).len(), told(&one, &one).len()), (1, 1, 0));
        assert!(is_same(vec![1.into(), 2.into()], vec![1.into(), 2.into()]));
        assert!(!is_same(vec![1.into()], vec![1.into(), 2.into()]) && !is_same(vec![1.into()], vec![2.into()]));
    }

    #[test]
    fn lists_and_dictionaries_are_followed_so_deep_and_no_deeper() {
        let lists = |depth: usize| (0..depth).fold(Object::Integer(1), |inner, _| vec![inner].into());
        let dictionaries =
            |depth: usize| (0..depth).fold(Object::Integer(1), |inner, _| dictionary! { "A" => inner }.into());
        for nested in [&lists as &dyn Fn(usize) -> Object, &dictionaries] {
            assert_eq!(told(&nested(MAX_DEPTH), &nested(MAX_DEPTH)), Vec::<String>::new());
            let deeper = told(&nested(MAX_DEPTH + 1), &nested(MAX_DEPTH + 1));
            assert!(deeper.len() == 1 && deeper[0].contains("nested more deeply"), "{deeper:?}");
        }
    }

    #[test]
    fn streams_are_the_same_where_they_hold_the_same_however_they_are_packed() {
        let plain = Stream::new(Dictionary::new(), b"1 0 0 1 0 0 cm ".repeat(9));
        let mut packed = plain.clone();
        packed.compress().expect("packed");
        assert!(is_same(plain.clone(), packed.clone()) && is_same(packed.clone(), plain.clone()));
        // The same bytes that are said to be packed otherwise hold something else.
        let mut mislabelled = packed.clone();
        mislabelled.dict.remove(b"Filter");
        assert_eq!(told(&mislabelled.into(), &packed.into()).len(), 1);
        let other = Stream::new(Dictionary::new(), b"1 0 0 1 0 9 cm ".repeat(9));
        assert!(told(&other.into(), &plain.into())[0].contains("what it holds is not what it should"));
        let form = |content: &[u8]| Stream::new(dictionary! { "Subtype" => "Form" }, content.to_vec());
        assert!(is_same(form(b"1 0 m"), form(b"1.0  0 m")));
        let drawn = told(&form(b"1 0 m").into(), &form(b"1 2 m").into());
        assert!(drawn[0].contains("the first difference is `0` instead of `2`"), "{drawn:?}");
    }

    #[test]
    fn a_found_stream_may_unpack_to_twice_what_it_should_and_some_bytes_more() {
        let empty = Document::new();
        let pair = Pair::new(&empty, &empty);
        assert_eq!(pair.most(&Stream::new(Dictionary::new(), vec![0; 100])), 200 + (4 << 20));
    }

    #[test]
    fn keys_of_both_are_held_against_each_other_but_for_some() {
        let (one, other) = (dictionary! { "A" => 1, "B" => 2 }, dictionary! { "C" => 3, "B" => 2 });
        assert_eq!(keys(&one, &other, &[b"B"]), [b"A".to_vec(), b"C".to_vec()]);
    }
}

//! XML gone through from its first byte to its last, without being kept: a sheet may have a million cells. The only door to
//! `quick-xml`.

use super::zip::broken;
use crate::diag::Diagnostic;
use quick_xml::events::{BytesStart, Event};
use quick_xml::{Reader, XmlVersion};

/// What comes next in a text.
pub(super) enum Step<'t> {
    /// An element begins.
    Open(Element<'t>),
    /// Words inside of the one that began last.
    Words(&'t str),
    /// The element of this name ends.
    Close(&'t str),
}

/// An element, its names without prefixes.
pub(super) struct Element<'t> {
    start: &'t BytesStart<'t>,
}

impl Element<'_> {
    pub(super) fn name(&self) -> &str {
        self.start.local_name().into_inner()
    }

    /// What an attribute says; `None`: it has none of this name.
    pub(super) fn attribute(&self, name: &str) -> Option<String> {
        let mut all = self.start.attributes();
        let own = all.with_checks(false).flatten().find(|attribute| attribute.key.local_name().into_inner() == name)?;
        own.normalized_value(XmlVersion::Implicit1_0).ok().map(std::borrow::Cow::into_owned)
    }

    /// A number that an attribute says.
    pub(super) fn number(&self, name: &str) -> Option<usize> {
        self.attribute(name)?.trim().parse().ok()
    }
}

/// Goes through a text. The diagnostic has no span.
pub(super) fn each(text: &str, mut step: impl FnMut(Step<'_>) -> Result<(), Diagnostic>) -> Result<(), Diagnostic> {
    let no_xml = || broken("a part is no XML");
    let mut reader = Reader::from_str(text);
    let mut open = 0_usize;
    loop {
        match reader.read_event().map_err(|_| no_xml())? {
            Event::Start(start) => {
                open += 1;
                step(Step::Open(Element { start: &start }))?;
            }
            Event::Empty(start) => {
                step(Step::Open(Element { start: &start }))?;
                step(Step::Close(start.local_name().into_inner()))?;
            }
            Event::End(end) => {
                open = open.saturating_sub(1);
                step(Step::Close(end.local_name().into_inner()))?;
            }
            Event::Text(words) => step(Step::Words(&words.xml10_content()))?,
            Event::CData(words) => step(Step::Words(&words.xml10_content()))?,
            Event::GeneralRef(reference) => match reference.resolve_char_ref() {
                Ok(Some(c)) => step(Step::Words(c.encode_utf8(&mut [0; 4])))?,
                Ok(None) => {
                    let name = reference.xml10_content();
                    step(Step::Words(quick_xml::escape::resolve_predefined_entity(&name).ok_or_else(no_xml)?))?;
                }
                Err(_) => return Err(no_xml()),
            },
            Event::Eof => return if open == 0 { Ok(()) } else { Err(no_xml()) },
            Event::Comment(_) | Event::Decl(_) | Event::PI(_) | Event::DocType(_) => {}
        }
    }
}

/// Words that are gathered from a text, no more of them than a cell of a chart may hold.
#[derive(Default)]
pub(super) struct Gathered {
    words: String,
}

impl Gathered {
    /// Most bytes that are kept until spaces around them are taken off.
    const MOST: usize = 1_000;

    pub(super) fn add(&mut self, words: &str) {
        if self.words.len() < Gathered::MOST {
            self.words.extend(words.chars().take(Gathered::MOST));
        }
    }

    /// What was gathered, without spaces around; nothing is left behind.
    pub(super) fn take(&mut self) -> String {
        let words = self.words.trim().chars().take(40).collect();
        self.words.clear();
        words
    }
}

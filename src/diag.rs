//! Faults and advice as data: what is wrong, where, and what to do about it.
//!
//! A leaf. No rendering and no exit codes here: `cli/report.rs` turns a [`Report`] into words on the screen. Advice is a
//! [`Phrase`] besides, for those who say it in another language.

mod phrase;

pub(crate) use phrase::{Phrase, Value};

/// Which file a span lies in: an index into [`crate::source::Sources`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct SourceId(pub usize);

/// A stretch of one file, in bytes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Span {
    /// The file.
    pub source: SourceId,
    /// First byte.
    pub(crate) start: usize,
    /// One past the last byte; equal to `start` where only a place is meant.
    pub(crate) end: usize,
}

impl Span {
    /// A stretch of `source`.
    pub(crate) fn new(source: SourceId, start: usize, end: usize) -> Span {
        Span { source, start, end }
    }
    /// The whole of a file: used where the file has no text to point into, a picture for instance.
    pub fn file(source: SourceId) -> Span {
        Span { source, start: 0, end: 0 }
    }
}

/// How much a diagnostic weighs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// Nothing is composed until it is mended; exit code 1.
    Fault,
    /// Worth knowing before selling; alone it exits 0.
    Advice,
    /// The machine would not do it: a file it may not read, a disk that fails. Nothing is composed; exit code 3.
    Failure,
}

/// One fault or piece of advice.
#[derive(Clone, Debug, PartialEq)]
pub struct Diagnostic {
    /// Names the fault, in kebab case: `ragged-row`.
    pub id: &'static str,
    /// Fault or advice.
    pub severity: Severity,
    /// Lower case, no full stop, offending value in back-ticks.
    pub message: String,
    /// Where; `None` when no file is to blame.
    pub span: Option<Span>,
    /// Short words that stand beside the excerpt.
    pub(crate) label: Option<String>,
    /// Other places that have to do with it, with a few words each.
    pub(crate) others: Vec<(Span, String)>,
    /// What to do, each an instruction.
    pub hints: Vec<String>,
    /// A character that is to blame, wherever it stands.
    pub(crate) character: Option<char>,
    /// Whether the command line is to blame, and no file.
    pub(crate) is_typed: bool,
    /// The message and then the hints as data, where they can be said in other languages: always those of advice.
    pub phrases: Vec<Phrase>,
}

impl Diagnostic {
    /// A fault.
    pub(crate) fn fault(id: &'static str, message: impl Into<String>) -> Diagnostic {
        Diagnostic {
            id,
            severity: Severity::Fault,
            message: message.into(),
            span: None,
            label: None,
            others: Vec::new(),
            hints: Vec::new(),
            character: None,
            is_typed: false,
            phrases: Vec::new(),
        }
    }
    /// Names a character to look for where no place is known.
    pub(crate) fn character(mut self, character: char) -> Diagnostic {
        self.character = Some(character);
        self
    }
    /// What was typed is to blame.
    pub(crate) fn typed(mut self) -> Diagnostic {
        self.is_typed = true;
        self
    }
    /// A piece of advice, called by the key of its phrase.
    pub(crate) fn advice(phrase: Phrase) -> Diagnostic {
        let plain = Diagnostic::fault(phrase.key, phrase.to_string());
        Diagnostic { severity: Severity::Advice, phrases: vec![phrase], ..plain }
    }
    /// Gives it another name than that of its phrase: one piece of advice that says one of several things.
    pub(crate) fn called(mut self, id: &'static str) -> Diagnostic {
        self.id = id;
        self
    }
    /// The machine's failure, not the maker's.
    pub(crate) fn failure(id: &'static str, message: impl Into<String>) -> Diagnostic {
        Diagnostic { severity: Severity::Failure, ..Diagnostic::fault(id, message) }
    }
    /// Says where.
    pub(crate) fn at(mut self, span: Span) -> Diagnostic {
        self.span = Some(span);
        self
    }
    /// Says where, if it is known.
    pub(crate) fn at_maybe(mut self, span: Option<Span>) -> Diagnostic {
        self.span = span.or(self.span);
        self
    }
    /// Words beside the excerpt.
    pub(crate) fn label(mut self, label: impl Into<String>) -> Diagnostic {
        self.label = Some(label.into());
        self
    }
    /// Shows another place as well.
    pub(crate) fn also(mut self, span: Span, words: impl Into<String>) -> Diagnostic {
        self.others.push((span, words.into()));
        self
    }
    /// Adds an instruction to a piece of advice.
    pub(crate) fn advise(mut self, hint: Phrase) -> Diagnostic {
        self.hints.push(hint.to_string());
        self.phrases.push(hint);
        self
    }
    /// Puts the message into another sentence.
    pub(crate) fn put_into(mut self, sentence: impl FnOnce(Value) -> Phrase) -> Diagnostic {
        let own = self.phrases.first().cloned();
        let sentence = sentence(own.map_or_else(|| Value::from(&self.message), Value::from));
        self.message = sentence.to_string();
        if let Some(first) = self.phrases.first_mut() {
            *first = sentence;
        }
        self
    }
    /// Adds an instruction.
    pub(crate) fn hint(mut self, hint: impl Into<String>) -> Diagnostic {
        self.hints.push(hint.into());
        self
    }
}

/// Collects what was found, in the order it was found.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Report {
    diagnostics: Vec<Diagnostic>,
}

impl Report {
    /// An empty report.
    pub fn new() -> Report {
        Report::default()
    }
    /// Adds one.
    pub(crate) fn push(&mut self, diagnostic: Diagnostic) {
        self.diagnostics.push(diagnostic);
    }
    /// Whether anything forbids composing.
    pub fn has_faults(&self) -> bool {
        self.diagnostics.iter().any(|d| d.severity != Severity::Advice)
    }
    /// Whether a fault lies in what was typed.
    pub(crate) fn is_wrong_use(&self) -> bool {
        self.diagnostics.iter().any(|d| d.is_typed && d.severity != Severity::Advice)
    }
    /// Whether the machine failed, whatever else was found.
    pub(crate) fn machine_failed(&self) -> bool {
        self.diagnostics.iter().any(|d| d.severity == Severity::Failure)
    }
    /// All of them.
    pub fn iter(&self) -> impl Iterator<Item = &Diagnostic> {
        self.diagnostics.iter()
    }
    /// How many there are.
    pub fn len(&self) -> usize {
        self.diagnostics.len()
    }
    /// Whether there are none.
    pub fn is_empty(&self) -> bool {
        self.diagnostics.is_empty()
    }
    /// Takes in another report's diagnostics, after its own.
    pub(crate) fn extend(&mut self, other: Report) {
        self.diagnostics.extend(other.diagnostics);
    }
    /// Says of every diagnostic that has no place which file it is about.
    pub(crate) fn name_file(&mut self, shown: &str) {
        for diagnostic in self.diagnostics.iter_mut().filter(|diagnostic| diagnostic.span.is_none()) {
            diagnostic.message = format!("`{shown}`: {}", diagnostic.message);
        }
    }
    /// Keeps those for which `keep` says yes.
    pub(crate) fn retain(&mut self, keep: impl FnMut(&Diagnostic) -> bool) {
        self.diagnostics.retain(keep);
    }
}

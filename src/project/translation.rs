//! A project in another language: the maker's own texts are exchanged for those of a translation, where it has them; what
//! it lacks stays as she wrote it first, and is marked on paper with its own language.

use super::{OwnWords, Project};
use crate::diag::{Phrase, Span, Value};
use crate::words::Words;

/// The maker's own texts in another language. `None`: it has not that one.
#[derive(Clone, Debug, PartialEq)]
pub struct Translation {
    /// Its language tag: "de-DE".
    pub(crate) language: String,
    /// For the title.
    pub(crate) title: Option<String>,
    /// For the subtitle.
    pub(crate) subtitle: Option<String>,
    /// For the introduction.
    pub(crate) introduction: Option<String>,
    /// For the closing notes.
    pub(crate) notes: Option<String>,
    /// For what the photograph shows.
    pub(crate) photograph_words: Option<String>,
    /// For what the panel's picture shows.
    pub(crate) picture_words: Option<String>,
    /// For the credit line.
    pub(crate) credit: Option<String>,
    /// For her words on the licence.
    pub(crate) licence_words: Option<String>,
    /// For her words in sections; of several in one section, in the order of the project's.
    pub(crate) own_words: Vec<OwnWords>,
    /// Names as the project has them, and as this language has them; each with its place.
    pub(crate) names: Vec<(String, String, Span)>,
    /// Where it says its language.
    pub(crate) place: Span,
}

/// The translation that a project's texts are taken from.
#[derive(Clone, Debug, PartialEq)]
pub struct InLanguage {
    /// Its language tag.
    pub(crate) language: String,
    /// Texts that it has not.
    pub(crate) missing: Vec<OwnText>,
}

/// One of the maker's own texts.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum OwnText {
    /// The title.
    Title,
    /// The subtitle.
    Subtitle,
    /// The introduction.
    Introduction,
    /// The closing notes.
    Notes,
    /// What the photograph shows.
    PhotographWords,
    /// What the panel's picture shows.
    PictureWords,
    /// The credit line.
    Credit,
    /// Her words on the licence.
    LicenceWords,
    /// Her words in a section, by their place in [`Project::own_words`].
    OwnWords(usize),
    /// A name: of a yarn, a colour, a fibre.
    Name(String),
}

impl Project {
    /// The project with the maker's texts in another language, as far as she has translated them.
    pub(crate) fn in_language(mut self, language: &str) -> Project {
        if Words::tag(&self.about.language) == Some(language) || self.translated.is_some() {
            return self;
        }
        self.file_stem.push_str(&format!("-{language}"));
        let Some(from) = self.translations.iter().find(|one| one.language == language).cloned() else { return self };
        let mut missing = Vec::new();
        if let Some(title) = from.title {
            self.about.title = title;
        } else {
            missing.push(OwnText::Title);
        }
        let about = &mut self.about;
        for (text, own, other) in [
            (OwnText::Subtitle, &mut about.subtitle, from.subtitle),
            (OwnText::Introduction, &mut about.introduction, from.introduction),
            (OwnText::Notes, &mut about.notes, from.notes),
            (OwnText::PhotographWords, &mut about.photograph_words, from.photograph_words),
            (OwnText::PictureWords, &mut about.picture_words, from.picture_words),
            (OwnText::Credit, &mut self.licence.credit, from.credit),
            (OwnText::LicenceWords, &mut self.licence.words, from.licence_words),
        ] {
            match other {
                Some(other) => *own = Some(other),
                None if own.is_some() => missing.push(text),
                None => {}
            }
        }
        let mut others = from.own_words;
        for (at, own) in self.own_words.iter_mut().enumerate() {
            match others.iter().position(|other| other.section == own.section) {
                Some(found) => own.words = others.remove(found).words,
                None => missing.push(OwnText::OwnWords(at)),
            }
        }
        for name in self.names_mut() {
            match from.names.iter().find(|(own, _, _)| own == name) {
                Some((_, other, _)) => other.clone_into(name),
                None if missing.iter().any(|text| matches!(text, OwnText::Name(known) if known == name)) => {}
                None => missing.push(OwnText::Name(name.clone())),
            }
        }
        self.translated = Some(InLanguage { language: from.language, missing });
        self
    }

    /// The languages in which its files are made, as the project says, or else its own and those of its translations.
    pub(crate) fn languages(&self) -> Vec<&str> {
        if !self.shop.languages.is_empty() {
            return self.shop.languages.clone();
        }
        let own = Words::tag(&self.about.language).unwrap_or(&self.about.language);
        std::iter::once(own).chain(self.translations.iter().map(|one| one.language.as_str())).collect()
    }

    /// The language that one of the maker's texts stands in.
    pub(crate) fn language_of(&self, text: &OwnText) -> &str {
        match &self.translated {
            Some(translated) if !translated.missing.contains(text) => &translated.language,
            Some(_) | None => &self.about.language,
        }
    }

    /// What is not there in the language of the translation, as it is called in the project file.
    pub(crate) fn missing_texts(&self) -> Vec<Value> {
        let missing = self.translated.iter().flat_map(|translated| &translated.missing);
        let told = |text: &OwnText| match text {
            OwnText::Title => Value::quoted("title"),
            OwnText::Subtitle => Value::quoted("subtitle"),
            OwnText::Introduction => Value::quoted("introduction"),
            OwnText::Notes => Value::quoted("notes"),
            OwnText::PhotographWords => Value::quoted("photograph-words"),
            OwnText::PictureWords => Value::quoted("picture-words"),
            OwnText::Credit => Value::quoted("credit"),
            OwnText::LicenceWords => Value::quoted("licence-words"),
            OwnText::OwnWords(at) => match self.own_words.get(*at) {
                Some(own) => Phrase::new("own-words-in", "`own-words` in `{section}`")
                    .with("section", &own.section.to_string())
                    .into(),
                None => Value::quoted("own-words"),
            },
            OwnText::Name(name) => Phrase::new("the-name", "the name `{name}`").with("name", name).into(),
        };
        missing.map(told).collect()
    }

    /// Everything that the project gives a name of the maker's own language, each once.
    pub(crate) fn names(&self) -> Vec<String> {
        let mut names = Vec::new();
        for name in self.clone().names_mut() {
            if !names.contains(name) {
                names.push(name.clone());
            }
        }
        names
    }

    /// Names that a translation exchanges. Brands and shades are called the same everywhere.
    fn names_mut(&mut self) -> Vec<&mut String> {
        let yarns = self.palette.0.iter_mut();
        let mut names: Vec<&mut String> = yarns
            .flat_map(|yarn| [Some(&mut yarn.name), yarn.fibre.as_mut(), yarn.care.as_mut()].into_iter().flatten())
            .collect();
        for colourway in &mut self.colourways {
            names.push(&mut colourway.name);
            names.extend(colourway.palette.0.iter_mut().map(|yarn| &mut yarn.name));
        }
        names.extend(self.sizes.iter_mut().map(|size| &mut size.name));
        names.extend(self.size.as_mut().map(|size| &mut size.shown));
        names.extend(self.colourway.as_mut().map(|colourway| &mut colourway.shown));
        names.extend(self.cord.colour_name.as_mut());
        names.extend(self.cord.fibre.as_mut());
        names
    }
}

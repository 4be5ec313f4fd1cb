//! Sentences as data: a key, the English words, and what is filled in. Whoever has words of another language for the key can say
//! the same in it; everybody else prints the English.

use std::fmt::{self, Display};

/// A sentence, or a part of one.
#[derive(Clone, Debug, PartialEq)]
pub struct Phrase {
    /// Names it in the files of other languages.
    pub(crate) key: &'static str,
    /// In English, with names in braces.
    pub(crate) template: &'static str,
    /// What stands in the place of each name.
    pub(crate) values: Vec<(&'static str, Value)>,
}

/// What is filled in.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Value {
    /// The same in every language: a name, a key of the project file, an address.
    Name(String),
    /// A whole number that no word of the sentence goes with.
    Whole(usize),
    /// A measure or a share. `None`: as many decimals as it has.
    Number(f64, Option<usize>),
    /// How many there are, with the English words for one and for several; other languages choose their form of the whole
    /// phrase by it. Its name is `n`.
    Counted(usize, &'static str, &'static str),
    /// Words of their own.
    Phrase(Phrase),
    /// One after another, with commas.
    List(Vec<Value>),
}

impl Phrase {
    /// A phrase into which nothing is filled yet.
    pub(crate) fn new(key: &'static str, template: &'static str) -> Phrase {
        Phrase { key, template, values: Vec::new() }
    }
    /// Fills in a name.
    pub(crate) fn with(mut self, name: &'static str, value: impl Into<Value>) -> Phrase {
        self.values.push((name, value.into()));
        self
    }
    /// Fills in how many there are.
    pub(crate) fn counted(self, n: usize, one: &'static str, several: &'static str) -> Phrase {
        self.with("n", Value::Counted(n, one, several))
    }
}

impl Value {
    /// A number with so many decimals.
    pub(crate) fn decimals(value: f64, places: usize) -> Value {
        Value::Number(value, Some(places))
    }
    /// A name between back-ticks.
    pub(crate) fn quoted(name: impl Display) -> Value {
        Value::Name(format!("`{name}`"))
    }
}

/// In English.
impl Display for Phrase {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mut rest = self.template;
        while let Some((before, from)) = rest.split_once('{') {
            f.write_str(before)?;
            let (name, after) = from.split_once('}').unwrap_or((from, ""));
            match self.values.iter().find(|(own, _)| *own == name) {
                Some((_, value)) => value.fmt(f)?,
                // A test reads every template; nothing else can show this.
                None => write!(f, "{{{name}}}")?,
            }
            rest = after;
        }
        f.write_str(rest)
    }
}

/// In English.
impl Display for Value {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Value::Name(name) => f.write_str(name),
            Value::Whole(number) => write!(f, "{number}"),
            Value::Number(number, None) => write!(f, "{number}"),
            Value::Number(number, Some(places)) => write!(f, "{number:.places$}"),
            Value::Counted(n, one, several) => write!(f, "`{n}` {}", if *n == 1 { one } else { several }),
            Value::Phrase(phrase) => phrase.fmt(f),
            Value::List(all) => {
                for (at, value) in all.iter().enumerate() {
                    write!(f, "{}{value}", if at == 0 { "" } else { ", " })?;
                }
                Ok(())
            }
        }
    }
}

impl From<&str> for Value {
    fn from(name: &str) -> Value {
        Value::Name(name.to_owned())
    }
}

impl From<&String> for Value {
    fn from(name: &String) -> Value {
        Value::Name(name.clone())
    }
}

impl From<usize> for Value {
    fn from(number: usize) -> Value {
        Value::Whole(number)
    }
}

impl From<f64> for Value {
    fn from(number: f64) -> Value {
        Value::Number(number, None)
    }
}

impl From<Phrase> for Value {
    fn from(phrase: Phrase) -> Value {
        Value::Phrase(phrase)
    }
}

impl From<Vec<Value>> for Value {
    fn from(all: Vec<Value>) -> Value {
        Value::List(all)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_phrase_is_filled_in_once_and_counts_in_english() {
        let phrase = |n: usize, name: &str| {
            let places = vec![Value::quoted(name), Phrase::new("row", "row {number}").with("number", 3).into()];
            Phrase::new("x", "{n} near `{limit}` and `{bare}` mm: {places}.")
                .counted(n, "is", "are")
                .with("limit", 22.5)
                .with("bare", Value::decimals(3.0, 1))
                .with("places", places)
                .to_string()
        };
        // What is filled in is not looked through again.
        assert_eq!(phrase(1, "{n}"), "`1` is near `22.5` and `3.0` mm: `{n}`, row 3.");
        assert_eq!(phrase(2, "}"), "`2` are near `22.5` and `3.0` mm: `}`, row 3.");
        assert_eq!(Phrase::new("x", "{none} {").to_string(), "{none} {}");
    }
}

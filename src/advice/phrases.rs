//! Short ways of saying what is counted.

use crate::diag::{Phrase, Value};

/// A list of places, the first few of them: "row 3, row 7 and 12 more".
pub(super) fn some_of(places: Vec<Value>) -> Value {
    const MAX_SHOWN: usize = 4;
    let more = places.len().saturating_sub(MAX_SHOWN);
    let shown = Value::List(places.into_iter().take(MAX_SHOWN).collect());
    match more {
        0 => shown,
        more => Phrase::new("and-more", "{list} and {more} more").with("list", shown).with("more", more).into(),
    }
}

/// Two names: "`oat` and `navy`".
pub(super) fn pair(one: &str, two: &str) -> Value {
    Phrase::new("pair", "`{one}` and `{two}`").with("one", one).with("two", two).into()
}

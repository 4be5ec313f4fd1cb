//! Short ways of saying what is counted.

/// A list of places, the first few of them: "row 3, row 7 and 12 more".
pub(super) fn some_of(places: &[String]) -> String {
    const MAX_SHOWN: usize = 4;
    let shown = places.iter().take(MAX_SHOWN).cloned().collect::<Vec<_>>().join(", ");
    match places.len().saturating_sub(MAX_SHOWN) {
        0 => shown,
        more => format!("{shown} and {more} more"),
    }
}

pub(super) fn counted(count: usize, one: &str, several: &str) -> String {
    if count == 1 { format!("`1` {one}") } else { format!("`{count}` {several}") }
}

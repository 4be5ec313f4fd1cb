//! The words of one language: whole sentences with names in braces, plurals, numbers and measures.
//!
//! Comes from `layouts/words/*.toml` and `layouts/units/*.toml`. No phrase that appears on paper stands in `src/`.

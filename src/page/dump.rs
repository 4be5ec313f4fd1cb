//! The display list as stable text, for golden tests.

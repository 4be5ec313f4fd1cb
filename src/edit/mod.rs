//! Changes to a maker's files as pure functions: text or picture in, text or picture out. What a change does not touch stays
//! as she wrote it: comments, order, line endings.
//!
//! Knows no disk and no clock. [`Grid`] is the chart as it is edited, letters in reading order; [`chart_text`] and
//! [`chart_picture`] turn it into the two kinds of chart files and back, [`form`] changes `project.toml`, and [`merge`]
//! applies knots that were painted on an older state.

pub(crate) mod chart_picture;
pub mod chart_text;
pub(crate) mod form;
mod grid;
pub(crate) mod merge;

pub(crate) use grid::BARE;
pub use grid::{Grid, Line};

//! Hitchpress composes print-ready pattern booklets for knotted wall panels.
//!
//! One way from a chart to a booklet; every stage has one product and there is no way back:
//!
//! ```text
//! project.toml --source--> ProjectFile --check--> Project --.
//! chart.txt | chart.png ------------------------> Chart ----+--> Workings
//! layouts/*.toml --source--> EditionFile --check--> Edition |
//! layouts/words, layouts/units --------------> Words -------'
//!                                                v
//!                          write   -> Manuscript      what is said, in order; no positions
//!      FontBook + Edition --> compose -> Booklet      pages of frames: where everything sits
//!                          pdf     -> bytes           contents; printpdf makes the document, lopdf finishes it
//!                          proof   -> Reading         the bytes read back and held against the project
//! ```
#![forbid(unsafe_code)]
#![warn(missing_docs)]

pub mod advice;
pub mod buyers;
pub mod chart;
pub mod chart_from;
pub mod cli;
pub mod colour;
pub mod compose;
pub mod cores;
pub mod diag;
pub mod edition;
pub mod font;
pub mod form;
pub mod geom;
pub mod manuscript;
pub mod names;
pub mod page;
pub mod pdf;
pub mod picture;
pub mod press;
pub mod preview;
pub mod project;
pub mod proof;
pub mod source;
pub mod text;
pub mod words;
pub mod workings;

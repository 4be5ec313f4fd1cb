//! Hitchpress composes print-ready pattern booklets for knotted wall panels.
//!
//! One way from a chart to a booklet; every stage has one product and there is no way back:
//!
//! ```text
//! project.toml --source--> Form -------check----> Project --.
//! chart.txt | chart.png ------------------------> Chart ----+--> Workings
//! layouts/*.toml --source--> EditionFile --check--> Edition |
//! layouts/words, layouts/units --------------> Words -------'
//!                                                v
//!                          write   -> Manuscript      what is said, in order; no positions
//!      FontBook + Edition --> compose -> Booklet      pages of frames: where everything sits
//!                          pdf     -> bytes           contents; printpdf makes the document, lopdf finishes it
//!                          proof   -> ProofReport     the bytes read back by `reader` and held against project and manuscript
//! ```
#![forbid(unsafe_code)]
#![warn(missing_docs)]
#![warn(unreachable_pub)]

pub mod advice;
pub(crate) mod as_knotted;
pub(crate) mod board;
pub mod buyers;
pub mod catalogue;
pub mod chart;
pub mod chart_from;
pub mod chart_read;
pub mod cli;
pub mod colour;
pub(crate) mod commonmark;
pub mod compose;
pub(crate) mod cores;
pub mod diag;
pub mod edit;
pub(crate) mod edition;
pub mod figure;
pub mod font;
pub(crate) mod form;
pub mod geom;
pub(crate) mod hung_panel;
pub(crate) mod inks;
pub mod manuscript;
pub mod markup;
pub(crate) mod matrix_code;
pub(crate) mod names;
pub mod page;
pub mod pdf;
pub mod picture;
pub mod press;
pub mod preview;
pub mod project;
pub mod proof;
pub(crate) mod reader;
pub(crate) mod sheet;
pub mod source;
pub mod symbol;
pub mod text;
pub(crate) mod units;
pub(crate) mod web_address;
pub mod words;
pub mod workings;

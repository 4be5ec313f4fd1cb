//! Manuscript to pages: galley, make-up, tables, chart sheets, figures, furniture. Holds no phrases.

pub mod as_knotted;
pub mod figure;
pub mod inks;
pub mod symbol;
pub mod tile;

#[cfg(test)]
mod sketch;

//! How much room each thing takes that stands on a sheet beside its cells, the same on all sheets of a chart. Draws nothing
//! and knows no sheet's place.

pub mod beside;
pub mod head;
pub mod key;
pub mod legend;
pub mod notes;

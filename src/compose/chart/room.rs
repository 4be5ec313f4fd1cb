//! How much room each thing takes that stands on a sheet beside its cells, the same on all sheets of a chart. Draws nothing
//! and knows no sheet's place.

pub(crate) mod beside;
pub(crate) mod head;
pub(crate) mod key;
pub(crate) mod legend;
pub(crate) mod notes;

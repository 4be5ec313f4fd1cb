//! A form the maker fills in: TOML read key by key, in plain words, with every fault of the file gathered in one run.
//!
//! What comes in is the text of one file; what goes out are checked values with the places they stand at. Knows nothing
//! of projects or layouts: those say which keys a section has, and in which bounds a measure makes sense.

mod asked;
mod faults;
mod file;
mod lengths;
pub(crate) mod measure;
mod section;
mod spelling;
mod values;

pub(crate) use faults::in_order;
pub(crate) use file::{Form, KeyPlan};
pub(crate) use lengths::Limits;
pub(crate) use section::FormSection;
pub(crate) use spelling::nearest;
pub(crate) use values::Spanned;

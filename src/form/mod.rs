//! A form the maker fills in: TOML read key by key, in plain words, with every fault of the file gathered in one run.
//!
//! What comes in is the text of one file; what goes out are checked values with the places they stand at. Knows nothing
//! of projects or layouts: those say which keys a section has, and in which bounds a measure makes sense.

mod asked;
mod faults;
mod file;
mod lengths;
pub mod measure;
mod section;
mod spelling;
mod values;

pub use faults::in_order;
pub use file::{Form, KeyPlan};
pub use lengths::Limits;
pub use section::FormSection;
pub use spelling::nearest;
pub use values::Spanned;

//! Small booklets written, read back with lopdf and with hayro-syntax, and broken on purpose.

use super::{Options, PdfError, write};

mod breaking;
mod reading;
mod sample;
// Shared with the suite, which walks whole files of samples.
#[path = "../../../tests/walk/mod.rs"]
mod walk;

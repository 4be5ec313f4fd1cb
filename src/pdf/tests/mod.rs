//! Small booklets written, read back with lopdf and with hayro-syntax, and broken on purpose.

use super::{Options, PdfError, write};

mod breaking;
mod reading;
mod sample;
// Shared with the suite, which walks whole files of samples.
#[expect(unreachable_pub, reason = "the suite reads it as a crate of its own")]
#[path = "../../../tests/walk/mod.rs"]
mod walk;

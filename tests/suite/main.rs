//! The one test binary.
mod panel;
mod workings;

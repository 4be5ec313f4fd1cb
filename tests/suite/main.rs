//! The one test binary.
mod colour;
mod panel;
mod workings;

//! The one test binary.
mod advice;
mod colour;
mod panel;
mod workings;

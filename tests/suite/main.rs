//! All integration tests, in one binary so that the library is linked once.

mod advice;
mod charts;
mod colour;
mod faults;
mod panel;
mod starter;
mod support;
mod workings;

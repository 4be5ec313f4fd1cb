//! All integration tests, in one binary so that the library is linked once.

mod accessible;
mod advice;
mod board;
mod booklet;
mod buyer;
mod cell_marks;
mod chart_from;
mod chart_sheets;
mod charts;
mod codes;
mod colour;
mod copies;
mod faults;
mod finished;
mod hard_cases;
mod harm;
mod impose;
mod languages;
mod layouts;
mod panel;
mod pictures;
mod print_shop;
mod proof;
mod random_charts;
mod rooms;
mod scale;
mod setting;
mod shop;
mod starter;
mod support;
mod teeth;
mod tone;
#[path = "../walk/mod.rs"]
mod walk;
mod whole;
mod workings;

use super::{Options, write};

mod sample;

//! The smallest project that tests load.

/// Two yarns, and nothing else said.
pub(crate) const TWO_STRIPES: &str = r##"
format = 1
title = "Two Stripes"
maker = "Ada"
date = 2025-03-01
chart = "chart.txt"
cord = { diameter = "3 mm" }
[[yarn]]
key = "A"
name = "sand"
colour = "#d8b26e"
wraps-per-inch = 10
[[yarn]]
key = "B"
name = "sea"
colour = "#336699"
wraps-per-inch = 10
"##;

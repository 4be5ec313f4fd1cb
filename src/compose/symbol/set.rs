//! The set: each symbol's name, its kin and its pieces.
//!
//! Symbols of one kin are each other turned or mirrored: they differ enough on paper, yet the eye groups them, so the
//! assignment keeps them apart on neighbouring yarns. The figures were chosen so that every pair passes the test of
//! `tests.rs`; change one and that test says which pair it now resembles. No letters, digits or arithmetic signs that
//! could be read as such beside row numbers and yarn letters.

use super::geometry::Edge::{self, Arc, To};
use super::geometry::Form::{Bent, Box, Disc};
use super::geometry::Part::{self, Cut, Ink};

/// One symbol.
pub(super) struct Symbol {
    /// Its name in project files.
    pub(super) name: &'static str,
    /// Equal for symbols that are each other turned or mirrored.
    pub(super) kin: &'static str,
    /// What it is made of.
    pub(super) parts: &'static [Part],
}

const fn symbol(name: &'static str, kin: &'static str, parts: &'static [Part]) -> Symbol {
    Symbol { name, kin, parts }
}

/// A third of the box, from its middle.
const SIXTH: f64 = 1.0 / 6.0;

pub(super) const SET: [Symbol; 37] = [
    symbol("disc", "disc", &[Ink(Disc(0.0, 0.0, 0.5))]),
    symbol("ring", "ring", &[Ink(Disc(0.0, 0.0, 0.5)), Cut(Disc(0.0, 0.0, 0.32))]),
    symbol("block", "block", &[Ink(Box(-0.5, -0.5, 0.5, 0.5))]),
    symbol("frame", "frame", &[Ink(Box(-0.5, -0.5, 0.5, 0.5)), Cut(Box(-0.33, -0.33, 0.33, 0.33))]),
    symbol("saltire", "cross", &[Ink(Bent(SALTIRE))]),
    symbol("star", "star", &[Ink(Bent(STAR))]),
    symbol("peak", "wedge", &[Ink(Bent(&[To(0.0, -0.5), To(0.5, 0.5), To(-0.5, 0.5)]))]),
    symbol("funnel", "wedge", &[Ink(Bent(&[To(-0.5, -0.5), To(0.5, -0.5), To(0.0, 0.5)]))]),
    symbol("two-bars", "bars", &[Ink(Box(-0.5, -0.42, 0.5, -0.14)), Ink(Box(-0.5, 0.14, 0.5, 0.42))]),
    symbol("two-posts", "bars", &[Ink(Box(-0.42, -0.5, -0.14, 0.5)), Ink(Box(0.14, -0.5, 0.42, 0.5))]),
    symbol("four-discs", "four-discs", FOUR_DISCS),
    symbol("lozenge", "lozenge", &[Ink(Bent(&[To(0.0, -0.5), To(0.5, 0.0), To(0.0, 0.5), To(-0.5, 0.0)]))]),
    symbol(
        "hourglass",
        "bow",
        &[
            Ink(Bent(&[To(-0.5, -0.5), To(0.5, -0.5), To(0.0, 0.0)])),
            Ink(Bent(&[To(0.0, 0.0), To(0.5, 0.5), To(-0.5, 0.5)])),
        ],
    ),
    symbol(
        "bow",
        "bow",
        &[
            Ink(Bent(&[To(-0.5, -0.5), To(0.0, 0.0), To(-0.5, 0.5)])),
            Ink(Bent(&[To(0.0, 0.0), To(0.5, -0.5), To(0.5, 0.5)])),
        ],
    ),
    symbol("checks", "checks", &[Ink(Box(-0.5, -0.5, 0.0, 0.0)), Ink(Box(0.0, 0.0, 0.5, 0.5))]),
    symbol("cross", "cross", &[Ink(Bent(CROSS))]),
    symbol("bar", "bar", &[Ink(Box(-0.5, -0.165, 0.5, 0.165))]),
    symbol("post", "bar", &[Ink(Box(-0.165, -0.5, 0.165, 0.5))]),
    symbol("roof", "chevron", &[Ink(Bent(ROOF))]),
    symbol("valley", "chevron", &[Ink(Bent(VALLEY))]),
    symbol("leaf-rising", "leaf", &[Ink(Bent(&[Arc(0.5, 0.5, 1.0, 180.0, 270.0), Arc(-0.5, -0.5, 1.0, 0.0, 90.0)]))]),
    symbol(
        "leaf-falling",
        "leaf",
        &[Ink(Bent(&[Arc(-0.5, 0.5, 1.0, 270.0, 360.0), Arc(0.5, -0.5, 1.0, 90.0, 180.0)]))],
    ),
    symbol(
        "open-lozenge",
        "lozenge",
        &[
            Ink(Bent(&[To(0.0, -0.5), To(0.5, 0.0), To(0.0, 0.5), To(-0.5, 0.0)])),
            Cut(Bent(&[To(0.0, -0.33), To(0.33, 0.0), To(0.0, 0.33), To(-0.33, 0.0)])),
        ],
    ),
    symbol("crescent", "crescent", &[Ink(Bent(CRESCENT))]),
    symbol("split-disc", "split-disc", SPLIT_DISC),
    symbol("corners", "corners", CORNERS),
    symbol("quarter-discs", "corners", QUARTER_DISCS),
    symbol(
        "stripes-rising",
        "stripes",
        &[
            Ink(Bent(&[To(-0.5, 0.1), To(-0.5, -0.2), To(-0.2, -0.5), To(0.1, -0.5)])),
            Ink(Bent(&[To(0.5, -0.1), To(0.5, 0.2), To(0.2, 0.5), To(-0.1, 0.5)])),
        ],
    ),
    symbol(
        "stripes-falling",
        "stripes",
        &[
            Ink(Bent(&[To(0.5, 0.1), To(0.5, -0.2), To(0.2, -0.5), To(-0.1, -0.5)])),
            Ink(Bent(&[To(-0.5, -0.1), To(-0.5, 0.2), To(-0.2, 0.5), To(0.1, 0.5)])),
        ],
    ),
    symbol("vanes", "vanes", VANES),
    symbol(
        "nested-blocks",
        "frame",
        &[Ink(Box(-0.5, -0.5, 0.5, 0.5)), Cut(Box(-0.36, -0.36, 0.36, 0.36)), Ink(Box(-0.17, -0.17, 0.17, 0.17))],
    ),
    symbol("arch", "arch", &[Ink(Bent(ARCH))]),
    symbol("pierced-block", "block", &[Ink(Box(-0.5, -0.5, 0.5, 0.5)), Cut(Disc(0.0, 0.0, 0.25))]),
    symbol(
        "twice-pierced-block",
        "block",
        &[Ink(Box(-0.5, -0.5, 0.5, 0.5)), Cut(Disc(-0.2, -0.2, 0.17)), Cut(Disc(0.2, 0.2, 0.17))],
    ),
    symbol("five-blocks", "five-blocks", FIVE_BLOCKS),
    symbol(
        "three-discs",
        "three-discs",
        &[Ink(Disc(0.0, -0.25, 0.23)), Ink(Disc(-0.27, 0.27, 0.23)), Ink(Disc(0.27, 0.27, 0.23))],
    ),
    symbol(
        "disc-and-posts",
        "disc-and-posts",
        &[Ink(Box(-0.5, -0.5, -0.3, 0.5)), Ink(Disc(0.0, 0.0, 0.18)), Ink(Box(0.3, -0.5, 0.5, 0.5))],
    ),
];

/// Two crossing bars from corner to corner.
const SALTIRE: &[Edge] = &[
    To(-0.5, -0.5),
    To(-0.28, -0.5),
    To(0.0, -0.22),
    To(0.28, -0.5),
    To(0.5, -0.5),
    To(0.5, -0.28),
    To(0.22, 0.0),
    To(0.5, 0.28),
    To(0.5, 0.5),
    To(0.28, 0.5),
    To(0.0, 0.22),
    To(-0.28, 0.5),
    To(-0.5, 0.5),
    To(-0.5, 0.28),
    To(-0.22, 0.0),
    To(-0.5, -0.28),
];

/// Two crossing bars, upright.
const CROSS: &[Edge] = &[
    To(-0.11, -0.5),
    To(0.11, -0.5),
    To(0.11, -0.11),
    To(0.5, -0.11),
    To(0.5, 0.11),
    To(0.11, 0.11),
    To(0.11, 0.5),
    To(-0.11, 0.5),
    To(-0.11, 0.11),
    To(-0.5, 0.11),
    To(-0.5, -0.11),
    To(-0.11, -0.11),
];

/// Four points between four quarter circles about the corners.
const STAR: &[Edge] = &[
    Arc(-0.5, -0.5, 0.5, 90.0, 0.0),
    Arc(0.5, -0.5, 0.5, 180.0, 90.0),
    Arc(0.5, 0.5, 0.5, 270.0, 180.0),
    Arc(-0.5, 0.5, 0.5, 360.0, 270.0),
];

const ROOF: &[Edge] = &[To(0.0, -0.45), To(0.5, 0.05), To(0.5, 0.45), To(0.0, -0.05), To(-0.5, 0.45), To(-0.5, 0.05)];

const VALLEY: &[Edge] =
    &[To(0.0, 0.45), To(0.5, -0.05), To(0.5, -0.45), To(0.0, 0.05), To(-0.5, -0.45), To(-0.5, -0.05)];

const FOUR_DISCS: &[Part] = &[
    Ink(Disc(-0.27, -0.27, 0.22)),
    Ink(Disc(0.27, -0.27, 0.22)),
    Ink(Disc(-0.27, 0.27, 0.22)),
    Ink(Disc(0.27, 0.27, 0.22)),
];

/// A disc of radius 0.5 less one of radius 0.4 about (0.22, 0); the two circles meet at 51.017 and 76.328 degrees.
const CRESCENT: &[Edge] = &[Arc(0.0, 0.0, 0.5, 51.017, 308.983), Arc(0.22, 0.0, 0.4, 283.672, 76.328)];

/// A disc parted by a falling slit 0.24 wide; its edges meet the circle asin(0.12 / 0.5) = 13.887 degrees from the slit's direction.
const SPLIT_DISC: &[Part] =
    &[Ink(Bent(&[Arc(0.0, 0.0, 0.5, 58.887, 211.113)])), Ink(Bent(&[Arc(0.0, 0.0, 0.5, 238.887, 391.113)]))];

const CORNERS: &[Part] = &[
    Ink(Bent(&[To(-0.5, -0.5), To(-0.08, -0.5), To(-0.5, -0.08)])),
    Ink(Bent(&[To(0.5, -0.5), To(0.5, -0.08), To(0.08, -0.5)])),
    Ink(Bent(&[To(0.5, 0.5), To(0.08, 0.5), To(0.5, 0.08)])),
    Ink(Bent(&[To(-0.5, 0.5), To(-0.5, 0.08), To(-0.08, 0.5)])),
];

const QUARTER_DISCS: &[Part] = &[
    Ink(Bent(&[To(-0.5, -0.5), Arc(-0.5, -0.5, 0.44, 0.0, 90.0)])),
    Ink(Bent(&[To(0.5, -0.5), Arc(0.5, -0.5, 0.44, 90.0, 180.0)])),
    Ink(Bent(&[To(0.5, 0.5), Arc(0.5, 0.5, 0.44, 180.0, 270.0)])),
    Ink(Bent(&[To(-0.5, 0.5), Arc(-0.5, 0.5, 0.44, 270.0, 360.0)])),
];

const VANES: &[Part] = &[
    Ink(Bent(&[To(0.0, 0.0), To(-0.5, -0.5), To(0.0, -0.5)])),
    Ink(Bent(&[To(0.0, 0.0), To(0.5, -0.5), To(0.5, 0.0)])),
    Ink(Bent(&[To(0.0, 0.0), To(0.5, 0.5), To(0.0, 0.5)])),
    Ink(Bent(&[To(0.0, 0.0), To(-0.5, 0.5), To(-0.5, 0.0)])),
];

const ARCH: &[Edge] = &[
    To(-0.5, 0.5),
    Arc(0.0, 0.0, 0.5, 180.0, 360.0),
    To(0.5, 0.5),
    To(0.2, 0.5),
    Arc(0.0, 0.0, 0.2, 360.0, 180.0),
    To(-0.2, 0.5),
];

const FIVE_BLOCKS: &[Part] = &[
    Ink(Box(-0.5, -0.5, -SIXTH, -SIXTH)),
    Ink(Box(SIXTH, -0.5, 0.5, -SIXTH)),
    Ink(Box(-SIXTH, -SIXTH, SIXTH, SIXTH)),
    Ink(Box(-0.5, SIXTH, -SIXTH, 0.5)),
    Ink(Box(SIXTH, SIXTH, 0.5, 0.5)),
];

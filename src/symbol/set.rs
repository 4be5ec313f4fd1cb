//! The set: each symbol's name, its kin and its pieces.
//!
//! Symbols go in steps from a grain to a nearly full block, because their weight carries the tone of a chart. The light half
//! is figures; the heavy half, named `cut-...`, is a block with a figure cut out of it, and where cells have dark grounds
//! that figure alone is drawn on them. So every figure must differ from every other, whether it is drawn or cut out.
//!
//! Symbols of one kin are each other turned or mirrored: they differ enough on paper, yet the eye groups them, so the
//! assignment keeps them apart on neighbouring yarns. The measures were chosen so that every pair passes the tests of
//! `tests.rs` and no two weigh the same; change one and those say which pair it now resembles. No letters, digits or
//! arithmetic signs that could be read as such beside row numbers and yarn letters.

use super::geometry::Edge::{self, Arc, To};
use super::geometry::Part::{self, Cut, Ink};
use super::geometry::PartShape::{Bent, Box, Disc};

/// One symbol.
pub(super) struct Symbol {
    /// Its name in project files.
    pub(super) name: &'static str,
    /// Equal for symbols that are each other turned or mirrored.
    pub(super) kin: &'static str,
    /// What it is made of.
    pub(super) parts: &'static [Part],
    /// What is cut out of it, where it is a block with something cut out; else `None`.
    pub(super) opening: Option<&'static [Part]>,
}

const fn figure(name: &'static str, kin: &'static str, parts: &'static [Part]) -> Symbol {
    Symbol { name, kin, parts, opening: None }
}

const fn cut(name: &'static str, kin: &'static str, parts: &'static [Part], opening: &'static [Part]) -> Symbol {
    Symbol { name, kin, parts, opening: Some(opening) }
}

const WHOLE: Part = Ink(Box(-0.5, -0.5, 0.5, 0.5));

/// All of them, the lightest first.
pub(super) const SET: [Symbol; 39] = [
    figure("grain", "grain", &[Ink(Bent(GRAIN))]),
    figure("hoop", "ring", &[Ink(Disc(0.0, 0.0, 0.42)), Cut(Disc(0.0, 0.0, 0.35))]),
    figure("four-ticks", "four-ticks", FOUR_TICKS),
    figure("three-specks", "three-specks", &[speck(0.0, -0.3), speck(-0.3, 0.28), speck(0.3, 0.28)]),
    figure(
        "slash-falling",
        "slash",
        &[Ink(Bent(&[
            To(-0.5, -0.5),
            To(-0.391, -0.5),
            To(0.5, 0.391),
            To(0.5, 0.5),
            To(0.391, 0.5),
            To(-0.5, -0.391),
        ]))],
    ),
    figure("star", "star", &[Ink(Bent(STAR))]),
    figure(
        "slash-rising",
        "slash",
        &[Ink(Bent(&[To(-0.5, 0.5), To(-0.5, 0.38), To(0.38, -0.5), To(0.5, -0.5), To(0.5, -0.38), To(-0.38, 0.5)]))],
    ),
    figure("ring", "ring", &[Ink(Disc(0.0, 0.0, 0.33)), Cut(Disc(0.0, 0.0, 0.18))]),
    figure("two-discs-falling", "two-discs", &[Ink(Disc(-0.28, -0.28, 0.2)), Ink(Disc(0.28, 0.28, 0.2))]),
    figure("two-discs-rising", "two-discs", &[Ink(Disc(-0.28, 0.28, 0.208)), Ink(Disc(0.28, -0.28, 0.208))]),
    figure("crescent", "crescent", &[Ink(Bent(CRESCENT))]),
    figure(
        "stripes-falling",
        "stripes",
        &[
            Ink(Bent(&[To(-0.263, -0.5), To(-0.037, -0.5), To(0.5, 0.037), To(0.5, 0.263)])),
            Ink(Bent(&[To(-0.5, -0.263), To(0.263, 0.5), To(0.037, 0.5), To(-0.5, -0.037)])),
        ],
    ),
    figure("two-posts", "bars", &[Ink(Box(-0.44, -0.5, -0.28, 0.5)), Ink(Box(0.28, -0.5, 0.44, 0.5))]),
    figure("frame", "frame", &[WHOLE, Cut(Box(-0.4, -0.4, 0.4, 0.4))]),
    figure("peak", "wedge", &[Ink(Bent(&[To(0.0, -0.46), To(0.42, 0.42), To(-0.42, 0.42)]))]),
    figure("three-discs", "three-discs", &[disc(0.0, 0.27), disc(-0.28, -0.27), disc(0.28, -0.27)]),
    figure(
        "disc-and-bars",
        "disc-and-bars",
        &[Ink(Box(-0.5, -0.5, 0.5, -0.36)), disc(0.0, 0.0), Ink(Box(-0.5, 0.36, 0.5, 0.5))],
    ),
    figure("saltire", "saltire", &[Ink(Bent(SALTIRE))]),
    figure("cup", "arch", &[Ink(Bent(CUP))]),
    figure("four-discs", "four-discs", FOUR_DISCS),
    figure("half-upright", "half", &[Ink(Box(-0.5, -0.5, -0.01, 0.5))]),
    figure("checks", "checks", &[Ink(Box(-0.5, -0.5, 0.0, 0.0)), Ink(Box(0.0, 0.0, 0.5, 0.5))]),
    figure(
        "half-rising",
        "half",
        &[Ink(Bent(&[To(-0.5, 0.5), To(-0.5, 0.488), To(0.488, -0.5), To(0.5, -0.5), To(0.5, 0.5)]))],
    ),
    cut("cut-posts", "bars", CUT_POSTS, THREE_POSTS),
    cut(
        "cut-target",
        "ring",
        &[WHOLE, Cut(Disc(0.0, 0.0, 0.5)), Ink(Disc(0.0, 0.0, 0.38)), Cut(Disc(0.0, 0.0, 0.18))],
        &[Ink(Disc(0.0, 0.0, 0.5)), Cut(Disc(0.0, 0.0, 0.38)), Ink(Disc(0.0, 0.0, 0.18))],
    ),
    cut(
        "cut-disc-and-posts",
        "disc-and-bars",
        &[Ink(Box(-0.36, -0.5, 0.36, 0.5)), Cut(Disc(0.0, 0.0, 0.2))],
        &[Ink(Box(-0.5, -0.5, -0.36, 0.5)), disc(0.0, 0.0), Ink(Box(0.36, -0.5, 0.5, 0.5))],
    ),
    cut("cut-half-disc", "half-disc", &[WHOLE, Cut(Bent(HALF_DISC))], &[Ink(Bent(HALF_DISC))]),
    cut(
        "cut-discs",
        "three-discs",
        &[WHOLE, Cut(Disc(0.0, -0.27, 0.2)), Cut(Disc(-0.28, 0.27, 0.2)), Cut(Disc(0.28, 0.27, 0.2))],
        &[disc(0.0, -0.27), disc(-0.28, 0.27), disc(0.28, 0.27)],
    ),
    cut("cut-five-blocks", "five-blocks", &[Ink(Bent(THICK_CROSS)), Cut(Box(-0.13, -0.13, 0.13, 0.13))], FIVE_BLOCKS),
    cut("cut-wedge", "wedge", &[WHOLE, Cut(Bent(WEDGE))], &[Ink(Bent(WEDGE))]),
    cut(
        "cut-bars",
        "bars",
        &[Ink(Box(-0.5, -0.5, 0.5, -0.44)), Ink(Box(-0.5, -0.28, 0.5, 0.28)), Ink(Box(-0.5, 0.44, 0.5, 0.5))],
        &[Ink(Box(-0.5, -0.44, 0.5, -0.28)), Ink(Box(-0.5, 0.28, 0.5, 0.44))],
    ),
    cut(
        "cut-lozenge",
        "lozenge",
        &[WHOLE, Cut(Bent(LOZENGE)), Ink(Bent(INNER_LOZENGE))],
        &[Ink(Bent(LOZENGE)), Cut(Bent(INNER_LOZENGE))],
    ),
    cut("cut-stripes", "stripes", CUT_STRIPES, STRIPES_RISING),
    cut(
        "cut-two-discs-upright",
        "two-discs",
        &[WHOLE, Cut(Disc(0.0, -0.28, 0.205)), Cut(Disc(0.0, 0.28, 0.205))],
        &[Ink(Disc(0.0, -0.28, 0.205)), Ink(Disc(0.0, 0.28, 0.205))],
    ),
    cut("cut-arch", "arch", CUT_ARCH, &[Ink(Bent(ARCH))]),
    cut(
        "cut-two-discs-level",
        "two-discs",
        &[WHOLE, Cut(Disc(-0.28, 0.0, 0.195)), Cut(Disc(0.28, 0.0, 0.195))],
        &[Ink(Disc(-0.28, 0.0, 0.195)), Ink(Disc(0.28, 0.0, 0.195))],
    ),
    cut(
        "cut-frame",
        "frame",
        &[WHOLE, Cut(Box(-0.42, -0.42, 0.42, 0.42)), Ink(Box(-0.35, -0.35, 0.35, 0.35))],
        &[Ink(Box(-0.42, -0.42, 0.42, 0.42)), Cut(Box(-0.35, -0.35, 0.35, 0.35))],
    ),
    cut(
        "cut-four-specks",
        "four-discs",
        &[
            WHOLE,
            Cut(Disc(-0.32, -0.32, 0.125)),
            Cut(Disc(0.32, -0.32, 0.125)),
            Cut(Disc(-0.32, 0.32, 0.125)),
            Cut(Disc(0.32, 0.32, 0.125)),
        ],
        &[
            Ink(Disc(-0.32, -0.32, 0.125)),
            Ink(Disc(0.32, -0.32, 0.125)),
            Ink(Disc(-0.32, 0.32, 0.125)),
            Ink(Disc(0.32, 0.32, 0.125)),
        ],
    ),
    cut(
        "cut-three-specks",
        "three-specks",
        &[WHOLE, Cut(Disc(0.0, 0.3, 0.135)), Cut(Disc(-0.3, -0.28, 0.135)), Cut(Disc(0.3, -0.28, 0.135))],
        &[Ink(Disc(0.0, 0.3, 0.135)), Ink(Disc(-0.3, -0.28, 0.135)), Ink(Disc(0.3, -0.28, 0.135))],
    ),
];

const fn disc(x: f64, y: f64) -> Part {
    Ink(Disc(x, y, 0.2))
}

const fn speck(x: f64, y: f64) -> Part {
    Ink(Disc(x, y, 0.14))
}

/// A lens 0.37 high and 0.14 wide: with half its height a = 0.185 and half its width s = 0.07 both arcs have the radius
/// (a a + s s) / 2 s = 0.27946 and run asin(a / r) = 41.449 degrees to either side.
const GRAIN: &[Edge] = &[Arc(-0.20946, 0.0, 0.27946, -41.449, 41.449), Arc(0.20946, 0.0, 0.27946, 138.551, 221.449)];

const FOUR_TICKS: &[Part] = &[
    Ink(Box(-0.08, -0.5, 0.08, -0.22)),
    Ink(Box(-0.08, 0.22, 0.08, 0.5)),
    Ink(Box(-0.5, -0.08, -0.22, 0.08)),
    Ink(Box(0.22, -0.08, 0.5, 0.08)),
];

/// Four points between four quarter circles about the corners.
const STAR: &[Edge] = &[
    Arc(-0.5, -0.5, 0.5, 90.0, 0.0),
    Arc(0.5, -0.5, 0.5, 180.0, 90.0),
    Arc(0.5, 0.5, 0.5, 270.0, 180.0),
    Arc(-0.5, 0.5, 0.5, 360.0, 270.0),
];

/// A disc of radius 0.45 about (-0.05, 0) less one of radius 0.38 about (0.17, 0); the two circles meet at 57.468 and
/// 86.683 degrees.
const CRESCENT: &[Edge] = &[Arc(-0.05, 0.0, 0.45, 57.468, 302.532), Arc(0.17, 0.0, 0.38, 273.317, 86.683)];

/// Two crossing bars from corner to corner.
const SALTIRE: &[Edge] = &[
    To(-0.5, -0.5),
    To(-0.38, -0.5),
    To(0.0, -0.12),
    To(0.38, -0.5),
    To(0.5, -0.5),
    To(0.5, -0.38),
    To(0.12, 0.0),
    To(0.5, 0.38),
    To(0.5, 0.5),
    To(0.38, 0.5),
    To(0.0, 0.12),
    To(-0.38, 0.5),
    To(-0.5, 0.5),
    To(-0.5, 0.38),
    To(-0.12, 0.0),
    To(-0.5, -0.38),
];

const CUP: &[Edge] = &[
    To(-0.5, -0.5),
    Arc(0.0, 0.0, 0.5, 180.0, 0.0),
    To(0.5, -0.5),
    To(0.3, -0.5),
    Arc(0.0, 0.0, 0.3, 0.0, 180.0),
    To(-0.3, -0.5),
];

const FOUR_DISCS: &[Part] = &[
    Ink(Disc(-0.29, -0.29, 0.195)),
    Ink(Disc(0.29, -0.29, 0.195)),
    Ink(Disc(-0.29, 0.29, 0.195)),
    Ink(Disc(0.29, 0.29, 0.195)),
];

const THREE_POSTS: &[Part] =
    &[Ink(Box(-0.425, -0.5, -0.275, 0.5)), Ink(Box(-0.075, -0.5, 0.075, 0.5)), Ink(Box(0.275, -0.5, 0.425, 0.5))];

const CUT_POSTS: &[Part] = &[
    Ink(Box(-0.5, -0.5, -0.425, 0.5)),
    Ink(Box(-0.275, -0.5, -0.075, 0.5)),
    Ink(Box(0.075, -0.5, 0.275, 0.5)),
    Ink(Box(0.425, -0.5, 0.5, 0.5)),
];

const HALF_DISC: &[Edge] = &[Arc(0.0, 0.25, 0.5, 180.0, 360.0)];

const FIVE_BLOCKS: &[Part] = &[
    Ink(Box(-0.5, -0.5, -0.24, -0.24)),
    Ink(Box(0.24, -0.5, 0.5, -0.24)),
    Ink(Box(-0.13, -0.13, 0.13, 0.13)),
    Ink(Box(-0.5, 0.24, -0.24, 0.5)),
    Ink(Box(0.24, 0.24, 0.5, 0.5)),
];

/// The whole box without its corners.
const THICK_CROSS: &[Edge] = &[
    To(-0.24, -0.5),
    To(0.24, -0.5),
    To(0.24, -0.24),
    To(0.5, -0.24),
    To(0.5, 0.24),
    To(0.24, 0.24),
    To(0.24, 0.5),
    To(-0.24, 0.5),
    To(-0.24, 0.24),
    To(-0.5, 0.24),
    To(-0.5, -0.24),
    To(-0.24, -0.24),
];

const WEDGE: &[Edge] = &[To(-0.42, 0.0), To(0.36, -0.42), To(0.36, 0.42)];

const LOZENGE: &[Edge] = &[To(0.0, -0.5), To(0.5, 0.0), To(0.0, 0.5), To(-0.5, 0.0)];

const INNER_LOZENGE: &[Edge] = &[To(0.0, -0.32), To(0.32, 0.0), To(0.0, 0.32), To(-0.32, 0.0)];

const STRIPES_RISING: &[Part] = &[
    Ink(Bent(&[To(0.044, -0.5), To(0.256, -0.5), To(-0.5, 0.256), To(-0.5, 0.044)])),
    Ink(Bent(&[To(0.5, -0.256), To(0.5, -0.044), To(-0.044, 0.5), To(-0.256, 0.5)])),
];

const CUT_STRIPES: &[Part] = &[
    Ink(Bent(&[To(-0.5, -0.5), To(0.044, -0.5), To(-0.5, 0.044)])),
    Ink(Bent(&[To(0.256, -0.5), To(0.5, -0.5), To(0.5, -0.256), To(-0.256, 0.5), To(-0.5, 0.5), To(-0.5, 0.256)])),
    Ink(Bent(&[To(0.5, 0.5), To(-0.044, 0.5), To(0.5, -0.044)])),
];

const ARCH: &[Edge] = &[
    To(-0.36, 0.5),
    Arc(0.0, -0.08, 0.36, 180.0, 360.0),
    To(0.36, 0.5),
    To(0.24, 0.5),
    Arc(0.0, -0.08, 0.24, 360.0, 180.0),
    To(-0.24, 0.5),
];

const CUT_ARCH: &[Part] = &[
    Ink(Bent(&[
        To(-0.5, -0.5),
        To(0.5, -0.5),
        To(0.5, 0.5),
        To(0.36, 0.5),
        Arc(0.0, -0.08, 0.36, 360.0, 180.0),
        To(-0.36, 0.5),
        To(-0.5, 0.5),
    ])),
    Ink(Bent(&[To(-0.24, 0.5), Arc(0.0, -0.08, 0.24, 180.0, 360.0), To(0.24, 0.5)])),
];

//! A figure as it is read, and as it is drawn.

use super::curve::{Curve, StagePoint};
use super::plate::{PlainLine, Plate};
use crate::geom::{Length, Point, Size};
use crate::page::Shape;
use serde::Deserialize;
use std::ops::Range;
use std::sync::Arc;

/// A figure, read and checked.
#[derive(Clone, Debug, PartialEq)]
pub struct Figure {
    /// Its file's name without the ending.
    pub(crate) name: String,
    /// Stages in the order of doing.
    pub(crate) panels: Vec<Stage>,
    /// Whether the stages carry numbers.
    pub(crate) numbered: bool,
}

/// One stage.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Stage {
    /// Width and height, millimetres at true size.
    pub(crate) size: StagePoint,
    /// Cords, wood, strings and arrows.
    pub(crate) cords: Vec<Cord>,
    /// Flat things.
    pub(crate) plates: Vec<Plate>,
    /// Plain lines, on top of all.
    pub(crate) lines: Vec<PlainLine>,
    /// Places for words.
    pub(crate) labels: Vec<StageLabel>,
    /// What knots the drawing claims to show; held against the curves when a figure is read.
    pub(crate) claims: Vec<Claim>,
}

/// A cord, or something that is drawn like one: a bar of wood, a branch, a string, a movement arrow.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Cord {
    /// Name within the panel; may be empty.
    pub(crate) id: String,
    /// What it is.
    pub(crate) kind: CordKind,
    /// The way it takes.
    pub(crate) curve: Curve,
    /// How it starts.
    pub(crate) start: CordEnd,
    /// How it ends.
    pub(crate) finish: CordEnd,
}

/// What a cord is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub(crate) enum CordKind {
    /// Filler cord.
    Cord,
    /// Working yarn.
    Yarn,
    /// A second yarn.
    SecondYarn,
    /// Mounting strand.
    Strand,
    /// A turned bar: dowel.
    Wood,
    /// A found branch.
    Branch,
    /// A thin string.
    String,
    /// Staples, needles.
    Metal,
    /// A movement; not a thing.
    Arrow,
}

/// How a cord ends.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub(crate) enum CordEnd {
    /// Out of the picture.
    #[default]
    RunsOn,
    /// Cut straight; the cut face shows.
    Cut,
    /// Rounded off.
    Round,
    /// Thinner and thinner.
    Taper,
    /// The marked end that does the tying.
    Working,
}

/// A place for words in a panel.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct StageLabel {
    /// Phrase key.
    pub(crate) key: String,
    /// Where the words start, end or are centred; the middle of the line's height.
    pub(crate) at: StagePoint,
    /// Which of these.
    pub(crate) align: LabelAlign,
    /// What a thin leader points to.
    pub(crate) to: Option<StagePoint>,
    /// How much width there is, millimetres.
    pub(crate) room: f64,
}

/// Which part of a label stands at its place.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum LabelAlign {
    /// Its left end.
    #[default]
    Left,
    /// Its middle.
    Centre,
    /// Its right end.
    Right,
}

impl LabelAlign {
    /// With left and right exchanged.
    pub(crate) fn mirrored(self) -> LabelAlign {
        match self {
            LabelAlign::Left => LabelAlign::Right,
            LabelAlign::Centre => LabelAlign::Centre,
            LabelAlign::Right => LabelAlign::Left,
        }
    }
}

/// A knot that a panel claims to show.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Claim {
    /// Which knot.
    pub(crate) knot: Knot,
    /// The cord that is tied.
    pub(crate) yarn: String,
    /// The cord it is tied round.
    pub(crate) round: String,
}

/// Knots the figures show.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[expect(clippy::enum_variant_names, reason = "a half knot is called so in the trade")]
pub(crate) enum Knot {
    /// A clove hitch round a hanging cord.
    DoubleHalfHitch,
    /// A folded cord looped over itself.
    LarksHead,
    /// Two yarns crossed once round each other.
    Link,
    /// Two tails tied in overhand knots, one after the other.
    HalfKnot,
}

/// A figure drawn, its top left corner at (0, 0).
#[derive(Clone, Debug, PartialEq, Default)]
pub struct DrawnFigure {
    /// What it takes up; never wider than the area asked for.
    pub size: Size,
    /// From the bottom up.
    pub shapes: Arc<Vec<Shape>>,
    /// Which of them are a picture of the panel itself.
    pub(crate) picture: Range<usize>,
    /// Places for words.
    pub labels: Vec<Label>,
    /// Places for the stages' numbers; empty where a figure has one stage only.
    pub numbers: Vec<StageNumber>,
}

/// A place for words.
#[derive(Clone, Debug, PartialEq)]
pub struct Label {
    /// Phrase key.
    pub key: String,
    /// Where the words start, end or are centred; the middle of the first line's height.
    pub at: Point,
    /// Which of these.
    pub align: LabelAlign,
    /// How much width there is before the words meet something else.
    pub(crate) room: Length,
}

/// A place for a stage's number.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StageNumber {
    /// From 1.
    pub number: usize,
    /// Left end, at the middle of the line's height.
    pub at: Point,
}

/// The size of the words in drawings that the room kept for them is made for.
pub(crate) const USUAL_LABEL: Length = Length::pt(7.5);

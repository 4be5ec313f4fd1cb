//! Drawn figures: cords as curves that pass over and under each other, as data from layouts/figures.
//!
//! A figure is a row of stages. Every crossing is found in the curves and the heights along them say which cord passes
//! over; a mirrored figure is computed. In come millimetres, colours and a width; out go shapes and places for words.
//! Knows no phrase: labels are keys that the caller sets in type.

mod cord;
pub mod crossing;
pub mod curve;
mod field;
mod file;
mod finished;
pub mod follow;
mod order;
mod pen;
mod plate;
mod shipped;
mod tone;

pub use pen::THINNEST;
pub use plate::{PlainLine, Plate, PlateKind};
pub use shipped::Figures;
pub use tone::FigureColours;

use crate::diag::{Report, SourceId};
use crate::geom::{Length, Point, Size};
use crate::page::Shape;
use curve::{Curve, Spot};
use pen::{Line, Pen};
use serde::Deserialize;
use std::sync::Arc;

/// A figure, read and checked.
#[derive(Clone, Debug, PartialEq)]
pub struct Figure {
    /// Its file's name without the ending.
    pub name: String,
    /// Stages in the order of doing.
    pub panels: Vec<Panel>,
    /// Whether the stages carry numbers.
    pub numbered: bool,
}

/// One stage.
#[derive(Clone, Debug, PartialEq)]
pub struct Panel {
    /// Width and height, millimetres at true size.
    pub size: Spot,
    /// Cords, wood, strings and arrows.
    pub cords: Vec<Cord>,
    /// Flat things.
    pub plates: Vec<Plate>,
    /// Plain lines, on top of all.
    pub lines: Vec<PlainLine>,
    /// Places for words.
    pub labels: Vec<PanelLabel>,
    /// What knots the drawing claims to show; held against the curves by [`follow::follow`].
    pub claims: Vec<Claim>,
}

/// A cord, or something that is drawn like one: a bar of wood, a branch, a string, a movement arrow.
#[derive(Clone, Debug, PartialEq)]
pub struct Cord {
    /// Name within the panel; may be empty.
    pub id: String,
    /// What it is.
    pub kind: Kind,
    /// The way it takes.
    pub curve: Curve,
    /// How it starts.
    pub start: End,
    /// How it ends.
    pub finish: End,
}

/// What a cord is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Kind {
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
pub enum End {
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
pub struct PanelLabel {
    /// Phrase key.
    pub key: String,
    /// Where the words start, end or are centred; the middle of the line's height.
    pub at: Spot,
    /// Which of these.
    pub align: LabelAlign,
    /// What a thin leader points to.
    pub to: Option<Spot>,
    /// How much width there is, millimetres.
    pub room: f64,
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

/// A knot that a panel claims to show.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Claim {
    /// Which knot.
    pub knot: Knot,
    /// The cord that is tied.
    pub yarn: String,
    /// The cord it is tied round.
    pub round: String,
}

/// Knots the figures show.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Knot {
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
pub struct Drawn {
    /// What it takes up; never wider than the area asked for.
    pub size: Size,
    /// From the bottom up.
    pub shapes: Arc<Vec<Shape>>,
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
    pub room: Length,
}

/// A place for a stage's number.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StageNumber {
    /// From 1.
    pub number: usize,
    /// Left end, at the middle of the line's height.
    pub at: Point,
}

/// White between stages, millimetres.
const GUTTER: f64 = 4.0;
/// Height kept free above a numbered stage, millimetres.
const NUMBER_STRIP: f64 = 5.0;
/// Stages stand in fewer to a row before they are drawn smaller than this, with words of the usual size.
const LEAST_SCALE: f64 = 0.9;
/// A figure with words of the usual size is never drawn larger than this, however much room there is.
const MOST_SCALE: f64 = 1.2;

impl Figure {
    /// Draws the figure at most `room` wide and high. `grown` is how many times their usual size its words are set: it is
    /// drawn larger with them, so that they have the room they need beside the cords. `mirrored` exchanges left and right
    /// within every stage; the order of the stages and the words stay as they are.
    pub fn draw(&self, room: Size, grown: f64, colours: &FigureColours, mirrored: bool) -> Drawn {
        let (rows, scale) = self.rows(room, grown);
        let mut pen = Pen::new(scale);
        let mut drawn = Drawn::default();
        let (mut stage, mut y, mut widest) = (0, 0.0, 0.0_f64);
        let strip = if self.numbered { NUMBER_STRIP } else { 0.0 };
        for count in rows {
            let row = &self.panels[stage..stage + count];
            let (top, bottom) = used_height(row);
            let mut x = 0.0;
            for panel in row {
                stage += 1;
                pen.start(Point::default());
                if self.numbered {
                    drawn.numbers.push(StageNumber { number: stage, at: pen.place([x, y + strip / 2.0 - 0.5]) });
                }
                let corner = pen.place([x, y + strip - top]);
                pen.start(corner);
                // Mirrored before it is drawn, not after: the light still falls from the upper left and the cord keeps
                // its twist.
                let turned = mirrored.then(|| panel.mirrored());
                let panel = turned.as_ref().unwrap_or(panel);
                panel.draw(&mut pen, colours);
                drawn.labels.extend(panel.labels.iter().map(|l| l.placed(&pen)));
                x += panel.size[0] + GUTTER;
            }
            widest = widest.max(x - GUTTER);
            y += strip + bottom - top + GUTTER;
        }
        drawn.size = Size::new(Length::mm(widest * scale), Length::mm((y - GUTTER).max(0.0) * scale));
        drawn.shapes = Arc::new(pen.shapes);
        drawn
    }

    /// Reads a figure from the text of its file, as documented in layouts/figures/README.md. The report holds every
    /// fault found. A figure that mirrors another one is found in the shipped set only.
    pub fn read(name: &str, text: &str, source: SourceId) -> Result<Figure, Report> {
        file::read(name, text, source, file::Crossings::Checked, &|other| Figures::shipped().get(other))
    }

    /// Keys of the labels, in the order of the stages, each once.
    pub fn keys(&self) -> Vec<&str> {
        let mut keys = Vec::new();
        for label in self.panels.iter().flat_map(|p| &p.labels) {
            if !keys.contains(&label.key.as_str()) {
                keys.push(label.key.as_str());
            }
        }
        keys
    }

    /// In how many rows its stages stand in a room.
    pub fn row_count(&self, room: Size, grown: f64) -> usize {
        self.rows(room, grown).0.len()
    }

    /// How many stages stand in each row, and how many times their true size they are drawn: as large as the width allows,
    /// and smaller or in fewer rows where the height does not.
    fn rows(&self, room: Size, grown: f64) -> (Vec<usize>, f64) {
        let (width, height) = (room.width.to_mm(), room.height.to_mm());
        let all = self.panels.len().max(1);
        let strip = if self.numbered { NUMBER_STRIP } else { 0.0 };
        let mut best: (Vec<usize>, f64) = (Vec::new(), 0.0);
        for rows in 1..=all {
            let most = all.div_ceil(rows);
            let counts: Vec<usize> = (0..all).step_by(most).map(|from| most.min(all - from)).collect();
            let mut from = 0;
            let (mut widest, mut tall) = (1.0_f64, -GUTTER);
            for &count in &counts {
                let row = &self.panels[from..from + count];
                widest = widest.max(row.iter().map(|p| p.size[0] + GUTTER).sum::<f64>() - GUTTER);
                let (top, bottom) = used_height(row);
                tall += strip + bottom - top + GUTTER;
                from += count;
            }
            let scale = (width / widest).min(MOST_SCALE * grown).min(height / tall.max(1.0));
            if scale > best.1 {
                best = (counts, scale);
            }
            if scale >= LEAST_SCALE * grown {
                break;
            }
        }
        if self.panels.is_empty() { (Vec::new(), 1.0) } else { best }
    }

    /// The figure with left and right exchanged.
    pub fn mirrored(&self, name: &str) -> Figure {
        Figure {
            name: name.to_string(),
            panels: self.panels.iter().map(Panel::mirrored).collect(),
            numbered: self.numbered,
        }
    }
}

/// From where to where the stages of a row are drawn on, millimetres: white above and below all of them is not kept.
fn used_height(row: &[Panel]) -> (f64, f64) {
    /// White kept above and below.
    const RIM: f64 = 1.0;
    let tallest = row.iter().map(|panel| panel.size[1]).fold(0.0, f64::max);
    let (top, bottom) = row
        .iter()
        .map(Panel::drawn_between)
        .fold((tallest, 0.0), |(top, bottom), (from, to)| (f64::min(top, from), f64::max(bottom, to)));
    let top = (top - RIM).clamp(0.0, tallest);
    (top, (bottom + RIM).clamp(top, tallest))
}

impl Panel {
    /// The highest and the lowest place that is drawn on, millimetres; what stands above the panel is not counted.
    fn drawn_between(&self) -> (f64, f64) {
        let cords =
            self.cords.iter().flat_map(|cord| &cord.curve.samples).map(|s| (s.at[1] - s.half, s.at[1] + s.half));
        let flat = self.plates.iter().flat_map(|p| &p.outline).chain(self.lines.iter().flat_map(|l| &l.through));
        let words = self.labels.iter().filter(|l| l.at[1] > 0.0).map(|l| (l.at[1] - 2.0, l.at[1] + 2.0));
        cords
            .chain(flat.map(|spot| (spot[1], spot[1])))
            .chain(words)
            .fold((self.size[1], 0.0), |(top, bottom), (from, to)| (f64::min(top, from), f64::max(bottom, to)))
    }

    /// The stage with left and right exchanged.
    pub fn mirrored(&self) -> Panel {
        let turn = |spot: Spot| [self.size[0] - spot[0], spot[1]];
        let mut panel = self.clone();
        for sample in panel.cords.iter_mut().flat_map(|c| &mut c.curve.samples) {
            sample.at = turn(sample.at);
            sample.along[0] = -sample.along[0];
        }
        let flat = panel.plates.iter_mut().map(|p| &mut p.outline);
        for line in flat.chain(panel.lines.iter_mut().map(|l| &mut l.through)) {
            line.iter_mut().for_each(|spot| *spot = turn(*spot));
        }
        for label in &mut panel.labels {
            label.at = turn(label.at);
            label.to = label.to.map(turn);
            label.align = label.align.mirrored();
        }
        panel
    }

    fn draw(&self, pen: &mut Pen, colours: &FigureColours) {
        let curves: Vec<&Curve> = self.cords.iter().map(|c| &c.curve).collect();
        let manner = |cord: &Cord| order::Manner {
            dips: !matches!(cord.kind, Kind::Wood | Kind::Branch),
            hides: !matches!(cord.kind, Kind::String | Kind::Arrow),
        };
        let manners: Vec<order::Manner> = self.cords.iter().map(manner).collect();
        let slabs: Vec<order::Slab> =
            self.plates.iter().map(|p| order::Slab { corners: p.corners(), z: p.z }).collect();
        for step in order::order(&curves, &slabs, &manners) {
            match step {
                order::Step::Stretch { cord, samples, over } => {
                    cord::paint(pen, &self.cords[cord], samples, &over, colours);
                }
                order::Step::Slab(plate) => self.plates[plate].paint(pen, colours),
            }
        }
        for line in &self.lines {
            let look = Line { colour: colours.ink, width: line.width, dash: line.dash };
            pen.stroke_lines(std::slice::from_ref(&line.through), look);
        }
        for label in &self.labels {
            label.lead(pen, colours);
        }
    }
}

impl PanelLabel {
    /// The thin line from the words to what they name.
    fn lead(&self, pen: &mut Pen, colours: &FigureColours) {
        let Some(to) = self.to else { return };
        // Above or below the words where what they name lies over or under them: a line never runs through its own words.
        let upright = if to[1] < self.at[1] { -1.9 } else { 1.9 };
        let away = match self.align {
            LabelAlign::Left if to[0] > self.at[0] => [1.5, upright],
            LabelAlign::Left => [-0.8, 0.0],
            LabelAlign::Right if to[0] < self.at[0] => [-1.5, upright],
            LabelAlign::Right => [0.8, 0.0],
            LabelAlign::Centre => [0.0, upright],
        };
        let from = [self.at[0] + away[0], self.at[1] + away[1]];
        pen.stroke_lines(&[vec![from, to]], Line::full(colours.ink, 0.12));
    }

    fn placed(&self, pen: &Pen) -> Label {
        Label { key: self.key.clone(), at: pen.place(self.at), align: self.align, room: pen.length(self.room) }
    }
}

impl LabelAlign {
    fn mirrored(self) -> LabelAlign {
        match self {
            LabelAlign::Left => LabelAlign::Right,
            LabelAlign::Centre => LabelAlign::Centre,
            LabelAlign::Right => LabelAlign::Left,
        }
    }
}

#[cfg(test)]
mod tests;

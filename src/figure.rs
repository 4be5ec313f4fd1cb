//! Drawn figures: cords as curves that pass over and under each other, as data from layouts/figures.
//!
//! A figure is a row of stages. Every crossing is found in the curves and the heights along them say which cord passes
//! over; a mirrored figure is computed. In come millimetres, colours and a width; out go shapes and places for words.
//! Knows no phrase: labels are keys that the caller sets in type.

mod builder;
mod cord;
pub(crate) mod crossing;
pub(crate) mod curve;
mod field;
mod file;
mod finished;
#[cfg(test)]
mod follow;
mod kept;
mod model;
mod order;
mod plate;
mod shipped;
mod tone;

pub(crate) use builder::MIN_LINE_WIDTH;
pub(crate) use kept::{Shown, drawn_figure, rows_of_figure};
pub(crate) use model::{Cord, CordKind, Figure, Label, Stage, StageLabel, StageNumber, USUAL_LABEL};
pub use model::{DrawnFigure, LabelAlign};
pub use shipped::Figures;
pub use tone::FigureColours;

use crate::geom::{Length, Point, Size};
use builder::{LineStyle, ShapeBuilder};
use curve::{Curve, StagePoint};
use std::sync::Arc;

/// White between stages, millimetres.
const GUTTER: f64 = 4.0;
/// Height kept free above a numbered stage, millimetres.
const NUMBER_STRIP: f64 = 5.0;
/// Stages stand in fewer to a row before they are drawn smaller than this, with words of the usual size.
const MIN_SCALE: f64 = 0.7;
/// A figure with words of the usual size is never drawn larger than this, however much room there is: a larger cord is no
/// clearer, and sends the steps overleaf.
const MAX_SCALE: f64 = 0.84;

impl Figure {
    /// Draws the figure at most `room` wide and high. `grown` is how many times their usual size its words are set: it is
    /// drawn larger with them, so that they have the room they need beside the cords. `mirrored` exchanges left and right
    /// within every stage; the order of the stages and the words stay as they are.
    pub fn draw(&self, room: Size, grown: f64, colours: &FigureColours, mirrored: bool) -> DrawnFigure {
        let (rows, scale) = self.rows(room, grown);
        let mut builder = ShapeBuilder::new(scale);
        let mut drawn = DrawnFigure::default();
        let (mut stage, mut y, mut widest) = (0, 0.0, 0.0_f64);
        let strip = if self.numbered { NUMBER_STRIP } else { 0.0 };
        for count in rows {
            let row = &self.panels[stage..stage + count];
            let (top, bottom) = used_height(row);
            let mut x = 0.0;
            for panel in row {
                stage += 1;
                builder.start(Point::default());
                if self.numbered {
                    drawn.numbers.push(StageNumber { number: stage, at: builder.place([x, y + strip / 2.0 - 0.5]) });
                }
                let corner = builder.place([x, y + strip - top]);
                builder.start(corner);
                // Mirrored before it is drawn, not after: the light still falls from the upper left and the cord keeps
                // its twist.
                let turned = mirrored.then(|| panel.mirrored());
                let panel = turned.as_ref().unwrap_or(panel);
                panel.draw(&mut builder, colours);
                drawn.labels.extend(panel.labels.iter().map(|l| l.placed(&builder)));
                x += panel.size[0] + GUTTER;
            }
            widest = widest.max(x - GUTTER);
            y += strip + bottom - top + GUTTER;
        }
        drawn.size = Size::new(Length::mm(widest * scale), Length::mm((y - GUTTER).max(0.0) * scale));
        drawn.shapes = Arc::new(builder.shapes);
        drawn
    }

    /// In how many rows its stages stand in a room.
    pub(crate) fn row_count(&self, room: Size, grown: f64) -> usize {
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
            let scale = (width / widest).min(MAX_SCALE * grown).min(height / tall.max(1.0));
            if scale > best.1 {
                best = (counts, scale);
            }
            if scale >= MIN_SCALE * grown {
                break;
            }
        }
        if self.panels.is_empty() { (Vec::new(), 1.0) } else { best }
    }

    /// The figure with left and right exchanged.
    pub(crate) fn mirrored(&self, name: &str) -> Figure {
        Figure {
            name: name.to_string(),
            panels: self.panels.iter().map(Stage::mirrored).collect(),
            numbered: self.numbered,
        }
    }
}

/// From where to where the stages of a row are drawn on, millimetres: white above and below all of them is not kept.
fn used_height(row: &[Stage]) -> (f64, f64) {
    /// White kept above and below.
    const RIM: f64 = 1.0;
    let tallest = row.iter().map(|panel| panel.size[1]).fold(0.0, f64::max);
    let (top, bottom) = row
        .iter()
        .map(Stage::drawn_between)
        .fold((tallest, 0.0), |(top, bottom), (from, to)| (f64::min(top, from), f64::max(bottom, to)));
    let top = (top - RIM).clamp(0.0, tallest);
    (top, (bottom + RIM).clamp(top, tallest))
}

impl Stage {
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
    pub(crate) fn mirrored(&self) -> Stage {
        let turn = |spot: StagePoint| [self.size[0] - spot[0], spot[1]];
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

    fn draw(&self, builder: &mut ShapeBuilder, colours: &FigureColours) {
        let curves: Vec<&Curve> = self.cords.iter().map(|c| &c.curve).collect();
        let manner = |cord: &Cord| order::PaintRules {
            dips: !matches!(cord.kind, CordKind::Wood | CordKind::Branch),
            hides: !matches!(cord.kind, CordKind::String | CordKind::Arrow),
        };
        let manners: Vec<order::PaintRules> = self.cords.iter().map(manner).collect();
        let slabs: Vec<order::Slab> =
            self.plates.iter().map(|p| order::Slab { corners: p.corners(), z: p.z }).collect();
        for step in order::order(&curves, &slabs, &manners) {
            match step {
                order::PaintStep::Stretch { cord, samples, over } => {
                    cord::paint(builder, &self.cords[cord], samples, &over, colours);
                }
                order::PaintStep::Slab(plate) => self.plates[plate].paint(builder, colours),
            }
        }
        for line in &self.lines {
            let look = LineStyle { colour: colours.ink, width: line.width, dash: line.dash };
            builder.stroke_lines(std::slice::from_ref(&line.through), look);
        }
        for label in &self.labels {
            label.lead(builder, colours);
        }
    }
}

impl StageLabel {
    /// The thin line from the words to what they name.
    fn lead(&self, builder: &mut ShapeBuilder, colours: &FigureColours) {
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
        builder.stroke_lines(&[vec![from, to]], LineStyle::full(colours.ink, 0.12));
    }

    fn placed(&self, builder: &ShapeBuilder) -> Label {
        Label { key: self.key.clone(), at: builder.place(self.at), align: self.align, room: builder.length(self.room) }
    }
}

#[cfg(test)]
mod tests;

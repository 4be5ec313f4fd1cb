//! A field of small finished knots: the panel round the place that a figure is about.

use super::curve::{CurvePoint, StagePoint, sampled};
use super::finished::{RIDING, WRAPS, hitch};
use super::model::{Cord, CordEnd, CordKind};
use std::ops::Range;

/// A field as it is asked for.
#[derive(Clone, Debug)]
pub(crate) struct Field {
    /// Middle of the first knot of the first row, millimetres.
    pub(crate) at: StagePoint,
    /// Distance from column to column and from row to row.
    pub(crate) pitch: StagePoint,
    /// The yarns, row by row; `None` is a bare cell.
    pub(crate) rows: Vec<Vec<Option<CordKind>>>,
    /// Whether the first row is worked from left to right, as seen from the front.
    pub(crate) rightwards: bool,
    /// Seen from the back of the panel.
    pub(crate) behind: bool,
    /// Width of the filler cords.
    pub(crate) cord: f64,
    /// Width of the yarn.
    pub(crate) yarn: f64,
    /// How far the cords show above the first row and below the last one.
    pub(crate) bare: StagePoint,
    /// Whether the cords run on above.
    pub(crate) from_above: bool,
    /// Whether the filler cords are drawn; else they are drawn elsewhere.
    pub(crate) fillers: bool,
    /// Added to every height.
    pub(crate) z: f64,
}

impl Field {
    /// The field as cords. The filler cord of column k, from 0, is named `name` and k.
    pub(crate) fn cords(&self, name: &str) -> Vec<Cord> {
        let columns = self.rows.iter().map(Vec::len).max().unwrap_or(0);
        let mut cords: Vec<Cord> = Vec::new();
        if self.fillers {
            cords.extend((0..columns).map(|column| self.filler(name, column)));
        }
        for (row, yarns) in self.rows.iter().enumerate() {
            let rightwards = self.rightwards == (row % 2 == 0);
            let mut column = 0;
            while column < yarns.len() {
                let Some(kind) = yarns[column] else {
                    column += 1;
                    continue;
                };
                let run = yarns[column..].iter().take_while(|y| **y == Some(kind)).count();
                self.run(row, column..column + run, kind, !rightwards, &mut cords);
                column += run;
            }
        }
        cords
    }

    fn place(&self, column: usize, row: usize) -> StagePoint {
        [self.at[0] + self.pitch[0] * column as f64, self.at[1] + self.pitch[1] * row as f64]
    }

    fn filler(&self, name: &str, column: usize) -> Cord {
        let [x, top] = self.place(column, 0);
        let bottom = self.place(column, self.rows.len().saturating_sub(1))[1];
        let ends = [[x, top - self.bare[0], self.z], [x, bottom + self.bare[1], self.z]];
        Cord {
            id: format!("{name}{column}"),
            kind: CordKind::Cord,
            curve: sampled(&ends.map(|place| CurvePoint::smooth(place, self.cord))),
            start: if self.from_above { CordEnd::RunsOn } else { CordEnd::Cut },
            finish: CordEnd::RunsOn,
        }
    }

    /// What shows of a run: from the front the two wraps of every knot and the yarn between the cords, from behind the
    /// yarn as it runs from cord to cord and over it the riding parts. `leftwards` as seen from the front.
    fn run(&self, row: usize, columns: Range<usize>, kind: CordKind, leftwards: bool, cords: &mut Vec<Cord>) {
        let between = if self.behind { 0.6 } else { -0.6 };
        let mut way = Vec::new();
        // All knots of a run are the same one.
        let knot = hitch([0.0, 0.0], self.cord, self.yarn, leftwards, self.behind);
        let shown: &[Range<usize>] = if self.behind { std::slice::from_ref(&RIDING) } else { &WRAPS };
        // At one height all over: neighbouring knots touch and do not hide each other.
        let height = if self.behind { 1.6 } else { 1.0 };
        let level = |part: &Range<usize>| -> Vec<CurvePoint> {
            knot[part.clone()].iter().map(|place| CurvePoint { z: height, ..*place }).collect()
        };
        let parts: Vec<Cord> = shown.iter().map(|part| self.part(kind, &level(part))).collect();
        for column in columns {
            let [x, y] = self.place(column, row);
            for part in &parts {
                let mut part = part.clone();
                part.curve.samples.iter_mut().for_each(|s| s.at = [s.at[0] + x, s.at[1] + y]);
                cords.push(part);
            }
            let reach = self.cord / 2.0 + self.yarn * 0.4;
            way.extend([x - reach, x + reach].map(|x| CurvePoint::smooth([x, y, between], self.yarn)));
        }
        cords.push(self.part(kind, &way));
    }

    fn part(&self, kind: CordKind, way: &[CurvePoint]) -> Cord {
        let lifted: Vec<CurvePoint> = way.iter().map(|place| CurvePoint { z: place.z + self.z, ..*place }).collect();
        let mut curve = sampled(&lifted);
        curve.samples.iter_mut().for_each(|s| s.close = true);
        Cord { id: String::new(), kind, curve, start: CordEnd::Round, finish: CordEnd::Round }
    }
}

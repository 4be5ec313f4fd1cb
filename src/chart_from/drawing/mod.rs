//! A drawing of few flat colours becomes a chart in exactly those colours.
//!
//! In: a picture as it is seen. Out: a [`Drawing`], its colours and for every pixel which of them is meant; and from that
//! a chart of any size. The steps: `palette` finds the flat colours and sees the smoothing of edges as such, `labels`
//! gives every pixel one of them, `mirror` looks for axes of symmetry, and `knots` gives every knot the colour of most
//! of its area, with what is thin or small but strong kept by `thin`.

mod knots;
mod label_map;
mod labels;
mod mirror;
mod palette;
mod raster;
mod rgb;
mod thin;

use super::cells::View;
use crate::chart::MAX_YARNS;
use crate::colour::{Colour, Oklab};
use crate::picture::SrgbPicture;
use raster::Raster;

pub use knots::Detail;
pub use label_map::Labels;

/// A drawing: its colours, and which of them each pixel has.
#[derive(Clone, Debug, PartialEq)]
pub struct Drawing {
    /// The colours, that of most pixels first.
    pub colours: Vec<Colour>,
    labels: Labels,
}

/// A chart drawn from a drawing.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DrawnKnots {
    /// Which colour each knot has, by its place in [`Drawing::colours`], in reading order.
    pub cells: Vec<u8>,
    /// Whether the drawing, and so the chart, is the same from the left and from the right.
    pub symmetrical: bool,
}

impl Drawing {
    /// Sees a picture as a drawing. `None` where its colours are not few and flat: it is a photograph then.
    pub fn find(picture: &SrgbPicture) -> Option<Drawing> {
        let flat = palette::find(picture)?;
        (flat.is_drawing && flat.colours.len() <= MAX_YARNS).then(|| Drawing::labelled(picture, &flat))
    }

    /// Takes a picture for a drawing whatever its colours; of more than a chart can have, those that matter most.
    /// `None` where there is no flat colour at all.
    pub fn forced(picture: &SrgbPicture) -> Option<Drawing> {
        let flat = palette::find(picture)?;
        let mut drawing = Drawing::labelled(picture, &palette::Flat { colours: flat.first(255), ..flat });
        drawing.keep(MAX_YARNS);
        Some(drawing)
    }

    /// A drawing from a chart's own squares: one pixel a square.
    pub fn of_squares(columns: usize, cells: Vec<u8>, colours: Vec<Colour>) -> Drawing {
        let height = cells.len() / columns.max(1);
        Drawing { colours, labels: Labels { width: columns, height, of: cells } }
    }

    fn labelled(picture: &SrgbPicture, flat: &palette::Flat) -> Drawing {
        let labels = labels::label(picture, flat);
        Drawing { colours: flat.colours.clone(), labels }.by_area()
    }

    /// Colours in the order of their area; those of no pixel are dropped.
    fn by_area(self) -> Drawing {
        let counts = self.labels.counts(self.colours.len());
        let mut order: Vec<usize> = (0..self.colours.len()).filter(|&at| counts[at] > 0).collect();
        order.sort_by_key(|&at| (core::cmp::Reverse(counts[at]), at));
        let mut place = vec![0_u8; self.colours.len()];
        for (new, &old) in order.iter().enumerate() {
            place[old] = new as u8;
        }
        let of = self.labels.of.iter().map(|&label| place[usize::from(label)]).collect();
        Drawing {
            colours: order.into_iter().map(|at| self.colours[at]).collect(),
            labels: Labels { of, ..self.labels },
        }
    }

    /// Keeps at most so many of the colours: each time the one goes that is missed least, by its area and how far it is
    /// from the nearest that stays. None is ever mixed.
    pub fn keep(&mut self, most: usize) {
        let mut counts = self.labels.counts(self.colours.len());
        let looks: Vec<Oklab> = self.colours.iter().map(|colour| Oklab::from_linear(colour.linear())).collect();
        let mut instead: Vec<usize> = (0..looks.len()).collect();
        let mut left: Vec<usize> = instead.clone();
        while left.len() > most.max(1) {
            let nearest = |at: usize| {
                let others = left.iter().filter(|&&other| other != at);
                others
                    .map(|&other| (looks[at].distance_squared(looks[other]), other))
                    .min_by(|a, b| a.0.total_cmp(&b.0))
            };
            let missed = left.iter().filter_map(|&at| {
                let (far, other) = nearest(at)?;
                // Pressed down as the areas of a photograph are: a face must not go because the sky is large.
                Some((far * libm::pow(counts[at] as f64, 0.6), at, other))
            });
            let Some((_, gone, other)) = missed.min_by(|a, b| a.0.total_cmp(&b.0)) else { break };
            left.retain(|&at| at != gone);
            counts[other] += counts[gone];
            for to in &mut instead {
                if *to == gone {
                    *to = other;
                }
            }
        }
        for label in &mut self.labels.of {
            *label = instead[usize::from(*label)] as u8;
        }
        *self = self.clone().by_area();
    }

    /// The share of the picture that has this colour.
    pub fn share(&self, at: usize) -> f64 {
        let counts = self.labels.counts(self.colours.len());
        counts[at] as f64 / self.labels.of.len().max(1) as f64
    }

    /// Draws the chart of what `view` keeps.
    pub fn knots(&self, view: &View, columns: usize, rows: usize, detail: Detail) -> DrawnKnots {
        let axes = mirror::axes(&self.labels, self.colours.len(), view);
        let view = mirror::aligned(*view, &axes, columns, rows);
        let raster = Raster::of(&self.labels, &view, columns, rows);
        let looks: Vec<Oklab> = self.colours.iter().map(|colour| Oklab::from_linear(colour.linear())).collect();
        let mut cells = knots::choose(&raster, &looks, detail);
        let symmetrical = mirror::copy(&mut cells, columns, rows, &view, &axes);
        DrawnKnots { cells, symmetrical }
    }
}

//! The cells of a sheet as they look. Most cells of a chart are drawn alike, so what is drawn in each is listed first, and of
//! cells with equal lists one is painted and read for all.
//!
//! What is listed is exact for boxes parallel to the grid (grounds, lines): the samples that they cover. Other outlines (symbols,
//! marks) are equal where shape and place differ by less than a sixteenth of a sample, which moves no outline of a symbol by a
//! hundredth of what would tell it from another. What is neither is painted on all samples of the whole sheet.

mod parts;
#[cfg(test)]
mod tests;

use super::canvas::{Canvas, OPAQUE, colour_of, first_from, reach_of};
use super::lattice::{Lattice, SAMPLES};
use super::look::CellLook;
use crate::reader::marks::{PageMarks, PaintKind, PaintedMark, Subpath};
use crate::reader::matrix::{Bounds, PagePoint};
use parts::{apart, boxes};
use std::collections::HashMap;
use std::ops::Range;
use std::sync::Arc;

/// Columns, or rows, that an outline which is no box may reach into.
const FEW: usize = 4;
/// Steps in which places of outlines are told apart, for a cell.
const STEPS: f64 = 16.0 * SAMPLES as f64;

/// All cells of a sheet.
pub(super) struct Cells {
    /// How cells look, each once.
    pub(crate) looks: Vec<CellLook>,
    /// Which of these each cell has, in reading order.
    pub(crate) of: Vec<u32>,
}

impl Cells {
    /// Reads all cells of a grid.
    pub(crate) fn read(page: &PageMarks, lattice: &Lattice) -> Cells {
        match Listing::of(page, lattice) {
            Some(listing) => listing.read(),
            None => one_by_one(page, lattice),
        }
    }

    /// How each cell looks, in reading order.
    pub(crate) fn iter(&self) -> impl Iterator<Item = &CellLook> {
        self.of.iter().map(|look| &self.looks[*look as usize])
    }
}

/// Every cell by itself.
fn one_by_one(page: &PageMarks, lattice: &Lattice) -> Cells {
    let canvas = lattice.sampled(page);
    let cells = (0..lattice.rows).flat_map(|row| (0..lattice.columns).map(move |column| (row, column)));
    let looks: Vec<CellLook> = cells.map(|(row, column)| CellLook::read(&canvas, row, column)).collect();
    Cells { of: (0..looks.len() as u32).collect(), looks }
}

/// Something drawn in a cell, the same for all cells where it covers the same.
#[derive(Clone, PartialEq, Eq, Hash)]
struct Piece {
    extent: Extent,
    colour: u32,
    /// Opacity, as its bits.
    opacity: u64,
}

#[derive(Clone, PartialEq, Eq, Hash)]
enum Extent {
    /// These rows and columns of the cell's samples.
    Box(Range<u8>, Range<u8>),
    /// A shape, filled or stroked, so many steps from the cell's corner, within such a clip.
    Shape { shape: u32, even_odd: bool, stroke: Option<u64>, at: [i32; 2], clip: Option<[i32; 4]> },
}

/// What is drawn in each cell.
struct Listing<'a> {
    lattice: &'a Lattice,
    xs: Vec<f64>,
    ys: Vec<f64>,
    /// All pieces; a shape with the mark that it was met in first, and the cell.
    pieces: Vec<(Piece, Option<(PaintedMark, usize)>)>,
    numbers: HashMap<Piece, u32>,
    /// Pieces and outlines that were met last: nearly always the next one is one of them.
    last_pieces: Recent<u32>,
    last_shapes: Recent<(*const Vec<Subpath>, u32)>,
    /// Outlines that places share, by where they lie in memory; held, so that nothing else comes to lie there.
    shapes: HashMap<*const Vec<Subpath>, (u32, Arc<Vec<Subpath>>)>,
    /// Shapes by their corners, for those that are drawn anew each time.
    corners: HashMap<Vec<i32>, u32>,
    /// Pieces of each cell in drawing order; nothing under one that covers the whole cell.
    cells: Vec<Vec<u32>>,
}

impl<'a> Listing<'a> {
    /// `None`: something is drawn that is neither boxes nor small.
    fn of(page: &PageMarks, lattice: &'a Lattice) -> Option<Listing<'a>> {
        let (xs, ys) = lattice.samples();
        let mut listing = Listing {
            lattice,
            xs,
            ys,
            pieces: Vec::new(),
            numbers: HashMap::new(),
            last_pieces: Recent::default(),
            last_shapes: Recent::default(),
            shapes: HashMap::new(),
            corners: HashMap::new(),
            cells: vec![Vec::new(); lattice.rows * lattice.columns],
        };
        let all = Bounds {
            left: *listing.xs.first()?,
            top: *listing.ys.first()?,
            right: *listing.xs.last()?,
            bottom: *listing.ys.last()?,
        };
        for mark in &page.painted {
            let clip = mark.clip.map_or(all, |clip| clip.shared(&all));
            if clip.is_empty() || !mark.bounds.grown(reach_of(mark)).meets(&clip) {
                continue;
            }
            if !listing.add(mark, &clip) {
                let parts = apart(mark)?;
                if parts.len() < 2 || !parts.iter().all(|part| listing.add(part, &clip)) {
                    return None;
                }
            }
        }
        Some(listing)
    }

    /// `false`: it is neither boxes nor small, and nothing is listed.
    fn add(&mut self, mark: &PaintedMark, clip: &Bounds) -> bool {
        let Some(boxes) = boxes(mark) else { return self.add_shape(mark, clip) };
        boxes.iter().for_each(|area| self.add_box(area, clip, mark));
        true
    }

    fn add_box(&mut self, area: &Bounds, clip: &Bounds, mark: &PaintedMark) {
        let samples = |places: &[f64], (from, to): (f64, f64), (first, last): (f64, f64)| {
            let (least, most) = (first_from(places, first), places.partition_point(|place| *place <= last));
            first_from(places, from).max(least)..first_from(places, to).min(most)
        };
        let rows = samples(&self.ys, (area.top, area.bottom), (clip.top, clip.bottom));
        let columns = samples(&self.xs, (area.left, area.right), (clip.left, clip.right));
        if rows.is_empty() || columns.is_empty() {
            return;
        }
        let is_opaque = mark.opacity >= OPAQUE;
        for row in cells_of(&rows) {
            let (down, mut before) = (part_in(&rows, row), None);
            for column in cells_of(&columns) {
                let across = part_in(&columns, column);
                let covers = is_opaque && down == (0..SAMPLES as u8) && across == down;
                // All cells but the outermost are covered alike.
                let number = match before {
                    Some((number, ref same)) if *same == across => number,
                    _ => self.number(Extent::Box(down.clone(), across.clone()), mark, None),
                };
                before = Some((number, across));
                let cell = &mut self.cells[row * self.lattice.columns + column];
                if covers {
                    cell.clear();
                }
                cell.push(number);
            }
        }
    }

    /// `false`: it reaches into too many cells.
    fn add_shape(&mut self, mark: &PaintedMark, clip: &Bounds) -> bool {
        let grid = self.lattice.area;
        let (across, down) = (self.lattice.across(), self.lattice.down());
        let whole = mark.bounds.grown(reach_of(mark));
        let shown = whole.shared(clip);
        let span = |from: f64, to: f64, step: f64, count: usize| {
            let cell = |place: f64| ((place / step).floor().max(0.0) as usize).min(count - 1);
            cell(from)..cell(to) + 1
        };
        let columns = span(shown.left - grid.left, shown.right - grid.left, across, self.lattice.columns);
        let rows = span(shown.top - grid.top, shown.bottom - grid.top, down, self.lattice.rows);
        if columns.len() > FEW || rows.len() > FEW {
            return false;
        }
        let shape = self.shape(mark);
        let (even_odd, stroke) = match mark.kind {
            PaintKind::Fill | PaintKind::Picture => (false, None),
            PaintKind::FillEvenOdd => (true, None),
            PaintKind::Stroke(width) => (false, Some(width.to_bits())),
        };
        for row in rows {
            for column in columns.clone() {
                let corner = (grid.left + column as f64 * across, grid.top + row as f64 * down);
                let x = |place: f64| ((place - corner.0) / across * STEPS).round() as i32;
                let y = |place: f64| ((place - corner.1) / down * STEPS).round() as i32;
                let cut = mark.clip.filter(|clip| !clip.holds_all(&whole));
                let extent = Extent::Shape {
                    shape,
                    even_odd,
                    stroke,
                    at: [x(mark.bounds.left), y(mark.bounds.top)],
                    clip: cut.map(|clip| [x(clip.left), y(clip.top), x(clip.right), y(clip.bottom)]),
                };
                let cell = row * self.lattice.columns + column;
                let number = self.number(extent, mark, Some(cell));
                self.cells[cell].push(number);
            }
        }
        true
    }

    /// The number of a piece.
    fn number(&mut self, extent: Extent, mark: &PaintedMark, cell: Option<usize>) -> u32 {
        let piece = Piece { extent, colour: colour_of(mark), opacity: mark.opacity.to_bits() };
        let pieces = &mut self.pieces;
        if let Some(number) = self.last_pieces.find(|number| pieces[*number as usize].0 == piece) {
            return number;
        }
        let next = pieces.len() as u32;
        let number = *self.numbers.entry(piece).or_insert_with_key(|piece| {
            pieces.push((piece.clone(), cell.map(|cell| (mark.clone(), cell))));
            next
        });
        self.last_pieces.add(number);
        number
    }

    /// The number of a mark's outline.
    fn shape(&mut self, mark: &PaintedMark) -> u32 {
        let (across, down) = (self.lattice.across() / STEPS, self.lattice.down() / STEPS);
        let place = Arc::as_ptr(&mark.shape);
        if let Some((_, number)) = self.last_shapes.find(|(last, _)| *last == place) {
            return number;
        }
        let corners = &mut self.corners;
        let known = self.shapes.entry(place).or_insert_with(|| {
            let mut list = Vec::new();
            for part in mark.parts() {
                list.extend([part.spots().len() as i32, i32::from(part.path.closed)]);
                let steps = |spot: PagePoint| [(spot.x - mark.bounds.left) / across, (spot.y - mark.bounds.top) / down];
                list.extend(part.spots().flat_map(steps).map(|step| step.round() as i32));
            }
            let next = corners.len() as u32;
            (*corners.entry(list).or_insert(next), Arc::clone(&mark.shape))
        });
        let number = known.0;
        self.last_shapes.add((place, number));
        number
    }

    /// Paints and reads one cell of each list.
    fn read(self) -> Cells {
        let mut known: HashMap<&[u32], u32> = HashMap::new();
        let mut canvas = Canvas::new(vec![0.0; SAMPLES], vec![0.0; SAMPLES]);
        let mut out = Cells { looks: Vec::new(), of: Vec::with_capacity(self.cells.len()) };
        let mut before: Option<(&[u32], u32)> = None;
        for list in &self.cells {
            let next = out.looks.len() as u32;
            let look = match before {
                Some((last, look)) if last == list.as_slice() => look,
                _ => *known.entry(list).or_insert(next),
            };
            before = Some((list, look));
            if look == next {
                canvas.clear();
                for (piece, met) in list.iter().map(|number| &self.pieces[*number as usize]) {
                    match (&piece.extent, met) {
                        (Extent::Box(rows, columns), _) => {
                            let whole = |part: &Range<u8>| usize::from(part.start)..usize::from(part.end);
                            canvas.fill_box(whole(rows), whole(columns), piece.colour, f64::from_bits(piece.opacity));
                        }
                        (Extent::Shape { .. }, Some((mark, cell))) => {
                            let (row, column) = (cell / self.lattice.columns, cell % self.lattice.columns);
                            let of_cell = |places: &[f64], at: usize| places[at * SAMPLES..(at + 1) * SAMPLES].to_vec();
                            canvas.move_to(of_cell(&self.xs, column), of_cell(&self.ys, row));
                            canvas.paint(mark);
                        }
                        (Extent::Shape { .. }, None) => {}
                    }
                }
                out.looks.push(CellLook::read(&canvas, 0, 0));
            }
            out.of.push(look);
        }
        out
    }
}

/// The last few of many things, of which the next one is likely to be one again.
struct Recent<T> {
    list: Vec<T>,
    next: usize,
}

impl<T> Default for Recent<T> {
    fn default() -> Recent<T> {
        Recent { list: Vec::new(), next: 0 }
    }
}

impl<T: Copy> Recent<T> {
    const MOST: usize = 12;

    fn find(&self, is_it: impl Fn(&T) -> bool) -> Option<T> {
        self.list.iter().copied().find(is_it)
    }

    fn add(&mut self, one: T) {
        match self.list.get_mut(self.next) {
            Some(oldest) => *oldest = one,
            None => self.list.push(one),
        }
        self.next = (self.next + 1) % Recent::<T>::MOST;
    }
}

/// Cells that these samples lie in.
fn cells_of(samples: &Range<usize>) -> Range<usize> {
    samples.start / SAMPLES..samples.end.div_ceil(SAMPLES)
}

/// Those of them that lie in one cell, counted from its first.
fn part_in(samples: &Range<usize>, cell: usize) -> Range<u8> {
    let first = cell * SAMPLES;
    (samples.start.max(first) - first) as u8..(samples.end.min(first + SAMPLES) - first) as u8
}

//! What is in every square: the colour of its ground, how even that is, and what is drawn on it.

use super::reading::Flat;

/// What is left out at each side of a square, of its length: its lines, and what smears over from beside.
const INSET: f64 = 0.17;
/// Points looked at along each side of a square.
const POINTS: usize = 14;
/// The ring of points in which the ground shows beside a symbol.
const RING: usize = 2;
/// Channels this near to the ground's are the ground.
const ALIKE: i32 = 26;
/// Squares of fewer pixels show no symbol that could be told from another.
const MIN_FOR_SYMBOLS: f64 = 6.0;

/// What is drawn in a square: for each of `side` x `side` places how much lighter or darker than the ground, -1 to 1.
pub(super) type Patch = Vec<f32>;

/// All squares in reading order.
pub(super) struct Looked {
    /// Colours of grounds, channels 0 to 255.
    pub(super) grounds: Vec<[u8; 3]>,
    /// The share of points around a symbol that have the ground's colour.
    pub(super) even: Vec<f32>,
    /// What is drawn; empty where squares are too small for that.
    pub(super) patches: Vec<Patch>,
    /// Places along a side of a patch.
    pub(super) side: usize,
}

/// The share of squares whose ground is even.
pub(super) fn evenness(flat: &Flat, columns: usize, rows: usize) -> f64 {
    let step = (columns * rows / 4_000).max(1);
    let looked = (0..columns * rows).step_by(step).map(|at| {
        let points = points(flat, columns, at);
        ground(&points).1
    });
    let (mut all, mut even) = (0_usize, 0_usize);
    for share in looked {
        all += 1;
        even += usize::from(share >= 0.75);
    }
    even as f64 / all.max(1) as f64
}

/// How many outer columns and rows of squares, at the left, right, top and bottom, are not of the chart, since figures or
/// letters stand in them and not in the others.
pub(super) fn beside(flat: &Flat, columns: usize, rows: usize) -> [usize; 4] {
    let uneven: Vec<bool> = (0..columns * rows).map(|at| ground(&points(flat, columns, at)).1 < 0.95).collect();
    // Where the chart itself is uneven, nothing can be told from that.
    if uneven.iter().filter(|uneven| **uneven).count() * 12 > uneven.len() {
        return [0; 4];
    }
    let paper = flat.picture.at(0, 0);
    let blank: Vec<bool> = (0..columns * rows).map(|at| ground(&points(flat, columns, at)).0 == paper).collect();
    let most = |count: usize| count / 3;
    let outer = |lines: &mut dyn Iterator<Item = usize>, cells: &dyn Fn(usize) -> Vec<usize>, most: usize| {
        let mut cut = 0;
        for (at, line) in lines.take(most).enumerate() {
            let cells = cells(line);
            let figures = cells.iter().filter(|at| uneven[**at]).count() * 16 > cells.len();
            // Between figures and chart there may be nothing but paper.
            if figures || (cut == at && at > 0 && cells.iter().all(|at| blank[*at])) {
                cut = at + 1;
            }
        }
        cut
    };
    let column = |x: usize| (0..rows).map(|y| y * columns + x).collect::<Vec<_>>();
    let row = |y: usize| (0..columns).map(|x| y * columns + x).collect::<Vec<_>>();
    [
        outer(&mut (0..columns), &column, most(columns)),
        outer(&mut (0..columns).rev(), &column, most(columns)),
        outer(&mut (0..rows), &row, most(rows)),
        outer(&mut (0..rows).rev(), &row, most(rows)),
    ]
}

/// How many outer columns and rows of squares, at the left, right, top and bottom, are figures or letters beside the chart:
/// they stand on paper, and run through the squares' sides more than what stands in the squares of the chart does.
pub(super) fn text_beside(flat: &Flat, columns: usize, rows: usize) -> [usize; 4] {
    const ALIKE: i32 = 24;
    if columns < 12 || rows < 12 {
        return [0; 4];
    }
    let looked: Vec<([u8; 3], f32)> = (0..columns * rows).map(|at| ground(&points(flat, columns, at))).collect();
    let mean = |cells: &[usize]| cells.iter().map(|at| looked[*at].1).sum::<f32>() / cells.len() as f32;
    let column = |x: usize| (0..rows).map(|y| y * columns + x).collect::<Vec<_>>();
    let row = |y: usize| (0..columns).map(|x| y * columns + x).collect::<Vec<_>>();
    let usual = |lines: Vec<Vec<usize>>| {
        let mut means: Vec<f32> = lines.iter().map(|cells| mean(cells)).collect();
        means.sort_by(f32::total_cmp);
        means[means.len() / 2]
    };
    let across = usual((0..columns).map(column).collect());
    let down = usual((0..rows).map(row).collect());
    // A chart on paper, of symbols alone, is as uneven as text is.
    let first = flat.picture.at(0, 0);
    let on_first = |ground: &[u8; 3]| (0..3).all(|i| (i32::from(ground[i]) - i32::from(first[i])).abs() <= ALIKE);
    if looked.iter().filter(|(ground, _)| on_first(ground)).count() * 2 > looked.len() {
        return [0; 4];
    }
    // `out`: one square further from the chart's middle.
    let cut = |lines: &mut dyn Iterator<Item = Vec<usize>>, usual: f32, out: (f64, f64)| {
        let is_text = |cells: &Vec<usize>| {
            let on_paper = |at: &&usize| {
                let beyond = pixel(flat, place(flat, columns, **at, 0.5 + out.0, 0.5 + out.1));
                (0..3).all(|i| (i32::from(looked[**at].0[i]) - i32::from(beyond[i])).abs() <= ALIKE)
            };
            let uneven = mean(cells) < usual - (0.9 * (1.0 - usual)).max(0.015);
            uneven && cells.iter().filter(on_paper).count() * 10 >= 8 * cells.len()
        };
        lines.take(4).take_while(is_text).count()
    };
    [
        cut(&mut (0..columns).map(column), across, (-4.0, 0.0)),
        cut(&mut (0..columns).rev().map(column), across, (4.0, 0.0)),
        cut(&mut (0..rows).map(row), down, (0.0, -2.0)),
        cut(&mut (0..rows).rev().map(row), down, (0.0, 2.0)),
    ]
}

pub(super) fn look(flat: &Flat, columns: usize, rows: usize) -> Looked {
    let first = &flat.corners;
    let wide = (first[columns].0 - first[0].0) / columns as f64;
    let high = (first[rows * (columns + 1)].1 - first[0].1) / rows as f64;
    let pixels = wide.min(high);
    let cut = Cut::of(flat, pixels);
    let mut looked = Looked { grounds: Vec::new(), even: Vec::new(), patches: Vec::new(), side: cut.side };
    for at in 0..columns * rows {
        let (ground, even) = ground(&points(flat, columns, at));
        looked.grounds.push(ground);
        looked.even.push(even);
        if pixels >= MIN_FOR_SYMBOLS {
            looked.patches.push(patch(flat, columns, at, cut, ground));
        }
    }
    looked
}

/// A place in a square; `s` and `t` from 0 to 1.
fn place(flat: &Flat, columns: usize, at: usize, s: f64, t: f64) -> (f64, f64) {
    let corner = at / columns * (columns + 1) + at % columns;
    let [a, b] = [flat.corners[corner], flat.corners[corner + 1]];
    let [c, d] = [flat.corners[corner + columns + 1], flat.corners[corner + columns + 2]];
    let mix = |a: f64, b: f64, c: f64, d: f64| (1.0 - t) * ((1.0 - s) * a + s * b) + t * ((1.0 - s) * c + s * d);
    (mix(a.0, b.0, c.0, d.0), mix(a.1, b.1, c.1, d.1))
}

fn pixel(flat: &Flat, (x, y): (f64, f64)) -> [u8; 3] {
    let at = |v: f64, count: usize| (v.max(0.0) as usize).min(count - 1);
    flat.picture.at(at(x, flat.picture.width), at(y, flat.picture.height))
}

/// Colours of `POINTS` x `POINTS` points.
fn points(flat: &Flat, columns: usize, at: usize) -> Vec<[u8; 3]> {
    let share = |i: usize| INSET + (1.0 - 2.0 * INSET) * (i as f64 + 0.5) / POINTS as f64;
    let one = |i: usize| pixel(flat, place(flat, columns, at, share(i % POINTS), share(i / POINTS)));
    (0..POINTS * POINTS).map(one).collect()
}

/// The ground's colour, and the share of the ring that has it.
fn ground(points: &[[u8; 3]]) -> ([u8; 3], f32) {
    let in_ring = |i: usize| {
        let inner = RING..POINTS - RING;
        !inner.contains(&(i % POINTS)) || !inner.contains(&(i / POINTS))
    };
    let ring: Vec<[u8; 3]> = (0..points.len()).filter(|&i| in_ring(i)).map(|i| points[i]).collect();
    let first = middle(&ring);
    let alike = |point: &&[u8; 3]| (0..3).all(|i| (i32::from(point[i]) - i32::from(first[i])).abs() <= ALIKE);
    let even = ring.iter().filter(alike).count() as f32 / ring.len() as f32;
    // What smears over from beside reaches the ring first: where the middle is of the ground as well, it knows better.
    let inner: Vec<[u8; 3]> = (0..points.len()).filter(|&i| !in_ring(i)).map(|i| points[i]).collect();
    let core: Vec<[u8; 3]> = inner.iter().filter(alike).copied().collect();
    if 4 * core.len() >= 3 * inner.len() {
        return (middle(&core), even);
    }
    let all: Vec<[u8; 3]> = points.iter().filter(alike).copied().collect();
    (if all.len() >= 12 { middle(&all) } else { first }, even)
}

/// The middle value of each channel.
fn middle(of: &[[u8; 3]]) -> [u8; 3] {
    core::array::from_fn(|i| {
        let mut values: Vec<u8> = of.iter().map(|point| point[i]).collect();
        let half = values.len() / 2;
        *values.select_nth_unstable(half).1
    })
}

/// How patches are cut.
#[derive(Clone, Copy)]
struct Cut {
    /// Places along a side of a patch.
    side: usize,
    /// Whole pixels of each place, where the picture is as a screen shows it: a symbol then has the same pixels everywhere.
    /// `None`: places lie between pixels.
    whole: Option<usize>,
}

impl Cut {
    fn of(flat: &Flat, pixels: f64) -> Cut {
        let inner = (0.74 * pixels) as usize;
        if flat.straight {
            let whole = inner.div_ceil(20).max(1);
            return Cut { side: (inner / whole).max(4), whole: Some(whole) };
        }
        Cut { side: inner.clamp(4, 14), whole: None }
    }
}

fn patch(flat: &Flat, columns: usize, at: usize, cut: Cut, ground: [u8; 3]) -> Patch {
    const INNER: f64 = 0.13;
    /// Points along a place of the patch, so that thin strokes count by their width.
    const FINE: usize = 2;
    let light = |rgb: [u8; 3]| 0.299 * f32::from(rgb[0]) + 0.587 * f32::from(rgb[1]) + 0.114 * f32::from(rgb[2]);
    let own = light(ground);
    let Cut { side, whole } = cut;
    let middle = place(flat, columns, at, 0.5, 0.5);
    let one = |i: usize| -> f32 {
        let (column, row) = (i % side, i / side);
        let fine = whole.unwrap_or(FINE);
        let sum: f32 = (0..fine * fine)
            .map(|part| {
                let spot = if whole.is_some() {
                    let half = (side * fine) as f64 / 2.0;
                    let start = |v: f64| (v - half).round();
                    let x = start(middle.0) + (column * fine + part % fine) as f64 + 0.5;
                    (x, start(middle.1) + (row * fine + part / fine) as f64 + 0.5)
                } else {
                    let share = |i: usize, part: usize| {
                        INNER + (1.0 - 2.0 * INNER) * (i as f64 + (part as f64 + 0.5) / FINE as f64) / side as f64
                    };
                    place(flat, columns, at, share(column, part % fine), share(row, part / fine))
                };
                light(pixel(flat, spot)) - own
            })
            .sum();
        let mean = sum / (fine * fine) as f32 / 255.0;
        // Grain is not ink.
        if mean.abs() < 0.06 { 0.0 } else { mean }
    };
    let mut patch: Patch = (0..side * side).map(one).collect();
    without_lines(&mut patch, side);
    centred(&patch, side)
}

/// The same with what is drawn moved to the middle: a lattice is not laid to the last pixel.
fn centred(patch: &Patch, side: usize) -> Patch {
    let (mut left, mut right, mut top, mut bottom) = (side, 0, side, 0);
    for (i, _) in patch.iter().enumerate().filter(|(_, v)| v.abs() > 0.12) {
        (left, right) = (left.min(i % side), right.max(i % side));
        (top, bottom) = (top.min(i / side), bottom.max(i / side));
    }
    if left > right {
        return patch.clone();
    }
    let move_by = |low: usize, high: usize| (side as i32 - 1 - (low + high) as i32).div_euclid(2).clamp(-2, 2);
    let (dx, dy) = (move_by(left, right), move_by(top, bottom));
    (0..side * side)
        .map(|i| {
            let (x, y) = ((i % side) as i32 - dx, (i / side) as i32 - dy);
            let inside = (0..side as i32).contains(&x) && (0..side as i32).contains(&y);
            if inside { patch[y as usize * side + x as usize] } else { 0.0 }
        })
        .collect()
}

/// Takes out what runs along a whole side of a patch: a heavier grid line that reaches in.
fn without_lines(patch: &mut Patch, side: usize) {
    let at = |turned: bool, line: usize, i: usize| if turned { i * side + line } else { line * side + i };
    for turned in [false, true] {
        for lines in [[0, 1], [side - 1, side - 2]] {
            for line in lines {
                let whole = (0..side).filter(|&i| patch[at(turned, line, i)] != 0.0).count() * 10 >= 9 * side;
                if !whole {
                    break;
                }
                (0..side).for_each(|i| patch[at(turned, line, i)] = 0.0);
            }
        }
    }
}

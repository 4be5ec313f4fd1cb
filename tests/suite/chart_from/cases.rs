//! Pictures of charts of all kinds, drawn by lot: the same seed is the same picture.

use super::camera::{Shot, photographed};
use super::gridded::{self, Known, Marks, Style, packed, scaled};
use fastrand::Rng;
use hitchpress::chart_read::{self, Reading, Size};
use hitchpress::picture::SrgbPicture;
use std::collections::{BTreeMap, BTreeSet};

/// What became of a picture on its way.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Way {
    /// As a screen shows it.
    Clean,
    /// Scaled by a factor that is not whole.
    Scaled,
    /// Packed as JPEG of quality 60.
    Packed,
    /// Taken by a camera.
    Photograph,
}

pub struct Case {
    pub known: Known,
    pub picture: SrgbPicture,
    /// Where what was expected was not found.
    pub name: String,
}

const SIZES: [(usize, usize); 13] = [
    (12, 12),
    (16, 24),
    (22, 30),
    (24, 30),
    (33, 47),
    (40, 30),
    (40, 56),
    (60, 84),
    (80, 100),
    (120, 90),
    (100, 140),
    (150, 200),
    (200, 300),
];
const LINES: [&str; 7] = ["#808080", "#000000", "#d0d0d0", "#606060", "#a04040", "#3060a0", "#ffffff"];
const PAPERS: [[u8; 3]; 4] = [[255; 3], [255; 3], [247, 243, 232], [236, 238, 240]];

/// `most`: of squares of the larger side.
pub fn case(way: Way, seed: u64, most: usize) -> Case {
    let mut rng = Rng::with_seed(seed * 4 + way as u64);
    let sizes: Vec<(usize, usize)> = SIZES.into_iter().filter(|(w, h)| *w.max(h) <= most).collect();
    let (columns, rows) = sizes[rng.usize(..sizes.len())];
    let colours = rng.usize(2..=(columns * rows / 70).clamp(3, 24));
    let known = gridded::chart(seed * 31 + 7, columns, rows, colours);
    let mut style = style(&mut rng, columns.max(rows), colours);
    let (picture, how) = match way {
        Way::Clean => (gridded::drawn(&known, &style), String::new()),
        Way::Scaled => {
            // So that squares have 6 pixels at least.
            let least = 6.0 / style.square.0.min(style.square.1) as f64;
            let by = least + (2.3 - least) * rng.f64();
            (scaled(&gridded::drawn(&known, &style), by), format!("times {by:.3}"))
        }
        Way::Packed => (packed(&gridded::drawn(&known, &style), 60), String::new()),
        Way::Photograph => {
            let flat = rng.u8(..4) == 0;
            style.square = if flat { (24, 16) } else { (22, 22) };
            style.line = if rng.u8(..5) == 0 { None } else { Some(LINES[rng.usize(..6)]) };
            let (wide, high) = (columns * style.square.0, rows * style.square.1);
            // Squares of 12 pixels and more, as far as a telephone's camera gives them.
            let side = ((12.0 + 10.0 * rng.f64()) * columns.max(rows) as f64 / 0.8).clamp(1000.0, 4000.0);
            let size = match wide > high {
                true => (side as usize, (side * 0.75) as usize),
                false => ((side * 0.75) as usize, side as usize),
            };
            let mut within = |most: f64| most * (2.0 * rng.f64() - 1.0);
            let degrees = (within(3.0), within(15.0), within(15.0));
            let shot = Shot {
                size,
                degrees,
                shade: 0.15 + 0.4 * rng.f64(),
                from: 360.0 * rng.f64(),
                cast: [1.0, 0.9 + 0.1 * rng.f64(), 0.75 + 0.25 * rng.f64()],
                blur: 0.5 + 0.9 * rng.f64(),
                barrel: 0.03 * (rng.f64() - 0.3),
                wave: 0.004 * rng.f64(),
                screen: rng.u8(..4) == 0,
                grain: 3.0 + 5.0 * rng.f64(),
                quality: rng.u8(80..95),
                seed,
            };
            let how = format!(
                "{} x {} px, {:.1?} degrees, shade {:.2}, blur {:.2}, barrel {:.3}, wave {:.4}{}",
                size.0,
                size.1,
                degrees,
                shot.shade,
                shot.blur,
                shot.barrel,
                shot.wave,
                if shot.screen { ", screen" } else { "" }
            );
            (photographed(&gridded::drawn(&known, &style), &shot), how)
        }
    };
    let marks = if style.marks_only { format!("only {:?}", style.marks) } else { format!("{:?}", style.marks) };
    let name = format!(
        "{way:?} {seed}: {columns} x {rows}, {colours} colours, {:?} px, line {}, heavier {:?}, {marks}{} {how}",
        style.square,
        style.line.unwrap_or("none"),
        style.heavier,
        if style.beside { ", beside" } else { "" }
    );
    Case { known, picture, name }
}

fn style(rng: &mut Rng, side: usize, colours: usize) -> Style {
    let most = if side > 150 { 10 } else { 22 };
    let mut wide = rng.usize(6..=most);
    let marks = match rng.u8(..5) {
        0 | 1 => Marks::Bare,
        2 | 3 => Marks::Letters(rng.usize(..5)),
        _ if colours <= 12 => Marks::Shapes,
        _ => Marks::Letters(rng.usize(..5)),
    };
    if marks != Marks::Bare {
        wide = wide.max(12);
    }
    let high = if rng.u8(..4) == 0 { (wide * 2).div_ceil(3).max(6) } else { wide };
    let line = if rng.u8(..4) == 0 && wide.min(high) >= 6 { None } else { Some(LINES[rng.usize(..LINES.len())]) };
    Style {
        square: (wide, high),
        line,
        heavier: ([10, 10, 5, 10][rng.usize(..4)], rng.usize(..3)),
        beside: rng.u8(..3) > 0,
        marks_only: marks != Marks::Bare && line.is_some() && rng.u8(..4) == 0,
        marks,
        paper: PAPERS[rng.usize(..PAPERS.len())],
    }
}

/// How a chart came back.
#[derive(Debug)]
pub struct Score {
    pub right: f64,
    /// Wrong squares that no doubt is told about.
    pub unseen: usize,
    pub doubts: usize,
    pub kinds: usize,
}

/// Kinds may stand in any order.
pub fn score(known: &Known, picture: &SrgbPicture) -> Result<Score, String> {
    let read = chart_read::read(picture, Size::default()).map_err(|why| format!("{why:?}"))?;
    if (read.columns, read.rows) != (known.columns, known.rows) {
        return Err(format!(
            "{} x {} squares{}",
            read.columns,
            read.rows,
            if read.size_is_sure { ", sure" } else { "" }
        ));
    }
    Ok(compared(known, &read))
}

fn compared(known: &Known, read: &Reading) -> Score {
    let mut votes: Vec<BTreeMap<u8, usize>> = vec![BTreeMap::new(); read.kinds.len()];
    for (&kind, &own) in read.cells.iter().zip(&known.cells) {
        *votes[usize::from(kind)].entry(own).or_default() += 1;
    }
    let means: Vec<u8> =
        votes.iter().map(|votes| votes.iter().max_by_key(|(_, count)| **count).map_or(0, |(own, _)| *own)).collect();
    let doubted: BTreeSet<usize> = read.doubtful.iter().map(|doubt| doubt.cell).collect();
    let wrong: Vec<usize> =
        (0..known.cells.len()).filter(|&at| means[usize::from(read.cells[at])] != known.cells[at]).collect();
    Score {
        right: 1.0 - wrong.len() as f64 / known.cells.len() as f64,
        unseen: wrong.iter().filter(|at| !doubted.contains(at)).count(),
        doubts: doubted.len(),
        kinds: read.kinds.len(),
    }
}

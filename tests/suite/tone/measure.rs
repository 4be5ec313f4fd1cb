//! How light the cells of a sheet are as drawn: pages as pixels, from a renderer that shares no code with the writer.

use hitchpress::colour::{Colour, light};
use hitchpress::page::Cells;
use hitchpress::picture::SrgbPicture;

/// Pixels that a cell's smaller side is drawn with.
const PIXELS: f64 = 36.0;
/// Under this luminance a pixel is solid black. Common practice, no source.
const BLACK: f64 = 0.02;

/// What one sheet shows.
#[derive(Clone, Debug, Default)]
pub struct Sheet {
    /// For each cell with a knot: its yarn, and its mean luminance with all that is drawn on it.
    pub cells: Vec<(usize, f64)>,
    /// Mean of 1 - luminance over the cells.
    pub ink: f64,
    /// Share of the cells' area that is solid black.
    pub black: f64,
}

/// L* of a luminance (CIE 15).
pub fn lightness(luminance: f64) -> f64 {
    if luminance > 216.0 / 24_389.0 { 116.0 * luminance.cbrt() - 16.0 } else { luminance * 24_389.0 / 27.0 }
}

/// How wide a page is to be drawn so that the cells of this grid are fine enough to be measured.
pub fn width(page_points: f64, cells: &Cells) -> usize {
    (page_points * PIXELS / cells.cell.width.min(cells.cell.height).to_pt()).ceil() as usize
}

/// Measures the cells of a grid on the picture of its page.
pub fn sheet(picture: &SrgbPicture, page_points: f64, cells: &Cells) -> Sheet {
    let lights: Vec<f64> = (0..=255).map(light).collect();
    let scale = picture.width as f64 / page_points;
    // Pixels whose middle lies between the two.
    let within = |from: f64, to: f64| (from * scale - 0.5).ceil() as usize..(to * scale - 0.5).ceil() as usize;
    let mut out = Sheet::default();
    let (mut ink, mut black, mut count) = (0.0, 0_usize, 0_usize);
    let (w, h) = (cells.cell.width.to_pt(), cells.cell.height.to_pt());
    for (at, yarn) in cells.cells.iter().enumerate().filter_map(|(at, yarn)| Some((at, (*yarn)?))) {
        let left = cells.origin.x.to_pt() + w * (at % cells.columns) as f64;
        let top = cells.origin.y.to_pt() + h * (at / cells.columns) as f64;
        let (mut sum, mut pixels) = (0.0, 0_usize);
        for y in within(top, top + h) {
            for x in within(left, left + w) {
                let [r, g, b] = picture.at(x, y).map(|v| lights[usize::from(v)]);
                let luminance = 0.2126 * r + 0.7152 * g + 0.0722 * b;
                sum += luminance;
                pixels += 1;
                black += usize::from(luminance < BLACK);
            }
        }
        out.cells.push((usize::from(yarn), sum / pixels.max(1) as f64));
        ink += pixels as f64 - sum;
        count += pixels;
    }
    (out.ink, out.black) = (ink / count.max(1) as f64, black as f64 / count.max(1) as f64);
    out
}

/// Mean luminance of each yarn's cells; `None`: it has none here.
pub fn by_yarn(cells: &[(usize, f64)], yarns: usize) -> Vec<Option<f64>> {
    let mean = |yarn: usize| {
        let of: Vec<f64> = cells.iter().filter(|cell| cell.0 == yarn).map(|cell| cell.1).collect();
        (!of.is_empty()).then(|| of.iter().sum::<f64>() / of.len() as f64)
    };
    (0..yarns).map(mean).collect()
}

/// Pairs of yarns whose own lightness differs by 8 or more and whose cells stand in the other order.
pub fn wrong_pairs(colours: &[Colour], drawn: &[Option<f64>]) -> Vec<(usize, usize)> {
    let mut out = Vec::new();
    for a in 0..colours.len() {
        for b in 0..colours.len() {
            if let (Some(one), Some(other)) = (drawn[a], drawn[b])
                && colours[a].lab().l >= colours[b].lab().l + 8.0
                && one <= other
            {
                out.push((a, b));
            }
        }
    }
    out
}

/// Spearman's rank correlation; equal values share the mean of their ranks. Values that are all equal: 1.
pub fn rank_correlation(pairs: &[(f64, f64)]) -> f64 {
    let ranks = |of: &dyn Fn(&(f64, f64)) -> f64| {
        let mut order: Vec<usize> = (0..pairs.len()).collect();
        order.sort_by(|a, b| of(&pairs[*a]).total_cmp(&of(&pairs[*b])));
        let mut ranks = vec![0.0; pairs.len()];
        let mut before = 0;
        for same in order.chunk_by(|a, b| of(&pairs[*a]) == of(&pairs[*b])) {
            same.iter().for_each(|at| ranks[*at] = before as f64 + (same.len() as f64 - 1.0) / 2.0);
            before += same.len();
        }
        ranks
    };
    let (a, b) = (ranks(&|pair| pair.0), ranks(&|pair| pair.1));
    let mean = (pairs.len() as f64 - 1.0) / 2.0;
    let product = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(x, y)| (x - mean) * (y - mean)).sum::<f64>();
    let spread = (product(&a, &a) * product(&b, &b)).sqrt();
    if spread > 0.0 { product(&a, &b) / spread } else { 1.0 }
}

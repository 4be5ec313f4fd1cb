//! Charts to measure with: noise, where every cell draws its yarn by itself, and a picture, where soft hills of colour
//! meet along ragged edges as in a photograph reduced to a few yarns. The same seed gives the same chart.

use hitchpress::chart::{Chart, YarnId};

/// Every cell by itself.
pub fn noise(columns: usize, rows: usize, yarns: u8) -> Chart {
    let mut rng = fastrand::Rng::with_seed(1);
    let cells = (0..columns * rows).map(|_| Some(YarnId(rng.u8(0..yarns)))).collect();
    Chart::new(columns, cells).expect("whole rows")
}

/// Value noise of four octaves, cut into bands of equal share: large areas, ragged edges, few single knots.
pub fn picture(columns: usize, rows: usize, yarns: u8) -> Chart {
    let mut rng = fastrand::Rng::with_seed(2);
    let mut heights = vec![0.0f64; columns * rows];
    for (spacing, weight) in [(48usize, 1.0), (20, 0.45), (8, 0.18), (3, 0.06)] {
        let (across, down) = (columns / spacing + 2, rows / spacing + 2);
        let knots: Vec<f64> = (0..across * down).map(|_| rng.f64()).collect();
        for (at, height) in heights.iter_mut().enumerate() {
            let (x, y) = (at % columns, at / columns);
            let soft = |t: f64| t * t * (3.0 - 2.0 * t);
            let fx = soft((x % spacing) as f64 / spacing as f64);
            let fy = soft((y % spacing) as f64 / spacing as f64);
            let corner = |dx: usize, dy: usize| knots[(y / spacing + dy) * across + x / spacing + dx];
            let top = corner(0, 0) * (1.0 - fx) + corner(1, 0) * fx;
            let bottom = corner(0, 1) * (1.0 - fx) + corner(1, 1) * fx;
            *height += weight * (top * (1.0 - fy) + bottom * fy);
        }
    }
    let mut sorted = heights.clone();
    sorted.sort_by(f64::total_cmp);
    let bounds: Vec<f64> =
        (1..usize::from(yarns)).map(|band| sorted[band * sorted.len() / usize::from(yarns)]).collect();
    let cells = heights.iter().map(|h| Some(YarnId(bounds.partition_point(|b| b < h) as u8))).collect();
    Chart::new(columns, cells).expect("whole rows")
}

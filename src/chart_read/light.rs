//! Uneven light, taken out: neighbouring squares that are nearly alike are of one colour, and what they differ by over a
//! longer way is the light.

/// Squares of one colour.
#[derive(Clone, Debug, Default)]
pub(super) struct Group {
    pub(super) cells: Vec<usize>,
}

/// Terms of the light's surface: products of powers up to three together, without the constant.
const TERMS: usize = 9;

fn terms(u: f64, v: f64) -> [f64; TERMS] {
    [u, v, u * u, u * v, v * v, u * u * u, u * u * v, u * v * v, v * v * v]
}

/// Least amount of light that is told from none.
const DARK: f64 = 0.004;

/// The squares' amounts of light as if the middle of the chart's light fell on all of them. `groups` says which are of one
/// colour; those of none count for nothing.
pub(super) fn even(lights: &[[f64; 3]], groups: &[Group], columns: usize, rows: usize) -> Vec<[f64; 3]> {
    let mut out = lights.to_vec();
    for channel in 0..3 {
        if let Some(surface) = surface(lights, groups, channel, columns, rows) {
            for (at, light) in out.iter_mut().enumerate() {
                let log: f64 = surface.iter().zip(terms_at(at, columns, rows)).map(|(a, b)| a * b).sum();
                light[channel] = (light[channel] * libm::exp(-log)).clamp(0.0, 1.0);
            }
        }
    }
    out
}

fn terms_at(at: usize, columns: usize, rows: usize) -> [f64; TERMS] {
    let along = |i: usize, count: usize| (2.0 * i as f64 + 1.0) / count as f64 - 1.0;
    terms(along(at % columns, columns), along(at / columns, rows))
}

fn surface(lights: &[[f64; 3]], groups: &[Group], channel: usize, columns: usize, rows: usize) -> Option<Vec<f64>> {
    let mut normal = vec![vec![0.0; TERMS + 1]; TERMS];
    let mut all = 0.0;
    for group in groups.iter().filter(|group| group.cells.len() > 1) {
        // Dark colours say little of the light, and grain says much of them.
        let mean = group.cells.iter().map(|&at| lights[at][channel]).sum::<f64>() / group.cells.len() as f64;
        let weight = mean / (mean + 0.05);
        let row = |at: usize| {
            let log = libm::log(lights[at][channel] + DARK);
            let mut row = [0.0; TERMS + 1];
            row[..TERMS].copy_from_slice(&terms_at(at, columns, rows));
            row[TERMS] = log;
            row
        };
        let mut middle = [0.0; TERMS + 1];
        for &at in &group.cells {
            for (sum, v) in middle.iter_mut().zip(row(at)) {
                *sum += v / group.cells.len() as f64;
            }
        }
        for &at in &group.cells {
            let mut row = row(at);
            for (v, middle) in row.iter_mut().zip(middle) {
                *v -= middle;
            }
            for (line, a) in normal.iter_mut().zip(row) {
                for (entry, b) in line.iter_mut().zip(row) {
                    *entry += weight * a * b;
                }
            }
            all += weight;
        }
    }
    for (i, line) in normal.iter_mut().enumerate() {
        line[i] += 1e-3 * all + 1e-9;
    }
    solved(normal)
}

/// Solves linear equations whose right sides stand last in each line. `None`: they have no one answer.
pub(super) fn solved(mut lines: Vec<Vec<f64>>) -> Option<Vec<f64>> {
    let count = lines.len();
    for i in 0..count {
        let pivot = (i..count).max_by(|&a, &b| lines[a][i].abs().total_cmp(&lines[b][i].abs()))?;
        lines.swap(i, pivot);
        let lead = lines[i][i];
        if lead.abs() < 1e-12 {
            return None;
        }
        let own = lines[i].clone();
        for (j, line) in lines.iter_mut().enumerate() {
            if j != i {
                let times = line[i] / lead;
                for (v, own) in line.iter_mut().zip(&own) {
                    *v -= times * own;
                }
            }
        }
    }
    Some((0..count).map(|i| lines[i][count] / lines[i][i]).collect())
}

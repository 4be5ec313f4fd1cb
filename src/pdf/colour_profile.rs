//! The sRGB profile of the output intent, reckoned from the numbers of IEC 61966-2-1 and written as ICC version 2.
//!
//! A matrix profile: three primaries adapted to D50 and one curve for all channels. Version 2, because every reader of
//! the last twenty-five years knows it.

/// Chromaticities of the primaries and the white (IEC 61966-2-1, table 1).
const PRIMARIES: [(f64, f64); 3] = [(0.64, 0.33), (0.30, 0.60), (0.15, 0.06)];
const D65: (f64, f64) = (0.3127, 0.3290);
/// The white of the profile connection space (ICC.1:2001-04, 6.3.4.3, as it is encoded).
const D50: [f64; 3] = [0.9642, 1.0, 0.8249];
/// The linear Bradford transform, by which colours are adapted from one white to another (ICC.1:2010, annex E).
const BRADFORD: [[f64; 3]; 3] = [[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]];
/// Steps of the curve: linear interpolation between 1024 of them stays within a hundredth of an eight-bit step.
const CURVE_STEPS: u16 = 1024;

/// What the profile is called, here and in the output intent.
pub(super) const NAME: &str = "sRGB IEC61966-2.1";

type Matrix3 = [[f64; 3]; 3];

fn apply(m: Matrix3, v: [f64; 3]) -> [f64; 3] {
    m.map(|row| row[0] * v[0] + row[1] * v[1] + row[2] * v[2])
}

fn product(a: Matrix3, b: Matrix3) -> Matrix3 {
    let column = |j: usize| apply(a, [b[0][j], b[1][j], b[2][j]]);
    let (x, y, z) = (column(0), column(1), column(2));
    [[x[0], y[0], z[0]], [x[1], y[1], z[1]], [x[2], y[2], z[2]]]
}

fn inverse(m: Matrix3) -> Matrix3 {
    let minor = |r: usize, c: usize| {
        let (r1, r2, c1, c2) = ((r + 1) % 3, (r + 2) % 3, (c + 1) % 3, (c + 2) % 3);
        m[r1][c1] * m[r2][c2] - m[r1][c2] * m[r2][c1]
    };
    let determinant = m[0][0] * minor(0, 0) + m[0][1] * minor(0, 1) + m[0][2] * minor(0, 2);
    let entry = |r: usize, c: usize| minor(c, r) / determinant;
    [
        [entry(0, 0), entry(0, 1), entry(0, 2)],
        [entry(1, 0), entry(1, 1), entry(1, 2)],
        [entry(2, 0), entry(2, 1), entry(2, 2)],
    ]
}

fn tristimulus((x, y): (f64, f64)) -> [f64; 3] {
    [x / y, 1.0, (1.0 - x - y) / y]
}

/// The primaries as XYZ relative to D50; the columns add up to the white.
fn primaries() -> Matrix3 {
    let [r, g, b] = PRIMARIES.map(tristimulus);
    let unscaled = [[r[0], g[0], b[0]], [r[1], g[1], b[1]], [r[2], g[2], b[2]]];
    let white = tristimulus(D65);
    let scale = apply(inverse(unscaled), white);
    let to_d65 = unscaled.map(|row| [row[0] * scale[0], row[1] * scale[1], row[2] * scale[2]]);
    let (from, to) = (apply(BRADFORD, white), apply(BRADFORD, D50));
    let gain = [[to[0] / from[0], 0.0, 0.0], [0.0, to[1] / from[1], 0.0], [0.0, 0.0, to[2] / from[2]]];
    product(product(inverse(BRADFORD), product(gain, BRADFORD)), to_d65)
}

/// Encoded value to linear light (IEC 61966-2-1, equations 5 and 6).
fn linear(value: f64) -> f64 {
    if value <= 0.04045 { value / 12.92 } else { libm::pow((value + 0.055) / 1.055, 2.4) }
}

/// A signed number of sixteen whole and sixteen fractional bits.
fn fixed(value: f64) -> [u8; 4] {
    ((value * 65536.0).round() as i32).to_be_bytes()
}

fn xyz(value: [f64; 3]) -> Vec<u8> {
    let mut out = b"XYZ \0\0\0\0".to_vec();
    out.extend(value.into_iter().flat_map(fixed));
    out
}

fn text(words: &str) -> Vec<u8> {
    let mut out = b"text\0\0\0\0".to_vec();
    out.extend_from_slice(words.as_bytes());
    out.push(0);
    out
}

/// The old description type: ASCII, then empty Unicode and Macintosh parts of fixed length.
fn description(words: &str) -> Vec<u8> {
    let mut out = b"desc\0\0\0\0".to_vec();
    out.extend((words.len() as u32 + 1).to_be_bytes());
    out.extend_from_slice(words.as_bytes());
    out.push(0);
    out.extend([0; 4 + 4 + 2 + 1 + 67]);
    out
}

fn curve() -> Vec<u8> {
    let mut out = b"curv\0\0\0\0".to_vec();
    out.extend(u32::from(CURVE_STEPS).to_be_bytes());
    for step in 0..CURVE_STEPS {
        let value = linear(f64::from(step) / f64::from(CURVE_STEPS - 1));
        out.extend(((value * 65535.0).round() as u16).to_be_bytes());
    }
    out
}

/// The profile's bytes.
pub(super) fn srgb() -> Vec<u8> {
    let m = primaries();
    let column = |j: usize| xyz([m[0][j], m[1][j], m[2][j]]);
    let tags: [(&[u8; 4], Vec<u8>); 7] = [
        (b"desc", description(NAME)),
        (b"cprt", text("No copyright; use freely.")),
        (b"wtpt", xyz(D50)),
        (b"rXYZ", column(0)),
        (b"gXYZ", column(1)),
        (b"bXYZ", column(2)),
        (b"rTRC", curve()),
    ];
    // The three curves are one and the same data, which the format allows.
    let count = tags.len() + 2;
    let mut table = (count as u32).to_be_bytes().to_vec();
    let mut data = Vec::new();
    let start = 128 + 4 + 12 * count;
    for (name, value) in &tags {
        let offset = ((start + data.len()) as u32).to_be_bytes();
        let size = (value.len() as u32).to_be_bytes();
        let names: &[&[u8; 4]] = if *name == b"rTRC" { &[b"rTRC", b"gTRC", b"bTRC"] } else { &[name] };
        for name in names {
            table.extend_from_slice(*name);
            table.extend(offset);
            table.extend(size);
        }
        data.extend_from_slice(value);
        while data.len() % 4 != 0 {
            data.push(0);
        }
    }
    let mut out = ((start + data.len()) as u32).to_be_bytes().to_vec();
    out.extend([0; 4]);
    out.extend([2, 0x40, 0, 0]);
    out.extend_from_slice(b"mntrRGB XYZ ");
    // A fixed day: the profile is the same whenever it is made. The standard's second edition came out in 1999.
    for part in [1999_u16, 10, 18, 0, 0, 0] {
        out.extend(part.to_be_bytes());
    }
    out.extend_from_slice(b"acsp");
    out.extend([0; 24]);
    // Rendering intent: perceptual is 0. Then the white of the connection space.
    out.extend([0; 4]);
    out.extend(D50.into_iter().flat_map(fixed));
    out.resize(128, 0);
    out.extend(table);
    out.extend(data);
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn primaries_add_up_to_the_white_of_the_connection_space() {
        let white = apply(primaries(), [1.0; 3]);
        for (value, expected) in white.into_iter().zip(D50) {
            assert!((value - expected).abs() < 1e-12, "{value} is not {expected}");
        }
    }

    #[test]
    fn primaries_agree_with_the_published_adapted_matrix() {
        // From memory: the widely printed D50 matrix of sRGB. It was reckoned with a D50 of 0.8252 instead of the ICC's
        // 0.8249, which moves the last row by three parts in ten thousand.
        let published =
            [[0.4360747, 0.3850649, 0.1430804], [0.2225045, 0.7168786, 0.0606169], [0.0139322, 0.0971045, 0.7141733]];
        for (value, expected) in primaries().iter().flatten().zip(published.iter().flatten()) {
            assert!((value - expected).abs() < 4e-4, "{value} is not {expected}");
        }
        // Own computation of the same product with a general solver of linear equations.
        let reckoned = [
            [0.43604125, 0.38511291, 0.14304584],
            [0.22248454, 0.71690508, 0.06061038],
            [0.01392019, 0.09706724, 0.71391257],
        ];
        for (value, expected) in primaries().iter().flatten().zip(reckoned.iter().flatten()) {
            assert!((value - expected).abs() < 1e-8, "{value} is not {expected}");
        }
    }

    #[test]
    fn header_says_how_long_the_profile_is_and_what_it_is_for() {
        let profile = srgb();
        assert_eq!(profile[..4], (profile.len() as u32).to_be_bytes());
        assert_eq!(&profile[12..20], b"mntrRGB ");
        assert_eq!(&profile[36..40], b"acsp");
    }
}

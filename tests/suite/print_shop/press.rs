//! A printing press that never was: an ICC profile of four inks, reckoned here, so that no profile of anybody's has to lie
//! in the repository.
//!
//! Inks are filters: each lets through a share of red, green and blue light, and those of several inks multiply. Black is
//! added wherever the three colours are dark, and they are not taken back for it, so that dark colours ask for far more ink
//! than paper carries: what the limit of total ink is for.

/// What a solid of each ink lets through of red, green and blue light, in linear sRGB (own invention).
const INKS: [[f64; 3]; 4] = [[0.03, 0.30, 0.60], [0.60, 0.04, 0.18], [0.92, 0.78, 0.04], [0.025, 0.025, 0.025]];
/// The white of the profile connection space (ICC.1:2001-04, as it is encoded).
const D50: [f64; 3] = [0.9642, 1.0, 0.8249];
/// From linear sRGB to XYZ for that white (the usual matrix, adapted by Bradford; from memory).
const TO_XYZ: [[f64; 3]; 3] =
    [[0.4360747, 0.3850649, 0.1430804], [0.2225045, 0.7168786, 0.0606169], [0.0139322, 0.0971045, 0.7141733]];
const FROM_XYZ: [[f64; 3]; 3] =
    [[3.1338561, -1.6168667, -0.4906146], [-0.9787684, 1.9161415, 0.0334540], [0.0719453, -0.2289914, 1.4052427]];

fn apply(matrix: [[f64; 3]; 3], v: [f64; 3]) -> [f64; 3] {
    matrix.map(|row| row[0] * v[0] + row[1] * v[1] + row[2] * v[2])
}

/// Light that comes back from the paper.
fn light(inks: [f64; 4]) -> [f64; 3] {
    let through = |channel: usize| {
        let shares = inks.iter().zip(INKS).map(|(amount, solid)| 1.0 - amount * (1.0 - solid[channel]));
        shares.product::<f64>()
    };
    [through(0), through(1), through(2)]
}

fn lab_of(light: [f64; 3]) -> [f64; 3] {
    let xyz = apply(TO_XYZ, light);
    let bent = |t: f64| if t > 216.0 / 24389.0 { t.cbrt() } else { (24389.0 / 27.0 * t + 16.0) / 116.0 };
    let [x, y, z] = [bent(xyz[0] / D50[0]), bent(xyz[1] / D50[1]), bent(xyz[2] / D50[2])];
    [116.0 * y - 16.0, 500.0 * (x - y), 200.0 * (y - z)]
}

/// Inks for a colour: roughly right is enough.
fn inks_of(lab: [f64; 3]) -> [f64; 4] {
    let y = (lab[0] + 16.0) / 116.0;
    let straight = |f: f64| if f.powi(3) > 216.0 / 24389.0 { f.powi(3) } else { (116.0 * f - 16.0) / (24389.0 / 27.0) };
    let xyz = [straight(y + lab[1] / 500.0) * D50[0], straight(y) * D50[1], straight(y - lab[2] / 200.0) * D50[2]];
    let light = apply(FROM_XYZ, xyz).map(|v| v.clamp(0.0, 1.0));
    let [c, m, y] = light.map(|v| 1.0 - v.powf(1.0 / 2.2));
    let black = ((c.min(m).min(y) - 0.4) / 0.6).max(0.0);
    [c, m, y, black]
}

/// Lab as sixteen-bit numbers of a lookup table (ICC.1:2001-04, 6.5.10).
fn encoded(lab: [f64; 3]) -> [u16; 3] {
    let number = |value: f64| value.round().clamp(0.0, 65535.0) as u16;
    [number(lab[0] / 100.0 * 65280.0), number((lab[1] + 128.0) * 256.0), number((lab[2] + 128.0) * 256.0)]
}

/// A lookup table of type `mft2` (ICC.1:2001-04, 6.5.10): straight curves, and a grid that `value` fills.
fn table(inputs: usize, outputs: usize, grid: usize, value: impl Fn(&[f64]) -> Vec<u16>) -> Vec<u8> {
    let mut out = b"mft2\0\0\0\0".to_vec();
    out.extend([inputs as u8, outputs as u8, grid as u8, 0]);
    for i in 0..9_u32 {
        out.extend(if i % 4 == 0 { 65536_u32 } else { 0 }.to_be_bytes());
    }
    out.extend([0, 2, 0, 2]);
    for _ in 0..inputs {
        out.extend([0, 0, 0xFF, 0xFF]);
    }
    for at in 0..grid.pow(inputs as u32) {
        // The last input varies fastest.
        let place: Vec<f64> = (0..inputs)
            .map(|input| (at / grid.pow((inputs - 1 - input) as u32) % grid) as f64 / (grid - 1) as f64)
            .collect();
        value(&place).iter().for_each(|number| out.extend(number.to_be_bytes()));
    }
    for _ in 0..outputs {
        out.extend([0, 0, 0xFF, 0xFF]);
    }
    out
}

/// The profile's bytes.
pub fn profile() -> Vec<u8> {
    let seen = table(4, 3, 9, |p| encoded(lab_of(light([p[0], p[1], p[2], p[3]]))).to_vec());
    let inked = table(3, 4, 17, |p| {
        let lab = [p[0] * 65535.0 / 652.8, p[1] * 65535.0 / 256.0 - 128.0, p[2] * 65535.0 / 256.0 - 128.0];
        inks_of(lab).map(|ink| (ink * 65535.0).round() as u16).to_vec()
    });
    let name = "A press that never was";
    let mut description = b"desc\0\0\0\0".to_vec();
    description.extend((name.len() as u32 + 1).to_be_bytes());
    description.extend_from_slice(name.as_bytes());
    description.extend([0; 1 + 4 + 4 + 2 + 1 + 67]);
    let mut white = b"XYZ \0\0\0\0".to_vec();
    D50.into_iter().for_each(|v| white.extend(((v * 65536.0).round() as i32).to_be_bytes()));
    let parts: [(&[&[u8; 4]], Vec<u8>); 5] = [
        (&[b"desc"], description),
        (&[b"cprt"], b"text\0\0\0\0No copyright; use freely.\0".to_vec()),
        (&[b"wtpt"], white),
        // One and the same table for all intents, which the format allows.
        (&[b"A2B0", b"A2B1", b"A2B2"], seen),
        (&[b"B2A0", b"B2A1", b"B2A2"], inked),
    ];
    let count: usize = parts.iter().map(|(names, _)| names.len()).sum();
    let start = 128 + 4 + 12 * count;
    let (mut directory, mut data) = ((count as u32).to_be_bytes().to_vec(), Vec::new());
    for (names, part) in &parts {
        for name in *names {
            directory.extend_from_slice(*name);
            directory.extend(((start + data.len()) as u32).to_be_bytes());
            directory.extend((part.len() as u32).to_be_bytes());
        }
        data.extend_from_slice(part);
        data.resize(data.len().next_multiple_of(4), 0);
    }
    let mut out = ((start + data.len()) as u32).to_be_bytes().to_vec();
    out.extend([0; 4]);
    out.extend([2, 0x40, 0, 0]);
    out.extend_from_slice(b"prtrCMYKLab ");
    for part in [2026_u16, 1, 1, 0, 0, 0] {
        out.extend(part.to_be_bytes());
    }
    out.extend_from_slice(b"acsp");
    out.extend([0; 28]);
    D50.into_iter().for_each(|v| out.extend(((v * 65536.0).round() as i32).to_be_bytes()));
    out.resize(128, 0);
    out.extend(directory);
    out.extend(data);
    out
}

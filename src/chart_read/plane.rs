//! Lays a picture flat: the plane of the paper as if seen straight from above, its grid level.

use super::lattice::mesh::Mesh;
use super::pencils::Pencils;
use crate::picture::SrgbPicture;

type Matrix = [[f64; 3]; 3];

/// From places on the flat picture to places in the picture as it was taken.
pub(super) struct Plane {
    back: Option<Matrix>,
    width: usize,
    height: usize,
    origin: (f64, f64),
}

/// What lies beyond the picture's edges.
const BEYOND: u8 = 200;

impl Plane {
    pub(super) fn new(picture: &SrgbPicture, pencils: &Pencils) -> Plane {
        let straight = Plane { back: None, width: picture.width, height: picture.height, origin: (0.0, 0.0) };
        if pencils.are_straight() {
            return straight;
        }
        Plane::bent(picture, pencils).unwrap_or(straight)
    }

    fn bent(picture: &SrgbPicture, pencils: &Pencils) -> Option<Plane> {
        let (mid_x, mid_y) = (picture.width as f64 / 2.0, picture.height as f64 / 2.0);
        // The points in which lines meet, from the middle: (lean, 1, -closing) for the upright ones.
        let one = [pencils.upright.lean, 1.0, -pencils.upright.closing];
        let other = [1.0, pencils.level.lean, -pencils.level.closing];
        let horizon = cross(one, other);
        if horizon[2].abs() < 1e-9 {
            return None;
        }
        let horizon = horizon.map(|v| v / horizon[2]);
        // Sends the horizon to where parallels meet, and then turns both directions to the axes.
        let far: Matrix = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], horizon];
        let (down, right) = (times(&far, one), times(&far, other));
        let turn = [[right[0], down[0]], [right[1], down[1]]];
        // Directions as long as they are in the picture's middle.
        let lengths = [libm::hypot(turn[0][0], turn[1][0]), libm::hypot(turn[0][1], turn[1][1])];
        let turn =
            [[turn[0][0] / lengths[0], turn[0][1] / lengths[1]], [turn[1][0] / lengths[0], turn[1][1] / lengths[1]]];
        let det = turn[0][0] * turn[1][1] - turn[0][1] * turn[1][0];
        if det < 0.3 {
            return None;
        }
        let level: Matrix =
            [[turn[1][1] / det, -turn[0][1] / det, 0.0], [-turn[1][0] / det, turn[0][0] / det, 0.0], [0.0, 0.0, 1.0]];
        let there = product(&level, &far);
        let corners = [(-mid_x, -mid_y), (mid_x, -mid_y), (-mid_x, mid_y), (mid_x, mid_y)];
        let mut bounds = [f64::INFINITY, f64::INFINITY, f64::NEG_INFINITY, f64::NEG_INFINITY];
        for (x, y) in corners {
            let [u, v, w] = times(&there, [x, y, 1.0]);
            if w < 0.25 {
                return None;
            }
            let (u, v) = (u / w, v / w);
            bounds = [bounds[0].min(u), bounds[1].min(v), bounds[2].max(u), bounds[3].max(v)];
        }
        // Corners that were far off come very large, and hold nothing.
        let most = |half: f64| 1.6 * half;
        let [left, top] = [bounds[0].max(-most(mid_x)), bounds[1].max(-most(mid_y))];
        let [right, bottom] = [bounds[2].min(most(mid_x)), bounds[3].min(most(mid_y))];
        let back = inverse(&there)?;
        let shifted: Matrix = [
            [back[0][0] + mid_x * back[2][0], back[0][1] + mid_x * back[2][1], back[0][2] + mid_x * back[2][2]],
            [back[1][0] + mid_y * back[2][0], back[1][1] + mid_y * back[2][1], back[1][2] + mid_y * back[2][2]],
            back[2],
        ];
        Some(Plane {
            back: Some(shifted),
            width: libm::ceil(right - left) as usize,
            height: libm::ceil(bottom - top) as usize,
            origin: (left, top),
        })
    }

    /// The picture laid flat; `None`: it lies flat already.
    pub(super) fn laid_flat(&self, picture: &SrgbPicture) -> Option<SrgbPicture> {
        self.back.as_ref()?;
        let mut rgb = Vec::with_capacity(self.width * self.height * 3);
        for y in 0..self.height {
            for x in 0..self.width {
                rgb.extend(self.seen(picture, (x as f64 + 0.5, y as f64 + 0.5)));
            }
        }
        Some(SrgbPicture { width: self.width, height: self.height, rgb })
    }

    /// What stands at a place of the flat picture.
    fn seen(&self, picture: &SrgbPicture, (x, y): (f64, f64)) -> [u8; 3] {
        let (u, v) = match &self.back {
            None => (x, y),
            Some(back) => {
                let [u, v, w] = times(back, [x + self.origin.0, y + self.origin.1, 1.0]);
                (u / w, v / w)
            }
        };
        let (u, v) = (u - 0.5, v - 0.5);
        if u < 0.0 || v < 0.0 || u > picture.width as f64 - 1.0 || v > picture.height as f64 - 1.0 {
            return [BEYOND; 3];
        }
        between(picture, u, v)
    }

    /// The picture with every square of the lattice so many pixels large.
    pub(super) fn made_even(&self, picture: &SrgbPicture, mesh: &Mesh) -> SrgbPicture {
        let ((width, height), side) = (mesh.size(), mesh.square);
        let mut rgb = Vec::with_capacity(width * height * 3);
        let share = |i: usize| (i as f64 + 0.5) / side as f64;
        for row in 0..height / side {
            let (above, below) = (mesh.corners(row), mesh.corners(row + 1));
            for t in (0..side).map(share) {
                for column in 0..width / side {
                    let mix = |a: (f64, f64), b: (f64, f64), s: f64| (a.0 + s * (b.0 - a.0), a.1 + s * (b.1 - a.1));
                    let (left, right) =
                        (mix(above[column], below[column], t), mix(above[column + 1], below[column + 1], t));
                    for s in (0..side).map(share) {
                        rgb.extend(self.seen(picture, mix(left, right, s)));
                    }
                }
            }
        }
        SrgbPicture { width, height, rgb }
    }
}

/// The mixture of the four pixels around a place.
fn between(picture: &SrgbPicture, u: f64, v: f64) -> [u8; 3] {
    let (x, y) = (u as usize, v as usize);
    let (fx, fy) = (((u - x as f64) * 256.0) as u32, ((v - y as f64) * 256.0) as u32);
    let (x1, y1) = ((x + 1).min(picture.width - 1), (y + 1).min(picture.height - 1));
    let (a, b, c, d) = (picture.at(x, y), picture.at(x1, y), picture.at(x, y1), picture.at(x1, y1));
    core::array::from_fn(|i| {
        let above = u32::from(a[i]) * (256 - fx) + u32::from(b[i]) * fx;
        let below = u32::from(c[i]) * (256 - fx) + u32::from(d[i]) * fx;
        ((above * (256 - fy) + below * fy + (1 << 15)) >> 16) as u8
    })
}

fn cross(a: [f64; 3], b: [f64; 3]) -> [f64; 3] {
    [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
}

fn times(m: &Matrix, v: [f64; 3]) -> [f64; 3] {
    core::array::from_fn(|i| m[i][0] * v[0] + m[i][1] * v[1] + m[i][2] * v[2])
}

fn product(a: &Matrix, b: &Matrix) -> Matrix {
    core::array::from_fn(|i| core::array::from_fn(|j| (0..3).map(|k| a[i][k] * b[k][j]).sum()))
}

fn inverse(m: &Matrix) -> Option<Matrix> {
    let minor = |r: usize, c: usize| {
        let (r1, r2, c1, c2) = ((r + 1) % 3, (r + 2) % 3, (c + 1) % 3, (c + 2) % 3);
        m[r1][c1] * m[r2][c2] - m[r1][c2] * m[r2][c1]
    };
    let det: f64 = (0..3).map(|c| m[0][c] * minor(0, c)).sum();
    (det.abs() > 1e-12).then(|| core::array::from_fn(|i| core::array::from_fn(|j| minor(j, i) / det)))
}

//! Where the picture changes: for every place between two pixels, how strongly, kept only where it is strongest.

use super::window::Window;
use crate::picture::SrgbPicture;

/// Edges of a picture, across and down.
pub(super) struct Edges {
    pub(super) width: usize,
    pub(super) height: usize,
    /// Upright edges: the change from the pixel at the left to this one, 0 where there is none.
    pub(super) upright: Vec<u8>,
    /// Level edges: the change from the pixel above to this one.
    pub(super) level: Vec<u8>,
    /// How many pixels an edge may be off its line.
    pub(super) slack: usize,
    /// How many pixels along an edge were taken together.
    pub(super) along: usize,
    /// How many pixels at each side of an edge were taken together: more than one where a lens or scaling smeared them.
    pub(super) reach: usize,
    /// Whether the picture's own edges may be those of the chart: not where it was laid flat.
    pub(super) may_be_whole: bool,
}

impl Edges {
    /// As a screen shows them: from one pixel to the next.
    pub(super) fn sharp(picture: &SrgbPicture) -> Edges {
        Edges::of(picture, 1, 0, 1)
    }

    /// As packing with loss leaves them: with grain, which goes where some pixels along the edge are taken together.
    pub(super) fn packed(picture: &SrgbPicture) -> Edges {
        Edges::of(picture, 1, 1, 3)
    }

    /// Pixel by pixel, without what packing with loss leaves beside an edge.
    pub(super) fn bare(picture: &SrgbPicture) -> Edges {
        let mut edges = Edges::of(picture, 1, 1, 1);
        edges.slack = 0;
        edges
    }

    /// As a camera shows them, smeared over some pixels, not quite upright yet.
    pub(super) fn slanting(picture: &SrgbPicture) -> Edges {
        Edges::of(picture, 2, 1, 5)
    }

    /// The same once the picture lies flat.
    pub(super) fn soft(picture: &SrgbPicture) -> Edges {
        Edges::of(picture, 2, 1, 7)
    }

    fn of(picture: &SrgbPicture, reach: usize, slack: usize, along: usize) -> Edges {
        let (width, height) = (picture.width, picture.height);
        let upright = directed((width, height), (reach, slack, along), |across, down| picture.at(across, down));
        let turned = directed((height, width), (reach, slack, along), |across, down| picture.at(down, across));
        let mut level = vec![0; width * height];
        for x in 0..width {
            for y in 0..height {
                level[y * width + x] = turned[x * height + y];
            }
        }
        Edges { width, height, upright, level, slack, along, reach, may_be_whole: true }
    }

    /// Upright edges of one line of pixels in a window.
    pub(super) fn upright_in(&self, y: usize, window: Window) -> &[u8] {
        &self.upright[y * self.width + window.left..y * self.width + window.right]
    }

    /// The same with both directions exchanged.
    pub(super) fn turned(&self) -> Edges {
        let turn = |of: &[u8]| {
            let mut out = vec![0; of.len()];
            for y in 0..self.height {
                for x in 0..self.width {
                    out[x * self.height + y] = of[y * self.width + x];
                }
            }
            out
        };
        Edges {
            width: self.height,
            height: self.width,
            upright: turn(&self.level),
            level: turn(&self.upright),
            slack: self.slack,
            along: self.along,
            reach: self.reach,
            may_be_whole: self.may_be_whole,
        }
    }
}

/// Changes along lines of `long` pixels, `reach` pixels at each side and `along` lines taken together; without echoes where
/// edges have slack.
fn directed(
    (long, lines): (usize, usize),
    (reach, slack, along): (usize, usize, usize),
    at: impl Fn(usize, usize) -> [u8; 3],
) -> Vec<u8> {
    let mut changes = vec![0_u8; long * lines];
    let mut counts = [0_usize; 256];
    let half = along / 2;
    let mut sums = vec![[0_i32; 3]; long];
    let add = |sums: &mut [[i32; 3]], y: usize, sign: i32| {
        for (x, sum) in sums.iter_mut().enumerate() {
            for (sum, v) in sum.iter_mut().zip(at(x, y)) {
                *sum += sign * i32::from(v);
            }
        }
    };
    (0..half.min(lines)).for_each(|y| add(&mut sums, y, 1));
    for y in 0..lines {
        if y + half < lines {
            add(&mut sums, y + half, 1);
        }
        if let Some(gone) = y.checked_sub(half + 1) {
            add(&mut sums, gone, -1);
        }
        let taken = (y + half + 1).min(lines) - y.saturating_sub(half);
        let over = (taken * reach) as i32;
        for x in reach..(long + 1).saturating_sub(reach) {
            let change = |channel: usize| {
                let sum = |from: usize| (from..from + reach).map(|x| sums[x][channel]).sum::<i32>();
                (sum(x) - sum(x - reach)).abs() / over
            };
            let most = change(0).max(change(1)).max(change(2));
            changes[y * long + x] = most as u8;
            counts[most as usize] += 1;
        }
    }
    let least = threshold(&counts);
    for line in changes.chunks_exact_mut(long) {
        keep_strongest(line, least);
        if slack > 0 {
            without_echoes(line);
        }
    }
    changes
}

/// Takes out edges beside much stronger ones: what packing with loss leaves beside an edge, and a lens around it.
fn without_echoes(line: &mut [u8]) {
    const REACH: usize = 5;
    let before = line.to_vec();
    for (x, edge) in line.iter_mut().enumerate().filter(|(_, edge)| **edge > 0) {
        let near = &before[x.saturating_sub(REACH)..(x + REACH + 1).min(before.len())];
        let most = near.iter().copied().max().unwrap_or(0);
        if u16::from(*edge) * 5 < u16::from(most) {
            *edge = 0;
        }
    }
}

/// Changes under this are grain: some times what a quarter of all places stays under.
fn threshold(counts: &[usize; 256]) -> u8 {
    let quarter = counts.iter().sum::<usize>() / 4;
    let mut seen = 0;
    let low = counts.iter().position(|count| {
        seen += count;
        seen > quarter
    });
    (5 + 4 * low.unwrap_or(0)).min(40) as u8
}

fn keep_strongest(line: &mut [u8], least: u8) {
    let mut before = 0;
    for x in 0..line.len() {
        let here = line[x];
        let after = line.get(x + 1).copied().unwrap_or(0);
        // Of two equal ones beside each other both stay: between them lies a line one pixel wide.
        let kept = here >= least && here >= before && here >= after;
        before = here;
        if !kept {
            line[x] = 0;
        }
    }
}

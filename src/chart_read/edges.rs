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
        let upright = directed(picture.rgb.as_chunks().0, (width, height), (reach, slack, along));
        let turned = turned(picture.rgb.as_chunks().0, (width, height));
        let level = self::turned(&directed(&turned, (height, width), (reach, slack, along)), (height, width));
        Edges { width, height, upright, level, slack, along, reach, may_be_whole: true }
    }

    /// Upright edges of one line of pixels in a window.
    pub(super) fn upright_in(&self, y: usize, window: Window) -> &[u8] {
        &self.upright[y * self.width + window.left..y * self.width + window.right]
    }

    /// Those of a part of the picture.
    pub(super) fn part(&self, window: Window) -> Edges {
        let cut = |of: &[u8]| -> Vec<u8> {
            let lines = of.chunks_exact(self.width).take(window.bottom).skip(window.top);
            lines.flat_map(|line| line[window.left..window.right].iter().copied()).collect()
        };
        let (width, height) = (window.wide(), window.turned().wide());
        Edges { width, height, upright: cut(&self.upright), level: cut(&self.level), ..*self }
    }

    /// The same with both directions exchanged.
    pub(super) fn turned(&self) -> Edges {
        Edges {
            width: self.height,
            height: self.width,
            upright: turned(&self.level, (self.width, self.height)),
            level: turned(&self.upright, (self.width, self.height)),
            slack: self.slack,
            along: self.along,
            reach: self.reach,
            may_be_whole: self.may_be_whole,
        }
    }
}

/// What stands at the places of a picture of this width and height, columns for rows.
fn turned<T: Copy>(of: &[T], (width, height): (usize, usize)) -> Vec<T> {
    // Part by part, as memory is fetched so.
    const PART: usize = 32;
    let mut out: Vec<T> = of.to_vec();
    for top in (0..height).step_by(PART) {
        for left in (0..width).step_by(PART) {
            for x in left..(left + PART).min(width) {
                for y in top..(top + PART).min(height) {
                    out[x * height + y] = of[y * width + x];
                }
            }
        }
    }
    out
}

/// Changes along lines of `long` pixels, `reach` pixels at each side and `along` lines taken together; without echoes where
/// edges have slack.
fn directed(
    pixels: &[[u8; 3]],
    (long, lines): (usize, usize),
    (reach, slack, along): (usize, usize, usize),
) -> Vec<u8> {
    let mut changes = vec![0_u8; long * lines];
    let mut counts = [0_usize; 256];
    let half = along / 2;
    // Of every channel of every pixel, over the lines that are taken together; and of `reach` pixels from each on.
    let (mut sums, mut sides) = (vec![0_i16; 3 * long], vec![0_i16; 3 * long]);
    let channels = |y: usize| pixels[y * long..(y + 1) * long].as_flattened();
    let add = |sums: &mut [i16], y: usize| sums.iter_mut().zip(channels(y)).for_each(|(sum, v)| *sum += i16::from(*v));
    let take = |sums: &mut [i16], y: usize| sums.iter_mut().zip(channels(y)).for_each(|(sum, v)| *sum -= i16::from(*v));
    (0..half.min(lines)).for_each(|y| add(&mut sums, y));
    let mut shares: Vec<u8> = Vec::new();
    for y in 0..lines {
        if y + half < lines {
            add(&mut sums, y + half);
        }
        if let Some(gone) = y.checked_sub(half + 1) {
            take(&mut sums, gone);
        }
        sides.copy_from_slice(&sums);
        for by in 1..reach.min(long) {
            sides.iter_mut().zip(&sums[3 * by..]).for_each(|(side, sum)| *side += sum);
        }
        let over = ((y + half + 1).min(lines) - y.saturating_sub(half)) * reach;
        if shares.len() != 255 * over + 1 {
            shares = (0..=255 * over).map(|sum| (sum / over) as u8).collect();
        }
        let line = &mut changes[y * long..(y + 1) * long];
        let (left, right) = (sides.as_chunks::<3>().0, sides.as_chunks::<3>().0.get(reach..).unwrap_or_default());
        for (x, (left, right)) in left.iter().zip(right).take((long + 1).saturating_sub(2 * reach)).enumerate() {
            let most = (0..3).map(|channel| right[channel].abs_diff(left[channel])).fold(0, u16::max);
            let change = shares[usize::from(most)];
            line[x + reach] = change;
            counts[usize::from(change)] += 1;
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

//! The flat colours of a picture: colours of pixels whose neighbours have them too, and colours of lines too thin for that.

use super::rgb::{Rgb, as_rgb, differ, rgb, share_between};
use crate::colour::{Colour, Oklab};
use crate::picture::SrgbPicture;

/// What was found.
#[derive(Clone, Debug)]
pub(super) struct Flat {
    /// Colours, in the order in which they were found: those of most flat pixels first, then those of thin lines.
    pub(super) colours: Vec<Colour>,
    /// How far a channel may be from a colour and still be it: more in a picture that was packed with loss.
    pub(super) tolerance: i32,
    /// Whether these colours are all there is.
    pub(super) is_drawing: bool,
}

impl Flat {
    pub(super) fn first(&self, most: usize) -> Vec<Colour> {
        self.colours.iter().take(most).copied().collect()
    }
}

/// Share of pixels that are flat in a drawing, at least.
const MIN_FLAT: f64 = 0.45;
/// Share of the flat pixels that have one of the colours, within the tolerance, at least; and of those that do not have
/// the colour of most.
const MIN_HELD: f64 = 0.96;
const MIN_HELD_ELSEWHERE: f64 = 0.88;
/// Flat colours more than this are no drawing.
const MAX_COLOURS: usize = 48;
/// Share of the flat pixels beside which another flat colour begins, at most.
const MAX_PASSING: f64 = 0.006;

/// Share of pixels that are exactly their neighbour where a picture was drawn and not taken.
const STILL: f64 = 0.55;

fn look(rgb: [f64; 3]) -> Oklab {
    let [r, g, b] = rgb.map(|v| v.round().clamp(0.0, 255.0) as u8);
    Oklab::from_linear(Colour::new(r, g, b).linear())
}

/// `None` where no pixel is flat.
pub(super) fn find(picture: &SrgbPicture) -> Option<Flat> {
    let still = still(picture);
    let (tolerance, alike) = if still > STILL { (1, 2.5) } else { (5, 6.0) };
    let mut drawers = vec![Drawer::default(); 1 << 15];
    let mut flat = 0_usize;
    for y in 0..picture.height {
        for x in 0..picture.width {
            if is_flat(picture, x, y, tolerance) {
                flat += 1;
                drawers[drawer(picture.at(x, y))].add(rgb(picture, x, y));
            }
        }
    }
    if flat == 0 {
        return None;
    }
    let mut groups = grouped(drawers, picture.width * picture.height, alike);
    let passing = passing(picture, &groups, tolerance);
    medians(picture, &mut groups, tolerance);
    if still > STILL {
        restless(picture, &mut groups);
    }
    drop_smoothing(picture, &mut groups, tolerance);
    let (held, held_elsewhere) = held(picture, &groups, tolerance);
    let share = flat as f64 / (picture.width * picture.height) as f64;
    let is_drawing = share >= MIN_FLAT
        && held >= MIN_HELD
        && held_elsewhere >= MIN_HELD_ELSEWHERE
        && groups.len() <= MAX_COLOURS
        && passing <= MAX_PASSING;
    let mut colours: Vec<Colour> = groups.iter().map(|group| group.colour).collect();
    if is_drawing {
        super::thin::add_colours(picture, &mut colours, tolerance);
    }
    Some(Flat { colours, tolerance: if still > STILL { 6 } else { 14 }, is_drawing })
}

/// Share of pixels that are exactly their right neighbour.
fn still(picture: &SrgbPicture) -> f64 {
    let same = picture.rgb.chunks_exact(picture.width * 3).map(|line| {
        let pixels = line.as_chunks::<3>().0;
        pixels.windows(2).filter(|pair| pair[0] == pair[1]).count()
    });
    same.sum::<usize>() as f64 / (picture.width * picture.height).max(1) as f64
}

pub(super) fn is_flat(picture: &SrgbPicture, x: usize, y: usize, tolerance: i32) -> bool {
    let here = rgb(picture, x, y);
    let (right, below) = ((x + 1).min(picture.width - 1), (y + 1).min(picture.height - 1));
    (y.saturating_sub(1)..=below)
        .all(|v| (x.saturating_sub(1)..=right).all(|u| differ(rgb(picture, u, v), here) <= tolerance))
}

fn drawer([r, g, b]: [u8; 3]) -> usize {
    (usize::from(r >> 3) << 10) | (usize::from(g >> 3) << 5) | usize::from(b >> 3)
}

#[derive(Clone, Default)]
struct Drawer {
    count: usize,
    sum: [f64; 3],
}

impl Drawer {
    fn add(&mut self, rgb: Rgb) {
        self.count += 1;
        for (sum, v) in self.sum.iter_mut().zip(rgb) {
            *sum += f64::from(v);
        }
    }
    fn mean(&self) -> [f64; 3] {
        self.sum.map(|v| v / self.count.max(1) as f64)
    }
}

struct Group {
    look: Oklab,
    count: usize,
    drawers: Vec<usize>,
    colour: Colour,
}

/// Drawers gathered around the fullest ones.
fn grouped(drawers: Vec<Drawer>, pixels: usize, alike: f64) -> Vec<Group> {
    let mut order: Vec<usize> = (0..drawers.len()).filter(|&at| drawers[at].count > 0).collect();
    order.sort_by_key(|&at| (core::cmp::Reverse(drawers[at].count), at));
    let least = (pixels / 60_000).max(3);
    let mut groups: Vec<Group> = Vec::new();
    for at in order {
        let look = look(drawers[at].mean());
        let count = drawers[at].count;
        let near = groups.iter().map(|group| group.look.distance_squared(look)).enumerate();
        match near.min_by(|a, b| a.1.total_cmp(&b.1)) {
            // A little of a colour beside much of nearly the same is what packing with loss leaves.
            Some((group, away)) if away < alike * alike || (away < 36.0 && count * 50 < groups[group].count) => {
                groups[group].count += count;
                groups[group].drawers.push(at);
            }
            _ if count >= least && groups.len() < 255 => {
                groups.push(Group { look, count, drawers: vec![at], colour: Colour::BLACK });
            }
            _ => {}
        }
    }
    groups
}

/// The group of each drawer; `u8::MAX`: none.
fn owners(groups: &[Group]) -> Vec<u8> {
    let mut owners = vec![u8::MAX; 1 << 15];
    for (at, group) in groups.iter().enumerate() {
        for &drawer in &group.drawers {
            owners[drawer] = at as u8;
        }
    }
    owners
}

/// The share of flat pixels whose flat neighbour, at the right or below, is of another group: one flat colour never passes
/// into another step by step, as the light of a photograph does.
fn passing(picture: &SrgbPicture, groups: &[Group], tolerance: i32) -> f64 {
    let owner = owners(groups);
    let of = |x: usize, y: usize| {
        let group = owner[drawer(picture.at(x, y))];
        (group != u8::MAX && is_flat(picture, x, y, tolerance)).then_some(group)
    };
    let (mut flat, mut passes) = (0_usize, 0_usize);
    let mut above: Vec<Option<u8>> = vec![None; picture.width];
    for y in 0..picture.height {
        let mut before = None;
        for (x, above) in above.iter_mut().enumerate() {
            let here = of(x, y);
            if here.is_some() {
                flat += 1;
                passes += usize::from([before, *above].iter().any(|other| other.is_some() && *other != here));
            }
            (before, *above) = (here, here);
        }
    }
    passes as f64 / flat.max(1) as f64
}

/// The colour of a group is the middle value of its flat pixels, channel by channel: exact where the drawing is.
fn medians(picture: &SrgbPicture, groups: &mut [Group], tolerance: i32) {
    let owner = owners(groups);
    let mut channels = vec![[[0_usize; 256]; 3]; groups.len()];
    for y in 0..picture.height {
        for x in 0..picture.width {
            let pixel = picture.at(x, y);
            let group = owner[drawer(pixel)];
            if group != u8::MAX && is_flat(picture, x, y, tolerance) {
                for (channel, v) in channels[usize::from(group)].iter_mut().zip(pixel) {
                    channel[usize::from(v)] += 1;
                }
            }
        }
    }
    for (group, channels) in groups.iter_mut().zip(channels) {
        let [r, g, b] = channels.map(|counts| {
            let half = counts.iter().sum::<usize>() / 2;
            let mut seen = 0;
            let middle = counts.iter().position(|&count| {
                seen += count;
                seen > half
            });
            middle.unwrap_or(0) as u8
        });
        group.colour = Colour::new(r, g, b);
    }
}

/// Adds colours of strips that packing with loss has left nowhere quite even: nearly flat, and unlike all that is known.
fn restless(picture: &SrgbPicture, groups: &mut Vec<Group>) {
    const TOLERANCE: i32 = 16;
    const UNLIKE: i32 = 26;
    let known: Vec<Rgb> = groups.iter().map(|group| as_rgb(group.colour)).collect();
    let mut drawers = vec![Drawer::default(); 1 << 15];
    for y in 0..picture.height {
        for x in 0..picture.width {
            let here = rgb(picture, x, y);
            let new = known.iter().all(|&colour| differ(colour, here) > UNLIKE);
            if new && is_flat(picture, x, y, TOLERANCE) {
                drawers[drawer(picture.at(x, y))].add(here);
            }
        }
    }
    let pixels = picture.width * picture.height;
    let mut found = grouped(drawers, pixels, 9.0);
    found.retain(|group| group.count * 6_000 >= pixels);
    medians(picture, &mut found, TOLERANCE);
    drop_smoothing_of(picture, &mut found, &known, TOLERANCE);
    groups.extend(found);
}

/// Drops groups whose colour lies between two of `known` and whose pixels lie between them as well.
fn drop_smoothing_of(picture: &SrgbPicture, found: &mut Vec<Group>, known: &[Rgb], tolerance: i32) {
    found.retain(|group| {
        let here = as_rgb(group.colour);
        let pairs = known.iter().flat_map(|&a| known.iter().map(move |&b| (a, b)));
        let between: Vec<(Rgb, Rgb)> =
            pairs.filter(|&(a, b)| share_between(here, a, b, 16.0).is_some_and(|t| (0.05..0.5).contains(&t))).collect();
        between.is_empty() || !lies_between(picture, here, &between, tolerance)
    });
}

/// Drops small groups whose colour lies between two larger ones and whose pixels lie between them as well.
fn drop_smoothing(picture: &SrgbPicture, groups: &mut Vec<Group>, tolerance: i32) {
    let pixels = picture.width * picture.height;
    let mut at = groups.len();
    while at > 2 {
        at -= 1;
        if groups[at].count * 25 > pixels {
            continue;
        }
        let here = as_rgb(groups[at].colour);
        let others =
            || groups.iter().enumerate().filter(|(other, group)| *other != at && group.count > groups[at].count);
        let pair = others().flat_map(|(_, a)| others().map(move |(_, b)| (as_rgb(a.colour), as_rgb(b.colour))));
        let between: Vec<(Rgb, Rgb)> =
            pair.filter(|&(a, b)| share_between(here, a, b, 8.0).is_some_and(|t| (0.08..0.5).contains(&t))).collect();
        if !between.is_empty() && lies_between(picture, here, &between, tolerance) {
            groups.remove(at);
        }
    }
}

fn lies_between(picture: &SrgbPicture, here: Rgb, pairs: &[(Rgb, Rgb)], tolerance: i32) -> bool {
    const REACH: usize = 5;
    let (mut looked, mut between) = (0_usize, 0_usize);
    let step = 1 + picture.width * picture.height / 4_000_000;
    for y in (0..picture.height).step_by(step) {
        for x in 0..picture.width {
            if differ(rgb(picture, x, y), here) > tolerance + 2 || !is_flat(picture, x, y, tolerance) {
                continue;
            }
            looked += 1;
            let around = || {
                [(0, REACH), (REACH, 0), (REACH, REACH)].into_iter().flat_map(move |(dx, dy)| {
                    let (left, right) = (x.saturating_sub(dx), (x + dx).min(picture.width - 1));
                    let (top, bottom) = (y.saturating_sub(dy), (y + dy).min(picture.height - 1));
                    [(left, top), (right, bottom), (left, bottom), (right, top)]
                })
            };
            let near = |wanted: Rgb| around().any(|(u, v)| differ(rgb(picture, u, v), wanted) <= 24);
            if pairs.iter().any(|&(a, b)| near(a) && near(b)) {
                between += 1;
            }
            if looked >= 400 {
                return between * 10 > looked * 8;
            }
        }
    }
    looked == 0 || between * 10 > looked * 8
}

/// Share of the flat pixels that have one of the colours, and of those that do not have the first.
fn held(picture: &SrgbPicture, groups: &[Group], tolerance: i32) -> (f64, f64) {
    let (mut flat, mut held, mut first) = (0_usize, 0_usize, 0_usize);
    let near = 2 * tolerance + 2;
    let colours: Vec<Rgb> = groups.iter().map(|group| as_rgb(group.colour)).collect();
    let step = 1 + picture.height / 1_500;
    for y in (0..picture.height).step_by(step) {
        for x in (0..picture.width).step_by(step) {
            if !is_flat(picture, x, y, tolerance) {
                continue;
            }
            flat += 1;
            let here = rgb(picture, x, y);
            match colours.iter().position(|&colour| differ(colour, here) <= near) {
                Some(0) => first += 1,
                Some(_) => held += 1,
                None => {}
            }
        }
    }
    let of = |part: usize, whole: usize| if whole == 0 { 1.0 } else { part as f64 / whole as f64 };
    (of(held + first, flat), of(held, flat - first))
}

//! How much of what is drawn in a picture is explained by taking a part of it for squares. Of each kind of square one has to
//! be drawn; of the others it is enough to say which kind they are. The right squares explain the most: halves of them have
//! to be told one by one, several as one are of many kinds, cut ones are of kinds of their own, and figures beside a chart
//! are like no square.

use super::spread::Lattice;
use crate::chart_read::edges::Edges;
use crate::picture::SrgbPicture;
use std::borrow::Cow;

/// Places along a square's side at which two squares are compared.
pub(super) const PLACES: usize = 5;
/// And along the side of one that is larger than another, at most.
const MAX_PLACES: f64 = 25.0;
/// Points of a place, along each side, and where a lens has smeared them.
const FINE: usize = 3;
const SMEARED: usize = 2;
/// What is left out at each side of a square.
const INSET: f64 = 0.14;
/// Kinds of squares that are kept, at most.
pub(super) const MAX_KINDS: usize = 96;
/// Two squares of one kind: one place in so many is unlike by more than this, at most, and all are alike in the mean.
const MAX_UNLIKE: usize = 12;
const UNLIKE: i32 = 44;
const UNLIKE_IN_MEAN: i32 = 15;
/// What a pixel of an edge weighs, in bits.
pub(super) const EDGE: f64 = 2.0;
/// What is drawn over all sides weighs as much as this share of what there is to explain.
const OVER: f64 = 0.5;
/// So many squares show all four sides where nearly all do.
const FRAMED: f64 = 0.9;
/// How far inside a side points just inside it lie, of the square.
const SIDE: f64 = 0.07;
/// What a colour weighs.
const COLOUR: f64 = 24.0;

/// What a square shows, place by place.
pub(super) type Shown = Vec<[i16; 3]>;

/// A picture, and its edges to be counted in any part of it.
pub(super) struct Drawn<'a> {
    pub(super) picture: Cow<'a, SrgbPicture>,
    /// Edges above and to the left of each corner of a pixel.
    sums: Vec<u32>,
    /// Pixels across and down, of the picture as it came, for one of this.
    pixel: (f64, f64),
    /// Whether squares of one kind look the same everywhere: not in a camera's light.
    pub(super) evenly_lit: bool,
    /// Points of a place that are looked at, along each side.
    pub(super) fine: usize,
}

/// What squares explain.
#[derive(Clone, Copy, Debug)]
pub(super) struct Explained {
    /// Of what there is to explain, up to 1.
    pub(super) share: f64,
    /// Kinds of squares, and all squares.
    pub(super) kinds: usize,
    pub(super) squares: usize,
    /// How much is drawn over their sides, 0 to 1.
    pub(super) over: f64,
}

impl Explained {
    /// Whether there are so few kinds of squares that no others can be the right ones.
    pub(super) fn is_plain(self) -> bool {
        self.share >= 0.75 && self.kinds * 30 <= self.squares && self.over <= 0.1
    }
}

impl Explained {
    /// Whether there are plainly few kinds, and they explain as much as a photograph lets them.
    pub(super) fn is_of_few_kinds(self) -> bool {
        self.is_clear() && self.kinds * 30 <= self.squares && self.over <= 0.1
    }

    /// Whether very few kinds explain nearly all there is.
    pub(super) fn is_nearly_all(self) -> bool {
        self.is_plain() && self.share >= 0.9 && self.kinds * 100 <= self.squares
    }

    /// Whether these are a chart's squares for certain, be they bare and explain little.
    pub(super) fn is_certain(self) -> bool {
        self.share >= 0.25 && self.kinds * 5 <= self.squares && self.squares >= 64
    }

    /// Whether squares are so few kinds that this is a chart.
    pub(super) fn is_clear(self) -> bool {
        self.share >= 0.55 && self.kinds * 5 <= self.squares && self.squares >= 64
    }
}

impl Drawn<'_> {
    /// A picture as a screen shows it.
    pub(super) fn of(picture: &SrgbPicture) -> Drawn<'_> {
        Drawn::with(Cow::Borrowed(picture), (1.0, 1.0), true)
    }

    /// A photograph that was laid flat.
    pub(super) fn laid_flat(picture: &SrgbPicture) -> Drawn<'_> {
        Drawn { fine: SMEARED, ..Drawn::with(Cow::Borrowed(picture), (1.0, 1.0), false) }
    }

    /// A photograph whose squares were made even. `pixel`: pixels of the photograph for one of this.
    pub(super) fn made_even(picture: SrgbPicture, pixel: (f64, f64)) -> Drawn<'static> {
        Drawn::with(Cow::Owned(picture), pixel, false)
    }

    /// The same with its pixels mixed by so many of those of the picture as it came.
    pub(super) fn mixed(&self, pixels: f64) -> Drawn<'static> {
        let own = libm::sqrt(self.pixel.0 * self.pixel.1);
        Drawn::made_even(self.picture.mixed((pixels / own) as f32), self.pixel)
    }

    fn with(picture: Cow<'_, SrgbPicture>, pixel: (f64, f64), evenly_lit: bool) -> Drawn<'_> {
        let picture_ = &*picture;
        let edges = Edges::bare(picture_);
        let width = edges.width + 1;
        let mut sums = vec![0_u32; width * (edges.height + 1)];
        for y in 0..edges.height {
            let mut line = 0;
            for x in 0..edges.width {
                let at = y * edges.width + x;
                line += u32::from(edges.upright[at] > 0) + u32::from(edges.level[at] > 0);
                sums[(y + 1) * width + x + 1] = sums[y * width + x + 1] + line;
            }
        }
        Drawn { picture, sums, pixel, evenly_lit, fine: FINE }
    }

    /// Pixels of edges between these places, in bits.
    pub(super) fn within(&self, (left, right): (f64, f64), (top, bottom): (f64, f64)) -> f64 {
        let SrgbPicture { width, height, .. } = *self.picture;
        let [left, right] = [left, right].map(|x| (x.round().max(0.0) as usize).min(width));
        let [top, bottom] = [top, bottom].map(|y| (y.round().max(0.0) as usize).min(height));
        let at = |x: usize, y: usize| i64::from(self.sums[y * (width + 1) + x]);
        EDGE * (at(right, bottom) - at(left, bottom) - at(right, top) + at(left, top)).max(0) as f64
    }

    /// What a lattice explains of the whole picture.
    pub(super) fn by(&self, lattice: &Lattice) -> Explained {
        self.by_places(lattice, (PLACES, PLACES))
    }

    /// The same of two lattices, each of its own picture, both looked at as closely.
    pub(super) fn by_both(one: (&Drawn<'_>, &Lattice), other: (&Drawn<'_>, &Lattice)) -> [Explained; 2] {
        let (a, b) = (one.0.side(one.1), other.0.side(other.1));
        let least = (a.0.min(b.0), a.1.min(b.1));
        let places = |side: f64, least: f64| (PLACES as f64 * side / least).round().min(MAX_PLACES) as usize;
        [(one, a), (other, b)]
            .map(|((drawn, lattice), (w, h))| drawn.by_places(lattice, (places(w, least.0), places(h, least.1))))
    }

    /// Sides of a square, in pixels of the picture as it came.
    pub(super) fn side(&self, lattice: &Lattice) -> (f64, f64) {
        let (wide, high) = lattice.square();
        (wide * self.pixel.0, high * self.pixel.1)
    }

    fn by_places(&self, lattice: &Lattice, places: (usize, usize)) -> Explained {
        let SrgbPicture { width, height, .. } = *self.picture;
        let whole = self.within((0.0, width as f64), (0.0, height as f64));
        let explained = self.by_lines((&lattice.xs, &lattice.ys), places, whole);
        // Where nearly all squares show all their sides, what is just inside them is the lines.
        let framed = lattice.lined && lattice.strength >= FRAMED;
        let over = if framed { 0.0 } else { self.over_sides(&lattice.xs, &lattice.ys) };
        Explained { share: explained.share - OVER * over, over, ..explained }
    }

    /// What the squares between lines explain of what is between the outermost.
    pub(super) fn between(&self, xs: &[f64], ys: &[f64]) -> Explained {
        let inside = self.within((xs[0], xs[xs.len() - 1]), (ys[0], ys[ys.len() - 1]));
        self.by_lines((xs, ys), (PLACES, PLACES), inside)
    }

    fn by_lines(&self, (xs, ys): (&[f64], &[f64]), places: (usize, usize), of: f64) -> Explained {
        let (columns, rows) = (xs.len() - 1, ys.len() - 1);
        let across = points(xs, self.picture.width, places.0, self.fine);
        let down = points(ys, self.picture.height, places.1, self.fine);
        let mut kinds: Vec<(Shown, usize)> = Vec::new();
        let (mut cost, mut lone) = (0.0, 0_usize);
        for (row, y) in down.iter().enumerate() {
            for nth in 0..columns {
                // There and back again, so that light changes little from one square to the next.
                let column = if !self.evenly_lit && row % 2 == 1 { columns - 1 - nth } else { nth };
                let own = shown(&self.picture, &across[column], y, self.fine);
                if let Some(kind) = kinds.iter().position(|(kind, _)| alike(kind, &own)) {
                    kinds[kind].1 += 1;
                    if !self.evenly_lit {
                        kinds[kind].0 = own;
                    }
                    continue;
                }
                cost += COLOUR + self.within((xs[column], xs[column + 1]), (ys[row], ys[row + 1]));
                if kinds.len() < MAX_KINDS {
                    kinds.push((own, 1));
                } else {
                    lone += 1;
                }
            }
        }
        let all = (columns * rows) as f64;
        let told = |count: f64| count * libm::log2(all / count);
        cost += kinds.iter().map(|(_, count)| told(*count as f64)).sum::<f64>() + lone as f64 * libm::log2(all);
        let inside = self.within((xs[0], xs[columns]), (ys[0], ys[rows]));
        let share = (inside - cost) / of.max(1.0);
        Explained { share, kinds: kinds.len() + lone, squares: columns * rows, over: 0.0 }
    }
}

impl Drawn<'_> {
    /// How much is drawn over squares' sides, 0 to 1: the share of points just inside them that are not of the ground.
    pub(super) fn over_sides(&self, xs: &[f64], ys: &[f64]) -> f64 {
        let SrgbPicture { width, height, .. } = *self.picture;
        let (across, down) = (points(xs, width, PLACES, self.fine), points(ys, height, PLACES, self.fine));
        let at = |v: f64, long: usize| (v.max(0.0) as usize).min(long - 1);
        let (mut over, mut all) = (0_usize, 0_usize);
        for (row, y) in down.iter().enumerate() {
            for (column, x) in across.iter().enumerate() {
                let ground = middle_of(&shown(&self.picture, x, y, self.fine));
                let (wide, high) = (xs[column + 1] - xs[column], ys[row + 1] - ys[row]);
                let (left, right) = (at(xs[column] + SIDE * wide, width), at(xs[column + 1] - SIDE * wide, width));
                let (top, bottom) = (at(ys[row] + SIDE * high, height), at(ys[row + 1] - SIDE * high, height));
                let sides = x.iter().flat_map(|&x| [(x, top), (x, bottom)]);
                for (x, y) in sides.chain(y.iter().flat_map(|&y| [(left, y), (right, y)])) {
                    let rgb = in_light(self.picture.at(x, y).map(i32::from));
                    let far = (0..3).map(|c| (i32::from(rgb[c]) - i32::from(ground[c])).abs()).max().unwrap_or(0);
                    over += usize::from(far > UNLIKE);
                    all += 1;
                }
            }
        }
        over as f64 / all.max(1) as f64
    }
}

/// The middle of what a square shows.
pub(super) fn middle_of(shown: &Shown) -> [i16; 3] {
    core::array::from_fn(|c| {
        let mut values: Vec<i16> = shown.iter().map(|place| place[c]).collect();
        values.sort_unstable();
        values[values.len() / 2]
    })
}

/// Pixels at which squares between lines are looked at, in so many places.
pub(super) fn points(lines: &[f64], long: usize, places: usize, fine: usize) -> Vec<Vec<usize>> {
    let count = places * fine;
    let between = |pair: &[f64]| {
        let share = |i: usize| INSET + (1.0 - 2.0 * INSET) * (i as f64 + 0.5) / count as f64;
        (0..count).map(|i| ((pair[0] + share(i) * (pair[1] - pair[0])).max(0.0) as usize).min(long - 1)).collect()
    };
    lines.windows(2).map(between).collect()
}

pub(super) fn shown(picture: &SrgbPicture, across: &[usize], down: &[usize], fine: usize) -> Shown {
    let wide = across.len() / fine;
    let mut shown = vec![[0_i16; 3]; wide * (down.len() / fine)];
    for (j, &y) in down.iter().enumerate() {
        for (i, &x) in across.iter().enumerate() {
            let sum = &mut shown[j / fine * wide + i / fine];
            let rgb = picture.at(x, y);
            (0..3).for_each(|c| sum[c] += i16::from(rgb[c]));
        }
    }
    shown.iter().map(|sum| in_light(sum.map(|v| i32::from(v) / (fine * fine) as i32))).collect()
}

/// Light and half of what makes it a colour (ITU-T T.871): packing with loss keeps light best.
pub(super) fn in_light([r, g, b]: [i32; 3]) -> [i16; 3] {
    let light = (299 * r + 587 * g + 114 * b) / 1000;
    [light, (b - light) * 282 / 1000, (r - light) * 357 / 1000].map(|v| v as i16)
}

pub(super) fn alike(a: &Shown, b: &Shown) -> bool {
    let most = a.len() / MAX_UNLIKE;
    let (mut off, mut sum) = (0, 0_i32);
    for (a, b) in a.iter().zip(b) {
        let far = (0..3).map(|c| i32::from((a[c] - b[c]).abs())).max().unwrap_or(0);
        off += usize::from(far > UNLIKE);
        sum += far.min(2 * UNLIKE);
        if off > most {
            return false;
        }
    }
    sum <= UNLIKE_IN_MEAN * a.len() as i32
}

#[cfg(test)]
mod tests {
    use super::super::tests::{chart, lattice};
    use super::*;

    #[test]
    fn the_squares_themselves_explain_more_than_halves_of_them_doubles_and_others_a_little_off() {
        let picture = chart(18, 14);
        let drawn = Drawn::of(&picture);
        let right = lattice((20.0, 200.0), (20.0, 160.0), 10.0);
        let own = drawn.by(&right);
        assert_eq!((own.kinds, own.squares), (3, 18 * 14));
        assert!(own.is_plain() && own.is_clear() && own.over < 0.01, "{own:?}");
        let others = [
            ("halves", lattice((20.0, 200.0), (20.0, 160.0), 5.0)),
            ("doubles", lattice((20.0, 200.0), (20.0, 160.0), 20.0)),
            ("half a square off", lattice((25.0, 195.0), (25.0, 155.0), 10.0)),
            ("three pixels off", lattice((23.0, 193.0), (20.0, 160.0), 10.0)),
            ("a pixel wider", lattice((20.0, 196.0), (20.0, 152.0), 11.0)),
        ];
        for (what, other) in others {
            let [own, other] = Drawn::by_both((&drawn, &right), (&drawn, &other));
            assert!(own.share > other.share + 0.05, "{what}: {own:?}, {other:?}");
        }
    }

    #[test]
    fn where_pixels_are_mixed_more_is_explained_under_stripes() {
        // Stripes that beat with the squares: each of them has its own.
        let mut picture = chart(18, 14);
        for (at, pixel) in picture.rgb.as_chunks_mut::<3>().0.iter_mut().enumerate() {
            let (x, y) = ((at % 220) as f64, (at / 220) as f64);
            let dark = 60.0 * (libm::sin(1.3 * x + 0.9 * y + 0.01 * x * y) + 1.0);
            *pixel = pixel.map(|v| v.saturating_sub(dark as u8));
        }
        let squares = lattice((20.0, 200.0), (20.0, 160.0), 10.0);
        let drawn = Drawn::made_even(picture, (2.0, 2.0));
        let (sharp, soft) = (drawn.by(&squares), drawn.mixed(5.0).by(&squares));
        assert!(soft.share > sharp.share + 0.1 && soft.over < sharp.over / 2.0, "{sharp:?} {soft:?}");
    }

    #[test]
    fn squares_of_plainly_few_kinds_are_a_chart_in_a_photograph_too() {
        let few = Explained { share: 0.6, kinds: 20, squares: 600, over: 0.0 };
        assert!(few.is_of_few_kinds());
        assert!(!Explained { kinds: 21, ..few }.is_of_few_kinds());
        assert!(!Explained { share: 0.5, ..few }.is_of_few_kinds());
        assert!(!Explained { over: 0.2, ..few }.is_of_few_kinds());
        let nearly_all = Explained { share: 0.92, kinds: 6, ..few };
        assert!(nearly_all.is_nearly_all() && !Explained { kinds: 7, ..nearly_all }.is_nearly_all());
        assert!(!Explained { share: 0.89, ..nearly_all }.is_nearly_all());
    }

    #[test]
    fn what_is_drawn_over_sides_is_seen() {
        let picture = chart(18, 14);
        let drawn = Drawn::of(&picture);
        let over =
            |left: f64| drawn.over_sides(&lattice((left, 190.0), (20.0, 160.0), 10.0).xs, &[20.0, 30.0, 40.0, 50.0]);
        assert!(over(20.0) < 0.01 && over(25.0) > 0.15, "{} {}", over(20.0), over(25.0));
    }

    #[test]
    fn two_squares_are_one_kind_with_grain_and_not_with_another_mark() {
        let flat = |grey: i16| vec![[grey, 0, 0]; PLACES * PLACES];
        assert!(alike(&flat(100), &flat(114)) && !alike(&flat(100), &flat(117)));
        let marked = |count: usize| (0..PLACES * PLACES).map(|at| [if at < count { 40 } else { 100 }, 0, 0]).collect();
        assert!(alike(&flat(100), &marked(2)) && !alike(&flat(100), &marked(3)));
    }
}

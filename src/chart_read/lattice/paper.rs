//! Where a chart ends in a photograph: what lies beyond its lines and its symbols is paper, though its edge, figures and a key
//! may look like squares.

use super::explained::{Drawn, PLACES, in_light, middle_of, points, shown};
use super::spread::Lattice;
use crate::picture::SrgbPicture;

/// How far from a line's middle it is looked at, of a square's side.
const ON: f64 = 0.07;
/// Where what is beside it is looked at.
const BESIDE: (f64, f64) = (0.15, 0.25);
/// What is left out of a side at each end.
const CORNER: f64 = 0.2;
/// Sides that are taken together: a screen's pixels that beat with a camera's are now lighter and now darker.
const TOGETHER: usize = 4;
/// Lines are seen where they differ by so much from the squares beside them, in steps of light, in the middle of a chart.
const SEEN: f64 = 2.0;
/// And usually by this share of what is usual there.
const USUALLY: f64 = 0.5;
/// A line of squares has no lines where they differ by less than this share of it.
const WITHOUT: f64 = 0.2;
/// Squares of paper are about as light as the one before them.
const AS_LIGHT: i16 = 14;
/// And not much darker than the lightest square of their line, or so many squares beyond its ends.
const LIGHT: f64 = 0.65;
const BEYOND: i32 = 2;
/// So many of a line of squares are paper.
const PAPER: f64 = 0.7;
/// Lines of squares at the edge of the paper, at most: its edge is an edge in every square.
const EDGES: usize = 2;
/// In charts of symbols so many squares of the middle have one.
const MARKED: f64 = 0.85;
/// Places of a square without a symbol are no further from its ground.
const BARE: i16 = 10;
/// A lattice of fewer squares across or down is not bounded anew.
const LEAST: usize = 8;

/// What speaks for each column of a lattice, or each of its rows.
struct Ends {
    /// The ground of each of its squares.
    grounds: Vec<Vec<[i16; 3]>>,
    /// The lightest of these, and of squares beyond its ends.
    lightest: Vec<i16>,
    /// How much darker the lines across it are, and how much they differ at all, in steps of light.
    darker: Vec<f64>,
    depths: Vec<f64>,
    /// The share of its squares that have a symbol.
    marked: Vec<f64>,
}

impl Drawn<'_> {
    /// Takes outermost lines of squares away that are paper, without any of the lines that the others have between them.
    pub(super) fn without_paper(&self, lattice: &mut Lattice) {
        // Without some columns rows look otherwise, and the other way round.
        let mut changed = [true, true];
        for turned in [false, true, false, true] {
            if changed == [false, false] {
                break;
            }
            let ends = self.ends(lattice, turned);
            let beyond = ends.beyond();
            changed[usize::from(turned)] = false;
            for (last, beyond) in [(true, beyond.1), (false, beyond.0)] {
                for _ in 0..beyond {
                    let lines = if turned { &mut lattice.ys } else { &mut lattice.xs };
                    if last {
                        lines.pop();
                    } else {
                        lines.remove(0);
                    }
                    changed[usize::from(turned)] = true;
                }
            }
        }
    }

    /// Whether one of the outermost lines of squares looks like paper, as most do not.
    pub(super) fn may_end_in_paper(&self, lattice: &Lattice) -> bool {
        [false, true].into_iter().any(|turned| {
            let ends = self.ends(lattice, turned);
            let count = ends.depths.len();
            let paper = (0..count).filter(|nth| ends.is_paper(*nth)).count();
            2 * paper < count && (ends.is_paper(0) || ends.is_paper(count - 1))
        })
    }

    /// Of the columns of a lattice (`turned`: of its rows).
    fn ends(&self, lattice: &Lattice, turned: bool) -> Ends {
        let SrgbPicture { width, height, .. } = *self.picture;
        let (across, down) =
            (points(&lattice.xs, width, PLACES, self.fine), points(&lattice.ys, height, PLACES, self.fine));
        let ground = |column: usize, row: usize| {
            let shown = shown(&self.picture, &across[column], &down[row], self.fine);
            let ground = middle_of(&shown);
            let far = |place: &&[i16; 3]| (0..3).any(|c| (place[c] - ground[c]).abs() > BARE);
            (ground, shown.iter().filter(far).count() > 1)
        };
        let (lines, along) = if turned { (&lattice.ys, &lattice.xs) } else { (&lattice.xs, &lattice.ys) };
        let (count, long) = (lines.len() - 1, along.len() - 1);
        let at = |nth: usize, i: usize| if turned { ground(i, nth) } else { ground(nth, i) };
        let lightest = |nth: usize| self.lightest(lattice, turned, nth);
        let squares: Vec<Vec<([i16; 3], bool)>> =
            (0..count).map(|nth| (0..long).map(|i| at(nth, i)).collect()).collect();
        let depth = |nth: usize| {
            let wide = lines[nth + 1] - lines[nth];
            let between = (lines[nth] + CORNER * wide, lines[nth + 1] - CORNER * wide);
            let off: Vec<[f64; 3]> = (1..long)
                .map(|i| {
                    let (at, side) = (along[i], (along[i + 1] - along[i - 1]) / 2.0);
                    let [on, a, b] = [
                        (at - ON * side, at + ON * side),
                        (at - BESIDE.1 * side, at - BESIDE.0 * side),
                        (at + BESIDE.0 * side, at + BESIDE.1 * side),
                    ]
                    .map(|range| self.mean(between, range, turned));
                    core::array::from_fn(|c| f64::from(2 * on[c] - a[c] - b[c]) / 2.0)
                })
                .collect();
            let together = |off: &[[f64; 3]]| {
                let mean = |c: usize| off.iter().map(|off| off[c]).sum::<f64>() / off.len() as f64;
                (-mean(0), mean(0).abs().max(mean(1).abs()).max(mean(2).abs()))
            };
            let (darker, depths) = off.windows(TOGETHER.min(off.len()).max(1)).map(together).unzip();
            (middle(darker), middle(depths))
        };
        let (darker, depths) = (0..count).map(depth).unzip();
        let marked =
            squares.iter().map(|squares| squares.iter().filter(|square| square.1).count() as f64 / long as f64);
        let marked = marked.collect();
        let grounds = squares.into_iter().map(|squares| squares.into_iter().map(|square| square.0).collect()).collect();
        Ends { grounds, lightest: (0..count).map(lightest).collect(), darker, depths, marked }
    }

    /// The lightest ground of a column (`turned`: a row) with some squares beyond its ends, where the chart lies on paper.
    fn lightest(&self, lattice: &Lattice, turned: bool, nth: usize) -> i16 {
        let SrgbPicture { width, height, .. } = *self.picture;
        let (lines, along) = if turned { (&lattice.ys, &lattice.xs) } else { (&lattice.xs, &lattice.ys) };
        let (across_most, along_most) = if turned { (height, width) } else { (width, height) };
        let (first, last) = (along[0], along[along.len() - 1]);
        let side = (last - first) / (along.len() - 1) as f64;
        let beyond = (1..=BEYOND).flat_map(|i| [first - f64::from(i) * side, last + f64::from(i - 1) * side]);
        let beyond = beyond.filter(|at| *at >= 0.0 && *at + side <= along_most as f64);
        let across = &points(&lines[nth..nth + 2], across_most, PLACES, self.fine)[0];
        let grounds = beyond.chain(along[..along.len() - 1].iter().copied()).map(|at| {
            let along = &points(&[at, at + side], along_most, PLACES, self.fine)[0];
            let (x, y) = if turned { (along, across) } else { (across, along) };
            middle_of(&shown(&self.picture, x, y, self.fine))[0]
        });
        grounds.max().unwrap_or(0)
    }

    /// The mean of what is between these places.
    fn mean(&self, (left, right): (f64, f64), (top, bottom): (f64, f64), turned: bool) -> [i16; 3] {
        let SrgbPicture { width, height, .. } = *self.picture;
        let (long, high) = if turned { (height, width) } else { (width, height) };
        let range = |(from, to): (f64, f64), most: usize| {
            let from = (from.max(0.0) as usize).min(most - 1);
            from..(to.ceil().max(0.0) as usize).clamp(from + 1, most)
        };
        let (mut sum, mut count) = ([0_i32; 3], 0);
        for y in range((top, bottom), high) {
            for x in range((left, right), long) {
                let rgb = if turned { self.picture.at(y, x) } else { self.picture.at(x, y) };
                (0..3).for_each(|c| sum[c] += i32::from(rgb[c]));
                count += 1;
            }
        }
        in_light(sum.map(|v| v / count))
    }
}

impl Ends {
    /// How many of the first and of the last are paper; none where neither lines nor symbols are plainly seen.
    fn beyond(&self) -> (usize, usize) {
        let count = self.depths.len();
        let [by_lines, by_darkness, by_marks] = [&self.depths, &self.darker, &self.marked].map(|values| {
            let mut core = values[count / 4..count - count / 4].to_vec();
            core.sort_by(f64::total_cmp);
            (core[core.len() / 2], core[core.len() / 4])
        });
        let speak = if count > LEAST && by_lines.0 >= SEEN && by_lines.1 >= USUALLY * by_lines.0 {
            // Where they are darker than squares, they are than paper, and strokes of figures between them make them lighter.
            (if by_darkness.1 >= USUALLY * by_lines.0 { &self.darker } else { &self.depths }, by_lines.0)
        } else if count > LEAST && by_marks.1 >= MARKED {
            (&self.marked, by_marks.0)
        } else {
            return (0, 0);
        };
        let light = |nth: usize| middle(self.grounds[nth].iter().map(|ground| f64::from(ground[0])).collect());
        let usually_light = middle((count / 4..count - count / 4).map(light).collect());
        // On a lighter ground no line stands out lighter than on the usual one: what does are a screen's pixels that beat.
        let beats = |nth: usize| light(nth) > usually_light && self.darker[nth] < 1.5 * by_darkness.0.min(0.0) - SEEN;
        let is_without = |nth: usize| speak.0[nth] < WITHOUT * speak.1 || beats(nth);
        let beyond = |last: bool| {
            let at = |nth: usize| if last { count - 1 - nth } else { nth };
            (0..=EDGES)
                .map(|edge| {
                    let is_next = |nth: &usize| {
                        is_without(at(*nth))
                            && self.is_paper(at(*nth))
                            && (*nth == edge || self.goes_on(at(*nth - 1), at(*nth)))
                    };
                    (edge, (edge..count / 4).take_while(is_next).count())
                })
                .find(|(_, lines)| *lines > 0)
                .map_or(0, |(edge, lines)| edge + lines)
        };
        (beyond(false), beyond(true))
    }

    /// Whether most squares of a line are of one light ground, as paper is in any light.
    fn is_paper(&self, nth: usize) -> bool {
        let grounds = &self.grounds[nth];
        let lightest = self.lightest[nth];
        let same = |pair: &&[[i16; 3]]| is_as(&pair[0], &pair[1]);
        let is_light = |ground: &&[i16; 3]| f64::from(ground[0]) >= LIGHT * f64::from(lightest);
        grounds.windows(2).filter(same).count() as f64 >= PAPER * (grounds.len() - 1) as f64
            && grounds.iter().filter(is_light).count() as f64 >= PAPER * grounds.len() as f64
    }

    /// Whether most squares of two lines beside each other are of one ground.
    fn goes_on(&self, from: usize, to: usize) -> bool {
        let pairs = self.grounds[from].iter().zip(&self.grounds[to]);
        pairs.filter(|(a, b)| is_as(a, b)).count() as f64 >= PAPER * self.grounds[to].len() as f64
    }
}

fn is_as(a: &[i16; 3], b: &[i16; 3]) -> bool {
    (0..3).all(|c| (a[c] - b[c]).abs() <= AS_LIGHT)
}

fn middle(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    values.get(values.len() / 2).copied().unwrap_or(0.0)
}

#[cfg(test)]
mod tests {
    use super::super::tests::{chart, lattice};
    use super::*;

    /// The chart of the tests with lines between its squares, which end where it ends.
    fn lined(columns: usize, rows: usize, line: [u8; 3]) -> SrgbPicture {
        let mut picture = chart(columns, rows);
        let (width, height) = (picture.width, picture.height);
        for y in 20..=height - 20 {
            for x in (20..=width - 20).filter(|x| x % 10 == 0 || y % 10 == 0) {
                let at = (y * width + x) * 3;
                picture.rgb[at..at + 3].copy_from_slice(&line);
            }
        }
        picture
    }

    /// Where a lattice of this picture, laid flat, ends without paper.
    fn bounded(picture: &SrgbPicture, across: (f64, f64), down: (f64, f64)) -> [f64; 4] {
        let mut lattice = lattice(across, down, 10.0);
        Drawn::laid_flat(picture).without_paper(&mut lattice);
        let (xs, ys) = (&lattice.xs, &lattice.ys);
        [xs[0], xs[xs.len() - 1], ys[0], ys[ys.len() - 1]]
    }

    const WHOLE: [f64; 4] = [20.0, 200.0, 20.0, 160.0];

    #[test]
    fn paper_beyond_the_lines_of_a_chart_is_taken_away_and_the_chart_is_not() {
        let picture = lined(18, 14, [90, 90, 90]);
        assert_eq!(bounded(&picture, (20.0, 200.0), (20.0, 160.0)), WHOLE);
        assert_eq!(bounded(&picture, (0.0, 220.0), (0.0, 180.0)), WHOLE);
        assert_eq!(bounded(&picture, (20.0, 220.0), (10.0, 160.0)), WHOLE);
        // Without lines nothing says where it ends.
        let bare = chart(18, 14);
        assert_eq!(bounded(&bare, (0.0, 220.0), (0.0, 180.0)), [0.0, 220.0, 0.0, 180.0]);
    }

    #[test]
    fn a_last_line_that_looks_like_paper_makes_it_doubtful_where_a_chart_ends() {
        let picture = lined(18, 14, [90, 90, 90]);
        let may_end = |across: (f64, f64), down: (f64, f64)| {
            Drawn::laid_flat(&picture).may_end_in_paper(&lattice(across, down, 10.0))
        };
        assert!(!may_end((20.0, 200.0), (20.0, 160.0)));
        assert!(may_end((20.0, 210.0), (20.0, 160.0)));
        assert!(may_end((20.0, 200.0), (10.0, 160.0)));
    }

    #[test]
    fn beyond_the_edge_of_the_paper_lies_no_chart_either() {
        // The lattice goes on over the paper's edge, with a table as dark as yarn beyond it.
        let mut picture = lined(18, 14, [90, 90, 90]);
        let width = picture.width;
        for y in 0..picture.height {
            for x in (0..6).chain(width - 6..width) {
                let at = (y * width + x) * 3;
                picture.rgb[at..at + 3].copy_from_slice(&[70, 50, 40]);
            }
        }
        assert_eq!(bounded(&picture, (0.0, 220.0), (20.0, 160.0)), WHOLE);
    }

    #[test]
    fn figures_between_the_places_of_lines_are_on_paper_and_a_light_yarn_behind_lines_is_not() {
        let mut picture = lined(18, 14, [90, 90, 90]);
        let width = picture.width;
        let mut paint = |x: usize, y: usize, colour: [u8; 3]| {
            let at = (y * width + x) * 3;
            picture.rgb[at..at + 3].copy_from_slice(&colour);
        };
        // A figure beside each row, and a last column of one yarn that is nearly as light as paper.
        for y in 20..160 {
            (14..16).filter(|_| (2..8).contains(&(y % 10))).for_each(|x| paint(x, y, [20, 20, 20]));
            (191..200).filter(|_| y % 10 != 0).for_each(|x| paint(x, y, [245, 240, 225]));
        }
        assert_eq!(bounded(&picture, (10.0, 200.0), (20.0, 160.0)), WHOLE);
        assert_eq!(bounded(&picture, (0.0, 220.0), (0.0, 180.0)), WHOLE);
    }

    #[test]
    fn where_every_square_has_a_symbol_bare_paper_is_none_of_them() {
        // White paper, and in each square a stroke of one of two yarns.
        let (width, height) = (220, 180);
        let rgb = (0..width * height).flat_map(|at| {
            let (x, y) = (at % width, at / width);
            let inside = (20..200).contains(&x) && (20..160).contains(&y);
            let stroke =
                if (x / 10 + y / 30) % 2 == 0 { (3..7).contains(&(x % 10)) } else { (3..7).contains(&(y % 10)) };
            let inner = (2..8).contains(&(x % 10)) && (2..8).contains(&(y % 10));
            if inside && stroke && inner { [30, 30, 30] } else { [250, 250, 250] }
        });
        let picture = SrgbPicture { width, height, rgb: rgb.collect() };
        assert_eq!(bounded(&picture, (0.0, 220.0), (0.0, 180.0)), WHOLE);
        assert_eq!(bounded(&picture, (20.0, 200.0), (20.0, 160.0)), WHOLE);
    }

    #[test]
    fn on_lighter_ground_what_stands_out_lighter_than_the_charts_lines_is_no_line() {
        // Twelve rows of ten squares, with lines a little lighter than their yarn; the last is of another ground.
        let beyond = |ground: i16, darker: f64| {
            let (mut grounds, mut all) = (vec![vec![[100, 0, 0]; 10]; 12], vec![-2.0; 12]);
            (grounds[11], all[11]) = (vec![[ground, 0, 0]; 10], darker);
            let (lightest, depths, marked) = (vec![180; 12], vec![7.0; 12], vec![1.0; 12]);
            Ends { grounds, lightest, darker: all, depths, marked }.beyond()
        };
        assert_eq!(beyond(180, -8.0), (0, 1));
        assert_eq!(beyond(180, 5.0), (0, 0), "a light yarn behind a line");
        assert_eq!(beyond(180, -2.0), (0, 0), "lines as usual");
        assert_eq!(beyond(100, -8.0), (0, 0), "no paper");
    }
}

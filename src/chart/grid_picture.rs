//! A chart as a picture: one pixel a knot, each pixel a yarn's colour exactly, a transparent one bare.

use super::{Chart, Colour, MAX_SIDE, YarnId};
use crate::diag::{Diagnostic, Report, SourceId, Span};
use crate::picture::{self, Pixels};
use crate::source::Sources;
use std::collections::BTreeMap;

/// Strange colours that are shown one by one.
const MAX_SHOWN_COLOURS: usize = 6;
/// Places of one strange colour that are named.
const MAX_SHOWN_PLACES: usize = 3;
/// Strange colours, one a knot at least in as many, that no maker picks one by one: a photograph's, or those of soft edges.
const NO_CHART_COLOURS: usize = 40;
/// Strange colours that are told apart at all: a photograph may hold millions.
const MAX_COUNTED_COLOURS: usize = 4_096;

/// Reads a chart. `yarns` are the yarns' letters and colours in the order of the palette, `None` where a colour could not
/// be read: then no pixel is called strange, since it may be of that one. `None` is answered after a fault.
pub fn read(
    sources: &Sources,
    source: SourceId,
    yarns: &[Option<(char, Colour)>],
    report: &mut Report,
) -> Option<Chart> {
    let place = Span::file(source);
    let pixels = match picture::chart_pixels(sources.get(source).bytes(), MAX_SIDE as u32) {
        Ok(pixels) => pixels,
        Err(fault) => {
            report.push(fault.at(place));
            return None;
        }
    };
    if let Some(times) = enlarged(&pixels) {
        report.push(
            Diagnostic::fault(
                "enlarged-chart",
                format!("every square of this chart is {times} x {times} pixels large, and one pixel is one knot"),
            )
            .at(place)
            .hint("make it a project with one knot a square: `hitchpress chart-from PICTURE --as chart`"),
        );
        return None;
    }
    let palette = palette(yarns, place, report)?;
    let mut strange = UnknownColours::default();
    let mut cells = Vec::with_capacity(pixels.rgba.len());
    for (at, [r, g, b, alpha]) in pixels.rgba.iter().copied().enumerate() {
        let cell = match alpha {
            0 => None,
            u16::MAX => {
                let cell = palette.get(&[r, g, b]).copied();
                if cell.is_none() {
                    strange.opaque([r, g, b], at);
                }
                cell
            }
            _ => {
                strange.veiled(at);
                None
            }
        };
        cells.push(cell);
    }
    let all_known = yarns.iter().all(Option::is_some) && !yarns.is_empty();
    let clean = strange.told(&pixels, yarns, all_known, place, report);
    if !clean {
        return None;
    }
    if cells.iter().all(Option::is_none) {
        report.push(
            Diagnostic::fault("no-knots", "every pixel of the chart is transparent, so every cell is bare")
                .at(place)
                .hint("paint one pixel for each knot, in the colour of its yarn"),
        );
        return None;
    }
    Chart::new(pixels.columns, cells)
}

/// How many pixels each way a square has, where all of them have more than one. Stripes alone tell nothing: a chart may be
/// plain one way.
fn enlarged(pixels: &Pixels) -> Option<usize> {
    /// Fewer squares a side than this are no chart.
    const MIN_SQUARES: usize = 8;
    let at = |column: usize, row: usize| pixels.rgba[row * pixels.columns + column];
    let across: Vec<usize> = (1..pixels.columns)
        .filter(|&column| (0..pixels.rows).any(|row| at(column, row) != at(column - 1, row)))
        .collect();
    let down: Vec<usize> = (1..pixels.rows)
        .filter(|&row| (0..pixels.columns).any(|column| at(column, row) != at(column, row - 1)))
        .collect();
    let common = |places: &[usize], long: usize| places.iter().fold(long, |a, &b| divisor(a, b));
    let (wide, high) = (common(&across, pixels.columns), common(&down, pixels.rows));
    let enough = across.len().min(down.len()) >= 4;
    let squares = (pixels.columns / wide.max(1)).min(pixels.rows / high.max(1));
    (enough && wide == high && wide >= 2 && squares >= MIN_SQUARES).then_some(wide)
}

/// The largest number that divides both.
fn divisor(a: usize, b: usize) -> usize {
    if b == 0 { a } else { divisor(b, a % b) }
}

/// From colour to yarn. Two yarns of one colour cannot be told apart in a picture.
fn palette(yarns: &[Option<(char, Colour)>], place: Span, report: &mut Report) -> Option<BTreeMap<[u16; 3], YarnId>> {
    let mut palette: BTreeMap<[u16; 3], YarnId> = BTreeMap::new();
    let mut clear = true;
    for (at, yarn) in yarns.iter().enumerate() {
        let (Some((key, colour)), Ok(id)) = (yarn, u8::try_from(at)) else { continue };
        if let Some(first) = palette.insert(wide(*colour), YarnId(id)) {
            let first = yarns.get(usize::from(first.0)).copied().flatten().map_or('?', |(key, _)| key);
            report.push(
                Diagnostic::fault(
                    "yarns-of-one-colour",
                    format!(
                        "yarns `{first}` and `{key}` are both `{}`, and a picture cannot tell them apart",
                        colour.to_hex()
                    ),
                )
                .at(place)
                .hint("change one of the two colours a little, in the project and in the picture, or use a text chart"),
            );
            clear = false;
        }
    }
    clear.then_some(palette)
}

/// The sixteen-bit equals of eight-bit channels.
fn wide(colour: Colour) -> [u16; 3] {
    [colour.r, colour.g, colour.b].map(|channel| u16::from(channel) * 257)
}

/// Pixels that are no yarn's colour.
#[derive(Default)]
struct UnknownColours {
    colours: BTreeMap<[u16; 3], (usize, Vec<usize>)>,
    uncounted: bool,
    veiled: usize,
    first_veiled: Option<usize>,
}

impl UnknownColours {
    fn opaque(&mut self, colour: [u16; 3], at: usize) {
        if self.colours.len() >= MAX_COUNTED_COLOURS && !self.colours.contains_key(&colour) {
            self.uncounted = true;
            return;
        }
        let (times, places) = self.colours.entry(colour).or_default();
        *times += 1;
        if places.len() < MAX_SHOWN_PLACES {
            places.push(at);
        }
    }

    fn veiled(&mut self, at: usize) {
        self.veiled += 1;
        self.first_veiled.get_or_insert(at);
    }

    /// Says what was found, and whether nothing was.
    fn told(
        self,
        pixels: &Pixels,
        yarns: &[Option<(char, Colour)>],
        all_known: bool,
        place: Span,
        report: &mut Report,
    ) -> bool {
        let where_ = |at: usize| format!("column {}, row {}", at % pixels.columns + 1, at / pixels.columns + 1);
        if let Some(first) = self.first_veiled {
            report.push(
                Diagnostic::fault(
                    "half-transparent",
                    format!(
                        "{} neither solid nor wholly transparent, first at {}",
                        counted(self.veiled, "pixel is", "pixels are"),
                        where_(first)
                    ),
                )
                .at(place)
                .hint("draw with a hard pencil, without soft edges; a wholly transparent pixel is a bare cell"),
            );
        }
        let clean = self.colours.is_empty() && self.veiled == 0;
        if !all_known {
            return clean;
        }
        let colours = self.colours.len();
        if colours > NO_CHART_COLOURS {
            report.push(no_chart(colours, self.uncounted, pixels, place));
            return false;
        }
        let mut in_order: Vec<([u16; 3], (usize, Vec<usize>))> = self.colours.into_iter().collect();
        in_order.sort_by_key(|(_, (_, places))| places.first().copied());
        for (colour, (times, places)) in in_order.into_iter().take(MAX_SHOWN_COLOURS) {
            let shown = narrow(colour);
            let listed: Vec<String> = places.iter().map(|at| where_(*at)).collect();
            let more = if times > places.len() { " and elsewhere" } else { "" };
            let fault = Diagnostic::fault(
                "unknown-colour",
                format!(
                    "{} `{}`, which is no yarn's colour: {}{more}",
                    counted(times, "pixel is", "pixels are"),
                    shown.to_hex(),
                    listed.join("; ")
                ),
            )
            .at(place);
            report.push(match nearest(shown, yarns) {
                Some((key, near)) => fault.hint(format!("the nearest is yarn `{key}`, `{}`", near.to_hex())),
                None => fault,
            });
        }
        if colours > MAX_SHOWN_COLOURS {
            let number = colours - MAX_SHOWN_COLOURS;
            report.push(
                Diagnostic::fault("unknown-colour", format!("{number} other colours are no yarn's either"))
                    .at(place)
                    .hint("a chart picture has one pixel a knot and only the yarns' colours: no photograph, no soft edges")
                    .hint("a photograph, a drawing or a chart drawn larger is made into one by `hitchpress chart-from PICTURE`"),
            );
        }
        clean
    }
}

/// One fault for a picture that is something else than a chart.
fn no_chart(colours: usize, more: bool, pixels: &Pixels, place: Span) -> Diagnostic {
    let knots = pixels.columns * pixels.rows;
    let more = if more { "more than " } else { "" };
    // A photograph has about as many colours as it can; a drawing with soft edges, or one enlarged with smoothing, has far
    // fewer.
    let kind = if colours * 8 > knots.min(MAX_COUNTED_COLOURS) {
        "a photograph, or a picture with shades"
    } else {
        "a drawing with soft edges, or a chart enlarged with smoothing"
    };
    Diagnostic::fault(
        "no-chart-picture",
        format!(
            "this picture is no chart: its {} x {} pixels have {more}{colours} colours that are no yarn's; it looks like {kind}",
            pixels.columns, pixels.rows
        ),
    )
    .at(place)
    .hint("a chart picture has one pixel for each knot, each in a yarn's own colour")
    .hint("`hitchpress chart-from PICTURE --columns 60` makes a chart and a project of it; a screenshot or photograph of a chart is read square by square by `--as chart`")
}

fn counted(number: usize, one: &str, many: &str) -> String {
    if number == 1 { format!("1 {one}") } else { format!("{number} {many}") }
}

/// Rounded to eight bits a channel, to be shown.
fn narrow(colour: [u16; 3]) -> Colour {
    let [r, g, b] = colour.map(|channel| ((u32::from(channel) + 128) / 257) as u8);
    Colour::new(r, g, b)
}

/// The yarn whose colour looks most like `colour`; of equals the first.
fn nearest(colour: Colour, yarns: &[Option<(char, Colour)>]) -> Option<(char, Colour)> {
    let mut best: Option<(f64, (char, Colour))> = None;
    for yarn in yarns.iter().flatten() {
        let away = colour.difference(yarn.1);
        if best.is_none_or(|(least, _)| away < least) {
            best = Some((away, *yarn));
        }
    }
    best.map(|(_, yarn)| yarn)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A picture of so many squares, each of so many pixels; what colour a square has is asked for.
    fn squares(
        (columns, rows): (usize, usize),
        (wide, high): (usize, usize),
        colour: impl Fn(usize, usize) -> [u16; 4],
    ) -> Pixels {
        let (columns, rows) = (columns * wide, rows * high);
        let rgba =
            (0..columns * rows).map(|at| colour(at % columns / wide, at / columns / high)).collect::<Vec<[u16; 4]>>();
        Pixels { columns, rows, rgba }
    }

    fn grey(of: usize) -> [u16; 4] {
        [of as u16 * 257, of as u16 * 257, of as u16 * 257, u16::MAX]
    }

    #[test]
    fn squares_are_measured_where_all_have_the_same_size_both_ways() {
        let checked = |column: usize, row: usize| grey((column + row) % 2);
        assert_eq!(enlarged(&squares((9, 8), (3, 3), checked)), Some(3));
        assert_eq!(enlarged(&squares((8, 9), (2, 2), checked)), Some(2));
        // Own computation: eight a side at least, of two pixels at least, as wide as high.
        assert_eq!(enlarged(&squares((7, 8), (3, 3), checked)), None);
        assert_eq!(enlarged(&squares((8, 7), (3, 3), checked)), None);
        assert_eq!(enlarged(&squares((9, 9), (1, 1), checked)), None);
        assert_eq!(enlarged(&squares((9, 9), (2, 3), checked)), None);
        // Four changes each way, and three one way.
        let changes =
            |across: usize, down: usize| move |column: usize, row: usize| grey(column.min(across) * 16 + row.min(down));
        assert_eq!(enlarged(&squares((8, 8), (2, 2), changes(4, 4))), Some(2));
        assert_eq!(enlarged(&squares((8, 8), (2, 2), changes(3, 4))), None);
        assert_eq!(enlarged(&squares((8, 8), (2, 2), changes(4, 3))), None);
        // One pixel more at the side: no square is whole there.
        let mut torn = squares((8, 8), (3, 3), checked);
        torn.rgba = torn.rgba.chunks(24).flat_map(|row| row.iter().copied().chain([row[23]])).collect();
        torn.columns += 1;
        assert_eq!(enlarged(&torn), None);
    }

    #[test]
    fn the_largest_common_divisor_is_found() {
        for (a, b, common) in [(12, 18, 6), (18, 12, 6), (7, 5, 1), (9, 0, 9), (0, 4, 4), (24, 8, 8)] {
            assert_eq!(divisor(a, b), common, "{a} {b}");
        }
    }

    const NAVY: Colour = Colour { r: 16, g: 32, b: 96 };
    const SAND: Colour = Colour { r: 216, g: 178, b: 110 };

    /// Everything that is told of a picture of these greys, `columns` wide: sentences and hints.
    fn told(columns: usize, greys: &[usize]) -> (bool, Vec<(String, Vec<String>)>) {
        let yarns = [Some(('N', NAVY)), Some(('S', SAND))];
        let mut strange = UnknownColours::default();
        greys.iter().enumerate().for_each(|(at, of)| match of {
            0 => strange.veiled(at),
            of => strange.opaque([*of as u16 * 257, *of as u16, 0], at),
        });
        let pixels = Pixels { columns, rows: greys.len() / columns, rgba: Vec::new() };
        let mut report = Report::new();
        let clean = strange.told(&pixels, &yarns, true, Span::file(SourceId(0)), &mut report);
        (clean, report.iter().map(|d| (d.message.clone(), d.hints.clone())).collect())
    }

    #[test]
    fn a_strange_colour_is_told_with_its_places_and_the_nearest_yarn() {
        // 20, 0, 0 is nearest to the dark yarn, 250, 1, 0 to the pale one by its lightness.
        let (clean, told_of_one) = told(3, &[20, 0, 0, 0, 0, 0]);
        assert!(!clean);
        assert_eq!(told_of_one[0].0, "5 pixels are neither solid nor wholly transparent, first at column 2, row 1");
        assert_eq!(told_of_one[1].0, "1 pixel is `#140000`, which is no yarn's colour: column 1, row 1");
        assert_eq!(told_of_one[1].1, ["the nearest is yarn `N`, `#102060`"]);
        // Three places are named.
        let (_, three) = told(2, &[20, 20, 20]);
        assert_eq!(
            three[0].0,
            "3 pixels are `#140000`, which is no yarn's colour: column 1, row 1; column 2, row 1; column 1, row 2"
        );
        let (_, four) = told(2, &[20, 20, 20, 20]);
        assert!(four[0].0.ends_with("column 1, row 2 and elsewhere"), "{}", four[0].0);
        assert!(told(1, &[]).0);
    }

    #[test]
    fn six_strange_colours_are_named_and_the_others_counted() {
        let (_, six) = told(2, &[1, 2, 3, 4, 5, 6]);
        assert_eq!(six.len(), 6);
        let (_, eight) = told(2, &[1, 2, 3, 4, 5, 6, 7, 8]);
        assert_eq!((eight.len(), eight[6].0.as_str()), (7, "2 other colours are no yarn's either"));
        // Of forty each may be a slip; of more it is another kind of picture.
        let forty: Vec<usize> = (1..=40).collect();
        assert_eq!(told(4, &forty).1[6].0, "34 other colours are no yarn's either");
        let more: Vec<usize> = (1..=41).cycle().take(328).collect();
        let (clean, one) = told(4, &more);
        assert!(!clean);
        // Own computation: 41 x 8 = 328 knots, no more.
        assert_eq!(one.len(), 1);
        assert!(one[0].0.contains("its 4 x 82 pixels have 41 colours that are no yarn's"), "{}", one[0].0);
        assert!(one[0].0.ends_with("a drawing with soft edges, or a chart enlarged with smoothing"), "{}", one[0].0);
        let (_, shaded) = told(4, &more[..324]);
        assert!(shaded[0].0.ends_with("a photograph, or a picture with shades"), "{}", shaded[0].0);
    }

    #[test]
    fn no_more_colours_are_told_apart_than_a_photograph_needs() {
        let mut strange = UnknownColours::default();
        for at in 0..=MAX_COUNTED_COLOURS {
            strange.opaque([at as u16, 0, 1], at);
        }
        assert!(strange.uncounted);
        assert_eq!(strange.colours.len(), MAX_COUNTED_COLOURS);
        // One that is known already is counted on.
        strange.opaque([7, 0, 1], 9);
        assert_eq!(strange.colours[&[7, 0, 1]], (2, vec![7, 9]));
        let mut all = UnknownColours::default();
        (0..MAX_COUNTED_COLOURS).for_each(|at| all.opaque([at as u16, 0, 1], at));
        all.opaque([7, 0, 1], 9);
        assert!(!all.uncounted);
    }

    #[test]
    fn colours_are_rounded_to_be_shown() {
        // Own computation: 128 of 257 round down, 129 up.
        assert_eq!(narrow([0, 128, 129]), Colour { r: 0, g: 0, b: 1 });
        assert_eq!(narrow([u16::MAX, 65_406, 65_407]), Colour { r: 255, g: 254, b: 255 });
        assert_eq!(wide(NAVY), [4_112, 8_224, 24_672]);
    }

    #[test]
    fn nothing_is_called_strange_while_a_yarns_colour_cannot_be_read() {
        let file = |rgba: &[[u8; 4]]| picture::chart_file(None, 2, 1, rgba.concat()).expect("a picture");
        let read = |rgba: &[[u8; 4]], yarns: &[Option<(char, Colour)>]| {
            let (mut sources, mut report) = (Sources::in_memory(), Report::new());
            let source = sources.add("chart.png".into(), file(rgba));
            let chart = read(&sources, source, yarns, &mut report);
            (chart, report.iter().map(|d| d.id).collect::<Vec<_>>())
        };
        let (navy, sand, red, clear) = ([16, 32, 96, 255], [216, 178, 110, 255], [255, 0, 0, 255], [0; 4]);
        let both = [Some(('N', NAVY)), Some(('S', SAND))];
        let chart = Chart::new(2, vec![Some(YarnId(1)), Some(YarnId(0))]);
        assert_eq!(read(&[sand, navy], &both), (chart, Vec::new()));
        assert_eq!(read(&[sand, red], &both), (None, vec!["unknown-colour"]));
        for yarns in [&[][..], &[None], &[Some(('S', SAND)), None]] {
            assert_eq!(read(&[sand, red], yarns), (None, Vec::new()), "{yarns:?}");
        }
        assert_eq!(read(&[clear, clear], &both), (None, vec!["no-knots"]));
        assert_eq!(read(&[sand, sand], &[both[1], both[1]]), (None, vec!["yarns-of-one-colour"]));
    }

    #[test]
    fn of_two_yarns_alike_the_first_is_the_nearest() {
        let yarns = [Some(('N', NAVY)), None, Some(('S', SAND)), Some(('T', SAND))];
        assert_eq!(nearest(Colour { r: 200, g: 170, b: 120 }, &yarns), Some(('S', SAND)));
        assert_eq!(nearest(Colour { r: 0, g: 0, b: 90 }, &yarns), Some(('N', NAVY)));
        assert_eq!(nearest(NAVY, &[None]), None);
    }
}

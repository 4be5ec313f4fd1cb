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

//! This very panel hung up, drawn to scale with its dimensions: wood, header, picture, fringe.
//!
//! Comes from measures alone; goes out as shapes and places for the words, whose keys name the measures.
//!
//! Long, and one subject: one drawing, whose parts make room for one another.

use crate::as_knotted;
use crate::colour::Colour;
use crate::figure::{DrawnFigure, Label, LabelAlign, MIN_LINE_WIDTH};
use crate::geom::{Length, Point, Rect, Size};
use crate::manuscript::HungPanel;
use crate::page::{Segment, Shape, Stroke};
use std::ops::Range;
use std::sync::Arc;

/// Kept free at the right for the words beside upright dimensions, millimetres on paper, and the most of the width that
/// large type may take for it.
const WORDS: f64 = 38.0;
const MAX_WORDS: f64 = 0.45;
/// From what is measured to its dimension line, millimetres on paper.
const OFF: f64 = 5.0;
/// White between a dimension line and its words.
const CLEAR: f64 = 0.8;
/// Height of a line of words in leadings, and width of a letter in sizes of the type; a little more than they take.
const LINE: f64 = 1.075;
const LETTER: f64 = 0.567;
/// Length and half width of an arrowhead.
const HEAD: (f64, f64) = (1.9, 0.38);
/// Half the width of the nail's head.
const NAIL: f64 = 0.9;
/// A dimension shorter than this has its arrows outside, pointing in.
const SHORT: f64 = 3.0 * HEAD.0;

const WOOD: Colour = Colour::new(0xea, 0xdd, 0xc8);
const GRAIN: Colour = Colour::new(0xc4, 0xad, 0x8a);

/// How the words of measures are set.
#[derive(Clone, Copy, Debug)]
pub(crate) struct LabelType {
    /// Em.
    pub(crate) size: Length,
    /// From line to line.
    pub(crate) leading: Length,
}

/// The room that words take in a type, millimetres on paper.
#[derive(Clone, Copy)]
struct WordRoom<'a> {
    words: &'a [(String, String)],
    line: f64,
    letter: f64,
    /// Kept free at the right.
    right: f64,
}

impl WordRoom<'_> {
    fn of(hung: &HungPanel, kind: LabelType, room: Size) -> WordRoom<'_> {
        let right = (WORDS * (kind.size / crate::figure::USUAL_LABEL).max(1.0))
            .min((room.width.to_mm() * MAX_WORDS).max(WORDS));
        let (line, letter) = (kind.leading.to_mm() * LINE, kind.size.to_mm() * LETTER);
        WordRoom { words: &hung.labels, line, letter, right }
    }

    /// From a dimension line to the middle of its words.
    fn words_off(&self) -> f64 {
        self.line / 2.0 + CLEAR
    }

    /// Width for the words of the hanging cord, beside the wood.
    fn room_for_hanger(&self) -> f64 {
        self.right - 4.0
    }

    /// About how many lines the words of a measure take; none where it has no words.
    fn lines_of(&self, key: &str, room: f64) -> f64 {
        let words = self.words.iter().find(|(of, _)| of == key);
        words.map_or(0.0, |(_, words)| lines(words, (room / self.letter).floor().max(1.0) as usize) as f64)
    }

    /// Height of the lines of a measure beyond the first.
    fn more(&self, key: &str, room: f64) -> f64 {
        (self.lines_of(key, room) - 1.0).max(0.0) * self.line
    }
}

/// The lines of words that are broken at spaces, of at most so many letters each.
fn lines(words: &str, letters: usize) -> usize {
    let (mut lines, mut used) = (1, 0);
    for word in words.split(' ') {
        let long = word.chars().count();
        if used > 0 && used + 1 + long > letters {
            (lines, used) = (lines + 1, long);
        } else {
            used += long + usize::from(used > 0);
        }
    }
    lines
}

/// Draws the panel as large as `room` allows, its top left corner at (0, 0). `lines` is the colour of outlines and
/// dimensions, `kind` how the words beside them are set.
pub(crate) fn draw(hung: &HungPanel, room: Size, lines: Colour, kind: LabelType) -> DrawnFigure {
    let words = WordRoom::of(hung, kind, room);
    let sheet = PanelScale::placed(hung, room, &words);
    let mut builder = PanelBuilder { lines, shapes: Vec::new(), labels: Vec::new(), words };
    fringe(hung, &sheet, &mut builder);
    let picture = panel(hung, &sheet, &mut builder);
    wood(hung, &sheet, &mut builder);
    hanger(hung, &sheet, &mut builder);
    dimensions(hung, &sheet, &mut builder);
    let (shapes, labels) = (Arc::new(builder.shapes), builder.labels);
    DrawnFigure { size: sheet.size, shapes, picture, labels, numbers: Vec::new() }
}

/// How the hung panel's millimetres stand on paper: from the panel's left edge, and down from the fixing line.
struct PanelScale {
    /// Millimetres on paper for one of the panel's.
    scale: f64,
    /// The panel's left edge and the fixing line, millimetres on paper.
    left: f64,
    top: f64,
    size: Size,
}

impl PanelScale {
    fn placed(hung: &HungPanel, room: Size, words: &WordRoom<'_>) -> PanelScale {
        let (from, to) = wood_ends(hung);
        let highest = upper_edge(hung).into_iter().fold(0.0, |high: f64, (_, y)| high.min(y));
        let lowest = lower_edge(hung).into_iter().fold(0.0, |low: f64, (_, y)| low.max(y));
        let below = (hung.header_mm + hung.chart_mm + hung.bottom_mm).max(lowest);
        let wide = (room.width.to_mm() - words.right - 2.0).max(10.0) / (to - from).max(1.0);
        // The smaller the drawing, the more lines its words take, and the less room is left for it: soon settled.
        let (mut scale, mut above, mut under) = (wide, 0.0, 0.0);
        for _ in 0..3 {
            // Above: the hanging cord, the dimension line of the wood's length, and its words.
            let over = AboveWood::of(hung, words, scale);
            above = over.dimension + words.words_off() + over.more + words.line / 2.0 + 1.2;
            // Below: the width.
            let across = Across::of("width", words, hung.width_mm * scale);
            under = OFF + 2.0 * words.words_off() + across.more;
            scale = wide.min((room.height.to_mm() - above - under).max(10.0) / (below - highest).max(1.0));
        }
        let drawn = (to - from) * scale + words.right + 2.0;
        PanelScale {
            scale,
            left: (room.width.to_mm() - drawn) / 2.0 + 1.0 - from * scale,
            top: above - highest * scale,
            size: Size::new(room.width, Length::mm(above + (below - highest) * scale + under)),
        }
    }

    /// A place on paper, millimetres.
    fn at(&self, (x, y): (f64, f64)) -> (f64, f64) {
        (self.left + x * self.scale, self.top + y * self.scale)
    }
}

/// The words of a level dimension: in its middle, or from its left end and on into the room at the right where they are
/// longer than it is.
struct Across {
    align: LabelAlign,
    room: f64,
    /// Height of lines beyond the first.
    more: f64,
}

impl Across {
    fn of(key: &str, words: &WordRoom<'_>, long: f64) -> Across {
        let (align, room) = match words.lines_of(key, long) <= 1.0 {
            true => (LabelAlign::Centre, long),
            false => (LabelAlign::Left, long + words.right),
        };
        Across { align, room, more: words.more(key, room) }
    }
}

/// What stands above the wood, at heights above its highest part, millimetres on paper.
struct AboveWood {
    /// Where the hanging cord's loop ends.
    hanger: f64,
    /// The middle of the first line of its words.
    hanger_words: f64,
    /// The dimension line of the wood's length.
    dimension: f64,
    /// Height of the lines of its length beyond the first.
    more: f64,
}

impl AboveWood {
    fn of(hung: &HungPanel, words: &WordRoom<'_>, scale: f64) -> AboveWood {
        let (from, to) = wood_ends(hung);
        let hanger = hung.hanger_rise_mm.max(0.0) * scale;
        let lines = if hanger > 0.0 { words.lines_of("hanger", words.room_for_hanger()) } else { 0.0 };
        let hanger_words = hanger.max(1.0 + (lines - 0.5) * words.line);
        let dimension = (hanger + NAIL + 2.4).max(hanger_words + words.line / 2.0 + 0.8);
        AboveWood { hanger, hanger_words, dimension, more: Across::of("wood-length", words, (to - from) * scale).more }
    }
}

/// The cord that the wood hangs by, from knot to nail to knot. Two half hitches are drawn as two turns round the wood.
fn hanger(hung: &HungPanel, sheet: &PanelScale, builder: &mut PanelBuilder) {
    if hung.hanger_rise_mm <= 0.0 {
        return;
    }
    let (from, to) = wood_ends(hung);
    let (upper, lower) = (upper_edge(hung), lower_edge(hung));
    let highest = upper.iter().fold(f64::MAX, |high, point| high.min(point.1));
    let apex = sheet.at(((from + to) / 2.0, highest - hung.hanger_rise_mm));
    for x in [from + hung.hanger_in_mm, to - hung.hanger_in_mm] {
        let (top, bottom) = (sheet.at((x, edge_at(&upper, x))), sheet.at((x, edge_at(&lower, x))));
        builder.polyline(&[top, apex], GRAIN, Length::pt(1.1), &[]);
        for turn in [-0.7, 0.7] {
            builder.polyline(
                &[(top.0 + turn, top.1 - 0.3), (bottom.0 + turn, bottom.1 + 0.3)],
                GRAIN,
                Length::pt(1.1),
                &[],
            );
        }
    }
    let fill = builder.lines;
    let around = |at: f64| (apex.0 + at.cos() * NAIL, apex.1 + at.sin() * NAIL);
    let nail: Vec<_> = (0..12).map(|step| around(f64::from(step) * std::f64::consts::PI / 6.0)).collect();
    builder.polygon(&nail, fill);
}

/// Where the wood begins and ends, from the panel's left edge: as much of it at one side as at the other.
fn wood_ends(hung: &HungPanel) -> (f64, f64) {
    let over = ((hung.wood_length_mm - hung.width_mm) / 2.0).max(0.0);
    (-over, hung.width_mm + over)
}

/// The wood's lower edge: as measured and level beyond, else half the wood below the fixing line; a rod that the cords
/// hang on lies wholly above it.
fn lower_edge(hung: &HungPanel) -> Vec<(f64, f64)> {
    let (from, to) = wood_ends(hung);
    let level = if hung.branch || hung.header_mm >= hung.wood_mm { hung.wood_mm / 2.0 } else { 0.0 };
    let inside = |x: f64| x > from + 1.0 && x < to - 1.0;
    let measured = || hung.lower_edge.iter().copied().filter(|&(x, y)| inside(x) && y.is_finite());
    let mut edge = vec![(from, measured().next().map_or(level, |point| point.1))];
    edge.extend(measured());
    edge.push((to, measured().next_back().map_or(level, |point| point.1)));
    edge
}

fn upper_edge(hung: &HungPanel) -> Vec<(f64, f64)> {
    lower_edge(hung).into_iter().map(|(x, y)| (x, y - hung.wood_mm)).collect()
}

/// Collects shapes and words; places are millimetres on paper.
struct PanelBuilder<'a> {
    lines: Colour,
    shapes: Vec<Shape>,
    labels: Vec<Label>,
    words: WordRoom<'a>,
}

fn point((x, y): (f64, f64)) -> Point {
    Point::new(Length::mm(x), Length::mm(y))
}

impl PanelBuilder<'_> {
    fn polyline(&mut self, points: &[(f64, f64)], colour: Colour, width: Length, dash: &[f64]) {
        let start = points.iter().take(1).map(|&p| Segment::Move(point(p)));
        let outline = start.chain(points.iter().skip(1).map(|&p| Segment::Line(point(p)))).collect();
        let dash = dash.iter().map(|&d| Length::mm(d)).collect();
        let stroke = Stroke { colour, width: width.max(MIN_LINE_WIDTH), dash, round: false };
        self.shapes.push(Shape { outline, fill: None, stroke: Some(stroke) });
    }

    fn line(&mut self, from: (f64, f64), to: (f64, f64), width: Length) {
        self.polyline(&[from, to], self.lines, width, &[]);
    }

    fn polygon(&mut self, points: &[(f64, f64)], fill: Colour) {
        let start = points.iter().take(1).map(|&p| Segment::Move(point(p)));
        let rest = points.iter().skip(1).map(|&p| Segment::Line(point(p)));
        let outline = start.chain(rest).chain([Segment::Close]).collect();
        self.shapes.push(Shape { outline, fill: Some(fill), stroke: None });
    }

    /// An arrowhead with its tip at `tip`, pointing along the unit vector `way`.
    fn head(&mut self, tip: (f64, f64), way: (f64, f64)) {
        let back = (tip.0 - way.0 * HEAD.0, tip.1 - way.1 * HEAD.0);
        let side = |s: f64| (back.0 - way.1 * HEAD.1 * s, back.1 + way.0 * HEAD.1 * s);
        let fill = self.lines;
        self.polygon(&[tip, side(1.0), side(-1.0)], fill);
    }

    /// A dimension line between two places that differ in one direction only.
    fn dimension(&mut self, from: (f64, f64), to: (f64, f64)) {
        let long = libm::hypot(to.0 - from.0, to.1 - from.1);
        if long <= 0.0 {
            return;
        }
        let way = ((to.0 - from.0) / long, (to.1 - from.1) / long);
        let back = (-way.0, -way.1);
        if long >= SHORT {
            self.line(from, to, Length::pt(0.4));
            self.head(from, back);
            self.head(to, way);
        } else {
            let out = |p: (f64, f64), w: (f64, f64)| (p.0 + w.0 * (HEAD.0 + 1.2), p.1 + w.1 * (HEAD.0 + 1.2));
            self.line(out(from, back), from, Length::pt(0.4));
            self.line(to, out(to, way), Length::pt(0.4));
            self.head(from, way);
            self.head(to, back);
        }
    }

    /// A place for the words of a measure, if it has any.
    fn label(&mut self, key: &str, at: (f64, f64), align: LabelAlign, room: f64) {
        if self.has(key) {
            self.labels.push(Label { key: key.to_owned(), at: point(at), align, room: Length::mm(room) });
        }
    }

    fn has(&self, key: &str) -> bool {
        self.words.words.iter().any(|(of, _)| of == key)
    }
}

/// Hanging cords as thin lines, every second one where they would run together.
fn fringe(hung: &HungPanel, sheet: &PanelScale, builder: &mut PanelBuilder) {
    if hung.bottom_mm <= 0.0 || hung.picture.columns == 0 {
        return;
    }
    let pitch = hung.width_mm / hung.picture.columns as f64;
    // Lines closer than this fill up in print.
    let every = ((0.9 / (pitch * sheet.scale)).ceil() as usize).max(1);
    let height = hung.header_mm + hung.chart_mm;
    let rows: Vec<&[Option<u8>]> = hung.picture.cells.chunks(hung.picture.columns).collect();
    let mut outline = Vec::new();
    for column in (0..hung.picture.columns).step_by(every) {
        // From the column's own last knot.
        let knots =
            rows.iter().rposition(|row| row.get(column).is_some_and(Option::is_some)).map_or(0, |last| last + 1);
        let own = height * knots as f64 / rows.len().max(1) as f64;
        let end = if hung.picture.fringe_follows { own } else { height } + hung.bottom_mm;
        let x = (column as f64 + 0.5) * pitch;
        outline.push(Segment::Move(point(sheet.at((x, own - hung.chart_mm * 0.02)))));
        outline.push(Segment::Line(point(sheet.at((x, end)))));
    }
    let stroke = Stroke { colour: GRAIN, width: Length::pt(0.5), dash: Vec::new(), round: false };
    builder.shapes.push(Shape { outline, fill: None, stroke: Some(stroke) });
}

/// The knots in plain colours, and where the header ends. Gives the shapes that are the knots.
fn panel(hung: &HungPanel, sheet: &PanelScale, builder: &mut PanelBuilder) -> Range<usize> {
    let (left, top) = sheet.at((0.0, 0.0));
    let area = Rect::new(
        Length::mm(left),
        Length::mm(top),
        Length::mm(hung.width_mm * sheet.scale),
        Length::mm((hung.header_mm + hung.chart_mm) * sheet.scale),
    );
    let first = builder.shapes.len();
    builder.shapes.extend(as_knotted::draw_plain(&hung.picture, area));
    let knots = first..builder.shapes.len();
    if hung.header_mm > 0.0 {
        let (from, to) = (sheet.at((0.0, hung.header_mm)), sheet.at((hung.width_mm, hung.header_mm)));
        builder.polyline(&[from, to], builder.lines, Length::pt(0.4), &[1.2, 0.8]);
    }
    knots
}

/// The wood in front, its edges as measured, and the line on which the panel is fixed.
fn wood(hung: &HungPanel, sheet: &PanelScale, builder: &mut PanelBuilder) {
    let place = |edge: Vec<(f64, f64)>| edge.into_iter().map(|p| sheet.at(p)).collect::<Vec<_>>();
    let (upper, lower) = (place(upper_edge(hung)), place(lower_edge(hung)));
    let end = hung.wood_mm * 0.12 * sheet.scale;
    let mut outline = Vec::new();
    smooth(&upper, false, &mut outline);
    cap(&upper, &lower, end, &mut outline);
    let back: Vec<_> = lower.iter().rev().copied().collect();
    smooth(&back, true, &mut outline);
    let (turned_lower, turned_upper) = (back, upper.iter().rev().copied().collect::<Vec<_>>());
    cap(&turned_lower, &turned_upper, -end, &mut outline);
    outline.push(Segment::Close);
    let stroke = Stroke { colour: builder.lines, width: Length::pt(0.5), dash: Vec::new(), round: true };
    builder.shapes.push(Shape { outline, fill: Some(WOOD), stroke: Some(stroke) });

    let mut grain = Vec::new();
    for share in [0.28, 0.55, 0.8] {
        let along: Vec<_> = upper.iter().zip(&lower).map(|(u, l)| (u.0, u.1 + (l.1 - u.1) * share)).collect();
        smooth(&along, false, &mut grain);
    }
    let dash =
        if hung.branch { vec![Length::mm(9.0), Length::mm(4.0), Length::mm(3.0), Length::mm(6.0)] } else { Vec::new() };
    let stroke = Stroke { colour: GRAIN, width: Length::pt(0.35), dash, round: true };
    builder.shapes.push(Shape { outline: grain, fill: None, stroke: Some(stroke) });

    if lower_edge(hung).iter().any(|&(_, y)| y > 0.0) {
        let (from, to) = (sheet.at((0.0, 0.0)), sheet.at((hung.width_mm, 0.0)));
        builder.polyline(&[from, to], builder.lines, Length::pt(0.4), &[2.4, 0.8, 0.5, 0.8]);
    }
}

/// A smooth line through the points, added to an outline that is already begun when `on`.
fn smooth(points: &[(f64, f64)], on: bool, outline: &mut Vec<Segment>) {
    for (i, &to) in points.iter().enumerate() {
        if i == 0 {
            outline.push(if on { Segment::Line(point(to)) } else { Segment::Move(point(to)) });
            continue;
        }
        let from = points[i - 1];
        // Level at the points' own slopes; a third of the way keeps the line from swinging past a point.
        let slope = |at: usize| {
            let (a, b) = (points[at.saturating_sub(1)], points[(at + 1).min(points.len() - 1)]);
            if b.0 == a.0 { 0.0 } else { (b.1 - a.1) / (b.0 - a.0) }
        };
        let third = (to.0 - from.0) / 3.0;
        outline.push(Segment::Curve(
            point((from.0 + third, from.1 + third * slope(i - 1))),
            point((to.0 - third, to.1 - third * slope(i))),
            point(to),
        ));
    }
}

/// The end of the wood: from the end of one edge bulging to the end of the other.
fn cap(from: &[(f64, f64)], to: &[(f64, f64)], bulge: f64, outline: &mut Vec<Segment>) {
    if let (Some(&a), Some(&b)) = (from.last(), to.last()) {
        outline.push(Segment::Curve(point((a.0 + bulge, a.1)), point((b.0 + bulge, b.1)), point(b)));
    }
}

fn dimensions(hung: &HungPanel, sheet: &PanelScale, builder: &mut PanelBuilder) {
    let (from, to) = wood_ends(hung);
    let (header, chart) = (hung.header_mm, hung.header_mm + hung.chart_mm);
    let foot = chart + hung.bottom_mm;
    let thin = MIN_LINE_WIDTH;
    let long = (to - from) * sheet.scale;
    let words = builder.words;
    let above = AboveWood::of(hung, &words, sheet.scale);

    // The wood's length above it.
    let highest = upper_edge(hung).into_iter().fold(f64::MAX, |high, (_, y)| high.min(y));
    let (left, right) = (sheet.at((from, 0.0)).0, sheet.at((to, 0.0)).0);
    if builder.has("wood-length") {
        let y = sheet.at((0.0, highest)).1 - above.dimension;
        for (x, edge) in [(left, upper_edge(hung).first().copied()), (right, upper_edge(hung).last().copied())] {
            builder.line((x, sheet.at((0.0, edge.map_or(0.0, |p| p.1))).1 - 1.0), (x, y - 1.0), thin);
        }
        builder.dimension((left, y), (right, y));
        let across = Across::of("wood-length", &words, long);
        let x = if across.align == LabelAlign::Centre { (left + right) / 2.0 } else { left };
        builder.label("wood-length", (x, y - words.words_off() - across.more), across.align, across.room);
    }

    // The words of the hanging cord, and those of the wood below them.
    let (mut hanger_words_end, mut wood_words_end) = (f64::NEG_INFINITY, f64::NEG_INFINITY);
    if builder.has("hanger") && above.hanger > 0.0 {
        let middle = (left + right) / 2.0;
        let wood = sheet.at((0.0, highest)).1;
        // Beside the wood, clear of the lines of its length, with a thin line from the nail to them.
        let room = words.room_for_hanger();
        builder.line((middle + NAIL + 0.8, wood - above.hanger), (right + 1.4, wood - above.hanger), thin);
        let y = wood - above.hanger_words;
        builder.label("hanger", (right + 2.2, y), LabelAlign::Left, room);
        hanger_words_end = y + words.line * words.lines_of("hanger", room);
    }

    // The wood's thickness at its right end, the words beside it.
    if builder.has("wood") && hung.wood_mm > 0.0 {
        let x = right - 1.5;
        let (top, bottom) = (edge_at(&upper_edge(hung), to - 1.0), edge_at(&lower_edge(hung), to - 1.0));
        let (top, bottom) = (sheet.at((0.0, top)).1, sheet.at((0.0, bottom)).1);
        for (tip, way) in [(top, 1.0), (bottom, -1.0)] {
            builder.line((x, tip - way * (HEAD.0 + 1.0)), (x, tip), Length::pt(0.4));
            builder.head((x, tip), (0.0, way));
        }
        let room = words.right - OFF - 2.0;
        let y = ((top + bottom) / 2.0).max(hanger_words_end);
        builder.label("wood", (right + OFF + 2.0, y), LabelAlign::Left, room);
        wood_words_end = y + words.line * words.lines_of("wood", room);
    }

    // Heights at the right, one below the other on one line.
    let x = right + OFF;
    let edge = sheet.at((hung.width_mm, 0.0)).0;
    let heights = [("header", 0.0, header), ("chart", header, chart), ("bottom", chart, foot)];
    let shown: Vec<_> = heights.into_iter().filter(|&(key, from, to)| to > from && builder.has(key)).collect();
    let mut marks: Vec<f64> = shown.iter().flat_map(|&(_, from, to)| [from, to]).collect();
    marks.dedup();
    for mark in marks {
        let y = sheet.at((0.0, mark)).1;
        // Beside the wood the line starts at the wood's end.
        let behind = mark <= edge_at(&lower_edge(hung), to) && mark >= edge_at(&upper_edge(hung), to);
        builder.line((if behind { right } else { edge } + 1.0, y), (x + 1.0, y), thin);
    }
    // Where parts are so low that their words would meet, each stands below the ones before it.
    let mut free = wood_words_end;
    for (key, from, to) in shown {
        let (top, bottom) = (sheet.at((0.0, from)).1, sheet.at((0.0, to)).1);
        builder.dimension((x, top), (x, bottom));
        let y = ((top + bottom) / 2.0).max(free);
        let room = words.right - OFF - 2.0;
        builder.label(key, (x + 2.0, y), LabelAlign::Left, room);
        free = y + words.line * words.lines_of(key, room);
    }

    // The width below.
    if builder.has("width") {
        let (left, right) = (sheet.at((0.0, 0.0)).0, edge);
        let (under, y) = (sheet.at((0.0, foot)).1 + 1.0, sheet.at((0.0, foot)).1 + OFF);
        for x in [left, right] {
            builder.line((x, under), (x, y + 1.0), thin);
        }
        builder.dimension((left, y), (right, y));
        let across = Across::of("width", &words, hung.width_mm * sheet.scale);
        let x = if across.align == LabelAlign::Centre { (left + right) / 2.0 } else { left };
        builder.label("width", (x, y + words.words_off()), across.align, across.room);
    }
}

/// The height of an edge at a distance from the panel's left edge.
fn edge_at(edge: &[(f64, f64)], x: f64) -> f64 {
    let between = edge.windows(2).find(|pair| pair[0].0 <= x && x <= pair[1].0 && pair[1].0 > pair[0].0);
    match between {
        Some(pair) => pair[0].1 + (pair[1].1 - pair[0].1) * (x - pair[0].0) / (pair[1].0 - pair[0].0),
        None => edge.last().map_or(0.0, |point| point.1),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::manuscript::AsKnottedGrid;

    /// A panel of invented measures; the branch's lower edge dips and rises.
    fn hung() -> HungPanel {
        let labels = [
            ("width", "336 mm (13 1/4 in)"),
            ("header", "header 34 mm (1 3/8 in)"),
            ("chart", "picture 286 mm (11 1/4 in)"),
            ("bottom", "fringe 110 mm (4 3/8 in)"),
            ("wood", "wood 21 mm (7/8 in) thick"),
            ("wood-length", "wood 430 mm (17 in) long"),
            ("hanger", "hanging cord 73 cm (29 in) long"),
        ];
        HungPanel {
            width_mm: 336.0,
            header_mm: 34.0,
            chart_mm: 285.6,
            bottom_mm: 110.0,
            wood_mm: 21.0,
            wood_length_mm: 430.0,
            lower_edge: [
                (0.0, 9.0),
                (48.0, 5.0),
                (96.0, 2.0),
                (150.0, 0.0),
                (204.0, 4.0),
                (252.0, 11.0),
                (300.0, 14.0),
                (336.0, 10.0),
            ]
            .to_vec(),
            branch: true,
            hanger_in_mm: 20.0,
            hanger_rise_mm: 97.5,
            labels: labels.map(|(key, words)| (key.to_owned(), words.to_owned())).to_vec(),
            picture: AsKnottedGrid {
                columns: 60,
                cells: (0..60 * 94)
                    .map(|at: usize| Some(if at < 600 { 0 } else { ((at % 60 / 15 + at / 1200) % 3) as u8 }))
                    .collect(),
                colours: vec![
                    Colour::new(0xef, 0xe3, 0xcb),
                    Colour::new(0x22, 0x70, 0x7b),
                    Colour::new(0xe9, 0x85, 0x5a),
                ],
                cord: Colour::new(0xe6, 0xdc, 0xc8),
                column_mm: 5.6,
                row_mm: 3.4,
                left_to_right: Vec::new(),
                fringe_mm: 110.0,
                fringe_follows: false,
                wood_mm: 21.0,
                branch: true,
            },
            alt: String::new(),
            caption: None,
        }
    }

    fn room() -> Size {
        Size::new(Length::mm(150.0), Length::mm(170.0))
    }

    const LINES: Colour = Colour::new(60, 60, 60);
    const TYPE: LabelType = LabelType { size: Length::pt(7.5), leading: Length::pt(9.5) };

    #[test]
    fn it_stays_in_its_room_and_every_measure_has_a_place_for_its_words() {
        for hung in
            [hung(), HungPanel { branch: false, lower_edge: Vec::new(), bottom_mm: 0.0, header_mm: 3.4, ..hung() }]
        {
            let drawn = draw(&hung, room(), LINES, TYPE);
            assert!(drawn.size.width.fits(room().width) && drawn.size.height.fits(room().height));
            let area = Rect { origin: Point::default(), size: drawn.size };
            for shape in drawn.shapes.iter() {
                for segment in &shape.outline {
                    if let Segment::Move(p) | Segment::Line(p) | Segment::Curve(_, _, p) = *segment {
                        assert!(area.holds(Rect { origin: p, size: Size::default() }), "{p:?}");
                    }
                }
                assert!(shape.stroke.as_ref().is_none_or(|stroke| MIN_LINE_WIDTH.fits(stroke.width)));
            }
            for (key, _) in &hung.labels {
                let places = drawn.labels.iter().filter(|label| label.key == *key).count();
                assert_eq!(places, usize::from(key != "bottom" || hung.bottom_mm > 0.0), "{key}");
            }
        }
    }

    #[test]
    fn dimensions_are_to_one_scale() {
        let hung = hung();
        let sheet = PanelScale::placed(&hung, room(), &WordRoom::of(&hung, TYPE, room()));
        let drawn = draw(&hung, room(), LINES, TYPE);
        // Full dimension lines are single strokes 0.4 pt thick without dashes.
        let long: Vec<(f64, f64)> = drawn
            .shapes
            .iter()
            .filter(|shape| {
                shape.stroke.as_ref().is_some_and(|s| s.width.approx_eq(Length::pt(0.4)) && s.dash.is_empty())
            })
            .filter_map(|shape| match shape.outline[..] {
                [Segment::Move(a), Segment::Line(b)] => Some(((b.x - a.x).to_mm(), (b.y - a.y).to_mm())),
                _ => None,
            })
            .collect();
        for (across, down) in [(430.0, 0.0), (336.0, 0.0), (0.0, 34.0), (0.0, 285.6), (0.0, 110.0)] {
            let wanted = (across * sheet.scale, down * sheet.scale);
            assert!(
                long.iter().any(|got| (got.0 - wanted.0).abs() + (got.1 - wanted.1).abs() < 1e-6),
                "{across} {down}"
            );
        }
    }

    #[test]
    fn the_wood_is_drawn_along_its_measured_edge() {
        let hung = hung();
        for (at, depth) in &hung.lower_edge {
            assert!((edge_at(&lower_edge(&hung), *at) - depth).abs() < 1e-9);
        }
        // Level beyond the first and the last place that was measured inside the wood.
        assert!((edge_at(&lower_edge(&hung), -40.0) - 9.0).abs() < 1e-9);
        assert!((edge_at(&upper_edge(&hung), 150.0) + 21.0).abs() < 1e-9);
    }

    #[test]
    fn strange_measures_are_drawn_all_the_same() {
        let zero = HungPanel {
            width_mm: 0.0,
            header_mm: 0.0,
            chart_mm: 0.0,
            bottom_mm: 0.0,
            wood_mm: 0.0,
            wood_length_mm: 0.0,
            hanger_in_mm: 0.0,
            hanger_rise_mm: 0.0,
            lower_edge: vec![(5.0, f64::NAN)],
            labels: Vec::new(),
            ..hung()
        };
        let drawn = draw(&zero, room(), LINES, TYPE);
        assert!(drawn.labels.is_empty() && drawn.size.height.fits(room().height));
    }
}

//! Shapes in a print shop's inks: which of them are printed over what lies below them, and which take its place.
//!
//! Rules, marks and outlines in black are printed over it, as far as the paper carries that, and the colour of a cord reaches
//! below its own outline: a black plate that is a little off then shows no white rim.

use super::below::{self, Black, Extent, Ground};
use super::draw::PendingShapes;
use super::ink::{InkPaint, PrinterProfile};
use super::painter::PagePainter;
use super::shapes::{Body, ShapesOf};
use crate::geom::{Length, Point};
use crate::page::{Segment, Stroke};

/// How far the colour of a cord reaches below its outline: a little more than plates are usually off (common practice, no
/// source).
const TRAP: Length = Length::mm(0.12);
/// A line of a figure that is no wider is drawn on something; a wider one is a thing itself, and hides what is behind it.
const THIN: Length = Length::mm(0.6);

/// A line and its ink.
type InkedLine<'s> = (&'s Stroke, InkPaint);

/// Outlines that go on paper alike.
type Group = (Black, Vec<Segment>);

impl<'a> PagePainter<'a, '_> {
    /// Draws shapes of one look; `next` is what is drawn after them.
    pub(super) fn shape_in_inks(
        &mut self,
        profile: &PrinterProfile,
        held: &PendingShapes<'a>,
        next: Option<&PendingShapes<'a>>,
    ) {
        let inks = self.resources.inks;
        let area = held.fill.map(|colour| inks.paint(colour, held.of.area()));
        let line = held.stroke.map(|stroke| (stroke, inks.paint(stroke.colour, held.of.line())));
        match held.of {
            ShapesOf::Ornament => self.ornament(profile, held, (area, line)),
            ShapesOf::Figure | ShapesOf::Picture => self.part_of_figure(profile, held, next, (area, line)),
        }
    }

    /// Rules, arrows, marks, boxes, patches of colour.
    fn ornament(
        &mut self,
        profile: &PrinterProfile,
        held: &PendingShapes<'a>,
        (area, line): (Option<InkPaint>, Option<InkedLine<'a>>),
    ) {
        let lightness = held.fill.map_or(0.0, |colour| colour.lab().l);
        let groups = match (area, line) {
            (Some(paint), None) if paint.is_black_ink() => self.marks(profile, held, paint.black(), lightness),
            (None, Some((stroke, paint))) if paint.is_black_ink() => self.lines(profile, held, stroke, paint.black()),
            // An area with a line round it.
            _ => Vec::new(),
        };
        let meant = area.or(line.map(|(_, paint)| paint)).unwrap_or(InkPaint::Inks([0; 4]));
        let tint = |on: &Black| match on {
            Black::Over(black) => InkPaint::Inks([0, 0, 0, *black]),
            Black::Instead if area.is_some() => meant.unless_faint(),
            Black::Instead => meant,
        };
        match groups.as_slice() {
            [] => {
                self.print_over(false);
                self.path(area, line, &held.outlines);
            }
            // Nearly always all alike.
            [(on, _)] if tint(on) == meant => {
                self.print_over(*on != Black::Instead);
                self.path(area, line, &held.outlines);
            }
            groups => {
                for (on, outline) in groups {
                    self.print_over(*on != Black::Instead);
                    let (fill, stroke) = (area.map(|_| tint(on)), line.map(|(stroke, _)| (stroke, tint(on))));
                    self.path(fill, stroke, &[(outline.as_slice(), Point::default())]);
                }
            }
        }
        if let Some(paint) = area {
            for part in held.outlines.iter().flat_map(|(outline, _)| parts(outline)) {
                if let Some(extent) = below::extent_of(part, Point::default(), Length::ZERO) {
                    self.below.add_area(extent, paint, lightness);
                }
            }
        } else if let Some((stroke, paint)) = line.filter(|(_, paint)| paint.colours() > 0)
            && let Some(extent) = extent_of_all(held, stroke.width)
        {
            self.below.add_area(extent, paint, stroke.colour.lab().l);
        }
    }

    /// Black marks, by how each goes on what lies below it.
    fn marks(&self, profile: &PrinterProfile, held: &PendingShapes<'a>, black: u16, lightness: f64) -> Vec<Group> {
        let mut groups = Vec::new();
        for part in held.outlines.iter().flat_map(|(outline, _)| parts(outline)) {
            if let Some(extent) = below::extent_of(part, Point::default(), Length::ZERO) {
                let on = self.below.under(extent).takes_mark(black, lightness, profile);
                group(&mut groups, on).extend_from_slice(part);
            }
        }
        groups
    }

    /// Black lines, by how each stretch of them goes on what lies below it.
    fn lines(&self, profile: &PrinterProfile, held: &PendingShapes<'a>, stroke: &Stroke, black: u16) -> Vec<Group> {
        let mut groups: Vec<Group> = Vec::new();
        let on = |extent: Extent| self.below.under(extent).takes_line(black, profile);
        for part in held.outlines.iter().flat_map(|(outline, _)| parts(outline)) {
            let [Segment::Move(from), Segment::Line(to)] = *part else {
                if let Some(extent) = below::extent_of(part, Point::default(), stroke.width) {
                    group(&mut groups, on(extent)).extend_from_slice(part);
                }
                continue;
            };
            let stretches = self.below.stretches(from, to, stroke.width);
            let on = |(from, to): (Point, Point)| on(below::line_extent(from, to, stroke.width));
            for (on, (from, to)) in closed_up(stretches.into_iter().map(|stretch| (on(stretch), stretch)).collect()) {
                group(&mut groups, on).extend([Segment::Move(from), Segment::Line(to)]);
            }
        }
        groups
    }

    /// A part of a figure or a panel.
    fn part_of_figure(
        &mut self,
        profile: &PrinterProfile,
        held: &PendingShapes<'a>,
        next: Option<&PendingShapes<'a>>,
        (area, line): (Option<InkPaint>, Option<InkedLine<'a>>),
    ) {
        let Some(extent) = extent_of_all(held, held.stroke.map_or(Length::ZERO, |stroke| stroke.width)) else { return };
        let below = self.below.under(extent).colours;
        let all_black = [area, line.map(|(_, paint)| paint)].into_iter().flatten().all(InkPaint::is_solid_black);
        // As much of a line's black as the paper carries over colours.
        let over = |paint: InkPaint, colours: u16| {
            let ground = Ground { colours: below.max(colours), ..Ground::PAPER };
            match ground.takes_line(paint.black(), profile) {
                Black::Over(black) if paint.is_black_ink() => Some(InkPaint::Inks([0, 0, 0, black])),
                Black::Over(_) | Black::Instead => None,
            }
        };
        let own = area.map_or(0, InkPaint::colours);
        let body = held.stroke.and_then(|stroke| body_of(held, stroke, next));
        match (area, line) {
            _ if all_black && profile.carries(below, InkPaint::Inks([0, 0, 0, 1000])) => {
                self.print_over(true);
                self.path(area, line, &held.outlines);
            }
            // The colour of an area reaches to the middle of the line round it.
            (Some(_), Some((stroke, paint))) if own > 0 && is_thin(stroke) && over(paint, own).is_some() => {
                self.print_over(false);
                self.path(area, None, &held.outlines);
                self.print_over(true);
                self.path(None, over(paint, own).map(|paint| (stroke, paint)), &held.outlines);
            }
            (None, Some((stroke, paint))) if body.is_some() => {
                let (width, colour) = body.unwrap_or((stroke.width, stroke.colour));
                let inside = self.resources.inks.paint(colour, held.of.line());
                let trapped = over(paint, inside.colours()).filter(|_| inside.colours() > 0);
                if trapped.is_some() {
                    let spread = Stroke { width: stroke.width.min(width + TRAP * 2.0), colour, ..stroke.clone() };
                    self.print_over(false);
                    self.path(None, Some((&spread, inside)), &held.outlines);
                }
                self.print_over(trapped.is_some());
                self.path(None, Some((stroke, trapped.unwrap_or(paint))), &held.outlines);
            }
            (None, Some((stroke, paint))) => {
                let drawn_on = is_thin(stroke) && stroke.colour.lab().l < self.body.lightness && paint.is_black_ink();
                match self.below.under(extent).takes_line(paint.black(), profile) {
                    Black::Over(black) if drawn_on => {
                        self.print_over(true);
                        self.path(None, Some((stroke, InkPaint::Inks([0, 0, 0, black]))), &held.outlines);
                    }
                    Black::Over(_) | Black::Instead => {
                        self.print_over(false);
                        self.path(None, line, &held.outlines);
                    }
                }
            }
            (_, _) => {
                self.print_over(false);
                self.path(area, line, &held.outlines);
            }
        }
        let drawn = held.fill.or(held.stroke.filter(|stroke| !is_thin(stroke)).map(|stroke| stroke.colour));
        // The parts of a picture are one body: what is drawn upon it lies on its lightest part too.
        if let Some(own) = drawn.map(|colour| colour.lab().l) {
            let known = Some(self.body).filter(|body| body.of == ShapesOf::Picture && held.of == body.of);
            self.body = Body { lightness: known.map_or(own, |known| known.lightness.max(own)), of: held.of };
        }
        let colours = [area, line.map(|(_, paint)| paint)].into_iter().flatten().map(InkPaint::colours).max();
        let origin = held.outlines.first().map_or(Point::default(), |(_, origin)| *origin);
        self.below.add_part(origin, extent, colours.unwrap_or_default(), profile);
    }
}

/// Whether a line of a figure is drawn on something, and no thing itself.
fn is_thin(stroke: &Stroke) -> bool {
    stroke.width.fits(THIN)
}

/// Where a line is the outline of a cord whose body is drawn upon it, as a lighter line of the same way: width and colour of
/// that.
fn body_of(
    held: &PendingShapes<'_>,
    edge: &Stroke,
    next: Option<&PendingShapes<'_>>,
) -> Option<(Length, crate::colour::Colour)> {
    let next = next.filter(|next| next.of == held.of && next.fill.is_none())?;
    let body = next.stroke.filter(|body| body.width < edge.width && body.colour.lab().l > edge.colour.lab().l)?;
    let ([(outer, from)], [(inner, also_from)]) = (held.outlines.as_slice(), next.outlines.as_slice()) else {
        return None;
    };
    // The body may go on a little at both ends.
    let way = outer.get(1..).filter(|way| !way.is_empty())?;
    let same = (1..3).any(|at| inner.get(at..at + way.len()) == Some(way));
    (same && from == also_from).then_some((body.width, body.colour))
}

/// What all outlines cover.
fn extent_of_all(held: &PendingShapes<'_>, width: Length) -> Option<Extent> {
    let each = held.outlines.iter().filter_map(|(outline, origin)| below::extent_of(outline, *origin, width));
    each.reduce(super::place::union)
}

/// Stretches of one line, those that go on alike made one. Where one that is printed over its ground meets one that is not, it
/// reaches into that: the black that closes up to the line there does not reach its very end.
fn closed_up(stretches: Vec<(Black, (Point, Point))>) -> Vec<(Black, (Point, Point))> {
    let mut out: Vec<(Black, (Point, Point))> = Vec::with_capacity(stretches.len());
    for (on, (from, to)) in stretches {
        match out.last_mut() {
            Some((before, (_, end))) if *before == on => *end = to,
            Some((before, (start, end))) => {
                let (shorter, long) = if on == Black::Instead { ((from, to), 1.0) } else { ((*start, *end), -1.0) };
                let length = |a: Point, b: Point| (b.x - a.x).abs() + (b.y - a.y).abs();
                let share = TRAP / length(shorter.0, shorter.1).max(TRAP * 2.0) * long;
                let is_even = *before != Black::Instead && on != Black::Instead;
                let by = if is_even { 0.0 } else { share };
                let meets = end.moved((shorter.1.x - shorter.0.x) * by, (shorter.1.y - shorter.0.y) * by);
                *end = meets;
                out.push((on, (meets, to)));
            }
            None => out.push((on, (from, to))),
        }
    }
    out
}

/// The parts of an outline, each from where it starts.
fn parts(outline: &[Segment]) -> impl Iterator<Item = &[Segment]> {
    outline.chunk_by(|_, next| !matches!(next, Segment::Move(_)))
}

/// The outlines of those that go on paper so.
fn group(groups: &mut Vec<Group>, on: Black) -> &mut Vec<Segment> {
    let at = match groups.iter().position(|(of, _)| *of == on) {
        Some(at) => at,
        None => {
            groups.push((on, Vec::new()));
            groups.len() - 1
        }
    };
    &mut groups[at].1
}

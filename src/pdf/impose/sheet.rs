//! Sheets as they are printed: where pages lie on them, creep, crop and fold marks.

use super::order::Face;
use super::read::Sheetable;
use crate::geom::Length;
use crate::pdf::content::number;
use lopdf::{Dictionary, Object};

/// Marks keep this distance from what is cut: a knife that is a little off leaves no mark on the page.
const MARK_GAP: Length = Length::mm(3.0);
/// How long a crop mark is.
const MARK_LENGTH: Length = Length::mm(5.0);
/// Where the sheet ends with the pages, the mark of the fold stands at its edge, long enough to show beside the strip that
/// printers cannot reach (common practice, no source: 4 to 6 mm), and short enough to stay in the margin.
const FOLD_MARK_INSIDE: Length = Length::mm(9.0);
/// Thickness of a mark: a quarter of a point is the least that prints everywhere.
const MARK_WIDTH: f64 = 0.25;
/// Decimals of coordinates on a sheet.
const DECIMALS: u32 = 4;

/// The room that marks need outside the bleed.
pub(super) const SLUG: Length = Length::pt(MARK_GAP.to_pt() + MARK_LENGTH.to_pt());

/// A sheet's measures, points from its bottom left.
#[derive(Clone, Copy, Debug)]
pub(super) struct Sheet {
    /// Width and height.
    pub size: (f64, f64),
    /// Width and height of one page.
    pub page: (f64, f64),
    /// Whether it is folded in the middle.
    pub folded: bool,
}

impl Sheet {
    /// Left and bottom of the pair of pages.
    fn corner(self) -> (f64, f64) {
        ((self.size.0 - 2.0 * self.page.0) / 2.0, (self.size.1 - self.page.1) / 2.0)
    }
    /// Whether there is room for marks at the left and right, and above and below.
    pub fn has_room(self) -> (bool, bool) {
        let (x, y) = self.corner();
        let needed = SLUG.to_pt() - 0.01;
        (x >= needed, y >= needed)
    }
}

/// A page's form on a sheet, cut off at the fold.
struct Placing<'a> {
    name: &'a str,
    page: &'a Sheetable,
    /// Left, bottom, right, top of what may show.
    clip: [f64; 4],
    /// Left and bottom of the page itself.
    at: (f64, f64),
    /// A page that lies on its side is turned so that its head is at the left.
    turned: bool,
}

impl Placing<'_> {
    fn draw(&self, out: &mut Vec<u8>) {
        let [left, bottom, right, top] = self.clip;
        out.extend_from_slice(b"q\n");
        values(out, &[left, bottom, right - left, top - bottom]);
        out.extend_from_slice(b"re W n\n");
        let (x, y) = self.at;
        match self.turned {
            true => values(out, &[0.0, 1.0, -1.0, 0.0, x + self.page.height, y]),
            false => values(out, &[1.0, 0.0, 0.0, 1.0, x, y]),
        }
        out.extend_from_slice(format!("cm\n/{} Do\nQ\n", self.name).as_bytes());
    }
}

fn values(out: &mut Vec<u8>, values: &[f64]) {
    for value in values {
        number(out, *value, DECIMALS);
        out.push(b' ');
    }
}

/// The resources and content of one face. `creep` is how far each sheet inwards is shifted more than the one around it.
pub(super) fn face(sheet: Sheet, face: Face, pages: &[Sheetable], creep: Length) -> (Dictionary, Vec<u8>) {
    let mut out = Vec::new();
    let mut forms = Dictionary::new();
    let (left, bottom) = sheet.corner();
    let (width, height) = sheet.page;
    let fold = left + width;
    let shift = creep.to_pt() * face.sheet as f64;
    for (name, page, on_left) in [("L", face.left, true), ("R", face.right, false)] {
        let Some(page) = page.and_then(|index| pages.get(index)) else { continue };
        let bleed = page.bleed.min(MARK_GAP.to_pt());
        let (from, to) = if on_left { (left - bleed, fold) } else { (fold, fold + width + bleed) };
        let clip = [from, bottom - bleed, to, bottom + height + bleed];
        // Towards the fold: inner sheets stick out, and what sticks out is cut off.
        let x = if on_left { left + shift } else { fold - shift };
        Placing { name, page, clip, at: (x, bottom), turned: lies(page, sheet.page) }.draw(&mut out);
        forms.set(name, Object::Reference(page.form));
    }
    marks(&mut out, sheet);
    (forms, out)
}

/// Whether a page has to be turned to fill the place of an upright one.
pub(super) fn lies(page: &Sheetable, place: (f64, f64)) -> bool {
    (page.width - place.0).abs() > (page.height - place.0).abs()
}

/// Crop marks where there is room for them, and the mark of the fold.
fn marks(out: &mut Vec<u8>, sheet: Sheet) {
    let (left, bottom) = sheet.corner();
    let (right, top) = (left + 2.0 * sheet.page.0, bottom + sheet.page.1);
    let (gap, length) = (MARK_GAP.to_pt(), MARK_LENGTH.to_pt());
    let (beside, above) = sheet.has_room();
    out.extend_from_slice(b"q\n0 G\n");
    number(out, MARK_WIDTH, 3);
    out.extend_from_slice(b" w\n");
    if beside {
        for y in [bottom, top] {
            line(out, (left - gap, y), (left - gap - length, y));
            line(out, (right + gap, y), (right + gap + length, y));
        }
    }
    if above {
        for x in [left, right] {
            line(out, (x, bottom - gap), (x, bottom - gap - length));
            line(out, (x, top + gap), (x, top + gap + length));
        }
    }
    if sheet.folded {
        let fold = (left + right) / 2.0;
        out.extend_from_slice(b"[4 2] 0 d\n");
        let (first, second) = match above {
            true => ((bottom - gap - length, bottom - gap), (top + gap + length, top + gap)),
            false => ((0.0, FOLD_MARK_INSIDE.to_pt()), (sheet.size.1, sheet.size.1 - FOLD_MARK_INSIDE.to_pt())),
        };
        for (from, to) in [first, second] {
            line(out, (fold, from), (fold, to));
        }
    }
    out.extend_from_slice(b"Q\n");
}

fn line(out: &mut Vec<u8>, from: (f64, f64), to: (f64, f64)) {
    values(out, &[from.0, from.1]);
    out.extend_from_slice(b"m ");
    values(out, &[to.0, to.1]);
    out.extend_from_slice(b"l S\n");
}

/// One page on its own, with its crop marks, as a print shop wants it. The bottom left of its trimmed size lies at
/// `(margin, margin)`. `None`: a blank one.
pub(super) fn single(page: Option<&Sheetable>, size: (f64, f64), margin: f64) -> (Dictionary, Vec<u8>) {
    let mut out = Vec::new();
    let mut forms = Dictionary::new();
    if let Some(page) = page {
        let bleed = page.bleed.min(MARK_GAP.to_pt());
        let clip = [margin - bleed, margin - bleed, margin + size.0 + bleed, margin + size.1 + bleed];
        Placing { name: "P", page, clip, at: (margin, margin), turned: lies(page, size) }.draw(&mut out);
        forms.set("P", Object::Reference(page.form));
    }
    crop_marks(&mut out, size, margin);
    (forms, out)
}

/// The eight crop marks round a trimmed page whose bottom left lies at `(margin, margin)`.
fn crop_marks(out: &mut Vec<u8>, size: (f64, f64), margin: f64) {
    let (gap, length) = (MARK_GAP.to_pt(), MARK_LENGTH.to_pt());
    let (left, bottom, right, top) = (margin, margin, margin + size.0, margin + size.1);
    out.extend_from_slice(b"q\n0 G\n");
    number(out, MARK_WIDTH, 3);
    out.extend_from_slice(b" w\n");
    for y in [bottom, top] {
        line(out, (left - gap, y), (left - gap - length, y));
        line(out, (right + gap, y), (right + gap + length, y));
    }
    for x in [left, right] {
        line(out, (x, bottom - gap), (x, bottom - gap - length));
        line(out, (x, top + gap), (x, top + gap + length));
    }
    out.extend_from_slice(b"Q\n");
}

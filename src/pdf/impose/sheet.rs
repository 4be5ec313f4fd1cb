//! Sheets as they are printed: where pages lie on them, creep, crop and fold marks.

use super::order::SheetFace;
use super::read::Sheetable;
use crate::geom::Length;
use crate::pdf::marks::{self, BLEED, GAP, LENGTH, MARGIN, values};
use lopdf::{Dictionary, Object};

/// Where the sheet ends with the pages, the mark of the fold stands at its edge, long enough to show beside the strip that
/// printers cannot reach (common practice, no source: 4 to 6 mm), and short enough to stay in the margin.
const FOLD_MARK_INSIDE: Length = Length::mm(9.0);
/// The room that marks need beside the pages.
const ROOM: Length = Length::pt(GAP.to_pt() + LENGTH.to_pt());

/// A sheet's measures, points from its bottom left.
#[derive(Clone, Copy, Debug)]
pub(super) struct ImposedSheet {
    /// Width and height.
    pub(crate) size: (f64, f64),
    /// Width and height of one page.
    pub(crate) page: (f64, f64),
    /// Whether it is folded in the middle.
    pub(crate) folded: bool,
}

impl ImposedSheet {
    /// Left and bottom of the pair of pages.
    fn corner(self) -> (f64, f64) {
        ((self.size.0 - 2.0 * self.page.0) / 2.0, (self.size.1 - self.page.1) / 2.0)
    }
    /// Whether there is room for marks at the left and right, and above and below.
    pub(crate) fn has_room(self) -> (bool, bool) {
        let (x, y) = self.corner();
        let needed = ROOM.to_pt() - 0.01;
        (x >= needed, y >= needed)
    }
}

/// A page's form on a sheet, cut off at the fold.
struct PagePlacement<'a> {
    name: &'a str,
    page: &'a Sheetable,
    /// Left, bottom, right, top of what may show.
    clip: [f64; 4],
    /// Left and bottom of the page itself.
    at: (f64, f64),
    /// A page that lies on its side is turned so that its head is at the left.
    turned: bool,
}

impl PagePlacement<'_> {
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

/// The resources and content of one face. `creep` is how far each sheet inwards is shifted more than the one around it.
pub(super) fn face(sheet: ImposedSheet, face: SheetFace, pages: &[Sheetable], creep: Length) -> (Dictionary, Vec<u8>) {
    let mut out = Vec::new();
    let mut forms = Dictionary::new();
    let (left, bottom) = sheet.corner();
    let (width, height) = sheet.page;
    let fold = left + width;
    let shift = creep.to_pt() * face.sheet as f64;
    for (name, page, on_left) in [("L", face.left, true), ("R", face.right, false)] {
        let Some(page) = page.and_then(|index| pages.get(index)) else { continue };
        let bleed = page.bleed.min(BLEED.to_pt());
        let (from, to) = if on_left { (left - bleed, fold) } else { (fold, fold + width + bleed) };
        let clip = [from, bottom - bleed, to, bottom + height + bleed];
        // Towards the fold: inner sheets stick out, and what sticks out is cut off.
        let x = if on_left { left + shift } else { fold - shift };
        PagePlacement { name, page, clip, at: (x, bottom), turned: lies(page, sheet.page) }.draw(&mut out);
        forms.set(name, Object::Reference(page.form));
    }
    add_marks(&mut out, sheet);
    (forms, out)
}

/// Whether a page has to be turned to fill the place of an upright one.
pub(super) fn lies(page: &Sheetable, place: (f64, f64)) -> bool {
    (page.width - place.0).abs() > (page.height - place.0).abs()
}

/// Crop marks where there is room for them, and the mark of the fold.
fn add_marks(out: &mut Vec<u8>, sheet: ImposedSheet) {
    let (left, bottom) = sheet.corner();
    let (right, top) = (left + 2.0 * sheet.page.0, bottom + sheet.page.1);
    let (beside, above) = sheet.has_room();
    marks::begin(out, false);
    if beside {
        marks::level(out, bottom, left, right);
        marks::level(out, top, left, right);
    }
    if above {
        marks::upright(out, left, bottom, top);
        marks::upright(out, right, bottom, top);
    }
    if sheet.folded {
        let fold = (left + right) / 2.0;
        marks::dashed(out);
        if above {
            marks::upright(out, fold, bottom, top);
        } else {
            let inside = FOLD_MARK_INSIDE.to_pt();
            marks::line(out, (fold, 0.0), (fold, inside));
            marks::line(out, (fold, sheet.size.1), (fold, sheet.size.1 - inside));
        }
    }
    marks::end(out);
}

/// One page on its own, with its marks, as a print shop wants it; `index` counts from 0. The bottom left of its trimmed
/// size stands [`MARGIN`] from that of the sheet. `None`: a blank one.
pub(super) fn single(index: usize, page: Option<&Sheetable>, size: (f64, f64)) -> (Dictionary, Vec<u8>) {
    let margin = MARGIN.to_pt();
    let mut out = Vec::new();
    let mut forms = Dictionary::new();
    if let Some(page) = page {
        let bleed = page.bleed.min(BLEED.to_pt());
        let clip = [margin - bleed, margin - bleed, margin + size.0 + bleed, margin + size.1 + bleed];
        PagePlacement { name: "P", page, clip, at: (margin, margin), turned: lies(page, size) }.draw(&mut out);
        forms.set("P", Object::Reference(page.form));
    }
    marks::of_page(&mut out, index, size, false);
    (forms, out)
}

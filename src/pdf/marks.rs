//! Marks beside the pages: where to cut, and where to fold.

use super::number::number;
use crate::geom::Length;

/// Pages are drawn this far beyond their trim, so that no white edge shows where the knife is a little off: what print
/// shops usually ask for.
pub(crate) const BLEED: Length = Length::mm(3.0);
/// Marks keep this distance from the cut, half a millimetre more than the bleed: none of them shows in it.
pub(super) const GAP: Length = Length::mm(3.5);
/// How long a mark is.
pub(super) const LENGTH: Length = Length::mm(5.0);
/// From the cut to the edge of a sheet that is made round a page, so that its marks have room.
pub(super) const MARGIN: Length = Length::mm(11.0);
/// Thickness of a mark: a quarter of a point is the least that prints everywhere.
const WIDTH: f64 = 0.25;
/// Decimals of coordinates.
pub(super) const DECIMALS: u32 = 4;

/// Operators that begin drawing marks: black, thin. `inks`: in black ink instead of the black of a screen.
pub(super) fn begin(out: &mut Vec<u8>, inks: bool) {
    out.extend_from_slice(if inks { b"q\n0 0 0 1 K\n" } else { b"q\n0 G\n" });
    number(out, WIDTH, 3);
    out.extend_from_slice(b" w\n");
}

/// Lines that follow are dashed: marks of a fold.
pub(super) fn dashed(out: &mut Vec<u8>) {
    out.extend_from_slice(b"[4 2] 0 d\n");
}

/// Operators that end drawing marks.
pub(super) fn end(out: &mut Vec<u8>) {
    out.extend_from_slice(b"Q\n");
}

/// Numbers with a space behind each.
pub(super) fn values(out: &mut Vec<u8>, values: &[f64]) {
    for value in values {
        number(out, *value, DECIMALS);
        out.push(b' ');
    }
}

/// A straight line.
pub(super) fn line(out: &mut Vec<u8>, from: (f64, f64), to: (f64, f64)) {
    values(out, &[from.0, from.1]);
    out.extend_from_slice(b"m ");
    values(out, &[to.0, to.1]);
    out.extend_from_slice(b"l S\n");
}

/// Two marks in line with a side at `x`, below `bottom` and above `top`.
pub(super) fn upright(out: &mut Vec<u8>, x: f64, bottom: f64, top: f64) {
    let (gap, length) = (GAP.to_pt(), LENGTH.to_pt());
    line(out, (x, bottom - gap), (x, bottom - gap - length));
    line(out, (x, top + gap), (x, top + gap + length));
}

/// Two marks in line with a side at `y`, left of `left` and right of `right`.
pub(super) fn level(out: &mut Vec<u8>, y: f64, left: f64, right: f64) {
    let (gap, length) = (GAP.to_pt(), LENGTH.to_pt());
    line(out, (left - gap, y), (left - gap - length, y));
    line(out, (right + gap, y), (right + gap + length, y));
}

/// All marks of one page of a booklet, whose bottom left stands [`MARGIN`] from that of its sheet: of the cut at three
/// sides, and at the spine, dashed, of the fold. `page` counts from 0, and the first is a right one.
pub(super) fn of_page(out: &mut Vec<u8>, page: usize, size: (f64, f64), inks: bool) {
    let margin = MARGIN.to_pt();
    let (left, bottom, right, top) = (margin, margin, margin + size.0, margin + size.1);
    let (spine, edge) = if page.is_multiple_of(2) { (left, right) } else { (right, left) };
    begin(out, inks);
    level(out, bottom, left, right);
    level(out, top, left, right);
    upright(out, edge, bottom, top);
    dashed(out);
    upright(out, spine, bottom, top);
    end(out);
}

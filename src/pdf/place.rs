//! Where things lie on a page in PDF's own coordinates.

use crate::geom::{Length, Point, Rect};
use crate::page::Page;

/// Where a page's own coordinates lie in PDF's: from the bottom left of the media, y upwards.
#[derive(Clone, Copy, Debug)]
pub(super) struct PagePlace {
    /// Left edge of the trim.
    pub(crate) left: f64,
    /// Top edge of the trim.
    pub(crate) top: f64,
}

impl PagePlace {
    /// For one page.
    pub(crate) fn on(page: &Page) -> PagePlace {
        PagePlace { left: page.bleed.to_pt(), top: page.bleed.to_pt() + page.trim.height.to_pt() }
    }
    /// A point.
    pub(crate) fn point(self, p: Point) -> (f64, f64) {
        (self.left + p.x.to_pt(), self.top - p.y.to_pt())
    }
    /// A height.
    pub(crate) fn height(self, y: Length) -> f64 {
        self.top - y.to_pt()
    }
    /// A box: left, bottom, right, top.
    pub(crate) fn rect(self, r: Rect) -> [f64; 4] {
        let (left, top) = self.point(r.origin);
        [left, top - r.size.height.to_pt(), left + r.size.width.to_pt(), top]
    }
}

/// The box round two boxes: left, bottom, right, top.
pub(super) fn union(a: [f64; 4], b: [f64; 4]) -> [f64; 4] {
    [a[0].min(b[0]), a[1].min(b[1]), a[2].max(b[2]), a[3].max(b[3])]
}

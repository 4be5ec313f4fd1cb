//! Parts of a picture in which squares are looked for: a lens bends a whole picture more than a part of it.

/// Pixels from `left` to before `right`, and from `top` to before `bottom`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Window {
    pub(super) left: usize,
    pub(super) right: usize,
    pub(super) top: usize,
    pub(super) bottom: usize,
}

impl Window {
    pub(super) fn whole(width: usize, height: usize) -> Window {
        Window { left: 0, right: width, top: 0, bottom: height }
    }

    /// Of `share` of both sides, its middle at (`x`, `y`), shares as well.
    fn part(self, share: f64, x: f64, y: f64) -> Window {
        let cut = |long: usize, at: f64| {
            let size = (long as f64 * share) as usize;
            let from = ((long as f64 * at) as usize).saturating_sub(size / 2).min(long - size);
            (from, from + size)
        };
        let ((left, right), (top, bottom)) = (cut(self.right, x), cut(self.bottom, y));
        Window { left, right, top, bottom }
    }

    /// The middle of a picture, no larger than this a side.
    pub(super) fn middle_of((width, height): (usize, usize), most: usize) -> Window {
        let cut = |long: usize| {
            let from = (long - long.min(most)) / 2;
            (from, from + long.min(most))
        };
        let ((left, right), (top, bottom)) = (cut(width), cut(height));
        Window { left, right, top, bottom }
    }

    /// What lies between these places across and down. `None`: nothing does.
    pub(super) fn within(self, across: (f64, f64), down: (f64, f64)) -> Option<Window> {
        let pixel = |at: f64, most: usize| (at.round().max(0.0) as usize).min(most);
        let (left, right) = (pixel(across.0, self.right), pixel(across.1, self.right));
        let (top, bottom) = (pixel(down.0, self.bottom), pixel(down.1, self.bottom));
        (left < right && top < bottom).then_some(Window { left, right, top, bottom })
    }

    /// The whole picture, its middle, and smaller parts of it.
    pub(super) fn all(width: usize, height: usize) -> Vec<Window> {
        let whole = Window::whole(width, height);
        let small = [(0.5, 0.5), (0.3, 0.3), (0.7, 0.7), (0.3, 0.7), (0.7, 0.3)];
        let small = small.into_iter().map(|(x, y)| whole.part(0.36, x, y));
        [whole, whole.part(0.6, 0.5, 0.5)].into_iter().chain(small).collect()
    }

    pub(super) fn turned(self) -> Window {
        Window { left: self.top, right: self.bottom, top: self.left, bottom: self.right }
    }

    pub(super) fn wide(self) -> usize {
        self.right - self.left
    }

    pub(super) fn area(self) -> usize {
        self.wide() * (self.bottom - self.top)
    }

    pub(super) fn middle(self) -> (f64, f64) {
        ((self.left + self.right) as f64 / 2.0, (self.top + self.bottom) as f64 / 2.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_middle_of_a_picture_is_as_far_from_all_of_its_sides() {
        let middle = Window::middle_of((1_000, 300), 400);
        assert_eq!(middle, Window { left: 300, right: 700, top: 0, bottom: 300 });
        assert_eq!(Window::middle_of((1_001, 901), 400), Window { left: 300, right: 700, top: 250, bottom: 650 });
    }
}

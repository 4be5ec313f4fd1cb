//! Which of the drawing's colours every pixel has.

/// A label for every pixel.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Labels {
    /// Pixels across.
    pub(super) width: usize,
    /// Pixels down.
    pub(super) height: usize,
    /// In reading order, each a place in the drawing's list of colours.
    pub(super) of: Vec<u8>,
}

impl Labels {
    /// How many pixels have each of `colours` labels.
    pub(super) fn counts(&self, colours: usize) -> Vec<usize> {
        let mut counts = vec![0; colours];
        for &label in &self.of {
            counts[usize::from(label)] += 1;
        }
        counts
    }

    pub(super) fn at(&self, x: usize, y: usize) -> u8 {
        self.of[y * self.width + x]
    }
}

//! Nature: what yarn really does in a pair of hands. Nothing of it stands in the booklet.

/// The true gauge of a piece, plain numbers of its swatch, millimetres.
#[derive(Clone, Copy, Debug)]
pub struct Nature {
    /// Width of a column.
    pub column: f64,
    /// Height of a row.
    pub row: f64,
    /// Yarn one knot takes, with the step to the next cord.
    pub knot: f64,
}

/// A yarn led loosely is longer than its way by this part: "slack rather than taut" (common practice, no source).
const SLACK: f64 = 0.10;
/// Crossing once round another yarn takes about the way round it: yarn 2.5 mm thick, half that when pulled (our judgement).
const LINK: f64 = 4.0;
/// Standard deviation of tension from length to length, and where it is cut off: as the trial is laid down.
pub const SPREAD: f64 = 0.05;
const MAX_SPREAD: f64 = 0.15;

/// A pair of hands: how much more yarn they use than the maker's, for the whole panel.
#[derive(Clone, Copy, Debug)]
pub struct Hand {
    /// 1 is the maker's own.
    pub bias: f64,
    /// Standard deviation from length to length.
    pub spread: f64,
}

impl Hand {
    /// Within this part of the maker's, either way.
    pub fn within(part: f64, dice: &mut fastrand::Rng) -> Hand {
        Hand { bias: 1.0 + part * (2.0 * dice.f64() - 1.0), spread: SPREAD }
    }

    /// How one length is tied: normal round her own bias, cut off.
    pub fn length(self, dice: &mut fastrand::Rng) -> f64 {
        loop {
            // Box and Muller: two even numbers make a normal one.
            let (u, v) = (1.0 - dice.f64(), dice.f64());
            let normal = (-2.0 * u.ln()).sqrt() * (std::f64::consts::TAU * v).cos() * self.spread;
            if normal.abs() <= MAX_SPREAD {
                return self.bias * (1.0 + normal);
            }
        }
    }
}

impl Nature {
    /// Yarn a way takes from one knot to the next in other hands' measure.
    pub fn way(&self, across: usize, down: usize) -> f64 {
        (1.0 + SLACK) * (across as f64 * self.column).hypot(down as f64 * self.row)
    }
    /// Yarn a crossing takes.
    pub fn link(&self) -> f64 {
        LINK
    }
}

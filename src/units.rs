//! Systems of measures. A leaf.

/// Which system of measures stands first; both are always printed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Units {
    /// Centimetres, metres, grams.
    Metric,
    /// Inches, yards, ounces.
    Imperial,
}

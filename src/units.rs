//! A day of the calendar, and which system of measures stands first. A leaf.

/// A calendar day.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Date {
    /// Year, four figures.
    pub year: u16,
    /// 1 to 12.
    pub month: u8,
    /// 1 to 31, a real day of its month.
    pub day: u8,
}

/// Which system of measures stands first; both are always printed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Units {
    /// Centimetres, metres, grams.
    Metric,
    /// Inches, yards, ounces.
    Imperial,
}

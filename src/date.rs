//! A day of the calendar. A leaf.

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

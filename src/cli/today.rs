//! The clock, and today's date for new projects. The only door to `jiff`.

use jiff::{Timestamp, tz::TimeZone};

/// Seconds since 1970, for the journal of the board.
pub(crate) fn now() -> u64 {
    u64::try_from(Timestamp::now().as_second()).unwrap_or_default()
}

/// Today as a project file writes it, "2026-11-26", where the maker is: from here on the date is a line of the project.
pub(crate) fn today() -> String {
    day(Timestamp::now(), TimeZone::system())
}

fn day(now: Timestamp, zone: TimeZone) -> String {
    now.to_zoned(zone).date().to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_day_is_the_makers_and_not_that_of_greenwich() {
        let now: Timestamp = "2026-11-26T20:30:00Z".parse().expect("a moment");
        // Own computation: ten hours east it is 06:30 of the next day, ten hours west 10:30 of the same.
        for (hours, date) in [(0, "2026-11-26"), (10, "2026-11-27"), (-10, "2026-11-26")] {
            let zone = TimeZone::fixed(jiff::tz::offset(hours));
            assert_eq!(day(now, zone), date, "{hours}");
        }
    }
}

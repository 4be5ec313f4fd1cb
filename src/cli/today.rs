//! Today's date, for new projects.

use std::time::{SystemTime, UNIX_EPOCH};

/// Today as a project file writes it, "2026-11-26". The only use of the clock: from here on the date is a line of the
/// project.
pub fn today() -> String {
    let days = SystemTime::now().duration_since(UNIX_EPOCH).map_or(0, |past| past.as_secs() / 86_400);
    let (year, month, day) = civil(days);
    format!("{year:04}-{month:02}-{day:02}")
}

/// Year, month and day of a day counted from 1970-01-01, in the Gregorian calendar: the year is reckoned from March, so
/// that the leap day is its last, and whole cycles of 400 years are taken off first.
fn civil(days: u64) -> (u64, u64, u64) {
    // 719,468 days lie between 0000-03-01 and 1970-01-01.
    let days = days + 719_468;
    let (cycle, day) = (days / 146_097, days % 146_097);
    let year = (day - day / 1_460 + day / 36_524 - day / 146_096) / 365;
    let day = day - (365 * year + year / 4 - year / 100);
    // From March the months run 31, 30, 31, 30, 31 twice over: 153 days in five.
    let month = (5 * day + 2) / 153;
    let day = day - (153 * month + 2) / 5 + 1;
    let month = if month < 10 { month + 3 } else { month - 9 };
    (cycle * 400 + year + u64::from(month <= 2), month, day)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn days_become_dates() {
        // Own computation with the `date` command of a Unix system (`date -u -d @SECONDS`).
        for (days, date) in [
            (0, (1970, 1, 1)),
            (58, (1970, 2, 28)),
            (59, (1970, 3, 1)),
            (789, (1972, 2, 29)),
            (11_016, (2000, 2, 29)),
            (19_782, (2024, 2, 29)),
            (20_088, (2024, 12, 31)),
            (20_089, (2025, 1, 1)),
            (47_540, (2100, 2, 28)),
            (47_541, (2100, 3, 1)),
        ] {
            assert_eq!(civil(days), date, "{days}");
        }
    }
}

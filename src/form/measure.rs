//! Measures as a maker writes them: `3 mm`, `1.5 cm`, `2 1/2 in`, `1 yd`.

/// Millimetres in one inch, exact (international yard and pound agreement, 1959).
const MM_PER_INCH: f64 = 25.4;

/// Why a measure could not be read.
#[derive(Clone, Debug, PartialEq)]
pub enum Unread {
    /// A number stands there without a unit.
    NoUnit,
    /// A unit this trade's measures are not written in, as it was typed.
    StrangeUnit(String),
    /// No number can be made out.
    NoNumber,
    /// A decimal comma, as it was typed.
    Comma(String),
    /// A minus sign.
    Negative,
}

/// Reads a measure, in millimetres. The number may be a decimal (`1.5`), a fraction (`1/2`), or a whole number with a
/// fraction (`2 1/2`, `2½`). Never negative, never infinite.
pub fn read(text: &str) -> Result<f64, Unread> {
    let text = text.trim();
    if text.starts_with(['-', '\u{2212}']) {
        return Err(Unread::Negative);
    }
    let at = text
        .char_indices()
        .find(|(_, c)| {
            !(c.is_ascii_digit() || c.is_whitespace() || matches!(c, '.' | ',' | '/') || vulgar(*c).is_some())
        })
        .map_or(text.len(), |(at, _)| at);
    let (number, unit) = text.split_at(at);
    let (number, unit) = (number.trim(), unit.trim());
    if number.is_empty() {
        return Err(Unread::NoNumber);
    }
    if number.contains(',') {
        return Err(Unread::Comma(number.to_owned()));
    }
    let number = quantity(number).ok_or(Unread::NoNumber)?;
    let factor = match unit {
        "" => return Err(Unread::NoUnit),
        "mm" => 1.0,
        "cm" => 10.0,
        "m" => 1000.0,
        "in" | "inch" | "inches" | "\"" | "″" => MM_PER_INCH,
        "ft" | "foot" | "feet" => 12.0 * MM_PER_INCH,
        "yd" | "yard" | "yards" => 36.0 * MM_PER_INCH,
        _ => return Err(Unread::StrangeUnit(unit.chars().take(20).collect())),
    };
    let millimetres = number * factor;
    if millimetres.is_finite() { Ok(millimetres) } else { Err(Unread::NoNumber) }
}

/// A decimal, a fraction, or both.
fn quantity(text: &str) -> Option<f64> {
    if let Some(last) = text.chars().next_back()
        && let Some(part) = vulgar(last)
    {
        let whole = text[..text.len() - last.len_utf8()].trim();
        return if whole.is_empty() { Some(part) } else { Some(whole_number(whole)? + part) };
    }
    if let Some((above, below)) = text.split_once('/') {
        let (whole, above) = match above.trim().rsplit_once(char::is_whitespace) {
            Some((whole, above)) => (whole_number(whole.trim())?, whole_number(above)?),
            None => (0.0, whole_number(above.trim())?),
        };
        let below = whole_number(below.trim())?;
        return (below > 0.0).then(|| whole + above / below);
    }
    let plain = text.bytes().all(|b| b.is_ascii_digit() || b == b'.') && text.bytes().any(|b| b.is_ascii_digit());
    if plain { text.parse().ok() } else { None }
}

fn whole_number(text: &str) -> Option<f64> {
    let plain = !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit());
    if plain { text.parse().ok() } else { None }
}

fn vulgar(c: char) -> Option<f64> {
    Some(match c {
        '½' => 0.5,
        '¼' => 0.25,
        '¾' => 0.75,
        '⅛' => 0.125,
        '⅜' => 0.375,
        '⅝' => 0.625,
        '⅞' => 0.875,
        '⅓' => 1.0 / 3.0,
        '⅔' => 2.0 / 3.0,
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn measures_are_read_as_makers_write_them() {
        // Own computation from the exact inch (25.4 mm) and yard (914.4 mm) of 1959.
        for (text, mm) in [
            ("3 mm", 3.0),
            ("3mm", 3.0),
            ("1.5 cm", 15.0),
            ("2 m", 2000.0),
            ("60 in", 1524.0),
            ("1/2 in", 12.7),
            ("2 1/2 in", 63.5),
            ("2½ in", 63.5),
            ("½ in", 12.7),
            ("1 yd", 914.4),
            ("1 ft", 304.8),
            ("  12.7\tmm ", 12.7),
        ] {
            let read = read(text);
            assert!(read.as_ref().is_ok_and(|v| (v - mm).abs() < 1e-9), "{text}: {read:?}");
        }
    }

    #[test]
    fn what_is_no_measure_says_why() {
        assert_eq!(read("3"), Err(Unread::NoUnit));
        assert_eq!(read("3 km"), Err(Unread::StrangeUnit("km".to_owned())));
        assert_eq!(read("1,5 cm"), Err(Unread::Comma("1,5".to_owned())));
        assert_eq!(read("-3 mm"), Err(Unread::Negative));
        for text in ["", "mm", "1/0 in", "1.2.3 mm", "1/2/3 in", "nan mm", "inf mm", ". mm", "1 2 mm", "½½ in"] {
            assert!(matches!(read(text), Err(Unread::NoNumber)), "{text}: {:?}", read(text));
        }
        let digits = format!("{} m", "9".repeat(400));
        assert_eq!(read(&digits), Err(Unread::NoNumber));
    }
}

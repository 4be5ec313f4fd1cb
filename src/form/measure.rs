//! Measures as a maker writes them: `3 mm`, `1.5 cm`, `2 1/2 in`, `1 yd`; in layouts also `10.5 pt`.

use crate::geom::Length;

/// Millimetres in one inch, exact (international yard and pound agreement, 1959).
const MM_PER_INCH: f64 = 25.4;

/// Why a measure could not be read.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum MeasureError {
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

/// A unit that measures are written in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Unit {
    /// So many millimetres.
    Millimetres(f64),
    /// Inches.
    Inches,
    /// Points of type, 1/72 in: in layouts only.
    Points,
}

/// A measure as it is written: a number and its unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Quantity {
    /// How many.
    pub(crate) number: f64,
    /// Of which unit.
    pub(crate) unit: Unit,
}

impl Quantity {
    /// In millimetres.
    pub(crate) fn to_mm(self) -> f64 {
        match self.unit {
            Unit::Millimetres(factor) => self.number * factor,
            Unit::Inches => self.number * MM_PER_INCH,
            Unit::Points => Length::pt(self.number).to_mm(),
        }
    }

    /// As a length on paper.
    pub(crate) fn to_length(self) -> Length {
        match self.unit {
            Unit::Millimetres(factor) => Length::mm(self.number * factor),
            Unit::Inches => Length::inches(self.number),
            Unit::Points => Length::pt(self.number),
        }
    }
}

/// Reads a measure, in millimetres; points are no measure here.
pub(crate) fn read(text: &str) -> Result<f64, MeasureError> {
    let quantity = quantity_of(text)?;
    match quantity.unit {
        Unit::Points => Err(MeasureError::StrangeUnit("pt".to_owned())),
        Unit::Millimetres(_) | Unit::Inches => Ok(quantity.to_mm()),
    }
}

/// Reads a measure with its unit. The number may be a decimal (`1.5`), a fraction (`1/2`), or a whole number with a
/// fraction (`2 1/2`, `2½`). Never negative, never infinite.
pub(crate) fn quantity_of(text: &str) -> Result<Quantity, MeasureError> {
    let text = text.trim();
    if text.starts_with(['-', '\u{2212}']) {
        return Err(MeasureError::Negative);
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
        return Err(MeasureError::NoNumber);
    }
    if number.contains(',') {
        return Err(MeasureError::Comma(number.to_owned()));
    }
    let number = number_of(number).ok_or(MeasureError::NoNumber)?;
    let unit = match unit {
        "" => return Err(MeasureError::NoUnit),
        "mm" => Unit::Millimetres(1.0),
        "cm" => Unit::Millimetres(10.0),
        "m" => Unit::Millimetres(1000.0),
        "in" | "inch" | "inches" | "\"" | "″" => Unit::Inches,
        "ft" | "foot" | "feet" => Unit::Millimetres(12.0 * MM_PER_INCH),
        "yd" | "yard" | "yards" => Unit::Millimetres(36.0 * MM_PER_INCH),
        "pt" => Unit::Points,
        _ => return Err(MeasureError::StrangeUnit(unit.chars().take(20).collect())),
    };
    let quantity = Quantity { number, unit };
    if quantity.to_mm().is_finite() { Ok(quantity) } else { Err(MeasureError::NoNumber) }
}

/// A decimal, a fraction, or both.
fn number_of(text: &str) -> Option<f64> {
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
    fn points_are_a_measure_of_layouts_only() {
        let length = |text: &str| quantity_of(text).map(|quantity| quantity.to_length());
        assert_eq!(length("10.5 pt"), Ok(Length::pt(10.5)));
        assert_eq!((length("4 mm"), length("1/2 in")), (Ok(Length::mm(4.0)), Ok(Length::inches(0.5))));
        assert_eq!(read("10.5 pt"), Err(MeasureError::StrangeUnit("pt".to_owned())));
    }

    #[test]
    fn what_is_no_measure_says_why() {
        assert_eq!(read("3"), Err(MeasureError::NoUnit));
        assert_eq!(read("3 km"), Err(MeasureError::StrangeUnit("km".to_owned())));
        assert_eq!(read("1,5 cm"), Err(MeasureError::Comma("1,5".to_owned())));
        assert_eq!(read("-3 mm"), Err(MeasureError::Negative));
        for text in ["", "mm", "1/0 in", "1.2.3 mm", "1/2/3 in", "nan mm", "inf mm", ". mm", "1 2 mm", "½½ in"] {
            assert!(matches!(read(text), Err(MeasureError::NoNumber)), "{text}: {:?}", read(text));
        }
        let digits = format!("{} m", "9".repeat(400));
        assert_eq!(read(&digits), Err(MeasureError::NoNumber));
    }
}

//! Numbers as a language writes them: decimal sign, groups of three, real fractions.

/// How numbers are written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct NumberStyle {
    /// Between whole part and decimals.
    pub(crate) decimal: String,
    /// Between groups of three figures.
    pub(crate) group: String,
    /// A number is grouped from this many figures on.
    pub(crate) group_from: usize,
}

impl NumberStyle {
    /// A whole number.
    pub(crate) fn whole(&self, n: usize) -> String {
        self.grouped(&n.to_string())
    }

    /// At most `places` decimals; zeros at the end are left away.
    pub(crate) fn decimal(&self, value: f64, places: usize) -> String {
        self.written(value, places, true)
    }

    /// Exactly `places` decimals.
    pub(crate) fn fixed(&self, value: f64, places: usize) -> String {
        self.written(value, places, false)
    }

    fn written(&self, value: f64, places: usize, trim: bool) -> String {
        // A very small part is added before rounding so that 2.675, which the machine holds as 2.67499…, still goes up.
        let nudged = value + value.signum() * 1e-9;
        let text = format!("{nudged:.places$}");
        let (whole, rest) = text.split_once('.').unwrap_or((&text, ""));
        let rest = if trim { rest.trim_end_matches('0') } else { rest };
        let (sign, whole) = whole.strip_prefix('-').map_or(("", whole), |whole| ("\u{2212}", whole));
        let nothing = whole.bytes().chain(rest.bytes()).all(|figure| figure == b'0');
        let (sign, whole) = (if nothing { "" } else { sign }, self.grouped(whole));
        if rest.is_empty() { format!("{sign}{whole}") } else { format!("{sign}{whole}{}{rest}", self.decimal) }
    }

    /// A number of eighths or quarters with a real fraction: "13¼", "¾", "4". Other remainders fall back to decimals.
    pub(crate) fn fraction(&self, value: f64) -> String {
        const EIGHTHS: [&str; 8] = ["", "⅛", "¼", "⅜", "½", "⅝", "¾", "⅞"];
        let eighths = (value.abs() * 8.0).round();
        if (value.abs() * 8.0 - eighths).abs() > 1e-6 || value < 0.0 || eighths > 1e12 {
            return self.decimal(value, 3);
        }
        let eighths = eighths as u64;
        let part = EIGHTHS[(eighths % 8) as usize];
        match eighths / 8 {
            0 if !part.is_empty() => part.to_string(),
            whole => format!("{}{part}", self.grouped(&whole.to_string())),
        }
    }

    fn grouped(&self, figures: &str) -> String {
        if figures.len() < self.group_from.max(4) {
            return figures.to_string();
        }
        let mut out = String::with_capacity(figures.len() * 2);
        for (at, c) in figures.chars().enumerate() {
            if at > 0 && (figures.len() - at).is_multiple_of(3) {
                out.push_str(&self.group);
            }
            out.push(c);
        }
        out
    }
}

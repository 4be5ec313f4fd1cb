//! Plural categories and the rules by which a language chooses among them (Unicode CLDR, plural rules for cardinals).

/// A plural category of CLDR.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Category {
    /// Zero, in languages that have a form for it.
    Zero,
    /// One, and what a language treats alike.
    One,
    /// Two.
    Two,
    /// A few.
    Few,
    /// Many.
    Many,
    /// All the rest; every counted phrase has it.
    Other,
}

impl Category {
    /// From its name in a words file.
    pub(crate) fn named(name: &str) -> Option<Category> {
        match name {
            "zero" => Some(Category::Zero),
            "one" => Some(Category::One),
            "two" => Some(Category::Two),
            "few" => Some(Category::Few),
            "many" => Some(Category::Many),
            "other" => Some(Category::Other),
            _ => None,
        }
    }
}

/// How a language chooses.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum PluralRule {
    /// One for 1, other for the rest: English, German.
    OneOther,
    /// One for 0 and 1, many for whole millions, other for the rest: French.
    ZeroIsOne,
    /// One for 1, many for whole millions, other for the rest: Spanish.
    MillionsApart,
}

impl PluralRule {
    /// From its name in a words file.
    pub(crate) fn named(name: &str) -> Option<PluralRule> {
        match name {
            "one-other" => Some(PluralRule::OneOther),
            "zero-is-one" => Some(PluralRule::ZeroIsOne),
            "millions-apart" => Some(PluralRule::MillionsApart),
            _ => None,
        }
    }

    /// The categories it chooses among.
    #[cfg(test)]
    pub(crate) fn categories(self) -> &'static [Category] {
        match self {
            PluralRule::OneOther => &[Category::One, Category::Other],
            PluralRule::ZeroIsOne | PluralRule::MillionsApart => &[Category::One, Category::Many, Category::Other],
        }
    }

    /// The category of a number that need not be whole: in French everything under two is one ("1,5 heure").
    pub(crate) fn category_of_decimal(self, n: f64) -> Category {
        let whole = (n.fract() == 0.0 && n >= 0.0).then_some(n as usize);
        match (whole, self) {
            (Some(n), _) => self.category(n),
            (None, PluralRule::ZeroIsOne) if n.abs() < 2.0 => Category::One,
            (None, PluralRule::OneOther | PluralRule::ZeroIsOne | PluralRule::MillionsApart) => Category::Other,
        }
    }

    /// The category of a whole number.
    pub(crate) fn category(self, n: usize) -> Category {
        let millions = n != 0 && n.is_multiple_of(1_000_000);
        match self {
            PluralRule::OneOther if n == 1 => Category::One,
            PluralRule::ZeroIsOne if n <= 1 => Category::One,
            PluralRule::MillionsApart if n == 1 => Category::One,
            PluralRule::ZeroIsOne | PluralRule::MillionsApart if millions => Category::Many,
            PluralRule::OneOther | PluralRule::ZeroIsOne | PluralRule::MillionsApart => Category::Other,
        }
    }
}

//! The symbols of the chart in plain words, for those who cannot see them.

use super::context::WriteContext;

/// What a symbol looks like: "a falling stroke"; its name where there are no words for it.
pub(super) fn of(context: &WriteContext, symbol: &str) -> String {
    KEYS.iter().find(|(name, _)| *name == symbol).map_or_else(|| symbol.to_owned(), |(_, key)| context.say(key, &[]))
}

/// Every symbol with the key of its words.
const KEYS: [(&str, &str); 39] = [
    ("grain", "symbol.grain"),
    ("hoop", "symbol.hoop"),
    ("four-ticks", "symbol.four-ticks"),
    ("three-specks", "symbol.three-specks"),
    ("slash-falling", "symbol.slash-falling"),
    ("star", "symbol.star"),
    ("slash-rising", "symbol.slash-rising"),
    ("ring", "symbol.ring"),
    ("two-discs-falling", "symbol.two-discs-falling"),
    ("two-discs-rising", "symbol.two-discs-rising"),
    ("crescent", "symbol.crescent"),
    ("stripes-falling", "symbol.stripes-falling"),
    ("two-posts", "symbol.two-posts"),
    ("frame", "symbol.frame"),
    ("peak", "symbol.peak"),
    ("three-discs", "symbol.three-discs"),
    ("disc-and-bars", "symbol.disc-and-bars"),
    ("saltire", "symbol.saltire"),
    ("cup", "symbol.cup"),
    ("four-discs", "symbol.four-discs"),
    ("half-upright", "symbol.half-upright"),
    ("checks", "symbol.checks"),
    ("half-rising", "symbol.half-rising"),
    ("cut-posts", "symbol.cut-posts"),
    ("cut-target", "symbol.cut-target"),
    ("cut-disc-and-posts", "symbol.cut-disc-and-posts"),
    ("cut-half-disc", "symbol.cut-half-disc"),
    ("cut-discs", "symbol.cut-discs"),
    ("cut-five-blocks", "symbol.cut-five-blocks"),
    ("cut-wedge", "symbol.cut-wedge"),
    ("cut-bars", "symbol.cut-bars"),
    ("cut-lozenge", "symbol.cut-lozenge"),
    ("cut-stripes", "symbol.cut-stripes"),
    ("cut-two-discs-upright", "symbol.cut-two-discs-upright"),
    ("cut-arch", "symbol.cut-arch"),
    ("cut-two-discs-level", "symbol.cut-two-discs-level"),
    ("cut-frame", "symbol.cut-frame"),
    ("cut-four-specks", "symbol.cut-four-specks"),
    ("cut-three-specks", "symbol.cut-three-specks"),
];

#[cfg(test)]
mod tests {
    use super::KEYS;
    use crate::symbol::SYMBOLS;

    #[test]
    fn every_symbol_has_words() {
        assert_eq!(KEYS.map(|(name, _)| name), SYMBOLS);
    }
}

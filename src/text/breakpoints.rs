//! Where lines may end: Unicode's opportunities (UAX 14) less those that printers avoid, and hyphenation by language.

use super::TextSpan;
use super::collect::ParagraphText;
use hypher::Lang;
use std::ops::Range;

/// What ends a line at a break.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum BreakKind {
    /// A space.
    Space,
    /// Something visible: a hyphen or dash of the text, a slash.
    Inner,
    /// A hyphen that is not in the text.
    Hyphen,
    /// A space at which the text is held together; only where it fits on no line.
    Parted,
    /// Nothing: a word that fits on no line is cut.
    Cut,
    /// The text itself ends the line here.
    Forced,
}

/// A place where a line may end.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Break {
    /// The byte where the next line begins.
    pub(crate) at: usize,
    pub(crate) kind: BreakKind,
}

/// Breaks that need no hyphen, in order; the last one is the end of the text, and forced. With `whole_words` no line ends
/// at a word's own hyphen: plain text read from the page often loses it there ("far-hill" becomes "farhill").
pub(super) fn breakpoints(copy: &ParagraphText, stretches: &[TextSpan], whole_words: bool) -> Vec<Break> {
    let text = copy.text.as_str();
    let held = UnbreakableRanges::new(copy, stretches);
    let mut breaks: Vec<Break> = Vec::with_capacity(copy.opportunities.len());
    for &(at, forced) in &copy.opportunities {
        let before = &text[..at];
        if at == text.len() || forced {
            breaks.push(Break { at, kind: BreakKind::Forced });
        } else if !held.holds(at)
            && !printers_avoid(before, &text[at..])
            && (!whole_words || !at_own_hyphen(before, &text[at..]))
        {
            let kind = if before.ends_with(' ') { BreakKind::Space } else { BreakKind::Inner };
            breaks.push(Break { at, kind });
        }
    }
    breaks
}

/// The same with hyphens added by the soft hyphens of the text and the patterns of the language.
pub(super) fn with_hyphens(
    breaks: &[Break],
    copy: &ParagraphText,
    stretches: &[TextSpan],
    language: &str,
) -> Vec<Break> {
    let text = copy.text.as_str();
    let held = UnbreakableRanges::new(copy, stretches);
    let mut hyphens: Vec<usize> = copy.soft_hyphens.clone();
    for (start, word) in words(text) {
        let from = copy.soft_hyphens.partition_point(|at| *at < start);
        let by_hand = copy.soft_hyphens.get(from).is_some_and(|at| *at <= start + word.len());
        if !by_hand {
            hyphens.extend(hyphenate(word, language).into_iter().map(|at| start + at));
        }
    }
    let inside = |at: usize| {
        let letter = |c: Option<char>| c.is_some_and(char::is_alphanumeric);
        letter(text[..at].chars().next_back()) && letter(text[at..].chars().next())
    };
    hyphens.retain(|at| inside(*at) && !held.holds(*at));
    let mut all = breaks.to_vec();
    all.extend(hyphens.into_iter().map(|at| Break { at, kind: BreakKind::Hyphen }));
    // A place that Unicode allows needs no added hyphen: the stable sort keeps it first.
    all.sort_by_key(|b| b.at);
    all.dedup_by_key(|b| b.at);
    all
}

/// The same with hyphens only between those breaks that have a cut between them.
pub(super) fn with_hyphens_where_cut(
    breaks: &[Break],
    copy: &ParagraphText,
    stretches: &[TextSpan],
    language: &str,
    cuts: &[usize],
) -> Vec<Break> {
    let mut all = with_hyphens(breaks, copy, stretches, language);
    all.retain(|hyphen| {
        let next = breaks.partition_point(|b| b.at <= hyphen.at);
        let from = next.checked_sub(1).and_then(|before| breaks.get(before)).map_or(0, |b| b.at);
        let to = breaks.get(next).map_or(usize::MAX, |b| b.at);
        hyphen.kind != BreakKind::Hyphen || cuts.iter().any(|cut| from < *cut && *cut < to)
    });
    all
}

/// The parts of the text that are not to be broken.
struct UnbreakableRanges<'a>(Vec<&'a Range<usize>>);

impl<'a> UnbreakableRanges<'a> {
    fn new(copy: &'a ParagraphText, stretches: &[TextSpan]) -> UnbreakableRanges<'a> {
        UnbreakableRanges(
            copy.ranges.iter().zip(stretches).filter(|(_, s)| s.no_break).map(|(range, _)| range).collect(),
        )
    }

    /// Whether a break here would fall inside one of them.
    fn holds(&self, at: usize) -> bool {
        let candidate = self.0.partition_point(|range| range.end <= at);
        self.0.get(candidate).is_some_and(|range| range.start < at)
    }
}

/// Opportunities that Unicode gives and good setting does not take: before a dash that stands close to its word, and
/// after the dash of a range of numbers ("2–3").
fn printers_avoid(before: &str, after: &str) -> bool {
    let mut back = before.chars().rev();
    let (last, last_but_one) = (back.next(), back.next());
    let next = after.chars().next();
    let is_digit = |c: Option<char>| c.is_some_and(|c| c.is_ascii_digit());
    let before_close_dash = matches!(next, Some('\u{2013}' | '\u{2014}')) && last.is_some_and(|c| c != ' ');
    let in_range = matches!(last, Some('\u{2013}' | '\u{2212}' | '-')) && is_digit(last_but_one) && is_digit(next);
    before_close_dash || in_range
}

/// Whether a break falls after the hyphen of a compound word.
fn at_own_hyphen(before: &str, after: &str) -> bool {
    let mut back = before.chars().rev();
    let hyphen = matches!(back.next(), Some('-' | '\u{2010}'));
    hyphen && back.next().is_some_and(char::is_alphabetic) && after.chars().next().is_some_and(char::is_alphabetic)
}

/// Words that may be hyphenated, with where they start: letters only, not in an address, not in capitals throughout.
fn words(text: &str) -> impl Iterator<Item = (usize, &str)> {
    let base = text.as_ptr() as usize;
    let looks_like_address = |chunk: &str| {
        let dot_inside = chunk.trim_end_matches(|c: char| !c.is_alphanumeric()).contains('.');
        chunk.contains("://") || chunk.contains('@') || chunk.contains('_') || dot_inside
    };
    text.split([' ', '\n', '\u{a0}', '\u{202f}'])
        .filter(move |chunk| chunk.len() > 3 && !looks_like_address(chunk))
        .flat_map(|chunk| chunk.split(|c: char| !c.is_alphabetic()))
        .filter(|word| word.chars().any(char::is_lowercase) || word.chars().count() < 2)
        .filter(|word| !word.is_empty())
        .map(move |word| (word.as_ptr() as usize - base, word))
}

/// Fewest letters before and after an added hyphen, whatever the patterns allow: two and three, common practice, no
/// source.
const MIN_LETTERS: (usize, usize) = (2, 3);

/// Words that the English patterns get wrong, and words whose hyphen moves with their meaning and that get none: TeX's list
/// for American English (D. E. Knuth, hyphen.tex), from memory.
const ENGLISH_EXCEPTIONS: [&str; 14] = [
    "as-so-ciate",
    "as-so-ciates",
    "dec-li-na-tion",
    "oblig-a-tory",
    "phil-an-thropic",
    "present",
    "presents",
    "project",
    "projects",
    "reci-procity",
    "re-cog-ni-zance",
    "ref-or-ma-tion",
    "ret-ri-bu-tion",
    "ta-ble",
];

/// Where a word of that list is hyphenated; `None` for other words.
fn english_exception(word: &str) -> Option<Vec<usize>> {
    let same = |listed: &&&str| listed.bytes().filter(|b| *b != b'-').eq(word.bytes().map(|b| b.to_ascii_lowercase()));
    let listed = ENGLISH_EXCEPTIONS.iter().find(same)?;
    let hyphens = listed.match_indices('-').enumerate();
    Some(hyphens.map(|(before, (at, _))| at - before).collect())
}

/// Where a word may be hyphenated, in bytes, by the patterns of its language; nowhere in a language without patterns
/// here. The patterns are those of hypher, the English ones American.
pub fn hyphenate(word: &str, language: &str) -> Vec<usize> {
    let main = language.split(['-', '_']).next().unwrap_or_default();
    let language = match main.to_ascii_lowercase().as_str() {
        "en" => Lang::English,
        "de" => Lang::German,
        "fr" => Lang::French,
        "es" => Lang::Spanish,
        _ => return Vec::new(),
    };
    let (left, right) = language.bounds();
    let (left, right) = (left.max(MIN_LETTERS.0), right.max(MIN_LETTERS.1));
    if main.eq_ignore_ascii_case("en")
        && let Some(places) = english_exception(word)
    {
        return places;
    }
    if word.chars().nth(left + right - 1).is_none() {
        return Vec::new();
    }
    let mut at = 0;
    let mut places: Vec<usize> = hypher::hyphenate_bounded(word, language, left, right)
        .map(|syllable| {
            at += syllable.len();
            at
        })
        .collect();
    places.pop();
    places
}

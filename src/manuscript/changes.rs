//! What is different from the last edition, in plain sentences: the draft of an errata note. Of the chart it names rows and
//! runs of knots in the order they are tied, as the rows in words do.

use super::pasted::plain_spaces;
use super::record::{Fact, Record};
use crate::words::{Names, Words};
use std::collections::BTreeMap;
use std::ops::Range;

/// Rows that are named one by one; where more are different, the chart is another one.
const MAX_ROWS: usize = 60;

/// Files that are not as they were in the last folder, by their names.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct Files {
    /// There before and now, with other bytes.
    pub(crate) changed: Vec<String>,
    /// Not there before.
    pub(crate) new: Vec<String>,
    /// No longer there.
    pub(crate) gone: Vec<String>,
}

/// A sentence for each difference; empty when nothing changed.
pub(crate) fn changes(before: &Record, now: &Record, files: &Files, words: &Words) -> Vec<String> {
    let mut said = Teller { words, said: Vec::new() };
    let before = &in_letters_of(before, now);
    yarns(before, now, &mut said);
    if before.from_right != now.from_right {
        let side = words.say(if now.from_right { "side.at-right" } else { "side.at-left" }, &[]);
        said.tell("changes.first-row", &[("side", &side)]);
    }
    chart(before, now, &mut said);
    if before.speech != now.speech {
        said.tell("changes.speech", &[]);
    } else {
        facts(&before.facts, &now.facts, &mut said);
    }
    for size in &now.sizes {
        let then = before.sizes.iter().find(|then| then.name == size.name);
        for sentence in then.iter().flat_map(|then| changes(&then.record, &size.record, &Files::default(), words)) {
            said.tell("changes.fact", &[("of", &size.name), ("is", &sentence)]);
        }
    }
    let same_pattern = said.said.is_empty();
    let listed = |names: &[String]| words.list(names);
    for (key, names) in
        [("changes.files", &files.changed), ("changes.files-new", &files.new), ("changes.files-gone", &files.gone)]
    {
        if !names.is_empty() {
            said.tell(key, &[("files", &listed(names))]);
        }
    }
    if same_pattern && !said.said.is_empty() {
        let sentence = words.say("changes.same-pattern", &[]);
        said.said.insert(0, plain_spaces(&sentence));
    }
    said.said
}

/// The note: the sentences of this edition above what the note of the last one said. `before` is that edition, `None` when
/// there was none to compare with.
pub(crate) fn note(
    title: &str,
    before: Option<&Record>,
    now: &Record,
    said: &[String],
    earlier: &str,
    words: &Words,
) -> String {
    let head = match before {
        Some(before) if before.edition != now.edition => {
            words.say("changes.now", &[("now", &now.edition), ("before", &before.edition)])
        }
        Some(_) | None => now.edition.clone(),
    };
    let mut out = format!("{}\n{}\n", words.say("changes.title", &[("title", &title)]), words.say("changes.lead", &[]));
    out.push_str(&format!("\n{head}\n"));
    match before {
        Some(_) => said.iter().for_each(|sentence| out.push_str(&format!("- {sentence}\n"))),
        None => out.push_str(&format!("- {}\n", words.say("changes.first", &[]))),
    }
    let mut out = plain_spaces(&out);
    // Its own title and lead end at the first empty line.
    if let Some((_, entries)) = earlier.split_once("\n\n") {
        out.push('\n');
        out.push_str(entries);
    }
    out
}

struct Teller<'a> {
    words: &'a Words,
    said: Vec<String>,
}

impl Teller<'_> {
    fn tell(&mut self, key: &str, names: Names) {
        self.said.push(plain_spaces(&self.words.say(key, names)));
    }

    fn count(&mut self, key: &str, n: usize, names: Names) {
        self.said.push(plain_spaces(&self.words.count(key, n, names)));
    }

    /// "4 navy, 5 oat; was 3 navy, 6 oat".
    fn now(&self, now: &str, before: &str) -> String {
        self.words.say("changes.now", &[("now", &now), ("before", &before)])
    }
}

/// The last edition with its yarns under the letters that they have now: a yarn is the same by its name, else by its
/// letter.
fn in_letters_of(before: &Record, now: &Record) -> Record {
    let named = |name: &str| now.yarns.iter().find(|yarn| yarn.name == name).map(|yarn| yarn.key);
    let mut letters: BTreeMap<char, char> =
        before.yarns.iter().filter_map(|yarn| Some((yarn.key, named(&yarn.name)?))).collect();
    for yarn in &before.yarns {
        let is_free = now.yarns.iter().any(|it| it.key == yarn.key) && letters.values().all(|key| *key != yarn.key);
        if is_free {
            letters.entry(yarn.key).or_insert(yarn.key);
        }
    }
    // One that is gone keeps a letter nobody else has now.
    let mut spare = ('\u{e000}'..='\u{f8ff}').filter(|key| now.yarns.iter().all(|yarn| yarn.key != *key));
    for yarn in &before.yarns {
        if let (false, Some(key)) = (letters.contains_key(&yarn.key), spare.next()) {
            letters.insert(yarn.key, key);
        }
    }
    let new = |key: char| letters.get(&key).copied().unwrap_or(key);
    let mut out = before.clone();
    out.rows.iter_mut().for_each(|row| *row = row.chars().map(new).collect());
    out.yarns.iter_mut().for_each(|yarn| yarn.key = new(yarn.key));
    out
}

fn yarns(before: &Record, now: &Record, said: &mut Teller) {
    for yarn in &now.yarns {
        match before.yarns.iter().find(|old| old.key == yarn.key) {
            Some(old) => {
                if old.name != yarn.name {
                    said.tell("changes.yarn-name", &[("now", &yarn.name), ("before", &old.name)]);
                }
                if old.colour != yarn.colour {
                    let values = said.now(&yarn.colour, &old.colour);
                    said.tell("changes.yarn-colour", &[("yarn", &yarn.name), ("values", &values)]);
                }
            }
            None => said.tell("changes.yarn-new", &[("yarn", &yarn.name)]),
        }
    }
    for old in before.yarns.iter().filter(|old| now.yarns.iter().all(|yarn| yarn.key != old.key)) {
        said.tell("changes.yarn-gone", &[("yarn", &old.name)]);
    }
}

fn chart(before: &Record, now: &Record, said: &mut Teller) {
    let wide = |record: &Record| record.rows.first().map_or(0, |row| row.chars().count());
    if wide(before) != wide(now) {
        // No column is where it was; the facts say how large the chart is now.
        said.tell("changes.chart", &[]);
        return;
    }
    let (old, new) = (&before.rows, &now.rows);
    let (head, gone, come) = aligned(old, new);
    let foot = old.len() - gone.end;
    let upper = (0..head).map(|row| (row, row));
    let lower = (0..foot).map(|row| (gone.end + row, come.end + row));
    let different: Vec<(usize, usize)> = upper.chain(lower).filter(|(a, b)| old[*a] != new[*b]).collect();
    rows("changes.rows-gone", &gone, said);
    rows("changes.rows-new", &come, said);
    if foot > 0 && gone.len() != come.len() {
        let turned = gone.len().abs_diff(come.len()) % 2 == 1;
        said.tell(if turned { "changes.rows-turned" } else { "changes.rows-moved" }, &[]);
    }
    for (was, row) in different.iter().take(MAX_ROWS) {
        let leftwards = (row % 2 == 1) != now.from_right;
        let (column, was, is) = stretch(&old[*was], &new[*row], leftwards);
        let runs = said.now(&runs_in_words(&is, now, said.words), &runs_in_words(&was, before, said.words));
        let direction = said.words.say(if leftwards { "side.right-to-left" } else { "side.left-to-right" }, &[]);
        let names: Names =
            &[("row", &(row + 1)), ("direction", &direction), ("column", &(column + 1)), ("runs", &runs)];
        said.tell("changes.row", names);
    }
    let more = different.len().saturating_sub(MAX_ROWS);
    if more > 0 {
        said.count("changes.rows-more", more, &[]);
    }
}

/// How the rows of two charts belong together when rows were put in or taken out in one place: how many stand above that
/// place, which old ones are gone, and which are new. The place is the one that leaves the fewest rows different; of equals,
/// the lowest.
fn aligned(old: &[String], new: &[String]) -> (usize, Range<usize>, Range<usize>) {
    let shared = old.len().min(new.len());
    // With nothing above the place, every row is compared from the foot; then one after another changes sides.
    let differ = |a: usize, b: usize| usize::from(old[a] != new[b]);
    let from_foot = |row: usize| differ(old.len() - shared + row, new.len() - shared + row);
    let mut amiss: usize = (0..shared).map(from_foot).sum();
    let (mut head, mut least) = (0, amiss);
    for row in 0..shared {
        amiss = amiss + differ(row, row) - from_foot(row);
        if amiss <= least {
            (head, least) = (row + 1, amiss);
        }
    }
    let foot = shared - head;
    (head, head..old.len() - foot, head..new.len() - foot)
}

fn rows(key: &str, rows: &Range<usize>, said: &mut Teller) {
    if !rows.is_empty() {
        said.count(key, rows.len(), &[("from", &(rows.start + 1)), ("to", &rows.end)]);
    }
}

/// Cells of one yarn next to one another: its letter and how many.
type YarnRun = (char, usize);

fn runs(row: &str, leftwards: bool) -> Vec<YarnRun> {
    let mut cells: Vec<char> = row.chars().collect();
    if leftwards {
        cells.reverse();
    }
    cells.chunk_by(|a, b| a == b).map(|run| (run[0], run.len())).collect()
}

/// Where two rows differ, in the order they are worked: the column it begins at, from 0 at the left, and the runs of each
/// between those that are alike.
fn stretch(old: &str, new: &str, leftwards: bool) -> (usize, Vec<YarnRun>, Vec<YarnRun>) {
    let (was, is) = (runs(old, leftwards), runs(new, leftwards));
    let head = was.iter().zip(&is).take_while(|(a, b)| a == b).count();
    let rest = was.len().min(is.len()) - head;
    let foot = was.iter().rev().zip(is.iter().rev()).take(rest).take_while(|(a, b)| a == b).count();
    let worked: usize = was[..head].iter().map(|(_, n)| n).sum();
    let column = if leftwards { old.chars().count().saturating_sub(worked + 1) } else { worked };
    (column, was[head..was.len() - foot].to_vec(), is[head..is.len() - foot].to_vec())
}

fn runs_in_words(runs: &[YarnRun], record: &Record, words: &Words) -> String {
    let name = |key: char| record.yarns.iter().find(|yarn| yarn.key == key).map(|yarn| yarn.name.as_str());
    let said = runs.iter().map(|(key, n)| match name(*key) {
        Some(yarn) => words.say("rows.knots", &[("n", &words.whole(*n)), ("symbol", &"\u{a0}"), ("yarn", &yarn)]),
        None => words.count("changes.bare", *n, &[]),
    });
    said.reduce(|before, next| words.say("lists.middle", &[("a", &before), ("b", &next)])).unwrap_or_default()
}

fn facts(before: &[Fact], now: &[Fact], said: &mut Teller) {
    let known = |fact: &Fact, all: &[Fact]| all.iter().find(|other| other.id == fact.id).cloned();
    let named = |fact: &Fact, is: &str, words: &Words| match fact.of.as_str() {
        "" => is.to_owned(),
        of => words.say("changes.fact", &[("of", &of), ("is", &is)]),
    };
    for fact in now {
        match known(fact, before) {
            Some(old) if old.is != fact.is => {
                let values = said.now(&fact.is, &old.is);
                let sentence = named(fact, &values, said.words);
                said.said.push(plain_spaces(&sentence));
            }
            Some(_) => {}
            None => {
                let fact = named(fact, &fact.is, said.words);
                said.tell("changes.new", &[("fact", &fact)]);
            }
        }
    }
    for old in before.iter().filter(|old| known(old, now).is_none()) {
        let fact = named(old, &old.is, said.words);
        said.tell("changes.gone", &[("fact", &fact)]);
    }
}

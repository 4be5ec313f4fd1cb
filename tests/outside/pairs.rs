//! Which files are composed: every pair of values of any two choices in some file, or everything with everything.

use hitchpress::words::Words;

/// What can be chosen, choice by choice: sample, edition, look, paper, ink, language, system of measures.
pub fn choices() -> Vec<Vec<&'static str>> {
    vec![
        vec!["low-water-heron", "two-pears", "harbour-evening"],
        vec!["booklet", "chart", "large-print", "materials"],
        vec!["quiet", "workshop", "large-print"],
        vec!["a4", "letter", "a5", "half-letter", "a3", "tabloid", "small-screen"],
        vec!["saving", "full", "symbols-only"],
        Words::languages().collect(),
        vec!["metric", "imperial"],
    ]
}

/// A file: one value of each choice, in the order of [`choices`].
pub type File = Vec<&'static str>;

/// Pairs of values of two choices as numbers: choice, value, choice, value.
type Pair = (usize, usize, usize, usize);

fn pairs_of(file: &[usize]) -> Vec<Pair> {
    let all = |a: usize| (a + 1..file.len()).map(move |b| (a, b));
    (0..file.len()).flat_map(all).map(|(a, b)| (a, file[a], b, file[b])).collect()
}

/// Few files in which every pair stands. Each file begins with the first pair that is still missing, and takes of every
/// other choice the value with the most missing pairs, or the one whose turn it is.
pub fn pairwise() -> Vec<File> {
    let choices = choices();
    let mut missing: std::collections::BTreeSet<Pair> = std::collections::BTreeSet::new();
    for (a, first) in choices.iter().enumerate() {
        for (b, second) in choices.iter().enumerate().skip(a + 1) {
            missing.extend((0..first.len()).flat_map(|x| (0..second.len()).map(move |y| (a, x, b, y))));
        }
    }
    let mut files = Vec::new();
    // The pairs of the two longest choices set the number of files: begin with those.
    let longest = |pair: &Pair| choices[pair.0].len() * choices[pair.2].len();
    while let Some(&(a, x, b, y)) = missing.iter().rev().max_by_key(|pair| longest(pair)) {
        let mut file: Vec<Option<usize>> = vec![None; choices.len()];
        (file[a], file[b]) = (Some(x), Some(y));
        for choice in 0..choices.len() {
            if file[choice].is_some() {
                continue;
            }
            let gain = |value: usize| {
                let pair = |(other, of): (usize, usize)| match other < choice {
                    true => (other, of, choice, value),
                    false => (choice, value, other, of),
                };
                let given = file.iter().enumerate().filter_map(|(other, of)| Some((other, (*of)?)));
                given.filter(|&at| missing.contains(&pair(at))).count()
            };
            let values = choices[choice].len();
            let turn = |value: usize| (value + files.len()) % values;
            file[choice] = (0..values).map(turn).rev().max_by_key(|&value| gain(value));
        }
        let file: Vec<usize> = file.into_iter().flatten().collect();
        pairs_of(&file).iter().for_each(|pair| _ = missing.remove(pair));
        files.push(file);
    }
    let name = |file: Vec<usize>| file.iter().zip(&choices).map(|(&value, of)| of[value]).collect();
    files.into_iter().map(name).collect()
}

/// Everything with everything.
pub fn every() -> Vec<File> {
    choices().iter().fold(vec![Vec::new()], |files, values| {
        let with = |file: &File, value: &&'static str| [file.as_slice(), &[*value]].concat();
        files.iter().flat_map(|file| values.iter().map(move |value| with(file, value))).collect()
    })
}

#[test]
fn every_pair_of_values_stands_in_some_file() {
    let files = pairwise();
    for (a, first) in choices().iter().enumerate() {
        for (b, second) in choices().iter().enumerate().filter(|(b, _)| *b != a) {
            for (x, y) in first.iter().flat_map(|x| second.iter().map(move |y| (x, y))) {
                let stands = files.iter().any(|f| f[a] == *x && f[b] == *y);
                assert!(stands, "{x} with {y}");
            }
        }
    }
    assert!(files.len() < 50, "{}", files.len());
}

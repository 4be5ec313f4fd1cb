//! Hyphenation against npm's `hyphen`: every word of our own phrases in every language. What differs is listed in
//! `hyphens.tsv` and was read; another difference fails. `HITCHPRESS_HYPHEN` names the folder of the package.

use hitchpress::text::hyphenate;
use hitchpress::words::Words;
use std::collections::BTreeSet;
use std::fmt::Write as _;
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

/// Fewest letters before and after an added hyphen in our setting; `hyphen` keeps to two and two.
const MIN_LETTERS: (usize, usize) = (2, 3);

/// Which of the package's pattern sets a language of ours is held against. Our English patterns are American, also for
/// British spelling.
fn patterns(language: &str) -> &'static str {
    match language {
        "en-GB" | "en-US" => "en-us",
        "de-DE" => "de-1996",
        "fr-FR" => "fr",
        "es-ES" => "es",
        other => panic!("which patterns are those of {other}?"),
    }
}

/// All words of a language's phrases, names left out, and how many there are with repetitions.
fn words_of(language: &str) -> (BTreeSet<String>, usize) {
    let words = Words::shipped(language).expect("the words are shipped");
    let mut running = 0;
    let mut out = BTreeSet::new();
    for form in words.keys().flat_map(|key| words.forms(key)) {
        let parts = form.split('{').enumerate();
        let said = parts.map(|(at, part)| if at == 0 { part } else { part.split_once('}').map_or("", |p| p.1) });
        for word in said.flat_map(|part| part.split(|c: char| !c.is_alphabetic())).filter(|word| !word.is_empty()) {
            running += 1;
            out.insert(word.to_string());
        }
    }
    (out, running)
}

/// A word with hyphens at these bytes.
fn shown(word: &str, places: &[usize]) -> String {
    let mut out = String::new();
    for (at, c) in word.char_indices() {
        if places.contains(&at) {
            out.push('-');
        }
        out.push(c);
    }
    out
}

/// The package's answer without hyphens that stand nearer to an end than ours may.
fn theirs(answer: &str) -> String {
    let letters = answer.chars().filter(|c| *c != '-').count();
    let (mut before, mut out) = (0, String::new());
    for c in answer.chars() {
        match c {
            '-' if before < MIN_LETTERS.0 || letters - before < MIN_LETTERS.1 => {}
            '-' => out.push('-'),
            c => {
                before += 1;
                out.push(c);
            }
        }
    }
    out
}

fn ask(package: &Path, patterns: &str, words: &BTreeSet<String>) -> Vec<String> {
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/outside/hyphens.cjs");
    let mut node = Command::new("node")
        .args([script.as_os_str(), package.as_os_str(), patterns.as_ref()])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap_or_else(|e| panic!("node cannot run: {e}"));
    let list = words.iter().fold(String::new(), |all, word| all + word + "\n");
    node.stdin.take().expect("a pipe").write_all(list.as_bytes()).expect("node reads");
    let output = node.wait_with_output().expect("node ends");
    assert!(output.status.success(), "node failed on {patterns}");
    String::from_utf8(output.stdout).expect("UTF-8").lines().map(str::to_string).collect()
}

#[test]
fn hyphenation_agrees_with_another_program_but_for_the_differences_that_were_read() {
    let package = std::env::var_os("HITCHPRESS_HYPHEN").map(PathBuf::from);
    let package = package.expect("HITCHPRESS_HYPHEN names the folder of npm's `hyphen`; .ci/run installs it");
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/outside/hyphens.tsv");
    let listed = std::fs::read_to_string(&file).expect("the list of differences");
    let mut found = String::new();
    for language in Words::languages() {
        let (words, running) = words_of(language);
        let answers = ask(&package, patterns(language), &words);
        assert_eq!(answers.len(), words.len(), "{language}");
        assert!(running >= 2_000, "{language} has only {running} words");
        let mut differ = 0;
        let mut broken = 0;
        for (word, answer) in words.iter().zip(&answers) {
            let (ours, theirs) = (shown(word, &hyphenate(word, language)), theirs(answer));
            broken += usize::from(ours.contains('-'));
            if ours != theirs {
                differ += 1;
                let _ = writeln!(found, "{language}\t{ours}\t{theirs}");
            }
        }
        println!(
            "{language}: {running} words, {} of them different, {broken} with a hyphen, {differ} otherwise",
            words.len()
        );
        // Patterns that were not found would agree on words too short to be hyphenated.
        assert!(broken * 8 > words.len(), "{language}: only {broken} of {} words are hyphenated", words.len());
    }
    let head: String = listed.lines().filter(|line| line.starts_with('#')).map(|line| format!("{line}\n")).collect();
    if std::env::var_os("RENEW_GOLDEN").is_some() {
        std::fs::write(&file, head + &found).expect("the list is written");
        panic!("written anew: read {}", file.display());
    }
    assert_eq!(listed, head + &found, "the differences are not those listed in {}", file.display());
}

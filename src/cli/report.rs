//! The only place that prints. Diagnostics become excerpts on standard error; data goes to standard output.

use super::outcome::Outcome;
use super::write::NotWritten;
use crate::diag::{Diagnostic, Report, Severity, Span};
use crate::source::{Sources, steers, unsteered};
use annotate_snippets::{Annotation, AnnotationKind, Element, Group, Level, Origin, Renderer, Snippet};
use serde::Serialize;
use std::ffi::OsStr;
use std::io::{IsTerminal, Write};
use std::path::Path;

/// Diagnostics that are shown in full; nobody reads more at a time.
const MAX_SHOWN: usize = 60;
/// Lines of one excerpt.
const MAX_LINES: usize = 4;
/// A line longer than this, in bytes, is not shown: it is no line a maker wrote.
const MAX_LINE_LENGTH: usize = 10_000;

/// Shows a report on standard error, with colour on a terminal unless `NO_COLOR` is set, and a line that counts.
pub(crate) fn show(report: &Report, sources: &Sources) {
    if report.is_empty() {
        return;
    }
    print(&rendered(report, sources, in_colour()));
}

/// Shows a report with what could not be written, and says what that amounts to: a place that must not be replaced is wrong
/// use.
pub(crate) fn not_written(error: NotWritten, mut report: Report, sources: &Sources) -> Outcome {
    let refused = matches!(error, NotWritten::Refused(_));
    report.push(error.into_diagnostic());
    show(&report, sources);
    if refused { Outcome::WrongUse } else { Outcome::MachineFailed }
}

/// Whether standard error is a terminal of somebody who likes colour.
fn in_colour() -> bool {
    let unwanted = std::env::var_os("NO_COLOR").is_some_and(|value| !value.is_empty());
    is_terminal() && !unwanted
}

/// Whether somebody watches on a terminal that understands what steers it.
fn is_terminal() -> bool {
    std::io::stderr().is_terminal() && understands(std::env::var_os("TERM").as_deref())
}

/// Whether a terminal of this name understands what steers it: POSIX names one that does not "dumb" (from memory).
fn understands(terminal: Option<&OsStr>) -> bool {
    terminal.is_none_or(|name| name != "dumb")
}

/// Each diagnostic as it is shown, with its weight: for reports that are shown later, when their sources are gone.
pub(crate) fn each(report: &Report, sources: &Sources) -> Vec<(Severity, String)> {
    let renderer = if in_colour() { Renderer::styled() } else { Renderer::plain() };
    report.iter().take(MAX_SHOWN).map(|it| (it.severity, one(it, sources, &renderer))).collect()
}

/// A line or more on standard error. Names of files and words of the maker may stand in it: none of them steers a terminal.
pub(crate) fn say(text: &str) {
    print(&unsteered(text));
}

/// A report that was rendered, with colours where it has some.
pub(crate) fn say_rendered(text: &str) {
    print(text);
}

fn print(text: &str) {
    // Where standard error is closed nothing can be written to it; the exit code still says how it ended.
    let _said = writeln!(std::io::stderr(), "{}", text.trim_end());
}

/// A path as it is pasted into a shell: as it is where every shell takes it for one word, else between quotation marks that
/// both the shells of Unix and those of Windows know, and single ones where only the former can be meant.
pub(crate) fn pasted(path: &Path) -> String {
    let shown = path.display().to_string();
    let plain = |c: char| c.is_alphanumeric() || "._-/:\\".contains(c);
    // A backslash parts folders on Windows and quotes on Unix.
    if !shown.is_empty() && shown.chars().all(|c| plain(c) && (cfg!(windows) || c != '\\')) {
        shown
    } else if cfg!(windows) || !shown.contains(['"', '$', '`', '!', '\\']) {
        format!("\"{shown}\"")
    } else {
        format!("'{}'", shown.replace('\'', "'\\''"))
    }
}

/// "1 sheet", "12 sheets".
pub(crate) fn counted(n: usize, one: &str, several: &str) -> String {
    format!("{n} {}", if n == 1 { one } else { several })
}

/// How far a long work is, in one line that the next one takes the place of. Only for somebody who watches.
pub(crate) fn progress(text: &str) {
    let mut out = std::io::stderr();
    if is_terminal() {
        let _said = write!(out, "\r\x1b[K{}", unsteered(text));
        let _said = out.flush();
    }
}

/// Data on standard output. A reader may close the pipe before the end: that is no failure.
pub(crate) fn data(text: &str) -> Outcome {
    bytes(text.as_bytes())
}

/// A whole file on standard output.
pub(crate) fn bytes(bytes: &[u8]) -> Outcome {
    let mut out = std::io::stdout().lock();
    match out.write_all(bytes).and_then(|()| out.flush()) {
        Ok(()) => Outcome::Done,
        Err(error) if error.kind() == std::io::ErrorKind::BrokenPipe => Outcome::Done,
        Err(error) => {
            say(&format!("failure: standard output cannot be written: {error}"));
            Outcome::MachineFailed
        }
    }
}

/// A report as it is shown.
pub fn rendered(report: &Report, sources: &Sources, colour: bool) -> String {
    let renderer = if colour { Renderer::styled() } else { Renderer::plain() };
    let mut text = String::new();
    for diagnostic in faults_first(report).into_iter().take(MAX_SHOWN) {
        text.push_str(&one(diagnostic, sources, &renderer));
        text.push_str("\n\n");
    }
    if report.len() > MAX_SHOWN {
        text.push_str(&format!("... and {} more\n\n", report.len() - MAX_SHOWN));
    }
    text.push_str(&count(report));
    text.push('\n');
    text
}

/// What forbids composing before what is only worth knowing: nobody looks for the one fault below ten pieces of advice.
fn faults_first(report: &Report) -> Vec<&Diagnostic> {
    let (advice, faults): (Vec<_>, Vec<_>) = report.iter().partition(|it| it.severity == Severity::Advice);
    faults.into_iter().chain(advice).collect()
}

/// Where a diagnostic points, or where the character stands that it names.
fn span_of(diagnostic: &Diagnostic, sources: &Sources) -> Option<Span> {
    diagnostic.span.or_else(|| sources.first_of(diagnostic.character?))
}

fn one(diagnostic: &Diagnostic, sources: &Sources, renderer: &Renderer) -> String {
    let level = match diagnostic.severity {
        Severity::Fault => Level::ERROR.with_name(Some("fault")),
        Severity::Failure => Level::ERROR.with_name(Some("failure")),
        Severity::Advice => Level::WARNING.with_name(Some("advice")),
    };
    // Nothing from a file must steer the terminal.
    let message = unsteered(&annotate_snippets::normalize_untrusted_str(&diagnostic.message));
    let mut group = Group::with_title(level.primary_title(message).id(diagnostic.id));
    let mut places: Vec<(Span, Option<&str>, AnnotationKind)> = Vec::new();
    if let Some(span) = span_of(diagnostic, sources) {
        places.push((span, diagnostic.label.as_deref(), AnnotationKind::Primary));
    }
    places.extend(diagnostic.others.iter().map(|(span, words)| (*span, Some(words.as_str()), AnnotationKind::Context)));
    for (span, label, kind) in places {
        group = group.element(place(span, label, kind, sources));
    }
    for hint in &diagnostic.hints {
        let hint = unsteered(&annotate_snippets::normalize_untrusted_str(hint));
        group = group.element(Level::HELP.with_name(Some("hint")).message(hint));
    }
    renderer.render(&[group])
}

fn place<'a>(span: Span, label: Option<&'a str>, kind: AnnotationKind, sources: &'a Sources) -> Element<'a> {
    let path = unsteered(&sources.get(span.source).path().display().to_string());
    let Some((line, column)) = sources.line_column(span) else { return Origin::path(path).into() };
    match excerpt(span, sources) {
        Some((text, range)) => {
            let annotation: Annotation<'_> = kind.span(range).label(label.map(unsteered));
            // As long in bytes as it was, so that the place is still true.
            Snippet::source(unsteered_lines(text)).line_start(line).path(path).annotation(annotation).into()
        }
        None => Origin::path(path).line(line).char_column(column).into(),
    }
}

/// Lines of a file without what would steer a terminal; ends of lines stay as they are written.
fn unsteered_lines(text: &str) -> String {
    let parts: Vec<String> = text.split('\r').map(unsteered).collect();
    parts.join("\r")
}

/// The lines a span lies in, and where it lies in them. `None` where there is nothing to show: the whole file is meant.
fn excerpt(span: Span, sources: &Sources) -> Option<(&str, std::ops::Range<usize>)> {
    if span.start == 0 && span.end == 0 {
        return None;
    }
    let text = sources.get(span.source).text()?;
    let start = text.floor_char_boundary(span.start.min(text.len()));
    let end = text.ceil_char_boundary(span.end.clamp(start, text.len()));
    let mark = if text.starts_with('\u{feff}') { '\u{feff}'.len_utf8() } else { 0 };
    let from = text[..start].rfind('\n').map_or(mark, |at| at + 1).min(start);
    let to = text[start..].match_indices('\n').map(|(at, _)| start + at).take(MAX_LINES).find(|at| *at >= end);
    let to = to.or_else(|| text[start..].match_indices('\n').map(|(at, _)| start + at).nth(MAX_LINES - 1));
    let to = to.unwrap_or(text.len());
    let lines = text[from..to].trim_end_matches('\r');
    if lines.len() > MAX_LINE_LENGTH {
        return None;
    }
    Some((lines, (start - from).min(lines.len())..(end - from).min(lines.len())))
}

/// "2 faults, 1 piece of advice".
fn count(report: &Report) -> String {
    let of = |severity| report.iter().filter(|d| d.severity == severity).count();
    let parts = [
        (of(Severity::Failure), "failure", "failures"),
        (of(Severity::Fault), "fault", "faults"),
        (of(Severity::Advice), "piece of advice", "pieces of advice"),
    ];
    let said: Vec<String> = parts
        .iter()
        .filter(|(number, _, _)| *number > 0)
        .map(|(number, one, many)| format!("{number} {}", if *number == 1 { one } else { many }))
        .collect();
    said.join(", ")
}

/// A report for machines.
#[derive(Debug, Serialize)]
struct ReportMirror<'a> {
    faults: usize,
    advice: usize,
    diagnostics: Vec<DiagnosticMirror<'a>>,
}

#[derive(Debug, Serialize)]
struct DiagnosticMirror<'a> {
    id: &'a str,
    severity: &'static str,
    message: &'a str,
    #[serde(flatten)]
    place: PlaceMirror,
    hints: &'a [String],
    others: Vec<OtherMirror<'a>>,
}

/// Lines and columns count from 1; `null` where the file is not text or no file is to blame.
#[derive(Debug, Default, Serialize)]
struct PlaceMirror {
    file: Option<String>,
    line: Option<usize>,
    column: Option<usize>,
}

#[derive(Debug, Serialize)]
struct OtherMirror<'a> {
    #[serde(flatten)]
    place: PlaceMirror,
    message: &'a str,
}

/// A report as one JSON object, with a line end.
pub(crate) fn json(report: &Report, sources: &Sources) -> String {
    let place = |span: Option<Span>| {
        span.map_or_else(PlaceMirror::default, |span| {
            let at = sources.line_column(span);
            PlaceMirror {
                file: Some(sources.get(span.source).path().display().to_string()),
                line: at.map(|(line, _)| line),
                column: at.map(|(_, column)| column),
            }
        })
    };
    let diagnostics: Vec<DiagnosticMirror<'_>> = report
        .iter()
        .map(|d| DiagnosticMirror {
            id: d.id,
            severity: match d.severity {
                Severity::Fault => "fault",
                Severity::Advice => "advice",
                Severity::Failure => "failure",
            },
            message: &d.message,
            place: place(span_of(d, sources)),
            hints: &d.hints,
            others: d.others.iter().map(|(span, message)| OtherMirror { place: place(Some(*span)), message }).collect(),
        })
        .collect();
    let advice = report.iter().filter(|d| d.severity == Severity::Advice).count();
    let mirror = ReportMirror { faults: report.len() - advice, advice, diagnostics };
    // Strings and numbers alone always have a JSON form.
    let mut text = String::new();
    for c in serde_json::to_string_pretty(&mirror).unwrap_or_default().chars() {
        match (steers(c), u32::from(c)) {
            // Such characters stand in texts only, where JSON has another way to write them.
            (true, code) => text.push_str(&format!("\\u{code:04x}")),
            (false, _) => text.push(c),
        }
    }
    text.push('\n');
    text
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::path::PathBuf;

    #[cfg(unix)]
    #[test]
    fn a_path_is_pasted_as_one_word() {
        for path in ["little-boat", "Little Fox", "a'b", "$HOME", "say \"x\"", "a\\b", "Größe/é", "x;y", ""] {
            let typed = format!("printf %s {}", pasted(Path::new(path)));
            let told = std::process::Command::new("sh").args(["-c", &typed]).output().expect("a shell");
            assert_eq!(String::from_utf8_lossy(&told.stdout), path);
        }
    }

    #[test]
    fn a_terminal_that_understands_nothing_is_not_steered() {
        let of = |name: &str| understands(Some(OsStr::new(name)));
        assert!(!of("dumb") && of("xterm-256color") && understands(None));
    }

    fn sources(text: &str) -> Sources {
        let mut sources = Sources::new();
        sources.add(PathBuf::from("boat/project.toml"), text.as_bytes().to_vec());
        sources
    }

    #[test]
    fn a_fault_is_shown_with_its_line_its_words_and_its_hint() {
        let sources = sources("title = \"x\"\r\ncolor = \"ä\"\r\n");
        let mut report = Report::new();
        let span = Span::new(crate::diag::SourceId(0), 13, 18);
        report
            .push(Diagnostic::fault("unknown-key", "there is no key `color`").at(span).hint("did you mean `colour`?"));
        let text = rendered(&report, &sources, false);
        let wanted = "\
fault[unknown-key]: there is no key `color`
 --> boat/project.toml:2:1
  |
2 | color = \"ä\"
  | ^^^^^
  |
  = hint: did you mean `colour`?

1 fault
";
        assert_eq!(text, wanted);
        assert!(rendered(&report, &sources, true).contains('\u{1b}'));
    }

    #[test]
    fn every_place_of_a_file_can_be_shown() {
        for text in
            ["", "\n", "\u{feff}", "\u{feff}ä\r\n", "a\u{1b}[2Jb\n\n", "é\u{301}\t\u{202e}x", &"y".repeat(20_000)]
        {
            let sources = sources(text);
            for start in 0..=text.len().min(40) + 1 {
                for end in [start, start + 1, start + 7, usize::MAX] {
                    let mut report = Report::new();
                    let span = Span::new(crate::diag::SourceId(0), start, end);
                    let advice = Diagnostic::advice(crate::diag::Phrase::new("unused-yarn", "b\u{1b}[2J"));
                    report.push(advice.at(span).label("l").also(span, "o"));
                    let shown = rendered(&report, &sources, false);
                    assert!(shown.starts_with("advice[unused-yarn]") && !shown.contains('\u{1b}'), "{shown:?}");
                    assert!(json(&report, &sources).starts_with('{'));
                }
            }
        }
    }
}

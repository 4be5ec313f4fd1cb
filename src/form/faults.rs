//! What was found in a form, in the order in which the maker reads it.

use crate::diag::{Diagnostic, Phrase, Report, Severity};
use crate::source::Sources;

/// Diagnostics that one form can have; a file with more is some other file.
const MAX_DIAGNOSTICS: usize = 500;

/// Puts the report into the order of the files, and takes out what only follows from a fault of the notation on the
/// same line: one slip is one fault.
pub(crate) fn in_order(found: Report, sources: &Sources) -> Report {
    // Sorted and cut off first: finding a line means counting through the file.
    let mut found: Vec<Diagnostic> = found.iter().cloned().collect();
    found.sort_by_key(|d| d.span);
    let more = found.len().saturating_sub(MAX_DIAGNOSTICS);
    let faulty = found.iter().skip(MAX_DIAGNOSTICS).any(|d| d.severity != Severity::Advice);
    found.truncate(MAX_DIAGNOSTICS);
    let line = |d: &Diagnostic| d.span.and_then(|s| Some((s.source, sources.line_column(s)?.0)));
    let notation = ["unquoted-text", "impossible-date", "day-written-otherwise", "broken-notation", "repeated-key"];
    let broken: Vec<_> = found.iter().filter(|d| notation.contains(&d.id)).filter_map(line).collect();
    let mut report = Report::new();
    let repeated = |d: &Diagnostic, before: &[Diagnostic]| {
        d.id == "broken-notation"
            && before.iter().rev().any(|b| b.id == d.id && line(b) == line(d) && b.message == d.message)
    };
    for (at, diagnostic) in found.iter().enumerate() {
        if repeated(diagnostic, &found[..at]) {
            continue;
        }
        if notation.contains(&diagnostic.id) || !line(diagnostic).is_some_and(|l| broken.contains(&l)) {
            report.push(diagnostic.clone());
        }
    }
    if more > 0 {
        let rest = Diagnostic::advice(Phrase::new("more", "{more} more are not shown").with("more", more))
            .at_maybe(found.last().and_then(|d| d.span))
            .advise(Phrase::new("more-hint", "mend these first"));
        report.push(if faulty { Diagnostic { severity: Severity::Fault, ..rest } } else { rest });
    }
    report
}

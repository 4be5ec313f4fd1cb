//! How the piece is worked.

use super::yarns::Yarns;
use crate::chart::YarnId;
use crate::diag::{Diagnostic, Report};
use crate::form::{FormSection, Limits, Spanned};
use crate::project::{Level, Method, Side, Working};

/// The working section before the chart is known: the header yarn may still hang on it.
pub(super) struct WorkingDraft {
    pub(super) header_yarn: Option<YarnId>,
    working: Working,
}

impl WorkingDraft {
    pub(super) fn settled(self, header_yarn: YarnId) -> Working {
        Working { header_yarn, ..self.working }
    }
}

pub(super) fn check(top: &FormSection<'_>, yarns: &Yarns, level: Option<Level>, report: &mut Report) -> WorkingDraft {
    // Common practice, no source: 60 in lengths, 3 in tails, two rows waiting, a tenth of slack, 3 % of take-up, a margin of
    // 15 %, 25 % for beginners. The cord's margin is our judgement: cords are cut to one length, and
    // only a miscut one needs replacing.
    let usual = Working {
        legs_per_column: 1,
        first_row_from: Side::Left,
        method: Method::Carry,
        length_mm: 1524.0,
        tail_mm: 76.2,
        longest_carry_mm: Method::Carry.usual_longest_carry_mm(),
        most_rows_waiting: 2,
        carry_slack: 0.10,
        yarn_margin: if level == Some(Level::Basic) { 0.25 } else { 0.15 },
        cord_margin: 0.05,
        cord_take_up: 0.03,
        header_yarn: YarnId(0),
        header_rows: None,
    };
    let Some(section) = top.section("working", report) else {
        return WorkingDraft { header_yarn: None, working: usual };
    };
    let mm = |key: &str, least: f64, most: f64, usual: f64, report: &mut Report| {
        section.measure(key, Limits::mm(least, most), report).map_or(usual, |m| m.value)
    };
    let share = |key: &str, most: f64, usual: f64, report: &mut Report| {
        section.percent(key, most, report).map_or(usual, |p| p.value)
    };
    let method = section
        .choice("method", &[("carry", Method::Carry), ("areas", Method::Areas)], report)
        .map_or(usual.method, |m| m.value);
    let working = Working {
        legs_per_column: section.count("legs-per-column", 1, 2, report).map_or(1, |c| c.value as u8),
        first_row_from: section
            .choice("first-row-from", &[("left", Side::Left), ("right", Side::Right)], report)
            .map_or(usual.first_row_from, |s| s.value),
        method,
        length_mm: mm("length", 100.0, 50_000.0, usual.length_mm, report),
        tail_mm: mm("tail", 5.0, 1_000.0, usual.tail_mm, report),
        longest_carry_mm: mm("longest-carry", 0.0, 1_000.0, method.usual_longest_carry_mm(), report),
        most_rows_waiting: section
            .count("most-rows-waiting", 0, 100, report)
            .map_or(usual.most_rows_waiting, |c| c.value as usize),
        carry_slack: share("carry-slack", 100.0, usual.carry_slack, report),
        yarn_margin: share("yarn-margin", 200.0, usual.yarn_margin, report),
        cord_margin: share("cord-margin", 200.0, usual.cord_margin, report),
        cord_take_up: share("cord-take-up", 50.0, usual.cord_take_up, report),
        header_yarn: usual.header_yarn,
        header_rows: header_rows(&section, report),
    };
    // The shortest length worth cutting holds both tails and a few knots (our judgement: as much again as one tail).
    if working.length_mm < 3.0 * working.tail_mm
        && let Some(span) = section.place("length").or(section.place("tail"))
    {
        report.push(
            Diagnostic::fault("tails-eat-the-length", "the two tails leave hardly any yarn to tie with")
                .at(span)
                .hint("make `length` at least three times as long as `tail`"),
        );
    }
    let header_yarn = header_yarn(&section, yarns, report);
    section.close(report);
    WorkingDraft { header_yarn, working }
}

fn header_rows(section: &FormSection<'_>, report: &mut Report) -> Option<usize> {
    let Spanned { value, span } = section.count("header-rows", 0, 200, report)?;
    if value % 2 != 0 {
        report.push(
            Diagnostic::fault(
                "odd-header-rows",
                format!("`{value}` header rows would turn the chart's first row round"),
            )
            .at(span)
            .hint(format!("take an even number, `{}` for example", value + 1)),
        );
    }
    usize::try_from(value).ok()
}

fn header_yarn(section: &FormSection<'_>, yarns: &Yarns, report: &mut Report) -> Option<YarnId> {
    let Spanned { value, span } = section.text("header-yarn", report)?;
    let letters = yarns.letters();
    if let Some(at) = letters.iter().position(|l| l.is_some_and(|l| value.chars().eq([l]))) {
        return u8::try_from(at).ok().map(YarnId);
    }
    // A yarn whose own letter is unreadable may be the one meant.
    if letters.iter().all(Option::is_some) {
        let letters: Vec<char> = letters.into_iter().flatten().collect();
        let fault = Diagnostic::fault("unknown-letter", format!("`{value}` is no yarn's letter")).at(span);
        report.push(crate::chart::suggest_letter(fault, &value, &letters));
    }
    None
}

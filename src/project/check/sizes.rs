//! The sizes of a project: what each has of its own. The first one is the project as it stands.

use super::making;
use crate::diag::{Diagnostic, Phrase, Report, Severity};
use crate::form::{Form, FormSection, Spanned};
use crate::project::{PanelSize, Project};

/// Most sizes of one design.
const MAX_SIZES: usize = 12;
/// What a size may have of its own.
const OWN: [&str; 7] = ["chart", "photograph", "photograph-words", "photograph-crop", "hanging", "bottom", "finishing"];

/// The names of the sizes, each with its place among the sections. What they have of their own is read by
/// [`settled`], each in its place in the whole form.
pub(super) fn read(top: &FormSection<'_>, report: &mut Report) -> Vec<(usize, Spanned<String>)> {
    let sections = top.sections("size", report);
    if let Some(surplus) = sections.get(MAX_SIZES) {
        let message = format!("the project has {} sizes", sections.len());
        let hint = format!("keep at most {MAX_SIZES}, and give the others a project of their own");
        report.push(Diagnostic::fault("too-many-sizes", message).at(surplus.span()).hint(hint));
    }
    let mut names: Vec<(usize, Spanned<String>)> = Vec::new();
    for (at, section) in sections.iter().take(MAX_SIZES).enumerate() {
        section.require("name", "\"large\"", report);
        let name = section.text("name", report);
        asked_for(section);
        section.close(report);
        let own = OWN.iter().find_map(|key| section.place(key));
        if let Some(span) = own.filter(|_| at == 0) {
            report.push(
                Diagnostic::fault("first-size", "the first size is the project as it stands above")
                    .at(span)
                    .hint("give it a name only; `chart` above the first heading is its chart"),
            );
        }
        if at > 0 && section.misses("chart") {
            report.push(
                Diagnostic::fault("missing-key", "`chart` is missing in [[size]]")
                    .at(section.span())
                    .hint("write `chart = \"large.txt\"`: each size after the first has a chart of its own"),
            );
        }
        let Some(name) = name else { continue };
        let same = |(_, other): &&(usize, Spanned<String>)| other.value.to_lowercase() == name.value.to_lowercase();
        if let Some((_, first)) = names.iter().find(same) {
            let message = format!("two sizes have the name `{}`", name.value);
            let fault = Diagnostic::fault("repeated-name", message).at(name.span);
            report.push(fault.also(first.span, "first given here").hint("give each a name of its own"));
        }
        names.push((at, name));
    }
    names
}

/// Asks for everything that a size may have, so that it is known; what is wrong with it is told where it is settled.
fn asked_for(section: &FormSection<'_>) {
    let mut quiet = Report::new();
    let _texts = ["chart", "photograph"].map(|key| section.text(key, &mut quiet));
    let _words = section.words("photograph-words", &mut quiet);
    let _crop = super::about::crop(section, &mut quiet);
    let _sections = (making::hanging(section, &mut quiet), making::bottom(section, &mut quiet));
    let _finishing = making::finishing(section, false, &mut quiet);
}

/// The project with all its sizes, each settled from the form with that size's keys in their places. What they have wrong
/// together is told once. `settle` makes a project of a form.
pub(super) fn settled(
    form: &Form,
    project: Option<Project>,
    report: &mut Report,
    mut settle: impl FnMut(&Form, &mut Report) -> Option<Project>,
) -> Option<Project> {
    let names = read(&form.top(), report);
    let mut sizes = Vec::new();
    for (at, name) in names {
        let own = match at {
            0 => None,
            at => {
                let laid = form.with_entry_over("size", at, &OWN);
                let mut found = Report::new();
                let own = settle(&laid, &mut found);
                let new: Vec<Diagnostic> =
                    found.iter().filter(|d| !report.iter().any(|known| known == *d)).cloned().collect();
                let of = Phrase::new("in-size", "in the size `{name}` {what}").with("name", &name.value);
                for diagnostic in new {
                    report.push(match diagnostic.severity {
                        Severity::Advice => diagnostic.put_into(|what| of.clone().with("what", what)),
                        Severity::Fault | Severity::Failure => diagnostic,
                    });
                }
                let Some(own) = own else { continue };
                Some(Box::new(own.named_size(&name.value)))
            }
        };
        sizes.push(PanelSize { name: name.value, project: own, place: name.span });
    }
    let project = project.filter(|_| !report.has_faults())?;
    let Some(first) = sizes.first().map(|size| size.name.clone()) else { return Some(project) };
    let mut project = project.named_size(&first);
    project.sizes = sizes;
    Some(project)
}

//! Where tools are sold or shown.

use super::address;
use crate::diag::{Diagnostic, Report};
use crate::form::FormSection;
use crate::project::ToolLink;

/// Tools by name. A booklet lists those that this panel needs.
pub(crate) const TOOLS: [&str; 20] = [
    "scissors",
    "tape-measure",
    "board",
    "rail",
    "needle",
    "clips",
    "tape",
    "pencil",
    "string",
    "comb",
    "sewing",
    "iron",
    "staple-gun",
    "hammer",
    "sandpaper",
    "saw",
    "gloves",
    "glue-gun",
    "drill",
    "eye-protection",
];

pub(super) fn check(top: &FormSection<'_>, report: &mut Report) -> Vec<ToolLink> {
    let names = TOOLS.map(|tool| (tool, tool));
    let mut all: Vec<ToolLink> = Vec::new();
    for entry in top.sections("tool", report) {
        entry.require("name", "\"comb\"", report);
        entry.require("link", "\"https://...\"", report);
        let name = entry.choice("name", &names, report);
        let link = address::read(&entry, "link", false, report);
        entry.close(report);
        let (Some(name), Some(link)) = (name, link) else { continue };
        if all.iter().any(|known| known.tool == name.value) {
            report.push(
                Diagnostic::fault("repeated-tool", format!("the tool `{}` stands here a second time", name.value))
                    .at(name.span)
                    .hint("keep one of them"),
            );
        }
        all.push(ToolLink { tool: name.value, link });
    }
    all
}

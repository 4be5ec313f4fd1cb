//! From layout, look and papers to a clean [`Edition`]. Read as a project is: all faults at once, in the order of the files.

use super::layout::{self, Layout};
use super::{Edition, OwnFont, look, paper};
use crate::catalogue::{EditionName, LookName, PaperName};
use crate::diag::{Diagnostic, Report, SourceId, Span};
use crate::form::{self, nearest};
use crate::geom::Length;
use crate::source::Sources;
use std::path::{Path, PathBuf};

/// Most bytes of a file that a layout or a look names.
const MAX_FILE_BYTES: u64 = 64 << 20;

/// The layout of a shipped edition.
pub(super) const fn layout_of(edition: EditionName) -> &'static str {
    match edition {
        EditionName::Booklet => include_str!("../../layouts/booklet.toml"),
        EditionName::Chart => include_str!("../../layouts/chart.toml"),
        EditionName::LargePrint => include_str!("../../layouts/large-print.toml"),
        EditionName::Materials => include_str!("../../layouts/materials.toml"),
    }
}

/// A shipped look.
pub(super) const fn text_of(look: LookName) -> &'static str {
    match look {
        LookName::Quiet => include_str!("../../layouts/looks/quiet.toml"),
        LookName::Workshop => include_str!("../../layouts/looks/workshop.toml"),
        LookName::LargePrint => include_str!("../../layouts/looks/large-print.toml"),
    }
}

/// Which files an edition is made from.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Choice {
    /// Shipped edition.
    pub(crate) edition: EditionName,
    /// The maker's own layout, already read, instead of the shipped one.
    pub(crate) own: Option<SourceId>,
    /// Shipped look instead of the layout's.
    pub(crate) look: Option<LookName>,
    /// Paper.
    pub(crate) paper: PaperName,
}

/// Reads and checks an edition. `None` means the report has at least one fault.
pub(crate) fn load(choice: Choice, sources: &mut Sources, report: &mut Report) -> Option<Edition> {
    let mut found = Report::new();
    let edition = read(choice, sources, &mut found);
    let faulty = found.has_faults();
    report.extend(form::in_order(found, sources));
    edition.filter(|_| !faulty)
}

fn read(choice: Choice, sources: &mut Sources, report: &mut Report) -> Option<Edition> {
    let source = match choice.own {
        Some(source) => source,
        None => shipped("layouts", choice.edition.name(), layout_of(choice.edition), sources),
    };
    let text = sources.text_of(source, report).map(str::to_owned)?;
    let layout = layout::check(&text, source, report);
    let look = look_of(choice, &layout, source, sources, report);
    let papers = shipped("layouts", "papers", paper::PAPERS, sources);
    let paper = paper::check(papers, choice.paper, report);
    let Layout { sections, new_page, contents_over, running_head, folio, facing, chart, .. } = layout;
    let (look, paper) = (look?, paper?);
    // What no layout says: the purpose of the file does.
    let (in_fours, in_black, bleed) = (false, false, Length::ZERO);
    Some(Edition {
        sections,
        new_page,
        contents_over: contents_over?,
        running_head: running_head?,
        folio: folio?,
        facing,
        in_fours,
        in_black,
        bleed,
        chart: chart?,
        look,
        paper,
    })
}

/// The look that is asked for, else the layout's: a shipped one, or in a layout of the maker's own a file beside it.
fn look_of(
    choice: Choice,
    layout: &Layout,
    source: SourceId,
    sources: &mut Sources,
    report: &mut Report,
) -> Option<super::Look> {
    let look_source = match (choice.look, &layout.look) {
        (Some(look), _) => shipped("layouts/looks", look.name(), text_of(look), sources),
        (None, Some(named)) if choice.own.is_some() && named.value.ends_with(".toml") => {
            beside(source, &named.value, named.span, sources, report)?
        }
        (None, Some(named)) => match LookName::named(&named.value) {
            Some(look) => shipped("layouts/looks", look.name(), text_of(look), sources),
            None => {
                let fault = Diagnostic::fault("unknown-look", format!("there is no look `{}`", named.value));
                let near = nearest(&named.value, LookName::WORDS.iter().copied());
                report.push(fault.at(named.span).hint(match near {
                    Some(near) => format!("did you mean `{near}`?"),
                    None => format!("choose one of {}, or name a file beside the layout", LookName::WORDS.join(", ")),
                }));
                return None;
            }
        },
        // The layout has no look that could be read, and its fault is told.
        (None, None) => return None,
    };
    let text = sources.text_of(look_source, report).map(str::to_owned)?;
    let (mut look, fonts) = look::check(&text, look_source, report)?;
    for (role, path) in fonts {
        let Some(font) = beside(look_source, &path.value, path.span, sources, report) else { continue };
        let bytes = sources.get(font).bytes().to_vec();
        look.fonts.push(OwnFont { role, name: path.value, bytes, at: path.span });
    }
    Some(look)
}

fn shipped(folder: &str, name: &str, text: &str, sources: &mut Sources) -> SourceId {
    sources.add(PathBuf::from(format!("{folder}/{name}.toml")), text.as_bytes().to_vec())
}

/// A file that the maker's own layout or look names, relative to that file and never outside its folder.
fn beside(source: SourceId, named: &str, span: Span, sources: &mut Sources, report: &mut Report) -> Option<SourceId> {
    let folder = sources.get(source).path().parent().map(Path::to_path_buf).unwrap_or_default();
    let read = sources.inside(&folder, named).and_then(|path| sources.read(&path, MAX_FILE_BYTES));
    read.map_err(|fault| report.push(fault.at(span))).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_fault_in_a_shipped_file_names_the_place_where_it_lies() {
        let editions = EditionName::ALL.iter().map(|it| ("layouts", it.name(), layout_of(*it)));
        let looks = LookName::ALL.iter().map(|it| ("layouts/looks", it.name(), text_of(*it)));
        for (folder, name, text) in editions.chain(looks).chain([("layouts", "papers", paper::PAPERS)]) {
            let mut sources = Sources::new();
            let id = shipped(folder, name, text, &mut sources);
            let file = Path::new(env!("CARGO_MANIFEST_DIR")).join(sources.get(id).path());
            assert_eq!(std::fs::read_to_string(file).ok().as_deref(), Some(text), "{name}");
        }
    }

    #[test]
    fn every_shipped_edition_is_whole_in_every_look_on_every_paper() {
        for edition in EditionName::ALL {
            for look in LookName::ALL {
                for paper in PaperName::ALL {
                    let choice = Choice { edition: *edition, own: None, look: Some(*look), paper: *paper };
                    let mut report = Report::new();
                    let found = load(choice, &mut Sources::in_memory(), &mut report);
                    assert!(found.is_some() && report.is_empty(), "{edition} {look} {paper}: {report:?}");
                }
            }
        }
    }

    fn faults(layout: &str, look: &str) -> Vec<(&'static str, String, Vec<String>)> {
        let mut sources = Sources::in_memory();
        let own = sources.lay_over(PathBuf::from("nowhere/layout.toml"), layout.as_bytes().to_vec());
        sources.lay_over(PathBuf::from("nowhere/look.toml"), look.as_bytes().to_vec());
        let choice = Choice { edition: EditionName::Booklet, own: Some(own), look: None, paper: PaperName::A4 };
        let mut report = Report::new();
        let found = load(choice, &mut sources, &mut report);
        assert_eq!(found.is_none(), report.has_faults());
        report.iter().map(|it| (it.id, it.message.clone(), it.hints.clone())).collect()
    }

    /// The shipped booklet with a look beside it.
    fn own_layout() -> String {
        layout_of(EditionName::Booklet).replace("look = \"quiet\"", "look = \"look.toml\"")
    }

    #[test]
    fn all_faults_of_a_layout_and_its_look_are_told_at_once_with_what_was_meant() {
        let layout = own_layout()
            .replace("\"care\",", "\"caer\",")
            .replace("contents-over = 8", "contents-ower = 8")
            .replace("least-cell = \"4 mm\"", "least-cell = \"1 mm\"")
            .replace("folio = true\n", "folio = true\npages = \"faced\"\n");
        let look = text_of(LookName::Quiet)
            .replace("size = \"34 pt\"", "size = \"34\"")
            .replace("text = \"#211e1b\"", "text = \"#211e1\"")
            .replace("[styles.maker]", "[styles.makers]");
        let said = faults(&layout, &look);
        let ids: Vec<&str> = said.iter().map(|(id, ..)| *id).collect();
        let wanted = [
            "unknown-choice",
            "unknown-key",
            "unknown-choice",
            "cells-too-small",
            "not-a-colour",
            "no-unit",
            "unknown-key",
        ];
        assert_eq!(ids, wanted, "{said:#?}");
        let hints = |at: usize| said[at].2.join("; ");
        assert!(hints(0).contains("`care`") && hints(1).contains("`contents-over`"), "{said:#?}");
        assert!(hints(2).contains("`facing`") && hints(6).contains("`maker`"), "{said:#?}");
    }

    #[test]
    fn a_layout_that_says_nothing_lacks_all_it_must_say() {
        let said = faults("", "");
        let lacks = |key: &str| said.iter().any(|(id, message, _)| *id == "missing-key" && message.contains(key));
        for key in ["format", "look", "sections", "contents-over", "running-head", "folio", "chart"] {
            assert!(lacks(key), "{key}: {said:#?}");
        }
    }

    #[test]
    fn a_pages_choice_that_is_none_is_a_fault_and_nothing_is_made() {
        let said = faults(&own_layout().replace("folio = true", "folio = true\npages = 2"), text_of(LookName::Quiet));
        assert_eq!(said.iter().map(|(id, ..)| *id).collect::<Vec<_>>(), ["wrong-kind"], "{said:#?}");
    }
}

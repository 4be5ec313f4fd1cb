//! What is pasted beside a pattern: whole, within the lengths asked for, and with every link.

use super::{choices, small};
use crate::catalogue::{EditionName, PaperName};
use crate::commonmark;
use crate::manuscript::listing::{ListedFile, Listing, ListingLimits, amounts, listing};
use crate::manuscript::pasted::{PasteFormat, pasted};
use crate::project::{Project, ToolLink};
use crate::words::Words;
use crate::workings::work_out;
use std::collections::BTreeSet;

fn written(project: &Project, words: &Words, students: Option<usize>, limits: ListingLimits) -> Listing {
    let papers = vec![PaperName::A4, PaperName::Letter];
    let files = [
        ListedFile { edition: EditionName::Booklet, papers: papers.clone(), pages: 31 },
        ListedFile { edition: EditionName::Materials, papers, pages: 1 },
    ];
    listing(project, &work_out(project), words, &files, &[words.language()], students, limits)
}

fn with_links() -> (Project, BTreeSet<String>) {
    let mut project = small();
    project.palette.0[0].link = Some("https://example.org/yarn?a=1&b=2".to_owned());
    project.cord.link = Some("example.org/cord".to_owned());
    project.hanging.link = Some("mailto:wood@example.org".to_owned());
    project.tools = vec![ToolLink { tool: "scissors", link: "http://example.org/snips".to_owned() }];
    project.about.video = Some("https://example.org/v".to_owned());
    let addresses = [
        "https://example.org/yarn?a=1&b=2",
        "https://example.org/cord",
        "mailto:wood@example.org",
        "http://example.org/snips",
        "https://example.org/v",
    ];
    (project, addresses.map(str::to_owned).into())
}

#[test]
fn titles_and_tags_keep_to_the_lengths_asked_for_in_every_language() {
    for tag in Words::languages() {
        let words = Words::shipped(tag).expect("shipped");
        for (title, tag_length, tags) in [(500, 200, 100), (80, 24, 12), (40, 15, 5), (12, 8, 1), (3, 3, 1)] {
            let mut project = small();
            project.about.title = "Stargazer at the Wharf".to_owned();
            project.about.keywords =
                vec!["ÉTÉ".to_owned(), "été".to_owned(), "a very long tag of the maker's".to_owned()];
            let made = written(&project, &words, None, ListingLimits { title, tag: tag_length, tags });
            assert!(!made.titles.is_empty() && made.tags.len() <= tags, "{tag}");
            assert!(made.titles.iter().all(|it| (1..=title).contains(&it.chars().count())), "{:?}", made.titles);
            assert!(made.tags.iter().all(|it| (1..=tag_length).contains(&it.chars().count())), "{:?}", made.tags);
            let different: BTreeSet<String> = made.tags.iter().map(|tag| tag.to_lowercase()).collect();
            assert_eq!(different.len(), made.tags.len(), "{:?}", made.tags);
            // The maker's own come first.
            assert_eq!(made.tags.first().map(String::as_str), Some("ÉTÉ"));
            assert!(made.titles.iter().all(
                |it| "Stargazer at the Wharf".starts_with(it.as_str()) || it.starts_with("Stargazer at the Wharf")
            ));
        }
    }
}

#[test]
fn every_project_has_a_description_and_materials_in_every_language() {
    for project in choices() {
        for tag in Words::languages() {
            let words = Words::shipped(tag).expect("shipped");
            let made = written(&project, &words, Some(6), ListingLimits::default());
            for format in [PasteFormat::Plain, PasteFormat::Markdown] {
                for text in [pasted(&made.description, format), pasted(&made.materials, format)] {
                    // A phrase that is missing is its key between guillemets.
                    assert!(!text.contains("«listing.") && !text.contains('{'), "{tag}: {text}");
                    assert!(!text.contains(['\u{a0}', '\u{202f}', '\u{fffc}']), "{tag}: {text}");
                }
            }
            let description = pasted(&made.description, PasteFormat::Plain);
            assert!(description.contains(&words.count("shop.pages", 31, &[]).replace(['\u{a0}', '\u{202f}'], " ")));
            let used = project.palette.iter().filter(|(id, _)| work_out(&project).tally.of(*id).total() > 0);
            for (_, yarn) in used {
                assert!(description.contains(&yarn.name), "{tag}: {description}");
                assert!(pasted(&made.materials, PasteFormat::Plain).contains(&yarn.name));
            }
        }
    }
}

#[test]
fn every_link_of_the_maker_is_in_the_materials_and_markdown_reads_as_such() {
    let (project, addresses) = with_links();
    for tag in Words::languages() {
        let words = Words::shipped(tag).expect("shipped");
        let made = written(&project, &words, None, ListingLimits::default());
        let plain = pasted(&made.materials, PasteFormat::Plain);
        for address in &addresses {
            assert!(plain.contains(address.trim_start_matches("mailto:")), "{tag}: {address}\n{plain}");
        }
        // Read by pulldown-cmark, a reader of CommonMark that was not written here.
        let read = commonmark::read(&pasted(&made.materials, PasteFormat::Markdown));
        assert_eq!(read.addresses.iter().cloned().collect::<BTreeSet<_>>(), addresses, "{tag}");
        assert_eq!(read.unsupported, Vec::<&str>::new(), "{tag}");
    }
}

#[test]
fn amounts_for_people_are_tables_that_no_name_breaks() {
    let mut project = small();
    project.palette.0[0].name = "a|b*c\nd".to_owned();
    let words = Words::shipped("en-GB").expect("shipped");
    let text = pasted(&amounts(&project, &work_out(&project), &words, Some(4)), PasteFormat::Markdown);
    let lines: Vec<&str> = text.lines().filter(|line| line.starts_with('|')).collect();
    let bars = |line: &str| line.replace("\\|", "").matches('|').count();
    let yarn = lines.iter().filter(|line| line.contains("a\\|b\\*c d")).count();
    // Once among the yarns, once among what is in a bag.
    assert_eq!(yarn, 2, "{text}");
    for (at, line) in lines.iter().enumerate().filter(|(_, line)| line.contains("---")) {
        assert_eq!(bars(line), bars(lines[at - 1]), "{text}");
        assert_eq!(bars(line), bars(lines[at + 1]), "{text}");
    }
    assert!(text.contains("to buy") || text.contains("To buy"), "{text}");
}

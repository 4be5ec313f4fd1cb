//! What can hurt is said where it must be, and nowhere else.

use super::{blocks, choices, small, whole, written};
use crate::catalogue::SectionName;
use crate::manuscript::dump::dump;
use crate::manuscript::{Block, Caution, Inline, Manuscript, Signal};
use crate::markup::unmarked;
use crate::project::{Backing, BottomFinish, Fixing, Glue, Project, Wood};

#[test]
fn without_glue_nothing_is_said_of_glue() {
    for project in choices().iter().filter(|project| project.finishing.glue == Glue::None) {
        let text = dump(&whole(project)).to_lowercase();
        assert!(!text.contains("glue"), "{}", text.lines().find(|line| line.contains("glue")).unwrap_or_default());
    }
}

#[test]
fn tools_and_dangers_of_a_choice_that_was_not_made_are_left_out() {
    let must_not = |project: &Project, words: &[&str]| {
        let text = dump(&whole(project)).to_lowercase();
        for word in words {
            let line = text.lines().find(|line| line.contains(word));
            assert_eq!(line, None, "`{word}`");
        }
    };
    let mut project = small();
    project.hanging.fixing = Fixing::Tied;
    project.finishing.beads = false;
    must_not(&project, &["staple gun", "hammer", "bead"]);
    let mut project = small();
    project.hanging.fixing = Fixing::Nails;
    must_not(&project, &["staple gun", "staples with"]);
    let mut project = small();
    project.finishing.sealing = false;
    must_not(&project, &["seal", "spray"]);
    let mut project = small();
    project.finishing.backing = Backing::None;
    must_not(&project, &["an iron", "press cloth", "fleece", "scorch"]);
    let mut project = small();
    project.hanging.wood = Wood::Dowel;
    must_not(&project, &["found wood", "driftwood", "branch"]);
}

/// The cautions that stand before the first step in which a word occurs, in any section but the gathered list.
fn cautions_before<'a>(manuscript: &'a Manuscript, word: &str) -> Vec<&'a Caution> {
    for block in blocks(manuscript) {
        if let Block::Steps(steps) = block
            && let Some(at) = steps.iter().position(|step| unmarked(&step.text).contains(word))
        {
            return steps.iter().take(at + 1).flat_map(|step| &step.cautions).collect();
        }
    }
    Vec::new()
}

#[test]
fn a_caution_stands_before_the_step_it_protects() {
    let craft = small();
    let mut hot = small();
    hot.finishing.glue = Glue::Hot;
    hot.hanging.fixing = Fixing::Nails;
    // Without a page of cautions they stand whole before their steps; with one, a line that names it.
    let brief = [whole(&craft), whole(&hot)];
    let (craft, hot) = (ungathered(&craft), ungathered(&hot));
    // Signal words by what could follow (ANSI Z535.6); which hazard is how grave is our judgement.
    let expected: [(&Manuscript, &str, Signal, &str); 10] = [
        (&craft, "Put the first staple", Signal::Warning, "staple gun"),
        (&craft, "drop of glue", Signal::Warning, "Some craft glues"),
        (&hot, "dot of hot glue", Signal::Caution, "glue gun"),
        (&hot, "Drive the first nail", Signal::Warning, "struck nail"),
        (&craft, "Press, do not slide", Signal::Caution, "hot iron"),
        (&craft, "Press, do not slide", Signal::Notice, "scorches"),
        (&craft, "Seal the wood", Signal::Caution, "Spray mist"),
        (&craft, "Brush the branch", Signal::Caution, "Found wood"),
        (&craft, "into the wall", Signal::Warning, "hidden wire"),
        (&craft, "Thread the beads", Signal::Warning, "choke"),
    ];
    for (manuscript, step, signal, says) in expected {
        let before = cautions_before(manuscript, step);
        let found = before.iter().find(|caution| unmarked(&caution.text).contains(says));
        assert_eq!(found.map(|caution| caution.signal), Some(signal), "{step}: {says}");
    }
    for caution in brief
        .iter()
        .flat_map(blocks)
        .filter_map(|block| if let Block::Steps(steps) = block { Some(steps) } else { None })
        .flatten()
        .flat_map(|step| &step.cautions)
    {
        let names_page =
            caution.text.iter().any(|it| matches!(it, Inline::PageOf(section) if *section == SectionName::Cautions));
        assert_eq!(names_page, caution.signal != Signal::Notice, "{}", unmarked(&caution.text));
        assert!(
            caution.signal == Signal::Notice || unmarked(&caution.text).chars().count() < 130,
            "{}",
            unmarked(&caution.text)
        );
    }
}

/// Everything but the page of cautions.
fn ungathered(project: &Project) -> Manuscript {
    let all = SectionName::ALL.iter().copied();
    let sections: Vec<SectionName> = all.filter(|id| *id != SectionName::Cautions).collect();
    written(project, &sections, Some(6))
}

#[test]
fn each_kind_of_glue_step_has_a_caution_of_its_own() {
    for glue in [Glue::Craft, Glue::Hot] {
        let mut project = small();
        project.finishing.glue = glue;
        project.bottom.finish = BottomFinish::Trimmed;
        for block in blocks(&whole(&project)) {
            let Block::Steps(steps) = block else { continue };
            for step in steps {
                let words = unmarked(&step.text).to_lowercase();
                assert!(!words.contains("glue") || !step.cautions.is_empty(), "{words}");
            }
        }
    }
}

#[test]
fn the_gathered_list_holds_every_caution_that_stands_before_a_step() {
    for project in choices() {
        let manuscript = whole(&project);
        let gathered: Vec<String> = manuscript
            .sections
            .iter()
            .filter(|section| section.id == SectionName::Cautions)
            .flat_map(|section| &section.blocks)
            .filter_map(|block| if let Block::Caution(caution) = block { Some(unmarked(&caution.text)) } else { None })
            .collect();
        for block in blocks(&ungathered(&project)) {
            let Block::Steps(steps) = block else { continue };
            for caution in steps.iter().flat_map(|step| &step.cautions).filter(|it| it.signal != Signal::Notice) {
                let words = unmarked(&caution.text);
                assert!(gathered.contains(&words), "{words}");
            }
        }
        // None of them stands there twice.
        assert_eq!(gathered.iter().collect::<std::collections::BTreeSet<_>>().len(), gathered.len());
    }
}

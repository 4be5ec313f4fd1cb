//! `write`: a checked project, its workings and the words of a language become a manuscript, section by section.

use super::context::WriteContext;
use super::options::WriteOptions;
use super::{Furniture, Manuscript, Section, own_words};
use super::{before, chart, class, cover, cutting, finishing, gauge, glance, hanging, materials, rows, setting_up};
use super::{techniques, using};
use crate::page::AboutBooklet;
use crate::project::Project;
use crate::words::Words;
use crate::workings::Workings;

/// Names of all sections, in the booklet's order, then those of the materials edition.
pub const SECTIONS: [&str; 20] = [
    "cover",
    "contents",
    "at-a-glance",
    "materials",
    "cutting-list",
    "your-yarn",
    "own-gauge",
    "before-you-start",
    "techniques",
    "setting-up",
    "chart",
    "rows-in-words",
    "finishing",
    "hanging",
    "care",
    "cautions",
    "using-this-pattern",
    "materials-list",
    "class-list",
    "what-to-bring",
];

/// Writes everything an edition says.
pub fn write(project: &Project, workings: &Workings, words: &Words, options: &WriteOptions) -> Manuscript {
    let measures = words.measures(project.about.units);
    let context = WriteContext { project, workings, words, measures, options };
    Manuscript {
        about: about(&context),
        furniture: furniture(&context),
        sections: options
            .sections
            .iter()
            .filter_map(|id| section(&context, id))
            .map(|s| own_words::placed(&context, s))
            .collect(),
        pictures: options.photograph.clone().into_iter().collect(),
    }
}

/// One section by its name.
fn section(context: &WriteContext, id: &str) -> Option<Section> {
    match id {
        "cover" => Some(cover::cover(context)),
        "contents" => Some(cover::contents(context)),
        "at-a-glance" => Some(glance::at_a_glance(context)),
        "materials" => Some(materials::materials(context)),
        "cutting-list" => Some(cutting::cutting_list(context)),
        "your-yarn" => Some(cutting::your_yarn(context)),
        "own-gauge" => Some(gauge::own_gauge(context)),
        "before-you-start" => Some(before::before_you_start(context)),
        "techniques" => Some(techniques::techniques(context)),
        "setting-up" => Some(setting_up::setting_up(context)),
        "chart" => Some(chart::chart(context)),
        "rows-in-words" => Some(rows::rows_in_words(context)),
        "finishing" => Some(finishing::finishing(context)),
        "hanging" => Some(hanging::hanging(context)),
        "care" => Some(using::care(context)),
        "cautions" => Some(using::cautions(context)),
        "using-this-pattern" => Some(using::using_this_pattern(context)),
        "materials-list" => Some(class::materials_list(context)),
        "class-list" => class::class_list(context),
        "what-to-bring" => Some(class::what_to_bring(context)),
        _ => None,
    }
}

fn about(context: &WriteContext) -> AboutBooklet {
    let about = &context.project.about;
    AboutBooklet {
        title: about.title.clone(),
        author: about.maker.clone(),
        subject: context.say("furniture.subject", &[("size", &cover::size(context))]),
        keywords: about.keywords.clone(),
        language: context.words.language().to_string(),
        rights: using::rights(context),
        version: about.version.clone(),
        date: (about.date.year, about.date.month, about.date.day),
    }
}

fn furniture(context: &WriteContext) -> Furniture {
    let about = &context.project.about;
    let date = context.words.date(about.date);
    Furniture {
        head: about.title.clone(),
        head_side: about.maker.clone(),
        foot: context.say("furniture.foot", &[("version", &about.version), ("date", &date)]),
        folio: context.words.template("furniture.folio"),
        contents: context.say("contents.title", &[]),
        continued: context.say("furniture.continued", &[]),
        page: context.words.template("chart.page"),
        blank: context.say("spoken.blank", &[]),
        ruler: before::ruler_ends(context),
        notes: context.say("furniture.notes", &[]),
        notes_use: context.say("furniture.notes-use", &[]),
    }
}

//! `write`: a checked project, its workings and the words of a language become a manuscript, section by section.

use super::context::WriteContext;
use super::options::WriteOptions;
use super::{Furniture, Manuscript, Section, own_words};
use super::{
    before, chart, class, colourways, cover, cutting, finishing, gauge, glance, hanging, materials, rows, setting_up,
};
use super::{step_pictures, techniques, using};
use crate::catalogue::{EditionName, SectionName};
use crate::page::AboutBooklet;
use crate::project::{OwnText, Project};
use crate::words::Words;
use crate::workings::Workings;

/// Writes everything an edition says.
pub(crate) fn write(project: &Project, workings: &Workings, words: &Words, options: &WriteOptions) -> Manuscript {
    let measures = words.measures(project.about.units);
    let context = WriteContext { project, workings, words, measures, options };
    Manuscript {
        about: about(&context),
        furniture: furniture(&context),
        sections: options
            .sections
            .iter()
            .filter_map(|id| section(&context, *id))
            .map(|s| step_pictures::placed(&context, s))
            .map(|s| own_words::placed(&context, s))
            .collect(),
        pictures: options.pictures.iter().map(|(_, picture)| picture.clone()).collect(),
    }
}

/// One section by its name; none where there is nothing to say in it.
fn section(context: &WriteContext, id: SectionName) -> Option<Section> {
    match id {
        SectionName::Cover => Some(cover::cover(context)),
        SectionName::Contents => Some(cover::contents(context)),
        SectionName::AtAGlance => Some(glance::at_a_glance(context)),
        SectionName::Colourways => colourways::colourways(context),
        SectionName::Materials => Some(materials::materials(context)),
        SectionName::CuttingList => Some(cutting::cutting_list(context)),
        SectionName::YourYarn => Some(cutting::your_yarn(context)),
        SectionName::OwnGauge => Some(gauge::own_gauge(context)),
        SectionName::BeforeYouStart => Some(before::before_you_start(context)),
        SectionName::Techniques => Some(techniques::techniques(context)),
        SectionName::SettingUp => Some(setting_up::setting_up(context)),
        SectionName::Chart => Some(chart::chart(context)),
        SectionName::RowsInWords => Some(rows::rows_in_words(context)),
        SectionName::Finishing => Some(finishing::finishing(context)),
        SectionName::Hanging => Some(hanging::hanging(context)),
        SectionName::Care => Some(using::care(context)),
        SectionName::Cautions => Some(using::cautions(context)),
        SectionName::UsingThisPattern => Some(using::using_this_pattern(context)),
        SectionName::MaterialsList => Some(class::materials_list(context)),
        SectionName::ClassList => class::class_list(context),
        SectionName::WhatToBring => Some(class::what_to_bring(context)),
    }
}

fn about(context: &WriteContext) -> AboutBooklet {
    let about = &context.project.about;
    AboutBooklet {
        title: about.title.clone(),
        author: about.maker.clone(),
        subject: context.say("furniture.subject", &[("size", &cover::size(context)), ("edition", &edition(context))]),
        keywords: about.keywords.clone(),
        language: context.words.language().to_string(),
        rights: using::rights(context),
        version: about.version.clone(),
        date: (about.date.year, about.date.month, about.date.day),
        made_with: Vec::new(),
    }
}

/// Which edition this is, in words: a library of files of one pattern is told apart by them.
fn edition(context: &WriteContext) -> String {
    let key = match context.options.edition {
        EditionName::Booklet => "edition.booklet",
        EditionName::Chart => "edition.chart",
        EditionName::LargePrint => "edition.large-print",
        EditionName::Materials => "edition.materials",
    };
    context.say(key, &[])
}

fn furniture(context: &WriteContext) -> Furniture {
    let about = &context.project.about;
    let date = context.words.date(about.date);
    Furniture {
        head: about.title.clone(),
        names_language: own_words::names_language(context),
        title_language: own_words::other_language(context, &OwnText::Title),
        head_side: about.maker.clone(),
        foot: context.say("furniture.foot", &[("version", &about.version), ("date", &date)]),
        folio: context.words.template("furniture.folio"),
        page: context.words.template("chart.page"),
        blank: context.words.template("spoken.blank"),
        ruler: before::ruler_ends(context),
        notes: context.say("furniture.notes", &[]),
        notes_use: context.say("furniture.notes-use", &[]),
    }
}

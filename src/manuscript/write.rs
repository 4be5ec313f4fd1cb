//! `write`: a checked project, its workings and the words of a language become a manuscript, section by section.

use super::pen::Pen;
use super::{Furniture, Manuscript, Section, own_words};
use super::{before, chart, class, cover, cutting, finishing, gauge, glance, hanging, materials, rows, setting_up};
use super::{techniques, using};
use crate::page::{AboutBooklet, PictureFile};
use crate::project::Project;
use crate::words::Words;
use crate::workings::Workings;

/// What an edition asks for.
#[derive(Clone, Debug, Default)]
pub struct WriteOptions<'a> {
    /// Names of sections in the edition's order. A name that stands for no section is passed over: the edition's check
    /// has named it.
    pub sections: &'a [String],
    /// Name of each yarn's symbol, in the palette's order.
    pub symbols: &'a [String],
    /// Whether the rows in words go with the chart's sheets.
    pub rows_alongside: bool,
    /// Students of a class: adds totals to the materials edition.
    pub students: Option<usize>,
    /// The maker's photograph for the cover, read and ready; `None`: the panel is drawn.
    pub photograph: Option<PictureFile>,
}

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
    let pen = Pen { project, workings, words, measures, options };
    Manuscript {
        about: about(&pen),
        furniture: furniture(&pen),
        sections: options
            .sections
            .iter()
            .filter_map(|id| section(&pen, id))
            .map(|s| own_words::placed(&pen, s))
            .collect(),
        pictures: options.photograph.clone().into_iter().collect(),
    }
}

/// One section by its name.
fn section(pen: &Pen, id: &str) -> Option<Section> {
    match id {
        "cover" => Some(cover::cover(pen)),
        "contents" => Some(cover::contents(pen)),
        "at-a-glance" => Some(glance::at_a_glance(pen)),
        "materials" => Some(materials::materials(pen)),
        "cutting-list" => Some(cutting::cutting_list(pen)),
        "your-yarn" => Some(cutting::your_yarn(pen)),
        "own-gauge" => Some(gauge::own_gauge(pen)),
        "before-you-start" => Some(before::before_you_start(pen)),
        "techniques" => Some(techniques::techniques(pen)),
        "setting-up" => Some(setting_up::setting_up(pen)),
        "chart" => Some(chart::chart(pen)),
        "rows-in-words" => Some(rows::rows_in_words(pen)),
        "finishing" => Some(finishing::finishing(pen)),
        "hanging" => Some(hanging::hanging(pen)),
        "care" => Some(using::care(pen)),
        "cautions" => Some(using::cautions(pen)),
        "using-this-pattern" => Some(using::using_this_pattern(pen)),
        "materials-list" => Some(class::materials_list(pen)),
        "class-list" => class::class_list(pen),
        "what-to-bring" => Some(class::what_to_bring(pen)),
        _ => None,
    }
}

fn about(pen: &Pen) -> AboutBooklet {
    let about = &pen.project.about;
    AboutBooklet {
        title: about.title.clone(),
        author: about.maker.clone(),
        subject: pen.say("furniture.subject", &[("size", &cover::size(pen))]),
        keywords: about.keywords.clone(),
        language: pen.words.language().to_string(),
        rights: using::rights(pen),
        version: about.version.clone(),
        date: (about.date.year, about.date.month, about.date.day),
    }
}

fn furniture(pen: &Pen) -> Furniture {
    let about = &pen.project.about;
    let date = pen.words.date(about.date);
    Furniture {
        head: about.title.clone(),
        head_side: about.maker.clone(),
        foot: pen.say("furniture.foot", &[("version", &about.version), ("date", &date)]),
        folio: pen.words.template("furniture.folio"),
        contents: pen.say("contents.title", &[]),
        continued: pen.say("furniture.continued", &[]),
        page: pen.words.template("chart.page"),
        blank: pen.say("spoken.blank", &[]),
        ruler: before::ruler_ends(pen),
        notes: pen.say("furniture.notes", &[]),
        notes_use: pen.say("furniture.notes-use", &[]),
    }
}

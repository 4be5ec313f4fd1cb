//! What a maker pastes beside her pattern: titles and tags of a given length, the description for a shop, and the materials for
//! the text under a video or a message to students. It says the same as the paper, in the same words.

use super::context::WriteContext;
use super::options::WriteOptions;
use super::pasted::plain_spaces;
use super::{Block, Text, class, colourways, cover, glance, materials, own_words, plain, using};
use crate::catalogue::{EditionName, PaperName, StyleName};
use crate::project::{OwnText, PanelSize, Project};
use crate::words::Words;
use crate::words::measures::MeasureKind;
use crate::workings::{Workings, class_kit, work_out};

/// A file of the pattern, on all its papers.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct ListedFile {
    /// What it is.
    pub(crate) edition: EditionName,
    /// The papers it comes on.
    pub(crate) papers: Vec<PaperName>,
    /// Pages on the first of them.
    pub(crate) pages: usize,
}

/// How long titles and tags may be, in characters, and how many tags there may be.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct ListingLimits {
    /// Of a title.
    pub(crate) title: usize,
    /// Of a tag.
    pub(crate) tag: usize,
    /// Tags.
    pub(crate) tags: usize,
}

impl Default for ListingLimits {
    /// Our judgement: a title that is read at a glance, tags of two or three words.
    fn default() -> ListingLimits {
        ListingLimits { title: 80, tag: 24, tags: 12 }
    }
}

/// Everything to paste.
#[derive(Clone, Debug)]
pub(crate) struct Listing {
    /// Titles, the longest first; at least one.
    pub(crate) titles: Vec<String>,
    /// Tags: the maker's own, then those that every such pattern may have.
    pub(crate) tags: Vec<String>,
    /// The description for a shop.
    pub(crate) description: Vec<Block>,
    /// The materials with the maker's links.
    pub(crate) materials: Vec<Block>,
}

/// Writes it. `languages` are the tags of all languages the pattern comes in.
pub(crate) fn listing(
    project: &Project,
    workings: &Workings,
    words: &Words,
    files: &[ListedFile],
    languages: &[&str],
    students: Option<usize>,
    limits: ListingLimits,
) -> Listing {
    let options = WriteOptions { students, ..WriteOptions::default() };
    let measures = words.measures(project.about.units);
    let context = WriteContext { project, workings, words, measures, options: &options };
    let others: Vec<(Project, Workings)> = project.sizes.iter().filter_map(|size| of_size(size, words)).collect();
    let others: Vec<WriteContext> =
        others.iter().map(|(project, workings)| WriteContext { project, workings, ..context }).collect();
    Listing {
        titles: titles(&context, limits.title),
        tags: tags(&context, limits),
        description: description(&context, &others, files, languages),
        materials: list_of_materials(&context),
    }
}

/// Another size than the one that stands for the pattern, with its workings.
fn of_size(size: &PanelSize, words: &Words) -> Option<(Project, Workings)> {
    let project = size.project.as_deref()?.clone().in_language(words.language());
    let project = colourways::lettered(project, words);
    let workings = work_out(&project);
    Some((project, workings))
}

/// All amounts for people: the materials as they are bought and cut, and for a class of so many what it needs.
pub(crate) fn amounts(project: &Project, workings: &Workings, words: &Words, students: Option<usize>) -> Vec<Block> {
    let options = WriteOptions { students, ..WriteOptions::default() };
    let measures = words.measures(project.about.units);
    let context = WriteContext { project, workings, words, measures, options: &options };
    let about = &project.about;
    let title = context.text("listing.materials-title", &[("title", &about.title), ("maker", &about.maker)]);
    let mut blocks = vec![Block::Heading(1, title), Block::Facts(glance::facts_of_listing(&context))];
    // Its first block says title, maker and size once more.
    blocks.extend(class::materials_list(&context).blocks.into_iter().skip(1));
    blocks.extend(colourways::named(&context));
    if let Some(students) = students {
        let kit = class_kit(project, workings, students);
        blocks.push(context.heading(2, "class.title"));
        blocks.push(Block::Paragraph(StyleName::Body, plain(class::bags_in_words(&context, &kit, students))));
        blocks.push(class::bag_table(&context, &kit));
    }
    blocks
}

fn letters(text: &str) -> usize {
    text.chars().count()
}

/// From the longest title to the shortest, those that are short enough. A title of the maker's that is too long itself ends at
/// a word.
fn titles(context: &WriteContext, most: usize) -> Vec<String> {
    let title = &context.project.about.title;
    let size = cover::size(context);
    let mut all: Vec<String> = ["listing.title-long", "listing.title-middle", "listing.title-short"]
        .into_iter()
        .map(|key| plain_spaces(&context.say(key, &[("title", title), ("size", &size)])))
        .collect();
    all.push(title.clone());
    let fitting: Vec<String> = all.into_iter().filter(|title| letters(title) <= most).collect();
    if !fitting.is_empty() {
        return fitting;
    }
    let mut short = String::new();
    for word in title.split_whitespace() {
        let longer = if short.is_empty() { word.to_owned() } else { format!("{short} {word}") };
        if letters(&longer) > most {
            break;
        }
        short = longer;
    }
    if short.is_empty() {
        short = title.chars().take(most).collect();
    }
    vec![short]
}

fn tags(context: &WriteContext, limits: ListingLimits) -> Vec<String> {
    let level = context.say(level_tag(context), &[]);
    let stock = context.say("listing.tags", &[("level", &level)]);
    let own = context.project.about.keywords.iter().map(String::as_str);
    let mut all: Vec<String> = Vec::new();
    for tag in own.chain(stock.split(',')).map(|tag| plain_spaces(tag.trim())) {
        let is_new = all.iter().all(|known| known.to_lowercase() != tag.to_lowercase());
        if is_new && !tag.is_empty() && letters(&tag) <= limits.tag && all.len() < limits.tags {
            all.push(tag);
        }
    }
    all
}

fn level_tag(context: &WriteContext) -> &'static str {
    use crate::project::Level;
    match context.project.about.level {
        Level::Basic => "listing.tag-basic",
        Level::Easy => "listing.tag-easy",
        Level::Intermediate => "listing.tag-intermediate",
        Level::Complex => "listing.tag-complex",
    }
}

fn description(
    context: &WriteContext,
    others: &[WriteContext],
    files: &[ListedFile],
    languages: &[&str],
) -> Vec<Block> {
    let about = &context.project.about;
    let head = match &about.subtitle {
        Some(subtitle) => context.say("listing.head", &[("title", &about.title), ("subtitle", subtitle)]),
        None => about.title.clone(),
    };
    let mut blocks = vec![Block::Paragraph(StyleName::Body, plain(head))];
    if let Some(introduction) = &about.introduction {
        blocks.extend(own_words::in_its_language(
            context,
            &OwnText::Introduction,
            own_words::blocks(context, introduction),
        ));
    }
    blocks.push(context.body("listing.what"));
    let mut facts = glance::facts_of_listing(context);
    let sizes: Vec<_> = others.iter().flat_map(glance::size_facts).collect();
    facts.splice(glance::AFTER_SIZE..glance::AFTER_SIZE, sizes);
    blocks.push(Block::Facts(facts));
    if !files.is_empty() {
        blocks.push(context.heading(2, "listing.get"));
        blocks.push(Block::Bullets(contents(context, files, languages)));
    }
    for of in std::iter::once(context).chain(others) {
        let heading = match &of.project.size {
            Some(size) => context.text("listing.need-for", &[("size", &size.shown)]),
            None => context.text("listing.need", &[]),
        };
        blocks.push(Block::Heading(2, heading));
        blocks.push(Block::Bullets(in_short(of)));
    }
    blocks.push(context.heading(2, "using.title"));
    blocks.push(Block::Bullets(using::choices(context, &context.project.licence)));
    if let Some(credit) = using::credit(context) {
        blocks.push(Block::Paragraph(StyleName::Body, context.text("listing.credit", &[("credit", &credit)])));
    }
    let date = context.words.date(about.date);
    blocks.push(context.paragraph(StyleName::Body, "using.version", &[("version", &about.version), ("date", &date)]));
    blocks
}

/// What the buyer gets: every file with its pages and papers, and the languages.
fn contents(context: &WriteContext, files: &[ListedFile], languages: &[&str]) -> Vec<Text> {
    let mut out: Vec<Text> = files
        .iter()
        .map(|file| {
            let pages = context.words.count("shop.pages", file.pages, &[]);
            let papers: Vec<String> = file.papers.iter().map(|paper| context.say(paper_key(*paper), &[])).collect();
            let papers = context.words.list(&papers);
            let edition = context.say(edition_key(file.edition), &[]);
            context.text("listing.file", &[("edition", &edition), ("pages", &pages), ("papers", &papers)])
        })
        .collect();
    let names: Vec<String> = languages
        .iter()
        .map(|tag| language_key(tag).map_or_else(|| (*tag).to_owned(), |key| context.say(key, &[])))
        .collect();
    if !names.is_empty() {
        out.push(context.text("listing.languages", &[("languages", &context.words.list(&names))]));
    }
    out.push(context.text("listing.download", &[]));
    out
}

/// Yarns and cord with what to buy; all else in a few words.
fn in_short(context: &WriteContext) -> Vec<Text> {
    let mut out: Vec<Text> = materials::used(context)
        .map(|(amount, yarn)| {
            let buy = materials::amount(context, &amount.buy);
            context.text("listing.yarn-short", &[("yarn", &yarn.name), ("amount", &buy)])
        })
        .collect();
    out.extend(colourways::lines(context));
    out.extend(materials::cord(context).into_iter().map(|line| line.text));
    out.extend(materials::hanging(context).into_iter().take(1).map(|line| line.text));
    out.push(context.text("listing.rest", &[]));
    out
}

fn list_of_materials(context: &WriteContext) -> Vec<Block> {
    let about = &context.project.about;
    let margin = context.words.decimal(context.project.working.yarn_margin * 100.0, 1);
    let title = context.text("listing.materials-title", &[("title", &about.title), ("maker", &about.maker)]);
    let mut blocks = vec![Block::Heading(1, title)];
    blocks.push(context.paragraph(StyleName::Body, "materials.lead", &[("margin", &margin)]));
    blocks.push(context.heading(2, "materials.yarn"));
    let yarns = materials::used(context).map(|(amount, yarn)| {
        let buy = materials::amount(context, &amount.buy);
        let mut parts = vec![buy, materials::kind_of_yarn(context, yarn)];
        parts.extend(yarn.shade.as_ref().map(|shade| context.say("materials.shade", &[("shade", shade)])));
        let text = context.text("listing.yarn", &[("yarn", &yarn.name), ("words", &context.row_of(parts))]);
        context.linked(text, &yarn.name, yarn.link.as_ref())
    });
    blocks.push(Block::Bullets(yarns.collect()));
    blocks.extend(colourways::named(context));
    let finishing = materials::finishing(context);
    for (key, lines) in [
        ("materials.cord", materials::cord(context)),
        ("materials.hanging", materials::hanging(context)),
        ("materials.finishing", finishing),
        ("materials.tools", materials::tools(context)),
    ] {
        if !lines.is_empty() {
            blocks.push(context.heading(2, key));
            blocks.push(Block::Bullets(lines.into_iter().map(|line| line.text).collect()));
        }
    }
    if let Some(students) = context.options.students {
        blocks.push(context.heading(2, "class.title"));
        blocks.push(Block::Bullets(for_a_class(context, students)));
    }
    if let Some(video) = &about.video {
        let watch = context.link(&context.say("link.video", &[]), video);
        let text = context.text_with("listing.video", &[], "address", vec![watch]);
        blocks.push(Block::Paragraph(StyleName::Body, text));
    }
    blocks
}

/// What each bag holds and what the whole class needs.
fn for_a_class(context: &WriteContext, students: usize) -> Vec<Text> {
    let kit = class_kit(context.project, context.workings, students);
    let mut out = vec![plain(class::bags_in_words(context, &kit, students))];
    for of in &kit.yarns {
        let yarn = context.project.palette.get(of.yarn);
        let (bag, all) = (context.buy(&of.bag), materials::amount(context, &of.class));
        out.push(context.text("listing.class-line", &[("what", &yarn.name), ("bag", &bag), ("class", &all)]));
    }
    let mut cord = vec![context.measures.both(MeasureKind::Buy, kit.cord_mm)];
    cord.extend(kit.spools.map(|spools| context.words.count("count.spools", spools, &[])));
    let (what, all) = (context.say("class.cord", &[]), context.row_of(cord));
    let bag = context.measures.both(MeasureKind::Buy, kit.cord_bag_mm);
    out.push(context.text("listing.class-line", &[("what", &what), ("bag", &bag), ("class", &all)]));
    let (wood, one, woods) = (context.say("class.wood", &[]), context.words.whole(1), context.words.whole(kit.woods));
    out.push(context.text("listing.class-line", &[("what", &wood), ("bag", &one), ("class", &woods)]));
    out
}

fn edition_key(edition: EditionName) -> &'static str {
    match edition {
        EditionName::Booklet => "listing.booklet",
        EditionName::Chart => "listing.chart",
        EditionName::LargePrint => "listing.large-print",
        EditionName::Materials => "listing.materials",
    }
}

fn paper_key(paper: PaperName) -> &'static str {
    match paper {
        PaperName::A4 => "listing.a4",
        PaperName::Letter => "listing.letter",
        PaperName::A5 => "listing.a5",
        PaperName::HalfLetter => "listing.half-letter",
        PaperName::A3 => "listing.a3",
        PaperName::Tabloid => "listing.tabloid",
        PaperName::SmallScreen => "listing.small-screen",
    }
}

/// The phrase that names a shipped language.
fn language_key(tag: &str) -> Option<&'static str> {
    match tag {
        "en-GB" => Some("listing.en-GB"),
        "en-US" => Some("listing.en-US"),
        "de-DE" => Some("listing.de-DE"),
        "fr-FR" => Some("listing.fr-FR"),
        "es-ES" => Some("listing.es-ES"),
        _ => None,
    }
}

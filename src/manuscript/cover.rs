//! Cover and contents: title, maker, picture, level, size, edition line.

use super::context::WriteContext;
use super::{AsKnotted, AsKnottedGrid, Block, PictureBlock, PictureRole, Section, colourway_words, own_words, plain};
use crate::catalogue::{SectionName, StyleName};
use crate::chart::Direction;
use crate::project::{BottomEdge, BottomFinish, Crop, Level, OwnText, Wood};
use crate::words::measures::MeasureKind;

pub(super) fn cover(context: &WriteContext) -> Section {
    let about = &context.project.about;
    let line = |of: OwnText, style: StyleName, words: &String| {
        own_words::in_its_language(context, &of, vec![Block::Paragraph(style, plain(words.clone()))])
    };
    let mut blocks = line(OwnText::Title, StyleName::Title, &about.title);
    blocks.extend(about.subtitle.iter().flat_map(|words| line(OwnText::Subtitle, StyleName::Subtitle, words)));
    blocks.push(context.paragraph(StyleName::Maker, "cover.by", &[("maker", &about.maker)]));
    blocks.extend(context.logo());
    blocks.extend(picture(context));
    if let Some(colourway) = &context.project.colourway {
        blocks.push(context.paragraph(StyleName::Note, "colourways.cover-one", &[("colourway", &colourway.shown)]));
    } else if context.project.is_for_all_colourways() {
        let names = [("count", colourway_words::counted(context)), ("list", colourway_words::list(context))];
        let names: Vec<(&str, &dyn std::fmt::Display)> =
            names.iter().map(|(name, words)| (*name, words as _)).collect();
        blocks.push(context.paragraph(StyleName::Note, "colourways.cover", &names));
    }
    let level = context.say(level_key(about.level), &[]);
    blocks.push(context.paragraph(StyleName::Note, "cover.level", &[("level", &level)]));
    blocks.push(context.paragraph(StyleName::Note, "cover.size", &[("size", &named_size(context))]));
    let date = context.words.date(about.date);
    blocks.push(context.paragraph(StyleName::Small, "cover.edition", &[("version", &about.version), ("date", &date)]));
    Section { id: SectionName::Cover, title: None, blocks }
}

pub(super) fn contents(context: &WriteContext) -> Section {
    Section {
        id: SectionName::Contents,
        title: Some(context.say("contents.title", &[])),
        blocks: vec![Block::Contents],
    }
}

/// The finished panel across and down, header included.
pub(super) fn size(context: &WriteContext) -> String {
    context.measures.across_down(MeasureKind::Size, context.workings.size.width_mm, context.workings.size.height_mm)
}

/// The same with its name, where there are several sizes.
pub(super) fn named_size(context: &WriteContext) -> String {
    match &context.project.size {
        Some(named) => context.say("cover.named-size", &[("name", &named.shown), ("size", &size(context))]),
        None => size(context),
    }
}

/// The maker's photograph where there is one, else the panel as knotted, labelled as a drawing.
fn picture(context: &WriteContext) -> Vec<Block> {
    let about = &context.project.about;
    if let Some(picture) = about.photograph.as_deref().and_then(|file| context.picture(file)) {
        let cut_above = match about.photograph_crop {
            Crop::Whole => None,
            Crop::Upper => Some(0.0),
            Crop::Middle => Some(0.5),
            Crop::Lower => Some(1.0),
        };
        let (role, language) = (PictureRole::Cover, None);
        let picture =
            |alt: String| Block::Picture(PictureBlock { picture, role, cut_above, alt, caption: None, language });
        return match &about.photograph_words {
            Some(words) => own_words::in_its_language(context, &OwnText::PhotographWords, vec![picture(words.clone())]),
            None => {
                let words = context.say("cover.photograph-alt", &[("title", &about.title)]);
                vec![picture(words + &own_words::picture(context))]
            }
        };
    }
    vec![Block::AsKnotted(AsKnotted {
        grid: grid(context),
        alt: picture_alt(context),
        caption: Some(context.text("cover.drawing-caption", &[])),
    })]
}

fn picture_alt(context: &WriteContext) -> String {
    let columns = context.words.count("count.columns", context.project.chart.columns(), &[]);
    let rows = context.words.count("count.rows", context.project.chart.rows(), &[]);
    let yarns = context.yarn_list();
    let drawn = match context.workings.header.rows {
        0 => context.say("cover.drawing-alt-bare", &[("columns", &columns), ("rows", &rows), ("yarns", &yarns)]),
        n => {
            let header = context.words.count("count.rows", n, &[]);
            context.say(
                "cover.drawing-alt",
                &[("columns", &columns), ("rows", &rows), ("yarns", &yarns), ("header", &header)],
            )
        }
    };
    drawn + &own_words::picture(context)
}

/// The knots of the whole panel for a drawing.
pub(super) fn grid(context: &WriteContext) -> AsKnottedGrid {
    let (project, workings) = (context.project, context.workings);
    let columns = project.chart.columns();
    let header_rows = workings.header.rows;
    let header = std::iter::repeat_n(Some(project.working.header_yarn.0), header_rows * columns);
    let chart = project.chart.cells().iter().map(|cell| cell.map(|yarn| yarn.0));
    let mut direction = context.first_direction();
    let mut left_to_right = Vec::with_capacity(header_rows + project.chart.rows());
    for _ in 0..header_rows + project.chart.rows() {
        left_to_right.push(direction == Direction::LeftToRight);
        direction = direction.turned();
    }
    AsKnottedGrid {
        columns,
        cells: header.chain(chart).collect(),
        colours: project.palette.iter().map(|(_, yarn)| yarn.colour).collect(),
        cord: project.cord.colour,
        column_mm: workings.gauge.column_mm,
        row_mm: workings.gauge.row_mm,
        left_to_right,
        fringe_mm: match project.bottom.finish {
            BottomFinish::Fringe => workings.size.fringe_mm,
            BottomFinish::Trimmed | BottomFinish::FoldedBack => 0.0,
        },
        fringe_follows: project.bottom.edge == BottomEdge::Following,
        wood_mm: project.hanging.diameter_mm,
        branch: project.hanging.wood == Wood::Branch,
    }
}

fn level_key(level: Level) -> &'static str {
    match level {
        Level::Basic => "level.basic",
        Level::Easy => "level.easy",
        Level::Intermediate => "level.intermediate",
        Level::Complex => "level.complex",
    }
}

//! Cover and contents: title, maker, picture, level, size, edition line.

use super::pen::Pen;
use super::{AsKnotted, AsKnottedGrid, Block, Section, own_words, plain};
use crate::chart::Direction;
use crate::project::{BottomFinish, Crop, Level, Wood};
use crate::words::measures::Kind;

pub(super) fn cover(pen: &Pen) -> Section {
    let about = &pen.project.about;
    let mut own = vec![Block::Paragraph("title", plain(about.title.clone()))];
    if let Some(subtitle) = &about.subtitle {
        own.push(Block::Paragraph("subtitle", plain(subtitle.clone())));
    }
    let mut blocks = own_words::in_own_language(pen, own);
    blocks.push(pen.paragraph("maker", "cover.by", &[("maker", &about.maker)]));
    blocks.extend(picture(pen));
    let level = pen.say(level_key(about.level), &[]);
    blocks.push(pen.paragraph("note", "cover.level", &[("level", &level)]));
    blocks.push(pen.paragraph("note", "cover.size", &[("size", &size(pen))]));
    let date = pen.words.date(about.date);
    blocks.push(pen.paragraph("small", "cover.edition", &[("version", &about.version), ("date", &date)]));
    Section { id: "cover".into(), title: None, blocks }
}

pub(super) fn contents(pen: &Pen) -> Section {
    Section { id: "contents".into(), title: Some(pen.say("contents.title", &[])), blocks: vec![Block::Contents] }
}

/// The finished panel across and down, header included.
pub(super) fn size(pen: &Pen) -> String {
    pen.measures.across_down(Kind::Size, pen.workings.size.width_mm, pen.workings.size.height_mm)
}

/// The maker's photograph where there is one, else the panel as knotted, labelled as a drawing.
fn picture(pen: &Pen) -> Vec<Block> {
    let about = &pen.project.about;
    if pen.options.photograph.is_some() {
        let cut_above = match about.photograph_crop {
            Crop::Whole => None,
            Crop::Upper => Some(0.0),
            Crop::Middle => Some(0.5),
            Crop::Lower => Some(1.0),
        };
        let picture = |alt: String| Block::Picture { picture: 0, cut_above, alt, caption: None };
        return match &about.photograph_words {
            Some(words) => own_words::in_own_language(pen, vec![picture(words.clone())]),
            None => vec![picture(pen.say("cover.photograph-alt", &[("title", &about.title)]))],
        };
    }
    vec![Block::AsKnotted(AsKnotted {
        grid: grid(pen),
        alt: picture_alt(pen),
        caption: Some(pen.text("cover.drawing-caption", &[])),
    })]
}

fn picture_alt(pen: &Pen) -> String {
    let columns = pen.words.count("count.columns", pen.project.chart.columns(), &[]);
    let rows = pen.words.count("count.rows", pen.project.chart.rows(), &[]);
    let yarns = pen.yarn_list();
    match pen.workings.header.rows {
        0 => pen.say("cover.drawing-alt-bare", &[("columns", &columns), ("rows", &rows), ("yarns", &yarns)]),
        n => {
            let header = pen.words.count("count.rows", n, &[]);
            pen.say(
                "cover.drawing-alt",
                &[("columns", &columns), ("rows", &rows), ("yarns", &yarns), ("header", &header)],
            )
        }
    }
}

/// The knots of the whole panel for a drawing.
pub(super) fn grid(pen: &Pen) -> AsKnottedGrid {
    let (project, workings) = (pen.project, pen.workings);
    let columns = project.chart.columns();
    let header_rows = workings.header.rows;
    let header = std::iter::repeat_n(project.working.header_yarn.0, header_rows * columns);
    let chart = project.chart.cells().iter().map(|cell| cell.map_or(u8::MAX, |yarn| yarn.0));
    let mut direction = pen.first_direction();
    let mut left_to_right = Vec::with_capacity(header_rows + project.chart.rows());
    for _ in 0..header_rows + project.chart.rows() {
        left_to_right.push(direction == Direction::LeftToRight);
        direction = direction.turned();
    }
    AsKnottedGrid {
        columns,
        header_rows,
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

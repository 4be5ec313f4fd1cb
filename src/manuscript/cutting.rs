//! The cutting list with how each figure comes about, and what to expect of each yarn.

use super::context::{WriteContext, joined};
use super::materials::{column, entry, used, yarn_entry};
use super::techniques::KEEP_MM;
use super::{Align, Block, Section, Table, TableEntry};
use crate::catalogue::{SectionName, StyleName};
use crate::project::Mounting;
use crate::words::measures::MeasureKind;
use crate::workings::{Amount, CordGroup, CutCord, SINGLE_END_MM, STRAND_EACH_SIDE_MM};

pub(super) fn cutting_list(context: &WriteContext) -> Section {
    let own = if super::swatch::swatch(context).is_some() { "cutting.lead-own" } else { "cutting.lead-small" };
    let lead = context.sent_to(StyleName::Lead, SectionName::OwnGauge, own, "cutting.lead");
    let mut blocks = vec![lead];
    blocks.push(pieces(context, true));
    blocks.push(context.body("cutting.label-bundles"));
    blocks.push(context.heading(2, "cutting.lengths"));
    let length = context.measures.both(MeasureKind::Reach, context.project.working.length_mm);
    let tail = context.measures.both(MeasureKind::Gap, context.project.working.tail_mm);
    let keep = context.measures.both(MeasureKind::Reach, KEEP_MM);
    blocks.push(context.paragraph(
        StyleName::Body,
        "cutting.lengths-words",
        &[("length", &length), ("tail", &tail), ("keep", &keep)],
    ));
    Section { id: SectionName::CuttingList, title: Some(context.say("cutting.title", &[])), blocks }
}

/// The table of pieces; `why` adds the column that says how each figure comes about.
pub(super) fn pieces(context: &WriteContext, why: bool) -> Block {
    let mut rows: Vec<Vec<TableEntry>> = Vec::new();
    let say = |key: &str| context.say(key, &[]);
    let mut row = |piece: String, count: usize, length: String, by: Option<&str>, reason: String| {
        // Bundles are marked A, B, C ...: no letter is left out, or somebody looks for the piece.
        let letter = char::from(b'A'.saturating_add(u8::try_from(rows.len()).unwrap_or(u8::MAX)));
        let piece = context.say("cutting.lettered", &[("letter", &letter), ("piece", &piece)]);
        let mut cells = vec![entry(piece), entry(context.words.whole(count)), entry(length)];
        if why {
            let by = by.map(|key| context.say(key, &[])).into_iter();
            cells.push(entry(by.chain(Some(reason)).collect::<Vec<_>>().join(" ")));
        }
        rows.push(cells);
    };
    let cords = &context.workings.cords;
    let cut = |cord: &CutCord| context.cut(cord);
    let by_rows = Some(if context.is_header_by_wood() { "cutting.by-rows-and-wood" } else { "cutting.by-rows" });
    if cords.groups.is_empty() && cords.folded.count > 0 {
        let (words, why) = (context.say("cutting.folded", &[]), folded_reason(context, cords.leg_mm, None));
        row(words, cords.folded.count, cut(&cords.folded), by_rows, why);
    }
    for group in &cords.groups {
        let words = context.say("cutting.folded-of", &[("columns", &columns_of(context, group))]);
        let why = folded_reason(context, group.leg_mm, Some(group.rows));
        row(words, group.cord.count, cut(&group.cord), by_rows, why);
    }
    if let Some(single) = &cords.single {
        let leg = context.measures.both(MeasureKind::Size, single.exact_mm - cords.head_mm - SINGLE_END_MM);
        let end = context.measures.both(MeasureKind::Size, SINGLE_END_MM);
        let head = context.measures.both(MeasureKind::Size, cords.head_mm);
        let reason = context.say("cutting.single-why", &[("leg", &leg), ("head", &head), ("end", &end)]);
        row(say("cutting.single"), single.count, cut(single), by_rows, reason);
    }
    if let Some(strand) = &cords.strand {
        let width = context.measures.both(MeasureKind::Size, context.workings.size.width_mm);
        let spare = context.measures.both(MeasureKind::Size, STRAND_EACH_SIDE_MM);
        let reason = context.say("cutting.strand-why", &[("width", &width), ("spare", &spare)]);
        row(say("cutting.strand"), strand.count, cut(strand), Some("cutting.by-columns"), reason);
    }
    row(say("cutting.hanger"), cords.hanger.count, cut(&cords.hanger), None, context.say("cutting.hanger-why", &[]));
    let hanging = &context.workings.hanging;
    if hanging.backing.is_some() {
        row(
            say("cutting.backing"),
            1,
            context.backing_size(),
            Some("cutting.by-both"),
            context.say("cutting.backing-why", &[]),
        );
    }
    if let Some(mm) = hanging.ribbon_mm {
        let length = context.measures.both(MeasureKind::Cut, mm);
        let ribbon = if context.is_shaped() { "cutting.ribbon-why-shaped" } else { "cutting.ribbon-why" };
        row(say("cutting.ribbon"), 1, length, Some("cutting.by-both"), context.say(ribbon, &[]));
    }
    let mut columns = vec![
        column(context, "cutting.piece", Align::Left, 1.2),
        column(context, "cutting.count", Align::Left, 0.6),
        column(context, "cutting.length", Align::Left, 1.0),
    ];
    if why {
        columns.push(column(context, "cutting.why", Align::Left, 2.2));
    }
    Block::Table(Table {
        caption: Some(context.text("cutting.caption", &[])),
        columns,
        rows,
        row_heads: true,
        note: None,
    })
}

/// The columns that a group of cords hangs in: "1 to 8 and 53 to 60".
pub(super) fn columns_of(context: &WriteContext, group: &CordGroup) -> String {
    let range = |(from, to): &(usize, usize)| context.say("cutting.range", &[("from", &(from + 1)), ("to", &(to + 1))]);
    let ranges: Vec<String> = group.columns.iter().map(range).collect();
    context.words.list(&ranges)
}

/// How the length of a folded cord comes about: its leg, and the rows on it where they are not all.
fn folded_reason(context: &WriteContext, leg_mm: f64, rows: Option<usize>) -> String {
    let (project, workings) = (context.project, context.workings);
    let cords = &workings.cords;
    let rows = rows.unwrap_or(workings.header.rows + project.chart.rows());
    let rows = context.words.count("count.rows", rows, &[]);
    let pitch = context.measures.first(MeasureKind::Fine, workings.gauge.row_mm);
    let take_up = context.words.decimal(project.working.cord_take_up * 100.0, 1);
    let bottom = context.measures.both(MeasureKind::Size, project.bottom.length_mm);
    let leg = context.measures.both(MeasureKind::Size, leg_mm);
    let head = context.measures.both(MeasureKind::Size, cords.head_mm);
    let bare = context.measures.both(MeasureKind::Size, workings.header.bare_cord_mm);
    let key = match project.hanging.mounting {
        Mounting::OnTheWood if workings.header.bare_cord_mm > 0.0 => "cutting.folded-why-uneven",
        Mounting::OnTheWood | Mounting::OnAStrand => "cutting.folded-why",
    };
    context.say(
        key,
        &[
            ("rows", &rows),
            ("pitch", &pitch),
            ("more", &take_up),
            ("bottom", &bottom),
            ("leg", &leg),
            ("head", &head),
            ("bare", &bare),
        ],
    )
}

/// What to expect of each yarn: knots, lengths, carries, ends, and what is left. What to buy is told among the
/// materials.
pub(super) fn your_yarn(context: &WriteContext) -> Section {
    let whole = |n: usize| entry(context.words.whole(n));
    let left = |amount: &Amount| {
        entry(match amount.left_of_last_ball_mm {
            Some(mm) => context.measures.both(MeasureKind::Left, mm),
            None => context.say("your-yarn.unknown", &[]),
        })
    };
    let mut blocks = vec![context.paragraph(StyleName::Lead, "your-yarn.lead", &[])];
    let rows = used(context)
        .map(|(of, _)| {
            let longest = match of.longest_carry_mm {
                // As rows in words have it: near enough, and the same length never in two ways.
                Some(mm) => context.measures.both(MeasureKind::Gap, mm),
                None => context.say("your-yarn.no-carry", &[]),
            };
            vec![
                yarn_entry(context, of),
                whole(context.workings.tally.of(of.yarn).total()),
                whole(of.knots_in_length),
                whole(of.buy.lengths),
                entry(longest),
                whole(of.ends),
                left(&of.buy),
            ]
        })
        .collect();
    blocks.push(Block::Table(Table {
        caption: Some(context.text("your-yarn.caption", &[])),
        columns: vec![
            column(context, "materials.yarn-column", Align::Left, 1.6),
            column(context, "your-yarn.knots", Align::Right, 0.9),
            column(context, "your-yarn.in-length", Align::Right, 1.0),
            column(context, "your-yarn.lengths", Align::Right, 0.9),
            column(context, "your-yarn.longest", Align::Right, 1.2),
            column(context, "your-yarn.ends", Align::Right, 0.9),
            column(context, "your-yarn.left", Align::Right, 1.2),
        ],
        rows,
        row_heads: true,
        note: Some(joined(vec![context.text("your-yarn.note", &[]), context.text("your-yarn.left-note", &[])])),
    }));
    Section { id: SectionName::YourYarn, title: Some(context.say("your-yarn.title", &[])), blocks }
}

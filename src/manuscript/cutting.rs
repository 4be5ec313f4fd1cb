//! The cutting list with how each figure comes about, and what to expect of each yarn.

use super::materials::{column, entry, used, yarn_entry};
use super::pen::Pen;
use super::techniques::KEEP_MM;
use super::{Align, Block, Section, Table, TableEntry};
use crate::project::Mounting;
use crate::words::measures::Kind;
use crate::workings::{Amount, CutCord, SINGLE_END_MM, STRAND_EACH_SIDE_MM};

pub(super) fn cutting_list(pen: &Pen) -> Section {
    let mut blocks = vec![pen.paragraph("lead", "cutting.lead", &[])];
    blocks.push(pieces(pen, true));
    blocks.push(pen.body("cutting.label-bundles"));
    blocks.push(pen.heading(2, "cutting.lengths"));
    let length = pen.measures.both(Kind::Cut, pen.project.working.length_mm);
    let tail = pen.measures.both(Kind::Gap, pen.project.working.tail_mm);
    let keep = pen.measures.both(Kind::Reach, KEEP_MM);
    blocks.push(pen.paragraph(
        "body",
        "cutting.lengths-words",
        &[("length", &length), ("tail", &tail), ("keep", &keep)],
    ));
    // Said once: where the edition tells what to expect of each yarn, the lengths stand there.
    blocks.push(if pen.has("your-yarn") {
        pen.page_of("body", "your-yarn", "cutting.lengths-told")
    } else {
        lengths(pen)
    });
    Section { id: "cutting-list".into(), title: Some(pen.say("cutting.title", &[])), blocks }
}

/// The table of pieces; `why` adds the column that says how each figure comes about.
pub(super) fn pieces(pen: &Pen, why: bool) -> Block {
    let mut rows: Vec<Vec<TableEntry>> = Vec::new();
    let mut row = |key: &str, count: usize, length: String, reason: String| {
        // Bundles are marked A, B, C ...: no letter is left out, or somebody looks for the piece.
        let letter = char::from(b'A'.saturating_add(u8::try_from(rows.len()).unwrap_or(u8::MAX)));
        let piece = pen.say("cutting.lettered", &[("letter", &letter), ("piece", &pen.say(key, &[]))]);
        let mut cells = vec![entry(piece), entry(pen.words.whole(count)), entry(length)];
        if why {
            cells.push(entry(reason));
        }
        rows.push(cells);
    };
    let cords = &pen.workings.cords;
    let cut = |cord: &CutCord| pen.cut(cord);
    if cords.folded.count > 0 {
        row("cutting.folded", cords.folded.count, cut(&cords.folded), folded_reason(pen));
    }
    if let Some(single) = &cords.single {
        let leg = pen.measures.both(Kind::Size, cords.leg_mm);
        let end = pen.measures.both(Kind::Size, SINGLE_END_MM);
        let reason = pen.say("cutting.single-why", &[("leg", &leg), ("end", &end)]);
        row("cutting.single", single.count, cut(single), reason);
    }
    if let Some(strand) = &cords.strand {
        let width = pen.measures.both(Kind::Size, pen.workings.size.width_mm);
        let spare = pen.measures.both(Kind::Size, STRAND_EACH_SIDE_MM);
        let reason = pen.say("cutting.strand-why", &[("width", &width), ("spare", &spare)]);
        row("cutting.strand", strand.count, cut(strand), reason);
    }
    let hanging = &pen.workings.hanging;
    if hanging.backing.is_some() {
        row("cutting.backing", 1, pen.backing_size(), pen.say("cutting.backing-why", &[]));
    }
    if let Some(ribbon) = hanging.ribbon_mm {
        let length = pen.measures.both(Kind::Cut, ribbon);
        row("cutting.ribbon", 1, length, pen.say("cutting.ribbon-why", &[]));
    }
    let mut columns = vec![
        column(pen, "cutting.piece", Align::Left, 1.2),
        column(pen, "cutting.count", Align::Right, 0.6),
        column(pen, "cutting.length", Align::Left, 1.0),
    ];
    if why {
        columns.push(column(pen, "cutting.why", Align::Left, 2.2));
    }
    Block::Table(Table { caption: Some(pen.text("cutting.caption", &[])), columns, rows, row_heads: true, note: None })
}

/// How the length of a folded cord comes about.
fn folded_reason(pen: &Pen) -> String {
    let (project, workings) = (pen.project, pen.workings);
    let cords = &workings.cords;
    let rows = pen.words.count("count.rows", workings.header.rows + project.chart.rows(), &[]);
    let pitch = pen.measures.first(Kind::Fine, workings.gauge.row_mm);
    let take_up = pen.words.decimal(project.working.cord_take_up * 100.0, 1);
    let bottom = pen.measures.both(Kind::Size, project.bottom.length_mm);
    let leg = pen.measures.both(Kind::Size, cords.leg_mm);
    let head = pen.measures.both(Kind::Size, cords.head_mm);
    let bare = pen.measures.both(Kind::Size, workings.header.bare_cord_mm);
    let key = match project.hanging.mounting {
        Mounting::OnTheWood if workings.header.bare_cord_mm > 0.0 => "cutting.folded-why-uneven",
        Mounting::OnTheWood | Mounting::OnAStrand => "cutting.folded-why",
    };
    pen.say(
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

/// Working lengths of each yarn, both ways.
fn lengths(pen: &Pen) -> Block {
    let rows = used(pen)
        .map(|(of, _)| {
            vec![
                yarn_entry(pen, of),
                entry(pen.words.whole(of.carrying.lengths)),
                entry(pen.words.whole(of.cutting.lengths)),
            ]
        })
        .collect();
    Block::Table(Table {
        caption: Some(pen.text("cutting.lengths-caption", &[])),
        columns: vec![
            column(pen, "materials.yarn-column", Align::Left, 1.4),
            column(pen, "materials.as-planned", Align::Right, 1.0),
            column(pen, "materials.cutting", Align::Right, 1.0),
        ],
        rows,
        row_heads: true,
        note: Some(pen.text("cutting.lengths-note", &[])),
    })
}

/// What to expect of each yarn, both ways: knots, lengths, carries, ends, and what is left. What to buy is told among the
/// materials.
pub(super) fn your_yarn(pen: &Pen) -> Section {
    let whole = |n: usize| entry(pen.words.whole(n));
    let left = |amount: &Amount| {
        entry(match amount.left_of_last_ball_mm {
            Some(mm) => pen.measures.both(Kind::Left, mm),
            None => pen.say("your-yarn.unknown", &[]),
        })
    };
    let mut blocks = vec![pen.paragraph("lead", "your-yarn.lead", &[])];
    let carrying = used(pen)
        .map(|(of, _)| {
            let longest = match of.longest_carry_mm {
                // As rows in words have it: near enough, and the same length never in two ways.
                Some(mm) => pen.measures.both(Kind::Gap, mm),
                None => pen.say("your-yarn.no-carry", &[]),
            };
            vec![
                yarn_entry(pen, of),
                whole(pen.workings.tally.of(of.yarn).total()),
                whole(of.knots_in_length),
                whole(of.carrying.lengths),
                entry(longest),
                whole(of.ends),
                left(&of.carrying),
            ]
        })
        .collect();
    blocks.push(Block::Table(Table {
        caption: Some(pen.text("your-yarn.caption", &[])),
        columns: vec![
            column(pen, "materials.yarn-column", Align::Left, 1.6),
            column(pen, "your-yarn.knots", Align::Right, 0.9),
            column(pen, "your-yarn.in-length", Align::Right, 1.0),
            column(pen, "your-yarn.lengths", Align::Right, 0.9),
            column(pen, "your-yarn.longest", Align::Right, 1.2),
            column(pen, "your-yarn.ends", Align::Right, 0.9),
            column(pen, "your-yarn.left", Align::Right, 1.2),
        ],
        rows: carrying,
        row_heads: true,
        note: Some(pen.text("your-yarn.note", &[])),
    }));
    let cutting = used(pen)
        .map(|(of, _)| vec![yarn_entry(pen, of), whole(of.cutting.lengths), whole(of.ends_cutting), left(&of.cutting)])
        .collect();
    blocks.push(Block::Table(Table {
        caption: Some(pen.text("your-yarn.cutting-caption", &[])),
        columns: vec![
            column(pen, "materials.yarn-column", Align::Left, 1.6),
            column(pen, "your-yarn.lengths", Align::Right, 1.0),
            column(pen, "your-yarn.ends", Align::Right, 1.0),
            column(pen, "your-yarn.left", Align::Right, 1.2),
        ],
        rows: cutting,
        row_heads: true,
        note: Some(pen.text("your-yarn.left-note", &[])),
    }));
    Section { id: "your-yarn".into(), title: Some(pen.say("your-yarn.title", &[])), blocks }
}

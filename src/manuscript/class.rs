//! The materials edition: one list for one maker, or a list for a class with totals, and what to bring.

use super::context::WriteContext;
use super::cutting::pieces;
use super::hazard::Hazard;
use super::materials::{column, cord, entry, finishing, hanging, lead, tools, yarns};
use super::rows::row_number;
use super::{Align, Block, Section, Table, TableEntry, plain};
use crate::catalogue::{SectionName, StyleName};
use crate::words::measures::MeasureKind;
use crate::workings::{ClassKit, class_kit};

/// What one maker buys and cuts.
pub(super) fn materials_list(context: &WriteContext) -> Section {
    let margin = context.words.decimal(context.project.working.yarn_margin * 100.0, 1);
    let about = &context.project.about;
    let size = super::cover::size(context);
    let mut blocks = vec![
        context.paragraph(
            StyleName::Body,
            "materials-list.about",
            &[("title", &about.title), ("maker", &about.maker), ("size", &size)],
        ),
        context.paragraph(StyleName::Body, lead(context), &[("margin", &margin)]),
    ];
    blocks.push(context.heading(2, "materials.yarn"));
    yarns(context, &mut blocks);
    blocks.push(context.heading(2, "materials-list.rest"));
    let mut lines = cord(context);
    lines.extend(hanging(context));
    lines.extend(finishing(context));
    blocks.push(Block::Ticks(lines));
    blocks.push(context.heading(2, "cutting.title"));
    blocks.push(pieces(context, false));
    Section { id: SectionName::MaterialsList, title: Some(context.say("materials-list.title", &[])), blocks }
}

/// The list of a class, if one is asked for.
pub(super) fn class_list(context: &WriteContext) -> Option<Section> {
    let students = context.options.students?;
    let kit = class_kit(context.project, context.workings, students);
    let margin = context.words.decimal(kit.margin * 100.0, 1);
    // The list before this one is for one maker, with a margin of its own.
    let lead = if kit.margin > context.project.working.yarn_margin { "class.lead-more" } else { "class.lead" };
    let with_spares = bags_in_words(context, &kit, students);
    let mut blocks = vec![
        Block::Paragraph(StyleName::Body, plain(with_spares)),
        context.paragraph(StyleName::Body, lead, &[("margin", &margin)]),
        bag_table(context, &kit),
        context.body("class.carrying"),
    ];
    if context.project.is_for_all_colourways() {
        blocks.push(context.body("colourways.class"));
    }
    blocks.push(context.body("class.pieces-words"));
    costs(context, &kit, students, &mut blocks);
    if !kit.stops.is_empty() {
        blocks.push(context.heading(2, "class.sessions"));
        blocks.push(context.body("class.sessions-words"));
        blocks.push(Block::Bullets(
            kit.stops
                .iter()
                .enumerate()
                .map(|(at, stop)| {
                    let session = at + 1;
                    let hours = context.words.count_decimal("class.hours", stop.hours, 1);
                    let row = stop.after.map(|place| row_number(context, place)).unwrap_or_default();
                    let key = match stop.after {
                        _ if stop.is_finished => "class.stop-finished",
                        None => "class.stop-mounting",
                        Some(_) => "class.stop",
                    };
                    context.text(key, &[("session", &session), ("hours", &hours), ("row", &row)])
                })
                .collect(),
        ));
    }
    labels(context, &kit, &mut blocks);
    Some(Section { id: SectionName::ClassList, title: Some(context.say("class.title", &[])), blocks })
}

/// How many bags there are for so many students.
pub(super) fn bags_in_words(context: &WriteContext, kit: &ClassKit, students: usize) -> String {
    let bags = context.words.count("class.bags", kit.bags, &[]);
    match kit.spares {
        0 => context.words.count("class.students", students, &[("bags", &bags)]),
        spares => {
            let spares = context.words.count("class.spares", spares, &[]);
            context.words.count("class.students-spares", students, &[("bags", &bags), ("spares", &spares)])
        }
    }
}

/// What the class costs, and each student's part: for the teacher.
fn costs(context: &WriteContext, kit: &ClassKit, students: usize, blocks: &mut Vec<Block>) {
    let Some(all) = kit.price else { return };
    let each = all / students.max(1) as f64;
    let names = [("price", price(context, all)), ("each", price(context, each))];
    let names: Vec<(&str, &dyn std::fmt::Display)> = names.iter().map(|(name, words)| (*name, words as _)).collect();
    blocks.push(context.heading(2, "class.costs"));
    blocks.push(context.paragraph(StyleName::Body, "class.price", &names));
}

/// Labels to cut out and pin to the bags, three in a row.
fn labels(context: &WriteContext, kit: &ClassKit, blocks: &mut Vec<Block>) {
    const ACROSS: usize = 3;
    blocks.push(context.heading(2, "class.labels"));
    let label = |bag: usize| {
        entry(
            context
                .say("class.bag-label", &[("n", &bag), ("bags", &kit.bags), ("title", &context.project.about.title)]),
        )
    };
    let bags: Vec<usize> = (1..=kit.bags).collect();
    let rows = bags
        .chunks(ACROSS)
        .map(|row| {
            let mut cells: Vec<TableEntry> = row.iter().map(|bag| label(*bag)).collect();
            cells.resize_with(ACROSS, TableEntry::default);
            cells
        })
        .collect();
    blocks.push(Block::Table(Table {
        caption: None,
        columns: ["class.name-1", "class.name-2", "class.name-3"]
            .map(|key| column(context, key, Align::Left, 1.0))
            .to_vec(),
        rows,
        row_heads: false,
        note: None,
    }));
}

/// For each yarn, the cord and the wood: what one bag holds and what the class needs.
pub(super) fn bag_table(context: &WriteContext, kit: &ClassKit) -> Block {
    let mut rows: Vec<Vec<TableEntry>> = Vec::new();
    for of in &kit.yarns {
        let yarn = context.project.palette.get(of.yarn);
        let tick = context.tick(format!("class-yarn-{}", yarn.key), None, plain(yarn.name.clone()));
        let lengths = context.words.count("count.lengths", of.bag.lengths, &[]);
        let bag = context.say("lists.middle", &[("a", &context.buy(&of.bag)), ("b", &lengths)]);
        rows.push(vec![
            TableEntry {
                tick: Some((tick.field, tick.spoken)),
                swatch: Some(context.swatch(of.yarn)),
                text: plain(yarn.name.clone()),
            },
            entry(bag),
            entry(super::materials::amount(context, &of.class)),
        ]);
    }
    let tick = |field: &str, key: &str| {
        let words = context.say(key, &[]);
        let line = context.tick(format!("class-{field}"), None, plain(words.clone()));
        TableEntry { tick: Some((line.field, line.spoken)), swatch: None, text: plain(words) }
    };
    let mut class_cord = vec![
        context.measures.both(MeasureKind::Buy, kit.cord_mm),
        context.measures.both(MeasureKind::Mass, kit.cord_g),
    ];
    class_cord.extend(kit.spools.map(|spools| context.words.count("count.spools", spools, &[])));
    let class_cord = context.row_of(class_cord);
    rows.push(vec![
        tick("cord", "class.cord"),
        entry(context.measures.both(MeasureKind::Buy, kit.cord_bag_mm)),
        entry(class_cord),
    ]);
    rows.push(vec![tick("wood", "class.wood"), entry(context.words.whole(1)), entry(context.words.whole(kit.woods))]);
    Block::Table(Table {
        caption: Some(context.text("class.caption", &[])),
        columns: vec![
            column(context, "class.what", Align::Left, 1.0),
            column(context, "class.bag", Align::Left, 1.3),
            column(context, "class.class", Align::Left, 1.5),
        ],
        rows,
        row_heads: true,
        note: Some(context.text("class.note", &[])),
    })
}

/// "12.50 GBP"; without the code where the project gives no currency.
fn price(context: &WriteContext, price: f64) -> String {
    let amount = context.words.money(price);
    match &context.project.about.currency {
        Some(currency) => context.say("class.money", &[("amount", &amount), ("currency", currency)]),
        None => amount,
    }
}

/// Tools that are there once for a class.
const LARGE: [&str; 6] = [
    "materials-tool-drill",
    "materials-tool-saw",
    "materials-tool-iron",
    "materials-tool-staple-gun",
    "materials-tool-glue-gun",
    "materials-tool-hammer",
];

/// Tools, and what to be careful of with many people at one table.
pub(super) fn what_to_bring(context: &WriteContext) -> Section {
    let mut blocks = Vec::new();
    match context.options.students {
        Some(students) => {
            let kit = class_kit(context.project, context.workings, students);
            let sets = context.words.count("class.sets", kit.tool_sets, &[]);
            blocks.push(context.paragraph(
                StyleName::Body,
                if context.project.class.tools_shared { "class.tools-shared" } else { "class.tools-own" },
                &[("sets", &sets)],
            ));
        }
        None => blocks.push(context.body("bring.lead")),
    }
    // What is large, dear or dangerous is there once, whoever brings the rest.
    let (large, own): (Vec<_>, Vec<_>) =
        tools(context).into_iter().partition(|line| LARGE.contains(&line.field.as_str()));
    match context.options.students {
        Some(_) if !large.is_empty() => {
            blocks.push(Block::Ticks(own));
            blocks.push(context.body("bring.large"));
            blocks.push(Block::Ticks(large));
        }
        Some(_) | None => blocks.push(Block::Ticks(tools(context))),
    }
    blocks.push(context.heading(2, "bring.careful"));
    blocks.push(context.body("cautions.labels"));
    const AT_THE_TABLE: [Hazard; 7] = [
        Hazard::StapleGun,
        Hazard::Hammer,
        Hazard::CraftGlue,
        Hazard::HotGlue,
        Hazard::Iron,
        Hazard::Sealing,
        Hazard::Scissors,
    ];
    let mut cautions = Vec::new();
    if context.options.students.is_some() {
        cautions.push(Hazard::SmallPartsClass);
    } else if Hazard::SmallParts.met_by(context) {
        cautions.push(Hazard::SmallParts);
    }
    cautions.extend(AT_THE_TABLE.into_iter().filter(|hazard| hazard.met_by(context)));
    blocks.extend(cautions.into_iter().map(|hazard| Block::Caution(context.caution(hazard))));
    blocks.push(context.body("before.sitting"));
    Section { id: SectionName::WhatToBring, title: Some(context.say("bring.title", &[])), blocks }
}

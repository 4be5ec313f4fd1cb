//! The materials edition: one list for one maker, or a list for a class with totals, and what to bring.

use super::cutting::pieces;
use super::hazard::Hazard;
use super::materials::{column, cord, entry, finishing, hanging, tools, yarns};
use super::pen::Pen;
use super::rows::row_number;
use super::{Align, Block, Section, Table, TableEntry, plain};
use crate::words::measures::Kind;
use crate::workings::{ClassKit, class_kit};

/// What one maker buys and cuts.
pub(super) fn materials_list(pen: &Pen) -> Section {
    let margin = pen.words.decimal(pen.project.working.yarn_margin * 100.0, 1);
    let about = &pen.project.about;
    let size = super::cover::size(pen);
    let mut blocks = vec![
        pen.paragraph(
            "body",
            "materials-list.about",
            &[("title", &about.title), ("maker", &about.maker), ("size", &size)],
        ),
        pen.paragraph("body", "materials.lead", &[("margin", &margin)]),
    ];
    blocks.push(pen.heading(2, "materials.yarn"));
    yarns(pen, &mut blocks);
    blocks.push(pen.heading(2, "materials-list.rest"));
    let mut lines = cord(pen);
    lines.extend(hanging(pen));
    lines.extend(finishing(pen));
    blocks.push(Block::Ticks(lines));
    blocks.push(pen.heading(2, "cutting.title"));
    blocks.push(pieces(pen, false));
    Section { id: "materials-list".into(), title: Some(pen.say("materials-list.title", &[])), blocks }
}

/// The list of a class, if one is asked for.
pub(super) fn class_list(pen: &Pen) -> Option<Section> {
    let students = pen.options.students?;
    let kit = class_kit(pen.project, pen.workings, students);
    let margin = pen.words.decimal(kit.margin * 100.0, 1);
    // The list before this one is for one maker, with a margin of its own.
    let lead = if kit.margin > pen.project.working.yarn_margin { "class.lead-more" } else { "class.lead" };
    let bags = pen.words.count("class.bags", kit.bags, &[]);
    let with_spares = match kit.spares {
        0 => pen.words.count("class.students", students, &[("bags", &bags)]),
        spares => {
            let spares = pen.words.count("class.spares", spares, &[]);
            pen.words.count("class.students-spares", students, &[("bags", &bags), ("spares", &spares)])
        }
    };
    let mut blocks = vec![
        Block::Paragraph("body", plain(with_spares)),
        pen.paragraph("body", lead, &[("margin", &margin)]),
        bag_table(pen, &kit),
        pen.body("class.carrying"),
    ];
    blocks.push(pen.heading(2, "class.pieces"));
    blocks.push(pieces(pen, false));
    blocks.push(pen.body("class.pieces-words"));
    if let Some(price) = kit.price {
        let price = self::price(pen, price);
        blocks.push(pen.paragraph("body", "class.price", &[("price", &price)]));
    }
    if !kit.stops.is_empty() {
        blocks.push(pen.heading(2, "class.sessions"));
        blocks.push(pen.body("class.sessions-words"));
        blocks.push(Block::Bullets(
            kit.stops
                .iter()
                .enumerate()
                .map(|(at, stop)| {
                    let session = at + 1;
                    let hours = pen.words.count_decimal("class.hours", stop.hours, 1);
                    let row = stop.after.map(|place| row_number(pen, place)).unwrap_or_default();
                    let key = match stop.after {
                        _ if stop.is_finished => "class.stop-finished",
                        None => "class.stop-mounting",
                        Some(_) => "class.stop",
                    };
                    pen.text(key, &[("session", &session), ("hours", &hours), ("row", &row)])
                })
                .collect(),
        ));
    }
    Some(Section { id: "class-list".into(), title: Some(pen.say("class.title", &[])), blocks })
}

/// For each yarn, the cord and the wood: what one bag holds and what the class needs.
fn bag_table(pen: &Pen, kit: &ClassKit) -> Block {
    let mut rows: Vec<Vec<TableEntry>> = Vec::new();
    for of in &kit.yarns {
        let yarn = pen.project.palette.get(of.yarn);
        let tick = pen.tick(format!("class-yarn-{}", yarn.key), None, plain(yarn.name.clone()));
        let lengths = pen.words.count("count.lengths", of.bag.lengths, &[]);
        let bag = pen.say("lists.middle", &[("a", &pen.buy(&of.bag)), ("b", &lengths)]);
        rows.push(vec![
            TableEntry {
                tick: Some((tick.field, tick.spoken)),
                swatch: Some(pen.swatch(of.yarn)),
                text: plain(yarn.name.clone()),
            },
            entry(bag),
            entry(super::materials::amount(pen, &of.class)),
        ]);
    }
    let tick = |field: &str, key: &str| {
        let words = pen.say(key, &[]);
        let line = pen.tick(format!("class-{field}"), None, plain(words.clone()));
        TableEntry { tick: Some((line.field, line.spoken)), swatch: None, text: plain(words) }
    };
    let mut class_cord = vec![pen.measures.both(Kind::Buy, kit.cord_mm), pen.measures.both(Kind::Mass, kit.cord_g)];
    class_cord.extend(kit.spools.map(|spools| pen.words.count("count.spools", spools, &[])));
    let class_cord = pen.row_of(class_cord);
    rows.push(vec![
        tick("cord", "class.cord"),
        entry(pen.measures.both(Kind::Buy, kit.cord_bag_mm)),
        entry(class_cord),
    ]);
    rows.push(vec![tick("wood", "class.wood"), entry(pen.words.whole(1)), entry(pen.words.whole(kit.woods))]);
    Block::Table(Table {
        caption: Some(pen.text("class.caption", &[])),
        columns: vec![
            column(pen, "class.what", Align::Left, 1.0),
            column(pen, "class.bag", Align::Left, 1.3),
            column(pen, "class.class", Align::Left, 1.5),
        ],
        rows,
        row_heads: true,
        note: Some(pen.text("class.note", &[])),
    })
}

/// "12.50 GBP"; without the code where the project gives no currency.
fn price(pen: &Pen, price: f64) -> String {
    let amount = pen.words.money(price);
    match &pen.project.about.currency {
        Some(currency) => pen.say("class.money", &[("amount", &amount), ("currency", currency)]),
        None => amount,
    }
}

/// Tools, and what to be careful of with many people at one table.
pub(super) fn what_to_bring(pen: &Pen) -> Section {
    let mut blocks = Vec::new();
    match pen.options.students {
        Some(students) => {
            let kit = class_kit(pen.project, pen.workings, students);
            let sets = pen.words.count("class.sets", kit.tool_sets, &[]);
            blocks.push(pen.paragraph(
                "body",
                if pen.project.class.tools_shared { "class.tools-shared" } else { "class.tools-own" },
                &[("sets", &sets)],
            ));
        }
        None => blocks.push(pen.body("bring.lead")),
    }
    blocks.push(Block::Ticks(tools(pen)));
    blocks.push(pen.heading(2, "bring.careful"));
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
    if pen.options.students.is_some() {
        cautions.push(Hazard::SmallPartsClass);
    } else if Hazard::SmallParts.met_by(pen.project) {
        cautions.push(Hazard::SmallParts);
    }
    cautions.extend(AT_THE_TABLE.into_iter().filter(|hazard| hazard.met_by(pen.project)));
    blocks.extend(cautions.into_iter().map(|hazard| Block::Caution(pen.caution(hazard))));
    blocks.push(pen.body("before.sitting"));
    Section { id: "what-to-bring".into(), title: Some(pen.say("bring.title", &[])), blocks }
}

//! Materials: snips, yarn with both amounts, cord, wood, what finishing needs, tools; each with its box to tick.

use super::pen::{Pen, joined};
use super::{Align, Block, Section, Snip, Table, TableColumn, TableEntry, Text, TickLine, plain};
use crate::chart::Yarn;
use crate::project::{Backing, BottomFinish, Construction, Fixing, Glue, Mounting, Wood};
use crate::words::measures::Kind;
use crate::workings::{Amount, YarnAmount};

pub(super) fn materials(pen: &Pen) -> Section {
    let margin = pen.words.decimal(pen.project.working.yarn_margin * 100.0, 1);
    let mut blocks = vec![pen.paragraph("lead", "materials.lead", &[("margin", &margin)])];
    blocks.push(pen.heading(2, "materials.yarn"));
    yarns(pen, &mut blocks);
    blocks.push(pen.heading(2, "materials.snips"));
    blocks.push(pen.body("materials.snips-words"));
    blocks.push(snips(pen));
    blocks.push(pen.heading(2, "materials.cord"));
    blocks.push(Block::Ticks(cord(pen)));
    blocks.push(pen.heading(2, "materials.hanging"));
    blocks.push(Block::Ticks(hanging(pen)));
    let finishing = finishing(pen);
    if !finishing.is_empty() {
        blocks.push(pen.heading(2, "materials.finishing"));
        blocks.push(Block::Ticks(finishing));
    }
    blocks.push(pen.heading(2, "materials.tools"));
    blocks.push(Block::Ticks(tools(pen)));
    Section { id: "materials".into(), title: Some(pen.say("materials.title", &[])), blocks }
}

/// Yarns that are used, with their amounts.
pub(super) fn used<'a>(pen: &'a Pen<'_>) -> impl Iterator<Item = (&'a YarnAmount, &'a Yarn)> {
    pen.workings
        .amounts
        .iter()
        .filter(|amount| pen.workings.tally.of(amount.yarn).total() > 0)
        .map(|amount| (amount, pen.project.palette.get(amount.yarn)))
}

/// "12 m (13 yd), 20 g (0.8 oz), 1 ball".
pub(super) fn amount(pen: &Pen, amount: &Amount) -> String {
    let mut parts = vec![pen.buy(amount)];
    if let Some(grams) = amount.grams {
        parts.push(pen.measures.both(Kind::Mass, grams));
    }
    if let Some(balls) = amount.balls {
        parts.push(pen.words.count("count.balls", balls, &[]));
    }
    pen.row_of(parts)
}

/// A table's column.
pub(super) fn column(pen: &Pen, key: &str, align: Align, share: f64) -> TableColumn {
    TableColumn { head: pen.text(key, &[]), align, share }
}

/// A table's cell of plain words.
pub(super) fn entry(words: String) -> TableEntry {
    TableEntry { text: plain(words), ..TableEntry::default() }
}

/// The cell that heads a yarn's row.
pub(super) fn yarn_entry(pen: &Pen, of: &YarnAmount) -> TableEntry {
    TableEntry { tick: None, swatch: Some(pen.swatch(of.yarn)), text: plain(pen.yarn(of.yarn)) }
}

/// The table of yarns with both amounts, then what each yarn is.
pub(super) fn yarns(pen: &Pen, blocks: &mut Vec<Block>) {
    let rows = used(pen)
        .map(|(of, yarn)| {
            let tick = pen.tick(format!("materials-yarn-{}", yarn.key), None, plain(yarn.name.clone()));
            vec![
                TableEntry { tick: Some((tick.field, tick.spoken)), ..yarn_entry(pen, of) },
                entry(amount(pen, &of.carrying)),
                entry(amount(pen, &of.cutting)),
            ]
        })
        .collect();
    let mut note = vec![pen.text("materials.yarn-note", &[])];
    for (of, yarn) in used(pen).filter(|(of, _)| of.header.lengths > 0) {
        let header = amount(pen, &of.header);
        note.push(pen.text("materials.header-note", &[("yarn", &yarn.name), ("amount", &header)]));
    }
    blocks.push(Block::Table(Table {
        caption: Some(pen.text("materials.yarn-caption", &[])),
        columns: vec![
            column(pen, "materials.yarn-column", Align::Left, 1.0),
            column(pen, "materials.as-planned", Align::Left, 1.4),
            column(pen, "materials.cutting", Align::Left, 1.4),
        ],
        rows,
        row_heads: true,
        note: Some(joined(note)),
    }));
    blocks.push(Block::Bullets(about_yarns(pen)));
}

/// What the yarns are. Yarns that differ in shade and dye lot only are told of together.
fn about_yarns(pen: &Pen) -> Vec<Text> {
    let mut kinds: Vec<(String, Vec<&Yarn>)> = Vec::new();
    for (_, yarn) in used(pen) {
        let words = kind_of_yarn(pen, yarn);
        match kinds.iter_mut().find(|(of, _)| *of == words) {
            Some((_, yarns)) => yarns.push(yarn),
            None => kinds.push((words, vec![yarn])),
        }
    }
    let told = |(words, yarns): (String, Vec<&Yarn>)| match yarns.as_slice() {
        [yarn] => {
            let mut parts = own_of_yarn(pen, yarn);
            parts.insert(0, words);
            pen.text("materials.about-yarn", &[("yarn", &yarn.name), ("words", &pen.row_of(parts))])
        }
        yarns => {
            let named = |yarn: &&Yarn| match own_of_yarn(pen, yarn) {
                own if own.is_empty() => yarn.name.clone(),
                own => pen.say("materials.yarn-own", &[("yarn", &yarn.name), ("words", &pen.row_of(own))]),
            };
            let names: Vec<String> = yarns.iter().map(named).collect();
            pen.text("materials.about-yarns", &[("words", &words), ("yarns", &pen.words.list(&names))])
        }
    };
    kinds.into_iter().map(told).collect()
}

/// What is a yarn's own: shade and dye lot.
fn own_of_yarn(pen: &Pen, yarn: &Yarn) -> Vec<String> {
    let shade = yarn.shade.as_ref().map(|shade| pen.say("materials.shade", &[("shade", shade)]));
    let lot = yarn.dye_lot.as_ref().map(|lot| pen.say("materials.dye-lot", &[("lot", lot)]));
    shade.into_iter().chain(lot).collect()
}

/// What kind of yarn it is: maker, fibre, weight, thickness, what a ball holds.
fn kind_of_yarn(pen: &Pen, yarn: &Yarn) -> String {
    let mut parts: Vec<String> = Vec::new();
    parts.extend(yarn.brand.clone());
    // A sign of per cent stays with its figure.
    parts.extend(yarn.fibre.as_ref().map(|fibre| fibre.replace(" %", "\u{a0}%")));
    parts.extend(yarn.weight.and_then(weight_key).map(|key| pen.say(key, &[])));
    let thick = pen.measures.both(Kind::Fine, yarn.diameter_mm);
    parts.push(pen.say("materials.thick", &[("diameter", &thick)]));
    if let Some(metres) = yarn.ball_m {
        // Never more than the band says: a ball taken for longer would leave her short.
        let length = pen.measures.both(Kind::Left, metres * 1000.0);
        parts.push(pen.say("materials.ball", &[("length", &length)]));
    }
    pen.row_of(parts)
}

/// Names of the Standard Yarn Weight System (Craft Yarn Council).
fn weight_key(weight: u8) -> Option<&'static str> {
    match weight {
        0 => Some("weight.0"),
        1 => Some("weight.1"),
        2 => Some("weight.2"),
        3 => Some("weight.3"),
        4 => Some("weight.4"),
        5 => Some("weight.5"),
        6 => Some("weight.6"),
        7 => Some("weight.7"),
        _ => None,
    }
}

fn snips(pen: &Pen) -> Block {
    Block::Snips(
        used(pen)
            .map(|(of, yarn)| Snip {
                swatch: pen.swatch(of.yarn),
                name: yarn.name.clone(),
                lines: vec![pen.say("materials.snip-yarn", &[]), pen.say("materials.snip-lot", &[])],
            })
            .collect(),
    )
}

/// A line of the list: the last part of its field's name, and its words.
fn line(pen: &Pen, field: &str, text: Text) -> TickLine {
    pen.tick(format!("materials-{field}"), None, text)
}

/// The hanging cord with all that is cut from it.
pub(super) fn cord(pen: &Pen) -> Vec<TickLine> {
    let (cord, cut) = (&pen.project.cord, &pen.workings.cords);
    let mut parts = vec![pen.say(
        match cord.construction {
            Construction::SingleStrand => "materials.cord-single-strand",
            Construction::ThreePly => "materials.cord-three-ply",
            Construction::Braided => "materials.cord-braided",
        },
        &[("diameter", &pen.measures.both(Kind::Fine, cord.diameter_mm))],
    )];
    parts.extend(cord.colour_name.clone());
    parts.extend(cord.fibre.clone());
    parts.extend(cord.brand.clone());
    let words = pen.row_of(parts);
    let mut buy = vec![pen.measures.both(Kind::Buy, cut.to_buy_mm), pen.measures.both(Kind::Mass, cut.to_buy_g)];
    buy.extend(cut.spools.map(|spools| pen.words.count("count.spools", spools, &[])));
    let buy = pen.row_of(buy);
    let key = if cut.strand.is_some() { "materials.cord-line-strand" } else { "materials.cord-line" };
    vec![line(pen, "cord", pen.text(key, &[("words", &words), ("amount", &buy)]))]
}

/// Wood, and what fixes the panel to it and the wood to the wall.
pub(super) fn hanging(pen: &Pen) -> Vec<TickLine> {
    let (project, hanging) = (pen.project, &pen.workings.hanging);
    // Wood is sold by the eighth of an inch, and cut to the length that the drawing shows.
    let thick = pen.measures.both(Kind::Gap, project.hanging.diameter_mm);
    let length = pen.measures.both(Kind::Size, hanging.wood_mm);
    let wood = match project.hanging.wood {
        Wood::Dowel => "materials.dowel",
        Wood::Branch => "materials.branch",
    };
    let mut out = vec![line(pen, "wood", pen.text(wood, &[("thick", &thick), ("length", &length)]))];
    match project.hanging.fixing {
        Fixing::Staples => {
            let leg = hanging.staples.as_ref().map_or(0.0, |staples| staples.leg_mm);
            let leg = pen.measures.both(Kind::Least, leg);
            out.push(line(pen, "staples", pen.text("materials.staples", &[("leg", &leg)])));
        }
        Fixing::Nails => {
            let most = pen.measures.both(Kind::Short, super::hanging::longest_nail_mm(pen));
            out.push(line(pen, "nails", pen.text("materials.nails", &[("most", &most)])));
        }
        Fixing::Tied => {
            if project.hanging.mounting == Mounting::OnAStrand {
                out.push(line(pen, "tying", pen.text("materials.tying", &[])));
            }
        }
    }
    let rated = pen.measures.both(Kind::Load, hanging.hanger_least_g);
    out.push(line(pen, "wall", pen.text("materials.wall", &[("rated", &rated)])));
    out
}

/// What the chosen finish needs.
pub(super) fn finishing(pen: &Pen) -> Vec<TickLine> {
    let choice = &pen.project.finishing;
    let hanging = &pen.workings.hanging;
    let mut out = Vec::new();
    let fleece = match choice.backing {
        Backing::None => None,
        Backing::Fused => Some("materials.fleece-fused"),
        Backing::Sewn => Some("materials.fleece-sewn"),
    };
    if let Some(key) = fleece {
        out.push(line(pen, "backing", pen.text(key, &[("size", &pen.backing_size())])));
    }
    if let Some(ribbon) = hanging.ribbon_mm {
        let length = pen.measures.both(Kind::Cut, ribbon);
        out.push(line(pen, "ribbon", pen.text("materials.ribbon", &[("length", &length)])));
    }
    if let Some((width, height)) = hanging.label_mm {
        let size = pen.measures.across_down(Kind::Size, width, height);
        out.push(line(pen, "label", pen.text("materials.label", &[("size", &size)])));
    }
    match choice.glue {
        Glue::None => {}
        Glue::Craft => out.push(line(pen, "glue", pen.text("materials.glue-craft", &[]))),
        Glue::Hot => out.push(line(pen, "glue", pen.text("materials.glue-hot", &[]))),
    }
    if choice.sealing {
        out.push(line(pen, "sealing", pen.text("materials.sealing", &[])));
    }
    if choice.beads {
        out.push(line(pen, "beads", pen.text("materials.beads", &[])));
    }
    out
}

/// Tools, only those that some step asks for.
pub(super) fn tools(pen: &Pen) -> Vec<TickLine> {
    let project = pen.project;
    let sews = project.finishing.backing == Backing::Sewn
        || project.bottom.finish != BottomFinish::Fringe
        || project.finishing.glue == Glue::None && (project.finishing.edge_ribbon || project.finishing.label);
    let strand = project.hanging.mounting == Mounting::OnAStrand;
    let levels = !strand && project.hanging.wood == Wood::Branch;
    let staples = project.hanging.fixing == Fixing::Staples;
    let nails = project.hanging.fixing == Fixing::Nails;
    let found = project.hanging.wood == Wood::Branch;
    let wanted: [(bool, &str, &str); 20] = [
        (true, "tool-scissors", "tool.scissors"),
        (true, "tool-tape-measure", "tool.tape-measure"),
        (strand, "tool-board", "tool.board"),
        (!strand, "tool-rail", "tool.rail"),
        (true, "tool-needle", "tool.blunt-needle"),
        (true, "tool-clips", "tool.clips"),
        (true, "tool-tape", "tool.tape"),
        (true, "tool-pencil", "tool.pencil"),
        (levels, "tool-string", "tool.string"),
        (project.bottom.finish == BottomFinish::Fringe, "tool-comb", "tool.comb"),
        (sews, "tool-sewing", "tool.sewing"),
        (project.finishing.backing == Backing::Fused, "tool-iron", "tool.iron"),
        (staples, "tool-staple-gun", "tool.staple-gun"),
        (nails, "tool-hammer", "tool.hammer"),
        (found, "tool-sandpaper", "tool.sandpaper"),
        (!found, "tool-saw", "tool.saw"),
        (project.finishing.glue == Glue::Craft, "tool-gloves", "tool.gloves"),
        (project.finishing.glue == Glue::Hot, "tool-glue-gun", "tool.glue-gun"),
        (true, "tool-drill", "tool.drill"),
        (true, "tool-eye-protection", "tool.eye-protection"),
    ];
    wanted
        .into_iter()
        .filter(|(wanted, _, _)| *wanted)
        .map(|(_, field, key)| line(pen, field, pen.text(key, &[])))
        .collect()
}

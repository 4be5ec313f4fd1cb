//! Materials: snips, yarn with both amounts, cord, wood, what finishing needs, tools; each with its box to tick.

use super::context::{HERE, WriteContext, joined, with_inlines};
use super::hazard::hangs_from_a_pin;
use super::own_words::{OwnName, with_names};
use super::{Align, Block, Inline, Section, Snip, Table, TableColumn, TableEntry, Text, TickLine, plain};
use crate::catalogue::{SectionName, StyleName};
use crate::chart::Yarn;
use crate::markup::unmarked;
use crate::project::{Backing, BottomFinish, Construction, Fixing, Glue, Mounting, Wood};
use crate::words::measures::MeasureKind;
use crate::workings::{Amount, YarnAmount};

pub(super) fn materials(context: &WriteContext) -> Section {
    let margin = context.words.decimal(context.project.working.yarn_margin * 100.0, 1);
    let mut blocks = vec![context.paragraph(StyleName::Lead, lead(context), &[("margin", &margin)])];
    blocks.push(context.heading(2, "materials.yarn"));
    yarns(context, &mut blocks);
    blocks.push(context.heading(2, "materials.snips"));
    blocks.push(context.body("materials.snips-words"));
    blocks.push(snips(context));
    blocks.push(context.heading(2, "materials.cord"));
    blocks.push(Block::Ticks(cord(context)));
    blocks.push(context.heading(2, "materials.hanging"));
    blocks.push(Block::Ticks(hanging(context)));
    let finishing = finishing(context);
    if !finishing.is_empty() {
        blocks.push(context.heading(2, "materials.finishing"));
        blocks.push(Block::Ticks(finishing));
    }
    blocks.push(context.heading(2, "materials.tools"));
    blocks.push(Block::Ticks(tools(context)));
    Section { id: SectionName::Materials, title: Some(context.say("materials.title", &[])), blocks }
}

/// When to buy: a panel that is hardly larger than a swatch has none.
pub(super) fn lead(context: &WriteContext) -> &'static str {
    if super::swatch::swatch(context).is_some() { "materials.lead" } else { "materials.lead-small" }
}

/// Yarns that are used, with their amounts.
pub(super) fn used<'a>(context: &'a WriteContext<'_>) -> impl Iterator<Item = (&'a YarnAmount, &'a Yarn)> {
    context
        .workings
        .amounts
        .iter()
        .filter(|amount| context.workings.tally.of(amount.yarn).total() > 0)
        .map(|amount| (amount, context.project.palette.get(amount.yarn)))
}

/// "12 m (13 yd), 20 g (0.8 oz), 1 ball".
pub(super) fn amount(context: &WriteContext, amount: &Amount) -> String {
    let mut parts = vec![context.buy(amount)];
    if let Some(grams) = amount.grams {
        parts.push(context.measures.both(MeasureKind::Mass, grams));
    }
    if let Some(balls) = amount.balls {
        parts.push(context.words.count("count.balls", balls, &[]));
    }
    context.row_of(parts)
}

/// A table's column.
pub(super) fn column(context: &WriteContext, key: &str, align: Align, share: f64) -> TableColumn {
    TableColumn { head: context.text(key, &[]), align, share }
}

/// A table's cell of plain words.
pub(super) fn entry(words: String) -> TableEntry {
    TableEntry { text: plain(words), ..TableEntry::default() }
}

/// The cell that heads a yarn's row.
pub(super) fn yarn_entry(context: &WriteContext, of: &YarnAmount) -> TableEntry {
    TableEntry { tick: None, swatch: Some(context.swatch(of.yarn)), text: plain(context.yarn(of.yarn)) }
}

/// The table of yarns with what to buy of each, then what each yarn is.
pub(super) fn yarns(context: &WriteContext, blocks: &mut Vec<Block>) {
    blocks.extend(super::colourway_words::where_named(context));
    let rows = used(context)
        .map(|(of, yarn)| {
            let tick = context.tick(format!("materials-yarn-{}", yarn.key), None, plain(yarn.name.clone()));
            vec![
                TableEntry { tick: Some((tick.field, tick.spoken)), ..yarn_entry(context, of) },
                entry(amount(context, &of.buy)),
                entry(context.words.whole(of.buy.lengths)),
                entry(context.words.whole(of.knots_in_length)),
            ]
        })
        .collect();
    let mut note: Vec<Text> = cut_instead(context).into_iter().collect();
    for (of, yarn) in used(context).filter(|(of, _)| of.header.lengths > 0) {
        let header = amount(context, &of.header);
        note.push(context.text("materials.header-note", &[("yarn", &yarn.name), ("amount", &header)]));
    }
    blocks.push(Block::Table(Table {
        caption: Some(context.text("materials.yarn-caption", &[])),
        columns: vec![
            column(context, "materials.yarn-column", Align::Left, 1.0),
            column(context, "materials.to-buy", Align::Left, 1.8),
            column(context, "your-yarn.lengths", Align::Right, 0.6),
            column(context, "your-yarn.in-length", Align::Right, 0.8),
        ],
        rows,
        row_heads: true,
        note: Some(joined(note)).filter(|note| !note.is_empty()),
    }));
    blocks.push(Block::Bullets(about_yarns(context)));
}

/// What it takes to cut where the plan carries: nothing is said where nothing is carried.
fn cut_instead(context: &WriteContext) -> Option<Text> {
    let (of, yarn) = used(context).max_by_key(|(of, _)| of.carries).filter(|(of, _)| of.carries > 0)?;
    let each = context.measures.both(MeasureKind::Gap, 2.0 * context.project.working.tail_mm);
    let most = context.buy_mm(of.cut_instead_mm);
    let text = context.text("materials.cut-instead", &[("each", &each), ("most", &most), ("yarn", &yarn.name)]);
    Some(with_names(context, text, [OwnName::Name(&yarn.name)]))
}

/// What the yarns are. Yarns that differ in shade and dye lot only are told of together.
fn about_yarns(context: &WriteContext) -> Vec<Text> {
    let mut kinds: Vec<(String, Vec<&Yarn>)> = Vec::new();
    for (_, yarn) in used(context) {
        let words = kind_of_yarn(context, yarn);
        match kinds.iter_mut().find(|(of, _)| *of == words) {
            Some((_, yarns)) => yarns.push(yarn),
            None => kinds.push((words, vec![yarn])),
        }
    }
    let named = |text: Text, yarns: &[&Yarn]| {
        let of_kind =
            yarns.first().into_iter().flat_map(|yarn| [OwnName::brand(yarn), yarn.fibre.as_deref().map(OwnName::Name)]);
        let own = yarns.iter().flat_map(|yarn| [Some(OwnName::Name(&yarn.name)), OwnName::shade(yarn)]);
        with_names(context, text, of_kind.chain(own).flatten())
    };
    let told = |(words, yarns): (String, Vec<&Yarn>)| match yarns.as_slice() {
        [yarn] => {
            let mut parts = own_of_yarn(context, yarn);
            parts.insert(0, words);
            let text = context.text("materials.about-yarn", &[("yarn", &yarn.name), ("words", &context.row_of(parts))]);
            with_inlines(named(text, &[yarn]), link_of_yarn(context, yarn).into_iter().collect())
        }
        yarns => {
            let with_own = |yarn: &&Yarn| match own_of_yarn(context, yarn) {
                own if own.is_empty() => yarn.name.clone(),
                own => context.say("materials.yarn-own", &[("yarn", &yarn.name), ("words", &context.row_of(own))]),
            };
            let names: Vec<String> = yarns.iter().map(with_own).collect();
            let text =
                context.text("materials.about-yarns", &[("words", &words), ("yarns", &context.words.list(&names))]);
            with_inlines(named(text, yarns), yarns.iter().filter_map(|yarn| link_of_yarn(context, yarn)).collect())
        }
    };
    kinds.into_iter().map(told).collect()
}

fn link_of_yarn(context: &WriteContext, yarn: &Yarn) -> Option<Inline> {
    yarn.link.as_ref().map(|link| context.link(&yarn.name, link))
}

/// What is a yarn's own: shade, dye lot, and room for its address.
fn own_of_yarn(context: &WriteContext, yarn: &Yarn) -> Vec<String> {
    let shade = yarn.shade.as_ref().map(|shade| context.say("materials.shade", &[("shade", shade)]));
    let lot = yarn.dye_lot.as_ref().map(|lot| context.say("materials.dye-lot", &[("lot", lot)]));
    shade.into_iter().chain(lot).chain(yarn.link.as_ref().map(|_| HERE.to_string())).collect()
}

/// What kind of yarn it is: maker, fibre, weight, thickness, what a ball holds.
pub(super) fn kind_of_yarn(context: &WriteContext, yarn: &Yarn) -> String {
    let mut parts: Vec<String> = Vec::new();
    parts.extend(yarn.brand.clone());
    // A sign of per cent stays with its figure.
    parts.extend(yarn.fibre.as_ref().map(|fibre| fibre.replace(" %", "\u{a0}%")));
    parts.extend(yarn.weight.and_then(weight_key).map(|key| context.say(key, &[])));
    let thick = context.measures.both(MeasureKind::Fine, yarn.diameter_mm);
    parts.push(context.say("materials.thick", &[("diameter", &thick)]));
    if let Some(metres) = yarn.ball_m {
        // Never more than the band says: a ball taken for longer would leave her short.
        let length = context.measures.both(MeasureKind::Left, metres * 1000.0);
        parts.push(context.say("materials.ball", &[("length", &length)]));
    }
    context.row_of(parts)
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

fn snips(context: &WriteContext) -> Block {
    Block::Snips(
        used(context)
            .map(|(of, yarn)| Snip {
                swatch: context.swatch(of.yarn),
                name: yarn.name.clone(),
                lines: vec![context.say("materials.snip-yarn", &[]), context.say("materials.snip-lot", &[])],
            })
            .collect(),
    )
}

/// A line of the list: the last part of its field's name, and its words.
fn line(context: &WriteContext, field: &str, text: Text) -> TickLine {
    context.tick(format!("materials-{field}"), None, text)
}

/// The line with an address after it. The box to tick is named without.
fn linked(context: &WriteContext, line: TickLine, what: &str, address: Option<&String>) -> TickLine {
    TickLine { text: context.linked(line.text, what, address), ..line }
}

/// The hanging cord with all that is cut from it.
pub(super) fn cord(context: &WriteContext) -> Vec<TickLine> {
    let (cord, cut) = (&context.project.cord, &context.workings.cords);
    let mut parts = vec![context.say(
        match cord.construction {
            Construction::SingleStrand => "materials.cord-single-strand",
            Construction::ThreePly => "materials.cord-three-ply",
            Construction::Braided => "materials.cord-braided",
        },
        &[("diameter", &context.measures.both(MeasureKind::Fine, cord.diameter_mm))],
    )];
    parts.extend(cord.colour_name.clone());
    parts.extend(cord.fibre.clone());
    parts.extend(cord.brand.clone());
    let words = context.row_of(parts);
    let mut buy = vec![
        context.measures.both(MeasureKind::Buy, cut.to_buy_mm),
        context.measures.both(MeasureKind::Mass, cut.to_buy_g),
    ];
    buy.extend(cut.spools.map(|spools| context.words.count("count.spools", spools, &[])));
    let buy = context.row_of(buy);
    let key = if cut.strand.is_some() { "materials.cord-line-strand" } else { "materials.cord-line" };
    let own = [
        cord.colour_name.as_deref().map(OwnName::Name),
        cord.fibre.as_deref().map(OwnName::Name),
        cord.brand.as_deref().map(|brand| OwnName::Brand(brand, cord.brand_language.as_deref())),
    ];
    let text = context.text(key, &[("words", &words), ("amount", &buy)]);
    let line = line(context, "cord", with_names(context, text, own.into_iter().flatten()));
    vec![linked(context, line, &context.say("materials.cord", &[]), cord.link.as_ref())]
}

/// Wood, and what fixes the panel to it and the wood to the wall.
pub(super) fn hanging(context: &WriteContext) -> Vec<TickLine> {
    let (project, hanging) = (context.project, &context.workings.hanging);
    // Wood is sold by the eighth of an inch, and cut to the length that the drawing shows.
    let thick = context.measures.both(MeasureKind::Gap, project.hanging.diameter_mm);
    let length = context.measures.both(MeasureKind::Size, hanging.wood_mm);
    let wood = match project.hanging.wood {
        Wood::Dowel => "materials.dowel",
        Wood::Branch => "materials.branch",
    };
    let line_of_wood = line(context, "wood", context.text(wood, &[("thick", &thick), ("length", &length)]));
    let mut out = vec![linked(context, line_of_wood, &context.say("link.wood", &[]), project.hanging.link.as_ref())];
    match project.hanging.fixing {
        Fixing::Staples => {
            let leg = hanging.staples.as_ref().map_or(0.0, |staples| staples.leg_mm);
            let leg = context.measures.both(MeasureKind::Least, leg);
            out.push(line(context, "staples", context.text("materials.staples", &[("leg", &leg)])));
        }
        Fixing::Nails => {
            let most = context.measures.both(MeasureKind::Short, super::hanging::longest_nail_mm(context));
            out.push(line(context, "nails", context.text("materials.nails", &[("most", &most)])));
        }
        Fixing::Tied => {
            if project.hanging.mounting == Mounting::OnAStrand {
                out.push(line(context, "tying", context.text("materials.tying", &[])));
            }
        }
    }
    let rated = context.measures.both(MeasureKind::Load, hanging.hanger_least_g);
    let wall = if hangs_from_a_pin(context) { "materials.wall-pin" } else { "materials.wall" };
    out.push(line(context, "wall", context.text(wall, &[("rated", &rated)])));
    out
}

/// What the chosen finish needs.
pub(super) fn finishing(context: &WriteContext) -> Vec<TickLine> {
    let choice = &context.project.finishing;
    let hanging = &context.workings.hanging;
    let mut out = Vec::new();
    let fleece = match context.backing() {
        Backing::None => None,
        Backing::Fused => Some("materials.fleece-fused"),
        Backing::Sewn => Some("materials.fleece-sewn"),
    };
    if let Some(key) = fleece {
        out.push(line(context, "backing", context.text(key, &[("size", &context.backing_size())])));
    }
    if let Some(ribbon) = hanging.ribbon_mm {
        let length = context.measures.both(MeasureKind::Cut, ribbon);
        out.push(line(context, "ribbon", context.text("materials.ribbon", &[("length", &length)])));
    }
    if let Some((width, height)) = hanging.label_mm {
        let size = context.measures.across_down(MeasureKind::Size, width, height);
        out.push(line(context, "label", context.text("materials.label", &[("size", &size)])));
    }
    match choice.glue {
        Glue::None => {}
        Glue::Craft => out.push(line(context, "glue", context.text("materials.glue-craft", &[]))),
        Glue::Hot => out.push(line(context, "glue", context.text("materials.glue-hot", &[]))),
    }
    if choice.sealing {
        out.push(line(context, "sealing", context.text("materials.sealing", &[])));
    }
    if choice.beads {
        out.push(line(context, "beads", context.text("materials.beads", &[])));
    }
    out
}

/// Tools, only those that some step asks for.
pub(super) fn tools(context: &WriteContext) -> Vec<TickLine> {
    let project = context.project;
    let hanging = &context.workings.hanging;
    let sews = context.backing() == Backing::Sewn
        || project.bottom.finish != BottomFinish::Fringe
        || project.finishing.glue == Glue::None && (hanging.ribbon_mm.is_some() || hanging.label_mm.is_some());
    let strand = project.hanging.mounting == Mounting::OnAStrand;
    let levels = !strand && project.hanging.wood == Wood::Branch;
    let staples = project.hanging.fixing == Fixing::Staples;
    let nails = project.hanging.fixing == Fixing::Nails;
    let found = project.hanging.wood == Wood::Branch;
    let light = hangs_from_a_pin(context);
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
        (context.backing() == Backing::Fused, "tool-iron", "tool.iron"),
        (staples, "tool-staple-gun", "tool.staple-gun"),
        (nails, "tool-hammer", "tool.hammer"),
        (found, "tool-sandpaper", "tool.sandpaper"),
        (!found, "tool-saw", "tool.saw"),
        (project.finishing.glue == Glue::Craft, "tool-gloves", "tool.gloves"),
        (project.finishing.glue == Glue::Hot, "tool-glue-gun", "tool.glue-gun"),
        (!light, "tool-drill", "tool.drill"),
        (staples || nails || found || !light, "tool-eye-protection", "tool.eye-protection"),
    ];
    wanted
        .into_iter()
        .filter(|(wanted, _, _)| *wanted)
        .map(|(_, field, key)| {
            let tool = line(context, field, context.text(key, &[]));
            let shown = project.tools.iter().find(|shown| field.strip_prefix("tool-") == Some(shown.tool));
            let what = unmarked(&tool.text);
            linked(context, tool, &what, shown.map(|shown| &shown.link))
        })
        .collect()
}

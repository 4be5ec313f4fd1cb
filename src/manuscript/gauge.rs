//! First the wood, then a swatch: what a buyer finds out before she buys and cuts, and where each of her figures changes what
//! she buys or cuts. It needs no software: she fills in three figures and reads tables.

use super::context::{WriteContext, joined};
use super::cutting::columns_of;
use super::hanging::prepare_branch;
use super::hazard::Hazard;
use super::materials::{column, entry, used, yarn_entry};
use super::setting_up::depth_table;
use super::swatch::swatch;
use super::{Align, Block, Section, Step, Table, TableColumn, TableEntry, Text, plain};
use crate::catalogue::{SectionName, StyleName};
use crate::chart::YarnId;
use crate::project::{Backing, Wood};
use crate::words::measures::MeasureKind;
use crate::workings::{Amount, BACKING_LESS_MM, OwnPitch, OwnYarn, RIBBON_TURNED_IN_MM};

/// Cord of a swatch below its last row, millimetres.
const SWATCH_ENDS_MM: f64 = 150.0;
/// Hands that are looser by this part are allowed for in a swatch's own cord.
const LOOSEST: f64 = 1.3;

pub(super) fn own_gauge(context: &WriteContext) -> Section {
    let mut blocks = vec![context.paragraph(StyleName::Lead, "own-gauge.lead", &[])];
    wood(context, &mut blocks);
    match swatch(context) {
        Some((side, middle)) => {
            knot_swatch(context, side, middle, &mut blocks);
            yarn(context, side, &mut blocks);
            size(context, middle, &mut blocks);
        }
        None => loosest(context, &mut blocks),
    }
    Section { id: SectionName::OwnGauge, title: Some(context.say("own-gauge.title", &[])), blocks }
}

/// The wood, before anything that depends on it.
fn wood(context: &WriteContext, blocks: &mut Vec<Block>) {
    let hanging = &context.project.hanging;
    let thick = context.measures.both(MeasureKind::Gap, hanging.diameter_mm);
    let loosest = context.workings.own_gauge.pitches.iter().map(|line| line.wood_least_mm).fold(0.0, f64::max);
    let long = context.measures.both(MeasureKind::Cut, loosest.max(context.workings.hanging.wood_mm));
    blocks.push(context.heading(2, "own-gauge.wood"));
    match hanging.wood {
        Wood::Branch => {
            let mut steps = vec![context.step("own-gauge.wood-branch", &[("thick", &thick), ("long", &long)])];
            steps.extend(prepare_branch(context));
            blocks.push(Block::Steps(steps));
            if context.is_header_by_wood() {
                depth_table(context, blocks);
            }
        }
        Wood::Dowel => {
            let key = if swatch(context).is_some() { "own-gauge.wood-dowel" } else { "own-gauge.wood-dowel-small" };
            blocks.push(context.paragraph(StyleName::Body, key, &[("thick", &thick)]));
        }
    }
}

fn knot_swatch(context: &WriteContext, side: usize, middle: usize, blocks: &mut Vec<Block>) {
    let gauge = &context.workings.gauge;
    let legs = usize::from(context.project.working.legs_per_column);
    let cords = (side * legs).div_ceil(2);
    let leg = side as f64 * gauge.row_mm * LOOSEST * (1.0 + context.project.working.cord_take_up) + SWATCH_ENDS_MM;
    let length_mm = 2.0 * leg + context.workings.cords.head_mm;
    let length = context.measures.both(MeasureKind::Cut, length_mm);
    let all = context.measures.both(MeasureKind::Buy, length_mm * cords as f64);
    blocks.push(context.heading(2, "own-gauge.swatch"));
    blocks.push(context.paragraph(StyleName::Body, "own-gauge.swatch-words", &[("cord", &all)]));
    let pieces = context.words.count("count.pieces", cords, &[]);
    let hang: crate::words::Names = &[("pieces", &pieces), ("length", &length), ("side", &side)];
    blocks.push(Block::Steps(vec![
        Step {
            cautions: context.cautions(&[Hazard::Scissors]),
            text: joined(hung_up(context, hang)),
            figure: None,
            picture: None,
        },
        context.step("own-gauge.step-2", &[("middle", &middle)]),
        context.step("own-gauge.step-3", &[("side", &side)]),
    ]));
    let blank = |before: &str, n: usize| (context.text(before, &[("n", &n)]), context.text("own-gauge.my-unit", &[]));
    blocks.push(Block::FillIn(vec![
        blank("own-gauge.my-knots", side),
        blank("own-gauge.my-columns", middle),
        blank("own-gauge.my-rows", middle),
    ]));
    let across = context.measures.both(MeasureKind::Gap, middle as f64 * gauge.column_mm);
    let down = context.measures.both(MeasureKind::Gap, middle as f64 * gauge.row_mm);
    blocks.push(context.paragraph(
        StyleName::Body,
        "own-gauge.booklet",
        &[("n", &middle), ("columns", &across), ("rows", &down)],
    ));
    blocks.push(context.paragraph(StyleName::Note, "own-gauge.plausible", &[]));
}

/// Hanging up cords and knotting a swatch, with the pages that show it.
fn hung_up(context: &WriteContext, hang: crate::words::Names) -> Vec<Text> {
    let page = |key, names, section| context.text_with(key, names, "page", vec![super::Inline::PageOf(section)]);
    let mut said = vec![match context.has(SectionName::Techniques) {
        true => page("own-gauge.step-1-page", hang, SectionName::Techniques),
        false => context.text("own-gauge.step-1", hang),
    }];
    let shown = context.has(SectionName::SettingUp) && context.workings.cords.folded.count > 0;
    said.extend(shown.then(|| page("own-gauge.hang-page", &[], SectionName::SettingUp)));
    said
}

/// Lines of the table by yarn, joined where a shop sells the same for neighbours: the last line of each.
fn joined_lines<'a>(context: &'a WriteContext<'_>) -> Vec<&'a OwnYarn> {
    let lines = &context.workings.own_gauge.yarns;
    let balls = |line: &OwnYarn| -> Option<Vec<usize>> {
        used(context).map(|(of, _)| line.buy.get(usize::from(of.yarn.0)).and_then(|amount| amount.balls)).collect()
    };
    let mut kept: Vec<&OwnYarn> = Vec::new();
    for line in lines {
        match kept.last_mut() {
            Some(last) if balls(last).is_some() && balls(last) == balls(line) => *last = line,
            Some(_) | None => kept.push(line),
        }
    }
    kept
}

/// What the knots of a swatch's row take, for each group of yarns that take the same.
fn knot_groups(context: &WriteContext) -> Vec<Vec<YarnId>> {
    let mut groups: Vec<(f64, Vec<YarnId>)> = Vec::new();
    for (of, _) in used(context) {
        let knot = context.workings.gauge.yarns.get(usize::from(of.yarn.0)).map_or(0.0, |yarn| yarn.knot_mm);
        match groups.iter_mut().find(|(mm, _)| (*mm - knot).abs() < 0.01) {
            Some((_, yarns)) => yarns.push(of.yarn),
            None => groups.push((knot, vec![of.yarn])),
        }
    }
    groups.into_iter().map(|(_, yarns)| yarns).collect()
}

fn yarn(context: &WriteContext, side: usize, blocks: &mut Vec<Block>) {
    let lines = joined_lines(context);
    let groups = knot_groups(context);
    let most = |line: &OwnYarn, yarns: &[YarnId]| {
        let at = yarns.first().map_or(0, |id| usize::from(id.0));
        let knot = line.knot_mm.get(at).copied().unwrap_or_default();
        context.measures.both(MeasureKind::Most, side as f64 * knot)
    };
    blocks.push(context.heading(2, "own-gauge.yarn"));
    if let ([line], [yarns]) = (lines.as_slice(), groups.as_slice())
        && context.workings.own_gauge.yarns.len() > 1
    {
        let most = most(line, yarns);
        blocks.push(context.paragraph(StyleName::Body, "own-gauge.yarn-enough", &[("n", &side), ("most", &most)]));
        return;
    }
    blocks.push(context.paragraph(StyleName::Body, "own-gauge.yarn-words", &[("n", &side)]));
    let mut rows: Vec<Vec<TableEntry>> = Vec::new();
    for yarns in &groups {
        let names: Vec<String> = yarns.iter().map(|id| context.yarn(*id).to_string()).collect();
        let head = match groups.len() {
            1 => context.say("own-gauge.knots-use", &[("n", &side)]),
            _ => context.say("own-gauge.knots-use-of", &[("n", &side), ("yarns", &context.words.list(&names))]),
        };
        let mut row = vec![entry(head)];
        row.extend(lines.iter().map(|line| entry(context.say("own-gauge.up-to", &[("most", &most(line, yarns))]))));
        rows.push(row);
    }
    let bought = |amount: &Amount| match amount.balls {
        Some(balls) => context.words.count("count.balls", balls, &[]),
        None => context.buy(amount),
    };
    let mut same: Vec<String> = Vec::new();
    for (of, yarn) in used(context) {
        let amounts = lines.iter().map(|line| line.buy.get(usize::from(of.yarn.0)).map_or_else(String::new, bought));
        let amounts: Vec<String> = amounts.collect();
        if amounts.windows(2).all(|pair| pair[0] == pair[1]) {
            same.push(yarn.name.clone());
            continue;
        }
        let mut row = vec![yarn_entry(context, of)];
        row.extend(amounts.into_iter().map(entry));
        rows.push(row);
    }
    let same = context.words.list(&same);
    let note = (!same.is_empty()).then(|| context.text("own-gauge.yarn-same", &[("yarns", &same)]));
    let share = |head: String, share: f64| TableColumn { head: plain(head), align: Align::Left, share };
    // What heads the columns is what the hand measured, where that is one figure.
    let mut columns = match groups.len() {
        1 => rows
            .remove(0)
            .into_iter()
            .map(|cell| TableColumn { head: cell.text, align: Align::Left, share: 1.0 })
            .collect(),
        _ => {
            let heads = |at: usize| context.say("own-gauge.hand", &[("n", &(at + 1))]);
            let first = column(context, "materials.yarn-column", Align::Left, 1.3);
            std::iter::once(first).chain((0..lines.len()).map(|at| share(heads(at), 1.0))).collect::<Vec<_>>()
        }
    };
    if let Some(first) = columns.first_mut() {
        first.share = 1.3;
    }
    blocks.push(Block::Table(Table {
        caption: Some(context.text("own-gauge.buy-caption", &[])),
        columns,
        rows,
        row_heads: true,
        note,
    }));
}

/// A table whose columns are the measures of a swatch: what heads them, and the rows.
fn by_pitch(
    context: &WriteContext,
    caption: &str,
    head: String,
    measure: impl Fn(&OwnPitch) -> f64,
    rows: Vec<(String, Vec<String>)>,
) -> Block {
    let mut columns = vec![TableColumn { head: plain(head), align: Align::Left, share: 1.3 }];
    columns.extend(context.workings.own_gauge.pitches.iter().map(|line| TableColumn {
        head: plain(context.measures.both(MeasureKind::Gap, measure(line))),
        align: Align::Left,
        share: 1.0,
    }));
    let rows = rows
        .into_iter()
        .map(|(head, values)| {
            let mut row = vec![entry(head)];
            row.extend(values.into_iter().map(entry));
            row
        })
        .collect();
    Block::Table(Table { caption: Some(context.text(caption, &[])), columns, rows, row_heads: true, note: None })
}

fn size(context: &WriteContext, middle: usize, blocks: &mut Vec<Block>) {
    let pitches = &context.workings.own_gauge.pitches;
    let each = |of: &dyn Fn(&OwnPitch) -> String| pitches.iter().map(of).collect::<Vec<_>>();
    let size = |mm: f64| context.measures.both(MeasureKind::Size, mm);
    let backed = context.backing() != Backing::None && !context.is_shaped();
    let mut across = vec![
        (context.say("own-gauge.wide", &[]), each(&|line| size(line.width_mm))),
        (
            context.say("own-gauge.wood-least", &[]),
            each(&|line| context.measures.both(MeasureKind::Cut, line.wood_least_mm)),
        ),
    ];
    if pitches.iter().all(|line| line.cords.strand.is_some()) {
        across.push((
            context.say("cutting.strand", &[]),
            each(&|line| line.cords.strand.as_ref().map_or_else(String::new, |strand| context.cut(strand))),
        ));
    }
    across.push((context.say("cutting.hanger", &[]), each(&|line| context.cut(&line.cords.hanger))));
    if backed {
        across.push((
            context.say("own-gauge.backing-wide", &[]),
            each(&|line| size((line.width_mm - BACKING_LESS_MM).max(0.0))),
        ));
    }
    let mut down = vec![(context.say("own-gauge.high", &[]), each(&|line| size(line.height_mm)))];
    if context.workings.cords.groups.is_empty() && pitches.iter().all(|line| line.cords.folded.count > 0) {
        down.push((context.say("own-gauge.folded", &[]), each(&|line| context.cut(&line.cords.folded))));
    }
    for (at, group) in context.workings.cords.groups.iter().enumerate() {
        let head = context.say("own-gauge.folded-of", &[("columns", &columns_of(context, group))]);
        let length = |line: &OwnPitch| line.cords.groups.get(at).map_or_else(String::new, |own| context.cut(&own.cord));
        down.push((head, each(&length)));
    }
    if pitches.iter().all(|line| line.cords.single.is_some()) {
        down.push((
            context.say("cutting.single", &[]),
            each(&|line| line.cords.single.as_ref().map_or_else(String::new, |single| context.cut(single))),
        ));
    }
    down.push((
        context.say("own-gauge.cord-all", &[]),
        each(&|line| context.measures.both(MeasureKind::Buy, line.cords.to_buy_mm)),
    ));
    if backed {
        down.push((
            context.say("own-gauge.backing-high", &[]),
            each(&|line| size((line.height_mm - BACKING_LESS_MM).max(0.0))),
        ));
    }
    blocks.push(context.heading(2, "own-gauge.size"));
    let mut words = vec![context.text("own-gauge.size-words", &[])];
    if context.workings.hanging.ribbon_mm.is_some() && !context.is_shaped() {
        let more = context.measures.both(MeasureKind::Size, RIBBON_TURNED_IN_MM);
        words.push(context.text("own-gauge.ribbon", &[("more", &more)]));
    }
    blocks.push(Block::Paragraph(StyleName::Body, joined(words)));
    let head = |key: &str| context.say(key, &[("n", &middle)]);
    let n = middle as f64;
    blocks.push(by_pitch(
        context,
        "own-gauge.across-caption",
        head("own-gauge.columns"),
        |line| n * line.column_mm,
        across,
    ));
    blocks.push(by_pitch(context, "own-gauge.down-caption", head("own-gauge.rows"), |line| n * line.row_mm, down));
}

/// So small a panel needs no swatch: what the loosest hand takes is hardly more.
fn loosest(context: &WriteContext, blocks: &mut Vec<Block>) {
    let own = &context.workings.own_gauge;
    blocks.push(context.heading(2, "own-gauge.swatch"));
    let (Some(pitch), Some(yarns)) = (own.pitches.last(), own.yarns.last()) else { return };
    let cord = context.measures.both(MeasureKind::Buy, pitch.cords.to_buy_mm);
    blocks.push(context.body("own-gauge.no-swatch"));
    let (mut groups, mut lines) = (Vec::new(), Vec::new());
    for group in &pitch.cords.groups {
        let head = context.say("own-gauge.folded-of", &[("columns", &columns_of(context, group))]);
        groups.push((plain(head), plain(context.cut(&group.cord))));
    }
    if pitch.cords.groups.is_empty() && pitch.cords.folded.count > 0 {
        lines.push(("own-gauge.folded", context.cut(&pitch.cords.folded)));
    }
    if let Some(single) = &pitch.cords.single {
        lines.push(("cutting.single", context.cut(single)));
    }
    if let Some(strand) = &pitch.cords.strand {
        lines.push(("cutting.strand", context.cut(strand)));
    }
    lines.push(("cutting.hanger", context.cut(&pitch.cords.hanger)));
    lines.push(("own-gauge.cord-all", cord));
    lines.push(("own-gauge.wood-least", context.measures.both(MeasureKind::Cut, pitch.wood_least_mm)));
    let mut facts = groups;
    facts.extend(lines.into_iter().map(|(key, value)| (context.text(key, &[]), plain(value))));
    for (of, yarn) in used(context) {
        let Some(amount) = yarns.buy.get(usize::from(of.yarn.0)) else { continue };
        facts.push((plain(yarn.name.clone()), plain(super::materials::amount(context, amount))));
    }
    blocks.push(Block::Facts(facts));
}

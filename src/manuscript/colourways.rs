//! Several colourways in one booklet: each as knotted, and which yarn is which in each.

use super::colourway_words::{counted, list};
use super::context::{WriteContext, joined};
use super::materials::{amount, column, entry, used};
use super::own_words::{OwnName, with_names};
use super::{Align, AsKnotted, Block, Section, Swatch, Table, TableEntry, Text, cover, plain};
use crate::catalogue::{SectionName, StyleName};
use crate::markup::Inline;
use crate::project::{Colourway, Project};
use crate::words::Words;

/// A project for several colourways calls its yarns by letters.
pub(crate) fn lettered(project: Project, words: &Words) -> Project {
    if !project.is_for_all_colourways() {
        return project;
    }
    project.with_lettered_yarns(|letter| words.say("colourways.neutral", &[("letter", &letter)]))
}

/// All of them; none where the booklet is of one only.
pub(super) fn colourways(context: &WriteContext) -> Option<Section> {
    let all = &context.project.colourways;
    let first = all.first().filter(|_| context.project.is_for_all_colourways())?;
    let names = [("count", counted(context)), ("list", list(context))];
    let names: Vec<(&str, &dyn std::fmt::Display)> = names.iter().map(|(name, words)| (*name, words as _)).collect();
    let mut blocks = vec![
        context.paragraph(StyleName::Lead, "colourways.lead", &names),
        Block::Panels(all.iter().map(|colourway| panel(context, colourway)).collect()),
        context.paragraph(StyleName::Body, "colourways.tone", &[("first", &first.name)]),
    ];
    blocks.extend(all.iter().map(|colourway| table(context, colourway)));
    Some(Section { id: SectionName::Colourways, title: Some(context.say("colourways.title", &[])), blocks })
}

/// Which yarn each letter is, a line for each colourway: nothing where there is one only.
pub(super) fn lines(context: &WriteContext) -> Vec<Text> {
    let all = context.project.colourways.iter().filter(|_| context.project.is_for_all_colourways());
    all.map(|colourway| {
        let yarns = context.words.list(&yarns_of(context, colourway));
        let line = context.text("colourways.line", &[("colourway", &colourway.name), ("yarns", &yarns)]);
        let own = used(context).map(|(of, _)| colourway.palette.get(of.yarn));
        let sold = own.filter_map(|own| own.link.as_ref().map(|link| (own, link)));
        let links = sold.map(|(own, link)| {
            let what = vec![Inline::Plain(format!("{}: ", own.name)), context.link(&own.name, link)];
            context.text_with("link.after", &[], "address", what)
        });
        joined(std::iter::once(line).chain(links).collect())
    })
    .collect()
}

/// The same as a list.
pub(super) fn named(context: &WriteContext) -> Option<Block> {
    Some(lines(context)).filter(|lines| !lines.is_empty()).map(Block::Bullets)
}

/// "yarn A oat" and so on.
fn yarns_of(context: &WriteContext, colourway: &Colourway) -> Vec<String> {
    used(context)
        .map(|(of, yarn)| {
            let name = &colourway.palette.get(of.yarn).name;
            context.say("colourways.yarn-is", &[("yarn", &yarn.name), ("name", name)])
        })
        .collect()
}

fn panel(context: &WriteContext, colourway: &Colourway) -> AsKnotted {
    let mut grid = cover::grid(context);
    grid.colours = colourway.palette.iter().map(|(_, yarn)| yarn.colour).collect();
    let yarns = context.words.list(&yarns_of(context, colourway));
    AsKnotted {
        grid,
        alt: context.say("colourways.alt", &[("colourway", &colourway.name), ("yarns", &yarns)]),
        caption: Some(plain(colourway.name.clone())),
    }
}

/// The yarns of one colourway, with what to buy of each.
fn table(context: &WriteContext, colourway: &Colourway) -> Block {
    let rows = used(context).map(|(of, yarn)| {
        let own = colourway.palette.get(of.yarn);
        let mut named = vec![own.name.clone()];
        named.extend(own.brand.clone());
        named.extend(own.shade.as_ref().map(|shade| context.say("materials.shade", &[("shade", shade)])));
        let spoken = context.say("colourways.yarn-is", &[("yarn", &yarn.name), ("name", &own.name)]);
        let field = format!("colourway-{}-{}", at(context, colourway), yarn.key);
        let tick = context.tick(field, None, plain(spoken));
        let swatch = Swatch { colour: own.colour, ..context.swatch(of.yarn) };
        vec![
            TableEntry { tick: Some((tick.field, tick.spoken)), swatch: Some(swatch), text: plain(yarn.name.clone()) },
            TableEntry {
                text: context.linked(
                    with_names(
                        context,
                        plain(context.row_of(named)),
                        [Some(OwnName::Name(&own.name)), OwnName::brand(own), OwnName::shade(own)]
                            .into_iter()
                            .flatten(),
                    ),
                    &own.name,
                    own.link.as_ref(),
                ),
                ..TableEntry::default()
            },
            entry(amount(context, &of.buy)),
        ]
    });
    Block::Table(Table {
        caption: Some(context.text("colourways.caption", &[("colourway", &colourway.name)])),
        columns: vec![
            column(context, "materials.yarn-column", Align::Left, 1.0),
            column(context, "colourways.named", Align::Left, 2.2),
            column(context, "materials.to-buy", Align::Left, 1.8),
        ],
        rows: rows.collect(),
        row_heads: true,
        note: None,
    })
}

/// Its number, from 1.
fn at(context: &WriteContext, colourway: &Colourway) -> usize {
    context.project.colourways.iter().position(|other| other.name == colourway.name).map_or(0, |at| at + 1)
}

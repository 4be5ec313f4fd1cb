//! Words about colourways that sections of all kinds say.

use super::Block;
use super::context::WriteContext;
use crate::catalogue::{SectionName, StyleName};
use crate::chart::YarnId;

/// In so many colourways the key of the chart names the yarns of all.
const NAMED_IN_KEY: usize = 3;

/// "3 colourways".
pub(super) fn counted(context: &WriteContext) -> String {
    context.words.count("count.colourways", context.project.colourways.len(), &[])
}

/// Their names as a list.
pub(super) fn list(context: &WriteContext) -> String {
    let names: Vec<String> = context.project.colourways.iter().map(|colourway| colourway.name.clone()).collect();
    context.words.list(&names)
}

/// Where it is said which yarn each letter is; nothing where the booklet is of one colourway.
pub(super) fn where_named(context: &WriteContext) -> Option<Block> {
    let key = ("colourways.page", "colourways.without");
    let is_wanted = context.project.is_for_all_colourways();
    is_wanted.then(|| context.sent_to(StyleName::Body, SectionName::Colourways, key.0, key.1))
}

/// A yarn in the key of the chart: "yarn A: oat, or mist, or clay".
pub(super) fn in_key(context: &WriteContext, yarn: YarnId) -> String {
    let (all, name) = (&context.project.colourways, context.yarn(yarn));
    if !context.project.is_for_all_colourways() || all.len() > NAMED_IN_KEY {
        return name.to_owned();
    }
    let mut names: Vec<&str> = Vec::new();
    for name in all.iter().map(|colourway| colourway.palette.get(yarn).name.as_str()) {
        if !names.contains(&name) {
            names.push(name);
        }
    }
    let or = |before: String, next: &&str| context.say("colourways.or", &[("before", &before), ("next", next)]);
    let (first, more) =
        names.split_first().map_or((String::new(), &[][..]), |(first, more)| ((*first).to_owned(), more));
    let names = more.iter().fold(first, or);
    context.say("colourways.key", &[("yarn", &name), ("names", &names)])
}

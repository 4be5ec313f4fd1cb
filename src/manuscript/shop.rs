//! What is said on pictures for a shop.

use super::{AsKnottedGrid, ShopWords, context::WriteContext, cover, options::WriteOptions, using};
use crate::project::Project;
use crate::words::Words;
use crate::workings::Workings;

/// The words of the shop pictures of a booklet of so many pages, and the knots that they show.
pub(crate) fn shop(project: &Project, workings: &Workings, words: &Words, pages: usize) -> (ShopWords, AsKnottedGrid) {
    let measures = words.measures(project.about.units);
    let options = WriteOptions::default();
    let context = WriteContext { project, workings, words, measures, options: &options };
    let said = ShopWords {
        language: words.language().to_string(),
        title: project.about.title.clone(),
        maker: context.say("cover.by", &[("maker", &project.about.maker)]),
        drawing: context.say("cover.drawing-caption", &[]),
        inside: context.say("shop.inside", &[]),
        pages: words.count("shop.pages", pages, &[]),
        corner: context.say("shop.corner", &[]),
        watermark: context.say("shop.watermark", &[("maker", &project.about.maker)]),
        mark: using::rights(&context),
        before: context.say("shop.before", &[]),
        after: context.say("shop.after", &[]),
    };
    (said, cover::grid(&context))
}

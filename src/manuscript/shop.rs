//! What is said on pictures for a shop.

use super::{AsKnottedGrid, ShopWords, cover, pen::Pen, write::WriteOptions};
use crate::project::Project;
use crate::words::Words;
use crate::workings::Workings;

/// The words of the shop pictures of a booklet of so many pages, and the knots that they show.
pub fn shop(project: &Project, workings: &Workings, words: &Words, pages: usize) -> (ShopWords, AsKnottedGrid) {
    let measures = words.measures(project.about.units);
    let options = WriteOptions::default();
    let pen = Pen { project, workings, words, measures, options: &options };
    let said = ShopWords {
        language: words.language().to_string(),
        title: project.about.title.clone(),
        maker: pen.say("cover.by", &[("maker", &project.about.maker)]),
        drawing: pen.say("cover.drawing-caption", &[]),
        inside: pen.say("shop.inside", &[]),
        pages: words.count("shop.pages", pages, &[]),
        corner: pen.say("shop.corner", &[]),
        watermark: pen.say("shop.watermark", &[("maker", &project.about.maker)]),
        before: pen.say("shop.before", &[]),
        after: pen.say("shop.after", &[]),
    };
    (said, cover::grid(&pen))
}

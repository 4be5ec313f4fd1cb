//! What is said on pictures for a shop.

use super::{AsKnottedGrid, ShopWords, cover, pen::Pen, write::WriteOptions};
use crate::project::Project;
use crate::words::Words;
use crate::workings::Workings;

/// The words of the shop pictures, and the knots that they show.
pub fn shop(project: &Project, workings: &Workings, words: &Words) -> (ShopWords, AsKnottedGrid) {
    let measures = words.measures(project.about.units);
    let options = WriteOptions::default();
    let pen = Pen { project, workings, words, measures, options: &options };
    let said = ShopWords {
        language: words.language().to_string(),
        title: project.about.title.clone(),
        maker: pen.say("cover.by", &[("maker", &project.about.maker)]),
        drawing: pen.say("cover.drawing-caption", &[]),
        before: pen.say("shop.before", &[]),
        after: pen.say("shop.after", &[]),
    };
    (said, cover::grid(&pen))
}

//! The upper part of a sheet: how it is divided between title, key, legend and sheet finder.

use super::key::{KeyLay, SampleLook};
use super::legend::Legend;
use crate::catalogue::StyleName;
use crate::compose::chart::ranges::range_line;
use crate::compose::setter::Setter;
use crate::compose::tile::SheetCells;
use crate::geom::{Length, Size};
use crate::manuscript::ChartBlock;
use crate::markup::filled;

const FINDER: Size = Size::new(Length::mm(26.0), Length::mm(18.0));
/// The size of notes that the finder was drawn for; beside larger ones it is larger too.
const USUAL_NOTES: Length = Length::pt(8.0);
/// How many times as large it may become.
const MAX_FINDER: f64 = 2.0;
/// How small type and samples of a long key may be set, the largest first.
const SCALES: [f64; 4] = [1.0, 0.9, 0.8, 0.72];
/// Cells are to have this share of a sheet's height, or the key is set smaller.
const SHARE_OF_CELLS: f64 = 0.45;
/// In any case so many rows are to have room.
const MIN_ROWS: f64 = 3.0;
/// Type of this size or more is made for people who cannot read smaller: a key is not set smaller, and gives way to a few
/// rows only.
pub(crate) const LARGE_PRINT: Length = Length::pt(16.0);
/// Unless not even these rows had room beside it.
const SCALES_OF_LARGE_PRINT: [f64; 7] = [1.0, 0.9, 0.8, 0.7, 0.6, 0.5, 0.4];
/// On a narrow sheet the finder takes no more than this share of its width.
const SHARE_OF_FINDER: f64 = 0.28;
/// Between the finder and what stands at its left.
const BESIDE_FINDER: Length = Length::mm(4.0);
/// A chart of more sheets is hardly worked from; where it is, the titles of those may come near the finder.
const MAX_SHEETS: usize = 999;
/// Between the section's title and the sheet's.
pub(crate) const AFTER_SECTION: Length = Length::mm(2.5);
/// A long title gives way to the map down to this share of its size.
const MIN_TITLE: f64 = 0.7;
/// Between the title and what the sheet shows.
pub(crate) const AFTER_TITLE: Length = Length::mm(5.0);

/// How the upper part is divided on sheets of one width.
pub(crate) struct Head {
    /// Of the whole part, with the space below it.
    pub(crate) height: Length,
    /// On so many lines what the sheet shows stands below its title; 0: beside it.
    pub(crate) range_lines: usize,
    pub(crate) key: KeyLay,
    /// What marks in the cells mean; without entries where there are none.
    pub(crate) legend: Legend,
    pub(crate) finder: Size,
    /// Words about a sheet are so many times as large as their style says.
    pub(crate) note_scale: f64,
}

impl Head {
    /// For sheets with room of this size; `rest` of its height is taken by other things than the head and the cells where
    /// words about a sheet are so many times as large as usual; cells are at least so high.
    pub(crate) fn of(
        block: &ChartBlock,
        setter: &Setter,
        room: Size,
        rest: impl Fn(f64) -> Length,
        (least_cell, look, marks): (Length, SampleLook, bool),
    ) -> Head {
        let rows = least_cell * MIN_ROWS.min(block.rows.len() as f64);
        let all = least_cell * block.rows.len() as f64;
        let large = LARGE_PRINT.fits(setter.style(StyleName::Key).size);
        let wanted = if large { rows } else { rows.max((room.height * SHARE_OF_CELLS).min(all)) };
        let scales = if large { &SCALES_OF_LARGE_PRINT[..] } else { &SCALES[..] };
        // Where a long key leaves no rows at all, the map gives its room to it.
        let ways = [true, false].into_iter().flat_map(|map| scales.iter().map(move |scale| (*scale, map)));
        let heads: Vec<Head> =
            ways.map(|(scale, map)| Head::scaled(block, setter, room.width, (scale, map), (look, marks))).collect();
        let enough = heads.iter().position(|head| (head.height + rest(head.note_scale) + wanted).fits(room.height));
        let least = heads.iter().map(|head| head.height).reduce(Length::min).unwrap_or_default();
        let lowest = heads.iter().position(|head| head.height.fits(least)).unwrap_or(0);
        let chosen = heads.into_iter().nth(enough.unwrap_or(lowest));
        chosen.unwrap_or_else(|| Head::scaled(block, setter, room.width, (1.0, true), (look, marks)))
    }

    /// Width left of the map, if there is one.
    pub(crate) fn beside_finder(width: Length, finder: Size) -> Length {
        if finder.width > Length::ZERO { width - finder.width - BESIDE_FINDER } else { width }
    }

    fn scaled(
        block: &ChartBlock,
        setter: &Setter,
        width: Length,
        (scale, map): (f64, bool),
        (look, marks): (SampleLook, bool),
    ) -> Head {
        let larger = (setter.style(StyleName::SheetNote).size / USUAL_NOTES).clamp(1.0, MAX_FINDER);
        // The largest numbers that can come; a sheet's own are never wider.
        let all = SheetCells::whole(block.columns.max(100), block.rows.len().max(100));
        let most = (block.columns * block.rows.len()).min(MAX_SHEETS).to_string();
        let sheet = filled(&block.words.sheet, &[("sheet", most.clone()), ("sheets", most)]);
        let wide = |words: &str| setter.line(StyleName::SheetTitle, words).width;
        let title = wide(&block.words.title) + AFTER_SECTION + wide(&sheet);
        let beside = (width - title * MIN_TITLE - BESIDE_FINDER).max(Length::ZERO).min(width * SHARE_OF_FINDER);
        let finder = match map {
            true => Size::new((FINDER.width * larger).min(beside), FINDER.height * larger),
            false => Size::default(),
        };
        let room = Head::beside_finder(width, finder);
        let key = KeyLay::of(block, setter, room, scale, look);
        let range = setter.line(StyleName::SheetNote, &range_line(block, &all));
        let range_lines = match (title + AFTER_TITLE + range.width).fits(room) {
            true => 0,
            false => 1 + usize::from(!range.width.fits(room)),
        };
        let below = setter.style(StyleName::SheetNote).leading * range_lines as f64;
        let above = setter.style(StyleName::SheetTitle).leading + below + Length::mm(2.0);
        // Large words on a small sheet give way with the key to a few rows; usual ones are small enough.
        let large = LARGE_PRINT.fits(setter.style(StyleName::SheetNote).size);
        let note_scale = if large { scale } else { 1.0 };
        let legend = if marks { Legend::of(block, setter, room, note_scale) } else { Legend::default() };
        let height = (above + key.height() + legend.height()).max(finder.height);
        Head { height: height + Length::mm(1.5), range_lines, key, legend, finder, note_scale }
    }
}

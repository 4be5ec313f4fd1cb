//! What every section writes with: the project, its workings and the words, and short ways to say things.

use super::options::WriteOptions;
use super::{Block, FigureBlock, Inline, LinkTarget, PictureBlock, PictureRole, Step, Swatch, Text, TickLine};
use crate::catalogue::{SectionName, StyleName};
use crate::chart::{Direction, YarnId};
use crate::geom::MM_PER_INCH;
use crate::project::{Backing, Mounting, Project, Side, Wood, address_target, short_address};
use crate::words::measures::{MeasureKind, Measures};
use crate::words::{Names, Words};
use crate::workings::{Amount, CutCord, Time, Workings};
use std::fmt::Display;
use std::path::Path;

/// Exact since 1959.
const MM_PER_YARD: f64 = 914.4;

/// Stands for a text until the phrase is cut there; it occurs in nobody's words.
pub(super) const HERE: char = '\u{fffc}';

/// Everything a section needs to be written.
pub(super) struct WriteContext<'a> {
    pub(crate) project: &'a Project,
    pub(crate) workings: &'a Workings,
    pub(crate) words: &'a Words,
    pub(crate) measures: Measures<'a>,
    pub(crate) options: &'a WriteOptions<'a>,
}

impl WriteContext<'_> {
    /// A phrase as plain words.
    pub(crate) fn say(&self, key: &str, names: Names) -> String {
        self.words.say(key, names)
    }

    /// A phrase as text.
    pub(crate) fn text(&self, key: &str, names: Names) -> Text {
        self.words.text(key, names)
    }

    /// A heading inside a section, level 2 or 3.
    pub(crate) fn heading(&self, level: u8, key: &str) -> Block {
        Block::Heading(level, self.text(key, &[]))
    }

    /// A paragraph in a named style.
    pub(crate) fn paragraph(&self, style: StyleName, key: &str, names: Names) -> Block {
        Block::Paragraph(style, self.text(key, names))
    }

    /// A paragraph of running text without names.
    pub(crate) fn body(&self, key: &str) -> Block {
        self.paragraph(StyleName::Body, key, &[])
    }

    /// A paragraph that sends the reader to another section, with its page filled in for `{page}`; where the edition
    /// leaves that section out, the phrase `without`.
    pub(crate) fn sent_to(&self, style: StyleName, section: SectionName, key: &str, without: &str) -> Block {
        if self.has(section) { self.page_of(style, section, key) } else { self.paragraph(style, without, &[]) }
    }

    /// Whether the buyer reads off with her own wood how many header rows she ties, before she buys and cuts.
    pub(crate) fn is_header_by_wood(&self) -> bool {
        let hanging = &self.project.hanging;
        self.has(SectionName::OwnGauge) && hanging.wood == Wood::Branch && hanging.mounting == Mounting::OnAStrand
    }

    /// Whether the edition prints a section.
    pub(crate) fn has(&self, section: SectionName) -> bool {
        self.options.sections.contains(&section)
    }

    /// A paragraph that sends the reader to a section of this edition, with its page filled in for `{page}`.
    pub(crate) fn page_of(&self, style: StyleName, section: SectionName, key: &str) -> Block {
        Block::Paragraph(style, self.text_with(key, &[], "page", vec![Inline::PageOf(section)]))
    }

    /// A phrase one of whose names is filled in with text that keeps its own mark-up. The name stands in the plain part of
    /// the phrase.
    pub(crate) fn text_with(&self, key: &str, names: Names, name: &str, inner: Text) -> Text {
        let mut all = names.to_vec();
        all.push((name, &HERE));
        let mut inner = Some(inner);
        let mut out = Text::new();
        for inline in self.text(key, &all) {
            match inline {
                Inline::Plain(words) => match words.split_once(HERE) {
                    Some((before, after)) => {
                        let parts = [before, after].map(|part| Some(part).filter(|part| !part.is_empty()));
                        out.extend(parts[0].map(|part| Inline::Plain(part.to_string())));
                        out.extend(inner.take().into_iter().flatten());
                        out.extend(parts[1].map(|part| Inline::Plain(part.to_string())));
                    }
                    None => out.push(Inline::Plain(words)),
                },
                Inline::Strong(_)
                | Inline::Italic(_)
                | Inline::Foreign(_)
                | Inline::Address(_, _)
                | Inline::PageOf(_)
                | Inline::Symbol(_) => out.push(inline),
            }
        }
        out
    }

    /// An address that can be followed: short on paper; where it is spoken, with what it leads to.
    pub(crate) fn link(&self, what: &str, address: &str) -> Inline {
        let shown = short_address(address);
        let spoken = self.say("link.spoken", &[("what", &what), ("address", &shown)]);
        Inline::Address(shown, LinkTarget { address: address_target(address), spoken: Some(spoken) })
    }

    /// A text with the address of what it names after it, where there is one.
    pub(crate) fn linked(&self, text: Text, what: &str, address: Option<&String>) -> Text {
        match address {
            Some(address) => {
                joined(vec![text, self.text_with("link.after", &[], "address", vec![self.link(what, address)])])
            }
            None => text,
        }
    }

    /// The number of a picture of the maker's; `None`: it is not at hand.
    pub(crate) fn picture(&self, file: &Path) -> Option<usize> {
        self.options.pictures.iter().position(|(name, _)| name == file)
    }

    /// The maker's language, where the booklet speaks another.
    pub(crate) fn other_language(&self) -> Option<String> {
        let own = &self.project.about.language;
        (own != self.words.language()).then(|| own.clone())
    }

    /// The maker's sign; nothing where she has none.
    pub(crate) fn logo(&self) -> Option<Block> {
        let picture = self.picture(self.project.about.logo.as_deref()?)?;
        let alt = self.say("cover.logo-alt", &[("maker", &self.project.about.maker)]);
        let role = PictureRole::Logo;
        Some(Block::Picture(PictureBlock { picture, role, cut_above: None, alt, caption: None, language: None }))
    }

    /// A step without caution or figure.
    pub(crate) fn step(&self, key: &str, names: Names) -> Step {
        Step { cautions: Vec::new(), text: self.text(key, names), figure: None, picture: None }
    }

    /// A figure with the words for its labels: all of `[label]` in the words file, of which a figure draws those it names.
    pub(crate) fn figure(&self, name: &str, mirrored: bool, alt: String, caption: Text) -> FigureBlock {
        const ROOM: &str = "label.";
        let labels = self
            .words
            .keys()
            .filter_map(|key| key.strip_prefix(ROOM).map(|label| (label.to_string(), self.say(key, &[]))));
        FigureBlock {
            name: name.to_string(),
            stages: Vec::new(),
            mirrored,
            labels: labels.collect(),
            alt,
            caption: Some(caption),
        }
    }

    /// A line with a box to tick. Its words are read beside the box, which does not say them again.
    pub(crate) fn tick(&self, field: String, swatch: Option<Swatch>, text: Text) -> TickLine {
        let spoken = self.say("spoken.tick-have", &[]);
        TickLine { field, swatch, text, spoken }
    }

    /// A yarn's patch.
    pub(crate) fn swatch(&self, yarn: YarnId) -> Swatch {
        Swatch {
            yarn: usize::from(yarn.0),
            colour: self.project.palette.get(yarn).colour,
            symbol: self.options.symbols.get(usize::from(yarn.0)).cloned().unwrap_or_default(),
        }
    }

    /// A yarn's name.
    pub(crate) fn yarn(&self, yarn: YarnId) -> &str {
        &self.project.palette.get(yarn).name
    }

    /// Names of all yarns as a list.
    pub(crate) fn yarn_list(&self) -> String {
        let names: Vec<String> = self.project.palette.iter().map(|(_, yarn)| yarn.name.clone()).collect();
        self.words.list(&names)
    }

    /// The way a first row goes.
    pub(crate) fn first_direction(&self) -> Direction {
        match self.project.working.first_row_from {
            Side::Left => Direction::LeftToRight,
            Side::Right => Direction::RightToLeft,
        }
    }

    /// Whether figures of a row are mirrored.
    pub(crate) fn mirrored(&self) -> bool {
        self.project.working.first_row_from == Side::Right
    }

    /// Words for the sides of a row worked in `direction`; "near" is where it starts.
    pub(crate) fn hand(&self, direction: Direction) -> Hand {
        let s = |key| self.say(key, &[]);
        match direction {
            Direction::LeftToRight => Hand {
                direction: s("side.left-to-right"),
                to_near: s("side.to-left"),
                to_far: s("side.to-right"),
                at_near: s("side.at-left"),
                at_far: s("side.at-right"),
                near_edge: s("side.left-edge"),
                far_edge: s("side.right-edge"),
            },
            Direction::RightToLeft => Hand {
                direction: s("side.right-to-left"),
                to_near: s("side.to-right"),
                to_far: s("side.to-left"),
                at_near: s("side.at-right"),
                at_far: s("side.at-left"),
                near_edge: s("side.right-edge"),
                far_edge: s("side.left-edge"),
            },
        }
    }

    /// What the finished panel weighs without its wood, grams.
    pub(crate) fn panel_g(&self) -> f64 {
        self.workings.hanging.panel_g
    }

    /// Ends to tie off.
    pub(crate) fn ends(&self) -> usize {
        self.workings.amounts.iter().map(|amount| amount.ends).sum()
    }

    /// The backing that this panel has: none where it is too small for the one that was chosen.
    pub(crate) fn backing(&self) -> Backing {
        match &self.workings.hanging.backing {
            Some(piece) if piece.is_sewn => Backing::Sewn,
            Some(_) => Backing::Fused,
            None => Backing::None,
        }
    }

    /// Whether the panel's lower edge is shaped.
    pub(crate) fn is_shaped(&self) -> bool {
        self.workings.edge.is_shaped()
    }

    /// The backing across and down; nothing where there is none.
    pub(crate) fn backing_size(&self) -> String {
        let backing = self.workings.hanging.backing.as_ref();
        backing.map_or_else(String::new, |it| self.measures.across_down(MeasureKind::Size, it.width_mm, it.height_mm))
    }

    /// A length to buy: the workings have rounded it up in both systems.
    pub(crate) fn buy(&self, amount: &Amount) -> String {
        self.measures.both_of(MeasureKind::Buy, amount.metres as f64 * 1000.0, amount.yards as f64 * MM_PER_YARD)
    }

    /// A length of yarn, up to the next whole metre and the next whole yard.
    pub(crate) fn buy_mm(&self, mm: f64) -> String {
        let (metres, yards) = (libm::ceil(mm / 1000.0), libm::ceil(mm / MM_PER_YARD));
        self.measures.both_of(MeasureKind::Buy, metres * 1000.0, yards * MM_PER_YARD)
    }

    /// A piece to cut: the workings have rounded it up in both systems.
    pub(crate) fn cut(&self, cord: &CutCord) -> String {
        self.measures.both_of(MeasureKind::Cut, cord.cut_mm, cord.cut_inches * MM_PER_INCH)
    }

    /// Entries put one after another with commas.
    pub(crate) fn row_of(&self, parts: Vec<String>) -> String {
        parts
            .into_iter()
            .reduce(|before, next| self.say("lists.middle", &[("a", &before), ("b", &next)]))
            .unwrap_or_default()
    }

    /// Hours at the maker's pace, least and most, in halves.
    pub(crate) fn hours(&self, time: &Time) -> (String, String) {
        let halves = |minutes: f64| self.words.decimal(minutes / 2.0, 1);
        // A range is never narrower than it was reckoned: least down, most up.
        let least = (time.least_minutes / 30.0 + 1e-9).floor().max(1.0);
        let most = (time.most_minutes / 30.0 - 1e-9).ceil().max(least);
        (halves(least), halves(most))
    }
}

/// A text with each [`HERE`] in its plain parts replaced, in order.
pub(super) fn with_inlines(text: Text, inlines: Vec<Inline>) -> Text {
    let mut inlines = inlines.into_iter();
    let mut out = Text::new();
    for inline in text {
        let Inline::Plain(words) = &inline else {
            out.push(inline);
            continue;
        };
        for (at, part) in words.split(HERE).enumerate() {
            if at > 0 {
                out.extend(inlines.next());
            }
            out.extend(Some(part).filter(|part| !part.is_empty()).map(|part| Inline::Plain(part.to_owned())));
        }
    }
    out
}

/// Words for the sides of a row.
pub(super) struct Hand {
    pub(crate) direction: String,
    pub(crate) to_near: String,
    pub(crate) to_far: String,
    pub(crate) at_near: String,
    pub(crate) at_far: String,
    pub(crate) near_edge: String,
    pub(crate) far_edge: String,
}

impl Hand {
    /// All of them as names for a phrase, with a few more.
    pub(crate) fn names<'a>(&'a self, more: &[(&'a str, &'a dyn Display)]) -> Vec<(&'a str, &'a dyn Display)> {
        let mut all: Vec<(&str, &dyn Display)> = vec![
            ("direction", &self.direction),
            ("to-near", &self.to_near),
            ("to-far", &self.to_far),
            ("at-near", &self.at_near),
            ("at-far", &self.at_far),
            ("near-edge", &self.near_edge),
            ("far-edge", &self.far_edge),
        ];
        all.extend_from_slice(more);
        all
    }
}

/// Texts put one after another with a space between them.
pub(super) fn joined(parts: Vec<Text>) -> Text {
    let mut out = Text::new();
    for part in parts.into_iter().filter(|part| !part.is_empty()) {
        if !out.is_empty() {
            out.push(Inline::Plain(" ".to_string()));
        }
        out.extend(part);
    }
    out
}

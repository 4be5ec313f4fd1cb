//! The clean project: everything the maker decided, with defaults filled in. Code after `check` has no `Option` that
//! means "default". Measures are millimetres here; text keeps the maker's own words.
//!
//! Long, and one subject: the types of a project, and nothing that works with them.

mod check;
mod colourway;
mod plan;
pub(crate) mod schema;
mod size;
mod translation;
#[cfg(test)]
pub(crate) mod trial;

pub use crate::units::{Date, Units};
pub(crate) use check::address::{short as short_address, shown as shown_address, target as address_target};
pub(crate) use check::placeholders::{ID as PLACEHOLDER, TITLE as PLACEHOLDER_TITLE};
pub(crate) use check::shop::{INKS, SHEETS};
pub(crate) use check::{ADVICE, MAX_PHOTOGRAPH_BYTES};
pub use check::{draft, load};
pub(crate) use colourway::Colourway;
pub(crate) use plan::PLAN;
pub(crate) use size::PanelSize;
pub(crate) use translation::{InLanguage, OwnText, Translation};

use crate::catalogue::{EditionName, PaperName, SectionName};
use crate::chart::{Chart, Palette, YarnId};
use crate::commonmark;
use crate::diag::{Report, Severity, Span};
use std::path::PathBuf;

/// A project that `check` has passed.
#[derive(Clone, Debug, PartialEq)]
pub struct Project {
    /// The folder the project file lies in; other files are named relative to it.
    pub folder: PathBuf,
    /// What stands on the cover and in the small print.
    pub about: About,
    /// The yarns, in the order of the project file.
    pub palette: Palette,
    /// The chart.
    pub chart: Chart,
    /// The hanging cord.
    pub cord: Cord,
    /// The swatch, if one was measured.
    pub swatch: Swatch,
    /// Model factors, used where the swatch is silent.
    pub model: Model,
    /// How the piece is worked.
    pub working: Working,
    /// What it hangs on.
    pub hanging: Hanging,
    /// What happens to the cord ends below the last row.
    pub bottom: Bottom,
    /// Choices for making up.
    pub finishing: Finishing,
    /// The maker's pace, if she states one.
    pub pace: Option<Pace>,
    /// What the buyer may do.
    pub licence: Licence,
    /// How it is printed unless the command says otherwise.
    pub print: Print,
    /// What its shop folder holds unless the command says otherwise.
    pub shop: Shop,
    /// The maker's words for sections of the booklet, in her order.
    pub own_words: Vec<OwnWords>,
    /// Pieces of advice the maker has read and answered.
    pub acknowledged: Vec<Acknowledgement>,
    /// Where tools are sold or shown.
    pub tools: Vec<ToolLink>,
    /// The maker's photographs of single steps.
    pub step_pictures: Vec<StepPicture>,
    /// Texts that are still as a new project has them.
    pub placeholders: Vec<Placeholder>,
    /// Class prices and habits.
    pub class: Class,
    /// Her own texts in other languages.
    pub translations: Vec<Translation>,
    /// The translation in which her texts stand; `None`: they are as she wrote them first.
    pub translated: Option<InLanguage>,
    /// Colourways; the first one has the yarns of `palette`. Empty: there are none, or one is chosen.
    pub colourways: Vec<Colourway>,
    /// The colourway that was chosen.
    pub colourway: Option<VersionName>,
    /// Sizes, this one first. Empty: there are none, or one is chosen.
    pub sizes: Vec<PanelSize>,
    /// The size that it is, where it is one of several.
    pub size: Option<VersionName>,
    /// What the names of its folders begin with.
    pub folder_stem: String,
    /// What the names of its files begin with: those of other versions differ.
    pub file_stem: String,
}

/// Title page and colophon.
#[derive(Clone, Debug, PartialEq)]
pub struct About {
    /// Title of the pattern.
    pub title: String,
    /// Second line of the title.
    pub subtitle: Option<String>,
    /// Maker or studio.
    pub maker: String,
    /// Where questions go.
    pub contact: Option<String>,
    /// Where corrections are published.
    pub errata: Option<String>,
    /// Where the maker shows how it is worked.
    pub video: Option<String>,
    /// The maker's own introduction, paragraphs parted by a blank line.
    pub introduction: Option<String>,
    /// The maker's own closing notes.
    pub notes: Option<String>,
    /// Version of the pattern: "1.0".
    pub version: String,
    /// The day this version carries.
    pub date: Date,
    /// Project level.
    pub level: Level,
    /// Language tag of the words on paper: "en-GB".
    pub language: String,
    /// Which system of measures stands first.
    pub units: Units,
    /// Subject words for shops and libraries.
    pub keywords: Vec<String>,
    /// The maker's sign, relative to the folder.
    pub logo: Option<PathBuf>,
    /// The maker's photograph for the cover, relative to the folder.
    pub photograph: Option<PathBuf>,
    /// What the photograph shows, for those who cannot see it.
    pub photograph_words: Option<String>,
    /// What the picture on the panel shows, in a sentence: for those who cannot see it.
    pub picture_words: Option<String>,
    /// What of the photograph shows on the cover.
    pub photograph_crop: Crop,
    /// ISO 4217 code of all prices: "GBP".
    pub currency: Option<String>,
}

/// Project levels, current wording of the Craft Yarn Council.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Level {
    /// First project.
    Basic,
    /// Some practice.
    Easy,
    /// A variety of techniques.
    Intermediate,
    /// For the experienced.
    Complex,
}

/// Filler cord.
#[derive(Clone, Debug, PartialEq)]
pub struct Cord {
    /// Relaxed diameter, millimetres.
    pub diameter_mm: f64,
    /// How it is made.
    pub construction: Construction,
    /// Metres on one spool.
    pub spool_m: Option<f64>,
    /// Grams of one spool.
    pub spool_g: Option<f64>,
    /// Price of one spool.
    pub spool_price: Option<f64>,
    /// Colour in words: "natural".
    pub colour_name: Option<String>,
    /// Colour in drawings.
    pub colour: crate::colour::Colour,
    /// Fibre in words.
    pub fibre: Option<String>,
    /// Maker of the cord.
    pub brand: Option<String>,
    /// The language of the brand, as a tag; `None`: the project's.
    pub brand_language: Option<String>,
    /// Where it is sold or shown.
    pub link: Option<String>,
}

/// How cord is made.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Construction {
    /// Single-strand (string): flattest knots.
    SingleStrand,
    /// Three-ply, twisted.
    ThreePly,
    /// Braided: hardly flattens.
    Braided,
}

/// What was measured on a swatch; each part wins over the model where it is given.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Swatch {
    /// Column pitch, millimetres (middle 16 columns / 16).
    pub column_mm: Option<f64>,
    /// Row pitch, millimetres (middle 16 rows / 16).
    pub row_mm: Option<f64>,
    /// Yarn per knot, millimetres ((start - left over - tail) / 20).
    pub knot_mm: Option<f64>,
}

/// Factors of the model, all without unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Model {
    /// cD: cord diameter under tension over relaxed.
    pub cord_under_tension: f64,
    /// cd: yarn diameter under tension over relaxed.
    pub yarn_under_tension: f64,
    /// q: row pitch in yarn diameters under tension.
    pub packing: f64,
    /// s: slack of the wrap.
    pub slack: f64,
}

/// How the piece is worked.
#[derive(Clone, Debug, PartialEq)]
pub struct Working {
    /// Legs knotted together in one column: 1 or 2.
    pub legs_per_column: u8,
    /// Where row 1 of the chart starts.
    pub first_row_from: Side,
    /// Whether a length rather comes along behind other knots, or rather hangs and waits.
    pub method: Method,
    /// One cut piece of working yarn, millimetres.
    pub length_mm: f64,
    /// Tail left at each end of a length, millimetres.
    pub tail_mm: f64,
    /// Longest carry, bare length, millimetres.
    pub longest_carry_mm: f64,
    /// Rows a yarn may lie waiting.
    pub most_rows_waiting: usize,
    /// e: how much slack a carry takes: 0.10 for a tenth.
    pub carry_slack: f64,
    /// Yarn margin: 0.15 for 15 per cent.
    pub yarn_margin: f64,
    /// Cord margin.
    pub cord_margin: f64,
    /// t: take-up of the cord, 0.03.
    pub cord_take_up: f64,
    /// The yarn of the header rows.
    pub header_yarn: YarnId,
    /// Header rows the maker asks for; `None`: reckoned from the wood.
    pub header_rows: Option<usize>,
}

/// The way of working: what becomes of a length while other yarns tie.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Method {
    /// It comes along behind their knots and is used again in the same row: few lengths hang in the way.
    Carry,
    /// It hangs at its own patch of colour until the next row: least yarn, most lengths at once.
    Areas,
}

impl Method {
    /// Longest carry unless the maker says otherwise, bare length in millimetres. `Areas`: one inch, the usual limit in
    /// stranded colour work (published knitting guidance, an analogy). `Carry`: our judgement, as the back is covered and
    /// carried yarn lies slack.
    pub fn usual_longest_carry_mm(self) -> f64 {
        match self {
            Method::Carry => 60.0,
            Method::Areas => 25.0,
        }
    }
    /// The other one.
    pub(crate) fn other(self) -> Method {
        match self {
            Method::Carry => Method::Areas,
            Method::Areas => Method::Carry,
        }
    }
    /// As it is written in a project.
    pub fn name(self) -> &'static str {
        match self {
            Method::Carry => "carry",
            Method::Areas => "areas",
        }
    }
}

/// A side of the panel as seen from the front.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// Left.
    Left,
    /// Right.
    Right,
}

/// What the panel hangs on and how the cords are fixed to it.
#[derive(Clone, Debug, PartialEq)]
pub struct Hanging {
    /// Dowel or branch.
    pub wood: Wood,
    /// How the cords hang.
    pub mounting: Mounting,
    /// Diameter of the wood where cords or strand meet it, millimetres.
    pub diameter_mm: f64,
    /// Length of the wood, millimetres; `None`: reckoned from the panel's width.
    pub length_mm: Option<f64>,
    /// Lower edge of the wood: distance from the panel's left edge and depth below the fixing line, millimetres, in order.
    /// One entry where only the deepest point was measured; empty for a straight dowel.
    pub lower_edge: Vec<EdgePoint>,
    /// Hardness, for the staple's length.
    pub hardness: Hardness,
    /// How the mounting strand or the wood is fixed.
    pub fixing: Fixing,
    /// Where the wood is sold or shown.
    pub link: Option<String>,
}

/// One measurement of the wood's lower edge.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct EdgePoint {
    /// From the panel's left edge, millimetres.
    pub at_mm: f64,
    /// Below the fixing line, millimetres.
    pub depth_mm: f64,
}

/// Kind of wood.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Wood {
    /// Turned, straight.
    Dowel,
    /// Found: branch or driftwood.
    Branch,
}

/// How the filler cords hang.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Mounting {
    /// Lark's heads straight on the wood.
    OnTheWood,
    /// Lark's heads on a mounting strand which is then fixed to the wood.
    OnAStrand,
}

/// Hardness of the wood.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Hardness {
    /// Oak, beech, ash.
    Hard,
    /// Pine, spruce, driftwood gone soft.
    Soft,
}

/// How panel and wood are joined.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fixing {
    /// Staple gun.
    Staples,
    /// Small nails and a hammer.
    Nails,
    /// Tied only: no tool.
    Tied,
}

/// Below the last row.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bottom {
    /// Which finish.
    pub finish: BottomFinish,
    /// Cord left below the last row on every leg for working, millimetres.
    pub length_mm: f64,
    /// Where ends are cut below a lower edge that is shaped. Folded ends always follow it.
    pub edge: BottomEdge,
    /// Whether cords over high columns are cut shorter where that saves cord: where the maker asks for ends that follow.
    pub by_columns: bool,
}

/// How cord ends lie below a lower edge that is shaped.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BottomEdge {
    /// All in one line below the lowest knots.
    Straight,
    /// Each below its own last knot.
    Following,
}

/// What happens to the cord ends.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BottomFinish {
    /// Left hanging and combed.
    Fringe,
    /// Cut level close below the last row.
    Trimmed,
    /// Folded to the back.
    FoldedBack,
}

/// Choices for making up.
#[derive(Clone, Debug, PartialEq)]
pub struct Finishing {
    /// Backing.
    pub backing: Backing,
    /// Width of the piece of fleece at hand, or of the roll it is cut from, millimetres.
    pub fleece_width_mm: Option<f64>,
    /// Height of the piece of fleece at hand, millimetres; a roll has none.
    pub fleece_height_mm: Option<f64>,
    /// A signed label at the back.
    pub label: bool,
    /// A ribbon that covers the edges at the back.
    pub edge_ribbon: bool,
    /// Glue.
    pub glue: Glue,
    /// Sealing spray on the wood.
    pub sealing: bool,
    /// Beads.
    pub beads: bool,
}

/// What of a photograph shows where it is too high for its place at full width.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Crop {
    /// All of it, smaller.
    Whole,
    /// It fills the width, and its upper part shows.
    Upper,
    /// It fills the width, and as much is cut above as below.
    Middle,
    /// It fills the width, and its lower part shows.
    Lower,
}

/// Backing fleece.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Backing {
    /// None.
    None,
    /// Fusible fleece, ironed on.
    Fused,
    /// Fleece sewn on: for yarn that melts.
    Sewn,
}

/// Glue.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Glue {
    /// None.
    None,
    /// Solvent craft glue.
    Craft,
    /// Hot-glue gun.
    Hot,
}

/// How fast the maker works.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pace {
    /// Knots in a minute.
    pub knots_per_minute: f64,
    /// Minutes for one join.
    pub join_minutes: f64,
    /// Minutes for mounting one folded cord.
    pub mount_minutes: f64,
}

/// What the buyer may do: the maker's own choices, in plain words.
#[derive(Clone, Debug, PartialEq)]
pub struct Licence {
    /// Finished panels may be sold.
    pub sell_panels: Permission,
    /// May be taught from.
    pub teach: Permission,
    /// The credit line asked for.
    pub credit: Option<String>,
    /// More words of the maker's own.
    pub words: Option<String>,
}

/// A plain choice.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Permission {
    /// Yes.
    Yes,
    /// Yes, with the credit line.
    WithCredit,
    /// Ask first.
    Ask,
    /// No.
    No,
}

/// How it is printed unless the command says otherwise.
#[derive(Clone, Debug, PartialEq)]
pub struct Print {
    /// The paper.
    pub paper: PaperName,
    /// Ink: saving, full, symbols-only.
    pub ink: Ink,
    /// A layout file of the maker's own, relative to the folder.
    pub layout: Option<PathBuf>,
    /// Whether left and right pages mirror each other; `None`: as the layout says.
    pub facing: Option<bool>,
}

/// What the shop folder of a project holds unless the command says otherwise: every edition on every paper in every ink.
#[derive(Clone, Debug, PartialEq)]
pub struct Shop {
    /// Editions.
    pub(crate) editions: Vec<EditionName>,
    /// Papers.
    pub(crate) papers: Vec<PaperName>,
    /// Inks.
    pub(crate) inks: Vec<Ink>,
    /// Whether a booklet holds all colourways, each has one of its own, or both.
    pub(crate) colourways: ShopColourways,
    /// Language tags; empty: the project's own and those of its translations.
    pub(crate) languages: Vec<&'static str>,
    /// Sheets that the booklet is imposed on, to fold and staple.
    pub(crate) sheets: Vec<ShopSheet>,
    /// The paper of a booklet for a print shop; `None`: none is made.
    pub(crate) print_shop: Option<PaperName>,
    /// The ICC profile of the print shop, relative to the folder.
    pub(crate) profile: Option<PathBuf>,
    /// The most ink its paper carries, per cent; `None`: the usual.
    pub(crate) most_ink: Option<u16>,
    /// Width of the pictures, pixels.
    pub(crate) picture_width: u16,
    /// Words laid over the pictures; `None`: the language's own.
    pub(crate) watermark: Option<String>,
    /// Where the maker's other patterns are found.
    pub(crate) address: Option<String>,
}

/// The name of a version of a project.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct VersionName {
    /// As the project file has it.
    pub(crate) own: String,
    /// As it is printed: in the language of a translation.
    pub(crate) shown: String,
}

impl VersionName {
    /// A name that is not translated yet.
    pub(crate) fn of(name: &str) -> VersionName {
        VersionName { own: name.to_owned(), shown: name.to_owned() }
    }
}

/// How a shop folder deals with colourways.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum ShopColourways {
    /// One file for all of them.
    Together,
    /// A file for each.
    Each,
    /// A file for all, and one for each.
    Both,
}

/// A sheet that a booklet is folded from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct ShopSheet {
    /// The sheet.
    pub(crate) sheet: PaperName,
    /// The paper that is half of it.
    pub(crate) page: PaperName,
}

/// The maker's own words in a section of the booklet.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OwnWords {
    /// The section's name in layouts.
    pub(crate) section: SectionName,
    /// Whether they stand instead of the section's own words; else they follow them.
    pub(crate) instead: bool,
    /// Light mark-up, paragraphs parted by blank lines.
    pub(crate) words: String,
}

/// How much colour the chart carries on paper.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ink {
    /// Pale tints, black symbols.
    Saving,
    /// Full colour.
    Full,
    /// Symbols on white.
    SymbolsOnly,
}

/// Advice the maker has answered: it stays quiet.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Acknowledgement {
    /// The advice's id.
    pub id: String,
    /// Her reason.
    pub reason: String,
    /// Where she says so.
    pub place: Span,
}

/// Where a tool is sold or shown.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ToolLink {
    /// The tool, one of [`check::tools::TOOLS`].
    pub(crate) tool: &'static str,
    /// Its address.
    pub(crate) link: String,
}

/// A photograph of one step of a technique or of finishing.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StepPicture {
    /// Which, one of [`check::step_pictures::TECHNIQUES`].
    pub(crate) technique: &'static str,
    /// Which of its steps, from 1.
    pub(crate) step: usize,
    /// The file, relative to the folder.
    pub(crate) picture: PathBuf,
    /// What stands below it.
    pub(crate) caption: Option<String>,
    /// What it shows, for those who cannot see it.
    pub(crate) words: String,
    /// Where it is named.
    pub(crate) place: Span,
}

/// A text that is still as a new project has it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Placeholder {
    /// Its key.
    pub(crate) key: String,
    /// Where it stands.
    pub(crate) place: Span,
}

/// Class habits.
#[derive(Clone, Debug, PartialEq)]
pub struct Class {
    /// Spare kits.
    pub spares: usize,
    /// Whether tools are shared (`true`) or each brings their own.
    pub tools_shared: bool,
    /// Hours of one session; empty: no stopping rows are given.
    pub session_hours: Vec<f64>,
}

impl Project {
    /// All picture files but the chart's, each once: the photograph for the cover, the logo, steps, and those in the maker's
    /// own words.
    pub(crate) fn picture_files(&self) -> Vec<PathBuf> {
        let about = &self.about;
        let own = self.own_words.iter().map(|own| &own.words);
        let words = [&about.introduction, &about.notes, &self.licence.words].into_iter().flatten().chain(own);
        let in_words = words.flat_map(|words| {
            let read = commonmark::read(words);
            read.pictures().map(|picture| PathBuf::from(&picture.file)).collect::<Vec<_>>()
        });
        let named = [&about.photograph, &about.logo].into_iter().flatten().cloned();
        let steps = self.step_pictures.iter().map(|of| of.picture.clone());
        let mut all: Vec<PathBuf> = Vec::new();
        for file in named.chain(steps).chain(in_words) {
            if !all.contains(&file) {
                all.push(file);
            }
        }
        all
    }

    /// Takes out of a report the advice the maker has answered.
    pub(crate) fn quieten(&self, report: &mut Report) {
        report.retain(|d| d.severity != Severity::Advice || self.acknowledged.iter().all(|a| a.id != d.id));
    }
}

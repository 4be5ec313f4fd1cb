//! What was typed, and what can be: help, completions, manual. The only file that knows `clap`.
//!
//! Long, and one subject: the command line, as help and manual show it.

use clap::builder::{PossibleValuesParser, TypedValueParser};
use clap::{Args, CommandFactory, Parser, Subcommand, ValueEnum};
use std::ffi::OsString;
use std::path::PathBuf;

use super::outcome::Outcome;
use crate::catalogue::{EditionName, LookName, PaperName};
use crate::project::SHEETS;

/// Composes print-ready pattern booklets for knotted wall panels.
#[derive(Debug, Parser)]
#[command(
    name = "hitchpress",
    version,
    after_help = "PROJECT is a folder with a project.toml, or the file itself.\n\
                  Exit codes: 0 done, 1 the input has faults, 2 wrong use, 3 the machine failed."
)]
pub(crate) struct Arguments {
    /// What to do.
    #[command(subcommand)]
    pub(crate) command: Command,
}

/// The subcommands.
#[derive(Debug, Subcommand)]
pub(crate) enum Command {
    /// Open your panels in the browser on this machine: paint them, and see amounts, advice and pages at once.
    Board(Board),
    /// Write a commented starter project that composes at once.
    New(New),
    /// Say every fault and every piece of advice, with line and column.
    Check(Check),
    /// Compose the PDF: the booklet, the chart alone, or the materials list.
    Compose(Compose),
    /// Read a finished PDF back and hold it against the project: every knot, number and box.
    Proof(Proof),
    /// Write all quantities: yarn, cord, wood, and a class kit.
    Amounts(Amounts),
    /// Put the pages of a finished PDF on sheets: to fold and staple, or side by side.
    Impose(Impose),
    /// Make one licensed copy of a finished booklet for each buyer.
    Copies(Copies),
    /// Make everything a shop needs, for one pattern or for all: PDFs, pictures, amounts, licence, manifest; proofed.
    Shop(Shop),
    /// Write what is pasted beside a pattern: titles, tags, a description for a shop, and the materials with their links.
    Listing(Listing),
    /// Write pictures for a shop as PNG files: the panel, all pages small, what is inside, and every page.
    Pictures(Pictures),
    /// Turn a photograph or drawing into a chart with a few yarns, and write a project that composes at once.
    ChartFrom(ChartFrom),
    /// Write what a shell needs to complete commands and options, on standard output.
    Completions(Completions),
    /// Write the manual's pages, for `man`.
    Manual(Manual),
}

/// `hitchpress board`.
#[derive(Debug, Args)]
#[command(
    after_help = "The page is for this machine alone: no other one in the house can reach it, and nothing is sent \
    anywhere.\nEverything is saved as you work, into the files that all other commands read.\n\n\
    Examples:\n  \
    hitchpress board patterns\n  \
    hitchpress board patterns --shortcut       # writes a file to double-click"
)]
pub(crate) struct Board {
    /// The folder your panels lie in, each in a folder of its own; without it, the one you are in.
    #[arg(value_name = "FOLDER", default_value = ".")]
    pub(crate) folder: PathBuf,
    /// Opens no browser, and only says the address.
    #[arg(long)]
    pub(crate) no_browser: bool,
    /// The port of the address; without it, the one of the last time, or any that is free.
    #[arg(long, value_name = "NUMBER", value_parser = clap::value_parser!(u16).range(1..))]
    pub(crate) port: Option<u16>,
    /// Stops by itself a few seconds after its last page is closed.
    #[arg(long)]
    pub(crate) stop_when_closed: bool,
    /// Writes a file to double-click into the folder, and does nothing else: it opens the board and stops it when its last
    /// page is closed.
    #[arg(long, conflicts_with_all = ["no_browser", "port", "stop_when_closed"])]
    pub(crate) shortcut: bool,
}

/// `hitchpress completions`.
#[derive(Debug, Args)]
#[command(after_help = "Example: hitchpress completions bash > ~/.local/share/bash-completion/completions/hitchpress")]
pub(crate) struct Completions {
    /// Which shell.
    #[arg(value_enum)]
    pub(crate) shell: clap_complete::Shell,
}

/// `hitchpress manual`.
#[derive(Debug, Args)]
#[command(after_help = "Example: hitchpress manual ~/.local/share/man/man1")]
pub(crate) struct Manual {
    /// The folder to write into; made if it is not there. Pages of an earlier manual are replaced, nothing else is touched.
    #[arg(value_name = "DIR")]
    pub(crate) folder: PathBuf,
}

/// `hitchpress chart-from`.
#[derive(Debug, Args)]
#[command(
    after_help = "The size is given once: --columns, --rows, --width or --height; the other side follows from the \
    picture and the gauge.\nWith one of each, as much of the picture as need be is cut off.\nA drawing keeps exactly its \
    own colours. A picture of a chart is read square by square; take only charts that are yours, or that you may use.\nExamples:\n  \
    hitchpress chart-from fox.png --columns 48 -o fox\n  \
    hitchpress chart-from old-chart.png --as chart --fit knots -o heron\n  \
    hitchpress chart-from design.xlsx --range B2:AO60 -o heron\n  \
    hitchpress chart-from photo.jpg --columns 60 --yarns 6 -o heron\n  \
    hitchpress chart-from photo.jpg --width \"40 cm\" --crop 10,0,90,75 --straighten 1.5 -o heron\n  \
    hitchpress chart-from sketch.png --columns 48 --like little-boat -o second-boat"
)]
pub(crate) struct ChartFrom {
    /// The photograph, drawing or chart: JPEG, PNG, GIF, BMP or WebP; or a spreadsheet: .xlsx, .ods or .csv.
    #[arg(value_name = "PICTURE")]
    pub(crate) picture: PathBuf,
    /// How many knots wide.
    #[arg(long, value_name = "N", conflicts_with = "width")]
    pub(crate) columns: Option<usize>,
    /// How many rows of knots, without the header.
    #[arg(long, value_name = "N", conflicts_with = "height")]
    pub(crate) rows: Option<usize>,
    /// How wide the finished panel is: "40 cm", "16 in".
    #[arg(long, value_name = "MEASURE")]
    pub(crate) width: Option<String>,
    /// How high the picture on the finished panel is, without header and fringe.
    #[arg(long, value_name = "MEASURE")]
    pub(crate) height: Option<String>,
    /// How many yarns at most; without it, 6 for a photograph, and a drawing's own colours.
    #[arg(long, value_name = "N", conflicts_with = "like")]
    pub(crate) yarns: Option<usize>,
    /// What the picture is; without it, that is found out and said.
    #[arg(long = "as", value_enum, value_name = "KIND")]
    pub(crate) kind: Option<KindChoice>,
    /// For a chart drawn on squares: with "knots", rows are added so that a circle stays a circle in knots, which are wider
    /// than high; with "squares", every square is one knot.
    #[arg(long, value_enum, default_value_t = FitChoice::Squares, value_name = "WHAT")]
    pub(crate) fit: FitChoice,
    /// Of a spreadsheet, the cells that are the chart: "B2:AO60"; without it, all that are filled or hold letters.
    #[arg(long, value_name = "CELLS")]
    pub(crate) range: Option<String>,
    /// A project whose yarns, cord, swatch and ways of working are taken.
    #[arg(long, value_name = "PROJECT")]
    pub(crate) like: Option<PathBuf>,
    /// What of the picture is kept: left, top, right and bottom edge in parts of a hundred, after straightening.
    #[arg(long, value_name = "L,T,R,B", allow_hyphen_values = true)]
    pub(crate) crop: Option<String>,
    /// Turns the picture clockwise by so many degrees, and cuts off what would be empty.
    #[arg(long, value_name = "DEGREES", allow_negative_numbers = true)]
    pub(crate) straighten: Option<f64>,
    /// How much is given up for a chart that is pleasant to tie: much detail, the usual, or little.
    #[arg(long, value_enum, default_value_t = DetailChoice::Usual)]
    pub(crate) detail: DetailChoice,
    /// Title of the pattern; without it, the picture's name.
    #[arg(long, value_name = "WORDS")]
    pub(crate) title: Option<String>,
    /// Language of the pattern and of the yarns' names: en-GB, en-US, de-DE, fr-FR or es-ES.
    #[arg(long, value_name = "TAG")]
    pub(crate) language: Option<String>,
    /// The folder to write into; without it, one named after the title. Nothing in it is ever overwritten.
    #[arg(short, long, value_name = "DIR")]
    pub(crate) output: Option<PathBuf>,
}

/// Kinds of pictures by name.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum KindChoice {
    /// Few flat colours, smoothed at the edges or not.
    Drawing,
    /// Everything that shades.
    Photograph,
    /// A grid of squares, each of them one knot: on a screen, scanned, or photographed. --columns and --rows say how many
    /// there are, where the picture leaves that in doubt.
    Chart,
}

/// What a chart's squares become.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum FitChoice {
    /// Each is one knot.
    Squares,
    /// Rows are added to keep the proportions.
    Knots,
}

/// How much detail of a picture is kept.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum DetailChoice {
    /// Nearly as like as the yarns allow.
    Much,
    /// A little less like, and much less work.
    Usual,
    /// Large calm shapes.
    Little,
}

/// `hitchpress pictures`.
#[derive(Debug, Args)]
#[command(after_help = "No page with the chart or the rows in words is drawn so that it could be worked from.\n\
    Examples:\n  \
    hitchpress pictures little-boat --width 2000\n  \
    hitchpress pictures little-boat --watermark \"Saltmarsh Row\" -o listing")]
pub(crate) struct Pictures {
    /// The project; without it, the folder one is in.
    #[arg(value_name = "PROJECT", default_value = ".")]
    pub(crate) project: PathBuf,
    /// Width of each picture.
    #[arg(long, value_name = "PIXELS", default_value_t = 1600, value_parser = clap::value_parser!(u16).range(200..=6000))]
    pub(crate) width: u16,
    /// Words laid over every picture; without it, that it is a sample, and the maker's name, but over the panel only a mark
    /// in a corner. Empty words lay nothing over.
    #[arg(long, value_name = "WORDS")]
    pub(crate) watermark: Option<String>,
    /// How the booklet looks that is shown.
    #[command(flatten)]
    pub(crate) print: PrintOptions,
    /// The folder to write; without it, beside the project file, named after the title. A folder of earlier pictures is
    /// replaced once the new one is whole.
    #[arg(short, long, value_name = "DIR")]
    pub(crate) output: Option<PathBuf>,
}

/// `hitchpress shop`.
#[derive(Debug, Args)]
#[command(
    after_help = "Each project has a folder named after its title. A new one takes its place once all of it is made and \
    proofed. What is not given here is as the section [shop] of the project file says; without one, every edition on A4 and \
    Letter. CHANGES.txt in the folder says what is different from the last one.\n\n\
    Examples:\n  \
    hitchpress shop little-boat\n  \
    hitchpress shop patterns/* -o shop\n  \
    hitchpress shop little-boat --edition booklet,chart --ink saving,full --sheets a4\n  \
    hitchpress shop little-boat --print-shop a5 --profile their-paper.icc"
)]
pub(crate) struct Shop {
    /// The projects.
    #[arg(value_name = "PROJECT", required = true)]
    pub(crate) projects: Vec<PathBuf>,
    /// Editions, with commas between them.
    #[arg(long, value_name = "NAMES", value_delimiter = ',', ignore_case = true, value_parser = editions())]
    pub(crate) edition: Vec<EditionName>,
    /// Papers, with commas between them.
    #[arg(long, value_name = "NAMES", value_delimiter = ',', ignore_case = true, value_parser = papers())]
    pub(crate) paper: Vec<PaperName>,
    /// Inks, with commas between them.
    #[arg(long, value_enum, value_delimiter = ',')]
    pub(crate) ink: Vec<InkChoice>,
    /// Makes the booklet once more on pages of half this paper, imposed on sheets to fold and staple; with commas between
    /// several.
    #[arg(long, value_name = "NAMES", value_delimiter = ',', ignore_case = true, value_parser = sheets())]
    pub(crate) sheets: Vec<PaperName>,
    /// Makes the booklet once more for a print shop, on this paper and in the shop's own inks (needs a `--profile`).
    #[arg(long, value_name = "PAPER", ignore_case = true, value_parser = papers())]
    pub(crate) print_shop: Option<PaperName>,
    /// The ICC profile that the print shop prints this paper with.
    #[arg(long, value_name = "FILE")]
    pub(crate) profile: Option<PathBuf>,
    /// The most ink that the shop's paper carries, in per cent of one ink's solid, 200 to 400; 300 without it.
    #[arg(long, value_name = "PERCENT", value_parser = clap::value_parser!(u16).range(200..=400))]
    pub(crate) most_ink: Option<u16>,
    /// Width of each picture; 1600 without it.
    #[arg(long, value_name = "PIXELS", value_parser = clap::value_parser!(u16).range(200..=6000))]
    pub(crate) width: Option<u16>,
    /// Words laid over every picture; without it, that it is a sample, and the maker's name, but over the panel only a mark
    /// in a corner. Empty words lay nothing over.
    #[arg(long, value_name = "WORDS")]
    pub(crate) watermark: Option<String>,
    /// Style, words and ways of working.
    #[command(flatten)]
    pub(crate) manner: ProjectOptions,
    /// The folder that the shop folders go into, made if it is not there; without it, each goes beside its project file.
    #[arg(short, long, value_name = "DIR")]
    pub(crate) output: Option<PathBuf>,
}

/// `hitchpress compose`.
#[derive(Debug, Args)]
#[command(after_help = "Examples:\n  \
    hitchpress compose little-boat\n  \
    hitchpress compose little-boat --edition chart --paper a3 --ink symbols-only\n  \
    hitchpress compose little-boat --first-row-from right -o little-boat-left-handed.pdf\n  \
    hitchpress compose little-boat --edition materials --students 12 -o class.pdf\n  \
    hitchpress compose little-boat --paper a5 --pages facing --for print-shop --profile their-paper.icc")]
pub(crate) struct Compose {
    /// The project; without it, the folder one is in.
    #[arg(value_name = "PROJECT", default_value = ".")]
    pub(crate) project: PathBuf,
    /// What to compose and how.
    #[command(flatten)]
    pub(crate) print: PrintOptions,
    /// The ICC profile that the print shop prints this paper with. Ask the shop: a file made for another press comes out
    /// in other colours.
    #[arg(long, value_name = "FILE")]
    pub(crate) profile: Option<PathBuf>,
    /// The most ink that the shop's paper carries, in per cent of one ink's solid, 200 to 400. Ask the shop; 300 is usual
    /// for coated paper.
    #[arg(long, value_name = "PERCENT", value_parser = clap::value_parser!(u16).range(200..=400))]
    pub(crate) most_ink: Option<u16>,
    /// Where to write; without it, beside the project file, named after title, edition and paper.
    #[arg(short, long, value_name = "FILE")]
    pub(crate) output: Option<PathBuf>,
}

/// `hitchpress proof`.
#[derive(Debug, Args)]
#[command(after_help = "Give the options the file was composed with.\n\
    Example: hitchpress proof little-boat little-boat/little-boat-booklet-a4.pdf")]
pub(crate) struct Proof {
    /// The project.
    #[arg(value_name = "PROJECT")]
    pub(crate) project: PathBuf,
    /// The finished file.
    #[arg(value_name = "FILE")]
    pub(crate) file: PathBuf,
    /// What was composed and how.
    #[command(flatten)]
    pub(crate) print: PrintOptions,
}

/// What is composed and how. What is not given is as the project file says.
#[derive(Debug, Args)]
pub(crate) struct PrintOptions {
    /// What is composed; without it the booklet, and for `proof` what the file says that it is.
    #[arg(long, value_name = "NAME", ignore_case = true, value_parser = editions())]
    pub(crate) edition: Option<EditionName>,
    /// What the file is for: "home" (the usual) to read, tick and print, "print-shop" for PDF/X-4 with bleed and crop marks in the
    /// shop's own inks (give its `--profile`).
    #[arg(long = "for", value_enum, value_name = "PURPOSE")]
    pub(crate) purpose: Option<PurposeChoice>,
    /// On which paper.
    #[arg(long, value_name = "NAME", ignore_case = true, value_parser = papers())]
    pub(crate) paper: Option<PaperName>,
    /// How much colour the chart carries.
    #[arg(long, value_enum, ignore_case = true)]
    pub(crate) ink: Option<InkChoice>,
    /// Style, words and ways of working.
    #[command(flatten)]
    pub(crate) manner: ProjectOptions,
}

/// What holds for a project's files whatever their edition, paper and ink. What is not given is as the project file says.
#[derive(Debug, Args)]
pub(crate) struct ProjectOptions {
    /// How it is styled.
    #[arg(long, value_name = "NAME", ignore_case = true, value_parser = looks())]
    pub(crate) look: Option<LookName>,
    /// Language of the words on paper: en-GB, en-US, de-DE, fr-FR or es-ES.
    #[arg(long, value_name = "TAG")]
    pub(crate) language: Option<String>,
    /// One of the project's sizes; without it, the first one.
    #[arg(long, value_name = "NAME")]
    pub(crate) size: Option<String>,
    /// One of the project's colourways, for files of its own; without it, all of them in one file.
    #[arg(long, value_name = "NAME")]
    pub(crate) colourway: Option<String>,
    /// Which system of measures stands first.
    #[arg(long, value_enum, ignore_case = true)]
    pub(crate) units: Option<UnitsChoice>,
    /// Whether left and right pages mirror each other, as a stapled booklet wants.
    #[arg(long, value_enum, ignore_case = true)]
    pub(crate) pages: Option<PagesChoice>,
    /// Where the first row starts; "right" is the left-handed edition. The picture stays as it is.
    #[arg(long, value_enum, value_name = "SIDE")]
    pub(crate) first_row_from: Option<SideChoice>,
    /// Count the materials for a class.
    #[arg(long, value_name = "N", value_parser = students)]
    pub(crate) students: Option<u16>,
}

fn editions() -> impl TypedValueParser<Value = EditionName> {
    words(EditionName::choices(), EditionName::named)
}

fn looks() -> impl TypedValueParser<Value = LookName> {
    words(LookName::choices(), LookName::named)
}

fn papers() -> impl TypedValueParser<Value = PaperName> {
    words(PaperName::choices(), PaperName::named)
}

/// Papers that a booklet is folded from.
fn sheets() -> impl TypedValueParser<Value = PaperName> {
    words(SHEETS.map(|sheet| (sheet.sheet.name(), sheet.sheet)).to_vec(), PaperName::named)
}

/// Reads one of a few words.
fn words<T: Clone + Send + Sync + 'static>(
    choices: Vec<(&'static str, T)>,
    named: fn(&str) -> Option<T>,
) -> impl TypedValueParser<Value = T> {
    let words = choices.into_iter().map(|(word, _)| word);
    PossibleValuesParser::new(words)
        .try_map(move |word| named(&word.to_ascii_lowercase()).ok_or("there is no such name"))
}

/// How many students a class has; of more, nobody has made kits.
fn students(text: &str) -> Result<u16, String> {
    const MAX_STUDENTS: u16 = 10_000;
    let number = text.trim().parse().ok().filter(|count| (1..=MAX_STUDENTS).contains(count));
    number.ok_or_else(|| format!("write how many there are in figures, such as `8`, up to {MAX_STUDENTS}"))
}

/// What a file is for, by name.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum PurposeChoice {
    /// To read, tick and print.
    Home,
    /// To be printed by a shop.
    PrintShop,
}

/// How pages lie, by name.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum PagesChoice {
    /// Each page for itself.
    Single,
    /// Left and right pages side by side.
    Facing,
}

/// Sides by name.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum SideChoice {
    /// Row 1 from left to right.
    Left,
    /// Row 1 from right to left.
    Right,
}

/// Inks by name.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum InkChoice {
    /// Pale tints under black symbols.
    Saving,
    /// The yarns' own colours.
    Full,
    /// Black symbols on white.
    SymbolsOnly,
}

/// Systems of measures by name.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum UnitsChoice {
    /// Centimetres, metres, grams first.
    Metric,
    /// Inches, yards, ounces first.
    Imperial,
}

/// `hitchpress copies`.
#[derive(Debug, Args)]
#[command(after_help = "The list is a CSV file with a line of headings: `name`, and if you like `order`.\n  \
    name,order\n  \
    Ada Fernley,1041\n\n\
Examples:\n  \
    hitchpress copies little-boat/little-boat-booklet-a4.pdf --buyers november.csv -o november\n  \
    hitchpress copies little-boat-booklet-a4.pdf --name \"Ada Fernley\" --order 1041 -o - > copy.pdf")]
pub(crate) struct Copies {
    /// The finished booklet, as `compose` wrote it.
    #[arg(value_name = "FILE")]
    pub(crate) file: PathBuf,
    /// The list of buyers.
    #[arg(long, value_name = "FILE", required_unless_present = "name", conflicts_with_all = ["name", "order"])]
    pub(crate) buyers: Option<PathBuf>,
    /// One buyer, in the place of a list.
    #[arg(long, value_name = "NAME")]
    pub(crate) name: Option<String>,
    /// The number or name of this buyer's order.
    #[arg(long, value_name = "ORDER", requires = "name")]
    pub(crate) order: Option<String>,
    /// The folder for the copies; without it, one beside the booklet, named after it. "-" writes the copy of one buyer to
    /// standard output, and then nothing but the booklet is read and nothing else is written.
    #[arg(short, long, value_name = "DIR")]
    pub(crate) output: Option<PathBuf>,
}

/// `hitchpress impose`.
#[derive(Debug, Args)]
#[command(
    after_help = "Nothing is ever scaled: compose on A5 for A4 sheets, on half letter for Letter sheets. Print at actual \
    size, on both sides, flipped on the short edge. Boxes to tick stay on the sheets; that they can be ticked on a screen \
    does not.\n\n\
    Examples:\n  \
    hitchpress compose little-boat --paper a5 --pages facing -o boat.pdf\n  \
    hitchpress impose boat.pdf\n  \
    hitchpress impose boat.pdf --paper-thickness \"0.1 mm\"\n  \
    hitchpress impose boat.pdf --sides fronts -o fronts.pdf\n  \
    hitchpress impose boat.pdf --lay pages -o single-pages.pdf"
)]
pub(crate) struct Impose {
    /// The finished PDF.
    #[arg(value_name = "FILE")]
    pub(crate) file: PathBuf,
    /// How its pages lie on the sheets.
    #[arg(long, value_enum, default_value_t = LayChoice::Fold)]
    pub(crate) lay: LayChoice,
    /// Which sides come out; for a printer that prints one side only, first the fronts, then the backs.
    #[arg(long, value_enum, default_value_t = SidesChoice::Both)]
    pub(crate) sides: SidesChoice,
    /// The paper that is printed on: a4, letter, a3 or tabloid; without it, A4 or Letter, whichever the pages fill.
    #[arg(long, value_name = "NAME")]
    pub(crate) sheet: Option<String>,
    /// How thick one leaf of the paper is: inner pages then move towards the fold, so that margins stay even once the
    /// booklet is trimmed. Ordinary paper of 80 g/m² is about 0.1 mm thick.
    #[arg(long, value_name = "MEASURE")]
    pub(crate) paper_thickness: Option<String>,
    /// Where to write; without it, beside the file, named after it.
    #[arg(short, long, value_name = "FILE")]
    pub(crate) output: Option<PathBuf>,
}

/// How pages lie on sheets, by name.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum LayChoice {
    /// Two on each side, to fold and staple through the fold.
    Fold,
    /// Two on each side in the order of reading, not folded.
    Flat,
    /// One by one with crop marks, for a print shop.
    Pages,
}

/// Sides of sheets by name.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum SidesChoice {
    /// Both of each sheet, one after the other.
    Both,
    /// The first of each sheet.
    Fronts,
    /// The second of each sheet.
    Backs,
}

/// `hitchpress new`.
#[derive(Debug, Args)]
#[command(after_help = "Examples:\n  \
    hitchpress new little-boat\n  \
    hitchpress new \"Little Fox\" --maker \"Ada Fernley\" --language de-DE")]
pub(crate) struct New {
    /// The folder to write into; made if it is not there. Nothing in it is ever overwritten.
    #[arg(value_name = "DIR")]
    pub(crate) folder: PathBuf,
    /// Title of the pattern; without it, the folder's name.
    #[arg(long, value_name = "WORDS")]
    pub(crate) title: Option<String>,
    /// Your name or your studio's.
    #[arg(long, value_name = "WORDS")]
    pub(crate) maker: Option<String>,
    /// Language of the words on paper: en-GB (without it), en-US, de-DE, fr-FR or es-ES.
    #[arg(long, value_name = "TAG")]
    pub(crate) language: Option<String>,
    /// An empty chart of so many knots across, all of the first yarn, in place of the boat; with it a grid in the knots'
    /// proportions to draw on: grid.pdf to print and colour by hand, grid.png for a drawing program.
    #[arg(long, value_name = "N")]
    pub(crate) columns: Option<usize>,
    /// And of so many knots down.
    #[arg(long, value_name = "N")]
    pub(crate) rows: Option<usize>,
}

/// `hitchpress check`.
#[derive(Debug, Args)]
#[command(after_help = "Examples:\n  \
    hitchpress check little-boat\n  \
    hitchpress check little-boat --edition chart --paper a5")]
pub(crate) struct Check {
    /// The project; without it, the folder one is in.
    #[arg(value_name = "PROJECT", default_value = ".")]
    pub(crate) project: PathBuf,
    /// What is to be composed and how: a small paper may make cells or a photograph too small.
    #[command(flatten)]
    pub(crate) print: PrintOptions,
    /// For reading, or for a machine: JSON on standard output.
    #[arg(long, value_enum, default_value_t = CheckFormat::Text)]
    pub(crate) format: CheckFormat,
}

/// How `check` says what it found.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum CheckFormat {
    /// Excerpts on standard error.
    Text,
    /// One JSON object on standard output.
    Json,
}

/// `hitchpress amounts`.
#[derive(Debug, Args)]
#[command(after_help = "Example: hitchpress amounts little-boat --students 8 --format csv")]
pub(crate) struct Amounts {
    /// The project; without it, the folder one is in.
    #[arg(value_name = "PROJECT", default_value = ".")]
    pub(crate) project: PathBuf,
    /// In which form, on standard output.
    #[arg(long, value_enum, default_value_t = AmountsFormat::Text)]
    pub(crate) format: AmountsFormat,
    /// One of the project's sizes; without it, the first one.
    #[arg(long, value_name = "NAME")]
    pub(crate) size: Option<String>,
    /// One of the project's colourways: yarns then have their names.
    #[arg(long, value_name = "NAME")]
    pub(crate) colourway: Option<String>,
    /// Adds a kit for a class of so many.
    #[arg(long, value_name = "N", value_parser = students)]
    pub(crate) students: Option<u16>,
}

/// In which form `amounts` writes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum AmountsFormat {
    /// For reading.
    Text,
    /// For a machine; layouts/schemas/amounts.schema.json describes it.
    Json,
    /// For a spreadsheet.
    Csv,
    /// For pasting into a listing.
    Markdown,
}

/// `hitchpress listing`.
#[derive(Debug, Args)]
#[command(after_help = "Examples:\n  \
    hitchpress listing little-boat --longest-title 60\n  \
    hitchpress listing little-boat --part materials --format markdown --students 8\n  \
    hitchpress listing little-boat --language de-DE > listing.txt")]
pub(crate) struct Listing {
    /// The project; without it, the folder one is in.
    #[arg(value_name = "PROJECT", default_value = ".")]
    pub(crate) project: PathBuf,
    /// Writes this part alone, as it is pasted.
    #[arg(long, value_enum)]
    pub(crate) part: Option<ListingPart>,
    /// In which form, on standard output.
    #[arg(long, value_enum, default_value_t = ListingFormat::Text)]
    pub(crate) format: ListingFormat,
    /// Most characters of a title.
    #[arg(long, value_name = "N", default_value_t = 80, value_parser = clap::value_parser!(u16).range(10..=500))]
    pub(crate) longest_title: u16,
    /// Most characters of a tag.
    #[arg(long, value_name = "N", default_value_t = 24, value_parser = clap::value_parser!(u16).range(3..=200))]
    pub(crate) longest_tag: u16,
    /// Most tags.
    #[arg(long, value_name = "N", default_value_t = 12, value_parser = clap::value_parser!(u16).range(1..=100))]
    pub(crate) most_tags: u16,
    /// Language of the words: en-GB, en-US, de-DE, fr-FR or es-ES; without it, the project's.
    #[arg(long, value_name = "TAG")]
    pub(crate) language: Option<String>,
    /// One of the project's sizes; without it, the first one.
    #[arg(long, value_name = "NAME")]
    pub(crate) size: Option<String>,
    /// One of the project's colourways; without it, all of them.
    #[arg(long, value_name = "NAME")]
    pub(crate) colourway: Option<String>,
    /// Which system of measures stands first.
    #[arg(long, value_enum, ignore_case = true)]
    pub(crate) units: Option<UnitsChoice>,
    /// Adds to the materials what a class of so many needs.
    #[arg(long, value_name = "N", value_parser = students)]
    pub(crate) students: Option<u16>,
}

/// A part of a listing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum ListingPart {
    /// Titles, the longest first.
    Titles,
    /// Tags, with commas between them.
    Tags,
    /// The description for a shop.
    Description,
    /// The materials, for the text under a video or a message to students.
    Materials,
}

/// In which form `listing` writes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum ListingFormat {
    /// Plain text.
    Text,
    /// Markdown.
    Markdown,
}

/// Reads the command line. After `--help`, `--version` or wrong use, what there was to say is said, and the outcome stands
/// in the error.
pub(crate) fn read(typed: impl IntoIterator<Item = OsString>) -> Result<Arguments, Outcome> {
    Arguments::try_parse_from(typed).map_err(|error| {
        let outcome = if error.use_stderr() { Outcome::WrongUse } else { Outcome::Done };
        // Only a closed pipe makes this fail, and then nobody reads what is written.
        let _said = error.print();
        outcome
    })
}

/// A shell's completions.
pub(crate) fn completions(shell: clap_complete::Shell) -> String {
    let mut script = Vec::new();
    clap_complete::generate(shell, &mut Arguments::command(), "hitchpress", &mut script);
    String::from_utf8_lossy(&script).into_owned()
}

/// The manual's pages by the names of their files: the program's, then one for each command.
pub(crate) fn manual() -> Vec<(String, Vec<u8>)> {
    let mut program = Arguments::command();
    // Commands learn their whole names: "hitchpress-compose".
    program.build();
    let commands = program.get_subcommands().filter(|command| command.get_name() != "help").cloned();
    std::iter::once(program.clone())
        .chain(commands)
        .map(|command| {
            let name = command.get_display_name().unwrap_or_else(|| command.get_name()).to_owned();
            let mut page = Vec::new();
            // Memory takes all that is written.
            let _written = clap_mangen::Man::new(command).render(&mut page);
            (format!("{name}.1"), page)
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_command_line_is_put_together_rightly() {
        Arguments::command().debug_assert();
    }

    #[test]
    fn every_command_has_a_page_and_every_option_stands_on_it() {
        let pages = manual();
        let mut program = Arguments::command();
        program.build();
        assert_eq!(pages[0].0, "hitchpress.1");
        for command in program.get_subcommands().filter(|command| command.get_name() != "help") {
            let name = format!("hitchpress-{}.1", command.get_name());
            let page = pages.iter().find(|(file, _)| *file == name).map(|(_, page)| String::from_utf8_lossy(page));
            let page = page.unwrap_or_else(|| panic!("no {name}"));
            for option in command.get_arguments().filter_map(clap::Arg::get_long) {
                assert!(page.contains(&option.replace('-', "\\-")), "{name}: --{option}");
            }
        }
    }

    #[test]
    fn every_shell_learns_every_command() {
        for shell in clap_complete::Shell::value_variants() {
            let script = completions(*shell);
            for command in Arguments::command().get_subcommands() {
                assert!(script.contains(command.get_name()), "{shell}: {}", command.get_name());
            }
        }
    }
}

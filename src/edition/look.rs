//! A look as it is written, `layouts/looks/quiet.toml` and its sisters, and its check.

use super::{Ink, Look, Style};
use crate::catalogue::StyleName;
use crate::colour::Colour;
use crate::diag::{Diagnostic, Report, SourceId};
use crate::font::FontRole;
use crate::form::{Form, FormSection, KeyPlan, Limits, Spanned};
use crate::geom::Length;
use crate::text::Align;
use std::collections::BTreeMap;

/// Every key of a look; `layouts/README.md` explains them.
pub(super) const PLAN: &KeyPlan = &[
    ("", &["format", "measure", "gutter", "side-heads", "colours", "rules", "fonts", "styles"]),
    ("colours", &["text", "quiet", "rule", "tint", "shared", "grid", "tens", "accent"]),
    ("rules", &["section", "table", "heavy"]),
    ("fonts", &FACE_WORDS),
    ("styles", StyleName::WORDS),
    ("styles.*", &["face", "size", "leading", "align", "colour", "before", "after", "hyphenate", "tabular"]),
];

/// Roles that a style can name and a maker's own font can take: all but the fallback, which no style chooses.
const FACES: [FontRole; 5] =
    [FontRole::Text, FontRole::TextItalic, FontRole::TextStrong, FontRole::Figures, FontRole::FiguresStrong];
const FACE_WORDS: [&str; 5] = [FACES[0].name(), FACES[1].name(), FACES[2].name(), FACES[3].name(), FACES[4].name()];

/// Colours of chart sheets for looks that do not give them: warm greys, lines clearly weaker than symbols.
const USUAL_SHARED: Colour = Colour::new(0xd8, 0xd2, 0xc9);
const USUAL_GRID: Colour = Colour::new(0xc4, 0xbd, 0xb3);
const USUAL_TENS: Colour = Colour::new(0x86, 0x7f, 0x76);
/// Leading of a style that gives none, in its sizes.
const USUAL_LEADING: f64 = 1.25;

/// Widths of rules, and white above and below paragraphs: more leaves a page no room (our judgement).
const RULE: Limits = Limits::pt(0.0, 24.0);
const SPACE: Limits = Limits::pt(0.0, 200.0);
/// Sizes of letters: smaller ones cannot be read, and of larger ones no word fits the narrowest column (our judgement; large
/// print is 16 to 18 points by RNIB and UKAAF). Titles and headings stand alone on their lines.
const SIZE: Limits = Limits::pt(5.0, 24.0);
const SIZE_OF_HEADS: Limits = Limits::pt(5.0, 72.0);
/// From one line to the next.
const LEADING: Limits = Limits::pt(4.0, 200.0);
/// Least leading in sizes: letters of two lines run into each other below it (our judgement).
const MIN_LEADING: f64 = 0.9;
/// Shorter lines hold no words; a wider space leaves two columns of the smallest paper no room (our judgement).
const MEASURE: Limits = Limits::mm(40.0, 2_000.0);
const GUTTER: Limits = Limits::mm(0.0, 40.0);
/// The least contrast of large letters with their ground (WCAG 2.2, success criterion 1.4.3).
const MIN_CONTRAST: f64 = 3.0;

/// Font files of the maker's own, by the role they take.
type FontFiles = Vec<(FontRole, Spanned<String>)>;

/// Checks a look. Its fonts are not read yet. `None`: the report has at least one fault.
pub(super) fn check(text: &str, source: SourceId, report: &mut Report) -> Option<(Look, FontFiles)> {
    checked(&Form::open(text, source, PLAN, report), report)
}

pub(super) fn checked(form: &Form, report: &mut Report) -> Option<(Look, FontFiles)> {
    let top = form.top();
    super::format(&top, "look", report);
    top.require("measure", "\"124 mm\"", report);
    top.require("gutter", "\"6 mm\"", report);
    for key in ["colours", "rules", "styles"] {
        top.needs(key);
        if top.misses(key) {
            let fault = Diagnostic::fault("missing-key", format!("the look has no section [{key}]")).at(top.span());
            report.push(fault.hint("copy it from the look `quiet`"));
        }
    }
    let measure = top.length("measure", MEASURE, report);
    let gutter = top.length("gutter", GUTTER, report);
    let side_heads = top.yes_no("side-heads", report).is_none_or(|yes| yes.value);
    let colours = top.section("colours", report).and_then(|section| colours(&section, report));
    let rules = top.section("rules", report).and_then(|section| rules(&section, report));
    let fonts = top.section("fonts", report).map_or_else(Vec::new, |section| fonts(&section, report));
    let styles = top.section("styles", report).and_then(|section| styles(&section, report));
    top.close(report);
    let (colours, [section_rule, table_rule, heavy_rule]) = (colours?, rules?);
    let look = Look {
        text: colours.text,
        quiet: colours.quiet,
        rule: colours.rule,
        tint: colours.tint,
        shared: colours.shared,
        grid: colours.grid,
        tens: colours.tens,
        accent: colours.accent,
        measure: measure?.value,
        gutter: gutter?.value,
        side_heads,
        fonts: Vec::new(),
        section_rule,
        table_rule,
        heavy_rule,
        styles: styles?,
    };
    Some((look, fonts))
}

struct Colours {
    text: Colour,
    quiet: Colour,
    rule: Colour,
    tint: Colour,
    shared: Colour,
    grid: Colour,
    tens: Colour,
    accent: Option<Colour>,
}

fn colours(section: &FormSection<'_>, report: &mut Report) -> Option<Colours> {
    for key in ["text", "quiet", "rule", "tint"] {
        section.require(key, "\"#211e1b\"", report);
    }
    section.require("accent", "\"chart\"", report);
    let (text, quiet) = (section.colour("text", report), section.colour("quiet", report));
    let mut colour = |key: &str| section.colour(key, report).map(|colour| colour.value);
    let (rule, tint) = (colour("rule"), colour("tint"));
    let (shared, grid, tens) = (colour("shared"), colour("grid"), colour("tens"));
    let accent = section.colour_or("accent", "chart", report);
    section.close(report);
    let own_accent = accent.as_ref().and_then(|accent| Some((accent.value?, accent.span)));
    let letters = [&text, &quiet].into_iter().flatten().map(|colour| (colour.value, colour.span));
    for (colour, span) in letters.chain(own_accent) {
        let contrast = colour.contrast(Colour::WHITE).min(colour.contrast(tint.unwrap_or(Colour::WHITE)));
        if contrast < MIN_CONTRAST {
            let message = format!("letters in this colour can hardly be read: their contrast is {contrast:.1} to 1");
            let hint = "choose a darker colour, or a lighter `tint`: 4.5 to 1 is easy to read, 3 to 1 the least";
            report.push(Diagnostic::fault("faint-text", message).at(span).hint(hint));
        }
    }
    Some(Colours {
        text: text?.value,
        quiet: quiet?.value,
        rule: rule?,
        tint: tint?,
        shared: shared.unwrap_or(USUAL_SHARED),
        grid: grid.unwrap_or(USUAL_GRID),
        tens: tens.unwrap_or(USUAL_TENS),
        accent: accent?.value,
    })
}

/// Widths of the rules above a section's title, in tables, and below a table's head.
fn rules(section: &FormSection<'_>, report: &mut Report) -> Option<[Length; 3]> {
    let mut rule = |key: &str| {
        section.require(key, "\"0.4 pt\"", report);
        section.length(key, RULE, report).map(|width| width.value)
    };
    let rules = [rule("section"), rule("table"), rule("heavy")];
    section.close(report);
    let [of_section, of_table, heavy] = rules;
    Some([of_section?, of_table?, heavy?])
}

fn fonts(section: &FormSection<'_>, report: &mut Report) -> FontFiles {
    let fonts = FACES.iter().filter_map(|role| Some((*role, section.text(role.name(), report)?))).collect();
    section.close(report);
    fonts
}

fn styles(section: &FormSection<'_>, report: &mut Report) -> Option<BTreeMap<StyleName, Style>> {
    let mut styles = BTreeMap::new();
    for name in StyleName::ALL {
        if section.misses(name.name()) {
            report.push(
                Diagnostic::fault("missing-style", format!("the look has no section [styles.{name}]"))
                    .at(section.span())
                    .hint("copy it from the look `quiet`"),
            );
        }
        section.needs(name.name());
        let style = section.section(name.name(), report).and_then(|section| style(*name, &section, report));
        styles.extend(style.map(|style| (*name, style)));
    }
    section.close(report);
    (styles.len() == StyleName::ALL.len()).then_some(styles)
}

/// Whether words of this style stand in a line of their own, over the whole width.
fn stands_alone(name: StyleName) -> bool {
    match name {
        StyleName::Title | StyleName::Subtitle | StyleName::Heading1 | StyleName::Heading2 | StyleName::Heading3 => {
            true
        }
        StyleName::Maker
        | StyleName::Lead
        | StyleName::Body
        | StyleName::Note
        | StyleName::Small
        | StyleName::Step
        | StyleName::Tick
        | StyleName::Caution
        | StyleName::Table
        | StyleName::TableHead
        | StyleName::TableTight
        | StyleName::TableHeadTight
        | StyleName::Caption
        | StyleName::Label
        | StyleName::Rows
        | StyleName::RowNumber
        | StyleName::Contents
        | StyleName::Head
        | StyleName::Folio
        | StyleName::SheetTitle
        | StyleName::SheetNote
        | StyleName::Key
        | StyleName::CellNumber => false,
    }
}

fn style(name: StyleName, section: &FormSection<'_>, report: &mut Report) -> Option<Style> {
    section.require("face", "\"text\"", report);
    section.require("size", "\"10.5 pt\"", report);
    let face = section.choice("face", &FACES.map(|role| (role.name(), role)), report);
    let size = section.length("size", if stands_alone(name) { SIZE_OF_HEADS } else { SIZE }, report);
    let leading = section.length("leading", LEADING, report);
    if let (Some(size), Some(leading)) = (size, leading)
        && !(size.value * MIN_LEADING).fits(leading.value)
    {
        let message = "lines as near to each other as this run into each other";
        report.push(
            Diagnostic::fault("lines-too-near", message)
                .at(leading.span)
                .hint("make `leading` larger than `size`, about a quarter more; or leave it out, and it is"),
        );
    }
    let aligns =
        [("left", Align::Left), ("justified", Align::Justified), ("centre", Align::Centre), ("right", Align::Right)];
    let align = section.choice("align", &aligns, report).map_or(Align::Left, |align| align.value);
    let inks = [("text", Ink::Text), ("quiet", Ink::Quiet), ("accent", Ink::Accent)];
    let colour = section.choice("colour", &inks, report).map_or(Ink::Text, |ink| ink.value);
    let mut space = |key: &str| section.length(key, SPACE, report).map_or(Length::ZERO, |space| space.value);
    let (before, after) = (space("before"), space("after"));
    let mut yes = |key: &str| section.yes_no(key, report).is_some_and(|yes| yes.value);
    let (hyphenate, tabular) = (yes("hyphenate"), yes("tabular"));
    section.close(report);
    let (face, size) = (face?.value, size?.value);
    let leading = leading.map_or(size * USUAL_LEADING, |leading| leading.value);
    Some(Style { face, size, leading, align, colour, before, after, hyphenate, tabular })
}

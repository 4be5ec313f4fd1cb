//! A finished booklet on sheets: to fold and staple, side by side, or page by page with marks for a print shop.
//!
//! Comes in: the bytes of a PDF. Goes out: another PDF, untagged and without fields, with every page as it was. Nothing is
//! ever scaled. Knows nothing of projects; the pages may come from anywhere.

pub mod order;
pub(in crate::pdf) mod read;
mod sheet;
mod untag;

use super::finisher::numbers;
use super::making;
use super::marks::{BLEED, MARGIN};
use super::metadata::text;
use super::pack::{self, deflated};
use crate::diag::{Diagnostic, Report};
use crate::geom::{Length, Size};
use lopdf::{Dictionary, Document, Object, ObjectId, dictionary};
use order::SheetFace;
use read::{Sheetable, TakenPages};
use sheet::ImposedSheet;
use std::collections::BTreeMap;

/// How pages lie on sheets.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Lay {
    /// Two on each side, to be laid into one another, folded and stapled through the fold.
    Fold,
    /// Two on each side in the order of reading, not to be folded.
    Flat,
    /// One by one in the order of reading, with crop marks: for a print shop, which imposes itself.
    Pages,
}

/// Which sides come out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PrintSides {
    /// Both, for a printer that turns the sheet.
    Both,
    /// The first of each sheet.
    Fronts,
    /// The second of each sheet, in the same order.
    Backs,
}

/// Papers that sheets can have, as they stand upright: ISO 216, and ANSI/ASME Y14.1.
pub(crate) const SHEETS: [(&str, Size); 4] = [
    ("a4", Size::new(Length::mm(210.0), Length::mm(297.0))),
    ("letter", Size::new(Length::mm(215.9), Length::mm(279.4))),
    ("a3", Size::new(Length::mm(297.0), Length::mm(420.0))),
    ("tabloid", Size::new(Length::mm(279.4), Length::mm(431.8))),
];
/// How many of [`SHEETS`] are tried where none is named: those that stand beside every printer.
const USUAL_SHEETS: usize = 2;
/// Pages whose sizes differ by less are of one size.
const SAME_SIZE: Length = Length::mm(0.2);
/// Pages may stand over the sheet by this much: rounding in the file, never a line of the page.
const OVERHANG: Length = Length::mm(0.1);

/// What is to be done.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ImposeOptions {
    /// How pages lie.
    pub lay: Lay,
    /// Which sides come out.
    pub sides: PrintSides,
    /// One of [`SHEETS`] by its index; `None`: A4 or Letter, whichever the pages fill better.
    pub sheet: Option<usize>,
    /// How thick the paper is, for creep; zero for none.
    pub thickness: Length,
}

impl ImposeOptions {
    /// What a file says of how it was imposed.
    fn said(&self) -> Vec<(&'static str, String)> {
        let lay = match self.lay {
            Lay::Fold => "fold",
            Lay::Flat => "flat",
            Lay::Pages => "pages",
        };
        let sides = match self.sides {
            PrintSides::Both => "both",
            PrintSides::Fronts => "fronts",
            PrintSides::Backs => "backs",
        };
        let mut said = vec![("lay", lay.to_owned()), ("sides", sides.to_owned())];
        said.extend(self.sheet.map(|index| ("sheet", SHEETS[index].0.to_owned())));
        if self.thickness > Length::ZERO {
            said.push(("paper-thickness", self.thickness.to_mm().to_string()));
        }
        said
    }

    /// The options that a file says it was imposed with. `None`: it does not say so, or says what cannot be.
    pub(crate) fn from_said(said: &BTreeMap<String, String>) -> Option<ImposeOptions> {
        let lay = match said.get("lay")?.as_str() {
            "fold" => Lay::Fold,
            "flat" => Lay::Flat,
            "pages" => Lay::Pages,
            _ => return None,
        };
        let sides = match said.get("sides")?.as_str() {
            "both" => PrintSides::Both,
            "fronts" => PrintSides::Fronts,
            "backs" => PrintSides::Backs,
            _ => return None,
        };
        let sheet = match said.get("sheet") {
            Some(named) => Some(SHEETS.iter().position(|(name, _)| name == named)?),
            None => None,
        };
        let thickness = match said.get("paper-thickness") {
            Some(text) => Length::mm(text.parse().ok().filter(|mm| (0.0..=10.0).contains(mm))?),
            None => Length::ZERO,
        };
        Some(ImposeOptions { lay, sides, sheet, thickness })
    }
}

/// Imposed sheets.
#[derive(Clone, Debug)]
pub struct ImposedFile {
    /// The file.
    pub bytes: Vec<u8>,
    /// Pages of the booklet.
    pub(crate) pages: usize,
    /// Blank pages after them.
    pub blank: usize,
    /// Pages of the file, each one side of a sheet.
    pub faces: usize,
    /// The paper, of [`SHEETS`]; `None` where each page has a sheet of its own size.
    pub sheet: Option<&'static str>,
    /// How far the innermost pages have moved towards the fold.
    pub creep: Length,
    /// Whether boxes to tick and links were left behind.
    pub left_behind: bool,
    /// Whether there was room for all crop marks.
    pub cropped: bool,
}

/// Imposes a finished file.
///
/// # Errors
/// Every fault of the file: it cannot be read, is locked, has no pages or pages of several sizes, or does not go on the
/// paper.
pub fn impose(bytes: &[u8], imposing: ImposeOptions) -> Result<ImposedFile, Report> {
    let one = |fault: Diagnostic| {
        let mut report = Report::new();
        report.push(fault);
        report
    };
    let old = read::open(bytes).map_err(one)?;
    let taken = read::take(&old)?;
    let page = common_size(&taken.pages, imposing.lay)?;
    let broken = |error: super::PdfError| one(Diagnostic::fault("unprintable", error.to_string()));
    match imposing.lay {
        Lay::Fold | Lay::Flat => {
            let index = fitting(page, imposing.sheet).map_err(one)?;
            two_up(taken, page, index, imposing).map_err(broken)
        }
        Lay::Pages => one_by_one(taken, page, imposing).map_err(broken),
    }
}

/// The size of all pages. Pages that lie on their side count as upright ones, as they are turned; only where each has a
/// sheet of its own and all of them lie, they stay as they are.
fn common_size(pages: &[Sheetable], lay: Lay) -> Result<(f64, f64), Report> {
    let all_lie = lay == Lay::Pages && pages.iter().all(|page| page.width > page.height);
    let upright = |page: &Sheetable| match all_lie {
        true => (page.width, page.height),
        false => (page.width.min(page.height), page.width.max(page.height)),
    };
    let mut report = Report::new();
    let first = pages.first().map(upright).unwrap_or_default();
    for (index, page) in pages.iter().enumerate() {
        let (width, height) = upright(page);
        let same = |a: f64, b: f64| (a - b).abs() <= SAME_SIZE.to_pt();
        if !same(width, first.0) || !same(height, first.1) {
            report.push(
                Diagnostic::fault(
                    "pages-of-several-sizes",
                    format!(
                        "page {} measures {}, and page 1 {}",
                        index + 1,
                        measures((width, height)),
                        measures(first)
                    ),
                )
                .hint("pages of one booklet are of one size; nothing is ever scaled"),
            );
        }
    }
    if report.has_faults() { Err(report) } else { Ok(first) }
}

/// "148 x 210 mm".
fn measures((width, height): (f64, f64)) -> String {
    let tenths = |points: f64| (Length::pt(points).to_mm() * 10.0).round() / 10.0;
    format!("{} × {} mm", tenths(width), tenths(height))
}

/// The sheet that two pages go on, side by side; of those that are tried, the one with the least paper left over.
fn fitting(page: (f64, f64), named: Option<usize>) -> Result<usize, Diagnostic> {
    let room = |index: usize| {
        let (_, size) = SHEETS[index];
        let over = OVERHANG.to_pt();
        let fits = 2.0 * page.0 <= size.height.to_pt() + over && page.1 <= size.width.to_pt() + over;
        fits.then(|| size.width.to_pt() * size.height.to_pt() - 2.0 * page.0 * page.1)
    };
    let tried = named.map_or(0..USUAL_SHEETS, |index| index..index + 1);
    let best = tried.filter_map(|index| room(index).map(|left| (left, index))).min_by(|a, b| a.0.total_cmp(&b.0));
    if let Some((_, index)) = best {
        return Ok(index);
    }
    let on = named.map_or("A4 or Letter".to_owned(), |index| format!("a sheet of {}", SHEETS[index].0));
    let message = format!("two pages of {} do not go on {on} side by side, and nothing is ever scaled", measures(page));
    let fault = Diagnostic::fault("pages-do-not-fit", message)
        .hint("compose the booklet with `--paper a5` for A4, or `--paper half-letter` for Letter");
    Err(match (0..SHEETS.len()).find(|&index| room(index).is_some()) {
        Some(larger) => fault.hint(format!("or print on larger paper: `--sheet {}`", SHEETS[larger].0)),
        None => fault,
    })
}

fn of_sides<T>(faces: Vec<T>, sides: PrintSides) -> Vec<T> {
    let keep = |index: usize| match sides {
        PrintSides::Both => true,
        PrintSides::Fronts => index.is_multiple_of(2),
        PrintSides::Backs => !index.is_multiple_of(2),
    };
    faces.into_iter().enumerate().filter(|(index, _)| keep(*index)).map(|(_, face)| face).collect()
}

/// Two pages on each side.
fn two_up(
    mut taken: TakenPages,
    page: (f64, f64),
    index: usize,
    imposing: ImposeOptions,
) -> Result<ImposedFile, super::PdfError> {
    let (name, paper) = SHEETS[index];
    // Lying on its side, so that two upright pages stand on it.
    let sheet =
        ImposedSheet { size: (paper.height.to_pt(), paper.width.to_pt()), page, folded: imposing.lay == Lay::Fold };
    let count = taken.pages.len();
    let (faces, filled) = match imposing.lay {
        Lay::Fold => (order::saddle_stitch(count), order::filled_up(count)),
        Lay::Flat | Lay::Pages => (order::side_by_side(count), count),
    };
    let creep = if sheet.folded { imposing.thickness } else { Length::ZERO };
    let inner = faces.iter().map(|face| face.sheet).max().unwrap_or(0);
    let faces: Vec<SheetFace> = of_sides(faces, imposing.sides);
    let mut kids = Vec::new();
    for face in &faces {
        let (forms, content) = sheet::face(sheet, *face, &taken.pages, creep);
        let boxes = vec![("MediaBox", [0.0, 0.0, sheet.size.0, sheet.size.1])];
        kids.push(add_page(&mut taken.document, forms, &content, boxes)?);
    }
    let (beside, above) = sheet.has_room();
    // One side alone goes through a printer that does not turn it.
    let duplex = match imposing.sides {
        PrintSides::Both => Some("DuplexFlipShortEdge"),
        PrintSides::Fronts | PrintSides::Backs => None,
    };
    Ok(ImposedFile {
        pages: count,
        blank: filled - count,
        faces: faces.len(),
        sheet: Some(name),
        creep: creep * inner as f64,
        left_behind: taken.had_annotations,
        cropped: beside && above,
        bytes: finish(taken, kids, duplex, imposing)?,
    })
}

/// Each page on a sheet of its own, larger by bleed and marks.
fn one_by_one(
    mut taken: TakenPages,
    page: (f64, f64),
    imposing: ImposeOptions,
) -> Result<ImposedFile, super::PdfError> {
    let count = taken.pages.len();
    let filled = order::filled_up(count);
    let (bleed, margin) = (BLEED.to_pt(), MARGIN.to_pt());
    let around = |by: f64| [margin - by, margin - by, margin + page.0 + by, margin + page.1 + by];
    let faces = of_sides((0..filled).collect::<Vec<_>>(), imposing.sides);
    let mut kids = Vec::new();
    for index in &faces {
        let (forms, content) = sheet::single(*index, taken.pages.get(*index), page);
        let media = [0.0, 0.0, page.0 + 2.0 * margin, page.1 + 2.0 * margin];
        let boxes = vec![("MediaBox", media), ("BleedBox", around(bleed)), ("TrimBox", around(0.0))];
        kids.push(add_page(&mut taken.document, forms, &content, boxes)?);
    }
    Ok(ImposedFile {
        pages: count,
        blank: filled - count,
        faces: faces.len(),
        sheet: None,
        creep: Length::ZERO,
        left_behind: taken.had_annotations,
        cropped: true,
        bytes: finish(taken, kids, None, imposing)?,
    })
}

fn add_page(
    document: &mut Document,
    forms: Dictionary,
    content: &[u8],
    boxes: Vec<(&str, [f64; 4])>,
) -> Result<ObjectId, super::PdfError> {
    let content = document.add_object(deflated(Dictionary::new(), content)?);
    let mut page = dictionary! {
        "Type" => "Page",
        "Resources" => dictionary! { "XObject" => forms },
        "Contents" => content,
    };
    for (key, value) in boxes {
        page.set(key, numbers(value));
    }
    Ok(document.add_object(page))
}

/// The rest of the file: the tree of pages, the catalogue, the title.
fn finish(
    taken: TakenPages,
    kids: Vec<ObjectId>,
    duplex: Option<&str>,
    imposing: ImposeOptions,
) -> Result<Vec<u8>, super::PdfError> {
    let TakenPages { mut document, mut information, intents, layers, making, .. } = taken;
    let tree = document.new_object_id();
    for kid in &kids {
        document.get_dictionary_mut(*kid)?.set("Parent", tree);
    }
    let count = kids.len() as i64;
    let list: Vec<Object> = kids.into_iter().map(Object::Reference).collect();
    document.set_object(tree, dictionary! { "Type" => "Pages", "Kids" => list, "Count" => count });
    let mut shown = dictionary! { "PrintScaling" => "None" };
    if let Some(duplex) = duplex {
        shown.set("Duplex", duplex);
    }
    let mut catalogue = dictionary! { "Type" => "Catalog", "Pages" => tree, "ViewerPreferences" => shown };
    if let Some(intents) = intents {
        catalogue.set("OutputIntents", intents);
    }
    if let Some(layers) = layers {
        catalogue.set("OCProperties", layers);
    }
    if let Some(pieces) = making {
        let said = imposing.said();
        let said: Vec<(&str, &str)> = said.iter().map(|(key, value)| (*key, value.as_str())).collect();
        making::set(&mut document, &mut catalogue, making::noted(pieces, &said));
    }
    let catalogue = document.add_object(catalogue);
    information.set("Producer", text(super::metadata::PRODUCER));
    let information = document.add_object(information);
    document.trailer.set("Root", catalogue);
    document.trailer.set("Info", information);
    pack::bytes(document, &pack::WrittenObjects::default())
}

//! A pattern's pictures for a shop, drawn from the finished file: its pages, and four to show it with.
//!
//! No page that holds the chart or the rows in words is drawn so that it could be worked from: it is drawn so coarsely that
//! a square is under two pixels, and then enlarged. What a chart sheet looks like is shown by a small corner of it.

use super::{Prepared, Variant, lay_out};
use crate::compose::blank_grid::{self, BlankGrid};
use crate::compose::shop as sheets;
use crate::diag::{Diagnostic, Report};
use crate::font::FontBook;
use crate::geom::Length;
use crate::page::{Booklet, Cells, Item, PictureFile, Structure};
use crate::picture::{self, SrgbPicture};
use crate::preview::{self, pixels};
use crate::source::steers;
use crate::{cores, manuscript, pdf};
use std::sync::Arc;

/// Pixels across a square of a chart sheet that is drawn coarsely.
const COARSE_CELL: f64 = 1.8;
/// Pixels a point where only rows in words have to be hidden: letters of ten points are two pixels high.
const COARSE_POINT: f64 = 0.2;
/// Width of a page in the picture of all pages: letters of ten points are four pixels high.
const SMALL_PAGE: usize = 240;
/// Columns and rows of the chart's corner that is shown.
const CORNER: (usize, usize) = (18, 8);
/// The corner is at most one part in so many of the chart.
const MIN_CORNERS: usize = 8;
/// Pixels a point of that corner.
const CORNER_SCALE: f64 = 4.0;

/// What is wanted.
#[derive(Clone, Debug)]
pub(crate) struct PicturesOptions {
    /// Width of every picture, pixels.
    pub(crate) width: usize,
    /// Words of the watermark; `None`: the language's own, and the panel has only a mark in a corner; empty: no watermark.
    pub(crate) watermark: Option<String>,
    /// Workers that draw pages at the same time, at least one; the pictures are the same whatever their number.
    pub(crate) hands: usize,
}

/// As many workers as there are processors, up to what memory bears.
pub(crate) fn all_hands() -> usize {
    std::thread::available_parallelism().map_or(1, usize::from).clamp(1, 8)
}

/// One PNG file, with its name.
pub(crate) type NamedPicture = (String, Vec<u8>);

/// All pictures of a variant. `None`: the report has at least one fault.
pub(crate) fn all(
    prepared: &Prepared,
    variant: &Variant,
    wanted: &PicturesOptions,
    book: &FontBook,
    report: &mut Report,
) -> Option<Vec<NamedPicture>> {
    let draft = prepared.write(variant);
    let booklet = lay_out(prepared, &draft, book, report)?;
    let worked_from = draft.worked_from();
    let Prepared { project, workings, words, .. } = prepared;
    let (mut said, grid) = manuscript::shop(project, workings, words, booklet.pages.len());
    if let Some(mark) = &wanted.watermark {
        said.watermark.clone_from(mark);
    }
    let has_no_letter = |c: &char| !c.is_whitespace() && book.faces().all(|(_, face)| !face.covers(*c));
    if let Some(c) = said.watermark.chars().find(|c| steers(*c)) {
        let message = format!(
            "the watermark has the character U+{:04X}, which controls how text is shown and cannot be printed",
            u32::from(c)
        );
        // What a project says is checked long before.
        report.push(Diagnostic::fault("control-character", message).typed().hint("type the watermark anew"));
        return None;
    }
    if let Some(c) = said.watermark.chars().find(has_no_letter) {
        let message = format!("the watermark has the character `{c}` (U+{:04X}), which no font has", u32::from(c));
        report.push(Diagnostic::fault("no-such-glyph", message).hint("write the watermark another way"));
        return None;
    }
    let bytes = printed(&booklet, variant.faces(book), pdf::Options::default(), report)?;
    let studio = Studio { book, wanted, bytes, coarse: coarse(&booklet, &worked_from), booklet };
    let drawn = || -> Result<Vec<NamedPicture>, Diagnostic> {
        let small = studio.small_pages()?;
        let corner = studio.corner()?;
        let titles: Vec<String> =
            studio.booklet.outline.iter().filter(|e| e.level == 1).map(|e| e.title.clone()).collect();
        let edition = &variant.edition;
        let mark = |width: usize, height: usize| -> Result<Option<SrgbPicture>, Diagnostic> {
            match said.watermark.trim() {
                "" => Ok(None),
                _ => studio.sheet(&sheets::watermark((width, height), &said, edition, book), width).map(Some),
            }
        };
        let mut files = Vec::new();
        for (name, sheet) in [
            ("panel.png", sheets::panel(&grid, &said, edition, book)),
            ("pages.png", sheets::pages(&small, &said, edition, book)),
            ("inside.png", sheets::inside(&titles, &small, corner.as_ref(), &said, edition, book)),
        ] {
            let mut picture = studio.sheet(&sheet, wanted.width)?;
            let size = (picture.width, picture.height);
            // Nobody buys what she cannot see: across the panel words are laid only where they are asked for.
            let mark = match wanted.watermark {
                None if name == "panel.png" => {
                    Some(studio.sheet(&sheets::corner_mark(size, &said, edition, book), size.0)?)
                }
                None | Some(_) => mark(size.0, size.1)?,
            };
            if let Some(mark) = mark {
                pixels::watermark(&mut picture, &mark);
            }
            files.push((name.to_owned(), picture::png(&picture)?));
        }
        files.extend(studio.pages(mark)?);
        Ok(files)
    };
    drawn().map_err(|fault| report.push(fault)).ok()
}

/// Whether [`all`] gives this name to one of its files.
pub(crate) fn is_name(name: &str) -> bool {
    let number = name.strip_prefix("page-").and_then(|rest| rest.strip_suffix(".png"));
    let numbered = number.is_some_and(|number| number.len() >= 2 && number.bytes().all(|b| b.is_ascii_digit()));
    numbered || ["panel.png", "pages.png", "inside.png"].contains(&name)
}

/// A picture beside the panel of a project that was drawn from it, as a PNG file. The variant lends its styles. `None`: the
/// report has at least one fault.
pub(crate) fn before_and_after(
    prepared: &Prepared,
    variant: &Variant,
    picture: &SrgbPicture,
    book: &FontBook,
    report: &mut Report,
) -> Option<Vec<u8>> {
    let (said, grid) = manuscript::shop(&prepared.project, &prepared.workings, &prepared.words, 0);
    let before = file(picture).map_err(|fault| report.push(fault)).ok()?;
    let sheet = sheets::before_and_after(&before, &grid, &said, &variant.edition, book);
    let bytes = printed(&sheet, book, PLAIN, report)?;
    preview::page(&bytes, 0, 1_800).and_then(|seen| picture::png(&seen)).map_err(|fault| report.push(fault)).ok()
}

/// An empty chart to draw on: as a PDF file to print and colour by hand, and as a picture for a drawing program.
#[derive(Clone, Debug)]
pub(crate) struct EmptyGrid {
    /// To print.
    pub(crate) pdf: Vec<u8>,
    /// To draw on.
    pub(crate) png: Vec<u8>,
}

/// Draws an empty chart. The variant lends its styles. `None`: the report has at least one fault.
pub(crate) fn empty_grid(
    grid: &BlankGrid<'_>,
    variant: &Variant,
    book: &FontBook,
    report: &mut Report,
) -> Option<EmptyGrid> {
    let pdf = printed(&blank_grid::sheets(grid, &variant.edition, book), book, PLAIN, report)?;
    let png = picture::png(&squared(grid)).map_err(|fault| report.push(fault)).ok()?;
    Some(EmptyGrid { pdf, png })
}

/// White rectangles of whole pixels, as near to the knots' proportions as these allow, with grey lines, heavier on tens.
fn squared(grid: &BlankGrid<'_>) -> SrgbPicture {
    const SIDE: usize = 4_000;
    let most = (SIDE / grid.columns.max(grid.rows)).clamp(8, 30);
    let off = |wide: usize| {
        let high = wide as f64 * grid.proportion;
        (high.round() / high - 1.0).abs()
    };
    let wide = (most.div_ceil(2).max(6)..=most).rev().min_by(|a, b| off(*a).total_cmp(&off(*b))).unwrap_or(most);
    let high = ((wide as f64 * grid.proportion).round() as usize).max(4);
    let (width, height) = (grid.columns * wide + 2, grid.rows * high + 2);
    let grey = |at: usize, side: usize| match (at / side, at % side) {
        (line, 0 | 1) if line.is_multiple_of(10) => 0x60,
        (_, 0) => 0xb0,
        _ => 0xff,
    };
    let pixel = |at: usize| {
        let last =
            |along: usize, side: usize, count: usize| if along >= count * side { 0x60 } else { grey(along, side) };
        let (x, y) = (at % width, at / width);
        [last(x, wide, grid.columns).min(last(y, high, grid.rows)); 3]
    };
    SrgbPicture { width, height, rgb: (0..width * height).flat_map(pixel).collect() }
}

/// Pictures for a screen need neither fields nor structure.
const PLAIN: pdf::Options = pdf::Options { ticks: false, tagged: false };

fn printed(booklet: &Booklet, book: &FontBook, options: pdf::Options, report: &mut Report) -> Option<Vec<u8>> {
    pdf::write(booklet, book, options)
        .map_err(|error| report.push(Diagnostic::fault("unprintable", error.to_string())))
        .ok()
}

/// One page as a picture `width` pixels wide, as it is printed: for a screen. Other pages are not drawn.
///
/// # Errors
/// A fault when the page cannot be drawn, or is none of the booklet's.
pub fn page(booklet: &Booklet, faces: &FontBook, number: usize, width: usize) -> Result<SrgbPicture, Diagnostic> {
    let missing = || Diagnostic::fault("broken-pdf", format!("there is no page {}", number + 1));
    let mut page = booklet.pages.get(number).ok_or_else(missing)?.clone();
    // Links lead to pages that are not there, and a picture has none.
    page.frames.iter_mut().for_each(|frame| frame.items.retain(|placed| !matches!(placed.item, Item::Link(_))));
    let (about, pages, pictures) = (booklet.about.clone(), vec![page], booklet.pictures.clone());
    // A file without tags says nothing of what its content is.
    let structure = Structure::default();
    let one = Booklet { about, pages, outline: Vec::new(), structure, pictures, licence_line: None };
    let bytes = pdf::write(&one, faces, PLAIN).map_err(|error| Diagnostic::fault("unprintable", error.to_string()))?;
    preview::page(&bytes, 0, width)
}

fn file(picture: &SrgbPicture) -> Result<PictureFile, Diagnostic> {
    let bytes = picture::png(picture)?;
    Ok(PictureFile { bytes: Arc::new(bytes), pixels: (picture.width as u32, picture.height as u32) })
}

/// Where pictures are drawn.
struct Studio<'a> {
    book: &'a FontBook,
    wanted: &'a PicturesOptions,
    booklet: Booklet,
    /// The finished file.
    bytes: Vec<u8>,
    /// For each page the most pixels it may be drawn wide; `None` where anybody may read it.
    coarse: Vec<Option<usize>>,
}

impl Studio<'_> {
    fn sheet(&self, sheet: &Booklet, width: usize) -> Result<SrgbPicture, Diagnostic> {
        let bytes =
            pdf::write(sheet, self.book, PLAIN).map_err(|error| Diagnostic::fault("unprintable", error.to_string()))?;
        preview::page(&bytes, 0, width)
    }

    /// A page as it may be shown.
    fn shown(&self, number: usize, drawn: SrgbPicture, width: usize) -> SrgbPicture {
        let coarse = self.coarse.get(number).copied().flatten().is_some_and(|most| most < width);
        if !coarse {
            return drawn;
        }
        let trim = self.booklet.pages[number].trim;
        let height = (width as f64 * (trim.height / trim.width)).round() as usize;
        drawn.enlarged(width, height.max(1))
    }

    fn width_of(&self, number: usize, width: usize) -> usize {
        self.coarse.get(number).copied().flatten().map_or(width, |most| most.min(width))
    }

    /// Up to a dozen pages, the first and others evenly on, too small to be used.
    fn small_pages(&self) -> Result<Vec<PictureFile>, Diagnostic> {
        let pages = self.booklet.pages.len();
        let shown = pages.min(sheets::MAX_PAGES);
        let chosen: Vec<usize> = (0..shown).map(|i| i * pages / shown).collect();
        let mut files = Vec::new();
        let width = |number: usize| chosen.contains(&number).then(|| self.width_of(number, SMALL_PAGE));
        let mut failed = None;
        preview::each(&self.bytes, width, |number, drawn| match file(&self.shown(number, drawn, SMALL_PAGE)) {
            Ok(file) => files.push(file),
            Err(fault) => failed = Some(fault),
        })?;
        failed.map_or(Ok(files), Err)
    }

    /// A small part of a chart sheet, as it is printed; `None` where there is no chart large enough.
    fn corner(&self) -> Result<Option<PictureFile>, Diagnostic> {
        let charts = self.booklet.pages.iter().enumerate().filter_map(|(number, page)| Some((number, chart_on(page)?)));
        let total: usize = charts.clone().map(|(_, cells)| cells.cells.len()).sum();
        let Some((number, cells)) = charts.max_by_key(|(number, cells)| (cells.cells.len(), usize::MAX - number))
        else {
            return Ok(None);
        };
        let rows = CORNER.1.min(cells.rows());
        // Never so much of a small chart that it could be worked from.
        let columns = CORNER.0.min(cells.columns).min(total / MIN_CORNERS / rows.max(1));
        if columns < 4 {
            return Ok(None);
        }
        let (row, column) = liveliest(cells, columns, rows);
        let across = self.booklet.pages[number].trim.width.to_pt();
        let drawn = preview::page(&self.bytes, number, (across * CORNER_SCALE) as usize)?;
        let scale = drawn.width as f64 / across;
        let pixel = |length: Length| (length.to_pt() * scale).round().max(0.0) as usize;
        let (w, h) = (cells.cell.width, cells.cell.height);
        let corner = drawn.part(
            pixel(cells.origin.x + w * column as f64),
            pixel(cells.origin.y + h * row as f64),
            pixel(w * columns as f64),
            pixel(h * rows as f64),
        );
        file(&corner).map(Some)
    }

    /// Every page, marked.
    fn pages(
        &self,
        mark: impl Fn(usize, usize) -> Result<Option<SrgbPicture>, Diagnostic>,
    ) -> Result<Vec<NamedPicture>, Diagnostic> {
        let wide = self.wanted.width;
        // Pages of one size share a watermark.
        let mut marks: Vec<((usize, usize), Option<SrgbPicture>)> = Vec::new();
        let mut size_of = Vec::new();
        for page in &self.booklet.pages {
            let high = ((wide as f64 * (page.trim.height / page.trim.width)) as usize).max(1);
            if !marks.iter().any(|(size, _)| *size == (wide, high)) {
                marks.push(((wide, high), mark(wide, high)?));
            }
            size_of.push((wide, high));
        }
        let one = |number: usize, drawn: SrgbPicture| {
            let mut shown = self.shown(number, drawn, wide);
            let mark = marks.iter().find(|(size, _)| *size == size_of[number]).and_then(|(_, mark)| mark.as_ref());
            if let Some(mark) = mark {
                pixels::watermark(&mut shown, mark);
            }
            picture::png(&shown)
        };
        let figures = self.booklet.pages.len().to_string().len().max(2);
        // Pages take turns between the workers; each is packed at once, so few lie open in memory.
        let hands = self.wanted.hands.max(1);
        let turns = |hand: usize| {
            let mut files = Vec::new();
            let width = |number: usize| (number % hands == hand).then(|| self.width_of(number, wide));
            preview::each(&self.bytes, width, |number, drawn| files.push((number, one(number, drawn))))?;
            Ok::<_, Diagnostic>(files)
        };
        let mut files = Vec::new();
        let gathered: Vec<_> = std::thread::scope(|scope| {
            let turns = &turns;
            let spawn =
                |hand| std::thread::Builder::new().spawn_scoped(scope, move || turns(hand)).map_err(cores::refused);
            let working: Vec<_> = (0..hands).map(spawn).collect();
            working.into_iter().map(|hand| hand.map(std::thread::ScopedJoinHandle::join)).collect()
        });
        for hand in gathered {
            let hand = hand?.map_err(|_| Diagnostic::failure("cannot-draw", "a page could not be drawn"))?;
            for (number, png) in hand? {
                files.push((number, png?));
            }
        }
        files.sort_by_key(|(number, _)| *number);
        Ok(files.into_iter().map(|(n, png)| (format!("page-{:0figures$}.png", n + 1), png)).collect())
    }
}

/// The chart on a page, not a sample in its key.
fn chart_on(page: &crate::page::Page) -> Option<&Cells> {
    let items = page.frames.iter().flat_map(|frame| &frame.items);
    let cells = items.filter_map(|placed| match &placed.item {
        Item::Cells(cells) if cells.cells.len() > 1 => Some(cells),
        _ => None,
    });
    cells.max_by_key(|cells| cells.cells.len())
}

/// Where a window of so many columns and rows shows the most changes of yarn: its first row and column.
fn liveliest(cells: &Cells, columns: usize, rows: usize) -> (usize, usize) {
    let at = |row: usize, column: usize| cells.cells[row * cells.columns + column];
    let changes = |row: usize, column: usize| {
        let inside = (row..row + rows).flat_map(|r| (column + 1..column + columns).map(move |c| (r, c)));
        inside.filter(|&(r, c)| at(r, c) != at(r, c - 1)).count()
    };
    let places = (0..=cells.rows() - rows).flat_map(|r| (0..=cells.columns - columns).map(move |c| (r, c)));
    let best = places.max_by_key(|&(r, c)| (changes(r, c), usize::MAX - r, usize::MAX - c));
    best.unwrap_or((0, 0))
}

/// For each page the most pixels it may be drawn wide. `worked_from` are titles of sections.
fn coarse(booklet: &Booklet, worked_from: &[String]) -> Vec<Option<usize>> {
    let sections: Vec<_> = booklet.outline.iter().filter(|entry| entry.level == 1).collect();
    let mut hidden = vec![false; booklet.pages.len()];
    for (at, entry) in sections.iter().enumerate().filter(|(_, entry)| worked_from.contains(&entry.title)) {
        // Up to where the next section begins; its page too where rows may stand above its title.
        let end = sections.get(at + 1).map_or(booklet.pages.len(), |next| {
            let high = booklet.pages.get(next.page).map_or(Length::ZERO, |page| page.trim.height);
            if next.y.fits(high * 0.2) { next.page } else { next.page + 1 }
        });
        hidden[entry.page..end.clamp(entry.page, booklet.pages.len())].fill(true);
    }
    booklet
        .pages
        .iter()
        .zip(hidden)
        .map(|(page, hidden)| {
            let width = page.trim.width.to_pt();
            let least = match chart_on(page) {
                Some(cells) => width * COARSE_CELL / cells.cell.width.to_pt().max(0.1),
                None if hidden => width * COARSE_POINT,
                None => return None,
            };
            Some((least as usize).max(16))
        })
        .collect()
}

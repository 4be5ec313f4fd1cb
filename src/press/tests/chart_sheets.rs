//! What chart sheets say and show, on pages of a panel that is on no disk.

use super::*;
use crate::page::{Node, NodeId, Role, Tick};

/// The pages of the starter with another chart.
fn booklet(chart: &str, edition: EditionName, paper: PaperName) -> Booklet {
    of_project(&starter(), chart, edition, paper)
}

fn of_project(project: &str, chart: &str, edition: EditionName, paper: PaperName) -> Booklet {
    let (folder, mut sources) = laid_over(project, chart);
    let mut report = Report::new();
    let wishes = Wishes { edition: Some(edition), paper: Some(paper), ..Wishes::default() };
    let (prepared, variant) = open_variant(&folder, &wishes, &mut sources, &mut report).expect("it opens");
    lay_out(&prepared, &prepared.write(&variant), &FontBook::shipped(), &mut report).expect("pages")
}

/// All nodes in reading order, each with its parent's role.
fn nodes(booklet: &Booklet) -> Vec<(&Node, Role)> {
    let mut out = Vec::new();
    let mut open = vec![NodeId(0)];
    while let Some(id) = open.pop() {
        let node = booklet.structure.get(id);
        let parent = node.parent.map_or(Role::Document, |parent| booklet.structure.get(parent).role);
        out.push((node, parent));
        open.extend(node.children.iter().rev());
    }
    out
}

/// The words instead of each sheet, in order.
fn alts(booklet: &Booklet) -> Vec<String> {
    let figures = nodes(booklet).into_iter().filter(|(node, _)| node.role == Role::Figure);
    let figures = figures.filter_map(|(node, _)| node.alt.clone());
    figures.filter(|alt| alt.starts_with("Chart of ")).collect()
}

/// Cells of each sheet: first the columns, then how many have a knot.
fn grids(booklet: &Booklet) -> Vec<(usize, usize, usize)> {
    let items = booklet.pages.iter().flat_map(|page| &page.frames).flat_map(|frame| &frame.items);
    let cells = items.filter_map(|placed| match &placed.item {
        Item::Cells(cells) if cells.cells.len() > 1 => Some(cells),
        _ => None,
    });
    cells.map(|it| (it.columns, it.cells.len() / it.columns, it.cells.iter().flatten().count())).collect()
}

fn ticks(booklet: &Booklet) -> Vec<&Tick> {
    let items = booklet.pages.iter().flat_map(|page| &page.frames).flat_map(|frame| &frame.items);
    items.filter_map(|placed| if let Item::Tick(tick) = &placed.item { Some(tick) } else { None }).collect()
}

/// So many columns and rows of two yarns in turn, four knots of each.
fn striped(columns: usize, rows: usize) -> String {
    let cell = |row: usize, column: usize| if ((row + column) / 4).is_multiple_of(2) { 'C' } else { 'R' };
    let line = |row: usize| (0..columns).map(|column| cell(row, column)).chain(['\n']).collect::<String>();
    (0..rows).map(|row| if row == 0 { format!("N{}", &line(0)[1..]) } else { line(row) }).collect()
}

/// Spans that are heard as the symbol of a yarn in the key.
fn symbols_said(booklet: &Booklet) -> usize {
    let is_said = |(node, parent): &(&Node, Role)| {
        let is_symbol = node.actual.as_deref().is_some_and(|words| words.ends_with(": "));
        *parent == Role::ListBody && node.role == Role::Span && is_symbol
    };
    nodes(booklet).into_iter().filter(is_said).count()
}

#[test]
fn of_many_sheets_the_first_describes_the_picture_and_says_the_key() {
    let many = booklet(&striped(70, 40), EditionName::Chart, PaperName::SmallScreen);
    let said = alts(&many);
    assert!(said.len() > 4, "{}", said.len());
    assert_eq!((grids(&many).len(), symbols_said(&many)), (said.len(), 3));
    assert!(said[0].contains("A boat under full sail") && said[0].contains("columns 1 to "));
    assert!(said[1..].iter().all(|alt| !alt.contains("A boat under full sail")));
    // A sheet to the right says no row: its words stand at the first of its rank.
    let rank = said.iter().filter(|alt| alt.contains("shows columns 1 to ")).count();
    let silent = |alt: &&String| alt.contains("are spoken at the boxes of sheet ");
    assert_eq!(said.iter().filter(silent).count(), said.len() - rank);
    for (at, alt) in said.iter().enumerate() {
        let first = (0..=at).rev().find(|at| said[*at].contains("shows columns 1 to ")).expect("the first of its rank");
        assert_eq!(alt.contains(&format!("at the boxes of sheet {};", first + 1)), first != at, "{alt}");
    }
    // Up to four sheets each say it.
    let few = booklet(&striped(40, 18), EditionName::Chart, PaperName::SmallScreen);
    let sheets = alts(&few).len();
    assert!((2..=4).contains(&sheets), "{sheets}");
    assert_eq!(symbols_said(&few), 3 * sheets);
}

#[test]
fn where_rows_stand_in_words_their_boxes_have_only_their_names() {
    let of = |edition| booklet(&striped(12, 6), edition, PaperName::A4);
    let (chart, whole) = (of(EditionName::Chart), of(EditionName::Booklet));
    let words = |booklet: &Booklet| ticks(booklet).iter().map(|tick| tick.label.to_string()).collect::<Vec<_>>();
    let on_sheets =
        |booklet: &Booklet| words(booklet).into_iter().filter(|it| it.starts_with("Row 3")).collect::<Vec<_>>();
    assert!(on_sheets(&chart)[0].contains("cream"), "{:?}", on_sheets(&chart));
    assert!(on_sheets(&whole).iter().all(|label| label == "Row 3, left to right"), "{:?}", on_sheets(&whole));
    let headings = |booklet: &Booklet| {
        let is_heading = |(node, _): &(&Node, Role)| node.role == Role::Heading(4) && node.actual.is_some();
        nodes(booklet).into_iter().filter(is_heading).count()
    };
    assert_eq!((headings(&chart), headings(&whole)), (1, 0));
    assert!(alts(&chart)[0].ends_with("with the box to tick that belongs to it."));
    assert!(alts(&whole)[0].ends_with("in the section The rows in words."));
    // The chart's range of rows leads to the words.
    let leads = |booklet: &Booklet| {
        let items = booklet.pages.iter().flat_map(|page| &page.frames).flat_map(|frame| &frame.items);
        let links = items.filter_map(|placed| if let Item::Link(link) = &placed.item { Some(link) } else { None });
        links.filter(|link| link.label.starts_with("The rows in words begin")).count()
    };
    assert_eq!((leads(&chart), leads(&whole)), (0, 1));
}

#[test]
fn a_sheet_without_a_knot_is_not_printed_but_one_of_each_rank_stays() {
    let full = striped(70, 40);
    let all = grids(&booklet(&full, EditionName::Chart, PaperName::SmallScreen));
    // Bare from column 4 on in the upper half; bare all over in the lowest quarter.
    let bare = |(row, line): (usize, &str)| match row {
        0..20 => format!("{}{}\n", &line[..4], ".".repeat(66)),
        20..30 => format!("{line}\n"),
        _ => ".".repeat(70) + "\n",
    };
    let stepped: String = full.lines().enumerate().map(bare).collect();
    let kept = grids(&booklet(&stepped, EditionName::Chart, PaperName::SmallScreen));
    let blank = kept.iter().filter(|(_, _, knots)| *knots == 0).count();
    assert!(kept.len() < all.len() && blank > 0, "{kept:?} of {all:?}");
    // Every row has its box somewhere.
    let pages = booklet(&stepped, EditionName::Chart, PaperName::SmallScreen);
    let fields: std::collections::BTreeSet<&str> = ticks(&pages).iter().map(|tick| tick.field.as_str()).collect();
    assert!((1..=40).all(|row| fields.contains(format!("row-{row}").as_str())), "{fields:?}");
    assert!(
        alts(&pages).iter().all(|alt| alt.starts_with("Chart of 70\u{a0}columns and 40\u{a0}rows")),
        "{:?}",
        alts(&pages)
    );
}

//! The amounts as one sheet of rows, for spreadsheets.

use super::mirror::{Amounts, Pieces, PurchaseMirror};

/// Heads of the columns, units in their names. They keep their order; new ones go to the end.
pub(crate) const HEADS: [&str; 10] =
    ["item", "key", "name", "count", "each_mm", "buy_m", "buy_yd", "packs", "mass_g", "price"];

/// One row under [`HEADS`]; empty where a column does not apply.
type CsvRow = [String; 10];

/// All rows: yarns, cord, what finishing needs, then the class.
pub(crate) fn lines(amounts: &Amounts) -> Vec<CsvRow> {
    let mut out = Vec::new();
    let length = amounts.working_length_mm;
    for yarn in &amounts.yarns {
        let key = yarn.key.to_string();
        out.push(of_yarn("yarn", &key, yarn.name, &yarn.buy, length));
        if let Some(header) = &yarn.header {
            out.push(of_yarn("header-yarn", &key, yarn.name, header, length));
        }
    }
    let cord = &amounts.cord;
    let folded = cord.folded.as_ref().filter(|_| cord.folded_by_columns.is_empty());
    out.extend(folded.map(|pieces| of_pieces("folded-cord", pieces)));
    for of in &cord.folded_by_columns {
        let mut line = of_pieces("folded-cord", &of.pieces);
        let range = |[from, to]: &[usize; 2]| format!("{from}-{to}");
        line[2] = format!("columns {}", of.columns.iter().map(range).collect::<Vec<_>>().join(" "));
        out.push(line);
    }
    for (item, pieces) in [("single-cord", &cord.single), ("mounting-strand", &cord.strand)] {
        out.extend(pieces.as_ref().map(|pieces| of_pieces(item, pieces)));
    }
    out.push(of_pieces("hanging-cord", &cord.hanger));
    out.push(of_cord("cord", cord.buy_mm, cord.spools, cord.mass_g, cord.price));
    let hanging = &amounts.hanging;
    out.push(one("wood", hanging.wood_mm));
    out.extend(hanging.ribbon_mm.map(|mm| one("ribbon", mm)));
    if let Some(class) = &amounts.class {
        for yarn in &class.yarns {
            let key = yarn.key.to_string();
            out.push(of_yarn("bag-yarn", &key, yarn.name, &yarn.bag, length));
            out.push(of_yarn("class-yarn", &key, yarn.name, &yarn.class, length));
        }
        out.push(of_cord("class-cord", class.cord_mm, class.cord_spools, class.cord_g, class.cord_price));
        let mut woods = one("class-wood", hanging.wood_mm);
        woods[3] = class.woods.to_string();
        out.push(woods);
    }
    out
}

fn figure(value: f64) -> String {
    format!("{value:.2}").trim_end_matches('0').trim_end_matches('.').to_string()
}

fn maybe(value: Option<impl ToString>) -> String {
    value.map(|value| value.to_string()).unwrap_or_default()
}

/// `count` lengths of `each_mm`; what is bought holds the margin on top.
fn of_yarn(item: &str, key: &str, name: &str, bought: &PurchaseMirror, length_mm: f64) -> CsvRow {
    [
        item.to_string(),
        key.to_string(),
        name.to_string(),
        bought.lengths.to_string(),
        figure(length_mm),
        bought.buy_m.to_string(),
        bought.buy_yd.to_string(),
        maybe(bought.balls),
        maybe(bought.mass_g.map(figure)),
        maybe(bought.price.map(|price| format!("{price:.2}"))),
    ]
}

fn of_pieces(item: &str, pieces: &Pieces) -> CsvRow {
    let mut line = one(item, pieces.cut_mm);
    line[3] = pieces.count.to_string();
    line
}

fn one(item: &str, mm: f64) -> CsvRow {
    let mut line = CsvRow::default();
    line[0] = item.to_string();
    line[3] = "1".to_string();
    line[4] = figure(mm);
    line
}

fn of_cord(item: &str, mm: f64, spools: Option<usize>, mass_g: f64, price: Option<f64>) -> CsvRow {
    // Up to the next whole metre or yard; a millionth is forgiven, as in the workings.
    let up = |value: f64| figure((value - 1e-6).ceil());
    let mut line = CsvRow::default();
    line[0] = item.to_string();
    line[5] = up(mm / 1000.0);
    line[6] = up(mm / 914.4);
    line[7] = maybe(spools);
    line[8] = figure(mass_g);
    line[9] = maybe(price.map(|price| format!("{price:.2}")));
    line
}

/// Comma-separated values (RFC 4180), heads first. A text that a spreadsheet would take for a formula is led by an
/// apostrophe: yarn names come from whoever wrote the project.
pub(crate) fn csv(amounts: &Amounts) -> String {
    // Line ends as in RFC 4180.
    let mut out = csv::WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(Vec::new());
    // Memory takes all that is written, and every line has as many cells as the first.
    let _written = out.write_record(HEADS);
    for line in lines(amounts) {
        let _written = out.write_record(line.iter().map(|cell| harmless(cell)));
    }
    String::from_utf8(out.into_inner().unwrap_or_default()).unwrap_or_default()
}

/// A cell that no spreadsheet takes for a formula: those begin with one of these signs, and a negative number does not.
fn harmless(cell: &str) -> String {
    let formula =
        cell.starts_with(['=', '+', '@', '\t', '\r']) || cell.starts_with('-') && cell.parse::<f64>().is_err();
    if formula { format!("'{cell}") } else { cell.to_owned() }
}

//! The amounts as one sheet of rows, for spreadsheets, for pasting into a listing, and for reading on a screen.

use super::mirror::{Amounts, Pieces, PurchaseMirror};

/// Heads of the columns, units in their names. They keep their order; new ones go to the end.
pub const HEADS: [&str; 10] =
    ["item", "key", "name", "count", "each_mm", "buy_m", "buy_yd", "packs", "mass_g", "price"];

/// One row under [`HEADS`]; empty where a column does not apply.
type CsvRow = [String; 10];

/// All rows: yarns, cord, what finishing needs, then the class.
pub fn lines(amounts: &Amounts) -> Vec<CsvRow> {
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
    let pieces = [("folded-cord", &cord.folded), ("single-cord", &cord.single), ("mounting-strand", &cord.strand)];
    for (item, pieces) in pieces {
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
pub fn csv(amounts: &Amounts) -> String {
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

/// For reading on a screen.
pub fn text(amounts: &Amounts) -> String {
    let panel = &amounts.panel;
    let mut out = format!("{} {}, {}\n\n", amounts.title, amounts.version, amounts.date);
    let mut say = |line: String| {
        out.push_str(line.trim_end());
        out.push('\n');
    };
    say(format!("Panel    {} columns x {} rows, {} header rows", panel.columns, panel.rows, panel.header_rows));
    say(format!("         {} x {} mm, {} g", figure(panel.width_mm), figure(panel.height_mm), figure(panel.mass_g)));
    say(format!(
        "         {} knots, {} of them in the header",
        panel.chart_knots + panel.header_knots,
        panel.header_knots
    ));
    if let Some(time) = &amounts.time {
        let hours = |minutes: f64| figure((minutes / 6.0).round() / 10.0);
        say(format!("         {} to {} hours at the pace given", hours(time.least_minutes), hours(time.most_minutes)));
    }
    say(String::new());
    let widest = amounts.yarns.iter().map(|yarn| yarn.name.chars().count()).max().unwrap_or(0).max(4);
    say(format!("{:<widest$}  {:>8}  {:>8}  {:>8}  {:>8}", "Yarn", "to buy", "balls", "lengths", "ends"));
    for yarn in &amounts.yarns {
        // The width counts characters, so that names with accents line up.
        let pad = " ".repeat(widest - yarn.name.chars().count());
        say(format!(
            "{}{pad}  {:>6} m  {:>8}  {:>8}  {:>8}",
            yarn.name,
            yarn.buy.buy_m,
            maybe(yarn.buy.balls),
            yarn.buy.lengths,
            yarn.ends
        ));
    }
    say(String::new());
    for colourway in &amounts.colourways {
        let pairs = colourway.yarns.iter().zip(&amounts.yarns);
        let named: Vec<String> = pairs.map(|(own, yarn)| format!("{} {}", yarn.name, own.name)).collect();
        say(format!("{}: {}", colourway.name, named.join(", ")));
    }
    if !amounts.colourways.is_empty() {
        say(String::new());
    }
    let cord = &amounts.cord;
    let pieces = [
        ("Folded cords", cord.folded.as_ref()),
        ("Single cord", cord.single.as_ref()),
        ("Mounting strand", cord.strand.as_ref()),
        ("Hanging cord", Some(&cord.hanger)),
    ];
    for (name, pieces) in pieces {
        if let Some(pieces) = pieces {
            say(format!(
                "{name:<16} {:>4} x {} mm ({} in)",
                pieces.count,
                figure(pieces.cut_mm),
                figure(pieces.cut_in)
            ));
        }
    }
    let spools = cord.spools.map(|spools| format!(", spools: {spools}")).unwrap_or_default();
    say(format!(
        "{:<16} {} m, {} g{spools}",
        "Cord in all",
        figure((cord.buy_mm / 1000.0 - 1e-6).ceil()),
        figure(cord.mass_g)
    ));
    if let Some(class) = &amounts.class {
        say(String::new());
        say(format!("Class of {}: {} bags, {} of them spare", class.students, class.bags, class.spares));
        say(format!("{:<widest$}  {:>8}  {:>8}  {:>6}", "Yarn", "a bag", "in all", "balls"));
        for yarn in &class.yarns {
            let pad = " ".repeat(widest.saturating_sub(yarn.name.chars().count()));
            let balls = maybe(yarn.class.balls);
            say(format!("{}{pad}  {:>6} m  {:>6} m  {balls:>6}", yarn.name, yarn.bag.buy_m, yarn.class.buy_m));
        }
        let price = class.price.zip(amounts.currency).map(|(price, code)| format!("{price:.2} {code}"));
        if let Some(price) = price {
            say(format!("Yarn and cord cost {price}"));
        }
    }
    out
}

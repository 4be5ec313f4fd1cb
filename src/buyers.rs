//! A list of buyers as a shop or a spreadsheet saves it: CSV (RFC 4180) with a line of headings.

use crate::diag::{Diagnostic, Report, SourceId, Span};
use crate::source::steers;
use csv::{Position, ReaderBuilder, StringRecord, Trim};

/// One buyer.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Buyer {
    /// Whose copy it is.
    pub name: String,
    /// The order's number or name, if the list has one.
    pub order: Option<String>,
    /// The line of the list; `None`: the buyer stands in none.
    pub(crate) place: Option<Span>,
}

impl Buyer {
    /// A buyer by herself.
    ///
    /// # Errors
    /// A fault where name or order cannot stand in a line of type.
    pub(crate) fn new(name: &str, order: Option<&str>) -> Result<Buyer, Diagnostic> {
        let (name, order) = (name.trim(), order.map(str::trim).filter(|order| !order.is_empty()));
        match unusable(name, order) {
            Some((what, hint)) => Err(Diagnostic::fault("broken-line", what).hint(hint)),
            None => Ok(Buyer { name: name.to_owned(), order: order.map(str::to_owned), place: None }),
        }
    }
}

/// Longest name or order in characters; a line of type holds far less.
const MAX_NAME_LENGTH: usize = 300;
/// What parts the columns: by the standard a comma, in spreadsheets of half of Europe a semicolon, and tabs.
const BETWEEN: [u8; 3] = [b',', b';', b'\t'];

/// Reads a list. A line that cannot be used is a fault at its place, and the others are read all the same.
pub fn read(text: &str, source: SourceId, report: &mut Report) -> Vec<Buyer> {
    let mark = if text.starts_with('\u{feff}') { '\u{feff}'.len_utf8() } else { 0 };
    let body = &text[mark..];
    let first = body.lines().next().unwrap_or_default();
    let count = |between: u8| first.bytes().filter(|b| *b == between).count();
    // Of equals the first, which is the standard's own.
    let between = BETWEEN.into_iter().rev().max_by_key(|b| count(*b)).unwrap_or(b',');
    let mut reader = ReaderBuilder::new()
        .delimiter(between)
        .has_headers(false)
        .flexible(true)
        .trim(Trim::All)
        .from_reader(body.as_bytes());
    let span = |record: &StringRecord| {
        let start = mark + record.position().map_or(0, Position::byte) as usize;
        let start = start.min(text.len());
        let length = text[start..].lines().next().map_or(0, |line| line.trim_end().len());
        Span::new(source, start, start + length)
    };
    let mut records = reader.records();
    let Some(Ok(headings)) = records.next() else {
        report.push(
            Diagnostic::fault("empty-list", "the list of buyers is empty")
                .at(Span::file(source))
                .hint("write a line of headings, `name,order`, and a line for each buyer below it"),
        );
        return Vec::new();
    };
    let column = |wanted: &str| headings.iter().position(|heading| heading.eq_ignore_ascii_case(wanted));
    let Some(name_at) = column("name") else {
        report.push(
            Diagnostic::fault("no-name-column", "no column of the list is headed `name`")
                .at(span(&headings))
                .hint("write `name` above the buyers' names, and `order` above the orders if there are any"),
        );
        return Vec::new();
    };
    let (order_at, before) = (column("order"), report.len());
    let mut buyers = Vec::new();
    for record in records {
        let record = match record {
            Ok(record) => record,
            Err(error) => {
                let start = error.position().map_or(0, Position::byte) as usize + mark;
                let at = Span::new(source, start.min(text.len()), start.min(text.len()));
                report.push(
                    Diagnostic::fault("broken-line", "this line cannot be read")
                        .at(at)
                        .hint("look for a quotation mark that is not closed"),
                );
                continue;
            }
        };
        if record.iter().all(str::is_empty) {
            continue;
        }
        let place = span(&record);
        let name = record.get(name_at).unwrap_or_default();
        let order = order_at.and_then(|at| record.get(at)).filter(|order| !order.is_empty());
        match Buyer::new(name, order) {
            Ok(buyer) => buyers.push(Buyer { place: Some(place), ..buyer }),
            Err(fault) => report.push(fault.at(place)),
        }
    }
    if buyers.is_empty() && report.len() == before {
        let fault = Diagnostic::fault("empty-list", "the list names no buyer").at(Span::file(source));
        report.push(fault.hint("write a line for each buyer below the line of headings"));
    }
    buyers
}

/// Why a name and an order cannot be printed, and what to do.
fn unusable(name: &str, order: Option<&str>) -> Option<(String, &'static str)> {
    let both = || [Some(name), order].into_iter().flatten();
    let steering = || both().flat_map(str::chars).find(|c| *c == '\t' || steers(*c));
    if name.is_empty() {
        Some(("nobody is named".to_owned(), "write the buyer's name, or take the line out"))
    } else if both().any(|text| text.contains(['\n', '\r'])) {
        Some(("a name or an order runs over a line".to_owned(), "look for a quotation mark that is not closed"))
    } else if let Some(c) = steering() {
        let code = u32::from(c);
        let what = format!("a name or an order holds the character U+{code:04X}, which controls how text is shown");
        Some((what, "take it out: it came along when the name was copied or saved"))
    } else if let Some(c) = both().flat_map(str::chars).find(|c| is_unseen(*c)) {
        let what = format!("a name or an order holds the character U+{:04X}, which nobody sees", u32::from(c));
        Some((what, "take it out: it came along when the name was copied or saved"))
    } else if both().any(|text| text.chars().count() > MAX_NAME_LENGTH) {
        Some(("this name or order is far too long".to_owned(), "look for a quotation mark that is not closed"))
    } else {
        None
    }
}

/// Whether a character has no shape and joins no letters of any script: hyphens and spaces of no width, marks of an encoding,
/// tags (Unicode, general category Cf, without those that `steers` names and the two joiners).
fn is_unseen(c: char) -> bool {
    matches!(c, '\u{ad}' | '\u{180e}' | '\u{200b}' | '\u{2060}'..='\u{2064}' | '\u{206a}'..='\u{206f}' | '\u{feff}')
        || matches!(c, '\u{fff9}'..='\u{fffb}' | '\u{e0000}'..='\u{e007f}')
}

#[cfg(test)]
mod tests {
    use super::*;

    fn told(text: &str) -> (Vec<(String, Option<String>)>, Vec<&'static str>) {
        let mut report = Report::new();
        let buyers = read(text, SourceId(0), &mut report);
        let pairs = buyers.into_iter().map(|buyer| (buyer.name, buyer.order)).collect();
        (pairs, report.iter().map(|d| d.id).collect())
    }

    fn pair(name: &str, order: &str) -> (String, Option<String>) {
        (name.to_owned(), (!order.is_empty()).then(|| order.to_owned()))
    }

    #[test]
    fn lists_of_shops_and_spreadsheets_are_read() {
        // RFC 4180: quotation marks hold commas and doubled quotation marks.
        let list = "Order,Email,Name\r\n17,a@example.org,\"Fernley, Ada\"\r\n18,,\"Jo \"\"Hitch\"\" Marrow\"\r\n";
        assert_eq!(told(list), (vec![pair("Fernley, Ada", "17"), pair("Jo \"Hitch\" Marrow", "18")], vec![]));
        assert_eq!(told("\u{feff}name;order\nÄnne Öhlers;4\n\nKai;\n").0, [pair("Änne Öhlers", "4"), pair("Kai", "")]);
        assert_eq!(told("name\nOne Buyer\n").0, [pair("One Buyer", "")]);
    }

    #[test]
    fn a_broken_line_stops_no_other() {
        let (buyers, faults) = told("name,order\n,5\nGood One,6\n\"runs\nover\",7\nGood Two\n");
        assert_eq!(buyers, [pair("Good One", "6"), pair("Good Two", "")]);
        assert_eq!(faults, ["broken-line", "broken-line"]);
    }

    #[test]
    fn a_list_without_names_is_told_so() {
        assert_eq!(told("").1, ["empty-list"]);
        assert_eq!(told("name,order\n\n").1, ["empty-list"]);
        assert_eq!(told("buyer,order\nA,1\n").1, ["no-name-column"]);
    }
}

//! What a buyer learns from the words of her booklet before she begins, and the sentences she follows.

use super::ink;
use super::place::{Opened, Section};
use super::sentence::{Told, is_row, understood};

/// A length in both systems as printed: millimetres by the metric figure, by the other one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Printed {
    /// By the figure in mm, cm or m.
    pub metric: f64,
    /// By the figure in inches, feet or yards.
    pub imperial: f64,
}

impl Printed {
    /// By one system.
    pub fn by(self, metric: bool) -> f64 {
        if metric { self.metric } else { self.imperial }
    }
}

/// So much yarn of one colour to buy.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ToBuy {
    /// Length.
    pub length: Printed,
    /// Balls.
    pub balls: Option<usize>,
}

/// What the lists say of one yarn.
#[derive(Clone, Debug)]
pub struct ListedYarn {
    /// Its name.
    pub name: String,
    /// Carrying as planned.
    pub planned: ToBuy,
    /// Cutting instead of carrying.
    pub cutting: ToBuy,
    /// Knots in the panel.
    pub knots: usize,
    /// Lengths to expect, carrying and cutting.
    pub lengths: [usize; 2],
    /// Ends to tie off, carrying and cutting.
    pub ends: [usize; 2],
    /// Knots from one length.
    pub knots_in_length: usize,
    /// What a ball of it holds, where that is said.
    pub ball: Option<Printed>,
}

/// One column of the page for her own gauge.
#[derive(Clone, Debug)]
pub struct GaugeColumn {
    /// What twenty knots use, each yarn.
    pub twenty_knots: Vec<Printed>,
    /// To buy, carrying as planned, each yarn.
    pub planned: Vec<ToBuy>,
    /// To buy, cutting instead of carrying, each yarn.
    pub cutting: Vec<ToBuy>,
}

/// All of it.
#[derive(Clone, Debug)]
pub struct Read {
    /// Yarns in the order of the lists.
    pub yarns: Vec<ListedYarn>,
    /// One working length.
    pub length: Printed,
    /// A tail.
    pub tail: Printed,
    /// Pieces longer than this are kept.
    pub keep: Printed,
    /// Columns of the own-gauge page, from tight to loose.
    pub gauge: Vec<GaugeColumn>,
    /// Cords to cut, each kind: its letter, how many, how long.
    pub cords: Vec<(char, usize, Printed)>,
    /// Cord to buy.
    pub cord: Printed,
    /// Rows in the order they are worked.
    pub rows: Vec<Told>,
}

impl Read {
    /// Cords that hang down: two of each folded one.
    pub fn hanging(&self) -> usize {
        let of = |letter| self.cords.iter().filter(|cord| cord.0 == letter).map(|cord| cord.1).sum::<usize>();
        2 * of('A') + of('B')
    }
}

/// Reads a finished file.
pub fn read(bytes: &[u8]) -> Read {
    let opened = Opened::new(ink::pages(bytes));
    let (materials, cutting_list) = (opened.section("Materials"), opened.section("Cutting list"));
    let (your_yarn, own_gauge) = (opened.section("Your yarn"), opened.section("Your own gauge"));

    let bought = materials.table("What to buy of each yarn");
    let names: Vec<String> = bought.iter().map(|row| row[0].clone()).collect();
    let expected = same_yarns(&names, your_yarn.table("What to expect, carrying as planned"));
    let if_cut = same_yarns(&names, your_yarn.table("What to expect, cutting instead of carrying"));
    let yarns = (0..names.len())
        .map(|at| {
            let (planned, cutting) = (to_buy(&bought[at][1]), to_buy(&bought[at][2]));
            ListedYarn {
                name: names[at].clone(),
                planned,
                cutting,
                knots: count(&expected[at][1]),
                lengths: [count(&expected[at][3]), count(&if_cut[at][1])],
                ends: [count(&expected[at][5]), count(&if_cut[at][2])],
                knots_in_length: count(&expected[at][2]),
                ball: ball(&materials, &names[at]),
            }
        })
        .collect();

    let how = cutting_list.paragraph(&|line| line.starts_with("Cut yarn one length at a time"), 6);
    let cords = cutting_list.table("What to cut before you start");
    let sentences = opened.section("The rows in words").paragraphs(&is_row);
    Read {
        yarns,
        length: measure_after(&how, "when you need it: "),
        tail: measure_after(&how, "Leave "),
        keep: measure_after(&how, "Keep pieces longer than "),
        gauge: gauge(&own_gauge, &names),
        cords: cords.iter().filter_map(|row| cord(row)).collect(),
        cord: measure_after(&materials.paragraph(&|line| line.contains("cord, ") && line.contains(" thick"), 3), ": "),
        rows: sentences.iter().map(|row| understood(row, &names).unwrap_or_else(|e| panic!("{e}"))).collect(),
    }
}

/// A line of the cutting list, if it is one of cord: A folded, B single, C the strand. Its letter on paper is its place in
/// the list.
fn cord(row: &[String]) -> Option<(char, usize, Printed)> {
    let letter = match row[0].split_once(": ")?.1 {
        "cords, folded in half" => 'A',
        "single cord" => 'B',
        "mounting strand" => 'C',
        _ => return None,
    };
    Some((letter, count(&row[1]), measure(&row[2])))
}

fn same_yarns(names: &[String], table: Vec<Vec<String>>) -> Vec<Vec<String>> {
    let found: Vec<&String> = table.iter().map(|row| &row[0]).collect();
    assert_eq!(found, names.iter().collect::<Vec<_>>(), "a table lists other yarns");
    table
}

fn gauge(page: &Section, names: &[String]) -> Vec<GaugeColumn> {
    let twenty = page.table("20 knots use");
    let planned = same_yarns(names, page.table("To buy, carrying as planned"));
    let cutting = same_yarns(names, page.table("To buy, cutting instead of carrying"));
    // One line for all yarns, or one for each group that takes the same.
    let line_of = |name: &String| {
        let named = |row: &&Vec<String>| row[0].split(", ").flat_map(|part| part.split(" and ")).any(|n| n == name);
        twenty.iter().find(named).or(twenty.first().filter(|row| row[0] == "all yarns")).expect("a line for each yarn")
    };
    (1..planned[0].len())
        .map(|column| GaugeColumn {
            twenty_knots: names.iter().map(|name| measure(&line_of(name)[column])).collect(),
            planned: planned.iter().map(|row| to_buy(&row[column])).collect(),
            cutting: cutting.iter().map(|row| to_buy(&row[column])).collect(),
        })
        .collect()
}

/// "balls of 100 m (109 yd)" in the lines about yarns, where it stands: "... balls of 100 m (109 yd): oat (shade 104) and
/// ink (shade 490).", or "ink: ... balls of 100 m (109 yd).".
fn ball(materials: &Section, name: &str) -> Option<Printed> {
    let said = materials.whole();
    let about =
        said.split("balls of ").skip(1).find(|after| after.split(". ").next().is_some_and(|s| s.contains(name)));
    about.map(measure)
}

/// "107 m (117 yd), 54 g (1.9 oz), 2 balls".
fn to_buy(words: &str) -> ToBuy {
    let balls = words.split(", ").find_map(|part| {
        let number = part.strip_suffix(" balls").or(part.strip_suffix(" ball"))?;
        Some(count(number))
    });
    ToBuy { length: measure(words), balls }
}

fn count(words: &str) -> usize {
    words.replace(',', "").parse().unwrap_or_else(|_| panic!("`{words}` is not a number"))
}

fn measure_after(words: &str, opening: &str) -> Printed {
    let at = words.find(opening).unwrap_or_else(|| panic!("`{opening}` is not said in `{words}`"));
    measure(&words[at + opening.len()..])
}

/// A measure given both ways, "153 cm (60 in)": the first two figures, whichever stands first.
fn measure(words: &str) -> Printed {
    let mut found = words.split(['(', ')']).map(one_measure);
    let pair = (found.next().flatten(), found.next().flatten());
    match pair {
        (Some((metric, true)), Some((imperial, false))) | (Some((imperial, false)), Some((metric, true))) => {
            Printed { metric, imperial }
        }
        _ => panic!("`{words}` is not a measure in both systems"),
    }
}

/// Millimetres, and whether the unit is metric.
fn one_measure(words: &str) -> Option<(f64, bool)> {
    let mut words = words.split_whitespace();
    let (number, unit) = (words.next()?, words.next()?);
    let number = match number.char_indices().last()? {
        (at, last @ ('½' | '¼' | '¾' | '⅛' | '⅜' | '⅝' | '⅞')) => {
            let eighths = match last {
                '⅛' => 1.0,
                '¼' => 2.0,
                '⅜' => 3.0,
                '½' => 4.0,
                '⅝' => 5.0,
                '¾' => 6.0,
                _ => 7.0,
            };
            let whole = if at == 0 { 0.0 } else { number[..at].replace(',', "").parse().ok()? };
            whole + eighths / 8.0
        }
        _ => number.replace(',', "").parse().ok()?,
    };
    let (of, metric) = match unit.trim_matches(|c: char| !c.is_alphabetic()) {
        "mm" => (1.0, true),
        "cm" => (10.0, true),
        "m" => (1000.0, true),
        "in" => (25.4, false),
        "ft" => (304.8, false),
        "yd" => (914.4, false),
        _ => return None,
    };
    Some((number * of, metric))
}

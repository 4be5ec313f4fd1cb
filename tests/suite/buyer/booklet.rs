//! What a buyer learns from the words of her booklet before she begins, and the sentences she follows.

use super::ink;
use super::place::{OpenBooklet, Section};
use super::sentence::{Doing, RowInstruction, is_number, understood};
use std::collections::BTreeMap;

/// A length in both systems as printed: millimetres by the metric figure, by the other one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PrintedBooklet {
    /// By the figure in mm, cm or m.
    pub metric: f64,
    /// By the figure in inches, feet or yards.
    pub imperial: f64,
}

impl PrintedBooklet {
    /// By one system.
    pub fn by(self, metric: bool) -> f64 {
        if metric { self.metric } else { self.imperial }
    }
}

/// So much yarn of one colour to buy.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ToBuy {
    /// Length.
    pub length: PrintedBooklet,
    /// Balls.
    pub balls: Option<usize>,
}

/// What the lists say of one yarn.
#[derive(Clone, Debug)]
pub struct ListedYarn {
    /// Its name.
    pub name: String,
    /// What to buy.
    pub buy: ToBuy,
    /// Knots in the panel.
    pub knots: usize,
    /// Lengths to expect.
    pub lengths: usize,
    /// Knots from one length.
    pub knots_in_length: usize,
    /// What a ball of it holds, where that is said.
    pub ball: Option<PrintedBooklet>,
}

/// One column of the page for her own gauge, by yarn.
#[derive(Clone, Debug)]
pub struct GaugeColumn {
    /// What the knots of a swatch's row use at most, each yarn.
    pub most: Vec<PrintedBooklet>,
    /// To buy, each yarn, millimetres.
    pub buy: Vec<f64>,
}

/// One column of a table by pitch: the measure of a swatch that heads it, and what stands below, by its name.
pub type PitchColumn = (PrintedBooklet, BTreeMap<String, PrintedBooklet>);

/// All of it.
#[derive(Clone, Debug)]
pub struct Read {
    /// Yarns in the order of the lists.
    pub yarns: Vec<ListedYarn>,
    /// One working length.
    pub length: PrintedBooklet,
    /// A tail.
    pub tail: PrintedBooklet,
    /// Pieces longer than this are kept.
    pub keep: PrintedBooklet,
    /// Knots of a swatch's row.
    pub swatch_knots: f64,
    /// Columns and rows that are measured on it.
    pub swatch_middle: f64,
    /// Pieces of cord for it, how long each is, and what to buy for them.
    pub swatch_cord: (usize, PrintedBooklet, PrintedBooklet),
    /// A branch that is looked for before she has measured.
    pub wood_before: Option<PrintedBooklet>,
    /// Columns by yarn, from tight to loose.
    pub gauge: Vec<GaugeColumn>,
    /// Columns by width and by height.
    pub across: Vec<PitchColumn>,
    pub down: Vec<PitchColumn>,
    /// Cords to cut, each kind: its letter, how many, how long.
    pub cords: Vec<(char, usize, PrintedBooklet)>,
    /// Cord to buy.
    pub cord: PrintedBooklet,
    /// What one more cut takes, the yarn that would be cut most often, and what that is at most.
    pub cut_instead: (PrintedBooklet, String, PrintedBooklet),
    /// Pages on which the rows stand, their words on all of them, and the lines that the longest row takes.
    pub row_pages: usize,
    /// See `row_pages`.
    pub row_words: usize,
    /// See `row_pages`.
    pub row_lines: usize,
    /// Rows in the order they are worked.
    pub rows: Vec<RowInstruction>,
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
    let opened = OpenBooklet::new(ink::pages(bytes));
    let (materials, cutting_list) = (opened.section("Materials"), opened.section("Cutting list"));
    let own_gauge = opened.section("First the wood, then a swatch");

    let bought = materials.table("What to buy of each yarn");
    let names: Vec<String> = bought.iter().map(|row| row[0].clone()).collect();
    let in_words = opened.section("The rows in words");
    assert_eq!(in_words.whole().matches("with the fewest columns between").count(), 1, "the rule stands there once");
    let written = in_words.rows(&is_number);
    let row_lines = written.iter().map(|row| row.lines).max().unwrap_or(0);
    let rows: Vec<RowInstruction> = written
        .into_iter()
        .map(|row| {
            let doings = understood(&row.words, &names).unwrap_or_else(|e| panic!("row {}: {e}", row.number));
            RowInstruction { number: row.number, rightwards: row.rightwards, doings }
        })
        .collect();
    let knots_of = |yarn: usize| {
        let doings = rows.iter().flat_map(|row| &row.doings);
        doings
            .map(
                |doing| if let Doing::Knots(knots) = doing { knots.count * usize::from(knots.yarn == yarn) } else { 0 },
            )
            .sum()
    };
    let yarns: Vec<ListedYarn> = (0..names.len())
        .map(|at| ListedYarn {
            name: names[at].clone(),
            buy: to_buy(&bought[at][1]),
            knots: knots_of(at),
            lengths: count(&bought[at][2]),
            knots_in_length: count(&bought[at][3]),
            ball: ball(&materials, &names[at]),
        })
        .collect();

    let how = cutting_list.paragraph(&|line| line.starts_with("Cut yarn one length at a time"), 6);
    let cords = cutting_list.table("What to cut");
    let cut_instead = materials.paragraph(&|line| line.starts_with("You may cut a yarn"), 4);
    let (_, most) = cut_instead.split_once("at most ").expect("what cutting takes");
    let named = most.split_once(" of ").expect("a yarn").1;
    let most_cut = names.iter().filter(|name| named.starts_with(name.as_str())).max_by_key(|name| name.len());
    let swatch = own_gauge.whole();
    let number = |after: &str| -> f64 {
        let said = swatch.split(after).nth(1).unwrap_or_else(|| panic!("`{after}` is not said"));
        said.split_whitespace().next().and_then(|n| n.parse().ok()).expect("a number")
    };
    let gauge = gauge(&own_gauge, &names, &yarns);
    Read {
        yarns,
        length: measure_after(&how, "when you need it: "),
        tail: measure_after(&how, "Leave "),
        keep: measure_after(&how, "Keep pieces longer than "),
        swatch_knots: number("tie one row of "),
        swatch_middle: number("Measure the middle "),
        swatch_cord: (
            swatch
                .split_once(" pieces of cord, ")
                .and_then(|(before, _)| before.split_whitespace().last()?.parse().ok())
                .expect("a number of pieces"),
            measure_after(&swatch, "pieces of cord, "),
            measure_after(&swatch, "one ball of one of the yarns and "),
        ),
        wood_before: swatch.contains("Find a branch").then(|| measure_after(&swatch, " thick and ")),
        gauge,
        across: by_pitch(&own_gauge, "By your columns"),
        down: by_pitch(&own_gauge, "By your rows"),
        cords: cords.iter().filter_map(|row| cord(row)).collect(),
        cord: measure_after(&materials.paragraph(&|line| line.contains("cord, ") && line.contains(" thick"), 3), ": "),
        cut_instead: (
            measure_after(&cut_instead, "two tails more, "),
            most_cut.expect("a yarn of the list").clone(),
            measure(most),
        ),
        row_pages: in_words.pages(),
        row_words: in_words.whole().split_whitespace().count(),
        row_lines,
        rows,
    }
}

/// A line of the cutting list, if it is one of cord: A folded, B single, C the strand, D what it hangs by. Its letter on paper is its place in
/// the list.
fn cord(row: &[String]) -> Option<(char, usize, PrintedBooklet)> {
    let letter = match row[0].split_once(": ")?.1 {
        "cords, folded in half" => 'A',
        words if words.starts_with("cords for columns ") => 'A',
        "single cord" => 'B',
        "mounting strand" => 'C',
        "hanging cord" => 'D',
        _ => return None,
    };
    Some((letter, count(&row[1]), measure(&row[2])))
}

fn gauge(page: &Section, names: &[String], yarns: &[ListedYarn]) -> Vec<GaugeColumn> {
    // She buys whole balls where the list says what is on one.
    let bought = |yarn: &ListedYarn, balls: Option<usize>| match (balls, yarn.ball) {
        (Some(balls), Some(ball)) => balls as f64 * ball.metric.min(ball.imperial),
        _ => yarn.buy.length.metric.min(yarn.buy.length.imperial),
    };
    let said = page.whole();
    if let Some(enough) = said.split("Up to ").nth(1).filter(|after| after.contains("the balls in the list")) {
        let most = vec![measure(enough); names.len()];
        return vec![GaugeColumn { most, buy: yarns.iter().map(|yarn| bought(yarn, yarn.buy.balls)).collect() }];
    }
    let table = page.table_with_head("To buy");
    let (uses, others): (Vec<_>, Vec<_>) = table.into_iter().partition(|row| row[0].ends_with("use"));
    let of = |name: &String| {
        let named = |row: &&Vec<String>| {
            row[0].split(", ").flat_map(|part| part.split(" and ")).any(|it| it.contains(name.as_str()))
        };
        uses.iter().find(named).unwrap_or(&uses[0])
    };
    (1..uses[0].len())
        .map(|column| GaugeColumn {
            most: names.iter().map(|name| measure_after(&of(name)[column], "up to ")).collect(),
            buy: yarns
                .iter()
                .map(|yarn| match others.iter().find(|row| row[0] == yarn.name) {
                    Some(row) => match row[column].split_once(" ball") {
                        Some((balls, _)) => bought(yarn, Some(count(balls))),
                        None => measure(&row[column]).metric,
                    },
                    None => bought(yarn, yarn.buy.balls),
                })
                .collect(),
        })
        .collect()
}

fn by_pitch(page: &Section, caption: &str) -> Vec<PitchColumn> {
    let table = page.table_with_head(caption);
    let (head, rows) = table.split_first().expect("a head");
    (1..head.len())
        .map(|column| {
            let below = rows.iter().map(|row| (row[0].clone(), measure(&row[column])));
            (measure(&head[column]), below.collect())
        })
        .collect()
}

/// "balls of 100 m (109 yd)" in the lines about yarns, where it stands: "... balls of 100 m (109 yd): oat (shade 104) and
/// ink (shade 490).", or "ink: ... balls of 100 m (109 yd).".
fn ball(materials: &Section, name: &str) -> Option<PrintedBooklet> {
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

fn measure_after(words: &str, opening: &str) -> PrintedBooklet {
    let at = words.find(opening).unwrap_or_else(|| panic!("`{opening}` is not said in `{words}`"));
    measure(&words[at + opening.len()..])
}

/// A measure given both ways, "153 cm (60 in)": the first two figures, whichever stands first.
fn measure(words: &str) -> PrintedBooklet {
    let mut found = words.split(['(', ')']).map(one_measure);
    let pair = (found.next().flatten(), found.next().flatten());
    match pair {
        (Some((metric, true)), Some((imperial, false))) | (Some((imperial, false)), Some((metric, true))) => {
            PrintedBooklet { metric, imperial }
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

//! The amounts for reading on a screen: a maker's own list, in measures that a hand can take, with what its headings mean
//! and what one panel costs.

use super::colourways::ColourwayMirror;
use crate::cli::report::counted;
use crate::project::Project;
use crate::words::Words;
use crate::words::measures::{MeasureKind, Measures};
use crate::workings::{Amount, ClassKit, CordGroup, CutCord, Workings, class_kit};

/// The language of the program's own messages.
const LANGUAGE: &str = "en-GB";
const MM_PER_INCH: f64 = 25.4;
const MM_PER_YARD: f64 = 914.4;

/// Lines, each with its end, none with white behind it.
struct Screen(String);

impl Screen {
    fn say(&mut self, line: &str) {
        // On a screen a space is a space.
        self.0.push_str(line.replace(['\u{a0}', '\u{202f}'], " ").trim_end());
        self.0.push('\n');
    }

    /// A table: the first column from the left, the others too, as wide as their widest cell.
    fn table(&mut self, rows: &[Vec<String>]) {
        let count = rows.iter().map(Vec::len).max().unwrap_or(0);
        let wide = |column: usize| {
            rows.iter().filter_map(|row| row.get(column)).map(|cell| cell.chars().count()).max().unwrap_or(0)
        };
        let widths: Vec<usize> = (0..count).map(wide).collect();
        for row in rows {
            let cells = row.iter().zip(&widths).map(|(cell, wide)| {
                // The width counts characters, so that names with accents line up.
                format!("{cell}{}", " ".repeat(wide - cell.chars().count()))
            });
            let line: Vec<String> = cells.collect();
            self.say(&line.join("  "));
        }
    }
}

/// The whole list; with `students`, what a class takes too.
pub(crate) fn text(
    project: &Project,
    workings: &Workings,
    students: Option<usize>,
    colourways: &[ColourwayMirror<'_>],
) -> String {
    let Some(words) = Words::shipped(LANGUAGE) else { return String::new() };
    let measures = words.measures(project.about.units);
    let about = &project.about;
    let mut out = Screen(String::new());
    let date = words.date(about.date);
    out.say(&format!("{} {}, {date}", about.title, about.version));
    out.say("");
    panel(project, workings, &words, &measures, &mut out);
    out.say("");
    yarns(project, workings, &measures, &mut out);
    out.say("");
    for colourway in colourways {
        let used = workings.amounts.iter().filter(|of| workings.tally.of(of.yarn).total() > 0);
        let pairs = used.map(|of| project.palette.get(of.yarn).name.as_str()).zip(&colourway.yarns);
        let named: Vec<String> = pairs.map(|(name, own)| format!("{name} {}", own.name)).collect();
        out.say(&format!("{}: {}", colourway.name, named.join(", ")));
    }
    if !colourways.is_empty() {
        out.say("");
    }
    cords(project, workings, &measures, &mut out);
    out.say("");
    cost(project, workings, &words, &mut out);
    if let Some(students) = students {
        out.say("");
        class(project, &class_kit(project, workings, students), &measures, &words, &mut out);
    }
    out.0
}

fn panel(project: &Project, workings: &Workings, words: &Words, measures: &Measures, out: &mut Screen) {
    let (chart, size) = (&project.chart, &workings.size);
    let header = match workings.header.rows {
        0 => "no header".to_owned(),
        rows => format!("{rows} header rows above"),
    };
    let across = measures.across_down(MeasureKind::Size, size.width_mm, size.height_mm);
    let mass = measures.both(MeasureKind::Mass, workings.hanging.panel_g);
    let mut rows = vec![
        vec![
            "Panel".to_owned(),
            format!(
                "{} x {}, {header}",
                counted(chart.columns(), "column", "columns"),
                counted(chart.rows(), "row", "rows")
            ),
        ],
        vec![String::new(), format!("{across}, {mass}")],
        vec![
            String::new(),
            format!(
                "{} knots, {} of them in the header",
                words.whole(workings.tally.total),
                words.whole(workings.tally.total - workings.tally.chart)
            ),
        ],
    ];
    if let Some(time) = &workings.time {
        // Half hours: the least down, the most up.
        let halves = |minutes: f64| words.decimal(minutes / 2.0, 1);
        let (least, most) = (halves((time.least_minutes / 30.0).floor()), halves((time.most_minutes / 30.0).ceil()));
        rows.push(vec![String::new(), format!("{least} to {most} hours at the pace given")]);
    }
    out.table(&rows);
}

/// "109 m (119 yd)": the workings have rounded it up in both systems.
fn buy(measures: &Measures, amount: &Amount) -> String {
    let (metres, yards) = (amount.metres as f64 * 1000.0, amount.yards as f64 * MM_PER_YARD);
    measures.both_of(MeasureKind::Buy, metres, yards)
}

fn cut(measures: &Measures, cord: &CutCord) -> String {
    measures.both_of(MeasureKind::Cut, cord.cut_mm, cord.cut_inches * MM_PER_INCH)
}

fn balls(amount: &Amount) -> String {
    amount.balls.map_or_else(|| "?".to_owned(), |balls| balls.to_string())
}

fn yarns(project: &Project, workings: &Workings, measures: &Measures, out: &mut Screen) {
    let heads = ["Yarn", "to buy", "balls", "lengths", "ends"];
    let mut rows = vec![heads.map(str::to_owned).to_vec()];
    let used = workings.amounts.iter().filter(|of| workings.tally.of(of.yarn).total() > 0);
    for of in used {
        rows.push(vec![
            project.palette.get(of.yarn).name.clone(),
            buy(measures, &of.buy),
            balls(&of.buy),
            of.buy.lengths.to_string(),
            of.ends.to_string(),
        ]);
    }
    out.table(&rows);
    let margin = (project.working.yarn_margin * 100.0).round();
    let length = measures.both(MeasureKind::Reach, project.working.length_mm);
    out.say(&format!("  to buy: the plan with its margin of {margin:.0} % at least"));
    out.say("  balls: whole balls of what the project file says is on one; ? where it does not say");
    out.say(&format!("  lengths: pieces of {length} that are cut, one at a time, without the margin"));
    out.say("  ends: tied off at the back, two for every piece joined");
}

fn columns_of(group: &CordGroup) -> String {
    let range = |(from, to): &(usize, usize)| format!("{}-{}", from + 1, to + 1);
    group.columns.iter().map(range).collect::<Vec<_>>().join(", ")
}

fn cords(project: &Project, workings: &Workings, measures: &Measures, out: &mut Screen) {
    let cords = &workings.cords;
    let mut pieces: Vec<(String, &CutCord)> = Vec::new();
    if cords.groups.is_empty() && cords.folded.count > 0 {
        pieces.push(("Cords, folded in half".to_owned(), &cords.folded));
    }
    pieces.extend(
        cords
            .groups
            .iter()
            .map(|group| (format!("Cords for columns {}, folded in half", columns_of(group)), &group.cord)),
    );
    pieces.extend(cords.single.as_ref().map(|single| ("Single cord".to_owned(), single)));
    pieces.extend(cords.strand.as_ref().map(|strand| ("Mounting strand".to_owned(), strand)));
    pieces.push(("Hanging cord".to_owned(), &cords.hanger));
    let mut rows: Vec<Vec<String>> = vec![["Cord", "how many", "each"].map(str::to_owned).to_vec()];
    rows.extend(pieces.into_iter().map(|(name, cord)| vec![name, cord.count.to_string(), cut(measures, cord)]));
    out.table(&rows);
    let spools = cords.spools.map(|spools| format!(", spools: {spools}")).unwrap_or_default();
    let margin = (project.working.cord_margin * 100.0).round();
    let all = measures.both(MeasureKind::Buy, cords.to_buy_mm);
    let mass = measures.both(MeasureKind::Mass, cords.to_buy_g);
    out.say(&format!("  in all, with a margin of {margin:.0} %: {all}, {mass}{spools}"));
    let wood = measures.both(MeasureKind::Size, workings.hanging.wood_mm);
    out.say(&format!("  wood: {wood}"));
}

/// What yarn and cord of one panel cost a maker who buys whole balls and spools.
fn cost(project: &Project, workings: &Workings, words: &Words, out: &mut Screen) {
    let used = || workings.amounts.iter().filter(|of| workings.tally.of(of.yarn).total() > 0);
    let mut unknown: Vec<&str> =
        used().filter(|of| of.buy.price.is_none()).map(|of| project.palette.get(of.yarn).name.as_str()).collect();
    if workings.cords.price.is_none() {
        unknown.push("cord");
    }
    let all = used().filter_map(|of| of.buy.price).sum::<f64>() + workings.cords.price.unwrap_or(0.0);
    let money = |price: f64| match &project.about.currency {
        Some(currency) => format!("{} {currency}", words.money(price)),
        None => words.money(price),
    };
    match (unknown.as_slice(), all > 0.0) {
        ([], _) => {
            out.say(&format!("Cost of one panel: {} for whole balls and spools, without wood and tools", money(all)));
        }
        (_, true) => {
            out.say(&format!(
                "Cost of one panel: {} at least; no price is given for {}",
                money(all),
                unknown.join(", ")
            ));
        }
        (_, false) => out.say("Cost of one panel: no prices are given"),
    }
}

fn class(project: &Project, kit: &ClassKit, measures: &Measures, words: &Words, out: &mut Screen) {
    out.say(&format!("Class of {}: {} bags, {} of them spare", kit.students, kit.bags, kit.spares));
    let mut rows = vec![["Yarn", "a bag", "the class", "balls"].map(str::to_owned).to_vec()];
    for of in &kit.yarns {
        let name = project.palette.get(of.yarn).name.clone();
        rows.push(vec![name, buy(measures, &of.bag), buy(measures, &of.class), balls(&of.class)]);
    }
    let cord = |mm: f64| measures.both(MeasureKind::Buy, mm);
    let spools = kit.spools.map_or_else(|| "?".to_owned(), |spools| format!("{spools} (spools)"));
    rows.push(vec!["cord".to_owned(), cord(kit.cord_bag_mm), cord(kit.cord_mm), spools]);
    out.table(&rows);
    let margin = (kit.margin * 100.0).round();
    out.say(&format!("  with a margin of {margin:.0} %; balls and spools are rounded up once, for the class"));
    if let Some(price) = kit.price {
        let money = |price: f64| match &project.about.currency {
            Some(currency) => format!("{} {currency}", words.money(price)),
            None => words.money(price),
        };
        let each = money(price / kit.students.max(1) as f64);
        out.say(&format!("  yarn and cord cost {}, {each} for each student", money(price)));
    }
}

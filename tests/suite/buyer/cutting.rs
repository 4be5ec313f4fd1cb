//! Her own hand: what she buys and cuts by her own swatch, in the order of the booklet.

use super::booklet::{GaugeColumn, PitchColumn, PrintedBooklet};
use super::hand::{Hand, SPREAD};
use super::others::all;
use super::trial::Changes;
use super::{BoughtBooklet, TRIALS, metres};
use hitchpress::project::Project;
use hitchpress::workings::{CordGroup, Workings, work_out};
use std::collections::BTreeMap;

/// What heads the columns of yarn is told in half centimetres.
const HALF_CENTIMETRE: f64 = 5.0;

/// By her own twenty knots: the first column that is not less; by less than a mark past the last one it has to be enough.
fn amounts_of(bought: &BoughtBooklet, bias: f64) -> Vec<f64> {
    let read = &bought.read;
    let mine = read.swatch_knots * bought.nature.knot * bias;
    (0..read.yarns.len())
        .map(|yarn| {
            let most = |column: &GaugeColumn| column.most[yarn].metric.min(column.most[yarn].imperial);
            let found = read.gauge.iter().find(|column| most(column) >= mine);
            let found = found.or(read.gauge.last().filter(|last| most(last) > mine - HALF_CENTIMETRE));
            found.unwrap_or_else(|| panic!("{}: no column for {mine} mm", bought.name)).buy[yarn]
        })
        .collect()
}

#[test]
fn hands_a_fifth_tighter_to_a_third_looser_never_run_short_of_yarn_and_have_little_left() {
    for bought in all() {
        for bias in [0.8, 0.9, 0.95, 1.0, 1.05, 1.1, 1.15, 1.2, 1.25, 1.3] {
            let amounts = amounts_of(bought, bias);
            let (trials, said) = bought.short(Changes::AsPlanned, &amounts, |_| Hand { bias, spread: SPREAD });
            println!("{bias}: {said}");
            assert_eq!(trials, 0, "{bias}: {said}");
            let (mut dice, mut most_left) = (fastrand::Rng::with_seed(41), 0.0_f64);
            for trial in 0..TRIALS / 10 {
                let hand = Hand { bias, spread: SPREAD };
                let went = bought.bench().tie(&amounts, Changes::AsPlanned, hand, trial % 2 == 0, &mut dice);
                for ((taken, amount), yarn) in went.taken.iter().zip(&amounts).zip(&bought.read.yarns) {
                    let ball = yarn.ball.map_or(0.0, |ball| ball.metric.max(ball.imperial));
                    // A margin is bought besides, and can need a ball of its own.
                    let left = amount - taken * (1.0 + bought.project.working.yarn_margin);
                    assert!(
                        left <= ball.max(0.2 * taken),
                        "{} at {bias}, {}: {left:.0} of {amount:.0} mm left, a ball is {ball:.0}",
                        bought.name,
                        yarn.name
                    );
                    most_left = most_left.max((amount - taken) / ball.max(0.2 * taken));
                }
            }
            println!("{} at {bias}: at most {most_left:.2} of a ball left, or of a fifth", bought.name);
        }
    }
}

/// The folded cords of a panel: what each length is called in her table, how many there are, and the rows on them.
fn folded_cords(work: &Workings, rows: usize) -> Vec<(String, usize, usize)> {
    if work.cords.groups.is_empty() {
        return vec![("each folded cord".to_owned(), work.cords.folded.count, rows)];
    }
    let of = |group: &CordGroup| {
        let ranges: Vec<String> = group.columns.iter().map(|(a, b)| format!("{} to {}", a + 1, b + 1)).collect();
        let ranges = match ranges.split_last() {
            Some((last, before)) if !before.is_empty() => format!("{} and {last}", before.join(", ")),
            _ => ranges.concat(),
        };
        (format!("each folded cord of columns {ranges}"), group.cord.count, group.rows)
    };
    work.cords.groups.iter().map(of).collect()
}

/// A tape, and the columns that she takes with it.
struct Tape<'a> {
    bought: &'a BoughtBooklet,
    metric: bool,
}

type Column = BTreeMap<String, PrintedBooklet>;

impl Tape<'_> {
    fn mark(&self) -> f64 {
        if self.metric { 1.0 } else { 25.4 / 8.0 }
    }

    /// What ends past a mark of her tape lies between two columns, and she takes the one at the right, as she is told: it is
    /// never read as the mark before it.
    fn column<'c>(&self, all: &'c [PitchColumn], mine: f64) -> &'c Column {
        let read = (mine / self.mark() - 1e-6).ceil() * self.mark();
        let found = all.iter().find(|column| column.0.by(self.metric) >= read - 1e-6);
        // Less than a mark past the last column there is none at the right: it has to be enough.
        let found = found.or(all.last().filter(|last| last.0.by(self.metric) > mine - self.mark()));
        &found.unwrap_or_else(|| panic!("{}: no column for {mine} mm", self.bought.name)).1
    }

    fn said(&self, of: &Column, name: &str) -> f64 {
        of.get(name).unwrap_or_else(|| panic!("{}: {name} in {of:?}", self.bought.name)).by(self.metric)
    }
}

/// What she cuts with pitches of her own.
fn cut(tape: &Tape, project: &Project, work: &Workings, wide: f64, high: f64, at: &str) {
    let read = &tape.bought.read;
    let across = tape.column(&read.across, read.swatch_middle * wide);
    let down = tape.column(&read.down, read.swatch_middle * high);
    let said = |of: &Column, name: &str| tape.said(of, name);
    let width = project.chart.columns() as f64 * wide;
    let rows = read.rows.len() as f64 * high;
    // An inch of wood at each side, but for what rounding takes.
    assert!(said(across, "wood, at least") >= width + 2.0 * 25.0, "{at}: wood");
    if work.cords.strand.is_some() {
        let strand = said(across, "mounting strand");
        assert!(strand >= width + 2.0 * 150.0 && strand <= 1.2 * (width + 2.0 * 160.0), "{at}: strand {strand}");
    }
    // Cords bend round knots by three in a hundred; the lark's head as the cutting list has it.
    let reaches = |rows: usize| rows as f64 * high * 1.03 + project.bottom.length_mm;
    let mut all = 0.0;
    for (name, count, rows) in folded_cords(work, read.rows.len()) {
        let (needed, folded) = (2.0 * reaches(rows) + work.cords.head_mm, said(down, &name));
        assert!(folded >= needed - 1e-6, "{at}: a folded cord of {folded} for {needed}");
        assert!(folded <= 1.2 * needed, "{at}: a folded cord of {folded} for {needed}");
        all += count as f64 * folded;
    }
    if work.cords.single.is_some() {
        let (needed, single) = (reaches(read.rows.len()) + work.cords.head_mm, said(down, "single cord"));
        assert!(single >= needed, "{at}: a single cord of {single} for {needed}");
        all += single;
    }
    all += work.cords.strand.map_or(0.0, |_| said(across, "mounting strand")) + said(across, "hanging cord");
    let bought_cord = said(down, "cord in all");
    assert!(bought_cord >= all, "{at}: cord {bought_cord} for {all}");
    let spool = project.cord.spool_m.map_or(0.0, |m| m * 1000.0);
    assert!(bought_cord <= all + spool.max(0.2 * all), "{at}: cord {bought_cord} for {all}");
    let finished = (said(across, "panel, wide"), said(down, "panel, high"));
    // The backing of a shaped edge is cut by its drawing.
    if work.hanging.backing.as_ref().is_some_and(|backing| backing.steps.is_empty()) {
        let (w, h) = (said(across, "backing, wide"), said(down, "backing, high"));
        // The next column's backing may be cut down to her own panel; it is never too small.
        assert!(w >= width - 16.0 && h >= rows - 16.0, "{at}: backing {w} x {h} for {width} x {rows}");
        assert!(w <= 1.2 * width && h <= 1.2 * rows, "{at}: backing {w} x {h} for {width} x {rows}");
    }
    // "Twice your height, once your width, and 50 mm".
    if work.hanging.ribbon_mm.is_some() && !work.edge.is_shaped() {
        let (ribbon, edge) = (2.0 * finished.1 + finished.0 + 50.0, 2.0 * rows + width);
        assert!(ribbon >= edge && ribbon <= 1.2 * edge + 50.0, "{at}: ribbon {ribbon} for {edge}");
    }
}

/// Cord, wood, strand, backing and ribbon: she measures her swatch, takes the first column that is not below it, and cuts
/// what it says.
#[test]
fn what_she_cuts_by_her_own_swatch_is_never_short_and_little_is_left() {
    for bought in all() {
        let work = work_out(&bought.project);
        for metric in [true, false] {
            let tape = Tape { bought, metric };
            for half in -40..=60 {
                let factor = 1.0 + f64::from(half) / 200.0;
                let at = format!("{} at {} %, metric {metric}", bought.name, f64::from(half) / 2.0);
                cut(&tape, &bought.project, &work, bought.nature.column * factor, bought.nature.row * factor, &at);
            }
            // Whoever measures just what heads a column cuts by it, whatever was rounded there.
            for (across, down) in bought.read.across.iter().zip(&bought.read.down) {
                let pitch = |head: &PitchColumn| head.0.by(metric) / bought.read.swatch_middle;
                let at = format!("{} at {:?} and {:?}", bought.name, across.0, down.0);
                cut(&tape, &bought.project, &work, pitch(across), pitch(down), &at);
            }
        }
    }
}

/// What is got before she has measured serves every hand that the page promises.
#[test]
fn what_she_buys_before_her_swatch_serves_the_loosest_hand() {
    for bought in all() {
        let read = &bought.read;
        let width = bought.project.chart.columns() as f64 * bought.nature.column * 1.3;
        if let Some(wood) = read.wood_before {
            assert!(wood.metric.min(wood.imperial) >= width + 50.0, "{}: wood of {wood:?}", bought.name);
        }
        let (pieces, each, all) = read.swatch_cord;
        for metric in [true, false] {
            assert!(all.by(metric) >= pieces as f64 * each.by(metric), "{}: {all:?}", bought.name);
            let leg = read.swatch_knots * bought.nature.row * 1.3 * 1.03;
            // A hand's breadth below the last row, and the lark's head.
            assert!(each.by(metric) >= 2.0 * (leg + 100.0) + 45.0, "{}: {each:?}", bought.name);
        }
        // One ball ties the swatch's knots, with a tail at both ends of every row.
        let knots = read.swatch_knots * read.swatch_knots * bought.nature.knot * 1.3;
        let least = read.yarns.iter().filter_map(|yarn| yarn.ball).map(|ball| ball.metric).fold(f64::MAX, f64::min);
        let tails = read.swatch_knots * 2.0 * read.tail.metric;
        assert!(least >= knots + tails, "{}: a ball of {least} for {knots} and {tails}", bought.name);
    }
}

#[test]
fn a_list_by_the_booklets_own_gauge_is_what_its_own_column_says() {
    for bought in all() {
        let own = amounts_of(bought, 1.0);
        for (own, yarn) in own.iter().zip(&bought.read.yarns) {
            // Where balls are told, whole ones are bought.
            assert!(*own >= metres(&yarn.buy) - 1_000.0, "{}, {}: {own}", bought.name, yarn.name);
        }
    }
}

//! A kit for a class: what goes into each bag, and what is bought once for all of them.
//!
//! Balls and spools are rounded up once for the class, not for each student.

use super::cutting::Measure;
use super::purchase::{Lengths, lengths_of};
use super::rounding::up_to;
use super::time::{minutes_of_row, mounting_minutes};
use super::{Amount, CutCord, RowPlace, Workings, cut_list};
use crate::chart::YarnId;
use crate::project::Project;

/// Kits take a quarter more yarn at least (common practice, no source).
pub(crate) const KIT_MARGIN: f64 = 0.25;

/// A class kit.
#[derive(Clone, Debug, PartialEq)]
pub struct ClassKit {
    /// Students.
    pub(crate) students: usize,
    /// Spare bags.
    pub(crate) spares: usize,
    /// Bags: students and spares.
    pub bags: usize,
    /// Yarn margin: the project's, or a quarter where that is less.
    pub(crate) margin: f64,
    /// By yarn, those that are used.
    pub yarns: Vec<KitYarn>,
    /// Folded cords for each bag.
    pub(crate) folded: CutCord,
    /// Single cord for each bag, where the count is odd.
    pub(crate) single: Option<CutCord>,
    /// Mounting strand for each bag.
    pub(crate) strand: Option<CutCord>,
    /// Cord for each bag with its margin, millimetres.
    pub(crate) cord_bag_mm: f64,
    /// Cord for the class with its margin, millimetres.
    pub(crate) cord_mm: f64,
    /// Spools for the class.
    pub(crate) spools: Option<usize>,
    /// Grams of cord for the class.
    pub(crate) cord_g: f64,
    /// Price of the spools.
    pub(crate) cord_price: Option<f64>,
    /// Pieces of wood, one a bag.
    pub(crate) woods: usize,
    /// Sets of tools to bring: one where each student brings her own (the teacher's), else one for every two students.
    pub tool_sets: usize,
    /// Price of yarn and cord for the class; `None` unless every price is known.
    pub(crate) price: Option<f64>,
    /// Where each session stops; empty without a pace or sessions.
    pub stops: Vec<SessionStop>,
}

/// One yarn of a kit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct KitYarn {
    /// Which.
    pub(crate) yarn: YarnId,
    /// For one bag; its balls are those of a bag bought alone.
    pub bag: Amount,
    /// For the class; balls rounded up once.
    pub class: Amount,
}

/// The end of one session.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SessionStop {
    /// Length of the session, hours.
    pub(crate) hours: f64,
    /// The last row finished in it; `None` while mounting is still going on, or no whole row was finished yet.
    pub after: Option<RowPlace>,
    /// Whether the last row is done.
    pub is_finished: bool,
}

/// The kit for so many students; carrying as planned.
pub fn class_kit(project: &Project, workings: &Workings, students: usize) -> ClassKit {
    let spares = project.class.spares;
    let bags = students.saturating_add(spares);
    let margin = project.working.yarn_margin.max(KIT_MARGIN);
    let yarns: Vec<KitYarn> = workings
        .amounts
        .iter()
        .filter(|a| a.buy.lengths > 0)
        .map(|a| {
            let yarn = project.palette.get(a.yarn);
            let lengths = bag_lengths(project, workings, a.yarn, margin);
            let length_mm = project.working.length_mm;
            let of = |bags: usize| {
                let count = lengths.expected.saturating_mul(bags);
                Amount::of_mm(yarn, count, count as f64 * length_mm, lengths.bought * bags as f64 * length_mm)
            };
            KitYarn { yarn: a.yarn, bag: of(1), class: of(bags) }
        })
        .collect();
    let cords = &workings.cords;
    let cord_mm = cords.to_buy_mm * bags as f64;
    let spools = project.cord.spool_m.filter(|m| *m > 0.0).map(|m| up_to(cord_mm / 1000.0 / m, 1.0) as usize);
    let cord_price = spools.zip(project.cord.spool_price).map(|(n, price)| n as f64 * price);
    let price = yarns.iter().map(|y| y.class.price).sum::<Option<f64>>().zip(cord_price).map(|(a, b)| a + b);
    ClassKit {
        students,
        spares,
        bags,
        margin,
        yarns,
        folded: cords.folded,
        single: cords.single,
        strand: cords.strand,
        cord_bag_mm: cords.to_buy_mm,
        cord_mm,
        spools,
        cord_g: cord_mm / 1000.0 * cut_list::cord_g_per_m(project),
        cord_price,
        woods: bags,
        tool_sets: if project.class.tools_shared { students.div_ceil(2) } else { 1 },
        price,
        stops: stops(project, workings),
    }
}

/// Lengths of one yarn for one bag: its margin is the kit's.
fn bag_lengths(project: &Project, workings: &Workings, yarn: YarnId, margin: f64) -> Lengths {
    let at = usize::from(yarn.0);
    match (workings.plans.get(at), workings.gauge.yarns.get(at)) {
        (Some(plan), Some(own)) => lengths_of(plan, Measure::new(project, own.knot_mm), margin),
        (Some(_) | None, None) | (None, Some(_)) => Lengths { expected: 0, bought: 0.0 },
    }
}

fn stops(project: &Project, workings: &Workings) -> Vec<SessionStop> {
    let Some(pace) = project.pace else { return Vec::new() };
    let mut rows = workings.rows.iter().peekable();
    // Minutes still to be worked before the next row begins.
    let mut ahead = mounting_minutes(pace, &workings.cords);
    let mut after = None;
    project
        .class
        .session_hours
        .iter()
        .map(|&hours| {
            let mut minutes = hours * 60.0 - ahead;
            ahead = (-minutes).max(0.0);
            while minutes >= 0.0
                && let Some(row) = rows.next_if(|row| minutes_of_row(pace, row) <= minutes)
            {
                minutes -= minutes_of_row(pace, row);
                after = Some(row.place);
            }
            SessionStop { hours, after, is_finished: rows.peek().is_none() }
        })
        .collect()
}

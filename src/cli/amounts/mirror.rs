//! The amounts as a machine reads them: units in the field names, the same fields in the same order every time.
//!
//! `layouts/schemas/amounts.schema.json` describes it; a test holds the two together. A field that does not apply is
//! `null`, never left out.
//!
//! Long, and one subject: one document, field by field.

use super::colourways::{ColourwayMirror, colourways};
use crate::chart::YarnId;
use crate::project::Project;
use crate::workings::{Amount, ClassKit, CutCord, GaugeFrom, RowPlace, Workings, class_kit, hanging_worth_um};
use serde::Serialize;

/// Raised when a field changes its meaning or goes away.
pub(crate) const FORMAT: u32 = 2;

/// Everything.
#[derive(Debug, Serialize)]
pub(crate) struct Amounts<'a> {
    pub(crate) format: u32,
    pub(crate) title: &'a str,
    pub(crate) version: &'a str,
    pub(crate) date: String,
    pub(crate) currency: Option<&'a str>,
    pub(crate) panel: PanelMirror,
    pub(crate) gauge: GaugeMirror,
    /// One cut piece of working yarn.
    pub(crate) working_length_mm: f64,
    pub(crate) working: Working,
    pub(crate) yarns: Vec<YarnMirror<'a>>,
    pub(crate) cord: CordMirror,
    pub(crate) hanging: HangingMirror,
    pub(crate) time: Option<TimeMirror>,
    pub(crate) class: Option<ClassMirror<'a>>,
    /// The size; `null` where there is one only.
    pub(crate) size: Option<&'a str>,
    /// The colourway that the yarns are of; `null` where there are none, or where these amounts are for all.
    pub(crate) colourway: Option<&'a str>,
    /// What the yarns are in each colourway, where the amounts are for all.
    pub(crate) colourways: Vec<ColourwayMirror<'a>>,
}

#[derive(Debug, Serialize)]
pub(crate) struct PanelMirror {
    pub(crate) columns: usize,
    pub(crate) rows: usize,
    pub(crate) header_rows: usize,
    pub(crate) chart_knots: usize,
    pub(crate) header_knots: usize,
    pub(crate) width_mm: f64,
    pub(crate) height_mm: f64,
    pub(crate) header_mm: f64,
    pub(crate) chart_mm: f64,
    pub(crate) fringe_mm: f64,
    pub(crate) mass_g: f64,
    pub(crate) mass_is_estimated: bool,
}

#[derive(Debug, Serialize)]
pub(crate) struct GaugeMirror {
    pub(crate) column_mm: f64,
    pub(crate) column_from: &'static str,
    pub(crate) row_mm: f64,
    pub(crate) row_from: &'static str,
}

/// What the plans go by: with it and the chart anyone can check that no plan weighs less.
#[derive(Debug, Serialize)]
pub(crate) struct Working {
    pub method: &'static str,
    /// What it is worth that a length need not hang over into the next row; no yarn, in no amount.
    pub(crate) hanging_worth_mm: f64,
    pub tail_mm: f64,
    pub longest_carry_mm: f64,
    pub most_rows_waiting: usize,
    pub(crate) carry_slack_percent: f64,
}

#[derive(Debug, Serialize)]
pub(crate) struct YarnMirror<'a> {
    pub(crate) key: char,
    pub(crate) name: &'a str,
    pub(crate) chart_knots: usize,
    pub(crate) header_knots: usize,
    pub(crate) knot_mm: f64,
    pub(crate) knot_from: &'static str,
    pub(crate) buy: PurchaseMirror,
    /// What cutting wherever the plan carries would take beyond `buy`, at most.
    pub(crate) cut_instead_mm: f64,
    /// The header rows by themselves; `null` where this is not the header's yarn.
    pub(crate) header: Option<PurchaseMirror>,
    pub(crate) pieces: usize,
    pub(crate) ends: usize,
    pub(crate) plan: Plan,
    pub(crate) longest_carry_mm: Option<f64>,
    pub(crate) knots_in_length: usize,
}

/// The plan of one yarn, before cutting.
#[derive(Debug, Serialize)]
pub(crate) struct Plan {
    pub(crate) threads: usize,
    pub(crate) turns: usize,
    pub(crate) carries: usize,
    /// Rows moved, summed over all steps.
    pub(crate) rows_hanging: usize,
    /// Yarn of all steps, to the micrometre.
    pub(crate) steps_mm: f64,
}

#[derive(Debug, Serialize)]
pub(crate) struct PurchaseMirror {
    pub(crate) lengths: usize,
    pub(crate) yarn_mm: f64,
    pub(crate) buy_m: usize,
    pub(crate) buy_yd: usize,
    pub(crate) balls: Option<usize>,
    pub(crate) mass_g: Option<f64>,
    pub(crate) price: Option<f64>,
}

#[derive(Debug, Serialize)]
pub(crate) struct Pieces {
    pub(crate) count: usize,
    pub(crate) exact_mm: f64,
    pub(crate) cut_mm: f64,
    pub(crate) cut_in: f64,
}

/// Folded cords of one length, and the columns that they hang in: first and last of each stretch, from 1.
#[derive(Debug, Serialize)]
pub(crate) struct CordsOfColumns {
    pub(crate) columns: Vec<[usize; 2]>,
    pub(crate) pieces: Pieces,
}

#[derive(Debug, Serialize)]
pub(crate) struct CordMirror {
    pub(crate) diameter_mm: f64,
    /// All folded cords, at the length of the longest.
    pub(crate) folded: Option<Pieces>,
    /// The same by their lengths; empty where all are alike.
    pub(crate) folded_by_columns: Vec<CordsOfColumns>,
    pub(crate) single: Option<Pieces>,
    pub(crate) strand: Option<Pieces>,
    pub(crate) hanger: Pieces,
    pub(crate) buy_mm: f64,
    pub(crate) spools: Option<usize>,
    pub(crate) mass_g: f64,
    pub(crate) price: Option<f64>,
}

#[derive(Debug, Serialize)]
pub(crate) struct HangingMirror {
    pub(crate) wood_mm: f64,
    pub(crate) wood_least_mm: f64,
    pub(crate) wood_diameter_mm: f64,
    pub(crate) staple_leg_mm: Option<f64>,
    pub(crate) total_g: f64,
    pub(crate) hanger_least_g: f64,
    pub(crate) backing_width_mm: Option<f64>,
    pub(crate) backing_height_mm: Option<f64>,
    pub(crate) ribbon_mm: Option<f64>,
    pub(crate) label_width_mm: Option<f64>,
    pub(crate) label_height_mm: Option<f64>,
}

#[derive(Debug, Serialize)]
pub(crate) struct TimeMirror {
    pub(crate) least_minutes: f64,
    pub(crate) most_minutes: f64,
}

#[derive(Debug, Serialize)]
pub(crate) struct ClassMirror<'a> {
    pub(crate) students: usize,
    pub(crate) spares: usize,
    pub(crate) bags: usize,
    pub(crate) yarn_margin_percent: f64,
    pub(crate) yarns: Vec<ClassYarn<'a>>,
    pub(crate) cord_bag_mm: f64,
    pub(crate) cord_mm: f64,
    pub(crate) cord_spools: Option<usize>,
    pub(crate) cord_g: f64,
    pub(crate) cord_price: Option<f64>,
    pub(crate) woods: usize,
    pub(crate) tool_sets: usize,
    pub(crate) price: Option<f64>,
    pub(crate) sessions: Vec<Session>,
}

#[derive(Debug, Serialize)]
pub(crate) struct ClassYarn<'a> {
    pub(crate) key: char,
    pub(crate) name: &'a str,
    pub(crate) bag: PurchaseMirror,
    pub(crate) class: PurchaseMirror,
}

#[derive(Debug, Serialize)]
pub(crate) struct Session {
    pub(crate) hours: f64,
    /// "H3", "12"; `null` while the cords are still being hung.
    pub(crate) last_row: Option<String>,
    pub(crate) is_finished: bool,
}

impl<'a> Amounts<'a> {
    /// Mirrors a project's workings; with `students`, the kit of a class too.
    pub(crate) fn new(project: &'a Project, workings: &Workings, students: Option<usize>) -> Amounts<'a> {
        let about = &project.about;
        Amounts {
            format: FORMAT,
            title: &about.title,
            version: &about.version,
            date: format!("{:04}-{:02}-{:02}", about.date.year, about.date.month, about.date.day),
            currency: about.currency.as_deref(),
            panel: panel(project, workings),
            gauge: GaugeMirror {
                column_mm: hundredths(workings.gauge.column_mm),
                column_from: from(workings.gauge.column_from),
                row_mm: hundredths(workings.gauge.row_mm),
                row_from: from(workings.gauge.row_from),
            },
            working_length_mm: hundredths(project.working.length_mm),
            working: Working {
                method: project.working.method.name(),
                hanging_worth_mm: hanging_worth_um(project.working.method) as f64 / 1000.0,
                tail_mm: project.working.tail_mm,
                longest_carry_mm: project.working.longest_carry_mm,
                most_rows_waiting: project.working.most_rows_waiting,
                carry_slack_percent: hundredths(project.working.carry_slack * 100.0),
            },
            yarns: project.palette.iter().filter_map(|(id, _)| yarn(project, workings, id)).collect(),
            cord: cord(project, workings),
            hanging: hanging(project, workings),
            time: workings.time.as_ref().map(|time| TimeMirror {
                least_minutes: hundredths(time.least_minutes),
                most_minutes: hundredths(time.most_minutes),
            }),
            class: students.map(|students| class(project, &class_kit(project, workings, students))),
            size: project.size.as_ref().map(|size| size.shown.as_str()),
            colourway: project.colourway.as_ref().map(|colourway| colourway.shown.as_str()),
            colourways: colourways(project),
        }
    }
}

/// Two decimals: a hundredth of a millimetre is finer than any of it can be measured.
fn hundredths(value: f64) -> f64 {
    (value * 100.0).round() / 100.0
}

fn from(source: GaugeFrom) -> &'static str {
    match source {
        GaugeFrom::Swatch => "swatch",
        GaugeFrom::OwnSwatch => "own-swatch",
        GaugeFrom::Model => "model",
    }
}

fn panel(project: &Project, workings: &Workings) -> PanelMirror {
    let size = &workings.size;
    PanelMirror {
        columns: project.chart.columns(),
        rows: project.chart.rows(),
        header_rows: workings.header.rows,
        chart_knots: workings.tally.chart,
        header_knots: workings.tally.header,
        width_mm: hundredths(size.width_mm),
        height_mm: hundredths(size.height_mm),
        header_mm: hundredths(size.header_mm),
        chart_mm: hundredths(size.chart_mm),
        fringe_mm: hundredths(size.fringe_mm),
        mass_g: hundredths(workings.hanging.panel_g),
        mass_is_estimated: workings.hanging.mass_is_estimated,
    }
}

/// A yarn that is used, with what the workings say of it.
fn yarn<'a>(project: &'a Project, workings: &Workings, id: YarnId) -> Option<YarnMirror<'a>> {
    let yarn = project.palette.get(id);
    let tally = workings.tally.of(id);
    let of = workings.amounts.iter().find(|amount| amount.yarn == id).filter(|_| tally.total() > 0)?;
    let gauge = workings.gauge.yarns.get(usize::from(id.0))?;
    let plan = workings.plans.get(usize::from(id.0))?;
    Some(YarnMirror {
        key: yarn.key,
        name: &yarn.name,
        chart_knots: tally.chart,
        header_knots: tally.header,
        knot_mm: hundredths(gauge.knot_mm),
        knot_from: from(gauge.from),
        buy: bought(&of.buy),
        cut_instead_mm: hundredths(of.cut_instead_mm),
        header: (of.header.lengths > 0).then(|| bought(&of.header)),
        pieces: of.pieces,
        ends: of.ends,
        plan: Plan {
            threads: plan.thread_count(),
            turns: plan.turns(),
            carries: plan.carries(),
            rows_hanging: plan.rows_hanging(),
            steps_mm: plan.steps_um() as f64 / 1000.0,
        },
        longest_carry_mm: of.longest_carry_mm.map(hundredths),
        knots_in_length: of.knots_in_length,
    })
}

fn bought(amount: &Amount) -> PurchaseMirror {
    PurchaseMirror {
        lengths: amount.lengths,
        yarn_mm: hundredths(amount.yarn_mm),
        buy_m: amount.metres,
        buy_yd: amount.yards,
        balls: amount.balls,
        mass_g: amount.grams.map(hundredths),
        price: amount.price.map(hundredths),
    }
}

fn pieces(cord: &CutCord) -> Pieces {
    Pieces {
        count: cord.count,
        exact_mm: hundredths(cord.exact_mm),
        cut_mm: hundredths(cord.cut_mm),
        cut_in: hundredths(cord.cut_inches),
    }
}

fn cord(project: &Project, workings: &Workings) -> CordMirror {
    let cords = &workings.cords;
    CordMirror {
        diameter_mm: hundredths(project.cord.diameter_mm),
        folded: (cords.folded.count > 0).then(|| pieces(&cords.folded)),
        folded_by_columns: cords
            .groups
            .iter()
            .map(|group| CordsOfColumns {
                columns: group.columns.iter().map(|(from, to)| [from + 1, to + 1]).collect(),
                pieces: pieces(&group.cord),
            })
            .collect(),
        single: cords.single.as_ref().map(pieces),
        strand: cords.strand.as_ref().map(pieces),
        hanger: pieces(&cords.hanger),
        buy_mm: hundredths(cords.to_buy_mm),
        spools: cords.spools,
        mass_g: hundredths(cords.to_buy_g),
        price: cords.price.map(hundredths),
    }
}

fn hanging(project: &Project, workings: &Workings) -> HangingMirror {
    let hanging = &workings.hanging;
    HangingMirror {
        wood_mm: hundredths(hanging.wood_mm),
        wood_least_mm: hundredths(hanging.wood_least_mm),
        wood_diameter_mm: hundredths(project.hanging.diameter_mm),
        staple_leg_mm: hanging.staples.as_ref().map(|staples| hundredths(staples.leg_mm)),
        total_g: hundredths(hanging.total_g),
        hanger_least_g: hundredths(hanging.hanger_least_g),
        backing_width_mm: hanging.backing.as_ref().map(|backing| hundredths(backing.width_mm)),
        backing_height_mm: hanging.backing.as_ref().map(|backing| hundredths(backing.height_mm)),
        ribbon_mm: hanging.ribbon_mm.map(hundredths),
        label_width_mm: hanging.label_mm.map(|(width, _)| hundredths(width)),
        label_height_mm: hanging.label_mm.map(|(_, height)| hundredths(height)),
    }
}

fn class<'a>(project: &'a Project, kit: &ClassKit) -> ClassMirror<'a> {
    ClassMirror {
        students: kit.students,
        spares: kit.spares,
        bags: kit.bags,
        yarn_margin_percent: hundredths(kit.margin * 100.0),
        yarns: kit
            .yarns
            .iter()
            .map(|of| {
                let yarn = project.palette.get(of.yarn);
                ClassYarn { key: yarn.key, name: &yarn.name, bag: bought(&of.bag), class: bought(&of.class) }
            })
            .collect(),
        cord_bag_mm: hundredths(kit.cord_bag_mm),
        cord_mm: hundredths(kit.cord_mm),
        cord_spools: kit.spools,
        cord_g: hundredths(kit.cord_g),
        cord_price: kit.cord_price.map(hundredths),
        woods: kit.woods,
        tool_sets: kit.tool_sets,
        price: kit.price.map(hundredths),
        sessions: kit
            .stops
            .iter()
            .map(|stop| Session {
                hours: stop.hours,
                last_row: stop.after.map(|place| match place {
                    RowPlace::Header(_) => format!("H{}", place.number()),
                    RowPlace::Chart(_) => place.number().to_string(),
                }),
                is_finished: stop.is_finished,
            })
            .collect(),
    }
}

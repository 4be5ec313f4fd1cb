//! Of several charts of one picture the one that is taken.
//!
//! Charts are joined at rising strength, each from the one before. Each is then judged whole: how far it is from the picture,
//! both blurred by one knot, and what the yarn plan itself says about threads, carries and slits. Taken is the one with the
//! least handling among those that are no further from the picture than the chart of nearest yarns and an allowance.

use super::joining::{JoiningState, join};
use super::likeness::{Likeness, blurred_distance};
use super::tying::Tying;
use super::{YarnGrid, cells::Targets, yarns};
use crate::chart::{Chart, Direction, YarnId};
use crate::colour::Oklab;
use crate::project::{Project, Side};
use crate::workings::{self, Handling, PlanLimits};

/// Strengths tried, squared distance for a start: from hardly any to posters.
const STRENGTHS: [f64; 7] = [12.0, 30.0, 70.0, 150.0, 300.0, 600.0, 1_200.0];
/// What a carry weighs against a start, and a row of a slit (our judgement).
const CARRY: f64 = 0.15;
const SLIT_ROW: f64 = 0.05;

/// A chart and how it is judged.
#[derive(Clone, Debug, PartialEq)]
pub struct JudgedChart {
    /// The chart.
    pub chart: Chart,
    /// How it is judged.
    pub weighed: ChartScore,
    /// How the chart of nearest yarns is judged.
    pub nearest: ChartScore,
}

/// How a chart is judged.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ChartScore {
    /// Mean distance to the picture, both blurred by one knot; 2 is about what is just noticed.
    pub distance: f64,
    /// What it asks of the maker.
    pub handling: Handling,
    /// Knots with no knot of their yarn above, below, left or right.
    pub singles: usize,
}

/// Draws the chart of `targets` in the yarns of `project`, whose own chart does not matter. `allowance` is how much further
/// from the picture the chart may be, blurred, than the one of nearest yarns. `None` where there is no cell.
pub fn draw(targets: &Targets, project: &Project, allowance: f64) -> Option<JudgedChart> {
    let colours: Vec<Oklab> =
        project.palette.iter().map(|(_, yarn)| Oklab::from_linear(yarn.colour.linear())).collect();
    let cells = targets.cells.iter().map(|cell| yarns::nearest_of(&colours, *cell) as u8).collect();
    let panel = YarnGrid { columns: targets.columns, rows: targets.rows, cells };
    let nearest = weigh(&panel, targets, &colours, project)?;

    let mut work = JoiningState { likeness: Likeness::new(&panel, targets, &colours), panel };
    let tying = tying(&work.panel, project)?;
    let mut best: Option<(f64, ChartScore, YarnGrid)> = None;
    for strength in STRENGTHS {
        join(&mut work, &tying, strength);
        let weighed = weigh(&work.panel, targets, &colours, project)?;
        if weighed.distance > nearest.distance + allowance && best.is_some() {
            break;
        }
        let bother = bother(&weighed.handling);
        if best.as_ref().is_none_or(|(least, ..)| bother < *least) {
            best = Some((bother, weighed, work.panel.clone()));
        }
    }
    let (weighed, panel) = best.map_or((nearest, work.panel), |(_, weighed, panel)| (weighed, panel));
    Some(JudgedChart { chart: chart(&panel)?, weighed, nearest })
}

fn bother(handling: &Handling) -> f64 {
    handling.threads as f64 + CARRY * handling.carries as f64 + SLIT_ROW * handling.slit_rows as f64
}

fn tying(panel: &YarnGrid, project: &Project) -> Option<Tying> {
    let project = Project { chart: chart(panel)?, ..project.clone() };
    let first = match project.working.first_row_from {
        Side::Left => Direction::LeftToRight,
        Side::Right => Direction::RightToLeft,
    };
    Some(Tying::new(&PlanLimits::new(&project, &workings::gauge(&project)), first, panel.columns))
}

fn weigh(panel: &YarnGrid, targets: &Targets, colours: &[Oklab], project: &Project) -> Option<ChartScore> {
    let project = Project { chart: chart(panel)?, ..project.clone() };
    Some(ChartScore {
        distance: blurred_distance(panel, targets, colours),
        handling: workings::handling(&project),
        singles: panel.singles(),
    })
}

fn chart(panel: &YarnGrid) -> Option<Chart> {
    Chart::new(panel.columns, panel.cells.iter().map(|&yarn| Some(YarnId(yarn))).collect())
}

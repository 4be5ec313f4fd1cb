//! What is cut from the cord: folded filler cords, an odd single one, the mounting strand, the cord the wood hangs by.

use super::rounding::up_to;
use super::{Gauge, cord_groups, header};
use crate::geom::MM_PER_INCH;
use crate::project::{Mounting, Project};
use core::f64::consts::PI;

/// Wood beyond the panel, each side, millimetres: 1 in at least (common practice, no source).
pub(crate) const WOOD_EACH_SIDE_MM: f64 = MM_PER_INCH;

/// Mounting strand beyond the panel, each side, millimetres: 6 in (from memory).
pub(crate) const STRAND_EACH_SIDE_MM: f64 = 6.0 * MM_PER_INCH;
/// Short end of a single cord, tied off at the back, millimetres: our judgement.
pub const SINGLE_END_MM: f64 = 100.0;

/// The hanging cord is tied so far from each end of the wood, millimetres: our judgement.
pub(crate) const HANGER_IN_MM: f64 = 20.0;
/// What each of its two knots takes, millimetres: our judgement.
pub(crate) const HANGER_KNOT_MM: f64 = 150.0;
/// It rises by this part of the way between its knots: a short loop, and the pull on the wood is still gentle (our judgement).
pub(crate) const HANGER_RISE: f64 = 0.25;

/// Pieces of one length.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CutCord {
    /// How many.
    pub count: usize,
    /// Length by the formula, millimetres.
    pub exact_mm: f64,
    /// Up to the next 10 mm: what is cut.
    pub cut_mm: f64,
    /// Up to the next whole inch: what is cut by those who measure in inches.
    pub cut_inches: f64,
}

impl CutCord {
    fn new(count: usize, exact_mm: f64) -> CutCord {
        CutCord { count, exact_mm, cut_mm: up_to(exact_mm, 10.0), cut_inches: up_to(exact_mm / MM_PER_INCH, 1.0) }
    }
}

/// Folded cords of one length, where they are not all alike.
#[derive(Clone, Debug, PartialEq)]
pub struct CordGroup {
    /// The columns that they hang in: first and last of each stretch, from 0.
    pub columns: Vec<(usize, usize)>,
    /// Rows down to the lowest of their knots, header and all.
    pub rows: usize,
    /// One leg, millimetres.
    pub(crate) leg_mm: f64,
    /// How many, and how long.
    pub cord: CutCord,
}

/// The cutting list of the cord.
#[derive(Clone, Debug, PartialEq)]
pub struct CutList {
    /// Hanging legs in all.
    pub legs: usize,
    /// One leg, millimetres: H (1 + t) + bottom, with the bare cord above a levelled header.
    pub leg_mm: f64,
    /// The lark's head: 2 pi (B + D) + 3 D, millimetres.
    pub head_mm: f64,
    /// B, the diameter of what the cords hang on, millimetres.
    pub(crate) hung_on_mm: f64,
    /// Cords folded in half: all of them, at the length of the longest. `count` is 0 for a panel of one column.
    pub folded: CutCord,
    /// The same by their lengths, longest first; empty where all are alike.
    pub groups: Vec<CordGroup>,
    /// The odd leg: one single cord with a short end. (Or fold one more cord and knot the last two legs together.)
    pub single: Option<CutCord>,
    /// Mounting strand, where the cords do not hang on the wood itself.
    pub strand: Option<CutCord>,
    /// The cord that the wood hangs by.
    pub(crate) hanger: CutCord,
    /// Everything cut, at the lengths in millimetres as cut, without margin.
    pub total_mm: f64,
    /// With the cord margin.
    pub to_buy_mm: f64,
    /// Spools; `None` when the maker does not say what is on one.
    pub(crate) spools: Option<usize>,
    /// Grams to buy, from the spool or from the diameter.
    pub to_buy_g: f64,
    /// Price of the spools.
    pub(crate) price: Option<f64>,
    /// Distance from one lark's head to the next, millimetres.
    pub head_pitch_mm: f64,
}

/// Grams of one metre of cord: from the spool, else by diameter for cotton (1.52 x 0.43 x pi/4 x D^2, from memory).
pub(crate) fn cord_g_per_m(project: &Project) -> f64 {
    match (project.cord.spool_m, project.cord.spool_g) {
        (Some(m), Some(g)) if m > 0.0 => g / m,
        (_, _) => cotton_g_per_m(project.cord.diameter_mm),
    }
}

/// Grams of one metre of cotton cord by its diameter in millimetres.
pub(crate) fn cotton_g_per_m(diameter_mm: f64) -> f64 {
    1.52 * 0.43 * PI / 4.0 * diameter_mm * diameter_mm
}

/// One leg below the wood, millimetres.
pub(super) fn leg_mm(project: &Project, row_mm: f64, header_rows: usize) -> f64 {
    leg_of_rows(project, row_mm, header_rows + project.chart.rows())
}

/// One leg with so many rows on it, millimetres.
fn leg_of_rows(project: &Project, row_mm: f64, rows: usize) -> f64 {
    rows as f64 * row_mm * (1.0 + project.working.cord_take_up) + project.bottom.length_mm + header::bare_cord(project)
}

/// Diameter of what the cords hang on, millimetres.
fn hung_on_mm(project: &Project) -> f64 {
    match project.hanging.mounting {
        Mounting::OnAStrand => project.cord.diameter_mm,
        Mounting::OnTheWood => project.hanging.diameter_mm,
    }
}

/// The lark's head round something of diameter `on_mm`, millimetres.
pub(super) fn head_mm(on_mm: f64, cord_mm: f64) -> f64 {
    2.0 * PI * (on_mm + cord_mm) + 3.0 * cord_mm
}

pub(super) fn folded_mm(project: &Project, row_mm: f64, header_rows: usize) -> f64 {
    2.0 * leg_mm(project, row_mm, header_rows) + head_mm(hung_on_mm(project), project.cord.diameter_mm)
}

/// The cord that the wood of a panel of this width hangs by, with its knots, millimetres.
pub(super) fn hanger_mm(project: &Project, width_mm: f64) -> f64 {
    let least = width_mm + 2.0 * WOOD_EACH_SIDE_MM;
    let wood = project.hanging.length_mm.unwrap_or(least).max(least);
    let span = (wood - 2.0 * HANGER_IN_MM).max(0.0);
    2.0 * libm::hypot(span / 2.0, span * HANGER_RISE) + 2.0 * HANGER_KNOT_MM
}

pub(super) fn cut_list(project: &Project, gauge: &Gauge, header_rows: usize) -> CutList {
    let columns = project.chart.columns();
    let per_column = usize::from(project.working.legs_per_column);
    let legs = columns * per_column;
    let leg = leg_mm(project, gauge.row_mm, header_rows);
    let head = head_mm(hung_on_mm(project), project.cord.diameter_mm);
    let folded = CutCord::new(legs / 2, folded_mm(project, gauge.row_mm, header_rows));
    let groups: Vec<CordGroup> = cord_groups::groups(project)
        .into_iter()
        .map(|group| {
            let rows = header_rows + group.rows;
            let leg_mm = leg_of_rows(project, gauge.row_mm, rows);
            CordGroup { columns: group.columns, rows, leg_mm, cord: CutCord::new(group.cords, 2.0 * leg_mm + head) }
        })
        .collect();
    // The longest of all reaches to the lowest knot, as the last row does where some column ends there.
    let single = (legs % 2 == 1).then(|| {
        let rows = header_rows + cord_groups::single_rows(project);
        CutCord::new(1, leg_of_rows(project, gauge.row_mm, rows) + head + SINGLE_END_MM)
    });
    let strand = match project.hanging.mounting {
        Mounting::OnAStrand => Some(CutCord::new(1, columns as f64 * gauge.column_mm + 2.0 * STRAND_EACH_SIDE_MM)),
        Mounting::OnTheWood => None,
    };
    let hanger = CutCord::new(1, hanger_mm(project, columns as f64 * gauge.column_mm));
    let cut = |c: &CutCord| c.count as f64 * c.cut_mm;
    let rest = [single.as_ref(), strand.as_ref(), Some(&hanger)];
    let all_folded = match groups.as_slice() {
        [] => cut(&folded),
        groups => groups.iter().map(|group| cut(&group.cord)).sum(),
    };
    let total_mm = all_folded + rest.into_iter().flatten().map(cut).sum::<f64>();
    let to_buy_mm = total_mm * (1.0 + project.working.cord_margin);
    let spools = project.cord.spool_m.filter(|m| *m > 0.0).map(|m| up_to(to_buy_mm / 1000.0 / m, 1.0) as usize);
    CutList {
        legs,
        leg_mm: leg,
        head_mm: head,
        hung_on_mm: hung_on_mm(project),
        folded,
        groups,
        single,
        strand,
        hanger,
        total_mm,
        to_buy_mm,
        spools,
        to_buy_g: to_buy_mm / 1000.0 * cord_g_per_m(project),
        price: spools.zip(project.cord.spool_price).map(|(n, price)| n as f64 * price),
        head_pitch_mm: 2.0 * gauge.column_mm / per_column as f64,
    }
}

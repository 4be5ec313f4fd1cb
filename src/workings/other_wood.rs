//! What wood of another depth asks for: header rows, and with them cord and yarn.

use super::header::{Header, HeaderChoice, rows_for};
use super::purchase::{self, YarnAmount};
use super::{CutList, Gauge, cut_list};
use crate::project::{Mounting, Project};

/// What other wood asks for, against what this panel takes. Everything is reckoned anew for each number of rows, with its
/// lengths, tails and margins, as the amounts are.
pub(super) fn table(
    project: &Project,
    gauge: &Gauge,
    header: &Header,
    now: &CutList,
    amounts: &[YarnAmount],
) -> Vec<HeaderChoice> {
    // No wood hides a row where the cords hang on it.
    if project.hanging.mounting == Mounting::OnTheWood {
        return Vec::new();
    }
    let yarn = project.working.header_yarn;
    let yarn_now_mm = amounts.iter().find(|amount| amount.yarn == yarn).map_or(0.0, |amount| amount.buy.yarn_mm);
    let mut table: Vec<HeaderChoice> = Vec::new();
    for step in depths(header.depth_mm) {
        let depth_mm = step as f64 * 10.0;
        let rows = rows_for(depth_mm, gauge.row_mm);
        let choice = match table.last() {
            Some(before) if before.rows == rows => HeaderChoice { depth_mm, ..*before },
            Some(_) | None => {
                let then = cut_list::cut_list(project, gauge, rows);
                let yarn_mm = match rows == header.rows {
                    true => yarn_now_mm,
                    false => purchase::yarn_with_header(project, gauge, yarn, rows).yarn_mm,
                };
                HeaderChoice {
                    depth_mm,
                    rows,
                    cord_more_mm: more(&then, now),
                    cord_total_more_mm: then.to_buy_mm - now.to_buy_mm,
                    yarn_more_mm: yarn_mm - yarn_now_mm,
                }
            }
        };
        table.push(choice);
    }
    table
}

/// What is added to each folded cord: enough for those of every length.
fn more(then: &CutList, now: &CutList) -> f64 {
    let each = then.groups.iter().zip(&now.groups).map(|(then, now)| then.cord.cut_mm - now.cord.cut_mm);
    each.fold(then.folded.cut_mm - now.folded.cut_mm, f64::max)
}

/// Centimetres of depth in the table: 40 mm to either side of this panel's own wood, and from 0 to 60 mm at least.
fn depths(depth_mm: f64) -> std::ops::RangeInclusive<usize> {
    const AROUND: usize = 4;
    let own = libm::ceil(depth_mm / 10.0).clamp(0.0, 96.0) as usize;
    let first = if own <= 2 * AROUND { 0 } else { own - AROUND };
    first..=(own + AROUND).max(6)
}

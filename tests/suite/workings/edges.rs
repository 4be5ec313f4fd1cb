//! Shaped lower edges: the fleece lies inside the knots everywhere and leaves little of them bare.

use crate::panel::panel;
use hitchpress::chart::{Chart, YarnId};
use hitchpress::project::*;
use hitchpress::workings::*;

/// A panel whose columns end after so many rows.
fn with_ends(ends: &[usize]) -> Project {
    let rows = ends.iter().copied().max().expect("columns");
    let cells = (0..rows).flat_map(|row| ends.iter().map(move |end| (row < *end).then_some(YarnId(0)))).collect();
    let mut project = panel(Chart::new(ends.len(), cells).expect("whole rows"));
    project.finishing.backing = Backing::Fused;
    project
}

/// Steps of three columns and more, as shaped panels have them.
fn random_ends(dice: &mut fastrand::Rng) -> Vec<usize> {
    let columns = dice.usize(40..=90);
    let mut ends = Vec::new();
    let mut end = dice.usize(50..=80);
    while ends.len() < columns {
        ends.extend(std::iter::repeat_n(end, dice.usize(3..=12)));
        end = (end + dice.usize(0..=16)).saturating_sub(8).clamp(40, 100);
    }
    ends.truncate(columns);
    ends
}

#[test]
fn the_fleece_of_fifty_outlines_lies_inside_the_knots_and_covers_nine_tenths_of_them() {
    let mut dice = fastrand::Rng::with_seed(2026);
    for outline in 0..50 {
        let ends = random_ends(&mut dice);
        let work = work_out(&with_ends(&ends));
        let backing = work.hanging.backing.as_ref().expect("a backing");
        if !work.edge.is_shaped() {
            continue;
        }
        let inside = (work.size.width_mm - backing.width_mm) / 2.0;
        let (column_mm, row_mm) = (work.gauge.column_mm, work.gauge.row_mm);
        let mut covered = 0.0;
        for step in &backing.steps {
            covered += (step.to_mm - step.from_mm) * step.height_mm;
            // Everywhere: at every tenth of a millimetre of its width.
            let tenths = ((step.to_mm - step.from_mm) * 10.0) as usize;
            for tenth in 0..=tenths {
                let x = inside + step.from_mm + tenth as f64 / 10.0;
                let column = ((x / column_mm) as usize).min(ends.len() - 1);
                let knots = (work.header.rows + ends[column]) as f64 * row_mm;
                assert!(inside + step.height_mm <= knots + 1e-6, "outline {outline}, {x} mm");
            }
        }
        let knots: f64 = work.edge.ends.iter().map(|end| *end as f64 * row_mm * column_mm).sum();
        assert!(covered >= 0.9 * knots, "outline {outline}: {:.3} of the knots", covered / knots);
        let (from, to) = work.edge.lowest();
        assert!((from..=to).all(|column| work.edge.ends[column] == *work.edge.ends.iter().max().expect("columns")));
    }
}

#[test]
fn a_straight_edge_keeps_its_plain_fleece() {
    let work = work_out(&with_ends(&[60; 50]));
    let backing = work.hanging.backing.expect("a backing");
    assert!(!work.edge.is_shaped() && backing.steps.is_empty());
}

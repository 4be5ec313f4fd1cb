//! Shaped lower edges: the fleece lies inside the knots everywhere and leaves little of them bare.

use crate::panel::panel;
use hitchpress::advice::advise;
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
    let mut labels = 0;
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
        // The label lies on knots everywhere, and is left out only where nothing of its least size would.
        let Some((wide, high)) = work.hanging.label_mm else { continue };
        let (from, to, row) = work.hanging.label_place.expect("a label has a place");
        assert!((to - from + 1) as f64 * column_mm >= wide - 1e-6, "outline {outline}");
        assert!((work.header.rows + row) as f64 * row_mm >= high - 1e-6, "outline {outline}");
        assert!((from..=to).all(|column| ends[column] >= row), "outline {outline}");
        labels += 1;
    }
    assert!(labels >= 25, "only {labels} outlines have a label");
}

#[test]
fn a_straight_edge_keeps_its_plain_fleece() {
    let work = work_out(&with_ends(&[60; 50]));
    let backing = work.hanging.backing.expect("a backing");
    assert!(!work.edge.is_shaped() && backing.steps.is_empty());
}

/// Own computation: both sides, the step of 20 rows, the width, and 50 mm to turn in, up to whole centimetres.
#[test]
fn the_ribbon_of_a_shaped_panel_follows_its_edge() {
    let work = work_out(&with_ends(&[[60; 25], [40; 25]].concat()));
    let rows = (work.header.rows + 60) + (work.header.rows + 40) + 20;
    let way = rows as f64 * work.gauge.row_mm + 50.0 * work.gauge.column_mm;
    let ribbon = work.hanging.ribbon_mm.expect("a ribbon");
    assert!((ribbon - ((way + 50.0) / 10.0).ceil() * 10.0).abs() < 1e-6, "{ribbon} for {way}");
}

#[test]
fn a_backing_shows_where_cells_are_bare_above_other_knots_and_nowhere_else() {
    let shows = |project: &Project| advise(project, &work_out(project)).iter().any(|said| said.id == "backing-shows");
    let mut project = with_ends(&[60; 50]);
    assert!(!shows(&project) && !shows(&with_ends(&[[60; 25], [40; 25]].concat())));
    let mut cells = project.chart.cells().to_vec();
    cells[20 * 50 + 7] = None;
    project.chart = Chart::new(50, cells).expect("whole rows");
    assert!(shows(&project));
}

/// The cord that reaches below a column's last knot, by the formula of one leg.
fn reaches_mm(project: &Project, work: &Workings, rows: usize) -> f64 {
    let knotted = (work.header.rows + rows) as f64 * work.gauge.row_mm;
    knotted * (1.0 + project.working.cord_take_up) + project.bottom.length_mm
}

#[test]
fn cords_over_high_columns_are_shorter_where_ends_follow_the_edge_and_never_too_short() {
    let mut dice = fastrand::Rng::with_seed(2027);
    let mut grouped = 0;
    for outline in 0..200 {
        let ends = random_ends(&mut dice);
        let mut project = with_ends(&ends);
        project.working.first_row_from = if dice.bool() { Side::Left } else { Side::Right };
        project.working.legs_per_column = if dice.bool() { 1 } else { 2 };
        let plain = work_out(&project);
        assert!(plain.cords.groups.is_empty(), "outline {outline}: ends in one straight line");
        project.bottom.edge = BottomEdge::Following;
        project.bottom.by_columns = true;
        let work = work_out(&project);
        assert!(work.cords.total_mm <= plain.cords.total_mm, "outline {outline}");
        if work.cords.groups.is_empty() {
            continue;
        }
        grouped += 1;
        assert!((2..=3).contains(&work.cords.groups.len()));
        assert_eq!(work.cords.groups.iter().map(|group| group.cord.count).sum::<usize>(), plain.cords.folded.count);
        let folded = work.cords.folded.cut_mm * work.cords.folded.count as f64;
        let cut: f64 = work.cords.groups.iter().map(|group| group.cord.cut_mm * group.cord.count as f64).sum();
        assert!(cut < folded, "outline {outline}: {cut} of {folded} mm");
        // Every column but the single cord's hangs in one group, and its cord reaches.
        let mut times = vec![0; ends.len()];
        for group in &work.cords.groups {
            for (from, to) in &group.columns {
                for column in *from..=*to {
                    times[column] += 1;
                    let half = (group.cord.cut_mm - work.cords.head_mm) / 2.0;
                    assert!(half + 1e-6 >= reaches_mm(&project, &work, ends[column]), "outline {outline}, {column}");
                }
            }
        }
        let single = work.cords.single.map(|_| match project.working.first_row_from {
            Side::Left => ends.len() - 1,
            Side::Right => 0,
        });
        for (column, times) in times.into_iter().enumerate() {
            assert_eq!(times, usize::from(Some(column) != single), "outline {outline}, column {column}");
        }
        if let (Some(column), Some(cord)) = (single, &work.cords.single) {
            let leg = cord.cut_mm - work.cords.head_mm - SINGLE_END_MM;
            assert!(leg + 1e-6 >= reaches_mm(&project, &work, ends[column]), "outline {outline}");
        }
    }
    assert!(grouped >= 50, "{grouped} outlines have cords of several lengths");
}

/// Own computation: half of the columns end after 40 of 100 rows, so half of the cords are cut for 40: 20 cords of 100
/// rows and 20 of 40 are all there is to say.
#[test]
fn two_heights_are_two_lengths_and_a_small_step_is_none() {
    let mut project = with_ends(&[[100; 20], [40; 20]].concat());
    project.bottom.edge = BottomEdge::Following;
    project.bottom.by_columns = true;
    let groups = work_out(&project).cords.groups;
    let told: Vec<_> = groups.iter().map(|group| (group.columns.clone(), group.cord.count, group.rows)).collect();
    let header = work_out(&project).header.rows;
    assert_eq!(told, [(vec![(0, 19)], 10, header + 100), (vec![(20, 39)], 10, header + 40)]);
    let mut project = with_ends(&[[100; 20], [97; 20]].concat());
    project.bottom.edge = BottomEdge::Following;
    project.bottom.by_columns = true;
    assert!(work_out(&project).cords.groups.is_empty());
}

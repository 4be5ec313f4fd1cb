//! Figures that are printed rounded or not at all, against values worked by hand: columns of 7 mm, rows of 4 mm, 40 mm of yarn a
//! knot, cord of 3 mm on a strand along a rod of 20 mm.

use super::*;
use crate::diag::Report;
use crate::project::trial::TWO_STRIPES;
use crate::project::{self, BottomFinish, Hardness, Method, Mounting, Pace};
use crate::source::Sources;
use core::f64::consts::PI;

fn panel(chart: &str) -> Project {
    let (folder, mut sources, mut report) = (std::path::PathBuf::from("nowhere"), Sources::in_memory(), Report::new());
    sources.lay_over(folder.join("project.toml"), TWO_STRIPES.into());
    sources.lay_over(folder.join("chart.txt"), chart.into());
    let mut project = project::load(&folder, &mut sources, &mut report).expect("a project");
    (project.swatch.column_mm, project.swatch.row_mm, project.swatch.knot_mm) = (Some(7.0), Some(4.0), Some(40.0));
    (project.cord.spool_m, project.cord.spool_g) = (Some(100.0), Some(460.0));
    for yarn in &mut project.palette.0 {
        (yarn.ball_m, yarn.ball_g) = (Some(100.0), Some(50.0));
    }
    project.working.header_rows = Some(0);
    project.working.cord_take_up = 0.0;
    (project.working.length_mm, project.working.tail_mm) = (1_500.0, 75.0);
    (project.working.longest_carry_mm, project.working.carry_slack) = (25.0, 0.1);
    project.working.most_rows_waiting = 2;
    project.working.method = Method::Areas;
    project.hanging.mounting = Mounting::OnAStrand;
    (project.hanging.diameter_mm, project.hanging.length_mm) = (20.0, Some(300.0));
    project.hanging.hardness = Hardness::Hard;
    (project.bottom.finish, project.bottom.length_mm) = (BottomFinish::Fringe, 100.0);
    project
}

fn rows_of(row: &str, count: usize) -> String {
    format!("{row}\n").repeat(count)
}

fn close(found: f64, expected: f64) {
    assert!((found - expected).abs() < 1e-3, "found {found}, expected {expected}");
}

/// Grams of the yarn that the plan takes, at half a gram a metre.
fn yarn_g(w: &Workings) -> f64 {
    w.amounts.iter().map(|amount| amount.used_mm).sum::<f64>() / 2_000.0
}

#[test]
fn the_panel_weighs_its_cord_its_yarn_and_the_wood() {
    let w = work_out(&panel(&rows_of("AAAA", 10)));
    // Own computation: forty knots in turns of a row to the next, each 1.1 times 4 mm; two tails for each length.
    assert!(yarn_g(&w) * 2_000.0 >= 40.0 * 40.0 + 9.0 * 4.4, "{}", yarn_g(&w));
    // Four legs of 10 x 4 + 100, two heads of 2 pi (3 + 3) + 3 x 3, a strand of 4 x 7 + 12 in; 4.6 g a metre.
    let heads_and_strand = 2.0 * (12.0 * PI + 9.0) + 28.0 + 304.8;
    close(w.hanging.panel_g, (4.0 * 140.0 + heads_and_strand) * 0.0046 + yarn_g(&w));
    // A rod of 2 x 30 cm: pi cm2 by 30 cm at 0.72 g/cm3.
    close(w.hanging.wood_g, PI * 30.0 * 0.72);
    close(w.hanging.total_g, w.hanging.panel_g + PI * 30.0 * 0.72);
    close(w.hanging.hanger_least_g, 2.0 * w.hanging.total_g);
    assert!(!w.hanging.mass_is_estimated);

    let mut project = panel(&rows_of("AAAA", 10));
    (project.bottom.finish, project.hanging.hardness) = (BottomFinish::Trimmed, Hardness::Soft);
    let trimmed = work_out(&project);
    close(trimmed.hanging.panel_g, (4.0 * 40.0 + heads_and_strand) * 0.0046 + yarn_g(&trimmed));
    close(trimmed.hanging.wood_g, PI * 30.0 * 0.55);
    project.bottom.finish = BottomFinish::FoldedBack;
    close(work_out(&project).hanging.panel_g, w.hanging.panel_g);

    // Five legs: two folded cords and a single one, three heads.
    let odd = work_out(&panel(&rows_of("AAAAA", 10)));
    let cord = 5.0 * 140.0 + 3.0 * (12.0 * PI + 9.0) + 35.0 + 304.8;
    close(odd.hanging.panel_g, cord * 0.0046 + yarn_g(&odd));
}

#[test]
fn cords_that_end_higher_weigh_less() {
    let mut project = panel(&format!("{}{}", rows_of("AAAA", 4), rows_of("..AA", 16)));
    let all = work_out(&project);
    project.bottom.by_columns = true;
    let by_columns = work_out(&project);
    let rows: Vec<usize> = by_columns.cords.groups.iter().map(|group| group.rows).collect();
    assert_eq!((all.cords.groups.len(), rows), (0, vec![20, 4]));
    // Own computation: two legs of sixteen rows of 4 mm, 4.6 g a metre.
    close(all.hanging.panel_g - by_columns.hanging.panel_g, 2.0 * 64.0 * 0.0046);
}

#[test]
fn what_has_no_band_is_weighed_by_its_diameter() {
    let mut project = panel(&rows_of("AAAA", 10));
    let known = work_out(&project);
    project.palette.0[1].ball_g = None;
    assert!(!work_out(&project).hanging.mass_is_estimated, "a yarn that is not used weighs nothing");
    project.palette.0[0].ball_g = None;
    let w = work_out(&project);
    assert!(w.hanging.mass_is_estimated);
    // Cotton fills 0.43 of a round cord at 1.52 g/cm3 (from memory); yarn of 2.54 mm.
    let g_per_m = 1.52 * 0.43 * PI / 4.0 * 2.54 * 2.54;
    close(w.hanging.panel_g - known.hanging.panel_g, yarn_g(&w) * 2.0 * (g_per_m - 0.5));
    // A ball of no length tells nothing.
    (project.palette.0[0].ball_g, project.palette.0[0].ball_m) = (Some(50.0), Some(0.0));
    close(work_out(&project).hanging.panel_g, w.hanging.panel_g);
    project.palette.0[0].ball_m = Some(100.0);
    project.cord.spool_m = None;
    assert!(work_out(&project).hanging.mass_is_estimated);
}

#[test]
fn a_label_is_a_third_of_a_narrow_panel_and_lies_on_knots() {
    let mut project = panel(&rows_of("AAAAAAAAAAAA", 20));
    project.finishing.label = true;
    // Own computation: 84 mm / 3, two thirds as high; 4 columns of 7 mm from the first on, as low as the last row.
    let w = work_out(&project);
    let (width, height) = w.hanging.label_mm.expect("a label");
    close(width, 28.0);
    close(height, 28.0 * 2.0 / 3.0);
    assert_eq!(w.hanging.label_place.map(|(from, to, row)| (to - from, row)), Some((3, 20)));
    // Seven rows, 28 mm high: three quarters of that.
    project.chart = panel(&rows_of("AAAAAAAAAAAA", 7)).chart;
    close(work_out(&project).hanging.label_mm.expect("a label").0, 21.0);
    // Forty columns: no label is wider than 60 mm.
    project.chart = panel(&rows_of(&"A".repeat(40), 30)).chart;
    close(work_out(&project).hanging.label_mm.expect("a label").0, 60.0);
    // Six columns, 42 mm: a third is smaller than the least label.
    project.chart = panel(&rows_of("AAAAAA", 30)).chart;
    assert_eq!(work_out(&project).hanging.label_mm, None);
    // A strip of five columns below a row of twelve: the label lies in the strip, as far to the right as it can.
    let strip = format!("{}{}", rows_of("AAAAAAAAAAAA", 1), rows_of("...AAAAA....", 20));
    project.chart = panel(&strip).chart;
    assert_eq!(work_out(&project).hanging.label_place, Some((4, 7, 21)));
}

#[test]
fn fleece_and_ribbon_follow_a_step() {
    let mut project = panel(&format!("{}{}", rows_of("AAA", 5), rows_of("AA.", 5)));
    project.swatch.column_mm = Some(10.0);
    let gauge = gauge(&project);
    let edge = edge::lower_edge(&project, 0);
    assert_eq!((edge.ends.as_slice(), edge.has_holes, edge.is_shaped()), (&[10, 10, 5][..], false, true));
    // Own computation: 40 and 20 mm at the sides, a step of 20, three columns of 10; with 50 turned in.
    close(edge.way_mm(&gauge), 110.0);
    close(edge::ribbon_mm(&edge, &gauge, 50.0), 160.0);
    close(edge::ribbon_mm(&edge, &gauge, 51.0), 170.0);
    // 0.08 x 1,000 mm2 / 140 mm is less than 1.5 mm, so 1.5 mm inside all round, and of each height 3 mm less.
    let steps = edge::fleece(&edge, &gauge);
    let found: Vec<[f64; 3]> = steps.iter().map(|step| [step.from_mm, step.to_mm, step.height_mm]).collect();
    assert_eq!(found, [[0.0, 17.0, 37.0], [17.0, 27.0, 17.0]]);
    // Two columns side by side as low as can be, six rows high: rows 1 to 10.
    assert_eq!(edge.place_of((20.0, 24.0), &gauge), Some((0, 1, 10)));
    assert_eq!(edge.place_of((21.0, 20.0), &gauge), Some((0, 2, 5)));
    assert_eq!(edge.place_of((21.0, 21.0), &gauge), None);
}

#[test]
fn a_large_panel_takes_its_fleece_a_quarter_of_an_inch_inside() {
    let mut project =
        panel(&format!("{}{}", rows_of(&"A".repeat(60), 90), rows_of(&format!("{}.", "A".repeat(59)), 10)));
    project.swatch.column_mm = Some(10.0);
    let gauge = gauge(&project);
    let edge = edge::lower_edge(&project, 0);
    // Own computation: (59 x 100 + 90) x 40 mm2 = 239,600; round 400 + 360 + 40 + 600 + 600 = 2,000 mm: 9.58 mm, so 6.35.
    let steps = edge::fleece(&edge, &gauge);
    assert_eq!(steps.len(), 2);
    close(steps[0].to_mm, 590.0 - 12.7);
    close(steps[1].to_mm, 600.0 - 12.7);
    // 400 - 12.7 and 360 - 12.7, down to whole millimetres.
    assert_eq!((steps[0].height_mm, steps[1].height_mm), (387.0, 347.0));
}

#[test]
fn bare_cells_above_knots_are_holes_and_below_them_are_none() {
    let edge = |chart: &str| edge::lower_edge(&panel(chart), 2);
    assert!(edge("AA\nA.\nAA\n").has_holes);
    assert!(edge("A.\nAA\n").has_holes);
    assert!(!edge("AA\nA.\n").has_holes);
    assert_eq!(edge("A.\nA.\n").ends, [4, 2]);
}

#[test]
fn the_steps_that_can_leave_a_run_are_those_within_the_longest_carry() {
    let project = panel(&rows_of("ABABABAB", 12));
    let limits = PlanLimits::new(&project, &gauge(&project));
    // Own computation: sqrt((7 a)2 + (4 d)2) <= 25 for a up to 3, d from 0 to 3 (two rows between), to either side.
    assert_eq!(limits.window(), 2 * 4 * 4);
    assert_eq!(limits.cost(3, 0), Some(23_100));
    assert_eq!(limits.cost(4, 0), None);
    // 1.1 x sqrt(14 x 14 + 8 x 8) mm.
    assert_eq!(limits.cost(2, 2), Some(17_737));
    assert_eq!(limits.cost(0, 4), None);
}

#[test]
fn a_way_of_working_in_two_figures_is_what_the_whole_reckoning_says() {
    let project = panel(&rows_of("AABABBAB", 9));
    for method in [Method::Areas, Method::Carry] {
        let mut own = project.clone();
        own.working.method = method;
        if method != project.working.method {
            own.working.longest_carry_mm = method.usual_longest_carry_mm();
        }
        let w = work_out(&own);
        let figures = method_figures(&project, method);
        let used_mm: f64 = w.amounts.iter().map(|amount| amount.used_mm).sum();
        close(figures.used_um as f64 / 1_000.0, used_mm);
        assert_eq!(Some(figures.most_hanging), w.rows.iter().map(|row| row.hanging).max());
        assert!(figures.most_hanging > 0);
    }
}

#[test]
fn time_is_cords_knots_and_joins_at_the_makers_pace() {
    let mut project = panel(&rows_of("AAAAA", 10));
    assert_eq!(work_out(&project).time, None);
    let pace = Pace { knots_per_minute: 2.0, mount_minutes: 3.0, join_minutes: 5.0 };
    project.pace = Some(pace);
    let w = work_out(&project);
    let time = w.time.expect("a pace");
    // Own computation: three heads of 3 minutes, 50 knots of half a minute, 5 minutes for every length.
    let lengths = w.amounts[0].pieces as f64;
    close(time.reckoned_minutes, 9.0 + 25.0 + 5.0 * lengths);
    close(time.least_minutes, 0.9 * time.reckoned_minutes);
    close(time.most_minutes, 1.3 * time.reckoned_minutes);
    close(time::minutes_of_row(pace, &w.rows[0]), 2.5 + 5.0 * w.rows[0].joins as f64);
    let still = Pace { knots_per_minute: 0.0, ..pace };
    close(time::minutes_of_row(still, &w.rows[0]), 0.0);
    project.pace = Some(still);
    assert_eq!(work_out(&project).time, None);
}

#[test]
fn slits_are_three_rows_or_more_and_linked_in_every_second() {
    let slits = |rows: usize| {
        let mut project = panel(&rows_of("AAABBB", rows));
        project.working.method = Method::Areas;
        work_out(&project).slits
    };
    assert_eq!(slits(2), []);
    let three = slits(3);
    assert_eq!(three.len(), 1);
    assert_eq!((three[0].left.0, three[0].first.0, three[0].last.0, three[0].rows()), (2, 0, 2, 3));
    // Beside a bare cell nothing gapes, and what was open above it ends there.
    let beside_bare = |rows: &[&str]| {
        work_out(&panel(&format!("{}\n", rows.join("\n")))).slits.iter().map(Slit::rows).collect::<Vec<_>>()
    };
    let (both, left, right) = ("AAABBB", "AAA.BB", "AA.BBB");
    assert_eq!(beside_bare(&[both, both, both, left, left, left]), [3]);
    assert_eq!(beside_bare(&[both, both, both, right, right, right]), [3]);
    assert_eq!(beside_bare(&[left, left, left, both, both]), Vec::<usize>::new());
    let linked: Vec<usize> = (0..7).filter(|&row| slits(6)[0].is_linked_in(crate::chart::Row(row))).collect();
    assert_eq!(linked, [1, 3, 5]);
}

/// What is told of a project that cannot be knotted.
fn told(change: impl FnOnce(&mut Project)) -> Vec<&'static str> {
    let mut project = panel(&rows_of("AABB", 6));
    change(&mut project);
    feasible(&project).iter().map(|fault| fault.id).collect()
}

#[test]
fn measures_at_the_limits_are_let_by_and_those_beyond_are_told() {
    assert_eq!(told(|_| ()), Vec::<&str>::new());
    for (let_by, absurd) in [(0.2, 0.19), (200.0, 200.1)] {
        assert_eq!(told(|p| p.swatch.column_mm = Some(let_by)), Vec::<&str>::new(), "{let_by}");
        assert_eq!(told(|p| p.swatch.column_mm = Some(absurd)), ["absurd-gauge"]);
        assert_eq!(told(|p| p.swatch.row_mm = Some(absurd)), ["absurd-gauge"]);
    }
    assert_eq!(told(|p| p.palette.0[1].knot_mm = Some(0.4)), ["absurd-gauge"]);
    assert_eq!(told(|p| p.palette.0[1].knot_mm = Some(2_001.0)), ["absurd-gauge"]);
    assert_eq!(told(|p| p.bottom.length_mm = -1.0), ["absurd-measure"]);
    assert_eq!(told(|p| p.working.carry_slack = 1_000_001.0), ["absurd-measure"]);
    // Own computation: two tails of 75 mm, and a knot of 40 mm beside them.
    assert_eq!(told(|p| p.working.length_mm = 150.0), ["tails-longer-than-length"]);
    assert_eq!(told(|p| p.working.length_mm = 189.0), ["length-too-short", "length-too-short"]);
    assert_eq!(told(|p| p.working.length_mm = 190.0), Vec::<&str>::new());
    assert_eq!(told(|p| p.working.header_rows = Some(400)), ["header-too-deep"]);
    assert_eq!(told(|p| p.working.header_rows = Some(398)), Vec::<&str>::new());
}

#[test]
fn what_heads_a_column_is_read_off_a_tape() {
    // Own computation: 16 x 5.598 = 89.568 mm, to the millimetre 90, more than 28 eighths of an inch (88.9).
    close(own_gauge::as_headed(5.598, Some(16)), 90.0 / 16.0);
    // 88.4 mm are nearest to 28 eighths of an inch, 88.9 mm, and these to 89 mm.
    close(own_gauge::as_headed(5.525, Some(16)), 89.0 / 16.0);
    // 90 mm are on both tapes' marks or above them, and stay.
    close(own_gauge::as_headed(90.0 / 16.0, Some(16)), 90.0 / 16.0);
    close(own_gauge::as_headed(5.525, None), 5.525);
}

#[test]
fn a_swatch_is_a_quarter_of_the_panel_at_most() {
    let of = |columns: usize, rows: usize| own_gauge::swatch(&panel(&rows_of(&"A".repeat(columns), rows)));
    // Own computation: four times 400, 144 and 64 knots.
    assert_eq!((of(40, 40), of(39, 41)), (Some((20, 16)), Some((12, 8))));
    assert_eq!((of(19, 90), of(12, 48), of(12, 47)), (Some((12, 8)), Some((12, 8)), Some((8, 6))));
    assert_eq!((of(8, 32), of(8, 31), of(7, 90)), (Some((8, 6)), None, None));
}

#[test]
fn amounts_rise_from_column_to_column_and_the_booklets_own_stays() {
    let ordered = |amounts: [f64; 5]| {
        let line = |(percent, yarn_mm): (i32, f64)| OwnYarn {
            percent,
            knot_mm: Vec::new(),
            buy: vec![Amount { yarn_mm, ..Amount::default() }],
        };
        let mut lines: Vec<OwnYarn> = [-20, -10, 0, 10, 20].into_iter().zip(amounts).map(line).collect();
        own_gauge::in_order(&mut lines);
        lines.iter().map(|line| line.buy[0].yarn_mm).collect::<Vec<f64>>()
    };
    assert_eq!(ordered([5.0, 9.0, 8.0, 7.0, 12.0]), [5.0, 8.0, 8.0, 8.0, 12.0]);
    assert_eq!(ordered([9.0, 7.0, 8.0, 9.0, 8.5]), [7.0, 7.0, 8.0, 9.0, 9.0]);
    assert_eq!(ordered([1.0, 2.0, 3.0, 4.0, 5.0]), [1.0, 2.0, 3.0, 4.0, 5.0]);
}

#[test]
fn a_straight_panel_has_its_ribbon_round_three_sides() {
    let mut project = panel(&rows_of("AAAA", 10));
    project.finishing.edge_ribbon = true;
    let w = work_out(&project);
    // Own computation: two sides of 40 mm, 28 mm below, 50 mm to turn in.
    close(w.hanging.ribbon_mm.expect("a ribbon"), 158.0);
    close(w.gauge.aspect(), 7.0 / 4.0);
    // Two columns are 14 mm wide: too narrow.
    project.chart = panel(&rows_of("AA", 10)).chart;
    assert_eq!(work_out(&project).hanging.ribbon_mm, None);
}

#[test]
fn each_columns_wood_and_cords_are_those_of_its_pitch() {
    let w = work_out(&panel(&rows_of("AAAA", 10)));
    let wide = w.own_gauge.pitches.iter().find(|pitch| pitch.percent == 30).expect("a column");
    // Own computation: 28 mm and three tenths, an inch at either side; rows of 5.2 mm.
    close(wide.width_mm, 36.4);
    close(wide.wood_least_mm, 36.4 + 50.8);
    close(wide.height_mm, 52.0);
    // Two legs of 52 + 100 mm and a head, up to whole centimetres.
    close(wide.folded_mm, (0.1 * (2.0 * 152.0 + 12.0 * PI + 9.0)).ceil() * 10.0);
}

#[test]
fn cords_of_each_length_are_cut_for_their_own_rows() {
    let mut project = panel(&format!("{}{}", rows_of("AAAA", 4), rows_of("..AA", 16)));
    project.bottom.by_columns = true;
    project.working.header_rows = Some(2);
    let w = work_out(&project);
    // Own computation: two legs of (2 + 20) x 4 + 100 mm and of (2 + 4) x 4 + 100 mm, and a head of 12 pi + 9.
    let exact: Vec<f64> = w.cords.groups.iter().map(|group| group.cord.exact_mm).collect();
    close(exact[0], 2.0 * 188.0 + 12.0 * PI + 9.0);
    close(exact[1], 2.0 * 124.0 + 12.0 * PI + 9.0);
    assert_eq!(w.cords.groups.iter().map(|group| group.cord.count).collect::<Vec<_>>(), [1, 1]);
}

#[test]
fn yarn_hangs_over_bare_cells_between_its_rows_and_is_led_behind_those_of_its_row() {
    let project = panel("AA\nA.\nAA\n.A\n");
    let sheet = runs::sheet(&project, 0);
    // The runs are both of row 1, column 1 of row 2, both of row 3 from the left, column 2 of row 4.
    assert_eq!(sheet.runs.len(), 4);
    assert!(yarn_plan::hangs_over_bare(&sheet, 0, 2), "from column 2 of row 1 over row 2");
    assert!(!yarn_plan::hangs_over_bare(&sheet, 1, 2) && !yarn_plan::hangs_over_bare(&sheet, 0, 1));
    // Into row 2, which begins at its right, past its bare cell; into row 3 from where row 2 ended.
    assert!(yarn_plan::led_behind_bare(&sheet, 0, 1));
    assert!(!yarn_plan::led_behind_bare(&sheet, 1, 2));
    let whole = runs::sheet(&panel("AA\nBB\nAA\n"), 0);
    assert!(!yarn_plan::hangs_over_bare(&whole, 0, 2) && !yarn_plan::led_behind_bare(&whole, 0, 2));
}

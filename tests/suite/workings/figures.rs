//! Worked values, to the printed digits.

use crate::panel::{chart, panel};
use hitchpress::chart::{Chart, Direction, Row, YarnId};
use hitchpress::project::*;
use hitchpress::workings::*;

fn close(found: f64, expected: f64, tolerance: f64) {
    assert!((found - expected).abs() <= tolerance, "found {found}, expected {expected} within {tolerance}");
}

fn filled(columns: usize, rows: usize) -> Project {
    panel(Chart::new(columns, vec![Some(YarnId(0)); columns * rows]).expect("whole rows"))
}

#[test]
fn the_model_gives_the_worked_values() {
    // Own computation: D, d, cD, cd, q -> p_c, p_r, W, L.
    let cases = [
        (3.0, 2.0, 1.0, 1.0, 2.0, 7.000, 4.000, 37.699, 44.699),
        (3.0, 2.54, 0.85, 0.60, 2.2, 5.598, 3.353, 30.385, 35.983),
        (4.0, 2.54, 0.85, 0.60, 2.2, 6.448, 3.353, 35.726, 42.174),
        (3.0, 3.0, 1.0, 1.0, 2.0, 9.000, 6.000, 47.124, 56.124),
    ];
    for (cord, yarn, c_cord, c_yarn, packing, column, row, wrap, knot) in cases {
        let mut project = filled(4, 4);
        project.cord.diameter_mm = cord;
        project.palette.0[0].diameter_mm = yarn;
        project.model = Model { cord_under_tension: c_cord, yarn_under_tension: c_yarn, packing, slack: 1.0 };
        let gauge = work_out(&project).gauge;
        close(gauge.column_mm, column, 5e-4);
        close(gauge.row_mm, row, 5e-4);
        close(gauge.yarns[0].wrap_mm, wrap, 5e-4);
        close(gauge.yarns[0].knot_mm, knot, 6e-4);
        assert_eq!(gauge.yarns[0].from, GaugeFrom::Model);
    }
}

#[test]
fn two_legs_a_column_take_the_way_round_two_cords() {
    let mut project = filled(5, 4);
    project.working.legs_per_column = 2;
    let w = work_out(&project);
    // Own computation: De 2.55, de 1.524: p_c = 2 x 2.55 + 2 x 1.524; W = 2 (pi + 2) 2.55 + 3 pi 1.524.
    close(w.gauge.column_mm, 8.148, 1e-9);
    close(w.gauge.yarns[0].wrap_mm, 40.5855, 1e-3);
    assert_eq!((w.cords.legs, w.cords.folded.count, w.cords.single), (10, 5, None));
    close(w.cords.head_pitch_mm, 8.148, 1e-9);
}

#[test]
fn a_swatch_wins_over_the_model() {
    let mut project = filled(4, 4);
    // Own computation: 91.2 / 16, 54.4 / 16, (1000 - 230 - 74) / 20 mm.
    project.swatch = Swatch {
        column_mm: Some(91.2 / 16.0),
        row_mm: Some(54.4 / 16.0),
        knot_mm: Some((1000.0 - 230.0 - 74.0) / 20.0),
    };
    let gauge = work_out(&project).gauge;
    close(gauge.column_mm, 5.7, 1e-9);
    close(gauge.row_mm, 3.4, 1e-9);
    close(gauge.yarns[0].knot_mm, 34.8, 1e-9);
    assert_eq!((gauge.column_from, gauge.yarns[0].from), (GaugeFrom::Swatch, GaugeFrom::Swatch));
}

#[test]
fn a_yarn_of_its_own_swatch_changes_only_its_own_knots() {
    let mut project = panel(chart(&["AB", "BA"]));
    project.palette.0[1].knot_mm = Some(41.0);
    let gauge = work_out(&project).gauge;
    assert_eq!((gauge.yarns[0].from, gauge.yarns[1].from), (GaugeFrom::Model, GaugeFrom::OwnSwatch));
    close(gauge.yarns[1].knot_mm, 41.0, 0.0);
    close(gauge.column_mm, 5.598, 1e-9);
}

#[test]
fn pitches_belong_to_the_thickest_yarn() {
    let mut project = panel(chart(&["AB", "BA"]));
    project.palette.0[1].diameter_mm = 2.0;
    let gauge = work_out(&project).gauge;
    close(gauge.column_mm, 5.598, 1e-9);
    assert!(gauge.yarns[1].knot_mm < gauge.yarns[0].knot_mm);
}

#[test]
fn size_strand_leg_and_folded_cord_are_those_of_the_formulas() {
    let w = work_out(&filled(60, 80));
    // Own computation, 3 mm cord, 10 wraps per inch, dowel of 12.7 mm.
    close(w.size.width_mm, 335.88, 5e-3);
    close(w.size.height_mm, 268.22, 5e-3);
    assert_eq!(w.amounts[0].knots_in_length, 38);
    close(w.cords.leg_mm, 476.27, 5e-3);
    close(w.cords.head_mm, 107.646, 5e-4);
    close(w.cords.folded.exact_mm, 1060.19, 5e-3);
    assert_eq!((w.cords.folded.count, w.cords.folded.cut_mm, w.cords.folded.cut_inches), (30, 1070.0, 42.0));
}

#[test]
fn cord_without_a_band_is_weighed_by_its_diameter() {
    // From memory: grams a metre of cotton cord.
    for (diameter, grams) in [(3.0, 4.62), (4.0, 8.21), (5.0, 12.83)] {
        let mut project = filled(2, 2);
        project.cord.diameter_mm = diameter;
        project.cord.spool_g = None;
        let w = work_out(&project);
        close(w.cords.to_buy_g / (w.cords.to_buy_mm / 1000.0), grams, 5e-3);
        assert!(w.hanging.mass_is_estimated);
    }
}

#[test]
fn the_two_row_check_comes_out_to_a_hundredth_of_a_millimetre() {
    let project = panel(chart(&["AABA", "ABBA"]));
    let w = work_out(&project);
    // Own computation: yarn A 354.48 mm, yarn B 264.04 mm, one thread each.
    for (plan, (knots, need)) in w.plans.iter().zip([(5, 354.48), (3, 264.04)]) {
        let threads: Vec<Thread> = plan.threads().collect();
        assert_eq!(threads.len(), 1);
        assert_eq!(w.tally.of(plan.yarn).total(), knots);
        close(threads[0].need_um as f64 / 1000.0, need, 0.01);
    }
    assert_eq!((w.plans[0].carries(), w.plans[0].turns()), (2, 1));
}

#[test]
fn header_rows_are_even_and_reach_below_the_wood() {
    let mut project = filled(10, 4);
    project.working.header_rows = None;
    project.hanging.mounting = Mounting::OnAStrand;
    project.hanging.wood = Wood::Branch;
    project.hanging.lower_edge =
        [(0.0, 8.0), (20.0, 17.0), (50.0, 11.0)].map(|(at_mm, depth_mm)| EdgePoint { at_mm, depth_mm }).to_vec();
    let w = work_out(&project);
    // Own computation: (17 + 10) / 3.3528 = 8.05, up to 9, even: 10.
    assert_eq!((w.header.rows, w.header.from), (10, HeaderFrom::LowerEdge));
    close(w.size.height_mm, 14.0 * 3.3528, 1e-9);
    assert_eq!(w.rows.len(), 14);
    assert_eq!(w.rows[0].place, RowPlace::Header(0));
    assert_eq!((w.rows[10].place, w.rows[10].direction), (RowPlace::Chart(Row(0)), Direction::LeftToRight));
    assert_eq!((w.tally.header, w.tally.of(YarnId(0)).header), (100, 100));
    // 100 knots at 38 a length.
    assert_eq!(w.amounts[0].header.lengths, 3);
    assert!(w.header.table.iter().all(|line| line.rows.is_multiple_of(2)));
    let own = w.header.table.iter().find(|line| line.depth_mm == 20.0).expect("a line at 20 mm");
    assert_eq!((own.rows, own.cord_more_mm, own.yarn_more_mm), (10, 0.0, 0.0));
    let deeper = w.header.table.iter().find(|line| line.depth_mm == 30.0).expect("a line at 30 mm");
    // Own computation: (30 + 10) / 3.3528 = 11.93, up to 12: two rows of 10 knots more.
    assert_eq!(deeper.rows, 12);
    // Nothing but what is bought anew, with its lengths and tails; a folded cord as it is cut.
    assert!(deeper.yarn_more_mm >= 20.0 * w.gauge.yarns[0].knot_mm);
    // Own computation: two legs of 2 x 3.3528 x 1.03 each, cut to whole centimetres either way.
    close(deeper.cord_more_mm, 13.8, 10.0 + 1e-9);
}

fn sample_project(name: &str) -> Project {
    let (mut sources, mut report) = (hitchpress::source::Sources::new(), hitchpress::diag::Report::new());
    let folder = crate::support::repository("samples").join(name);
    hitchpress::project::load(&folder, &mut sources, &mut report).expect("the sample loads")
}

/// For every depth of the table, what is printed to add to this panel's amounts is what a panel of so many header rows is
/// reckoned at: never less, and in whole metres at most one length more.
#[test]
fn the_header_table_agrees_with_the_amounts_of_a_panel_with_so_many_rows() {
    for sample in ["low-water-heron", "harbour-evening", "two-pears"] {
        let project = sample_project(sample);
        let now = work_out(&project);
        let yarn = project.working.header_yarn;
        let buy = |workings: &Workings| workings.amounts.iter().find(|it| it.yarn == yarn).expect("the yarn").buy;
        for line in &now.header.table {
            let mut other = project.clone();
            other.working.header_rows = Some(line.rows);
            let then = work_out(&other);
            assert_eq!(then.header.rows, line.rows);
            let printed = |mm: f64| if mm > 0.0 { (mm / 1000.0 - 1e-9).ceil() } else { -(-mm / 1000.0 + 1e-9).floor() };
            let metres = buy(&now).metres as f64 + printed(line.yarn_more_mm);
            let needed = buy(&then).yarn_mm / 1000.0;
            let length = project.working.length_mm / 1000.0;
            assert!(metres >= needed - 1e-9, "{sample}, {} mm: {metres} < {needed}", line.depth_mm);
            assert!(metres <= needed + 1.0 + length, "{sample}, {} mm: {metres} > {needed}", line.depth_mm);
            let cord = (now.cords.to_buy_mm / 1000.0).ceil() + printed(line.cord_total_more_mm);
            assert!(cord >= then.cords.to_buy_mm / 1000.0 - 1e-9, "{sample}, {} mm of wood", line.depth_mm);
            assert!(now.cords.folded.cut_mm + line.cord_more_mm >= then.cords.folded.cut_mm - 1e-9);
        }
    }
}

#[test]
fn an_odd_header_is_raised_so_that_row_one_starts_where_it_should() {
    for side in [Side::Left, Side::Right] {
        let mut project = filled(3, 2);
        project.working.header_rows = Some(5);
        project.working.first_row_from = side;
        let w = work_out(&project);
        let expected = match side {
            Side::Left => Direction::LeftToRight,
            Side::Right => Direction::RightToLeft,
        };
        assert_eq!((w.header.rows, w.rows[6].direction), (6, expected));
    }
}

#[test]
fn an_odd_count_of_columns_hangs_one_single_cord() {
    let w = work_out(&filled(61, 80));
    assert_eq!((w.cords.legs, w.cords.folded.count), (61, 30));
    let single = w.cords.single.expect("a single cord");
    // Own computation: leg, head and an end of 100 mm.
    close(single.exact_mm, 476.27 + 107.646 + 100.0, 1e-2);
    // The hanging cord: wood of 341.5 + 50.8 mm, knots 20 mm inside; 352.3 x 1.118 and 300 mm for the knots, cut at 700.
    close(w.cords.total_mm, 30.0 * 1070.0 + 690.0 + 700.0, 1e-9);
}

#[test]
fn a_mounting_strand_goes_six_inches_past_each_side() {
    let mut project = filled(60, 80);
    project.hanging.mounting = Mounting::OnAStrand;
    let w = work_out(&project);
    // From memory: panel width and 6 in each side.
    close(w.cords.strand.expect("a strand").exact_mm, 335.88 + 304.8, 1e-6);
    // The head goes round the strand: 2 pi (3 + 3) + 9, own computation.
    close(w.cords.head_mm, 46.699, 5e-4);
}

#[test]
fn staples_go_six_millimetres_into_hardwood_and_nine_and_a_half_into_softwood() {
    let mut project = filled(4, 4);
    project.hanging.fixing = Fixing::Staples;
    project.hanging.hardness = Hardness::Soft;
    let staples = work_out(&project).hanging.staples.expect("staples");
    // Common practice, no source: layer + 6, layer + 9.5, and 3 mm of wood left; the layer is the 3 mm cord.
    assert_eq!((staples.hard_leg_mm, staples.soft_leg_mm, staples.leg_mm), (9.0, 12.5, 12.5));
    assert_eq!(staples.wood_least_mm, 12.5);
}

#[test]
fn backing_is_half_an_inch_smaller_and_the_wood_an_inch_longer_each_side() {
    let w = work_out(&filled(60, 80));
    let backing = w.hanging.backing.expect("a backing");
    // Common practice, no source.
    close(backing.width_mm, 335.88 - 12.7, 1e-6);
    close(backing.height_mm, 268.224 - 12.7, 1e-6);
    close(w.hanging.wood_least_mm, 335.88 + 50.8, 1e-6);
}

#[test]
fn balls_cover_the_lengths_with_their_margin() {
    let w = work_out(&filled(60, 80));
    let amount = w.amounts[0].buy;
    // Own computation: one thread of 4800 knots, 79 turns; 38 knots a length at most, a turn costs 3.7 mm.
    assert_eq!(w.amounts[0].threads, 1);
    assert!((127..=129).contains(&amount.lengths), "{}", amount.lengths);
    close(amount.yarn_mm, amount.lengths as f64 * 1524.0 * 1.15, 1e-6);
    assert_eq!(amount.balls, Some((amount.yarn_mm / 100_000.0).ceil() as usize));
    assert_eq!(amount.metres, (amount.yarn_mm / 1000.0).ceil() as usize);
    assert_eq!(amount.price, amount.balls.map(|n| n as f64 * 4.5));
    let left = amount.left_of_last_ball_mm.expect("the band is known");
    assert!((0.0..100_000.0).contains(&left));
}

#[test]
fn the_margin_is_counted_in_lengths_where_looser_hands_need_more_of_them() {
    // Own computation: seven knots and their tails just fit a length; hands a tenth looser tie six, and each row of
    // seven is a thread of its own that needs a second length.
    let mut project = panel(chart(&["AAAAAAA", ".......", "AAAAAAA", ".......", "AAAAAAA", ".......", "AAAAAAA"]));
    project.swatch = Swatch { column_mm: Some(5.6), row_mm: Some(3.4), knot_mm: Some(36.0) };
    project.working.length_mm = 7.0 * 36.0 + 2.0 * 76.2 + 1.0;
    let w = work_out(&project);
    let amount = w.amounts[0].buy;
    assert_eq!((w.amounts[0].threads, amount.lengths), (4, 4));
    close(amount.yarn_mm, 8.0 * project.working.length_mm, 1e-6);
    // With room to spare on every length the plain margin is enough.
    project.working.length_mm = 7.0 * 36.0 * 1.3 + 2.0 * 76.2;
    let amount = work_out(&project).amounts[0].buy;
    close(amount.yarn_mm, 4.0 * 1.15 * project.working.length_mm, 1e-6);
    // Without a margin nothing is added but what uneven lengths ask for.
    project.working.yarn_margin = 0.0;
    close(work_out(&project).amounts[0].buy.yarn_mm, 4.0 * project.working.length_mm, 1e-6);
}

#[test]
fn no_column_of_the_own_gauge_table_is_smaller_than_one_for_tighter_hands() {
    let mut rng = fastrand::Rng::with_seed(17);
    for _ in 0..60 {
        let mut project = panel(crate::panel::random_chart(&mut rng, 24, 3));
        project.working.length_mm = 300.0 + 600.0 * rng.f64();
        let lines = work_out(&project).own_gauge.yarns;
        for pair in lines.windows(2) {
            let amounts = |line: &OwnYarn| -> Vec<f64> { line.buy.iter().map(|a| a.yarn_mm).collect() };
            assert!(amounts(&pair[0]).iter().zip(amounts(&pair[1])).all(|(a, b)| *a <= b));
        }
    }
}

#[test]
fn the_own_gauge_table_agrees_with_the_booklet_at_no_difference() {
    let w = work_out(&panel(chart(&["AABBAABBAC", "ABBBAABACC", "AABBAABBBC"])));
    let same = w.own_gauge.yarns.iter().find(|line| line.percent == 0).expect("a line at 0");
    for (at, amount) in w.amounts.iter().enumerate() {
        assert_eq!(same.buy[at], amount.buy);
    }
    let same = w.own_gauge.pitches.iter().find(|line| line.percent == 0).expect("a line at 0");
    assert_eq!((same.width_mm, same.folded_mm), (w.size.width_mm, w.cords.folded.cut_mm));
    let lengths = |percent| {
        let line = w.own_gauge.yarns.iter().find(|line| line.percent == percent).expect("a line");
        line.buy.iter().map(|a| a.lengths).sum::<usize>()
    };
    assert!(lengths(-20) <= lengths(0) && lengths(0) <= lengths(30));
}

#[test]
fn a_class_rounds_balls_up_once_and_not_for_each_student() {
    let mut project = filled(10, 10);
    project.pace = Some(Pace { knots_per_minute: 2.0, join_minutes: 1.0, mount_minutes: 2.0 });
    project.class.session_hours = vec![0.5, 0.5, 1.0];
    let w = work_out(&project);
    let kit = class_kit(&project, &w, 9);
    assert_eq!((kit.bags, kit.tool_sets), (10, 5));
    let yarn = &kit.yarns[0];
    // Own computation: 100 knots, 3 lengths; hands a sixth looser (two thirds of a quarter) tie 32 knots a length instead
    // of 38 and need 4, more than a quarter over 3: 4 x 1.524 m a bag, 60.96 m a class, one ball of 100 m.
    assert_eq!((yarn.bag.lengths, yarn.bag.balls, yarn.class.balls), (3, Some(1), Some(1)));
    close(yarn.class.yarn_mm, 60_960.0, 1e-6);
    // Own computation: mounting 5 cords 10 min, row of 10 knots 5 min, starts and joins 1 min each.
    assert_eq!(kit.stops.len(), 3);
    assert!(kit.stops[2].is_finished && !kit.stops[0].is_finished);
    assert!(kit.stops[0].after < kit.stops[1].after);
    let time = w.time.expect("a pace is stated");
    close(time.reckoned_minutes, 10.0 + 50.0 + 3.0, 1e-9);
}

use super::curve::{CurvePoint, sampled};
use super::follow::{Winding, follow};
use super::model::{CordEnd, Knot};
use super::*;
use crate::diag::{Report, SourceId};
use crate::page::Segment;

fn shipped(name: &str) -> Figure {
    match Figures::shipped().read(name) {
        Some(Ok(figure)) => figure.clone(),
        Some(Err(report)) => panic!("{name}: {report:?}"),
        None => panic!("{name} is not shipped"),
    }
}

fn read(text: &str) -> Result<Figure, Report> {
    file::read("trial", text, SourceId(0), file::Crossings::Checked, &|_| None)
}

/// A yarn through `places` round a cord that hangs at 18 mm.
fn tied(places: &[[f64; 3]]) -> Winding {
    let cord = |id: &str, kind, places: &[[f64; 3]]| Cord {
        id: id.to_string(),
        kind,
        curve: sampled(&places.iter().map(|&p| CurvePoint::smooth(p, 2.0)).collect::<Vec<_>>()),
        start: CordEnd::RunsOn,
        finish: CordEnd::RunsOn,
    };
    let cords = vec![
        cord("cord", CordKind::Cord, &[[18.0, 0.0, 0.0], [18.0, 44.0, 0.0]]),
        cord("yarn", CordKind::Yarn, places),
    ];
    let panel = Stage {
        size: [36.0, 44.0],
        cords,
        plates: Vec::new(),
        lines: Vec::new(),
        labels: Vec::new(),
        claims: Vec::new(),
    };
    let found = follow(&panel, "yarn", "cord").remove(0);
    let mirrored = follow(&panel.mirrored(), "yarn", "cord").remove(0);
    // Own computation: a mirror turns every crossing's sign and leaves over and under as they are.
    assert_eq!(mirrored.turns, -found.turns);
    assert_eq!((&mirrored.passes, mirrored.locked), (&found.passes, found.locked));
    found
}

#[test]
fn every_shipped_figure_reads_without_a_fault() {
    for name in Figures::shipped().names() {
        assert!(!shipped(name).panels.is_empty());
    }
}

#[test]
fn every_double_half_hitch_that_is_drawn_is_one_and_every_larks_head_is_not() {
    let (mut hitches, mut heads, mut others) = (0, 0, 0);
    for name in Figures::shipped().names() {
        for panel in shipped(name).panels {
            let mirror = panel.mirrored();
            for claim in &panel.claims {
                let all = follow(&panel, &claim.yarn, &claim.round);
                let mirrored = follow(&mirror, &claim.yarn, &claim.round);
                assert!(!all.is_empty() && all.len() == mirrored.len(), "{name}: {claim:?}");
                for (found, mirrored) in all.iter().zip(&mirrored) {
                    assert_eq!(mirrored.turns, -found.turns, "{name}: the mirror image winds the other way");
                    match claim.knot {
                        Knot::DoubleHalfHitch => {
                            hitches += 1;
                            assert!(found.is_double_half_hitch(), "{name}: {claim:?} {found:?}");
                            assert!(mirrored.is_double_half_hitch(), "{name}: the mirror image is a hitch too");
                        }
                        Knot::LarksHead => {
                            heads += 1;
                            // Own computation: two passes wind one way and two the other.
                            assert_eq!((found.turns, found.passes.len()), (0, 4), "{name}: {claim:?} {found:?}");
                            assert!(!found.is_double_half_hitch());
                        }
                        Knot::Link => {
                            others += 1;
                            // Own computation: once round is two crossings, once over and once under, of one sign.
                            assert_eq!(found.signs.len(), 2, "{name}: {claim:?} {found:?}");
                            assert_eq!(found.signs[0], found.signs[1]);
                            assert_ne!(found.passes[0], found.passes[1]);
                        }
                        Knot::HalfKnot => {
                            others += 1;
                            // Own computation: an overhand knot of two strands is three half turns, so each has three
                            // crossings of one sign, over and under by turns; a second knot winds the other way.
                            assert!(matches!(found.signs.len(), 3 | 6), "{name}: {claim:?} {found:?}");
                            for knot in found.signs.chunks(3) {
                                assert!(knot.iter().all(|s| *s == knot[0]), "{name}: {claim:?} {found:?}");
                            }
                            assert!(found.signs.get(3).is_none_or(|s| *s == -found.signs[0]));
                            assert!(found.passes.chunks(3).all(|p| p[0] != p[1] && p[1] != p[2]));
                        }
                    }
                }
            }
        }
    }
    assert!(hitches >= 20 && heads >= 2 && others >= 5, "{hitches} hitches, {heads} lark's heads, {others} others");
}

#[test]
fn the_two_working_directions_wind_opposite_ways() {
    let turns = |name: &str| {
        let figure = shipped(name);
        let last = figure.panels.last().expect("a stage").clone();
        follow(&last, "yarn", "cord")[0].turns
    };
    assert_eq!(turns("hitch-left-to-right"), -turns("hitch-right-to-left"));
    // Own computation: two turns of a clove hitch.
    assert_eq!(turns("hitch-left-to-right").abs(), 2);
}

/// The loose knot of the third stage, place by place: tail, first wrap, riding part, second wrap, end.
const LOOSE: [[f64; 3]; 16] = [
    [1.0, 18.0, -0.6],
    [18.0, 17.4, -0.8],
    [27.0, 12.4, 0.4],
    [18.0, 7.6, 1.0],
    [7.0, 8.0, -0.6],
    [6.0, 14.0, -1.8],
    [11.5, 23.6, -2.0],
    [18.0, 25.2, -2.0],
    [23.0, 26.0, -2.0],
    [27.4, 30.0, -2.0],
    [24.4, 35.4, 0.4],
    [18.0, 35.2, 1.0],
    [8.2, 31.2, 0.0],
    [18.0, 30.2, -0.6],
    [23.0, 30.8, -0.6],
    [34.5, 27.8, -0.4],
];

#[test]
fn a_clove_hitch_tied_place_by_place_is_a_double_half_hitch() {
    let found = tied(&LOOSE);
    // Own computation: five passes of one sign, less the closing one: half of 4.
    assert_eq!((found.turns.abs(), found.passes), (2, vec![false, true, false, true, false]));
    assert!(found.locked);
}

#[test]
fn a_spiral_of_two_turns_is_not_a_hitch() {
    // Round and round downwards: the same turns as a clove hitch, and nothing holds the ends.
    let mut places = vec![[2.0, 8.0, -1.0]];
    for turn in 0..2 {
        let y = 10.0 + 12.0 * f64::from(turn);
        places.extend([[18.0, y, -1.0], [27.0, y + 3.0, 0.0], [18.0, y + 6.0, 1.0], [9.0, y + 9.0, 0.0]]);
    }
    places.extend([[18.0, 34.0, -1.0], [34.0, 36.0, -1.0]]);
    let found = tied(&places);
    assert_eq!(found.turns.abs(), 2);
    assert!(!found.locked && !found.is_double_half_hitch());
}

#[test]
fn a_hitch_whose_end_runs_outside_the_loop_is_not_a_hitch() {
    // The last part lies farther from the cord than the riding part, which then holds the tail only.
    let mut places = LOOSE;
    for place in &mut places[13..] {
        place[2] = -3.0;
    }
    let found = tied(&places);
    assert_eq!(found.turns.abs(), 2);
    assert!(!found.locked && !found.is_double_half_hitch());
}

#[test]
fn a_hitch_whose_tail_lies_outside_the_riding_part_is_not_a_hitch() {
    let mut places = LOOSE;
    places[0][2] = -4.0;
    places[1][2] = -3.0;
    let found = tied(&places);
    assert_eq!(found.turns.abs(), 2);
    assert!(!found.locked && !found.is_double_half_hitch());
}

#[test]
fn one_crossing_exchanged_is_not_a_hitch() {
    // The second wrap passes behind the cord instead of in front of it.
    let mut places = LOOSE;
    for place in &mut places[10..12] {
        place[2] = -3.0;
    }
    assert!(!tied(&places).is_double_half_hitch());
}

#[test]
fn a_larks_head_tied_with_the_yarn_winds_nought_times() {
    // Over the front and back behind, above; then behind first and over the front, below, with both ends to the left.
    let found = tied(&[
        [2.0, 20.0, 1.0],
        [18.0, 18.0, 1.0],
        [26.0, 14.0, 0.0],
        [18.0, 10.0, -1.0],
        [8.0, 12.0, 0.5],
        [7.0, 20.0, 3.0],
        [8.0, 30.0, 0.5],
        [18.0, 34.0, -1.0],
        [26.0, 30.0, 0.0],
        [18.0, 26.0, 1.0],
        [2.0, 24.0, 1.0],
    ]);
    // Own computation: two crossings of either sign.
    assert_eq!((found.turns, found.passes.len()), (0, 4));
    assert!(!found.is_double_half_hitch());
}

#[test]
fn crossings_without_a_clear_height_are_faults() {
    let text = |z: f64| {
        format!(
            "[[stage]]\n[[stage.cord]]\nid = \"a\"\nkind = \"cord\"\nwidth = 2\nthrough = [[0, 10, 0], [20, 10, 0]]\n\
             [[stage.cord]]\nid = \"b\"\nkind = \"yarn\"\nwidth = 2\nthrough = [[10, 0, {z}], [10, 20, {z}]]\n"
        )
    };
    let report = read(&text(0.1)).expect_err("a height of 0.1 is not clear");
    assert_eq!(report.iter().map(|d| d.id).collect::<Vec<_>>(), ["unclear-crossing"]);
    assert!(read(&text(0.5)).is_ok());
}

#[test]
fn faults_in_a_figure_file_are_gathered() {
    let text = "[[stage]]\n[[stage.cord]]\nid = \"a\"\nkind = \"cord\"\nwidth = 2\nthrough = [[0, 10, 0]]\n\
                [[stage.cord]]\nid = \"b\"\nkind = \"cord\"\nwidth = 900\nthrough = [[0, 10, 0], [5, 5, 0]]\n\
                [[stage.knot]]\nkind = \"larks-head\"\nyarn = \"a\"\nround = \"b\"\n";
    let report = read(text).expect_err("three faults");
    assert_eq!(report.iter().map(|d| d.id).collect::<Vec<_>>(), ["short-cord", "cord-measure", "unknown-cord"]);
    let report = read("stage = 3").expect_err("not a list of stages");
    assert!(report.iter().all(|d| d.id == "figure-file" && d.span.is_some()));
    assert!(read("panel = [30, 30]").is_err());
}

#[test]
fn nothing_is_drawn_outside_a_figures_size_and_no_line_is_too_thin() {
    for name in Figures::shipped().names() {
        let figure = shipped(name);
        for width in [60.0, 160.0] {
            for mirrored in [false, true] {
                let drawn = figure.draw(
                    Size::new(Length::mm(width), Length::mm(1000.0)),
                    1.0,
                    &FigureColours::default(),
                    mirrored,
                );
                assert!(drawn.size.width.fits(Length::mm(width)), "{name} at {width} mm is too wide");
                // Half an outline may stand out.
                let out = Length::mm(0.5);
                let inside = |p: &Point| {
                    (-out).fits(p.x)
                        && p.x.fits(drawn.size.width + out)
                        && (-out).fits(p.y)
                        && p.y.fits(drawn.size.height + out)
                };
                for shape in drawn.shapes.iter() {
                    let ends = shape.outline.iter().filter_map(|s| match s {
                        Segment::Move(p) | Segment::Line(p) | Segment::Curve(_, _, p) => Some(p),
                        Segment::Close => None,
                    });
                    for p in ends {
                        assert!(inside(p), "{name} at {width} mm: {:.1} {:.1} mm", p.x.to_mm(), p.y.to_mm());
                    }
                    // Printers' usual least line: a quarter point.
                    assert!(shape.stroke.as_ref().is_none_or(|s| Length::pt(0.25).fits(s.width)));
                }
                assert!(drawn.labels.iter().all(|l| inside(&l.at)), "{name}: a label stands outside");
            }
        }
    }
}

#[test]
fn a_mirrored_figure_has_its_labels_on_the_other_side_and_its_numbers_where_they_were() {
    for name in Figures::shipped().names() {
        let figure = shipped(name);
        let there =
            figure.draw(Size::new(Length::mm(150.0), Length::mm(1000.0)), 1.0, &FigureColours::default(), false);
        let back = figure.mirrored(name).draw(
            Size::new(Length::mm(150.0), Length::mm(1000.0)),
            1.0,
            &FigureColours::default(),
            true,
        );
        assert_eq!(there.numbers, back.numbers);
        assert_eq!(there.labels.len(), back.labels.len());
        for (a, b) in there.labels.iter().zip(&back.labels) {
            assert!(a.at.x.approx_eq(b.at.x) && a.at.y.approx_eq(b.at.y) && a.align == b.align);
        }
        let mirrored =
            figure.draw(Size::new(Length::mm(150.0), Length::mm(1000.0)), 1.0, &FigureColours::default(), true);
        assert_eq!(there.numbers, mirrored.numbers);
        assert_eq!(there.size, mirrored.size);
    }
}

#[test]
fn the_same_figure_is_drawn_the_same_twice() {
    for name in Figures::shipped().names() {
        let draw = || {
            shipped(name).draw(Size::new(Length::mm(140.0), Length::mm(1000.0)), 1.0, &FigureColours::default(), false)
        };
        assert_eq!(draw(), draw());
    }
}

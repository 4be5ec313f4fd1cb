//! Whether the set can be told apart at print size, and whether the assignment serves a chart.

use super::likeness::{Coverage, coverage, difference};
use super::set::SET;
use super::*;
use crate::colour::Colour;

/// One arc-minute seen from 600 mm, in millimetres: 600 x tan(1/60 degree). Own computation.
const ARC_MINUTE_MM: f64 = 0.174_533;
/// Width of a pixel in these tests; three of them are the allowed shift of 0.3 mm.
const PIXEL_MM: f64 = 0.1;
const SHIFT: usize = 3;
const MARGIN: usize = 10;
/// Least share of the box by which two symbols must differ.
const MIN_DIFFERENCE: f64 = 0.15;

/// Drawn with its box `side_mm` wide and blurred by a Gaussian as wide at half its height as one arc-minute.
fn seen(outline: &[Segment], side_mm: f64) -> Coverage {
    let drawn = coverage(outline, (side_mm / PIXEL_MM).round() as usize, MARGIN);
    blurred(&drawn, ARC_MINUTE_MM / (8.0 * std::f64::consts::LN_2).sqrt() / PIXEL_MM)
}

fn blurred(drawn: &Coverage, sigma: f64) -> Coverage {
    let reach = (4.0 * sigma).ceil() as usize;
    let bell: Vec<f64> = (0..=2 * reach).map(|i| (-0.5 * ((i as f64 - reach as f64) / sigma).powi(2)).exp()).collect();
    let whole: f64 = bell.iter().sum();
    let side = drawn.side;
    let pass = |from: &[f64], step: usize, other: usize| {
        let mut to = vec![0.0; side * side];
        for line in 0..side {
            for at in 0..side {
                let near = at.saturating_sub(reach)..(at + reach + 1).min(side);
                let sum: f64 = near.map(|i| from[line * other + i * step] * bell[i + reach - at]).sum();
                to[line * other + at * step] = sum / whole;
            }
        }
        to
    };
    let across = pass(&drawn.values, 1, side);
    Coverage { side, values: pass(&across, side, 1) }
}

fn apart(a: &[Segment], b: &[Segment], side_mm: f64) -> f64 {
    difference(&seen(a, side_mm), &seen(b, side_mm), MARGIN, SHIFT)
}

fn polygon(points: &[(f64, f64)]) -> Vec<Segment> {
    let mut out: Vec<Segment> = points.iter().map(|&(x, y)| Segment::Line(Point::pt(x, y))).collect();
    out[0] = Segment::Move(Point::pt(points[0].0, points[0].1));
    out.push(Segment::Close);
    out
}

fn turned_bar(degrees: f64, half_width: f64) -> Vec<Segment> {
    let (sin, cos) = degrees.to_radians().sin_cos();
    let corners = [(-0.45, -half_width), (0.45, -half_width), (0.45, half_width), (-0.45, half_width)];
    polygon(&corners.map(|(x, y)| (x * cos - y * sin, x * sin + y * cos)))
}

/// Least difference of every pair of these outlines, and the pairs that are too near.
fn nearest(outlines: &[Vec<Segment>], side_mm: f64) -> Vec<String> {
    let drawn: Vec<Coverage> = outlines.iter().map(|outline| seen(outline, side_mm)).collect();
    let mut faults = Vec::new();
    let mut least = (f64::INFINITY, "", "");
    for i in 0..drawn.len() {
        for j in 0..i {
            let apart = difference(&drawn[i], &drawn[j], MARGIN, SHIFT);
            if apart < MIN_DIFFERENCE {
                faults.push(format!("{} and {} at {side_mm:.2} mm: {apart:.4}", SYMBOLS[i], SYMBOLS[j]));
            }
            if apart < least.0 {
                least = (apart, SYMBOLS[i], SYMBOLS[j]);
            }
        }
    }
    println!("{side_mm:.2} mm: closest are {} and {}, {:.4}", least.1, least.2, least.0);
    faults
}

fn all_outlines() -> Vec<Vec<Segment>> {
    SYMBOLS.iter().filter_map(|name| outline(name)).collect()
}

#[test]
fn every_pair_of_symbols_differs_by_fifteen_hundredths_of_the_box_at_arms_length() {
    // Boxes of 2.7, 4 and 7 mm, and the box a symbol really has in the smallest cell.
    let smallest = 2.7 * crate::inks::MARK_SHARE;
    let outlines = all_outlines();
    assert_eq!(outlines.len(), SYMBOLS.len());
    let faults: Vec<String> = [smallest, 2.7, 4.0, 7.0].into_iter().flat_map(|mm| nearest(&outlines, mm)).collect();
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn what_is_cut_out_differs_as_much_from_every_figure_as_symbols_do() {
    // On dark grounds it is drawn by itself.
    let figures: Vec<Vec<Segment>> =
        SET.iter().map(|symbol| geometry::outline(symbol.opening.unwrap_or(symbol.parts))).collect();
    let smallest = 2.7 * crate::inks::MARK_SHARE;
    let faults: Vec<String> = [smallest, 4.0, 7.0].into_iter().flat_map(|mm| nearest(&figures, mm)).collect();
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn drawn_smaller_on_pale_tints_they_still_differ() {
    use crate::inks::{ChartInk, cell_ink};
    // As large as they are in cells of 3.2 and of 4 mm, measured by the box of the heaviest.
    for (cell_mm, enough) in [(3.2, MIN_DIFFERENCE * 0.6), (4.0, MIN_DIFFERENCE * 0.6)] {
        let side = crate::geom::Length::mm(cell_mm);
        let box_pt = (side * crate::inks::MARK_SHARE).to_pt();
        let small = |p: Point| Point::pt(p.x.to_pt() / box_pt, p.y.to_pt() / box_pt);
        let outlines: Vec<Vec<Segment>> = SYMBOLS
            .iter()
            .map(|name| {
                let ink = cell_ink(Colour::new(120, 120, 120), name, ChartInk::Saving, Size::new(side, side));
                let drawn = ink.mark.iter().map(|segment| match *segment {
                    Segment::Move(p) => Segment::Move(small(p)),
                    Segment::Line(p) => Segment::Line(small(p)),
                    Segment::Curve(a, b, p) => Segment::Curve(small(a), small(b), small(p)),
                    Segment::Close => Segment::Close,
                });
                drawn.collect()
            })
            .collect();
        let drawn: Vec<Coverage> =
            outlines.iter().map(|outline| seen(outline, cell_mm * crate::inks::MARK_SHARE)).collect();
        let mut least = (f64::INFINITY, "", "");
        for i in 0..drawn.len() {
            for j in 0..i {
                // A share of the larger symbol's own box.
                let own = |name: &str| {
                    let w = weight(name).unwrap_or_default();
                    (w.min(0.1) + (w - 0.1).max(0.0) * 0.3) / w
                };
                let area = own(SYMBOLS[i]).max(own(SYMBOLS[j]));
                let apart = difference(&drawn[i], &drawn[j], MARGIN, SHIFT) / area;
                if apart < least.0 {
                    least = (apart, SYMBOLS[i], SYMBOLS[j]);
                }
            }
        }
        println!("{cell_mm} mm cells: closest are {} and {}, {:.4}", least.1, least.2, least.0);
        // Less than what is asked of full size: the ground's tint tells yarns apart too. Our judgement.
        assert!(least.0 >= enough, "{least:?}");
    }
}

#[test]
fn a_block_and_what_is_cut_out_of_it_make_the_whole_box() {
    for symbol in &SET {
        let Some(opening) = symbol.opening else { continue };
        let (a, b) = (coverage(&geometry::outline(symbol.parts), 64, 4), coverage(&geometry::outline(opening), 64, 4));
        assert!((geometry::inked(symbol.parts) + geometry::inked(opening) - 1.0).abs() < 1e-6, "{}", symbol.name);
        let side = a.side;
        for at in 0..side * side {
            let (x, y) = (at % side, at / side);
            let inside = (4..side - 4).contains(&x) && (4..side - 4).contains(&y);
            let sum = a.values[at] + b.values[at];
            assert!((sum - f64::from(u8::from(inside))).abs() < 0.02, "{} at {x}, {y}: {sum}", symbol.name);
        }
    }
}

#[test]
fn weights_go_up_in_steps_from_a_grain_to_a_nearly_full_block() {
    let weights: Vec<f64> = SYMBOLS.iter().filter_map(|name| weight(name)).collect();
    for (pair, names) in weights.windows(2).zip(SYMBOLS.windows(2)) {
        assert!(pair[0] + 0.003 < pair[1] && pair[1] < pair[0] + 0.15, "{names:?}: {pair:?}");
    }
    assert!(weights[0] < 0.04 && weights[weights.len() - 1] > 0.8);
}

#[test]
fn shapes_that_the_eye_takes_for_each_other_fail_the_same_measure() {
    use geometry::{Part, PartShape};
    let disc = geometry::outline(&[Part::Ink(PartShape::Disc(0.0, 0.0, 0.5))]);
    // An octagon of the disc's own area: radius r with 2 sqrt 2 r^2 = pi / 4. Own computation.
    let octagon: Vec<(f64, f64)> = (0..8)
        .map(|i| (f64::from(i) * 45.0 + 22.5).to_radians().sin_cos())
        .map(|(sin, cos)| (0.52695 * cos, 0.52695 * sin))
        .collect();
    let block = geometry::outline(&[Part::Ink(PartShape::Box(-0.5, -0.5, 0.5, 0.5))]);
    let rounded = geometry::outline(&[Part::Ink(PartShape::Bent(&[
        geometry::Edge::Arc(-0.3, -0.3, 0.2, 180.0, 270.0),
        geometry::Edge::Arc(0.3, -0.3, 0.2, 270.0, 360.0),
        geometry::Edge::Arc(0.3, 0.3, 0.2, 0.0, 90.0),
        geometry::Edge::Arc(-0.3, 0.3, 0.2, 90.0, 180.0),
    ]))]);
    for side_mm in [2.7, 4.0, 7.0] {
        assert!(apart(&disc, &polygon(&octagon), side_mm) < MIN_DIFFERENCE);
        assert!(apart(&block, &rounded, side_mm) < MIN_DIFFERENCE);
        // Nine tenths of the box long, so that both stay in it; thin, and as wide as the set's own slash.
        for half_width in [0.06, 0.1, 0.165] {
            let turned = apart(&turned_bar(0.0, half_width), &turned_bar(20.0, half_width), side_mm);
            assert!(turned < MIN_DIFFERENCE, "bars {} wide at {side_mm} mm: {turned}", 2.0 * half_width);
        }
    }
}

#[test]
fn there_are_enough_symbols_and_no_name_twice() {
    // One for every yarn a project may have.
    assert!(SYMBOLS.len() >= 32);
    for (i, name) in SYMBOLS.iter().enumerate() {
        assert!(!SYMBOLS[..i].contains(name), "{name}");
        assert!(name.bytes().all(|b| b.is_ascii_lowercase() || b == b'-'), "{name}");
    }
}

#[test]
fn the_weight_of_a_symbol_is_its_inked_share_and_it_stays_in_its_box() {
    for name in SYMBOLS {
        let drawn = coverage(&outline(name).unwrap_or_default(), 64, 4);
        let whole: f64 = drawn.values.iter().sum::<f64>() / 4096.0;
        let weight = weight(name).unwrap_or_default();
        // The raster takes curves as chords and sums over eight lines a pixel.
        assert!((whole - weight).abs() < 0.006, "{name}: drawn {whole}, reckoned {weight}");
        let side = drawn.side;
        for (at, value) in drawn.values.iter().enumerate() {
            let (x, y) = (at % side, at / side);
            let inside = (4..side - 4).contains(&x) && (4..side - 4).contains(&y);
            assert!(inside || *value < 1e-9, "{name} leaves its box");
        }
    }
}

#[test]
fn a_name_that_is_no_symbol_has_no_outline() {
    assert!(outline("nothing-of-the-kind").is_none() && weight("").is_none());
    let size = Size::new(crate::geom::Length::mm(3.0), crate::geom::Length::mm(2.0));
    assert!(stretched("ring", size).is_some_and(|o| o.len() == outline("ring").unwrap_or_default().len()));
}

#[test]
fn touching_counts_each_side_once_and_bare_cells_not_at_all() {
    // Rows 0 0 1 / 0 . 1: own count by hand: 0-1 across once; 1-1 and 0-0 never.
    assert_eq!(touches(3, &[Some(0), Some(0), Some(1), Some(0), None, Some(1)], 2), vec![vec![0, 1], vec![1, 0]]);
    // A column of 0 over 1 over 0.
    assert_eq!(touches(1, &[0, 1, 0].map(Some), 2), vec![vec![0, 2], vec![2, 0]]);
}

/// Invented yarns from dark to light.
fn greys(count: u8) -> Vec<(Colour, Option<&'static str>)> {
    (0..count).map(|i| 10 + i * (235 / count)).map(|v| (Colour::new(v, v, v), None)).collect()
}

#[test]
fn of_two_yarns_the_darker_always_has_the_heavier_symbol() {
    let mut random = fastrand::Rng::with_seed(31);
    for round in 0..93 {
        let count = 2 + round % 31;
        let yarns: Vec<(Colour, Option<&str>)> =
            (0..count).map(|_| (Colour::new(random.u8(..), random.u8(..), random.u8(..)), None)).collect();
        let touch: Vec<Vec<u32>> = (0..count).map(|_| (0..count).map(|_| random.u32(0..60)).collect()).collect();
        let weights: Vec<f64> = assign(&yarns, &touch).iter().filter_map(|name| weight(name)).collect();
        assert_eq!(weights.len(), count);
        let lightness: Vec<f64> = yarns.iter().map(|yarn| yarn.0.lab().l).collect();
        for a in 0..count {
            for b in 0..count {
                assert!(lightness[a] >= lightness[b] || weights[a] > weights[b], "{round}: {lightness:?} {weights:?}");
            }
        }
        let (lightest, heaviest) =
            weights.iter().fold((1.0, 0.0), |(least, most), w| (f64::min(least, *w), f64::max(most, *w)));
        // The lightest nearly empty, the darkest over 45 hundredths of a cell.
        assert_eq!(Some(lightest), weight("grain"));
        assert!(heaviest >= assign::MIN_OF_DARKEST);
    }
}

#[test]
fn thirty_two_yarns_get_thirty_two_symbols_and_pins_hold() {
    let mut yarns = greys(32);
    yarns[7].1 = Some("crescent");
    yarns[30].1 = Some("checks");
    yarns[9].1 = Some("crescent");
    yarns[11].1 = Some("unheard-of");
    let touch: Vec<Vec<u32>> =
        (0..32).map(|a: u32| (0..32).map(|b: u32| if a.abs_diff(b) == 1 { 50 } else { 0 }).collect()).collect();
    let names = assign(&yarns, &touch);
    assert_eq!((names[7].as_str(), names[30].as_str()), ("crescent", "checks"));
    for (i, name) in names.iter().enumerate() {
        assert!(SYMBOLS.contains(&name.as_str()) && !names[..i].contains(name), "{name}");
    }
    assert_eq!(names, assign(&yarns, &touch));
}

#[test]
fn yarns_that_touch_get_symbols_less_alike_than_yarns_that_do_not() {
    let yarns = greys(12);
    let touching = |a: usize, b: usize| (a.is_multiple_of(2) && b == a + 1) || (b.is_multiple_of(2) && a == b + 1);
    let touch: Vec<Vec<u32>> =
        (0..12).map(|a| (0..12).map(|b| if touching(a, b) { 90 } else { 0 }).collect()).collect();
    let names = assign(&yarns, &touch);
    let kin = |name: &str| SET[find(name).unwrap_or(0)].kin;
    let differences = likeness::Differences::of_the_set();
    let place = |name: &str| find(name).unwrap_or(0);
    let apart = |a: usize, b: usize| differences.between(place(&names[a]), place(&names[b]));
    for a in (0..12).step_by(2) {
        assert_ne!(kin(&names[a]), kin(&names[a + 1]));
        assert!(apart(a, a + 1) > 0.16, "{} {}: {}", names[a], names[a + 1], apart(a, a + 1));
    }
}

#[test]
fn more_yarns_than_symbols_leave_the_last_without() {
    let yarns = greys(40);
    let names = assign(&yarns, &[]);
    assert_eq!(names.len(), 40);
    assert!(names[..SYMBOLS.len()].iter().all(|name| !name.is_empty()) && names[39].is_empty());
}

/// The whole set with names and weights, as DEVELOPERS.md shows it.
fn sheet_of_symbols() -> String {
    use std::fmt::Write;
    let (across, cell, box_side) = (7, (120.0, 92.0), 48.0);
    let rows = SYMBOLS.len().div_ceil(across);
    let (width, height) = (across as f64 * cell.0, rows as f64 * cell.1);
    let mut out = format!(
        "<svg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 {width} {height}' font-family='sans-serif' font-size='10' \
         text-anchor='middle'>\n<rect width='{width}' height='{height}' fill='#fff'/>\n"
    );
    for (at, name) in SYMBOLS.iter().enumerate() {
        let (x, y) = ((at % across) as f64 * cell.0 + cell.0 / 2.0, (at / across) as f64 * cell.1 + 36.0);
        let side = crate::geom::Length::pt(box_side);
        let mark = stretched(name, Size::new(side, side)).unwrap_or_default();
        let path = sketch::path(&mark);
        let _ = writeln!(out, "<path transform='translate({x} {y})' d='{path}'/>");
        let _ = writeln!(out, "<text x='{x}' y='{}'>{name} {:.2}</text>", y + 40.0, weight(name).unwrap_or_default());
    }
    out + "</svg>\n"
}

/// `RENEW_GOLDEN=1 cargo test --lib symbol` draws the picture anew; that run fails, so that somebody looks at it.
#[test]
fn the_picture_of_the_set_shows_the_symbols_as_they_are() {
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/golden/symbols.svg");
    let now = sheet_of_symbols();
    if std::env::var_os("RENEW_GOLDEN").is_some() {
        std::fs::write(&path, &now).expect("the file can be written");
        panic!("drawn anew: look at {}", path.display());
    }
    let then = std::fs::read_to_string(&path).expect("the golden file is there");
    assert!(now == then, "the symbols are no longer as {} shows them", path.display());
}

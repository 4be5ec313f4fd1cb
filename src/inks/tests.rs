use super::*;
use crate::symbol::SYMBOLS;

/// Sixteen steps of each channel, both ends included.
fn sampled() -> impl Iterator<Item = Colour> {
    let steps = || (0..=255_u8).step_by(17);
    steps().flat_map(move |r| steps().flat_map(move |g| steps().map(move |b| Colour::new(r, g, b))))
}

fn square(side_mm: f64) -> Size {
    Size::new(Length::mm(side_mm), Length::mm(side_mm))
}

#[test]
fn black_stands_out_on_every_tint_under_a_marker_and_the_tint_keeps_its_hue() {
    for colour in sampled() {
        let tint = tint(colour);
        assert!(tint.lab().l >= 80.0, "{} {}", colour.to_hex(), tint.to_hex());
        for marker in MARKERS {
            // WCAG 2.2, level AA.
            let contrast = under(tint, marker).contrast(Colour::BLACK);
            assert!(contrast >= 4.5, "{} {}: {contrast}", colour.to_hex(), tint.to_hex());
        }
        // Where both are more than nearly grey the hue may turn by the rounding to eight bits only.
        let (own, pale) = (colour.lab(), tint.lab());
        if own.chroma() > 12.0 && pale.chroma() > 6.0 {
            let along = (own.a * pale.a + own.b * pale.b) / (own.chroma() * pale.chroma());
            assert!(along > 0.985, "{} {}: {along}", colour.to_hex(), tint.to_hex());
        }
    }
    // White itself needs none of this.
    for marker in MARKERS {
        assert!(under(Colour::WHITE, marker).contrast(Colour::BLACK) >= 4.5);
    }
    // A ground of the yarn's own colour would not do.
    assert!(under(Colour::new(0x22, 0x70, 0x7b), MARKERS[1]).contrast(Colour::BLACK) < 4.5);
}

/// Mean luminance of a cell without its lines.
fn mean(colour: Colour, symbol: &str, ink: ChartInk) -> f64 {
    let alone = Palette::new([(colour, symbol)], ink);
    let tone = alone.yarns[0].2;
    let weight = if tone.figure { symbol::figure_weight(symbol) } else { symbol::weight(symbol) };
    let covered = weight.unwrap_or_default() * tone.share * tone.share;
    let ground = tone.ground.unwrap_or(Colour::WHITE);
    (1.0 - covered) * ground.luminance() + covered * tone.colour.luminance()
}

#[test]
fn in_full_ink_the_symbol_stands_out_the_ground_stays_near_and_the_mean_is_the_yarns() {
    let mut strong = 0;
    let mut all = 0;
    for colour in sampled().step_by(7) {
        let own = colour.lab().l;
        // As the assignment gives them: the darker the heavier, and the next heavier and lighter ones.
        let place = ((100.0 - own) / 100.0 * (SYMBOLS.len() - 1) as f64) as usize;
        let near = place.saturating_sub(6)..=(place + 6).min(SYMBOLS.len() - 1);
        for &symbol in &SYMBOLS[near] {
            let cell = cell_ink(colour, symbol, ChartInk::Full, square(4.0));
            let ground = cell.ground.expect("a ground");
            let contrast = cell.colour.contrast(ground);
            // WCAG 2.2, 1.4.11, not rounded.
            assert!(contrast >= 3.0, "{} {symbol}: {contrast}", colour.to_hex());
            strong += usize::from(contrast >= 4.5);
            all += 1;
            let moved = (ground.lab().l - own).abs();
            assert!(moved <= 8.3, "{} {symbol}: {moved}", colour.to_hex());
            let lines = 0.035;
            let drawn = (1.0 - lines) * mean(colour, symbol, ChartInk::Full) + lines * tones::LINE.luminance();
            let drawn = if drawn > 216.0 / 24_389.0 { 116.0 * drawn.cbrt() - 16.0 } else { drawn * 24_389.0 / 27.0 };
            assert!((drawn - own).abs() <= 10.0, "{} {symbol}: {own} drawn as {drawn}", colour.to_hex());
        }
    }
    assert!(strong * 2 > all, "{strong} of {all}");
}

#[test]
fn a_darker_yarn_with_a_heavier_symbol_is_darker_in_pale_tints_too() {
    let mut last = 2.0;
    for (at, symbol) in SYMBOLS.iter().enumerate() {
        let grey = (255 - at * 255 / (SYMBOLS.len() - 1)) as u8;
        let now = mean(Colour::new(grey, grey, grey), symbol, ChartInk::Saving);
        assert!(now < last, "{symbol}: {now} after {last}");
        last = now;
    }
}

#[test]
fn no_symbol_is_lower_than_twelve_tenths_of_a_millimetre_at_four() {
    for symbol in SYMBOLS {
        for ink in [ChartInk::Saving, ChartInk::SymbolsOnly] {
            for colour in [Colour::WHITE, Colour::new(130, 60, 60), Colour::BLACK] {
                let mark = cell_ink(colour, symbol, ink, square(4.0)).mark;
                let y = |pick: fn(f64, f64) -> f64, from: f64| {
                    mark.iter().flat_map(|s| s.points()).map(|p| p.y.to_mm()).fold(from, pick)
                };
                let high = y(f64::max, -9.0) - y(f64::min, 9.0);
                assert!(high >= 1.2, "{symbol} {ink:?}: {high}");
            }
        }
    }
}

#[test]
fn hues_that_differ_still_differ_once_pale() {
    // Common practice, no source: a dozen yarns of one invented palette; 3 is a just clearly visible difference.
    let yarns = ["#3f5680", "#2b7482", "#8e86b4", "#eba58e", "#f5eddc", "#b23a2e", "#c77b45", "#f7c54e", "#3f5446"];
    let tints: Vec<Lab> = yarns.iter().filter_map(|hex| Colour::from_hex(hex)).map(|c| tint(c).lab()).collect();
    assert_eq!(tints.len(), yarns.len());
    for (i, a) in tints.iter().enumerate() {
        for (j, b) in tints.iter().enumerate().take(i) {
            let apart = libm::hypot(libm::hypot(a.a - b.a, a.b - b.b), a.l - b.l);
            assert!(apart > 3.0, "{} {}: {apart}", yarns[i], yarns[j]);
        }
    }
}

#[test]
fn the_mark_takes_the_proportions_of_the_cell() {
    let mark = mark("frame", Size::new(Length::mm(6.0), Length::mm(3.0)));
    let most = |of: fn(crate::geom::Point) -> f64| mark.iter().flat_map(|s| s.points()).map(of).fold(0.0, f64::max);
    assert!((most(|p| p.x.to_mm()) - 3.0 * MARK_SHARE).abs() < 1e-9);
    assert!((most(|p| p.y.to_mm()) - 1.5 * MARK_SHARE).abs() < 1e-9);
}

#[test]
fn the_accent_is_readable_and_of_a_hue_of_the_palette() {
    for colour in sampled() {
        assert!(accent(&[colour, Colour::new(128, 128, 128)]).contrast(Colour::WHITE) >= 4.5);
    }
    let teal = Colour::new(0x22, 0x70, 0x7b);
    assert_eq!(accent(&[Colour::new(0xef, 0xe3, 0xcb), teal]), teal);
    assert_eq!(accent(&[Colour::new(40, 40, 40), Colour::WHITE]), DEEP_INK);
    assert_eq!(accent(&[]), DEEP_INK);
}

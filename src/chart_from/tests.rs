//! What must hold on the way from a picture to a chart.

use super::cells::{Targets, View, cut};
use super::likeness::Likeness;
use super::{YarnGrid, yarns};
use crate::colour::{Colour, Oklab};
use crate::picture::SrgbPicture;

fn picture(width: usize, height: usize, pixel: impl Fn(usize, usize) -> [u8; 3]) -> SrgbPicture {
    let rgb = (0..width * height).flat_map(|at| pixel(at % width, at / width)).collect();
    SrgbPicture { width, height, rgb }
}

#[test]
fn a_cell_is_the_mean_of_its_light() {
    // Half black, half white is half the light, which sRGB writes as 188 (IEC 61966-2-1: 1.055 x 0.5^(1/2.4) - 0.055).
    let stripes = picture(40, 40, |x, _| if x % 2 == 0 { [0; 3] } else { [255; 3] });
    let grey = cut(&stripes, &View::WHOLE, 4, 4);
    assert!(grey.rgb.iter().all(|&v| v == 188), "{:?}", grey.rgb);
}

#[test]
fn a_picture_is_straightened_about_its_middle_and_shows_nothing_beyond_its_edges() {
    // A line that rises by 10 degrees to the right lies level once the picture is turned clockwise by 10.
    let slope = 10.0_f64.to_radians().tan();
    let sloping = picture(400, 300, |x, y| {
        let above = (y as f64) < 150.0 - (x as f64 - 200.0) * slope;
        if above { [255; 3] } else { [0; 3] }
    });
    let view = View::straightened(400.0, 300.0, 10.0);
    let level = cut(&sloping, &view, 40, 30);
    for x in 0..40 {
        assert_eq!((level.at(x, 13), level.at(x, 16)), ([255; 3], [0; 3]), "column {x}");
    }
    let [left, top, right, bottom] = view.crop;
    assert!(0.0 < left && left < 0.25 && left + right == 1.0 && top + bottom == 1.0, "{view:?}");
}

#[test]
fn small_bright_patches_get_a_yarn_of_their_own() {
    let sheet = picture(60, 60, |x, y| match (x, y) {
        (20..26, 20..26) => [230, 40, 30],
        (_, 0..30) => [200, 205, 210],
        _ => [40, 60, 80],
    });
    let targets = Targets::of(&sheet, &View::WHOLE, 30, 30);
    let chosen = yarns::choose(&targets, 3);
    assert!(chosen.iter().any(|c| c.difference(Colour::new(230, 40, 30)) < 3.0), "{chosen:?}");
    assert_eq!(yarns::choose(&Targets::of(&picture(9, 9, |_, _| [7; 3]), &View::WHOLE, 9, 9), 6).len(), 1);
}

#[test]
fn what_a_change_loses_is_what_two_whole_reckonings_differ_by() {
    let colours: Vec<Oklab> = ["#101418", "#e8d8b0", "#a03020"]
        .iter()
        .filter_map(|hex| Colour::from_hex(hex))
        .map(|c| Oklab::from_linear(c.linear()))
        .collect();
    let cells: Vec<u8> = (0..12 * 9).map(|at| (at * at % 7 % 3) as u8).collect();
    let panel = YarnGrid { columns: 12, rows: 9, cells };
    let targets = Targets { columns: 12, rows: 9, cells: vec![Oklab([50.0, 10.0, -5.0]); 108] };
    // The error weighed with its pull is the whole squared error; two panels that differ in one knot at a time tell it.
    let changes = [(13, 2), (14, 2), (15, 0), (27, 1)];
    let one = Likeness::new(&panel, &targets, &colours);
    let told = one.loss(&panel, &changes);
    let (mut step, mut now, mut sum) = (one.clone(), panel.clone(), 0.0);
    for change in changes {
        sum += step.loss(&now, &[change]);
        step.take(&now, &[change]);
        now.cells[change.0] = change.1;
    }
    assert!((told - sum).abs() < 1e-6 * told.abs().max(1.0), "{told} {sum}");
    let back: Vec<(usize, u8)> = changes.iter().map(|&(at, _)| (at, panel.cells[at])).collect();
    assert!((Likeness::new(&now, &targets, &colours).loss(&now, &back) + told).abs() < 1e-6 * told.abs().max(1.0));
}

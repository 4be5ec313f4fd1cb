//! Colours against published tables (tests/data, each with its source in the first line).

use hitchpress::colour::{Colour, ColourVision, Lab};

fn table(text: &'static str) -> impl Iterator<Item = Vec<&'static str>> {
    text.lines().filter(|l| !l.starts_with('#')).skip(1).map(|l| l.split('\t').collect())
}

fn hex(text: &str) -> Colour {
    Colour::from_hex(text).expect("six digits")
}

#[test]
fn the_thirty_four_published_pairs_come_out_to_a_ten_thousandth() {
    let mut pairs = 0;
    for row in table(include_str!("../data/ciede2000.tsv")) {
        let n: Vec<f64> = row.iter().map(|t| t.parse().expect("a number")).collect();
        let (one, two) = (Lab { l: n[1], a: n[2], b: n[3] }, Lab { l: n[4], a: n[5], b: n[6] });
        for found in [one.difference(two), two.difference(one)] {
            assert!((found - n[7]).abs() <= 1e-4, "pair {}: {found}, published {}", n[0], n[7]);
        }
        pairs += 1;
    }
    assert_eq!(pairs, 34);
}

#[test]
fn the_matrices_of_colour_vision_are_the_published_ones() {
    let mut kinds = 0;
    for row in table(include_str!("../data/colour-vision.tsv")) {
        let vision = match row[0] {
            "protan" => ColourVision::Protan,
            "deutan" => ColourVision::Deutan,
            "tritan" => ColourVision::Tritan,
            other => panic!("unknown kind {other}"),
        };
        let published: Vec<f64> = row[1..].iter().map(|t| t.parse().expect("a number")).collect();
        assert_eq!(vision.matrix().expect("a matrix").concat(), published);
        kinds += 1;
    }
    assert_eq!((kinds, ColourVision::Normal.matrix()), (3, None));
}

#[test]
fn a_brick_red_is_seen_as_published_matrices_have_it() {
    // Own computation.
    let brick = hex("#c0392b");
    assert_eq!(brick.seen_with(ColourVision::Normal), brick);
    assert_eq!(brick.seen_with(ColourVision::Protan).to_hex(), "#615728");
    assert_eq!(brick.seen_with(ColourVision::Deutan).to_hex(), "#827525");
    assert_eq!(brick.seen_with(ColourVision::Tritan).to_hex(), "#d30137");
}

#[test]
fn brown_and_olive_run_together_without_red_or_green_cones() {
    let (brown, olive) = (hex("#8b5a2b"), hex("#556b2f"));
    // Own computation.
    let seen = |vision| brown.seen_with(vision).difference(olive.seen_with(vision));
    assert!((seen(ColourVision::Normal) - 25.76).abs() < 5e-3);
    assert!((seen(ColourVision::Protan) - 2.62).abs() < 5e-3);
    assert!((seen(ColourVision::Deutan) - 3.59).abs() < 5e-3);
    assert!((hex("#d8b26e").difference(hex("#e0b873")) - 1.75).abs() < 5e-3);
}

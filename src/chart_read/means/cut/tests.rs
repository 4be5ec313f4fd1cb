use super::{Mixed, of_three, of_two};

/// Of what a place is mixed from: all shares, their middle, and how widely they lie around it (its second moment).
fn moments<const N: usize>((pixels, shares): Mixed<N>) -> [f64; 3] {
    let each = || pixels.iter().zip(shares).map(|(&pixel, share)| (pixel as f64 + 0.5, f64::from(share)));
    let middle: f64 = each().map(|(at, share)| at * share).sum();
    let wide = each().map(|(at, share)| (at - middle) * (at - middle) * share).sum();
    [each().map(|(_, share)| share).sum(), middle, wide]
}

#[test]
fn three_pixels_mix_every_place_as_widely() {
    for step in 0..40 {
        let place = 3.5 + f64::from(step) / 20.0;
        let [all, middle, wide] = moments(of_three(place, 9));
        // A quadratic B-spline has a second moment of 3/12 wherever it is sampled (own computation: three boxes of 1/12).
        assert!((all - 1.0).abs() < 1e-6 && (middle - place).abs() < 1e-6 && (wide - 0.25).abs() < 1e-6, "{place}");
        let [all, middle, _] = moments(of_two(place, 9));
        assert!((all - 1.0).abs() < 1e-6 && (middle - place).abs() < 1e-6, "{place}");
    }
    // Two pixels do not: nothing on one, a quarter half-way.
    assert!(moments(of_two(4.5, 9))[2] < 1e-6 && (moments(of_two(5.0, 9))[2] - 0.25).abs() < 1e-6);
}

#[test]
fn what_lies_outside_is_the_last_pixel() {
    for place in [-3.0, 0.0, 0.4, 8.7, 9.0, 40.0] {
        let (pixels, shares) = of_three(place, 9);
        assert!(
            pixels.iter().all(|pixel| *pixel < 9) && shares.iter().all(|share| (0.0..=0.75).contains(share)),
            "{place}"
        );
    }
}

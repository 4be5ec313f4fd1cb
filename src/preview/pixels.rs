//! Small work on finished pictures: a part cut out, a coarse one drawn large, a watermark laid over.

use crate::picture::Seen;

/// How much of a watermark shows, of 256.
const SHOWS: i32 = 60;

/// The part of a picture that begins at (`x`, `y`), at most `width` x `height` pixels large.
pub fn part(of: &Seen, x: usize, y: usize, width: usize, height: usize) -> Seen {
    let (x, y) = (x.min(of.width), y.min(of.height));
    let (width, height) = (width.min(of.width - x), height.min(of.height - y));
    let rgb = (y..y + height)
        .flat_map(|row| of.rgb[(row * of.width + x) * 3..(row * of.width + x + width) * 3].iter().copied())
        .collect();
    Seen { width, height, rgb }
}

/// The same picture drawn larger, smoothly: what was lost stays lost.
pub fn enlarged(of: &Seen, width: usize, height: usize) -> Seen {
    if of.width == 0 || of.height == 0 {
        return Seen { width, height, rgb: vec![255; width * height * 3] };
    }
    let places = |to: usize, from: usize| -> Vec<(usize, usize, f32)> {
        let place = |at: usize| {
            let v = ((at as f32 + 0.5) * from as f32 / to as f32 - 0.5).clamp(0.0, (from - 1) as f32);
            (v as usize, (v as usize + 1).min(from - 1), v.fract())
        };
        (0..to).map(place).collect()
    };
    let (across, down) = (places(width, of.width), places(height, of.height));
    let mut rgb = Vec::with_capacity(width * height * 3);
    for &(y0, y1, v) in &down {
        for &(x0, x1, u) in &across {
            let corners = [of.at(x0, y0), of.at(x1, y0), of.at(x0, y1), of.at(x1, y1)].map(|p| p.map(f32::from));
            rgb.extend(core::array::from_fn::<u8, 3, _>(|i| {
                let upper = corners[0][i] * (1.0 - u) + corners[1][i] * u;
                let lower = corners[2][i] * (1.0 - u) + corners[3][i] * u;
                (upper * (1.0 - v) + lower * v).round() as u8
            }));
        }
    }
    Seen { width, height, rgb }
}

/// Lays a watermark, drawn black on white and as large as the picture, over it: light letters with a dark edge at one
/// side, so that they show on every colour.
pub fn watermark(picture: &mut Seen, mark: &Seen) {
    let inked = |x: usize, y: usize| {
        if x < mark.width && y < mark.height { 255 - i32::from(mark.at(x, y)[0]) } else { 0 }
    };
    let edge = (picture.width / 600).max(1);
    for y in 0..picture.height {
        for x in 0..picture.width {
            let light = inked(x, y);
            let dark = if x >= edge && y >= edge { inked(x - edge, y - edge) * (255 - light) / 255 } else { 0 };
            if light == 0 && dark == 0 {
                continue;
            }
            let start = (y * picture.width + x) * 3;
            for channel in &mut picture.rgb[start..start + 3] {
                let v = i32::from(*channel);
                let v = v + (255 - v) * light * SHOWS / (255 * 256);
                let v = v - v * dark * SHOWS / (255 * 256);
                *channel = v as u8;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn grey(width: usize, height: usize, at: impl Fn(usize, usize) -> u8) -> Seen {
        let rgb = (0..width * height).flat_map(|i| [at(i % width, i / width); 3]).collect();
        Seen { width, height, rgb }
    }

    #[test]
    fn a_part_is_what_stood_there() {
        let whole = grey(9, 7, |x, y| (10 * y + x) as u8);
        assert_eq!(part(&whole, 2, 3, 4, 2), grey(4, 2, |x, y| (10 * (y + 3) + x + 2) as u8));
        assert_eq!((part(&whole, 7, 6, 5, 5).width, part(&whole, 20, 20, 1, 1).rgb.len()), (2, 0));
    }

    #[test]
    fn enlarging_invents_nothing() {
        let small = grey(2, 1, |x, _| if x == 0 { 0 } else { 200 });
        let large = enlarged(&small, 8, 3);
        let line: Vec<u8> = (0..8).map(|x| large.at(x, 1)[0]).collect();
        // Own computation: straight between the middles of the two pixels, level beyond them.
        assert_eq!(line, [0, 0, 25, 75, 125, 175, 200, 200]);
    }

    #[test]
    fn a_watermark_shows_on_light_and_on_dark() {
        let mark = grey(40, 40, |x, _| if (10..20).contains(&x) { 0 } else { 255 });
        for ground in [0, 128, 255] {
            let mut picture = grey(40, 40, |_, _| ground);
            watermark(&mut picture, &mark);
            let most = picture.rgb.iter().map(|v| v.abs_diff(ground)).max();
            assert!(most.is_some_and(|most| most >= 30), "{ground}: {most:?}");
            assert_eq!(picture.at(30, 30), [ground; 3]);
        }
    }
}

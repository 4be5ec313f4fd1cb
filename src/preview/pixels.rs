//! A watermark laid over a finished picture.

use crate::picture::SrgbPicture;

/// How much of a watermark shows, of 256.
const SHOWS: i32 = 60;

/// Lays a watermark, drawn black on white and as large as the picture, over it: light letters with a dark edge at one
/// side, so that they show on every colour.
pub(crate) fn watermark(picture: &mut SrgbPicture, mark: &SrgbPicture) {
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

    fn grey(width: usize, height: usize, at: impl Fn(usize, usize) -> u8) -> SrgbPicture {
        let rgb = (0..width * height).flat_map(|i| [at(i % width, i / width); 3]).collect();
        SrgbPicture { width, height, rgb }
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

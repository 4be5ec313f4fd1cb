//! A PNG picture of more pixels than a page can show, drawn smaller while it is read row by row: unpacked whole, packed again
//! and put into a booklet it would take a gigabyte. The only door to `png`.

use image::{DynamicImage, GrayAlphaImage, GrayImage, RgbImage, RgbaImage};
use png::{Decoder, Transformations};
use std::io::Cursor;

/// The sides of a picture of at most `most` pixels that has these proportions.
pub(super) fn sides((width, height): (u32, u32), most: u64) -> (u32, u32) {
    let pixels = u64::from(width) * u64::from(height);
    if pixels <= most {
        return (width, height);
    }
    let smaller = libm::sqrt(most as f64 / pixels as f64);
    let side = |side: u32| ((f64::from(side) * smaller) as u32).max(1);
    (side(width), side(height))
}

/// Draws it with at most `most` pixels: each is the mean of those that fall on it, clear ones without their colour. `None`: it
/// cannot be read row by row, or not at all.
pub(super) fn drawn(bytes: &[u8], most: u64) -> Option<DynamicImage> {
    let mut decoder = Decoder::new(Cursor::new(bytes));
    decoder.set_transformations(Transformations::normalize_to_color8());
    let mut reader = decoder.read_info().ok()?;
    let info = reader.info();
    if info.interlaced {
        return None;
    }
    let (width, height) = (info.width as usize, info.height as usize);
    let (columns, rows) = sides((info.width, info.height), most);
    let (columns, rows) = (columns as usize, rows as usize);
    let channels = reader.output_color_type().0.samples();
    let has_alpha = channels.is_multiple_of(2);
    let to: Vec<usize> = (0..width).map(|x| x * columns / width).collect();
    let mut out = Vec::with_capacity(columns * rows * channels);
    // Sums of a row that is being drawn: the channels, weighted by how opaque each pixel is, then the weights and the pixels.
    let mut sums = vec![[0_u32; 6]; columns];
    let mut flush = |sums: &mut Vec<[u32; 6]>| {
        for sum in sums.iter_mut() {
            let [.., weight, count] = *sum;
            let colours = channels - usize::from(has_alpha);
            out.extend(sum[..colours].iter().map(|sum| ((sum + weight / 2) / weight.max(1)) as u8));
            if has_alpha {
                out.push(((weight + count / 2) / count.max(1)) as u8);
            }
            *sum = [0; 6];
        }
    };
    for y in 0..height {
        let row = reader.next_row().ok()??;
        if y > 0 && y * rows / height != (y - 1) * rows / height {
            flush(&mut sums);
        }
        for (pixel, to) in row.data().chunks_exact(channels).zip(&to) {
            let (colours, weight) = match (has_alpha, pixel) {
                (true, [colours @ .., alpha]) => (colours, u32::from(*alpha)),
                _ => (pixel, 1),
            };
            let sum = &mut sums[*to];
            colours.iter().zip(sum.iter_mut()).for_each(|(channel, sum)| *sum += u32::from(*channel) * weight);
            sum[4] += weight;
            sum[5] += 1;
        }
    }
    flush(&mut sums);
    let (columns, rows) = (columns as u32, rows as u32);
    match channels {
        1 => GrayImage::from_raw(columns, rows, out).map(DynamicImage::from),
        2 => GrayAlphaImage::from_raw(columns, rows, out).map(DynamicImage::from),
        3 => RgbImage::from_raw(columns, rows, out).map(DynamicImage::from),
        _ => RgbaImage::from_raw(columns, rows, out).map(DynamicImage::from),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use image::codecs::png::PngEncoder;

    fn packed(picture: &DynamicImage) -> Vec<u8> {
        let mut bytes = Vec::new();
        picture.write_with_encoder(PngEncoder::new(&mut bytes)).expect("a PNG");
        bytes
    }

    #[test]
    fn each_pixel_is_the_mean_of_those_that_fall_on_it() {
        let grey = GrayImage::from_raw(4, 2, vec![10, 20, 200, 0, 30, 40, 100, 100]).expect("a picture").into();
        // Own computation: (10 + 20 + 30 + 40) / 4 = 25 and (200 + 0 + 100 + 100) / 4 = 100.
        let drawn = drawn(&packed(&grey), 2).expect("a smaller one");
        assert_eq!((drawn.width(), drawn.height(), drawn.into_luma8().into_raw()), (2, 1, vec![25, 100]));
    }

    #[test]
    fn what_is_clear_lends_no_colour() {
        let pixels = vec![200, 100, 50, 255, 0, 0, 0, 0, 200, 100, 50, 255, 9, 9, 9, 0];
        let half = RgbaImage::from_raw(2, 2, pixels).expect("a picture").into();
        assert_eq!(drawn(&packed(&half), 1).expect("one").into_rgba8().into_raw(), [200, 100, 50, 128]);
    }

    #[test]
    fn what_is_small_enough_stays_and_what_is_cut_off_is_nothing() {
        let pixels: Vec<u8> = (0..7 * 5 * 3).collect();
        let picture: DynamicImage = RgbImage::from_raw(7, 5, pixels).expect("a picture").into();
        let bytes = packed(&picture);
        assert_eq!(drawn(&bytes, 35), Some(picture));
        assert_eq!(drawn(&bytes[..bytes.len() / 2], 5), None);
        assert_eq!(sides((8_000, 8_000), 24_000_000), (4_898, 4_898));
        assert_eq!(sides((64_000_000, 1), 24_000_000).1, 1);
    }
}

//! The only door to the `image` crate, and with `pdf/ink` to `moxcms`, for pictures with a colour profile of their own:
//! chart pictures and the maker's photographs come in, plain pixels go out. Sizes are read from the header and refused
//! before anything is unpacked.
//!
//! Long, and one subject: every way a picture comes in and out goes through the same limits and the same turn to sRGB.

mod smaller;
mod vector;

use crate::diag::Diagnostic;
use image::imageops::{self, FilterType};
use image::metadata::Orientation;
use image::{DynamicImage, ImageDecoder, ImageFormat, ImageReader, Limits, RgbImage};
use moxcms::{ColorProfile, Layout, TransformOptions};
use std::io::Cursor;
use vector::Drawn;

/// How the names of picture files end.
pub(crate) const EXTENSIONS: [&str; 7] = [".png", ".gif", ".bmp", ".webp", ".jpg", ".jpeg", ".jfif"];

/// Most pixels of a photograph: 9,200 x 6,900 are more than a page can show, and take a fifth of a gigabyte unpacked.
const MAX_PIXELS: u64 = 64_000_000;
/// Most pixels that are gone through once a picture is unpacked: larger ones are drawn smaller first, and lose nothing that a
/// chart could show.
const MAX_PIXELS_SEEN: u64 = 24_000_000;
/// Most memory the decoder of a chart may take. Sixteen bits in four channels of 2,000 x 2,000 pixels are 32 MB.
const MAX_CHART_MEMORY: u64 = 128 << 20;
/// Most memory the decoder of a photograph may take.
const MAX_PHOTOGRAPH_MEMORY: u64 = 400 << 20;

/// A picture with one pixel a knot.
#[derive(Debug)]
pub(crate) struct Pixels {
    /// Across.
    pub(crate) columns: usize,
    /// Down.
    pub(crate) rows: usize,
    /// Red, green, blue, alpha in reading order, sixteen bits each, so that no colour is rounded on the way in.
    pub(crate) rgba: Vec<[u16; 4]>,
}

/// A picture as it is seen: upright, in sRGB, eight bits a channel, what is transparent laid on white.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SrgbPicture {
    /// Pixels across.
    pub width: usize,
    /// Pixels down.
    pub height: usize,
    /// Red, green, blue in reading order.
    pub rgb: Vec<u8>,
}

impl SrgbPicture {
    /// A pixel; inside the picture only.
    pub fn at(&self, x: usize, y: usize) -> [u8; 3] {
        let start = (y * self.width + x) * 3;
        [self.rgb[start], self.rgb[start + 1], self.rgb[start + 2]]
    }

    /// The same pixels for `image`; `None` where there are none.
    fn as_image(&self) -> Option<RgbImage> {
        let (width, height) = (u32::try_from(self.width).ok()?, u32::try_from(self.height).ok()?);
        RgbImage::from_raw(width, height, self.rgb.clone()).filter(|_| width > 0 && height > 0)
    }

    fn of_image(image: RgbImage) -> SrgbPicture {
        let (width, height) = (image.width() as usize, image.height() as usize);
        SrgbPicture { width, height, rgb: image.into_raw() }
    }

    /// Each pixel mixed with those around it, by a bell of this standard deviation in pixels.
    pub(crate) fn mixed(&self, pixels: f32) -> SrgbPicture {
        self.as_image().map_or_else(|| self.clone(), |image| SrgbPicture::of_image(imageops::fast_blur(&image, pixels)))
    }

    /// Half as many pixels each way, each the mixture of four.
    pub(crate) fn halved(&self) -> SrgbPicture {
        let half = |side: usize| u32::try_from(side / 2).unwrap_or(1).max(1);
        let halved = |image| imageops::thumbnail(&image, half(self.width), half(self.height));
        self.as_image().map_or_else(|| self.clone(), |image| SrgbPicture::of_image(halved(image)))
    }

    /// The part that begins at (`x`, `y`), at most `width` x `height` pixels large.
    pub(crate) fn part(&self, x: usize, y: usize, width: usize, height: usize) -> SrgbPicture {
        let [x, y, width, height] = [x, y, width, height].map(|side| u32::try_from(side).unwrap_or(u32::MAX));
        match self.as_image() {
            Some(image) => SrgbPicture::of_image(imageops::crop_imm(&image, x, y, width, height).to_image()),
            None => self.clone(),
        }
    }

    /// The same picture drawn larger, smoothly: what was lost stays lost.
    pub(crate) fn enlarged(&self, width: usize, height: usize) -> SrgbPicture {
        let sides = u32::try_from(width).ok().zip(u32::try_from(height).ok());
        match (self.as_image(), sides) {
            (Some(image), Some((width, height))) => {
                SrgbPicture::of_image(imageops::resize(&image, width, height, FilterType::Triangle))
            }
            // Of nothing comes white paper.
            _ => SrgbPicture { width, height, rgb: vec![255; width * height * 3] },
        }
    }
}

/// How a photograph is packed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum PictureEncoding {
    /// JPEG.
    Jpeg,
    /// PNG.
    Png,
}

/// A photograph, upright, still packed.
#[derive(Clone, Debug, PartialEq)]
pub struct EncodedPicture {
    /// How `bytes` are packed.
    pub(crate) packing: PictureEncoding,
    /// The file's own bytes, unless it had to be turned upright or drawn smaller.
    pub(crate) bytes: Vec<u8>,
    /// Pixels across.
    pub(crate) width: u32,
    /// Pixels down.
    pub(crate) height: u32,
}

/// Whether these are the first bytes of a picture of any kind this program has heard of.
pub(crate) fn is_picture(bytes: &[u8]) -> bool {
    image::guess_format(bytes).is_ok()
}

/// Whether these are the first bytes of a picture as many telephones take them (ISO/IEC 23008-12: a `ftyp` box with one of
/// its brands).
fn is_heic(bytes: &[u8]) -> bool {
    let brands: [&[u8]; 8] = [b"heic", b"heix", b"hevc", b"heim", b"heis", b"mif1", b"msf1", b"avif"];
    bytes.get(4..8) == Some(b"ftyp") && bytes.get(8..12).is_some_and(|brand| brands.contains(&brand))
}

/// Unpacks a chart picture of at most `most` pixels a side. The diagnostic has no span.
pub(crate) fn chart_pixels(bytes: &[u8], most: u32) -> Result<Pixels, Diagnostic> {
    match image::guess_format(bytes) {
        Ok(ImageFormat::Png | ImageFormat::Gif | ImageFormat::Bmp | ImageFormat::WebP) => {}
        Ok(ImageFormat::Jpeg) => {
            return Err(Diagnostic::fault("wrong-picture-kind", "a JPEG picture blurs colours and cannot be a chart")
                .hint("save the chart as a PNG picture, from the drawing and not from the JPEG")
                .hint("or have it read and made into a project: `hitchpress chart-from PICTURE`"));
        }
        _ => {
            return Err(Diagnostic::fault("wrong-picture-kind", "the chart is not a picture that can be read")
                .hint("save it as a PNG, GIF, BMP or WebP picture"));
        }
    }
    let mut decoder = opened(bytes, MAX_CHART_MEMORY, "the chart")?;
    let (columns, rows) = decoder.dimensions();
    if columns > most || rows > most {
        return Err(Diagnostic::fault("chart-too-large", format!("the chart is {columns} x {rows} pixels large"))
            .hint(format!("one pixel is one knot; at most {most} x {most} are read"))
            .hint("a chart drawn larger, a drawing or a photograph is made into a chart by `hitchpress chart-from PICTURE`"));
    }
    if columns == 0 || rows == 0 {
        return Err(Diagnostic::fault("empty-chart", "the chart has no pixels"));
    }
    limited(&mut decoder, MAX_CHART_MEMORY, "the chart")?;
    let picture = DynamicImage::from_decoder(decoder).map_err(|e| undecodable("the chart", bytes, &e))?;
    let rgba = picture.into_rgba16().pixels().map(|p| p.0).collect();
    Ok(Pixels { columns: columns as usize, rows: rows as usize, rgba })
}

/// Packs a chart picture without loss, eight bits in four channels, in the kind of `like`; as PNG where there is none. The
/// diagnostic has no span.
pub(crate) fn chart_file(
    like: Option<&[u8]>,
    columns: usize,
    rows: usize,
    rgba: Vec<u8>,
) -> Result<Vec<u8>, Diagnostic> {
    let format = like.and_then(|bytes| image::guess_format(bytes).ok()).unwrap_or(ImageFormat::Png);
    let unpackable = |why: String| Diagnostic::failure("cannot-write", format!("the chart cannot be packed: {why}"));
    let picture = image::RgbaImage::from_raw(columns as u32, rows as u32, rgba.clone())
        .ok_or_else(|| unpackable("its size is not that of its knots".to_owned()))?;
    let mut out = Cursor::new(Vec::new());
    picture.write_to(&mut out, format).map_err(|error| unpackable(error.to_string()))?;
    let out = out.into_inner();
    // Some kinds hold few colours, or none that are clear: what was packed must be what is read.
    let wide = |channel: &u8| u16::from(*channel) * 257;
    let seen = chart_pixels(&out, MAX_CHART)?;
    let clear = |pixel: &[u16]| pixel[3] == 0;
    let same = seen.rgba.len() * 4 == rgba.len()
        && seen.rgba.iter().zip(rgba.chunks_exact(4)).all(|(seen, meant)| {
            let meant: Vec<u16> = meant.iter().map(wide).collect();
            seen[..] == meant[..] || (clear(seen) && clear(&meant))
        });
    same.then_some(out).ok_or_else(|| {
        unpackable("this kind of picture cannot hold it".to_owned()).hint("save the chart as a PNG picture first")
    })
}

/// Pixels a side that are read back.
const MAX_CHART: u32 = 2_000;

/// A picture of one clear pixel, of the kind with this ending: to pack others like it.
#[cfg(test)]
pub(crate) fn blank(kind: &str) -> Option<Vec<u8>> {
    let mut out = Cursor::new(Vec::new());
    image::RgbaImage::new(1, 1).write_to(&mut out, ImageFormat::from_extension(kind)?).ok()?;
    Some(out.into_inner())
}

/// Width and height of a photograph as it will stand, upright, from its header alone. The diagnostic has no span.
pub fn photograph_size(bytes: &[u8]) -> Result<(u32, u32), Diagnostic> {
    if vector::is_svg(bytes) {
        return vector::size(bytes);
    }
    photograph_header(bytes).map(|(_, _, _, size)| size)
}

/// A photograph, turned upright where the camera noted that it lies on its side. Unturned ones keep their own bytes, so
/// nothing is lost, but for a PNG picture of more pixels than a page can show, which is drawn smaller. A picture of shapes is
/// drawn. The diagnostic has no span.
pub fn photograph(bytes: &[u8]) -> Result<EncodedPicture, Diagnostic> {
    if vector::is_svg(bytes) {
        let Drawn { width, height, rgb } = vector::drawn(bytes)?;
        let bytes = png(&SrgbPicture { width, height, rgb })?;
        return Ok(EncodedPicture { packing: PictureEncoding::Png, bytes, width: width as u32, height: height as u32 });
    }
    let (packing, mut decoder, turn, (width, height)) = photograph_header(bytes)?;
    let full = decoder.dimensions();
    let is_large = packing == PictureEncoding::Png && smaller::sides(full, MAX_PIXELS_SEEN) != full;
    if turn == Orientation::NoTransforms && !is_large {
        return Ok(EncodedPicture { packing, bytes: bytes.to_vec(), width, height });
    }
    let profile = decoder.icc_profile().ok().flatten();
    let by_rows = if is_large { smaller::drawn(bytes, MAX_PIXELS_SEEN) } else { None };
    let mut picture = match by_rows {
        Some(picture) => picture,
        None => {
            // While it is turned it is there twice.
            let most = if is_large { MAX_PHOTOGRAPH_MEMORY } else { MAX_PHOTOGRAPH_MEMORY / 2 };
            limited(&mut decoder, most, "the photograph")?;
            let picture = DynamicImage::from_decoder(decoder).map_err(|e| undecodable("the photograph", bytes, &e))?;
            let (width, height) = smaller::sides(full, MAX_PIXELS_SEEN);
            if is_large { picture.thumbnail_exact(width, height) } else { picture }
        }
    };
    picture.apply_orientation(turn);
    let mut out = Vec::new();
    let written = match packing {
        PictureEncoding::Jpeg => {
            // High enough that a second packing does not show in print (our judgement).
            let mut encoder = image::codecs::jpeg::JpegEncoder::new_with_quality(&mut out, 95);
            keep_profile(&mut encoder, profile);
            match picture {
                grey @ DynamicImage::ImageLuma8(_) => grey.write_with_encoder(encoder),
                other => DynamicImage::ImageRgb8(other.into_rgb8()).write_with_encoder(encoder),
            }
        }
        PictureEncoding::Png => {
            let mut encoder = image::codecs::png::PngEncoder::new(&mut out);
            keep_profile(&mut encoder, profile);
            picture.write_with_encoder(encoder)
        }
    };
    written.map_err(|e| undecodable("the photograph", bytes, &e))?;
    Ok(EncodedPicture { packing, bytes: out, width, height })
}

/// Unpacks any picture this program reads, turned upright as the camera noted. The diagnostic has no span.
pub fn seen(bytes: &[u8]) -> Result<SrgbPicture, Diagnostic> {
    let what = "the picture";
    if is_heic(bytes) {
        return Err(Diagnostic::fault(
            "wrong-picture-kind",
            "this is a HEIC or AVIF picture, which cannot be read here",
        )
        .hint("share or export it as JPEG; a telephone's camera can be set to take JPEG pictures"));
    }
    if !is_picture(bytes) {
        return Err(Diagnostic::fault("wrong-picture-kind", "this is not a picture that can be read")
            .hint("open it in any picture program and save it as JPEG or PNG"));
    }
    let mut decoder = opened(bytes, MAX_PHOTOGRAPH_MEMORY, what)?;
    let (width, height) = decoder.dimensions();
    sized(width, height, what)?;
    // Its decoder draws what is missing in grey, without a word; those of other kinds tell it.
    if matches!(image::guess_format(bytes), Ok(ImageFormat::Jpeg)) && !has_end(PictureEncoding::Jpeg, bytes) {
        return Err(cut_off(what));
    }
    limited(&mut decoder, MAX_PHOTOGRAPH_MEMORY, what)?;
    let turn = decoder.orientation().unwrap_or(Orientation::NoTransforms);
    let profile = decoder.icc_profile().ok().flatten();
    let mut picture = DynamicImage::from_decoder(decoder).map_err(|e| undecodable(what, bytes, &e))?;
    let pixels = u64::from(width) * u64::from(height);
    if pixels > MAX_PIXELS_SEEN {
        let (width, height) = smaller::sides((width, height), MAX_PIXELS_SEEN);
        picture = picture.thumbnail_exact(width, height);
    }
    picture.apply_orientation(turn);
    let (width, height) = (picture.width() as usize, picture.height() as usize);
    let rgb = if picture.color().has_alpha() {
        let on_white = |channel: u8, alpha: u8| {
            let (channel, alpha) = (u32::from(channel), u32::from(alpha));
            ((channel * alpha + 255 * (255 - alpha) + 127) / 255) as u8
        };
        picture.into_rgba8().pixels().flat_map(|p| [0, 1, 2].map(|i| on_white(p.0[i], p.0[3]))).collect()
    } else {
        picture.into_rgb8().into_raw()
    };
    let rgb = match profile.and_then(|profile| in_srgb(&rgb, &profile)) {
        Some(turned) => turned,
        None => rgb,
    };
    Ok(SrgbPicture { width, height, rgb })
}

/// Pixels of a profile of their own, as many telephones take them, in sRGB. `None` where the profile says nothing of red,
/// green and blue that can be followed: the picture is then taken for sRGB, as pictures without one are.
fn in_srgb(rgb: &[u8], profile: &[u8]) -> Option<Vec<u8>> {
    let own = ColorProfile::new_from_slice(profile).ok()?;
    let srgb = ColorProfile::new_srgb();
    let turn = own.create_transform_8bit(Layout::Rgb, &srgb, Layout::Rgb, TransformOptions::default()).ok()?;
    let mut out = vec![0; rgb.len()];
    turn.transform(rgb, &mut out).ok()?;
    Some(out)
}

/// Packs a picture as PNG, the same bytes for the same pixels. The diagnostic has no span.
pub fn png(picture: &SrgbPicture) -> Result<Vec<u8>, Diagnostic> {
    use image::ImageEncoder;
    use image::codecs::png::{CompressionType, FilterType, PngEncoder};
    let mut out = Vec::new();
    PngEncoder::new_with_quality(&mut out, CompressionType::Default, FilterType::Adaptive)
        .write_image(&picture.rgb, picture.width as u32, picture.height as u32, image::ExtendedColorType::Rgb8)
        .map_err(|e| Diagnostic::failure("cannot-write", format!("a picture cannot be packed as PNG: {e}")))?;
    if out.len() > HEADER {
        out.splice(HEADER..HEADER, DRAWN_BY);
    }
    Ok(out)
}

/// Bytes of a PNG file before its second chunk: signature and header (ISO/IEC 15948, 5.2, 11.2.2).
const HEADER: usize = 33;
/// A chunk of text that says what drew the picture, with its length and check (ISO/IEC 15948, 11.3.4.3).
const DRAWN_BY: [u8; 31] = *b"\0\0\0\x13tEXtSoftware\0Hitchpress\x8b\xee\xd0\x05";

/// Whether a picture was packed by [`png()`].
pub(crate) fn is_ours(bytes: &[u8]) -> bool {
    bytes.get(HEADER..).is_some_and(|rest| rest.starts_with(&DRAWN_BY))
}

/// A codec that cannot carry a profile drops it; the picture is then taken for sRGB, as pictures without one are.
fn keep_profile(encoder: &mut impl image::ImageEncoder, profile: Option<Vec<u8>>) {
    if let Some(profile) = profile {
        let _carried = encoder.set_icc_profile(profile);
    }
}

type PictureHeader<'b> = (PictureEncoding, Box<dyn ImageDecoder + 'b>, Orientation, (u32, u32));

fn photograph_header(bytes: &[u8]) -> Result<PictureHeader<'_>, Diagnostic> {
    let packing = match image::guess_format(bytes) {
        Ok(ImageFormat::Jpeg) => PictureEncoding::Jpeg,
        Ok(ImageFormat::Png) => PictureEncoding::Png,
        _ => {
            return Err(Diagnostic::fault("wrong-picture-kind", "the photograph is not a JPEG, PNG or SVG picture")
                .hint("open it in any picture program and save it as JPEG"));
        }
    };
    let mut decoder = opened(bytes, MAX_PHOTOGRAPH_MEMORY, "the photograph")?;
    let (width, height) = decoder.dimensions();
    sized(width, height, "the photograph")?;
    if !has_end(packing, bytes) {
        return Err(cut_off("the photograph"));
    }
    let turn = decoder.orientation().unwrap_or(Orientation::NoTransforms);
    let lying = matches!(
        turn,
        Orientation::Rotate90 | Orientation::Rotate270 | Orientation::Rotate90FlipH | Orientation::Rotate270FlipH
    );
    // A JPEG picture is handed on as it is, and takes a tenth of the memory.
    let (width, height) = match packing {
        PictureEncoding::Jpeg => (width, height),
        PictureEncoding::Png => smaller::sides((width, height), MAX_PIXELS_SEEN),
    };
    let size = if lying { (height, width) } else { (width, height) };
    Ok((packing, Box::new(decoder), turn, size))
}

/// Whether the end of a picture is missing that is no JPEG and no PNG: GIF89a ends with a trailer (section 27), and WebP says
/// how long it is (RFC 9649, section 2.4).
fn lacks_end(bytes: &[u8]) -> bool {
    match image::guess_format(bytes) {
        Ok(ImageFormat::Gif) => bytes.last() != Some(&0x3B),
        Ok(ImageFormat::WebP) => {
            let long = bytes.get(4..8).and_then(|long| long.try_into().ok()).map(u32::from_le_bytes);
            long.is_none_or(|long| u64::from(long) + 8 > bytes.len() as u64)
        }
        _ => false,
    }
}

fn cut_off(what: &str) -> Diagnostic {
    Diagnostic::fault("picture-cut-off", format!("{what} is cut off: its end is missing"))
        .hint("copy it once more from where it came, or open and save it in any picture program")
}

/// Whether the file goes on to the mark that ends such a picture. A small picture inside a JPEG has one of its own, so the mark
/// is sought behind the last scan (ISO/IEC 10918-1, B.1.1.3; ISO/IEC 15948, 11.2.5).
fn has_end(packing: PictureEncoding, bytes: &[u8]) -> bool {
    let last = |mark: &[u8]| bytes.windows(mark.len()).rposition(|here| here == mark);
    match packing {
        PictureEncoding::Jpeg => {
            last(&[0xFF, 0xD9]).is_some_and(|end| last(&[0xFF, 0xDA]).is_none_or(|scan| scan < end))
        }
        PictureEncoding::Png => last(b"IEND").is_some(),
    }
}

/// Refuses what is too large to be unpacked, or has nothing in it.
fn sized(width: u32, height: u32, what: &str) -> Result<(), Diagnostic> {
    if u64::from(width) * u64::from(height) <= MAX_PIXELS && width > 0 && height > 0 {
        return Ok(());
    }
    Err(Diagnostic::fault("picture-too-large", format!("{what} is {width} x {height} pixels large"))
        .hint("save it smaller: 4,000 pixels on the longer side are plenty for a whole page"))
}

fn opened<'b>(bytes: &'b [u8], memory: u64, what: &str) -> Result<impl ImageDecoder + 'b, Diagnostic> {
    let mut reader = ImageReader::new(Cursor::new(bytes))
        .with_guessed_format()
        .map_err(|e| Diagnostic::fault("broken-picture", format!("{what} cannot be read: {e}")))?;
    let mut limits = Limits::default();
    limits.max_alloc = Some(memory);
    reader.limits(limits);
    reader.into_decoder().map_err(|e| undecodable(what, bytes, &e))
}

/// What is unpacked counts as well, and some decoders do not count it themselves.
fn limited(decoder: &mut impl ImageDecoder, memory: u64, what: &str) -> Result<(), Diagnostic> {
    if decoder.total_bytes() > memory {
        return Err(Diagnostic::fault(
            "picture-too-large",
            format!("{what} takes too much memory when it is unpacked"),
        ));
    }
    Ok(())
}

/// Why a picture in these bytes was not unpacked. Decoders of some kinds tell it of missing ends in words of their own.
fn undecodable(what: &str, bytes: &[u8], error: &image::ImageError) -> Diagnostic {
    let has_no_more =
        matches!(error, image::ImageError::IoError(error) if error.kind() == std::io::ErrorKind::UnexpectedEof);
    if has_no_more || lacks_end(bytes) {
        return cut_off(what);
    }
    let why: String = error.to_string().chars().map(|c| if c.is_control() { ' ' } else { c }).take(200).collect();
    Diagnostic::fault("broken-picture", format!("{what} cannot be unpacked: {why}"))
        .hint("open it in any picture program and save it anew")
}

/// A photograph as plain pixels.
#[derive(Debug)]
pub(crate) struct RgbPixels {
    /// Pixels across and down, as they are stored: not turned upright.
    pub(crate) size: (u32, u32),
    /// Red, green, blue in reading order, eight bits each; what is transparent is white.
    pub(crate) rgb: Vec<u8>,
    /// The colour profile that the file carries.
    pub(crate) profile: Option<Vec<u8>>,
}

/// Unpacks a photograph. The words say why it cannot be.
pub(crate) fn rgb_pixels(bytes: &[u8]) -> Result<RgbPixels, String> {
    let why = |diagnostic: Diagnostic| diagnostic.message;
    let mut decoder = opened(bytes, MAX_PHOTOGRAPH_MEMORY, "the picture").map_err(why)?;
    limited(&mut decoder, MAX_PHOTOGRAPH_MEMORY, "the picture").map_err(why)?;
    let profile = decoder.icc_profile().ok().flatten();
    let picture = DynamicImage::from_decoder(decoder).map_err(|e| undecodable("the picture", bytes, &e).message)?;
    let size = (picture.width(), picture.height());
    if !picture.color().has_alpha() {
        return Ok(RgbPixels { size, rgb: picture.into_rgb8().into_raw(), profile });
    }
    let over_white = |value: u8, alpha: u8| {
        let (value, alpha) = (u32::from(value), u32::from(alpha));
        ((value * alpha + 255 * (255 - alpha) + 127) / 255) as u8
    };
    let rgb =
        picture.into_rgba8().pixels().flat_map(|p| [p[0], p[1], p[2]].map(|value| over_white(value, p[3]))).collect();
    Ok(RgbPixels { size, rgb, profile })
}

#[cfg(test)]
mod tests {
    use super::*;
    use image::{ImageEncoder, Rgb};

    fn grey(width: usize, height: usize, at: impl Fn(usize, usize) -> u8) -> SrgbPicture {
        let rgb = (0..width * height).flat_map(|i| [at(i % width, i / width); 3]).collect();
        SrgbPicture { width, height, rgb }
    }

    #[test]
    fn what_is_cut_off_is_told_and_not_drawn_in_grey() {
        let picture = image::RgbImage::from_fn(90, 70, |x, y| Rgb([(x * 37 % 251) as u8, (y * 53 % 241) as u8, 90]));
        for (format, id) in [
            (ImageFormat::Jpeg, "picture-cut-off"),
            (ImageFormat::Png, "picture-cut-off"),
            (ImageFormat::Bmp, "picture-cut-off"),
            (ImageFormat::Gif, "picture-cut-off"),
            (ImageFormat::WebP, "picture-cut-off"),
        ] {
            let mut bytes = Cursor::new(Vec::new());
            picture.write_to(&mut bytes, format).expect("a picture");
            let bytes = bytes.into_inner();
            assert_eq!(seen(&bytes).map(|seen| seen.width).map_err(|fault| fault.id), Ok(90), "{format:?}");
            let cut = seen(&bytes[..bytes.len() * 2 / 3]);
            assert_eq!(cut.map(|seen| seen.width).map_err(|fault| fault.id), Err(id), "{format:?}");
        }
    }

    #[test]
    fn a_part_is_what_stood_there() {
        let whole = grey(9, 7, |x, y| (10 * y + x) as u8);
        assert_eq!(whole.part(2, 3, 4, 2), grey(4, 2, |x, y| (10 * (y + 3) + x + 2) as u8));
        assert_eq!((whole.part(7, 6, 5, 5).width, whole.part(20, 20, 1, 1).rgb.len()), (2, 0));
    }

    #[test]
    fn enlarging_invents_nothing() {
        let small = grey(2, 1, |x, _| if x == 0 { 0 } else { 200 });
        let large = small.enlarged(8, 3);
        let line: Vec<u8> = (0..8).map(|x| large.at(x, 1)[0]).collect();
        // Own computation: straight between the middles of the two pixels, level beyond them.
        assert_eq!(line, [0, 0, 25, 75, 125, 175, 200, 200]);
        assert_eq!(grey(0, 0, |_, _| 0).enlarged(2, 1), grey(2, 1, |_, _| 255));
    }

    /// Sixteen by eight pixels, the left half red: coarse enough to survive JPEG.
    fn drawn() -> RgbImage {
        RgbImage::from_fn(16, 8, |x, _| if x < 8 { Rgb([230, 20, 20]) } else { Rgb([20, 20, 230]) })
    }

    /// A TIFF header with one entry, the orientation (Exif 2.3, tag 0x0112, type SHORT).
    fn exif(orientation: u8) -> Vec<u8> {
        let mut chunk = b"II*\0\x08\0\0\0\x01\0\x12\x01\x03\0\x01\0\0\0".to_vec();
        chunk.extend([orientation, 0, 0, 0, 0, 0, 0, 0]);
        chunk
    }

    fn jpeg(orientation: Option<u8>) -> Vec<u8> {
        let mut bytes = Vec::new();
        let mut encoder = image::codecs::jpeg::JpegEncoder::new_with_quality(&mut bytes, 95);
        if let Some(orientation) = orientation {
            encoder.set_exif_metadata(exif(orientation)).expect("JPEG carries Exif");
        }
        drawn().write_with_encoder(encoder).expect("a JPEG");
        bytes
    }

    #[test]
    fn an_upright_photograph_keeps_its_own_bytes() {
        for bytes in [jpeg(None), jpeg(Some(1))] {
            let photograph = photograph(&bytes).expect("a photograph");
            assert_eq!((photograph.width, photograph.height), (16, 8));
            assert_eq!((photograph.packing, photograph.bytes), (PictureEncoding::Jpeg, bytes));
        }
    }

    #[test]
    fn a_photograph_on_its_side_is_turned_upright() {
        // Exif 2.3: 6 means that the camera's right side is the picture's bottom: turn by 90 degrees clockwise, and what
        // was left comes to the top. 3 means turn by 180 degrees: what was left comes to the right.
        for (orientation, size, red_at) in
            [(6, (8, 16), (4, 2)), (8, (8, 16), (4, 13)), (3, (16, 8), (13, 4)), (2, (16, 8), (13, 4))]
        {
            let bytes = jpeg(Some(orientation));
            assert_eq!(photograph_size(&bytes), Ok(size), "{orientation}");
            let photograph = photograph(&bytes).expect("a photograph");
            assert_eq!((photograph.width, photograph.height), size);
            let picture = image::load_from_memory(&photograph.bytes).expect("a JPEG").into_rgb8();
            assert_eq!(picture.dimensions(), size);
            let [red, _, blue] = picture.get_pixel(red_at.0, red_at.1).0;
            assert!(red > 180 && blue < 80, "{orientation}: {red} {blue}");
            // Once turned, it is not turned again.
            assert_eq!(photograph_size(&photograph.bytes), Ok(size));
        }
    }

    #[test]
    fn a_picture_with_a_profile_of_its_own_is_seen_in_srgb() {
        let packed = |profile: Option<Vec<u8>>| {
            let mut bytes = Vec::new();
            let mut encoder = image::codecs::png::PngEncoder::new(&mut bytes);
            if let Some(profile) = profile {
                encoder.set_icc_profile(profile).expect("PNG carries profiles");
            }
            RgbImage::from_pixel(3, 2, Rgb([200, 100, 50])).write_with_encoder(encoder).expect("a PNG");
            seen(&bytes).expect("a picture").at(1, 1)
        };
        let p3 = ColorProfile::new_display_p3().encode().expect("a profile");
        // Own computation with the matrices of CSS Color 4 for Display P3 and sRGB: 214.9, 92.6, 31.0.
        for (got, want) in packed(Some(p3)).into_iter().zip([215, 93, 31]) {
            assert!(got.abs_diff(want) <= 1, "{got} {want}");
        }
        assert_eq!(packed(None), [200, 100, 50]);
        assert_eq!(packed(Some(b"no profile at all".to_vec())), [200, 100, 50]);
    }

    #[test]
    fn what_is_transparent_lies_on_white() {
        let mut bytes = Vec::new();
        image::RgbaImage::from_fn(2, 1, |x, _| image::Rgba([40, 80, 120, if x == 0 { 0 } else { 255 }]))
            .write_with_encoder(image::codecs::png::PngEncoder::new(&mut bytes))
            .expect("a PNG");
        let seen = seen(&bytes).expect("a picture");
        assert_eq!((seen.at(0, 0), seen.at(1, 0)), ([255; 3], [40, 80, 120]));
        assert_eq!(super::seen(&png(&seen).expect("a PNG")), Ok(seen));
    }

    #[test]
    fn a_picture_that_is_no_photograph_is_refused() {
        let id = |bytes: &[u8]| photograph(bytes).map(|_| ()).map_err(|d| d.id);
        assert_eq!(id(b"GIF89a"), Err("wrong-picture-kind"));
        assert_eq!(id(b""), Err("wrong-picture-kind"));
        assert_eq!(id(&jpeg(Some(6))[..60]), Err("broken-picture"));
    }
}

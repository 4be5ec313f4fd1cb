//! Pictures as they are embedded: JPEG files byte for byte, PNG files unpacked and packed again without loss.
//!
//! The turn that a camera has noted (EXIF orientation) is carried out by the page's matrix, and an RGB or grey profile
//! inside a JPEG file is handed on, so that the bytes need not be touched.

use super::error::PdfError;
use super::ink::{Inks, PrinterProfile};
use crate::page::PictureFile;
use printpdf::{DictItem, ExternalStream, ExternalXObject, RawImage, XObject};
use std::collections::BTreeMap;

/// A picture ready for the resources.
pub(super) struct EmbeddedPicture {
    /// Name in the resources.
    pub(crate) resource: String,
    /// For printpdf.
    pub(crate) object: XObject,
    /// Profile to be put in place of the device colour space by the finisher.
    pub(crate) profile: Option<Vec<u8>>,
    /// Turns the unit square of the stored picture into that of the shown one.
    pub(crate) turn: [f64; 6],
    /// The most ink that its darkest place would take by the shop's profile, per cent; nothing in a home file.
    pub(crate) asked: Option<f64>,
}

const UPRIGHT: [f64; 6] = [1.0, 0.0, 0.0, 1.0, 0.0, 0.0];

/// Embeds one picture.
pub(super) fn embed(index: usize, file: &PictureFile, inks: Inks<'_>) -> Result<EmbeddedPicture, PdfError> {
    match inks {
        Inks::Screen => as_it_is(index, file),
        Inks::Prepress(profile) => in_four_inks(index, file, profile),
    }
}

/// For a print shop: every pixel in the shop's own inks.
fn in_four_inks(index: usize, file: &PictureFile, profile: &PrinterProfile) -> Result<EmbeddedPicture, PdfError> {
    let bytes = file.bytes.as_slice();
    let turned = bytes.starts_with(&[0xFF, 0xD8]).then(|| Jpeg::read(bytes)).flatten();
    let inked = profile.picture(bytes)?;
    let name = |text: &str| DictItem::Name(text.as_bytes().to_vec());
    let dict = BTreeMap::from([
        ("Type".to_owned(), name("XObject")),
        ("Subtype".to_owned(), name("Image")),
        ("Width".to_owned(), DictItem::Int(i64::from(inked.size.0))),
        ("Height".to_owned(), DictItem::Int(i64::from(inked.size.1))),
        ("BitsPerComponent".to_owned(), DictItem::Int(8)),
        ("ColorSpace".to_owned(), name("DeviceCMYK")),
    ]);
    let stream = ExternalStream { dict, content: inked.inks, compress: true };
    let object = XObject::External(ExternalXObject { stream, width: None, height: None, dpi: None });
    let turn = turned.map_or(UPRIGHT, |jpeg| turn(jpeg.orientation));
    Ok(EmbeddedPicture { resource: format!("P{index}"), object, profile: None, turn, asked: Some(inked.asked) })
}

/// For a home file.
fn as_it_is(index: usize, file: &PictureFile) -> Result<EmbeddedPicture, PdfError> {
    let resource = format!("P{index}");
    let bytes = file.bytes.as_slice();
    let jpeg = bytes.starts_with(&[0xFF, 0xD8]).then(|| Jpeg::read(bytes)).flatten();
    match jpeg {
        Some(jpeg) if jpeg.bits == 8 && (jpeg.components == 1 || jpeg.components == 3) => {
            let (space, components) = if jpeg.components == 1 { ("DeviceGray", 1) } else { ("DeviceRGB", 3) };
            let name = |text: &str| DictItem::Name(text.as_bytes().to_vec());
            let dict = BTreeMap::from([
                ("Type".to_owned(), name("XObject")),
                ("Subtype".to_owned(), name("Image")),
                ("Width".to_owned(), DictItem::Int(i64::from(jpeg.width))),
                ("Height".to_owned(), DictItem::Int(i64::from(jpeg.height))),
                ("BitsPerComponent".to_owned(), DictItem::Int(8)),
                ("ColorSpace".to_owned(), name(space)),
                ("Filter".to_owned(), name("DCTDecode")),
            ]);
            let stream = ExternalStream { dict, content: bytes.to_vec(), compress: false };
            let object = XObject::External(ExternalXObject { stream, width: None, height: None, dpi: None });
            let profile = jpeg.profile.filter(|profile| profile_fits(profile, components));
            Ok(EmbeddedPicture { resource, object, profile, turn: turn(jpeg.orientation), asked: None })
        }
        // CMYK and twelve-bit files have no place beside an sRGB output intent as they are.
        Some(_) | None => {
            let mut image = RawImage::decode_from_bytes(bytes, &mut Vec::new()).map_err(PdfError::Picture)?;
            if image.data_format.has_alpha() && image.is_fully_opaque() {
                image.remove_alpha_channel().map_err(PdfError::Picture)?;
            }
            let turn = jpeg.map_or(UPRIGHT, |jpeg| turn(jpeg.orientation));
            Ok(EmbeddedPicture { resource, object: XObject::Image(image), profile: None, turn, asked: None })
        }
    }
}

/// The matrix of an EXIF orientation (EXIF 2.32, tag 0x0112): where the stored first row and column are shown.
fn turn(orientation: u16) -> [f64; 6] {
    match orientation {
        2 => [-1.0, 0.0, 0.0, 1.0, 1.0, 0.0],
        3 => [-1.0, 0.0, 0.0, -1.0, 1.0, 1.0],
        4 => [1.0, 0.0, 0.0, -1.0, 0.0, 1.0],
        5 => [0.0, -1.0, -1.0, 0.0, 1.0, 1.0],
        6 => [0.0, -1.0, 1.0, 0.0, 0.0, 1.0],
        7 => [0.0, 1.0, 1.0, 0.0, 0.0, 0.0],
        8 => [0.0, 1.0, -1.0, 0.0, 1.0, 0.0],
        _ => UPRIGHT,
    }
}

/// Whether a profile may be embedded: a display, input or colour space profile of version 2 or 4 (PDF/A-2, 6.2.4.2)
/// with the right number of components.
fn profile_fits(profile: &[u8], components: u8) -> bool {
    let space: &[u8] = if components == 1 { b"GRAY" } else { b"RGB " };
    let class = profile.get(12..16);
    profile.get(36..40) == Some(b"acsp")
        && profile.get(16..20) == Some(space)
        && (class == Some(b"mntr") || class == Some(b"scnr") || class == Some(b"spac"))
        && profile.get(8).is_some_and(|&major| major == 2 || major == 4)
}

/// What the header segments of a JPEG file say.
struct Jpeg {
    width: u16,
    height: u16,
    bits: u8,
    components: u8,
    orientation: u16,
    profile: Option<Vec<u8>>,
}

impl Jpeg {
    /// Reads the segments up to the picture's own bytes; `None` where they make no sense.
    fn read(bytes: &[u8]) -> Option<Jpeg> {
        let mut at = 2;
        let mut orientation = 1;
        let mut chunks: BTreeMap<u8, &[u8]> = BTreeMap::new();
        loop {
            if *bytes.get(at)? != 0xFF {
                return None;
            }
            let marker = *bytes.get(at + 1)?;
            if marker == 0xFF {
                at += 1;
                continue;
            }
            if marker == 0x01 || (0xD0..=0xD7).contains(&marker) {
                at += 2;
                continue;
            }
            let length = usize::from(u16::from_be_bytes([*bytes.get(at + 2)?, *bytes.get(at + 3)?]));
            let body = bytes.get(at + 4..at + 2 + length)?;
            match marker {
                // Start of frame, all processes; C4, C8 and CC are other segments.
                0xC0..=0xC3 | 0xC5..=0xC7 | 0xC9..=0xCB | 0xCD..=0xCF => {
                    return Some(Jpeg {
                        bits: *body.first()?,
                        height: u16::from_be_bytes([*body.get(1)?, *body.get(2)?]),
                        width: u16::from_be_bytes([*body.get(3)?, *body.get(4)?]),
                        components: *body.get(5)?,
                        orientation,
                        profile: (!chunks.is_empty()).then(|| chunks.values().copied().flatten().copied().collect()),
                    });
                }
                0xE1 => {
                    if let Some(tiff) = body.strip_prefix(b"Exif\0\0") {
                        orientation = exif_orientation(tiff).unwrap_or(orientation);
                    }
                }
                0xE2 => {
                    if let Some([number, _count, chunk @ ..]) = body.strip_prefix(b"ICC_PROFILE\0") {
                        chunks.insert(*number, chunk);
                    }
                }
                _ => {}
            }
            at += 2 + length;
        }
    }
}

/// Tag 0x0112 of the first directory of an EXIF block.
fn exif_orientation(tiff: &[u8]) -> Option<u16> {
    let little = match tiff.get(..2)? {
        b"II" => true,
        b"MM" => false,
        _ => return None,
    };
    let short = |at: usize| -> Option<u16> {
        let pair = [*tiff.get(at)?, *tiff.get(at.checked_add(1)?)?];
        Some(if little { u16::from_le_bytes(pair) } else { u16::from_be_bytes(pair) })
    };
    let long = |at: usize| -> Option<u32> {
        let (a, b) = (u32::from(short(at)?), u32::from(short(at.checked_add(2)?)?));
        Some(if little { b << 16 | a } else { a << 16 | b })
    };
    let directory = usize::try_from(long(4)?).ok()?;
    let entries = usize::from(short(directory)?);
    (0..entries).find_map(|entry| {
        let at = directory.checked_add(2 + 12 * entry)?;
        if short(at)? == 0x0112 { short(at.checked_add(8)?) } else { None }
    })
}

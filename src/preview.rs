//! A finished PDF as it looks: bytes to pixels. The only door to `hayro`.
//!
//! Knows nothing of what the pages say; the same bytes give the same pixels.

pub(crate) mod pixels;

use crate::diag::Diagnostic;
use crate::picture::SrgbPicture;
use hayro::hayro_interpret::InterpreterSettings;
use hayro::hayro_syntax::Pdf;
use hayro::vello_cpu::color::palette::css::WHITE;
use hayro::{PixmapSettings, RenderCache, RenderSettings, render};

/// Most pixels of a side: what the renderer counts in.
pub(crate) const MAX_SIDE: usize = 16_000;

/// Draws pages of a PDF on white, one after the other, and hands each to `take` with its number from 0. `width` says how
/// many pixels wide a page is wanted; `None` leaves it out.
///
/// # Errors
/// A fault when the bytes are no PDF that can be drawn.
pub fn each(
    bytes: &[u8],
    width: impl Fn(usize) -> Option<usize>,
    mut take: impl FnMut(usize, SrgbPicture),
) -> Result<(), Diagnostic> {
    let pdf = Pdf::new(bytes.to_vec())
        .map_err(|_| Diagnostic::fault("broken-pdf", "the finished file cannot be drawn: it is not a whole PDF"))?;
    let cache = RenderCache::new();
    let (interpreter, settings) =
        (InterpreterSettings::default(), RenderSettings { hinting: false, ..RenderSettings::default() });
    for (number, page) in pdf.pages().iter().enumerate() {
        let Some(width) = width(number) else { continue };
        let (across, down) = page.render_dimensions();
        // The renderer cuts parts of pixels off, so a hundredth more is asked for than is wanted.
        let most = (MAX_SIDE as f32 / across.max(down).max(1.0)).max(f32::MIN_POSITIVE);
        let scale = ((width.max(1) as f32 + 0.01) / across.max(1.0)).min(most);
        let paper = PixmapSettings { x_scale: scale, y_scale: scale, bg_color: WHITE };
        let pixmap = render(page, &cache, &interpreter, &settings, &paper);
        let rgb = pixmap.data().iter().flat_map(|p| [p.r, p.g, p.b]).collect();
        take(number, SrgbPicture { width: usize::from(pixmap.width()), height: usize::from(pixmap.height()), rgb });
    }
    Ok(())
}

/// One page of a PDF on white, `width` pixels wide.
///
/// # Errors
/// A fault when the bytes are no PDF that can be drawn, or have no such page.
pub fn page(bytes: &[u8], wanted: usize, width: usize) -> Result<SrgbPicture, Diagnostic> {
    let mut drawn = None;
    each(bytes, |number| (number == wanted).then_some(width), |_, picture| drawn = Some(picture))?;
    drawn.ok_or_else(|| Diagnostic::fault("broken-pdf", "the finished file has no page to be drawn"))
}

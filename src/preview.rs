//! A finished PDF as it looks: bytes to pixels. The only door to `hayro`.
//!
//! Knows nothing of what the pages say; the same bytes give the same pixels.

use crate::diag::Diagnostic;
use crate::picture::Seen;
use hayro::hayro_interpret::InterpreterSettings;
use hayro::hayro_syntax::Pdf;
use hayro::vello_cpu::color::palette::css::WHITE;
use hayro::{PixmapSettings, RenderCache, RenderSettings, render};

/// Most pixels of a side: what the renderer counts in.
pub const MOST_SIDE: usize = 16_000;

/// Draws the pages of a PDF on white. `width` says how many pixels wide each page is wanted, from 0 counted and with the
/// page's width and height in points; `None` leaves it out.
///
/// # Errors
/// A fault when the bytes are no PDF that can be drawn.
pub fn draw(bytes: &[u8], width: impl Fn(usize, (f64, f64)) -> Option<usize>) -> Result<Vec<Seen>, Diagnostic> {
    let pdf = Pdf::new(bytes.to_vec())
        .map_err(|_| Diagnostic::fault("broken-pdf", "the finished file cannot be drawn: it is not a whole PDF"))?;
    let cache = RenderCache::new();
    let (interpreter, settings) =
        (InterpreterSettings::default(), RenderSettings { hinting: false, ..RenderSettings::default() });
    let mut drawn = Vec::new();
    for (number, page) in pdf.pages().iter().enumerate() {
        let (across, down) = page.render_dimensions();
        let Some(width) = width(number, (f64::from(across), f64::from(down))) else { continue };
        // The renderer cuts parts of pixels off, so a hundredth more is asked for than is wanted.
        let most = (MOST_SIDE as f32 / across.max(down).max(1.0)).max(f32::MIN_POSITIVE);
        let scale = ((width.max(1) as f32 + 0.01) / across.max(1.0)).min(most);
        let paper = PixmapSettings { x_scale: scale, y_scale: scale, bg_color: WHITE };
        let pixmap = render(page, &cache, &interpreter, &settings, &paper);
        let rgb = pixmap.data().iter().flat_map(|p| [p.r, p.g, p.b]).collect();
        drawn.push(Seen { width: usize::from(pixmap.width()), height: usize::from(pixmap.height()), rgb });
    }
    Ok(drawn)
}

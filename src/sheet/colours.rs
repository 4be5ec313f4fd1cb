//! Colours as spreadsheets write them: red, green and blue; a place in the theme, with a tint; or a place in the old list of
//! 64 (ECMA-376 part 1, 18.3.1.15 and 18.8.27).

use crate::colour::Colour;
use roxmltree::{Document, Node};

/// The theme's colours when a file has none: those that ECMA-376 files are usually written with.
const USUAL_THEME: [&str; 12] = [
    "#ffffff", "#000000", "#e7e6e6", "#44546a", "#4472c4", "#ed7d31", "#a5a5a5", "#ffc000", "#5b9bd5", "#70ad47",
    "#0563c1", "#954f72",
];

/// The old list, from its eighth entry on; the first eight are entries 8 to 15 once more (18.8.27).
const INDEXED: [&str; 56] = [
    "000000", "ffffff", "ff0000", "00ff00", "0000ff", "ffff00", "ff00ff", "00ffff", "800000", "008000", "000080",
    "808000", "800080", "008080", "c0c0c0", "808080", "9999ff", "993366", "ffffcc", "ccffff", "660066", "ff8080",
    "0066cc", "ccccff", "000080", "ff00ff", "ffff00", "00ffff", "800080", "800000", "008080", "0000ff", "00ccff",
    "ccffff", "ccffcc", "ffff99", "99ccff", "ff99cc", "cc99ff", "ffcc99", "3366ff", "33cccc", "99cc00", "ffcc00",
    "ff9900", "ff6600", "666699", "969696", "003366", "339966", "003300", "333300", "993300", "993366", "333399",
    "333333",
];

/// A theme's twelve colours, in the order in which cells count them: the first two pairs are exchanged there.
pub(super) fn theme(text: Option<&str>) -> Vec<Colour> {
    let usual = || USUAL_THEME.iter().filter_map(|hex| Colour::from_hex(hex)).collect::<Vec<_>>();
    let Some(text) = text else { return usual() };
    let Ok(document) = Document::parse(text) else { return usual() };
    let Some(scheme) = document.descendants().find(|node| node.tag_name().name() == "clrScheme") else {
        return usual();
    };
    let mut colours: Vec<Colour> = scheme
        .children()
        .filter(Node::is_element)
        .filter_map(|entry| {
            let value = entry.children().find(Node::is_element)?;
            let hex = value.attribute("lastClr").or_else(|| value.attribute("val"))?;
            Colour::from_hex(&format!("#{hex}"))
        })
        .collect();
    if colours.len() < 4 {
        return usual();
    }
    colours.swap(0, 1);
    colours.swap(2, 3);
    colours
}

/// The colour of a `fgColor` element. `None`: none, or one of the screen's own.
pub(super) fn colour(node: Node<'_, '_>, theme: &[Colour]) -> Option<Colour> {
    let base = if let Some(rgb) = node.attribute("rgb") {
        // Eight digits begin with how opaque it is.
        let digits = rgb.get(rgb.len().checked_sub(6)?..)?;
        Colour::from_hex(&format!("#{digits}"))?
    } else if let Some(place) = node.attribute("theme").and_then(|n| n.parse::<usize>().ok()) {
        *theme.get(place)?
    } else {
        let place: usize = node.attribute("indexed")?.parse().ok()?;
        let place = if place < 8 { place } else { place - 8 };
        Colour::from_hex(&format!("#{}", INDEXED.get(place)?))?
    };
    let tint: f64 = node.attribute("tint").and_then(|t| t.parse().ok()).unwrap_or(0.0);
    Some(tinted(base, tint.clamp(-1.0, 1.0)))
}

/// Darker for a tint below zero, lighter above: the lightness of hue, saturation and lightness is moved towards its end
/// (18.8.19).
pub(super) fn tinted(colour: Colour, tint: f64) -> Colour {
    if tint == 0.0 {
        return colour;
    }
    let [r, g, b] = [colour.r, colour.g, colour.b].map(|v| f64::from(v) / 255.0);
    let (max, min) = (r.max(g).max(b), r.min(g).min(b));
    let light = (max + min) / 2.0;
    let moved = if tint < 0.0 { light * (1.0 + tint) } else { light * (1.0 - tint) + tint };
    let chroma = max - min;
    let spread = 1.0 - (2.0 * light - 1.0).abs();
    let saturation = if spread > 1e-9 { chroma / spread } else { 0.0 };
    let new_chroma = saturation * (1.0 - (2.0 * moved - 1.0).abs());
    // The channels keep their order; only the span between them and its middle move.
    let channel = |v: f64| {
        let share = if chroma > 1e-9 { (v - min) / chroma } else { 0.5 };
        ((moved + (share - 0.5) * new_chroma) * 255.0).round().clamp(0.0, 255.0) as u8
    };
    Colour::new(channel(r), channel(g), channel(b))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tints_move_the_lightness() {
        // Own computation: #4472c4 has a lightness of 0.5176; a tint of 0.6 leads to 0.8071, -0.5 to 0.2588.
        let blue = Colour::new(0x44, 0x72, 0xc4);
        assert!(tinted(blue, 0.6).difference(Colour::new(0xb4, 0xc7, 0xe7)) < 1.5);
        assert!(tinted(blue, -0.5).difference(Colour::new(0x20, 0x38, 0x64)) < 1.5);
        assert_eq!(tinted(Colour::WHITE, -0.25), Colour::new(191, 191, 191));
        assert_eq!(tinted(Colour::BLACK, 0.5), Colour::new(128, 128, 128));
    }
}

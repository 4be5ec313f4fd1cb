//! Pictures of shapes (SVG 1.1), drawn as pixels as fine as any page needs. The only door to `resvg`.
//!
//! Shapes and colours are drawn, and nothing is fetched: letters need a font that is not in the file, and pictures inside
//! a picture may lie elsewhere, so both are told and not left out in silence.

use crate::diag::Diagnostic;
use resvg::tiny_skia::{Color, Pixmap, Transform};
use resvg::usvg::{Group, Node, Options, Tree, roxmltree};

/// Pixels of the longer side: 300 an inch over the width of an A4 page.
const LONGER_SIDE: f32 = 2_000.0;
/// Most bytes of a file. A sign drawn by hand has a few thousand.
const MAX_BYTES: usize = 2 << 20;
/// Most shapes that are drawn, copies of copies counted.
const MAX_SHAPES: usize = 20_000;
/// Elements that are told and not drawn, with what they are in a maker's words.
const NOT_DRAWN: [(&str, &str); 5] = [
    ("text", "letters"),
    ("image", "a photograph"),
    ("foreignObject", "a part of a web page"),
    ("filter", "a blur or shadow"),
    ("pattern", "a repeated pattern"),
];

/// What was drawn: red, green, blue in reading order, eight bits each, on white paper.
#[derive(Debug)]
pub(super) struct Drawn {
    /// Pixels across.
    pub(crate) width: usize,
    /// Pixels down.
    pub(crate) height: usize,
    /// The pixels.
    pub(crate) rgb: Vec<u8>,
}

/// Whether these are the first bytes of such a picture.
pub(super) fn is_svg(bytes: &[u8]) -> bool {
    let head = String::from_utf8_lossy(&bytes[..bytes.len().min(1024)]);
    let head = head.trim_start_matches('\u{feff}').trim_start();
    head.starts_with("<svg") || ((head.starts_with("<?xml") || head.starts_with("<!")) && head.contains("<svg"))
}

/// Width and height in pixels as it will be drawn. The diagnostic has no span.
pub(super) fn size(bytes: &[u8]) -> Result<(u32, u32), Diagnostic> {
    read(bytes).map(|tree| pixels(&tree))
}

/// Draws it. The diagnostic has no span.
pub(super) fn drawn(bytes: &[u8]) -> Result<Drawn, Diagnostic> {
    let tree = read(bytes)?;
    let (width, height) = pixels(&tree);
    let mut paper = Pixmap::new(width, height).ok_or_else(without_size)?;
    paper.fill(Color::WHITE);
    let own = tree.size();
    let scale = Transform::from_scale(width as f32 / own.width(), height as f32 / own.height());
    resvg::render(&tree, scale, &mut paper.as_mut());
    let rgb = paper.pixels().iter().flat_map(|pixel| [pixel.red(), pixel.green(), pixel.blue()]).collect();
    Ok(Drawn { width: width as usize, height: height as usize, rgb })
}

fn read(bytes: &[u8]) -> Result<Tree, Diagnostic> {
    if bytes.len() > MAX_BYTES {
        return Err(too_much("it has more than two million letters"));
    }
    let unreadable = |why: &dyn std::fmt::Display| {
        let why: String = why.to_string().chars().filter(|c| !c.is_control()).take(120).collect();
        Diagnostic::fault("broken-picture", format!("the SVG picture cannot be read: {why}"))
            .hint("open it in a drawing program and save it anew, or as PNG")
    };
    let text = std::str::from_utf8(bytes).map_err(|error| unreadable(&error))?;
    let document = roxmltree::Document::parse_with_options(
        text,
        roxmltree::ParsingOptions { allow_dtd: true, ..roxmltree::ParsingOptions::default() },
    )
    .map_err(|error| unreadable(&error))?;
    let has = |name: &str| document.descendants().any(|node| node.has_tag_name(name) || node.tag_name().name() == name);
    if let Some((_, what)) = NOT_DRAWN.into_iter().find(|(name, _)| has(name)) {
        return Err(Diagnostic::fault("picture-not-drawn", format!("the SVG picture has {what} in it"))
            .hint("only shapes and their colours are drawn: turn letters into shapes, or save it as PNG"));
    }
    let tree = Tree::from_xmltree(&document, &Options::default()).map_err(|error| match error {
        resvg::usvg::Error::InvalidSize => without_size(),
        resvg::usvg::Error::ElementsLimitReached
        | resvg::usvg::Error::ParsingFailed(roxmltree::Error::NodesLimitReached) => too_much("it has too many shapes"),
        other => unreadable(&other),
    })?;
    if count(tree.root(), MAX_SHAPES) > MAX_SHAPES {
        return Err(too_much("it has too many shapes"));
    }
    Ok(tree)
}

/// Shapes in a group, not counted on beyond `most`.
fn count(group: &Group, most: usize) -> usize {
    let mut found = 0;
    for node in group.children() {
        found += match node {
            Node::Group(inner) => count(inner, most),
            Node::Path(_) | Node::Image(_) | Node::Text(_) => 1,
        };
        if found > most {
            break;
        }
    }
    found
}

/// Width and height of which the longer one is that of every such picture.
fn pixels(tree: &Tree) -> (u32, u32) {
    let (width, height) = (tree.size().width(), tree.size().height());
    let scale = LONGER_SIDE / width.max(height);
    let side = |own: f32| (own * scale).round().clamp(1.0, LONGER_SIDE) as u32;
    (side(width), side(height))
}

fn without_size() -> Diagnostic {
    Diagnostic::fault("broken-picture", "the SVG picture does not say how large it is")
        .hint("save it anew from a drawing program, or as PNG")
}

fn too_much(why: &str) -> Diagnostic {
    Diagnostic::fault("picture-too-large", format!("the SVG picture takes too long to draw: {why}"))
        .hint("save it as PNG, 2,000 pixels on the longer side")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn svg(inner: &str) -> Vec<u8> {
        format!("<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 40 20\">{inner}</svg>").into_bytes()
    }

    #[test]
    fn shapes_are_drawn_in_their_colours_on_white() {
        let bytes = svg(
            "<rect x=\"0\" y=\"0\" width=\"20\" height=\"20\" fill=\"#b2522f\"/><circle cx=\"30\" cy=\"10\" r=\"5\" fill=\"navy\"/>",
        );
        assert!(is_svg(&bytes) && is_svg(b"<?xml version=\"1.0\"?>\n<!-- a sign -->\n<svg/>"));
        assert!(!is_svg(b"<html>") && !is_svg(b"\x89PNG\r\n"));
        assert_eq!(size(&bytes).expect("a size"), (2000, 1000));
        let Drawn { width, height, rgb } = drawn(&bytes).expect("drawn");
        let at = |x: usize, y: usize| [0, 1, 2].map(|i| rgb[(y * width + x) * 3 + i]);
        assert_eq!((width, height), (2000, 1000));
        // CSS Color Module Level 4, section 6.1: navy.
        assert_eq!((at(500, 500), at(1500, 500), at(1100, 100)), ([0xb2, 0x52, 0x2f], [0, 0, 128], [255; 3]));
    }

    #[test]
    fn what_is_not_drawn_is_told() {
        for (inner, id) in [
            ("<text x=\"1\" y=\"9\">fox</text>", "picture-not-drawn"),
            ("<image href=\"/etc/hostname\" width=\"9\" height=\"9\"/>", "picture-not-drawn"),
            ("<g", "broken-picture"),
        ] {
            assert_eq!(drawn(&svg(inner)).expect_err(inner).id, id);
        }
        assert_eq!(
            size(b"<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"0\" height=\"0\"/>").expect_err("none").id,
            "broken-picture"
        );
    }

    #[test]
    fn copies_of_copies_have_an_end() {
        let copies = |of: usize| format!("<g id=\"a{}\">{}</g>", of + 1, format!("<use href=\"#a{of}\"/>").repeat(10));
        let inner: String = (0..8).map(copies).collect();
        let bytes = svg(&format!("<g id=\"a0\"><rect width=\"1\" height=\"1\"/></g>{inner}"));
        assert_eq!(drawn(&bytes).expect_err("too many").id, "picture-too-large");
    }
}

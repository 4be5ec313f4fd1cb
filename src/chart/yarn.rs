//! Yarns and the palette they form.

pub use crate::colour::Colour;

/// Which yarn: an index into the project's palette, in the order of the project file.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct YarnId(pub u8);

/// One working yarn as the project declares it, checked.
#[derive(Clone, Debug, PartialEq)]
pub struct Yarn {
    /// The letter that stands for it in a text chart; case-sensitive.
    pub key: char,
    /// The maker's plain name for the colour: "reed brown". Unique in the palette.
    pub name: String,
    /// Colour on screen and paper.
    pub colour: Colour,
    /// Craft Yarn Council weight, 0 to 7; `None` when the maker does not say.
    pub weight: Option<u8>,
    /// Relaxed diameter, millimetres, from a measurement or from wraps per inch (d = 25.4 / WPI).
    pub diameter_mm: f64,
    /// Yarn per knot measured on this yarn's own swatch, millimetres; `None`: the panel's swatch or the model.
    pub knot_mm: Option<f64>,
    /// Metres on one ball; `None` when the maker does not say.
    pub ball_m: Option<f64>,
    /// Grams of one ball.
    pub ball_g: Option<f64>,
    /// Price of one ball in the project's currency.
    pub ball_price: Option<f64>,
    /// Maker of the yarn.
    pub brand: Option<String>,
    /// The language of brand and shade, as a tag; `None`: the project's.
    pub brand_language: Option<String>,
    /// Shade name or number on the band.
    pub shade: Option<String>,
    /// Fibre: "wool", "acrylic".
    pub fibre: Option<String>,
    /// Care words from the band.
    pub care: Option<String>,
    /// Where it is sold or shown.
    pub link: Option<String>,
    /// Dye lot of the maker's own panel.
    pub dye_lot: Option<String>,
    /// Symbol pinned by the maker: its name in the shipped set.
    pub symbol: Option<String>,
    /// Whether it melts under an iron (acrylic and other synthetics): the backing is then sewn on.
    pub melts: bool,
}

/// The project's yarns, 1 to 32 of them.
#[derive(Clone, Debug, PartialEq)]
pub struct Palette(pub Vec<Yarn>);

impl Palette {
    /// The yarn of an id.
    pub fn get(&self, id: YarnId) -> &Yarn {
        &self.0[usize::from(id.0)]
    }
    /// All with their ids.
    pub fn iter(&self) -> impl Iterator<Item = (YarnId, &Yarn)> {
        self.0.iter().enumerate().map(|(i, y)| (YarnId(i as u8), y))
    }
    /// How many.
    #[expect(clippy::len_without_is_empty, reason = "a checked project has a yarn")]
    pub fn len(&self) -> usize {
        self.0.len()
    }
}

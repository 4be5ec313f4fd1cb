//! sRGB colours and what can be reckoned from them.

/// An sRGB colour, eight bits a channel.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Colour {
    /// Red.
    pub r: u8,
    /// Green.
    pub g: u8,
    /// Blue.
    pub b: u8,
}

impl Colour {
    /// Black.
    pub const BLACK: Colour = Colour::new(0, 0, 0);
    /// White.
    pub const WHITE: Colour = Colour::new(255, 255, 255);
    /// From three channels.
    pub const fn new(r: u8, g: u8, b: u8) -> Colour {
        Colour { r, g, b }
    }
    /// From `#rrggbb`.
    pub fn from_hex(text: &str) -> Option<Colour> {
        let digits = text.strip_prefix('#')?;
        if digits.len() != 6 || !digits.bytes().all(|b| b.is_ascii_hexdigit()) {
            return None;
        }
        let channel = |at: usize| u8::from_str_radix(&digits[at..at + 2], 16).ok();
        Some(Colour::new(channel(0)?, channel(2)?, channel(4)?))
    }
    /// As `#rrggbb`.
    pub fn to_hex(self) -> String {
        format!("#{:02x}{:02x}{:02x}", self.r, self.g, self.b)
    }
}

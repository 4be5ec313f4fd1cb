//! Faces: which there are, what they cover, how they shape a word, and how they are cut down for embedding.
//!
//! A [`FontBook`] holds the faces of one run: those that ship with the program and those a maker adds. Glyph ids and
//! metrics leave this room in font units; sizes, lines and paragraphs are the business of `text`. With `text` this is
//! the only door to harfrust.

mod face;
mod features;
mod file;
mod shaping;
mod shipped;
mod subset;

pub use face::Face;
pub use features::Features;
pub use shaping::RawGlyph;
pub use subset::{Subset, subset};

use crate::diag::Diagnostic;
use crate::page::FaceId;

/// What a face is for. Layouts name roles, never files.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Role {
    /// Running text.
    Text,
    /// A true italic of the running text.
    TextItalic,
    /// The running text's stronger weight.
    TextStrong,
    /// Figures, tables, what stands beside the chart: a sans.
    Figures,
    /// The stronger weight of `Figures`.
    FiguresStrong,
    /// Looked up for every character that the chosen face lacks.
    Fallback,
}

impl Role {
    /// Every role, in the order in which faces get their ids in the shipped book.
    pub const ALL: [Role; 6] =
        [Role::Text, Role::TextItalic, Role::TextStrong, Role::Figures, Role::FiguresStrong, Role::Fallback];

    /// The role's name in layout files and in fonts/fonts.toml.
    pub const fn name(self) -> &'static str {
        match self {
            Role::Text => "text",
            Role::TextItalic => "text-italic",
            Role::TextStrong => "text-strong",
            Role::Figures => "figures",
            Role::FiguresStrong => "figures-strong",
            Role::Fallback => "fallback",
        }
    }

    /// The role of this name.
    pub fn from_name(name: &str) -> Option<Role> {
        Role::ALL.into_iter().find(|role| role.name() == name)
    }
}

/// The faces of one run and what each is for. Ids count from 0 in the order of adding and are never reused.
pub struct FontBook {
    faces: Vec<Face>,
    roles: [FaceId; Role::ALL.len()],
}

impl FontBook {
    /// The faces in fonts/, with the roles of fonts/fonts.toml.
    pub fn shipped() -> FontBook {
        shipped::book()
    }

    /// The face of this id. Ids come from this book only; one of another book may name another face or panic.
    pub fn face(&self, id: FaceId) -> &Face {
        &self.faces[usize::from(id.0)]
    }

    /// The face that plays this role.
    pub fn role(&self, role: Role) -> FaceId {
        self.roles[role as usize]
    }

    /// Gives a role to another face of this book.
    pub fn set_role(&mut self, role: Role, face: FaceId) {
        self.roles[role as usize] = face;
    }

    /// Adds a maker's own font file. `name` is how the fault names the file: the path as the maker wrote it.
    ///
    /// # Errors
    /// A fault without a span (the caller knows where the path is written) when the bytes are no font that can be set,
    /// cut down and embedded, or when the font's own settings forbid that.
    pub fn add(&mut self, name: &str, bytes: Vec<u8>) -> Result<FaceId, Diagnostic> {
        let face = Face::from_bytes(name, bytes)?;
        let id = u16::try_from(self.faces.len())
            .map_err(|_| Diagnostic::fault("too-many-fonts", format!("no room for the font `{name}`")))?;
        self.faces.push(face);
        Ok(FaceId(id))
    }

    /// Every face with its id, in order of adding.
    pub fn faces(&self) -> impl Iterator<Item = (FaceId, &Face)> {
        (0u16..).map(FaceId).zip(&self.faces)
    }

    /// The face to print `c` with: `preferred` if it has the character, else the fallback, else nothing.
    pub fn face_with(&self, preferred: FaceId, c: char) -> Option<FaceId> {
        [preferred, self.role(Role::Fallback)].into_iter().find(|id| self.face(*id).covers(c))
    }
}

#[cfg(test)]
mod tests;

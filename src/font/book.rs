//! The faces of one run.

use super::face::Face;
use super::role::FontRole;
use super::shipped;
use crate::diag::Diagnostic;
use crate::page::FaceId;

/// The faces of one run and what each is for. Ids count from 0 in the order of adding and are never reused.
pub struct FontBook {
    faces: Vec<Face>,
    roles: [FaceId; FontRole::ALL.len()],
}

impl FontBook {
    /// The faces in fonts/, with the roles of fonts/fonts.toml.
    pub fn shipped() -> FontBook {
        let (faces, roles) = shipped::faces();
        FontBook { faces, roles }
    }

    /// The face of this id. Ids come from this book only; one of another book may name another face or panic.
    pub(crate) fn face(&self, id: FaceId) -> &Face {
        &self.faces[usize::from(id.0)]
    }

    /// The face that plays this role.
    pub(crate) fn role(&self, role: FontRole) -> FaceId {
        self.roles[role as usize]
    }

    /// Gives a role to another face of this book.
    pub(crate) fn set_role(&mut self, role: FontRole, face: FaceId) {
        self.roles[role as usize] = face;
    }

    /// Adds a maker's own font file. `name` is how the fault names the file: the path as the maker wrote it.
    ///
    /// # Errors
    /// A fault without a span (the caller knows where the path is written) when the bytes are no font that can be set,
    /// cut down and embedded, or when the font's own settings forbid that.
    pub(crate) fn add(&mut self, name: &str, bytes: Vec<u8>) -> Result<FaceId, Diagnostic> {
        let face = Face::from_bytes(name, bytes)?;
        let id = u16::try_from(self.faces.len())
            .map_err(|_| Diagnostic::fault("too-many-fonts", format!("no room for the font `{name}`")))?;
        self.faces.push(face);
        Ok(FaceId(id))
    }

    /// Every face with its id, in order of adding.
    pub(crate) fn faces(&self) -> impl Iterator<Item = (FaceId, &Face)> {
        (0u16..).map(FaceId).zip(&self.faces)
    }

    /// The face to print `c` with: `preferred` if it has the character, else the fallback, else nothing.
    pub(crate) fn face_with(&self, preferred: FaceId, c: char) -> Option<FaceId> {
        [preferred, self.role(FontRole::Fallback)].into_iter().find(|id| self.face(*id).covers(c))
    }
}

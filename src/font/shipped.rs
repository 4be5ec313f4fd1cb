//! The faces inside the program.

use super::{Face, FontRole, file};
use crate::page::FaceId;

const ROLES: &str = include_str!("../../fonts/fonts.toml");

const FILES: [(&str, &[u8]); 6] = [
    ("source-serif/SourceSerif4-Regular.ttf", include_bytes!("../../fonts/source-serif/SourceSerif4-Regular.ttf")),
    ("source-serif/SourceSerif4-It.ttf", include_bytes!("../../fonts/source-serif/SourceSerif4-It.ttf")),
    ("source-serif/SourceSerif4-Semibold.ttf", include_bytes!("../../fonts/source-serif/SourceSerif4-Semibold.ttf")),
    ("source-sans/SourceSans3-Regular.ttf", include_bytes!("../../fonts/source-sans/SourceSans3-Regular.ttf")),
    ("source-sans/SourceSans3-Semibold.ttf", include_bytes!("../../fonts/source-sans/SourceSans3-Semibold.ttf")),
    ("dejavu/DejaVuSans.ttf", include_bytes!("../../fonts/dejavu/DejaVuSans.ttf")),
];

/// The faces, and which of them plays which role. The files are part of the program, so what goes wrong here is no fault
/// of a user and is found by any test.
pub(super) fn faces() -> (Vec<Face>, [FaceId; FontRole::ALL.len()]) {
    let faces =
        FILES.iter().map(|(path, bytes)| Face::embedded(bytes).unwrap_or_else(|| panic!("fonts/{path} is no font")));
    let faces: Vec<Face> = faces.collect();
    let roles = file::read(ROLES).expect("fonts/fonts.toml is in order").roles;
    let face_of = |role: FontRole| {
        let path = roles.get(role.name());
        let at = FILES.iter().position(|(name, _)| Some(*name) == path.map(String::as_str));
        FaceId(at.and_then(|at| u16::try_from(at).ok()).unwrap_or_else(|| panic!("no file for `{}`", role.name())))
    };
    (faces, FontRole::ALL.map(face_of))
}

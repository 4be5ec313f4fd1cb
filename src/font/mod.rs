//! Faces: which there are, what they cover, subsetting. The door to fonts.

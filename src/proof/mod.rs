//! Reads a finished PDF back and holds it against the project.

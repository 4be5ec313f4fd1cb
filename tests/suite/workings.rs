//! The figures of the workroom, the yarn plan against an independent exact method, and the row actions followed
//! knot by knot.

mod degenerate;
mod figures;
mod following;
mod plan;

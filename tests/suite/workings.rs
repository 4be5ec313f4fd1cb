//! The figures of the model, the yarn plan against an independent exact method, and the row actions followed
//! knot by knot.

mod degenerate;
mod edges;
mod figures;
mod following;
mod plan;

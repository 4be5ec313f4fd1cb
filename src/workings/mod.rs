//! The reckoning: gauge, tally, yarn plan, cut list, header, hanging, purchase. Pure: no I/O, no serde.

//! How lengths are rounded: to whole micrometres for sums, and up to what can be cut or bought.

/// Millimetres as whole micrometres: yarn is added up in them.
pub(super) fn micrometres(mm: f64) -> i64 {
    // No measure here is longer than a kilometre; an absurd one gives an absurd figure, and never a sum that overflows.
    libm::round(mm * 1000.0).clamp(-1e9, 1e9) as i64
}

/// Up to the next whole multiple of `step`, forgiving the last bits of a sum that should have been whole.
pub(super) fn up_to(value: f64, step: f64) -> f64 {
    libm::ceil(value / step - 1e-9) * step
}

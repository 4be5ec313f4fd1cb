//! How large a swatch suits a panel.

use super::context::WriteContext;

/// The swatch that suits this panel; `None`: the panel is hardly larger than a swatch itself.
pub(super) fn swatch(context: &WriteContext) -> Option<(usize, usize)> {
    crate::workings::swatch(context.project)
}

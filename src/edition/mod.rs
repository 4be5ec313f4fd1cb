//! Layout as data: which sections, how they look, on which paper. Comes from `layouts/*.toml`.

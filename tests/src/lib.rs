//! Cross-crate tests live under `tests/`.

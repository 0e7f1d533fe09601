//! The plain walk, driven by lines.

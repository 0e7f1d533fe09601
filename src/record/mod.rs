//! The record: the only folder that writes. A site file is its own journal; see docs/site-file.md.

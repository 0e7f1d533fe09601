//! One screen a file.

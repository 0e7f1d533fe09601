//! Pictures of heads.

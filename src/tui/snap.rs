//! snap

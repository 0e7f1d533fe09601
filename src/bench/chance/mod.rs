//! Chance: what a sample shows and what it cannot.

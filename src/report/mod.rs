//! Reports: one summary model, one renderer a file. Pure.

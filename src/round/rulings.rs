//! The ruled heads of a round as rows: one a head, with every rule that spoke.

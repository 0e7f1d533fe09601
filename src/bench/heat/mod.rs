//! Heat and time: the plunge test, limits as times, the ceiling jet.

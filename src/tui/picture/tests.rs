//! Every combination a picture can be asked for.

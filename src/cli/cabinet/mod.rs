//! `headround cabinet`: the spare cabinets of a site: what is asked for, held and short, what is wrong; and recording counts,
//! movements, looks and lists from the line.

mod names;

pub use names::{cabinet_index, no_cabinet};

//! Heat and time: the plunge test, limits as times, classes, conductivity, the ceiling jet and the delay of slow heads.
//!
//! Units throughout: °C and K, m, m/s, s, kW; response time index (RTI) in (m·s)^½, conductivity factor C in (m/s)^½.

mod plunge;

pub use plunge::{Plunge, Window, rating_band};

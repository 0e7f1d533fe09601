//! Heat and time: the plunge test, limits as times, classes, conductivity, the ceiling jet and the delay of slow heads.
//!
//! Units throughout: °C and K, m, m/s, s, kW; response time index (RTI) in (m·s)^½, conductivity factor C in (m/s)^½.

mod class;
mod conduct;
mod delay;
mod fire;
mod offset;
mod plunge;

pub use class::{Classed, Sensitivity, class_of};
pub use conduct::{ExposureOven, conductivity, exposure_oven, for_index, mount_rise_allowed, prolonged, ramp};
pub use delay::{Element, Gas, Opening, opens, opens_steady};
pub use fire::{Ceiling, Constants, Fire, Growth, after_opening, flame_height};
pub use offset::{WorstCase, worst_case};
pub use plunge::{Plunge, Window, rating_band};

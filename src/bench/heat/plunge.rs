//! The plunge test: a head at a known start temperature is put at once into a steady hot air stream, and the time to
//! operation gives its response time index.
//!
//! With dTe the rise from the start to the operating temperature, dTg the rise from the start to the oven's air, u the
//! air speed and k = 1 + C/√u, the link equation dT/dt = (√u/RTI)(Tg − T) − (C/RTI)(T − Tm) with the mount held at the
//! start temperature has the solution t = RTI/(√u·k) · −ln(1 − k·dTe/dTg).
//!
//! Sources: Heskestad and Bill, Fire Safety Journal 14 (1988) 113–125, eq. 15 without droplets; IMO Res. A.800(19)
//! App. 1, 5.6.2 (the form of the index with C as reproduced in secondary sources, its clause from memory).

use crate::trade::measure::{Conductivity, Seconds, Speed};
use crate::trade::quantity::Temperature;

/// The conditions of one plunge test.
///
/// Made by [`Plunge::new`], which refuses what can never operate. The methods look again, so that fields changed
/// afterwards lead to a sentence and never to a number that means nothing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Plunge {
    /// The temperature at which the element operates: the mean of liquid-bath tests, or for want of it the marked rating.
    pub rating: Temperature,
    /// The oven's air.
    pub oven: Temperature,
    /// The air's speed past the head.
    pub air: Speed,
    /// The head, its mount and the water in it before the plunge.
    pub start: Temperature,
    /// The head's conductivity factor; 0 gives the greatest index.
    pub c: Conductivity,
}

/// The times between which a head must operate.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Window {
    /// Not before, s; `None`: no lower limit.
    pub earliest_s: Option<f64>,
    /// Not after, s; `None`: no upper limit.
    pub latest_s: Option<f64>,
}

impl Window {
    /// Whether a time in s lies within, both ends included.
    #[must_use]
    pub fn holds(&self, seconds: f64) -> bool {
        self.earliest_s.is_none_or(|from| from <= seconds) && self.latest_s.is_none_or(|to| seconds <= to)
    }
}

impl Plunge {
    /// From its conditions.
    ///
    /// # Errors
    /// A sentence: the rating is not below the oven, the start is not below the rating, or C is so large that the mount
    /// carries the heat away and the head never operates.
    pub fn new(
        rating: Temperature,
        oven: Temperature,
        air: Speed,
        start: Temperature,
        c: Conductivity,
    ) -> Result<Self, String> {
        let it = Self { rating, oven, air, start, c };
        it.factor().map(|_| it)
    }

    /// The index that a time of operation shows, (m·s)^½: RTI = −t·√u·k / ln(1 − k·dTe/dTg).
    ///
    /// Source: IMO Res. A.800(19) App. 1, 5.6.2.3, with symbols as in the module's text.
    ///
    /// # Errors
    /// A sentence: a time of 0 s, or conditions under which no head operates.
    pub fn rti(&self, operated: Seconds) -> Result<f64, String> {
        let seconds = operated.seconds();
        if seconds <= 0.0 {
            return Err("a head that operates at 0 s shows no index; give the time from the plunge to operation".into());
        }
        Ok(seconds / self.factor()?)
    }

    /// The time at which a head of an index in (m·s)^½ operates, s: the inverse of [`Plunge::rti`].
    ///
    /// # Errors
    /// A sentence: an index that is not above 0, or conditions under which no head operates.
    pub fn time(&self, rti: f64) -> Result<f64, String> {
        if !rti.is_finite() || rti <= 0.0 {
            return Err(format!("a response time index of {rti} cannot be; give one above 0 (m.s)^0.5"));
        }
        Ok(rti * self.factor()?)
    }

    /// The times of a least and a greatest index in (m·s)^½; an end whose index is none, or not above 0, is open.
    #[must_use]
    pub fn window(&self, least: Option<f64>, most: Option<f64>) -> Window {
        let time = |rti: Option<f64>| rti.and_then(|rti| self.time(rti).ok());
        Window { earliest_s: time(least), latest_s: time(most) }
    }

    /// The greatest C with which a head still operates under these conditions, not reached itself, (m/s)^½:
    /// (dTg/dTe − 1)·√u.
    ///
    /// # Errors
    /// A sentence: temperatures in no order in which a head operates.
    pub fn most_c(&self) -> Result<f64, String> {
        let (element, gas) = self.rises()?;
        Ok((gas / element - 1.0) * self.air.metres_per_second().sqrt())
    }

    /// The air speed above which a head of this C operates, m/s: (C/(dTg/dTe − 1))²; 0 for C = 0.
    ///
    /// # Errors
    /// A sentence: temperatures in no order in which a head operates.
    pub fn least_air(&self) -> Result<f64, String> {
        let (element, gas) = self.rises()?;
        Ok((self.c.metric() / (gas / element - 1.0)).powi(2))
    }

    /// The rises from the start to operation and to the oven's air, K; the first is above 0 and below the second.
    fn rises(&self) -> Result<(f64, f64), String> {
        let (rating, oven, start) = (self.rating.celsius(), self.oven.celsius(), self.start.celsius());
        if rating >= oven {
            return Err(format!(
                "a head that operates at {} never does in air of {}; give an oven temperature above the rating",
                self.rating, self.oven
            ));
        }
        if start >= rating {
            return Err(format!(
                "a head that operates at {} cannot start at {}; give a start temperature below the rating",
                self.rating, self.start
            ));
        }
        Ok((rating - start, oven - start))
    }

    /// Seconds per unit of index.
    fn factor(&self) -> Result<f64, String> {
        let factor = self.factor_with(self.c.metric())?;
        factor.ok_or_else(|| {
            format!(
                "with a conductivity factor of {} the head never operates in air of {} at {}; C must stay below {:.3}",
                self.c,
                self.oven,
                self.air,
                self.most_c().unwrap_or(0.0)
            )
        })
    }

    /// Seconds per unit of index with another C in (m/s)^½; `None`: it is so large that the head never operates.
    pub(super) fn factor_with(&self, c: f64) -> Result<Option<f64>, String> {
        let (element, gas) = self.rises()?;
        let root = self.air.metres_per_second().sqrt();
        let k = 1.0 + c / root;
        // The share of the way to the temperature where gain and loss balance.
        let share = k * element / gas;
        let factor = -(-share).ln_1p() / (root * k);
        Ok((share < 1.0 && factor > 0.0 && factor.is_finite()).then_some(factor))
    }
}

/// How far the operating temperature may lie from the marked rating in a new head, K: 0.035·X + 0.62 with X in °C.
///
/// Source: IMO Res. A.800(19) App. 1, 4.3, and ISO 6182-1, 6.3; the clause was seen, the equation is from memory.
#[must_use]
pub fn rating_band(rating: Temperature) -> f64 {
    rating.celsius().max(0.0).mul_add(0.035, 0.62)
}

#[cfg(test)]
mod tests;

//! When a head opens in gas that changes with time. It shows how much larger a fire grows before a slow head opens; it is an
//! illustration and no design.

use super::fire::{Ceiling, Fire};
use crate::trade::measure::Conductivity;
use crate::trade::quantity::Temperature;

/// The longest that is reckoned, s.
pub(crate) const LONGEST: f64 = 3600.0;

/// Error allowed in one step of the integral, K.
const ERROR: f64 = 1e-8;

/// The longest step, s: what the gas does in between must not be missed.
const LONGEST_STEP: f64 = 2.0;

/// The shortest step, s; where even that is too long the gas jumps about.
const SHORTEST_STEP: f64 = 1e-9;

/// The gas at a head.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gas {
    /// °C.
    pub celsius: f64,
    /// m/s.
    pub speed: f64,
}

/// The heat-responsive element of a head.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Element {
    rti: f64,
    c: f64,
    operates: f64,
    mount: f64,
}

impl Element {
    /// An element of an index of 1 to 2000 (m·s)^½ that operates at a temperature and has at first, as its mount has all the
    /// time, that of the air before the fire.
    ///
    /// # Errors
    /// A sentence: the index is out of range, or the air is not below the operating temperature.
    pub fn new(rti: f64, c: Conductivity, operates: Temperature, ambient: Temperature) -> Result<Self, String> {
        if !(1.0..=2000.0).contains(&rti) {
            return Err(format!("a response time index of {rti} is outside 1 to 2000 (m.s)^0.5; give one within"));
        }
        if ambient.celsius() >= operates.celsius() {
            return Err(format!(
                "a head that operates at {operates} would be open in air of {ambient}; give air below the rating"
            ));
        }
        Ok(Self { rti, c: c.metric(), operates: operates.celsius(), mount: ambient.celsius() })
    }

    /// How fast it warms, K/s.
    fn slope(&self, now: f64, gas: Gas) -> f64 {
        (gas.speed.max(0.0).sqrt() * (gas.celsius - now) - self.c * (now - self.mount)) / self.rti
    }

    /// Whether gas that stays as it is makes it operate in the end.
    fn in_reach_of(&self, gas: Gas) -> bool {
        self.slope(self.operates, gas) > 0.0
    }
}

/// When an element operates in gas that stays as it is, s:
/// t = RTI/(√u·k) · −ln(1 − k·(Top − Tm)/(Tg − Tm)), k = 1 + C/√u.
///
/// Source: NUREG-1805 (2004) ch. 10 and 11 for C = 0; with C as for a plunge.
///
/// # Errors
/// A sentence: it never does.
pub fn opens_steady(element: &Element, gas: Gas) -> Result<f64, String> {
    if !element.in_reach_of(gas) {
        return Err(never(gas));
    }
    let root = gas.speed.sqrt();
    let k = 1.0 + element.c / root;
    let share = k * (element.operates - element.mount) / (gas.celsius - element.mount);
    Ok(-(-share).ln_1p() * element.rti / (root * k))
}

/// When an element operates in gas that is known for every second from 0 on, s; `None`: not by the end, which is at most an
/// hour.
///
/// The link equation, dT/dt = (√u/RTI)(Tg − T) − (C/RTI)(T − Tm) (Heskestad and Bill, Fire Safety Journal 14 (1988)
/// 113–125, eq. 15 without droplets), by a Runge–Kutta pair of orders 5 and 4 with steps of at most 2 s, and by halving
/// within the step in which it operates. Against the solution for steady gas it is right to better than 0.001 s.
///
/// # Errors
/// A sentence: the gas is not a number somewhere, or jumps about.
pub fn opens(element: &Element, gas: impl Fn(f64) -> Gas, until: f64) -> Result<Option<f64>, String> {
    let until = until.min(LONGEST);
    let (mut at, mut now, mut length) = (0.0, element.mount, 0.01_f64);
    while at < until {
        length = length.min(LONGEST_STEP).min(until - at);
        let (next, error) = step(element, &gas, at, now, length);
        let fits = error <= ERROR;
        let factor = if error > 0.0 { 0.9 * (ERROR / error).powf(0.2) } else { 5.0 };
        if !fits {
            // An error that is no number shrinks the step too.
            length *= if factor.is_finite() { factor.clamp(0.1, 0.9) } else { 0.1 };
            if length < SHORTEST_STEP {
                return Err(format!(
                    "the gas at the head cannot be followed at {at:.1} s; give gas that changes steadily"
                ));
            }
            continue;
        }
        if next >= element.operates {
            let (mut low, mut high) = (0.0, length);
            for _ in 0..60 {
                let middle = f64::midpoint(low, high);
                if step(element, &gas, at, now, middle).0 >= element.operates {
                    high = middle;
                } else {
                    low = middle;
                }
            }
            return Ok(Some(at + high));
        }
        at += length;
        now = next;
        length *= factor.clamp(0.2, 5.0);
    }
    Ok(None)
}

/// One step of Dormand and Prince's pair: the temperature at its end, K, and the error's size, K.
fn step(element: &Element, gas: &impl Fn(f64) -> Gas, at: f64, now: f64, h: f64) -> (f64, f64) {
    let slope = |part: f64, rise: f64| element.slope(h.mul_add(rise, now), gas(h.mul_add(part, at)));
    let a = slope(0.0, 0.0);
    let b = slope(1.0 / 5.0, a / 5.0);
    let c = slope(3.0 / 10.0, 3.0 / 40.0 * a + 9.0 / 40.0 * b);
    let d = slope(4.0 / 5.0, 44.0 / 45.0 * a - 56.0 / 15.0 * b + 32.0 / 9.0 * c);
    let e = slope(8.0 / 9.0, 19372.0 / 6561.0 * a - 25360.0 / 2187.0 * b + 64448.0 / 6561.0 * c - 212.0 / 729.0 * d);
    let f = slope(
        1.0,
        9017.0 / 3168.0 * a - 355.0 / 33.0 * b + 46732.0 / 5247.0 * c + 49.0 / 176.0 * d - 5103.0 / 18656.0 * e,
    );
    let rise = 35.0 / 384.0 * a + 500.0 / 1113.0 * c + 125.0 / 192.0 * d - 2187.0 / 6784.0 * e + 11.0 / 84.0 * f;
    let g = slope(1.0, rise);
    let error = 71.0 / 57600.0 * a - 71.0 / 16695.0 * c + 71.0 / 1920.0 * d - 17253.0 / 339_200.0 * e
        + 22.0 / 525.0 * f
        - 1.0 / 40.0 * g;
    (h.mul_add(rise, now), (h * error).abs())
}

/// What a head does over a fire.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Opening {
    /// When it opens, s after the fire begins to grow.
    pub opens_s: f64,
    /// How large the fire is by then, kW.
    pub fire_kw: f64,
    /// The gas that passes the head then.
    pub gas: Gas,
}

impl Opening {
    /// When the element opens over this fire under this ceiling, and how large the fire is by then. The fire's gas is taken to
    /// be at the head without delay, and nothing but the jet warms it: no hot layer, no radiation.
    ///
    /// # Errors
    /// A sentence: the fire never gets large enough, or not within an hour.
    pub fn over(element: &Element, ceiling: &Ceiling, fire: &Fire) -> Result<Self, String> {
        if let Some(most) = fire.most()
            && !element.in_reach_of(ceiling.jet(most))
        {
            return Err(never(ceiling.jet(most)));
        }
        let opens_s = match fire {
            Fire::Steady { kw } => Some(opens_steady(element, ceiling.jet(*kw))?).filter(|t| *t <= LONGEST),
            Fire::Growing { .. } => opens(element, |t| ceiling.jet(fire.power(t)), LONGEST)?,
        };
        let Some(opens_s) = opens_s else {
            return Err(format!(
                "the head does not open within an hour, when the fire has {:.0} kW; look at height, radius and rating",
                fire.power(LONGEST)
            ));
        };
        let fire_kw = fire.power(opens_s);
        Ok(Self { opens_s, fire_kw, gas: ceiling.jet(fire_kw) })
    }
}

fn never(gas: Gas) -> String {
    format!(
        "gas of {:.1} C at {:.2} m/s never opens this head; give a larger fire, a lower rating or a smaller C",
        gas.celsius, gas.speed
    )
}

#[cfg(test)]
mod tests;

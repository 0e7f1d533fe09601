//! `calc delay`: how much larger a growing fire is when a slow head opens. An illustration, never a design.

use clap::Args;
use serde_json::{Value, json};

use super::{index, paragraph, refused};
use crate::bench::heat::{Ceiling, Constants, Element, Fire, Growth, Opening, flame_height};
use crate::cli::session::{Done, Outcome, Session};
use crate::cli::calc::picture::Picture;
use crate::diag::plain;
use crate::report::plot::{FirePoint, Marked, Plot, fire_size};
use crate::trade::measure::{Conductivity, Rti};
use crate::trade::quantity::{Length, Temperature};

/// What stands above and in every answer.
const ILLUSTRATION: &str = "An illustration of delay, never a design: one fire under a wide, smooth, level ceiling, \
                            without hot layer, walls, beams or draught. It says nothing of whether sprinklers control it.";

/// Indices that the answer also shows: the limits of the classes and of tests of heads from service.
const OTHERS: [f64; 5] = [50.0, 65.0, 80.0, 200.0, 350.0];

/// How the fire grows, kW/s².
#[derive(Clone, Copy, Debug)]
pub struct Alpha(f64);

/// A heat release rate, kW.
#[derive(Clone, Copy, Debug)]
pub struct Power(f64);

/// Arguments.
#[derive(Debug, Args)]
#[command(
    override_usage = "headround calc delay --height <M> --radius <M> --growth <G> --rti <I> --rating <T> [OPTIONS]"
)]
#[command(after_help = "\
Examples:
  headround calc delay --height 6m --radius 3m --growth fast --rti 100 --rating 165F --ambient 20C
  headround calc delay --height 20ft --radius 7ft --growth medium --rti 350 --rating 165F \\
      --against 80 --c 0.8
  headround calc delay --height 3m --radius 2.1m --fire 1000kW --rti 235 --rating 74C --share 0.7

It is an illustration of delay and never a design. Alpert's ceiling jet warms the element of the head; \
docs/bench-heat.md gives equations, constants, ranges and cautions.")]
pub struct DelayArgs {
    /// From the base of the fire to the ceiling, 1 to 30 m
    #[arg(long, value_name = "LENGTH", value_parser = Length::parse, allow_hyphen_values = true)]
    pub height: Length,

    /// From the fire's axis to the head, up to 30 m
    #[arg(long, value_name = "LENGTH", value_parser = Length::parse, allow_hyphen_values = true)]
    pub radius: Length,

    /// How the fire grows: slow, medium, fast or ultrafast, or a factor such as '0.02 kW/s2'
    #[arg(long, value_name = "GROWTH", value_parser = growth, required_unless_present = "fire", allow_hyphen_values = true)]
    pub growth: Option<Alpha>,

    /// The fire grows to this size and no further, such as 2MW
    #[arg(long, value_name = "POWER", value_parser = power, requires = "growth", allow_hyphen_values = true)]
    pub most: Option<Power>,

    /// A steady fire of this size instead of a growing one
    #[arg(long, value_name = "POWER", value_parser = power, conflicts_with = "growth", allow_hyphen_values = true)]
    pub fire: Option<Power>,

    /// The head's index in (m.s)^0.5, 1 to 2000
    #[arg(long, value_name = "RTI", value_parser = index, allow_hyphen_values = true)]
    pub rti: Rti,

    /// The head's conductivity factor in (m/s)^0.5; without it 0 is taken
    #[arg(long, value_name = "C", value_parser = Conductivity::parse, allow_hyphen_values = true)]
    pub c: Option<Conductivity>,

    /// The temperature at which the element operates
    #[arg(long, value_name = "TEMPERATURE", value_parser = Temperature::parse, allow_hyphen_values = true)]
    pub rating: Temperature,

    /// The air before the fire
    #[arg(long, value_name = "TEMPERATURE", value_parser = Temperature::parse, allow_hyphen_values = true, default_value = "20C")]
    pub ambient: Temperature,

    /// The index of the head that it is compared with
    #[arg(long, value_name = "RTI", value_parser = index, allow_hyphen_values = true, default_value = "50")]
    pub against: Rti,

    /// The constants of the jet's speed: older (0.96, 0.195) or newer (0.947, 0.197)
    #[arg(long, value_name = "WHICH", value_parser = Constants::parse, default_value = "older")]
    pub constants: Constants,

    /// The share of the heat that warms the jet: 1, or the convective 0.7 that some handbooks take
    #[arg(long, value_name = "SHARE", default_value_t = 1.0, allow_hyphen_values = true)]
    pub share: f64,

    /// The fire's size at opening over the index, as a picture
    #[command(flatten)]
    pub picture: Picture,
}

/// Reads a growth.
fn growth(given: &str) -> Result<Alpha, String> {
    if let Ok(known) = Growth::parse(given.trim()) {
        return Ok(Alpha(known.alpha()));
    }
    let number = ["kW/s2", "kW/s^2", "kW/s²"].iter().find_map(|unit| given.trim().strip_suffix(unit));
    let Some(number) = number else {
        return Growth::parse(given.trim())
            .map(|g| Alpha(g.alpha()))
            .map_err(|why| format!("{why}, or a factor such as '0.02 kW/s2'"));
    };
    match number.trim().parse::<f64>() {
        Ok(alpha) if (1e-5..=10.0).contains(&alpha) => Ok(Alpha(alpha)),
        Ok(_) => Err(format!("'{}' is outside 0.00001 to 10 kW/s2", plain(given))),
        Err(_) => Err(format!("'{}' is no growth; write 'fast' or '0.02 kW/s2'", plain(given))),
    }
}

/// Reads a heat release rate.
fn power(given: &str) -> Result<Power, String> {
    let given = given.trim();
    let bad = || format!("'{}' is no size of a fire; write '1000 kW' or '1 MW'", plain(given));
    let (number, factor) = match (given.strip_suffix("kW"), given.strip_suffix("MW")) {
        (Some(number), _) => (number, 1.0),
        (None, Some(number)) => (number, 1000.0),
        (None, None) => return Err(bad()),
    };
    let kw = number.trim().parse::<f64>().map_err(|_| bad())? * factor;
    if (1.0..=500_000.0).contains(&kw) {
        Ok(Power(kw))
    } else {
        Err(format!("'{}' is outside 1 kW to 500 MW", plain(given)))
    }
}

/// The head's opening, that of the other, and others besides.
struct Delay {
    own: Opening,
    other: Opening,
    table: Vec<(f64, Opening)>,
    /// The same for many indices; empty where no picture is asked for.
    curve: Vec<(f64, Opening)>,
    /// Whether flames may reach the ceiling by the time the head opens.
    flames: bool,
}

impl Delay {
    fn of(it: &DelayArgs) -> Result<Self, String> {
        let ceiling = Ceiling::new(it.height, it.radius, it.ambient, it.constants, it.share)?;
        let fire = match (it.fire, it.growth) {
            (Some(Power(kw)), _) => Fire::Steady { kw },
            (None, Some(Alpha(alpha))) => Fire::Growing { alpha, most: it.most.map(|p| p.0) },
            (None, None) => return Err("no fire is given; add '--growth fast' or '--fire 1000kW'".to_owned()),
        };
        let c = it.c.unwrap_or_default();
        let over = |rti: f64| Opening::over(&Element::new(rti, c, it.rating, it.ambient)?, &ceiling, &fire);
        let own = over(it.rti.metric())?;
        let other = over(it.against.metric())?;
        let mut indices = vec![it.rti.metric(), it.against.metric()];
        indices.extend(OTHERS);
        indices.sort_by(f64::total_cmp);
        indices.dedup();
        // One that never opens within an hour has no row.
        let table = indices.into_iter().filter_map(|rti| over(rti).ok().map(|o| (rti, o))).collect();
        let most = it.rti.metric().max(it.against.metric()).max(350.0);
        let curve = if it.picture.is_asked() {
            let step = (most / 10.0).powf(1.0 / 60.0);
            (0..=60).map(|n| 10.0 * step.powi(n)).filter_map(|rti| over(rti).ok().map(|o| (rti, o))).collect()
        } else {
            Vec::new()
        };
        Ok(Self { own, other, table, curve, flames: flame_height(own.fire_kw) > ceiling.height() })
    }

    /// The fire's size at opening over the index, with the classes of new heads.
    fn plot(&self, it: &DelayArgs) -> Plot {
        let point = |(rti, o): &(f64, Opening)| FirePoint { rti: *rti, opens_s: o.opens_s, kw: o.fire_kw };
        let points: Vec<FirePoint> = self.curve.iter().map(point).collect();
        let classes = [(0.0, 50.0, "fast"), (50.0, 80.0, "special"), (80.0, 350.0, "standard")];
        let marked = |rti: f64, o: &Opening, label: &str| Marked { x: rti, y: o.fire_kw, label: label.to_owned() };
        let marked = [
            marked(it.rti.metric(), &self.own, "this head"),
            marked(it.against.metric(), &self.other, "compared with"),
        ];
        let title = "The fire when a head opens: an illustration of delay, never a design";
        let mut plot = fire_size(title, &points, &classes, &marked);
        if self.flames {
            plot.note.push("Flames may reach the ceiling, where the equations do not hold.".to_owned());
        }
        plot
    }

    fn facts(&self, it: &DelayArgs) -> Value {
        let opening = |rti: f64, o: &Opening| json!({ "rti": rti, "opens_s": o.opens_s, "fire_kw": o.fire_kw });
        json!({
            "opens_s": self.own.opens_s,
            "fire_kw": self.own.fire_kw,
            "gas_c": self.own.gas.celsius,
            "gas_m_s": self.own.gas.speed,
            "rti": it.rti.metric(),
            "c": it.c.unwrap_or_default().metric(),
            "rating_c": it.rating.celsius(),
            "ambient_c": it.ambient.celsius(),
            "height_m": it.height.metres(),
            "radius_m": it.radius.metres(),
            "growth_kw_s2": it.growth.map(|g| g.0),
            "most_kw": it.most.map(|p| p.0),
            "steady_kw": it.fire.map(|p| p.0),
            "share": it.share,
            "constants": it.constants,
            "against": opening(it.against.metric(), &self.other),
            "later_s": self.own.opens_s - self.other.opens_s,
            "times_as_large": self.own.fire_kw / self.other.fire_kw,
            "others": self.table.iter().map(|(rti, o)| opening(*rti, o)).collect::<Vec<_>>(),
            "flames_may_reach_ceiling": self.flames,
            "illustration": ILLUSTRATION,
        })
    }
}

/// How late a head lets a fire become.
pub fn delay(it: &DelayArgs, session: &mut Session<'_, '_>) -> Done {
    let found = Delay::of(it).map_err(|why| refused("delay", &why))?;
    if session.global.json {
        session.say_json(&found.facts(it))?;
        it.picture.draw(|| found.plot(it), session)?;
        return Ok(Outcome::Fine);
    }
    paragraph(session, ILLUSTRATION)?;
    session.say("")?;
    let (own, other) = (&found.own, &found.other);
    let words = format!(
        "A head of index {} opens after {:.1} s, over a fire of {:.0} kW; one of index {} after {:.1} s, over {:.0} kW.",
        it.rti, own.opens_s, own.fire_kw, it.against, other.opens_s, other.fire_kw
    );
    paragraph(session, &words)?;
    let (later, times) = (own.opens_s - other.opens_s, own.fire_kw / other.fire_kw);
    // To the figures shown.
    let words = if later.abs() < 0.05 {
        "The two open at the same time.".to_owned()
    } else {
        let (word, by) = if later > 0.0 { ("later", later) } else { ("sooner", -later) };
        let larger = if (times - 1.0).abs() < 0.005 {
            String::new()
        } else {
            format!(", over a fire {times:.2} times as large")
        };
        format!("That is {by:.1} s {word}{larger}.")
    };
    paragraph(session, &words)?;
    session.say("")?;
    session.say("    RTI     OPENS       FIRE")?;
    for (rti, o) in &found.table {
        let mark = if (rti - it.rti.metric()).abs() < 1e-9 { "  this head" } else { "" };
        session.say(&format!("{rti:>7.1} {:>7.1} s {:>7.0} kW{mark}", o.opens_s, o.fire_kw))?;
    }
    session.say("")?;
    let words = format!(
        "Fire {} below the ceiling, head {} from its axis, rating {}, air {}, C {}. The gas that passes the head as it opens has \
         {:.0} C and {:.1} m/s.",
        it.height,
        it.radius,
        it.rating,
        it.ambient,
        it.c.map_or("0 (m/s)^0.5 (none was given)".to_owned(), |c| c.to_string()),
        own.gas.celsius,
        own.gas.speed
    );
    paragraph(session, &words)?;
    if found.flames {
        let words = format!(
            "Flames of {:.0} kW may reach {:.1} m, above the ceiling: the equations do not hold there, and the figures say no \
             more than that it is late.",
            own.fire_kw,
            flame_height(own.fire_kw)
        );
        paragraph(session, &words)?;
    }
    it.picture.draw(|| found.plot(it), session)?;
    Ok(Outcome::Fine)
}

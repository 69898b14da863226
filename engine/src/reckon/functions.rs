//! Calculators that the scripts of rules can call: one row each, from which loading, judging, telling and the definitions that
//! editors read are made.
//!
//! A row is written with typed measures, so its units cannot be mixed up, and says of every argument which way the result goes
//! with it. That is what lets a range of weather give a range of dew points, and a mark be solved for the one figure that is open.

use super::span::{Span, three};
use super::units::{Celsius, Flow, Force, Kelvin, Length, Loading, Measure, Pressure, Ratio, Share, Speed, Time};
use super::{air, drying, jet, lead, metal, timber};
use crate::quantity::{self, Dimension, Unit};
use crate::reckon::units::Density;
use std::borrow::Cow;
use std::fmt;
use std::sync::Arc;

/// The pressure that scripts reckon with: the standard atmosphere at sea level.
const SEA_LEVEL: Pressure = Pressure::pa(101_325.0);
/// How many places a turning argument is tried at.
const PLACES: u32 = 32;

/// Which way a result goes with an argument.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Goes {
    /// It never falls as the argument rises.
    Up,
    /// It never rises as the argument rises.
    Down,
    /// It turns, and never changes faster than this for each base unit of the argument.
    Turns(f64),
}

/// What a function takes.
#[derive(Debug, Clone, Copy)]
#[non_exhaustive]
pub struct Argument {
    /// What it is called in messages and definitions.
    pub name: &'static str,
    /// The unit it is usually written in; empty for a plain number.
    pub unit: &'static str,
    /// Which way the result goes with it.
    pub goes: Goes,
}

/// A calculator that rules can call: numbers in, one number out, all in base units.
#[derive(Clone)]
#[non_exhaustive]
pub struct Function {
    /// Its name in scripts.
    pub name: &'static str,
    /// What it works out, as a sentence.
    pub means: &'static str,
    /// What it takes, in order.
    pub takes: Cow<'static, [Argument]>,
    /// The unit that what it gives is usually written in; empty for a plain number.
    pub gives: &'static str,
    /// How it reads in a sentence, with `{0}`, `{1}`, `{2}` for what it is given.
    pub(super) told: Cow<'static, str>,
    /// Where the formula comes from.
    pub source: &'static str,
    pub(super) works: Works,
}

/// A formula of a host, in base units.
type HostFormula = dyn Fn(&[f64]) -> Option<f64> + Send + Sync;

/// What works a function out: a formula of the engine's, or one of whoever uses it.
#[derive(Clone)]
pub(super) enum Works {
    Own(fn(&[f64]) -> Option<f64>),
    Hosts(Arc<HostFormula>),
}

/// By name and source only: where its code lies in memory differs from run to run, and seals are made of what trees print.
impl fmt::Debug for Function {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} ({})", self.name, self.source)
    }
}

impl PartialEq for Function {
    fn eq(&self, other: &Self) -> bool {
        self.name == other.name
    }
}

fn unit_of(name: &'static str) -> &'static Unit {
    quantity::find_unit(name).filter(|_| !name.is_empty()).unwrap_or_else(Unit::none)
}

impl Argument {
    /// The unit it is usually written in.
    pub fn unit(&self) -> &'static Unit {
        unit_of(self.unit)
    }
}

impl Function {
    /// The function of a name.
    pub fn find(name: &str) -> Option<&'static Self> {
        FUNCTIONS.iter().find(|f| f.name == name)
    }

    /// The unit that what it gives is usually written in.
    pub fn unit(&self) -> &'static Unit {
        unit_of(self.gives)
    }

    /// What kind of number it gives.
    pub fn dimension(&self) -> Dimension {
        unit_of(self.gives).dimension
    }

    /// Works it out, in base units; `None` outside what the formula is good for.
    pub fn apply(&self, given: &[f64]) -> Option<f64> {
        match &self.works {
            Works::Own(works) => works(given),
            Works::Hosts(works) => works(given).filter(|v| v.is_finite()),
        }
    }

    /// The least and greatest it can be for ranges of what it takes; `None` where it cannot be worked out for all of them.
    /// The range is never too narrow.
    pub fn range(&self, given: &[(f64, f64)]) -> Option<(f64, f64)> {
        if given.len() != self.takes.len() || given.iter().any(|(low, high)| !low.is_finite() || !high.is_finite()) {
            return None;
        }
        let end = |upper: bool| -> Vec<f64> {
            let pick = |((low, high), argument): (&(f64, f64), &Argument)| if (argument.goes == Goes::Up) == upper { *high } else { *low };
            given.iter().zip(self.takes.iter()).map(pick).collect()
        };
        let (mut lows, mut highs) = (vec![end(false)], vec![end(true)]);
        let mut leeway = 0.0;
        for (i, argument) in self.takes.iter().enumerate() {
            let Goes::Turns(steepest) = argument.goes else { continue };
            let (low, high) = given[i];
            let step = (high - low) / f64::from(PLACES);
            leeway += steepest * step;
            let spread = |from: Vec<Vec<f64>>| -> Vec<Vec<f64>> {
                let at = |mut given: Vec<f64>, n: u32| {
                    given[i] = low + step * f64::from(n);
                    given
                };
                from.into_iter().flat_map(|given| (0..=PLACES).map(move |n| at(given.clone(), n))).collect()
            };
            (lows, highs) = if low == high { (lows, highs) } else { (spread(lows), spread(highs)) };
        }
        let all = |sets: Vec<Vec<f64>>, pick: fn(f64, f64) -> f64| -> Option<f64> {
            sets.iter().map(|given| self.apply(given)).collect::<Option<Vec<f64>>>()?.into_iter().reduce(pick)
        };
        Some((all(lows, f64::min)? - leeway, all(highs, f64::max)? + leeway))
    }

    /// As it stands in a sentence.
    pub fn tell(&self, given: &[String]) -> String {
        given.iter().enumerate().fold(self.told.to_string(), |text, (i, g)| text.replace(&format!("{{{i}}}"), g))
    }

    /// How it is written in a script: `dew_point(air, humidity)`.
    pub fn usage(&self) -> String {
        let names: Vec<&str> = self.takes.iter().map(|a| a.name).collect();
        format!("{}({})", self.name, names.join(", "))
    }

    /// A figure that is given to it, with the unit of its argument.
    pub fn figure(&self, argument: usize, base: f64) -> String {
        let unit = self.takes.get(argument).map_or_else(Unit::none, Argument::unit);
        let figure = quantity::plain(three(unit.of_base(base)));
        if unit.shown.is_empty() { figure } else { format!("{figure} {}", unit.shown) }
    }
}

/// Rows of the table. The units come from the types of the arguments; `None` stands for what the formula is not good for.
macro_rules! functions {
    ($(
        $(#[doc = $means:literal])+
        fn $name:ident($($argument:ident: $measure:ident $goes:expr),+) -> $gives:ident, told $told:literal, source $source:literal
        $body:block
    )*) => {
        /// Every calculator that scripts can call.
        pub static FUNCTIONS: &[Function] = &[$(Function {
            name: stringify!($name),
            means: concat!($($means),+),
            takes: Cow::Borrowed(&[$(Argument { name: stringify!($argument), unit: <$measure as Measure>::UNIT, goes: $goes }),+]),
            gives: <$gives as Measure>::UNIT,
            told: Cow::Borrowed($told),
            source: $source,
            works: Works::Own(|given| {
                let mut left = given.iter().copied();
                $(let $argument = <$measure as Measure>::of_base(left.next()?);)+
                let worked: Option<$gives> = $body;
                worked.map(Measure::base).filter(|v| v.is_finite())
            }),
        }),*];
    };
}

use Goes::{Down, Turns, Up};

functions! {
    /// The temperature at which dew forms from such air, reckoned over water.
    fn dew_point(air: Celsius Up, humidity: Share Up) -> Celsius,
    told "the dew point at {0} and {1}", source "WMO-No. 8, Magnus form" {
        Some(air::dew_point(weather(air)?, damp(humidity)?))
    }
    /// The temperature at which frost forms from such air or, where that lies above freezing, dew.
    fn frost_point(air: Celsius Up, humidity: Share Up) -> Celsius,
    told "the dew or frost point at {0} and {1}", source "WMO-No. 8, Magnus form over ice below 0 °C" {
        let (air, humidity) = (weather(air)?, damp(humidity)?);
        Some(air::frost_point(air, humidity).unwrap_or_else(|| air::dew_point(air, humidity)))
    }
    /// What a wet bulb reads in such air, at sea level.
    fn wet_bulb(air: Celsius Up, humidity: Share Up) -> Celsius,
    told "the wet bulb at {0} and {1}", source "ASHRAE Handbook of Fundamentals, chapter 1, equations 33 and 35 (from memory)" {
        air::wet_bulb(weather(air)?, damp(humidity)?, SEA_LEVEL)
    }
    /// The relative humidity that a dry and a wet bulb tell, at sea level; not with a frozen bulb.
    fn humidity_by_wet_bulb(air: Celsius Down, wet_bulb: Celsius Up) -> Share,
    told "the humidity at {0} with a wet bulb of {1}", source "ASHRAE Handbook of Fundamentals, chapter 1, equations 33 and 35 (from memory)" {
        (wet_bulb.value() >= 0.0 && wet_bulb <= air).then(|| air::humidity_from_wet_bulb(air, wet_bulb, SEA_LEVEL))
    }
    /// The relative humidity that such air has where it is brought to the temperature of a surface; above 100 % it lays dew there.
    fn humidity_at_surface(air: Celsius Up, humidity: Share Up, surface: Celsius Down) -> Share,
    told "the humidity that air at {0} and {1} has at a surface of {2}", source "WMO-No. 8, Magnus form" {
        Some(air::humidity_at_surface(weather(air)?, damp(humidity)?, weather(surface)?))
    }
    /// The highest humidity of the air at which a surface is still so much warmer than the dew point.
    fn highest_humidity(air: Celsius Down, surface: Celsius Up, margin: Kelvin Down) -> Share,
    told "the highest humidity of air at {0} that leaves a surface at {1} {2} above the dew point", source "WMO-No. 8, Magnus form" {
        Some(air::highest_humidity(weather(air)?, weather(surface)?, margin))
    }
    /// The temperature to which such air must be warmed for a humidity, its water staying in it.
    fn warmed_to(air: Celsius Up, humidity: Share Up, wanted: Share Down) -> Celsius,
    told "the temperature at which air at {0} and {1} comes to {2}", source "WMO-No. 8, Magnus form" {
        Some(air::warmed_to(weather(air)?, damp(humidity)?, damp(wanted)?))
    }
    /// The moisture that timber comes to if it stays in such air, from about 0 °C up.
    fn timber_moisture(air: Celsius Turns(0.0012), humidity: Share Up) -> Share,
    told "the moisture of timber in balance with air at {0} and {1}", source "USDA Wood Handbook, equation 4-5" {
        ((0.0..=1.0).contains(&humidity.value())).then_some(timber::equilibrium_moisture(mild(air)?, humidity))
    }
    /// The humidity of the air in which timber comes to a moisture, from about 0 °C up.
    fn humidity_for_timber(air: Celsius Turns(0.005), moisture: Share Up) -> Share,
    told "the humidity of air at {0} in which timber comes to {1}", source "USDA Wood Handbook, equation 4-5, turned round" {
        timber::humidity_for_moisture(mild(air)?, moisture)
    }
    /// The force of a jet of water on a wall it meets squarely.
    fn jet_force(flow: Flow Up, pressure: Pressure Up) -> Force,
    told "the force of a jet of {0} at {1}", source "momentum balance and Bernoulli" {
        (flow.base() >= 0.0 && pressure.base() >= 0.0).then(|| jet::jet_force(flow, pressure))
    }
    /// The width of a fan of water at the wall; the angle in degrees.
    fn fan_width(distance: Length Up, angle: Ratio Up) -> Length,
    told "the width of a fan of {1} degrees from {0}", source "geometry" {
        (distance.base() >= 0.0 && (0.0..180.0).contains(&angle.value())).then(|| jet::fan_width(distance, angle))
    }
    /// How long a thickness dries at a rate.
    fn drying_time(thickness: Length Up, rate: Speed Down) -> Time,
    told "the time {0} takes to dry at {1}", source "rule of thumb as in BS 8203, BRE Digest 163 and BS 5492 (from memory)" {
        (thickness.base() >= 0.0 && rate.base() > 0.0)
            .then(|| drying::drying_time(Span::exactly(thickness), Span::exactly(rate), None).high())
    }
    /// The lead on an area of paint of a thickness, density and content by weight.
    fn lead_on_area(thickness: Length Up, density: Density Up, content: Share Up) -> Loading,
    told "the lead on an area of {0} of paint of {1} with {2} of lead", source "geometry" {
        (thickness.base() >= 0.0 && density.base() >= 0.0 && content.base() >= 0.0)
            .then(|| lead::loading(Span::exactly(thickness), Span::exactly(density), Span::exactly(content)).high())
    }
    /// The lead by weight that a reading on an area comes to, for paint of a thickness and density.
    fn lead_by_weight(reading: Loading Up, thickness: Length Down, density: Density Down) -> Share,
    told "the lead by weight that {0} on {1} of paint of {2} comes to", source "geometry" {
        (reading.base() >= 0.0 && thickness.base() > 0.0 && density.base() > 0.0)
            .then(|| lead::content(Span::exactly(reading), Span::exactly(thickness), Span::exactly(density)).high())
    }
    /// The mass of zinc on an area of a coat of a thickness.
    fn zinc_on_area(thickness: Length Up) -> Loading,
    told "the zinc on an area of a coat of {0}", source "density of zinc, handbook data (from memory)" {
        (thickness.base() >= 0.0).then(|| metal::zinc_coat(thickness))
    }
}

/// Air within what the Magnus form is good for; surfaces in the sun are warmer and it errs little there.
fn weather(at: Celsius) -> Option<Celsius> {
    (-45.0..=100.0).contains(&at.value()).then_some(at)
}

/// A humidity. Air without any water has no dew point: the least that is reckoned with is a billionth, so that a humidity which
/// is not known at all still gives a range.
fn damp(humidity: Share) -> Option<Share> {
    (0.0..=1.0).contains(&humidity.value()).then(|| Share::of(humidity.value().max(1e-9)))
}

/// Air within what the formula for timber is good for.
fn mild(at: Celsius) -> Option<Celsius> {
    (-1.0..=60.0).contains(&at.value()).then_some(at)
}

#[cfg(test)]
#[path = "functions_tests.rs"]
mod tests;

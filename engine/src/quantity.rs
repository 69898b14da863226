//! Quantities with units, metric and US.
//!
//! A [`Quantity`] keeps its value in the base unit of its [`Dimension`] (metres, kilograms, seconds, degrees Celsius,
//! pascals, plain ratios). Conversion factors are exact by definition (international yard and pound agreement 1959;
//! SI brochure) and results are rounded to twelve significant digits, so that `1100 F` and `593.333333333 C` are the
//! same temperature and a boundary value compares equal however it was written.

use crate::error::Error;
use std::fmt;

/// Which system of units a quantity was written in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum System {
    /// Metres, litres, degrees Celsius.
    Metric,
    /// Feet, gallons, degrees Fahrenheit.
    Us,
}

/// What kind of thing a quantity measures.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Dimension {
    metre: i8,
    kilogram: i8,
    second: i8,
    kelvin: i8,
    mole: i8,
    /// A temperature on a scale, not a difference of temperatures.
    scale: bool,
    /// A share (%, ppm) rather than a plain number.
    share: bool,
}

impl Dimension {
    const fn of(metre: i8, kilogram: i8, second: i8, kelvin: i8) -> Self {
        Self { metre, kilogram, second, kelvin, mole: 0, scale: false, share: false }
    }
    const fn with_mole(self, mole: i8) -> Self {
        Self { mole, ..self }
    }
    /// A plain number: pH, a count.
    pub const NUMBER: Self = Self::of(0, 0, 0, 0);
    /// A share of a whole.
    pub(crate) const SHARE: Self = Self { share: true, ..Self::NUMBER };
    /// A length.
    pub const LENGTH: Self = Self::of(1, 0, 0, 0);
    /// A temperature on its scale.
    pub(crate) const TEMPERATURE: Self = Self { scale: true, ..Self::of(0, 0, 0, 1) };
    /// A difference of temperatures.
    pub(crate) const TEMPERATURE_STEP: Self = Self::of(0, 0, 0, 1);

    /// Whether bare numbers may stand for it.
    pub fn is_number(self) -> bool {
        self == Self::NUMBER
    }

    /// The dimension of a sum or difference, where there is one.
    pub fn add(self, other: Self, minus: bool) -> Option<Self> {
        if self.scale && other.scale {
            return minus.then_some(Self::TEMPERATURE_STEP);
        }
        if self.scale && other == Self::TEMPERATURE_STEP {
            return Some(self);
        }
        if other.scale && self == Self::TEMPERATURE_STEP && !minus {
            return Some(other);
        }
        (self == other).then_some(self)
    }

    /// The dimension of a product (`sign` 1) or quotient (`sign` -1), where there is one.
    pub fn times(self, other: Self, sign: i8) -> Option<Self> {
        if self.scale || other.scale {
            return None;
        }
        let zero = |d: Self| d.metre == 0 && d.kilogram == 0 && d.second == 0 && d.kelvin == 0 && d.mole == 0;
        let mut out = Self::of(
            self.metre + sign * other.metre,
            self.kilogram + sign * other.kilogram,
            self.second + sign * other.second,
            self.kelvin + sign * other.kelvin,
        )
        .with_mole(self.mole + sign * other.mole);
        out.share = zero(out) && (self.share ^ other.share);
        Some(out)
    }

    /// The name of the dimension, for messages.
    pub fn name(self) -> &'static str {
        if self.is_number() {
            return Unit::none().kind;
        }
        UNITS.iter().find(|u| u.dimension == self).map_or("a derived measure", |u| u.kind)
    }
}

/// One unit of the table.
#[derive(Debug)]
pub struct Unit {
    /// Ways of writing it; the first is the one used in files.
    pub names: &'static [&'static str],
    /// How it is printed.
    pub shown: &'static str,
    /// What it measures.
    pub dimension: Dimension,
    /// Base units in one of it.
    pub factor: f64,
    /// Added before the factor is applied (Fahrenheit).
    offset: f64,
    /// The system it belongs to; `None` for units of both.
    pub system: Option<System>,
    /// The kind of measure, for messages.
    pub kind: &'static str,
}

const fn unit(
    names: &'static [&'static str],
    shown: &'static str,
    dimension: Dimension,
    factor: f64,
    system: Option<System>,
    kind: &'static str,
) -> Unit {
    Unit { names, shown, dimension, factor, offset: 0.0, system, kind }
}

const METRIC: Option<System> = Some(System::Metric);
const US: Option<System> = Some(System::Us);
const AREA: Dimension = Dimension::of(2, 0, 0, 0);
const VOLUME: Dimension = Dimension::of(3, 0, 0, 0);
const MASS: Dimension = Dimension::of(0, 1, 0, 0);
const TIME: Dimension = Dimension::of(0, 0, 1, 0);
const PRESSURE: Dimension = Dimension::of(-1, 1, -2, 0);
const SPEED: Dimension = Dimension::of(1, 0, -1, 0);
const LOADING: Dimension = Dimension::of(-2, 1, 0, 0);
const CONCENTRATION: Dimension = Dimension::of(-3, 1, 0, 0);
const FLOW: Dimension = Dimension::of(3, 0, -1, 0);
const WORK_RATE: Dimension = Dimension::of(-2, 0, 1, 0);
const AREA_RATE: Dimension = Dimension::of(2, 0, -1, 0);
const FORCE: Dimension = Dimension::of(1, 1, -2, 0);
const MASS_RATE: Dimension = Dimension::of(0, 1, -1, 0);
const CONDUCTIVITY: Dimension = Dimension::of(-3, -1, 3, 0);
const AMOUNT: Dimension = Dimension::of(0, 0, 0, 0).with_mole(1);
const MOLAR_MASS: Dimension = Dimension::of(0, 1, 0, 0).with_mole(-1);
const MOLARITY: Dimension = Dimension::of(-3, 0, 0, 0).with_mole(1);
const FOOT: f64 = 0.3048;
const POUND: f64 = 0.453_592_37;
const GALLON: f64 = 3.785_411_784e-3;
const PSI: f64 = 6_894.757_293_168_361;

/// Every unit that can be written. The first unit of a dimension in each system is the one it is shown in by default.
pub(crate) static UNITS: &[Unit] = &[
    unit(&["m", "metre", "metres", "meter", "meters"], "m", Dimension::LENGTH, 1.0, METRIC, "a length"),
    unit(&["mm", "millimetre", "millimetres", "millimeters"], "mm", Dimension::LENGTH, 1e-3, METRIC, "a length"),
    unit(&["cm", "centimetre", "centimetres", "centimeters"], "cm", Dimension::LENGTH, 1e-2, METRIC, "a length"),
    unit(&["um", "µm", "μm", "micron", "microns"], "µm", Dimension::LENGTH, 1e-6, METRIC, "a length"),
    unit(&["ft", "foot", "feet", "'"], "ft", Dimension::LENGTH, FOOT, US, "a length"),
    unit(&["in", "inch", "inches", "\""], "in", Dimension::LENGTH, 0.0254, US, "a length"),
    unit(&["yd", "yard", "yards"], "yd", Dimension::LENGTH, 0.9144, US, "a length"),
    unit(&["mil", "mils"], "mil", Dimension::LENGTH, 0.0254e-3, US, "a length"),
    // Liquid on an area: a litre on a square metre stands one millimetre deep.
    unit(&["L/m2", "L/m²", "l/m2"], "L/m²", Dimension::LENGTH, 1e-3, None, "a length"),
    unit(&["m2", "m²", "sqm", "sq m", "square metres", "square metre", "square meters"], "m²", AREA, 1.0, METRIC, "an area"),
    unit(&["cm2", "cm²", "sq cm"], "cm²", AREA, 1e-4, METRIC, "an area"),
    unit(&["mm2", "mm²"], "mm²", AREA, 1e-6, METRIC, "an area"),
    unit(&["ft2", "ft²", "sq ft", "sqft", "square feet", "square foot"], "sq ft", AREA, FOOT * FOOT, US, "an area"),
    unit(&["in2", "in²", "sq in"], "sq in", AREA, 0.0254 * 0.0254, US, "an area"),
    unit(&["L", "l", "litre", "litres", "liter", "liters"], "L", VOLUME, 1e-3, METRIC, "a volume"),
    unit(&["m3", "m³"], "m³", VOLUME, 1.0, METRIC, "a volume"),
    unit(&["ml", "mL"], "mL", VOLUME, 1e-6, METRIC, "a volume"),
    unit(&["gal", "gallon", "gallons"], "gal", VOLUME, GALLON, US, "a volume"),
    unit(&["ft3", "ft³", "cu ft"], "cu ft", VOLUME, FOOT * FOOT * FOOT, US, "a volume"),
    unit(&["pt", "pint", "pints"], "pt", VOLUME, GALLON / 8.0, US, "a volume"),
    unit(&["fl oz"], "fl oz", VOLUME, GALLON / 128.0, US, "a volume"),
    unit(&["kg"], "kg", MASS, 1.0, METRIC, "a mass"),
    unit(&["g"], "g", MASS, 1e-3, METRIC, "a mass"),
    unit(&["lb", "lbs", "pound", "pounds"], "lb", MASS, POUND, US, "a mass"),
    unit(&["oz"], "oz", MASS, POUND / 16.0, US, "a mass"),
    unit(&["min", "mins", "minute", "minutes"], "min", TIME, 60.0, None, "a time"),
    unit(&["h", "hr", "hrs", "hour", "hours"], "h", TIME, 3_600.0, None, "a time"),
    unit(&["s", "sec", "second", "seconds"], "s", TIME, 1.0, None, "a time"),
    unit(&["d", "day", "days"], "days", TIME, 86_400.0, None, "a time"),
    unit(&["week", "weeks", "wk"], "weeks", TIME, 604_800.0, None, "a time"),
    unit(&["C", "°C", "degC", "celsius"], "°C", Dimension::TEMPERATURE, 1.0, METRIC, "a temperature"),
    Unit {
        names: &["F", "°F", "degF", "fahrenheit"],
        shown: "°F",
        dimension: Dimension::TEMPERATURE,
        factor: 5.0 / 9.0,
        offset: -32.0,
        system: US,
        kind: "a temperature",
    },
    unit(&["K"], "K", Dimension::TEMPERATURE_STEP, 1.0, METRIC, "a difference of temperatures"),
    unit(&["bar"], "bar", PRESSURE, 1e5, METRIC, "a pressure"),
    unit(&["MPa"], "MPa", PRESSURE, 1e6, METRIC, "a pressure"),
    unit(&["kPa"], "kPa", PRESSURE, 1e3, METRIC, "a pressure"),
    unit(&["Pa"], "Pa", PRESSURE, 1.0, METRIC, "a pressure"),
    unit(&["psi"], "psi", PRESSURE, PSI, US, "a pressure"),
    unit(&["m/s"], "m/s", SPEED, 1.0, METRIC, "a speed"),
    unit(&["km/h", "kmh", "kph"], "km/h", SPEED, 1.0 / 3.6, METRIC, "a speed"),
    unit(&["mph"], "mph", SPEED, 0.447_04, US, "a speed"),
    unit(&["mm/day", "mm/d"], "mm/day", SPEED, 1e-3 / 86_400.0, None, "a speed"),
    unit(&["mm/week"], "mm/week", SPEED, 1e-3 / 604_800.0, None, "a speed"),
    unit(&["mm/month"], "mm/month", SPEED, 1e-3 / (365.25 / 12.0 * 86_400.0), None, "a speed"),
    unit(&["mg/cm2", "mg/cm²"], "mg/cm²", LOADING, 1e-2, None, "a mass on an area"),
    unit(&["mg/m2", "mg/m²"], "mg/m²", LOADING, 1e-6, None, "a mass on an area"),
    unit(&["g/m2", "g/m²"], "g/m²", LOADING, 1e-3, None, "a mass on an area"),
    unit(&["kg/m2", "kg/m²"], "kg/m²", LOADING, 1.0, None, "a mass on an area"),
    unit(&["ug/m2", "µg/m2", "µg/m²"], "µg/m²", LOADING, 1e-9, None, "a mass on an area"),
    unit(&["ug/ft2", "µg/ft2", "µg/ft²"], "µg/ft²", LOADING, 1e-9 / (FOOT * FOOT), US, "a mass on an area"),
    unit(&["ug/m3", "µg/m3", "µg/m³"], "µg/m³", CONCENTRATION, 1e-9, None, "a mass in a volume"),
    unit(&["mg/m3", "mg/m³"], "mg/m³", CONCENTRATION, 1e-6, None, "a mass in a volume"),
    unit(&["ug/dL", "µg/dL", "ug/dl", "µg/dl"], "µg/dL", CONCENTRATION, 1e-5, None, "a mass in a volume"),
    unit(&["mg/L", "mg/l"], "mg/L", CONCENTRATION, 1e-3, None, "a mass in a volume"),
    unit(&["g/L", "g/l"], "g/L", CONCENTRATION, 1.0, None, "a mass in a volume"),
    unit(&["kg/L", "kg/l"], "kg/L", CONCENTRATION, 1e3, None, "a mass in a volume"),
    unit(&["L/min", "l/min"], "L/min", FLOW, 1e-3 / 60.0, METRIC, "a flow"),
    unit(&["m3/h", "m³/h"], "m³/h", FLOW, 1.0 / 3_600.0, METRIC, "a flow"),
    unit(&["mL/h", "ml/h"], "mL/h", FLOW, 1e-6 / 3_600.0, METRIC, "a flow"),
    unit(&["cfm", "ft3/min"], "cfm", FLOW, FOOT * FOOT * FOOT / 60.0, US, "a flow"),
    unit(&["pt/h"], "pt/h", FLOW, GALLON / 8.0 / 3_600.0, US, "a flow"),
    unit(&["gal/min", "gpm"], "gal/min", FLOW, GALLON / 60.0, US, "a flow"),
    unit(&["h/m2", "h/m²"], "h/m²", WORK_RATE, 3_600.0, METRIC, "hours on an area"),
    unit(&["m2/h", "m²/h"], "m²/h", AREA_RATE, 1.0 / 3_600.0, METRIC, "an area in a time"),
    unit(&["ft2/h", "sq ft/h"], "sq ft/h", AREA_RATE, FOOT * FOOT / 3_600.0, US, "an area in a time"),
    unit(&["N"], "N", FORCE, 1.0, METRIC, "a force"),
    unit(&["lbf"], "lbf", FORCE, POUND * 9.806_65, US, "a force"),
    unit(&["g/h"], "g/h", MASS_RATE, 1e-3 / 3_600.0, None, "a mass in a time"),
    unit(&["uS/cm", "µS/cm"], "µS/cm", CONDUCTIVITY, 1e-4, None, "a conductivity"),
    unit(&["mol"], "mol", AMOUNT, 1.0, None, "an amount of substance"),
    unit(&["g/mol"], "g/mol", MOLAR_MASS, 1e-3, None, "a molar mass"),
    unit(&["mol/L", "mol/l"], "mol/L", MOLARITY, 1e3, None, "a molarity"),
    unit(&["%", "percent", "per cent"], "%", Dimension::SHARE, 1e-2, None, "a share"),
    unit(&["ppm", "mg/kg"], "ppm", Dimension::SHARE, 1e-6, None, "a share"),
    unit(&["mg/g"], "mg/g", Dimension::SHARE, 1e-3, None, "a share"),
];

/// Finds a unit by any of its names.
pub fn find_unit(name: &str) -> Option<&'static Unit> {
    let name = name.trim();
    UNITS
        .iter()
        .find(|u| u.names.contains(&name) || u.shown == name)
        .or_else(|| UNITS.iter().find(|u| u.names.iter().any(|n| n.eq_ignore_ascii_case(name))))
}

/// A number with a unit.
#[derive(Debug, Clone, Copy)]
pub struct Quantity {
    /// In the base unit of the dimension.
    pub base: f64,
    /// The unit it was written in.
    pub unit: &'static Unit,
}

impl PartialEq for Quantity {
    fn eq(&self, other: &Self) -> bool {
        self.base == other.base && self.unit.dimension == other.unit.dimension
    }
}

/// Rounds to twelve significant digits, so that converted boundary values compare equal.
pub fn tidy(value: f64) -> f64 {
    if value == 0.0 || !value.is_finite() {
        return value;
    }
    format!("{value:.11e}").parse().unwrap_or(value)
}

impl Unit {
    /// From this unit to the base unit.
    pub(crate) fn to_base(&self, value: f64) -> f64 {
        tidy((value + self.offset) * self.factor)
    }

    /// From the base unit to this unit.
    pub fn of_base(&self, base: f64) -> f64 {
        tidy(base / self.factor - self.offset)
    }

    /// The plain number unit.
    pub fn none() -> &'static Unit {
        static NONE: Unit = unit(&[""], "", Dimension::NUMBER, 1.0, None, "a plain number");
        &NONE
    }

    /// The unit a quantity of this unit is shown in for readers of `system`.
    pub(crate) fn for_system(&'static self, system: System) -> &'static Unit {
        if self.system.is_none_or(|s| s == system) {
            return self;
        }
        let partner = match (self.names[0], system) {
            ("mm" | "cm", System::Us) => "in",
            ("um", System::Us) => "mil",
            ("mil", System::Metric) => "um",
            ("in", System::Metric) => "mm",
            ("cm2" | "mm2", System::Us) => "in2",
            ("in2", System::Metric) => "cm2",
            ("ug/ft2", System::Metric) => "ug/m2",
            ("L/min", System::Us) => "gal/min",
            ("g", System::Us) => "oz",
            ("oz", System::Metric) => "g",
            ("ml", System::Us) => "fl oz",
            ("fl oz", System::Metric) => "ml",
            ("m3", System::Us) => "ft3",
            ("ft3", System::Metric) => "m3",
            ("m3/h", System::Us) => "cfm",
            ("cfm", System::Metric) => "m3/h",
            ("mL/h", System::Us) => "pt/h",
            ("pt/h", System::Metric) => "mL/h",
            _ => "",
        };
        find_unit(partner)
            .filter(|_| !partner.is_empty())
            .or_else(|| UNITS.iter().find(|u| u.dimension == self.dimension && u.system == Some(system)))
            .unwrap_or(self)
    }
}

/// Splits `12.5 m2` into its number and unit text.
fn split(text: &str) -> Option<(f64, &str)> {
    let text = text.trim();
    let end = text
        .char_indices()
        .find(|(i, c)| !(c.is_ascii_digit() || *c == '.' || (*i == 0 && matches!(c, '-' | '+'))))
        .map_or(text.len(), |(i, _)| i);
    let number: f64 = text[..end].parse().ok()?;
    Some((number, text[end..].trim()))
}

/// Reads `4.2 m2` as a quantity of the dimension of `like`.
///
/// # Errors
/// A sentence saying what is wrong: no number, no unit, an unknown unit, a unit of another kind.
pub fn read(text: &str, like: &'static Unit) -> Result<Quantity, Error> {
    read_part(text, like, None)
}

fn read_part(text: &str, like: &'static Unit, fallback: Option<&'static Unit>) -> Result<Quantity, Error> {
    let wanted = like.dimension;
    let Some((number, name)) = split(text) else {
        let more = if text.contains(',') { "; write thousands without a comma, as 1100" } else { "" };
        return Err(Error::unfit(format!("`{text}` is not {} such as `{}`{more}", wanted.name_or(like), example(like))));
    };
    if !number.is_finite() {
        return Err(Error::unfit(format!("`{text}` is not a number that can be measured")));
    }
    if name.is_empty() {
        if wanted.is_number() {
            return Ok(Quantity { base: number, unit: Unit::none() });
        }
        return match fallback {
            Some(unit) => Ok(Quantity { base: unit.to_base(number), unit }),
            None => Err(Error::unfit(format!("`{text}` has no unit; write `{text} {}`", like.names[0]))),
        };
    }
    if wanted.is_number() {
        return Err(Error::unfit(format!("`{text}` has a unit where a plain number is wanted; write `{number}`")));
    }
    let Some(unit) = find_unit(name) else {
        let fitting = UNITS.iter().filter(|u| u.dimension == wanted).map(|u| u.names[0]);
        let near = crate::words::offer(name, fitting).unwrap_or_default();
        return Err(Error::unfit(format!("`{name}` is not a unit of {}; {near}", wanted.name_or(like))));
    };
    if unit.dimension != wanted {
        return Err(Error::unfit(format!(
            "`{text}` is {} where {} is wanted, such as `{}`",
            unit.kind,
            wanted.name_or(like),
            example(like)
        )));
    }
    Ok(Quantity { base: unit.to_base(number), unit })
}

fn example(like: &Unit) -> String {
    format!("20 {}", like.names[0]).trim_end().to_owned()
}

impl Dimension {
    fn name_or(self, like: &Unit) -> &'static str {
        if self.is_number() { "a plain number" } else { like.kind }
    }
}

/// Reads `0.5 .. 2 mm` (the unit may stand once, at the end) or a single quantity.
///
/// # Errors
/// As [`read`]; also where the second value is smaller than the first.
pub(crate) fn read_range(text: &str, like: &'static Unit) -> Result<(Quantity, Quantity), Error> {
    let Some((from, to)) = text.split_once("..") else {
        let one = read(text, like)?;
        return Ok((one, one));
    };
    let high = read(to.trim(), like)?;
    let low = read_part(from.trim(), like, Some(high.unit))?;
    if low.base > high.base {
        return Err(Error::unfit(format!("`{text}` ends below where it begins")));
    }
    Ok((low, high))
}

/// A number with few digits, thousands set apart, no trailing zeros.
pub fn plain(value: f64) -> String {
    let digits = digits(value) as usize;
    let mut text = format!("{value:.digits$}");
    if text.contains('.') {
        text = text.trim_end_matches('0').trim_end_matches('.').to_owned();
    }
    let (sign, body) = text.strip_prefix('-').map_or(("", text.as_str()), |b| ("-", b));
    let (whole, rest) = body.split_at(body.find('.').unwrap_or(body.len()));
    let mut grouped = String::new();
    for (i, c) in whole.chars().enumerate() {
        if i > 0 && (whole.len() - i).is_multiple_of(3) {
            grouped.push(',');
        }
        grouped.push(c);
    }
    let sign = if body.chars().any(|c| c.is_ascii_digit() && c != '0') { sign } else { "" };
    format!("{sign}{grouped}{rest}")
}

/// Which way a figure is rounded when it is shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Rounding {
    /// To the nearest.
    Nearest,
    /// Never above the figure: for what must be at most.
    Down,
    /// Never below the figure: for what must be at least.
    Up,
}

/// A base value in a unit, rounded so that the shown figure never passes the real one.
pub(crate) fn show_rounded(base: f64, unit: &Unit, rounding: Rounding) -> String {
    with_unit(rounded(base, unit, rounding, true), unit)
}

/// A stretch between two values as its two ends; told more finely where rounding would turn them round.
pub(crate) fn show_between(low: f64, high: f64, unit: &Unit) -> (String, String) {
    let ends = |coarse: bool| (rounded(low, unit, Rounding::Up, coarse), rounded(high, unit, Rounding::Down, coarse));
    let (from, to) = if ends(true).0 < ends(true).1 { ends(true) } else { ends(false) };
    (with_unit(from, unit), with_unit(to, unit))
}

/// A value in a unit, rounded. A figure that somebody wrote in this unit keeps its digits; one that was turned from another unit, or
/// worked out, has no more than mean something where it is an end that must not be passed.
fn rounded(base: f64, unit: &Unit, rounding: Rounding, coarse: bool) -> f64 {
    let value = unit.of_base(base);
    let temperature = unit.dimension == Dimension::TEMPERATURE;
    let fine = if temperature { 1 } else { digits(value) };
    let written = {
        let scale = 10_f64.powi(fine);
        ((value * scale).round() / scale - value).abs() <= value.abs() * 1e-9
    };
    let digits = match unit.system {
        Some(_) if coarse && !written && rounding != Rounding::Nearest => {
            if temperature {
                i32::from(value.abs() < 100.0)
            } else {
                (1 - value.abs().log10().floor() as i32).clamp(-3, fine)
            }
        }
        _ => fine,
    };
    let scale = 10_f64.powi(digits);
    let nearest = (value * scale).round() / scale;
    let close = (nearest - value).abs() <= value.abs() * 1e-9;
    match rounding {
        _ if close => nearest,
        Rounding::Nearest => nearest,
        Rounding::Down => (value * scale).floor() / scale,
        Rounding::Up => (value * scale).ceil() / scale,
    }
}

fn digits(value: f64) -> i32 {
    match value.abs() {
        v if v >= 1000.0 => 0,
        v if v >= 100.0 => 1,
        v if v >= 1.0 => 2,
        _ => 4,
    }
}

fn with_unit(value: f64, unit: &Unit) -> String {
    match unit.shown {
        "" => plain(value),
        shown => format!("{} {shown}", plain(value)),
    }
}

/// A base value in a unit: `593 °C`.
pub fn show_in(base: f64, unit: &Unit) -> String {
    show_rounded(base, unit, Rounding::Nearest)
}

impl Quantity {
    /// As it was written, with the other system beside it where the reader uses that one: `1,100 °F (593.3 °C)`.
    pub fn show_with(&self, system: System) -> String {
        let own = self.to_string();
        let other = self.unit.for_system(system);
        if std::ptr::eq(other, self.unit) { own } else { format!("{own} ({})", show_in(self.base, other)) }
    }
}

impl fmt::Display for Quantity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&show_in(self.base, self.unit))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn base(text: &str, like: &str) -> f64 {
        read(text, find_unit(like).unwrap()).unwrap().base
    }

    /// Factors: NIST SP 811 (2008), appendix B.8.
    #[test]
    fn conversions_match_nist_sp_811() {
        for (text, like, expected) in [
            ("1100 F", "C", 593.333_333_333),
            ("6 sq ft", "m2", 0.557_418_24),
            ("20 ft", "m", 6.096),
            ("400 psi", "bar", 2.757_902_917_27e6),
            ("20 mph", "m/s", 8.9408),
            ("1 gal", "L", 3.785_411_784e-3),
            ("15 mil", "mm", 0.381e-3),
            ("0.5 %", "%", 0.005),
            ("5000 ppm", "%", 0.005),
        ] {
            assert!((base(text, like) - expected).abs() <= expected.abs() * 1e-9, "{text}");
        }
    }

    #[test]
    fn a_boundary_is_the_same_however_it_is_written() {
        assert_eq!(base("1100 F", "C"), base("593.333333333 C", "C"));
        assert_eq!(base("20 ft", "m"), base("6.096 m", "m"));
        assert_eq!(base("6 sq ft", "m2"), base("0.55741824 m2", "m2"));
    }

    #[test]
    fn wrong_units_say_what_would_be_right() {
        let mm = find_unit("mm").unwrap();
        assert!(read("3", mm).unwrap_err().message().contains("no unit"));
        assert!(read("3 kg", mm).unwrap_err().message().contains("a mass"));
        assert!(read("3 millimeter", mm).unwrap_err().message().contains("not a unit"));
        assert!(read("thick", mm).is_err());
        assert!(read_range("2 .. 0.5 mm", mm).is_err());
        assert_eq!(read_range("0.5 .. 2 mm", mm).unwrap().0.base, 0.5e-3);
    }

    /// 750 °F is 398.89 °C, 2.8 bar 40.61 psi, 2 m 6.562 ft, 400 psi 27.58 bar (NIST SP 811, appendix B.8): told with what means
    /// something, and never on the lenient side.
    #[test]
    fn what_was_turned_from_another_unit_has_no_more_digits_than_mean_something() {
        let unit = |name: &str| find_unit(name).unwrap();
        let shown = |text: &str, like: &str, rounding| show_rounded(base(text, like), unit(like), rounding);
        assert_eq!(shown("750 F", "C", Rounding::Down), "398 °C");
        assert_eq!(shown("2.8 bar", "psi", Rounding::Down), "40 psi");
        assert_eq!(shown("2 m", "ft", Rounding::Up), "6.6 ft");
        assert_eq!(shown("400 psi", "bar", Rounding::Down), "27 bar");
        assert_eq!(shown("1100 F", "C", Rounding::Nearest), "593.3 °C");
        // What was written in the unit keeps its digits.
        assert_eq!(shown("1.25 m", "m", Rounding::Up), "1.25 m");
        assert_eq!(shown("403 C", "C", Rounding::Down), "403 °C");
        // Rounding never turns a stretch round.
        let (low, high) = (base("12.21 psi", "psi"), base("12.29 psi", "psi"));
        assert_eq!(show_between(low * 1.000_01, high * 0.999_99, unit("psi")), ("12.22 psi".to_owned(), "12.28 psi".to_owned()));
    }

    #[test]
    fn numbers_are_shown_for_people() {
        let q = read("1100 F", find_unit("C").unwrap()).unwrap();
        assert_eq!(q.to_string(), "1,100 °F");
        assert_eq!(q.show_with(System::Metric), "1,100 °F (593.3 °C)");
        assert_eq!(q.show_with(System::Us), "1,100 °F");
        assert_eq!(plain(0.557_418), "0.5574");
        assert_eq!(plain(-0.0), "0");
    }
}

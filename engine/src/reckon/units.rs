//! Measures with their dimension in the type, tied to [`quantity`] for reading and printing.
//!
//! A measure holds one figure in the base unit of its dimension (metres, kilograms, seconds, °C, pascals, moles, plain
//! shares). It is made with the name of a unit (`Length::mm(3.0)`) and asked with one (`.in_mm()`), so that no bare
//! number passes between calculators. Products and quotients exist only where they mean something.

use crate::quantity::{self, Quantity, Unit};
use std::fmt::Debug;
use std::ops::{Add, Div, Mul, Sub};

/// A measure of one dimension.
pub trait Measure: Copy + PartialOrd + Debug {
    /// The name of the unit it is usually written in; empty for plain numbers.
    const UNIT: &'static str;

    /// From base units.
    fn of_base(base: f64) -> Self;

    /// In base units.
    fn base(self) -> f64;

    /// The unit it is usually written in.
    fn unit() -> &'static Unit {
        quantity::find_unit(Self::UNIT).filter(|_| !Self::UNIT.is_empty()).unwrap_or_else(Unit::none)
    }

    /// Of a quantity of the same dimension.
    fn of_quantity(quantity: &Quantity) -> Option<Self> {
        (quantity.unit.dimension == Self::unit().dimension).then(|| Self::of_base(quantity.base))
    }
}

macro_rules! measure {
    ($(#[$doc:meta])* $name:ident, $unit:literal; $($new:ident $ask:ident = $factor:expr;)*) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
        pub struct $name(f64);

        impl $name {
            $(
                #[doc = concat!("So many `", stringify!($new), "`.")]
                pub const fn $new(value: f64) -> Self {
                    Self(value * $factor)
                }

                #[doc = concat!("In `", stringify!($new), "`.")]
                pub const fn $ask(self) -> f64 {
                    self.0 / $factor
                }
            )*
        }

        impl Measure for $name {
            const UNIT: &'static str = $unit;

            fn of_base(base: f64) -> Self {
                Self(base)
            }

            fn base(self) -> f64 {
                self.0
            }
        }

        impl Mul<Ratio> for $name {
            type Output = Self;

            fn mul(self, by: Ratio) -> Self {
                Self(self.0 * by.0)
            }
        }
    };
}

/// Sums, shares and ratios of measures that are no temperatures on a scale.
macro_rules! amount {
    ($($name:ident)*) => {$(
        impl Add for $name {
            type Output = Self;

            fn add(self, other: Self) -> Self {
                Self(self.0 + other.0)
            }
        }

        impl Sub for $name {
            type Output = Self;

            fn sub(self, other: Self) -> Self {
                Self(self.0 - other.0)
            }
        }

        impl Mul<Share> for $name {
            type Output = Self;

            fn mul(self, by: Share) -> Self {
                Self(self.0 * by.0)
            }
        }

        impl Div<Ratio> for $name {
            type Output = Self;

            fn div(self, by: Ratio) -> Self {
                Self(self.0 / by.0)
            }
        }

        impl Div for $name {
            type Output = Ratio;

            fn div(self, by: Self) -> Ratio {
                Ratio(self.0 / by.0)
            }
        }
    )*};
}

/// `A * B = C`, and what follows from it.
macro_rules! relate {
    ($($a:ident * $b:ident = $c:ident;)*) => {$(
        impl Mul<$b> for $a {
            type Output = $c;

            fn mul(self, by: $b) -> $c {
                $c(self.0 * by.0)
            }
        }

        impl Mul<$a> for $b {
            type Output = $c;

            fn mul(self, by: $a) -> $c {
                $c(self.0 * by.0)
            }
        }

        impl Div<$a> for $c {
            type Output = $b;

            fn div(self, by: $a) -> $b {
                $b(self.0 / by.0)
            }
        }

        impl Div<$b> for $c {
            type Output = $a;

            fn div(self, by: $b) -> $a {
                $a(self.0 / by.0)
            }
        }
    )*};
}

measure! {
    /// A plain number: a factor, a count, an angle in degrees.
    Ratio, "";
    of value = 1.0;
}
measure! {
    /// A pH.
    Ph, "";
    of value = 1.0;
}
measure! {
    /// A share of a whole, 0 to 1.
    Share, "%";
    of value = 1.0;
    percent in_percent = 1e-2;
    ppm in_ppm = 1e-6;
    mg_per_g in_mg_per_g = 1e-3;
}
measure! {
    /// A temperature on its scale.
    Celsius, "C";
    of value = 1.0;
}
measure! {
    /// A difference of temperatures.
    Kelvin, "K";
    of value = 1.0;
}
measure! {
    /// A length.
    Length, "mm";
    m in_m = 1.0;
    mm in_mm = 1e-3;
    um in_um = 1e-6;
    ft in_ft = 0.3048;
}
measure! {
    /// An area.
    Area, "m2";
    m2 in_m2 = 1.0;
    ft2 in_ft2 = 0.3048 * 0.3048;
    mm2 in_mm2 = 1e-6;
}
measure! {
    /// A volume.
    Volume, "L";
    m3 in_m3 = 1.0;
    litres in_litres = 1e-3;
    ml in_ml = 1e-6;
}
measure! {
    /// A mass.
    Mass, "kg";
    kg in_kg = 1.0;
    g in_g = 1e-3;
}
measure! {
    /// A stretch of time.
    Time, "h";
    seconds in_seconds = 1.0;
    minutes in_minutes = 60.0;
    hours in_hours = 3_600.0;
    days in_days = 86_400.0;
}
measure! {
    /// A pressure.
    Pressure, "bar";
    pa in_pa = 1.0;
    bar in_bar = 1e5;
    psi in_psi = 6_894.757_293_168_361;
}
measure! {
    /// A mass in a volume.
    Density, "kg/L";
    kg_per_m3 in_kg_per_m3 = 1.0;
    kg_per_litre in_kg_per_litre = 1e3;
    mg_per_litre in_mg_per_litre = 1e-3;
    ug_per_m3 in_ug_per_m3 = 1e-9;
}
measure! {
    /// A mass on an area.
    Loading, "kg/m2";
    kg_per_m2 in_kg_per_m2 = 1.0;
    g_per_m2 in_g_per_m2 = 1e-3;
    mg_per_cm2 in_mg_per_cm2 = 1e-2;
    mg_per_m2 in_mg_per_m2 = 1e-6;
    ug_per_m2 in_ug_per_m2 = 1e-9;
    ug_per_ft2 in_ug_per_ft2 = 1e-9 / (0.3048 * 0.3048);
}
measure! {
    /// A volume in a time.
    Flow, "L/min";
    m3_per_second in_m3_per_second = 1.0;
    m3_per_hour in_m3_per_hour = 1.0 / 3_600.0;
    litres_per_minute in_litres_per_minute = 1e-3 / 60.0;
    ml_per_hour in_ml_per_hour = 1e-6 / 3_600.0;
    cfm in_cfm = 0.3048 * 0.3048 * 0.3048 / 60.0;
}
measure! {
    /// A mass in a time.
    MassRate, "g/h";
    kg_per_second in_kg_per_second = 1.0;
    g_per_hour in_g_per_hour = 1e-3 / 3_600.0;
}
measure! {
    /// An area in a time: how fast work goes.
    WorkRate, "m2/h";
    m2_per_second in_m2_per_second = 1.0;
    m2_per_hour in_m2_per_hour = 1.0 / 3_600.0;
}
measure! {
    /// A length in a time.
    Speed, "m/s";
    m_per_second in_m_per_second = 1.0;
    mm_per_day in_mm_per_day = 1e-3 / 86_400.0;
    mm_per_week in_mm_per_week = 1e-3 / 604_800.0;
}
measure! {
    /// A force.
    Force, "N";
    newton in_newton = 1.0;
}
measure! {
    /// An amount of substance.
    Amount, "mol";
    mol in_mol = 1.0;
}
measure! {
    /// A mass of one mole.
    MolarMass, "g/mol";
    kg_per_mol in_kg_per_mol = 1.0;
    g_per_mol in_g_per_mol = 1e-3;
}
measure! {
    /// An amount of substance in a volume.
    Molarity, "mol/L";
    mol_per_m3 in_mol_per_m3 = 1.0;
    mol_per_litre in_mol_per_litre = 1e3;
}
measure! {
    /// A conductivity of water.
    Conductivity, "uS/cm";
    siemens_per_m in_siemens_per_m = 1.0;
    us_per_cm in_us_per_cm = 1e-4;
}

amount! { Kelvin Length Area Volume Mass Time Pressure Density Loading Flow MassRate WorkRate Speed Force Amount MolarMass Molarity Conductivity }

relate! {
    Area * Length = Volume;
    Volume * Density = Mass;
    Area * Loading = Mass;
    Length * Density = Loading;
    Flow * Time = Volume;
    Flow * Density = MassRate;
    MassRate * Time = Mass;
    WorkRate * Time = Area;
    Speed * Time = Length;
    Pressure * Area = Force;
    Amount * MolarMass = Mass;
    Molarity * Volume = Amount;
}

impl Mul for Length {
    type Output = Area;

    fn mul(self, by: Self) -> Area {
        Area(self.0 * by.0)
    }
}

impl Div<Length> for Area {
    type Output = Length;

    fn div(self, by: Length) -> Length {
        Length(self.0 / by.0)
    }
}

impl Mul<Share> for Ratio {
    type Output = Share;

    fn mul(self, by: Share) -> Share {
        Share(self.0 * by.0)
    }
}

impl Mul<Share> for Share {
    type Output = Self;

    fn mul(self, by: Self) -> Self {
        Self(self.0 * by.0)
    }
}

impl Share {
    /// One and this share: 15 % more is a factor of 1.15.
    pub const fn more(self) -> Ratio {
        Ratio(1.0 + self.0)
    }

    /// The rest of the whole.
    #[must_use]
    pub const fn rest(self) -> Self {
        Self(1.0 - self.0)
    }
}

impl Add<Kelvin> for Celsius {
    type Output = Self;

    fn add(self, by: Kelvin) -> Self {
        Self(self.0 + by.0)
    }
}

impl Sub<Kelvin> for Celsius {
    type Output = Self;

    fn sub(self, by: Kelvin) -> Self {
        Self(self.0 - by.0)
    }
}

impl Sub for Celsius {
    type Output = Kelvin;

    fn sub(self, other: Self) -> Kelvin {
        Kelvin(self.0 - other.0)
    }
}

impl Ratio {
    /// The next whole number at or above; a hair above a whole number is taken for it.
    #[must_use]
    pub fn up(self) -> Self {
        Self((self.0 - 1e-9).ceil())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Every measure has a unit that is written, of its own dimension, and reads back as itself.
    #[test]
    fn measures_are_tied_to_written_units() {
        fn tied<T: Measure>(text: &str) {
            let read = quantity::read(text, T::unit()).unwrap_or_else(|e| panic!("{text}: {e}"));
            assert!(T::of_quantity(&read).is_some(), "{text}");
            assert!((T::of_base(read.base).base() - read.base).abs() < 1e-15);
        }
        tied::<Ratio>("3");
        tied::<Share>("65 %");
        tied::<Celsius>("70 F");
        tied::<Kelvin>("3 K");
        tied::<Length>("15 mil");
        tied::<Area>("45 ft2");
        tied::<Volume>("2 gal");
        tied::<Mass>("3 lb");
        tied::<Time>("90 min");
        tied::<Pressure>("400 psi");
        tied::<Density>("1.3 kg/L");
        tied::<Loading>("40 ug/ft2");
        tied::<Flow>("285 cfm");
        tied::<MassRate>("50 g/h");
        tied::<WorkRate>("0.7 m2/h");
        tied::<Speed>("5 mm/week");
        tied::<Force>("18.7 N");
        tied::<Amount>("2.5 mol");
        tied::<MolarMass>("39.997 g/mol");
        tied::<Molarity>("0.25 mol/L");
        tied::<Conductivity>("8 uS/cm");
    }

    /// NIST SP 811 (2008), appendix B.8: 1 ft2 is 0.09290304 m2; 1 psi is 6,894.757 Pa; 1 cfm is 4.719474e-4 m3/s.
    #[test]
    fn units_made_here_agree_with_those_that_are_written() {
        let read = |text: &str, unit: &str| quantity::read(text, quantity::find_unit(unit).unwrap()).unwrap().base;
        let near = |a: f64, b: f64| assert!((a - b).abs() <= b.abs() * 1e-11, "{a} {b}");
        near(Area::ft2(45.0).base(), read("45 ft2", "m2"));
        near(Pressure::psi(400.0).base(), read("400 psi", "bar"));
        near(Flow::cfm(285.0).base(), read("285 cfm", "m3/h"));
        near(Loading::ug_per_ft2(40.0).base(), read("40 ug/ft2", "ug/m2"));
        near(Speed::mm_per_week(5.0).base(), read("5 mm/week", "m/s"));
        near(Conductivity::us_per_cm(8.0).base(), read("8 uS/cm", "uS/cm"));
        near(Flow::cfm(1.0).base(), 4.719_474_432e-4);
        near(Volume::litres(1.0).base(), read("1 L", "L"));
    }
}

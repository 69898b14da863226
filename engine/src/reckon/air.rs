//! Moist air: dew point and frost point, humidity from wet and dry bulb, pressure by altitude, and the way back from a
//! surface to the air it stands.
//!
//! Saturation over water: Magnus form with the constants of WMO-No. 8 (6.112 hPa, 17.62, 243.12 °C), good from -45 to 60 °C.
//! Over ice: the same with 22.46 and 272.62 °C, good from -65 to 0.01 °C. Published check values and a library stand in
//! `tests/vectors/air.csv`; the two agree within 0.05 °C of dew point from 0 to 40 °C.

use super::span::Span;
use super::units::{Celsius, Kelvin, Length, Pressure, Share};

/// Saturation pressure over water, or over ice where `ice`.
fn saturation(at: f64, ice: bool) -> f64 {
    let (a, b) = if ice { (22.46, 272.62) } else { (17.62, 243.12) };
    611.2 * (a * at / (b + at)).exp()
}

/// Pressure of water vapour at which air of a temperature is saturated, over water.
pub fn saturation_pressure(at: Celsius) -> Pressure {
    Pressure::pa(saturation(at.value(), false))
}

/// Dew point of air over water.
///
/// Source: WMO-No. 8, Magnus form. Below 0 °C this is the dew point of supercooled water: see [`frost_point`].
pub fn dew_point(air: Celsius, humidity: Share) -> Celsius {
    let g = humidity.value().ln() + 17.62 * air.value() / (243.12 + air.value());
    Celsius::of(243.12 * g / (17.62 - g))
}

/// The temperature at which frost forms on a surface, where that is below 0 °C; else `None`.
///
/// Source: WMO-No. 8, Magnus form over ice.
pub fn frost_point(air: Celsius, humidity: Share) -> Option<Celsius> {
    let vapour = humidity.value() * saturation(air.value(), false);
    let g = (vapour / 611.2).ln();
    let frost = 272.62 * g / (22.46 - g);
    (frost < 0.0).then(|| Celsius::of(frost))
}

/// Humidity at which air of a temperature has a given dew point. It can come out above 1, where no such air exists.
pub fn humidity_at_dew_point(air: Celsius, dew: Celsius) -> Share {
    Share::of(saturation(dew.value(), false) / saturation(air.value(), false))
}

/// The highest humidity at which a surface is still `margin` above the dew point.
pub fn highest_humidity(air: Celsius, surface: Celsius, margin: Kelvin) -> Share {
    let share = humidity_at_dew_point(air, surface - margin).value();
    Share::of(share.clamp(0.0, 1.0))
}

/// The coldest a surface can be and still be `margin` above the dew point.
pub fn coldest_surface(air: Celsius, humidity: Share, margin: Kelvin) -> Celsius {
    dew_point(air, humidity) + margin
}

/// The temperature the air must be brought to, water content unchanged, for a humidity: warming a room dries its air.
pub fn warmed_to(air: Celsius, humidity: Share, wanted: Share) -> Celsius {
    let g = (humidity.value() / wanted.value()).ln() + 17.62 * air.value() / (243.12 + air.value());
    Celsius::of(243.12 * g / (17.62 - g))
}

/// Air pressure at an altitude.
///
/// Source: ISO 2533 standard atmosphere, as in the ASHRAE Handbook of Fundamentals, chapter 1, equation 3 (from memory).
pub fn pressure_at(altitude: Length) -> Pressure {
    Pressure::pa(101_325.0 * (1.0 - 2.255_77e-5 * altitude.in_m()).powf(5.255_9))
}

/// Humidity from dry and wet bulb; 0 where the two cannot belong together (air that would hold less than no water).
///
/// Source: ASHRAE Handbook of Fundamentals, chapter 1, equations 33 and 35 (from memory); over ice where the wet bulb is
/// frozen.
pub fn humidity_from_wet_bulb(dry: Celsius, wet: Celsius, pressure: Pressure) -> Share {
    let (t, w) = (dry.value(), wet.value());
    let p = pressure.in_pa();
    let ice = w < 0.0;
    let wet_vapour = saturation(w, ice);
    let wet_ratio = 0.621_945 * wet_vapour / (p - wet_vapour);
    let ratio = if ice {
        ((2_830.0 - 0.24 * w) * wet_ratio - 1.006 * (t - w)) / (2_830.0 + 1.86 * t - 2.1 * w)
    } else {
        ((2_501.0 - 2.326 * w) * wet_ratio - 1.006 * (t - w)) / (2_501.0 + 1.86 * t - 4.186 * w)
    };
    let vapour = p * ratio / (0.621_945 + ratio);
    Share::of((vapour / saturation(t, false)).clamp(0.0, 1.0))
}

/// What a wet bulb reads in air of a humidity: the other way round than [`humidity_from_wet_bulb`], found by halving. `None` where
/// it would lie below -45 °C.
///
/// A bulb is taken as wet where that answers, and as frozen only where no wet one can: the two formulas do not meet at 0 °C.
pub fn wet_bulb(air: Celsius, humidity: Share, pressure: Pressure) -> Option<Celsius> {
    let tells = |wet: f64| humidity_from_wet_bulb(air, Celsius::of(wet), pressure).value();
    let frozen = air.value() < 0.0 || tells(0.0) > humidity.value();
    let (mut low, mut high) = if frozen { (-45.0, air.value().min(-1e-9)) } else { (0.0, air.value()) };
    if frozen && tells(low) > humidity.value() {
        return None;
    }
    for _ in 0..60 {
        let middle = f64::midpoint(low, high);
        if tells(middle) < humidity.value() {
            low = middle;
        } else {
            high = middle;
        }
    }
    Some(Celsius::of(high))
}

/// Relative humidity of air where it is brought to the temperature of a surface, its water staying in it; above 1 it lays dew.
pub fn humidity_at_surface(air: Celsius, humidity: Share, surface: Celsius) -> Share {
    Share::of(humidity.value() * saturation(air.value(), false) / saturation(surface.value(), false))
}

/// Dew point of a range of air: warmer and damper air has the higher one.
pub fn dew_points(air: Span<Celsius>, humidity: Span<Share>) -> Span<Celsius> {
    air.with(humidity, dew_point)
}

/// Humidity from ranges of dry and wet bulb: cooler air or a warmer wet bulb means damper air. A bulb that may be wet or
/// frozen is read both ways, for the two formulas do not meet at 0 °C.
pub fn humidities_from_wet_bulb(dry: Span<Celsius>, wet: Span<Celsius>, pressure: Pressure) -> Span<Share> {
    let read = |wet: Span<Celsius>| wet.against(dry, |wet, dry| humidity_from_wet_bulb(dry, wet, pressure));
    if wet.low().value() < 0.0 && wet.high().value() >= 0.0 {
        let (frozen, melting) = (Celsius::of(-1e-9), Celsius::of(0.0));
        return read(Span::between(wet.low(), frozen)).join(read(Span::between(melting, wet.high())));
    }
    read(wet)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn dew(air: f64, humidity: f64) -> f64 {
        dew_point(Celsius::of(air), Share::percent(humidity)).value()
    }

    /// Every row of a published table in °C (expydoc.com, Taupunkttabelle) that was checked against psychrolib 2.5.0; the
    /// table's rounding gives 0.15 °C. The cell 30 °C, 65 % is misprinted as 23.7: the true value is 22.7, and the misprint
    /// must not be met.
    #[test]
    fn dew_points_match_a_published_table_and_not_its_misprint() {
        for (air, humidity, table) in [
            (10.0, 60.0, 2.5),
            (10.0, 70.0, 4.8),
            (10.0, 80.0, 6.8),
            (10.0, 85.0, 7.7),
            (12.0, 80.0, 8.7),
            (14.0, 70.0, 8.7),
            (15.0, 60.0, 7.4),
            (15.0, 70.0, 9.6),
            (15.0, 80.0, 11.7),
            (15.0, 85.0, 12.6),
            (18.0, 65.0, 11.3),
            (18.0, 80.0, 14.6),
            (20.0, 50.0, 9.3),
            (20.0, 60.0, 12.0),
            (20.0, 70.0, 14.4),
            (20.0, 85.0, 17.4),
            (22.0, 60.0, 13.9),
            (25.0, 50.0, 13.8),
            (25.0, 60.0, 16.7),
            (25.0, 70.0, 19.1),
            (25.0, 85.0, 22.3),
            (28.0, 60.0, 19.4),
            (30.0, 50.0, 18.4),
            (30.0, 70.0, 23.9),
            (30.0, 85.0, 27.2),
        ] {
            let got = dew(air, humidity);
            assert!((got - table).abs() <= 0.15, "{air} {humidity}: {got}");
        }
        assert!((dew(30.0, 65.0) - 22.7).abs() < 0.05 && (dew(30.0, 65.0) - 23.7).abs() > 0.9);
    }

    /// A painter's chart in °F reads low, to the unsafe side, by up to 2.4 °F: at 90 °F and 30 % it prints 52, the true
    /// dew point is 54.4 (psychrolib 2.5.0). The formula must not follow the chart.
    #[test]
    fn the_painters_chart_is_not_followed() {
        let fahrenheit = dew((90.0 - 32.0) / 1.8, 30.0) * 1.8 + 32.0;
        assert!((fahrenheit - 54.4).abs() < 0.1, "{fahrenheit}");
    }

    /// Saturation pressures of psychrolib 2.5.0 and of the Magnus form, Pa.
    #[test]
    fn saturation_pressures_match_the_formula_and_a_library() {
        for (at, magnus, library) in
            [(0.0, 611.2, 611.2), (5.0, 871.7, 872.5), (10.0, 1226.0, 1228.0), (20.0, 2332.6, 2338.8), (30.0, 4233.7, 4246.0)]
        {
            let got = saturation_pressure(Celsius::of(at)).in_pa();
            assert!((got - magnus).abs() < 0.06, "{at}: {got}");
            assert!((got - library).abs() < library * 0.0035, "{at}: {got}");
        }
    }

    /// psychrolib 2.5.0 at 101,325 Pa: 20/15 °C 58.9 %, 25/18 °C 50.7 %, 71/64 °F 68.7 % and a dew point of 15.68 °C.
    #[test]
    fn wet_and_dry_bulb_match_a_library() {
        for (dry, wet, humidity, dew_at) in
            [(20.0, 15.0, 58.9, 11.73), (25.0, 18.0, 50.7, 14.07), ((71.0 - 32.0) / 1.8, (64.0 - 32.0) / 1.8, 68.7, 15.68)]
        {
            let got = humidity_from_wet_bulb(Celsius::of(dry), Celsius::of(wet), Pressure::pa(101_325.0));
            assert!((got.in_percent() - humidity).abs() < 0.3, "{dry} {wet}: {}", got.in_percent());
            assert!((dew_point(Celsius::of(dry), got).value() - dew_at).abs() < 0.1, "{dry} {wet}");
        }
    }

    /// Worked out by hand from the formula; 20 °C and 3 °C of margin cross over at 82.9 %, so that air at 85 % passes the
    /// one gate and fails the other.
    #[test]
    fn a_surface_as_warm_as_the_air_fails_before_the_humidity_does() {
        let most = |t: f64| highest_humidity(Celsius::of(t), Celsius::of(t), Kelvin::of(3.0)).in_percent();
        for (t, crossover) in [(5.0, 81.0), (10.0, 81.6), (20.0, 82.9), (30.0, 84.0)] {
            assert!((most(t) - crossover).abs() < 0.25, "{t}: {}", most(t));
        }
    }

    /// Computed with the Magnus form: 20/14 °C 56.2 %, 15/10 °C 58.8 %, 10/8 °C 71.1 %.
    #[test]
    fn the_way_back_from_a_cold_wall() {
        for (air, surface, most) in [(20.0, 14.0, 56.2), (15.0, 10.0, 58.8), (10.0, 8.0, 71.1)] {
            let got = highest_humidity(Celsius::of(air), Celsius::of(surface), Kelvin::of(3.0)).in_percent();
            assert!((got - most).abs() < 0.2, "{air} {surface}: {got}");
        }
        let (air, humidity) = (Celsius::of(15.0), Share::percent(70.0));
        let back = humidity_at_dew_point(air, dew_point(air, humidity));
        assert!((back.value() - 0.7).abs() < 1e-12);
    }

    /// psychrolib 2.5.0 gives -6.64 °C for 5 °C and 40 %: a frost point. Over water the same air has a lower dew point.
    #[test]
    fn below_freezing_frost_comes_before_dew() {
        let (air, humidity) = (Celsius::of(5.0), Share::percent(40.0));
        let frost = frost_point(air, humidity).expect("below freezing").value();
        assert!((frost + 6.64).abs() < 0.1, "{frost}");
        assert!(dew_point(air, humidity).value() < frost);
        assert!(frost_point(Celsius::of(20.0), humidity).is_none());
    }

    /// Standard atmosphere: 1,000 m 89,875 Pa; 3,000 m 70,109 Pa (ISO 2533 tables, from memory: 89,874.6 and 70,108.5).
    #[test]
    fn air_thins_with_height() {
        assert!((pressure_at(Length::m(1_000.0)).in_pa() - 89_874.6).abs() < 30.0);
        assert!((pressure_at(Length::m(3_000.0)).in_pa() - 70_108.5).abs() < 40.0);
        assert!((pressure_at(Length::m(0.0)).in_pa() - 101_325.0).abs() < 1e-6);
    }

    #[test]
    fn a_range_of_air_gives_a_range_of_dew_points() {
        let dew =
            dew_points(Span::between(Celsius::of(18.0), Celsius::of(22.0)), Span::between(Share::percent(60.0), Share::percent(70.0)));
        assert!((dew.low().value() - dew_point(Celsius::of(18.0), Share::percent(60.0)).value()).abs() < 1e-12);
        assert!((dew.high().value() - dew_point(Celsius::of(22.0), Share::percent(70.0)).value()).abs() < 1e-12);
    }

    #[test]
    fn warming_dries_the_air() {
        let warm = warmed_to(Celsius::of(10.0), Share::percent(85.0), Share::percent(60.0));
        assert!(warm.value() > 15.0 && warm.value() < 16.0, "{warm:?}");
        assert!((dew_point(warm, Share::percent(60.0)).value() - dew(10.0, 85.0)).abs() < 1e-9);
    }
}

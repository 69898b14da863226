//! Calculators that rules can use. Pure functions of base units.

/// Dew point in °C of air at `air` °C and relative humidity `humidity` (a share, 0 to 1), over water.
///
/// Magnus form with the constants of WMO-No. 8 (17.62, 243.12 °C), good from -45 to 60 °C.
pub fn dew_point(air: f64, humidity: f64) -> f64 {
    let g = humidity.ln() + 17.62 * air / (243.12 + air);
    243.12 * g / (17.62 - g)
}

#[cfg(test)]
mod tests {
    use super::dew_point;

    /// Rows of a published dew-point table in °C, checked there against psychrolib 2.5.0; agreement within 0.15 °C is
    /// what the table's rounding gives. The misprinted cell (30 °C, 65 %: prints 23.7) is given its true value.
    #[test]
    fn dew_points_match_a_published_table() {
        for (air, humidity, expected) in [
            (10.0, 60.0, 2.5),
            (15.0, 70.0, 9.6),
            (20.0, 50.0, 9.3),
            (20.0, 85.0, 17.4),
            (25.0, 60.0, 16.7),
            (30.0, 65.0, 22.7),
            (30.0, 85.0, 27.2),
        ] {
            let got = dew_point(air, humidity / 100.0);
            assert!((got - expected).abs() <= 0.15, "{air} {humidity}: {got}");
        }
    }
}

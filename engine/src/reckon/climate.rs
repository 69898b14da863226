//! Air, surface and timber on the day: dew point, the two gates for coating, what timber comes to.

use super::air;
use super::sheet::{Desk, Sheet, Standing};
use super::span::{Given, Span};
use super::timber::{equilibrium_moistures, humidity_for_moisture};
use super::units::{Celsius, Kelvin, Length, Measure, Pressure, Share};
use crate::error::Error;
use crate::role::{LimitRole, Occasion};

/// What the air sheet is asked.
#[derive(Debug, Clone, Default)]
pub struct Ask {
    /// Air temperature (dry bulb).
    pub air: Option<Given<Celsius>>,
    /// Relative humidity.
    pub humidity: Option<Given<Share>>,
    /// Wet bulb, instead of humidity.
    pub wet_bulb: Option<Given<Celsius>>,
    /// Altitude, for the wet bulb.
    pub altitude: Option<Given<Length>>,
    /// Surface temperature.
    pub surface: Option<Given<Celsius>>,
}

fn possible(humidity: Span<Share>) -> Result<Span<Share>, Error> {
    let fits = humidity.low().value() > 0.0 && humidity.high().value() <= 1.0;
    fits.then_some(humidity).ok_or_else(|| "a relative humidity lies above 0 and up to 100 %".into())
}

fn in_range(name: &str, t: Span<Celsius>) -> Result<Span<Celsius>, Error> {
    let fits = t.low().value() >= -45.0 && t.high().value() <= 60.0;
    fits.then_some(t).ok_or_else(|| format!("{name} lies outside -45 to 60 °C, where the formula is good").into())
}

/// Air and humidity as given, humidity from the wet bulb where that was read.
fn read_air(ask: &Ask, sheet: &mut Sheet) -> Result<(Span<Celsius>, Span<Share>), Error> {
    let air = in_range("the air", sheet.given("air", ask.air.as_ref().ok_or("say the temperature of the air")?))?;
    match (&ask.humidity, &ask.wet_bulb) {
        (Some(_), Some(_)) => Err("give either the humidity or the wet bulb, not both".into()),
        (Some(given), None) => Ok((air, possible(sheet.given("humidity", given))?)),
        (None, Some(given)) => {
            let wet = in_range("the wet bulb", sheet.given("wet bulb", given))?;
            if wet.low().value() > air.high().value() {
                return Err("a wet bulb is never warmer than the air".into());
            }
            let pressure = match &ask.altitude {
                Some(given) => {
                    let height = sheet.given("altitude", given);
                    height.falling(air::pressure_at)
                }
                None => Span::exactly(Pressure::pa(101_325.0)),
            };
            let humidity =
                air::humidities_from_wet_bulb(air, wet, pressure.low()).join(air::humidities_from_wet_bulb(air, wet, pressure.high()));
            sheet.result("humidity from the wet bulb", humidity, "%");
            sheet.formula("humidity from wet and dry bulb: ASHRAE Handbook of Fundamentals, chapter 1, equations 33 and 35 (from memory)");
            if humidity.low().value() <= 0.0 {
                return Err("such a wet bulb cannot be with such air: read both again".into());
            }
            Ok((air, humidity))
        }
        (None, None) => Err("say the humidity, or the wet bulb".into()),
    }
}

/// Dew point, frost, the two gates and the way back.
///
/// # Errors
/// Where something needed is missing or lies outside what the formula is good for.
pub fn sheet(ask: &Ask, desk: &Desk<'_>) -> Result<Sheet, Error> {
    let mut sheet = desk.sheet("air", "Air, dew point and the two gates for coating");
    let (air, humidity) = read_air(ask, &mut sheet)?;
    let dew = air::dew_points(air, humidity);
    sheet.result("dew point", dew, "C");
    if let Some(frost) = air::frost_point(air.low(), humidity.low()) {
        sheet.result("frost point, for the coldest and driest of it", Span::exactly(frost), "C");
    }
    sheet.formula("dew point: Magnus form over water, WMO-No. 8 (17.62, 243.12 °C)");
    desk.hold_below(&mut sheet, "The humidity", humidity, LimitRole::CoatingHumidity, "%");
    let margin = desk.limit::<Kelvin>(LimitRole::DewPointMargin);
    match (&ask.surface, &margin) {
        (Some(given), _) => {
            let surface = sheet.given("surface", given);
            let above: Span<Kelvin> = surface - dew;
            sheet.result("surface above the dew point", above, "K");
            desk.hold_above(&mut sheet, "The surface above the dew point", above, LimitRole::DewPointMargin, "K");
            if let Some((margin, _)) = &margin {
                let most = surface.against(air, |s, a| air::highest_humidity(a, s, *margin));
                sheet.result("highest humidity this surface bears", most, "%");
            }
        }
        (None, Some((margin, _))) => {
            sheet.result("surface at least", dew.rising(|d| d + *margin), "C");
            sheet.find(Standing::Open, "Measure the surface: a wall is often colder than the air, most of all in the morning.", None);
        }
        (None, None) => sheet.find(Standing::Open, "The rule book states no margin above the dew point.", None),
    }
    if humidity.high().value() > 0.6 {
        let to = air.with(humidity, |a, h| air::warmed_to(a, h, Share::percent(60.0)));
        sheet.result("air warmed to this is at 60 %", to, "C");
    }
    desk.remark(&mut sheet, Occasion::Air);
    Ok(sheet)
}

/// What timber comes to in such air, held against the moisture for priming inside and outside.
///
/// # Errors
/// As [`sheet`].
pub fn timber_sheet(ask: &Ask, desk: &Desk<'_>) -> Result<Sheet, Error> {
    let mut sheet = desk.sheet("timber", "Moisture that timber comes to");
    let (air, humidity) = read_air(ask, &mut sheet)?;
    if air.low().value() < -1.0 {
        return Err("the formula for timber is good from about 0 °C up".into());
    }
    let moisture = equilibrium_moistures(air, humidity.within(Share::of(0.0), Share::percent(99.0)));
    sheet.result("moisture in balance with the air", moisture, "%");
    for (id, what) in
        [(LimitRole::TimberInside, "Timber inside, left in such air,"), (LimitRole::TimberOutside, "Timber outside, left in such air,")]
    {
        if let Some((most, source)) = desk.limit::<Share>(id) {
            let standing = Standing::at_most(moisture, most);
            let shown = sheet.say(most, "%");
            let says = match standing {
                Standing::Passes => format!("{what} comes down to {shown} or less in time."),
                Standing::Fails => format!("{what} never comes down to {shown}: the air has to be drier first."),
                _ => format!("{what} may or may not come down to {shown}."),
            };
            sheet.find(standing, says, Some(source));
            if standing != Standing::Passes
                && let Some(h) = humidity_for_moisture(Celsius::of_base(f64::midpoint(air.low().value(), air.high().value())), most)
            {
                sheet.result(format!("humidity that brings it to {shown}"), Span::exactly(h), "%");
            }
        }
    }
    sheet.formula("equilibrium moisture: USDA Wood Handbook, equation 4-5 (Hailwood and Horrobin), constants for °C");
    desk.remark(&mut sheet, Occasion::Timber);
    Ok(sheet)
}

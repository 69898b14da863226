//! Washing with a jet: how wide the fan is at the wall, how hard it pushes, and what the substrate bears.

use super::sheet::{Desk, Sheet, Standing};
use super::span::{Given, Span};
use super::units::{Area, Flow, Force, Length, Measure, Pressure, Ratio};
use crate::error::Error;
use crate::quantity;
use crate::role::{FigureRole, Occasion, Sentence};

/// Width of a fan at a distance: 2 d tan(a/2); the angle in degrees.
///
/// Source: geometry.
pub fn fan_width(distance: Length, degrees: Ratio) -> Length {
    Length::m(2.0 * distance.in_m() * (degrees.value().to_radians() / 2.0).tan())
}

/// Force of a jet of water on a wall it meets squarely: F = rho Q v, with v = sqrt(2 p / rho), water at 1,000 kg/m3.
///
/// Source: momentum balance and Bernoulli; no losses in hose or nozzle, so it is the most the jet can push.
pub fn jet_force(flow: Flow, pressure: Pressure) -> Force {
    let velocity = (2.0 * pressure.in_pa() / 1_000.0).sqrt();
    Force::newton(1_000.0 * flow.in_m3_per_second() * velocity)
}

/// The two things people mean by low pressure, which are five times apart: never say the word alone.
pub fn classes(pressure: Pressure, desk: &Desk<'_>) -> Result<Vec<(String, FigureRole)>, Error> {
    let psi = |span: Span<Pressure>| span.show(quantity::find_unit("psi").unwrap_or_else(Pressure::unit));
    let mut found = Vec::new();
    let facilities: Span<Pressure> = desk.look_up(FigureRole::LowInFacilities)?;
    let word = if pressure.base() < facilities.high().base() { "low" } else { "high" };
    found.push((
        desk.say(Sentence::WordInFacilities, &[("word", word), ("low", &psi(Span::exactly(facilities.high())))]),
        FigureRole::LowInFacilities,
    ));
    let low: Span<Pressure> = desk.look_up(FigureRole::LowOnMasonry)?;
    let medium: Span<Pressure> = desk.look_up(FigureRole::MediumOnMasonry)?;
    let word = match pressure.base() {
        p if p <= low.high().base() => "low",
        p if p <= medium.high().base() => "medium",
        _ => "high",
    };
    found.push((
        desk.say(Sentence::WordOnMasonry, &[("word", word), ("low", &psi(low)), ("medium", &psi(Span::exactly(medium.high())))]),
        FigureRole::LowOnMasonry,
    ));
    Ok(found)
}

/// What the sheet is asked.
#[derive(Debug, Clone, Default)]
pub struct Ask {
    /// Pressure at the nozzle.
    pub pressure: Option<Given<Pressure>>,
    /// Flow of water.
    pub flow: Option<Given<Flow>>,
    /// Angle of the fan, degrees.
    pub angle: Option<Given<Ratio>>,
    /// Distance of the nozzle.
    pub distance: Option<Given<Length>>,
    /// Depth of the strip that the fan strikes.
    pub strip: Option<Given<Length>>,
    /// Substrate of the catalogue.
    pub substrate: Option<String>,
}

/// Width of the fan and force of the jet; what the rules say of it is for whoever has the rules.
///
/// # Errors
/// Where the pressure is missing, a name is unknown or the rule book lacks a figure.
pub fn sheet(ask: &Ask, desk: &Desk<'_>, bears: impl FnOnce(&mut Sheet, Span<Pressure>) -> Result<(), Error>) -> Result<Sheet, Error> {
    let mut sheet = desk.sheet("jet", "Washing with a jet");
    let pressure = sheet.given("pressure", ask.pressure.as_ref().ok_or("say the pressure")?);
    if pressure.low().base() <= 0.0 {
        return Err("a pressure is more than nothing".into());
    }
    for (says, figure) in classes(pressure.high(), desk)? {
        let source = desk.cite_figure(figure);
        sheet.find(Standing::Plain, format!("This is {says}."), source);
    }
    let distance = desk.given_or(&mut sheet, "distance", ask.distance.as_ref(), FigureRole::NozzleDistance)?;
    let mut width = None;
    if let Some(given) = &ask.angle {
        let angle = sheet.given("angle of the fan, degrees", given);
        if angle.low().value() < 0.0 || angle.high().value() >= 180.0 {
            return Err("the angle of a fan lies between 0 and 180 degrees".into());
        }
        let fan = distance.with(angle, fan_width);
        sheet.result("width of the fan at the wall", fan, "mm");
        width = Some(fan);
        let least: Span<Ratio> = desk.look_up(FigureRole::FanAngle)?;
        let source = desk.cite_figure(FigureRole::FanAngle);
        let standing = Standing::at_least(angle, least.low());
        let says = desk.say(Sentence::Fan, &[("angle", &least.low().value().to_string())]);
        sheet.find(standing, says, source);
    }
    match &ask.flow {
        Some(given) => {
            let flow = sheet.given("flow", given);
            let force = flow.with(pressure, jet_force);
            sheet.result("force of the jet", force, "N");
            if let Some(fan) = width.filter(|f| f.low().base() > 0.0) {
                let strip = desk.given_or(&mut sheet, "strip the fan strikes", ask.strip.as_ref(), FigureRole::Strip)?;
                let struck: Span<Area> = fan * strip;
                sheet.result("mean pressure; its core strikes harder", force / struck, "kPa");
            }
        }
        None => sheet.remind(desk.say(Sentence::SayFlow, &[]), None),
    }
    bears(&mut sheet, pressure)?;
    sheet.formula("width = 2 x distance x tan(angle/2) (geometry); force = density x flow x sqrt(2 x pressure/density) (momentum balance, water at 1,000 kg/m3)");
    desk.remark(&mut sheet, Occasion::Jet);
    Ok(sheet)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Geometry by hand: 40 degrees at 300 mm is 218.4 mm wide, 15 degrees 79.0 mm, 25 degrees 133.0 mm.
    #[test]
    fn fans_are_as_wide_as_their_angle_says() {
        for (angle, width) in [(40.0, 218.4), (15.0, 79.0), (25.0, 133.0)] {
            let got = fan_width(Length::mm(300.0), Ratio::of(angle)).in_mm();
            assert!((got - width).abs() < 0.05, "{angle}: {got}");
        }
    }

    /// Momentum by hand: 15 L/min at 28 bar is 18.71 N, 20 L/min at 138 bar 55.38 N.
    #[test]
    fn jets_push_as_hard_as_their_momentum() {
        for (flow, pressure, force) in [(15.0, 28.0, 18.71), (20.0, 138.0, 55.38)] {
            let got = jet_force(Flow::litres_per_minute(flow), Pressure::bar(pressure)).in_newton();
            assert!((got - force).abs() < 0.01, "{flow} {pressure}: {got}");
        }
    }

    /// NIST SP 811: 400 psi is 27.6 bar, 2,000 psi 137.9 bar; the unit trap of a manual that prints millimetres for mils is
    /// 15 mil = 0.381 mm.
    #[test]
    fn pressures_and_films_in_us_measures() {
        assert!((Pressure::psi(400.0).in_bar() - 27.58).abs() < 0.01);
        assert!((Pressure::psi(2_000.0).in_bar() - 137.9).abs() < 0.01);
        let film = Span::<Length>::read("15 mil").unwrap();
        assert!((film.low().in_mm() - 0.381).abs() < 1e-9);
    }
}

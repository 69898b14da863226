//! Run-off: how much water comes, what tank and bund hold it, and where it may go by place and pH.

use super::sheet::{Desk, Sheet, Standing};
use super::span::{Given, Span};
use super::units::{Area, Length, Measure, Ph, Ratio, Share, Volume};
use crate::error::Error;
use crate::role::{FigureRole, LimitRole, Occasion};

/// Water from washing an area, with the rain that falls into the gutter while it is open.
///
/// Source: geometry; a litre on a square metre stands one millimetre deep.
pub fn volume(area: Span<Area>, depth: Span<Length>, times: Span<Ratio>, catch: Span<Area>, rain: Span<Length>) -> Span<Volume> {
    area * depth * times + catch * rain
}

/// What a bund must hold for its largest container.
pub fn bund(largest: Span<Volume>, share: Span<Share>) -> Span<Volume> {
    largest * share
}

/// What the sheet is asked.
#[derive(Debug, Clone, Default)]
pub struct Ask {
    /// Area washed.
    pub area: Option<Given<Area>>,
    /// Water on an area, each time.
    pub water: Option<Given<Length>>,
    /// How often it is rinsed.
    pub times: Option<Given<Ratio>>,
    /// Area that catches rain.
    pub catch: Option<Given<Area>>,
    /// Rain while it is open.
    pub rain: Option<Given<Length>>,
    /// Largest container stored.
    pub container: Option<Given<Volume>>,
    /// pH of what is caught.
    pub ph: Option<Given<Ph>>,
}

/// Volume, tank, bund, and where the water may go.
///
/// # Errors
/// Where something needed is missing or the rule book lacks a figure.
pub fn sheet(ask: &Ask, desk: &Desk<'_>) -> Result<Sheet, Error> {
    let mut sheet = desk.sheet("run-off", "Run-off, tank and bund");
    let area = sheet.given("area", ask.area.as_ref().ok_or("say the area")?);
    let depth = desk.given_or(&mut sheet, "water on it", ask.water.as_ref(), FigureRole::RinseWater)?;
    let once = Span::exactly(Ratio::of(1.0));
    let times = ask.times.as_ref().map_or(once, |g| sheet.given("rinses", g));
    let catch = ask.catch.as_ref().map_or(Span::exactly(Area::m2(0.0)), |g| sheet.given("area that catches rain", g));
    let rain = ask.rain.as_ref().map_or(Span::exactly(Length::mm(0.0)), |g| sheet.given("rain while it is open", g));
    let all = volume(area, depth, times, catch, rain);
    sheet.result("run-off", all, "L");
    let spare = desk.figure::<Share>(&mut sheet, FigureRole::TankReserve)?;
    sheet.result("tank", Span::exactly(all.high()) * Span::exactly(spare.low().more()), "L");
    if let Some(given) = &ask.container {
        let largest = sheet.given("largest container", given);
        let of_largest = desk.figure(&mut sheet, FigureRole::Bund)?;
        sheet.result("bund", bund(largest, of_largest), "L");
    }
    sheet.formula("run-off = area x water x rinses + catching area x rain (geometry)");
    routes(ask.ph.as_ref(), desk, &mut sheet)?;
    desk.remark(&mut sheet, Occasion::RunOff);
    Ok(sheet)
}

/// Where the water may go, held against the limits of the place.
fn routes(ph: Option<&Given<Ph>>, desk: &Desk<'_>, sheet: &mut Sheet) -> Result<(), Error> {
    let Some(given) = ph else {
        sheet.find(Standing::Open, "Read the pH of what is caught before it goes anywhere.", None);
        return Ok(());
    };
    if given.span.low().base() < 0.0 || given.span.high().base() > 14.0 {
        return Err("a pH lies between 0 and 14".into());
    }
    let ph = sheet.given("pH of what is caught", given);
    if desk.places.is_empty() {
        sheet.find(Standing::Open, "No place is stated: no law of a place is applied. State the place.", None);
    }
    let figure = |v: Ratio| super::sheet::plainly(v.value());
    let ratio = ph.rising(|p| Ratio::of(p.value()));
    // The marks for hazardous waste are reached at the figure itself.
    for (id, alkaline) in [(LimitRole::AlkalineWaste, true), (LimitRole::AcidWaste, false)] {
        let Some((mark, source)) = desk.limit::<Ratio>(id) else { continue };
        let reached = |v: Ratio| if alkaline { v.value() >= mark.value() } else { v.value() <= mark.value() };
        let side = if alkaline { "or more" } else { "or less" };
        match (reached(ratio.low()), reached(ratio.high())) {
            (false, false) => {}
            (true, true) => sheet.find(
                Standing::Fails,
                format!("At pH {} {side} it is hazardous waste here for its pH alone: keep it in the tank for a licensed carrier, or neutralise it where that is allowed.", figure(mark)),
                Some(source),
            ),
            _ => sheet.find(Standing::Open, format!("It may be at pH {} {side}, hazardous waste here: read again.", figure(mark)), Some(source)),
        }
    }
    if let Some((floor, source)) = desk.limit::<Ratio>(LimitRole::LeastSewerPh) {
        let standing = Standing::at_least(ratio, floor);
        if standing != Standing::Passes {
            sheet.find(standing, format!("A sewer here takes nothing below pH {}.", figure(floor)), Some(source));
        }
    }
    let usual = desk.figure::<Ratio>(sheet, FigureRole::SewerPh)?;
    let inside = ratio.low().value() >= usual.low().value() && ratio.high().value() <= usual.high().value();
    let says = if inside {
        "Its pH is what most sewer consents ask; it may go to a foul sewer only with the permission of the sewer authority, filtered, and only if its metals allow."
    } else {
        "Its pH is outside what most sewer consents ask: hold it, treat it where that is allowed, and ask the sewer authority."
    };
    let source = desk.cite_figure(FigureRole::SewerPh);
    sheet.find(Standing::Open, says, source);
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: 25 m2 at 15 L/m2 is 375 L; 10 mm of rain on 4 m2 of gutter is 40 L more.
    #[test]
    fn litres_on_square_metres() {
        let none = (Span::exactly(Area::m2(0.0)), Span::exactly(Length::mm(0.0)));
        let once = Span::exactly(Ratio::of(1.0));
        let v = volume(Span::exactly(Area::m2(25.0)), Span::read("15 L/m2").unwrap(), once, none.0, none.1);
        assert!((v.low().in_litres() - 375.0).abs() < 1e-9);
        let v = volume(
            Span::exactly(Area::m2(25.0)),
            Span::read("15 L/m2").unwrap(),
            once,
            Span::exactly(Area::m2(4.0)),
            Span::read("10 mm").unwrap(),
        );
        assert!((v.low().in_litres() - 415.0).abs() < 1e-9);
    }

    /// SI 2001/2954 (from memory): 110 % of the largest container, 27.5 L for a drum of 25 L; 220 L for 200 L.
    #[test]
    fn a_bund_holds_a_tenth_more() {
        let share = Span::exactly(Share::percent(110.0));
        assert!((bund(Span::exactly(Volume::litres(25.0)), share).low().in_litres() - 27.5).abs() < 1e-9);
        assert!((bund(Span::exactly(Volume::litres(200.0)), share).low().in_litres() - 220.0).abs() < 1e-9);
    }
}

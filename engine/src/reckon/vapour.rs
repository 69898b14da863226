//! Vapour from a remover: how much comes off, the air that thins it, how long a room is left, and when thinning is no answer.

use super::sheet::{Desk, Sheet, Standing};
use super::span::{Given, Span};
use super::units::{Flow, Mass, MassRate, Measure, MolarMass, Pressure, Ratio, Share, Time, Volume};
use crate::error::Error;
use crate::role::{FigureRole, LimitRole, Occasion, Sentence};

/// Litres that a mole of vapour takes up at 20 °C and 101,325 Pa: 24.055 (ideal gas).
const MOLAR_VOLUME: f64 = 24.055e-3;

/// Air that keeps vapour at a concentration: Q = (G/C) K, with G the volume of vapour in a time and K for uneven mixing.
///
/// Source: ACGIH Industrial Ventilation as in the formulae of the University of Toledo; molar volume 24.055 L at 20 °C.
pub fn air_needed(evaporated: MassRate, molar: MolarMass, most: Share, mixing: Ratio) -> Flow {
    let vapour = evaporated.in_kg_per_second() / molar.in_kg_per_mol() * MOLAR_VOLUME;
    Flow::m3_per_second(vapour / most.value() * mixing.value())
}

/// The most vapour that air can hold above a liquid: vapour pressure over the pressure of the air.
///
/// Source: Dalton.
pub fn saturated(vapour_pressure: Pressure, air: Pressure) -> Share {
    Share::of(vapour_pressure.in_pa() / air.in_pa())
}

/// Time until a concentration has fallen to a share of what it was: t = V K / Q ln(1/share).
///
/// Source: decay of a well-mixed room with mixing factor K.
pub fn purge(room: Volume, air: Flow, mixing: Ratio, left: Share) -> Time {
    Time::seconds(room.in_m3() * mixing.value() / air.in_m3_per_second() * -left.value().ln())
}

/// Mean concentration in a room for a mass that has evaporated into it without any air change.
pub fn filled(mass: Mass, molar: MolarMass, room: Volume) -> Share {
    Share::of(mass.in_kg() / molar.in_kg_per_mol() * MOLAR_VOLUME / room.in_m3())
}

/// What the sheet is asked.
#[derive(Debug, Clone, Default)]
pub struct Ask {
    /// The solvent, as the rule book's figures name it.
    pub solvent: String,
    /// Solvent that evaporates in a time.
    pub rate: Option<Given<MassRate>>,
    /// Or: remover put on…
    pub remover: Option<Given<Mass>>,
    /// …with so much of the solvent in it…
    pub content: Option<Given<Share>>,
    /// …over this time.
    pub over: Option<Given<Time>>,
    /// Share of the solvent that evaporates.
    pub evaporates: Option<Given<Share>>,
    /// Volume of the room.
    pub room: Option<Given<Volume>>,
    /// How well the air mixes: good, ordinary or poor.
    pub mixing: String,
    /// Air there is.
    pub air: Option<Given<Flow>>,
    /// What may be breathed, if the safety sheet says.
    pub most: Option<Given<Share>>,
}

/// Air for a solvent remover.
///
/// # Errors
/// Where something needed is missing or the rule book lacks a figure for the solvent.
pub fn sheet(ask: &Ask, desk: &Desk<'_>) -> Result<Sheet, Error> {
    let mut sheet = desk.sheet("vapour", "Vapour from a remover, and the air it takes");
    let solvent = &ask.solvent;
    if !desk.has_figure((FigureRole::MolarMass, solvent.as_str())) {
        let help = crate::words::offer(solvent, desk.stated_for(FigureRole::MolarMass)).unwrap_or_default();
        return Err(format!("the rule book states no figures for `{solvent}`; {help}").into());
    }
    sheet.given_text("solvent", solvent.replace('-', " "), Some("given".to_owned()));
    let molar: Span<MolarMass> = desk.figure(&mut sheet, (FigureRole::MolarMass, solvent.as_str()))?;
    let rate = rate(ask, desk, &mut sheet)?;
    sheet.result("solvent that evaporates", rate, "g/h");
    let mixing: Span<Ratio> = desk.figure(&mut sheet, (FigureRole::Mixing, &ask.mixing))?;
    let most = most(ask, desk, &mut sheet);
    if let Ok(pressure) = desk.look_up::<Pressure>((FigureRole::VapourPressure, solvent.as_str())) {
        let _: Span<Pressure> = desk.figure(&mut sheet, (FigureRole::VapourPressure, solvent.as_str()))?;
        sheet.result("the most vapour air can hold at 20 to 25 °C", pressure.rising(|p| saturated(p, Pressure::pa(101_325.0))), "ppm");
    }
    if let Some(most) = most {
        let grams_to_air = |most: Share| rate.with(mixing, |r, k| air_needed(r, molar.low(), most, k));
        let needed = grams_to_air(most.high()).join(grams_to_air(most.low()));
        sheet.result("fresh air to stay within it", needed, "m3/h");
        if let Some(given) = &ask.air {
            let there = sheet.given("fresh air there is", given);
            let standing = match (there.low().base() >= needed.high().base(), there.high().base() < needed.low().base()) {
                (true, _) => Standing::Passes,
                (_, true) => Standing::Fails,
                _ => Standing::Open,
            };
            let says = match standing {
                Standing::Passes => Sentence::AirEnough,
                Standing::Fails => Sentence::AirShort,
                _ => Sentence::AirEither,
            };
            sheet.find(standing, desk.say(says, &[]), None);
        }
        let suits: Span<Share> = desk.look_up(FigureRole::ThinnedFrom)?;
        if most.low().value() < suits.low().value() {
            let source = desk.cite_figure(FigureRole::ThinnedFrom);
            let says = desk.say(Sentence::NotThinned, &[("from", &sheet.say(suits.low(), "ppm"))]);
            sheet.find(Standing::Fails, says, source);
        }
    }
    if let Some(given) = &ask.room {
        let room = sheet.given("room", given);
        if let Some(air) = &ask.air
            && air.span.low().base() > 0.0
        {
            let left = desk.figure::<Share>(&mut sheet, FigureRole::Cleared)?.low();
            let air = air.span;
            let time =
                room.rising(|v| purge(v, air.high(), mixing.low(), left)).join(room.rising(|v| purge(v, air.low(), mixing.high(), left)));
            sheet.result("wait after the work, until a tenth is left", time, "min");
        }
        let hour = rate.rising(|r| r * Time::hours(1.0));
        let share = hour.against(room, |m, v| filled(m, molar.low(), v));
        sheet.result("after an hour in the shut room, mixed evenly", share, "ppm");
    }
    sheet.formula("air = evaporated / molar mass x 24.055 L / limit x mixing (ACGIH Industrial Ventilation, as in the formulae of the University of Toledo)");
    desk.remark(&mut sheet, Occasion::Vapour);
    Ok(sheet)
}

fn rate(ask: &Ask, desk: &Desk<'_>, sheet: &mut Sheet) -> Result<Span<MassRate>, Error> {
    if let Some(given) = &ask.rate {
        return Ok(sheet.given("evaporates", given));
    }
    let remover =
        sheet.given("remover put on", ask.remover.as_ref().ok_or("say the rate at which it evaporates, or how much remover is put on")?);
    let content = sheet.given("solvent in it", ask.content.as_ref().ok_or("say the content of this solvent in the remover")?);
    let over = sheet.given("over", ask.over.as_ref().ok_or("say over what time it is spread")?);
    if over.low().base() <= 0.0 {
        return Err("the time is more than nothing".into());
    }
    let share = desk.given_or(sheet, "share that evaporates", ask.evaporates.as_ref(), (FigureRole::Evaporates, &ask.solvent))?;
    Ok(remover * content * share / over)
}

/// What may be breathed: as given, else the limit of the place, else the guide of the rule book.
fn most(ask: &Ask, desk: &Desk<'_>, sheet: &mut Sheet) -> Option<Span<Share>> {
    if let Some(given) = &ask.most {
        return Some(sheet.given("may be breathed", given));
    }
    let key = (LimitRole::InAir, ask.solvent.as_str());
    if let Some((limit, source)) = desk.limit::<Share>(key) {
        let text = sheet.say(limit, "ppm");
        sheet.given_text(desk.limit_title(key), text, Some(source));
        return Some(Span::exactly(limit));
    }
    sheet.find(Standing::Open, desk.say(Sentence::NoFigureInAir, &[]), None);
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ml_per_hour(ml: f64, gravity: f64) -> MassRate {
        MassRate::g_per_hour(ml * gravity)
    }

    /// ACGIH Industrial Ventilation (from memory): methyl chloroform, 1.5 pints an hour, gravity 1.32, molar mass 133.4,
    /// 350 ppm: 285 cfm, and 1,425 cfm with K = 5. The book's constant of 403 cubic feet for a pint is a round value
    /// for 20 to 21 °C; at 24.055 L/mol it is 401.96, so the figure comes out 0.26 % lower.
    #[test]
    fn the_classic_example_comes_out() {
        let rate = ml_per_hour(1.5 * 473.176_473, 1.32);
        let molar = MolarMass::g_per_mol(133.4);
        let one = air_needed(rate, molar, Share::ppm(350.0), Ratio::of(1.0)).in_cfm();
        assert!((one - 284.84 * 401.96 / 403.0).abs() < 0.1, "{one}");
        let five = air_needed(rate, molar, Share::ppm(350.0), Ratio::of(5.0)).in_cfm();
        assert!((five - 1_424.2).abs() / 1_424.2 < 0.003, "{five}");
    }

    /// By hand at 24.05 L/mol: dichloromethane 100 mL/h, 25 ppm, K 3: 4,506.8 m3/h; benzyl alcohol 50 mL/h, 10 ppm, K 5:
    /// 5,811.3 m3/h; 10 mL/h, 5 ppm, K 3: 1,394.7 m3/h.
    #[test]
    fn strong_solvents_cannot_be_thinned() {
        for (ml, gravity, molar, ppm, k, air) in
            [(100.0, 1.326, 84.93, 25.0, 3.0, 4_506.8), (50.0, 1.045, 108.14, 10.0, 5.0, 5_811.3), (10.0, 1.045, 108.14, 5.0, 3.0, 1_394.7)]
        {
            let got = air_needed(ml_per_hour(ml, gravity), MolarMass::g_per_mol(molar), Share::ppm(ppm), Ratio::of(k)).in_m3_per_hour();
            assert!((got - air).abs() / air < 0.0005, "{got} against {air}");
        }
    }

    /// Handbook vapour pressures (from memory): benzyl alcohol 12.5 Pa gives 123.4 ppm, dichloromethane 47,000 Pa 463,854 ppm.
    #[test]
    fn air_can_hold_only_so_much() {
        let air = Pressure::pa(101_325.0);
        assert!((saturated(Pressure::pa(12.5), air).in_ppm() - 123.4).abs() < 0.1);
        assert!((saturated(Pressure::pa(47_000.0), air).in_ppm() - 463_854.0).abs() < 1.0);
    }

    /// By hand: 40 m3, 200 m3/h, to a tenth: 82.9 min with K = 3, 27.6 min with K = 1.
    #[test]
    fn a_room_clears_in_its_time() {
        let t = |k: f64| purge(Volume::m3(40.0), Flow::m3_per_hour(200.0), Ratio::of(k), Share::percent(10.0)).in_minutes();
        assert!((t(3.0) - 82.9).abs() < 0.05 && (t(1.0) - 27.6).abs() < 0.05);
    }

    /// By hand: 100 g of dichloromethane in 40 m3 is 708 ppm.
    #[test]
    fn a_shut_room_fills() {
        let share = filled(Mass::g(100.0), MolarMass::g_per_mol(84.93), Volume::m3(40.0));
        assert!((share.in_ppm() - 708.1).abs() < 0.5, "{}", share.in_ppm());
    }
}

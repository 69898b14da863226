//! Lead: on an area, in the waste, in dust, and the marks of a place.

use super::sheet::{Desk, Sheet, Standing};
use super::span::{Given, Span};
use super::units::{Area, Density, Length, Loading, Mass, Ratio, Share};
use crate::error::Error;
use crate::role::{FigureRole, LimitRole, Occasion, Sentence};

/// Lead on an area for paint of a thickness, density and content.
///
/// Source: geometry.
pub fn loading(paint: Span<Length>, density: Span<Density>, content: Span<Share>) -> Span<Loading> {
    paint * density * content
}

/// Content by weight that a loading comes to.
///
/// Source: geometry.
pub fn content(loading: Span<Loading>, paint: Span<Length>, density: Span<Density>) -> Span<Share> {
    loading.against(paint * density, |l, p| Share::of((l / p).value()))
}

/// The most lead that can leach in a test that thins waste with so many times its weight of liquid.
///
/// Source: US EPA Method 1311: 20 times, so that 100 mg/kg in all cannot give more than 5 mg/L.
pub fn leach_bound(total: Span<Share>, times: Ratio) -> Span<Density> {
    total.rising(|t| Density::kg_per_litre(t.value() / times.value()))
}

/// What the sheet is asked.
#[derive(Debug, Clone, Default)]
pub struct Ask {
    /// Thickness of the leaded paint.
    pub paint: Option<Given<Length>>,
    /// Lead by weight.
    pub content: Option<Given<Share>>,
    /// Or lead on an area, as an instrument reads it.
    pub loading: Option<Given<Loading>>,
    /// Area.
    pub area: Option<Given<Area>>,
    /// Other waste that goes with it: paste, sheeting.
    pub other_waste: Option<Given<Mass>>,
    /// Dust wiped from floors.
    pub floor: Option<Given<Loading>>,
    /// Dust wiped from sills.
    pub sill: Option<Given<Loading>>,
    /// Dust wiped from window troughs.
    pub trough: Option<Given<Loading>>,
}

/// Lead on the wall, in the waste and in dust, against the marks of the place.
///
/// # Errors
/// Where nothing was given or the rule book lacks a figure.
pub fn sheet(ask: &Ask, desk: &Desk<'_>) -> Result<Sheet, Error> {
    let mut sheet = desk.sheet("lead", "Lead on the wall, in the waste and in dust");
    let wall = on_the_wall(ask, desk, &mut sheet)?;
    let mut wiped = false;
    for (given, id, what) in [
        (&ask.floor, LimitRole::DustOnFloors, "floors"),
        (&ask.sill, LimitRole::DustOnSills, "sills"),
        (&ask.trough, LimitRole::DustInTroughs, "window troughs"),
    ] {
        if let Some(given) = given {
            wiped = true;
            let dust = sheet.given(format!("dust from {what}"), given);
            sheet.result(format!("dust from {what}, metric"), dust, "ug/m2");
            below(desk, &mut sheet, &format!("Lead in dust from {what}"), dust, id, "ug/ft2");
        }
    }
    if !wall && !wiped {
        return Err("give the paint (its thickness with its content, or its loading) or dust wipes (floor, sill, trough)".into());
    }
    sheet.formula("loading = thickness x density x content (geometry)");
    desk.remark(&mut sheet, Occasion::Lead);
    if wiped {
        desk.remark(&mut sheet, Occasion::Wiped);
    }
    Ok(sheet)
}

/// A mark that must not be reached: readings at the figure itself fail.
fn below(desk: &Desk<'_>, sheet: &mut Sheet, what: &str, dust: Span<Loading>, role: LimitRole, unit: &str) {
    let Some((mark, source)) = desk.limit::<Loading>(role) else {
        desk.hold_below(sheet, what, dust, role, unit);
        return;
    };
    let under = |l: Loading| crate::quantity::tidy(l.in_kg_per_m2()) < crate::quantity::tidy(mark.in_kg_per_m2());
    let standing = match (under(dust.low()), under(dust.high())) {
        (true, true) => Standing::Passes,
        (false, false) => Standing::Fails,
        _ => Standing::Open,
    };
    let says = match standing {
        Standing::Passes => Sentence::DustBelow,
        Standing::Fails => Sentence::DustReaches,
        _ => Sentence::DustMayReach,
    };
    let gaps = [("what", what), ("mark", &sheet.say(mark, unit)), ("date", &desk.date.to_string())];
    sheet.find(standing, desk.say(says, &gaps), Some(source));
}

fn on_the_wall(ask: &Ask, desk: &Desk<'_>, sheet: &mut Sheet) -> Result<bool, Error> {
    if ask.content.is_none() && ask.loading.is_none() {
        return match &ask.paint {
            Some(_) => Err("say the lead content, or the loading that was read".into()),
            None => Ok(false),
        };
    }
    let density: Span<Density> = desk.figure(sheet, FigureRole::LeadedDensity)?;
    let paint = ask.paint.as_ref().map(|g| sheet.given("leaded paint", g));
    let (on_area, by_weight) = match (&ask.content, &ask.loading) {
        (Some(_), Some(_)) => return Err("give either the content or the loading".into()),
        (Some(given), None) => {
            let share = sheet.given("lead by weight", given);
            (paint.map(|p| loading(p, density, share)), Some(share))
        }
        (None, Some(given)) => {
            let read = sheet.given("lead on the area", given);
            (Some(read), paint.map(|p| content(read, p, density)))
        }
        (None, None) => (None, None),
    };
    if let Some(l) = on_area {
        sheet.result("lead on the area", l, "mg/cm2");
        reaches(desk, sheet, "Lead on the area", l.low().in_mg_per_cm2(), l.high().in_mg_per_cm2(), LimitRole::LeadOnArea);
    }
    if let Some(c) = by_weight {
        sheet.result("lead by weight", c, "%");
        sheet.result("that is", c, "mg/kg");
        reaches(desk, sheet, "Lead by weight", c.low().in_percent(), c.high().in_percent(), LimitRole::LeadByWeight);
    }
    if let (Some(given), Some(l)) = (&ask.area, on_area) {
        let area = sheet.given("area", given);
        let lead = area * l;
        sheet.result("lead in all", lead, "g");
        if let (Some(p), Some(share)) = (paint, by_weight) {
            let off = area * (p * density);
            sheet.result("paint that comes off", off, "kg");
            // Area and thickness stand in both lead and waste: through the share by weight they are counted once.
            let total = match &ask.other_waste {
                Some(other) => {
                    let beside = sheet.given("other waste with it", other) / off;
                    share.against(beside, |c, r| Share::of(c.value() / (1.0 + r.value())))
                }
                None => share,
            };
            sheet.result("lead in the waste", total, "mg/kg");
            leach(desk, sheet, total)?;
        }
    }
    Ok(true)
}

/// What the waste can give up in the leach test of the place. Where another law classifies waste the test says nothing.
fn leach(desk: &Desk<'_>, sheet: &mut Sheet, total: Span<Share>) -> Result<(), Error> {
    let mark = desk.limit::<Density>(LimitRole::Leached);
    if mark.is_none() && !desk.places.is_empty() {
        return Ok(());
    }
    let times: Span<Ratio> = desk.figure(sheet, FigureRole::LeachDilution)?;
    let bound = leach_bound(total, times.low());
    sheet.result("can leach at most", bound, "mg/L");
    sheet.formula("leach = total / 20 at most (US EPA Method 1311)");
    let Some((mark, source)) = mark else { return Ok(()) };
    let shown = sheet.say(mark, "mg/L");
    let (standing, says) = if crate::quantity::tidy(bound.high().in_mg_per_litre()) < mark.in_mg_per_litre() {
        (Standing::Passes, Sentence::CannotLeach)
    } else {
        (Standing::Open, Sentence::CanLeach)
    };
    sheet.find(standing, desk.say(says, &[("mark", &shown)]), Some(source));
    Ok(())
}

/// Whether a reading makes it lead paint: at the figure or above.
fn reaches(desk: &Desk<'_>, sheet: &mut Sheet, what: &str, low: f64, high: f64, role: LimitRole) {
    let read = match role {
        LimitRole::LeadOnArea => desk.limit::<Loading>(role).map(|(l, s)| (l.in_mg_per_cm2(), sheet.say(l, "mg/cm2"), s)),
        _ => desk.limit::<Share>(role).map(|(c, s)| (c.in_percent(), sheet.say(c, "%"), s)),
    };
    let Some((mark, shown, source)) = read else {
        sheet.find(Standing::Open, desk.say(Sentence::NoLeadMark, &[("title", &desk.limit_title(role))]), None);
        return;
    };
    let tidy = crate::quantity::tidy;
    let says = match (tidy(low) >= tidy(mark), tidy(high) >= tidy(mark)) {
        (true, true) => Sentence::LeadPaint,
        (false, false) => Sentence::BelowLeadPaint,
        _ => Sentence::MayBeLeadPaint,
    };
    sheet.find(Standing::Plain, desk.say(says, &[("what", what), ("mark", &shown)]), Some(source));
}

#[cfg(test)]
mod tests {
    use super::*;

    fn exactly<T: super::super::units::Measure>(v: T) -> Span<T> {
        Span::exactly(v)
    }

    /// 40 CFR 745.103 takes 1.0 mg/cm2 and 0.5 % for marks of like meaning: by hand, 0.5 % of lead in paint of 2.0 kg/L
    /// reaches 1.0 mg/cm2 at 1 mm.
    #[test]
    fn loading_and_content_are_two_sides() {
        let l = loading(exactly(Length::mm(1.0)), exactly(Density::kg_per_litre(2.0)), exactly(Share::percent(0.5)));
        assert!((l.low().in_mg_per_cm2() - 1.0).abs() < 1e-9);
        let c = content(l, exactly(Length::mm(1.0)), exactly(Density::kg_per_litre(2.0)));
        assert!((c.low().in_percent() - 0.5).abs() < 1e-9);
    }

    /// US EPA Method 1311: 100 mg/kg cannot leach more than 5 mg/L, 90 mg/kg 4.5 mg/L, 150 mg/kg 7.5 mg/L.
    #[test]
    fn waste_leaches_a_twentieth_at_most() {
        for (total, leach) in [(100.0, 5.0), (90.0, 4.5), (150.0, 7.5)] {
            let got = leach_bound(exactly(Share::ppm(total)), Ratio::of(20.0)).low().in_mg_per_litre();
            assert!((got - leach).abs() < 1e-9, "{total}: {got}");
        }
    }

    /// NIST SP 811 factors: 1 ug/ft2 is 10.76 ug/m2; 1 mg/m2 is 92.9 ug/ft2; 0.5 % is 5,000 mg/kg.
    #[test]
    fn units_of_dust_and_paint() {
        assert!((Loading::ug_per_ft2(1.0).in_ug_per_m2() - 10.764).abs() < 0.001);
        assert!((Loading::mg_per_m2(1.0).in_ug_per_ft2() - 92.903).abs() < 0.001);
        assert!((Share::percent(0.5).in_ppm() - 5_000.0).abs() < 1e-9);
    }
}

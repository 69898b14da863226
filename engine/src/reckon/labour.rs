//! Labour: hours somebody is at it, hours it is left alone, and days on the calendar.

use super::sheet::{Desk, Sheet};
use super::span::{Given, Span};
use super::units::{Area, Measure, Ratio, Share, Time, WorkRate};
use crate::catalogue::EntryKind;
use crate::error::Error;
use crate::role::{FigureRole, Occasion};

/// Hours of attended work of one person: area over rate, longer on detail, with setting up and clearing away on top.
pub fn attended(area: Span<Area>, rate: Span<WorkRate>, detail: Span<Ratio>, set_up: Span<Share>) -> Span<Time> {
    area / rate * detail * set_up.rising(Share::more)
}

/// Days on the calendar. At best the waiting is used for other work; at worst all of it comes on top.
pub fn elapsed(attended: Span<Time>, people: Ratio, day: Span<Time>, waiting: Span<Time>) -> Span<Ratio> {
    let work = attended.against(day, |a, d| Ratio::of(a.in_hours() / people.value() / d.in_hours()));
    let wait = waiting.rising(|w| Ratio::of(w.in_days()));
    let best = if work.low() > wait.low() { work.low() } else { wait.low() };
    Span::between(best, Ratio::of(work.high().value() + wait.high().value()))
}

/// What the sheet is asked.
#[derive(Debug, Clone, Default)]
pub struct Ask {
    /// Area.
    pub area: Option<Given<Area>>,
    /// Method of the catalogue.
    pub method: String,
    /// plain, moulded or carved.
    pub detail: String,
    /// Rate of one's own, from a timed patch.
    pub rate: Option<Given<WorkRate>>,
    /// People.
    pub people: Option<Given<Ratio>>,
    /// How often a remover is put on.
    pub applications: Option<Given<Ratio>>,
    /// Dwell of one application.
    pub dwell: Option<Given<Time>>,
    /// Drying before the next step.
    pub drying: Option<Given<Time>>,
}

/// Attended hours, waiting and elapsed days of a method.
///
/// # Errors
/// Where something needed is missing, the method is unknown, or the rule book states no rate for it.
pub fn sheet(ask: &Ask, desk: &Desk<'_>) -> Result<Sheet, Error> {
    let catalogue = &desk.shelf.base().catalogue;
    let method = catalogue.find(EntryKind::Method, &ask.method).ok_or_else(|| {
        let help = catalogue.instead(EntryKind::Method, &ask.method).unwrap_or_default();
        format!("`{}` is not a method of the catalogue; {help}", ask.method)
    })?;
    let entry = &catalogue.entries(EntryKind::Method)[method];
    let mut sheet = desk.sheet("labour", format!("Hours and days: {}", entry.title));
    let area = sheet.given("area", ask.area.as_ref().ok_or("say the area")?);
    let usual_rate = (FigureRole::Rate, ask.method.as_str());
    if ask.rate.is_none() && !desk.has_figure(usual_rate) {
        return Err(format!("the rule book states no rate for {}; time a patch and give its rate", entry.title).into());
    }
    let rate: Span<WorkRate> = desk.given_or(&mut sheet, "rate of one person", ask.rate.as_ref(), usual_rate)?;
    if rate.low().base() <= 0.0 {
        return Err("a rate is more than nothing".into());
    }
    let detail = desk.figure(&mut sheet, (FigureRole::DetailSlows, &ask.detail))?;
    let set_up = desk.figure(&mut sheet, FigureRole::SettingUp)?;
    let once = Span::exactly(Ratio::of(1.0));
    let times = ask.applications.as_ref().map_or(once, |g| sheet.given("applications", g));
    let people = ask.people.as_ref().map_or(once, |g| sheet.given("people", g)).low();
    if people.value() < 1.0 || times.low().value() < 1.0 {
        return Err("at least one person and one application are needed".into());
    }
    let hours = attended(area, rate, detail, set_up) * times;
    sheet.result("attended, hours of one person", hours, "h");
    let usual_dwell = (FigureRole::Dwell, ask.method.as_str());
    let dwell = match &ask.dwell {
        Some(given) => sheet.given("dwell", given),
        None if desk.has_figure(usual_dwell) => desk.figure(&mut sheet, usual_dwell)?,
        None => Span::exactly(Time::hours(0.0)),
    };
    let drying = ask.drying.as_ref().map_or(Span::exactly(Time::hours(0.0)), |g| sheet.given("drying", g));
    let waiting = dwell * times + drying;
    sheet.result("waiting", waiting, "h");
    let day = desk.figure(&mut sheet, FigureRole::Day)?;
    sheet.result("days on the calendar", elapsed(hours, people, day, waiting), "");
    if ask.rate.is_none() {
        sheet.remind(
            "The rate is a trade estimate for a bare, flat surface with good access, never a promise: time a patch and give its rate.",
            None,
        );
    }
    sheet.formula("hours = area / rate x detail x (1 + setting up) x applications; days = hours / people / working day, with the waiting inside it at best and on top at worst");
    desk.remark(&mut sheet, Occasion::Labour);
    Ok(sheet)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn exactly<T: Measure>(v: T) -> Span<T> {
        Span::exactly(v)
    }

    /// NIOSHTIC 00240941: 30,000 sq ft of bridge in 3,800 worker-hours, all in: 7.895 sq ft or 0.733 m2 an hour, 1.363 h/m2.
    #[test]
    fn a_published_bridge_comes_out() {
        let area = exactly(Area::ft2(30_000.0));
        let rate = exactly(WorkRate::m2_per_hour(Area::ft2(30_000.0).in_m2() / 3_800.0));
        assert!((rate.low().in_m2_per_hour() - 0.7335).abs() < 0.0005);
        let hours = attended(area, rate, exactly(Ratio::of(1.0)), exactly(Share::of(0.0)));
        assert!((hours.low().in_hours() - 3_800.0).abs() < 1e-6);
        assert!((hours.low().in_hours() / area.low().in_m2() - 1.363).abs() < 0.001);
    }

    /// NAVFAC MO-913, page 67: a minute a square foot of steam cleaning, 5.57 m2 an hour; by hand 20 m2 take 3.6 h.
    #[test]
    fn a_minute_a_square_foot() {
        let rate = exactly(WorkRate::m2_per_hour(Area::ft2(60.0).in_m2()));
        assert!((rate.low().in_m2_per_hour() - 5.574).abs() < 0.001);
        let hours = attended(exactly(Area::m2(20.0)), rate, exactly(Ratio::of(1.0)), exactly(Share::of(0.0)));
        assert!((hours.low().in_hours() - 3.588).abs() < 0.001);
    }

    #[test]
    fn waiting_is_used_at_best_and_added_at_worst() {
        let days = elapsed(exactly(Time::hours(12.0)), Ratio::of(2.0), exactly(Time::hours(6.0)), exactly(Time::hours(48.0)));
        assert_eq!((days.low().value(), days.high().value()), (2.0, 3.0));
    }
}

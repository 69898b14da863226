//! Drying: how long a thickness takes, and the day before which nothing goes on.

use super::sheet::{Desk, Sheet};
use super::span::{Given, Span};
use super::units::{Length, Share, Speed, Time};
use crate::error::Error;
use crate::role::{FigureRole, LimitRole, Occasion};
use jiff::ToSpan;
use jiff::civil::Date;

/// Time for a thickness at a rate; what lies beyond `turn` goes at the slower rate.
///
/// Source: the rules of thumb of BS 8203, BRE Digest 163 and BS 5492 (from memory), whose figures stand in the rule book.
pub fn drying_time(thickness: Span<Length>, rate: Span<Speed>, turn: Option<(Length, Span<Speed>)>) -> Span<Time> {
    let plain = |t: Length, r: Speed| t / r;
    match turn {
        None => thickness.against(rate, plain),
        Some((turn, slower)) => {
            let first = thickness.rising(|t| if t < turn { t } else { turn });
            let rest = thickness.rising(|t| if t > turn { t - turn } else { Length::mm(0.0) });
            first.against(rate, plain) + rest.against(slower, plain)
        }
    }
}

/// The first and last day on which a time counted from a day can be up; a day begun counts.
///
/// # Errors
/// Where the calendar ends before it does.
pub fn dates(from: Date, time: Span<Time>) -> Result<(Date, Date), Error> {
    let days = |t: Time| (t.in_days() - 1e-9).ceil().max(0.0);
    let on = |days: f64| {
        if days > 36_525.0 {
            return Err("that is more than a hundred years".into());
        }
        from.checked_add((days as i64).days()).map_err(|e| format!("that day is beyond the calendar: {e}"))
    };
    Ok((on(days(time.low()))?, on(days(time.high()))?))
}

/// What the sheet is asked.
#[derive(Debug, Clone)]
pub struct Ask {
    /// plaster, screed or wall.
    pub what: String,
    /// Its thickness.
    pub thickness: Option<Given<Length>>,
    /// The day it was last wet.
    pub wet_on: Option<Date>,
    /// Moisture or humidity read, a share.
    pub reading: Option<Given<Share>>,
}

/// What can be asked for.
pub const WHATS: [&str; 3] = ["plaster", "screed", "wall"];

/// How long a ground dries, and from when.
///
/// # Errors
/// Where something needed is missing or the rule book lacks a figure.
pub fn sheet(ask: &Ask, desk: &Desk<'_>) -> Result<Sheet, Error> {
    let mut sheet = desk.sheet("drying", "Drying time");
    let thickness = sheet.given("thickness", ask.thickness.as_ref().ok_or("say the thickness")?);
    let rate = desk.figure(&mut sheet, (FigureRole::Drying, ask.what.as_str()))?;
    let turn = if ask.what == "screed" {
        let at: Span<Length> = desk.figure(&mut sheet, FigureRole::DeepFrom)?;
        Some((at.low(), desk.figure(&mut sheet, FigureRole::DeepDrying)?))
    } else {
        None
    };
    let time = drying_time(thickness, rate, turn);
    sheet.result("drying time", time, "week");
    let (first, last) = dates(ask.wet_on.unwrap_or(desk.date), time)?;
    if let Some(day) = ask.wet_on {
        sheet.given_text("last wet on", day.to_string(), Some("given".to_owned()));
    } else {
        sheet.given_text("last wet on", desk.date.to_string(), Some("the day this is reckoned for".to_owned()));
    }
    let text = if first == last { format!("{first}") } else { format!("{first} .. {last}") };
    sheet.result_text("not before", text);
    if let Some(given) = &ask.reading {
        let reading = sheet.given("humidity read at the surface", given);
        desk.hold_below(&mut sheet, "The humidity at the surface", reading, LimitRole::WallHumidity, "%");
    } else {
        sheet.remind("A reading decides, not the calendar: measure before anything tight goes on.", None);
    }
    sheet.formula("time = thickness / rate (rules of thumb of BS 8203, BRE Digest 163 and BS 5492, from memory)");
    desk.remark(&mut sheet, Occasion::Drying);
    Ok(sheet)
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    fn exactly<T: super::super::units::Measure>(v: T) -> Span<T> {
        Span::exactly(v)
    }

    /// BS 8203, BRE Digest 163 and BS 5492 (from memory): plaster 5 mm a week, so 20 mm takes 4 weeks; a wall a month for
    /// 25 mm, so 225 mm takes 9 months; a screed 1 mm a day to 50 mm, so 75 mm takes more than 50 days.
    #[test]
    fn thicknesses_take_their_time() {
        let weeks = |t: Span<Time>| t.low().in_days() / 7.0;
        assert!((weeks(drying_time(exactly(Length::mm(20.0)), exactly(Speed::mm_per_week(5.0)), None)) - 4.0).abs() < 1e-9);
        let wall = drying_time(exactly(Length::mm(225.0)), Span::read("25 mm/month").unwrap(), None);
        assert!((wall.low().in_days() / 30.4375 - 9.0).abs() < 1e-9);
        let half = (Length::mm(50.0), exactly(Speed::mm_per_day(0.5)));
        let screed = drying_time(exactly(Length::mm(75.0)), exactly(Speed::mm_per_day(1.0)), Some(half));
        assert!((screed.low().in_days() - 100.0).abs() < 1e-9);
        let thin = drying_time(exactly(Length::mm(40.0)), exactly(Speed::mm_per_day(1.0)), Some(half));
        assert!((thin.low().in_days() - 40.0).abs() < 1e-9);
    }

    #[test]
    fn days_begun_count_and_leap_days_are_days() {
        let four_weeks = exactly(Time::days(28.0));
        assert_eq!(dates(date(2026, 9, 1), four_weeks).unwrap(), (date(2026, 9, 29), date(2026, 9, 29)));
        assert_eq!(dates(date(2028, 2, 28), exactly(Time::hours(30.0))).unwrap().0, date(2028, 3, 1));
        assert!(dates(date(2026, 9, 1), exactly(Time::days(1e9))).is_err());
    }
}

//! The fire watch after the last heat, by the clock.

use super::sheet::{Desk, Sheet, Standing};
use super::span::Span;
use super::units::Time as Duration;
use crate::error::Error;
use crate::role::{LimitRole, Occasion};
use jiff::SignedDuration;
use jiff::civil::{DateTime, Time};

/// A time of day and the days after today it falls on.
fn clock(at: DateTime, today: jiff::civil::Date) -> String {
    let text = at.time().strftime("%H:%M").to_string();
    match (at.date() - today).get_days() {
        0 => text,
        1 => format!("{text} the next day"),
        -1 => format!("{text} the day before"),
        n => format!("{text} ({n} days on)"),
    }
}

/// When a watch that begins at a time is over.
///
/// # Errors
/// Where the calendar ends first.
pub fn watch_until(heat_off: DateTime, watch: Duration) -> Result<DateTime, Error> {
    heat_off
        .checked_add(SignedDuration::from_secs(watch.in_seconds().ceil() as i64))
        .map_err(|e| Error::from(format!("that is beyond the calendar: {e}")))
}

/// The latest end of heat for a watch to be over when the site closes.
///
/// # Errors
/// Where the calendar begins later.
pub fn heat_off_by(closes: DateTime, watch: Duration) -> Result<DateTime, Error> {
    closes
        .checked_sub(SignedDuration::from_secs(watch.in_seconds().ceil() as i64))
        .map_err(|e| Error::from(format!("that is before the calendar: {e}")))
}

/// What the sheet is asked.
#[derive(Debug, Clone, Default)]
pub struct Ask {
    /// When the last heat ends.
    pub heat_off: Option<Time>,
    /// When the site closes.
    pub closes: Option<Time>,
    /// Whether the building is historic.
    pub historic: bool,
    /// A watch of one's own, such as the permit's.
    pub watch: Option<super::span::Given<Duration>>,
}

/// How long the watch is here, and by the clock.
///
/// # Errors
/// Where no watch is in force and none was given.
pub fn sheet(ask: &Ask, desk: &Desk<'_>) -> Result<Sheet, Error> {
    let mut sheet = desk.sheet("fire-watch", "Fire watch after the last heat");
    let mut longest: Option<Duration> = None;
    let mut ids = vec![LimitRole::Watch];
    if ask.historic {
        ids.push(LimitRole::WatchHistoric);
    }
    for id in ids {
        if let Some((watch, source)) = desk.limit::<Duration>(id) {
            let text = sheet.say(watch, "min");
            sheet.given_text(desk.limit_title(id), text, Some(source));
            longest = Some(longest.map_or(watch, |l| if watch > l { watch } else { l }));
        }
    }
    if let Some(given) = &ask.watch {
        let own = sheet.given("watch of your own", given).low();
        if let Some(least) = longest {
            let standing = Standing::at_least(Span::exactly(own), least);
            let says = if standing == Standing::Passes {
                format!("Your own watch is no shorter than {}.", sheet.say(least, "min"))
            } else {
                format!("Your own watch is shorter than {}: the longer one counts.", sheet.say(least, "min"))
            };
            sheet.find(standing, says, None);
        }
        longest = Some(longest.map_or(own, |l| if own > l { own } else { l }));
    }
    let watch = longest.ok_or("no fire watch is in force here; state the watch of the permit")?;
    sheet.result("watch", Span::exactly(watch), "min");
    if let Some(off) = ask.heat_off {
        let at = desk.date.to_datetime(off);
        sheet.given_text("last heat ends", off.strftime("%H:%M").to_string(), Some("given".to_owned()));
        sheet.result_text("watch ends", clock(watch_until(at, watch)?, desk.date));
    }
    if let Some(closes) = ask.closes {
        let at = desk.date.to_datetime(closes);
        sheet.given_text("site closes", closes.strftime("%H:%M").to_string(), Some("given".to_owned()));
        let latest = heat_off_by(at, watch)?;
        sheet.result_text("last heat no later than", clock(latest, desk.date));
        if let Some(off) = ask.heat_off {
            let late = desk.date.to_datetime(off) > latest;
            let standing = if late { Standing::Fails } else { Standing::Passes };
            let says = if late { "The watch would not be over when the site closes." } else { "The watch is over before the site closes." };
            sheet.find(standing, says, None);
        }
    }
    if desk.places.is_empty() {
        sheet.find(Standing::Open, "No place is stated: the law, the insurer and the permit of the place may ask for longer.", None);
    }
    sheet.formula("the longest watch in force for the place and date, counted from the last heat");
    desk.remark(&mut sheet, Occasion::FireWatch);
    Ok(sheet)
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    /// NAVFAC MO-913, page 68: three hours after the last heat; NFPA 51B from 2019 (from memory): one hour.
    #[test]
    fn watches_run_by_the_clock_and_past_midnight() {
        let day = date(2026, 9, 14);
        let at = |h: i8, m: i8| day.at(h, m, 0, 0);
        assert_eq!(clock(watch_until(at(15, 30), Duration::minutes(180.0)).unwrap(), day), "18:30");
        assert_eq!(clock(watch_until(at(23, 30), Duration::minutes(60.0)).unwrap(), day), "00:30 the next day");
        assert_eq!(clock(heat_off_by(at(17, 0), Duration::minutes(120.0)).unwrap(), day), "15:00");
        assert_eq!(clock(heat_off_by(at(1, 0), Duration::minutes(120.0)).unwrap(), day), "23:00 the day before");
    }
}

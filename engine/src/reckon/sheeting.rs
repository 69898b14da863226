//! Sheeting below and around the work, for the distances in force.

use super::sheet::{Desk, Sheet, Standing};
use super::span::{Given, Span};
use super::units::{Area, Length, Measure, Share};
use crate::error::Error;
use crate::role::{FigureRole, LimitRole, Occasion, Sentence};

/// Ground or floor sheet before a wall: as far out as `beyond`, and as far past both ends.
///
/// Source: geometry.
pub fn before_a_wall(length: Span<Length>, beyond: Span<Length>) -> Span<Area> {
    (length + beyond + beyond) * beyond
}

/// Sheet around a piece of work on the floor: past it on all sides.
///
/// Source: geometry.
pub fn around(length: Span<Length>, width: Span<Length>, beyond: Span<Length>) -> Span<Area> {
    (length + beyond + beyond) * (width + beyond + beyond)
}

/// What the sheet is asked.
#[derive(Debug, Clone, Default)]
pub struct Ask {
    /// Length of the work along the wall.
    pub length: Option<Given<Length>>,
    /// Depth of the work on the floor, where it does not stand against a wall.
    pub width: Option<Given<Length>>,
    /// Height of the work, for an upright screen.
    pub height: Option<Given<Length>>,
    /// Whether it is outside.
    pub outside: bool,
    /// A distance of one's own.
    pub beyond: Option<Given<Length>>,
    /// Distance to the boundary.
    pub boundary: Option<Given<Length>>,
    /// Size of a sheet.
    pub film: Option<Given<Area>>,
}

/// Sheeting for the distance in force here, an upright screen where the boundary is near, and the area to clean.
///
/// # Errors
/// Where the length is missing or the rule book lacks a figure.
pub fn sheet(ask: &Ask, desk: &Desk<'_>) -> Result<Sheet, Error> {
    let mut sheet = desk.sheet("sheeting", "Sheeting");
    let length = sheet.given("length of the work", ask.length.as_ref().ok_or("say the length of the work")?);
    let (lawful, guide) = if ask.outside {
        (LimitRole::SheetingOutside, FigureRole::SheetingOutside)
    } else {
        (LimitRole::SheetingInside, FigureRole::SheetingInside)
    };
    let limit = desk.limit::<Length>(lawful);
    let beyond = match (&ask.beyond, &limit) {
        (Some(given), _) => {
            let own = sheet.given("beyond the work", given);
            desk.hold_above(&mut sheet, "The sheeting beyond the work", own, lawful, "m");
            own
        }
        (None, Some((figure, source))) => {
            let text = sheet.say(*figure, "m");
            sheet.given_text(desk.limit_title(lawful), text, Some(source.clone()));
            Span::exactly(*figure)
        }
        (None, None) => desk.figure(&mut sheet, guide)?,
    };
    let width = ask.width.as_ref().map(|g| sheet.given("depth of the work", g));
    let covered = width.map_or_else(|| before_a_wall(length, beyond), |w| around(length, w, beyond));
    sheet.result("sheeting", covered, "m2");
    let lost = desk.figure::<Share>(&mut sheet, FigureRole::FilmLoss)?;
    if let Some(given) = &ask.film {
        let film = sheet.given("sheet", given);
        sheet.result(
            "sheets",
            super::remover::sheets(covered, film.low(), lost).join(super::remover::sheets(covered, film.high(), lost)),
            "",
        );
    } else {
        sheet.result("with overlaps and cuts", covered * lost.rising(Share::more), "m2");
    }
    if ask.outside {
        boundary(ask, length, beyond, desk, &mut sheet);
    } else {
        let clean = desk.figure(&mut sheet, FigureRole::CleanBeyond)?;
        let area = width.map_or_else(|| before_a_wall(length, beyond + clean), |w| around(length, w, beyond + clean));
        sheet.result("floor to clean afterwards", area, "m2");
    }
    sheet.formula("area = (length + 2 x beyond) x beyond before a wall; past all four sides on a floor (geometry)");
    desk.remark(&mut sheet, Occasion::Sheeting);
    Ok(sheet)
}

fn boundary(ask: &Ask, length: Span<Length>, beyond: Span<Length>, desk: &Desk<'_>, sheet: &mut Sheet) {
    let Some((near, source)) = desk.limit::<Length>(LimitRole::Screen) else { return };
    let Some(given) = &ask.boundary else {
        sheet.remind(desk.say(Sentence::SayBoundary, &[("within", &sheet.say(near, "m"))]), Some(source));
        return;
    };
    let boundary = sheet.given("boundary", given);
    if boundary.low().base() <= near.base() {
        let ends = beyond + beyond;
        let run = length + ends;
        sheet.result("upright screen, so long", run, "m");
        if let Some(height) = &ask.height {
            let height = sheet.given("height of the work", height);
            sheet.result("upright screen", run * height, "m2");
        }
        sheet.find(Standing::Plain, desk.say(Sentence::BoundaryNear, &[("within", &sheet.say(near, "m"))]), Some(source));
    } else {
        sheet.find(Standing::Plain, desk.say(Sentence::BoundaryFar, &[("within", &sheet.say(near, "m"))]), Some(source));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ft(v: f64) -> Span<Length> {
        Span::exactly(Length::ft(v))
    }

    /// 40 CFR 745.85(a)(2): 10 ft outside, 6 ft inside; by hand, 30 ft of wall outside takes 50 x 10 = 500 sq ft, 12 ft of
    /// wall inside 24 x 6 = 144 sq ft; a piece of floor 3 x 4 ft inside 15 x 16 = 240 sq ft.
    #[test]
    fn sheets_reach_past_the_work() {
        assert!((before_a_wall(ft(30.0), ft(10.0)).low().in_ft2() - 500.0).abs() < 1e-9);
        assert!((before_a_wall(ft(12.0), ft(6.0)).low().in_ft2() - 144.0).abs() < 1e-9);
        assert!((around(ft(3.0), ft(4.0), ft(6.0)).low().in_ft2() - 240.0).abs() < 1e-9);
        assert!((ft(10.0).low().in_m() - 3.048).abs() < 1e-12 && (ft(6.0).low().in_m() - 1.8288).abs() < 1e-12);
    }
}

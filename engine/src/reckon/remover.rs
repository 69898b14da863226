//! How much remover a job takes, and how much film covers it.

use super::sheet::{Desk, Sheet};
use super::span::{Given, Span};
use super::units::{Area, Density, Length, Mass, Ratio, Share, Volume};
use crate::catalogue::EntryKind;
use crate::error::Error;
use crate::role::{FigureRole, Occasion};

/// A quantity of remover.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Paste {
    /// Area that is really covered: the plan area with its detail.
    pub covered: Span<Area>,
    /// Volume, waste included.
    pub volume: Span<Volume>,
    /// Mass, waste included.
    pub mass: Span<Mass>,
}

/// Remover for an area: litres are millimetres times square metres, with detail and waste on top.
///
/// Source: geometry. `detail` is the true surface over the flat one; `waste` comes on top of what stays on the wall.
pub fn paste(area: Span<Area>, detail: Span<Ratio>, thickness: Span<Length>, waste: Span<Share>, density: Span<Density>) -> Paste {
    let covered = area * detail;
    let volume = covered * thickness * waste.rising(Share::more);
    Paste { covered, volume, mass: volume * density }
}

/// Whole sheets of film that cover an area, each losing a share to overlaps and cuts.
///
/// Source: geometry.
pub fn sheets(covered: Span<Area>, sheet: Area, lost: Span<Share>) -> Span<Ratio> {
    let useful = lost.falling(|l| sheet * l.rest());
    (covered / useful).up()
}

/// Containers of a size that hold a volume.
pub fn containers(volume: Span<Volume>, container: Volume) -> Span<Ratio> {
    (volume / Span::exactly(container)).up()
}

/// What the sheet is asked.
#[derive(Debug, Clone, Default)]
pub struct Ask {
    /// Flat area.
    pub area: Option<Given<Area>>,
    /// Thickness applied.
    pub thickness: Option<Given<Length>>,
    /// Which remover, a method of the catalogue.
    pub method: String,
    /// plain, moulded or carved.
    pub detail: String,
    /// How many times it is applied.
    pub applications: Option<Given<Ratio>>,
    /// Density, if the label says.
    pub density: Option<Given<Density>>,
    /// Waste, if known.
    pub waste: Option<Given<Share>>,
    /// Size of a container.
    pub container: Option<Given<Volume>>,
    /// Size of a sheet of film.
    pub film: Option<Given<Area>>,
}

/// The remover and film for an area.
///
/// # Errors
/// Where the area is missing or the rule book lacks a figure.
pub fn sheet(ask: &Ask, desk: &Desk<'_>) -> Result<Sheet, Error> {
    let catalogue = &desk.shelf.base().catalogue;
    if catalogue.find(EntryKind::Method, &ask.method).is_none() {
        let help = catalogue.instead(EntryKind::Method, &ask.method).unwrap_or_default();
        return Err(format!("`{}` is not a method of the catalogue; {help}", ask.method).trim_end_matches([';', ' ']).into());
    }
    let mut sheet = desk.sheet("remover", "Remover and film");
    let area = sheet.given("area", ask.area.as_ref().ok_or("say the area")?);
    let thickness = desk.given_or(&mut sheet, "thickness", ask.thickness.as_ref(), (FigureRole::Thickness, &ask.method))?;
    let detail = desk.figure(&mut sheet, (FigureRole::Detail, &ask.detail))?;
    let waste = desk.given_or(&mut sheet, "waste", ask.waste.as_ref(), FigureRole::RemoverLoss)?;
    let density = desk.given_or(&mut sheet, "density", ask.density.as_ref(), (FigureRole::Density, &ask.method))?;
    let times = ask.applications.as_ref().map_or(Span::exactly(Ratio::of(1.0)), |g| sheet.given("applications", g));
    let one = paste(area, detail, thickness, waste, density);
    let (volume, mass) = (one.volume * times, one.mass * times);
    sheet.result("area with its detail", one.covered, "m2");
    sheet.result("remover", volume, "L");
    sheet.result("by weight", mass, "kg");
    if let Some(container) = &ask.container {
        let size = sheet.given("container", container);
        sheet.result("containers", containers(volume, size.low()).join(containers(volume, size.high())), "");
    }
    let lost = desk.figure(&mut sheet, FigureRole::FilmLoss)?;
    let film = one.covered * lost.rising(Share::more) * times;
    sheet.result("film to cover it", film, "m2");
    if let Some(given) = &ask.film {
        let size = sheet.given("sheet of film", given);
        sheet.result("sheets of film", sheets(one.covered, size.low(), lost) * times, "");
    }
    sheet.formula("volume = area x detail x thickness x (1 + waste); mass = volume x density (geometry)");
    desk.remark(&mut sheet, Occasion::Remover);
    Ok(sheet)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn exactly<T: super::super::units::Measure>(v: T) -> Span<T> {
        Span::exactly(v)
    }

    /// Coverage identity worked by hand: 3 mm on 12 m2 is 36 L; with 10 % waste 39.6 L; at 1.3 kg/L 51.5 kg (51.48).
    #[test]
    fn litres_are_millimetres_times_square_metres() {
        let flat = exactly(Ratio::of(1.0));
        let thickness = exactly(Length::mm(3.0));
        let bare = paste(exactly(Area::m2(12.0)), flat, thickness, exactly(Share::percent(0.0)), exactly(Density::kg_per_litre(1.3)));
        assert!((bare.volume.low().in_litres() - 36.0).abs() < 1e-9);
        let with = paste(exactly(Area::m2(12.0)), flat, thickness, exactly(Share::percent(10.0)), exactly(Density::kg_per_litre(1.3)));
        assert!((with.volume.high().in_litres() - 39.6).abs() < 1e-9);
        assert!((with.mass.high().in_kg() - 51.48).abs() < 1e-9);
    }

    /// The same in US measures: 129.17 sq ft at 1/8 in (3.175 mm) is 10.07 gal (geometry, NIST SP 811 factors).
    #[test]
    fn us_measures_give_the_same_paste() {
        let p = paste(
            Span::read("129.1669 ft2").unwrap(),
            exactly(Ratio::of(1.0)),
            Span::read("0.125 in").unwrap(),
            exactly(Share::percent(0.0)),
            exactly(Density::kg_per_litre(1.0)),
        );
        assert!((p.volume.low().in_litres() / 3.785_411_784 - 10.065).abs() < 0.001);
    }

    #[test]
    fn whole_sheets_cover_and_a_range_stays_a_range() {
        let n =
            sheets(Span::between(Area::m2(10.0), Area::m2(12.0)), Area::m2(4.0), Span::between(Share::percent(0.0), Share::percent(20.0)));
        assert_eq!((n.low().value(), n.high().value()), (3.0, 4.0));
        // Exactly full sheets are not rounded up by a hair of arithmetic.
        assert_eq!(sheets(exactly(Area::m2(12.0)), Area::m2(4.0), exactly(Share::of(0.0))).high().value(), 3.0);
    }
}

//! How many: cloths, readings, patches, samples.

use super::sheet::{Desk, Sheet};
use super::span::{Given, Span};
use super::units::{Area, Ratio, Share};
use crate::error::Error;
use crate::role::{FigureRole, Occasion};

/// Samples after which, at a confidence, a thing that a share of the places has would have been met at least once.
///
/// Source: binomial, n = ln(1 - confidence) / ln(1 - share); places drawn at random.
pub fn to_meet_one(share: Share, confidence: Share) -> Ratio {
    Ratio::of((1.0 - confidence.value()).ln() / (1.0 - share.value()).ln()).up()
}

/// Readings whose mean lies within `margin` of the truth in 95 of 100 cases, for readings that spread by `spread` (one
/// standard deviation).
///
/// Source: normal law, n = (1.96 s / e)^2.
pub fn for_a_mean(spread: Ratio, margin: Ratio) -> Ratio {
    let n = 1.96 * spread.value() / margin.value();
    Ratio::of(n * n).up()
}

/// Cloths for floors in sections of at most a size, and one for each sill.
///
/// Source: 40 CFR 745.85(b): sections of at most 40 sq ft, each window sill.
pub fn cloths(floor: Span<Area>, section: Area, sills: Ratio) -> Span<Ratio> {
    (floor / Span::exactly(section)).up().rising(|n| Ratio::of(n.value() + sills.value()))
}

/// What the sheet is asked.
#[derive(Debug, Clone, Default)]
pub struct Ask {
    /// Floor to verify with cloths.
    pub floor: Option<Given<Area>>,
    /// Window sills.
    pub sills: Option<Given<Ratio>>,
    /// Area whose pH and moisture are read.
    pub wall: Option<Given<Area>>,
    /// Distinct stacks of coats.
    pub stacks: Option<Given<Ratio>>,
    /// The least share of the places that must not be missed…
    pub share: Option<Given<Share>>,
    /// …at this confidence.
    pub confidence: Option<Given<Share>>,
    /// Spread of readings…
    pub spread: Option<Given<Ratio>>,
    /// …and the margin their mean must keep.
    pub margin: Option<Given<Ratio>>,
}

/// Numbers of cloths, readings, patches and samples.
///
/// # Errors
/// Where nothing was given or the rule book lacks a figure.
pub fn sheet(ask: &Ask, desk: &Desk<'_>) -> Result<Sheet, Error> {
    let mut sheet = desk.sheet("samples", "How many cloths, readings, patches and samples");
    if let Some(given) = &ask.floor {
        let floor = sheet.given("floor", given);
        let section: Span<Area> = desk.figure(&mut sheet, FigureRole::ClothSection)?;
        let sills = ask.sills.as_ref().map_or(Ratio::of(0.0), |g| sheet.given("sills", g).high());
        sheet.result("cloths", cloths(floor, section.low(), sills), "");
        sheet.formula("one cloth for each section of floor and each sill (40 CFR 745.85(b))");
        desk.remark(&mut sheet, Occasion::Cloths);
    }
    if let Some(given) = &ask.wall {
        let wall = sheet.given("area", given);
        let each: Span<Area> = desk.figure(&mut sheet, FigureRole::ReadingsArea)?;
        let of = desk.figure::<Ratio>(&mut sheet, FigureRole::ReadingsEach)?;
        sheet.result("readings of pH", (wall / each).up() * of, "");
        sheet.formula("so many readings for each begun area (ASTM D4262, from memory)");
        desk.remark(&mut sheet, Occasion::Readings);
    }
    if let Some(given) = &ask.stacks {
        let stacks = sheet.given("distinct stacks", given);
        let dwells: Span<Ratio> = desk.figure(&mut sheet, FigureRole::PatchDwells)?;
        let thicknesses: Span<Ratio> = desk.figure(&mut sheet, FigureRole::PatchThicknesses)?;
        sheet.result("test patches, and a witness square for each stack", stacks * dwells * thicknesses, "");
        sheet.formula("patches = stacks x dwell times x thicknesses (conservation practice)");
        desk.remark(&mut sheet, Occasion::Patches);
    }
    if let Some(given) = &ask.share {
        let share = sheet.given("share that must not be missed", given);
        if share.low().value() <= 0.0 || share.high().value() >= 1.0 {
            return Err("the share lies between 0 and 100 %".into());
        }
        let confidence: Span<Share> = desk.given_or(&mut sheet, "confidence", ask.confidence.as_ref(), FigureRole::Confidence)?;
        if confidence.low().value() <= 0.0 || confidence.high().value() >= 1.0 {
            return Err("the confidence lies between 0 and 100 %".into());
        }
        sheet.result("samples at random", confidence.against(share, |c, s| to_meet_one(s, c)), "");
        sheet.formula("n = ln(1 - confidence) / ln(1 - share) (binomial)");
        desk.remark(&mut sheet, Occasion::Random);
    }
    if let (Some(spread), Some(margin)) = (&ask.spread, &ask.margin) {
        let spread = sheet.given("spread of the readings", spread);
        let margin = sheet.given("margin of the mean", margin);
        if margin.low().value() <= 0.0 {
            return Err("the margin is more than nothing".into());
        }
        sheet.result("readings for the mean", spread.against(margin, for_a_mean), "");
        sheet.formula("n = (1.96 x spread / margin)^2 (normal law, 95 %)");
    }
    if sheet.results.is_empty() {
        return Err("say what is to be counted: a floor, a wall, stacks, a share, or a spread with its margin".into());
    }
    Ok(sheet)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Tables of attribute sampling (binomial): 95 % confidence and 5 % share want 59, 10 % 29, 1 % 299; 90 % and 10 % want 22.
    #[test]
    fn samples_to_meet_one() {
        for (share, confidence, n) in [(5.0, 95.0, 59.0), (10.0, 95.0, 29.0), (1.0, 95.0, 299.0), (10.0, 90.0, 22.0)] {
            assert_eq!(to_meet_one(Share::percent(share), Share::percent(confidence)).value(), n, "{share} {confidence}");
        }
    }

    /// By hand: a spread of 0.5 and a margin of 0.2 want (4.9)^2 = 24.01, so 25; 1 and 0.5 want 15.4, so 16.
    #[test]
    fn readings_for_a_mean() {
        assert_eq!(for_a_mean(Ratio::of(0.5), Ratio::of(0.2)).value(), 25.0);
        assert_eq!(for_a_mean(Ratio::of(1.0), Ratio::of(0.5)).value(), 16.0);
    }

    /// 40 CFR 745.85(b): 100 sq ft of floor are 3 sections; 40 sq ft one; with two sills 5.
    #[test]
    fn cloths_for_a_room() {
        let section = Area::ft2(40.0);
        assert_eq!(cloths(Span::read("100 ft2").unwrap(), section, Ratio::of(0.0)).low().value(), 3.0);
        assert_eq!(cloths(Span::read("40 ft2").unwrap(), section, Ratio::of(0.0)).low().value(), 1.0);
        assert_eq!(cloths(Span::read("100 ft2").unwrap(), section, Ratio::of(2.0)).low().value(), 5.0);
    }
}

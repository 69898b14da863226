//! pH: what rinsing does to strong alkali, and whether a wall is near enough to the rinse water.

use super::sheet::{Desk, Sheet, Standing};
use super::span::{Given, Span};
use super::units::{Molarity, Ph, Ratio, Share};
use crate::error::Error;
use crate::role::{FigureRole, LimitRole, Occasion, Sentence};

/// pH of strong alkali in water at 25 °C, activity left out: 14 + log10 of mol/L; plain water stays at 7.
///
/// Source: definition of pH with a water product of 1e-14 at 25 °C. Real strong solutions read a little lower.
pub fn ph_of_alkali(alkali: Molarity) -> Ph {
    let c = alkali.in_mol_per_litre().max(0.0);
    // The water's own part keeps a vanishing trace from reading below neutral.
    let hydroxide = f64::midpoint(c, (c * c + 4e-14).sqrt());
    Ph::of(14.0 + hydroxide.log10())
}

/// How many times strong alkali must be diluted to come from one pH to another: ten times for each unit.
///
/// Source: definition of pH; no buffers. A wall with a reserve of lime wants far more.
pub fn dilution(from: Span<Ph>, to: Span<Ph>) -> Span<Ratio> {
    from.against(to, |from, to| Ratio::of(10_f64.powf((from.value() - to.value()).max(0.0))))
}

/// Rinses after which a share stays behind each time until the dilution is reached.
///
/// Source: (1/share)^n = dilution.
pub fn rinses(dilution: Span<Ratio>, stays: Span<Share>) -> Span<Ratio> {
    dilution.with(stays, |d, s| Ratio::of(d.value().ln() / -s.value().ln())).up()
}

/// How a wall stands against the rinse water: it passes where its pH is at most `above` higher. Within the resolution of
/// the strip the reading decides nothing.
///
/// Source: the test as MIL-HDBK-1110, 6.7.2.1 and 6.7.4, uses ASTM D4262.
pub fn acceptance(surface: Span<Ph>, rinse_water: Span<Ph>, above: Ratio, resolution: Ratio) -> Standing {
    let difference = surface.against(rinse_water, |s, w| Ratio::of(s.value() - w.value() - above.value()));
    // Strips are read in steps of a tenth at best: what is nearer to the mark than that is on it.
    let tidy = |v: f64| (v * 1e6).round() / 1e6;
    let (low, high) = (tidy(difference.low().value()), tidy(difference.high().value()));
    let r = resolution.value();
    let near = |d: f64| d.abs() <= tidy(r);
    if r > 0.0 && (near(low) || near(high)) {
        return Standing::Open;
    }
    match (low <= 0.0, high <= 0.0) {
        (true, true) => Standing::Passes,
        (false, false) => Standing::Fails,
        _ => Standing::Open,
    }
}

/// What the sheet is asked.
#[derive(Debug, Clone, Default)]
pub struct Ask {
    /// pH read on the wet surface.
    pub surface: Option<Given<Ph>>,
    /// pH of the fresh rinse water.
    pub rinse_water: Option<Given<Ph>>,
    /// Resolution of the strip or meter.
    pub resolution: Option<Given<Ratio>>,
    /// Whether a second reading was taken after drying.
    pub read_again: bool,
}

/// Whether a rinsed wall is near enough to its rinse water, and how far rinsing alone would have to go.
///
/// # Errors
/// Where a reading is missing, is no pH, or the rule book lacks a figure.
pub fn sheet(ask: &Ask, desk: &Desk<'_>) -> Result<Sheet, Error> {
    let mut sheet = desk.sheet("ph", "pH of the rinsed surface");
    let check = |name: &str, span: Span<Ph>| {
        let within = (0.0..=14.0).contains(&span.low().value()) && (0.0..=14.0).contains(&span.high().value());
        within.then_some(span).ok_or_else(|| format!("the pH of {name} lies between 0 and 14"))
    };
    let surface = check("the surface", sheet.given("surface", ask.surface.as_ref().ok_or("say the pH of the surface")?))?;
    let resolution = desk.given_or(&mut sheet, "resolution of the strip", ask.resolution.as_ref(), FigureRole::StripResolution)?;
    let resolution = resolution.high();
    let mut wanted = Span::exactly(Ph::of(8.0));
    if let Some(given) = &ask.rinse_water {
        let water = check("the rinse water", sheet.given("rinse water", given))?;
        sheet.result("above the rinse water", surface.against(water, |s, w| Ratio::of(s.value() - w.value())), "");
        match desk.limit::<Ratio>(LimitRole::AboveRinseWater) {
            Some((above, source)) => {
                wanted = water.rising(|w| Ph::of(w.value() + above.value()));
                let standing = acceptance(surface, water, above, resolution);
                let says = match standing {
                    Standing::Passes => format!("The surface is no more than {} above its rinse water.", above.value()),
                    Standing::Fails => format!("The surface is more than {} above its rinse water: rinse again.", above.value()),
                    _ => format!(
                        "The reading is nearer to the mark (rinse water and {}) than the strip can tell: read again with a finer strip or a flat electrode.",
                        above.value()
                    ),
                };
                sheet.find(standing, says, Some(source));
                if standing == Standing::Passes && !ask.read_again {
                    sheet.find(Standing::Open, desk.say(Sentence::ReadOnce, &[]), desk.cite_sentence(Sentence::ReadOnce));
                }
            }
            None => sheet.find(Standing::Open, "The rule book states no mark above the rinse water.", None),
        }
        if let Ok(wider) = desk.look_up::<Ratio>(FigureRole::WiderSpan) {
            let outcome = acceptance(surface, water, wider.high(), resolution);
            let source = desk.cite_figure(FigureRole::WiderSpan);
            let word = outcome.word();
            sheet.find(
                Standing::Plain,
                format!("By the wider span of {} below to {} above it {word}.", -wider.low().value(), wider.high().value()),
                source,
            );
        }
    } else {
        sheet.find(Standing::Open, "Read the rinse water too: the surface is judged against it, not against 7.", None);
    }
    let dilution = dilution(surface, wanted);
    if dilution.high().value() > 1.5 {
        let stays = desk.figure(&mut sheet, FigureRole::RinseResidue)?;
        sheet.result("pH to come to", wanted, "");
        sheet.result("dilution that takes, without any reserve", dilution, "");
        sheet.result("rinses that is at least", rinses(dilution, stays), "");
        sheet.formula("dilution = 10^(pH - wanted pH); rinses = ln(dilution) / -ln(share that stays) (definition of pH)");
    }
    desk.remark(&mut sheet, Occasion::Ph);
    Ok(sheet)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn exactly(ph: f64) -> Span<Ph> {
        Span::exactly(Ph::of(ph))
    }

    /// By hand: 0.0025, 0.025 and 0.25 mol/L (0.1, 1 and 10 g/L of caustic soda) read 11.398, 12.398 and 13.398.
    #[test]
    fn each_tenfold_dilution_takes_one_unit() {
        for (c, ph) in [(0.0025, 11.398), (0.025, 12.398), (0.25, 13.398)] {
            assert!((ph_of_alkali(Molarity::mol_per_litre(c)).value() - ph).abs() < 0.001, "{c}");
        }
        assert!((ph_of_alkali(Molarity::mol_per_litre(0.0)).value() - 7.0).abs() < 1e-9);
        let d = dilution(exactly(13.0), exactly(8.0));
        assert!((d.low().value() - 1e5).abs() < 1e-4);
    }

    /// By hand: a tenth left behind each time, 1e5 takes five rinses; a fifth left behind takes eight.
    #[test]
    fn rinses_count_up() {
        let d = dilution(exactly(13.0), exactly(8.0));
        let n = rinses(d, Span::between(Share::percent(10.0), Share::percent(20.0)));
        assert_eq!((n.low().value(), n.high().value()), (5.0, 8.0));
    }

    /// MIL-HDBK-1110, 6.7.2.1 and 6.7.4: with rinse water at 7.2 a wall at 8.2 passes and one at 8.3 does not, where the
    /// instrument can tell; a strip of 0.5 cannot.
    #[test]
    fn one_unit_above_the_rinse_water_and_no_more() {
        let one = Ratio::of(1.0);
        let exact = Ratio::of(0.0);
        assert_eq!(acceptance(exactly(8.2), exactly(7.2), one, exact), Standing::Passes);
        assert_eq!(acceptance(exactly(8.3), exactly(7.2), one, exact), Standing::Fails);
        let strip = Ratio::of(0.5);
        assert_eq!(acceptance(exactly(8.2), exactly(7.2), one, strip), Standing::Open);
        assert_eq!(acceptance(exactly(7.5), exactly(7.2), one, strip), Standing::Passes);
        assert_eq!(acceptance(exactly(9.0), exactly(7.2), one, strip), Standing::Fails);
    }

    /// The wider span, as ASTM D4262 is remembered (+2): the same wall can pass it and fail the tighter one.
    #[test]
    fn the_two_spans_differ() {
        let wall = exactly(8.9);
        assert_eq!(acceptance(wall, exactly(7.2), Ratio::of(1.0), Ratio::of(0.2)), Standing::Fails);
        assert_eq!(acceptance(wall, exactly(7.2), Ratio::of(2.0), Ratio::of(0.2)), Standing::Passes);
    }

    #[test]
    fn readings_that_straddle_the_mark_are_open() {
        let wide = Span::between(Ph::of(7.0), Ph::of(9.5));
        assert_eq!(acceptance(wide, exactly(7.2), Ratio::of(1.0), Ratio::of(0.1)), Standing::Open);
    }
}

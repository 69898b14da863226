//! Washing with a jet of water: the sheet of the calculator, with what the rules say of that pressure on that substrate.

use crate::catalogue::EntryKind;
use crate::error::Error;
use crate::explain::{Circumstances, check};
use crate::finding::{Ruling, Status};
use crate::pack::RuleBook;
use crate::reach::Reach;
use crate::reckon::jet::{self, Ask};
use crate::reckon::sheet::{Desk, Sheet, Standing};
use crate::reckon::span::Span;
use crate::reckon::units::{Measure, Pressure};
use crate::role::{FactRole, Sentence};
use crate::survey::{Facts, Proposal, Stated, Surface, Survey};
use crate::vocabulary::{FactId, Known};

/// Fan, force and what the rules say of that pressure on that substrate.
///
/// # Errors
/// Where the pressure is missing, a name is unknown or the rule book lacks a figure.
pub fn sheet(ask: &Ask, book: &RuleBook, desk: &Desk<'_>) -> Result<Sheet, Error> {
    jet::sheet(ask, desk, |sheet, pressure| {
        if let Some(id) = &ask.substrate {
            return against_substrate(id, pressure, book, desk, sheet);
        }
        sheet.remind(desk.say(Sentence::SaySubstrate, &[]), None);
        Ok(())
    })
}

/// Asks the rules: what they say of a jet at this pressure on this substrate is the answer, so that it stands in one place.
fn against_substrate(id: &str, pressure: Span<Pressure>, book: &RuleBook, desk: &Desk<'_>, sheet: &mut Sheet) -> Result<(), Error> {
    let base = &book.base;
    let substrate = base.catalogue.find(EntryKind::Substrate, id).ok_or_else(|| {
        let help = base.catalogue.instead(EntryKind::Substrate, id).unwrap_or_default();
        format!("`{id}` is not a substrate of the catalogue; {help}")
    })?;
    sheet.given_text("substrate", base.catalogue.entries(EntryKind::Substrate)[substrate].title.clone(), Some("given".to_owned()));
    let stated = |known: Known| Stated { known, written: String::new(), by: None, on: None, note: None };
    let (Some(fact), Some(setting)) = (base.vocabulary.with(FactRole::Substrate), base.vocabulary.with(FactRole::WaterPressure)) else {
        return Err("the rule book knows no substrate or no water pressure".into());
    };
    let facts = Facts::from_iter([(fact, stated(Known::Bits(1 << substrate)))]);
    let survey = Survey { system: desk.system, ..Survey::of(Surface { facts, ..Surface::named("the surface") }, base) };
    let asked = Reach::closed(pressure.low().base(), pressure.high().base());
    let circumstances = Circumstances { place: desk.places.first().cloned(), date: desk.date };
    let mut said = Vec::new();
    let mut fitting = 0;
    for (index, method) in base.catalogue.entries(EntryKind::Method).values().enumerate() {
        let fits = method.settings.get(&setting).is_some_and(|range| !range.and(&asked).is_empty());
        // Steam has a temperature to set as well; a jet of water has its pressure alone.
        let plain_water = method.settings.len() == 1;
        if !fits || !plain_water {
            continue;
        }
        fitting += 1;
        let settings = Facts::from_iter([(setting, stated(Known::Num(asked.clone())))]);
        let advice = check(&survey, book, &circumstances, 0, &Proposal { method: base.method_id(index), settings, note: None })
            .map_err(|e| e.message().to_owned())?;
        let Some(found) = advice.surfaces.first().and_then(|s| s.proposals.first()) else { continue };
        for notice in &found.reasons {
            let reads = |fact: FactId| notice.facts.iter().any(|f| f.fact == base.vocabulary.get(fact).id);
            // What is open for want of other facts (frost, drains) is not about the jet.
            let about_jet = reads(fact) && (notice.status == Status::Applies || reads(setting));
            if about_jet && (notice.ruling == Ruling::RuleOut || notice.ruling == Ruling::Caution) {
                let standing = match (notice.ruling, notice.status) {
                    (Ruling::RuleOut, Status::Applies) => Standing::Fails,
                    (Ruling::RuleOut, _) => Standing::Open,
                    _ => Standing::Plain,
                };
                let says = format!("As {}: {}", method.title, notice.says);
                if !said.contains(&notice.says) {
                    said.push(notice.says.clone());
                    sheet.find(standing, says, Some(notice.source.clone()));
                }
            }
        }
    }
    if fitting == 0 {
        sheet.find(Standing::Open, desk.say(Sentence::NoJetMethod, &[]), None);
    } else if said.is_empty() {
        sheet.find(Standing::Open, desk.say(Sentence::NoJetRule, &[]), None);
    }
    Ok(())
}

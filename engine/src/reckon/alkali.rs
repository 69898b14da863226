//! Alkali: what old oil paint uses up, what a paste brings, what is left behind, and the acid that undoes it.
//!
//! Molar masses: IUPAC standard atomic masses (from memory). Reactions go to the end stated; nothing here says how fast.

use super::sheet::{Desk, Sheet, Standing};
use super::span::{Given, Span};
use super::units::{Amount, Area, Density, Length, Loading, Mass, MolarMass, Ratio, Share};
use crate::catalogue::EntryKind;
use crate::error::Error;
use crate::role::{AttributeRole, EntryRole, FigureRole, Occasion, Sentence};
use crate::words;

/// Sodium hydroxide.
pub const NAOH: MolarMass = MolarMass::g_per_mol(39.997);
/// Potassium hydroxide.
pub const KOH: MolarMass = MolarMass::g_per_mol(56.106);
/// Calcium carbonate.
pub const CALCIUM_CARBONATE: MolarMass = MolarMass::g_per_mol(100.087);
/// Sodium carbonate.
pub const SODIUM_CARBONATE: MolarMass = MolarMass::g_per_mol(105.988);
/// Gypsum.
pub const GYPSUM: MolarMass = MolarMass::g_per_mol(172.171);
/// Sodium sulphate.
pub const SODIUM_SULPHATE: MolarMass = MolarMass::g_per_mol(142.042);
/// Water.
pub const WATER: MolarMass = MolarMass::g_per_mol(18.015);
/// Carbon dioxide.
pub const CARBON_DIOXIDE: MolarMass = MolarMass::g_per_mol(44.010);

/// An acid that neutralises.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Acid {
    /// Acetic acid, as in vinegar.
    Acetic,
    /// Citric acid, anhydrous.
    Citric,
    /// Citric acid monohydrate, the usual crystals.
    CitricMonohydrate,
    /// Phosphoric acid: one proton to dihydrogen phosphate, two to hydrogen phosphate.
    Phosphoric,
    /// Oxalic acid dihydrate.
    Oxalic,
}

impl Acid {
    /// All of them.
    pub const ALL: [Self; 5] = [Self::Acetic, Self::Citric, Self::CitricMonohydrate, Self::Phosphoric, Self::Oxalic];

    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Acetic => "acetic",
            Self::Citric => "citric",
            Self::CitricMonohydrate => "citric-monohydrate",
            Self::Phosphoric => "phosphoric",
            Self::Oxalic => "oxalic",
        }
    }

    /// By the word for it.
    pub fn find(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|a| a.word() == word)
    }

    fn molar_mass(self) -> MolarMass {
        MolarMass::g_per_mol(match self {
            Self::Acetic => 60.052,
            Self::Citric => 192.124,
            Self::CitricMonohydrate => 210.14,
            Self::Phosphoric => 97.994,
            Self::Oxalic => 126.07,
        })
    }

    /// How many protons of a molecule neutralise: for phosphoric acid it depends on how far one goes.
    fn protons(self) -> Span<Ratio> {
        let (low, high) = match self {
            Self::Acetic => (1.0, 1.0),
            Self::Citric | Self::CitricMonohydrate => (3.0, 3.0),
            Self::Phosphoric => (1.0, 2.0),
            Self::Oxalic => (2.0, 2.0),
        };
        Span::between(Ratio::of(low), Ratio::of(high))
    }

    /// The acid, without the water of its solution, that neutralises an amount of alkali.
    ///
    /// Source: one proton for each hydroxide; molar masses as above.
    pub fn for_alkali(self, alkali: Span<Amount>) -> Span<Mass> {
        alkali / self.protons() * Span::exactly(self.molar_mass())
    }
}

/// Alkali that a mass of paste brings with its caustic soda.
///
/// What else a paste may hold is not counted: its safety sheet tells.
pub fn soluble(paste: Span<Mass>, naoh: Span<Share>) -> Span<Amount> {
    paste * naoh / Span::exactly(NAOH)
}

/// Caustic soda that the binder of old oil paint uses up, on an area.
///
/// `saponification` is the value of the oil, mass of KOH for a mass of oil. Source: ASTM D1962, 3.1 and 4.1 (definition);
/// triglyceride + 3 MOH gives 3 soap + glycerol.
pub fn saponification_demand(
    paint: Span<Length>,
    density: Span<Density>,
    binder: Span<Share>,
    saponification: Span<Share>,
) -> Span<Loading> {
    let ratio = Span::exactly(NAOH) / Span::exactly(KOH);
    paint * density * binder * saponification * ratio
}

/// Thickness of paste that brings a loading of caustic soda.
pub fn paste_thickness_for(demand: Span<Loading>, naoh: Span<Share>, density: Span<Density>) -> Span<Length> {
    let brought = density.with(naoh, |d, n| d * n);
    demand / brought
}

/// Washing soda that caustic soda left in a wall turns into with the carbon dioxide of the air.
///
/// Source: `2 NaOH + CO2 = Na2CO3 + H2O`.
pub fn carbonate_left(naoh: Span<Mass>) -> Span<Mass> {
    naoh / Span::exactly(NAOH) / Span::exactly(Ratio::of(2.0)) * Span::exactly(SODIUM_CARBONATE)
}

/// Gypsum that caustic soda attacks, and the sodium sulphate that comes of it.
///
/// Source: `2 NaOH + CaSO4.2H2O = Ca(OH)2 + Na2SO4 + 2 H2O`.
pub fn gypsum_attacked(naoh: Span<Mass>) -> (Span<Mass>, Span<Mass>) {
    let pairs = naoh / Span::exactly(NAOH) / Span::exactly(Ratio::of(2.0));
    (pairs * Span::exactly(GYPSUM), pairs * Span::exactly(SODIUM_SULPHATE))
}

/// Carbonate of a lime host that an amount of acid protons dissolves.
///
/// Source: `CaCO3 + 2 H+ = Ca2+ + CO2 + H2O`.
pub fn carbonate_dissolved(protons: Span<Amount>) -> Span<Mass> {
    protons / Span::exactly(Ratio::of(2.0)) * Span::exactly(CALCIUM_CARBONATE)
}

/// What the demand sheet is asked.
#[derive(Debug, Clone, Default)]
pub struct DemandAsk {
    /// Thickness of the old oil paint.
    pub paint: Option<Given<Length>>,
    /// Thickness of paste put on.
    pub paste: Option<Given<Length>>,
    /// Caustic soda in the paste, by weight.
    pub naoh: Option<Given<Share>>,
    /// Density of the paste.
    pub density: Option<Given<Density>>,
}

/// Whether a paste brings enough alkali for the oil in the paint.
///
/// # Errors
/// Where the paint's thickness is missing or the rule book lacks a figure.
pub fn demand_sheet(ask: &DemandAsk, desk: &Desk<'_>) -> Result<Sheet, Error> {
    let mut sheet = desk.sheet("alkali", "Alkali for old oil paint");
    let paint = sheet.given("old paint", ask.paint.as_ref().ok_or("say how thick the paint is")?);
    let paint_density = desk.figure(&mut sheet, FigureRole::OilDensity)?;
    let binder = desk.figure(&mut sheet, FigureRole::OilBinder)?;
    let value = desk.figure(&mut sheet, FigureRole::Saponification)?;
    let naoh = desk.given_or(&mut sheet, "caustic soda in the paste", ask.naoh.as_ref(), FigureRole::PasteStrength)?;
    let density = desk.given_or(&mut sheet, "density of the paste", ask.density.as_ref(), (FigureRole::Density, alkaline_paste(desk)?))?;
    let demand = saponification_demand(paint, paint_density, binder, value);
    let needed = paste_thickness_for(demand, naoh, density);
    sheet.result("caustic soda the oil uses up", demand, "g/m2");
    sheet.result("paste that brings it", needed, "mm");
    if let Some(paste) = &ask.paste {
        let on = sheet.given("paste put on", paste);
        let surplus = on / needed;
        sheet.result("times enough", surplus, "");
        let standing = Standing::at_least(surplus, Ratio::of(1.0));
        let says = match standing {
            Standing::Passes => Sentence::AlkaliEnough,
            Standing::Fails => Sentence::AlkaliShort,
            _ => Sentence::AlkaliEither,
        };
        sheet.find(standing, desk.say(says, &[]), None);
    }
    sheet.formula("demand = thickness x density x binder x saponification value x 39.997/56.106 (ASTM D1962, 3.1 and 4.1)");
    desk.remark(&mut sheet, Occasion::Alkali);
    Ok(sheet)
}

/// The method that stands for an alkaline paste: nobody is asked which it was.
fn alkaline_paste<'a>(desk: &Desk<'a>) -> Result<&'a str, String> {
    let method = desk.shelf.base().catalogue.entry_with(EntryKind::Method, EntryRole::AlkalinePaste).map(|e| e.id.as_str());
    method.ok_or_else(|| "the rule book knows no alkaline paste".to_owned())
}

/// What the neutraliser sheet is asked.
#[derive(Debug, Clone, Default)]
pub struct NeutraliserAsk {
    /// Area.
    pub area: Option<Given<Area>>,
    /// Thickness of paste that was on it.
    pub thickness: Option<Given<Length>>,
    /// Share of the paste that scraping and rinsing left behind.
    pub residue: Option<Given<Share>>,
    /// Caustic soda in the paste.
    pub naoh: Option<Given<Share>>,
    /// Density of the paste.
    pub density: Option<Given<Density>>,
    /// The acid, by its word.
    pub acid: String,
    /// Strength of the acid wash, by weight.
    pub strength: Option<Given<Share>>,
    /// Substrate of the catalogue.
    pub substrate: Option<String>,
}

/// The acid wash after an alkaline paste, and what too much of it would do to a host that acid eats.
///
/// # Errors
/// Where something needed is missing, a name is unknown or the rule book lacks a figure.
pub fn neutraliser_sheet(ask: &NeutraliserAsk, desk: &Desk<'_>) -> Result<Sheet, Error> {
    let mut sheet = desk.sheet("neutraliser", "Acid to neutralise what is left");
    let acid = Acid::find(&ask.acid).ok_or_else(|| {
        let help = words::offer(&ask.acid, Acid::ALL.map(Acid::word)).unwrap_or_default();
        format!("`{}` is not an acid that is reckoned with; {help}", ask.acid)
    })?;
    let host = match &ask.substrate {
        None => None,
        Some(id) => {
            let catalogue = &desk.shelf.base().catalogue;
            let at = catalogue.find(EntryKind::Substrate, id).ok_or_else(|| {
                let help = catalogue.instead(EntryKind::Substrate, id).unwrap_or_default();
                format!("`{id}` is not a substrate of the catalogue; {help}")
            })?;
            let is = |role: AttributeRole| catalogue.is(EntryKind::Substrate, at, role);
            sheet.given_text("substrate", catalogue.entries(EntryKind::Substrate)[at].title.clone(), Some("given".to_owned()));
            Some((is(AttributeRole::Calcareous), is(AttributeRole::Gypsum), is(AttributeRole::Porous), is(AttributeRole::Plaster)))
        }
    };
    let area = sheet.given("area", ask.area.as_ref().ok_or("say the area")?);
    let thickness =
        desk.given_or(&mut sheet, "paste that was on", ask.thickness.as_ref(), (FigureRole::Thickness, alkaline_paste(desk)?))?;
    let residue = desk.given_or(&mut sheet, "left behind", ask.residue.as_ref(), FigureRole::PasteResidue)?;
    let density = desk.given_or(&mut sheet, "density of the paste", ask.density.as_ref(), (FigureRole::Density, alkaline_paste(desk)?))?;
    let naoh = desk.given_or(&mut sheet, "caustic soda in the paste", ask.naoh.as_ref(), FigureRole::PasteStrength)?;
    let strength = desk.given_or(&mut sheet, "strength of the wash", ask.strength.as_ref(), FigureRole::AcidStrength)?;
    let solution = desk.figure::<Density>(&mut sheet, FigureRole::AcidDensity)?;
    let left = area * thickness * density * residue;
    let alkali = soluble(left, naoh);
    let dose = acid.for_alkali(alkali);
    sheet.result("paste left behind", left, "kg");
    sheet.result("alkali in it", alkali, "mol");
    sheet.result(format!("{} acid for the alkali", acid.word()), dose, "g");
    sheet.result("that is so much wash", dose / strength.rising(|s| Ratio::of(s.value())) / solution, "L");
    let lime = host.is_none_or(|(calcareous, gypsum, _, plaster)| calcareous || gypsum || plaster);
    if lime {
        // Acid dosed for the most alkali there can be, where there is the least.
        let spare = alkali.high().in_mol() - alkali.low().in_mol();
        let eaten = carbonate_dissolved(Span::exactly(Amount::mol(spare.max(0.0))));
        let what = if host.is_some() { Sentence::HostEaten } else { Sentence::HostMayBeEaten };
        let risk = if spare > 0.0 {
            format!(" {}", desk.say(Sentence::HostRisk, &[("mass", &sheet.say(eaten.high(), "g"))]))
        } else {
            String::new()
        };
        sheet.find(Standing::Plain, format!("{}{risk}", desk.say(what, &[])), None);
        desk.remark(&mut sheet, Occasion::LimeHost);
    }
    if host.is_some_and(|(_, gypsum, ..)| gypsum) {
        let (attacked, sulphate) = gypsum_attacked(alkali * Span::exactly(NAOH));
        sheet.result("gypsum the alkali left can attack", attacked, "g");
        sheet.result("sodium sulphate that can come of it", sulphate, "g");
    } else if host.is_none_or(|(_, _, porous, _)| porous) {
        sheet.result("washing soda that can come of it if it stays", carbonate_left(alkali * Span::exactly(NAOH)), "g");
    }
    sheet.formula("alkali = area x thickness x density x share left x caustic soda / 39.997 g/mol (IUPAC atomic masses, from memory); one proton for each hydroxide");
    desk.remark(&mut sheet, Occasion::Neutraliser);
    if acid == Acid::Oxalic {
        desk.remark(&mut sheet, Occasion::Oxalic);
    }
    Ok(sheet)
}

#[cfg(test)]
#[path = "alkali_tests.rs"]
mod tests;

//! Metal: salts on steel, what alkali makes of zinc and aluminium, profile.

use super::sheet::{Desk, Sheet, Standing};
use super::span::{Given, Span};
use super::units::{Amount, Area, Conductivity, Length, Loading, Mass, MolarMass, Ratio, Share, Volume};
use crate::error::Error;
use crate::role::{FigureRole, LimitRole, Occasion};

/// Aluminium. IUPAC (from memory).
const ALUMINIUM: MolarMass = MolarMass::g_per_mol(26.982);
/// Zinc. IUPAC (from memory).
const ZINC: MolarMass = MolarMass::g_per_mol(65.38);
/// Litres that a mole of gas takes up at 20 °C and 101,325 Pa (ideal gas).
const MOLAR_VOLUME: f64 = 24.055e-3;
/// Density of zinc. Handbook data (from memory).
const ZINC_DENSITY: f64 = 7_140.0;

/// Salt on an area from the rise in conductivity of the water it was washed into: c V dK / A.
///
/// Source: ISO 8502-9 (from memory). `c` is a convention: about 5 kg m-2 S-1 for mixed salts gives 6.0 mg/m2 for each
/// µS/cm with 15 mL and 1,250 mm2; another summary prints 5.0 for mixed salts and 6.0 for sodium chloride. The three are
/// therefore always stated.
pub fn salt(convention: Ratio, water: Volume, rise: Conductivity, area: Area) -> Loading {
    Loading::kg_per_m2(convention.value() * water.in_m3() * rise.in_siemens_per_m() / area.in_m2())
}

/// A metal that strong alkali dissolves.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Amphoteric {
    /// `2 Al + 2 NaOH + 6 H2O = 2 NaAl(OH)4 + 3 H2`.
    Aluminium,
    /// `Zn + 2 NaOH + 2 H2O = Na2Zn(OH)4 + H2`.
    Zinc,
}

impl Amphoteric {
    fn molar(self) -> MolarMass {
        match self {
            Self::Aluminium => ALUMINIUM,
            Self::Zinc => ZINC,
        }
    }

    /// Hydrogen from a mass of the metal, at 20 °C and 101,325 Pa.
    pub fn hydrogen(self, metal: Mass) -> Volume {
        let moles: Amount = metal / self.molar();
        let each = if self == Self::Aluminium { 1.5 } else { 1.0 };
        Volume::m3(moles.in_mol() * each * MOLAR_VOLUME)
    }

    /// Caustic soda that dissolves a mass of the metal.
    pub fn caustic(self, metal: Mass) -> Mass {
        let each = if self == Self::Aluminium { 1.0 } else { 2.0 };
        (metal / self.molar()) * Ratio::of(each) * super::alkali::NAOH
    }

    /// Metal whose hydrogen brings a shut room to a share.
    pub fn metal_for(self, room: Volume, share: Share) -> Mass {
        let one = self.hydrogen(Mass::g(1.0));
        Mass::g((room * share / one).value())
    }
}

/// Mass of a zinc coat on an area.
pub fn zinc_coat(thickness: Length) -> Loading {
    Loading::kg_per_m2(thickness.in_m() * ZINC_DENSITY)
}

/// What the sheet is asked.
#[derive(Debug, Clone, Default)]
pub struct Ask {
    /// Conductivity before.
    pub before: Option<Given<Conductivity>>,
    /// Conductivity after.
    pub after: Option<Given<Conductivity>>,
    /// Water in the cell.
    pub water: Option<Given<Volume>>,
    /// Area of the cell.
    pub cell: Option<Given<Area>>,
    /// Profile read, peak to valley.
    pub profile: Option<Given<Length>>,
    /// grit or shot.
    pub abrasive: String,
}

/// Salts and profile of prepared steel.
///
/// # Errors
/// Where nothing was given or the rule book lacks a figure.
pub fn sheet(ask: &Ask, desk: &Desk<'_>) -> Result<Sheet, Error> {
    let mut sheet = desk.sheet("steel", "Salts and profile of prepared steel");
    let mut some = false;
    if let (Some(before), Some(after)) = (&ask.before, &ask.after) {
        some = true;
        let before = sheet.given("conductivity before", before);
        let after = sheet.given("conductivity after", after);
        let rise = after - before;
        if rise.low().in_us_per_cm() < 0.0 {
            return Err("the conductivity after is lower than before: read both again".into());
        }
        let water: Span<Volume> = desk.given_or(&mut sheet, "water in the cell", ask.water.as_ref(), FigureRole::CellWater)?;
        let cell: Span<Area> = desk.given_or(&mut sheet, "area of the cell", ask.cell.as_ref(), FigureRole::CellArea)?;
        let convention: Span<Ratio> = desk.figure(&mut sheet, FigureRole::CellConstant)?;
        let salts = rise
            .with(water, |r, w| salt(convention.low(), w, r, cell.high()))
            .join(rise.with(water, |r, w| salt(convention.high(), w, r, cell.low())));
        sheet.result("soluble salts", salts, "mg/m2");
        desk.hold_below(&mut sheet, "For steel under water: the salt", salts, LimitRole::SaltUnderWater, "mg/m2");
        desk.hold_below(&mut sheet, "For steel in the open: the salt", salts, LimitRole::SaltInTheOpen, "mg/m2");
        sheet.formula("salt = convention x water x rise / area (ISO 8502-9, from memory)");
        desk.remark(&mut sheet, Occasion::Salts);
    } else if ask.before.is_some() || ask.after.is_some() {
        return Err("give the conductivity both before and after".into());
    }
    if let Some(given) = &ask.profile {
        some = true;
        let profile = sheet.given("profile", given);
        for (segment, next) in [("fine", "medium"), ("medium", "coarse"), ("coarse", "")] {
            let of = format!("{}-{segment}", ask.abrasive);
            let range: Span<Length> = desk.look_up((FigureRole::Profile, of.as_str()))?;
            let source = desk.cite_figure((FigureRole::Profile, of.as_str()));
            let inside = profile.low() >= range.low() && profile.high() < range.high();
            let touches = profile.high() >= range.low() && profile.low() < range.high();
            let shown = range.show(crate::quantity::find_unit("um").unwrap_or_else(<Length as super::units::Measure>::unit));
            if inside {
                sheet.find(Standing::Plain, format!("By the comparator for {} it is {segment} ({shown}).", ask.abrasive), source);
            } else if touches {
                let beside = if next.is_empty() { String::new() } else { format!(", or {next} beside it") };
                sheet.find(
                    Standing::Open,
                    format!("By the comparator for {} it reaches into {segment} ({shown}){beside}: take more readings.", ask.abrasive),
                    source,
                );
            }
        }
        let least: Span<Length> = desk.look_up(FigureRole::LeastProfile)?;
        let source = desk.cite_figure(FigureRole::LeastProfile);
        sheet.find(
            Standing::at_least(profile, least.low()),
            format!("Power-tool cleaning to bare metal wants at least {}.", sheet.say(least.low(), "um")),
            source,
        );
        desk.remark(&mut sheet, Occasion::Profile);
    }
    if !some {
        return Err("give the conductivity before and after, or a profile".into());
    }
    Ok(sheet)
}

/// What the hydrogen sheet is asked.
#[derive(Debug, Clone)]
pub struct HydrogenAsk {
    /// aluminium or zinc.
    pub metal: String,
    /// Mass that dissolves.
    pub mass: Option<Given<Mass>>,
    /// Or a zinc coat of a thickness…
    pub coat: Option<Given<Length>>,
    /// …on an area.
    pub area: Option<Given<Area>>,
    /// The room.
    pub room: Option<Given<Volume>>,
}

/// Hydrogen from metal that alkali dissolves: why caustic and aluminium never meet.
///
/// # Errors
/// Where something needed is missing or the rule book lacks a figure.
pub fn hydrogen_sheet(ask: &HydrogenAsk, desk: &Desk<'_>) -> Result<Sheet, Error> {
    let mut sheet = desk.sheet("hydrogen", "Hydrogen from metal in alkali");
    let metal = match ask.metal.as_str() {
        "aluminium" => Amphoteric::Aluminium,
        "zinc" => Amphoteric::Zinc,
        other => return Err(format!("`{other}` is neither aluminium nor zinc").into()),
    };
    sheet.given_text("metal", ask.metal.clone(), Some("given".to_owned()));
    let mass = match (&ask.mass, &ask.coat, &ask.area) {
        (Some(given), None, None) => sheet.given("metal dissolved", given),
        (None, Some(coat), Some(area)) if metal == Amphoteric::Zinc => {
            let coat = sheet.given("zinc coat", coat).rising(zinc_coat);
            sheet.result("zinc on the area", coat, "g/m2");
            coat * sheet.given("area", area)
        }
        _ => return Err("say the mass that dissolves, or for zinc its coat and area".into()),
    };
    let gas = mass.rising(|m| metal.hydrogen(m));
    sheet.result("hydrogen, at 20 °C", gas, "L");
    sheet.result("caustic soda used up", mass.rising(|m| metal.caustic(m)), "g");
    if let Some(given) = &ask.room {
        let room = sheet.given("shut room", given);
        let trap: Span<Share> = desk.figure(&mut sheet, FigureRole::Hydrogen)?;
        let share = gas.against(room, |g, r| Share::of((g / r).value()));
        sheet.result("hydrogen in the shut room, mixed evenly", share, "%");
        sheet.result("metal that is enough for the mark", room.rising(|r| metal.metal_for(r, trap.low())), "g");
        let standing = Standing::at_most(share, trap.low());
        let says = match standing {
            Standing::Passes => {
                "It stays below a quarter of what can explode, mixed evenly; at the work and under the ceiling it does not mix."
            }
            _ => "It can pass a quarter of what can explode.",
        };
        sheet.find(standing, says, desk.cite_figure(FigureRole::Hydrogen));
    }
    sheet.formula("2 Al + 2 NaOH + 6 H2O = 2 NaAl(OH)4 + 3 H2; Zn + 2 NaOH + 2 H2O = Na2Zn(OH)4 + H2; 24.055 L for a mole of gas");
    desk.remark(&mut sheet, Occasion::Hydrogen);
    Ok(sheet)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// ISO 8502-9 (from memory): c = 5 kg m-2 S-1, 15 mL, 1,250 mm2: 6.0 mg/m2 for each uS/cm, so a rise of 8 is 48 mg/m2.
    #[test]
    fn a_rise_in_conductivity_is_salt() {
        let at = |c: f64, k: f64| salt(Ratio::of(c), Volume::ml(15.0), Conductivity::us_per_cm(k), Area::mm2(1_250.0)).in_mg_per_m2();
        assert!((at(5.0, 1.0) - 6.0).abs() < 1e-9);
        assert!((at(5.0, 8.0) - 48.0).abs() < 1e-9);
        // The other convention: 5.0 mg/m2 for each uS/cm comes of c = 25/6.
        assert!((at(25.0 / 6.0, 1.0) - 5.0).abs() < 1e-9);
    }

    /// By hand: 10 g of aluminium gives 13.37 L of hydrogen at 20 °C and uses 14.82 g of caustic soda; 10 g of zinc 3.68 L and
    /// 12.24 g; 85 um of zinc is 606.9 g/m2; 1 % of hydrogen in 30 m3 takes 224.3 g of aluminium.
    #[test]
    fn metal_in_alkali_gives_hydrogen() {
        assert!((Amphoteric::Aluminium.hydrogen(Mass::g(10.0)).in_litres() - 13.37).abs() < 0.05);
        assert!((Amphoteric::Aluminium.caustic(Mass::g(10.0)).in_g() - 14.82).abs() < 0.01);
        assert!((Amphoteric::Zinc.hydrogen(Mass::g(10.0)).in_litres() - 3.68).abs() < 0.01);
        assert!((Amphoteric::Zinc.caustic(Mass::g(10.0)).in_g() - 12.24).abs() < 0.01);
        assert!((zinc_coat(Length::um(85.0)).in_g_per_m2() - 606.9).abs() < 0.05);
        let metal = Amphoteric::Aluminium.metal_for(Volume::m3(30.0), Share::percent(1.0));
        assert!((metal.in_g() - 224.3).abs() < 0.2, "{}", metal.in_g());
    }
}

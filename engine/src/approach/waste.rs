//! Waste and the lead in it, reckoned coat by coat.

use super::quantities::{At, WASTE, result};
use crate::error::Error;
use crate::quantity;
use crate::reckon::units::{Density, Length, Loading, Mass, Measure, Ratio, Share};
use crate::reckon::{Given, Sheet, Span, lead};
use crate::role::{ChoiceRole, FactRole, FigureRole};

impl At<'_, '_, '_, '_, '_> {
    /// How a coat stands as to lead: surely present, surely absent, or neither.
    fn lead_of(&self, coat: usize) -> Option<bool> {
        self.is(FactRole::Lead, ChoiceRole::Present, coat)
    }

    /// The thickness of a coat: as measured, else from its layers.
    fn thickness(&self, sheet: &mut Sheet, coat: usize) -> Result<Span<Length>, Error> {
        let name = format!("coat {}", coat + 1);
        if let Some(given) = self.number::<Length>(FactRole::Thickness, coat) {
            return Ok(sheet.given(name, &given));
        }
        if let Some(layers) = self.number::<Ratio>(FactRole::Layers, coat) {
            let each: Span<Length> = self.desk.figure(sheet, FigureRole::LayerThickness)?;
            return Ok(each * sheet.given(format!("layers of {name}"), &layers));
        }
        Err(format!("neither thickness nor layers of {name} are known").into())
    }

    /// The thickness of all that the method takes off.
    pub(super) fn build_up(&self, sheet: &mut Sheet) -> Result<Span<Length>, Error> {
        let mut whole: Option<Span<Length>> = None;
        for coat in &self.part.coats {
            let thickness = self.thickness(sheet, *coat)?;
            whole = Some(whole.map_or(thickness, |w| w + thickness));
        }
        whole.ok_or_else(|| "the coats are not known".into())
    }

    /// The waste of a method by weight, and the remover in it.
    pub(super) fn waste(&self) -> Result<(Sheet, Option<Mass>), Error> {
        if !self.part.subject.known.listed {
            return Err("the coats are not known".into());
        }
        let mut sheet = self.desk.sheet("waste", "Waste");
        let area = sheet.given("area", &self.area()?);
        let detail: Span<Ratio> = self.desk.figure(&mut sheet, (FigureRole::Detail, &self.detail()?))?;
        let covered = area * detail;
        let mut paint: Option<Span<Mass>> = None;
        for coat in &self.part.coats {
            let thickness = self.thickness(&mut sheet, *coat)?;
            let density: Span<Density> = match self.lead_of(*coat) {
                Some(true) => self.desk.figure(&mut sheet, FigureRole::LeadedDensity)?,
                Some(false) => self.desk.figure(&mut sheet, FigureRole::UnleadedDensity)?,
                None => {
                    let lead: Span<Density> = self.desk.figure(&mut sheet, FigureRole::LeadedDensity)?;
                    lead.join(self.desk.figure(&mut sheet, FigureRole::UnleadedDensity)?)
                }
            };
            let mass = covered * (thickness * density);
            paint = Some(paint.map_or(mass, |p| p + mass));
        }
        let paint = paint.ok_or("the coats are not known")?;
        sheet.result("old paint that comes off", paint, "kg");
        let mut whole = paint;
        let mut with = None;
        if self.desk.has_figure((FigureRole::Density, self.part.id)) {
            let remover = self.remover()?;
            if let Some(mass) = result::<Mass>(&remover, "by weight") {
                sheet.result("remover that comes off with it", mass, "kg");
                for line in remover.from {
                    if !sheet.from.iter().any(|l| l.name == line.name) {
                        sheet.from.push(line);
                    }
                }
                whole = whole + mass;
                with = Some(mass.high());
            }
        }
        sheet.result(WASTE, whole, "kg");
        sheet.formula("waste = area x detail x thickness of the coats x density, and the remover as it was put on (geometry)");
        Ok((sheet, with))
    }

    pub(super) fn lead(&self) -> Result<Sheet, Error> {
        let leaded: Vec<usize> = self.part.coats.iter().copied().filter(|c| self.lead_of(*c) != Some(false)).collect();
        if leaded.is_empty() {
            return Err("no coat that comes off is taken to hold lead".into());
        }
        let highest = |a: Given<Loading>, b: Given<Loading>| if b.span.high() > a.span.high() { b } else { a };
        let loading = leaded.iter().filter_map(|c| self.number::<Loading>(FactRole::LeadLoading, *c)).reduce(highest);
        let content = leaded
            .iter()
            .filter_map(|c| self.number::<Share>(FactRole::LeadContent, *c))
            .reduce(|a, b| if b.span.high() > a.span.high() { b } else { a });
        if loading.is_none() && content.is_none() {
            return Err("no lead reading: an XRF reading or a laboratory's content of the coats that come off".into());
        }
        let mut aside = self.desk.sheet("lead", "");
        let mut paint: Option<Span<Length>> = None;
        for coat in &leaded {
            match self.thickness(&mut aside, *coat) {
                Ok(t) => paint = Some(paint.map_or(t, |p| p + t)),
                Err(missing) if loading.is_none() => return Err(missing),
                Err(_) => {
                    paint = None;
                    break;
                }
            }
        }
        let length = |span: Span<Length>| Given {
            written: span.show(quantity::find_unit("mm").unwrap_or_else(|| Length::unit())),
            span,
            system: None,
        };
        let other = self.waste().ok().and_then(|(sheet, _)| result::<Mass>(&sheet, "remover that comes off with it"));
        let ask = lead::Ask {
            paint: paint.map(length),
            content: if loading.is_some() { None } else { content },
            loading,
            area: Some(self.area()?),
            other_waste: other.map(|span| Given { written: span.show(Mass::unit()), span, system: None }),
            ..lead::Ask::default()
        };
        let mut sheet = lead::sheet(&ask, self.desk)?;
        for line in sheet.from.iter_mut().filter(|l| matches!(l.name.as_str(), "leaded paint" | "other waste with it")) {
            line.source = Some("reckoned from what stands beside it".to_owned());
        }
        // How the thickness was come by stands with the rest.
        sheet.from.extend(aside.from);
        Ok(sheet)
    }
}

//! The approaches of a surface beside each other.

use super::data::Show;
use super::quantities::{APPLICATIONS, HOURS, Reckoner, WAITING, WASTE, result};
use super::shape::Compared;
use super::work::Work;
use crate::advice::Approach;
use crate::catalogue::EntryKind;
use crate::finding::{Extent, ReckonKind};
use crate::judge::in_force::InForce;
use crate::pack::{RankBy, passed};
use crate::reckon::units::{Mass, Measure, Ratio, Time};
use crate::reckon::{Line, Sheet, Span};
use crate::role::AttributeRole;
use crate::survey::Survey;

/// Hours, waiting and waste of an approach, summed over its methods, and what is missing.
#[derive(Debug, Default)]
pub(crate) struct Sums {
    pub(crate) hours: Option<Span<Time>>,
    pub(crate) waiting: Option<Span<Time>>,
    pub(crate) waste: Option<Span<Mass>>,
    /// How many times what is put on is left and taken off, over all methods.
    pub(crate) times: Option<Span<Ratio>>,
    pub(crate) missing: Vec<String>,
    /// What all of it was reckoned from.
    pub(crate) from: Vec<Line>,
}

fn plus<T: Measure>(sum: &mut Option<Span<T>>, more: Span<T>) {
    let add = |a: T, b: T| T::of_base(a.base() + b.base());
    *sum = Some(sum.map_or(more, |s| s.with(more, add)));
}

/// What an approach comes to. Where one of its methods cannot be reckoned the sum is not given at all: a part is not the whole.
pub(crate) fn sums<'b>(work: &Work<'b, '_, '_>, reckoner: &Reckoner<'b>) -> Sums {
    let mut sums = Sums::default();
    let (mut hours, mut waiting, mut waste) = (true, true, true);
    for part in &work.parts {
        let labour = reckoner.quantity(work, part, &Show { kind: ReckonKind::Labour, with: None });
        sums.missing.extend(labour.missing);
        let sheet = labour.reckoned.as_ref();
        sums.came_from(sheet);
        match sheet.and_then(|s| result::<Time>(s, HOURS)) {
            Some(time) => plus(&mut sums.hours, time),
            None => hours = false,
        }
        match sheet.and_then(|s| result::<Time>(s, WAITING)) {
            Some(time) => plus(&mut sums.waiting, time),
            None => waiting = false,
        }
        plus(&mut sums.times, sheet.and_then(|s| result::<Ratio>(s, APPLICATIONS)).unwrap_or_else(|| Span::exactly(Ratio::of(1.0))));
        // What stays is no waste.
        if part.extent != Extent::Stays {
            let quantity = reckoner.quantity(work, part, &Show { kind: ReckonKind::Waste, with: None });
            sums.missing.extend(quantity.missing);
            sums.came_from(quantity.reckoned.as_ref());
            match quantity.reckoned.as_ref().and_then(|s| result::<Mass>(s, WASTE)) {
                Some(mass) => plus(&mut sums.waste, mass),
                None => waste = false,
            }
        }
    }
    sums.missing.sort_unstable();
    sums.missing.dedup();
    sums.hours = sums.hours.filter(|_| hours);
    sums.waiting = sums.waiting.filter(|_| waiting);
    sums.waste = sums.waste.filter(|_| waste);
    sums
}

impl Sums {
    fn came_from(&mut self, sheet: Option<&Sheet>) {
        for line in sheet.iter().flat_map(|s| &s.from) {
            if !self.from.contains(line) {
                self.from.push(line.clone());
            }
        }
    }

    /// As lines, in the units of the reckoner.
    pub(crate) fn lines(&self, reckoner: &Reckoner<'_>) -> Vec<Line> {
        let mut sheet = reckoner.desk.sheet("sums", "");
        if let Some(hours) = self.hours {
            sheet.result("attended hours", hours, "h");
        }
        if let Some(waiting) = self.waiting {
            sheet.result("waiting", waiting, "h");
        }
        if let Some(waste) = self.waste {
            sheet.result("waste", waste, "kg");
        }
        sheet.results
    }
}

pub(super) fn compare<'b>(
    force: &InForce<'b>,
    survey: &Survey,
    surface: usize,
    approaches: &[Approach],
    reckoner: &Reckoner<'b>,
) -> Vec<Compared> {
    let book = force.book;
    let hazard = book.base.catalogue.attribute_with(EntryKind::Method, AttributeRole::Hazard);
    let ranked = book.ranking.iter().find_map(|r| match &r.by {
        RankBy::Attribute { attribute, bands } if Some(*attribute) == hazard => Some((*attribute, bands)),
        _ => None,
    });
    approaches
        .iter()
        .enumerate()
        .map(|(i, approach)| {
            let work = Work::of(force, survey, surface, approach);
            let sums = sums(&work, reckoner);
            let points = |method: usize| {
                let (attribute, bands) = ranked?;
                match book.base.catalogue.entries(EntryKind::Method)[method].attributes[attribute] {
                    crate::catalogue::AttributeValue::Number(n) => Some(passed(bands, n) as f64 / bands.len() as f64),
                    _ => None,
                }
            };
            let conditions: Vec<_> = work.parts.iter().flat_map(|p| work.conditions(p)).map(|(_, c)| c).collect();
            let mut distinct: Vec<&str> = conditions.iter().map(|c| c.says.as_str()).collect();
            distinct.sort_unstable();
            distinct.dedup();
            Compared {
                approach: i + 1,
                says: approach.says.clone(),
                figures: sums.lines(reckoner),
                from: sums.from,
                hazard: work.parts.iter().filter_map(|p| points(p.method)).fold(0.0, f64::max),
                conditions: distinct.len(),
                burden: work.parts.iter().map(|p| p.judged.burden).sum(),
                missing: sums.missing,
            }
        })
        .collect()
}

//! What a step needs, takes and gives off, reckoned from what is known of the surface; where something is not known, what.

use super::shape::Quantity;
use super::work::{Part, Work};
use super::{Day, Settings};
use crate::catalogue::EntryKind;
use crate::error::Error;
use crate::finding::{Extent, ReckonKind};
use crate::judge::know::How;
use crate::judge::walk::{Domain, Var};
use crate::pack::RuleBook;
use crate::pack::working::Show;
use crate::patches::{self, Estimate};
use crate::quantity;
use crate::reckon::sheet::Standing;
use crate::reckon::units::{Area, Celsius, Length, Measure, Ratio, Share, Time, WorkRate};
use crate::reckon::{Desk, Given, Line, Sheet, Span};
use crate::reckon::{alkali, climate, fire, labour, remover, run_off, sheeting};
use crate::role::{ChoiceRole, FactRole, FigureRole, LimitRole, Occasion};
use crate::vocabulary::{About, FactKind, Known};

/// Reckons for one rule book, place and day.
pub(crate) struct Reckoner<'b> {
    pub(crate) book: &'b RuleBook,
    pub(crate) desk: Desk<'b>,
    pub(crate) settings: Settings,
}

/// What a log of patches recommends.
struct Tried {
    thickness: Given<Length>,
    dwell: Given<Time>,
}

/// How many times a remover is put on, and what tells it.
struct Applications {
    times: Given<Ratio>,
    source: String,
    from: Vec<Line>,
}

/// The name of the applications in a sheet.
pub(crate) const APPLICATIONS: &str = "applications";

/// Where what comes from a log is said to come from.
const FROM_PATCHES: &str = "the test patches of the survey";

/// A method of an approach with the reckoner.
pub(super) struct At<'r, 'w, 'b, 'i, 's> {
    pub(super) desk: &'r Desk<'b>,
    settings: &'r Settings,
    pub(super) work: &'w Work<'b, 'i, 's>,
    pub(super) part: &'w Part<'b, 'i, 's>,
}

impl<'b> Reckoner<'b> {
    /// A quantity, or what is missing for it.
    pub(crate) fn quantity(&self, work: &Work<'b, '_, '_>, part: &Part<'b, '_, '_>, show: &Show) -> Quantity {
        let at = At { desk: &self.desk, settings: &self.settings, work, part };
        let result = match show.kind {
            ReckonKind::Patches => at.patches(),
            ReckonKind::Sheeting => at.sheeting(),
            ReckonKind::Remover => at.remover(),
            ReckonKind::Labour => at.labour(),
            ReckonKind::Dwell => at.dwell(),
            ReckonKind::Rinse => at.rinse(),
            ReckonKind::Neutraliser => at.neutraliser(show.with.as_deref().unwrap_or_default()),
            ReckonKind::Waste => at.waste().map(|(sheet, _)| sheet),
            ReckonKind::Lead => at.lead(),
            ReckonKind::Watch => at.watch(),
            ReckonKind::Air => at.air(),
        };
        let (reckoned, missing) = match result {
            Ok(sheet) => (Some(sheet), None),
            Err(missing) => (None, Some(missing.message().to_owned())),
        };
        Quantity { kind: show.kind, method: part.id.to_owned(), reckoned, missing }
    }

    /// A figure of the rule book as a line, with its source.
    pub(crate) fn figure_line(&self, id: &str) -> Option<Line> {
        self.desk.figure_named::<Time>(id)
    }
}

/// A named result of a sheet, in base units.
pub(crate) fn result<T: Measure>(sheet: &Sheet, name: &str) -> Option<Span<T>> {
    let line = sheet.results.iter().find(|l| l.name == name)?;
    let unit = quantity::find_unit(line.unit?).filter(|u| !u.names[0].is_empty()).unwrap_or_else(quantity::Unit::none);
    Some(Span::between(T::of_base(unit.to_base(line.low?)), T::of_base(unit.to_base(line.high?))))
}

/// The name of the hours in a labour sheet.
pub(crate) const HOURS: &str = "attended, hours of one person";
/// The name of the waiting in a labour sheet.
pub(crate) const WAITING: &str = "waiting";
/// The name of the whole in a waste sheet.
pub(crate) const WASTE: &str = "waste to carry away, rinse water and sheeting not counted";

impl At<'_, '_, '_, '_, '_> {
    /// What is known of a number, if it is settled to a range with both ends.
    pub(super) fn number<T: Measure>(&self, role: FactRole, coat: usize) -> Option<Given<T>> {
        let base = self.desk.shelf.base();
        let id = base.vocabulary.with(role)?;
        let fact = base.vocabulary.get(id);
        if fact.unit().dimension != T::unit().dimension {
            return None;
        }
        let slot = self.part.subject.slot(Var::Fact(id, coat as u8), &self.part.settings)?;
        let Known::Num(reach) = &slot.known else { return None };
        let (low, high) = reach.bounds().filter(|(a, b)| a.is_finite() && b.is_finite())?;
        if slot.how == How::Open {
            return None;
        }
        let surface = &self.part.survey.surfaces[self.work.surface];
        let facts = match fact.about {
            About::Site => Some(&self.part.survey.site),
            About::Surface => Some(&surface.facts),
            About::Coat => surface.coats.as_ref().and_then(|c| c.get(coat)),
            About::Method | About::Incident | About::Trouble => None,
        };
        let written = facts.and_then(|f| f.get(&id)).map(|s| s.written.clone());
        let written = written.unwrap_or_else(|| fact.show(&slot.known, &base.catalogue, self.desk.system));
        let system = T::unit().system.map(|_| self.desk.system);
        Some(Given { span: Span::between(T::of_base(low), T::of_base(high)), written, system })
    }

    /// The id of the one choice or entry a fact is settled to.
    fn choice(&self, role: FactRole) -> Option<&str> {
        let base = self.desk.shelf.base();
        let id = base.vocabulary.with(role)?;
        let slot = self.part.subject.slot(Var::Fact(id, 0), &self.part.settings)?;
        let fact = base.vocabulary.get(id);
        match (&fact.kind, &slot.known) {
            (FactKind::Choice(_) | FactKind::Entry(_), Known::Bits(bits)) if bits.is_power_of_two() => {
                Some(fact.choice_id(bits.trailing_zeros() as usize, &base.catalogue))
            }
            _ => None,
        }
    }

    /// Whether a fact is settled to the choice that plays a role: surely, surely not, or neither.
    pub(super) fn is(&self, role: FactRole, choice: ChoiceRole, coat: usize) -> Option<bool> {
        let base = self.desk.shelf.base();
        let id = base.vocabulary.with(role)?;
        let slot = self.part.subject.slot(Var::Fact(id, coat as u8), &self.part.settings)?;
        match &slot.known {
            Known::Bits(bits) if bits.is_power_of_two() => {
                Some(base.vocabulary.get(id).choice_with(choice) == Some(bits.trailing_zeros() as usize))
            }
            _ => None,
        }
    }

    fn need<T>(found: Option<T>, what: &str) -> Result<T, Error> {
        found.ok_or_else(|| format!("{what} is not known").into())
    }

    /// The area worked on: of the whole surface, or the share that is loose.
    pub(super) fn area(&self) -> Result<Given<Area>, Error> {
        let area: Given<Area> = Self::need(self.number(FactRole::Area, 0), "the painted area")?;
        if self.part.extent != Extent::Loose {
            return Ok(area);
        }
        let (low, high) = self.work.stay.as_ref().and_then(|s| s.share).ok_or("how much of the paint is loose is not known")?;
        let share = Span::between(Share::of(low), Share::of(high));
        let written = format!("{}, of it {} loose", area.written, share.show(Share::unit()));
        Ok(Given { span: area.span * share, written, system: area.system })
    }

    pub(super) fn detail(&self) -> Result<String, Error> {
        let detail = self.choice(FactRole::Detail).map(str::to_owned);
        Self::need(detail, "whether the surface is plain, moulded or carved")
    }

    /// The log of this method, read for the temperature of the job.
    fn estimate(&self) -> Option<(patches::Usual, Estimate)> {
        let surface = &self.work.survey.surfaces[self.work.surface];
        let log = patches::logs(surface).into_iter().find(|l| l.method == Some(self.part.method))?;
        let usual = patches::usual(self.part.method, self.desk)?;
        let warmth = patches::sheet::warmth(self.desk).ok()?;
        let job = patches::sheet::job_temperature(surface, &self.work.survey.site, self.desk);
        let estimate = patches::estimate(&log, &usual, warmth, job);
        Some((usual, estimate))
    }

    fn tried(&self) -> Option<Tried> {
        let advice = self.estimate()?.1.recommended?;
        let thickness = Span::exactly(advice.thickness);
        let dwell = Span::exactly(advice.dwell);
        let show = |base: f64, unit: &str| quantity::find_unit(unit).map_or_else(String::new, |u| quantity::show_in(base, u));
        Some(Tried {
            thickness: Given { written: show(advice.thickness.base(), "mm"), span: thickness, system: None },
            dwell: Given { written: show(advice.dwell.base(), "h"), span: dwell, system: None },
        })
    }

    /// Says of what came from a log that it did.
    fn cite_patches(mut sheet: Sheet, tried: bool) -> Sheet {
        if tried {
            for line in sheet.from.iter_mut().filter(|l| l.source.as_deref() == Some("given")) {
                if matches!(line.name.as_str(), "thickness" | "dwell" | "paste that was on") {
                    line.source = Some(FROM_PATCHES.to_owned());
                }
            }
        }
        sheet
    }

    /// How many times a remover is put on: once where patches cleared within a dwell, else the build-up over what one application
    /// takes off; where the build-up is not known, what is usual. `None` for a method that is not put on.
    fn applications(&self) -> Option<Applications> {
        let lifts = (FigureRole::Lifts, self.part.id);
        if !self.desk.has_figure(lifts) {
            return None;
        }
        let given = |span: Span<Ratio>| Given { written: span.show(Ratio::unit()), span, system: None };
        if self.tried().is_some() {
            return Some(Applications {
                times: given(Span::exactly(Ratio::of(1.0))),
                source: format!("{FROM_PATCHES}: they cleared with one"),
                from: Vec::new(),
            });
        }
        let mut aside = self.desk.sheet("applications", "");
        if let Some(Ok(build_up)) = self.part.subject.known.listed.then(|| self.build_up(&mut aside)) {
            let each: Span<Length> = self.desk.figure(&mut aside, lifts).ok()?;
            let times = (build_up / each).up().rising(|n| Ratio::of(n.value().max(1.0)));
            let source = format!(
                "reckoned: {} of paint over what one application takes off",
                build_up.show(quantity::find_unit("mm").unwrap_or_else(|| Length::unit()))
            );
            return Some(Applications { times: given(times), source, from: aside.from });
        }
        let usual: Span<Ratio> = self.desk.look_up(FigureRole::Applications).ok()?;
        let source = self.desk.cite_figure(FigureRole::Applications).unwrap_or_default();
        Some(Applications { times: given(usual), source: format!("{source}: the thickness of the coats is not known"), from: Vec::new() })
    }

    /// Says on a sheet what its number of applications comes from.
    fn cite_applications(&self, mut sheet: Sheet, applications: Option<Applications>) -> Sheet {
        let Some(applications) = applications else { return sheet };
        sheet.result(APPLICATIONS, applications.times.span, "");
        for line in sheet.from.iter_mut().filter(|l| l.name == APPLICATIONS) {
            line.source = Some(applications.source.clone());
        }
        for line in applications.from {
            if !sheet.from.contains(&line) {
                sheet.from.push(line);
            }
        }
        self.desk.remark(&mut sheet, Occasion::Applications);
        sheet
    }

    fn patches(&self) -> Result<Sheet, Error> {
        let mut sheet = self.desk.sheet("patches", "Test patches");
        let dwells: Span<Ratio> = self.desk.figure(&mut sheet, FigureRole::PatchDwells)?;
        let thicknesses: Span<Ratio> = self.desk.figure(&mut sheet, FigureRole::PatchThicknesses)?;
        let side: Span<Length> = self.desk.figure(&mut sheet, FigureRole::PatchSide)?;
        sheet.result("patches, besides the witness square", dwells * thicknesses, "");
        sheet.result("side of each", side, "mm");
        if let Some((_, estimate)) = self.estimate() {
            match (&estimate.recommended, estimate.thin.first()) {
                (Some(advice), _) => {
                    let says = format!(
                        "The log so far: {} for {} clears nine spots of ten.",
                        sheet.say(advice.thickness, "mm"),
                        sheet.say(advice.dwell, "h")
                    );
                    sheet.find(Standing::Plain, says, Some(FROM_PATCHES.to_owned()));
                }
                (None, Some(thin)) => sheet.find(Standing::Open, format!("The log so far: {thin}."), Some(FROM_PATCHES.to_owned())),
                (None, None) => {
                    sheet.find(Standing::Open, "The log so far recommends nothing within what was tried.", Some(FROM_PATCHES.to_owned()));
                }
            }
        }
        sheet.formula("patches = dwells x thicknesses");
        Ok(sheet)
    }

    fn sheeting(&self) -> Result<Sheet, Error> {
        let outside = Self::need(self.is(FactRole::Where, ChoiceRole::Outside, 0), "whether the surface is inside or outside")?;
        let ask = sheeting::Ask {
            length: Some(Self::need(self.number(FactRole::Length, 0), "the length of the work along the wall or floor")?),
            width: None,
            height: None,
            outside,
            beyond: self.number(FactRole::Sheeting, 0),
            boundary: self.number(FactRole::Boundary, 0),
            film: None,
        };
        sheeting::sheet(&ask, self.desk)
    }

    pub(super) fn remover(&self) -> Result<Sheet, Error> {
        let tried = self.tried();
        let applications = self.applications();
        let ask = remover::Ask {
            area: Some(self.area()?),
            thickness: tried.as_ref().map(|t| t.thickness.clone()),
            method: self.part.id.to_owned(),
            detail: self.detail()?,
            applications: applications.as_ref().map(|a| a.times.clone()),
            ..remover::Ask::default()
        };
        let sheet = remover::sheet(&ask, self.desk)?;
        Ok(Self::cite_patches(self.cite_applications(sheet, applications), tried.is_some()))
    }

    fn loose_rate(&self) -> Option<Given<WorkRate>> {
        let span: Span<WorkRate> = self.desk.look_up((FigureRole::LooseRate, self.part.id)).ok()?;
        Some(Given { span, written: span.show(WorkRate::unit().for_system(self.desk.system)), system: None })
    }

    fn labour(&self) -> Result<Sheet, Error> {
        let tried = self.tried();
        let applications = self.applications();
        let people = Ratio::of(self.settings.people);
        let ask = labour::Ask {
            area: Some(self.area()?),
            method: self.part.id.to_owned(),
            detail: self.detail()?,
            // Where only what is loose comes off the trade may know a rate of its own.
            rate: (self.part.extent == Extent::Loose).then(|| self.loose_rate()).flatten(),
            people: Some(Given { span: Span::exactly(people), written: quantity::plain(self.settings.people), system: None }),
            dwell: tried.as_ref().map(|t| t.dwell.clone()),
            applications: applications.as_ref().map(|a| a.times.clone()),
            ..labour::Ask::default()
        };
        let mut sheet = labour::sheet(&ask, self.desk)?;
        if let Some(figure) = ask.rate.as_ref().and_then(|_| self.desk.find((FigureRole::LooseRate, self.part.id))) {
            for line in sheet.from.iter_mut().filter(|l| l.name == "rate of one person") {
                line.name.clone_from(&figure.title);
                line.source = Some(self.desk.shelf.cite(&figure.source));
            }
            sheet.remind("The rate is a trade estimate, never a promise: time a patch and give its rate.", None);
        }
        Ok(Self::cite_patches(self.cite_applications(sheet, applications), tried.is_some()))
    }

    fn dwell(&self) -> Result<Sheet, Error> {
        let mut sheet = self.desk.sheet("dwell", "Dwell");
        let tried = self.tried();
        if let Some(tried) = &tried {
            let thickness = sheet.given("thickness", &tried.thickness);
            let dwell = sheet.given("dwell", &tried.dwell);
            sheet.result("dwell", dwell, "h");
            sheet.result("at a thickness of", thickness, "mm");
        } else {
            let dwell: Span<Time> = self.desk.figure(&mut sheet, (FigureRole::Dwell, self.part.id))?;
            sheet.result("dwell, what is usual", dwell, "h");
            sheet.find(Standing::Open, "Only patches tell the dwell of these coats.", None);
        }
        Ok(Self::cite_patches(sheet, tried.is_some()))
    }

    fn rinse(&self) -> Result<Sheet, Error> {
        let ask = run_off::Ask { area: Some(self.area()?), ph: self.number(FactRole::EffluentPh, 0), ..run_off::Ask::default() };
        run_off::sheet(&ask, self.desk)
    }

    fn neutraliser(&self, acid: &str) -> Result<Sheet, Error> {
        let tried = self.tried();
        let ask = alkali::NeutraliserAsk {
            area: Some(self.area()?),
            thickness: tried.as_ref().map(|t| t.thickness.clone()),
            acid: acid.to_owned(),
            substrate: self.choice(FactRole::Substrate).map(str::to_owned),
            ..alkali::NeutraliserAsk::default()
        };
        Ok(Self::cite_patches(alkali::neutraliser_sheet(&ask, self.desk)?, tried.is_some()))
    }

    fn watch(&self) -> Result<Sheet, Error> {
        let book = self.work.force.book;
        let limit = book.base.limit_with(LimitRole::WatchHistoric);
        // The longer watch of an old building counts where a condition of this method rests on it.
        let historic = self
            .part
            .judged
            .cases
            .iter()
            .flat_map(|c| &c.chosen)
            .flat_map(|(_, _, because)| because)
            .any(|rule| limit.is_some_and(|l| book.rules[*rule].tree.limits().contains(&l)));
        let own = self.number::<Time>(FactRole::Watch, 0).or_else(|| {
            let fact = book.base.vocabulary.with(FactRole::Watch)?;
            let chosen = self.part.judged.cases.iter().flat_map(|c| &c.chosen);
            let least = chosen.filter(|(v, ..)| *v == Var::Fact(fact, 0)).filter_map(|(_, d, _)| match d {
                Domain::Num(reach) => reach.bounds().map(|(low, _)| low),
                Domain::Bits(_) => None,
            });
            let least = least.fold(0.0, f64::max);
            (least > 0.0).then(|| Given {
                span: Span::exactly(Time::of_base(least)),
                written: format!(
                    "{} (a condition of the method)",
                    quantity::find_unit("min").map_or_else(String::new, |u| quantity::show_in(least, u))
                ),
                system: None,
            })
        });
        let ask = fire::Ask { heat_off: None, closes: Some(self.settings.day.ends), historic, watch: own };
        fire::sheet(&ask, self.desk)
    }

    fn air(&self) -> Result<Sheet, Error> {
        let air: Given<Celsius> = Self::need(self.number(FactRole::AirTemperature, 0), "the air temperature")?;
        let humidity: Given<Share> = Self::need(self.number(FactRole::Humidity, 0), "the relative humidity")?;
        let surface = self.number(FactRole::SurfaceTemperature, 0);
        climate::sheet(&climate::Ask { air: Some(air), humidity: Some(humidity), surface, ..climate::Ask::default() }, self.desk)
    }
}

impl Day {
    /// In words.
    pub(crate) fn words(self) -> String {
        format!("{} to {}", self.starts.strftime("%H:%M"), self.ends.strftime("%H:%M"))
    }
}

/// A method of the catalogue by id.
pub(crate) fn find_method(desk: &Desk<'_>, id: &str) -> Option<usize> {
    desk.shelf.base().catalogue.find(EntryKind::Method, id)
}

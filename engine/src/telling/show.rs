//! Putting facts, rules and conditions into words.

use crate::advice::{Condition, FactRead, Flip, Notice};
use crate::finding::{Footing, HowKnown, Ruling, Settled, Status};
use crate::judge::know::{How, Slot, Slots};
use crate::judge::walk::{Domain, Var, walk};
use crate::judge::{Found, Subject};
use crate::pack::{Part, Rule, RuleBook, Template};
use crate::quantity::System;
use crate::reach::Reach;
use crate::survey::{Facts, Supposition, Survey};
use crate::tree::Who;
use crate::vocabulary::{About, FactId, FactKind, Known, flag};
use crate::words;

/// Tells what is known and judged of one surface (or of the site), in the survey's units.
#[derive(Clone)]
pub(crate) struct Teller<'a, 'b, 'i> {
    pub(crate) subject: &'a Subject<'b, 'i>,
    pub(crate) survey: &'a Survey,
    /// The surface, by place in the survey.
    pub(crate) surface: Option<usize>,
    pub(crate) system: System,
}

/// `fact` of a choice: `surface.near (drain)`.
fn choice_name(fact: &str, choice: &str) -> String {
    format!("{fact} ({choice})")
}

impl<'b> Teller<'_, 'b, '_> {
    pub(crate) fn book(&self) -> &'b RuleBook {
        self.subject.force.book
    }

    /// The fact's id, and what it is about.
    pub(crate) fn name(&self, var: Var) -> (String, String) {
        let base = self.subject.base();
        let about = |f: FactId, coat: u8| match base.vocabulary.get(f).about {
            About::Coat => format!("coat {}", coat + 1),
            about => about.word().to_owned(),
        };
        match var {
            Var::Fact(f, coat) => (base.vocabulary.get(f).id.clone(), about(f, coat)),
            Var::Choice(f, option, coat) => {
                let fact = base.vocabulary.get(f);
                (choice_name(&fact.id, fact.choice_id(usize::from(option), &base.catalogue)), about(f, coat))
            }
            Var::Test(id, _) => {
                let test = &self.subject.force.comparisons[id];
                let mut facts = Vec::new();
                test.0.facts(&mut facts);
                test.2.facts(&mut facts);
                let mut names: Vec<&str> = facts
                    .iter()
                    .filter_map(|w| if let Who::Fact(f) = w { Some(base.vocabulary.get(*f).id.as_str()) } else { None })
                    .collect();
                names.dedup();
                (words::list(&names, "and"), "taken together".to_owned())
            }
        }
    }

    /// A variable as it stands in a sentence: `ventilation`, `lead of coat 2`.
    pub(crate) fn title(&self, var: Var) -> String {
        let base = self.subject.base();
        match var {
            Var::Fact(f, coat) => {
                let fact = base.vocabulary.get(f);
                if fact.about == About::Coat && self.subject.known.coats.len() > 1 {
                    format!("{} (coat {})", fact.title, coat + 1)
                } else {
                    fact.title.clone()
                }
            }
            Var::Choice(f, option, _) => {
                let fact = base.vocabulary.get(f);
                format!("{}: {}", fact.title, fact.choice_title(usize::from(option), &base.catalogue))
            }
            Var::Test(..) => self.name(var).0,
        }
    }

    /// What a variable is said to be.
    pub(crate) fn value(&self, var: Var, domain: &Domain) -> String {
        let base = self.subject.base();
        match (var, domain) {
            (Var::Fact(f, _), Domain::Bits(b)) => base.vocabulary.get(f).show(&Known::Bits(*b), &base.catalogue, self.system),
            (Var::Fact(f, _), Domain::Num(r)) => base.vocabulary.get(f).show(&Known::Num(r.clone()), &base.catalogue, self.system),
            (_, Domain::Bits(b)) => if *b == flag::YES { "yes" } else { "no" }.to_owned(),
            _ => String::new(),
        }
    }

    /// How it reads after "if" that a variable is a value, with titles and no ids.
    pub(crate) fn plain(&self, var: Var, domain: &Domain) -> String {
        let base = self.subject.base();
        let (Var::Fact(id, _) | Var::Choice(id, ..)) = var else { return self.value(var, domain) };
        let fact = base.vocabulary.get(id);
        let (_, about) = self.name(var);
        let coat = Some(about.as_str()).filter(|a| a.starts_with("coat ") && self.subject.known.coats.len() > 1);
        let choice = if let Var::Choice(_, option, _) = var { Some(fact.choice_title(usize::from(option), &base.catalogue)) } else { None };
        let ids = fact.choice_ids(&base.catalogue);
        let titled = |word: &str| {
            let bare = word.trim_matches(|c: char| matches!(c, ',' | ';'));
            let at = ids.iter().position(|i| *i == bare);
            at.map_or_else(|| word.to_owned(), |i| word.replacen(bare, fact.choice_title(i, &base.catalogue), 1))
        };
        let value = self.value(var, domain);
        let value = if matches!(fact.kind, FactKind::YesNo) || choice.is_some() {
            value
        } else {
            value.split(' ').map(titled).collect::<Vec<_>>().join(" ")
        };
        fact.so(&value, choice, coat)
    }

    /// What a fact is known to be, in the ids of files.
    pub(crate) fn known(&self, var: Var, settings: &Slots) -> String {
        let Some(slot) = self.subject.slot(var, settings) else { return "not known".to_owned() };
        let base = self.subject.base();
        match (var, &slot.known) {
            (Var::Choice(_, option, _), Known::Several { yes, no }) => {
                if yes >> option & 1 == 1 {
                    "yes".to_owned()
                } else if no >> option & 1 == 1 {
                    "no".to_owned()
                } else {
                    "not known".to_owned()
                }
            }
            (Var::Fact(f, _) | Var::Choice(f, ..), known) => {
                let fact = base.vocabulary.get(f);
                if slot.how == How::Open && !known.settled(fact, &base.catalogue) && *known == fact.anything(&base.catalogue) {
                    return "not known".to_owned();
                }
                fact.show(known, &base.catalogue, self.system)
            }
            (Var::Test(..), _) => "not known".to_owned(),
        }
    }

    fn stated(&self, var: Var) -> Option<&crate::survey::Stated> {
        let (Var::Fact(f, coat) | Var::Choice(f, _, coat)) = var else { return None };
        let surface = self.surface.map(|s| &self.survey.surfaces[s]);
        let facts: &Facts = match self.subject.base().vocabulary.get(f).about {
            About::Site => &self.survey.site,
            About::Surface => &surface?.facts,
            About::Coat => surface?.coats.as_ref()?.get(usize::from(coat))?,
            About::Method | About::Incident | About::Trouble => return None,
        };
        facts.get(&f)
    }

    /// How a fact is known.
    pub(crate) fn how(&self, var: Var, settings: &Slots) -> HowKnown {
        match self.subject.slot(var, settings).map(|s| s.how) {
            Some(How::Stated) => {
                let stated = self.stated(var);
                let by = stated.and_then(|s| s.by.as_deref()).map(|b| format!("found by {b}"));
                let on = stated.and_then(|s| s.on).map(|d| format!("on {d}"));
                let parts: Vec<String> = by.into_iter().chain(on).collect();
                let says = if parts.is_empty() { Footing::Stated.word().to_owned() } else { parts.join(" ") };
                HowKnown { says, ground: Footing::Stated, by: None }
            }
            Some(How::Presumed(p)) => {
                let presumption = &self.book().presumptions[p];
                let by = Some(presumption.id.clone());
                if presumption.finding {
                    HowKnown { says: self.found(var, p, settings), ground: Footing::Found, by }
                } else {
                    HowKnown { says: format!("presumed ({})", presumption.id), ground: Footing::Presumed, by }
                }
            }
            Some(How::Proposed) => HowKnown::plainly(Footing::Proposed),
            Some(How::Supposed) => HowKnown::plainly(Footing::Supposed),
            Some(How::Open) | None => match var {
                Var::Fact(f, _) | Var::Choice(f, ..) if self.subject.base().vocabulary.get(f).chosen => {
                    HowKnown::plainly(Footing::ToChoose)
                }
                _ => HowKnown::plainly(Footing::Open),
            },
        }
    }

    /// How a fact is known that follows from what was measured or tried: by what, where that is said.
    fn found(&self, var: Var, presumption: usize, settings: &Slots) -> String {
        let coat = if let Var::Fact(_, c) | Var::Choice(_, _, c) = var { usize::from(c) } else { 0 };
        let mut seen = Vec::new();
        if let Some(ready) = self.subject.force.presumptions.iter().find(|r| r.rule == presumption) {
            walk(&ready.tree, &self.subject.view(coat, settings, None), Some(&mut seen));
        }
        let stated = |v: &&Var| self.subject.slot(**v, settings).is_some_and(|s| s.how == How::Stated);
        let told: Vec<String> = seen
            .iter()
            .filter(stated)
            .map(|v| {
                let by = self.stated(*v).and_then(|s| s.by.as_deref()).map(|b| format!(" by {b}")).unwrap_or_default();
                format!("{} {}{by}", self.title(*v), self.known(*v, settings))
            })
            .collect();
        let id = &self.book().presumptions[presumption].id;
        if told.is_empty() { format!("found ({id})") } else { format!("found ({id}): {}", words::list(&told, "and")) }
    }

    pub(crate) fn read(&self, var: Var, settings: &Slots) -> FactRead {
        let (fact, about) = self.name(var);
        FactRead { fact, about, value: self.known(var, settings), how_known: self.how(var, settings), title: self.title(var) }
    }

    /// Variables, and behind each presumed one what the presumption rests on.
    pub(crate) fn with_grounds(&self, vars: &[Var], settings: &Slots) -> Vec<Var> {
        let mut all: Vec<Var> = Vec::new();
        let mut left: Vec<Var> = vars.iter().rev().copied().collect();
        while let Some(var) = left.pop() {
            if all.contains(&var) {
                continue;
            }
            all.push(var);
            if let Some(Slot { how: How::Presumed(p), .. }) = self.subject.slot(var, settings)
                && let Some(ready) = self.subject.force.presumptions.iter().find(|r| r.rule == *p)
            {
                let coat = if let Var::Fact(_, c) = var { usize::from(c) } else { 0 };
                let mut seen = Vec::new();
                walk(&ready.tree, &self.subject.view(coat, settings, None), Some(&mut seen));
                left.extend(seen);
            }
        }
        all
    }

    /// A flip in words.
    pub(crate) fn flip(&self, var: Var, domain: &Domain, settings: &Slots) -> Flip {
        self.flip_within(var, domain, settings, settings)
    }

    /// As [`Self::flip`], where `bare` is what could be set if nothing were proposed.
    pub(crate) fn flip_within(&self, var: Var, domain: &Domain, settings: &Slots, bare: &Slots) -> Flip {
        let (fact, about) = self.name(var);
        let title = self.title(var);
        let now = match self.subject.slot(var, settings).map(|s| s.how) {
            Some(How::Stated) => Footing::Stated,
            Some(How::Presumed(_)) => Footing::Presumed,
            Some(How::Proposed) => Footing::Proposed,
            _ => Footing::Open,
        };
        let chosen = matches!(var, Var::Fact(f, _) | Var::Choice(f, ..) if self.subject.base().vocabulary.get(f).chosen);
        Flip {
            reads: if chosen { String::new() } else { self.plain(var, &self.beyond(var, domain, bare)) },
            now,
            fact,
            about,
            title,
            to: self.value(var, &self.beyond(var, domain, bare)),
            kind: if self.chosen(var) { Settled::Chosen } else { Settled::Found },
            set: self.set(var, domain),
        }
    }

    /// A variable and its values as a supposition.
    fn set(&self, var: Var, domain: &Domain) -> Vec<Supposition> {
        match self.surface {
            Some(surface) => super::flips::suppose(self.subject.force, self.survey, surface, &[(var, domain.clone())]),
            None => Vec::new(),
        }
    }

    pub(crate) fn chosen(&self, var: Var) -> bool {
        match var {
            Var::Fact(f, _) | Var::Choice(f, ..) => self.subject.base().vocabulary.get(f).chosen,
            Var::Test(..) => false,
        }
    }

    /// Widens a range to the fact's own ends where it reaches the ends of what the method can be set to, so that it reads
    /// "at most 450 °C" and not "50 °C to 450 °C".
    pub(crate) fn beyond(&self, var: Var, domain: &Domain, settings: &Slots) -> Domain {
        let base = self.subject.base();
        let (Var::Fact(f, _), Domain::Num(reach)) = (var, domain) else { return domain.clone() };
        let Some(Known::Num(settable)) = self.subject.slot(var, settings).map(|s| &s.known) else { return domain.clone() };
        let Known::Num(all) = base.vocabulary.get(f).anything(&base.catalogue) else { return domain.clone() };
        let (Some((low, high)), Some((own_low, own_high)), Some((all_low, all_high))) = (reach.bounds(), settable.bounds(), all.bounds())
        else {
            return domain.clone();
        };
        let mut wide = reach.clone();
        if low == own_low {
            wide = wide.or(&Reach::closed(all_low, low));
        }
        if high == own_high {
            wide = wide.or(&Reach::closed(high, all_high));
        }
        Domain::Num(wide)
    }

    /// A condition in words.
    pub(crate) fn condition(&self, var: Var, domain: &Domain, because: &[usize], settings: &Slots) -> Condition {
        let (fact_id, about) = self.name(var);
        let need = self.value(var, &self.beyond(var, domain, settings));
        let says = match var {
            Var::Fact(f, _) => {
                let fact = self.subject.base().vocabulary.get(f);
                match (&fact.kind, &fact.condition) {
                    (FactKind::YesNo, Some(text)) if need == "yes" => text.clone(),
                    (FactKind::YesNo, None) if need == "yes" => fact.title.clone(),
                    (FactKind::YesNo, _) => format!("not: {}", fact.title),
                    (_, Some(text)) => text.replace("{}", &need),
                    (_, None) => format!("{} {need}", fact.title),
                }
            }
            _ => format!("{}: {need}", self.title(var)),
        };
        let because = because.iter().map(|r| self.book().rules[*r].id.clone()).collect();
        Condition { fact: fact_id, about, need, says, because, set: self.set(var, domain) }
    }

    /// Fills the gaps of a sentence.
    pub(crate) fn fill(&self, template: &Template, coats: &[usize], method: Option<usize>, settings: &Slots) -> String {
        let base = self.subject.base();
        let mut text = String::new();
        for part in &template.parts {
            match part {
                Part::Text(t) => text.push_str(t),
                Part::Method => {
                    text.push_str(method.map_or("the method", |m| &base.catalogue.entries(crate::catalogue::EntryKind::Method)[m].title));
                }
                Part::Limit(l) => {
                    let limit = &base.limits[*l];
                    match limit.in_force(&self.subject.force.places, self.subject.force.date) {
                        Some(v) => {
                            let figure = v.quantity.show_with(self.system);
                            let said = match (&v.borrowed, figure.strip_suffix(')')) {
                                (None, _) => figure,
                                (Some(whose), Some(open)) => format!("{open}; {whose})"),
                                (Some(whose), None) => format!("{figure} ({whose})"),
                            };
                            text.push_str(&said);
                        }
                        None => text.push_str("(no figure in force here)"),
                    }
                }
                Part::Fact(f) => {
                    let coat = coats.first().copied().unwrap_or(0) as u8;
                    let fact = base.vocabulary.get(*f);
                    let coat = if fact.about == About::Coat { coat } else { 0 };
                    text.push_str(&self.in_sentence(Var::Fact(*f, coat), settings));
                }
            }
        }
        // A sentence may begin with a gap.
        let mut chars = text.chars();
        match chars.next() {
            Some(c) if c.is_lowercase() => c.to_uppercase().chain(chars).collect(),
            _ => text,
        }
    }

    /// The value of a fact as it stands in a sentence.
    fn in_sentence(&self, var: Var, settings: &Slots) -> String {
        let Var::Fact(f, _) = var else { return String::new() };
        let base = self.subject.base();
        let fact = base.vocabulary.get(f);
        match self.subject.slot(var, settings).map(|s| &s.known) {
            Some(Known::Bits(b)) if b.is_power_of_two() => fact.choice_title(b.trailing_zeros() as usize, &base.catalogue).to_owned(),
            // One of several, as long as that can be read.
            Some(Known::Bits(b)) if !matches!(fact.kind, FactKind::YesNo) && (2..=4).contains(&b.count_ones()) => {
                let named: Vec<&str> =
                    (0..fact.width(&base.catalogue)).filter(|i| b >> i & 1 == 1).map(|i| fact.choice_title(i, &base.catalogue)).collect();
                words::list(&named, "or")
            }
            Some(Known::Several { yes, .. }) if *yes != 0 => {
                let named: Vec<&str> =
                    (0..fact.width(&base.catalogue)).filter(|i| yes >> i & 1 == 1).map(|i| fact.choice_title(i, &base.catalogue)).collect();
                words::list(&named, "and")
            }
            _ => {
                let known = self.known(var, settings);
                if matches!(known.as_str(), "not known" | "anything") { format!("an unknown {}", fact.title) } else { known }
            }
        }
    }

    /// A rule speaking of what it found.
    pub(crate) fn notice(&self, found: &Found, method: Option<usize>, settings: &Slots, reads: &[Var]) -> Notice {
        let rule = &self.book().rules[found.rule];
        let failing = found.finding.applies.is_empty() && found.finding.fails.is_some();
        let says = match &found.finding.fails {
            Some(why) if failing => format!(
                "The rule \"{}\" could not be worked out here ({why}). Take it that it may apply, and ask.",
                rule.title.as_deref().unwrap_or(&rule.id)
            ),
            _ => self.fill(&rule.because, &found.coats, method, settings),
        };
        let certain = found.finding.certain() || failing && !found.finding.silent;
        self.speak(rule, says, certain, failing, found, method, settings, reads)
    }

    #[expect(clippy::too_many_arguments, reason = "all of it goes into one notice")]
    fn speak(
        &self,
        rule: &Rule,
        says: String,
        certain: bool,
        failing: bool,
        found: &Found,
        method: Option<usize>,
        settings: &Slots,
        reads: &[Var],
    ) -> Notice {
        Notice {
            rule: rule.id.clone(),
            pack: rule.pack.clone(),
            title: rule.title.clone(),
            ruling: if failing { Ruling::Caution } else { rule.ruling },
            says,
            instead: rule.instead.as_ref().map(|t| self.fill(t, &found.coats, method, settings)),
            basis: rule.basis,
            source: self.source(rule, method, found),
            place: rule.place.named.clone(),
            from: rule.period.from.map(|d| d.to_string()),
            status: if certain { Status::Applies } else { Status::Open },
            thought: false,
            coats: found.coats.iter().map(|c| c + 1).collect(),
            facts: self.with_grounds(reads, settings).into_iter().map(|v| self.read(v, settings)).collect(),
        }
    }

    /// The rule's source, and that of the grade it read, where it read one that is settled.
    fn source(&self, rule: &Rule, method: Option<usize>, found: &Found) -> String {
        let base = self.subject.base();
        let mut text = self.book().cite(rule.source_at(&self.subject.force.places));
        let sentences = [Some(&rule.because), rule.instead.as_ref()];
        let printed =
            sentences.into_iter().flatten().flat_map(|t| &t.parts).filter_map(|p| if let Part::Limit(l) = p { Some(*l) } else { None });
        let mut limits: Vec<usize> = rule.tree.limits().into_iter().chain(printed).collect();
        limits.sort_unstable();
        limits.dedup();
        for limit in limits {
            let figure = base.limits[limit].in_force(&self.subject.force.places, self.subject.force.date);
            let cited = figure.map(|v| self.book().cite(&v.source)).filter(|c| *c != text);
            if let Some(cited) = cited {
                text = format!("{text}; figure: {cited}");
            }
        }
        let Some(method) = method else { return text };
        let mut grids: Vec<usize> =
            rule.tree.tests().filter_map(|t| if let crate::tree::Test::Grid { grid, .. } = t { Some(*grid) } else { None }).collect();
        grids.dedup();
        for grid in grids {
            let grid = &base.catalogue.grids[grid];
            let row = base.vocabulary.iter().find(|(_, f)| matches!(f.kind, FactKind::Entry(k) if k == grid.rows));
            let Some((_, fact)) = row else { continue };
            let known = match fact.about {
                About::Surface => Some(&self.subject.known.surface[fact.slot].known),
                About::Coat => found.coats.first().and_then(|c| self.subject.known.coats.get(*c)).map(|c| &c[fact.slot].known),
                _ => None,
            };
            if let Some(Known::Bits(b)) = known
                && b.is_power_of_two()
            {
                let cell = &grid.cells[b.trailing_zeros() as usize][method];
                let cited = self.book().cite(&cell.source);
                if cited != text {
                    text = format!("{text}; grade: {cited}");
                }
            }
        }
        text
    }
}

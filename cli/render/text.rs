//! Advice as text: what suits first, then what must be found out or released, then what is ruled out.

use super::Page;
use super::shared::{
    MOST_CAUTIONS, MOST_IN_FULL, Sources, between_them, cautions, clears, coats, condition, dated, departures, holds, holds_of_ways, law,
    once_released, provided, repeated, shared_holds, short_reason, with,
};
use crate::args::Length;
use ovolo_engine::advice::{Advice, Ask, CoatAdvice, Condition, ConditionCase, FactRead, Flip, MethodAdvice, Notice, SurfaceAdvice};
use ovolo_engine::finding::{Footing, Ruling, Settled, Status, Verdict};
use ovolo_engine::role::{ChoiceRole, FactRole};
use ovolo_engine::vocabulary::Vocabulary;
use ovolo_engine::words;
use std::fmt::Write as _;

/// The most questions.
const MOST_QUESTIONS: usize = 6;

/// A text being written: the page, the sources named so far, and what is left for the common part.
struct Writer<'p> {
    page: &'p Page,
    out: String,
    sources: Sources,
    /// Rules that are told once for several surfaces.
    common: Vec<String>,
}

/// The whole advice.
pub(crate) fn advice(advice: &Advice, vocabulary: &Vocabulary, page: &Page) -> String {
    let shared = repeated(advice);
    let every: Vec<&SurfaceAdvice> = advice.surfaces.iter().collect();
    let mut holding = shared_holds(advice, &every, holds_of_ways);
    holding.retain(|(_, names)| names.len() > 1);
    // What holds up only methods that no way takes does not hold up the work: it is told with what to watch.
    let mut aside = shared_holds(advice, &every, holds);
    aside.retain(|(n, names)| names.len() > 1 && !holding.iter().any(|(h, _)| h.rule == n.rule));
    let shared = [aside, shared].concat();
    let mut w = Writer {
        page,
        out: String::new(),
        sources: Sources::default(),
        common: shared.iter().chain(&holding).map(|(n, _)| n.rule.clone()).collect(),
    };
    w.out.push_str(page.heading(&advice.survey.title).trim_start());
    if let Some(happened) = &advice.happened {
        w.line(&format!("{happened} {}", crate::page::TELLS));
    }
    w.line(&law(advice));
    if let Some(until) = &advice.good_until {
        w.line(&format!("Something this rests on changes on {until}: ask again from then on."));
    }
    for line in dated(advice) {
        w.line(&line);
    }
    if !holding.is_empty() {
        w.minor("Nothing starts before this is released");
        for (notice, names) in &holding {
            let whom = if names.len() == advice.surfaces.len() { String::new() } else { format!("{}: ", words::list(names, "and")) };
            w.said(notice, 0, &whom);
        }
    }
    for surface in &advice.surfaces {
        w.out.push_str(&page.heading(&surface.name));
        w.surface(surface, vocabulary);
    }
    w.questions(&advice.ask_next, advice.cannot_matter.len());
    w.common(advice, &shared);
    if !advice.departures.is_empty() {
        w.out.push_str(&page.heading("Departures"));
        for line in departures(advice, None) {
            w.point(&line);
        }
    }
    w.finish(&advice.defers)
}

impl Writer<'_> {
    fn line(&mut self, text: &str) {
        self.out.push_str(&self.page.paragraph("", "", text));
    }

    fn point(&mut self, text: &str) {
        self.out.push_str(&self.page.point(text));
    }

    fn minor(&mut self, text: &str) {
        self.out.push_str(&self.page.minor(text));
    }

    /// The sources named, and whose word comes first.
    fn finish(mut self, defers: &str) -> String {
        if !self.sources.list().is_empty() {
            self.out.push_str(&self.page.heading("Sources"));
            for (i, source) in self.sources.list().to_vec().iter().enumerate() {
                let number = format!("  {}. ", i + 1);
                let rest = " ".repeat(number.len());
                self.out.push_str(&self.page.paragraph(&number, &rest, source));
            }
        }
        self.out.push('\n');
        self.line(defers);
        self.out
    }

    fn surface(&mut self, surface: &SurfaceAdvice, vocabulary: &Vocabulary) {
        if !surface.coats.is_empty() {
            let told: Vec<String> = surface.coats.iter().map(|c| coat(c, vocabulary)).collect();
            self.out.push_str(&self.page.paragraph("", "  ", &format!("Coats from the top: {}.", told.join("; "))));
        }
        for proposal in &surface.proposals {
            let with = settings(&proposal.settings);
            self.out.push_str(&self.page.paragraph(
                "",
                "  ",
                &format!("Proposed: {}{with}: {}", proposal.title, told(proposal.verdict, &proposal.line)),
            ));
        }
        self.suited(surface);
        self.approaches(surface);
        let waiting = with(surface, &[Verdict::OnHold]);
        let every = holds(surface);
        // Where methods wait and no hold is known to apply, those that may are what they wait for.
        let open = self.page.all || !waiting.is_empty() && every.iter().all(|n| n.status != Status::Applies);
        let holds: Vec<&Notice> = every
            .into_iter()
            .filter(|n| n.status == Status::Applies && !self.common.contains(&n.rule) || n.status != Status::Applies && open)
            .collect();
        if !holds.is_empty() || !waiting.is_empty() {
            self.minor("Has to be released first");
            for hold in &holds {
                self.said(hold, surface.coats.len(), "");
            }
            if !waiting.is_empty() {
                for method in waiting.iter().take(3) {
                    let says = self.conditions(method, &method.conditions);
                    let then = once_released(method, &says, &depends(method));
                    self.point(&format!("{}{}: {then}", method.title, clears(method, surface.coats.len())));
                    for case in &method.cases {
                        let says = self.conditions(method, &case.conditions);
                        self.out.push_str(&self.page.under(&in_case(case, &says)));
                    }
                }
                if waiting.len() > 3 {
                    let titles: Vec<&str> = waiting[3..].iter().map(|m| m.title.as_str()).collect();
                    self.point(&format!("also on hold, lower in rank: {}", words::list(&titles, "and")));
                }
            }
        }
        let open = with(surface, &[Verdict::CantTellYet]);
        if !open.is_empty() {
            self.minor("Can't tell yet");
            for method in open {
                self.point(&format!("{}: {}", method.title, depends(method)));
            }
        }
        let ruled_out = with(surface, &[Verdict::RuledOut]);
        if !ruled_out.is_empty() {
            self.minor("Ruled out");
            for method in ruled_out {
                let (reason, notice) = short_reason(method);
                let ground = notice.map_or_else(String::new, |n| format!(" [{}]", self.sources.ground(n)));
                self.point(&format!("{}: {reason}{ground}", method.title));
            }
        }
        self.watch(surface);
    }

    /// The best approach with its steps in brief; the others are named.
    fn approaches(&mut self, surface: &SurfaceAdvice) {
        let Some((best, rest)) = surface.approaches.split_first() else { return };
        self.minor("Approach");
        let released = if best.on_hold { " (once released)" } else { "" };
        self.point(&format!("{}{released}{}", best.says, provided(best)));
        if !best.brief.is_empty() {
            self.out.push_str(&self.page.under(&format!("In brief: {}.", best.brief.join("; "))));
        }
        if !rest.is_empty() {
            // Where the best can begin at once, those that wait say so.
            let waits = |a: &ovolo_engine::advice::Approach| if a.on_hold && !best.on_hold { " (once released)" } else { "" };
            let says: Vec<String> = rest.iter().map(|a| format!("{}{}{}", a.says, waits(a), provided(a))).collect();
            self.point(&format!("or: {}", says.join("; or ")));
        }
        self.point("steps, quantities and days: ovolo approach");
    }

    fn suited(&mut self, surface: &SurfaceAdvice) {
        let suited = with(surface, &[Verdict::Suited, Verdict::SuitedWithCare]);
        self.minor("What suits");
        if suited.is_empty() {
            self.point("nothing yet: see below what has to be found out or released");
        }
        // What would do little to the coats is named, not told.
        let (first, rest): (Vec<&MethodAdvice>, Vec<&MethodAdvice>) =
            suited.into_iter().partition(|m| self.page.all || m.clears.as_ref().is_none_or(|c| !c.is_empty()));
        let full = if self.page.all { first.len() } else { MOST_IN_FULL.min(first.len()) };
        for method in &first[..full] {
            self.suits(method, surface.coats.len());
        }
        let rest: Vec<&MethodAdvice> = first[full..].iter().copied().chain(rest).collect();
        if !rest.is_empty() {
            let rest: Vec<String> = rest
                .iter()
                .map(|m| match m.conditions.len() {
                    0 => m.title.clone(),
                    1 => format!("{} (1 condition)", m.title),
                    n => format!("{} ({n} conditions)", m.title),
                })
                .collect();
            self.point(&format!(
                "lower in rank or of little effect, each with its own cautions (see --all, or check one): {}",
                words::list(&rest, "and")
            ));
        }
    }

    fn suits(&mut self, method: &MethodAdvice, of: usize) {
        let title = format!("{}{}", method.title, clears(method, of));
        if method.verdict == Verdict::Suited {
            self.point(&title);
        } else if method.cases.is_empty() {
            let says = self.conditions(method, &method.conditions);
            self.point(&format!("{title}, with care: {}", says.join("; ")));
        } else {
            self.point(&format!("{title}, with care:"));
            for case in &method.cases {
                let says = self.conditions(method, &case.conditions);
                self.out.push_str(&self.page.under(&in_case(case, &says)));
            }
        }
        if let Some(caution) = &method.caution {
            self.out.push_str(&self.page.under(&format!("Caution: {caution}")));
        }
    }

    /// Conditions of a method, those that name a figure with its ground.
    fn conditions(&mut self, method: &MethodAdvice, conditions: &[Condition]) -> Vec<String> {
        conditions.iter().map(|c| condition(c, method, &mut |n| self.sources.ground(n))).collect()
    }

    /// A notice with its ground and what to do instead.
    fn said(&mut self, notice: &Notice, of: usize, whom: &str) {
        let word = match (notice.ruling, notice.status) {
            (ruling, Status::Open) => format!("{ruling}, if it turns out so: "),
            (Ruling::Hold, _) => "hold: ".to_owned(),
            (Ruling::Caution, _) => "caution: ".to_owned(),
            (Ruling::Prefer, _) => "better: ".to_owned(),
            _ => String::new(),
        };
        let mut text = format!("{whom}{word}{}", notice.says);
        if let Some(instead) = &notice.instead {
            let _ = write!(text, " {instead}");
        }
        let _ = write!(text, "{} [{}]", coats(notice, of), self.sources.ground(notice));
        self.point(&text);
    }

    fn watch(&mut self, surface: &SurfaceAdvice) {
        let applying: Vec<(&Notice, Vec<&str>)> =
            cautions(surface, Status::Applies).into_iter().filter(|(n, _)| !self.common.contains(&n.rule)).collect();
        let open = cautions(surface, Status::Open);
        if applying.is_empty() && open.is_empty() {
            return;
        }
        let shown = if self.page.all { applying.len() } else { MOST_CAUTIONS.min(applying.len()) };
        let mut more = Vec::new();
        if applying.len() > shown {
            more.push(format!("{} more to watch", applying.len() - shown));
        }
        if !open.is_empty() && !self.page.all {
            more.push(format!("{} that depend on what is not known yet", open.len()));
        }
        self.minor("To watch");
        for (notice, methods) in &applying[..shown] {
            let whom = if let [one] = methods[..] { format!("{one}: ") } else { String::new() };
            self.said(notice, surface.coats.len(), &whom);
        }
        if self.page.all {
            for (notice, _) in &open {
                self.said(notice, surface.coats.len(), "");
            }
        }
        if !more.is_empty() {
            self.point(&format!("and {}: see them with --all", words::list(&more, "and")));
        }
    }

    fn questions(&mut self, asks: &[Ask], idle: usize) {
        if asks.is_empty() {
            return;
        }
        self.out.push_str(&self.page.heading("Find out next"));
        let shown = if self.page.all { asks.len() } else { asks.len().min(MOST_QUESTIONS) };
        for (i, ask) in asks.iter().take(shown).enumerate() {
            let at = match (&ask.surface, ask.about.as_str()) {
                (Some(surface), about) if about.starts_with("coat") => format!(" ({surface}, {about})"),
                (Some(surface), _) => format!(" ({surface})"),
                _ => String::new(),
            };
            let number = format!("  {}. ", i + 1);
            let rest = " ".repeat(number.len());
            self.out.push_str(&self.page.paragraph(&number, &rest, &format!("{}{at}", ask.question)));
            self.out.push_str(&self.page.paragraph(&rest, &rest, &format!("Why: {}. {}", ask.why, ask.how_to_find_out)));
        }
        if asks.len() > shown {
            self.point(&format!("and {} more questions: see them with --all", asks.len() - shown));
        }
        if idle > 0 {
            self.point(&format!("{idle} other things nobody has said cannot change any verdict"));
        }
    }

    /// What is said of the site, and of several surfaces.
    fn common(&mut self, advice: &Advice, shared: &[(&Notice, Vec<&str>)]) {
        let open = advice.site.notices.iter().filter(|n| n.status == Status::Open).count();
        let site: Vec<&Notice> = advice
            .site
            .notices
            .iter()
            .filter(|n| !self.common.contains(&n.rule) && (n.status == Status::Applies || self.page.all))
            .collect();
        if site.is_empty() && shared.is_empty() && open == 0 {
            return;
        }
        self.out.push_str(&self.page.heading("To watch everywhere"));
        for notice in site {
            self.said(notice, 0, "");
        }
        let shown = if self.page.all { shared.len() } else { shared.len().min(2 * MOST_CAUTIONS) };
        for (notice, names) in &shared[..shown] {
            let whom = if names.len() == advice.surfaces.len() { String::new() } else { format!("{}: ", words::list(names, "and")) };
            let mut whole = (*notice).clone();
            whole.coats.clear();
            self.said(&whole, 0, &whom);
        }
        if shared.len() > shown {
            self.point(&format!("and {} more: see them with --all", shared.len() - shown));
        }
        if open > 0 && !self.page.all {
            self.point(&format!("and {open} about the whole site that depend on what is not known yet: see them with --all"));
        }
    }
}

fn settings(facts: &[FactRead]) -> String {
    let told: Vec<String> = facts
        .iter()
        .map(|f| match f.value.as_str() {
            "true" | "yes" => f.title.clone(),
            "false" | "no" => format!("no {}", f.title),
            value => format!("{} {value}", f.title),
        })
        .collect();
    if told.is_empty() { String::new() } else { format!(" with {}", words::list(&told, "and")) }
}

fn coat(coat: &CoatAdvice, vocabulary: &Vocabulary) -> String {
    let mut kind = "kind not known".to_owned();
    let mut parts: Vec<String> = Vec::new();
    for fact in &coat.facts {
        let presumed = fact.how_known.ground == Footing::Presumed;
        let presumed = if presumed { ", presumed" } else { "" };
        let Some(read) = vocabulary.find(&fact.fact).map(|f| vocabulary.get(f)) else { continue };
        let is = |choice: ChoiceRole| read.choice_id_with(choice) == Some(fact.value.as_str());
        match read.role {
            Some(FactRole::Kind) => kind = fact.value.replace('-', " "),
            Some(FactRole::Lead) if is(ChoiceRole::Present) => parts.push(format!("lead present{presumed}")),
            Some(FactRole::Asbestos) if is(ChoiceRole::Present) => parts.push(format!("asbestos present{presumed}")),
            Some(FactRole::Lead) if is(ChoiceRole::Absent) => parts.push(format!("no lead{presumed}")),
            Some(FactRole::LeadLoading | FactRole::LeadContent) => parts.push(format!("lead read at {}", fact.value)),
            _ => {}
        }
    }
    if parts.is_empty() { format!("{} {kind}", coat.coat) } else { format!("{} {kind} ({})", coat.coat, parts.join("; ")) }
}

fn in_case(case: &ConditionCase, needs: &[String]) -> String {
    let found: Vec<String> = case.found.iter().map(flip).collect();
    let needs = if needs.is_empty() { "nothing further".to_owned() } else { needs.join("; ") };
    format!("if {}: {needs}", words::list(&found, "and"))
}

fn flip(flip: &Flip) -> String {
    if flip.reads.is_empty() { format!("{}: {}", flip.title, flip.to) } else { flip.reads.clone() }
}

pub(super) fn depends(method: &MethodAdvice) -> String {
    if method.depends_on.is_empty() {
        return method.line.clone();
    }
    let parts: Vec<String> = method.depends_on.iter().map(|d| format!("{} ({})", d.title, d.either_way())).collect();
    format!("depends on {}", words::list(&parts, "and"))
}

/// One proposal checked.
pub(crate) fn check(advice: &Advice, length: Length, page: &Page) -> String {
    let Some((surface, proposal)) = advice.surfaces.first().and_then(|s| Some((s, s.proposals.first()?))) else { return String::new() };
    let mut w = Writer { page, out: String::new(), sources: Sources::default(), common: Vec::new() };
    w.out.push_str(page.heading(&format!("{} on {}: {}", proposal.title, surface.name, proposal.verdict)).trim_start());
    if length == Length::Line {
        w.line(&proposal.line);
        for line in departures(advice, Some(&surface.name)) {
            w.line(&format!("Departure from {line}"));
        }
        return w.finish(&advice.defers);
    }
    w.line(&law(advice));
    if !proposal.settings.is_empty() {
        w.line(&format!("Set:{}.", settings(&proposal.settings).trim_start_matches(" with")));
    }
    let all_coats = surface.coats.len();
    let deciding: Vec<&Notice> =
        proposal.reasons.iter().filter(|n| matches!(n.ruling, Ruling::RuleOut | Ruling::Hold) && n.status == Status::Applies).collect();
    if !deciding.is_empty() {
        w.minor("Why");
        for notice in &deciding {
            w.said(notice, all_coats, "");
            w.facts(notice);
        }
    }
    let between = between_them(proposal);
    if !between.is_empty() {
        w.minor("Why: whatever is found, one of these stands against it");
        for notice in between {
            w.said(notice, all_coats, "");
        }
    }
    if proposal.verdict == Verdict::OnHold {
        let may: Vec<&Notice> = proposal.reasons.iter().filter(|n| n.ruling == Ruling::Hold && n.status == Status::Open).collect();
        if deciding.is_empty() {
            w.minor("Why");
            for notice in may {
                w.said(notice, all_coats, "");
            }
        }
        w.minor("Once released");
        let says = w.conditions(proposal, &proposal.conditions);
        w.point(&once_released(proposal, &says, &depends(proposal)));
        for case in &proposal.cases {
            let says = w.conditions(proposal, &case.conditions);
            w.point(&in_case(case, &says));
        }
    }
    if proposal.verdict == Verdict::SuitedWithCare {
        w.minor("On these conditions");
        for condition in &proposal.conditions {
            w.point(&format!("{} (because of {})", condition.says, words::list(&condition.because, "and")));
        }
        for case in &proposal.cases {
            let says = w.conditions(proposal, &case.conditions);
            w.point(&in_case(case, &says));
        }
    }
    if proposal.verdict == Verdict::CantTellYet {
        w.minor("What it depends on");
        w.point(depends(proposal).trim_start_matches("depends on "));
        if let Some(c) = &proposal.completions {
            let told = |flips: &[Flip]| {
                if flips.is_empty() {
                    "nothing more need be known".to_owned()
                } else {
                    words::list(&flips.iter().map(flip).collect::<Vec<_>>(), "and")
                }
            };
            w.point(&format!("one way in which it would suit: {}", told(&c.suits)));
            w.point(&format!("one way in which it would not, whatever is chosen: {}", told(&c.not)));
        }
    }
    // What the survey states is not likely to be otherwise; it is shown only where nothing else would change the verdict.
    let likely: Vec<&Vec<Flip>> = proposal.flips.iter().filter(|set| set.iter().all(|f| f.now != Footing::Stated)).collect();
    let flips: Vec<&Vec<Flip>> = if likely.is_empty() { proposal.flips.iter().collect() } else { likely };
    if !flips.is_empty() {
        w.minor("What would change it");
        for set in flips {
            let parts: Vec<String> =
                set.iter().map(|f| format!("{} ({})", flip(f), if f.kind == Settled::Chosen { "to choose" } else { "to find" })).collect();
            w.point(&words::list(&parts, "and"));
        }
    }
    // What is said of the method, then what is said of the surface and the site whatever the method.
    let around = surface.notices.iter().chain(&advice.site.notices);
    let mut rest: Vec<&Notice> =
        proposal.reasons.iter().chain(around).filter(|n| matches!(n.ruling, Ruling::Caution | Ruling::Note | Ruling::Prefer)).collect();
    let open = rest.iter().filter(|n| n.status == Status::Open).count();
    rest.retain(|n| n.status == Status::Applies);
    rest.sort_by_key(|n| n.ruling != Ruling::Caution);
    w.minor("To watch");
    if let Some(caution) = &proposal.caution {
        w.point(&format!("caution: {caution}"));
    }
    let shown = if length == Length::Tree { rest.len() } else { rest.len().min(2 * MOST_CAUTIONS) };
    for notice in &rest[..shown] {
        w.said(notice, all_coats, "");
    }
    let mut more = Vec::new();
    if rest.len() > shown {
        more.push(format!("{} more", rest.len() - shown));
    }
    if open > 0 {
        more.push(format!("{open} that depend on what is not known yet"));
    }
    if !more.is_empty() {
        w.point(&format!("and {}: see `--explain tree`, and `ovolo advise --all`", words::list(&more, "and")));
    }
    if !proposal.verdict.suits() {
        w.minor("Instead");
        let better: Vec<&MethodAdvice> = with(surface, &[Verdict::Suited, Verdict::SuitedWithCare]).into_iter().take(3).collect();
        if better.is_empty() {
            w.point("nothing suits yet; `ovolo advise` says what has to be found out or released");
        }
        for method in better {
            w.point(&format!("{} ({}): {}", method.title, method.verdict, method.line));
        }
    }
    let departed = departures(advice, Some(&surface.name));
    if !departed.is_empty() {
        w.minor("Departures");
        for line in &departed {
            w.point(line);
        }
    }
    let dated = dated(advice);
    if !dated.is_empty() {
        w.minor("What may have changed");
        for line in &dated {
            w.point(line);
        }
    }
    if length == Length::Tree {
        w.trees(proposal);
    }
    w.finish(&advice.defers)
}

impl Writer<'_> {
    /// What a rule read, and where and since when it holds.
    fn facts(&mut self, notice: &Notice) {
        let told: Vec<String> =
            notice.facts.iter().filter(|f| f.value != "not known").map(|f| format!("{} {} ({})", f.title, f.value, f.how_known)).collect();
        let place = if notice.place.is_empty() { String::new() } else { format!(" It holds in {}.", words::list(&notice.place, "and")) };
        let from = notice.from.as_ref().map_or_else(String::new, |d| format!(" In force since {d}."));
        if !told.is_empty() {
            let text = format!("Rule {} read: {}.{place}{from}", notice.rule, told.join("; "));
            self.out.push_str(&self.page.under(&text));
        }
    }

    fn trees(&mut self, proposal: &MethodAdvice) {
        self.minor("Every rule-out and hold, question by question");
        for tree in &proposal.trees {
            let coat = tree.coat.map_or_else(String::new, |c| format!(", coat {c}"));
            let _ = writeln!(self.out, "  {} ({}{coat})", tree.rule, tree.ruling);
            for line in &tree.lines {
                let _ = writeln!(self.out, "    {}", crate::problems::harmless(line));
            }
        }
        self.minor("What the verdict rests on");
        for fact in &proposal.rests_on {
            self.point(&format!("{} ({}): {}; {}", fact.fact, fact.about, fact.value, fact.how_known));
        }
        self.minor("Rank, the first part counting first");
        for part in &proposal.rank {
            let because = part.because.iter().map(|b| format!(" {b}")).collect::<String>();
            self.point(&format!("{}: {}, less being better [{}].{because}", part.part, part.cost, part.source));
        }
    }
}

/// A verdict and its line: a list of conditions goes on after it, a sentence stands by itself.
fn told(verdict: Verdict, line: &str) -> String {
    if line.starts_with(char::is_uppercase) { format!("{verdict}. {line}") } else { format!("{verdict}: {line}.") }
}

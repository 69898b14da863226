//! What text and Markdown have in common: which notices to show where, and in what words.

use ovolo_engine::advice::{Advice, Approach, Condition, DepartureAdvice, MethodAdvice, Notice, SurfaceAdvice, SurveyHead};
use ovolo_engine::finding::{Basis, DepartureStatus, Happened, Ruling, Status, Verdict};
use std::fmt::Write as _;

/// The most methods of a surface that are told in full; the rest is named.
pub(crate) const MOST_IN_FULL: usize = 6;

/// The most cautions shown below one heading before the rest is only counted.
pub(crate) const MOST_CAUTIONS: usize = 6;

/// The most changes since the survey that are named; the rest is counted.
const MOST_CHANGES: usize = 6;
/// What a way takes for granted, to stand behind it: `, provided the building is not protected`.
pub(crate) fn provided(approach: &Approach) -> String {
    let says: Vec<&str> = approach.provided.iter().map(|p| p.says.as_str()).collect();
    let provided = if says.is_empty() { String::new() } else { format!(", provided {}", ovolo_engine::words::list(&says, "and")) };
    let tried: Vec<&str> = approach.tried.iter().map(|p| p.says.as_str()).collect();
    if tried.is_empty() { provided } else { format!("{provided}; try first whether {}", ovolo_engine::words::list(&tried, "and whether")) }
}

/// A notice's ground: `statute: 40 CFR …`.
pub(crate) fn ground(notice: &Notice) -> String {
    match notice.source.as_str() {
        "common practice" | "from memory" => format!("{}; {}", notice.basis, notice.source),
        source => format!("{}: {source}", notice.basis),
    }
}

/// A condition as it is told: where it names a figure, with the ground of the rules that figure comes from.
pub(crate) fn condition(condition: &Condition, method: &MethodAdvice, cite: &mut dyn FnMut(&Notice) -> String) -> String {
    if !condition.says.contains(|c: char| c.is_ascii_digit()) {
        return condition.says.clone();
    }
    let mut grounds: Vec<String> = Vec::new();
    for notice in method.reasons.iter().filter(|n| condition.because.contains(&n.rule)) {
        let ground = cite(notice);
        if !grounds.contains(&ground) {
            grounds.push(ground);
        }
    }
    if grounds.is_empty() { condition.says.clone() } else { format!("{} [{}]", condition.says, grounds.join("; ")) }
}

/// Sources as they come up, numbered, so that a long one is printed once.
#[derive(Debug, Default)]
pub(crate) struct Sources {
    list: Vec<String>,
}

impl Sources {
    /// A notice's ground, short: `statute 3`, with number 3 in the list; or in full where nothing is published.
    pub(crate) fn ground(&mut self, notice: &Notice) -> String {
        if matches!(notice.source.as_str(), "common practice" | "from memory") {
            return match (notice.basis, notice.source.as_str()) {
                (Basis::Practice, "common practice") => "common practice".to_owned(),
                (basis, source) => format!("{basis}; {source}"),
            };
        }
        let index = self.list.iter().position(|s| *s == notice.source).unwrap_or_else(|| {
            self.list.push(notice.source.clone());
            self.list.len() - 1
        });
        format!("{} {}", notice.basis, index + 1)
    }

    /// A source's number in the list; in full where nothing is published.
    pub(crate) fn number(&mut self, source: &str) -> String {
        if matches!(source, "common practice" | "from memory") {
            return source.to_owned();
        }
        let index = self.list.iter().position(|s| s == source).unwrap_or_else(|| {
            self.list.push(source.to_owned());
            self.list.len() - 1
        });
        (index + 1).to_string()
    }

    /// The sources, in the order of their numbers.
    pub(crate) fn list(&self) -> &[String] {
        &self.list
    }
}

/// Which coats a notice is about, in words; nothing for notices about no coat, or about every coat.
pub(crate) fn coats(notice: &Notice, of: usize) -> String {
    match &notice.coats[..] {
        [] => String::new(),
        all if all.len() == of => String::new(),
        [one] => format!(" (coat {one})"),
        several => {
            let numbers: Vec<String> = several.iter().map(ToString::to_string).collect();
            format!(" (coats {})", ovolo_engine::words::list(&numbers, "and"))
        }
    }
}

/// The methods with a verdict.
pub(crate) fn with<'a>(surface: &'a SurfaceAdvice, verdicts: &[Verdict]) -> Vec<&'a MethodAdvice> {
    surface.methods.iter().filter(|m| verdicts.contains(&m.verdict)).collect()
}

/// The notice that decides against a method, best grounded first.
pub(crate) fn decider(method: &MethodAdvice) -> Option<&Notice> {
    let wanted = if method.verdict == Verdict::OnHold { Ruling::Hold } else { Ruling::RuleOut };
    method.reasons.iter().filter(|n| n.ruling == wanted).min_by_key(|n| (n.status != Status::Applies, strength(n.basis)))
}

/// How strong a ground is, the strongest being 0.
pub(crate) fn strength(basis: Basis) -> usize {
    basis as usize
}

/// Where a method is ruled out though no rule surely applies: the rule-outs of which one does, whatever is found.
pub(crate) fn between_them(method: &MethodAdvice) -> Vec<&Notice> {
    let out = |n: &&Notice| n.ruling == Ruling::RuleOut;
    if method.verdict != Verdict::RuledOut || method.reasons.iter().filter(out).any(|n| n.status == Status::Applies) {
        return Vec::new();
    }
    method.reasons.iter().filter(out).collect()
}

/// Cautions of a surface, each once, strongest ground first: first those about the surface, then those about the methods
/// that suit, with the methods they are about.
pub(crate) fn cautions(surface: &SurfaceAdvice, status: Status) -> Vec<(&Notice, Vec<&str>)> {
    let mut found: Vec<(&Notice, Vec<&str>)> =
        surface.notices.iter().filter(|n| n.status == status && n.ruling != Ruling::Hold).map(|n| (n, Vec::new())).collect();
    // Only of the methods that are told in full: what the last in rank would ask for drowns what matters.
    let suited = surface.methods.iter().filter(|m| m.verdict.suits());
    for method in suited.take(MOST_IN_FULL) {
        for notice in
            method.reasons.iter().filter(|n| n.status == status && matches!(n.ruling, Ruling::Caution | Ruling::Note | Ruling::Prefer))
        {
            match found.iter_mut().find(|(n, _)| n.rule == notice.rule) {
                Some((_, methods)) => methods.push(&method.title),
                None => found.push((notice, vec![&method.title])),
            }
        }
    }
    // What is said for certain of one coat is not said again as what may be so of another.
    if status == Status::Open {
        let certain: Vec<&Notice> = surface
            .notices
            .iter()
            .chain(surface.methods.iter().filter(|m| m.verdict.suits()).take(MOST_IN_FULL).flat_map(|m| &m.reasons))
            .filter(|n| n.status == Status::Applies)
            .collect();
        found.retain(|(n, _)| !certain.iter().any(|c| (&c.rule, &c.says, &c.instead) == (&n.rule, &n.says, &n.instead)));
    }
    let rank = |n: &Notice| (n.ruling != Ruling::Caution, strength(n.basis));
    found.sort_by_key(|(n, _)| rank(n));
    found
}

/// Holds that are not released, each once, with how many methods wait for it.
pub(crate) fn holds(surface: &SurfaceAdvice) -> Vec<&Notice> {
    holding(surface, |_| true)
}

/// Holds that hold up a way that is given, or any method where none is. What holds a method that no way takes is no matter of
/// the whole work.
pub(crate) fn holds_of_ways(surface: &SurfaceAdvice) -> Vec<&Notice> {
    let taken = |id: &str| surface.approaches.iter().flat_map(|a| &a.steps).any(|s| s.method == id);
    holding(surface, |method| surface.approaches.is_empty() || taken(&method.method))
}

fn holding(surface: &SurfaceAdvice, counts: impl Fn(&MethodAdvice) -> bool) -> Vec<&Notice> {
    let mut out: Vec<&Notice> = Vec::new();
    let all = surface.methods.iter().filter(|m| counts(m)).flat_map(|m| &m.reasons).chain(&surface.notices);
    for notice in all.filter(|n| n.ruling == Ruling::Hold) {
        if !out.iter().any(|n| n.rule == notice.rule) {
            out.push(notice);
        }
    }
    out.sort_by_key(|n| n.status != Status::Applies);
    out
}

/// Departures and what became of them, a line each; only those about a surface or all of them, where one is named.
pub(crate) fn departures(advice: &Advice, surface: Option<&str>) -> Vec<String> {
    let about = |d: &&DepartureAdvice| surface.is_none() || d.surface.is_none() || d.surface.as_deref() == surface;
    advice.departures.iter().filter(about).map(|d| departed(d, &d.rule, true)).collect()
}

/// A departure from a rule, and what became of it; `whose` names the surface it is for.
pub(crate) fn departed(d: &DepartureAdvice, rule: &str, whose: bool) -> String {
    let mut line = format!("{rule}: {}", d.status);
    let _ = match (&d.until, d.status) {
        (Some(day), DepartureStatus::Lapsed) => write!(line, " on {day}"),
        (Some(day), _) => write!(line, " until {day}"),
        (None, _) => write!(line, ", with no end given"),
    };
    if let (Some(name), true) = (&d.surface, whose) {
        let _ = write!(line, ", for {name} only");
    }
    let on = d.on.as_ref().map_or_else(String::new, |day| format!(" on {day}"));
    format!("{line}; decided by {}{on}. {}", d.who, d.why)
}

/// The line that says which law is applied.
pub(crate) fn law(advice: &Advice) -> String {
    law_of(&advice.survey)
}

/// The same for whatever is about a survey.
pub(crate) fn law_of(survey: &SurveyHead) -> String {
    match &survey.place {
        Some(place) if survey.place_covered => format!("For {}, as of {}.", place, survey.date),
        Some(place) => format!(
            "For {place}, as of {}. The rule book holds nothing about {place} itself: only what holds everywhere is applied. Ask which local \
             law binds the work.",
            survey.date
        ),
        None => format!(
            "As of {}. No place is given, so no local law is applied: give the survey a place, such as GB-ENG or US-MA.",
            survey.date
        ),
    }
}

/// What is past its re-checking, and what changed since the survey: a line each.
pub(crate) fn dated(advice: &Advice) -> Vec<String> {
    let mut lines: Vec<String> = advice
        .past_review
        .iter()
        .map(|p| {
            let title = p.title.trim_end_matches('.');
            format!(
                "Due for re-checking since {}: {title}. It counts as it stands; ask whether it has changed since. ({})",
                p.review, p.source
            )
        })
        .collect();
    // What is due and counts was just said.
    let told = |c: &ovolo_engine::advice::Change| c.how == Happened::Due && advice.past_review.iter().any(|p| p.id == c.id);
    let changed: Vec<String> = advice
        .changed
        .iter()
        .filter(|c| !told(c))
        .map(|c| format!("{} ({} from {})", c.title.trim_end_matches('.'), c.how, c.day))
        .collect();
    if !changed.is_empty() {
        let shown = changed.len().min(MOST_CHANGES);
        let more = if changed.len() > shown { format!("; and {} more", changed.len() - shown) } else { String::new() };
        lines.push(format!("Changed since the survey was made: {}{more}.", changed[..shown].join("; ")));
    }
    lines
}

/// What a method on hold turns into once it is released; `says` are its conditions and `cases` those by case.
pub(crate) fn once_released(method: &MethodAdvice, says: &[String], depends: &str) -> String {
    match method.once_released {
        Some(Verdict::Suited) => "would suit once released".to_owned(),
        Some(Verdict::SuitedWithCare) if !says.is_empty() => format!("once released, with care: {}", says.join("; ")),
        Some(Verdict::SuitedWithCare) => "once released, with care, on conditions that depend on what is found".to_owned(),
        Some(Verdict::RuledOut) => "would not suit even once released".to_owned(),
        Some(_) if !method.depends_on.is_empty() => format!("once released, it {depends}"),
        _ => "what holds once it is released can't be told yet".to_owned(),
    }
}

/// A method's verdict against it, short: the heading of the rule that decides, or what it says; and that rule.
pub(crate) fn short_reason(method: &MethodAdvice) -> (String, Option<&Notice>) {
    match decider(method) {
        Some(notice) => {
            let words = notice.title.clone().unwrap_or_else(|| notice.says.trim_end_matches('.').to_owned());
            let may = if notice.status == Status::Open { "not known yet, but it may be: " } else { "" };
            (format!("{may}{words}{}", coats(notice, 0)), Some(notice))
        }
        None => (method.line.clone(), None),
    }
}

/// Notices that stand on several surfaces, each once, with the names of the surfaces.
pub(crate) fn repeated(advice: &Advice) -> Vec<(&Notice, Vec<&str>)> {
    let mut all: Vec<(&Notice, Vec<&str>)> = Vec::new();
    for surface in &advice.surfaces {
        for (notice, _) in cautions(surface, Status::Applies) {
            match all.iter_mut().find(|(n, _)| n.rule == notice.rule) {
                Some((_, names)) if names.contains(&surface.name.as_str()) => {}
                Some((_, names)) => names.push(&surface.name),
                None => all.push((notice, vec![&surface.name])),
            }
        }
    }
    all.retain(|(_, names)| names.len() > 1);
    all.sort_by_key(|(n, names)| (n.ruling != Ruling::Caution, strength(n.basis), usize::MAX - names.len()));
    all
}

/// Holds that stop work, each once, with the names of the surfaces; those of most surfaces first.
pub(crate) fn shared_holds<'a>(
    advice: &'a Advice,
    shown: &[&'a SurfaceAdvice],
    of: impl Fn(&'a SurfaceAdvice) -> Vec<&'a Notice>,
) -> Vec<(&'a Notice, Vec<&'a str>)> {
    let mut all: Vec<(&Notice, Vec<&str>)> = advice
        .site
        .notices
        .iter()
        .filter(|n| n.ruling == Ruling::Hold && n.status == Status::Applies)
        .map(|n| (n, shown.iter().map(|s| s.name.as_str()).collect()))
        .collect();
    for surface in shown {
        for notice in of(surface).into_iter().filter(|n| n.status == Status::Applies) {
            match all.iter_mut().find(|(n, _)| n.rule == notice.rule) {
                Some((_, names)) if names.contains(&surface.name.as_str()) => {}
                Some((_, names)) => names.push(&surface.name),
                None => all.push((notice, vec![&surface.name])),
            }
        }
    }
    all.sort_by_key(|(_, names)| usize::MAX - names.len());
    all
}

/// Which of the coats a method clears, where that is less than all of them.
pub(crate) fn clears(method: &MethodAdvice, of: usize) -> String {
    match &method.clears {
        Some(coats) if coats.is_empty() => " (does little to these coats)".to_owned(),
        Some(coats) if coats.len() < of => {
            let numbers: Vec<String> = coats.iter().map(ToString::to_string).collect();
            format!(" (clears coat {} only)", ovolo_engine::words::list(&numbers, "and"))
        }
        _ => String::new(),
    }
}

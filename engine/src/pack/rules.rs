//! Rules: what they do, what they are about, and reading them.

use super::scripts::{Script, Scripts};
use super::{Taken, Template, Topic, take};
use crate::limit::{Basis, Period, Where};
use crate::script::Base;
use crate::toml_read::{Keys, Problems};
use crate::tree::{Tree, Who};
use crate::vocabulary::{About, FactId, FactKind};
use crate::words;
use indexmap::IndexMap;

pub use crate::finding::Ruling;

/// A rule, unfolded.
#[derive(Debug, Clone)]
#[non_exhaustive]
pub struct Rule {
    /// Its id.
    pub id: String,
    /// Its heading, if it has one.
    pub title: Option<String>,
    /// Its script.
    pub script: Script,
    /// What the script comes to.
    pub tree: Tree,
    /// What it does.
    pub ruling: Ruling,
    /// What it says.
    pub because: Template,
    /// What to do instead.
    pub instead: Option<Template>,
    /// What a page says that has no room for the whole.
    pub short: Option<String>,
    /// Whether it protects people who cannot protect themselves: a page says it wherever it surely applies.
    pub guards: bool,
    /// Whether it rules out only by what is wanted: then nothing is forbidden.
    pub wanted: bool,
    /// How strong its ground is.
    pub basis: Basis,
    /// Where it comes from.
    pub source: String,
    /// What stands behind it at certain places, by code.
    pub sources: IndexMap<String, String>,
    /// Where it holds.
    pub place: Where,
    /// When it holds.
    pub period: Period,
    /// Whether it must apply to every coat.
    pub every_coat: bool,
    /// The fact that releases a hold.
    pub released_by: Option<FactId>,
    /// The pack it belongs to.
    pub pack: String,
    /// The widest thing it is about: method, coat, surface or site.
    pub scope: Scope,
}

impl Rule {
    /// What stands behind it at a place, given as the place and all it is part of: the nearest source that is named, else the general one.
    pub(crate) fn source_at(&self, places: &[String]) -> &str {
        places.iter().find_map(|p| self.sources.get(p)).unwrap_or(&self.source)
    }
}

/// What a rule is about, from what it reads.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
#[non_exhaustive]
pub struct Scope {
    /// It reads the method or its settings.
    pub method: bool,
    /// It reads a coat.
    pub coat: bool,
    /// It reads the surface.
    pub surface: bool,
}

impl Scope {
    pub(super) fn of(tree: &Tree, base: &Base) -> Self {
        let mut scope = Self { method: false, coat: false, surface: false };
        for who in tree.asked.iter().copied().chain(tree.reads()) {
            match who {
                Who::Method => scope.method = true,
                Who::Fact(f) => match base.vocabulary.get(f).about {
                    About::Method => scope.method = true,
                    About::Coat => scope.coat = true,
                    About::Surface => scope.surface = true,
                    // What has happened is read by no rule: see `Scripts::unfolded`.
                    About::Site | About::Incident | About::Trouble => {}
                },
            }
        }
        scope
    }

    /// Whether it reads nothing but the site.
    pub fn site_only(self) -> bool {
        !(self.method || self.coat || self.surface)
    }
}

pub(super) fn read(topics: &[Topic<'_>], scripts: &Scripts<'_>, taken: &mut Taken) -> Vec<Rule> {
    let problems = scripts.problems;
    let mut rules = Vec::new();
    for topic in topics {
        for keys in topic.keys.tables(problems, "rule", "a rule") {
            let rule = rule(topic, &keys, scripts);
            keys.finish(problems);
            if let Some(rule) = rule
                && take(taken, problems, "rule", &rule.id.clone(), topic.pack, &keys.place())
            {
                rules.push(rule);
            }
        }
    }
    rules
}

fn rule(topic: &Topic<'_>, keys: &Keys<'_>, scripts: &Scripts<'_>) -> Option<Rule> {
    let (base, problems) = (scripts.base, scripts.problems);
    // Everything is read before anything is given up, so that all that is wrong shows at once.
    let title = keys.text(problems, "title").map(str::to_owned);
    let ruling = ruling(keys, problems);
    let instead_text = keys.text(problems, "instead");
    let short = keys.text(problems, "short").map(str::to_owned);
    let guards = keys.flag(problems, "guards").unwrap_or(false);
    let wanted = keys.flag(problems, "wanted").unwrap_or(false);
    let coats = keys.text(problems, "coats");
    let every_coat = match coats {
        None | Some("any") => false,
        Some("every") => true,
        Some(other) => {
            problems.borrow_mut().push(keys.place().error(format!("`coats` is \"{other}\"")).help("write \"any\" or \"every\""));
            false
        }
    };
    let released_by = keys.text(problems, "released_by").and_then(|id| {
        let found = base.vocabulary.find(id);
        let fits = found.is_some_and(|f| matches!(base.vocabulary.get(f).kind, FactKind::YesNo));
        if !fits {
            let ids: Vec<&str> = base.vocabulary.iter().map(|(_, f)| f.id.as_str()).collect();
            problems.borrow_mut().push(
                keys.place()
                    .error(format!("`{id}` is not a yes-no fact that could release a hold"))
                    .maybe_help(words::did_you_mean(id, ids)),
            );
        }
        found.filter(|_| fits)
    });
    let common = scripts.common("rule", topic, keys)?;
    let instead = instead_text.map(|text| scripts.template(keys, "instead", text, &common.tree));
    let ruling = ruling?;
    let mut tree = common.tree;
    if let Some(fact) = released_by {
        tree = tree.until_released(fact);
    }
    let scope = Scope::of(&tree, base);
    let fault = |message: &str, help: &str| problems.borrow_mut().push(keys.place().error(message).help(help));
    if ruling == Ruling::RuleOut && !scope.method {
        fault(
            "a rule-out reads no method",
            "say which methods it rules out, for example with `method.hot`; otherwise make it a hold or a caution",
        );
    }
    if guards && (short.is_none() || title.is_none() || !matches!(ruling, Ruling::Caution | Ruling::Note)) {
        fault("a rule that guards people has no short sentence to say it with", "make it a caution or a note with `title` and `short`");
    }
    if wanted && ruling != Ruling::RuleOut {
        fault("`wanted` belongs to a rule-out", "leave it out");
    }
    if released_by.is_some() && ruling != Ruling::Hold {
        fault("`released_by` belongs to a hold", "make the ruling \"hold\", or leave it out");
    }
    Some(Rule {
        id: common.id,
        title,
        script: common.script,
        tree,
        ruling,
        because: common.because,
        instead,
        short,
        guards,
        wanted,
        basis: common.basis,
        source: common.source,
        sources: common.sources,
        place: common.place,
        period: common.period,
        every_coat,
        released_by,
        pack: topic.pack.name.clone(),
        scope,
    })
}

fn ruling(keys: &Keys<'_>, problems: &Problems) -> Option<Ruling> {
    let word = keys.need_text(problems, "ruling")?;
    let found = Ruling::ALL.into_iter().find(|r| r.word() == word);
    if found.is_none() {
        let place = keys.get("ruling").map_or_else(|| keys.place(), |i| i.place());
        let help = words::offer(word, Ruling::ALL.into_iter().map(Ruling::word));
        problems.borrow_mut().push(place.error(format!("`{word}` is not a ruling")).maybe_help(help));
    }
    found
}

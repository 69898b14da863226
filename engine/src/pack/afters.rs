//! What to do once something has happened, and what may be behind a trouble.

use super::scripts::Scripts;
use super::{Rule, Script, Taken, Template, Topic, need_source, read_period, read_where, take};
use crate::limit::{Period, Where};
use crate::toml_read::{Keys, Place};
use crate::tree::{Tree, Who};
use crate::vocabulary::About;
use crate::words;
use serde::Serialize;

/// Which part of the answer something belongs to, in the order in which it is told.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Section {
    /// Stop, or go on.
    Stop,
    /// Who keeps out.
    KeepOut,
    /// Make it safe now.
    MakeSafe,
    /// What must not be tried.
    Never,
    /// How far it went: what to sample, where, how many, by whom.
    Extent,
    /// Clean, or put right.
    Clean,
    /// What shows that it is done.
    Prove,
    /// Whom to tell, by when.
    Tell,
    /// What to write down.
    Record,
    /// Whom to call.
    Call,
}

impl Section {
    /// All of them.
    pub const ALL: [Self; 10] = [
        Self::Stop,
        Self::KeepOut,
        Self::MakeSafe,
        Self::Never,
        Self::Extent,
        Self::Clean,
        Self::Prove,
        Self::Tell,
        Self::Record,
        Self::Call,
    ];

    /// The word used in files.
    pub fn word(self) -> &'static str {
        match self {
            Self::Stop => "stop",
            Self::KeepOut => "keep-out",
            Self::MakeSafe => "make-safe",
            Self::Never => "never",
            Self::Extent => "extent",
            Self::Clean => "clean",
            Self::Prove => "prove",
            Self::Tell => "tell",
            Self::Record => "record",
            Self::Call => "call",
        }
    }
}

/// One piece of guidance.
#[derive(Debug, Clone)]
pub struct After {
    /// Its id.
    pub id: String,
    /// Which part of the answer it belongs to.
    pub section: Section,
    /// Whether it comes before everything else.
    pub emergency: bool,
    /// Its place within the part; of an emergency also how urgent it is beside others, the smaller the more.
    pub order: f64,
    /// What it is about: an incident, a trouble, or either.
    pub of: Option<About>,
    /// Its script.
    pub script: Script,
    /// What the script comes to.
    pub tree: Tree,
    /// What it says.
    pub says: Template,
    /// Where it holds.
    pub place: Where,
    /// When it holds.
    pub period: Period,
    /// Where it comes from.
    pub source: String,
    /// The pack it belongs to.
    pub pack: String,
    /// Whether that is a firm's own.
    pub house: bool,
    /// Where it is declared.
    pub declared: Place,
}

/// How likely a cause is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Likely {
    /// Look here first.
    First,
    /// Often.
    Often,
    /// Now and then.
    Sometimes,
}

impl Likely {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::First, Self::Often, Self::Sometimes];

    /// The word used in files.
    pub fn word(self) -> &'static str {
        match self {
            Self::First => "first",
            Self::Often => "often",
            Self::Sometimes => "sometimes",
        }
    }
}

/// What may be behind a trouble.
#[derive(Debug, Clone)]
pub struct Cause {
    /// Its id.
    pub id: String,
    /// The cause, as it stands by itself.
    pub title: String,
    /// How likely it is where nothing points to it or away from it.
    pub likely: Likely,
    /// Why it is graded so.
    pub grounds: String,
    /// Its script: when it comes into question.
    pub script: Script,
    /// What the script comes to.
    pub tree: Tree,
    /// When what is known points to it, so that it comes before the others.
    pub points: Option<(Script, Tree)>,
    /// What tells it apart.
    pub test: Template,
    /// What to try next.
    pub next: Template,
    /// What must not be tried.
    pub never: Option<Template>,
    /// Where it comes from.
    pub source: String,
    /// The pack it belongs to.
    pub pack: String,
    /// Where it is declared.
    pub declared: Place,
}

pub(super) fn read(topics: &[Topic<'_>], scripts: &Scripts<'_>, taken: &mut Taken) -> (Vec<After>, Vec<Cause>) {
    let problems = scripts.problems;
    let (mut afters, mut causes): (Vec<After>, Vec<Cause>) = (Vec::new(), Vec::new());
    for topic in topics {
        for keys in topic.keys.tables(problems, "after", "something to do afterwards") {
            let read = after(topic, &keys, scripts);
            keys.finish(problems);
            if let Some(read) = read
                && take(taken, problems, "after", &read.id.clone(), topic.pack, &keys.place())
            {
                afters.push(read);
            }
        }
        for keys in topic.keys.tables(problems, "cause", "a cause") {
            let read = cause(topic, &keys, scripts);
            keys.finish(problems);
            if let Some(read) = read
                && take(taken, problems, "cause", &read.id.clone(), topic.pack, &keys.place())
            {
                causes.push(read);
            }
        }
    }
    // The sorts are stable: within a place things stand as written.
    afters.sort_by(|a, b| {
        let by_order = a.order.total_cmp(&b.order);
        let by_section = a.section.cmp(&b.section);
        b.emergency.cmp(&a.emergency).then(if a.emergency { by_order.then(by_section) } else { by_section.then(by_order) })
    });
    causes.sort_by_key(|c| c.likely);
    (afters, causes)
}

/// The limits that stand in what is told afterwards and that no rule reads or prints.
pub(super) fn only_afterwards(afters: &[After], rules: &[Rule]) -> Vec<usize> {
    let printed = |t: &Template| -> Vec<usize> {
        t.parts.iter().filter_map(|p| if let crate::pack::Part::Limit(l) = p { Some(*l) } else { None }).collect()
    };
    let by_rules: Vec<usize> = rules
        .iter()
        .flat_map(|r| r.tree.limits().into_iter().chain(printed(&r.because)).chain(r.instead.as_ref().map(printed).unwrap_or_default()))
        .collect();
    let mut own: Vec<usize> = afters.iter().flat_map(|a| a.tree.limits().into_iter().chain(printed(&a.says))).collect();
    own.retain(|l| !by_rules.contains(l));
    own.sort_unstable();
    own.dedup();
    own
}

/// One of several words that a key can be.
fn one_of<T: Copy>(keys: &Keys<'_>, scripts: &Scripts<'_>, key: &str, all: &[T], word: fn(T) -> &'static str) -> Option<T> {
    let said = keys.need_text(scripts.problems, key)?;
    let found = all.iter().copied().find(|t| word(*t) == said);
    if found.is_none() {
        let place = keys.get(key).map_or_else(|| keys.place(), |i| i.place());
        let help = words::offer(said, all.iter().map(|t| word(*t)));
        scripts.problems.borrow_mut().push(place.error(format!("`{key}` is \"{said}\"")).maybe_help(help));
    }
    found
}

/// Something is wrong and has been reported.
struct Reported;

/// What a script is about: an incident, a trouble, or either; reported where it is about both or reads a method.
fn of(tree: &Tree, keys: &Keys<'_>, scripts: &Scripts<'_>) -> Result<Option<About>, Reported> {
    let mut of = None;
    for who in tree.asked.iter().copied().chain(tree.reads()) {
        let about = match who {
            Who::Method => About::Method,
            Who::Fact(f) => scripts.base.vocabulary.get(f).about,
        };
        let fault = match about {
            About::Method => Some("what has happened is looked at by itself: the script cannot read the method"),
            About::Incident | About::Trouble if of.is_some_and(|o| o != about) => Some("the script reads an incident and a trouble"),
            _ => None,
        };
        if let Some(fault) = fault {
            scripts
                .problems
                .borrow_mut()
                .push(keys.place().error(fault).help("read `incident` or `trouble`, the site, the surface or a coat"));
            return Err(Reported);
        }
        if about.has_happened() {
            of = Some(about);
        }
    }
    Ok(of)
}

fn after(topic: &Topic<'_>, keys: &Keys<'_>, scripts: &Scripts<'_>) -> Option<After> {
    let problems = scripts.problems;
    let id = keys.need_text(problems, "id")?.to_owned();
    let section = one_of(keys, scripts, "part", &Section::ALL, Section::word);
    let emergency = keys.flag(problems, "emergency").unwrap_or(false);
    let order = keys.number(problems, "order").unwrap_or(0.0);
    // What comes before everything else is the standard packs' to say: a firm adds to the parts.
    if topic.pack.house && emergency {
        let fault = keys.place().error("a house pack adds no emergency");
        problems.borrow_mut().push(fault.help("leave `emergency` out; it is told in its part"));
    }
    // Nor does a firm say that work goes on.
    if topic.pack.house && section == Some(Section::Stop) {
        let fault = keys.place().error("a house pack does not say whether to stop or go on");
        problems.borrow_mut().push(fault.help("take another part, such as \"make-safe\" or \"never\""));
    }
    let source = need_source(keys, problems);
    let place = read_where(keys, problems);
    let period = read_period(keys, problems);
    let says = keys.need_text(problems, "says");
    let (script, tree) = scripts.unfolded_at(topic, keys, "when")?;
    let of = of(&tree, keys, scripts).ok()?;
    let says = scripts.template(keys, "says", says?, &tree);
    Some(After {
        id,
        section: section?,
        emergency,
        order,
        of,
        script,
        tree,
        says,
        place,
        period,
        source,
        pack: topic.pack.name.clone(),
        house: topic.pack.house,
        declared: keys.place(),
    })
}

fn cause(topic: &Topic<'_>, keys: &Keys<'_>, scripts: &Scripts<'_>) -> Option<Cause> {
    let problems = scripts.problems;
    let id = keys.need_text(problems, "id")?.to_owned();
    let title = keys.need_text(problems, "title").unwrap_or(&id).to_owned();
    let likely = one_of(keys, scripts, "likely", &Likely::ALL, Likely::word);
    let grounds = keys.need_text(problems, "grounds").unwrap_or("").to_owned();
    let source = need_source(keys, problems);
    let (test, next, never) = (keys.need_text(problems, "test"), keys.need_text(problems, "next"), keys.text(problems, "never"));
    let (script, tree) = scripts.unfolded_at(topic, keys, "when")?;
    let points = keys.get("points").is_some().then(|| scripts.unfolded_at(topic, keys, "points")).flatten();
    if of(&tree, keys, scripts).ok()? != Some(About::Trouble) {
        problems
            .borrow_mut()
            .push(keys.place().error("a cause is behind a trouble, and its script reads none").help("read `trouble.kind`"));
        return None;
    }
    if let Some((_, points)) = &points {
        of(points, keys, scripts).ok()?;
    }
    let filled = |key: &str, text: &str| scripts.template(keys, key, text, &tree);
    Some(Cause {
        test: filled("test", test?),
        next: filled("next", next?),
        never: never.map(|text| filled("never", text)),
        id,
        title,
        likely: likely?,
        grounds,
        script,
        tree,
        points,
        source,
        pack: topic.pack.name.clone(),
        declared: keys.place(),
    })
}

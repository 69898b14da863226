//! Reading stages, steps, what may stay and the order of work.

use super::scripts::Scripts;
use super::working::{Belongs, Each, Order, Partial, Show, Stage, Step, Working};
use super::{Rule, Taken, Topic, need_source, take};
use crate::figure::Figure;
use crate::finding::{ReckonKind, StagePart};
use crate::survey::read_value;
use crate::toml_read::{Keys, Place};
use crate::tree::{Tree, Who};
use crate::vocabulary::About;
use crate::words;
use indexmap::IndexMap;

/// What reading needs of the rest of the rule book.
pub(super) struct Around<'a> {
    pub(super) scripts: &'a Scripts<'a>,
    pub(super) rules: &'a [Rule],
    pub(super) figures: &'a IndexMap<String, Figure>,
}

impl Around<'_> {
    fn wrong(&self, place: &Place, message: String, help: Option<String>) {
        self.scripts.problems.borrow_mut().push(place.error(message).maybe_help(help));
    }

    /// A figure that a table names.
    fn figure(&self, keys: &Keys<'_>, key: &str, unit: &str) -> Option<String> {
        let id = keys.text(self.scripts.problems, key)?;
        let wanted = crate::quantity::find_unit(unit)?;
        match self.figures.get(id) {
            Some(figure) if figure.unit.dimension == wanted.dimension => return Some(id.to_owned()),
            Some(figure) => {
                self.wrong(&keys.place(), format!("the figure `{id}` is {} where {} is wanted", figure.unit.kind, wanted.kind), None);
            }
            None => {
                let help = words::did_you_mean(id, self.figures.keys().map(String::as_str));
                self.wrong(&keys.place(), format!("there is no figure `{id}`"), help);
            }
        }
        None
    }
}

pub(super) fn read(topics: &[Topic<'_>], around: &Around<'_>, taken: &mut Taken) -> Working {
    let problems = around.scripts.problems;
    let mut working = Working::default();
    for topic in topics {
        for keys in topic.keys.tables(problems, "stage", "a stage") {
            let stage = stage(&keys, around);
            keys.finish(problems);
            if let Some(stage) = stage
                && take(taken, problems, "stage", &stage.id.clone(), topic.pack, &keys.place())
            {
                working.stages.push(stage);
            }
        }
    }
    working.stages.sort_by(|a, b| a.order.total_cmp(&b.order));
    let stages = working.stages.clone();
    for topic in topics {
        for keys in topic.keys.tables(problems, "belongs", "a table of what belongs to a stage") {
            let belongs = belongs(topics, &keys, &stages, around);
            keys.finish(problems);
            working.belongs.extend(belongs);
        }
        for keys in topic.keys.tables(problems, "step", "a step") {
            let step = step(topic, &keys, &stages, around);
            keys.finish(problems);
            if let Some(step) = step
                && take(taken, problems, "step", &step.id.clone(), topic.pack, &keys.place())
            {
                working.steps.push(step);
            }
        }
        for keys in topic.keys.tables(problems, "partial", "a table of what may stay") {
            let partial = partial(topic, &keys, around);
            keys.finish(problems);
            if let Some(partial) = partial
                && take(taken, problems, "table of what may stay", &partial.id.clone(), topic.pack, &keys.place())
            {
                working.partials.push(partial);
            }
        }
        for keys in topic.keys.tables(problems, "order", "a row of the order of work") {
            let order = order(topic, &keys, around);
            keys.finish(problems);
            if let Some(order) = order
                && take(taken, problems, "row of the order of work", &order.id.clone(), topic.pack, &keys.place())
            {
                working.orders.push(order);
            }
        }
    }
    // The sort is stable: within a place steps stand as written.
    working.steps.sort_by(|a, b| a.stage.cmp(&b.stage).then(a.order.total_cmp(&b.order)));
    working
}

fn stage(keys: &Keys<'_>, around: &Around<'_>) -> Option<Stage> {
    let problems = around.scripts.problems;
    let id = keys.need_text(problems, "id")?.to_owned();
    let title = keys.need_text(problems, "title").unwrap_or(&id).to_owned();
    let order = keys.number(problems, "order");
    if order.is_none() {
        keys.missing(problems, "order");
    }
    let each = match keys.need_text(problems, "each")? {
        "surface" => Each::Surface,
        "method" => Each::Method,
        other => {
            around.wrong(&keys.place(), format!("`each` is \"{other}\""), Some("write \"surface\" or \"method\"".to_owned()));
            return None;
        }
    };
    let part = match keys.text(problems, "part") {
        None => StagePart::default(),
        Some(word) => {
            let found = StagePart::ALL.into_iter().find(|p| p.word() == word);
            if found.is_none() {
                let known = StagePart::ALL.map(StagePart::word);
                around.wrong(&keys.place(), format!("`part` is \"{word}\""), Some(format!("write {}", words::list(&known, "or"))));
            }
            found?
        }
    };
    let flag = |key: &str| keys.flag(problems, key).unwrap_or(false);
    Some(Stage { id, title, order: order?, each, part, holds: flag("holds"), usual: flag("usual"), default: flag("default") })
}

/// The stage that a table names.
fn named_stage(keys: &Keys<'_>, stages: &[Stage], around: &Around<'_>) -> Option<usize> {
    let id = keys.need_text(around.scripts.problems, "stage")?;
    let found = stages.iter().position(|s| s.id == id);
    if found.is_none() {
        let help = words::offer(id, stages.iter().map(|s| s.id.as_str()));
        around.wrong(&keys.place(), format!("there is no stage `{id}`"), help);
    }
    found
}

fn belongs(topics: &[Topic<'_>], keys: &Keys<'_>, stages: &[Stage], around: &Around<'_>) -> Option<Belongs> {
    let stage = named_stage(keys, stages, around);
    let among = |key: &str, what: &str, known: Vec<&str>| -> Vec<String> {
        let mut out = Vec::new();
        for (id, place) in keys.texts(around.scripts.problems, key) {
            if known.contains(&id) {
                out.push(id.to_owned());
            } else {
                around.wrong(&place, format!("there is no {what} `{id}`"), words::did_you_mean(id, known.iter().copied()));
            }
        }
        out
    };
    let rules = among("rules", "rule", around.rules.iter().map(|r| r.id.as_str()).collect());
    let packs = among("packs", "pack", topics.iter().map(|t| t.pack.name.as_str()).collect());
    let all: Vec<String> = around.rules.iter().map(topic_of).collect();
    let topic_names = among("topics", "topic with rules", all.iter().map(String::as_str).collect());
    let facts = among("facts", "fact", around.scripts.base.vocabulary.iter().map(|(_, f)| f.id.as_str()).collect());
    let facts = facts.iter().filter_map(|f| around.scripts.base.vocabulary.find(f)).collect();
    Some(Belongs { stage: stage?, rules, topics: topic_names, packs, facts })
}

/// The topic file of a rule, as `pack/topic`.
pub(crate) fn topic_of(rule: &Rule) -> String {
    let file = &rule.script.place.file.name;
    let stem = file.rsplit(['/', '\\']).next().unwrap_or(file).trim_end_matches(".toml");
    format!("{}/{stem}", rule.pack)
}

fn step(topic: &Topic<'_>, keys: &Keys<'_>, stages: &[Stage], around: &Around<'_>) -> Option<Step> {
    let problems = around.scripts.problems;
    let id = keys.need_text(problems, "id")?.to_owned();
    let stage = named_stage(keys, stages, around);
    let order = keys.number(problems, "order").unwrap_or(0.0);
    let title = keys.need_text(problems, "title").unwrap_or(&id).to_owned();
    let words = |key: &str| keys.text(problems, key).map(str::to_owned);
    let (open, answer) = (words("open"), words("answer"));
    // The answer is what everybody reads first: a firm's words do not stand before it.
    if topic.pack.house && answer.is_some() {
        let help = "leave `answer` out; the title of the step is told among the steps".to_owned();
        around.wrong(&keys.place(), "a house pack does not begin the answer".to_owned(), Some(help));
    }
    let says = keys.need_text(problems, "says");
    let source = need_source(keys, problems);
    let mut shows = Vec::new();
    for (word, place) in keys.texts(problems, "shows") {
        let (kind, with) = word.split_once(' ').map_or((word, None), |(k, w)| (k, Some(w.trim().to_owned())));
        match ReckonKind::from_word(kind) {
            Some(kind) => shows.push(Show { kind, with }),
            None => around.wrong(&place, format!("`{kind}` is not reckoned"), words::offer(kind, ReckonKind::ALL.map(ReckonKind::word))),
        }
    }
    let waits = around.figure(keys, "waits", "d");
    let flag = |key: &str| keys.flag(problems, key).unwrap_or(false);
    let (gate, brief) = (flag("gate"), flag("brief"));
    let (script, tree) = around.scripts.unfolded(topic, keys)?;
    let says = around.scripts.template(keys, "says", says?, &tree);
    Some(Step {
        id,
        stage: stage?,
        order,
        title,
        open,
        answer,
        script,
        tree,
        says,
        shows,
        waits,
        gate,
        brief,
        source,
        pack: topic.pack.name.clone(),
    })
}

/// Reports a script that reads the method, where there is none to read.
fn without_method(keys: &Keys<'_>, tree: &Tree, around: &Around<'_>) {
    let reads = tree.asked.iter().chain(tree.reads().iter()).any(|who| match who {
        Who::Method => true,
        Who::Fact(f) => around.scripts.base.vocabulary.get(*f).about == About::Method,
    });
    if reads {
        around.wrong(
            &keys.place(),
            "what may stay is settled before a method is chosen: the script cannot read the method".to_owned(),
            None,
        );
    }
}

fn partial(topic: &Topic<'_>, keys: &Keys<'_>, around: &Around<'_>) -> Option<Partial> {
    let problems = around.scripts.problems;
    let id = keys.need_text(problems, "id")?.to_owned();
    let every = match keys.text(problems, "coats") {
        None | Some("any") => false,
        Some("every") => true,
        Some(other) => {
            around.wrong(&keys.place(), format!("`coats` is `any` or `every`, not `{other}`"), None);
            false
        }
    };
    let loose = keys.flag(problems, "loose").unwrap_or(false);
    let share = around.figure(keys, "share", "%");
    let says = keys.need_text(problems, "says").unwrap_or("").to_owned();
    let source = need_source(keys, problems);
    let catalogue = &around.scripts.base.catalogue;
    let known: Vec<&str> =
        catalogue.grids.values().filter(|g| !g.clears.is_empty()).flat_map(|g| g.reasons.iter().map(String::as_str)).collect();
    let mut reasons = Vec::new();
    for (reason, place) in keys.texts(problems, "reasons") {
        if known.contains(&reason) {
            reasons.push(reason.to_owned());
        } else {
            around.wrong(
                &place,
                format!("`{reason}` is no reason of the clearing grid"),
                words::did_you_mean(reason, known.iter().copied()),
            );
        }
    }
    let mut left = Vec::new();
    if let Some(table) = keys.get("left") {
        match table.keys("what stays") {
            Some(table) => {
                for (name, place, item) in table.all() {
                    if let Some(fact) = around.scripts.base.vocabulary.find_about(About::Surface, name) {
                        left.extend(read_value(item, fact, around.scripts.base, problems).map(|s| (fact, s.known)));
                    } else {
                        let help = words::did_you_mean(name, around.scripts.base.vocabulary.names(About::Surface));
                        around.wrong(&place, format!("`{name}` is not a fact of a surface"), help);
                    }
                }
            }
            None => around.wrong(&table.place(), "`left` is not a table".to_owned(), None),
        }
    }
    let (script, tree) = around.scripts.unfolded(topic, keys)?;
    without_method(keys, &tree, around);
    Some(Partial { id, script, tree, every, loose, share, reasons, left, says, source })
}

fn order(topic: &Topic<'_>, keys: &Keys<'_>, around: &Around<'_>) -> Option<Order> {
    let problems = around.scripts.problems;
    let id = keys.need_text(problems, "id")?.to_owned();
    let says = keys.need_text(problems, "says").unwrap_or("").to_owned();
    let source = need_source(keys, problems);
    let (script, tree) = around.scripts.unfolded(topic, keys)?;
    Some(Order { id, script, tree, says, source })
}

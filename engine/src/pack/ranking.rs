//! Reading the ranking: its parts, the rows that add to them, and what makes keeping the paint doubtful.

use super::rules::Scope;
use super::scripts::{Script, Scripts};
use super::{Rule, Taken, Topic, need_source, take};
use crate::catalogue::EntryKind;
use crate::script::Base;
use crate::survey::PATCH_RESULTS;
use crate::toml_read::{Keys, Problems};
use crate::tree::Tree;
use crate::words;

/// The largest cost that one row can name: sums stay small whole numbers.
const LARGEST_COST: f64 = 100.0;

/// One part of the ranking: parts are compared one after the other, and in each of them less is better.
#[derive(Debug, Clone)]
#[non_exhaustive]
pub struct Ranking {
    /// Its id.
    pub id: String,
    /// In sentences.
    pub title: String,
    /// Its place: the part with the smaller number counts first.
    pub order: f64,
    /// Whether it counts only for the method that reaches the substrate.
    pub ground: bool,
    /// What every change of method costs.
    pub change: i64,
    /// How much more than the first a way may cost here and still be named beside it; any amount if `None`.
    pub beyond: Option<i64>,
    /// How it reads that one is better in this than others; `{}` stands for those.
    pub ahead: Option<String>,
    /// What it is read from.
    pub by: RankBy,
    /// What is added where a test patch was tried, by the best that came of it.
    pub patched: Vec<i64>,
    /// Where it comes from.
    pub source: String,
}

/// What a part of the ranking is read from; each comes to a whole number.
#[derive(Debug, Clone)]
pub enum RankBy {
    /// Costs for the grades of a grid, and what its reasons add.
    Grid {
        /// Which grid.
        grid: usize,
        /// Costs by grade.
        costs: Vec<i64>,
        /// What is added, by reason.
        reasons: Vec<i64>,
    },
    /// How many of the bands a number attribute of the method has passed.
    Attribute {
        /// Which attribute.
        attribute: usize,
        /// Where bands end, from below.
        bands: Vec<f64>,
    },
    /// How many of the bands the summed burden of the conditions has passed.
    Conditions {
        /// Where bands end, from below.
        bands: Vec<f64>,
    },
    /// Nothing where a rule prefers the method, one where none does.
    Preferred,
    /// Its rows alone.
    Rows,
}

/// How a row that is about coats counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum OfCoats {
    /// For each coat of which it holds, where the method takes that coat.
    Each,
    /// Once, if it holds of any coat of the surface.
    Any,
    /// Once, if it holds of every coat of the surface.
    Every,
}

/// A row that adds to a part of the ranking.
#[derive(Debug, Clone)]
#[non_exhaustive]
pub struct Grade {
    /// Its id.
    pub id: String,
    /// The part, by place in the ranking.
    pub part: usize,
    /// What it adds.
    pub cost: i64,
    /// When it does.
    pub script: Script,
    /// What the script comes to.
    pub tree: Tree,
    /// How it counts where it is about coats; `None` where it is about none.
    pub coats: Option<OfCoats>,
    /// Whether it speaks against a method only where it surely applies, not where it may.
    pub surely: bool,
    /// Why, in a sentence.
    pub because: String,
    /// Where it comes from.
    pub source: String,
}

/// Rules which, where they apply to keeping the paint, put keeping it behind taking it off.
#[derive(Debug, Clone)]
#[non_exhaustive]
pub struct Doubt {
    /// The rules, by id.
    pub rules: Vec<String>,
    /// Where it comes from.
    pub source: String,
}

/// How many bands a number has passed.
pub(crate) fn passed(bands: &[f64], value: f64) -> i64 {
    bands.iter().filter(|b| value > **b).count() as i64
}

pub(super) fn read(topics: &[Topic<'_>], base: &Base, problems: &Problems) -> Vec<Ranking> {
    let mut ranking: Vec<Ranking> = Vec::new();
    for topic in topics {
        for keys in topic.keys.tables(problems, "ranking", "a part of the ranking") {
            if let Some(part) = part(&keys, base, problems) {
                if ranking.iter().any(|r| r.id == part.id) {
                    problems.borrow_mut().push(keys.place().error(format!("the ranking has a part `{}` already", part.id)));
                } else {
                    ranking.push(part);
                }
            }
            keys.finish(problems);
        }
    }
    ranking.sort_by(|a, b| a.order.total_cmp(&b.order).then(a.id.cmp(&b.id)));
    ranking
}

/// A whole number that is small enough.
fn whole(keys: &Keys<'_>, key: &str, problems: &Problems) -> Option<i64> {
    let number = keys.number(problems, key)?;
    if number.fract() == 0.0 && number.abs() <= LARGEST_COST {
        return Some(number as i64);
    }
    problems.borrow_mut().push(keys.place().error(format!("`{key}` is not a whole number of at most {LARGEST_COST}")));
    None
}

/// Costs for a list of names, all of them if they must be.
fn costs(keys: &Keys<'_>, key: &str, names: &[String], all: bool, problems: &Problems) -> Option<Vec<i64>> {
    let Some(table) = keys.get(key).and_then(|i| i.keys(key.to_owned())) else { return (!all).then(|| vec![0; names.len()]) };
    let read: Vec<Option<i64>> = names.iter().map(|n| whole(&table, n, problems)).collect();
    table.finish(problems);
    if all && read.iter().any(Option::is_none) {
        return None;
    }
    Some(read.into_iter().map(|c| c.unwrap_or(0)).collect())
}

fn bands(keys: &Keys<'_>, problems: &Problems) -> Option<Vec<f64>> {
    let Some(item) = keys.get("bands") else {
        keys.missing(problems, "bands");
        return None;
    };
    let list: Option<Vec<f64>> = item.items().map(|all| all.iter().filter_map(|i| i.number().filter(|n| n.is_finite())).collect());
    let list = list.filter(|l| l.is_sorted() && !l.is_empty() && Some(l.len()) == item.items().map(|all| all.len()));
    if list.is_none() {
        problems.borrow_mut().push(item.place().error("`bands` are numbers that rise"));
    }
    list
}

fn part(keys: &Keys<'_>, base: &Base, problems: &Problems) -> Option<Ranking> {
    let id = keys.need_text(problems, "id")?.to_owned();
    let title = keys.text(problems, "title").unwrap_or(&id).to_owned();
    let source = need_source(keys, problems);
    let order = keys.number(problems, "order");
    if order.is_none() {
        keys.missing(problems, "order");
    }
    let flag = |key: &str| keys.flag(problems, key).unwrap_or(false);
    let (ground, conditions, prefers) = (flag("ground"), flag("conditions"), flag("prefers"));
    let change = whole(keys, "change", problems).unwrap_or(0);
    let beyond = whole(keys, "beyond", problems);
    let ahead = keys.text(problems, "ahead").map(str::to_owned);
    let (attribute, grid) = (keys.text(problems, "attribute"), keys.text(problems, "grid"));
    let patched = costs(keys, "patched", &PATCH_RESULTS.map(str::to_owned), false, problems)?;
    let fault = |message: &str| {
        problems.borrow_mut().push(keys.place().error(format!("ranking `{id}`: {message}")));
        None
    };
    let by = if let Some(grid_id) = grid {
        let Some((grid, _, found)) = base.catalogue.grids.get_full(grid_id) else { return fault("there is no such grid") };
        let Some(by_grade) = costs(keys, "costs", &found.grades, true, problems) else { return fault("every grade needs its cost") };
        let reasons = costs(keys, "reasons", &found.reasons, false, problems)?;
        RankBy::Grid { grid, costs: by_grade, reasons }
    } else if let Some(attribute) = attribute {
        let Some(attribute) = base.catalogue.attributes(EntryKind::Method).get_index_of(attribute) else {
            return fault("there is no such attribute of the method");
        };
        RankBy::Attribute { attribute, bands: bands(keys, problems)? }
    } else if conditions {
        RankBy::Conditions { bands: bands(keys, problems)? }
    } else if prefers {
        RankBy::Preferred
    } else {
        RankBy::Rows
    };
    Some(Ranking { id, title, order: order?, ground, change, beyond, ahead, by, patched, source })
}

pub(super) fn read_grades(topics: &[Topic<'_>], scripts: &Scripts<'_>, ranking: &[Ranking], taken: &mut Taken) -> Vec<Grade> {
    let mut grades = Vec::new();
    for topic in topics {
        for keys in topic.keys.tables(scripts.problems, "grade", "a row of the ranking") {
            let grade = grade(topic, &keys, scripts, ranking);
            keys.finish(scripts.problems);
            if let Some(grade) = grade
                && take(taken, scripts.problems, "row of the ranking", &grade.id.clone(), topic.pack, &keys.place())
            {
                grades.push(grade);
            }
        }
    }
    grades
}

fn grade(topic: &Topic<'_>, keys: &Keys<'_>, scripts: &Scripts<'_>, ranking: &[Ranking]) -> Option<Grade> {
    let problems = scripts.problems;
    let id = keys.need_text(problems, "id")?.to_owned();
    let named = keys.need_text(problems, "ranking")?;
    let part = ranking.iter().position(|r| r.id == named);
    if part.is_none() {
        let help = words::offer(named, ranking.iter().map(|r| r.id.as_str()));
        problems.borrow_mut().push(keys.place().error(format!("the ranking has no part `{named}`")).maybe_help(help));
    }
    let cost = whole(keys, "cost", problems);
    if cost.is_none() {
        keys.missing(problems, "cost");
    }
    let because = keys.need_text(problems, "because").unwrap_or("").to_owned();
    let source = need_source(keys, problems);
    let (script, tree) = scripts.unfolded(topic, keys)?;
    let scope = Scope::of(&tree, scripts.base);
    let coats = match keys.text(problems, "coats") {
        None | Some("each") => OfCoats::Each,
        Some("any") => OfCoats::Any,
        Some("every") => OfCoats::Every,
        Some(other) => {
            problems
                .borrow_mut()
                .push(keys.place().error(format!("`coats` is \"{other}\"")).maybe_help(words::offer(other, ["each", "any", "every"])));
            OfCoats::Each
        }
    };
    let surely = keys.flag(problems, "surely").unwrap_or(false);
    if !scope.method {
        problems.borrow_mut().push(keys.place().error("a row that reads no method weighs on all of them alike"));
    }
    Some(Grade { id, part: part?, cost: cost?, script, tree, coats: scope.coat.then_some(coats), surely, because, source })
}

pub(super) fn read_doubts(topics: &[Topic<'_>], rules: &[Rule], problems: &Problems) -> Vec<Doubt> {
    let mut doubts = Vec::new();
    for topic in topics {
        for keys in topic.keys.tables(problems, "doubt", "a table of doubts") {
            let source = need_source(&keys, problems);
            let named = keys.texts(problems, "rules");
            for (id, place) in &named {
                if !rules.iter().any(|r| r.id == *id) {
                    let help = words::did_you_mean(id, rules.iter().map(|r| r.id.as_str()));
                    problems.borrow_mut().push(place.error(format!("there is no rule `{id}`")).maybe_help(help));
                }
            }
            keys.finish(problems);
            doubts.push(Doubt { rules: named.iter().map(|(id, _)| (*id).to_owned()).collect(), source });
        }
    }
    doubts
}

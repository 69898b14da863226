//! One space for two rule books: facts and choices brought together by id, and what can be said of them.

use super::Bound;
use crate::judge::walk::Domain;
use crate::pack::RuleBook;
use crate::reach::Reach;
use crate::tree::{Expr, Op, Who};
use crate::vocabulary::{About, Fact, FactId, FactKind, Known, lowest};
use std::cell::{Cell, RefCell};
use std::collections::BTreeMap;

/// Which of the two books.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(crate) enum Side {
    /// The book compared from: the standard packs alone.
    Old,
    /// The book compared with: the standard packs with a firm's packs on top.
    New,
}

/// What a path can ask about. Facts are numbered through both books.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Var {
    /// A yes-no fact, a choice or an entry.
    Named(usize),
    /// One choice of a several-of fact.
    Choice(usize, u8),
    /// A number or year.
    Number(usize),
    /// The value of an expression of several facts, compared with a figure; by its place in the list of them.
    Sum(usize),
    /// A comparison that cannot be brought into that form, as a question of its own.
    Question(usize),
}

/// What each variable must be, sorted by variable.
pub(crate) type Way = Vec<(Var, Domain)>;

/// What kind of values a fact takes in the joint space.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Sort {
    /// One of these, by id.
    Named(Vec<String>),
    /// Any number of these.
    Several(Vec<String>),
    /// A number in base units.
    Number {
        /// What is possible in either book.
        range: Reach,
        /// Only whole numbers.
        whole: bool,
    },
}

/// A fact of either book.
#[derive(Debug)]
pub(crate) struct Joint {
    pub(crate) id: String,
    pub(crate) name: String,
    pub(crate) about: About,
    pub(crate) chosen: bool,
    pub(crate) sort: Sort,
    /// The fact in each book.
    pub(crate) own: [Option<FactId>; 2],
    /// The choices each book knows.
    pub(crate) choices: [u128; 2],
    /// By book: the joint place of each of its choices.
    pub(super) map: [Vec<usize>; 2],
}

/// A budget of steps that many questions share.
#[derive(Debug)]
pub(crate) struct Effort(Cell<usize>);

impl Effort {
    pub(crate) fn new(steps: usize) -> Self {
        Self(Cell::new(steps))
    }

    pub(crate) fn spend(&self, steps: usize) -> Result<(), Bound> {
        let left = self.0.get();
        self.0.set(left.saturating_sub(steps));
        if left < steps { Err(Bound) } else { Ok(()) }
    }

    /// What is left of it.
    pub(crate) fn left(&self) -> usize {
        self.0.get()
    }
}

/// The joint space of two books.
pub(crate) struct Space<'b> {
    pub(crate) books: [&'b RuleBook; 2],
    pub(crate) facts: Vec<Joint>,
    by_own: [BTreeMap<FactId, usize>; 2],
    pub(crate) sums: RefCell<Vec<Expr>>,
    pub(crate) questions: RefCell<Vec<(Expr, Op, Expr)>>,
}

fn sort_of(book: &RuleBook, fact: &Fact) -> Sort {
    let ids = || fact.choice_ids(&book.base.catalogue).into_iter().map(str::to_owned).collect();
    match &fact.kind {
        FactKind::YesNo | FactKind::Choice(_) | FactKind::Entry(_) => Sort::Named(ids()),
        FactKind::Several(_) => Sort::Several(ids()),
        FactKind::Number { range, whole, .. } => Sort::Number { range: range.clone(), whole: *whole },
        FactKind::Year { range } => Sort::Number { range: range.clone(), whole: true },
    }
}

impl<'b> Space<'b> {
    /// Brings two books together.
    ///
    /// # Errors
    /// Where a fact would have more choices than can be told apart.
    pub(crate) fn new(old: &'b RuleBook, new: &'b RuleBook) -> Result<Self, Bound> {
        let mut space = Self {
            books: [old, new],
            facts: Vec::new(),
            by_own: [BTreeMap::new(), BTreeMap::new()],
            sums: RefCell::default(),
            questions: RefCell::default(),
        };
        for side in [Side::Old, Side::New] {
            let book = space.books[side as usize];
            // No rule reads what has happened.
            for (id, fact) in book.base.vocabulary.iter().filter(|(_, f)| !f.about.has_happened()) {
                space.add(side, book, id, fact)?;
            }
        }
        Ok(space)
    }

    fn add(&mut self, side: Side, book: &RuleBook, id: FactId, fact: &Fact) -> Result<(), Bound> {
        let s = side as usize;
        let sort = sort_of(book, fact);
        let same = self.facts.iter().position(|j| {
            j.id == fact.id
                && j.own[s].is_none()
                && matches!(
                    (&j.sort, &sort),
                    (Sort::Named(_), Sort::Named(_)) | (Sort::Several(_), Sort::Several(_)) | (Sort::Number { .. }, Sort::Number { .. })
                )
        });
        let at = same.unwrap_or_else(|| {
            self.facts.push(Joint {
                id: fact.id.clone(),
                name: fact.name.clone(),
                about: fact.about,
                chosen: fact.chosen,
                sort: match &sort {
                    Sort::Named(_) => Sort::Named(Vec::new()),
                    Sort::Several(_) => Sort::Several(Vec::new()),
                    number @ Sort::Number { .. } => number.clone(),
                },
                own: [None, None],
                choices: [0, 0],
                map: [Vec::new(), Vec::new()],
            });
            self.facts.len() - 1
        });
        let joint = &mut self.facts[at];
        joint.own[s] = Some(id);
        match (&mut joint.sort, sort) {
            (Sort::Named(all), Sort::Named(own)) | (Sort::Several(all), Sort::Several(own)) => {
                for choice in own {
                    let place = all.iter().position(|c| *c == choice).unwrap_or_else(|| {
                        all.push(choice);
                        all.len() - 1
                    });
                    if place >= 128 {
                        return Err(Bound);
                    }
                    joint.map[s].push(place);
                    joint.choices[s] |= 1 << place;
                }
            }
            (Sort::Number { range, whole }, Sort::Number { range: own, whole: w }) => {
                *range = range.or(&own);
                *whole &= w;
            }
            _ => {}
        }
        self.by_own[s].insert(id, at);
        Ok(())
    }

    /// The joint number of a book's fact.
    pub(crate) fn joint(&self, side: Side, fact: FactId) -> usize {
        self.by_own[side as usize].get(&fact).copied().unwrap_or(0)
    }

    /// A book's set of choices as a joint one.
    pub(crate) fn lift(&self, side: Side, fact: usize, set: u128) -> u128 {
        let map = &self.facts[fact].map[side as usize];
        map.iter().enumerate().fold(0, |out, (own, joint)| out | (set >> own & 1) << joint)
    }

    /// What a book leaves possible of a fact, in the joint space; `None` for several-of facts.
    pub(crate) fn known(&self, side: Side, fact: usize, known: &Known) -> Option<Domain> {
        match known {
            Known::Bits(b) => Some(Domain::Bits(self.lift(side, fact, *b))),
            Known::Num(r) => Some(Domain::Num(r.clone())),
            Known::Several { .. } => None,
        }
    }

    /// Everything a variable can be in one book.
    pub(crate) fn anything(&self, side: Side, var: Var) -> Domain {
        match var {
            Var::Named(f) => Domain::Bits(self.facts[f].choices[side as usize]),
            Var::Number(f) => match &self.facts[f].sort {
                Sort::Number { range, .. } => Domain::Num(range.clone()),
                _ => Domain::Num(Reach::empty()),
            },
            Var::Sum(_) => Domain::Num(Reach::all()),
            Var::Choice(..) | Var::Question(_) => Domain::Bits(0b11),
        }
    }

    /// Everything a variable can be that both books know; what only one has, as that one has it.
    pub(crate) fn common(&self, var: Var) -> Domain {
        match var {
            Var::Named(f) => {
                let [old, new] = self.facts[f].choices;
                Domain::Bits(match self.facts[f].own {
                    [Some(_), Some(_)] => old & new,
                    _ => old | new,
                })
            }
            _ => self.anything(Side::New, var),
        }
    }

    pub(crate) fn whole(&self, var: Var) -> bool {
        matches!(var, Var::Number(f) if matches!(self.facts[f].sort, Sort::Number { whole: true, .. }))
    }

    /// The fact a variable is about.
    pub(crate) fn fact_of(var: Var) -> Option<usize> {
        match var {
            Var::Named(f) | Var::Choice(f, _) | Var::Number(f) => Some(f),
            Var::Sum(_) | Var::Question(_) => None,
        }
    }

    /// Every fact a variable depends on.
    pub(crate) fn facts_in(&self, var: Var) -> Vec<usize> {
        let mut read = Vec::new();
        match var {
            Var::Sum(s) => self.sums.borrow()[s].facts(&mut read),
            Var::Question(q) => {
                let (a, _, b) = &self.questions.borrow()[q];
                a.facts(&mut read);
                b.facts(&mut read);
            }
            _ => return Self::fact_of(var).into_iter().collect(),
        }
        // Sums and questions are kept with joint facts.
        read.into_iter().filter_map(|w| if let Who::Fact(f) = w { Some(f.at()) } else { None }).collect()
    }

    /// Whether a way says something of a fact together with others.
    pub(crate) fn entangled(&self, way: &Way, fact: usize) -> bool {
        way.iter().any(|(v, _)| matches!(v, Var::Sum(_) | Var::Question(_)) && self.facts_in(*v).contains(&fact))
    }

    /// A way without what it says of a fact, alone or together with others: it holds wherever the way did, and more.
    pub(crate) fn freed(&self, way: &Way, fact: usize) -> Way {
        way.iter().filter(|(v, _)| !self.facts_in(*v).contains(&fact)).cloned().collect()
    }

    fn tidy(&self, var: Var, domain: Domain) -> Domain {
        match domain {
            Domain::Num(r) if self.whole(var) => Domain::Num(r.whole()),
            d => d,
        }
    }

    /// What is left of a domain inside and outside another.
    pub(crate) fn split(&self, var: Var, domain: &Domain, by: &Domain) -> (Domain, Domain) {
        let outside = match (domain, by) {
            (Domain::Bits(a), Domain::Bits(b)) => Domain::Bits(a & !b),
            (Domain::Num(a), Domain::Num(b)) => Domain::Num(a.and(&b.not())),
            _ => Domain::Bits(0),
        };
        (self.tidy(var, domain.and(by)), self.tidy(var, outside))
    }

    /// Both ways at once, if they can be.
    pub(crate) fn meet(&self, a: &Way, b: &Way) -> Option<Way> {
        let mut out = Way::with_capacity(a.len() + b.len());
        let (mut i, mut j) = (0, 0);
        while i < a.len() || j < b.len() {
            let (var, domain) = match (a.get(i), b.get(j)) {
                (Some((v, d)), Some((w, e))) if v == w => {
                    (i, j) = (i + 1, j + 1);
                    (*v, self.tidy(*v, d.and(e)))
                }
                (Some((v, d)), other) if other.is_none_or(|(w, _)| v < w) => {
                    i += 1;
                    (*v, d.clone())
                }
                (_, Some((w, e))) => {
                    j += 1;
                    (*w, e.clone())
                }
                _ => break,
            };
            if domain.is_empty() {
                return None;
            }
            out.push((var, domain));
        }
        Some(out)
    }

    /// A way with what both books know of every variable they share; `None` if nothing is left.
    pub(crate) fn comparable(&self, way: &Way) -> Option<Way> {
        let common: Way = way.iter().map(|(v, _)| (*v, self.common(*v))).collect();
        self.meet(way, &common)
    }

    /// What is left of `regions` outside every way of `cut`, as ways that do not overlap.
    pub(crate) fn minus<'w>(
        &self,
        mut regions: Vec<Way>,
        cut: impl IntoIterator<Item = &'w Way>,
        effort: &Effort,
    ) -> Result<Vec<Way>, Bound> {
        for way in cut {
            let mut next = Vec::new();
            for region in regions {
                effort.spend(1)?;
                if self.meet(&region, way).is_none() {
                    next.push(region);
                    continue;
                }
                let mut rest = region;
                for (var, domain) in way {
                    let at = rest.binary_search_by_key(var, |(v, _)| *v);
                    let now = at.map_or_else(|_| self.whole_of(*var), |i| rest[i].1.clone());
                    let (inside, outside) = self.split(*var, &now, domain);
                    if !outside.is_empty() {
                        next.push(with(&rest, *var, outside));
                    }
                    rest = with(&rest, *var, inside);
                }
            }
            effort.spend(next.len())?;
            regions = next;
        }
        Ok(regions)
    }

    /// Everything a variable can be in either book.
    pub(crate) fn whole_of(&self, var: Var) -> Domain {
        match (self.anything(Side::Old, var), self.anything(Side::New, var)) {
            (Domain::Bits(a), Domain::Bits(b)) => Domain::Bits(a | b),
            (_, d) => d,
        }
    }
}

/// A way with one variable narrowed.
pub(crate) fn with(way: &Way, var: Var, domain: Domain) -> Way {
    let mut out = way.clone();
    match out.binary_search_by_key(&var, |(v, _)| *v) {
        Ok(i) => out[i].1 = domain,
        Err(i) => out.insert(i, (var, domain)),
    }
    out
}

/// A way without what it says of some facts.
pub(crate) fn without(way: &Way, facts: &[usize]) -> Way {
    way.iter().filter(|(v, _)| Space::fact_of(*v).is_none_or(|f| !facts.contains(&f))).cloned().collect()
}

/// What a way says of a variable.
pub(crate) fn said(way: &Way, var: Var) -> Option<&Domain> {
    way.binary_search_by_key(&var, |(v, _)| *v).ok().map(|i| &way[i].1)
}

/// Every choice of a fact that has some.
pub(crate) fn all_choices(sort: &Sort) -> u128 {
    match sort {
        Sort::Named(ids) | Sort::Several(ids) => lowest(ids.len()),
        Sort::Number { .. } => 0,
    }
}

//! Walking a compiled tree under what is known, and collecting the ways in which it can apply.

use super::in_force::{CANNOT_BE_WORKED_OUT, Compiled, Step};
use super::know::Slots;
use super::solve_one::{One, straight};
use crate::reach::Reach;
use crate::script::Base;
use crate::tree::{Expr, Func, Op, Who};
use crate::vocabulary::{About, FactId, Known, flag};
use std::sync::Arc;

/// Something a rule depends on that may still be open.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub(crate) enum Var {
    /// A fact; the number is the coat it is about (0 for others).
    Fact(FactId, u8),
    /// One choice of a several-of fact; likewise.
    Choice(FactId, u8, u8),
    /// A comparison of several open numbers, taken as a question of its own, by its place in the list of them; and
    /// the coat.
    Test(usize, u8),
}

/// The values a variable has on a path.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Domain {
    /// Named values; for choices and tests, no (bit 0) and yes (bit 1).
    Bits(u128),
    /// Numbers.
    Num(Reach),
}

impl Domain {
    pub(crate) fn and(&self, other: &Self) -> Self {
        match (self, other) {
            (Self::Bits(a), Self::Bits(b)) => Self::Bits(a & b),
            (Self::Num(a), Self::Num(b)) => Self::Num(a.and(b)),
            _ => Self::Bits(0),
        }
    }

    pub(crate) fn is_empty(&self) -> bool {
        match self {
            Self::Bits(b) => *b == 0,
            Self::Num(r) => r.is_empty(),
        }
    }
}

/// A way in which a rule applies: what each open variable must be.
pub(crate) type Way = Vec<(Var, Domain)>;

/// What is known, seen from one coat.
pub(crate) struct View<'a> {
    pub(crate) base: &'a Base,
    pub(crate) site: &'a Slots,
    pub(crate) surface: &'a Slots,
    pub(crate) coat: &'a Slots,
    pub(crate) coat_index: usize,
    pub(crate) method: &'a Slots,
    /// What is known of something that has happened, where that is looked at.
    pub(crate) event: Option<(About, &'a Slots)>,
    /// The fact that releases the hold being walked: not stated counts as no.
    pub(crate) unreleased: Option<FactId>,
}

/// What is known of a thing that is not looked at.
static NOTHING: Known = Known::Bits(0);

impl View<'_> {
    pub(crate) fn known(&self, fact: FactId) -> &Known {
        let f = self.base.vocabulary.get(fact);
        let slots = match f.about {
            About::Site => self.site,
            About::Surface => self.surface,
            About::Coat => self.coat,
            About::Method => self.method,
            // Whoever walks a script has seen to it that it reads the thing that is looked at.
            about => match self.event {
                Some((event, slots)) if event == about => slots,
                _ => return &NOTHING,
            },
        };
        &slots[f.slot].known
    }

    fn coat_of(&self, fact: FactId) -> u8 {
        if self.base.vocabulary.get(fact).about == About::Coat { self.coat_index as u8 } else { 0 }
    }
}

/// What a walk found.
#[derive(Debug, Default)]
pub(crate) struct Finding {
    /// Ways in which it applies; one with no conditions applies for certain.
    pub(crate) applies: Vec<Way>,
    /// Whether it is silent on some path.
    pub(crate) silent: bool,
    /// Why it cannot be worked out on some path.
    pub(crate) fails: Option<Arc<str>>,
    /// Ways in which it cannot be worked out.
    pub(crate) failing: Vec<Way>,
    /// The end it comes to, where nothing on the way was open: a node of the tree.
    pub(crate) end: Option<usize>,
}

impl Finding {
    /// Whether it applies whatever the rest is.
    pub(crate) fn certain(&self) -> bool {
        !self.applies.is_empty() && !self.silent && self.fails.is_none()
    }
}

/// Walks a tree; `seen` collects everything it asked about, known or not.
pub(crate) fn walk(tree: &Compiled, view: &View<'_>, seen: Option<&mut Vec<Var>>) -> Finding {
    let mut walker = Walker { tree, view, trail: Vec::new(), found: Finding::default(), seen };
    walker.go(0);
    walker.found
}

/// The values of a fact, between two ends, for which a comparison holds if everything else is as it is known; `None` where that
/// does not tell.
pub(crate) fn holds_for(view: &View<'_>, test: &(Expr, Op, Expr), fact: FactId, ends: (f64, f64)) -> Option<Reach> {
    let tree = Compiled { steps: Vec::new(), origin: Vec::new() };
    Walker { tree: &tree, view, trail: Vec::new(), found: Finding::default(), seen: None }.solved(test, fact, ends)
}

/// How a comparison comes out, and the value of its left side, where what is known settles them.
pub(crate) fn told(view: &View<'_>, test: &(Expr, Op, Expr)) -> (Option<bool>, Option<f64>) {
    let tree = Compiled { steps: Vec::new(), origin: Vec::new() };
    let walker = Walker { tree: &tree, view, trail: Vec::new(), found: Finding::default(), seen: None };
    let (x, y) = (walker.range(&test.0), walker.range(&test.2));
    (settled(test.1, x.0 - y.1, x.1 - y.0), (x.0 == x.1).then_some(x.0))
}

/// How a comparison comes out whose sides differ by something between two ends; neither holds for what is no number.
fn settled(op: Op, low: f64, high: f64) -> Option<bool> {
    match op {
        Op::Less if high < 0.0 => Some(true),
        Op::Less if low >= 0.0 => Some(false),
        Op::AtMost if high <= 0.0 => Some(true),
        Op::AtMost if low > 0.0 => Some(false),
        Op::Equal if low == 0.0 && high == 0.0 => Some(true),
        Op::Equal if low > 0.0 || high < 0.0 => Some(false),
        _ => None,
    }
}

struct Walker<'a, 'v, 's> {
    tree: &'a Compiled,
    view: &'a View<'v>,
    trail: Way,
    found: Finding,
    seen: Option<&'s mut Vec<Var>>,
}

impl Walker<'_, '_, '_> {
    fn see(&mut self, var: Var) {
        if let Some(seen) = &mut self.seen
            && !seen.contains(&var)
        {
            seen.push(var);
        }
    }

    fn narrowed(&self, var: Var) -> Option<&Domain> {
        self.trail.iter().rev().find(|(v, _)| *v == var).map(|(_, d)| d)
    }

    fn bits(&self, fact: FactId, var: Var) -> u128 {
        if let Some(Domain::Bits(b)) = self.narrowed(var) {
            return *b;
        }
        match self.view.known(fact) {
            Known::Bits(flag::EITHER) if self.view.unreleased == Some(fact) => flag::NO,
            Known::Bits(b) => *b,
            _ => 0,
        }
    }

    fn numbers(&self, fact: FactId) -> Reach {
        let var = Var::Fact(fact, self.view.coat_of(fact));
        if let Some(Domain::Num(r)) = self.narrowed(var) {
            return r.clone();
        }
        match self.view.known(fact) {
            Known::Num(r) => r.clone(),
            _ => Reach::empty(),
        }
    }

    fn leaf(&mut self, certain: bool) {
        // The last narrowing of each variable is the one that holds.
        let mut way: Way = Vec::new();
        if !certain {
            for (var, domain) in self.trail.iter().rev() {
                if !way.iter().any(|(v, _)| v == var) {
                    way.push((*var, domain.clone()));
                }
            }
            way.sort_by_key(|(v, _)| *v);
        }
        self.found.applies.push(way);
    }

    /// Goes on along both answers of an open question.
    fn branch(&mut self, var: Var, yes_domain: Domain, no_domain: Domain, yes: u32, no: u32) {
        for (domain, next) in [(yes_domain, yes), (no_domain, no)] {
            if !domain.is_empty() {
                self.trail.push((var, domain));
                self.go(next);
                self.trail.pop();
            }
        }
    }

    fn go(&mut self, at: u32) {
        if self.trail.is_empty() && matches!(self.tree.steps[at as usize], Step::Applies | Step::Silent | Step::Fails(_)) {
            self.found.end = Some(self.tree.origin[at as usize]);
        }
        match &self.tree.steps[at as usize] {
            Step::Applies => self.leaf(self.trail.is_empty()),
            Step::Silent => self.found.silent = true,
            Step::Fails(why) => {
                self.found.fails = Some(Arc::clone(why));
                let way = self.trail.clone();
                self.found.failing.push(way);
            }
            Step::Is { fact, set, yes, no } => {
                let var = Var::Fact(*fact, self.view.coat_of(*fact));
                self.see(var);
                let left = self.bits(*fact, var);
                let inside = left & set;
                if inside == left {
                    self.go(*yes);
                } else if inside == 0 {
                    self.go(*no);
                } else {
                    self.branch(var, Domain::Bits(inside), Domain::Bits(left & !set), *yes, *no);
                }
            }
            Step::Has { fact, option, yes, no } => {
                let var = Var::Choice(*fact, *option, self.view.coat_of(*fact));
                self.see(var);
                let settled = match self.narrowed(var) {
                    Some(Domain::Bits(b)) => Some(*b == flag::YES),
                    _ => match self.view.known(*fact) {
                        Known::Several { yes, .. } if yes >> option & 1 == 1 => Some(true),
                        Known::Several { no, .. } if no >> option & 1 == 1 => Some(false),
                        _ => None,
                    },
                };
                match settled {
                    Some(true) => self.go(*yes),
                    Some(false) => self.go(*no),
                    None => self.branch(var, Domain::Bits(flag::YES), Domain::Bits(flag::NO), *yes, *no),
                }
            }
            Step::Number { fact, op, figure, yes, no } => {
                let var = Var::Fact(*fact, self.view.coat_of(*fact));
                self.see(var);
                if self.narrowed(var).is_none()
                    && let Known::Num(reach) = self.view.known(*fact)
                    && let Some(value) = reach.single()
                {
                    self.go(if op.holds(value, *figure) { *yes } else { *no });
                    return;
                }
                let left = self.numbers(*fact);
                let region = crate::script::region(*op, *figure);
                self.split_numbers(*fact, var, &left, &region, *yes, *no);
            }
            Step::Compare { id, test, yes, no } => self.compare(*id, test, *yes, *no),
            Step::Pair { row, column, cells, yes, no } => self.pair(*row, *column, cells, *yes, *no),
        }
    }

    fn split_numbers(&mut self, fact: FactId, var: Var, left: &Reach, region: &Reach, yes: u32, no: u32) {
        let (mut inside, mut outside) = (left.and(region), left.and(&region.not()));
        if self.view.base.vocabulary.get(fact).whole() {
            (inside, outside) = (inside.whole(), outside.whole());
        }
        match (inside.is_empty(), outside.is_empty()) {
            (false, true) => self.go(yes),
            (true, _) => self.go(no),
            (false, false) => self.branch(var, Domain::Num(inside), Domain::Num(outside), yes, no),
        }
    }

    /// Several numbers at once: settled by their ranges, solved for the one that is open, or left as a question.
    fn compare(&mut self, id: usize, test: &(Expr, Op, Expr), yes: u32, no: u32) {
        let (a, op, b) = test;
        let mut facts = Vec::new();
        a.facts(&mut facts);
        b.facts(&mut facts);
        for who in &facts {
            if let Who::Fact(f) = who {
                self.see(Var::Fact(*f, self.view.coat_of(*f)));
            }
        }
        let (x, y) = (self.range(a), self.range(b));
        let (low, high) = (x.0 - y.1, x.1 - y.0);
        if low.is_nan() || high.is_nan() {
            if self.open_numbers(&facts).is_empty() {
                self.found.fails = Some(CANNOT_BE_WORKED_OUT.into());
                self.found.failing.push(self.trail.clone());
                return;
            }
        } else if let Some(answer) = settled(*op, low, high) {
            self.go(if answer { yes } else { no });
            return;
        }
        if let [fact] = self.open_numbers(&facts)[..]
            && let Some(ends) = self.numbers(fact).bounds()
            && let Some(region) = self.solved(test, fact, ends)
        {
            let var = Var::Fact(fact, self.view.coat_of(fact));
            let left = self.numbers(fact);
            self.split_numbers(fact, var, &left, &region, yes, no);
            return;
        }
        self.question(id, yes, no);
    }

    /// The values of the one open fact for which a comparison holds, where it is a straight line in it or runs one way.
    fn solved(&self, test: &(Expr, Op, Expr), fact: FactId, ends: (f64, f64)) -> Option<Reach> {
        let settled = |e: &Expr| self.settled(e);
        straight(test, fact, &settled).or_else(|| One { test, fact, settled: &settled }.region(ends))
    }

    /// The value of an expression, where it has only one.
    fn settled(&self, expr: &Expr) -> Option<f64> {
        let (low, high) = self.range(expr);
        (low == high).then_some(low)
    }

    fn question(&mut self, id: usize, yes: u32, no: u32) {
        let var = Var::Test(id, self.view.coat_index as u8);
        match self.narrowed(var) {
            Some(Domain::Bits(flag::YES)) => self.go(yes),
            Some(_) => self.go(no),
            None => self.branch(var, Domain::Bits(flag::YES), Domain::Bits(flag::NO), yes, no),
        }
    }

    fn pair(&mut self, row: FactId, column: FactId, cells: &Arc<Vec<u128>>, yes: u32, no: u32) {
        let (row_var, column_var) = (Var::Fact(row, self.view.coat_of(row)), Var::Fact(column, self.view.coat_of(column)));
        self.see(row_var);
        self.see(column_var);
        let (rows, columns) = (self.bits(row, row_var), self.bits(column, column_var));
        // One row at a time: within a row it is a plain question about the column.
        for r in 0..128 {
            if rows >> r & 1 == 0 {
                continue;
            }
            let narrow = rows.count_ones() > 1;
            if narrow {
                self.trail.push((row_var, Domain::Bits(1 << r)));
            }
            let inside = columns & cells[r];
            if inside == columns {
                self.go(yes);
            } else if inside == 0 {
                self.go(no);
            } else {
                self.branch(column_var, Domain::Bits(inside), Domain::Bits(columns & !cells[r]), yes, no);
            }
            if narrow {
                self.trail.pop();
            }
        }
    }

    fn open_numbers(&self, facts: &[Who]) -> Vec<FactId> {
        let mut open = Vec::new();
        for who in facts {
            if let Who::Fact(f) = who
                && !open.contains(f)
                && matches!(self.view.known(*f), Known::Num(_))
                && self.numbers(*f).single().is_none()
            {
                open.push(*f);
            }
        }
        open
    }

    /// The least and greatest value of an expression.
    fn range(&self, expr: &Expr) -> (f64, f64) {
        match expr {
            Expr::Const(c) => (*c, *c),
            Expr::Limit(_) => (f64::NAN, f64::NAN),
            Expr::Fact(f) => self.numbers(*f).bounds().unwrap_or((f64::NAN, f64::NAN)),
            Expr::Lookup(Who::Fact(f), values) => {
                let left = self.bits(*f, Var::Fact(*f, self.view.coat_of(*f)));
                values
                    .iter()
                    .enumerate()
                    .filter(|(i, _)| left >> i & 1 == 1)
                    .fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), (_, v)| (l.min(*v), h.max(*v)))
            }
            Expr::Lookup(Who::Method, _) => (f64::NAN, f64::NAN),
            Expr::Call(func, a, b) => {
                let (a, b) = (self.range(a), self.range(b));
                let corners = [func.apply(a.0, b.0), func.apply(a.0, b.1), func.apply(a.1, b.0), func.apply(a.1, b.1)];
                if corners.iter().all(|c| c.is_nan()) {
                    return (f64::NAN, f64::NAN);
                }
                if corners.iter().any(|c| c.is_nan()) || (*func == Func::Div && b.0 <= 0.0 && b.1 >= 0.0 && b.0 != b.1) {
                    return (f64::NEG_INFINITY, f64::INFINITY);
                }
                let low = corners.iter().copied().fold(f64::INFINITY, f64::min);
                let high = corners.iter().copied().fold(f64::NEG_INFINITY, f64::max);
                if *func == Func::Abs && a.0 < 0.0 && a.1 > 0.0 { (0.0, high) } else { (low, high) }
            }
            Expr::Reckon(function, given) => {
                let given: Vec<(f64, f64)> = given.iter().map(|e| self.range(e)).collect();
                if given.iter().all(|(low, high)| low == high) {
                    let value = function.apply(&given.iter().map(|(low, _)| *low).collect::<Vec<_>>()).unwrap_or(f64::NAN);
                    return (value, value);
                }
                function.range(&given).unwrap_or((f64::NEG_INFINITY, f64::INFINITY))
            }
        }
    }
}

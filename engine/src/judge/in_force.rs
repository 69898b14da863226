//! The rules in force at a place and date, with limits filled in and every method's own trees cut out.

use crate::catalogue::EntryKind;
use crate::limit::Where;
use crate::pack::{RuleBook, Ruling};
use crate::tree::{Expr, Node, Op, Outcome, Test, Tree, Who};
use crate::vocabulary::FactId;
use jiff::civil::Date;
use std::sync::Arc;

/// Why a comparison fails whose figures come to no number.
pub(crate) const CANNOT_BE_WORKED_OUT: &str = "the figures of this rule cannot be worked out";

/// A node of a compiled tree.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Step {
    /// True.
    Applies,
    /// False.
    Silent,
    /// Cannot be worked out.
    Fails(Arc<str>),
    /// Named values.
    Is { fact: FactId, set: u128, yes: u32, no: u32 },
    /// A choice of a several-of fact.
    Has { fact: FactId, option: u8, yes: u32, no: u32 },
    /// One number against a figure.
    Number { fact: FactId, op: Op, figure: f64, yes: u32, no: u32 },
    /// Numbers against each other.
    Compare { id: usize, test: Arc<(Expr, Op, Expr)>, yes: u32, no: u32 },
    /// A pair of entries, neither of them the method.
    Pair { row: FactId, column: FactId, cells: Arc<Vec<u128>>, yes: u32, no: u32 },
}

/// A tree ready to be walked; step 0 is its root.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Compiled {
    pub(crate) steps: Vec<Step>,
    /// By step: the node of the tree it comes from.
    pub(crate) origin: Vec<usize>,
}

impl Compiled {
    /// Whether it can never apply, and never fail, whatever is known.
    fn idle(&self) -> bool {
        self.steps.iter().all(|s| !matches!(s, Step::Applies | Step::Fails(_)))
    }
}

/// A rule's compiled tree.
#[derive(Debug)]
pub(crate) struct Ready {
    /// The rule, by its place in the book.
    pub(crate) rule: usize,
    pub(crate) tree: Compiled,
}

/// What is in force.
#[derive(Debug)]
pub(crate) struct InForce<'b> {
    pub(crate) book: &'b RuleBook,
    /// The place and what it is part of; empty where no place is given.
    pub(crate) places: Vec<String>,
    pub(crate) date: Date,
    /// Rules that read no method.
    pub(crate) general: Vec<Ready>,
    /// By method: rules that read it.
    pub(crate) by_method: Vec<Vec<Ready>>,
    /// By method: the rows that add to the ranking, by their place in the book.
    pub(crate) grades: Vec<Vec<Ready>>,
    /// Rules that make keeping the paint doubtful.
    pub(crate) doubts: Vec<usize>,
    /// Presumptions, by their place in the book.
    pub(crate) presumptions: Vec<Ready>,
    /// Usual values, by their place in the book.
    pub(crate) usual: Vec<Ready>,
    /// By limit: the figure in force.
    limits: Vec<Option<f64>>,
    /// Facts on which some presumption depends.
    read_by_presumptions: Vec<FactId>,
    /// Comparisons of several numbers, each once: a way names them by place.
    pub(crate) comparisons: Vec<Arc<(Expr, Op, Expr)>>,
    /// The first day on which something in force here changes.
    pub(crate) good_until: Option<Date>,
}

impl<'b> InForce<'b> {
    pub(crate) fn new(book: &'b RuleBook, place: Option<&str>, date: Date) -> Self {
        let places = place.map(|p| book.places_of(p)).unwrap_or_default();
        let here = |at: &Where| at.holds(&places);
        let limits: Vec<Option<f64>> = book.base.limits.values().map(|l| l.in_force(&places, date).map(|v| v.quantity.base)).collect();
        let methods = book.base.catalogue.entries(EntryKind::Method).len();
        let mut general = Vec::new();
        let mut by_method: Vec<Vec<Ready>> = (0..methods).map(|_| Vec::new()).collect();
        let mut comparisons = Vec::new();
        let mut compile =
            |tree: &Tree, method: Option<usize>| Compiler { book, limits: &limits, method, comparisons: &mut comparisons }.compile(tree);
        for (index, rule) in book.rules.iter().enumerate() {
            if !here(&rule.place) || !rule.period.holds(date) {
                continue;
            }
            if !rule.scope.method {
                general.push(Ready { rule: index, tree: compile(&rule.tree, None) });
                continue;
            }
            for (method, list) in by_method.iter_mut().enumerate() {
                let tree = compile(&rule.tree, Some(method));
                if !tree.idle() {
                    list.push(Ready { rule: index, tree });
                }
            }
        }
        let mut grades: Vec<Vec<Ready>> = (0..methods).map(|_| Vec::new()).collect();
        for (row, grade) in book.grades.iter().enumerate() {
            for (method, list) in grades.iter_mut().enumerate() {
                let tree = compile(&grade.tree, Some(method));
                if !tree.idle() {
                    list.push(Ready { rule: row, tree });
                }
            }
        }
        let doubted = |id: &String| book.rules.iter().position(|r| r.id == *id);
        let doubts = book.doubts.iter().flat_map(|d| &d.rules).filter_map(doubted).collect();
        let presumptions: Vec<Ready> = book
            .presumptions
            .iter()
            .enumerate()
            .filter(|(_, p)| here(&p.place) && p.period.holds(date))
            .map(|(rule, p)| Ready { rule, tree: compile(&p.tree, None) })
            .collect();
        let usual: Vec<Ready> = book
            .usual
            .iter()
            .enumerate()
            .filter(|(_, u)| here(&u.place) && u.period.holds(date))
            .map(|(rule, u)| Ready { rule, tree: compile(&u.tree, None) })
            .collect();
        let mut read_by_presumptions: Vec<FactId> = Vec::new();
        for ready in &presumptions {
            let presumption = &book.presumptions[ready.rule];
            read_by_presumptions.extend(&presumption.unstated);
            read_by_presumptions.extend(presumption.tree.reads().iter().filter_map(|w| if let Who::Fact(f) = w { Some(*f) } else { None }));
        }
        let changes = book
            .rules
            .iter()
            .map(|r| (&r.place, r.period))
            .chain(book.presumptions.iter().map(|p| (&p.place, p.period)))
            .chain(book.usual.iter().map(|u| (&u.place, u.period)))
            .filter(|(place, _)| here(place))
            .filter_map(|(_, period)| period.next_change(date));
        let limit_changes = book
            .base
            .limits
            .values()
            .enumerate()
            .filter(|(i, _)| !book.only_afterwards.contains(i))
            .flat_map(|(_, l)| &l.values)
            .filter(|v| v.place.as_ref().is_none_or(|p| places.contains(p)))
            .filter_map(|v| v.period.next_change(date));
        let good_until = changes.chain(limit_changes).min();
        Self {
            book,
            places,
            date,
            general,
            by_method,
            grades,
            doubts,
            presumptions,
            usual,
            limits,
            read_by_presumptions,
            comparisons,
            good_until,
        }
    }

    /// Whether some presumption in force depends on a fact.
    pub(crate) fn presumptions_read(&self, fact: FactId) -> bool {
        self.read_by_presumptions.contains(&fact)
    }

    /// Whether any rule, presumption or figure is about the place itself.
    pub(crate) fn covered(&self) -> bool {
        self.book.rules.iter().any(|r| r.place.names(&self.places))
            || self.book.presumptions.iter().any(|p| p.place.names(&self.places))
            || self.book.afters.iter().any(|a| a.place.names(&self.places))
            || self.book.base.limits.values().flat_map(|l| &l.values).any(|v| v.place.as_ref().is_some_and(|p| self.places.contains(p)))
    }

    /// Compiles a tree for a method.
    pub(crate) fn compile(&self, tree: &Tree, method: usize) -> Compiled {
        let mut comparisons = self.comparisons.clone();
        Compiler { book: self.book, limits: &self.limits, method: Some(method), comparisons: &mut comparisons }.compile(tree)
    }

    /// Compiles a tree that reads no method.
    pub(crate) fn compile_bare(&self, tree: &Tree) -> Compiled {
        let mut comparisons = self.comparisons.clone();
        Compiler { book: self.book, limits: &self.limits, method: None, comparisons: &mut comparisons }.compile(tree)
    }

    /// A rule's tree for a method, if it is in force.
    pub(crate) fn by_rule(&self, rule: usize, method: usize) -> impl Iterator<Item = &Ready> {
        self.by_method[method].iter().chain(&self.general).filter(move |r| r.rule == rule)
    }

    /// The ruling of a rule.
    pub(crate) fn ruling(&self, rule: usize) -> Ruling {
        self.book.rules[rule].ruling
    }
}

/// Compiles a tree with given figures for the limits, for a method or for none.
pub(crate) fn compile_with(book: &RuleBook, limits: &[Option<f64>], tree: &Tree, method: Option<usize>) -> Compiled {
    Compiler { book, limits, method, comparisons: &mut Vec::new() }.compile(tree)
}

struct Compiler<'a> {
    book: &'a RuleBook,
    limits: &'a [Option<f64>],
    method: Option<usize>,
    comparisons: &'a mut Vec<Arc<(Expr, Op, Expr)>>,
}

impl Compiler<'_> {
    fn compile(&mut self, tree: &Tree) -> Compiled {
        let mut compiled = Compiled { steps: Vec::new(), origin: Vec::new() };
        self.copy(tree, 0, &mut compiled);
        compiled
    }

    /// Copies a node and what is below it, skipping questions whose answer is plain; gives its place.
    fn copy(&mut self, tree: &Tree, node: usize, out: &mut Compiled) -> u32 {
        match &tree.nodes[node] {
            Node::Leaf(outcome) => {
                out.origin.push(node);
                out.steps.push(match outcome {
                    Outcome::Applies => Step::Applies,
                    Outcome::Silent => Step::Silent,
                    Outcome::Fails(why) => Step::Fails(why.as_str().into()),
                });
                out.steps.len() as u32 - 1
            }
            Node::Ask(test, yes, no) => match self.plain(test) {
                Plain::Answer(answer) => self.copy(tree, if answer { *yes } else { *no }, out),
                Plain::Fails(why) => {
                    out.origin.push(node);
                    out.steps.push(Step::Fails(why.into()));
                    out.steps.len() as u32 - 1
                }
                Plain::Ask(step) => {
                    let here = out.steps.len();
                    out.origin.push(node);
                    out.steps.push(step);
                    let y = self.copy(tree, *yes, out);
                    let n = self.copy(tree, *no, out);
                    match &mut out.steps[here] {
                        Step::Is { yes, no, .. }
                        | Step::Has { yes, no, .. }
                        | Step::Number { yes, no, .. }
                        | Step::Compare { yes, no, .. }
                        | Step::Pair { yes, no, .. } => (*yes, *no) = (y, n),
                        Step::Applies | Step::Silent | Step::Fails(_) => {}
                    }
                    here as u32
                }
            },
        }
    }

    fn plain(&mut self, test: &Test) -> Plain {
        let one = |who: &Who| match (who, self.method) {
            (Who::Method, Some(m)) => Ok(m),
            (Who::Fact(f), _) => Err(*f),
            (Who::Method, None) => Ok(0),
        };
        match test {
            Test::Is(who, set) => match one(who) {
                Ok(method) => Plain::Answer(set >> method & 1 == 1),
                Err(fact) => Plain::Ask(Step::Is { fact, set: *set, yes: 0, no: 0 }),
            },
            Test::Has(fact, option) => Plain::Ask(Step::Has { fact: *fact, option: *option as u8, yes: 0, no: 0 }),
            Test::Grid { row, column, cells, .. } => match (one(row), one(column)) {
                (Ok(r), Ok(c)) => Plain::Answer(cells[r] >> c & 1 == 1),
                (Err(fact), Ok(c)) => {
                    let set = cells.iter().enumerate().fold(0, |s, (r, row)| s | (row >> c & 1) << r);
                    self.is(fact, set)
                }
                (Ok(r), Err(fact)) => self.is(fact, cells[r]),
                (Err(row), Err(column)) => Plain::Ask(Step::Pair { row, column, cells: Arc::clone(cells), yes: 0, no: 0 }),
            },
            Test::Compare(a, op, b) => {
                let (a, b) = match (self.fold(a), self.fold(b)) {
                    (Ok(a), Ok(b)) => (a, b),
                    (Err(limit), _) | (_, Err(limit)) => {
                        let title = &self.book.base.limits[limit].title;
                        return Plain::Fails(format!("no figure for \"{title}\" is in force for this place and date"));
                    }
                };
                match (a, b) {
                    (Expr::Const(x), Expr::Const(y)) if x.is_nan() || y.is_nan() => Plain::Fails(CANNOT_BE_WORKED_OUT.to_owned()),
                    (Expr::Const(x), Expr::Const(y)) => Plain::Answer(op.holds(x, y)),
                    (Expr::Fact(fact), Expr::Const(figure)) => Plain::Ask(Step::Number { fact, op: *op, figure, yes: 0, no: 0 }),
                    (a, b) => {
                        let test = (a, *op, b);
                        let id = self.comparisons.iter().position(|c| **c == test).unwrap_or_else(|| {
                            self.comparisons.push(Arc::new(test));
                            self.comparisons.len() - 1
                        });
                        Plain::Ask(Step::Compare { id, test: Arc::clone(&self.comparisons[id]), yes: 0, no: 0 })
                    }
                }
            }
        }
    }

    /// A question about named values, unless every or no value passes.
    fn is(&self, fact: FactId, set: u128) -> Plain {
        let all = crate::vocabulary::lowest(self.book.base.vocabulary.get(fact).width(&self.book.base.catalogue));
        match set & all {
            0 => Plain::Answer(false),
            s if s == all => Plain::Answer(true),
            set => Plain::Ask(Step::Is { fact, set, yes: 0, no: 0 }),
        }
    }

    /// Fills in limits and what the method settles; `Err` names a limit without a figure.
    fn fold(&self, expr: &Expr) -> Result<Expr, usize> {
        Ok(match expr {
            Expr::Const(_) | Expr::Fact(_) => expr.clone(),
            Expr::Limit(l) => Expr::Const(self.limits[*l].ok_or(*l)?),
            Expr::Lookup(Who::Method, values) => match self.method {
                Some(m) => Expr::Const(values[m]),
                None => expr.clone(),
            },
            Expr::Lookup(..) => expr.clone(),
            Expr::Call(func, a, b) => match (self.fold(a)?, self.fold(b)?) {
                (Expr::Const(x), Expr::Const(y)) => Expr::Const(crate::quantity::tidy(func.apply(x, y))),
                (a, b) => Expr::Call(*func, Arc::new(a), Arc::new(b)),
            },
            Expr::Reckon(function, given) => {
                let given = given.iter().map(|e| self.fold(e)).collect::<Result<Vec<Expr>, usize>>()?;
                let plain: Option<Vec<f64>> = given.iter().map(|e| if let Expr::Const(c) = e { Some(*c) } else { None }).collect();
                match plain {
                    Some(plain) => Expr::Const(function.apply(&plain).map_or(f64::NAN, crate::quantity::tidy)),
                    None => Expr::Reckon(function.clone(), given.into()),
                }
            }
        })
    }
}

enum Plain {
    Answer(bool),
    Fails(String),
    Ask(Step),
}

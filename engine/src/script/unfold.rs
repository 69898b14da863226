//! Unfolding: running a script until every possible combination of answers has been seen.

use super::kinds::Handle;
use super::oracle::Oracle;
use super::symbol;
use super::{Fault, LONGEST_SCRIPT, MOST_PATHS, MOST_PATHS_OF_A_PACK, MOST_STEPS_OF_A_PACK, SharedBase, kind_name, sort_out};
use crate::tree::{Node, Outcome, Test, Tree};
use crate::vocabulary::About;
use rhai::{AST, Engine, EvalAltResult, Scope};
use std::cell::{Cell, RefCell};
use std::rc::Rc;
use std::sync::Arc;

/// The functions a pack's scripts share.
pub(crate) struct Functions(AST);

/// Unfolds scripts against one vocabulary, catalogue and set of limits.
pub(crate) struct Unfolder {
    engine: Engine,
    oracle: Rc<RefCell<Oracle>>,
    /// Steps of the run that is going on.
    steps: Rc<Cell<u64>>,
    /// What the scripts of one pack have taken so far.
    spent: RefCell<Spent>,
}

/// What the scripts of one pack have taken.
#[derive(Debug, Default)]
struct Spent {
    pack: String,
    steps: u64,
    paths: usize,
}

impl Unfolder {
    pub(crate) fn new(base: &SharedBase) -> Self {
        let oracle = Rc::new(RefCell::new(Oracle::new(Arc::clone(base))));
        let steps = Rc::new(Cell::new(0));
        let mut engine = symbol::engine(base, &oracle);
        let counter = Rc::clone(&steps);
        engine.on_progress(move |count| {
            counter.set(count);
            None
        });
        Self { engine, oracle, steps, spent: RefCell::default() }
    }

    /// Reads the functions of a pack.
    pub(crate) fn functions(&self, text: &str) -> Result<Functions, Fault> {
        let ast = self.compile(text)?;
        Ok(Functions(ast.clone_functions_only()))
    }

    fn compile(&self, text: &str) -> Result<AST, Fault> {
        if text.len() > LONGEST_SCRIPT {
            return Err(Fault::new(format!("the script is longer than {LONGEST_SCRIPT} characters")));
        }
        self.engine.compile_with_scope(&subjects(), text).map_err(|e| {
            let error: Box<EvalAltResult> = e.into();
            let fault = sort_out(&error, &self.oracle.borrow().base()).unwrap_or_else(Fault::new);
            let help = fault.help.clone().or_else(|| fault.at.and_then(|at| slip(text, at)));
            fault.help(help)
        })
    }

    /// Says whose scripts come next: what they may take between them is counted by pack.
    pub(crate) fn begin_pack(&self, pack: &str) {
        let mut spent = self.spent.borrow_mut();
        if spent.pack != pack {
            *spent = Spent { pack: pack.to_owned(), steps: 0, paths: 0 };
        }
    }

    /// Counts a run; says so if the pack has taken all it may.
    fn count(&self) -> Result<(), Fault> {
        let mut spent = self.spent.borrow_mut();
        spent.steps += self.steps.get();
        spent.paths += 1;
        if spent.steps > MOST_STEPS_OF_A_PACK || spent.paths > MOST_PATHS_OF_A_PACK {
            let help = "say it with fewer or simpler rules, or divide the pack";
            return Err(Fault::new("the scripts of this pack take too long between them").help(Some(help.to_owned())));
        }
        Ok(())
    }

    /// Unfolds a script. All faults on all paths come back, each once.
    pub(crate) fn unfold(&self, script: &str, functions: Option<&Functions>) -> Result<Tree, Vec<Fault>> {
        let ast = self.compile(script).map_err(|f| vec![f])?;
        let ast = match functions {
            Some(Functions(shared)) => shared.merge(&ast),
            None => ast,
        };
        let fresh = self.oracle.borrow().fresh();
        self.oracle.replace(fresh);
        let mut faults: Vec<Fault> = Vec::new();
        let mut tree = Tree { nodes: Vec::new(), asked: Vec::new() };
        let mut paths = 0;
        loop {
            paths += 1;
            if paths > MOST_PATHS {
                faults.push(
                    Fault::new(format!("the script comes to more than {MOST_PATHS} paths"))
                        .help(Some("split it into several rules, or ask about an attribute of the entry".to_owned())),
                );
                break;
            }
            self.oracle.borrow_mut().begin();
            if let Err(fault) = self.count() {
                faults.push(fault);
                break;
            }
            match self.run(&ast) {
                Ok(outcome) => grow(&mut tree, &self.oracle.borrow().path, outcome),
                Err(fault) => {
                    if !faults.contains(&fault) {
                        faults.push(fault);
                    }
                    if faults.len() >= 8 {
                        break;
                    }
                }
            }
            if !self.oracle.borrow_mut().advance() {
                break;
            }
        }
        tree.asked.clone_from(&self.oracle.borrow().asked);
        if faults.is_empty() { Ok(tree) } else { Err(faults) }
    }

    /// One run, along one path.
    fn run(&self, ast: &AST) -> Result<Outcome, Fault> {
        let mut scope = subjects();
        match self.engine.eval_ast_with_scope::<rhai::Dynamic>(&mut scope, ast) {
            Ok(value) => match value.as_bool() {
                Ok(true) => Ok(Outcome::Applies),
                Ok(false) => Ok(Outcome::Silent),
                Err(kind) => Err(Fault::new(format!("the script gives {} where true or false is wanted", kind_name(kind)))
                    .help(Some("the last line of the script is its answer".to_owned()))),
            },
            Err(error) => match sort_out(&error, &self.oracle.borrow().base()) {
                Ok(fault) => Err(fault),
                Err(text) => Ok(Outcome::Fails(text)),
            },
        }
    }
}

/// What people write who have not written a script before, and what to write instead.
fn slip(text: &str, (line, column): (usize, usize)) -> Option<String> {
    let line = text.lines().nth(line.checked_sub(1)?)?;
    let at = line.char_indices().nth(column.saturating_sub(1)).map_or(line.len(), |(i, _)| i);
    let (before, rest) = line.split_at(at);
    let word: String = rest.chars().take_while(|c| c.is_alphanumeric() || matches!(c, '/' | '%' | '°')).collect();
    let help = match word.as_str() {
        "and" | "AND" => "write && for \"and\"".to_owned(),
        "or" | "OR" => "write || for \"or\"".to_owned(),
        "not" | "NOT" => "write ! for \"not\", before what it is about".to_owned(),
        "is" => "write == for \"is\"".to_owned(),
        _ if single_equals(before, rest) => "compare with ==, with two signs".to_owned(),
        unit if crate::quantity::find_unit(unit).is_some() => {
            let figure: String = before.trim_end().rsplit(|c: char| !(c.is_ascii_digit() || c == '.')).next().unwrap_or("").to_owned();
            if figure.is_empty() {
                return None;
            }
            format!("write quantity(\"{figure} {unit}\")")
        }
        _ => return None,
    };
    Some(help)
}

/// Whether a place in a line lies at or behind a lone equals sign.
fn single_equals(before: &str, rest: &str) -> bool {
    let before = before.trim_end();
    let behind = before.ends_with('=') && !["==", "!=", "<=", ">="].iter().any(|sign| before.ends_with(sign));
    behind || rest.starts_with('=') && !rest.starts_with("==")
}

/// What a script sees: site, surface, coat and method.
fn subjects() -> Scope<'static> {
    let mut scope = Scope::new();
    for about in About::ALL {
        scope.push_constant(about.word(), Handle(about));
    }
    scope
}

impl Oracle {
    /// An oracle that has answered nothing.
    fn fresh(&self) -> Self {
        Self::new(self.base())
    }
}

/// Adds one path to a tree.
fn grow(tree: &mut Tree, path: &[(Test, bool)], outcome: Outcome) {
    // A place that is not yet grown is an empty leaf that the next path through it fills.
    if tree.nodes.is_empty() {
        tree.nodes.push(Node::Leaf(Outcome::Silent));
    }
    let mut here = 0;
    for (test, answer) in path {
        let (yes, no) = match &tree.nodes[here] {
            Node::Ask(_, yes, no) => (*yes, *no),
            Node::Leaf(_) => {
                let (yes, no) = (tree.nodes.len(), tree.nodes.len() + 1);
                tree.nodes.push(Node::Leaf(Outcome::Silent));
                tree.nodes.push(Node::Leaf(Outcome::Silent));
                tree.nodes[here] = Node::Ask(test.clone(), yes, no);
                (yes, no)
            }
        };
        here = if *answer { yes } else { no };
    }
    tree.nodes[here] = Node::Leaf(outcome);
}

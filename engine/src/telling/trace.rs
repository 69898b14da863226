//! The longest explanation: every rule's questions, the answers given, and where they lead.

use super::Teller;
use crate::advice::RuleTree;
use crate::judge::in_force::{Compiled, Step};
use crate::judge::know::Slots;
use crate::judge::walk::{Domain, Var, told};
use crate::pack::Ruling;
use crate::script::region;
use crate::tree::{Expr, Op, Who};
use crate::vocabulary::{About, FactId, Known};

/// The trees of every rule-out and hold that reads the method or the surface, as they were walked.
pub(crate) fn trees(teller: &Teller<'_, '_, '_>, method: usize, settings: &Slots) -> Vec<RuleTree> {
    let force = teller.subject.force;
    let mut out = Vec::new();
    for ready in force.by_method[method].iter().chain(&force.general) {
        let rule = &force.book.rules[ready.rule];
        if !matches!(rule.ruling, Ruling::RuleOut | Ruling::Hold) {
            continue;
        }
        let coats = if rule.scope.coat { teller.subject.known.coats.len() } else { 1 };
        for coat in 0..coats {
            out.push(RuleTree {
                rule: rule.id.clone(),
                ruling: rule.ruling,
                coat: rule.scope.coat.then_some(coat + 1),
                lines: lines(teller, &ready.tree, coat, settings),
            });
        }
    }
    out
}

/// A tree as it was walked for a coat: its questions, the answers, and where they lead.
pub(crate) fn lines(teller: &Teller<'_, '_, '_>, tree: &Compiled, coat: usize, settings: &Slots) -> Vec<String> {
    let mut tracer = Tracer { teller, tree, coat, settings, lines: Vec::new() };
    tracer.go(0, 0);
    tracer.lines
}

struct Tracer<'a, 'b, 'i> {
    teller: &'a Teller<'a, 'b, 'i>,
    tree: &'a Compiled,
    coat: usize,
    settings: &'a Slots,
    lines: Vec<String>,
}

impl Tracer<'_, '_, '_> {
    fn var(&self, fact: FactId) -> Var {
        let about = self.teller.subject.base().vocabulary.get(fact).about;
        Var::Fact(fact, if about == About::Coat { self.coat as u8 } else { 0 })
    }

    fn line(&mut self, depth: usize, text: &str) {
        self.lines.push(format!("{}{text}", "  ".repeat(depth)));
    }

    fn go(&mut self, at: u32, depth: usize) {
        let (question, var, answer, yes, no) = match &self.tree.steps[at as usize] {
            Step::Applies => return self.line(depth, "it applies"),
            Step::Silent => return self.line(depth, "it is silent"),
            Step::Fails(why) => {
                let text = format!("it cannot be worked out: {why}");
                return self.line(depth, &text);
            }
            Step::Is { fact, set, yes, no } => {
                let var = self.var(*fact);
                let answer = match self.teller.subject.slot(var, self.settings).map(|s| &s.known) {
                    Some(Known::Bits(b)) if b & set == *b => Some(true),
                    Some(Known::Bits(b)) if b & set == 0 => Some(false),
                    _ => None,
                };
                let (name, _) = self.teller.name(var);
                let value = self.teller.value(var, &Domain::Bits(*set));
                let question = if value == "yes" { format!("{name}?") } else { format!("{name} is {value}?") };
                (question, Some(var), answer, *yes, *no)
            }
            Step::Has { fact, option, yes, no } => {
                let var = Var::Choice(*fact, *option, 0);
                let answer = match self.teller.known(var, self.settings).as_str() {
                    "yes" => Some(true),
                    "no" => Some(false),
                    _ => None,
                };
                (format!("{}?", self.teller.name(var).0), Some(var), answer, *yes, *no)
            }
            Step::Number { fact, op, figure, yes, no } => {
                let var = self.var(*fact);
                let wanted = region(*op, *figure);
                let answer = match self.teller.subject.slot(var, self.settings).map(|s| &s.known) {
                    Some(Known::Num(r)) if r.and(&wanted) == *r => Some(true),
                    Some(Known::Num(r)) if r.and(&wanted).is_empty() => Some(false),
                    _ => None,
                };
                let fact = self.teller.subject.base().vocabulary.get(*fact);
                let figure = fact.show_number(*figure, self.teller.system);
                (format!("{} {} {figure}?", fact.id, sign(*op)), Some(var), answer, *yes, *no)
            }
            Step::Compare { test, yes, no, .. } => {
                let (a, b) = (&test.0, &test.2);
                let view = self.teller.subject.view(self.coat, self.settings, None);
                let (answer, value) = told(&view, test);
                let text = format!("{} {} {}?", self.against(a, b), sign(test.1), self.against(b, a));
                if let (Some(answer), Some(value)) = (answer, value) {
                    let value = self.against(&Expr::Const(value), a);
                    self.line(depth, &format!("{text} {} ({value})", if answer { "yes" } else { "no" }));
                    return self.go(if answer { *yes } else { *no }, depth + 1);
                }
                (text, None, answer, *yes, *no)
            }
            Step::Pair { row, column, yes, no, .. } => {
                let (a, b) = (self.teller.name(self.var(*row)).0, self.teller.name(self.var(*column)).0);
                (format!("{a} with {b} graded so?"), None, None, *yes, *no)
            }
        };
        let known = var.map_or_else(String::new, |v| {
            let value = self.teller.known(v, self.settings);
            format!(" ({value}, {})", self.teller.how(v, self.settings))
                .replace("(not known, open)", "(not known)")
                .replace("(not known, to be chosen)", "(to be chosen)")
        });
        if let Some(answer) = answer {
            let text = format!("{question} {}{known}", if answer { "yes" } else { "no" });
            self.line(depth, &text);
            self.go(if answer { yes } else { no }, depth + 1);
        } else {
            self.line(depth, &format!("{question} open{known}"));
            self.line(depth + 1, "if yes");
            self.go(yes, depth + 2);
            self.line(depth + 1, "if no");
            self.go(no, depth + 2);
        }
    }

    /// One side of a comparison; a figure in the unit of the other side.
    fn against(&self, expr: &Expr, other: &Expr) -> String {
        match (expr, other.unit(self.teller.subject.base())) {
            (Expr::Const(figure), Some(unit)) => crate::quantity::show_in(*figure, unit.for_system(self.teller.system)),
            _ => self.expr(expr),
        }
    }

    fn expr(&self, expr: &Expr) -> String {
        let vocabulary = &self.teller.subject.base().vocabulary;
        expr.tell(&|expr| match expr {
            Expr::Const(c) => crate::quantity::plain(*c),
            Expr::Fact(f) => vocabulary.get(*f).id.clone(),
            Expr::Limit(l) => self.teller.subject.base().limits[*l].id.clone(),
            Expr::Lookup(Who::Fact(f), _) => format!("a figure of {}", vocabulary.get(*f).id),
            Expr::Lookup(Who::Method, _) => "a figure of the method".to_owned(),
            Expr::Call(..) | Expr::Reckon(..) => String::new(),
        })
    }
}

fn sign(op: Op) -> &'static str {
    match op {
        Op::Less => "below",
        Op::AtMost => "at most",
        Op::Equal => "exactly",
    }
}

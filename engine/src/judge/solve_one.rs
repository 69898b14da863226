//! Solving a comparison for the one number in it that is open, where both sides run one way with it.
//!
//! A straight line is solved by hand; what goes through a calculator is searched by halving between the ends of what the
//! number can be, down to two neighbouring figures, so that the mark is the very figure at which the comparison turns.

use crate::reach::{Cut, Reach};
use crate::reckon::functions::Goes;
use crate::tree::{Expr, Func, Op, Who};
use crate::vocabulary::FactId;

/// The most halvings: more than any two neighbouring figures are apart.
const MOST_HALVINGS: usize = 200;

/// A comparison as the values of one fact for which it holds, where both sides are straight lines in it; `settled` gives what
/// does not hang on the fact.
pub(crate) fn straight(test: &(Expr, Op, Expr), fact: FactId, settled: &dyn Fn(&Expr) -> Option<f64>) -> Option<Reach> {
    let (a, op, b) = test;
    let ((a1, a0), (b1, b0)) = (line(a, fact, settled)?, line(b, fact, settled)?);
    // a1·x + a0 (op) b1·x + b0
    let slope = a1 - b1;
    let at = crate::quantity::tidy((b0 - a0) / slope);
    if slope == 0.0 || !at.is_finite() {
        return None;
    }
    Some(match op {
        Op::Less if slope < 0.0 => Reach::from(Cut::above(at)),
        Op::AtMost if slope < 0.0 => Reach::from(Cut::below(at)),
        _ => crate::script::region(*op, at),
    })
}

/// An expression as a straight line in one fact: slope and value at zero; `None` where it is not one.
fn line(expr: &Expr, fact: FactId, settled: &dyn Fn(&Expr) -> Option<f64>) -> Option<(f64, f64)> {
    match expr {
        Expr::Fact(f) if *f == fact => Some((1.0, 0.0)),
        Expr::Call(func, a, b) => {
            let (x, y) = (line(a, fact, settled)?, line(b, fact, settled)?);
            match func {
                Func::Add => Some((x.0 + y.0, x.1 + y.1)),
                Func::Sub => Some((x.0 - y.0, x.1 - y.1)),
                Func::Mul if x.0 == 0.0 => Some((x.1 * y.0, x.1 * y.1)),
                Func::Mul if y.0 == 0.0 => Some((x.0 * y.1, x.1 * y.1)),
                Func::Div if y.0 == 0.0 && y.1 != 0.0 => Some((x.0 / y.1, x.1 / y.1)),
                _ => settled(expr).map(|v| (0.0, v)),
            }
        }
        _ => settled(expr).map(|v| (0.0, v)),
    }
}

/// Which way an expression goes with the open fact.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Run {
    Still,
    Up,
    Down,
}

impl Run {
    fn turned(self) -> Self {
        match self {
            Self::Still => Self::Still,
            Self::Up => Self::Down,
            Self::Down => Self::Up,
        }
    }

    /// Of a sum; `None` where one part rises and another falls.
    fn with(self, other: Self) -> Option<Self> {
        match (self, other) {
            (Self::Still, run) | (run, Self::Still) => Some(run),
            (a, b) => (a == b).then_some(a),
        }
    }
}

/// A comparison, and what settles everything in it but one fact.
pub(super) struct One<'a> {
    pub(super) test: &'a (Expr, Op, Expr),
    pub(super) fact: FactId,
    /// The value of an expression that does not hang on the fact, if it has one.
    pub(super) settled: &'a dyn Fn(&Expr) -> Option<f64>,
}

impl One<'_> {
    /// The values of the fact between two ends for which the comparison holds; `None` where it cannot be told.
    pub(super) fn region(&self, ends: (f64, f64)) -> Option<Reach> {
        let (a, op, b) = self.test;
        if *op == Op::Equal || !ends.0.is_finite() || !ends.1.is_finite() {
            return None;
        }
        self.run(a)?.with(self.run(b)?.turned())?;
        let holds = |x: f64| Some(op.holds(self.value(a, x)?, self.value(b, x)?));
        let (mut low, mut high) = ends;
        let begins = holds(low)?;
        if holds(high)? == begins {
            return Some(if begins { Reach::all() } else { Reach::empty() });
        }
        for _ in 0..MOST_HALVINGS {
            let middle = f64::midpoint(low, high);
            if middle <= low || middle >= high {
                break;
            }
            if holds(middle)? == begins {
                low = middle;
            } else {
                high = middle;
            }
        }
        Some(if begins { Reach::up_to(Cut::above(low)) } else { Reach::from(Cut::below(high)) })
    }

    fn hangs(&self, expr: &Expr) -> bool {
        let mut facts = Vec::new();
        expr.facts(&mut facts);
        facts.contains(&Who::Fact(self.fact))
    }

    fn run(&self, expr: &Expr) -> Option<Run> {
        if !self.hangs(expr) {
            return (self.settled)(expr).map(|_| Run::Still);
        }
        match expr {
            Expr::Fact(_) => Some(Run::Up),
            Expr::Call(func, a, b) => match func {
                Func::Add | Func::Min | Func::Max => self.run(a)?.with(self.run(b)?),
                Func::Sub => self.run(a)?.with(self.run(b)?.turned()),
                Func::Mul if !self.hangs(b) => self.scaled(a, b),
                Func::Mul if !self.hangs(a) => self.scaled(b, a),
                Func::Div if !self.hangs(b) => self.scaled(a, b),
                _ => None,
            },
            Expr::Reckon(function, given) => function.takes.iter().zip(given.iter()).try_fold(Run::Still, |so_far, (argument, e)| {
                let run = match (self.run(e)?, argument.goes) {
                    (Run::Still, _) => Run::Still,
                    (run, Goes::Up) => run,
                    (run, Goes::Down) => run.turned(),
                    (_, Goes::Turns(_)) => return None,
                };
                so_far.with(run)
            }),
            _ => None,
        }
    }

    /// Which way a product or quotient goes with its first part, for what the second is.
    fn scaled(&self, part: &Expr, by: &Expr) -> Option<Run> {
        let by = (self.settled)(by)?;
        let run = self.run(part)?;
        if by == 0.0 { None } else { Some(if by > 0.0 { run } else { run.turned() }) }
    }

    fn value(&self, expr: &Expr, x: f64) -> Option<f64> {
        if !self.hangs(expr) {
            return (self.settled)(expr);
        }
        let value = match expr {
            Expr::Fact(_) => x,
            Expr::Call(func, a, b) => func.apply(self.value(a, x)?, self.value(b, x)?),
            Expr::Reckon(function, given) => function.apply(&given.iter().map(|e| self.value(e, x)).collect::<Option<Vec<f64>>>()?)?,
            _ => return None,
        };
        (!value.is_nan()).then_some(value)
    }
}

//! The oracle: answers a script's questions one path at a time, and sees to it that every possible path is taken.

use super::{DEEPEST_PATH, Fault, SharedBase};
use crate::catalogue::EntryKind;
use crate::reach::{Cut, Reach};
use crate::tree::{Expr, Op, Test, Who};
use crate::vocabulary::{Known, lowest};

/// The oracle of one script.
pub(super) struct Oracle {
    base: SharedBase,
    /// Answers to give again on this run, in order; what comes after them is answered yes.
    forced: Vec<bool>,
    /// Questions of this run that were not decided by earlier ones.
    pub(super) path: Vec<(Test, bool)>,
    /// Everything asked about on any run.
    pub(super) asked: Vec<Who>,
}

impl Oracle {
    pub(super) fn new(base: SharedBase) -> Self {
        Self { base, forced: Vec::new(), path: Vec::new(), asked: Vec::new() }
    }

    pub(super) fn base(&self) -> SharedBase {
        SharedBase::clone(&self.base)
    }

    /// Begins a run.
    pub(super) fn begin(&mut self) {
        self.path.clear();
    }

    /// Prepares the next run: turns the last yes into a no. `false` when all have been seen.
    pub(super) fn advance(&mut self) -> bool {
        self.forced = self.path.iter().map(|(_, answer)| *answer).collect();
        while let Some(last) = self.forced.pop() {
            if last {
                self.forced.push(false);
                return true;
            }
        }
        false
    }

    /// Answers a question.
    pub(super) fn ask(&mut self, test: Test) -> Result<bool, Fault> {
        for who in test.reads() {
            if !self.asked.contains(&who) {
                self.asked.push(who);
            }
        }
        if let Some(answer) = self.decided(&test) {
            return Ok(answer);
        }
        let answer = self.forced.get(self.path.len()).copied().unwrap_or(true);
        if self.path.len() >= DEEPEST_PATH {
            return Err(Fault::new(format!("the script asks more than {DEEPEST_PATH} questions on one path"))
                .help(Some("split it into several rules".to_owned())));
        }
        self.path.push((test, answer));
        Ok(answer)
    }

    /// The answer, where earlier answers leave only one.
    pub(super) fn decided(&self, test: &Test) -> Option<bool> {
        match test {
            Test::Is(who, set) => {
                let left = self.left(*who);
                decide(left & set != 0, left & !set != 0)
            }
            Test::Has(fact, option) => self.path.iter().find_map(|(t, a)| match t {
                Test::Has(f, o) if f == fact && o == option => Some(*a),
                _ => None,
            }),
            Test::Grid { grid, row, column, cells } => {
                let (rows, columns) = (self.left(*row), self.left(*column));
                let mut left: Vec<u128> = (0..cells.len()).map(|r| if rows >> r & 1 == 1 { columns } else { 0 }).collect();
                for (t, answer) in &self.path {
                    if let Test::Grid { grid: g, row: r, column: c, cells: seen } = t
                        && (g, r, c) == (grid, row, column)
                    {
                        for (l, s) in left.iter_mut().zip(seen.iter()) {
                            *l &= if *answer { *s } else { !*s };
                        }
                    }
                }
                let yes = left.iter().zip(cells.iter()).any(|(l, c)| l & c != 0);
                let no = left.iter().zip(cells.iter()).any(|(l, c)| l & !c != 0);
                decide(yes, no)
            }
            Test::Compare(a, op, b) => match (&**a, &**b) {
                (Expr::Const(x), Expr::Const(y)) => Some(op.holds(*x, *y)),
                (Expr::Fact(f), Expr::Const(c)) => {
                    let left = self.numbers(*f);
                    let region = region(*op, *c);
                    decide(!left.and(&region).is_empty(), !left.and(&region.not()).is_empty())
                }
                _ => self.related(a, *op, b),
            },
        }
    }

    /// Which named values earlier answers leave.
    fn left(&self, who: Who) -> u128 {
        let all = match who {
            Who::Method => lowest(self.base.catalogue.entries(EntryKind::Method).len()),
            Who::Fact(f) => lowest(self.base.vocabulary.get(f).width(&self.base.catalogue)),
        };
        self.path.iter().fold(all, |left, (test, answer)| match test {
            Test::Is(w, set) if *w == who => left & if *answer { *set } else { !*set },
            _ => left,
        })
    }

    /// Which numbers earlier answers leave.
    fn numbers(&self, fact: crate::vocabulary::FactId) -> Reach {
        let f = self.base.vocabulary.get(fact);
        let Known::Num(mut left) = f.anything(&self.base.catalogue) else { return Reach::all() };
        for (test, answer) in &self.path {
            if let Test::Compare(a, op, b) = test
                && let (Expr::Fact(g), Expr::Const(c)) = (&**a, &**b)
                && *g == fact
            {
                let r = region(*op, *c);
                left = left.and(&if *answer { r } else { r.not() });
            }
        }
        if f.whole() { left.whole() } else { left }
    }

    /// Whether earlier comparisons of the same two expressions decide this one.
    fn related(&self, a: &Expr, op: Op, b: &Expr) -> Option<bool> {
        if a == b {
            return Some(op.holds(0.0, 0.0));
        }
        // Which of less, equal, greater is still possible.
        let mut left = 0b111;
        for (test, answer) in &self.path {
            if let Test::Compare(x, o, y) = test {
                let mut seen = mask(*o);
                if **x == *b && **y == *a {
                    seen = seen >> 2 & 1 | seen & 2 | (seen & 1) << 2;
                } else if **x != *a || **y != *b {
                    continue;
                }
                left &= if *answer { seen } else { !seen };
            }
        }
        let wanted = mask(op);
        decide(left & wanted != 0, left & !wanted & 0b111 != 0)
    }
}

/// Less (1), equal (2), greater (4).
fn mask(op: Op) -> u8 {
    match op {
        Op::Less => 0b001,
        Op::AtMost => 0b011,
        Op::Equal => 0b010,
    }
}

fn decide(yes: bool, no: bool) -> Option<bool> {
    match (yes, no) {
        (true, true) => None,
        (yes, _) => Some(yes),
    }
}

/// The numbers for which a comparison with a figure holds.
pub(crate) fn region(op: Op, figure: f64) -> Reach {
    match op {
        Op::Less => Reach::up_to(Cut::below(figure)),
        Op::AtMost => Reach::up_to(Cut::above(figure)),
        Op::Equal => Reach::point(figure),
    }
}

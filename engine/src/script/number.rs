//! Numbers that depend on facts: reckoned with, and compared, with their units.

use super::kinds::{Asks, Num, Sign, sort};
use super::symbol::ask;
use super::{Fault, LONGEST_SUM, Raised, SharedBase, raise};
use crate::quantity::{self, Dimension};
use crate::reckon::calculator::Calculator;
use crate::reckon::functions::Argument;
use crate::tree::{Expr, Func, Op, Test};
use crate::vocabulary::FactKind;
use crate::words;
use rhai::Dynamic;
use std::sync::Arc;

pub(super) fn plain(n: f64) -> Num {
    Num { expr: Arc::new(Expr::Const(n)), dimension: Dimension::NUMBER, name: n.to_string(), length: 1 }
}

pub(super) fn number(value: &Dynamic, function: &str) -> Result<Num, Raised> {
    sort(value).number().map_err(|other| raise(Fault::new(format!("{function} takes numbers, not {}", other.describe()))))
}

pub(super) fn call(func: Func, a: &Arc<Expr>, b: &Arc<Expr>) -> Arc<Expr> {
    if let (Expr::Const(x), Expr::Const(y)) = (&**a, &**b) {
        return Arc::new(Expr::Const(func.apply(*x, *y)));
    }
    Arc::new(Expr::Call(func, Arc::clone(a), Arc::clone(b)))
}

/// The length of a number made of two others.
pub(super) fn longer(a: usize, b: usize) -> Result<usize, Raised> {
    let length = a.saturating_add(b).saturating_add(1);
    if length > LONGEST_SUM {
        let help = Some("a rule compares a few figures: split it, or put the figure into a limit".to_owned());
        return Err(raise(Fault::new(format!("a number is made of more than {LONGEST_SUM} operations")).help(help)));
    }
    Ok(length)
}

pub(super) fn combine(func: Func, a: Num, b: Num) -> Result<Num, Raised> {
    let (x, y) = (a.dimension, b.dimension);
    let dimension = match func {
        Func::Add => x.add(y, false),
        Func::Sub => x.add(y, true),
        Func::Mul => x.times(y, 1),
        Func::Div => x.times(y, -1),
        _ => (x == y).then_some(x),
    };
    let Some(dimension) = dimension else {
        let help = (x.is_number() || y.is_number()).then(|| "give the plain number a unit with quantity(\"…\")".to_owned());
        return Err(raise(
            Fault::new(format!("`{}` is {} and `{}` is {}: they do not go together", a.name, x.name(), b.name, y.name())).help(help),
        ));
    };
    let length = longer(a.length, b.length)?;
    let name = format!("{} … {}", a.name, b.name);
    Ok(Num { expr: call(func, &a.expr, &b.expr), dimension, name, length })
}

/// A calculator, with what a script gives it.
pub(super) fn reckon(base: &SharedBase, function: &Calculator, given: &[Dynamic]) -> Result<Num, Raised> {
    let mut parts = Vec::new();
    let mut length = 1;
    for (argument, value) in function.takes.iter().zip(given) {
        let part = sort(value).number().map_err(|other| {
            raise(
                Fault::new(format!("{} takes {} as `{}`, not {}", function.name, argument.unit().kind, argument.name, other.describe()))
                    .help(facts_of(base, argument)),
            )
        })?;
        if part.dimension != argument.unit().dimension {
            let dimensions: Vec<Option<Dimension>> = given.iter().map(|v| sort(v).number().ok().map(|n| n.dimension)).collect();
            let turned_round = function.takes.iter().all(|a| dimensions.contains(&Some(a.unit().dimension)));
            let help = if turned_round {
                Some(format!("in this order: {}", function.usage()))
            } else if part.dimension.is_number() && part.name.parse::<f64>().is_ok() {
                Some(format!("give {0} a unit: quantity(\"{0} {1}\")", part.name, argument.unit))
            } else {
                facts_of(base, argument)
            };
            return Err(raise(
                Fault::new(format!(
                    "{} takes {} as `{}`, and `{}` is {}",
                    function.name,
                    argument.unit().kind,
                    argument.name,
                    part.name,
                    part.dimension.name()
                ))
                .help(help),
            ));
        }
        length = longer(length, part.length)?;
        parts.push(part);
    }
    let name = function.tell(&parts.iter().map(|p| p.name.clone()).collect::<Vec<_>>());
    let plain: Option<Vec<f64>> = parts.iter().map(|p| if let Expr::Const(c) = *p.expr { Some(c) } else { None }).collect();
    let expr = match plain {
        Some(plain) => Expr::Const(function.apply(&plain).ok_or_else(|| raise(Fault::new(format!("{name} cannot be worked out"))))?),
        None => Expr::Reckon(function.clone(), parts.iter().map(|p| (*p.expr).clone()).collect()),
    };
    Ok(Num { expr: Arc::new(expr), dimension: function.dimension(), name, length })
}

/// The facts that can stand for an argument, those that are named like it first.
pub(super) fn facts_of(base: &SharedBase, argument: &Argument) -> Option<String> {
    let fits = |kind: &FactKind| matches!(kind, FactKind::Number { unit, .. } if unit.dimension == argument.unit().dimension);
    let mut ids: Vec<&str> = base.vocabulary.iter().filter(|(_, f)| fits(&f.kind)).map(|(_, f)| f.id.as_str()).collect();
    ids.sort_by_key(|id| !id.contains(argument.name));
    ids.truncate(3);
    (!ids.is_empty()).then(|| format!("{} is {}", argument.unit().kind, words::list(&ids, "or")))
}

pub(super) fn limit(base: &SharedBase, id: &str) -> Result<Num, Raised> {
    match base.limits.get_full(id) {
        Some((index, _, limit)) => {
            Ok(Num { expr: Arc::new(Expr::Limit(index)), dimension: limit.unit.dimension, name: format!("limit \"{id}\""), length: 1 })
        }
        None => Err(raise(
            Fault::new(format!("there is no limit `{id}`")).help(words::did_you_mean(id, base.limits.keys().map(String::as_str))),
        )),
    }
}

pub(super) fn read_quantity(text: &str) -> Result<Num, Raised> {
    let unit_text = text.trim().trim_start_matches(|c: char| c.is_ascii_digit() || matches!(c, '.' | '-' | '+')).trim();
    if unit_text.is_empty() {
        return Err(raise(
            Fault::new(format!("quantity(\"{text}\") has no unit")).help(Some("write for example quantity(\"60 min\")".to_owned())),
        ));
    }
    let Some(unit) = quantity::find_unit(unit_text) else {
        let names = quantity::UNITS.iter().map(|u| u.names[0]);
        return Err(raise(Fault::new(format!("`{unit_text}` is not a unit")).help(words::did_you_mean(unit_text, names))));
    };
    let q = quantity::read(text, unit).map_err(|e| raise(Fault::new(e)))?;
    Ok(Num { expr: Arc::new(Expr::Const(q.base)), dimension: unit.dimension, name: text.to_owned(), length: 1 })
}

pub(super) fn compare_numbers(asks: &Asks, sign: Sign, a: &Num, b: &Num) -> Result<bool, Raised> {
    if a.dimension != b.dimension {
        let bare = if a.dimension.is_number() { Some(&a.name) } else { b.dimension.is_number().then_some(&b.name) };
        let help = bare.filter(|n| n.parse::<f64>().is_ok()).map(|n| format!("give {n} a unit: quantity(\"{n} …\")"));
        return Err(raise(
            Fault::new(format!(
                "`{}` is {} and `{}` is {}: they cannot be compared",
                a.name,
                a.dimension.name(),
                b.name,
                b.dimension.name()
            ))
            .help(help),
        ));
    }
    // Facts stand on the left and figures on the right, so that the same question is always the same test.
    let turned = matches!(*a.expr, Expr::Const(_))
        || matches!((&*a.expr, &*b.expr), (Expr::Limit(_), e) if !matches!(e, Expr::Const(_) | Expr::Limit(_)));
    let (left, right, sign) = if turned {
        let sign = match sign {
            Sign::Less => Sign::More,
            Sign::AtMost => Sign::AtLeast,
            Sign::More => Sign::Less,
            Sign::AtLeast => Sign::AtMost,
            same => same,
        };
        (&b.expr, &a.expr, sign)
    } else {
        (&a.expr, &b.expr, sign)
    };
    let (op, yes) = match sign {
        Sign::Equal => (Op::Equal, true),
        Sign::Unequal => (Op::Equal, false),
        Sign::Less => (Op::Less, true),
        Sign::AtMost => (Op::AtMost, true),
        Sign::More => (Op::AtMost, false),
        Sign::AtLeast => (Op::Less, false),
    };
    // A number attribute against a figure is a question about the entry itself.
    let test = match (&**left, &**right) {
        (Expr::Lookup(who, values), Expr::Const(c)) => {
            let set = values.iter().enumerate().fold(0, |set, (i, v)| set | u128::from(op.holds(*v, *c)) << i);
            Test::Is(*who, set)
        }
        _ => Test::Compare(Arc::clone(left), op, Arc::clone(right)),
    };
    ask(asks, test).map(|answer| answer == yes)
}

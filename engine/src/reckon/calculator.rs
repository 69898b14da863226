//! Calculators of whoever uses the engine, beside its own: scripts call both by name, and nothing that judges tells them apart.

use super::functions::{Argument, FUNCTIONS, Function, Goes, Works};
use super::units::Measure;
use crate::diagnostic::Diagnostic;
use std::borrow::Cow;
use std::fmt;
use std::ops::Deref;
use std::sync::Arc;

/// A calculator that the scripts of rules can call by its name, like `dew_point`: one of the engine's own, or one that a host brings.
///
/// A host says of every argument what it measures, by the types of the function, and which way the result goes with it
/// ([`Goes`]). The engine rests on that: a range of what is known becomes a range of results, and a rule is solved for the one
/// figure that is open. A false one makes verdicts false, so it is tried at many figures when the book is loaded. `None` says
/// that a figure lies outside what the formula is good for; a rule that needs it then counts as a caution that says so.
///
/// ```
/// use ovolo_engine::Calculator;
/// use ovolo_engine::reckon::functions::Goes;
/// use ovolo_engine::reckon::units::{Area, Length, Volume};
///
/// let rubble = Calculator::new(
///     "rubble",
///     "geometry",
///     [("area", Goes::Up), ("thickness", Goes::Up)],
///     |area: Area, thickness: Length| (area.base() >= 0.0 && thickness.base() >= 0.0).then(|| area * thickness),
/// )
/// .told("the rubble of {1} off {0}");
/// assert_eq!(rubble.usage(), "rubble(area, thickness)");
/// # use ovolo_engine::reckon::units::Measure;
/// # let _: Option<Volume> = None;
/// ```
#[derive(Clone)]
pub struct Calculator(Kept);

#[derive(Clone)]
enum Kept {
    Own(&'static Function),
    Hosts(Arc<Function>),
}

/// A function that can be a calculator of so many arguments: from measures to a measure, or to nothing where it is not good for them.
pub trait Formula<const N: usize, Kind>: Send + Sync + 'static {
    /// The units of what it takes.
    const TAKES: [&'static str; N];
    /// The unit of what it gives.
    const GIVES: &'static str;

    /// Works it out in base units.
    fn work(&self, given: &[f64]) -> Option<f64>;
}

macro_rules! formula {
    ($many:literal: $($measure:ident),+) => {
        impl<F, $($measure,)+ R> Formula<$many, fn($($measure),+) -> R> for F
        where
            F: Fn($($measure),+) -> Option<R> + Send + Sync + 'static,
            $($measure: Measure,)+
            R: Measure,
        {
            const TAKES: [&'static str; $many] = [$($measure::UNIT),+];
            const GIVES: &'static str = R::UNIT;

            fn work(&self, given: &[f64]) -> Option<f64> {
                let mut left = given.iter().copied();
                self($($measure::of_base(left.next()?)),+).map(Measure::base)
            }
        }
    };
}

formula!(1: A);
formula!(2: A, B);
formula!(3: A, B, C);

impl Calculator {
    /// A calculator of a host: its name in scripts, where the formula comes from, what it takes and which way the result goes with
    /// each, and the formula itself.
    pub fn new<const N: usize, Kind, F: Formula<N, Kind>>(
        name: &'static str,
        source: &'static str,
        takes: [(&'static str, Goes); N],
        formula: F,
    ) -> Self {
        let takes: Vec<Argument> = takes.into_iter().zip(F::TAKES).map(|((name, goes), unit)| Argument { name, unit, goes }).collect();
        let gaps: Vec<String> = (0..N).map(|i| format!("{{{i}}}")).collect();
        let told = format!("{} of {}", name.replace('_', " "), crate::words::list(&gaps, "and"));
        Self(Kept::Hosts(Arc::new(Function {
            name,
            means: "A calculator of the program that uses these rules.",
            takes: Cow::Owned(takes),
            gives: F::GIVES,
            told: Cow::Owned(told),
            source,
            works: Works::Hosts(Arc::new(move |given| formula.work(given))),
        })))
    }

    /// How it reads in a sentence, with `{0}`, `{1}`, `{2}` for what it is given.
    #[must_use]
    pub fn told(mut self, told: &'static str) -> Self {
        if let Kept::Hosts(function) = &mut self.0 {
            Arc::make_mut(function).told = Cow::Borrowed(told);
        }
        self
    }

    /// What it works out, as a sentence for whoever writes rules.
    #[must_use]
    pub fn means(mut self, means: &'static str) -> Self {
        if let Kept::Hosts(function) = &mut self.0 {
            Arc::make_mut(function).means = means;
        }
        self
    }

    /// One of the engine's own, by its name.
    pub(crate) fn own(name: &str) -> Option<Self> {
        FUNCTIONS.iter().find(|f| f.name == name).map(|f| Self(Kept::Own(f)))
    }

    /// All of the engine's own.
    pub(crate) fn all_own() -> impl Iterator<Item = Self> {
        FUNCTIONS.iter().map(|f| Self(Kept::Own(f)))
    }

    /// What is wrong with it, beside its name.
    pub(crate) fn misdeclared(&self) -> Option<Diagnostic> {
        (0..self.takes.len()).find_map(|i| {
            let argument = &self.takes[i];
            let fault = self.strays(i)?;
            let message = format!("the calculator `{}` does not go with `{}` as it says: {fault}", self.name, argument.name);
            Some(Diagnostic::error(message).help("say Up, Down, or how fast it turns at most; rules are judged by it"))
        })
    }

    /// Two neighbouring figures of an argument between which the result goes another way than is said.
    fn strays(&self, argument: usize) -> Option<String> {
        let many = u32::try_from(self.takes.len()).ok()?;
        (0..TRIED.len().pow(many)).find_map(|n| {
            let given: Vec<f64> = (0..many).map(|i| TRIED[n / TRIED.len().pow(i) % TRIED.len()]).collect();
            let at = TRIED.iter().position(|t| *t == given[argument])?;
            let mut next = given.clone();
            next[argument] = *TRIED.get(at + 1)?;
            let (here, there) = (self.apply(&given)?, self.apply(&next)?);
            let leeway = 1e-9 * here.abs().max(there.abs());
            let step = next[argument] - given[argument];
            let right = match self.takes[argument].goes {
                Goes::Up => there >= here - leeway,
                Goes::Down => there <= here + leeway,
                Goes::Turns(steepest) => (there - here).abs() <= steepest * step + leeway,
            };
            let told = |v: &[f64]| v.iter().enumerate().map(|(i, v)| self.figure(i, *v)).collect::<Vec<_>>().join(", ");
            (!right).then(|| format!("compare it at {} and at {}", told(&given), told(&next)))
        })
    }
}

/// The figures, in base units, at which a host's calculator is tried.
const TRIED: [f64; 15] = [-10.0, 0.0, 1e-6, 1e-3, 0.01, 0.1, 0.5, 1.0, 5.0, 20.0, 100.0, 273.15, 293.15, 1e3, 1e5];

impl Deref for Calculator {
    type Target = Function;

    fn deref(&self) -> &Function {
        match &self.0 {
            Kept::Own(function) => function,
            Kept::Hosts(function) => function,
        }
    }
}

/// As the function that it is: seals are made of what trees print.
impl fmt::Debug for Calculator {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Debug::fmt(&**self, f)
    }
}

impl PartialEq for Calculator {
    fn eq(&self, other: &Self) -> bool {
        **self == **other
    }
}

//! The only module that knows Rhai: it unfolds scripts into trees and, as a second judge, runs them directly.
//!
//! Everything a script could do to its surroundings is switched off here, and every limit is set here.

pub(crate) mod direct;
mod kinds;
mod number;
mod oracle;
mod relate;
mod symbol;
mod unfold;

pub use crate::base::Base;
use crate::diagnostic::Diagnostic;
use crate::reckon::calculator::Calculator;
use rhai::packages::{ArithmeticPackage, Package};
use rhai::{Engine, EvalAltResult, OptimizationLevel, Position, Token};
use std::sync::Arc;

pub(crate) use oracle::region;
pub(crate) use relate::{applies_within, both_apply, can_apply_to, strictest_at};
pub(crate) use unfold::{Functions, Unfolder};

/// The most paths a script may unfold into.
pub(crate) const MOST_PATHS: usize = 512;
/// The most undecided questions on one path.
pub(crate) const DEEPEST_PATH: usize = 48;
/// The most steps on one path.
pub const MOST_STEPS: u64 = 20_000;
/// The deepest call of functions.
pub(crate) const DEEPEST_CALL: usize = 16;
/// The deepest nesting of expressions.
pub(crate) const DEEPEST_EXPRESSION: usize = 48;
/// The longest text a script may build.
pub(crate) const LONGEST_TEXT: usize = 2_000;
/// The longest list a script may build.
pub(crate) const LONGEST_LIST: usize = 256;
/// The longest script.
pub(crate) const LONGEST_SCRIPT: usize = 16_000;
/// The most variables in scope.
pub(crate) const MOST_VARIABLES: usize = 64;

/// What is wrong with the calculators of a host: their names, and what they say of their arguments.
pub(crate) fn check_calculators(hosts: &[Calculator]) -> Vec<Diagnostic> {
    let engine = bare_engine();
    let mut problems = Vec::new();
    for (at, calculator) in hosts.iter().enumerate() {
        let name = calculator.name;
        let wrong = |what: &str| Diagnostic::error(format!("the calculator `{name}` {what}"));
        let word = name.starts_with(|c: char| c.is_ascii_lowercase()) && name.chars().all(|c| matches!(c, 'a'..='z' | '0'..='9' | '_'));
        if !word || engine.compile(format!("fn {name}(x) {{ x }}")).is_err() {
            problems.push(wrong("has no name that a script can call").help("write it in snake_case, such as `weight_of_rubble`"));
        } else if is_taken(name) || SUBJECTS.contains(&name) || hosts[..at].iter().any(|c| c.name == name) {
            problems.push(wrong("has a name that is taken").help("take another"));
        }
        if calculator.source.trim().is_empty() {
            problems.push(wrong("names no source").help("say where the formula comes from, or `common practice`"));
        }
        problems.extend(calculator.misdeclared());
    }
    problems
}

/// What is wrong with a script, found while it was unfolded.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fault {
    /// What.
    pub message: String,
    /// What to write instead.
    pub help: Option<String>,
    /// Line and column in the script, both from 1.
    pub at: Option<(usize, usize)>,
    /// The function it happened in, if not in the script itself.
    pub function: Option<String>,
}

impl Fault {
    fn new(message: impl Into<String>) -> Self {
        Self { message: message.into(), help: None, at: None, function: None }
    }

    fn help(mut self, help: Option<String>) -> Self {
        self.help = help;
        self
    }
}

type Raised = Box<EvalAltResult>;

/// Raises a fault out of a native function.
#[expect(clippy::unnecessary_box_returns, reason = "Rhai wants its errors boxed")]
fn raise(fault: Fault) -> Raised {
    Box::new(EvalAltResult::ErrorRuntime(rhai::Dynamic::from(fault), Position::NONE))
}

/// Words that mean something in Rhai but not in a rule, and what to write instead.
const SHUT: &[(&str, &str)] = &[
    ("switch", "write `if … { … } else if … { … }` instead"),
    ("eval", "a rule's script is read once and cannot make new script"),
    ("print", "a rule says what it has to say in `because`"),
    ("debug", "a rule says what it has to say in `because`"),
    ("Fn", "call the function by its name"),
    ("call", "call the function by its name"),
    ("try", "a mistake in a script is shown, not caught"),
    ("catch", "a mistake in a script is shown, not caught"),
    ("curry", "call the function by its name"),
];

/// Names that mean something in every script, beside the calculators.
const NAMES: [&str; 15] =
    ["site", "surface", "coat", "method", "limit", "quantity", "abs", "min", "max", "has", "contains", "reason", "if", "let", "fn"];

/// Whether a name means something in every script, whatever the packs hold.
pub(crate) fn is_taken(name: &str) -> bool {
    NAMES.contains(&name) || Calculator::own(name).is_some()
}

/// The most operations that one number may be made of.
pub(crate) const LONGEST_SUM: usize = 100;
/// The most steps that all the scripts of one pack may take while they are unfolded.
pub(crate) const MOST_STEPS_OF_A_PACK: u64 = 20_000_000;
/// The most paths that all the scripts of one pack may come to.
pub(crate) const MOST_PATHS_OF_A_PACK: usize = 40_000;

/// What a script sees.
const SUBJECTS: [&str; 4] = ["site", "surface", "coat", "method"];

/// An engine with nothing in it but operators on plain values, and every limit set.
fn bare_engine() -> Engine {
    let mut engine = Engine::new_raw();
    ArithmeticPackage::new().register_into_engine(&mut engine);
    engine.register_fn("!", |yes: bool| !yes);
    engine.register_iterator::<rhai::Array>();
    engine.set_optimization_level(OptimizationLevel::None);
    engine.set_fast_operators(false); // comparisons between wrong types must reach our own functions
    engine.set_strict_variables(true);
    engine.set_max_operations(MOST_STEPS);
    engine.set_max_call_levels(DEEPEST_CALL);
    engine.set_max_expr_depths(DEEPEST_EXPRESSION, DEEPEST_EXPRESSION);
    engine.set_max_string_size(LONGEST_TEXT);
    engine.set_max_array_size(LONGEST_LIST);
    engine.set_max_map_size(LONGEST_LIST);
    engine.set_max_variables(MOST_VARIABLES);
    engine.set_max_functions(128);
    engine.on_print(|_| {});
    engine.on_debug(|_, _, _| {});
    for (word, _) in SHUT {
        engine.disable_symbol(*word);
    }
    // `use` is a fact of the site, and a reserved word of Rhai.
    #[expect(deprecated, reason = "marked so by Rhai to say that the interface may change, not that it goes")]
    engine.on_parse_token(|token, _, _| match token {
        Token::Reserved(word) if matches!(word.as_str(), "use" | "with" | "new" | "default") => Token::Identifier(word),
        token => token,
    });
    engine
}

/// Whether scripts can ask for something by a name: the language keeps some words to itself.
pub(crate) fn can_be_asked_for() -> impl Fn(&str) -> bool {
    let engine = bare_engine();
    move |name| engine.compile(format!("fn asks(x) {{ x.{name} }}")).is_ok()
}

/// Turns an error of Rhai's into a fault, or into the text of a failing path (`Err`).
fn sort_out(error: &EvalAltResult, base: &Base) -> Result<Fault, String> {
    if let EvalAltResult::ErrorInFunctionCall(name, _, inner, _) = error {
        return sort_out(inner, base).map(|mut fault| {
            fault.function.get_or_insert_with(|| name.clone());
            fault
        });
    }
    let position = error.position();
    let at = position.line().map(|line| (line, position.position().unwrap_or(1)));
    let with = |message: String, help: Option<String>| Fault { message, help, at, function: None };
    Ok(match error {
        EvalAltResult::ErrorRuntime(value, _) => match value.clone().try_cast::<Fault>() {
            Some(mut fault) => {
                fault.at = fault.at.or(at);
                fault
            }
            None => return Err(format!("the script gave up: {value}")),
        },
        EvalAltResult::ErrorArithmetic(what, _) => return Err(what.to_lowercase()),
        EvalAltResult::ErrorTooManyOperations(_) => with(
            format!("the script takes more than {MOST_STEPS} steps on one path"),
            Some("is there a loop that does not end?".to_owned()),
        ),
        EvalAltResult::ErrorStackOverflow(_) => with(
            format!("functions call one another more than {DEEPEST_CALL} deep"),
            Some("is there a function that calls itself?".to_owned()),
        ),
        EvalAltResult::ErrorDataTooLarge(what, _) => with(
            format!("the script builds a {} that is too large", if what.contains("tring") { "text" } else { "list" }),
            Some(format!("texts can have {LONGEST_TEXT} characters and lists {LONGEST_LIST} members")),
        ),
        EvalAltResult::ErrorTooManyVariables(_) => with(format!("the script has more than {MOST_VARIABLES} variables"), None),
        EvalAltResult::ErrorVariableNotFound(name, _) => {
            let help =
                crate::words::did_you_mean(name, SUBJECTS).or_else(|| Some("a script sees site, surface, coat and method".to_owned()));
            with(format!("`{name}` is not known here"), help)
        }
        EvalAltResult::ErrorFunctionNotFound(signature, _) => {
            let name = signature.split([' ', '(']).next().unwrap_or(signature);
            if let Some(function) = base.calculator(name) {
                let many = function.takes.len();
                let help = Some(format!("write {}", function.usage()));
                return Ok(with(format!("{name} takes {many} figure{}", if many == 1 { "" } else { "s" }), help));
            }
            let known = ["limit", "quantity", "abs", "min", "max", "has"];
            let help = crate::words::did_you_mean(name, known.into_iter().chain(base.calculators().map(|f| f.name)));
            if name.chars().all(|c| c.is_alphanumeric() || c == '_') {
                with(format!("there is no function `{name}` for these values"), help)
            } else {
                with(format!("`{name}` does not work on these values"), help)
            }
        }
        EvalAltResult::ErrorMismatchDataType(wanted, given, _) => with(
            format!("{} stands where {} is wanted", kind_name(given), kind_name(wanted)),
            Some("a condition is true or false: compare the value with something".to_owned()),
        ),
        EvalAltResult::ErrorParsing(rhai::ParseErrorType::VariableUndefined(name), _) => {
            let help =
                crate::words::did_you_mean(name, SUBJECTS).or_else(|| Some("a script sees site, surface, coat and method".to_owned()));
            with(format!("`{name}` is not known here"), help)
        }
        EvalAltResult::ErrorParsing(kind, _) => with(parse_message(&kind.to_string()), parse_help(&kind.to_string())),
        other => with(without_position(&other.to_string()), None),
    })
}

/// The name of a Rhai type in our words.
fn kind_name(name: &str) -> &str {
    match name {
        "bool" => "true or false",
        "i64" | "f64" => "a number",
        "string" | "&str" => "text",
        "array" => "a list",
        "()" => "nothing",
        n if n.contains("Num") => "a number with a unit",
        n if n.contains("Pick") => "a choice",
        n if n.contains("Cell") => "a grade",
        n if n.contains("Many") => "a several-of fact",
        n if n.contains("Handle") => "the subject itself",
        n => n,
    }
}

fn without_position(text: &str) -> String {
    let text = text.split(" (line ").next().unwrap_or(text);
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |c| c.to_lowercase().chain(chars).collect())
}

fn parse_message(text: &str) -> String {
    for (word, _) in SHUT {
        if text.contains(&format!("'{word}'")) {
            return format!("`{word}` cannot be used in a rule");
        }
    }
    for word in ["import", "export"] {
        if text.contains(&format!("'{word}'")) {
            return format!("`{word}` cannot be used in a rule: a pack sees only its own functions");
        }
    }
    if text.contains("complexity") || text.contains("depth") {
        return format!("the script is nested more than {DEEPEST_EXPRESSION} deep");
    }
    format!("the script cannot be read: {}", without_position(text))
}

fn parse_help(text: &str) -> Option<String> {
    SHUT.iter()
        .find(|(word, _)| text.contains(&format!("'{word}'")))
        .map(|(_, help)| (*help).to_owned())
        .or_else(|| text.contains("'import'").then(|| "put shared functions into a `.rhai` file of the pack".to_owned()))
}

/// A handle on everything scripts are checked against.
pub(crate) type SharedBase = Arc<Base>;

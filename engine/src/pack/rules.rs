//! Reading rules, presumptions and worked cases, and unfolding their scripts.

use super::{PackInfo, Taken, Template, Topic, check_place, need_source, read_basis, read_period, take};
use crate::diagnostic::{Diagnostic, SourceFile};
use crate::limit::{Basis, Period};
use crate::script::{Base, Fault, Functions, Unfolder};
use crate::toml_read::{Keys, Place, Problems};
use crate::tree::{Tree, Who};
use crate::vocabulary::{About, FactId, FactKind};
use crate::words;
use indexmap::IndexMap;
use std::sync::Arc;

/// What a rule does when it applies; the order is the order of reading.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Ruling {
    /// The method cannot be used.
    RuleOut,
    /// A hold point: nothing starts until it is released.
    Hold,
    /// Something to watch.
    Caution,
    /// Speaks for the method.
    Prefer,
    /// Something to know.
    Note,
}

impl Ruling {
    /// All of them.
    pub const ALL: [Self; 5] = [Self::RuleOut, Self::Hold, Self::Caution, Self::Prefer, Self::Note];

    /// The word used in files and on screen.
    pub fn word(self) -> &'static str {
        match self {
            Self::RuleOut => "rule-out",
            Self::Hold => "hold",
            Self::Caution => "caution",
            Self::Prefer => "prefer",
            Self::Note => "note",
        }
    }
}

/// A script and where it stands.
#[derive(Debug, Clone)]
pub struct Script {
    /// Its text.
    pub text: String,
    /// The functions of its pack, as text.
    pub functions: String,
    /// Where it stands.
    pub place: Place,
}

/// A rule, unfolded.
#[derive(Debug, Clone)]
pub struct Rule {
    /// Its id.
    pub id: String,
    /// Its heading, if it has one.
    pub title: Option<String>,
    /// Its script.
    pub script: Script,
    /// What the script comes to.
    pub tree: Tree,
    /// What it does.
    pub ruling: Ruling,
    /// What it says.
    pub because: Template,
    /// What to do instead.
    pub instead: Option<Template>,
    /// How strong its ground is.
    pub basis: Basis,
    /// Where it comes from.
    pub source: String,
    /// Where it holds; empty everywhere.
    pub place: Vec<String>,
    /// When it holds.
    pub period: Period,
    /// Whether it must apply to every coat.
    pub every_coat: bool,
    /// The fact that releases a hold.
    pub released_by: Option<FactId>,
    /// The pack it belongs to.
    pub pack: String,
    /// The widest thing it is about: method, coat, surface or site.
    pub scope: Scope,
}

/// What a rule is about, from what it reads.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Scope {
    /// It reads the method or its settings.
    pub method: bool,
    /// It reads a coat.
    pub coat: bool,
    /// It reads the surface.
    pub surface: bool,
}

impl Scope {
    fn of(tree: &Tree, base: &Base) -> Self {
        let mut scope = Self { method: false, coat: false, surface: false };
        for who in tree.asked.iter().copied().chain(tree.reads()) {
            match who {
                Who::Method => scope.method = true,
                Who::Fact(f) => match base.vocabulary.get(f).about {
                    About::Method => scope.method = true,
                    About::Coat => scope.coat = true,
                    About::Surface => scope.surface = true,
                    About::Site => {}
                },
            }
        }
        scope
    }

    /// Whether it reads nothing but the site.
    pub fn site_only(self) -> bool {
        !(self.method || self.coat || self.surface)
    }
}

/// The functions of a pack and their text.
pub(super) struct PackFunctions {
    read: Functions,
    text: String,
    file: Arc<SourceFile>,
}

pub(super) fn read_functions(
    unfolder: &Unfolder,
    _pack: &PackInfo,
    files: &[Arc<SourceFile>],
    problems: &Problems,
) -> Option<PackFunctions> {
    let first = files.first()?;
    // Each file is checked alone, so that a mistake is shown in it; then they are read as one.
    for file in files {
        if let Err(fault) = unfolder.functions(&file.text) {
            problems.borrow_mut().push(fault_in_file(file, &fault));
            return None;
        }
    }
    let text = files.iter().map(|f| f.text.as_str()).collect::<Vec<_>>().join("\n");
    match unfolder.functions(&text) {
        Ok(read) => Some(PackFunctions { read, text, file: Arc::clone(first) }),
        Err(fault) => {
            problems.borrow_mut().push(fault_in_file(first, &fault));
            None
        }
    }
}

fn fault_in_file(file: &Arc<SourceFile>, fault: &Fault) -> Diagnostic {
    let start = fault.at.map_or(0, |at| offset_of(&file.text, at));
    let span = start..word_end(&file.text, start);
    Diagnostic::error(fault.message.clone()).at(file, span).maybe_help(fault.help.clone())
}

/// The byte offset of a line and column (in characters), both from 1.
fn offset_of(text: &str, (line, column): (usize, usize)) -> usize {
    let start = text.split_inclusive('\n').take(line.saturating_sub(1)).map(str::len).sum::<usize>();
    let rest = text.get(start..).unwrap_or("");
    start + rest.char_indices().nth(column.saturating_sub(1)).map_or(rest.len(), |(i, _)| i)
}

/// The end of the word that begins at an offset.
fn word_end(text: &str, start: usize) -> usize {
    let rest = text.get(start..).unwrap_or("");
    let word: usize = rest.chars().take_while(|c| c.is_alphanumeric() || *c == '_').map(char::len_utf8).sum();
    start + word.max(rest.chars().next().map_or(0, char::len_utf8))
}

/// Puts a fault of a script at its place in the pack file.
fn fault_at(script: &Script, functions: Option<&PackFunctions>, fault: &Fault) -> Diagnostic {
    if let (Some(name), Some(functions)) = (&fault.function, functions) {
        let mut problem = fault_in_file(&functions.file, fault);
        problem.message = format!("{} (in function `{name}`)", problem.message);
        return problem;
    }
    let file = &script.place.file;
    let raw = &file.text[script.place.span.clone()];
    // How the text begins in the file: quotes, and a line break after three of them.
    let quotes = if raw.starts_with("'''") || raw.starts_with("\"\"\"") { 3 } else { 1 };
    let mut skip = quotes;
    if quotes == 3 {
        skip += if raw[3..].starts_with("\r\n") { 2 } else { usize::from(raw[3..].starts_with('\n')) };
    }
    let verbatim = raw.starts_with('\'') || !raw.contains('\\');
    let span = match fault.at.filter(|_| verbatim) {
        Some(at) => {
            let inside = offset_of(&script.text, at);
            let start = script.place.span.start + skip + inside;
            start..start + (word_end(&script.text, inside) - inside)
        }
        None => script.place.span.clone(),
    };
    Diagnostic::error(fault.message.clone()).at(file, span).maybe_help(fault.help.clone())
}

pub(super) type AllFunctions = IndexMap<String, PackFunctions>;

/// What rules and presumptions have in common.
pub(super) struct Common {
    pub(super) id: String,
    pub(super) script: Script,
    pub(super) tree: Tree,
    pub(super) because: Template,
    pub(super) basis: Basis,
    pub(super) source: String,
    pub(super) place: Vec<String>,
    pub(super) period: Period,
}

pub(super) fn common(
    kind: &str,
    topic: &Topic<'_>,
    keys: &Keys<'_>,
    base: &Base,
    unfolder: &Unfolder,
    functions: &AllFunctions,
    problems: &Problems,
) -> Option<Common> {
    let id = keys.need_text(problems, "id").unwrap_or("").to_owned();
    super::check_id(problems, kind, &id, &keys.get("id").map_or_else(|| keys.place(), |i| i.place()));
    let basis = read_basis(keys, topic.pack, problems);
    let source = need_source(keys, problems);
    let period = read_period(keys, problems);
    let mut place = Vec::new();
    for (code, at) in keys.texts(problems, "place") {
        if let Err((message, help)) = check_place(code) {
            problems.borrow_mut().push(at.error(message).maybe_help(help));
        }
        place.push(code.to_owned());
    }
    let because = keys.need_text(problems, "because").unwrap_or("");
    let (script, tree) = unfolded(topic, keys, unfolder, functions, problems)?;
    let because = template(keys, "because", because, base, &tree, problems);
    Some(Common { id, script, tree, because, basis, source, place, period })
}

/// Reads `when` and unfolds it; every fault is reported at its place in the file.
pub(super) fn unfolded(
    topic: &Topic<'_>,
    keys: &Keys<'_>,
    unfolder: &Unfolder,
    functions: &AllFunctions,
    problems: &Problems,
) -> Option<(Script, Tree)> {
    let when = keys.need_text(problems, "when")?;
    let at = keys.get("when").map_or_else(|| keys.place(), |i| i.place());
    let functions = functions.get(&topic.pack.name);
    let script = Script { text: when.to_owned(), functions: functions.map(|f| f.text.clone()).unwrap_or_default(), place: at };
    unfolder.begin_pack(&topic.pack.name);
    match unfolder.unfold(when, functions.map(|f| &f.read)) {
        Ok(tree) => Some((script, tree)),
        Err(faults) => {
            for fault in faults {
                problems.borrow_mut().push(fault_at(&script, functions, &fault));
            }
            None
        }
    }
}

pub(super) fn template(keys: &Keys<'_>, key: &str, text: &str, base: &Base, tree: &Tree, problems: &Problems) -> Template {
    match Template::read(text, base, &tree.limits()) {
        Ok(template) => template,
        Err((message, help)) => {
            let place = keys.get(key).map_or_else(|| keys.place(), |i| i.place());
            problems.borrow_mut().push(place.error(message).maybe_help(help));
            Template::default()
        }
    }
}

pub(super) fn read_rules(
    topics: &[Topic<'_>],
    base: &Base,
    unfolder: &Unfolder,
    functions: &AllFunctions,
    taken: &mut Taken,
    problems: &Problems,
) -> Vec<Rule> {
    let mut rules = Vec::new();
    for topic in topics {
        for keys in topic.keys.tables(problems, "rule", "a rule") {
            let rule = rule(topic, &keys, base, unfolder, functions, problems);
            keys.finish(problems);
            if let Some(rule) = rule
                && take(taken, problems, "rule", &rule.id.clone(), topic.pack, &keys.place())
            {
                rules.push(rule);
            }
        }
    }
    rules
}

fn rule(
    topic: &Topic<'_>,
    keys: &Keys<'_>,
    base: &Base,
    unfolder: &Unfolder,
    functions: &AllFunctions,
    problems: &Problems,
) -> Option<Rule> {
    // Everything is read before anything is given up, so that all that is wrong shows at once.
    let title = keys.text(problems, "title").map(str::to_owned);
    let ruling = ruling(keys, problems);
    let instead_text = keys.text(problems, "instead");
    let coats = keys.text(problems, "coats");
    let every_coat = match coats {
        None | Some("any") => false,
        Some("every") => true,
        Some(other) => {
            problems.borrow_mut().push(keys.place().error(format!("`coats` is \"{other}\"")).help("write \"any\" or \"every\""));
            false
        }
    };
    let released_by = keys.text(problems, "released_by").and_then(|id| {
        let found = base.vocabulary.find(id);
        let fits = found.is_some_and(|f| matches!(base.vocabulary.get(f).kind, FactKind::YesNo));
        if !fits {
            let ids: Vec<&str> = base.vocabulary.iter().map(|(_, f)| f.id.as_str()).collect();
            problems.borrow_mut().push(
                keys.place()
                    .error(format!("`{id}` is not a yes-no fact that could release a hold"))
                    .maybe_help(words::did_you_mean(id, ids)),
            );
        }
        found.filter(|_| fits)
    });
    let common = common("rule", topic, keys, base, unfolder, functions, problems)?;
    let instead = instead_text.map(|text| template(keys, "instead", text, base, &common.tree, problems));
    let ruling = ruling?;
    let mut tree = common.tree;
    if let Some(fact) = released_by {
        tree = tree.until_released(fact);
    }
    let scope = Scope::of(&tree, base);
    let fault = |message: &str, help: &str| problems.borrow_mut().push(keys.place().error(message).help(help));
    if ruling == Ruling::RuleOut && !scope.method {
        fault(
            "a rule-out reads no method",
            "say which methods it rules out, for example with `method.hot`; otherwise make it a hold or a caution",
        );
    }
    if released_by.is_some() && ruling != Ruling::Hold {
        fault("`released_by` belongs to a hold", "make the ruling \"hold\", or leave it out");
    }
    Some(Rule {
        id: common.id,
        title,
        script: common.script,
        tree,
        ruling,
        because: common.because,
        instead,
        basis: common.basis,
        source: common.source,
        place: common.place,
        period: common.period,
        every_coat,
        released_by,
        pack: topic.pack.name.clone(),
        scope,
    })
}

fn ruling(keys: &Keys<'_>, problems: &Problems) -> Option<Ruling> {
    let word = keys.need_text(problems, "ruling")?;
    let found = Ruling::ALL.into_iter().find(|r| r.word() == word);
    if found.is_none() {
        let place = keys.get("ruling").map_or_else(|| keys.place(), |i| i.place());
        let help = words::offer(word, Ruling::ALL.into_iter().map(Ruling::word));
        problems.borrow_mut().push(place.error(format!("`{word}` is not a ruling")).maybe_help(help));
    }
    found
}

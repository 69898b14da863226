//! Packs and the rule book they add up to.
//!
//! Loading reads every topic file of every pack, checks every name, unfolds every script, and refuses whatever would
//! weaken another pack. All problems come back at once, each at its place.

mod afters;
mod callers;
mod cases;
mod counts;
mod entries;
mod facts;
mod figures;
mod glossary;
mod limits;
mod phrases;
mod places;
mod presumptions;
mod ranking;
mod roles;
mod rules;
mod scripts;
mod sign_offs;
mod sources;
mod steps;
mod template;
mod texts;
mod usual;
pub mod working;

pub use afters::{After, Cause, Likely, Section};
pub use callers::Caller;
pub use cases::Case;
pub(crate) use cases::case_date;
pub use glossary::Word;
pub use phrases::{Meant, Phrase, Slot};
pub use places::check_place;
pub(crate) use places::place_code;
pub use presumptions::Presumption;
pub(crate) use ranking::passed;
pub use ranking::{Doubt, Grade, OfCoats, RankBy, Ranking};
pub use rules::{Rule, Ruling};
pub use scripts::Script;
pub(crate) use sign_offs::DIGITS;
pub use sign_offs::{GONE, SignOff};
pub(crate) use steps::topic_of;
pub use template::{Part, Template};
pub(crate) use usual::SURE;
pub use usual::Usual;
use working::Working;

use crate::diagnostic::{Diagnostic, Severity, SourceFile};
use crate::error::Error;
use crate::figure::{Figure, Remark};
use crate::limit::{Basis, Where};
use crate::reckon::calculator::Calculator;
use crate::reckon::sheet::Shelf;
use crate::role::{FigureRole, Key};
use crate::script::{Base, Unfolder};
use crate::toml_read::{self, Keys, Place, Problems};
use crate::vocabulary::{Mark, Vocabulary};
use crate::words;
use indexmap::IndexMap;
use sha2::{Digest, Sha256};
use std::fmt::Write as _;
use std::sync::Arc;

/// The files of one pack, as text.
///
/// ```
/// # use ovolo_engine::{Error, PackFiles, RuleBook};
/// # fn main() -> Result<(), Error> {
/// let ours = PackFiles::new("ours")
///     .file("pack.toml", "name = \"ours\"\nversion = \"1\"\nowner = \"an invented firm\"\nhouse = true\nneeds = [\"core\"]")
///     .file("rules.toml", r#"
///         [[rule]]
///         id      = "no-flame"
///         when    = 'method == "open-flame"'
///         ruling  = "rule-out"
///         because = "We work without a flame."
///         source  = "an invented house rule"
///     "#);
/// let packs: Vec<PackFiles> = ovolo_rules::standard().into_iter().chain([ours]).collect();
/// assert!(RuleBook::load(&packs)?.rule("no-flame").is_some());
/// # Ok(())
/// # }
/// ```
#[derive(Debug, Clone)]
pub struct PackFiles {
    /// Where they come from, for messages.
    pub folder: String,
    /// Relative path and text of each file.
    pub files: Vec<(String, String)>,
}

/// The most files a pack can hold.
pub const MOST_FILES: usize = 500;
/// The most text a pack can hold, in bytes, over all its files.
pub const LARGEST_PACK: usize = 16 * 1024 * 1024;

/// The longest id.
const LONGEST_ID: usize = 80;
/// The longest single text of a pack, in characters: a script is the longest there is.
const LONGEST_TEXT: usize = crate::script::LONGEST_SCRIPT;

impl PackFiles {
    /// A pack without files yet, and where it comes from, for messages.
    pub fn new(folder: &str) -> Self {
        Self { folder: folder.to_owned(), files: Vec::new() }
    }

    /// The same with one more file: its name within the pack, and its text.
    #[must_use]
    pub fn file(mut self, name: &str, text: &str) -> Self {
        self.files.push((name.to_owned(), text.to_owned()));
        self
    }

    /// What the pack says of itself, where its manifest can be read; mistakes are left for loading to report.
    pub fn info(&self) -> Option<PackInfo> {
        open(self, &Problems::default()).map(|folder| folder.info)
    }
}

/// What a pack says of itself.
#[derive(Debug, Clone)]
#[non_exhaustive]
pub struct PackInfo {
    /// Its name.
    pub name: String,
    /// Its heading.
    pub title: String,
    /// Its version.
    pub version: String,
    /// Who keeps it.
    pub owner: String,
    /// Whether it is a firm's own.
    pub house: bool,
    /// The packs it builds on.
    pub needs: Vec<String>,
    /// In a few words, what its rules hold against a method.
    pub against: Option<String>,
    /// Whether what its cautions warn of can hurt people: a page names every one.
    pub dangers: bool,
    /// SHA-256 over its files.
    pub digest: String,
}

/// A published source.
#[derive(Debug, Clone)]
#[non_exhaustive]
pub struct Source {
    /// Its title.
    pub title: String,
    /// Where it can be read.
    pub address: Option<String>,
    /// How far it was checked: verified, from memory, common practice.
    pub checked: String,
    /// The pack that lists it; the first one, where several do.
    pub pack: String,
    /// Where it is listed.
    pub declared: Place,
}

/// What a place is called.
#[derive(Debug, Clone)]
#[non_exhaustive]
pub struct PlaceName {
    /// Its ISO 3166 code.
    pub code: String,
    /// Its name.
    pub title: String,
    /// What else people call it.
    pub says: Vec<String>,
}

/// The packs in use, checked and unfolded.
#[derive(Debug, Clone)]
#[non_exhaustive]
pub struct RuleBook {
    /// The packs, standard ones first, each group by name.
    pub packs: Vec<PackInfo>,
    /// Facts, entries, grids and limits.
    pub base: Arc<Base>,
    /// Groups of places: code to members.
    pub places: IndexMap<String, Vec<String>>,
    /// What places are called.
    pub place_names: Vec<PlaceName>,
    /// Sources by id.
    pub sources: IndexMap<String, Source>,
    /// The rules.
    pub rules: Vec<Rule>,
    /// The presumptions, each after those it depends on.
    pub presumptions: Vec<Presumption>,
    /// What facts usually are, each after those of the facts it reads; only leads are built on it.
    pub usual: Vec<Usual>,
    /// The worked cases.
    pub cases: Vec<Case>,
    /// What people's words mean.
    pub phrases: Vec<Phrase>,
    /// The parts of the ranking, first things first.
    pub ranking: Vec<Ranking>,
    /// What adds to them.
    pub grades: Vec<Grade>,
    /// What makes keeping the paint doubtful.
    pub doubts: Vec<Doubt>,
    /// Figures that calculators start from, by id.
    pub figures: IndexMap<String, Figure>,
    /// Remarks that belong to what calculators find, by id.
    pub remarks: IndexMap<String, Remark>,
    /// How approaches are worked: stages, steps, what may stay, the order of work.
    pub working: Working,
    /// What to do once something has happened, in the order in which it is told.
    pub afters: Vec<After>,
    /// What may be behind a trouble.
    pub causes: Vec<Cause>,
    /// Limits that only stand in what is told once something has happened, by place: no advice on the work changes with them.
    pub(crate) only_afterwards: Vec<usize>,
    /// Whom to call where rules leave something to somebody.
    pub callers: Vec<Caller>,
    /// Words that a newcomer may not know, by the alphabet.
    pub glossary: Vec<Word>,
    /// Who answers for rules of law or standard that say less than they did.
    pub sign_offs: Vec<SignOff>,
    /// SHA-256 over the packs' digests.
    pub digest: String,
}

impl RuleBook {
    /// A source as people read it: the title behind an id, or the text itself; several are parted by semicolons.
    pub fn cite(&self, source: &str) -> String {
        let parts: Vec<String> = source.split(';').map(|part| self.cite_one(part.trim())).collect();
        parts.join("; ")
    }

    /// A source with those that stand in its place elsewhere, each with its place.
    pub fn cite_all(&self, source: &str, sources: &IndexMap<String, String>) -> String {
        let nearer = sources.iter().map(|(place, s)| format!("; in {place}: {}", self.cite(s)));
        std::iter::once(self.cite(source)).chain(nearer).collect()
    }

    fn cite_one(&self, source: &str) -> String {
        let (id, rest) = source.split_once(',').unwrap_or((source, ""));
        let (id, remark) = id.trim().split_once(' ').unwrap_or((id.trim(), ""));
        let Some(s) = self.sources.get(id) else { return source.to_owned() };
        let mut text = s.title.clone();
        if !remark.trim().is_empty() {
            let _ = write!(text, " {}", remark.trim());
        }
        if !rest.trim().is_empty() {
            let _ = write!(text, ", {}", rest.trim());
        }
        if s.checked != "verified" && !text.contains(&s.checked) {
            let _ = write!(text, " ({})", s.checked);
        }
        text
    }

    /// The figure that plays a role.
    pub fn figure_with<'k>(&self, key: impl Into<Key<'k, FigureRole>>) -> Option<&Figure> {
        let key = key.into();
        self.figures.values().find(|f| f.plays.as_ref().is_some_and(|p| p.is(key)))
    }

    /// A rule by id.
    pub fn rule(&self, id: &str) -> Option<&Rule> {
        self.rules.iter().find(|r| r.id == id)
    }

    /// Reads, checks and unfolds packs.
    ///
    /// # Errors
    /// Everything that is wrong with them, each at its place.
    pub fn load(packs: &[PackFiles]) -> Result<Self, Error> {
        Self::load_with(packs, &[])
    }

    /// The same with calculators of the host's, which the scripts of all packs can call.
    ///
    /// # Errors
    /// As [`RuleBook::load`]; also where a calculator has a name that is taken, or does not go as it says.
    pub fn load_with(packs: &[PackFiles], calculators: &[Calculator]) -> Result<Self, Error> {
        // Rhai recurses; its own thread with room to spare keeps the deepest script that is let through far from the
        // end of the stack, whatever thread the caller is on.
        std::thread::scope(|scope| {
            std::thread::Builder::new()
                .name("rule book".to_owned())
                .stack_size(64 << 20)
                .spawn_scoped(scope, || load(packs, calculators))
                .map_err(|e| vec![Diagnostic::error(format!("cannot start reading the rule book: {e}"))])?
                .join()
                .unwrap_or_else(|_| Err(vec![Diagnostic::error("reading the rule book broke off; please report this")]))
                .map_err(Error::from)
        })
    }
}

impl Shelf for RuleBook {
    fn base(&self) -> &Base {
        &self.base
    }

    fn figures(&self) -> &IndexMap<String, Figure> {
        &self.figures
    }

    fn remarks(&self) -> &IndexMap<String, Remark> {
        &self.remarks
    }

    fn cite(&self, source: &str) -> String {
        Self::cite(self, source)
    }

    fn places_of(&self, place: &str) -> Vec<String> {
        Self::places_of(self, place)
    }
}

/// A topic file being read.
struct Topic<'a> {
    pack: &'a PackInfo,
    keys: Keys<'a>,
}

/// Where ids were first taken: kind and id to pack.
type Taken = IndexMap<(String, String), String>;

/// Notes that a pack takes an id; reports if another did before.
fn take(taken: &mut Taken, problems: &Problems, kind: &str, id: &str, pack: &PackInfo, place: &Place) -> bool {
    let key = (kind.to_owned(), id.to_owned());
    // Rules and presumptions have been looked at already, facts have an id of two parts, and places are codes.
    if !matches!(kind, "rule" | "presumption" | "fact" | "place") && !check_id(problems, kind, id, place) {
        return false;
    }
    if let Some(other) = taken.get(&key) {
        let message = if *other == pack.name {
            format!("the {kind} `{id}` stands twice in pack `{other}`")
        } else {
            format!("the {kind} `{id}` belongs to pack `{other}` and cannot be replaced")
        };
        let help = (pack.house && *other != pack.name).then(|| {
            if kind == "limit" {
                "a house pack moves a limit in its stricter direction with [[tighten]]".to_owned()
            } else {
                "a house pack adds to other packs and never re-words them: take an id of your own".to_owned()
            }
        });
        problems.borrow_mut().push(place.error(message).maybe_help(help));
        return false;
    }
    taken.insert(key, pack.name.clone());
    true
}

/// Whether an id is one; reported if not. Grids and attributes are named in scripts, and so in `snake_case`.
fn check_id(problems: &Problems, kind: &str, id: &str, place: &Place) -> bool {
    let snake = kind == "grid" || kind.ends_with("attribute");
    let right = is_id(id, if snake { '_' } else { '-' });
    // A missing id has been reported as missing.
    if !right && !id.is_empty() {
        let (style, example) = if snake { ("snake_case", "thin_sheet") } else { ("kebab-case", "paste-left-overnight") };
        problems.borrow_mut().push(
            place
                .error(format!("`{id}` is not the id of a {kind}"))
                .help(format!("write it in {style}, {LONGEST_ID} characters at most, such as `{example}`")),
        );
    }
    right
}

/// Whether something can be an id: small letters and figures, and one character to part them.
fn is_id(id: &str, between: char) -> bool {
    id.len() <= LONGEST_ID
        && id.starts_with(|c: char| c.is_ascii_lowercase())
        && id.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == between)
}

/// Bytes as hexadecimal digits.
pub(crate) fn hex(bytes: &[u8]) -> String {
    bytes.iter().fold(String::new(), |mut s, b| {
        let _ = write!(s, "{b:02x}");
        s
    })
}

/// SHA-256 over names and texts, each with its length, in name order.
fn digest<'a>(parts: impl IntoIterator<Item = (&'a str, &'a str)>) -> String {
    let mut hash = Sha256::new();
    for (name, text) in parts {
        for piece in [name, text] {
            hash.update((piece.len() as u64).to_be_bytes());
            hash.update(piece.as_bytes());
        }
    }
    hex(&hash.finalize())
}

/// A pack's files with their shared texts, sorted by name.
struct Folder {
    info: PackInfo,
    topics: Vec<Arc<SourceFile>>,
    scripts: Vec<Arc<SourceFile>>,
}

fn open(pack: &PackFiles, problems: &Problems) -> Option<Folder> {
    let size: usize = pack.files.iter().map(|(_, text)| text.len()).sum();
    if pack.files.len() > MOST_FILES || size > LARGEST_PACK {
        problems.borrow_mut().push(Diagnostic::error(format!(
            "`{}` is too large for a pack: it can hold {MOST_FILES} files and {} MB",
            pack.folder,
            LARGEST_PACK / 1024 / 1024
        )));
        return None;
    }
    let mut files: Vec<&(String, String)> = pack.files.iter().collect();
    files.sort();
    let shared = |name: &str, text: &str| SourceFile::new(format!("{}/{name}", pack.folder), text);
    let Some((_, text)) = files.iter().find(|(name, _)| name == "pack.toml") else {
        problems.borrow_mut().push(
            Diagnostic::error(format!("`{}` is not a pack: it holds no pack.toml", pack.folder))
                .help("a pack is a folder with pack.toml and topic files"),
        );
        return None;
    };
    let file = shared("pack.toml", text);
    let table = toml_read::parse(&file, problems)?;
    texts::check(&file, table.get_ref(), problems)?;
    let keys = Keys::new(&file, table.get_ref(), 0..0, "pack.toml");
    let name = keys.need_text(problems, "name")?.to_owned();
    if !is_id(&name, '-') {
        let place = keys.get("name").map_or_else(|| keys.place(), |i| i.place());
        let help = format!("write it in kebab-case, {LONGEST_ID} characters at most, such as `our-house`");
        problems.borrow_mut().push(place.error(format!("`{name}` is not the name of a pack")).help(help));
        return None;
    }
    let title = keys.text(problems, "title").unwrap_or(&name).to_owned();
    let version = keys.need_text(problems, "version").unwrap_or("0").to_owned();
    let owner = keys.need_text(problems, "owner").unwrap_or("unknown").to_owned();
    let house = keys.flag(problems, "house").unwrap_or(false);
    let needs = keys.texts(problems, "needs").iter().map(|(t, _)| (*t).to_owned()).collect();
    let dangers = keys.flag(problems, "dangers").unwrap_or(false);
    let against = keys.text(problems, "against").map(str::to_owned);
    keys.finish(problems);
    let info = PackInfo {
        name,
        title,
        version,
        owner,
        house,
        needs,
        against,
        dangers,
        digest: digest(files.iter().map(|(n, t)| (n.as_str(), t.as_str()))),
    };
    let ending =
        |ending: &str| files.iter().filter(|(n, _)| n != "pack.toml" && n.ends_with(ending)).map(|(n, t)| shared(n, t)).collect::<Vec<_>>();
    Some(Folder { info, topics: ending(".toml"), scripts: ending(".rhai") })
}

fn load(packs: &[PackFiles], calculators: &[Calculator]) -> Result<RuleBook, Vec<Diagnostic>> {
    let problems = Problems::new(crate::script::check_calculators(calculators));
    let mut folders: Vec<Folder> = packs.iter().filter_map(|p| open(p, &problems)).collect();
    // The same rule book whatever order the packs are named in.
    folders.sort_by(|a, b| (a.info.house, &a.info.name).cmp(&(b.info.house, &b.info.name)));
    check_needs(&folders, &problems);

    let parsed: Vec<_> = folders
        .iter()
        .flat_map(|f| f.topics.iter().map(move |file| (&f.info, file)))
        .filter_map(|(info, file)| {
            let table = toml_read::parse(file, &problems)?;
            texts::check(file, table.get_ref(), &problems)?;
            Some((info, file, table))
        })
        .collect();
    for file in folders.iter().flat_map(|f| &f.scripts) {
        texts::check_script(file, &problems);
    }
    // What is far too much is not gone through.
    if !counts::within(&parsed, &problems) {
        return Err(problems.into_inner());
    }
    let topics: Vec<Topic<'_>> = parsed
        .iter()
        .map(|(pack, file, table)| Topic { pack, keys: Keys::new(file, table.get_ref(), 0..0, format!("the file {}", file.name)) })
        .collect();

    let mut taken = Taken::new();
    let infos: Vec<PackInfo> = folders.iter().map(|f| f.info.clone()).collect();
    // A book with a host's calculators is another book than the same packs without them.
    let hosts: Vec<(String, String)> = calculators.iter().map(|c| (c.usage(), format!("{:?} {c:?}", c.takes))).collect();
    let parts = infos.iter().map(|p| (p.name.as_str(), p.digest.as_str())).chain(hosts.iter().map(|(u, t)| (u.as_str(), t.as_str())));
    let digest = digest(parts);
    let mut base = Base { vocabulary: Vocabulary::marked(Mark::of(&digest)), hosts: calculators.to_vec(), ..Base::default() };
    let mut places = IndexMap::new();
    let mut place_names = Vec::new();
    let mut sources = IndexMap::new();
    facts::read_places_and_sources(&topics, &mut places, &mut place_names, &mut sources, &mut base.customs, &mut taken, &problems);
    entries::read_attributes(&topics, &mut base, &mut taken, &problems);
    facts::read(&topics, &mut base, &mut taken, &problems);
    entries::read(&topics, &mut base, &mut taken, &problems);
    facts::can_be_asked_for(&base, &problems);
    entries::read_grids(&topics, &mut base, &mut taken, &problems);
    limits::read(&topics, &mut base, &places, &mut taken, &problems);
    let ranking = ranking::read(&topics, &base, &problems);
    let phrases = phrases::read(&topics, &base, &problems);
    let (figures, remarks) = figures::read(&topics, &base, &mut taken, &problems);

    let base = Arc::new(base);
    let unfolder = Unfolder::new(&base);
    let mut functions = IndexMap::new();
    for folder in &folders {
        if let Some(read) = scripts::read_functions(&unfolder, &folder.scripts, &problems) {
            functions.insert(folder.info.name.clone(), read);
        }
    }
    let scripts = scripts::Scripts { base: &base, unfolder: &unfolder, functions: &functions, problems: &problems };
    let mut all_rules = rules::read(&topics, &scripts, &mut taken);
    let presumptions = presumptions::read(&topics, &scripts, &mut taken);
    let presumptions = presumptions::in_order(presumptions, &problems);
    let usual = usual::read(&topics, &scripts, &mut taken);
    let grades = ranking::read_grades(&topics, &scripts, &ranking, &mut taken);
    let doubts = ranking::read_doubts(&topics, &all_rules, &problems);
    let around = steps::Around { scripts: &scripts, rules: &all_rules, figures: &figures };
    let working = steps::read(&topics, &around, &mut taken);
    let cases = cases::read(&topics, &base, &all_rules, &presumptions, &problems);
    let callers = callers::read(&topics, &all_rules, &mut taken, &problems);
    let (afters, causes) = afters::read(&topics, &scripts, &mut taken);
    let glossary = glossary::read(&topics, &problems);
    let sign_offs = sign_offs::read(&topics, &all_rules, &problems);
    for topic in &topics {
        topic.keys.finish(&problems);
    }
    all_rules.sort_by(|a, b| (a.ruling, a.basis, &a.id).cmp(&(b.ruling, b.basis, &b.id)));

    let only_afterwards = afters::only_afterwards(&afters, &all_rules);
    let book = RuleBook {
        packs: infos,
        base,
        places,
        place_names,
        sources,
        rules: all_rules,
        presumptions,
        usual,
        cases,
        phrases,
        ranking,
        grades,
        doubts,
        figures,
        remarks,
        working,
        only_afterwards,
        afters,
        causes,
        callers,
        glossary,
        sign_offs,
        digest,
    };
    roles::are_filled(&book.base, &book.figures, &book.remarks, &problems);
    sources::keep_their_words(&book, &problems);
    exceptions_are_listed(&book, &problems);
    let problems = problems.into_inner();
    if problems.iter().any(|p| p.severity == Severity::Error) {
        return Err(problems);
    }
    Ok(book)
}

fn check_needs(folders: &[Folder], problems: &Problems) {
    let names: Vec<&str> = folders.iter().map(|f| f.info.name.as_str()).collect();
    for (i, folder) in folders.iter().enumerate() {
        if names[..i].contains(&folder.info.name.as_str()) {
            problems.borrow_mut().push(Diagnostic::error(format!("two packs are named `{}`", folder.info.name)).help("rename one of them"));
        }
        for need in &folder.info.needs {
            if !names.contains(&need.as_str()) {
                problems.borrow_mut().push(
                    Diagnostic::error(format!("pack `{}` needs pack `{need}`, which is not there", folder.info.name))
                        .maybe_help(words::did_you_mean(need, names.iter().copied())),
                );
            }
        }
    }
}

/// Reads `source`, which every figure and rule must have.
fn need_source(keys: &Keys<'_>, problems: &Problems) -> String {
    keys.need_text(problems, "source").unwrap_or("").to_owned()
}

/// Reads `place` and `except`.
fn read_where(keys: &Keys<'_>, problems: &Problems) -> Where {
    let codes = |key: &str| {
        let texts = keys.texts(problems, key);
        for (code, at) in &texts {
            if let Err((message, help)) = place_code(code) {
                problems.borrow_mut().push(at.error(message).maybe_help(help));
            }
        }
        texts.into_iter().map(|(code, _)| code.to_owned()).collect()
    };
    Where { named: codes("place"), except: codes("except") }
}

/// Reports places left out that no pack lists: a house pack that listed one as a group of its own could silence rules of others.
fn exceptions_are_listed(book: &RuleBook, problems: &Problems) {
    let listed = |code: &String| book.places.contains_key(code) || book.place_names.iter().any(|n| n.code == *code);
    let rules = book.rules.iter().map(|r| (&r.place, &r.script.place));
    let presumptions = book.presumptions.iter().map(|p| (&p.place, &p.declared));
    let usual = book.usual.iter().map(|u| (&u.place, &u.declared));
    let afters = book.afters.iter().map(|a| (&a.place, &a.declared));
    for (at, declared) in rules.chain(presumptions).chain(usual).chain(afters) {
        for code in at.except.iter().filter(|code| !listed(code)) {
            problems.borrow_mut().push(
                declared
                    .error(format!("`except` names {code}, which no pack lists as a place"))
                    .help("add a [[place]] with that code and its title"),
            );
        }
    }
}

/// Reads `sources`: what stands behind it at certain places.
fn read_sources(keys: &Keys<'_>, problems: &Problems) -> IndexMap<String, String> {
    let mut out = IndexMap::new();
    let Some(of_places) = keys.get("sources").and_then(|i| i.keys("the sources by place")) else { return out };
    for (code, at, item) in of_places.all() {
        if let Err((message, help)) = place_code(code) {
            problems.borrow_mut().push(at.error(message).maybe_help(help));
        }
        match item.text() {
            Some(text) if !text.trim().is_empty() => {
                out.insert(code.to_owned(), text.to_owned());
            }
            _ => problems.borrow_mut().push(at.error(format!("the source for {code} is no text"))),
        }
    }
    out
}

/// Reads `basis`.
fn read_basis(keys: &Keys<'_>, pack: &PackInfo, problems: &Problems) -> Basis {
    let Some(item) = keys.get("basis") else {
        if !pack.house {
            keys.missing(problems, "basis");
        }
        return Basis::House;
    };
    let word = item.text().unwrap_or("");
    if let Some(basis) = Basis::ALL.into_iter().find(|b| b.word() == word) {
        return basis;
    }
    let help = words::offer(word, Basis::ALL.into_iter().map(Basis::word));
    problems.borrow_mut().push(item.place().error(format!("`{word}` is not a basis")).maybe_help(help));
    Basis::House
}

/// Reads `from`, `until` and `review`.
fn read_period(keys: &Keys<'_>, problems: &Problems) -> crate::limit::Period {
    let period = crate::limit::Period {
        from: keys.date(problems, "from"),
        until: keys.date(problems, "until"),
        review: keys.date(problems, "review"),
    };
    if let (Some(from), Some(until)) = (period.from, period.until)
        && until < from
    {
        problems.borrow_mut().push(keys.place().error(format!("it ends ({until}) before it begins ({from})")));
    }
    period
}

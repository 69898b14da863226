//! Small rule books made at random: a first one, and a pack on top that adds, and now and then loosens.
//!
//! Everything is invented; only the shapes matter: rules of every ruling and ground, limits with places and days, presumptions that
//! wait for others, a grid with blanks, groups of places, facts and entries that only the second pack has.

use ovolo_engine::pack::PackFiles;
use std::fmt::Write as _;

/// Numbers that look random and are the same for the same start (splitmix64).
#[derive(Debug, Clone)]
pub(crate) struct Dice(pub(crate) u64);

impl Dice {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// A number below `n`.
    pub(crate) fn below(&mut self, n: usize) -> usize {
        (self.next() % n as u64) as usize
    }

    /// True `percent` times in a hundred.
    pub(crate) fn chance(&mut self, percent: usize) -> bool {
        self.below(100) < percent
    }

    /// One of several.
    pub(crate) fn of<T: Copy>(&mut self, all: &[T]) -> T {
        all[self.below(all.len())]
    }
}

/// Two packs: the first book, and what is laid on top.
#[derive(Debug, Clone)]
pub(crate) struct Pair {
    pub(crate) first: PackFiles,
    pub(crate) second: PackFiles,
    /// Whether every rule of the first book is of law or standard.
    pub(crate) only_strong: bool,
}

pub(crate) const PLACES: &[&str] = &["US", "GB", "FR"];
pub(crate) const DAYS: &[&str] = &["2015-01-01", "2020-07-01", "2026-01-01"];

const WORLD: &str = r#"
[[attribute]]
of = "method"
id = "hot"
kind = "yes-no"

[[attribute]]
of = "substrate"
id = "soft"
kind = "yes-no"

[[substrate]]
id = "deal"
title = "deal"
source = "invented"
soft = true

[[substrate]]
id = "slab"
title = "slab"
source = "invented"

[[substrate]]
id = "sheet"
title = "sheet"
source = "invented"

[[coat]]
id = "gloss"
title = "gloss"
source = "invented"

[[coat]]
id = "lime"
title = "lime"
source = "invented"

[[method]]
id = "torch"
title = "torch"
source = "invented"
hot = true

[[method]]
id = "gel"
title = "gel"
source = "invented"

[[method]]
id = "scraper"
title = "scraper"
source = "invented"

[[fact]]
id = "site.built"
title = "year"
question = "When?"
kind = "year"
range = "1800 .. 2050"

[[fact]]
id = "site.lived_in"
title = "lived in"
question = "Lived in?"
kind = "yes-no"

[[fact]]
id = "site.consent"
title = "consent"
question = "Consent?"
kind = "yes-no"
chosen = true
burden = 1

[[fact]]
id = "surface.substrate"
title = "substrate"
question = "On what?"
kind = "entry"
entries = "substrate"

[[fact]]
id = "surface.depth"
title = "depth"
question = "How deep?"
kind = "number"
unit = "mm"
range = "0 .. 100 mm"

[[fact]]
id = "surface.gap"
title = "gap"
question = "How wide?"
kind = "number"
unit = "mm"
range = "0 .. 100 mm"

[[fact]]
id = "surface.near"
title = "near"
question = "What is near?"
kind = "several"
choices = ["drain", "thatch"]

[[fact]]
id = "surface.sheeting"
title = "sheeting"
question = "How far does it reach?"
kind = "number"
unit = "m"
range = "0 .. 20 m"
chosen = true
burden = 1

[[fact]]
id = "coat.kind"
title = "kind"
question = "Which coat?"
kind = "entry"
entries = "coat"

[[fact]]
id = "coat.lead"
title = "lead"
question = "Lead?"
kind = "choice"
choices = ["absent", "present"]

[[fact]]
id = "method.heat"
title = "heat"
question = "How hot?"
kind = "number"
unit = "C"
range = "0 .. 600 C"
chosen = true
burden = 2
"#;

/// What scripts can ask about, by what may be read: a site, a surface, a coat, a method.
const SITE: &[&str] = &["site.built < 1930", "site.built < 1970", "site.built >= 1970", "site.lived_in", "!site.lived_in"];
const SURFACE: &[&str] = &[
    r#"surface.substrate == "deal""#,
    r#"surface.substrate != "sheet""#,
    "surface.substrate.soft",
    r#"surface.depth > quantity("5 mm")"#,
    r#"surface.depth * 2 <= quantity("40 mm")"#,
    r#"surface.depth < limit("least-depth")"#,
    r#"surface.depth >= limit("least-depth")"#,
    r#"surface.depth + surface.gap <= quantity("30 mm")"#,
    "surface.depth < surface.gap",
    r#"surface.near.has("drain")"#,
    r#"!surface.near.has("thatch")"#,
];
const COAT: &[&str] = &[r#"coat.lead == "present""#, r#"coat.lead != "absent""#, r#"coat.kind == "gloss""#, r#"coat.kind != "lime""#];
const CHOSEN: &[&str] = &[
    "!site.consent",
    r#"surface.sheeting < quantity("3 m")"#,
    r#"surface.sheeting < limit("least-sheeting")"#,
    r#"surface.sheeting > limit("least-sheeting")"#,
];
const METHOD: &[&str] = &[
    "method.hot",
    "!method.hot",
    r#"method == "torch""#,
    r#"method != "scraper""#,
    r#"method.hot && method.heat >= limit("most-heat")"#,
    r#"method.heat < limit("most-heat")"#,
    r#"harm(surface.substrate, method) == "no""#,
    r#"harm(surface.substrate, method) in ["care", "no"]"#,
];
/// No part of any script.
const NOTHING: &str = "none of them";
/// What only the second pack can ask about.
const OWN: &[&str] = &["site.own_word", r#"surface.own_size > quantity("2 mm")"#, "!surface.own_choice"];

fn script(dice: &mut Dice, from: &[&[&'static str]], most: usize, but: &str) -> String {
    let all: Vec<&'static str> = from.iter().flat_map(|f| f.iter().copied()).filter(|part| !part.contains(but)).collect();
    let parts: Vec<String> = (0..=dice.below(most)).map(|_| format!("({})", dice.of(&all))).collect();
    let mut out = parts[0].clone();
    for part in &parts[1..] {
        out = format!("({out} {} {part})", dice.of(&["&&", "&&", "||"]));
    }
    if dice.chance(8) { format!("!{out}") } else { out }
}

fn text(value: &str) -> String {
    format!("'{value}'")
}

/// Place and days of a rule, presumption or figure.
fn whereabouts(dice: &mut Dice, out: &mut String, list: bool) {
    if dice.chance(30) {
        let place = dice.of(&["US", "GB", "FR", "XE", "US-MA"]);
        let _ = if list { writeln!(out, "place = [\"{place}\"]") } else { writeln!(out, "place = \"{place}\"") };
    }
    let (period, day) = (dice.below(100), dice.of(DAYS));
    match period {
        0..15 => _ = writeln!(out, "from = {day}"),
        15..30 => _ = writeln!(out, "until = {day}"),
        _ => {}
    }
}

fn rule(dice: &mut Dice, out: &mut String, id: &str, own: &[&[&'static str]], bases: &[&'static str]) {
    let ruling = dice.of(&["rule-out", "rule-out", "rule-out", "hold", "hold", "caution"]);
    let mut from = vec![SITE, SURFACE, COAT, CHOSEN];
    from.extend(own);
    let when = if ruling == "rule-out" || dice.chance(40) {
        let most = 1 + dice.below(3);
        format!("({}) && {}", dice.of(METHOD), script(dice, &from, most, NOTHING))
    } else {
        script(dice, &from, 3, NOTHING)
    };
    let _ =
        writeln!(out, "\n[[rule]]\nid = \"{id}\"\nwhen = {}\nruling = \"{ruling}\"\nbecause = \"So.\"\nsource = \"invented\"", text(&when));
    let _ = writeln!(out, "basis = \"{}\"", dice.of(bases));
    if ruling == "hold" && dice.chance(60) {
        out.push_str("released_by = \"site.consent\"\n");
    }
    if when.contains("coat.") && dice.chance(25) {
        out.push_str("coats = \"every\"\n");
    }
    whereabouts(dice, out, true);
}

fn presumption(dice: &mut Dice, out: &mut String, id: &str, own: &[&[&'static str]], bases: &[&'static str]) {
    let (fact, values, about): (&str, &[&str], usize) = dice.of(&[
        ("site.built", &["\"1900/1950\"", "1960", "2000"][..], 0),
        ("site.lived_in", &["true", "false"][..], 0),
        ("surface.substrate", &["\"deal\"", "\"sheet\"", "{ one-of = [\"deal\", \"slab\"] }"][..], 1),
        ("surface.depth", &["\"1 mm\"", "\"5 .. 30 mm\"", "\"60 mm\""][..], 1),
        ("coat.lead", &["\"present\"", "\"present\"", "\"absent\""][..], 2),
        ("coat.kind", &["\"gloss\"", "\"lime\""][..], 2),
    ]);
    let mut from = vec![SITE];
    from.extend([SURFACE, COAT].into_iter().take(about));
    // A presumption does not read the method, and what it reads lies around what it is about.
    from.extend(own.iter().filter(|_| about > 0));
    let when = if dice.chance(15) { "true".to_owned() } else { script(dice, &from, 2, fact) };
    let _ = writeln!(out, "\n[[presumption]]\nid = \"{id}\"\nfact = \"{fact}\"\nvalue = {}\nwhen = {}", dice.of(values), text(&when));
    let _ = writeln!(out, "because = \"So.\"\nsource = \"invented\"\nbasis = \"{}\"", dice.of(bases));
    if dice.chance(25) {
        let other = match about {
            0 => "site.lived_in",
            1 => "surface.near",
            _ => "coat.kind",
        };
        let _ = writeln!(out, "unstated = [\"{other}\"]");
    }
    whereabouts(dice, out, true);
}

fn limits(dice: &mut Dice, out: &mut String) {
    for (id, unit, stricter, figures) in [
        ("most-heat", "C", "lower", &["300 C", "400 C", "500 C"][..]),
        ("least-sheeting", "m", "higher", &["2 m", "5 m", "9 m"][..]),
        ("least-depth", "mm", "higher", &["3 mm", "10 mm", "40 mm"][..]),
    ] {
        let _ = writeln!(out, "\n[[limit]]\nid = \"{id}\"\ntitle = \"{id}\"\nunit = \"{unit}\"\nstricter = \"{stricter}\"");
        for n in 0..=dice.below(3) {
            let _ = writeln!(out, "\n[[limit.value]]\nvalue = \"{}\"\nsource = \"invented\"\nbasis = \"standard\"", dice.of(figures));
            if n > 0 || dice.chance(10) {
                whereabouts(dice, out, false);
            }
        }
    }
}

fn grid(dice: &mut Dice, out: &mut String) {
    let otherwise = dice.of(&["no untried", "care untried"]);
    let _ = writeln!(
        out,
        "\n[[grid]]\nid = \"harm\"\ntitle = \"harm\"\nrows = \"substrate\"\ncolumns = \"method\"\ngrades = [\"ok\", \"care\", \"no\"]\nreasons = [\"tried\", \"untried\"]\notherwise = \"{otherwise}\""
    );
    for substrate in ["deal", "slab", "sheet"] {
        let cells = cells(dice, &["torch", "gel", "scraper"], 75);
        let _ = writeln!(out, "\n[[row]]\ngrid = \"harm\"\nentry = \"{substrate}\"\nsource = \"invented\"\ncells = {{ {cells} }}");
    }
}

fn cells(dice: &mut Dice, names: &[&str], percent: usize) -> String {
    let mut each = Vec::new();
    for name in names {
        if dice.chance(percent) {
            each.push(format!("{name} = \"{} tried\"", dice.of(&["ok", "ok", "care", "no"])));
        }
    }
    each.join(", ")
}

const OWN_FACTS: &str = r#"
[[fact]]
id = "site.own_word"
title = "word"
question = "Given?"
kind = "yes-no"

[[fact]]
id = "surface.own_size"
title = "size"
question = "How large?"
kind = "number"
unit = "mm"
range = "0 .. 10 mm"

[[fact]]
id = "surface.own_choice"
title = "choice"
question = "Chosen?"
kind = "yes-no"
chosen = true
burden = 1
"#;

/// What is laid on top: one to three additions of the kinds a pack can make.
fn second(dice: &mut Dice) -> String {
    let mut out = OWN_FACTS.to_owned();
    let bases: &[&str] = if dice.chance(50) { &["house"] } else { &["statute", "standard", "guidance", "house"] };
    let mut once: Vec<usize> = Vec::new();
    for n in 0..=dice.below(3) {
        let kind = dice.below(15);
        // Of what has one id, one.
        if kind >= 10 && once.contains(&kind) {
            continue;
        }
        once.push(kind);
        match kind {
            0 | 1 => rule(dice, &mut out, &format!("own-rule-{n}"), &[OWN], bases),
            2..=5 => presumption(dice, &mut out, &format!("own-presumption-{n}"), &[OWN], bases),
            6..=9 => {
                let (limit, figures): (&str, &[&str]) = dice.of(&[
                    ("most-heat", &["150 C", "250 C", "300 C"][..]),
                    ("least-sheeting", &["5 m", "9 m", "12 m"][..]),
                    ("least-depth", &["10 mm", "40 mm", "70 mm"][..]),
                ]);
                let _ = writeln!(out, "\n[[tighten]]\nlimit = \"{limit}\"\nvalue = \"{}\"\nsource = \"invented\"", dice.of(figures));
                whereabouts(dice, &mut out, false);
            }
            10 => {
                let _ = writeln!(out, "\n[[substrate]]\nid = \"foam\"\ntitle = \"foam\"\nsource = \"invented\"\nsoft = {}", dice.chance(50));
                let cells = cells(dice, &["torch", "gel", "scraper"], 75);
                let _ = writeln!(out, "\n[[row]]\ngrid = \"harm\"\nentry = \"foam\"\nsource = \"invented\"\ncells = {{ {cells} }}");
            }
            11 => {
                let _ = writeln!(out, "\n[[method]]\nid = \"own-box\"\ntitle = \"box\"\nsource = \"invented\"\nhot = {}", dice.chance(50));
                let cells = cells(dice, &["deal", "slab", "sheet"], 75);
                let _ = writeln!(out, "\n[[column]]\ngrid = \"harm\"\nentry = \"own-box\"\nsource = \"invented\"\ncells = {{ {cells} }}");
            }
            12 => out.push_str("\n[[coat]]\nid = \"tar\"\ntitle = \"tar\"\nsource = \"invented\"\n"),
            13 => {
                let _ = writeln!(
                    out,
                    "\n[[row]]\ngrid = \"harm\"\nentry = \"{}\"\nsource = \"invented\"\ncells = {{ {} = \"{} tried\" }}",
                    dice.of(&["deal", "slab", "sheet"]),
                    dice.of(&["torch", "gel", "scraper"]),
                    dice.of(&["ok", "care", "no"])
                );
            }
            _ if dice.chance(50) => {
                let _ = writeln!(out, "\n[[place]]\ncode = \"XE\"\ntitle = \"some\"\nmembers = [\"{}\"]", dice.of(PLACES));
            }
            _ => out.push_str(
                "\n[[fact]]\nid = \"method.sheeting\"\ntitle = \"screen\"\nquestion = \"Screen?\"\nkind = \"number\"\nunit = \"m\"\nrange = \"0 .. 20 m\"\nchosen = true\nburden = 1\n",
            ),
        }
    }
    out
}

fn pack(name: &str, needs: &str, topic: String) -> PackFiles {
    let manifest = format!("name = \"{name}\"\nversion = \"1\"\nowner = \"nobody\"\n{needs}");
    PackFiles { folder: name.to_owned(), files: vec![("pack.toml".to_owned(), manifest), ("all.toml".to_owned(), topic)] }
}

/// A first book and a second pack.
pub(crate) fn pair(dice: &mut Dice) -> Pair {
    let only_strong = dice.chance(70);
    let bases: &[&str] = if only_strong { &["statute", "standard"] } else { &["statute", "standard", "guidance", "practice"] };
    let mut first = WORLD.to_owned();
    limits(dice, &mut first);
    grid(dice, &mut first);
    for n in 0..3 + dice.below(4) {
        rule(dice, &mut first, &format!("rule-{n}"), &[], bases);
    }
    for n in 0..dice.below(3) {
        presumption(dice, &mut first, &format!("presumption-{n}"), &[], &["statute", "standard", "guidance"]);
    }
    let second = second(dice);
    Pair { first: pack("first", "", first), second: pack("second", "needs = [\"first\"]\n", second), only_strong }
}

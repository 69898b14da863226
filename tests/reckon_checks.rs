//! Every formula of the calculators against values from outside: `tests/reckon-checks.toml` says for each which ones.
//!
//! A formula with fewer than two values that are published, or made by a library, is named in `[[few]]` with the reason; the
//! test prints those. A formula that is in neither list fails.

use crate::support::root;
use jiff::civil::date;
use ovolo_engine::quantity::{self, Unit};
use ovolo_engine::reckon::alkali::{self, Acid};
use ovolo_engine::reckon::metal::{self, Amphoteric};
use ovolo_engine::reckon::units::{
    Area, Celsius, Conductivity, Density, Flow, Force, Kelvin, Length, Loading, Mass, MassRate, Measure, MolarMass, Molarity, Ph, Pressure,
    Ratio, Share, Speed, Time, Volume, WorkRate,
};
use ovolo_engine::reckon::{Desk, Span, air, drying, fire, jet, labour, lead, ph, remover, run_off, samples, sheeting, timber, vapour};
use serde::Deserialize;
use std::collections::BTreeMap;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Table {
    check: Vec<Check>,
    few: Vec<Few>,
}

/// One value from outside.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Check {
    of: String,
    given: Vec<String>,
    is: String,
    within: Option<String>,
    /// What somebody printed or made of it by mistake, which must not be met.
    not: Option<String>,
    kind: Kind,
    source: String,
}

#[derive(Deserialize, PartialEq, Clone, Copy)]
#[serde(rename_all = "kebab-case")]
enum Kind {
    Published,
    Library,
    ByHand,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Few {
    of: String,
    reason: String,
}

enum Came {
    To(f64, &'static Unit),
    Word(String),
}

fn one<T: Measure>(text: &str) -> T {
    let span = Span::<T>::read(text).unwrap_or_else(|e| panic!("`{text}`: {e}"));
    assert!(span.is_exact(), "`{text}` is a range");
    span.low()
}

macro_rules! calculators {
    ($($name:literal ($($argument:ident: $measure:ident),*) -> $gives:ident $body:expr;)*) => {
        /// What a calculator comes to for what it is given.
        fn works(name: &str, given: &[String]) -> Option<Came> {
            let mut left = given.iter();
            Some(match name {
                $($name => {
                    $(let $argument = one::<$measure>(left.next().unwrap_or_else(|| panic!("{name} wants more")));)*
                    let came: $gives = $body;
                    assert!(left.next().is_none(), "{name} wants less");
                    Came::To(came.base(), <$gives as Measure>::unit())
                })*
                _ => return None,
            })
        }
    };
}

fn exactly<T: Measure>(v: T) -> Span<T> {
    Span::exactly(v)
}

fn acid(acid: Acid, naoh: Mass) -> Span<Mass> {
    acid.for_alkali(exactly(naoh) / exactly(alkali::NAOH))
}

calculators! {
    "air::saturation_pressure" (t: Celsius) -> Pressure air::saturation_pressure(t);
    "air::dew_point" (t: Celsius, h: Share) -> Celsius air::dew_point(t, h);
    "air::frost_point" (t: Celsius, h: Share) -> Celsius air::frost_point(t, h).expect("frost");
    "air::humidity_at_dew_point" (t: Celsius, dew: Celsius) -> Share air::humidity_at_dew_point(t, dew);
    "air::highest_humidity" (t: Celsius, s: Celsius, m: Kelvin) -> Share air::highest_humidity(t, s, m);
    "air::coldest_surface" (t: Celsius, h: Share, m: Kelvin) -> Celsius air::coldest_surface(t, h, m);
    "air::warmed_to" (t: Celsius, h: Share, wanted: Share) -> Celsius air::warmed_to(t, h, wanted);
    "air::pressure_at" (height: Length) -> Pressure air::pressure_at(height);
    "air::humidity_from_wet_bulb" (dry: Celsius, wet: Celsius, height: Length) -> Share
        air::humidity_from_wet_bulb(dry, wet, air::pressure_at(height));
    "air::wet_bulb" (dry: Celsius, h: Share, height: Length) -> Celsius
        air::wet_bulb(dry, h, air::pressure_at(height)).expect("a wet bulb");
    "air::humidity_at_surface" (t: Celsius, h: Share, s: Celsius) -> Share air::humidity_at_surface(t, h, s);
    "timber::equilibrium_moisture" (t: Celsius, h: Share) -> Share timber::equilibrium_moisture(t, h);
    "timber::humidity_for_moisture" (t: Celsius, m: Share) -> Share timber::humidity_for_moisture(t, m).expect("there is one");
    "jet::fan_width" (d: Length, a: Ratio) -> Length jet::fan_width(d, a);
    "jet::jet_force" (q: Flow, p: Pressure) -> Force jet::jet_force(q, p);
    "drying::drying_time" (d: Length, rate: Speed) -> Time drying::drying_time(exactly(d), exactly(rate), None).low();
    "labour::attended" (a: Area, rate: WorkRate, detail: Ratio, set_up: Share) -> Time
        labour::attended(exactly(a), exactly(rate), exactly(detail), exactly(set_up)).low();
    "labour::elapsed" (work: Time, people: Ratio, day: Time, waiting: Time) -> Ratio
        labour::elapsed(exactly(work), people, exactly(day), exactly(waiting)).high();
    "lead::loading" (d: Length, density: Density, c: Share) -> Loading lead::loading(exactly(d), exactly(density), exactly(c)).low();
    "lead::content" (l: Loading, d: Length, density: Density) -> Share lead::content(exactly(l), exactly(d), exactly(density)).low();
    "lead::leach_bound" (total: Share, times: Ratio) -> Density lead::leach_bound(exactly(total), times).low();
    "metal::salt" (c: Ratio, v: Volume, rise: Conductivity, a: Area) -> Loading metal::salt(c, v, rise, a);
    "metal::hydrogen" (aluminium: Mass) -> Volume Amphoteric::Aluminium.hydrogen(aluminium);
    "metal::caustic" (aluminium: Mass) -> Mass Amphoteric::Aluminium.caustic(aluminium);
    "metal::metal_for" (room: Volume, share: Share) -> Mass Amphoteric::Aluminium.metal_for(room, share);
    "metal::zinc_coat" (d: Length) -> Loading metal::zinc_coat(d);
    "ph::ph_of_alkali" (c: Molarity) -> Ph ph::ph_of_alkali(c);
    "ph::dilution" (from: Ph, to: Ph) -> Ratio ph::dilution(exactly(from), exactly(to)).low();
    "ph::rinses" (dilution: Ratio, stays: Share) -> Ratio ph::rinses(exactly(dilution), exactly(stays)).low();
    "remover::paste" (a: Area, detail: Ratio, d: Length, waste: Share) -> Volume
        remover::paste(exactly(a), exactly(detail), exactly(d), exactly(waste), exactly(Density::kg_per_litre(1.3))).volume.low();
    "remover::sheets" (a: Area, sheet: Area, lost: Share) -> Ratio remover::sheets(exactly(a), sheet, exactly(lost)).low();
    "remover::containers" (v: Volume, container: Volume) -> Ratio remover::containers(exactly(v), container).low();
    "run_off::volume" (a: Area, depth: Length, catch: Area, rain: Length) -> Volume
        run_off::volume(exactly(a), exactly(depth), exactly(Ratio::of(1.0)), exactly(catch), exactly(rain)).low();
    "run_off::bund" (v: Volume, share: Share) -> Volume run_off::bund(exactly(v), exactly(share)).low();
    "samples::to_meet_one" (share: Share, confidence: Share) -> Ratio samples::to_meet_one(share, confidence);
    "samples::for_a_mean" (spread: Ratio, margin: Ratio) -> Ratio samples::for_a_mean(spread, margin);
    "samples::cloths" (floor: Area, section: Area, sills: Ratio) -> Ratio samples::cloths(exactly(floor), section, sills).low();
    "sheeting::before_a_wall" (length: Length, beyond: Length) -> Area sheeting::before_a_wall(exactly(length), exactly(beyond)).low();
    "sheeting::around" (l: Length, w: Length, beyond: Length) -> Area sheeting::around(exactly(l), exactly(w), exactly(beyond)).low();
    "vapour::air_needed" (rate: MassRate, molar: MolarMass, most: Share, k: Ratio) -> Flow vapour::air_needed(rate, molar, most, k);
    "vapour::saturated" (p: Pressure, air: Pressure) -> Share vapour::saturated(p, air);
    "vapour::purge" (room: Volume, air: Flow, k: Ratio, left: Share) -> Time vapour::purge(room, air, k, left);
    "vapour::filled" (m: Mass, molar: MolarMass, room: Volume) -> Share vapour::filled(m, molar, room);
    "alkali::for_alkali acetic" (naoh: Mass) -> Mass acid(Acid::Acetic, naoh).low();
    "alkali::for_alkali citric" (naoh: Mass) -> Mass acid(Acid::Citric, naoh).low();
    "alkali::for_alkali citric-monohydrate" (naoh: Mass) -> Mass acid(Acid::CitricMonohydrate, naoh).low();
    "alkali::for_alkali phosphoric" (naoh: Mass) -> Mass acid(Acid::Phosphoric, naoh).high();
    "alkali::for_alkali oxalic" (naoh: Mass) -> Mass acid(Acid::Oxalic, naoh).low();
    "alkali::soluble" (m: Mass, naoh: Share) -> Ratio Ratio::of(alkali::soluble(exactly(m), exactly(naoh)).low().in_mol());
    "alkali::saponification_demand" (d: Length, density: Density, binder: Share, value: Share) -> Loading
        alkali::saponification_demand(exactly(d), exactly(density), exactly(binder), exactly(value)).low();
    "alkali::paste_thickness_for" (demand: Loading, naoh: Share, density: Density) -> Length
        alkali::paste_thickness_for(exactly(demand), exactly(naoh), exactly(density)).low();
    "alkali::carbonate_left" (naoh: Mass) -> Mass alkali::carbonate_left(exactly(naoh)).low();
    "alkali::gypsum_attacked" (naoh: Mass) -> Mass alkali::gypsum_attacked(exactly(naoh)).0.low();
    "alkali::carbonate_dissolved" (acetic: Mass) -> Mass
        alkali::carbonate_dissolved(exactly(acetic) / exactly(MolarMass::g_per_mol(60.052))).low();
    // Units are part of every formula: the film that a manual prints in millimetres for mils.
    "units length" (d: Length) -> Length d;
    "units pressure" (p: Pressure) -> Pressure p;
}

/// Calculators that come to a word.
fn words(name: &str, given: &[String]) -> Option<Came> {
    let number = |i: usize| given[i].parse::<f64>().unwrap_or_else(|e| panic!("{}: {e}", given[i]));
    let clock = |i: usize| date(2026, 9, 14).to_datetime(jiff::civil::Time::strptime("%H:%M", &given[i]).expect("a time of day"));
    let hour = |at: jiff::civil::DateTime| Came::Word(at.time().strftime("%H:%M").to_string());
    Some(match name {
        "ph::acceptance" => {
            let ph = |i: usize| exactly(Ph::of(number(i)));
            Came::Word(ph::acceptance(ph(0), ph(1), Ratio::of(number(2)), Ratio::of(number(3))).word().to_owned())
        }
        "jet::classes" => {
            let desk = Desk::new(crate::support::book(), None, date(2026, 9, 1), quantity::System::Us);
            let classes = jet::classes(one::<Pressure>(&given[0]), &desk).expect("the figures are there");
            let word = |i: usize| classes[i].0.split('"').nth(1).unwrap_or_default().to_owned();
            Came::Word(format!("{} in facilities, {} on old masonry", word(0), word(1)))
        }
        "fire::watch_until" => hour(fire::watch_until(clock(0), one::<Time>(&given[1])).expect("within the calendar")),
        "fire::heat_off_by" => hour(fire::heat_off_by(clock(0), one::<Time>(&given[1])).expect("within the calendar")),
        "drying::dates" => {
            let from: jiff::civil::Date = given[0].parse().expect("a date");
            Came::Word(drying::dates(from, exactly(one::<Time>(&given[1]))).expect("within the calendar").0.to_string())
        }
        "drying::drying_time of a screed" => {
            let figure = |i: usize| exactly(one::<Speed>(&given[i]));
            let time = drying::drying_time(exactly(one::<Length>(&given[0])), figure(1), Some((one(&given[2]), figure(3)))).low();
            Came::Word(if time.in_days() > 50.0 { "more than 50 days" } else { "50 days or less" }.to_owned())
        }
        _ => return None,
    })
}

fn table() -> Table {
    let text = std::fs::read_to_string(root().join("tests/reckon-checks.toml")).expect("the table");
    toml::from_str(&text).unwrap_or_else(|e| panic!("tests/reckon-checks.toml: {e}"))
}

/// How far a value may be off, in base units: a temperature may be off by a difference.
fn leeway(text: &str, unit: &'static Unit) -> f64 {
    if unit.dimension == Celsius::unit().dimension { one::<Kelvin>(text).base() } else { quantity::read(text, unit).expect(text).base }
}

#[test]
fn calculators_meet_values_from_outside() {
    let mut wrong = Vec::new();
    for check in table().check {
        let came = works(&check.of, &check.given).or_else(|| words(&check.of, &check.given));
        let here = format!("{} of {:?} ({})", check.of, check.given, check.source);
        assert!(!check.source.trim().is_empty(), "{here} names no source");
        match came.unwrap_or_else(|| panic!("{here}: no such calculator")) {
            Came::Word(word) => {
                if word != check.is || check.not.as_ref() == Some(&word) {
                    wrong.push(format!("{here}: {word}, not {}", check.is));
                }
            }
            Came::To(base, unit) => {
                let read = |text: &str| quantity::read(text, unit).unwrap_or_else(|e| panic!("{here}: `{text}`: {e}")).base;
                let most = check.within.as_ref().map_or(0.0, |w| leeway(w, unit));
                let off = (base - read(&check.is)).abs();
                if off.is_nan() || off > most + 1e-9 * base.abs() {
                    wrong.push(format!("{here}: {} {}, not {}", unit.of_base(base), unit.names[0], check.is));
                }
                if check.not.as_ref().is_some_and(|n| (base - read(n)).abs() <= most) {
                    wrong.push(format!("{here}: walks into the trap"));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// The formulas there are, as `file::function`, read from the sources: a new one cannot be forgotten.
fn formulas() -> Vec<String> {
    let mut found = Vec::new();
    for (folder, prefix) in [("engine/src/reckon", ""), ("engine/src/patches", "patches::")] {
        for path in crate::support::files_in(&root().join(folder), ".rs") {
            let file = path.file_stem().expect("a name").to_string_lossy().into_owned();
            let no_formulas = ["mod", "units", "span", "sheet", "functions", "calculator", "plan", "draw", "estimate", "tests"];
            if no_formulas.contains(&file.as_str()) || file.ends_with("_tests") {
                continue;
            }
            for line in std::fs::read_to_string(&path).expect("text").lines() {
                let Some(rest) = line.trim_start().strip_prefix("pub fn ") else { continue };
                let name = rest.split(['(', '<']).next().unwrap_or_default();
                // What asks, names or is made, rather than reckons.
                if !name.ends_with("sheet") && !["word", "find", "new", "learn"].contains(&name) {
                    found.push(format!("{prefix}{file}::{name}"));
                }
            }
        }
    }
    found
}

#[test]
#[expect(clippy::print_stdout, reason = "the list is for who runs it with --nocapture")]
fn every_formula_has_two_values_from_outside_or_says_why_not() {
    let table = table();
    let mut outside: BTreeMap<String, usize> = formulas().into_iter().map(|f| (f, 0)).collect();
    assert!(outside.len() > 50, "the sources are read");
    for check in &table.check {
        let of = check.of.split(' ').next().unwrap_or_default();
        if of == "units" {
            continue;
        }
        let count = outside.get_mut(of).unwrap_or_else(|| panic!("{of} is no formula"));
        *count += usize::from(check.kind != Kind::ByHand);
    }
    println!("formulas with fewer than two values from outside:");
    for few in &table.few {
        let count = outside.remove(&few.of).unwrap_or_else(|| panic!("{} is no formula, or named twice", few.of));
        assert!(count < 2, "{} has {count} values from outside: it is not one of the few", few.of);
        assert!(few.reason.len() > 20, "{}: say why", few.of);
        println!("  {}: {}", few.of, few.reason);
    }
    let short: Vec<&String> = outside.iter().filter(|(_, n)| **n < 2).map(|(f, _)| f).collect();
    assert!(short.is_empty(), "give two values from outside, or the reason why there are none: {short:?}");
}

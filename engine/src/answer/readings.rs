//! From what was said to values as surveys write them.

use super::sizes::{Measure, Shape, Side};
use super::tables::Bound;
use super::years::Years;
use super::{Context, Reading};
use crate::quantity::{self, Dimension, System, Unit, find_unit};
use crate::reach::Reach;
use crate::script::Base;
use crate::survey::parse_text;
use crate::vocabulary::{FactId, FactKind, Known, flag, lowest};
use crate::words;

/// How far "about" reaches: a tenth either way, of counts at least one (common practice).
const ABOUT: f64 = 0.1;
/// How far "about" reaches for temperatures, in degrees of the scale that was said (common practice).
const ABOUT_DEGREES: f64 = 2.0;
/// The least that is taken for "many" (common practice).
const MANY: f64 = 10.0;

/// Makes readings for one line.
#[derive(Clone, Copy)]
pub(super) struct Maker<'a> {
    /// Facts and entries.
    pub(super) base: &'a Base,
    /// What surrounds the line.
    pub(super) context: &'a Context,
}

/// A figure with as many digits as matter and no commas, as surveys write it.
pub(super) fn figure(value: f64) -> String {
    let text = format!("{value:.6}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text.is_empty() || text == "-0" { "0".to_owned() } else { text.to_owned() }
}

impl Maker<'_> {
    /// The systems people at this place may mean, likeliest first.
    fn systems(self) -> Vec<System> {
        let place = self.context.place.as_deref();
        match (self.context.system, place) {
            (Some(system), _) => vec![system],
            (None, Some(p)) if !self.base.customs.both_at(p) => vec![self.base.customs.system_at(place)],
            (None, _) => vec![System::Metric, System::Us],
        }
    }

    /// The choices left of a yes-no, choice or entry.
    pub(super) fn choice(self, fact: FactId, bits: u128, sure: bool) -> Option<Reading> {
        let (vocabulary, catalogue) = (&self.base.vocabulary, &self.base.catalogue);
        let it = vocabulary.get(fact);
        let all = lowest(it.width(catalogue));
        let bits = bits & all;
        if bits == 0 || bits == all {
            return None;
        }
        let set = |bits: u128| (0..it.width(catalogue)).filter(move |i| bits >> i & 1 == 1);
        let (toml, echo) = if matches!(it.kind, FactKind::YesNo) {
            if bits == flag::YES { ("true".to_owned(), "yes".to_owned()) } else { ("false".to_owned(), "no".to_owned()) }
        } else if bits.is_power_of_two() {
            let i = bits.trailing_zeros() as usize;
            (quoted(it.choice_id(i, catalogue)), it.choice_title(i, catalogue).to_owned())
        } else {
            let ids: Vec<String> = set(bits).map(|i| quoted(it.choice_id(i, catalogue))).collect();
            let titles = |bits| set(bits).map(|i| it.choice_title(i, catalogue)).collect::<Vec<_>>();
            let echo = if bits.count_ones() > 4 && (all & !bits).count_ones() <= 4 {
                format!("anything but {}", words::list(&titles(all & !bits), "and"))
            } else {
                words::list(&titles(bits), "or")
            };
            (format!("{{ one-of = [{}] }}", ids.join(", ")), echo)
        };
        Some(Reading { known: Known::Bits(bits), toml, echo, sure })
    }

    /// Choices of a several-of fact; `closed` where nothing else holds.
    pub(super) fn several(self, fact: FactId, yes: u128, no: u128, closed: bool, sure: bool) -> Reading {
        let (vocabulary, catalogue) = (&self.base.vocabulary, &self.base.catalogue);
        let it = vocabulary.get(fact);
        let all = lowest(it.width(catalogue));
        let no = no & !yes;
        let list = |bits: u128, title: bool| -> Vec<String> {
            (0..it.width(catalogue))
                .filter(|i| bits >> i & 1 == 1)
                .map(|i| if title { it.choice_title(i, catalogue).to_owned() } else { quoted(it.choice_id(i, catalogue)) })
                .collect()
        };
        if closed || yes | no == all {
            let echo =
                if yes == 0 { "nothing of the kind".to_owned() } else { format!("{}, nothing else", words::list(&list(yes, true), "and")) };
            return Reading {
                known: Known::Several { yes, no: all & !yes },
                toml: format!("[{}]", list(yes, false).join(", ")),
                echo,
                sure,
            };
        }
        let mut parts = Vec::new();
        let mut echo = Vec::new();
        if yes != 0 {
            parts.push(format!("has = [{}]", list(yes, false).join(", ")));
            echo.push(words::list(&list(yes, true), "and"));
        }
        if no != 0 {
            parts.push(format!("not = [{}]", list(no, false).join(", ")));
            echo.push(format!("no {}", words::list(&list(no, true), "and no")));
        }
        let echo = format!("{}; of the rest nothing is said", echo.join(", "));
        Reading { known: Known::Several { yes, no }, toml: format!("{{ {} }}", parts.join(", ")), echo, sure }
    }

    /// Years; what the fact cannot be is left out.
    pub(super) fn years(self, fact: FactId, years: &Years, sure: bool) -> Vec<Reading> {
        let mut out = Vec::new();
        for (edtf, echo) in &years.readings {
            if let Ok(known) = parse_text(edtf, fact, self.base) {
                let toml = if edtf.len() == 4 && edtf.chars().all(|c| c.is_ascii_digit()) { edtf.clone() } else { quoted(edtf) };
                out.push(Reading { known, toml, echo: echo.clone(), sure });
            }
        }
        out
    }

    /// Figures as a number of this fact.
    ///
    /// # Errors
    /// Why it cannot be, where the figures are of the right kind.
    pub(super) fn number(self, fact: FactId, said: &Measure, sure: bool) -> Result<Vec<Reading>, String> {
        let it = self.base.vocabulary.get(fact);
        let FactKind::Number { unit, range, whole } = &it.kind else { return Ok(Vec::new()) };
        let (unit, whole) = (*unit, *whole);
        let mut out: Vec<Reading> = Vec::new();
        let mut wrong = String::new();
        for (low, high, unit, echo) in self.spans(said, unit) {
            match self.bounded(fact, (low, high), unit, said, range, whole) {
                Ok((known, text, note)) => {
                    let bare = unit.names[0].is_empty() && !text.contains("..");
                    let toml = if bare { text } else { quoted(&text) };
                    let echo = self.echo(&known, unit, echo, said, note);
                    if out.iter().all(|r| r.known != known) {
                        out.push(Reading { known, toml, echo, sure });
                    }
                }
                Err(e) if wrong.is_empty() => wrong = e,
                Err(_) => {}
            }
        }
        if out.is_empty() && !wrong.is_empty() { Err(wrong) } else { Ok(out) }
    }

    /// The figures in each unit they may be meant in.
    fn spans(self, said: &Measure, like: &'static Unit) -> Vec<(f64, f64, &'static Unit, Option<String>)> {
        let fits = |u: &'static Unit| u.dimension == like.dimension;
        match &said.shape {
            Shape::Many => {
                if like.dimension.is_number() {
                    vec![(MANY, f64::INFINITY, like, None)]
                } else {
                    Vec::new()
                }
            }
            Shape::Span(from, to) => {
                let (low, high) = (from.low, to.as_ref().map_or(from.high, |t| t.high));
                let last = to.as_ref().and_then(|t| t.unit);
                let joined = from.joined.clone().filter(|_| to.is_none());
                match (from.unit.or(last), from.degrees || to.as_ref().is_some_and(|t| t.degrees)) {
                    // A British "mil" is a millimetre as often as a thousandth of an inch.
                    (Some(u), _)
                        if fits(u)
                            && u.names[0] == "mil"
                            && high <= 20.0
                            && self.context.place.as_deref().is_some_and(|p| self.base.customs.both_at(p)) =>
                    {
                        let mm = find_unit("mm").unwrap_or(u);
                        vec![(low, high, mm, None), (low, high, u, joined)]
                    }
                    (Some(u), _) if fits(u) => {
                        // "3 mm to 1 cm": both in the second unit.
                        let low = match (from.unit, last) {
                            (Some(a), Some(b)) if !std::ptr::eq(a, b) && fits(b) => {
                                return vec![(b.of_base(a.to_base(low)), high, b, joined)];
                            }
                            _ => low,
                        };
                        vec![(low, high, u, joined)]
                    }
                    (Some(_), _) => Vec::new(),
                    (None, true) if like.dimension != Dimension::TEMPERATURE => Vec::new(),
                    (None, _) => self.meant(like, low, from.fraction).into_iter().map(|u| (low, high, u, joined.clone())).collect(),
                }
            }
            Shape::Product(a, b) => self.products(a, b, like),
        }
    }

    /// A length by a width as an area.
    fn products(self, a: &Side, b: &Side, like: &'static Unit) -> Vec<(f64, f64, &'static Unit, Option<String>)> {
        if find_unit("m2").is_none_or(|m2| m2.dimension != like.dimension) {
            return Vec::new();
        }
        let sides: Vec<(&'static Unit, &'static Unit)> = match (a.unit, b.unit) {
            (Some(x), Some(y)) => vec![(x, y)],
            (Some(x), None) | (None, Some(x)) => vec![(x, x)],
            (None, None) => {
                let (m, ft) = (find_unit("m"), find_unit("ft"));
                self.systems().into_iter().filter_map(|s| if s == System::Us { ft } else { m }).map(|u| (u, u)).collect()
            }
        };
        let mut out = Vec::new();
        for (x, y) in sides {
            if x.dimension != Dimension::LENGTH || y.dimension != Dimension::LENGTH {
                continue;
            }
            let Some(area) = find_unit(if x.system == Some(System::Us) { "ft2" } else { "m2" }) else { continue };
            let base = |v: f64, w: f64| quantity::tidy(x.to_base(v) * y.to_base(w));
            let (low, high) = (area.of_base(base(a.low, b.low)), area.of_base(base(a.high, b.high)));
            let text = |s: &Side, u: &Unit| s.joined.clone().unwrap_or_else(|| format!("{} {}", figure(s.low), u.shown));
            out.push((low, high, area, Some(format!("{} × {}", text(a, x), text(b, y)))));
        }
        out
    }

    /// The units a figure without one may be meant in: those people use for such a thing, where the figure is possible.
    fn meant(self, like: &'static Unit, value: f64, fraction: bool) -> Vec<&'static Unit> {
        if like.dimension.is_number() {
            return vec![like];
        }
        let systems = self.systems();
        let place = self.context.place.as_deref().unwrap_or("");
        let metric = systems.contains(&System::Metric);
        let us = systems.contains(&System::Us);
        let own_speed = self.base.customs.at(place).speed.map(|u| u.names[0]);
        let names: Vec<&str> = match like.names[0] {
            "mm" if fraction => vec!["in"],
            "mm" => [metric.then_some("mm"), us.then_some("mil"), us.then_some("in")].into_iter().flatten().collect(),
            "m/s" if own_speed.is_some() => own_speed.into_iter().collect(),
            "m/s" if !metric => vec!["mph"],
            "m/s" if us => vec!["m/s", "km/h", "mph"],
            "m/s" => vec!["m/s", "km/h"],
            // Where both systems are in use, degrees are Celsius by now, of the weather and of tools.
            "C" if self.base.customs.both_at(place) => vec!["C"],
            "min" if value <= 12.0 => vec!["h", "min"],
            "h" if value >= 10.0 => vec!["h", "min"],
            "%" if value >= 10.0 => vec!["%", "ppm"],
            _ if like.system.is_none() => return vec![like],
            name => {
                let own = find_unit(name).unwrap_or(like);
                return systems.into_iter().map(|s| own.for_system(s)).collect();
            }
        };
        names.into_iter().filter_map(find_unit).collect()
    }

    /// The figures within their bound and within what is possible, as surveys write them; what "about" and the like came to.
    fn bounded(
        self,
        fact: FactId,
        (low, high): (f64, f64),
        unit: &'static Unit,
        said: &Measure,
        range: &Reach,
        whole: bool,
    ) -> Result<(Known, String, Note), String> {
        let (floor, ceiling) = range.bounds().unwrap_or((f64::NEG_INFINITY, f64::INFINITY));
        // Rounded inwards, so that the ends of what is possible stay possible.
        let least = (unit.of_base(floor) * 1e4).ceil() / 1e4;
        let most = (unit.of_base(ceiling) * 1e4).floor() / 1e4;
        let (mut from, mut to, mut note) = (low, high, Note::Plain);
        match (&said.shape, said.bound) {
            (Shape::Many, _) => (to, note) = (most, Note::Many),
            (_, None) => {}
            (_, Some(Bound::About)) => {
                let wide = |v: f64| if unit.dimension == Dimension::TEMPERATURE { ABOUT_DEGREES } else { v.abs() * ABOUT };
                let (a, b) = (wide(low), wide(high));
                (from, to) = if whole { (low - a.ceil().max(1.0), high + b.ceil().max(1.0)) } else { (low - a, high + b) };
                if low >= least && high <= most {
                    (from, to) = (from.max(least), to.min(most));
                }
                note = Note::About;
            }
            (_, Some(Bound::AtLeast)) => (to, note) = (most, Note::AtLeast),
            (_, Some(Bound::Above)) => {
                from = if whole { low.floor() + 1.0 } else { low };
                (to, note) = (most, Note::Above);
            }
            (_, Some(Bound::AtMost)) => (from, note) = (least, Note::AtMost),
            (_, Some(Bound::Below)) => {
                to = if whole { high.ceil() - 1.0 } else { high };
                (from, note) = (least, Note::Below);
            }
        }
        let name = unit.names[0];
        let text = if from == to { format!("{} {name}", figure(from)) } else { format!("{} .. {} {name}", figure(from), figure(to)) };
        let text = text.trim_end().to_owned();
        let known = parse_text(&text, fact, self.base).map_err(|e| e.to_string())?;
        Ok((known, text, note))
    }

    /// How figures read back, with what they come to in the reader's units.
    fn echo(self, known: &Known, unit: &'static Unit, sides: Option<String>, said: &Measure, note: Note) -> String {
        let Known::Num(reach) = known else { return String::new() };
        let Some((low, high)) = reach.bounds() else { return String::new() };
        let other = self.context.system.map(|s| unit.for_system(s)).filter(|u| !std::ptr::eq(*u, unit));
        let span = |u: &Unit| {
            if low == high { quantity::show_in(low, u) } else { format!("{} to {}", bare(low, u), quantity::show_in(high, u)) }
        };
        let one = |base: f64| {
            let other = other.map(|u| format!(" ({})", quantity::show_in(base, u))).unwrap_or_default();
            format!("{}{other}", quantity::show_in(base, unit))
        };
        let value = match note {
            Note::Many => format!("many, taken as {} or more", one(low)),
            Note::AtLeast => format!("{} or more", one(low)),
            Note::Above => format!("more than {}", one(if reach_is_whole(low) && unit.names[0].is_empty() { low - 1.0 } else { low })),
            Note::AtMost => format!("{} or less", one(high)),
            Note::Below => format!("less than {}", one(if unit.names[0].is_empty() { high + 1.0 } else { high })),
            Note::About | Note::Plain => {
                let other = other.map(|u| format!(" ({})", span(u))).unwrap_or_default();
                let about = match (note, &said.shape) {
                    (Note::About, Shape::Span(_, None) | Shape::Product(..)) => format!(
                        "about {}, taken as ",
                        quantity::show_in(unit.to_base(f64::midpoint(unit.of_base(low), unit.of_base(high))), unit)
                    ),
                    (Note::About, _) => "about, taken as ".to_owned(),
                    _ => String::new(),
                };
                format!("{about}{}{other}", span(unit))
            }
        };
        match (sides, &said.shape) {
            (Some(sides), _) => format!("{sides} = {value}"),
            (None, _) => value,
        }
    }
}

/// What a bound came to, for reading back.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Note {
    Plain,
    About,
    AtLeast,
    Above,
    AtMost,
    Below,
    Many,
}

fn reach_is_whole(value: f64) -> bool {
    value.fract() == 0.0
}

/// A figure without its unit, for the first of two.
fn bare(base: f64, unit: &Unit) -> String {
    let shown = quantity::show_in(base, unit);
    shown.strip_suffix(unit.shown).map(|s| s.trim_end().to_owned()).unwrap_or(shown)
}

/// A text as TOML writes it.
pub(super) fn quoted(text: &str) -> String {
    format!("\"{text}\"")
}

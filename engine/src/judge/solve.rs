//! Exact answers about the ways in which rules can apply.
//!
//! Every open variable is cut into cells that no rule tells apart; a way becomes a *box*: for some variables, the set
//! of cells in which it lies. Questions about verdicts are then questions about points outside all boxes.

use super::walk::{Domain, Var, Way};
use crate::reach::{Cut, Reach};

/// The most steps one question may take.
const MOST_STEPS: usize = 20_000;

/// An open variable cut into cells.
#[derive(Debug, Clone)]
pub(crate) struct Variable {
    pub(crate) var: Var,
    pub(crate) chosen: bool,
    pub(crate) burden: f64,
    /// What each cell holds.
    pub(crate) cells: Vec<Domain>,
}

/// A way as sets of cells, by variable.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Boxed {
    /// Which rule and coat it comes from, by place in the list given.
    pub(crate) from: usize,
    pub(crate) sides: Vec<(usize, u128)>,
}

/// A set of cells for each variable.
pub(crate) type Region = Vec<u128>;

/// The boxes of one method on one surface.
#[derive(Debug, Clone, Default)]
pub(crate) struct Boxes {
    pub(crate) variables: Vec<Variable>,
    pub(crate) boxes: Vec<Boxed>,
    /// Whether some variable had more cells than can be told apart.
    pub(crate) too_fine: bool,
}

/// What is asked of a variable when boxes are built.
pub(crate) trait Nature {
    /// Everything the variable can still be.
    fn universe(&self, var: Var) -> Domain;
    /// Whether it is chosen, and its burden.
    fn choice(&self, var: Var) -> (bool, f64);
    /// Whether only whole numbers make sense.
    fn whole(&self, var: Var) -> bool;
}

impl Boxes {
    /// Cuts the variables of some ways into cells.
    pub(crate) fn new<'w>(ways: impl Iterator<Item = (usize, &'w Way)> + Clone, nature: &dyn Nature) -> Self {
        let mut vars: Vec<Var> = Vec::new();
        for (_, way) in ways.clone() {
            for (var, _) in way {
                if !vars.contains(var) {
                    vars.push(*var);
                }
            }
        }
        vars.sort_unstable();
        let mut too_fine = false;
        let variables: Vec<Variable> = vars
            .iter()
            .map(|var| {
                let domains = ways.clone().flat_map(|(_, w)| w.iter().filter(|(v, _)| v == var).map(|(_, d)| d));
                let mut cells = cells(&nature.universe(*var), domains, nature.whole(*var));
                if cells.len() > 128 {
                    too_fine = true;
                    cells.truncate(128);
                }
                let (chosen, burden) = nature.choice(*var);
                Variable { var: *var, chosen, burden, cells }
            })
            .collect();
        let boxes = ways
            .map(|(from, way)| {
                let sides = way
                    .iter()
                    .map(|(var, domain)| {
                        let index = vars.binary_search(var).unwrap_or(0);
                        (index, inside(&variables[index].cells, domain))
                    })
                    .collect();
                Boxed { from, sides }
            })
            .collect();
        Self { variables, boxes, too_fine }
    }

    /// Every cell of every variable.
    pub(crate) fn everything(&self) -> Region {
        self.variables.iter().map(|v| crate::vocabulary::lowest(v.cells.len())).collect()
    }

    /// A region outside all boxes that `keep` lets count, if there is one. `Err` when the bound is reached.
    pub(crate) fn outside(&self, within: &Region, keep: &dyn Fn(&Boxed) -> bool) -> Result<Option<Region>, ()> {
        let mut steps = 0;
        self.dodge(within.clone(), keep, &mut steps)
    }

    fn dodge(&self, region: Region, keep: &dyn Fn(&Boxed) -> bool, steps: &mut usize) -> Result<Option<Region>, ()> {
        *steps += 1;
        if *steps > MOST_STEPS {
            return Err(());
        }
        let hit = self.tightest(&region, keep, &|_| true);
        let Some(hit) = hit else { return Ok(Some(region)) };
        let mut region = region;
        for (variable, set) in &hit.sides {
            let rest = region[*variable] & !set;
            if rest != 0 {
                let mut next = region.clone();
                next[*variable] = rest;
                if let Some(found) = self.dodge(next, keep, steps)? {
                    return Ok(Some(found));
                }
            }
            // From here on the other sides are tried with this one inside the box: nothing is looked at twice.
            region[*variable] &= set;
        }
        Ok(None)
    }

    /// The box that still meets a region and has the fewest sides to leave it by.
    fn tightest(&self, region: &Region, keep: &dyn Fn(&Boxed) -> bool, leaves: &dyn Fn(usize) -> bool) -> Option<&Boxed> {
        self.boxes
            .iter()
            .filter(|b| keep(b) && b.sides.iter().all(|(v, set)| region[*v] & set != 0))
            .min_by_key(|b| b.sides.iter().filter(|(v, set)| leaves(*v) && region[*v] & !set != 0).count())
    }

    /// The least burdensome restriction of chosen variables that leaves every box, whatever the found ones are.
    pub(crate) fn conditions(&self, within: &Region) -> Result<Option<Region>, ()> {
        let mut best: Option<(f64, Region)> = None;
        let mut steps = 0;
        self.restrict(within, within.clone(), &mut best, &mut steps)?;
        Ok(best.map(|(_, region)| region))
    }

    /// The summed burden of what a region asks for beyond another.
    pub(crate) fn burden(&self, region: &Region, within: &Region) -> f64 {
        self.variables.iter().enumerate().filter(|(i, v)| v.chosen && region[*i] != within[*i]).map(|(_, v)| v.burden).sum()
    }

    fn restrict(&self, within: &Region, region: Region, best: &mut Option<(f64, Region)>, steps: &mut usize) -> Result<(), ()> {
        *steps += 1;
        if *steps > MOST_STEPS {
            return if best.is_some() { Ok(()) } else { Err(()) };
        }
        let burden = self.burden(&region, within);
        if best.as_ref().is_some_and(|(b, _)| burden >= *b) {
            return Ok(());
        }
        let hit = self.tightest(&region, &|_| true, &|v| self.variables[v].chosen);
        let Some(hit) = hit else {
            *best = Some((burden, region));
            return Ok(());
        };
        let mut sides: Vec<(usize, u128)> = hit.sides.iter().copied().filter(|(v, _)| self.variables[*v].chosen).collect();
        sides.sort_by(|(a, _), (b, _)| {
            let cost = |v: &usize| if region[*v] == within[*v] { self.variables[*v].burden } else { 0.0 };
            cost(a).total_cmp(&cost(b)).then(a.cmp(b))
        });
        for (variable, set) in sides {
            let rest = region[variable] & !set;
            if rest != 0 {
                let mut next = region.clone();
                next[variable] = rest;
                self.restrict(within, next, best, steps)?;
            }
        }
        Ok(())
    }

    /// A region of found values for which no choice serves, if there is one.
    pub(crate) fn hopeless(&self, within: &Region) -> Result<Option<Region>, ()> {
        let mut steps = 0;
        self.seek_hopeless(within.clone(), &mut steps)
    }

    fn seek_hopeless(&self, region: Region, steps: &mut usize) -> Result<Option<Region>, ()> {
        *steps += 1;
        if *steps > MOST_STEPS / 20 {
            return Err(());
        }
        if self.some_choice(&region)? {
            return Ok(None);
        }
        if self.outside(&region, &|_| true)?.is_none() {
            return Ok(Some(region));
        }
        // Split on the found side that most boxes share.
        let mut best: Option<(usize, usize, u128)> = None;
        for b in &self.boxes {
            if b.sides.iter().any(|(v, set)| region[*v] & set == 0) {
                continue;
            }
            for (v, set) in &b.sides {
                let inside = region[*v] & set;
                if !self.variables[*v].chosen && inside != region[*v] {
                    let shared = self.boxes.iter().filter(|o| o.sides.contains(&(*v, *set))).count();
                    if best.is_none_or(|(n, ..)| shared > n) {
                        best = Some((shared, *v, *set));
                    }
                }
            }
        }
        let Some((_, variable, set)) = best else { return Ok(None) };
        for part in [region[variable] & set, region[variable] & !set] {
            let mut next = region.clone();
            next[variable] = part;
            if let Some(found) = self.seek_hopeless(next, steps)? {
                return Ok(Some(found));
            }
        }
        Ok(None)
    }

    /// Whether one choice serves whatever the found values in a region are.
    pub(crate) fn some_choice(&self, region: &Region) -> Result<bool, ()> {
        let mut steps = 0;
        self.choose(region.clone(), &mut steps)
    }

    fn choose(&self, region: Region, steps: &mut usize) -> Result<bool, ()> {
        *steps += 1;
        if *steps > MOST_STEPS {
            return Err(());
        }
        let Some(hit) = self.tightest(&region, &|_| true, &|v| self.variables[v].chosen) else { return Ok(true) };
        let mut region = region;
        for (variable, set) in hit.sides.iter().filter(|(v, _)| self.variables[*v].chosen) {
            let rest = region[*variable] & !set;
            if rest != 0 {
                let mut next = region.clone();
                next[*variable] = rest;
                if self.choose(next, steps)? {
                    return Ok(true);
                }
            }
            region[*variable] &= set;
        }
        Ok(false)
    }

    /// What a region leaves of a variable.
    pub(crate) fn domain(&self, variable: usize, cells: u128) -> Domain {
        let all = &self.variables[variable].cells;
        let mut picked = (0..all.len()).filter(|i| cells >> i & 1 == 1).map(|i| &all[i]);
        let first = picked.next().cloned().unwrap_or(Domain::Bits(0));
        picked.fold(first, |sum, d| match (sum, d) {
            (Domain::Bits(a), Domain::Bits(b)) => Domain::Bits(a | b),
            (Domain::Num(a), Domain::Num(b)) => Domain::Num(a.or(b)),
            (sum, _) => sum,
        })
    }
}

/// Cuts what a variable can be into pieces that none of the given sets splits.
pub(crate) fn cells<'d>(universe: &Domain, sets: impl Iterator<Item = &'d Domain> + Clone, whole: bool) -> Vec<Domain> {
    match universe {
        Domain::Bits(all) => {
            let mut parts = vec![*all];
            for set in sets {
                let Domain::Bits(set) = set else { continue };
                parts = parts.into_iter().flat_map(|p| [p & set, p & !set]).filter(|p| *p != 0).collect();
            }
            parts.sort_by_key(|p| p.trailing_zeros());
            parts.into_iter().map(Domain::Bits).collect()
        }
        Domain::Num(all) => {
            let mut cuts: Vec<Cut> = Vec::new();
            for reach in sets.filter_map(|d| if let Domain::Num(r) = d { Some(r) } else { None }).chain([all]) {
                cuts.extend(reach.stretches().iter().flat_map(|(low, high)| [*low, *high]));
            }
            cuts.sort();
            cuts.dedup();
            let mut parts = Vec::new();
            for pair in cuts.windows(2) {
                let mut part = Reach::between(pair[0], pair[1]).and(all);
                if whole {
                    part = part.whole();
                }
                if !part.is_empty() {
                    parts.push(Domain::Num(part));
                }
            }
            parts
        }
    }
}

/// The cells that lie in a set.
pub(crate) fn inside(cells: &[Domain], set: &Domain) -> u128 {
    cells.iter().enumerate().fold(0, |bits, (i, cell)| bits | u128::from(!cell.and(set).is_empty()) << i)
}

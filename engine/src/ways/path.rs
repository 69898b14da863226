//! The best sequence of methods through a stack of coats: dynamic programming from the bottom up.
//!
//! Costs are whole numbers compared one after the other, in the order in which the rule book weighs them. Sums of whole
//! numbers keep their order whatever is added to both sides, so that the best way on from a coat does not depend on how one
//! came there: that is what lets the best way be built from its parts.

/// A method that could take part.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Taker {
    /// By coat, from the top: whether it clears it.
    pub clears: Vec<bool>,
    /// What it costs each time it is taken up, in the order in which costs count.
    pub each: Vec<i64>,
    /// By coat, from the top: what it costs to take that coat, in the same order.
    pub coats: Vec<Vec<i64>>,
    /// What comes on top where it takes the coat next to the substrate, in the same order.
    pub ground: Vec<i64>,
}

/// A way down to a depth.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Way {
    /// By coat, from the top: the method, by its place among the takers.
    pub methods: Vec<usize>,
    /// The sums of what the methods and their changes cost.
    pub cost: Vec<i64>,
}

/// What a sequence costs: `methods` by coat from the top, of `coats` in all, and `change` for every change of method. Methods
/// counted here may be any, whether they clear their coats or not.
pub fn cost(takers: &[Taker], methods: &[usize], coats: usize, change: &[i64]) -> Vec<i64> {
    let mut sum = vec![0; change.len()];
    for (coat, method) in methods.iter().enumerate() {
        let taker = &takers[*method];
        if coat == 0 || methods[coat - 1] != *method {
            if coat > 0 {
                add(&mut sum, change);
            }
            add(&mut sum, &taker.each);
        }
        add(&mut sum, &taker.coats[coat]);
        if coat + 1 == coats {
            add(&mut sum, &taker.ground);
        }
    }
    sum
}

fn add(sum: &mut [i64], parts: &[i64]) {
    for (s, p) in sum.iter_mut().zip(parts) {
        *s += p;
    }
}

/// For each method that can begin, the best way to clear `depth` of `coats` coats, if there is one. Of ways that cost the
/// same the one whose methods come first is taken.
pub fn best(takers: &[Taker], coats: usize, depth: usize, change: &[i64]) -> Vec<Option<Way>> {
    let mut below: Vec<Option<Way>> = Vec::new();
    for coat in (0..depth).rev() {
        let here = takers
            .iter()
            .enumerate()
            .map(|(m, taker)| {
                if !taker.clears.get(coat).copied().unwrap_or(false) {
                    return None;
                }
                if coat + 1 == depth {
                    let mut cost = vec![0; change.len()];
                    add(&mut cost, &taker.each);
                    add(&mut cost, &taker.coats[coat]);
                    if depth == coats {
                        add(&mut cost, &taker.ground);
                    }
                    return Some(Way { methods: vec![m], cost });
                }
                let on = below.iter().enumerate().filter_map(|(n, way)| {
                    let mut way = way.clone()?;
                    if n != m {
                        add(&mut way.cost, change);
                        add(&mut way.cost, &taker.each);
                    }
                    add(&mut way.cost, &taker.coats[coat]);
                    Some(way)
                });
                let mut way = on.min_by(|a, b| a.cost.cmp(&b.cost).then(a.methods.cmp(&b.methods)))?;
                way.methods.insert(0, m);
                Some(way)
            })
            .collect();
        below = here;
    }
    below
}

/// Ways to clear `depth` of `coats` coats, cheapest first: every method that takes them all, and for each that can begin and
/// each that can end the best sequence in which some method could not go on alone. Two that take everything are never mixed.
pub fn ways(takers: &[Taker], coats: usize, depth: usize, change: &[i64]) -> Vec<Way> {
    let Some(last) = depth.checked_sub(1) else { return Vec::new() };
    let through = |taker: &Taker| taker.clears.iter().take(depth).all(|c| *c);
    let (whole, some): (Vec<usize>, Vec<usize>) = (0..takers.len()).partition(|m| through(&takers[*m]));
    let alone = whole.iter().map(|m| {
        let methods = vec![*m; depth];
        Way { cost: cost(takers, &methods, coats, change), methods }
    });
    let mut all: Vec<Way> = alone.collect();
    if some.iter().any(|m| takers[*m].clears.iter().take(depth).any(|c| *c)) {
        for end in (0..takers.len()).filter(|e| takers[*e].clears[last]) {
            let mut ending = takers.to_vec();
            for (other, taker) in ending.iter_mut().enumerate() {
                taker.clears[last] = other == end;
            }
            let found = best(&ending, coats, depth, change).into_iter().flatten();
            all.extend(found.filter(|way| way.methods.iter().any(|m| some.contains(m))));
        }
    }
    all.sort_by(|a, b| a.cost.cmp(&b.cost).then(a.methods.cmp(&b.methods)));
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    fn taker(clears: &[u8], each: i64, ground: i64) -> Taker {
        let clears: Vec<bool> = clears.iter().map(|c| *c == 1).collect();
        Taker { coats: vec![vec![0, 0]; clears.len()], clears, each: vec![0, each], ground: vec![0, ground] }
    }

    const CHANGE: [i64; 2] = [1, 0];

    /// By hand, changes counting first: two coats; a takes both at cost 9, b the upper and c the lower at 1 each. One method
    /// beats two whatever they cost; where a cannot take the lower coat, b then c (2) beats a then c (10).
    #[test]
    fn what_comes_first_beats_everything_else() {
        let (b, c) = (taker(&[1, 0], 1, 0), taker(&[0, 1], 1, 0));
        let all = best(&[taker(&[1, 1], 9, 0), b.clone(), c.clone()], 2, 2, &CHANGE);
        assert_eq!(all[0], Some(Way { methods: vec![0, 0], cost: vec![0, 9] }));
        assert_eq!(all[1].as_ref().map(|w| w.cost.clone()), Some(vec![1, 2]));
        let some = best(&[taker(&[1, 0], 9, 0), b, c], 2, 2, &CHANGE);
        assert_eq!(some[0].as_ref().map(|w| w.cost.clone()), Some(vec![1, 10]));
        assert_eq!(some[1].as_ref().map(|w| w.methods.clone()), Some(vec![1, 2]));
        assert_eq!(some[2], None);
    }

    /// What a method does to the substrate counts only where it reaches it.
    #[test]
    fn the_ground_counts_at_the_bottom_only() {
        let harsh = taker(&[1, 1], 0, 7);
        assert_eq!(best(std::slice::from_ref(&harsh), 2, 2, &CHANGE)[0].as_ref().map(|w| w.cost.clone()), Some(vec![0, 7]));
        assert_eq!(best(std::slice::from_ref(&harsh), 2, 1, &CHANGE)[0].as_ref().map(|w| w.cost.clone()), Some(vec![0, 0]));
    }

    /// By hand: a takes both coats, b and c the lower one only. Ways: a alone, a then b, a then c. Two that take everything
    /// are never mixed.
    #[test]
    fn a_second_method_needs_a_reason() {
        let methods = |takers: &[Taker]| ways(takers, 2, 2, &CHANGE).into_iter().map(|w| w.methods).collect::<Vec<_>>();
        let a = taker(&[1, 1], 1, 0);
        assert_eq!(methods(&[a.clone(), taker(&[0, 1], 1, 0), taker(&[0, 1], 0, 0)]), [vec![0, 0], vec![0, 2], vec![0, 1]]);
        assert_eq!(methods(&[a.clone(), a]), [vec![0, 0], vec![1, 1]]);
    }
}

//! The best sequence of methods through a stack of coats: dynamic programming from the bottom up.
//!
//! Costs are whole numbers compared one after the other, first the changes of method, then whatever the rule book weighs.
//! Sums of whole numbers keep their order whatever is added to both sides, so that the best way on from a coat does not
//! depend on how one came there: that is what lets the best way be built from its parts.

/// A method that could take part.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Taker {
    /// By coat, from the top: whether it clears it.
    pub clears: Vec<bool>,
    /// What it costs each time it is taken up, in the order in which costs count.
    pub each: Vec<i64>,
    /// What comes on top where it takes the coat next to the substrate, in the same order.
    pub ground: Vec<i64>,
}

/// A way down to a depth.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Way {
    /// By coat, from the top: the method, by its place among the takers.
    pub methods: Vec<usize>,
    /// Changes of method, then the sums of what the methods cost.
    pub cost: Vec<i64>,
}

/// What a sequence costs: `methods` by coat from the top, of `coats` in all. Methods counted here may be any, whether they
/// clear their coats or not.
pub fn cost(takers: &[Taker], methods: &[usize], coats: usize) -> Vec<i64> {
    let parts = takers.iter().map(|t| t.each.len().max(t.ground.len())).max().unwrap_or(0);
    let mut sum = vec![0; parts + 1];
    for (coat, method) in methods.iter().enumerate() {
        let taken_up = coat == 0 || methods[coat - 1] != *method;
        if taken_up {
            sum[0] += i64::from(coat > 0);
            add(&mut sum, &takers[*method].each);
        }
        if coat + 1 == coats {
            add(&mut sum, &takers[*method].ground);
        }
    }
    sum
}

fn add(sum: &mut [i64], parts: &[i64]) {
    for (s, p) in sum[1..].iter_mut().zip(parts) {
        *s += p;
    }
}

/// For each method that can begin, the best way to clear `depth` of `coats` coats, if there is one. Of ways that cost the
/// same the one whose methods come first is taken.
pub fn best(takers: &[Taker], coats: usize, depth: usize) -> Vec<Option<Way>> {
    let parts = takers.iter().map(|t| t.each.len().max(t.ground.len())).max().unwrap_or(0);
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
                    let mut cost = vec![0; parts + 1];
                    add(&mut cost, &taker.each);
                    if depth == coats {
                        add(&mut cost, &taker.ground);
                    }
                    return Some(Way { methods: vec![m], cost });
                }
                let on = below.iter().enumerate().filter_map(|(n, way)| {
                    let mut way = way.clone()?;
                    if n != m {
                        way.cost[0] += 1;
                        add(&mut way.cost, &taker.each);
                    }
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

#[cfg(test)]
mod tests {
    use super::*;

    fn taker(clears: &[u8], each: &[i64], ground: &[i64]) -> Taker {
        Taker { clears: clears.iter().map(|c| *c == 1).collect(), each: each.to_vec(), ground: ground.to_vec() }
    }

    /// By hand: two coats; a takes both at cost 9, b the upper and c the lower at 1 each. One method beats two whatever they
    /// cost; where a cannot take the lower coat, b then c (2) beats a then c (10).
    #[test]
    fn changes_come_before_everything_else() {
        let (b, c) = (taker(&[1, 0], &[1], &[0]), taker(&[0, 1], &[1], &[0]));
        let all = best(&[taker(&[1, 1], &[9], &[0]), b.clone(), c.clone()], 2, 2);
        assert_eq!(all[0], Some(Way { methods: vec![0, 0], cost: vec![0, 9] }));
        assert_eq!(all[1].as_ref().map(|w| w.cost.clone()), Some(vec![1, 2]));
        let some = best(&[taker(&[1, 0], &[9], &[0]), b, c], 2, 2);
        assert_eq!(some[0].as_ref().map(|w| w.cost.clone()), Some(vec![1, 10]));
        assert_eq!(some[1].as_ref().map(|w| w.methods.clone()), Some(vec![1, 2]));
        assert_eq!(some[2], None);
    }

    /// What a method does to the substrate counts only where it reaches it.
    #[test]
    fn the_ground_counts_at_the_bottom_only() {
        let harsh = taker(&[1, 1], &[0], &[7]);
        assert_eq!(best(std::slice::from_ref(&harsh), 2, 2)[0].as_ref().map(|w| w.cost.clone()), Some(vec![0, 7]));
        assert_eq!(best(std::slice::from_ref(&harsh), 2, 1)[0].as_ref().map(|w| w.cost.clone()), Some(vec![0, 0]));
    }
}

//! Published values, an exhaustive oracle, and an independent check of every certificate.

use super::{Instance, Item, Outcome, Stock, solve};
use crate::cutting::Effort;

fn one_stock(length: u64, items: &[(u64, u64)]) -> Instance {
    Instance {
        stocks: vec![Stock { length, cost: 1, tie: 0, supply: None }],
        items: items.iter().map(|&(length, count)| Item { length, count, kind: 0 }).collect(),
    }
}

fn best(instance: &Instance) -> Outcome {
    let outcome = solve(instance, &Effort { nodes: 20_000, time: None }, &mut |_| true).expect("these can be cut");
    verify(instance, &outcome);
    outcome
}

/// Checks cover, fit, supply, sums and both certificates with code that shares nothing with the solver.
fn verify(instance: &Instance, outcome: &Outcome) {
    let mut made = vec![0; instance.items.len()];
    let mut drawn = vec![0; instance.stocks.len()];
    let (mut cost, mut tie) = (0, 0);
    for pattern in &outcome.patterns {
        let stock = &instance.stocks[pattern.stock];
        let filled: u64 = pattern.uses.iter().map(|&(i, n)| instance.items[i].length * n).sum();
        assert!(filled <= stock.length, "{pattern:?} overfills");
        assert!(pattern.times > 0 && pattern.uses.iter().all(|u| u.1 > 0));
        pattern.uses.iter().for_each(|&(i, n)| made[i] += n * pattern.times);
        drawn[pattern.stock] += pattern.times;
        cost += stock.cost * pattern.times;
        tie += stock.tie * pattern.times;
    }
    assert_eq!(made, instance.items.iter().map(|i| i.count).collect::<Vec<_>>());
    assert!(instance.stocks.iter().zip(&drawn).all(|(s, &d)| s.supply.is_none_or(|u| d <= u)));
    assert_eq!((cost, tie), (outcome.cost, outcome.tie));
    assert!(outcome.bound <= cost && outcome.tie_bound <= tie);
    let certificate = &outcome.certificate;
    assert!(certificate.bound(instance) <= outcome.bound);
    assert!(!outcome.proven || outcome.bound == cost);
    for (certificate, first) in
        std::iter::once((certificate, true)).chain(outcome.tie_certificate.iter().map(|c| (c, false)))
    {
        for (s, stock) in instance.stocks.iter().enumerate() {
            // A plain knapsack, copy by copy.
            let mut value = vec![0_u64; stock.length as usize + 1];
            for (item, &price) in instance.items.iter().zip(&certificate.prices) {
                for _ in 0..item.count.min(stock.length / item.length) {
                    for c in (item.length as usize..value.len()).rev() {
                        value[c] = value[c].max(value[c - item.length as usize] + price);
                    }
                }
            }
            let aim = if first { stock.cost } else { stock.tie };
            let allowed = aim * certificate.scale + certificate.supply_prices[s] + certificate.cost_price * stock.cost;
            assert!(value.last().is_some_and(|&v| v <= allowed), "stock {s} holds more price than it costs");
            assert!(stock.supply.is_some() || certificate.supply_prices[s] == 0);
        }
        assert!(first || certificate.cost_limit <= outcome.cost);
    }
}

#[test]
fn published_values() {
    // Chvatal, Linear Programming (1983), chapter 13.
    let chvatal = best(&one_stock(100, &[(45, 97), (36, 610), (31, 395), (14, 211)]));
    assert_eq!((chvatal.cost, chvatal.proven), (453, true));
    // The worked example of the encyclopedia article on cutting stock: 73 rolls, waste 0.401 %.
    let rolls = [
        (1380, 22),
        (1520, 25),
        (1560, 12),
        (1710, 14),
        (1820, 18),
        (1880, 18),
        (1930, 20),
        (2000, 10),
        (2050, 12),
        (2100, 14),
        (2140, 16),
        (2150, 18),
        (2200, 20),
    ];
    let rolls = best(&one_stock(5600, &rolls));
    assert_eq!((rolls.cost, rolls.proven), (73, true));
    // The roll example of the AMPL book (Fourer, Gay and Kernighan), chapter on column generation.
    let ampl = best(&one_stock(110, &[(20, 48), (45, 35), (50, 24), (55, 10), (75, 8)]));
    assert_eq!((ampl.cost, ampl.proven), (47, true));
    // The column-generation tutorial of JuMP, where 334 was reached without proof: 334 pieces exceed half a stock.
    let jump = [
        (750, 189),
        (538, 33),
        (530, 36),
        (510, 41),
        (502, 35),
        (322, 37),
        (308, 44),
        (298, 49),
        (201, 37),
        (162, 36),
        (145, 42),
        (110, 33),
        (86, 47),
        (82, 35),
        (66, 49),
        (51, 42),
    ];
    let jump = best(&one_stock(1000, &jump));
    assert_eq!((jump.cost, jump.proven), (334, true));
    // Winston, Operations Research (from memory).
    assert_eq!(best(&one_stock(17, &[(3, 25), (5, 20), (9, 15)])).cost, 19);
    assert_eq!(best(&one_stock(15, &[(4, 80), (5, 50), (7, 100)])).cost, 87);
    // The cutting-stock data that comes with MiniZinc.
    assert_eq!(best(&one_stock(10, &[(7, 2), (5, 2), (3, 4)])).cost, 4);
    assert_eq!(best(&one_stock(218, &[(81, 44), (70, 3), (68, 48)])).cost, 35);
    // First-fit decreasing takes 4 stocks of 61 though it takes 3 of 60: the anomaly must not show here.
    let anomaly = [(44, 1), (24, 2), (22, 1), (21, 1), (17, 1), (8, 2), (6, 2)];
    assert_eq!(best(&one_stock(60, &anomaly)).cost, 3);
    assert_eq!(best(&one_stock(61, &anomaly)).cost, 3);
}

#[test]
fn answers_do_not_depend_on_order() {
    let forward = best(&one_stock(100, &[(45, 97), (36, 610), (31, 395), (14, 211)]));
    let backward = best(&one_stock(100, &[(14, 211), (31, 395), (36, 610), (45, 97)]));
    assert_eq!((forward.cost, forward.bound), (backward.cost, backward.bound));
}

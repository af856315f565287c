//! An answer that can be laid out, whenever runs can be made one by one: for where the engine finds none.

use super::exact::Pattern;
use super::model::{Aims, Model};
use super::stock::Offer;

/// Runs (with how many alike) up to which they are put together; more are made alone.
const MOST_RUNS: u64 = 400;
/// Chains that are tried for runs put together.
const TRIES: usize = 8;

/// Patterns that are accepted: every run, longest first, in the open chain that it makes dearer by least. Uses chains
/// without limit only.
pub(super) fn greedy(model: &Model, offer: &Offer, accept: &mut dyn FnMut(&Pattern) -> bool) -> Option<Vec<Pattern>> {
    let mut order: Vec<usize> =
        (0..offer.stocks.len()).filter(|&stock| !model.limits(&offer.stocks[stock].bars)).collect();
    order.sort_by_key(|&stock| (offer.stocks[stock].aims, offer.stocks[stock].capacity));
    let size =
        |uses: &[(usize, u64)]| uses.iter().map(|&(item, count)| model.size(item).saturating_mul(count)).sum::<u64>();
    // The least dear chain that holds these runs.
    let mut place = |uses: &[(usize, u64)], below: Aims, tries: usize| {
        let need = size(uses);
        let fits = order.iter().map(|&stock| (stock, &offer.stocks[stock])).filter(|(_, stock)| stock.capacity >= need);
        let mut dearer = fits.take_while(|(_, stock)| stock.aims < below).take(tries);
        dearer.find_map(|(stock, _)| {
            let pattern = Pattern { stock, uses: uses.to_vec(), times: 1 };
            accept(&pattern).then_some(pattern)
        })
    };
    let any = Aims { first: u64::MAX, second: u64::MAX };
    let runs: u64 = model.items.iter().map(|item| item.count).sum();
    let mut made: Vec<Pattern> = Vec::new();
    for (item, of) in model.items.iter().enumerate() {
        // Many a cheap chain may hold a run by length and yet not be cut into it.
        let alone = place(&[(item, 1)], any, usize::MAX)?;
        if runs > MOST_RUNS {
            made.push(Pattern { times: of.count, ..alone });
            continue;
        }
        for _ in 0..of.count {
            // Dearer by less than a chain of its own.
            let mut best: Option<(Aims, usize, Pattern)> = None;
            for (at, open) in made.iter().enumerate() {
                let paid = offer.stocks[open.stock].aims;
                let below = best.as_ref().map_or(offer.stocks[alone.stock].aims, |best| best.0);
                let below = Aims { first: paid.first + below.first, second: paid.second + below.second };
                let mut uses = open.uses.clone();
                match uses.last_mut() {
                    Some(last) if last.0 == item => last.1 += 1,
                    _ => uses.push((item, 1)),
                }
                if let Some(grown) = place(&uses, below, TRIES) {
                    let aims = offer.stocks[grown.stock].aims;
                    let more = Aims {
                        first: aims.first.saturating_sub(paid.first),
                        second: aims.second.saturating_sub(paid.second),
                    };
                    best = Some((more, at, grown));
                }
            }
            match best {
                Some((_, at, grown)) => made[at] = grown,
                None => made.push(alone.clone()),
            }
        }
    }
    Some(made)
}

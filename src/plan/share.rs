//! Work cut into shares of nearly equal cost.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use crate::deliver::Shard;

/// Which of some pieces of work are in a share, as indices in their order. `cost` and `name` tell
/// of each piece; no two have one name.
///
/// The dearest piece goes first, each to the share that has the least so far ("longest processing
/// time first": R. L. Graham, "Bounds on Multiprocessing Timing Anomalies", 1969, shows that the
/// fullest share is never more than a third over the best possible). It depends on nothing but
/// costs and names, so that every machine, and every retry, finds the same shares.
#[must_use]
pub fn share<T>(
    pieces: &[T],
    shard: Shard,
    cost: impl Fn(&T) -> u64,
    name: impl Fn(&T) -> &str,
) -> Vec<usize> {
    let mut order: Vec<usize> = (0..pieces.len()).collect();
    order.sort_by_key(|index| (Reverse(cost(&pieces[*index])), name(&pieces[*index])));
    let mut shares: BinaryHeap<Reverse<(u64, u32)>> =
        (0..shard.count().get()).map(|share| Reverse((0, share))).collect();
    let mut mine = Vec::new();
    for index in order {
        let Some(Reverse((load, share))) = shares.pop() else { break };
        if share == shard.index() {
            mine.push(index);
        }
        // Even work that costs nothing is spread.
        let more = cost(&pieces[index]).max(1);
        shares.push(Reverse((load.saturating_add(more), share)));
    }
    mine.sort_unstable();
    mine
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    type Piece = (String, u64);

    fn shares(pieces: &[Piece], count: u32) -> Vec<Vec<usize>> {
        (1..=count)
            .map(|number| {
                let shard = format!("{number}/{count}").parse().unwrap();
                share(pieces, shard, |piece| piece.1, |piece| &piece.0)
            })
            .collect()
    }

    proptest! {
        #[test]
        fn every_piece_is_in_one_share_and_shares_are_balanced(
            costs in proptest::collection::vec(1_u64..1_000, 0..200),
            count in 1_u32..20,
        ) {
            let pieces: Vec<Piece> =
                costs.iter().enumerate().map(|(n, cost)| (format!("{n:03}"), *cost)).collect();
            let shares = shares(&pieces, count);
            let mut all: Vec<usize> = shares.concat();
            all.sort_unstable();
            prop_assert_eq!(all, (0..pieces.len()).collect::<Vec<_>>());
            let load = |share: &Vec<usize>| share.iter().map(|piece| costs[*piece]).sum::<u64>();
            let loads: Vec<u64> = shares.iter().map(load).collect();
            // The fullest got its last piece when it had the least.
            let most = loads.iter().max().copied().unwrap_or(0);
            let least = loads.iter().min().copied().unwrap_or(0);
            prop_assert!(most - least <= costs.iter().max().copied().unwrap_or(0));
        }

        #[test]
        fn the_order_in_which_pieces_are_found_does_not_matter(
            costs in proptest::collection::vec(1_u64..5, 1..60),
        ) {
            let pieces: Vec<Piece> =
                costs.iter().enumerate().map(|(n, cost)| (format!("{n:03}"), *cost)).collect();
            let reversed: Vec<Piece> = pieces.iter().rev().cloned().collect();
            let names = |pieces: &[Piece]| -> Vec<Vec<String>> {
                let names = |share: Vec<usize>| {
                    let mut names: Vec<String> =
                        share.into_iter().map(|piece| pieces[piece].0.clone()).collect();
                    names.sort();
                    names
                };
                shares(pieces, 4).into_iter().map(names).collect()
            };
            prop_assert_eq!(names(&pieces), names(&reversed));
        }
    }
}

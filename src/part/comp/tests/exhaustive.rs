//! The search against the definition: every way tried.

use super::{random_chart, steps, style};
use crate::part::comp::candidate::Candidate;
use crate::part::comp::cost::{Cost, of_motion, of_placement};
use crate::part::comp::path::{Step, round};
use crate::random::Stream;

/// The least cost of all ways round, by trying each.
fn least(steps: &[Step], centre: u8) -> Cost {
    let mut ways: Vec<(Cost, &Candidate, &Candidate)> =
        steps[0].candidates.iter().map(|first| (Cost::default(), first, first)).collect();
    for step in &steps[1..] {
        let on = |(cost, first, last): &(Cost, _, &Candidate), next| {
            let more = of_motion(last, next, step.same_chord) + of_placement(next, centre);
            (*cost + more, *first, next)
        };
        ways = ways
            .iter()
            .flat_map(|way| step.candidates.iter().map(move |next| on(way, next)))
            .collect();
    }
    let back = ways.into_iter().map(|(cost, first, last)| {
        cost + of_motion(last, first, steps[0].same_chord) + of_placement(first, centre)
    });
    back.min().unwrap()
}

#[test]
fn the_way_is_as_cheap_as_exhaustive_search_finds_on_1000_charts_of_six_chords() {
    let styles = [style("rootless"), style("shells")];
    let mut random = Stream::named(1, &[&"exhaustive"]);
    for index in 0..1_000 {
        let style = &styles[index % styles.len()];
        let chart = random_chart(&mut random, 6);
        let mut steps = steps(&chart, style);
        // Six to the sixth ways are enough to try.
        for step in &mut steps {
            step.candidates.truncate(6);
        }
        let way = round(&steps, style.centre);
        assert_eq!(way.cost, least(&steps, style.centre), "{chart}");
    }
}

#[test]
fn the_work_grows_in_step_with_the_bars() {
    let style = style("rootless");
    let chart = random_chart(&mut Stream::named(2, &[&"growth"]), 16);
    let pairs =
        |times: usize| round(&steps(&vec![chart.as_str(); times].join("|"), &style), 60).pairs;
    let once = pairs(1);
    for times in [2, 4, 8, 16] {
        assert_eq!(pairs(times), once * times as u64);
    }
}

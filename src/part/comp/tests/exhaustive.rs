//! The search against the definition: every way tried.

use super::{style, timeline};
use crate::part::comp::candidate::{Candidate, Request};
use crate::part::comp::cost::{Cost, of_motion, of_placement};
use crate::part::comp::passage::passages;
use crate::part::comp::path::{Step, round};
use crate::random::Stream;
use crate::style::CompStyle;

const CHORDS: [&str; 16] = [
    "C7", "Dm7", "Ebmaj7", "F#m7b5", "G7b9", "Am6", "Bb13", "B7", "Cm9", "Dbmaj7", "E7alt",
    "Fdim7", "Gsus4", "Ab7#11", "A7", "Bm7",
];

fn steps(text: &str, style: &CompStyle) -> Vec<Step> {
    let timeline = timeline("C", text);
    let chords = passages(&timeline).remove(0).chords;
    let candidates = |index: usize| {
        let harmony = &chords[index].harmony;
        let request = Request { style, harmony, reach: style.reach, ceiling: None };
        let before = &chords[(index + chords.len() - 1) % chords.len()].harmony;
        Step { candidates: request.candidates().0, same_chord: before == harmony }
    };
    (0..chords.len()).map(candidates).collect()
}

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

fn random_chart(random: &mut Stream, length: usize) -> String {
    let chords: Vec<&str> = (0..length).map(|_| CHORDS[random.below(CHORDS.len())]).collect();
    chords.join("|")
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

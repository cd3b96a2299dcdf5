//! The rhythm of bars that announce a key.

use super::style;
use crate::arrange::{BarKind, KeyOrder, Shape, Timeline};
use crate::part::comp::hits::hits;
use crate::part::test_timeline::Case;
use crate::part::{BandPlan, PlayContext};
use crate::units::Ticks;

fn round_the_keys(announce: bool) -> Timeline {
    let shape = Shape::RoundTheKeys { order: KeyOrder::Fourths, announce };
    Case::plain("Dm7 | G7 | C6 | A7", 2).shape(shape).timeline()
}

/// The rhythm of each bar: what the bar is for, and when its hits are, from its start.
fn rhythms(timeline: &Timeline, style_name: &str, seed: u64) -> Vec<(BarKind, Vec<Ticks>)> {
    let hits =
        hits(PlayContext::new(timeline, &BandPlan::level(timeline), seed), &style(style_name));
    let bars = timeline.bars.iter().zip(hits);
    bars.map(|(bar, hits)| {
        let hits = hits.map(|bar| bar.hits).unwrap_or_default();
        (bar.kind, hits.iter().map(|timed| timed.at - bar.start).collect())
    })
    .collect()
}

#[test]
fn an_announcing_bar_has_a_rhythm_of_its_own() {
    let timeline = round_the_keys(true);
    for name in ["rootless", "guide-tones"] {
        let (mut announced, mut same) = (0, 0);
        for seed in 1..=3 {
            let rhythms = rhythms(&timeline, name, seed);
            let pairs = rhythms.windows(2).filter(|pair| pair[0].0 == BarKind::Announce);
            for pair in pairs {
                announced += 1;
                same += usize::from(pair[0].1 == pair[1].1);
            }
        }
        assert_eq!(announced, 33);
        assert!(same < 25, "{name}: {same} of {announced} play the next bar's rhythm");
    }
}

#[test]
fn an_announcement_leaves_the_choruses_as_they_are() {
    let [with, without] = [true, false].map(round_the_keys);
    for name in ["rootless", "pushes", "bossa", "ballad"] {
        for seed in 1..=3 {
            let mut announced = rhythms(&with, name, seed);
            announced.retain(|(kind, _)| *kind != BarKind::Announce);
            assert_eq!(announced, rhythms(&without, name, seed), "{name}, seed {seed}");
        }
    }
}

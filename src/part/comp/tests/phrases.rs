//! Rhythms by phrase, and room for a line.

use std::collections::BTreeSet;

use super::style;
use crate::part::comp::{CompSettings, play, voice};
use crate::part::test_timeline::Case;
use crate::part::{BandPlan, EnergyArc, Note, PartNotes, PlayContext, Stroke};
use crate::performance::{Instrument, Part};
use crate::units::{Ticks, Velocity};

const TUNE: &str = "Cmaj7 | % | Dm7 | G7 | Em7 | A7 | Dm7 | G7";

/// The times of chords, bar by bar, over three choruses, with a line of so many notes a bar.
fn rhythms(seed: u64, line_notes: i64) -> Vec<Vec<i64>> {
    let case = Case::plain(TUNE, 3).seed(seed);
    let timeline = case.timeline();
    let style = style("rootless");
    let voicings = voice(&timeline, &style, &CompSettings::default()).unwrap();
    let notes = timeline.bars.iter().skip(1).flat_map(|bar| {
        (0..line_notes).map(|number| Note {
            at: bar.start + Ticks(number * 480),
            length: Ticks(480),
            pitch: 84,
            velocity: Velocity::clamped(80),
            stroke: Stroke::Full,
            hand: None,
            degree: None,
            variant: 0,
        })
    });
    let line = PartNotes {
        part: Part::Line,
        instrument: Instrument { bank: 0, program: 0 },
        straight: false,
        notes: notes.collect(),
    };
    let heard = (line_notes > 0).then_some(line);
    let plan = BandPlan::of(&timeline, EnergyArc::Level, heard.as_slice());
    let notes = play(PlayContext::new(&timeline, &plan, seed), &style, &voicings).notes;
    let bars = timeline.bars.iter().skip(1);
    bars.map(|bar| {
        let in_bar = notes.iter().filter(|note| (bar.start..bar.end()).contains(&note.at));
        let times: BTreeSet<i64> = in_bar.map(|note| (note.at - bar.start).0).collect();
        times.into_iter().collect()
    })
    .collect()
}

/// "Equal to the bar before in under a quarter of bars; every chorus different, still the same for the
/// same seed."
#[test]
fn bars_rarely_come_twice_in_a_row_and_choruses_differ() {
    let (mut same, mut all) = (0, 0);
    for seed in 0..10 {
        let bars = rhythms(seed, 0);
        assert_eq!(bars, rhythms(seed, 0));
        same += bars.windows(2).filter(|two| two[0] == two[1]).count();
        all += bars.len();
        assert_ne!(bars[..8], bars[8..16]);
        assert_ne!(bars[8..16], bars[16..]);
    }
    assert!(same * 4 < all, "{same} of {all}");
}

/// Room under a busy line: a tenth fewer chords at least; more where it rests than where it is busy.
#[test]
fn the_hand_leaves_room_for_a_busy_line_and_answers_one_that_rests() {
    let count = |line_notes: i64| -> usize {
        (0..10).flat_map(|seed| rhythms(seed, line_notes)).map(|bar| bar.len()).sum()
    };
    let (alone, busy, rests) = (count(0), count(8), count(1));
    assert!(busy * 10 <= alone * 9, "{busy} under a busy line, {alone} alone");
    assert!(rests > alone, "{rests} where it rests, {alone} alone");
}

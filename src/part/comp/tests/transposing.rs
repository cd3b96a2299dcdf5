//! Transposing commutes with comping where the register allows.

use super::{random_chart, steps, style};
use crate::part::comp::candidate::Candidate;
use crate::part::comp::path::{Path, Step, round};
use crate::random::Stream;
use crate::theory::{ChordSymbol, Degree};
use crate::units::MidiPitch;

/// The chart so many semitones higher; names do not matter here, pitch classes do.
fn higher(chart: &str, semitones: i8) -> String {
    let interval = Degree::new(1, semitones).interval();
    let chord = |text: &str| ChordSymbol::parse(text).unwrap().transposed(interval).to_string();
    chart.split('|').map(chord).collect::<Vec<_>>().join("|")
}

/// What the voicings of a path cost, moved by semitones, among another key's candidates; `None`
/// where one of them is not legal there.
fn moved(path: &Path, from: &[Step], to: &[Step], semitones: i16) -> Option<Vec<usize>> {
    let place = |((choice, from), to): ((&usize, &Step), &Step)| {
        let pitches = from.candidates[*choice].pitches.iter();
        let wanted: Vec<MidiPitch> =
            pitches.map(|pitch| pitch.moved(semitones)).collect::<Option<_>>()?;
        let same = |candidate: &Candidate| candidate.pitches == wanted;
        to.candidates.iter().position(same)
    };
    path.choice.iter().zip(from).zip(to).map(place).collect()
}

#[test]
fn a_transposed_chart_moves_its_hands_as_little() {
    for name in ["shells", "rootless", "spread", "stride"] {
        let style = style(name);
        let mut random = Stream::named(4, &[&"transposing", &name]);
        let (mut fitting, mut compared) = (0, 0);
        for _ in 0..60 {
            let chart = random_chart(&mut random, 8);
            for (semitones, down) in [(1, -1), (3, -3), (5, -5)] {
                let here = steps(&chart, &style);
                let there = steps(&higher(&chart, semitones), &style);
                let (way, other) = (round(&here, style.centre), round(&there, style.centre));
                compared += 1;
                let fits = moved(&way, &here, &there, i16::from(semitones)).is_some()
                    && moved(&other, &there, &here, down).is_some();
                if fits {
                    fitting += 1;
                    assert_eq!(way.cost.half_semitones, other.cost.half_semitones, "{chart}");
                }
            }
        }
        assert!(fitting * 4 > compared, "{name}: {fitting} of {compared}");
    }
}

//! Low intervals and minor ninths, against `tests/facts/voicings.tsv`.

use std::collections::BTreeMap;

use countoff::part::comp::{VoicedNote, Voicing};
use countoff::theory::{ChordSymbol, Degree};
use countoff::units::Meter;

use super::Played;
use super::charts::{progressions, random};
use super::every_style::names;

const FACTS: &str = include_str!("../../facts/voicings.tsv");

/// Table C: the lowest bottom note by interval in semitones.
fn lowest_by_interval() -> BTreeMap<u8, u8> {
    let names = [
        "minor 2nd",
        "major 2nd",
        "minor 3rd",
        "major 3rd",
        "perfect 4th",
        "tritone",
        "perfect 5th",
        "minor 6th",
        "major 6th",
        "minor 7th",
        "major 7th",
    ];
    let row = |(semitones, name): (u8, &&str)| {
        let line = FACTS.lines().find(|line| line.starts_with(&format!("{name}\t"))).unwrap();
        let columns: Vec<&str> = line.split('\t').collect();
        // The table doubts its own figure for the tritone and says to use C#2, MIDI 37.
        let doubtful = columns[1].contains("use C#2");
        (semitones, if doubtful { 37 } else { columns[2].parse().unwrap() })
    };
    (1..).zip(&names).map(row).collect()
}

fn check(name: &str, symbol: &ChordSymbol, voicing: &Voicing, root_below: bool) {
    let limits = lowest_by_interval();
    let is_clear = |low: u8, high: u8| limits.get(&(high - low)).is_none_or(|limit| low >= *limit);
    let together = |pair: &&[VoicedNote]| pair[0].group == pair[1].group;
    for pair in voicing.notes.windows(2).filter(together) {
        assert!(is_clear(pair[0].pitch, pair[1].pitch), "{name} {symbol} {:?}", voicing.pitches());
    }
    if root_below {
        let lowest = voicing.notes[0].pitch;
        let root = symbol.bass_note().pitch_class();
        let below = (lowest - 12..lowest).rev().find(|pitch| pitch % 12 == root).unwrap();
        assert!(is_clear(below, lowest), "{name} {symbol} {:?}", voicing.pitches());
    }
    let flat_ninth = Degree::new(9, -1);
    for low in &voicing.notes {
        let mut above = voicing.notes.iter().filter(|high| high.group == low.group);
        if let Some(high) = above.find(|high| high.pitch == low.pitch + 13) {
            assert!(symbol.has(flat_ninth) && high.degree == flat_ninth, "{name} {symbol}");
        }
    }
}

#[test]
fn low_intervals_are_clear_and_no_minor_ninth_sounds_unasked() {
    for name in names() {
        for chart in progressions().into_iter().step_by(2).chain(random(Meter::FourFour, 20)) {
            let played = Played::new(&name, &chart);
            if !played.voicings.warnings.is_empty() {
                continue;
            }
            for (bar, voicings) in played.timeline.bars.iter().zip(&played.voicings.bars) {
                for (slot, voicing) in bar.slots.iter().zip(voicings) {
                    if let (Some(harmony), Some(voicing)) = (&slot.harmony, voicing) {
                        check(&name, &harmony.symbol, voicing, played.style.root_below);
                    }
                }
            }
        }
    }
}

//! What happens where no placement keeps all the rules.

use proptest::prelude::*;

use super::{style, timeline};
use crate::part::comp::{CompSettings, LineSounding, Rule, VoicingWarning, play, voice};
use crate::part::{BandPlan, PlayContext};
use crate::style::{Library, Shelf, Start};
use crate::units::Ticks;

fn given_up(style_name: &str, chord: &str, settings: &CompSettings) -> Vec<Rule> {
    let voicings = voice(&timeline("C", chord), &style(style_name), settings).unwrap();
    assert!(voicings.get(0, 0).is_some_and(|voicing| !voicing.notes.is_empty()));
    match voicings.warnings.as_slice() {
        [] => Vec::new(),
        [VoicingWarning::RulesGivenUp { form_bar: 0, given_up, .. }] => given_up.clone(),
        other => panic!("{other:?}"),
    }
}

/// A line of one note that never ends.
fn held(pitch: u8) -> LineSounding {
    LineSounding { from: Ticks::ZERO, until: Ticks(i64::MAX), pitch }
}

#[test]
fn one_rule_gives_way_where_one_suffices_and_the_line_last_of_all() {
    let under = |pitch| CompSettings { line: vec![held(pitch)], ..CompSettings::default() };
    // E3 G3 B3 D4 lies under Eb4. F3 A3 C4 E4 does not lie under C4, and an octave lower it would
    // be muddy.
    assert_eq!(given_up("rootless", "Cmaj7", &under(63)), []);
    assert_eq!(given_up("rootless", "Dm7", &under(60)), [Rule::AllNotes]);
    assert_eq!(given_up("rootless", "Dm7", &under(20)), [Rule::BelowTheLine]);
    // C4 E4 F4 A4 spans nine semitones.
    let small = CompSettings { reach: Some(8), ..CompSettings::default() };
    assert_eq!(given_up("rootless", "Dm7", &small), [Rule::AllNotes]);
}

#[test]
fn warnings_name_the_bar_the_chord_and_what_was_done() {
    let settings = CompSettings { reach: Some(9), ..CompSettings::default() };
    let voicings = voice(&timeline("C", "Dm7 | G7"), &style("rootless"), &settings).unwrap();
    assert_eq!(
        voicings.warnings.last().unwrap().to_string(),
        "bar 2: no placement of G7 keeps all the rules, so notes that the hand cannot reach are left out"
    );
}

#[test]
fn a_form_that_a_style_has_not_is_told() {
    let settings = CompSettings { start: Some(Start::Seventh), ..CompSettings::default() };
    let voicings = voice(&timeline("C", "Dm7 | G7"), &style("shells"), &settings).unwrap();
    assert_eq!(
        voicings.warnings[0].to_string(),
        "bar 1: Dm7 cannot begin on its 7, so the cheapest form is taken"
    );
}

proptest! {
    /// Whatever is asked, every chord gets notes within the hand, and nothing panics.
    #[test]
    fn nothing_that_is_asked_leaves_a_chord_silent(
        roots in proptest::collection::vec(0_usize..12, 1..6),
        suffix in 0_usize..8,
        reach in 0_u8..40,
        ceiling in proptest::option::of(0_u8..128),
        seed in any::<u64>(),
    ) {
        let names = ["C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"];
        let suffixes = ["", "maj7", "m7b5", "7alt", "sus2", "5", "dim(maj7)", "m11"];
        let chords: Vec<String> =
            roots.iter().map(|root| format!("{}{}", names[*root], suffixes[suffix])).collect();
        let timeline = timeline("C", &chords.join("|"));
        let line = ceiling.map(held).into_iter().collect();
        let settings = CompSettings { reach: Some(reach), line, start: Some(Start::Third) };
        for file in Library::built_in().files(Shelf::Comp) {
            let style = style(&file.name);
            let voicings = voice(&timeline, &style, &settings).unwrap();
            prop_assert!(voicings.bars.iter().flatten().all(Option::is_some));
            let notes = play(PlayContext::new(&timeline, &BandPlan::level(&timeline), seed), &style, &voicings).notes;
            prop_assert!(notes.iter().all(|note| note.length.0 > 0 && note.pitch < 128));
            prop_assert!(!notes.is_empty());
        }
    }
}

//! Rules that hold on every chart.

use super::*;
use crate::arrange::BarKind;

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// "Root on each new chord's first beat"; slash chords play their bass. Where a style leaves it
    /// open, a third or a fifth, but not in the first chorus, nor twice in a row.
    #[test]
    fn every_new_chord_begins_with_its_root_or_written_bass(case in any_case()) {
        let timeline = case.timeline();
        for name in STYLES.keys() {
            let mut was_root = true;
            let notes = notes(&case, name);
            for span in chord_spans(&timeline).iter().filter(|span| span.is_new) {
                let first = full(&notes).find(|note| note.at == span.start);
                let symbol = &span.harmony.symbol;
                let bass = symbol.bass_note().pitch_class();
                let played = first.map(|note| note.pitch % 12);
                let is_root = played == Some(bass);
                let may_leave = style(name).roots < 1.0 && was_root && bass == symbol.root.pitch_class()
                    && timeline.bar(span.start).unwrap().chorus > 0;
                let others = [symbol.third(), symbol.fifth()].into_iter().flatten();
                let is_other = others.map(|degree| symbol.pitch_class(degree)).any(|tone| played == Some(tone));
                prop_assert!(is_root || may_leave && is_other, "{} {:?}", name, span.start);
                was_root = is_root;
            }
        }
    }

    /// Four-string double bass, walking register E1 to G3 (`tests/facts/practice.tsv`); N.C. and
    /// the count-in are silent, notes are in order, one at a time.
    #[test]
    fn the_bass_plays_one_note_at_a_time_in_its_range_and_rests_with_the_chart(case in any_case()) {
        let timeline = case.timeline();
        let spans = chord_spans(&timeline);
        for name in STYLES.keys() {
            let notes = notes(&case, name);
            for note in &notes {
                prop_assert!((28..=55).contains(&note.pitch), "{} {:?}", name, note);
                prop_assert!(note.length > Ticks::ZERO);
                prop_assert!(chord_at(&spans, note.at).is_some(), "{} sounds in a rest", name);
                let last = Ticks((note.at + note.length).0 - 1);
                prop_assert!(note.stroke == Stroke::Ghost || chord_at(&spans, last).is_some());
            }
            for pair in notes.windows(2) {
                prop_assert!(pair[0].at + pair[0].length <= pair[1].at, "{} {:?}", name, pair);
            }
        }
    }

    /// "Later bars of a held chord start on any chord tone."
    #[test]
    fn later_bars_of_a_held_chord_begin_on_a_chord_tone(case in any_case()) {
        let timeline = case.timeline();
        let spans = chord_spans(&timeline);
        let notes = notes(&case, "walking");
        for bar in timeline.bars.iter().filter(|bar| bar.kind == BarKind::Chorus) {
            let Some(span) = chord_at(&spans, bar.start).filter(|span| !span.is_new) else { continue };
            // With one beat left of the chord, leading on comes first.
            if span.end - span.start <= timeline.bars[0].meter.beat() {
                continue;
            }
            let first = full(&notes).find(|note| note.at == bar.start).unwrap();
            let tones = span.harmony.symbol.pitch_classes();
            prop_assert!(tones.contains(&(first.pitch % 12)), "{} {:?}", span.harmony.symbol, first);
        }
    }

    /// "The beat before a change is a half step, scale step or fifth from the next root" (or from what
    /// stands in its place).
    #[test]
    fn the_beat_before_a_change_leads_to_the_next_root(case in any_case()) {
        let timeline = case.timeline();
        let spans = chord_spans(&timeline);
        let notes = notes(&case, "walking");
        for pair in spans.windows(2).filter(|pair| pair[1].is_new && pair[0].end == pair[1].start) {
            let root = full(&notes).find(|note| note.at == pair[1].start).unwrap();
            let before = full(&notes).rfind(|note| note.at < pair[1].start).unwrap();
            // Where chords change on every beat, the beat before is a root itself.
            if before.at == pair[0].start && pair[0].is_new {
                continue;
            }
            let interval = i16::from(before.pitch) - i16::from(root.pitch);
            let in_a_scale = pair.iter().any(|span| span.tones.scale.contains(before.pitch));
            let leads = matches!(interval, -1 | 1 | 7 | -5) || (interval.abs() == 2 && in_a_scale);
            prop_assert!(leads, "{} to {}: {}", pair[0].harmony.symbol, pair[1].harmony.symbol, interval);
        }
    }

    /// "No degree pattern fills more than two successive bars", where there is a choice: bars
    /// with a chord on every beat have none, nor has the one note of a held chord between a bar line
    /// and a change, which must be a chord tone and lead on.
    #[test]
    fn no_pattern_of_degrees_fills_three_bars(case in any_case()) {
        let timeline = case.timeline();
        let spans = chord_spans(&timeline);
        let notes = notes(&case, "walking");
        let patterns: Vec<Option<Vec<u8>>> = timeline.bars.iter().map(|bar| {
            let end = bar.start + bar.meter.bar();
            let in_bar: Vec<&Note> =
                full(&notes).filter(|note| (bar.start..end).contains(&note.at)).collect();
            let begins = |note: &Note| spans.iter().any(|s| s.is_new && s.start == note.at);
            let squeezed = |at: usize| at == 0 && in_bar.get(1).is_some_and(|next| begins(next));
            let is_free = |(at, note): (usize, &&Note)| !begins(note) && !squeezed(at);
            let choice = in_bar.iter().enumerate().any(is_free);
            let degrees = in_bar.iter().map(|note| {
                let root = chord_at(&spans, note.at).unwrap().harmony.symbol.root.pitch_class();
                (note.pitch + 12 - root) % 12
            });
            choice.then(|| degrees.collect())
        }).collect();
        for three in patterns.windows(3) {
            let same = three[0].is_some() && three[0] == three[1] && three[1] == three[2];
            prop_assert!(!same, "{:?}", three);
        }
    }

    /// Slow and fast versions of a track have the same notes.
    #[test]
    fn the_tempo_changes_nothing(case in any_case()) {
        let slow = case.clone().tempo(40.0);
        let fast = case.tempo(300.0);
        for name in STYLES.keys() {
            prop_assert_eq!(notes(&slow, name), notes(&fast, name));
        }
    }

    /// Muted notes lie where our SoundFont has its muted note: velocity 36 at most. Trade
    /// practice: 35 to 55 per cent of the main note, on the swung off-beat.
    #[test]
    fn ghosts_are_soft_and_off_the_beat(case in any_case()) {
        for name in STYLES.keys() {
            let notes = notes(&case, name);
            let main = full(&notes).map(|note| note.velocity.get()).max().unwrap_or(0);
            for ghost in notes.iter().filter(|note| note.stroke == Stroke::Ghost) {
                let velocity = ghost.velocity.get();
                prop_assert!(velocity <= 36);
                prop_assert!(u16::from(velocity) * 100 >= u16::from(main) * 34);
                let beat = case.meter.beat();
                prop_assert!(ghost.at.0 % beat.min(Ticks::QUARTER).0 != 0 || case.meter == Meter::SixEight);
            }
        }
    }

    /// A loop leads back to its own first note.
    #[test]
    fn a_loop_leads_back_to_its_beginning(case in any_case()) {
        let case = case.shape(Shape::Loop);
        let timeline = case.timeline();
        let spans = chord_spans(&timeline);
        let notes = notes(&case, "walking");
        let (Some(first), Some(last)) = (full(&notes).next(), full(&notes).last()) else {
            return Ok(());
        };
        let leads_on = first.at == Ticks::ZERO
            && spans.last().is_some_and(|span| span.end == timeline.end)
            && spans.iter().all(|span| !span.is_new || span.start != last.at);
        if leads_on {
            let interval = i16::from(last.pitch) - i16::from(first.pitch);
            prop_assert!(matches!(interval, -2 | -1 | 1 | 2 | 7 | -5), "{}", interval);
        }
    }
}

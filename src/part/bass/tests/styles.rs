//! What each style is, on plain charts.

use super::*;

const BLUES: &str = "F7 | Bb7 | F7 | % | Bb7 | Bdim7 | F7 | D7alt | Gm7 | C7 | F7 D7 | Gm7 C7";
const CADENCE: &str = "Am7b5 | D7b9 | Gm6 | % | Cm7 F7 | Bbmaj7 | Am7b5 D7b9 | Gm6";

/// For each bar of a chart with one chord a bar, at 4/4: the quarters after its start and the
/// degrees of its full notes, in semitones above the root.
fn degrees_by_bar(chart: &str, name: &str, seed: u64) -> Vec<Vec<(i64, u8)>> {
    let case = Case::plain(chart, 2).seed(seed);
    let timeline = case.timeline();
    let spans = chord_spans(&timeline);
    let notes = notes(&case, name);
    let bars = timeline.bars.iter().skip(1);
    bars.map(|bar| {
        let end = bar.start + bar.meter.bar();
        let in_bar = full(&notes).filter(|note| (bar.start..end).contains(&note.at));
        in_bar
            .map(|note| {
                let root = chord_at(&spans, note.at).unwrap().tones.root;
                ((note.at - bar.start).0, (note.pitch + 12 - root) % 12)
            })
            .collect()
    })
    .collect()
}

#[test]
fn two_feel_is_half_notes_root_then_fifth() {
    for seed in 0..20 {
        for bar in degrees_by_bar("Cmaj7 | Am7 | Dm7 | G7", "two-feel", seed) {
            let halves: Vec<_> = bar.iter().filter(|(at, _)| at % 1920 == 0).collect();
            assert_eq!(halves, [&(0, 0), &(1920, 7)]);
        }
    }
    let fifth_of_half_diminished = &degrees_by_bar("Am7b5 | D7", "two-feel", 1)[0][1];
    assert_eq!(fifth_of_half_diminished, &(1920, 6), "the chord's own fifth: E flat");
}

#[test]
fn skip_notes_are_occasional() {
    let case = Case::plain(BLUES, 20).seed(5);
    for name in ["two-feel", "walking"] {
        let notes = notes(&case, name);
        let ghosts = notes.iter().filter(|note| note.stroke == Stroke::Ghost).count();
        let bars = case.timeline().bars.len();
        assert!(ghosts * 10 > bars && ghosts * 2 < bars, "{ghosts} ghosts in {bars} bars");
    }
}

#[test]
fn root_fifth_is_root_fifth_root_and_a_note_that_leads_on() {
    let mut leads_on = 0;
    for seed in 0..20 {
        for bar in degrees_by_bar("Cmaj7 | Am7 | Dm7 | G7", "root-fifth", seed) {
            assert_eq!(bar[..3], [(0, 0), (960, 7), (1920, 0)]);
            leads_on += usize::from(bar[3] != (2880, 7));
        }
    }
    assert!(leads_on > 60, "{leads_on} of 160 bars lead on");
}

#[test]
fn bossa_is_dotted_quarters_and_eighths_in_even_eighths() {
    let style = style("bossa");
    assert!(style.straight);
    for bar in degrees_by_bar("Cmaj7 | Am7 | Dm7 | G7", "bossa", 3) {
        let without_optional: Vec<_> = bar.into_iter().filter(|(at, _)| *at != 1440).collect();
        assert_eq!(without_optional[..2], [(0, 0), (1920, 7)]);
        assert_eq!(without_optional[2].0, 3360, "the last eighth is the root or leads on");
    }
}

#[test]
fn waltz_has_the_root_on_one_and_room_after_it() {
    let case = Case::plain("Cmaj7 | Am7 | Dm7 | G7", 8).meter(Meter::ThreeFour).seed(2);
    let timeline = case.timeline();
    let notes = notes(&case, "waltz");
    let mut by_count = [0; 4];
    for bar in timeline.bars.iter().skip(1) {
        let end = bar.start + bar.meter.bar();
        let in_bar: Vec<_> =
            full(&notes).filter(|note| (bar.start..end).contains(&note.at)).collect();
        assert_eq!(in_bar[0].at, bar.start);
        by_count[in_bar.len().min(3)] += 1;
    }
    assert!(by_count[1] > 0 && by_count[2] > 0 && by_count[3] > 0, "{by_count:?}");
}

/// "Good contour, few repeated notes; centre of gravity under D3."
#[test]
fn walking_goes_mostly_by_step_and_stays_low() {
    for chart in [BLUES, CADENCE] {
        for seed in 0..10 {
            let notes = notes(&Case::plain(chart, 10).seed(seed), "walking");
            let pitches: Vec<u8> = full(&notes).map(|note| note.pitch).collect();
            let moves: Vec<u8> = pitches.windows(2).map(|pair| pair[0].abs_diff(pair[1])).collect();
            let share = |least: u8, most: u8| {
                moves.iter().filter(|by| (least..=most).contains(*by)).count() * 100 / moves.len()
            };
            assert!(share(0, 0) <= 12, "repeats: {} %", share(0, 0));
            assert!(share(1, 2) >= 50, "steps: {} %", share(1, 2));
            assert!(share(8, 12) <= 6, "wide leaps: {} %", share(8, 12));
            assert_eq!(share(13, 127), 0);
            let sum: usize = pitches.iter().map(|pitch| usize::from(*pitch)).sum();
            let mean = sum / pitches.len();
            assert!((36..50).contains(&mean), "centre of gravity {mean}");
            let spread = pitches.iter().max().unwrap() - pitches.iter().min().unwrap();
            assert!(spread >= 12, "a line that moves through its register: {spread}");
        }
    }
}

/// Two chords a bar: targets on 1 and 3, approaches on 2 and 4 (Fitzgerald, Walking Bass Line
/// Theory Basics).
#[test]
fn two_chords_a_bar_have_targets_on_one_and_three() {
    let bars = degrees_by_bar("Dm7 G7 | Cmaj7 A7", "walking-roots", 4);
    for bar in bars {
        assert_eq!(bar.iter().map(|(at, _)| *at).collect::<Vec<_>>(), [0, 960, 1920, 2880]);
        assert_eq!((bar[0].1, bar[2].1), (0, 0));
    }
}

#[test]
fn choruses_and_seeds_differ() {
    let bars = CADENCE.split('|').count();
    let line = |seed| {
        let notes = notes(&Case::plain(CADENCE, 2).seed(seed), "walking");
        full(&notes).map(|note| note.pitch).collect::<Vec<u8>>()
    };
    let first = line(1);
    assert_ne!(first[..bars * 4], first[bars * 4..]);
    assert_ne!(first, line(2));
    assert_eq!(first, line(1));
}

#[test]
fn the_ending_is_a_held_root_or_a_short_one() {
    for (ending, length) in [(Ending::Held, 3840), (Ending::Short, 480)] {
        let notes = notes(&Case::plain("Dm7 | G7 | Cmaj7 | %", 1).ending(ending), "walking");
        let last = notes.last().unwrap();
        assert_eq!((last.pitch % 12, last.length), (0, Ticks(length)));
    }
}

/// Most changes have their root (70 to 88 in a hundred after the first chorus: from memory), all of
/// them in the first chorus and in the beginners' style.
#[test]
fn walking_begins_most_chords_on_their_root_and_beginners_hear_all() {
    let roots = |name: &str, chorus: u32| {
        let (mut roots, mut changes) = (0, 0);
        for (chart, seed) in
            [BLUES, CADENCE].into_iter().flat_map(|chart| (0..10).map(move |seed| (chart, seed)))
        {
            let case = Case::plain(chart, 3).seed(seed);
            let timeline = case.timeline();
            let notes = notes(&case, name);
            let of_chorus = |span: &&ChordSpan| {
                let bar = timeline.bar(span.start).unwrap();
                span.is_new && bar.chorus == chorus
            };
            for span in chord_spans(&timeline).iter().filter(of_chorus) {
                let first = full(&notes).find(|note| note.at == span.start).unwrap();
                changes += 1;
                roots += usize::from(span.tones.target.contains(first.pitch));
            }
        }
        roots * 100 / changes
    };
    assert_eq!(roots("walking", 0), 100);
    for chorus in [1, 2] {
        assert!((70..=88).contains(&roots("walking", chorus)), "{} %", roots("walking", chorus));
        assert_eq!(roots("walking-roots", chorus), 100);
    }
}

/// A leap into a note foreign to the scale resolves by half step (common practice).
#[test]
fn no_leap_into_a_foreign_note_is_left_hanging() {
    for (chart, seed) in
        [BLUES, CADENCE].into_iter().flat_map(|chart| (0..10).map(move |seed| (chart, seed)))
    {
        let case = Case::plain(chart, 3).seed(seed);
        let spans = chord_spans(&case.timeline());
        let notes = notes(&case, "walking");
        let pitches: Vec<&Note> = full(&notes).collect();
        for three in pitches.windows(3) {
            let scale = chord_at(&spans, three[1].at).unwrap().tones.scale;
            let leaps = three[0].pitch.abs_diff(three[1].pitch) >= 3;
            if leaps && !scale.contains(three[1].pitch) {
                assert_eq!(three[1].pitch.abs_diff(three[2].pitch), 1, "{three:?}");
            }
        }
    }
}

#[test]
fn a_pedal_point_is_one_note_held_to() {
    let bars = degrees_by_bar("Dm7/A G7/A | Dm7/A G7/A | Dm7 | G7", "two-feel", 1);
    let notes = notes(&Case::plain("Dm7/A G7/A | Dm7/A G7/A | Dm7 | G7", 1), "walking");
    let pedal: Vec<u8> = full(&notes)
        .filter(|note| note.at.0 < 3 * 3840 && note.at.0 % 1920 == 0)
        .map(|note| note.pitch)
        .collect();
    assert!(pedal.windows(2).all(|two| two[0] == two[1]), "{pedal:?} {bars:?}");
}

/// A line is louder where it is higher (from memory), and uses an octave and a half and more.
#[test]
fn walking_grows_louder_as_it_climbs_through_its_register() {
    for seed in 0..5 {
        let notes = notes(&Case::plain(BLUES, 3).seed(seed), "walking");
        let top = full(&notes).max_by_key(|note| note.pitch).unwrap();
        let bottom = full(&notes).min_by_key(|note| note.pitch).unwrap();
        assert!(top.pitch - bottom.pitch >= 19, "{} to {}", bottom.pitch, top.pitch);
        assert!(top.velocity > bottom.velocity);
    }
}

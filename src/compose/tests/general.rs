//! Rules that hold for all lines.

use crate::compose::{Composed, Request, compose};
use crate::melody::Technique;

use super::charts::any_form;
use super::observed::Observed;
use super::{charts, over_many_charts};

#[test]
fn one_note_at_a_time_within_range_and_form() {
    over_many_charts(&Technique::ALL, |line| {
        let mut wrong = Vec::new();
        for pair in line.line.notes.windows(2) {
            if pair[0].at + pair[0].length > pair[1].at {
                wrong.push(format!("two notes at {}", pair[1].at.quarters()));
            }
        }
        for note in &line.line.notes {
            if !Request::RANGE.contains(&note.pitch) || note.length.0 <= 0 {
                wrong.push(format!("{note:?}"));
            }
            if note.at + note.length > line.form.length() {
                wrong.push("the last note goes on after the form".to_owned());
            }
        }
        wrong
    });
}

#[test]
fn every_line_ends_on_a_chord_tone_of_its_last_chord() {
    over_many_charts(&Technique::ALL, |line| {
        let last_chord = line.form.spans.iter().rfind(|span| span.harmony.is_some());
        match (line.notes.last(), last_chord) {
            (Some(last), Some(chord)) => {
                let on_it = last.piece.span.end() == chord.end();
                let ends = on_it && last.is_chord_tone();
                if ends { vec![] } else { vec!["the end".to_owned()] }
            }
            (None, None) => vec![],
            _ => vec!["no line".to_owned()],
        }
    });
}

#[test]
fn leaps_are_within_the_octave_and_not_three_in_a_row() {
    over_many_charts(&Technique::ALL, |line| {
        let mut wrong = Vec::new();
        let mut row = 0_i32;
        for pair in line.notes.windows(2) {
            let interval = i32::from(pair[1].pitch()) - i32::from(pair[0].pitch());
            if interval.abs() > 12 {
                wrong.push(format!("{interval} at {}", pair[1].at().quarters()));
            }
            let exempt = pair.iter().any(|note| note.technique().is_arpeggio_or_stack());
            row = match interval {
                -4..=4 => 0,
                _ if exempt => 0,
                _ if interval.signum() * row.signum() > 0 => row + interval.signum(),
                _ => interval.signum(),
            };
            if row.abs() > 2 {
                wrong.push(format!("three leaps up to {}", pair[1].at().quarters()));
            }
        }
        wrong
    });
}

#[test]
fn no_bar_is_heard_more_than_three_times() {
    over_many_charts(&Technique::ALL, too_often);
}

/// A long stretch of one chord is where a line would go round in circles.
#[test]
fn lines_over_one_chord_do_not_go_round_in_circles() {
    let form =
        charts::form("| Dm7 | % | % | % | % | % | % | % | % | % | % | % | % | % | % | % |", "C");
    for technique in Technique::ALL {
        let line = compose(&form, &Request::of(technique, 3));
        assert_eq!(too_often(&Observed::of(&form, &line)), Vec::<String>::new(), "{technique}");
    }
}

fn too_often(line: &Observed) -> Vec<String> {
    let of_bar = |bar: i64| -> Vec<(i64, u8)> {
        let notes = line.notes.iter().filter(|n| line.form.bar_number(n.at()) == bar);
        notes.map(|n| (n.at().0 % line.form.meter.bar().0, n.pitch())).collect()
    };
    let bars: Vec<_> = (1..=i64::try_from(line.form.bars).unwrap()).map(of_bar).collect();
    let often = bars
        .iter()
        .filter(|bar| bar.len() > 1 && bars.iter().filter(|other| other == bar).count() > 3);
    often.map(|bar| format!("{bar:?} is heard too often")).collect()
}

/// On chords shorter than two beats there is no room for a technique.
#[test]
fn short_chords_take_their_own_tones() {
    over_many_charts(&Technique::ALL, |line| {
        let short = line.notes.iter().filter(|note| note.is_short(line.form));
        short
            .filter(|note| !note.is_chord_tone())
            // A group that leads into the chord before it ends on it.
            .map(|note| format!("{} at {}", note.pitch(), note.at().quarters()))
            .collect()
    });
}

#[test]
fn the_same_seed_gives_the_same_line() {
    for technique in Technique::ALL {
        let form = any_form(5);
        let once: Composed = compose(&form, &Request::of(technique, 9));
        assert_eq!(once, compose(&form, &Request::of(technique, 9)));
    }
}

/// Where the chords are the key's and last a bar, nothing falls back.
#[test]
fn plain_cadences_need_no_fallback() {
    for (text, key) in [
        ("| Dm7 | G7 | Cmaj7 | % |", "C"),
        ("| Cm7 | F7 | Bbmaj7 | Ebmaj7 | Am7b5 | D7b9 | Gm6 | % |", "Gm"),
        ("| Dm7 G7 | Em7 A7 | Dm7 G7 | C6 |", "C"),
    ] {
        let form = charts::form(text, key);
        for technique in Technique::ALL {
            for seed in 0..12 {
                let line = compose(&form, &Request::of(technique, seed));
                let avoidable = line.fallbacks.iter().filter(|fallback| {
                    let reason = fallback.reason;
                    reason == crate::melody::FallbackReason::NoWay
                });
                assert_eq!(avoidable.count(), 0, "{technique} {text} {:?}", line.fallbacks);
            }
        }
    }
}

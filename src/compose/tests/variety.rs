//! Different lines, mixed lines, lines in some bars, lines moved against the bar.

use std::collections::BTreeSet;

use crate::compose::{Request, Rhythm, Share, compose};
use crate::melody::Technique;
use crate::units::Ticks;

use super::charts::form;
use super::observed::Observed;

#[test]
fn of_a_hundred_seeds_ninety_lines_differ() {
    let form = form("| Dm7 | G7 | Cmaj7 | % |", "C");
    for technique in Technique::ALL {
        let lines: BTreeSet<Vec<u8>> = (0..100)
            .map(|seed| {
                let line = compose(&form, &Request::of(technique, seed));
                line.notes.iter().map(|note| note.pitch).collect()
            })
            .collect();
        assert!(lines.len() >= 90, "{technique}: {} of 100", lines.len());
    }
}

fn share(technique: Technique, weight: f64) -> Share {
    Share { technique, weight, bars: Vec::new() }
}

#[test]
fn mixed_techniques_all_take_part_by_their_weights() {
    let form = form("| Dm7 | G7 | Cmaj7 | A7 | Dm7 | G7 | Cmaj7 | % |", "C");
    let mut runs = 0;
    let mut enclosures = 0;
    for seed in 0..40 {
        let techniques = vec![share(Technique::ScaleRuns, 3.0), share(Technique::Enclosures, 1.0)];
        let request = Request { techniques, ..Request::of(Technique::Blues, seed) };
        for piece in compose(&form, &request).pieces {
            match piece.assignment.technique {
                Technique::ScaleRuns => runs += 1,
                Technique::Enclosures => enclosures += 1,
                other => panic!("{other}"),
            }
        }
    }
    // Three to one, of 320: 240 give or take four standard deviations (7.7 each).
    assert!((210..=270).contains(&runs), "{runs} to {enclosures}");
}

#[test]
fn techniques_keep_to_their_bars_and_other_bars_rest() {
    let form = form("| Dm7 | G7 | Cmaj7 | % |", "C");
    let only = Share { bars: vec![1..=1, 3..=3], ..share(Technique::TriadPairs, 1.0) };
    let request = Request { techniques: vec![only], ..Request::of(Technique::Blues, 4) };
    let line = compose(&form, &request);
    let bars: BTreeSet<i64> = line.notes.iter().map(|note| form.bar_number(note.at)).collect();
    assert_eq!(bars, BTreeSet::from([1, 3]));
}

#[test]
fn a_displaced_line_is_the_same_line_later() {
    let form = form("| Dm7 | G7 | Cmaj7 | % |", "C");
    for technique in Technique::ALL {
        for eighths in 1..=3_u8 {
            let request = Request::of(technique, 8);
            let plain = compose(&form, &request);
            let moved = compose(&form, &Request { displace: eighths, ..request });
            let later = Ticks::EIGHTH * i64::from(eighths);
            let heard = |notes: &[crate::compose::ComposedNote], by: Ticks| -> Vec<(Ticks, u8)> {
                notes.iter().map(|note| (note.at + by, note.pitch)).collect()
            };
            assert_eq!(heard(&plain.notes, later), heard(&moved.notes, Ticks::ZERO));
            let last = Observed::of(&form, &moved).notes.last().copied().unwrap();
            assert!(last.is_chord_tone() && last.note.at + last.note.length <= form.length());
        }
    }
}

#[test]
fn a_narrow_range_is_widened_and_kept() {
    let form = form("| Dm7 | G7 | Cmaj7 | % |", "C");
    for technique in Technique::ALL {
        let line = compose(&form, &Request { range: 70..=72, ..Request::of(technique, 1) });
        assert!(line.notes.iter().all(|note| (70..=88).contains(&note.pitch)), "{technique}");
    }
}

/// Plain eighth notes breathe with the four bars, and on a chord tone.
#[test]
fn long_forms_breathe() {
    let form = form("| Dm7 | G7 | Cmaj7 | A7 | Dm7 | G7 | Cmaj7 | % |", "C");
    for technique in Technique::ALL {
        let request = Request { rhythm: Rhythm::PlainEighths, ..Request::of(technique, 1) };
        let line = compose(&form, &request);
        let observed = Observed::of(&form, &line);
        let held = observed.notes.iter().find(|note| note.at() == Ticks(3 * 3840 + 1920)).unwrap();
        assert!(held.is_chord_tone() && observed.next(held).is_none(), "{technique}");
    }
}

/// A line lands on chord tones: on every long note, and before every rest.
#[test]
fn phrases_end_on_chord_tones() {
    super::over_many_charts(&Technique::ALL, |line| {
        let landings = line.notes.iter().filter(|note| note.lands && !note.is_chord_tone());
        landings.map(|note| format!("{} at {}", note.pitch(), note.at().quarters())).collect()
    });
}

//! Rules of the techniques that go note by note.

use crate::melody::{Role, Technique, outline_tones};
use crate::theory::{Quality, Scale};

use super::observed::{Note, Observed};
use super::over_many_charts;

const ON_STRONG_BEATS: [Technique; 6] = [
    Technique::ScaleRuns,
    Technique::ChordOutlines,
    Technique::LowerNeighbours,
    Technique::UpperNeighbours,
    Technique::Enclosures,
    Technique::DoubleApproaches,
];

fn told(notes: impl Iterator<Item = String>) -> Vec<String> {
    notes.collect()
}

fn place(note: &Note) -> String {
    format!("{} at {}: {}", note.pitch(), note.at().quarters(), note.note.role)
}

#[test]
fn strong_beats_have_chord_tones_or_delay_them_by_an_eighth() {
    over_many_charts(&ON_STRONG_BEATS, |line| {
        let strong = line
            .notes
            .iter()
            .filter(|note| note.strong && ON_STRONG_BEATS.contains(&note.technique()));
        let wrong = strong.filter(|note| {
            let delays = matches!(
                note.note.role,
                Role::Neighbour { .. } | Role::Enclosure { .. } | Role::Approach { .. }
            );
            let target_is_next = line.next(note).is_some_and(Note::is_chord_tone);
            !(note.is_chord_tone() || delays && target_is_next)
        });
        told(wrong.map(place))
    });
}

#[test]
fn scale_runs_are_diatonic_and_skip_by_chord_tones_only() {
    over_many_charts(&[Technique::ScaleRuns], |line| {
        let mut wrong = Vec::new();
        for piece in line.pieces(Technique::ScaleRuns) {
            wrong
                .extend(piece.iter().filter(|n| !n.is_in_scale() && !n.is_chord_tone()).map(place));
            for note in piece {
                let Some(before) = line.before(note).filter(|_| !note.rested) else { continue };
                let interval = note.pitch().abs_diff(before.pitch());
                let chord_tones = note.is_chord_tone() && before.is_chord_tone();
                let (root, scale) = note.piece.assignment.material.scale().unwrap();
                let scale = super::observed::published(scale.name, root);
                let (low, high) =
                    (note.pitch().min(before.pitch()), note.pitch().max(before.pitch()));
                let between = (low + 1..high).any(|pitch| scale.contains(&(pitch % 12)));
                if interval > 2 && !chord_tones && between {
                    wrong.push(format!("a skip to {}", place(note)));
                }
            }
        }
        wrong
    });
}

#[test]
fn outlines_are_chord_tones_up_to_the_ninth() {
    over_many_charts(&[Technique::ChordOutlines], |line| {
        let outside = line.notes.iter().filter(|note| {
            let outline = outline_tones(note.harmony);
            assert!(outline.iter().all(|degree| degree.number <= 9));
            !outline.iter().any(|&d| note.harmony.pitch_class(d) == note.pitch() % 12)
        });
        told(outside.map(place))
    });
}

#[test]
fn notes_outside_the_scale_resolve_at_once_to_a_chord_tone() {
    for (technique, up) in [(Technique::LowerNeighbours, true), (Technique::UpperNeighbours, false)]
    {
        over_many_charts(&[technique], |line| {
            let mut wrong = Vec::new();
            for note in line.pieces(technique).into_iter().flatten() {
                if note.is_in_scale() || note.is_chord_tone() {
                    continue;
                }
                let resolves = line.next(note).is_some_and(|next| {
                    let half_step = if up {
                        next.pitch() == note.pitch() + 1
                    } else {
                        next.pitch() + 1 == note.pitch()
                    };
                    next.is_chord_tone() && half_step
                });
                if !resolves {
                    wrong.push(place(note));
                }
            }
            wrong
        });
    }
}

#[test]
fn enclosures_are_both_neighbours_and_then_the_chord_tone() {
    over_many_charts(&[Technique::Enclosures], |line| {
        let mut wrong = Vec::new();
        let mut notes = line.notes.iter().peekable();
        while let Some(first) = notes.next() {
            if !matches!(first.note.role, Role::Enclosure { .. }) {
                continue;
            }
            let (Some(second), Some(target)) = (notes.next(), notes.next()) else {
                wrong.push(place(first));
                continue;
            };
            let sides = [first, second].map(|n| i16::from(n.pitch()) - i16::from(target.pitch()));
            let both = sides.contains(&-1) && sides.iter().any(|side| matches!(side, 1 | 2));
            let together = line.next(first).map(Note::at) == Some(second.at())
                && line.next(second).map(Note::at) == Some(target.at());
            if !both || !together || !target.is_chord_tone() {
                wrong.push(place(first));
            }
        }
        wrong
    });
}

#[test]
fn double_approaches_are_two_half_steps_into_a_chord_tone() {
    over_many_charts(&[Technique::DoubleApproaches], |line| {
        let approaches = line
            .notes
            .windows(3)
            .filter(|notes| matches!(notes[0].note.role, Role::Approach { distance: 2, .. }));
        let wrong = approaches.filter(|notes| {
            let steps =
                [0, 1].map(|i| i16::from(notes[i + 1].pitch()) - i16::from(notes[i].pitch()));
            !(steps[0] == steps[1] && steps[0].abs() == 1 && notes[2].is_chord_tone())
        });
        told(wrong.map(|notes| place(&notes[0])))
    });
}

#[test]
fn chord_scales_stay_in_the_named_scale_and_enter_on_chord_tones() {
    over_many_charts(&[Technique::ChordScales], |line| {
        let mut wrong = Vec::new();
        for piece in line.pieces(Technique::ChordScales) {
            wrong
                .extend(piece.iter().filter(|n| !n.is_in_scale() && !n.is_chord_tone()).map(place));
            wrong.extend(piece.iter().filter(|n| n.enters && !n.is_chord_tone()).map(place));
            let (_, scale) = piece[0].piece.assignment.material.scale().unwrap();
            if scale.degrees.len() == 8 {
                let off =
                    piece.iter().filter(|n| n.beat && !n.is_chord_tone() && !n.is_major_sixth());
                wrong.extend(off.map(place));
            }
        }
        wrong
    });
}

/// The scales that are called for by name: minor's eight notes on ii, major's on I, altered on a
/// dominant that resolves, mixolydian or lydian dominant on one that stays.
#[test]
fn functions_choose_the_scales() {
    let named = |text: &str, key: &str| -> Vec<&'static str> {
        let form = super::charts::form(text, key);
        let line = crate::compose::compose(&form, &super::Request::of(Technique::ChordScales, 1));
        line.pieces.iter().map(|p| p.assignment.material.scale().unwrap().1.name).collect()
    };
    assert_eq!(
        named("| Dm7 | G7 | Cmaj7 |", "C"),
        [Scale::BEBOP_MINOR.name, Scale::ALTERED.name, Scale::BEBOP_MAJOR.name]
    );
    let blues = named("| C7 | F7 | C7 | % |", "C");
    assert!(blues.iter().all(|name| ["mixolydian", "lydian dominant"].contains(name)), "{blues:?}");
    assert_eq!(named("| Bdim7 | C6 |", "C")[0], Scale::DIMINISHED_WHOLE_HALF.name);
    assert_eq!(named("| C7#11 | C6 |", "F")[0], Scale::LYDIAN_DOMINANT.name);
}

#[test]
fn pentatonics_and_blues_stay_in_their_scale() {
    for technique in [Technique::Pentatonics, Technique::Blues] {
        over_many_charts(&[technique], |line: &Observed| {
            let mut wrong = Vec::new();
            for piece in line.pieces(technique) {
                let outside = piece.iter().filter(|note| !note.is_in_scale());
                // A long note, at the end or before a breath, is a chord tone whatever the scale; so is
                // a chord's third in the blues.
                let third = |n: &Note| {
                    technique == Technique::Blues
                        && n.harmony.symbol.third().map(|d| n.harmony.pitch_class(d))
                            == Some(n.pitch() % 12)
                };
                let outside = outside.filter(|n| !(n.lands && n.is_chord_tone() || third(n)));
                wrong.extend(outside.map(place));
            }
            wrong
        });
    }
    // Five notes, and some of the chord's own among them.
    over_many_charts(&[Technique::Pentatonics], |line| {
        let mut wrong = Vec::new();
        for piece in line.pieces(Technique::Pentatonics) {
            let (root, scale) = piece[0].piece.assignment.material.scale().unwrap();
            let notes = super::observed::published(scale.name, root);
            let harmony = piece[0].harmony;
            let own = notes.iter().filter(|&&n| super::observed::is_chord_tone(harmony, n));
            if notes.len() != 5 || own.count() < 1 {
                wrong.push(format!("{root} {} over {}", scale.name, harmony.symbol));
            }
            assert_ne!(harmony.symbol.quality(), Quality::Diminished);
        }
        wrong
    });
}

//! What a technique must not teach, and what it must: each by the trade's common practice.

use crate::compose::{Composed, Request, Upper, compose};
use crate::melody::{Form, Role, Technique, layout};
use crate::theory::Degree;

use super::charts::form;
use super::observed::{Note, Observed, published};
use super::over_many_charts;

const SEEDS: std::ops::Range<u64> = 0..40;

fn place(note: &Note) -> String {
    format!("{} at {}: {}", note.pitch(), note.at().quarters(), note.note.role)
}

fn pitch_class_over(note: &Note, degree: Degree) -> u8 {
    note.harmony.symbol.pitch_class(degree)
}

/// Over a major third a natural eleventh on a strong beat sounds wrong, unless it is written.
#[test]
fn groups_keep_the_natural_eleventh_off_the_strong_beats() {
    let techniques = [Technique::TriadPairs, Technique::FourthStacks, Technique::ChordScales];
    over_many_charts(&techniques, |line| {
        let rubs = |note: &&Note| {
            let symbol = &note.harmony.symbol;
            let major = symbol.third() == Some(Degree::natural(3));
            let written =
                symbol.degrees.iter().any(|d| [4, 11].contains(&d.number) && d.alter == 0);
            note.strong
                && techniques.contains(&note.technique())
                && major
                && !written
                && note.pitch() % 12 == pitch_class_over(note, Degree::natural(11))
        };
        line.notes.iter().filter(rubs).map(place).collect()
    });
}

#[test]
fn pentatonics_leave_out_the_fourth_of_major_and_dominant_chords() {
    let form = form("| Cmaj7 | G7 | Fmaj7 | C7 |", "C");
    for seed in SEEDS {
        let line = compose(&form, &Request::of(Technique::Pentatonics, seed));
        for piece in &line.pieces {
            let root = piece.span.harmony.as_ref().unwrap().symbol.root.pitch_class();
            let fourth = (root + 5) % 12;
            let set = piece.assignment.material.scale_set();
            assert!(!set.contains(fourth), "seed {seed}: {}", piece.assignment.material);
        }
    }
}

fn blues_form() -> Form {
    form("| F7 | Bb7 | F7 | % | Bb7 | % | F7 | D7 | Gm7 | C7 | F7 D7 | Gm7 C7 |", "F")
}

fn blues_lines() -> impl Iterator<Item = (u64, Composed)> {
    let form = blues_form();
    SEEDS.map(move |seed| (seed, compose(&form, &Request::of(Technique::Blues, seed))))
}

/// Over the IV7 the third to play is that chord's own (D over Bb7), not the key's (A).
#[test]
fn the_blues_has_the_fourth_chords_own_third() {
    let form = blues_form();
    let mut thirds = 0;
    for (seed, line) in blues_lines() {
        let observed = Observed::of(&form, &line);
        for note in observed.notes.iter().filter(|n| n.harmony.symbol.to_string() == "Bb7") {
            assert_ne!(note.pitch() % 12, 9, "seed {seed}: {}", place(note));
            thirds += u64::from(note.pitch() % 12 == 2);
        }
    }
    assert!(thirds >= SEEDS.end, "{thirds}");
}

#[test]
fn the_blues_has_blue_notes_and_goes_through_half_bars() {
    for (seed, line) in blues_lines() {
        assert_eq!(line.fallbacks, [], "seed {seed}");
        let blue = line.notes.iter().filter(|n| matches!(n.role, Role::Blue { .. })).count();
        assert!(blue >= 3, "seed {seed}: {blue}");
        // The flat fifth is no place to stay: a half step leads on from it.
        for pair in line.notes.windows(2) {
            if matches!(pair[0].role, Role::Blue { degree } if degree.number == 5) {
                assert_eq!(pair[0].pitch.abs_diff(pair[1].pitch), 1, "seed {seed}");
            }
        }
    }
}

/// A call is heard again at the same place of a later bar: three notes at least.
#[test]
fn the_blues_calls_and_answers() {
    let bar = blues_form().meter.bar();
    let answered = blues_lines().filter(|(_, line)| {
        let notes: Vec<_> =
            line.notes.windows(3).map(|three| [0, 1, 2].map(|i| three[i])).collect();
        notes.iter().enumerate().any(|(index, call)| {
            notes.iter().skip(index + 3).any(|answer| {
                let later = answer[0].at - call[0].at;
                later.0 % bar.0 == 0
                    && (0..3).all(|i| answer[i].at - call[i].at == later)
                    && (0..3).all(|i| answer[i].pitch == call[i].pitch)
            })
        })
    });
    let answered = answered.count();
    assert!(answered >= 30, "{answered} of 40");
}

/// The eighth note of an eight-note scale is gone through by half steps.
#[test]
fn chord_scales_pass_through_their_passing_notes() {
    let mut passed = 0;
    let technique = Technique::ChordScales;
    over_many_charts(&[technique], |line| {
        let mut wrong = Vec::new();
        for note in line.pieces(technique).into_iter().flatten().filter(|n| !n.is_chord_tone()) {
            let (root, scale) = note.piece.assignment.material.scale().unwrap();
            let scale = published(scale.name, root);
            let has = |pitch: u8| scale.contains(&(pitch % 12));
            if !(has(note.pitch() - 1) && has(note.pitch()) && has(note.pitch() + 1)) {
                continue;
            }
            let around = [line.before(note), line.next(note)];
            let around = around.map(|n| n.map_or(0, |n| i16::from(n.pitch())));
            let here = i16::from(note.pitch());
            if !matches!(around.map(|pitch| pitch - here), [-1, 1] | [1, -1]) {
                wrong.push(place(note));
            }
        }
        wrong
    });
    for seed in SEEDS {
        let form = form("| Dm7 | G7 | Cmaj7 | % |", "C");
        let line = compose(&form, &Request::of(technique, seed));
        // C# over Dm7 and G# over Cmaj7.
        passed += line.notes.iter().filter(|note| [1, 8].contains(&(note.pitch % 12))).count();
    }
    assert!(passed >= 20, "{passed}");
}

#[test]
fn upper_notes_are_the_scales_where_that_is_asked_for() {
    let form = form("| Dm7 | G7 | Cmaj7 | A7 | Dm7 | G7 | Cmaj7 | % |", "C");
    for (technique, may_be_below) in
        [(Technique::UpperNeighbours, false), (Technique::Enclosures, true)]
    {
        let outside = |upper: Upper| {
            let all = SEEDS.flat_map(|seed| {
                let request = Request { upper, ..Request::of(technique, seed) };
                let line = compose(&form, &request);
                let observed = Observed::of(&form, &line);
                let wrong = observed.notes.iter().filter(|note| {
                    let below = matches!(
                        note.note.role,
                        Role::Enclosure { side: crate::melody::Side::Below, .. }
                    );
                    // What leads into the next chord is of that one's scale.
                    let after = observed.notes.iter().filter(|next| next.at() > note.at()).take(2);
                    let of_next = after
                        .into_iter()
                        .any(|n| n.piece.assignment.material.scale_set().contains(note.pitch()));
                    let known = note.is_in_scale() || note.is_chord_tone() || of_next;
                    !(known || may_be_below && below)
                });
                wrong.map(place).collect::<Vec<_>>()
            });
            all.collect::<Vec<_>>()
        };
        assert_eq!(outside(Upper::Scale), Vec::<String>::new(), "{technique}");
        assert!(!outside(Upper::HalfStep).is_empty(), "{technique}");
    }
}

/// The groups of a piece's notes, by the technique's layout.
fn groups<'n, 'a>(technique: Technique, piece: &'n [Note<'a>]) -> Vec<&'n [Note<'a>]> {
    let mut groups = Vec::new();
    for mut left in piece.chunk_by(|one, next| !one.lands && !next.lands) {
        if left[0].lands {
            continue;
        }
        for size in layout(technique, left.len()).unwrap() {
            let (group, rest) = left.split_at(size);
            groups.push(group);
            left = rest;
        }
    }
    groups.retain(|group| group.len() > 1);
    groups
}

/// A beginner's cell lies under the hand.
#[test]
fn root_cells_have_no_leap_inside() {
    let technique = Technique::RootCells;
    over_many_charts(&[technique], |line| {
        let cells = line.pieces(technique).into_iter().flat_map(|piece| groups(technique, piece));
        let leaps = |cell: &&[Note]| {
            // A suspended fourth is a fourth from the root.
            let widest = if cell[0].harmony.symbol.is_suspended() { 5 } else { 4 };
            cell.windows(2).any(|pair| pair[0].pitch().abs_diff(pair[1].pitch()) > widest)
        };
        cells.filter(leaps).map(|cell| place(&cell[0])).collect()
    });
}

#[test]
fn shifted_shapes_come_home() {
    let technique = Technique::ShiftedShapes;
    over_many_charts(&[technique], |line| {
        let pieces = line.pieces(technique);
        let last = pieces.into_iter().filter_map(|piece| groups(technique, piece).pop());
        let end = last.filter_map(|shape| shape.last());
        end.filter(|note| !note.is_in_scale()).map(place).collect()
    });
}

/// What a technique says must be there to hear.
#[test]
fn no_technique_promises_a_rhythm() {
    for technique in Technique::ALL {
        assert!(!technique.what().contains("triplet"), "{technique}");
    }
}

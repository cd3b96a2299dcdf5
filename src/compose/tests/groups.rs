//! Rules of the techniques that go in groups.

use std::collections::{BTreeMap, BTreeSet};

use crate::compose::{Request, compose};
use crate::melody::{Material, Role, Technique, layout};

use super::charts::form;
use super::observed::{Note, Observed, published};
use super::over_many_charts;

/// The groups of a piece by the technique's layout, each with whether it is one (or a link).
fn groups<'n, 'a>(technique: Technique, piece: &'n [Note<'a>]) -> Vec<&'n [Note<'a>]> {
    let together = |one: &Note, next: &Note| !one.lands && !next.lands;
    let mut groups = Vec::new();
    for stretch in piece.chunk_by(together) {
        if stretch[0].lands {
            continue;
        }
        let mut left = stretch;
        for size in layout(technique, stretch.len()).expect("it fits") {
            let (group, rest) = left.split_at(size);
            groups.push(group);
            left = rest;
        }
    }
    groups
}

fn place(note: &Note) -> String {
    format!("{} at {}: {}", note.pitch(), note.at().quarters(), note.note.role)
}

fn interval(from: &Note, to: &Note) -> i16 {
    i16::from(to.pitch()) - i16::from(from.pitch())
}

/// Notes of groups and links that are not where the rule wants them.
fn each_group(
    line: &Observed,
    technique: Technique,
    is_group: impl Fn(&[Note]) -> bool,
) -> Vec<String> {
    let mut wrong = Vec::new();
    for piece in line.pieces(technique) {
        for group in groups(technique, piece).into_iter().filter(|group| group.len() > 1) {
            if !is_group(group) {
                wrong.push(format!("the group from {}", place(&group[0])));
            }
        }
    }
    wrong
}

fn enters_by_step(line: &Observed, technique: Technique) -> Vec<String> {
    let mut wrong = Vec::new();
    for piece in line.pieces(technique) {
        let Some(before) = line.before(&piece[0]).filter(|_| !piece[0].rested) else { continue };
        if !matches!(interval(before, &piece[0]).abs(), 1 | 2) {
            wrong.push(format!("enters on {}", place(&piece[0])));
        }
    }
    wrong
}

#[test]
fn key_sevenths_are_the_keys_seventh_chords_linked_by_steps() {
    let technique = Technique::KeySevenths;
    over_many_charts(&[technique], |line| {
        let mut wrong = each_group(line, technique, |group| {
            let (root, scale) = group[0].piece.assignment.material.scale().unwrap();
            assert_eq!(root, line.form.key.tonic);
            let scale = published(scale.name, root);
            let mut heard: Vec<u8> = group.iter().map(|note| note.pitch() % 12).collect();
            heard.sort_unstable();
            (0..7).any(|step| {
                let mut seventh: Vec<u8> = (0..4).map(|t| scale[(step + 2 * t) % 7]).collect();
                seventh.sort_unstable();
                seventh == heard
            })
        });
        for piece in line.pieces(technique) {
            if !piece[0].is_chord_tone() {
                wrong.push(format!("enters on {}", place(&piece[0])));
            }
            for pair in groups(technique, piece).windows(2) {
                let (last, first) = (pair[0].last().unwrap(), &pair[1][0]);
                if interval(last, first).abs() > 2
                    && line.next(last).map(Note::at) == Some(first.at())
                {
                    wrong.push(format!("linked to {}", place(first)));
                }
            }
        }
        wrong
    });
}

/// The diatonic sevenths of C are Cmaj7 Dm7 Em7 Fmaj7 G7 Am7 Bm7b5 (common practice).
#[test]
fn the_seventh_chords_of_c() {
    let form = form("| Cmaj7 | Dm7 | Em7 | Fmaj7 | G7 | Am7 | Bm7b5 | Cmaj7 |", "C");
    let mut heard: BTreeMap<String, BTreeSet<u8>> = BTreeMap::new();
    for seed in 0..60 {
        for note in compose(&form, &Request::of(Technique::KeySevenths, seed)).notes {
            if let Role::SeventhChord { root, .. } = note.role {
                heard.entry(root.to_string()).or_default().insert(note.pitch % 12);
            }
        }
    }
    let sevenths = [
        ("A", [9, 0, 4, 7]),
        ("B", [11, 2, 5, 9]),
        ("C", [0, 4, 7, 11]),
        ("D", [2, 5, 9, 0]),
        ("E", [4, 7, 11, 2]),
        ("F", [5, 9, 0, 4]),
        ("G", [7, 11, 2, 5]),
    ];
    let expected = sevenths.map(|(root, tones)| (root.to_owned(), BTreeSet::from(tones)));
    assert_eq!(heard, BTreeMap::from(expected));
}

#[test]
fn triad_pairs_are_the_named_triads_linked_by_steps() {
    let technique = Technique::TriadPairs;
    over_many_charts(&[technique], |line| {
        let mut wrong = each_group(line, technique, |group| {
            let Material::Triads { pair, root, scale } = &group[0].piece.assignment.material else {
                return false;
            };
            let scale = published(scale.name, *root);
            let in_scale = |triad: &crate::melody::Triad| {
                (0..12).all(|pitch| !triad.set().contains(pitch) || scale.contains(&pitch))
            };
            assert!(pair.iter().all(in_scale), "{pair:?}");
            let heard = group.iter().map(|note| note.pitch()).collect();
            pair.iter().any(|triad| triad.set() == heard)
        });
        wrong.extend(enters_by_step(line, technique));
        for piece in line.pieces(technique) {
            for pair in groups(technique, piece).windows(2) {
                let link_leads = pair[0].len() > 1
                    || line.next(&pair[0][0]).map(Note::at) != Some(pair[1][0].at())
                    || matches!(interval(&pair[0][0], &pair[1][0]).abs(), 1 | 2);
                if !link_leads {
                    wrong.push(format!("the link {}", place(&pair[0][0])));
                }
            }
        }
        wrong
    });
}

#[test]
fn fourth_stacks_are_three_scale_steps_from_note_to_note() {
    let technique = Technique::FourthStacks;
    over_many_charts(&[technique], |line| {
        let mut wrong = each_group(line, technique, |group| {
            let (root, scale) = group[0].piece.assignment.material.scale().unwrap();
            let scale = published(scale.name, root);
            group.windows(2).all(|pair| {
                let (low, high) =
                    (pair[0].pitch().min(pair[1].pitch()), pair[0].pitch().max(pair[1].pitch()));
                let in_scale = pair.iter().all(|note| scale.contains(&(note.pitch() % 12)));
                let steps = (low + 1..=high).filter(|pitch| scale.contains(&(pitch % 12))).count();
                in_scale && if scale.len() == 7 { steps == 3 } else { matches!(high - low, 5 | 6) }
            })
        });
        wrong.extend(enters_by_step(line, technique));
        wrong
    });
}

#[test]
fn shifted_shapes_have_the_same_intervals_and_move_by_the_shift() {
    let technique = Technique::ShiftedShapes;
    over_many_charts(&[technique], |line| {
        let mut wrong = each_group(line, technique, |group| {
            let Material::Shape { intervals, .. } = &group[0].piece.assignment.material else {
                return false;
            };
            let heard: Vec<i16> = group.windows(2).map(|p| interval(&p[0], &p[1])).collect();
            heard == intervals.map(i16::from)
        });
        wrong.extend(enters_by_step(line, technique));
        for piece in line.pieces(technique) {
            let Material::Shape { shift, .. } = &piece[0].piece.assignment.material else {
                continue;
            };
            for pair in groups(technique, piece).windows(2) {
                let moved = interval(&pair[0][0], &pair[1][0]).unsigned_abs();
                if pair.iter().all(|group| group.len() == 4)
                    && !pair[1][0].rested
                    && pair[0][3].at() + pair[0][3].note.length == pair[1][0].at()
                    && moved != u16::from(*shift)
                {
                    wrong.push(format!("shifted by {moved} to {}", place(&pair[1][0])));
                }
            }
        }
        let links = line.notes.iter().filter(|n| n.note.role == Role::Link);
        for link in links.filter(|n| n.technique() == technique) {
            // Before a rest there is no chord to join.
            let goes_on = line.next(link).is_none_or(|next| interval(link, next).abs() == 1);
            if !goes_on {
                wrong.push(format!("the link {}", place(link)));
            }
        }
        wrong
    });
}

#[test]
fn root_cells_are_one_two_three_and_five() {
    let technique = Technique::RootCells;
    over_many_charts(&[technique], |line| {
        each_group(line, technique, |group| {
            let symbol = &group[0].harmony.symbol;
            let mut numbers: Vec<u8> = group
                .iter()
                .map(|note| match note.note.role {
                    Role::Cell { degree } => {
                        assert_eq!(symbol.pitch_class(degree), note.pitch() % 12);
                        degree.number
                    }
                    _ => 0,
                })
                .collect();
            numbers.sort_unstable();
            numbers == [1, 2, 3, 5] || (symbol.is_suspended() && numbers == [1, 2, 4, 5])
        })
    });
}

#[test]
fn ninth_arpeggios_go_from_third_to_ninth_or_back() {
    let technique = Technique::NinthArpeggios;
    over_many_charts(&[technique], |line| {
        each_group(line, technique, |group| {
            let rising = group.windows(2).all(|pair| interval(&pair[0], &pair[1]) > 0);
            let falling = group.windows(2).all(|pair| interval(&pair[0], &pair[1]) < 0);
            let ninth = if rising { &group[3] } else { &group[0] };
            let third = if rising { &group[0] } else { &group[3] };
            let harmony = group[0].harmony;
            (rising || falling)
                && harmony.ninth.map(|ninth| harmony.pitch_class(ninth)) == Some(ninth.pitch() % 12)
                && harmony.symbol.third().map(|d| harmony.pitch_class(d))
                    == Some(third.pitch() % 12)
        })
    });
}

//! The composer's own roles are among those that are found, and first where its technique is known.

use crate::compose::tests::{lines, shown};
use crate::compose::{Composed, Request, Share, compose};
use crate::explain::{Explained, Sounding, explain};
use crate::melody::{Form, Role, Technique, chord_tones, degree_of};

fn sounding(line: &Composed) -> Vec<Sounding> {
    let notes = line.notes.iter();
    notes.map(|n| Sounding { at: n.at, length: n.length, pitch: n.pitch }).collect()
}

/// What is wrong with an explanation, to read.
fn compared(
    line: &Composed,
    explained: &[Explained],
    is_wrong: impl Fn(&Explained, Role) -> bool,
) -> String {
    let pairs = line.notes.iter().zip(explained);
    let wrong = pairs.filter(|(note, explained)| is_wrong(explained, note.role));
    wrong
        .map(|(note, explained)| {
            let found: Vec<String> = explained.roles.iter().map(ToString::to_string).collect();
            format!("at {}: {} is not in {found:?}\n", note.at.quarters(), note.role)
        })
        .collect()
}

#[test]
fn every_role_of_the_composer_is_tenable_without_knowing_the_technique() {
    for (technique, seed, form, line) in lines() {
        let explained = explain(form, &sounding(line), &[]);
        assert_eq!(explained.len(), line.notes.len());
        let wrong = compared(line, &explained, |explained, role| !explained.roles.contains(&role));
        assert!(wrong.is_empty(), "{technique}, seed {seed}: {wrong}{}", shown(form, line));
    }
}

#[test]
fn the_composers_role_is_first_where_the_technique_is_known() {
    for (technique, seed, form, line) in lines() {
        let explained = explain(form, &sounding(line), &line.pieces);
        let wrong =
            compared(line, &explained, |explained, role| explained.roles.first() != Some(&role));
        assert!(wrong.is_empty(), "{technique}, seed {seed}: {wrong}{}", shown(form, line));
    }
}

#[test]
fn mixed_lines_are_explained_piece_by_piece() {
    for seed in 0..60 {
        let form: Form = crate::compose::tests::charts::any_form(seed + 5000);
        let share = |technique| Share { technique, weight: 1.0, bars: Vec::new() };
        let techniques = Technique::ALL.map(share).to_vec();
        let line = compose(&form, &Request { techniques, ..Request::of(Technique::Blues, seed) });
        let explained = explain(&form, &sounding(&line), &line.pieces);
        let wrong =
            compared(&line, &explained, |explained, role| explained.roles.first() != Some(&role));
        assert!(wrong.is_empty(), "seed {seed}: {wrong}{}", shown(&form, &line));
    }
}

/// Whatever group a chord tone is in, it is spelled as its chord spells it.
#[test]
fn chord_tones_are_spelled_by_their_chords() {
    for (technique, seed, form, line) in lines() {
        for explained in explain(form, &sounding(line), &line.pieces) {
            let Some(harmony) = &explained.harmony else { continue };
            let degree = degree_of(harmony, &chord_tones(harmony), explained.note.pitch);
            let leads = matches!(
                explained.roles.first(),
                Some(Role::Neighbour { .. } | Role::Enclosure { .. } | Role::Approach { .. })
            );
            let Some(degree) = degree.filter(|_| !leads) else { continue };
            let by_chord = harmony.note(degree).simplified();
            assert_eq!(explained.name, by_chord, "{technique}, seed {seed}: {}", harmony.symbol);
        }
    }
}

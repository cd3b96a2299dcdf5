//! Which role comes first where it is known what the line shows.

use crate::melody::{Material, Piece, Role, Side, Technique, layout};

use super::{Line, patterns, tones};

/// The role that the technique of a note's piece calls for; `None` where nothing is known, or
/// where the note is not what the technique would have.
pub(super) fn first(line: &Line, index: usize, shown: &[Piece], roles: &[Role]) -> Option<Role> {
    let piece = piece_at(line, index, shown)?;
    let technique = piece.assignment.technique;
    if let Some((start, size)) = group(line, index, piece)
        && size > 1
    {
        return in_group(line, index, start, size, piece);
    }
    let is_single = group(line, index, piece).is_some();
    let chord_tone = roles.iter().find(|role| matches!(role, Role::ChordTone { .. })).copied();
    let scale_step = || {
        let (root, scale) = piece.assignment.material.scale()?;
        tones::step(root, scale, line.pitch(index))
    };
    let find = |wanted: fn(&Role) -> bool| roles.iter().copied().find(wanted);
    match technique {
        Technique::KeySevenths
        | Technique::TriadPairs
        | Technique::FourthStacks
        | Technique::ShiftedShapes
            if is_single =>
        {
            find(|role| *role == Role::Link)
        }
        Technique::Enclosures => {
            let enclosure = find(|role| matches!(role, Role::Enclosure { .. }));
            enclosure.or(chord_tone).or_else(scale_step)
        }
        Technique::DoubleApproaches => {
            let approach = find(|role| matches!(role, Role::Approach { .. }));
            approach.or(chord_tone).or_else(scale_step)
        }
        Technique::LowerNeighbours => {
            let below = find(|role| matches!(role, Role::Neighbour { side: Side::Below, .. }));
            chord_tone.or(below).or_else(scale_step)
        }
        Technique::UpperNeighbours => {
            let above = find(|role| matches!(role, Role::Neighbour { side: Side::Above, .. }));
            chord_tone.or(above).or_else(scale_step)
        }
        Technique::Blues => {
            let blue = || find(|role| matches!(role, Role::Blue { .. }));
            chord_tone.or_else(blue).or_else(scale_step)
        }
        Technique::ChordOutlines => {
            chord_tone.or_else(|| find(|role| matches!(role, Role::Extension { .. })))
        }
        _ => chord_tone.or_else(scale_step),
    }
}

fn piece_at<'p>(line: &Line, index: usize, shown: &'p [Piece]) -> Option<&'p Piece> {
    let note = line.notes[index];
    let at = line.form.heard_at(note.at, note.length);
    shown.iter().find(|piece| piece.span.at <= at && at < piece.span.end())
}

/// The first note of the group that a note is known to be in.
pub(super) fn group_at(line: &Line, index: usize, shown: &[Piece]) -> Option<usize> {
    let (start, size) = group(line, index, piece_at(line, index, shown)?)?;
    (size > 1).then_some(start)
}

/// The group of its technique's layout that a note is in: its first note and its size.
fn group(line: &Line, index: usize, piece: &Piece) -> Option<(usize, usize)> {
    let inside = |index: usize| {
        let note = line.notes[index];
        let at = line.form.heard_at(note.at, note.length);
        piece.span.at <= at && at < piece.span.end() && !line.is_landing(index)
    };
    if !inside(index) {
        return None;
    }
    // What is no landing leads without a rest to the note after it.
    let from = (0..index).rev().take_while(|&before| inside(before)).last().unwrap_or(index);
    let to = (index..line.notes.len()).take_while(|&after| inside(after)).last()? + 1;
    let mut start = from;
    for size in layout(piece.assignment.technique, to - from)? {
        if index < start + size {
            return Some((start, size));
        }
        start += size;
    }
    None
}

/// What a note is in the group that it is known to be in.
fn in_group(line: &Line, index: usize, start: usize, size: usize, piece: &Piece) -> Option<Role> {
    match (piece.assignment.technique, &piece.assignment.material) {
        (Technique::KeySevenths, _) => {
            patterns::seventh_chord(line, start, index).into_iter().next()
        }
        (Technique::TriadPairs, Material::Triads { pair, .. }) => {
            let named =
                |role: &Role| matches!(role, Role::TriadTone { triad, .. } if pair.contains(triad));
            patterns::triads(line, start).into_iter().find(named)
        }
        (Technique::FourthStacks, _) => patterns::stack(line, start, size, line.harmony(index)?),
        (Technique::ShiftedShapes, _) => patterns::shape(line, start, index),
        (Technique::RootCells, _) => patterns::cell(line, start, index),
        (Technique::NinthArpeggios, _) => patterns::ninth_arpeggio(line, start, index),
        _ => None,
    }
}

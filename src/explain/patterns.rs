//! Groups that a note belongs to.

use crate::melody::{PitchSet, Role, Technique, Triad, TriadKind, technique_scale};
use crate::theory::{Degree, Harmony, Mode, NoteName, Quality, Scale, chord_scale, line_scale};

use super::Line;

/// All groups that a note can be said to belong to.
pub(super) fn patterns(line: &Line, index: usize, harmony: &Harmony) -> Vec<Role> {
    let mut roles = Vec::new();
    for first in line.windows(index, 4) {
        roles.extend(cell(line, first, index));
        roles.extend(ninth_arpeggio(line, first, index));
        roles.extend(seventh_chord(line, first, index));
    }
    for first in line.windows(index, 3) {
        roles.extend(triads(line, first));
    }
    for size in [4, 3, 2] {
        for first in line.windows(index, size) {
            roles.extend(stack(line, first, size, harmony));
        }
    }
    for first in line.windows(index, 4) {
        roles.extend(shape(line, first, index));
    }
    roles
}

fn is_straight(pitches: &[u8]) -> bool {
    pitches.windows(2).all(|pair| pair[0] < pair[1])
        || pitches.windows(2).all(|pair| pair[0] > pair[1])
}

/// Four notes over one chord that are its 1 2 3 5 in any order.
pub(super) fn cell(line: &Line, first: usize, index: usize) -> Option<Role> {
    let harmony = line.harmony(first)?;
    let symbol = &harmony.symbol;
    let second = chord_scale(harmony).degrees.iter().copied().find(|degree| degree.number == 2);
    let degrees = [
        Degree::ROOT,
        second.unwrap_or(Degree::natural(2)),
        symbol.third().filter(|third| third.number != 2)?,
        symbol.fifth()?,
    ];
    let pitches = line.pitches(first, 4);
    let heard: PitchSet = pitches.iter().copied().collect();
    let wanted: PitchSet = degrees.iter().map(|&degree| symbol.pitch_class(degree)).collect();
    let narrow = pitches.iter().max()? - pitches.iter().min()? < 12;
    let same_chord = line.spans[first] == line.spans[first + 3];
    let found = degrees.into_iter().find(|&d| symbol.pitch_class(d) == line.pitch(index) % 12);
    found
        .filter(|_| heard == wanted && heard.count() == 4 && narrow && same_chord)
        .map(|degree| Role::Cell { degree })
}

/// Four notes over one chord that are its 3 5 7 9 up, or 9 7 5 3 down.
pub(super) fn ninth_arpeggio(line: &Line, first: usize, index: usize) -> Option<Role> {
    let harmony = line.harmony(first)?;
    let symbol = &harmony.symbol;
    let degrees = [symbol.third()?, symbol.fifth()?, harmony.seventh?, harmony.ninth?];
    let pitches = line.pitches(first, 4);
    let rising = pitches.windows(2).all(|pair| pair[0] < pair[1]);
    let place = |note: usize| if rising { note } else { 3 - note };
    let fits = is_straight(&pitches)
        && (0..4).all(|note| symbol.pitch_class(degrees[place(note)]) == pitches[note] % 12)
        && line.spans[first] == line.spans[first + 3];
    fits.then(|| Role::NinthArpeggio { degree: degrees[place(index - first)] })
}

/// Four notes straight up or down that are a seventh chord of the key.
pub(super) fn seventh_chord(line: &Line, first: usize, index: usize) -> Vec<Role> {
    let key = line.form.key;
    let scales: &[Scale] = match key.mode {
        Mode::Major => &[Scale::IONIAN],
        Mode::Minor => &[Scale::AEOLIAN, Scale::HARMONIC_MINOR, Scale::MELODIC_MINOR],
    };
    let pitches = line.pitches(first, 4);
    if !is_straight(&pitches) {
        return Vec::new();
    }
    let heard: PitchSet = pitches.iter().copied().collect();
    let mut roles = Vec::new();
    for scale in scales {
        let set: PitchSet = scale.pitch_classes(key.tonic).into_iter().collect();
        for root in (60..72).filter(|&root| set.contains(root)) {
            let tones = [0, 2, 4, 6].map(|steps| set.steps_above(root, steps).unwrap_or(root));
            if PitchSet::from_iter(tones) != heard {
                continue;
            }
            let thirds = [(1, 0), (3, 4), (5, 7), (7, 11)].into_iter().zip(tones);
            for ((number, natural), tone) in thirds {
                if tone % 12 == line.pitch(index) % 12 {
                    let degree = Degree::new(number, (tone - root).cast_signed() - natural);
                    roles.push(Role::SeventhChord { root: key.spell(root % 12), degree });
                }
            }
        }
    }
    roles
}

/// Three notes straight up or down that are a triad.
pub(super) fn triads(line: &Line, first: usize) -> Vec<Role> {
    let pitches = line.pitches(first, 3);
    if !is_straight(&pitches) {
        return Vec::new();
    }
    let heard: PitchSet = pitches.iter().copied().collect();
    let harmony = line.harmony(first);
    let spelled = |root: u8| harmony.and_then(|harmony| spelled_over(harmony, root));
    let roots = (0..12).filter(|&root| heard.contains(root));
    let roots = roots.map(|root| spelled(root).unwrap_or_else(|| line.form.key.spell(root)));
    roots
        .flat_map(|root| TriadKind::ALL.map(|kind| Triad { root, kind }))
        .filter(|triad| triad.set() == heard)
        .map(|triad| {
            let upper = harmony.is_some_and(|harmony| triad.is_upper(harmony));
            Role::TriadTone { triad, upper }
        })
        .collect()
}

/// An upper structure: three notes in a row of a major or minor triad over a dominant chord, at most one of
/// them the chord's own. A note that a first triad ends with begins no other.
pub(super) fn upper_triad(line: &Line, index: usize, harmony: &Harmony) -> Option<Role> {
    if harmony.symbol.quality() != Quality::Dominant {
        return None;
    }
    let found = |first: usize| upper_triad_from(line, first);
    let mut from = index.saturating_sub(2);
    // From where no triad can reach over.
    while from > 0 && (found(from - 1).is_some() || from > 1 && found(from - 2).is_some()) {
        from -= 1;
    }
    while from <= index {
        match found(from) {
            Some(role) if index < from + 3 => return Some(role),
            Some(_) => from += 3,
            None => from += 1,
        }
    }
    None
}

fn upper_triad_from(line: &Line, first: usize) -> Option<Role> {
    let joined =
        first + 2 < line.notes.len() && line.is_joined(first + 1) && line.is_joined(first + 2);
    if !joined || line.spans[first] != line.spans[first + 2] {
        return None;
    }
    let upper = |role: &Role| match role {
        Role::TriadTone { triad, upper } => {
            *upper && matches!(triad.kind, TriadKind::Major | TriadKind::Minor)
        }
        _ => false,
    };
    triads(line, first).into_iter().find(upper)
}

/// The name that a chord's scales give to a pitch class.
fn spelled_over(harmony: &Harmony, pitch_class: u8) -> Option<NoteName> {
    let of_pairs = technique_scale(Technique::TriadPairs, harmony);
    let scales = [of_pairs, chord_scale(harmony), line_scale(harmony)];
    let names = scales.into_iter().flat_map(|scale| scale.notes(harmony.symbol.root));
    names.map(NoteName::simplified).find(|name| name.pitch_class() == pitch_class)
}

/// Notes straight up or down, each a fourth from the next: perfect, augmented, or three steps of
/// the chord's scale.
pub(super) fn stack(line: &Line, first: usize, size: usize, harmony: &Harmony) -> Option<Role> {
    let pitches = line.pitches(first, size);
    let of_stacks = technique_scale(Technique::FourthStacks, harmony);
    let sets = [chord_scale(harmony), line_scale(harmony), of_stacks].map(|scale| {
        let set: PitchSet = scale.pitch_classes(harmony.symbol.root).into_iter().collect();
        (scale.degrees.len(), set)
    });
    let is_fourth = |low: u8, high: u8| {
        matches!(high - low, 5 | 6)
            || sets.iter().any(|(count, set)| {
                *count == 7 && set.contains(low) && set.steps_above(low, 3) == Some(high)
            })
    };
    let fourths =
        pitches.windows(2).all(|pair| is_fourth(pair[0].min(pair[1]), pair[0].max(pair[1])));
    let lowest = *pitches.iter().min()?;
    (is_straight(&pitches) && fourths)
        .then(|| Role::Stack { lowest: line.form.key.spell(lowest % 12) })
}

/// A shape of four notes that the line has at another place too.
pub(super) fn shape(line: &Line, first: usize, index: usize) -> Option<Role> {
    let intervals = intervals(line, first)?;
    let count = line.notes.len().saturating_sub(3);
    let again = (0..count)
        .filter(|&other| other.abs_diff(first) >= 4)
        .any(|other| self::intervals(line, other) == Some(intervals));
    let position = u8::try_from(index - first + 1).ok()?;
    again.then_some(Role::Shape { intervals, position })
}

fn intervals(line: &Line, first: usize) -> Option<[i8; 3]> {
    let step = |note: usize| {
        let (from, to) = (line.notes.get(first + note)?, line.notes.get(first + note + 1)?);
        i8::try_from(i16::from(to.pitch) - i16::from(from.pitch)).ok()
    };
    Some([step(0)?, step(1)?, step(2)?])
}

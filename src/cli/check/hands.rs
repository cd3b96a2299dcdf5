//! What the hands play: over each chord of the first chorus, by name and on a keyboard.

use std::collections::BTreeSet;
use std::fmt::Write;

use crate::arrange::{BarKind, TimelineSlot};
use crate::cli::keyboard::Keyboard;
use crate::part::comp::Voicing;
use crate::part::{Hand, PartNotes};
use crate::performance::Part;
use crate::plan::TakePlan;
use crate::theory::Pitch;

/// A chord with the keys that are played over it, from the lowest up.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Chord {
    pub(super) symbol: String,
    keys: Vec<Key>,
}

/// A key by its name and MIDI number.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
struct Key {
    name: String,
    pitch: u8,
    hand: Hand,
}

impl Chord {
    pub(super) fn names(&self) -> Vec<String> {
        self.keys.iter().map(|key| key.name.clone()).collect()
    }

    fn hands(&self) -> Vec<(u8, Hand)> {
        self.keys.iter().map(|key| (key.pitch, key.hand)).collect()
    }
}

/// The chords of each bar of the first chorus: with their voicings or, where the teacher wrote the
/// left hand, with what that plays while they sound.
pub(super) fn chords(take: &TakePlan) -> Vec<Vec<Chord>> {
    let own = take.notes.hands.iter().find(|part| part.part == Part::Comp);
    let own = own.filter(|_| take.notes.voicings.is_none());
    let bars = take.notes.timeline.bars.iter().enumerate();
    bars.filter(|(_, bar)| bar.kind == BarKind::Chorus && bar.chorus == 0)
        .map(|(index, bar)| {
            let chord = |(number, slot): (usize, &TimelineSlot)| {
                let voicing = take.notes.voicings.as_ref().and_then(|all| all.get(index, number));
                let keys = match (voicing, own) {
                    (Some(voicing), _) => of_voicing(voicing),
                    (None, Some(own)) => of_own(own, slot, take),
                    (None, None) => Vec::new(),
                };
                let symbol = slot.harmony.as_ref().map(|harmony| harmony.symbol.to_string());
                Chord { symbol: symbol.unwrap_or_else(|| "N.C.".to_owned()), keys }
            };
            bar.slots.iter().enumerate().map(chord).collect()
        })
        .collect()
}

fn of_voicing(voicing: &Voicing) -> Vec<Key> {
    let notes = voicing.notes.iter();
    notes
        .map(|note| Key {
            name: note.spelled().map_or(note.name.to_string(), |pitch| pitch.to_string()),
            pitch: note.pitch,
            hand: note.hand,
        })
        .collect()
}

fn of_own(own: &PartNotes, slot: &TimelineSlot, take: &TakePlan) -> Vec<Key> {
    let struck =
        own.notes.iter().filter(|note| (slot.at..slot.at + slot.length).contains(&note.at));
    let keys: BTreeSet<(u8, Hand)> =
        struck.map(|note| (note.pitch, note.hand.unwrap_or(Hand::Left))).collect();
    keys.into_iter()
        .map(|(pitch, hand)| {
            let name = slot
                .harmony
                .as_ref()
                .and_then(|harmony| {
                    harmony.sounding_degrees().into_iter().find_map(|degree| {
                        (harmony.pitch_class(degree) == pitch % 12).then(|| harmony.note(degree))
                    })
                })
                .unwrap_or_else(|| take.key.spell(pitch % 12));
            let spelled = Pitch::named(pitch, name);
            Key { name: spelled.map_or(name.to_string(), |pitch| pitch.to_string()), pitch, hand }
        })
        .collect()
}

/// Every chord with its keys by name, and the hand on a keyboard; a chord that comes again with the
/// same notes is shown once.
pub(super) fn shown(take: &TakePlan) -> String {
    let mut seen = BTreeSet::new();
    let mut rows: Vec<(Chord, String)> = Vec::new();
    for chord in chords(take).into_iter().flatten().filter(|chord| !chord.keys.is_empty()) {
        if seen.insert(chord.clone()) {
            let names = chord.names().join(" ");
            rows.push((chord, names));
        }
    }
    let keys = rows.iter().flat_map(|(chord, _)| &chord.keys).map(|key| key.pitch);
    let Some(keyboard) = Keyboard::spanning(keys) else { return String::new() };
    let widest = |widths: &mut dyn Iterator<Item = usize>| widths.max().unwrap_or(0);
    let chord_width = widest(&mut rows.iter().map(|(chord, _)| chord.symbol.chars().count()));
    let notes_width = widest(&mut rows.iter().map(|(_, names)| names.chars().count()));
    let indent = " ".repeat(chord_width + notes_width + 6);
    let mut text = format!("{indent}{}\n", keyboard.scale());
    for (chord, names) in rows {
        let hand = keyboard.hand(&chord.hands());
        let _ = writeln!(text, "  {:chord_width$}  {names:notes_width$}  {hand}", chord.symbol);
    }
    text
}

//! Which way stems point.

use super::music::Event;
use crate::codec::musicxml::score::{Beam, NoteValue, Stem};

/// For every voice and event, whether its stem goes up.
pub(super) fn directions(voices: &[Vec<Event>]) -> Vec<Vec<bool>> {
    let shared = voices.len() > 1;
    let of_voice = |(index, events): (usize, &Vec<Event>)| {
        let mut ups = Vec::with_capacity(events.len());
        for group in groups(events) {
            let group = &events[group];
            let given = group.iter().find_map(|event| event.stem);
            let up = match given {
                Some(Stem::Up) => true,
                Some(Stem::Down) => false,
                _ if shared => index == 0,
                _ => by_position(group),
            };
            ups.extend(group.iter().map(|_| up));
        }
        ups
    };
    voices.iter().enumerate().map(of_voice).collect()
}

/// Stretches of events that one beam holds together; others stand alone.
pub(super) fn groups(events: &[Event]) -> Vec<std::ops::Range<usize>> {
    let mut groups = Vec::new();
    let mut from = 0;
    while from < events.len() {
        let begins = events[from].beams.first() == Some(&Beam::Begin);
        let mut to = from + 1;
        if begins {
            while to < events.len() && matches!(events[to].beams.first(), Some(Beam::Continue)) {
                to += 1;
            }
            if matches!(events.get(to).and_then(|event| event.beams.first()), Some(Beam::End)) {
                to += 1;
            }
        }
        groups.push(from..to);
        from = to;
    }
    groups
}

/// Away from the farther side of the staff; down where both are as far, unless most notes lie low.
fn by_position(group: &[Event]) -> bool {
    let positions = || group.iter().flat_map(|event| event.notes()).map(|note| note.position);
    let (Some(lowest), Some(highest)) = (positions().min(), positions().max()) else { return true };
    match lowest + highest {
        0 => positions().sum::<i32>() < 0,
        sum => sum < 0,
    }
}

/// Flags or beams of an event.
pub(super) fn levels(event: &Event) -> usize {
    if event.value >= NoteValue::Quarter { 0 } else { event.value.beams() }
}

//! The chord to end on, and the chord that announces a key.

use crate::chart::{Chart, Slot};
use crate::theory::{ChordSymbol, Degree, Key, Mode, Quality};
use crate::units::{Meter, Ticks};

use super::Ending;

/// What sounds in the last bar; `None` where there is no ending.
pub(super) fn ending_bar(meter: Meter, chord: ChordSymbol, ending: Ending) -> Option<Vec<Slot>> {
    let bar = meter.bar();
    let chord = Some(chord);
    match ending {
        Ending::Held | Ending::Tag | Ending::Ritardando => {
            Some(vec![Slot { at: Ticks::ZERO, length: bar, chord }])
        }
        Ending::Short => {
            let beat = meter.beat();
            let silence = Slot { at: beat, length: bar - beat, chord: None };
            Some(vec![Slot { at: Ticks::ZERO, length: beat, chord }, silence])
        }
        Ending::None => None,
    }
}

/// The tonic chord as the chart has it: its last chord, else its first, else the latest one that
/// it has; else a sixth chord. A seventh chord on the tonic, as in a blues, is taken only where
/// the chart has no tonic at rest.
pub(super) fn last_chord(chart: &Chart) -> ChordSymbol {
    let mut chords: Vec<&ChordSymbol> = chart
        .bars
        .iter()
        .flat_map(|bar| &bar.slots)
        .filter_map(|slot| slot.chord.as_ref())
        .collect();
    chords.reverse();
    if let Some(first) = chords.last().copied() {
        chords.insert(1.min(chords.len()), first);
    }
    let tonics = chords.into_iter().filter(|chord| is_tonic(chord, chart.key));
    let (moving, resting): (Vec<_>, Vec<_>) =
        tonics.partition(|chord| chord.quality().is_dominant());
    match resting.first().or(moving.first()) {
        Some(chord) => (*chord).clone(),
        None => sixth_chord(chart.key),
    }
}

/// Whether a chord stands on the tonic, uninverted, with the key's own third.
fn is_tonic(chord: &ChordSymbol, key: Key) -> bool {
    let on_tonic = chord.bass_note().pitch_class() == key.tonic.pitch_class()
        && chord.root.pitch_class() == key.tonic.pitch_class();
    let own_third = matches!(
        (key.mode, chord.quality()),
        (Mode::Major, Quality::Major | Quality::Dominant)
            | (Mode::Minor, Quality::Minor | Quality::MinorMajor)
    );
    on_tonic && own_third
}

fn sixth_chord(key: Key) -> ChordSymbol {
    let third = match key.mode {
        Mode::Major => Degree::natural(3),
        Mode::Minor => Degree::new(3, -1),
    };
    ChordSymbol::new(key.tonic, vec![third, Degree::natural(5), Degree::natural(6)], None)
}

/// The dominant seventh chord of a key.
pub(super) fn dominant(key: Key) -> ChordSymbol {
    let fifth = Degree::natural(5);
    let root = key.tonic.transpose(fifth.interval()).simplified();
    ChordSymbol::new(root, vec![Degree::natural(3), fifth, Degree::new(7, -1)], None)
}

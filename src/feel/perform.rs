//! From notes on the grid to a performance.

use super::accent::{Context, accent};
use super::deviation::{Deviation, StrokeDeviation};
use super::grid::{Ensemble, Grid, ticks_of_ms};
use super::length::held;
use super::player::Player;
use super::tidy::tidy;
use super::{Performance, PerformedNote, PerformedPart};
use crate::arrange::{Timeline, TimelineBar};
use crate::part::{Note, PartNotes, Stroke};
use crate::performance::Part;
use crate::units::{Ticks, Velocity};

/// How a performance is played.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct FeelSettings {
    /// The seed of all deviations.
    pub seed: u64,
    /// Whether there are any. Without them a performance is as regular as its swing allows.
    pub deviations: bool,
}

/// Performs the parts of a timeline, all of which must have been made for it.
///
/// Parts are heard together: whether drums or bass are among them decides where a line's notes
/// fall, and one style in even eighths makes all play them. So a part that is left out of a mix
/// must not be left out here, if the mixes are to agree.
///
/// A note before the start, as of a chord that is struck early, is played at the start; in a
/// loop it is played where the loop ends.
#[must_use]
pub fn perform(timeline: &Timeline, parts: &[PartNotes], settings: FeelSettings) -> Performance {
    let ensemble = Ensemble::of(parts);
    let loop_length = timeline.loops.then_some(timeline.end);
    let perform_part = |part: &PartNotes| {
        let notes = in_order(notes_inside(timeline, part));
        let grid = Grid::of(timeline, part.part, &notes, ensemble);
        let performer = Performer { timeline, part: part.part, grid, settings };
        let (part, instrument) = (part.part, part.instrument);
        PerformedPart { part, instrument, notes: tidy(performer.perform(&notes), loop_length) }
    };
    Performance {
        parts: parts.iter().map(perform_part).collect(),
        tempo: timeline.tempo.clone(),
        end: timeline.end,
    }
}

/// The player of a part.
struct Performer<'a> {
    timeline: &'a Timeline,
    part: Part,
    grid: Grid<'a>,
    settings: FeelSettings,
}

impl Performer<'_> {
    /// Performs notes in order, stroke by stroke: notes that are notated at one time are one.
    fn perform(&self, notes: &[Note]) -> Vec<PerformedNote> {
        let strokes: Vec<&[Note]> = notes.chunk_by(|note, next| note.at == next.at).collect();
        let mut performed = Vec::with_capacity(notes.len());
        let mut bar_before = None;
        let mut in_bar = 0;
        for stroke in strokes {
            let bar_index = self.timeline.bar_index(stroke[0].at);
            let Some(bar) = self.timeline.bars.get(bar_index) else { break };
            in_bar = if bar_before == Some(bar_index) { in_bar + 1 } else { 0 };
            bar_before = Some(bar_index);
            let context =
                Context { part: self.part, meter: bar.meter, in_bar: stroke[0].at - bar.start };
            let deviation = self.deviation(bar, in_bar);
            performed.extend(self.strike(stroke, context, deviation));
        }
        performed
    }

    /// The deviation of a bar's stroke, if there is any.
    fn deviation(&self, bar: &TimelineBar, stroke: usize) -> Option<StrokeDeviation> {
        let deviates = self.settings.deviations && Player::of(self.part) != Player::Machine;
        deviates.then(|| StrokeDeviation::draw(self.settings.seed, self.part, bar, stroke))
    }

    fn strike(
        &self,
        stroke: &[Note],
        context: Context,
        mut deviation: Option<StrokeDeviation>,
    ) -> Vec<PerformedNote> {
        let strike_note = |note: &Note| {
            let deviation = deviation.as_mut().map_or(Deviation::ZERO, StrokeDeviation::note);
            let tempo = self.timeline.tempo.at(note.at);
            let start = self.grid.performed(note.at);
            let full = self.grid.performed(note.at + note.length) - start;
            let on = (start + ticks_of_ms(deviation.ms, tempo)).max(Ticks::ZERO);
            let off = on + held(note, self.part, full, tempo);
            let velocity = i32::from(note.velocity.get()) + accent(note, context);
            let force = match note.stroke {
                Stroke::AsPlayed => 0,
                Stroke::Full | Stroke::Ghost => deviation.velocity_at(velocity),
            };
            PerformedNote {
                on,
                off: off.max(on + Ticks(1)),
                pitch: note.pitch,
                velocity: Velocity::clamped(velocity + force),
                variant: note.variant,
            }
        };
        stroke.iter().map(strike_note).collect()
    }
}

/// A part's notes; in a loop, those before its start or after its end come where they belong.
fn notes_inside(timeline: &Timeline, part: &PartNotes) -> Vec<Note> {
    let mut notes = part.notes.clone();
    if timeline.loops && timeline.end > Ticks::ZERO {
        for note in &mut notes {
            note.at = Ticks(note.at.0.rem_euclid(timeline.end.0));
        }
    }
    notes
}

/// Notes by start, then pitch; of two on one pitch at one time, the louder, for as long as the
/// longer.
fn in_order(mut notes: Vec<Note>) -> Vec<Note> {
    notes.sort_by_key(|note| (note.at, note.pitch, note.velocity));
    notes.dedup_by(|later, kept| {
        let same = later.at == kept.at && later.pitch == kept.pitch;
        if same {
            let length = later.length.max(kept.length);
            *kept = Note { length, ..later.clone() };
        }
        same
    });
    notes
}

//! What defines each built-in comp style, heard in its notes on many charts.

mod charts;
mod clarity;
mod colours;
mod every_style;
mod hands;
mod left_hand;
mod own_style;
mod practice;
mod rhythms;
mod under_lines;

use std::num::NonZeroU32;

use countoff::arrange::{Arrangement, BarKind, Ending, Timeline, TimelineSlot, arrange};
use countoff::chart::Chart;
use countoff::part::comp::{CompSettings, Voicings, play, voice};
use countoff::part::{BandPlan, Note, PlayContext, Stroke};
use countoff::style::{CompStyle, Library, Shelf};
use countoff::units::{Bpm, Ticks};

/// A style's notes on a chart, with all that they were made of.
struct Played {
    timeline: Timeline,
    style: CompStyle,
    voicings: Voicings,
    notes: Vec<Note>,
}

/// Notes struck at one time.
struct Attack<'a> {
    at: Ticks,
    notes: Vec<&'a Note>,
}

impl Attack<'_> {
    fn pitches(&self) -> Vec<u8> {
        self.notes.iter().map(|note| note.pitch).collect()
    }

    fn is_ghost(&self) -> bool {
        self.notes.iter().all(|note| note.stroke == Stroke::Ghost)
    }
}

/// The chart three times at 120 beats per minute, counted in.
fn three_choruses(chart: &Chart, ending: Ending) -> Timeline {
    let choruses = NonZeroU32::new(3).unwrap();
    let tempo = Bpm::new(120.0).unwrap();
    arrange(chart, &Arrangement { choruses, ending, ..Arrangement::once(tempo) }).unwrap()
}

fn style(name: &str) -> CompStyle {
    CompStyle::read(Library::built_in().find(Shelf::Comp, name).unwrap()).unwrap()
}

impl Played {
    fn new(style: &str, chart: &Chart) -> Played {
        Played::with(style, chart, &CompSettings::default(), Ending::None)
    }

    fn with(name: &str, chart: &Chart, settings: &CompSettings, ending: Ending) -> Played {
        Played::over(three_choruses(chart, ending), name, settings)
    }

    fn over(timeline: Timeline, name: &str, settings: &CompSettings) -> Played {
        let style = style(name);
        let voicings = voice(&timeline, &style, settings).unwrap();
        let notes =
            play(PlayContext::new(&timeline, &BandPlan::level(&timeline), 7), &style, &voicings)
                .notes;
        Played { timeline, style, voicings, notes }
    }

    /// The attacks from one time up to another.
    fn attacks(&self, from: Ticks, to: Ticks) -> Vec<Attack<'_>> {
        let inside: Vec<&Note> =
            self.notes.iter().filter(|note| from <= note.at && note.at < to).collect();
        let by_time = inside.chunk_by(|note, next| note.at == next.at);
        by_time.map(|notes| Attack { at: notes[0].at, notes: notes.to_vec() }).collect()
    }

    /// For each bar of the form that has a single chord: its slot and the attacks inside it.
    fn plain_bars(&self) -> Vec<(&TimelineSlot, Vec<Attack<'_>>)> {
        let bars = self.timeline.bars.iter().filter(|bar| bar.kind == BarKind::Chorus);
        let plain = bars.filter(|bar| bar.slots.len() == 1);
        plain.map(|bar| (&bar.slots[0], self.attacks(bar.start, bar.end()))).collect()
    }

    /// Every chord of the form with the attacks inside it; a chord that goes on is one a slot.
    fn chords(&self) -> Vec<(&TimelineSlot, Vec<Attack<'_>>)> {
        let bars = self.timeline.bars.iter().filter(|bar| bar.kind == BarKind::Chorus);
        let slots = bars.flat_map(|bar| &bar.slots).filter(|slot| slot.harmony.is_some());
        slots.map(|slot| (slot, self.attacks(slot.at, slot.at + slot.length))).collect()
    }
}

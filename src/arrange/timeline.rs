//! What happens when.

use std::sync::Arc;

use super::{Ending, TempoMap};
use crate::chart::{BandHits, FeelName, Pace};
use crate::theory::{Harmony, Key};
use crate::units::{Bpm, Meter, Ticks};

/// What happens when: bars with their chords, key, section and who plays; and the tempo map.
#[derive(Debug, Clone, PartialEq)]
pub struct Timeline {
    /// All bars from the first of the count-in to the last of the ending, without a gap.
    pub bars: Vec<TimelineBar>,
    /// The meter of the chart, which the tempos are of; bars may have others.
    pub meter: Meter,
    /// Tempo by tick.
    pub tempo: TempoMap,
    /// How eighth notes are played where no section says otherwise.
    pub feel: FeelName,
    /// The last tick: where the last bar ends.
    pub end: Ticks,
    /// How it ends.
    pub ending: Ending,
    /// True where the end leads back to the start without a gap, to be played round and round.
    pub loops: bool,
}

/// One bar of a timeline.
#[derive(Debug, Clone, PartialEq)]
pub struct TimelineBar {
    /// When it begins.
    pub start: Ticks,
    /// Its meter, and so its length.
    pub meter: Meter,
    /// The key of the whole tune as it is moved: what a line is moved by.
    pub home: Key,
    /// The key of this bar: its signature.
    pub key: Key,
    /// How its eighth notes are played.
    pub feel: FeelName,
    /// How fast it is against [`TimelineBar::tempo`].
    pub pace: Pace,
    /// The tempo in beats per minute that was asked for; that of a section, and the exact one, is in
    /// the tempo map.
    pub tempo: Bpm,
    /// What the bar is for.
    pub kind: BarKind,
    /// Which chorus, counted from 0. The count-in belongs to chorus 0, an announcing bar to the
    /// chorus that it announces, the ending to the last.
    pub chorus: u32,
    /// Which bar of the form, counted from 0; the ending is the bar after the form's last. Intro,
    /// interlude and outro count by themselves.
    pub form_bar: u32,
    /// How far into the form that is; beyond its end for bars that only the last chorus has.
    pub in_form: Ticks,
    /// The section that begins here.
    pub section: Option<String>,
    /// What the whole band plays together.
    pub hits: Option<BandHits>,
    /// Whether the drummer plays alone.
    pub drums_alone: bool,
    /// False where the click rests (see the resting click of the practice shapes).
    pub click: bool,
    /// The chords, at times from the start of the timeline; empty in a count-in or lead-in.
    pub slots: Vec<TimelineSlot>,
}

/// What a bar of a timeline is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum BarKind {
    /// A bar before the form that is not counted: room for a line's pickup, no chord sounds.
    LeadIn,
    /// Counting in; no chord sounds.
    CountIn,
    /// Before the first chorus; the line rests.
    Intro,
    /// A bar of the form, played by the band and, where there is one, the line.
    Chorus,
    /// Between two choruses; the line rests.
    Interlude,
    /// A bar of the form where the line rests, for the student to answer in.
    Answer,
    /// A bar that announces the coming key.
    Announce,
    /// After the last chorus; the line rests.
    Outro,
    /// The held or short last chord after the last chorus.
    Ending,
}

impl std::fmt::Display for BarKind {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(self.name())
    }
}

/// A chord in its place on the timeline.
#[derive(Debug, Clone, PartialEq)]
pub struct TimelineSlot {
    /// When it begins, from the start of the timeline.
    pub at: Ticks,
    /// How long it lasts within its bar.
    pub length: Ticks,
    /// The chord with its function; `None` is N.C., silence.
    pub harmony: Option<Arc<Harmony>>,
}

impl Timeline {
    /// When the first bar begins that is played: after lead-in and count-in.
    #[must_use]
    pub fn form_start(&self) -> Ticks {
        self.bars.iter().find(|bar| bar.kind.is_played()).map_or(self.end, |bar| bar.start)
    }

    /// The index of the bar that a tick lies in; the first or last bar for ticks outside.
    #[must_use]
    pub fn bar_index(&self, at: Ticks) -> usize {
        self.bars.partition_point(|bar| bar.start <= at).saturating_sub(1)
    }

    /// The bar that a tick lies in; the first or last bar for ticks outside. `None` only where
    /// there are no bars at all, which [`arrange`](super::arrange) never makes.
    #[must_use]
    pub fn bar(&self, at: Ticks) -> Option<&TimelineBar> {
        self.bars.get(self.bar_index(at))
    }

    /// The chord that sounds at a tick.
    #[must_use]
    pub fn harmony(&self, at: Ticks) -> Option<&Arc<Harmony>> {
        let slot = self.bar(at)?.slots.iter().rfind(|slot| slot.at <= at)?;
        slot.harmony.as_ref()
    }

    /// Every chord and silence, in order.
    pub fn slots(&self) -> impl Iterator<Item = &TimelineSlot> + '_ {
        self.bars.iter().flat_map(|bar| &bar.slots)
    }
}

impl TimelineBar {
    /// When it ends.
    #[must_use]
    pub fn end(&self) -> Ticks {
        self.start + self.meter.bar()
    }
}

impl TimelineSlot {
    /// When it ends.
    #[must_use]
    pub fn end(&self) -> Ticks {
        self.at + self.length
    }
}

impl BarKind {
    /// All of them.
    pub const ALL: [BarKind; 9] = [
        BarKind::LeadIn,
        BarKind::CountIn,
        BarKind::Intro,
        BarKind::Chorus,
        BarKind::Interlude,
        BarKind::Answer,
        BarKind::Announce,
        BarKind::Outro,
        BarKind::Ending,
    ];

    /// Its name in one word, as random streams and the manifest have it.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            BarKind::LeadIn => "lead-in",
            BarKind::CountIn => "count-in",
            BarKind::Intro => "intro",
            BarKind::Chorus => "chorus",
            BarKind::Interlude => "interlude",
            BarKind::Answer => "answer",
            BarKind::Announce => "announce",
            BarKind::Outro => "outro",
            BarKind::Ending => "ending",
        }
    }

    /// The passage of the tune that it is in: the student answers within a chorus.
    #[must_use]
    pub const fn passage(self) -> BarKind {
        match self {
            BarKind::Answer => BarKind::Chorus,
            kind => kind,
        }
    }

    /// True for bars in which the band plays: all but lead-in and count-in.
    #[must_use]
    pub const fn is_played(self) -> bool {
        !matches!(self, BarKind::LeadIn | BarKind::CountIn)
    }
}

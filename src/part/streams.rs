//! The random streams of a performance: the one place that names them.
//!
//! A stream is named after what is chosen and the bar that it is chosen for, so that nothing that
//! happens elsewhere changes it. The names below are chosen, not derived, and they decide notes: a
//! name that changes gives other notes from the same seed.

use std::fmt::Display;

use crate::arrange::{BarKind, TimelineBar};
use crate::performance::Part;
use crate::random::Stream;

/// What chance decides in a bar.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Choice {
    /// The comp's rhythm. A bar to answer in has the rhythm of the bar that it answers.
    CompRhythm,
    /// The comp's motif in a phrase, and what becomes of it.
    CompPhrase,
    /// The bass's rhythm.
    BassRhythm,
    /// Which chords the bass begins on another note than the root.
    BassChanges,
    /// Where in its register the bass goes from here.
    BassContour,
    /// Which of the pitches that serve nearly as well the bass takes.
    BassLine,
    /// The drums' rhythm.
    DrumRhythm,
    /// Which recordings of their strokes the drums take.
    DrumVariants,
    /// How far a stroke of a part is from its exact time and velocity; strokes are counted in
    /// their bar.
    Deviation { part: Part, stroke: usize },
}

impl Choice {
    /// The stream of this choice in a bar: named after the choice, the chorus, what the bar is for
    /// and its place in the form.
    pub(crate) fn stream(self, seed: u64, bar: &TimelineBar) -> Stream {
        let (choice, kind) = (self.name(), self.name_of(bar.kind));
        let mut names: Vec<&dyn Display> = vec![&choice];
        if let Choice::Deviation { part, .. } = &self {
            names.push(part);
        }
        names.push(&bar.chorus);
        names.extend(kind.iter().map(|kind| kind as &dyn Display));
        names.push(&bar.form_bar);
        if let Choice::Deviation { stroke, .. } = &self {
            names.push(stroke);
        }
        Stream::named(seed, &names)
    }

    const fn name(self) -> &'static str {
        match self {
            Choice::CompRhythm => "comp",
            Choice::CompPhrase => "comp phrase",
            Choice::BassRhythm => "bass rhythm",
            Choice::BassChanges => "bass changes",
            Choice::BassContour => "bass contour",
            Choice::BassLine => "bass line",
            Choice::DrumRhythm => "drums",
            Choice::DrumVariants => "drum variants",
            Choice::Deviation { .. } => "feel",
        }
    }

    /// What a kind of bar is called in the stream's name; nothing where the choice does not tell a
    /// phrase from its answer.
    const fn name_of(self, kind: BarKind) -> Option<&'static str> {
        match (self, kind) {
            (Choice::Deviation { .. }, kind) => Some(kind.name()),
            (Choice::CompRhythm | Choice::CompPhrase, BarKind::Chorus | BarKind::Answer) => None,
            (_, BarKind::LeadIn) => Some("LeadIn"),
            (_, BarKind::CountIn) => Some("CountIn"),
            (_, BarKind::Intro) => Some("Intro"),
            (_, BarKind::Chorus) => Some("Chorus"),
            (_, BarKind::Interlude) => Some("Interlude"),
            (_, BarKind::Outro) => Some("Outro"),
            (_, BarKind::Answer) => Some("Answer"),
            (_, BarKind::Announce) => Some("Announce"),
            (_, BarKind::Ending) => Some("Ending"),
        }
    }
}

//! The places of a timeline that one wants to find again.

use super::{BarKind, Timeline, TimelineBar};
use crate::units::Ticks;

/// A place to find again, as MIDI files, WAV files and the manifest mark it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Marker {
    /// Where.
    pub at: Ticks,
    /// What begins there.
    pub kind: MarkerKind,
    /// Its name in words: `Count-in`, `Chorus 2`, `A`.
    pub label: String,
}

/// What begins at a marker.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum MarkerKind {
    /// A line's pickup, before anything is counted.
    LeadIn,
    /// The count-in.
    CountIn,
    /// A bar that announces a key.
    Announce,
    /// What is played before the first chorus.
    Intro,
    /// What is played between choruses.
    Interlude,
    /// What is played after the last chorus.
    Outro,
    /// A chorus; its label says a new key or tempo.
    Chorus,
    /// A section of the form.
    Section,
    /// A phrase that was preceded by an answer.
    Phrase,
    /// An answer.
    Answer,
    /// The ending.
    Ending,
}

impl Timeline {
    /// All markers in order; where several stand at one place, from the larger to the smaller.
    #[must_use]
    pub fn markers(&self) -> Vec<Marker> {
        let naming = ChorusNaming::of(&self.bars);
        let mut markers = Vec::new();
        let mut chorus = None;
        let befores = std::iter::once(None).chain(self.bars.iter().map(|bar| Some(bar.kind)));
        for (before, bar) in befores.zip(&self.bars) {
            let mut mark =
                |kind, label: String| markers.push(Marker { at: bar.start, kind, label });
            let begins = before != Some(bar.kind);
            match bar.kind {
                BarKind::LeadIn if begins => mark(MarkerKind::LeadIn, "Lead-in".to_owned()),
                BarKind::CountIn if begins => mark(MarkerKind::CountIn, "Count-in".to_owned()),
                BarKind::Intro if begins => mark(MarkerKind::Intro, "Intro".to_owned()),
                BarKind::Interlude if begins => {
                    mark(MarkerKind::Interlude, "Interlude".to_owned());
                }
                BarKind::Outro if begins => mark(MarkerKind::Outro, "Outro".to_owned()),
                BarKind::Announce => mark(MarkerKind::Announce, format!("To {}", bar.key)),
                BarKind::Ending => mark(MarkerKind::Ending, "Ending".to_owned()),
                BarKind::Answer if begins => mark(MarkerKind::Answer, "Answer".to_owned()),
                BarKind::Chorus if chorus != Some(bar.chorus) => {
                    chorus = Some(bar.chorus);
                    mark(MarkerKind::Chorus, naming.name(bar));
                }
                BarKind::Chorus if before == Some(BarKind::Answer) => {
                    mark(MarkerKind::Phrase, "Phrase".to_owned());
                }
                _ => {}
            }
            let is_beside =
                matches!(bar.kind, BarKind::Intro | BarKind::Interlude | BarKind::Outro);
            if let Some(section) = bar.section.as_ref().filter(|_| !is_beside) {
                mark(MarkerKind::Section, section.clone());
            }
        }
        markers
    }
}

/// What a chorus's name has to say besides its number.
struct ChorusNaming {
    keys_change: bool,
    tempos_change: bool,
}

impl ChorusNaming {
    fn of(bars: &[TimelineBar]) -> ChorusNaming {
        ChorusNaming {
            keys_change: bars.windows(2).any(|pair| pair[0].home != pair[1].home),
            tempos_change: bars.windows(2).any(|pair| pair[0].tempo != pair[1].tempo),
        }
    }

    /// `Chorus 2`, `Chorus 2 in Cm`, `Chorus 2, 65 bpm`.
    fn name(&self, first_bar: &TimelineBar) -> String {
        let mut name = format!("Chorus {}", first_bar.chorus + 1);
        if self.keys_change {
            name += &format!(" in {}", first_bar.home);
        }
        if self.tempos_change {
            name += &format!(", {} bpm", first_bar.tempo);
        }
        name
    }
}

//! The places of a timeline that one wants to find again.

use super::{BarKind, Timeline};
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
        let mut markers = Vec::new();
        let starts = std::iter::once(None).chain(self.bars.iter().map(Some));
        for (before, bar) in starts.zip(&self.bars) {
            let mut mark =
                |kind, label: String| markers.push(Marker { at: bar.start, kind, label });
            let kind_before = before.map(|before| before.kind);
            let new_kind = kind_before != Some(bar.kind);
            match bar.kind {
                BarKind::LeadIn if new_kind => mark(MarkerKind::LeadIn, "Lead-in".to_owned()),
                BarKind::CountIn if new_kind => mark(MarkerKind::CountIn, "Count-in".to_owned()),
                BarKind::Announce => mark(MarkerKind::Announce, format!("To {}", bar.key)),
                BarKind::Ending => mark(MarkerKind::Ending, "Ending".to_owned()),
                BarKind::Answer if new_kind => mark(MarkerKind::Answer, "Answer".to_owned()),
                BarKind::Chorus if bar.form_bar == 0 => {
                    mark(MarkerKind::Chorus, self.chorus_label(bar.chorus));
                }
                BarKind::Chorus if kind_before == Some(BarKind::Answer) => {
                    mark(MarkerKind::Phrase, "Phrase".to_owned());
                }
                _ => {}
            }
            if let Some(section) = &bar.section {
                mark(MarkerKind::Section, section.clone());
            }
        }
        markers
    }

    /// `Chorus 2`, with the key and tempo where they change in the course of the timeline.
    fn chorus_label(&self, chorus: u32) -> String {
        let mut label = format!("Chorus {}", chorus + 1);
        let (Some(first), Some(bar)) =
            (self.bars.first(), self.bars.iter().find(|bar| bar.chorus == chorus))
        else {
            return label;
        };
        if self.bars.iter().any(|other| other.key != first.key) {
            label.push_str(&format!(" in {}", bar.key));
        }
        if self.bars.iter().any(|other| other.tempo != first.tempo) {
            label.push_str(&format!(", {} bpm", bar.tempo));
        }
        label
    }
}

//! What is read over, by kind and bar.

use std::collections::{BTreeMap, BTreeSet};

/// A kind of sign that could be heard, or that says something else than notes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Omitted {
    GraceNotes,
    ChordSymbol,
    Annotation,
    Fingering,
    Decoration,
    Lyrics,
    Tempo,
    Parts,
    LooseTie,
    OtherOctave,
}

impl Omitted {
    const fn sentence(self) -> &'static str {
        match self {
            Omitted::GraceNotes => "grace notes are not played",
            Omitted::ChordSymbol => "chord symbols are not read; the chart has the chords",
            Omitted::Annotation => "text over the notes is not read",
            Omitted::Fingering => "fingering is not read",
            Omitted::Decoration => "ornaments and playing signs are not played",
            Omitted::Lyrics => "words under the notes are not read",
            Omitted::Tempo => "Q: is not read; tempos are the lesson's",
            Omitted::Parts => "P: is not followed; the notes are played as they stand",
            Omitted::LooseTie => "a tie leads to no note of its pitch",
            Omitted::OtherOctave => {
                "an accidental also holds in another octave, as ABC 2.1 has it; \
                 write `=` before a note that is meant without"
            }
        }
    }
}

/// All that was read over, by kind and bar.
#[derive(Debug, Default)]
pub(super) struct Omissions(BTreeMap<Omitted, BTreeSet<u32>>);

impl Omissions {
    /// Notes one; bar 0 is what stands before the first bar line.
    pub(super) fn note(&mut self, kind: Omitted, bar: u32) {
        self.0.entry(kind).or_default().insert(bar);
    }

    /// One sentence a kind: `bars 1 and 3: grace notes are not played`. Where there is no
    /// pickup, what stands before the first bar line is bar 1.
    pub(super) fn sentences(&self, has_pickup: bool) -> Vec<String> {
        let first = u32::from(!has_pickup);
        let sentence = |(kind, bars): (&Omitted, &BTreeSet<u32>)| {
            let bars = bars.iter().map(|bar| (*bar).max(first)).collect();
            format!("{}: {}", names(&bars), kind.sentence())
        };
        self.0.iter().map(sentence).collect()
    }
}

/// `bar 2`, `bars 1, 2 and 5`, `pickup and bar 3`.
fn names(bars: &BTreeSet<u32>) -> String {
    let numbers: Vec<String> = bars.iter().filter(|bar| **bar > 0).map(u32::to_string).collect();
    let listed = match numbers.split_last() {
        None => return "pickup".to_owned(),
        Some((only, [])) => format!("bar {only}"),
        Some((last, before)) => format!("bars {} and {last}", before.join(", ")),
    };
    if bars.contains(&0) { format!("pickup and {listed}") } else { listed }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bars_are_listed_as_people_list_them() {
        let mut omissions = Omissions::default();
        for bar in [3, 1, 3, 0] {
            omissions.note(Omitted::GraceNotes, bar);
        }
        omissions.note(Omitted::Tempo, 0);
        omissions.note(Omitted::Lyrics, 2);
        assert_eq!(
            omissions.sentences(true),
            [
                "pickup and bars 1 and 3: grace notes are not played",
                "bar 2: words under the notes are not read",
                "pickup: Q: is not read; tempos are the lesson's",
            ]
        );
    }
}

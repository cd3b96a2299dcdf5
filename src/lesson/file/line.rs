//! Lines, as people write them.

use std::ops::RangeInclusive;

use schemars::JsonSchema;
use serde::Deserialize;

use super::{Bars, TechniqueEntry};
use crate::compose::Upper;
use crate::part::Hand;
use crate::performance::{GENERAL_MIDI, Instrument};
use crate::problem::{nearest, quoted};
use crate::random::Seed;
use crate::schema::{Bounded, Name, Placed, Words, decimal, text};
use crate::theory::Pitch;

/// `[[line]]`: notes over a chart.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(in crate::lesson) struct LineEntry {
    /// The name that tracks refer to.
    pub(in crate::lesson) name: Placed<Name>,
    /// The chart that it was written over, in that chart's key.
    pub(in crate::lesson) chart: Placed<Name>,
    /// Its notes in ABC notation; the chart gives key and meter.
    pub(in crate::lesson) abc: Option<Placed<String>>,
    /// A MIDI file with its notes, relative to the lesson.
    pub(in crate::lesson) midi: Option<Placed<Words>>,
    /// A MusicXML file (.musicxml or .mxl) with its notes, relative to the lesson: the first voice
    /// of the first part, or of the first with chord symbols.
    pub(in crate::lesson) musicxml: Option<Placed<Words>>,
    /// A technique to compose it by, of those that `countoff techniques` lists; or several with
    /// their weights.
    pub(in crate::lesson) technique: Option<Placed<TechniqueEntry>>,
    /// The seed of a composed line; the lesson's where it is left out.
    pub(in crate::lesson) seed: Option<Placed<Seed>>,
    /// How many lines to compose, 1 to 99, from as many seeds: an exercise book. A track that plays
    /// it becomes as many tracks. 1 where it is left out.
    pub(in crate::lesson) count: Option<Placed<Bounded<u8, 1, 99>>>,
    /// The bars that a composed line keeps to, such as `"1-4, 7"`; all where it is left out.
    pub(in crate::lesson) bars: Option<Placed<Bars>>,
    /// How hard the rhythm of a composed line is, 1 to 5: plain eighth notes; off-beat beginnings and
    /// pickups; ties, also over the bar line; triplets; sixteenths, for slow tempos. By its
    /// technique, 2 to 4, where it is left out.
    pub(in crate::lesson) rhythm: Option<Placed<Bounded<u8, 1, 5>>>,
    /// What neighbours and enclosures of a composed line take above a chord tone: `"half-step"`,
    /// inside the scale or not, or `"scale"`, the step of the chord's scale; the half step where it
    /// is left out.
    pub(in crate::lesson) upper: Option<Placed<Upper>>,
    /// How many bars a phrase of a composed line has at most, 0 to 64, after which it takes a
    /// breath; 0 is never, and 4 where it is left out.
    pub(in crate::lesson) breathe: Option<Placed<Bounded<u32, 0, 64>>>,
    /// How many eighth notes a composed line is moved to the right, 0 to 3: less than half a bar,
    /// which the closing note has; 0 where it is left out.
    pub(in crate::lesson) displace: Option<Placed<Bounded<u8, 0, 3>>>,
    /// How many beats of the MIDI file come before the first bar line, 0 to 16; none where it is
    /// left out.
    pub(in crate::lesson) pickup: Option<Placed<Pickup>>,
    /// The hand that plays it: `"right"`, or `"left"`, which plays in place of a comp style; right
    /// where it is left out.
    pub(in crate::lesson) hand: Option<Hand>,
    /// What it is played on, by its General MIDI name; the acoustic grand piano where it is left
    /// out.
    pub(in crate::lesson) instrument: Option<Placed<InstrumentName>>,
    /// The lowest and the highest note, such as `"C4 C6"`: it is moved by octaves to stay between
    /// them. Where it is left out it stays where it was written, and near to it in other keys.
    pub(in crate::lesson) range: Option<LineRange>,
}

decimal! {
    /// Beats before the first bar line.
    Pickup, "minimum": 0, "maximum": 16
}

text! {
    /// The name of an instrument of General MIDI.
    InstrumentName(Instrument),
    [],
    |text| Instrument::named(text).ok_or_else(|| {
        let help = match nearest(text, GENERAL_MIDI) {
            Some(right) => format!("did you mean \"{right}\"? use a name of General MIDI"),
            None => "use a name of General MIDI, such as \"Vibraphone\"; \
                     `countoff soundfonts` tells which there are"
                .to_owned(),
        };
        format!("there is no instrument named `{}`\n{help}", quoted(text))
    })
}

/// A range must hold a line in all keys: an octave.
const LEAST_RANGE: u8 = 12;

text! {
    /// The lowest and the highest note of a line, as MIDI numbers.
    LineRange(RangeInclusive<u8>),
    [regex(pattern = r"^\s*[A-G](b|#|♭|♯)?-?[0-9]+\s+[A-G](b|#|♭|♯)?-?[0-9]+\s*$")],
    |text| {
        let ends: Result<Vec<Pitch>, _> = text.split_whitespace().map(str::parse).collect();
        let ends = ends.map_err(|error| format!("{error}\nwrite a range as \"C4 C6\""))?;
        let numbers: Vec<u8> = ends.into_iter().filter_map(Pitch::midi).collect();
        let text = quoted(text);
        let [low, high] = numbers[..] else {
            let help = "write the lowest and the highest note: \"C4 C6\"";
            return Err(format!("`{text}` is no range\n{help}"));
        };
        if high.checked_sub(low).is_none_or(|size| size < LEAST_RANGE) {
            let help = "write the lowest note first; the highest is an octave above it, or more";
            return Err(format!("the range {text} is too small\n{help}"));
        }
        Ok(low..=high)
    }
}

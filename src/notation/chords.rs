//! A chord symbol as MusicXML says it: a kind and changes of degree.
//!
//! Added degrees count from a dominant chord, as the W3C's page on `degree-alter` says: an added
//! seventh without alteration is minor.

use crate::codec::musicxml::{DegreeElement, DegreeKind, HarmonyElement};
use crate::theory::{Change, ChordSymbol, Degree, DegreeChange, Letter, NoteName};
use crate::units::Ticks;

/// The kinds that chord symbols are built on, each with its usual text; of two that need as many
/// changes the first is taken.
const KINDS: [(&str, &str); 25] = [
    ("major", ""),
    ("minor", "m"),
    ("dominant", "7"),
    ("major-seventh", "maj7"),
    ("minor-seventh", "m7"),
    ("half-diminished", "m7b5"),
    ("diminished", "dim"),
    ("diminished-seventh", "dim7"),
    ("augmented", "+"),
    ("augmented-seventh", "7#5"),
    ("major-minor", "m(maj7)"),
    ("major-sixth", "6"),
    ("minor-sixth", "m6"),
    ("dominant-ninth", "9"),
    ("major-ninth", "maj9"),
    ("minor-ninth", "m9"),
    ("dominant-11th", "11"),
    ("major-11th", "maj11"),
    ("minor-11th", "m11"),
    ("dominant-13th", "13"),
    ("major-13th", "maj13"),
    ("minor-13th", "m13"),
    ("suspended-second", "sus2"),
    ("suspended-fourth", "sus4"),
    ("power", "5"),
];

/// The element of a chord, or of N.C., at a time from the start of its measure. Where the symbol is
/// its kind's usual text with the changes after it, as `7b9` is, both are printed: not every program
/// respects a degree that is not to be printed. Elsewhere the text is the whole symbol, as the W3C's
/// page on `kind` has it for `13sus`.
pub(super) fn harmony(symbol: Option<&ChordSymbol>, at: Ticks) -> HarmonyElement {
    let Some(symbol) = symbol else {
        return HarmonyElement {
            at,
            root: NoteName::new(Letter::C, 0),
            kind: "none".to_owned(),
            text: Some("N.C.".to_owned()),
            degrees: Vec::new(),
            bass: None,
        };
    };
    let (kind, changes) = kind(symbol);
    let text = suffix(symbol);
    let usual = KINDS.iter().find(|(name, _)| *name == kind).map(|(_, usual)| *usual);
    let printed = usual.filter(|usual| {
        let degrees: String = changes.iter().map(printed_degree).collect();
        text.strip_prefix(usual).is_some_and(|rest| rest == degrees)
    });
    let degree = |change: &DegreeChange| DegreeElement {
        kind: match change.change {
            Change::Add => DegreeKind::Add,
            Change::Alter => DegreeKind::Alter,
            Change::Subtract => DegreeKind::Subtract,
        },
        value: change.number,
        alter: change.alter,
        printed: printed.is_some(),
    };
    HarmonyElement {
        at,
        root: symbol.root,
        kind: kind.to_owned(),
        text: Some(printed.map_or(text, str::to_owned)),
        degrees: changes.iter().map(degree).collect(),
        bass: symbol.bass,
    }
}

/// How programs print a change of degree.
fn printed_degree(change: &DegreeChange) -> String {
    let sign = match change.change {
        Change::Subtract => "no",
        Change::Add if change.alter == 0 => "add",
        Change::Add | Change::Alter => match change.alter {
            -1 => "b",
            1 => "#",
            _ => "?",
        },
    };
    format!("{sign}{}", change.number)
}

/// What follows the root in the symbol, without the bass.
fn suffix(symbol: &ChordSymbol) -> String {
    let plain = ChordSymbol { bass: None, ..symbol.clone() }.to_string();
    let root = symbol.root.to_string();
    plain.strip_prefix(&root).unwrap_or(&plain).to_owned()
}

/// The kind with the fewest changes that is the chord again when it is read.
fn kind(symbol: &ChordSymbol) -> (&'static str, Vec<DegreeChange>) {
    let candidate = |(kind, _): (&'static str, &str)| {
        let of_kind = ChordSymbol::from_kind(symbol.root, kind, &[], None).ok().flatten()?;
        let changes = changes(symbol, &of_kind);
        let read =
            ChordSymbol::from_kind(symbol.root, kind, &changes, symbol.bass).ok().flatten()?;
        (read == *symbol).then_some((kind, changes))
    };
    let candidates = KINDS.into_iter().filter_map(candidate);
    let best = candidates.min_by_key(|(_, changes)| changes.iter().map(cost).sum::<u32>());
    best.unwrap_or_else(|| ("other", added_to_root(symbol)))
}

/// Missing degrees are harder to read than added ones, and so are altered tensions: a 13b9 is a
/// dominant chord with both added, as `tests/facts/musicxml_kinds.tsv` has it.
fn cost(change: &DegreeChange) -> u32 {
    match change.change {
        Change::Alter if change.number > 7 => 5,
        Change::Add | Change::Alter => 2,
        Change::Subtract => 5,
    }
}

/// What makes one chord of another.
fn changes(symbol: &ChordSymbol, of_kind: &ChordSymbol) -> Vec<DegreeChange> {
    let mut spare: Vec<Degree> =
        of_kind.degrees.iter().copied().filter(|degree| !symbol.has(*degree)).collect();
    let mut changes = Vec::new();
    for degree in symbol.degrees.iter().copied().filter(|degree| !of_kind.has(*degree)) {
        let same_number = spare.iter().position(|spare| spare.number == degree.number);
        changes.push(match same_number {
            Some(index) => {
                let altered = spare.remove(index);
                change(Change::Alter, degree, altered.alter)
            }
            None => change(Change::Add, degree, of_dominant(degree)),
        });
    }
    changes.extend(spare.into_iter().map(|degree| change(Change::Subtract, degree, degree.alter)));
    changes
}

fn change(change: Change, degree: Degree, against: i8) -> DegreeChange {
    DegreeChange { change, number: degree.number, alter: degree.alter - against }
}

/// The alteration that a dominant chord has at this degree.
const fn of_dominant(degree: Degree) -> i8 {
    if degree.number == 7 { -1 } else { 0 }
}

/// The last resort: every degree added to a bare root.
fn added_to_root(symbol: &ChordSymbol) -> Vec<DegreeChange> {
    let degrees = symbol.degrees.iter().filter(|degree| degree.number > 1);
    degrees.map(|degree| change(Change::Add, *degree, of_dominant(*degree))).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn written(text: &str) -> String {
        let symbol = ChordSymbol::parse(text).unwrap();
        let harmony = harmony(Some(&symbol), Ticks::ZERO);
        let degree = |degree: &DegreeElement| {
            format!(" {:?}{:+}@{}", degree.kind, degree.alter, degree.value)
        };
        let degrees: String = harmony.degrees.iter().map(degree).collect();
        format!("{}{degrees} {}", harmony.kind, harmony.text.unwrap_or_default())
    }

    /// `tests/facts/musicxml_kinds.tsv`; where it counts an added seventh from the major scale,
    /// the W3C's MusicXML 4.0 page on `degree-alter`, which counts it from a dominant.
    #[test]
    fn kinds_and_degrees_are_those_of_the_standard() {
        for (text, expected) in [
            ("C", "major "),
            ("Am7b5", "half-diminished m7b5"),
            ("G7sus4", "suspended-fourth Add+0@7 7sus4"),
            ("G9sus4", "suspended-fourth Add+0@7 Add+0@9 9sus4"),
            ("C6/9", "major-sixth Add+0@9 6/9"),
            ("D7b9", "dominant Add-1@9 7"),
            ("G13b9", "dominant Add-1@9 Add+0@13 13b9"),
            ("D7b5", "dominant Alter-1@5 7"),
            ("D7#5b9", "augmented-seventh Add-1@9 7#5"),
            ("Cmaj7#11", "major-seventh Add+1@11 maj7"),
            ("Cmaj7#5", "major-seventh Alter+1@5 maj7"),
            ("Cm(maj7)", "major-minor m(maj7)"),
            ("Bdim7", "diminished-seventh dim7"),
            ("Cm6/9", "minor-sixth Add+0@9 m6/9"),
            ("D7/F#", "dominant 7"),
        ] {
            assert_eq!(written(text), expected, "{text}");
        }
    }

    #[test]
    fn silence_is_a_kind_of_its_own() {
        let silence = harmony(None, Ticks(960));
        assert_eq!((silence.kind.as_str(), silence.at), ("none", Ticks(960)));
    }
}

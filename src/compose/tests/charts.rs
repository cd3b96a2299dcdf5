//! Charts to compose over.

use crate::chart::{Chart, ChartSource, FeelName, FormSource};
use crate::melody::Form;
use crate::random::Stream;
use crate::theory::Key;
use crate::units::Meter;

/// A form from text in common time.
pub(crate) fn form(text: &str, key: &str) -> Form {
    Form::of(&chart(text, key, Meter::FourFour))
}

pub(crate) fn chart(text: &str, key: &str, meter: Meter) -> Chart {
    let source = ChartSource {
        name: "test",
        key: key.parse().unwrap(),
        meter,
        feel: FeelName::Swing,
        form: FormSource::default(),
        sections: &[("A", text)],
    };
    source.parse().unwrap_or_else(|errors| panic!("{text}: {errors:?}"))
}

const KEYS: [&str; 24] = [
    "C", "F", "Bb", "Eb", "Ab", "Db", "Gb", "B", "E", "A", "D", "G", "Cm", "Fm", "Bbm", "Ebm",
    "G#m", "C#m", "F#m", "Bm", "Em", "Am", "Dm", "Gm",
];
const ROOTS: [&str; 12] = ["C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"];
const SUFFIXES: [&str; 36] = [
    "", "m", "maj7", "m7", "7", "6", "m6", "m7b5", "dim7", "7sus4", "7alt", "13", "7b9", "maj9",
    "5", "+", "m(maj7)", "7#11", "9", "m9", "6/9", "maj7#11", "7#9", "7b9b13", "m11", "sus4",
    "sus2", "dim", "maj7#5", "7#5", "add9", "11", "13b9", "7b5", "9sus4", "m7",
];
const MAJOR_KEY: [&str; 12] =
    ["Imaj7", "ii7", "V7", "vi7", "iii7", "IVmaj7", "viiø7", "V7/ii", "V7/V", "bII7", "I6", "iv6"];
const MINOR_KEY: [&str; 9] =
    ["i6", "iiø7", "V7b9", "iv7", "bVImaj7", "bIIImaj7", "V7", "viio7", "i7"];

/// Any chart: a few bars in any meter and key, chords of the key and of anywhere, short chords and
/// silence among them.
pub(crate) fn any_form(seed: u64) -> Form {
    let mut stream = Stream::named(seed, &[&"test", &"chart"]);
    let meter = pick(
        &mut stream,
        &[
            Meter::FourFour,
            Meter::FourFour,
            Meter::FourFour,
            Meter::ThreeFour,
            Meter::FiveFour,
            Meter::SixEight,
            Meter::TwoTwo,
        ],
    );
    let key = pick(&mut stream, &KEYS);
    let bars = 2 + stream.below(4) + if stream.chance(0.15) { 5 } else { 0 };
    let at_home = stream.chance(0.5);
    let text: Vec<String> = (0..bars).map(|_| bar(&mut stream, meter, key, at_home)).collect();
    Form::of(&chart(&format!("| {} |", text.join(" | ")), key, meter))
}

fn bar(stream: &mut Stream, meter: Meter, key: &str, at_home: bool) -> String {
    let counts: &[usize] = match meter {
        Meter::FourFour => &[1, 1, 1, 2, 2, 4],
        Meter::TwoTwo => &[1, 1, 2],
        Meter::ThreeFour => &[1, 1, 1, 3],
        Meter::FiveFour => &[1, 1, 1, 5],
        Meter::SixEight | Meter::TwoFour => &[1, 1, 2],
    };
    let count = pick(stream, counts);
    let chords: Vec<String> = (0..count).map(|_| chord(stream, key, at_home)).collect();
    chords.join(" ")
}

fn chord(stream: &mut Stream, key: &str, at_home: bool) -> String {
    if stream.chance(0.04) {
        return "N.C.".to_owned();
    }
    let minor = key.parse::<Key>().unwrap().mode == crate::theory::Mode::Minor;
    if stream.chance(if at_home { 0.9 } else { 0.2 }) {
        let of_key: &[&str] = if minor { &MINOR_KEY } else { &MAJOR_KEY };
        return pick(stream, of_key).to_owned();
    }
    format!("{}{}", pick(stream, &ROOTS), pick(stream, &SUFFIXES))
}

fn pick<T: Copy>(stream: &mut Stream, from: &[T]) -> T {
    from[stream.below(from.len())]
}

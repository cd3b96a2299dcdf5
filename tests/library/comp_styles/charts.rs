//! Charts to try the styles on.

use countoff::chart::{Chart, ChartSource, FeelName, FormSource};
use countoff::random::Stream;
use countoff::theory::{Key, Mode};
use countoff::units::Meter;

/// A chart from its bars.
pub(crate) fn chart(key: &str, meter: Meter, bars: &str) -> Chart {
    let source = ChartSource {
        name: "sample",
        key: key.parse().unwrap(),
        meter,
        feel: FeelName::Swing,
        form: FormSource::default(),
        sections: &[("A", bars)],
    };
    source.parse().unwrap_or_else(|errors| panic!("{bars}: {errors:?}"))
}

/// Cadences, a turnaround and a blues in all twelve keys, one chord a bar or two.
pub(crate) fn progressions() -> Vec<Chart> {
    let common = Meter::FourFour;
    let major = chart("C", common, "| Dm7 | G7 | Cmaj7 | A7 | Dm7 G7 | Em7 A7b9 | Dm9 G13 | C6 |");
    let minor = chart("Gm", common, "| Am7b5 | D7 | Gm6 | % | Cm7 F7 | Bbmaj7 | Am7b5 D7 | Gm6 |");
    let blues = chart(
        "F",
        common,
        "| F7 | Bb7 | F7 | Cm7 F7 | Bb7 | Bdim7 | F7 | D7 | Gm7 | C7 | F7 D7 | Gm7 C7 |",
    );
    let in_all_keys =
        |chart: &Chart, mode| Key::circle_of_fourths(mode).map(|key| chart.transpose(key));
    [
        in_all_keys(&major, Mode::Major),
        in_all_keys(&minor, Mode::Minor),
        in_all_keys(&blues, Mode::Major),
    ]
    .concat()
}

const ROOTS: [&str; 12] = ["C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"];
const SUFFIXES: [&str; 26] = [
    "", "m", "6", "m6", "maj7", "m7", "7", "m7b5", "dim7", "7b9", "7#9", "7alt", "13", "9", "m9",
    "maj9", "7sus4", "9sus4", "7#11", "m(maj7)", "maj7#5", "7#5", "11", "6/9", "m11", "dim",
];

/// Random bars of one, two or as many chords as there are beats, some with a bass of their own,
/// some silent.
pub(crate) fn random(meter: Meter, count: usize) -> Vec<Chart> {
    (0..count).map(|index| random_chart(meter, index)).collect()
}

fn random_chart(meter: Meter, index: usize) -> Chart {
    let mut random = Stream::named(3, &[&"charts", &meter, &index]);
    let beats = usize::from(meter.beats());
    let divisions: Vec<usize> = (1..=beats).filter(|chords| beats % chords == 0).collect();
    let bars: Vec<String> = (0..4 + random.below(5))
        .map(|_| {
            let chords =
                if random.chance(0.6) { 1 } else { divisions[random.below(divisions.len())] };
            (0..chords).map(|_| random_chord(&mut random)).collect::<Vec<_>>().join(" ")
        })
        .collect();
    let key = ROOTS[random.below(12)];
    chart(key, meter, &format!("| {} |", bars.join(" | ")))
}

fn random_chord(random: &mut Stream) -> String {
    let root = ROOTS[random.below(12)];
    let suffix = SUFFIXES[random.below(SUFFIXES.len())];
    match random.below(12) {
        0 => "N.C.".to_owned(),
        1 => format!("{root}{suffix}/{}", ROOTS[random.below(12)]),
        _ => format!("{root}{suffix}"),
    }
}

//! Rhythms and phrases, against improvised solos.

use std::collections::BTreeSet;

use super::cells::{cells_of_bar, vocabulary};
use crate::chart::{ChartSource, FeelName, FormSource};
use crate::compose::{ComposedNote, Request, Rhythm, compose};
use crate::melody::{Form, Technique};
use crate::units::{Meter, Ticks};

/// Percentiles over solos of the Weimar Jazz Database.
const RHYTHM: &str = include_str!("../../../tests/facts/line_rhythm.tsv");
/// Rhythms of half bars with their shares, from the same solos.
const PATTERNS: &str = include_str!("../../../tests/facts/line_patterns.tsv");

const WITH_PHRASES: [Rhythm; 4] =
    [Rhythm::OffBeats, Rhythm::Ties, Rhythm::Triplets, Rhythm::Sixteenths];

fn form(text: &str, key: &str, meter: Meter) -> Form {
    let source = ChartSource {
        name: "test",
        key: key.parse().unwrap(),
        meter,
        feel: FeelName::Swing,
        form: FormSource::default(),
        sections: &[("A", text)],
    };
    Form::of(&source.parse().unwrap())
}

const SIXTEEN: &str = "| Ebmaj7 | Cm7 | Fm7 | Bb7 | Gm7 C7 | Fm7 Bb7 | Ebmaj7 Ab7 | Gm7 C7 \
                       | Bbm7 | Eb7 | Abmaj7 | Db7 | Ebmaj7 C7 | Fm7 Bb7 | Eb6 | % |";
const FOUR: &str = "| Dm7 | G7 | Cmaj7 | % |";

fn line(form: &Form, technique: Technique, rhythm: Rhythm, seed: u64) -> Vec<ComposedNote> {
    compose(form, &Request { rhythm, ..Request::of(technique, seed) }).notes
}

/// The phrases of a line: what lies between silences of 0.9 beat, as the solos were cut.
fn phrases(notes: &[ComposedNote]) -> impl Iterator<Item = &[ComposedNote]> {
    let joined =
        |one: &ComposedNote, next: &ComposedNote| (next.at - one.at - one.length).quarters() < 0.9;
    notes.chunk_by(joined)
}

/// The 10th and the 90th percentile of a measure over all solos.
fn band(measure: &str) -> (f64, f64) {
    let rows = RHYTHM.lines().map(|line| line.split('\t').collect::<Vec<_>>());
    let row = rows.into_iter().find(|row| row.starts_with(&[measure, "all", "solos"])).unwrap();
    (row[6].parse().unwrap(), row[10].parse().unwrap())
}

#[track_caller]
fn inside(measure: &str, value: f64) {
    let (low, high) = band(measure);
    println!("{measure} {value:.3} of {low} to {high}");
    assert!((low..=high).contains(&value), "{measure}: {value} is not in {low} to {high}");
}

fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    values[values.len() / 2]
}

fn share(count: usize, of: usize) -> f64 {
    count as f64 / of as f64
}

/// Free lines over a longer form (written notes are played 0.853 as long by the median of
/// `articulation_eighth`) have phrases, rests and rhythms as soloists have.
#[test]
fn long_lines_are_phrased_like_solos() {
    let form = form(SIXTEEN, "Eb", Meter::FourFour);
    let lines: Vec<Vec<ComposedNote>> =
        (0..60).map(|seed| line(&form, Technique::ScaleRuns, Rhythm::Triplets, seed)).collect();
    let (mut lengths, mut silences, mut sounding) = (Vec::new(), Vec::new(), Vec::new());
    let (mut on_beat, mut off_beat, mut on_one) = (0, 0, 0);
    for notes in &lines {
        let phrases: Vec<&[ComposedNote]> = phrases(notes).collect();
        let ends =
            |phrase: &[ComposedNote]| phrase.last().unwrap().at + phrase.last().unwrap().length;
        lengths.extend(phrases.iter().map(|p| (ends(p) - p[0].at).quarters()));
        silences.extend(phrases.windows(2).map(|p| (p[1][0].at - ends(p[0])).quarters()));
        for phrase in &phrases {
            let place = phrase[0].at.0 % 3840;
            on_one += usize::from(place == 0);
            on_beat += usize::from(place % 960 == 0);
            off_beat += usize::from(place % 960 == 480);
        }
        let sounds: f64 = notes.iter().map(|note| note.length.quarters()).sum();
        sounding.push(sounds / (ends(notes) - notes[0].at).quarters());
    }
    inside("phrase_beats_sil1", median(lengths.clone()));
    inside("phrase_gap_sil1", median(silences));
    // The solos as they were played, the lines as they are written.
    let played = 0.853;
    inside("sounding_time", median(sounding) * played);
    inside("start_on_beat_sil1", share(on_beat, lengths.len()));
    inside("start_off_beat_sil1", share(off_beat, lengths.len()));
    inside("start_at_1", share(on_one, lengths.len()));
    // Half bars by where notes begin in them.
    let half_bars: Vec<Vec<Vec<i64>>> = lines.iter().map(|notes| half_bars(notes, 32)).collect();
    let kinds = |bars: &Vec<Vec<i64>>| bars.iter().collect::<BTreeSet<_>>().len() as f64;
    inside("half_bar_types_per_32", median(half_bars.iter().map(kinds).collect()));
    let (mut same, mut pairs) = (0, 0);
    for pair in half_bars.iter().flat_map(|bars| bars.windows(2)) {
        pairs += usize::from(!pair[1].is_empty());
        same += usize::from(!pair[1].is_empty() && pair[0] == pair[1]);
    }
    inside("cell_same_half_bar_prev", share(same, pairs));
    let all = lines.iter().flatten();
    let triplets = all.clone().filter(|note| note.at.0 % 960 % 480 != 0).count() as f64 / 2.0;
    inside("triplets_per_8bars", triplets / lines.len() as f64 / 2.0);
    let syncopated = |notes: &Vec<ComposedNote>| {
        let off = notes.iter().filter(|note| note.at.0 % 960 == 480);
        off.filter(|off| notes.iter().all(|note| note.at.0 != off.at.0 + 480)).count()
    };
    inside("syncopated_open", share(lines.iter().map(syncopated).sum(), all.count()));
}

fn half_bars(notes: &[ComposedNote], count: i64) -> Vec<Vec<i64>> {
    let inside = |half: i64| {
        notes.iter().map(|note| note.at.0).filter(move |at| at / 1920 == half).map(|at| at % 1920)
    };
    (0..count).map(|half| inside(half).collect()).collect()
}

#[test]
fn four_bars_have_one_to_three_phrases() {
    let form = form(FOUR, "C", Meter::FourFour);
    for rhythm in WITH_PHRASES {
        for seed in 0..60 {
            let notes = line(&form, Technique::ScaleRuns, rhythm, seed);
            let count = phrases(&notes).count();
            assert!((1..=3).contains(&count), "{rhythm:?} {seed}: {count}");
        }
    }
}

#[test]
fn a_book_of_twenty_has_twelve_rhythms_and_more() {
    let form = form(FOUR, "C", Meter::FourFour);
    for rhythm in WITH_PHRASES {
        let rhythms: BTreeSet<Vec<Ticks>> = (0..20)
            .map(|seed| line(&form, Technique::Enclosures, rhythm, seed))
            .map(|notes| notes.iter().map(|note| note.at).collect())
            .collect();
        assert!(rhythms.len() >= 12, "{rhythm:?}: {}", rhythms.len());
    }
}

/// Each grade has its own thing, and nothing of the harder ones.
#[test]
fn grades_add_one_thing_at_a_time() {
    let form = form(SIXTEEN, "Eb", Meter::FourFour);
    let all = |rhythm: Rhythm| -> Vec<ComposedNote> {
        (0..20).flat_map(|seed| line(&form, Technique::ChordOutlines, rhythm, seed)).collect()
    };
    let held_over_a_beat = |note: &&ComposedNote| note.at.0 % 960 == 480 && note.length.0 > 480;
    let over_the_bar = |note: &&ComposedNote| note.at.0 % 3840 == 3360 && note.length.0 > 480;
    let triplet = |note: &&ComposedNote| note.at.0 % 320 == 0 && note.at.0 % 960 != 0;
    let sixteenth = |note: &&ComposedNote| note.at.0 % 480 == 240;
    let plain = |note: &&ComposedNote| note.at.0 % 480 == 0;
    let counts = Rhythm::ALL.map(|rhythm| {
        let notes = all(rhythm);
        let count = |is: &dyn Fn(&&ComposedNote) -> bool| notes.iter().filter(is).count();
        (
            [count(&held_over_a_beat), count(&over_the_bar), count(&triplet), count(&sixteenth)],
            count(&plain) == notes.len(),
        )
    });
    println!("{counts:?}");
    assert_eq!(counts[0], ([0; 4], true));
    assert_eq!(counts[1], ([0; 4], true));
    assert!(counts[2].0[0] > 40 && counts[2].0[1] > 10 && counts[2].1);
    assert!(counts[3].0[2] > 40 && counts[3].0[3] == 0);
    assert!(counts[4].0[3] > 40);
}

/// A waltz is not divided into twos: no note on the second half of its second beat that is not
/// beside one on that beat or on the next.
#[test]
fn waltzes_have_no_hemiola() {
    let form =
        form("| Gmaj7 | Em7 | Am7 | D7 | Bm7 | E7 | Am7 D7 D7 | G6 |", "G", Meter::ThreeFour);
    for rhythm in WITH_PHRASES {
        for seed in 0..40 {
            let notes = line(&form, Technique::ScaleRuns, rhythm, seed);
            let has = |at: i64| notes.iter().any(|note| note.at.0 == at);
            // A phrase may begin there: it is a pickup then.
            let inner = notes.windows(2).filter(|pair| pair[0].at + pair[0].length == pair[1].at);
            for note in inner.map(|pair| &pair[1]).filter(|note| note.at.0 % 2880 == 1440) {
                let beside = has(note.at.0 - 480) || has(note.at.0 + 480);
                assert!(beside, "{rhythm:?}, seed {seed}, at {}", note.at.quarters());
            }
        }
    }
}

/// An answer has the rhythm of what it answers: in two-bar halves, half of the lines and more have
/// the first bar's rhythm again.
#[test]
fn phrases_are_answered() {
    let form = form("| Dm7 | % | % | % | % | % | % | % |", "C", Meter::FourFour);
    let answered = (0..60).filter(|&seed| {
        let notes = line(&form, Technique::ScaleRuns, Rhythm::Ties, seed);
        let heads: Vec<Vec<Ticks>> = phrases(&notes)
            .map(|phrase| phrase.iter().take(4).map(|note| note.at - phrase[0].at).collect())
            .collect();
        (1..heads.len()).any(|index| heads[..index].contains(&heads[index]))
    });
    assert!(answered.count() >= 30);
}

/// Cells fill their time, and those of two beats are of the table, with its weights.
#[test]
fn cells_are_those_of_solos() {
    let shares: Vec<(String, f64)> = PATTERNS
        .lines()
        .map(|line| line.split('\t').collect::<Vec<_>>())
        .filter(|row| row[0] == "halfbar")
        .map(|row| (row[2].replace(['3', '4'], ""), row[3].parse::<f64>().unwrap()))
        .collect();
    for cell in vocabulary(Meter::FourFour, 4) {
        let known = shares.iter().find(|(pattern, _)| pattern == cell.beats);
        // The commonest forty are in the table.
        if let Some((_, share)) = known {
            let in_order = cell.weight / 1000.0 <= share * 1.25;
            assert!(in_order, "{} {} {share}", cell.beats, cell.weight);
        } else {
            assert!(cell.weight <= 6.0, "{} is not in the table", cell.beats);
        }
    }
    for meter in Meter::ALL {
        assert_eq!(Ticks::EIGHTH * cells_of_bar(meter).iter().sum::<i64>(), meter.bar());
        for &eighths in cells_of_bar(meter) {
            let cells = vocabulary(meter, eighths);
            // The first fits everywhere.
            assert_eq!(cells[0].onsets(meter).len(), usize::try_from(eighths).unwrap());
            for cell in cells {
                let onsets = cell.onsets(meter);
                assert!(!onsets.is_empty() && onsets.is_sorted());
                assert!(onsets.iter().all(|at| at.0 < eighths * 480), "{}", cell.beats);
            }
        }
    }
}

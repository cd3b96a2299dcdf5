//! Shares of intervals, against those of improvised solos.

use crate::compose::{Request, compose};
use crate::melody::Technique;

use super::charts::{any_form, form};

const FACTS: &str = include_str!("../../../tests/facts/melodic_intervals.tsv");

/// Shares of repeats, steps, thirds and larger intervals, in per cent.
type Shares = [f64; 4];

fn class(semitones: u8) -> usize {
    match semitones {
        0 => 0,
        1 | 2 => 1,
        3 | 4 => 2,
        _ => 3,
    }
}

/// Weimar Jazz Database, by the table beside the tests.
fn published() -> Shares {
    let mut shares = [0.0; 4];
    for line in FACTS.lines() {
        let row: Vec<&str> = line.split('\t').collect();
        let class = match row[0].parse::<u8>() {
            Ok(semitones) => class(semitones),
            Err(_) if row[0] == "over 12" => 3,
            Err(_) => continue,
        };
        shares[class] += row[1].parse::<f64>().unwrap();
    }
    shares
}

fn shares(lines: impl Iterator<Item = Vec<u8>>) -> Shares {
    let mut counts = [0.0; 4];
    for line in lines {
        for pair in line.windows(2) {
            counts[class(pair[0].abs_diff(pair[1]))] += 1.0;
        }
    }
    let all: f64 = counts.iter().sum();
    counts.map(|count| 100.0 * count / all)
}

fn lines(technique: Technique, count: u64) -> impl Iterator<Item = Vec<u8>> {
    (0..count).map(move |seed| {
        let cadence = form("| Dm7 | G7 | Cmaj7 | A7 |", "C");
        let form = if seed % 2 == 0 { cadence } else { any_form(seed) };
        let line = compose(&form, &Request::of(technique, seed));
        line.notes.iter().map(|note| note.pitch).collect()
    })
}

/// The first six kinds: what is played and taught most.
const FIRST_SIX: [Technique; 6] = [
    Technique::ScaleRuns,
    Technique::ChordOutlines,
    Technique::KeySevenths,
    Technique::LowerNeighbours,
    Technique::UpperNeighbours,
    Technique::Enclosures,
];

#[test]
fn an_even_mix_of_the_first_six_has_the_intervals_of_solos() {
    let mixed = shares(FIRST_SIX.into_iter().flat_map(|technique| lines(technique, 167)));
    let published = published();
    println!("repeats, steps, thirds, larger: {mixed:.1?}; published {published:.1?}");
    for class in 1..4 {
        assert!(
            (mixed[class] - published[class]).abs() <= 10.0,
            "{mixed:.1?} against {published:.1?}"
        );
    }
}

#[test]
fn shares_by_technique() {
    for technique in Technique::ALL {
        println!("{technique}: {:.1?}", shares(lines(technique, 40)));
    }
}

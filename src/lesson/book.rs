//! Exercise books: one entry that makes several lines gives several tracks.

use super::Track;
use crate::compose::Composed;
use crate::part::line::Line;

/// What a line of the lesson goes over and, if it was composed, what it shows.
#[derive(Debug, Clone, PartialEq)]
pub struct Origin {
    /// Its name: the entry's and, where that makes several, a number.
    pub name: String,
    /// Index into the lesson's charts.
    pub chart: usize,
    /// How it was composed; `None` for a line of the teacher's own.
    pub composed: Option<Composed>,
}

/// The lines of one entry, each with its origin: one, or as many as an exercise book has.
pub(super) type EntryLines = Vec<(Line, Origin)>;

/// Puts the lines of all entries in one list, and opens the tracks that play several of them: each
/// line gets a track of its own, named so that they sort.
pub(super) fn opened(
    entries: Vec<EntryLines>,
    tracks: Vec<Track>,
) -> (Vec<Line>, Vec<Origin>, Vec<Track>) {
    let mut starts = Vec::new();
    let mut lines = Vec::new();
    let mut origins = Vec::new();
    for entry in entries {
        starts.push(lines.len()..lines.len() + entry.len());
        for (line, origin) in entry {
            lines.push(line);
            origins.push(origin);
        }
    }
    let mut opened: Vec<Track> = Vec::new();
    for track in tracks {
        let first = |entry: usize| starts.get(entry).map(|lines| lines.start);
        let track = Track { left_hand: track.left_hand.and_then(first), ..track };
        let of_entry = track.line.and_then(|entry| starts.get(entry)).cloned();
        let Some(of_entry) = of_entry else {
            opened.push(track);
            continue;
        };
        let several = of_entry.len() > 1;
        for (number, line) in (1..).zip(of_entry) {
            let name = if several { numbered(&track.name, number) } else { track.name.clone() };
            opened.push(Track { name, line: Some(line), ..track.clone() });
        }
    }
    (lines, origins, opened)
}

/// A name with a number that sorts up to 99.
pub(super) fn numbered(name: &str, number: usize) -> String {
    format!("{name} {number:02}")
}

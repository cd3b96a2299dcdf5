//! A score in a line a bar, for people to read in a snapshot.

use countoff::codec::musicxml::WrittenPitch;
use countoff::codec::musicxml::score::{Head, Item, Mark, NoteValue, Repeat, Score, ScoreNote};

/// A whole score: parts one under the other, a voice after the other in every bar.
pub(crate) fn readable(score: &Score) -> String {
    let mut lines = vec![score.title.clone()];
    for part in &score.parts {
        lines.push(format!("[{}]", part.name));
        for measure in &part.measures {
            let items: Vec<String> = measure.items.iter().map(item).collect();
            lines.push(format!("{:>3} {}", measure.number, items.concat().trim_end()));
        }
    }
    lines.join("\n")
}

fn item(item: &Item) -> String {
    match item {
        Item::Attributes(attributes) => {
            let key = attributes.key.map(|key| format!("key {} ", key.fifths));
            let time = attributes.time.map(|time| format!("{}/{} ", time.beats, time.beat_type));
            let moved = attributes.transpose.map(|by| format!("sounds {} ", by.chromatic));
            let clefs: String =
                attributes.clefs.iter().map(|clef| format!("{clef:?} ").to_lowercase()).collect();
            [key, time, moved, Some(clefs)].into_iter().flatten().collect()
        }
        Item::Barline(line) => {
            let ending = line.ending.as_ref().map(|ending| format!("{:?}", ending.passes));
            let sign = match line.repeat {
                Some(Repeat::Forward) => "|: ".to_owned(),
                Some(Repeat::Backward(times)) => format!(":| x{times} "),
                None if line.is_final => "|||".to_owned(),
                None if line.is_double => "||".to_owned(),
                None => String::new(),
            };
            format!("{}{sign}", ending.unwrap_or_default())
        }
        Item::Harmony(harmony) => {
            let sign = |alter: i8| ["bb", "b", "", "#", "##"][usize::try_from(alter + 2).unwrap()];
            let root = format!("{}{}", harmony.root.letter.char(), sign(harmony.root.alter));
            format!("{{{root}:{}+{}}} ", harmony.kind, harmony.degrees.len())
        }
        Item::Direction(direction) => direction.marks.iter().map(mark).collect(),
        Item::Note(note) => format!("{} ", self::note(note)),
        Item::Backup(_) => "/ ".to_owned(),
    }
}

fn mark(mark: &Mark) -> String {
    match mark {
        Mark::Rehearsal(letter) => format!("<{letter}> "),
        Mark::Words(words) => format!("\"{words}\" "),
        Mark::Metronome { per_minute, .. } => format!("={per_minute} "),
    }
}

/// `q.` is a dotted quarter, `8t` an eighth of a triplet, `~` a tie, `+` a note of a chord.
fn note(note: &ScoreNote) -> String {
    let value = match note.value {
        None => "bar",
        Some(NoteValue::Whole) => "w",
        Some(NoteValue::Half) => "h",
        Some(NoteValue::Quarter) => "q",
        Some(NoteValue::Eighth) => "8",
        Some(NoteValue::Sixteenth) => "16",
        Some(NoteValue::ThirtySecond) => "32",
    };
    let head = match note.head {
        Head::Pitch(written) => pitch(written),
        Head::Ghost(written) => format!("x{}", pitch(written)),
        Head::Slash => "slash".to_owned(),
        Head::Rest | Head::MeasureRest if note.printed => "rest".to_owned(),
        Head::Rest | Head::MeasureRest => "gap".to_owned(),
    };
    let plus = if note.in_chord { "+" } else { "" };
    let triplet = if note.triplet.is_some() { "t" } else { "" };
    let tie = if note.tie_start { "~" } else { "" };
    let dots = ".".repeat(usize::from(note.dots));
    format!("{plus}{value}{dots}{triplet}:{head}{tie}")
}

fn pitch(written: WrittenPitch) -> String {
    let sign = ["bb", "b", "", "#", "##"][usize::try_from(written.step.alter + 2).unwrap()];
    format!("{}{sign}{}", written.step.letter.char(), written.octave)
}

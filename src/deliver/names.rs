//! File names that sort, can be typed anywhere and are safe on every system.

use std::collections::BTreeMap;

use super::error::DeliverError;
use crate::theory::{Key, Mode};
use crate::units::Bpm;

/// Longest text taken from one title, in characters: four of them and an ending fit into the 255
/// bytes that file systems allow.
const LONGEST: usize = 48;

/// What a file is called.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct FileName {
    /// The number of the track, from 1.
    pub track: u32,
    /// How many tracks the lesson has: numbers get as many digits as it needs, two at least.
    pub tracks: u32,
    /// The track's name.
    pub title: String,
    /// The key, where the track has one.
    pub key: Option<Key>,
    /// The tempo, where the track has one.
    pub tempo: Option<Bpm>,
    /// Whether that is slow or at tempo, where some are for practice; else empty.
    pub pace: String,
    /// What sets the mix apart, such as "without bass"; empty for the first mix.
    pub mix: String,
}

impl FileName {
    /// The folder of the track: `02-band`.
    #[must_use]
    pub fn folder(&self) -> String {
        let digits = self.tracks.max(10).to_string().len();
        format!("{:0digits$}-{}", self.track, plain_words(&self.title))
    }

    /// The name without its ending: `02-band_g-minor_080_without-bass`.
    #[must_use]
    pub fn stem(&self) -> String {
        let key = self.key.map(key_words);
        let tempo = self.tempo.map(tempo_words);
        let words = |text: &String| (!text.is_empty()).then(|| plain_words(text));
        std::iter::once(self.folder())
            .chain(key)
            .chain(tempo)
            .chain(words(&self.pace))
            .chain(words(&self.mix))
            .collect::<Vec<_>>()
            .join("_")
    }
}

/// A title as lower-case words of plain letters and digits with hyphens between them. A title
/// without any becomes `untitled`.
#[must_use]
pub fn plain_words(title: &str) -> String {
    let mut text = String::new();
    for letter in spelled_out(title).chars() {
        if letter.is_ascii_alphanumeric() {
            text.push(letter.to_ascii_lowercase());
        } else if letter != '\'' && !text.is_empty() && !text.ends_with('-') {
            text.push('-');
        }
    }
    text.truncate(LONGEST);
    let text = text.trim_end_matches('-');
    match text {
        "" => "untitled".to_owned(),
        _ if is_reserved(text) => format!("{text}-file"),
        _ => text.to_owned(),
    }
}

/// Signs of the trade in words, everything else in plain letters.
fn spelled_out(title: &str) -> String {
    let mut spelled = String::new();
    for letter in title.chars() {
        match letter {
            '#' | '\u{266f}' => spelled.push_str("-sharp "),
            '\u{266d}' => spelled.push_str("-flat "),
            '&' | '+' => spelled.push_str(" and "),
            _ => spelled.push(letter),
        }
    }
    deunicode::deunicode_with_tofu(&spelled, " ")
}

/// Names that mean devices on Windows, whatever follows a dot.
fn is_reserved(name: &str) -> bool {
    let numbered = |device: &str| {
        name.strip_prefix(device)
            .is_some_and(|rest| rest.len() == 1 && rest.bytes().all(|digit| digit.is_ascii_digit()))
    };
    matches!(name, "con" | "prn" | "aux" | "nul") || numbered("com") || numbered("lpt")
}

/// A key in words: `b-flat-major`, `f-sharp-minor`.
#[must_use]
pub fn key_words(key: Key) -> String {
    let tonic = key.tonic.to_string().to_ascii_lowercase();
    let (letter, accidentals) = tonic.split_at(tonic.len().min(1));
    let accidentals: String =
        accidentals.chars().map(|sign| if sign == '#' { "-sharp" } else { "-flat" }).collect();
    let mode = match key.mode {
        Mode::Major => "major",
        Mode::Minor => "minor",
    };
    format!("{letter}{accidentals}-{mode}")
}

/// A tempo with three digits before its fraction, so that slow sorts before fast: `080`, `072-5`.
fn tempo_words(tempo: Bpm) -> String {
    let text = tempo.to_string();
    let (whole, fraction) = text.split_once('.').unwrap_or((&text, ""));
    let fraction = if fraction.is_empty() { String::new() } else { format!("-{fraction}") };
    format!("{whole:0>3}{fraction}")
}

/// Remembers who has which name. Names that differ in upper and lower case only count as one,
/// since to many systems they are.
#[derive(Debug, Clone, Default)]
pub struct NameRegister {
    owners: BTreeMap<String, String>,
}

impl NameRegister {
    /// Takes a path for an owner, described for people ("track 2, G minor, 80").
    ///
    /// # Errors
    /// Where another owner has it.
    pub fn claim(&mut self, path: &str, owner: &str) -> Result<(), DeliverError> {
        let taken = self.owners.insert(path.to_lowercase(), owner.to_owned());
        match taken {
            Some(first) => Err(DeliverError::SameName {
                path: path.to_owned(),
                first,
                second: owner.to_owned(),
            }),
            None => Ok(()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn name(title: &str, key: &str, tempo: f64, mix: &str) -> FileName {
        FileName {
            track: 2,
            tracks: 8,
            title: title.to_owned(),
            key: Some(key.parse().unwrap()),
            tempo: Some(Bpm::new(tempo).unwrap()),
            pace: String::new(),
            mix: mix.to_owned(),
        }
    }

    #[test]
    fn names_say_track_key_tempo_and_mix() {
        let stem = |title, key, tempo, mix| name(title, key, tempo, mix).stem();
        assert_eq!(stem("band", "Gm", 80.0, "without bass"), "02-band_g-minor_080_without-bass");
        assert_eq!(stem("Band!", "Bb", 144.0, ""), "02-band_b-flat-major_144");
        assert_eq!(
            stem("Left hand, shells", "F#m", 72.5, ""),
            "02-left-hand-shells_f-sharp-minor_072-5"
        );
        let many = FileName { tracks: 120, ..name("x", "C", 60.0, "") };
        assert_eq!(many.folder(), "002-x");
    }

    #[test]
    fn titles_of_all_kinds_become_plain_words() {
        for (title, words) in [
            ("a/b\\c", "a-b-c"),
            ("../../etc", "etc"),
            ("B\u{266d} blues", "b-flat-blues"),
            ("C# or Db?", "c-sharp-or-db"),
            ("Über den Fluß", "uber-den-fluss"),
            ("it's", "its"),
            ("CON", "con-file"),
            ("lpt1", "lpt1-file"),
            ("", "untitled"),
            ("...", "untitled"),
        ] {
            assert_eq!(plain_words(title), words, "{title}");
        }
        assert!(!plain_words("🎹").is_empty());
    }

    #[test]
    fn slow_sorts_before_fast() {
        let mut stems: Vec<String> =
            [144.0, 60.0, 108.0, 80.0, 72.5].map(|tempo| name("x", "C", tempo, "").stem()).into();
        stems.sort();
        let tempos: Vec<&str> = stems.iter().filter_map(|stem| stem.split('_').nth(2)).collect();
        assert_eq!(tempos, ["060", "072-5", "080", "108", "144"]);
    }

    #[test]
    fn two_owners_of_one_name_are_told() {
        let mut register = NameRegister::default();
        register.claim("02-band/a.wav", "track 2 at 80").unwrap();
        register.claim("02-band/b.wav", "track 2 at 90").unwrap();
        let error = register.claim("02-Band/A.wav", "track 3").unwrap_err().to_string();
        assert!(error.contains("track 2 at 80") && error.contains("track 3"), "{error}");
    }

    proptest! {
        #[test]
        fn any_title_is_safe(title in any::<String>(), mix in any::<String>()) {
            let stem = name(&title, "Gm", 80.0, &mix).stem();
            prop_assert!(stem.len() <= 200);
            prop_assert!(stem.bytes().all(|byte| byte.is_ascii_lowercase()
                || byte.is_ascii_digit() || byte == b'-' || byte == b'_'), "{stem}");
            let words = plain_words(&title);
            prop_assert!(!is_reserved(&words) && !words.starts_with('-') && !words.ends_with('-'));
        }
    }
}

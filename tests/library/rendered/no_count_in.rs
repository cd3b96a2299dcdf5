//! A mix without the count-in begins with the music, sample for sample as in the take.

use std::path::Path;

use countoff::deliver::{Manifest, SoundEntry};
use countoff::plan::LEAD_IN;
use countoff::render::{LEADING_SILENCE, MANIFEST};
use tempfile::TempDir;

use super::harness::rendered;

/// A stem has no limiter, and at this level a mix needs none. The pickup is two eighth notes.
fn lesson(pickup: &str, mixes: &str) -> String {
    format!(
        r#"
        format = 1
        title = "Straight in"
        tempos = [137]
        [level]
        target = -30
        [files]
        bits = 32
        [[chart]]
        name = "turn"
        key = "Gm"
        A = "| Am7b5 | D7b9 |"
        [[line]]
        name = "a line"
        chart = "turn"
        abc = "{pickup}BAGA B2c2 | d8 |"
        [[track]]
        name = "line"
        chart = "turn"
        line = "a line"
        bass = "walking"
        stems = true
        mixes = {mixes}
        "#
    )
}

struct Made {
    folder: TempDir,
    manifest: Manifest,
}

impl Made {
    fn of(lesson: &str) -> Made {
        let folder = TempDir::new().unwrap();
        rendered(lesson, folder.path());
        let manifest = std::fs::read_to_string(folder.path().join(MANIFEST)).unwrap();
        Made { manifest: Manifest::parse(&manifest, Path::new(MANIFEST)).unwrap(), folder }
    }

    fn path(&self, ending: &str) -> &String {
        self.manifest.files.keys().find(|path| path.ends_with(ending)).expect(ending)
    }

    fn sound(&self, ending: &str) -> &SoundEntry {
        self.manifest.files[self.path(ending)].sound.as_ref().unwrap()
    }

    fn samples(&self, ending: &str) -> Vec<f32> {
        let path = self.folder.path().join(self.path(ending));
        hound::WavReader::open(path).unwrap().samples().map(Result::unwrap).collect()
    }

    /// The first bar of the form, in frames of the take.
    fn first_bar(&self) -> u64 {
        let take = self.manifest.takes.values().next().unwrap();
        take.bars.iter().find(|bar| bar.kind == "chorus").unwrap().frame
    }
}

const NO_COUNT_IN: &str = "_without-line-no-count-in.wav";

#[test]
fn it_begins_with_the_first_bar_or_with_the_pickup() {
    let mixes =
        r#"[{}, { only = ["bass"], count-in = false }, { only = ["line"], count-in = false }]"#;
    // At 137 beats per minute two eighth notes, swung as they may be, last a beat.
    let beat = 44_100.0 * 60.0 / 137.0;
    for (pickup, ahead) in [("", 0.0), ("FG | ", beat)] {
        let made = Made::of(&lesson(pickup, mixes));
        let begins = made.sound(NO_COUNT_IN).begins;
        let lead_in = 44_100 * LEAD_IN.0 / LEAD_IN.1;
        let into = (made.first_bar() - begins - lead_in - LEADING_SILENCE.0) as f64;
        // A line's notes fall a little late, and every note some milliseconds off.
        assert!((ahead - into).abs() < 0.08 * 44_100.0, "{pickup}: bar 1 is {into} frames in");
        assert!(!pickup.is_empty() || into.abs() < 1.0, "{into}");
        assert_eq!(made.sound("_without-bass-no-count-in.wav").begins, begins, "one place for all");
        assert_eq!(made.sound("_stem-bass.wav").begins, 0, "stems stay in step with the rest");

        let (mix, stem) = (made.samples(NO_COUNT_IN), made.samples("_stem-bass.wav"));
        assert_eq!(mix.len() as u64, 2 * made.sound(NO_COUNT_IN).frames);
        assert!(mix == stem[2 * begins as usize..], "the sound is that of the take");
    }
}

#[test]
fn a_track_that_is_never_counted_in_has_no_such_bars() {
    let made = Made::of(&lesson("", r#"[{ only = ["bass"], count-in = false }]"#));
    assert_eq!(made.first_bar(), LEADING_SILENCE.0);
    assert_eq!(made.sound(NO_COUNT_IN).begins, 0);
    assert!(made.manifest.takes.values().all(|take| take.bars[0].kind == "chorus"));
}

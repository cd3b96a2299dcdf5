//! What `render` leaves, and what a second run does.

use crate::harness::{Desk, SMALL};

#[test]
fn the_whole_set_is_there_with_names_that_sort() {
    let desk = Desk::with_lesson(SMALL);
    let said = desk.does(&["render", "lesson.toml", "--quiet"]);
    assert_eq!(
        desk.files("lesson"),
        [
            "01-left-hand/01-left-hand_g-minor_240.mid",
            "01-left-hand/01-left-hand_g-minor_240.wav",
            "01-left-hand/01-left-hand_g-minor_300.mid",
            "01-left-hand/01-left-hand_g-minor_300.wav",
            "02-band/02-band_c-major_240.mid",
            "02-band/02-band_c-major_240.wav",
            "02-band/02-band_c-major_240_without-bass.wav",
            "02-band/02-band_c-major_300.mid",
            "02-band/02-band_c-major_300.wav",
            "02-band/02-band_c-major_300_without-bass.wav",
            "index.html",
            "manifest.json",
        ]
    );
    assert!(said.stderr.is_empty(), "{}", said.stderr);
    for file in desk.files("lesson").iter().filter(|file| file.ends_with(".wav")) {
        let reader = hound::WavReader::open(desk.path("lesson").join(file)).unwrap();
        let spec = reader.spec();
        assert_eq!((spec.channels, spec.sample_rate, spec.bits_per_sample), (2, 44_100, 16));
        assert!(reader.duration() > 44_100, "{file}");
    }
}

#[test]
fn a_second_run_makes_nothing_and_touches_nothing() {
    let desk = Desk::with_lesson(SMALL);
    desk.does(&["render", "lesson.toml", "--quiet"]);
    let stamps = |desk: &Desk| -> Vec<_> {
        let files = desk.files("lesson").into_iter();
        files
            .map(|file| desk.path("lesson").join(file).metadata().unwrap().modified().unwrap())
            .collect()
    };
    let before = stamps(&desk);
    let said = desk.does(&["render", "lesson.toml", "--json"]);
    assert_eq!(said.made(), Vec::<String>::new());
    assert_eq!(stamps(&desk), before);
}

#[test]
fn one_changed_chord_makes_the_tracks_again_that_contain_it() {
    let desk = Desk::with_lesson(SMALL);
    desk.does(&["render", "lesson.toml", "--quiet"]);
    desk.write("lesson.toml", SMALL.replace("D7b9", "Ab7"));
    let said = desk.does(&["render", "lesson.toml", "--json"]);
    assert!(!said.made().is_empty());
    let concerned = |path: &String| path.starts_with("01-left-hand/") || path == "index.html";
    assert!(said.made().iter().all(concerned), "{:?}", said.made());
}

#[test]
fn a_changed_seed_tempo_or_sample_format_makes_what_it_concerns() {
    let desk = Desk::with_lesson(SMALL);
    desk.does(&["render", "lesson.toml", "--quiet"]);
    let wavs = |said: &crate::harness::Said| {
        said.made().iter().filter(|path| path.ends_with(".wav")).count()
    };
    let more = desk.does(&["render", "lesson.toml", "--json", "--tempos", "240,280,300"]);
    assert_eq!(wavs(&more), 3, "{:?}", more.made());
    let again = desk.does(&["render", "lesson.toml", "--json", "--bits", "24"]);
    assert_eq!(wavs(&again), 6);
}

#[test]
fn the_bytes_are_the_same_for_one_thread_and_for_many() {
    let desk = Desk::with_lesson(SMALL);
    desk.does(&["render", "lesson.toml", "--quiet", "--jobs", "1", "--out", "one"]);
    desk.does(&["render", "lesson.toml", "--quiet", "--jobs", "4", "--out", "four"]);
    assert!(desk.contents("one") == desk.contents("four"));
}

#[test]
fn every_file_is_as_loud_as_its_manifest_says() {
    // Long enough that one block more or less over the relative gate does not count.
    let text = SMALL.replace("comp =", "choruses = 8\ncomp =");
    let desk = Desk::with_lesson(&text);
    desk.does(&["render", "lesson.toml", "--quiet"]);
    let manifest = std::fs::read(desk.path("lesson/manifest.json")).unwrap();
    let manifest: serde_json::Value = serde_json::from_slice(&manifest).unwrap();
    for (path, file) in manifest["files"].as_object().unwrap() {
        let Some(said) = file["sound"]["lufs"].as_f64() else { continue };
        let mut reader = hound::WavReader::open(desk.path("lesson").join(path)).unwrap();
        let samples: Vec<i16> = reader.samples().map(Result::unwrap).collect();
        let mut meter = ebur128::EbuR128::new(2, 44_100, ebur128::Mode::all()).unwrap();
        meter.add_frames_i16(&samples).unwrap();
        let measured = meter.loudness_global().unwrap();
        assert!((measured - said).abs() < 0.05, "{path}: {measured} against {said}");
        for channel in 0..2 {
            let peak = 20.0 * meter.true_peak(channel).unwrap().log10();
            assert!(peak <= -0.9, "{path}: {peak} dBTP");
        }
    }
}

#[test]
fn only_some_tracks_and_other_keys() {
    let desk = Desk::with_lesson(SMALL);
    desk.does(&[
        "render",
        "lesson.toml",
        "--quiet",
        "--only",
        "left hand",
        "--keys",
        "Cm,Fm",
        "--tempos",
        "300",
    ]);
    assert_eq!(
        desk.files("lesson"),
        [
            "01-left-hand/01-left-hand_c-minor_300.mid",
            "01-left-hand/01-left-hand_c-minor_300.wav",
            "01-left-hand/01-left-hand_f-minor_300.mid",
            "01-left-hand/01-left-hand_f-minor_300.wav",
            "index.html",
            "manifest.json",
        ]
    );
}

#[test]
fn a_range_of_tracks_is_its_tracks_once_and_lists_may_have_spaces() {
    let desk = Desk::with_lesson(SMALL);
    let planned = |only: &str, tempos: &str| {
        let typed = ["render", "lesson.toml", "--plan", "--only", only, "--tempos", tempos];
        desk.does(&typed).stdout
    };
    assert_eq!(planned("1-2", "290, 300"), planned("1,2", "290,300"));
    assert_eq!(planned("1,1-2", "300"), planned("1-2", "300"));
    assert_ne!(planned("1-2", "300"), planned("1", "300"));
}

#[test]
fn names_that_no_file_can_have_are_made_safe() {
    let text = SMALL.replace("\"left hand\"", "\"../../etc/\u{1f3b9} <con>: caf\u{e9}\"");
    let desk = Desk::with_lesson(&text);
    desk.does(&["render", "lesson.toml", "--quiet", "--only", "1", "--tempos", "300"]);
    for file in desk.files("lesson") {
        assert!(
            file.bytes().all(|byte| byte.is_ascii_alphanumeric() || b"-_./".contains(&byte)),
            "{file}"
        );
        assert!(!file.contains(".."), "{file}");
    }
}

#[test]
fn a_loop_is_exactly_its_bars_long_and_joins_its_own_beginning() {
    let text = SMALL.replace(
        "comp = \"shells\"",
        "comp = \"shells\"\npractice = { shape = \"loop\" }\ntempos = [137]",
    );
    let desk = Desk::with_lesson(&text);
    desk.does(&["render", "lesson.toml", "--quiet", "--only", "left hand", "--bits", "32"]);
    let path = desk.path("lesson/01-left-hand/01-left-hand_g-minor_137.wav");
    let mut reader = hound::WavReader::open(&path).unwrap();
    // Two bars of four beats at 137: 437,956 microseconds a beat, the clock of the MIDI file.
    let frames: f64 = 8.0 * 0.437_956 * 44_100.0;
    assert!((f64::from(reader.duration()) - frames).abs() <= 0.5);
    let samples: Vec<f32> = reader.samples().map(Result::unwrap).collect();
    // Where the joint is, the wave goes on: no step is larger than those beside it.
    let left: Vec<f32> = samples.iter().step_by(2).copied().collect();
    let joint = [&left[left.len() - 200..], &left[..200]].concat();
    let steps: Vec<f32> = joint.windows(2).map(|pair| (pair[1] - pair[0]).abs()).collect();
    let before = steps[..195].iter().copied().fold(0.0, f32::max);
    assert!(left[left.len() - 200..].iter().any(|sample| sample.abs() > 1e-4), "it rings over");
    assert!(steps[199] <= 2.0 * before, "{} after {before}", steps[199]);
    let bytes = std::fs::read(&path).unwrap();
    assert!(bytes.windows(4).any(|four| four == b"smpl"));
}

#[test]
fn prune_removes_what_was_made_and_is_no_longer_asked_for_and_nothing_else() {
    let desk = Desk::with_lesson(SMALL);
    desk.does(&["render", "lesson.toml", "--quiet"]);
    desk.write("lesson/01-left-hand/notes.txt", "mine");
    let only_band = SMALL
        .replace("[[track]]\nname = \"left hand\"\nchart = \"cadence\"\ncomp = \"shells\"\n", "");
    desk.write("lesson.toml", &only_band);
    desk.does(&["render", "lesson.toml", "--quiet"]);
    assert_eq!(desk.files("lesson").len(), 11 + 6 + 2, "without --prune everything stays");
    desk.does(&["render", "lesson.toml", "--quiet", "--prune"]);
    let left = desk.files("lesson");
    assert!(left.contains(&"01-left-hand/notes.txt".to_owned()), "{left:?}");
    assert!(
        left.iter().all(|file| file.starts_with("01-band/")
            || file == "index.html"
            || file == "manifest.json"
            || file == "01-left-hand/notes.txt"),
        "{left:?}"
    );
    assert_eq!(left.len(), 6 + 3);
}

#[test]
fn two_runs_in_one_folder_are_one_too_many() {
    let desk = Desk::with_lesson(SMALL);
    let held = countoff::deliver::FolderLock::whole(&desk.path("lesson")).unwrap();
    let said = desk.types(&["render", "lesson.toml", "--quiet"]);
    assert_eq!(said.code, 1);
    assert!(said.stderr.contains("another run is making files"), "{}", said.stderr);
    drop(held);
    desk.does(&["render", "lesson.toml", "--quiet"]);
}

/// In several keys the drums are played once; in one key they are the key's own.
#[test]
fn a_key_is_the_same_alone_and_among_others() {
    let lesson = SMALL.replace(
        r#"mixes = [{}, { without = ["bass"] }]"#,
        r#"mixes = [{}, { without = ["bass"] }, { without = ["comp"] }]"#,
    );
    let desk = Desk::with_lesson(&lesson);
    desk.does(&["render", "lesson.toml", "--quiet", "--out", "all", "--keys", "C,F,Bb"]);
    desk.does(&["render", "lesson.toml", "--quiet", "--out", "one", "--keys", "F"]);
    let sounds = desk.files("one").into_iter().filter(|file| file.ends_with(".wav"));
    let sounds: Vec<String> = sounds.collect();
    assert!(sounds.len() >= 6, "{sounds:?}");
    for sound in sounds {
        let read = |set: &str| std::fs::read(desk.path(set).join(&sound)).unwrap();
        assert!(read("all") == read("one"), "{sound}");
    }
}

/// Only a long take is spread over threads.
#[test]
fn a_long_take_is_the_same_over_one_thread_and_over_several() {
    let lesson = SMALL.replace("[240, 300]", "[40]").replace("comp =", "choruses = 27\ncomp =");
    let desk = Desk::with_lesson(&lesson);
    let render = |jobs, out| {
        desk.does(&["render", "lesson.toml", "--only", "band", "--jobs", jobs, "--out", out]);
    };
    render("1", "one");
    render("3", "three");
    let files = desk.files("one");
    let sound = files.iter().find(|file| file.ends_with(".wav")).unwrap();
    let read = |set: &str| std::fs::read(desk.path(set).join(sound)).unwrap();
    let one = read("one");
    assert!(one.len() > 310 * 44_100 * 4, "{} bytes", one.len());
    assert!(one == read("three"));
}

//! Pages of lessons whose files are only imagined.

use serde_json::Value;

use super::*;
use crate::deliver::{BarEntry, FileEntry, SoundEntry, TakeEntry};
use crate::lesson::NoNeighbours;
use crate::style::Library;

fn planned(text: &str) -> (Lesson, Plan) {
    let library = Library::built_in();
    let lesson = Lesson::read("lesson.toml", text, &NoNeighbours, &library).unwrap();
    let plan = Plan::of(&lesson, &library, |_| true).unwrap();
    (lesson, plan)
}

fn entry(purpose: &str, take: &str) -> FileEntry {
    let sound = SoundEntry {
        begins: 0,
        frames: 8_000_000,
        audio: String::new(),
        programme_lufs: None,
        lufs: None,
        true_peak: None,
        gain: 0.0,
        limiter_share: 0.0,
        limiter_deepest: 0.0,
        short_of_target: None,
        picture: "x".repeat(200),
    };
    FileEntry {
        purpose: purpose.to_owned(),
        take: Some(take.to_owned()),
        parts: Vec::new(),
        size: 1,
        modified: 1,
        hash: String::new(),
        depends: String::new(),
        sound: (purpose != "midi").then_some(sound),
    }
}

/// The manifest that a render of the plan would leave, as far as a page asks.
fn manifest(plan: &Plan) -> Manifest {
    let mut manifest = Manifest::new("T");
    for take in &plan.takes {
        let bar = BarEntry {
            frame: 512,
            kind: "count-in".to_owned(),
            chorus: 1,
            section: None,
            key: "Gm".to_owned(),
            chords: Vec::new(),
        };
        let known = TakeEntry {
            track: 1,
            name: String::new(),
            key: None,
            rate: 44_100,
            tempo_map: Vec::new(),
            bars: vec![bar],
        };
        manifest.takes.insert(take.name.clone(), known);
        for sound in &take.sounds {
            manifest.files.insert(sound.path.clone(), entry("mix", &take.name));
        }
        manifest.files.insert(take.midi.clone(), entry("midi", &take.name));
    }
    manifest
}

fn page(text: &str) -> (String, Manifest) {
    let (lesson, plan) = planned(text);
    let manifest = manifest(&plan);
    (lesson_page(&lesson, &plan, &manifest).unwrap(), manifest)
}

/// The data that the page's script reads.
fn data(page: &str) -> Value {
    let (_, after) = page.split_once("id=\"lesson-data\">").unwrap();
    serde_json::from_str(after.split_once("</script>").unwrap().0).unwrap()
}

const DEMO: &str = include_str!("../../renders/evening-class/lesson.toml");

#[test]
fn the_page_of_the_demo_is_small_and_the_same_every_time() {
    let (first, _) = page(DEMO);
    // A third of it are the staves, to be marked note by note.
    assert!(first.len() < 450_000, "{} bytes", first.len());
    assert!(first == page(DEMO).0);
}

/// Four tempos, twelve keys, four mixes: 192 sound files of a blues of eight choruses. All but a
/// tenth are the staves of 97 bars in twelve keys.
#[test]
fn the_page_of_a_large_set_is_under_3_and_a_half_megabytes() {
    let text = DEMO.split("# The left hand alone").next().unwrap().to_owned()
        + "[[track]]\nname = \"band\"\nchart = \"blues in F\"\ncomp = \"rootless\"\n\
           bass = \"walking\"\ndrums = \"ride\"\nchoruses = 8\nkeys = \"fourths\"\n\
           mixes = [{}, { without = [\"comp\"] }, { without = [\"bass\"] }, { click = true }]\n";
    let (page, manifest) = page(&text);
    assert_eq!(manifest.files.values().filter(|file| file.purpose == "mix").count(), 192);
    assert!(page.len() < 3_500_000, "{} bytes", page.len());
}

#[test]
fn every_link_leads_to_a_file_of_the_set_and_every_sound_file_has_one() {
    let (page, manifest) = page(DEMO);
    let links: Vec<&str> = page
        .split(" href=\"")
        .skip(1)
        .filter_map(|rest| rest.split('"').next())
        .filter(|link| !link.contains('{'))
        .collect();
    assert!(links.iter().all(|link| manifest.files.contains_key(*link)), "{links:?}");
    assert!(manifest.files.keys().all(|path| links.contains(&path.as_str())));
    for track in data(&page)["tracks"].as_array().unwrap() {
        for take in track["takes"].as_array().unwrap() {
            for sound in take["sounds"].as_array().unwrap() {
                assert!(manifest.files.contains_key(sound["path"].as_str().unwrap()));
            }
        }
    }
}

#[test]
fn what_a_teacher_types_stays_text() {
    let nasty = "<img src=x onerror=alert(1)></script><script>alert(2)</script>";
    let text = DEMO.replace("Tuesday evening", nasty).replace("band, blues", nasty);
    let text = text.replace("Imke Talvari", nasty).replace("minor cadence", nasty);
    let (page, _) = page(&text);
    // Title twice, teacher, copyright, a chart and the names of tracks.
    assert!(page.matches("&#60;img").count() >= 6, "{}", page.matches("&#60;img").count());
    assert!(!page.contains("<img") && !page.contains("alert(2)</script>"));
    let data = data(&page);
    assert!(data["title"].as_str().unwrap().starts_with(nasty));
    assert_eq!(data["tracks"][6]["name"], nasty);
}

/// Slow and fast versions of a track share one score; every bar's chords fill it.
#[test]
fn bars_are_told_once_and_whole() {
    let (page, _) = page(DEMO);
    let data = data(&page);
    // Seven tracks; the walking hand has the same chords with ghosts and without.
    assert_eq!(data["scores"].as_array().unwrap().len(), 6);
    for score in data["scores"].as_array().unwrap() {
        let bars = score["bars"].as_array().unwrap();
        for bar in bars {
            let mut at = 0;
            for chord in bar["chords"].as_array().unwrap() {
                assert_eq!(chord[0], at);
                at += chord[1].as_i64().unwrap();
            }
            assert_eq!(at, score["bar"]);
        }
        let order = score["order"].as_array().unwrap();
        assert!(order.iter().all(|index| index.as_u64().unwrap() < bars.len() as u64));
    }
    // Two choruses of eight bars and the held last chord.
    assert_eq!(data["scores"][0]["order"].as_array().unwrap().len(), 17);
    assert_eq!(data["scores"][0]["choruses"], serde_json::json!([0, 8]));
}

#[test]
fn a_take_without_files_is_not_offered() {
    let (lesson, plan) = planned(DEMO);
    let mut manifest = manifest(&plan);
    manifest.files.retain(|path, _| !path.starts_with("06-band"));
    let page = lesson_page(&lesson, &plan, &manifest).unwrap();
    let data = data(&page);
    let numbers: Vec<&Value> =
        data["tracks"].as_array().unwrap().iter().map(|track| &track["number"]).collect();
    assert_eq!(numbers, [1, 2, 3, 4, 5, 7]);
}

#[test]
fn tracks_stand_under_the_headings_that_the_teacher_gave() {
    let (page, _) = page(DEMO);
    let places = [
        "The left hand</h2>",
        "left hand, shells<",
        "left hand, rootless<",
        "With the band</h2>",
        "band, blues<",
    ];
    let found: Vec<usize> = places.iter().map(|text| page.find(text).unwrap()).collect();
    assert!(found.is_sorted(), "{found:?}");
    assert_eq!(page.matches("<h2 class=\"group\">").count(), 2);
}

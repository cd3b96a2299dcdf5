//! The whole set as one file, and the table of bar times.

use std::io::Read;

use crate::harness::{Desk, SMALL};

const ORDER: [&str; 5] = ["render", "lesson.toml", "--json", "--zip", "--bar-times"];

fn unzipped(bytes: Vec<u8>) -> Vec<(String, Vec<u8>)> {
    let mut archive = zip::ZipArchive::new(std::io::Cursor::new(bytes)).unwrap();
    let count = archive.len();
    let read = |index| {
        let mut file = archive.by_index(index).unwrap();
        let mut content = Vec::new();
        file.read_to_end(&mut content).unwrap();
        (file.name().unwrap().into_owned(), content)
    };
    (0..count).map(read).collect()
}

#[test]
fn the_archive_holds_every_file_but_the_manifest_in_one_folder() {
    let desk = Desk::with_lesson(SMALL);
    desk.does(&ORDER);
    let held = unzipped(std::fs::read(desk.path("lesson/small.zip")).unwrap());
    let mut expected = desk.contents("lesson");
    expected.retain(|(name, _)| name != "manifest.json" && name != "small.zip");
    for (name, _) in &mut expected {
        *name = format!("small/{name}");
    }
    assert!(held == expected, "{:?}", held.iter().map(|(name, _)| name).collect::<Vec<_>>());
    let said = desk.does(&["verify", "lesson"]);
    assert!(said.stdout.contains("16 files, all as they were made"), "{}", said.stdout);
}

#[test]
fn the_archive_is_made_again_only_when_something_in_it_has_changed() {
    let desk = Desk::with_lesson(SMALL);
    desk.does(&ORDER);
    let first = std::fs::read(desk.path("lesson/small.zip")).unwrap();
    assert!(desk.does(&ORDER).made().is_empty());
    // The same set elsewhere, at another time: the same bytes.
    desk.does(&[&ORDER[..], &["--out", "other"]].concat());
    assert!(std::fs::read(desk.path("other/small.zip")).unwrap() == first);
    desk.write("lesson.toml", SMALL.replace("D7b9", "Ab7"));
    let made = desk.does(&ORDER).made();
    assert!(made.contains(&"small.zip".to_owned()), "{made:?}");
    let of_set = ["small.zip", "index.html"];
    let concerned = |path: &String| path.starts_with("01-") || of_set.contains(&path.as_str());
    assert!(made.iter().all(concerned), "{made:?}");
    // No longer asked for, it goes with --prune.
    desk.does(&["render", "lesson.toml", "--quiet", "--prune"]);
    assert!(
        !desk.files("lesson").iter().any(|file| file.ends_with(".zip") || file.ends_with(".csv"))
    );
}

#[test]
fn bar_times_are_those_of_the_manifest() {
    let desk = Desk::with_lesson(SMALL);
    desk.does(&ORDER);
    let name = "02-band/02-band_c-major_300";
    let text = std::fs::read_to_string(desk.path(format!("lesson/{name}_bars.csv"))).unwrap();
    let manifest = std::fs::read(desk.path("lesson/manifest.json")).unwrap();
    let manifest: serde_json::Value = serde_json::from_slice(&manifest).unwrap();
    assert_eq!(manifest["files"][format!("{name}_bars.csv")]["purpose"], "bar-times");
    let bars = manifest["takes"]["02-band_c-major_300"]["bars"].as_array().unwrap();
    let rows: Vec<Vec<&str>> = text.lines().skip(1).map(|row| row.split(',').collect()).collect();
    assert_eq!(rows.len(), bars.len());
    for (row, bar) in rows.iter().zip(bars) {
        assert_eq!(row[1], bar["kind"]);
        assert_eq!(row[7], bar["frame"].to_string());
        let seconds: f64 = row[8].parse().unwrap();
        assert!((seconds * 44_100.0 - bar["frame"].as_f64().unwrap()).abs() < 0.05, "{row:?}");
    }
    // At 300 a bar of four beats lasts 0.8 s.
    let chorus: Vec<f64> =
        rows.iter().filter(|row| row[1] == "chorus").map(|row| row[8].parse().unwrap()).collect();
    assert!((chorus[1] - chorus[0] - 0.8).abs() < 1e-4, "{chorus:?}");
    assert_eq!(rows.iter().find(|row| row[1] == "chorus").unwrap()[4], "Dm7 G7");
}

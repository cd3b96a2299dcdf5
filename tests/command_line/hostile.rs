//! Folders in which somebody meddled: nothing is read or written outside them, and nothing hangs.

use serde_json::{Value, json};

use crate::harness::{Desk, SMALL};

const SOUND: &str = "02-band/02-band_c-major_300.wav";

fn made() -> Desk {
    let desk = Desk::with_lesson(SMALL);
    desk.does(&["render", "lesson.toml", "--quiet"]);
    desk
}

fn edit_manifest(desk: &Desk, edit: impl FnOnce(&mut Value)) {
    let text = std::fs::read(desk.path("lesson/manifest.json")).unwrap();
    let mut manifest: Value = serde_json::from_slice(&text).unwrap();
    edit(&mut manifest);
    desk.write("lesson/manifest.json", serde_json::to_vec_pretty(&manifest).unwrap());
}

#[test]
fn a_path_that_climbs_out_of_the_folder_is_an_error_that_names_it() {
    for wrong in ["../secret.txt", "/etc/hostname", "a/../../secret.txt"] {
        let desk = made();
        desk.write("secret.txt", "secret");
        edit_manifest(&desk, |manifest| {
            let entry = manifest["files"][SOUND].clone();
            manifest["files"].as_object_mut().unwrap().insert(wrong.to_owned(), entry);
        });
        for command in [&["verify", "lesson"][..], &["render", "lesson.toml", "--zip"]] {
            let said = desk.types(command);
            assert_ne!(said.code, 0);
            assert!(said.stderr.contains(wrong), "{}", said.stderr);
        }
        assert!(!desk.files("lesson").iter().any(|file| file.ends_with(".zip")));
        assert_eq!(std::fs::read(desk.path("secret.txt")).unwrap(), b"secret");
    }
}

#[cfg(unix)]
#[test]
fn links_do_not_lead_out_of_the_folder() {
    use std::os::unix::fs::symlink;
    let desk = made();
    let folder = desk.path("lesson/02-band");
    std::fs::rename(&folder, desk.path("elsewhere")).unwrap();
    symlink(desk.path("elsewhere"), &folder).unwrap();
    let said = desk.types(&["verify", "lesson"]);
    assert_eq!(said.code, 1);
    assert!(said.stdout.contains(&format!("{SOUND}: cannot be read")), "{}", said.stdout);
    let said = desk.types(&["render", "lesson.toml", "--zip", "--quiet"]);
    assert_eq!(said.code, 1);
    assert!(said.stderr.contains("02-band_c-major"), "{}", said.stderr);
    assert!(!desk.path("lesson/small.zip").exists());

    let desk = made();
    let sound = desk.path("lesson").join(SOUND);
    std::fs::remove_file(&sound).unwrap();
    symlink("/dev/zero", &sound).unwrap();
    let said = desk.types(&["verify", "lesson"]);
    assert!(said.stdout.contains(&format!("{SOUND}: cannot be read: it is a link")));
    let said = desk.does(&["render", "lesson.toml", "--json", "--zip"]);
    assert_eq!(said.told("left-alone"), [SOUND]);
}

#[cfg(unix)]
#[test]
fn a_lock_that_is_a_link_makes_no_file_elsewhere() {
    let desk = Desk::with_lesson(SMALL);
    std::fs::create_dir(desk.path("lesson")).unwrap();
    let outside = desk.path("outside");
    std::os::unix::fs::symlink(&outside, desk.path("lesson/.countoff.lock")).unwrap();
    let said = desk.types(&["render", "lesson.toml", "--quiet"]);
    assert_eq!(said.code, 1);
    assert!(said.stderr.contains(".countoff.lock"), "{}", said.stderr);
    assert!(!outside.exists());
}

/// Each of them once kept the program waiting without end.
#[cfg(target_os = "linux")]
#[test]
fn pipes_in_the_place_of_records_are_not_waited_for() {
    use rustix::fs::{CWD, FileType, Mode, mknodat};
    let names = ["manifest.json", ".countoff.times.json", ".countoff.lock", ".countoff.made.json"];
    for name in names {
        let desk = made();
        let path = desk.path("lesson").join(name);
        let _ = std::fs::remove_file(&path);
        mknodat(CWD, &path, FileType::Fifo, Mode::RWXU, 0).unwrap();
        let said = desk.types(&["render", "lesson.toml", "--quiet"]);
        let is_needed = matches!(name, "manifest.json" | ".countoff.lock");
        if is_needed {
            assert_eq!(said.code, 1);
            assert!(said.stderr.contains(name), "{}", said.stderr);
        }
        if name == "manifest.json" {
            assert_ne!(desk.types(&["verify", "lesson"]).code, 0);
        }
    }
}

#[test]
fn a_run_that_failed_leaves_files_missing() {
    let desk = Desk::with_lesson(SMALL);
    desk.write("lesson/02-band", "a file where a folder is to be");
    assert_eq!(desk.types(&["render", "lesson.toml", "--quiet", "--jobs", "1"]).code, 1);
    let said = desk.types(&["verify", "lesson"]);
    assert_eq!(said.code, 1);
    assert!(said.stdout.contains(&format!("{SOUND}: missing")), "{}", said.stdout);
    std::fs::remove_file(desk.path("lesson/02-band")).unwrap();
    desk.does(&["render", "lesson.toml", "--quiet"]);
    desk.does(&["verify", "lesson"]);
    // What was there before is not what was asked for.
    desk.write("lesson.toml", SMALL.replace("D7b9", "Ab7"));
    desk.write("lesson/03-more", "a file where a folder is to be");
    let more = "\n[[track]]\nname = \"more\"\nchart = \"other\"\ncomp = \"shells\"\nchoruses = 9\n";
    desk.write("lesson.toml", SMALL.replace("D7b9", "Ab7") + more);
    assert_eq!(desk.types(&["render", "lesson.toml", "--quiet", "--jobs", "1"]).code, 1);
    let said = desk.types(&["verify", "lesson"]);
    assert_eq!(said.code, 1);
    assert!(said.stdout.contains("03-more_c-major_240.wav: missing"), "{}", said.stdout);
}

#[test]
fn pending_files_are_missing() {
    let desk = made();
    edit_manifest(&desk, |manifest| manifest["pending"] = json!(["more.wav", SOUND]));
    let said = desk.types(&["verify", "lesson"]);
    assert_eq!(said.code, 1);
    for path in ["more.wav", SOUND] {
        assert!(said.stdout.contains(&format!("{path}: missing")), "{}", said.stdout);
    }
    assert!(said.stderr.contains("2 of 12 files"), "{}", said.stderr);
}

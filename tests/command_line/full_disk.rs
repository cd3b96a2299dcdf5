//! A small disk that really gets full, or cannot be written to: a `tmpfs`, where one may be mounted.

use std::path::{Path, PathBuf};
use std::process::Command;

use crate::harness::{Desk, SMALL};

/// A disk in memory, mounted while it lives.
struct SmallDisk(PathBuf);

impl SmallDisk {
    /// None where this system has no such disks, or does not let us have one.
    fn mounted(at: &Path, size: &str) -> Option<SmallDisk> {
        std::fs::create_dir_all(at).unwrap();
        let size = format!("size={size}");
        let mut mount = Command::new("mount");
        mount.args(["-t", "tmpfs", "-o", &size, "tmpfs"]).arg(at);
        mount.output().ok()?.status.success().then(|| SmallDisk(at.to_owned()))
    }

    fn enlarged(&self, size: &str) {
        self.remounted(&format!("size={size}"));
    }

    fn remounted(&self, option: &str) {
        let option = format!("remount,{option}");
        let done = Command::new("mount").args(["-o", &option]).arg(&self.0).status().unwrap();
        assert!(done.success());
    }
}

impl Drop for SmallDisk {
    fn drop(&mut self) {
        let _ = Command::new("umount").arg(&self.0).status();
    }
}

#[test]
fn a_full_disk_ends_a_run_and_the_next_one_finishes_the_set() {
    let undisturbed = Desk::with_lesson(SMALL);
    undisturbed.does(&["render", "lesson.toml", "--quiet"]);
    let right = undisturbed.contents("lesson");
    let bytes: usize = right.iter().map(|(_, content)| content.len()).sum();

    let desk = Desk::with_lesson(SMALL);
    // Room for about half of the set.
    let Some(disk) = SmallDisk::mounted(&desk.path("disk"), &(bytes / 2).to_string()) else {
        eprintln!("skipped: no small disk can be mounted here");
        return;
    };
    let said = desk.types(&["render", "lesson.toml", "--out", "disk/set", "--jobs", "1"]);
    assert_eq!(said.code, 1, "{}", said.stderr);
    // The message is broken into lines.
    let told = said.stderr.split_whitespace().filter(|word| *word != "│").collect::<String>();
    assert!(told.contains("thediskisfull"), "{}", said.stderr);
    let folder = disk.0.join("set").canonicalize().unwrap();
    assert!(told.contains(folder.to_str().unwrap()), "{}", said.stderr);

    let whole = desk.contents("disk/set");
    let sounds = whole.iter().filter(|(name, _)| name.ends_with(".wav")).count();
    assert!(sounds > 0, "something was whole before");
    for (name, content) in whole.iter().filter(|(name, _)| name != "manifest.json") {
        let (_, right) = right.iter().find(|(right, _)| right == name).expect(name);
        assert!(content == right, "{name} is not whole");
    }
    let said = desk.types(&["verify", "disk/set"]);
    assert_eq!(said.code, 1, "the rest is missing");
    assert!(
        said.stdout.contains(": missing") && !said.stdout.contains("changed"),
        "{}",
        said.stdout
    );

    disk.enlarged("64m");
    let said = desk.does(&["render", "lesson.toml", "--out", "disk/set", "--json"]);
    assert!(said.told("kept").len() >= sounds, "what was whole is not made again");
    assert!(desk.contents("disk/set") == right, "the set differs");
    desk.does(&["verify", "disk/set"]);
}

#[test]
fn in_a_folder_that_cannot_be_written_to_a_run_with_nothing_to_do_succeeds() {
    let desk = Desk::with_lesson(SMALL);
    let Some(disk) = SmallDisk::mounted(&desk.path("disk"), "64m") else {
        eprintln!("skipped: no small disk can be mounted here");
        return;
    };
    let order = ["render", "lesson.toml", "--out", "disk/set", "--json"];
    desk.does(&order);
    let again = || {
        disk.remounted("ro");
        let said = desk.types(&order);
        disk.remounted("rw");
        said
    };
    let said = again();
    assert_eq!((said.code, said.made().len(), said.stderr.as_str()), (0, 0, ""));
    // Without the file of its lock too.
    std::fs::remove_file(desk.path("disk/set/.countoff.lock")).unwrap();
    assert_eq!(again().code, 0);
    desk.write("lesson.toml", SMALL.replace("D7b9", "Ab7"));
    assert_eq!(again().code, 1, "with something to do it fails");
}

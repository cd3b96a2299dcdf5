//! A process that is killed leaves only whole files, and the next run finishes the set.

use std::process::Stdio;
use std::time::Duration;

use crate::harness::{Desk, SMALL};

/// Moments at which the process is killed.
const MOMENTS: u64 = 50;

#[test]
fn killed_at_many_moments_the_set_is_whole_in_the_end() {
    let undisturbed = Desk::with_lesson(SMALL);
    let started = std::time::Instant::now();
    undisturbed.does(&["render", "lesson.toml", "--quiet", "--jobs", "1"]);
    let whole_run = started.elapsed();
    let sounds = |desk: &Desk| {
        let mut contents = desk.contents("lesson");
        contents.retain(|(file, _)| file != "manifest.json");
        contents
    };
    let expected = sounds(&undisturbed);

    let mut while_writing = 0;
    for moment in 1..=MOMENTS {
        let desk = Desk::with_lesson(SMALL);
        let mut command = desk.command(&["render", "lesson.toml", "--quiet", "--jobs", "1"]);
        let mut child = command.stdout(Stdio::null()).stderr(Stdio::null()).spawn().unwrap();
        let part = u32::try_from(moment).unwrap();
        std::thread::sleep(whole_run * part / u32::try_from(MOMENTS + 5).unwrap());
        child.kill().unwrap();
        child.wait().unwrap();

        let left = desk.files("lesson");
        let unfinished = left.iter().filter(|file| file.contains(".unfinished")).count();
        if unfinished > 0 || (left.len() > 1 && left.len() < expected.len()) {
            while_writing += 1;
        }
        for file in
            left.iter().filter(|file| !file.contains(".unfinished") && *file != "manifest.json")
        {
            let (_, whole) = expected.iter().find(|(name, _)| name == file).unwrap();
            assert!(
                std::fs::read(desk.path("lesson").join(file)).unwrap() == *whole,
                "{file} is not whole"
            );
        }
        std::thread::sleep(Duration::from_millis(1));
        desk.does(&["render", "lesson.toml", "--quiet"]);
        assert!(sounds(&desk) == expected, "moment {moment}: the set differs");
    }
    eprintln!("{while_writing} of {MOMENTS} kills fell into the writing");
}

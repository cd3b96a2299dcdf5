//! `render --watch`: a saved change makes what changed, a mistake is told and outlived.

use std::io::{BufRead, BufReader, Read};
use std::process::{Child, ChildStdout, Stdio};
use std::sync::mpsc::{Receiver, channel};

use serde_json::Value;

#[cfg(unix)]
use crate::harness::send;
use crate::harness::{Desk, PATIENCE, SMALL};
#[cfg(unix)]
use rustix::process::Signal;

/// The program while it watches.
struct Watching {
    child: Child,
    events: Receiver<Value>,
}

impl Watching {
    fn begin(desk: &Desk, words: &[&str]) -> Watching {
        let mut command = desk.command(&[&["render", "--watch", "--json"], words].concat());
        let mut child = command.stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
        let events = events_of(child.stdout.take().unwrap());
        Watching { child, events }
    }

    /// The events of a round, up to that which says that it is over.
    fn round(&self) -> Vec<Value> {
        let mut round = Vec::new();
        loop {
            round.push(self.events.recv_timeout(PATIENCE).expect("the round has no end"));
            if round.last().unwrap()["event"] == "watching" {
                return round;
            }
        }
    }

    /// The events of rounds until one of them is as expected. A save can be seen as two, where the
    /// machine is so busy that it takes longer than a save should.
    fn round_with(&self, kind: &str) -> Vec<Value> {
        loop {
            let round = self.round();
            if round.iter().any(|event| event["event"] == kind) {
                return round;
            }
        }
    }

    /// Ends the watch as a terminal does. Gives its exit code and what it said on standard error.
    #[cfg(unix)]
    fn interrupt(mut self) -> (i32, String) {
        send(&self.child, Signal::INT);
        let mut said = String::new();
        self.child.stderr.take().unwrap().read_to_string(&mut said).unwrap();
        (self.child.wait().unwrap().code().unwrap_or(-1), said)
    }
}

/// Where a test fails, the program is not left behind.
impl Drop for Watching {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

fn events_of(stdout: ChildStdout) -> Receiver<Value> {
    let (sender, receiver) = channel();
    std::thread::spawn(move || {
        for line in BufReader::new(stdout).lines().map_while(Result::ok) {
            if sender.send(serde_json::from_str(&line).unwrap()).is_err() {
                return;
            }
        }
    });
    receiver
}

/// The paths that events of a kind tell of, in order.
fn told(round: &[Value], kind: &str) -> Vec<String> {
    let told = round.iter().filter(|event| event["event"] == kind);
    let mut paths: Vec<String> =
        told.map(|event| event["path"].as_str().unwrap().to_owned()).collect();
    paths.sort();
    paths
}

/// Saves as many editors do: a new file takes the place of the old one.
fn save(desk: &Desk, file: &str, text: &str) {
    desk.write("being-saved~", text);
    std::fs::rename(desk.path("being-saved~"), desk.path(file)).unwrap();
}

#[cfg(unix)]
#[test]
fn what_changed_is_made_at_every_save() {
    let desk = Desk::with_lesson(SMALL);
    let watching = Watching::begin(&desk, &["lesson.toml"]);
    let all = told(&watching.round(), "made");
    assert!(all.len() > 4, "{all:?}");

    // One chord of the second track.
    let other_chord = SMALL.replace("Dm7 G7", "Dm7 Db7");
    save(&desk, "lesson.toml", &other_chord);
    let made = told(&watching.round_with("made"), "made");
    let of_band: Vec<String> = all.iter().filter(|path| path.contains("band")).cloned().collect();
    assert!(!of_band.is_empty());
    assert!(of_band.iter().all(|path| made.contains(path)), "{made:?}");
    let sound_of_hand = |path: &String| path.contains("left-hand");
    assert!(all.iter().any(sound_of_hand), "{all:?}");
    assert!(!made.iter().any(sound_of_hand), "what did not change was made: {made:?}");

    // A mistake.
    save(&desk, "lesson.toml", &SMALL.replace("Dm7 G7", "Dm7 H7"));
    let failed = watching.round_with("failed");
    assert!(told(&failed, "made").is_empty());
    let failed = failed.iter().find(|event| event["event"] == "failed").unwrap();
    let problem = &failed["problems"][0];
    assert!(problem["message"].as_str().unwrap().contains("H7"), "{failed}");
    assert_eq!((&problem["file"], &problem["line"]), (&"lesson.toml".into(), &12.into()));

    // Mended, in place this time.
    desk.write("lesson.toml", SMALL);
    let made = told(&watching.round_with("made"), "made");
    assert!(of_band.iter().all(|path| made.contains(path)), "{made:?}");

    let (code, said) = watching.interrupt();
    assert_eq!(code, 130, "{said}");

    let fresh = Desk::with_lesson(SMALL);
    fresh.does(&["render", "lesson.toml", "--quiet"]);
    assert!(desk.contents("lesson") == fresh.contents("lesson"), "the set is as made at once");
}

/// A style of the teacher's own, and another that takes its place.
const MINE: &str = include_str!("../../styles/drums/ride.toml");
const OTHER: &str = include_str!("../../styles/drums/brushes.toml");

#[cfg(unix)]
#[test]
fn a_saved_style_is_a_change_and_so_is_a_new_lesson_in_a_course() {
    let desk = Desk::new();
    let lesson = SMALL
        .replace("format = 1", "format = 1\nstyles = \"own\"")
        .replace("drums = \"ride\"", "drums = \"mine\"");
    desk.write("course/first.toml", &lesson);
    desk.write("course/own/drums/mine.toml", MINE);
    let watching = Watching::begin(&desk, &["course"]);
    watching.round();

    save(&desk, "course/own/drums/mine.toml", "what is this");
    watching.round_with("failed");
    save(&desk, "course/own/drums/mine.toml", OTHER);
    let made = told(&watching.round_with("made"), "made");
    assert!(made.iter().any(|path| path.contains("band")), "{made:?}");
    assert!(!made.iter().any(|path| path.contains("left-hand")), "{made:?}");

    save(&desk, "course/second.toml", SMALL);
    let round = watching.round_with("made");
    let made: Vec<&Value> = round.iter().filter(|event| event["event"] == "made").collect();
    assert!(made.len() > 4, "{round:?}");
    // The page of the course leads to it.
    let of_course = |event: &Value| event["lesson"].is_null() && event["path"] == "index.html";
    let expected = |event: &&Value| event["lesson"] == "second" || of_course(event);
    assert!(made.iter().all(expected), "{round:?}");

    // The course goes away, and comes back.
    std::fs::rename(desk.path("course"), desk.path("elsewhere")).unwrap();
    watching.round_with("failed");
    std::fs::rename(desk.path("elsewhere"), desk.path("course")).unwrap();
    watching.round_with("kept");
    save(&desk, "course/own/drums/mine.toml", MINE);
    watching.round_with("made");
    let (code, said) = watching.interrupt();
    assert_eq!(code, 130, "{said}");
}

#[test]
fn a_wrong_name_is_told_at_once() {
    let desk = Desk::new();
    let said = desk.types(&["render", "lessen.toml", "--watch"]);
    assert_eq!(said.code, 2);
    assert!(said.stderr.contains("there is no file lessen.toml"), "{}", said.stderr);
    let said = desk.types(&["render", "lesson.toml", "--watch", "--plan"]);
    assert_eq!(said.code, 2, "{}", said.stderr);
}

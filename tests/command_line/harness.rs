//! A folder to work in, and commands typed in it.

use std::path::{Path, PathBuf};
use std::process::{Child, Output};
use std::time::{Duration, Instant};

use tempfile::TempDir;

/// A lesson that is made in a moment: two tracks of a few fast bars, without sheets of notes.
pub(crate) const SMALL: &str = r#"
format = 1
title = "Small"
tempos = [240, 300]
[[chart]]
name = "cadence"
key = "Gm"
A = "| Am7b5 D7b9 | Gm6 |"
[[chart]]
name = "other"
key = "C"
A = "| Dm7 G7 | Cmaj7 |"
[[track]]
name = "left hand"
chart = "cadence"
comp = "shells"
[[track]]
name = "band"
chart = "other"
comp = "rootless"
bass = "walking"
drums = "ride"
mixes = [{}, { without = ["bass"] }]
[files]
notes = []
"#;

/// A folder of its own, and the program in it.
pub(crate) struct Desk {
    folder: TempDir,
}

/// How long a command may take on a busy machine before a test gives it up.
pub(crate) const PATIENCE: Duration = Duration::from_secs(120);

/// Sends a signal to a command.
#[cfg(unix)]
pub(crate) fn send(child: &Child, signal: rustix::process::Signal) {
    rustix::process::kill_process(rustix::process::Pid::from_child(child), signal).unwrap();
}

/// Waits for a command to end. One that does not is killed, and has no exit code.
pub(crate) fn ended(mut child: Child) -> Said {
    let patience = Instant::now() + PATIENCE;
    while child.try_wait().unwrap().is_none() {
        if Instant::now() > patience {
            child.kill().unwrap();
        }
        std::thread::sleep(Duration::from_millis(10));
    }
    Said::from(child.wait_with_output().unwrap())
}

/// What a command printed and how it ended.
pub(crate) struct Said {
    pub(crate) stdout: String,
    pub(crate) stderr: String,
    pub(crate) code: i32,
}

impl Desk {
    /// An empty folder.
    pub(crate) fn new() -> Desk {
        Desk { folder: TempDir::new().unwrap() }
    }

    /// A folder with a lesson in it.
    pub(crate) fn with_lesson(text: &str) -> Desk {
        let desk = Desk::new();
        desk.write("lesson.toml", text);
        desk
    }

    pub(crate) fn path(&self, relative: impl AsRef<Path>) -> PathBuf {
        self.folder.path().join(relative)
    }

    pub(crate) fn write(&self, relative: &str, content: impl AsRef<[u8]>) {
        let path = self.path(relative);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(path, content).unwrap();
    }

    /// The command, ready to be run.
    pub(crate) fn command(&self, words: &[&str]) -> std::process::Command {
        let mut command = std::process::Command::new(assert_cmd::cargo::cargo_bin!("countoff"));
        command.current_dir(self.folder.path()).args(words);
        command.env_remove("COUNTOFF_SOUNDFONT").env("NO_COLOR", "1").env("COLUMNS", "100");
        command
    }

    /// Types a command.
    pub(crate) fn types(&self, words: &[&str]) -> Said {
        Said::from(self.command(words).output().unwrap())
    }

    /// Types a command that must succeed.
    pub(crate) fn does(&self, words: &[&str]) -> Said {
        let said = self.types(words);
        assert_eq!(said.code, 0, "{words:?}\n{}\n{}", said.stdout, said.stderr);
        said
    }

    /// All files below a folder, with `/` between folders, in order.
    pub(crate) fn files(&self, below: &str) -> Vec<String> {
        let mut files = Vec::new();
        collect(&self.path(below), "", &mut files);
        // Locks and times are no part of a set.
        files.retain(|file| !file.contains(".countoff."));
        files.sort();
        files
    }

    /// All files below a folder with their bytes.
    pub(crate) fn contents(&self, below: &str) -> Vec<(String, Vec<u8>)> {
        let read = |file: String| {
            let bytes = std::fs::read(self.path(below).join(&file)).unwrap();
            (file, bytes)
        };
        self.files(below).into_iter().map(read).collect()
    }
}

fn collect(folder: &Path, prefix: &str, files: &mut Vec<String>) {
    let Ok(entries) = std::fs::read_dir(folder) else { return };
    for entry in entries.map(Result::unwrap) {
        let name = format!("{prefix}{}", entry.file_name().to_string_lossy());
        if entry.file_type().unwrap().is_dir() {
            collect(&entry.path(), &format!("{name}/"), files);
        } else {
            files.push(name);
        }
    }
}

impl From<Output> for Said {
    fn from(output: Output) -> Said {
        Said {
            stdout: String::from_utf8_lossy(&output.stdout).into_owned(),
            stderr: String::from_utf8_lossy(&output.stderr).into_owned(),
            code: output.status.code().unwrap_or(-1),
        }
    }
}

impl Said {
    /// Which files were made, by the JSON events.
    pub(crate) fn made(&self) -> Vec<String> {
        self.told("made")
    }

    /// The files that JSON events of a kind tell of, in order; in a course after their lesson.
    pub(crate) fn told(&self, kind: &str) -> Vec<String> {
        let event = |line: &str| serde_json::from_str::<serde_json::Value>(line).unwrap();
        let told = self.stdout.lines().map(event).filter(|event| event["event"] == kind);
        let mut paths: Vec<String> = told
            .map(|event| {
                let path = event["path"].as_str().unwrap();
                event["lesson"].as_str().map_or(path.to_owned(), |set| format!("{set}/{path}"))
            })
            .collect();
        paths.sort();
        paths
    }
}

//! What a file depends on, as a hash: the same hash, the same content.

use std::hash::{Hash, Hasher};

use crate::content_hash::ContentHasher;
use crate::deliver::{FileFormat, Tags};
use crate::lesson::{Lesson, Track};
use crate::mix::MixSpec;
use crate::units::Frames;

use super::files::SoundPlan;
use super::take::TakeNotes;

/// The code that makes sound files, as hashes of its sources; `build.rs` says of which. A version of
/// the program in which it is the same makes nothing again.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Code {
    /// Of what plays, mixes and encodes.
    pub samples: &'static str,
    /// Of what writes tags, markers and the heads of files.
    pub tags: &'static str,
}

impl Code {
    /// The code of this program.
    pub const THIS: Code =
        Code { samples: env!("COUNTOFF_SAMPLES_CODE"), tags: env!("COUNTOFF_TAGS_CODE") };
}

/// What a sound file depends on, as the manifest has it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SoundHashes {
    /// A hash of everything that its samples depend on.
    pub audio: String,
    /// A hash of everything that its content depends on.
    pub depends: String,
}

impl SoundHashes {
    /// Of a planned file, with what its instruments sound like
    /// ([`crate::sound::SoundFont::hash_of`]) and the code that makes it.
    #[must_use]
    pub fn of(sound: &SoundPlan, instruments: &[[u8; 32]], code: Code) -> SoundHashes {
        let audio = sound.audio.with(instruments, &[code.samples]);
        let depends = sound.depends.with(instruments, &[code.samples, code.tags]);
        SoundHashes { audio: audio.to_string(), depends: depends.to_string() }
    }
}

/// A hash of everything that a file's content depends on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Depends([u8; 32]);

impl Depends {
    /// Of the samples of a take: the notes that are heard and how they are mixed and levelled. The
    /// notes stand for chart, styles and seed: a change there that moves no note makes no file again.
    pub(super) fn of_take(lesson: &Lesson, track: &Track, notes: &TakeNotes) -> Depends {
        let mut hasher = ContentHasher::new();
        notes.performance.hash(&mut hasher);
        hasher.text(&format!("{:?} {}", track.mixes, notes.timeline.loops));
        hasher.text(&format!("{:?} {} {:?}", lesson.rate, lesson.loudness_target, lesson.level));
        Depends(hasher.content())
    }

    /// Of the samples of one of its mixes.
    pub(super) fn in_mix(self, mix: &MixSpec, begins: Frames) -> Depends {
        let mut hasher = ContentHasher::new();
        hasher.write(&self.0);
        hasher.text(&format!("{mix:?} {begins:?}"));
        Depends(hasher.content())
    }

    /// The same with what a file says of itself: its tags and markers.
    pub(super) fn and_tags(self, tags: &Tags, notes: &TakeNotes) -> Depends {
        let mut hasher = ContentHasher::new();
        hasher.write(&self.0);
        hasher.text(&format!("{tags:?} {:?}", notes.timeline.markers()));
        Depends(hasher.content())
    }

    /// The same for a file in a format. The name of a file seeds its dither.
    pub(super) fn in_file(self, path: &str, format: FileFormat) -> Depends {
        let mut hasher = ContentHasher::new();
        hasher.write(&self.0);
        hasher.text(path);
        hasher.text(&format!("{format:?}"));
        Depends(hasher.content())
    }

    /// The same with what the instruments sound like, and the code that makes the file.
    fn with(self, instruments: &[[u8; 32]], code: &[&str]) -> Depends {
        let mut hasher = ContentHasher::new();
        hasher.write(&self.0);
        instruments.iter().for_each(|instrument| hasher.write(instrument));
        code.iter().for_each(|code| hasher.text(code));
        Depends(hasher.content())
    }
}

impl std::fmt::Display for Depends {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        self.0.iter().try_for_each(|byte| write!(f, "{byte:02x}"))
    }
}

#[cfg(test)]
#[path = "../../build.rs"]
#[allow(dead_code, clippy::print_stdout, clippy::panic, reason = "it is a program")]
mod build_script;

#[cfg(test)]
mod tests {
    use std::fs;
    use std::path::{Path, PathBuf};

    use super::Code;

    use super::build_script::{self, SAMPLES, SAMPLES_LIBRARIES, TAGS, TAGS_LIBRARIES, identity};

    /// A copy of all that has an identity, to be changed.
    struct Sources(tempfile::TempDir);

    impl Sources {
        fn copied() -> Sources {
            let home = tempfile::tempdir().unwrap();
            let root = Path::new(env!("CARGO_MANIFEST_DIR"));
            for path in SAMPLES.iter().chain(TAGS).chain(&["Cargo.lock"]) {
                copy(&root.join(path), &home.path().join(path));
            }
            Sources(home)
        }

        /// The identities of samples and of tags.
        fn identities(&self) -> [String; 2] {
            let root = self.0.path();
            [identity(root, SAMPLES, SAMPLES_LIBRARIES), identity(root, TAGS, TAGS_LIBRARIES)]
        }

        fn edit(&self, path: &str, edit: impl FnOnce(String) -> String) {
            let path = self.0.path().join(path);
            let before = fs::read_to_string(&path).unwrap();
            let after = edit(before.clone());
            assert_ne!(before, after);
            fs::write(path, after).unwrap();
        }
    }

    fn copy(from: &Path, to: &Path) {
        if from.is_dir() {
            for entry in fs::read_dir(from).unwrap().map(Result::unwrap) {
                copy(&entry.path(), &to.join(entry.file_name()));
            }
        } else {
            fs::create_dir_all(to.parent().unwrap()).unwrap();
            fs::copy(from, to).unwrap();
        }
    }

    #[test]
    fn another_limiter_is_other_code_and_another_comment_is_not() {
        let sources = Sources::copied();
        let before = sources.identities();
        assert_eq!(before, [Code::THIS.samples, Code::THIS.tags]);
        let limiter = "src/engine/mix/limiter/mod.rs";
        sources.edit(limiter, |text| {
            format!("//! A remark.\n{text}\n/// On nothing.\nconst X: () = ();")
        });
        let [with_constant, tags] = sources.identities();
        assert_ne!(with_constant, before[0]);
        assert_eq!(tags, before[1]);
        sources.edit(limiter, |text| {
            text.replace("\n/// On nothing.\nconst X: () = ();", "// End.\n")
        });
        sources.edit(limiter, |text| text.replace("    ", "  ").replace('\n', "\r\n"));
        sources
            .edit(limiter, |text| text + "#[cfg(test)]\n#[expect(unused)]\nmod more { fn f() {} }");
        sources.edit("src/engine/sound/store/tests.rs", |text| text + "const X: () = ();");
        assert_eq!(sources.identities(), before);
        sources.edit("src/engine/mix/level.rs", |text| {
            text.replace("Decibels(-1.0)", "Decibels(-1.5)")
        });
        let [samples, tags] = sources.identities();
        assert_ne!(samples, before[0]);
        assert_eq!(tags, before[1]);
    }

    #[test]
    fn other_tags_and_other_libraries_are_other_code() {
        let sources = Sources::copied();
        let before = sources.identities();
        sources.edit("Cargo.lock", |text| {
            let version = concat!("name = \"countoff\"\nversion = \"", env!("CARGO_PKG_VERSION"));
            text.replace(version, "name = \"countoff\"\nversion = \"9.9.9")
        });
        assert_eq!(sources.identities(), before, "the program's own version is none of it");
        // One that is misspelt or no longer used would be missed without a word.
        let lock = fs::read_to_string(sources.0.path().join("Cargo.lock")).unwrap();
        for library in SAMPLES_LIBRARIES.iter().chain(TAGS_LIBRARIES) {
            assert!(lock.contains(&format!("name = \"{library}\"\n")), "{library}");
        }
        sources.edit("src/deliver/tags.rs", |text| text.replace("\"ICMT\"", "\"ICMX\""));
        let [samples, tags] = sources.identities();
        assert_eq!(samples, before[0]);
        assert_ne!(tags, before[1]);
        sources.edit("Cargo.lock", |text| {
            text.replace(
                "name = \"rustysynth\"\nversion = \"",
                "name = \"rustysynth\"\nversion = \"9",
            )
        });
        assert_ne!(sources.identities()[0], before[0]);
    }

    /// Whatever these sources use is itself among them, or is data that a take's hash holds.
    #[test]
    fn nothing_that_makes_samples_is_left_out() {
        const DATA: [&str; 11] = [
            "crate::codec::wav::",
            "crate::deliver::",
            "crate::lesson::Lesson",
            "crate::mix::",
            "crate::performance::",
            "crate::plan::",
            "crate::problem::",
            "crate::random::",
            "crate::simd::",
            "crate::sound::",
            "crate::units::",
        ];
        let root = Path::new(env!("CARGO_MANIFEST_DIR"));
        let modules = |path: &PathBuf| {
            let path = path.strip_prefix(root.join("src")).unwrap().with_extension("");
            let parts: Vec<_> = path.iter().map(|part| part.to_str().unwrap()).collect();
            format!("crate::{}", parts.join("::"))
        };
        // The engine is whole.
        let others = || SAMPLES.iter().filter(|path| **path != build_script::ENGINE);
        let files = others().flat_map(|path| build_script::files(&root.join(path)));
        let inside: Vec<String> = others().map(|path| modules(&root.join(path))).collect();
        for file in files {
            let text = fs::read_to_string(&file).unwrap();
            let code = text.split("#[cfg(test)]\nmod tests {").next().unwrap();
            for used in code.lines().filter_map(|line| line.strip_prefix("use ")) {
                let is_inside = inside.iter().any(|module| used.starts_with(module.as_str()));
                let is_known = DATA.iter().any(|data| used.starts_with(data));
                let is_ours = used.starts_with("crate::");
                assert!(!is_ours || is_inside || is_known, "{}: {used}", file.display());
            }
        }
    }
}

//! From a lesson's text to audio, by the library's own way.

use std::collections::BTreeMap;
use std::path::Path;
use std::sync::atomic::AtomicBool;
use std::sync::{Arc, LazyLock};

use countoff::deliver::Quota;
use countoff::lesson::{Lesson, NoNeighbours};
use countoff::performance::{Instrument, PerformedPart, TempoMap};
use countoff::plan::{Code, Plan};
use countoff::render::{Made, Planned, Progress, Render, RenderError, Work, render};
use countoff::sound::{Sounds, StoreBudget};
use countoff::style::Library;
use countoff::units::{Frames, SampleRate};

/// The trio and the kit, shared by all tests.
pub(crate) static SOUNDS: LazyLock<Sounds> = LazyLock::new(|| {
    let instruments = [Instrument { bank: 0, program: 0 }, Instrument { bank: 128, program: 0 }];
    let font = countoff::soundfont::embedded().unwrap();
    Sounds::new(font, &instruments, SampleRate::Hz44100, StoreBudget::default()).unwrap()
});

/// A dry stem, both channels added, from tick 0 on.
pub(crate) fn stem(part: &PerformedPart, tempo: &TempoMap) -> Vec<f32> {
    let mut stem = SOUNDS.stem(part, tempo, Frames::ZERO).unwrap();
    let mut mono = Vec::new();
    while !stem.is_done() {
        let (mut left, mut right) = (vec![0.0; 4096], vec![0.0; 4096]);
        stem.add_block(&mut left, &mut right).unwrap();
        mono.extend(left.iter().zip(&right).map(|(left, right)| left + right));
    }
    mono
}

pub(crate) struct Quiet;

impl Progress for Quiet {
    fn made(&self, _: &Made) {}
    fn tagged(&self, _: &str) {}
    fn kept(&self, _: &str) {}
    fn left_alone(&self, _: &str) {}
}

/// A lesson, planned.
pub(crate) fn planned(text: &str) -> (Lesson, Plan) {
    let library = Library::built_in();
    let lesson = Lesson::read("lesson.toml", text, &NoNeighbours, &library).unwrap();
    let plan = Plan::of(&lesson, &library, |_| true).unwrap();
    (lesson, plan)
}

/// A lesson, ready to be made any number of times.
pub(crate) struct Prepared {
    pub(crate) lesson: Lesson,
    pub(crate) plan: Plan,
    pub(crate) sounds: Sounds,
    pub(crate) instruments: BTreeMap<Instrument, [u8; 32]>,
}

impl Prepared {
    pub(crate) fn of(text: &str) -> Prepared {
        let (lesson, plan) = planned(text);
        let font = countoff::soundfont::embedded().unwrap();
        let hash = |instrument| (instrument, font.hash_of(instrument).unwrap());
        let instruments = plan.instruments().into_iter().map(hash).collect();
        let budget = StoreBudget::default();
        let sounds = Sounds::new(font, &plan.instruments(), lesson.rate, budget).unwrap();
        Prepared { lesson, plan, sounds, instruments }
    }

    /// Makes its files in a folder, with so much room on the disk.
    pub(crate) fn make(
        &self,
        folder: &Path,
        quota: Quota,
        progress: &dyn Progress,
    ) -> Result<(), RenderError> {
        self.make_by(Code::THIS, folder, quota, progress)
    }

    /// The same by another program.
    pub(crate) fn make_by(
        &self,
        code: Code,
        folder: &Path,
        quota: Quota,
        progress: &dyn Progress,
    ) -> Result<(), RenderError> {
        let set = Render {
            lesson: &self.lesson,
            plan: Planned::AtHand(&self.plan),
            whole: None,
            takes: (0..self.plan.takes.len()).collect(),
            sounds: &|| Ok(self.sounds.clone()),
            instruments: &self.instruments,
            code,
            prune: false,
            work: Work::All,
            folder: folder.to_owned(),
            quota,
            progress,
        };
        render(&[set], &Arc::new(AtomicBool::new(false)), || ()).into_iter().collect()
    }
}

/// Makes a lesson's files in a folder.
pub(crate) fn rendered(text: &str, folder: &Path) -> Plan {
    let prepared = Prepared::of(text);
    prepared.make(folder, Quota::default(), &Quiet).unwrap();
    prepared.plan
}

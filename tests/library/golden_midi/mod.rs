//! Golden MIDI: the notes of every style, practice shape and technique as they are now, so that
//! a change that moves a note is seen.
//!
//! Each snapshot has hashes of whole MIDI files (one a meter, one of all twelve keys) and, of one
//! of them, the notes as they are heard, a line a bar. Nothing here says that a note is right:
//! that is tested by each style's own tests. DEVELOPERS.md tells how a meant change is accepted.

mod shapes;
mod styles;
mod techniques;

use std::fmt::Write as _;
use std::ops::Range;

use countoff::codec::smf;
use countoff::deliver::song;
use countoff::lesson::{Lesson, NoNeighbours};
use countoff::performance::{Part, PerformedPart};
use countoff::plan::{Plan, TakeNotes};
use countoff::style::Library;
use countoff::units::Meter;

/// Compares with the file of this name in `snapshots/`. The name of the test program is no part of
/// it, so that tests can move.
fn assert_golden(name: &str, text: &str) {
    let mut settings = insta::Settings::clone_current();
    settings.set_prepend_module_to_snapshot(false);
    settings.set_omit_expression(true);
    settings.bind(|| insta::assert_snapshot!(name.replace(' ', "-"), text));
}

/// The takes of a lesson of one track: `chart` and `track` are the lines of their tables.
fn takes(chart: &str, track: &str) -> Vec<TakeNotes> {
    let text = format!(
        "format = 1\ntitle = 'Golden'\ntempos = [120]\nseed = 7\n\
         [[chart]]\nname = 'chart'\n{chart}\n[[track]]\nname = 'track'\nchart = 'chart'\n{track}\n"
    );
    let library = Library::built_in();
    let lesson = Lesson::read("lesson.toml", &text, &NoNeighbours, &library)
        .unwrap_or_else(|error| panic!("{text}\n{error:?}"));
    let plan = Plan::of(&lesson, &library, |_| true).unwrap();
    plan.takes.into_iter().map(|take| take.notes).collect()
}

/// A chart in G minor that has chords of all functions, two in a bar, a silence, and a chord with
/// a bass of its own.
fn chart(meter: Meter) -> String {
    let pair = |one: &str, two: &str| match meter {
        Meter::ThreeFour => format!("{one} / {two}"),
        Meter::FiveFour => format!("{one} / / {two} /"),
        Meter::FourFour | Meter::SixEight | Meter::TwoTwo | Meter::TwoFour => {
            format!("{one} {two}")
        }
    };
    format!(
        "key = 'Gm'\nmeter = '{meter}'\nA = '| Am7b5 | D7b9 | Gm6 | % | {} | Bbmaj7 | {} | {} |'",
        pair("Cm7", "F7"),
        pair("Eb7#11", "N.C."),
        pair("Am7b5/D", "D7sus4"),
    )
}

/// The first half of the hash of the MIDI files of these takes.
fn hash(takes: &[TakeNotes]) -> String {
    let mut hasher = blake3::Hasher::new();
    for take in takes {
        let song = song("golden", &take.timeline, &take.performance);
        hasher.update(&smf::write(&song).unwrap());
    }
    hasher.finalize().to_hex()[..32].to_owned()
}

/// The notes of some parts of a take, a line a bar: when each is struck after the beginning of
/// the bar, in ticks, its pitch, how long it sounds, in ticks, and its velocity. Notes that sound
/// before their bar are listed with the bar before.
fn notes(take: &TakeNotes, parts: &[Part]) -> String {
    let mut text = String::new();
    for part in take.performance.parts.iter().filter(|part| parts.contains(&part.part)) {
        let _ = writeln!(text, "{}, program {}", part.part.name(), part.instrument.program);
        for bar in &take.timeline.bars {
            let _ = write!(text, "{} {}.{} {}:", bar.kind, bar.chorus, bar.form_bar, bar.key);
            for note in notes_in(part, bar.start.0..bar.end().0) {
                let _ = write!(text, " {note}");
            }
            text.push('\n');
        }
    }
    text
}

fn notes_in(part: &PerformedPart, bar: Range<i64>) -> impl Iterator<Item = String> + '_ {
    let start = bar.start;
    let inside = part.notes.iter().filter(move |note| bar.contains(&note.on.0));
    inside.map(move |note| {
        let (at, length) = (note.on.0 - start, note.off.0 - note.on.0);
        let variant = if note.variant == 0 { String::new() } else { format!("#{}", note.variant) };
        format!("{at}:{}{variant}+{length}v{}", note.pitch, note.velocity.get())
    })
}

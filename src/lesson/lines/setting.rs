//! What lines are played on.

use crate::lesson::Lesson;
use crate::performance::Instrument;
use crate::problem::{Problem, ProblemList, Problems, nearest, quoted};
use crate::sound::PresetName;

impl Lesson {
    /// Whether a SoundFont has what the lines of a lesson are played on. `name` is what the user
    /// calls the lesson, `text` the text that it was read from.
    ///
    /// # Errors
    /// The instruments that the SoundFont lacks, each with its place.
    pub fn instruments_are_in(
        &self,
        name: &str,
        text: &str,
        presets: &[PresetName],
    ) -> Result<(), Problems> {
        let is_there =
            |wanted: Instrument| presets.iter().any(|preset| preset.instrument == wanted);
        let names: Vec<&str> = presets
            .iter()
            .filter(|preset| preset.instrument.bank == 0)
            .filter_map(|preset| preset.instrument.name())
            .collect();
        let mut problems = ProblemList::default();
        // The lines of an exercise book have one place.
        let mut wanted: Vec<_> =
            self.lines.iter().filter_map(|line| line.instrument.clone()).collect();
        wanted.dedup();
        for (_, place) in wanted.into_iter().filter(|(instrument, _)| !is_there(*instrument)) {
            let written = text.get(place.clone()).unwrap_or_default().trim_matches(['"', '\'']);
            let message = format!("the SoundFont has no {}", quoted(written));
            let nearest = nearest(written, names.iter().copied());
            let meant =
                nearest.map_or_else(String::new, |name| format!("did you mean \"{name}\"? "));
            let help = format!("{meant}it has {}", names.join(", "));
            problems.push(Problem::new(message, place).help(help));
        }
        if problems.is_empty() { Ok(()) } else { Err(problems.of_file(name, text)) }
    }
}

//! Where the notes of a line come from.

use crate::chart::{Chart, one_chorus};
use crate::codec::{abc, musicxml, smf};
use crate::lesson::checker::Checker;
use crate::lesson::file::LineEntry;
use crate::part::line::{Force, LineNote};
use crate::problem::{Problem, quoted};
use crate::schema::{Placed, Words};
use crate::units::{Meters, Ticks};

/// The channel of percussion in General MIDI, counted from 0: drums are no line.
const PERCUSSION_CHANNEL: u8 = 9;

/// The notes of a line, and how many bars they are meant to fill.
pub(super) struct Source {
    pub(super) notes: Vec<LineNote>,
    pub(super) bars: i64,
}

impl Checker<'_> {
    /// The notes, from the one place that the entry names.
    pub(super) fn source(&mut self, entry: &Placed<LineEntry>, chart: &Chart) -> Option<Source> {
        let name = quoted(&entry.name);
        match (&entry.abc, &entry.musicxml, &entry.midi) {
            (Some(text), None, None) => self.abc(entry, text, chart),
            (None, Some(file), None) => self.musicxml(entry, file, chart),
            (None, None, Some(file)) => self.midi(entry, file, chart),
            (None, None, None) => {
                let help = "write its notes as abc = \"…\", or name a file: midi = \"line.mid\" or \
                            musicxml = \"line.musicxml\"";
                self.say_missing(format!("the line `{name}` has no notes"), entry.span(), help);
                None
            }
            _ => {
                let message = format!("the line `{name}` has its notes twice");
                self.say(message, entry.span(), "keep one of `abc`, `musicxml` and `midi`");
                None
            }
        }
    }

    /// Notation says itself where its first bar line is.
    fn no_pickup(&mut self, entry: &LineEntry) {
        if let Some(pickup) = &entry.pickup {
            let help = "leave it out: what stands before the first bar line is the pickup";
            self.say("`pickup` belongs to MIDI files", pickup.span(), help);
        }
    }

    /// What a file beside the lesson holds; `kind` says what it must be.
    fn beside<T>(
        &mut self,
        file: &Placed<Words>,
        kind: &str,
        read: impl FnOnce(&[u8]) -> Result<T, String>,
    ) -> Option<T> {
        let bytes = self.neighbours.read(file).map_err(|error| error.to_string());
        match bytes.and_then(|bytes| read(&bytes)) {
            Ok(found) => Some(found),
            Err(error) => {
                let help = format!("the path counts from the lesson's folder; it must be {kind}");
                self.say(format!("{}: {error}", file.as_str()), file.span(), help);
                None
            }
        }
    }

    fn musicxml(
        &mut self,
        entry: &LineEntry,
        file: &Placed<Words>,
        chart: &Chart,
    ) -> Option<Source> {
        self.no_pickup(entry);
        let melody = self.beside(file, "MusicXML, over the chart's bars", |bytes| {
            let sheet = musicxml::read(bytes).map_err(|error| error.to_string())?;
            let sheet = one_chorus(&sheet, chart)
                .map_err(|errors| errors.first().map_or_else(String::new, ToString::to_string))?;
            let meters = chart.meters();
            let meters = Meters::new(&meters, chart.meter);
            let melody = sheet.melody(meters).map_err(|error| error.to_string())?;
            if melody.notes.is_empty() { Err("there are no notes".to_owned()) } else { Ok(melody) }
        })?;
        let name = entry.name.as_str();
        let warnings = melody.warnings.iter();
        self.warnings.extend(warnings.map(|warning| format!("the line {name}, {warning}")));
        let notes = melody.notes.iter().map(|note| LineNote {
            at: note.at,
            length: sounding(note.length, note.staccato),
            pitch: note.pitch,
            name: note.name,
            force: Force::written(note.loudness, note.accent),
        });
        Some(Source { notes: notes.collect(), bars: i64::from(melody.bars) })
    }

    fn abc(&mut self, entry: &LineEntry, text: &Placed<String>, chart: &Chart) -> Option<Source> {
        self.no_pickup(entry);
        let meters = chart.meters();
        let meters = Meters::new(&meters, chart.meter);
        let defaults = abc::Defaults { meters, fifths: chart.key.signature() };
        let tune = match abc::read(text, defaults) {
            Ok(tune) => tune,
            Err(errors) => {
                for error in errors {
                    let span = self.inside(text.span(), error.span);
                    let problem = Problem::new(error.problem.to_string(), span);
                    let bar = match error.bar {
                        0 => String::new(),
                        bar => format!("bar {bar}"),
                    };
                    self.say_with_label(problem.label(bar).help(error.problem.help()));
                }
                return None;
            }
        };
        let name = entry.name.as_str();
        let warnings = tune.warnings.iter();
        self.warnings.extend(warnings.map(|warning| format!("the line {name}, {warning}")));
        let notes = tune.notes.iter().map(of_abc).collect();
        Some(Source { notes, bars: i64::from(tune.bars) })
    }

    fn midi(&mut self, entry: &LineEntry, file: &Placed<Words>, chart: &Chart) -> Option<Source> {
        let pickup = entry.pickup.as_ref().map_or(0.0, |pickup| pickup.get());
        let song = self.beside(file, "a MIDI file", |bytes| {
            smf::read(bytes).map_err(|error| error.to_string())
        })?;
        #[expect(clippy::cast_possible_truncation, reason = "at most 16 beats")]
        #[expect(clippy::cast_precision_loss, reason = "a beat is below 2,000 ticks")]
        let before = Ticks((pickup * chart.meter.beat().0 as f64).round() as i64);
        let tracks = song.tracks.iter().filter(|track| track.channel != PERCUSSION_CHANNEL);
        let mut notes: Vec<LineNote> = tracks
            .flat_map(|track| &track.notes)
            .map(|note| LineNote {
                at: note.on - before,
                length: note.off - note.on,
                pitch: note.pitch,
                name: None,
                force: Force::Played(note.velocity),
            })
            .collect();
        if notes.is_empty() {
            self.say(format!("{} has no notes", file.as_str()), file.span(), "write some");
            return None;
        }
        notes.sort_by_key(|note| (note.at, note.pitch));
        // A note that is held a little over the last bar line does not make a bar.
        let held_over = Ticks::EIGHTH;
        let end = notes.iter().map(|note| note.at + note.length).max().unwrap_or_default();
        let bars = Meters::new(&chart.meters(), chart.meter).count(end - held_over);
        Some(Source { notes, bars })
    }
}

fn of_abc(note: &abc::TuneNote) -> LineNote {
    LineNote {
        at: note.at,
        length: sounding(note.length, note.staccato),
        pitch: note.midi.get(),
        name: Some(note.pitch.name),
        force: Force::written(note.loudness, note.accent),
    }
}

/// What is heard of a written length: half of it, where it is to be cut short (common practice).
fn sounding(length: Ticks, staccato: bool) -> Ticks {
    if staccato { Ticks((length.0 / 2).max(1)) } else { length }
}

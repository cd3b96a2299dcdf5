//! Moves a line against the bar.

use crate::melody::Form;
use crate::units::Ticks;

use super::Composed;

/// The same line so many eighth notes later. The last note, which is a long one, gives the time;
/// where it is too short, the line is moved by as much as it gives, less an eighth note.
pub(super) fn displaced(mut line: Composed, form: &Form, eighths: u8) -> Composed {
    let Some(last) = line.notes.last() else { return line };
    let room = (last.length.0 / Ticks::EIGHTH.0 - 1).max(0);
    let later = Ticks::EIGHTH * i64::from(eighths).min(room);
    let end = form.length().0.min(last.at.0 + last.length.0);
    line.displaced = later;
    for note in &mut line.notes {
        note.at += later;
    }
    if let Some(last) = line.notes.last_mut() {
        last.length = Ticks(end) - last.at;
    }
    line
}

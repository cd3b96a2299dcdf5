//! The measures of engraving, in staff spaces. Where no source is named they are common practice,
//! as Gould (*Behind Bars*) and Ross (*The Art of Music Engraving*) have it, from memory.

/// Lines of the staff.
pub(super) const STAFF_LINE: f64 = 0.12;
/// Stems.
pub(super) const STEM: f64 = 0.12;
/// Ledger lines, and how far they reach beyond their head.
pub(super) const LEDGER: f64 = 0.17;
pub(super) const LEDGER_REACH: f64 = 0.36;
/// Bar lines, thin and thick, and the white between them.
pub(super) const THIN_BAR: f64 = 0.17;
pub(super) const THICK_BAR: f64 = 0.50;
pub(super) const BAR_GAP: f64 = 0.42;
/// Beams, and from the centre of one to that of the next.
pub(super) const BEAM: f64 = 0.50;
pub(super) const BEAM_STEP: f64 = 0.76;
/// A beam that belongs to one note only.
pub(super) const HOOK: f64 = 1.15;
/// A stem of full length, and the least of one that points away from the staff.
pub(super) const STEM_LENGTH: f64 = 3.5;
pub(super) const SHORT_STEM: f64 = 2.5;

/// White between two things of neighbouring columns.
pub(super) const COLUMN_GAP: f64 = 0.45;
/// White between a head and its accidental, and between accidentals.
pub(super) const ACCIDENTAL_GAP: f64 = 0.18;
/// White before dots.
pub(super) const DOT_GAP: f64 = 0.32;
/// From a bar line to the first note, and from the last note to a bar line, at least.
pub(super) const AFTER_BAR: f64 = 1.25;
pub(super) const BEFORE_BAR: f64 = 0.9;
/// The room of a quarter note in a line that is neither stretched nor squeezed. Twice the length
/// takes 1.41 times the room.
pub(super) const QUARTER_ROOM: f64 = 3.9;
/// The shortest tie that can be seen.
pub(super) const SHORTEST_TIE: f64 = 1.8;

/// From the middle of a staff to that of the next one of its part, at least.
pub(super) const STAFF_DISTANCE: f64 = 9.0;
/// White between what belongs to two staves.
pub(super) const STAFF_GAP: f64 = 1.6;
/// White between two systems.
pub(super) const SYSTEM_GAP: f64 = 3.2;
/// White under a heading.
pub(super) const HEADING_GAP: f64 = 2.0;
/// White between rows of words and signs over a staff.
pub(super) const ROW_GAP: f64 = 0.7;
/// Bars on a line, where they fit.
pub(super) const BARS_A_SYSTEM: usize = 4;

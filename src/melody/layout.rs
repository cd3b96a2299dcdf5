//! How a technique cuts time into groups.

use super::Technique;
use crate::units::Ticks;

/// How a technique cuts a stretch of notes over one chord, which follow each other without a rest,
/// into groups; 1 is a note that links. `None` where it has no groups.
#[must_use]
pub fn layout(technique: Technique, notes: usize) -> Option<Vec<usize>> {
    match technique {
        Technique::KeySevenths | Technique::ShiftedShapes | Technique::RootCells => {
            Some(fours(notes))
        }
        Technique::NinthArpeggios => Some(four_and_as_many(notes)),
        Technique::TriadPairs => Some(threes_with_links(notes)),
        Technique::FourthStacks => Some(threes_and_a_two(notes)),
        _ => None,
    }
}

/// Whether a note belongs to no group, but is one that the line lands on: it is longer than a
/// quarter note, or the note that follows does not begin where it ends. `next` is where that one
/// begins.
#[must_use]
pub fn is_landing(at: Ticks, length: Ticks, next: Option<Ticks>) -> bool {
    length > Ticks::QUARTER || next != Some(at + length)
}

/// Groups of four, the rest links.
fn fours(notes: usize) -> Vec<usize> {
    let mut groups = vec![4; notes / 4];
    groups.resize(notes / 4 + notes % 4, 1);
    groups
}

/// Groups of four, each with up to four single notes.
fn four_and_as_many(notes: usize) -> Vec<usize> {
    let mut groups = [4, 1, 1, 1, 1].repeat(notes / 8);
    let left = notes % 8;
    groups.extend(fours(left.min(4)));
    groups.resize(groups.len() + left.saturating_sub(4), 1);
    groups
}

/// Groups of three, each with a link, and at the end as many without as it takes; where that does
/// not come out, two links.
fn threes_with_links(notes: usize) -> Vec<usize> {
    let (linked, unlinked, links) = match (notes / 4, notes % 4) {
        (0, left @ (1 | 2)) => (0, 0, left),
        (linked, 0) => (linked, 0, 0),
        (linked, 3) => (linked, 1, 0),
        (linked @ 1.., 2) => (linked - 1, 2, 0),
        (linked @ 2.., 1) => (linked - 2, 3, 0),
        (linked, _) => (linked, 0, 1),
    };
    let mut groups = [3, 1].repeat(linked);
    groups.resize(linked * 2 + unlinked, 3);
    groups.resize(linked * 2 + unlinked + links, 1);
    groups
}

/// Three, three and two to the bar of common time; what is left over in twos, threes and fours.
fn threes_and_a_two(notes: usize) -> Vec<usize> {
    let mut groups = Vec::new();
    let mut left = notes;
    while left > 0 {
        let next: &[usize] = match left {
            1..=4 => &[left],
            5 => &[3, 2],
            6 => &[3, 3],
            7 => &[4, 3],
            9 => &[3, 3, 3],
            10 => &[3, 3, 4],
            _ => &[3, 3, 2],
        };
        groups.extend_from_slice(next);
        left -= next.iter().sum::<usize>();
    }
    groups
}

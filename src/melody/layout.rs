//! How a technique cuts time into groups.

use super::Technique;

/// How a technique cuts a stretch of eighth notes over one chord into groups; 1 is a note that
/// links. `None` where it has no groups, or where they do not fit.
#[must_use]
pub fn layout(technique: Technique, eighths: usize) -> Option<Vec<usize>> {
    match technique {
        Technique::KeySevenths | Technique::ShiftedShapes | Technique::RootCells => {
            Some(fours(eighths))
        }
        Technique::NinthArpeggios => Some(four_and_as_many(eighths)),
        Technique::TriadPairs => threes_with_links(eighths),
        Technique::FourthStacks => Some(threes_and_a_two(eighths)),
        _ => None,
    }
}

/// Groups of four, the rest links.
fn fours(eighths: usize) -> Vec<usize> {
    let mut groups = vec![4; eighths / 4];
    groups.resize(eighths / 4 + eighths % 4, 1);
    groups
}

/// Groups of four, each with up to four single notes.
fn four_and_as_many(eighths: usize) -> Vec<usize> {
    let mut groups = [4, 1, 1, 1, 1].repeat(eighths / 8);
    let left = eighths % 8;
    groups.extend(fours(left.min(4)));
    groups.resize(groups.len() + left.saturating_sub(4), 1);
    groups
}

/// Groups of three, each with a link, and at the end as many without as it takes.
fn threes_with_links(eighths: usize) -> Option<Vec<usize>> {
    let (linked, unlinked) = match (eighths / 4, eighths % 4) {
        (0, 1) => return Some(vec![1]),
        (linked, 0) => (linked, 0),
        (linked, 3) => (linked, 1),
        (linked @ 1.., 2) => (linked - 1, 2),
        (linked @ 2.., 1) => (linked - 2, 3),
        _ => return None,
    };
    let mut groups = [3, 1].repeat(linked);
    groups.resize(linked * 2 + unlinked, 3);
    Some(groups)
}

/// Three, three and two to the bar of common time; what is left over in twos, threes and fours.
fn threes_and_a_two(eighths: usize) -> Vec<usize> {
    let mut groups = Vec::new();
    let mut left = eighths;
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

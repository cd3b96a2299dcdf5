//! Tracks by the names that were typed.

use super::failure::Failure;
use super::report::Report;
use crate::lesson::{Lesson, Track};
use crate::problem::nearest;

/// The tracks of each lesson that lists of names with commas between them name, as indices: all
/// where there are no lists, none where a lesson of a course lacks what another has.
pub(super) fn listed(lessons: &[&Lesson], lists: &[String]) -> Result<Vec<Vec<usize>>, Failure> {
    if lists.is_empty() {
        return Ok(lessons.iter().map(|lesson| (0..lesson.tracks.len()).collect()).collect());
    }
    let is_there = |name: &str| lessons.iter().any(|lesson| !meant(lesson, name).is_empty());
    let names: Vec<String> = lists.iter().flat_map(|list| names(list, is_there)).collect();
    for name in names.iter().filter(|name| !is_there(name)) {
        for lesson in lessons {
            named(lesson, name)?;
        }
    }
    let tracks = |lesson: &&Lesson| {
        let mut tracks = Vec::new();
        for track in names.iter().flat_map(|name| meant(lesson, name)) {
            if !tracks.contains(&track) {
                tracks.push(track);
            }
        }
        tracks
    };
    Ok(lessons.iter().map(tracks).collect())
}

/// The track of a name or number, as an index.
pub(super) fn named(lesson: &Lesson, name: &str) -> Result<usize, Failure> {
    find(lesson, name).ok_or_else(|| {
        let names = lesson.tracks.iter().map(|track| track.name.as_str());
        let list: Vec<String> =
            lesson.tracks.iter().map(|track| format!("{} {}", track.number, track.name)).collect();
        let list = list.join("; ");
        let help = match nearest(name, names) {
            Some(right) => format!("did you mean `{right}`? The tracks are: {list}"),
            None => format!("the tracks are: {list}"),
        };
        Failure::input(Report::new(format!("the lesson has no track `{name}`")).help(help))
    })
}

fn find(lesson: &Lesson, name: &str) -> Option<usize> {
    let is_meant = |track: &Track| track.name == name || track.number.to_string() == name;
    lesson.tracks.iter().position(is_meant)
}

/// The tracks of a name, a number, or a range of numbers such as `2-5`, as indices.
fn meant(lesson: &Lesson, name: &str) -> Vec<usize> {
    if let Some(track) = find(lesson, name) {
        return vec![track];
    }
    let Some((first, last)) = range(name) else { return Vec::new() };
    let numbers = lesson.tracks.iter().map(|track| u64::from(track.number));
    let within = numbers.enumerate().filter(|(_, number)| (first..=last).contains(number));
    within.map(|(track, _)| track).collect()
}

/// The two ends of a range of numbers.
fn range(text: &str) -> Option<(u64, u64)> {
    let (first, last) = text.split_once(['-', '–'])?;
    Some((first.trim().parse().ok()?, last.trim().parse().ok()?))
}

/// The names in a list with commas between them. A name may have commas itself: the longest that is
/// there counts.
fn names(list: &str, is_there: impl Fn(&str) -> bool) -> Vec<String> {
    let pieces: Vec<&str> = list.split(',').collect();
    let mut names = Vec::new();
    let mut from = 0;
    while from < pieces.len() {
        let name = |to: usize| pieces[from..to].join(",").trim().to_owned();
        let to = (from + 1..=pieces.len()).rev().find(|to| is_there(&name(*to)));
        let to = to.unwrap_or(from + 1);
        names.push(name(to));
        from = to;
    }
    names
}

#[cfg(test)]
mod tests {
    use super::{names, range};

    #[test]
    fn tracks_are_listed_with_commas_and_may_have_commas() {
        let tracks = ["band", "left hand", "left hand, shells", "1"];
        let listed = |list| names(list, |name| tracks.contains(&name)).join("|");
        assert_eq!(listed("band"), "band");
        assert_eq!(listed("1, band"), "1|band");
        assert_eq!(listed("left hand, shells,band"), "left hand, shells|band");
        assert_eq!(listed("left hand,band"), "left hand|band");
        assert_eq!(listed("bnd,left hand, shells"), "bnd|left hand, shells");
    }

    #[test]
    fn tracks_are_listed_by_ranges_of_numbers() {
        assert_eq!(range("1-5"), Some((1, 5)));
        assert_eq!(range("2 – 3"), Some((2, 3)));
        assert_eq!(range("ii-V-I"), None);
        assert_eq!(range("-3"), None);
    }
}

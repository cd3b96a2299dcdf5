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
    let is_there = |name: &str| lessons.iter().any(|lesson| find(lesson, name).is_some());
    let names: Vec<String> = lists.iter().flat_map(|list| names(list, is_there)).collect();
    for name in names.iter().filter(|name| !is_there(name)) {
        for lesson in lessons {
            named(lesson, name)?;
        }
    }
    let tracks = |lesson: &&Lesson| names.iter().filter_map(|name| find(lesson, name)).collect();
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
    use super::names;

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
}

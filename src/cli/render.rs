//! `countoff render` and `countoff collect`

use std::path::{Path, PathBuf};

use super::args::{Choice, Collect, Making, Render};
use super::course::{self, LessonPath};
use super::making::{self, Order, Orders};
use super::sources::Sources;
use super::{Failure, input, overrides, watch};
use crate::lesson::{Lesson, Neighbours};
use crate::page::CourseLesson;
use crate::render::{CoursePage, Work};

/// Makes the set of a lesson, or those of a course.
pub(super) fn run(options: &Render) -> Result<(), Failure> {
    if options.watch {
        return watch::run(options);
    }
    let work = options.shard.map_or(Work::All, Work::Share);
    let orders = orders(&options.choice, &options.making, options.prune, &Sources::default())?;
    making::make(orders, &options.making, work)
}

/// Gathers what shares have made.
pub(super) fn collect(options: &Collect) -> Result<(), Failure> {
    let orders = orders(&options.choice, &options.making, false, &Sources::default())?;
    making::make(orders, &options.making, Work::Collect)
}

/// The lessons that are meant, read. All are checked before anything is made: nobody wants to
/// find in the morning what could be told in the evening.
///
/// `sources` notes what they are made of.
pub(super) fn orders(
    choice: &Choice,
    making: &Making,
    prune: bool,
    sources: &Sources,
) -> Result<Orders, Failure> {
    let paths = course::lessons(&choice.lesson)?;
    let mut orders = Vec::new();
    let mut failures = Vec::new();
    for path in &paths {
        match order(path, choice, making, prune, sources) {
            Ok(order) => orders.push(order),
            Err(failure) => failures.push(failure),
        }
    }
    if !failures.is_empty() {
        return Err(Failure::together(failures));
    }
    let course = paths.iter().any(|path| path.in_course.is_some()).then(|| CoursePage {
        folder: making.out.as_deref().unwrap_or(&choice.lesson).to_owned(),
        title: course::title(&choice.lesson),
        lessons: told(&paths, &orders),
    });
    only(&mut orders, &choice.only)?;
    Ok(Orders { sets: orders, course })
}

/// The lessons, as the page of their course tells of them.
fn told(paths: &[LessonPath], orders: &[Order]) -> Vec<CourseLesson> {
    let named = paths.iter().filter_map(|path| path.in_course.clone());
    named.zip(orders).map(|(name, order)| CourseLesson::of(&order.lesson, name)).collect()
}

fn order(
    path: &LessonPath,
    choice: &Choice,
    making: &Making,
    prune: bool,
    sources: &Sources,
) -> Result<Order, Failure> {
    let mut at_hand = read_lesson(&path.file, sources)?;
    overrides::tempos(&mut at_hand.lesson, &choice.tempos)?;
    overrides::keys(&mut at_hand.lesson, choice.keys.as_deref())?;
    Ok(Order {
        only: (0..at_hand.lesson.tracks.len()).collect(),
        lesson: at_hand.lesson,
        library: at_hand.library,
        prune,
        folder: path.set_folder(making.out.as_deref()),
        name: path.in_course.as_ref().map(|name| name.display().to_string()),
        beside: at_hand.folder,
    })
}

/// Leaves the named tracks; a lesson of a course may lack one that another has.
fn only(orders: &mut Vec<Order>, names: &[String]) -> Result<(), Failure> {
    let is_there =
        |name: &str| orders.iter().any(|order| overrides::track_named(&order.lesson, name).is_ok());
    let names: Vec<String> = names.iter().flat_map(|list| listed(list, is_there)).collect();
    let mut unknown = None;
    for name in &names {
        let found = orders.iter().map(|order| overrides::track_named(&order.lesson, name));
        let found: Vec<_> = found.collect();
        if !found.iter().any(Result::is_ok) {
            unknown = found.into_iter().find_map(Result::err);
        }
    }
    if let Some(failure) = unknown {
        return Err(failure);
    }
    if !names.is_empty() {
        for order in orders.iter_mut() {
            let named = |name: &String| overrides::track_named(&order.lesson, name).ok();
            order.only = names.iter().filter_map(named).collect();
        }
        orders.retain(|order| !order.only.is_empty());
    }
    Ok(())
}

/// The names in a list with commas between them. A name may have commas itself: the longest that is
/// there counts.
fn listed(list: &str, is_there: impl Fn(&str) -> bool) -> Vec<String> {
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

/// A lesson with what lies beside it.
pub(super) struct LessonAtHand {
    pub(super) lesson: Lesson,
    pub(super) library: crate::style::Library,
    /// The folder that the lesson's paths count from.
    pub(super) folder: PathBuf,
}

/// Reads a lesson file, with the styles that it names.
pub(super) fn read_lesson(path: &Path, sources: &Sources) -> Result<LessonAtHand, Failure> {
    sources.note(path);
    let text = input::text(path)?;
    let folder = path.parent().unwrap_or(Path::new("")).to_owned();
    let styles = Lesson::styles_folder(&text).map(|styles| folder.join(styles));
    let library = input::library(styles.as_deref(), sources)?;
    let beside = Beside { folder: folder.clone(), sources };
    let lesson = Lesson::read(&path.display().to_string(), &text, &beside, &library)?;
    Ok(LessonAtHand { lesson, library, folder })
}

/// The files beside a lesson.
struct Beside<'a> {
    folder: PathBuf,
    sources: &'a Sources,
}

impl Neighbours for Beside<'_> {
    fn read(&self, path: &str) -> std::io::Result<Vec<u8>> {
        let path = self.folder.join(path);
        self.sources.note(&path);
        std::fs::read(path)
    }
}

#[cfg(test)]
mod tests {
    use super::listed;

    #[test]
    fn tracks_are_listed_with_commas_and_may_have_commas() {
        let tracks = ["band", "left hand", "left hand, shells", "1"];
        let listed = |list| listed(list, |name| tracks.contains(&name)).join("|");
        assert_eq!(listed("band"), "band");
        assert_eq!(listed("1, band"), "1|band");
        assert_eq!(listed("left hand, shells,band"), "left hand, shells|band");
        assert_eq!(listed("left hand,band"), "left hand|band");
        assert_eq!(listed("bnd,left hand, shells"), "bnd|left hand, shells");
    }
}

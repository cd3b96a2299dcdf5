//! The page of a course: its lessons, each with a link to its own page.

use std::path::{Component, Path, PathBuf};

use askama::Template;

use super::PAGE;
use super::html::{PageError, STYLE, without_controls};
use crate::lesson::Lesson;

/// How a page of a course is known for what it is.
const MARK: &str = "<meta name=\"generator\" content=\"countoff, page of a course\">";
/// How many tracks of a lesson are named; of an exercise book, the rest is only counted.
const NAMED_TRACKS: usize = 8;

/// A lesson, as the page of its course shows it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CourseLesson {
    /// The folder of its set, from the page's folder.
    pub folder: PathBuf,
    /// Its title.
    pub title: String,
    /// Who teaches, and what is in it, in a line.
    pub about: String,
}

impl CourseLesson {
    /// The entry of a lesson whose set is in a folder.
    #[must_use]
    pub fn of(lesson: &Lesson, folder: PathBuf) -> CourseLesson {
        let names: Vec<&str> = lesson.tracks.iter().map(|track| track.name.as_str()).collect();
        let mut tracks = names.iter().take(NAMED_TRACKS).copied().collect::<Vec<_>>().join(" · ");
        if let Some(more) = names.len().checked_sub(NAMED_TRACKS).filter(|more| *more > 0) {
            tracks = format!("{tracks} · and {more} more");
        }
        let about = match &lesson.credits.teacher {
            Some(teacher) => format!("{teacher}: {tracks}"),
            None => tracks,
        };
        CourseLesson { folder, title: lesson.title.clone(), about }
    }
}

#[derive(Template)]
#[template(path = "course.html", config = "src/page/askama.toml")]
struct Page<'a> {
    mark: &'static str,
    title: &'a str,
    style: &'static str,
    lessons: Vec<Entry<'a>>,
}

struct Entry<'a> {
    address: String,
    title: &'a str,
    about: &'a str,
}

/// The page of a course, as HTML. The same input gives the same bytes.
///
/// # Errors
/// Where the template fails, which it does not for values that are text.
pub fn course_page(title: &str, lessons: &[CourseLesson]) -> Result<String, PageError> {
    let entry = |lesson: &'_ CourseLesson| -> String { address(&lesson.folder.join(PAGE)) };
    let lessons = lessons.iter().map(|lesson| Entry {
        address: entry(lesson),
        title: &lesson.title,
        about: &lesson.about,
    });
    let page = Page { mark: MARK, title, style: STYLE, lessons: lessons.collect() };
    Ok(without_controls(page.render()?))
}

/// Whether a file is the page of a course, and may be replaced by a newer one.
#[must_use]
pub fn is_course_page(bytes: &[u8]) -> bool {
    // It stands at the top: a page that merely quotes it is no such page.
    let top = &bytes[..bytes.len().min(200)];
    top.windows(MARK.len()).any(|part| part == MARK.as_bytes())
}

/// A relative path as a link: names of lessons may have spaces and signs in them.
fn address(path: &Path) -> String {
    let encoded = |name: &Component<'_>| {
        let bytes = name.as_os_str().as_encoded_bytes().iter();
        let sign = |byte: &u8| match *byte {
            plain if plain.is_ascii_alphanumeric() || b"-._~".contains(&plain) => {
                char::from(plain).to_string()
            }
            other => format!("%{other:02X}"),
        };
        bytes.map(sign).collect::<String>()
    };
    path.components().map(|name| encoded(&name)).collect::<Vec<_>>().join("/")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_of_lessons_are_written_as_links_and_titles_as_text() {
        let lesson = CourseLesson {
            folder: PathBuf::from("week 1/a#b%é"),
            title: "<img src=x onerror=alert(1)>".to_owned(),
            about: "a & b\0\u{1b}[2J".to_owned(),
        };
        let page = course_page("<b>", &[lesson]).unwrap();
        // RFC 3986, 2.1 and 2.3.
        assert!(page.contains("href=\"week%201/a%23b%25%C3%A9/index.html\""), "{page}");
        assert!(!page.contains(['\0', '\u{1b}']));
        assert!(!page.contains("<img") && !page.contains("<b>"));
        assert!(is_course_page(page.as_bytes()));
        assert!(!is_course_page(b"<!DOCTYPE html><title>mine</title>"));
    }
}

//! Courses: folders of lessons, made by one run, or by several that each make a share.

use std::process::Stdio;

use crate::harness::{Desk, SMALL, Said};

/// Three lessons, one of them in a folder of its own, with a style of the course's own beside
/// them.
fn course() -> Desk {
    let desk = Desk::new();
    desk.write("course/monday.toml", SMALL);
    desk.write("course/tuesday.toml", SMALL.replace("\"Gm\"", "\"Dm\"").replace("Small", "Tue"));
    let own = SMALL.replace("title =", "styles = \"styles\"\ntitle =");
    desk.write("course/weekend/lesson.toml", own.replace("[240, 300]", "[200, 250, 300]"));
    let style = desk.does(&["styles", "shells"]).stdout;
    desk.write("course/weekend/styles/comp/own.toml", style);
    desk
}

#[test]
fn a_course_makes_the_set_of_every_lesson_beside_it_or_below_another_folder() {
    let desk = course();
    let said = desk.does(&["render", "course", "--json"]);
    assert_eq!(said.made().len(), 11 + 11 + 16 + 1, "{:?}", said.made());
    let weekend = "weekend/lesson/02-band/02-band_c-major_250.wav".to_owned();
    assert!(said.made().contains(&weekend), "{:?}", said.made());
    assert_eq!(desk.files("course/monday").len(), 12);
    desk.does(&["render", "course", "--quiet", "--out", "out"]);
    for set in ["monday", "tuesday", "weekend/lesson"] {
        assert!(desk.contents(&format!("course/{set}")) == desk.contents(&format!("out/{set}")));
    }
    // Finished sets are no lessons, and nothing is made twice.
    assert!(desk.does(&["render", "course", "--json"]).made().is_empty());
    // A set is the same as when its lesson is rendered by itself.
    desk.does(&["render", "course/monday.toml", "--quiet", "--out", "alone"]);
    assert!(desk.contents("alone") == desk.contents("course/monday"));
}

#[test]
fn all_lessons_are_checked_before_anything_is_made() {
    let desk = course();
    desk.write("course/friday.toml", SMALL.replace("shells", "shels"));
    desk.write("course/saturday.toml", SMALL.replace("Gm6", "Gm6x"));
    for command in ["render", "check"] {
        let said = desk.types(&[command, "course"]);
        assert_eq!(said.code, 2);
        for wrong in ["friday.toml", "saturday.toml", "shels", "Gm6x"] {
            assert!(said.stderr.contains(wrong), "{command}: {wrong}\n{}", said.stderr);
        }
    }
    assert!(desk.files("course").iter().all(|file| file.ends_with(".toml")));
    let said = desk.types(&["render", "."]);
    assert_eq!(said.code, 2, "found in folders of folders");
}

#[test]
fn what_goes_wrong_with_one_set_leaves_the_others_whole() {
    let desk = course();
    desk.write("course/monday/01-left-hand", "a file where a folder is to be");
    let said = desk.types(&["render", "course", "--quiet"]);
    assert_eq!(said.code, 1);
    assert!(said.stderr.contains("cannot be written"), "{}", said.stderr);
    assert_eq!(desk.files("course/tuesday").len(), 12);
    assert_eq!(desk.files("course/weekend/lesson").len(), 17);
}

#[test]
fn a_course_is_planned_and_checked_lesson_by_lesson() {
    let desk = course();
    let plan = desk.does(&["render", "course", "--plan"]).stdout;
    assert!(plan.contains("weekend/lesson:") && plan.contains("39 files"), "{plan}");
    let only = desk.does(&["render", "course", "--plan", "--only", "band", "--tempos", "300"]);
    assert!(only.stdout.contains("13 files"), "{}", only.stdout);
    let said = desk.types(&["render", "course", "--only", "bend"]);
    assert!(said.code == 2 && said.stderr.contains("did you mean `band`"), "{}", said.stderr);
    assert_eq!(desk.does(&["check", "course"]).stdout.matches("Small").count(), 2);
    desk.write("empty/readme.md", "");
    let said = desk.types(&["render", "empty"]);
    assert!(said.code == 2 && said.stderr.contains("no lesson"), "{}", said.stderr);
}

#[test]
fn a_page_leads_to_the_pages_of_all_lessons() {
    let desk = course();
    desk.does(&["render", "course", "--quiet", "--only", "band", "--tempos", "300"]);
    let page = std::fs::read_to_string(desk.path("course/index.html")).unwrap();
    let links: Vec<&str> =
        page.split("href=\"").skip(1).filter_map(|rest| rest.split('"').next()).collect();
    let pages = ["monday/index.html", "tuesday/index.html", "weekend/lesson/index.html"];
    assert_eq!(links, pages);
    assert!(pages.iter().all(|page| desk.path("course").join(page).is_file()));
    assert!(page.contains("left hand · band"), "{page}");
    // A lesson that is gone leaves the page; its set stays.
    std::fs::remove_file(desk.path("course/tuesday.toml")).unwrap();
    let made = desk.does(&["render", "course", "--only", "band", "--tempos", "300", "--json"]);
    assert_eq!(made.made(), ["index.html"]);
    assert!(!std::fs::read_to_string(desk.path("course/index.html")).unwrap().contains("tuesday"));
}

#[test]
fn a_page_of_the_teachers_own_is_refused_before_anything_is_made_and_stays() {
    let desk = course();
    desk.write("course/index.html", "mine");
    let said = desk.types(&["render", "course", "--quiet"]);
    assert_eq!(said.code, 1);
    assert!(said.stderr.contains("as it was made here"), "{}", said.stderr);
    assert_eq!(std::fs::read(desk.path("course/index.html")).unwrap(), b"mine");
    assert!(!desk.path("course/monday").exists());
}

/// Runs some shares of a course at the same time, each in a process of its own.
fn shares(desk: &Desk, shares: &[&str]) -> Vec<Said> {
    let start = |share: &&str| {
        let words = ["render", "course", "--out", "out", "--json", "--jobs", "1", "--shard", share];
        let mut command = desk.command(&words);
        command.stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap()
    };
    let running: Vec<_> = shares.iter().map(start).collect();
    running.into_iter().map(|child| Said::from(child.wait_with_output().unwrap())).collect()
}

#[test]
fn shares_made_side_by_side_and_again_in_another_order_are_the_set_that_one_run_makes() {
    let desk = course();
    desk.does(&["render", "course", "--quiet", "--out", "one"]);
    let planned = desk.does(&["render", "course", "--plan", "--json"]).stdout;
    // The pages are made of the whole sets, by whoever collects the shares.
    let all = planned.lines().filter(|line| !line.contains("index.html")).count();

    let first = shares(&desk, &["1/4", "2/4", "3/4", "4/4"]);
    let made: Vec<Vec<String>> = first.iter().map(Said::made).collect();
    assert!(first.iter().all(|said| said.code == 0));
    assert!(made.iter().all(|made| !made.is_empty()), "everyone has some: {made:?}");
    let mut together = made.concat();
    together.sort();
    together.dedup();
    assert_eq!(together.len(), all, "shares are disjoint and complete");

    // Retries make nothing, in any order and number, also of other shares.
    for again in shares(&desk, &["4/4", "2/4"]).iter().chain(&shares(&desk, &["2/3"])) {
        assert_eq!((again.code, again.made()), (0, Vec::new()));
    }

    desk.does(&["collect", "course", "--out", "out"]);
    let left = std::fs::read_dir(desk.path("out/monday")).unwrap().map(Result::unwrap);
    let of_shares = left.filter(|entry| entry.file_name().to_string_lossy().contains("-of-"));
    assert_eq!(of_shares.count(), 0, "shares leave no locks, times or manifests");
    let collected = desk.contents("out");
    assert!(collected == desk.contents("one"), "{:?}\n{:?}", desk.files("out"), desk.files("one"));
    desk.does(&["collect", "course", "--out", "out"]);
    assert!(desk.contents("out") == collected, "collected twice");
    assert!(desk.does(&["render", "course", "--out", "out", "--json"]).made().is_empty());
}

#[test]
fn a_run_over_everything_gathers_shares_and_makes_the_rest() {
    let desk = course();
    desk.does(&["render", "course", "--quiet", "--out", "one"]);
    let second = shares(&desk, &["2/3"]).remove(0).made();
    let said = desk.types(&["collect", "course", "--out", "out"]);
    assert_eq!(said.code, 1);
    assert!(said.stderr.contains("files are missing"), "{}", said.stderr);
    let rest = desk.does(&["render", "course", "--out", "out", "--json"]).made();
    assert!(rest.iter().all(|path| !second.contains(path)));
    assert_eq!(rest.len() + second.len(), 35 + 3 + 1);
    assert!(desk.contents("out") == desk.contents("one"));
}

#[test]
fn a_killed_share_is_made_by_its_retry() {
    let desk = course();
    desk.does(&["render", "course", "--quiet", "--out", "one"]);
    for moment in 1..12 {
        let words = ["render", "course", "--out", "out", "--quiet", "--shard", "1/2"];
        let mut command = desk.command(&words);
        let mut child = command.stdout(Stdio::null()).stderr(Stdio::null()).spawn().unwrap();
        std::thread::sleep(std::time::Duration::from_millis(15 * moment));
        child.kill().unwrap();
        child.wait().unwrap();
    }
    for said in shares(&desk, &["2/2", "1/2"]) {
        assert_eq!(said.code, 0, "{}", said.stderr);
    }
    desk.does(&["collect", "course", "--out", "out"]);
    assert!(desk.contents("out") == desk.contents("one"));
}

#[test]
fn a_share_that_cannot_be_is_told() {
    let desk = course();
    for share in ["0/4", "5/4", "x"] {
        let said = desk.types(&["render", "course", "--shard", share]);
        assert!(said.code == 2 && said.stderr.contains("write 3/16"), "{}", said.stderr);
    }
}

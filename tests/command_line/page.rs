//! The practice page beside the files that it tells of.

use serde_json::Value;

use crate::harness::{Desk, SMALL};

fn json(text: &str) -> Value {
    serde_json::from_str(text).unwrap()
}

/// What the page's script reads.
fn data(desk: &Desk) -> Value {
    let page = std::fs::read_to_string(desk.path("lesson/index.html")).unwrap();
    let (_, after) = page.split_once("id=\"lesson-data\">").unwrap();
    json(after.split_once("</script>").unwrap().0)
}

/// A ladder has many tempos, round the keys announcing bars: the hardest to keep time with.
const SHAPES: &str = r#"
[[track]]
name = "ladder"
chart = "cadence"
comp = "shells"
practice = { shape = "ladder", from = 200, to = 300, step = 33 }
[[track]]
name = "round"
chart = "cadence"
comp = "shells"
tempos = [300]
practice = { shape = "round the keys" }
"#;

/// The page reckons with ticks and tempos; the manifest has frames. Both must say the same.
#[test]
fn the_pages_bars_begin_on_the_manifests_frames() {
    let desk = Desk::with_lesson(&format!("{SMALL}{SHAPES}"));
    desk.does(&["render", "lesson.toml", "--quiet"]);
    let manifest = json(&std::fs::read_to_string(desk.path("lesson/manifest.json")).unwrap());
    let data = data(&desk);
    let mut compared = 0;
    for take in data["tracks"]
        .as_array()
        .unwrap()
        .iter()
        .flat_map(|track| track["takes"].as_array().unwrap())
    {
        let name = manifest["files"][take["sounds"][0]["path"].as_str().unwrap()]["take"]
            .as_str()
            .unwrap();
        let frames: Vec<i64> = manifest["takes"][name]["bars"]
            .as_array()
            .unwrap()
            .iter()
            .filter(|bar| bar["kind"] != "count-in")
            .map(|bar| bar["frame"].as_i64().unwrap())
            .collect();
        let score = &data["scores"][usize::try_from(take["score"].as_u64().unwrap()).unwrap()];
        assert_eq!(score["order"].as_array().unwrap().len(), frames.len());
        let tempos: Vec<(i64, i64)> = take["tempos"]
            .as_array()
            .unwrap()
            .iter()
            .map(|tempo| (tempo[0].as_i64().unwrap(), tempo[1].as_i64().unwrap()))
            .collect();
        for (index, frame) in (0_i64..).zip(&frames) {
            let tick = take["start"].as_i64().unwrap() + index * score["bar"].as_i64().unwrap();
            let ends = tempos.iter().skip(1).map(|tempo| tempo.0).chain([i64::MAX]);
            let micros: i64 = tempos
                .iter()
                .zip(ends)
                .map(|((at, micros), end)| (tick.min(end) - at).max(0) * micros)
                .sum();
            let reckoned = take["lead"].as_i64().unwrap() + micros * 441 / 960 / 10_000;
            assert!((reckoned - frame).abs() <= 1, "{name}, bar {index}: {reckoned} {frame}");
            compared += 1;
        }
    }
    assert!(compared > 50, "{compared}");
}

#[test]
fn the_page_is_made_again_only_when_it_would_say_something_else() {
    let desk = Desk::with_lesson(SMALL);
    desk.does(&["render", "lesson.toml", "--quiet"]);
    let said = desk.does(&["render", "lesson.toml", "--json"]);
    assert!(said.made().is_empty());
    desk.write("lesson.toml", SMALL.replace("\"Small\"", "\"Smaller\""));
    let said = desk.does(&["render", "lesson.toml", "--json"]);
    assert!(said.made().contains(&"index.html".to_owned()), "{:?}", said.made());
    assert_eq!(data(&desk)["title"], "Smaller");
}

#[test]
fn the_page_keeps_the_tracks_that_a_run_leaves_out() {
    let desk = Desk::with_lesson(SMALL);
    desk.does(&["render", "lesson.toml", "--quiet"]);
    desk.does(&["render", "lesson.toml", "--quiet", "--only", "band"]);
    assert_eq!(data(&desk)["tracks"].as_array().unwrap().len(), 2);
}

#[test]
fn a_page_that_is_not_ours_is_refused_and_stays() {
    let desk = Desk::with_lesson(SMALL);
    desk.write("lesson/index.html", "mine");
    let said = desk.types(&["render", "lesson.toml", "--quiet"]);
    assert_eq!(said.code, 1);
    assert!(said.stderr.contains("was not made here"), "{}", said.stderr);
    assert_eq!(std::fs::read(desk.path("lesson/index.html")).unwrap(), b"mine");
}

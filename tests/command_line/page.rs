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
fn a_page_that_is_not_ours_stays() {
    let desk = Desk::with_lesson(SMALL);
    desk.write("lesson/index.html", "mine");
    let said = desk.does(&["render", "lesson.toml"]);
    assert!(said.stderr.contains("index.html was changed"), "{}", said.stderr);
    assert_eq!(std::fs::read(desk.path("lesson/index.html")).unwrap(), b"mine");
}

/// A composed line, a written one that the left hand plays, and two keys.
const LINES: &str = r#"
format = 1
title = "Lines"
tempos = [300]
keys = ["Gm", "Em"]
[[chart]]
name = "cadence"
key = "Gm"
A = "| Am7b5 D7b9 | Gm6 | Cm7 F7 | Bbmaj7 |"
[[line]]
name = "enclosed"
chart = "cadence"
technique = { enclosures = 1, scale-runs = 1, triad-pairs = 1 }
[[line]]
name = "hers"
chart = "cadence"
hand = "left"
abc = """
[A,,G,]4 [D,,C]4 | G,,2 [E,B,]2 z4 | [C,,B,]8 | [B,,,A,]8 |
"""
[[track]]
name = "both"
chart = "cadence"
line = "enclosed"
comp = "hers"
[files]
notes = []
"#;

/// What the page says of a line's notes, and what `explain` says of them; in the other key the
/// notes have moved and their degrees have not.
#[test]
fn the_pages_roles_are_those_of_explain() {
    let desk = Desk::with_lesson(LINES);
    desk.does(&["render", "lesson.toml", "--quiet"]);
    let data = data(&desk);
    let of_page = |key: &str, hand: &str| -> Vec<(i64, String)> {
        let takes = data["tracks"][0]["takes"].as_array().unwrap();
        let take = takes.iter().find(|take| take["key"] == key).unwrap();
        let score = &data["scores"][usize::try_from(take["score"].as_u64().unwrap()).unwrap()];
        let bars = score["bars"].as_array().unwrap().iter();
        let form = bars.filter(|bar| bar["kind"].is_null());
        let notes = form.flat_map(|bar| bar[hand].as_array().cloned().unwrap_or_default());
        notes
            .map(|note| {
                let role = note[4].as_u64().map(|role| usize::try_from(role).unwrap());
                let words = role.map_or("", |role| data["roles"][role][1].as_str().unwrap());
                (note[2].as_i64().unwrap(), words.to_owned())
            })
            .collect()
    };
    for (line, hand, moved) in [("enclosed", "line", -3), ("hers", "left", -3)] {
        let said = desk.does(&["explain", "lesson.toml", line, "--json"]).stdout;
        let explained = json(&said)[0]["notes"].clone();
        let explained: Vec<(i64, String)> = explained
            .as_array()
            .unwrap()
            .iter()
            .map(|note| {
                let role = note["roles"][0]["text"].as_str().unwrap_or_default();
                (note["midi"].as_i64().unwrap(), role.to_owned())
            })
            .collect();
        assert!(explained.len() > 6, "{said}");
        assert_eq!(of_page("Gm", hand), explained, "{line}");
        let degrees = |notes: &[(i64, String)]| -> Vec<(i64, String)> {
            let plain = |words: &str| words.split(" of ").next().unwrap().to_owned();
            notes.iter().map(|(pitch, words)| (pitch.rem_euclid(12), plain(words))).collect()
        };
        let moved: Vec<(i64, String)> =
            explained.iter().map(|(pitch, words)| (pitch + moved, words.clone())).collect();
        let of_triads = |notes: Vec<(i64, String)>| -> Vec<(i64, String)> {
            notes.into_iter().filter(|(_, words)| !words.starts_with("in the triad")).collect()
        };
        assert_eq!(of_triads(degrees(&of_page("Em", hand))), of_triads(degrees(&moved)), "{line}");
    }
}

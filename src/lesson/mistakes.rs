//! A table of slips of the hand: what is underlined in each, what is said, and what help is given.

use super::tests::{problems, with_track};

/// A lesson with `line` where it belongs: at the top, in its chart, or in its track.
fn with(place: &str, line: &str) -> String {
    let whole = with_track("bass = \"walking\"\ndrums = \"ride\"");
    match place {
        "top" => whole.replacen("title", &format!("{line}\ntitle"), 1),
        "chart" => whole.replacen("A = ", &format!("{line}\nA = "), 1),
        "line" => {
            format!("{whole}\n[[line]]\nname = \"l\"\nchart = \"c\"\nmidi = \"l.mid\"\n{line}")
        }
        _ => format!("{whole}\n{line}"),
    }
}

/// Where a line is added, the line, what is underlined, what the message and the help hold. Ranges
/// and words are those of the full lesson; the nearest word is what a reader of the line
/// would have meant.
const MISTAKES: [(&str, &str, &str, &str, &str); 74] = [
    // Keys that there are not.
    ("top", "tempo = [80]", "tempo", "unknown key", "did you mean `tempos`?"),
    ("top", "count_in = {}", "count_in", "unknown key", "did you mean `count-in`?"),
    ("top", "count-in = { bar = 2 }", "bar", "unknown key", "did you mean `bars`?"),
    ("top", "click = { acent = true }", "acent", "unknown key", "did you mean `accent`?"),
    ("top", "level = { taget = -16 }", "taget", "unknown key", "did you mean `target`?"),
    ("top", "files = { bit = 16 }", "bit", "unknown key", "did you mean `bits`?"),
    ("top", "tempos = { at = 80, slwer = [50] }", "slwer", "unknown key", "`slower`?"),
    ("chart", "metre = \"4/4\"", "metre", "unknown key", "did you mean `meter`?"),
    ("line", "pikup = 1", "pikup", "unknown key", "did you mean `pickup`?"),
    ("track", "coruses = 2", "coruses", "unknown key", "did you mean `choruses`?"),
    ("track", "mixes = [{ witout = [] }]", "witout", "unknown key", "did you mean `without`?"),
    ("track", "mixes = [{ balance = { prat = \"bass\" } }]", "prat", "unknown key", "`part`?"),
    ("track", "practice = { shap = \"loop\" }", "shap", "unknown key", "did you mean `shape`?"),
    // Keys that are missing.
    ("track", "practice = { bars = 3 }", "{ bars = 3 }", "`shape` is missing", "\"answer\""),
    ("track", "mixes = [{ balance = {} }]", "{}", "`part` is missing", "\"bass\""),
    // Wrong types.
    ("top", "teacher = 3", "3", "`teacher` cannot be a whole number", "did you mean `\"3\"`?"),
    ("top", "year = \"2026\"", "\"2026\"", "cannot be text", "did you mean `2026`? use a whole"),
    ("top", "year = 2026.5", "2026.5", "cannot be a number with decimals", "1 to 9999"),
    ("top", "seed = \"a\"", "\"a\"", "cannot be text", "use a whole number, 0 or more"),
    ("top", "tempos = 80", "80", "cannot be a whole number", "did you mean `[80]`?"),
    ("top", "tempos = \"fast\"", "\"fast\"", "cannot be text", "a list of numbers, 20 to 400"),
    ("top", "tempos = [\"80\"]", "\"80\"", "cannot be text", "did you mean `80`?"),
    ("top", "keys = 3", "3", "cannot be a whole number", "\"as written\", \"fourths\""),
    ("top", "count-in = 2", "2", "cannot be a whole number", "did you mean `{ bars = 2 }`?"),
    ("top", "click = true", "true", "`click` cannot be true or false", "accent, on, sound"),
    ("top", "click = { accent = \"yes\" }", "\"yes\"", "cannot be text", "did you mean `true`?"),
    ("top", "click = { on = 2 }", "2", "cannot be a whole number", "did you mean `[2]`?"),
    ("top", "level = { target = \"loud\" }", "\"loud\"", "cannot be text", "a number, -30 to -12"),
    ("top", "files = { bits = \"16\" }", "\"16\"", "cannot be text", "16, 24 or 32"),
    ("chart", "meter = 4", "4", "cannot be a whole number", "\"4/4\", \"3/4\""),
    ("chart", "feel = true", "true", "cannot be true or false", "or a number, 1 to 4"),
    ("chart", "form = [\"A\"]", "[\"A\"]", "cannot be a list", "use text in quotes"),
    (
        "line",
        "pickup = \"1\"",
        "\"1\"",
        "cannot be text",
        "did you mean `1`? use a number, 0 to 16",
    ),
    ("track", "reach = \"wide\"", "\"wide\"", "cannot be text", "use a whole number, 7 to 19"),
    ("track", "start = 3", "3", "cannot be a whole number", "did you mean `\"3\"`?"),
    ("track", "stems = \"all\"", "\"all\"", "cannot be text", "use true or false"),
    ("track", "practice = \"loop\"", "\"loop\"", "cannot be text", "`{ shape = \"loop\" }`?"),
    ("track", "mixes = {}", "{}", "cannot be a table", "did you mean `[{}]`?"),
    ("track", "mixes = [{ without = \"bass\" }]", "\"bass\"", "cannot be text", "`[\"bass\"]`?"),
    ("track", "mixes = [{ click = 1 }]", "1", "cannot be a whole number", "use true or false"),
    // Numbers out of range.
    ("top", "year = 0", "0", "out of range", "use 1 to 9999"),
    ("top", "seed = -1", "-1", "out of range", "use 0 or more"),
    ("top", "tempos = [80, 19.9]", "19.9", "out of range", "use 20 to 400"),
    ("top", "tempos = { at = 401 }", "401", "out of range", "use 20 to 400"),
    ("top", "tempos = { at = 80, slower = [50, 100] }", "100", "out of range", "10 to below 100"),
    ("top", "count-in = { bars = 5 }", "5", "out of range", "use 0 to 4"),
    ("top", "click = { on = [1, 7] }", "7", "out of range", "use 1 to 6"),
    ("top", "level = { target = -11 }", "-11", "out of range", "use -30 to -12"),
    ("top", "files = { bits = 20 }", "20", "`bits` cannot be 20", "use 16, 24 or 32"),
    ("top", "files = { rate = 96000 }", "96000", "cannot be 96000", "use 44100 or 48000"),
    ("chart", "feel = 5", "5", "out of range", "use 1 to 4"),
    ("track", "reach = 20", "20", "out of range", "use 7 to 19"),
    ("track", "choruses = 1000", "1000", "out of range", "use 1 to 999"),
    ("track", "practice = { shape = \"answer\", bars = 65 }", "65", "out of range", "1 to 64"),
    ("track", "mixes = [{ balance = { part = \"bass\", amount = 2 } }]", "2", "range", "0.1 to 1"),
    // Lists and texts.
    ("top", "tempos = []", "[]", "the list `tempos` is empty", "use a list of numbers, 20 to 400"),
    ("top", "teacher = \"a\\u001b[2Jb\"", "\"a\\u001b[2Jb\"", "control character", "without"),
    ("top", "copyright = \"a\\nb\"", "\"a\\nb\"", "(U+000A)", "write it without"),
    ("chart", "form = \"A\\u0007\"", "\"A\\u0007\"", "(U+0007)", "write it without"),
    ("track", "group = \" \"", "\" \"", "empty", "write"),
    ("track", "group = \"\\u0000\"", "\"\\u0000\"", "(U+0000)", "write it without"),
    ("top", "keys = [\"G#m\", \"Fb\"]", "\"Fb\"", "more than seven", ""),
    ("line", "instrument = \"vibrafone\"", "\"vibrafone\"", "no instrument", "\"Vibraphone\""),
    ("line", "range = \"C4\"", "\"C4\"", "no range", "\"C4 C6\""),
    // Words.
    ("top", "keys = \"forths\"", "\"forths\"", "means nothing", "did you mean \"fourths\"?"),
    ("top", "click = { sound = \"sfot\" }", "\"sfot\"", "means nothing", "did you mean \"soft\"?"),
    ("top", "level = { by = \"trak\" }", "\"trak\"", "means nothing", "did you mean \"track\"?"),
    ("chart", "feel = \"straigt\"", "\"straigt\"", "no feel", "did you mean \"straight\"?"),
    ("track", "intensity = \"ful\"", "\"ful\"", "means nothing", "did you mean \"full\"?"),
    ("track", "ending = \"hold\"", "\"hold\"", "means nothing", "did you mean \"held\"?"),
    ("track", "practice = { shape = \"lop\" }", "\"lop\"", "means nothing", "mean \"loop\"?"),
    ("track", "mixes = [{ only = [\"bas\"] }]", "\"bas\"", "means nothing", "mean \"bass\"?"),
    ("track", "mixes = [{ balance = { part = \"drms\" } }]", "\"drms\"", "nothing", "\"drums\"?"),
    ("track", "mixes = [{ balance = { part = \"bass\", side = \"lft\" } }]", "\"lft\"", "", "left"),
];

#[test]
fn every_slip_is_underlined_with_what_may_stand_there() {
    let mut wrong = Vec::new();
    for (place, line, underlined, message, help) in MISTAKES {
        let found = problems(&with(place, line));
        // The line's MIDI file is not there either, where it comes to that.
        let fits = |problem: &(String, String, String)| {
            problem.0 == underlined && problem.1.contains(message) && problem.2.contains(help)
        };
        let others = found.iter().filter(|one| !fits(one) && !one.1.contains("l.mid"));
        if !found.iter().any(fits) || others.count() > 0 {
            wrong.push(format!("{line}: {found:?}"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn several_slips_are_named_together() {
    let text = with("top", "teacher = 3\ntempo = 80\nyear = 0\nclick = { on = \"al\" }");
    let underlined: Vec<String> = problems(&text).into_iter().map(|problem| problem.0).collect();
    assert_eq!(underlined, ["3", "tempo", "0", "\"al\""]);
}

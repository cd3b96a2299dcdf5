//! Schema and program think the same of lessons. A corpus is made from one that shows every key: each
//! value of it is put in turn in place of what the schema says of it, at the edges of its limits, one
//! step beyond them, as another type, as another word, and as nothing.

use std::collections::BTreeMap;
use std::sync::Mutex;

use serde_json::{Value, json};

use super::*;

/// A right lesson with every key of every table in it, in one of its forms.
fn whole() -> Value {
    let line = |name: &str, more: Value| {
        let mut line = json!({ "name": name, "chart": "c", "hand": "right" });
        line.as_object_mut().unwrap().extend(more.as_object().unwrap().clone());
        line
    };
    let practices = [
        json!({ "shape": "straight" }),
        json!({ "shape": "loop" }),
        json!({ "shape": "answer", "bars": 2 }),
        json!({ "shape": "trading", "bars": 2, "with": "line" }),
        json!({ "shape": "ladder", "from": 60, "to": 80, "step": 5 }),
        json!({ "shape": "round the keys", "order": "semitones", "announce": false }),
        json!({ "shape": "resting click", "sounding": 2, "silent": 2 }),
    ];
    let track = json!({
        "name": "all", "group": "g", "chart": "c", "line": "written", "comp": "shells",
        "change": [
            { "from": "chorus 2", "line": "written", "bass": "two-feel", "comp": "rootless" },
            { "in": "last chorus B", "drums": "brushes", "intensity": "light", "rest": ["comp"] },
        ],
        "bass": "walking", "drums": "ride", "intensity": "full", "arc": "build and come back", "reach": 12, "start": "7",
        "choruses": 2, "intro": "drums", "ending": "short", "stems": true,
        "tempos": { "at": 80, "slower": [50] }, "keys": ["Gm", "Cm"],
        "mixes": [{}, { "without": ["bass"], "click": true, "count-in": false },
            { "only": ["bass", "comp"],
              "balance": { "part": "bass", "amount": 0.5, "side": "right" } }],
    });
    let others = (0..).zip(practices).map(|(number, practice)| {
        json!({
            "name": format!("track {number}"), "chart": "c", "practice": practice,
            "line": ["written", "composed"], "comp": ["shells", "guide-tones"],
        })
    });
    json!({
        "format": 1, "title": "T", "teacher": "A", "year": 2026, "copyright": "C",
        "soundfont": "x.sf2", "styles": "mine", "tempos": [60, 80.5], "keys": "as written",
        "seed": 7, "count-in": { "bars": 2 },
        "click": { "on": [1, 3], "accent": false, "sound": "soft" },
        "level": { "target": -20, "by": "each" },
        "files": { "bar-times": true, "zip": true, "formats": ["flac", "wav"], "bits": 24,
                   "rate": 48000, "paper": "Letter", "notes": ["concert", "b-flat"] },
        "chart": [{ "name": "c", "key": "Gm", "meter": "4/4", "feel": 1.5, "form": "A B",
                    "last": "A B A", "intro": "| D7 |",
                    "within": { "B": { "key": "C", "meter": "4/4", "feel": "straight", "hits": "| 1 |",
                                       "tempo": "100% to 70%" } },
                    "A": "| Gm6 | D7 |", "B": "| Gm6 |" }],
        "line": [
            line("written", json!({ "abc": "G8 | F8 | G8 |", "instrument": "Flute", "range": "C4 C6" })),
            line("composed", json!({
                "technique": { "scale-runs": 2, "blues": { "weight": 1, "bars": "1-2" } },
                "seed": 3, "count": 1, "bars": "1-2", "rhythm": 2, "upper": "scale", "breathe": 2, "displace": 1 })),
            line("played", json!({ "technique": "enclosures" })),
        ],
        "track": std::iter::once(track).chain(others).collect::<Vec<_>>(),
    })
}

/// What stands in place of a value: edges of numbers, near words, other types.
fn replacements(value: &Value) -> Vec<Value> {
    let mut list = vec![
        json!(true),
        json!("x"),
        json!(""),
        json!(" "),
        json!("a\u{1b}[2J"),
        json!("a\nb"),
        json!([]),
        json!(["x"]),
        json!([1]),
        json!({}),
        json!({ "x": 1 }),
        json!(vec![60; 200]),
    ];
    if value.is_number() || value.is_array() {
        // Every limit that a key of the lesson has, and one step beyond.
        list.extend((-31..=-10).chain(-1..=25).chain([32, 64, 65, 99, 100, 101]).map(|n| json!(n)));
        for number in [400, 401, 999, 1000, 1001, 9999, 10_000, 44_100, 48_000] {
            list.push(json!(number));
        }
        for number in [0.05, 0.1, 0.45, 0.5, 0.95, 1.05, 4.05, 15.95, 16.05, 19.95, 99.95, 400.05] {
            list.push(json!(number));
        }
    } else {
        list.extend([json!(1), json!(-1), json!(0.5)]);
    }
    if let Some(word) = value.as_str() {
        list.push(json!(format!("{word}x")));
        list.push(json!(word.get(1..)));
        list.push(json!(word.to_uppercase()));
        list.push(json!([word]));
    }
    if let Some(entries) = value.as_array() {
        list.push(entries.first().cloned().unwrap_or(Value::Null));
    }
    list.retain(|value| !value.is_null());
    list
}

/// The pointers of all values in a value.
fn pointers(value: &Value, here: &str, found: &mut Vec<String>) {
    if !here.is_empty() {
        found.push(here.to_owned());
    }
    match value {
        Value::Array(entries) => {
            for (index, entry) in entries.iter().enumerate() {
                pointers(entry, &format!("{here}/{index}"), found);
            }
        }
        Value::Object(table) => {
            for (key, value) in table {
                pointers(value, &format!("{here}/{key}"), found);
            }
        }
        _ => {}
    }
}

/// The patterns of the schema, each compiled once.
static PATTERNS: LazyLock<Mutex<BTreeMap<String, regex_lite::Regex>>> =
    LazyLock::new(Mutex::default);

/// Whether the schema takes a value, in its own words and nothing else. (Draft 7, as far as the
/// schema of a lesson goes; `tests/outside/check_schemas.py` asks another validator.)
fn takes(root: &Value, schema: &Value, value: &Value) -> bool {
    let Some(schema) = schema.as_object() else { return schema != &Value::Bool(false) };
    schema.iter().all(|(keyword, said)| match keyword.as_str() {
        "$ref" => {
            let target = root.pointer(said.as_str().unwrap().trim_start_matches('#'));
            takes(root, target.unwrap(), value)
        }
        "type" => {
            let is = |name: &str| match name {
                "integer" => value.is_i64() || value.is_u64(),
                "number" => value.is_number(),
                "string" => value.is_string(),
                "boolean" => value.is_boolean(),
                "array" => value.is_array(),
                "object" => value.is_object(),
                other => panic!("type {other}"),
            };
            is(said.as_str().unwrap())
        }
        "enum" => said.as_array().unwrap().contains(value),
        "const" => said == value,
        "anyOf" => said.as_array().unwrap().iter().any(|one| takes(root, one, value)),
        "oneOf" => {
            said.as_array().unwrap().iter().filter(|one| takes(root, one, value)).count() == 1
        }
        "allOf" => said.as_array().unwrap().iter().all(|one| takes(root, one, value)),
        "minimum" => value.as_f64().is_none_or(|number| number >= said.as_f64().unwrap()),
        "exclusiveMinimum" => value.as_f64().is_none_or(|number| number > said.as_f64().unwrap()),
        "maximum" => value.as_f64().is_none_or(|number| number <= said.as_f64().unwrap()),
        "exclusiveMaximum" => value.as_f64().is_none_or(|number| number < said.as_f64().unwrap()),
        "minLength" => {
            value.as_str().is_none_or(|text| text.len() as u64 >= said.as_u64().unwrap())
        }
        "pattern" => value.as_str().is_none_or(|text| {
            let mut known = PATTERNS.lock().unwrap();
            let pattern = said.as_str().unwrap().to_owned();
            let regex = known.entry(pattern).or_insert_with_key(|pattern| {
                regex_lite::Regex::new(&pattern.replace(r"\u00", r"\x")).unwrap()
            });
            regex.is_match(text)
        }),
        "minItems" => {
            value.as_array().is_none_or(|list| list.len() as u64 >= said.as_u64().unwrap())
        }
        "maxItems" => {
            value.as_array().is_none_or(|list| list.len() as u64 <= said.as_u64().unwrap())
        }
        "uniqueItems" => value.as_array().is_none_or(|list| {
            list.iter().enumerate().all(|(index, entry)| !list[..index].contains(entry))
        }),
        "items" => {
            value.as_array().is_none_or(|list| list.iter().all(|one| takes(root, said, one)))
        }
        "required" => value.as_object().is_none_or(|table| {
            said.as_array().unwrap().iter().all(|key| table.contains_key(key.as_str().unwrap()))
        }),
        "minProperties" => {
            value.as_object().is_none_or(|table| table.len() as u64 >= said.as_u64().unwrap())
        }
        "propertyNames" => value
            .as_object()
            .is_none_or(|table| table.keys().all(|key| takes(root, said, &json!(key)))),
        "properties" => value.as_object().is_none_or(|table| {
            table.iter().all(|(key, value)| said.get(key).is_none_or(|one| takes(root, one, value)))
        }),
        "additionalProperties" => value.as_object().is_none_or(|table| {
            let known = schema.get("properties");
            let others =
                table.iter().filter(|(key, _)| known.is_none_or(|known| known.get(key).is_none()));
            others.into_iter().all(|(_, value)| takes(root, said, value))
        }),
        "$schema" | "title" | "description" | "default" | "definitions" | "x-if-missing" => true,
        other => panic!("the test does not know `{other}`"),
    })
}

#[test]
fn the_schema_takes_what_the_program_reads_and_nothing_else() {
    let schema = Lesson::schema().to_value();
    let whole = whole();
    assert!(takes(&schema, &schema, &whole), "the whole lesson is right");
    let mut places = Vec::new();
    pointers(&whole, "", &mut places);
    let reads = |lesson: &Value| {
        let text = toml::to_string(lesson).unwrap();
        let table = DeTable::parse(&text).unwrap();
        let reading = read_what_is_right::<LessonFile>(&text, table, SCHEMA.as_value());
        reading.problems.iter().next().map(|problem| problem.message.clone())
    };
    assert_eq!(reads(&whole), None);
    let (mut count, mut wrong, mut differ) = (0, 0, Vec::new());
    let mut compare = |place: &str, written: &Value, lesson: &Value| {
        let (takes, problem) = (takes(&schema, &schema, lesson), reads(lesson));
        count += 1;
        wrong += usize::from(!takes);
        // Which names General MIDI has, however they are written, the schema leaves to the program.
        if !place.ends_with("/instrument") && takes != problem.is_none() {
            differ
                .push(format!("{place} = {written}: the schema {takes}, the program {problem:?}"));
        }
    };
    for place in &places {
        let original = whole.pointer(place).unwrap();
        for written in replacements(original) {
            let mut lesson = whole.clone();
            *lesson.pointer_mut(place).unwrap() = written.clone();
            compare(place, &written, &lesson);
        }
        let (table, key) = place.rsplit_once('/').unwrap();
        let mut lesson = whole.clone();
        if let Some(table) = lesson.pointer_mut(table).and_then(Value::as_object_mut) {
            table.remove(key);
            compare(place, &Value::Null, &lesson);
            let mut lesson = whole.clone();
            let value = lesson.pointer(place).unwrap().clone();
            let table = lesson.pointer_mut(place.rsplit_once('/').unwrap().0).unwrap();
            table.as_object_mut().unwrap().insert(format!("{key}x"), value.clone());
            compare(&format!("{place}x"), &value, &lesson);
        }
    }
    assert!(differ.is_empty(), "{} of {count}:\n{}", differ.len(), differ.join("\n"));
    assert!(count > 5_000 && wrong > count / 4 && wrong < count, "{count} lessons, {wrong} wrong");
}

#[test]
fn keys_that_can_be_written_are_those_of_seven_sharps_or_flats_at_most() {
    let schema = Lesson::schema().to_value();
    let mut lesson = whole();
    let mut right = 0;
    for letter in ["A", "B", "C", "D", "E", "F", "G", "H", "a"] {
        for accidental in ["", "b", "#", "♭", "♯", " flat", "-sharp", "bb"] {
            for mode in ["", "m", " minor", "-", " major", "M", "-minor", "x"] {
                let key = format!("{letter}{accidental}{mode}");
                lesson["keys"] = json!([key]);
                let takes = takes(&schema, &schema, &lesson);
                assert_eq!(takes, key.parse::<Key>().is_ok(), "{key}");
                right += usize::from(takes);
            }
        }
    }
    assert!(right > 100, "{right}");
}

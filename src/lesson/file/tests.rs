//! The full lesson that `countoff start --all` writes is where every key and its default are shown.

use serde_json::Value;

use crate::lesson::{Lesson, NoNeighbours};
use crate::style::Library;

const FULL: &str = include_str!("../../cli/start/lesson-all.toml");

/// The lines under `[name]` or `[[name]]`, commented or not; with no name, those before the first
/// table.
fn section(name: Option<&str>) -> Vec<&'static str> {
    let header = |line: &str| {
        let line = line.strip_prefix("# ").unwrap_or(line);
        let name = line.strip_prefix('[')?.split(']').next()?;
        Some(name.trim_start_matches('[').to_owned())
    };
    let mut inside = name.is_none();
    let mut lines = Vec::new();
    for line in FULL.lines() {
        match header(line) {
            Some(found) => inside = Some(found.as_str()) == name,
            None if inside => lines.push(line),
            None => {}
        }
    }
    lines
}

/// Whether lines show a key, at the beginning of a line or inside braces.
fn shows(lines: &[&str], key: &str) -> bool {
    let assigned = format!("{key} = ");
    lines.iter().any(|line| {
        let mut found = line.match_indices(&assigned).map(|(at, _)| &line[..at]);
        found.any(|before| before.is_empty() || before == "# " || before.ends_with(['{', ' ']))
    })
}

/// What a schema stands for, once references, lists and alternatives are seen through: all tables
/// that it may be.
fn tables<'a>(root: &'a Value, schema: &'a Value) -> Vec<&'a Value> {
    if let Some(path) = schema["$ref"].as_str() {
        let target =
            root.pointer(path.trim_start_matches('#')).expect("the reference has a target");
        return tables(root, target);
    }
    let mut found = Vec::new();
    if schema.get("properties").is_some() {
        found.push(schema);
    }
    let alternatives = ["anyOf", "oneOf", "allOf"].iter().filter_map(|of| schema[*of].as_array());
    for inner in alternatives.flatten().chain(schema.get("items")) {
        found.extend(tables(root, inner));
    }
    found
}

/// Looks for every key of a table in a section, and for its default, and goes on into the tables
/// that it holds, once each. Gives the number of keys.
fn look_for_all<'a>(
    root: &'a Value,
    table: &'a Value,
    name: Option<&str>,
    seen: &mut Vec<&'a Value>,
    missing: &mut Vec<String>,
) -> usize {
    let lines = section(name);
    let properties = table["properties"].as_object().expect("a table has properties");
    let mut count = 0;
    for (key, schema) in properties {
        count += 1;
        let inner = tables(root, schema);
        let has_section = name.is_none() && !section(Some(key)).is_empty();
        if !has_section && !shows(&lines, key) {
            missing.push(format!("{key} in {name:?}"));
        }
        // A table's defaults are those of its keys; an empty list shows nothing.
        let is_shown = |value: &&Value| inner.is_empty() && **value != serde_json::json!([]);
        let default = schema.get("default").filter(is_shown);
        if let Some(default) = default
            && !shows_value(&lines, key, default)
        {
            missing.push(format!("{key} = {default} in {name:?}"));
        }
        for table in inner {
            // A kind of table that stands in two places is shown in the first.
            if seen.contains(&table) {
                continue;
            }
            seen.push(table);
            let name = if has_section { Some(key.as_str()) } else { name };
            count += look_for_all(root, table, name, seen, missing);
        }
    }
    count
}

/// Whether lines show a key with a value.
fn shows_value(lines: &[&str], key: &str, value: &Value) -> bool {
    lines.iter().any(|line| {
        let line = line.strip_prefix("# ").unwrap_or(line);
        let shown = line.parse::<toml::Table>().ok().and_then(|mut table| table.remove(key));
        shown.is_some_and(|shown| {
            serde_json::to_value(shown).is_ok_and(|shown| alike(&shown, value))
        })
    })
}

/// Whether two values are the same where 60 and 60.0 are.
fn alike(one: &Value, other: &Value) -> bool {
    match (one, other) {
        (Value::Array(one), Value::Array(other)) => {
            one.len() == other.len() && one.iter().zip(other).all(|(one, other)| alike(one, other))
        }
        (Value::Number(_), Value::Number(_)) => one.as_f64() == other.as_f64(),
        _ => one == other,
    }
}

#[test]
fn the_full_lesson_shows_every_key_of_the_schema_with_its_default() {
    let schema = Lesson::schema().to_value();
    let mut missing = Vec::new();
    let keys = look_for_all(&schema, &schema, None, &mut Vec::new(), &mut missing);
    assert!(missing.is_empty(), "the full lesson lacks {missing:#?}");
    assert!(keys > 50, "only {keys} keys were looked for");
}

/// Keys that have no default, or of which the full lesson shows a use.
const NO_DEFAULT: [&str; 17] = [
    "format",
    "title",
    "name",
    "chart",
    "key",
    "form",
    "A",
    "B",
    "comp",
    "bass",
    "drums",
    "mixes",
    "last",
    "intro",
    "interlude",
    "tag",
    "outro",
];

#[test]
fn what_the_full_lesson_shows_as_defaults_are_the_defaults() {
    let read = |text: &str| {
        let lesson = Lesson::read("lesson.toml", text, &NoNeighbours, &Library::built_in());
        format!("{:#?}", lesson.unwrap_or_else(|problems| panic!("{problems}")))
    };
    let is_default = |line: &&str| {
        let key = line.split_once(" = ").map(|(key, _)| key);
        key.is_some_and(|key| !key.starts_with([' ', '#']) && !NO_DEFAULT.contains(&key))
    };
    assert!(FULL.lines().filter(is_default).count() > 15);
    let without: Vec<&str> = FULL.lines().filter(|line| !is_default(line)).collect();
    assert_eq!(read(&without.join("\n")), read(FULL));
}

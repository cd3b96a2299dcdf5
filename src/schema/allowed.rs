//! What a schema allows in one place, asked about and put into words.

use serde::de::Error;
use serde_json::Value;
use toml::de::DeValue;

/// What a schema allows in one place, once references and alternatives are seen through.
pub(super) struct Allowed<'a> {
    root: &'a Value,
    alternatives: Vec<&'a Value>,
}

/// How many things are spoken of.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Number {
    One,
    Many,
}

impl<'a> Allowed<'a> {
    /// What `schema`, a part of `root`, allows.
    pub(super) fn of(root: &'a Value, schema: &'a Value) -> Allowed<'a> {
        let mut alternatives = Vec::new();
        see_through(root, schema, &mut alternatives);
        Allowed { root, alternatives }
    }

    /// The alternatives that are of a value's type.
    pub(super) fn for_type_of(&self, value: &DeValue<'_>) -> Vec<&'a Value> {
        let types: &[&str] = match value {
            DeValue::String(_) => &["string"],
            DeValue::Integer(_) => &["integer", "number"],
            DeValue::Float(_) => &["number"],
            DeValue::Boolean(_) => &["boolean"],
            DeValue::Array(_) => &["array"],
            DeValue::Table(_) => &["object"],
            DeValue::Datetime(_) => &[],
        };
        self.alternatives.iter().copied().filter(|one| types.contains(&type_of(one))).collect()
    }

    /// The alternatives of one type, by its name in schemas.
    pub(super) fn of_type(&self, name: &'static str) -> impl Iterator<Item = &'a Value> + '_ {
        self.alternatives.iter().copied().filter(move |one| type_of(one) == name)
    }

    /// The only words that may stand here; none where any text may, or no text at all.
    pub(super) fn words(&self) -> Vec<&'a str> {
        let mut words = Vec::new();
        for text in self.of_type("string") {
            let listed = text["enum"].as_array().into_iter().flatten().chain(text.get("const"));
            let before = words.len();
            words.extend(listed.filter_map(Value::as_str));
            if words.len() == before {
                return Vec::new();
            }
        }
        words
    }

    /// All that may stand here: `a whole number, 1 to 999`.
    pub(super) fn in_words(&self) -> String {
        self.describe(Number::One)
    }

    fn describe(&self, number: Number) -> String {
        let words: Vec<String> = self.words().iter().map(|word| format!("\"{word}\"")).collect();
        let mut descriptions: Vec<String> = Vec::new();
        if !words.is_empty() {
            descriptions.push(words.join(", "));
        }
        let tables = self.of_type("object").flat_map(keys);
        let mut keys_of_tables: Vec<&str> = Vec::new();
        for key in tables {
            if !keys_of_tables.contains(&key) {
                keys_of_tables.push(key);
            }
        }
        let keys_of_tables = keys_of_tables.join(", ");
        let mut has_tables = false;
        for one in &self.alternatives {
            let text = match (type_of(one), number) {
                ("string", _) if !words.is_empty() => continue,
                ("string", Number::One) => "text in quotes".to_owned(),
                ("string", Number::Many) => "texts in quotes".to_owned(),
                ("integer", _) if one.get("enum").is_some() => listed(one),
                ("integer", Number::One) => format!("a whole number{}", range_after_comma(one)),
                ("integer", Number::Many) => format!("whole numbers{}", range_after_comma(one)),
                ("number", Number::One) => format!("a number{}", range_after_comma(one)),
                ("number", Number::Many) => format!("numbers{}", range_after_comma(one)),
                ("boolean", _) => "true or false".to_owned(),
                ("array", _) => {
                    let entries = Allowed::of(self.root, &one["items"]).describe(Number::Many);
                    format!("a list of {entries}")
                }
                // Several kinds of table are described as one with the keys of all.
                ("object", _) if std::mem::replace(&mut has_tables, true) => continue,
                ("object", Number::One) => format!("a table with {keys_of_tables}"),
                ("object", Number::Many) => format!("tables with {keys_of_tables}"),
                _ => continue,
            };
            descriptions.push(text);
        }
        descriptions.join(", or ")
    }
}

fn see_through<'a>(root: &'a Value, schema: &'a Value, found: &mut Vec<&'a Value>) {
    if let Some(path) = schema["$ref"].as_str() {
        if let Some(target) = root.pointer(path.trim_start_matches('#')) {
            see_through(root, target, found);
        }
        return;
    }
    let alternatives = ["anyOf", "oneOf", "allOf"].iter().filter_map(|of| schema[*of].as_array());
    let mut alternatives = alternatives.flatten().peekable();
    if alternatives.peek().is_none() {
        found.push(schema);
    }
    for alternative in alternatives {
        see_through(root, alternative, found);
    }
}

/// The type that a schema without alternatives asks for; empty where it asks for none.
fn type_of(schema: &Value) -> &str {
    schema["type"].as_str().unwrap_or_default()
}

/// The names of the keys of a table.
pub(super) fn keys(table: &Value) -> Vec<&str> {
    table["properties"].as_object().into_iter().flatten().map(|(key, _)| key.as_str()).collect()
}

/// The numbers of an `enum`, as people list them.
fn listed(schema: &Value) -> String {
    let numbers = schema["enum"].as_array().into_iter().flatten();
    let numbers: Vec<String> = numbers.map(Value::to_string).collect();
    match numbers.split_last() {
        Some((last, others)) if !others.is_empty() => format!("{} or {last}", others.join(", ")),
        _ => numbers.concat(),
    }
}

fn range_after_comma(schema: &Value) -> String {
    range(schema).map(|range| format!(", {range}")).unwrap_or_default()
}

/// The numbers that a schema allows: `1 to 999`, or a list; `None` where all are allowed.
pub(super) fn range(schema: &Value) -> Option<String> {
    if schema.get("enum").is_some() {
        return Some(listed(schema));
    }
    let bound = |name: &str| schema[name].as_f64();
    let low = bound("minimum").map(|low| low.to_string());
    let low = low.or_else(|| bound("exclusiveMinimum").map(|low| format!("above {low}")));
    let high = bound("maximum").map(|high| high.to_string());
    let high = high.or_else(|| bound("exclusiveMaximum").map(|high| format!("below {high}")));
    match (low, high) {
        (Some(low), Some(high)) if low == high => Some(low),
        (Some(low), Some(high)) if low.starts_with("above") => Some(format!("{low}, up to {high}")),
        (Some(low), Some(high)) => Some(format!("{low} to {high}")),
        (Some(low), None) if low.starts_with("above") => Some(low),
        (Some(low), None) => Some(format!("{low} or more")),
        (None, Some(high)) => Some(format!("up to {high}")),
        (None, None) => None,
    }
}

/// Whether a schema allows a number.
pub(super) fn allows_number(schema: &Value, number: f64) -> bool {
    let bound = |name: &str| schema[name].as_f64();
    let listed = schema["enum"].as_array();
    listed.is_none_or(|all| all.iter().any(|one| one.as_f64() == Some(number)))
        && bound("minimum").is_none_or(|low| number >= low)
        && bound("exclusiveMinimum").is_none_or(|low| number > low)
        && bound("maximum").is_none_or(|high| number <= high)
        && bound("exclusiveMaximum").is_none_or(|high| number < high)
}

/// A number within the limits of a schema.
///
/// # Errors
/// It is outside.
pub(crate) fn number_within<E: Error>(limits: &Value, number: f64) -> Result<f64, E> {
    if allows_number(limits, number) {
        return Ok(number);
    }
    let range = range(limits).unwrap_or_default();
    Err(E::custom(format_args!("{number} is out of range\nuse {range}")))
}

//! What is wrong with a TOML text, said by its schema: every unknown key, wrong type, wrong word
//! and number out of range, each with its place, what may stand there, and the nearest right word.

use std::ops::Range;

use serde_json::Value;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::allowed::{self, Allowed};
use crate::problem::{Problem, ProblemList, nearest, quoted};

/// A keyword of ours: what to do where a key is missing.
const IF_MISSING: &str = "x-if-missing";

/// More words than this are not listed where the right one is known.
const MANY: usize = 20;

/// All that the schema has against a table, which was parsed from `text`. Nothing where the table
/// is wrong in a way that no schema can say.
pub(super) fn explain(text: &str, table: &DeTable<'_>, schema: &Value) -> ProblemList {
    let mut explainer = Explainer { text, root: schema, problems: ProblemList::default() };
    let first_line = 0..text.lines().next().map_or(0, str::len);
    explainer.table(&[schema], table, first_line);
    explainer.problems
}

struct Explainer<'a> {
    text: &'a str,
    root: &'a Value,
    problems: ProblemList,
}

impl Explainer<'_> {
    fn say(&mut self, message: String, span: Range<usize>, help: String) {
        self.problems.push(Problem::new(message, span).help(help));
    }

    /// A table that may be of several kinds. Which one it is, its tag says: the key that every
    /// kind has with another word.
    fn table(&mut self, kinds: &[&Value], table: &DeTable<'_>, span: Range<usize>) {
        let Some(tag) = tag(kinds) else {
            if let Some(only) = kinds.first() {
                self.table_of_kind(only, kinds, table, span);
            }
            return;
        };
        let words: Vec<&Value> =
            kinds.iter().map(|kind| &kind["properties"][tag]["const"]).collect();
        let allowed = serde_json::json!({ "type": "string", "enum": words });
        let Some(value) = table.get(tag) else {
            let is_known = |key: &str| kinds.iter().any(|kind| !kind["properties"][key].is_null());
            let mut strangers = table.iter().filter(|(key, _)| !is_known(key.get_ref().as_ref()));
            let slip = strangers.find(|(key, _)| nearest(key.get_ref(), [tag]).is_some());
            if let Some((key, _)) = slip {
                let message = format!("unknown key `{}`", quoted(key.get_ref()));
                return self.say(message, key.span(), format!("did you mean `{tag}`?"));
            }
            let help = format!("add `{tag}`: {}", Allowed::of(&allowed, &allowed).in_words());
            return self.say(format!("`{tag}` is missing"), span, help);
        };
        let is_it = |word: &Value| word.as_str() == value.get_ref().as_str();
        match words.iter().position(|word| is_it(word)) {
            Some(kind) => self.table_of_kind(kinds[kind], kinds, table, span),
            None => self.value(tag, &allowed, value),
        }
    }

    fn table_of_kind(
        &mut self,
        schema: &Value,
        kinds: &[&Value],
        table: &DeTable<'_>,
        span: Range<usize>,
    ) {
        // Keys that a wrong one was meant for, so that they are not missing as well.
        let mut meant = Vec::new();
        for (key, value) in table {
            let name = key.get_ref().as_ref();
            let others = schema.get("additionalProperties");
            match schema["properties"].get(name).or(others.filter(|others| others.is_object())) {
                Some(allowed) => self.value(name, allowed, value),
                None if others == Some(&Value::Bool(false)) => {
                    if self.problems.is_full() {
                        self.say(String::new(), key.span(), String::new());
                        continue;
                    }
                    if let Some((tag, owner)) = owner(kinds, name) {
                        let message = format!("`{name}` belongs to another {tag}, \"{owner}\"");
                        let help = format!("leave it out, or write {tag} = \"{owner}\"");
                        self.say(message, value.span(), help);
                        continue;
                    }
                    let known = allowed::keys(schema);
                    let list = format!("use {}", known.join(", "));
                    let right = nearest(name, known.iter().copied());
                    let help = match right {
                        Some(right) => format!("did you mean `{right}`? {list}"),
                        None => list,
                    };
                    meant.extend(right);
                    self.say(format!("unknown key `{}`", quoted(name)), key.span(), help);
                }
                None => {}
            }
        }
        let required = schema["required"].as_array().into_iter().flatten();
        let missing = |name: &&str| table.get(*name).is_none() && !meant.contains(name);
        for name in required.filter_map(Value::as_str).filter(missing) {
            let missing = &schema["properties"][name];
            let in_words = || Allowed::of(self.root, missing).in_words();
            let help = match missing[IF_MISSING].as_str() {
                Some(help) => help.to_owned(),
                None => format!("add `{name}`: {}", in_words()),
            };
            self.say(format!("`{name}` is missing"), span.clone(), help);
        }
    }

    fn value(&mut self, name: &str, schema: &Value, value: &Spanned<DeValue<'_>>) {
        let allowed = Allowed::of(self.root, schema);
        let fitting = allowed.for_type_of(value.get_ref());
        let Some(first) = fitting.first() else {
            return self.wrong_type(name, &allowed, value);
        };
        match value.get_ref() {
            DeValue::String(word) => {
                let words = allowed.words();
                if words.is_empty() {
                    if fitting.iter().all(|one| one["minLength"] == 1) && word.trim().is_empty() {
                        let help = format!("write the {name} in quotes");
                        self.say(format!("`{name}` is empty"), value.span(), help);
                    }
                    return;
                }
                if words.contains(&word.as_ref()) {
                    return;
                }
                let list = format!("use {}", allowed.in_words());
                let help = match nearest(word, words.iter().copied()) {
                    Some(right) if words.len() > MANY => format!("did you mean \"{right}\"?"),
                    Some(right) => format!("did you mean \"{right}\"? {list}"),
                    None => list,
                };
                self.say(format!("`{}` means nothing here", quoted(word)), value.span(), help);
            }
            DeValue::Integer(_) | DeValue::Float(_) => {
                let number = number(value.get_ref()).unwrap_or(f64::NAN);
                if !fitting.iter().any(|schema| allowed::allows_number(schema, number)) {
                    let written = self.written(value);
                    let range = allowed::range(first).unwrap_or_default();
                    let message = match first.get("enum") {
                        Some(_) => format!("`{name}` cannot be {written}"),
                        None => format!("{written} is out of range"),
                    };
                    self.say(message, value.span(), format!("use {range}"));
                }
            }
            DeValue::Array(entries) => {
                let limit = |name: &str| first[name].as_u64().and_then(|n| usize::try_from(n).ok());
                if limit("minItems").is_some_and(|least| entries.len() < least) {
                    let help = format!("use {}", allowed.in_words());
                    self.say(format!("the list `{name}` is empty"), value.span(), help);
                }
                if let Some(most) = limit("maxItems").filter(|most| entries.len() > *most) {
                    let message = format!("the list `{name}` has {} entries", entries.len());
                    return self.say(message, value.span(), format!("use {most} or fewer"));
                }
                for entry in entries {
                    self.value(name, &first["items"], entry);
                }
            }
            DeValue::Table(table) => self.table(&fitting, table, value.span()),
            DeValue::Boolean(_) | DeValue::Datetime(_) => {}
        }
    }

    fn wrong_type(&mut self, name: &str, allowed: &Allowed<'_>, value: &Spanned<DeValue<'_>>) {
        let is = match value.get_ref() {
            DeValue::String(_) => "text",
            DeValue::Integer(_) => "a whole number",
            DeValue::Float(_) => "a number with decimals",
            DeValue::Boolean(_) => "true or false",
            DeValue::Datetime(_) => "a date",
            DeValue::Array(_) => "a list",
            DeValue::Table(_) => "a table",
        };
        let list = format!("use {}", allowed.in_words());
        let help = match self.meant(allowed, value) {
            Some(right) => format!("did you mean `{right}`? {list}"),
            None => list,
        };
        self.say(format!("`{name}` cannot be {is}"), value.span(), help);
    }

    /// What was probably meant by a value of the wrong type, as it would be written.
    fn meant(&self, allowed: &Allowed<'_>, value: &Spanned<DeValue<'_>>) -> Option<String> {
        let written = self.written(value);
        let bare = match value.get_ref() {
            DeValue::String(text) => self.meant_by_text(allowed, text.trim()),
            DeValue::Integer(_) | DeValue::Float(_) | DeValue::Boolean(_) => {
                let words = allowed.words();
                let may_be_text = allowed.of_type("string").next().is_some()
                    && (words.is_empty() || words.contains(&written));
                may_be_text.then(|| format!("\"{written}\""))
            }
            _ => None,
        };
        let as_list = || {
            let mut lists = allowed.of_type("array");
            lists.find(|list| self.is_right(&list["items"], value)).map(|_| format!("[{written}]"))
        };
        let as_table = || {
            allowed.of_type("object").find_map(|table| {
                let required = table["required"].as_array().into_iter().flatten();
                let required: Vec<&str> = required.filter_map(Value::as_str).collect();
                let keys = if required.is_empty() { allowed::keys(table) } else { required };
                let [key] = keys.as_slice() else { return None };
                let fits = self.is_right(&table["properties"][*key], value);
                fits.then(|| format!("{{ {key} = {written} }}"))
            })
        };
        bare.or_else(as_list).or_else(as_table)
    }

    /// A number or a yes that was put into quotes.
    fn meant_by_text(&self, allowed: &Allowed<'_>, text: &str) -> Option<String> {
        let is_whole = text.parse::<i64>().is_ok();
        let number: Option<f64> = text.parse().ok();
        let fits =
            |schema: &&Value| number.is_some_and(|number| allowed::allows_number(schema, number));
        let as_whole = is_whole && allowed.of_type("integer").any(|schema| fits(&schema));
        if as_whole || allowed.of_type("number").any(|schema| fits(&schema)) {
            return Some(text.to_owned());
        }
        allowed.of_type("boolean").next()?;
        match text.to_lowercase().as_str() {
            "true" | "yes" | "on" => Some("true".to_owned()),
            "false" | "no" | "off" => Some("false".to_owned()),
            _ => None,
        }
    }

    /// Whether a value may stand where a schema holds.
    fn is_right(&self, schema: &Value, value: &Spanned<DeValue<'_>>) -> bool {
        let mut probe =
            Explainer { text: self.text, root: self.root, problems: ProblemList::default() };
        probe.value("", schema, value);
        probe.problems.is_empty()
    }

    /// A value as it stands in the text.
    fn written(&self, value: &Spanned<DeValue<'_>>) -> &str {
        self.text.get(value.span()).unwrap_or_default()
    }
}

/// The key that sets kinds of table apart: each has it with a word of its own.
fn tag<'a>(kinds: &[&'a Value]) -> Option<&'a str> {
    let [first, _, ..] = kinds else { return None };
    let has_word = |kind: &&Value, key: &str| kind["properties"][key].get("const").is_some();
    allowed::keys(first).into_iter().find(|key| kinds.iter().all(|kind| has_word(kind, key)))
}

/// The tag, and its word in the first kind of table that has a key.
fn owner<'a>(kinds: &[&'a Value], key: &str) -> Option<(&'a str, &'a str)> {
    let tag = tag(kinds)?;
    let owner = kinds.iter().find(|kind| kind["properties"].get(key).is_some())?;
    Some((tag, owner["properties"][tag]["const"].as_str()?))
}

/// The number that a value is.
fn number(value: &DeValue<'_>) -> Option<f64> {
    match value {
        #[expect(clippy::cast_precision_loss, reason = "no range reaches to where it would matter")]
        DeValue::Integer(whole) => {
            i64::from_str_radix(whole.as_str(), whole.radix()).ok().map(|whole| whole as f64)
        }
        DeValue::Float(decimal) => decimal.as_str().parse().ok(),
        _ => None,
    }
}

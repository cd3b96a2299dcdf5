//! Shapes: which degrees sound together, from the lowest up.

use std::borrow::Cow;

use schemars::{JsonSchema, Schema, SchemaGenerator};
use serde::Deserialize;

/// Degrees from the lowest note up, each as near above the one before as it can lie:
/// `1 3 7` in one hand, `1 5 | 7 3` in two. A comma parts notes that are struck apart, as in a
/// left hand that plays `1 , 5 , 3 5 7`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Shape {
    /// From the lowest up; never empty.
    pub notes: Vec<ShapeNote>,
    /// What choosing it costs, in semitones of motion.
    pub penalty: u8,
}

/// One note of a shape.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ShapeNote {
    /// The degree's number, 1 to 13. The chord says how it is altered, and what stands in for it
    /// where the chord has no such degree.
    pub degree: u8,
    /// Which hand plays it.
    pub hand: StyleHand,
    /// Notes of the same number are struck together. The first is 0.
    pub group: u8,
}

/// Which hand plays a note of a shape.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[expect(missing_docs, reason = "nothing to add")]
pub enum StyleHand {
    Left,
    Right,
}

/// The text is no shape.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[expect(missing_docs, reason = "the message says it")]
pub enum ShapeError {
    #[error("a shape needs at least one degree: write one such as `1 3 7`")]
    Empty,
    #[error(
        "`{0}` is no degree of a shape: write 1 3 5 7 9 11 or 13 without accidentals (the chord has them), `|` between the hands or `,` between notes struck apart"
    )]
    NoDegree(String),
    #[error("a shape has one `|`, between the left hand and the right")]
    TwoBars,
    #[error("the degree {0} stands twice in one shape")]
    Twice(u8),
    #[error("nothing stands before or after a `,` or `|`")]
    Gap,
    #[error("a shape has at most 10 notes, as many as there are fingers")]
    TooMany,
}

impl Shape {
    /// The number of the last group: the chord, where bass notes are struck apart.
    #[must_use]
    pub fn last_group(&self) -> u8 {
        self.notes.last().map_or(0, |note| note.group)
    }

    /// The group that holds a degree.
    #[must_use]
    pub(crate) fn group_of(&self, degree: u8) -> Option<u8> {
        self.notes.iter().find(|note| note.degree == degree).map(|note| note.group)
    }
}

impl std::str::FromStr for Shape {
    type Err = ShapeError;
    fn from_str(text: &str) -> Result<Shape, ShapeError> {
        let mut notes: Vec<ShapeNote> = Vec::new();
        let (mut hand, mut group, mut after_sign) = (StyleHand::Left, 0, false);
        let spaced = text.replace(',', " , ").replace('|', " | ");
        for token in spaced.split_whitespace() {
            let is_sign = matches!(token, "," | "|");
            if is_sign && (after_sign || (notes.is_empty() && token == ",")) {
                return Err(ShapeError::Gap);
            }
            after_sign = is_sign;
            match token {
                "," => group += 1,
                "|" if hand == StyleHand::Right => return Err(ShapeError::TwoBars),
                "|" => hand = StyleHand::Right,
                _ => {
                    let degree = degree(token)?;
                    if notes.iter().any(|note| note.degree == degree) {
                        return Err(ShapeError::Twice(degree));
                    }
                    notes.push(ShapeNote { degree, hand, group });
                }
            }
            if notes.len() > 10 {
                return Err(ShapeError::TooMany);
            }
        }
        match (notes.is_empty(), after_sign) {
            (true, _) => Err(ShapeError::Empty),
            (_, true) => Err(ShapeError::Gap),
            _ => Ok(Shape { notes, penalty: 0 }),
        }
    }
}

fn degree(token: &str) -> Result<u8, ShapeError> {
    let number = token.parse().ok();
    let number = number.filter(|number| matches!(number, 1 | 3 | 5 | 7 | 9 | 11 | 13));
    number.ok_or_else(|| ShapeError::NoDegree(token.to_owned()))
}

impl<'de> Deserialize<'de> for Shape {
    fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Shape, D::Error> {
        deserializer.deserialize_any(ShapeVisitor)
    }
}

/// Reads `"1 3 7"`, or `{ notes = "1 3 7", penalty = 2 }`.
struct ShapeVisitor;

#[derive(Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
struct ShapeTable {
    /// The degrees from the lowest note up, such as `1 3 7`.
    #[schemars(regex(pattern = SHAPE))]
    notes: String,
    /// What choosing it costs, in semitones of motion; nothing where it is left out.
    #[serde(default)]
    penalty: u8,
}

/// What a shape looks like; the rest of its rules no pattern can say.
const SHAPE: &str = r"^[\s,|]*(1|3|5|7|9|11|13)([\s,|]+(1|3|5|7|9|11|13))*\s*$";

/// Degrees from the lowest note up, each as near above the one before as it can lie: `1 3 7`;
/// `|` between the hands, `,` between notes that are struck apart.
#[derive(JsonSchema)]
#[schemars(untagged, rename = "Shape")]
#[expect(dead_code, reason = "only its schema is looked at")]
enum ShapeText {
    Text(#[schemars(regex(pattern = SHAPE))] String),
    Table(ShapeTable),
}

impl JsonSchema for Shape {
    fn schema_name() -> Cow<'static, str> {
        ShapeText::schema_name()
    }

    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        ShapeText::json_schema(generator)
    }
}

impl<'de> serde::de::Visitor<'de> for ShapeVisitor {
    type Value = Shape;

    fn expecting(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("a shape such as \"1 3 7\", or { notes = \"1 3 7\", penalty = 2 }")
    }

    fn visit_str<E: serde::de::Error>(self, text: &str) -> Result<Shape, E> {
        text.parse().map_err(E::custom)
    }

    fn visit_map<A: serde::de::MapAccess<'de>>(self, map: A) -> Result<Shape, A::Error> {
        let table = ShapeTable::deserialize(serde::de::value::MapAccessDeserializer::new(map))?;
        let shape: Shape = table.notes.parse().map_err(serde::de::Error::custom)?;
        Ok(Shape { penalty: table.penalty, ..shape })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hands_and_groups_are_read() {
        let shape: Shape = "1 , 5, 3 7|9".parse().unwrap();
        let read: Vec<_> =
            shape.notes.iter().map(|note| (note.degree, note.group, note.hand)).collect();
        use StyleHand::{Left, Right};
        assert_eq!(read, [(1, 0, Left), (5, 1, Left), (3, 2, Left), (7, 2, Left), (9, 2, Right)]);
        assert_eq!(shape.last_group(), 2);
        assert!("| 3 7 9".parse::<Shape>().is_ok());
    }

    #[test]
    fn what_is_no_shape_is_an_error() {
        for text in
            ["", "|", "1 3 b7", "1 3 8", "1 | 3 | 7", "1 1", "1 , , 5", ", 1", "1 ,", "1 |", "1 é"]
        {
            assert!(text.parse::<Shape>().is_err(), "{text}");
        }
    }
}

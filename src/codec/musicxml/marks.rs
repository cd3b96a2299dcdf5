//! Marks that say how to go through a score, and how fast: segno, coda, D.C., D.S., To Coda, Fine,
//! tempo. Meanings are those of the element `sound` of MusicXML 4.0; where a mark is written without
//! one, its sign or its usual words count.

use roxmltree::Node;

use super::elements::{child, child_number, child_text, children};
use super::{Jump, JumpKind, Measure};
use crate::problem::visible;
use crate::units::Tempo;

/// Tempos of a score that are taken, in quarter notes a minute; a bound for damaged files.
const TEMPOS: std::ops::RangeInclusive<f64> = 1.0..=2_000.0;

/// A mark as it is met.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Mark {
    Segno(String),
    Coda(String),
    /// A coda sign without a word on whether one jumps from it or to it.
    CodaSign,
    Jump(Jump),
    Tempo(Tempo),
}

/// What begins with a bar line.
#[derive(Debug, Default)]
pub(super) struct Arriving {
    segno: Option<String>,
    coda: Option<String>,
    tempo: Option<Tempo>,
    /// A coda sign that says no more.
    coda_sign: bool,
}

/// The marks of a `direction`.
pub(super) fn of_direction(node: Node<'_, '_>) -> Vec<Mark> {
    let mut marks: Vec<Mark> = child(node, "sound").map(of_sound).unwrap_or_default();
    let leads = |mark: &Mark| !matches!(mark, Mark::Tempo(_));
    if !marks.iter().any(leads) {
        marks.extend(of_signs(node));
    }
    if marks.iter().all(leads) {
        let kinds = children(node, "direction-type");
        marks.extend(kinds.filter_map(|kind| metronome(child(kind, "metronome")?)));
    }
    marks
}

/// The marks of a `sound`, or of a `barline`, which has some of the same attributes.
pub(super) fn of_sound(node: Node<'_, '_>) -> Vec<Mark> {
    let name = |attribute| node.attribute(attribute).map(|name| visible(name.trim()).into_owned());
    let only = node.attribute("time-only").unwrap_or_default();
    let times: Vec<u8> = only.split(',').filter_map(|time| time.trim().parse().ok()).collect();
    let jump = |kind| Mark::Jump(Jump { kind, times: times.clone() });
    let yes = |attribute| node.attribute(attribute).is_some_and(|value| value != "no");
    let tempo = node.attribute("tempo").and_then(|tempo| tempo.trim().parse().ok());
    [
        name("segno").map(Mark::Segno),
        name("coda").map(Mark::Coda),
        name("tocoda").map(JumpKind::ToCoda).map(jump),
        yes("fine").then(|| jump(JumpKind::Fine)),
        name("dalsegno").map(JumpKind::DalSegno).map(jump),
        yes("dacapo").then(|| jump(JumpKind::DaCapo)),
        tempo.and_then(of_quarters).map(Mark::Tempo),
    ]
    .into_iter()
    .flatten()
    .collect()
}

/// Signs and words without a `sound`.
fn of_signs(node: Node<'_, '_>) -> Option<Mark> {
    let kinds = || children(node, "direction-type");
    let has = |name| kinds().any(|kind| child(kind, name).is_some());
    let words = kinds().flat_map(|kind| children(kind, "words")).filter_map(|words| words.text());
    let words = words.collect::<Vec<_>>().join(" ").to_lowercase();
    let words = words.trim();
    let says = |spellings: &[&str]| spellings.iter().any(|spelling| words.contains(spelling));
    let jump = |kind| Some(Mark::Jump(Jump { kind, times: Vec::new() }));
    if says(&["d.c.", "da capo"]) {
        jump(JumpKind::DaCapo)
    } else if says(&["d.s.", "dal segno"]) {
        jump(JumpKind::DalSegno(String::new()))
    } else if says(&["to coda"]) {
        jump(JumpKind::ToCoda(String::new()))
    } else if words == "fine" {
        jump(JumpKind::Fine)
    } else if has("segno") {
        Some(Mark::Segno(String::new()))
    } else if words == "coda" {
        Some(Mark::Coda(String::new()))
    } else {
        has("coda").then_some(Mark::CodaSign)
    }
}

/// A tempo as it is printed.
fn metronome(node: Node<'_, '_>) -> Option<Mark> {
    let quarters = match child_text(node, "beat-unit")? {
        "half" => 2.0,
        "quarter" => 1.0,
        "eighth" => 0.5,
        _ => return None,
    };
    let dotted = if child(node, "beat-unit-dot").is_some() { 1.5 } else { 1.0 };
    let beats: f64 = child_number(node, "per-minute")?;
    of_quarters(beats * quarters * dotted).map(Mark::Tempo)
}

fn of_quarters(per_minute: f64) -> Option<Tempo> {
    #[expect(clippy::cast_possible_truncation, reason = "at least a quarter note a minute")]
    #[expect(clippy::cast_sign_loss, reason = "above zero")]
    let micros = |quarters: f64| (60_000_000.0 / quarters).round() as u32;
    TEMPOS.contains(&per_minute).then(|| Tempo(micros(per_minute)))
}

/// Gives a measure what arrives with its first bar line, and the marks in it with their times. One
/// leaves a measure at its end and arrives at its start; what stands elsewhere is told, and what
/// arrives at the end belongs to the next. True where a coda sign arrives that says no more.
pub(super) fn place(
    measure: &mut Measure,
    marks: Vec<(f64, Mark)>,
    end: f64,
    coming: &mut Arriving,
    warnings: &mut Vec<String>,
) -> bool {
    let mut here = std::mem::take(coming);
    let mut tell = |text: &str| warnings.push(format!("measure {}: {text}", measure.number));
    for (at, mark) in marks {
        let is_start = at <= 0.0;
        let is_end = at >= end;
        let next = !is_start && is_end;
        if let Mark::Jump(jump) = mark {
            if is_start && !is_end {
                tell(&format!("{} stands at its start and is taken at its end", jump.kind));
            }
            let same = |other: &Jump| {
                std::mem::discriminant(&other.kind) == std::mem::discriminant(&jump.kind)
            };
            if !measure.jumps.iter().any(same) {
                measure.jumps.push(jump);
            }
            continue;
        }
        let is_tempo = matches!(mark, Mark::Tempo(_));
        if !is_start && !is_end {
            tell(if is_tempo {
                "the tempo changes inside it; taken from the next measure"
            } else {
                "a sign stands inside it; taken at its start"
            });
        }
        let arriving = if next || (is_tempo && !is_start) { &mut *coming } else { &mut here };
        match mark {
            Mark::Segno(name) => arriving.segno = arriving.segno.take().or(Some(name)),
            Mark::Coda(name) => arriving.coda = arriving.coda.take().or(Some(name)),
            Mark::CodaSign => arriving.coda_sign = true,
            Mark::Tempo(tempo) => arriving.tempo = Some(tempo),
            Mark::Jump(_) => {}
        }
    }
    let Arriving { segno, coda, tempo, coda_sign } = here;
    let is_bare = coda_sign && coda.is_none();
    (measure.segno, measure.coda, measure.tempo) = (segno, coda, tempo);
    if is_bare {
        measure.coda = Some(String::new());
    }
    is_bare
}

/// Of several coda signs that say no more, the first is the one to jump from, where nothing else is.
/// `signs` are the measures that begin with one.
pub(super) fn settle(measures: &mut [Measure], signs: &[usize]) {
    let leaves = |measure: &Measure| {
        measure.jumps.iter().any(|jump| matches!(jump.kind, JumpKind::ToCoda(_)))
    };
    let [first, _, ..] = *signs else { return };
    if first == 0 || measures.iter().any(leaves) {
        return;
    }
    if let [before, at] = &mut measures[first - 1..=first] {
        at.coda = None;
        before.jumps.push(Jump { kind: JumpKind::ToCoda(String::new()), times: Vec::new() });
    }
}

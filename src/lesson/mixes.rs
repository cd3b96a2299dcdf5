//! The check of the mixes of a track.

use crate::mix::Balance;
use crate::performance::Part;
use crate::problem::nearest;
use crate::schema::{List, Placed};

use super::Mix;
use super::checker::Checker;
use super::file::{BalanceEntry, MixEntry, Side, TrackEntry};

impl Checker<'_> {
    /// The mixes of a track, and its stems.
    pub(super) fn mixes(&mut self, entry: &TrackEntry, players: &[Part]) -> Vec<Mix> {
        let mut mixes = match &entry.mixes {
            Some(entries) => self.listed_mixes(entries, players),
            None => vec![Mix::of(players.to_vec(), true).labelled(players)],
        };
        if entry.stems {
            mixes.extend(players.iter().map(|player| {
                Mix { stem: true, ..Mix::of(vec![*player], false) }.labelled(players)
            }));
        }
        mixes
    }

    fn listed_mixes(&mut self, entries: &[Placed<MixEntry>], players: &[Part]) -> Vec<Mix> {
        let mut mixes: Vec<Mix> = Vec::new();
        for entry in entries {
            let Some(mix) = self.mix(entry, players) else { continue };
            if mixes.contains(&mix) {
                let help = "leave one of the two out";
                self.say("this mix is there already", entry.span(), help);
            }
            mixes.push(mix);
        }
        mixes
    }

    fn mix(&mut self, entry: &Placed<MixEntry>, players: &[Part]) -> Option<Mix> {
        let (without, only) = (entry.without.as_ref(), entry.only.as_ref());
        if without.is_some() && only.is_some() {
            let help = "leave one of the two out";
            self.say("a mix has either `without` or `only`", entry.span(), help);
            return None;
        }
        let named = without.or(only).map_or(&[][..], |parts| &**parts);
        let playing = named.iter().filter(|part| self.plays(part, players)).count();
        if playing < named.len() {
            return None;
        }
        let has = |list: &List<Placed<Part>, 0, 4>, part| list.iter().any(|named| **named == part);
        let parts: Vec<Part> = players
            .iter()
            .copied()
            .filter(|part| !without.is_some_and(|without| has(without, *part)))
            .filter(|part| only.is_none_or(|only| has(only, *part)))
            .collect();
        let click = entry.click.unwrap_or(false);
        if parts.is_empty() && !click {
            let help = "keep a part, or add click = true";
            self.say_missing("nothing is left in this mix", entry.span(), help);
            return None;
        }
        let balance = match &entry.balance {
            Some(balance) => Some(self.balance(balance, &parts)?),
            None => None,
        };
        let count_in = entry.count_in.unwrap_or(true);
        Some(Mix { click, balance, ..Mix::of(parts, count_in) }.labelled(players))
    }

    fn balance(&mut self, entry: &BalanceEntry, parts: &[Part]) -> Option<Balance> {
        let amount = entry.amount.map_or(1.0, |amount| amount.get());
        let amount = match entry.side {
            None | Some(Side::Left) => -amount,
            Some(Side::Right) => amount,
        };
        self.plays(&entry.part, parts).then_some(Balance { part: *entry.part, amount })
    }

    /// Whether a part is among those who play; says so where it is not.
    pub(super) fn plays(&mut self, part: &Placed<Part>, players: &[Part]) -> bool {
        let plays = players.contains(part);
        if !plays {
            let names: Vec<&str> = players.iter().map(|player| player.name()).collect();
            let list = names.iter().map(|name| format!("\"{name}\"")).collect::<Vec<_>>();
            let list = format!("use {}", list.join(", "));
            let help = match nearest(part.name(), names) {
                Some(right) => format!("did you mean \"{right}\"? {list}"),
                None => list,
            };
            self.say_missing(format!("`{}` does not play here", **part), part.span(), help);
        }
        plays
    }
}

impl Mix {
    /// Some parts, without a click.
    fn of(parts: Vec<Part>, count_in: bool) -> Mix {
        Mix { label: String::new(), parts, click: false, count_in, balance: None, stem: false }
    }

    /// The same with a label: what sets it apart from everybody playing, in few words.
    fn labelled(mut self, players: &[Part]) -> Mix {
        let names = |keep: &dyn Fn(&Part) -> bool| -> String {
            let names: Vec<&str> =
                players.iter().filter(|part| keep(part)).map(|part| part.name()).collect();
            names.join(" and ")
        };
        let is_missing = |part: &Part| !self.parts.contains(part);
        let missing = players.iter().filter(|part| is_missing(part)).count();
        let kept = names(&|part| self.parts.contains(part));
        let mut words = Vec::new();
        if self.stem {
            words.push(format!("stem {kept}"));
        } else if self.parts.is_empty() {
            words.push("click only".to_owned());
        } else if missing > self.parts.len() {
            words.push(format!("{kept} only"));
        } else if missing > 0 {
            words.push(format!("without {}", names(&is_missing)));
        }
        if let Some(balance) = self.balance {
            let side = if balance.amount < 0.0 { "left" } else { "right" };
            words.push(format!("{} {side}", balance.part));
        }
        if self.click && !self.parts.is_empty() {
            words.push("with click".to_owned());
        }
        if !self.count_in && !self.stem {
            words.push("no count-in".to_owned());
        }
        self.label = words.join(" ");
        self
    }
}

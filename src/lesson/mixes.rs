//! The check of the mixes of a track.

use crate::mix::Balance;
use crate::part::Part;

use super::Mix;
use super::checker::Checker;
use super::file::{BalanceEntry, MixEntry, TrackEntry};
use super::places::Step;

impl Checker<'_> {
    /// The mixes of a track, and its stems.
    pub(super) fn mixes(&mut self, entry: &TrackEntry, index: usize, players: &[Part]) -> Vec<Mix> {
        let mut mixes = match &entry.mixes {
            Some(entries) => self.listed_mixes(entries, index, players),
            None => vec![Mix::of(players.to_vec(), true).labelled(players)],
        };
        if entry.stems {
            mixes.extend(players.iter().map(|player| {
                Mix { stem: true, ..Mix::of(vec![*player], false) }.labelled(players)
            }));
        }
        mixes
    }

    fn listed_mixes(&mut self, entries: &[MixEntry], index: usize, players: &[Part]) -> Vec<Mix> {
        let path = [Step::Key("track"), Step::Entry(index), Step::Key("mixes")];
        if entries.is_empty() {
            self.say("the list of mixes is empty", &path, "leave `mixes` out, or write [{}]");
        }
        let mut mixes: Vec<Mix> = Vec::new();
        for (number, entry) in entries.iter().enumerate() {
            let here = [path[0], path[1], path[2], Step::Entry(number)];
            let Some(mix) = self.mix(entry, &here, players) else { continue };
            if mixes.contains(&mix) {
                self.say("this mix is there already", &here, "leave one of the two out");
            }
            mixes.push(mix);
        }
        mixes
    }

    fn mix(&mut self, entry: &MixEntry, path: &[Step<'_>], players: &[Part]) -> Option<Mix> {
        let mut unknown = false;
        let mut named = |names: &Option<Vec<String>>, key| -> Option<Vec<Part>> {
            let place = |index| [path, &[Step::Key(key), Step::Entry(index)]].concat();
            let mut parts = Vec::new();
            for (index, name) in names.as_ref()?.iter().enumerate() {
                let part = self.player(name, &place(index), players);
                unknown |= part.is_none();
                parts.extend(part);
            }
            Some(parts)
        };
        let (without, only) = (named(&entry.without, "without"), named(&entry.only, "only"));
        if unknown {
            return None;
        }
        if without.is_some() && only.is_some() {
            self.say("a mix has either `without` or `only`", path, "leave one of the two out");
            return None;
        }
        let parts: Vec<Part> = players
            .iter()
            .copied()
            .filter(|part| !without.as_ref().is_some_and(|without| without.contains(part)))
            .filter(|part| only.as_ref().is_none_or(|only| only.contains(part)))
            .collect();
        let click = entry.click.unwrap_or(false);
        if parts.is_empty() && !click {
            self.say("nothing is left in this mix", path, "keep a part, or add click = true");
            return None;
        }
        let balance = match &entry.balance {
            Some(balance) => Some(self.balance(balance, path, &parts)?),
            None => None,
        };
        let count_in = entry.count_in.unwrap_or(true);
        Some(Mix { click, balance, ..Mix::of(parts, count_in) }.labelled(players))
    }

    fn balance(
        &mut self,
        entry: &BalanceEntry,
        path: &[Step<'_>],
        parts: &[Part],
    ) -> Option<Balance> {
        let at = |key| [path, &[Step::Key("balance"), Step::Key(key)]].concat();
        let part = self.player(&entry.part, &at("part"), parts)?;
        let amount = entry.amount.unwrap_or(1.0);
        if !(0.1..=1.0).contains(&amount) {
            let message = format!("a balance of {amount} is out of range");
            self.say(message, &at("amount"), "use 0.1 to 1");
            return None;
        }
        let side = entry
            .side
            .as_deref()
            .map_or(Some(0), |side| self.word(side, &["left", "right"], &at("side")))?;
        Some(Balance { part, amount: if side == 0 { -amount } else { amount } })
    }

    /// The player of a name, among those who play.
    fn player(&mut self, name: &str, path: &[Step<'_>], players: &[Part]) -> Option<Part> {
        let words: Vec<&str> = players.iter().map(|part| part.name()).collect();
        self.word(name, &words, path).map(|index| players[index])
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

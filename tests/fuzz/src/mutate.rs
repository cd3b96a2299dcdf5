//! Makes an input from valid ones: signs changed, words moved, numbers made extreme.

use rand_core::{Rng, SeedableRng};
use rand_pcg::Pcg64Mcg;

/// The longest input.
const LONGEST: usize = 60_000;

/// Words that no valid file has.
const STRANGE: [&str; 24] = [
    "\u{1b}[31m",
    "\0",
    "\u{9b}",
    "\u{202e}",
    "\u{feff}",
    "🎹",
    "♭",
    "é",
    "\r\n",
    "\n",
    "\t",
    " ",
    "-1",
    "0",
    "127",
    "128",
    "255",
    "256",
    "65535",
    "4294967296",
    "9223372036854775808",
    "1e999",
    "NaN",
    "%s",
];

/// Numbers at which fields of a binary file turn over.
const EDGES: [u32; 14] = [
    0,
    1,
    2,
    0x7f,
    0x80,
    0xff,
    0x100,
    0x7fff,
    0x8000,
    0xffff,
    0x10000,
    0x7fff_ffff,
    0x8000_0000,
    0xffff_ffff,
];

/// Makes inputs of one kind.
pub(crate) struct Mutator {
    seeds: Vec<Vec<u8>>,
    /// Every word that stands in the seeds.
    words: Vec<Vec<u8>>,
    binary: bool,
    stream: u64,
}

impl Mutator {
    pub(crate) fn new(kind: &str, seeds: Vec<Vec<u8>>) -> Mutator {
        let mut words: Vec<Vec<u8>> =
            seeds.iter().flat_map(|seed| words(seed)).map(<[u8]>::to_vec).collect();
        words.sort_unstable();
        words.dedup();
        words.extend(STRANGE.map(|word| word.as_bytes().to_vec()));
        let stream = kind.bytes().fold(7, |sum: u64, byte| sum.wrapping_mul(31) + u64::from(byte));
        let binary = seeds.iter().any(|seed| std::str::from_utf8(seed).is_err());
        Mutator { seeds, words, binary, stream }
    }

    /// The input of a number: the same on every machine.
    pub(crate) fn input(&self, index: u64) -> Vec<u8> {
        let mut random = Pcg64Mcg::seed_from_u64(self.stream ^ (index << 20));
        let mut input = one_of(&self.seeds, &mut random).clone();
        for _ in 0..=below(&mut random, 4) {
            if self.binary {
                change_bytes(&mut input, &mut random);
            } else {
                self.change_words(&mut input, &mut random);
            }
        }
        input.truncate(LONGEST);
        input
    }

    fn change_words(&self, input: &mut Vec<u8>, random: &mut Pcg64Mcg) {
        let (start, end) = word_at(input, below(random, input.len() + 1));
        let word = one_of(&self.words, random).clone();
        match below(random, 12) {
            0..4 => drop(input.splice(start..end, word)),
            4 | 5 => drop(input.splice(start..start, word)),
            6 => drop(input.drain(start..end)),
            7 => {
                // A longer stretch goes, or comes again.
                let until = (start + below(random, 200)).min(input.len());
                let stretch: Vec<u8> = input[start..until].to_vec();
                if below(random, 2) == 0 {
                    input.drain(start..until);
                } else {
                    let times = 1 + below(random, 3);
                    input.splice(start..start, stretch.repeat(times));
                }
            }
            8 => {
                let other = one_of(&self.seeds, random);
                let from = below(random, other.len() + 1);
                let until = (from + below(random, 300)).min(other.len());
                input.splice(start..end, other[from..until].iter().copied());
            }
            9 => drop(input.splice(start..end, word.repeat(1 + below(random, 40)))),
            10 => input.truncate(start),
            _ => change_bytes(input, random),
        }
    }
}

fn change_bytes(input: &mut Vec<u8>, random: &mut Pcg64Mcg) {
    if input.is_empty() {
        input.push(b'x');
        return;
    }
    let at = below(random, input.len());
    let edge = *one_of(&EDGES, random);
    match below(random, 10) {
        0 | 1 => input[at] ^= 1 << below(random, 8),
        2 | 3 => input[at] = random.next_u32().to_le_bytes()[0],
        4 => overwrite(input, at, &edge.to_le_bytes()),
        5 => overwrite(input, at, &edge.to_be_bytes()),
        6 => overwrite(input, at, &edge.to_le_bytes()[..2]),
        7 => overwrite(input, at, &edge.to_be_bytes()[2..]),
        8 => drop(input.drain(at..(at + 1 + below(random, 16)).min(input.len()))),
        _ => {
            let until = (at + 1 + below(random, 64)).min(input.len());
            let stretch: Vec<u8> = input[at..until].to_vec();
            input.splice(at..at, stretch);
        }
    }
}

fn overwrite(input: &mut [u8], at: usize, bytes: &[u8]) {
    for (place, byte) in input[at..].iter_mut().zip(bytes) {
        *place = *byte;
    }
}

/// Letters, digits, and single other signs.
fn words(text: &[u8]) -> impl Iterator<Item = &[u8]> {
    text.chunk_by(|one, other| kind(*one) == kind(*other) && kind(*one) != 0)
}

fn kind(byte: u8) -> u8 {
    match byte {
        b'a'..=b'z' | b'A'..=b'Z' | b'_' | b'-' => 1,
        b'0'..=b'9' | b'.' => 2,
        128.. => 3,
        _ => 0,
    }
}

/// The ends of the word at a byte.
fn word_at(text: &[u8], at: usize) -> (usize, usize) {
    let Some(byte) = text.get(at) else { return (text.len(), text.len()) };
    let alike = |other: &&u8| kind(**other) == kind(*byte) && kind(*byte) != 0;
    let before = text[..at].iter().rev().take_while(alike).count();
    let after = text[at + 1..].iter().take_while(alike).count();
    (at - before, at + 1 + after)
}

fn below(random: &mut Pcg64Mcg, limit: usize) -> usize {
    let limit = u32::try_from(limit).unwrap_or(u32::MAX).max(1);
    usize::try_from(random.next_u32() % limit).unwrap_or(0)
}

fn one_of<'a, T>(all: &'a [T], random: &mut Pcg64Mcg) -> &'a T {
    &all[below(random, all.len())]
}

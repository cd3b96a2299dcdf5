//! The whole file: instruments, presets, bytes.

use super::chunks::{chunk, list, name, text};
use super::generators::{self, Generator, Setting};
use super::{Glide, Instrument, sample_data};
use std::ops::RangeInclusive;

/// Why a bank cannot be written.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum Sf2Error {
    /// A quantity that the format cannot say.
    #[error("{what} is out of range: {value}")]
    OutOfRange {
        /// Which.
        what: String,
        /// What it would have been.
        value: f64,
    },
    /// A sample leaves full scale or is not a number.
    #[error("sample {name} peaks at {peak}, full scale is 1")]
    OverFullScale {
        /// Which.
        name: String,
        /// Its largest magnitude.
        peak: f64,
    },
    /// A loop does not lie within its sample, or not at its end.
    #[error("the loop of sample {name} is not at the end of it")]
    BadLoop {
        /// Which.
        name: String,
    },
    /// A zone or layer names something that is not there.
    #[error("{0} names a part that does not exist")]
    Missing(String),
    /// More records than the format's 16-bit indices can count.
    #[error("{count} {what}: the format counts to 65535")]
    TooMany {
        /// Of what.
        what: &'static str,
        /// How many.
        count: usize,
    },
}

/// Names an instrument within its bank.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct InstrumentId(usize);

/// An instrument as a preset plays it: what is set here is added to the
/// instrument's own.
#[derive(Clone, Debug, PartialEq)]
pub struct Layer {
    /// What plays.
    pub instrument: InstrumentId,
    /// On which keys.
    pub keys: RangeInclusive<u8>,
    /// Decibels taken off the instrument's own level, as heard; may be negative.
    pub attenuation: f64,
    /// Cents added.
    pub tuning: f64,
    /// A slide into each note, if any.
    pub glide: Option<Glide>,
}

impl Layer {
    /// The instrument on these keys, unchanged.
    #[must_use]
    pub fn new(instrument: InstrumentId, keys: RangeInclusive<u8>) -> Self {
        Self { instrument, keys, attenuation: 0.0, tuning: 0.0, glide: None }
    }
}

/// What a program change selects.
#[derive(Clone, Debug, PartialEq)]
struct Preset {
    name: String,
    bank: u16,
    program: u16,
    layers: Vec<Layer>,
}

/// A SoundFont in the making.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Bank {
    name: String,
    copyright: String,
    instruments: Vec<Instrument>,
    presets: Vec<Preset>,
}

impl Bank {
    /// An empty bank with the words of its INAM and ICOP chunks.
    #[must_use]
    pub fn new(name: &str, copyright: &str) -> Self {
        Self { name: name.to_owned(), copyright: copyright.to_owned(), ..Self::default() }
    }

    /// Takes an instrument in and says how layers name it.
    pub fn add(&mut self, instrument: Instrument) -> InstrumentId {
        self.instruments.push(instrument);
        InstrumentId(self.instruments.len() - 1)
    }

    /// Adds a preset at a MIDI bank and program (both counted from 0; bank 128
    /// is percussion).
    pub fn preset(&mut self, name: &str, bank: u16, program: u16, layers: Vec<Layer>) {
        self.presets.push(Preset { name: name.to_owned(), bank, program, layers });
    }

    /// The instruments, in the order of adding.
    #[must_use]
    pub fn instruments(&self) -> &[Instrument] {
        &self.instruments
    }

    /// The finished file.
    ///
    /// # Errors
    /// [`Sf2Error`] if a quantity leaves the format's range, a sample full
    /// scale, a loop its sample, or if a zone names nothing.
    pub fn to_bytes(&self) -> Result<Vec<u8>, Sf2Error> {
        let samples = self.instruments.iter().flat_map(|instrument| &instrument.samples);
        let (sample_data, sample_headers) = sample_data::chunks(samples)?;
        let mut instruments = Records::default();
        let mut first_sample = 0;
        for instrument in &self.instruments {
            instruments.header(&name(&instrument.name), &[])?;
            for zone in &instrument.zones {
                let sample = instrument
                    .samples
                    .get(zone.sample.0)
                    .ok_or_else(|| Sf2Error::Missing(instrument.name.clone()))?;
                let number = first_sample + zone.sample.0;
                instruments.zone(&generators::zone_settings(zone, number, sample.root_key)?);
            }
            first_sample += instrument.samples.len();
        }
        instruments.header(&name("EOI"), &[])?;
        let mut presets = Records::default();
        let mut in_order: Vec<&Preset> = self.presets.iter().collect();
        in_order.sort_by_key(|preset| (preset.bank, preset.program));
        for preset in in_order {
            let mut head = name(&preset.name).to_vec();
            head.extend(preset.program.to_le_bytes());
            head.extend(preset.bank.to_le_bytes());
            // Library, genre, morphology: reserved by the specification.
            presets.header(&head, &[0; 12])?;
            for layer in &preset.layers {
                presets.zone(&self.layer_settings(preset, layer)?);
            }
        }
        let mut end = name("EOP").to_vec();
        end.extend([0; 4]);
        presets.header(&end, &[0; 12])?;

        let info = list(
            b"LIST",
            b"INFO",
            &[
                chunk(b"ifil", &[2, 0, 1, 0]),
                chunk(b"isng", &text("EMU8000")),
                chunk(b"INAM", &text(&self.name)),
                chunk(b"ICOP", &text(&self.copyright)),
            ],
        );
        let [phdr, pbag, pgen] = presets.finish()?;
        let [inst, ibag, igen] = instruments.finish()?;
        let data = list(b"LIST", b"sdta", &[chunk(b"smpl", &sample_data)]);
        let records = list(
            b"LIST",
            b"pdta",
            &[
                chunk(b"phdr", &phdr),
                chunk(b"pbag", &pbag),
                chunk(b"pmod", &[0; 10]),
                chunk(b"pgen", &pgen),
                chunk(b"inst", &inst),
                chunk(b"ibag", &ibag),
                chunk(b"imod", &[0; 10]),
                chunk(b"igen", &igen),
                chunk(b"shdr", &sample_headers),
            ],
        );
        Ok(list(b"RIFF", b"sfbk", &[info, data, records]))
    }

    fn layer_settings(&self, preset: &Preset, layer: &Layer) -> Result<Vec<Setting>, Sf2Error> {
        if layer.instrument.0 >= self.instruments.len() {
            return Err(Sf2Error::Missing(preset.name.clone()));
        }
        let (low, high) = (*layer.keys.start(), *layer.keys.end());
        let mut settings = vec![generators::range(Generator::KeyRange, low, high)];
        if layer.attenuation.abs() > 0.0 {
            settings.push(generators::added_attenuation(layer.attenuation)?);
        }
        if layer.tuning.round().abs() > 0.0 {
            settings.push(generators::quantity(Generator::FineTuning, layer.tuning)?);
        }
        if let Some(glide) = &layer.glide {
            settings.extend(generators::glide_settings(glide)?);
        }
        settings.push(generators::count(Generator::Instrument, layer.instrument.0)?);
        Ok(settings)
    }
}

/// Headers, zones and generators of presets or instruments, which the format
/// keeps in three parallel lists.
#[derive(Default)]
struct Records {
    headers: Vec<u8>,
    bags: Vec<u8>,
    generators: Vec<u8>,
    zone_count: usize,
}

impl Records {
    /// A header record: `before`, the number of its first zone, `after`.
    fn header(&mut self, before: &[u8], after: &[u8]) -> Result<(), Sf2Error> {
        self.headers.extend(before);
        self.headers.extend(index(self.zone_count, "zones")?);
        self.headers.extend(after);
        Ok(())
    }

    fn zone(&mut self, settings: &[Setting]) {
        self.bag();
        self.zone_count += 1;
        for (generator, amount) in settings {
            self.generators.extend((*generator as u16).to_le_bytes());
            self.generators.extend(amount);
        }
    }

    /// A bag record: number of its first generator, no modulators. Numbers that
    /// overflow are found in [`Records::finish`].
    fn bag(&mut self) {
        let first = u16::try_from(self.generators.len() / 4).unwrap_or(u16::MAX);
        self.bags.extend(first.to_le_bytes());
        self.bags.extend([0, 0]);
    }

    /// The three chunks' bodies with their terminal records.
    fn finish(mut self) -> Result<[Vec<u8>; 3], Sf2Error> {
        index(self.generators.len() / 4, "generators")?;
        self.bag();
        self.generators.extend([0; 4]);
        Ok([self.headers, self.bags, self.generators])
    }
}

fn index(count: usize, what: &'static str) -> Result<[u8; 2], Sf2Error> {
    u16::try_from(count).map(u16::to_le_bytes).map_err(|_| Sf2Error::TooMany { what, count })
}

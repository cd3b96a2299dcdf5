//! Small SoundFonts made for a test.

#![expect(clippy::cast_possible_truncation, reason = "numbers of a test, all within range")]

use std::io::Cursor;

use crate::sound::SoundFont;
use crate::sound::soundfont::Generator;

/// A zone: a sample and what is set for it.
#[derive(Debug, Clone)]
pub(crate) struct Zone {
    pub(crate) sample: usize,
    pub(crate) settings: Vec<(Generator, i32)>,
}

#[derive(Debug, Clone)]
pub(crate) struct Sample {
    pub(crate) data: Vec<i16>,
    pub(crate) looped: std::ops::Range<u32>,
    pub(crate) rate: u32,
    pub(crate) root_key: u8,
}

/// One instrument under any number of presets.
#[derive(Debug, Clone, Default)]
pub(crate) struct TinyFont {
    pub(crate) samples: Vec<Sample>,
    pub(crate) zones: Vec<Zone>,
    /// Bank and program.
    pub(crate) presets: Vec<(u16, u16)>,
    /// What it says that it is called.
    pub(crate) name: &'static str,
}

/// The two ends of a key or velocity range as a setting has them.
pub(crate) fn range(low: u8, high: u8) -> i32 {
    i16::from_le_bytes([low, high]).into()
}

/// A sine, full scale 1.
pub(crate) fn sine(hertz: f64, amplitude: f64, rate: u32, length: usize) -> Vec<i16> {
    let step = std::f64::consts::TAU * hertz / f64::from(rate);
    (0..length).map(|at| (32_767.0 * amplitude * (step * at as f64).sin()).round() as i16).collect()
}

impl TinyFont {
    /// One preset (the piano's) with one sample that plays once.
    pub(crate) fn of(data: Vec<i16>, rate: u32, root_key: u8) -> TinyFont {
        let sample = Sample { data, looped: 0..0, rate, root_key };
        let zone = Zone { sample: 0, settings: Vec::new() };
        TinyFont { samples: vec![sample], zones: vec![zone], presets: vec![(0, 0)], name: "Tiny" }
    }

    pub(crate) fn with(mut self, generator: Generator, value: i32) -> TinyFont {
        for zone in &mut self.zones {
            zone.settings.push((generator, value));
        }
        self
    }

    pub(crate) fn open(&self) -> SoundFont {
        SoundFont::open(Cursor::new(self.bytes())).unwrap()
    }

    pub(crate) fn bytes(&self) -> Vec<u8> {
        let (mut data, mut headers) = (Vec::new(), Vec::new());
        for sample in &self.samples {
            let start = data.len() as u32 / 2;
            headers.extend(b"sample\0\0\0\0\0\0\0\0\0\0\0\0\0\0");
            let end = start + sample.data.len() as u32;
            let ends = [start, end, start + sample.looped.start, start + sample.looped.end];
            for position in ends.into_iter().chain([sample.rate]) {
                headers.extend(position.to_le_bytes());
            }
            headers.extend([sample.root_key, 0, 0, 0, 1, 0]);
            data.extend(sample.data.iter().flat_map(|x| x.to_le_bytes()));
            data.extend([0; 92]);
        }
        headers.extend([0; 46]);
        let (mut bags, mut generators) = (Vec::new(), Vec::new());
        for zone in &self.zones {
            bags.extend([(generators.len() / 4) as u16, 0].map(u16::to_le_bytes).concat());
            // Ranges first, as the specification asks.
            let mut settings = zone.settings.clone();
            settings.sort_by_key(|(generator, _)| {
                !matches!(generator, Generator::KeyRange | Generator::VelocityRange)
            });
            settings.push((Generator::SampleId, zone.sample as i32));
            for (generator, value) in settings {
                generators.extend((generator as u16).to_le_bytes());
                generators.extend((value as i16).to_le_bytes());
            }
        }
        bags.extend([(generators.len() / 4) as u16, 0].map(u16::to_le_bytes).concat());
        generators.extend([0; 4]);
        let instruments =
            [named("tiny", &[0, 0]), named("EOI", &(self.zones.len() as u16).to_le_bytes())];
        let mut presets = Vec::new();
        let (mut preset_bags, mut preset_generators) = (Vec::new(), Vec::new());
        for (number, (bank, program)) in self.presets.iter().enumerate() {
            let place = [*program, *bank, number as u16].map(u16::to_le_bytes).concat();
            presets.extend(named("tiny", &[place, vec![0; 12]].concat()));
            preset_bags.extend([number as u16, 0].map(u16::to_le_bytes).concat());
            preset_generators
                .extend([Generator::Instrument as u16, 0].map(u16::to_le_bytes).concat());
        }
        let count = self.presets.len() as u16;
        presets.extend(named(
            "EOP",
            &[[0, 0, count].map(u16::to_le_bytes).concat(), vec![0; 12]].concat(),
        ));
        preset_bags.extend([count, 0].map(u16::to_le_bytes).concat());
        preset_generators.extend([0; 4]);

        let name = named(self.name, &[]);
        let info = [chunk(b"ifil", &[2, 0, 4, 0]), chunk(b"INAM", &name), chunk(b"ICOP", b"CC0\0")];
        let tables: [(&[u8; 4], &[u8]); 9] = [
            (b"phdr", &presets),
            (b"pbag", &preset_bags),
            (b"pmod", &[0; 10]),
            (b"pgen", &preset_generators),
            (b"inst", &instruments.concat()),
            (b"ibag", &bags),
            (b"imod", &[0; 10]),
            (b"igen", &generators),
            (b"shdr", &headers),
        ];
        let tables = tables.map(|(name, content)| chunk(name, content)).concat();
        let lists = [
            chunk(b"LIST", &[b"INFO".to_vec(), info.concat()].concat()),
            chunk(b"LIST", &[b"sdta".to_vec(), chunk(b"smpl", &data)].concat()),
            chunk(b"LIST", &[b"pdta".to_vec(), tables].concat()),
        ];
        chunk(b"RIFF", &[b"sfbk".to_vec(), lists.concat()].concat())
    }
}

fn named(name: &str, rest: &[u8]) -> Vec<u8> {
    let mut bytes = name.as_bytes().to_vec();
    bytes.resize(20, 0);
    bytes.extend(rest);
    bytes
}

fn chunk(name: &[u8; 4], content: &[u8]) -> Vec<u8> {
    [name.to_vec(), (content.len() as u32).to_le_bytes().to_vec(), content.to_vec()].concat()
}

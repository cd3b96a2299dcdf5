//! Finished mixes: how loud they are, by an independent meter, and what they are made of.

use crate::support::{Sines, Tape, largest_difference, take};

use std::sync::atomic::{AtomicUsize, Ordering};

use countoff::mix::{
    Balance, CEILING, Extent, LevelRule, LoudnessMeter, MixError, MixSettings, MixSpec, RoomSource,
    StemSource, Studio, TakeReport, render,
};
use countoff::performance::Part::{self, Bass, Click, Comp, CountIn, Drums, Line};
use countoff::performance::{Performance, PerformedPart};
use countoff::units::{Frames, SampleRate};

const TRIO: [Part; 3] = [Comp, Bass, Drums];
const ALL: [Part; 5] = [Comp, Bass, Drums, Click, CountIn];

fn sines(settings: &MixSettings) -> Sines {
    Sines { rate: settings.rate, amplitude: 0.2, has_room: true, drum_decay: 20.0 }
}

fn mixed(bars: i64, mixes: &[MixSpec], settings: &MixSettings) -> (TakeReport, Vec<Tape>) {
    let take = take(bars, &ALL);
    render(&take, &sines(settings), mixes, settings, |_, _| Ok(Tape::default())).unwrap()
}

/// Integrated loudness and true peak by the `ebur128` library.
fn measured(tape: &Tape, rate: SampleRate) -> (f64, f64) {
    let mode = ebur128::Mode::I | ebur128::Mode::TRUE_PEAK;
    let mut meter = ebur128::EbuR128::new(2, rate.hz(), mode).unwrap();
    meter.add_frames_f32(&tape.interleaved()).unwrap();
    let peak = meter.true_peak(0).unwrap().max(meter.true_peak(1).unwrap());
    (meter.loudness_global().unwrap(), 20.0 * peak.log10())
}

/// AES TD1008 (2021): -16 LUFS for music tracks, -1 dBTP; the tolerance of 0.2 LU is ours.
#[test]
fn a_trio_and_a_comp_alone_are_as_loud_as_they_should_be() {
    for rate in [SampleRate::Hz44100, SampleRate::Hz48000] {
        let settings = MixSettings { rate, ..MixSettings::default() };
        for parts in [&TRIO[..], &TRIO[..1]] {
            let (report, tapes) = mixed(8, &[MixSpec::of(parts)], &settings);
            let (loudness, peak) = measured(&tapes[0], rate);
            assert!((loudness + 16.0).abs() < 0.2, "{loudness} LUFS at {rate:?}, {report:?}");
            assert!(peak <= CEILING.0, "{peak} dBTP");
            let mix = &report.mixes[0];
            assert!((loudness - mix.loudness.0).abs() < 0.01);
            assert!((peak - mix.true_peak.0).abs() < 0.05);
            assert_eq!(mix.frames.0, tapes[0].left.len() as u64);
            assert_eq!(mix.short_of_target, None);
        }
    }
}

#[test]
fn the_programme_is_levelled_without_click_and_count_in() {
    // Low enough for the limiter to leave both alone.
    let settings = MixSettings { target: -20.0, ..MixSettings::default() };
    let (report, tapes) = mixed(8, &[MixSpec::of(&TRIO), MixSpec::of(&ALL)], &settings);
    let [plain, clicked] = [&report.mixes[0], &report.mixes[1]];
    assert!((plain.programme.0 + 20.0).abs() < 0.2);
    assert!((clicked.programme.0 - plain.programme.0).abs() < 0.05, "{report:?}");
    assert!(clicked.loudness > clicked.programme);
    for (tape, mix) in tapes.iter().zip(&report.mixes) {
        let (loudness, _) = measured(tape, settings.rate);
        assert!((loudness - mix.loudness.0).abs() < 0.01, "{loudness} against {mix:?}");
    }
}

/// A count-in sounds in the first bar only, and the meters must part and join again around it.
#[test]
fn a_file_with_a_count_in_is_measured_as_a_whole() {
    let settings = MixSettings::default();
    let (report, tapes) = mixed(8, &[MixSpec::of(&[Comp, Bass, CountIn])], &settings);
    let (loudness, _) = measured(&tapes[0], settings.rate);
    let mix = &report.mixes[0];
    assert!((loudness - mix.loudness.0).abs() < 0.01, "{loudness} against {mix:?}");
    assert!((mix.programme.0 + 16.0).abs() < 0.2);
    assert!(mix.loudness > mix.programme);
}

#[test]
fn peaks_beyond_the_limiters_reach_leave_a_file_quieter_and_the_report_says_so() {
    let settings = MixSettings::default();
    // Strokes of some milliseconds, so that their peaks tower over the loudness.
    let sticks = Sines { drum_decay: 240.0, ..sines(&settings) };
    let mixes = [MixSpec::of(&[Drums])];
    let open = |_, _| Ok(Tape::default());
    let (report, tapes) = render(&take(4, &ALL), &sticks, &mixes, &settings, open).unwrap();
    let mix = &report.mixes[0];
    let short = mix.short_of_target.unwrap().0;
    let (loudness, peak) = measured(&tapes[0], settings.rate);
    assert!(peak <= CEILING.0, "{peak} dBTP");
    assert!((-16.0 - loudness - short).abs() < 0.3, "{loudness} LUFS, {short} short");
    assert!(mix.limiter.deepest.0 > 2.5 && mix.limiter.deepest.0 <= 3.05, "{mix:?}");
    assert!(mix.limiter_share() > 0.0 && mix.limiter_share() < 1.0);
}

#[test]
fn mixes_share_the_gain_of_the_fullest_or_get_their_own() {
    let mixes = [MixSpec::of(&[Bass, Drums]), MixSpec::of(&TRIO)];
    let shared = mixed(4, &mixes, &MixSettings::default()).0;
    assert_eq!(shared.mixes[0].gain, shared.mixes[1].gain);
    assert!((shared.mixes[1].programme.0 + 16.0).abs() < 0.2);
    assert!(shared.mixes[0].programme < shared.mixes[1].programme);

    let settings = MixSettings { level: LevelRule::Each, ..MixSettings::default() };
    for mix in mixed(4, &mixes, &settings).0.mixes {
        assert!((mix.programme.0 + 16.0).abs() < 0.2, "{mix:?}");
    }
}

/// What the click adds, by subtraction of two mixes that no limiter touched.
#[test]
fn the_click_lies_under_the_programme_and_keeps_its_peak() {
    let settings = MixSettings { target: -23.0, ..MixSettings::default() };
    let pulses = [Click, CountIn].map(|pulse| {
        let mixes = [MixSpec::of(&[Comp, Bass]), MixSpec::of(&[Comp, Bass, pulse])];
        let (report, tapes) = mixed(8, &mixes, &settings);
        assert!(report.mixes.iter().all(|mix| mix.limiter.deepest.0.abs() < 1e-9));
        let pulse = tapes[1].minus(&tapes[0]);
        let mut meter = LoudnessMeter::new(settings.rate);
        meter.add(&pulse.left, &pulse.right);
        let under = report.mixes[1].programme.0 - meter.loudest_moment().0;
        (under, 20.0 * pulse.peak(0..pulse.left.len()).log10())
    });
    let [(click, click_peak), (count_in, _)] = pulses;
    assert!((6.0..=12.0).contains(&click), "the click is {click} LU under the programme");
    assert!(click_peak <= -6.0, "{click_peak} dBFS");
    assert!(count_in >= 0.0, "the count-in is {count_in} LU under the programme");
}

/// With only one soft player beside it the click must go down with the player.
#[test]
fn the_click_fits_the_leaner_mixes_too() {
    let settings = MixSettings::default();
    let mixes = [MixSpec::of(&TRIO), MixSpec::of(&[Drums]), MixSpec::of(&[Drums, Click])];
    let (report, tapes) = mixed(8, &mixes, &settings);
    let softer = report.mixes[0].programme.0 - report.mixes[1].programme.0;
    assert!(settings.click_under.0 - softer < 6.0, "the band's click does not fit: {softer}");
    let click = tapes[2].minus(&tapes[1]);
    let mut meter = LoudnessMeter::new(settings.rate);
    meter.add(&click.left, &click.right);
    let under = report.mixes[2].programme.0 - meter.loudest_moment().0;
    assert!((6.0..=12.0).contains(&under), "{under} LU under");
}

#[test]
fn a_click_alone_and_silence_are_not_normalised() {
    let (report, tapes) =
        mixed(4, &[MixSpec::of(&[Click]), MixSpec::of(&[Line])], &MixSettings::default());
    assert!(report.mixes.iter().all(|mix| mix.gain.0.abs() < 1e-12));
    let peak = tapes[0].peak(0..tapes[0].left.len());
    assert!(peak > 0.05 && 20.0 * peak.log10() <= -6.0, "{peak}");
    assert!(report.mixes[1].loudness.is_silent());
    assert!(tapes[1].peak(0..tapes[1].left.len()).abs() < 1e-12);
}

/// To the rounding of single precision, -120 dBFS.
#[test]
fn stems_sum_to_the_mix_before_its_limiter() {
    let settings = MixSettings { target: -20.0, ..MixSettings::default() };
    let stem = |part| MixSpec { stem: true, ..MixSpec::of(&[part]) };
    let mixes = [MixSpec::of(&TRIO), stem(Comp), stem(Bass), stem(Drums)];
    let (report, tapes) = mixed(4, &mixes, &settings);
    assert!(report.mixes[0].limiter.deepest.0.abs() < 1e-9, "no limiter in the way");
    assert!(report.mixes.iter().all(|mix| mix.gain == report.mixes[0].gain));
    let sum = tapes[1].plus(&tapes[2]).plus(&tapes[3]);
    let fade = tapes[0].left.len() - 2_205;
    assert!(largest_difference(&sum, &tapes[0], 0..fade) < 1e-6);
}

#[test]
fn stems_without_a_mix_carry_the_gain_of_all_of_them_together() {
    let settings = MixSettings { target: -23.0, ..MixSettings::default() };
    let stem = |part| MixSpec { stem: true, ..MixSpec::of(&[part]) };
    let (report, tapes) = mixed(4, &[stem(Comp), stem(Bass)], &settings);
    let (loudness, _) = measured(&tapes[0].plus(&tapes[1]), settings.rate);
    assert!((loudness + 23.0).abs() < 0.2, "{loudness} LUFS, {report:?}");
}

#[test]
fn no_stem_has_a_peak_above_the_ceiling() {
    let stem = |part| MixSpec { stem: true, ..MixSpec::of(&[part]) };
    let (_, tapes) = mixed(4, &[MixSpec::of(&TRIO), stem(Drums)], &MixSettings::default());
    let (_, peak) = measured(&tapes[1], SampleRate::Hz44100);
    assert!(peak <= CEILING.0 + 0.05, "{peak} dBTP");
}

#[test]
fn a_balance_mix_puts_one_part_on_a_side_and_drums_in_the_middle() {
    let settings = MixSettings::default();
    let balance = Some(Balance { part: Comp, amount: -1.0 });
    let only = |part| MixSpec { balance, ..MixSpec::of(&[part]) };
    let (_, tapes) = mixed(2, &[only(Comp), only(Bass), only(Drums)], &settings);
    let power = |samples: &[f32]| samples.iter().map(|sample| sample * sample).sum::<f32>();
    let [comp, bass, drums] =
        [0, 1, 2].map(|mix| (power(&tapes[mix].left), power(&tapes[mix].right)));
    assert!(comp.1 < 1e-9 * comp.0, "the comp is on the left");
    assert!(bass.0 < 1e-9 * bass.1, "the rest on the right");
    assert!((0.5..2.0).contains(&(drums.0 / drums.1)), "drums in the middle");
}

/// Below -80 dBFS where the last fade begins, and silent at the end.
#[test]
fn a_file_ends_in_silence_not_in_a_cut() {
    let (report, tapes) =
        mixed(2, &[MixSpec::of(&TRIO), MixSpec::of(&[Comp])], &MixSettings::default());
    assert_eq!(report.mixes[0].frames, report.mixes[1].frames);
    for tape in &tapes {
        let frames = tape.left.len();
        assert!(tape.peak(frames - 2_205..frames) < 1e-4);
        assert!(tape.peak(frames - 1..frames) < 1e-8);
        assert!(tape.peak(frames - 22_050..frames - 2_205) > 1e-6, "not needlessly long");
    }
}

/// A loop is cut from the middle of a longer playing: its second time through, twice in a row, is
/// what a longer cut has there, limiter included. One room, no click: nothing else sets the gain.
#[test]
fn a_cut_is_what_a_longer_cut_has_there() {
    // Seven pitches and five velocities in turn, the comp every second quarter.
    let period = 70 * 22_050;
    let cut = |from: u64, to: u64| {
        let extent = Extent::Cut { from: Frames(from), to: Frames(to) };
        let settings = MixSettings { extent, ..MixSettings::default() };
        let (report, mut tapes) = mixed(60, &[MixSpec::of(&TRIO)], &settings);
        (report.mixes[0], tapes.remove(0))
    };
    let (report, second) = cut(period, 2 * period);
    let (_, both) = cut(period, 3 * period);
    assert_eq!(report.frames, Frames(period));
    assert!(report.limiter.deepest.0 > 0.1, "the limiter is at work: {report:?}");
    let length = usize::try_from(period).unwrap();
    let third = Tape { left: both.left[length..].to_vec(), right: both.right[length..].to_vec() };
    // The gains of the two cuts agree to the rounding of their loudness.
    assert!(largest_difference(&second, &both, 0..length) < 1e-3);
    assert!(largest_difference(&second, &third, 0..length) < 1e-3);
}

#[test]
fn an_empty_cut_is_an_error() {
    let extent = Extent::Cut { from: Frames(9), to: Frames(9) };
    let settings = MixSettings { extent, ..MixSettings::default() };
    let open = |_, _| Ok(Tape::default());
    let mixes = [MixSpec::of(&TRIO)];
    let error = render(&take(1, &ALL), &sines(&settings), &mixes, &settings, open);
    assert!(error.unwrap_err().to_string().contains("frame 9"));
}

#[test]
fn threads_and_company_change_no_sample() {
    let mixes = [MixSpec::of(&ALL), MixSpec::of(&[Bass, Drums, CountIn]), MixSpec::of(&[Comp])];
    let alone = mixed(4, &mixes, &MixSettings::default());
    let settings = MixSettings { player_thread: true, ..MixSettings::default() };
    let ahead = mixed(4, &mixes, &settings);
    assert_eq!(ahead.0, alone.0);
    assert!(ahead.1 == alone.1);
}

/// Sines that are to stop once so many blocks were asked for.
struct Stopping {
    sines: Sines,
    asked: AtomicUsize,
    stops_after: usize,
}

impl Studio for Stopping {
    fn stem(
        &self,
        take: &Performance,
        part: &PerformedPart,
    ) -> Result<Box<dyn StemSource>, String> {
        self.sines.stem(take, part)
    }

    fn room(&self) -> Box<dyn RoomSource> {
        self.sines.room()
    }

    fn is_stopped(&self) -> bool {
        self.asked.fetch_add(1, Ordering::Relaxed) >= self.stops_after
    }
}

/// While it is measured, which is about the first half of all blocks, and while it is mixed.
#[test]
fn a_take_stops_at_the_block_where_it_is_asked_to() {
    for player_thread in [false, true] {
        let settings = MixSettings { player_thread, ..MixSettings::default() };
        let opened = AtomicUsize::new(0);
        let mixed = |stops_after| {
            let (sines, asked) = (sines(&settings), AtomicUsize::new(0));
            let studio = Stopping { sines, asked, stops_after };
            opened.store(0, Ordering::Relaxed);
            let open = |_, _| {
                opened.fetch_add(1, Ordering::Relaxed);
                Ok(Tape::default())
            };
            let mixes = [MixSpec::of(&ALL)];
            let made = render(&take(2, &ALL), &studio, &mixes, &settings, open).map(|_| ());
            (made, studio.asked.into_inner(), opened.load(Ordering::Relaxed))
        };
        let (made, blocks, _) = mixed(usize::MAX);
        made.unwrap();
        for (stops_after, is_open) in [(blocks / 4, false), (blocks * 3 / 4, true)] {
            let (made, asked, opened) = mixed(stops_after);
            assert!(matches!(made, Err(MixError::Stopped)), "block {stops_after} of {blocks}");
            assert_eq!(asked, stops_after + 1);
            assert_eq!(opened > 0, is_open, "block {stops_after} of {blocks}");
        }
    }
}

#[test]
fn a_sink_that_fails_is_named() {
    let settings = MixSettings::default();
    let full = || std::io::Error::from(std::io::ErrorKind::StorageFull);
    let mixes = [MixSpec::of(&TRIO), MixSpec::of(&[Comp])];
    let failed = render(&take(1, &ALL), &sines(&settings), &mixes, &settings, |mix, _| {
        if mix == 1 { Err(full()) } else { Ok(Tape::default()) }
    });
    assert!(failed.unwrap_err().to_string().contains("mix 1"));
}

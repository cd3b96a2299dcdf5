//! How cost grows with the work: bars from 10 to 100,000, tracks from 1 to 1,000.
//!
//!     cargo bench --bench growth
//!
//! prints seconds and the exponent of growth, the slope of the best straight line through the
//! logarithms of both: 1 is in proportion, 2 is with the square. The smallest sizes are left out
//! of the line, since what does not grow at all hides there what does.

#![allow(clippy::unwrap_used, clippy::print_stdout, reason = "a measurement, run by hand")]

use std::fmt::Write;
use std::hint::black_box;
use std::time::Instant;

use countoff::lesson::{Lesson, NoNeighbours};
use countoff::plan::Plan;
use countoff::style::Library;

const HEAD: &str = "format = 1\ntitle = \"Growth\"\ntempos = [144]\n";
const FOUR_BARS: &str = "| Am7b5 | D7b9 | Gm6 | Cm7 F7 ";

fn chart(bars: usize) -> String {
    format!(
        "[[chart]]\nname = \"c\"\nkey = \"Gm\"\nA = \"{}|\"\n",
        FOUR_BARS.repeat(bars.div_ceil(4))
    )
}

fn track(number: usize, players: &str) -> String {
    format!("[[track]]\nname = \"t{number}\"\nchart = \"c\"\n{players}\n")
}

fn lesson(text: &str) -> Lesson {
    match Lesson::read("growth", text, &NoNeighbours, &Library::built_in()) {
        Ok(lesson) => lesson,
        Err(problems) => panic!("{:?}", problems.problems),
    }
}

/// The shortest of three runs, in seconds.
fn seconds<T>(mut work: impl FnMut() -> T) -> f64 {
    let mut best = f64::INFINITY;
    for _ in 0..3 {
        let begun = Instant::now();
        black_box(work());
        best = best.min(begun.elapsed().as_secs_f64());
    }
    best
}

/// The slope of the least-squares line through the logarithms.
fn exponent(points: &[(f64, f64)]) -> f64 {
    let points: Vec<(f64, f64)> = points.iter().map(|(x, y)| (x.ln(), y.ln())).collect();

    let count = points.len() as f64;
    let mean = |of: fn(&(f64, f64)) -> f64| points.iter().map(of).sum::<f64>() / count;
    let (x, y) = (mean(|point| point.0), mean(|point| point.1));
    let above: f64 = points.iter().map(|point| (point.0 - x) * (point.1 - y)).sum();
    let below: f64 = points.iter().map(|point| (point.0 - x).powi(2)).sum();
    above / below
}

fn table(work: &str, sizes: &[usize], mut run: impl FnMut(usize) -> f64) {
    let mut row = format!("| {work} |");
    let mut points = Vec::new();
    for size in sizes {
        let seconds = run(*size);
        let _ = write!(row, " {size}: {:.5} s |", seconds);

        points.push((*size as f64, seconds));
    }
    println!("{row} **{:.2}** |", exponent(&points[points.len() - 3..]));
}

fn main() {
    let library = Library::built_in();
    // A take may have 20,000 bars; more of them are more takes.
    let bars = [100, 1_000, 10_000, 100_000];
    let players = [
        ("comp", "comp = \"rootless\""),
        ("bass", "bass = \"walking\""),
        ("drums", "drums = \"ride\""),
    ];
    table("lesson read, by bars", &[10, 100, 1_000], |bars| {
        let text = format!("{HEAD}{}{}", chart(bars), track(1, players[0].1));
        seconds(|| lesson(&text))
    });
    for (name, player) in players {
        table(&format!("{name} planned, by bars"), &bars, |bars| {
            let (once, takes) = (bars.min(1_000), bars.div_ceil(10_000));
            let choruses = format!("choruses = {}\n", bars / takes / once);
            let tracks = (1..=takes).map(|number| track(number, player) + &choruses);
            let lesson = lesson(&format!("{HEAD}{}{}", chart(once), tracks.collect::<String>()));
            seconds(|| Plan::of(&lesson, &library, |_| true).unwrap())
        });
    }
    let tracks = [1, 10, 100, 1_000];
    let text = |count: usize| {
        let tracks: String = (1..=count).map(|number| track(number, players[0].1)).collect();
        format!("{HEAD}{}{tracks}", chart(12))
    };
    table("lesson read, by tracks", &tracks, |tracks| {
        let text = text(tracks);
        seconds(|| lesson(&text))
    });
    table("lesson planned, by tracks", &tracks, |tracks| {
        let lesson = lesson(&text(tracks));
        seconds(|| Plan::of(&lesson, &library, |_| true).unwrap())
    });
}

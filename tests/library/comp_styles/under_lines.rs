//! The left hand under composed lines.

use countoff::lesson::{Lesson, NoNeighbours};
use countoff::melody::Technique;
use countoff::part::Note;
use countoff::performance::Part;
use countoff::plan::Plan;
use countoff::style::Library;

/// Below every note that sounds with it, unless the player says that no voicing keeps all rules.
#[test]
fn the_hand_stays_clear_of_lines_in_every_technique() {
    let library = Library::built_in();
    let (mut all, mut given_up) = (0, 0);
    for technique in Technique::ALL {
        for (seed, style) in ["shells", "guide-tones", "rootless"].into_iter().enumerate() {
            let text = format!(
                r#"
                format = 1
                title = "Under a line"
                tempos = [120]
                [[chart]]
                name = "c"
                key = "Gm"
                A = "| Am7b5 | D7b9 | Gm6 | Cm7 F7 | Bbmaj7 | Ebmaj7 | Am7b5 D7 | Gm6 |"
                [[line]]
                name = "l"
                chart = "c"
                technique = "{technique}"
                seed = {seed}
                [[track]]
                name = "t"
                chart = "c"
                line = "l"
                comp = "{style}"
                "#
            );
            let lesson = Lesson::read("lesson.toml", &text, &NoNeighbours, &library);
            let lesson = lesson.unwrap_or_else(|problems| panic!("{:?}", problems.problems));
            let take = Plan::of(&lesson, &library, |_| true).unwrap().takes.remove(0).notes;
            let warnings = &take.voicings.as_ref().unwrap().warnings;
            let notes = |part| take.hands.iter().find(|hand| hand.part == part).unwrap();
            for comp in &notes(Part::Comp).notes {
                let sounds = |line: &&Note| {
                    line.at < comp.at + comp.length && line.at + line.length > comp.at
                };
                let low =
                    notes(Part::Line).notes.iter().filter(sounds).map(|line| line.pitch).min();
                let Some(low) = low else { continue };
                all += 1;
                if comp.pitch >= low {
                    given_up += 1;
                    assert!(
                        !warnings.is_empty(),
                        "{technique}, {style}: {} under {low}",
                        comp.pitch
                    );
                }
            }
        }
    }
    assert!(all > 1_000 && given_up * 50 < all, "{given_up} of {all} notes");
}

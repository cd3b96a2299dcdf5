use proptest::prelude::*;

use super::*;
use crate::part::test_timeline::{Case, any_case};

fn energies_of_choruses(arc: EnergyArc, choruses: u32) -> Vec<u8> {
    let timeline = Case::plain("C6 | A7 | Dm7 | G7", choruses).timeline();
    let plan = BandPlan::of(&timeline, arc, &[]);
    let first_bars = timeline
        .bars
        .iter()
        .enumerate()
        .filter(|(_, bar)| bar.kind == BarKind::Chorus && bar.form_bar == 0);
    first_bars.map(|(index, _)| plan.bar(index).energy.percent()).collect()
}

/// "A chorus of build is at least 1.5 LU louder than the first by its top": velocity counts
/// 40 log10 in our synth.
#[test]
fn build_climbs_and_comes_back_where_it_is_asked_to() {
    for choruses in [2, 3, 5, 12] {
        let build = energies_of_choruses(EnergyArc::Build, choruses);
        assert!(build.is_sorted_by(|one, next| one < next), "{build:?}");
        let [first, last] = [build[0], build[build.len() - 1]]
            .map(|energy| f64::from(Energy(energy).velocity_percent()));
        assert!(choruses == 2 || 40.0 * (last / first).log10() >= 1.5, "{first} to {last}");
        let back = energies_of_choruses(EnergyArc::BuildAndComeBack, choruses);
        let top = back.iter().max().unwrap();
        assert!(choruses == 2 || back.last() == back.first() && *top > back[0], "{back:?}");
    }
    assert_eq!(energies_of_choruses(EnergyArc::Level, 4), [50; 4]);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// No bar jumps: by 9 % of velocity, 1.5 dB, at the most.
    #[test]
    fn no_bar_jumps(case in any_case(), arc in proptest::sample::select(vec![
        EnergyArc::Level, EnergyArc::Build, EnergyArc::BuildAndComeBack,
    ])) {
        let plan = BandPlan::of(&case.timeline(), arc, &[]);
        let percent: Vec<i32> =
            plan.bars().iter().map(|bar| bar.energy.velocity_percent()).collect();
        prop_assert_eq!(percent.len(), case.timeline().bars.len());
        prop_assert!(percent.windows(2).all(|two| (two[1] - two[0]).abs() <= 9), "{:?}", percent);
    }
}

#[test]
fn the_form_turns_after_sections_and_choruses_that_are_long_enough() {
    let joints = |chart: &str| -> Vec<Option<Joint>> {
        let plan = BandPlan::level(&Case::plain(chart, 2).timeline());
        plan.bars().iter().skip(1).map(|bar| bar.leads_to).collect()
    };
    let chorus = Some(Joint::Chorus);
    assert_eq!(joints("C | F | G | C"), [None, None, None, chorus, None, None, None, chorus]);
    assert_eq!(joints("C | F"), [None; 4]);
}

//! What one action was worth, as a row of a debrief tells it.

use groundside_engine::marking::{Better, CheckLine, weights};

/// Bits, of which each halves the doubt, in words. The number of repairs in question is another thing: a check
/// that leaves many may still make one of them likely.
fn told(bits: f64) -> &'static str {
    match bits {
        bits if bits < weights::REDUNDANT_BITS => "told nothing new",
        bits if bits < 0.4 => "told a little",
        bits if bits < 0.8 => "ruled out a part",
        bits if bits < 1.3 => "halved the doubt",
        bits if bits < 2.3 => "left a quarter of the doubt",
        bits if bits < 3.3 => "left an eighth of the doubt",
        _ => "left almost no doubt",
    }
}

/// How many repairs a check left in question, of those that were so before.
fn in_question([before, after]: [usize; 2]) -> String {
    match (before, after) {
        (_, 0) => "none left".to_owned(),
        (before, after) if after < before => format!("{after} of {before} left"),
        // A reading that fits none of those in front brings others back.
        (before, after) if after > before => format!("{after} left, {before} before"),
        (_, after) => format!("{after} left"),
    }
}

/// What a check told, in words.
pub(super) fn told_in_words(line: &CheckLine) -> String {
    let left = in_question(line.suspects);
    match line.repeats {
        true => format!("a repeat, told nothing new, {left}"),
        false => format!("{}, {left}", told(line.bits)),
    }
}

/// A check that is named before it is made, in words.
pub(super) fn next_in_words(better: &Better) -> String {
    let first = match &better.first[..] {
        [] => String::new(),
        steps => format!("{}; then ", steps.join("; ")),
    };
    let Better {
        check,
        bits,
        minutes,
        ..
    } = better;
    format!("{first}{check}, in {minutes} min for {bits:.1} bit, of which each halves the doubt")
}

/// What an action was worth, in words.
pub(super) fn worth(line: &CheckLine) -> String {
    let left = in_question(line.suspects);
    let chance = line.repair_chance.unwrap_or(0.0) * 100.0;
    let mut text = if line.consequence {
        "  put right what the work itself had spoilt".to_owned()
    } else if line.is_hint {
        "  a hint".to_owned()
    } else if line.explains {
        format!("  explained, {chance:.0} % sure by your readings")
    } else if line.is_repair {
        format!("  a repair, {chance:.0} % sure by your readings")
    } else if line.verifies {
        "  looked at it afterwards".to_owned()
    } else if line.proves {
        format!("  proved it, {left}")
    } else if line.confirms {
        format!("  confirmed it, {left}")
    } else if line.is_check {
        format!("  {}", told_in_words(line))
    } else if is_told_by_the_way(line) {
        format!("  by the way {}, {left}", told(line.bits))
    } else {
        String::new()
    };
    if line.lost.as_minutes() > weights::TRIFLE_MIN {
        text.push_str(&lost(line));
    }
    text
}

/// Whether something was learnt of what is no check, as of a relay that clicks while a control is set.
pub(super) fn is_told_by_the_way(line: &CheckLine) -> bool {
    !line.is_check && !line.is_repair && line.bits >= weights::REDUNDANT_BITS
}

/// Minutes lost; of what they are lost, where they are more than those of the line.
fn lost(line: &CheckLine) -> String {
    let lost = line.lost.as_minutes();
    if lost <= line.minutes.as_minutes() + 0.05 {
        format!(", lost {lost:.1} min")
    } else if line.is_repair {
        format!(", lost {lost:.1} min with its price and what was likely to follow")
    } else {
        format!(", lost {lost:.1} min with what led up to it")
    }
}

/// A check that would have told more, in words; what comes before the check that was named last is not told again.
pub(super) fn better_in_words(line: &CheckLine, better: &Better, again: bool) -> String {
    // What a dear check is held beside is seen by the minutes of both.
    let beside = match line.is_check && line.led_up > better.minutes {
        true => format!("; this took {}", line.led_up),
        false => String::new(),
    };
    // It is named for something that it was likely to tell, be it little.
    let worth = format!(
        "(would have {} in {} min{beside})",
        told(better.bits.max(weights::REDUNDANT_BITS)),
        better.minutes
    );
    if again {
        return format!("still {} {worth}", better.check);
    }
    let first = match &better.first[..] {
        [] => String::new(),
        steps => format!("{}; then ", steps.join("; ")),
    };
    format!("{first}{} {worth}", better.check)
}

#[cfg(test)]
mod tests {
    use super::*;
    use groundside_engine::quantity::Minutes;

    /// A check of 4.5 min that told nothing.
    fn check() -> CheckLine {
        CheckLine {
            is_check: true,
            minutes: Minutes::from_hundredths(450),
            led_up: Minutes::from_hundredths(920),
            suspects: [3, 4],
            ..CheckLine::default()
        }
    }

    #[test]
    fn what_was_learnt_is_told_in_words_that_are_no_list_of_lines() {
        let of = |suspects| {
            worth(&CheckLine {
                suspects,
                ..check()
            })
        };
        assert_eq!(of([4, 10]), "  told nothing new, 10 left, 4 before");
        assert_eq!(of([10, 4]), "  told nothing new, 4 of 10 left");
        assert_eq!(of([4, 4]), "  told nothing new, 4 left");
        assert_eq!(of([2, 0]), "  told nothing new, none left");
    }

    #[test]
    fn what_sees_to_a_vehicle_is_no_repeat() {
        let again = CheckLine {
            repeats: true,
            ..check()
        };
        assert!(worth(&again).contains("a repeat"));
        let afterwards = CheckLine {
            verifies: true,
            ..again
        };
        assert_eq!(worth(&afterwards), "  looked at it afterwards");
    }

    #[test]
    fn minutes_lost_beyond_those_of_the_line_are_explained() {
        let of = |hundredths, is_repair| {
            worth(&CheckLine {
                lost: Minutes::from_hundredths(hundredths),
                is_repair,
                ..check()
            })
        };
        assert!(of(590, false).ends_with(", lost 5.9 min with what led up to it"));
        assert!(of(440, false).ends_with(", lost 4.4 min"));
        assert!(of(3000, true).ends_with(" with its price and what was likely to follow"));
    }

    #[test]
    fn a_dear_check_is_told_beside_the_minutes_of_the_better_one() {
        let better = Better {
            first: Vec::new(),
            check: "look blades".to_owned(),
            bits: 1.0,
            minutes: Minutes::from_hundredths(50),
        };
        assert_eq!(
            better_in_words(&check(), &better, false),
            "look blades (would have halved the doubt in 0.5 min; this took 9.2)"
        );
    }

    #[test]
    fn a_relay_that_is_heard_by_the_way_is_told_and_is_no_check() {
        let set = CheckLine {
            is_check: false,
            bits: 0.5,
            ..check()
        };
        assert_eq!(
            worth(&set),
            "  by the way ruled out a part, 4 left, 3 before"
        );
        assert_eq!(worth(&CheckLine { bits: 0.0, ..set }), "");
    }
}

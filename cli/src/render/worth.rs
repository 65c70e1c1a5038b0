//! What one action was worth, as a row of a debrief tells it.

use groundside_engine::marking::{Better, CheckLine, weights};

/// Change of a belief from which likelihoods are said to have changed.
const MOVED: f64 = 0.02;

/// Bits, of which each halves what is possible, in words; below zero where a reading left more in doubt than before.
fn told(bits: f64) -> &'static str {
    match bits {
        bits if bits <= -0.4 => "spoke against what was likely",
        bits if bits <= -weights::REDUNDANT_BITS => "spoke a little against what was likely",
        bits if bits < weights::REDUNDANT_BITS => NOTHING_NEW,
        bits if bits < 0.4 => "told a little",
        bits if bits < HALVED => "lessened the doubt",
        bits if bits < 1.3 => "halved the doubt",
        bits if bits < 2.3 => "left a quarter of the doubt",
        bits if bits < 3.3 => "left an eighth of the doubt",
        _ => "left almost no doubt",
    }
}

/// Words for no bits.
const NOTHING_NEW: &str = "told nothing new";

/// Bits that the number of repairs in question alone would say, as if all of them were alike.
fn bits_by_count([before, after]: [usize; 2]) -> f64 {
    #[expect(clippy::cast_precision_loss, reason = "some dozens of repairs")]
    let count = |repairs: usize| repairs.max(1) as f64;
    (count(before) / count(after)).log2()
}

/// Whether the words for bits go with what the number of repairs alone would say: a half or a quarter is said of both, and
/// that a check told a little, or some, goes with any number that is not far off.
fn agree(bits: f64, by_count: f64) -> bool {
    let is_some = weights::REDUNDANT_BITS..HALVED;
    told(bits) == told(by_count)
        || is_some.contains(&bits) && by_count > 0.0 && by_count < bits + NOT_FAR_OFF
}

/// Bits from which the doubt is called halved.
const HALVED: f64 = 0.8;
/// Bits by which a number of repairs may say more than words that name no share.
const NOT_FAR_OFF: f64 = 0.8;

/// How many repairs a check left in question, of those that were so before.
fn in_question([before, after]: [usize; 2]) -> String {
    match (before, after) {
        (_, 0) => "none left".to_owned(),
        (before, after) if after < before => format!("{after} of {before} left"),
        // A reading that fits none of those in front brings others back.
        (0, after) => format!("{after} left where none was"),
        (1, after) if after > 1 => format!("{after} left where 1 was"),
        (before, after) if after > before => format!("{after} left where {before} were"),
        (_, after) => format!("{after} left"),
    }
}

/// What was read, in words: how much of the doubt it took away, and how many repairs it left in question. The first is
/// weighed by how likely each repair is and the second is not: where they do not say the same, what became of the
/// likelihoods is said too, so that no row speaks against itself.
fn learnt(line: &CheckLine) -> String {
    let (bits, counts) = (line.bits, line.suspects);
    let [before, after] = counts;
    let (word, left) = (told(bits), in_question(counts));
    let by_count = bits_by_count(counts);
    let nothing = word == NOTHING_NEW;
    match (before, after) {
        (1.., 0) => "left none of those in question".to_owned(),
        (2.., 1) => format!("left 1 of {before} in question"),
        _ if nothing && before == after && line.moved >= MOVED => {
            format!("left {after} in question, but likelihoods changed")
        }
        _ if agree(bits, by_count) => format!("{word}, {left}"),
        (1, 1) if bits > 0.0 => format!("{word}: 1 left, now surer"),
        (1, 1) => format!("{word}: 1 left, less sure"),
        _ => {
            let word = if nothing { "left as much doubt" } else { word };
            let left = if before == after {
                format!("still {left}")
            } else {
                left
            };
            let likelihoods = if bits > by_count {
                "some likelier now"
            } else {
                "now more evenly likely"
            };
            format!("{word}: {left}, {likelihoods}")
        }
    }
}

/// What a check told, in words. One that is credited as the proof is called that wherever it is told of.
pub(super) fn told_in_words(line: &CheckLine) -> String {
    let proof = line.proves || line.confirms;
    match proof {
        _ if line.repeats => format!("{NOTHING_NEW} as a repeat, {}", in_question(line.suspects)),
        false => learnt(line),
        true if line.bits <= -weights::REDUNDANT_BITS => {
            format!("put it to the proof and {}", learnt(line))
        }
        true => {
            let proved = if line.proves {
                "proved it"
            } else {
                "confirmed it"
            };
            match line.suspects[1] {
                0 => proved.to_owned(),
                1 => format!("{proved}, 1 left"),
                left => format!("{proved}, {} more barely possible", left - 1),
            }
        }
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
    format!("{first}{check}, in {minutes} min for {bits:.1} bit (1 bit halves what is possible)")
}

/// What an action was worth, in words.
pub(super) fn worth(line: &CheckLine) -> String {
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
    } else if line.is_check {
        format!("  {}", told_in_words(line))
    } else if is_told_by_the_way(line) {
        format!("  by the way {}", learnt(line))
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

    fn read(bits: f64, suspects: [usize; 2]) -> CheckLine {
        CheckLine {
            bits,
            suspects,
            ..check()
        }
    }

    /// The words come of bits by likelihood, the counts of what is likelier than 1 %.
    #[test]
    fn no_row_speaks_against_itself() {
        for (bits, suspects, told) in [
            (0.0, [4, 4], "told nothing new, 4 left"),
            (0.0, [0, 0], "told nothing new, none left"),
            (0.0, [2, 0], "left none of those in question"),
            (0.3, [16, 14], "told a little, 14 of 16 left"),
            (0.1, [6, 4], "told a little, 4 of 6 left"),
            (0.7, [8, 4], "lessened the doubt, 4 of 8 left"),
            (1.0, [12, 6], "halved the doubt, 6 of 12 left"),
            (2.0, [8, 2], "left a quarter of the doubt, 2 of 8 left"),
            // A quarter is not one in three, and nothing is halved where as many are left.
            (2.0, [3, 1], "left 1 of 3 in question"),
            (0.1, [3, 1], "left 1 of 3 in question"),
            (
                1.0,
                [3, 3],
                "halved the doubt: still 3 left, some likelier now",
            ),
            (
                1.0,
                [17, 12],
                "halved the doubt: 12 of 17 left, some likelier now",
            ),
            (
                0.1,
                [14, 5],
                "told a little: 5 of 14 left, now more evenly likely",
            ),
            (
                1.0,
                [5, 6],
                "halved the doubt: 6 left where 5 were, some likelier now",
            ),
            (
                0.0,
                [10, 4],
                "left as much doubt: 4 of 10 left, now more evenly likely",
            ),
            (
                0.0,
                [4, 10],
                "left as much doubt: 10 left where 4 were, some likelier now",
            ),
            (
                -1.2,
                [4, 10],
                "spoke against what was likely, 10 left where 4 were",
            ),
            (
                -0.1,
                [3, 3],
                "spoke a little against what was likely: still 3 left, now more evenly likely",
            ),
            (0.1, [1, 1], "told a little: 1 left, now surer"),
            (
                -0.1,
                [1, 1],
                "spoke a little against what was likely: 1 left, less sure",
            ),
        ] {
            assert_eq!(told_in_words(&read(bits, suspects)), told);
        }
        let turned = CheckLine {
            moved: 0.8,
            ..read(0.0, [2, 2])
        };
        assert_eq!(
            told_in_words(&turned),
            "left 2 in question, but likelihoods changed"
        );
    }

    /// A learner reads of it in a hint and in the debrief.
    #[test]
    fn the_proof_is_called_that_wherever_it_is_told_of() {
        let proof = CheckLine {
            proves: true,
            confirms: true,
            ..read(0.01, [1, 1])
        };
        assert_eq!(told_in_words(&proof), "proved it, 1 left");
        assert_eq!(worth(&proof), "  proved it, 1 left");
        let once_more = CheckLine {
            proves: false,
            ..proof.clone()
        };
        assert_eq!(told_in_words(&once_more), "confirmed it, 1 left");
        let others = CheckLine {
            suspects: [3, 3],
            ..proof.clone()
        };
        assert_eq!(worth(&others), "  proved it, 2 more barely possible");
        // One that speaks against what was held to be proven has proved nothing.
        let against = CheckLine {
            bits: -1.9,
            suspects: [1, 5],
            ..proof
        };
        assert_eq!(
            worth(&against),
            "  put it to the proof and spoke against what was likely, 5 left where 1 was"
        );
    }

    #[test]
    fn what_sees_to_a_vehicle_is_no_repeat() {
        let again = CheckLine {
            repeats: true,
            ..check()
        };
        let told = "  told nothing new as a repeat, 4 left where 3 were";
        assert_eq!(worth(&again), told);
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
            "  by the way lessened the doubt: 4 left where 3 were, some likelier now"
        );
        assert_eq!(worth(&CheckLine { bits: 0.0, ..set }), "");
    }
}

//! What cost most of the total: the rows in the head of a debrief, with the points of each mark, and what a price comes to
//! in minutes.

use groundside_engine::attempt::Attempt;
use groundside_engine::marking::{CheckLine, Costly, Debrief, Hands, weights};
use groundside_engine::world::Action;

use super::cautions;
use super::debrief::{plain, row};
use crate::style::{Page, Tone};

/// Points below which a share is not told.
const WORTH_TELLING: f64 = 0.05;

/// The actions that cost most, in points of the total.
pub(super) fn costly(page: &mut Page, debrief: &Debrief, attempt: &Attempt) {
    if debrief.costly.is_empty() {
        return;
    }
    let heading = format!("{:<38} {:>5}  {}", "What cost most", "points", "why");
    page.add(Tone::Strong, heading);
    for costly in &debrief.costly {
        let line = &debrief.lines[costly.line];
        // Hands that were caught cost the whole of it, whatever else there was.
        let points = format!("{:.1}", costly.points.min(100.0));
        let text = row(line.n, &what(line, attempt), &points);
        let why = why(line, costly).join(", ");
        page.hanging(Tone::Plain, format!("{text}  {why}"), "      ");
    }
    if price_counts_first(debrief) == First::Costly {
        let text = format!("Parts count in minutes: {}.", price(attempt));
        page.add(Tone::Quiet, text);
    }
}

/// What an action cost, mark by mark.
fn why(line: &CheckLine, costly: &Costly) -> Vec<String> {
    let mut why = Vec::new();
    if costly.time >= WORTH_TELLING {
        let lost = line.lost.as_minutes();
        let priced = if line.parts > 0.0 {
            " with its price"
        } else {
            ""
        };
        let time = costly.time;
        why.push(format!("time {time:.1} (lost {lost:.1} min{priced})"));
    }
    if costly.order >= WORTH_TELLING {
        let chance = line.repair_chance.unwrap_or(0.0) * 100.0;
        let badly = if line.is_repair {
            format!("ordered {chance:.0} % sure")
        } else if line.repeats {
            "a repeat".to_owned()
        } else if line.expected_bits < weights::REDUNDANT_BITS {
            "could tell next to nothing".to_owned()
        } else {
            "another told more a minute".to_owned()
        };
        why.push(format!("order {:.1} ({badly})", costly.order));
    }
    if !line.hazards.is_empty() {
        let what = cautions::hazards_done(&line.hazards, line.hands);
        // Hands in a linkage take the whole total, whatever points a caution has.
        why.push(match line.hands {
            Hands::Free => format!("unsafe {:.1} ({what})", costly.unsafe_points),
            _ => format!("unsafe: {what}"),
        });
    }
    why
}

/// An action as a row has it. What a clipped meter reads while a control is set is a check, and is called by the meter.
pub(super) fn what(line: &CheckLine, attempt: &Attempt) -> String {
    let events = attempt.events();
    let event = events.iter().find(|event| event.n == line.n);
    let clipped = event.filter(|event| line.is_check && sets(&event.action));
    let clipped = clipped.and_then(|event| event.bench.clip);
    let Some((red, black)) = clipped else {
        return plain(&line.action);
    };
    let clip = Action::Clip { red, black }.words(&attempt.assignment().sound);
    let set = line.action.replacen("set ", "", 1);
    format!("{}, {set}", plain(&clip))
}

/// Whether an action sets a control.
const fn sets(action: &Action) -> bool {
    matches!(action, Action::Control { .. })
}

/// Where in a debrief a price first counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum First {
    /// Among what cost most.
    Costly,
    /// Among the minutes used.
    Used,
    /// In what was to be expected.
    Expected,
}

/// Where in a debrief a price first counts: what it comes to is said there, once.
pub(super) fn price_counts_first(debrief: &Debrief) -> First {
    let priced = |line: &CheckLine| line.parts > 0.0;
    let mut costly = debrief.costly.iter();
    if costly.any(|costly| priced(&debrief.lines[costly.line])) {
        First::Costly
    } else if debrief.lines.iter().any(priced) {
        First::Used
    } else {
        First::Expected
    }
}

/// What a price comes to in minutes.
pub(super) fn price(attempt: &Attempt) -> String {
    let minutes = 1.0 / attempt.assignment().scenario.shop_rate;
    format!("price 1 = {minutes} min, at the shop's rate")
}

#[cfg(test)]
mod tests {
    use super::*;
    use groundside_engine::quantity::Minutes;

    fn costly_of(time: f64, order: f64, unsafe_points: f64) -> Costly {
        Costly {
            line: 0,
            points: time + order + unsafe_points,
            time,
            order,
            unsafe_points,
        }
    }

    #[test]
    fn a_badly_chosen_check_is_told_its_share_of_the_order() {
        let check = CheckLine {
            is_check: true,
            lost: Minutes::from_hundredths(520),
            expected_bits: 0.4,
            ..CheckLine::default()
        };
        let of = |line: &CheckLine, costly| why(line, &costly).join(", ");
        assert_eq!(
            of(&check, costly_of(9.4, 4.8, 0.0)),
            "time 9.4 (lost 5.2 min), order 4.8 (another told more a minute)"
        );
        // Little lost, and badly chosen all the same.
        let repeat = CheckLine {
            repeats: true,
            ..check.clone()
        };
        let told = of(&repeat, costly_of(0.0, 6.0, 0.0));
        assert_eq!(told, "order 6.0 (a repeat)");
        let redundant = CheckLine {
            expected_bits: 0.0,
            ..check.clone()
        };
        let told = of(&redundant, costly_of(0.0, 6.0, 0.0));
        assert_eq!(told, "order 6.0 (could tell next to nothing)");
        let guess = CheckLine {
            is_check: false,
            is_repair: true,
            repair_chance: Some(0.08),
            parts: 110.0,
            ..check
        };
        assert_eq!(
            of(&guess, costly_of(46.5, 14.0, 0.0)),
            "time 46.5 (lost 5.2 min with its price), order 14.0 (ordered 8 % sure)"
        );
    }
}

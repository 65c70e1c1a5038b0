//! Minutes in a debrief: those used, and the three that they are held beside, each with what it is.

use groundside_engine::attempt::Attempt;
use groundside_engine::marking::{Debrief, Score, weights};
use groundside_engine::quantity::Minutes;
use groundside_engine::vehicle::Region;

use super::costly::{First, price, price_counts_first};
use crate::style::{Page, Tone};

/// What the minutes allowed are, wherever they are told.
pub(super) const ALLOWED: &str =
    "what the workshop gives the job; going over is noted, and no mark hangs on it";

/// How the mark for time comes of minutes, so that a reader with a calculator comes to it: what it stands on, what was lost,
/// what of that costs nothing, and the mark.
pub(super) fn time(debrief: &Debrief, score: &Score) -> String {
    let minutes = [debrief.par, debrief.time_base, debrief.lost];
    let needed = match is_explained(debrief) {
        true => "telling the driver",
        false => "the repair with the way to it and seeing to it",
    };
    time_in_words(minutes.map(Minutes::as_minutes), score.time, needed)
}

/// Whether there was no fault, so that what was needed was words.
fn is_explained(debrief: &Debrief) -> bool {
    debrief.region == Region::NoFault && debrief.second.is_none()
}

fn time_in_words([par, base, lost]: [f64; 3], mark: f64, needed: &str) -> String {
    // What the par has besides, so that what is printed adds up.
    let repair = par + weights::PAR_CONSTANT_MIN - base;
    let stands = format!(
        "Time: {base:.2} min stand for the search (the par of {par:.2}, less {repair:.2} for {needed}, and {:.0} \
         for everybody); {lost:.2} min were lost",
        weights::PAR_CONSTANT_MIN
    );
    let (share, slack) = (weights::PAR_SLACK * 100.0, weights::PAR_SLACK * base);
    if lost <= slack {
        return format!(
            "{stands}, and {slack:.2} ({share:.0} % of {base:.2}) cost nothing: {mark:.1}."
        );
    }
    let beyond = lost - slack;
    format!(
        "{stands}, of which {slack:.2} ({share:.0} % of {base:.2}) cost nothing: \
         100 x {base:.2} / ({base:.2} + {beyond:.2}) = {mark:.1}."
    )
}

/// Where the minutes went.
pub(super) fn account(page: &mut Page, debrief: &Debrief, attempt: &Attempt) {
    let parts: f64 = debrief.lines.iter().map(|line| line.parts).sum();
    let parts = match parts {
        parts if parts > 0.0 => format!(" and parts worth {parts:.1} min"),
        _ => String::new(),
    };
    let first = price_counts_first(debrief);
    let priced_at = |place: First| match first == place {
        true => format!(" ({})", price(attempt)),
        false => String::new(),
    };
    page.add(Tone::Plain, "");
    page.add(Tone::Strong, "Minutes");
    page.add(
        Tone::Plain,
        format!(
            "{} min used{parts}{}. Decisions were likely to cost {:.1} min more than needed, by what was known when \
             they were made; luck is left out.",
            debrief.minutes,
            priced_at(First::Used),
            debrief.lost.as_minutes(),
        ),
    );
    let mut told = |what: &str, minutes: f64, words: &str| {
        let text = format!("  {what:<8} {minutes:>6.1}  {words}.");
        page.hanging(Tone::Plain, text, "                   ");
    };
    let included = if is_explained(debrief) {
        "telling the customer included"
    } else {
        "repair and seeing to it included"
    };
    let par = format!(
        "what the rule of most told per minute needs on this very vehicle, or on most that come with this complaint \
         where that is more, {included}. The mark for time stands on it less the repair that is needed"
    );
    told("par", debrief.par.as_minutes(), &par);
    let allowed = attempt.assignment().scenario.allowance;
    told("allowed", allowed.as_minutes(), ALLOWED);
    let balance = &debrief.balance;
    let luck = if balance.luck < 0.0 { "saved" } else { "cost" };
    let repair = if balance.repair < 0.0 { "less" } else { "more" };
    let saved = if balance.saved >= 0.1 {
        format!(" and saved {:.1} beside that rule", balance.saved)
    } else {
        String::new()
    };
    let left = left_in_words(balance.left, debrief.cured);
    let expected = format!(
        "what this complaint takes on the average with parts{}, before a vehicle is touched. From there the repair \
         that was needed took {:.1} {repair}, decisions cost {:.1}{saved}, what is let pass {:.1}, luck {luck} {:.1}{left}",
        priced_at(First::Expected),
        balance.repair.abs(),
        balance.lost,
        balance.let_pass,
        balance.luck.abs()
    );
    told("expected", balance.expected, &expected);
}

/// What was still to be expected at the end, by the readings: it is no work left undone on a vehicle that works.
fn left_in_words(left: f64, cured: bool) -> String {
    match cured {
        _ if left < 0.1 => String::new(),
        true => format!(
            ". At the end {left:.1} more were to be expected by your readings, which did not show yet that it works"
        ),
        false => format!(". At the end {left:.1} more were to be expected by your readings"),
    }
}

/// How the mark for order comes of the checks and repairs that count in it, by their rows.
pub(super) fn order(debrief: &Debrief, score: &Score) -> String {
    let graded: Vec<(usize, f64)> = debrief
        .lines
        .iter()
        .filter_map(|line| Some((line.n, line.efficiency?)))
        .collect();
    let short = graded.iter().filter(|(_, share)| *share < 0.995);
    let mut parts: Vec<String> = short
        .map(|(n, share)| format!("row {n} {:.0}", 100.0 * share))
        .collect();
    let whole = graded.len() - parts.len();
    if whole > 0 || parts.is_empty() {
        parts.insert(0, format!("{whole} in full"));
    }
    format!(
        "Order: the mean of the checks and repairs that were a choice, each of 100: {}. That is {:.0}.",
        parts.join(", "),
        score.order
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The numbers of a text, without the points that end sentences.
    fn numbers(text: &str) -> Vec<f64> {
        let words = text.split(|c: char| !(c.is_ascii_digit() || c == '.'));
        words
            .filter_map(|word| word.trim_end_matches('.').parse().ok())
            .collect()
    }

    /// The mark by the numbers that are printed alone.
    #[test]
    fn the_mark_for_time_can_be_worked_out_from_what_is_printed() {
        // 12.3 min, of which 1.23 may be lost: 12.3 of 25.67 are 47.9 in a hundred.
        let text = time_in_words([27.9, 12.3, 14.6], 47.916, "the repair itself");
        let [base, par, repair, constant, lost, slack, share, ..] = numbers(&text)[..] else {
            panic!("{text}");
        };
        assert!((par - repair + constant - base).abs() < 1e-9, "{text}");
        assert!((base * share / 100.0 - slack).abs() < 0.0051, "{text}");
        let worked_out = 100.0 * base / (base + lost - slack);
        let printed = *numbers(&text).last().unwrap();
        assert!((worked_out - printed).abs() < 0.1, "{worked_out} {text}");
        assert!(
            text.ends_with("100 x 12.30 / (12.30 + 13.37) = 47.9."),
            "{text}"
        );
        assert!(
            text.contains("less 19.60 for the repair itself, and 4 for everybody"),
            "{text}"
        );
        // Within what costs nothing the mark is full, and no division is asked for.
        let text = time_in_words([27.9, 12.3, 1.2], 100.0, "telling the driver");
        assert!(
            text.ends_with("1.20 min were lost, and 1.23 (10 % of 12.30) cost nothing: 100.0.")
        );
    }

    #[test]
    fn what_is_left_is_no_work_undone_on_a_vehicle_that_works() {
        assert_eq!(left_in_words(0.04, true), "");
        let works = left_in_words(52.5, true);
        assert!(
            works.contains("52.5 more were to be expected by your readings"),
            "{works}"
        );
        assert!(
            works.ends_with("which did not show yet that it works"),
            "{works}"
        );
        let open = left_in_words(52.5, false);
        assert!(
            open.ends_with("by your readings") && !open.contains("work"),
            "{open}"
        );
    }
}

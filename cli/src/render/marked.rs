//! How an attempt is marked, as a page of the book: what counts, how much, and what holds the total down.

use groundside_engine::marking::{VerdictLevel, weights};

use super::data::table;
use super::minutes::ALLOWED;
use crate::style::{Page, Tone};

/// The page.
pub(super) fn page() -> Page {
    let percent = |share: f64| format!("{:.0} %", share * 100.0);
    let kin = |level: VerdictLevel| format!("{} {}", level.word(), percent(level.kinship()));
    let kinds = [
        VerdictLevel::Exact,
        VerdictLevel::RightRepair,
        VerdictLevel::RightComponent,
        VerdictLevel::RightRegion,
    ];
    let kinds: Vec<String> = kinds.into_iter().map(kin).collect();
    let mut page = Page::default();
    let mut told = |name: &str, what: String| {
        page.hanging(Tone::Plain, format!("  {name}: {what}"), "    ");
    };
    told(
        "time",
        format!(
            "{} of the total. Not the watch counts but what decisions were likely to cost, by what was known when \
             they were made: a dear check or a needless part costs, bad luck does not, and the check that tells most for \
             its minutes never does. The first look in each position, one with the key off and the first question to \
             the driver cost nothing; nor does proving what is already sure, once and for \
             {:.0} min in all, or seeing to it after a repair for {:.0}.",
            percent(weights::TIME),
            weights::CONFIRM_FREE_MIN,
            weights::VERIFY_FREE_MIN
        ),
    );
    told(
        "order",
        format!(
            "{} of the total. Each check beside the one that would have told most for its minutes in its place. \
             The first proof of what is sure, on the part itself by an instrument or by hand, counts as well chosen; a \
             repeat of what was read counts as told nothing.",
            percent(weights::ORDER)
        ),
    );
    told(
        "correctness",
        format!(
            "{} of the total. Half of it what was concluded ({}), half of it how sure the repair was by your readings \
             when it was ordered.",
            percent(weights::CORRECTNESS),
            kinds.join(", ")
        ),
    );
    told(
        "safety",
        format!(
            "each caution gone on with takes {:.0} points off the total where it is minor and {:.0} where it is \
             major, and with a major one the total is {:.0} at most. Hands in a linkage that moved: not passed. \
             `hazards` lists them all.",
            weights::MINOR_HAZARD,
            weights::MAJOR_POINTS,
            weights::MAJOR_CAP
        ),
    );
    told(
        "hand-over",
        format!(
            "up to {:.0} points off for what was not seen to after the last repair: every position in which \
             something that could remain would show, park among them. Its own mark is {} that, the rest the \
             write-up: complaint, cause, correction.",
            weights::UNVERIFIED,
            percent(weights::HAND_OVER_SEEN)
        ),
    );
    told(
        "par, allowed, expected",
        format!(
            "par is what the rule of most told per minute needs on the vehicle at hand, and the time is marked by it, \
             less the repair itself and with {:.0} min added. Allowed is {ALLOWED}. Expected is what a complaint takes on \
             the average, before a vehicle is touched; it only says how much of the minutes was luck.",
            weights::PAR_CONSTANT_MIN
        ),
    );
    page.add(
        Tone::Plain,
        format!(
            "  A vehicle that was not put right has {:.0} at most, times what was concluded: a bare guess may have that, a \
             proof without a conclusion has 0. In words the total is:",
            weights::UNCURED_CAP
        ),
    );
    let bands =
        weights::BANDS.map(|(limit, word)| vec![word.to_owned(), format!("from {limit:.0}")]);
    page.extend(table(&bands));
    page.hanging(
        Tone::Quiet,
        "  `conclude` and `note` cost nothing, and neither does a question that is asked back. All of it is judgement \
         and for practice.",
        "  ",
    );
    page
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_page_names_every_mark_of_the_debrief_and_every_band() {
        let text = page().text();
        let squeezed = text.split_whitespace().collect::<Vec<_>>().join(" ");
        for told in [
            "time:",
            "order:",
            "correctness:",
            "safety:",
            "hand-over:",
            "par, allowed, expected:",
            "The first proof of what is sure",
            "the first question to the driver",
            "50 %",
            "shop-ready",
            "redo",
        ] {
            assert!(squeezed.contains(told), "{told}: {text}");
        }
        assert!(text.lines().count() <= 40, "{text}");
    }
}

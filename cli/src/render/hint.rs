//! What a hint says, and what was held to be likely, in words.

use groundside_engine::marking::{Because, Debrief, Fit, Told, Trial};
use groundside_engine::vehicle::Region;
use groundside_engine::world::Suspicion;

use super::route::repair_in_words;
use super::worth::{next_in_words, told_in_words};
use crate::style::{Page, Tone, listed, sentence};

/// A hint.
pub(crate) fn page(told: &Told) -> Page {
    let text = match told {
        Told::Where(regions) => {
            let words: Vec<String> = regions.iter().map(|(of, p)| share(*of, *p)).collect();
            match &words[..] {
                [] => "By your readings it is in none of the regions.".to_owned(),
                words => format!("By your readings: {}.", words.join(", ")),
            }
        }
        Told::What(kind) => format!("What tells most a minute now is of this kind: {kind}."),
        Told::Which(better) => {
            format!("What tells most a minute now: {}.", next_in_words(better))
        }
        Told::Why(None) => "No check was made yet that could tell anything.".to_owned(),
        Told::Why(Some(because)) => return why(because),
        Told::Proven(trial) => {
            let (repair, sure) = (repair_in_words(&trial.repair), percent(trial.belief));
            format!("Your readings prove it: {repair} ({sure}). No check is wanted any more.")
        }
        Told::NothingTells(repairs) => {
            format!(
                "No check that is listed tells any more. {}",
                possible(repairs)
            )
        }
    };
    Page::of(Tone::Plain, text)
}

/// What the last check told, and of which repairs.
fn why(because: &Because) -> Page {
    let Because { line, read, said } = because;
    let action = sentence(&line.action);
    let mut page = Page::of(
        Tone::Plain,
        format!("{action} read: {read}. It {}.", told_in_words(line)),
    );
    for said in said {
        let would = match said.would_read.as_str() {
            "" => "would have read nothing of that".to_owned(),
            words => format!("would have read: {words}"),
        };
        let ruled_out = if said.possible {
            ""
        } else {
            "; ruled out by now"
        };
        let text = format!(
            "  {:<11}{}, {would}{ruled_out}",
            in_a_word(said.fit),
            repair_in_words(&said.repair)
        );
        page.hanging(Tone::Plain, text, "             ");
    }
    page
}

/// How what was read goes with a repair.
const fn in_a_word(fit: Fit) -> &'static str {
    match fit {
        Fit::Goes => "goes with",
        Fit::Hardly => "hardly",
        Fit::AtOdds => "at odds",
    }
}

/// The repairs that are still possible.
fn possible(repairs: &[Trial]) -> String {
    let words: Vec<String> = repairs
        .iter()
        .map(|trial| {
            format!(
                "{} {}",
                repair_in_words(&trial.repair),
                percent(trial.belief)
            )
        })
        .collect();
    match &words[..] {
        [] => "No repair that is listed fits your readings.".to_owned(),
        words => format!("Still possible by your readings: {}.", words.join(", ")),
    }
}

fn percent(share: f64) -> String {
    format!("{:.0} %", 100.0 * share)
}

fn share(region: Region, share: f64) -> String {
    format!("{} {}", region.word(), percent(share))
}

/// What was held to be likely on the way, beside what the readings said by then.
pub(super) fn suspicions(page: &mut Page, debrief: &Debrief) {
    if debrief.stated.is_empty() {
        return;
    }
    page.add(Tone::Plain, "");
    page.add(
        Tone::Strong,
        "What you suspected, of 100 for what your readings said by then (no part of the total)",
    );
    for stated in &debrief.stated {
        let text = format!(
            "{:>3} {:>3.0}  you: {}; your readings: {}",
            stated.n,
            stated.score(),
            in_regions(&stated.suspicion.shares()),
            in_regions(&stated.belief)
        );
        page.hanging(Tone::Plain, text, "      ");
    }
}

/// Shares of regions in words, those of no account left out.
fn in_regions(shares: &[f64; Region::ALL.len()]) -> String {
    let pairs = Region::ALL.into_iter().zip(shares);
    let words: Vec<String> = pairs
        .filter(|(_, p)| **p >= 0.005)
        .map(|(region, p)| share(region, *p))
        .collect();
    match &words[..] {
        [] => "none".to_owned(),
        words => listed(words, "and"),
    }
}

/// That a suspicion is written down.
pub(super) fn noted(suspicion: Suspicion) -> String {
    format!(
        "Noted: {}. How that goes with your readings is told at the end.",
        in_regions(&suspicion.shares())
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shares_are_said_of_regions_that_have_some() {
        assert_eq!(
            noted(Suspicion {
                chances: [0, 0, 60, 30, 0, 0]
            }),
            "Noted: wiring 60 % and motor 30 %. How that goes with your readings is told at the end."
        );
        let nothing = Told::Where(Vec::new());
        assert_eq!(
            page(&nothing).text(),
            "By your readings it is in none of the regions."
        );
        let two = Told::Where(vec![(Region::Wiring, 0.62), (Region::Motor, 0.2)]);
        assert_eq!(
            page(&two).text(),
            "By your readings: wiring 62 %, motor 20 %."
        );
    }
}

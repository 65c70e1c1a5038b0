//! Hints, and how likely each region is held to be: `hint where`, `suspect wiring 60 motor 30`.

use groundside_engine::vehicle::Region;
use groundside_engine::world::{Action, Hint, Suspicion};

use super::token::Words;
use super::words::is_filler;
use super::{Language, Problem, listed};

/// Reads which hint is asked for; `why` has a verb of its own as well.
pub(super) fn hint(words: &Words<'_>, from: usize, to: usize) -> Result<Hint, Problem> {
    let offers = || Hint::ALL.map(|hint| format!("hint {}", hint.word()));
    let told: Vec<usize> = (from..to).filter(|n| !is_filler(words.text(*n))).collect();
    let bad = |at: usize, message: String| Problem::at(words, at, message).offering(offers());
    match told[..] {
        [] => {
            let prices = Hint::ALL.map(|hint| format!("{} {} min", hint.word(), hint.minutes()));
            let message = format!(
                "A hint needs more: {}. Each takes its minutes, and they are lost.",
                listed(&prices, "or")
            );
            Err(bad(from, message))
        }
        [one] => {
            let word = words.text(one);
            let known = Hint::ALL.into_iter().find(|hint| hint.word() == word);
            let message = format!("There is no hint `{}`.", words.typed(one..one + 1));
            known.ok_or_else(|| bad(one, message))
        }
        [_, second, ..] => Err(bad(second, "One hint at a time.".to_owned())),
    }
}

/// Which region a word is; what has no fault is said in several ways.
fn region(word: &str) -> Option<Region> {
    match word {
        "nothing" | "none" | "no-fault" | "nofault" => Some(Region::NoFault),
        "feed" | "power" => Some(Region::Supply),
        "switches" | "relay" | "relays" => Some(Region::Switch),
        "wires" | "wire" | "loom" | "ground" | "grounds" => Some(Region::Wiring),
        "linkages" | "links" | "mechanical" => Some(Region::Linkage),
        _ => Region::ALL.into_iter().find(|region| region.word() == word),
    }
}

impl Language<'_> {
    /// Reads chances of regions; without a number it is a verdict, as people say `suspect` of both.
    pub(super) fn suspected(
        &self,
        words: &Words<'_>,
        at: usize,
        from: usize,
        to: usize,
    ) -> Result<Action, Problem> {
        let number = |n: usize| words.text(n).trim_end_matches('%').parse::<u32>().ok();
        let regions = Region::ALL.map(Region::word);
        let offer = || ["suspect wiring 60 motor 30".to_owned()];
        if !(from..to).any(|n| number(n).is_some()) {
            let only_regions = (from..to).all(|n| region(words.text(n)).is_some());
            if from < to && !only_regions {
                return Ok(Action::Conclude(self.verdict(words, at)?));
            }
            let message = format!(
                "A suspicion needs more: regions, each with its chance in a hundred, of {}.",
                listed(&regions, "or")
            );
            return Err(Problem::at(words, from, message).offering(offer()));
        }
        let mut suspicion = Suspicion::default();
        let mut named: Option<usize> = None;
        let mut total = 0;
        for n in from..to {
            let word = words.text(n);
            if let Some(chance) = number(n) {
                let Some(place) = named.take() else {
                    let message = "A chance comes behind its region.";
                    return Err(Problem::at(words, n, message).offering(offer()));
                };
                total += chance;
                let Some(chance) = u8::try_from(chance).ok().filter(|_| total <= 100) else {
                    let message = "The chances come to more than 100 together.";
                    return Err(Problem::at(words, n, message).offering(offer()));
                };
                suspicion.chances[place] = chance;
            } else if let Some(known) = region(word) {
                named = Region::ALL.iter().position(|of| *of == known);
                if named.is_some_and(|place| suspicion.chances[place] > 0) {
                    let message = format!("`{word}` is there twice.");
                    return Err(Problem::at(words, n, message).offering(offer()));
                }
            } else if !(is_filler(word) || ["%", "percent", "fault"].contains(&word)) {
                let message = format!(
                    "`{}` is no region; there are {}.",
                    words.typed(n..n + 1),
                    listed(&regions, "and")
                );
                return Err(Problem::at(words, n, message).offering(offer()));
            }
        }
        if named.is_some() {
            let message = "The last region has no chance.";
            return Err(Problem::at(words, to, message).offering(offer()));
        }
        Ok(Action::Suspect(suspicion))
    }
}

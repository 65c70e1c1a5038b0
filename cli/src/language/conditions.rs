//! What is no fault, by the words it is told in: `no fault found`, `ice`, `flat battery`, `wrong left blade`.

use groundside_engine::vehicle::{Component, Mode};
use groundside_engine::world::Verdict;

use super::names::split;
use super::token::Words;
use super::words::is_filler;
use super::{Language, Problem, listed};

/// Each condition with the words of which it needs one, and those that may stand beside it.
const CONDITIONS: [(&str, &[&str], &[&str]); 4] = [
    (
        "iced",
        &["ice", "iced", "icy", "frost", "frosted", "frozen"],
        &[
            "on", "up", "off", "from", "glass", "screen", "blades", "wipers",
        ],
    ),
    ("dry", &["dry"], &["glass", "screen"]),
    (
        "flat",
        &["flat", "discharged", "empty", "low", "weak"],
        &["state", "charge"],
    ),
    (
        "wrong-blade",
        &["wrong", "unsuitable", "stiff", "long"],
        &["blade", "blades", "too", "wiper"],
    ),
];

/// Where words stand behind `no fault found`, or some of it; `None` when they begin with something else.
pub(super) fn behind_no_fault(words: &Words<'_>, at: usize) -> Option<usize> {
    let mut next = match (words.text(at), words.text(at + 1)) {
        ("no-fault" | "nff", _) => at + 1,
        ("no", "fault" | "faults" | "trouble" | "problem") | ("nothing", "wrong" | "faulty") => {
            at + 2
        }
        _ => return None,
    };
    while ["found", "here", "with", "it", "them"].contains(&words.text(next))
        || is_filler(words.text(next))
    {
        next += 1;
    }
    Some(next)
}

/// Whether words name a condition of a component.
fn names(typed: &[&str], component: &Component, mode: &Mode) -> bool {
    let known = CONDITIONS
        .iter()
        .find(|(name, ..)| *name == mode.name.as_str());
    let Some((_, keys, beside)) = known else {
        return false;
    };
    let own = split(component.id.as_str());
    let all = typed.iter().all(|word| {
        keys.contains(word) || beside.contains(word) || own.iter().any(|part| part == word)
    });
    all && typed.iter().any(|word| keys.contains(word))
}

impl Language<'_> {
    /// The conditions that the words from `at` on name, by their words alone.
    pub(super) fn conditions(&self, words: &Words<'_>, at: usize) -> Vec<Verdict> {
        let at = behind_no_fault(words, at).unwrap_or(at);
        let typed: Vec<&str> = words.list()[at.min(words.len())..]
            .iter()
            .map(|word| word.text.as_str())
            .filter(|word| !is_filler(word))
            .collect();
        let faults = self.vehicle.faults().into_iter();
        faults
            .filter(|(_, _, mode)| mode.is_condition())
            .filter(|(id, _, mode)| names(&typed, self.vehicle.component(*id), mode))
            .map(|(component, mode, _)| Verdict { component, mode })
            .collect()
    }

    /// Where the words behind `no fault found` begin; asks what it was instead when there are none.
    pub(super) fn after_no_fault(&self, words: &Words<'_>, at: usize) -> Result<usize, Problem> {
        let Some(next) = behind_no_fault(words, at) else {
            return Ok(at);
        };
        if next < words.len() {
            return Ok(next);
        }
        let faults = self.vehicle.faults().into_iter();
        let names: Vec<String> = faults
            .filter(|(_, _, mode)| mode.is_condition())
            .map(|(id, _, mode)| format!("{} {}", self.vehicle.component(id).id, mode.name))
            .collect();
        let message = format!(
            "No fault found; what was it instead: {}?",
            listed(&names, "or")
        );
        let offers = names.iter().map(|name| words.with(at..words.len(), name));
        Err(Problem::at(words, words.len(), message).offering(offers))
    }
}

//! Known good parts among the learner's actions: what was read with one in proves the part whose place it took, or clears it.

use super::super::beside::Asked;
use super::super::case::Case;
use super::super::debrief::{Swap, Swapped};
use super::super::weights::PROVEN;
use super::Walk;
use crate::attempt::Event;
use crate::vehicle::ComponentId;
use crate::world::Action;

/// Belief below which a part is out of question.
const OUT_OF_QUESTION: f64 = 0.01;

impl Walk {
    /// Keeps what came of known good parts, once an action has been taken in. A part is proven, or cleared, when something
    /// was read with the good one in that the complaint would have shown in: what was proven before is no proof by it.
    pub(super) fn swapped(&mut self, case: &Case, event: &Event) {
        let line = self.lines.len().saturating_sub(1);
        if let Action::Substitute(part) = event.action {
            // Put in again, it begins anew.
            self.swaps.push(Swap {
                line,
                part,
                came: Swapped::Open,
            });
        }
        let is_in = |part: ComponentId| event.bench.substituted[part.index()];
        let tells = self.lines.get(line).is_some_and(|line| line.is_check)
            && self.swaps.iter().any(|swap| is_in(swap.part))
            && (Asked { case, event }).is_listed_for_the_complaint();
        if !tells {
            return;
        }
        let (belief, sound) = (self.belief.probabilities(), &case.assignment.sound);
        for index in 0..self.swaps.len() {
            let part = self.swaps[index].part;
            let again = self.swaps[index + 1..].iter();
            if !is_in(part) || again.clone().any(|later| later.part == part) {
                continue;
            }
            let of_it = case.list.iter().zip(belief);
            let of_it =
                of_it.filter(|(hypothesis, _)| sound.is_in(hypothesis.fault.component, part));
            let believed: f64 = of_it.map(|(_, p)| p).sum();
            self.swaps[index].came = match believed {
                p if p >= PROVEN => Swapped::Proven,
                p if p < OUT_OF_QUESTION => Swapped::Cleared,
                _ => Swapped::Open,
            };
        }
    }
}

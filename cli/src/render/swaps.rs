//! What came of known good parts that were put in: that one proves the part whose place it took, or clears it, or neither.

use groundside_engine::attempt::Attempt;
use groundside_engine::marking::{CheckLine, Debrief, Swap, Swapped};
use groundside_engine::vehicle::ComponentId;
use groundside_engine::world::Action;

use crate::style::listed;

/// Whether a line put a known good part in.
pub(super) fn is_one(line: &CheckLine, debrief: &Debrief) -> bool {
    swap_of(line, debrief).is_some()
}

fn swap_of<'d>(line: &CheckLine, debrief: &'d Debrief) -> Option<&'d Swap> {
    let mut swaps = debrief.swaps.iter();
    swaps.find(|swap| {
        let of = debrief.lines.get(swap.line);
        of.is_some_and(|of| of.n == line.n)
    })
}

/// What came of the known good part that a line put in.
pub(super) fn told(line: &CheckLine, debrief: &Debrief, attempt: &Attempt) -> Option<String> {
    let swap = swap_of(line, debrief)?;
    let named = is_named(swap.part, attempt);
    Some(came_of(swap.came, named).to_owned())
}

/// Whether a part was concluded to be what is wrong.
fn is_named(part: ComponentId, attempt: &Attempt) -> bool {
    let mut events = attempt.events().iter();
    events.any(|event| match &event.action {
        Action::Conclude(verdict) => verdict.component == part,
        Action::HandOver(written) => written.cause.is_some_and(|cause| cause.component == part),
        _ => false,
    })
}

const fn came_of(came: Swapped, named: bool) -> &'static str {
    match (came, named) {
        (Swapped::Proven, true) => {
            "with the good part in it worked: that proves the part, as you concluded"
        }
        (Swapped::Proven, false) => {
            "with the good part in it worked: that proves the part, though you did not conclude it"
        }
        (Swapped::Cleared, _) => "by what was read with the good part in, it is not this part",
        (Swapped::Open, _) => {
            "unproven: nothing read with the good part in proves this part, or clears it"
        }
    }
}

/// That known good parts which were still in went back to the workshop, if any were.
pub(super) fn went_back(attempt: &Attempt) -> Option<String> {
    let [.., before, _] = attempt.events() else {
        return None;
    };
    let sound = &attempt.assignment().sound;
    let still_in = sound
        .ids()
        .filter(|part| before.bench.substituted[part.index()]);
    let names: Vec<&str> = still_in
        .map(|part| sound.component(part).id.as_str())
        .collect();
    let named = listed(&names, "and");
    match names[..] {
        [] => None,
        [_] => Some(format!(
            "The known good {named} is the workshop's and came out; the vehicle has its own again."
        )),
        _ => Some(format!(
            "The known good {named} are the workshop's and came out; the vehicle has its own again."
        )),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_good_part_that_cures_proves_the_part_and_one_that_says_nothing_does_not() {
        let proven = came_of(Swapped::Proven, true);
        assert!(proven.contains("it worked") && proven.ends_with("as you concluded"));
        assert!(came_of(Swapped::Proven, false).ends_with("you did not conclude it"));
        assert!(came_of(Swapped::Cleared, true).contains("not this part"));
        assert!(came_of(Swapped::Open, true).starts_with("unproven"));
    }
}

//! A check told with the position it is made in: `read the ammeter at low`, `listen with the wiper on high`.

use groundside_engine::world::Action;

use super::token::Words;
use super::{Command, Does, Language, Problem, Start, choices};

/// Words between a check and the position it is made in.
const JOINING: [&str; 9] = [
    "at", "in", "on", "with", "while", "when", "during", "set", "to",
];

/// What is seen and heard where the lever is worked as well.
const FROM_THE_CAB: [Does; 4] = [Does::Ammeter, Does::Look, Does::Listen, Does::Count];

/// What is checked elsewhere, where working the lever by oneself may be a walk.
const ELSEWHERE: [Does; 12] = [
    Does::Volts,
    Does::Drop,
    Does::Amps,
    Does::Lamp,
    Does::Load,
    Does::Clamp,
    Does::Trace,
    Does::BatteryTest,
    Does::Feel,
    Does::Smell,
    Does::Tug,
    Does::Wiggle,
];

impl Language<'_> {
    /// A check behind which a control's position is told, where the whole is none: the control first, then the check; asked
    /// about where it is worked from elsewhere, as a helper may do that.
    pub(super) fn in_position(&self, words: &Words<'_>) -> Option<Result<Vec<Command>, Problem>> {
        let Start::Verb(verb, _, next) = self.start(words) else {
            return None;
        };
        let near = FROM_THE_CAB.contains(&verb.does);
        if !near && !ELSEWHERE.contains(&verb.does) {
            return None;
        }
        let joining = |n: &usize| JOINING.contains(&words.text(*n));
        (next..words.len()).find_map(|end| {
            // Without a word between them it is told only where nothing else follows such a verb.
            if !near && !joining(&end) {
                return None;
            }
            let small = (end..words.len()).take_while(joining).count();
            let told = words.picked(end + small..words.len());
            let set = self.control(&told, 0, false, None).ok()?;
            let check = words.until(end);
            let Ok(command) = self.command(&check, self.start(&check)) else {
                return None;
            };
            let (set_words, check_words) = (self.worked(&set), check.whole(0..end));
            if near {
                return Some(Ok(vec![Command::Act(set), command]));
            }
            let ways = [
                format!("{set_words}; {check_words}"),
                format!("helper {set_words}; {check_words}"),
            ];
            let message = format!(
                "One after the other, the lever by yourself or by the helper: {}.",
                choices(&ways)
            );
            Some(Err(Problem::at(words, end, message).offering(ways)))
        })
    }

    /// A control's work as it is typed.
    fn worked(&self, set: &Action) -> String {
        let &Action::Control {
            component,
            position,
            at_mid_glass,
            ..
        } = set
        else {
            return String::new();
        };
        let component = self.vehicle.component(component);
        let control = component.control.as_ref().unwrap_or(&component.id);
        let mid = if at_mid_glass { " at mid-glass" } else { "" };
        format!("{control} {}{mid}", component.positions()[position])
    }
}

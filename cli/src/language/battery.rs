//! A battery's posts and clamps, which are parts of it: `positive battery post`, `battery clamps`, `the negative clamp`.

use groundside_engine::vehicle::{ComponentId, Kind};
use groundside_engine::world::Action;

use super::names::{is_word, trimmed};
use super::token::Words;
use super::words::is_filler;
use super::{Does, Language, Problem, choices};

/// Nouns for what a battery is connected by.
const JOINTS: [&str; 10] = [
    "post",
    "posts",
    "pole",
    "poles",
    "clamp",
    "clamps",
    "terminal",
    "terminals",
    "connection",
    "connections",
];

/// Words for the side that is never taken off alone, with the battery's ground still on.
const POSITIVE: [&str; 4] = ["positive", "pos", "plus", "+"];
const NEGATIVE: [&str; 6] = ["negative", "neg", "minus", "-", "ground", "earth"];

/// A battery's joint that was named.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Joint {
    /// The battery.
    pub(super) battery: ComponentId,
    /// Whether the positive side is meant, and not the other or both.
    positive: bool,
}

impl Language<'_> {
    /// The battery whose posts or clamps the words from `at` on name, in any order and nothing besides: by its own name,
    /// or by side and noun alone where nothing else has such a side. `None` when they name something else, be it a part of
    /// that very name, as a ground point beside the battery may be.
    pub(super) fn battery_joint(&self, words: &Words<'_>, at: usize) -> Option<Joint> {
        let joint = self.joint_told(words, at)?;
        let (from, to) = trimmed(words.list(), at);
        self.called(words, from, to).is_none().then_some(joint)
    }

    /// The part of which some words are the id, its ground told as earth or not.
    fn called(&self, words: &Words<'_>, from: usize, to: usize) -> Option<ComponentId> {
        let typed = (from..to).map(|n| words.text(n));
        let id = typed.collect::<Vec<&str>>().join("-");
        self.vehicle.find(&id.replace("earth", "ground"))
    }

    fn joint_told(&self, words: &Words<'_>, at: usize) -> Option<Joint> {
        let (from, to) = trimmed(words.list(), at);
        let (mut named, mut side, mut joint, mut positive) = (false, false, false, false);
        for n in from..to {
            match words.text(n) {
                word if is_word(word, "battery") || word == "batt" => named = true,
                word if JOINTS.contains(&word) => joint = true,
                word if POSITIVE.contains(&word) => (side, positive) = (true, true),
                word if NEGATIVE.contains(&word) => side = true,
                "both" => {}
                word if is_filler(word) => {}
                _ => return None,
            }
        }
        let told = named && (side || joint) || side && joint;
        // `ground connection` is said of any ground.
        let ground = |n: usize| matches!(words.text(n), "ground" | "earth");
        if !told || !named && (from..to).any(ground) {
            return None;
        }
        let is_battery =
            |id: &ComponentId| matches!(self.vehicle.component(*id).kind, Kind::Battery(_));
        let battery = self.vehicle.ids().find(is_battery)?;
        Some(Joint { battery, positive })
    }

    /// The question back where what is undone or done up may be the ground point beside the battery, the strap between them
    /// or the clamp on its post: `tighten battery ground`.
    pub(super) fn point_or_joint(
        &self,
        words: &Words<'_>,
        at: usize,
        does: Does,
    ) -> Option<Problem> {
        let joint = self.joint_told(words, at).filter(|joint| !joint.positive)?;
        let (from, to) = trimmed(words.list(), at);
        let noun = ["connection", "connections"].contains(&words.text(to - 1));
        let point = self.called(words, from, to - usize::from(noun))?;
        let strap = self.vehicle.battery_strap()?;
        let [point, strap, battery] =
            [point, strap, joint.battery].map(|id| &self.vehicle.component(id).id);
        let mut ways = vec![format!("repair {point}")];
        if does == Does::Tighten {
            ways.push(format!("repair {battery} mend"));
            ways.push(format!("plug {strap}"));
        } else {
            ways.push(format!("unplug {strap}"));
        }
        let message = format!(
            "`{}` could be the ground point, whose screw is seen to as a whole, the strap on it or the battery's clamp: {}.",
            words.typed(from..to),
            choices(&ways)
        );
        Some(Problem::at(words, from, message).offering(ways))
    }

    /// A battery's clamp that is done up or undone: loose clamps are tightened and cleaned on their posts, and the ground
    /// side is what comes off. `None` when no clamp of it is named.
    pub(super) fn clamp_off_or_on(
        &self,
        words: &Words<'_>,
        at: usize,
        does: Does,
    ) -> Option<Result<Action, Problem>> {
        // Where a ground point has that name too, what comes off and goes on is the strap.
        let joint = self.joint_told(words, at)?;
        let component = joint.battery;
        let battery = self.vehicle.component(component);
        if does == Does::Tighten {
            let mut ways = battery.repairs.iter();
            let way = ways.position(|repair| repair.name.as_str() == "mend")?;
            return Some(Ok(Action::Repair { component, way }));
        }
        let strap = self.vehicle.battery_strap()?;
        let off = matches!(does, Does::Remove | Does::Loosen | Does::Unplug);
        let id = &self.vehicle.component(strap).id;
        Some(match (joint.positive, off) {
            (false, true) => Ok(Action::Unplug(strap)),
            (false, false) => Ok(Action::Plug(strap)),
            (true, _) => {
                let verb = if off { "unplug" } else { "plug" };
                let way = format!("{verb} {id}");
                let message = format!(
                    "A battery comes off by its ground side first, and here by that alone: `{way}`."
                );
                Err(Problem::at(words, at, message).offering([way]))
            }
        })
    }
}

//! Repairs: a component and the way it is put right.

use groundside_engine::vehicle::{ComponentId, Kind};
use groundside_engine::world::Action;

use super::names::{Best, Named, is_short_for, likeliest, trimmed};
use super::nouns::is_its_kind;
use super::token::{Word, Words};
use super::words::is_filler;
use super::{Language, Problem, listed};

/// Verbs that say how something is put right, each with the repair that it says.
const SAYING: [(&str, &str); 26] = [
    ("replace", "replace"),
    ("renew", "replace"),
    ("change", "replace"),
    ("fit new", "replace"),
    ("new", "replace"),
    ("put new", "replace"),
    ("put in new", "replace"),
    ("install", "replace"),
    ("install new", "replace"),
    ("mend", "mend"),
    ("clean", "mend"),
    ("free", "free"),
    ("free up", "free"),
    ("grease", "free"),
    ("oil", "free"),
    ("explain", "explain"),
    ("charge", "charge"),
    ("clear", "clear"),
    ("unblock", "mend"),
    ("scrape", "clear"),
    ("scrape off", "clear"),
    ("deice", "clear"),
    ("de ice", "clear"),
    ("defrost", "clear"),
    ("lubricate", "free"),
    ("recharge", "charge"),
];

/// What is clean or dirty about a battery.
const POSTS: [&str; 12] = [
    "post",
    "posts",
    "pole",
    "poles",
    "clamp",
    "clamps",
    "terminal",
    "terminals",
    "positive",
    "negative",
    "pos",
    "neg",
];

impl Language<'_> {
    /// Reads a component and how it is put right; the verb may say how (`replace motor`).
    pub(super) fn repair(
        &self,
        words: &Words<'_>,
        at: usize,
        verb: &str,
    ) -> Result<Action, Problem> {
        let at = self.after_no_fault(words, at)?;
        let (from, to) = trimmed(words.list(), at);
        let list = &words.list()[..to];
        let said = SAYING.iter().find(|(saying, _)| *saying == verb);
        let said = said.map(|(_, way)| *way);
        // Clamps and posts are put right on the battery, whatever is said to be done to them.
        let joint = self.battery_joint(words, at).filter(|_| verb != "charge");
        if let Some(component) = joint.map(|joint| joint.battery)
            && let Some(way) = self.way(component, Some("mend"))
        {
            return Ok(Action::Repair { component, way });
        }
        if let Some(action) = self.repair_by_way(&list[from.min(to)..]) {
            return Ok(action);
        }
        let mut best = Best::new();
        let mut alone = Best::new();
        for found in self.components.at(list, from) {
            let component = found.item;
            let repairs = &self.vehicle.component(component).repairs;
            let typed = list[found.next..].iter().map(|w| w.text.as_str());
            // `clean battery posts`: what of a battery is put right by hand.
            let data = self.vehicle.component(component);
            let battery = matches!(data.kind, Kind::Battery(_));
            let post = |word: &str| battery && POSTS.contains(&word);
            let small = |word: &str| is_filler(word) || post(word) || is_its_kind(data, word);
            let typed: Vec<&str> = typed.filter(|word| !small(word)).collect();
            for (way, repair) in repairs.iter().enumerate() {
                let name = repair.name.as_str();
                let says = |word: &&str| *word == name || is_short_for(word, name);
                let fits = typed.iter().all(says) && said.iter().all(says);
                let told = !typed.is_empty() || said.is_some();
                if fits && (told || repairs.len() == 1) {
                    best.offer((component, way), found.rank);
                } else if !typed.is_empty() && typed.iter().all(says) {
                    // `fit new motor brushes`: what is named counts more than how.
                    best.offer((component, way), found.rank + 1);
                }
            }
            if found.next == to {
                alone.offer(component, found.rank);
            }
        }
        let best = best.named();
        if let (Named::None, [condition]) = (&best, self.conditions(words, from).as_slice())
            && let Some(way) = self.way(condition.component, said)
        {
            let component = condition.component;
            return Ok(Action::Repair { component, way });
        }
        let component = match (best, alone.named()) {
            (Named::One((component, way)), _) => return Ok(Action::Repair { component, way }),
            (Named::Several(_), _) | (Named::None, Named::Several(_) | Named::None)
                if !self.earths(words, at).is_empty() =>
            {
                let mut all = self.earths(words, at);
                all.retain(|id| !self.vehicle.component(*id).repairs.is_empty());
                return Err(self.several_repairs(words, from..to, &all));
            }
            (Named::Several(all), _) => {
                let all: Vec<ComponentId> = all.into_iter().map(|(id, _)| id).collect();
                return Err(self.several_repairs(words, from..to, &all));
            }
            (Named::None, Named::One(component)) => (component, to),
            (Named::None, Named::Several(all)) => {
                return Err(self.several_repairs(words, from..to, &all));
            }
            (Named::None, Named::None) => match likeliest(self.components.at(list, from)) {
                // `the high speed relay` is no wire for the high speed.
                Some(found)
                    if self
                        .of_other_kind(words, found.next..to, found.item)
                        .is_none() =>
                {
                    (found.item, found.next)
                }
                _ => (
                    self.component(words, at, "component", |c| !c.repairs.is_empty())?,
                    to,
                ),
            },
        };
        Err(self.which_way(words, component, (from, to), said))
    }

    /// The repair that is named by its way alone, where one component is put right so: `replace brushes`.
    fn repair_by_way(&self, typed: &[Word]) -> Option<Action> {
        // `replace the high speed brush`: all of a motor's are.
        let (word, which) = typed.split_last()?;
        let brush = ["high", "low", "common", "speed", "carbon", "worn"];
        let each = which
            .iter()
            .all(|which| brush.contains(&which.text.as_str()));
        let named = |way: &str| {
            let brush = way == "brushes" && word.text == "brush";
            brush || way == word.text && (which.is_empty() || way == "brushes")
        };
        if !each {
            return None;
        }
        if SAYING.iter().any(|(_, way)| *way == word.text) {
            return None;
        }
        let mut ways = self.vehicle.ids().flat_map(|component| {
            let repairs = self.vehicle.component(component).repairs.iter().enumerate();
            let named = repairs.filter(|(_, repair)| named(repair.name.as_str()));
            named.map(move |(way, _)| Action::Repair { component, way })
        });
        ways.next().filter(|_| ways.next().is_none())
    }

    /// Position of the repair by this name.
    fn way(&self, component: ComponentId, name: Option<&str>) -> Option<usize> {
        let repairs = &self.vehicle.component(component).repairs;
        repairs
            .iter()
            .position(|repair| Some(repair.name.as_str()) == name)
    }

    fn several_repairs(
        &self,
        words: &Words<'_>,
        at: std::ops::Range<usize>,
        all: &[ComponentId],
    ) -> Problem {
        let ways = |id: &ComponentId| {
            let component = self.vehicle.component(*id);
            let named = |way: &str| {
                format!("repair {} {way}", component.id)
                    .trim_end()
                    .to_owned()
            };
            match component.repairs.as_slice() {
                [_] => vec![named("")],
                ways => ways.iter().map(|way| named(way.name.as_str())).collect(),
            }
        };
        let mut problem = self.several(words, at, all);
        problem.suggestions = all.iter().flat_map(ways).collect();
        problem
    }

    fn which_way(
        &self,
        words: &Words<'_>,
        (id, next): (ComponentId, usize),
        (from, to): (usize, usize),
        said: Option<&str>,
    ) -> Problem {
        let data = self.vehicle.component(id);
        let name = &data.id;
        let ways: Vec<String> = data
            .repairs
            .iter()
            .map(|r| format!("repair {name} {}", r.name))
            .collect();
        let (at, message) = if !ways.is_empty() && (next < to || said.is_some()) {
            let typed = said.map_or_else(|| words.typed(next..to), str::to_owned);
            (
                next,
                format!(
                    "{name} is not put right by `{typed}`: {}.",
                    listed(&ways, "or")
                ),
            )
        } else if !ways.is_empty() {
            (next, format!("Say how: {}.", listed(&ways, "or")))
        } else if let Some(whole) = data.part_of {
            let whole = self.vehicle.component(whole);
            let message = format!(
                "{name} is built into {}, and put right along with it.",
                whole.id
            );
            let ways = whole
                .repairs
                .iter()
                .map(|r| format!("repair {} {}", whole.id, r.name));
            return Problem::at(words, from, message).offering(ways);
        } else {
            (from, format!("There is nothing to put right on {name}."))
        };
        Problem::at(words, at, message).offering(ways)
    }
}

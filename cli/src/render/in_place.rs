//! The chapter on testing the motor in place: which leads go where, and what a healthy motor then shows, found by putting
//! those very leads on one.

use std::sync::Arc;

use groundside_engine::scenario::Glass;
use groundside_engine::vehicle::Vehicle;
use groundside_engine::world::{
    Action, InPlace, InPlaceHeld, InPlaceStall, InPlaceTest, KIT, Observation, Quantity, Sense,
    World,
};

use super::data::table;
use super::healthy::{seen, standing, value};
use crate::style::{Page, Tone};

/// One number of what a sound vehicle shows, to so many decimals.
fn mean(world: &mut World, action: &Action, decimals: usize, unit: &str) -> Option<String> {
    value(world, action).map(|[mean, ..]| format!("{:.decimals$} {unit}", mean.abs()))
}

/// What a healthy motor shows in a test.
fn healthy(
    vehicle: &Arc<Vehicle>,
    glass: Glass,
    plan: &InPlace,
    test: &InPlaceTest,
) -> Option<String> {
    let mut world = standing(vehicle, glass)?;
    for action in test.actions() {
        seen(&mut world, &action)?;
    }
    if test.parks() {
        return Some(format!("runs home, then {}", looks(&mut world)?));
    }
    let amps = mean(&mut world, &Action::Clamp(plan.clamped), 1, "A")?;
    let cycles = mean(&mut world, &Action::Sense(Sense::Count), 0, "/min")?;
    Some(format!("{amps}, {cycles}"))
}

/// What a sound vehicle shows of a quantity in a check, once all has been done that comes before.
fn found(
    (vehicle, glass): (&Arc<Vehicle>, Glass),
    before: &[Action],
    check: &Action,
    wanted: Quantity,
) -> Option<f64> {
    let mut world = standing(vehicle, glass)?;
    for action in before {
        seen(&mut world, action)?;
    }
    let shown = seen(&mut world, check)?;
    let of = shown.iter().find(|(quantity, ..)| *quantity == wanted);
    of.map(|(_, [mean, ..], _)| *mean)
}

/// What the park contact holds under the load lamp.
fn held(vehicle: &Arc<Vehicle>, glass: Glass, of: &InPlaceHeld) -> Option<String> {
    let sound = (vehicle, glass);
    let volts = found(sound, &of.before, &of.action(), Quantity::Voltage)?;
    let name = |(first, second)| {
        let [first, second] = [first, second].map(|point| vehicle.point_name(point));
        format!("{first} to {second}")
    };
    let leads: Vec<String> = of.leads.iter().copied().map(name).collect();
    Some(format!(
        "with a lead from {}, {volts:.1} V from {}",
        leads.join(" and "),
        name(of.lamp)
    ))
}

/// When the cut-out in the motor opens.
fn opens(vehicle: &Arc<Vehicle>, glass: Glass, of: &InPlaceStall) -> Option<String> {
    let sound = (vehicle, glass);
    let seconds = found(sound, &of.before, &of.action(), Quantity::OpensAfter)?;
    Some(format!("after {seconds:.0} s"))
}

/// What the blades look like.
fn looks(world: &mut World) -> Option<String> {
    let looked = seen(world, &Action::Sense(Sense::LookBlades))?;
    let words = looked.iter().filter_map(|(quantity, _, seen)| match seen {
        Observation::Perception { word, .. } if *quantity == Quantity::Rest => Some(*word),
        Observation::Perception { .. } | Observation::Reading { .. } => None,
    });
    Some(words.collect::<Vec<_>>().join(", "))
}

/// What the blades go over while the cycles are counted: nothing, where a cover that takes the arms along has to come off
/// before the plug. A learner's motor is tested in the same state, so that the two compare.
fn load(vehicle: &Arc<Vehicle>, glass: Glass, plan: &InPlace) -> String {
    let with_arms = || format!("the arms on, on {} glass", glass.word());
    let Some((test, mut world)) = plan.tests.first().zip(standing(vehicle, glass)) else {
        return with_arms();
    };
    for action in test.actions() {
        let _ = seen(&mut world, &action);
    }
    if !world.bench().arms_off(vehicle) {
        return with_arms();
    }
    format!("{ARMS_OFF}: with the arms on it takes more and goes slower")
}

/// What is said of a vehicle whose arms come off on the way to its plug.
pub(super) const ARMS_OFF: &str = "the arms off, as they have to be before its plug is reached";

/// A row for each lead, with what is seen beside the last.
fn rows(vehicle: &Vehicle, test: &InPlaceTest, healthy: &str) -> Vec<Vec<String>> {
    let last = test.leads.len().saturating_sub(1);
    let leads = test.leads.iter().enumerate();
    let row = leads.map(|(place, &(first, second))| {
        let at = |wanted: usize, text: &str| match place == wanted {
            true => text.to_owned(),
            false => String::new(),
        };
        let [first, second] = [first, second].map(|point| vehicle.point_name(point));
        vec![
            at(0, test.name),
            format!("{first} to {second}"),
            at(last, healthy),
        ]
    });
    row.collect()
}

/// The chapter.
pub(super) fn tests(vehicle: &Arc<Vehicle>, glass: Glass) -> Page {
    let Some(plan) = vehicle.in_place() else {
        return Page::of(Tone::Plain, "  No motor whose terminals are all known.");
    };
    let head = ["test", "leads, first end first", "healthy"];
    let mut all = vec![head.map(str::to_owned).to_vec()];
    for test in &plan.tests {
        let shown = healthy(vehicle, glass, &plan, test);
        let shown = shown.unwrap_or_else(|| "not to be had".to_owned());
        all.extend(rows(vehicle, test, &shown));
    }
    let mut page = table(&all);
    let strap = &vehicle.component(plan.clamped).id;
    page.hanging(
        Tone::Plain,
        format!(
            "  Key off and the motor's plug off first, so that a good motor shows this whatever is wrong before its \
             plug or in its ground. The battery and {strap} carry it too: prove them first, by `battery test` and by \
             the drop over {strap} while it runs, no more than a tenth of a volt. A lead's end at the motor goes on first, leads to the ground before the one from \
             the battery; a fuse is {} A. Amps by the clamp on {strap}, through which all of it comes back and \
             which reads nothing before they go on, cycles counted; both with {}. \
             For park, run it at low first and take the leads off while the blades are out on the \
             glass, then put on those for park.",
            KIT.jumper_fuse.amperes(),
            load(vehicle, glass, &plan)
        ),
        "  ",
    );
    if plan.wound {
        page.hanging(
            Tone::Plain,
            "  High is the series field alone, faster than any position of the switch has it: never run it so with the \
             linkage off. What lies between is made before its plug, by what stands in the way of the shunt field. The \
             fields' ohms are in the chapter on the winding.",
            "  ",
        );
    }
    let contact: Vec<String> = plan
        .held
        .iter()
        .filter_map(|of| held(vehicle, glass, of))
        .collect();
    if let [out, home] = &contact[..] {
        page.hanging(
            Tone::Plain,
            format!(
                "  A burnt park contact still takes the blades home: prove it under the load lamp. Out on the glass, \
                 {out}; home again, {home}."
            ),
            "  ",
        );
    }
    if let [out] = &contact[..] {
        page.hanging(
            Tone::Plain,
            format!(
                "  A burnt park contact still takes the blades home: prove it under the load lamp, the armature as its \
                 ground. Out on the glass, {out}."
            ),
            "  ",
        );
    }
    if let Some(stall) = &plan.stall
        && let Some(opens) = opens(vehicle, glass, stall)
    {
        let [arm, cut_out] = [stall.arm, stall.cut_out].map(|id| &vehicle.component(id).id);
        page.hanging(
            Tone::Plain,
            format!(
                "  Then {cut_out}: with the leads for {} on, `hold {arm}` and mind the watch. A healthy one clicks {opens}. \
                 One that does not click within a minute is welded, a weak one clicks sooner, and later clicks what \
                 has resistance in its way.",
                plan.tests.first().map_or("low", |test| test.name)
            ),
            "  ",
        );
    }
    page.hanging(
        Tone::Quiet,
        "  More amps and fewer cycles: undo the crank nut and test the motor alone.",
        "  ",
    );
    page
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::files::vehicle;

    #[test]
    fn the_book_says_whether_its_figures_are_with_the_arms_on() {
        for (id, told) in [
            ("van-case-ground", "both with the arms on, on wet glass."),
            ("bus-compound", "both with the arms on, on wet glass."),
            ("hatch-relay", "both with the arms on, on wet glass."),
            (
                "sedan-reversing",
                "both with the arms off, as they have to be",
            ),
        ] {
            let vehicle = Arc::new(vehicle(id).unwrap().vehicle);
            let page = tests(&vehicle, Glass::Wet).text();
            let joined = page.split_whitespace().collect::<Vec<_>>().join(" ");
            assert!(joined.contains(told), "{id}: {page}");
        }
    }
}
